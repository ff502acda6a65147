//! Where a catalog is, and which names in it the program may write: a folder may come from somebody else.

use super::folder;
use crate::catalog::Rows;
use serde::{Deserialize, Serialize};
use std::fs::{self, Metadata};
use std::io;
use std::path::{Component, Path, PathBuf};
use std::time::{Duration, UNIX_EPOCH};

/// A folder as the disk knows it. A copy of the folder is another place; one that was only renamed is the same.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
pub struct Place {
    device: u64,
    number: u64,
    /// Where the disk has no numbers, the sum of the path.
    path: u64,
}

impl Place {
    /// Finds out which place a folder is.
    ///
    /// # Errors
    /// The folder cannot be looked at.
    pub fn of(folder: &Path) -> io::Result<Place> {
        #[cfg(unix)]
        {
            use std::os::unix::fs::MetadataExt as _;
            let meta = fs::metadata(folder)?;
            Ok(Place { device: meta.dev(), number: meta.ino(), path: 0 })
        }
        #[cfg(not(unix))]
        {
            let path = fs::canonicalize(folder)?;
            let path = xxhash_rust::xxh3::xxh3_64(path.to_string_lossy().as_bytes());
            Ok(Place { device: 0, number: 0, path })
        }
    }
}

/// What the disk says of a file without reading it.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
pub struct Stamp {
    /// Its length in bytes.
    pub length: u64,
    modified: i128,
    /// The time at which anything about the file changed, and its number on the disk, where the system tells.
    changed: i128,
    number: u64,
}

impl Stamp {
    /// Takes the stamp of a file.
    pub fn of(meta: &Metadata) -> Self {
        let modified = meta.modified().ok().map_or(0, since_1970);
        #[cfg(unix)]
        let (changed, number) = {
            use std::os::unix::fs::MetadataExt;
            (i128::from(meta.ctime()) * 1_000_000_000 + i128::from(meta.ctime_nsec()), meta.ino())
        };
        #[cfg(not(unix))]
        let (changed, number) = (0, 0);
        Stamp { length: meta.len(), modified, changed, number }
    }

    /// The file was written so shortly before it was read that a later change may bear the same time: disks tell
    /// times in steps of up to two seconds. `read` is in nanoseconds since 1970.
    pub fn is_fresh_at(&self, read: i128) -> bool {
        const STEP: i128 = 2_100_000_000;
        self.modified.max(self.changed) > read - STEP
    }
}

/// Nanoseconds since 1970.
pub(crate) fn since_1970(time: std::time::SystemTime) -> i128 {
    match time.duration_since(UNIX_EPOCH) {
        Ok(after) => i128::try_from(after.as_nanos()).unwrap_or(i128::MAX),
        Err(before) => -i128::try_from(before.duration().as_nanos()).unwrap_or(i128::MAX),
    }
}

/// How all table files of a catalog stand, as the disk has it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct State {
    files: Vec<(String, Option<Stamp>)>,
    journal: Option<Stamp>,
}

/// Looks how all table files stand.
///
/// # Errors
/// The folder cannot be read.
pub fn state(root: &Path) -> io::Result<State> {
    let stamp = |path: &Path| fs::metadata(path).ok().map(|meta| Stamp::of(&meta));
    let files = folder::find(root)?.files;
    let files = files.into_iter().map(|file| (file.name, stamp(&file.path))).collect();
    Ok(State { files, journal: stamp(&root.join(super::journal::JOURNAL)) })
}

/// Does a reading of the tables again where one of them changed while it went on, so that what was read is one state.
///
/// # Errors
/// As the reading; or the tables are changed without end.
pub fn steady<T, E: From<io::Error>>(
    root: &Path,
    mut read: impl FnMut() -> Result<T, E>,
) -> Result<T, E> {
    const ROUNDS: u32 = 40;
    for round in 0..ROUNDS {
        super::journal::wait_for_writer(root);
        let before = state(root)?;
        let done = read();
        if state(root)? == before {
            return done;
        }
        std::thread::sleep(Duration::from_millis(2) * round);
    }
    Err(io::Error::other("its tables change faster than they can be read; try again").into())
}

/// Why a name in a catalog is not written to.
pub(super) type NotHere = &'static str;

/// Gives the path of a table file by its name within the catalog, if the program may write there: the name is a
/// table's, leads down only, and no link on the way leads out of the catalog.
pub(super) fn inside(root: &Path, name: &str) -> Result<PathBuf, NotHere> {
    let path = Path::new(name);
    let plain = |part: Component<'_>| matches!(part, Component::Normal(part) if !part.to_string_lossy().starts_with('.'));
    if name.is_empty() || name.contains('\\') || !path.components().all(plain) {
        return Err("its name leads out of the catalog folder");
    }
    let file = name.rsplit('/').next().unwrap_or(name).to_lowercase();
    let is_table = |stem: &str| Rows::dictionary().iter().any(|table| table.name == stem);
    if !file.strip_suffix(".csv").is_some_and(is_table) {
        return Err("it is no table");
    }
    let root_itself = fs::canonicalize(root).map_err(|_| "the catalog folder cannot be read")?;
    let path = root.join(path);
    // What is yet to be made lies where the folders that are there lead to.
    let there = path.ancestors().find(|part| fs::symlink_metadata(part).is_ok()).unwrap_or(root);
    match fs::canonicalize(there) {
        Ok(real) if real.starts_with(&root_itself) => Ok(path),
        Ok(_) => Err("a link on the way to it leads out of the catalog folder"),
        Err(_) => Err("a link on the way to it leads nowhere"),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn only_tables_inside_the_folder_are_written_to() {
        let folder = tempfile::tempdir().unwrap();
        let root = folder.path().join("catalog");
        fs::create_dir_all(root.join("shed")).unwrap();
        for name in ["parts.csv", "shed/Parts.CSV", "new/stock.csv"] {
            assert_eq!(inside(&root, name), Ok(root.join(name)), "{name}");
        }
        for name in [
            "",
            "../parts.csv",
            "shed/../../parts.csv",
            "/parts.csv",
            ".hidden/parts.csv",
            "x.csv",
            "parts.txt",
            "parts",
            "..\\parts.csv",
            "shed/.",
        ] {
            assert!(inside(&root, name).is_err(), "{name}");
        }
        #[cfg(unix)]
        {
            use std::os::unix::fs::symlink;
            symlink(folder.path(), root.join("out")).unwrap();
            symlink(folder.path().join("far.csv"), root.join("stock.csv")).unwrap();
            symlink(root.join("shed"), root.join("in")).unwrap();
            assert!(inside(&root, "out/parts.csv").is_err());
            assert!(inside(&root, "stock.csv").is_err(), "it leads nowhere");
            fs::write(folder.path().join("far.csv"), "").unwrap();
            assert!(inside(&root, "stock.csv").is_err(), "it leads out");
            assert!(inside(&root, "in/parts.csv").is_ok());
        }
    }

    #[test]
    fn a_copy_is_another_place_and_a_renamed_folder_the_same() {
        let folder = tempfile::tempdir().unwrap();
        let (a, b, c) = (folder.path().join("a"), folder.path().join("b"), folder.path().join("c"));
        fs::create_dir(&a).unwrap();
        fs::create_dir(&b).unwrap();
        let was = Place::of(&a).unwrap();
        assert_ne!(Place::of(&b).unwrap(), was);
        fs::rename(&a, &c).unwrap();
        #[cfg(unix)]
        assert_eq!(Place::of(&c).unwrap(), was);
    }
}
