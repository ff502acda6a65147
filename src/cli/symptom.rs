//! The command `symptom`.

use super::args::{Catalog, SymptomAsk};
use super::opening::with_catalog;
use super::page::{Page, count};
use super::{Answer, Ended};
use crate::measure::{Key, plain, shorten};
use crate::work::state::bench_of;
use crate::work::symptom::{Addressing, Answer as Answered, symptom};

pub(crate) fn run(catalog: &Catalog, ask: &SymptomAsk, json: bool) -> anyhow::Result<Answer> {
    with_catalog(catalog, |lookup, notes| {
        let bench = match bench_of(&Key::new(&ask.on), lookup) {
            Ok(bench) => bench,
            Err(refusal) => return Ok(Answer::refused(format!("{notes}error: {refusal}\n"))),
        };
        let answered = symptom(&ask.words.join(" "), &bench);
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
