//! The order plan: the kit matched with the shelf, and the rest bought for the least total.

use super::alike::Alike;
use super::answer::{FromStock, NearMatch, OnTheWay, OrderPlan, Parcel, ParcelLine, Unsourced};
use super::cheapest::{self, Choice, NoChoice, Patience, Progress};
use super::market::{Bid, Market, Refused, Terms};
use super::needs::{How, Inside, Need, inside};
use super::problem::{self, Along, Content, Holds, Problem, Serves, Wanted};
use super::shelf::{IN_HAND, Lot, Place, Shelf};
use crate::catalog::{Lookup, Status};
use crate::measure::{Key, Kind, PartNumber, Quantity, Unit};
use rust_decimal::Decimal;
use rust_decimal::prelude::ToPrimitive;
use std::collections::{HashMap, HashSet};
use std::time::Duration;

/// How long the search may take for what only the shelf can give.
const MOST_FOR_THE_SHELF: Duration = Duration::from_secs(10);

/// Something taken off the shelf for a need.
#[derive(Debug, Clone)]
pub struct Taken {
    /// The index of the need.
    pub need: usize,
    /// What it is taken out of.
    pub lot: Lot,
    /// How much of the lot, in its unit; 0 where it is there as needed.
    pub amount: Decimal,
    /// Why it will do.
    pub how: How,
    /// It is a set that is opened for what lies in it.
    pub opened: bool,
    /// The other needs that the opened set serves.
    pub also: Vec<usize>,
    /// What lies in a set that is opened off the shelf, and which need it serves: the number inside, and how many of it.
    pub inside: Vec<(usize, PartNumber, Decimal)>,
}

/// Everything that the plan is made of.
pub struct Planner<'a> {
    lookup: &'a dyn Lookup,
    needs: &'a [Need],
    /// What of each need is still wanted.
    left: Vec<Decimal>,
    taken: Vec<Taken>,
    /// What each number is good for.
    uses: HashMap<PartNumber, Vec<Use>>,
    /// What one of a number brings along of other needs where it is used as it is for a need.
    along: HashMap<(PartNumber, usize), Vec<(usize, Decimal)>>,
    /// What comes near a part that nobody offers is looked for, too: that goes through all parts of the catalog.
    near: bool,
}

/// A need that a number serves.
#[derive(Clone, Copy)]
struct Use {
    need: usize,
    worth: Decimal,
    how: How,
    shelf_only: bool,
}

/// Where a number is to come from.
#[derive(Clone, Copy, PartialEq, Eq)]
enum From {
    TheShelf,
    AShop,
}

impl<'a> Planner<'a> {
    /// Lays out the needs.
    pub fn new(needs: &'a [Need], lookup: &'a dyn Lookup) -> Self {
        let mut uses: HashMap<PartNumber, Vec<Use>> = HashMap::new();
        for (index, need) in needs.iter().enumerate() {
            // A withdrawn part serves nowhere.
            for stand_in in
                need.accepts.iter().filter(|stand_in| !is_withdrawn(&stand_in.part, lookup))
            {
                let new = Use {
                    need: index,
                    worth: stand_in.worth,
                    how: stand_in.how,
                    shelf_only: stand_in.shelf_only,
                };
                uses.entry(stand_in.part.clone()).or_default().push(new);
            }
        }
        let mut along: HashMap<(PartNumber, usize), Vec<(usize, Decimal)>> = HashMap::new();
        for (index, need) in needs.iter().enumerate() {
            for stand_in in &need.accepts {
                for brought in stand_in.brings.iter().filter(|brought| !brought.amount.is_zero()) {
                    let here = |other: &Need| {
                        other.part == brought.part && other.comes_in.as_ref() == Some(&need.part)
                    };
                    let Some(other) = needs.iter().position(here) else { continue };
                    along
                        .entry((stand_in.part.clone(), index))
                        .or_default()
                        .push((other, brought.amount));
                }
            }
        }
        let left = needs.iter().map(|need| need.amount).collect();
        Planner { lookup, needs, left, taken: Vec::new(), uses, along, near: false }
    }

    /// Has the plan name what comes near a part that nobody offers.
    pub fn naming_what_is_near(self) -> Self {
        Planner { near: true, ..self }
    }

    /// Every number that serves a need: as it is, or by what lies in it.
    pub fn numbers(&self) -> Vec<PartNumber> {
        let mut numbers: Vec<PartNumber> = Vec::new();
        let mut seen = HashSet::new();
        for need in self.needs {
            let accepted = need.accepts.iter().map(|stand_in| &stand_in.part);
            for number in accepted.chain(need.halves.iter().map(|half| &half.part)) {
                if seen.insert(number.clone()) {
                    numbers.push(number.clone());
                }
            }
        }
        let mut at = 0;
        while let Some(number) = numbers.get(at).cloned() {
            at += 1;
            for row in
                self.lookup.containers_of(&number).iter().filter(|row| row.position.is_none())
            {
                if seen.insert(row.part.clone()) {
                    numbers.push(row.part.clone());
                }
            }
        }
        numbers
    }

    /// Takes from the shelf whatever serves one need only, and for needs that nobody sells to all that serves them.
    ///
    /// What is left for the choice are lots that several needs would like.
    pub fn take_from(&mut self, shelf: &mut Shelf, on_sale: &HashSet<usize>) {
        for index in 0..self.needs.len() {
            if self.needs[index].amount.is_zero() {
                self.take_some(index, shelf);
            }
        }
        for index in 0..self.needs.len() {
            self.take_loose(index, shelf, true);
        }
        self.hand_out(shelf, on_sale);
        for index in (0..self.needs.len()).filter(|index| !on_sale.contains(index)) {
            self.take_loose(index, shelf, false);
        }
        for index in 0..self.needs.len() {
            if !on_sale.contains(&index) && !self.left[index].is_zero() {
                self.open_sets(index, shelf);
            }
        }
        // What nobody offers has to be found as it is, and then brings along what lies in it.
        for index in (0..self.needs.len()).filter(|index| !on_sale.contains(index)) {
            let left = self.left[index];
            self.bring(&self.needs[index].part.clone(), index, left);
        }
    }

    /// Hands out what several needs would like that nobody sells anything for, so that the fewest pieces stay missing.
    ///
    /// Each missing piece is taken for a pack at the price of one, and the rest is the same search as for an order. What
    /// does not come by the piece, and everything should the search fail, is left to be taken need by need.
    fn hand_out(&mut self, shelf: &mut Shelf, on_sale: &HashSet<usize>) {
        let open: Vec<usize> = (0..self.needs.len())
            .filter(|index| {
                !on_sale.contains(index)
                    && !self.is_met(*index)
                    && !self.needs[*index].amount.is_zero()
            })
            .filter(|index| self.wanted(*index).counted && !self.needs[*index].piece)
            .collect();
        let wanted: HashMap<usize, usize> =
            open.iter().enumerate().map(|(place, index)| (*index, place)).collect();
        let (lots, of_lots) = self.lots(shelf, &wanted);
        if lots.is_empty() {
            return;
        }
        let missing = |need: usize| problem::Pack {
            shop: 0,
            price: 1,
            own_price: 1,
            holds: Holds {
                size: Decimal::ONE,
                itself: vec![Serves { need, worth: Decimal::ONE }],
                ..Holds::default()
            },
        };
        let problem = Problem {
            needs: open.iter().map(|index| self.wanted(*index)).collect(),
            shops: vec![problem::Terms { shipping: 0, free_from: None, minimum: None }],
            packs: (0..open.len()).map(missing).collect(),
            lots: of_lots,
            at_most: None,
        };
        let mut quiet = |_: Progress| {};
        let mut patience = Patience { most: MOST_FOR_THE_SHELF, progress: &mut quiet };
        let Ok(choice) = cheapest::choose(&problem, &mut patience) else { return };
        let before = self.taken.len();
        self.take_chosen(&choice, &problem, &lots, &open, shelf);
        let direct: Vec<(PartNumber, usize, Decimal)> = self.taken[before..]
            .iter()
            .filter(|taken| !taken.opened)
            .map(|taken| (taken.lot.part.clone(), taken.need, taken.amount))
            .collect();
        for (part, need, amount) in direct {
            self.bring(&part, need, amount);
        }
        for (place, index) in open.iter().enumerate() {
            self.left[*index] = Decimal::from(choice.packs[place]);
        }
        for taken in before..self.taken.len() {
            self.use_the_rest(taken);
        }
    }

    /// What else lies in a set that was opened serves what it can.
    fn use_the_rest(&mut self, taken: usize) {
        let Some(set) = self.taken.get(taken).filter(|taken| taken.opened) else { return };
        let mut inside = set.inside.clone();
        let mut also = set.also.clone();
        for item in self.held(&set.lot.part, From::TheShelf) {
            let used = inside
                .iter()
                .filter(|(_, part, _)| *part == item.part)
                .map(|(_, _, amount)| *amount);
            let used = used.fold(Decimal::ZERO, Decimal::saturating_add);
            let mut rest = (item.amount.saturating_mul(set.amount) - used).max(Decimal::ZERO);
            for use_ in &item.serves {
                let given =
                    rest.min(divided(self.left[use_.need], use_.worth, self.needs[use_.need].unit));
                if given.is_zero() {
                    continue;
                }
                rest -= given;
                let left = &mut self.left[use_.need];
                *left = (*left - given.saturating_mul(use_.worth)).max(Decimal::ZERO);
                inside.push((use_.need, item.part.clone(), given));
                also.push(use_.need);
            }
        }
        if let Some(set) = self.taken.get_mut(taken) {
            (set.inside, set.also) = (inside, also);
        }
    }

    /// What of the shelf serves some needs, and how.
    fn lots(&self, shelf: &Shelf, wanted: &HashMap<usize, usize>) -> (Vec<Lot>, Vec<problem::Lot>) {
        let mut lots = Vec::new();
        let mut of_lots = Vec::new();
        for number in self.numbers() {
            for lot in shelf.lots_of(&number) {
                let holds = self.holds(&number, lot.left, From::TheShelf, true, wanted);
                if !holds.itself.is_empty() || !holds.inside.is_empty() {
                    of_lots.push(problem::Lot { holds });
                    lots.push(lot);
                }
            }
        }
        (lots, of_lots)
    }

    /// Counts what comes along with so many of a number that are used for a need.
    fn bring(&mut self, number: &PartNumber, index: usize, amount: Decimal) {
        for (other, each) in self.along.get(&(number.clone(), index)).into_iter().flatten() {
            let left = &mut self.left[*other];
            *left = (*left - each.saturating_mul(amount)).max(Decimal::ZERO);
        }
    }

    /// Takes all that the shelf gives and buys nothing: what was taken, and what of each need is still wanted.
    pub fn off_the_shelf(mut self, shelf: &mut Shelf) -> (Vec<Taken>, Vec<Decimal>) {
        self.take_from(shelf, &HashSet::new());
        (self.taken, self.left)
    }

    /// As needed: that there is some is all that can be asked.
    fn take_some(&mut self, index: usize, shelf: &Shelf) {
        for stand_in in &self.needs[index].accepts {
            if let Some(lot) = shelf.lots_of(&stand_in.part).into_iter().next() {
                self.taken.push(Taken {
                    need: index,
                    lot,
                    amount: Decimal::ZERO,
                    how: stand_in.how,
                    opened: false,
                    also: Vec::new(),
                    inside: Vec::new(),
                });
                return;
            }
        }
    }

    fn is_met(&self, index: usize) -> bool {
        if self.needs[index].amount.is_zero() {
            return self.taken.iter().any(|taken| taken.need == index);
        }
        self.left[index].is_zero()
    }

    fn take_loose(&mut self, index: usize, shelf: &mut Shelf, only_sole: bool) {
        let need = &self.needs[index];
        for stand_in in &need.accepts {
            // What lacks something that is counted on may cost more than it saves.
            let sole = self.uses.get(&stand_in.part).is_some_and(|uses| uses.len() == 1)
                && !need.hollow().any(|(hollow, _)| *hollow == stand_in.part)
                && !self
                    .needs
                    .iter()
                    .any(|need| need.halves.iter().any(|half| half.part == stand_in.part));
            if only_sole && !sole {
                continue;
            }
            for lot in shelf.lots_of(&stand_in.part) {
                let left = self.left[index];
                let Some(there) = lot.left.to(need.unit).filter(|_| !left.is_zero()) else {
                    continue;
                };
                let wanted = divided(left, stand_in.worth, need.unit);
                if need.piece && there.amount < wanted {
                    continue;
                }
                let amount = there.amount.min(wanted);
                // A set that is counted on for itself stays closed.
                let Some(own) = Quantity::new(amount, need.unit).to(lot.left.unit) else {
                    continue;
                };
                shelf.take(&lot, own.amount);
                self.left[index] =
                    (left - amount.saturating_mul(stand_in.worth)).max(Decimal::ZERO);
                self.bring(&stand_in.part, index, amount);
                self.taken.push(Taken {
                    need: index,
                    lot,
                    amount: own.amount,
                    how: stand_in.how,
                    opened: false,
                    also: Vec::new(),
                    inside: Vec::new(),
                });
            }
        }
    }

    /// Opens sets on the shelf for a need that nothing else meets; what else lies in them serves what it can.
    fn open_sets(&mut self, index: usize, shelf: &mut Shelf) {
        for number in self.numbers() {
            let held = self.held(&number, From::TheShelf);
            if !held.iter().any(|item| item.serves.iter().any(|use_| use_.need == index)) {
                continue;
            }
            for lot in shelf.lots_of(&number) {
                let mut unopened = lot.left.amount.floor();
                while unopened >= Decimal::ONE && !self.left[index].is_zero() {
                    unopened -= Decimal::ONE;
                    shelf.take(&lot, Decimal::ONE);
                    let mut inside = Vec::new();
                    for item in &held {
                        let mut amount = item.amount;
                        let first = item.serves.iter().filter(|use_| use_.need == index);
                        for use_ in
                            first.chain(item.serves.iter().filter(|use_| use_.need != index))
                        {
                            let given = amount.min(divided(
                                self.left[use_.need],
                                use_.worth,
                                self.needs[use_.need].unit,
                            ));
                            let served = given.saturating_mul(use_.worth);
                            self.left[use_.need] =
                                (self.left[use_.need] - served).max(Decimal::ZERO);
                            amount -= given;
                            if !given.is_zero() {
                                inside.push((use_.need, item.part.clone(), given));
                            }
                        }
                    }
                    self.taken.push(Taken {
                        need: index,
                        lot: lot.clone(),
                        amount: Decimal::ONE,
                        how: How::Itself,
                        opened: true,
                        also: Vec::new(),
                        inside,
                    });
                }
            }
        }
    }

    /// What lies loose in a number and serves a need, with the amount in the needs' unit.
    fn held(&self, number: &PartNumber, from: From) -> Vec<HeldItem> {
        let mut held: Vec<HeldItem> = Vec::new();
        for Inside { part, amount, unit, loose, .. } in inside(number, self.lookup) {
            let Some(uses) = self.uses.get(&part).filter(|_| loose) else { continue };
            let units: HashSet<Unit> = uses.iter().map(|use_| self.needs[use_.need].unit).collect();
            for want in units {
                let Some(amount) = Quantity::new(amount, unit).to(want) else { continue };
                let serves: Vec<Use> = uses
                    .iter()
                    .filter(|use_| {
                        self.needs[use_.need].unit == want
                            && use_.may_come(from)
                            && !self.needs[use_.need].amount.is_zero()
                    })
                    .copied()
                    .collect();
                if !serves.is_empty() {
                    held.push(HeldItem { part: part.clone(), amount: amount.amount, serves });
                }
            }
        }
        // An earlier number that became several parts serves them all at once, as a set would.
        let earlier = from == From::TheShelf && !is_withdrawn(number, self.lookup);
        for (index, need) in self.needs.iter().enumerate().filter(|_| earlier) {
            for half in need.halves.iter().filter(|half| half.part == *number) {
                let serves = vec![Use {
                    need: index,
                    worth: Decimal::ONE,
                    how: How::Earlier,
                    shelf_only: true,
                }];
                held.push(HeldItem { part: need.part.clone(), amount: half.worth, serves });
            }
        }
        held
    }

    /// What so much of a number is good for, for the choice.
    fn holds(
        &self,
        number: &PartNumber,
        size: Quantity,
        from: From,
        sets: bool,
        wanted: &HashMap<usize, usize>,
    ) -> Holds {
        let serves = |use_: &Use| {
            wanted.get(&use_.need).map(|need| Serves { need: *need, worth: use_.worth })
        };
        let mut holds = Holds { size: size.amount, ..Holds::default() };
        let mut unit = None;
        let uses = self.uses.get(number).into_iter().flatten();
        for use_ in uses.filter(|use_| use_.may_come(from)) {
            let need = &self.needs[use_.need];
            // Sizes are told in one unit; a need in another is met by another offer.
            if *unit.get_or_insert(need.unit) != need.unit {
                continue;
            }
            if let Some(size) = size.to(need.unit)
                && let Some(serves) = serves(use_)
            {
                holds.size = size.amount;
                if need.amount.is_zero() {
                    // As needed: a pack is a pack, however much is in it.
                    holds.size = Decimal::ONE;
                }
                holds.itself.push(serves);
                for (other, amount) in
                    self.along.get(&(number.clone(), use_.need)).into_iter().flatten()
                {
                    if let Some(need) = wanted.get(other) {
                        holds.along.push(Along { with: serves.need, need: *need, amount: *amount });
                    }
                }
            }
        }
        if sets && size.unit == Unit::Each {
            for item in self.held(number, from) {
                let serves: Vec<Serves> = item.serves.iter().filter_map(serves).collect();
                if !serves.is_empty() {
                    holds.inside.push(Content { amount: item.amount, serves });
                }
            }
        }
        holds
    }

    /// The needs that some offer serves.
    pub fn on_sale(&self, market: &Market, sets: bool) -> HashSet<usize> {
        let all: HashMap<usize, usize> =
            (0..self.needs.len()).map(|index| (index, index)).collect();
        let mut found = HashSet::new();
        for bid in &market.bids {
            let holds = self.holds(&bid.offer.part, bid.pack, From::AShop, sets, &all);
            found.extend(holds.itself.iter().map(|serves| serves.need));
            found.extend(holds.along.iter().map(|along| along.need));
            found.extend(
                holds.inside.iter().flat_map(|content| &content.serves).map(|serves| serves.need),
            );
        }
        found
    }

    /// Tells of each need that the shelf leaves open, and that some offer serves, who sells something for it.
    pub fn sellers(mut self, shelf: &mut Shelf, market: &Market, sets: bool) -> Vec<Vec<Key>> {
        let on_sale = self.on_sale(market, sets);
        self.take_from(shelf, &on_sale);
        let mut of_shop: Vec<HashSet<usize>> = Vec::new();
        for shop in 0..market.shops.len() {
            let bids = market.bids.iter().filter(|bid| bid.shop == shop).cloned().collect();
            of_shop.push(self.on_sale(&Market { bids, ..Market::default() }, sets));
        }
        let open =
            (0..self.needs.len()).filter(|index| on_sale.contains(index) && !self.is_met(*index));
        let sells = |index: usize| {
            let shops =
                market.shops.iter().zip(&of_shop).filter(|(_, of_shop)| of_shop.contains(&index));
            shops.map(|(shop, _)| shop.supplier.clone()).collect()
        };
        open.map(sells).collect()
    }

    /// Buys what is left, and closes the books.
    ///
    /// # Errors
    /// Too few suppliers are allowed, or the solver fails.
    pub fn finish(
        mut self,
        shelf: &mut Shelf,
        market: &Market,
        terms: &Terms,
        patience: &mut Patience,
    ) -> Result<OrderPlan, Refused> {
        let on_sale = self.on_sale(market, terms.sets);
        self.take_from(shelf, &on_sale);
        let open: Vec<usize> = (0..self.needs.len())
            .filter(|index| on_sale.contains(index) && !self.is_met(*index))
            .collect();
        let wanted: HashMap<usize, usize> =
            open.iter().enumerate().map(|(place, index)| (*index, place)).collect();
        let unit = smallest_money(market);
        let money = |amount: Decimal| {
            amount.saturating_mul(unit).ceil().to_i64().unwrap_or(i64::MAX / 1_000_000)
        };
        let mut problem = Problem { at_most: terms.at_most, ..Problem::default() };
        problem.needs = open.iter().map(|index| self.wanted(*index)).collect();
        problem.shops = market
            .shops
            .iter()
            .map(|shop| problem::Terms {
                shipping: money(shop.shipping_in_answer()),
                free_from: shop.free_from.map(money),
                minimum: shop.minimum.map(money),
            })
            .collect();
        let mut bids: Vec<&Bid> = Vec::new();
        for bid in &market.bids {
            let holds = self.holds(&bid.offer.part, bid.pack, From::AShop, terms.sets, &wanted);
            if !holds.itself.is_empty() || !holds.inside.is_empty() {
                let (price, own_price) = (money(bid.price), money(bid.offer.price.0));
                problem.packs.push(problem::Pack { shop: bid.shop, price, own_price, holds });
                bids.push(bid);
            }
        }
        let (lots, of_lots) = self.lots(shelf, &wanted);
        problem.lots = of_lots;
        let tell = &mut *patience.progress;
        let mut in_currency = |told: Progress| {
            let money =
                |amount: Option<Decimal>| amount.and_then(|amount| amount.checked_div(unit));
            tell(Progress { best: money(told.best), bound: money(told.bound), ..told });
        };
        let mut patience = Patience { most: patience.most, progress: &mut in_currency };
        let choice = self.choose(&problem, &mut patience)?;
        self.take_chosen(&choice, &problem, &lots, &open, shelf);
        let mut plan = self.answer(&choice, &bids, &open, market, unit);
        plan.unsourced = self.unsourced(&on_sale, market);
        Ok(plan)
    }

    fn wanted(&self, index: usize) -> Wanted {
        let need = &self.needs[index];
        if need.amount.is_zero() {
            return Wanted { amount: Decimal::ONE, counted: true, piece: false };
        }
        let counted = need.unit.kind() == Kind::Count && self.left[index].is_integer();
        Wanted { amount: self.left[index], counted, piece: need.piece }
    }

    fn choose(&self, problem: &Problem, patience: &mut Patience) -> Result<Choice, Refused> {
        if problem.needs.is_empty() {
            let none = Choice {
                packs: vec![0; problem.packs.len()],
                spare: vec![0; problem.packs.len()],
                pack_serves: vec![Vec::new(); problem.packs.len()],
                from_lots: vec![Vec::new(); problem.lots.len()],
                from_opened: vec![Vec::new(); problem.lots.len()],
                opened: vec![Decimal::ZERO; problem.lots.len()],
                shipping: vec![None; problem.shops.len()],
                proven: true,
                ..Choice::default()
            };
            return Ok(none);
        }
        match cheapest::choose(problem, patience) {
            Ok(choice) => Ok(choice),
            Err(NoChoice::Infeasible) => {
                if let Some(at_most) = problem.at_most {
                    for takes in at_most + 1..=problem.shops.len() {
                        let wider = Problem { at_most: Some(takes), ..problem.clone() };
                        if cheapest::choose(&wider, patience).is_ok() {
                            return Err(Refused::TooFew { at_most, takes });
                        }
                    }
                }
                Err(Refused::Unsolved("the terms of the suppliers cannot be met".to_owned()))
            }
            Err(NoChoice::OutOfTime) => {
                Err(Refused::Unsolved("the time was up; allow more with --patience".to_owned()))
            }
            Err(NoChoice::Failed(why)) => Err(Refused::Unsolved(why)),
        }
    }

    /// Books what the choice takes from the shelf.
    fn take_chosen(
        &mut self,
        choice: &Choice,
        problem: &Problem,
        lots: &[Lot],
        open: &[usize],
        shelf: &mut Shelf,
    ) {
        for (place, lot) in lots.iter().enumerate() {
            let holds = &problem.lots[place].holds;
            let opened = choice.opened[place];
            for (need, amount) in &choice.from_lots[place] {
                let index = open[*need];
                let Some(serves) = holds.itself.iter().find(|serves| serves.need == *need) else {
                    continue;
                };
                let need = &self.needs[index];
                let amount = Quantity::new(divided(*amount, serves.worth, need.unit), need.unit);
                let Some(own) = amount.to(lot.left.unit) else { continue };
                let how = self.how(&lot.part, index);
                shelf.take(lot, own.amount);
                self.taken.push(Taken {
                    need: index,
                    lot: lot.clone(),
                    amount: own.amount,
                    how,
                    opened: false,
                    also: Vec::new(),
                    inside: Vec::new(),
                });
            }
            let of_opened: Vec<(usize, Decimal)> = choice.from_opened[place]
                .iter()
                .map(|(need, amount)| (open[*need], *amount))
                .collect();
            if let Some(((need, _), also)) = of_opened.split_first().filter(|_| !opened.is_zero()) {
                shelf.take(lot, opened);
                let inside = self.out_of(&lot.part, opened, &of_opened);
                self.taken.push(Taken {
                    need: *need,
                    lot: lot.clone(),
                    amount: opened,
                    how: How::Itself,
                    opened: true,
                    also: also.iter().map(|(need, _)| *need).collect(),
                    inside,
                });
            }
        }
    }

    /// Tells which of the things in so many opened sets serve which need, and how many of each.
    fn out_of(
        &self,
        set: &PartNumber,
        opened: Decimal,
        served: &[(usize, Decimal)],
    ) -> Vec<(usize, PartNumber, Decimal)> {
        let mut held: Vec<(HeldItem, Decimal)> = self
            .held(set, From::TheShelf)
            .into_iter()
            .map(|item| {
                let amount = item.amount.saturating_mul(opened);
                (item, amount)
            })
            .collect();
        let mut out = Vec::new();
        for (need, amount) in served {
            let mut left = *amount;
            for (item, there) in &mut held {
                let Some(use_) = item.serves.iter().find(|use_| use_.need == *need) else {
                    continue;
                };
                let given = divided(left, use_.worth, self.needs[*need].unit).min(*there);
                if given > Decimal::ZERO {
                    *there -= given;
                    left -= given.saturating_mul(use_.worth);
                    out.push((*need, item.part.clone(), given));
                }
            }
        }
        out
    }

    fn how(&self, part: &PartNumber, need: usize) -> How {
        let uses = self.uses.get(part).into_iter().flatten();
        uses.into_iter().find(|use_| use_.need == need).map_or(How::Itself, |use_| use_.how)
    }

    fn answer(
        &self,
        choice: &Choice,
        bids: &[&Bid],
        open: &[usize],
        market: &Market,
        unit: Decimal,
    ) -> OrderPlan {
        let mut plan = OrderPlan {
            currency: market.currency.clone(),
            proven: choice.proven,
            ..OrderPlan::default()
        };
        for taken in &self.taken {
            self.note_taken(taken, &mut plan);
        }
        for (index, shop) in market.shops.iter().enumerate() {
            let Some(shipping) = choice.shipping[index] else { continue };
            let mut parcel = Parcel {
                supplier: shop.supplier.to_string(),
                name: shop.name.clone(),
                lines: Vec::new(),
                goods: Decimal::ZERO,
                shipping: if shipping == 0 { Decimal::ZERO } else { shop.shipping_in_answer() },
                total: Decimal::ZERO,
            };
            for (place, bid) in bids.iter().enumerate().filter(|(_, bid)| bid.shop == index) {
                let packs = Decimal::from(choice.packs[place]);
                if packs.is_zero() {
                    continue;
                }
                let serves = &choice.pack_serves[place];
                let line = self.parcel_line(
                    bid,
                    packs,
                    choice.spare[place],
                    serves.iter().map(|need| open[*need]),
                );
                parcel.goods = parcel.goods.saturating_add(line.amount);
                parcel.lines.push(line);
            }
            parcel.total = parcel.goods.saturating_add(parcel.shipping);
            plan.total = plan.total.saturating_add(parcel.total);
            plan.orders.push(parcel);
        }
        plan.bound = Decimal::from(choice.bound).checked_div(unit).unwrap_or_default();
        plan
    }

    fn note_taken(&self, taken: &Taken, plan: &mut OrderPlan) {
        let need = &self.needs[taken.need];
        let part = self.lookup.spell_part(&taken.lot.part);
        let unit = taken.lot.left.unit;
        let serves = self.lookup.spell_part(&need.part).to_string();
        let also = taken
            .also
            .iter()
            .map(|index| self.lookup.spell_part(&self.needs[*index].part).to_string());
        if let Place::OnTheWay(order) = &taken.lot.place {
            let order = order.clone();
            plan.on_the_way.push(OnTheWay {
                part: part.to_string(),
                quantity: taken.amount,
                unit,
                order,
                serves,
            });
            return;
        }
        let bin = match &taken.lot.place {
            Place::Bin(bin) => bin.clone(),
            _ => IN_HAND.to_owned(),
        };
        let as_needed = taken.amount.is_zero();
        let same = plan.from_stock.iter_mut().find(|from| {
            from.part == part.as_str()
                && from.bin == bin
                && from.unit == unit
                && from.opened == taken.opened
                && !as_needed
        });
        match same {
            Some(from) => {
                from.quantity = from.quantity.saturating_add(taken.amount);
                if !from.serves.contains(&serves) {
                    from.serves.push(serves);
                }
            }
            None => plan.from_stock.push(FromStock {
                part: part.to_string(),
                quantity: taken.amount,
                bin,
                unit,
                serves: std::iter::once(serves).chain(also).collect(),
                how: if taken.opened {
                    "a set that is opened for what lies in it"
                } else {
                    taken.how.words()
                },
                opened: taken.opened,
                as_needed,
            }),
        }
    }

    fn parcel_line(
        &self,
        bid: &Bid,
        packs: Decimal,
        spare: i64,
        serves: impl Iterator<Item = usize>,
    ) -> ParcelLine {
        let offer = &bid.offer;
        let mut serves_parts: Vec<String> = Vec::new();
        let mut how = None;
        let mut longest: Option<Quantity> = None;
        for index in serves {
            let need = &self.needs[index];
            let part = self.lookup.spell_part(&need.part).to_string();
            if need.piece && bid.pack.to(need.unit).is_some_and(|pack| pack.amount < need.amount) {
                longest = longest
                    .filter(|most| most.amount >= need.amount)
                    .or(Some(Quantity::new(need.amount, need.unit)));
            }
            if !serves_parts.contains(&part) {
                serves_parts.push(part);
            }
            how = how.or(self
                .uses
                .get(&offer.part)
                .and_then(|uses| uses.iter().find(|use_| use_.need == index)));
        }
        let set = how.is_none() && !serves_parts.is_empty();
        let row = self.lookup.part(&offer.part);
        let mut note = how.map_or("", |use_| use_.how.words()).to_owned();
        if set {
            note = "for what lies in it".to_owned();
        }
        if spare > 0 {
            let which = if packs == Decimal::from(spare) {
                "only".to_owned()
            } else {
                format!("{spare} of them only")
            };
            let to = format!(
                "{which} to reach the value from which the supplier delivers, or delivers free"
            );
            note = if note.is_empty() { to } else { format!("{note}; {to}") };
        }
        if let Some(longest) = longest {
            note = format!("ask for {longest} in one piece");
        }
        ParcelLine {
            part: self.lookup.spell_part(&offer.part).to_string(),
            supplier_number: offer.supplier_number.clone(),
            packs,
            pack: bid.pack.amount,
            pack_unit: bid.pack.unit,
            price: bid.price,
            own_price: offer.price.0,
            amount: bid.price.saturating_mul(packs),
            serves: serves_parts,
            is_set: set,
            description: row.map_or_else(String::new, |row| describe(&row.name, &row.size)),
            as_of: offer.as_of.as_ref().map_or_else(String::new, ToString::to_string),
            stale: bid.stale,
            note,
            offer_note: offer.note.clone(),
        }
    }

    fn unsourced(&self, on_sale: &HashSet<usize>, market: &Market) -> Vec<Unsourced> {
        let mut unsourced: Vec<Unsourced> = Vec::new();
        let open = |index: &usize| self.near && !on_sale.contains(index) && !self.is_met(*index);
        let alike = Alike::find(
            (0..self.needs.len()).filter(open).map(|index| &self.needs[index].part),
            self.lookup,
        );
        for (index, need) in self.needs.iter().enumerate() {
            if on_sale.contains(&index) || self.is_met(index) {
                continue;
            }
            let part = self.lookup.spell_part(&need.part).to_string();
            let left = self.left[index];
            if let Some(known) =
                unsourced.iter_mut().find(|known| known.part == part && known.unit == need.unit)
            {
                known.quantity = known.quantity.saturating_add(left);
                continue;
            }
            unsourced.push(Unsourced {
                part,
                quantity: left,
                unit: need.unit,
                as_needed: need.amount.is_zero(),
                near: if self.near { self.near(need, market, &alike) } else { Vec::new() },
            });
        }
        unsourced
    }

    /// What comes near a part that nobody offers: other suppliers, later or earlier numbers, the same type and size.
    fn near(&self, need: &Need, market: &Market, alike: &Alike) -> Vec<NearMatch> {
        const MOST: usize = 4;
        let lookup = self.lookup;
        let mut near: Vec<NearMatch> = Vec::new();
        let mut add = |part: &PartNumber, why: String| {
            let part = lookup.spell_part(part).to_string();
            if near.len() < MOST && !near.iter().any(|known| known.part == part && known.why == why)
            {
                near.push(NearMatch { part, why });
            }
        };
        for (part, supplier, why) in &market.kept_out {
            if need.accepts.iter().any(|stand_in| stand_in.part == *part) {
                add(part, format!("{supplier} has it, but {why}"));
            }
        }
        for bid in &market.bids {
            let does = need.accepts.iter().any(|stand_in| stand_in.part == bid.offer.part);
            if does && bid.pack.to(need.unit).is_none() {
                let (supplier, row) = (&bid.offer.supplier, lookup.place(bid.offer.at));
                let by =
                    if bid.pack.unit == Unit::Each { "the piece" } else { bid.pack.unit.symbol() };
                let why = format!(
                    "{supplier} has it, but sells it by {by}, and it is wanted in {}: fill in pack, how much is in one ({row})",
                    need.unit
                );
                add(&bid.offer.part, why);
            }
        }
        let sellers = |part: &PartNumber| -> Option<Key> {
            lookup.offers_of(part).first().map(|offer| offer.supplier.clone())
        };
        for row in lookup.supersessions_to(&need.part).iter() {
            if let Some(supplier) = sellers(&row.old)
                .filter(|_| !need.accepts.iter().any(|known| known.part == row.old))
            {
                add(
                    &row.old,
                    format!(
                        "{supplier} has this earlier number, which does not simply stand in for it"
                    ),
                );
            }
        }
        for number in alike.to(&need.part) {
            if let Some(supplier) = sellers(number) {
                add(
                    number,
                    format!(
                        "{supplier} has it: the same type and size by the table parts; see that it fits"
                    ),
                );
            }
        }
        near
    }
}

impl Use {
    fn may_come(&self, from: From) -> bool {
        from == From::TheShelf || !self.shelf_only
    }
}

/// The part is never to be fitted again.
pub(super) fn is_withdrawn(part: &PartNumber, lookup: &dyn Lookup) -> bool {
    lookup.part(part).is_some_and(|row| row.status == Some(Status::Withdrawn))
}

struct HeldItem {
    part: PartNumber,
    amount: Decimal,
    serves: Vec<Use>,
}

/// How many of a number make up an amount; pieces are whole.
fn divided(amount: Decimal, worth: Decimal, unit: Unit) -> Decimal {
    let times = amount.checked_div(worth).unwrap_or(amount);
    if unit == Unit::Each && amount.is_integer() { times.ceil() } else { times }
}

/// What a part is, in few words.
fn describe(name: &str, size: &str) -> String {
    if size.is_empty() || name.contains(size) { name.to_owned() } else { format!("{name}, {size}") }
}

/// How many of the smallest unit of money that any figure needs make up one unit of the currency.
fn smallest_money(market: &Market) -> Decimal {
    let prices = market.bids.iter().flat_map(|bid| [bid.price, bid.offer.price.0]);
    let shops = market.shops.iter().flat_map(|shop| {
        [Some(shop.shipping_in_answer()), shop.free_from, shop.minimum].into_iter().flatten()
    });
    let scale =
        prices.chain(shops).map(|amount| amount.normalize().scale()).max().unwrap_or(2).clamp(2, 4);
    Decimal::from(10_i64.pow(scale))
}
