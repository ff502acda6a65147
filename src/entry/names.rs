//! The names that the tables use: for completion, and to see whether a name that was typed stands for anything.

use crate::measure::PartNumber;
use crate::near;
use crate::tables::{TextSheet, definition};
use std::collections::{BTreeMap, HashSet};

/// What a name stands for.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Of {
    /// A model.
    Model,
    /// A machine.
    Machine,
    /// A part, by its number.
    Part,
    /// A position.
    Position,
    /// A joint.
    Joint,
    /// An operation.
    Operation,
    /// A job.
    Job,
    /// A supplier.
    Supplier,
    /// A type of part.
    Type,
    /// A caution.
    Caution,
}

impl Of {
    /// Gives the word for it.
    pub fn word(self) -> &'static str {
        match self {
            Of::Model => "model",
            Of::Machine => "machine",
            Of::Part => "part",
            Of::Position => "position",
            Of::Joint => "joint",
            Of::Operation => "operation",
            Of::Job => "job",
            Of::Supplier => "supplier",
            Of::Type => "type",
            Of::Caution => "caution",
        }
    }
}

/// Tells what the names in a column stand for.
pub fn points_to(table: &str, column: &str) -> Option<Of> {
    Some(match (table, column) {
        (_, "model") => Of::Model,
        (_, "machine") => Of::Machine,
        ("positions" | "job_lines" | "worklog", "part")
        | (_, "part" | "contains" | "other" | "old" | "new" | "received_part" | "uses") => Of::Part,
        (_, "position" | "removes") | ("supersessions" | "retrofits", "needs") => Of::Position,
        (_, "joint" | "opens") => Of::Joint,
        (_, "operation" | "operations" | "reached_by") | ("operations", "needs") => Of::Operation,
        (_, "job") => Of::Job,
        (_, "supplier") => Of::Supplier,
        (_, "type") => Of::Type,
        (_, "caution" | "cautions") => Of::Caution,
        _ => return None,
    })
}

/// Every name that the tables use, by what it stands for.
#[derive(Debug, Clone, Default)]
pub struct Names {
    shown: BTreeMap<Of, Vec<String>>,
    folded: HashSet<(Of, String)>,
}

impl Names {
    /// Gathers the names that the tables define. A joint needs no row of its own: it is there as soon as a position
    /// sits in it. `types` and `cautions` are the names that ship with the program.
    pub fn of(
        sheets: &[TextSheet],
        types: impl IntoIterator<Item = String>,
        cautions: impl IntoIterator<Item = String>,
    ) -> Names {
        let mut names = Names::default();
        let defining = [
            ("models", "model", Of::Model),
            ("machines", "machine", Of::Machine),
            ("parts", "part", Of::Part),
            ("positions", "position", Of::Position),
            ("positions", "joint", Of::Joint),
            ("joints", "joint", Of::Joint),
            ("operations", "operation", Of::Operation),
            ("operations", "opens", Of::Joint),
            ("jobs", "job", Of::Job),
            ("suppliers", "supplier", Of::Supplier),
            ("types", "type", Of::Type),
            ("types", "also_called", Of::Type),
            ("cautions", "caution", Of::Caution),
        ];
        for (table, column, of) in defining {
            let list = definition(table)
                .and_then(|table| table.columns.iter().find(|known| known.name == column))
                .is_some_and(|column| column.form.starts_with("list"));
            for row in sheets.iter().filter(|sheet| sheet.table == table).flat_map(|sheet| &sheet.rows) {
                if list {
                    row.cell(column).split(';').for_each(|name| names.add(of, name));
                } else {
                    names.add(of, row.cell(column));
                }
            }
        }
        types.into_iter().for_each(|name| names.add(Of::Type, &name));
        cautions.into_iter().for_each(|name| names.add(Of::Caution, &name));
        names
    }

    /// Adds a name.
    pub fn add(&mut self, of: Of, name: &str) {
        let name = name.trim();
        if !name.is_empty() && self.folded.insert((of, fold(of, name))) {
            self.shown.entry(of).or_default().push(name.to_owned());
        }
    }

    /// Tells whether a name is known.
    pub fn holds(&self, of: Of, name: &str) -> bool {
        self.folded.contains(&(of, fold(of, name)))
    }

    /// Gives all names of a kind, in the order of the tables.
    pub fn all(&self, of: Of) -> &[String] {
        self.shown.get(&of).map_or(&[], Vec::as_slice)
    }

    /// Spells a name as the tables do, else as given.
    pub fn spell(&self, of: Of, name: &str) -> String {
        let wanted = fold(of, name);
        self.all(of).iter().find(|known| fold(of, known) == wanted).map_or_else(|| name.trim().to_owned(), Clone::clone)
    }

    /// Gives the known name most like one that was typed.
    pub fn near(&self, of: Of, name: &str) -> Option<&str> {
        near::nearest(name, self.all(of).iter().map(String::as_str))
    }
}

fn fold(of: Of, name: &str) -> String {
    match of {
        Of::Part => PartNumber::new(name).map_or_else(|| name.to_lowercase(), |number| number.folded().to_owned()),
        _ => name.trim().to_lowercase(),
    }
}
