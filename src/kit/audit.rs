//! A second, deliberately simple reading of a finished kit.
//!
//! It shares no working with the rounds: it takes the kit as it is and asks of each thing on it, and of each table
//! row that speaks of it, whether the other is there. It cannot tell what else a kit should hold for reasons of
//! its own; it can tell that something was called for and is missing, or is on the list without a reason.

use super::action::Action;
use super::answer::{Kit, Line, PlannedPosition, Role, When};
use super::ask::Ask;
use super::bench::Bench;
use super::gap::GapKind;
use super::reason::{Cause, Origin, Reason};
use crate::catalog::{
    Applies, Change, Fitted, JobLine, LogEntry, Lookup, Machine, Need, Operation, Position,
    Retrofit, Scoped, SerialCell, Status, Verdict, WhenDisturbed,
};
use crate::measure::{Key, PartNumber, Quantity, Stage};
use rust_decimal::Decimal;
use std::collections::{HashMap, HashSet};
use std::fmt;

/// Something on which the kit and its audit disagree.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Finding {
    /// What it is about.
    pub subject: String,
    /// What the tables call for.
    pub called_for: String,
    /// What the kit holds.
    pub found: String,
}

impl fmt::Display for Finding {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(
            f,
            "{}: the audit expects {}; the kit has {}",
            self.subject, self.called_for, self.found
        )
    }
}

/// Reads a finished kit against the tables; an empty answer is agreement.
pub fn audit(ask: &Ask, kit: &Kit, lookup: &dyn Lookup) -> Vec<Finding> {
    let Some(machine) = lookup.machine(&Key::new(&kit.machine)) else {
        return vec![Finding {
            subject: kit.machine.clone(),
            called_for: "a machine of this name".to_owned(),
            found: "none".to_owned(),
        }];
    };
    let machine = machine.into_owned();
    let log = lookup.log_of(&machine.machine).into_owned();
    let bench = Bench::new(machine.clone(), lookup);
    let mut audit = Audit { ask, kit, lookup, machine, log, bench, findings: Vec::new() };
    audit.operations();
    audit.joints_and_removals();
    audit.renewed_positions();
    audit.lines();
    audit.companions();
    audit.job_lines();
    audit.reasons();
    if kit.complete != kit.gaps.is_empty() {
        audit.find("complete", format!("{}", kit.gaps.is_empty()), kit.complete.to_string());
    }
    audit.findings
}

struct Audit<'a> {
    ask: &'a Ask,
    kit: &'a Kit,
    lookup: &'a dyn Lookup,
    machine: Machine,
    log: Vec<LogEntry>,
    bench: Bench<'a>,
    findings: Vec<Finding>,
}

impl Audit<'_> {
    fn find(&mut self, subject: &str, called_for: impl Into<String>, found: impl Into<String>) {
        self.findings.push(Finding {
            subject: subject.to_owned(),
            called_for: called_for.into(),
            found: found.into(),
        });
    }

    /// The machine as one of its assemblies has it.
    fn machine_in(&self, assembly: &Key) -> Machine {
        let rows = self.lookup.assemblies_of(&self.machine.machine);
        let Some(row) = rows.iter().find(|row| row.assembly == *assembly) else {
            return self.machine.clone();
        };
        let mut machine = self.machine.clone();
        if row.model.is_some() {
            machine.year = None;
        }
        if row.model.is_some() || row.year.is_some() {
            machine.serial = SerialCell::default();
        }
        machine.model = row.model.clone().unwrap_or(machine.model);
        machine.year = row.year.or(machine.year);
        if !row.serial.text.trim().is_empty() {
            machine.serial = row.serial.clone();
        }
        if !row.traits.is_empty() {
            machine.traits = row.traits.clone();
        }
        machine
    }

    fn machine_at(&self, position: &Key) -> Machine {
        let rows = self.lookup.positions(position);
        self.machine_in(&Key::new(rows.first().map_or("", |row| &row.assembly)))
    }

    /// The first row that surely applies, else the first that may.
    fn speaks<R: Scoped + Clone>(&self, rows: &[R], machine: &Machine) -> Option<R> {
        let of = |wanted| rows.iter().find(|row| row.scope().applies(machine) == wanted).cloned();
        of(Applies::Yes).or_else(|| of(Applies::Unsure))
    }

    fn operation_row(&self, operation: &Key) -> Option<Operation> {
        let rows = self.lookup.operations(operation);
        let assembly = rows.first().and_then(|row| row.assembly.clone());
        self.speaks(&rows, &self.machine_in(&assembly.unwrap_or_else(|| Key::new(""))))
    }

    fn position_row(&self, position: &Key) -> Option<Position> {
        let rows = self.lookup.positions(position);
        self.speaks(&rows, &self.machine_at(position)).or_else(|| rows.first().cloned())
    }

    /// What sits at a position: each part, a blank one as `None`; empty where nothing does. The one thing that is not
    /// read anew here: several log rows, and what they call for elsewhere, are no simple matter.
    fn sitting(&self, position: &Key) -> Vec<Option<PartNumber>> {
        let place = self.bench.place(position);
        place.current.parts.iter().map(|sitting| sitting.part.clone()).collect()
    }

    fn is_on_machine(&self, position: &Key) -> bool {
        !self.sitting(position).is_empty()
    }

    fn planned(&self, position: &Key) -> Option<&PlannedPosition> {
        self.kit.positions.iter().find(|planned| Key::new(&planned.position) == *position)
    }

    fn place_of(&self, operation: &Key) -> Option<usize> {
        self.kit.operations.iter().position(|planned| Key::new(&planned.operation) == *operation)
    }

    fn has_gap(&self, kind: GapKind, subject: &str) -> bool {
        self.kit
            .gaps
            .iter()
            .any(|gap| gap.kind == kind && Key::new(&gap.subject) == Key::new(subject))
    }

    /// An operation that is called for is in the plan, or a gap says why not.
    fn wants_operation(&mut self, operation: &Key, by: &str) {
        if self.place_of(operation).is_none()
            && !self.has_gap(GapKind::OperationUnknown, operation.as_str())
        {
            self.find(
                operation.as_str(),
                format!("the operation, for {by}"),
                "neither it nor a gap",
            );
        }
    }

    /// The needs of every operation come before it.
    fn operations(&mut self) {
        for (index, planned) in self.kit.operations.iter().enumerate() {
            let key = Key::new(&planned.operation);
            let Some(row) = self.operation_row(&key) else {
                self.find(&planned.operation, "a row for this machine", "an operation without one");
                continue;
            };
            for need in &row.needs {
                let rows = self.lookup.operations(need);
                let for_others = !rows.is_empty() && self.operation_row(need).is_none();
                match self.place_of(need) {
                    Some(place) if place < index => {}
                    Some(_)
                        if self.kit.gaps.iter().any(|gap| gap.kind == GapKind::OperationCycle) => {}
                    Some(_) => self.find(need.as_str(), format!("it before {key}"), "it behind"),
                    None if for_others => {}
                    None => self.wants_operation(need, key.as_str()),
                }
            }
            let later = self.kit.operations[index..].iter().any(|o| o.phase == When::Strip);
            if planned.phase == When::After && later {
                self.find(
                    key.as_str(),
                    "it last, for it comes after the rest",
                    "it among the rest",
                );
            }
            let mut opened = row.opens.clone();
            for position in row.removes.iter().filter(|position| self.is_on_machine(position)) {
                opened.extend(self.position_row(position).map(|row| row.joint).unwrap_or_default());
            }
            for joint in &opened {
                if !self.kit.joints.iter().any(|opened| Key::new(opened) == *joint) {
                    self.find(
                        joint.as_str(),
                        format!("the joint among those opened, by {key}"),
                        "it is missing",
                    );
                }
            }
        }
    }

    /// Every position of every opened joint, and every one taken off, is accounted for.
    fn joints_and_removals(&mut self) {
        let mut touched: Vec<(Key, String)> = Vec::new();
        for joint in &self.kit.joints {
            let key = Key::new(joint);
            let in_joint = self.lookup.positions_in_joint(&key).into_owned();
            let holds = |position: &Key| {
                self.position_row(position).is_some_and(|row| row.joint.contains(&key))
            };
            touched.extend(
                in_joint
                    .into_iter()
                    .filter(holds)
                    .map(|position| (position, format!("the joint {joint}"))),
            );
        }
        for planned in &self.kit.operations {
            let row = self.operation_row(&Key::new(&planned.operation));
            let removes = row.map(|row| row.removes).unwrap_or_default();
            touched
                .extend(removes.into_iter().map(|position| (position, planned.operation.clone())));
        }
        for (position, by) in touched {
            if self.is_on_machine(&position) && self.planned(&position).is_none() {
                self.find(
                    position.as_str(),
                    format!("it accounted for, disturbed by {by}"),
                    "no word of it",
                );
            }
        }
    }

    /// Every renewed position has a part or a gap, its way in, and its quantity among lines and covers.
    fn renewed_positions(&mut self) {
        for planned in self.kit.positions.iter().filter(|planned| planned.action == Action::Renew) {
            let key = Key::new(&planned.position);
            let said = [GapKind::PartUnknown, GapKind::MeasureFirst]
                .iter()
                .any(|kind| self.has_gap(*kind, &planned.position));
            if planned.parts.is_empty() && !said {
                self.find(&planned.position, "a part, or a gap", "neither");
            }
            let way_in = self.position_row(&key).and_then(|row| row.reached_by);
            if let Some(operation) = way_in.filter(|operation| operation.as_str() != "-") {
                self.wants_operation(&operation, &planned.position);
            }
            let sum = |amounts: &mut dyn Iterator<Item = Decimal>| {
                amounts.fold(Decimal::ZERO, Decimal::saturating_add)
            };
            let covered = sum(&mut planned.covered.iter().map(|cover| cover.quantity));
            let spared = sum(&mut planned.parts.iter().map(|part| part.quantity - part.to_order));
            if !alike(covered, spared) {
                self.find(
                    &planned.position,
                    format!("{spared} covered"),
                    format!("{covered} covered"),
                );
            }
            for part in planned.parts.iter().filter(|part| !part.to_order.is_zero()) {
                let listed = self.kit.lines.iter().any(|line| {
                    same_number(&line.part, &part.part)
                        && line.unit == part.unit
                        && line.quantity >= part.to_order
                        && line.positions.contains(&planned.position)
                });
                if !listed {
                    self.find(
                        &planned.position,
                        format!("{} × {} on a line", part.to_order, part.part),
                        "no such line",
                    );
                }
            }
        }
        for planned in &self.kit.positions {
            let goes_back = matches!(planned.action, Action::Keep | Action::Inspect);
            let by_rule = goes_back || planned.role == Some(Role::SingleUse);
            if !by_rule || self.kit.reused.contains(&planned.position) {
                continue;
            }
            let action = match self.rule(&Key::new(&planned.position)) {
                Some(WhenDisturbed::Renew) => Action::Renew,
                Some(WhenDisturbed::Inspect) => Action::Inspect,
                Some(WhenDisturbed::Keep) => Action::Keep,
                None => continue,
            };
            if action != planned.action {
                self.find(
                    &planned.position,
                    format!("{action}, as its rule says"),
                    planned.action.to_string(),
                );
            }
        }
        for position in &self.kit.reused {
            if !self.ask.reuse.contains(&Key::new(position)) {
                self.find(position, "a word from the person that it is reused", "none");
            }
        }
    }

    /// What the tables say becomes of a disturbed position; `None` where that hangs on what its number became, on a
    /// reading, or on what carries it in a circle.
    fn rule(&self, position: &Key) -> Option<WhenDisturbed> {
        if !self.lookup.selections_at(position).is_empty() {
            return None;
        }
        let row = self.position_row(position);
        if let Some(rule) = row.as_ref().and_then(|row| row.when_disturbed) {
            return Some(rule);
        }
        let stretched = row.as_ref().and_then(|row| row.torque.as_ref()).is_some_and(|torque| {
            torque.stages().iter().any(|stage| matches!(stage, Stage::Angle { .. }))
        });
        let carrier = row.as_ref().and_then(|row| row.carried_by.clone());
        let carrier = carrier.and_then(|carrier| self.planned(&carrier));
        if carrier.is_some_and(|carrier| self.is_carried_in_a_circle(&Key::new(&carrier.position)))
        {
            return None;
        }
        let worn = stretched || carrier.is_some_and(|carrier| carrier.action == Action::Renew);
        let rules: Option<Vec<WhenDisturbed>> = self
            .sitting(position)
            .into_iter()
            .map(|part| {
                let Some(part) = part else { return Some(WhenDisturbed::Renew) };
                let row = self.lookup.part(&part)?;
                if row.status == Some(Status::Withdrawn) {
                    return Some(WhenDisturbed::Renew);
                }
                let of_part = row.single_use.map(|single| match single {
                    true => WhenDisturbed::Renew,
                    false => WhenDisturbed::Keep,
                });
                let of_type = || {
                    let rule = self.lookup.part_type(row.part_type.as_ref()?)?.when_disturbed?;
                    Some(if worn { WhenDisturbed::Renew } else { rule })
                };
                Some(of_part.or_else(of_type).unwrap_or(WhenDisturbed::Renew))
            })
            .collect();
        rules?.into_iter().max()
    }

    fn is_carried_in_a_circle(&self, position: &Key) -> bool {
        let mut seen = HashSet::new();
        let mut next = Some(position.clone());
        while let Some(position) = next {
            if !seen.insert(position.clone()) {
                return true;
            }
            next = self.position_row(&position).and_then(|row| row.carried_by);
        }
        false
    }

    /// A line holds what its positions still want, and no more unless sets or consumables are on it.
    fn lines(&mut self) {
        for line in &self.kit.lines {
            let mut single = Decimal::ZERO;
            let mut shared = Decimal::ZERO;
            for planned in &self.kit.positions {
                let parts = planned
                    .parts
                    .iter()
                    .filter(|part| same_number(&part.part, &line.part) && part.unit == line.unit);
                for part in parts {
                    if part.set {
                        shared = shared.max(part.to_order);
                    } else {
                        single = single.saturating_add(part.to_order);
                    }
                }
            }
            let wanted = single.saturating_add(shared);
            let mut causes = line.because.iter().filter(|reason| reason.from != Origin::Rule);
            let only_positions =
                causes.all(|reason| matches!(reason.from, Origin::Plan(Cause::Position(_))));
            let as_wanted = alike(line.quantity, wanted);
            if !as_wanted && (line.quantity < wanted || only_positions) {
                self.find(
                    &line.part,
                    format!("{wanted} {} for its positions", line.unit),
                    line.quantity.to_string(),
                );
            }
            if let Some(extra) = self.used_and_bought(line)
                && !alike(line.quantity, wanted.saturating_add(extra))
            {
                let all = wanted.saturating_add(extra);
                self.find(
                    &line.part,
                    format!("{all} {} in all", line.unit),
                    line.quantity.to_string(),
                );
            }
            for position in &line.positions {
                let wants =
                    self.kit.positions.iter().filter(|planned| planned.position == *position).any(
                        |planned| {
                            planned.parts.iter().any(|part| {
                                same_number(&part.part, &line.part)
                                    && part.unit == line.unit
                                    && !part.to_order.is_zero()
                            })
                        },
                    );
                if !wants {
                    self.find(
                        position,
                        format!("it to want {}, which is ordered for it", line.part),
                        "it does not",
                    );
                }
            }
            if line.quantity.is_zero() && !line.as_needed {
                self.find(&line.part, "a line with something on it", "a line of nothing");
            }
        }
        for planned in &self.kit.operations {
            let uses = self
                .operation_row(&Key::new(&planned.operation))
                .map(|row| row.uses)
                .unwrap_or_default();
            for used in uses {
                let listed = self.kit.lines.iter().any(|line| names(line, &used.part));
                if !listed {
                    self.find(
                        used.part.as_str(),
                        format!("it on a line, for {}", planned.operation),
                        "no such line",
                    );
                }
            }
        }
    }

    /// What operations use and jobs buy of exactly this number; `None` where other numbers may have become it, or
    /// it another, so that a simple sum says nothing.
    fn used_and_bought(&self, line: &Line) -> Option<Decimal> {
        let part = PartNumber::new(&line.part)?;
        if !line.replaces.is_empty() || !self.lookup.supersessions_of(&part).is_empty() {
            return None;
        }
        let unit = self.lookup.part(&part).and_then(|row| row.unit);
        let here = |quantity: Quantity| {
            let counted = unit.and_then(|unit| quantity.to(unit)).unwrap_or(quantity);
            (counted.unit == line.unit).then_some(counted.amount)
        };
        let used = self
            .kit
            .operations
            .iter()
            .filter_map(|planned| self.operation_row(&Key::new(&planned.operation)));
        let used = used
            .flat_map(|row| row.uses)
            .filter(|used| used.part == part)
            .filter_map(|used| used.quantity);
        let lines =
            self.kit.jobs.iter().flat_map(|job| self.lookup.job_lines(&Key::new(job)).into_owned());
        // Of the same set for the same assembly the larger amount counts.
        let mut bought: HashMap<Key, Quantity> = HashMap::new();
        for row in lines.filter(|row| {
            self.holds(row) && row.position.is_none() && row.part.part() == Some(&part)
        }) {
            let amount = row.quantity.unwrap_or(Quantity::ONE);
            let known = bought.entry(self.assembly_of(&row)).or_insert(amount);
            if amount.to(known.unit).is_some_and(|amount| amount.amount > known.amount) {
                *known = amount;
            }
        }
        Some(
            used.chain(bought.into_values())
                .filter_map(here)
                .fold(Decimal::ZERO, Decimal::saturating_add),
        )
    }

    /// What a part that goes to a position needs with it is in the plan too.
    fn companions(&mut self) {
        let mut wanted: Vec<(Need, String)> = Vec::new();
        for planned in self.kit.positions.iter().filter(|planned| planned.action == Action::Renew) {
            let position = Key::new(&planned.position);
            for part in &planned.parts {
                let chain: Vec<PartNumber> =
                    part.chain.iter().filter_map(|link| PartNumber::new(link)).collect();
                let target = self.target(&position);
                let target = chain.iter().position(|link| Some(link) == target.as_ref());
                if let Some(target) = target {
                    self.retrofit(&position, &chain[..=target], &mut wanted);
                }
                if chain.len() > 1 && target != Some(chain.len() - 1) {
                    self.retrofit(&position, &chain, &mut wanted);
                }
                for pair in part.chain.windows(2) {
                    self.supersession(&position, &pair[0], &pair[1], &mut wanted);
                }
            }
        }
        for (need, by) in wanted {
            self.wants(&need, &by);
        }
    }

    /// The part that the person, else the first line of a job, puts at a position.
    fn target(&self, position: &Key) -> Option<PartNumber> {
        let mut instead = self.ask.instead.iter();
        if let Some(instead) = instead.find(|instead| instead.position == *position) {
            return match &instead.change {
                Change::Fit { part, .. } => Some(part.clone()),
                _ => None,
            };
        }
        let mut lines =
            self.kit.jobs.iter().flat_map(|job| self.lookup.job_lines(&Key::new(job)).into_owned());
        let names = |line: &JobLine| {
            line.position.as_ref() == Some(position)
                && line.part != Fitted::Blank
                && self.holds(line)
        };
        lines.find(names)?.part.part().cloned()
    }

    /// What the rows at a position say of the last part of a chain: those for exactly that part, else those for the
    /// parts before it. Rows for parts that lead there by another way are the solver's to find.
    fn retrofit(&mut self, position: &Key, chain: &[PartNumber], wanted: &mut Vec<(Need, String)>) {
        let Some(part) = chain.last() else { return };
        let rows = self.lookup.retrofits_at(position).into_owned();
        let machine = self.machine_at(position);
        let applies = |row: &Retrofit| row.scope.applies(&machine);
        let exact = rows.iter().any(|row| row.part == *part && applies(row) != Applies::No);
        let speaking = |row: &Retrofit| {
            applies(row) == Applies::Yes
                && if exact { row.part == *part } else { chain.contains(&row.part) }
        };
        let refused = |row: &Retrofit| {
            row.verdict == Verdict::No
                && applies(row) == Applies::Yes
                && if exact { row.part == *part } else { self.may_become(&row.part, part) }
        };
        if rows.iter().any(|row| speaking(row) && row.verdict == Verdict::No) {
            if !self.has_gap(GapKind::DoesNotFit, position.as_str()) {
                self.find(position.as_str(), format!("a gap, because {part} does not fit"), "none");
            }
            return;
        }
        if rows.iter().any(refused) {
            return;
        }
        let speaking: Vec<Retrofit> = rows.iter().filter(|row| speaking(row)).cloned().collect();
        for row in speaking {
            let by = format!("{part} at {position}");
            for operation in &row.operations {
                if !self.log.iter().any(|entry| entry.operation.as_ref() == Some(operation)) {
                    self.wants_operation(operation, &by);
                }
            }
            wanted.extend(row.needs.into_iter().map(|need| (need, by.clone())));
        }
    }

    fn supersession(&self, position: &Key, old: &str, new: &str, wanted: &mut Vec<(Need, String)>) {
        let (Some(old), Some(new)) = (PartNumber::new(old), PartNumber::new(new)) else { return };
        let rows = self.lookup.supersessions_of(&old);
        let machine = self.machine_at(position);
        let mut rows =
            rows.iter().filter(|row| row.new == new && row.scope.applies(&machine) == Applies::Yes);
        // Where several rows lead the same way, which of them was followed is the solver's to say.
        if let (Some(row), None) = (rows.next(), rows.next()) {
            wanted
                .extend(row.needs.iter().map(|need| (need.clone(), format!("{old} became {new}"))));
        }
    }

    fn wants(&mut self, need: &Need, by: &str) {
        let position = &need.position;
        if self.has_gap(GapKind::Conflict, position.as_str()) {
            return;
        }
        let action = self.planned(position).map(|planned| planned.action);
        let kept = match &need.change {
            Change::Renew => action == Some(Action::Renew),
            Change::LeaveEmpty => action == Some(Action::LeaveOut) || !self.is_on_machine(position),
            Change::Fit { part, .. } => {
                let there = |known: &super::AlreadyThere| Key::new(&known.position) == *position;
                let chained = |planned: &PlannedPosition| {
                    planned.parts.iter().any(|p| {
                        p.chain.iter().any(|link| PartNumber::new(link).as_ref() == Some(part))
                    })
                };
                // An alike part that was there first stays, and a part that sits there already is not renewed for it.
                action == Some(Action::Renew) && self.planned(position).is_some_and(chained)
                    || self.kit.already_there.iter().any(there)
                    || self.planned(position).is_some_and(|planned| {
                        planned
                            .parts
                            .iter()
                            .filter_map(|p| PartNumber::new(&p.part))
                            .any(|end| self.may_become(part, &end))
                    })
            }
        };
        if !kept {
            let found = action.map_or("no word of it".to_owned(), |action| action.to_string());
            self.find(position.as_str(), format!("{need}, for {by}"), found);
        }
    }

    /// Some chain of supersessions, of whatever scope, leads from one number to the other.
    fn may_become(&self, from: &PartNumber, to: &PartNumber) -> bool {
        let mut seen = HashSet::from([from.clone()]);
        let mut next = vec![from.clone()];
        while let Some(part) = next.pop() {
            if part == *to {
                return true;
            }
            for row in self.lookup.supersessions_of(&part).iter() {
                if seen.insert(row.new.clone()) {
                    next.push(row.new.clone());
                }
            }
        }
        false
    }

    /// The line is one of those that the job has on this machine with these options.
    fn holds(&self, line: &JobLine) -> bool {
        line.option.as_ref().is_none_or(|option| option.met(&self.ask.options))
            && line.scope.applies(&self.machine_of(line)) == Applies::Yes
    }

    fn machine_of(&self, line: &JobLine) -> Machine {
        match &line.position {
            Some(position) => self.machine_at(position),
            None => self.machine_in(&self.assembly_of(line)),
        }
    }

    /// The assembly that a set is bought for, else that of the job.
    fn assembly_of(&self, line: &JobLine) -> Key {
        let rows = self.lookup.jobs(&line.job);
        let of_job = || rows.first().and_then(|row| row.assembly.clone());
        line.assembly.clone().or_else(of_job).unwrap_or_else(|| Key::new(""))
    }

    /// Every line of the jobs that holds has left its mark.
    fn job_lines(&mut self) {
        for job in &self.kit.jobs {
            for line in self.lookup.job_lines(&Key::new(job)).into_owned() {
                if !self.holds(&line) {
                    continue;
                }
                if let Some(operation) = &line.operation {
                    self.wants_operation(operation, job);
                }
                match (&line.position, line.part.part()) {
                    (Some(position), _) => {
                        let action = self.planned(position).map(|planned| planned.action);
                        if !matches!(action, Some(Action::Renew | Action::LeaveOut)) {
                            self.find(
                                position.as_str(),
                                format!("it changed, for {job}"),
                                "it is not",
                            );
                        }
                    }
                    (None, Some(part)) if !self.kit.lines.iter().any(|line| names(line, part)) => {
                        self.find(
                            part.as_str(),
                            format!("the set on a line, for {job}"),
                            "no such line",
                        );
                    }
                    _ => {}
                }
            }
        }
    }

    /// Nothing is on the list without a reason that leads back to the ask.
    fn reasons(&mut self) {
        let mut rooted: HashSet<Cause> = HashSet::new();
        let mut reasons: HashMap<Cause, &[Reason]> = HashMap::new();
        for planned in &self.kit.operations {
            reasons.insert(Cause::Operation(Key::new(&planned.operation)), &planned.because);
        }
        for planned in &self.kit.positions {
            reasons.insert(Cause::Position(Key::new(&planned.position)), &planned.because);
        }
        let called = |reason: &Reason, rooted: &HashSet<Cause>| match &reason.from {
            Origin::Ask => true,
            // Something must have disturbed the position before a rule speaks.
            Origin::Rule => false,
            Origin::Plan(cause) => rooted.contains(cause),
        };
        loop {
            let grown: Vec<Cause> = reasons
                .iter()
                .filter(|(cause, because)| {
                    !rooted.contains(cause) && because.iter().any(|reason| called(reason, &rooted))
                })
                .map(|(cause, _)| cause.clone())
                .collect();
            if grown.is_empty() {
                break;
            }
            rooted.extend(grown);
        }
        let mut loose: Vec<String> = reasons
            .keys()
            .filter(|cause| !rooted.contains(cause))
            .map(|cause| match cause {
                Cause::Position(key) | Cause::Operation(key) => key.to_string(),
            })
            .collect();
        loose.extend(
            self.kit
                .lines
                .iter()
                .filter(|line| !line.because.iter().any(|reason| called(reason, &rooted)))
                .map(|line| line.part.clone()),
        );
        loose.sort();
        for subject in loose {
            self.find(&subject, "a reason that leads back to what was asked", "none");
        }
    }
}

/// Two sums are the same but for the last figures: an amount that was converted to another unit may have no end.
fn alike(a: Decimal, b: Decimal) -> bool {
    let apart = a.saturating_sub(b).abs();
    apart <= Decimal::new(1, 12) || apart <= a.max(b) / Decimal::from(10_u64.pow(18))
}

/// Two spellings of one part number.
fn same_number(a: &str, b: &str) -> bool {
    a == b || PartNumber::new(a).is_some_and(|a| PartNumber::new(b) == Some(a))
}

/// The line is for this part, or for what it became.
fn names(line: &Line, part: &PartNumber) -> bool {
    line.replaces
        .iter()
        .chain([&line.part])
        .any(|number| PartNumber::new(number).as_ref() == Some(part))
}
