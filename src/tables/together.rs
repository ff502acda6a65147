//! Changes several table files all or nothing, whenever the program is killed.
//!
//! The new texts are written to a journal beside the tables first. From the moment at which it is whole the change
//! counts as made: whoever opens the catalog next finishes what was cut short. A kill before that moment leaves
//! everything as it was. What is needed to take the change back is part of it.

use super::fault::Fault;
use super::read::Tables;
use super::rewrite::{Edit, Refused, rewrite, save};
use super::undo::{CannotTakeBack, FOLDER, Made, difference, next, path_of};
use serde::{Deserialize, Serialize};
use std::fmt;
use std::fs::{self, File};
use std::io;
use std::path::{Path, PathBuf};

/// The edits of one table file.
#[derive(Debug, Clone)]
pub struct FileEdits {
    /// The table that it belongs to.
    pub table: &'static str,
    /// Its path within the catalog folder.
    pub name: String,
    /// What changes, by the lines of the file as it is now.
    pub edits: Vec<Edit>,
}

/// Keeps other runs of the program from changing the catalog until it is dropped.
///
/// The system gives the lock back when the process ends, however it ends.
#[derive(Debug)]
pub struct Lock {
    _file: File,
}

/// Why a change was not made, or not finished.
#[derive(Debug)]
pub enum Trouble {
    /// The edits do not fit the file.
    Refused(String, Refused),
    /// A row would be written that nobody could read again.
    Unreadable(Box<Fault>),
    /// The disk says no.
    Disk(PathBuf, io::Error),
    /// A change was cut short, and a file of it was edited since.
    Edited(String),
    /// The journal cannot be read.
    Journal(PathBuf),
    /// A change cannot be taken back.
    Kept(CannotTakeBack),
}

impl fmt::Display for Trouble {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Trouble::Refused(name, refused) => write!(f, "{name}: {refused}"),
            Trouble::Unreadable(fault) => {
                write!(f, "nothing was written, as it could not be read again: {fault}")
            }
            Trouble::Disk(path, error) => {
                write!(f, "{} cannot be written: {error}", path.display())
            }
            Trouble::Edited(name) => write!(
                f,
                "a change to the tables was cut short, and {name} has been edited since, so it was not finished; what it would have written stands in {JOURNAL} in the catalog folder: put {name} right by hand and delete that file"
            ),
            Trouble::Kept(why) => why.fmt(f),
            Trouble::Journal(path) => {
                write!(
                    f,
                    "{} cannot be read; it holds a change that was cut short: mend or delete it",
                    path.display()
                )
            }
        }
    }
}

impl std::error::Error for Trouble {}

/// Hidden, and no table.
const JOURNAL: &str = ".kitwright-change.json";
const LOCK: &str = ".kitwright-lock";

#[derive(Debug, Serialize, Deserialize)]
struct Journal {
    what: String,
    files: Vec<NewText>,
    /// How the change can be taken back, and under which number that is kept.
    #[serde(default)]
    made: Option<(u32, Made)>,
    /// The number of the change that this one takes back.
    #[serde(default)]
    taken_back: Option<u32>,
}

#[derive(Debug, Serialize, Deserialize)]
struct NewText {
    name: String,
    /// `None` where there was no such file.
    before: Option<String>,
    /// `None` where there will be no such file.
    after: Option<String>,
}

/// What a change will do to one file.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct FileDifference {
    /// Its path within the catalog folder.
    pub name: String,
    /// Whether the change makes or removes the file itself.
    pub whole: bool,
    /// The lines that go and come.
    pub lines: Vec<super::undo::LineOfDifference>,
}

/// Locks a catalog folder for a change; waits until no other run holds it.
///
/// # Errors
/// The folder cannot be written to.
pub fn lock(root: &Path) -> Result<Lock, Trouble> {
    let path = root.join(LOCK);
    let open = File::options().create(true).truncate(false).write(true).open(&path);
    let file = open
        .and_then(|file| file.lock().map(|()| file))
        .map_err(|error| Trouble::Disk(path, error))?;
    Ok(Lock { _file: file })
}

/// Makes a change to several files: all of it or nothing. `what` names it for whoever has to finish it, and for
/// whoever wants to take it back.
///
/// # Errors
/// Edits that do not fit, or a disk that says no. After a trouble with the disk the change may still be finished by
/// the next run.
pub fn change(lock: &Lock, root: &Path, what: &str, files: &[FileEdits]) -> Result<(), Trouble> {
    change_with(lock, root, what, files, &[])
}

/// Makes a change to several tables and to files that are none, each by its name and its whole new text.
///
/// # Errors
/// As [`change`].
pub fn change_with(
    _: &Lock,
    root: &Path,
    what: &str,
    files: &[FileEdits],
    others: &[(&str, String)],
) -> Result<(), Trouble> {
    let mut files = new_texts(root, files)?;
    for (name, text) in others {
        let before = read(&root.join(name))?;
        if before.as_ref() != Some(text) {
            files.push(NewText { name: (*name).to_owned(), before, after: Some(text.clone()) });
        }
    }
    if files.is_empty() {
        return Ok(());
    }
    let kept = root.join(FOLDER);
    let number = next(root).map_err(|error| Trouble::Disk(kept.clone(), error))?;
    let touched = files.iter().map(|file| {
        (&*file.name, file.before.as_deref(), file.after.as_deref().unwrap_or_default())
    });
    let made = Made::new(what, jiff::Timestamp::now().to_string(), touched);
    fs::create_dir_all(&kept).map_err(|error| Trouble::Disk(kept, error))?;
    make(
        root,
        &Journal { what: what.to_owned(), files, made: Some((number, made)), taken_back: None },
    )
}

/// Shows what a change would do, and makes nothing.
///
/// # Errors
/// Edits that do not fit, or a file that cannot be read.
pub fn preview(root: &Path, files: &[FileEdits]) -> Result<Vec<FileDifference>, Trouble> {
    Ok(new_texts(root, files)?.iter().map(NewText::difference).collect())
}

/// Takes a change back: all of it or nothing. Edits made elsewhere in its files since stay.
///
/// # Errors
/// Its lines were edited since, or the disk says no.
pub fn take_back(_: &Lock, root: &Path, made: &Made) -> Result<(), Trouble> {
    let files = old_texts(root, made)?;
    let what = format!("taking back: {}", made.what);
    make(root, &Journal { what, files, made: None, taken_back: Some(made.number) })
}

/// Shows what taking a change back would do.
///
/// # Errors
/// Its lines were edited since, or a file cannot be read.
pub fn preview_back(root: &Path, made: &Made) -> Result<Vec<FileDifference>, Trouble> {
    Ok(old_texts(root, made)?.iter().map(NewText::difference).collect())
}

impl NewText {
    fn difference(&self) -> FileDifference {
        let [before, after] =
            [&self.before, &self.after].map(|text| text.as_deref().unwrap_or_default());
        let whole = self.before.is_none() || self.after.is_none();
        FileDifference { name: self.name.clone(), whole, lines: difference(before, after) }
    }
}

/// Works out the new text of each file that changes.
fn new_texts(root: &Path, files: &[FileEdits]) -> Result<Vec<NewText>, Trouble> {
    let mut texts = Vec::new();
    for FileEdits { table, name, edits } in files.iter().filter(|file| !file.edits.is_empty()) {
        let before = read(&root.join(name))?;
        let text = before.as_deref().unwrap_or_default();
        let refused = |refused| Trouble::Refused(name.clone(), refused);
        let after = rewrite(table, text.as_bytes(), edits).map_err(refused)?;
        // A text that is rewritten is UTF-8 throughout, or it would have been refused.
        let after = String::from_utf8(after).map_err(|_| refused(Refused::Faulty(0)))?;
        // What could not be read before may stay so, but nothing else becomes it.
        let mut known = before.as_ref().map_or_else(Vec::new, |before| faults(table, name, before));
        for fault in faults(table, name, &after) {
            let is_same = |old: &Fault| old.column == fault.column && old.message == fault.message;
            match known.iter().position(is_same) {
                Some(old) => drop(known.swap_remove(old)),
                None => return Err(Trouble::Unreadable(Box::new(fault))),
            }
        }
        if before.as_ref() != Some(&after) {
            texts.push(NewText { name: name.clone(), before, after: Some(after) });
        }
    }
    Ok(texts)
}

/// Lists what cannot be read in the text of a table.
fn faults(table: &str, name: &str, text: &str) -> Vec<Fault> {
    let mut tables = Tables::default();
    tables.read_file(table, name.to_owned(), text.as_bytes());
    tables.faults
}

/// Works out the texts that the files of a change had before it.
fn old_texts(root: &Path, made: &Made) -> Result<Vec<NewText>, Trouble> {
    let mut texts = Vec::new();
    for touched in &made.files {
        let now = read(&root.join(&touched.name))?;
        let after = touched.take_back(now.as_deref()).map_err(Trouble::Kept)?;
        texts.push(NewText { name: touched.name.clone(), before: now, after });
    }
    Ok(texts)
}

fn make(root: &Path, journal: &Journal) -> Result<(), Trouble> {
    let path = root.join(JOURNAL);
    let text = serde_json::to_vec(journal).map_err(|_| Trouble::Journal(path.clone()))?;
    save(&path, &text).map_err(|error| Trouble::Disk(path, error))?;
    apply(root, journal)
}

/// Finishes a change that was cut short; gives what it was.
///
/// # Errors
/// A file of it was edited since, or the disk says no.
pub fn finish(root: &Path) -> Result<Option<String>, Trouble> {
    if !root.join(JOURNAL).exists() {
        return Ok(None);
    }
    let lock = lock(root)?;
    finish_locked(&lock, root)
}

/// Finishes a change that was cut short, for a run that holds the lock.
///
/// # Errors
/// As [`finish`].
pub fn finish_locked(_: &Lock, root: &Path) -> Result<Option<String>, Trouble> {
    let path = root.join(JOURNAL);
    let Some(text) = read(&path)? else { return Ok(None) };
    let journal: Journal = serde_json::from_str(&text).map_err(|_| Trouble::Journal(path))?;
    for file in &journal.files {
        let now = read(&root.join(&file.name))?;
        if now != file.before && now != file.after {
            return Err(Trouble::Edited(file.name.clone()));
        }
    }
    apply(root, &journal)?;
    Ok(Some(journal.what))
}

fn apply(root: &Path, journal: &Journal) -> Result<(), Trouble> {
    for file in &journal.files {
        let path = root.join(&file.name);
        match &file.after {
            Some(text) => save(&path, text.as_bytes()),
            None => remove(&path),
        }
        .map_err(|error| Trouble::Disk(path, error))?;
    }
    if let Some((number, made)) = &journal.made {
        let path = root.join(path_of(*number));
        let text = serde_json::to_vec_pretty(made).map_err(|_| Trouble::Journal(path.clone()))?;
        // The folder may have been deleted since the journal was written.
        let folder = fs::create_dir_all(root.join(FOLDER));
        folder.and_then(|()| save(&path, &text)).map_err(|error| Trouble::Disk(path, error))?;
    }
    if let Some(number) = journal.taken_back {
        let path = root.join(path_of(number));
        remove(&path).map_err(|error| Trouble::Disk(path, error))?;
    }
    let path = root.join(JOURNAL);
    fs::remove_file(&path).map_err(|error| Trouble::Disk(path, error))?;
    if let Ok(folder) = File::open(root) {
        let _ = folder.sync_all();
    }
    Ok(())
}

/// Removes a file that an earlier, cut short run may have removed already.
fn remove(path: &Path) -> io::Result<()> {
    match fs::remove_file(path) {
        Err(error) if error.kind() != io::ErrorKind::NotFound => Err(error),
        _ => Ok(()),
    }
}

fn read(path: &Path) -> Result<Option<String>, Trouble> {
    match fs::read(path) {
        Ok(bytes) => String::from_utf8(bytes)
            .map(Some)
            .map_err(|_| Trouble::Refused(path.display().to_string(), Refused::Faulty(0))),
        Err(error) if error.kind() == io::ErrorKind::NotFound => Ok(None),
        Err(error) => Err(Trouble::Disk(path.to_owned(), error)),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::tables::undo::last_made;

    fn edits() -> Vec<FileEdits> {
        let row = |part: &str| Edit::Append {
            cells: vec![("part".into(), part.into()), ("quantity".into(), "1".into())],
        };
        vec![
            FileEdits { table: "stock", name: "stock.csv".into(), edits: vec![row("A")] },
            FileEdits { table: "stock", name: "shed/stock.csv".into(), edits: vec![row("B")] },
        ]
    }

    fn folder() -> tempfile::TempDir {
        let folder = tempfile::tempdir().expect("a folder");
        fs::create_dir(folder.path().join("shed")).expect("made");
        fs::write(folder.path().join("stock.csv"), "part,quantity\n").expect("written");
        folder
    }

    fn texts(root: &Path) -> [String; 2] {
        ["stock.csv", "shed/stock.csv"]
            .map(|name| fs::read_to_string(root.join(name)).unwrap_or_default())
    }

    /// Stands for a kill: the journal is whole, and so many of the files are written.
    fn cut_short(root: &Path, written: usize) -> [String; 2] {
        let whole = folder();
        let held = lock(whole.path()).expect("locked");
        change(&held, whole.path(), "a test", &edits()).expect("changed");
        let after = texts(whole.path());
        let before =
            ["stock.csv", "shed/stock.csv"].map(|name| read(&root.join(name)).expect("read"));
        let files = ["stock.csv", "shed/stock.csv"].into_iter().enumerate().map(|(i, name)| {
            NewText { name: name.into(), before: before[i].clone(), after: Some(after[i].clone()) }
        });
        let made = last_made(whole.path()).expect("read").map(|made| (1, made));
        let journal =
            Journal { what: "a test".into(), files: files.collect(), made, taken_back: None };
        for file in journal.files.iter().take(written) {
            save(&root.join(&file.name), file.after.as_deref().expect("a text").as_bytes())
                .expect("saved");
        }
        save(&root.join(JOURNAL), &serde_json::to_vec(&journal).expect("text")).expect("saved");
        after
    }

    #[test]
    fn a_change_that_was_cut_short_is_finished_once_wherever_it_stopped() {
        for written in 0..=2 {
            let folder = folder();
            let after = cut_short(folder.path(), written);
            assert_eq!(finish(folder.path()).expect("finished").as_deref(), Some("a test"));
            assert_eq!(texts(folder.path()), after);
            assert_eq!(finish(folder.path()).expect("nothing left"), None);
            assert_eq!(texts(folder.path()), after);
        }
    }

    #[test]
    fn a_file_that_was_edited_since_is_not_overwritten() {
        let folder = folder();
        cut_short(folder.path(), 1);
        fs::write(folder.path().join("stock.csv"), "part,quantity\nmine,1\n").expect("written");
        let trouble = finish(folder.path()).expect_err("edited");
        assert!(trouble.to_string().contains("stock.csv has been edited since"), "{trouble}");
        assert_eq!(texts(folder.path())[0], "part,quantity\nmine,1\n");
    }

    #[test]
    fn edits_that_do_not_fit_change_nothing_anywhere() {
        let folder = folder();
        let held = lock(folder.path()).expect("locked");
        let mut edits = edits();
        edits[1].edits.push(Edit::Remove { line: 9 });
        assert!(change(&held, folder.path(), "a test", &edits).is_err());
        assert_eq!(texts(folder.path()), ["part,quantity\n".to_owned(), String::new()]);
        assert!(!folder.path().join(JOURNAL).exists());
    }

    #[test]
    fn a_row_that_could_not_be_read_again_is_not_written() {
        let folder = folder();
        let held = lock(folder.path()).expect("locked");
        let cells = |part: &str, quantity: &str| {
            vec![("part".into(), part.into()), ("quantity".into(), quantity.into())]
        };
        for (part, quantity) in [(" ", "1"), ("A", "a few"), ("A", "")] {
            let edits = [Edit::Append { cells: cells(part, quantity) }];
            let edits =
                FileEdits { table: "stock", name: "stock.csv".into(), edits: edits.to_vec() };
            let trouble = change(&held, folder.path(), "a test", std::slice::from_ref(&edits))
                .expect_err("unreadable");
            assert!(trouble.to_string().contains("stock.csv:2, column"), "{trouble}");
            assert!(preview(folder.path(), &[edits]).is_err());
        }
        assert_eq!(texts(folder.path())[0], "part,quantity\n");
    }

    #[test]
    fn a_change_can_be_taken_back_even_after_it_was_cut_short() {
        let folder = folder();
        cut_short(folder.path(), 1);
        finish(folder.path()).expect("finished");
        let made = last_made(folder.path()).expect("read").expect("a change");
        let lock = lock(folder.path()).expect("locked");
        take_back(&lock, folder.path(), &made).expect("taken back");
        assert_eq!(texts(folder.path()), ["part,quantity\n".to_owned(), String::new()]);
        assert!(!folder.path().join("shed/stock.csv").exists(), "the change made it");
        assert_eq!(last_made(folder.path()).expect("read"), None);
    }

    #[test]
    fn taking_back_that_was_cut_short_is_finished_once() {
        let folder = folder();
        let lock = lock(folder.path()).expect("locked");
        change(&lock, folder.path(), "a test", &edits()).expect("changed");
        let made = last_made(folder.path()).expect("read").expect("a change");
        let files = old_texts(folder.path(), &made).expect("texts");
        let journal =
            Journal { what: "back".into(), files, made: None, taken_back: Some(made.number) };
        remove(&folder.path().join("shed/stock.csv")).expect("removed");
        save(&folder.path().join(JOURNAL), &serde_json::to_vec(&journal).expect("text"))
            .expect("saved");
        assert_eq!(finish_locked(&lock, folder.path()).expect("finished").as_deref(), Some("back"));
        assert_eq!(texts(folder.path()), ["part,quantity\n".to_owned(), String::new()]);
        assert_eq!(last_made(folder.path()).expect("read"), None);
    }

    #[test]
    fn edits_that_change_no_byte_leave_no_change_to_take_back() {
        let folder = folder();
        fs::write(folder.path().join("stock.csv"), "part,quantity\nA,1\n").expect("written");
        let held = lock(folder.path()).expect("locked");
        let same = Edit::Set { line: 2, column: "quantity".into(), text: "1".into() };
        let file = FileEdits { table: "stock", name: "stock.csv".into(), edits: vec![same] };
        change(&held, folder.path(), "a test", &[file]).expect("nothing to do");
        assert_eq!(last_made(folder.path()).expect("read"), None);
    }
}
