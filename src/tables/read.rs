//! Reads table files into typed rows, with located faults.

use super::fault::Fault;
use super::folder::{self, TableFile};
use super::sheet::Sheet;
use super::split::{BYTE_ORDER_MARK, QuoteFault, Record, Splitter};
use crate::catalog::{Cells, Column, Memory, Rows, Table};
use crate::measure::{DecimalMark, Unreadable, shorten};
use crate::near;
use std::borrow::Cow;
use std::fs;
use std::io;
use std::path::Path;

/// The longest cell that is read, in bytes: far beyond any note, and short enough to show that a quotation mark ran away.
pub const LONGEST_CELL: usize = 1 << 20;

/// All tables of a folder as they were read.
#[derive(Debug, Default)]
pub struct Tables {
    /// The rows that could be read.
    pub rows: Rows,
    /// The files, as [`At::file`](crate::catalog::At::file) counts them.
    pub files: Vec<String>,
    /// What could not be read: errors.
    pub faults: Vec<Fault>,
    /// What was passed over: unknown columns and files.
    pub notices: Vec<Fault>,
}

impl Tables {
    /// Builds the catalog that the rest of the program reads, with the types and cautions shipped.
    pub fn catalog(self) -> Memory {
        let (shipped, shipped_files) = super::shipped::rows();
        Memory::new(self.rows, self.files, shipped, shipped_files)
    }
}

/// Reads every table of a catalog folder.
///
/// # Errors
/// The folder itself cannot be read. Whatever is wrong inside it is a fault, and the rest is read.
pub fn read_folder(root: &Path) -> io::Result<Tables> {
    read_folder_with(root, |_, _| ())
}

/// Reads every table of a catalog folder, and shows the text of each file to whoever else wants it.
pub(crate) fn read_folder_with(root: &Path, mut show: impl FnMut(&TableFile, &[u8])) -> io::Result<Tables> {
    let folder = folder::find(root)?;
    let mut tables = Tables { faults: folder.faults, ..Tables::default() };
    tables.notices.extend(folder.strangers.iter().map(|stranger| unknown_file(stranger)));
    for file in folder.files {
        let read = fs::read(&file.path);
        if let Ok(bytes) = &read {
            show(&file, bytes);
        }
        let TableFile { table, name, .. } = file;
        match read {
            Ok(bytes) => tables.read_file(table, name, &bytes),
            Err(error) => tables.faults.push(Fault {
                file: name,
                line: 0,
                column: String::new(),
                code: "unreadable-file",
                message: format!("this cannot be read: {error}; mend its permissions, or move it out"),
            }),
        }
    }
    Ok(tables)
}

/// Says that a file belongs to no table.
pub(crate) fn unknown_file(stranger: &str) -> Fault {
    let file = stranger.rsplit('/').next().unwrap_or(stranger).to_lowercase();
    let stem = file.strip_suffix(".csv").unwrap_or(&file);
    let names: Vec<&str> = Rows::dictionary().iter().map(|table| table.name).collect();
    let inside =
        || names.iter().copied().filter(|name| name.len() > 4 && stem.contains(name)).max_by_key(|name| name.len());
    let hint = near::nearest(stem, names.iter().copied())
        .or_else(inside)
        .map_or_else(String::new, |name| format!("; if it is meant as that table, call it {name}.csv"));
    Fault {
        file: stranger.to_owned(),
        line: 0,
        column: String::new(),
        code: "unknown-file",
        message: format!("no table has this name, so the file is not read{hint}"),
    }
}

impl Tables {
    /// Reads one file of a table. Files must come in table order.
    pub fn read_file(&mut self, table: &str, name: String, bytes: &[u8]) {
        let file = u32::try_from(self.files.len()).unwrap_or(u32::MAX);
        self.files.push(name.clone());
        if let Some(sheet) = Sheet::open(table, &name, bytes, &mut self.faults, &mut self.notices) {
            sheet.read(&sheet.body(), file, &mut self.rows, &mut self.faults);
        }
    }
}

pub(super) fn definitions() -> Vec<Table> {
    Rows::dictionary()
}

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
            let spelled: Vec<String> =
                (0..record.len()).map(|i| String::from_utf8_lossy(&record.cell(i)).trim().to_owned()).collect();
            let names: Vec<String> = spelled.iter().map(|name| name.to_lowercase()).collect();
            let places: Vec<Option<usize>> =
                definition.columns.iter().map(|column| names.iter().position(|name| name == column.name)).collect();
            let known = places.iter().flatten().count();
            if best.as_ref().is_none_or(|(most, _)| known > *most) {
                let faulty = record.fault.is_some();
                let body = splitter.here();
                best = Some((known, Header { delimiter, line: record.line, names, spelled, body, places, faulty }));
            }
        }
        best.map(|(_, header)| header)
    }

    /// Tells which decimal marks the file may use.
    pub fn mark(&self) -> DecimalMark {
        if self.delimiter == b';' { DecimalMark::PointOrComma } else { DecimalMark::Point }
    }

    fn name(&self, index: usize) -> String {
        self.names
            .get(index)
            .filter(|name| !name.is_empty())
            .map_or_else(|| (index + 1).to_string(), |name| shorten(name))
    }

    /// Notes what keeps a record from being read as a row at all.
    pub(super) fn inspect(&self, record: &Record, sound: bool, unread: &mut Vec<Unread>) {
        let mut note = |index: usize, code, message| {
            unread.push(Unread { line: record.line, column: self.name(index), code, message });
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

/// Why a cell was not read; its file is named later.
pub(super) struct Unread {
    pub line: u32,
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
        self.texts.extend(self.header.places.iter().map(|place| match place.map(|index| record.cell(index)) {
            None => Cow::Borrowed(""),
            // `inspect` has let only UTF-8 through, so nothing is replaced here.
            Some(Cow::Borrowed(bytes)) => match std::str::from_utf8(bytes.trim_ascii()) {
                Ok(text) => Cow::Borrowed(text),
                Err(_) => String::from_utf8_lossy(bytes.trim_ascii()),
            },
            Some(Cow::Owned(bytes)) => Cow::Owned(String::from_utf8_lossy(bytes.trim_ascii()).into_owned()),
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

    fn refuse(&mut self, slot: usize, reason: Unreadable) {
        let column = self.definition.columns.get(slot).map_or("", |column: &Column| column.name);
        let (code, message) = if self.text(slot).is_empty() {
            ("blank-cell", format!("the cell is blank, but every row of {} needs its {column}", self.definition.name))
        } else {
            // Of a list the item is named, and the cell in which it stands.
            let whole = shorten(self.text(slot));
            let cell = if reason.found == whole { String::new() } else { format!(" (the cell is `{whole}`)") };
            ("unreadable-cell", format!("{reason}{cell}"))
        };
        let (cells, columns) = (self.record.len(), self.header.names.len());
        let message = if cells < columns {
            format!("{message} (the row has {cells} cells and the header {columns}: is a delimiter missing?)")
        } else {
            message
        };
        self.unread.push(Unread { line: self.record.line, column: column.to_owned(), code, message });
    }
}

/// Tells whether a text starts with a byte-order mark.
pub(crate) fn has_byte_order_mark(bytes: &[u8]) -> bool {
    bytes.starts_with(BYTE_ORDER_MARK)
}
