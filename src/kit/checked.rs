//! A kit that a second reading has agreed with: the one that every front end and every command builds on.

use super::action::Action;
use super::answer::Kit;
use super::ask::{Ask, Refusal};
use super::audit::{Finding, audit};
use super::bench::Bench;
use super::gap::{Gap, GapKind, OpenGap};
use super::plan::work_out;
use crate::catalog::Lookup;
use crate::fit::wrong_size;
use crate::measure::{Key, PartNumber};
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
    let mut kit = work_out(ask, lookup)?;
    let findings = audit(ask, &kit, lookup);
    if findings.is_empty() {
        raise_wrong_sizes(&mut kit, lookup);
        Ok(kit)
    } else {
        Err(NoKit::Disagreement(Box::new(Disagreement { kit, findings })))
    }
}

/// Raises a gap for each position of which a final part does not fit by the figures.
fn raise_wrong_sizes(kit: &mut Kit, lookup: &dyn Lookup) {
    let Some(machine) = lookup.machine(&Key::new(&kit.machine)) else { return };
    let bench = Bench::new(machine.into_owned(), lookup);
    let renewed = kit.positions.iter().filter(|planned| planned.action == Action::Renew);
    let going_in: Vec<(Key, PartNumber)> = renewed
        .flat_map(|planned| {
            let parts = planned.parts.iter().filter_map(|part| PartNumber::new(&part.part));
            parts.map(|part| (Key::new(&planned.position), part))
        })
        .collect();
    for (position, part) in &going_in {
        let others: Vec<(Key, PartNumber)> =
            going_in.iter().filter(|(other, _)| other != position).cloned().collect();
        let Some(evidence) = wrong_size(&bench, part, position, &others) else { continue };
        let subject = lookup.spell_position(position).to_string();
        let known = |gap: &Gap| gap.kind == GapKind::WrongSize && gap.subject == subject;
        if kit.gaps.iter().any(known) {
            continue;
        }
        for line in kit.lines.iter_mut().filter(|line| line.positions.contains(&subject)) {
            line.open.push(OpenGap { kind: GapKind::WrongSize, subject: subject.clone() });
        }
        let message = format!(
            "by the figures, {} does not fit here: {}; measure, correct the figure that is wrong, or choose another part",
            lookup.spell_part(part),
            evidence.text
        );
        kit.gaps.push(Gap { kind: GapKind::WrongSize, subject, message });
        kit.complete = false;
    }
}
