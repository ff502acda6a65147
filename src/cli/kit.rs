//! The command `kit`.

use super::args::{Catalog, KitAsk};
use super::opening::with_catalog;
use super::page::Page;
use super::way_out;
use super::{Answer, Ended};
use crate::catalog::Lookup;
use crate::desk::Wanted;
use crate::fit::{self, Kind, contradicted, drive, offered, torque};
use crate::kit::{
    Action, Ask, Disagreement, Kit, Limit, Line, NoKit, PlannedPosition, Reason, Role, checked,
    left_out,
};
use crate::measure::{Key, PartNumber, Quantity, plain, shorten};
use crate::near::nearest;
use crate::say::{
    Ways, amount, described, is_simply_complete, limit_text, named, reason, remark, summary, told,
    verdict,
};
use anyhow::Context;
use serde_json::{Value, json};
use std::collections::HashSet;

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
    let question = match Wanted::from(&ask.wanted).ask(catalog) {
        Ok(question) => question,
        Err(why) => return Ok(Answer::refused(format!("{notes}error: {why}\n"))),
    };
    let notes = notes + &half_done(&question, catalog);
    if ask.compare {
        return super::options::run(&question, catalog, notes, json);
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
            answer.err.push_str(&format!("open: {} {}: {}\n", gap.kind, gap.subject, gap.message));
        }
        for doubt in &kit.doubts {
            answer.err.push_str(&format!("look again: {doubt}\n"));
        }
        answer
    } else {
        Answer::new(page(&kit, catalog), ended)
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

fn page(kit: &Kit, lookup: &dyn Lookup) -> String {
    let mut page = Page::default();
    let title = format!("{} on {}", kit.title(), kit.machine);
    page.answer(&format!("{title}: {}", verdict(kit)), is_simply_complete(kit));
    page.text(&summary(kit), "", "");
    for job in &kit.insisted {
        page.text(
            &format!("{job} is not for this machine; it was worked out because you insisted."),
            "! ",
            "  ",
        );
    }
    for option in &kit.unknown_options {
        page.text(
            &format!(
                "No line of these jobs asks about the option {option}; nothing was added for it."
            ),
            "! ",
            "  ",
        );
    }
    gaps(kit, &mut page);
    figures(kit, lookup, &mut page);
    lines(kit, lookup, &mut page);
    covered(kit, &mut page);
    set_aside(kit, &mut page);
    inspected(kit, &mut page);
    seats_to_measure(kit, &mut page);
    operations(kit, &mut page);
    ending(kit, lookup, &mut page);
    page.into_text()
}

fn gaps(kit: &Kit, page: &mut Page) {
    if !kit.gaps.is_empty() {
        page.heading("Stands open");
        for gap in &kit.gaps {
            page.text(&format!("{} {}", gap.kind, gap.subject), "  ", "    ");
            page.quiet(&gap.message, "      ");
        }
    }
    if !kit.doubts.is_empty() {
        page.heading("Look again");
        for doubt in &kit.doubts {
            page.text(doubt, "  ", "    ");
        }
    }
}

/// What the figures say where no row says that a part fits. The gap stays all the same.
fn figures(kit: &Kit, lookup: &dyn Lookup, page: &mut Page) {
    said_by_figures(
        "What the figures say of it; the gap stays until you settle it",
        &offered(kit, lookup),
        page,
    );
    said_by_figures(
        "The figures speak against what the tables let in; measure again",
        &contradicted(kit, lookup),
        page,
    );
}

fn said_by_figures(heading: &str, answers: &[fit::Answer], page: &mut Page) {
    if answers.is_empty() {
        return;
    }
    page.heading(heading);
    for answer in answers {
        for evidence in answer.evidence.iter().filter(|evidence| evidence.kind == Kind::Computed) {
            let text = format!(
                "{} at {}: {}: {}",
                answer.part, answer.position, evidence.verdict, evidence.text
            );
            page.text(&text, "  ", "    ");
        }
        for measure in &answer.measure {
            page.text(
                &format!("{} at {}: measure {measure}", answer.part, answer.position),
                "  ? ",
                "    ",
            );
        }
    }
}

fn lines(kit: &Kit, lookup: &dyn Lookup, page: &mut Page) {
    let headings = [
        (Role::New, "Needed: what the job asks for"),
        (Role::Companion, "Needed: what must change with it"),
        (Role::SingleUse, "Needed: used up by taking it apart"),
        (Role::Consumable, "Needed: used up by the work"),
    ];
    let widest = kit.lines.iter().map(|line| line.part.chars().count()).max().unwrap_or(0).min(24);
    for (role, heading) in headings {
        let mut of_role = kit.lines.iter().filter(|line| line.role == role).peekable();
        if of_role.peek().is_none() {
            continue;
        }
        page.heading(heading);
        for line in of_role {
            let first = format!("  {:>9}  {:<widest$}  ", amount(line), line.part);
            let rest = " ".repeat(first.chars().count());
            let mut what = described(line);
            if what.is_empty() {
                what = "(not in the table parts)".to_owned();
            }
            page.text(&what, &first, &rest);
            page.quiet(&reason(kit, line), &rest);
            if !line.open.is_empty() {
                page.text(&format!("open: {}", named(&line.open)), &format!("{rest}! "), &rest);
            }
            page.quiet(&on_shelf(line, lookup), &rest);
        }
    }
}

/// What lies on the shelf under the number of a line.
fn on_shelf(line: &Line, lookup: &dyn Lookup) -> String {
    let Some(number) = PartNumber::new(&line.part) else { return String::new() };
    let rows = lookup.stock_of(&number);
    let there = rows.iter().filter(|row| !row.quantity.0.amount.is_zero()).map(|row| {
        let bin = if row.bin.is_empty() { String::new() } else { format!(" in {}", row.bin) };
        format!("{}{bin}", row.quantity.0)
    });
    let there: Vec<String> = there.collect();
    if there.is_empty() { String::new() } else { format!("on the shelf: {}", there.join(", ")) }
}

fn covered(kit: &Kit, page: &mut Page) {
    let covered: Vec<_> =
        kit.positions.iter().filter(|planned| !planned.covered.is_empty()).collect();
    if covered.is_empty() && kit.arrives_fitted.is_empty() {
        return;
    }
    page.heading("Arrives with the parts above");
    for planned in covered {
        let by = planned
            .covered
            .iter()
            .map(|cover| format!("{} in {}", plain(cover.quantity), cover.by));
        let parts: Vec<&str> = planned.parts.iter().map(|part| part.part.as_str()).collect();
        let by: Vec<String> = by.collect();
        page.text(
            &format!("{}: {}: {}", planned.position, parts.join(", "), by.join(", ")),
            "  ",
            "    ",
        );
    }
    for arrives in &kit.arrives_fitted {
        let quantity = Quantity::new(arrives.quantity, arrives.unit);
        let text = format!(
            "{}: {}: {quantity} in {}, fitted there from now on",
            arrives.position, arrives.part, arrives.by
        );
        page.text(&text, "  ", "    ");
    }
}

fn set_aside(kit: &Kit, page: &mut Page) {
    let left_out: Vec<_> =
        kit.positions.iter().filter(|planned| planned.action == Action::LeaveOut).collect();
    if !left_out.is_empty() {
        page.heading("Left out for good");
        for planned in left_out {
            let was = planned.current.as_deref().filter(|part| !part.is_empty());
            let was = was.map_or_else(String::new, |part| format!(" ({part} comes out)"));
            page.text(&format!("{}{was}", planned.position), "  ", "    ");
        }
    }
    if !kit.reused.is_empty() {
        page.heading("Used again on your word");
        page.text(&kit.reused.join(", "), "  ", "  ");
    }
}

fn inspected(kit: &Kit, page: &mut Page) {
    let inspected: Vec<&PlannedPosition> =
        kit.positions.iter().filter(|planned| planned.action == Action::Inspect).collect();
    if inspected.is_empty() {
        return;
    }
    page.heading("Inspect; have ready if worn");
    to_inspect(&inspected, page);
}

/// Lists inspected positions with what replaces them and the limits that decide it.
pub(super) fn to_inspect(inspected: &[&PlannedPosition], page: &mut Page) {
    for planned in inspected {
        let name =
            if planned.name.is_empty() { String::new() } else { format!(" ({})", planned.name) };
        let parts: Vec<String> = planned
            .if_worn
            .iter()
            .map(|part| {
                format!("{} × {}", Quantity::new(part.quantity, part.unit).shown(), part.part)
            })
            .collect();
        let parts =
            if parts.is_empty() { "part not looked up".to_owned() } else { parts.join(", ") };
        page.text(&format!("{}{name}: {parts}", planned.position), "  ", "    ");
        for limit in &planned.limits {
            page.quiet(&limit_text(limit), "      ");
        }
    }
}

/// What a renewed part sits in stays, and is judged while it can be reached.
fn seats_to_measure(kit: &Kit, page: &mut Page) {
    let has_limit = |limit: &&Limit| limit.least.is_some() || limit.most.is_some();
    let renewed = kit.positions.iter().filter(|planned| planned.action == Action::Renew);
    let mut renewed =
        renewed.filter(|planned| planned.limits.iter().any(|limit| has_limit(&limit))).peekable();
    if renewed.peek().is_none() {
        return;
    }
    page.heading("Measure while it is apart: what the new parts sit in");
    for planned in renewed {
        page.text(&planned.position, "  ", "    ");
        for limit in planned.limits.iter().filter(has_limit) {
            page.quiet(&limit_text(limit), "      ");
        }
    }
}

fn operations(kit: &Kit, page: &mut Page) {
    if kit.operations.is_empty() {
        return;
    }
    page.heading("Operations in strip order (refit is the reverse)");
    for (index, operation) in kit.operations.iter().enumerate() {
        let mut text = operation.operation.clone();
        if !operation.name.is_empty() {
            text.push_str(&format!(": {}", operation.name));
        }
        if let Some(minutes) = operation.minutes {
            text.push_str(&format!(" ({} min)", plain(minutes)));
        }
        page.text(&text, &format!("  {:>2}. ", index + 1), "      ");
        let mut does = Vec::new();
        if !operation.opens.is_empty() {
            does.push(format!("opens {}", operation.opens.join(", ")));
        }
        if !operation.removes.is_empty() {
            does.push(format!("takes off {}", operation.removes.join(", ")));
        }
        page.quiet(&does.join("; "), "      ");
    }
}

/// The torques as the tables list them. One for an earlier part is not simply carried over to a later one.
fn torques(kit: &Kit, lookup: &dyn Lookup, page: &mut Page) {
    let listed = torque::of_kit(kit, lookup);
    if listed.is_empty() {
        return;
    }
    page.heading("Torques as the tables list them; the maker's manual rules");
    for listed in listed {
        page.text(&format!("{}: {}", listed.position, listed.torque), "  ", "    ");
        if let Some(fitted) = listed.fitted {
            let text =
                format!("listed for {}, not for {fitted} ({})", listed.listed_for, listed.from);
            page.quiet(&text, "      ");
        }
    }
}

fn ending(kit: &Kit, lookup: &dyn Lookup, page: &mut Page) {
    let kept = kit
        .positions
        .iter()
        .filter(|p| p.action == Action::Keep && !kit.reused.contains(&p.position));
    let kept: Vec<&str> = kept.map(|planned| planned.position.as_str()).collect();
    if !kept.is_empty() {
        page.heading("Kept and put back");
        page.text(&kept.join(", "), "  ", "  ");
    }
    let drives = drive::of_kit(kit, lookup);
    if !kit.tools.is_empty() || !drives.is_empty() {
        page.heading("Tools");
        page.text(&kit.tools.join(", "), "  ", "  ");
        for needed in drives {
            page.text(
                &format!("{} for {}", needed.tool, needed.positions.join(", ")),
                "  ",
                "    ",
            );
        }
    }
    torques(kit, lookup, page);
    if !kit.caution_texts.is_empty() {
        page.heading("Cautions");
        for caution in &kit.caution_texts {
            let text = if caution.text.is_empty() {
                format!("{} (the table cautions has no such row)", caution.caution)
            } else {
                caution.text.clone()
            };
            page.text(&text, "  ! ", "    ");
        }
    }
    page.blank();
    let machine = lookup.machine(&Key::new(&kit.machine));
    let model = machine.map_or_else(String::new, |machine| format!(" for the {}", machine.model));
    page.quiet(
        &format!(
            "The maker's manual{model}, local rules and licensed practice come before this list."
        ),
        "",
    );
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
