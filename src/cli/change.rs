//! The commands `set`, `remove` and `rename`.

use super::add::names;
use super::args::{Catalog, RemoveAsk, RenameAsk, SetAsk, WhichRow};
use super::opening::{lines_of, open_sheets_to_change};
use super::page::{Page, count};
use super::proposal::{self, Consent, Decision, decide};
use super::{Answer, Ended};
use crate::desk::open::SheetBench;
use crate::entry::change::{Unchanged, Wanted, find, remove, rename, set};
use crate::measure::shorten;
use crate::tables::FileEdits;
use serde_json::json;

pub(crate) fn run_set(catalog: &Catalog, ask: &SetAsk, json: bool) -> anyhow::Result<Answer> {
    let bench = open_sheets_to_change(catalog)?;
    let wanted = wanted(&ask.table, &ask.key, &ask.which);
    let edits = find(&wanted, &bench.sheets)
        .and_then(|row| set(&row, &ask.cells, &bench.sheets, &names(&bench)));
    let what = format!("setting {} of {} {}", columns(&ask.cells), wanted.table, ask.key);
    propose(&bench, edits.map(|edits| (edits, Vec::new())), &what, ask.consent, json)
}

pub(crate) fn run_remove(catalog: &Catalog, ask: &RemoveAsk, json: bool) -> anyhow::Result<Answer> {
    let bench = open_sheets_to_change(catalog)?;
    let wanted = wanted(&ask.table, &ask.key, &ask.which);
    let edits = find(&wanted, &bench.sheets).map(|row| remove(&row, &bench.sheets));
    propose(&bench, edits, &format!("taking {} {} out", wanted.table, ask.key), ask.consent, json)
}

pub(crate) fn run_rename(catalog: &Catalog, ask: &RenameAsk, json: bool) -> anyhow::Result<Answer> {
    let bench = open_sheets_to_change(catalog)?;
    let edits = rename(ask.what, &ask.old, &ask.new, &bench.sheets);
    let what = format!("renaming {} to {}", ask.old, ask.new);
    propose(&bench, edits.map(|edits| (edits, Vec::new())), &what, ask.consent, json)
}

fn wanted(table: &str, key: &str, which: &WhichRow) -> Wanted {
    Wanted {
        table: table.to_owned(),
        key: key.to_owned(),
        cells: which.only_where.clone(),
        line: which.line.clone(),
    }
}

fn columns(cells: &[(String, String)]) -> String {
    cells.iter().map(|(column, _)| column.as_str()).collect::<Vec<_>>().join(", ")
}

/// Shows the change, asks, and writes it. `edits` come with the places that would name nothing any more.
fn propose(
    bench: &SheetBench,
    edits: Result<(Vec<FileEdits>, Vec<String>), Unchanged>,
    what: &str,
    consent: Consent,
    json: bool,
) -> anyhow::Result<Answer> {
    let notes = lines_of(&bench.workbench.notes);
    let (edits, left) = match edits {
        Ok(edits) => edits,
        Err(why) => return Ok(Answer::refused(format!("{notes}error: {why}\n"))),
    };
    let files = bench.workbench.preview(&edits)?;
    let cells: usize = edits.iter().map(|file| file.edits.len()).sum();
    let mut page = Page::default();
    let size =
        format!("{} in {}", count(cells, "change", "changes"), count(edits.len(), "file", "files"));
    page.answer(&format!("{}: {size}", shorten(what)), left.is_empty());
    proposal::show(&mut page, &files);
    if !left.is_empty() {
        page.heading("Still named here, and then described nowhere");
        page.text(&left.join(", "), "  ", "  ");
    }
    let mut text = page.into_text();
    let decision = if edits.is_empty() {
        Decision::Leave
    } else {
        decide(consent, json, &mut text, "Write this into your tables?")
    };
    if decision == Decision::Write {
        bench.workbench.change(what, &edits)?;
    }
    let open = decision == Decision::Unasked || !left.is_empty();
    let out = if json {
        let answer = json!({
            "what": what,
            "written": decision == Decision::Write,
            "files": proposal::as_json(&files),
            "left_without_a_row": left,
        });
        format!("{}\n", serde_json::to_string_pretty(&answer)?)
    } else if edits.is_empty() {
        "The tables say so already; nothing was written.\n".to_owned()
    } else {
        format!(
            "{text}\n{}\n",
            decision.remark().unwrap_or("Written. kitwright undo takes it back.")
        )
    };
    Ok(Answer { out, err: notes, ended: if open { Ended::Open } else { Ended::Done } })
}
