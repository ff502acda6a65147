//! Positions at which nobody can tell what is fitted or what becomes of it.

use super::code::Code;
use super::findings::Findings;
use super::grouped::{Grouped, Listed};
use crate::catalog::{At, Fitted, Position, WhenDisturbed};
use crate::measure::Key;

pub(super) const NO_RULE: Code = Code::warning(
    "position-without-rule",
    "Nothing says what becomes of what sits at a position when it is disturbed: not its when_disturbed, not the part's single_use, not a type with a rule.",
    "Give the part a type in parts.csv, or fill in when_disturbed.",
);
pub(super) const BLANK: Code = Code::warning(
    "position-without-part",
    "Nobody has looked up the part of a position, so a kit that renews it could not name what to order.",
    "Look the part up and type its number; type - where nothing sits there.",
);
pub(super) const AGAINST_TYPE: Code = Code::warning(
    "single-use-against-type",
    "A part says single_use = no, but a part of its type is not used twice.",
    "Take the no out, or choose the type that the part really is.",
);

pub(super) const CODES: &[Code] = &[NO_RULE, BLANK, AGAINST_TYPE];

/// Finds positions without a part or a rule, and parts that speak against their type.
pub(super) fn find(catalog: &Grouped, findings: &mut Findings) {
    for (row, listed) in catalog.positions() {
        match &row.part {
            Fitted::Blank if row.when_disturbed.is_none_or(|rule| rule == WhenDisturbed::Renew) => {
                let message = format!(
                    "no part is named for `{}`; look it up, or type - if nothing sits there",
                    row.position
                );
                findings.add(BLANK, row.at, "part", message);
            }
            Fitted::Part(_) if row.when_disturbed.is_none() => {
                rule(findings, row.at, "when_disturbed", &row.position, listed);
            }
            _ => {}
        }
    }
    for ((_, position), entries) in &catalog.fitted {
        let ruled = |row: &&Position| row.when_disturbed.is_some();
        if catalog.position_rows.get(position).is_some_and(|rows| rows.iter().any(ruled)) {
            continue;
        }
        for entry in entries {
            if let Some(part) = entry.part.part() {
                rule(findings, entry.at, "part", position, catalog.listed(part));
            }
        }
    }
    for row in &catalog.rows.parts {
        let renewed = row.part_type.as_ref().and_then(|name| catalog.types.find(name));
        if let Some(part_type) = renewed
            && row.single_use == Some(false)
            && part_type.when_disturbed == Some(WhenDisturbed::Renew)
        {
            let message = format!(
                "`no` lets `{}` be used again, but a {} is not; leave the cell blank, or choose the type that it really is",
                row.part, part_type.part_type
            );
            findings.add(AGAINST_TYPE, row.at, "single_use", message);
        }
    }
}

fn rule(findings: &mut Findings, at: At, column: &str, position: &Key, listed: Option<Listed>) {
    // A part that is not listed has a finding of its own, and so has a type that is not known.
    let Some(Listed { row, part_type }) = listed.filter(|listed| listed.rule().is_none()) else {
        return;
    };
    let part = &row.part;
    let why = match (&row.part_type, part_type) {
        (None, _) => format!("`{part}` has no type in parts"),
        (Some(name), Some(_)) => format!("the type `{name}` of `{part}` has no when_disturbed"),
        (Some(_), None) => return,
    };
    if findings.was_read(row.at) {
        let message = format!(
            "nothing says what becomes of `{position}` when it is disturbed: {why}; give the part a type, or the position a when_disturbed"
        );
        findings.add(NO_RULE, at, column, message);
    }
}
