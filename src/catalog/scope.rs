//! The limits of a row: for which models, years, serials and traits it speaks.

use super::cell::{Cells, Condition, Field};
use super::naming::{Form, Name, Thing};
use super::table::{Column, Says, eg};
use crate::measure::{Key, SerialRanges, YearRanges};
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

impl Scope {
    /// Tells whether every machine of another scope is one of this: each limit is missing here, or is the same.
    pub fn includes(&self, other: &Scope) -> bool {
        (self.model.is_empty() || self.model == other.model)
            && (self.years.is_none() || self.years == other.years)
            && (self.serials.is_none() || self.serials == other.serials)
            && (self.only.is_empty() || self.only == other.only)
    }

    /// Counts the scope columns that hold a limit: the more, the narrower.
    pub fn narrowness(&self) -> usize {
        usize::from(!self.model.is_empty())
            + usize::from(self.years.is_some())
            + usize::from(self.serials.is_some())
            + usize::from(!self.only.is_empty())
    }
}

impl fmt::Display for Scope {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let list = |items: Vec<String>| items.join(" or ");
        let mut limits = Vec::new();
        if !self.model.is_empty() {
            limits.push(format!(
                "model {}",
                list(self.model.iter().map(ToString::to_string).collect())
            ));
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
    const FORM: &'static str = "";
    const WIDTH: usize = 4;

    fn columns(_: &'static str, _: &'static str, _: Says, columns: &mut Vec<Column>) {
        fn one<T: Field>(
            name: &'static str,
            about: &'static str,
            says: Says,
            columns: &mut Vec<Column>,
        ) {
            T::columns(name, about, says.apart(), columns);
        }
        one::<Vec<Key>>(
            "model",
            "The models that the row is for; blank is all.",
            eg("K3").of(Thing::Model),
            columns,
        );
        one::<Option<YearRanges>>(
            "years",
            "The years that the row is for; blank is all.",
            eg("1996-1999"),
            columns,
        );
        one::<Option<SerialRanges>>(
            "serials",
            "The serials that the row is for; blank is all.",
            eg("B1200-B4999"),
            columns,
        );
        one::<Vec<Condition>>(
            "only",
            "The traits of a machine that must all hold; blank is none.",
            eg("not EU").of(Thing::Trait),
            columns,
        );
    }

    fn read(cells: &mut dyn Cells, slot: &mut usize) -> Option<Self> {
        Some(Scope {
            model: Field::read(cells, slot)?,
            years: Field::read(cells, slot)?,
            serials: Field::read(cells, slot)?,
            only: Field::read(cells, slot)?,
        })
    }

    fn names<'a>(&'a self, slot: &mut usize, look: &mut dyn FnMut(usize, Form, Name<'a>)) {
        self.model.names(slot, look);
        *slot += 2;
        self.only.names(slot, look);
    }

    fn limits(&self) -> Option<&Scope> {
        Some(self)
    }
}

/// A row that has a scope.
pub trait Scoped {
    /// Gives the row's limits.
    fn scope(&self) -> &Scope;
}
