//! The tables as they were read: what a change is worked out from, and held against before it is written.

use super::header::Header;
use super::rewrite::{Edit, Refused};
use super::split::Splitter;
use super::text_rows::definition;
use super::trouble::Trouble;
use crate::measure::{Key, printable};
use std::collections::HashMap;

/// The texts of the table files as they were read.
#[derive(Debug, Clone, Default)]
pub struct Seen(HashMap<String, Vec<u8>>);

impl Seen {
    /// Keeps the text of a file.
    pub(super) fn keep(&mut self, name: &str, text: &[u8]) {
        self.0.insert(name.to_owned(), text.to_vec());
    }

    /// Gives the text of a file; empty where there was none.
    pub(super) fn text(&self, name: &str) -> &[u8] {
        self.0.get(name).map_or(&[], Vec::as_slice)
    }
}

/// A row as it stands in its file: its line and its bytes.
struct Standing<'t> {
    line: u32,
    bytes: &'t [u8],
    first: String,
}

/// A table file in rows.
struct Table<'t> {
    header: Option<&'t [u8]>,
    rows: Vec<Standing<'t>>,
}

impl<'t> Table<'t> {
    fn of(table: &str, text: &'t [u8]) -> Self {
        let header = definition(table).and_then(|definition| Header::find(text, definition));
        let Some(header) = header else { return Table { header: None, rows: Vec::new() } };
        let mut found = Table { header: None, rows: Vec::new() };
        for record in Splitter::new(text, header.delimiter) {
            let bytes = text.get(record.span.clone()).unwrap_or_default();
            if record.line == header.line {
                found.header = Some(bytes);
            } else if record.line > header.line && !record.is_empty() && !record.is_remark() {
                let first = String::from_utf8_lossy(&record.cell(0)).into_owned();
                found.rows.push(Standing { line: record.line, bytes, first });
            }
        }
        found
    }

    fn row(&self, line: u32) -> Option<(usize, &Standing<'t>)> {
        let index = self.rows.binary_search_by_key(&line, |row| row.line).ok()?;
        self.rows.get(index).map(|row| (index, row))
    }
}

fn shown(bytes: &[u8]) -> String {
    printable(&String::from_utf8_lossy(bytes)).replace('\n', " ")
}

/// Tables of which no two rows may have the same first column.
const KEYED: [&str; 6] = ["models", "machines", "parts", "joints", "jobs", "suppliers"];

/// Gives the edits of a file by the lines on which their rows stand now: a row that moved is found by its bytes.
///
/// # Errors
/// A row of them says something else by now, or one like the new one came in meanwhile.
pub(super) fn by_lines_now(
    table: &str,
    name: &str,
    seen: &[u8],
    now: &[u8],
    edits: &[Edit],
) -> Result<Vec<Edit>, Trouble> {
    if seen == now {
        return Ok(edits.to_vec());
    }
    let (was, is) = (Table::of(table, seen), Table::of(table, now));
    let touches_rows = edits.iter().any(|edit| !matches!(edit, Edit::Append { .. }));
    if touches_rows && was.header != is.header {
        let [was, now] = [was.header, is.header].map(|header| header.map(shown));
        return Err(Trouble::RowChanged {
            name: name.to_owned(),
            line: 1,
            was: was.unwrap_or_default(),
            now,
        });
    }
    let line_now = |line: u32| -> Result<u32, Trouble> {
        let (index, row) =
            was.row(line).ok_or_else(|| Trouble::Refused(name.to_owned(), Refused::NoRow(line)))?;
        // Of several rows alike the one of the same turn is meant; they say the same.
        let turn = was.rows[..index].iter().filter(|other| other.bytes == row.bytes).count();
        let mut alike = is.rows.iter().filter(|other| other.bytes == row.bytes);
        if let Some(found) = alike.clone().nth(turn).or_else(|| alike.next_back()) {
            return Ok(found.line);
        }
        let is_new = |other: &&Standing<'_>| !was.rows.iter().any(|old| old.bytes == other.bytes);
        let of_key = Key::new(&row.first);
        let now = is
            .rows
            .iter()
            .filter(is_new)
            .find(|other| Key::new(&other.first) == of_key)
            .or_else(|| is.rows.get(index).filter(is_new));
        Err(Trouble::RowChanged {
            name: name.to_owned(),
            line,
            was: shown(row.bytes),
            now: now.map(|other| shown(other.bytes)),
        })
    };
    let edits: Vec<Edit> = edits
        .iter()
        .map(|edit| {
            Ok(match edit {
                Edit::Set { line, column, text } => {
                    Edit::Set { line: line_now(*line)?, column: column.clone(), text: text.clone() }
                }
                Edit::Remove { line } => Edit::Remove { line: line_now(*line)? },
                Edit::Append { cells } => Edit::Append { cells: cells.clone() },
            })
        })
        .collect::<Result<_, Trouble>>()?;
    refuse_twins(table, name, &was, &is, &edits)?;
    Ok(edits)
}

/// Refuses a new row whose key somebody else wrote since the tables were read.
fn refuse_twins(
    table: &str,
    name: &str,
    was: &Table<'_>,
    is: &Table<'_>,
    edits: &[Edit],
) -> Result<(), Trouble> {
    let key = definition(table).and_then(|table| table.columns.first()).map(|column| column.name);
    let Some(key) = key.filter(|_| KEYED.contains(&table)) else { return Ok(()) };
    for edit in edits {
        let Edit::Append { cells } = edit else { continue };
        let Some((_, new)) = cells.iter().find(|(column, _)| column == key) else { continue };
        let twin = is.rows.iter().find(|row| {
            Key::new(&row.first) == Key::new(new)
                && !was.rows.iter().any(|old| old.bytes == row.bytes)
        });
        if let Some(twin) = twin {
            let row = shown(twin.bytes);
            return Err(Trouble::Otherwise(format!(
                "{name} has a row of {} since it was read (line {}: {row})",
                printable(new),
                twin.line
            )));
        }
    }
    Ok(())
}

#[cfg(test)]
mod tests {
    use super::*;

    const SEEN: &[u8] = b"part,name\nA,one\nB,two\nA,one\n";

    fn set(line: u32) -> Edit {
        Edit::Set { line, column: "name".into(), text: "new".into() }
    }

    fn now(text: &str, edit: Edit) -> Result<Vec<Edit>, Trouble> {
        by_lines_now("parts", "parts.csv", SEEN, text.as_bytes(), &[edit])
    }

    #[test]
    fn a_row_that_moved_is_found_by_its_bytes() {
        assert_eq!(now("part,name\n# x\nC,three\nB,two\n", set(3)).unwrap(), [set(4)]);
        assert_eq!(now("part,name\r\nB,two\r\n", set(3)).unwrap(), [set(2)]);
        assert_eq!(now("part,name\nA,one\nC,c\nA,one\n", set(4)).unwrap(), [set(4)]);
        assert_eq!(now("part,name\nC,c\nA,one\n", set(4)).unwrap(), [set(3)], "one alike is left");
    }

    #[test]
    fn a_row_that_changed_is_refused_with_both_texts() {
        for (text, says) in [
            ("part,name\nA,one\nb,2\nA,one\n", "b,2"),
            ("part,name\nA,one\nX,9\nA,one\n", "X,9"),
            ("part,name\nA,one\n", "(the row is gone)"),
            ("name,part\nA,one\nB,two\nA,one\n", "name,part"),
        ] {
            let said = now(text, set(3)).unwrap_err().to_string();
            assert!(said.contains(says) && said.contains("nothing was written"), "{said}");
        }
    }

    #[test]
    fn a_new_row_of_a_key_that_came_in_meanwhile_is_refused() {
        let row = |part: &str| Edit::Append { cells: vec![("part".into(), part.into())] };
        let text = "part,name\nA,one\nB,two\nA,one\nc-1,mine\n";
        let said = now(text, row("C-1")).unwrap_err().to_string();
        assert!(said.contains("c-1,mine"), "{said}");
        assert!(now(text, row("D")).is_ok());
    }
}
