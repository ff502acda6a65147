//! Finds the catalog folder and reads it.

use super::args::Catalog;
use crate::catalog::{Memory, Rows};
use crate::entry::next_step;
use crate::tables::{
    Fault, FileDifference, FileEdits, Lock, Sheet, Tables, change, finish, finish_locked, lock, preview, read_folder,
    read_sheets,
};
use anyhow::{Context, bail};
use std::io::Write as _;
use std::path::{Path, PathBuf};

/// The catalog, or what keeps it from being read.
pub(crate) enum Opened {
    /// The catalog, and notes for standard error.
    Catalog(Box<Memory>, String),
    /// Every fault, ready to be printed.
    Faulty(String),
}

/// Reads the catalog that the arguments, the environment or the place name.
pub(crate) fn open(catalog: &Catalog) -> anyhow::Result<Opened> {
    let tables = read(catalog)?;
    if !tables.faults.is_empty() {
        return Ok(Opened::Faulty(faults(&tables.faults)));
    }
    let mut notes = likely_slips(&tables.notices);
    let catalog = Box::new(tables.catalog());
    notes.push_str(&next(&catalog));
    Ok(Opened::Catalog(catalog, notes))
}

/// What to type in next while a table that a first kit needs is empty, as one line.
pub(crate) fn next(catalog: &Memory) -> String {
    next_step(catalog).map_or_else(String::new, |step| format!("next: {step}\n"))
}

/// Reads the catalog, and the text of its files as well.
pub(crate) fn open_sheets(catalog: &Catalog) -> anyhow::Result<(Opened, Vec<Sheet>, PathBuf)> {
    let root = find(catalog)?;
    told(finish(&root)?);
    let (tables, sheets) = read_both(&root)?;
    refuse_no_tables(&root, &tables)?;
    if !tables.faults.is_empty() {
        return Ok((Opened::Faulty(faults(&tables.faults)), sheets, root));
    }
    let notes = likely_slips(&tables.notices);
    Ok((Opened::Catalog(Box::new(tables.catalog()), notes), sheets, root))
}

fn read_both(root: &Path) -> anyhow::Result<(Tables, Vec<Sheet>)> {
    read_sheets(root).with_context(|| unreadable(root))
}

/// A catalog to change by what its files say, row by row. It may hold no table yet.
pub(crate) struct SheetBench {
    pub workbench: Workbench,
    pub sheets: Vec<Sheet>,
    pub rows: Rows,
}

/// Reads the catalog, and the text of its files as well, for a change.
pub(crate) fn open_sheets_to_change(catalog: &Catalog) -> anyhow::Result<Result<SheetBench, String>> {
    let root = find(catalog)?;
    let lock = lock(&root)?;
    finish_what_was_cut_short(&lock, &root)?;
    let (tables, sheets) = read_both(&root)?;
    if !tables.faults.is_empty() {
        return Ok(Err(faults(&tables.faults)));
    }
    let notes = likely_slips(&tables.notices);
    let (files, rows) = (tables.files.clone(), tables.rows.clone());
    let catalog = Box::new(tables.catalog());
    Ok(Ok(SheetBench { workbench: Workbench { catalog, notes, lock, root, files }, sheets, rows }))
}

/// A catalog that this run alone may change.
pub(crate) struct Workbench {
    pub catalog: Box<Memory>,
    pub notes: String,
    lock: Lock,
    root: PathBuf,
    files: Vec<String>,
}

/// A catalog to change, or what keeps it from being read.
pub(crate) enum OpenedToChange {
    Workbench(Box<Workbench>),
    /// Every fault, ready to be printed.
    Faulty(String),
}

/// Reads the catalog for a change: no other run may change it meanwhile.
pub(crate) fn open_to_change(catalog: &Catalog) -> anyhow::Result<OpenedToChange> {
    let root = find(catalog)?;
    let lock = lock(&root)?;
    finish_what_was_cut_short(&lock, &root)?;
    let tables = read_tables(&root)?;
    if !tables.faults.is_empty() {
        return Ok(OpenedToChange::Faulty(faults(&tables.faults)));
    }
    let notes = likely_slips(&tables.notices);
    let files = tables.files.clone();
    let catalog = Box::new(tables.catalog());
    Ok(OpenedToChange::Workbench(Box::new(Workbench { catalog, notes, lock, root, files })))
}

impl Workbench {
    /// The file that takes new rows of a table: its first in table order, else one yet to be written.
    pub fn file_of(&self, table: &str) -> String {
        let name = format!("{table}.csv");
        let is_table = |file: &&String| file.rsplit('/').next().is_some_and(|last| last.eq_ignore_ascii_case(&name));
        // A file beside the folder's other tables comes before one further down.
        let files = || self.files.iter().filter(is_table);
        files().find(|file| !file.contains('/')).or_else(|| files().next()).cloned().unwrap_or(name)
    }

    /// The catalog folder.
    pub fn root(&self) -> &Path {
        &self.root
    }

    /// Shows what a change would do.
    pub fn preview(&self, files: &[FileEdits]) -> anyhow::Result<Vec<FileDifference>> {
        Ok(preview(&self.root, files)?)
    }

    /// Makes a change, all of it or nothing.
    pub fn change(&self, what: &str, files: &[FileEdits]) -> anyhow::Result<()> {
        Ok(change(&self.lock, &self.root, what, files)?)
    }
}

/// Finishes a change that an earlier run left half made, and says so.
pub(crate) fn finish_what_was_cut_short(lock: &Lock, root: &Path) -> anyhow::Result<()> {
    told(finish_locked(lock, root)?);
    Ok(())
}

/// Says that a change of an earlier run was finished.
fn told(finished: Option<String>) {
    if let Some(what) = finished {
        let _ = writeln!(
            std::io::stderr(),
            "note: an earlier run was cut short; what it was writing ({what}) is now written"
        );
    }
}

/// Reads all tables as they are.
pub(crate) fn read(catalog: &Catalog) -> anyhow::Result<Tables> {
    let folder = find(catalog)?;
    told(finish(&folder)?);
    read_tables(&folder)
}

fn read_tables(folder: &Path) -> anyhow::Result<Tables> {
    let tables = read_folder(folder).with_context(|| unreadable(folder))?;
    refuse_no_tables(folder, &tables)?;
    Ok(tables)
}

fn unreadable(folder: &Path) -> String {
    format!("the catalog folder {} cannot be read; check its name and permissions", folder.display())
}

fn refuse_no_tables(folder: &Path, tables: &Tables) -> anyhow::Result<()> {
    let shown = folder.display();
    if tables.files.is_empty() && tables.faults.is_empty() {
        bail!(
            "there are no tables in {shown}; a first kit needs machines.csv, models.csv, parts.csv, positions.csv, operations.csv, jobs.csv and job_lines.csv (see: kitwright tables)"
        );
    }
    Ok(())
}

/// Finds the catalog folder.
pub(crate) fn find(catalog: &Catalog) -> anyhow::Result<PathBuf> {
    if let Some(folder) = catalog.folder.as_ref().filter(|folder| !folder.as_os_str().is_empty()) {
        return Ok(folder.clone());
    }
    let here = std::env::current_dir().context("this folder cannot be read; name the catalog with --catalog DIR")?;
    let holds_tables = |folder: &&Path| ["machines.csv", "parts.csv"].iter().any(|file| folder.join(file).is_file());
    // A person may keep one folder per machine, and nothing beside them.
    let in_folders = || {
        let folders = std::fs::read_dir(&here).into_iter().flatten().flatten().map(|entry| entry.path());
        folders.filter(|path| !is_hidden(path)).any(|path| holds_tables(&&*path))
    };
    let above = here.ancestors().find(holds_tables).map(Path::to_owned);
    above.or_else(|| in_folders().then(|| here.clone())).with_context(|| {
        format!(
            "no catalog here: neither {} nor a folder above it holds a machines.csv or parts.csv; name one with --catalog DIR",
            here.display()
        )
    })
}

/// Tells whether a folder, which may be yet to be made, lies in another or is that one.
pub(crate) fn lies_in(folder: &Path, other: &Path) -> bool {
    let whole = |path: &Path| std::path::absolute(path).unwrap_or_else(|_| path.to_owned());
    let other = std::fs::canonicalize(other).unwrap_or_else(|_| whole(other));
    let folder = whole(folder);
    // Links are followed as far as there is something on the disk.
    let there = folder.ancestors().find_map(|part| Some((std::fs::canonicalize(part).ok()?, part)));
    let real = there.map(|(real, part)| real.join(folder.strip_prefix(part).unwrap_or(Path::new(""))));
    real.unwrap_or(folder).starts_with(other)
}

fn is_hidden(path: &Path) -> bool {
    path.file_name().is_some_and(|name| name.to_string_lossy().starts_with('.'))
}

/// Lists faults, an error a line; a large table that is wrong all through does not bury the rest.
pub(crate) fn faults(faults: &[Fault]) -> String {
    const MOST: usize = 1_000;
    let mut text = String::new();
    for of_file in faults.chunk_by(|a, b| a.file == b.file) {
        text.extend(of_file.iter().take(MOST).map(|fault| format!("error: {fault}\n")));
        if let Some(first) = of_file.get(MOST) {
            let more = of_file.len() - MOST;
            text.push_str(&format!("error: {}: and {more} more; kitwright check lists them all\n", first.file));
        }
    }
    text.push_str("Nothing was worked out: mend the tables first (kitwright check --explain CODE says how).\n");
    text
}

/// A column or file passed over whose name is nearly a known one is probably a slip, so it is said at once; the
/// owner's other columns and files are theirs, and only `check` lists them.
fn likely_slips(notices: &[Fault]) -> String {
    let slips = notices.iter().filter(|notice| notice.message.contains("; if "));
    slips.map(|notice| format!("note: {notice}\n")).collect()
}
