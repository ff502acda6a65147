//! Why a change was not made, or not finished.

use super::fault::Fault;
use super::journal::JOURNAL;
use super::rewrite::Refused;
use super::undo::CannotTakeBack;
use std::fmt;
use std::io;
use std::path::PathBuf;

/// Why a change was not made, or not finished. Nothing was written, but where it says so.
#[derive(Debug)]
pub enum Trouble {
    /// The edits do not fit the file.
    Refused(String, Refused),
    /// A row would be written that nobody could read again.
    Unreadable(Box<Fault>),
    /// The disk says no.
    Disk(PathBuf, io::Error),
    /// Another run writes, and does not come to an end; who it is.
    Held(String),
    /// A row of the change says something else by now.
    RowChanged {
        /// The file.
        name: String,
        /// The line on which the row stood.
        line: u32,
        /// What it said.
        was: String,
        /// What stands in its place; `None` where it is gone.
        now: Option<String>,
    },
    /// The tables changed, and what was shown would now be another change.
    Otherwise(String),
    /// A file is not written to, and why.
    NotHere(String, &'static str),
    /// The change counts as made, but was not finished.
    Begun {
        /// What the change was.
        what: String,
        /// The files that are written so far.
        written: Vec<String>,
        /// What stopped it.
        stopped: Box<Trouble>,
    },
    /// An earlier change had been cut short and is finished now; this one was not begun.
    FinishedAnother(String),
    /// A change of an earlier run, or one that came with the folder, waits to be settled.
    Unsettled(String),
    /// A change was cut short, and a file of it was edited since.
    Edited(String),
    /// The journal cannot be read.
    Journal(PathBuf),
    /// A change cannot be taken back.
    Kept(CannotTakeBack),
}

/// How a change that waits is settled.
pub(super) const SETTLE: &str = "kitwright undo --cut-short shows it, and says how it is settled";

impl fmt::Display for Trouble {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Trouble::Refused(name, refused) => write!(f, "{name}: {refused}"),
            Trouble::Unreadable(fault) => {
                write!(f, "nothing was written, as it could not be read again: {fault}")
            }
            Trouble::Disk(path, error) => {
                write!(f, "{} cannot be written: {error}", path.display())
            }
            Trouble::Held(who) => write!(
                f,
                "another run is writing these tables ({who}); nothing was written: try again when it has ended"
            ),
            Trouble::RowChanged { name, line, was, now } => {
                write!(
                    f,
                    "{name} changed after it was read, so nothing was written\n  line {line} said:  {was}\n  it says now:   {}\nLook at it, and do it again",
                    now.as_deref().unwrap_or("(the row is gone)")
                )
            }
            Trouble::Otherwise(what) => {
                write!(f, "{what}, so nothing was written; look at it, and do it again")
            }
            Trouble::NotHere(name, why) => write!(
                f,
                "{name} is not written to: {why}; move the table itself into the catalog folder"
            ),
            Trouble::Begun { what, written, stopped } => {
                let written = match written.as_slice() {
                    [] => "no file of it is written yet".to_owned(),
                    names => format!("written so far: {}", names.join(", ")),
                };
                write!(
                    f,
                    "{stopped}\nThe change ({what}) is begun and counts as made; {written}. The next command finishes it: do not do it again"
                )
            }
            Trouble::FinishedAnother(what) => write!(
                f,
                "an earlier run was cut short; what it was writing ({what}) is now written. Nothing else was done: look at it, and do this again if it is still wanted"
            ),
            Trouble::Unsettled(why) => {
                write!(f, "nothing was written, as a change waits here: {why}; {SETTLE}")
            }
            Trouble::Edited(name) => write!(
                f,
                "a change to the tables was cut short, and {name} has been edited since, so it was not finished; what it would have written stands in {JOURNAL} in the catalog folder: put {name} right by hand; {SETTLE}"
            ),
            Trouble::Kept(why) => why.fmt(f),
            Trouble::Journal(path) => {
                write!(
                    f,
                    "{} cannot be read; it holds a change that was cut short: {SETTLE}",
                    path.display()
                )
            }
        }
    }
}

impl std::error::Error for Trouble {}
