//! Seals and single-use parts that no row needs: mostly their position was forgotten.

use super::code::Code;
use super::findings::Findings;
use super::grouped::Grouped;
use crate::catalog::{PartType, WhenDisturbed};
use crate::measure::PartNumber;
use std::collections::HashSet;

pub(super) const UNPLACED: Code = Code::warning(
    "seal-without-position",
    "A part that seals or is used once is listed, but no position, set, job or operation names it, and it is no other number for one that they name. So no kit would ever ask for it.",
    "Add the position that it belongs to, with its joint. A part that only lies on the shelf may stay as it is.",
);

pub(super) const CODES: &[Code] = &[UNPLACED];

/// Finds what is used up somewhere, and nobody says where.
pub(super) fn find(catalog: &Grouped, findings: &mut Findings) {
    let tables = [
        "parts",
        "types",
        "positions",
        "contains",
        "operations",
        "job_lines",
        "supersessions",
        "retrofits",
        "equivalents",
        "stock",
        "worklog",
    ];
    if !catalog.whole(&tables) {
        return;
    }
    let rows = catalog.rows;
    let mut named: HashSet<&PartNumber> = HashSet::new();
    named.extend(rows.positions.iter().filter_map(|row| row.part.part()));
    named.extend(rows.contains.iter().flat_map(|row| [&row.part, &row.contained]));
    named.extend(rows.operations.iter().flat_map(|row| &row.uses).map(|used| &used.part));
    named.extend(rows.job_lines.iter().filter_map(|row| row.part.part()));
    named.extend(rows.supersessions.iter().flat_map(|row| [&row.old, &row.new]));
    named.extend(rows.retrofits.iter().map(|row| &row.part));
    named.extend(catalog.needs().filter_map(|(_, need, _)| need.part()));
    named.extend(rows.equivalents.iter().flat_map(|row| [&row.part, &row.other]));
    named.extend(rows.worklog.iter().filter_map(|row| row.part.part()));
    // A box of assorted rings is stock for whatever turns up.
    named.extend(rows.stock.iter().map(|row| &row.part));
    let mut told: HashSet<&PartNumber> = HashSet::new();
    for row in rows.parts.iter().filter(|row| !named.contains(&row.part)) {
        let Some(listed) = catalog.listed(&row.part) else { continue };
        let is_type = |says: fn(&PartType) -> bool| listed.part_type.is_some_and(says);
        let seals = is_type(|part_type| part_type.seals.is_some_and(crate::catalog::Seals::closes));
        // A fluid has no size, and is bought when it is wanted.
        let is_piece = listed.row.single_use == Some(true)
            || is_type(|part_type| !part_type.size_form.is_empty());
        let used_up = is_piece && listed.rule() == Some(WhenDisturbed::Renew);
        if (seals || used_up) && told.insert(&row.part) {
            let why = if seals { "seals" } else { "is used once" };
            let message = format!(
                "`{}` {why}, but no position, set, job or operation needs it: is its position missing?",
                row.part
            );
            findings.add(UNPLACED, row.at, "part", message);
        }
    }
}
