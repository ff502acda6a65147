//! The command `jobs`: those of a machine, or those that address a symptom.

use super::args::{Catalog, machine_meant};
use super::opening::with_catalog;
use super::printing::{Page, count};
use super::{Answer, Ended};
use crate::catalog::{Applies, rows_for};
use crate::kit::Bench;
use crate::measure::{Key, plain, shorten};
use crate::say::named_thing as named;
use crate::work::state::bench_of;
use crate::work::symptom::{Addressing, Answer as Answered, symptom};
use clap::Args;
use serde_json::{Value, json};

#[derive(Debug, Args)]
#[command(after_help = "\
Example:
  kitwright symptom water in gear oil --on dinghy")]
pub(crate) struct SymptomAsk {
    /// The symptom, in your own words.
    #[arg(value_name = "WORDS", required = true)]
    pub words: Vec<String>,
    /// The machine.
    #[arg(long, value_name = "MACHINE")]
    pub on: Option<String>,
}

#[derive(Debug, Args)]
#[command(after_help = "\
Examples:
  kitwright jobs --on dinghy
  kitwright jobs --for 'water in gear oil' --on dinghy")]
pub(crate) struct JobsAsk {
    /// The machine; --on names it, too. Without it KITWRIGHT_ON, or the only machine of the catalog.
    #[arg(value_name = "MACHINE", conflicts_with = "on")]
    pub machine: Option<String>,
    /// The machine.
    #[arg(long, value_name = "MACHINE")]
    pub on: Option<String>,
    /// The symptom, in your own words, in quotation marks.
    #[arg(long = "for", value_name = "SYMPTOM")]
    pub symptom: Option<String>,
}

/// The command `symptom`, as it was called before `jobs --for`.
pub(crate) fn run_symptom(
    catalog: &Catalog,
    ask: &SymptomAsk,
    json: bool,
) -> anyhow::Result<Answer> {
    for_symptom(catalog, &ask.words.join(" "), ask.on.as_ref(), json)
}

pub(crate) fn run(catalog: &Catalog, ask: &JobsAsk, json: bool) -> anyhow::Result<Answer> {
    if let Some(words) = &ask.symptom {
        return for_symptom(catalog, words, ask.on.as_ref().or(ask.machine.as_ref()), json);
    }
    with_catalog(catalog, |lookup, notes| {
        let meant = machine_meant(ask.on.as_ref().or(ask.machine.as_ref()), lookup);
        let bench = match meant.and_then(|machine| bench_of(&machine, lookup)) {
            Ok(bench) => bench,
            Err(refusal) => return Ok(Answer::refused(format!("{notes}error: {refusal}\n"))),
        };
        let jobs = jobs_of(&bench);
        let ended = if jobs.is_empty() { Ended::NotFound } else { Ended::Done };
        let machine = bench.machine.machine.as_str();
        let out = if json {
            let object = json!({ "machine": machine, "jobs": jobs.iter().map(ListedJob::as_json).collect::<Vec<_>>() });
            format!("{}\n", serde_json::to_string_pretty(&object)?)
        } else {
            let mut page = Page::default();
            let title = format!("{machine}: {}", count(jobs.len(), "job", "jobs"));
            page.answer(&title, true);
            jobs.iter().for_each(|job| page.text(&job.line(), "  ", "    "));
            page.into_text()
        };
        Ok(Answer { out, err: notes, ended })
    })
}

/// A job as it is listed.
pub(super) struct ListedJob {
    pub job: Key,
    pub name: String,
    /// The last day that the log has it, blank where that is not known; `None` where it was never done.
    pub done: Option<String>,
}

impl ListedJob {
    pub fn line(&self) -> String {
        let done = match self.done.as_deref() {
            None => String::new(),
            Some("") => "; done, nobody knows when".to_owned(),
            Some(date) => format!("; done on {date}"),
        };
        format!("{}{done}", named(&self.name, self.job.as_str()))
    }

    fn as_json(&self) -> Value {
        json!({ "job": self.job.as_str(), "name": self.name, "done": self.done })
    }
}

/// The jobs that are for a machine, or may be.
pub(super) fn jobs_of(bench: &Bench) -> Vec<ListedJob> {
    let lookup = bench.lookup;
    let log = lookup.log_of(&bench.machine.machine);
    let mut listed = Vec::new();
    for job in lookup.job_keys() {
        let rows = lookup.jobs(&job).into_owned();
        if rows_for(&rows, &bench.machine).0 == Applies::No {
            continue;
        }
        let name = rows.first().map(|row| row.name.clone()).unwrap_or_default();
        let done = log.iter().filter(|entry| entry.job.as_ref() == Some(&job));
        let done = done.map(|entry| entry.date.clone()).max().map(|date| date.to_string());
        listed.push(ListedJob { job, name, done });
    }
    listed
}

fn for_symptom(
    catalog: &Catalog,
    words: &str,
    machine: Option<&String>,
    json: bool,
) -> anyhow::Result<Answer> {
    with_catalog(catalog, |lookup, notes| {
        let meant = machine_meant(machine, lookup);
        let bench = match meant.and_then(|machine| bench_of(&machine, lookup)) {
            Ok(bench) => bench,
            Err(refusal) => return Ok(Answer::refused(format!("{notes}error: {refusal}\n"))),
        };
        let answered = symptom(words, &bench);
        let ended = if answered.jobs.is_empty() { Ended::NotFound } else { Ended::Done };
        let out = if json {
            format!("{}\n", serde_json::to_string_pretty(&answered)?)
        } else {
            page(&answered)
        };
        Ok(Answer { out, err: notes, ended })
    })
}

fn page(answered: &Answered) -> String {
    let mut page = Page::default();
    let (remaining, done): (Vec<&Addressing>, Vec<&Addressing>) =
        answered.jobs.iter().partition(|job| !job.is_done());
    let typed = shorten(&answered.symptom);
    let machine = &answered.machine;
    page.answer(
        &match answered.jobs.len() {
            0 if !answered.for_others.is_empty() => {
                format!("'{typed}' on {machine}: only jobs for other machines address it")
            }
            0 => format!("'{typed}' on {machine}: no job addresses it"),
            jobs => format!(
                "'{typed}' on {machine}: {} it; {} to look at, {} done before",
                count(jobs, "job addresses", "jobs address"),
                remaining.len(),
                done.len()
            ),
        },
        !answered.jobs.is_empty(),
    );
    for (typed, meant) in &answered.taken {
        page.text(&format!("'{}' is in no symptom; taken for {meant}", shorten(typed)), "! ", "  ");
    }
    for (job, limits) in &answered.for_others {
        page.text(&format!("{job} addresses it, but is for {limits}"), "  ", "    ");
    }
    if !remaining.is_empty() {
        page.heading("Remains to look at, the cheapest access first");
        for job in remaining {
            page.text(&head(job), "  ", "    ");
            if !job.left_out.is_empty() {
                let date = job
                    .done
                    .as_deref()
                    .filter(|date| !date.is_empty())
                    .unwrap_or("a day that nobody knows");
                let left = job.left_out.join(", ");
                page.text(
                    &format!("half done on {date}: left out {left}; --rest asks for that alone"),
                    "      ",
                    "      ",
                );
            }
            if !job.operations.is_empty() {
                page.quiet(&job.operations.join(", "), "      ");
            }
            page.quiet(&cautions(job), "      ");
        }
    }
    if !done.is_empty() {
        page.heading("Done before: less likely now, but not ruled out");
        for job in done {
            let date =
                job.done.as_deref().filter(|date| !date.is_empty()).unwrap_or("nobody knows when");
            let hours =
                job.hours.map_or_else(String::new, |hours| format!(" at {} hours", plain(hours)));
            page.text(&format!("{}; last {date}{hours}", head(job)), "  ", "    ");
            let fitted: Vec<String> = job
                .fitted
                .iter()
                .map(|(position, part)| {
                    if part == "-" {
                        format!("{position} left empty")
                    } else {
                        format!("{part} at {position}")
                    }
                })
                .collect();
            let fitted = if fitted.is_empty() {
                "the log names no parts".to_owned()
            } else {
                fitted.join(", ")
            };
            page.quiet(&fitted, "      ");
            page.quiet(&cautions(job), "      ");
        }
    }
    if !answered.log.is_empty() {
        page.heading("What the log says");
        for noted in &answered.log {
            let date = if noted.date.is_empty() { "no date" } else { &noted.date };
            let hours =
                noted.hours.map_or_else(String::new, |hours| format!(" at {} hours", plain(hours)));
            page.text(&format!("{date}{hours}: {}", noted.finding), "  ", "    ");
        }
    }
    if !answered.near.is_empty() {
        page.heading("Symptoms that come near");
        page.text(&answered.near.join("; "), "  ", "  ");
    }
    if !answered.jobs.is_empty() {
        page.blank();
        page.quiet(
            "The tables know only what their owner typed under addresses. Where it can hurt someone, the maker's manual and licensed practice come first.",
            "",
        );
    }
    page.into_text()
}

fn head(job: &Addressing) -> String {
    let name = if job.name.is_empty() { String::new() } else { format!(" ({})", job.name) };
    let untimed =
        if job.untimed == 0 { String::new() } else { format!(" and {} not timed", job.untimed) };
    let mut text = format!("{}{name}: about {} minutes{untimed}", job.job, plain(job.minutes));
    if !job.complete {
        text.push_str("; its kit is not complete yet");
    }
    if !job.sure {
        text.push_str("; it may not be for this machine");
    }
    text
}

fn cautions(job: &Addressing) -> String {
    if job.cautions.is_empty() {
        String::new()
    } else {
        format!("cautions: {}", job.cautions.join(", "))
    }
}
