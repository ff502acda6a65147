//! The whole of a kit, for `--full`: every line with its reason, the steps in strip order, torques, tools and cautions.

use super::super::passages::to_inspect;
use super::super::printing::Page;
use crate::catalog::Lookup;
use crate::fit::{self, Kind, contradicted, drive, offered, torque};
use crate::kit::{Action, Kit, Limit, Line, PlannedPosition, Role};
use crate::measure::{Key, PartNumber, Quantity, plain};
use crate::say::{
    amount, described, is_simply_complete, limit_text, named, named_thing, reason, summary, verdict,
};

pub(super) fn page(kit: &Kit, lookup: &dyn Lookup) -> String {
    let mut page = Page::default();
    let title = format!("{} on {}", kit.title(), kit.machine);
    page.answer(&format!("{title}: {}", verdict(kit)), is_simply_complete(kit));
    page.text(&summary(kit), "", "");
    for job in &kit.insisted {
        page.text(
            &format!("{job} is not for this machine; you asked for it all the same."),
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
        page.heading("Gaps");
        for gap in &kit.gaps {
            page.text(&format!("{}: {}", gap.kind, gap.subject), "  ", "    ");
            page.text(&gap.message, "      ", "      ");
        }
    }
    if !kit.doubts.is_empty() {
        page.heading("Check this");
        for doubt in &kit.doubts {
            page.text(doubt, "  ", "    ");
        }
    }
}

/// What the figures say where no row says that a part fits. The gap stays all the same.
fn figures(kit: &Kit, lookup: &dyn Lookup, page: &mut Page) {
    said_by_figures("By the sizes; the gap stays until you close it", &offered(kit, lookup), page);
    said_by_figures(
        "The sizes say otherwise than the tables: measure again",
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
        (Role::New, "Main parts"),
        (Role::Companion, "Goes with them"),
        (Role::SingleUse, "Single-use"),
        (Role::Consumable, "Supplies"),
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
                page.text(&format!("gap: {}", named(&line.open)), &format!("{rest}! "), &rest);
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
    page.heading("Included with the parts above (don't order)");
    for planned in covered {
        let by = planned
            .covered
            .iter()
            .map(|cover| format!("{} in {}", plain(cover.quantity), cover.by));
        let parts: Vec<&str> = planned.parts.iter().map(|part| part.part.as_str()).collect();
        let by: Vec<String> = by.collect();
        page.text(
            &format!("{}: {}: {}", called(planned), parts.join(", "), by.join(", ")),
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
        page.heading("Remove, don't refit");
        for planned in left_out {
            let was = planned.current.as_deref().filter(|part| !part.is_empty());
            let was = was.map_or_else(String::new, |part| format!(" ({part} comes out)"));
            page.text(&format!("{}{was}", called(planned)), "  ", "    ");
        }
    }
    if !kit.reused.is_empty() {
        page.heading("Reused on your word");
        page.text(&kit.reused.join(", "), "  ", "  ");
    }
}

fn inspected(kit: &Kit, page: &mut Page) {
    let inspected: Vec<&PlannedPosition> =
        kit.positions.iter().filter(|planned| planned.action == Action::Inspect).collect();
    if inspected.is_empty() {
        return;
    }
    page.heading("Inspect, replace if worn");
    to_inspect(&inspected, page);
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
    page.heading("Measure the seats of the new parts while it is apart");
    for planned in renewed {
        page.text(&called(planned), "  ", "    ");
        for limit in planned.limits.iter().filter(has_limit) {
            page.quiet(&limit_text(limit), "      ");
        }
    }
}

fn operations(kit: &Kit, page: &mut Page) {
    if kit.operations.is_empty() {
        return;
    }
    page.heading("Steps in strip order (refit is the reverse)");
    for (index, operation) in kit.operations.iter().enumerate() {
        let mut text = named_thing(&operation.name, &operation.operation);
        if let Some(minutes) = operation.minutes {
            text.push_str(&format!(", {} min", plain(minutes)));
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
    page.heading("Torques (the maker's manual comes first)");
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
    let kept: Vec<String> = kept.map(called).collect();
    if !kept.is_empty() {
        page.heading("Reuse");
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

fn called(planned: &PlannedPosition) -> String {
    named_thing(&planned.name, &planned.position)
}
