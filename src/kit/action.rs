//! What happens to a disturbed position: renewed, inspected, kept or left out, and which rule says so.

use super::bench::{Bench, Place, Sitting};
use super::gap::{GapKind, Gaps, Subject};
use super::reason::Reason;
use super::supersession::raise_doubts;
use crate::catalog::WhenDisturbed;
use crate::measure::Key;
use crate::near::nearest;
use serde::{Serialize, Serializer};
use std::fmt;

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

/// Says what happens to a disturbed position that nobody asked to change, and which row says so.
pub(crate) fn rule_for(bench: &Bench, place: &Place, gaps: &mut Gaps) -> (Action, Reason) {
    let lookup = bench.lookup;
    if let Some((row, rule)) = place.row().and_then(|row| Some((row, row.when_disturbed?))) {
        let text = format!("the position is marked {rule}");
        return (action_of(rule), Reason::rule(text, lookup.place(row.at)));
    }
    let mut heaviest: Option<(WhenDisturbed, Reason)> = None;
    for sitting in &place.current.parts {
        let (rule, reason) = part_rule(bench, place, sitting, gaps);
        if heaviest.as_ref().is_none_or(|(heavy, _)| rule > *heavy) {
            heaviest = Some((rule, reason));
        }
    }
    match heaviest {
        Some((rule, reason)) => (action_of(rule), reason),
        // Only a position that holds something is judged by rule, so this is not reached; renewing is the safe side.
        None => (Action::Renew, Reason::rule("nothing is known of it", "")),
    }
}

fn action_of(rule: WhenDisturbed) -> Action {
    match rule {
        WhenDisturbed::Renew => Action::Renew,
        WhenDisturbed::Inspect => Action::Inspect,
        WhenDisturbed::Keep => Action::Keep,
    }
}

fn part_rule(
    bench: &Bench,
    place: &Place,
    sitting: &Sitting,
    gaps: &mut Gaps,
) -> (WhenDisturbed, Reason) {
    let lookup = bench.lookup;
    let subject = || Subject::Position(place.position.clone());
    let renew = |text: &str| (WhenDisturbed::Renew, Reason::rule(text, lookup.place(sitting.at)));
    let Some(number) = &sitting.part else {
        let row = lookup.place(sitting.at);
        gaps.raise(GapKind::PartUnknown, subject(), || {
            format!("nobody has looked up its part number yet; fill in the cell part ({row})")
        });
        return renew("its part is unknown, so it is taken to be used up");
    };
    let part = match lookup.part(number) {
        Some(part) => part.into_owned(),
        None => {
            let resolved = bench.resolve(number);
            raise_doubts(bench, &resolved, gaps);
            let first = resolved
                .finals
                .first()
                .and_then(|end| lookup.part(&end.part).map(|part| part.into_owned()));
            match first {
                Some(part) => part,
                None => {
                    gaps.raise(GapKind::PartUnknown, subject(), || {
                        format!("its part {number} is not in the table parts, nor is what it became; add a row for it")
                    });
                    return renew("its part is unknown, so it is taken to be used up");
                }
            }
        }
    };
    let part_row = lookup.place(part.at);
    match part.single_use {
        Some(true) => {
            return (
                WhenDisturbed::Renew,
                Reason::rule(format!("{} is marked single-use", part.part), part_row),
            );
        }
        Some(false) => {
            let text = format!("{} is marked as used again", part.part);
            return (WhenDisturbed::Keep, Reason::rule(text, part_row));
        }
        None => {}
    }
    let part_type = bench.part_type(&part);
    if let Some((part_type, rule)) = part_type.as_ref().and_then(|t| Some((t, t.when_disturbed?))) {
        let why =
            if part_type.why.is_empty() { String::new() } else { format!(": {}", part_type.why) };
        let verb = match rule {
            WhenDisturbed::Renew => "is renewed whenever it is disturbed",
            WhenDisturbed::Inspect => "is inspected when it is disturbed",
            WhenDisturbed::Keep => "is kept when it is disturbed",
        };
        let text = format!("{} {verb}{}", part_type.part_type, why.trim_end_matches('.'));
        return (rule, Reason::rule(text, lookup.place(part_type.at)));
    }
    gaps.raise(GapKind::RuleUnknown, subject(), || match (&part.part_type, &part_type) {
        (None, _) => format!("its part {} has no type, so no rule says whether it is used up; fill in the cell type ({part_row}), or when_disturbed at the position", part.part),
        (Some(name), None) => {
            let names = lookup.type_names();
            let meant = nearest(name.as_str(), names.iter().map(Key::as_str));
            let hint = meant.map_or_else(String::new, |meant| format!(" (did you mean {meant}?)"));
            format!(
                "its part {} is of the type {name}, which is not in the table types{hint}; correct it ({part_row}), add the type with its rule, or fill in when_disturbed at the position",
                part.part
            )
        }
        (Some(name), Some(known)) => format!("the type {name} of its part {} has no rule; fill in when_disturbed ({})", part.part, lookup.place(known.at)),
    });
    renew("no rule says whether it is used up, so it is taken to be")
}
