//! A kit that has been worked out and checked, for the commands that build on one.

use super::Answer;
use super::args::{Catalog, Wanted};
use super::catalog_folder::with_catalog;
use crate::catalog::Lookup;
use crate::kit::{Ask, Kit, NoKit, checked};

/// A kit with the catalog that it comes from.
pub(crate) struct WorkedOut<'c> {
    pub lookup: &'c dyn Lookup,
    pub ask: Ask,
    pub kit: Kit,
    /// What to say on standard error.
    pub notes: String,
}

/// Works a kit out and goes on from it, or says why there is none. As with [`with_catalog`], the work may be done twice.
pub(crate) fn with_kit(
    catalog: &Catalog,
    wanted: &Wanted,
    work: impl Fn(WorkedOut) -> anyhow::Result<Answer>,
) -> anyhow::Result<Answer> {
    with_catalog(catalog, |lookup, mut notes| {
        let (ask, kit) = match asked(wanted, lookup) {
            Ok(worked_out) => worked_out,
            Err(why) => return Ok(Answer::refused(format!("{notes}error: {why}\n"))),
        };
        for option in &kit.unknown_options {
            notes.push_str(&format!(
                "note: no line of these jobs asks about the option '{option}'\n"
            ));
        }
        work(WorkedOut { lookup, ask, kit, notes })
    })
}

/// The ask, and the kit that its audit agrees with.
pub(crate) fn asked(wanted: &Wanted, lookup: &dyn Lookup) -> Result<(Ask, Kit), NoKit> {
    let ask = wanted.ask(lookup)?;
    let kit = checked(&ask, lookup)?;
    Ok((ask, kit))
}
