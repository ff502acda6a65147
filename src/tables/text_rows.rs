//! Table files as they were typed: each row's cells as text, for those who carry rows elsewhere or change them.

use super::encoding::other_than_utf8;
use super::folder::TableFile;
use super::header::Header;
use super::place::steady;
use super::read::{Tables, read_once};
use super::seen::Seen;
use super::split::Splitter;
use crate::catalog::{Cells, Rows, Table};
use crate::measure::{DecimalMark, Unreadable};
use std::io;
use std::path::Path;
use std::sync::Arc;

/// A table file with the text of its rows.
#[derive(Debug, Clone)]
pub struct TextSheet {
    /// The table that it belongs to.
    pub table: &'static str,
    /// Its path within the catalog folder.
    pub name: String,
    /// The names in its header line, in lower case.
    pub columns: Arc<[String]>,
    /// Its rows, without remarks and empty lines.
    pub rows: Vec<TextRow>,
}

/// A row as it was typed.
#[derive(Debug, Clone)]
pub struct TextRow {
    /// The table that it belongs to.
    pub table: &'static str,
    /// The line on which it begins; 0 where it stands in no file yet.
    pub line: u32,
    /// The decimal marks that its cells may use.
    pub mark: DecimalMark,
    columns: Arc<[String]>,
    cells: Vec<String>,
}

/// Gives the definition of a table.
pub fn definition(table: &str) -> Option<&'static Table> {
    Table::of(table)
}

/// Reads every table of a catalog folder, typed and as text, from one look at the disk.
///
/// # Errors
/// The folder itself cannot be read.
pub fn read_sheets(root: &Path) -> io::Result<(Tables, Vec<TextSheet>)> {
    read_sheets_seen(root).map(|(tables, sheets, _)| (tables, sheets))
}

/// As [`read_sheets`], with the texts kept for a change that is to be worked out from them.
///
/// # Errors
/// The folder itself cannot be read.
pub fn read_sheets_seen(root: &Path) -> io::Result<(Tables, Vec<TextSheet>, Seen)> {
    steady(root, || {
        let (mut sheets, mut seen) = (Vec::new(), Seen::default());
        let tables = read_once(root, |file, bytes| {
            sheets.extend(TextSheet::of(file, bytes));
            seen.keep(&file.name, bytes);
        })?;
        Ok((tables, sheets, seen))
    })
}

impl TextSheet {
    /// Takes a file apart; `None` where it has no header line. What the reader would refuse is taken as it comes.
    pub fn of(file: &TableFile, bytes: &[u8]) -> Option<TextSheet> {
        TextSheet::read(file.table, &file.name, bytes)
    }

    /// Takes the text of a table file apart; as [`TextSheet::of`].
    pub fn read(table: &str, name: &str, bytes: &[u8]) -> Option<TextSheet> {
        let definition = definition(table)?;
        let decoded = other_than_utf8(bytes);
        let bytes = decoded.as_ref().map_or(bytes, |(text, _)| text.as_bytes());
        let header = Header::find(bytes, definition)?;
        let mark = header.mark();
        let columns: Arc<[String]> = header.names.clone().into();
        let rows = Splitter::new(bytes, header.delimiter)
            .filter(|record| record.line > header.line && !record.is_empty() && !record.is_remark())
            .map(|record| TextRow {
                table: definition.name,
                line: record.line,
                mark,
                columns: Arc::clone(&columns),
                cells: (0..columns.len())
                    .map(|i| String::from_utf8_lossy(&record.cell(i)).into_owned())
                    .collect(),
            })
            .collect();
        Some(TextSheet { table: definition.name, name: name.to_owned(), columns, rows })
    }

    /// Gives the row that begins on a line.
    pub fn row(&self, line: u32) -> Option<&TextRow> {
        let index = self.rows.binary_search_by_key(&line, |row| row.line).ok()?;
        self.rows.get(index)
    }
}

impl TextRow {
    /// Makes a row that stands in no file yet.
    pub fn new(
        table: &'static str,
        mark: DecimalMark,
        cells: impl IntoIterator<Item = (String, String)>,
    ) -> TextRow {
        let (columns, cells): (Vec<String>, Vec<String>) = cells.into_iter().unzip();
        TextRow { table, line: 0, mark, columns: columns.into(), cells }
    }

    /// Gives a cell without the space around it; blank where there is no such column.
    pub fn cell(&self, column: &str) -> &str {
        self.raw(column).trim()
    }

    /// Gives a cell with the space around it.
    pub fn raw(&self, column: &str) -> &str {
        let index = self.columns.iter().position(|name| name == column);
        index.and_then(|index| self.cells.get(index)).map_or("", String::as_str)
    }

    /// Gives the cells that hold something, each with its column.
    pub fn filled(&self) -> impl Iterator<Item = (String, String)> + '_ {
        let cells = self.columns.iter().zip(&self.cells);
        cells
            .map(|(column, text)| (column.clone(), text.trim().to_owned()))
            .filter(|(_, text)| !text.is_empty())
    }

    /// Gives the row with another text in one cell.
    #[must_use]
    pub fn with(&self, column: &str, text: &str) -> TextRow {
        let mut row = self.clone();
        match row.columns.iter().position(|name| name == column) {
            Some(index) => row.cells[index] = text.to_owned(),
            None => {
                row.columns = row.columns.iter().cloned().chain([column.to_owned()]).collect();
                row.cells.push(text.to_owned());
            }
        }
        row
    }

    /// Reads the row into the one row of its table; no row where a cell that must not be blank is blank or unreadable.
    /// Rows that say the same, however they spell it, are equal.
    pub fn value(&self) -> Rows {
        let mut rows = Rows::default();
        rows.read(self.table, Default::default(), &mut Reading { row: self, refused: Vec::new() });
        rows
    }

    /// Lists the cells that cannot be read: the column, and why.
    pub fn refused(&self) -> Vec<(&'static str, Unreadable)> {
        let mut reading = Reading { row: self, refused: Vec::new() };
        Rows::default().read(self.table, Default::default(), &mut reading);
        reading.refused
    }

    /// Gives the row with decimal points for decimal commas, as a file with any delimiter may hold it.
    #[must_use]
    pub fn with_points(&self) -> TextRow {
        if self.mark == DecimalMark::Point {
            return self.clone();
        }
        let mut row = self.clone();
        let value = self.value();
        row.mark = DecimalMark::Point;
        for index in 0..row.cells.len() {
            let dotted = dotted(&row.cells[index]);
            if dotted == row.cells[index] || !is_defined(self.table, &row.columns[index]) {
                continue;
            }
            // Only where the cell says the same with points is it a number; any other comma is the owner's.
            let alone = self.with(&row.columns[index], &dotted);
            if alone.value() == value {
                row.cells[index] = dotted;
            }
        }
        row
    }
}

fn is_defined(table: &str, column: &str) -> bool {
    definition(table).is_some_and(|table| table.columns.iter().any(|known| known.name == column))
}

/// Puts a point for every comma between two digits.
fn dotted(text: &str) -> String {
    let letters: Vec<char> = text.chars().collect();
    let is_digit =
        |at: Option<usize>| at.and_then(|at| letters.get(at)).is_some_and(char::is_ascii_digit);
    let between = |at: usize| is_digit(at.checked_sub(1)) && is_digit(Some(at + 1));
    letters
        .iter()
        .enumerate()
        .map(|(at, c)| if *c == ',' && between(at) { '.' } else { *c })
        .collect()
}

/// The cells of a row in the order of its table's definition.
struct Reading<'r> {
    row: &'r TextRow,
    refused: Vec<(&'static str, Unreadable)>,
}

impl Cells for Reading<'_> {
    fn text(&self, slot: usize) -> &str {
        self.row.cell(self.column(slot))
    }

    fn mark(&self) -> DecimalMark {
        self.row.mark
    }

    fn column(&self, slot: usize) -> &'static str {
        definition(self.row.table)
            .and_then(|table| table.columns.get(slot))
            .map_or("", |column| column.name)
    }

    fn refuse(&mut self, slot: usize, reason: Unreadable) {
        self.refused.push((self.column(slot), reason));
    }
}
