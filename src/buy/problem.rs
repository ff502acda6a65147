//! What the least total is looked for: needs, shops, packs and lots, each numbered, without parts or tables.

use rust_decimal::Decimal;

/// The most packs of one offer that are ever considered.
pub(super) const MOST_PACKS: i64 = 100_000;

/// What is wanted, and what there is.
#[derive(Debug, Clone, Default)]
pub struct Problem {
    /// What is wanted.
    pub needs: Vec<Wanted>,
    /// Who sells.
    pub shops: Vec<Terms>,
    /// What they sell.
    pub packs: Vec<Pack>,
    /// What is there already and costs nothing.
    pub lots: Vec<Lot>,
    /// The most shops to order from.
    pub at_most: Option<usize>,
}

/// Something wanted.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Wanted {
    /// How much.
    pub amount: Decimal,
    /// It comes by the piece, so it is handed out in whole numbers.
    pub counted: bool,
    /// It must come out of one pack or lot.
    pub piece: bool,
}

/// A shop's terms, in the smallest unit of money.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Terms {
    /// What a parcel costs.
    pub shipping: i64,
    /// The value of goods from which a parcel is free, in the shop's own money.
    pub free_from: Option<i64>,
    /// The least value of goods, in the shop's own money.
    pub minimum: Option<i64>,
}

/// A pack that a shop sells.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Pack {
    /// The shop.
    pub shop: usize,
    /// The price of one pack.
    pub price: i64,
    /// The same in the shop's own money, which is what its thresholds are measured in.
    pub own_price: i64,
    /// What is in one.
    pub holds: Holds,
}

/// Something that is there already.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Lot {
    /// What is in it.
    pub holds: Holds,
}

/// What a pack or lot is good for.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Holds {
    /// How many, or how much, of its number.
    pub size: Decimal,
    /// The needs that its number serves as it is.
    pub itself: Vec<Serves>,
    /// What lies in one of it, once it is opened; opened, it serves nothing as it is.
    pub inside: Vec<Content>,
    /// What comes along with it where it is used as it is.
    pub along: Vec<Along>,
}

/// Something that comes along with what is used for a need: the one is fitted to the other.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Along {
    /// The need that the whole is used for; a need of whole pieces.
    pub with: usize,
    /// The need that is served on the way; one of whole pieces, too.
    pub need: usize,
    /// How much of it one unit of the whole counts for.
    pub amount: Decimal,
}

/// Something that lies in a set.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Content {
    /// How many, or how much, of it lie in one.
    pub amount: Decimal,
    /// The needs that it serves.
    pub serves: Vec<Serves>,
}

/// A need that something serves.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Serves {
    /// The need.
    pub need: usize,
    /// How much of the need one unit counts for.
    pub worth: Decimal,
}
