//! A part that is chosen by measuring: a shim, a base gasket, a graded bearing.

use super::bench::{Bench, Place};
use crate::catalog::{Applies, Selection};
use crate::measure::{Gauged, PartNumber};

/// What the selections at a position say.
#[derive(Debug, Clone)]
pub(crate) enum Chosen {
    /// Nothing is chosen by measuring there.
    No,
    /// Rows may apply or not.
    Unsure(Vec<Selection>),
    /// Of these rows, none or more than one holds for what was read; or nothing was read.
    Open(Vec<Selection>),
    /// This part, by the row.
    Part(Box<Selection>),
}

impl Chosen {
    pub fn part(&self) -> Option<&PartNumber> {
        match self {
            Chosen::Part(row) => Some(&row.part),
            _ => None,
        }
    }
}

impl Bench<'_> {
    /// Says which part was chosen by measuring at a position.
    pub(crate) fn chosen(&self, place: &Place) -> Chosen {
        let rows = self.lookup.selections_at(&place.position);
        let of = |wanted| -> Vec<Selection> {
            rows.iter().filter(|row| row.scope.applies(&place.machine) == wanted).cloned().collect()
        };
        let sure = of(Applies::Yes);
        if sure.is_empty() {
            let unsure = of(Applies::Unsure);
            return if unsure.is_empty() { Chosen::No } else { Chosen::Unsure(unsure) };
        }
        let readings = self.lookup.measurements_at(&self.machine.machine, &place.position);
        let since = self.last_logged(&place.position);
        let holds = |row: &&Selection| {
            let of_feature = readings.iter().filter(|reading| reading.feature == row.feature);
            // Of several of one day the last counts, as `max_by` gives it.
            let last = of_feature.max_by(|a, b| a.date.cmp(&b.date));
            let last =
                last.filter(|last| since.is_none_or(|since| last.date.as_str() >= since.as_str()));
            last.is_some_and(|last| {
                is_within(&last.value, row.least.as_ref(), row.most.as_ref()).unwrap_or(false)
            })
        };
        let mut held = sure.iter().filter(holds);
        match (held.next(), held.next()) {
            (Some(row), None) => Chosen::Part(Box::new(row.clone())),
            _ => Chosen::Open(sure),
        }
    }
}

/// Tells whether a reading lies between two limits, both included; `None` where one of them cannot be reckoned.
fn is_within(value: &Gauged, least: Option<&Gauged>, most: Option<&Gauged>) -> Option<bool> {
    let value = value.interval_mm().ok()?;
    let above = match least {
        None => true,
        Some(least) => value.low >= least.interval_mm().ok()?.low,
    };
    let below = match most {
        None => true,
        Some(most) => value.high <= most.interval_mm().ok()?.high,
    };
    Some(above && below)
}
