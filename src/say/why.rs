//! Why something is in a kit: every way from it back to what was asked.

use super::{amount, described};
use crate::catalog::Lookup;
use crate::kit::{Action, Cause, Kit, Origin, Reason};
use crate::measure::{Key, PartNumber};
use std::collections::HashMap;

/// Something of a kit that a number or a position names, with the reasons for it.
#[derive(Debug, Clone)]
pub struct Told {
    /// What it is, in words.
    pub what: String,
    because: Vec<Reason>,
    /// It is a line, and no position.
    of_line: bool,
}

/// Finds what a kit holds under a number or a position, in any spelling: its lines, and the positions that it goes to,
/// stays at or comes out of.
pub fn told(kit: &Kit, number: &PartNumber, position: &Key, lookup: &dyn Lookup) -> Vec<Told> {
    let is = |text: &String| PartNumber::new(text).as_ref() == Some(number);
    let mut found: Vec<Told> = Vec::new();
    for line in kit.lines.iter().filter(|line| is(&line.part) || line.replaces.iter().any(is)) {
        let what = format!("{}, {}: {}", line.part, amount(line), described(line));
        let what = what.trim_end_matches([':', ' ']).to_owned();
        found.push(Told { what, because: line.because.clone(), of_line: true });
    }
    for planned in &kit.positions {
        let on_line = kit.lines.iter().any(|line| line.positions.contains(&planned.position));
        let goes = planned.parts.iter().any(|part| part.chain.iter().any(is)) && !on_line;
        let current = planned
            .current
            .as_ref()
            .is_some_and(|current| current.split(';').any(|part| is(&part.to_owned())));
        let stays = planned.action != Action::Renew
            && (current || planned.if_worn.iter().any(|part| is(&part.part)));
        let out = planned.action == Action::Renew
            && current
            && !goes
            && !on_line_as(kit, &planned.position, number);
        let number = lookup.spell_part(number);
        let at = &planned.position;
        let what = if out {
            format!("{number} at {at}: comes out")
        } else if Key::new(at) == *position {
            format!("{at}: {}", planned.action)
        } else if goes {
            format!("{number} at {at}: covered")
        } else if stays {
            format!("{number} at {at}: {}", planned.action)
        } else {
            continue;
        };
        found.push(Told { what, because: planned.because.clone(), of_line: false });
    }
    found
}

/// The ways from the things of a kit back to what was asked.
#[derive(Debug)]
pub struct Ways<'a> {
    kit: &'a Kit,
    distances: HashMap<Cause, usize>,
}

impl<'a> Ways<'a> {
    /// Looks how far everything in the plan is from what was asked.
    pub fn of(kit: &'a Kit) -> Self {
        Ways { kit, distances: distances(kit) }
    }

    /// Every way back from a thing, each from its nearest reason to what was asked.
    pub fn back(&self, told: &'a Told) -> Vec<Vec<&'a Reason>> {
        ways_back(self.kit, &told.because, told.of_line, &self.distances)
    }
}

/// A line for the position is for this number, or for what it became.
fn on_line_as(kit: &Kit, position: &str, number: &PartNumber) -> bool {
    let is = |text: &String| PartNumber::new(text).as_ref() == Some(number);
    kit.lines.iter().any(|line| {
        line.positions.iter().any(|p| p == position)
            && (is(&line.part) || line.replaces.iter().any(is))
    })
}

fn because<'a>(kit: &'a Kit, cause: &Cause) -> &'a [Reason] {
    match cause {
        Cause::Position(key) => kit
            .positions
            .iter()
            .find(|planned| Key::new(&planned.position) == *key)
            .map_or(&[], |planned| &planned.because),
        Cause::Operation(key) => kit
            .operations
            .iter()
            .find(|planned| Key::new(&planned.operation) == *key)
            .map_or(&[], |planned| &planned.because),
    }
}

/// How many steps lie between something in the plan and what was asked; the shortest way counts.
fn distances(kit: &Kit) -> HashMap<Cause, usize> {
    let positions =
        kit.positions.iter().map(|p| (Cause::Position(Key::new(&p.position)), &p.because));
    let operations =
        kit.operations.iter().map(|o| (Cause::Operation(Key::new(&o.operation)), &o.because));
    let all: Vec<(Cause, &Vec<Reason>)> = positions.chain(operations).collect();
    let mut distances = HashMap::new();
    for step in 0.. {
        let reached = |reason: &Reason| match &reason.from {
            Origin::Ask => step == 0,
            Origin::Rule => false,
            Origin::Plan(cause) => distances.contains_key(cause),
        };
        let new: Vec<Cause> = all
            .iter()
            .filter(|(cause, because)| {
                !distances.contains_key(cause) && because.iter().any(reached)
            })
            .map(|(cause, _)| cause.clone())
            .collect();
        if new.is_empty() {
            break;
        }
        distances.extend(new.into_iter().map(|cause| (cause, step)));
    }
    distances
}

/// Every way from a list of reasons back to what was asked. Where a line is for a position, each of that position's
/// own reasons, its rule too, begins a way of its own.
fn ways_back<'a>(
    kit: &'a Kit,
    list: &'a [Reason],
    of_line: bool,
    distances: &HashMap<Cause, usize>,
) -> Vec<Vec<&'a Reason>> {
    let mut ways = Vec::new();
    for reason in list {
        let own = match &reason.from {
            Origin::Plan(cause @ Cause::Position(_)) if of_line => because(kit, cause),
            _ => &[],
        };
        if own.is_empty() {
            ways.push(way_back(kit, reason, distances));
        }
        for under in own {
            ways.push([reason].into_iter().chain(way_back(kit, under, distances)).collect());
        }
    }
    ways
}

/// The reasons from one to what was asked, by the shortest way.
fn way_back<'a>(
    kit: &'a Kit,
    reason: &'a Reason,
    distances: &HashMap<Cause, usize>,
) -> Vec<&'a Reason> {
    let mut way = vec![reason];
    let mut at = reason;
    let distance = |reason: &Reason| match &reason.from {
        Origin::Ask => Some(0),
        Origin::Rule => None,
        Origin::Plan(cause) => distances.get(cause).map(|distance| distance + 1),
    };
    while let Origin::Plan(cause) = &at.from {
        let next = because(kit, cause)
            .iter()
            .filter(|reason| distance(reason).is_some())
            .min_by_key(|r| distance(r));
        // Each step is nearer to the ask than the one before, so the way ends.
        let Some(next) = next.filter(|next| distance(next) < distance(at)) else { break };
        way.push(next);
        at = next;
    }
    way
}
