//! What the tables say of a part at a position, fact by fact.

use super::arrivals::{self, Arrival};
use super::{Kind, Verdict};
use crate::catalog::{Applies, At, Change, Lookup, Need, Retrofit, Status, Verdict as Declared};
use crate::kit::{Alike, Bench, Final, Place, Word, all_alike, ask_retrofits};
use crate::measure::{Key, PartNumber};
use std::collections::HashSet;

/// One thing that the tables say, and what it says by itself.
pub(super) struct Told {
    /// What is said.
    pub fact: Fact,
    /// What it says by itself.
    pub verdict: Verdict,
}

/// A thing that the tables say of a part at a position.
pub(super) enum Fact {
    /// It is never to be fitted anywhere.
    Withdrawn { at: At },
    /// A row lists it, or the log has it there.
    Listed { number: Number, at: At },
    /// It is what became of a part that is listed or logged, with what the rows on the way need.
    Replaces { number: Number, at: At, chain: Vec<PartNumber>, with: Vec<Need> },
    /// A retrofit row for it, for what it replaced or for the same part under another number.
    Declared { row: Retrofit, whose: Whose, look: bool },
    /// A retrofit row that may be for this machine, and what would tell.
    PerhapsDeclared { row: Retrofit, missing: String },
    /// A retrofit row of another part has it go there.
    CalledFor { row: Retrofit },
    /// It arrives fitted there inside another part.
    Arrives(Arrival),
}

/// The number by which a part is known at a position: its own, or one that will do for it.
pub(super) struct Number {
    pub number: PartNumber,
    pub how: Option<Alike>,
}

/// Whose row a retrofit row is.
#[derive(Clone, Copy, PartialEq, Eq)]
pub(super) enum Whose {
    Its,
    OfWhatItReplaced,
    OfAnotherNumber,
}

impl Told {
    /// Where this comes from.
    pub(super) fn kind(&self) -> Kind {
        match &self.fact {
            Fact::Listed { number, .. } => match number.how {
                Some(Alike::BothWays(_)) => Kind::Superseded,
                _ => Kind::Listed,
            },
            Fact::Replaces { .. } => Kind::Superseded,
            _ => Kind::Declared,
        }
    }
}

/// All that the tables say of a part at a position, with what follows from it together.
#[derive(Default)]
pub(super) struct Hearsay {
    pub told: Vec<Told>,
    pub verdict: Option<Verdict>,
    /// What must change with it.
    pub needs: Vec<Need>,
    /// What must be done for it.
    pub operations: Vec<Key>,
}

impl Hearsay {
    /// Gathers what the tables say.
    pub(super) fn of(bench: &Bench, part: &PartNumber, place: &Place) -> Self {
        let mut said = Hearsay::default();
        let row = bench.lookup.part(part);
        if let Some(row) = row.filter(|row| row.status == Some(Status::Withdrawn)) {
            said.say(Verdict::DoesNotFit, Fact::Withdrawn { at: row.at });
        }
        let alike = all_alike(part, bench);
        said.listed(bench, part, place, &alike);
        let word = ask_of_equivalents(bench, part, &place.position, &alike);
        said.declared(bench, part, &word);
        said.called_for(bench, part, &place.position);
        for row in &word.unsure {
            let missing = bench.missing(std::slice::from_ref(row));
            said.say(Verdict::NotKnown, Fact::PerhapsDeclared { row: row.clone(), missing });
        }
        // Where nothing else connects the two: a part that is listed there needs no container.
        if said.told.is_empty() {
            said.arrives(bench, part, &place.position);
        }
        said.verdict = said.together(word.unsure.is_empty());
        said
    }

    fn say(&mut self, verdict: Verdict, fact: Fact) {
        self.told.push(Told { fact, verdict });
    }

    fn need(&mut self, needs: impl IntoIterator<Item = Need>) {
        for need in needs {
            if !self.needs.contains(&need) {
                self.needs.push(need);
            }
        }
    }

    /// What is listed or logged there is the part, or became it.
    fn listed(
        &mut self,
        bench: &Bench,
        part: &PartNumber,
        place: &Place,
        alike: &[(PartNumber, Alike)],
    ) {
        let sure = if place.applies == Applies::Yes { Verdict::Fits } else { Verdict::NotKnown };
        let rows = place.speaking.iter().filter_map(|row| Some((row.part.part()?, row.at, sure)));
        let logged = place.current.parts.iter().filter(|_| place.current.logged);
        let logged =
            logged.filter_map(|sitting| Some((sitting.part.as_ref()?, sitting.at, Verdict::Fits)));
        let mut told = HashSet::new();
        for (there, at, verdict) in rows.chain(logged) {
            let resolved = bench.resolve(there);
            let numbers = std::iter::once((part, None))
                .chain(alike.iter().map(|(number, how)| (number, Some(*how))));
            let Some(number) = numbers
                .map(|(number, how)| Number { number: number.clone(), how })
                .find(|known| known.number == *there || resolved.passes(&known.number))
            else {
                continue;
            };
            if number.number == *there {
                self.say(verdict, Fact::Listed { number, at });
                continue;
            }
            let on_chain = |end: &&Final| end.chain.iter().any(|link| link.part == number.number);
            let Some(end) = resolved.finals.iter().find(on_chain) else { continue };
            if !told.insert(there.clone()) {
                continue;
            }
            // The rows up to this part; those after it are another part's business.
            let mut chain: Vec<PartNumber> = Vec::new();
            for link in &end.chain {
                chain.push(link.part.clone());
                if link.part == number.number {
                    break;
                }
            }
            let of_rows = chain.iter().skip(1).flat_map(|new| {
                resolved.needs.iter().filter(move |need| need.new == *new).map(|need| &need.need)
            });
            let with: Vec<Need> = of_rows.map(|need| spelled(need, bench.lookup)).collect();
            let verdict = match verdict {
                Verdict::Fits if !with.is_empty() => Verdict::FitsWith,
                other => other,
            };
            self.need(with.iter().cloned());
            self.say(verdict, Fact::Replaces { number, at, chain, with });
        }
    }

    /// What the retrofit rows say of it.
    fn declared(&mut self, bench: &Bench, part: &PartNumber, word: &Word) {
        for row in &word.speaking {
            let verdict = match row.verdict {
                Declared::Fits => Verdict::Fits,
                Declared::FitsWith | Declared::LookFirst => Verdict::FitsWith,
                Declared::No => Verdict::DoesNotFit,
            };
            let whose = if row.part == *part {
                Whose::Its
            } else if bench.on_chain_of(&row.part, part) {
                Whose::OfWhatItReplaced
            } else {
                Whose::OfAnotherNumber
            };
            let look = row.verdict == Declared::LookFirst && !is_confirmed(bench, row);
            self.say(verdict, Fact::Declared { row: row.clone(), whose, look });
            if verdict.is_yes() {
                self.need(row.needs.iter().map(|need| spelled(need, bench.lookup)));
                let waiting = row.operations.iter().filter(|operation| !bench.is_done(operation));
                for operation in waiting {
                    let operation = bench.lookup.spell_operation(operation);
                    if !self.operations.contains(&operation) {
                        self.operations.push(operation);
                    }
                }
            }
        }
    }

    /// A retrofit row of another part has it go there.
    fn called_for(&mut self, bench: &Bench, part: &PartNumber, position: &Key) {
        let lookup = bench.lookup;
        for row in lookup.retrofits_calling_for(part).iter() {
            let here = |need: &Need| need.position == *position && need.part() == Some(part);
            if row.verdict == Declared::No || !row.needs.iter().any(here) {
                continue;
            }
            let verdict = match row.scope.applies(&bench.place(&row.position).machine) {
                Applies::No => continue,
                Applies::Unsure => Verdict::NotKnown,
                Applies::Yes => Verdict::FitsWith,
            };
            self.say(verdict, Fact::CalledFor { row: row.clone() });
            if verdict == Verdict::FitsWith {
                self.need([together_with(&row.position, &row.part, lookup)]);
            }
        }
    }

    fn arrives(&mut self, bench: &Bench, part: &PartNumber, position: &Key) {
        for arrival in arrivals::inside_of(bench, part, position) {
            let verdict = if arrival.sits_there {
                Verdict::Fits
            } else {
                self.need([together_with(&arrival.goes_to, &arrival.by, bench.lookup)]);
                Verdict::FitsWith
            };
            self.say(verdict, Fact::Arrives(arrival));
        }
    }

    /// What the tables say together; `None` where they say nothing.
    fn together(&self, sure: bool) -> Option<Verdict> {
        let says = |wanted: Verdict| self.told.iter().any(|told| told.verdict == wanted);
        if self.told.is_empty() {
            None
        } else if says(Verdict::DoesNotFit) {
            Some(Verdict::DoesNotFit)
        } else if sure && says(Verdict::FitsWith) {
            Some(Verdict::FitsWith)
        } else if sure && says(Verdict::Fits) {
            Some(Verdict::Fits)
        } else {
            Some(Verdict::NotKnown)
        }
    }

    /// Another part must go in with it.
    pub(super) fn brings_another_part(&self) -> bool {
        self.verdict == Some(Verdict::FitsWith)
            && self.needs.iter().any(|need| need.part().is_some())
    }
}

/// The log of the machine says that what the row tells to look at was found so.
fn is_confirmed(bench: &Bench, row: &Retrofit) -> bool {
    bench.lookup.log_of(&bench.machine.machine).iter().any(|entry| {
        entry.position.as_ref() == Some(&row.position) && entry.confirms.as_ref() == Some(&row.part)
    })
}

/// Asks the retrofit rows about a part; where they say nothing of it, about the same part under its other numbers.
fn ask_of_equivalents(
    bench: &Bench,
    part: &PartNumber,
    position: &Key,
    alike: &[(PartNumber, Alike)],
) -> Word {
    let others =
        alike.iter().filter(|(_, how)| *how == Alike::Equivalent).map(|(number, _)| number);
    let words =
        std::iter::once(part).chain(others).map(|number| ask_retrofits(bench, number, position));
    words
        .into_iter()
        .find(|word| !word.speaking.is_empty() || !word.unsure.is_empty())
        .unwrap_or_default()
}

/// Gives a need with position and part as their own tables spell them.
fn spelled(need: &Need, lookup: &dyn Lookup) -> Need {
    let mut need = need.clone();
    need.position = lookup.spell_position(&need.position);
    if let Change::Fit { part, .. } = &mut need.change {
        *part = lookup.spell_part(part);
    }
    need
}

fn together_with(position: &Key, part: &PartNumber, lookup: &dyn Lookup) -> Need {
    let change = Change::Fit { part: lookup.spell_part(part), quantity: None };
    Need { position: lookup.spell_position(position), change }
}
