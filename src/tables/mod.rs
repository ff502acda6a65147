//! The owner's CSV tables: the record from which everything else is worked out.
//!
//! This room reads them with located faults, rewrites them without touching what is not meant, and checks them.
//! It decides nothing about kits.

mod fault;
mod folder;
mod read;
mod rewrite;
mod shipped;
mod split;

pub use fault::Fault;
pub use folder::{Folder, TableFile, find};
pub use read::{LONGEST_CELL, Tables, read_folder};
pub use rewrite::{Edit, Refused, rewrite, save};
pub use shipped::rows as shipped_rows;
mod check {
    use super::{Fault, Tables};
    pub enum Severity {
        Error,
        Warning,
    }
    pub struct Code {
        pub name: &'static str,
        pub severity: Severity,
        pub meaning: &'static str,
        pub mend: &'static str,
    }
    pub const CODES: &[Code] = &[];
    pub struct Report {
        pub errors: Vec<Fault>,
        pub warnings: Vec<Fault>,
    }
    pub fn check(t: &Tables) -> Report {
        Report { errors: t.faults.clone(), warnings: t.notices.clone() }
    }
    pub fn explain(_: &str) -> Option<&'static Code> {
        None
    }
}
pub use check::{CODES, Code, Report, Severity, check, explain};
