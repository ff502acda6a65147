//! Finds the catalog folder, and opens what it holds: from the index or the tables to look at, from the tables to change.

use super::{Note, Refused, day};
use crate::catalog::{Lookup, Memory, Rows};
use crate::entry::{Names, next_step};
use crate::index::{self, Progress, Search, Trouble};
use crate::measure::Key;
use crate::say::count;
use crate::tables::{
    self, CutShort, Fault, FileDifference, FileEdits, Folder, Seen, State, Tables, TextSheet,
    change_with, do_the_same, finish, lock, preview, read_folder, read_seen, read_sheets,
    read_sheets_seen, ready_to_change, state,
};
use std::fs;
use std::io;
use std::path::{Path, PathBuf};
use std::sync::atomic::{AtomicBool, Ordering};

/// Which catalog to open, and whether from the index.
#[derive(Debug, Clone)]
pub struct Source {
    /// The folder of the tables, as [`find`] gives it.
    pub folder: PathBuf,
    /// When to use the index.
    pub index: UseIndex,
}

/// When to answer from the compiled index. The answers are the same either way.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum UseIndex {
    /// Where the tables are large.
    Auto,
    /// At any size.
    Always,
    /// Read the tables each time.
    Never,
}

/// Tables of fewer bytes than this are read about as fast as an index is opened.
const SMALL: u64 = 256 << 10;

/// A catalog that can be searched, too.
pub trait Searchable: Lookup + Search {
    /// The catalog, to look things up in.
    fn lookup(&self) -> &dyn Lookup;
}

impl<T: Lookup + Search> Searchable for T {
    fn lookup(&self) -> &dyn Lookup {
        self
    }
}

/// Does work on a catalog, and gives what the work gives. Notes are for the person who asked.
///
/// The work may be done twice: where the index turns out to be damaged, its answer is thrown away and the work is done
/// again from the tables.
///
/// # Errors
/// The catalog cannot be read.
pub fn with_catalog<T>(
    source: &Source,
    progress: &mut dyn Progress,
    work: impl Fn(&dyn Lookup, Vec<Note>) -> T,
) -> Result<T, Refused> {
    answer(&source.folder, source.index, progress, |found, notes| work(found.lookup(), notes))
}

/// As [`with_catalog`], for work that searches: words are looked for in the index at any size of catalog.
///
/// # Errors
/// The catalog cannot be read.
pub fn with_search<T>(
    source: &Source,
    progress: &mut dyn Progress,
    work: impl Fn(&dyn Searchable, Vec<Note>) -> T,
) -> Result<T, Refused> {
    let wish = if source.index == UseIndex::Never { UseIndex::Never } else { UseIndex::Always };
    answer(&source.folder, wish, progress, work)
}

fn answer<T>(
    folder: &Path,
    wish: UseIndex,
    progress: &mut dyn Progress,
    work: impl Fn(&dyn Searchable, Vec<Note>) -> T,
) -> Result<T, Refused> {
    let mut before = told(finish(folder));
    if let Some(listed) = worth_compiling(folder, wish) {
        let mut damage: Option<String> = None;
        for _ in 0..2 {
            match index::open(folder, &listed, progress) {
                Ok(open) if open.may_stray(&day(None)?) => {
                    damage = None;
                    break;
                }
                Ok(open) => {
                    let mut notes = before.clone();
                    match (&damage, &open.remark) {
                        (Some(what), _) => notes.push(Note::Note(format!(
                            "the index was made anew from the tables, as {what}"
                        ))),
                        (None, Some(remark)) => notes.push(Note::Note(remark.clone())),
                        (None, None) => {}
                    }
                    notes.extend(likely_slips(&open.notices));
                    let answer = work(&open.compiled, notes);
                    let Some(what) = open.compiled.failed() else { return Ok(answer) };
                    damage = Some(what.to_owned());
                    drop(open);
                    if index::discard(folder).is_err() {
                        break;
                    }
                }
                Err(Trouble::Faulty) => {
                    damage = None;
                    break;
                }
                Err(trouble) => {
                    damage = Some(trouble.to_string());
                    break;
                }
            }
        }
        if let Some(what) = damage {
            before.push(Note::Note(format!(
                "answered from the tables, as the index cannot be used: {what}"
            )));
        }
    }
    let tables = open_to_answer(read_tables(folder)?, folder)?;
    before.extend(notes_of(&tables));
    let catalog = tables.catalog();
    before.extend(next(&catalog));
    Ok(work(&catalog, before))
}

/// Lists the table files where an index is to be used for them.
fn worth_compiling(folder: &Path, wish: UseIndex) -> Option<Folder> {
    if wish == UseIndex::Never {
        return None;
    }
    let listed = tables::find(folder)
        .ok()
        .filter(|listed| listed.faults.is_empty() && !listed.files.is_empty())?;
    let sizes =
        listed.files.iter().filter_map(|file| fs::metadata(&file.path).ok()).map(|meta| meta.len());
    (wish == UseIndex::Always || sizes.sum::<u64>() >= SMALL).then_some(listed)
}

/// What to type in next while a table that a first kit needs is empty.
pub fn next(catalog: &Memory) -> Option<Note> {
    next_step(catalog).map(|step| Note::Next(step.to_string()))
}

/// A catalog with the text of its files.
#[derive(Debug)]
pub struct Sheets {
    /// The catalog.
    pub catalog: Box<Memory>,
    /// What a person should know of it.
    pub notes: Vec<Note>,
    /// The text of its files, row by row.
    pub sheets: Vec<TextSheet>,
}

/// Reads the catalog, and the text of its files as well.
///
/// # Errors
/// It cannot be read, or holds no table.
pub fn open_sheets(source: &Source) -> Result<Sheets, Refused> {
    let root = &source.folder;
    let mut notes = told(finish(root));
    let (tables, sheets) = read_sheets(root).map_err(unreadable(root))?;
    refuse_no_tables(root, &tables)?;
    let tables = open_to_answer(tables, root)?;
    notes.extend(notes_of(&tables));
    Ok(Sheets { catalog: Box::new(tables.catalog()), notes, sheets })
}

fn unreadable(root: &Path) -> impl FnOnce(io::Error) -> Refused {
    let root = root.to_owned();
    |error| Refused::Unreadable(root, error)
}

/// Makes the tables ready to answer from: what cannot be read in them only silences its own row.
fn open_to_answer(mut tables: Tables, root: &Path) -> Result<Tables, Refused> {
    if tables.is_closed() {
        return Err(Refused::Faulty(tables.faults));
    }
    tables.set_strays_aside(root, &day(None)?);
    Ok(tables)
}

/// What to tell before an answer: probable slips, and how much says nothing as it cannot be read.
fn notes_of(tables: &Tables) -> Vec<Note> {
    let mut notes: Vec<Note> = likely_slips(&tables.notices).collect();
    let (files, rows): (Vec<_>, Vec<_>) = tables.unread.iter().partition(|row| row.is_whole_file());
    let counted = [(files.len(), "file", "files"), (rows.len(), "row", "rows")];
    let counted: Vec<String> = counted
        .into_iter()
        .filter(|(number, ..)| *number > 0)
        .map(|(number, one, many)| count(number, one, many))
        .collect();
    if !counted.is_empty() {
        let say = if tables.unread.len() == 1 { "says" } else { "say" };
        notes.push(Note::Note(format!(
            "{} cannot be read and so {say} nothing (kitwright check lists them)",
            counted.join(" and "),
        )));
    }
    notes
}

/// A catalog to change by what its files say, row by row. It may hold no table yet.
#[derive(Debug)]
pub struct SheetBench {
    /// The catalog, and what writes to it.
    pub workbench: Workbench,
    /// The text of its files, row by row.
    pub sheets: Vec<TextSheet>,
    /// Its typed rows.
    pub rows: Rows,
}

impl SheetBench {
    /// Gathers the names that the tables use, with the types and cautions shipped.
    pub fn names(&self) -> Names {
        let types = self.workbench.catalog.type_names().into_iter().map(|name| name.to_string());
        let (shipped, _) = tables::shipped_rows();
        let cautions = shipped.cautions.into_iter().map(|row| row.caution.to_string());
        Names::of(&self.sheets, types, cautions)
    }
}

/// Reads the catalog, and the text of its files as well, for a change.
///
/// # Errors
/// It cannot be read, or an earlier change had been cut short.
pub fn open_sheets_to_change(source: &Source) -> Result<SheetBench, Refused> {
    let root = source.folder.clone();
    ready_to_change(&root)?;
    let state = state(&root).map_err(unreadable(&root))?;
    let (tables, sheets, seen) = read_sheets_seen(&root).map_err(unreadable(&root))?;
    let tables = open_to_answer(tables, &root)?;
    let notes = notes_of(&tables);
    let (files, rows) = (tables.files.clone(), tables.rows.clone());
    let catalog = Box::new(tables.catalog());
    let workbench = Workbench { catalog, notes, state, seen, root, files };
    Ok(SheetBench { workbench, sheets, rows })
}

/// A catalog as it was read for a change. Nothing is locked while the change is worked out, shown and asked about.
#[derive(Debug)]
pub struct Workbench {
    /// The catalog as it was read.
    pub catalog: Box<Memory>,
    /// What a person should know of it.
    pub notes: Vec<Note>,
    /// How its files stood before they were read.
    state: State,
    /// What they said.
    seen: Seen,
    root: PathBuf,
    files: Vec<String>,
}

/// Reads the catalog for a change.
///
/// # Errors
/// It cannot be read, or an earlier change had been cut short.
pub fn open_to_change(source: &Source) -> Result<Workbench, Refused> {
    ready_to_change(&source.folder)?;
    workbench(source.folder.clone(), Vec::new())
}

/// Reads the catalog as for a change, but only to show what it would do: the folder need not let itself be written to,
/// and a change that waits is no reason to refuse.
///
/// # Errors
/// It cannot be read.
pub fn open_to_look(source: &Source) -> Result<Workbench, Refused> {
    workbench(source.folder.clone(), told(finish(&source.folder)))
}

fn workbench(root: PathBuf, mut notes: Vec<Note>) -> Result<Workbench, Refused> {
    let state = state(&root).map_err(unreadable(&root))?;
    let (tables, seen) = read_seen(&root).map_err(unreadable(&root))?;
    refuse_no_tables(&root, &tables)?;
    let tables = open_to_answer(tables, &root)?;
    notes.extend(notes_of(&tables));
    let files = tables.files.clone();
    let catalog = Box::new(tables.catalog());
    Ok(Workbench { catalog, notes, state, seen, root, files })
}

impl Workbench {
    /// The file that takes new rows of a table: its first in table order, else one yet to be written.
    pub fn file_of(&self, table: &str) -> String {
        let name = format!("{table}.csv");
        let is_table = |file: &&String| {
            file.rsplit('/').next().is_some_and(|last| last.eq_ignore_ascii_case(&name))
        };
        // A file beside the folder's other tables comes before one further down.
        let files = || self.files.iter().filter(is_table);
        files().find(|file| !file.contains('/')).or_else(|| files().next()).cloned().unwrap_or(name)
    }

    /// The catalog folder.
    pub fn root(&self) -> &Path {
        &self.root
    }

    /// The file that holds a machine's last row of the log, so that a log for each machine stays one; else the usual
    /// file.
    pub fn log_file(&self, machine: &Key) -> String {
        let last = self.catalog.log_of(machine).last().map(|entry| entry.at);
        last.map_or_else(|| self.file_of("worklog"), |at| self.catalog.file(at).into_owned())
    }

    /// Shows what a change would do.
    ///
    /// # Errors
    /// The edits do not fit the files.
    pub fn preview(&self, files: &[FileEdits]) -> Result<Vec<FileDifference>, Refused> {
        Ok(preview(&self.root, files, &self.seen)?)
    }

    /// Makes a change, all of it or nothing. The rows that it touches must be as they were read.
    ///
    /// # Errors
    /// The edits do not fit the files, a row of them changed since, or the disk says no.
    pub fn change(&self, what: &str, files: &[FileEdits]) -> Result<(), Refused> {
        self.change_with(what, files, &[])
    }

    /// Makes a change to tables, and to files that are none, all of it or nothing.
    ///
    /// # Errors
    /// As [`Workbench::change`].
    pub fn change_with(
        &self,
        what: &str,
        files: &[FileEdits],
        others: &[(&str, String)],
    ) -> Result<(), Refused> {
        let lock = lock(&self.root)?;
        change_with(&lock, &self.root, what, files, others, &self.seen)?;
        WROTE.store(true, Ordering::Relaxed);
        Ok(())
    }

    /// Makes a change that rests on more than the rows it touches: where any table changed since, it is worked out
    /// again, and must come to the same.
    ///
    /// # Errors
    /// As [`Workbench::change`]; or it would come out otherwise now.
    pub fn change_worked_out(
        &self,
        what: &str,
        files: &[FileEdits],
        again: impl FnOnce(&Workbench) -> Option<Vec<FileEdits>>,
    ) -> Result<(), Refused> {
        let lock = lock(&self.root)?;
        if state(&self.root).map_err(unreadable(&self.root))? != self.state {
            let fresh = workbench(self.root.clone(), Vec::new())?;
            let is_the_same = match again(&fresh) {
                Some(anew) => do_the_same(&fresh.preview(&anew)?, &self.preview(files)?),
                None => false,
            };
            if !is_the_same {
                return Err(Refused::Change(tables::Trouble::Otherwise(
                    "the tables changed meanwhile, and this would now come out otherwise"
                        .to_owned(),
                )));
            }
        }
        change_with(&lock, &self.root, what, files, &[], &self.seen)?;
        WROTE.store(true, Ordering::Relaxed);
        Ok(())
    }
}

/// This process has written to tables.
static WROTE: AtomicBool = AtomicBool::new(false);

/// Tells whether this process has written to tables, so that nobody does it again because its answer was lost.
pub fn has_written() -> bool {
    WROTE.load(Ordering::Relaxed)
}

/// Says what was done about a change that a run began and did not end.
fn told(found: Option<CutShort>) -> Vec<Note> {
    let said = found.map(|found| match found {
        CutShort::Finished(what) => {
            format!("an earlier run was cut short; what it was writing ({what}) is now written")
        }
        CutShort::Left(why) => why,
    });
    said.map(Note::Note).into_iter().collect()
}

/// Reads all tables as they are, with their faults.
///
/// # Errors
/// The folder cannot be read, or holds no table.
pub fn read(source: &Source) -> Result<(Tables, Vec<Note>), Refused> {
    let notes = told(finish(&source.folder));
    Ok((read_tables(&source.folder)?, notes))
}

fn read_tables(folder: &Path) -> Result<Tables, Refused> {
    let tables =
        read_folder(folder).map_err(|error| Refused::Unreadable(folder.to_owned(), error))?;
    refuse_no_tables(folder, &tables)?;
    Ok(tables)
}

fn refuse_no_tables(folder: &Path, tables: &Tables) -> Result<(), Refused> {
    if tables.files.is_empty() && tables.faults.is_empty() {
        return Err(Refused::NoTables(folder.to_owned()));
    }
    Ok(())
}

/// Finds the catalog folder: the one that is named, else the nearest from `here` upward that holds tables, else `here`
/// where folders in it do.
///
/// # Errors
/// There is none.
pub fn find(named: Option<&Path>, here: &Path) -> Result<PathBuf, Refused> {
    if let Some(folder) = named.filter(|folder| !folder.as_os_str().is_empty()) {
        return Ok(folder.to_owned());
    }
    let holds_tables = |folder: &&Path| {
        ["machines.csv", "parts.csv"].iter().any(|file| folder.join(file).is_file())
    };
    // A person may keep one folder per machine, and nothing beside them.
    let in_folders = || {
        let folders =
            std::fs::read_dir(here).into_iter().flatten().flatten().map(|entry| entry.path());
        folders.filter(|path| !is_hidden(path)).any(|path| holds_tables(&&*path))
    };
    let above = here.ancestors().find(holds_tables).map(Path::to_owned);
    above
        .or_else(|| in_folders().then(|| here.to_owned()))
        .ok_or_else(|| Refused::NoCatalog(here.to_owned()))
}

/// Tells whether a folder, which may be yet to be made, lies in another or is that one.
pub fn lies_in(folder: &Path, other: &Path) -> bool {
    let whole = |path: &Path| std::path::absolute(path).unwrap_or_else(|_| path.to_owned());
    let other = std::fs::canonicalize(other).unwrap_or_else(|_| whole(other));
    let folder = whole(folder);
    // Links are followed as far as there is something on the disk.
    let there = folder.ancestors().find_map(|part| Some((std::fs::canonicalize(part).ok()?, part)));
    let real =
        there.map(|(real, part)| real.join(folder.strip_prefix(part).unwrap_or(Path::new(""))));
    real.unwrap_or(folder).starts_with(other)
}

fn is_hidden(path: &Path) -> bool {
    path.file_name().is_some_and(|name| name.to_string_lossy().starts_with('.'))
}

/// A column or file passed over whose name is nearly a known one is probably a slip, so it is said at once; the
/// owner's other columns and files are theirs, and only `check` lists them.
fn likely_slips(notices: &[Fault]) -> impl Iterator<Item = Note> {
    let slips = notices
        .iter()
        .filter(|notice| notice.message.contains("; if ") || notice.code == tables::OTHER_ENCODING);
    slips.map(|notice| Note::Note(notice.to_string()))
}
