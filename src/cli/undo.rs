//! The command `undo`: takes the last change back that the program made to the tables.

use super::args::{Catalog, UndoAsk};
use super::opening::{find, lines_of};
use super::page::Page;
use super::proposal::{Decision, as_json, decide, show};
use super::{Answer, Ended};
use crate::desk::open::finish_what_was_cut_short;
use crate::tables::{Made, last_made, lock, made, preview_back, take_back};
use anyhow::Context;
use serde_json::json;

pub(crate) fn run(catalog: &Catalog, ask: &UndoAsk, json: bool) -> anyhow::Result<Answer> {
    let root = find(catalog)?;
    if ask.list {
        return list(&made(&root).context("the list of changes cannot be read")?, json);
    }
    let lock = lock(&root)?;
    let notes = lines_of(&finish_what_was_cut_short(&lock, &root)?);
    let Some(last) = last_made(&root).context("the last change cannot be read")? else {
        return Ok(nothing(json).after(&notes));
    };
    let files = preview_back(&root, &last)
        .with_context(|| format!("'{}' was not taken back", last.what))?;
    let mut page = Page::default();
    page.answer(&format!("the last change: {} ({})", last.what, day(&last)), true);
    show(&mut page, &files);
    let mut shown = page.into_text();
    let decision = decide(ask.consent, json, &mut shown, "Take it back?");
    if decision == Decision::Write {
        take_back(&lock, &root, &last)?;
    }
    let written = decision == Decision::Write;
    let ended = if decision == Decision::Unasked { Ended::Open } else { Ended::Done };
    let out = if json {
        let answer = json!({ "what": last.what, "when": last.when, "written": written, "files": as_json(&files) });
        format!("{}\n", serde_json::to_string_pretty(&answer)?)
    } else {
        let said =
            decision.remark().map_or_else(|| format!("Taken back: {}.", last.what), str::to_owned);
        format!("{shown}\n{said}\n")
    };
    Ok(Answer::new(out, ended).after(&notes))
}

fn nothing(json: bool) -> Answer {
    let out = if json { "{ \"written\": false }\n" } else { "There is no change to take back.\n" };
    Answer::new(out.to_owned(), Ended::NotFound)
}

fn list(made: &[Made], json: bool) -> anyhow::Result<Answer> {
    if json {
        let changes = made.iter().map(|made| {
            let files: Vec<&str> = made.files.iter().map(|file| &*file.name).collect();
            json!({ "what": made.what, "when": made.when, "files": files })
        });
        let changes = json!({ "changes": changes.collect::<Vec<_>>() });
        return Ok(Answer::new(
            format!("{}\n", serde_json::to_string_pretty(&changes)?),
            Ended::Done,
        ));
    }
    if made.is_empty() {
        return Ok(nothing(false));
    }
    let mut page = Page::default();
    page.answer("changes that can be taken back, the last first", true);
    for made in made {
        let files: Vec<&str> = made.files.iter().map(|file| &*file.name).collect();
        page.text(&format!("{}: {} ({})", day(made), made.what, files.join(", ")), "  ", "    ");
    }
    Ok(Answer::new(page.into_text(), Ended::Done))
}

/// The day of a change, without the time of day.
fn day(made: &Made) -> &str {
    made.when.split('T').next().unwrap_or_default()
}
