//! One writer at a time, and a word for whoever has to wait.

use super::disk::{is_plain_or_none, share_with_group};
use super::trouble::Trouble;
use crate::measure::printable;
use std::fs::{self, File, TryLockError};
use std::io::Write as _;
use std::path::Path;
use std::time::{Duration, Instant};

const LOCK: &str = ".kitwright-lock";

/// How long a writer waits for another: writing takes milliseconds.
const PATIENCE: Duration = Duration::from_secs(2);

/// Keeps other runs of the program from writing the tables until it is dropped.
///
/// The system gives the lock back when the process ends, however it ends.
#[derive(Debug)]
pub struct Lock {
    _file: File,
}

/// Locks a catalog folder to write. What is shown and asked comes before: the lock is held only for the writing.
///
/// # Errors
/// Another run holds it for two seconds, and is named; or the folder cannot be written to.
pub fn lock(root: &Path) -> Result<Lock, Trouble> {
    let path = root.join(LOCK);
    let disk = |error| Trouble::Disk(path.clone(), error);
    is_plain_or_none(&path).map_err(disk)?;
    let is_new = !path.exists();
    let mut file =
        File::options().create(true).truncate(false).write(true).open(&path).map_err(disk)?;
    if is_new {
        share_with_group(&path, root);
    }
    let begun = Instant::now();
    loop {
        match file.try_lock() {
            Ok(()) => break,
            Err(TryLockError::WouldBlock) if begun.elapsed() < PATIENCE => {
                std::thread::sleep(Duration::from_millis(5));
            }
            Err(TryLockError::WouldBlock) => return Err(Trouble::Held(holder(&path))),
            Err(TryLockError::Error(error)) => return Err(disk(error)),
        }
    }
    // Only a word for those who wait, so it does not matter if it cannot be written.
    let _ = file.set_len(0).and_then(|()| file.write_all(myself().as_bytes()));
    Ok(Lock { _file: file })
}

fn myself() -> String {
    let words = std::env::args_os().map(|word| word.to_string_lossy().into_owned());
    let mut words: Vec<String> = words.collect();
    if let Some(first) = words.first_mut() {
        *first = "kitwright".to_owned();
    }
    format!("process {}: {}\n", std::process::id(), words.join(" "))
}

/// Who holds the lock, as they wrote it down.
fn holder(path: &Path) -> String {
    const MOST: usize = 200;
    let said = fs::read(path).unwrap_or_default();
    let said = String::from_utf8_lossy(&said);
    let said = printable(said.lines().next().unwrap_or_default().trim());
    if said.is_empty() { "another process".to_owned() } else { said.chars().take(MOST).collect() }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_second_writer_is_told_within_its_patience_who_holds_the_lock() {
        let folder = tempfile::tempdir().unwrap();
        let held = lock(folder.path()).unwrap();
        let begun = Instant::now();
        let said = lock(folder.path()).unwrap_err().to_string();
        assert!(begun.elapsed() < PATIENCE + Duration::from_millis(500));
        assert!(said.contains(&format!("process {}: kitwright", std::process::id())), "{said}");
        drop(held);
        lock(folder.path()).unwrap();
    }

    #[cfg(unix)]
    #[test]
    fn a_lock_that_is_a_link_is_not_followed() {
        let folder = tempfile::tempdir().unwrap();
        let far = folder.path().join("far");
        fs::write(&far, "mine").unwrap();
        std::os::unix::fs::symlink(&far, folder.path().join(LOCK)).unwrap();
        assert!(lock(folder.path()).is_err());
        assert_eq!(fs::read(far).unwrap(), b"mine");
    }
}
