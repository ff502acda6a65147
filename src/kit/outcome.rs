//! What a disturbed position comes to: its action, and the parts that renew it.

use super::action::Action;
use super::bench::Place;
use super::reason::Reason;
use super::supersession::Final;
use crate::measure::{PartNumber, Quantity};
use std::rc::Rc;

/// What a disturbed position comes to.
#[derive(Debug, Clone)]
pub(crate) struct Outcome {
    pub place: Rc<Place>,
    pub action: Action,
    /// A single-use part that goes back in on the person's word.
    pub reused: bool,
    pub rule: Option<Reason>,
    pub parts: Vec<Planned>,
    /// The parts whose rows or types said what happens.
    pub judged_by: Vec<PartNumber>,
    /// What the rows that speak say besides.
    pub notes: Vec<String>,
}

impl Outcome {
    /// Something is changed there.
    pub fn changes(&self) -> bool {
        self.action.changes()
    }
}

/// A final part for a renewed position.
#[derive(Debug, Clone)]
pub(crate) struct Planned {
    pub end: Final,
    pub quantity: Quantity,
    /// One of this part serves every position that names it as a set.
    pub set: bool,
}
