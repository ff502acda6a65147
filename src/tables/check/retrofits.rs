//! Retrofit rows whose verdict and needs do not go together.

use super::code::Code;
use super::findings::Findings;
use crate::catalog::{Rows, Verdict};
use std::collections::HashSet;

pub(super) const NO_WITH_NEEDS: Code = Code::warning(
    "no-with-needs",
    "A retrofit says that the part does not fit and yet names what must change with it. Where it does not fit, nothing is called for.",
    "If it fits with those changes, type fits-with; otherwise take them out.",
);
pub(super) const FITS_WITH_NOTHING: Code = Code::warning(
    "fits-with-nothing",
    "A retrofit says that the part fits with something and names neither needs nor operations.",
    "Name what it needs, or type fits if it goes straight in.",
);

pub(super) const CONFIRMS_NOTHING: Code = Code::warning(
    "confirms-nothing",
    "The work log confirms a part for which no row of retrofits says look-first there, so the row confirms nothing.",
    "Spell the part, and the position, as the look-first row does.",
);

pub(super) const CODES: &[Code] = &[NO_WITH_NEEDS, FITS_WITH_NOTHING, CONFIRMS_NOTHING];

/// Finds verdicts that say one thing and needs that say another.
pub(super) fn find(rows: &Rows, findings: &mut Findings) {
    confirmed(rows, findings);
    for row in &rows.retrofits {
        let bare = row.needs.is_empty() && row.operations.is_empty();
        match row.verdict {
            Verdict::No if !bare => {
                let column = if row.needs.is_empty() { "operations" } else { "needs" };
                let message = format!(
                    "`{}` does not fit `{}`, so nothing here is called for; take it out, or type fits-with as the verdict",
                    row.part, row.position
                );
                findings.add(NO_WITH_NEEDS, row.at, column, message);
            }
            Verdict::FitsWith if bare => {
                let message = format!(
                    "`fits-with`, but nothing is named that `{}` needs; name it under needs or operations, or type fits",
                    row.part
                );
                findings.add(FITS_WITH_NOTHING, row.at, "verdict", message);
            }
            _ => {}
        }
    }
}

fn confirmed(rows: &Rows, findings: &mut Findings) {
    let looked = rows.retrofits.iter().filter(|row| row.verdict == Verdict::LookFirst);
    let looked: HashSet<_> = looked.map(|row| (&row.part, Some(&row.position))).collect();
    for row in &rows.worklog {
        let Some(part) = &row.confirms else { continue };
        if !looked.contains(&(part, row.position.as_ref())) {
            let message = format!(
                "no row of retrofits says look-first of `{part}` at this position, so this confirms nothing; spell both as that row does"
            );
            findings.add(CONFIRMS_NOTHING, row.at, "confirms", message);
        }
    }
}
