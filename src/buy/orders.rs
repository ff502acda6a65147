//! The orders that were placed: what came of each line, and what is still to come.

use crate::catalog::{Lookup, OrderLine};
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
        let came = match (&row.received, &row.received_quantity) {
            (_, Some(came)) => came.0.to(pack.unit).map_or(came.0.amount, |came| came.amount),
            (Some(_), None) => ordered,
            (None, None) => Decimal::ZERO,
        };
        Placed { row: row.clone(), pack, ordered, came }
    }

    /// How much is still to come; nothing where the rest will not come.
    pub fn outstanding(&self) -> Quantity {
        let left = if self.row.closed == Some(true) { Decimal::ZERO } else { self.ordered - self.came };
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
    same_price.or_else(|| of_supplier().next()).and_then(|offer| offer.pack).unwrap_or(Quantity::ONE)
}

/// A job for which something was ordered.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Spoken {
    /// The machine.
    pub machine: Key,
    /// The job.
    pub job: Key,
    /// Its options.
    pub options: Vec<Key>,
    /// The day of the first order for it; blank where no order was placed.
    pub since: String,
}

/// The jobs for which something was ordered, and which the log does not yet name as done on that day or later.
///
/// Until then what the shelf holds for them is spoken for, whether or not the parcel has come.
pub fn spoken_for(lookup: &dyn Lookup) -> Vec<Spoken> {
    let mut jobs: Vec<Spoken> = Vec::new();
    for row in lookup.order_lines().iter() {
        let (Some(machine), Some(job)) = (&row.machine, &row.job) else { continue };
        let since = row.date.as_str().to_owned();
        if is_done(machine, job, &since, lookup) {
            continue;
        }
        match jobs.iter_mut().find(|known| known.machine == *machine && known.job == *job) {
            Some(known) => {
                for option in &row.options {
                    if !known.options.contains(option) {
                        known.options.push(option.clone());
                    }
                }
            }
            None => {
                jobs.push(Spoken { machine: machine.clone(), job: job.clone(), options: row.options.clone(), since })
            }
        }
    }
    jobs.sort_by(|a, b| a.since.cmp(&b.since));
    jobs
}

fn is_done(machine: &Key, job: &Key, since: &str, lookup: &dyn Lookup) -> bool {
    let log = lookup.log_of(machine);
    log.iter().any(|entry| entry.job.as_ref() == Some(job) && entry.date.as_str() >= since)
}
