//! Who sells what, on which terms.

use crate::catalog::{Lookup, Offer};
use crate::kit::Unknown;
use crate::measure::{Date, Key, PartNumber, Quantity};
use rust_decimal::{Decimal, RoundingStrategy};
use std::collections::HashMap;
use std::fmt;

/// What a person decided about suppliers and prices.
#[derive(Debug, Clone)]
pub struct Terms {
    /// Only these suppliers; empty is all.
    pub only: Vec<Key>,
    /// Not these suppliers.
    pub without: Vec<Key>,
    /// The longest that a delivery may take, in days.
    pub max_days: Option<Decimal>,
    /// The most suppliers to order from.
    pub at_most: Option<usize>,
    /// What one unit of another currency is worth in the currency of the answer.
    pub rates: Vec<Rate>,
    /// Sets may be bought for what lies in them.
    pub sets: bool,
    /// The day of the order: a price from more than a year before it is stale.
    pub today: Date,
}

impl Terms {
    /// Makes terms that keep nobody out.
    pub fn open(today: &Date) -> Self {
        Terms {
            only: Vec::new(),
            without: Vec::new(),
            max_days: None,
            at_most: None,
            rates: Vec::new(),
            sets: true,
            today: today.clone(),
        }
    }
}

/// What one unit of a currency is worth in the currency of the answer.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Rate {
    /// The currency, as the table suppliers names it.
    pub currency: String,
    /// Its worth; above zero.
    pub worth: Decimal,
}

/// A supplier in play.
#[derive(Debug, Clone)]
pub struct Shop {
    /// The supplier.
    pub supplier: Key,
    /// Its full name; blank where none is typed.
    pub name: String,
    /// The currency of its prices.
    pub currency: String,
    /// The worth of its currency in the currency of the answer.
    pub rate: Decimal,
    /// What a parcel costs, in its own currency.
    pub shipping: Decimal,
    /// The goods value from which a parcel is free, in its own currency.
    pub free_from: Option<Decimal>,
    /// The least order, in its own currency.
    pub minimum: Option<Decimal>,
}

/// An offer in play.
#[derive(Debug, Clone)]
pub struct Bid {
    /// The offer.
    pub offer: Offer,
    /// The index of its shop.
    pub shop: usize,
    /// What is in a pack.
    pub pack: Quantity,
    /// The price of one pack in the currency of the answer.
    pub price: Decimal,
    /// The price is from more than a year before the order.
    pub stale: bool,
}

/// Every supplier and offer in play.
#[derive(Debug, Clone, Default)]
pub struct Market {
    /// The currency of the answer.
    pub currency: String,
    /// The suppliers.
    pub shops: Vec<Shop>,
    /// The offers.
    pub bids: Vec<Bid>,
    /// Offers that the terms keep out: the part, the supplier and why.
    pub kept_out: Vec<(PartNumber, Key, String)>,
}

/// Why no plan can be made.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Refused {
    /// No supplier of this name.
    NoSupplier(Unknown),
    /// The suppliers' prices are in several currencies, and no rate says what one is worth in the other.
    Currencies(Vec<(String, Vec<String>)>),
    /// So few suppliers cannot supply it all; so many could.
    TooFew {
        /// How many were allowed.
        at_most: usize,
        /// How many it takes.
        takes: usize,
    },
    /// The solver gave up, or its answer did not stand up to exact arithmetic.
    Unsolved(String),
}

impl fmt::Display for Refused {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Refused::NoSupplier(unknown) => {
                write!(f, "no supplier '{}'", unknown.name)?;
                match &unknown.meant {
                    Some(meant) => write!(f, "; did you mean '{meant}'?"),
                    None => write!(f, "; there are: {}", unknown.known.join(", ")),
                }
            }
            Refused::Currencies(currencies) => {
                let said: Vec<String> = currencies
                    .iter()
                    .map(|(currency, suppliers)| {
                        let currency =
                            if currency.is_empty() { "no currency named" } else { currency };
                        format!("{currency} ({})", suppliers.join(", "))
                    })
                    .collect();
                write!(
                    f,
                    "the prices are in several currencies, so they cannot be added up: {}; say what the others are worth in one of them, such as --rate USD=0.92, or leave suppliers out with --without",
                    said.join(", ")
                )
            }
            Refused::TooFew { at_most, takes } => {
                write!(
                    f,
                    "at most {at_most} will not do: it takes {takes} suppliers to get everything that is offered"
                )
            }
            Refused::Unsolved(why) => {
                write!(f, "no plan was found that stands up to exact arithmetic: {why}")
            }
        }
    }
}

impl std::error::Error for Refused {}

impl Market {
    /// Gathers the offers of a list of numbers on the given terms.
    ///
    /// # Errors
    /// A supplier that is not there, or prices in several currencies without a rate.
    pub fn gather(
        parts: &[PartNumber],
        terms: &Terms,
        lookup: &dyn Lookup,
    ) -> Result<Market, Refused> {
        let known = lookup.supplier_keys();
        for supplier in terms.only.iter().chain(&terms.without) {
            if !known.contains(supplier) {
                return Err(Refused::NoSupplier(Unknown::new(supplier, &known)));
            }
        }
        let mut market = Market::default();
        let mut by_key: HashMap<Key, usize> = HashMap::new();
        for part in parts {
            for offer in lookup.offers_of(part).iter() {
                if let Some(why) = kept_out(&offer.supplier, terms, lookup) {
                    market.kept_out.push((part.clone(), offer.supplier.clone(), why));
                    continue;
                }
                let shop = *by_key.entry(offer.supplier.clone()).or_insert_with(|| {
                    market.shops.push(shop(&offer.supplier, lookup));
                    market.shops.len() - 1
                });
                market.bids.push(Bid {
                    offer: offer.clone(),
                    shop,
                    pack: offer.pack.unwrap_or(Quantity::ONE),
                    price: offer.price.0,
                    stale: offer.as_of.as_ref().is_some_and(|day| is_stale(day, &terms.today)),
                });
            }
        }
        market.settle_currency(terms)?;
        Ok(market)
    }

    /// Brings every price into one currency.
    fn settle_currency(&mut self, terms: &Terms) -> Result<(), Refused> {
        let rate = |currency: &str| {
            terms.rates.iter().find(|rate| rate.currency.eq_ignore_ascii_case(currency))
        };
        let mut plain: Vec<(String, Vec<String>)> = Vec::new();
        for shop in self.shops.iter().filter(|shop| rate(&shop.currency).is_none()) {
            let supplier = shop.supplier.to_string();
            match plain
                .iter_mut()
                .find(|(currency, _)| currency.eq_ignore_ascii_case(&shop.currency))
            {
                Some((_, suppliers)) => suppliers.push(supplier),
                None => plain.push((shop.currency.clone(), vec![supplier])),
            }
        }
        if plain.len() > 1 {
            return Err(Refused::Currencies(plain));
        }
        if plain.is_empty()
            && self
                .shops
                .iter()
                .any(|shop| !shop.currency.eq_ignore_ascii_case(&self.shops[0].currency))
        {
            // Every currency has a rate: none is left for the answer to be in.
            let all = self
                .shops
                .iter()
                .map(|shop| (shop.currency.clone(), vec![shop.supplier.to_string()]));
            return Err(Refused::Currencies(all.collect()));
        }
        match plain.into_iter().next() {
            Some((currency, _)) => {
                self.currency = currency;
                for shop in &mut self.shops {
                    shop.rate = rate(&shop.currency).map_or(Decimal::ONE, |rate| rate.worth);
                }
            }
            None => {
                self.currency =
                    self.shops.first().map_or_else(String::new, |shop| shop.currency.clone())
            }
        }
        for bid in &mut self.bids {
            bid.price = in_answer(bid.offer.price.0, self.shops[bid.shop].rate);
        }
        Ok(())
    }
}

impl Shop {
    /// What a parcel costs in the currency of the answer.
    pub fn shipping_in_answer(&self) -> Decimal {
        in_answer(self.shipping, self.rate)
    }
}

/// Converts an amount; a converted one is rounded to the hundredth, so that every figure printed is the one counted.
fn in_answer(amount: Decimal, rate: Decimal) -> Decimal {
    if rate == Decimal::ONE {
        return amount;
    }
    amount.saturating_mul(rate).round_dp_with_strategy(2, RoundingStrategy::MidpointAwayFromZero)
}

fn shop(supplier: &Key, lookup: &dyn Lookup) -> Shop {
    let row = lookup.supplier(supplier).map(|row| row.into_owned());
    let money = |cell: fn(&crate::catalog::Supplier) -> Option<crate::measure::Money>| {
        row.as_ref().and_then(cell).map(|money| money.0)
    };
    Shop {
        supplier: row.as_ref().map_or_else(|| supplier.clone(), |row| row.supplier.clone()),
        name: row.as_ref().map_or_else(String::new, |row| row.name.clone()),
        currency: row.as_ref().map_or_else(String::new, |row| row.currency.trim().to_owned()),
        rate: Decimal::ONE,
        shipping: money(|row| row.shipping).unwrap_or_default(),
        free_from: money(|row| row.free_from),
        minimum: money(|row| row.minimum).filter(|minimum| !minimum.is_zero()),
    }
}

/// Why the terms keep a supplier out, if they do.
fn kept_out(supplier: &Key, terms: &Terms, lookup: &dyn Lookup) -> Option<String> {
    if terms.without.contains(supplier) {
        return Some("left out by --without".to_owned());
    }
    if !terms.only.is_empty() && !terms.only.contains(supplier) {
        return Some("not among --only".to_owned());
    }
    let max = terms.max_days?;
    match lookup.supplier(supplier).and_then(|row| row.days) {
        Some(days) if days <= max => None,
        Some(days) => Some(format!("takes {} days", days.normalize())),
        None => Some("nobody has typed how many days it takes".to_owned()),
    }
}

/// The day lies more than a year before another.
fn is_stale(day: &Date, today: &Date) -> bool {
    let (Some((year, rest)), Some((now, now_rest))) =
        (day.as_str().split_once('-'), today.as_str().split_once('-'))
    else {
        return false;
    };
    let (Ok(year), Ok(now)) = (year.parse::<i32>(), now.parse::<i32>()) else { return false };
    (year + 1, rest) < (now, now_rest)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_price_is_stale_when_it_is_more_than_a_year_old() {
        let day = |text| Date::parse(text).expect(text);
        assert!(is_stale(&day("2025-11-24"), &day("2026-11-25")));
        assert!(!is_stale(&day("2025-11-25"), &day("2026-11-25")));
        assert!(!is_stale(&day("2026-12-01"), &day("2026-11-25")));
    }
}
