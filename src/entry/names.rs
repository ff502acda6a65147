//! The names that the tables use: for completion, and to see whether a name that was typed stands for anything.

use crate::catalog::{Rows, Table, Thing, names_in, parted_by_commas};
use crate::measure::PartNumber;
use crate::near;
use crate::tables::TextSheet;
use std::collections::{BTreeMap, HashSet};

/// Tells what the names in a column stand for; of a cell with names of two kinds, the first. What is there by being
/// named, such as an option, is not told.
pub fn points_to(table: &str, column: &str) -> Option<Thing> {
    let column = Table::of(table)?.column(column).filter(|column| !column.says.also)?;
    let (thing, _) = column.names.first()?;
    Some(*thing).filter(|thing| !matches!(thing, Thing::Order | Thing::Trait | Thing::Option))
}

/// Every name that the tables use, by what it stands for.
#[derive(Debug, Clone, Default)]
pub struct Names {
    shown: BTreeMap<Thing, Vec<String>>,
    folded: HashSet<(Thing, String)>,
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
        let columns = Rows::dictionary()
            .iter()
            .flat_map(|table| table.columns.iter().map(move |column| (table.name, column)));
        for (table, column) in columns {
            for (of, form) in &column.names {
                if !column.says.gives && *of != Thing::Joint {
                    continue;
                }
                let rows = sheets.iter().filter(|sheet| sheet.table == table);
                for cell in rows.flat_map(|sheet| &sheet.rows).map(|row| row.cell(column.name)) {
                    names_in(cell, *form).into_iter().for_each(|name| names.add(*of, &cell[name]));
                }
            }
        }
        types.into_iter().for_each(|name| names.add(Thing::Type, &name));
        cautions.into_iter().for_each(|name| names.add(Thing::Caution, &name));
        names
    }

    /// Adds a name.
    pub fn add(&mut self, of: Thing, name: &str) {
        let name = name.trim();
        if !name.is_empty() && self.folded.insert((of, fold(of, name))) {
            self.shown.entry(of).or_default().push(name.to_owned());
        }
    }

    /// Tells whether a name is known.
    pub fn holds(&self, of: Thing, name: &str) -> bool {
        self.folded.contains(&(of, fold(of, name)))
    }

    /// Gives all names of a kind, in the order of the tables.
    pub fn all(&self, of: Thing) -> &[String] {
        self.shown.get(&of).map_or(&[], Vec::as_slice)
    }

    /// Spells a name as the tables do, else as given.
    pub fn spell(&self, of: Thing, name: &str) -> String {
        let wanted = fold(of, name);
        self.all(of)
            .iter()
            .find(|known| fold(of, known) == wanted)
            .map_or_else(|| name.trim().to_owned(), Clone::clone)
    }

    /// Writes a cell as the tables part it: see [`parted_by_commas`].
    pub fn parted(&self, table: &str, column: &str, cell: &str) -> String {
        let known = |of: Thing, name: &str| self.holds(of, name);
        parted_by_commas(table, column, cell, &known).unwrap_or_else(|| cell.trim().to_owned())
    }

    /// Gives the known name most like one that was typed.
    pub fn near(&self, of: Thing, name: &str) -> Option<&str> {
        near::nearest(name, self.all(of).iter().map(String::as_str))
    }
}

fn fold(of: Thing, name: &str) -> String {
    match of {
        Thing::Part => PartNumber::new(name)
            .map_or_else(|| name.to_lowercase(), |number| number.folded().to_owned()),
        _ => name.trim().to_lowercase(),
    }
}
