//! The rounds: from what was asked for to everything that must come apart, change or be renewed.

use super::ask::Ask;
use super::bench::{Bench, Place};
use super::disagreement;
use super::gap::{GapKind, Gaps, Subject, Why};
use super::outcome::Outcome;
use super::reason::{Reason, note};
use super::words;
use crate::catalog::{Applies, At, Change, Machine, Need};
use crate::measure::{Key, PartNumber, Quantity};
use std::collections::{BTreeMap, HashMap, HashSet};
use std::rc::Rc;

/// What a position is to hold.
#[derive(Debug, Clone)]
pub(crate) struct Target {
    pub position: Key,
    /// `None`: left empty.
    pub part: Option<PartNumber>,
    pub quantity: Option<Quantity>,
    /// A job line, or the person, asked for it.
    pub own: bool,
}

/// A set to buy.
#[derive(Debug, Clone)]
pub(crate) struct SetToBuy {
    pub part: PartNumber,
    pub quantity: Quantity,
    /// The assembly that it is bought for.
    pub assembly: Option<Key>,
    /// The machine as that assembly has it.
    pub machine: Rc<Machine>,
    pub reasons: Vec<Reason>,
    pub note: String,
}

/// A part that is called for and sits there already.
#[derive(Debug, Clone)]
pub(crate) struct AlreadyThere {
    pub position: Key,
    pub part: PartNumber,
    pub because: Vec<Reason>,
}

/// Names of keys in the order in which they were first named.
#[derive(Debug, Default)]
pub(crate) struct Named {
    order: Vec<Key>,
    seen: HashSet<Key>,
}

impl Named {
    fn add(&mut self, key: &Key) -> bool {
        let new = self.seen.insert(key.clone());
        if new {
            self.order.push(key.clone());
        }
        new
    }
}

/// The state that grows from round to round until nothing is added.
pub(crate) struct Rounds<'a> {
    pub bench: &'a Bench<'a>,
    pub gaps: Gaps,
    pub targets: Vec<Target>,
    target_of: HashMap<Key, usize>,
    forced: Named,
    /// Positions that something renewed or left out carries.
    pub carried: Named,
    /// Positions that are disturbed because work at them is owed.
    pub look_at: Vec<Key>,
    operations: Named,
    pub sets: Vec<SetToBuy>,
    /// Positions that a job line names.
    pub own: HashSet<Key>,
    /// Positions that a needs added.
    pub called: HashSet<Key>,
    /// Parts that a needs called for at a position.
    pub called_parts: HashSet<(Key, PartNumber)>,
    pub already_there: Vec<AlreadyThere>,
    pub reuse: HashSet<Key>,
    /// The disturbed positions of this round.
    pub touched: HashMap<Key, Rc<Place>>,
    /// The joints that this round opens.
    pub opened: HashSet<Key>,
    /// What the operations of this round take off.
    pub removed: HashSet<Key>,
    pub operation_reasons: HashMap<Key, Vec<Reason>>,
    pub position_reasons: HashMap<Key, Vec<Reason>>,
    /// The notes of the job lines at each position.
    pub line_notes: HashMap<Key, Vec<String>>,
    /// The numbers on the chains of the sets and of what is used up.
    pub ordered_chains: HashSet<PartNumber>,
    /// Option names that any line of the jobs asks about.
    pub known_options: HashSet<Key>,
    /// What the rules pass over in silence, and a person should look at again.
    pub doubts: Vec<String>,
}

/// What a changed position calls for.
pub(crate) enum Called {
    Operation(Key, Reason),
    Need(Need, Reason),
    Carried(Key, Reason),
}

/// Everything disturbed, in the order in which it is settled.
struct Disturbed {
    /// The targets in the order added, then the other forced positions by place.
    asked: Vec<Rc<Place>>,
    /// All others by place.
    others: Vec<Rc<Place>>,
}

impl<'a> Rounds<'a> {
    pub(super) fn new(bench: &'a Bench<'a>, ask: &Ask) -> Self {
        Rounds {
            bench,
            gaps: Gaps::default(),
            targets: Vec::new(),
            target_of: HashMap::new(),
            forced: Named::default(),
            carried: Named::default(),
            look_at: Vec::new(),
            operations: Named::default(),
            sets: Vec::new(),
            own: HashSet::new(),
            called: HashSet::new(),
            called_parts: HashSet::new(),
            already_there: Vec::new(),
            reuse: ask.reuse.iter().cloned().collect(),
            touched: HashMap::new(),
            opened: HashSet::new(),
            removed: HashSet::new(),
            operation_reasons: HashMap::new(),
            position_reasons: HashMap::new(),
            line_notes: HashMap::new(),
            ordered_chains: HashSet::new(),
            known_options: HashSet::new(),
            doubts: Vec::new(),
        }
    }

    /// Repeats rounds until one adds nothing; gives what every disturbed position comes to, by place.
    pub fn run(&mut self) -> Vec<Outcome> {
        loop {
            self.close_operations();
            let Disturbed { asked, others } = self.disturbed();
            // What was asked for is settled first.
            let (mut outcomes, called) = self.settle(asked);
            if self.add(called) {
                continue;
            }
            let (more, called) = self.settle(others);
            if self.add(called) {
                continue;
            }
            outcomes.extend(more);
            outcomes.sort_by_key(|outcome| outcome.place.order());
            self.judge_fits();
            self.doubt_ways_in(&outcomes);
            self.judge_outcomes(&outcomes);
            disagreement::judge(self, &outcomes);
            return outcomes;
        }
    }

    fn settle(&mut self, places: Vec<Rc<Place>>) -> (Vec<Outcome>, Vec<Called>) {
        let mut called = Vec::new();
        let outcomes = places.into_iter().map(|place| self.outcome(place, &mut called)).collect();
        (outcomes, called)
    }

    fn add(&mut self, called: Vec<Called>) -> bool {
        let mut added = false;
        for call in called {
            added |= match call {
                Called::Operation(operation, reason) => self.add_operation(&operation, reason),
                Called::Need(need, reason) => self.add_need(&need, reason),
                Called::Carried(position, reason) => {
                    note(self.position_reasons.entry(position.clone()).or_default(), reason);
                    self.carried.add(&position)
                }
            };
        }
        added
    }

    // What is added, and the gaps that adding it raises.

    pub(super) fn add_operation(&mut self, operation: &Key, reason: Reason) -> bool {
        note(self.operation_reasons.entry(operation.clone()).or_default(), reason);
        self.operations.add(operation)
    }

    pub(super) fn add_way_in(&mut self, place: &Place) -> bool {
        let Some(operation) = place.way_in() else { return false };
        let operation = operation.clone();
        self.add_operation(&operation, words::way_in(self.bench, place))
    }

    pub(super) fn note_line(&mut self, position: &Key, text: &str) {
        let notes = self.line_notes.entry(position.clone()).or_default();
        if !text.is_empty() && !notes.iter().any(|note| note == text) {
            notes.push(text.to_owned());
        }
    }

    /// Notes a position that was named, and says so if nothing is known of it.
    fn enter(&mut self, position: &Key, own: bool, reason: Reason) -> bool {
        let place = self.bench.place(position);
        if place.rows.is_empty() {
            let why = Why::NoPosition { by: reason.to_string() };
            self.gaps.position(GapKind::PositionUnknown, position, why);
        }
        self.name(position, own);
        note(self.position_reasons.entry(position.clone()).or_default(), reason);
        self.add_way_in(&place)
    }

    fn name(&mut self, position: &Key, own: bool) {
        let named = if own { &mut self.own } else { &mut self.called };
        named.insert(position.clone());
    }

    pub(super) fn add_target(
        &mut self,
        position: &Key,
        part: Option<&PartNumber>,
        quantity: Option<Quantity>,
        own: bool,
        reason: Reason,
    ) -> bool {
        if let Some(index) = self.target_of.get(position).copied() {
            return self.add_second(index, part, quantity, own, reason);
        }
        if part.is_none() && self.forced.seen.contains(position) {
            if own {
                self.own.insert(position.clone());
            }
            let why = Why::RenewedThenEmpty { by: reason.to_string() };
            self.gaps.position(GapKind::Conflict, position, why);
            return false;
        }
        self.target_of.insert(position.clone(), self.targets.len());
        let (position, part) = (position.clone(), part.cloned());
        self.targets.push(Target { position: position.clone(), part, quantity, own });
        self.enter(&position, own, reason);
        true
    }

    /// A second target on one position: the first stays, with the larger quantity if both are of one chain.
    fn add_second(
        &mut self,
        index: usize,
        part: Option<&PartNumber>,
        quantity: Option<Quantity>,
        own: bool,
        reason: Reason,
    ) -> bool {
        let Some(first) = self.targets.get(index).cloned() else { return false };
        let position = &first.position;
        let place = self.bench.place(position);
        let alike = match (&first.part, part) {
            (None, None) => true,
            (Some(a), Some(b)) => {
                self.bench.leads_to(a, b, &place) || self.bench.leads_to(b, a, &place)
            }
            _ => false,
        };
        if own {
            self.own.insert(position.clone());
        }
        if !alike {
            let (stays, other) = (first.part.clone(), part.cloned());
            let why = Why::TwoParts { stays, other, by: reason.to_string() };
            self.gaps.position(GapKind::Conflict, position, why);
            return false;
        }
        note(self.position_reasons.entry(position.clone()).or_default(), reason);
        let count = |quantity: Option<Quantity>| quantity.unwrap_or_else(|| place.amount());
        let more = count(quantity).to(count(first.quantity).unit);
        let larger = more.is_some_and(|more| more.amount > count(first.quantity).amount);
        if larger && let Some(target) = self.targets.get_mut(index) {
            target.quantity = quantity;
        }
        larger
    }

    pub(super) fn add_forced(&mut self, position: &Key, own: bool, reason: Reason) -> bool {
        if self.target(position).is_some_and(|target| target.part.is_none()) {
            if own {
                self.own.insert(position.clone());
            }
            let why = Why::EmptyThenRenewed { by: reason.to_string() };
            self.gaps.position(GapKind::Conflict, position, why);
            return false;
        }
        let new = self.forced.add(position);
        self.enter(position, own, reason) || new
    }

    pub(super) fn add_need(&mut self, need: &Need, reason: Reason) -> bool {
        let position = &need.position;
        match &need.change {
            Change::Renew => self.add_forced(position, false, reason),
            Change::LeaveEmpty => {
                let place = self.bench.place(position);
                let is_target = self.target_of.contains_key(position);
                if !place.rows.is_empty() && !is_target && !place.is_on_machine() {
                    return false;
                }
                self.add_target(position, None, None, false, reason)
            }
            Change::Fit { part, quantity } => {
                self.called_parts.insert((position.clone(), part.clone()));
                if !self.target_of.contains_key(position)
                    && let Some(there) = self.sits_there(position, part, *quantity)
                {
                    self.note_already_there(position, there, reason);
                    return false;
                }
                self.add_target(position, Some(part), *quantity, false, reason)
            }
        }
    }

    fn note_already_there(&mut self, position: &Key, part: PartNumber, reason: Reason) {
        let same = |known: &&mut AlreadyThere| known.position == *position && known.part == part;
        match self.already_there.iter_mut().find(same) {
            Some(known) => note(&mut known.because, reason),
            None => self.already_there.push(AlreadyThere {
                position: position.clone(),
                part,
                because: vec![reason],
            }),
        }
    }

    /// Gives the part that surely sits at a position and will do for one that is called for there, if there is enough
    /// of it.
    fn sits_there(
        &self,
        position: &Key,
        part: &PartNumber,
        quantity: Option<Quantity>,
    ) -> Option<PartNumber> {
        let place = self.bench.place(position);
        if !place.current.sure {
            return None;
        }
        let resolved = self.bench.chains(part, &place.machine);
        let wanted = quantity.unwrap_or_else(|| place.amount());
        let unit = wanted.unit;
        let enough = |there: &PartNumber| {
            let factor = resolved.factor_to(there).unwrap_or_default();
            let wanted = wanted.amount.saturating_mul(factor);
            let sitting = place.current.parts.iter().filter(|s| s.part.as_ref() == Some(there));
            let sum = sitting.map(|sitting| sitting.amount).reduce(|sum, more| {
                let more = more.to(sum.unit).map_or_else(Default::default, |more| more.amount);
                Quantity::new(sum.amount.saturating_add(more), sum.unit)
            });
            sum.and_then(|sum| sum.to(unit)).is_some_and(|sum| sum.amount >= wanted)
        };
        let mut sitting = place.current.parts.iter().filter_map(|sitting| sitting.part.as_ref());
        sitting.find(|there| resolved.passes(there) && enough(there)).cloned()
    }

    pub(super) fn doubt(&mut self, text: String) {
        if !self.doubts.contains(&text) {
            self.doubts.push(text);
        }
    }

    pub fn target(&self, position: &Key) -> Option<&Target> {
        self.target_of.get(position).and_then(|index| self.targets.get(*index))
    }

    pub fn is_forced(&self, position: &Key) -> bool {
        self.forced.seen.contains(position)
    }

    pub fn is_carried(&self, position: &Key) -> bool {
        self.carried.seen.contains(position)
    }

    // Step 1 and 2: what comes apart.

    fn close_operations(&mut self) {
        let mut next = 0;
        while let Some(operation) = self.operations.order.get(next).cloned() {
            next += 1;
            let step = self.bench.step(&operation);
            let Some(row) = step.row() else {
                let reasons = self.operation_reasons.get(&operation);
                let by = reasons.and_then(|all| all.first()).map(ToString::to_string);
                let by = by.unwrap_or_default();
                let why = if step.rows.is_empty() {
                    Why::NoOperation { by }
                } else {
                    Why::OperationForOthers { by }
                };
                self.gaps.raise(GapKind::OperationUnknown, Subject::Operation(operation), why);
                continue;
            };
            for need in &row.needs {
                let needed = self.bench.step(need);
                if needed.rows.is_empty() || needed.row().is_some() {
                    self.add_operation(need, words::comes_before(self.bench, &operation, row.at));
                } else {
                    self.doubts.extend(words::passed_over(self.bench, need, &operation, &needed));
                    self.doubts.dedup();
                }
            }
        }
    }

    /// The operations that have a row for the machine, in the order in which they were named.
    pub fn operations_in_plan(&self) -> Vec<Key> {
        let named = self.operations.order.iter();
        named.filter(|operation| self.bench.step(operation).row().is_some()).cloned().collect()
    }

    /// Finds the opened joints, with the reason for each: the operation, and whether it takes a position off that is
    /// part of the joint.
    fn open_joints(&mut self) -> Vec<(Key, Key, At, Option<Key>)> {
        let bench = self.bench;
        let mut opened = Vec::new();
        for operation in self.operations_in_plan() {
            let step = bench.step(&operation);
            let Some(row) = step.row() else { continue };
            opened.extend(
                row.opens.iter().map(|joint| (joint.clone(), operation.clone(), row.at, None)),
            );
            for position in &row.removes {
                let place = bench.place(position);
                if place.rows.is_empty() && !bench.lookup.log_names(position) {
                    let (operation, at) = (operation.clone(), row.at);
                    let why = Why::NoPositionRemoved { operation, at };
                    self.gaps.position(GapKind::PositionUnknown, position, why);
                }
                self.removed.insert(position.clone());
                if let Some(joints) =
                    place.row().filter(|_| place.is_on_machine()).map(|row| &row.joint)
                {
                    opened.extend(joints.iter().map(|joint| {
                        (joint.clone(), operation.clone(), row.at, Some(position.clone()))
                    }));
                }
            }
        }
        self.opened.extend(opened.iter().map(|(joint, ..)| joint.clone()));
        opened
    }

    fn disturbed(&mut self) -> Disturbed {
        let bench = self.bench;
        let mut places: BTreeMap<(bool, At, Key), Rc<Place>> = BTreeMap::new();
        for (joint, operation, at, removed) in self.open_joints() {
            for position in bench.lookup.positions_in_joint(&joint).iter() {
                let place = bench.place(position);
                let Some(row) = place.row().filter(|row| row.joint.contains(&joint)) else {
                    self.doubt_joint(&place, &joint);
                    continue;
                };
                if place.is_on_machine() && removed.as_ref() != Some(&place.position) {
                    let reason =
                        words::opened(bench, &operation, at, &joint, removed.as_ref(), row.at);
                    note(self.position_reasons.entry(position.clone()).or_default(), reason);
                    places.insert(place.order(), place);
                }
            }
        }
        for operation in self.operations_in_plan() {
            let step = bench.step(&operation);
            let Some(row) = step.row() else { continue };
            for position in &row.removes {
                let place = bench.place(position);
                if place.is_on_machine() {
                    let reason = words::taken_off(bench, &operation, row.at);
                    note(self.position_reasons.entry(position.clone()).or_default(), reason);
                    places.insert(place.order(), place);
                }
            }
        }
        let mut forced = BTreeMap::new();
        for position in &self.forced.order {
            let place = bench.place(position);
            forced.insert(place.order(), place);
        }
        for position in self.carried.order.iter().chain(&self.look_at) {
            let place = bench.place(position);
            places.insert(place.order(), place);
        }
        let is_target = |place: &Rc<Place>| self.target_of.contains_key(&place.position);
        let mut asked: Vec<Rc<Place>> =
            self.targets.iter().map(|target| bench.place(&target.position)).collect();
        asked.extend(forced.into_values().filter(|place| !is_target(place)));
        let is_asked =
            |place: &Rc<Place>| is_target(place) || self.forced.seen.contains(&place.position);
        let others: Vec<Rc<Place>> =
            places.into_values().filter(|place| !is_asked(place)).collect();
        let all = asked.iter().chain(&others);
        self.touched = all.map(|place| (place.position.clone(), Rc::clone(place))).collect();
        Disturbed { asked, others }
    }

    /// Notes a position that only a row which is not used puts into an opened joint.
    fn doubt_joint(&mut self, place: &Place, joint: &Key) {
        let may = |row: &&crate::catalog::Position| {
            row.joint.contains(joint) && row.scope.applies(&place.machine) != Applies::No
        };
        if let (true, Some(row), Some(used)) =
            (place.is_on_machine(), place.rows.iter().find(may), place.row())
        {
            self.doubt(words::in_joint_by_another(self.bench, place, joint, row.at, used.at));
        }
    }

    // Step 3: what a disturbed position comes to, and what it calls for.

    fn outcome(&mut self, place: Rc<Place>, called: &mut Vec<Called>) -> Outcome {
        let mut gaps = std::mem::take(&mut self.gaps);
        let judged = self.judge(&place, &mut gaps);
        self.gaps = gaps;
        let mut outcome = Outcome {
            place,
            action: judged.action,
            reused: judged.reused,
            rule: judged.rule,
            parts: Vec::new(),
            judged_by: judged.by,
            notes: Vec::new(),
        };
        if outcome.action == super::Action::Renew {
            let renewed = self.renew(&Rc::clone(&outcome.place));
            outcome.parts = renewed.parts;
            outcome.notes = renewed.notes;
            called.extend(renewed.called);
        }
        if outcome.changes() {
            let carrier = &outcome.place.position;
            for position in self.bench.lookup.positions_carried_by(carrier).iter() {
                let place = self.bench.place(position);
                let by = place.row().and_then(|row| row.carried_by.as_ref());
                if place.is_on_machine() && by == Some(carrier) {
                    let reason = words::carried_along(self.bench, &place, outcome.action);
                    called.push(Called::Carried(place.position.clone(), reason));
                }
            }
        }
        outcome
    }
}
