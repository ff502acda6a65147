//! Rounds: what a job starts with, and what that leads to.

use super::action::Disturbed;
use super::catalog::{Action, JobLine, JobRow, OperationRow, WayIn};
use super::cells::{Fitted, Key, Need, Quantity, key};
use super::retrofits::Said;
use super::scope::{Applies, View};
use super::words::{Sits, rows_that_apply};
use super::{Ask, Solver};
use rust_decimal::Decimal;
use std::collections::BTreeSet;

pub struct Target {
    pub position: Key,
    /// `None`: to be left empty.
    pub part: Option<Key>,
    pub quantity: Option<Quantity>,
    pub of_a_job_line: bool,
}

/// A set to buy.
pub struct Set {
    pub part: Key,
    pub quantity: Quantity,
    pub assembly: Key,
}

#[derive(Default)]
pub struct State {
    /// In the order added.
    pub targets: Vec<Target>,
    pub forced: Vec<Key>,
    pub carried: Vec<Key>,
    pub operations: Vec<Key>,
    pub sets: Vec<Set>,
    pub named_by_a_job_line: BTreeSet<Key>,
    /// What a `needs` called for: position and part.
    pub called_for: Vec<(Key, Key)>,
    pub already_there: Vec<(Key, Key)>,
}

impl State {
    pub fn target(&self, position: &Key) -> Option<&Target> {
        self.targets.iter().find(|target| target.position == *position)
    }

    fn size(&self) -> [usize; 4] {
        [self.targets.len(), self.forced.len(), self.carried.len(), self.operations.len()]
    }

    fn add_operation(&mut self, operation: &Key) {
        if !self.operations.contains(operation) {
            self.operations.push(operation.clone());
        }
    }
}

/// What a position calls for.
enum Call {
    Operation(Key),
    Need(Need),
    Carried(Key),
}

impl Solver {
    // ----- The start -----

    pub fn start(&self, ask: &Ask) -> Result<State, &'static str> {
        let mut state = State::default();
        for asked in &ask.jobs {
            let job = key(asked);
            let rows: Vec<&JobRow> =
                self.catalog.jobs.iter().filter(|row| row.job == job).collect();
            if rows.is_empty() {
                return Err("refused: no such job");
            }
            // A job that has an `assembly`: judged against M as that assembly has it.
            let view = self.catalog.view_of_assembly(self.assembly_of_job(&job));
            match rows_that_apply(rows, |row| view.judge(&row.scope)).first() {
                // A job that does not apply to M is refused;
                None => return Err("refused: a job does not apply"),
                // (gap `not-settled` on the job, for a job that is itself *unsure*)
                Some(row) if view.judge(&row.scope) == Applies::Unsure => {
                    self.mark("job: itself unsure");
                    self.gap("not-settled", self.catalog.show("job", &job));
                }
                Some(_) => {}
            }
        }
        // so is an option that no line of the jobs asks about.
        let asked_about = |option: &String| {
            self.catalog.job_lines.iter().any(|line| {
                let name = line.option.strip_prefix("not ").unwrap_or(&line.option);
                name.trim() == key(option) && ask.jobs.iter().any(|job| key(job) == line.job)
            })
        };
        if !ask.options.iter().all(asked_about) {
            return Err("refused: no line asks about an option");
        }
        // Jobs in the order named, lines in table order, those whose option holds and that apply with *yes*.
        for asked in &ask.jobs {
            let job = key(asked);
            for line in self.catalog.job_lines.iter().filter(|line| line.job == job) {
                if !option_holds(&line.option, &ask.options) {
                    self.mark("job line: option does not hold");
                    continue;
                }
                match self.view_of_line(line).judge(&line.scope) {
                    Applies::No => {}
                    Applies::Unsure => {
                        self.mark("job line: unsure");
                        self.gap("not-settled", self.catalog.show("job", &job));
                    }
                    Applies::Yes => self.start_line(line, &mut state),
                }
            }
        }
        // The `needs` along the chains of the sets are added before the first round, as in step 4.
        let mut needs = Vec::new();
        for set in &state.sets {
            let view = self.catalog.view_of_assembly(&set.assembly);
            needs.extend(self.resolve_in_earnest(view, &set.part).needs);
        }
        for need in needs {
            self.mark("set: its chain has needs");
            self.answer(Call::Need(need), &mut state);
        }
        Ok(state)
    }

    fn assembly_of_job(&self, job: &Key) -> &str {
        let first = self.catalog.jobs.iter().find(|row| row.job == *job);
        first.map_or("", |row| row.assembly.as_str())
    }

    /// The assembly of a set line is its own, else its job's.
    fn assembly_of_line<'a>(&'a self, line: &'a JobLine) -> &'a str {
        if line.assembly.is_empty() { self.assembly_of_job(&line.job) } else { &line.assembly }
    }

    /// A job line that names a position is about that position; any other is about its set, or its job.
    fn view_of_line(&self, line: &JobLine) -> &View {
        match (&line.position, &line.part) {
            (Some(position), _) => self.view_at(position),
            (None, Fitted::Part(_)) => self.catalog.view_of_assembly(self.assembly_of_line(line)),
            _ => self.catalog.view_of_assembly(self.assembly_of_job(&line.job)),
        }
    }

    fn start_line(&self, line: &JobLine, state: &mut State) {
        match (&line.position, &line.part) {
            // with a position and no part a forced renewal,
            (Some(position), Fitted::NotLookedUp) => {
                self.mark("job line: forced renewal");
                state.named_by_a_job_line.insert(position.clone());
                self.add_forced(position, state);
            }
            // a line with a position and a part adds a target,
            (Some(position), part) => {
                self.mark(match part {
                    Fitted::Nothing => "job line: leave empty",
                    _ => "job line: target",
                });
                state.named_by_a_job_line.insert(position.clone());
                let target = Target {
                    position: position.clone(),
                    part: part.part().cloned(),
                    quantity: line.quantity.clone(),
                    of_a_job_line: true,
                };
                self.add_target(target, state);
            }
            // with a part and no position a set (the same number for the same assembly again: the larger quantity),
            (None, Fitted::Part(part)) => {
                self.mark("job line: set to buy");
                let quantity = line.quantity.clone().unwrap_or(Quantity::each(Decimal::ONE));
                let assembly = key(self.assembly_of_line(line));
                let same =
                    state.sets.iter_mut().find(|set| set.part == *part && set.assembly == assembly);
                match same {
                    Some(set) => {
                        self.mark("set: the same again");
                        if set.quantity.is_less_than(&quantity) {
                            set.quantity = quantity;
                        }
                    }
                    None => state.sets.push(Set { part: part.clone(), quantity, assembly }),
                }
            }
            (None, _) => {}
        }
        // with an operation that operation.
        if let Some(operation) = &line.operation {
            self.mark("job line: operation");
            state.add_operation(operation);
        }
    }

    /// Every position added as target or forced also adds its `reached_by` (`-` adds nothing); one without any row gives gap
    /// `position-unknown`.
    fn position_was_added(&self, position: &Key, state: &mut State) {
        if self.all_rows_of(position).is_empty() {
            self.mark("position-unknown: added");
            self.gap_on("position-unknown", position);
        }
        if let WayIn::By(operation) = self.way_in(position) {
            state.add_operation(&operation);
        }
    }

    fn add_target(&self, target: Target, state: &mut State) {
        let position = target.position.clone();
        let view = self.view_at(&position);
        if let Some(first) = state.targets.iter_mut().find(|first| first.position == position) {
            // A second target with the same part, or with one of which either lies on the chain of the other:
            let agrees = match (&first.part, &target.part) {
                (None, None) => true,
                (Some(one), Some(other)) => {
                    let agrees = self.resolve(view, one).has_on_a_chain(other)
                        || self.resolve(view, other).has_on_a_chain(one);
                    if agrees && one != other {
                        self.mark("target: another part of the same chain");
                    }
                    agrees
                }
                _ => false,
            };
            if !agrees {
                // With any other part: gap `conflict` on the position; the first stays.
                self.mark("conflict: another target");
                self.gap_on("conflict", &position);
                return;
            }
            // the first stays, with the larger of the two quantities (blank = the position's; in unlike units the first).
            let of = |own: &Option<Quantity>| own.clone().unwrap_or_else(|| self.q(&position));
            if of(&first.quantity).is_less_than(&of(&target.quantity)) {
                self.mark("target: the larger quantity");
                first.quantity = target.quantity;
            }
            return;
        }
        // and the reverse: gap `conflict`; the first stays.
        if target.part.is_none() && state.forced.contains(&position) {
            self.mark("conflict: leave empty what is to be renewed");
            self.gap_on("conflict", &position);
            return;
        }
        state.targets.push(target);
        self.position_was_added(&position, state);
    }

    fn add_forced(&self, position: &Key, state: &mut State) {
        // A forced renewal of a target `-`: gap `conflict`; the first stays.
        if state.target(position).is_some_and(|target| target.part.is_none()) {
            self.mark("conflict: renew what is to be left empty");
            self.gap_on("conflict", position);
            return;
        }
        if !state.forced.contains(position) {
            state.forced.push(position.clone());
            self.position_was_added(position, state);
        }
    }

    // ----- The rounds -----

    /// Repeat until a round adds nothing.
    pub fn rounds(&self, state: &mut State) {
        let mut rounds = 0;
        loop {
            rounds += 1;
            let before = state.size();
            self.close_operations(state);
            let (asked_for, others) = self.disturbed(state);
            let disturbed: Vec<Key> = asked_for.iter().chain(&others).cloned().collect();
            // 3. What was asked for is settled first. If that adds nothing, do the same for every other disturbed position by place.
            for some in [asked_for, others] {
                let settled = state.size();
                let mut calls = Vec::new();
                for position in some {
                    calls.extend(self.calls_of(&position, state, &disturbed));
                }
                for call in calls {
                    self.answer(call, state);
                }
                if state.size() != settled {
                    break;
                }
            }
            if state.size() == before {
                break;
            }
        }
        self.mark(match rounds {
            1 => "rounds: 1",
            2 => "rounds: 2",
            3 => "rounds: 3",
            _ => "rounds: 4 or more",
        });
    }

    /// 1. Close *operations* under `needs`.
    fn close_operations(&self, state: &mut State) {
        let mut at = 0;
        while at < state.operations.len() {
            let operation = state.operations[at].clone();
            at += 1;
            let Some(row) = self.operation(&operation) else {
                // Any other operation with no row that applies: gap `operation-unknown`.
                self.mark(if self.all_rows_of_operation(&operation).is_empty() {
                    "operation-unknown: no row at all"
                } else {
                    "operation-unknown: no row for the machine"
                });
                self.gap("operation-unknown", self.catalog.show("operation", &operation));
                continue;
            };
            for need in &row.needs {
                // A need whose rows all say *no* is not there to be done: skipped.
                if !self.all_rows_of_operation(need).is_empty() && self.operation(need).is_none() {
                    self.mark("operation: a need is not there to be done");
                    continue;
                }
                state.add_operation(need);
            }
        }
    }

    /// The rows of the operations, of those that have one that applies.
    pub fn planned_operations(&self, state: &State) -> Vec<&OperationRow> {
        state.operations.iter().filter_map(|operation| self.operation(operation)).collect()
    }

    /// 2. All `opens` of those operations, and the joints of every position on M that they remove.
    pub fn opened_joints(&self, state: &State) -> BTreeSet<Key> {
        let mut joints = BTreeSet::new();
        for row in self.planned_operations(state) {
            joints.extend(self.joints_opened_by(row));
        }
        joints
    }

    pub fn joints_opened_by(&self, row: &OperationRow) -> BTreeSet<Key> {
        let mut joints: BTreeSet<Key> = row.opens.iter().cloned().collect();
        for removed in row.removes.iter().filter(|removed| self.is_on_machine(removed)) {
            joints.extend(self.joints_of(removed));
        }
        joints
    }

    /// Disturbed positions: those asked for in the order of step 3, then the others by place.
    pub fn disturbed(&self, state: &State) -> (Vec<Key>, Vec<Key>) {
        let mut all: BTreeSet<Key> = BTreeSet::new();
        // positions on M in an opened joint,
        let opened = self.opened_joints(state);
        for position in self.positions_with_a_row() {
            let is_open = self.joints_of(&position).iter().any(|joint| opened.contains(joint));
            if is_open && self.is_on_machine(&position) {
                all.insert(position);
            }
        }
        // positions in `removes` that are on M (a name that no positions row and no worklog row of any machine has: `position-unknown`),
        for removed in self.planned_operations(state).into_iter().flat_map(|row| &row.removes) {
            let has_log_row =
                self.catalog.worklog.iter().any(|row| row.position.as_ref() == Some(removed));
            let has_row = !self.all_rows_of(removed).is_empty();
            if !has_row && !has_log_row {
                self.mark("position-unknown: removed");
                self.gap_on("position-unknown", removed);
            }
            if self.is_on_machine(removed) {
                if !has_row {
                    self.mark("removes: a position only the log knows");
                }
                all.insert(removed.clone());
            }
        }
        // targets, forced, carried.
        all.extend(state.carried.iter().cloned());
        let mut asked_for: Vec<Key> =
            state.targets.iter().map(|target| target.position.clone()).collect();
        let mut forced: Vec<Key> = state.forced.clone();
        forced.retain(|position| !asked_for.contains(position));
        forced.sort_by_key(|position| self.place(position));
        asked_for.extend(forced);
        let mut others: Vec<Key> =
            all.into_iter().filter(|position| !asked_for.contains(position)).collect();
        others.sort_by_key(|position| self.place(position));
        (asked_for, others)
    }

    /// Every position that has a row, by place.
    pub fn positions_with_a_row(&self) -> Vec<Key> {
        let mut positions: Vec<Key> = Vec::new();
        for row in &self.catalog.positions {
            if !positions.contains(&row.position) {
                positions.push(row.position.clone());
            }
        }
        positions
    }

    /// Its action, and if it is renewed its parts; what it calls for.
    fn calls_of(&self, position: &Key, state: &State, disturbed: &Disturbed) -> Vec<Call> {
        let action = self.action(position, state, disturbed);
        let mut calls = Vec::new();
        if action == Action::Renew {
            let of_starts = self.parts(position, state);
            // its `reached_by` operation;
            if let WayIn::By(operation) = self.way_in(position) {
                calls.push(Call::Operation(operation));
            }
            // for a target, what the retrofit rows say of the target part; for every final part other than the one it starts from
            // and the target, what the retrofit rows say of it;
            let target = state.target(position).and_then(|target| target.part.as_ref());
            let mut asked_about: Vec<&Key> = target.into_iter().collect();
            for (start, pieces) in &of_starts {
                let others = pieces.iter().map(|piece| &piece.part);
                asked_about.extend(
                    others.filter(|part| Some(*part) != start.as_ref() && Some(*part) != target),
                );
            }
            for part in asked_about {
                if let Said::Fits { needs, operations } = self.retrofit_rows_say(part, position) {
                    calls.extend(needs.into_iter().map(Call::Need));
                    calls.extend(operations.into_iter().map(Call::Operation));
                }
            }
            // then the `needs` along the chain from the start.
            for start in of_starts.iter().filter_map(|(start, _)| start.as_ref()) {
                let needs = self.resolve(self.view_at(position), start).needs;
                if !needs.is_empty() {
                    self.mark("supersession: needs along the chain");
                }
                calls.extend(needs.into_iter().map(Call::Need));
            }
        }
        // A renewed or left-out position adds the positions on M that it carries to *carried*.
        if matches!(action, Action::Renew | Action::LeaveOut) {
            let carried = self.positions_with_a_row().into_iter().filter(|other| {
                self.carrier_of(other).as_ref() == Some(position) && self.is_on_machine(other)
            });
            calls.extend(carried.map(Call::Carried));
        }
        calls
    }

    /// 4. Add what was collected.
    fn answer(&self, call: Call, state: &mut State) {
        match call {
            Call::Operation(operation) => state.add_operation(&operation),
            Call::Carried(position) => {
                if !state.carried.contains(&position) {
                    self.mark("carried");
                    state.carried.push(position);
                }
            }
            // `position` alone adds a forced renewal.
            Call::Need(Need::Renew { position }) => self.add_forced(&position, state),
            // `position=-`: to be left empty; nothing to do if the position has rows and is no target and not on M
            Call::Need(Need::LeaveEmpty { position }) => {
                if !self.all_rows_of(&position).is_empty()
                    && state.target(&position).is_none()
                    && !self.is_on_machine(&position)
                {
                    self.mark("need: empty already");
                    return;
                }
                self.mark("need: leave empty");
                let target = Target { position, part: None, quantity: None, of_a_job_line: false };
                self.add_target(target, state);
            }
            // `position=part` adds a target
            Call::Need(Need::Fit { position, part, quantity }) => {
                state.called_for.push((position.clone(), part.clone()));
                if state.target(&position).is_none()
                    && let Some(sits) = self.already_there(&position, &part, quantity.as_ref())
                {
                    self.mark("need: already there");
                    if !state.already_there.contains(&(position.clone(), sits.clone())) {
                        state.already_there.push((position, sits));
                    }
                    return;
                }
                self.mark(if quantity.is_some() { "need: fit so many" } else { "need: fit" });
                let target = Target { position, part: Some(part), quantity, of_a_job_line: false };
                self.add_target(target, state);
            }
        }
    }

    /// A part that surely sits there lies on a chain of `resolve(part)`, and no more of it is called for than sits there.
    fn already_there(&self, position: &Key, part: &Key, own: Option<&Quantity>) -> Option<Key> {
        let current = self.current(position);
        let resolved = self.resolve(self.view_at(position), part);
        let called_for = own.cloned().unwrap_or_else(|| self.q_for(position, part));
        let is_enough = |sits: &&Sits| {
            let Some(factor) = sits.fitted.part().and_then(|part| resolved.factor_to(part)) else {
                return false;
            };
            let called_for = called_for.times(factor);
            let same = current.sits.iter().filter(|other| other.fitted == sits.fitted);
            let there: Option<Decimal> =
                same.map(|other| other.quantity.number_in(called_for.unit)).sum();
            if there.is_some_and(|there| called_for.number > there) {
                self.mark("need: more than is there");
            }
            there.is_some_and(|there| called_for.number <= there)
        };
        let found = current.sits.iter().filter(|sits| sits.is_sure).find(is_enough);
        found.and_then(|sits| sits.fitted.part().cloned())
    }
}

fn option_holds(option: &str, chosen: &[String]) -> bool {
    let is_chosen = |name: &str| chosen.iter().any(|option| key(option) == key(name));
    match option.strip_prefix("not ") {
        Some(name) => !is_chosen(name),
        None => option.is_empty() || is_chosen(option),
    }
}
