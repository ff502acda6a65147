//! What the program says without a command: what there is, what is due, what is on order, what to do next.

use super::args::{self, Catalog, machine_meant};
use super::machines::{line, machines_of};
use super::opening::with_catalog;
use super::printing::{Page, count};
use super::{Answer, Ended};
use crate::buy::waiting::waiting;
use crate::catalog::Lookup;
use crate::desk::{Refused, day};
use crate::kit::Bench;
use crate::measure::Date;
use crate::say::{life_text, named_thing};
use crate::work::state::{Known, LifeState, state};
use serde_json::json;

/// More lines of one kind than a first look needs.
const MOST: usize = 8;

pub(crate) fn run(catalog: &Catalog, json: bool) -> anyhow::Result<Answer> {
    let today = day(None)?;
    let answer = with_catalog(catalog, |lookup, notes| {
        let out = if json {
            let machines = machines_of(lookup);
            let machines = machines.iter().map(|machine| machine.machine.as_str());
            let jobs = lookup.job_keys();
            let object = json!({
                "machines": machines.collect::<Vec<_>>(),
                "jobs": jobs.iter().map(|job| job.as_str()).collect::<Vec<_>>(),
                "waiting": waiting(&today, lookup),
            });
            format!("{}\n", serde_json::to_string_pretty(&object)?)
        } else {
            page(lookup, &today)
        };
        Ok(Answer { out, err: notes, ended: Ended::Done })
    });
    match answer {
        Err(error)
            if catalog.folder.is_none()
                && matches!(error.downcast_ref(), Some(Refused::NoCatalog(_))) =>
        {
            let help = args::command().render_help();
            Ok(Answer::refused(format!(
                "{help}\nThere is no catalog here. kitwright start NAME makes one.\n"
            )))
        }
        answer => answer,
    }
}

fn page(lookup: &dyn Lookup, today: &Date) -> String {
    let mut page = Page::default();
    let machines = machines_of(lookup);
    page.answer(&count(machines.len(), "machine", "machines"), true);
    for machine in &machines {
        page.text(&line(machine), "  ", "    ");
    }
    let mut due: Vec<String> = Vec::new();
    for machine in machines {
        let name = machine.machine.to_string();
        let state = state(&Bench::new(machine, lookup), today);
        let is_due = |known: &&Known| {
            known
                .life
                .as_ref()
                .is_some_and(|life| matches!(life.state, LifeState::Overdue | LifeState::Near))
        };
        for known in state.positions.iter().filter(is_due) {
            let Some(life) = &known.life else { continue };
            let overdue = if life.state == LifeState::Overdue { "overdue: " } else { "soon: " };
            let what = named_thing(&known.name, &known.position);
            due.push(format!("{overdue}{what} on {name}; {}", life_text(life)));
        }
    }
    list("Due", &due, &mut page);
    let coming = waiting(today, lookup);
    let mut orders: Vec<String> = Vec::new();
    for order in coming.waiting.chunk_by(|a, b| a.order == b.order) {
        let Some(first) = order.first() else { continue };
        let due = first.due.as_ref().map_or_else(String::new, |due| format!(", due {due}"));
        let late = if order.iter().any(|line| line.overdue) { ", OVERDUE" } else { "" };
        let lines = count(order.len(), "line", "lines");
        orders.push(format!("{} from {}: {lines}{due}{late}", first.order, first.supplier));
    }
    list("On order", &orders, &mut page);
    let jobs = lookup.job_keys();
    let listed = jobs.iter().map(|job| {
        let rows = lookup.jobs(job);
        named_thing(rows.first().map_or("", |row| &row.name), job.as_str())
    });
    list("Jobs", &listed.collect::<Vec<_>>(), &mut page);
    page.heading("Next");
    let on =
        machine_meant(None, lookup).map_or_else(|_| " --on MACHINE".to_owned(), |_| String::new());
    let next = match orders.is_empty() {
        false => "kitwright orders lists the parcels; kitwright receive ORDER checks one in.",
        true => "kitwright check looks for mistakes in the tables.",
    };
    page.text(&format!("kitwright kit JOB{on} lists what a job needs. {next}"), "  ", "  ");
    page.into_text()
}

fn list(heading: &str, lines: &[String], page: &mut Page) {
    if lines.is_empty() {
        return;
    }
    page.heading(heading);
    for line in lines.iter().take(MOST) {
        page.text(line, "  ", "    ");
    }
    if let Some(more) = lines.len().checked_sub(MOST).filter(|more| *more > 0) {
        page.quiet(&format!("and {more} more"), "  ");
    }
}
