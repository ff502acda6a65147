//! Traits in a scope that look like a mistyped trait of a machine.

use super::code::Code;
use super::findings::Findings;
use super::grouped::Grouped;
use super::names::is_slip;
use crate::measure::Key;
use std::collections::{HashMap, HashSet};

pub(super) const NEAR_MISS: Code = Code::warning(
    "trait-near-miss",
    "A scope asks for a trait that no machine has and that is spelt almost like one that a machine has, so the row would be missed.",
    "Spell the trait as machines.csv does.",
);

pub(super) const CODES: &[Code] = &[NEAR_MISS];

/// Finds traits that are almost those of a machine.
pub(super) fn find(catalog: &Grouped, findings: &mut Findings) {
    if !catalog.whole(&["machines"]) {
        return;
    }
    let mut carried: Vec<&Key> = Vec::new();
    let mut seen: HashSet<&Key> = HashSet::new();
    for machine in &catalog.rows.machines {
        carried.extend(machine.traits.iter().filter(|name| seen.insert(name)));
    }
    let mut meant: HashMap<&Key, Option<&Key>> = HashMap::new();
    for (at, scope) in catalog.scopes() {
        for condition in scope.only.iter().filter(|condition| !seen.contains(&condition.name)) {
            let near = meant.entry(&condition.name).or_insert_with(|| {
                carried.iter().find(|name| is_slip(name.folded(), condition.name.folded())).copied()
            });
            if let Some(near) = near {
                let message = format!(
                    "no machine has the trait `{}`; if `{near}` is meant, spell it so",
                    condition.name
                );
                findings.add(NEAR_MISS, at, "only", message);
            }
        }
    }
}
