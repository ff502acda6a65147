use crate::measure::{Key, PartNumber};
use serde::{Serialize, Serializer};
use std::fmt;

/// A kind of thing that keeps a kit from being complete.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum GapKind {
    /// An operation of the plan has no row for the machine.
    OperationUnknown,
    /// Operations need each other in a circle.
    OperationCycle,
    /// An opened joint holds nothing that seals, and is not said to be dry.
    JointUnsealed,
    /// A position has no row at all.
    PositionUnknown,
    /// Nobody has looked up the part, or its number is not in the table parts.
    PartUnknown,
    /// No rule says what happens to the part when it is disturbed.
    RuleUnknown,
    /// A row may apply to the machine or not; a year, serial or trait is missing.
    NotSettled,
    /// Rows that all apply say different things.
    Overlap,
    /// Two replacements are as good as each other.
    Choice,
    /// A chain of replacements leads back to itself.
    SupersessionCycle,
    /// One position is asked to hold two things.
    Conflict,
    /// Nothing says that the part fits.
    FitUnknown,
    /// Something says that the part does not fit.
    DoesNotFit,
    /// The part is made no more, and nothing replaces it.
    Discontinued,
}

impl GapKind {
    /// Gives the kind's name.
    pub fn as_str(self) -> &'static str {
        match self {
            GapKind::OperationUnknown => "operation-unknown",
            GapKind::OperationCycle => "operation-cycle",
            GapKind::JointUnsealed => "joint-unsealed",
            GapKind::PositionUnknown => "position-unknown",
            GapKind::PartUnknown => "part-unknown",
            GapKind::RuleUnknown => "rule-unknown",
            GapKind::NotSettled => "not-settled",
            GapKind::Overlap => "overlap",
            GapKind::Choice => "choice",
            GapKind::SupersessionCycle => "supersession-cycle",
            GapKind::Conflict => "conflict",
            GapKind::FitUnknown => "fit-unknown",
            GapKind::DoesNotFit => "does-not-fit",
            GapKind::Discontinued => "discontinued",
        }
    }
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
}

/// The gaps raised so far, one per kind and subject, in the order in which they were raised.
#[derive(Debug, Default)]
pub(crate) struct Gaps {
    raised: Vec<((GapKind, Subject), String)>,
    seen: std::collections::HashSet<(GapKind, Subject)>,
}

impl Gaps {
    pub fn raise(&mut self, kind: GapKind, subject: Subject, message: impl FnOnce() -> String) {
        if self.seen.insert((kind, subject.clone())) {
            self.raised.push(((kind, subject), message()));
        }
    }

    pub fn into_list(self, spell: impl Fn(&Subject) -> String) -> Vec<Gap> {
        self.raised
            .into_iter()
            .map(|((kind, subject), message)| Gap { kind, subject: spell(&subject), message })
            .collect()
    }
}
