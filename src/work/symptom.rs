//! What a symptom leaves to look at: the jobs that address it, which of them the machine has had, and the rest with the
//! cheapest access first.
//!
//! That a job was done makes its cause less likely; it proves nothing. The part may have been faulty, or failed since.

use super::effort::{effort, untimed};
use crate::catalog::{Applies, Fitted, Job, LogEntry, names_of_type, rows_for};
use crate::kit::{Ask, Bench, left_out, rest_of, work_out};
use crate::measure::{Key, json_number};
use crate::wording::{Said, saying};
use rust_decimal::Decimal;
use serde::{Serialize, Serializer};

/// What a symptom leaves to look at.
#[derive(Debug, Clone, Serialize)]
pub struct Answer {
    /// The symptom, as it was typed.
    pub symptom: String,
    /// The machine.
    pub machine: String,
    /// The jobs that address it: those not yet done, or half done, with the cheapest access first, then those done, the
    /// longest ago in front.
    pub jobs: Vec<Addressing>,
    /// Other symptoms of the catalog that come near, with no word for each of those typed.
    pub near: Vec<String>,
    /// What was typed and is in no symptom, with the words of the symptoms that it was taken for.
    pub taken: Vec<(String, String)>,
    /// What the log of the machine says of it.
    pub log: Vec<Noted>,
    /// The jobs that address it on other machines only, each with its limits.
    pub for_others: Vec<(String, String)>,
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
    /// The positions that were left out then and are still to be done: the job is half done.
    pub left_out: Vec<String>,
    /// What was fitted then: position and part.
    pub fitted: Vec<(String, String)>,
    /// The minutes of the operations of its kit that were timed; of a job half done, of what is left of it.
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

/// A symptom that a job for the machine addresses.
struct Addressed {
    /// The place of the job in the list of those for the machine.
    job: usize,
    words: String,
}

/// Looks a symptom up for a machine. Words are matched as `find` matches them.
///
/// A job addresses it where one of its symptoms says every word that was typed, or is said by them whole.
pub fn symptom(typed: &str, bench: &Bench) -> Answer {
    let lookup = bench.lookup;
    let log = lookup.log_of(&bench.machine.machine).into_owned();
    let mut jobs: Vec<(Key, Applies)> = Vec::new();
    let mut symptoms: Vec<Addressed> = Vec::new();
    let mut others: Vec<Job> = Vec::new();
    for job in lookup.job_keys() {
        let rows = lookup.jobs(&job).into_owned();
        let (applies, speaking) = rows_for(&rows, &bench.machine);
        if applies == Applies::No {
            others.extend(rows);
            continue;
        }
        let words = speaking.iter().flat_map(|row| &row.addresses).map(ToString::to_string);
        symptoms.extend(words.map(|words| Addressed { job: jobs.len(), words }));
        jobs.push((job, applies));
    }
    let other_names = |name: &str| names_of_type(name, lookup).unwrap_or_default();
    let texts: Vec<&str> = symptoms.iter().map(|symptom| symptom.words.as_str()).collect();
    let said = saying(typed, &texts, &other_names);
    let says_whole = |symptom: &str| saying(symptom, &[typed], &other_names).iter().any(is_whole);
    let mut meant: Vec<bool> = symptoms.iter().map(|symptom| says_whole(&symptom.words)).collect();
    for said in said.iter().filter(|said| is_whole(said)) {
        if let Some(meant) = meant.get_mut(said.text) {
            *meant = true;
        }
    }
    let addresses_it = |row: &&Job| {
        let mut symptoms = row.addresses.iter().map(ToString::to_string);
        symptoms.any(|words| {
            says_whole(&words)
                || saying(typed, &[words.as_str()], &other_names).iter().any(is_whole)
        })
    };
    let for_others = others
        .iter()
        .filter(addresses_it)
        .map(|row| (row.job.to_string(), row.scope.to_string()))
        .collect();
    let mut addressing_it = Vec::new();
    for (place, (job, applies)) in jobs.iter().enumerate() {
        let mut addresses: Vec<String> = Vec::new();
        for (symptom, _) in
            symptoms.iter().zip(&meant).filter(|(symptom, meant)| symptom.job == place && **meant)
        {
            if !addresses.contains(&symptom.words) {
                addresses.push(symptom.words.clone());
            }
        }
        if !addresses.is_empty() {
            addressing_it.push(addressing(job, addresses, *applies == Applies::Yes, &log, bench));
        }
    }
    addressing_it.sort_by(|a, b| match (a.is_done(), b.is_done()) {
        (false, true) => std::cmp::Ordering::Less,
        (true, false) => std::cmp::Ordering::Greater,
        (true, true) => a.done.cmp(&b.done),
        (false, false) => a.effort.cmp(&b.effort),
    });
    let mut near: Vec<String> = Vec::new();
    for symptom in
        said.iter().filter(|said| is_near(said)).filter_map(|said| symptoms.get(said.text))
    {
        let words = &symptom.words;
        if !near.contains(words) && !addressing_it.iter().any(|job| job.addresses.contains(words)) {
            near.push(words.clone());
        }
    }
    let mut taken: Vec<(String, String)> = Vec::new();
    for said in said.iter().filter(|said| is_whole(said)) {
        for taken_for in &said.taken {
            if !taken.contains(taken_for) {
                taken.push(taken_for.clone());
            }
        }
    }
    Answer {
        symptom: typed.to_owned(),
        machine: bench.machine.machine.to_string(),
        jobs: addressing_it,
        near,
        taken,
        log: noted(typed, &log, &other_names),
        for_others,
    }
}

/// All that was typed is in it.
fn is_whole(said: &Said) -> bool {
    said.missing.is_empty()
}

/// At least half of what was typed is in it.
fn is_near(said: &Said) -> bool {
    said.said >= said.missing.len()
}

impl Addressing {
    /// The log names it as done, and nothing was left out.
    pub fn is_done(&self) -> bool {
        self.done.is_some() && self.left_out.is_empty()
    }
}

fn addressing(
    job: &Key,
    addresses: Vec<String>,
    sure: bool,
    log: &[LogEntry],
    bench: &Bench,
) -> Addressing {
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
    let left = left_out(&bench.machine.machine, job, lookup);
    let mut ask = Ask {
        machine: Some(bench.machine.machine.clone()),
        jobs: vec![job.clone()],
        ..Ask::default()
    };
    if let Ok(Some(rest)) = rest_of(&ask, lookup) {
        ask = rest;
    }
    let kit = work_out(&ask, lookup).ok();
    let operations = kit.as_ref().map_or(&[][..], |kit| &kit.operations);
    Addressing {
        job: rows.first().map_or_else(|| job.to_string(), |row| row.job.to_string()),
        name: rows.first().map_or_else(String::new, |row| row.name.clone()),
        addresses,
        done: last.map(ToString::to_string),
        hours: of_last().filter_map(|entry| entry.hours).max(),
        left_out: left
            .iter()
            .map(|left| lookup.spell_position(&left.position).to_string())
            .collect(),
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
fn noted(typed: &str, log: &[LogEntry], other_names: &dyn Fn(&str) -> Vec<String>) -> Vec<Noted> {
    let findings: Vec<&str> = log.iter().map(|entry| entry.finding.as_str()).collect();
    let mut noted: Vec<Noted> = Vec::new();
    for entry in saying(typed, &findings, other_names).iter().filter(|said| is_near(said)) {
        let Some(entry) = log.get(entry.text) else { continue };
        let note = Noted {
            date: entry.date.to_string(),
            hours: entry.hours,
            finding: entry.finding.clone(),
        };
        if !noted.contains(&note) {
            noted.push(note);
        }
    }
    noted.sort_by(|a, b| a.date.cmp(&b.date));
    noted
}
