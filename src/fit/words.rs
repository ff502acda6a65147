//! What the room found, in sentences.

use super::judgement::Judgement;
use super::told::{Fact, Number, Told, Whose};
use super::{Against, InAKit};
use crate::catalog::{Change, Lookup, Need};
use crate::kit::Alike;
use crate::measure::PartNumber;

/// Says one thing that the tables say of a part.
pub(super) fn told(told: &Told, part: &PartNumber, lookup: &dyn Lookup) -> String {
    let sure = told.verdict.is_yes() || told.verdict == super::Verdict::DoesNotFit;
    let doubt = if sure { "" } else { ", if the row is for this machine" };
    match &told.fact {
        Fact::Withdrawn { at } => format!(
            "{} is withdrawn: it is never to be fitted ({})",
            lookup.spell_part(part),
            lookup.place(*at)
        ),
        Fact::Listed { number, at } => format!(
            "{}{} is listed there{doubt} ({})",
            same(number, part, lookup),
            lookup.spell_part(&number.number),
            lookup.place(*at)
        ),
        Fact::Replaces { number, at, chain, with } => {
            let chain: Vec<String> =
                chain.iter().map(|link| lookup.spell_part(link).to_string()).collect();
            let also =
                if with.is_empty() { String::new() } else { format!(", with {}", listed(with)) };
            format!(
                "{}{} replaces what is listed there{also}{doubt} ({})",
                same(number, part, lookup),
                chain.join(" → "),
                lookup.place(*at)
            )
        }
        Fact::Declared { row, whose, .. } => {
            let spoken_for = match whose {
                Whose::Its => String::new(),
                Whose::OfWhatItReplaced => format!(", which {} replaced", lookup.spell_part(part)),
                Whose::OfAnotherNumber => format!(
                    ", which is {} under another number or became that",
                    lookup.spell_part(part)
                ),
            };
            let note = if row.note.is_empty() { String::new() } else { format!(": {}", row.note) };
            format!(
                "declared {} for {}{spoken_for} ({}){note}",
                row.verdict,
                lookup.spell_part(&row.part),
                lookup.place(row.at)
            )
        }
        Fact::PerhapsDeclared { row, missing } => format!(
            "declared {}, but perhaps not for this machine ({}); {missing}",
            row.verdict,
            lookup.place(row.at)
        ),
        Fact::CalledFor { row } => format!(
            "declared to go there together with {} at {}{doubt} ({})",
            lookup.spell_part(&row.part),
            lookup.spell_position(&row.position),
            lookup.place(row.at)
        ),
        Fact::Arrives(arrival) => {
            let by = lookup.spell_part(&arrival.by);
            let there = lookup.spell_position(&arrival.goes_to);
            let row = lookup.place(arrival.at);
            if arrival.sits_there {
                format!("arrived fitted there inside {by}, which sits at {there} ({row})")
            } else {
                format!("arrives fitted there inside {by}, which goes to {there} ({row})")
            }
        }
    }
}

/// Says why a number that is listed there speaks for another.
fn same(number: &Number, part: &PartNumber, lookup: &dyn Lookup) -> String {
    let (part, other) = (lookup.spell_part(part), lookup.spell_part(&number.number));
    match number.how {
        None => String::new(),
        Some(Alike::Equivalent) => format!("{part} is {other} under another number; "),
        Some(Alike::BothWays(at)) => {
            format!("{part} and {other} may be swapped both ways ({}); ", lookup.place(at))
        }
    }
}

fn listed(needs: &[Need]) -> String {
    needs.iter().map(ToString::to_string).collect::<Vec<_>>().join(", ")
}

/// Says what to look at before a part is ordered.
pub(super) fn look_first(told: &Told, lookup: &dyn Lookup) -> Option<String> {
    let Fact::Declared { row, look: true, .. } = &told.fact else { return None };
    let note =
        if row.note.is_empty() { "what the row is about, on the machine" } else { &row.note };
    Some(format!("{note} ({})", lookup.place(row.at)))
}

/// Says what the figures say.
pub(super) fn computed(finding: &Judgement) -> String {
    format!("computed: {}", finding.text())
}

/// Says how tables and figures are at odds over a part that needs others.
pub(super) fn against(against: Against, needs: &[Need]) -> String {
    match against {
        Against::TheFigures => "contradiction: the tables say that it fits, the figures say that it does not: one of them is wrong, \
            or something is worn; measure again before you order"
            .to_owned(),
        Against::Outside => "contradiction: the tables say that it fits, and a figure is outside its limits or guidance: one of them \
            is wrong, or something is worn; measure again before you order"
            .to_owned(),
        Against::ThisSeat => format!(
            "in the seat as it is now the figures say that it does not fit: only with {}, which must bring a seat like the other one below",
            listed(needs)
        ),
        Against::TheTables => "contradiction: the tables say that it does not fit, the figures find nothing against it: there may be \
            another reason; ask where the row came from"
            .to_owned(),
    }
}

/// Says where a kit answers otherwise.
pub(super) fn in_a_kit(told: InAKit, part: &PartNumber, needs: &[Need]) -> String {
    let with: Vec<Need> =
        needs.iter().filter(|need| need.change != Change::Renew).cloned().collect();
    match told {
        InAKit::LeavesItOpen => {
            let unless = if with.is_empty() {
                "until a row of retrofits or positions names it there".to_owned()
            } else {
                format!("unless it comes along with {}", listed(&with))
            };
            format!("a job that puts {part} there keeps the gap fit-unknown in its kit {unless}")
        }
        InAKit::ListsIt => format!(
            "a kit goes by what the tables say and lists {part} there all the same, with this beside it"
        ),
    }
}
