//! Runs what may panic on damaged bytes, without a word on standard error.

use super::Trouble;
use std::cell::Cell;
use std::panic::{self, AssertUnwindSafe};
use std::sync::Once;

thread_local! {
    static QUIET: Cell<bool> = const { Cell::new(false) };
}

/// The beginnings of the names of the threads that the stores start.
const THEIR_THREADS: [&str; 4] = ["sled", "tantivy", "thrd-tantivy", "merge_thread"];

fn silence_once() {
    static ONCE: Once = Once::new();
    ONCE.call_once(|| {
        let usual = panic::take_hook();
        panic::set_hook(Box::new(move |info| {
            let current = std::thread::current();
            let theirs = current
                .name()
                .is_some_and(|name| THEIR_THREADS.iter().any(|start| name.starts_with(start)));
            if !theirs && !QUIET.try_with(Cell::get).unwrap_or(false) {
                usual(info);
            }
        }));
    });
}

/// Runs a piece of work on the stores; a panic in it is one more way of being unreadable.
pub(super) fn quietly<T, E: std::fmt::Display>(
    what: &str,
    work: impl FnOnce() -> Result<T, E>,
) -> Result<T, Trouble> {
    silence_once();
    let before = QUIET.with(|quiet| quiet.replace(true));
    let done = panic::catch_unwind(AssertUnwindSafe(work));
    QUIET.with(|quiet| quiet.set(before));
    match done {
        Ok(Ok(value)) => Ok(value),
        Ok(Err(error)) => Err(Trouble::Unreadable(format!("{what} cannot be read ({error})"))),
        Err(_) => Err(Trouble::Unreadable(format!("{what} cannot be read"))),
    }
}
