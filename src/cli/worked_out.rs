//! A kit that has been worked out and checked, for the commands that build on one.

use super::Answer;
use super::args::{Catalog, Wanted};
use super::catalog_folder::{Opened, open};
use crate::catalog::Memory;
use crate::kit::{Ask, Kit};
use crate::work::checked::checked;

/// A kit with the catalog that it comes from.
pub(crate) struct WorkedOut {
    pub catalog: Box<Memory>,
    pub ask: Ask,
    pub kit: Kit,
    /// What to say on standard error.
    pub notes: String,
}

/// Works a kit out, or says why there is none.
pub(crate) fn worked_out(catalog: &Catalog, wanted: &Wanted) -> anyhow::Result<Result<WorkedOut, Answer>> {
    let (catalog, mut notes) = match open(catalog)? {
        Opened::Catalog(catalog, notes) => (catalog, notes),
        Opened::Faulty(faults) => return Ok(Err(Answer::refused(faults))),
    };
    let ask = match wanted.ask(&*catalog) {
        Ok(ask) => ask,
        Err(why) => return Ok(Err(Answer::refused(format!("{notes}error: {why}\n")))),
    };
    let kit = match checked(&ask, &*catalog) {
        Ok(kit) => kit,
        Err(why) => return Ok(Err(Answer::refused(format!("{notes}error: {why}\n")))),
    };
    for option in &kit.unknown_options {
        notes.push_str(&format!("note: no line of these jobs asks about the option '{option}'\n"));
    }
    Ok(Ok(WorkedOut { catalog, ask, kit, notes }))
}
