//! Finds the table files of a catalog folder.

use super::fault::Fault;
use crate::catalog::Rows;
use std::collections::{HashSet, VecDeque};
use std::fs;
use std::io;
use std::path::{Path, PathBuf};

/// The most bytes that a table file may have, and all of a catalog's together. A million parts with all that belongs to
/// them take a quarter of that; reading takes about four times as much memory.
const LARGEST_FILE: u64 = 256 << 20;
const LARGEST_CATALOG: u64 = 512 << 20;

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
    /// Folders that have the name of a table file.
    pub misnamed: Vec<String>,
}

impl Folder {
    fn refuse_too_much(&mut self) {
        let length = |file: &TableFile| fs::metadata(&file.path).map_or(0, |meta| meta.len());
        let mut all = 0;
        let (kept, over) = std::mem::take(&mut self.files).into_iter().partition(|file| {
            all += length(file);
            all <= LARGEST_CATALOG
        });
        self.files = kept;
        self.faults.extend(Vec::into_iter(over).map(|file: TableFile| Fault {
            file: file.name,
            line: 0,
            column: String::new(),
            code: "unreadable-file",
            message: format!(
                "the tables have more than {} MB together; keep what belongs to other machines in a catalog of its own",
                LARGEST_CATALOG >> 20
            ),
        }));
    }
}

/// Tells whether links lead round in a circle.
fn is_circle(error: &io::Error) -> bool {
    /// ELOOP of Linux and of the BSDs with macOS.
    const TOO_MANY_LINKS: [i32; 2] = [40, 62];
    cfg!(unix) && error.raw_os_error().is_some_and(|number| TOO_MANY_LINKS.contains(&number))
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
    folder.refuse_too_much();
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
            // A link elsewhere in the folder that leads nowhere or round in a circle is none of this program's business.
            // What cannot be looked at for any other reason may be a folder full of tables.
            if stem.is_some() || !(error.kind() == io::ErrorKind::NotFound || is_circle(&error)) {
                folder.faults.push(unreadable(&error));
            }
            return;
        }
    };
    if meta.is_dir() {
        if stem.is_some_and(|stem| tables.contains(&stem)) {
            folder.misnamed.push(name.to_owned());
        }
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
        Some(_) if meta.len() > LARGEST_FILE => folder.faults.push(Fault {
            file: name.to_owned(),
            line: 0,
            column: String::new(),
            code: "unreadable-file",
            message: format!(
                "this has {} MB, and a table file may have {} MB; divide it into several folders",
                meta.len() >> 20,
                LARGEST_FILE >> 20
            ),
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

#[cfg(all(test, unix))]
mod tests {
    use super::*;
    use std::os::unix::fs::symlink;

    #[test]
    fn links_in_a_circle_lock_nothing_and_a_folder_of_a_tables_name_is_told() {
        let folder = tempfile::tempdir().expect("a folder");
        let root = folder.path();
        fs::create_dir_all(root.join("stock.csv")).expect("made");
        fs::write(root.join("stock.csv/parts.csv"), "part\n").expect("written");
        symlink("a", root.join("b")).expect("linked");
        symlink("b", root.join("a")).expect("linked");
        symlink(root, root.join("stock.csv/again")).expect("linked");
        let found = find(root).expect("read");
        assert_eq!(found.faults, []);
        assert_eq!(found.misnamed, ["stock.csv"]);
        assert_eq!(found.files.len(), 1);
        let sparse = fs::File::create(root.join("offers.csv")).expect("made");
        sparse.set_len(8 << 30).expect("set");
        let faults = find(root).expect("read").faults;
        assert!(faults[0].message.contains("8192 MB"), "{faults:?}");
        fs::remove_file(root.join("offers.csv")).expect("removed");
        symlink("models.csv", root.join("models.csv")).expect("linked");
        assert_eq!(find(root).expect("read").faults.len(), 1, "a table that is a circle is said");
    }
}
