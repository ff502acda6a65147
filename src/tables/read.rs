//! Reads table files into typed rows, with located faults.

use super::fault::Fault;
use super::folder::{self, TableFile};
use super::sheet::{Sheet, ShortRow};
use crate::catalog::Rows;
use crate::near;
use std::fs;
use std::io;
use std::path::Path;

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
    /// The rows that stop before their header does.
    pub short_rows: Vec<ShortRow>,
}

/// Reads every table of a catalog folder.
///
/// # Errors
/// The folder itself cannot be read. Whatever is wrong inside it is a fault, and the rest is read.
pub fn read_folder(root: &Path) -> io::Result<Tables> {
    read_folder_with(root, |_, _| ())
}

/// Reads every table of a catalog folder, and shows the text of each file to whoever else wants it.
pub(crate) fn read_folder_with(
    root: &Path,
    mut show: impl FnMut(&TableFile, &[u8]),
) -> io::Result<Tables> {
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
                message: format!(
                    "this cannot be read: {error}; mend its permissions, or move it out"
                ),
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

impl Tables {
    /// Reads one file of a table. Files must come in table order.
    pub fn read_file(&mut self, table: &str, name: String, bytes: &[u8]) {
        let file = u32::try_from(self.files.len()).unwrap_or(u32::MAX);
        self.files.push(name.clone());
        if let Some(sheet) = Sheet::open(table, &name, bytes, &mut self.faults, &mut self.notices) {
            self.short_rows.extend(sheet.read(
                &sheet.body(),
                file,
                &mut self.rows,
                &mut self.faults,
            ));
        }
    }
}
