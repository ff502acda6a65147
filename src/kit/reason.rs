use crate::measure::Key;
use serde::{Serialize, Serializer};

/// Why something is in the plan, in words that a person can follow back to a table row.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Reason {
    /// What called for it.
    pub text: String,
    /// The row that says so, as `file:line`; blank where the person asked for it directly.
    pub place: String,
    /// What it follows from.
    pub from: Origin,
}

/// What a reason follows from.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Origin {
    /// A job line, or the person's own word.
    Ask,
    /// A rule about what is disturbed; by itself it calls for nothing.
    Rule,
    /// Something else in the plan.
    Plan(Cause),
}

/// Something in the plan that calls for something else.
#[derive(Debug, Clone, PartialEq, Eq, Hash)]
pub enum Cause {
    /// A position that changes or is disturbed.
    Position(Key),
    /// An operation that is carried out.
    Operation(Key),
}

impl Reason {
    /// Makes a reason that follows from the ask itself.
    pub fn asked(text: impl Into<String>, place: impl Into<String>) -> Self {
        Reason { text: text.into(), place: place.into(), from: Origin::Ask }
    }

    /// Makes a reason that says which rule was followed.
    pub fn rule(text: impl Into<String>, place: impl Into<String>) -> Self {
        Reason { text: text.into(), place: place.into(), from: Origin::Rule }
    }

    /// Makes a reason that follows from something else in the plan.
    pub fn from(cause: Cause, text: impl Into<String>, place: impl Into<String>) -> Self {
        Reason { text: text.into(), place: place.into(), from: Origin::Plan(cause) }
    }
}

impl std::fmt::Display for Reason {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        if self.place.is_empty() {
            f.write_str(&self.text)
        } else {
            write!(f, "{} ({})", self.text, self.place)
        }
    }
}

impl Serialize for Reason {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        serializer.collect_str(self)
    }
}

/// Adds a reason once.
pub(crate) fn note(reasons: &mut Vec<Reason>, reason: Reason) {
    if !reasons.contains(&reason) {
        reasons.push(reason);
    }
}
