//! Opens a catalog for a front end, and writes to it: plain values in, plain values and notes out.
//!
//! This room knows no terminal and no browser. It prints nothing, reads no arguments and no environment; what a front end
//! types becomes [`Wanted`] or [`open::Source`], and what a person should hear comes back as [`Note`]s.

pub mod adding;
pub mod open;
mod today;
mod wanted;

pub use today::day;
pub use wanted::{Wanted, machine_of};

use crate::tables::{Fault, Trouble};
use std::fmt;
use std::io;
use std::path::PathBuf;

/// What a person should hear beside an answer.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Note {
    /// Something about the tables or the index.
    Note(String),
    /// What to type in next.
    Next(String),
}

impl fmt::Display for Note {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Note::Note(text) => write!(f, "note: {text}"),
            Note::Next(text) => write!(f, "next: {text}"),
        }
    }
}

/// Why a catalog was not opened, or not written to.
#[derive(Debug)]
pub enum Refused {
    /// There is no catalog in this folder or above it.
    NoCatalog(PathBuf),
    /// The folder holds no table.
    NoTables(PathBuf),
    /// The folder cannot be read.
    Unreadable(PathBuf, io::Error),
    /// The tables have faults.
    Faulty(Vec<Fault>),
    /// A change was not made, or not finished.
    Change(Trouble),
    /// The clock shows a day that no calendar has.
    BeyondCalendar,
}

impl From<Trouble> for Refused {
    fn from(trouble: Trouble) -> Self {
        Refused::Change(trouble)
    }
}

impl fmt::Display for Refused {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Refused::NoCatalog(here) => write!(
                f,
                "no catalog here: neither {} nor a folder above it holds a machines.csv or parts.csv; name one with --catalog DIR",
                here.display()
            ),
            Refused::NoTables(folder) => write!(
                f,
                "there are no tables in {}; a first kit needs machines.csv, models.csv, parts.csv, positions.csv, operations.csv, jobs.csv and job_lines.csv (see: kitwright columns)",
                folder.display()
            ),
            Refused::Unreadable(folder, _) => write!(
                f,
                "the catalog folder {} cannot be read; check its name and permissions",
                folder.display()
            ),
            Refused::Faulty(faults) => {
                f.write_str("the tables have faults")?;
                faults.iter().try_for_each(|fault| write!(f, "\n{fault}"))
            }
            Refused::Change(trouble) => trouble.fmt(f),
            Refused::BeyondCalendar => {
                f.write_str("the clock shows a day beyond the calendar; name the day with --date")
            }
        }
    }
}

impl std::error::Error for Refused {
    fn source(&self) -> Option<&(dyn std::error::Error + 'static)> {
        match self {
            Refused::Unreadable(_, error) => Some(error),
            _ => None,
        }
    }
}
