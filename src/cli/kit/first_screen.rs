//! The first screen of a kit: the verdict, what to settle, one line a part, what to do next.

use super::super::printing::{Page, Tone, count};
use crate::catalog::Lookup;
use crate::fit::{Kind, contradicted, offered, torque};
use crate::kit::{Action, Kit, Line, Role};
use crate::measure::{Money, PartNumber, Quantity, WearState, plain};
use crate::say::{amount, described, limit_text, named_thing, verdict};
use rust_decimal::Decimal;
use std::collections::BTreeMap;

/// What the shelf has of a line.
enum Have {
    Enough(Quantity),
    Some(Quantity),
    Nothing,
}

pub(super) fn page(kit: &Kit, lookup: &dyn Lookup) -> String {
    let mut page = Page::default();
    let check = to_check(kit, lookup);
    let tone = match (kit.complete, check.is_empty()) {
        (false, _) => Tone::Bad,
        (true, false) => Tone::Check,
        (true, true) => Tone::Good,
    };
    page.verdict(&format!("{} on {}: {}", kit.title(), kit.machine, verdict(kit)), tone);
    let have: Vec<Have> = kit.lines.iter().map(|line| have(line, lookup)).collect();
    page.text(&counted(kit, &have, lookup), "", "");
    settle(kit, &check, lookup, &mut page);
    parts(kit, &have, &mut page);
    page.blank();
    besides(kit, &mut page);
    next(kit, &mut page);
    page.into_text()
}

fn have(line: &Line, lookup: &dyn Lookup) -> Have {
    let Some(number) = PartNumber::new(&line.part) else { return Have::Nothing };
    let rows = lookup.stock_of(&number);
    let amounts = rows.iter().filter_map(|row| row.quantity.0.to(line.unit));
    let there: Decimal = amounts.map(|quantity| quantity.amount).sum();
    let quantity = Quantity::new(there, line.unit);
    match () {
        () if there.is_zero() => Have::Nothing,
        () if there >= line.quantity => Have::Enough(quantity),
        () => Have::Some(quantity),
    }
}

/// How much there is to buy and to do, in one line.
fn counted(kit: &Kit, have: &[Have], lookup: &dyn Lookup) -> String {
    let shelf = have.iter().filter(|have| matches!(have, Have::Enough(_))).count();
    let buy = kit.lines.len() - shelf;
    let mut text = count(kit.lines.len(), "part", "parts");
    if !kit.lines.is_empty() {
        text.push_str(&format!(": {shelf} on the shelf, {buy} to buy"));
    }
    text.push_str(&cost(kit, have, lookup));
    text.push_str(&format!("; {}", count(kit.operations.len(), "step", "steps")));
    if !kit.minutes.is_zero() {
        text.push_str(&format!(", about {} minutes", plain(kit.minutes)));
        let untimed = kit.operations.iter().filter(|step| step.minutes.is_none()).count();
        if untimed > 0 {
            text.push_str(&format!(" and {untimed} not timed"));
        }
    }
    if !kit.options.is_empty() {
        text.push_str(&format!("; with {}", kit.options.join(", ")));
    }
    text
}

/// What the parts to buy cost by the cheapest offer of each, where all offers are in one currency.
fn cost(kit: &Kit, have: &[Have], lookup: &dyn Lookup) -> String {
    let mut totals: BTreeMap<String, Decimal> = BTreeMap::new();
    let mut unpriced = 0;
    let to_buy = kit.lines.iter().zip(have).filter(|(_, have)| !matches!(have, Have::Enough(_)));
    for (line, have) in to_buy {
        let there = match have {
            Have::Some(quantity) => quantity.amount,
            _ => Decimal::ZERO,
        };
        let offers =
            PartNumber::new(&line.part).map(|number| lookup.offers_of(&number).into_owned());
        let prices = offers.unwrap_or_default().into_iter().filter_map(|offer| {
            let pack = offer.pack.unwrap_or(Quantity::ONE).to(line.unit)?.amount;
            let packs = (line.quantity - there).checked_div(pack)?.ceil().max(Decimal::ONE);
            let currency = lookup.supplier(&offer.supplier)?.currency.clone();
            Some((packs * offer.price.0, currency))
        });
        match prices.min_by(|a, b| a.0.cmp(&b.0)) {
            Some((price, currency)) => *totals.entry(currency).or_default() += price,
            None => unpriced += 1,
        }
    }
    let mut totals = totals.into_iter();
    match (totals.next(), totals.next()) {
        (Some((currency, total)), None) => {
            let sum = format!("{} {currency}", Money(total));
            let but = match unpriced {
                0 => String::new(),
                without => format!(", {without} without a price"),
            };
            format!(" (from {}{but})", sum.trim_end())
        }
        _ => String::new(),
    }
}

/// What is to be checked before the kit is relied on. What can do harm stands first.
fn to_check(kit: &Kit, lookup: &dyn Lookup) -> Vec<String> {
    let mut check = Vec::new();
    for job in &kit.insisted {
        check.push(format!("{job} is for other machines; you asked for it all the same."));
    }
    for planned in kit.positions.iter().filter(|planned| planned.action != Action::LeaveOut) {
        let beyond = planned.limits.iter().filter(|limit| limit.state == Some(WearState::Beyond));
        let what = named_thing(&planned.name, &planned.position);
        check.extend(beyond.map(|limit| format!("{what}: {}", limit_text(limit))));
    }
    for answer in contradicted(kit, lookup) {
        let computed = answer.evidence.iter().filter(|evidence| evidence.kind == Kind::Computed);
        check.extend(computed.map(|evidence| {
            format!(
                "{} at {}: the sizes say {}: {}",
                answer.part, answer.position, evidence.verdict, evidence.text
            )
        }));
    }
    for listed in torque::of_kit(kit, lookup) {
        let Some(fitted) = listed.fitted else { continue };
        check.push(format!(
            "Torque of {}: {} is listed for {}, not for {fitted}. Look it up in the manual.",
            listed.position, listed.torque, listed.listed_for
        ));
    }
    check.extend(kit.doubts.iter().cloned());
    for option in &kit.unknown_options {
        check.push(format!("No line of these jobs asks about the option {option}."));
    }
    if !kit.reused.is_empty() {
        check.push(format!("Reused on your word: {}", kit.reused.join(", ")));
    }
    check
}

fn settle(kit: &Kit, check: &[String], lookup: &dyn Lookup, page: &mut Page) {
    if !kit.gaps.is_empty() {
        page.heading("Gaps: close these first");
        for gap in &kit.gaps {
            page.text(
                &format!("{}: {}", gap.kind, called(&gap.subject, kit, lookup)),
                "  ",
                "    ",
            );
            page.text(&gap.message, "      ", "      ");
        }
        for answer in offered(kit, lookup) {
            let computed =
                answer.evidence.iter().filter(|evidence| evidence.kind == Kind::Computed);
            for evidence in computed {
                let said = format!(
                    "By its sizes {} at {}: {}: {}",
                    answer.part, answer.position, evidence.verdict, evidence.text
                );
                page.text(&said, "      ", "      ");
            }
            for measure in &answer.measure {
                page.text(&format!("measure {measure}"), "      ? ", "        ");
            }
        }
    }
    if !check.is_empty() {
        page.heading("Check this");
        for line in check {
            page.text(line, "  ! ", "    ");
        }
    }
}

/// What a gap is about, by name where it has one.
fn called(subject: &str, kit: &Kit, lookup: &dyn Lookup) -> String {
    let position = kit.positions.iter().find(|planned| planned.position == subject);
    let position = position.map(|planned| planned.name.clone());
    let step = || kit.operations.iter().find(|step| step.operation == subject);
    let part = || PartNumber::new(subject).and_then(|number| lookup.part(&number));
    let name = position.or_else(|| step().map(|step| step.name.clone()));
    let name = name.or_else(|| part().map(|row| row.name.clone()));
    named_thing(&name.unwrap_or_default(), subject)
}

fn parts(kit: &Kit, have: &[Have], page: &mut Page) {
    if kit.lines.is_empty() {
        return;
    }
    page.heading("Parts");
    let widest = kit.lines.iter().map(|line| line.part.chars().count()).max().unwrap_or(0).min(24);
    for (line, have) in kit.lines.iter().zip(have) {
        let why = match line.role {
            Role::New => "main part",
            Role::Companion => "goes with",
            Role::SingleUse => "single-use",
            Role::Consumable => "supplies",
        };
        let have = match have {
            Have::Enough(there) => format!("have {}", there.shown()),
            Have::Some(there) => format!("have only {}", there.shown()),
            Have::Nothing => "buy".to_owned(),
        };
        let mut what = described(line);
        if what.is_empty() {
            what = "not in the table parts".to_owned();
        }
        let mark = if line.open.is_empty() { " " } else { "!" };
        page.row(
            &format!("{mark} {:>9}  ", amount(line)),
            &format!("{:<widest$}", line.part),
            &what,
            &format!("{why:<10}  {have:<11}"),
        );
    }
}

/// What needs no buying: included, removed, inspected; and the names of the cautions.
fn besides(kit: &Kit, page: &mut Page) {
    let mut included: Vec<String> = Vec::new();
    for planned in kit.positions.iter().filter(|planned| !planned.covered.is_empty()) {
        let parts: Vec<&str> = planned.parts.iter().map(|part| part.part.as_str()).collect();
        let by: Vec<&str> = planned.covered.iter().map(|cover| cover.by.as_str()).collect();
        included.push(format!("{} with {}", parts.join(", "), by.join(", ")));
    }
    let arrives = kit.arrives_fitted.iter();
    included.extend(arrives.map(|arrives| format!("{} with {}", arrives.part, arrives.by)));
    let of = |action: Action| {
        let planned = kit.positions.iter().filter(move |planned| planned.action == action);
        planned.map(|planned| named_thing(&planned.name, &planned.position)).collect::<Vec<_>>()
    };
    let inspect = of(Action::Inspect);
    for (head, things) in [
        ("Included, don't order", included),
        ("Remove, don't refit", of(Action::LeaveOut)),
        ("Inspect, replace if worn", inspect),
        ("Cautions", kit.caution_texts.iter().map(|caution| caution.caution.clone()).collect()),
    ] {
        if !things.is_empty() {
            page.text(&format!("{head}: {}", things.join("; ")), "", "  ");
        }
    }
}

/// The next commands.
fn next(kit: &Kit, page: &mut Page) {
    let mut asked = kit.jobs.join(" ");
    asked.push_str(&format!(" --on {}", kit.machine));
    kit.options.iter().for_each(|option| asked.push_str(&format!(" --option {option}")));
    let renewed = kit.jobs.is_empty();
    page.blank();
    if renewed {
        page.text("Next: the same with --full shows steps, torques, tools and cautions.", "", "  ");
    } else if kit.complete {
        page.text(&format!("Next: kitwright order {asked}"), "", "  ");
        page.text(
            "--full shows steps, torques, tools and cautions; --why PART the reasons.",
            "",
            "",
        );
    } else {
        page.text(
            "Next: close the gaps. kitwright check --explain CODE says what each means; --why PART tells why a part is here; --full shows the rest.",
            "",
            "  ",
        );
    }
    page.quiet("The maker's manual, local rules and licensed practice come before this list.", "");
}
