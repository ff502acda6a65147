//! Puts the kit together once the rounds are over: operations in order, positions, lines and gaps.

use super::access::strip_order;
use super::action::Action;
use super::answer::{
    ArrivesFitted, Cautioned, Cover, IfWorn, Kit, Limit, Line, PlannedOperation, PlannedPart,
    PlannedPosition, Role,
};
use super::ask::{self, Ask, Refusal, Unknown};
use super::bench::Bench;
use super::comes_with::{Covered, Remainder, Shortfall, cover};
use super::gap::{Gap, GapKind, OpenGap, Subject};
use super::lines::{Source, add_up, earlier};
use super::outcome::Outcome;
use super::reason::{Cause, Reason};
use super::rounds::{Rounds, discontinued};
use super::supersession::{Final, raise_doubts};
use crate::catalog::{Applies, Fitted, Job, Lookup, Operation, Part, Status, rows_for};
use crate::measure::{Key, PartNumber, Quantity, Size, Unit, Wear, plain};
use rust_decimal::Decimal;
use std::collections::HashMap;

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
        if rows_for(&rows, &bench.machine).0 == Applies::No {
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
        let operations =
            strip_order(self.bench, &self.rounds.operations_in_plan(), &mut self.rounds.gaps);
        let joints = self.opened_joints(&operations);
        for joint in &joints {
            self.judge_joint(joint);
        }
        let sets = self.sets();
        let provided: Vec<_> =
            sets.iter().map(|source| (source.part.clone(), source.quantity)).collect();
        let Covered { remainders, arrivals, shortfalls, beside, cut_short } =
            cover(lookup, &self.outcomes, &provided, &self.rounds.own);
        let mut lines = self.lines(sets, &remainders, &operations);
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
        for operation in &operations {
            let step = self.bench.step(operation);
            let Some(row) = step.row() else { continue };
            add_new(&mut tools, &row.tools);
            add_new(&mut cautions, &row.cautions);
            minutes = minutes.saturating_add(row.minutes.unwrap_or_default());
            planned.push(PlannedOperation {
                operation: lookup.spell_operation(operation).to_string(),
                name: row.name.clone(),
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
        for (position, by, contained) in beside {
            let (by, contained) = (lookup.spell_part(&by), lookup.spell_part(&contained));
            doubts.push(format!(
                "{position}: the job itself asks for what goes there, so it is ordered, though {contained} also arrives in {by}; leave one out if they are the same"
            ));
        }
        for part in cut_short {
            let part = lookup.spell_part(&part);
            doubts.push(format!(
                "{part} holds more than anybody could unpack, so not all of it was counted as arriving; look for rows of the table contains that stand there twice"
            ));
        }
        doubts.extend(shortfalls.iter().map(|shortfall| doubt(lookup, shortfall)));
        let gaps = self.rounds.gaps.into_list(|subject| spell(lookup, subject));
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

    fn opened_joints(&self, operations: &[Key]) -> Vec<Key> {
        let mut joints = Vec::new();
        for row in self.rows(operations) {
            add_new(&mut joints, &row.opens);
        }
        joints
    }

    /// Raises a gap for an opened joint in which nothing seals: a forgotten gasket hides among its screws.
    fn judge_joint(&mut self, joint: &Key) {
        let bench = self.bench;
        if bench.lookup.joint(joint).is_some_and(|row| row.dry == Some(true)) {
            return;
        }
        let mut held = 0;
        let mut left_out: Option<Key> = None;
        for position in bench.lookup.positions_in_joint(joint).iter() {
            let place = bench.place(position);
            if !place.is_on_machine() || !place.row().is_some_and(|row| row.joint.contains(joint)) {
                continue;
            }
            held += 1;
            let target = self.rounds.target(position).and_then(|target| target.part.as_ref());
            let current = place.current.parts.iter().filter_map(|sitting| sitting.part.as_ref());
            if current.chain(target).any(|part| bench.seals(part)) {
                let empty =
                    self.rounds.target(position).is_some_and(|target| target.part.is_none());
                if !empty {
                    return;
                }
                left_out = Some(position.clone());
            }
        }
        if let Some(position) = left_out {
            // The rules count what sits there now, so this is no gap; but it will not be there when the joint is closed.
            self.rounds.doubt(format!(
                "{joint} is opened, and the only thing that seals it is left out ({position}); make sure that it needs none"
            ));
            return;
        }
        self.rounds.gaps.raise(GapKind::JointUnsealed, Subject::Joint(joint.clone()), || {
            let holds = match held {
                0 => nothing_in(bench, joint),
                1 => "the one position in it does not seal".to_owned(),
                many => format!("none of the {many} positions in it seals"),
            };
            format!("it is opened, but {holds}: add its gasket, O-ring or seal to positions, or write yes under dry in the table joints")
        });
    }

    /// Resolves the sets to buy into what is ordered for them.
    fn sets(&mut self) -> Vec<Source> {
        let mut sources = Vec::new();
        for set in std::mem::take(&mut self.rounds.sets) {
            for (end, quantity) in self.ordered_as(&set.part, set.quantity) {
                let mut reasons = vec![set.reason.clone()];
                reasons.extend(became(&end, self.bench.lookup));
                let part = end.part;
                sources.push(Source {
                    replaces: earlier(&set.part, &part),
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
    fn ordered_as(&mut self, part: &PartNumber, quantity: Quantity) -> Vec<(Final, Quantity)> {
        let lookup = self.bench.lookup;
        let resolved = self.bench.resolve(part);
        raise_doubts(self.bench, &resolved, &mut self.rounds.gaps);
        for need in &resolved.needs {
            let row = lookup.place(need.at);
            self.rounds.doubt(format!(
                "{part} became {}, which needs {} ({row}); it belongs to no position here, so that was not followed",
                need.new, need.need
            ));
        }
        let mut finals = Vec::new();
        for end in resolved.finals {
            let row = lookup.part(&end.part);
            match &row {
                None => self.rounds.gaps.raise(
                    GapKind::PartUnknown,
                    Subject::Part(end.part.clone()),
                    || {
                        "it is to be ordered, but is not in the table parts; add a row for it"
                            .to_owned()
                    },
                ),
                Some(row) if row.status == Some(Status::Discontinued) => {
                    let subject = Subject::Part(end.part.clone());
                    self.rounds
                        .gaps
                        .raise(GapKind::Discontinued, subject, || discontinued(row, lookup));
                }
                Some(_) => {}
            }
            let amount = Quantity::new(quantity.amount.saturating_mul(end.factor), quantity.unit);
            let unit = row.and_then(|row| row.unit);
            // An amount of nothing is one that is needed to an extent that nobody knows, so any unit will do.
            let counted = match unit {
                Some(unit) if amount.amount.is_zero() => Quantity::new(Decimal::ZERO, unit),
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
        } else if self.rounds.called.contains(position) {
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
                replaces: start.map_or_else(Vec::new, |start| earlier(start, &planned.end.part)),
            });
        }
        for (operation, row) in operations.iter().zip(self.rows(operations)) {
            for used in &row.uses {
                let reason = Reason::from(
                    Cause::Operation(operation.clone()),
                    format!("{operation} uses it"),
                    self.bench.lookup.place(row.at),
                );
                let amount = used.quantity.unwrap_or(Quantity::new(Decimal::ZERO, Unit::Each));
                for (end, quantity) in self.ordered_as(&used.part, amount) {
                    let mut reasons = vec![reason.clone()];
                    reasons.extend(became(&end, self.bench.lookup));
                    let part = end.part;
                    sources.push(Source {
                        replaces: earlier(&used.part, &part),
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
            for (by, quantity) in &remainder.covered {
                let by = lookup.spell_part(by).to_string();
                match covered.iter_mut().find(|cover| cover.by == by) {
                    Some(cover) => cover.quantity = cover.quantity.saturating_add(*quantity),
                    None => covered.push(Cover { by, quantity: *quantity }),
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
            let inspected = outcome.action == Action::Inspect;
            // A renewed part does not renew what it sits in.
            let looked_at = inspected || outcome.action == Action::Renew;
            positions.push(PlannedPosition {
                position: place.position.to_string(),
                assembly: row.map_or_else(String::new, |row| row.assembly.clone()),
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
            let quantity = sitting.quantity.unwrap_or(match outcome.place.quantity() {
                crate::catalog::PlaceQuantity::Amount(quantity) => quantity,
                crate::catalog::PlaceQuantity::Set => Quantity::ONE,
            });
            for end in self.bench.resolve(part).finals {
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
        let (_, rows) = rows_for(&seats, &self.bench.machine);
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

/// The most positions that a message names.
const MOST_NAMED: usize = 4;

/// Says why no position is in a joint on this machine: the log emptied it, or its rows are for other machines.
fn nothing_in(bench: &Bench, joint: &Key) -> String {
    let (mut emptied, mut elsewhere) = (Vec::new(), Vec::new());
    for position in bench.lookup.positions_in_joint(joint).iter() {
        let place = bench.place(position);
        if place.is_on_machine() {
            continue;
        }
        if let Some(date) = bench.last_logged(position) {
            let when = if date.is_blank() { "by the log".to_owned() } else { format!("on {date}") };
            emptied.push(format!("{position} was taken out for good {when}"));
        } else if let Some(row) = place.rows.iter().find(|row| row.joint.contains(joint)) {
            let row_place = bench.lookup.place(row.at);
            elsewhere.push(match row.part {
                Fitted::Nothing => format!("{position} is left empty ({row_place})"),
                _ => format!("{position} is for {} ({row_place})", row.scope),
            });
        }
    }
    let mut known: Vec<String> = emptied.into_iter().chain(elsewhere).collect();
    if known.is_empty() {
        return "no position is in it".to_owned();
    }
    let more = known.len().saturating_sub(MOST_NAMED);
    known.truncate(MOST_NAMED);
    if more > 0 {
        known.push(format!("and {more} more"));
    }
    format!(
        "no position is in it on this machine: {}; if that is right, give the operation a row for this machine that does not open it; else",
        known.join(", ")
    )
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

fn doubt(lookup: &dyn Lookup, shortfall: &Shortfall) -> String {
    let (by, contained) =
        (lookup.spell_part(&shortfall.by), lookup.spell_part(&shortfall.contained));
    let missing = plain(shortfall.counted - shortfall.arriving);
    format!(
        "{} of {contained} were counted as arriving inside {by}, but only {} arrive with what is ordered: order {missing} more, or correct the rows of {by} in the table contains",
        plain(shortfall.counted),
        plain(shortfall.arriving)
    )
}

/// The rows by which a number became the one that is ordered.
fn became(end: &Final, lookup: &dyn Lookup) -> Vec<Reason> {
    let steps =
        end.chain.windows(2).filter_map(|pair| Some((&pair[0].part, &pair[1].part, pair[1].by?)));
    let said = steps.map(|(old, new, row)| {
        let (old, new) = (lookup.spell_part(old), lookup.spell_part(new));
        Reason::rule(format!("{old} became {new}"), lookup.place(row))
    });
    said.collect()
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

fn spell(lookup: &dyn Lookup, subject: &Subject) -> String {
    match subject {
        Subject::Job(job) => job.to_string(),
        Subject::Position(position) => lookup.spell_position(position).to_string(),
        Subject::Operation(operation) => lookup.spell_operation(operation).to_string(),
        Subject::Joint(joint) => lookup.spell_joint(joint).to_string(),
        Subject::Part(part) => lookup.spell_part(part).to_string(),
    }
}
