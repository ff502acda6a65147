//! What the retrofit rows say of a part at a position, and whether a job's part is known to fit.

use super::bench::{Bench, Place};
use crate::catalog::{Applies, Retrofit, Verdict};
use crate::measure::{Key, PartNumber};

/// What the retrofit rows say of a part at a position.
#[derive(Debug, Clone, Default)]
pub struct Word {
    /// The rows that speak.
    pub speaking: Vec<Retrofit>,
    /// Rows for exactly this part and position that may apply or not.
    pub unsure: Vec<Retrofit>,
}

impl Word {
    /// Gives the row that says no, if one does.
    pub fn refusal(&self) -> Option<&Retrofit> {
        self.speaking.iter().find(|row| row.verdict == Verdict::No)
    }

    /// At least one row speaks, and none says no.
    pub fn says_yes(&self) -> bool {
        !self.speaking.is_empty() && self.refusal().is_none()
    }
}

/// Asks the retrofit rows about a part at a position.
///
/// Rows for exactly this part speak where there are any; otherwise rows whose part was replaced by this one.
pub fn ask(bench: &Bench, part: &PartNumber, position: &Key) -> Word {
    let mut exact = Word::default();
    let mut earlier = Vec::new();
    for row in bench.lookup.retrofits_at(position).iter() {
        match (row.part == *part, row.scope.applies(&bench.machine)) {
            (true, Applies::Yes) => exact.speaking.push(row.clone()),
            (true, Applies::Unsure) => exact.unsure.push(row.clone()),
            (false, Applies::Yes) => earlier.push(row.clone()),
            _ => {}
        }
    }
    if exact.speaking.is_empty() && exact.unsure.is_empty() {
        earlier.retain(|row| bench.on_chain_of(&row.part, part));
        return Word { speaking: earlier, unsure: Vec::new() };
    }
    exact
}

/// The part lies on the chain of a part that the position lists for this machine, or that sits there.
pub fn is_placed(bench: &Bench, part: &PartNumber, place: &Place) -> bool {
    let listed = place.speaking.iter().filter_map(|row| row.part.part());
    let sitting = place.current.parts.iter().filter_map(|sitting| sitting.part.as_ref());
    listed.chain(sitting).any(|start| bench.on_chain_of(start, part))
}
