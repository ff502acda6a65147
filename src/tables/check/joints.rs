//! Joints that operations open, and what is missing in them.

use super::code::Code;
use super::findings::Findings;
use super::grouped::Grouped;
use super::names::is_slip;
use crate::catalog::{Applies, Fitted, Machine, Operation, Position, Scoped, WhenDisturbed};
use crate::measure::{Key, Kind, PartNumber};
use std::collections::{HashMap, HashSet};

pub(super) const UNSEALED: Code = Code::warning(
    "unsealed-joint",
    "An operation opens a joint in which nothing seals, and joints does not call it dry. A forgotten gasket often looks like this.",
    "Add the position of the gasket, ring or sealant to the joint, or say dry = yes in joints.csv.",
);
pub(super) const EMPTY: Code = Code::warning(
    "joint-without-position",
    "An operation opens a joint to which no position belongs, so opening it would disturb nothing.",
    "Name the joint in the joint column of the positions in it, or say dry = yes in joints.csv if it holds nothing.",
);
pub(super) const NEAR_MISS: Code = Code::warning(
    "joint-near-miss",
    "A position names a joint that no operation opens, and one that operations do open is spelt almost so.",
    "Spell both in one way. If they are two joints, list this one in joints.csv.",
);
pub(super) const UNUSED: Code = Code::warning(
    "unused-joint",
    "A joint is listed in joints, but no position belongs to it and no operation opens it.",
    "Spell it as the positions and operations do, or take the row out.",
);

pub(super) const NO_JOINT: Code = Code::warning(
    "seal-without-joint",
    "A position holds a part that seals or is used once, but names no joint, and no operation takes it off. So nothing that is opened would renew it, and no kit would name it.",
    "Name the joint that it seals in the column joint, or the position under removes of the operation that takes it off; keep under when_disturbed says that it stays.",
);

pub(super) const CODES: &[Code] = &[UNSEALED, EMPTY, NEAR_MISS, UNUSED, NO_JOINT];

/// Finds joints in which something is missing.
pub(super) fn find(catalog: &Grouped, findings: &mut Findings) {
    if !catalog.whole(&["positions", "operations", "joints"]) {
        return;
    }
    for row in &catalog.rows.joints {
        if !catalog.in_joint.contains_key(&row.joint) && !catalog.opened.contains(&row.joint) {
            let message = format!(
                "no position belongs to `{}` and no operation opens it; spell it as they do, or take the row out",
                row.joint
            );
            findings.add(UNUSED, row.at, "joint", message);
        }
    }
    near_misses(catalog, findings);
    if catalog.whole(&["parts", "types"]) {
        outside_joints(catalog, findings);
    }
    if catalog.whole(&[
        "parts",
        "types",
        "machines",
        "supersessions",
        "worklog",
        "job_lines",
        "retrofits",
    ]) {
        let sealing = Sealing::new(catalog);
        let fleet = sealing.machines_by_model();
        for row in &catalog.rows.operations {
            for joint in &row.opens {
                sealing.judge(row, joint, &fleet, findings);
            }
        }
    }
}

/// Finds what is used up by taking it apart and is never taken apart.
fn outside_joints(catalog: &Grouped, findings: &mut Findings) {
    for (row, listed) in catalog.positions() {
        let outside = row.joint.is_empty() && !catalog.removed.contains(&row.position);
        let stays = row.when_disturbed.is_some_and(|rule| rule != WhenDisturbed::Renew);
        let Some(listed) = listed.filter(|_| outside && !stays) else { continue };
        let seals = listed
            .part_type
            .is_some_and(|part_type| part_type.seals.is_some_and(crate::catalog::Seals::closes));
        let is_poured = listed.row.unit.is_some_and(|unit| unit.kind() != Kind::Count);
        let used_up = listed.rule() == Some(WhenDisturbed::Renew) && !is_poured;
        if (seals || used_up) && findings.was_read(listed.row.at) {
            let why = if seals { "seals" } else { "is used once" };
            let message = format!(
                "`{}` {why}, but `{}` names no joint and no operation takes it off, so no kit would renew it; name its joint",
                listed.row.part, row.position
            );
            findings.add(NO_JOINT, row.at, "joint", message);
        }
    }
}

fn near_misses(catalog: &Grouped, findings: &mut Findings) {
    let never_opened =
        |joint: &&Key| !catalog.opened.contains(joint) && !catalog.joint_rows.contains_key(joint);
    let suspects: Vec<&Key> = catalog.in_joint.keys().copied().filter(never_opened).collect();
    // Each is compared with every joint that is opened; where there are so many, names are not typed by hand.
    if suspects.len().saturating_mul(catalog.opened.len()) > 1_000_000 {
        return;
    }
    let mut opened: Vec<&Key> = catalog.opened.iter().copied().collect();
    opened.sort();
    let meant: HashMap<&Key, &Key> = suspects
        .into_iter()
        .filter_map(|joint| {
            opened
                .iter()
                .find(|other| is_slip(joint.folded(), other.folded()))
                .map(|other| (joint, *other))
        })
        .collect();
    for row in &catalog.rows.positions {
        for joint in &row.joint {
            if let Some(other) = meant.get(joint) {
                let message = format!(
                    "no operation opens the joint `{joint}`; if `{other}` is meant, spell it so, and if not, list the joint in joints.csv"
                );
                findings.add(NEAR_MISS, row.at, "joint", message);
            }
        }
    }
}

/// Knows what seals what.
struct Sealing<'g, 'a> {
    catalog: &'g Grouped<'a>,
    /// The positions at which a job line puts a part that seals.
    sealed_by_target: HashSet<&'a Key>,
}

impl<'g, 'a> Sealing<'g, 'a> {
    fn new(catalog: &'g Grouped<'a>) -> Self {
        let mut sealing = Sealing { catalog, sealed_by_target: HashSet::new() };
        let targets = catalog
            .rows
            .job_lines
            .iter()
            .filter_map(|row| Some((row.position.as_ref()?, row.part.part()?)));
        let targets: Vec<_> =
            targets.filter(|(_, part)| sealing.seals(part)).map(|(position, _)| position).collect();
        sealing.sealed_by_target.extend(targets);
        sealing
    }

    fn machines_by_model(&self) -> HashMap<&'a Key, Vec<&'a Machine>> {
        super::grouped::group(&self.catalog.rows.machines, |row| &row.model)
    }

    /// Tells whether a part may seal. An unlisted part and an unknown type have findings of their own, so they
    /// are given the benefit of the doubt; an old number is judged by what it became.
    fn seals(&self, part: &PartNumber) -> bool {
        let mut chain = HashSet::new();
        let mut waiting = vec![part];
        while let Some(part) = waiting.pop() {
            if !chain.insert(part) {
                continue;
            }
            if let Some(listed) = self.catalog.listed(part) {
                let unknown = listed.row.part_type.is_some();
                if listed
                    .part_type
                    .map_or(unknown, |row| row.seals.is_some_and(crate::catalog::Seals::closes))
                {
                    return true;
                }
                continue;
            }
            match self.catalog.supersession_rows.get(part) {
                Some(rows) => waiting.extend(rows.iter().map(|row| &row.new)),
                None => return true,
            }
        }
        false
    }

    fn may_seal(&self, part: &Fitted) -> bool {
        match part {
            Fitted::Nothing => false,
            // Warned of where it stands.
            Fitted::Blank => true,
            Fitted::Part(part) => self.seals(part),
        }
    }

    fn judge(
        &self,
        row: &Operation,
        joint: &Key,
        machines: &HashMap<&Key, Vec<&Machine>>,
        findings: &mut Findings,
    ) {
        let listed = self.catalog.joint_rows.get(joint);
        if listed.is_some_and(|row| row.dry == Some(true)) {
            return;
        }
        let Some(positions) = self.catalog.in_joint.get(joint) else {
            // A joint that is not even listed is a dangling one.
            if listed.is_some() {
                let message = format!(
                    "no position belongs to the joint `{joint}`; name it in the joint column of its positions, or say in joints.csv that it is dry"
                );
                findings.add(EMPTY, row.at, "opens", message);
            }
            return;
        };
        if positions.iter().any(|position| self.sealed_by_target.contains(position)) {
            return;
        }
        let mend = "add the position of what seals it, or say in joints.csv that it is dry";
        let of_joint = |position: &Key| {
            self.catalog.position_rows.get(position).map_or(&[][..], Vec::as_slice)
        };
        let anywhere = positions
            .iter()
            .flat_map(|position| of_joint(position))
            .any(|row| self.may_seal(&row.part));
        if !anywhere {
            findings.add(
                UNSEALED,
                row.at,
                "opens",
                format!("nothing in the joint `{joint}` seals; {mend}"),
            );
            return;
        }
        let models: Box<dyn Iterator<Item = &Key>> = if row.scope.model.is_empty() {
            // Only the models on which the joint can be; a joint of another machine's folder is none of this one's.
            let named: HashSet<&Key> = positions
                .iter()
                .flat_map(|position| of_joint(position))
                .flat_map(|row| &row.scope.model)
                .collect();
            let everywhere = positions
                .iter()
                .flat_map(|position| of_joint(position))
                .any(|row| row.scope.model.is_empty());
            if everywhere {
                Box::new(machines.keys().copied())
            } else {
                Box::new(named.into_iter())
            }
        } else {
            Box::new(row.scope.model.iter())
        };
        let bare = models
            .filter_map(|model| machines.get(model))
            .flatten()
            .filter(|machine| row.scope().applies(machine) == Applies::Yes)
            .filter(|machine| self.is_bare(joint, positions, machine))
            .min_by_key(|machine| machine.at);
        if let Some(machine) = bare {
            let message =
                format!("on {} nothing in the joint `{joint}` seals; {mend}", machine.machine);
            findings.add(UNSEALED, row.at, "opens", message);
        }
    }

    /// Tells that a joint is on a machine and that nothing in it seals there.
    fn is_bare(&self, joint: &Key, positions: &[&Key], machine: &Machine) -> bool {
        let mut there = false;
        for position in positions {
            let rows = self.catalog.position_rows.get(position).map_or(&[][..], Vec::as_slice);
            let applying = first_applying(rows, machine);
            if !applying.or(rows.first().copied()).is_some_and(|row| row.joint.contains(joint)) {
                continue;
            }
            let current: Vec<&Fitted> =
                match self.catalog.fitted.get(&(&machine.machine, *position)) {
                    Some(entries) => entries.iter().map(|entry| &entry.part).collect(),
                    None => applying.map(|row| &row.part).into_iter().collect(),
                };
            there |= current.iter().any(|part| **part != Fitted::Nothing);
            if current.iter().any(|part| self.may_seal(part)) {
                return false;
            }
        }
        there
    }
}

/// Gives the first row that surely applies to a machine, or else the first that may.
fn first_applying<'a>(rows: &[&'a Position], machine: &Machine) -> Option<&'a Position> {
    let find = |wanted| rows.iter().find(|row| row.scope.applies(machine) == wanted).copied();
    find(Applies::Yes).or_else(|| find(Applies::Unsure))
}
