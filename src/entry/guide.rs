//! The files of a new catalog: every table with its header and remarks that explain it, and a short guide.

use crate::catalog::{Rows, Table};
use std::fmt::Write as _;

/// A file of a new catalog.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct NewFile {
    /// Its name.
    pub name: String,
    /// What it holds.
    pub text: String,
}

/// An invented row of each table, and with it an example for each column.
const EXAMPLES: &[(&str, &[(&str, &str)])] = &[
    (
        "models",
        &[
            ("model", "K3"),
            ("name", "Garden tractor K3"),
            ("maker", "Harrowby"),
            ("years", "1994-2001"),
            ("note", "green hood"),
        ],
    ),
    (
        "machines",
        &[
            ("machine", "mower"),
            ("model", "K3"),
            ("year", "1996"),
            ("serial", "B1200"),
            ("traits", "EU;wide-deck"),
            ("hours", "412"),
            ("bought", "2019-05"),
            ("note", "history unknown"),
        ],
    ),
    (
        "assemblies",
        &[
            ("machine", "mower"),
            ("assembly", "Gearbox"),
            ("model", "K3"),
            ("year", "1999"),
            ("serial", "G4410"),
            ("traits", "EU"),
            ("note", "from a scrapped K3"),
        ],
    ),
    (
        "parts",
        &[
            ("part", "40-109"),
            ("type", "screw"),
            ("name", "Bowl screw"),
            ("size", "M4x12"),
            ("maker", "Harrowby"),
            ("material", "A2-70"),
            ("single_use", "no"),
            ("unit", "each"),
            ("status", "available"),
            ("note", "short head"),
            ("source", "parts list p. 12"),
        ],
    ),
    (
        "dimensions",
        &[
            ("part", "40-118"),
            ("feature", "thickness"),
            ("size", "0.8 ±0.1"),
            ("source", "measured on a new one"),
        ],
    ),
    (
        "contains",
        &[
            ("part", "40-700"),
            ("contains", "40-118"),
            ("quantity", "1"),
            ("position", "bowl-gasket"),
            ("note", "the overhaul set"),
        ],
    ),
    (
        "equivalents",
        &[
            ("part", "40-118"),
            ("other", "FB-22"),
            ("maker", "Ferrow"),
            ("note", "same outline"),
            ("source", "box label"),
        ],
    ),
    (
        "positions",
        &[
            ("position", "bowl-gasket"),
            ("assembly", "Carburettor"),
            ("figure", "4-8"),
            ("name", "Gasket of the float bowl"),
            ("part", "40-118"),
            ("quantity", "1"),
            ("joint", "bowl"),
            ("reached_by", "bowl-off"),
            ("carried_by", "bowl-body"),
            ("tell", "the bowl has a brass drain screw"),
            ("when_disturbed", "renew"),
            ("life_hours", "200"),
            ("life_months", "24"),
            ("torque", "2 N·m (18 lbf·in)"),
            ("note", "dry"),
            ("source", "parts list p. 12"),
        ],
    ),
    (
        "seats",
        &[
            ("position", "float-valve"),
            ("feature", "bore"),
            ("size", "3 H7"),
            ("least", "3"),
            ("most", "3.05"),
            ("source", "manual p. 30"),
        ],
    ),
    (
        "selections",
        &[
            ("position", "output-shim"),
            ("feature", "end play"),
            ("least", "0.2"),
            ("most", "0.4"),
            ("part", "40-331"),
            ("note", "measured without a shim"),
            ("source", "manual p. 58"),
        ],
    ),
    (
        "joints",
        &[
            ("joint", "bowl"),
            ("name", "Float bowl to body"),
            ("dry", "no"),
            ("note", "the gasket goes on dry"),
        ],
    ),
    (
        "supersessions",
        &[
            ("old", "40-118"),
            ("new", "40-218"),
            ("quantity", "1"),
            ("together", "later-bowl"),
            ("swap", "one-way"),
            ("since", "2003"),
            ("needs", "bowl-screws=40-110*4"),
            ("note", "thicker"),
            ("source", "bulletin 7"),
        ],
    ),
    (
        "retrofits",
        &[
            ("part", "40-300"),
            ("position", "bowl"),
            ("verdict", "fits-with"),
            ("needs", "bowl-gasket=40-218"),
            ("operations", "drill-vent"),
            ("note", "the later bowl"),
            ("source", "a dealer's letter"),
        ],
    ),
    (
        "operations",
        &[
            ("operation", "bowl-off"),
            ("name", "Take off the float bowl"),
            ("needs", "fuel-off"),
            ("opens", "bowl"),
            ("removes", "bowl"),
            ("uses", "40-900=2 g"),
            ("tools", "screwdriver;tray"),
            ("minutes", "15"),
            ("cautions", "petrol-vapour"),
            ("strip", "Four screws; the float pin stays in."),
            ("refit", "New gasket, dry."),
            ("source", "manual p. 31"),
            ("phase", "after"),
            ("assembly", "Carburettor"),
        ],
    ),
    (
        "jobs",
        &[
            ("job", "bowl-leak"),
            ("name", "Stop the float bowl weeping"),
            ("addresses", "fuel smell;wet carburettor"),
            ("note", "look at the float while it is open"),
            ("source", "own work"),
            ("assembly", "Carburettor"),
        ],
    ),
    (
        "job_lines",
        &[
            ("job", "bowl-leak"),
            ("option", "not new-bowl"),
            ("position", "bowl-gasket"),
            ("part", "40-118"),
            ("quantity", "1"),
            ("operation", "bowl-off"),
            ("note", "one line for each thing to renew, to fit, to buy or to do"),
            ("assembly", "Carburettor"),
        ],
    ),
    ("stock", &[("part", "40-118"), ("quantity", "2"), ("bin", "tin 3"), ("note", "one is old")]),
    (
        "suppliers",
        &[
            ("supplier", "brackwater"),
            ("name", "Brackwater Parts"),
            ("currency", "EUR"),
            ("shipping", "6.50"),
            ("free_from", "80"),
            ("minimum", "10"),
            ("days", "4"),
            ("note", "orders by mail"),
        ],
    ),
    (
        "offers",
        &[
            ("supplier", "brackwater"),
            ("part", "40-118"),
            ("supplier_number", "B-40118"),
            ("price", "3.20"),
            ("pack", "1"),
            ("as_of", "2026-03-01"),
            ("note", "price list"),
        ],
    ),
    (
        "orders",
        &[
            ("order", "2026-01"),
            ("date", "2026-03-02"),
            ("supplier", "brackwater"),
            ("part", "40-118"),
            ("packs", "2"),
            ("price", "3.20"),
            ("pack", "1"),
            ("machine", "mower"),
            ("job", "bowl-leak"),
            ("jobs", "bowl-leak; service"),
            ("options", "new-bowl"),
            ("renew", "bowl-gasket"),
            ("reuse", "bowl-clip"),
            ("instead", "bowl-gasket=40-218"),
            ("rest", "yes"),
            ("received", "2026-03-08"),
            ("received_quantity", "2"),
            ("received_part", "40-218"),
            ("deliveries", "2026-03-08=2@L-4711"),
            ("closed", "yes"),
            ("note", "written by the program"),
        ],
    ),
    (
        "worklog",
        &[
            ("date", "2021-08-14"),
            ("machine", "mower"),
            ("position", "bowl-gasket"),
            ("part", "40-118"),
            ("quantity", "1"),
            ("operation", "bowl-off"),
            ("job", "bowl-leak"),
            ("left_out", "bowl-clip"),
            ("options", "not new-bowl"),
            ("hours", "388"),
            ("finding", "brittle"),
            ("note", "a bare year, or nothing, will do for earlier owners' work"),
            ("confirms", "40-218"),
        ],
    ),
    (
        "measurements",
        &[
            ("date", "2026-03-09"),
            ("machine", "mower"),
            ("position", "float-valve"),
            ("feature", "bore"),
            ("value", "3.02"),
            ("note", "largest of three"),
        ],
    ),
    (
        "types",
        &[
            ("type", "deck belt cover"),
            ("also_called", "belt guard"),
            ("when_disturbed", "inspect"),
            ("seals", "no"),
            ("size_form", "bore x section"),
            ("why", "cracks at the clips"),
            ("source", "own experience"),
        ],
    ),
    (
        "cautions",
        &[
            ("caution", "blade-brake"),
            ("text", "The blade brake is sprung: let it off first."),
            ("source", "the maker's manual"),
        ],
    ),
];

const SCOPE: &[(&str, &str)] =
    &[("model", "K3"), ("years", "1996-1999"), ("serials", "B1200-B4999"), ("only", "not EU")];

/// The name of the guide.
pub const GUIDE: &str = "READ-ME-FIRST.txt";

const GUIDE_TEXT: &str = "\
This folder is a catalog: your own tables about the machines that you keep running.

Every file called <table>.csv holds one table. Open it in a spreadsheet or a text
editor, or let the program fill it in; it asks before it writes, and `kitwright undo`
takes the last change back. A line that begins with # is a remark: the ones here
explain each column, with an invented example. You may delete them.

From nothing to the first kit, in this folder:

  kitwright add machine mower K3 --year 1996
      your name for the machine, and its model
  kitwright add \"40-118 gasket, float bowl\"
      a part, as the bag or the parts list names it (or: kitwright import LIST --into parts)
  kitwright add joint bowl --gasket 40-118 --screws 4x40-109 --opened-by bowl-off
      a joint with all that sits in it, and the step that opens it
  kitwright add job bowl-leak --renew bowl-gasket
      a job, and what it renews
  kitwright kit bowl-leak --on mower
      everything that the job needs
  kitwright check
      mistakes in the tables, and what would leave a kit incomplete

Only machines, models, parts, positions, operations, jobs and job_lines are needed for
a first kit. Fill in the others when you learn something that belongs there:
`kitwright tables` says what each is for.

Type a torque with every figure that the manual prints, as in 25 N·m (18 lbf·ft): a
slip in one of them then shows, and lbf·ft typed as N·m cannot be found otherwise.

Year, serial and traits of a machine may stay blank. Rows that depend on them are then
said to be unsure, never guessed.

Lists that you import are told by their header line; which of their columns is which of
yours is remembered in .kitwright-columns.csv.
";

/// Gives the files of an empty catalog.
pub fn empty_catalog() -> Vec<NewFile> {
    let tables = Rows::dictionary();
    let mut files: Vec<NewFile> = tables
        .iter()
        .map(|table| NewFile { name: format!("{}.csv", table.name), text: sheet(table) })
        .collect();
    files.push(NewFile { name: GUIDE.to_owned(), text: GUIDE_TEXT.to_owned() });
    files
}

/// Gives an invented example of a column's cell; blank where there is none.
pub fn example(table: &str, column: &str) -> &'static str {
    let of_table =
        EXAMPLES.iter().find(|(name, _)| *name == table).map_or(&[][..], |(_, cells)| *cells);
    let found = of_table.iter().chain(SCOPE).find(|(name, _)| *name == column);
    found.map_or("", |(_, example)| example)
}

fn sheet(table: &Table) -> String {
    let mut text = String::new();
    // Writing to a string cannot fail.
    let _ = writeln!(text, "# {}: {}", table.name, table.about);
    for column in &table.columns {
        let needed = if column.required { " (every row needs it)" } else { "" };
        let _ = writeln!(
            text,
            "#   {}{needed}: {} Such as: {}",
            column.name,
            column.about,
            example(table.name, column.name)
        );
    }
    let header: Vec<&str> = table.columns.iter().map(|column| column.name).collect();
    let _ = writeln!(text, "{}", header.join(","));
    text
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::measure::DecimalMark;
    use crate::tables::{Tables, TextRow, definition};

    #[test]
    fn every_column_of_every_table_has_an_example_that_can_be_read() {
        for table in Rows::dictionary() {
            let definition = definition(table.name).expect("a table of the dictionary");
            let cells = table.columns.iter().map(|column| {
                let example = example(table.name, column.name);
                assert!(!example.is_empty(), "{}.{}", table.name, column.name);
                (column.name.to_owned(), example.to_owned())
            });
            let row = TextRow::new(definition.name, DecimalMark::Point, cells);
            assert_eq!(row.refused(), [], "{}", table.name);
        }
    }

    #[test]
    fn the_examples_declared_are_those_of_the_list() {
        for table in Rows::dictionary() {
            for column in &table.columns {
                assert_eq!(
                    column.says.example,
                    example(table.name, column.name),
                    "{}.{}",
                    table.name,
                    column.name
                );
            }
        }
    }

    #[test]
    fn an_empty_catalog_is_read_without_fault_and_holds_no_row() {
        let mut tables = Tables::default();
        for file in empty_catalog() {
            if let Some(table) = file.name.strip_suffix(".csv") {
                tables.read_file(table, file.name.clone(), file.text.as_bytes());
            }
        }
        assert_eq!((tables.faults, tables.notices), (vec![], vec![]));
        assert_eq!(tables.files.len(), Rows::dictionary().len());
        assert_eq!(tables.rows, Rows::default());
    }
}
