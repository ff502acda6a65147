//! A change of several files, all or nothing, whenever the program is killed.
//!
//! The new texts are written to a journal beside the tables first. From the moment at which it is whole the change
//! counts as made: whoever opens the catalog next finishes what was cut short. A kill before that moment leaves
//! everything as it was. The journal says where it was written: one that came with a copied folder is not carried out.

use super::disk::{Link, is_plain_or_none, make_folder, read_own, remove, replace, sync};
use super::lock::{Lock, lock};
use super::place::{Place, inside};
use super::rewrite::Refused;
use super::trouble::{SETTLE, Trouble};
use super::undo::{FOLDER, Made, path_of};
use serde::{Deserialize, Serialize};
use std::cell::Cell;
use std::fs;
use std::io;
use std::path::{Path, PathBuf};
use std::time::{Duration, Instant};
use xxhash_rust::xxh3::xxh3_128;

/// Hidden, and no table.
pub(super) const JOURNAL: &str = ".kitwright-change.json";

/// The one file that a change may write and that is no table: which column of a list was which of ours.
pub const COLUMNS_FILE: &str = ".kitwright-columns.csv";

/// Counts the forms of the journal.
const VERSION: u32 = 2;

/// What stands in the first line of a journal; the second is the [`Journal`].
#[derive(Debug, Serialize, Deserialize)]
struct Head {
    kitwright_change: u32,
    /// The catalog folder in which it was written.
    place: Place,
    /// The sum of the second line.
    sum: String,
}

#[derive(Debug, Serialize, Deserialize)]
pub(super) struct Journal {
    pub what: String,
    pub files: Vec<NewText>,
    /// How the change can be taken back, and under which number that is kept.
    pub made: Option<(u32, Made)>,
    /// The number of the change that this one takes back.
    pub taken_back: Option<u32>,
}

#[derive(Debug, Clone, Serialize, Deserialize)]
pub(super) struct NewText {
    pub name: String,
    /// `None` where there was no such file.
    pub before: Option<String>,
    /// `None` where there will be no such file.
    pub after: Option<String>,
}

/// A change that a run began and did not end.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum CutShort {
    /// It is finished now; what it was.
    Finished(String),
    /// It is left as it is, and why.
    Left(String),
}

/// The journal that stands in a catalog folder.
#[derive(Debug)]
pub(super) enum Found {
    None,
    Ours(Journal),
    /// It was written in another folder, of which this is a copy.
    Elsewhere(Journal),
    /// Why it is not read.
    Unreadable(&'static str),
}

pub(super) fn found(root: &Path) -> Found {
    let path = root.join(JOURNAL);
    if fs::symlink_metadata(&path).is_err() {
        return Found::None;
    }
    let text = match read_own(&path) {
        Ok(Some(text)) => text,
        Ok(None) => return Found::None,
        Err(_) => return Found::Unreadable("it is a link, or cannot be read"),
    };
    let (head, body) = text.split_once('\n').unwrap_or_default();
    let body = body.trim_end();
    let Ok(head) = serde_json::from_str::<Head>(head) else {
        return Found::Unreadable("it is not of the form that this program writes");
    };
    if head.kitwright_change != VERSION {
        return Found::Unreadable("another version of the program wrote it");
    }
    if head.sum != sum(body) {
        return Found::Unreadable("it is not as it was written");
    }
    let Ok(journal) = serde_json::from_str::<Journal>(body) else {
        return Found::Unreadable("it is not of the form that this program writes");
    };
    if journal.files.iter().any(|file| path_inside(root, &file.name).is_err()) {
        return Found::Unreadable("it names files that are no tables of this folder");
    }
    match Place::of(root) {
        Ok(place) if place == head.place => Found::Ours(journal),
        _ => Found::Elsewhere(journal),
    }
}

fn sum(body: &str) -> String {
    format!("{:032x}", xxh3_128(body.as_bytes()))
}

/// Gives the path of a file that a change may write.
pub(super) fn path_inside(root: &Path, name: &str) -> Result<PathBuf, Trouble> {
    if name != COLUMNS_FILE {
        return inside(root, name).map_err(|why| Trouble::NotHere(name.to_owned(), why));
    }
    let path = root.join(name);
    is_plain_or_none(&path).map_err(|error| Trouble::Disk(path.clone(), error))?;
    Ok(path)
}

/// Waits while another run is between its journal and its end, so that nobody reads half of a change.
pub(super) fn wait_for_writer(root: &Path) {
    const PATIENCE: Duration = Duration::from_secs(2);
    let path = root.join(JOURNAL);
    let begun = Instant::now();
    while path.exists() && matches!(found(root), Found::Ours(_)) && begun.elapsed() < PATIENCE {
        std::thread::sleep(Duration::from_millis(2));
    }
}

/// Finishes a change that was cut short here; says what was done with whatever was found.
pub fn finish(root: &Path) -> Option<CutShort> {
    match found(root) {
        Found::None => None,
        Found::Ours(_) => match lock(root).and_then(|lock| finish_locked(&lock, root)) {
            Ok(finished) => finished.map(CutShort::Finished),
            Err(why) => Some(CutShort::Left(why.to_string())),
        },
        Found::Elsewhere(journal) => Some(CutShort::Left(format!(
            "this folder holds a change that was begun where it was copied from ({}, in {}), and it is not carried out unasked; {SETTLE}",
            journal.what,
            journal.names()
        ))),
        Found::Unreadable(why) => Some(CutShort::Left(format!(
            "this folder holds {JOURNAL}, which is not carried out, as {why}; {SETTLE}"
        ))),
    }
}

/// Refuses a change where an earlier one had been cut short: that one is finished first, and looked at.
///
/// # Errors
/// What was found.
pub fn ready_to_change(root: &Path) -> Result<(), Trouble> {
    match finish(root) {
        None => Ok(()),
        Some(CutShort::Finished(what)) => Err(Trouble::FinishedAnother(what)),
        Some(CutShort::Left(why)) => Err(Trouble::Unsettled(why)),
    }
}

/// Finishes a change that was cut short, for a run that holds the lock.
fn finish_locked(_: &Lock, root: &Path) -> Result<Option<String>, Trouble> {
    let Found::Ours(journal) = found(root) else { return Ok(None) };
    for file in &journal.files {
        let now = read(&path_inside(root, &file.name)?)?;
        if now != file.before && now != file.after {
            return Err(Trouble::Edited(file.name.clone()));
        }
    }
    apply(root, &journal)?;
    Ok(Some(journal.what))
}

impl Journal {
    fn text(&self, place: Place) -> serde_json::Result<Vec<u8>> {
        let body = serde_json::to_string(self)?;
        let head =
            serde_json::to_string(&Head { kitwright_change: VERSION, place, sum: sum(&body) })?;
        Ok(format!("{head}\n{body}\n").into_bytes())
    }

    pub fn names(&self) -> String {
        self.files.iter().map(|file| file.name.as_str()).collect::<Vec<_>>().join(", ")
    }

    /// Makes the change, all of it or nothing.
    pub fn make(&self, _: &Lock, root: &Path) -> Result<(), Trouble> {
        let path = root.join(JOURNAL);
        let disk = |error| Trouble::Disk(path.clone(), error);
        let place = Place::of(root).map_err(disk)?;
        let text = self.text(place).map_err(|_| Trouble::Journal(path.clone()))?;
        replace(&path, &text, Link::Replace, || Ok(())).map_err(disk)?;
        apply(root, self)
    }
}

/// Writes what the journal says and is not written yet, and ends with taking the journal away.
fn apply(root: &Path, journal: &Journal) -> Result<(), Trouble> {
    let mut written: Vec<&NewText> = Vec::new();
    for file in &journal.files {
        match write(root, file) {
            Ok(true) => written.push(file),
            Ok(false) => return Err(give_up(root, journal, &written, file)),
            Err(stopped) => return Err(begun(journal, &written, stopped)),
        }
    }
    let all = |stopped| begun(journal, &written, stopped);
    keep(root, journal).map_err(all)?;
    let path = root.join(JOURNAL);
    remove(&path).map_err(|error| all(Trouble::Disk(path.clone(), error)))?;
    sync(root);
    Ok(())
}

fn begun(journal: &Journal, written: &[&NewText], stopped: Trouble) -> Trouble {
    Trouble::Begun {
        what: journal.what.clone(),
        written: written.iter().map(|file| file.name.clone()).collect(),
        stopped: Box::new(stopped),
    }
}

/// Writes one file; `false` where somebody else saved it since it was read.
fn write(root: &Path, file: &NewText) -> Result<bool, Trouble> {
    let path = path_inside(root, &file.name)?;
    let now = read(&path)?;
    if now == file.after {
        return Ok(true);
    }
    let changed = Cell::new(now != file.before);
    if changed.get() {
        return Ok(false);
    }
    let is_still_so = || match read(&path) {
        Ok(now) if now == file.before => Ok(()),
        _ => {
            changed.set(true);
            Err(io::Error::other("it was changed meanwhile"))
        }
    };
    let done = match &file.after {
        Some(text) => replace(&path, text.as_bytes(), Link::Follow, is_still_so),
        None => remove(&path),
    };
    match done {
        Ok(()) => Ok(true),
        Err(_) if changed.get() => Ok(false),
        Err(error) => Err(Trouble::Disk(path, error)),
    }
}

/// Takes back what is written of a change of which a file was saved by somebody else at the same moment.
fn give_up(root: &Path, journal: &Journal, written: &[&NewText], saved: &NewText) -> Trouble {
    let said = Trouble::Otherwise(format!("{} was saved by another program just now", saved.name));
    for file in written.iter().rev() {
        let back = NewText {
            name: file.name.clone(),
            before: file.after.clone(),
            after: file.before.clone(),
        };
        if !matches!(write(root, &back), Ok(true)) {
            return begun(journal, written, Trouble::Edited(saved.name.clone()));
        }
    }
    match remove(&root.join(JOURNAL)) {
        Ok(()) => said,
        Err(_) => begun(journal, &[], Trouble::Edited(saved.name.clone())),
    }
}

/// Keeps what is needed to take the change back, or forgets it where this change does that.
fn keep(root: &Path, journal: &Journal) -> Result<(), Trouble> {
    if let Some((number, made)) = &journal.made {
        let path = root.join(path_of(*number));
        let disk = |error| Trouble::Disk(path.clone(), error);
        let text = serde_json::to_vec_pretty(made).map_err(|_| Trouble::Journal(path.clone()))?;
        // The folder may have been deleted since the journal was written.
        make_folder(&root.join(FOLDER)).map_err(disk)?;
        replace(&path, &text, Link::Replace, || Ok(())).map_err(disk)?;
    }
    if let Some(number) = journal.taken_back {
        let path = root.join(path_of(number));
        let folder = root.join(FOLDER);
        if super::disk::is_own_folder(&folder).is_ok() {
            remove(&path).map_err(|error| Trouble::Disk(path, error))?;
        }
    }
    Ok(())
}

/// Drops the journal; whatever stands in its place goes, and where it leads stays.
pub(super) fn drop_it(root: &Path) -> Result<(), Trouble> {
    let path = root.join(JOURNAL);
    remove(&path).map_err(|error| Trouble::Disk(path, error))
}

pub(super) fn read(path: &Path) -> Result<Option<String>, Trouble> {
    match fs::read(path) {
        Ok(bytes) => String::from_utf8(bytes)
            .map(Some)
            .map_err(|_| Trouble::Refused(path.display().to_string(), Refused::Faulty(0))),
        Err(error) if error.kind() == io::ErrorKind::NotFound => Ok(None),
        Err(error) if path.is_dir() => Err(Trouble::Disk(
            path.to_owned(),
            io::Error::new(error.kind(), "a folder has the name of this table; give it another"),
        )),
        Err(error) => Err(Trouble::Disk(path.to_owned(), error)),
    }
}
