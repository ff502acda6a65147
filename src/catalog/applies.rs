//! Whether a row applies to a machine: yes, no, or nobody can tell.

use super::rows::Machine;
use super::scope::{Scope, Scoped};
use super::traits;
use crate::measure::Within;
use serde::{Deserialize, Serialize};

/// Says whether a row applies to a machine.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
pub enum Applies {
    /// A limit excludes the machine.
    No,
    /// No limit excludes it, but one cannot be judged.
    Unsure,
    /// Every limit holds.
    Yes,
}

impl Scope {
    /// Judges the limits against a machine.
    ///
    /// A limit cannot be judged where the machine's year or serial is blank, its serial has another prefix or suffix
    /// than the limit, or its traits name the wanted one neither way.
    pub fn applies(&self, machine: &Machine) -> Applies {
        [self.model(machine), self.years(machine), self.serials(machine), self.only(machine)]
            .into_iter()
            .min()
            .unwrap_or(Applies::Yes)
    }

    fn model(&self, machine: &Machine) -> Applies {
        if self.model.is_empty() || self.model.contains(&machine.model) {
            Applies::Yes
        } else {
            Applies::No
        }
    }

    fn years(&self, machine: &Machine) -> Applies {
        match (&self.years, machine.year) {
            (None, _) => Applies::Yes,
            (Some(_), None) => Applies::Unsure,
            (Some(years), Some(year)) if years.contains(year) => Applies::Yes,
            _ => Applies::No,
        }
    }

    fn serials(&self, machine: &Machine) -> Applies {
        let Some(serials) = &self.serials else { return Applies::Yes };
        let Some(serial) = &machine.serial.serial else { return Applies::Unsure };
        match serials.holds(serial) {
            Within::Yes => Applies::Yes,
            Within::No => Applies::No,
            Within::NotComparable => Applies::Unsure,
        }
    }

    fn only(&self, machine: &Machine) -> Applies {
        let known = self.only.iter().map(|wanted| traits::known(wanted, &machine.traits));
        known.min().unwrap_or(Applies::Yes)
    }
}

/// Gives the rows of one key that apply to a machine with *yes*; if none does, those that are *unsure*.
pub fn rows_for<'a, R: Scoped>(rows: &'a [R], machine: &Machine) -> (Applies, Vec<&'a R>) {
    for wanted in [Applies::Yes, Applies::Unsure] {
        let found: Vec<&R> =
            rows.iter().filter(|row| row.scope().applies(machine) == wanted).collect();
        if !found.is_empty() {
            return (wanted, found);
        }
    }
    (Applies::No, Vec::new())
}
