//! What is still to come, and which jobs are now fully on the shelf.

use super::answer::{number, symbol};
use super::cheapest::Patience;
use super::market::Terms;
use super::order::on_the_shelf;
use super::orders::{Placed, placed, spoken_for};
use super::shelf::Shelf;
use crate::catalog::Lookup;
use crate::measure::{Date, PartNumber, Unit};
use rust_decimal::Decimal;
use rust_decimal::prelude::ToPrimitive;
use serde::Serialize;
use std::time::Duration;

/// The answer.
#[derive(Debug, Clone, Serialize)]
pub struct Waiting {
    /// What is still to come.
    pub waiting: Vec<ToCome>,
    /// The jobs for which something was ordered and which the log does not yet name as done.
    pub jobs: Vec<JobReady>,
}

/// Something that is still to come.
#[derive(Debug, Clone, Serialize)]
pub struct ToCome {
    /// The order.
    pub order: String,
    /// The day of it.
    pub date: String,
    /// The supplier.
    pub supplier: String,
    /// The part.
    pub part: String,
    /// What its maker calls it.
    pub name: String,
    /// How much was ordered.
    #[serde(serialize_with = "number")]
    pub ordered: Decimal,
    /// How much came.
    #[serde(serialize_with = "number")]
    pub came: Decimal,
    /// How much is still to come.
    #[serde(serialize_with = "number")]
    pub quantity: Decimal,
    /// The unit.
    #[serde(serialize_with = "symbol")]
    pub unit: Unit,
    /// The day on which it should be here; `null` where nobody typed how many days the supplier takes.
    pub due: Option<String>,
    /// That day is past.
    pub overdue: bool,
    /// The machine that it is for.
    pub machine: Option<String>,
    /// The job that it is for.
    pub job: Option<String>,
}

/// Whether a job can begin.
#[derive(Debug, Clone, Serialize)]
pub struct JobReady {
    /// The machine.
    pub machine: String,
    /// The jobs, or the positions that are renewed without one.
    pub job: String,
    /// Their options.
    pub options: Vec<String>,
    /// Everything that its kit calls for lies on the shelf, and the kit has no gaps.
    pub ready: bool,
    /// The kit has no gaps.
    pub complete: bool,
    /// What is not on the shelf.
    pub missing: Vec<Missing>,
    /// Why the kit could not be worked out.
    pub trouble: Option<String>,
}

/// Something that is not on the shelf.
#[derive(Debug, Clone, Serialize)]
pub struct Missing {
    /// The part.
    pub part: String,
    /// How much of it.
    #[serde(serialize_with = "number")]
    pub quantity: Decimal,
    /// The unit.
    #[serde(serialize_with = "symbol")]
    pub unit: Unit,
    /// An order for it, or for something that may stand in for it, is open for this job.
    pub on_order: bool,
}

/// Looks through every order and every job for which something was ordered.
pub fn waiting(today: &Date, lookup: &dyn Lookup) -> Waiting {
    let lines = placed(lookup);
    let waiting = lines
        .iter()
        .filter(|line| line.is_open())
        .map(|line| to_come(line, today, lookup))
        .collect();
    let terms = Terms::open(today);
    let mut quiet = |_| {};
    let mut patience = Patience { most: Duration::from_secs(10), progress: &mut quiet };
    // What one job takes off the shelf is not there for the next.
    let mut shelf = Shelf::new(lookup);
    let mut jobs = Vec::new();
    for spoken in spoken_for(lookup) {
        let mut job = JobReady {
            machine: spoken.machine.to_string(),
            job: spoken.name(),
            options: spoken.options.iter().map(ToString::to_string).collect(),
            ready: false,
            complete: false,
            missing: Vec::new(),
            trouble: None,
        };
        let mut open: Vec<PartNumber> = Vec::new();
        for line in lines.iter().filter(|line| line.is_open()) {
            if spoken.is_for(line) {
                open.push(line.row.part.clone());
            }
        }
        match on_the_shelf(&spoken, &mut shelf, &terms, lookup, &mut patience) {
            Ok((kit, plan)) => {
                job.complete = kit.complete;
                job.missing = plan
                    .unsourced
                    .into_iter()
                    .map(|missing| Missing {
                        on_order: open.iter().any(|part| {
                            PartNumber::new(&missing.part).as_ref() == Some(part)
                                || holds(part, &missing.part, lookup)
                        }),
                        part: missing.part,
                        quantity: missing.quantity,
                        unit: missing.unit,
                    })
                    .collect();
                job.ready = job.complete && job.missing.is_empty();
            }
            Err(trouble) => job.trouble = Some(trouble),
        }
        jobs.push(job);
    }
    Waiting { waiting, jobs }
}

/// A set that is on order holds the part, or the one is the same as the other under another number.
fn holds(ordered: &PartNumber, part: &str, lookup: &dyn Lookup) -> bool {
    let Some(part) = PartNumber::new(part) else { return false };
    super::needs::inside(ordered, lookup).iter().any(|item| item.part == part)
        || lookup
            .equivalents_of(&part)
            .iter()
            .any(|row| row.part == *ordered || row.other == *ordered)
        || lookup.supersessions_of(ordered).iter().any(|row| row.new == part)
}

fn to_come(line: &Placed, today: &Date, lookup: &dyn Lookup) -> ToCome {
    let row = &line.row;
    let days = lookup.supplier(&row.supplier).and_then(|supplier| supplier.days);
    let due = days.and_then(|days| after(&row.date, days));
    let left = line.outstanding();
    ToCome {
        order: row.order.to_string(),
        date: row.date.to_string(),
        supplier: row.supplier.to_string(),
        part: lookup.spell_part(&row.part).to_string(),
        name: lookup.part(&row.part).map_or_else(String::new, |part| part.name.clone()),
        ordered: line.ordered,
        came: line.came,
        quantity: left.amount,
        unit: left.unit,
        overdue: due.as_deref().is_some_and(|due| due < today.as_str()),
        due,
        machine: row.machine.as_ref().map(ToString::to_string),
        job: row.job.as_ref().map(ToString::to_string),
    }
}

/// The day so many days after another.
fn after(day: &Date, days: Decimal) -> Option<String> {
    let start: jiff::civil::Date = day.as_str().parse().ok()?;
    let span = jiff::Span::new().try_days(days.ceil().to_i64()?).ok()?;
    start.checked_add(span).ok().map(|due| due.to_string())
}
