//! What of a job half done is left: positions that were left out when it was written down, and that nobody has seen to
//! since.

use super::answer::{PlannedPosition, Role};
use super::ask::{Ask, Instead, Refusal};
use super::plan::work_out;
use crate::catalog::{At, Change, Lookup};
use crate::kit::Action;
use crate::measure::{Key, LogDate, PartNumber, Quantity};

/// A position that was left out of a job.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct LeftOut {
    /// The position.
    pub position: Key,
    /// When the job was done without it.
    pub date: LogDate,
    /// The row of the log that says so.
    pub at: At,
}

/// Lists the positions that were left out of a job on a machine and that no row of the log names since.
pub fn left_out(machine: &Key, job: &Key, lookup: &dyn Lookup) -> Vec<LeftOut> {
    let log = lookup.log_of(machine);
    let mut left: Vec<(usize, LeftOut)> = Vec::new();
    for (place, entry) in log.iter().enumerate().filter(|(_, entry)| entry.job.as_ref() == Some(job)) {
        for position in &entry.left_out {
            left.retain(|(_, known)| known.position != *position);
            left.push((place, LeftOut { position: position.clone(), date: entry.date.clone(), at: entry.at }));
        }
    }
    left.retain(|(place, left)| {
        let names = |entry: &crate::catalog::LogEntry| entry.position.as_ref() == Some(&left.position);
        let mut rows = log.iter().enumerate();
        !rows.any(|(row, entry)| names(entry) && (&entry.date, row) > (&left.date, *place))
    });
    left.into_iter().map(|(_, left)| left).collect()
}

/// Turns an ask for jobs that are half done into one for what is left of them: no job, but the positions that were left
/// out, each with the part that its job puts there, or only to be looked at. `None` where nothing was left out.
///
/// # Errors
/// The jobs cannot be worked out.
pub fn rest_of(ask: &Ask, lookup: &dyn Lookup) -> Result<Option<Ask>, Refusal> {
    let kit = work_out(ask, lookup)?;
    let machine = ask.machine.clone().unwrap_or_else(|| Key::new(&kit.machine));
    let told = Some(Box::new(ask.clone()));
    let mut rest = Ask { jobs: Vec::new(), options: Vec::new(), rest_of: told, ..ask.clone() };
    let mut any = false;
    for job in &ask.jobs {
        for LeftOut { position, .. } in left_out(&machine, job, lookup) {
            any = true;
            if rest.instead.iter().any(|instead| instead.position == position) {
                continue;
            }
            let planned = kit.positions.iter().find(|planned| Key::new(&planned.position) == position);
            if planned.is_some_and(|planned| planned.action == Action::Inspect) {
                if !rest.renew.contains(&position) && !rest.look_at.contains(&position) {
                    rest.look_at.push(position);
                }
                continue;
            }
            let change = planned.and_then(change_at);
            if change != Some(Change::LeaveEmpty) && !rest.renew.contains(&position) {
                rest.renew.push(position.clone());
            }
            if let (Some(Change::Fit { part, .. }), Some(Role::Companion)) =
                (&change, planned.and_then(|planned| planned.role))
            {
                rest.called_for.push((position.clone(), part.clone()));
            }
            rest.instead.extend(change.map(|change| Instead { position, change }));
        }
    }
    Ok(any.then_some(rest))
}

/// The ask for each job by itself, so that what several call for can be written down for the one that does. Empty where
/// there is but one.
pub fn each_alone(ask: &Ask, lookup: &dyn Lookup) -> Vec<(Key, Ask)> {
    let told = ask.told();
    if told.jobs.len() < 2 {
        return Vec::new();
    }
    let alone = |job: &Key| {
        let key = lookup.jobs(job).first().map_or_else(|| job.clone(), |row| row.job.clone());
        let alone = Ask { jobs: vec![job.clone()], insist: true, reuse: Vec::new(), ..told.clone() };
        let alone = if ask.rest_of.is_some() { rest_of(&alone, lookup).ok()?? } else { alone };
        Some((key, alone))
    };
    told.jobs.iter().filter_map(alone).collect()
}

/// The part that a job or what goes with it puts at a position, where that is not what its rule renews there anyway.
fn change_at(planned: &PlannedPosition) -> Option<Change> {
    if planned.action == Action::LeaveOut {
        return Some(Change::LeaveEmpty);
    }
    if !matches!(planned.role, Some(Role::New | Role::Companion)) {
        return None;
    }
    let first = planned.parts.first()?;
    let start = PartNumber::new(first.chain.first()?)?;
    let sits = planned.current.iter().flat_map(|current| current.split(';')).filter_map(PartNumber::new);
    if sits.into_iter().any(|part| part == start) {
        return None;
    }
    let alone = planned.parts.len() == 1 && first.chain.len() == 1 && !first.set;
    let quantity = alone.then(|| Quantity::new(first.quantity, first.unit));
    Some(Change::Fit { part: start, quantity })
}
