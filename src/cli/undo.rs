//! The command `undo`: takes the last change back that the program made to the tables.

use super::args::Catalog;
use super::opening::find;
use super::printing::Page;
use super::proposal::{Consent, Decision, as_json, decide, show};
use super::{Answer, Ended};
use crate::tables::{
    Made, last_made, lock, made, preview_back, ready_to_change, settle, take_back, waiting,
};
use anyhow::{Context, bail};
use clap::Args;
use serde_json::json;
use std::path::Path;

#[derive(Debug, Args)]
#[command(after_help = "\
Examples:
  kitwright undo
  kitwright undo --list

What is needed for it is kept as plain files in .kitwright-undo in the catalog folder.")]
pub(crate) struct UndoAsk {
    /// List the changes that can be taken back.
    #[arg(long, conflicts_with_all = ["yes", "dry_run"])]
    pub list: bool,
    /// Settle a change that was cut short and could not be finished, or that came with a copied folder.
    #[arg(long, value_enum, value_name = "HOW", num_args = 0..=1, default_missing_value = "show", conflicts_with = "list")]
    pub cut_short: Option<CutShortAsk>,
    #[command(flatten)]
    pub consent: Consent,
}

/// What is to become of a change that waits.
#[derive(Debug, Clone, Copy, PartialEq, Eq, clap::ValueEnum)]
pub(crate) enum CutShortAsk {
    /// Show it.
    Show,
    /// Carry out what is left of it.
    Finish,
    /// Forget it; the tables stay as they are.
    Drop,
}

pub(crate) fn run(catalog: &Catalog, ask: &UndoAsk, json: bool) -> anyhow::Result<Answer> {
    let root = find(catalog)?;
    if ask.list {
        return list(&made(&root).context("the list of changes cannot be read")?, json);
    }
    if let Some(wish) = ask.cut_short {
        return settle_what_waits(&root, ask, wish, json);
    }
    ready_to_change(&root)?;
    let Some(last) = last_made(&root).context("the last change cannot be read")? else {
        return Ok(nothing(json));
    };
    let files = preview_back(&root, &last)
        .with_context(|| format!("'{}' was not taken back", last.what))?;
    let mut page = Page::default();
    page.answer(&format!("the last change: {} ({})", last.what, day(&last)), true);
    show(&mut page, &files);
    let mut shown = page.into_text();
    let decision = decide(ask.consent, json, &mut shown, "Take it back?");
    if decision == Decision::Write {
        take_back(&lock(&root)?, &root, &last, &files)?;
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
    Ok(Answer::new(out, ended))
}

/// Carries out or drops a change that was cut short, or that came with a copied folder.
fn settle_what_waits(
    root: &Path,
    ask: &UndoAsk,
    wish: CutShortAsk,
    json: bool,
) -> anyhow::Result<Answer> {
    let Some(found) = waiting(root) else {
        let none = "No change waits in this catalog.\n".to_owned();
        let none = if json { "{ \"written\": false }\n".to_owned() } else { none };
        return Ok(Answer::new(none, Ended::NotFound));
    };
    let mut page = Page::default();
    let what = found.what.as_deref().unwrap_or("a change that cannot be read");
    page.answer(&format!("a change that was cut short: {what}"), false);
    if let Some(why) = &found.why_not {
        page.text(&format!("it can only be dropped, as {why}"), "  ", "  ");
    }
    show(&mut page, &found.files);
    let mut shown = page.into_text();
    let finish = wish == CutShortAsk::Finish;
    if finish && let Some(why) = &found.why_not {
        bail!("it cannot be carried out, as {why}; --cut-short drop forgets it");
    }
    let question = if finish { "Carry it out?" } else { "Drop it?" };
    let decision = match wish {
        CutShortAsk::Show => Decision::Leave,
        _ => decide(ask.consent, json, &mut shown, question),
    };
    if decision == Decision::Write {
        settle(&lock(root)?, root, finish)?;
    }
    let written = decision == Decision::Write;
    let open = decision == Decision::Unasked || wish == CutShortAsk::Show;
    let ended = if open { Ended::Open } else { Ended::Done };
    if json {
        let answer = json!({ "what": found.what, "written": written && finish, "settled": written, "files": as_json(&found.files) });
        return Ok(Answer::new(format!("{}\n", serde_json::to_string_pretty(&answer)?), ended));
    }
    let said = match (wish, written) {
        (CutShortAsk::Show, _) => "--cut-short finish carries it out, --cut-short drop forgets it.",
        (CutShortAsk::Finish, true) => "Written. kitwright undo takes it back.",
        (CutShortAsk::Drop, true) => "Dropped. The tables are as they were.",
        (_, false) => decision.remark().unwrap_or_default(),
    };
    Ok(Answer::new(format!("{shown}\n{said}\n"), ended))
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
