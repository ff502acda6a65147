//! The command `orders`.

use super::args::{Catalog, parse_day};
use super::opening::with_catalog;
use super::printing::{Page, count};
use super::{Answer, Ended};
use crate::buy::waiting::{JobReady, ToCome, Waiting, waiting};
use crate::catalog::Lookup;
use crate::desk::day;
use crate::measure::{Date, Quantity};
use clap::Args;

#[derive(Debug, Args)]
#[command(after_help = "\
Example:
  kitwright waiting")]
pub(crate) struct WaitingAsk {
    /// The day from which a delivery is late; today where it is not given.
    #[arg(long, value_name = "DATE", value_parser = parse_day)]
    pub date: Option<Date>,
}

pub(crate) fn run(catalog: &Catalog, ask: &WaitingAsk, json: bool) -> anyhow::Result<Answer> {
    with_catalog(catalog, |catalog, notes| work(catalog, notes, ask, json))
}

fn work(
    catalog: &dyn Lookup,
    notes: String,
    ask: &WaitingAsk,
    json: bool,
) -> anyhow::Result<Answer> {
    let waiting = waiting(&day(ask.date.as_ref())?, catalog);
    let out = if json {
        format!("{}\n", serde_json::to_string_pretty(&waiting)?)
    } else {
        page(&waiting)
    };
    Ok(Answer { out, err: notes, ended: Ended::Done })
}

fn page(waiting: &Waiting) -> String {
    let mut page = Page::default();
    let ready = waiting.jobs.iter().filter(|job| job.ready).count();
    let lines = match waiting.waiting.len() {
        0 => "nothing is still to come".to_owned(),
        lines => format!("{} still to come", count(lines, "line is", "lines are")),
    };
    let late = match waiting.waiting.iter().filter(|line| line.overdue).count() {
        0 => String::new(),
        late => format!("; {} overdue", count(late, "line", "lines")),
    };
    let jobs = match (waiting.jobs.len(), ready) {
        (0, _) => String::new(),
        (all, ready) => format!("; {ready} of {} fully on the shelf", count(all, "job", "jobs")),
    };
    page.answer(&format!("{lines}{jobs}{late}"), waiting.waiting.is_empty());
    let mut last = "";
    for line in &waiting.waiting {
        if line.order != last {
            let due = line.due.as_ref().map_or_else(String::new, |due| format!(", due {due}"));
            let late = if line.overdue { ", OVERDUE" } else { "" };
            page.heading(&format!(
                "Order {} of {} with {}{due}{late}",
                line.order, line.date, line.supplier
            ));
            last = &line.order;
        }
        page.text(&line_text(line), "  ", "    ");
    }
    if !waiting.jobs.is_empty() {
        page.heading("Jobs");
        for job in &waiting.jobs {
            job_text(job, &mut page);
        }
    }
    page.into_text()
}

fn line_text(line: &ToCome) -> String {
    let mut text = format!("{} × {}", Quantity::new(line.quantity, line.unit), line.part);
    if !line.name.is_empty() {
        text.push_str(&format!(" {}", line.name));
    }
    if !line.came.is_zero() {
        text.push_str(&format!(" ({} came)", Quantity::new(line.came, line.unit)));
    }
    if let (Some(job), Some(machine)) = (&line.job, &line.machine) {
        text.push_str(&format!(", for {job} on {machine}"));
    }
    text
}

fn job_text(job: &JobReady, page: &mut Page) {
    let mut name = format!("{} on {}", job.job, job.machine);
    if !job.options.is_empty() {
        name.push_str(&format!(" with {}", job.options.join(", ")));
    }
    let says = match (&job.trouble, job.missing.len()) {
        (Some(trouble), _) => trouble.clone(),
        (None, 0) if job.complete => "fully on the shelf".to_owned(),
        (None, 0) => {
            "all that its kit names is on the shelf, but the kit is not complete".to_owned()
        }
        (None, missing) => format!("{} missing", count(missing, "part is", "parts are")),
    };
    page.text(&format!("{name}: {says}"), "  ", "    ");
    for missing in &job.missing {
        let amount = Quantity::new(missing.quantity, missing.unit);
        let amount =
            if missing.quantity.is_zero() { "as needed".to_owned() } else { amount.to_string() };
        let coming = if missing.on_order { "on order" } else { "NOT on order" };
        page.text(&format!("{amount} × {}: {coming}", missing.part), "      ", "        ");
    }
}
