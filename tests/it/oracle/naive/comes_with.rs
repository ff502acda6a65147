//! Comes with: what arrives with something that is ordered anyway.

use super::Solver;
use super::catalog::ContainsRow;
use super::cells::{Key, Quantity};
use super::parts::Piece;
use super::result::Planned;
use super::rounds::State;
use rust_decimal::Decimal;
use std::collections::{BTreeMap, BTreeSet};

/// Something that is ordered and may contain something.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
enum Provider {
    /// A final part of a set.
    Set(usize),
    /// A final part of a renewed position: the position in the plan, the part in the position.
    Piece(usize, usize),
    /// What several positions that count as `set` have in common: one final part.
    Shared(Key),
}

/// One way through the giving.
struct Giving<'a> {
    plan: &'a mut Vec<Planned>,
    state: &'a State,
    /// How much a provider that has given gave with.
    gave: BTreeMap<Provider, Decimal>,
    provided: BTreeSet<Key>,
}

/// A provider that has given is covered afterwards, by so much.
struct CoveredAfterwards(Provider, Decimal);

impl Solver {
    /// Marks what arrives with something else as covered; gives the parts that were provided.
    pub fn hand_out_what_comes_along(
        &self,
        sets: &[(Key, Quantity)],
        plan: &mut Vec<Planned>,
        state: &State,
    ) -> BTreeSet<Key> {
        let untouched = plan.clone();
        let mut gives_nothing: BTreeMap<Provider, Decimal> = BTreeMap::new();
        loop {
            plan.clone_from(&untouched);
            let (gave, provided) = (BTreeMap::new(), BTreeSet::new());
            let mut giving = Giving { plan, state, gave, provided };
            match self.give(sets, &gives_nothing, &mut giving) {
                Ok(()) => return giving.provided,
                // If a provider that has given is covered afterwards, the giving starts anew with that much of it giving nothing.
                Err(CoveredAfterwards(provider, how_much)) => {
                    self.mark("comes with: starts anew");
                    *gives_nothing.entry(provider).or_default() += how_much;
                }
            }
        }
    }

    fn give(
        &self,
        sets: &[(Key, Quantity)],
        gives_nothing: &BTreeMap<Provider, Decimal>,
        giving: &mut Giving,
    ) -> Result<(), CoveredAfterwards> {
        // Providers in order: the final parts of the sets,
        for (at, (part, quantity)) in sets.iter().enumerate() {
            let inside = [part.clone()];
            self.unpack(
                &Provider::Set(at),
                quantity.number,
                part,
                quantity.number,
                &inside,
                giving,
            )?;
        }
        // then every renewed position by place with its final parts in order.
        let mut shared_ones = BTreeSet::new();
        for at in 0..giving.plan.len() {
            for which in 0..giving.plan[at].pieces.len() {
                let piece = giving.plan[at].pieces[which].clone();
                let provider = provider(&piece, at, which);
                // Positions that count as `set` and have the same final part are one provider.
                if piece.is_set && !shared_ones.insert(piece.part.clone()) {
                    self.mark("comes with: a set counts once as a provider");
                    continue;
                }
                let remains = remainder(giving.plan, &piece);
                let held_back = gives_nothing.get(&provider).copied().unwrap_or_default();
                let gives = (remains - held_back).max(Decimal::ZERO);
                let inside = [piece.part.clone()];
                self.unpack(&provider, gives, &piece.part, gives, &inside, giving)?;
            }
        }
        Ok(())
    }

    /// Each `contains` row of the provided part in table order (then, depth first, of what that one contains; a part never inside itself).
    fn unpack(
        &self,
        provider: &Provider,
        gives: Decimal,
        part: &Key,
        how_many: Decimal,
        inside: &[Key],
        giving: &mut Giving,
    ) -> Result<(), CoveredAfterwards> {
        if how_many.is_zero() {
            return Ok(());
        }
        giving.provided.insert(part.clone());
        for row in self.catalog.contains.iter().filter(|row| row.part == *part) {
            if inside.contains(&row.contains) {
                self.mark("comes with: a part never inside itself");
                continue;
            }
            let amount = row.quantity.times(how_many);
            if self.hand_out(row, &amount, provider, giving)? {
                giving.gave.insert(provider.clone(), gives);
                if inside.len() > 1 {
                    self.mark("comes with: nested");
                }
            }
            let mut deeper = inside.to_vec();
            deeper.push(row.contains.clone());
            self.unpack(provider, gives, &row.contains, amount.number, &deeper, giving)?;
        }
        Ok(())
    }

    /// Gives to other renewed positions, by place, until used up; tells whether anything was given.
    fn hand_out(
        &self,
        row: &ContainsRow,
        amount: &Quantity,
        provider: &Provider,
        giving: &mut Giving,
    ) -> Result<bool, CoveredAfterwards> {
        let mut left = amount.clone();
        let mut has_given = false;
        for at in 0..giving.plan.len() {
            if is_of_provider(&giving.plan[at], at, provider) {
                continue;
            }
            for which in 0..giving.plan[at].pieces.len() {
                let piece = giving.plan[at].pieces[which].clone();
                if !self.may_receive(row, &giving.plan[at], &piece, giving.state) {
                    continue;
                }
                // (in unlike units nothing)
                let Some(available) = left.number_in(piece.quantity.unit) else { continue };
                let given = available.min(remainder(giving.plan, &piece));
                if given.is_zero() {
                    continue;
                }
                has_given = true;
                left = Quantity { number: available - given, unit: piece.quantity.unit };
                self.mark_given(row, &piece, provider);
                cover(giving.plan, at, which, row, given);
                let receiver = self::provider(&piece, at, which);
                let remains = remainder(giving.plan, &giving.plan[at].pieces[which]);
                if let Some(gave) = giving.gave.get(&receiver).filter(|gave| remains < **gave) {
                    return Err(CoveredAfterwards(receiver, gave - remains));
                }
            }
        }
        Ok(has_given)
    }

    fn may_receive(
        &self,
        row: &ContainsRow,
        planned: &Planned,
        piece: &Piece,
        state: &State,
    ) -> bool {
        let is_named = match &row.position {
            Some(position) if *position != planned.position => return false,
            named => named.is_some(),
        };
        let is_free = piece.resolved.is_free(&row.contains);
        if let Some(target) =
            state.target(&planned.position).and_then(|target| target.part.as_ref())
        {
            // to a target, by name or not, only where the contained part is the target itself, or lies after it on its chain, and is *free*
            let (of_target, of_contained) =
                (piece.resolved.index_of(target), piece.resolved.index_of(&row.contains));
            return is_free && of_target.is_some() && of_contained >= of_target;
        }
        // to the named `position` whatever its number there; without one, wherever the contained part is *free* on the chain of a final part
        if !is_named && !is_free && piece.resolved.index_of(&row.contains).is_some() {
            self.mark("comes with: on the chain but not free");
        }
        is_named || is_free
    }

    fn mark_given(&self, row: &ContainsRow, piece: &Piece, provider: &Provider) {
        self.mark(match &row.position {
            Some(_) if row.contains != piece.part => {
                "comes with: to a named position under another number"
            }
            Some(_) => "comes with: to a named position",
            None if row.contains != piece.part => "comes with: an earlier number, free",
            None => "comes with: by number",
        });
        if piece.is_set {
            self.mark("comes with: covers a set");
        }
        if matches!(provider, Provider::Set(_)) {
            self.mark("comes with: from a set to buy");
        }
    }
}

fn provider(piece: &Piece, at: usize, which: usize) -> Provider {
    if piece.is_set { Provider::Shared(piece.part.clone()) } else { Provider::Piece(at, which) }
}

/// Whether a position is one from which the provider comes: it gives nothing to itself.
fn is_of_provider(planned: &Planned, at: usize, provider: &Provider) -> bool {
    match provider {
        Provider::Set(_) => false,
        Provider::Piece(own, _) => *own == at,
        Provider::Shared(part) => planned.pieces.iter().any(|piece| shares(piece, part)),
    }
}

fn shares(piece: &Piece, part: &Key) -> bool {
    piece.is_set && piece.part == *part
}

/// What remains of a piece; of a `set`, the largest remainder of those that have the same final part.
fn remainder(plan: &[Planned], piece: &Piece) -> Decimal {
    if !piece.is_set {
        return piece.remains;
    }
    let all = plan.iter().flat_map(|planned| &planned.pieces);
    let remainders = all.filter(|other| shares(other, &piece.part)).map(|other| other.remains);
    remainders.max().unwrap_or_default()
}

/// What is given is marked `covered` (by the part that directly contains it, summed). Of a `set`, all that have it are one receiver.
fn cover(plan: &mut [Planned], at: usize, which: usize, row: &ContainsRow, given: Decimal) {
    let shared = plan[at].pieces[which].is_set.then(|| plan[at].pieces[which].part.clone());
    for (place, planned) in plan.iter_mut().enumerate() {
        let mut covered = Decimal::ZERO;
        for (index, piece) in planned.pieces.iter_mut().enumerate() {
            let receives = match &shared {
                Some(part) => shares(piece, part),
                None => (place, index) == (at, which),
            };
            if receives {
                let share = given.min(piece.remains);
                piece.remains -= share;
                covered += share;
            }
        }
        if covered.is_zero() {
            continue;
        }
        let same =
            planned.covered.iter_mut().find(|cover| cover.0 == row.part && cover.1 == row.contains);
        match same {
            Some((_, _, sum)) => *sum += covered,
            None => planned.covered.push((row.part.clone(), row.contains.clone(), covered)),
        }
    }
}
