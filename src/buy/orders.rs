//! The orders that were placed: what came of each line, and what is still to come.

use crate::catalog::{Lookup, OrderLine};
use crate::kit::{Ask, Instead, Owed, left_out, rest_of};
use crate::measure::{Key, Quantity};
use rust_decimal::Decimal;

/// A line of an order with what came of it.
#[derive(Debug, Clone)]
pub struct Placed {
    /// The row.
    pub row: OrderLine,
    /// What is in a pack.
    pub pack: Quantity,
    /// How much was ordered, in the pack's unit.
    pub ordered: Decimal,
    /// How much came, in the pack's unit.
    pub came: Decimal,
}

impl Placed {
    /// Reads a row; where it does not say what is in a pack, the supplier's offer does.
    pub fn new(row: &OrderLine, lookup: &dyn Lookup) -> Self {
        let pack = row.pack.unwrap_or_else(|| offered_pack(row, lookup));
        let ordered = row.packs.saturating_mul(pack.amount);
        let came = Placed::came_of(row, pack, ordered);
        Placed { row: row.clone(), pack, ordered, came }
    }

    /// How much came by the row as it is in the table, in the pack's unit.
    pub fn came_by_row(&self) -> Decimal {
        Placed::came_of(&self.row, self.pack, self.ordered)
    }

    fn came_of(row: &OrderLine, pack: Quantity, ordered: Decimal) -> Decimal {
        match (&row.received, &row.received_quantity) {
            (_, Some(came)) => came.0.to(pack.unit).map_or(came.0.amount, |came| came.amount),
            (Some(_), None) => ordered,
            (None, None) => Decimal::ZERO,
        }
    }

    /// How much is still to come; nothing where the rest will not come.
    pub fn outstanding(&self) -> Quantity {
        let left =
            if self.row.closed == Some(true) { Decimal::ZERO } else { self.ordered - self.came };
        Quantity::new(left.max(Decimal::ZERO), self.pack.unit)
    }

    /// Something is still to come.
    pub fn is_open(&self) -> bool {
        !self.outstanding().amount.is_zero()
    }
}

/// Gives every line of every order.
pub fn placed(lookup: &dyn Lookup) -> Vec<Placed> {
    lookup.order_lines().iter().map(|row| Placed::new(row, lookup)).collect()
}

fn offered_pack(row: &OrderLine, lookup: &dyn Lookup) -> Quantity {
    let offers = lookup.offers_of(&row.part);
    let of_supplier = || offers.iter().filter(|offer| offer.supplier == row.supplier);
    let same_price = of_supplier().find(|offer| Some(offer.price) == row.price);
    same_price
        .or_else(|| of_supplier().next())
        .and_then(|offer| offer.pack)
        .unwrap_or(Quantity::ONE)
}

/// A kit for which something was ordered, or the shelf is to keep its parts.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Spoken {
    /// The machine.
    pub machine: Key,
    /// The jobs that are still to be done; none where only positions are renewed.
    pub jobs: Vec<Key>,
    /// Their options.
    pub options: Vec<Key>,
    /// Positions that are renewed besides.
    pub renew: Vec<Key>,
    /// Positions whose single-use part goes back in.
    pub reuse: Vec<Key>,
    /// Parts of the person's choice.
    pub instead: Vec<Instead>,
    /// The day of the first order for it; blank where no order was placed.
    pub since: String,
    /// The job is half done: only the positions that are renewed, and the parts chosen for them, are left of it.
    pub rest: bool,
    /// What the jobs half done still owe.
    pub owed: Vec<Owed>,
}

impl Spoken {
    /// A job by itself, for which no order was placed.
    pub fn job(machine: Key, job: Key) -> Self {
        Spoken {
            machine,
            jobs: vec![job],
            options: Vec::new(),
            renew: Vec::new(),
            reuse: Vec::new(),
            instead: Vec::new(),
            since: String::new(),
            rest: false,
            owed: Vec::new(),
        }
    }

    /// What to work out for it.
    pub fn ask(&self) -> Ask {
        Ask {
            machine: Some(self.machine.clone()),
            jobs: if self.rest { Vec::new() } else { self.jobs.clone() },
            options: self.options.clone(),
            renew: self.renew.clone(),
            reuse: self.reuse.clone(),
            instead: self.instead.clone(),
            insist: true,
            owed: self.owed.clone(),
            ..Ask::default()
        }
    }

    /// Takes out what an ask is about itself; `None` where nothing is left.
    pub fn beside(mut self, machine: &Key, jobs: &[Key], renew: &[Key]) -> Option<Self> {
        if self.machine == *machine {
            if self.rest && self.ask().positions().iter().all(|position| renew.contains(position)) {
                return None;
            }
            let before = self.jobs.len();
            self.jobs.retain(|job| !jobs.contains(job));
            // What was renewed besides a job is part of that job's order.
            if self.jobs.is_empty() && before > 0 {
                return None;
            }
            self.renew.retain(|position| !renew.contains(position));
        }
        (!self.jobs.is_empty() || !self.renew.is_empty()).then_some(self)
    }

    /// A line of an order was placed for this.
    pub fn is_for(&self, line: &Placed) -> bool {
        let same = line.row.machine.as_ref() == Some(&self.machine);
        same && match &line.row.job {
            Some(job) => self.jobs.contains(job),
            None => line.row.renew.iter().any(|position| self.renew.contains(position)),
        }
    }

    /// Its name for a person.
    pub fn name(&self) -> String {
        let list =
            |keys: &[Key]| keys.iter().map(ToString::to_string).collect::<Vec<_>>().join(" + ");
        if self.rest {
            return format!("the rest of {}", list(&self.jobs));
        }
        match (self.jobs.is_empty(), self.renew.is_empty()) {
            (true, _) => format!("the renewal of {}", list(&self.renew)),
            (false, true) => list(&self.jobs),
            (false, false) => format!("{} with {} renewed", list(&self.jobs), list(&self.renew)),
        }
    }

    fn join(&mut self, other: Self) {
        fn add<T: PartialEq>(to: &mut Vec<T>, from: Vec<T>) {
            for item in from {
                if !to.contains(&item) {
                    to.push(item);
                }
            }
        }
        add(&mut self.jobs, other.jobs);
        add(&mut self.options, other.options);
        add(&mut self.renew, other.renew);
        add(&mut self.reuse, other.reuse);
        // What was chosen for a position later is what counts.
        self.instead.retain(|known| other.instead.iter().all(|new| new.position != known.position));
        add(&mut self.instead, other.instead);
        add(&mut self.owed, other.owed);
        self.since = std::mem::take(&mut self.since).min(other.since);
    }

    /// The two are for the same work, in part at least.
    fn overlaps(&self, other: &Self) -> bool {
        let alone = self.jobs.is_empty() && other.jobs.is_empty();
        self.machine == other.machine
            && (self.jobs.iter().any(|job| other.jobs.contains(job))
                || alone && self.renew.iter().any(|position| other.renew.contains(position)))
    }
}

/// The kits for which something was ordered, less the jobs and positions that the log names as done on that day or later.
///
/// Until then what the shelf holds for them is spoken for, whether or not the parcel has come. Jobs that were ordered
/// for in one go are one kit, for what they share is needed once. Of a job half done only what was left out is kept.
pub fn spoken_for(lookup: &dyn Lookup) -> Vec<Spoken> {
    let mut kits: Vec<Spoken> = Vec::new();
    let mut rests: Vec<Spoken> = Vec::new();
    for row in lookup.order_lines().iter() {
        let Some(machine) = &row.machine else { continue };
        let since = row.date.as_str().to_owned();
        let mut jobs = row.jobs.clone();
        jobs.extend(row.job.iter().filter(|job| !row.jobs.contains(job)).cloned());
        let asked = !jobs.is_empty();
        if row.rest == Some(true) {
            if let Some(mut new) = rest(row, machine, jobs, lookup) {
                while let Some(known) = rests.iter().position(|known| known.overlaps(&new)) {
                    let mut known = rests.remove(known);
                    known.join(new);
                    new = known;
                }
                rests.push(new);
            }
            continue;
        }
        let done: Vec<Key> =
            jobs.iter().filter(|job| is_done(machine, job, &since, lookup)).cloned().collect();
        jobs.retain(|job| !done.contains(job));
        for job in done {
            let known = |rest: &Spoken| rest.machine == *machine && rest.jobs.contains(&job);
            if !rests.iter().any(known) {
                let owed = left_out(machine, &job, lookup)
                    .iter()
                    .any(|left| left.date.as_str() >= since.as_str());
                rests.extend(owed.then(|| rest(row, machine, vec![job], lookup)).flatten());
            }
        }
        let mut renew = row.renew.clone();
        renew.retain(|position| !is_renewed(machine, position, &since, lookup));
        if jobs.is_empty() && (asked || renew.is_empty()) {
            continue;
        }
        let instead = row
            .instead
            .iter()
            .map(|need| Instead { position: need.position.clone(), change: need.change.clone() });
        let mut new = Spoken {
            machine: machine.clone(),
            jobs,
            options: row.options.clone(),
            renew,
            reuse: row.reuse.clone(),
            instead: instead.collect(),
            since,
            rest: false,
            owed: Vec::new(),
        };
        while let Some(known) = kits.iter().position(|known| known.overlaps(&new)) {
            let mut known = kits.remove(known);
            known.join(new);
            new = known;
        }
        kits.push(new);
    }
    kits.extend(rests);
    kits.sort_by(|a, b| a.since.cmp(&b.since));
    kits
}

/// What is left of jobs that were ordered for and are half done.
fn rest(row: &OrderLine, machine: &Key, jobs: Vec<Key>, lookup: &dyn Lookup) -> Option<Spoken> {
    let instead = row
        .instead
        .iter()
        .map(|need| Instead { position: need.position.clone(), change: need.change.clone() });
    let spoken = Spoken {
        jobs,
        options: row.options.clone(),
        instead: instead.collect(),
        since: row.date.as_str().to_owned(),
        ..Spoken::job(machine.clone(), Key::new(""))
    };
    // What was renewed besides the whole job was renewed with it; what was asked for with the rest is still to come.
    let of_rest = row.rest == Some(true);
    let besides =
        if of_rest { (row.renew.clone(), row.reuse.clone()) } else { (Vec::new(), Vec::new()) };
    let ask = Ask { renew: besides.0, reuse: besides.1, ..spoken.ask() };
    let left = rest_of(&ask, lookup).ok()??;
    Some(Spoken {
        options: Vec::new(),
        renew: left.renew,
        reuse: left.reuse,
        instead: left.instead,
        owed: left.owed,
        rest: true,
        ..spoken
    })
}

fn is_done(machine: &Key, job: &Key, since: &str, lookup: &dyn Lookup) -> bool {
    let log = lookup.log_of(machine);
    log.iter().any(|entry| entry.job.as_ref() == Some(job) && entry.date.as_str() >= since)
}

fn is_renewed(machine: &Key, position: &Key, since: &str, lookup: &dyn Lookup) -> bool {
    let log = lookup.log_of(machine);
    log.iter().any(|entry| {
        entry.position.as_ref() == Some(position)
            && entry.part.part().is_some()
            && entry.date.as_str() >= since
    })
}
