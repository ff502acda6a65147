//! What else could be done while it is apart: other jobs that share the way in, and what of unknown age lies open.

use super::difference::{Difference, difference};
use super::options::nobody_asks;
use super::price::{Price, maybe_number, price};
use crate::buy::cheapest::Patience;
use crate::buy::market::{Refused, Terms};
use crate::catalog::{Applies, Fitted, Lookup, rows_for};
use crate::kit::{Action, Ask, Bench, Kit, NoKit, Refusal, Unknown, checked};
use crate::measure::{Key, LogDate};
use rust_decimal::Decimal;
use serde::Serialize;
use std::collections::HashSet;

/// What else could be done.
#[derive(Debug, Clone, Serialize)]
pub struct Also {
    /// The machine.
    pub machine: String,
    /// What was chosen, as a heading.
    #[serde(skip)]
    pub title: String,
    /// The jobs chosen.
    pub jobs: Vec<String>,
    /// The chosen jobs' kit has no gaps.
    pub complete: bool,
    /// The other jobs, least extra work first.
    pub also: Vec<AlsoJob>,
    /// What lies open anyway and is of unknown age, by place.
    pub lying_open: Vec<LyingOpen>,
    /// Jobs that could not be worked out with the chosen ones, and why; and what keeps prices from being compared.
    pub remarks: Vec<String>,
}

/// Another job, done in one go with the chosen ones.
#[derive(Debug, Clone, Serialize)]
pub struct AlsoJob {
    /// The job.
    pub job: String,
    /// What it is, in words.
    pub name: String,
    /// The operations that it shares with the chosen jobs, in strip order.
    pub shares: Vec<String>,
    /// The minutes of its operations, were it done by itself; `null` where it cannot be worked out so.
    #[serde(serialize_with = "maybe_number")]
    pub minutes_by_itself: Option<Decimal>,
    /// What it asks for over the chosen jobs.
    #[serde(flatten)]
    pub extra: Difference,
    /// The kit of all of them together has no gaps.
    pub complete: bool,
    /// When the machine had it last; blank where nobody knows when, `null` where the log does not name it.
    pub done: Option<String>,
    /// What it costs over the chosen jobs; `null` where prices cannot be compared.
    #[serde(serialize_with = "maybe_number")]
    pub cost: Option<Decimal>,
    /// The currency of the cost.
    pub currency: String,
    /// The extra parts that nobody offers: they are not in the cost.
    pub unpriced: Vec<String>,
}

/// A position of unknown age that lies open.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct LyingOpen {
    /// The position.
    pub position: String,
    /// What sits there, in words.
    pub name: String,
    /// What sits there now; blank where nobody has looked it up.
    pub current: String,
    /// What the plan does with it: inspect or keep; blank where it is only within reach.
    pub action: String,
}

/// Looks at every other job for the machine, and at what lies open.
///
/// # Errors
/// The chosen jobs themselves cannot be worked out.
pub fn also(
    ask: &Ask,
    terms: &Terms,
    lookup: &dyn Lookup,
    patience: &mut Patience,
) -> Result<Also, NoKit> {
    let base = checked(ask, lookup)?;
    let mut remarks: Vec<String> =
        base.unknown_options.iter().map(|option| nobody_asks(option)).collect();
    let without_price = |why: Refused, remarks: &mut Vec<String>| {
        let remark = format!("no costs: {why}");
        if !remarks.contains(&remark) {
            remarks.push(remark);
        }
    };
    let base_price = match price(ask, &base, terms, lookup, patience) {
        Ok(price) => Some(price),
        Err(why) => {
            without_price(why, &mut remarks);
            None
        }
    };
    let machine = Key::new(&base.machine);
    let Some(machine) = lookup.machine(&machine).map(|row| row.into_owned()) else {
        let unknown = Unknown::new(&machine, &lookup.machine_keys());
        return Err(Refusal::NoMachine(unknown).into());
    };
    let bench = Bench::new(machine, lookup);
    let mut jobs = Vec::new();
    for job in lookup.job_keys() {
        let rows = lookup.jobs(&job).into_owned();
        if ask.told().jobs.contains(&job) || rows_for(&rows, &bench.machine).0 == Applies::No {
            continue;
        }
        let mut wider = ask.clone();
        wider.jobs.push(job.clone());
        let kit = match checked(&wider, lookup) {
            Ok(kit) => kit,
            Err(why) => {
                remarks.push(format!("{job} could not be worked out with the rest: {why}"));
                continue;
            }
        };
        // Where the chosen jobs cannot be priced, no difference can be told.
        let wider_price =
            base_price.as_ref().and_then(|_| match price(&wider, &kit, terms, lookup, patience) {
                Ok(price) => Some(price),
                Err(why) => {
                    without_price(why, &mut remarks);
                    None
                }
            });
        let alone = Ask {
            jobs: vec![job.clone()],
            options: ask.options.clone(),
            machine: ask.machine.clone(),
            ..Ask::default()
        };
        let alone = checked(&alone, lookup).ok();
        let name = rows
            .iter()
            .map(|row| row.name.clone())
            .find(|name| !name.is_empty())
            .unwrap_or_default();
        let log = lookup.log_of(&bench.machine.machine);
        let of_job = log.iter().filter(|entry| entry.job.as_ref() == Some(&job));
        let named = Named {
            job: job.to_string(),
            name,
            done: of_job.map(|entry| &entry.date).max().cloned(),
        };
        jobs.push(also_job(named, alone.as_ref(), &kit, &base, wider_price, base_price.as_ref()));
    }
    jobs.sort_by(|a, b| {
        work(a).cmp(&work(b)).then_with(|| Key::new(&a.job).cmp(&Key::new(&b.job)))
    });
    let lying_open = lying_open(&base, &bench);
    Ok(Also {
        title: base.title(),
        machine: base.machine,
        jobs: base.jobs,
        complete: base.complete,
        also: jobs,
        lying_open,
        remarks,
    })
}

/// How much work a job adds. What nobody has timed cannot be compared with what somebody has, so jobs whose extra work
/// is timed throughout come first.
fn work(job: &AlsoJob) -> (usize, Decimal, usize) {
    (job.extra.untimed, job.extra.minutes, job.extra.operations.len())
}

struct Named {
    job: String,
    name: String,
    done: Option<LogDate>,
}

fn also_job(
    named: Named,
    alone: Option<&Kit>,
    kit: &Kit,
    base: &Kit,
    price: Option<Price>,
    base_price: Option<&Price>,
) -> AlsoJob {
    let both = price.zip(base_price);
    let cost = both.as_ref().map(|(price, base)| price.total - base.total);
    let currency = both.as_ref().map_or_else(String::new, |(price, base)| {
        if price.currency.is_empty() { base.currency.clone() } else { price.currency.clone() }
    });
    let unpriced = both.map_or_else(Vec::new, |(price, base)| {
        let before = |part: &String| base.unsourced.iter().any(|missing| missing.part == *part);
        price
            .unsourced
            .into_iter()
            .map(|missing| missing.part)
            .filter(|part| !before(part))
            .collect()
    });
    AlsoJob {
        job: named.job,
        name: named.name,
        shares: alone.map_or_else(Vec::new, |alone| shared(alone, base)),
        minutes_by_itself: alone.map(|alone| alone.minutes),
        extra: difference(kit, base),
        complete: kit.complete,
        done: named.done.map(|date| date.to_string()),
        cost,
        currency,
        unpriced,
    }
}

/// The operations that two kits have in common.
fn shared(alone: &Kit, base: &Kit) -> Vec<String> {
    let own: HashSet<&str> =
        alone.operations.iter().map(|operation| operation.operation.as_str()).collect();
    let both =
        base.operations.iter().filter(|operation| own.contains(operation.operation.as_str()));
    both.map(|operation| operation.operation.clone()).collect()
}

/// What is disturbed but stays, or is within reach by an operation of the plan, and of which no dated row of the log
/// tells the age.
fn lying_open(kit: &Kit, bench: &Bench) -> Vec<LyingOpen> {
    let lookup = bench.lookup;
    let log = lookup.log_of(&bench.machine.machine);
    let dated = log.iter().filter(|entry| entry.part != Fitted::Blank && !entry.date.is_blank());
    let known: HashSet<&Key> = dated.filter_map(|entry| entry.position.as_ref()).collect();
    let mut open: Vec<(Key, &str)> = Vec::new();
    let mut in_plan = HashSet::new();
    for planned in &kit.positions {
        let key = Key::new(&planned.position);
        in_plan.insert(key.clone());
        let action = match planned.action {
            Action::Inspect => "inspect",
            Action::Keep => "keep",
            Action::Renew | Action::LeaveOut => continue,
        };
        open.push((key, action));
    }
    for operation in &kit.operations {
        let operation = Key::new(&operation.operation);
        for position in lookup.positions_reached_by(&operation).iter() {
            let here = bench
                .place(position)
                .row()
                .is_some_and(|row| row.reached_by.as_ref() == Some(&operation));
            if here && in_plan.insert(position.clone()) {
                open.push((position.clone(), ""));
            }
        }
    }
    open.retain(|(position, _)| !known.contains(position) && bench.place(position).is_on_machine());
    open.sort_by_key(|(position, _)| bench.place(position).order());
    let rows = open.into_iter().map(|(position, action)| {
        let place = bench.place(&position);
        let parts = place.current.parts.iter().filter_map(|sitting| sitting.part.as_ref());
        let parts: Vec<String> = parts.map(|part| lookup.spell_part(part).to_string()).collect();
        LyingOpen {
            position: place.position.to_string(),
            name: place.row().map_or_else(String::new, |row| row.name.clone()),
            current: parts.join(", "),
            action: action.to_owned(),
        }
    });
    rows.collect()
}
