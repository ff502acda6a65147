//! A kit that a second reading has agreed with: the one that every front end and every command builds on.

use super::answer::Kit;
use super::ask::{Ask, Refusal};
use super::audit::{Finding, audit};
use super::plan::work_out;
use crate::catalog::Lookup;
use std::fmt;

/// Why there is no kit to build on.
#[derive(Debug)]
pub enum NoKit {
    /// What was asked has no answer.
    Refused(Refusal),
    /// The second reading disagrees, so nothing is made of the kit.
    Disagreement(Box<Disagreement>),
}

/// A kit and what its audit found of it.
#[derive(Debug)]
pub struct Disagreement {
    /// The kit, not to be relied on.
    pub kit: Kit,
    /// Where the audit sees it otherwise.
    pub findings: Vec<Finding>,
}

impl From<Refusal> for NoKit {
    fn from(refusal: Refusal) -> Self {
        NoKit::Refused(refusal)
    }
}

impl fmt::Display for NoKit {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            NoKit::Refused(refusal) => refusal.fmt(f),
            NoKit::Disagreement(_) => f.write_str(
                "the kit and its audit disagree, so nothing is made of it; kitwright kit shows both views",
            ),
        }
    }
}

impl std::error::Error for NoKit {}

/// Works a kit out, and has it checked.
///
/// # Errors
/// The ask cannot be answered, or the second reading disagrees.
pub fn checked(ask: &Ask, lookup: &dyn Lookup) -> Result<Kit, NoKit> {
    let kit = work_out(ask, lookup)?;
    let findings = audit(ask, &kit, lookup);
    if findings.is_empty() {
        Ok(kit)
    } else {
        Err(NoKit::Disagreement(Box::new(Disagreement { kit, findings })))
    }
}
