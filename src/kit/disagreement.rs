//! Rows that surely or perhaps apply to one machine, and say different things.

use super::bench::Bench;
use super::gap::{GapKind, Gaps, Subject};
use super::outcome::Outcome;
use crate::catalog::{Applies, Operation, PlaceQuantity, Position, Row, Scoped};
use crate::measure::{Key, Quantity};

/// Says where rows that apply, or may apply, differ from the one that was used.
pub(crate) fn judge(bench: &Bench, outcomes: &[Outcome], operations: &[Key], gaps: &mut Gaps) {
    for place in outcomes.iter().map(|outcome| &outcome.place).filter(|place| !place.current.logged)
    {
        let rows =
            Judged { bench, rows: &place.rows, applies: place.applies, speaking: &place.speaking };
        rows.judge(
            Subject::Position(place.position.clone()),
            positions_differ,
            "part or quantity",
            gaps,
        );
    }
    for operation in operations {
        let step = bench.step(operation);
        let rows =
            Judged { bench, rows: &step.rows, applies: step.applies, speaking: &step.speaking };
        rows.judge(
            Subject::Operation(operation.clone()),
            operations_differ,
            "needs, opens, removes or uses",
            gaps,
        );
    }
}

fn positions_differ(a: &Position, b: &Position) -> bool {
    let quantity = |row: &Position| row.quantity.unwrap_or(PlaceQuantity::Amount(Quantity::ONE));
    a.part != b.part || quantity(a) != quantity(b)
}

fn operations_differ(a: &Operation, b: &Operation) -> bool {
    !same_items(&a.needs, &b.needs)
        || !same_items(&a.opens, &b.opens)
        || !same_items(&a.removes, &b.removes)
        || !same_items(&a.uses, &b.uses)
}

/// The same items, in whatever order.
fn same_items<T: PartialEq>(a: &[T], b: &[T]) -> bool {
    let times = |list: &[T], item: &T| list.iter().filter(|other| *other == item).count();
    a.len() == b.len() && a.iter().all(|item| times(a, item) == times(b, item))
}

/// The rows of one key.
struct Judged<'a, R> {
    bench: &'a Bench<'a>,
    rows: &'a [R],
    applies: Applies,
    /// Those that speak for the machine; the first was used.
    speaking: &'a [R],
}

impl<R: Scoped + Row> Judged<'_, R> {
    fn judge(&self, subject: Subject, differ: fn(&R, &R) -> bool, cells: &str, gaps: &mut Gaps) {
        let Some(first) = self.speaking.first() else { return };
        let at = |row: &R| self.bench.lookup.place(row.at());
        if self.applies == Applies::Unsure {
            let missing = self.bench.missing(self.speaking);
            gaps.raise(GapKind::NotSettled, subject, || {
                format!("no row surely applies to this machine ({}); {missing}", at(first))
            });
            return;
        }
        if let Some(other) = self.speaking.iter().find(|row| differ(first, row)) {
            gaps.raise(GapKind::Overlap, subject.clone(), || {
                format!(
                    "{} and {} both apply to this machine and differ in {cells}; the first was used: narrow one of them",
                    at(first),
                    at(other)
                )
            });
        }
        let unsure = |row: &&R| row.scope().applies(&self.bench.machine) == Applies::Unsure;
        if let Some(other) = self.rows.iter().filter(unsure).find(|row| differ(first, row)) {
            let missing = self.bench.missing(std::slice::from_ref(other));
            gaps.raise(GapKind::NotSettled, subject, || {
                format!(
                    "{} was used, but {} may apply too and differs in {cells}; {missing}",
                    at(first),
                    at(other)
                )
            });
        }
    }
}
