//! Quantities in units that do not convert, and wear limits the wrong way round.

use super::code::Code;
use super::findings::Findings;
use super::grouped::{Grouped, Listed};
use crate::catalog::{At, Change, PlaceQuantity, Seat};
use crate::measure::{Kind, PartNumber, Quantity, Unit, is_never_none};
use std::collections::HashMap;

pub(super) const UNIT: Code = Code::error(
    "unit-of-another-kind",
    "A quantity is in a unit that does not convert to the one in which parts counts the part, such as pieces of something counted in litres. A quantity without a unit is in pieces; a part without a unit may be counted in any, unless its type has a size.",
    "Type the quantity in a unit of the part's kind, or correct the unit in parts.csv.",
);
pub(super) const UNSAID: Code = Code::warning(
    "quantity-not-said",
    "A quantity is blank, which means one piece, but the part is counted, or used up, by volume, mass or length.",
    "Say how much, with its unit.",
);
pub(super) const LIMITS: Code = Code::error(
    "least-above-most",
    "The least that a seat may measure is more than the most.",
    "Exchange the two cells, or correct the one that is wrong.",
);
pub(super) const OUTSIDE: Code = Code::warning(
    "size-outside-limits",
    "A seat's size when new lies outside the limits to which it may wear.",
    "Correct the size or the limit; look for a slipped decimal point.",
);

pub(super) const NONE: Code = Code::warning(
    "size-of-none",
    "A seat's size is 0 for something that cannot be none, such as a diameter or the depth of a groove. Play and run-out may be 0.",
    "Measure it and type what it is, or leave the cell blank if nobody knows.",
);

pub(super) const WHOSE: Code = Code::warning(
    "whose-measure",
    "A quantity is in pints, quarts or gallons, which are a fifth more in imperial measure than in that of the United States; without a word it is counted as of the United States.",
    "Type imp pt, imp qt or imp gal, or US pt, US qt or US gal, or turn it into litres.",
);

pub(super) const CODES: &[Code] = &[UNIT, UNSAID, LIMITS, OUTSIDE, NONE, WHOSE];

/// Finds amounts that cannot be.
pub(super) fn find(catalog: &Grouped, findings: &mut Findings) {
    let rows = catalog.rows;
    for (row, listed) in catalog.positions() {
        let counted = Counted { part: listed, at: row.at, column: "quantity" };
        match row.quantity {
            Some(PlaceQuantity::Amount(quantity)) => counted.typed(findings, quantity),
            // A set is counted in pieces, and a number sold only as a set is too.
            Some(PlaceQuantity::Set) => counted.refuse(findings, "set", Kind::Count),
            None => counted.blank(findings),
        }
    }
    let counted = |part, at, column| Counted { part: catalog.listed(part), at, column };
    for row in &rows.contains {
        counted(&row.contained, row.at, "quantity").cell(findings, row.quantity);
    }
    let measured = Measured::new(catalog);
    for row in &rows.offers {
        counted(&row.part, row.at, "pack").cell(findings, row.pack);
        if row.pack.is_none() {
            measured.blank(findings, row.at, &row.part);
        }
    }
    for row in &rows.stock {
        counted(&row.part, row.at, "quantity").typed(findings, row.quantity.0);
    }
    for (at, need, _) in catalog.needs() {
        if let Change::Fit { part, quantity: Some(quantity) } = &need.change {
            counted(part, at, "needs").typed(findings, *quantity);
        }
    }
    for row in &rows.operations {
        for used in &row.uses {
            if let Some(quantity) = used.quantity {
                counted(&used.part, row.at, "uses").typed(findings, quantity);
            }
        }
    }
    for row in &rows.job_lines {
        if let (Some(part), Some(quantity)) = (row.part.part(), row.quantity) {
            counted(part, row.at, "quantity").typed(findings, quantity);
        }
    }
    for row in &rows.worklog {
        if let (Some(part), Some(quantity)) = (row.part.part(), row.quantity) {
            counted(part, row.at, "quantity").typed(findings, quantity);
        }
    }
    for row in &rows.orders {
        if let Some(quantity) = row.received_quantity {
            let part = row.received_part.as_ref().unwrap_or(&row.part);
            counted(part, row.at, "received_quantity").typed(findings, quantity.0);
        }
    }
    for row in &rows.parts {
        if let Some((us, imperial)) = row.unit.and_then(Unit::either) {
            let unit = row.unit.map_or("", Unit::symbol);
            let message = format!(
                "`{unit}` may be of the United States or imperial; type `{us}` or `{imperial}`"
            );
            findings.add_of_cell(WHOSE, row.at, "unit", message);
        }
    }
    for row in &rows.seats {
        limits(row, findings);
    }
}

/// A cell that says how much of a part, and what is listed of the part.
struct Counted<'a> {
    part: Option<Listed<'a>>,
    at: At,
    column: &'static str,
}

impl Counted<'_> {
    fn cell(&self, findings: &mut Findings, quantity: Option<Quantity>) {
        match quantity {
            Some(quantity) => self.typed(findings, quantity),
            None => self.blank(findings),
        }
    }

    fn typed(&self, findings: &mut Findings, quantity: Quantity) {
        if let Some([(us, of_us), (imperial, of_imperial)]) = quantity.either() {
            let message = format!(
                "`{quantity}` is {of_us} if those are of the United States, and {of_imperial} if they are imperial; type `{us}` or `{imperial}`"
            );
            findings.add_of_cell(WHOSE, self.at, self.column, message);
        }
        // Nothing of a part is nothing in every unit.
        if !quantity.amount.is_zero() {
            self.refuse(findings, &quantity.to_string(), quantity.unit.kind());
        }
    }

    fn refuse(&self, findings: &mut Findings, cell: &str, kind: Kind) {
        if let Some((part, unit)) = self.counted_in(findings, |wanted| wanted != kind) {
            let message = format!(
                "`{cell}` is {}, but `{part}` is counted {}; type {}, or correct the unit in parts",
                said(kind),
                counted(unit),
                mended(unit)
            );
            findings.add(UNIT, self.at, self.column, message);
        }
    }

    fn blank(&self, findings: &mut Findings) {
        if let Some((part, unit)) = self.counted_in(findings, |kind| kind != Kind::Count) {
            let message = format!(
                "the cell is blank, which means 1 piece, but `{part}` is counted {}; say how much",
                counted(unit)
            );
            findings.add(UNSAID, self.at, self.column, message);
        }
    }

    /// Gives the part and its unit, where that is of the wrong kind. A part without a unit may be counted in any,
    /// unless its type has a size of its own, as a screw has: such a thing is counted in pieces.
    fn counted_in(
        &self,
        findings: &Findings,
        wrong: impl Fn(Kind) -> bool,
    ) -> Option<(&PartNumber, Unit)> {
        let listed = self.part?;
        let in_pieces = || {
            listed.part_type.filter(|part_type| !part_type.size_form.is_empty()).map(|_| Unit::Each)
        };
        let unit = listed.row.unit.or_else(in_pieces)?;
        (wrong(unit.kind()) && findings.was_read(listed.row.at)).then_some((&listed.row.part, unit))
    }
}

/// Parts of which `parts` does not say how they are counted, and of which an operation uses so many grams or litres.
struct Measured<'a>(HashMap<&'a PartNumber, (Quantity, At)>);

impl<'a> Measured<'a> {
    fn new(catalog: &Grouped<'a>) -> Self {
        let mut measured = HashMap::new();
        for row in &catalog.rows.operations {
            for used in &row.uses {
                let Some(quantity) =
                    used.quantity.filter(|quantity| quantity.unit.kind() != Kind::Count)
                else {
                    continue;
                };
                let unsaid = |part| {
                    catalog.listed(part).is_some_and(|listed: Listed| listed.row.unit.is_none())
                };
                if unsaid(&used.part) {
                    measured.entry(&used.part).or_insert((quantity, row.at));
                }
            }
        }
        Measured(measured)
    }

    fn blank(&self, findings: &mut Findings, at: At, part: &PartNumber) {
        if let Some((quantity, row)) = self.0.get(part) {
            let message = format!(
                "the cell is blank, which means 1 piece, but `{part}` is used up as {quantity} ({}), and nobody knows how many pieces that is; say how much is in a pack",
                findings.place(*row)
            );
            findings.add(UNSAID, at, "pack", message);
        }
    }
}

fn said(kind: Kind) -> &'static str {
    match kind {
        Kind::Count => "a number of pieces",
        Kind::Volume => "a volume",
        Kind::Mass => "a mass",
        Kind::Length => "a length",
    }
}

fn counted(unit: Unit) -> String {
    match unit.kind() {
        Kind::Count => "in pieces".to_owned(),
        Kind::Volume => format!("by volume, in {unit}"),
        Kind::Mass => format!("by mass, in {unit}"),
        Kind::Length => format!("by length, in {unit}"),
    }
}

fn mended(unit: Unit) -> String {
    match unit.kind() {
        Kind::Count => "a number without a unit".to_owned(),
        _ => format!("it in {unit}"),
    }
}

fn limits(row: &Seat, findings: &mut Findings) {
    if let (Some(least), Some(most)) = (&row.least, &row.most)
        && least.nominal_mm() > most.nominal_mm()
    {
        let message = format!(
            "`{least}` is more than `{most}` in the column most; exchange the two or correct one"
        );
        findings.add(LIMITS, row.at, "least", message);
        return;
    }
    let Some(size) = &row.size else { return };
    if size.nominal_mm().is_zero() && is_never_none(&row.feature) {
        let message = format!(
            "`{}` cannot be `{size}`; type what it is, or leave the cell blank",
            row.feature
        );
        findings.add(NONE, row.at, "size", message);
        return;
    }
    let (low, high) = size.limits_mm().unwrap_or((size.nominal_mm(), size.nominal_mm()));
    let outside = match (&row.least, &row.most) {
        (Some(least), _) if high < least.nominal_mm() => {
            Some(format!("less than the least, `{least}`"))
        }
        (_, Some(most)) if low > most.nominal_mm() => Some(format!("more than the most, `{most}`")),
        _ => None,
    };
    if let Some(outside) = outside {
        let message = format!(
            "`{size}` is {outside}, so even a new one would be worn out; correct one of the two"
        );
        findings.add(OUTSIDE, row.at, "size", message);
    }
}
