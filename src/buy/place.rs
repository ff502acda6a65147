//! Writes a plan down as orders.

use super::answer::OrderPlan;
use crate::catalog::{Lookup, Need};
use crate::kit::{Ask, Kit, each_alone, work_out};
use crate::measure::{Date, Key, Money, Quantity, plain};
use crate::tables::{Edit, FileEdits};

/// The rows to write, and the names of the orders.
#[derive(Debug, Clone)]
pub struct Placement {
    /// Each order with its supplier.
    pub orders: Vec<(String, String)>,
    /// The change to the table orders.
    pub edits: FileEdits,
}

/// Turns each parcel of a plan into an order of its own, numbered on from the year's last.
///
/// `file` is the table file that takes the rows.
pub fn place(
    plan: &OrderPlan,
    kit: &Kit,
    ask: &Ask,
    day: &Date,
    file: String,
    lookup: &dyn Lookup,
) -> Placement {
    let year = day.as_str().split('-').next().unwrap_or_default();
    let taken = lookup.order_lines();
    let last = taken.iter().filter_map(|row| {
        let (of_year, number) = row.order.as_str().rsplit_once('-')?;
        (of_year == year).then(|| number.parse::<u64>().ok()).flatten()
    });
    let mut next = last.max().unwrap_or_default();
    let kits = single_kits(ask, lookup);
    let jobs = jobs(kit, ask, lookup);
    let asked = asked(kit, ask, &jobs);
    let mut placement = Placement {
        orders: Vec::new(),
        edits: FileEdits { table: "orders", name: file, edits: Vec::new() },
    };
    for parcel in &plan.orders {
        next = next.saturating_add(1);
        let order = format!("{year}-{next:02}");
        for line in &parcel.lines {
            let calls =
                |kit: &Kit| kit.lines.iter().any(|wanted| line.serves.contains(&wanted.part));
            let job = kits.iter().find(|(_, kit)| calls(kit)).map(|(job, _)| job).or(jobs.first());
            let mut cells = vec![
                ("order".to_owned(), order.clone()),
                ("date".to_owned(), day.to_string()),
                ("supplier".to_owned(), parcel.supplier.clone()),
                ("part".to_owned(), line.part.clone()),
                ("packs".to_owned(), plain(line.packs)),
                ("price".to_owned(), Money(line.own_price).to_string()),
                ("pack".to_owned(), Quantity::new(line.pack, line.pack_unit).to_string()),
                ("machine".to_owned(), kit.machine.clone()),
            ];
            cells.extend(job.map(|job| ("job".to_owned(), job.to_string())));
            cells.extend(asked.iter().cloned());
            placement.edits.edits.push(Edit::Append { cells });
        }
        placement.orders.push((order, parcel.supplier.clone()));
    }
    placement
}

/// The jobs that are ordered for, or of which the rest is, as their own table spells them.
fn jobs(kit: &Kit, ask: &Ask, lookup: &dyn Lookup) -> Vec<Key> {
    let Some(whole) = &ask.rest_of else {
        return kit.jobs.iter().map(|job| Key::new(job)).collect();
    };
    let spelled =
        |job: &Key| lookup.jobs(job).first().map_or_else(|| job.clone(), |row| row.job.clone());
    whole.jobs.iter().map(spelled).collect()
}

/// The cells that tell what was asked for beyond the one job, so that its kit can be worked out again. What is left of a
/// job half done is told as it was asked: by then the log says what that is.
fn asked(kit: &Kit, ask: &Ask, jobs: &[Key]) -> Vec<(String, String)> {
    let keys = |keys: &[Key]| keys.iter().map(ToString::to_string).collect::<Vec<_>>();
    let told = ask.told();
    let instead = told.instead.iter().map(|instead| {
        Need { position: instead.position.clone(), change: instead.change.clone() }.to_string()
    });
    let options = if ask.rest_of.is_some() { keys(&told.options) } else { kit.options.clone() };
    let cells = [
        ("jobs", if jobs.len() > 1 { keys(jobs) } else { Vec::new() }),
        ("options", options),
        ("renew", keys(&told.renew)),
        ("reuse", keys(&told.reuse)),
        ("instead", instead.collect()),
        ("rest", if ask.rest_of.is_some() { vec!["yes".to_owned()] } else { Vec::new() }),
    ];
    let filled = cells.into_iter().filter(|(_, items)| !items.is_empty());
    filled.map(|(column, items)| (column.to_owned(), items.join(";"))).collect()
}

/// The kit of each job by itself, so that each line of an order can be written down for the job that calls for it.
fn single_kits(ask: &Ask, lookup: &dyn Lookup) -> Vec<(Key, Kit)> {
    let alone = each_alone(ask, lookup);
    alone.into_iter().filter_map(|(job, ask)| Some((job, work_out(&ask, lookup).ok()?))).collect()
}
