//! What arrives inside something that is bought, and so need not be ordered again.

use super::action::Action;
use super::outcome::{Outcome, Planned};
use crate::catalog::{Contains, Lookup};
use crate::measure::{Key, PartNumber, Quantity, Unit};
use rust_decimal::Decimal;
use std::collections::{HashMap, HashSet};

/// What a renewed position still needs of one final part, and what covers the rest.
#[derive(Debug, Clone)]
pub(crate) struct Remainder {
    /// The index of the outcome, and of the part within it.
    pub outcome: usize,
    pub part: usize,
    pub amount: Quantity,
    /// What covered the rest.
    pub covered: Vec<Given>,
}

/// How much of a part arrives inside another.
#[derive(Debug, Clone)]
pub(crate) struct Given {
    /// The part that directly contains it.
    pub by: PartNumber,
    pub what: PartNumber,
    pub amount: Decimal,
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

/// What is covered, and what is worth a second look.
#[derive(Debug)]
pub(crate) struct Covered {
    /// What each renewed position still needs.
    pub remainders: Vec<Remainder>,
    /// What arrives fitted at positions that are not renewed.
    pub arrivals: Vec<Arrival>,
    /// Parts that hold so much that not all of it was looked at.
    pub cut_short: Vec<PartNumber>,
}

/// The most contents of one part that are looked at. Sets inside sets that hold the same things twice double at every
/// level, and would take forever; no set that can be carried holds so much.
pub const MOST_CONTENTS: usize = 100_000;

/// The most times that the giving starts anew. Parts that hold fractions of each other would never come to rest.
const MOST_STARTS: usize = 1000;

/// Works out what each renewed position still needs once everything that comes with something else is counted.
///
/// `sets` are the final parts of the sets to buy, with their quantities; `target` tells the part that was asked for at
/// a position.
pub(crate) fn cover<'a>(
    lookup: &'a dyn Lookup,
    outcomes: &'a [Outcome],
    sets: &[(PartNumber, Quantity)],
    target: &'a dyn Fn(&Key) -> Option<&'a PartNumber>,
) -> Covered {
    let fresh = receivers(outcomes);
    let mut withheld = vec![Decimal::ZERO; fresh.len()];
    for start in 0.. {
        let mut cover = Cover {
            lookup,
            outcomes,
            target,
            receivers: fresh.clone(),
            last: start == MOST_STARTS,
            arrivals: Vec::new(),
            cut_short: Vec::new(),
        };
        if let Some((receiver, more)) = cover.give_all(sets, &withheld) {
            withheld[receiver] = more;
            continue;
        }
        let mut remainders: Vec<Remainder> =
            cover.receivers.iter().flat_map(Receiver::remainders).collect();
        remainders.sort_by_key(|remainder| (remainder.outcome, remainder.part));
        return Covered { remainders, arrivals: cover.arrivals, cut_short: cover.cut_short };
    }
    Covered { remainders: Vec::new(), arrivals: Vec::new(), cut_short: Vec::new() }
}

/// One final part of a renewed position, or of all positions that share it as a set: it wants something, and it brings
/// something.
#[derive(Debug, Clone)]
struct Receiver {
    /// The outcome, the part within it, and how much that wants.
    members: Vec<(usize, usize, Decimal)>,
    part: PartNumber,
    /// What remains to be ordered.
    left: Quantity,
    covered: Vec<Given>,
    /// It has brought something to another.
    has_given: bool,
    /// What was covered after it brought something.
    covered_since: Decimal,
}

fn receivers(outcomes: &[Outcome]) -> Vec<Receiver> {
    let mut receivers: Vec<Receiver> = Vec::new();
    let mut sets: HashMap<(PartNumber, Unit), usize> = HashMap::new();
    let renewed = outcomes.iter().enumerate().filter(|(_, o)| o.action == Action::Renew);
    for (outcome, index, planned) in renewed
        .flat_map(|(i, outcome)| outcome.parts.iter().enumerate().map(move |(j, p)| (i, j, p)))
    {
        let Planned { end, quantity, set } = planned;
        let member = (outcome, index, quantity.amount);
        if *set {
            let known = sets.entry((end.part.clone(), quantity.unit)).or_insert(receivers.len());
            if let Some(receiver) = receivers.get_mut(*known) {
                receiver.members.push(member);
                receiver.left.amount = receiver.left.amount.max(quantity.amount);
                continue;
            }
        }
        receivers.push(Receiver {
            members: vec![member],
            part: end.part.clone(),
            left: *quantity,
            covered: Vec::new(),
            has_given: false,
            covered_since: Decimal::ZERO,
        });
    }
    receivers
}

impl Receiver {
    /// What each of its positions still needs.
    fn remainders(&self) -> impl Iterator<Item = Remainder> {
        self.members.iter().map(|(outcome, part, wants)| {
            let amount = self.left.amount.min(*wants);
            let mut rest = *wants - amount;
            let mut covered = Vec::new();
            for given in &self.covered {
                let share = given.amount.min(rest);
                rest -= share;
                if !share.is_zero() {
                    covered.push(Given { amount: share, ..given.clone() });
                }
            }
            let amount = Quantity::new(amount, self.left.unit);
            Remainder { outcome: *outcome, part: *part, amount, covered }
        })
    }
}

struct Cover<'a> {
    lookup: &'a dyn Lookup,
    outcomes: &'a [Outcome],
    target: &'a dyn Fn(&Key) -> Option<&'a PartNumber>,
    receivers: Vec<Receiver>,
    /// It is not started anew any more.
    last: bool,
    arrivals: Vec<Arrival>,
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
    /// Lets everything give what it holds, the sets first. Where something that has given is covered afterwards, tells
    /// how much of it: the giving starts anew, and that much gives nothing.
    fn give_all(
        &mut self,
        sets: &[(PartNumber, Quantity)],
        withheld: &[Decimal],
    ) -> Option<(usize, Decimal)> {
        for (part, quantity) in sets {
            if let Some(covered) = self.provide(part, quantity.amount, None, withheld) {
                return Some(covered);
            }
        }
        #[allow(
            clippy::needless_range_loop,
            reason = "what is given changes the receivers on the way"
        )]
        for index in 0..self.receivers.len() {
            let receiver = &self.receivers[index];
            let part = receiver.part.clone();
            let amount = (receiver.left.amount - withheld[index]).max(Decimal::ZERO);
            if let Some(covered) = self.provide(&part, amount, Some(index), withheld) {
                return Some(covered);
            }
        }
        None
    }

    fn provide(
        &mut self,
        provider: &PartNumber,
        amount: Decimal,
        from: Option<usize>,
        withheld: &[Decimal],
    ) -> Option<(usize, Decimal)> {
        let (unpacked, all) = contents(self.lookup, provider, amount);
        if !all && !self.cut_short.contains(provider) {
            self.cut_short.push(provider.clone());
        }
        for (row, given) in unpacked {
            self.note_arrival(&row, given, from);
            let covered = self.give(&row, given, from, withheld);
            if covered.is_some() && !self.last {
                return covered;
            }
        }
        None
    }

    /// Notes what arrives fitted where nothing is renewed, so that nothing is given to it. What lies loose in a set is
    /// fitted nowhere, unless what it is fitted in goes to a position itself.
    fn note_arrival(&mut self, row: &Contains, given: Quantity, from: Option<usize>) {
        let Some(position) = &row.position else { return };
        let at = |outcome: &&Outcome| outcome.place.position == *position;
        if self.outcomes.iter().find(at).is_some_and(Outcome::changes) {
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
    fn give(
        &mut self,
        row: &Contains,
        mut left: Quantity,
        from: Option<usize>,
        withheld: &[Decimal],
    ) -> Option<(usize, Decimal)> {
        let mut anew = None;
        #[allow(
            clippy::needless_range_loop,
            reason = "what is given changes the receivers on the way"
        )]
        for index in 0..self.receivers.len() {
            if left.amount.is_zero() {
                break;
            }
            let receiver = &self.receivers[index];
            if receiver.left.amount.is_zero()
                || from == Some(index)
                || !self.wants(receiver, row, from)
            {
                continue;
            }
            let Some(here) = left.to(receiver.left.unit) else { continue };
            let taken = here.amount.min(receiver.left.amount);
            let rest = Quantity::new(here.amount - taken, here.unit);
            left = rest.to(left.unit).unwrap_or(Quantity::new(Decimal::ZERO, left.unit));
            let receiver = &mut self.receivers[index];
            receiver.left.amount -= taken;
            let same = |given: &&mut Given| given.by == row.part && given.what == row.contained;
            match receiver.covered.iter_mut().find(same) {
                Some(given) => given.amount = given.amount.saturating_add(taken),
                None => receiver.covered.push(Given {
                    by: row.part.clone(),
                    what: row.contained.clone(),
                    amount: taken,
                }),
            }
            if receiver.has_given {
                receiver.covered_since = receiver.covered_since.saturating_add(taken);
                if receiver.covered_since > withheld[index] {
                    anew = anew.or(Some((index, receiver.covered_since)));
                }
            }
            if let Some(provider) = from.and_then(|from| self.receivers.get_mut(from)) {
                provider.has_given = true;
            }
        }
        anew
    }

    /// The contained part goes to one of the positions of the receiver, which is not the provider's own.
    fn wants(&self, receiver: &Receiver, row: &Contains, from: Option<usize>) -> bool {
        let own: &[(usize, usize, Decimal)] =
            from.map_or(&[], |from| self.receivers[from].members.as_slice());
        receiver.members.iter().any(|(outcome, part, _)| {
            let own = own.iter().any(|(own, ..)| own == outcome);
            let outcome = &self.outcomes[*outcome];
            let position = &outcome.place.position;
            let named = row.position.as_ref().is_none_or(|named| named == position);
            let chain = &outcome.parts[*part].end.chain;
            let free = || chain.iter().position(|l| l.free && l.part == row.contained);
            !own && named
                && match (self.target)(position) {
                    Some(target) => {
                        let target = chain.iter().position(|link| link.part == *target);
                        target.zip(free()).is_some_and(|(target, free)| free >= target)
                    }
                    None => row.position.is_some() || free().is_some(),
                }
        })
    }
}
