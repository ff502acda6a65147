//! The command `add`: a row, a joint or a job, shown before it is written.

use super::add_arguments::AddAsk;
use super::args::Catalog;
use super::ask::Terminal;
use super::opening::{lines_of, open_sheets_to_change};
use super::printing::Page;
use super::proposal::{Decision, as_json, decide, show};
use super::{Answer, Ended};
use crate::desk::adding::{Asks, Draft, Typed, draft};
use crate::desk::open::SheetBench;
use crate::entry::{Existing, cells};
use crate::measure::PartNumber;
use crate::tables::{TextRow, definition};
use serde_json::{Map, Value, json};

pub(crate) fn run(catalog: &Catalog, ask: &AddAsk, json: bool) -> anyhow::Result<Answer> {
    let bench = open_sheets_to_change(catalog)?;
    let mut terminal = if ask.consent.yes || json { None } else { Terminal::open() };
    let asks = terminal.as_mut().map(|terminal| terminal as &mut dyn Asks);
    let draft = match draft(&Typed::from(ask), &bench, asks) {
        Ok(draft) => draft,
        Err(why) => {
            let notes = lines_of(&bench.workbench.notes);
            return Ok(Answer::refused(format!("{notes}error: {why}\n")));
        }
    };
    finish(&bench, ask, draft, json)
}

fn finish(bench: &SheetBench, ask: &AddAsk, draft: Draft, json: bool) -> anyhow::Result<Answer> {
    let workbench = &bench.workbench;
    let notes = lines_of(&workbench.notes);
    let edits = draft.bundle.edits(|table| workbench.file_of(table));
    let stands = draft.bundle.taken.is_empty() && draft.questions.is_empty();
    let files = if stands && !edits.is_empty() { workbench.preview(&edits)? } else { Vec::new() };
    let mut page = Page::default();
    headline(&mut page, &draft);
    show(&mut page, &files);
    doubts(&mut page, &draft);
    let mut shown = page.into_text();
    let nothing_to_do = draft.bundle.is_empty() && stands;
    let decision = if !stands || nothing_to_do {
        Decision::Leave
    } else {
        decide(ask.consent, json, &mut shown, "Write it?")
    };
    let written = decision == Decision::Write;
    if written {
        let what = draft.bundle.rows.last().map_or_else(|| draft.table.to_owned(), title);
        workbench.change(&format!("adding {what}"), &edits)?;
    }
    let ended = if !stands {
        Ended::Refused
    } else if decision == Decision::Unasked {
        Ended::Open
    } else {
        Ended::Done
    };
    if json {
        let text = serde_json::to_string_pretty(&answer(&draft, written, as_json(&files)))?;
        return Ok(Answer { out: format!("{text}\n"), err: notes, ended });
    }
    let said = if !draft.questions.is_empty() {
        let column = draft.questions.first().map_or("size", |question| question.column);
        format!(
            "Nothing was written. Say what is meant, as in --{column}='...' (--{column}= leaves it blank)."
        )
    } else if !stands {
        "Nothing was written. kitwright change changes what is there.".to_owned()
    } else if nothing_to_do {
        "Nothing is to be written.".to_owned()
    } else {
        decision
            .remark()
            .map_or_else(|| "Written. kitwright undo takes it back.".to_owned(), str::to_owned)
    };
    Ok(Answer { out: format!("{shown}\n{said}\n"), err: notes, ended })
}

/// A row by its table and its first cell.
fn title(row: &TextRow) -> String {
    let first = definition(row.table)
        .and_then(|table| table.columns.first())
        .map_or("", |column| column.name);
    format!("{} to {}", row.cell(first), row.table)
}

fn headline(page: &mut Page, draft: &Draft) {
    let rows = &draft.bundle.rows;
    let text = match rows.as_slice() {
        [] if draft.bundle.taken.is_empty() && draft.bundle.sets.is_empty() => {
            "this is there already".to_owned()
        }
        [] => "this touches rows that are there".to_owned(),
        [one] => format!("new in {}", one.table),
        several => format!("{} new rows", several.len()),
    };
    page.answer(&text, draft.bundle.taken.is_empty() && draft.questions.is_empty());
    for row in rows {
        let said: Vec<String> =
            cells(row).into_iter().map(|(column, text)| format!("{column} {text}")).collect();
        page.text(&said.join(" · "), &format!("  {}: ", row.table), "      ");
    }
}

fn doubts(page: &mut Page, draft: &Draft) {
    if !draft.bundle.taken.is_empty() {
        for (row, existing) in &draft.bundle.taken {
            side_by_side(page, row, existing);
        }
    }
    if !draft.questions.is_empty() {
        page.heading("In doubt");
        for question in &draft.questions {
            let choices = if question.choices.is_empty() {
                String::new()
            } else {
                format!(" - {}?", question.choices.join(" or "))
            };
            page.text(&format!("{}: {}{choices}", question.column, question.text), "  ? ", "    ");
        }
    }
    let mut remarks: Vec<String> = draft.bundle.remarks.clone();
    for (row, existing) in draft.bundle.taken.iter().filter(|(row, _)| row.table == "parts") {
        let (typed, known) = (row.cell("part"), existing.row.cell("part"));
        if typed != known {
            remarks.push(format!("{typed} is {known} in another spelling"));
        }
    }
    remarks.extend(
        draft
            .alike
            .iter()
            .map(|other| format!("{other} is in parts and looks alike; is it the same number?")),
    );
    if draft.table == "parts"
        && draft.bundle.rows.iter().any(|row| row.table == "parts" && row.cell("type").is_empty())
    {
        remarks.push(
            "no type was recognised, so a kit will say rule-unknown of this part; say --type, or fill it in later"
                .to_owned(),
        );
    }
    if !draft.left_out.is_empty() {
        let said: Vec<String> =
            draft.left_out.iter().map(|left| format!("{} {}", left.what, left.text)).collect();
        remarks.push(format!("not taken, for parts has no column for it: {}", said.join(", ")));
        for torque in draft.left_out.iter().filter(|left| left.what == "torque") {
            remarks.push(format!(
                "a torque belongs to the place: kitwright add position NAME --part NUMBER --torque '{}'",
                torque.text
            ));
        }
    }
    if !remarks.is_empty() {
        page.heading("Worth knowing");
        for remark in remarks {
            page.text(&remark, "  - ", "    ");
        }
    }
}

/// Shows a new row beside the one that is there, column by column.
pub(crate) fn side_by_side(page: &mut Page, row: &TextRow, existing: &Existing) {
    page.heading(&format!("{} says already", existing.place()));
    let Some(table) = definition(row.table) else { return };
    for column in &table.columns {
        let (ours, theirs) = (existing.row.cell(column.name), row.cell(column.name));
        if ours.is_empty() && theirs.is_empty() {
            continue;
        }
        let blank =
            |text: &str| if text.is_empty() { "(blank)".to_owned() } else { text.to_owned() };
        let line = if theirs.is_empty() || ours == theirs {
            blank(ours)
        } else {
            format!("{} - you typed: {theirs}", blank(ours))
        };
        page.text(&line, &format!("  {:<14} ", column.name), &" ".repeat(17));
    }
}

fn answer(draft: &Draft, written: bool, files: Value) -> Value {
    let object = |row: &TextRow| -> Value {
        Value::Object(
            cells(row)
                .into_iter()
                .map(|(column, text)| (column, Value::String(text)))
                .collect::<Map<_, _>>(),
        )
    };
    let main = draft.bundle.rows.iter().rfind(|row| row.table == draft.table).or(draft
        .bundle
        .taken
        .first()
        .map(|(row, _)| row));
    json!({
        "table": draft.table,
        "row": main.map(object),
        "rows": draft.bundle.rows.iter().map(|row| json!({ "table": row.table, "row": object(row) })).collect::<Vec<_>>(),
        "questions": draft.questions.iter().map(|question| json!({ "column": question.column, "text": question.text, "choices": question.choices })).collect::<Vec<_>>(),
        "left_out": draft.left_out.iter().map(|left| json!({ "what": left.what, "text": left.text })).collect::<Vec<_>>(),
        "existing": draft.bundle.taken.iter().map(|(_, existing)| json!({ "place": existing.place(), "row": object(&existing.row) })).collect::<Vec<_>>(),
        "alike": draft.alike.iter().map(PartNumber::as_str).collect::<Vec<_>>(),
        "remarks": draft.bundle.remarks,
        "written": written,
        "files": files,
    })
}
