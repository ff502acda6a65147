//! Writes a job down as done: the log, what it took off the shelf, and the order lines that were waiting for it.
//!
//! Whatever looks wrong is questioned before anything is written. On the person's word it is recorded all the same.

use super::fitted::{Done, LeftOver, Otherwise, done, without};
use crate::buy::needs::needs_of;
use crate::buy::orders::{Placed, placed, spoken_for};
use crate::catalog::{Condition, Fitted as Cell, LogEntry, Lookup, options_asked};
use crate::kit::{
    Action, Ask, Bench, Cause, Kit, NoKit, Origin, PlannedOperation, PlannedPosition, Unknown,
    When, checked, each_alone, find_machine, work_out,
};
use crate::measure::{Date, Key, PartNumber, Quantity, Unit, plain};
use crate::tables::{Edit, FileEdits};
use rust_decimal::Decimal;
use std::collections::HashSet;
use std::fmt;

/// A job as a person tells it.
#[derive(Debug, Clone)]
pub struct Recording {
    /// What was done: as the kit was asked for.
    pub ask: Ask,
    /// The day.
    pub day: Date,
    /// The hours that the machine had run.
    pub hours: Option<Decimal>,
    /// Positions of the kit that were left as they were, and operations that were not carried out.
    pub except: Vec<Key>,
    /// Positions that were looked at and left in; `all` is every one that the kit has looked at.
    pub inspected: Vec<Key>,
    /// Operations that come once the machine is together again, and that were done.
    pub done: Vec<Key>,
    /// What was found.
    pub found: String,
    /// How much of a part the work used up, where the kit does not say or says otherwise.
    pub used: Vec<(PartNumber, Quantity)>,
    /// The bin that takes what is left over of the sets.
    pub rest_to: Option<String>,
    /// Order lines of the job that are still to come stay open.
    pub leave_waiting: bool,
    /// Record it although it looks wrong.
    pub accept: bool,
    /// Today.
    pub today: Date,
}

/// Which files take new rows.
#[derive(Debug, Clone)]
pub struct Files {
    /// The file of the table worklog.
    pub worklog: String,
    /// The file of the table stock.
    pub stock: String,
}

/// A job written down.
#[derive(Debug, Clone)]
pub struct Record {
    /// The kit that was done.
    pub kit: Kit,
    /// The rows for the log.
    pub rows: Vec<LogRow>,
    /// What was fitted, what it took off the shelf, what is left over.
    pub done: Done,
    /// The order lines that are closed: the order, the number, what was still to come of it.
    pub closed: Vec<(String, PartNumber, Quantity)>,
    /// The order lines of the job that stay open.
    pub still_open: Vec<(String, PartNumber, Quantity)>,
    /// Operations that retrofits call for once, and that are now logged as done.
    pub done_once: Vec<String>,
    /// The positions that are left for later, by job: each job is half done until the log names them.
    pub left_out: Vec<(String, Vec<String>)>,
    /// Those of them for which an order was placed, so that the shelf keeps what is left of them.
    pub kept: Vec<String>,
    /// The operations that were not carried out.
    pub skipped: Vec<String>,
    /// The positions that the kit has looked at, and that nobody says were.
    pub not_looked_at: Vec<String>,
    /// What looked wrong and was accepted.
    pub accepted: Vec<String>,
    /// What is to be written.
    pub edits: Vec<FileEdits>,
}

/// A row for the log; the day, the machine and the hours are the same in all.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct LogRow {
    /// The position.
    pub position: Option<Key>,
    /// The part; `-` where what was there was taken out.
    pub part: String,
    /// How many.
    pub quantity: Option<Quantity>,
    /// The operation.
    pub operation: Option<Key>,
    /// The job.
    pub job: Option<Key>,
    /// The positions of the job that are left for later.
    pub left_out: Vec<Key>,
    /// The options that the job asks about: whether each held.
    pub options: Vec<Condition>,
    /// What was found.
    pub finding: String,
    /// Anything else.
    pub note: String,
}

/// Why nothing was recorded.
#[derive(Debug)]
pub enum NotRecorded {
    /// There is no kit to record.
    NoKit(NoKit),
    /// What was left out is no position or operation of the kit.
    NotInKit(Unknown),
    /// What was done is no operation that comes once the machine is together again.
    NotAfterwards(Unknown),
    /// What was looked at is no position that the kit has looked at.
    NotInspected(Unknown),
    /// It looks wrong; each with what is odd about it.
    Questioned(Vec<String>),
}

impl fmt::Display for NotRecorded {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            NotRecorded::NoKit(why) => why.fmt(f),
            NotRecorded::NotInKit(unknown) => {
                write!(
                    f,
                    "'{}' is no position that this kit renews or inspects, and no operation of it",
                    unknown.name
                )?;
                match &unknown.meant {
                    Some(meant) => write!(f, "; did you mean '{meant}'?"),
                    None => write!(f, "; there are: {}", unknown.known.join(", ")),
                }
            }
            NotRecorded::NotInspected(unknown) | NotRecorded::NotAfterwards(unknown) => {
                let what = match self {
                    NotRecorded::NotInspected(_) => "no position that this kit inspects",
                    _ => "no operation of this kit for when the machine is together again",
                };
                write!(f, "'{}' is {what}", unknown.name)?;
                match &unknown.meant {
                    Some(meant) => write!(f, "; did you mean '{meant}'?"),
                    None if unknown.known.is_empty() => write!(f, "; there is none"),
                    None => write!(f, "; there are: {}", unknown.known.join(", ")),
                }
            }
            NotRecorded::Questioned(questions) => {
                write!(f, "nothing was recorded, for something looks wrong:")?;
                for question in questions {
                    write!(f, "\n  {question}")?;
                }
                write!(f, "\nCorrect it, or say --force to record it as it is.")
            }
        }
    }
}

impl std::error::Error for NotRecorded {}

/// Works out what a job as done means for the tables. Nothing is written here.
///
/// # Errors
/// There is no such kit, or something looks wrong and was not accepted.
pub fn record(told: &Recording, files: &Files, lookup: &dyn Lookup) -> Result<Record, NotRecorded> {
    let kit = checked(&told.ask, lookup).map_err(NotRecorded::NoKit)?;
    let key = told.ask.machine.clone().unwrap_or_else(|| Key::new(&kit.machine));
    let machine =
        find_machine(&key, lookup).map_err(|refusal| NotRecorded::NoKit(refusal.into()))?;
    let bench = Bench::new(machine.into_owned(), lookup);
    let (except, mut skipped) = left_out(told, &kit)?;
    skipped.extend(wanted_by_none_but(&except, &kit, &bench));
    skipped.extend(still_to_come(told, &kit)?);
    let inspected = inspected(told, &kit)?;
    let jobs = jobs(told, &kit, lookup);
    let otherwise = Otherwise {
        except: except.clone(),
        skipped: skipped.clone(),
        jobs: jobs.clone(),
        instead: told.ask.instead.clone(),
        used: told.used.clone(),
    };
    let done = done(&kit, &otherwise, &told.day, &bench);
    let rows = Rows {
        told,
        kit: &kit,
        jobs: &jobs,
        except: &except,
        skipped: &skipped,
        inspected: &inspected,
        lookup,
    };
    let rows = rows.write(&done);
    let (closing, open) = waiting_lines(told, &kit, &jobs, &except, &bench);
    let doubts = Doubts {
        told,
        kit: &kit,
        rows: &rows,
        skipped: &skipped,
        done: &done,
        open: &closing,
        bench: &bench,
    };
    let questions = doubts.raise();
    if !questions.is_empty() && !told.accept {
        return Err(NotRecorded::Questioned(questions));
    }
    let mut edits = Vec::new();
    log(told, &kit, &rows, &files.worklog, &mut edits);
    shelve(told, &done, &files.stock, lookup, &mut edits);
    for line in &closing {
        let edit = Edit::Set {
            line: line.row.at.line,
            column: "closed".to_owned(),
            text: "yes".to_owned(),
        };
        add_edit(&mut edits, "orders", &lookup.file(line.row.at), edit);
    }
    let told_of = |line: &Placed| {
        (line.row.order.to_string(), lookup.spell_part(&line.row.part), line.outstanding())
    };
    let done_once = done_once(&kit, &skipped, &bench);
    let left_out = rows.iter().filter(|row| !row.left_out.is_empty()).map(|row| {
        let job = row.job.as_ref().map_or_else(String::new, ToString::to_string);
        (job, row.left_out.iter().map(ToString::to_string).collect())
    });
    let not_done =
        kit.operations.iter().filter(|operation| skipped.contains(&Key::new(&operation.operation)));
    let ordered = spoken_for(lookup);
    let ordered_for = |job: &Key| {
        ordered
            .iter()
            .any(|spoken| spoken.machine == bench.machine.machine && spoken.jobs.contains(job))
    };
    Ok(Record {
        kept: jobs.iter().filter(|job| ordered_for(job)).map(ToString::to_string).collect(),
        left_out: left_out.collect(),
        skipped: not_done.map(|operation| operation.operation.clone()).collect(),
        not_looked_at: to_look_at(&kit)
            .filter(|position| !inspected.contains(position) && !except.contains(position))
            .map(|position| position.to_string())
            .collect(),
        rows,
        done,
        closed: closing.iter().map(told_of).collect(),
        still_open: open.iter().map(told_of).collect(),
        done_once,
        accepted: questions,
        edits,
        kit,
    })
}

/// The jobs that are written down, as their own table spells them.
fn jobs(told: &Recording, kit: &Kit, lookup: &dyn Lookup) -> Vec<Key> {
    let Some(whole) = &told.ask.rest_of else {
        return kit.jobs.iter().map(|job| Key::new(job)).collect();
    };
    let spelled =
        |job: &Key| lookup.jobs(job).first().map_or_else(|| job.clone(), |row| row.job.clone());
    whole.jobs.iter().map(spelled).collect()
}

/// Sorts what was left out into positions and operations of the kit.
fn left_out(told: &Recording, kit: &Kit) -> Result<(HashSet<Key>, HashSet<Key>), NotRecorded> {
    let positions: HashSet<Key> = kit
        .positions
        .iter()
        .filter(|planned| planned.action != Action::Keep)
        .map(|planned| Key::new(&planned.position))
        .collect();
    let operations: HashSet<Key> =
        kit.operations.iter().map(|operation| Key::new(&operation.operation)).collect();
    let (mut except, mut skipped) = (HashSet::new(), HashSet::new());
    for name in &told.except {
        if positions.contains(name) {
            except.insert(name.clone());
        } else if operations.contains(name) {
            skipped.insert(name.clone());
        } else {
            let changed = kit.positions.iter().filter(|planned| planned.action != Action::Keep);
            let known: Vec<&String> = changed
                .map(|planned| &planned.position)
                .chain(kit.operations.iter().map(|operation| &operation.operation))
                .collect();
            return Err(NotRecorded::NotInKit(Unknown::new(name, &known)));
        }
    }
    Ok((except, skipped))
}

/// Gives the operations that nothing but positions which were left as they were asked for, directly or through one
/// another, and that free nothing which was changed.
fn wanted_by_none_but(except: &HashSet<Key>, kit: &Kit, bench: &Bench) -> HashSet<Key> {
    let changed: Vec<Key> = kit
        .positions
        .iter()
        .filter(|planned| matches!(planned.action, Action::Renew | Action::LeaveOut))
        .map(|planned| Key::new(&planned.position))
        .filter(|position| !except.contains(position))
        .collect();
    let mut unwanted: HashSet<Key> = HashSet::new();
    loop {
        let before = unwanted.len();
        for operation in &kit.operations {
            let mut causes =
                operation.because.iter().filter(|why| why.from != Origin::Rule).peekable();
            let only_they = causes.peek().is_some()
                && causes.all(|why| match &why.from {
                    Origin::Plan(Cause::Position(position)) => except.contains(position),
                    Origin::Plan(Cause::Operation(other)) => unwanted.contains(other),
                    Origin::Ask | Origin::Rule => false,
                });
            if only_they && !changed.iter().any(|position| frees(operation, position, bench)) {
                unwanted.insert(Key::new(&operation.operation));
            }
        }
        if unwanted.len() == before {
            return unwanted;
        }
    }
}

/// An operation opens a joint of a position, takes it off or gets at it.
fn frees(operation: &PlannedOperation, position: &Key, bench: &Bench) -> bool {
    let place = bench.place(position);
    let Some(row) = place.row() else { return false };
    operation.removes.iter().any(|removed| Key::new(removed) == *position)
        || operation.opens.iter().any(|opened| row.joint.contains(&Key::new(opened)))
        || row.reached_by.as_ref() == Some(&Key::new(&operation.operation))
}

/// Gives the operations that come once the machine is together again, and of which nobody says that they were done.
fn still_to_come(told: &Recording, kit: &Kit) -> Result<HashSet<Key>, NotRecorded> {
    let after = kit.operations.iter().filter(|operation| operation.phase == When::After);
    let after: Vec<Key> = after.map(|operation| Key::new(&operation.operation)).collect();
    if let Some(stranger) = told.done.iter().find(|name| !after.contains(name)) {
        return Err(NotRecorded::NotAfterwards(Unknown::new(stranger, &after)));
    }
    Ok(after.into_iter().filter(|operation| !told.done.contains(operation)).collect())
}

fn to_look_at(kit: &Kit) -> impl Iterator<Item = Key> {
    let looked_at = |planned: &&PlannedPosition| planned.action == Action::Inspect;
    kit.positions.iter().filter(looked_at).map(|planned| Key::new(&planned.position))
}

/// Finds the positions of the kit that a person says they looked at.
fn inspected(told: &Recording, kit: &Kit) -> Result<HashSet<Key>, NotRecorded> {
    let known: Vec<Key> = to_look_at(kit).collect();
    if told.inspected.iter().any(|name| *name == Key::new("all") && !known.contains(name)) {
        return Ok(known.into_iter().collect());
    }
    match told.inspected.iter().find(|name| !known.contains(name)) {
        Some(stranger) => Err(NotRecorded::NotInspected(Unknown::new(stranger, &known))),
        None => Ok(told.inspected.iter().cloned().collect()),
    }
}

/// The operations that a retrofit at a position of the kit calls for, and which the log will name from now on.
fn done_once(kit: &Kit, skipped: &HashSet<Key>, bench: &Bench) -> Vec<String> {
    let positions = || kit.positions.iter().map(|planned| Key::new(&planned.position));
    let once: HashSet<Key> = positions()
        .flat_map(|position| bench.lookup.retrofits_at(&position).into_owned())
        .flat_map(|row| row.operations)
        .collect();
    let of_kit = kit.operations.iter().map(|operation| Key::new(&operation.operation));
    let new = of_kit.filter(|operation| {
        !skipped.contains(operation) && !bench.is_done(operation) && once.contains(operation)
    });
    new.map(|operation| operation.to_string()).collect()
}

/// The rows for the log in the making.
struct Rows<'a> {
    told: &'a Recording,
    kit: &'a Kit,
    jobs: &'a [Key],
    except: &'a HashSet<Key>,
    skipped: &'a HashSet<Key>,
    inspected: &'a HashSet<Key>,
    lookup: &'a dyn Lookup,
}

impl Rows<'_> {
    fn write(&self, done: &Done) -> Vec<LogRow> {
        let alone = self.single_kits();
        let mut rows: Vec<LogRow> = Vec::new();
        let mut left: Vec<(Option<Key>, Key)> = Vec::new();
        for operation in &self.kit.operations {
            let key = Key::new(&operation.operation);
            if self.skipped.contains(&key) {
                continue;
            }
            let calls = |kit: &Kit| {
                kit.operations.iter().any(|known| known.operation == operation.operation)
            };
            rows.push(LogRow {
                operation: Some(key),
                job: self.job(&alone, calls),
                ..LogRow::default()
            });
        }
        for planned in &self.kit.positions {
            let position = Key::new(&planned.position);
            let calls = |kit: &Kit| {
                let same = |known: &PlannedPosition| {
                    known.position == planned.position && known.action == planned.action
                };
                kit.positions.iter().any(same)
            };
            let row = LogRow {
                position: Some(position.clone()),
                job: self.job(&alone, calls),
                ..LogRow::default()
            };
            if self.except.contains(&position) {
                left.push((row.job, position));
                continue;
            }
            match planned.action {
                Action::Renew => {
                    let here: Vec<_> =
                        done.fitted.iter().filter(|fitted| fitted.position == position).collect();
                    rows.extend(here.iter().map(|fitted| LogRow {
                        part: fitted.part.to_string(),
                        quantity: fitted.quantity.map(rounded),
                        note: fitted.note.clone(),
                        ..row.clone()
                    }));
                    if here.is_empty() {
                        // A blank part says nothing of what sits there; the day and the work are worth keeping.
                        rows.push(LogRow {
                            note: "renewed; its number was not known".to_owned(),
                            ..row
                        });
                    }
                }
                Action::LeaveOut => rows.push(LogRow { part: "-".to_owned(), ..row }),
                // What stood here made way for what arrives fitted here.
                _ if done
                    .fitted
                    .iter()
                    .any(|fitted| fitted.arrived && fitted.position == position) => {}
                Action::Inspect if self.inspected.contains(&position) => {
                    rows.push(LogRow { finding: "inspected and left in".to_owned(), ..row })
                }
                Action::Keep if self.kit.reused.contains(&planned.position) => {
                    rows.push(LogRow { finding: "single-use, and used again".to_owned(), ..row });
                }
                Action::Inspect | Action::Keep => {}
            }
        }
        for fitted in done.fitted.iter().filter(|fitted| fitted.arrived) {
            let position = Some(fitted.position.clone());
            let arrives = |kit: &Kit| {
                kit.arrives_fitted.iter().any(|a| Key::new(&a.position) == fitted.position)
            };
            rows.push(LogRow {
                position,
                part: fitted.part.to_string(),
                quantity: fitted.quantity.map(rounded),
                job: self.job(&alone, arrives),
                note: fitted.note.clone(),
                ..LogRow::default()
            });
        }
        // A job of which nothing is left to write is written all the same, so that the log names it.
        for job in self.jobs {
            if !rows.iter().any(|row| row.job.as_ref() == Some(job)) {
                rows.push(LogRow { job: Some(job.clone()), ..LogRow::default() });
            }
            let owed = left
                .iter()
                .filter(|(of, _)| of.as_ref() == Some(job))
                .map(|(_, position)| position.clone());
            if let Some(row) = rows.iter_mut().find(|row| row.job.as_ref() == Some(job)) {
                row.left_out.extend(owed);
                row.options = self.options(job);
            }
        }
        if !self.told.found.is_empty() {
            match rows.iter_mut().find(|row| row.finding.is_empty()) {
                Some(row) => row.finding.clone_from(&self.told.found),
                None => rows.push(LogRow { finding: self.told.found.clone(), ..LogRow::default() }),
            }
        }
        rows
    }

    /// The options that the job asks about, as they held. In what is left of a job of which the log does not say how it
    /// was begun, none that is named means that nobody knows.
    fn options(&self, job: &Key) -> Vec<Condition> {
        let told = self.told.ask.told();
        let held = told.options_of(job);
        let asked = options_asked(job, self.lookup);
        let is_rest = self.told.ask.rest_of.is_some();
        let known = !is_rest
            || told.begun.iter().any(|begun| begun.job == *job)
            || asked.iter().any(|name| held.contains(name));
        let as_held = |name: Key| Condition { holds: held.contains(&name), name };
        if known { asked.into_iter().map(as_held).collect() } else { Vec::new() }
    }

    /// The kit of each job by itself, so that each row can be written down for the job that called for it.
    fn single_kits(&self) -> Vec<(Key, Kit)> {
        let alone = each_alone(&self.told.ask, self.lookup);
        alone
            .into_iter()
            .filter_map(|(job, ask)| Some((job, work_out(&ask, self.lookup).ok()?)))
            .collect()
    }

    fn job(&self, alone: &[(Key, Kit)], calls: impl Fn(&Kit) -> bool) -> Option<Key> {
        let caller = alone.iter().find(|(_, kit)| calls(kit)).map(|(job, _)| job.clone());
        caller.or_else(|| self.jobs.first().cloned())
    }
}

/// The order lines of these jobs that are still to come: those to close, and those that stay open.
fn waiting_lines(
    told: &Recording,
    kit: &Kit,
    jobs: &[Key],
    except: &HashSet<Key>,
    bench: &Bench,
) -> (Vec<Placed>, Vec<Placed>) {
    let kept: HashSet<Key> = kit
        .positions
        .iter()
        .map(|planned| Key::new(&planned.position))
        .filter(|key| !except.contains(key))
        .collect();
    let later = without(kit, &kept, &HashSet::new());
    let needs = needs_of(&later, bench, &mut Vec::new());
    let is_renewed = |planned: &&PlannedPosition| planned.action == Action::Renew;
    let renewed: HashSet<Key> = kit
        .positions
        .iter()
        .filter(is_renewed)
        .map(|planned| Key::new(&planned.position))
        .collect();
    let wanted_later = |part: &PartNumber| {
        needs.iter().any(|need| {
            !need.positions.is_empty() && need.accepts.iter().any(|known| known.part == *part)
        })
    };
    placed(bench.lookup)
        .into_iter()
        .filter(|line| line.is_open() && line.row.machine.as_ref() == Some(&bench.machine.machine))
        .filter(|line| match &line.row.job {
            Some(job) => jobs.contains(job),
            None => {
                !line.row.renew.is_empty()
                    && line.row.renew.iter().all(|position| renewed.contains(position))
            }
        })
        .partition(|line| !told.leave_waiting && !wanted_later(&line.row.part))
}

/// What looks wrong.
struct Doubts<'a> {
    told: &'a Recording,
    kit: &'a Kit,
    rows: &'a [LogRow],
    skipped: &'a HashSet<Key>,
    done: &'a Done,
    open: &'a [Placed],
    bench: &'a Bench<'a>,
}

impl Doubts<'_> {
    fn raise(&self) -> Vec<String> {
        let log = self.bench.lookup.log_of(&self.bench.machine.machine);
        let mut questions = Vec::new();
        self.calendar(&mut questions);
        let twice = self.twice(&log, &mut questions);
        self.positions(&log, &twice, &mut questions);
        self.hours(&log, &mut questions);
        self.parcels(&mut questions);
        self.behind(&mut questions);
        self.used(&mut questions);
        questions
    }

    /// What only an operation that was not carried out opens or takes off cannot have been reached.
    fn behind(&self, questions: &mut Vec<String>) {
        if self.skipped.is_empty() {
            return;
        }
        let fitted = self
            .rows
            .iter()
            .filter(|row| !row.part.is_empty())
            .filter_map(|row| row.position.as_ref());
        let mut seen: HashSet<&Key> = HashSet::new();
        for position in fitted.filter(|position| seen.insert(position)) {
            let (not_done, carried_out): (Vec<_>, Vec<_>) = self
                .kit
                .operations
                .iter()
                .filter(|operation| frees(operation, position, self.bench))
                .partition(|operation| self.skipped.contains(&Key::new(&operation.operation)));
            if let (Some(operation), true) = (not_done.first(), carried_out.is_empty()) {
                questions.push(format!(
                    "{position} is renewed here, but {}, which frees it, was not carried out; say --except {position}, too?",
                    operation.operation
                ));
            }
        }
    }

    fn place(&self, entry: &LogEntry) -> String {
        self.bench.lookup.place(entry.at)
    }

    /// What was used can only come off the shelf if the tables know the part, in its own kind of unit.
    fn used(&self, questions: &mut Vec<String>) {
        for (part, quantity) in &self.told.used {
            match self.bench.lookup.part(part) {
                None => questions.push(format!(
                    "--used {part}: the table parts has no such number; is it right?"
                )),
                Some(row) => {
                    let unit = row.unit.unwrap_or(Unit::Each);
                    if quantity.to(unit).is_none() {
                        questions.push(format!(
                            "--used {part}={quantity}: the part is counted in {unit}, so the shelf would stay as it is; give the amount in that"
                        ));
                    }
                }
            }
        }
    }

    fn calendar(&self, questions: &mut Vec<String>) {
        let day = &self.told.day;
        if *day > self.told.today {
            questions.push(format!(
                "{day} is still to come (today is {}); is the date right?",
                self.told.today
            ));
        }
        let bought = &self.bench.machine.bought;
        if !bought.is_blank() && day.as_str() < bought.as_str() {
            questions.push(format!(
                "{day} is before {} was bought ({bought}); is the date right?",
                self.bench.machine.machine
            ));
        }
        // Work done before its order does not count as what the order was for: its parts would stay kept, and lacking.
        let machine = &self.bench.machine.machine;
        let jobs: HashSet<&Key> = self.rows.iter().filter_map(|row| row.job.as_ref()).collect();
        let is_for = |job: &Key| jobs.contains(job);
        let orders = self.bench.lookup.order_lines();
        let mut later = orders.iter().filter(|row| {
            row.machine.as_ref() == Some(machine)
                && row.closed != Some(true)
                && row.date.as_str() > day.as_str()
                && (row.job.as_ref().is_some_and(is_for) || row.jobs.iter().any(is_for))
        });
        if let Some(row) = later.next() {
            questions.push(format!(
                "{day} is before order {} was placed for it ({}, {}), so the order would go on waiting for this work; is the date right?",
                row.order,
                row.date,
                self.bench.lookup.place(row.at)
            ));
        }
    }

    /// The same job on the same day: probably told twice.
    fn twice(&self, log: &[LogEntry], questions: &mut Vec<String>) -> Vec<Key> {
        let mut twice = Vec::new();
        for job in self.rows.iter().filter_map(|row| row.job.as_ref()) {
            let same = |entry: &&LogEntry| {
                entry.job.as_ref() == Some(job) && entry.date.as_str() == self.told.day.as_str()
            };
            if let Some(entry) = log.iter().find(same)
                && !twice.contains(job)
            {
                questions.push(format!(
                    "the log names {job} on {} already ({}); is this the same work told again? Its parts would be counted twice",
                    self.told.day,
                    self.place(entry)
                ));
                twice.push(job.clone());
            }
        }
        twice
    }

    /// Rows that would count beside the new ones, or instead of them.
    fn positions(&self, log: &[LogEntry], twice: &[Key], questions: &mut Vec<String>) {
        let day = self.told.day.as_str();
        let mut seen: HashSet<&Key> = HashSet::new();
        for row in self.rows.iter().filter(|row| !row.part.is_empty()) {
            let Some(position) = &row.position else { continue };
            if !seen.insert(position) {
                continue;
            }
            let of_position = |entry: &&LogEntry| {
                entry.position.as_ref() == Some(position) && entry.part != Cell::Blank
            };
            let told_twice =
                |entry: &LogEntry| entry.job.as_ref().is_some_and(|job| twice.contains(job));
            if let Some(entry) =
                log.iter().filter(of_position).find(|entry| entry.date.as_str() > day)
            {
                questions.push(format!(
                    "{position} was worked on later, on {} ({}), so that row goes on saying what sits there, not this one",
                    entry.date,
                    self.place(entry)
                ));
            } else if let Some(entry) = log
                .iter()
                .filter(of_position)
                .find(|entry| entry.date.as_str() == day && !told_twice(entry))
            {
                questions.push(format!(
                    "the log names {} at {position} on the same day ({}), and both would count as sitting there; correct that row, or give another day",
                    entry.part,
                    self.place(entry)
                ));
            }
        }
    }

    fn hours(&self, log: &[LogEntry], questions: &mut Vec<String>) {
        let Some(hours) = self.told.hours else { return };
        let day = self.told.day.as_str();
        let dated = || {
            log.iter()
                .filter(|entry| !entry.date.is_blank())
                .filter_map(|entry| Some((entry, entry.hours?)))
        };
        let before =
            dated().filter(|(entry, _)| entry.date.as_str() <= day).max_by_key(|(_, hours)| *hours);
        let after =
            dated().filter(|(entry, _)| entry.date.as_str() > day).min_by_key(|(_, hours)| *hours);
        let mut said = false;
        if let Some((entry, known)) = before.filter(|(_, known)| *known > hours) {
            questions.push(format!(
                "{} hours are fewer than the {} of {} ({}); were they read right, or was the meter changed?",
                plain(hours),
                plain(known),
                entry.date,
                self.place(entry)
            ));
            said = true;
        }
        if let Some((entry, known)) = after.filter(|(_, known)| *known < hours) {
            questions.push(format!(
                "{} hours are more than the {} of the later {} ({}); were they read right?",
                plain(hours),
                plain(known),
                entry.date,
                self.place(entry)
            ));
            said = true;
        }
        let machine = &self.bench.machine;
        if let (Some(known), false, None) =
            (machine.hours.filter(|known| *known > hours), said, after)
        {
            questions.push(format!(
                "{} hours are fewer than the {} of {} in the table machines ({}); were they read right?",
                plain(hours),
                plain(known),
                machine.machine,
                self.bench.lookup.place(machine.at)
            ));
        }
    }

    /// A part that the shelf lacks and an order still brings has probably come and was not booked.
    fn parcels(&self, questions: &mut Vec<String>) {
        for line in self.open {
            let lacking =
                self.done.missing.iter().find(|missing| missing.accepts.contains(&line.row.part));
            if let Some(missing) = lacking {
                questions.push(format!(
                    "{} is not on the shelf, and order {} has {} × {} still to come; if it came, book it first: kitwright receive {}",
                    missing.part,
                    line.row.order,
                    line.outstanding(),
                    self.bench.lookup.spell_part(&line.row.part),
                    line.row.order
                ));
            }
        }
    }
}

/// As many decimals as a cell may hold.
fn rounded(quantity: Quantity) -> Quantity {
    Quantity::new(quantity.amount.round_dp(Quantity::MOST_DECIMALS).normalize(), quantity.unit)
}

fn log(told: &Recording, kit: &Kit, rows: &[LogRow], file: &str, edits: &mut Vec<FileEdits>) {
    for row in rows {
        let key = |key: &Option<Key>| key.as_ref().map_or_else(String::new, ToString::to_string);
        let cells = [
            ("date", told.day.to_string()),
            ("machine", kit.machine.clone()),
            ("position", key(&row.position)),
            ("part", row.part.clone()),
            ("quantity", row.quantity.map_or_else(String::new, |quantity| quantity.to_string())),
            ("operation", key(&row.operation)),
            ("job", key(&row.job)),
            (
                "left_out",
                row.left_out.iter().map(ToString::to_string).collect::<Vec<_>>().join(";"),
            ),
            ("options", row.options.iter().map(ToString::to_string).collect::<Vec<_>>().join(";")),
            ("hours", told.hours.map_or_else(String::new, plain)),
            ("finding", row.finding.clone()),
            ("note", row.note.clone()),
        ];
        let cells = cells.into_iter().filter(|(_, text)| !text.is_empty());
        let cells = cells.map(|(column, text)| (column.to_owned(), text)).collect();
        add_edit(edits, "worklog", file, Edit::Append { cells });
    }
}

/// Takes what was used off the shelf, and puts what is left over onto it where the person names a bin.
fn shelve(
    told: &Recording,
    done: &Done,
    file: &str,
    lookup: &dyn Lookup,
    edits: &mut Vec<FileEdits>,
) {
    for off in &done.taken {
        let left =
            rounded(Quantity::new((off.had.amount - off.amount).max(Decimal::ZERO), off.had.unit));
        let edit =
            Edit::Set { line: off.at.line, column: "quantity".to_owned(), text: left.to_string() };
        add_edit(edits, "stock", &lookup.file(off.at), edit);
    }
    let Some(bin) = &told.rest_to else { return };
    for LeftOver { part, quantity, out_of } in &done.left_over {
        let cells = [
            ("part", part.to_string()),
            ("quantity", rounded(*quantity).to_string()),
            ("bin", bin.clone()),
            ("note", format!("left over of {out_of} on {}", told.day)),
        ];
        let cells = cells.into_iter().map(|(column, text)| (column.to_owned(), text)).collect();
        add_edit(edits, "stock", file, Edit::Append { cells });
    }
}

fn add_edit(files: &mut Vec<FileEdits>, table: &'static str, name: &str, edit: Edit) {
    match files.iter_mut().find(|file| file.name == name && file.table == table) {
        Some(file) => file.edits.push(edit),
        None => files.push(FileEdits { table, name: name.to_owned(), edits: vec![edit] }),
    }
}
