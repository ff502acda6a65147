//! The rounds: from the job's lines to everything that must come apart, change or be renewed.

use super::action::{Action, rule_for};
use super::ask::{Ask, Begun, Instead, Owed, Work};
use super::bench::{Bench, Place, Sitting, Step};
use super::disagreement;
use super::gap::{GapKind, Gaps, Subject};
use super::outcome::{Outcome, Planned};
use super::reason::{Cause, Origin, Reason, note};
use super::retrofit;
use super::supersession::raise_doubts;
use crate::catalog::{
    Applies, At, Change, Condition, Fitted, Job, JobLine, Lookup, Need, Part, PlaceQuantity,
    Position, Status, options_asked, rows_for,
};
use crate::measure::{Key, PartNumber, Quantity};
use crate::near::nearest;
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
    pub reason: Reason,
}

/// Names of keys in the order in which they were first named.
#[derive(Debug, Default)]
struct Named {
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
    /// Positions that are disturbed because work at them is owed.
    look_at: Vec<Key>,
    operations: Named,
    pub sets: Vec<SetToBuy>,
    /// Positions that a job line names.
    pub own: HashSet<Key>,
    /// Positions that a needs added.
    pub called: HashSet<Key>,
    /// Parts that a needs called for at a position.
    called_parts: HashSet<(Key, PartNumber)>,
    reuse: HashSet<Key>,
    pub operation_reasons: HashMap<Key, Vec<Reason>>,
    pub position_reasons: HashMap<Key, Vec<Reason>>,
    /// Option names that any line of the jobs asks about.
    pub known_options: HashSet<Key>,
    /// What the rules pass over in silence, and a person should look at again.
    pub doubts: Vec<String>,
}

/// What a renewed position calls for.
enum Called {
    Operation(Key, Reason),
    Need(Need, Reason),
}

impl<'a> Rounds<'a> {
    /// Starts from the lines of the jobs and what the person decided.
    pub fn start(bench: &'a Bench<'a>, ask: &Ask, jobs: &[(Key, Vec<Job>)]) -> Self {
        let mut rounds = Rounds {
            bench,
            gaps: Gaps::default(),
            targets: Vec::new(),
            target_of: HashMap::new(),
            forced: Named::default(),
            look_at: Vec::new(),
            operations: Named::default(),
            sets: Vec::new(),
            own: HashSet::new(),
            called: HashSet::new(),
            called_parts: HashSet::new(),
            reuse: ask.reuse.iter().cloned().collect(),
            operation_reasons: HashMap::new(),
            position_reasons: HashMap::new(),
            known_options: HashSet::new(),
            doubts: Vec::new(),
        };
        for (job, rows) in jobs {
            let (applies, speaking) = rows_for(rows, &bench.machine);
            if applies == Applies::Unsure {
                let places = speaking
                    .iter()
                    .map(|row| bench.lookup.place(row.at))
                    .collect::<Vec<_>>()
                    .join(", ");
                rounds.gaps.raise(GapKind::NotSettled, Subject::Job(job.clone()), || {
                    format!(
                        "the job may not be for this machine ({places}); {}",
                        bench.missing(rows)
                    )
                });
            }
            let lines = bench.lookup.job_lines(job);
            if lines.is_empty() {
                rounds.doubt(format!("the job {job} has no lines, so it asks for nothing; add rows to job_lines, or correct the job's name there"));
            }
            for line in lines.iter() {
                rounds.take_line(job, line, ask);
            }
        }
        for Instead { position, change } in &ask.instead {
            let reason = Reason::asked("your own choice (--instead)", "");
            match change {
                Change::Fit { part, quantity } => {
                    rounds.add_target(position, Some(part), *quantity, true, reason)
                }
                Change::LeaveEmpty => rounds.add_target(position, None, None, true, reason),
                Change::Renew => rounds.add_forced(position, true, reason),
            };
        }
        for position in &ask.renew {
            rounds.add_forced(position, true, Reason::asked("your own wish (--renew)", ""));
        }
        for owed in &ask.owed {
            rounds.take_owed(owed);
        }
        if let Some(whole) = &ask.rest_of {
            rounds.doubt_options(whole);
        }
        rounds
    }

    /// Where the log does not say with which options a job was begun, what is left of it is worked out with those that
    /// are named now; where it does, one that says otherwise counts for nothing.
    fn doubt_options(&mut self, whole: &Ask) {
        let names = |options: Vec<&Key>| {
            options.into_iter().map(ToString::to_string).collect::<Vec<_>>().join(", ")
        };
        for job in &whole.jobs {
            let asked = options_asked(job, self.bench.lookup);
            let Some(Begun { options, place, .. }) =
                whole.begun.iter().find(|begun| begun.job == *job)
            else {
                let open: Vec<&Key> =
                    asked.iter().filter(|name| !whole.options.contains(name)).collect();
                if !open.is_empty() {
                    self.doubt(format!(
                        "the log does not say with which of its options {job} was begun; if it was with one of these, name it (--with): {}",
                        names(open)
                    ));
                }
                continue;
            };
            let denied =
                whole.options.iter().filter(|name| asked.contains(name) && !options.contains(name));
            let denied: Vec<&Key> = denied.collect();
            if !denied.is_empty() {
                self.doubt(format!(
                    "the log says that {job} was begun without {}, so what is left of it is, too; if that is wrong, correct it ({place})",
                    names(denied)
                ));
            }
        }
    }

    fn take_owed(&mut self, owed: &Owed) {
        let reason = Reason::asked(owed.text.clone(), owed.place.clone());
        match &owed.work {
            Work::Change { position, change, called } => match change {
                Change::Fit { part, quantity } => {
                    if *called {
                        self.called_parts.insert((position.clone(), part.clone()));
                    }
                    self.add_target(position, Some(part), *quantity, owed.own, reason);
                }
                Change::LeaveEmpty => {
                    self.add_target(position, None, None, owed.own, reason);
                }
                Change::Renew => {
                    self.add_forced(position, owed.own, reason);
                }
            },
            Work::LookAt(position) => {
                note(self.position_reasons.entry(position.clone()).or_default(), reason);
                let place = self.bench.place(position);
                if place.rows.is_empty() && !place.is_on_machine() {
                    self.gaps.raise(GapKind::PositionUnknown, Subject::Position(position.clone()), || {
                        let hint = meant(position.as_str(), &self.bench.lookup.position_keys());
                        format!(
                            "the log names it under left_out, but there is no row for it in positions{hint} ({})",
                            owed.place
                        )
                    });
                }
                self.add_way_in(&place);
                self.look_at.push(position.clone());
            }
            Work::Operation(operation) => {
                self.add_operation(operation, reason);
            }
        }
    }

    /// What the job, or what goes with it, wants at a position, and whether one of its lines does; `None` where the
    /// position is only on the way.
    pub fn wanted_at(&self, position: &Key) -> Option<(Work, bool)> {
        let own = self.own.contains(position);
        let (change, called) = match self.target(position) {
            Some(Target { part: Some(part), quantity, .. }) => {
                let called = self.called_parts.contains(&(position.clone(), part.clone()));
                (Change::Fit { part: part.clone(), quantity: *quantity }, called)
            }
            Some(Target { part: None, .. }) => (Change::LeaveEmpty, false),
            None if self.is_forced(position) => (Change::Renew, false),
            None => return None,
        };
        Some((Work::Change { position: position.clone(), change, called }, own))
    }

    fn take_line(&mut self, job: &Key, line: &JobLine, ask: &Ask) {
        if let Some(option) = &line.option {
            self.known_options.insert(option.name.clone());
            if !option.met(ask.options_of(job)) {
                return;
            }
        }
        let place = self.bench.lookup.place(line.at);
        match line.scope.applies(&self.bench.machine) {
            Applies::No => return,
            Applies::Unsure => {
                let missing = self.bench.missing(std::slice::from_ref(line));
                self.gaps.raise(GapKind::NotSettled, Subject::Job(job.clone()), || {
                    format!("a line of the job may not be for this machine ({place}); {missing}")
                });
                return;
            }
            Applies::Yes => {}
        }
        if let Some(position) = &line.position {
            let replaced = ask.instead.iter().any(|instead| instead.position == *position);
            match &line.part {
                // The person's own choice stands in for whatever the job does there.
                _ if replaced => {}
                Fitted::Part(part) => {
                    let reason = Reason::asked(format!("the job {job} fits {part} here"), &place);
                    self.add_target(position, Some(part), line.quantity, true, reason);
                }
                Fitted::Nothing => {
                    let reason = Reason::asked(format!("the job {job} leaves it empty"), &place);
                    self.add_target(position, None, None, true, reason);
                }
                Fitted::Blank => {
                    let reason = Reason::asked(format!("the job {job} renews it"), &place);
                    self.add_forced(position, true, reason);
                }
            }
        } else if let Fitted::Part(part) = &line.part {
            let reason = Reason::asked(format!("the job {job} buys it"), &place);
            let quantity = line.quantity.unwrap_or(Quantity::ONE);
            self.sets.push(SetToBuy { part: part.clone(), quantity, reason });
        }
        if let Some(operation) = &line.operation {
            self.add_operation(
                operation,
                Reason::asked(format!("the job {job} includes it"), &place),
            );
        }
    }

    /// Repeats rounds until one adds nothing; gives what every disturbed position comes to.
    pub fn run(&mut self) -> Vec<Outcome> {
        loop {
            self.close_operations();
            let disturbed = self.disturbed();
            let mut outcomes = Vec::with_capacity(disturbed.len());
            let mut called = Vec::new();
            for place in disturbed {
                let outcome = self.outcome(place, &mut called);
                outcomes.push(outcome);
            }
            let mut added = false;
            for call in called {
                added |= match call {
                    Called::Operation(operation, reason) => self.add_operation(&operation, reason),
                    Called::Need(need, reason) => self.add_need(&need, reason),
                };
            }
            if !added {
                self.judge_fits();
                self.doubt_ways_in(&outcomes);
                let operations = self.operations_in_plan();
                disagreement::judge(self.bench, &outcomes, &operations, &mut self.gaps);
                outcomes.sort_by_key(|outcome| outcome.place.order());
                return outcomes;
            }
        }
    }

    // What is added, and the gaps that adding it raises.

    fn add_operation(&mut self, operation: &Key, reason: Reason) -> bool {
        note(self.operation_reasons.entry(operation.clone()).or_default(), reason);
        self.operations.add(operation)
    }

    fn add_way_in(&mut self, place: &Place) -> bool {
        let Some((row, operation)) =
            place.row().and_then(|row| Some((row, row.reached_by.clone()?)))
        else {
            return false;
        };
        self.add_operation(&operation, way_in(self.bench, place, row))
    }

    /// Notes a position that was named, and says so if nothing is known of it.
    fn enter(&mut self, position: &Key, own: bool, reason: Reason) -> (Rc<Place>, bool) {
        let place = self.bench.place(position);
        if place.rows.is_empty() {
            self.gaps.raise(GapKind::PositionUnknown, Subject::Position(position.clone()), || {
                let hint = meant(position.as_str(), &self.bench.lookup.position_keys());
                format!("there is no row for it in positions; add one that says what sits there and how one gets at it{hint} (asked for by: {reason})")
            });
        }
        if own {
            self.own.insert(position.clone());
        } else {
            self.called.insert(position.clone());
        }
        note(self.position_reasons.entry(position.clone()).or_default(), reason);
        let added = self.add_way_in(&place);
        (place, added)
    }

    fn add_target(
        &mut self,
        position: &Key,
        part: Option<&PartNumber>,
        quantity: Option<Quantity>,
        own: bool,
        reason: Reason,
    ) -> bool {
        if let Some(first) =
            self.target_of.get(position).and_then(|index| self.targets.get(*index)).cloned()
        {
            let alike = match (&first.part, part) {
                (None, None) => true,
                (Some(a), Some(b)) => self.bench.on_chain_of(a, b) || self.bench.on_chain_of(b, a),
                _ => false,
            };
            if own {
                self.own.insert(position.clone());
            }
            if alike {
                self.doubt_quantity(position, first.quantity, quantity, &reason);
                note(self.position_reasons.entry(position.clone()).or_default(), reason);
            } else {
                let name = |part: Option<&PartNumber>| {
                    part.map_or("nothing".to_owned(), ToString::to_string)
                };
                let (stays, other) = (name(first.part.as_ref()), name(part));
                self.gaps.raise(GapKind::Conflict, Subject::Position(position.clone()), || {
                    format!("it is to hold {stays}, and then {other} ({reason}); {stays} stays in the plan: decide which, and change the other row")
                });
            }
            return false;
        }
        if part.is_none() && self.forced.seen.contains(position) {
            if own {
                self.own.insert(position.clone());
            }
            self.gaps.raise(GapKind::Conflict, Subject::Position(position.clone()), || {
                format!("it is to be renewed, and then to be left empty ({reason}); it stays renewed: decide which, and change the other row")
            });
            return false;
        }
        self.target_of.insert(position.clone(), self.targets.len());
        self.targets.push(Target {
            position: position.clone(),
            part: part.cloned(),
            quantity,
            own,
        });
        self.enter(position, own, reason);
        true
    }

    fn add_forced(&mut self, position: &Key, own: bool, reason: Reason) -> bool {
        if let Some(target) = self.target(position)
            && target.part.is_none()
        {
            if own {
                self.own.insert(position.clone());
            }
            self.gaps.raise(GapKind::Conflict, Subject::Position(position.clone()), || {
                format!("it is to be left empty, and then to be renewed ({reason}); it stays empty: decide which, and change the other row")
            });
            return false;
        }
        let new = self.forced.add(position);
        let (_, way_in_added) = self.enter(position, own, reason);
        new || way_in_added
    }

    fn add_need(&mut self, need: &Need, reason: Reason) -> bool {
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
                if !self.target_of.contains_key(position) && self.sits_there_already(position, part)
                {
                    let there = self
                        .bench
                        .place(position)
                        .current
                        .parts
                        .first()
                        .and_then(|sitting| sitting.quantity);
                    self.doubt_quantity(position, there, *quantity, &reason);
                    return false;
                }
                self.add_target(position, Some(part), *quantity, false, reason)
            }
        }
    }

    /// Notes that fewer of a part are at a position, or planned for it, than something else wants there.
    fn doubt_quantity(
        &mut self,
        position: &Key,
        has: Option<Quantity>,
        wanted: Option<Quantity>,
        reason: &Reason,
    ) {
        let here = match self.bench.place(position).quantity() {
            PlaceQuantity::Amount(quantity) => quantity,
            PlaceQuantity::Set => Quantity::ONE,
        };
        let (has, wanted) = (has.unwrap_or(here), wanted.unwrap_or(here));
        if has.to(wanted.unit).is_none_or(|has| has.amount < wanted.amount) {
            self.doubt(format!(
                "{position}: {wanted} are called for ({reason}), but {has} are counted; check how many it takes"
            ));
        }
    }

    pub fn doubt(&mut self, text: String) {
        if !self.doubts.contains(&text) {
            self.doubts.push(text);
        }
    }

    fn sits_there_already(&self, position: &Key, part: &PartNumber) -> bool {
        let place = self.bench.place(position);
        let mut sitting = place.current.parts.iter().filter_map(|sitting| sitting.part.as_ref());
        place.current.sure && sitting.any(|sitting| self.bench.on_chain_of(part, sitting))
    }

    pub fn target(&self, position: &Key) -> Option<&Target> {
        self.target_of.get(position).and_then(|index| self.targets.get(*index))
    }

    pub fn is_forced(&self, position: &Key) -> bool {
        self.forced.seen.contains(position)
    }

    // Step 1 and 2: what comes apart.

    fn close_operations(&mut self) {
        let mut next = 0;
        while let Some(operation) = self.operations.order.get(next).cloned() {
            next += 1;
            let step = self.bench.step(&operation);
            let Some(row) = step.row() else {
                let reason =
                    self.operation_reasons.get(&operation).and_then(|reasons| reasons.first());
                let why =
                    reason.map_or(String::new(), |reason| format!(" (asked for by: {reason})"));
                let rows = step.rows.len();
                self.gaps.raise(GapKind::OperationUnknown, Subject::Operation(operation.clone()), || {
                    if rows == 0 {
                        let hint = meant(operation.as_str(), &self.bench.lookup.operation_keys());
                        format!("there is no row for it in operations; add one that says what must come first and what it opens{hint}{why}")
                    } else {
                        format!("its rows are all for other machines; add one for this machine, or correct what leads to it{why}")
                    }
                });
                continue;
            };
            for need in &row.needs {
                let needed = self.bench.step(need);
                if needed.rows.is_empty() || needed.row().is_some() {
                    let text = format!("it must come before {operation}");
                    let reason = Reason::from(
                        Cause::Operation(operation.clone()),
                        text,
                        self.bench.lookup.place(row.at),
                    );
                    self.add_operation(need, reason);
                } else {
                    self.doubt_passed_over(need, &operation, &needed);
                }
            }
        }
    }

    /// Notes a step that is passed over for a trait that no machine of the catalog has: it may be a step of another
    /// market, or a cell in the wrong column.
    fn doubt_passed_over(&mut self, need: &Key, before: &Key, step: &Step) {
        let bench = self.bench;
        for row in &step.rows {
            let of_nobody =
                |condition: &&Condition| condition.holds && !bench.is_carried(&condition.name);
            let strange: Vec<String> =
                row.scope.only.iter().filter(of_nobody).map(ToString::to_string).collect();
            let mut rest = row.scope.clone();
            rest.only.retain(|condition| !of_nobody(&condition));
            if !strange.is_empty() && rest.applies(&bench.machine) != Applies::No {
                self.doubt(format!(
                    "{need} must come before {before}, but is passed over: its row asks for {}, a trait that no machine has ({}); if that cell stands in the wrong column, correct it",
                    strange.join(" and "),
                    bench.lookup.place(row.at)
                ));
                return;
            }
        }
    }

    /// The operations that have a row for the machine, in the order in which they were named.
    pub fn operations_in_plan(&self) -> Vec<Key> {
        self.operations
            .order
            .iter()
            .filter(|operation| self.bench.step(operation).row().is_some())
            .cloned()
            .collect()
    }

    /// Everything disturbed: the targets in the order added, then the others by place.
    fn disturbed(&mut self) -> Vec<Rc<Place>> {
        let mut others: BTreeMap<(bool, At, Key), Rc<Place>> = BTreeMap::new();
        let bench = self.bench;
        for operation in self.operations_in_plan() {
            let step = bench.step(&operation);
            let Some(row) = step.row() else { continue };
            let row_place = || bench.lookup.place(row.at);
            for joint in &row.opens {
                for position in bench.lookup.positions_in_joint(joint).iter() {
                    let place = bench.place(position);
                    let Some(position_row) = place.row().filter(|row| row.joint.contains(joint))
                    else {
                        self.doubt_joint(&place, joint);
                        continue;
                    };
                    if place.is_on_machine() {
                        let reason = Reason::from(
                            Cause::Operation(operation.clone()),
                            format!("{operation} opens {joint}"),
                            format!("{}, {}", row_place(), bench.lookup.place(position_row.at)),
                        );
                        note(self.position_reasons.entry(position.clone()).or_default(), reason);
                        others.insert(place.order(), place);
                    }
                }
            }
            for position in &row.removes {
                let place = bench.place(position);
                if place.rows.is_empty() && !bench.lookup.log_names(position) {
                    self.gaps.raise(GapKind::PositionUnknown, Subject::Position(position.clone()), || {
                        format!("{operation} takes it off ({}), but there is no row for it in positions; add one, or correct the name{}", row_place(), meant(position.as_str(), &bench.lookup.position_keys()))
                    });
                }
                if place.is_on_machine() {
                    let text = format!("{operation} takes it off");
                    let reason =
                        Reason::from(Cause::Operation(operation.clone()), text, row_place());
                    note(self.position_reasons.entry(position.clone()).or_default(), reason);
                    others.insert(place.order(), place);
                }
            }
        }
        for position in self.forced.order.iter().chain(&self.look_at) {
            let place = bench.place(position);
            others.insert(place.order(), place);
        }
        let targets = self.targets.iter().map(|target| bench.place(&target.position));
        let others =
            others.into_values().filter(|place| !self.target_of.contains_key(&place.position));
        targets.chain(others).collect()
    }

    /// Notes a position that only a row which is not used puts into an opened joint.
    fn doubt_joint(&mut self, place: &Place, joint: &Key) {
        let machine = &self.bench.machine;
        let may = |row: &&Position| {
            row.joint.contains(joint) && row.scope.applies(machine) != Applies::No
        };
        if let (true, Some(row), Some(used)) =
            (place.is_on_machine(), place.rows.iter().find(may), place.row())
        {
            let (other, used) = (self.bench.lookup.place(row.at), self.bench.lookup.place(used.at));
            self.doubt(format!(
                "{}: {other} puts it into the opened joint {joint}, but {used} was used, which does not; narrow one of them",
                place.position
            ));
        }
    }

    // Step 3: what a disturbed position comes to, and what it calls for.

    fn outcome(&mut self, place: Rc<Place>, called: &mut Vec<Called>) -> Outcome {
        let position = place.position.clone();
        let target = self.target(&position).cloned();
        let mut reused = false;
        let (action, rule) = match &target {
            Some(Target { part: None, .. }) => (Action::LeaveOut, None),
            Some(_) => (Action::Renew, None),
            None if self.is_forced(&position) => (Action::Renew, None),
            None => {
                // What goes back in on the person's word is settled by that word, so no rule is missed.
                let wanted = self.reuse.contains(&position);
                let mut unheard = Gaps::default();
                let gaps = if wanted { &mut unheard } else { &mut self.gaps };
                let (action, rule) = rule_for(self.bench, &place, gaps);
                if wanted && action == Action::Renew {
                    reused = true;
                    (Action::Keep, Some(Reason::asked("used again on your word (--reuse)", "")))
                } else {
                    (action, Some(rule))
                }
            }
        };
        let mut parts = Vec::new();
        if action == Action::Renew {
            if let Some(row) = place.row()
                && let Some(operation) = &row.reached_by
            {
                called.push(Called::Operation(operation.clone(), way_in(self.bench, &place, row)));
            }
            parts = self.renew(&place, target.as_ref(), called);
        }
        Outcome { place, action, reused, rule, parts }
    }

    fn renew(
        &mut self,
        place: &Place,
        target: Option<&Target>,
        called: &mut Vec<Called>,
    ) -> Vec<Planned> {
        let bench = self.bench;
        let position = &place.position;
        let starts: Vec<Sitting> = match target {
            Some(target) => vec![Sitting {
                part: target.part.clone(),
                quantity: target.quantity,
                at: At::default(),
            }],
            None => place.current.parts.clone(),
        };
        if starts.is_empty() {
            self.gaps.raise(GapKind::PartUnknown, Subject::Position(position.clone()), || {
                "it is to be renewed, but nothing is listed there for this machine; add its part".to_owned()
            });
        }
        let mut planned = Vec::new();
        for start in &starts {
            let Some(part) = &start.part else {
                let row = bench.lookup.place(start.at);
                self.gaps.raise(GapKind::PartUnknown, Subject::Position(position.clone()), || {
                    format!(
                        "nobody has looked up its part number yet; fill in the cell part ({row})"
                    )
                });
                continue;
            };
            let resolved = bench.resolve(part);
            raise_doubts(bench, &resolved, &mut self.gaps);
            let (quantity, set) = match (start.quantity, place.quantity()) {
                (Some(quantity), _) | (None, PlaceQuantity::Amount(quantity)) => (quantity, false),
                (None, PlaceQuantity::Set) => (Quantity::ONE, true),
            };
            if target.is_some() {
                self.heed_retrofits(part, place, called);
            }
            for end in &resolved.finals {
                if end.part != *part {
                    self.heed_retrofits(&end.part, place, called);
                }
            }
            for chain_need in &resolved.needs {
                let text =
                    format!("{} at {position} needs {}", chain_need.new, spoken(&chain_need.need));
                let reason = Reason::from(
                    Cause::Position(position.clone()),
                    text,
                    bench.lookup.place(chain_need.at),
                );
                called.push(Called::Need(chain_need.need.clone(), reason));
            }
            for end in resolved.finals {
                let row = bench.lookup.part(&end.part);
                match &row {
                    None => self.gaps.raise(
                        GapKind::PartUnknown,
                        Subject::Position(position.clone()),
                        || {
                            format!(
                                "its part {} is not in the table parts; add a row for it",
                                end.part
                            )
                        },
                    ),
                    Some(row) if row.status == Some(Status::Discontinued) => {
                        let subject = Subject::Part(end.part.clone());
                        self.gaps.raise(GapKind::Discontinued, subject, || {
                            discontinued(row, bench.lookup)
                        });
                    }
                    Some(_) => {}
                }
                let amount =
                    Quantity::new(quantity.amount.saturating_mul(end.factor), quantity.unit);
                let unit = row.and_then(|row| row.unit);
                let quantity = unit.and_then(|unit| amount.to(unit)).unwrap_or(amount);
                planned.push(Planned { end, quantity, set });
            }
        }
        planned
    }

    /// Collects what the retrofit rows call for with a part at a position.
    fn heed_retrofits(&mut self, part: &PartNumber, place: &Place, called: &mut Vec<Called>) {
        let position = &place.position;
        let bench = self.bench;
        let word = retrofit::ask(bench, part, position);
        if let Some(row) = word.unsure.first() {
            let (at, missing) =
                (bench.lookup.place(row.at), bench.missing(std::slice::from_ref(row)));
            self.gaps.raise(GapKind::NotSettled, Subject::Position(position.clone()), || {
                format!("whether {part} goes here on this machine is not settled ({at}); {missing}")
            });
        }
        if let Some(row) = word.refusal() {
            let at = bench.lookup.place(row.at);
            let note = if row.note.is_empty() { String::new() } else { format!(": {}", row.note) };
            self.gaps.raise(GapKind::DoesNotFit, Subject::Position(position.clone()), || {
                format!("{part} does not go here ({at}){note}; choose another part for it")
            });
            return;
        }
        for row in &word.speaking {
            for need in &row.needs {
                let text = format!("{} at {position} needs {}", row.part, spoken(need));
                let reason = Reason::from(
                    Cause::Position(position.clone()),
                    text,
                    bench.lookup.place(row.at),
                );
                called.push(Called::Need(need.clone(), reason));
            }
        }
        for row in &word.speaking {
            for operation in row.operations.iter().filter(|operation| !bench.is_done(operation)) {
                let text = format!("{} goes to {position} only with it", row.part);
                let reason = Reason::from(
                    Cause::Position(position.clone()),
                    text,
                    bench.lookup.place(row.at),
                );
                called.push(Called::Operation(operation.clone(), reason));
            }
        }
    }

    // Once nothing more is added.

    /// Notes where a slip in the tables may have kept the plan from taking something apart: the rules pass over a
    /// position that names no way in, and over a joint that its own way in does not open.
    fn doubt_ways_in(&mut self, outcomes: &[Outcome]) {
        let bench = self.bench;
        let operations = self.operations_in_plan();
        let opened: Vec<Key> = operations
            .iter()
            .flat_map(|operation| {
                bench.step(operation).row().map_or_else(Vec::new, |row| row.opens.clone())
            })
            .collect();
        for outcome in outcomes
            .iter()
            .filter(|outcome| matches!(outcome.action, Action::Renew | Action::LeaveOut))
        {
            let place = &outcome.place;
            let Some(row) = place.row().filter(|row| row.reached_by.is_none()) else { continue };
            if !self.comes_apart(&place.position) {
                self.doubt(format!(
                    "{}: its row names no way in ({}), and no operation of this plan opens or takes off anything there; fill in reached_by",
                    place.position,
                    bench.lookup.place(row.at)
                ));
            }
        }
        for operation in &operations {
            for position in bench.lookup.positions_reached_by(operation).iter() {
                let place = bench.place(position);
                let Some(row) =
                    place.row().filter(|row| row.reached_by.as_ref() == Some(operation))
                else {
                    continue;
                };
                if !place.is_on_machine() {
                    continue;
                }
                let Some(joint) = row.joint.first() else {
                    if !outcomes.iter().any(|outcome| outcome.place.position == *position)
                        && self.is_used_up(&place)
                    {
                        self.doubt(format!(
                            "{position}: it is reached by {operation}, which is done here, but its row names no joint, so nothing says that it is disturbed ({}); fill in joint",
                            bench.lookup.place(row.at)
                        ));
                    }
                    continue;
                };
                if row.joint.iter().any(|joint| opened.contains(joint)) {
                    continue;
                }
                if !self.comes_apart(position) {
                    let meant = nearest(joint.as_str(), opened.iter().map(Key::as_str));
                    let hint =
                        meant.map_or_else(String::new, |meant| format!("; did you mean {meant}?"));
                    self.doubt(format!(
                        "{position}: it is reached by {operation}, which is done here, but nothing opens its joint {joint} ({}){hint}",
                        bench.lookup.place(row.at)
                    ));
                }
            }
        }
    }

    /// What sits there seals, or would be renewed if it were disturbed. Looked at only for that, so it raises no gaps.
    fn is_used_up(&self, place: &Place) -> bool {
        let mut sitting = place.current.parts.iter().filter_map(|sitting| sitting.part.as_ref());
        sitting.any(|part| self.bench.seals(part))
            || rule_for(self.bench, place, &mut Gaps::default()).0 == Action::Renew
    }

    /// An operation of the plan opens a joint of the position, or takes it off.
    fn comes_apart(&self, position: &Key) -> bool {
        let reasons = self.position_reasons.get(position).map_or(&[][..], Vec::as_slice);
        reasons.iter().any(|reason| matches!(reason.from, Origin::Plan(Cause::Operation(_))))
    }

    /// Says of each part that a job line puts somewhere whether anything says that it fits.
    fn judge_fits(&mut self) {
        for target in self.targets.clone() {
            let (Some(part), true) = (&target.part, target.own) else { continue };
            let position = &target.position;
            if self.called_parts.contains(&(position.clone(), part.clone())) {
                continue;
            }
            let bench = self.bench;
            let place = bench.place(position);
            let finals = bench.resolve(part).finals;
            let refused = finals
                .iter()
                .map(|end| &end.part)
                .chain([part])
                .any(|part| retrofit::ask(bench, part, position).refusal().is_some());
            let known = |part: &PartNumber| {
                retrofit::ask(bench, part, position).says_yes()
                    || retrofit::is_placed(bench, part, &place)
            };
            if !refused && !known(part) && !finals.iter().all(|end| known(&end.part)) {
                self.gaps.raise(GapKind::FitUnknown, Subject::Position(position.clone()), || {
                    let contents = bench.lookup.contents_of(part);
                    match contents.iter().find(|row| row.position.is_none() && known(&row.contained)) {
                        Some(row) => format!(
                            "{part} itself does not go here: it is a set that holds {} ({}), which does; take the position out of the job line, so that the set is bought, and renew the position by a line without a part",
                            row.contained,
                            bench.lookup.place(row.at)
                        ),
                        None => format!("nothing says that {part} fits here on this machine; find out, and add a row to retrofits"),
                    }
                });
            }
        }
    }
}

/// The known name that was probably meant.
fn meant(name: &str, known: &[Key]) -> String {
    let nearest = nearest(name, known.iter().map(Key::as_str));
    nearest.map_or_else(String::new, |name| format!("; did you mean {name}?"))
}

fn way_in(bench: &Bench, place: &Place, row: &Position) -> Reason {
    let text = format!("it is the way in to {}", place.position);
    Reason::from(Cause::Position(place.position.clone()), text, bench.lookup.place(row.at))
}

fn spoken(need: &Need) -> String {
    match &need.change {
        Change::Renew => "it renewed".to_owned(),
        Change::LeaveEmpty => "it left empty".to_owned(),
        Change::Fit { part, quantity: None } => format!("{part} here"),
        Change::Fit { part, quantity: Some(quantity) } => format!("{quantity} × {part} here"),
    }
}

/// Says that a part is made no more, and which row may have been meant to lead on from it.
pub(crate) fn discontinued(part: &Part, lookup: &dyn Lookup) -> String {
    let rows = lookup.supersessions_to(&part.part);
    let still_made = |old: &PartNumber| {
        lookup.part(old).is_some_and(|old| old.status != Some(Status::Discontinued))
    };
    let backwards = rows.iter().find(|row| row.old != part.part && still_made(&row.old));
    let hint = backwards.map_or_else(String::new, |row| {
        let (old, place) = (lookup.spell_part(&row.old), lookup.place(row.at));
        format!("; {place} leads to it from {old}, which is still made: does that row stand the wrong way round?")
    });
    let mend = if hint.is_empty() { "; find a replacement and add a row" } else { "" };
    let place = lookup.place(part.at);
    format!(
        "it is made no more ({place}) and nothing in the table supersessions replaces it{hint}{mend}"
    )
}
