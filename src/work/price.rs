//! What a kit would cost to order, where prices are known: for comparing, not for ordering.

use crate::buy::cheapest::Patience;
use crate::buy::market::Terms;
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
    /// The parts that nobody offers: they are not in the total.
    pub unpriced: Vec<String>,
    /// Nothing can cost less; else the time was up.
    pub proven: bool,
}

/// Works out the least total for a kit.
///
/// # Errors
/// Prices that cannot be added up, or a solver that fails; in words.
pub fn price(
    ask: &Ask,
    kit: &Kit,
    terms: &Terms,
    lookup: &dyn Lookup,
    patience: &mut Patience,
) -> Result<Price, String> {
    let plan = least_total(ask, kit, terms, lookup, patience).map_err(|why| why.to_string())?;
    Ok(Price {
        total: plan.total,
        currency: plan.currency,
        unpriced: plan.unsourced.into_iter().map(|missing| missing.part).collect(),
        proven: plan.proven,
    })
}

/// Gives a decimal as a JSON number.
pub(super) fn number<S: Serializer>(value: &Decimal, serializer: S) -> Result<S::Ok, S::Error> {
    json_number(*value).serialize(serializer)
}

/// Gives a decimal, where there is one, as a JSON number.
pub(super) fn maybe_number<S: Serializer>(value: &Option<Decimal>, serializer: S) -> Result<S::Ok, S::Error> {
    match value {
        Some(value) => number(value, serializer),
        None => serializer.serialize_none(),
    }
}
