//! What does not add up once the rounds are over: a way in that is missing, rows with a hole between them, a part from
//! another machine.

use super::action::Action;
use super::bench::{Bench, Place};
use super::gap::{GapKind, Why};
use super::outcome::Outcome;
use super::reason::{Cause, Origin};
use super::rounds::Rounds;
use super::selection::Chosen;
use super::words;
use crate::catalog::{Applies, At, Machine, Position, Scope};
use crate::measure::{Key, Range, Within};
use crate::near::nearest;
use std::collections::{BTreeMap, HashMap, HashSet};
use std::rc::Rc;

impl Rounds<'_> {
    /// Raises what does not add up of the positions of the plan, and of those beside them.
    pub(super) fn judge_outcomes(&mut self, outcomes: &[Outcome]) {
        let changed: HashMap<&Key, &Outcome> = outcomes
            .iter()
            .filter(|outcome| outcome.changes())
            .map(|outcome| (&outcome.place.position, outcome))
            .collect();
        for outcome in outcomes {
            self.judge_place(&outcome.place);
            if outcome.changes() {
                self.judge_way_in(outcome, &changed);
            }
        }
        self.judge_between();
        self.judge_foreign(outcomes);
    }

    fn judge_place(&mut self, place: &Place) {
        let position = &place.position;
        if let Some((one, other)) = place.current.doubled {
            self.gaps.position(GapKind::NotSettled, position, Why::LoggedTwice { one, other });
        }
        if self.target(position).is_none()
            && let Chosen::Unsure(rows) = self.bench.chosen(place)
        {
            let machine = Box::new((*place.machine).clone());
            let why = Why::SelectionsUnsure { rows, machine };
            self.gaps.position(GapKind::NotSettled, position, why);
        }
    }

    fn judge_way_in(&mut self, outcome: &Outcome, changed: &HashMap<&Key, &Outcome>) {
        let place = &outcome.place;
        let Some(row) = place.row() else { return };
        let left_empty = self.target(&place.position).is_some_and(|target| target.part.is_none());
        if left_empty && !place.is_on_machine()
            || row.carried_by.as_ref().is_some_and(|carrier| changed.contains_key(carrier))
            || place.is_open()
        {
            return;
        }
        let shut = row.joint.iter().find(|joint| !self.opened.contains(joint));
        let why = match shut {
            Some(joint) => Why::JointShut { joint: joint.clone() },
            None if row.joint.is_empty()
                && row.reached_by.is_none()
                && !self.removed.contains(&place.position) =>
            {
                Why::NoWayIn { at: row.at }
            }
            None => return,
        };
        self.gaps.position(GapKind::WayInUnknown, &place.position, why);
    }

    /// Positions in the opened joints, and those asked for, whose rows leave this machine out between two of them.
    fn judge_between(&mut self) {
        let bench = self.bench;
        let mut places: BTreeMap<(bool, At, Key), Rc<Place>> = BTreeMap::new();
        for joint in &self.opened {
            for position in bench.lookup.positions_in_joint(joint).iter() {
                let place = bench.place(position);
                if place.rows.first().is_some_and(|row| row.joint.contains(joint)) {
                    places.insert(place.order(), place);
                }
            }
        }
        let asked = self.touched.values().filter(|place| {
            self.target(&place.position).is_some() || self.is_forced(&place.position)
        });
        places.extend(asked.map(|place| (place.order(), Rc::clone(place))));
        for place in places.into_values() {
            if !place.speaking.is_empty() || place.current.logged {
                continue;
            }
            if let Some((before, after, years)) = between(&place.rows, &place.machine) {
                let why = Why::Between { before, after, years };
                self.gaps.position(GapKind::BetweenRows, &place.position, why);
            }
        }
    }

    /// Parts that the log puts where the tables list what they replaced for other machines only.
    fn judge_foreign(&mut self, outcomes: &[Outcome]) {
        let bench = self.bench;
        let assemblies: HashSet<Key> = outcomes
            .iter()
            .map(|outcome| outcome.place.assembly())
            .filter(|assembly| !assembly.as_str().is_empty())
            .collect();
        if assemblies.is_empty() {
            return;
        }
        for position in bench.positions_by_log() {
            let place = bench.place(&position);
            if !assemblies.contains(&place.assembly()) {
                continue;
            }
            for sitting in &place.current.parts {
                let Some(part) = &sitting.part else { continue };
                if let Some(row) = foreign(bench, &place, part) {
                    let why = Why::Foreign { part: part.clone(), logged: sitting.at, row };
                    self.gaps.position(GapKind::ForeignPart, &place.position, why);
                }
            }
        }
    }

    /// Notes where a slip in the tables may have kept the plan from taking something apart: the rules pass over a
    /// joint that its own way in does not open.
    pub(super) fn doubt_ways_in(&mut self, outcomes: &[Outcome]) {
        let bench = self.bench;
        for operation in self.operations_in_plan() {
            for position in bench.lookup.positions_reached_by(&operation).iter() {
                let place = bench.place(position);
                let Some(row) = place.row().filter(|_| place.way_in() == Some(&operation)) else {
                    continue;
                };
                let in_plan = outcomes.iter().find(|o| o.place.position == *position);
                if !place.is_on_machine() || in_plan.is_some_and(Outcome::changes) {
                    continue;
                }
                let Some(joint) = row.joint.first() else {
                    if in_plan.is_none() && self.is_used_up(&place) {
                        self.doubt(words::no_joint(bench, position, &operation, row.at));
                    }
                    continue;
                };
                if !row.joint.iter().any(|joint| self.opened.contains(joint))
                    && !self.comes_apart(position)
                {
                    let meant = nearest(joint.as_str(), self.opened.iter().map(Key::as_str));
                    let text =
                        words::joint_stays(bench, position, &operation, joint, row.at, meant);
                    self.doubt(text);
                }
            }
        }
    }

    /// An operation of the plan opens a joint of the position, or takes it off.
    fn comes_apart(&self, position: &Key) -> bool {
        let reasons = self.position_reasons.get(position).map_or(&[][..], Vec::as_slice);
        reasons.iter().any(|reason| matches!(reason.from, Origin::Plan(Cause::Operation(_))))
    }
}

impl Action {
    /// Something is changed.
    pub(crate) fn changes(self) -> bool {
        matches!(self, Action::Renew | Action::LeaveOut)
    }
}

/// The row that lists, for other machines only, what a logged part came from; `None` where a row for this machine, or a
/// retrofit row, tells of the part.
fn foreign(bench: &Bench, place: &Place, part: &crate::measure::PartNumber) -> Option<At> {
    let lists =
        |row: &&Position| row.part.part().is_some_and(|listed| bench.leads_to(listed, part, place));
    let says_no = |row: &&Position| row.scope.applies(&place.machine) == Applies::No;
    let row = place.rows.iter().filter(says_no).find(lists)?;
    let known = place.speaking.iter().any(|row| lists(&row));
    let spoken = !super::retrofit::ask(bench, part, &place.position).speaking.is_empty();
    (!known && !spoken).then_some(row.at)
}

/// Where a limit that leaves a machine out lies: wholly before it, or wholly after.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Side {
    Before,
    After,
}

/// Finds a row wholly before the machine and one wholly after it, of those that only their years leave out, or only
/// their serials.
fn between(rows: &[Position], machine: &Machine) -> Option<(At, At, bool)> {
    let pair = |side: fn(&Scope, &Machine) -> Option<Side>, years| {
        let on = |wanted| rows.iter().find(|row| side(&row.scope, machine) == Some(wanted));
        Some((on(Side::Before)?.at, on(Side::After)?.at, years))
    };
    pair(by_years, true).or_else(|| pair(by_serials, false))
}

fn by_years(scope: &Scope, machine: &Machine) -> Option<Side> {
    let (year, years) = (machine.year?, scope.years.as_ref()?);
    let others = Scope { years: None, ..scope.clone() };
    if years.contains(year) || others.applies(machine) == Applies::No {
        return None;
    }
    side(years.ranges(), |limit| Some(limit.cmp(&year)))
}

fn by_serials(scope: &Scope, machine: &Machine) -> Option<Side> {
    let (serial, serials) = (machine.serial.serial.as_ref()?, scope.serials.as_ref()?);
    let others = Scope { serials: None, ..scope.clone() };
    if serials.holds(serial) != Within::No || others.applies(machine) == Applies::No {
        return None;
    }
    side(serials.ranges(), |limit| limit.compare(serial))
}

fn side<T>(
    ranges: &[Range<T>],
    against: impl Fn(&T) -> Option<std::cmp::Ordering>,
) -> Option<Side> {
    let before = |range: &Range<T>| range.to.as_ref().and_then(&against).is_some_and(|o| o.is_lt());
    let after =
        |range: &Range<T>| range.from.as_ref().and_then(&against).is_some_and(|o| o.is_gt());
    if ranges.iter().all(before) {
        Some(Side::Before)
    } else if ranges.iter().all(after) {
        Some(Side::After)
    } else {
        None
    }
}
