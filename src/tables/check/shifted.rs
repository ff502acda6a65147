//! Cells that look as if they stood in the wrong column, because a delimiter of their row is missing or one too many.
//!
//! Most columns refuse what belongs elsewhere, or name another table. A trait and a joint are whatever the owner calls
//! so: there a name that slipped in from beside it would say, without a word, that the row is for no machine, or that
//! its position is in no joint that is ever opened.

use super::code::Code;
use super::findings::Findings;
use super::grouped::Grouped;
use super::names::is_slip;
use crate::catalog::{At, Thing};
use crate::measure::{Key, PartNumber};
use std::collections::{HashMap, HashSet};

pub(super) const WRONG_COLUMN: Code = Code::warning(
    "cell-in-wrong-column",
    "A scope asks for a trait that no machine has and that is the name of something else, or a position names a joint that nothing opens and that is an operation or a trait. So the row is for no machine, or its position in no joint that is opened.",
    "Look whether the row lacks a delimiter in front of the cell, or has one too many. If the name is meant, give the trait to a machine, or open the joint in operations.csv.",
);
pub(super) const SHORT_ROW: Code = Code::warning(
    "row-too-short",
    "A row has fewer cells than the header line and ends in a trait that nothing else knows, so that a delimiter may be missing in front of it.",
    "Count the delimiters of the row. If the trait is meant, end the row with the delimiters that its header has.",
);

pub(super) const CODES: &[Code] = &[WRONG_COLUMN, SHORT_ROW];

/// Finds traits and joints that are the names of something else, and short rows that end in a trait of nobody.
pub(super) fn find(catalog: &Grouped, findings: &mut Findings) {
    if !catalog.whole(&["machines", "positions", "operations", "joints", "parts", "models"]) {
        return;
    }
    let carried: HashSet<&Key> =
        catalog.rows.machines.iter().flat_map(|machine| &machine.traits).collect();
    let mut asked: HashMap<&Key, usize> = HashMap::new();
    for (_, scope) in catalog.scopes() {
        for condition in &scope.only {
            *asked.entry(&condition.name).or_default() += 1;
        }
    }
    let mut told: HashSet<At> = HashSet::new();
    for (at, scope) in catalog.scopes() {
        let strange = scope
            .only
            .iter()
            .filter(|condition| condition.holds && !carried.contains(&condition.name));
        for name in strange.map(|condition| &condition.name) {
            if let Some(other) = elsewhere(catalog, name) {
                told.insert(at);
                let message = format!(
                    "no machine has the trait `{name}`, so the row is for none, but {other} is called so: is this cell in the wrong column?{}",
                    findings.how_short(at)
                );
                findings.add(WRONG_COLUMN, at, "only", message);
            } else if findings.ends_early_in(at, "only")
                && asked.get(name) == Some(&1)
                && !carried.iter().any(|known| is_slip(known.folded(), name.folded()))
            {
                let message = format!(
                    "no machine has the trait `{name}` and no other row asks for it, so the row is for none{}",
                    findings.how_short(at)
                );
                findings.add(SHORT_ROW, at, "only", message);
            }
        }
    }
    for row in catalog.rows.positions.iter().filter(|row| !told.contains(&row.at)) {
        let unopened = row.joint.iter().filter(|joint| {
            !catalog.opened.contains(joint) && !catalog.joint_rows.contains_key(joint)
        });
        for joint in unopened {
            let other = if catalog.names(Thing::Operation).hold(joint) {
                "an operation"
            } else if carried.contains(joint) {
                "a trait"
            } else {
                continue;
            };
            let message = format!(
                "no operation opens the joint `{joint}`, but {other} is called so: is this cell in the wrong column?{}",
                findings.how_short(row.at)
            );
            findings.add(WRONG_COLUMN, row.at, "joint", message);
        }
    }
}

/// Says what else has this name; `None` where nothing has.
fn elsewhere(catalog: &Grouped, name: &Key) -> Option<&'static str> {
    let is_part =
        || PartNumber::new(name.as_str()).is_some_and(|number| catalog.listed(&number).is_some());
    if catalog.names(Thing::Joint).hold(name) {
        Some("a joint")
    } else if catalog.names(Thing::Position).hold(name) {
        Some("a position")
    } else if catalog.names(Thing::Operation).hold(name) {
        Some("an operation")
    } else if catalog.names(Thing::Model).hold(name) {
        Some("a model")
    } else {
        is_part().then_some("a part")
    }
}
