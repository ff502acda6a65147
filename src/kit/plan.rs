//! Puts the kit together once the rounds are over: operations in order, positions, lines and gaps.

use super::access::strip_order;
use super::action::{Action, judge_rows};
use super::answer::{
    AlreadyThere, ArrivesFitted, Cautioned, Choice, Cover, IfWorn, Kit, Limit, Line, Located,
    MeasureFirst, PlannedOperation, PlannedPart, PlannedPosition, Role, When,
};
use super::ask::{self, Ask, Refusal, Unknown};
use super::bench::Bench;
use super::comes_with::{Covered, Remainder, cover};
use super::gap::{Gap, GapKind, OpenGap, Subject, Why};
use super::lines::{Source, add_up, earlier};
use super::outcome::Outcome;
use super::reason::{Cause, Reason};
use super::rounds::{Rounds, SetToBuy};
use super::selection::Chosen;
use super::start::machine_of_job;
use super::supersession::{Final, raise_doubts};
use super::unread::{self, Looked};
use super::words::became;
use crate::catalog::{Applies, Job, Lookup, Machine, Operation, Part, options_asked, rows_for};
use crate::measure::{Key, PartNumber, Quantity, Size, Unit, Wear};
use rust_decimal::Decimal;
use std::collections::HashMap;
use std::rc::Rc;

/// Works out the kit for an ask.
///
/// # Errors
/// The ask itself cannot be answered: no such machine, job or position, or a job for other machines.
pub fn work_out(ask: &Ask, lookup: &dyn Lookup) -> Result<Kit, Refusal> {
    let machine = find_machine(ask, lookup)?;
    let bench = Bench::new(machine, lookup);
    let (jobs, insisted) = find_jobs(ask, &bench)?;
    if jobs.is_empty() && ask.renew.is_empty() && ask.instead.is_empty() && ask.owed.is_empty() {
        let jobs = lookup.job_keys().iter().map(ToString::to_string).collect();
        return Err(Refusal::NothingAsked { jobs });
    }
    for position in ask
        .renew
        .iter()
        .chain(&ask.reuse)
        .chain(ask.instead.iter().map(|instead| &instead.position))
    {
        if bench.place(position).rows.is_empty() && !lookup.log_names(position) {
            return Err(Refusal::NoPosition(Unknown::new(position, &lookup.position_keys())));
        }
    }
    refuse_options(ask, &bench)?;
    let mut rounds = Rounds::start(&bench, ask, &jobs);
    let outcomes = rounds.run();
    refuse_reuse(ask, &outcomes, &rounds)?;
    Ok(Finisher { bench: &bench, ask, jobs: &jobs, rounds, outcomes }.finish(insisted))
}

/// The rounds of an ask by themselves, for whoever wants to know what they wanted where.
///
/// # Errors
/// As [`work_out`].
pub(super) fn with_rounds<T>(
    ask: &Ask,
    lookup: &dyn Lookup,
    see: impl FnOnce(&Rounds, &Bench) -> T,
) -> Result<T, Refusal> {
    let bench = Bench::new(find_machine(ask, lookup)?, lookup);
    let (jobs, _) = find_jobs(ask, &bench)?;
    let mut rounds = Rounds::start(&bench, ask, &jobs);
    rounds.run();
    Ok(see(&rounds, &bench))
}

fn find_machine(ask: &Ask, lookup: &dyn Lookup) -> Result<crate::catalog::Machine, Refusal> {
    let key = ask.machine.clone().unwrap_or_else(|| Key::new(""));
    ask::find_machine(&key, lookup).map(|machine| machine.into_owned())
}

type Jobs = Vec<(Key, Vec<Job>)>;

fn find_jobs(ask: &Ask, bench: &Bench) -> Result<(Jobs, Vec<String>), Refusal> {
    let mut jobs: Jobs = Vec::new();
    let mut insisted = Vec::new();
    for job in &ask.jobs {
        let rows = bench.lookup.jobs(job).into_owned();
        let Some(first) = rows.first() else {
            return Err(Refusal::NoJob(Unknown::new(job, &bench.lookup.job_keys())));
        };
        let key = first.job.clone();
        if jobs.iter().any(|(known, _)| *known == key) {
            continue;
        }
        if rows_for(&rows, machine_of_job(bench, &rows)).0 == Applies::No {
            if !ask.insist {
                let limits: Vec<String> = rows.iter().map(|row| row.scope.to_string()).collect();
                return Err(Refusal::NotForMachine {
                    job: key.to_string(),
                    machine: bench.machine.machine.to_string(),
                    limits: limits.join(", or "),
                });
            }
            insisted.push(key.to_string());
        }
        jobs.push((key, rows));
    }
    Ok((jobs, insisted))
}

/// An option that no line of the jobs asks about is a slip, unless the person insists.
fn refuse_options(ask: &Ask, bench: &Bench) -> Result<(), Refusal> {
    let told = ask.told();
    let asked: Vec<Key> =
        told.jobs.iter().flat_map(|job| options_asked(job, bench.lookup)).collect();
    match told.options.iter().find(|option| !asked.contains(option)) {
        Some(option) if !ask.insist => Err(Refusal::NoOption(Unknown::new(option, &asked))),
        _ => Ok(()),
    }
}

/// Only a part that goes by rule can go back in; what the job itself changes cannot.
fn refuse_reuse(ask: &Ask, outcomes: &[Outcome], rounds: &Rounds) -> Result<(), Refusal> {
    for position in &ask.reuse {
        let outcome = outcomes.iter().find(|outcome| outcome.place.position == *position);
        let why = match outcome {
            None => "nothing in this plan disturbs it",
            Some(outcome) if outcome.reused => continue,
            Some(_) if rounds.own.contains(position) => "the job itself, or --renew, changes it",
            Some(_) if rounds.called.contains(position) => {
                "another part of this kit needs it changed"
            }
            Some(_) => "it is not renewed in this plan anyway",
        };
        return Err(Refusal::NotReusable { position: position.to_string(), why: why.to_owned() });
    }
    Ok(())
}

/// What is still to be added up when the rounds are over.
struct Finisher<'a> {
    bench: &'a Bench<'a>,
    ask: &'a Ask,
    jobs: &'a Jobs,
    rounds: Rounds<'a>,
    outcomes: Vec<Outcome>,
}

impl Finisher<'_> {
    fn finish(mut self, insisted: Vec<String>) -> Kit {
        let lookup = self.bench.lookup;
        let (operations, after) =
            strip_order(self.bench, &self.rounds.operations_in_plan(), &mut self.rounds.gaps);
        let first_after = operations.len() - after;
        let joints = self.opened_joints(&operations);
        let rows = self.rows(&operations);
        self.rounds.judge_joints(&joints, &rows, &self.outcomes);
        let sets = self.sets();
        let provided: Vec<_> =
            sets.iter().map(|source| (source.part.clone(), source.quantity)).collect();
        let target =
            |position: &Key| self.rounds.target(position).and_then(|target| target.part.as_ref());
        let Covered { remainders, arrivals, cut_short } =
            cover(lookup, &self.outcomes, &provided, &target);
        self.judge_statuses(&remainders);
        let mut lines = self.lines(sets, &remainders, &operations);
        self.judge_unread(&joints, &provided);
        let mut positions = self.positions(&remainders);
        spell_as_ordered(&mut positions, &lines);
        let arrives_fitted = arrivals
            .iter()
            .map(|arrival| ArrivesFitted {
                position: lookup.spell_position(&arrival.position).to_string(),
                part: lookup.spell_part(&arrival.part).to_string(),
                quantity: arrival.quantity.amount,
                unit: arrival.quantity.unit,
                by: lookup.spell_part(&arrival.by).to_string(),
            })
            .collect();
        let mut tools: Vec<Key> = Vec::new();
        let mut cautions: Vec<Key> = Vec::new();
        let mut minutes = Decimal::ZERO;
        let mut planned = Vec::with_capacity(operations.len());
        for (index, operation) in operations.iter().enumerate() {
            let step = self.bench.step(operation);
            let Some(row) = step.row() else { continue };
            add_new(&mut tools, &row.tools);
            add_new(&mut cautions, &row.cautions);
            minutes = minutes.saturating_add(row.minutes.unwrap_or_default());
            planned.push(PlannedOperation {
                operation: lookup.spell_operation(operation).to_string(),
                name: row.name.clone(),
                phase: if index < first_after { When::Strip } else { When::After },
                minutes: row.minutes,
                because: self.rounds.operation_reasons.remove(operation).unwrap_or_default(),
                opens: row
                    .opens
                    .iter()
                    .map(|joint| lookup.spell_joint(joint).to_string())
                    .collect(),
                removes: row
                    .removes
                    .iter()
                    .map(|position| lookup.spell_position(position).to_string())
                    .collect(),
            });
        }
        let caution_rows =
            cautions.iter().map(|key| (key, lookup.caution(key))).collect::<Vec<_>>();
        let caution_texts = caution_rows
            .iter()
            .map(|(key, row)| Cautioned {
                caution: row.as_ref().map_or(*key, |row| &row.caution).to_string(),
                text: row.as_ref().map_or_else(String::new, |row| row.text.clone()),
            })
            .collect::<Vec<_>>();
        let reused = self.outcomes.iter().filter(|outcome| outcome.reused);
        let reused = reused.map(|outcome| outcome.place.position.to_string()).collect();
        let known = &self.rounds.known_options;
        let mut known_options: Vec<String> = known.iter().map(ToString::to_string).collect();
        known_options.sort();
        let instead = self
            .ask
            .instead
            .iter()
            .map(|instead| lookup.spell_position(&instead.position).to_string());
        let instead = instead.collect();
        let unknown_options = self.ask.options.iter().filter(|option| !known.contains(option));
        let unknown_options = unknown_options.map(ToString::to_string).collect();
        let mut doubts = std::mem::take(&mut self.rounds.doubts);
        for part in cut_short {
            let part = lookup.spell_part(&part);
            doubts.push(format!(
                "{part} holds more than anybody could unpack, so not all of it was counted as arriving; look for rows of the table contains that stand there twice"
            ));
        }
        let already_there = self.already_there();
        let measure_first = self.measure_first();
        let gaps = self.rounds.gaps.told(self.bench);
        for line in &mut lines {
            line.open = gaps
                .iter()
                .filter(|gap| is_open_at(gap, line))
                .map(|gap| OpenGap { kind: gap.kind, subject: gap.subject.clone() })
                .collect();
        }
        Kit {
            machine: self.bench.machine.machine.to_string(),
            jobs: self.jobs.iter().map(|(job, _)| job.to_string()).collect(),
            rest_of: self
                .ask
                .rest_of
                .iter()
                .flat_map(|whole| &whole.jobs)
                .map(ToString::to_string)
                .collect(),
            options: {
                let mut options = Vec::new();
                add_new(&mut options, &self.ask.options);
                options.iter().map(ToString::to_string).collect()
            },
            complete: gaps.is_empty(),
            operations: planned,
            joints: joints.iter().map(|joint| lookup.spell_joint(joint).to_string()).collect(),
            positions,
            arrives_fitted,
            lines,
            gaps,
            already_there,
            measure_first,
            findings: Vec::new(),
            unread: unread_cells(lookup),
            cautions: caution_texts.iter().map(|caution| caution.caution.clone()).collect(),
            tools: tools.iter().map(ToString::to_string).collect(),
            minutes,
            caution_texts,
            reused,
            instead,
            known_options,
            unknown_options,
            insisted,
            doubts,
        }
    }

    fn rows(&self, operations: &[Key]) -> Vec<Operation> {
        operations
            .iter()
            .filter_map(|operation| self.bench.step(operation).row().cloned())
            .collect()
    }

    /// The opened joints, in the order in which they are opened.
    fn opened_joints(&self, operations: &[Key]) -> Vec<Key> {
        let mut joints = Vec::new();
        for row in self.rows(operations) {
            add_new(&mut joints, &row.opens);
            for position in &row.removes {
                let place = self.bench.place(position);
                if let Some(row) = place.row().filter(|_| place.is_on_machine()) {
                    add_new(&mut joints, &row.joint);
                }
            }
        }
        joints
    }

    fn already_there(&self) -> Vec<AlreadyThere> {
        let lookup = self.bench.lookup;
        let there = self.rounds.already_there.iter();
        // What became a target after all is no longer left as it is.
        let there = there.filter(|there| self.rounds.target(&there.position).is_none());
        let there = there.map(|there| AlreadyThere {
            position: lookup.spell_position(&there.position).to_string(),
            part: lookup.spell_part(&there.part).to_string(),
            because: there.because.clone(),
        });
        there.collect()
    }

    fn measure_first(&self) -> Vec<MeasureFirst> {
        let lookup = self.bench.lookup;
        let mut all: Vec<MeasureFirst> = Vec::new();
        for outcome in self.outcomes.iter().filter(|outcome| outcome.action == Action::Renew) {
            let place = &outcome.place;
            if self.rounds.target(&place.position).is_some() {
                continue;
            }
            let Chosen::Open(rows) = self.bench.chosen(place) else { continue };
            let start = all.len();
            for row in rows {
                let choice = Choice {
                    part: lookup.spell_part(&row.part).to_string(),
                    least: row.least.as_ref().map(ToString::to_string),
                    most: row.most.as_ref().map(ToString::to_string),
                };
                let feature = row.feature.to_string();
                match all[start..].iter_mut().find(|known| known.feature == feature) {
                    Some(known) => known.choices.push(choice),
                    None => all.push(MeasureFirst {
                        position: place.position.to_string(),
                        feature,
                        choices: vec![choice],
                    }),
                }
            }
        }
        all
    }

    /// Raises what keeps the final parts at the positions from being ordered or fitted.
    fn judge_statuses(&mut self, remainders: &[Remainder]) {
        for remainder in remainders {
            let planned = &self.outcomes[remainder.outcome].parts[remainder.part];
            let part = planned.end.part.clone();
            self.rounds.judge_status(&part, !remainder.amount.amount.is_zero());
        }
    }

    /// Raises the rows that cannot be read and that this kit could hang on.
    fn judge_unread(&mut self, joints: &[Key], sets: &[(PartNumber, Quantity)]) {
        let lookup = self.bench.lookup;
        if lookup.unread().is_empty() {
            return;
        }
        let rounds = &self.rounds;
        let mut looked = Looked {
            machine: Some(self.bench.machine.machine.clone()),
            jobs: self.ask.told().jobs.iter().cloned().collect(),
            operations: rounds.operation_reasons.keys().cloned().collect(),
            opened: joints.iter().cloned().collect(),
            chains: rounds.ordered_chains.clone(),
            ..Looked::default()
        };
        let mut provided: Vec<PartNumber> = sets.iter().map(|(part, _)| part.clone()).collect();
        for outcome in &self.outcomes {
            let position = &outcome.place.position;
            looked.disturbed.insert(position.clone());
            if outcome.action == Action::Renew {
                looked.renewed.insert(position.clone());
            }
            let current = outcome.place.current.parts.iter();
            looked.current.extend(current.filter_map(|sitting| sitting.part.clone()));
            for planned in &outcome.parts {
                looked.chains.extend(planned.end.chain.iter().map(|link| link.part.clone()));
                provided.push(planned.end.part.clone());
            }
            looked.current.extend(outcome.judged_by.iter().cloned());
            for part in &outcome.judged_by {
                let row = lookup.part(part);
                looked.types.extend(row.and_then(|row| row.part_type.clone()));
            }
        }
        while let Some(part) = provided.pop() {
            if looked.provided.insert(part.clone()) {
                let contents = lookup.contents_of(&part);
                provided.extend(contents.iter().map(|row| row.contained.clone()));
            }
        }
        unread::judge(lookup, &looked, &mut self.rounds.gaps);
    }

    /// Resolves the sets to buy into what is ordered for them.
    fn sets(&mut self) -> Vec<Source> {
        let mut sources = Vec::new();
        for SetToBuy { part: start, quantity, machine, reasons: asked, note, .. } in
            std::mem::take(&mut self.rounds.sets)
        {
            for (end, quantity) in self.ordered_as(&start, quantity, &machine) {
                let mut reasons = asked.clone();
                reasons.extend(became(&end, self.bench.lookup));
                let notes = notes_of(&end, &note);
                let part = end.part;
                sources.push(Source {
                    replaces: earlier(&start, &part),
                    notes,
                    part,
                    quantity,
                    role: Role::New,
                    position: None,
                    operation: None,
                    set: false,
                    as_needed: false,
                    reasons,
                });
            }
        }
        sources
    }

    /// Resolves a part that belongs to no position, and raises what keeps it from being ordered.
    fn ordered_as(
        &mut self,
        part: &PartNumber,
        quantity: Quantity,
        machine: &Rc<Machine>,
    ) -> Vec<(Final, Quantity)> {
        let lookup = self.bench.lookup;
        let resolved = self.bench.chains(part, machine);
        raise_doubts(&resolved, machine, &mut self.rounds.gaps);
        let mut finals = Vec::new();
        for end in resolved.finals.iter().cloned() {
            for link in &end.chain {
                if self.rounds.ordered_chains.insert(link.part.clone()) {
                    judge_rows(self.bench, &link.part, &mut self.rounds.gaps);
                }
            }
            let row = lookup.part(&end.part);
            if row.is_none() {
                let subject = Subject::Part(end.part.clone());
                self.rounds.gaps.raise(GapKind::PartUnknown, subject, Why::OrderedNotInParts);
            }
            self.rounds.judge_status(&end.part, true);
            let amount = Quantity::new(quantity.amount.saturating_mul(end.factor), quantity.unit);
            let unit = row.and_then(|row| row.unit);
            // An amount of nothing is one that is needed to an extent that nobody knows, so any unit will do.
            let counted = match unit {
                _ if amount.amount.is_zero() => {
                    Quantity::new(Decimal::ZERO, unit.unwrap_or(Unit::Each))
                }
                Some(unit) => amount.to(unit).unwrap_or(amount),
                None => amount,
            };
            finals.push((end, counted));
        }
        finals
    }

    fn role(&self, position: &Key) -> Role {
        if self.rounds.own.contains(position) {
            Role::New
        } else if self.rounds.called.contains(position) || self.rounds.is_carried(position) {
            Role::Companion
        } else {
            Role::SingleUse
        }
    }

    fn lines(
        &mut self,
        sets: Vec<Source>,
        remainders: &[Remainder],
        operations: &[Key],
    ) -> Vec<Line> {
        let mut sources = sets;
        for remainder in remainders.iter().filter(|remainder| !remainder.amount.amount.is_zero()) {
            let outcome = &self.outcomes[remainder.outcome];
            let planned = &outcome.parts[remainder.part];
            let position = &outcome.place.position;
            let start = planned.end.chain.first().map(|link| &link.part);
            let mut reasons = vec![Reason::from(
                Cause::Position(position.clone()),
                format!("it goes to {position}, which is renewed"),
                outcome.place.row().map_or_else(String::new, |row| self.bench.lookup.place(row.at)),
            )];
            reasons.extend(became(&planned.end, self.bench.lookup));
            sources.push(Source {
                part: planned.end.part.clone(),
                quantity: remainder.amount,
                role: self.role(position),
                position: Some(position.clone()),
                operation: None,
                set: planned.set,
                as_needed: false,
                reasons,
                notes: notes_of(&planned.end, ""),
                replaces: start.map_or_else(Vec::new, |start| earlier(start, &planned.end.part)),
            });
        }
        for (operation, row) in operations.iter().zip(self.rows(operations)) {
            let machine = Rc::clone(&self.bench.step(operation).machine);
            for used in &row.uses {
                let reason = Reason::from(
                    Cause::Operation(operation.clone()),
                    format!("{operation} uses it"),
                    self.bench.lookup.place(row.at),
                );
                let amount = used.quantity.unwrap_or(Quantity::new(Decimal::ZERO, Unit::Each));
                for (end, quantity) in self.ordered_as(&used.part, amount, &machine) {
                    let mut reasons = vec![reason.clone()];
                    reasons.extend(became(&end, self.bench.lookup));
                    let notes = notes_of(&end, "");
                    let part = end.part;
                    sources.push(Source {
                        replaces: earlier(&used.part, &part),
                        notes,
                        part,
                        quantity,
                        role: Role::Consumable,
                        position: None,
                        operation: Some(operation.clone()),
                        set: false,
                        as_needed: used.quantity.is_none(),
                        reasons,
                    });
                }
            }
        }
        add_up(self.bench.lookup, sources)
    }

    fn positions(&mut self, remainders: &[Remainder]) -> Vec<PlannedPosition> {
        let lookup = self.bench.lookup;
        let mut covers: HashMap<usize, Vec<Cover>> = HashMap::new();
        let mut to_order: HashMap<(usize, usize), Decimal> = HashMap::new();
        for remainder in remainders {
            to_order.insert((remainder.outcome, remainder.part), remainder.amount.amount);
            let covered = covers.entry(remainder.outcome).or_default();
            for given in &remainder.covered {
                let by = lookup.spell_part(&given.by).to_string();
                let part = lookup.spell_part(&given.what).to_string();
                let quantity = given.amount;
                match covered.iter_mut().find(|cover| cover.by == by && cover.part == part) {
                    Some(cover) => cover.quantity = cover.quantity.saturating_add(quantity),
                    None => covered.push(Cover { by, part, quantity }),
                }
            }
        }
        let outcomes = std::mem::take(&mut self.outcomes);
        let mut positions = Vec::with_capacity(outcomes.len());
        for (index, outcome) in outcomes.iter().enumerate() {
            let place = &outcome.place;
            let row = place.row();
            let current: Vec<String> = place
                .current
                .parts
                .iter()
                .map(|sitting| {
                    sitting
                        .part
                        .as_ref()
                        .map_or_else(String::new, |part| lookup.spell_part(part).to_string())
                })
                .collect();
            let mut because =
                self.rounds.position_reasons.remove(&place.position).unwrap_or_default();
            because.extend(outcome.rule.clone());
            let mut notes = self.rounds.line_notes.remove(&place.position).unwrap_or_default();
            for note in &outcome.notes {
                if !notes.contains(note) {
                    notes.push(note.clone());
                }
            }
            let inspected = outcome.action == Action::Inspect;
            // A renewed part does not renew what it sits in.
            let looked_at = inspected || outcome.action == Action::Renew;
            positions.push(PlannedPosition {
                position: place.position.to_string(),
                assembly: place.rows.first().map_or_else(String::new, |row| row.assembly.clone()),
                name: row.map_or_else(String::new, |row| row.name.clone()),
                action: outcome.action,
                role: (outcome.action == Action::Renew).then(|| self.role(&place.position)),
                current: place.is_on_machine().then(|| current.join(";")),
                parts: outcome
                    .parts
                    .iter()
                    .enumerate()
                    .map(|(part, planned)| PlannedPart {
                        part: lookup.spell_part(&planned.end.part).to_string(),
                        quantity: planned.quantity.amount,
                        unit: planned.quantity.unit,
                        chain: planned
                            .end
                            .chain
                            .iter()
                            .map(|link| lookup.spell_part(&link.part).to_string())
                            .collect(),
                        to_order: to_order.get(&(index, part)).copied().unwrap_or_default(),
                        set: planned.set,
                    })
                    .collect(),
                covered: covers.remove(&index).unwrap_or_default(),
                because,
                notes,
                if_worn: if inspected { self.if_worn(outcome) } else { Vec::new() },
                limits: if looked_at { self.limits(&place.position) } else { Vec::new() },
            });
        }
        self.outcomes = outcomes;
        positions
    }

    /// Says what to have ready for an inspected position. Looked at only for that, so it raises no gaps.
    fn if_worn(&self, outcome: &Outcome) -> Vec<IfWorn> {
        let lookup = self.bench.lookup;
        let mut ready = Vec::new();
        for sitting in &outcome.place.current.parts {
            let Some(part) = &sitting.part else { continue };
            let quantity = sitting.amount;
            for end in &self.bench.chains(part, &outcome.place.machine).finals {
                let row = lookup.part(&end.part);
                let amount =
                    Quantity::new(quantity.amount.saturating_mul(end.factor), quantity.unit);
                let amount = row.as_ref().and_then(|row| amount.to(row.unit?)).unwrap_or(amount);
                ready.push(IfWorn {
                    part: lookup.spell_part(&end.part).to_string(),
                    name: row.as_ref().map_or_else(String::new, |row| described(row)),
                    quantity: amount.amount,
                    unit: amount.unit,
                });
            }
        }
        ready
    }

    fn limits(&self, position: &Key) -> Vec<Limit> {
        let seats = self.bench.lookup.seats_at(position);
        let readings = self.bench.lookup.measurements_at(&self.bench.machine.machine, position);
        let (_, rows) = rows_for(&seats, &self.bench.machine_at(position));
        rows.into_iter()
            .map(|seat| {
                let of_feature = readings.iter().filter(|reading| reading.feature == seat.feature);
                let last = of_feature.max_by_key(|reading| reading.date.clone());
                let interval = |size: Option<&Size>| size.and_then(|size| size.interval_mm().ok());
                let wear = last.and_then(|reading| {
                    let (least, most) =
                        (interval(seat.least.as_deref()), interval(seat.most.as_deref()));
                    let reading = reading.value.interval_mm().ok()?;
                    Wear::judge(
                        reading,
                        interval(seat.size.as_deref()),
                        least.map(|least| least.low),
                        most.map(|most| most.high),
                    )
                });
                Limit {
                    feature: seat.feature.to_string(),
                    size: seat.size.as_ref().map(ToString::to_string),
                    least: seat.least.as_ref().map(ToString::to_string),
                    most: seat.most.as_ref().map(ToString::to_string),
                    last_reading: last
                        .map(|reading| format!("{} on {}", reading.value, reading.date)),
                    state: wear.map(|wear| wear.state),
                    left_mm: wear.map(|wear| wear.left),
                }
            })
            .collect()
    }
}

/// The gap leaves open what goes where this line goes, or what its number became.
fn is_open_at(gap: &Gap, line: &Line) -> bool {
    match gap.kind {
        GapKind::OperationUnknown | GapKind::OperationCycle | GapKind::JointUnsealed => false,
        _ => {
            let numbers = std::iter::once(&line.part).chain(&line.replaces);
            line.positions.contains(&gap.subject)
                || numbers.into_iter().any(|number| *number == gap.subject)
        }
    }
}

/// A number that `parts` lacks has no one spelling, so its positions take that of its line.
fn spell_as_ordered(positions: &mut [PlannedPosition], lines: &[Line]) {
    let spelled: HashMap<PartNumber, &str> = lines
        .iter()
        .filter_map(|line| Some((PartNumber::new(&line.part)?, line.part.as_str())))
        .collect();
    for part in positions.iter_mut().flat_map(|position| &mut position.parts) {
        if let Some(spelling) = PartNumber::new(&part.part).and_then(|number| spelled.get(&number))
        {
            part.part = (*spelling).to_owned();
        }
    }
}

/// The notes of what bought a part and of the rows by which it became what it is.
fn notes_of(end: &Final, own: &str) -> Vec<String> {
    let mut notes: Vec<String> = vec![own.to_owned()];
    notes.extend(end.rows().map(|row| row.note.clone()));
    notes.retain(|note| !note.is_empty());
    notes
}

/// The rows of the catalog that cannot be read.
fn unread_cells(lookup: &dyn Lookup) -> Vec<Located> {
    let rows = lookup.unread();
    let cells = rows.iter().flat_map(|row| {
        row.faults.iter().map(|fault| Located {
            file: lookup.file(row.at).into_owned(),
            line: row.at.line,
            column: fault.column.clone(),
            code: fault.code.clone(),
            message: fault.message.clone(),
        })
    });
    cells.collect()
}

fn add_new(list: &mut Vec<Key>, more: &[Key]) {
    for key in more {
        if !list.contains(key) {
            list.push(key.clone());
        }
    }
}

/// What a part is, in few words: its name, else its type, and its size.
fn described(part: &Part) -> String {
    let name = if part.name.is_empty() {
        part.part_type.as_ref().map_or("", Key::as_str)
    } else {
        &part.name
    };
    if part.size.is_empty() { name.to_owned() } else { format!("{name}, {}", part.size) }
}
