//! The header line of a table file, and the cells of a row as it tells where they stand.

use super::split::{BYTE_ORDER_MARK, QuoteFault, Record, Splitter};
use crate::catalog::{Cells, Column, Table};
use crate::measure::{DecimalMark, Unreadable, shorten};
use std::borrow::Cow;

/// The longest cell that is read, in bytes: far beyond any note, and short enough to show that a quotation mark ran away.
pub const LONGEST_CELL: usize = 1 << 20;

/// The header line of a file: what stands where.
pub(crate) struct Header {
    /// What separates the cells.
    pub delimiter: u8,
    /// The line on which it stands.
    pub line: u32,
    /// The names in lower case, in the file's order.
    pub names: Vec<String>,
    /// The names as the file spells them.
    pub spelled: Vec<String>,
    /// Where the rows begin: the byte and the line behind the header.
    pub body: (usize, u32),
    /// Where each column of the definition stands in the file.
    pub(super) places: Vec<Option<usize>>,
    pub(super) faulty: bool,
}

impl Header {
    /// Finds the header: the first line that is neither empty nor a remark. The delimiter is the one with which
    /// most of its names are known.
    pub fn find(bytes: &[u8], definition: &Table) -> Option<Header> {
        let mut best: Option<(usize, Header)> = None;
        for delimiter in [b',', b';', b'\t'] {
            let mut splitter = Splitter::new(bytes, delimiter);
            let Some(record) = splitter.find(|r| !r.is_empty() && !r.is_remark()) else {
                continue;
            };
            let spelled: Vec<String> = (0..record.len())
                .map(|i| String::from_utf8_lossy(&record.cell(i)).trim().to_owned())
                .collect();
            let names: Vec<String> = spelled.iter().map(|name| name.to_lowercase()).collect();
            let places: Vec<Option<usize>> = definition
                .columns
                .iter()
                .map(|column| names.iter().position(|name| name == column.name))
                .collect();
            let known = places.iter().flatten().count();
            if best.as_ref().is_none_or(|(most, _)| known > *most) {
                let faulty = record.fault.is_some();
                let body = splitter.here();
                best = Some((
                    known,
                    Header { delimiter, line: record.line, names, spelled, body, places, faulty },
                ));
            }
        }
        best.map(|(_, header)| header)
    }

    /// Tells which decimal marks the file may use.
    pub fn mark(&self) -> DecimalMark {
        if self.delimiter == b';' { DecimalMark::PointOrComma } else { DecimalMark::Point }
    }

    /// Gives the name of a column as messages show it: its number where it has none.
    pub(super) fn name(&self, index: usize) -> String {
        self.names
            .get(index)
            .filter(|name| !name.is_empty())
            .map_or_else(|| (index + 1).to_string(), |name| shorten(name))
    }

    /// Notes what keeps a record from being read as a row at all.
    pub(super) fn inspect(&self, record: &Record, sound: bool, unread: &mut Vec<Unread>) {
        let mut note = |index: usize, code, message| {
            unread.push(Unread { column: self.name(index), code, message });
        };
        if let Some((index, fault)) = record.fault {
            let why = match fault {
                QuoteFault::Unclosed => {
                    "opens with a quotation mark that is never closed; close it, or double it if it belongs to the text"
                }
                QuoteFault::TextAfter => {
                    "has text behind a closing quotation mark; double the marks that belong to the text, or close the one that is open"
                }
            };
            let shown = shorten(&String::from_utf8_lossy(record.line_from(index)));
            note(index, "lone-quote", format!("the cell `{shown}` {why}"));
            return;
        }
        for index in 0..record.len() {
            let cell = record.cell(index);
            if cell.len() > LONGEST_CELL {
                let start = String::from_utf8_lossy(&cell[..200]);
                let message = format!(
                    "the cell `{}` is {} bytes long, more than the {LONGEST_CELL} that are read; shorten it",
                    shorten(&start),
                    cell.len()
                );
                note(index, "cell-too-long", message);
            } else if !sound && std::str::from_utf8(&cell).is_err() {
                let message = format!(
                    "the cell `{}` is not UTF-8; save the file as CSV in UTF-8",
                    shorten(&String::from_utf8_lossy(&cell))
                );
                note(index, "not-utf8", message);
            } else if index >= self.names.len() && !cell.trim_ascii().is_empty() {
                let message = format!(
                    "the row has {} cells and the header {}; `{}` is left over (a cell that holds the delimiter needs quotation marks around it)",
                    record.len(),
                    self.names.len(),
                    shorten(&String::from_utf8_lossy(&cell))
                );
                note(index, "too-many-cells", message);
                return;
            }
        }
    }
}

/// Why a cell was not read.
pub(super) struct Unread {
    pub column: String,
    pub code: &'static str,
    pub message: String,
}

/// The cells of one record in the order of the table's definition.
pub(super) struct RowCells<'r, 'b> {
    pub header: &'r Header,
    pub definition: &'r Table,
    pub record: &'r Record<'b>,
    pub texts: Vec<Cow<'b, str>>,
    pub unread: &'r mut Vec<Unread>,
}

impl RowCells<'_, '_> {
    pub fn fill(&mut self) {
        let record = self.record;
        self.texts.clear();
        self.texts.extend(self.header.places.iter().map(|place| {
            match place.map(|index| record.cell(index)) {
                None => Cow::Borrowed(""),
                // `inspect` has let only UTF-8 through, so nothing is replaced here.
                Some(Cow::Borrowed(bytes)) => match std::str::from_utf8(bytes.trim_ascii()) {
                    Ok(text) => Cow::Borrowed(text),
                    Err(_) => String::from_utf8_lossy(bytes.trim_ascii()),
                },
                Some(Cow::Owned(bytes)) => {
                    Cow::Owned(String::from_utf8_lossy(bytes.trim_ascii()).into_owned())
                }
            }
        }));
    }
}

impl Cells for RowCells<'_, '_> {
    fn text(&self, slot: usize) -> &str {
        self.texts.get(slot).map_or("", |text| text.trim())
    }

    fn mark(&self) -> DecimalMark {
        self.header.mark()
    }

    fn column(&self, slot: usize) -> &'static str {
        self.definition.columns.get(slot).map_or("", |column: &Column| column.name)
    }

    fn refuse(&mut self, slot: usize, reason: Unreadable) {
        let column = self.column(slot);
        let (code, message) = if self.text(slot).is_empty() {
            (
                "blank-cell",
                format!(
                    "the cell is blank, but every row of {} needs its {column}",
                    self.definition.name
                ),
            )
        } else {
            // Of a list the item is named, and the cell in which it stands.
            let whole = shorten(self.text(slot));
            let cell = if reason.found == whole {
                String::new()
            } else {
                format!(" (the cell is `{whole}`)")
            };
            ("unreadable-cell", format!("{reason}{cell}"))
        };
        let (cells, columns) = (self.record.len(), self.header.names.len());
        let message =
            if cells < columns { message + &missing_delimiter(cells, columns) } else { message };
        self.unread.push(Unread { column: column.to_owned(), code, message });
    }
}

/// Asks, as the end of a message about a row with fewer cells than its header, what may have become of the others.
pub(super) fn missing_delimiter(cells: usize, columns: usize) -> String {
    format!(" (the row has {cells} cells and the header {columns}: is a delimiter missing?)")
}

/// Tells whether a text starts with a byte-order mark.
pub(crate) fn has_byte_order_mark(bytes: &[u8]) -> bool {
    bytes.starts_with(BYTE_ORDER_MARK)
}
