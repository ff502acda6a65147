//! One process at a time: the store of records lets only one in, and a compile must not be read halfway.

use super::Trouble;
use crate::tables::is_plain_or_none;
use std::fs::{File, OpenOptions, TryLockError};
use std::path::Path;
use std::time::{Duration, Instant};

/// The turn of this process; it ends when dropped, or when the process does.
#[derive(Debug)]
pub(super) struct Turn(#[allow(dead_code, reason = "held for its lock")] File);

/// How long one waits between two looks.
const PAUSE: Duration = Duration::from_millis(2);

/// Waits for the turn of this process, for as long as reading the tables would take at most.
pub(super) fn take(folder: &Path, patience: Duration) -> Result<Turn, Trouble> {
    let path = folder.join("turn");
    is_plain_or_none(&path)?;
    let file = OpenOptions::new().create(true).truncate(false).write(true).open(path)?;
    let begun = Instant::now();
    loop {
        match file.try_lock() {
            Ok(()) => return Ok(Turn(file)),
            Err(TryLockError::WouldBlock) if begun.elapsed() < patience => {
                std::thread::sleep(PAUSE)
            }
            Err(TryLockError::WouldBlock) => return Err(Trouble::Held),
            Err(TryLockError::Error(error)) => return Err(Trouble::Disk(error)),
        }
    }
}
