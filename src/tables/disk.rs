//! The one way to the disk for all that is written into a catalog: each write, sync, rename and removal is a step of
//! its own, which the tests can make fail.

use std::fs::{self, File};
use std::io::{self, Write as _};
use std::path::Path;

/// Begins the name of a file in the making. It is hidden and does not end in .csv, so that one left behind by a kill
/// is never read as a table.
const IN_THE_MAKING: &str = ".kitwright-new-";

/// More than any hidden file of the program has: a journal holds the texts before and after a change.
const LARGEST_OWN: u64 = 1 << 30;

/// What becomes of a link that stands where a file is to be written.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Link {
    /// The file that it leads to is written, so that it stays a link.
    Follow,
    /// It is replaced.
    Replace,
}

/// Writes a file whole or not at all: a new file beside it, brought to disk, then renamed over it. `just_before` is
/// asked once more before the rename.
///
/// Mode, group and, where the system lets us, owner of the old file are kept.
pub(super) fn replace(
    path: &Path,
    text: &[u8],
    link: Link,
    just_before: impl FnOnce() -> io::Result<()>,
) -> io::Result<()> {
    put(path, text, link, IN_THE_MAKING, just_before)
}

/// Writes a file outside of the tables whole or not at all, with or without the lock of a catalog.
///
/// A link is followed, so that it stays a link; the permissions of the old file are kept.
///
/// # Errors
/// Whatever the disk says; the old file is then as it was.
pub fn save(path: &Path, text: &[u8]) -> io::Result<()> {
    put(path, text, Link::Follow, ".new-", || Ok(()))
}

fn put(
    path: &Path,
    text: &[u8],
    link: Link,
    prefix: &str,
    just_before: impl FnOnce() -> io::Result<()>,
) -> io::Result<()> {
    let real = match link {
        Link::Follow => fs::canonicalize(path).unwrap_or_else(|_| path.to_owned()),
        Link::Replace => path.to_owned(),
    };
    let folder = match real.parent() {
        Some(parent) if !parent.as_os_str().is_empty() => parent,
        _ => Path::new("."),
    };
    step()?;
    let mut new = tempfile::Builder::new().prefix(prefix).tempfile_in(folder)?;
    let made = (|| {
        step()?;
        new.write_all(text)?;
        keep_owner_and_mode(new.as_file(), fs::symlink_metadata(&real).ok(), folder)?;
        step()?;
        new.as_file().sync_all()?;
        just_before()?;
        step()
    })();
    if made.is_err() && is_dead() {
        new.disable_cleanup(true);
    }
    made?;
    new.persist(&real).map_err(|error| error.error)?;
    sync(folder);
    Ok(())
}

/// Brings what was renamed or removed in a folder to disk; not every system lets a folder be opened for that.
pub(super) fn sync(folder: &Path) {
    if step().is_ok()
        && let Ok(folder) = File::open(folder)
    {
        let _ = folder.sync_all();
    }
}

/// Removes a file, or the link that stands in its place; one that is gone already is no error.
pub(super) fn remove(path: &Path) -> io::Result<()> {
    step()?;
    match fs::remove_file(path) {
        Err(error) if error.kind() != io::ErrorKind::NotFound => Err(error),
        _ => Ok(()),
    }
}

/// Makes a folder of the program's own in another, if it is not there. One that is a link is refused: it may lead
/// anywhere.
pub(crate) fn make_folder(path: &Path) -> io::Result<()> {
    step()?;
    match fs::create_dir(path) {
        Ok(()) => {
            let above = path.parent().unwrap_or(Path::new("."));
            share_with_group(path, above);
            Ok(())
        }
        Err(error) if error.kind() == io::ErrorKind::AlreadyExists => is_own_folder(path),
        Err(error) => Err(error),
    }
}

/// Tells that a path is a folder and no link to one.
pub(crate) fn is_own_folder(path: &Path) -> io::Result<()> {
    let kind = fs::symlink_metadata(path)?.file_type();
    if kind.is_dir() {
        Ok(())
    } else if kind.is_symlink() {
        Err(io::Error::other("it is a link, and where it leads is not touched; take the link away"))
    } else {
        Err(io::Error::other("it is no folder; move it away"))
    }
}

/// Tells that a path is a plain file, or that nothing is there.
pub(crate) fn is_plain_or_none(path: &Path) -> io::Result<()> {
    match fs::symlink_metadata(path) {
        Ok(meta) if meta.file_type().is_file() => Ok(()),
        Ok(meta) if meta.file_type().is_symlink() => {
            Err(io::Error::other("it is a link, which is not followed; take the link away"))
        }
        Ok(_) => Err(io::Error::other("it is no plain file; move it away")),
        Err(error) if error.kind() == io::ErrorKind::NotFound => Ok(()),
        Err(error) => Err(error),
    }
}

/// Reads a hidden file of the program's own; `None` where there is none. A link is not followed.
///
/// # Errors
/// It is a link, or cannot be read.
pub fn read_own(path: &Path) -> io::Result<Option<String>> {
    is_plain_or_none(path)?;
    if fs::metadata(path).is_ok_and(|meta| meta.len() > LARGEST_OWN) {
        return Err(io::Error::other("it is far larger than this program writes it"));
    }
    match fs::read_to_string(path) {
        Ok(text) => Ok(Some(text)),
        Err(error) if error.kind() == io::ErrorKind::NotFound => Ok(None),
        Err(error) => Err(error),
    }
}

/// Clears away what a killed run left behind in a folder. Only a run that holds the lock may.
pub(super) fn clear_leftovers(folder: &Path) {
    for entry in fs::read_dir(folder).into_iter().flatten().flatten() {
        let is_ours = entry.file_name().to_string_lossy().starts_with(IN_THE_MAKING);
        if is_ours && entry.file_type().is_ok_and(|kind| kind.is_file()) {
            let _ = fs::remove_file(entry.path());
        }
    }
}

#[cfg(unix)]
fn keep_owner_and_mode(file: &File, old: Option<fs::Metadata>, folder: &Path) -> io::Result<()> {
    use std::os::unix::fs::{MetadataExt as _, PermissionsExt as _, fchown};
    let Some(old) = old else {
        // Temporary files are closed to everyone else; a new table has the usual permissions, and those who share the
        // folder may write it.
        let group = fs::metadata(folder).map_or(0, |meta| meta.mode() & 0o020);
        return file.set_permissions(fs::Permissions::from_mode(0o644 | group));
    };
    let new = file.metadata()?;
    if (new.uid(), new.gid()) != (old.uid(), old.gid())
        && fchown(file, Some(old.uid()), Some(old.gid())).is_err()
    {
        // Only the administrator may give a file to somebody else, but a member may keep it in the group.
        let _ = fchown(file, None, Some(old.gid()));
    }
    file.set_permissions(fs::Permissions::from_mode(old.mode() & 0o7777))
}

#[cfg(not(unix))]
fn keep_owner_and_mode(file: &File, old: Option<fs::Metadata>, _: &Path) -> io::Result<()> {
    old.map_or(Ok(()), |old| file.set_permissions(old.permissions()))
}

/// Lets those who may write a folder write what the program made in it, too.
#[cfg(unix)]
pub(crate) fn share_with_group(made: &Path, folder: &Path) {
    use std::os::unix::fs::{MetadataExt as _, PermissionsExt as _};
    let (Ok(above), Ok(meta)) = (fs::metadata(folder), fs::metadata(made)) else { return };
    let more = above.mode() & 0o2020;
    if more != 0 {
        let mode = (meta.mode() | more) & 0o7777;
        let _ = fs::set_permissions(made, fs::Permissions::from_mode(mode));
    }
}

#[cfg(not(unix))]
pub(crate) fn share_with_group(_: &Path, _: &Path) {}

#[cfg(not(test))]
fn step() -> io::Result<()> {
    Ok(())
}

#[cfg(not(test))]
fn is_dead() -> bool {
    false
}

#[cfg(test)]
use fault::{is_dead, step};

/// Makes one step fail, or stand for the moment at which the process is killed.
#[cfg(test)]
pub(crate) mod fault {
    use std::cell::Cell;
    use std::io;

    /// What happens at the step that was chosen.
    #[derive(Debug, Clone, Copy, PartialEq, Eq)]
    pub(crate) enum Fault {
        /// It fails, and those after it do not.
        Once,
        /// Neither it nor any after it reaches the disk, as if the process were killed.
        Killed,
    }

    thread_local! {
        static STEPS: Cell<usize> = const { Cell::new(0) };
        static AT: Cell<Option<(usize, Fault)>> = const { Cell::new(None) };
    }

    /// Runs some work in which the step of a number, from 0, goes wrong; gives what it gave and how many steps it took.
    pub(crate) fn with<T>(at: Option<(usize, Fault)>, work: impl FnOnce() -> T) -> (T, usize) {
        STEPS.set(0);
        AT.set(at);
        let done = work();
        AT.set(None);
        (done, STEPS.get())
    }

    pub(super) fn step() -> io::Result<()> {
        let now = STEPS.replace(STEPS.get() + 1);
        match AT.get() {
            Some((at, Fault::Once)) if now == at => Err(io::Error::other("a fault for the test")),
            Some((at, Fault::Killed)) if now >= at => Err(io::Error::other("killed by the test")),
            _ => Ok(()),
        }
    }

    pub(super) fn is_dead() -> bool {
        matches!(AT.get(), Some((at, Fault::Killed)) if STEPS.get() > at)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_file_is_replaced_whole_and_keeps_its_permissions_and_its_link() {
        let folder = tempfile::tempdir().expect("a folder");
        let real = folder.path().join("shelf.txt");
        fs::write(&real, "old").expect("written");
        let link = folder.path().join("stock.csv");
        #[cfg(unix)]
        {
            use std::os::unix::fs::PermissionsExt;
            fs::set_permissions(&real, fs::Permissions::from_mode(0o640)).expect("set");
            std::os::unix::fs::symlink(&real, &link).expect("linked");
            save(&link, b"new").expect("saved");
            assert!(fs::symlink_metadata(&link).expect("there").file_type().is_symlink());
            assert_eq!(fs::metadata(&real).expect("there").permissions().mode() & 0o777, 0o640);
        }
        #[cfg(not(unix))]
        save(&real, b"new").expect("saved");
        assert_eq!(fs::read(&real).expect("read"), b"new");
        assert_eq!(
            fs::read_dir(folder.path()).expect("read").count(),
            if cfg!(unix) { 2 } else { 1 }
        );
    }

    #[cfg(unix)]
    #[test]
    fn group_and_owner_survive_and_a_new_file_is_open_to_those_who_share_the_folder() {
        use std::os::unix::fs::{MetadataExt as _, PermissionsExt as _, chown};
        let folder = tempfile::tempdir().expect("a folder");
        let (old, new) = (folder.path().join("old.csv"), folder.path().join("new.csv"));
        fs::write(&old, "old").expect("written");
        let is_administrator = chown(&old, Some(4711), Some(4712)).is_ok();
        fs::set_permissions(folder.path(), fs::Permissions::from_mode(0o2775)).expect("set");
        for path in [&old, &new] {
            replace(path, b"text", Link::Follow, || Ok(())).expect("written");
        }
        let owner = fs::metadata(&old).expect("there");
        assert!(!is_administrator || (owner.uid(), owner.gid()) == (4711, 4712));
        assert_eq!(fs::metadata(&new).expect("there").mode() & 0o777, 0o664);
        let made = folder.path().join("made");
        make_folder(&made).expect("made");
        assert_eq!(fs::metadata(&made).expect("there").mode() & 0o2020, 0o2020);
    }
}
