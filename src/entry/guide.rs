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
`kitwright columns` says what each is for.

Type a torque with every figure that the manual prints, as in 25 N·m (18 lbf·ft): a
slip in one of them then shows, and lbf·ft typed as N·m cannot be found otherwise.

Year, serial and traits of a machine may stay blank. Rows that depend on them are then
said to be unsure, never guessed.

Lists that you import are told by their header line; which of their columns is which of
yours is remembered in .kitwright-columns.csv.
";

/// Gives the files of an empty catalog.
pub fn empty_catalog() -> Vec<NewFile> {
    let mut files: Vec<NewFile> = Rows::dictionary()
        .iter()
        .map(|table| NewFile { name: format!("{}.csv", table.name), text: sheet(table) })
        .collect();
    files.push(NewFile { name: GUIDE.to_owned(), text: GUIDE_TEXT.to_owned() });
    files
}

/// Gives an invented example of a column's cell; blank where there is no such column.
pub fn example(table: &str, column: &str) -> &'static str {
    Table::of(table).and_then(|table| table.column(column)).map_or("", |column| column.says.example)
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
            column.name, column.about, column.says.example
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
                let example = column.says.example;
                assert!(!example.is_empty(), "{}.{}", table.name, column.name);
                (column.name.to_owned(), example.to_owned())
            });
            let row = TextRow::new(definition.name, DecimalMark::Point, cells);
            assert_eq!(row.refused(), [], "{}", table.name);
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
