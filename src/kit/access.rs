//! The order in which a machine comes apart.

use super::bench::Bench;
use super::gap::{GapKind, Gaps, Subject, Why};
use crate::catalog::{At, Phase};
use crate::measure::Key;
use std::collections::{BTreeMap, HashMap, HashSet};

/// Puts operations into strip order: repeatedly the earliest in table order of those whose needs are all placed. What
/// is done once the machine is together again, and what needs that, comes last; gives how many those are, too.
///
/// Where operations wait for each other in a circle, the earliest of those that need themselves is placed, with a gap.
pub(crate) fn strip_order(bench: &Bench, operations: &[Key], gaps: &mut Gaps) -> (Vec<Key>, usize) {
    let first_at =
        |operation: &Key| bench.step(operation).rows.first().map_or(At::default(), |row| row.at);
    let mut waiting: BTreeMap<At, Key> =
        operations.iter().map(|key| (first_at(key), key.clone())).collect();
    let in_plan: HashSet<&Key> = operations.iter().collect();
    let needs: HashMap<Key, Vec<Key>> = operations
        .iter()
        .map(|key| {
            let step = bench.step(key);
            let needs = step.row().map_or(&[][..], |row| &row.needs);
            (key.clone(), needs.iter().filter(|need| in_plan.contains(need)).cloned().collect())
        })
        .collect();
    let no_needs = Vec::new();
    let needs_of = |key: &Key| needs.get(key).unwrap_or(&no_needs);
    let mut placed: HashSet<Key> = HashSet::new();
    let mut order = Vec::with_capacity(operations.len());
    while !waiting.is_empty() {
        let ready = waiting
            .iter()
            .find(|(_, key)| needs_of(key).iter().all(|need| placed.contains(need)))
            .or_else(|| {
                let circular = waiting.iter().find(|(_, key)| reaches_itself(key, &needs, &placed));
                if let Some((at, key)) = circular {
                    let subject = Subject::Operation(key.clone());
                    gaps.raise(GapKind::OperationCycle, subject, Why::NeedsItself { at: *at });
                }
                circular
            })
            .map(|(at, key)| (*at, key.clone()));
        // Where nothing is ready something waits for itself, so one is always found.
        let Some((at, key)) = ready else { break };
        waiting.remove(&at);
        placed.insert(key.clone());
        order.push(key);
    }
    let mut after: HashSet<Key> = order
        .iter()
        .filter(|key| bench.step(key).row().is_some_and(|row| row.phase == Some(Phase::After)))
        .cloned()
        .collect();
    loop {
        let needing = |key: &&Key| {
            !after.contains(*key) && needs_of(key).iter().any(|need| after.contains(need))
        };
        let more: Vec<Key> = order.iter().filter(needing).cloned().collect();
        if more.is_empty() {
            break;
        }
        after.extend(more);
    }
    let (last, mut first): (Vec<Key>, Vec<Key>) =
        order.into_iter().partition(|key| after.contains(key));
    let count = last.len();
    first.extend(last);
    (first, count)
}

/// The operation needs itself, directly or through others that still wait.
fn reaches_itself(start: &Key, needs: &HashMap<Key, Vec<Key>>, placed: &HashSet<Key>) -> bool {
    let mut seen = HashSet::new();
    let mut next = vec![start];
    while let Some(key) = next.pop() {
        for need in needs.get(key).into_iter().flatten().filter(|need| !placed.contains(*need)) {
            if need == start {
                return true;
            }
            if seen.insert(need) {
                next.push(need);
            }
        }
    }
    false
}
