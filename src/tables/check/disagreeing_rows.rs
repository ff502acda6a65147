//! Rows of one name that can apply to one machine and say different things of it.

use super::code::Code;
use super::findings::Findings;
use super::grouped::{Grouped, group};
use super::reach::{can_hold_together, said};
use crate::catalog::{
    Operation, PlaceQuantity, Position, Retrofit, Row, Scoped, Seat, Use, Verdict,
};
use crate::measure::{Key, Quantity};
use std::collections::HashMap;

pub(super) const OVERLAP: Code = Code::error(
    "overlapping-rows",
    "Two rows of one position, or of one operation, can both apply to one machine and differ, so nobody can tell which of them is right.",
    "Narrow the scope of one of them by model, years, serials or only, or take out the one that is wrong.",
);
pub(super) const VERDICTS: Code = Code::warning(
    "contradicting-verdicts",
    "Two rows of retrofits can both apply to one machine; one says that the part fits the position and the other that it does not.",
    "Narrow the scope of one of them, or take out the one that is wrong.",
);
pub(super) const SEATS: Code = Code::warning(
    "seats-disagree",
    "Two rows of seats can both apply to one machine and give one feature different sizes or limits.",
    "Narrow the scope of one of them, or take out the one that is wrong.",
);

pub(super) const CODES: &[Code] = &[OVERLAP, VERDICTS, SEATS];

/// Finds rows that contradict each other.
pub(super) fn find(catalog: &Grouped, findings: &mut Findings) {
    let rows = catalog.rows;
    for rows in catalog.position_rows.values() {
        compare(catalog, findings, OVERLAP, rows, position_differs);
    }
    for rows in catalog.operation_rows.values() {
        compare(catalog, findings, OVERLAP, rows, operation_differs);
    }
    let mut retrofits: HashMap<_, Vec<&Retrofit>> = HashMap::new();
    for row in &rows.retrofits {
        retrofits.entry((&row.part, &row.position)).or_default().push(row);
    }
    for rows in retrofits.values() {
        compare(catalog, findings, VERDICTS, rows, verdict_differs);
    }
    for rows in group(&rows.seats, |row| &row.position).values() {
        compare(catalog, findings, SEATS, rows, seat_differs);
    }
}

/// How two rows differ: the column, and what stands in the earlier and the later row.
type Difference = (&'static str, String, String);

/// So many rows before each one are compared with it; no name of a catalog has nearly as many.
const MOST_COMPARED: usize = 256;

/// Compares each row with those before it, and says at the later row with which one it disagrees first.
fn compare<R: Row + Scoped>(
    catalog: &Grouped,
    findings: &mut Findings,
    code: Code,
    rows: &[&R],
    differs: impl Fn(&R, &R) -> Option<Difference>,
) {
    for (index, later) in rows.iter().enumerate().skip(1) {
        let before = &rows[index.saturating_sub(MOST_COMPARED)..index];
        let clash =
            before.iter().filter(|earlier| findings.was_read(earlier.at())).find_map(|earlier| {
                let difference = differs(earlier, later)?;
                can_hold_together(earlier.scope(), later.scope(), &catalog.fleet)
                    .then_some((earlier, difference))
            });
        if let Some((earlier, (column, there, here))) = clash {
            let scopes = [earlier.scope(), later.scope()];
            let message = format!(
                "{} here (for {}) and {} at {} (for {}) can both apply to one machine{}; narrow the scope of one of them",
                cell(&here),
                said(later.scope()),
                cell(&there),
                findings.place(earlier.at()),
                said(earlier.scope()),
                catalog
                    .fleet
                    .example(&scopes)
                    .map_or_else(String::new, |machine| format!(", such as {}", machine.machine))
            );
            findings.add(code, later.at(), column, message);
        }
    }
}

fn cell(text: &str) -> String {
    if text.is_empty() { "a blank cell".to_owned() } else { format!("`{text}`") }
}

fn position_differs(a: &Position, b: &Position) -> Option<Difference> {
    if a.part != b.part {
        return Some(("part", a.part.to_string(), b.part.to_string()));
    }
    let quantity = |row: &Position| row.quantity.unwrap_or(PlaceQuantity::Amount(Quantity::ONE));
    let (there, here) = (quantity(a), quantity(b));
    (there != here).then(|| ("quantity", there.to_string(), here.to_string()))
}

fn operation_differs(a: &Operation, b: &Operation) -> Option<Difference> {
    let names =
        |column, a: &[Key], b: &[Key]| differing_lists(column, a, b, |key| key.folded().to_owned());
    names("needs", &a.needs, &b.needs)
        .or_else(|| names("opens", &a.opens, &b.opens))
        .or_else(|| names("removes", &a.removes, &b.removes))
        .or_else(|| differing_lists("uses", &a.uses, &b.uses, used))
}

/// Tells uses apart by part and quantity, with 0.35 L and 350 ml alike.
fn used(item: &Use) -> String {
    let amount = item.quantity.map(|quantity| {
        use crate::measure::{Kind, Unit};
        let unit = match quantity.unit.kind() {
            Kind::Count => Unit::Each,
            Kind::Volume => Unit::Millilitre,
            Kind::Mass => Unit::Gram,
            Kind::Length => Unit::Millimetre,
        };
        quantity.to(unit).unwrap_or(quantity).to_string()
    });
    format!("{}={}", item.part.folded(), amount.unwrap_or_default())
}

/// Compares two lists in which the order does not count.
fn differing_lists<T: ToString, K: Ord>(
    column: &'static str,
    a: &[T],
    b: &[T],
    key: impl Fn(&T) -> K,
) -> Option<Difference> {
    let sorted = |list: &[T]| {
        let mut keys: Vec<K> = list.iter().map(&key).collect();
        keys.sort();
        keys
    };
    let shown = |list: &[T]| list.iter().map(T::to_string).collect::<Vec<_>>().join(";");
    (sorted(a) != sorted(b)).then(|| (column, shown(a), shown(b)))
}

fn verdict_differs(a: &Retrofit, b: &Retrofit) -> Option<Difference> {
    let fits = |row: &Retrofit| row.verdict != Verdict::No;
    (fits(a) != fits(b)).then(|| ("verdict", a.verdict.to_string(), b.verdict.to_string()))
}

fn seat_differs(a: &Seat, b: &Seat) -> Option<Difference> {
    if a.feature != b.feature {
        return None;
    }
    let cells = [
        ("size", a.size.as_ref(), b.size.as_ref()),
        ("least", a.least.as_ref(), b.least.as_ref()),
        ("most", a.most.as_ref(), b.most.as_ref()),
    ];
    cells.into_iter().find_map(|(column, a, b)| match (a, b) {
        // What one row leaves blank the other may add.
        (Some(a), Some(b)) if a != b => Some((column, a.to_string(), b.to_string())),
        _ => None,
    })
}
