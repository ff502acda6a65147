//! Whether something seals each opened joint once the job is done: a forgotten gasket hides among its screws.

use super::action::Action;
use super::bench::{Bench, Place};
use super::gap::{GapKind, Subject, Why};
use super::outcome::Outcome;
use super::rounds::Rounds;
use super::words;
use crate::catalog::{Operation, Seals};
use crate::measure::{Key, PartNumber};
use std::collections::HashMap;

impl Rounds<'_> {
    /// Raises a gap for each opened joint in which nothing seals as the job leaves it.
    pub(super) fn judge_joints(&mut self, joints: &[Key], rows: &[Operation], all: &[Outcome]) {
        let outcomes: HashMap<&Key, &Outcome> =
            all.iter().map(|outcome| (&outcome.place.position, outcome)).collect();
        for joint in joints {
            let dry = self.bench.lookup.joint(joint).is_some_and(|row| row.dry == Some(true));
            if !dry && !self.is_sealed(joint, rows, &outcomes) {
                let holds = words::holds(self.bench, joint);
                let subject = Subject::Joint(joint.clone());
                self.gaps.raise(GapKind::JointUnsealed, subject, Why::Unsealed { holds });
            }
        }
    }

    fn is_sealed(
        &self,
        joint: &Key,
        rows: &[Operation],
        outcomes: &HashMap<&Key, &Outcome>,
    ) -> bool {
        let bench = self.bench;
        let positions = bench.lookup.positions_in_joint(joint);
        let places: Vec<_> = positions
            .iter()
            .map(|position| bench.place(position))
            .filter(|place| place.row().is_some_and(|row| row.joint.contains(joint)))
            .collect();
        let on_machine = places.iter().filter(|place| place.is_on_machine()).count();
        for place in &places {
            let others = on_machine - usize::from(place.is_on_machine());
            let by = parts_left(bench, place, outcomes.get(&place.position).copied());
            let seals = by.iter().any(|part| match bench.sealing(part) {
                Some(Seals::Yes) => true,
                Some(Seals::Own) => others == 0,
                _ => false,
            });
            if seals {
                return true;
            }
        }
        let opens = |row: &&Operation| {
            row.opens.contains(joint)
                || row.removes.iter().any(|position| {
                    let place = bench.place(position);
                    place.is_on_machine()
                        && place.row().is_some_and(|row| row.joint.contains(joint))
                })
        };
        rows.iter().filter(opens).any(|row| {
            let machine = &bench.step(&row.operation).machine;
            row.uses.iter().any(|used| {
                let resolved = bench.chains(&used.part, machine);
                let finals = resolved.finals.iter().map(|end| &end.part);
                finals.chain([&used.part]).any(|part| bench.seals(part))
            })
        })
    }
}

/// The parts that are at a position once the job is done; those that sat there where it leaves it empty.
fn parts_left(bench: &Bench, place: &Place, outcome: Option<&Outcome>) -> Vec<PartNumber> {
    if let Some(outcome) = outcome.filter(|outcome| outcome.action == Action::Renew) {
        return outcome.parts.iter().map(|planned| planned.end.part.clone()).collect();
    }
    let sitting = place.current.parts.iter().filter_map(|sitting| sitting.part.as_ref());
    let known = sitting.filter_map(|part| match bench.lookup.part(part) {
        Some(_) => Some(part.clone()),
        None => bench.chains(part, &place.machine).finals.first().map(|end| end.part.clone()),
    });
    known.collect()
}
