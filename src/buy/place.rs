//! Writes a plan down as orders.

use super::answer::OrderPlan;
use crate::catalog::{Lookup, Need};
use crate::kit::{Ask, Kit, work_out};
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
pub fn place(plan: &OrderPlan, kit: &Kit, ask: &Ask, day: &Date, file: String, lookup: &dyn Lookup) -> Placement {
    let year = day.as_str().split('-').next().unwrap_or_default();
    let taken = lookup.order_lines();
    let last = taken.iter().filter_map(|row| {
        let (of_year, number) = row.order.as_str().rsplit_once('-')?;
        (of_year == year).then(|| number.parse::<u64>().ok()).flatten()
    });
    let mut next = last.max().unwrap_or_default();
    let kits = single_kits(kit, ask, lookup);
    let asked = asked(kit, ask);
    let mut placement =
        Placement { orders: Vec::new(), edits: FileEdits { table: "orders", name: file, edits: Vec::new() } };
    for parcel in &plan.orders {
        next = next.saturating_add(1);
        let order = format!("{year}-{next:02}");
        for line in &parcel.lines {
            let calls = |kit: &Kit| kit.lines.iter().any(|wanted| line.serves.contains(&wanted.part));
            let job = kits.iter().find(|(_, kit)| calls(kit)).map(|(job, _)| job).or(kit.jobs.first());
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
            cells.extend(job.map(|job| ("job".to_owned(), job.clone())));
            cells.extend(asked.iter().cloned());
            placement.edits.edits.push(Edit::Append { cells });
        }
        placement.orders.push((order, parcel.supplier.clone()));
    }
    placement
}

/// The cells that tell what was asked for beyond the one job, so that its kit can be worked out again.
fn asked(kit: &Kit, ask: &Ask) -> Vec<(String, String)> {
    let keys = |keys: &[Key]| keys.iter().map(ToString::to_string).collect::<Vec<_>>();
    let instead = ask
        .instead
        .iter()
        .map(|instead| Need { position: instead.position.clone(), change: instead.change.clone() }.to_string());
    let jobs = if kit.jobs.len() > 1 { kit.jobs.clone() } else { Vec::new() };
    let cells = [
        ("jobs", jobs),
        ("options", kit.options.clone()),
        ("renew", keys(&ask.renew)),
        ("reuse", keys(&ask.reuse)),
        ("instead", instead.collect()),
    ];
    let filled = cells.into_iter().filter(|(_, items)| !items.is_empty());
    filled.map(|(column, items)| (column.to_owned(), items.join(";"))).collect()
}

/// The kit of each job by itself, so that each line of an order can be written down for the job that calls for it.
fn single_kits(kit: &Kit, ask: &Ask, lookup: &dyn Lookup) -> Vec<(String, Kit)> {
    if kit.jobs.len() < 2 {
        return Vec::new();
    }
    let alone = |job: &String| {
        let ask = Ask { jobs: vec![Key::new(job)], insist: true, reuse: Vec::new(), ..ask.clone() };
        work_out(&ask, lookup).ok().map(|kit| (job.clone(), kit))
    };
    kit.jobs.iter().filter_map(alone).collect()
}
