//! Supersessions that leave a choice open, and numbers that are made no more and became nothing.

use super::code::Code;
use super::findings::Findings;
use super::grouped::{Grouped, Listed};
use super::reach::{can_hold_together, lies_within};
use crate::catalog::{Change, Fitted, Position, Status, Supersession, WhenDisturbed};
use crate::measure::{Key, LogDate, PartNumber};
use std::collections::{HashMap, HashSet};

pub(super) const TIE: Code = Code::warning(
    "supersession-tie",
    "Two replacements of one number can both apply to one machine, are equally narrow and equally old, so only the order of the rows decides.",
    "Give the later one its since, narrow the scope of one, or put the same word into together if both are needed.",
);
pub(super) const ENDS: Code = Code::warning(
    "discontinued-without-successor",
    "A kit would order a part that is made no more, and the tables name no supersession, other number, offer or stock for it.",
    "Add what it became to supersessions.csv, another maker's number to equivalents.csv, or an offer of what is left of it.",
);

pub(super) const CODES: &[Code] = &[TIE, ENDS];

/// Finds numbers of which nobody can tell what to order for them.
pub(super) fn find(catalog: &Grouped, findings: &mut Findings) {
    for rows in catalog.supersession_rows.values() {
        ties(catalog, rows, findings);
    }
    if catalog.whole(&["supersessions", "equivalents", "offers", "stock"]) {
        dead_ends(catalog, findings);
    }
}

/// What replaces a number: one row, or several that go together.
struct Replacement<'a> {
    rows: Vec<&'a Supersession>,
}

impl<'a> Replacement<'a> {
    /// Narrower wins, then later.
    fn rank(&self) -> (usize, Option<&'a LogDate>) {
        let narrowness =
            self.rows.iter().map(|row| row.scope.narrowness()).max().unwrap_or_default();
        (narrowness, self.rows.iter().map(|row| &row.since).max())
    }
}

/// So many replacements of one number are compared with each other; no number has nearly as many.
const MOST_COMPARED: usize = 64;

fn ties(catalog: &Grouped, rows: &[&Supersession], findings: &mut Findings) {
    if rows.len() < 2 {
        return;
    }
    let mut replacements: Vec<Replacement> = Vec::new();
    let mut groups: HashMap<&Key, usize> = HashMap::new();
    for row in rows.iter().filter(|row| findings.was_read(row.at)) {
        match row
            .together
            .as_ref()
            .and_then(|word| groups.get(word))
            .and_then(|index| replacements.get_mut(*index))
        {
            Some(replacement) => replacement.rows.push(row),
            None => {
                groups.extend(row.together.as_ref().map(|word| (word, replacements.len())));
                replacements.push(Replacement { rows: vec![row] });
            }
        }
    }
    replacements.truncate(MOST_COMPARED);
    for (index, later) in replacements.iter().enumerate() {
        let tie = replacements
            .iter()
            .take(index)
            .filter(|earlier| earlier.rank() == later.rank())
            .find_map(|earlier| {
                let pairs =
                    earlier.rows.iter().flat_map(|a| later.rows.iter().map(move |b| (*a, *b)));
                pairs
                    // The same row twice is reported as such.
                    .filter(|(a, b)| Supersession { at: b.at, ..(*a).clone() } != **b)
                    .filter(|(a, b)| can_hold_together(&a.scope, &b.scope, &catalog.fleet))
                    .find(|(a, b)| !is_outdone(a, b, later, &replacements))
            });
        if let Some((a, b)) = tie {
            let message = format!(
                "`{}` and `{}` at {} both replace `{}`, and neither is narrower or later; give one a later since or a narrower scope, or put one word into together on both if both are needed",
                b.new,
                a.new,
                findings.place(a.at),
                b.old
            );
            findings.add(TIE, b.at, "new", message);
        }
    }
}

/// Tells that a better replacement applies wherever one of the two does.
fn is_outdone(a: &Supersession, b: &Supersession, tied: &Replacement, all: &[Replacement]) -> bool {
    all.iter().filter(|other| other.rank() > tied.rank()).any(|other| {
        other
            .rows
            .iter()
            .any(|row| lies_within(&a.scope, &row.scope) || lies_within(&b.scope, &row.scope))
    })
}

/// Finds discontinued parts at which a kit's supersessions end.
fn dead_ends(catalog: &Grouped, findings: &mut Findings) {
    let rows = catalog.rows;
    if !rows.parts.iter().any(|row| row.status == Some(Status::Discontinued)) {
        return;
    }
    let mut ordered: HashSet<&PartNumber> = HashSet::new();
    let mut waiting = ordered_parts(catalog);
    while let Some(part) = waiting.pop() {
        if ordered.insert(part) {
            waiting.extend(
                catalog.supersession_rows.get(part).into_iter().flatten().map(|row| &row.new),
            );
        }
    }
    let mut to_be_had: HashSet<&PartNumber> = rows.offers.iter().map(|row| &row.part).collect();
    to_be_had.extend(
        rows.stock.iter().filter(|row| !row.quantity.0.amount.is_zero()).map(|row| &row.part),
    );
    to_be_had.extend(rows.equivalents.iter().flat_map(|row| [&row.part, &row.other]));
    to_be_had
        .extend(rows.supersessions.iter().filter(|row| row.old != row.new).map(|row| &row.old));
    for row in rows.parts.iter().filter(|row| row.status == Some(Status::Discontinued)) {
        if ordered.contains(&row.part) && !to_be_had.contains(&row.part) {
            let message = format!(
                "`{}` is discontinued, a kit would order it, and nothing says what became of it; add its supersession, another number for it or an offer",
                row.part
            );
            findings.add(ENDS, row.at, "status", message);
        }
    }
}

/// Gives the parts that some job, need or rule calls for, before supersession.
fn ordered_parts<'a>(catalog: &Grouped<'a>) -> Vec<&'a PartNumber> {
    let rows = catalog.rows;
    let mut parts: Vec<&PartNumber> = Vec::new();
    let mut renewed: HashSet<&Key> = HashSet::new();
    for row in &rows.job_lines {
        parts.extend(row.part.part());
        renewed.extend(row.position.as_ref().filter(|_| row.part == Fitted::Blank));
    }
    for (_, need, _) in catalog.needs() {
        match &need.change {
            Change::Fit { part, .. } => parts.push(part),
            Change::Renew => {
                renewed.insert(&need.position);
            }
            Change::LeaveEmpty => {}
        }
    }
    parts.extend(rows.operations.iter().flat_map(|row| &row.uses).map(|used| &used.part));
    let is_renewed = |position: &Key, rule: Option<WhenDisturbed>, listed: Option<Listed>| {
        let rule = rule.or_else(|| listed.and_then(|listed| listed.rule()));
        rule == Some(WhenDisturbed::Renew) || renewed.contains(position)
    };
    for (row, listed) in catalog.positions() {
        parts.extend(
            row.part.part().filter(|_| is_renewed(&row.position, row.when_disturbed, listed)),
        );
    }
    for ((_, position), entries) in &catalog.fitted {
        let rule = catalog
            .position_rows
            .get(position)
            .and_then(|rows| rows.first())
            .and_then(|row: &&Position| row.when_disturbed);
        let fitted = entries.iter().filter_map(|entry| entry.part.part());
        parts.extend(fitted.filter(|part| is_renewed(position, rule, catalog.listed(part))));
    }
    parts
}
