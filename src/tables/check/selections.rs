//! Parts that are chosen by measuring: readings for which two rows speak, and readings for which none does.

use super::code::Code;
use super::findings::Findings;
use super::grouped::Grouped;
use super::reach::can_hold_together;
use crate::catalog::Selection;
use rust_decimal::Decimal;
use std::collections::BTreeMap;

pub(super) const OVERLAP: Code = Code::error(
    "selections-overlap",
    "Two rows of selections can both apply to one machine and give different parts for one reading, so nobody can tell which to fit.",
    "Correct the limits of one of them, or narrow its scope.",
);
pub(super) const GAP: Code = Code::warning(
    "selections-gap",
    "Between the readings of two rows of selections there are some for which no row names a part.",
    "Correct the limits, or add the row that is missing.",
);

pub(super) const CODES: &[Code] = &[OVERLAP, GAP];

/// A step between two rows that is no gap: a thousandth of an inch, as limits are printed next to each other.
const STEP: Decimal = Decimal::from_parts(26, 0, 0, false, 3);

/// So many rows of one position and feature are compared with each other; no set of shims has nearly as many.
const MOST_COMPARED: usize = 256;

/// Finds bands that overlap or leave readings out.
pub(super) fn find(catalog: &Grouped, findings: &mut Findings) {
    let mut bands: BTreeMap<_, Vec<&Selection>> = BTreeMap::new();
    for row in catalog.rows.selections.iter().filter(|row| findings.was_read(row.at)) {
        let rows = bands.entry((&row.position, &row.feature)).or_default();
        if rows.len() < MOST_COMPARED {
            rows.push(row);
        }
    }
    for rows in bands.values() {
        for (index, row) in rows.iter().enumerate() {
            let beside: Vec<&Selection> = rows
                .iter()
                .copied()
                .filter(|other| other.at != row.at)
                .filter(|other| can_hold_together(&row.scope, &other.scope, &catalog.fleet))
                .collect();
            let earlier = rows.iter().take(index);
            if let Some(other) = earlier
                .filter(|other| beside.iter().any(|beside| beside.at == other.at))
                .find(|other| other.part != row.part && overlap(other, row))
            {
                let message = format!(
                    "a {} of {} calls for `{}` here and may call for `{}` at {}; correct the limits of one of them",
                    row.feature,
                    said(row),
                    row.part,
                    other.part,
                    findings.place(other.at)
                );
                findings.add(OVERLAP, row.at, "least", message);
            }
            if let Some((most, next)) = gap(row, &beside) {
                let message = format!(
                    "no row names a part for a {} between {most} and {} mm; correct the limits, or add the row that is missing",
                    row.feature,
                    least(next).unwrap_or_default()
                );
                findings.add(GAP, row.at, "most", message);
            }
        }
    }
}

fn least(row: &Selection) -> Option<Decimal> {
    row.least.as_ref().map(|size| size.nominal_mm())
}

fn most(row: &Selection) -> Option<Decimal> {
    row.most.as_ref().map(|size| size.nominal_mm())
}

fn said(row: &Selection) -> String {
    let end = |size: &Option<crate::measure::Gauged>| {
        size.as_ref().map_or_else(|| "any".to_owned(), ToString::to_string)
    };
    format!("{} to {}", end(&row.least), end(&row.most))
}

/// Bands that only touch are typed as manuals print them.
fn overlap(a: &Selection, b: &Selection) -> bool {
    let below = |a: &Selection, b: &Selection| match (least(a), most(b)) {
        (Some(least), Some(most)) => least < most,
        _ => true,
    };
    below(a, b) && below(b, a)
}

/// Finds the row behind this one, where readings between the two are left out.
fn gap<'r>(row: &Selection, beside: &[&'r Selection]) -> Option<(Decimal, &'r Selection)> {
    let end = most(row)?;
    let goes_on = |other: &&&Selection| {
        least(other).is_none_or(|least| least <= end + STEP)
            && most(other).is_none_or(|most| most > end)
    };
    if beside.iter().any(|other| goes_on(&other)) {
        return None;
    }
    let behind = beside.iter().filter(|other| least(other).is_some_and(|least| least > end));
    behind.min_by_key(|other| least(other)).map(|next| (end, *next))
}
