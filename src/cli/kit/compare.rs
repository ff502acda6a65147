//! The options of a job side by side: `kit --compare`.

use super::super::passages::{PATIENCE, difference};
use super::super::printing::{Page, count};
use super::super::{Answer, Ended};
use crate::buy::cheapest::Patience;
use crate::buy::market::Terms;
use crate::catalog::Lookup;
use crate::desk::day;
use crate::kit::Ask;
use crate::measure::{Money, plain};
use crate::say::{missing_amount, no_parcel};
use crate::work::options::{Compared, MOST, OptionSet, compare};

pub(crate) fn run(
    ask: &Ask,
    lookup: &dyn Lookup,
    notes: String,
    json: bool,
) -> anyhow::Result<Answer> {
    let mut quiet = |_| {};
    let mut patience = Patience { most: PATIENCE, progress: &mut quiet };
    let compared = match compare(ask, &Terms::open(&day(None)?), lookup, &mut patience) {
        Ok(compared) => compared,
        Err(why) => return Ok(Answer::refused(format!("{notes}error: {why}\n"))),
    };
    let whole = compared.sets.iter().all(|set| set.complete && set.doubts == 0) && !compared.more;
    let ended = Ended::with(compared.sets.iter().all(|set| set.complete) && !compared.more);
    let out = if json {
        format!("{}\n", serde_json::to_string_pretty(&compared)?)
    } else {
        page(&compared, whole)
    };
    Ok(Answer { out, err: notes, ended })
}

fn page(compared: &Compared, whole: bool) -> String {
    let mut page = Page::default();
    let sets = count(compared.sets.len(), "option set", "option sets");
    let title = format!("{} on {}: {sets}", compared.title, compared.machine);
    page.answer(&title, whole);
    if compared.choices.is_empty() {
        page.text("No line of these jobs asks about an option that is still to be chosen.", "", "");
    }
    if compared.more {
        page.text(
            &format!(
                "There are more: only the {MOST} with the fewest options were worked out. Settle some with --with."
            ),
            "! ",
            "  ",
        );
    }
    for remark in &compared.remarks {
        page.text(remark, "! ", "  ");
    }
    for (index, set) in compared.sets.iter().enumerate() {
        let named =
            if set.options.is_empty() { "no option".to_owned() } else { set.options.join(", ") };
        page.heading(&format!("With {named}"));
        page.text(&summary(set), "  ", "  ");
        for gap in &set.gaps {
            page.text(&format!("{} {}", gap.kind, gap.subject), "    ! ", "      ");
        }
        if index > 0 {
            let more: Vec<&str> =
                set.against_first.operations.iter().map(|extra| extra.operation.as_str()).collect();
            if !more.is_empty() {
                page.quiet(&format!("also does {}", more.join(", ")), "      ");
            }
            difference(&set.against_first, &mut page);
        }
        if let Some(price) = set.price.as_ref().filter(|price| !price.unsourced.is_empty()) {
            let missing: Vec<String> = price.unsourced.iter().map(missing_amount).collect();
            let counted = if price.parcels == 0 { "" } else { ", so its price is not counted" };
            page.quiet(&format!("no supplier offers {}{counted}", missing.join(", ")), "      ");
        }
    }
    page.into_text()
}

fn summary(set: &OptionSet) -> String {
    let mut said = vec![if set.complete {
        "complete".to_owned()
    } else {
        format!("NOT complete: {}", count(set.gaps.len(), "gap", "gaps"))
    }];
    if set.doubts > 0 {
        said.push(format!("{} to check", count(set.doubts, "thing", "things")));
    }
    said.push(count(set.parts.len(), "part", "parts"));
    let mut work = count(set.operations.len(), "step", "steps");
    if !set.minutes.is_zero() {
        work.push_str(&format!(", about {} min", plain(set.minutes)));
    }
    if set.untimed > 0 && !set.minutes.is_zero() {
        work.push_str(&format!(" and {} not timed", set.untimed));
    }
    said.push(work);
    if let Some(price) = &set.price {
        let mut text = match price.parcels {
            0 => no_parcel(price.unsourced.len()).to_owned(),
            _ => format!("{} {} to order", Money(price.total), price.currency).replace("  ", " "),
        };
        if !price.proven {
            text.push_str(" or less");
        }
        said.push(text);
    }
    said.join("; ")
}
