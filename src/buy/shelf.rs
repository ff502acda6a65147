//! What lies on the shelf or is on its way, less what is spoken for.

use crate::catalog::{At, Lookup};
use crate::measure::{PartNumber, Quantity};
use rust_decimal::Decimal;
use std::collections::HashMap;

/// Some of a part in one place.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Lot {
    /// Its number.
    pub part: PartNumber,
    /// How much is there that nobody else needs.
    pub left: Quantity,
    /// Where.
    pub place: Place,
    id: Id,
}

impl Lot {
    /// Gives the row of the table stock that names it; `None` for what is on its way or in hand.
    pub fn row(&self) -> Option<At> {
        match self.id {
            Id::Row(at) => Some(at),
            Id::Extra(_) => None,
        }
    }
}
/// What stands for the bin of what a person holds in their hand.
pub const IN_HAND: &str = "in hand";

/// Where a lot is.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Place {
    /// On the shelf; the bin as the table stock names it.
    Bin(String),
    /// On its way with an order.
    OnTheWay(String),
    /// In the person's hand, by their word.
    InHand,
}

#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
enum Id {
    Row(At),
    Extra(usize),
}

/// The shelf: the table stock, with what was taken from it and what was put beside it.
#[derive(Clone)]
pub struct Shelf<'a> {
    lookup: &'a dyn Lookup,
    taken: HashMap<Id, Decimal>,
    extra: Vec<Lot>,
}

impl<'a> Shelf<'a> {
    /// The shelf as the table stock has it.
    pub fn new(lookup: &'a dyn Lookup) -> Self {
        Shelf { lookup, taken: HashMap::new(), extra: Vec::new() }
    }

    /// Puts something beside it: what a person holds, or what is on its way.
    pub fn put(&mut self, part: &PartNumber, quantity: Quantity, place: Place) {
        let id = Id::Extra(self.extra.len());
        self.extra.push(Lot { part: self.lookup.spell_part(part), left: quantity, place, id });
    }

    /// Takes back what is on its way: it was there for one job only.
    pub fn forget_deliveries(&mut self) {
        for lot in &mut self.extra {
            if matches!(lot.place, Place::OnTheWay(_)) {
                lot.left.amount = Decimal::ZERO;
            }
        }
    }

    /// Gives what is left of a part, lot by lot: on its way first, for it was bought for this, then in hand, then by row.
    /// Of one that is withdrawn nothing is of use.
    pub fn lots_of(&self, part: &PartNumber) -> Vec<Lot> {
        if super::plan::is_withdrawn(part, self.lookup) {
            return Vec::new();
        }
        let mut lots: Vec<Lot> =
            self.extra.iter().filter(|lot| lot.part == *part).cloned().collect();
        for row in self.lookup.stock_of(part).iter() {
            let part = self.lookup.spell_part(&row.part);
            lots.push(Lot {
                part,
                left: row.quantity.0,
                place: Place::Bin(row.bin.clone()),
                id: Id::Row(row.at),
            });
        }
        for lot in &mut lots {
            let taken = self.taken.get(&lot.id).copied().unwrap_or_default();
            lot.left.amount = (lot.left.amount - taken).max(Decimal::ZERO);
        }
        lots.retain(|lot| !lot.left.amount.is_zero());
        lots
    }

    /// Takes an amount out of a lot, in the lot's own unit.
    pub fn take(&mut self, lot: &Lot, amount: Decimal) {
        let taken = self.taken.entry(lot.id).or_default();
        *taken = taken.saturating_add(amount);
    }
}
