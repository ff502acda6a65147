//! The parts of a renewed position, and parts chosen by measuring.

use super::Solver;
use super::catalog::SelectionRow;
use super::cells::{Fitted, Key, Quantity};
use super::rounds::State;
use super::scope::Applies;
use super::supersession::Final;
use rust_decimal::Decimal;

/// What the selections rows of a position say.
pub enum Measured {
    /// No rows, or the position has none that could apply.
    NotBySelection,
    OnlyUnsure,
    Chosen(Key),
    /// No reading, or not exactly one row.
    Open,
}

/// What a renewed position starts from.
struct Start {
    fitted: Fitted,
    /// Of the start, where no quantity of a target counts instead.
    quantity: Quantity,
    has_own_quantity: bool,
}

/// One final part of a renewed position.
#[derive(Debug, Clone)]
pub struct Piece {
    pub part: Key,
    pub quantity: Quantity,
    /// It counts as `set`: the position says so, and nothing gives a quantity of its own.
    pub is_set: bool,
    /// What remains to be ordered.
    pub remains: Decimal,
    pub resolved: Final,
}

impl Solver {
    // ----- Chosen by measuring -----

    pub fn measured(&self, position: &Key) -> Measured {
        let view = self.view_at(position);
        let of = |wanted: Applies| -> Vec<&SelectionRow> {
            let rows = self.catalog.selections.iter();
            rows.filter(|row| row.position == *position && view.judge(&row.scope) == wanted)
                .collect()
        };
        let sure = of(Applies::Yes);
        if sure.is_empty() {
            return if of(Applies::Unsure).is_empty() {
                Measured::NotBySelection
            } else {
                Measured::OnlyUnsure
            };
        }
        // the one row whose feature has a reading of M at that position from `least` to `most`
        let mut fitting = sure.into_iter().filter(|row| {
            self.reading(position, &row.feature).is_some_and(|value| {
                row.least.is_none_or(|least| least <= value)
                    && row.most.is_none_or(|most| value <= most)
            })
        });
        match (fitting.next(), fitting.next()) {
            (Some(row), None) => Measured::Chosen(row.part.clone()),
            (Some(_), Some(_)) => {
                self.mark("measured: several rows");
                Measured::Open
            }
            _ => Measured::Open,
        }
    }

    /// The latest, of one day the last in table order, not older than M's latest log row of that position with a part.
    fn reading(&self, position: &Key, feature: &Key) -> Option<Decimal> {
        let readings = self.catalog.readings.iter();
        let latest = readings
            .filter(|reading| reading.position == *position && reading.feature == *feature)
            .max_by_key(|reading| reading.date.clone())?;
        if self.latest_log_date(position).is_some_and(|date| latest.date < date) {
            self.mark("measured: the reading is older than the part");
            return None;
        }
        Some(latest.value)
    }

    /// The features and parts to choose among.
    pub fn choices(&self, position: &Key) -> Vec<(Key, Key)> {
        let view = self.view_at(position);
        let rows = self.catalog.selections.iter();
        rows.filter(|row| row.position == *position && view.judge(&row.scope) == Applies::Yes)
            .map(|row| (row.feature.clone(), row.part.clone()))
            .collect()
    }

    // ----- Parts -----

    fn starts(&self, position: &Key, state: &State) -> Vec<Start> {
        let current = self.current(position);
        let by_the_position = |part: &Key| Start {
            fitted: Fitted::Part(part.clone()),
            // else Q × the factor from the listed part to the start
            quantity: self.q_for(position, part),
            has_own_quantity: false,
        };
        if let Some(target) = state.target(position).and_then(|target| target.part.as_ref()) {
            let view = self.view_at(position);
            let leads_to_it = |part: &&Key| self.resolve(view, part).has_on_a_chain(target);
            // A target that lies on the chain of a part of `Current`, else of the listed part, *starts* from that part.
            if let Some(sits) = current.parts().into_iter().find(leads_to_it) {
                return vec![by_the_position(sits)];
            }
            if let Some(Fitted::Part(listed)) = self.listed(position)
                && leads_to_it(&&listed)
            {
                self.mark("parts: a target on the chain of the listed part");
                return vec![by_the_position(&listed)];
            }
            // Any other target starts from itself;
            return vec![by_the_position(target)];
        }
        if let Measured::Chosen(part) = self.measured(position) {
            self.mark("parts: chosen by measuring");
            return vec![by_the_position(&part)];
        }
        // without a target, each part of `Current` is a start: for a current part without a target its own.
        let start = |sits: super::words::Sits| Start {
            fitted: sits.fitted,
            quantity: sits.quantity,
            has_own_quantity: sits.has_own_quantity,
        };
        current.sits.into_iter().map(start).collect()
    }

    /// The parts of a renewed position, `resolve` of each start, with the start of each; raises what is unknown.
    pub fn parts(&self, position: &Key, state: &State) -> Vec<(Option<Key>, Vec<Piece>)> {
        if state.target(position).is_none() && matches!(self.measured(position), Measured::Open) {
            // `measure-first` on the position instead of `part-unknown`, and it has no parts
            self.gap_on("measure-first", position);
            return Vec::new();
        }
        let starts = self.starts(position, state);
        if starts.is_empty() {
            // No part,
            self.mark("part-unknown: renew what is not there");
            self.gap_on("part-unknown", position);
        }
        let mut of_starts = Vec::new();
        for start in starts {
            // a blank one,
            let Fitted::Part(from) = &start.fitted else {
                self.mark("part-unknown: blank");
                self.gap_on("part-unknown", position);
                of_starts.push((None, Vec::new()));
                continue;
            };
            let finals = self.resolve_in_earnest(self.view_at(position), from).finals;
            let pieces = finals.into_iter().map(|last| self.piece(position, &start, last, state));
            of_starts.push((Some(from.clone()), pieces.collect()));
        }
        of_starts
    }

    fn piece(&self, position: &Key, start: &Start, last: Final, state: &State) -> Piece {
        // or a final part not in `parts`
        if self.catalog.part(&last.part).is_none() {
            self.mark("part-unknown: not in parts");
            self.gap_on("part-unknown", position);
        }
        let mut quantity = start.quantity.times(last.factor());
        let mut is_set = self.counts_as_set(position) && !start.has_own_quantity;
        // A target's own quantity counts instead, times the factor from the target on, for the final parts whose chain holds the target.
        if let Some(target) = state.target(position)
            && let (Some(part), Some(own)) = (&target.part, &target.quantity)
        {
            match last.index_of(part) {
                Some(index) => {
                    quantity = own.times(last.factor_from(index));
                    is_set = false;
                }
                None => self.mark("parts: the target's quantity is not for this part"),
            }
        }
        let quantity = self.in_its_unit(&last.part, &quantity);
        Piece {
            part: last.part.clone(),
            remains: quantity.number,
            quantity,
            is_set,
            resolved: last,
        }
    }

    /// A quantity in the part's unit, where it converts, else as it was typed.
    pub fn in_its_unit(&self, part: &Key, typed: &Quantity) -> Quantity {
        let unit_of_part = self.catalog.part(part).and_then(|part| part.unit);
        let converted = unit_of_part
            .and_then(|unit| typed.number_in(unit).map(|number| Quantity { number, unit }));
        converted.unwrap_or(typed.clone())
    }

    /// Discontinued and without an equivalent in `parts` that is available (blank = available).
    pub fn cannot_be_bought(&self, part: &Key) -> bool {
        let status = |part: &Key| self.catalog.part(part).map(|row| row.status);
        if status(part) != Some("discontinued") {
            return false;
        }
        let has_equivalent = self.catalog.equivalents.iter().any(|(one, other)| {
            let equivalent = match (one == part, other == part) {
                (true, false) => other,
                (false, true) => one,
                _ => return false,
            };
            status(equivalent) == Some("available")
        });
        if has_equivalent {
            self.mark("discontinued: an equivalent is available");
        }
        !has_equivalent
    }
}
