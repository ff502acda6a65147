//! What happens to a disturbed position: renewed, inspected, kept or left out, and which rule says so.

use super::bench::{Bench, Place};
use super::gap::{GapKind, Gaps, Subject, Why};
use super::reason::Reason;
use super::rounds::{Rounds, Target};
use super::selection::Chosen;
use super::supersession::raise_doubts;
use super::words;
use crate::catalog::{At, Part, Status, WhenDisturbed};
use crate::measure::{PartNumber, Stage};
use serde::{Serialize, Serializer};
use std::fmt;
use std::rc::Rc;

/// What happens to a disturbed position.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Action {
    /// What is there is replaced.
    Renew,
    /// It is looked at or measured, and replaced if it is worn.
    Inspect,
    /// It goes back as it came off.
    Keep,
    /// It is left empty.
    LeaveOut,
}

impl Action {
    /// Gives the action's name.
    pub fn as_str(self) -> &'static str {
        match self {
            Action::Renew => "renew",
            Action::Inspect => "inspect",
            Action::Keep => "keep",
            Action::LeaveOut => "leave-out",
        }
    }
}

impl fmt::Display for Action {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.pad(self.as_str())
    }
}

impl Serialize for Action {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        serializer.serialize_str(self.as_str())
    }
}

/// What was found to happen to a position.
pub(crate) struct Judged {
    pub action: Action,
    /// A single-use part goes back in on the person's word.
    pub reused: bool,
    /// The rule that says so; `None` where it was asked for.
    pub rule: Option<Reason>,
    /// The parts whose rows or types said so.
    pub by: Vec<PartNumber>,
}

impl Judged {
    fn asked(action: Action) -> Self {
        Judged { action, reused: false, rule: None, by: Vec::new() }
    }

    fn by(action: Action, rule: Reason) -> Self {
        Judged { action, reused: false, rule: Some(rule), by: Vec::new() }
    }
}

/// One disturbed position that nobody asked to change.
struct Rule<'a> {
    bench: &'a Bench<'a>,
    place: &'a Place,
    carrier: Option<Action>,
    /// A part that is to be chosen by measuring need not be known.
    open: bool,
    gaps: &'a mut Gaps,
    by: Vec<PartNumber>,
}

impl Rounds<'_> {
    /// Says what happens to a disturbed position, and raises what keeps that from being told.
    ///
    /// What carries it is judged first, from the outermost in. Where they carry each other in a circle, the one that
    /// waits for another of them counts as kept.
    pub(super) fn judge(&self, place: &Rc<Place>, gaps: &mut Gaps) -> Judged {
        let mut line = vec![Rc::clone(place)];
        while let Some(carrier) = line.last().and_then(|place| place.row()?.carried_by.clone()) {
            let Some(carrier) = self.touched.get(&carrier) else { break };
            if line.iter().any(|place| place.position == carrier.position) {
                break;
            }
            line.push(Rc::clone(carrier));
        }
        let mut carrier = None;
        for place in line.iter().skip(1).rev() {
            carrier = Some(self.judge_one(place, carrier, &mut Gaps::default()).action);
        }
        self.judge_one(place, carrier, gaps)
    }

    fn judge_one(&self, place: &Place, carrier: Option<Action>, gaps: &mut Gaps) -> Judged {
        match self.target(&place.position) {
            Some(Target { part: None, .. }) => return Judged::asked(Action::LeaveOut),
            Some(_) => return Judged::asked(Action::Renew),
            None if self.is_forced(&place.position) => return Judged::asked(Action::Renew),
            None => {}
        }
        if carrier == Some(Action::LeaveOut) {
            return Judged::by(Action::LeaveOut, words::carried(self.bench, place));
        }
        // What goes back in on the person's word is settled by that word, so no rule is missed.
        let wanted = self.reuse.contains(&place.position);
        let mut unheard = Gaps::default();
        let gaps = if wanted { &mut unheard } else { gaps };
        let mut rule_for =
            Rule { bench: self.bench, place, carrier, open: false, gaps, by: Vec::new() };
        let (rule, reason) = rule_for.of_place();
        let by = rule_for.by;
        if wanted && rule == WhenDisturbed::Renew {
            return Judged { reused: true, ..Judged::by(Action::Keep, words::reused()) };
        }
        let action = match rule {
            WhenDisturbed::Renew => Action::Renew,
            WhenDisturbed::Inspect => Action::Inspect,
            WhenDisturbed::Keep => Action::Keep,
        };
        Judged { by, ..Judged::by(action, reason) }
    }

    /// What sits there seals, or would be renewed if it were disturbed. Looked at only for that, so it raises no gaps.
    pub(super) fn is_used_up(&self, place: &Place) -> bool {
        let mut sitting = place.current.parts.iter().filter_map(|sitting| sitting.part.as_ref());
        let (bench, gaps) = (self.bench, &mut Gaps::default());
        let mut rule = Rule { bench, place, carrier: None, open: false, gaps, by: Vec::new() };
        sitting.any(|part| bench.seals(part)) || rule.of_place().0 == WhenDisturbed::Renew
    }
}

impl Rule<'_> {
    /// Says what the rules make of the position, and which rule it was.
    fn of_place(&mut self) -> (WhenDisturbed, Reason) {
        let (bench, place) = (self.bench, self.place);
        let chosen = bench.chosen(place);
        if let Chosen::Part(row) = &chosen {
            let mut there = place.current.parts.iter().filter_map(|sitting| sitting.part.as_ref());
            if !there.any(|part| bench.leads_to(part, &row.part, place)) {
                return (WhenDisturbed::Renew, words::chosen(bench, row));
            }
        }
        if let Some((row, rule)) = place.row().and_then(|row| Some((row, row.when_disturbed?))) {
            return (rule, words::marked(bench, row.at, rule));
        }
        let judged: Vec<(Option<PartNumber>, At)> = match &chosen {
            Chosen::Part(row) => vec![(Some(row.part.clone()), row.at)],
            _ => place.current.parts.iter().map(|there| (there.part.clone(), there.at)).collect(),
        };
        self.open = matches!(chosen, Chosen::Open(_));
        let mut heaviest: Option<(WhenDisturbed, Reason)> = None;
        for (part, at) in judged {
            let (rule, reason) = self.of_part(part.as_ref(), at);
            if heaviest.as_ref().is_none_or(|(heavy, _)| rule > *heavy) {
                heaviest = Some((rule, reason));
            }
        }
        // Only a position that holds something is judged by rule; where none does, renewing is the safe side.
        heaviest.unwrap_or_else(|| (WhenDisturbed::Renew, words::nothing_known()))
    }

    fn part_unknown(&mut self, why: Why) {
        if !self.open {
            self.gaps.position(GapKind::PartUnknown, &self.place.position, why);
        }
    }

    fn of_part(&mut self, number: Option<&PartNumber>, at: At) -> (WhenDisturbed, Reason) {
        let (bench, place) = (self.bench, self.place);
        let Some(number) = number else {
            self.part_unknown(Why::NotLookedUp { at });
            return (WhenDisturbed::Renew, words::unknown_part(bench, at));
        };
        let part = match bench.lookup.part(number) {
            Some(part) => part.into_owned(),
            None => {
                let resolved = bench.chains(number, &place.machine);
                raise_doubts(&resolved, &place.machine, self.gaps);
                self.by.push(number.clone());
                let first = resolved.finals.first().and_then(|end| bench.lookup.part(&end.part));
                let Some(first) = first else {
                    self.part_unknown(Why::NeitherInParts { part: number.clone() });
                    return (WhenDisturbed::Renew, words::unknown_part(bench, at));
                };
                first.into_owned()
            }
        };
        self.by.push(part.part.clone());
        if part.status == Some(Status::Withdrawn) {
            return (WhenDisturbed::Renew, words::withdrawn(bench, &part));
        }
        match part.single_use {
            Some(true) => return (WhenDisturbed::Renew, words::single_use(bench, &part)),
            Some(false) => return (WhenDisturbed::Keep, words::used_again(bench, &part)),
            None => {}
        }
        let part_type = bench.part_type(&part);
        if let Some((part_type, rule)) =
            part_type.as_ref().and_then(|t| Some((t, t.when_disturbed?)))
        {
            if rule != WhenDisturbed::Renew && has_angle_stage(place) {
                return (WhenDisturbed::Renew, words::by_angle(bench, place));
            }
            if rule != WhenDisturbed::Renew && self.carrier == Some(Action::Renew) {
                return (WhenDisturbed::Renew, words::with_carrier(bench, place));
            }
            return (rule, words::by_type(bench, part_type, rule));
        }
        let why = no_rule(&part, part_type.as_ref().map(|known| known.at));
        self.gaps.position(GapKind::RuleUnknown, &place.position, why);
        (WhenDisturbed::Renew, words::no_rule(bench, at))
    }
}

fn no_rule(part: &Part, known: Option<At>) -> Why {
    let number = part.part.clone();
    match (&part.part_type, known) {
        (None, _) => Why::NoType { part: number, at: part.at },
        (Some(name), None) => Why::StrangeType { part: number, name: name.clone(), at: part.at },
        (Some(name), Some(at)) => Why::TypeWithoutRule { part: number, name: name.clone(), at },
    }
}

fn has_angle_stage(place: &Place) -> bool {
    let torque = place.row().and_then(|row| row.torque.as_ref());
    torque.is_some_and(|torque| torque.stages().iter().any(|s| matches!(s, Stage::Angle { .. })))
}

/// Raises rows of one number that say different things of it.
pub(super) fn judge_rows(bench: &Bench, part: &PartNumber, gaps: &mut Gaps) {
    let rows = bench.lookup.part_rows(part);
    let Some(first) = rows.first() else { return };
    let type_of = |row: &Part| {
        let name = row.part_type.clone()?;
        Some(bench.lookup.part_type(&name).map_or(name, |known| known.part_type.clone()))
    };
    let status = |row: &Part| row.status.unwrap_or(Status::Available);
    let unit = |row: &Part| row.unit.unwrap_or(crate::measure::Unit::Each);
    let differs = |row: &&Part| {
        type_of(row) != type_of(first)
            || row.single_use != first.single_use
            || unit(row) != unit(first)
            || status(row) != status(first)
    };
    if let Some(other) = rows.iter().find(differs) {
        let why = Why::PartRowsDiffer { used: first.at, other: other.at };
        gaps.raise(GapKind::Overlap, Subject::Part(part.clone()), why);
    }
}
