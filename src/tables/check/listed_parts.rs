//! Part numbers that are used and not listed in `parts`.
//!
//! A number need not be listed where the program gets by without: an old number whose supersession leads to a
//! listed one, and, for what is bought and what lies on the shelf, another number for a listed part.

use super::code::Code;
use super::findings::Findings;
use super::grouped::Grouped;
use super::reach::is_covered;
use crate::catalog::{At, Column, Name, Row, Scope, Supersession, Thing, Visit};
use crate::measure::PartNumber;
use std::cell::OnceCell;
use std::collections::{HashMap, HashSet};

pub(super) const DANGLING: Code = Code::error(
    "dangling-part",
    "A row uses a part number that is not in parts and that no supersession leads on from.",
    "Add the number to parts.csv, or correct it where it is used.",
);
pub(super) const UNLISTED: Code = Code::warning(
    "unlisted-part",
    "A row uses a part number that is not in parts. Other rows know it, but not well enough to judge the part on every machine.",
    "Add the number to parts.csv with its type.",
);

pub(super) const CODES: &[Code] = &[DANGLING, UNLISTED];

/// What an unlisted number must at least be known as.
#[derive(Clone, Copy)]
enum Use<'a> {
    /// The kit is worked out from it: a supersession must lead on from it on every machine that the row is for.
    Plan(&'a Scope),
    /// It stands for what once was, or is only compared: that it was superseded is enough.
    Past,
    /// It is where a chain ends.
    Stays,
    /// It is counted or bought: another number for a listed part is as good.
    Trade,
}

/// Finds the part numbers that nothing is known of.
pub(super) fn find(catalog: &Grouped, findings: &mut Findings) {
    if !catalog.whole(&["parts", "supersessions", "equivalents"]) {
        return;
    }
    // Only asked for once a number is not listed: a carefully typed catalog has few of them.
    let known = OnceCell::new();
    catalog.rows.visit(&mut Seek { catalog, findings, known });
}

struct Seek<'s, 'f, 'a> {
    catalog: &'s Grouped<'a>,
    findings: &'s mut Findings<'f>,
    known: OnceCell<Known<'s, 'a>>,
}

impl<'a> Visit<'a> for Seek<'_, '_, 'a> {
    fn rows<R: Row>(&mut self, rows: &'a [R]) {
        let columns = &R::definition().columns;
        let names_parts = |column: &Column| column.forms(Thing::Part).next().is_some();
        if !columns.iter().any(names_parts) {
            return;
        }
        for row in rows {
            row.names(&mut |slot, _, name| {
                let Name::Part(part) = name else { return };
                if self.catalog.listed(part).is_some() {
                    return;
                }
                let column = columns[slot].name;
                let Some(purpose) = purpose(row, column, part) else { return };
                let known = self.known.get_or_init(|| Known::new(self.catalog));
                known.judge(self.findings, row.at(), column, part, purpose);
            });
        }
    }
}

/// What a row uses a number for; `None` where it may be one of which nothing is known.
fn purpose<'a, R: Row>(row: &'a R, column: &str, part: &PartNumber) -> Option<Use<'a>> {
    Some(match (R::TABLE, column) {
        ("parts", _) | ("supersessions", "old") | ("equivalents", "other") => return None,
        // A part that stays is what is ordered, so that others replace the old number with it does not list it.
        ("supersessions", "new") => {
            let mut stays = false;
            row.names(&mut |slot, _, name| {
                stays |= slot == Supersession::old.slot && name == Name::Part(part);
            });
            if stays { Use::Stays } else { Use::Past }
        }
        ("stock" | "offers" | "orders", _) => Use::Trade,
        _ => row.limits().map_or(Use::Past, Use::Plan),
    })
}

/// What is known of numbers that `parts` does not list.
struct Known<'g, 'a> {
    catalog: &'g Grouped<'a>,
    /// The numbers from which some supersession leads to a listed part.
    superseded: HashSet<&'a PartNumber>,
    /// The other numbers of listed parts.
    equivalent: HashSet<&'a PartNumber>,
}

impl<'g, 'a> Known<'g, 'a> {
    fn new(catalog: &'g Grouped<'a>) -> Self {
        let rows = catalog.rows;
        let mut olds: HashMap<&PartNumber, Vec<&PartNumber>> = HashMap::new();
        for row in &rows.supersessions {
            olds.entry(&row.new).or_default().push(&row.old);
        }
        let mut superseded = HashSet::new();
        let mut waiting: Vec<&PartNumber> = rows.parts.iter().map(|row| &row.part).collect();
        while let Some(new) = waiting.pop() {
            // Taking the list out keeps a number from being walked twice.
            for old in olds.remove(new).unwrap_or_default() {
                if superseded.insert(old) {
                    waiting.push(old);
                }
            }
        }
        let listed = |part: &PartNumber| catalog.listed(part).is_some();
        let equivalent =
            rows.equivalents.iter().filter(|row| listed(&row.part)).map(|row| &row.other).collect();
        Known { catalog, superseded, equivalent }
    }

    fn judge(
        &self,
        findings: &mut Findings,
        at: At,
        column: &str,
        part: &PartNumber,
        purpose: Use,
    ) {
        let superseded = self.superseded.contains(part);
        let equivalent = self.equivalent.contains(part);
        let enough = match purpose {
            Use::Plan(scope) => superseded && self.is_superseded_throughout(part, scope),
            Use::Past => superseded,
            Use::Stays => false,
            Use::Trade => superseded || equivalent,
        };
        if enough {
            return;
        }
        let (code, message) = if superseded && !matches!(purpose, Use::Stays) {
            let message = format!(
                "`{part}` is not in parts, and not on every machine that this row is for does a supersession lead on from it; add it to parts.csv"
            );
            (UNLISTED, message)
        } else if equivalent {
            let message = format!(
                "`{part}` is known only as another number in equivalents, which is not followed here; add it to parts.csv, or type the number that is listed"
            );
            (UNLISTED, message)
        } else {
            (DANGLING, self.catalog.names(Thing::Part).missing(part))
        };
        findings.add_of_cell(code, at, column, message);
    }

    fn is_superseded_throughout(&self, part: &PartNumber, scope: &Scope) -> bool {
        let rows = self.catalog.supersession_rows.get(part).map_or(&[][..], Vec::as_slice);
        let leads_on = |row: &&&Supersession| {
            self.catalog.listed(&row.new).is_some()
                || (row.new != row.old && self.superseded.contains(&row.new))
        };
        is_covered(scope, rows.iter().filter(leads_on).map(|row| &row.scope), &self.catalog.fleet)
    }
}
