//! What the retrofit rows say of a part at a position, and whether a job's part is known to fit.

use super::bench::{Bench, Place};
use super::gap::{GapKind, Subject, Why};
use super::rounds::Rounds;
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
    let rows = bench.lookup.retrofits_at(position);
    if rows.is_empty() {
        return Word::default();
    }
    let machine = bench.machine_at(position);
    let mut exact = Word::default();
    let mut earlier = Vec::new();
    for row in rows.iter() {
        match (row.part == *part, row.scope.applies(&machine)) {
            (true, Applies::Yes) => exact.speaking.push(row.clone()),
            (true, Applies::Unsure) => exact.unsure.push(row.clone()),
            (false, Applies::Yes) => earlier.push(row.clone()),
            _ => {}
        }
    }
    if exact.speaking.is_empty() && exact.unsure.is_empty() {
        earlier.retain(|row| bench.chains(&row.part, &machine).passes(part));
        return Word { speaking: earlier, unsure: Vec::new() };
    }
    exact
}

/// The part lies on the chain of a part that the position lists for this machine, or that sits there.
pub fn is_placed(bench: &Bench, part: &PartNumber, place: &Place) -> bool {
    let listed = place.speaking.iter().filter_map(|row| row.part.part());
    let sitting = place.current.parts.iter().filter_map(|sitting| sitting.part.as_ref());
    listed.chain(sitting).any(|start| bench.leads_to(start, part, place))
}

impl Rounds<'_> {
    /// Says of each part that a job line puts somewhere whether anything says that it fits.
    pub(super) fn judge_fits(&mut self) {
        for target in self.targets.clone() {
            let (Some(part), true) = (&target.part, target.own) else { continue };
            let position = &target.position;
            if self.called_parts.contains(&(position.clone(), part.clone())) {
                continue;
            }
            let bench = self.bench;
            let place = bench.place(position);
            let resolved = bench.chains(part, &place.machine);
            let finals = || resolved.finals.iter().map(|end| &end.part);
            let refused =
                finals().chain([part]).any(|part| ask(bench, part, position).refusal().is_some());
            let known = |part: &PartNumber| {
                ask(bench, part, position).says_yes() || is_placed(bench, part, &place)
            };
            if !refused && !known(part) && !finals().all(known) {
                let contents = bench.lookup.contents_of(part);
                let holds = contents
                    .iter()
                    .find(|row| row.position.is_none() && known(&row.contained))
                    .map(|row| (row.contained.clone(), row.at));
                let why = Why::NobodyKnows { part: part.clone(), holds };
                self.gaps.raise(GapKind::FitUnknown, Subject::Position(position.clone()), why);
            }
        }
    }
}
