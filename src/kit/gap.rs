//! What stands open, and the facts of each case. The sentences are made of them at the end.

use super::bench::Bench;
use super::gap_words;
use crate::catalog::{At, Machine, Operation, Position, Scope, Selection};
use crate::measure::{Key, PartNumber};
use serde::{Serialize, Serializer};
use std::collections::HashSet;
use std::fmt;

macro_rules! kinds {
    ($(#[doc = $doc:literal] $Kind:ident = $name:literal,)*) => {
        /// A kind of thing that keeps a kit from being complete.
        #[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
        pub enum GapKind { $(#[doc = $doc] $Kind,)* }

        impl GapKind {
            /// Every kind, in the order of the rules.
            pub const ALL: &[GapKind] = &[$(GapKind::$Kind,)*];

            /// Gives the kind's name.
            pub fn as_str(self) -> &'static str {
                match self { $(GapKind::$Kind => $name,)* }
            }
        }
    };
}

kinds! {
    #[doc = "An operation of the plan has no row for the machine."]
    OperationUnknown = "operation-unknown",
    #[doc = "Operations need each other in a circle."]
    OperationCycle = "operation-cycle",
    #[doc = "An opened joint holds nothing that seals, and is not said to be dry."]
    JointUnsealed = "joint-unsealed",
    #[doc = "Something is renewed or left out that nothing in the plan makes free."]
    WayInUnknown = "way-in-unknown",
    #[doc = "The rows of a position leave out what lies between them."]
    BetweenRows = "between-rows",
    #[doc = "A position has no row at all."]
    PositionUnknown = "position-unknown",
    #[doc = "Nobody has looked up the part, or its number is not in the table parts."]
    PartUnknown = "part-unknown",
    #[doc = "A part sits there that is listed for other machines only."]
    ForeignPart = "foreign-part",
    #[doc = "No rule says what happens to the part when it is disturbed."]
    RuleUnknown = "rule-unknown",
    #[doc = "A row may apply to the machine or not; a year, serial or trait is missing."]
    NotSettled = "not-settled",
    #[doc = "Rows that all apply say different things."]
    Overlap = "overlap",
    #[doc = "Two replacements are as good as each other."]
    Choice = "choice",
    #[doc = "A chain of replacements leads back to itself."]
    SupersessionCycle = "supersession-cycle",
    #[doc = "One position is asked to hold two things."]
    Conflict = "conflict",
    #[doc = "Nothing says that the part fits."]
    FitUnknown = "fit-unknown",
    #[doc = "Something says that the part does not fit."]
    DoesNotFit = "does-not-fit",
    #[doc = "The figures say that the part does not fit."]
    WrongSize = "wrong-size",
    #[doc = "The part fits only if the machine is as the row says."]
    LookFirst = "look-first",
    #[doc = "The part is chosen by measuring, and nothing was measured that tells which."]
    MeasureFirst = "measure-first",
    #[doc = "The part is made no more, and nothing replaces it."]
    Discontinued = "discontinued",
    #[doc = "The part is never to be fitted again."]
    Withdrawn = "withdrawn",
    #[doc = "A row that could change the plan cannot be read."]
    Unread = "unread",
}

impl fmt::Display for GapKind {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.pad(self.as_str())
    }
}

impl Serialize for GapKind {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        serializer.serialize_str(self.as_str())
    }
}

/// Something that stands open: the kit cannot be called complete until it is settled.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Gap {
    /// What kind of thing.
    pub kind: GapKind,
    /// The key or part number that it is about, as its own table spells it.
    pub subject: String,
    /// What is wrong and what to do.
    pub message: String,
}

/// A gap by its kind and subject alone, to point at one.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct OpenGap {
    /// What kind of thing.
    pub kind: GapKind,
    /// The key or part number that it is about, as its own table spells it.
    pub subject: String,
}

impl fmt::Display for OpenGap {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{} {}", self.kind, self.subject)
    }
}

/// What a gap is about. Kept apart by kind of name, so that a key and a number of the same letters stay two gaps.
#[derive(Debug, Clone, PartialEq, Eq, Hash)]
pub(crate) enum Subject {
    Job(Key),
    Position(Key),
    Operation(Key),
    Joint(Key),
    Part(PartNumber),
    Machine(Key),
    Type(Key),
    Row(At),
}

/// The facts of one gap.
#[derive(Debug, Clone)]
pub(crate) enum Why {
    /// The rows of a job may not be for the machine.
    JobUnsure {
        rows: Vec<(At, Scope)>,
        machine: Box<Machine>,
    },
    LineUnsure {
        at: At,
        scope: Scope,
        machine: Box<Machine>,
    },
    /// Asked for by someone, and no row at all; the reason in words.
    NoPosition {
        by: String,
    },
    /// An operation takes it off.
    NoPositionRemoved {
        operation: Key,
        at: At,
    },
    NoPositionLeftOut {
        place: String,
    },
    NoOperation {
        by: String,
    },
    OperationForOthers {
        by: String,
    },
    TwoParts {
        stays: Option<PartNumber>,
        other: Option<PartNumber>,
        by: String,
    },
    RenewedThenEmpty {
        by: String,
    },
    EmptyThenRenewed {
        by: String,
    },
    NeedsItself {
        at: At,
    },
    /// A part that may be replaced on this machine.
    MayBeReplaced {
        at: At,
        scope: Scope,
        machine: Box<Machine>,
    },
    AsGood {
        taken: At,
        other: At,
    },
    Forks {
        most: usize,
    },
    LeadsBack {
        at: At,
    },
    NobodyKnows {
        part: PartNumber,
        holds: Option<(PartNumber, At)>,
    },
    RetrofitUnsure {
        part: PartNumber,
        at: At,
        scope: Scope,
        machine: Box<Machine>,
    },
    Refused {
        part: PartNumber,
        at: At,
        note: String,
    },
    LookFirst {
        part: PartNumber,
        at: At,
        note: String,
    },
    NothingListed,
    NotLookedUp {
        at: At,
    },
    NotInParts {
        part: PartNumber,
    },
    NeitherInParts {
        part: PartNumber,
    },
    OrderedNotInParts,
    NoType {
        part: PartNumber,
        at: At,
    },
    StrangeType {
        part: PartNumber,
        name: Key,
        at: At,
    },
    TypeWithoutRule {
        part: PartNumber,
        name: Key,
        at: At,
    },
    Discontinued {
        at: At,
    },
    Withdrawn {
        at: At,
    },
    /// Two log rows of one date.
    LoggedTwice {
        one: At,
        other: At,
    },
    SelectionsUnsure {
        rows: Vec<Selection>,
        machine: Box<Machine>,
    },
    MeasureFirst {
        rows: Vec<Selection>,
    },
    PositionRowsDiffer {
        used: Box<Position>,
        other: Box<Position>,
    },
    PositionRowsUnsure {
        /// The row used, where one surely applies.
        used: Option<Box<Position>>,
        /// The rows that may apply.
        rows: Vec<Position>,
        machine: Box<Machine>,
    },
    OperationRowsDiffer {
        used: At,
        other: At,
    },
    OperationRowsUnsure {
        used: Option<At>,
        rows: Vec<Operation>,
        machine: Box<Machine>,
    },
    PartRowsDiffer {
        used: At,
        other: At,
    },
    JointShut {
        joint: Key,
    },
    NoWayIn {
        at: At,
    },
    Between {
        before: At,
        after: At,
        years: bool,
    },
    Foreign {
        part: PartNumber,
        logged: At,
        row: At,
    },
    /// Nothing in the joint seals; what is in it, in words.
    Unsealed {
        holds: String,
    },
    Unread {
        table: String,
        at: At,
        message: String,
    },
}

/// The gaps raised so far, one per kind and subject, in the order in which they were raised.
#[derive(Debug, Default)]
pub(crate) struct Gaps {
    raised: Vec<(GapKind, Subject, Why)>,
    seen: HashSet<(GapKind, Subject)>,
}

impl Gaps {
    pub fn raise(&mut self, kind: GapKind, subject: Subject, why: Why) {
        if self.seen.insert((kind, subject.clone())) {
            self.raised.push((kind, subject, why));
        }
    }

    pub fn position(&mut self, kind: GapKind, position: &Key, why: Why) {
        self.raise(kind, Subject::Position(position.clone()), why);
    }

    /// Puts the gaps into words.
    pub fn told(self, bench: &Bench) -> Vec<Gap> {
        self.raised
            .into_iter()
            .map(|(kind, subject, why)| Gap {
                kind,
                subject: spell(bench, &subject),
                message: gap_words::gap(bench, &subject, &why),
            })
            .collect()
    }
}

fn spell(bench: &Bench, subject: &Subject) -> String {
    let lookup = bench.lookup;
    match subject {
        Subject::Job(job) => {
            lookup.jobs(job).first().map_or_else(|| job.to_string(), |row| row.job.to_string())
        }
        Subject::Position(position) => lookup.spell_position(position).to_string(),
        Subject::Operation(operation) => lookup.spell_operation(operation).to_string(),
        Subject::Joint(joint) => lookup.spell_joint(joint).to_string(),
        Subject::Part(part) => lookup.spell_part(part).to_string(),
        Subject::Type(name) => lookup.spell_type(name).to_string(),
        Subject::Machine(machine) => machine.to_string(),
        Subject::Row(at) => lookup.place(*at),
    }
}
