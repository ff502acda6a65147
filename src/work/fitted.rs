//! What was fitted where by a kit as done, out of which lots of the shelf, and what is left of the sets it opened.

use crate::buy::needs::{How, Inside, Need, StandIn, inside, need_for, needs_of};
use crate::buy::order::keep_aside;
use crate::buy::plan::{Planner, Taken};
use crate::buy::shelf::{Place, Shelf};
use crate::catalog::{At, Change, Lookup, PlaceQuantity};
use crate::kit::{Action, Bench, Instead, Kit, PlannedPart, PlannedPosition};
use crate::measure::{Date, Key, PartNumber, Quantity, Unit};
use rust_decimal::Decimal;
use std::collections::{HashMap, HashSet};

/// What was done otherwise than the kit has it.
#[derive(Debug, Clone, Default)]
pub struct Otherwise {
    /// Positions that were left as they were.
    pub except: HashSet<Key>,
    /// Operations that were not carried out: what they would have used up is still there.
    pub skipped: HashSet<Key>,
    /// The jobs that the work was part of, where the kit does not name them.
    pub jobs: Vec<Key>,
    /// Parts of the person's choice: these very numbers were fitted, unless only what they became lies on the shelf.
    pub instead: Vec<Instead>,
    /// How much of a part was used up, where the kit does not say or says otherwise.
    pub used: Vec<(PartNumber, Quantity)>,
}

/// A job as done.
#[derive(Debug, Clone, Default)]
pub struct Done {
    /// What was fitted, by place.
    pub fitted: Vec<Fitted>,
    /// What was taken off the shelf, by its row.
    pub taken: Vec<Off>,
    /// What was used of which nobody knows how much: the number and where it lies.
    pub as_needed: Vec<(PartNumber, String)>,
    /// What the shelf did not hold.
    pub missing: Vec<Missing>,
    /// What lies loose in the sets that were used, and went nowhere.
    pub left_over: Vec<LeftOver>,
    /// What a person should know.
    pub remarks: Vec<String>,
}

/// A part that was fitted at a position.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Fitted {
    /// The position.
    pub position: Key,
    /// The number that the log takes.
    pub part: PartNumber,
    /// How many; `None` where one of the part serves several positions.
    pub quantity: Option<Quantity>,
    /// What a person should find beside it in the log.
    pub note: String,
    /// It arrived fitted there inside another part; the kit renews nothing there.
    pub arrived: bool,
}

/// Something taken off the shelf.
#[derive(Debug, Clone)]
pub struct Off {
    /// The row of the table stock.
    pub at: At,
    /// The number.
    pub part: PartNumber,
    /// Where it lay.
    pub bin: String,
    /// How much there was.
    pub had: Quantity,
    /// How much was taken, in the same unit.
    pub amount: Decimal,
    /// Some of it was a set that was opened for what lies in it.
    pub opened: bool,
}

/// Something that was used and that the shelf did not hold.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Missing {
    /// The number that the kit names.
    pub part: PartNumber,
    /// How much of it; nothing is as needed.
    pub quantity: Quantity,
    /// Every number that would have done.
    pub accepts: Vec<PartNumber>,
}

/// Something left over.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct LeftOver {
    /// The number.
    pub part: PartNumber,
    /// How much.
    pub quantity: Quantity,
    /// The set that it lay in.
    pub out_of: PartNumber,
}

/// Some of a need, with the number that met it.
#[derive(Debug, Clone)]
struct Supply {
    number: PartNumber,
    /// How much of the need it meets.
    meets: Decimal,
    /// How much of the need one of it meets.
    worth: Decimal,
    how: How,
}

/// Something inside a part that was used.
struct Content {
    item: Inside,
    out_of: PartNumber,
    left: Decimal,
}

/// Works out what was fitted where, and what that took off the shelf.
pub fn done(kit: &Kit, otherwise: &Otherwise, day: &Date, bench: &Bench) -> Done {
    let mut done = Done::default();
    let set_apart: HashSet<Key> =
        named(&otherwise.instead).chain(otherwise.except.iter().cloned()).collect();
    let needs = needs(kit, otherwise, &set_apart, bench, &mut done.remarks);
    let jobs: Vec<Key> = if otherwise.jobs.is_empty() {
        kit.jobs.iter().map(|job| Key::new(job)).collect()
    } else {
        otherwise.jobs.clone()
    };
    let mut bag = Bag::pack(&needs, kit, &jobs, day, bench, &mut done);
    for planned in &kit.positions {
        let position = Key::new(&planned.position);
        if planned.action != Action::Renew || otherwise.except.contains(&position) {
            continue;
        }
        let chosen = otherwise.instead.iter().find(|instead| instead.position == position);
        match chosen.map(|instead| &instead.change) {
            Some(Change::Fit { part, .. }) => {
                let index = needs
                    .iter()
                    .position(|need| need.part == *part && need.positions.contains(&position));
                let amount = index.map_or(Decimal::ONE, |index| needs[index].amount);
                let unit = index.map_or(Unit::Each, |index| needs[index].unit);
                let there = bag.off_the_shelf(&position, part, amount, unit);
                add(&mut done.fitted, there);
            }
            _ => {
                for part in &planned.parts {
                    let there = bag.fit(&position, planned, part, &mut done.remarks);
                    add(&mut done.fitted, there);
                }
            }
        }
    }
    let arrived = bag.arrived_fitted(kit, &done.fitted);
    add(&mut done.fitted, arrived);
    done.left_over = bag.left_over();
    done
}

/// The positions for which a part was chosen.
fn named(instead: &[Instead]) -> impl Iterator<Item = Key> {
    instead
        .iter()
        .filter(|instead| matches!(instead.change, Change::Fit { .. }))
        .map(|instead| instead.position.clone())
}

/// What the kit as done asks the shelf for.
fn needs(
    kit: &Kit,
    otherwise: &Otherwise,
    set_apart: &HashSet<Key>,
    bench: &Bench,
    remarks: &mut Vec<String>,
) -> Vec<Need> {
    let mut needs = needs_of(&without(kit, set_apart, &otherwise.skipped), bench, remarks);
    for Instead { position, change } in &otherwise.instead {
        let (Change::Fit { part, quantity }, false) = (change, otherwise.except.contains(position))
        else {
            continue;
        };
        let here = match bench.place(position).quantity() {
            PlaceQuantity::Amount(quantity) => quantity,
            PlaceQuantity::Set => Quantity::ONE,
        };
        let mut need = need_for(part, quantity.unwrap_or(here), bench);
        need.accepts = vec![StandIn {
            part: laid_out(part, bench),
            worth: Decimal::ONE,
            how: How::Itself,
            shelf_only: false,
            brings: Vec::new(),
        }];
        need.halves.clear();
        need.positions.push(position.clone());
        needs.push(need);
    }
    for (part, quantity) in &otherwise.used {
        // What goes to a position is counted there; only what the work uses up can be told otherwise.
        needs.retain(|need| !need.positions.is_empty() || need.part != *part);
        if !quantity.amount.is_zero() {
            let mut need = need_for(part, *quantity, bench);
            need.piece = false;
            needs.push(need);
        }
    }
    needs
}

/// The number that was laid out where a person chose a part: the kit orders what it became, so that is taken where only
/// that lies on the shelf.
fn laid_out(part: &PartNumber, bench: &Bench) -> PartNumber {
    let there = |part: &PartNumber| {
        bench.lookup.stock_of(part).iter().any(|row| !row.quantity.0.amount.is_zero())
    };
    match &bench.resolve(part).finals[..] {
        [end] if end.factor == Decimal::ONE && !there(part) && there(&end.part) => end.part.clone(),
        _ => part.clone(),
    }
}

/// The kit less what would have gone to some positions, and less what some operations would have used up.
pub(super) fn without(kit: &Kit, positions: &HashSet<Key>, operations: &HashSet<Key>) -> Kit {
    let mut kit = kit.clone();
    for line in &mut kit.lines {
        let before = line.sources.len();
        line.sources.retain(|source| {
            source.position.as_ref().is_none_or(|position| !positions.contains(position))
                && source.operation.as_ref().is_none_or(|operation| !operations.contains(operation))
        });
        if line.sources.len() == before {
            continue;
        }
        let singly = line.sources.iter().filter(|source| !source.set).map(|source| source.amount);
        let together =
            line.sources.iter().filter(|source| source.set).map(|source| source.amount).max();
        line.quantity = singly.fold(together.unwrap_or_default(), Decimal::saturating_add);
    }
    kit.lines.retain(|line| !line.sources.is_empty());
    kit.positions.retain(|planned| !positions.contains(&Key::new(&planned.position)));
    kit
}

/// The kit's parts as they were laid out for the job: what met each need, and what lies in the sets.
struct Bag<'a> {
    bench: &'a Bench<'a>,
    lookup: &'a dyn Lookup,
    needs: &'a [Need],
    supplies: Vec<Vec<Supply>>,
    contents: Vec<Content>,
}

impl<'a> Bag<'a> {
    /// Takes the needs off the shelf: first what nobody else's job is kept, then the rest.
    fn pack(
        needs: &'a [Need],
        kit: &Kit,
        jobs: &[Key],
        day: &Date,
        bench: &'a Bench<'a>,
        done: &mut Done,
    ) -> Self {
        let lookup = bench.lookup;
        let positions: Vec<Key> =
            kit.positions.iter().map(|planned| Key::new(&planned.position)).collect();
        let mut shelf = Shelf::new(lookup);
        let kept = keep_aside(&bench.machine.machine, jobs, &positions, day, &mut shelf, lookup);
        let (mut taken, mut left) = Planner::new(needs, lookup).off_the_shelf(&mut shelf);
        let unmet = |index: &usize, left: &[Decimal], taken: &[Taken]| {
            !left[*index].is_zero()
                || needs[*index].amount.is_zero() && !taken.iter().any(|taken| taken.need == *index)
        };
        if !kept.is_empty() {
            let open: Vec<usize> =
                (0..needs.len()).filter(|index| unmet(index, &left, &taken)).collect();
            let rest: Vec<Need> = open
                .iter()
                .map(|index| Need { amount: left[*index], ..needs[*index].clone() })
                .collect();
            let mut shelf = Shelf::new(lookup);
            for taken in &taken {
                shelf.take(&taken.lot, taken.amount);
            }
            let (more, still) = Planner::new(&rest, lookup).off_the_shelf(&mut shelf);
            for mut more in more {
                let part = lookup.spell_part(&more.lot.part);
                let said: Vec<String> =
                    kept.iter().map(|job| format!("{} on {}", job.name(), job.machine)).collect();
                let remark = format!(
                    "{part} is taken though it was kept for another job ({})",
                    said.join(", ")
                );
                if !done.remarks.contains(&remark) && !more.amount.is_zero() {
                    done.remarks.push(remark);
                }
                more.need = open[more.need];
                for (need, _, _) in &mut more.inside {
                    *need = open[*need];
                }
                taken.push(more);
            }
            for (place, index) in open.iter().enumerate() {
                left[*index] = still[place];
            }
        }
        for (index, need) in
            needs.iter().enumerate().filter(|(index, _)| unmet(index, &left, &taken))
        {
            done.missing.push(Missing {
                part: lookup.spell_part(&need.part),
                quantity: Quantity::new(left[index], need.unit),
                accepts: need.accepts.iter().map(|stand_in| stand_in.part.clone()).collect(),
            });
        }
        let mut bag = Bag {
            bench,
            lookup,
            needs,
            supplies: vec![Vec::new(); needs.len()],
            contents: Vec::new(),
        };
        for taken in &taken {
            bag.lay_out(taken);
            bag.book(taken, done);
        }
        // What did not come off the shelf was used all the same, with what lies in it.
        for (index, need) in needs.iter().enumerate() {
            if need.unit == Unit::Each {
                bag.unpack(&need.part, left[index]);
            }
        }
        bag
    }

    fn lay_out(&mut self, taken: &Taken) {
        let number = self.lookup.spell_part(&taken.lot.part);
        if taken.opened {
            self.unpack(&number, taken.amount);
            for (need, part, given) in &taken.inside {
                let stand_in =
                    self.needs[*need].accepts.iter().find(|stand_in| stand_in.part == *part);
                let worth = stand_in.map_or(Decimal::ONE, |stand_in| stand_in.worth);
                let number = self.lookup.spell_part(part);
                self.use_up(part, Quantity::new(*given, self.needs[*need].unit), None);
                self.supplies[*need].push(Supply {
                    number,
                    meets: given.saturating_mul(worth),
                    worth,
                    how: stand_in.map_or(How::Itself, |stand_in| stand_in.how),
                });
            }
            return;
        }
        let need = &self.needs[taken.need];
        let stand_in = need.accepts.iter().find(|stand_in| stand_in.part == taken.lot.part);
        let worth = stand_in.map_or(Decimal::ONE, |stand_in| stand_in.worth);
        let amount = Quantity::new(taken.amount, taken.lot.left.unit).to(need.unit);
        let amount = amount.map_or(taken.amount, |amount| amount.amount);
        if taken.lot.left.unit == Unit::Each {
            self.unpack(&number, taken.amount);
        }
        self.supplies[taken.need].push(Supply {
            number,
            meets: amount.saturating_mul(worth),
            worth,
            how: taken.how,
        });
    }

    fn book(&self, taken: &Taken, done: &mut Done) {
        let (Place::Bin(bin), Some(at)) = (&taken.lot.place, taken.lot.row()) else { return };
        let part = self.lookup.spell_part(&taken.lot.part);
        if taken.amount.is_zero() {
            if !done.as_needed.iter().any(|(known, _)| *known == part) {
                done.as_needed.push((part, bin.clone()));
            }
            return;
        }
        match done.taken.iter_mut().find(|off| off.at == at) {
            Some(off) => {
                off.amount = off.amount.saturating_add(taken.amount);
                off.opened |= taken.opened;
            }
            None => {
                let rows = self.lookup.stock_of(&part);
                let had = rows
                    .iter()
                    .find(|row| row.at == at)
                    .map_or(taken.lot.left, |row| row.quantity.0);
                let (bin, amount, opened) = (bin.clone(), taken.amount, taken.opened);
                done.taken.push(Off { at, part, bin, had, amount, opened });
            }
        }
    }

    /// Notes what lies in so many of a part.
    fn unpack(&mut self, part: &PartNumber, count: Decimal) {
        if count.is_zero() {
            return;
        }
        for item in inside(part, self.lookup) {
            let left = item.amount.saturating_mul(count);
            self.contents.push(Content { item, out_of: self.lookup.spell_part(part), left });
        }
    }

    /// Takes an amount of a number out of what was unpacked.
    fn use_up(&mut self, part: &PartNumber, amount: Quantity, at: Option<&Key>) {
        let mut left = amount;
        for content in self.contents.iter_mut().filter(|content| content.item.part == *part) {
            if content.item.position.is_some() && content.item.position.as_ref() != at {
                continue;
            }
            let Some(wanted) = left.to(content.item.unit) else { continue };
            let taken = content.left.min(wanted.amount);
            content.left -= taken;
            let rest = Quantity::new(wanted.amount - taken, wanted.unit);
            left = rest.to(left.unit).unwrap_or(rest);
        }
    }

    /// Fits a planned part: what arrives inside something else, then what came off the shelf.
    fn fit(
        &mut self,
        position: &Key,
        planned: &PlannedPosition,
        part: &PlannedPart,
        remarks: &mut Vec<String>,
    ) -> Vec<Fitted> {
        let Some(number) = PartNumber::new(&part.part) else { return Vec::new() };
        let mut fitted = Vec::new();
        let covered = (part.quantity - part.to_order).max(Decimal::ZERO);
        if !covered.is_zero() {
            let by: Vec<PartNumber> =
                planned.covered.iter().filter_map(|cover| PartNumber::new(&cover.by)).collect();
            let arrived = self.arrived(position, part, &by);
            let besides = |need: &Need| {
                need.part == number && need.comes_in.is_some() && need.positions.contains(position)
            };
            if arrived.is_none() && self.needs.iter().any(besides) {
                // What will do for the container came without it, so it was laid out by itself.
                let there = self.off_the_shelf(position, &number, part.quantity, part.unit);
                add(&mut fitted, there);
                return fitted;
            }
            if arrived.is_none() {
                remarks.push(format!(
                    "{position}: it was to arrive in {}, which was not fitted; say --except {position} if nothing was renewed there",
                    planned.covered.iter().map(|cover| cover.by.as_str()).collect::<Vec<_>>().join(", ")
                ));
            }
            let came = arrived.unwrap_or_else(|| number.clone());
            self.use_up(&came, Quantity::new(covered, part.unit), Some(position));
            let quantity =
                (!self.shared(position, part)).then(|| Quantity::new(covered, part.unit));
            // A number that became several parts stands for one of them only, so the log takes that one.
            let stands_for_it = self.bench.resolve(&came).finals.len() == 1;
            let came = if stands_for_it { came } else { number.clone() };
            add(&mut fitted, self.logged(position, &number, &came, quantity, How::Earlier));
        }
        if part.to_order.is_zero() {
            return fitted;
        }
        if part.set {
            let met = self
                .needs
                .iter()
                .position(|need| need.part == number && need.positions.contains(position));
            let supply = met.and_then(|index| self.supplies[index].first().cloned());
            let (came, how) =
                supply.map_or((number.clone(), How::Itself), |supply| (supply.number, supply.how));
            let quantity =
                (!self.shared(position, part)).then(|| Quantity::new(part.quantity, part.unit));
            add(&mut fitted, self.logged(position, &number, &came, quantity, how));
            return fitted;
        }
        add(&mut fitted, self.off_the_shelf(position, &number, part.to_order, part.unit));
        fitted
    }

    /// One of the part serves every position that names it so. Any other number that goes there is counted for itself.
    fn shared(&self, position: &Key, part: &PlannedPart) -> bool {
        let Some(first) = part.chain.first().and_then(|part| PartNumber::new(part)) else {
            return part.set;
        };
        let rows = self.bench.lookup.positions(position);
        let mut sets = rows.iter().filter(|row| row.quantity == Some(PlaceQuantity::Set));
        part.set
            && sets.any(|row| {
                row.part.part().is_some_and(|listed| self.bench.on_chain_of(listed, &first))
            })
    }

    /// The number that lies inside one of the parts that cover a position.
    fn arrived(&self, position: &Key, part: &PlannedPart, by: &[PartNumber]) -> Option<PartNumber> {
        let chain: Vec<PartNumber> =
            part.chain.iter().filter_map(|part| PartNumber::new(part)).collect();
        let here = |content: &&Content| match &content.item.position {
            Some(named) => named == position,
            None => chain.contains(&content.item.part),
        };
        let mut of_them =
            self.contents.iter().filter(|content| by.contains(&content.item.by)).filter(here);
        of_them
            .find(|content| !content.left.is_zero())
            .map(|content| self.lookup.spell_part(&content.item.part))
    }

    /// Fits what met the need for a part at a position; what met nothing is taken to be the part itself.
    fn off_the_shelf(
        &mut self,
        position: &Key,
        part: &PartNumber,
        amount: Decimal,
        unit: Unit,
    ) -> Vec<Fitted> {
        let mut left = amount;
        let mut fitted = Vec::new();
        for index in 0..self.needs.len() {
            if self.needs[index].part != *part || !self.needs[index].positions.contains(position) {
                continue;
            }
            for at in 0..self.supplies[index].len() {
                let supply = self.supplies[index][at].clone();
                let met = supply.meets.min(left);
                if met.is_zero() {
                    continue;
                }
                self.supplies[index][at].meets -= met;
                left -= met;
                let count = met.checked_div(supply.worth).unwrap_or(met);
                let quantity = Some(Quantity::new(count, unit));
                add(&mut fitted, self.logged(position, part, &supply.number, quantity, supply.how));
            }
        }
        if !left.is_zero() {
            let quantity = Some(Quantity::new(left, unit));
            add(&mut fitted, self.logged(position, part, part, quantity, How::Itself));
        }
        fitted
    }

    /// What the log takes: the number that was fitted, where the table parts knows it, else the one that it stands for.
    fn logged(
        &self,
        position: &Key,
        wanted: &PartNumber,
        came: &PartNumber,
        quantity: Option<Quantity>,
        how: How,
    ) -> Vec<Fitted> {
        let (wanted, came) = (self.lookup.spell_part(wanted), self.lookup.spell_part(came));
        let known = self.lookup.part(&came).is_some();
        let note = match (wanted == came, known) {
            (true, _) => String::new(),
            (false, true) => format!("in place of {wanted}"),
            (false, false) => format!("fitted as {came}, {}", how.words()),
        };
        let part = if known { came } else { wanted };
        vec![Fitted { position: position.clone(), part, quantity, note, arrived: false }]
    }

    /// What came fitted inside the parts that went in, at positions where the kit changes nothing.
    fn arrived_fitted(&self, kit: &Kit, fitted: &[Fitted]) -> Vec<Fitted> {
        let is_changed = |position: &Key| {
            let planned =
                kit.positions.iter().find(|planned| Key::new(&planned.position) == *position);
            planned
                .is_some_and(|planned| matches!(planned.action, Action::Renew | Action::LeaveOut))
        };
        let went_in = |part: &PartNumber| fitted.iter().any(|fitted| fitted.part == *part);
        let mut arrived = Vec::new();
        for content in self.contents.iter().filter(|content| !content.left.is_zero()) {
            let Some(position) =
                content.item.position.as_ref().filter(|position| !is_changed(position))
            else {
                continue;
            };
            if !went_in(&content.out_of) && !went_in(&content.item.by) {
                continue;
            }
            let by = self.lookup.spell_part(&content.item.by);
            arrived.push(Fitted {
                position: self.lookup.spell_position(position),
                part: self.lookup.spell_part(&content.item.part),
                quantity: Some(Quantity::new(content.left, content.item.unit)),
                note: format!("arrived fitted in {by}"),
                arrived: true,
            });
        }
        arrived
    }

    fn left_over(&self) -> Vec<LeftOver> {
        let mut sums: Vec<LeftOver> = Vec::new();
        for content in
            self.contents.iter().filter(|content| content.item.loose && !content.left.is_zero())
        {
            // What lies in a bag inside the set is counted by itself.
            if !self.lookup.contents_of(&content.item.part).is_empty() {
                continue;
            }
            let part = self.lookup.spell_part(&content.item.part);
            let same = |known: &&mut LeftOver| {
                known.part == part
                    && known.out_of == content.out_of
                    && known.quantity.unit == content.item.unit
            };
            match sums.iter_mut().find(same) {
                Some(known) => {
                    known.quantity.amount = known.quantity.amount.saturating_add(content.left)
                }
                None => sums.push(LeftOver {
                    part,
                    quantity: Quantity::new(content.left, content.item.unit),
                    out_of: content.out_of.clone(),
                }),
            }
        }
        sums
    }
}

/// Adds what was fitted, one entry for each number at a position.
fn add(fitted: &mut Vec<Fitted>, more: Vec<Fitted>) {
    for new in more {
        let same = |known: &&mut Fitted| {
            known.position == new.position && known.part == new.part && known.note == new.note
        };
        match (fitted.iter_mut().find(same), new.quantity) {
            (Some(Fitted { quantity: Some(sum), .. }), Some(more))
                if more.to(sum.unit).is_some() =>
            {
                let more = more.to(sum.unit).unwrap_or(more);
                sum.amount = sum.amount.saturating_add(more.amount);
            }
            _ => fitted.push(new),
        }
    }
}

/// Adds up how much of each number is missing.
pub fn missing_by_number(missing: &[Missing]) -> Vec<(PartNumber, Quantity)> {
    let mut order: Vec<(PartNumber, Quantity)> = Vec::new();
    let mut places: HashMap<(PartNumber, Unit), usize> = HashMap::new();
    for one in missing {
        let key = (one.part.clone(), one.quantity.unit);
        match places.get(&key).and_then(|place| order.get_mut(*place)) {
            Some((_, sum)) => sum.amount = sum.amount.saturating_add(one.quantity.amount),
            None => {
                places.insert(key, order.len());
                order.push((one.part.clone(), one.quantity));
            }
        }
    }
    order
}
