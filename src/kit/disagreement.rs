//! Rows that surely or perhaps apply to one machine, and say different things.

use super::action::judge_rows;
use super::gap::{GapKind, Subject, Why};
use super::outcome::Outcome;
use super::rounds::Rounds;
use crate::catalog::{Applies, Operation, PlaceQuantity, Position, Scoped};
use crate::measure::{PartNumber, Quantity};
use std::collections::HashSet;

/// Says where rows that apply, or may apply, differ from the one that was used.
pub(crate) fn judge(rounds: &mut Rounds, outcomes: &[Outcome]) {
    for outcome in outcomes {
        judge_position(rounds, outcome);
    }
    for operation in rounds.operations_in_plan() {
        let step = rounds.bench.step(&operation);
        let subject = Subject::Operation(operation.clone());
        let Some(used) = step.row().map(|row| row.at) else { continue };
        let machine = || Box::new((*step.machine).clone());
        if step.applies == Applies::Unsure {
            let rows = step.speaking.clone();
            let why = Why::OperationRowsUnsure { used: None, rows, machine: machine() };
            rounds.gaps.raise(GapKind::NotSettled, subject, why);
            continue;
        }
        let differs = |row: &&Operation| operations_differ(&step.speaking[0], row);
        if let Some(other) = step.speaking.iter().find(differs).map(|row| row.at) {
            let why = Why::OperationRowsDiffer { used, other };
            rounds.gaps.raise(GapKind::Overlap, subject.clone(), why);
        }
        let rows: Vec<Operation> = step
            .rows
            .iter()
            .filter(|row| row.scope().applies(&step.machine) == Applies::Unsure)
            .filter(differs)
            .cloned()
            .collect();
        if !rows.is_empty() {
            let why = Why::OperationRowsUnsure { used: Some(used), rows, machine: machine() };
            rounds.gaps.raise(GapKind::NotSettled, subject, why);
        }
    }
    for part in parts_of(outcomes) {
        judge_rows(rounds.bench, &part, &mut rounds.gaps);
    }
}

/// The numbers on the chains that were followed, and those whose rows said what happens to what sits there.
fn parts_of(outcomes: &[Outcome]) -> Vec<PartNumber> {
    let mut seen = HashSet::new();
    let mut parts = Vec::new();
    for outcome in outcomes {
        let chains = outcome.parts.iter().flat_map(|planned| &planned.end.chain);
        for part in chains.map(|link| &link.part).chain(&outcome.judged_by) {
            if seen.insert(part.clone()) {
                parts.push(part.clone());
            }
        }
    }
    parts
}

fn judge_position(rounds: &mut Rounds, outcome: &Outcome) {
    let place = &outcome.place;
    let Some(used) = place.speaking.first() else { return };
    let position = &place.position;
    let machine = || Box::new((*place.machine).clone());
    if place.applies == Applies::Unsure {
        let rows = place.speaking.clone();
        let why = Why::PositionRowsUnsure { used: None, rows, machine: machine() };
        rounds.gaps.position(GapKind::NotSettled, position, why);
        return;
    }
    let current = &place.current;
    let by_log = current.logged;
    let log_counts =
        by_log && !current.parts.is_empty() && current.parts.iter().all(|s| s.quantity.is_some());
    let target_counts = rounds.target(position).is_some_and(|target| target.quantity.is_some());
    let differs = |row: &&Position| {
        !same_items(&used.joint, &row.joint)
            || used.reached_by != row.reached_by
            || used.carried_by != row.carried_by
            || used.when_disturbed != row.when_disturbed
            || !by_log && used.part != row.part
            || !(log_counts || target_counts) && quantity_of(used) != quantity_of(row)
    };
    if let Some(other) = place.speaking.iter().find(differs) {
        let (used, other) = (Box::new(used.clone()), Box::new(other.clone()));
        let why = Why::PositionRowsDiffer { used, other };
        rounds.gaps.position(GapKind::Overlap, position, why);
    }
    let rows: Vec<Position> = place
        .rows
        .iter()
        .filter(|row| row.scope.applies(&place.machine) == Applies::Unsure)
        .filter(differs)
        .cloned()
        .collect();
    if !rows.is_empty() {
        let used = Some(Box::new(used.clone()));
        let why = Why::PositionRowsUnsure { used, rows, machine: machine() };
        rounds.gaps.position(GapKind::NotSettled, position, why);
    }
}

fn quantity_of(row: &Position) -> PlaceQuantity {
    row.quantity.unwrap_or(PlaceQuantity::Amount(Quantity::ONE))
}

fn operations_differ(a: &Operation, b: &Operation) -> bool {
    !same_items(&a.needs, &b.needs)
        || !same_items(&a.opens, &b.opens)
        || !same_items(&a.removes, &b.removes)
        || !same_items(&a.uses, &b.uses)
        || a.phase != b.phase
}

/// The same items, in whatever order.
fn same_items<T: PartialEq>(a: &[T], b: &[T]) -> bool {
    let times = |list: &[T], item: &T| list.iter().filter(|other| *other == item).count();
    a.len() == b.len() && a.iter().all(|item| times(a, item) == times(b, item))
}
