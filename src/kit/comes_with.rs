//! What arrives inside something that is bought, and so need not be ordered again.

use super::action::Action;
use super::outcome::Outcome;
use crate::catalog::{Contains, Lookup};
use crate::measure::{Key, PartNumber, Quantity};
use rust_decimal::Decimal;
use std::collections::{HashMap, HashSet};
use std::hash::Hash;

/// What a renewed position still needs of one final part, and what covers the rest.
#[derive(Debug, Clone)]
pub(crate) struct Remainder {
    /// The index of the outcome, and of the part within it.
    pub outcome: usize,
    pub part: usize,
    pub amount: Quantity,
    /// What covered the rest: the part that directly contains it, and how much.
    pub covered: Vec<(PartNumber, Decimal)>,
}

/// A part that arrives fitted, inside one that goes in, at a position that is not renewed.
#[derive(Debug, Clone)]
pub(crate) struct Arrival {
    pub position: Key,
    pub part: PartNumber,
    pub quantity: Quantity,
    /// The part that directly contains it.
    pub by: PartNumber,
}

/// More was counted on to arrive inside a part than arrives with what is ordered.
#[derive(Debug, Clone)]
pub(crate) struct Shortfall {
    /// The part that contains the other.
    pub by: PartNumber,
    pub contained: PartNumber,
    pub counted: Decimal,
    pub arriving: Decimal,
}

/// What is covered, and what is worth a second look.
#[derive(Debug)]
pub(crate) struct Covered {
    /// What each renewed position still needs.
    pub remainders: Vec<Remainder>,
    /// What arrives fitted at positions that are not renewed.
    pub arrivals: Vec<Arrival>,
    pub shortfalls: Vec<Shortfall>,
    /// Positions of a job line's own for which something also arrives: the position, the container, the content.
    pub beside: Vec<(Key, PartNumber, PartNumber)>,
    /// Parts that hold so much that not all of it was looked at.
    pub cut_short: Vec<PartNumber>,
}

/// The most contents of one part that are looked at. Sets inside sets that hold the same things twice double at every
/// level, and would take forever; no set that can be carried holds so much.
pub const MOST_CONTENTS: usize = 100_000;

/// Works out what each renewed position still needs once everything that comes with something else is counted.
///
/// `sets` are the final parts of the sets to buy, with their quantities.
pub(crate) fn cover(
    lookup: &dyn Lookup,
    outcomes: &[Outcome],
    sets: &[(PartNumber, Quantity)],
    own: &HashSet<Key>,
) -> Covered {
    let mut remainders = Vec::new();
    for (i, outcome) in
        outcomes.iter().enumerate().filter(|(_, outcome)| outcome.action == Action::Renew)
    {
        for (j, planned) in outcome.parts.iter().enumerate() {
            remainders.push(Remainder {
                outcome: i,
                part: j,
                amount: planned.quantity,
                covered: Vec::new(),
            });
        }
    }
    let mut cover = Cover {
        lookup,
        outcomes,
        own,
        remainders,
        arrivals: Vec::new(),
        counted: HashMap::new(),
        beside: Vec::new(),
        cut_short: Vec::new(),
    };
    for (part, quantity) in sets {
        cover.provide(part, quantity.amount, None);
    }
    let mut given_as_set: HashMap<PartNumber, Decimal> = HashMap::new();
    for index in 0..cover.remainders.len() {
        let Remainder { outcome, part, amount, .. } = &cover.remainders[index];
        let planned = &outcomes[*outcome].parts[*part];
        let provider = planned.end.part.clone();
        let (mut amount, outcome) = (amount.amount, *outcome);
        if planned.set {
            // Positions that share one part share what comes with it, so only what exceeds the earlier ones counts.
            let given = given_as_set.entry(provider.clone()).or_default();
            let more = (amount - *given).max(Decimal::ZERO);
            *given = given.saturating_add(more);
            amount = more;
        }
        cover.provide(&provider, amount, Some(outcome));
    }
    let shortfalls = cover.shortfalls(sets);
    Covered {
        remainders: cover.remainders,
        arrivals: cover.arrivals,
        shortfalls,
        beside: cover.beside,
        cut_short: cover.cut_short,
    }
}

fn add<K: Eq + Hash>(sums: &mut HashMap<K, Decimal>, key: K, amount: Decimal) {
    let sum = sums.entry(key).or_default();
    *sum = sum.saturating_add(amount);
}

struct Cover<'a> {
    lookup: &'a dyn Lookup,
    outcomes: &'a [Outcome],
    own: &'a HashSet<Key>,
    remainders: Vec<Remainder>,
    arrivals: Vec<Arrival>,
    /// How much of a part was counted on to arrive inside another: the container first.
    counted: HashMap<(PartNumber, PartNumber), Decimal>,
    beside: Vec<(Key, PartNumber, PartNumber)>,
    cut_short: Vec<PartNumber>,
}

/// What is left to unpack, the next on top: an assembly may be nested as deep as the table is long.
enum Step {
    Open { part: PartNumber, amount: Decimal },
    Take { row: Contains, amount: Decimal },
    Leave { part: PartNumber },
}

/// Unpacks so many of a part: each row of what it contains with how much that comes to, depth first, and whether
/// that is all.
fn contents(
    lookup: &dyn Lookup,
    part: &PartNumber,
    amount: Decimal,
) -> (Vec<(Contains, Quantity)>, bool) {
    let mut unpacked = Vec::new();
    if amount.is_zero() {
        return (unpacked, true);
    }
    // A part is never inside itself: those on the way down are not opened again.
    let mut inside: HashSet<PartNumber> = HashSet::new();
    let mut steps = vec![Step::Open { part: part.clone(), amount }];
    while let Some(step) = steps.pop() {
        match step {
            Step::Leave { part } => {
                inside.remove(&part);
            }
            Step::Open { part, amount } => {
                inside.insert(part.clone());
                let rows = lookup.contents_of(&part);
                steps.push(Step::Leave { part });
                steps.extend(rows.iter().rev().map(|row| Step::Take { row: row.clone(), amount }));
            }
            Step::Take { row, amount } => {
                if inside.contains(&row.contained) {
                    continue;
                }
                if unpacked.len() == MOST_CONTENTS {
                    return (unpacked, false);
                }
                let each = row.quantity.unwrap_or(Quantity::ONE);
                let given = Quantity::new(each.amount.saturating_mul(amount), each.unit);
                steps.push(Step::Open { part: row.contained.clone(), amount: given.amount });
                unpacked.push((row, given));
            }
        }
    }
    (unpacked, true)
}

impl Cover<'_> {
    fn provide(&mut self, provider: &PartNumber, amount: Decimal, from: Option<usize>) {
        let (unpacked, all) = contents(self.lookup, provider, amount);
        if !all && !self.cut_short.contains(provider) {
            self.cut_short.push(provider.clone());
        }
        for (row, given) in unpacked {
            self.note_arrival(&row, given, from);
            self.give(&row, given, from);
        }
    }

    /// Notes what arrives fitted where nothing is renewed, so that nothing is given to it. What lies loose in a set is
    /// fitted nowhere, unless what it is fitted in goes to a position itself.
    fn note_arrival(&mut self, row: &Contains, given: Quantity, from: Option<usize>) {
        let Some(position) = &row.position else { return };
        let at = |outcome: &&Outcome| outcome.place.position == *position;
        if self
            .outcomes
            .iter()
            .find(at)
            .is_some_and(|o| matches!(o.action, Action::Renew | Action::LeaveOut))
        {
            return;
        }
        let goes_in =
            |outcome: &Outcome| outcome.parts.iter().any(|planned| planned.end.part == row.part);
        if from.is_none() && !self.outcomes.iter().any(goes_in) {
            return;
        }
        let same = |known: &&mut Arrival| {
            known.position == *position && known.part == row.contained && known.by == row.part
        };
        match self.arrivals.iter_mut().find(same) {
            Some(known) => {
                let more = given.to(known.quantity.unit).unwrap_or(given);
                known.quantity.amount = known.quantity.amount.saturating_add(more.amount);
            }
            None => self.arrivals.push(Arrival {
                position: position.clone(),
                part: row.contained.clone(),
                quantity: given,
                by: row.part.clone(),
            }),
        }
    }

    /// Hands out a contained part to renewed positions, by place, until it is used up.
    fn give(&mut self, row: &Contains, mut left: Quantity, from: Option<usize>) {
        for remainder in &mut self.remainders {
            if left.amount.is_zero() {
                return;
            }
            let outcome = &self.outcomes[remainder.outcome];
            let position = &outcome.place.position;
            if Some(remainder.outcome) == from || remainder.amount.amount.is_zero() {
                continue;
            }
            let wanted = match &row.position {
                Some(named) => named == position,
                None => {
                    let chain = &outcome.parts[remainder.part].end.chain;
                    chain.iter().any(|link| link.free && link.part == row.contained)
                }
            };
            if !wanted {
                continue;
            }
            if self.own.contains(position) {
                let beside = (position.clone(), row.part.clone(), row.contained.clone());
                if !self.beside.contains(&beside) {
                    self.beside.push(beside);
                }
                continue;
            }
            let Some(here) = left.to(remainder.amount.unit) else { continue };
            let taken = here.amount.min(remainder.amount.amount);
            remainder.amount.amount -= taken;
            match remainder.covered.iter_mut().find(|(by, _)| *by == row.part) {
                Some((_, sum)) => *sum = sum.saturating_add(taken),
                None => remainder.covered.push((row.part.clone(), taken)),
            }
            let rest = Quantity::new(here.amount - taken, here.unit);
            let rest = rest.to(left.unit).unwrap_or(Quantity::new(Decimal::ZERO, left.unit));
            add(
                &mut self.counted,
                (row.part.clone(), row.contained.clone()),
                left.amount - rest.amount,
            );
            left = rest;
        }
    }

    /// Compares what was counted on to arrive inside other parts with what arrives in the end: a provider may
    /// itself have been covered later.
    fn shortfalls(&self, sets: &[(PartNumber, Quantity)]) -> Vec<Shortfall> {
        if self.counted.is_empty() {
            return Vec::new();
        }
        let mut ordered: HashMap<&PartNumber, Decimal> = HashMap::new();
        let mut as_set: HashMap<&PartNumber, Decimal> = HashMap::new();
        for (part, quantity) in sets {
            add(&mut ordered, part, quantity.amount);
        }
        for remainder in &self.remainders {
            let planned = &self.outcomes[remainder.outcome].parts[remainder.part];
            let amount = remainder.amount.amount;
            if planned.set {
                let most = as_set.entry(&planned.end.part).or_default();
                *most = amount.max(*most);
            } else {
                add(&mut ordered, &planned.end.part, amount);
            }
        }
        let mut arriving: HashMap<(PartNumber, PartNumber), Decimal> = HashMap::new();
        for (part, amount) in ordered.into_iter().chain(as_set) {
            for (row, given) in contents(self.lookup, part, amount).0 {
                add(&mut arriving, (row.part, row.contained), given.amount);
            }
        }
        let mut shortfalls: Vec<Shortfall> = self
            .counted
            .iter()
            .map(|(pair, counted)| {
                let arriving = arriving.get(pair).copied().unwrap_or_default();
                Shortfall {
                    by: pair.0.clone(),
                    contained: pair.1.clone(),
                    counted: *counted,
                    arriving,
                }
            })
            .filter(|shortfall| shortfall.arriving < shortfall.counted)
            .collect();
        shortfalls.sort_by(|a, b| (&a.by, &a.contained).cmp(&(&b.by, &b.contained)));
        shortfalls
    }
}
