//! Changes a table file without touching what is not meant: remarks, unknown columns, column order, delimiter,
//! line ends and every other row stay byte for byte.

use super::header::{Header, has_byte_order_mark};
use super::split::{Record, Splitter};
use crate::catalog::Table;
use crate::measure::shorten;
use std::fmt;

/// One change to a table file.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Edit {
    /// Puts a text into one cell of the row that begins on a line.
    Set {
        /// The line on which the row begins.
        line: u32,
        /// The column; it is added to the header where the file lacks it.
        column: String,
        /// The new text of the cell.
        text: String,
    },
    /// Adds a row below the last.
    Append {
        /// The cells by column; others stay blank.
        cells: Vec<(String, String)>,
    },
    /// Takes out the row that begins on a line.
    Remove {
        /// The line on which the row begins.
        line: u32,
    },
}

/// Why a change cannot be made.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Refused {
    /// No row begins on this line.
    NoRow(u32),
    /// The file has a quotation mark or a byte that cannot be read, so nothing in it is safe to move.
    Faulty(u32),
    /// There is no table of this name.
    NoTable(String),
    /// The first cell would begin with `#`, and the row be read as a remark.
    Remark(String),
}

impl fmt::Display for Refused {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Refused::NoRow(line) => {
                write!(
                    f,
                    "no row begins on line {line}; the file may have changed, so nothing was written"
                )
            }
            Refused::Faulty(line) => {
                write!(f, "line {line} cannot be read, so nothing was written; mend it first")
            }
            Refused::Remark(text) => {
                write!(
                    f,
                    "a row whose first cell is `{text}` would be read as a remark, so nothing was written"
                )
            }
            Refused::NoTable(table) => {
                write!(f, "there is no table {table}, so nothing was written")
            }
        }
    }
}

impl std::error::Error for Refused {}

/// Works out the new text of a table file. The lines in `edits` are those of the text as it is now.
///
/// An empty text is given a header first.
///
/// # Errors
/// A line that is no row's, or a text that cannot be read.
pub fn rewrite(table: &str, text: &[u8], edits: &[Edit]) -> Result<Vec<u8>, Refused> {
    let definition = Table::of(table).ok_or_else(|| Refused::NoTable(table.to_owned()))?;
    let mut draft = Draft::new(definition, text)?;
    for edit in edits {
        draft.take(edit)?;
    }
    let kept = draft.stray_quote.then(|| draft.untouched());
    let delimiter = draft.delimiter;
    let new = draft.finish();
    if let Some(kept) = kept {
        // A stray quotation mark may swallow what is written behind it.
        let mut rows = Splitter::new(&new, delimiter).map(|record| &new[record.span.clone()]);
        if let Some((line, _)) = kept.iter().find(|(_, row)| !rows.any(|new| new == *row)) {
            return Err(Refused::Faulty(*line));
        }
    }
    Ok(new)
}

/// The file as it will be: the old text with pieces of it replaced.
struct Draft<'t> {
    text: &'t [u8],
    delimiter: u8,
    names: Vec<String>,
    old_columns: usize,
    header: Option<std::ops::Range<usize>>,
    line_end: &'static str,
    /// What takes the place of which bytes.
    pieces: Vec<(std::ops::Range<usize>, Vec<u8>)>,
    /// The changed rows: their bytes, and their cells as raw text.
    rows: Vec<ChangedRow>,
    appended: Vec<Vec<(String, String)>>,
    /// A row has a quotation mark that is not as it should be.
    stray_quote: bool,
}

struct ChangedRow {
    line: u32,
    span: std::ops::Range<usize>,
    raw: Vec<Vec<u8>>,
}

impl<'t> Draft<'t> {
    fn new(definition: &Table, text: &'t [u8]) -> Result<Self, Refused> {
        let line_end = if text.windows(2).any(|pair| pair == b"\r\n") {
            "\r\n"
        } else if !text.contains(&b'\n') && text.contains(&b'\r') {
            "\r"
        } else {
            "\n"
        };
        let mut draft = Draft {
            text,
            delimiter: b',',
            names: definition.columns.iter().map(|column| column.name.to_owned()).collect(),
            old_columns: 0,
            header: None,
            line_end,
            pieces: Vec::new(),
            rows: Vec::new(),
            appended: Vec::new(),
            stray_quote: false,
        };
        if let Some(header) = Header::find(text, definition) {
            draft.delimiter = header.delimiter;
            for record in Splitter::new(text, header.delimiter) {
                if record.line == header.line {
                    if record.fault.is_some() {
                        return Err(Refused::Faulty(record.line));
                    }
                    draft.header = Some(record.span.clone());
                } else if record.fault.is_some() {
                    draft.stray_quote = true;
                }
            }
            draft.names = header.names;
            draft.old_columns = draft.names.len();
        }
        if std::str::from_utf8(text).is_err() {
            return Err(Refused::Faulty(0));
        }
        Ok(draft)
    }

    fn column(&mut self, name: &str) -> usize {
        let name = name.to_lowercase();
        self.names.iter().position(|known| *known == name).unwrap_or_else(|| {
            self.names.push(name);
            self.names.len() - 1
        })
    }

    fn row(&self, line: u32) -> Result<Record<'t>, Refused> {
        Splitter::new(self.text, self.delimiter)
            .find(|record| record.line == line && !record.is_empty() && !record.is_remark())
            .filter(|record| self.header.as_ref() != Some(&record.span))
            // A row that an earlier edit took out is there no more.
            .filter(|record| !self.pieces.iter().any(|(taken, _)| taken.start == record.span.start))
            .ok_or(Refused::NoRow(line))
    }

    fn take(&mut self, edit: &Edit) -> Result<(), Refused> {
        match edit {
            Edit::Set { line, column, text } => {
                let index = self.column(column);
                refuse_remark(index, text)?;
                let cell = quoted(text, self.delimiter);
                let place = match self.rows.iter().position(|row| row.line == *line) {
                    Some(place) => place,
                    None => {
                        let record = self.row(*line)?;
                        if record.fault.is_some() {
                            return Err(Refused::Faulty(*line));
                        }
                        let raw = (0..record.len())
                            .filter_map(|i| {
                                record.cell_span(i).map(|span| self.text[span].to_vec())
                            })
                            .collect();
                        self.rows.push(ChangedRow { line: *line, span: record.span.clone(), raw });
                        self.rows.len() - 1
                    }
                };
                let raw = &mut self.rows[place].raw;
                if raw.len() <= index {
                    raw.resize(index + 1, Vec::new());
                }
                raw[index] = cell;
            }
            Edit::Append { cells } => {
                for (column, text) in cells {
                    refuse_remark(self.column(column), text)?;
                }
                self.appended.push(cells.clone());
            }
            Edit::Remove { line } => {
                let record = self.row(*line)?;
                self.rows.retain(|row| row.line != *line);
                self.pieces.push((record.span.start..record.next, Vec::new()));
            }
        }
        Ok(())
    }

    /// Lists the rows that stay as they are.
    fn untouched(&self) -> Vec<(u32, &'t [u8])> {
        let is_touched = |record: &Record| {
            self.rows.iter().any(|row| row.line == record.line)
                || self.pieces.iter().any(|(taken, _)| taken.start == record.span.start)
        };
        Splitter::new(self.text, self.delimiter)
            .filter(|record| !is_touched(record) && self.header.as_ref() != Some(&record.span))
            .map(|record| (record.line, &self.text[record.span]))
            .collect()
    }

    fn joined(&self, cells: impl Iterator<Item = Vec<u8>>) -> Vec<u8> {
        let mut line = Vec::new();
        for (i, cell) in cells.enumerate() {
            if i > 0 {
                line.push(self.delimiter);
            }
            line.extend(cell);
        }
        line
    }

    fn finish(mut self) -> Vec<u8> {
        let changed: Vec<_> = self
            .rows
            .iter()
            .map(|row| (row.span.clone(), self.joined(row.raw.iter().cloned())))
            .collect();
        self.pieces.extend(changed);
        if let Some(span) = &self.header {
            let mut added = Vec::new();
            for name in &self.names[self.old_columns..] {
                added.push(self.delimiter);
                added.extend(quoted(name, self.delimiter));
            }
            self.pieces.push((span.end..span.end, added));
        }
        self.pieces.sort_by_key(|(span, _)| (span.start, span.end));
        let mut text = Vec::with_capacity(self.text.len());
        let mut at = 0;
        for (span, piece) in &self.pieces {
            text.extend_from_slice(&self.text[at..span.start]);
            text.extend_from_slice(piece);
            at = span.end;
        }
        text.extend_from_slice(&self.text[at..]);
        let mut below = Vec::new();
        if self.header.is_none() {
            let names: Vec<_> =
                self.names.iter().map(|name| quoted(name, self.delimiter)).collect();
            below.push(self.joined(names.into_iter()));
        }
        for cells in &self.appended {
            let row = self.names.iter().map(|name| {
                let cell = cells.iter().rev().find(|(column, _)| column.to_lowercase() == *name);
                cell.map_or_else(Vec::new, |(_, text)| quoted(text, self.delimiter))
            });
            let row: Vec<_> = row.collect();
            below.push(self.joined(row.into_iter()));
        }
        let mark_only = has_byte_order_mark(&text) && text.len() == 3;
        for line in below {
            if !text.is_empty() && !mark_only && !text.ends_with(b"\n") && !text.ends_with(b"\r") {
                text.extend_from_slice(self.line_end.as_bytes());
            }
            text.extend(line);
            text.extend_from_slice(self.line_end.as_bytes());
        }
        text
    }
}

/// Refuses a first cell that would make its row a remark; quotation marks would not help.
fn refuse_remark(index: usize, text: &str) -> Result<(), Refused> {
    let remark = index == 0 && text.trim_start().starts_with('#');
    if remark { Err(Refused::Remark(shorten(text))) } else { Ok(()) }
}

/// Puts quotation marks around a cell that needs them.
fn quoted(text: &str, delimiter: u8) -> Vec<u8> {
    let needed = text.bytes().any(|b| matches!(b, b'"' | b'\n' | b'\r') || b == delimiter)
        || text.starts_with([' ', '#'])
        || text.ends_with(' ');
    if !needed {
        return text.as_bytes().to_vec();
    }
    format!("\"{}\"", text.replace('"', "\"\"")).into_bytes()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::tables::Tables;
    use proptest::prelude::*;

    fn set(line: u32, column: &str, text: &str) -> Edit {
        Edit::Set { line, column: column.into(), text: text.into() }
    }

    fn changed(text: &str, edits: &[Edit]) -> String {
        String::from_utf8(rewrite("stock", text.as_bytes(), edits).expect("a sound edit"))
            .expect("UTF-8")
    }

    #[test]
    fn one_cell_changes_and_nothing_else() {
        let text = "\u{feff}# shelf\r\nbin;Mine;part;quantity\r\n\r\nA1; \"x;y\" ;91-2044;2\r\n#\"lone\r\nB2;;91-2045;3,5\r\n";
        let want = text.replace(";3,5", ";4");
        assert_eq!(changed(text, &[set(6, "Quantity", "4")]), want);
    }

    #[test]
    fn a_missing_column_is_added_behind_the_others() {
        let text = "part,quantity\n91-2044,2\n91-2045,3\n";
        assert_eq!(
            changed(text, &[set(3, "bin", "A, left")]),
            "part,quantity,bin\n91-2044,2\n91-2045,3,\"A, left\"\n"
        );
    }

    #[test]
    fn rows_are_added_below_and_taken_out() {
        let row = Edit::Append {
            cells: vec![("quantity".into(), "1".into()), ("part".into(), "P".into())],
        };
        assert_eq!(
            changed("part,quantity,my\nA,1,x", std::slice::from_ref(&row)),
            "part,quantity,my\nA,1,x\nP,1,\n"
        );
        assert_eq!(
            changed("part,quantity\nA,1\nB,2\n", &[Edit::Remove { line: 2 }]),
            "part,quantity\nB,2\n"
        );
        assert_eq!(changed("", &[row]), "part,quantity,bin,note\nP,1,,\n");
    }

    #[test]
    fn a_row_that_would_be_read_as_a_remark_is_refused() {
        let row = Edit::Append {
            cells: vec![("part".into(), "#10-32".into()), ("quantity".into(), "4".into())],
        };
        assert_eq!(
            rewrite("stock", b"part,quantity\nA,1\n", &[row]),
            Err(Refused::Remark("#10-32".into()))
        );
        assert_eq!(
            rewrite("stock", b"part,quantity\nA,1\n", &[set(2, "part", " #1")]),
            Err(Refused::Remark(" #1".into()))
        );
    }

    #[test]
    fn what_is_no_row_is_refused() {
        for line in [0, 1, 2, 9] {
            assert_eq!(
                rewrite("stock", b"part,quantity\n# note\nA,1\n", &[Edit::Remove { line }]),
                Err(Refused::NoRow(line))
            );
        }
        let stray = b"part,quantity\nA,\"1\nB,2\n";
        assert_eq!(rewrite("stock", stray, &[set(2, "part", "C")]), Err(Refused::Faulty(2)));
        let without = rewrite("stock", stray, &[Edit::Remove { line: 2 }]);
        assert_eq!(without.as_deref(), Ok(&b"part,quantity\nB,2\n"[..]));
        let beside = rewrite("stock", stray, &[set(3, "part", "C")]);
        assert_eq!(beside.as_deref(), Ok(&b"part,quantity\nA,\"1\nC,2\n"[..]));
    }

    proptest! {
        #[test]
        fn a_cell_that_is_set_reads_back_and_the_rest_stays(
            notes in prop::collection::vec("[a,;\"\n #]{0,8}", 1..6), which in 0usize..6, new in "[b,;\"\n #]{0,8}", semicolon: bool
        ) {
            let delimiter = if semicolon { b';' } else { b',' };
            let mut text = format!("part{0}quantity{0}note\n", char::from(delimiter)).into_bytes();
            let mut lines = Vec::new();
            for note in &notes {
                lines.push(1 + u32::try_from(text.iter().filter(|b| **b == b'\n').count()).expect("few"));
                text.extend(b"P");
                text.push(delimiter);
                text.extend(b"1");
                text.push(delimiter);
                text.extend(quoted(note, delimiter));
                text.push(b'\n');
            }
            let which = which % notes.len();
            let edit = [set(lines[which], "note", &new)];
            let after = rewrite("stock", &text, &edit).expect("sound");
            let mut tables = Tables::default();
            tables.read_file("stock", "stock.csv".into(), &after);
            prop_assert_eq!(&tables.faults, &[]);
            for (i, row) in tables.rows.stock.iter().enumerate() {
                let want = if i == which { &new } else { &notes[i] };
                prop_assert_eq!(row.note.as_str(), want.trim());
            }
            let undone = rewrite("stock", &after, &[set(lines[which], "note", &notes[which])]).expect("sound");
            prop_assert_eq!(undone, text);
        }
    }
}
