//! The order plan as it is shown and printed: what the JSON answer holds, key by key.

use crate::measure::{Unit, json_number};
use rust_decimal::Decimal;
use serde::{Serialize, Serializer};

/// What to take off the shelf, and what to order from whom.
#[derive(Debug, Clone, Default, Serialize)]
pub struct OrderPlan {
    /// The currency of every figure.
    pub currency: String,
    /// All goods and parcels.
    #[serde(serialize_with = "number")]
    pub total: Decimal,
    /// What the shelf gives.
    pub from_stock: Vec<FromStock>,
    /// What was ordered before for the same job, and is still to come.
    pub on_the_way: Vec<OnTheWay>,
    /// A parcel from each supplier.
    pub orders: Vec<Parcel>,
    /// What nobody offers.
    pub unsourced: Vec<Unsourced>,
    /// Nothing can cost less; else the time was up.
    pub proven: bool,
    /// What nothing can cost less than.
    #[serde(serialize_with = "number")]
    pub bound: Decimal,
}

/// Something that the shelf gives.
#[derive(Debug, Clone, Serialize)]
pub struct FromStock {
    /// The number on the shelf.
    pub part: String,
    /// How much of it, in its unit; 0 is as needed.
    #[serde(serialize_with = "number")]
    pub quantity: Decimal,
    /// Where it lies.
    pub bin: String,
    /// The unit.
    #[serde(serialize_with = "symbol")]
    pub unit: Unit,
    /// The parts of the kit that it serves.
    #[serde(rename = "for")]
    pub serves: Vec<String>,
    /// Why another number will do; blank where it is the part itself.
    pub how: &'static str,
    /// It is a set that is opened for what lies in it.
    pub opened: bool,
    /// Nobody knows how much is needed: there is some.
    pub as_needed: bool,
}

/// Something that is still to come.
#[derive(Debug, Clone, Serialize)]
pub struct OnTheWay {
    /// The number ordered.
    pub part: String,
    /// How much of it.
    #[serde(serialize_with = "number")]
    pub quantity: Decimal,
    /// The unit.
    #[serde(serialize_with = "symbol")]
    pub unit: Unit,
    /// The order.
    pub order: String,
    /// The part of the kit that it serves.
    #[serde(rename = "for")]
    pub serves: String,
}

/// What is ordered from one supplier.
#[derive(Debug, Clone, Serialize)]
pub struct Parcel {
    /// The supplier.
    pub supplier: String,
    /// Its full name.
    pub name: String,
    /// What is in it.
    pub lines: Vec<ParcelLine>,
    /// What the lines add up to.
    #[serde(serialize_with = "number")]
    pub goods: Decimal,
    /// What the parcel costs.
    #[serde(serialize_with = "number")]
    pub shipping: Decimal,
    /// Goods and parcel.
    #[serde(serialize_with = "number")]
    pub total: Decimal,
}

/// A line of a parcel.
#[derive(Debug, Clone, Serialize)]
pub struct ParcelLine {
    /// The number offered.
    pub part: String,
    /// The supplier's own number.
    pub supplier_number: String,
    /// How many packs.
    #[serde(serialize_with = "number")]
    pub packs: Decimal,
    /// How much is in a pack.
    #[serde(serialize_with = "number")]
    pub pack: Decimal,
    /// The unit of that.
    #[serde(serialize_with = "symbol")]
    pub pack_unit: Unit,
    /// The price of one pack.
    #[serde(serialize_with = "number")]
    pub price: Decimal,
    /// The same in the supplier's own currency.
    #[serde(skip)]
    pub own_price: Decimal,
    /// The price of all packs.
    #[serde(serialize_with = "number")]
    pub amount: Decimal,
    /// The parts of the kit that it serves; none where it only fills up an order.
    #[serde(rename = "for")]
    pub serves: Vec<String>,
    /// It is bought for what lies in it.
    pub is_set: bool,
    /// What it is.
    pub description: String,
    /// The day of the price; blank where none is typed.
    pub as_of: String,
    /// The price is more than a year old.
    pub stale: bool,
    /// What to know about it.
    pub note: String,
    /// What the table offers notes.
    #[serde(skip)]
    pub offer_note: String,
}

/// Something that nobody offers.
#[derive(Debug, Clone, Serialize)]
pub struct Unsourced {
    /// The part.
    pub part: String,
    /// How much of it is missing; 0 is as needed.
    #[serde(serialize_with = "number")]
    pub quantity: Decimal,
    /// The unit.
    #[serde(serialize_with = "symbol")]
    pub unit: Unit,
    /// Nobody knows how much is needed.
    pub as_needed: bool,
    /// What comes near.
    pub near: Vec<NearMatch>,
}

/// Something that comes near a part that nobody offers.
#[derive(Debug, Clone, Serialize)]
pub struct NearMatch {
    /// The number.
    pub part: String,
    /// In what way.
    pub why: String,
}

/// Gives a decimal as a JSON number.
pub(crate) fn number<S: Serializer>(value: &Decimal, serializer: S) -> Result<S::Ok, S::Error> {
    json_number(*value).serialize(serializer)
}

/// Gives a unit by its symbol.
pub(crate) fn symbol<S: Serializer>(unit: &Unit, serializer: S) -> Result<S::Ok, S::Error> {
    serializer.serialize_str(unit.symbol())
}
