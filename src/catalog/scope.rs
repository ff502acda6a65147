//! Whether a row applies to a machine: yes, no, or nobody can tell.

use super::cell::{Cells, Column, Condition, Field, Value};
use super::rows::Machine;
use crate::measure::{Key, SerialRanges, Within, YearRanges};
use serde::{Deserialize, Serialize};
use std::fmt;

/// The limits of a row: models, years, serials and traits. Blank means no limit.
#[derive(Debug, Clone, Default, PartialEq, Eq, Serialize, Deserialize)]
pub struct Scope {
    /// The models that the row is for.
    pub model: Vec<Key>,
    /// The years that it is for.
    pub years: Option<YearRanges>,
    /// The serials that it is for.
    pub serials: Option<SerialRanges>,
    /// The traits that must all hold.
    pub only: Vec<Condition>,
}

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
    /// A limit cannot be judged where the machine's year, serial or all its traits are blank, or where its
    /// serial has another prefix than the limit.
    pub fn applies(&self, machine: &Machine) -> Applies {
        [self.model(machine), self.years(machine), self.serials(machine), self.only(machine)]
            .into_iter()
            .min()
            .unwrap_or(Applies::Yes)
    }

    /// Counts the scope columns that hold a limit: the more, the narrower.
    pub fn narrowness(&self) -> usize {
        usize::from(!self.model.is_empty())
            + usize::from(self.years.is_some())
            + usize::from(self.serials.is_some())
            + usize::from(!self.only.is_empty())
    }

    fn model(&self, machine: &Machine) -> Applies {
        if self.model.is_empty() || self.model.contains(&machine.model) { Applies::Yes } else { Applies::No }
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
        if self.only.is_empty() {
            Applies::Yes
        } else if machine.traits.is_empty() {
            Applies::Unsure
        } else if self.only.iter().all(|condition| condition.met(&machine.traits)) {
            Applies::Yes
        } else {
            Applies::No
        }
    }
}

impl fmt::Display for Scope {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let list = |items: Vec<String>| items.join(" or ");
        let mut limits = Vec::new();
        if !self.model.is_empty() {
            limits.push(format!("model {}", list(self.model.iter().map(ToString::to_string).collect())));
        }
        limits.extend(self.years.iter().map(|years| format!("years {years}")));
        limits.extend(self.serials.iter().map(|serials| format!("serials {serials}")));
        if !self.only.is_empty() {
            let traits: Vec<_> = self.only.iter().map(ToString::to_string).collect();
            limits.push(format!("only {}", traits.join(" and ")));
        }
        f.write_str(if limits.is_empty() { "every machine" } else { "" })?;
        f.write_str(&limits.join(", "))
    }
}

impl Field for Scope {
    fn columns(_: &'static str, _: &'static str, columns: &mut Vec<Column>) {
        let mut scope = |name, form, about| columns.push(Column { name, required: false, form, about });
        scope("model", "list of names", "The models that the row is for; blank is all.");
        scope("years", YearRanges::FORM, "The years that the row is for; blank is all.");
        scope("serials", SerialRanges::FORM, "The serials that the row is for; blank is all.");
        scope("only", "list of NAME or not NAME", "The traits of a machine that must all hold; blank is none.");
    }

    fn read(cells: &mut dyn Cells, slot: &mut usize) -> Option<Self> {
        Some(Scope {
            model: Field::read(cells, slot)?,
            years: Field::read(cells, slot)?,
            serials: Field::read(cells, slot)?,
            only: Field::read(cells, slot)?,
        })
    }
}

/// A row that has a scope.
pub trait Scoped {
    /// Gives the row's limits.
    fn scope(&self) -> &Scope;
}

/// Gives the rows of one key that apply to a machine with *yes*; if none does, those that are *unsure*.
pub fn rows_for<'a, R: Scoped>(rows: &'a [R], machine: &Machine) -> (Applies, Vec<&'a R>) {
    for wanted in [Applies::Yes, Applies::Unsure] {
        let found: Vec<&R> = rows.iter().filter(|row| row.scope().applies(machine) == wanted).collect();
        if !found.is_empty() {
            return (wanted, found);
        }
    }
    (Applies::No, Vec::new())
}
