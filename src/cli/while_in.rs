//! The command `while-in`: what else to do while the machine is apart.

use super::args::{Catalog, Wanted, parse_rate};
use super::opening::with_catalog;
use super::passages::{PATIENCE, difference};
use super::printing::{Page, count};
use super::{Answer, Ended};
use crate::buy::cheapest::Patience;
use crate::buy::market::{Rate, Terms};
use crate::desk::{self, day};
use crate::kit::NoKit;
use crate::measure::{Money, plain};
use crate::work::also::{Also, AlsoJob, LyingOpen, also};
use clap::Args;

#[derive(Debug, Args)]
#[command(after_help = "\
Example:
  kitwright while-in cooling-pump --on dinghy")]
pub(crate) struct AlsoAsk {
    #[command(flatten)]
    pub wanted: Wanted,
    /// What one unit of another currency is worth in that of the answer.
    #[arg(long, value_name = "CUR=WORTH", value_parser = parse_rate)]
    pub rate: Vec<Rate>,
}

pub(crate) fn run(catalog: &Catalog, ask: &AlsoAsk, json: bool) -> anyhow::Result<Answer> {
    let terms = Terms { rates: ask.rate.clone(), ..Terms::open(&day(None)?) };
    with_catalog(catalog, |lookup, notes| {
        let mut quiet = |_| {};
        let mut patience = Patience { most: PATIENCE, progress: &mut quiet };
        let asked = desk::Wanted::from(&ask.wanted).ask(lookup).map_err(NoKit::from);
        let also = match asked.and_then(|ask| also(&ask, &terms, lookup, &mut patience)) {
            Ok(also) => also,
            Err(why) => return Ok(Answer::refused(format!("{notes}error: {why}\n"))),
        };
        let ended = Ended::with(also.complete);
        let out =
            if json { format!("{}\n", serde_json::to_string_pretty(&also)?) } else { page(&also) };
        Ok(Answer { out, err: notes, ended })
    })
}

fn page(also: &Also) -> String {
    let mut page = Page::default();
    let (sharing, apart): (Vec<&AlsoJob>, Vec<&AlsoJob>) =
        also.also.iter().partition(|job| !job.shares.is_empty() || job.extra.operations.is_empty());
    let title = format!(
        "With {} on {}: {} access, {} of unknown age within reach",
        also.title,
        also.machine,
        count(sharing.len(), "other job shares", "other jobs share"),
        count(also.lying_open.len(), "position", "positions")
    );
    page.answer(&title, also.complete);
    if !also.complete {
        page.text(
            "The kit of the chosen jobs is NOT complete; kitwright kit says why.",
            "! ",
            "  ",
        );
    }
    for remark in &also.remarks {
        page.text(remark, "! ", "  ");
    }
    if !sharing.is_empty() {
        page.heading("Besides the chosen jobs, least extra work first");
    }
    for job in sharing {
        let name = if job.name.is_empty() { String::new() } else { format!(": {}", job.name) };
        let done = job.done.as_deref().map_or_else(String::new, |date| match date {
            "" => " (done before, nobody knows when)".to_owned(),
            date => format!(" (done on {date})"),
        });
        page.text(&format!("{}{name}{done}", job.job), "  ", "    ");
        page.text(&extra(job), "      ", "      ");
        if !job.extra.operations.is_empty() {
            let named: Vec<&str> =
                job.extra.operations.iter().map(|extra| extra.operation.as_str()).collect();
            page.quiet(&format!("does {}", named.join(", ")), "      ");
        }
        difference(&job.extra, &mut page);
        if !job.unpriced.is_empty() {
            page.quiet(
                &format!(
                    "no supplier offers {}, so its cost is not counted",
                    job.unpriced.join(", ")
                ),
                "      ",
            );
        }
        for gap in &job.extra.gaps {
            page.text(&format!("adds a gap: {} {}", gap.kind, gap.subject), "      ! ", "        ");
        }
    }
    if !apart.is_empty() {
        page.heading("No access in common");
        let named: Vec<&str> = apart.iter().map(|job| job.job.as_str()).collect();
        page.text(&named.join(", "), "  ", "  ");
    }
    if !also.lying_open.is_empty() {
        page.heading("Age unknown, within reach (--renew POSITION replaces it)");
        for position in &also.lying_open {
            page.text(&lying(position), "  ", "    ");
        }
    }
    page.into_text()
}

fn extra(job: &AlsoJob) -> String {
    let mut said = vec![match job.extra.operations.len() {
        0 => "no more steps".to_owned(),
        many => {
            let mut text =
                format!("{} more, {} min", count(many, "step", "steps"), plain(job.extra.minutes));
            if job.extra.untimed > 0 {
                text.push_str(&format!(" and {} not timed", job.extra.untimed));
            }
            if let Some(minutes) =
                job.minutes_by_itself.filter(|minutes| *minutes > job.extra.minutes)
            {
                text.push_str(&format!(" ({} by itself)", plain(minutes)));
            }
            text
        }
    }];
    said.push(match job.extra.parts.len() {
        0 => "no more parts".to_owned(),
        many => count(many, "more part", "more parts"),
    });
    let offered = job.unpriced.is_empty() || job.extra.parts.len() > job.unpriced.len();
    if let Some(cost) = job.cost.filter(|_| offered) {
        said.push(format!("{} {} more to order", Money(cost), job.currency).replace("  ", " "));
    }
    said.join("; ")
}

fn lying(open: &LyingOpen) -> String {
    let name = if open.name.is_empty() { String::new() } else { format!(" ({})", open.name) };
    let current = if open.current.is_empty() { "part not looked up" } else { &open.current };
    let does = match open.action.as_str() {
        "" => "within reach, not touched",
        "inspect" => "inspected anyway",
        _ => "taken off, reused",
    };
    format!("{}{name}: {current}; {does}", open.position)
}
