//! The bench sheet: all that a person needs beside the machine, in the order in which they need it.
//!
//! A value, whatever page it is put on. Nothing of the kit is left out, and what the tables do not say is said to be
//! missing rather than passed over.

use super::options::nobody_asks;
use super::tightening::{self, TorqueStage};
use crate::buy::answer::OrderPlan;
use crate::catalog::{Applies, Lookup, Need, Part, PlaceQuantity, Position};
use crate::fit::{drive, torque};
use crate::kit::{
    Action, Ask, Bench, Gap, Kit, Line, Place, PlannedOperation, PlannedPart, PlannedPosition,
    Role, When,
};
use crate::measure::{Date, Key, PartNumber, Quantity, WearState, plain};
use serde::Serialize;
use std::collections::HashMap;

/// A bench sheet.
#[derive(Debug, Clone, Serialize)]
pub struct Sheet {
    /// The machine.
    pub machine: Head,
    /// The day of the sheet.
    pub date: String,
    /// What it is for, as a heading.
    pub title: String,
    /// The jobs.
    pub jobs: Vec<NamedJob>,
    /// The options that hold.
    pub options: Vec<String>,
    /// The kit has no gaps.
    pub complete: bool,
    /// What keeps the kit from being complete.
    pub gaps: Vec<Gap>,
    /// What a person should look at again, and what rests on their own word.
    pub doubts: Vec<String>,
    /// The minutes of all operations whose minutes are known.
    pub minutes: String,
    /// How many operations nobody has timed.
    pub untimed: usize,
    /// What to lay out before anything is taken apart.
    pub lay_out: Vec<Item>,
    /// What arrives inside something that is laid out.
    pub arriving: Vec<Arriving>,
    /// What to have ready, should it turn out to be worn.
    pub if_worn: Vec<Ready>,
    /// The tools to have.
    pub tools: Vec<String>,
    /// The cautions, each with the steps that it belongs to.
    pub cautions: Vec<SheetCaution>,
    /// The operations in strip order.
    pub strip: Vec<StripStep>,
    /// What is disturbed, but at no step that the tables name.
    pub at_no_step: Vec<Touched>,
    /// What to measure or look at while it is apart.
    pub readings: Vec<Reading>,
    /// The operations in refit order.
    pub refit: Vec<RefitStep>,
    /// What is done once the machine is together again.
    pub afterwards: Vec<AfterStep>,
    /// What goes in at no step that the tables name.
    pub fits_at_no_step: Vec<Fit>,
    /// The torques of what is tightened at no step that the tables name.
    pub torques_at_no_step: Vec<Tightening>,
    /// The command that writes the work down as done, but for its date and hours.
    pub record: String,
}

/// The machine at the head of the sheet; what nobody has typed is blank.
#[derive(Debug, Clone, Serialize)]
pub struct Head {
    /// The owner's name for it.
    pub machine: String,
    /// Its model, as parts lists print it.
    pub model: String,
    /// Its model year.
    pub year: String,
    /// Its serial number.
    pub serial: String,
    /// What sets it apart.
    pub traits: Vec<String>,
    /// The hours run, when last read.
    pub hours: String,
}

/// A job of the sheet.
#[derive(Debug, Clone, Serialize)]
pub struct NamedJob {
    /// The job.
    pub job: String,
    /// What it is, in words.
    pub name: String,
}

/// Something to lay out: a line of the kit.
#[derive(Debug, Clone, Serialize)]
pub struct Item {
    /// Why it is needed.
    pub role: Role,
    /// How much, as one says it.
    pub amount: String,
    /// The part.
    pub part: String,
    /// What it is.
    pub what: String,
    /// Where it lies, or that it is to be bought.
    pub lies: Vec<String>,
    /// Some of it is neither on the shelf nor on its way.
    pub to_buy: bool,
    /// The positions that it goes to.
    pub positions: Vec<String>,
    /// What its number was where the tables start from an older one.
    pub replaces: Vec<String>,
    /// What stands open of where it goes or of its number.
    pub open: Vec<String>,
}

/// Something that arrives inside something else.
#[derive(Debug, Clone, Serialize)]
pub struct Arriving {
    /// The position that it is for.
    pub position: String,
    /// What sits there, in words.
    pub name: String,
    /// The part.
    pub part: String,
    /// What it arrives in, with the amount.
    pub inside: Vec<String>,
}

/// Something to have ready, should the old part be worn.
#[derive(Debug, Clone, Serialize)]
pub struct Ready {
    /// The position.
    pub position: String,
    /// How many.
    pub amount: String,
    /// The part; blank where nobody has looked it up.
    pub part: String,
    /// What it is.
    pub what: String,
    /// Where it lies on the shelf.
    pub lies: Vec<String>,
}

/// A caution on the sheet.
#[derive(Debug, Clone, Serialize)]
pub struct SheetCaution {
    /// Its name.
    pub caution: String,
    /// What it says; blank where the table cautions has no such row.
    pub text: String,
    /// The numbers of the strip steps that it belongs to.
    pub steps: Vec<usize>,
}

/// An operation on the way in.
#[derive(Debug, Clone, Serialize)]
pub struct StripStep {
    /// Its number, from 1.
    pub number: usize,
    /// The operation.
    pub operation: String,
    /// What it is, in words.
    pub name: String,
    /// How long it takes, there and back; blank where nobody knows.
    pub minutes: String,
    /// How to do it.
    pub how: String,
    /// The tools for it.
    pub tools: Vec<String>,
    /// The names of its cautions.
    pub cautions: Vec<String>,
    /// The joints that it opens, with their names.
    pub opens: Vec<String>,
    /// What comes apart here first.
    pub touched: Vec<Touched>,
}

/// What becomes of something that is disturbed.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Fate {
    /// A rule says that it is used up.
    UsedUp,
    /// It makes way for a new part.
    Replaced,
    /// It is measured or looked at.
    Looked,
    /// It is kept, and goes back where it was.
    Kept,
    /// It goes back in on the person's own word.
    Reused,
    /// It comes out for good.
    LeftOut,
}

/// Something that is disturbed.
#[derive(Debug, Clone, Serialize)]
pub struct Touched {
    /// The position.
    pub position: String,
    /// What sits there, in words.
    pub name: String,
    /// Its number in the drawing.
    pub figure: String,
    /// How many; blank is one.
    pub amount: String,
    /// What sits there now: `null` is nothing, blank where nobody has looked it up.
    pub current: Option<String>,
    /// What becomes of it.
    pub fate: Fate,
    /// What the table notes of the position.
    pub note: String,
}

/// Something to measure or look at.
#[derive(Debug, Clone, Serialize)]
pub struct Reading {
    /// The position.
    pub position: String,
    /// What sits there, in words.
    pub name: String,
    /// The step at which it lies open; `null` where no step is named.
    pub step: Option<usize>,
    /// The feature to measure; blank where there is no limit to measure against.
    pub feature: String,
    /// Its size when new.
    pub new: String,
    /// The limits, in words.
    pub limits: String,
    /// The last reading, and how it stands.
    pub last: String,
}

/// An operation once the machine is together again: bleed, run in, torque again.
#[derive(Debug, Clone, Serialize)]
pub struct AfterStep {
    /// Its number, from 1.
    pub number: usize,
    /// The operation.
    pub operation: String,
    /// What it is, in words.
    pub name: String,
    /// How it is done.
    pub how: String,
    /// The tools for it.
    pub tools: Vec<String>,
    /// The names of its cautions.
    pub cautions: Vec<String>,
    /// What it uses up.
    pub uses: Vec<Used>,
}

/// An operation on the way out.
#[derive(Debug, Clone, Serialize)]
pub struct RefitStep {
    /// Its number, from 1.
    pub number: usize,
    /// The number of the strip step that it undoes.
    pub undoes: usize,
    /// The operation.
    pub operation: String,
    /// What it is, in words.
    pub name: String,
    /// How to put it back.
    pub how: String,
    /// The tools for it.
    pub tools: Vec<String>,
    /// The names of its cautions.
    pub cautions: Vec<String>,
    /// What goes in new.
    pub fits: Vec<Fit>,
    /// What goes back as it came off.
    pub returns: Vec<Touched>,
    /// What it uses up: fluids, sealants, greases.
    pub uses: Vec<Used>,
    /// What is tightened.
    pub torques: Vec<Tightening>,
}

/// A new part that goes in.
#[derive(Debug, Clone, Serialize)]
pub struct Fit {
    /// The position.
    pub position: String,
    /// What sits there, in words.
    pub name: String,
    /// The parts with their amounts; empty where nobody knows which.
    pub parts: Vec<String>,
    /// What it arrives in, already fitted or loose.
    pub inside: Vec<String>,
    /// What the table notes of the part that goes in.
    pub note: String,
}

/// Something that an operation uses up.
#[derive(Debug, Clone, Serialize)]
pub struct Used {
    /// How much, as one says it.
    pub amount: String,
    /// The part.
    pub part: String,
    /// What it is.
    pub what: String,
}

/// Something that is tightened.
#[derive(Debug, Clone, Serialize)]
pub struct Tightening {
    /// The position.
    pub position: String,
    /// What sits there, in words.
    pub name: String,
    /// How many; blank is one.
    pub amount: String,
    /// The stages; empty where the catalog does not say.
    pub stages: Vec<TorqueStage>,
    /// What to know of the figure.
    pub remarks: Vec<String>,
    /// The row that gives it; blank where none does.
    pub from: String,
}

impl Item {
    /// Gives a line of the kit as something to lay out.
    fn new(line: &Line, on_hand: &OrderPlan) -> Self {
        let (lies, to_buy) = where_it_lies(line, on_hand);
        Item {
            role: line.role,
            amount: amount_of(line),
            part: line.part.clone(),
            what: named(&line.name, &line.part_type, &line.size),
            lies,
            to_buy,
            positions: line.positions.clone(),
            replaces: line.replaces.clone(),
            open: line.open.iter().map(ToString::to_string).collect(),
        }
    }
}

/// An amount as one says it at the counter.
pub fn amount_of(line: &Line) -> String {
    if line.quantity.is_zero() {
        return "as needed".to_owned();
    }
    let figure = Quantity::new(line.quantity, line.unit).shown();
    if line.as_needed { format!("≥ {figure}") } else { figure }
}

fn where_it_lies(line: &Line, on_hand: &OrderPlan) -> (Vec<String>, bool) {
    let mut lies = Vec::new();
    for from in on_hand.from_stock.iter().filter(|from| from.serves.contains(&line.part)) {
        let bin = if from.bin.is_empty() { "on the shelf, no bin named" } else { &from.bin };
        let mut said = if from.as_needed {
            bin.to_owned()
        } else {
            format!("{bin}: {}", Quantity::new(from.quantity, from.unit).shown())
        };
        if from.part != line.part || from.opened {
            said.push_str(&format!(" × {}", from.part));
            if !from.how.is_empty() {
                said.push_str(&format!(" ({})", from.how));
            }
        }
        if from.serves.len() > 1 && !from.opened {
            said.push_str(&format!(" (for {} together)", from.serves.join(" and ")));
        }
        lies.push(said);
    }
    for coming in on_hand.on_the_way.iter().filter(|coming| coming.serves == line.part) {
        let other =
            if coming.part == line.part { String::new() } else { format!(" × {}", coming.part) };
        let amount = Quantity::new(coming.quantity, coming.unit);
        lies.push(format!("on its way with order {}: {amount}{other}", coming.order));
    }
    let mut to_buy = false;
    for missing in on_hand
        .unsourced
        .iter()
        .filter(|missing| missing.part == line.part && missing.unit == line.unit)
    {
        to_buy = true;
        let some =
            !missing.as_needed && !missing.quantity.is_zero() && missing.quantity != line.quantity;
        let amount = if some {
            format!(": {}", Quantity::new(missing.quantity, missing.unit).shown())
        } else {
            String::new()
        };
        lies.push(format!("to buy{amount}"));
    }
    if lies.is_empty() {
        to_buy = true;
        lies.push("to buy".to_owned());
    }
    (lies, to_buy)
}

fn named(name: &str, part_type: &str, size: &str) -> String {
    let name = if name.is_empty() { part_type } else { name };
    match (name.is_empty(), size.is_empty() || name.contains(size)) {
        (true, true) => "not in the table parts".to_owned(),
        (true, false) => size.to_owned(),
        (false, true) => name.to_owned(),
        (false, false) => format!("{name}, {size}"),
    }
}

fn described(part: Option<&Part>) -> String {
    part.map_or_else(
        || "not in the table parts".to_owned(),
        |part| named(&part.name, part.part_type.as_ref().map_or("", Key::as_str), &part.size),
    )
}

/// Makes the sheet of a kit and of the ask that it answers.
///
/// `on_hand` says what of the kit the shelf gives and what is on its way ([`crate::buy::order::on_hand`]); `remarks`
/// is what a person should know of that. `None` where the machine is not in the catalog.
pub fn sheet(
    ask: &Ask,
    kit: &Kit,
    on_hand: &OrderPlan,
    remarks: &[String],
    today: &Date,
    lookup: &dyn Lookup,
) -> Option<Sheet> {
    let machine = lookup.machine(&Key::new(&kit.machine))?.into_owned();
    let head = Head {
        machine: machine.machine.to_string(),
        model: machine.model.to_string(),
        year: machine.year.as_ref().map_or_else(String::new, ToString::to_string),
        serial: machine.serial.text.clone(),
        traits: machine.traits.iter().map(ToString::to_string).collect(),
        hours: machine.hours.map_or_else(String::new, plain),
    };
    let bench = Bench::new(machine, lookup);
    let steps = Steps::new(kit, &bench);
    let jobs = kit.jobs.iter().map(|job| NamedJob {
        job: job.clone(),
        name: lookup
            .jobs(&Key::new(job))
            .iter()
            .map(|row| row.name.clone())
            .find(|name| !name.is_empty())
            .unwrap_or_default(),
    });
    let writer = Writer { kit, bench: &bench, steps: &steps };
    let (strip, at_no_step) = writer.strip();
    let (refit, fits_at_no_step, torques_at_no_step) = writer.refit();
    Some(Sheet {
        machine: head,
        date: today.to_string(),
        title: kit.title(),
        jobs: jobs.collect(),
        options: kit.options.clone(),
        complete: kit.complete,
        gaps: kit.gaps.clone(),
        doubts: doubts(kit, remarks),
        minutes: if kit.minutes.is_zero() { String::new() } else { plain(kit.minutes) },
        untimed: kit.operations.iter().filter(|operation| operation.minutes.is_none()).count(),
        lay_out: kit.lines.iter().map(|line| Item::new(line, on_hand)).collect(),
        arriving: writer.arriving(),
        if_worn: writer.if_worn(),
        tools: writer.tools(),
        cautions: writer.cautions(&strip),
        readings: writer.readings(),
        strip,
        at_no_step,
        refit,
        afterwards: writer.afterwards(),
        fits_at_no_step,
        torques_at_no_step,
        record: record_command(ask, kit),
    })
}

/// The command that writes down what this sheet lists, with all that was asked of the kit.
fn record_command(ask: &Ask, kit: &Kit) -> String {
    let mut words = vec!["kitwright".to_owned(), "record".to_owned()];
    let told = ask.told();
    match &ask.rest_of {
        Some(whole) => words.extend(whole.jobs.iter().map(|job| quoted(job.as_str()))),
        None => words.extend(kit.jobs.iter().map(|job| quoted(job))),
    }
    words.extend(["--on".to_owned(), quoted(&kit.machine)]);
    if ask.rest_of.is_some() {
        words.push("--rest".to_owned());
    }
    let mut option = |name: &str, value: &str| words.extend([name.to_owned(), quoted(value)]);
    told.options.iter().for_each(|with| option("--with", with.as_str()));
    told.renew.iter().for_each(|position| option("--renew", position.as_str()));
    told.reuse.iter().for_each(|position| option("--reuse", position.as_str()));
    for instead in &told.instead {
        let need = Need { position: instead.position.clone(), change: instead.change.clone() };
        option("--instead", &need.to_string());
    }
    if !kit.insisted.is_empty() || (ask.rest_of.is_some() && told.insist) {
        words.push("--force".to_owned());
    }
    words.join(" ")
}

/// Puts a word of a command into quotation marks where it needs them.
fn quoted(word: &str) -> String {
    let plain = |c: char| c.is_alphanumeric() || matches!(c, '-' | '_' | '.' | '/' | '=');
    if !word.is_empty() && word.chars().all(plain) {
        word.to_owned()
    } else {
        format!("'{}'", word.replace('\'', "'\\''"))
    }
}

/// What a person should look at again: doubts, their own word, options that nothing asks about, the shelf.
fn doubts(kit: &Kit, remarks: &[String]) -> Vec<String> {
    let mut said: Vec<String> = kit.doubts.clone();
    for job in &kit.insisted {
        said.push(format!("{job} is for other machines; you asked for it all the same"));
    }
    for option in &kit.unknown_options {
        said.push(nobody_asks(option));
    }
    for position in &kit.reused {
        said.push(format!("{position} is single-use and goes back in on your own word"));
    }
    for position in &kit.instead {
        said.push(format!("{position} is of your own choice"));
    }
    said.extend(remarks.iter().cloned());
    said
}

/// Which step of the way in disturbs what.
struct Steps {
    /// The step at which each position comes apart first.
    apart: HashMap<Key, usize>,
    /// The deepest step at which something of each position comes apart: it goes back in when that one is undone.
    back: HashMap<Key, usize>,
}

impl Steps {
    fn new(kit: &Kit, bench: &Bench) -> Self {
        let mut opened: HashMap<Key, usize> = HashMap::new();
        let mut removed: HashMap<Key, usize> = HashMap::new();
        let mut carried_out: HashMap<Key, usize> = HashMap::new();
        let apart = kit.operations.iter().filter(|operation| operation.phase == When::Strip);
        for (step, operation) in apart.enumerate() {
            carried_out.entry(Key::new(&operation.operation)).or_insert(step);
            for joint in &operation.opens {
                opened.entry(Key::new(joint)).or_insert(step);
            }
            for position in &operation.removes {
                removed.entry(Key::new(position)).or_insert(step);
            }
        }
        let mut steps = Steps { apart: HashMap::new(), back: HashMap::new() };
        for planned in &kit.positions {
            let key = Key::new(&planned.position);
            let place = bench.place(&key);
            let row = place.row();
            let joints = row.map_or(&[][..], |row| &row.joint);
            let by_joint = joints.iter().filter_map(|joint| opened.get(joint));
            let found: Vec<usize> = by_joint.chain(removed.get(&key)).copied().collect();
            let way_in = row.and_then(|row| carried_out.get(row.reached_by.as_ref()?)).copied();
            if let Some(apart) = found.iter().min().copied().or(way_in) {
                steps.apart.insert(key.clone(), apart);
            }
            if let Some(back) = found.iter().max().copied().or(way_in) {
                steps.back.insert(key, back);
            }
        }
        steps
    }
}

struct Writer<'a> {
    kit: &'a Kit,
    bench: &'a Bench<'a>,
    steps: &'a Steps,
}

impl Writer<'_> {
    fn at<'k>(
        &'k self,
        steps: &'k HashMap<Key, usize>,
        step: Option<usize>,
    ) -> impl Iterator<Item = &'k PlannedPosition> {
        let all = self.kit.positions.iter();
        all.filter(move |planned| steps.get(&Key::new(&planned.position)).copied() == step)
    }

    fn strip(&self) -> (Vec<StripStep>, Vec<Touched>) {
        let lookup = self.bench.lookup;
        let apart = self.kit.operations.iter().filter(|operation| operation.phase == When::Strip);
        let steps = apart.enumerate().map(|(index, operation)| {
            let step = self.bench.step(&Key::new(&operation.operation));
            let row = step.row();
            StripStep {
                number: index + 1,
                operation: operation.operation.clone(),
                name: operation.name.clone(),
                minutes: operation.minutes.map_or_else(String::new, plain),
                how: row.map_or_else(String::new, |row| row.strip.clone()),
                tools: row.map_or_else(Vec::new, |row| {
                    row.tools.iter().map(ToString::to_string).collect()
                }),
                cautions: row.map_or_else(Vec::new, |row| {
                    row.cautions.iter().map(ToString::to_string).collect()
                }),
                opens: operation
                    .opens
                    .iter()
                    .map(|joint| {
                        let name = lookup
                            .joint(&Key::new(joint))
                            .map_or_else(String::new, |row| row.name.clone());
                        if name.is_empty() { joint.clone() } else { format!("{name} ({joint})") }
                    })
                    .collect(),
                touched: self
                    .at(&self.steps.apart, Some(index))
                    .filter_map(|planned| self.touched(planned))
                    .collect(),
            }
        });
        let at_no_step =
            self.at(&self.steps.apart, None).filter_map(|planned| self.touched(planned)).collect();
        (steps.collect(), at_no_step)
    }

    /// What comes apart at a position; nothing where nothing sits there yet, unless it is to stay so.
    fn touched(&self, planned: &PlannedPosition) -> Option<Touched> {
        if planned.current.is_none() && planned.action != Action::LeaveOut {
            return None;
        }
        let fate = match (planned.action, planned.role) {
            (Action::LeaveOut, _) => Fate::LeftOut,
            (Action::Inspect, _) => Fate::Looked,
            (Action::Keep, _) if self.kit.reused.contains(&planned.position) => Fate::Reused,
            (Action::Keep, _) => Fate::Kept,
            (Action::Renew, Some(Role::SingleUse) | None) => Fate::UsedUp,
            (Action::Renew, Some(_)) => Fate::Replaced,
        };
        let place = self.bench.place(&Key::new(&planned.position));
        Some(Touched {
            position: planned.position.clone(),
            name: planned.name.clone(),
            figure: place.row().map_or_else(String::new, |row| row.figure.clone()),
            amount: if planned.current.is_some() { sitting(&place) } else { String::new() },
            current: planned.current.as_ref().map(|current| current.replace(';', ", ")),
            fate,
            note: place.row().map_or_else(String::new, |row| row.note.clone()),
        })
    }

    fn refit(&self) -> (Vec<RefitStep>, Vec<Fit>, Vec<Tightening>) {
        let apart = self.kit.operations.iter().filter(|operation| operation.phase == When::Strip);
        let apart: Vec<&PlannedOperation> = apart.collect();
        let many = apart.len();
        let steps = apart.into_iter().enumerate().rev().map(|(index, operation)| {
            let step = self.bench.step(&Key::new(&operation.operation));
            let row = step.row();
            let here = || self.at(&self.steps.back, Some(index));
            RefitStep {
                number: many - index,
                undoes: index + 1,
                operation: operation.operation.clone(),
                name: operation.name.clone(),
                how: row.map_or_else(String::new, |row| row.refit.clone()),
                tools: row.map_or_else(Vec::new, |row| {
                    row.tools.iter().map(ToString::to_string).collect()
                }),
                cautions: row.map_or_else(Vec::new, |row| {
                    row.cautions.iter().map(ToString::to_string).collect()
                }),
                fits: here().filter_map(|planned| self.fit(planned)).collect(),
                returns: here()
                    .filter(|planned| matches!(planned.action, Action::Keep | Action::Inspect))
                    .filter_map(|planned| self.touched(planned))
                    .collect(),
                uses: row.map_or_else(Vec::new, |row| {
                    row.uses.iter().flat_map(|used| self.used(used)).collect()
                }),
                torques: here().filter_map(|planned| self.tightening(planned)).collect(),
            }
        });
        let loose = || self.at(&self.steps.back, None);
        let fits = loose().filter_map(|planned| self.fit(planned)).collect();
        let torques = loose().filter_map(|planned| self.tightening(planned)).collect();
        (steps.collect(), fits, torques)
    }

    /// What is done once the machine is together again; it takes nothing apart.
    fn afterwards(&self) -> Vec<AfterStep> {
        let after = self.kit.operations.iter().filter(|operation| operation.phase == When::After);
        let steps = after.enumerate().map(|(index, operation)| {
            let step = self.bench.step(&Key::new(&operation.operation));
            let row = step.row();
            let words = |keys: &[Key]| keys.iter().map(ToString::to_string).collect();
            AfterStep {
                number: index + 1,
                operation: operation.operation.clone(),
                name: operation.name.clone(),
                how: row.map_or_else(String::new, |row| {
                    if row.refit.is_empty() { row.strip.clone() } else { row.refit.clone() }
                }),
                tools: row.map_or_else(Vec::new, |row| {
                    row.tools.iter().map(ToString::to_string).collect()
                }),
                cautions: row.map_or_else(Vec::new, |row| words(&row.cautions)),
                uses: row.map_or_else(Vec::new, |row| {
                    row.uses.iter().flat_map(|used| self.used(used)).collect()
                }),
            }
        });
        steps.collect()
    }

    fn fit(&self, planned: &PlannedPosition) -> Option<Fit> {
        if planned.action != Action::Renew {
            return None;
        }
        let place = self.bench.place(&Key::new(&planned.position));
        Some(Fit {
            position: planned.position.clone(),
            name: planned.name.clone(),
            parts: planned.parts.iter().map(counted).collect(),
            inside: planned
                .covered
                .iter()
                .map(|cover| format!("{} in {}", plain(cover.quantity), cover.by))
                .collect(),
            note: place
                .row()
                .filter(|row| is_for(row, planned))
                .map_or_else(String::new, |row| row.note.clone()),
        })
    }

    fn used(&self, used: &crate::catalog::Use) -> Vec<Used> {
        let finals = self.bench.resolve(&used.part).finals;
        let each = finals.into_iter().map(|end| {
            let row = self.bench.lookup.part(&end.part);
            let amount = used.quantity.map_or_else(
                || "as needed".to_owned(),
                |quantity| {
                    let whole =
                        Quantity::new(quantity.amount.saturating_mul(end.factor), quantity.unit);
                    let unit = row.as_ref().and_then(|row| row.unit);
                    unit.and_then(|unit| whole.to(unit)).unwrap_or(whole).to_string()
                },
            );
            Used {
                amount,
                part: self.bench.lookup.spell_part(&end.part).to_string(),
                what: described(row.as_deref()),
            }
        });
        each.collect()
    }

    fn arriving(&self) -> Vec<Arriving> {
        let covered = self.kit.positions.iter().filter(|planned| !planned.covered.is_empty());
        let beside = self.kit.arrives_fitted.iter().map(|arrives| {
            let row = self.bench.place(&Key::new(&arrives.position));
            Arriving {
                position: arrives.position.clone(),
                name: row.row().map_or_else(String::new, |row| row.name.clone()),
                part: arrives.part.clone(),
                inside: vec![format!(
                    "{} in {}, fitted there",
                    plain(arrives.quantity),
                    arrives.by
                )],
            }
        });
        let rows = covered.map(|planned| Arriving {
            position: planned.position.clone(),
            name: planned.name.clone(),
            part: planned.parts.iter().map(|part| part.part.clone()).collect::<Vec<_>>().join(", "),
            inside: planned
                .covered
                .iter()
                .map(|cover| format!("{} in {}", plain(cover.quantity), cover.by))
                .collect(),
        });
        rows.chain(beside).collect()
    }

    fn if_worn(&self) -> Vec<Ready> {
        let mut ready = Vec::new();
        for planned in self.kit.positions.iter().filter(|planned| planned.action == Action::Inspect)
        {
            for worn in &planned.if_worn {
                ready.push(Ready {
                    position: planned.position.clone(),
                    amount: Quantity::new(worn.quantity, worn.unit).shown(),
                    part: worn.part.clone(),
                    what: if worn.name.is_empty() {
                        planned.name.clone()
                    } else {
                        worn.name.clone()
                    },
                    lies: self.on_shelf(&worn.part),
                });
            }
            if planned.if_worn.is_empty() {
                ready.push(Ready {
                    position: planned.position.clone(),
                    amount: String::new(),
                    part: String::new(),
                    what: format!("{}: nobody has looked up its part", planned.name),
                    lies: Vec::new(),
                });
            }
        }
        ready
    }

    fn on_shelf(&self, part: &str) -> Vec<String> {
        let Some(number) = PartNumber::new(part) else { return Vec::new() };
        let rows = self.bench.lookup.stock_of(&number);
        let there = rows.iter().filter(|row| !row.quantity.0.amount.is_zero());
        let said = there.map(|row| {
            let bin = if row.bin.is_empty() { "on the shelf, no bin named" } else { &row.bin };
            format!("{bin}: {}", row.quantity.0)
        });
        said.collect()
    }

    fn tools(&self) -> Vec<String> {
        let mut tools = self.kit.tools.clone();
        for needed in drive::of_kit(self.kit, self.bench.lookup) {
            tools.push(format!("{} for {}", needed.tool, needed.positions.join(", ")));
        }
        tools
    }

    fn cautions(&self, strip: &[StripStep]) -> Vec<SheetCaution> {
        let all = self.kit.caution_texts.iter().map(|told| {
            let key = Key::new(&told.caution);
            let here = |step: &&StripStep| step.cautions.iter().any(|name| Key::new(name) == key);
            SheetCaution {
                caution: told.caution.clone(),
                text: told.text.clone(),
                steps: strip.iter().filter(here).map(|step| step.number).collect(),
            }
        });
        all.collect()
    }

    /// Every limit of what is inspected, whatever of a seat has a limit, and what is only to be looked at; in the order
    /// in which it comes to light.
    fn readings(&self) -> Vec<Reading> {
        let mut readings = Vec::new();
        for planned in &self.kit.positions {
            let step = self.steps.back.get(&Key::new(&planned.position)).map(|step| step + 1);
            let inspected = planned.action == Action::Inspect;
            let before = readings.len();
            for limit in &planned.limits {
                let mut limits = Vec::new();
                limits.extend(limit.least.as_ref().map(|least| format!("at least {least}")));
                limits.extend(limit.most.as_ref().map(|most| format!("at most {most}")));
                if limits.is_empty() && !inspected {
                    continue;
                }
                let stands = match (limit.state, limit.left_mm) {
                    (Some(state @ WearState::Beyond), Some(left)) => {
                        format!(", {state} by {} mm", plain(-left))
                    }
                    (Some(state), Some(left)) => format!(", {state}, {} mm left", plain(left)),
                    _ => String::new(),
                };
                readings.push(Reading {
                    position: planned.position.clone(),
                    name: planned.name.clone(),
                    step,
                    feature: limit.feature.clone(),
                    new: limit.size.clone().unwrap_or_default(),
                    limits: if limits.is_empty() {
                        "no limit in the catalog".to_owned()
                    } else {
                        limits.join(", ")
                    },
                    last: limit
                        .last_reading
                        .as_ref()
                        .map_or_else(String::new, |last| format!("{last}{stands}")),
                });
            }
            if inspected && readings.len() == before {
                readings.push(Reading {
                    position: planned.position.clone(),
                    name: planned.name.clone(),
                    step,
                    feature: String::new(),
                    new: String::new(),
                    limits: "no limit in the catalog".to_owned(),
                    last: String::new(),
                });
            }
        }
        readings.sort_by_key(|reading| reading.step.unwrap_or(usize::MAX));
        readings
    }

    /// The torque of a position; also of a fastener whose torque nobody has typed, so that none is passed over.
    fn tightening(&self, planned: &PlannedPosition) -> Option<Tightening> {
        if planned.action == Action::LeaveOut {
            return None;
        }
        let lookup = self.bench.lookup;
        let place = self.bench.place(&Key::new(&planned.position));
        let goes = going_in(planned);
        let listed =
            torque::row_for(&place, &goes).and_then(|row| Some((row, row.torque.as_ref()?)));
        let mut said = Tightening {
            position: planned.position.clone(),
            name: planned.name.clone(),
            amount: if planned.action == Action::Renew {
                number_of(&planned.parts)
            } else {
                sitting(&place)
            },
            stages: Vec::new(),
            remarks: Vec::new(),
            from: String::new(),
        };
        let Some((row, torque)) = listed else {
            return self.is_fastener(planned, &goes).then_some(said);
        };
        said.stages = tightening::stages(torque);
        said.from = lookup.place(row.at);
        if !place.speaking.iter().any(|speaking| speaking.at == row.at) {
            let scope = row.scope.to_string();
            let part = row
                .part
                .part()
                .map_or_else(String::new, |part| lookup.spell_part(part).to_string());
            said.remarks.push(format!("by the row for {part}, which is otherwise for {scope}"));
        } else if place.applies == Applies::Unsure {
            said.remarks.push("whether this row is for this machine is not settled".to_owned());
        }
        if !row.note.is_empty() {
            said.remarks.push(format!("noted there: {}", row.note));
        }
        said.remarks.extend(torque::disagreement(torque));
        if let Some(part) = row.part.part() {
            let part_row = lookup.part(part);
            let thread = part_row.as_ref().and_then(|part| crate::fit::thread_of(&part.size));
            said.remarks.extend(thread.and_then(|thread| torque::doubt(thread, torque, None)));
            let others: Vec<String> = goes
                .iter()
                .filter(|number| *number != part)
                .map(|n| lookup.spell_part(n).to_string())
                .collect();
            if !others.is_empty() {
                said.remarks.push(format!(
                    "listed for {}, not for {}",
                    lookup.spell_part(part),
                    others.join(", ")
                ));
            }
        }
        Some(said)
    }

    /// What sits or goes there is screwed in or on.
    fn is_fastener(&self, planned: &PlannedPosition, goes: &[PartNumber]) -> bool {
        let lookup = self.bench.lookup;
        let mut known = false;
        for number in goes {
            let Some(part) = lookup.part(number) else { continue };
            let kind = self.bench.part_type(&part);
            known = known || kind.is_some();
            let threaded =
                kind.as_ref().is_some_and(|kind| kind.size_form.trim_start().starts_with("thread"));
            let called = kind.map_or_else(String::new, |kind| kind.part_type.to_string());
            if threaded || says_fastener(&called) || crate::fit::thread_of(&part.size).is_some() {
                return true;
            }
        }
        // Where the part's type is not known, the name of the position is all there is to go by.
        !known && says_fastener(&planned.name)
    }
}

/// The words by which a fastener is called, alone or at the end of a longer word. Source: common practice, no source.
fn says_fastener(name: &str) -> bool {
    const WORDS: [&str; 5] = ["bolt", "screw", "nut", "stud", "plug"];
    let name = name.to_lowercase();
    let mut words = name.split(|c: char| !c.is_alphabetic());
    words.any(|word| {
        WORDS.iter().any(|known| word.strip_suffix('s').unwrap_or(word).ends_with(known))
    })
}

/// The numbers that sit at a position once the work is done.
fn going_in(planned: &PlannedPosition) -> Vec<PartNumber> {
    if planned.action == Action::Renew {
        return planned.parts.iter().filter_map(|part| PartNumber::new(&part.part)).collect();
    }
    planned
        .current
        .iter()
        .flat_map(|current| current.split(';'))
        .filter_map(PartNumber::new)
        .collect()
}

/// The row speaks of what goes in, not of what was there before.
fn is_for(row: &Position, planned: &PlannedPosition) -> bool {
    row.part.part().is_some_and(|part| going_in(planned).contains(part))
}

fn counted(part: &PlannedPart) -> String {
    format!("{} × {}", Quantity::new(part.quantity, part.unit).shown(), part.part)
}

/// How many parts go there; blank is one.
fn number_of(parts: &[PlannedPart]) -> String {
    let amounts: Vec<String> =
        parts.iter().map(|part| Quantity::new(part.quantity, part.unit).shown()).collect();
    if amounts == ["1"] { String::new() } else { amounts.join(" + ") }
}

/// How many sit there; blank is one.
fn sitting(place: &Place) -> String {
    let logged: Vec<Quantity> =
        place.current.parts.iter().filter_map(|sitting| sitting.quantity).collect();
    let amount = match logged.as_slice() {
        // What is sold as a set sits there as one.
        [] if place.quantity() == PlaceQuantity::Set => String::new(),
        [] => place.quantity().to_string(),
        many => many.iter().map(ToString::to_string).collect::<Vec<_>>().join(" + "),
    };
    if amount == "1" { String::new() } else { amount }
}
