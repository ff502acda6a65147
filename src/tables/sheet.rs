//! One table file as a whole: its header, and its rows in pieces that can be read one by one.

use super::fault::Fault;
use super::header::{Header, RowCells, Unread};
use super::split::{Record, Splitter};
use crate::catalog::{At, Rows, Table, UnreadCell, UnreadRow};
use crate::measure::shorten;
use crate::near;
use std::collections::HashMap;
use std::ops::Range;
use xxhash_rust::xxh3::xxh3_64;

/// A table file whose header has been read.
pub(crate) struct Sheet<'b> {
    definition: &'static Table,
    header: Header,
    bytes: &'b [u8],
    /// Asked once for the whole file: only a file with a bad byte somewhere is asked again cell by cell.
    sound: bool,
}

/// A run of whole records.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) struct Piece {
    /// Its bytes in the file.
    pub span: Range<usize>,
    /// The line on which it begins, from 1.
    pub line: u32,
}

/// A piece ends, one time in so many, behind a record: which record that is depends on its own text alone, so that
/// an added or removed row leaves all pieces but its own as they were.
const RECORDS_IN_A_PIECE: u64 = 64;

/// A piece never holds more records than this, whatever their text.
const MOST_RECORDS_IN_A_PIECE: u32 = 512;

impl<'b> Sheet<'b> {
    /// Reads the header of a file; `None` where the rows below it cannot be read, or where there is nothing.
    pub fn open(
        table: &str,
        name: &str,
        bytes: &'b [u8],
        faults: &mut Vec<Fault>,
        notices: &mut Vec<Fault>,
    ) -> Option<Self> {
        let definition = Table::of(table)?;
        let header = Header::find(bytes, definition)?;
        if !take_header(&header, definition, name, faults, notices) {
            return None;
        }
        let sound = std::str::from_utf8(bytes).is_ok();
        notices.extend(nameless_cells(&header, definition.name, name, bytes));
        Some(Sheet { definition, header, bytes, sound })
    }

    /// Gives all that stands below the header as one piece.
    pub fn body(&self) -> Piece {
        let (start, line) = self.header.body;
        Piece { span: start..self.bytes.len(), line }
    }

    /// Gives what tells how the rows below are read: the delimiter and the columns.
    pub fn form(&self) -> String {
        format!(
            "{}\u{0}{}\u{0}{}",
            self.definition.name,
            self.header.delimiter,
            self.header.names.join("\u{0}")
        )
    }

    /// Gives the bytes of a piece.
    pub fn bytes(&self, piece: &Piece) -> &'b [u8] {
        &self.bytes[piece.span.clone()]
    }

    /// Cuts the body into pieces at places that the text itself sets; `None` where a quotation mark is not as it should
    /// be, which makes the file unreadable whatever else stands in it.
    pub fn pieces(&self) -> Option<Vec<Piece>> {
        let body = self.body();
        let mut pieces = Vec::new();
        let mut piece = Piece { span: body.span.start..body.span.start, line: body.line };
        let (mut at, mut line, mut records) = (body.span.start, body.line, 0);
        while at < self.bytes.len() {
            let start = at;
            (at, line) = self.behind_record(at, line)?;
            records += 1;
            if records == MOST_RECORDS_IN_A_PIECE
                || xxh3_64(&self.bytes[start..at]).is_multiple_of(RECORDS_IN_A_PIECE)
            {
                piece.span.end = at;
                pieces.push(std::mem::replace(&mut piece, Piece { span: at..at, line }));
                records = 0;
            }
        }
        if piece.span.start < at {
            piece.span.end = at;
            pieces.push(piece);
        }
        Some(pieces)
    }

    /// Finds where the record that begins here ends: at the end of its line, unless a quotation mark stands in it.
    fn behind_record(&self, at: usize, line: u32) -> Option<(usize, u32)> {
        let behind =
            match memchr::memchr3(b'\n', b'\r', b'"', &self.bytes[at..]).map(|end| at + end) {
                None => (self.bytes.len(), line + 1),
                Some(end) if self.bytes.get(end) == Some(&b'\n') => (end + 1, line + 1),
                Some(end)
                    if self.bytes.get(end) == Some(&b'\r')
                        && self.bytes.get(end + 1) == Some(&b'\n') =>
                {
                    (end + 2, line + 1)
                }
                Some(end) if self.bytes.get(end) == Some(&b'\r') => (end + 1, line + 1),
                Some(_) => {
                    let mut splitter = Splitter::at(self.bytes, self.header.delimiter, at, line);
                    if splitter.next().is_some_and(|record| record.fault.is_some()) {
                        return None;
                    }
                    splitter.here()
                }
            };
        Some(behind)
    }

    /// Reads the rows of a piece; they stand in the file of this number, on the lines of the whole file. Gives those
    /// that stop before the header does. A row with something that cannot be read goes to the unread ones, and
    /// what can be read of it to the half-read ones.
    pub fn read(
        &self,
        piece: &Piece,
        file: u32,
        rows: &mut Rows,
        unread_rows: &mut Vec<UnreadRow>,
        half_read: &mut Rows,
    ) -> Vec<ShortRow> {
        let bytes = self.bytes.get(..piece.span.end).unwrap_or(self.bytes);
        let mut unread: Vec<Unread> = Vec::new();
        let mut short = Vec::new();
        // Taken from row to row, so that room is made for them once.
        let mut texts = Vec::new();
        for record in Splitter::at(bytes, self.header.delimiter, piece.span.start, piece.line) {
            if record.is_empty() || record.is_remark() {
                continue;
            }
            let at = At { file, line: record.line };
            self.header.inspect(&record, self.sound, &mut unread);
            if !unread.is_empty() {
                unread_rows.push(self.unread_row(&record, at, unread.drain(..)));
                continue;
            }
            let mut cells = RowCells {
                header: &self.header,
                definition: self.definition,
                record: &record,
                texts,
                unread: &mut unread,
            };
            cells.fill();
            rows.read(self.definition.name, at, &mut cells);
            texts = cells.texts;
            if !unread.is_empty() {
                rows.set_aside(self.definition.name, at, half_read);
                unread_rows.push(self.unread_row(&record, at, unread.drain(..)));
            }
            if record.len() < self.header.names.len() {
                let (cells, columns) = (record.len(), self.header.names.len());
                short.push(ShortRow { at, cells, columns, last: self.last_filled(&record) });
            }
        }
        short
    }

    fn unread_row(
        &self,
        record: &Record,
        at: At,
        faults: impl Iterator<Item = Unread>,
    ) -> UnreadRow {
        let filled = (0..record.len()).map(|index| (index, record.cell(index)));
        UnreadRow {
            at,
            table: self.definition.name.to_owned(),
            cells: filled
                .map(|(index, cell)| (index, String::from_utf8_lossy(&cell).trim().to_owned()))
                .filter(|(_, text)| !text.is_empty())
                .map(|(index, text)| (self.header.name(index), text))
                .collect(),
            faults: faults
                .map(|fault| UnreadCell {
                    column: fault.column,
                    code: fault.code.to_owned(),
                    message: fault.message,
                })
                .collect(),
        }
    }

    /// Names the last column in which a record says something.
    fn last_filled(&self, record: &Record) -> &'static str {
        let filled = (0..record.len()).rev().find(|at| !record.cell(*at).trim_ascii().is_empty());
        let slot =
            filled.and_then(|at| self.header.places.iter().position(|place| *place == Some(at)));
        slot.and_then(|slot| self.definition.columns.get(slot)).map_or("", |column| column.name)
    }
}

/// A row with fewer cells than its header line: mostly a spreadsheet cut its blank end off, but a delimiter may be
/// missing, and then every cell behind it stands one column too early.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct ShortRow {
    /// Where it stands.
    pub at: At,
    /// How many cells it has.
    pub cells: usize,
    /// How many the header has.
    pub columns: usize,
    /// The last column in which it says something; blank where the table has no such column.
    pub last: &'static str,
}

/// Reports what is wrong with a header; `false` where the rows below it cannot be read.
fn take_header(
    header: &Header,
    definition: &Table,
    name: &str,
    faults: &mut Vec<Fault>,
    notices: &mut Vec<Fault>,
) -> bool {
    let mut sound = true;
    let note = |faults: &mut Vec<Fault>, column: &str, code, message| {
        faults.push(Fault {
            file: name.to_owned(),
            line: header.line,
            column: shorten(column),
            code,
            message,
        });
    };
    if header.faulty {
        let message =
            "a quotation mark in the header line is not closed; close it or take it out".to_owned();
        note(faults, "", "lone-quote", message);
        return false;
    }
    let mut seen: HashMap<&str, usize> = HashMap::new();
    for column in header.names.iter().filter(|column| !column.is_empty()) {
        let count = seen.entry(column).or_default();
        *count += 1;
        // A column that is not read may have the name of another such.
        if *count == 2 && definition.columns.iter().any(|known| known.name == column) {
            let shown = shorten(column);
            let message =
                format!("the header names the column {shown} twice; take one out or rename it");
            note(faults, column, "duplicate-column", message);
            sound = false;
        }
    }
    let names = || definition.columns.iter().map(|column| column.name);
    for column in definition.columns.iter().filter(|column| column.required) {
        if !seen.contains_key(column.name) {
            let like = near::nearest(column.name, header.names.iter().map(String::as_str))
                .map_or_else(String::new, |like| format!(" (is `{}` meant?)", shorten(like)));
            let message = format!(
                "the header lacks the column {}, which {} needs; add it to the header line{like}",
                column.name, definition.name
            );
            note(faults, column.name, "missing-column", message);
            sound = false;
        }
    }
    for (column, spelled) in header.names.iter().zip(&header.spelled) {
        let Some(count) = seen.remove(column.as_str()) else { continue };
        if names().any(|name| name == column) {
            continue;
        }
        let hint = near::nearest(column, names()).map_or_else(String::new, |name| {
            format!("; if {name} is meant, rename it in the header line")
        });
        let shown = shorten(spelled);
        let twice =
            if count > 1 { format!(", which stands here {count} times") } else { String::new() };
        let message = format!(
            "{} has no column {shown}{twice}; it is kept and not read{hint}",
            definition.name
        );
        note(notices, spelled, "unknown-column", message);
    }
    sound
}

/// Says once where something stands in a column without a name, which is kept and not read.
fn nameless_cells(header: &Header, table: &str, name: &str, bytes: &[u8]) -> Option<Fault> {
    let nameless: Vec<usize> =
        (0..header.names.len()).filter(|at| header.names[*at].is_empty()).collect();
    if nameless.is_empty() {
        return None;
    }
    let (start, line) = header.body;
    let mut found: Option<(u32, usize, String)> = None;
    let mut rows = 0;
    for record in Splitter::at(bytes, header.delimiter, start, line) {
        if record.is_empty() || record.is_remark() || record.fault.is_some() {
            continue;
        }
        let Some(at) = nameless.iter().find(|at| !record.cell(**at).trim_ascii().is_empty()) else {
            continue;
        };
        rows += 1;
        found.get_or_insert_with(|| {
            (record.line, *at, shorten(&String::from_utf8_lossy(&record.cell(*at))))
        });
    }
    let (line, at, cell) = found?;
    let more =
        if rows > 1 { format!(" (and so in {} more rows)", rows - 1) } else { String::new() };
    let message = format!(
        "`{cell}` stands in a column without a name{more}; it is kept and not read: name the column in the header line as one of {table} (kitwright columns {table}), or take the cell out"
    );
    Some(Fault {
        file: name.to_owned(),
        line,
        column: (at + 1).to_string(),
        code: "unknown-column",
        message,
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    proptest! {
        #[test]
        fn pieces_cover_the_body_and_read_as_the_whole_does(
            body in prop::collection::vec("[ab]{1,3},[12]|#[\"a]{0,3}|a,\"?1\"?,?|\"a\nb\",2| ?|\"x,1", 0..200),
            ends in prop::sample::select(vec!["\n", "\r\n", "\r"]),
        ) {
            let text = format!("part,quantity,bin{ends}{}", body.join(ends));
            let (mut faults, mut notices) = (Vec::new(), Vec::new());
            let sheet = Sheet::open("stock", "stock.csv", text.as_bytes(), &mut faults, &mut notices).expect("sound");
            let (mut rows, mut whole_faults) = (Rows::default(), Vec::new());
            sheet.read(&sheet.body(), 0, &mut rows, &mut whole_faults, &mut Rows::default());
            let Some(pieces) = sheet.pieces() else {
                prop_assert!(!whole_faults.is_empty());
                return Ok(());
            };
            let (mut by_piece, mut piece_faults) = (Rows::default(), Vec::new());
            let mut at = sheet.body().span.start;
            for piece in pieces {
                prop_assert_eq!(piece.span.start, at);
                at = piece.span.end;
                sheet.read(&piece, 0, &mut by_piece, &mut piece_faults, &mut Rows::default());
            }
            prop_assert_eq!(at, text.len());
            prop_assert_eq!(whole_faults.is_empty(), piece_faults.is_empty());
            prop_assert_eq!(rows, by_piece);
        }
    }
}
