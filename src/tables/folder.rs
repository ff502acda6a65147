//! Finds the table files of a catalog folder.

use super::fault::Fault;
use crate::catalog::Rows;
use std::collections::{HashSet, VecDeque};
use std::fs;
use std::io;
use std::path::{Path, PathBuf};

/// A file that holds a table.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct TableFile {
    /// The table that it belongs to.
    pub table: &'static str,
    /// Its path within the catalog folder, with `/` between the names.
    pub name: String,
    /// Its path on disk.
    pub path: PathBuf,
}

/// What a catalog folder holds.
#[derive(Debug, Default)]
pub struct Folder {
    /// The table files in table order: by path, bytewise.
    pub files: Vec<TableFile>,
    /// What could not be looked into.
    pub faults: Vec<Fault>,
    /// Files ending in `.csv` that belong to no table.
    pub strangers: Vec<String>,
}

/// Looks through a folder and everything below it. Hidden folders are skipped; a file or folder that is reached
/// by several links counts once, at the first of its paths.
///
/// # Errors
/// The folder itself cannot be read.
pub fn find(root: &Path) -> io::Result<Folder> {
    let mut folder = Folder::default();
    let mut seen = HashSet::new();
    seen.insert(fs::canonicalize(root)?);
    let tables: Vec<&'static str> = Rows::dictionary().iter().map(|table| table.name).collect();
    let mut linked = VecDeque::new();
    walk(root, "", &tables, &mut seen, &mut linked, &mut folder)?;
    // Links come last, so that what a link leads to is known by its own path where it has one here.
    while let Some((path, name)) = linked.pop_front() {
        visit(&path, &name, &tables, &mut seen, &mut linked, &mut folder);
    }
    folder.files.sort_by(|a, b| a.name.as_bytes().cmp(b.name.as_bytes()));
    folder.strangers.sort();
    Ok(folder)
}

fn walk(
    path: &Path,
    prefix: &str,
    tables: &[&'static str],
    seen: &mut HashSet<PathBuf>,
    linked: &mut VecDeque<(PathBuf, String)>,
    folder: &mut Folder,
) -> io::Result<()> {
    let mut entries = fs::read_dir(path)?.collect::<io::Result<Vec<_>>>()?;
    entries.sort_by_key(fs::DirEntry::file_name);
    for entry in entries {
        let name = format!("{prefix}{}", entry.file_name().to_string_lossy());
        if entry.file_name().to_string_lossy().starts_with('.') {
            continue;
        }
        if entry.file_type().is_ok_and(|kind| kind.is_symlink()) {
            linked.push_back((entry.path(), name));
        } else {
            visit(&entry.path(), &name, tables, seen, linked, folder);
        }
    }
    Ok(())
}

fn visit(
    path: &Path,
    name: &str,
    tables: &[&'static str],
    seen: &mut HashSet<PathBuf>,
    linked: &mut VecDeque<(PathBuf, String)>,
    folder: &mut Folder,
) {
    let file_name = name.rsplit('/').next().unwrap_or(name).to_lowercase();
    let stem = file_name.strip_suffix(".csv");
    let unreadable = |error: &io::Error| Fault {
        file: name.to_owned(),
        line: 0,
        column: String::new(),
        code: "unreadable-file",
        message: format!(
            "this cannot be read: {error}; mend its permissions or its link, or move it out"
        ),
    };
    let found =
        fs::canonicalize(path).and_then(|real| fs::metadata(&real).map(|meta| (real, meta)));
    let (real, meta) = match found {
        Ok(found) => found,
        Err(error) => {
            // A dangling link elsewhere in the folder is none of this program's business. What cannot be looked at for
            // any other reason may be a folder full of tables.
            if stem.is_some() || error.kind() != io::ErrorKind::NotFound {
                folder.faults.push(unreadable(&error));
            }
            return;
        }
    };
    if meta.is_dir() {
        if seen.insert(real)
            && let Err(error) = walk(path, &format!("{name}/"), tables, seen, linked, folder)
        {
            folder.faults.push(unreadable(&error));
        }
        return;
    }
    let Some(stem) = stem else { return };
    match tables.iter().find(|table| **table == stem) {
        // Reading a pipe would wait for ever, and a device may never end.
        Some(_) if !meta.is_file() => folder.faults.push(Fault {
            file: name.to_owned(),
            line: 0,
            column: String::new(),
            code: "unreadable-file",
            message: "this has the name of a table but is no plain file; move it out".to_owned(),
        }),
        Some(table) => {
            if seen.insert(real) {
                folder.files.push(TableFile {
                    table,
                    name: name.to_owned(),
                    path: path.to_owned(),
                });
            }
        }
        None => folder.strangers.push(name.to_owned()),
    }
}
