//! The command `kit`.

mod compare;
mod first_screen;
mod full;

use super::args::{Catalog, Wanted};
use super::opening::with_catalog;
use super::printing::Page;
use super::way_out;
use super::{Answer, Ended};
use crate::catalog::Lookup;
use crate::desk;
use crate::fit::{contradicted, drive, offered, torque};
use crate::kit::{Ask, Disagreement, Kit, NoKit, Reason, checked, left_out};
use crate::measure::{Key, PartNumber, plain, shorten};
use crate::near::nearest;
use crate::say::{Ways, remark, told};
use anyhow::Context as _;
use clap::Args;
use serde_json::{Value, json};
use std::collections::HashSet;

#[derive(Debug, Args)]
#[command(after_help = "\
Examples:
  kitwright kit cooling-pump --on dinghy
  kitwright kit cooling-pump dinghy --full
  kitwright kit cooling-pump annual-service --on dinghy --option driveshaft-out
  kitwright kit --renew pump-liner-seal --on dinghy
  kitwright kit cooling-pump --on dinghy --why 91-2110
  kitwright kit gearcase-seals --on dinghy --compare")]
pub(crate) struct KitAsk {
    #[command(flatten)]
    pub wanted: Wanted,
    /// Show everything: reasons, steps in order, torques, tools, cautions in full.
    #[arg(long, conflicts_with_all = ["why", "csv", "compare"])]
    pub full: bool,
    /// Show why a part is on the list, back to the job.
    #[arg(long, value_name = "PART")]
    pub why: Option<String>,
    /// Print the lines as CSV.
    #[arg(long, conflicts_with = "why")]
    pub csv: bool,
    /// Show each set of the jobs' options side by side.
    #[arg(long, conflicts_with_all = ["why", "csv"])]
    pub compare: bool,
}

pub(crate) fn run(catalog: &Catalog, ask: &KitAsk, json: bool) -> anyhow::Result<Answer> {
    if json && ask.csv {
        return Ok(Answer::refused("error: --json and --csv cannot both be printed; choose one\n"));
    }
    with_catalog(catalog, |catalog, notes| work(catalog, notes, ask, json))
}

/// Says which of the jobs are half done: by the rules a job asks for all that it names, whatever of it is done.
fn half_done(ask: &Ask, catalog: &dyn Lookup) -> String {
    let Some(machine) = &ask.machine else { return String::new() };
    let mut notes = String::new();
    for job in &ask.jobs {
        let left = left_out(machine, job, catalog);
        let Some(first) = left.first() else { continue };
        let positions: Vec<String> = left.iter().map(|left| left.position.to_string()).collect();
        notes.push_str(&format!(
            "note: {job} was done on {} ({}) all but {}; --rest asks for what is left alone\n",
            first.date,
            catalog.place(first.at),
            positions.join(", ")
        ));
    }
    notes
}

fn work(catalog: &dyn Lookup, notes: String, ask: &KitAsk, json: bool) -> anyhow::Result<Answer> {
    let question = match desk::Wanted::from(&ask.wanted).ask(catalog) {
        Ok(question) => question,
        Err(why) => return Ok(Answer::refused(format!("{notes}error: {why}\n"))),
    };
    let notes = notes + &half_done(&question, catalog);
    if ask.compare {
        return compare::run(&question, catalog, notes, json);
    }
    let kit = match checked(&question, catalog) {
        Ok(kit) => kit,
        Err(NoKit::Disagreement(views)) => return Ok(Answer::refused(disagreement(&views))),
        Err(why) => return Ok(Answer::refused(format!("{notes}error: {why}\n"))),
    };
    let ended = Ended::with(kit.complete);
    let mut answer = if let Some(number) = &ask.why {
        why(&kit, number, json, catalog, ended)?
    } else if json {
        let mut object = serde_json::to_value(&kit)?;
        if let Value::Object(object) = &mut object {
            object
                .insert("torques".to_owned(), serde_json::to_value(torque::of_kit(&kit, catalog))?);
            object.insert("drives".to_owned(), serde_json::to_value(drive::of_kit(&kit, catalog))?);
            object.insert("offered".to_owned(), serde_json::to_value(offered(&kit, catalog))?);
            object.insert(
                "contradicted".to_owned(),
                serde_json::to_value(contradicted(&kit, catalog))?,
            );
        }
        Answer::new(format!("{}\n", serde_json::to_string_pretty(&object)?), ended)
    } else if ask.csv {
        let mut answer = Answer::new(csv_lines(&kit)?, ended);
        for gap in &kit.gaps {
            answer.err.push_str(&format!("gap: {} {}: {}\n", gap.kind, gap.subject, gap.message));
        }
        for doubt in &kit.doubts {
            answer.err.push_str(&format!("check: {doubt}\n"));
        }
        answer
    } else if ask.full {
        Answer::new(full::page(&kit, catalog), ended)
    } else {
        Answer::new(first_screen::page(&kit, catalog), ended)
    };
    answer.err.insert_str(0, &notes);
    for option in &kit.unknown_options {
        answer.err.push_str(&format!("note: {}\n", no_such_option(&kit, option)));
    }
    Ok(answer)
}

/// The loud answer when the kit and its audit disagree: both views, and no kit to rely on.
fn disagreement(views: &Disagreement) -> String {
    let mut text = String::from(
        "internal error: the kit and its audit disagree, so no kit is shown as one to rely on.\n\
         Please report this with the tables that led to it.\n\nThe audit's view:\n",
    );
    for finding in &views.findings {
        text.push_str(&format!("  {finding}\n"));
    }
    text.push_str("\nThe solver's view:\n");
    text.push_str(&serde_json::to_string_pretty(&views.kit).unwrap_or_default());
    text.push('\n');
    text
}

fn no_such_option(kit: &Kit, option: &str) -> String {
    let known = &kit.known_options;
    let hint = match (nearest(option, known.iter().map(String::as_str)), known.is_empty()) {
        (Some(meant), _) => format!("did you mean {meant}?"),
        (None, true) => "they have none".to_owned(),
        (None, false) => format!("they have: {}", known.join(", ")),
    };
    let option = shorten(option);
    format!(
        "no line of these jobs asks about the option '{option}', so nothing was added for it; {hint}"
    )
}

fn csv_lines(kit: &Kit) -> anyhow::Result<String> {
    let mut writer = csv::Writer::from_writer(Vec::new());
    writer.write_record([
        "part",
        "type",
        "name",
        "size",
        "quantity",
        "unit",
        "role",
        "positions",
        "note",
    ])?;
    for line in &kit.lines {
        let quantity =
            if line.quantity.is_zero() { "as-needed".to_owned() } else { plain(line.quantity) };
        let cells = [
            line.part.as_str(),
            &line.part_type,
            &line.name,
            &line.size,
            quantity.as_str(),
            line.unit.symbol(),
            line.role.as_str(),
            &line.positions.join(";"),
            &remark(line),
        ];
        writer.write_record(cells.map(way_out::cell))?;
    }
    let bytes = writer.into_inner().context("the lines could not be written")?;
    Ok(String::from_utf8(bytes)?)
}

// Why a part is on the list.

fn why(
    kit: &Kit,
    number: &str,
    json: bool,
    lookup: &dyn Lookup,
    ended: Ended,
) -> anyhow::Result<Answer> {
    let position = Key::new(number);
    let number = PartNumber::new(number).context("--why needs a part number or a position")?;
    let found = told(kit, &number, &position, lookup);
    if found.is_empty() {
        let known: HashSet<&str> = kit
            .lines
            .iter()
            .map(|line| line.part.as_str())
            .chain(kit.lines.iter().flat_map(|l| l.replaces.iter().map(String::as_str)))
            .collect();
        let meant = nearest(number.as_str(), known);
        let hint = meant.map_or_else(String::new, |meant| format!("; did you mean {meant}?"));
        let number = shorten(number.as_str());
        let err = format!("this kit holds no part or position '{number}'{hint}\n");
        return Ok(Answer { out: String::new(), err, ended: Ended::NotFound });
    }
    let ways = Ways::of(kit);
    if json {
        let as_json = |reason: &Reason| json!({ "text": reason.text, "row": reason.place });
        let tree: Vec<Value> = found
            .iter()
            .map(|told| {
                let because: Vec<Vec<Value>> = ways
                    .back(told)
                    .iter()
                    .map(|way| way.iter().map(|r| as_json(r)).collect())
                    .collect();
                json!({ "what": told.what, "because": because })
            })
            .collect();
        let object = json!({ "part": lookup.spell_part(&number).as_str(), "machine": kit.machine, "why": tree });
        return Ok(Answer::new(format!("{}\n", serde_json::to_string_pretty(&object)?), ended));
    }
    let mut page = Page::default();
    for (index, told) in found.iter().enumerate() {
        if index > 0 {
            page.blank();
        }
        page.answer(&told.what, true);
        let mut head: Option<&Reason> = None;
        for way in ways.back(told) {
            for (depth, reason) in way.iter().enumerate() {
                // The head that several ways share is told once.
                if depth == 0 && head == Some(*reason) {
                    continue;
                }
                let indent = "  ".repeat((depth + 1).min(16));
                page.text(&reason.to_string(), &indent, &format!("{indent}  "));
            }
            head = way.first().copied();
        }
    }
    Ok(Answer::new(page.into_text(), ended))
}
