//! The commands `set`, `remove` and `rename`.

use super::args::Catalog;
use super::opening::{lines_of, open_sheets_to_change};
use super::printing::{Page, count};
use super::proposal::{self, Consent, Decision, decide};
use super::{Answer, Ended};
use crate::catalog::Thing;
use crate::desk::open::SheetBench;
use crate::entry::change::{Unchanged, Wanted, find, remove, rename, set};
use crate::measure::shorten;
use crate::tables::FileEdits;
use clap::Args;
use serde_json::json;

#[derive(Debug, Args)]
#[command(after_help = "\
Examples:
  kitwright change parts 91-2110 material=NBR --dry-run
  kitwright change machines dinghy hours=412 'note=new impeller in May' --yes
  kitwright change dimensions 91-2110 'size=2 ±0.1' --where feature=section --yes

Nothing is written before you have seen what changes. A blank VALUE makes the cell blank; the names of a list may be
typed with commas, as in 'needs=cowl-off, pump-off'.")]
pub(crate) struct SetAsk {
    /// The table.
    #[arg(value_name = "TABLE")]
    pub table: String,
    /// The name or part number that the row is about.
    #[arg(value_name = "KEY", allow_hyphen_values = true)]
    pub key: String,
    /// The cells.
    #[arg(value_name = "COLUMN=VALUE", required = true, value_parser = parse_cell)]
    pub cells: Vec<(String, String)>,
    #[command(flatten)]
    pub which: WhichRow,
    #[command(flatten)]
    pub consent: Consent,
}

/// Which of several rows about one thing is meant.
#[derive(Debug, Args)]
pub(crate) struct WhichRow {
    /// Only the row of which this cell says so.
    #[arg(long = "where", value_name = "COLUMN=VALUE", value_parser = parse_cell)]
    pub only_where: Vec<(String, String)>,
    /// Only the row that begins on this line.
    #[arg(long, value_name = "FILE:LINE", value_parser = parse_place)]
    pub line: Option<(String, u32)>,
}

#[derive(Debug, Args)]
#[command(after_help = "\
Examples:
  kitwright remove stock 91-2109 --dry-run
  kitwright remove dimensions 91-2110 --where feature=section --yes")]
pub(crate) struct RemoveAsk {
    /// The table.
    #[arg(value_name = "TABLE")]
    pub table: String,
    /// The name or part number that the row is about.
    #[arg(value_name = "KEY", allow_hyphen_values = true)]
    pub key: String,
    #[command(flatten)]
    pub which: WhichRow,
    #[command(flatten)]
    pub consent: Consent,
}

#[derive(Debug, Args)]
#[command(after_help = "\
Examples:
  kitwright rename part 91-2110 91-2110-A --dry-run
  kitwright rename position pump-screws pump-cover-screws --yes
  kitwright rename machine dinghy 'harbour dinghy' --yes

Every table is changed, in lists and in front of quantities too, whatever the spelling. A name that is there already is
refused.")]
pub(crate) struct RenameAsk {
    /// What it names: part, position, joint, operation, job, machine, model, supplier, type, caution, order, trait or
    /// option.
    #[arg(value_name = "WHAT", value_parser = parse_thing)]
    pub what: Thing,
    /// The name or number as it is.
    #[arg(value_name = "OLD", allow_hyphen_values = true)]
    pub old: String,
    /// As it is to be.
    #[arg(value_name = "NEW", allow_hyphen_values = true)]
    pub new: String,
    #[command(flatten)]
    pub consent: Consent,
}

fn parse_cell(text: &str) -> Result<(String, String), String> {
    let cell = text.split_once('=').filter(|(column, _)| !column.trim().is_empty());
    cell.map(|(column, value)| (column.trim().to_lowercase(), value.trim().to_owned()))
        .ok_or_else(|| "write it as COLUMN=VALUE, such as material=NBR".to_owned())
}

fn parse_place(text: &str) -> Result<(String, u32), String> {
    let place = text
        .rsplit_once(':')
        .and_then(|(file, line)| Some((file.to_owned(), line.trim().parse().ok()?)));
    place.ok_or_else(|| "write it as FILE:LINE, such as positions.csv:12".to_owned())
}

fn parse_thing(text: &str) -> Result<Thing, String> {
    Thing::from_word(text.trim()).ok_or_else(|| {
        let words: Vec<&str> = Thing::ALL.iter().map(|thing| thing.word()).collect();
        format!("name one of: {}", words.join(", "))
    })
}

pub(crate) fn run_set(catalog: &Catalog, ask: &SetAsk, json: bool) -> anyhow::Result<Answer> {
    let bench = open_sheets_to_change(catalog)?;
    let wanted = wanted(&ask.table, &ask.key, &ask.which);
    let edits = find(&wanted, &bench.sheets)
        .and_then(|row| set(&row, &ask.cells, &bench.sheets, &bench.names()));
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
