//! What a symptom leaves to look at: the jobs that address it, which of them the machine has had, and the rest with the
//! cheapest access first.
//!
//! That a job was done makes its cause less likely; it proves nothing. The part may have been faulty, or failed since.

use super::effort::{effort, untimed};
use super::words::Phrase;
use crate::catalog::{Applies, Fitted, LogEntry, rows_for};
use crate::kit::{Ask, Bench, work_out};
use crate::measure::{Key, json_number};
use rust_decimal::Decimal;
use serde::{Serialize, Serializer};

/// What a symptom leaves to look at.
#[derive(Debug, Clone, Serialize)]
pub struct Answer {
    /// The symptom, as it was typed.
    pub symptom: String,
    /// The machine.
    pub machine: String,
    /// The jobs that address it: those not yet done with the cheapest access first, then those done, the longest ago
    /// in front.
    pub jobs: Vec<Addressing>,
    /// Other symptoms of the catalog that come near, with no word for each of those typed.
    pub near: Vec<String>,
    /// What the log of the machine says of it.
    pub log: Vec<Noted>,
}

/// A job that addresses a symptom.
#[derive(Debug, Clone, Serialize)]
pub struct Addressing {
    /// The job.
    pub job: String,
    /// What it is, in words.
    pub name: String,
    /// The symptoms of it that were meant.
    pub addresses: Vec<String>,
    /// When the machine had it last; blank where nobody knows when, `null` where the log does not name it.
    pub done: Option<String>,
    /// The hours that it had run then.
    #[serde(serialize_with = "maybe_number")]
    pub hours: Option<Decimal>,
    /// What was fitted then: position and part.
    pub fitted: Vec<(String, String)>,
    /// The minutes of the operations of its kit that were timed.
    #[serde(serialize_with = "number")]
    pub minutes: Decimal,
    /// How many of its operations nobody timed.
    pub untimed: usize,
    /// The operations of its kit, in strip order.
    pub operations: Vec<String>,
    /// The cautions of its kit, by name.
    pub cautions: Vec<String>,
    /// Its kit has no gaps.
    pub complete: bool,
    /// It surely is for this machine; else a year, serial or trait is missing.
    pub sure: bool,
    /// What it is compared by: untimed operations count too.
    #[serde(skip)]
    pub effort: Decimal,
}

/// A row of the log that speaks of the symptom.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Noted {
    /// When; blank for an earlier owner's work.
    pub date: String,
    /// The hours.
    #[serde(serialize_with = "maybe_number")]
    pub hours: Option<Decimal>,
    /// What was found.
    pub finding: String,
}

fn number<S: Serializer>(value: &Decimal, serializer: S) -> Result<S::Ok, S::Error> {
    json_number(*value).serialize(serializer)
}

fn maybe_number<S: Serializer>(value: &Option<Decimal>, serializer: S) -> Result<S::Ok, S::Error> {
    match value {
        Some(value) => number(value, serializer),
        None => serializer.serialize_none(),
    }
}

/// Looks a symptom up for a machine.
///
/// A job addresses it where one of its symptoms says every word that was typed, or is said by them whole.
pub fn symptom(typed: &str, bench: &Bench) -> Answer {
    let lookup = bench.lookup;
    let wanted = Phrase::new(typed);
    let log = lookup.log_of(&bench.machine.machine).into_owned();
    let mut jobs: Vec<Addressing> = Vec::new();
    let mut near: Vec<(usize, String)> = Vec::new();
    if !wanted.is_empty() {
        for job in lookup.job_keys() {
            let rows = lookup.jobs(&job).into_owned();
            let (applies, speaking) = rows_for(&rows, &bench.machine);
            if applies == Applies::No {
                continue;
            }
            let mut meant: Vec<String> = Vec::new();
            for symptom in speaking.iter().flat_map(|row| &row.addresses) {
                let phrase = Phrase::new(symptom.as_str());
                let said = wanted.said_by(&phrase);
                let name = symptom.to_string();
                if said == wanted.len() || (!phrase.is_empty() && phrase.said_by(&wanted) == phrase.len()) {
                    if !meant.contains(&name) {
                        meant.push(name);
                    }
                } else if said * 2 >= wanted.len() && !near.iter().any(|(_, known)| *known == name) {
                    near.push((said, name));
                }
            }
            if !meant.is_empty() {
                jobs.push(addressing(&job, meant, applies == Applies::Yes, &log, bench));
            }
        }
    }
    near.retain(|(_, name)| !jobs.iter().any(|job| job.addresses.contains(name)));
    near.sort_by_key(|(said, _)| std::cmp::Reverse(*said));
    jobs.sort_by(|a, b| match (&a.done, &b.done) {
        (None, Some(_)) => std::cmp::Ordering::Less,
        (Some(_), None) => std::cmp::Ordering::Greater,
        (Some(a), Some(b)) => a.cmp(b),
        (None, None) => a.effort.cmp(&b.effort),
    });
    Answer {
        symptom: typed.to_owned(),
        machine: bench.machine.machine.to_string(),
        jobs,
        near: near.into_iter().map(|(_, name)| name).collect(),
        log: noted(&wanted, &log),
    }
}

fn addressing(job: &Key, addresses: Vec<String>, sure: bool, log: &[LogEntry], bench: &Bench) -> Addressing {
    let lookup = bench.lookup;
    let rows = lookup.jobs(job);
    let of_job = || log.iter().filter(|entry| entry.job.as_ref() == Some(job));
    let last = of_job().map(|entry| &entry.date).max();
    let of_last = || of_job().filter(|entry| Some(&entry.date) == last);
    let fitted = of_last().filter_map(|entry| {
        let position = lookup.spell_position(entry.position.as_ref()?).to_string();
        match &entry.part {
            Fitted::Part(part) => Some((position, lookup.spell_part(part).to_string())),
            Fitted::Nothing => Some((position, "-".to_owned())),
            Fitted::Blank => None,
        }
    });
    let ask = Ask { machine: Some(bench.machine.machine.clone()), jobs: vec![job.clone()], ..Ask::default() };
    let kit = work_out(&ask, lookup).ok();
    let operations = kit.as_ref().map_or(&[][..], |kit| &kit.operations);
    Addressing {
        job: rows.first().map_or_else(|| job.to_string(), |row| row.job.to_string()),
        name: rows.first().map_or_else(String::new, |row| row.name.clone()),
        addresses,
        done: last.map(ToString::to_string),
        hours: of_last().filter_map(|entry| entry.hours).max(),
        fitted: fitted.collect(),
        minutes: kit.as_ref().map_or(Decimal::ZERO, |kit| kit.minutes),
        untimed: kit.as_ref().map_or(0, untimed),
        effort: kit.as_ref().map_or(Decimal::MAX, effort),
        operations: operations.iter().map(|operation| operation.operation.clone()).collect(),
        cautions: kit.as_ref().map_or_else(Vec::new, |kit| kit.cautions.clone()),
        complete: kit.is_some_and(|kit| kit.complete),
        sure,
    }
}

/// The rows of a log whose findings say at least half of the words, each finding of a day once; by date.
fn noted(wanted: &Phrase, log: &[LogEntry]) -> Vec<Noted> {
    let mut noted: Vec<Noted> = Vec::new();
    for entry in log.iter().filter(|entry| !entry.finding.is_empty() && !wanted.is_empty()) {
        if wanted.said_by(&Phrase::new(&entry.finding)) * 2 >= wanted.len() {
            let note = Noted { date: entry.date.to_string(), hours: entry.hours, finding: entry.finding.clone() };
            if !noted.contains(&note) {
                noted.push(note);
            }
        }
    }
    noted.sort_by(|a, b| a.date.cmp(&b.date));
    noted
}
