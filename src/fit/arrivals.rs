//! What arrives at a position inside a part that goes elsewhere on the machine, already fitted.

use super::with_earlier;
use crate::catalog::At;
use crate::kit::{Bench, ask_retrofits, is_placed};
use crate::measure::{Key, PartNumber};
use std::collections::HashSet;

/// A part that brings another along, fitted where it belongs.
pub(super) struct Arrival {
    /// The part that directly contains it.
    pub by: PartNumber,
    /// Where that part, or what it lies in, goes on the machine.
    pub goes_to: Key,
    /// That part sits there now, so what it brought is there.
    pub sits_there: bool,
    /// The row that says what it contains.
    pub at: At,
}

/// Finds what brings a part to a position of this machine. A container that goes nowhere on it brings nothing.
pub(super) fn inside_of(bench: &Bench, part: &PartNumber, position: &Key) -> Vec<Arrival> {
    let rows = bench.lookup.containers_of(part);
    let here = rows.iter().filter(|row| row.position.as_ref() == Some(position));
    let arrivals = here.filter_map(|row| {
        let (goes_to, sits_there) = where_it_goes(bench, &row.part)?;
        Some(Arrival { by: row.part.clone(), goes_to, sits_there, at: row.at })
    });
    arrivals.collect()
}

/// Says where a part, or the first of those that contain it, goes on the machine, and whether it sits there.
fn where_it_goes(bench: &Bench, part: &PartNumber) -> Option<(Key, bool)> {
    let lookup = bench.lookup;
    let mut waiting = vec![part.clone()];
    let mut seen: HashSet<PartNumber> = waiting.iter().cloned().collect();
    let mut next = 0;
    while let Some(container) = waiting.get(next).cloned() {
        next += 1;
        let mut positions: Vec<Key> = Vec::new();
        for entry in lookup.log_of(&bench.machine.machine).iter() {
            if entry.part.part().is_some_and(|logged| *logged == container) {
                positions.extend(entry.position.clone());
            }
        }
        for number in with_earlier(&[&container], lookup) {
            positions.extend(lookup.positions_with_part(&number).iter().cloned());
            positions.extend(lookup.retrofits_of(&number).iter().map(|row| row.position.clone()));
        }
        let sits = |position: &&Key| {
            let current = &bench.place(position).current;
            current.sure
                && current.parts.iter().any(|sitting| sitting.part.as_ref() == Some(&container))
        };
        if let Some(position) = positions.iter().find(sits) {
            return Some((position.clone(), true));
        }
        let goes = |position: &&Key| {
            let word = ask_retrofits(bench, &container, position);
            word.refusal().is_none()
                && (word.says_yes() || is_placed(bench, &container, &bench.place(position)))
        };
        if let Some(position) = positions.iter().find(goes) {
            return Some((position.clone(), false));
        }
        for row in lookup.containers_of(&container).iter() {
            if seen.insert(row.part.clone()) {
                waiting.push(row.part.clone());
            }
        }
    }
    None
}
