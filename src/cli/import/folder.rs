//! The command `import` of a folder that another owner shared.

use super::super::args::Catalog;
use super::super::opening::{faults, lines_of, open_sheets_to_change};
use super::super::printing::{Page, count, width};
use super::super::proposal::{self, Consent, Decision, decide};
use super::super::way_out;
use super::super::{Answer, Ended};
use super::Choices;
use crate::desk::open::{SheetBench, lies_in};
use crate::entry::merge::{Choice, Disagreement, Merge, Placed, differences};
use crate::measure::{Key, PartNumber};
use crate::near::nearest;
use crate::tables::{TextRow, definition, read_sheets};
use anyhow::{Context, bail};
use serde_json::{Value, json};
use std::io::{self, BufRead as _, IsTerminal as _};
use std::path::Path;

pub(crate) fn run(
    catalog: &Catalog,
    from: &Path,
    choices: &Choices,
    consent: Consent,
    json: bool,
) -> anyhow::Result<Answer> {
    let SheetBench { workbench, sheets, rows } = open_sheets_to_change(catalog)?;
    let shown = from.display();
    if lies_in(from, workbench.root()) || lies_in(workbench.root(), from) {
        bail!(
            "{shown} is the catalog itself, or lies in it or around it; name a folder that another owner shared"
        );
    }
    let (theirs, their_sheets) =
        read_sheets(from).with_context(|| format!("{shown} cannot be read"))?;
    if !theirs.faults.is_empty() {
        return Ok(Answer::refused(format!("In {shown}:\n{}", faults(&theirs.faults))));
    }
    if their_sheets.is_empty() {
        bail!("there are no tables in {shown}");
    }
    let merge = Merge::compare(&sheets, &rows, &their_sheets);
    let mut decided = choose(&merge, choices)?;
    let whole = std::fs::canonicalize(from).unwrap_or_else(|_| from.to_owned());
    let name = whole
        .file_name()
        .map_or_else(|| shown.to_string(), |name| name.to_string_lossy().into_owned());
    if !json
        && !consent.yes
        && !consent.dry_run
        && io::stdin().is_terminal()
        && io::stderr().is_terminal()
    {
        ask_for_each(&merge, &mut decided);
    }
    let open = decided.iter().filter(|choice| choice.is_none()).count();
    // What nobody chose stays as its owner has it.
    let chosen: Vec<Choice> = decided.iter().map(|choice| choice.unwrap_or(Choice::Mine)).collect();
    let edits = merge.edits(&chosen, &|table| workbench.file_of(table), &name);
    let files = workbench.preview(&edits)?;
    let mut page = Page::default();
    tell(&mut page, &merge, &decided, &name);
    proposal::show(&mut page, &files);
    let mut text = page.into_text();
    let decision = if files.is_empty() {
        Decision::Leave
    } else {
        decide(consent, json, &mut text, "Write this into your tables?")
    };
    if decision == Decision::Write {
        workbench.change(&format!("importing {name}"), &edits)?;
    }
    let ended = if open > 0 || decision == Decision::Unasked { Ended::Open } else { Ended::Done };
    let out = if json {
        let answer = json!({
            "same": merge.same,
            "new": merge.new.iter().map(row_as_json).collect::<Vec<_>>(),
            "differing": merge.disagreements.iter().zip(&decided).map(as_json).collect::<Vec<_>>(),
            "left_out": merge.passed_over.iter().map(|(table, rows)| json!({ "table": table, "rows": rows })).collect::<Vec<_>>(),
            "written": decision == Decision::Write,
            "files": proposal::as_json(&files),
        });
        format!("{}\n", serde_json::to_string_pretty(&answer)?)
    } else {
        let said = match (files.is_empty(), decision.remark()) {
            (true, _) => "There is nothing to write.".to_owned(),
            (false, Some(remark)) => remark.to_owned(),
            (false, None) => "Written. kitwright undo takes it back.".to_owned(),
        };
        let more = if open > 0 {
            "\nYours stay where nothing was chosen. To choose: --choose TABLE:KEY=theirs,\n=mine or =both, or --theirs for all."
        } else {
            ""
        };
        format!("{text}\n{said}{more}\n")
    };
    Ok(Answer { out, err: lines_of(&workbench.notes), ended })
}

/// Settles what the arguments settle.
fn choose(merge: &Merge, choices: &Choices) -> anyhow::Result<Vec<Option<Choice>>> {
    let usual = match (choices.mine, choices.theirs) {
        (true, _) => Some(Choice::Mine),
        (_, true) => Some(Choice::Theirs),
        _ => None,
    };
    let mut decided = vec![usual; merge.disagreements.len()];
    for (table, key, choice) in &choices.choose {
        let meant = |found: &Disagreement| found.table == table && alike(&found.key, key);
        let Some(index) = merge.disagreements.iter().position(meant) else {
            let names =
                || merge.disagreements.iter().map(|found| format!("{}:{}", found.table, found.key));
            let known: Vec<String> = names().collect();
            let hint = match nearest(&format!("{table}:{key}"), known.iter().map(String::as_str)) {
                Some(meant) => format!("did you mean {meant}?"),
                None if known.is_empty() => "nothing of theirs differs from yours".to_owned(),
                None => format!("these differ: {}", known.join(", ")),
            };
            bail!("--choose {table}:{key}: no rows of that name differ; {hint}");
        };
        if let Some(found) = merge
            .disagreements
            .get(index)
            .filter(|found| *choice == Choice::Both && !found.both_can_stand())
        {
            bail!(
                "--choose {}:{}=both: two rows about the same machines cannot both stand; choose mine or theirs",
                found.table,
                found.key
            );
        }
        if let Some(place) = decided.get_mut(index) {
            *place = Some(*choice);
        }
    }
    Ok(decided)
}

/// A key as typed is meant whether or not it is a part number.
fn alike(a: &str, b: &str) -> bool {
    let number = |text: &str| PartNumber::new(text).map(|number| number.folded().to_owned());
    Key::new(a) == Key::new(b) || (number(a).is_some() && number(a) == number(b))
}

/// Asks on the terminal about each disagreement that is not settled yet.
fn ask_for_each(merge: &Merge, decided: &mut [Option<Choice>]) {
    for (found, choice) in
        merge.disagreements.iter().zip(decided.iter_mut()).filter(|(_, choice)| choice.is_none())
    {
        let mut page = Page::default();
        disagreement(&mut page, found, None);
        let both = if found.both_can_stand() { ", b both" } else { "" };
        let asked = format!(
            "{}\nWhose? m mine, t theirs{both}, or nothing to leave it open: ",
            page.into_text()
        );
        way_out::say(&asked, anstream::ColorChoice::Auto);
        let mut said = String::new();
        if io::stdin().lock().read_line(&mut said).unwrap_or(0) == 0 {
            return;
        }
        *choice = match said.trim().to_lowercase().as_str() {
            "m" | "mine" => Some(Choice::Mine),
            "t" | "theirs" => Some(Choice::Theirs),
            "b" | "both" if found.both_can_stand() => Some(Choice::Both),
            _ => None,
        };
    }
}

fn tell(page: &mut Page, merge: &Merge, decided: &[Option<Choice>], name: &str) {
    let open = decided.iter().filter(|choice| choice.is_none()).count();
    let differ = match merge.disagreements.len() {
        0 => "nothing says otherwise than yours".to_owned(),
        many => format!(
            "{} otherwise than yours",
            count(many, "name or number is told", "names or numbers are told")
        ),
    };
    page.answer(
        &format!(
            "{name}: {} you have, {} new, {differ}",
            count(merge.same, "row", "rows"),
            merge.new.len()
        ),
        open == 0,
    );
    for (table, rows) in &merge.passed_over {
        page.text(
            &format!(
                "{} of {table} left out: those are their owner's own",
                count(*rows, "row", "rows")
            ),
            "  ",
            "    ",
        );
    }
    for (found, choice) in merge.disagreements.iter().zip(decided) {
        disagreement(page, found, *choice);
    }
}

fn disagreement(page: &mut Page, found: &Disagreement, choice: Option<Choice>) {
    let choice = match choice {
        None => "",
        Some(Choice::Mine) => " (yours stay)",
        Some(Choice::Theirs) => " (theirs are taken)",
        Some(Choice::Both) => " (both stand)",
    };
    page.heading(&format!("{}:{}{choice}", found.table, found.key));
    for (mine, theirs) in &found.differing {
        side_by_side(
            page,
            "",
            &format!("yours, {}", mine.place()),
            &format!("theirs, {}", theirs.place()),
        );
        for (column, mine, theirs) in differences(&mine.row, &theirs.row) {
            side_by_side(page, column, &said(&mine), &said(&theirs));
        }
    }
    let mut shown: Vec<String> = Vec::new();
    for (mine, theirs) in &found.beside {
        for mine in mine.iter().filter(|mine| !shown.contains(&mine.place())).collect::<Vec<_>>() {
            page.text(&format!("{} {}", mine.place(), whole(&mine.row)), "  yours  ", "         ");
            shown.push(mine.place());
        }
        page.text(&format!("{} {}", theirs.place(), whole(&theirs.row)), "  theirs ", "         ");
    }
    if found.beside.iter().any(|(mine, _)| !mine.is_empty())
        && matches!(
            found.table,
            "positions" | "operations" | "seats" | "jobs" | "retrofits" | "supersessions"
        )
    {
        page.quiet("Both would apply to one machine, and say different things.", "  ");
    }
}

fn said(text: &str) -> String {
    if text.is_empty() { "(blank)".to_owned() } else { text.to_owned() }
}

/// The cells of a row that hold something.
fn whole(row: &TextRow) -> String {
    let columns = definition(row.table).map_or(&[][..], |table| &table.columns);
    let cells = columns
        .iter()
        .filter(|column| !row.cell(column.name).is_empty() && column.name != "source");
    cells
        .map(|column| format!("{}={}", column.name, row.cell(column.name)))
        .collect::<Vec<_>>()
        .join(", ")
}

/// Prints a column's name, and what the two say of it in columns of their own.
fn side_by_side(page: &mut Page, column: &str, mine: &str, theirs: &str) {
    const NAME: usize = 16;
    let each = (width() - NAME - 3) / 2;
    let [mine, theirs] = [mine, theirs].map(|text| textwrap::wrap(text, each));
    for line in 0..mine.len().max(theirs.len()).max(1) {
        let at = |lines: &[std::borrow::Cow<str>]| {
            lines.get(line).map_or_else(String::new, |text| text.to_string())
        };
        let name = if line == 0 { format!("  {column:<13} ") } else { " ".repeat(NAME) };
        let left = at(&mine);
        let padding = " ".repeat(each.saturating_sub(textwrap::core::display_width(&left)));
        page.text(&format!("{left}{padding} | {}", at(&theirs)), &name, "");
    }
}

fn row_as_json(placed: &Placed) -> Value {
    let columns = definition(placed.row.table).map_or(&[][..], |table| &table.columns);
    let cells = columns.iter().filter(|column| !placed.row.cell(column.name).is_empty());
    let cells: serde_json::Map<String, Value> =
        cells.map(|column| (column.name.to_owned(), json!(placed.row.cell(column.name)))).collect();
    json!({ "table": placed.row.table, "place": placed.place(), "cells": cells })
}

fn as_json((found, choice): (&Disagreement, &Option<Choice>)) -> Value {
    let differing = found.differing.iter().map(|(mine, theirs)| {
        let columns: serde_json::Map<String, Value> = differences(&mine.row, &theirs.row)
            .into_iter()
            .map(|(column, mine, theirs)| {
                (column.to_owned(), json!({ "mine": mine, "theirs": theirs }))
            })
            .collect();
        json!({ "mine": mine.place(), "theirs": theirs.place(), "columns": columns })
    });
    let beside = found.beside.iter().map(|(mine, theirs)| {
        json!({ "mine": mine.iter().map(row_as_json).collect::<Vec<_>>(), "theirs": row_as_json(theirs) })
    });
    let choice = choice.map(|choice| match choice {
        Choice::Mine => "mine",
        Choice::Theirs => "theirs",
        Choice::Both => "both",
    });
    json!({
        "table": found.table,
        "key": found.key,
        "rows": differing.collect::<Vec<_>>(),
        "beside": beside.collect::<Vec<_>>(),
        "choice": choice,
    })
}
