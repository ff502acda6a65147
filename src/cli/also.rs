//! The command `also`.

use super::args::{AlsoAsk, Catalog};
use super::opening::with_catalog;
use super::page::{Page, count};
use super::{Answer, Ended};
use crate::buy::cheapest::Patience;
use crate::buy::market::Terms;
use crate::desk::{self, day};
use crate::kit::NoKit;
use crate::measure::{Money, Quantity, plain};
use crate::work::also::{Also, AlsoJob, LyingOpen, also};
use crate::work::difference::{Amount, Difference};
use std::time::Duration;

/// How long one job's price may take; a price that takes longer is the best found so far.
pub(super) const PATIENCE: Duration = Duration::from_secs(3);

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
        "With {} on {}: {} the way in, {} of unknown age open",
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
        page.heading("Over the chosen jobs, least extra work first");
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
                &format!("nobody offers {}, so its cost is not counted", job.unpriced.join(", ")),
                "      ",
            );
        }
        for gap in &job.extra.gaps {
            page.text(
                &format!("opens a gap: {} {}", gap.kind, gap.subject),
                "      ! ",
                "        ",
            );
        }
    }
    if !apart.is_empty() {
        page.heading("Share nothing of the way in");
        let named: Vec<&str> = apart.iter().map(|job| job.job.as_str()).collect();
        page.text(&named.join(", "), "  ", "  ");
    }
    if !also.lying_open.is_empty() {
        page.heading("Of unknown age, and open anyway (renew with --renew POSITION)");
        for position in &also.lying_open {
            page.text(&lying(position), "  ", "    ");
        }
    }
    page.into_text()
}

fn extra(job: &AlsoJob) -> String {
    let mut said = vec![match job.extra.operations.len() {
        0 => "no more operations".to_owned(),
        many => {
            let mut text = format!(
                "{} more, {} min",
                count(many, "operation", "operations"),
                plain(job.extra.minutes)
            );
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
        many => count(many, "line of parts", "lines of parts"),
    });
    let offered = job.unpriced.is_empty() || job.extra.parts.len() > job.unpriced.len();
    if let Some(cost) = job.cost.filter(|_| offered) {
        said.push(format!("{} {} more to order", Money(cost), job.currency).replace("  ", " "));
    }
    said.join("; ")
}

/// What is needed more and less of.
pub(super) fn difference(extra: &Difference, page: &mut Page) {
    for (word, parts) in [("more:", &extra.parts), ("less:", &extra.less)] {
        if !parts.is_empty() {
            let parts: Vec<String> = parts.iter().map(amount).collect();
            page.quiet(&format!("{word} {}", parts.join(", ")), "      ");
        }
    }
    if !extra.without.is_empty() {
        page.quiet(&format!("not done: {}", extra.without.join(", ")), "      ");
    }
}

fn amount(amount: &Amount) -> String {
    if amount.quantity.is_zero() {
        return format!("{} as needed", amount.part);
    }
    format!("{} × {}", Quantity::new(amount.quantity, amount.unit).shown(), amount.part)
}

fn lying(open: &LyingOpen) -> String {
    let name = if open.name.is_empty() { String::new() } else { format!(" ({})", open.name) };
    let current = if open.current.is_empty() { "part not looked up" } else { &open.current };
    let does = match open.action.as_str() {
        "" => "within reach, not touched",
        "inspect" => "looked at anyway",
        _ => "taken off and kept",
    };
    format!("{}{name}: {current}; {does}", open.position)
}
