//! The parts that renew a position, and what they call for.

use super::bench::Place;
use super::gap::{GapKind, Subject, Why};
use super::outcome::Planned;
use super::reason::Reason;
use super::retrofit;
use super::rounds::{Called, Rounds, Target};
use super::selection::Chosen;
use super::supersession::{Final, raise_doubts};
use super::words;
use crate::catalog::{At, Part, PlaceQuantity, Status, Verdict};
use crate::measure::{PartNumber, Quantity};

/// A part that a position is renewed from.
struct Start {
    part: Option<PartNumber>,
    /// How many of it.
    amount: Quantity,
    /// The position, and nothing else, says how many.
    by_position: bool,
    at: At,
}

/// What a renewed position comes to.
#[derive(Default)]
pub(super) struct Renewed {
    pub parts: Vec<Planned>,
    pub called: Vec<Called>,
    pub notes: Vec<String>,
}

impl Renewed {
    fn note(&mut self, text: &str) {
        if !text.is_empty() && !self.notes.iter().any(|note| note == text) {
            self.notes.push(text.to_owned());
        }
    }
}

impl Rounds<'_> {
    /// Finds the parts that renew a position, and collects what they call for.
    pub(super) fn renew(&mut self, place: &Place) -> Renewed {
        let bench = self.bench;
        let position = &place.position;
        let mut renewed = Renewed::default();
        if let Some(operation) = place.way_in() {
            let reason = words::way_in(bench, place);
            renewed.called.push(Called::Operation(operation.clone(), reason));
        }
        let target = self.target(position).cloned();
        let wanted = target.as_ref().and_then(|target| target.part.as_ref());
        let chosen = if target.is_some() { Chosen::No } else { bench.chosen(place) };
        if let Chosen::Open(rows) = chosen {
            self.gaps.position(GapKind::MeasureFirst, position, Why::MeasureFirst { rows });
            return renewed;
        }
        if let Chosen::Part(row) = &chosen {
            renewed.note(&row.note);
        }
        let starts = self.starts(place, wanted, chosen.part());
        if starts.is_empty() {
            self.gaps.position(GapKind::PartUnknown, position, Why::NothingListed);
        }
        if let Some(part) = wanted {
            self.heed_retrofits(part, place, &mut renewed);
        }
        for start in &starts {
            let Some(part) = &start.part else {
                let why = Why::NotLookedUp { at: start.at };
                self.gaps.position(GapKind::PartUnknown, position, why);
                continue;
            };
            let resolved = bench.chains(part, &place.machine);
            raise_doubts(&resolved, &place.machine, &mut self.gaps);
            for end in &resolved.finals {
                end.rows().for_each(|row| renewed.note(&row.note));
                if end.part != *part && wanted != Some(&end.part) {
                    self.heed_retrofits(&end.part, place, &mut renewed);
                }
            }
            for need in &resolved.needs {
                let reason = words::chain_need(bench, position, need);
                renewed.called.push(Called::Need(need.need.clone(), reason));
            }
            for end in &resolved.finals {
                renewed.parts.push(self.planned(place, start, target.as_ref(), end));
            }
        }
        renewed
    }

    fn starts(
        &self,
        place: &Place,
        wanted: Option<&PartNumber>,
        chosen: Option<&PartNumber>,
    ) -> Vec<Start> {
        let bench = self.bench;
        let is_set = place.quantity() == PlaceQuantity::Set;
        let whole = |part: &PartNumber| Start {
            part: Some(part.clone()),
            amount: bench.takes(place, part),
            by_position: is_set,
            at: At::default(),
        };
        if let Some(wanted) = wanted {
            let sitting = place.current.parts.iter().filter_map(|there| there.part.as_ref());
            let mut known = sitting.chain(place.listed());
            let start = known.find(|part| bench.leads_to(part, wanted, place)).unwrap_or(wanted);
            return vec![whole(start)];
        }
        if let Some(chosen) = chosen {
            return vec![whole(chosen)];
        }
        let there = place.current.parts.iter().map(|there| Start {
            part: there.part.clone(),
            amount: there.amount,
            by_position: is_set && there.quantity.is_none(),
            at: there.at,
        });
        there.collect()
    }

    /// One of the parts that a start became, with how many of it.
    fn planned(
        &mut self,
        place: &Place,
        start: &Start,
        target: Option<&Target>,
        end: &Final,
    ) -> Planned {
        let own = target.and_then(|target| {
            let quantity = target.quantity?;
            let factor = end.factor_from(target.part.as_ref()?)?;
            Some(Quantity::new(quantity.amount.saturating_mul(factor), quantity.unit))
        });
        let amount = own.unwrap_or_else(|| {
            Quantity::new(start.amount.amount.saturating_mul(end.factor), start.amount.unit)
        });
        let row = self.bench.lookup.part(&end.part);
        if row.is_none() {
            let why = Why::NotInParts { part: end.part.clone() };
            self.gaps.position(GapKind::PartUnknown, &place.position, why);
        }
        let quantity = row.and_then(|row| amount.to(row.unit?)).unwrap_or(amount);
        Planned { end: end.clone(), quantity, set: start.by_position && own.is_none() }
    }

    /// Collects what the retrofit rows call for with a part at a position.
    fn heed_retrofits(&mut self, part: &PartNumber, place: &Place, renewed: &mut Renewed) {
        let position = &place.position;
        let bench = self.bench;
        let word = retrofit::ask(bench, part, position);
        if let Some(row) = word.unsure.first() {
            let why = Why::RetrofitUnsure {
                part: part.clone(),
                at: row.at,
                scope: row.scope.clone(),
                machine: Box::new((*place.machine).clone()),
            };
            self.gaps.position(GapKind::NotSettled, position, why);
        }
        for row in &word.speaking {
            renewed.note(&row.note);
            if row.verdict == Verdict::LookFirst && !bench.is_confirmed(position, &row.part) {
                let why =
                    Why::LookFirst { part: row.part.clone(), at: row.at, note: row.note.clone() };
                self.gaps.position(GapKind::LookFirst, position, why);
            }
        }
        if let Some(row) = word.refusal() {
            let (part, note) = (part.clone(), row.note.clone());
            let why = Why::Refused { part, at: row.at, note };
            self.gaps.position(GapKind::DoesNotFit, position, why);
            return;
        }
        for row in &word.speaking {
            for need in &row.needs {
                let reason = words::retrofit_need(bench, row, need);
                renewed.called.push(Called::Need(need.clone(), reason));
            }
        }
        for row in &word.speaking {
            for operation in row.operations.iter().filter(|operation| !bench.is_done(operation)) {
                let reason: Reason = words::retrofit_operation(bench, row);
                renewed.called.push(Called::Operation(operation.clone(), reason));
            }
        }
    }

    /// Raises what keeps a final part from being ordered, or from going in; `ordered` where something of it is.
    pub(super) fn judge_status(&mut self, part: &PartNumber, ordered: bool) {
        let Some(row) = self.bench.lookup.part(part) else { return };
        let (kind, why) = match row.status {
            Some(Status::Discontinued) if ordered && !self.has_equivalent(&row) => {
                (GapKind::Discontinued, Why::Discontinued { at: row.at })
            }
            Some(Status::Withdrawn) => (GapKind::Withdrawn, Why::Withdrawn { at: row.at }),
            _ => return,
        };
        self.gaps.raise(kind, Subject::Part(part.clone()), why);
    }

    /// The same part can be bought under another number.
    fn has_equivalent(&self, part: &Part) -> bool {
        let lookup = self.bench.lookup;
        lookup.equivalents_of(&part.part).iter().any(|row| {
            let other = if row.part == part.part { &row.other } else { &row.part };
            let status = lookup.part(other).map(|row| row.status.unwrap_or(Status::Available));
            status == Some(Status::Available)
        })
    }
}
