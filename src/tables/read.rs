//! Reads table files into typed rows, with located faults.

use super::check::explain;
use super::encoding::other_than_utf8;
use super::fault::Fault;
use super::folder::{self, TableFile};
use super::place::steady;
use super::seen::Seen;
use super::sheet::{Sheet, ShortRow};
use super::strays::{AFTER_TODAY, Stray, strays, take_out};
use super::text_rows::{TextSheet, definition};
use crate::catalog::{At, Rows, UnreadCell, UnreadRow};
use crate::measure::{Date, is_unseen, shorten};
use crate::near;
use std::collections::{HashMap, HashSet};
use std::fs;
use std::io;
use std::path::Path;

/// The code of a file or folder that cannot be opened.
const UNOPENED: &str = "unreadable-file";

/// The code of a file that is read, though it is not in UTF-8.
pub(crate) const OTHER_ENCODING: &str = "other-encoding";

/// All tables of a folder as they were read.
#[derive(Debug, Default)]
pub struct Tables {
    /// The rows that could be read.
    pub rows: Rows,
    /// The files, as [`At::file`](crate::catalog::At::file) counts them.
    pub files: Vec<String>,
    /// What could not be read: errors, those of the unread rows among them.
    pub faults: Vec<Fault>,
    /// The rows that say nothing, as something in them cannot be read; in table order.
    pub unread: Vec<UnreadRow>,
    /// What could be read of the unread rows: for those who look for what else is wrong, never for an answer.
    pub half_read: Rows,
    /// What was passed over: unknown columns and files.
    pub notices: Vec<Fault>,
    /// The rows that stop before their header does.
    pub short_rows: Vec<ShortRow>,
}

/// Reads every table of a catalog folder.
///
/// # Errors
/// The folder itself cannot be read. Whatever is wrong inside it is a fault, and the rest is read.
pub fn read_folder(root: &Path) -> io::Result<Tables> {
    steady(root, || read_once(root, |_, _| ()))
}

/// Reads every table of a catalog folder, and keeps the texts, for a change that is to be worked out from them.
///
/// # Errors
/// As [`read_folder`].
pub fn read_seen(root: &Path) -> io::Result<(Tables, Seen)> {
    steady(root, || {
        let mut seen = Seen::default();
        let tables = read_once(root, |file, text| seen.keep(&file.name, text))?;
        Ok((tables, seen))
    })
}

/// Reads every table of a catalog folder once, and shows the text of each file to whoever else wants it.
pub(crate) fn read_once(
    root: &Path,
    mut show: impl FnMut(&TableFile, &[u8]),
) -> io::Result<Tables> {
    let folder = folder::find(root)?;
    let mut tables = Tables { faults: folder.faults, ..Tables::default() };
    tables.notices.extend(folder.strangers.iter().map(|stranger| unknown_file(stranger)));
    tables.notices.extend(folder.misnamed.iter().map(|name| folder_of_a_tables_name(name)));
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
                code: UNOPENED,
                message: format!(
                    "this cannot be read: {error}; mend its permissions, or move it out"
                ),
            }),
        }
    }
    Ok(tables)
}

/// Says that a file is read, though it is not in UTF-8.
fn other_encoding(name: &str, encoding: &str) -> Fault {
    Fault {
        file: name.to_owned(),
        line: 0,
        column: String::new(),
        code: OTHER_ENCODING,
        message: format!(
            "the file is in {encoding} and is read so; save it as CSV in UTF-8, as the program writes no other"
        ),
    }
}

/// Says that a folder has the name of a table file.
pub(crate) fn folder_of_a_tables_name(name: &str) -> Fault {
    Fault {
        file: name.to_owned(),
        line: 0,
        column: String::new(),
        code: "unknown-file",
        message: "this is a folder with the name of a table file, which no table can then have; if it is to be one, give the folder another name".to_owned(),
    }
}

/// Says that a file belongs to no table.
pub(crate) fn unknown_file(stranger: &str) -> Fault {
    let file = stranger.rsplit('/').next().unwrap_or(stranger).to_lowercase();
    let stem = file.strip_suffix(".csv").unwrap_or(&file);
    let names: Vec<&str> = Rows::dictionary().iter().map(|table| table.name).collect();
    let inside = || {
        names
            .iter()
            .copied()
            .filter(|name| name.len() > 4 && stem.contains(name))
            .max_by_key(|name| name.len())
    };
    let hint = near::nearest(stem, names.iter().copied())
        .or_else(inside)
        .map_or_else(String::new, |name| {
            format!("; if it is meant as that table, call it {name}.csv")
        });
    Fault {
        file: stranger.to_owned(),
        line: 0,
        column: String::new(),
        code: "unknown-file",
        message: format!("no table has this name, so the file is not read{hint}"),
    }
}

/// Finds names, numbers and figures that hold characters which nobody sees. Free text may hold what it likes.
fn unseen_characters(table: &str, name: &str, bytes: &[u8]) -> Vec<Fault> {
    let holds_any = std::str::from_utf8(bytes).is_ok_and(|text| {
        !text.is_ascii() && text.trim_start_matches('\u{feff}').contains(is_unseen)
    });
    let Some(sheet) = holds_any.then(|| TextSheet::read(table, name, bytes)).flatten() else {
        return Vec::new();
    };
    let columns: Vec<&str> = definition(table)
        .into_iter()
        .flat_map(|table| &table.columns)
        .filter(|column| column.form != "text")
        .map(|column| column.name)
        .collect();
    let mut found = Vec::new();
    for row in &sheet.rows {
        for column in &columns {
            let cell = row.cell(column);
            let mut unseen: Vec<String> = cell
                .chars()
                .filter(|c| is_unseen(*c))
                .map(|c| format!("U+{:04X}", u32::from(c)))
                .collect();
            unseen.dedup();
            if !unseen.is_empty() {
                let seen: String = cell.chars().filter(|c| !is_unseen(*c)).collect();
                found.push(Fault {
                    file: name.to_owned(),
                    line: row.line,
                    column: (*column).to_owned(),
                    code: "unseen-character",
                    message: format!(
                        "`{}` holds what nobody sees ({}), mostly from a web page; type it anew",
                        shorten(&seen),
                        unseen.join(", ")
                    ),
                });
            }
        }
    }
    found
}

impl Tables {
    /// Reads one file of a table. Files must come in table order.
    pub fn read_file(&mut self, table: &str, name: String, bytes: &[u8]) {
        let file = u32::try_from(self.files.len()).unwrap_or(u32::MAX);
        self.files.push(name.clone());
        let decoded = other_than_utf8(bytes);
        if let Some((_, encoding)) = &decoded {
            self.notices.push(other_encoding(&name, encoding));
        }
        let bytes = decoded.as_ref().map_or(bytes, |(text, _)| text.as_bytes());
        self.notices.extend(unseen_characters(table, &name, bytes));
        let before = (self.faults.len(), self.unread.len());
        let open = Sheet::open(table, &name, bytes, &mut self.faults, &mut self.notices);
        let Some(sheet) = open else {
            // Without a header that can be used nobody knows what the file says.
            let faults = self.faults.get(before.0..).unwrap_or_default();
            let line = faults.first().map(|fault| fault.line);
            self.unread.extend(line.map(|line| UnreadRow {
                at: At { file, line },
                table: table.to_owned(),
                cells: Vec::new(),
                faults: faults.iter().map(UnreadCell::from).collect(),
            }));
            return;
        };
        let short =
            sheet.read(&sheet.body(), file, &mut self.rows, &mut self.unread, &mut self.half_read);
        self.short_rows.extend(short);
        let unread = self.unread.get(before.1..).unwrap_or_default();
        self.faults.extend(unread.iter().flat_map(|row| faults_of(row, &name)));
    }

    /// Tells that a file or folder cannot be opened at all. Whatever else is wrong only silences the row that it is in.
    pub fn is_closed(&self) -> bool {
        self.faults.iter().any(|fault| fault.code == UNOPENED)
    }

    /// Sets those rows aside that can only be told to be unreadable where all tables are known; see [`strays`].
    pub fn set_strays_aside(&mut self, root: &Path, today: &Date) {
        let strays = strays(&self.rows, &self.unread, today);
        if strays.is_empty() {
            return;
        }
        let places: HashSet<At> = strays.iter().map(|stray| stray.at).collect();
        take_out(&mut self.rows, &places);
        let mut sheets: HashMap<u32, Option<TextSheet>> = HashMap::new();
        for stray in strays {
            let Stray { at, table, fault } = stray;
            if let Some(row) = self.unread.iter_mut().find(|row| row.at == at) {
                row.faults.push(fault);
                continue;
            }
            let sheet = sheets.entry(at.file).or_insert_with(|| {
                let name = self.files.get(at.file as usize)?;
                TextSheet::read(table, name, &fs::read(root.join(name)).ok()?)
            });
            let row = sheet.as_ref().and_then(|sheet| sheet.row(at.line));
            let cells = row.map_or_else(Vec::new, |row| row.filled().collect());
            self.unread.push(UnreadRow { at, table: table.to_owned(), cells, faults: vec![fault] });
        }
        self.unread.sort_by_key(|row| row.at);
    }
}

impl Tables {
    /// Lists the rows of the log that name a day which has not come yet.
    pub fn after_today(&self, today: &Date) -> Vec<Fault> {
        let strays = strays(&self.rows, &self.unread, today).into_iter();
        let late = strays.filter(|stray| stray.fault.code == AFTER_TODAY);
        late.flat_map(|Stray { at, table, fault }| {
            let row =
                UnreadRow { at, table: table.to_owned(), cells: Vec::new(), faults: vec![fault] };
            let file = self.files.get(at.file as usize).map_or("?", String::as_str);
            faults_of(&row, file).collect::<Vec<_>>()
        })
        .collect()
    }
}

/// Gives the faults of an unread row as errors.
fn faults_of<'r>(row: &'r UnreadRow, file: &'r str) -> impl Iterator<Item = Fault> + 'r {
    row.faults.iter().map(move |fault| Fault {
        file: file.to_owned(),
        line: row.at.line,
        column: fault.column.clone(),
        code: explain(&fault.code).map_or("unreadable-cell", |code| code.name),
        message: fault.message.clone(),
    })
}

impl From<&Fault> for UnreadCell {
    fn from(fault: &Fault) -> Self {
        UnreadCell {
            column: String::new(),
            code: fault.code.to_owned(),
            message: fault.message.clone(),
        }
    }
}
