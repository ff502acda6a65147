//! The finished kit as it is shown and printed: what the JSON answer holds, key by key.

use super::action::Action;
use super::gap::{Gap, OpenGap};
use super::reason::Reason;
use crate::measure::{Key, PartNumber, Unit, WearState, json_number};
use rust_decimal::Decimal;
use serde::{Serialize, Serializer};
use std::fmt;

/// Everything that a job needs on one machine, for what the tables say.
#[derive(Debug, Clone, Serialize)]
pub struct Kit {
    /// The machine.
    pub machine: String,
    /// The jobs, in the order named.
    pub jobs: Vec<String>,
    /// The jobs half done of which this is what was left out.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub rest_of: Vec<String>,
    /// The options that hold.
    pub options: Vec<String>,
    /// There are no gaps.
    pub complete: bool,
    /// The operations in strip order; refitting is the reverse.
    pub operations: Vec<PlannedOperation>,
    /// The joints that are opened, in the order in which they are.
    pub joints: Vec<String>,
    /// Everything disturbed, in table order.
    pub positions: Vec<PlannedPosition>,
    /// What arrives fitted at a position that is not renewed here: it is there once the work is done.
    pub arrives_fitted: Vec<ArrivesFitted>,
    /// What to order.
    pub lines: Vec<Line>,
    /// What stands open.
    pub gaps: Vec<Gap>,
    /// What is called for and sits there already.
    pub already_there: Vec<AlreadyThere>,
    /// What is to be measured before a part can be chosen.
    pub measure_first: Vec<MeasureFirst>,
    /// What the checks find in rows that the kit used or left out.
    pub findings: Vec<Located>,
    /// The rows that cannot be read.
    pub unread: Vec<Located>,
    /// The names of the cautions.
    pub cautions: Vec<String>,
    /// The tools to have.
    pub tools: Vec<String>,
    /// The minutes of all operations whose minutes are known.
    #[serde(serialize_with = "number")]
    pub minutes: Decimal,
    /// What each caution says.
    pub caution_texts: Vec<Cautioned>,
    /// The positions whose single-use part goes back in on the person's word.
    pub reused: Vec<String>,
    /// The positions that hold a part of the person's own choice, or are left empty for it.
    pub instead: Vec<String>,
    /// The options that any line of the jobs asks about.
    pub known_options: Vec<String>,
    /// Options that hold but that no line of the jobs asks about.
    pub unknown_options: Vec<String>,
    /// Jobs that are not for this machine and were worked out all the same.
    pub insisted: Vec<String>,
    /// What the rules settle without a gap, but a person should look at again.
    pub doubts: Vec<String>,
}

impl Kit {
    /// Says what it is for, as a heading: its jobs, what is left of them, or a renewal without a job.
    pub fn title(&self) -> String {
        match (&self.jobs[..], &self.rest_of[..]) {
            ([], []) => "renewal".to_owned(),
            ([], rest) => format!("the rest of {}", rest.join(" + ")),
            (jobs, _) => jobs.join(" + "),
        }
    }
}

/// A part that is called for somewhere and sits there already.
#[derive(Debug, Clone, Serialize)]
pub struct AlreadyThere {
    /// The position.
    pub position: String,
    /// The part that sits there.
    pub part: String,
    /// What called for it.
    pub because: Vec<Reason>,
}

/// A feature to measure before a part can be chosen.
#[derive(Debug, Clone, Serialize)]
pub struct MeasureFirst {
    /// The position.
    pub position: String,
    /// The feature.
    pub feature: String,
    /// The parts that there are to choose from.
    pub choices: Vec<Choice>,
}

/// A part for readings between two limits.
#[derive(Debug, Clone, Serialize)]
pub struct Choice {
    /// The part.
    pub part: String,
    /// The least reading for it; `null` is no limit.
    pub least: Option<String>,
    /// The greatest; `null` is no limit.
    pub most: Option<String>,
}

/// Something said of one cell of a table.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Located {
    /// The path of the file within the catalog.
    pub file: String,
    /// The line on which the row begins.
    pub line: u32,
    /// The column; blank where it is about the row.
    pub column: String,
    /// The name of the check.
    pub code: String,
    /// What is wrong, and what to do.
    pub message: String,
}

/// When an operation is carried out.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "lowercase")]
pub enum When {
    /// On the way in; refitting is the reverse.
    Strip,
    /// Once the machine is together again.
    After,
}

/// An operation of the plan.
#[derive(Debug, Clone, Serialize)]
pub struct PlannedOperation {
    /// Its name.
    pub operation: String,
    /// What it is, in words.
    pub name: String,
    /// When it is carried out.
    pub phase: When,
    /// How long it takes; `null` where nobody knows.
    #[serde(serialize_with = "maybe_number")]
    pub minutes: Option<Decimal>,
    /// Why it is in the plan.
    pub because: Vec<Reason>,
    /// The joints that it opens.
    pub opens: Vec<String>,
    /// The positions that it takes off.
    pub removes: Vec<String>,
}

/// What happens to a disturbed position.
#[derive(Debug, Clone, Serialize)]
pub struct PlannedPosition {
    /// The position.
    pub position: String,
    /// The assembly that it belongs to.
    pub assembly: String,
    /// What sits there, in words.
    pub name: String,
    /// What happens to it.
    pub action: Action,
    /// Why it is renewed; `null` where it is not.
    pub role: Option<Role>,
    /// What sits there now: `null` is nothing, blank is a part that nobody has looked up; several are separated by `;`.
    pub current: Option<String>,
    /// The parts that go there.
    pub parts: Vec<PlannedPart>,
    /// What arrives inside something else.
    pub covered: Vec<Cover>,
    /// What called for it, then the rule.
    pub because: Vec<Reason>,
    /// The notes of the rows that speak of it.
    pub notes: Vec<String>,
    /// What to have ready where it is inspected.
    pub if_worn: Vec<IfWorn>,
    /// The limits to measure it against.
    pub limits: Vec<Limit>,
}

/// A part that goes to a position.
#[derive(Debug, Clone, Serialize)]
pub struct PlannedPart {
    /// The part to order.
    pub part: String,
    /// How many, in the unit.
    #[serde(serialize_with = "number")]
    pub quantity: Decimal,
    /// The unit.
    #[serde(serialize_with = "symbol")]
    pub unit: Unit,
    /// What the number became, from the number first looked for to this one.
    pub chain: Vec<String>,
    /// How many of it are to be ordered: the quantity less what arrives inside something else.
    #[serde(serialize_with = "number")]
    pub to_order: Decimal,
    /// One of this part serves every position that names it so.
    pub set: bool,
}

/// What arrives inside something else.
#[derive(Debug, Clone, Serialize)]
pub struct Cover {
    /// The part that directly contains it.
    pub by: String,
    /// What arrives.
    pub part: String,
    /// How much arrives with it.
    #[serde(serialize_with = "number")]
    pub quantity: Decimal,
}

/// Something that arrives fitted inside a part that goes in, at a position that is not renewed.
#[derive(Debug, Clone, Serialize)]
pub struct ArrivesFitted {
    /// The position.
    pub position: String,
    /// The part that arrives there.
    pub part: String,
    /// How many, in the unit.
    #[serde(serialize_with = "number")]
    pub quantity: Decimal,
    /// The unit.
    #[serde(serialize_with = "symbol")]
    pub unit: Unit,
    /// The part that directly contains it.
    pub by: String,
}

/// A part to have ready, should the old one be worn.
#[derive(Debug, Clone, Serialize)]
pub struct IfWorn {
    /// The part.
    pub part: String,
    /// Its name and size.
    pub name: String,
    /// How many, in the unit.
    #[serde(serialize_with = "number")]
    pub quantity: Decimal,
    /// The unit.
    #[serde(serialize_with = "symbol")]
    pub unit: Unit,
}

/// A limit to measure against, as the table seats gives it.
#[derive(Debug, Clone, Serialize)]
pub struct Limit {
    /// The feature to measure.
    pub feature: String,
    /// Its size when new.
    pub size: Option<String>,
    /// The least that it may measure.
    pub least: Option<String>,
    /// The most that it may measure.
    pub most: Option<String>,
    /// The last reading taken, with its date.
    pub last_reading: Option<String>,
    /// How the last reading stands to the limits; `null` where there is no reading or no limit.
    pub state: Option<WearState>,
    /// How much is left to the nearer limit, in mm; less than zero beyond it.
    #[serde(serialize_with = "maybe_number")]
    pub left_mm: Option<Decimal>,
}

/// A caution and what it says.
#[derive(Debug, Clone, Serialize)]
pub struct Cautioned {
    /// The caution's name.
    pub caution: String,
    /// What it says; blank where the table cautions has no such row.
    pub text: String,
}

/// Something to order.
#[derive(Debug, Clone, Serialize)]
pub struct Line {
    /// The part.
    pub part: String,
    /// What its maker calls it.
    pub name: String,
    /// Its type.
    #[serde(rename = "type")]
    pub part_type: String,
    /// Its size.
    pub size: String,
    /// How much, in the unit; 0 is as needed.
    #[serde(serialize_with = "number")]
    pub quantity: Decimal,
    /// The unit.
    #[serde(serialize_with = "symbol")]
    pub unit: Unit,
    /// The weightiest of the reasons for it.
    pub role: Role,
    /// The positions that it goes to.
    pub positions: Vec<String>,
    /// Why it is on the list.
    pub because: Vec<Reason>,
    /// The notes of the job lines that buy it and of the rows by which it became what it is.
    pub notes: Vec<String>,
    /// At least one use of it is as needed.
    pub as_needed: bool,
    /// What its number was where the tables start from an older one.
    pub replaces: Vec<String>,
    /// What stands open of where it goes or of its number.
    pub open: Vec<OpenGap>,
    /// What the amount adds up from, each with the number that the tables start from.
    #[serde(skip)]
    pub sources: Vec<LineSource>,
}

/// A share of a line's amount.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct LineSource {
    /// The number that the tables start from; the line's part is what it became.
    pub start: PartNumber,
    /// How much, in the line's unit; 0 is as needed.
    pub amount: Decimal,
    /// The position that it goes to, if any.
    pub position: Option<Key>,
    /// The operation that uses it up, if any.
    pub operation: Option<Key>,
    /// One of the part serves every position that names it so.
    pub set: bool,
}

/// Why something is renewed or bought; the weightiest first.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Role {
    /// A job line names it.
    New,
    /// Another part needs it.
    Companion,
    /// A rule says that it is used up.
    SingleUse,
    /// An operation uses it up.
    Consumable,
}

impl Role {
    /// Gives the role's name.
    pub fn as_str(self) -> &'static str {
        match self {
            Role::New => "new",
            Role::Companion => "companion",
            Role::SingleUse => "single-use",
            Role::Consumable => "consumable",
        }
    }
}

impl fmt::Display for Role {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.pad(self.as_str())
    }
}

impl Serialize for Role {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        serializer.serialize_str(self.as_str())
    }
}

fn number<S: Serializer>(value: &Decimal, serializer: S) -> Result<S::Ok, S::Error> {
    json_number(*value).serialize(serializer)
}

fn maybe_number<S: Serializer>(value: &Option<Decimal>, serializer: S) -> Result<S::Ok, S::Error> {
    match value {
        Some(value) => number(value, serializer),
        None => serializer.serialize_none(),
    }
}

fn symbol<S: Serializer>(unit: &Unit, serializer: S) -> Result<S::Ok, S::Error> {
    serializer.serialize_str(unit.symbol())
}
