//! Numbers sold only as a set that are typed as if each position took one of its own.

use super::code::Code;
use super::findings::Findings;
use super::grouped::{Grouped, Listed};
use super::reach::can_hold_together;
use crate::catalog::{PlaceQuantity, Position};
use crate::measure::{Key, PartNumber};
use std::collections::{HashMap, HashSet};

pub(super) const SET: Code = Code::warning(
    "set-counted-each",
    "The number of a set sits at several positions that a machine has at once, and not all of them say quantity = set, so a kit would order the set several times.",
    "Type set as the quantity at every position that the one set serves. If each position takes a whole one, name a different assembly for each, such as Left brake and Right brake.",
);

pub(super) const CODES: &[Code] = &[SET];

/// The shipped types of what is sold together under one number.
const SET_TYPES: [&str; 3] = ["set", "gasket set", "repair kit"];

/// Finds sets that would be counted at each of their positions.
///
/// A number is taken for a set if its type is one, or if it is of a type that seals and contains other parts (one
/// gasket contains nothing), or if another position of the same assembly already says `set` for it. An assembly
/// that contains parts, such as a caliper, may well sit at two positions.
pub(super) fn find(catalog: &Grouped, findings: &mut Findings) {
    let containers: HashSet<&PartNumber> =
        catalog.rows.contains.iter().map(|row| &row.part).collect();
    let set_types: Vec<Key> = SET_TYPES.iter().map(|name| Key::new(name)).collect();
    let is_set = |listed: Listed| {
        listed.part_type.is_some_and(|row| {
            set_types.contains(&row.part_type)
                || (row.seals == Some(crate::catalog::Seals::Yes)
                    && containers.contains(&listed.row.part))
        })
    };
    let called_set: HashSet<&PartNumber> = catalog
        .positions()
        .filter(|(row, _)| row.quantity == Some(PlaceQuantity::Set))
        .filter_map(|(row, _)| row.part.part())
        .collect();
    let mut uses: HashMap<(&PartNumber, String), Vec<&Position>> = HashMap::new();
    for (row, listed) in catalog.positions() {
        let Some(part) = row.part.part() else { continue };
        let taken_for_set =
            listed.is_some_and(is_set) || (!called_set.is_empty() && called_set.contains(part));
        if taken_for_set && findings.was_read(row.at) {
            uses.entry((part, row.assembly.to_lowercase())).or_default().push(row);
        }
    }
    // A number that is called a set in one assembly may be sold and used singly in another.
    let set_here = |rows: &&Vec<&Position>| {
        rows.iter().any(|row| {
            row.quantity == Some(PlaceQuantity::Set)
                || row.part.part().and_then(|part| catalog.listed(part)).is_some_and(is_set)
        })
    };
    for rows in uses.values().filter(set_here) {
        // One finding for each number and assembly is enough: the rows are mended together.
        let lone =
            rows.iter().enumerate().filter(|(_, row)| row.quantity != Some(PlaceQuantity::Set));
        let clash = lone.rev().take(MOST_COMPARED).find_map(|(index, row)| {
            let others = rows.iter().take(MOST_COMPARED).enumerate();
            let mut beside = others.filter(|(other, _)| *other != index).map(|(_, other)| other);
            let other = beside.find(|other| {
                other.position != row.position
                    && can_hold_together(&row.scope, &other.scope, &catalog.fleet)
            })?;
            Some((row, other))
        });
        if let Some((row, other)) = clash {
            let message = format!(
                "`{}` is a set and sits at `{}` ({}) too, so it would be ordered for each of them; type set as the quantity at every position that one set serves",
                row.part,
                other.position,
                findings.place(other.at)
            );
            findings.add(SET, row.at, "quantity", message);
        }
    }
}

/// So many positions of one set are compared with each other; no set serves nearly as many.
const MOST_COMPARED: usize = 64;
