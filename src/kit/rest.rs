//! What of a job half done is left: positions that were left out when it was written down, and that nobody has seen to
//! since.

use super::ask::{Ask, Begun, Owed, Refusal, Work};
use super::plan::with_rounds;
use crate::catalog::{Applies, At, Fitted, JobLine, LogEntry, Lookup, Scoped, options_asked};
use crate::measure::{Key, LogDate};
use std::collections::HashMap;

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

/// Lists the positions that were left out of a job on a machine, when they last were, and that no row of the log names
/// since.
pub fn left_out(machine: &Key, job: &Key, lookup: &dyn Lookup) -> Vec<LeftOut> {
    let log = lookup.log_of(machine);
    let of_job = |(_, entry): &(usize, &LogEntry)| entry.job.as_ref() == Some(job);
    let mut order: Vec<&Key> = Vec::new();
    let mut last: HashMap<&Key, (usize, &LogEntry)> = HashMap::new();
    for (row, entry) in log.iter().enumerate().filter(of_job) {
        for position in &entry.left_out {
            let known = last.entry(position).or_insert_with(|| {
                order.push(position);
                (row, entry)
            });
            if (&known.1.date, known.0) < (&entry.date, row) {
                *known = (row, entry);
            }
        }
    }
    let seen_to = |position: &Key, (row, left): (usize, &LogEntry)| {
        // To look at it for another job is not to do the work.
        let names = |entry: &LogEntry| {
            entry.position.as_ref() == Some(position)
                && (entry.job.as_ref() == Some(job) || entry.part != Fitted::Blank)
        };
        log.iter()
            .enumerate()
            .any(|(other, entry)| names(entry) && (&entry.date, other) > (&left.date, row))
    };
    let left = order.into_iter().filter_map(|position| Some((position, *last.get(position)?)));
    left.filter(|(position, left)| !seen_to(position, *left))
        .map(|(position, (_, left))| LeftOut {
            position: position.clone(),
            date: left.date.clone(),
            at: left.at,
        })
        .collect()
}

/// Lists the operations of a job's own lines that no row of the log names with it, where other rows tell which of its
/// operations were carried out.
fn operations_left(
    machine: &Key,
    job: &Key,
    lookup: &dyn Lookup,
    holds: impl Fn(&JobLine) -> bool,
) -> Vec<(Key, At)> {
    let log = lookup.log_of(machine);
    let done = || {
        log.iter()
            .filter(|entry| entry.job.as_ref() == Some(job))
            .filter_map(|entry| entry.operation.as_ref())
    };
    if done().next().is_none() {
        return Vec::new();
    }
    let lines = lookup.job_lines(job);
    let named = lines
        .iter()
        .filter(|line| holds(line))
        .filter_map(|line| Some((line.operation.clone()?, line.at)));
    named.filter(|(operation, _)| !done().any(|known| known == operation)).collect()
}

/// Says with which of its options a job half done was begun, by the latest rows that tell; `None` where none does, or one
/// tells of an option that the job does not ask about. What was told of the job when it was done before that is no longer
/// meant.
fn begun(machine: &Key, job: &Key, lookup: &dyn Lookup) -> Option<Begun> {
    let log = lookup.log_of(machine);
    let of_job = || log.iter().filter(|entry| entry.job.as_ref() == Some(job));
    let left = left_out(machine, job, lookup);
    let worked =
        || of_job().filter(|entry| entry.operation.is_some()).map(|entry| &entry.date).max();
    let since = left.iter().map(|left| &left.date).min().or_else(worked)?;
    let telling = || of_job().filter(|entry| !entry.options.is_empty() && entry.date >= *since);
    let last = telling().map(|entry| &entry.date).max()?;
    let rows: Vec<&LogEntry> = telling().filter(|entry| entry.date == *last).collect();
    let held = rows.iter().flat_map(|row| &row.options).filter(|option| option.holds);
    let options: Vec<Key> = held.map(|option| option.name.clone()).collect();
    let asked = options_asked(job, lookup);
    let place = lookup.place(rows.first()?.at);
    options.iter().all(|name| asked.contains(name)).then(|| Begun {
        job: job.clone(),
        options,
        place,
    })
}

/// Turns an ask for jobs that are half done into one for what is left of them: no job, but what it wants at the positions
/// that were left out, and the operations of its lines that were not carried out. Each job counts with the options that the
/// log says it was begun with, else with those of the ask. `None` where nothing was left out.
///
/// # Errors
/// The jobs cannot be worked out.
pub fn rest_of(ask: &Ask, lookup: &dyn Lookup) -> Result<Option<Ask>, Refusal> {
    let machine = ask.machine.clone().unwrap_or_else(|| Key::new(""));
    let begun = ask.jobs.iter().filter_map(|job| begun(&machine, job, lookup)).collect();
    let ask = &Ask { begun, ..ask.clone() };
    let owed = with_rounds(ask, lookup, |rounds, bench| {
        let machine = &bench.machine.machine;
        let holds = |line: &JobLine| {
            line.option.as_ref().is_none_or(|option| option.met(ask.options_of(&line.job)))
                && line.scope().applies(&bench.machine) == Applies::Yes
        };
        let mut owed: Vec<Owed> = Vec::new();
        let mut add = |work: Work, own: bool, text: String, at: At| {
            if owed.iter().all(|known| known.work != work) {
                owed.push(Owed { work, own, text, place: lookup.place(at) });
            }
        };
        for job in &ask.jobs {
            for LeftOut { position, at, .. } in left_out(machine, job, lookup) {
                let (work, own) =
                    rounds.wanted_at(&position).unwrap_or((Work::LookAt(position), false));
                add(work, own, format!("it was left out of {job}"), at);
            }
            for (operation, at) in operations_left(machine, job, lookup, holds) {
                add(
                    Work::Operation(operation),
                    true,
                    format!("{job} includes it, and the log does not name it"),
                    at,
                );
            }
        }
        owed
    })?;
    if owed.is_empty() {
        return Ok(None);
    }
    let is_owed = |position: &Key| owed.iter().any(|owed| owed.work.position() == Some(position));
    let mut rest = Ask {
        jobs: Vec::new(),
        options: Vec::new(),
        rest_of: Some(Box::new(ask.clone())),
        ..ask.clone()
    };
    rest.instead.retain(|instead| !is_owed(&instead.position));
    rest.renew.retain(|position| !is_owed(position));
    rest.owed = owed;
    Ok(Some(rest))
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
        let alone =
            Ask { jobs: vec![job.clone()], insist: true, reuse: Vec::new(), ..told.clone() };
        let alone = if ask.rest_of.is_some() { rest_of(&alone, lookup).ok()?? } else { alone };
        Some((key, alone))
    };
    told.jobs.iter().filter_map(alone).collect()
}
