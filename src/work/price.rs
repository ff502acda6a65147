//! What a kit would cost to order, where prices are known: for comparing, not for ordering.

use crate::buy::answer::Unsourced;
use crate::buy::cheapest::Patience;
use crate::buy::market::{Refused, Terms};
use crate::buy::order::least_total;
use crate::catalog::Lookup;
use crate::kit::{Ask, Kit};
use crate::measure::json_number;
use rust_decimal::Decimal;
use serde::{Serialize, Serializer};

/// What a kit would cost.
#[derive(Debug, Clone, Serialize)]
pub struct Price {
    /// Goods and parcels, less what the shelf gives.
    #[serde(serialize_with = "number")]
    pub total: Decimal,
    /// The currency; blank where the suppliers name none.
    pub currency: String,
    /// What nobody offers: it is not in the total.
    #[serde(rename = "unpriced", serialize_with = "part_numbers")]
    pub unsourced: Vec<Unsourced>,
    /// How many parcels it takes.
    #[serde(skip)]
    pub parcels: usize,
    /// Nothing can cost less; else the time was up.
    pub proven: bool,
}

/// Works out the least total for a kit.
///
/// # Errors
/// Prices that cannot be added up, or a solver that fails.
pub fn price(
    ask: &Ask,
    kit: &Kit,
    terms: &Terms,
    lookup: &dyn Lookup,
    patience: &mut Patience,
) -> Result<Price, Refused> {
    let plan = least_total(ask, kit, terms, lookup, patience)?;
    Ok(Price {
        total: plan.total,
        currency: plan.currency,
        unsourced: plan.unsourced,
        parcels: plan.orders.len(),
        proven: plan.proven,
    })
}

fn part_numbers<S: Serializer>(unsourced: &[Unsourced], serializer: S) -> Result<S::Ok, S::Error> {
    serializer.collect_seq(unsourced.iter().map(|missing| &missing.part))
}

/// Gives a decimal as a JSON number.
pub(super) fn number<S: Serializer>(value: &Decimal, serializer: S) -> Result<S::Ok, S::Error> {
    json_number(*value).serialize(serializer)
}

/// Gives a decimal, where there is one, as a JSON number.
pub(super) fn maybe_number<S: Serializer>(
    value: &Option<Decimal>,
    serializer: S,
) -> Result<S::Ok, S::Error> {
    match value {
        Some(value) => number(value, serializer),
        None => serializer.serialize_none(),
    }
}
