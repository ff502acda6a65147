//! Everything that can be said about the tables beyond reading them: what they name and do not hold, what stands
//! twice or contradicts itself, and what would make a kit incomplete or wrong later.
//!
//! Each file holds the checks of one theme with the codes of what they find. This room judges tables only; it
//! works out no kit. Every check goes over the rows about once, so that a catalog of a million parts can be checked.

mod amounts;
mod code;
mod cycles;
mod delimiters;
mod disagreeing_rows;
mod doubles;
mod features;
mod findings;
mod fleet;
mod grouped;
mod jobs;
mod joints;
mod listed_parts;
mod names;
mod position_rules;
mod reach;
mod references;
mod replacements;
mod retrofits;
mod selections;
mod sets;
mod shifted;
mod traits;
mod uncovered;
mod unplaced;

#[cfg(test)]
mod tests;

pub use code::{Code, Severity};

use super::fault::Fault;
use super::read::Tables;
use super::shipped;
use crate::catalog::{Rows, Scope};
use findings::Findings;
use grouped::Grouped;
use std::borrow::Cow;

/// What was found, by file, line, column and code; each finding once.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Report {
    /// What is wrong: cells that cannot be read, and tables that contradict themselves or each other.
    pub errors: Vec<Fault>,
    /// What would make a kit incomplete or wrong later.
    pub warnings: Vec<Fault>,
}

/// Checks the tables of a catalog. The faults and notices of the reader are part of the report.
pub fn check(tables: &Tables) -> Report {
    let (shipped, _) = shipped::rows();
    let mut rows = Cow::Borrowed(&tables.rows);
    if tables.half_read != Rows::default() {
        rows.to_mut().merge(tables.half_read.clone());
    }
    let rows = &*rows;
    let catalog = Grouped::new(tables, rows, &shipped);
    let mut findings = Findings::new(tables);
    references::find(&catalog, &mut findings);
    listed_parts::find(&catalog, &mut findings);
    doubles::find(&catalog, &mut findings);
    disagreeing_rows::find(&catalog, &mut findings);
    cycles::find(&catalog, &mut findings);
    amounts::find(&catalog, &mut findings);
    features::find(&catalog, &mut findings);
    jobs::find(&catalog, &mut findings);
    position_rules::find(&catalog, &mut findings);
    joints::find(&catalog, &mut findings);
    uncovered::find(&catalog, &mut findings);
    sets::find(&catalog, &mut findings);
    replacements::find(&catalog, &mut findings);
    retrofits::find(rows, &mut findings);
    selections::find(&catalog, &mut findings);
    traits::find(&catalog, &mut findings);
    delimiters::find(rows, &mut findings);
    shifted::find(&catalog, &mut findings);
    unplaced::find(&catalog, &mut findings);
    findings.finish()
}

/// Tells whether two rows with these limits can both apply to one machine, as far as these tables of models and
/// machines tell.
pub fn can_both_apply(a: &Scope, b: &Scope, rows: &Rows) -> bool {
    reach::can_hold_together(a, b, &fleet::Fleet::new(rows))
}

/// The codes of each theme, in the order in which they are explained.
const THEMES: [&[Code]; 20] = [
    code::READER,
    references::CODES,
    listed_parts::CODES,
    doubles::CODES,
    disagreeing_rows::CODES,
    cycles::CODES,
    amounts::CODES,
    features::CODES,
    jobs::CODES,
    position_rules::CODES,
    joints::CODES,
    uncovered::CODES,
    sets::CODES,
    replacements::CODES,
    retrofits::CODES,
    selections::CODES,
    traits::CODES,
    delimiters::CODES,
    shifted::CODES,
    unplaced::CODES,
];

const ALL: [Code; count()] = {
    let mut all = [THEMES[0][0]; count()];
    let (mut filled, mut theme) = (0, 0);
    while theme < THEMES.len() {
        let mut place = 0;
        while place < THEMES[theme].len() {
            all[filled] = THEMES[theme][place];
            filled += 1;
            place += 1;
        }
        theme += 1;
    }
    all
};

const fn count() -> usize {
    let (mut count, mut theme) = (0, 0);
    while theme < THEMES.len() {
        count += THEMES[theme].len();
        theme += 1;
    }
    count
}

/// Every code that a finding can carry, the reader's included.
pub const CODES: &[Code] = &ALL;

/// Finds the code of a name.
pub fn explain(name: &str) -> Option<&'static Code> {
    CODES.iter().find(|code| code.name == name)
}
