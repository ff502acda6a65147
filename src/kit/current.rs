//! What sits at a position: what the log says, else what something logged calls for there, else the listed part.

use super::bench::{Bench, Place};
use super::retrofit;
use super::supersession::replacement;
use crate::catalog::{Applies, At, Change, Fitted, LogEntry, Need};
use crate::measure::{Key, LogDate, PartNumber, Quantity};
use rust_decimal::Decimal;
use std::collections::HashMap;

/// What sits at a position.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Current {
    /// Each part that sits there; empty where nothing does.
    pub parts: Vec<Sitting>,
    /// The log says so, rather than the table of positions.
    pub logged: bool,
    /// The log says so, or a row that surely applies.
    pub sure: bool,
    /// Two log rows of one date that name different parts, each for the whole position.
    pub doubled: Option<(At, At)>,
}

/// A part that sits at a position.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Sitting {
    /// The part; `None` where nobody has looked it up.
    pub part: Option<PartNumber>,
    /// How many were logged, or are left of what was there; `None` where the position tells.
    pub quantity: Option<Quantity>,
    /// How many it counts for.
    pub amount: Quantity,
    /// The row that says so.
    pub at: At,
}

impl Current {
    /// What the rows of the position list.
    pub(super) fn listed(place: &Place) -> Self {
        let sitting =
            place.speaking.first().filter(|row| row.part != Fitted::Nothing).map(|row| Sitting {
                part: row.part.part().cloned(),
                quantity: None,
                amount: place.amount(),
                at: row.at,
            });
        Current {
            parts: sitting.into_iter().collect(),
            logged: false,
            sure: place.applies == Applies::Yes,
            doubled: None,
        }
    }
}

/// A part that was put there, with when.
struct Item<'l> {
    sitting: Sitting,
    /// `None` for what is listed: it was there before any date.
    date: Option<&'l LogDate>,
    /// A log row puts it there for the whole of the position.
    whole: bool,
    /// A log row names it.
    named: bool,
}

/// Follows the log rows of a position, which are in order of their dates.
pub(super) fn from_log(bench: &Bench, place: &Place, entries: &[LogEntry]) -> Current {
    let items = follow(bench, place, entries);
    let mut doubled = None;
    for (index, item) in items.iter().enumerate().filter(|(_, item)| item.whole) {
        let other = items[..index].iter().find(|other| {
            other.whole
                && other.date == item.date
                && other.sitting.part != item.sitting.part
                && !are_together(bench, place, &other.sitting, &item.sitting)
        });
        doubled = doubled.or(other.map(|other| (other.sitting.at, item.sitting.at)));
    }
    let parts = items.into_iter().map(|item| item.sitting).collect();
    Current { parts, logged: true, sure: true, doubled }
}

fn follow<'l>(bench: &Bench, place: &Place, entries: &'l [LogEntry]) -> Vec<Item<'l>> {
    let all = place.amount();
    let mut items: Vec<Item> = Vec::new();
    for (index, entry) in entries.iter().enumerate() {
        let Fitted::Part(part) = &entry.part else {
            items.clear();
            continue;
        };
        let some = entry
            .quantity
            .filter(|some| some.to(all.unit).is_some_and(|some| some.amount < all.amount));
        let sitting = |part: &PartNumber, quantity, amount| Sitting {
            part: Some(part.clone()),
            quantity,
            amount,
            at: entry.at,
        };
        let date = Some(&entry.date);
        if let Some(some) = some {
            if index == 0 {
                let listed = Current::listed(place).parts.into_iter();
                items = listed
                    .map(|sitting| Item { sitting, date: None, whole: false, named: false })
                    .collect();
            }
            take(&mut items, some);
            let sitting = sitting(part, Some(some), some);
            items.push(Item { sitting, date, whole: false, named: true });
            continue;
        }
        items.retain(|item| item.date == date);
        let amount = entry.quantity.unwrap_or_else(|| bench.takes(place, part));
        let others = beside(bench, place, part);
        items.push(Item {
            sitting: sitting(part, entry.quantity, amount),
            date,
            whole: true,
            named: true,
        });
        // Named is also what one of them became.
        let is_named = |other: &PartNumber| {
            let mut that_day = entries.iter().filter(|row| row.date == entry.date);
            that_day
                .any(|row| row.part.part().is_some_and(|named| bench.leads_to(other, named, place)))
        };
        if others.iter().any(|(other, _)| is_named(other)) {
            continue;
        }
        for (other, factor) in others {
            let amount = Quantity::new(all.amount.saturating_mul(factor), all.unit);
            let sitting = sitting(&other, None, amount);
            items.push(Item { sitting, date, whole: false, named: false });
        }
    }
    items
}

/// Takes so many away, the earliest first.
fn take(items: &mut Vec<Item>, some: Quantity) {
    let mut left = some;
    for item in items.iter_mut() {
        let Some(there) = item.sitting.amount.to(left.unit) else { continue };
        let taken = there.amount.min(left.amount);
        left.amount -= taken;
        if taken.is_zero() {
            continue;
        }
        let rest = Quantity::new(there.amount - taken, there.unit);
        let rest = rest.to(item.sitting.amount.unit).unwrap_or(rest);
        item.sitting.amount = rest;
        item.sitting.quantity = Some(rest);
    }
    items.retain(|item| !item.sitting.amount.amount.is_zero());
}

/// What is there, too, because the listed part became this one together with others: each with how many of it there are
/// for one listed part.
fn beside(bench: &Bench, place: &Place, part: &PartNumber) -> Vec<(PartNumber, Decimal)> {
    let Some(listed) = place.listed() else { return Vec::new() };
    let resolved = bench.chains(listed, &place.machine);
    let Some((chain, at)) = resolved.link_to(part) else { return Vec::new() };
    let mut others = Vec::new();
    let mut factor = Decimal::ONE;
    for pair in chain[..=at].windows(2) {
        let [old, new] = pair else { continue };
        if new.row.as_ref().is_some_and(|row| row.together.is_some()) {
            let rows = replacement(&old.part, &place.machine, bench.lookup, &mut Vec::new());
            let rows = rows.iter().filter(|row| row.new != new.part);
            others.extend(rows.map(|row| {
                let each = row.quantity.map_or(Decimal::ONE, |quantity| quantity.amount);
                (row.new.clone(), factor.saturating_mul(each))
            }));
        }
        factor = factor.saturating_mul(new.times);
    }
    others
}

/// The two are new numbers that together replace an old one.
fn are_together(bench: &Bench, place: &Place, one: &Sitting, other: &Sitting) -> bool {
    let (Some(one), Some(other)) = (&one.part, &other.part) else { return false };
    let to = |part: &PartNumber| {
        let rows = bench.lookup.supersessions_to(part).into_owned();
        rows.into_iter().filter(|row| {
            row.together.is_some() && row.scope.applies(&place.machine) == Applies::Yes
        })
    };
    let others: Vec<_> = to(other).collect();
    to(one).any(|a| others.iter().any(|b| a.old == b.old && a.together == b.together))
}

/// What something logged at another position calls for.
#[derive(Debug, Clone)]
pub(super) struct CalledFor {
    part: Option<PartNumber>,
    quantity: Option<Quantity>,
    at: At,
}

impl CalledFor {
    /// What it leaves at the position that it was called for at.
    pub(super) fn current(&self, place: &Place) -> Current {
        let sitting = self.part.as_ref().map(|part| Sitting {
            part: Some(part.clone()),
            quantity: self.quantity,
            amount: self.quantity.unwrap_or_else(|| place.amount()),
            at: self.at,
        });
        Current { parts: sitting.into_iter().collect(), logged: true, sure: true, doubled: None }
    }
}

impl Bench<'_> {
    /// What logged parts call for at positions of which the log itself says nothing; of several the first.
    pub(super) fn called(&self) -> &HashMap<Key, CalledFor> {
        self.called.get_or_init(|| {
            let mut called = HashMap::new();
            for position in self.logged_positions() {
                let place = self.place(&position);
                let mut note = |need: &Need, at: At| {
                    let (part, quantity) = match &need.change {
                        Change::Renew => return,
                        Change::LeaveEmpty => (None, None),
                        Change::Fit { part, quantity } => (Some(part.clone()), *quantity),
                    };
                    called.entry(need.position.clone()).or_insert(CalledFor { part, quantity, at });
                };
                for part in self.named_there(&position) {
                    let word = retrofit::ask(self, &part, &position);
                    for row in word.speaking.iter().filter(|_| word.refusal().is_none()) {
                        row.needs.iter().for_each(|need| note(need, row.at));
                    }
                    let Some(listed) = place.listed() else { continue };
                    let resolved = self.chains(listed, &place.machine);
                    let Some((chain, at)) = resolved.link_to(&part) else { continue };
                    for row in chain[..=at].iter().filter_map(|link| link.row.as_ref()) {
                        row.needs.iter().for_each(|need| note(need, row.at));
                    }
                }
            }
            called
        })
    }

    /// The parts that log rows name and that are still there.
    fn named_there(&self, position: &Key) -> Vec<PartNumber> {
        let place = self.place(position);
        let entries = self.log_at(position);
        let items = follow(self, &place, entries);
        items.into_iter().filter(|item| item.named).filter_map(|item| item.sitting.part).collect()
    }
}
