//! Finds the catalog folder, and does a command's work on what it holds.

use super::Answer;
use super::args::{Catalog, UseIndex};
use crate::catalog::{Lookup, Memory, Rows};
use crate::entry::next_step;
use crate::index::{self, Progress, Search, Trouble};
use crate::tables::{
    self, Fault, FileDifference, FileEdits, Folder, Lock, Tables, TextSheet, change_with, finish,
    finish_locked, lock, preview, read_folder, read_sheets,
};
use anyhow::{Context, bail};
use indicatif::{ProgressBar, ProgressStyle};
use std::fs;
use std::io::Write as _;
use std::path::{Path, PathBuf};
use std::time::{Duration, Instant};

/// Tables of fewer bytes than this are read about as fast as an index is opened.
const SMALL: u64 = 256 << 10;

/// A catalog that can be searched, too.
pub(crate) trait Searchable: Lookup + Search {
    fn lookup(&self) -> &dyn Lookup;
}

impl<T: Lookup + Search> Searchable for T {
    fn lookup(&self) -> &dyn Lookup {
        self
    }
}

/// Does a command's work on the catalog that the arguments, the environment or the place name.
pub(crate) fn with_catalog(
    catalog: &Catalog,
    work: impl Fn(&dyn Lookup, String) -> anyhow::Result<Answer>,
) -> anyhow::Result<Answer> {
    answer(catalog, catalog.index, |found, notes| work(found.lookup(), notes))
}

/// As [`with_catalog`], for work that searches: words are looked for in the index at any size of catalog.
pub(crate) fn with_search(
    catalog: &Catalog,
    work: impl Fn(&dyn Searchable, String) -> anyhow::Result<Answer>,
) -> anyhow::Result<Answer> {
    let wish = if catalog.index == UseIndex::Never { UseIndex::Never } else { UseIndex::Always };
    answer(catalog, wish, work)
}

/// The work may be done twice: where the index turns out to be damaged, its answer is thrown away and the work is done
/// again from the tables.
fn answer(
    catalog: &Catalog,
    wish: UseIndex,
    work: impl Fn(&dyn Searchable, String) -> anyhow::Result<Answer>,
) -> anyhow::Result<Answer> {
    let folder = find(catalog)?;
    told(finish(&folder)?);
    let mut remark = String::new();
    if let Some(listed) = worth_compiling(&folder, wish) {
        let mut damage: Option<String> = None;
        for _ in 0..2 {
            match index::open(&folder, &listed, &mut Bar::default()) {
                Ok(open) => {
                    let mut notes = match (&damage, &open.remark) {
                        (Some(what), _) => {
                            format!("note: the index was made anew from the tables, as {what}\n")
                        }
                        (None, Some(remark)) => format!("note: {remark}\n"),
                        (None, None) => String::new(),
                    };
                    notes.push_str(&likely_slips(&open.notices));
                    let answer = work(&open.compiled, notes);
                    let Some(what) = open.compiled.failed() else { return answer };
                    damage = Some(what.to_owned());
                    drop(open);
                    if index::discard(&folder).is_err() {
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
            remark =
                format!("note: answered from the tables, as the index cannot be used: {what}\n");
        }
    }
    let tables = read_tables(&folder)?;
    if !tables.faults.is_empty() {
        return Ok(Answer::refused(faults(&tables.faults)));
    }
    remark.push_str(&likely_slips(&tables.notices));
    let catalog = tables.catalog();
    remark.push_str(&next(&catalog));
    work(&catalog, remark)
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

/// A bar on standard error, where a person can see it, once a compile takes longer than a moment.
#[derive(Default)]
struct Bar {
    begun: Option<Instant>,
    bar: Option<ProgressBar>,
}

impl Progress for Bar {
    fn at(&mut self, done: u64, of: u64) {
        const MOMENT: Duration = Duration::from_millis(400);
        let begun = *self.begun.get_or_insert_with(Instant::now);
        if begun.elapsed() >= MOMENT {
            self.bar
                .get_or_insert_with(|| {
                    let style =
                        ProgressStyle::with_template("compiling the tables {wide_bar} {percent} %");
                    let bar = ProgressBar::new(of);
                    bar.set_style(style.unwrap_or_else(|_| ProgressStyle::default_bar()));
                    bar
                })
                .set_position(done);
        }
    }

    fn end(&mut self) {
        if let Some(bar) = self.bar.take() {
            bar.finish_and_clear();
        }
    }
}

/// The catalog, or what keeps it from being read.
pub(crate) enum Opened {
    /// The catalog, and notes for standard error.
    Catalog(Box<Memory>, String),
    /// Every fault, ready to be printed.
    Faulty(String),
}

/// What to type in next while a table that a first kit needs is empty, as one line.
pub(crate) fn next(catalog: &Memory) -> String {
    next_step(catalog).map_or_else(String::new, |step| format!("next: {step}\n"))
}

/// Reads the catalog, and the text of its files as well.
pub(crate) fn open_sheets(catalog: &Catalog) -> anyhow::Result<(Opened, Vec<TextSheet>, PathBuf)> {
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

fn read_both(root: &Path) -> anyhow::Result<(Tables, Vec<TextSheet>)> {
    read_sheets(root).with_context(|| unreadable(root))
}

/// A catalog to change by what its files say, row by row. It may hold no table yet.
pub(crate) struct SheetBench {
    pub workbench: Workbench,
    pub sheets: Vec<TextSheet>,
    pub rows: Rows,
}

/// Reads the catalog, and the text of its files as well, for a change.
pub(crate) fn open_sheets_to_change(
    catalog: &Catalog,
) -> anyhow::Result<Result<SheetBench, String>> {
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
    Ok(Ok(SheetBench {
        workbench: Workbench { catalog, notes, lock: Some(lock), root, files },
        sheets,
        rows,
    }))
}

/// A catalog that this run alone may change.
pub(crate) struct Workbench {
    pub catalog: Box<Memory>,
    pub notes: String,
    /// `None` where it was opened only to look.
    lock: Option<Lock>,
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
    workbench(root, Some(lock))
}

/// Reads the catalog as for a change, but only to show what it would do: the folder need not let itself be written to.
pub(crate) fn open_to_look(catalog: &Catalog) -> anyhow::Result<OpenedToChange> {
    let root = find(catalog)?;
    told(finish(&root)?);
    workbench(root, None)
}

fn workbench(root: PathBuf, lock: Option<Lock>) -> anyhow::Result<OpenedToChange> {
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

    /// Shows what a change would do.
    pub fn preview(&self, files: &[FileEdits]) -> anyhow::Result<Vec<FileDifference>> {
        Ok(preview(&self.root, files)?)
    }

    /// Makes a change, all of it or nothing.
    pub fn change(&self, what: &str, files: &[FileEdits]) -> anyhow::Result<()> {
        self.change_with(what, files, &[])
    }

    /// Makes a change to tables, and to files that are none, all of it or nothing.
    pub fn change_with(
        &self,
        what: &str,
        files: &[FileEdits],
        others: &[(&str, String)],
    ) -> anyhow::Result<()> {
        let Some(lock) = &self.lock else { bail!("the catalog was opened only to look at it") };
        Ok(change_with(lock, &self.root, what, files, others)?)
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
    format!(
        "the catalog folder {} cannot be read; check its name and permissions",
        folder.display()
    )
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
    let here = std::env::current_dir()
        .context("this folder cannot be read; name the catalog with --catalog DIR")?;
    let holds_tables = |folder: &&Path| {
        ["machines.csv", "parts.csv"].iter().any(|file| folder.join(file).is_file())
    };
    // A person may keep one folder per machine, and nothing beside them.
    let in_folders = || {
        let folders =
            std::fs::read_dir(&here).into_iter().flatten().flatten().map(|entry| entry.path());
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
    let real =
        there.map(|(real, part)| real.join(folder.strip_prefix(part).unwrap_or(Path::new(""))));
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
            text.push_str(&format!(
                "error: {}: and {more} more; kitwright check lists them all\n",
                first.file
            ));
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
