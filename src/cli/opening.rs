//! Opens the catalog that the arguments, the environment or the place name.

use super::Answer;
use super::args::{Catalog, UseIndex, Wanted};
use crate::catalog::Lookup;
use crate::desk::open::{self, Searchable, SheetBench, Sheets, Source, Workbench};
use crate::desk::{self, Note};
use crate::index::Progress;
use crate::kit::{Ask, Kit};
use crate::tables::{Fault, Tables};
use anyhow::Context;
use indicatif::{ProgressBar, ProgressStyle};
use std::path::PathBuf;
use std::time::{Duration, Instant};

/// Does a command's work on the catalog. It may be done twice.
pub(crate) fn with_catalog(
    catalog: &Catalog,
    work: impl Fn(&dyn Lookup, String) -> anyhow::Result<Answer>,
) -> anyhow::Result<Answer> {
    let source = source(catalog)?;
    open::with_catalog(&source, &mut Bar::default(), |lookup, notes| {
        Ok(work(lookup, lines_of(&notes))?.naming_unread(lookup))
    })?
}

/// As [`with_catalog`], for work that searches.
pub(crate) fn with_search(
    catalog: &Catalog,
    work: impl Fn(&dyn Searchable, String) -> anyhow::Result<Answer>,
) -> anyhow::Result<Answer> {
    let source = source(catalog)?;
    open::with_search(&source, &mut Bar::default(), |found, notes| {
        Ok(work(found, lines_of(&notes))?.naming_unread(found.lookup()))
    })?
}

/// A kit with the catalog that it comes from.
pub(crate) struct WorkedOut<'c> {
    pub lookup: &'c dyn Lookup,
    pub ask: Ask,
    pub kit: Kit,
    /// What to say on standard error.
    pub notes: String,
}

/// Works a kit out and goes on from it, or says why there is none. As with [`with_catalog`], the work may be done twice.
pub(crate) fn with_kit(
    catalog: &Catalog,
    wanted: &Wanted,
    work: impl Fn(WorkedOut) -> anyhow::Result<Answer>,
) -> anyhow::Result<Answer> {
    let wanted = desk::Wanted::from(wanted);
    with_catalog(catalog, |lookup, mut notes| {
        let (ask, kit) = match wanted.kit(lookup) {
            Ok(worked_out) => worked_out,
            Err(why) => return Ok(Answer::refused(format!("{notes}error: {why}\n"))),
        };
        for option in &kit.unknown_options {
            notes.push_str(&format!(
                "note: no line of these jobs asks about the option '{option}'\n"
            ));
        }
        work(WorkedOut { lookup, ask, kit, notes })
    })
}

/// Reads the catalog for a change.
pub(crate) fn open_to_change(catalog: &Catalog) -> anyhow::Result<Workbench> {
    Ok(open::open_to_change(&source(catalog)?)?)
}

/// Reads the catalog as for a change, but only to show what it would do.
pub(crate) fn open_to_look(catalog: &Catalog) -> anyhow::Result<Workbench> {
    Ok(open::open_to_look(&source(catalog)?)?)
}

/// Reads the catalog, and the text of its files as well, for a change.
pub(crate) fn open_sheets_to_change(catalog: &Catalog) -> anyhow::Result<SheetBench> {
    Ok(open::open_sheets_to_change(&source(catalog)?)?)
}

/// Reads the catalog, and the text of its files as well.
pub(crate) fn open_sheets(catalog: &Catalog) -> anyhow::Result<Sheets> {
    Ok(open::open_sheets(&source(catalog)?)?)
}

/// Reads all tables as they are.
pub(crate) fn read(catalog: &Catalog) -> anyhow::Result<(Tables, Vec<Note>)> {
    Ok(open::read(&source(catalog)?)?)
}

/// Finds the catalog folder.
pub(crate) fn find(catalog: &Catalog) -> anyhow::Result<PathBuf> {
    let named = catalog.folder.as_deref().filter(|folder| !folder.as_os_str().is_empty());
    // A folder that is named needs no place to begin from.
    let here = match named {
        Some(_) => PathBuf::new(),
        None => std::env::current_dir()
            .context("this folder cannot be read; name the catalog with --catalog DIR")?,
    };
    Ok(open::find(named, &here)?)
}

fn source(catalog: &Catalog) -> anyhow::Result<Source> {
    let index = match catalog.index {
        UseIndex::Auto => open::UseIndex::Auto,
        UseIndex::Always => open::UseIndex::Always,
        UseIndex::Never => open::UseIndex::Never,
    };
    Ok(Source { folder: find(catalog)?, index })
}

/// Writes notes for standard error, one a line.
pub(crate) fn lines_of(notes: &[Note]) -> String {
    notes.iter().map(|note| format!("{note}\n")).collect()
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
