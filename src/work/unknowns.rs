//! Where to begin on a machine without a history: the jobs that settle the most unknown positions for the least work.

use super::effort::{effort, untimed};
use super::state::{is_unknown, positions};
use crate::kit::{Action, Ask, Bench, Kit, work_out};
use crate::measure::{Key, PartNumber, json_number};
use rust_decimal::Decimal;
use serde::{Serialize, Serializer};
use std::collections::HashSet;

/// Where to begin.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Plan {
    /// The machine.
    pub machine: String,
    /// The positions of which the log says nothing, by place.
    pub unknown: Vec<String>,
    /// The jobs in the order in which to do them.
    pub plan: Vec<Settling>,
    /// The unknown positions that no job renews.
    pub left: Vec<String>,
}

/// A job of the plan.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Settling {
    /// The job.
    pub job: String,
    /// What it is, in words.
    pub name: String,
    /// The minutes of its operations that were timed.
    #[serde(serialize_with = "number")]
    pub minutes: Decimal,
    /// How many of its operations nobody timed; each counts as 15 minutes.
    pub untimed: usize,
    /// The unknown positions that it renews, less those that a job before it renews; by place.
    pub settles: Vec<String>,
    /// The unknown positions that lie open with it and go back as they are.
    pub also_open: Vec<String>,
    /// Its kit has no gaps.
    pub complete: bool,
}

fn number<S: Serializer>(value: &Decimal, serializer: S) -> Result<S::Ok, S::Error> {
    json_number(*value).serialize(serializer)
}

/// What one job could settle.
struct Candidate {
    job: Key,
    name: String,
    kit: Kit,
    work: Decimal,
    untimed: usize,
    renews: Vec<Key>,
    opens: Vec<Key>,
}

/// Plans for a machine.
///
/// A position is unknown where it holds something and no log row says what. A job settles it where its kit, without
/// options, renews it with a number that is known, or leaves it out: the log will name it then. Its work is the minutes
/// of its operations, an untimed one counting as 15. Step by step the job is taken that settles the most positions
/// still unknown for each minute of its work, each job being done by itself; of equals the one that settles more, then
/// the first in table order. It ends when no job settles anything more.
pub fn plan(bench: &Bench) -> Plan {
    let lookup = bench.lookup;
    let log = lookup.log_of(&bench.machine.machine);
    let unknown: Vec<Key> = positions(bench, &log)
        .into_iter()
        .filter(|position| is_unknown(&bench.place(position)))
        .collect();
    let mut open: HashSet<Key> = unknown.iter().cloned().collect();
    let mut candidates: Vec<Candidate> =
        lookup.job_keys().iter().filter_map(|job| candidate(job, bench, &open)).collect();
    let mut plan = Vec::new();
    while let Some((index, settled)) = best(&candidates, &open) {
        let taken = candidates.remove(index);
        let spell = |positions: &[Key]| {
            let still = positions.iter().filter(|position| open.contains(*position));
            still.map(|position| lookup.spell_position(position).to_string()).collect::<Vec<_>>()
        };
        let (settles, also_open) = (spell(&taken.renews), spell(&taken.opens));
        debug_assert_eq!(settles.len(), settled, "what was counted is what is listed");
        plan.push(Settling {
            job: taken.job.to_string(),
            name: taken.name,
            minutes: taken.kit.minutes,
            untimed: taken.untimed,
            settles,
            also_open,
            complete: taken.kit.complete,
        });
        for position in &taken.renews {
            open.remove(position);
        }
    }
    let spell = |position: &Key| lookup.spell_position(position).to_string();
    Plan {
        machine: bench.machine.machine.to_string(),
        left: unknown.iter().filter(|position| open.contains(*position)).map(spell).collect(),
        unknown: unknown.iter().map(spell).collect(),
        plan,
    }
}

fn candidate(job: &Key, bench: &Bench, unknown: &HashSet<Key>) -> Option<Candidate> {
    let ask = Ask {
        machine: Some(bench.machine.machine.clone()),
        jobs: vec![job.clone()],
        ..Ask::default()
    };
    // A job for other machines settles nothing here.
    let kit = work_out(&ask, bench.lookup).ok()?;
    let mut renews = Vec::new();
    let mut opens = Vec::new();
    for planned in &kit.positions {
        let position = Key::new(&planned.position);
        if !unknown.contains(&position) {
            continue;
        }
        let known = |part: &str| {
            PartNumber::new(part).is_some_and(|part| bench.lookup.part(&part).is_some())
        };
        match planned.action {
            Action::LeaveOut => renews.push(position),
            Action::Renew if planned.parts.iter().any(|part| known(&part.part)) => {
                renews.push(position)
            }
            _ => opens.push(position),
        }
    }
    let (untimed, work) = (untimed(&kit), effort(&kit));
    let name = bench.lookup.jobs(job).first().map_or_else(String::new, |row| row.name.clone());
    Some(Candidate { job: job.clone(), name, kit, work, untimed, renews, opens })
}

/// The job to take next, and how many positions it settles.
fn best(candidates: &[Candidate], open: &HashSet<Key>) -> Option<(usize, usize)> {
    let mut best: Option<(usize, usize)> = None;
    for (index, candidate) in candidates.iter().enumerate() {
        let settled = candidate.renews.iter().filter(|position| open.contains(*position)).count();
        if settled == 0 {
            continue;
        }
        let better = best.is_none_or(|(first, most)| {
            // settled / work against most / work, without dividing: work may be nothing at all.
            let ours = Decimal::from(settled).saturating_mul(candidates[first].work);
            let theirs = Decimal::from(most).saturating_mul(candidate.work);
            ours > theirs || (ours == theirs && settled > most)
        });
        if better {
            best = Some((index, settled));
        }
    }
    best
}
