//! Whether the hidden folder is the program's own, made where it stands now; and what in it may be removed.
//!
//! A catalog may come from somebody else, with a hidden folder that is a link, or another program's. Such a folder is
//! neither used nor touched. One that was copied along with its catalog is ours, but what was compiled in it is not
//! believed.

use super::put::put;
use super::{FOLDER, Trouble};
use crate::tables::{Place, is_own_folder, make_folder};
use std::fs;
use std::io;
use std::path::{Path, PathBuf};

/// The file that says so.
const NAME: &str = "made-by-kitwright";

const FIRST_LINE: &str =
    "This folder is made by kitwright from the tables, and may be deleted. In it are:";

/// The hidden folder as one that this program made.
#[derive(Debug)]
pub(super) struct Own {
    pub hidden: PathBuf,
    pub place: Place,
    /// The folders of stores that were made in it.
    stores: Vec<String>,
}

fn foreign(what: &str) -> Trouble {
    Trouble::Disk(io::Error::other(format!("{FOLDER} {what}, so it is not touched; move it away")))
}

/// Finds the hidden folder, or makes it.
pub(super) fn own(root: &Path) -> Result<Own, Trouble> {
    let hidden = root.join(FOLDER);
    if fs::symlink_metadata(&hidden).is_ok() && is_own_folder(&hidden).is_err() {
        return Err(foreign("is a link or no folder"));
    }
    make_folder(&hidden)?;
    let place = Place::of(&hidden)?;
    let path = hidden.join(NAME);
    let is_plain = fs::symlink_metadata(&path).map(|meta| meta.file_type().is_file());
    let stores = match is_plain {
        Ok(true) => listed(&fs::read_to_string(&path)?)
            .ok_or_else(|| foreign("holds a marker that this program did not write"))?,
        Ok(false) => return Err(foreign("holds a marker that is no plain file")),
        Err(_) if fs::read_dir(&hidden)?.next().is_none() => Vec::new(),
        Err(_) => {
            return Err(foreign("was not made by this program, or by an earlier version of it"));
        }
    };
    let own = Own { hidden, place, stores };
    if is_plain.is_err() {
        own.write()?;
    }
    Ok(own)
}

/// Reads which folders a marker lists; `None` where it is none of ours.
fn listed(text: &str) -> Option<Vec<String>> {
    let mut lines = text.lines();
    (lines.next() == Some(FIRST_LINE)).then(|| {
        // Nothing but a name that a compile gives is ever taken for one.
        let is_ours = |name: &&str| name.len() == 32 && name.bytes().all(|b| b.is_ascii_hexdigit());
        lines.filter(is_ours).map(str::to_owned).collect()
    })
}

impl Own {
    fn write(&self) -> Result<(), Trouble> {
        let text = format!("{FIRST_LINE}\n{}\n", self.stores.join("\n"));
        Ok(put(&self.hidden.join(NAME), text.as_bytes())?)
    }

    /// Lists a new folder of stores, before it is made.
    pub fn add(&mut self, stores: &str) -> Result<(), Trouble> {
        self.stores.push(stores.to_owned());
        self.write()
    }

    /// Removes the listed folders, and what a killed run left half written. What cannot be removed is only in the way
    /// of disk space.
    pub fn clear(&mut self) -> Result<(), Trouble> {
        let is_left = |name: &String| {
            let path = self.hidden.join(name);
            is_own_folder(&path).is_ok() && fs::remove_dir_all(&path).is_err()
        };
        self.stores = std::mem::take(&mut self.stores).into_iter().filter(is_left).collect();
        for entry in fs::read_dir(&self.hidden)?.flatten() {
            let is_half = entry.file_name().to_string_lossy().starts_with(".new-");
            if is_half && entry.file_type().is_ok_and(|kind| kind.is_file()) {
                let _ = fs::remove_file(entry.path());
            }
        }
        self.write()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn only_listed_folders_are_removed() {
        let folder = tempfile::tempdir().unwrap();
        let mut ours = own(folder.path()).unwrap();
        let name = "0123456789abcdef0123456789abcdef";
        ours.add(name).unwrap();
        for made in [name, "mine", "fedcba9876543210fedcba9876543210"] {
            fs::create_dir(ours.hidden.join(made)).unwrap();
        }
        own(folder.path()).unwrap().clear().unwrap();
        assert!(!ours.hidden.join(name).exists());
        assert!(ours.hidden.join("mine").exists());
        assert!(ours.hidden.join("fedcba9876543210fedcba9876543210").exists());
        fs::write(ours.hidden.join(NAME), format!("{FIRST_LINE}\n../mine\n..\n")).unwrap();
        assert!(own(folder.path()).unwrap().stores.is_empty());
    }

    #[test]
    fn a_folder_that_is_a_link_or_somebody_elses_is_not_touched() {
        let folder = tempfile::tempdir().unwrap();
        let hidden = folder.path().join(FOLDER);
        fs::create_dir(&hidden).unwrap();
        fs::write(hidden.join("letters"), "mine").unwrap();
        assert!(own(folder.path()).is_err());
        assert_eq!(fs::read_dir(&hidden).unwrap().count(), 1);
        #[cfg(unix)]
        {
            let far = tempfile::tempdir().unwrap();
            fs::remove_dir_all(&hidden).unwrap();
            std::os::unix::fs::symlink(far.path(), &hidden).unwrap();
            assert!(own(folder.path()).is_err());
            assert_eq!(fs::read_dir(far.path()).unwrap().count(), 0);
        }
    }
}
