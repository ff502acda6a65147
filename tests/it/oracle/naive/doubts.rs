//! Rows that disagree, and what does not add up.

use super::Solver;
use super::catalog::{Action, Fill, OperationRow, PartRow, PositionRow, WayIn};
use super::cells::{Fitted, Key, are_alike};
use super::parts::Measured;
use super::result::{Planned, planned};
use super::rounds::State;
use super::scope::{Applies, View};
use std::collections::BTreeSet;

impl Solver {
    // ----- Rows that disagree -----

    pub fn judge_position_rows(&self, position: &Key, state: &State) {
        let current = self.current(position);
        let log_settles_the_part = current.is_settled_by_the_log();
        // where neither log nor target gives a quantity
        let log_gives_a_quantity = log_settles_the_part
            && !current.sits.is_empty()
            && current.sits.iter().all(|sits| sits.has_own_quantity);
        let target_gives_a_quantity =
            state.target(position).is_some_and(|target| target.quantity.is_some());
        let differ = |one: &PositionRow, other: &PositionRow| {
            let same_quantity = match (&one.quantity, &other.quantity) {
                (Fill::Set, Fill::Set) => true,
                (Fill::Of(one), Fill::Of(other)) => one.is_as_much_as(other),
                _ => false,
            };
            !are_alike(&one.joints, &other.joints, |a, b| a == b)
                || one.reached_by != other.reached_by
                || one.carried_by != other.carried_by
                || one.when_disturbed != other.when_disturbed
                || (!log_settles_the_part && one.part != other.part)
                || (!log_gives_a_quantity && !target_gives_a_quantity && !same_quantity)
        };
        let view = self.view_at(position);
        let subject = self.catalog.show("position", position);
        let rows = self.all_rows_of(position);
        self.judge_rows(&rows, |row| view.judge(&row.scope), differ, subject);
        // Two different parts of one date, each for the whole of Q; only unsure selections.
        if self.log_is_not_settled(position) {
            self.mark("log: not settled");
            self.gap_on("not-settled", position);
        }
        if state.target(position).is_none()
            && matches!(self.measured(position), Measured::OnlyUnsure)
        {
            self.mark("measured: only unsure rows");
            self.gap_on("not-settled", position);
        }
    }

    pub fn judge_operation_rows(&self, operation: &Key) {
        let same_amounts = |one: &OperationRow, other: &OperationRow| {
            are_alike(&one.uses, &other.uses, |(part, amount), (other, of_other)| {
                let same = match (amount, of_other) {
                    (None, None) => true,
                    (Some(one), Some(other)) => one.is_as_much_as(other),
                    _ => false,
                };
                part == other && same
            })
        };
        let same = |one: &[Key], other: &[Key]| are_alike(one, other, |a, b| a == b);
        let differ = |one: &OperationRow, other: &OperationRow| {
            !same(&one.needs, &other.needs)
                || !same(&one.opens, &other.opens)
                || !same(&one.removes, &other.removes)
                || !same_amounts(one, other)
                || one.is_after != other.is_after
        };
        let view = self.view_of_operation(operation);
        let subject = self.catalog.show("operation", operation);
        let rows = self.all_rows_of_operation(operation);
        self.judge_rows(&rows, |row| view.judge(&row.scope), differ, subject);
    }

    /// *yes* rows that differ from the first one → `overlap`; *unsure* rows that differ from it, or only *unsure* rows → `not-settled`.
    fn judge_rows<T>(
        &self,
        rows: &[&T],
        applies: impl Fn(&T) -> Applies,
        differ: impl Fn(&T, &T) -> bool,
        subject: String,
    ) {
        let such = |wanted: Applies| -> Vec<&T> {
            rows.iter().copied().filter(|row| applies(row) == wanted).collect()
        };
        let (yes, unsure) = (such(Applies::Yes), such(Applies::Unsure));
        let Some(first) = yes.first() else {
            if !unsure.is_empty() {
                self.mark("disagree: only unsure rows");
                self.gap("not-settled", subject);
            }
            return;
        };
        if yes.iter().any(|row| differ(first, row)) {
            self.mark("disagree: overlap");
            self.gap("overlap", subject.clone());
        }
        if unsure.iter().any(|row| differ(first, row)) {
            self.mark("disagree: an unsure row differs");
            self.gap("not-settled", subject);
        }
    }

    /// Rows of `parts` for one number, on a chain of the kit or judged by, that differ in type, single_use, unit or status.
    pub fn judge_part_rows(&self, numbers: &BTreeSet<Key>) {
        for number in numbers {
            let rows: Vec<&PartRow> =
                self.catalog.parts.iter().filter(|row| row.part == *number).collect();
            let kind = |row: &PartRow| {
                self.type_of(row).map_or(row.kind.clone(), |of_type| of_type.name.clone())
            };
            let differs = |row: &&PartRow| {
                kind(row) != kind(rows[0])
                    || row.single_use != rows[0].single_use
                    || row.unit.unwrap_or("each") != rows[0].unit.unwrap_or("each")
                    || row.status != rows[0].status
            };
            if rows.iter().any(differs) {
                self.mark("disagree: rows of parts");
                self.gap("overlap", self.catalog.show_part(number));
            }
        }
    }

    // ----- What does not add up -----

    pub fn judge_what_does_not_add_up(
        &self,
        state: &State,
        plan: &[Planned],
        opened: &BTreeSet<Key>,
    ) {
        for one in plan {
            self.judge_way_in(one, state, plan, opened);
        }
        for position in self.positions_with_a_row() {
            self.judge_between_rows(&position, state, opened);
            self.judge_foreign_part(&position, plan);
        }
    }

    fn judge_way_in(&self, one: &Planned, state: &State, plan: &[Planned], opened: &BTreeSet<Key>) {
        let comes_off = |one: &Planned| matches!(one.action, Action::Renew | Action::LeaveOut);
        let position = &one.position;
        // a renewed or left-out position with a row (other than one left empty that is not on M),
        let is_left_empty_already = one.action == Action::LeaveOut && !self.is_on_machine(position);
        if !comes_off(one) || self.all_rows_of(position).is_empty() || is_left_empty_already {
            return;
        }
        // if it is not carried by a renewed or left-out position, its `reached_by` is not `-`,
        let carrier = self.carrier_of(position).and_then(|carrier| planned(plan, &carrier));
        let way_in = self.way_in(position);
        if way_in == WayIn::NothingComesApart {
            self.mark("way in: nothing comes apart");
        }
        if carrier.is_some_and(comes_off) || way_in == WayIn::NothingComesApart {
            return;
        }
        // and a joint of it stays shut, or it has no joint, a blank `reached_by`, and no operation of the plan removes it
        let joints = self.joints_of(position);
        let is_removed =
            self.planned_operations(state).into_iter().any(|row| row.removes.contains(position));
        let stays_shut = joints.iter().any(|joint| !opened.contains(joint));
        let has_no_way = joints.is_empty() && way_in == WayIn::Blank && !is_removed;
        if stays_shut || has_no_way {
            self.mark(if stays_shut { "way in: a joint stays shut" } else { "way in: none named" });
            self.gap_on("way-in-unknown", position);
        }
    }

    fn judge_between_rows(&self, position: &Key, state: &State, opened: &BTreeSet<Key>) {
        // a position none of whose rows applies and of which the log says nothing,
        if !self.rows_of(position).is_empty() || self.current(position).is_settled_by_the_log() {
            return;
        }
        // of whose rows that only years (or only serials) exclude one lies wholly before and one wholly after M's own,
        let view = self.view_at(position);
        let rows = self.all_rows_of(position);
        let lies_between = |judge: &dyn Fn(&View, &PositionRow) -> (bool, bool)| {
            let sides = || rows.iter().map(|row| judge(view, row));
            sides().any(|(before, _)| before) && sides().any(|(_, after)| after)
        };
        let by_years = lies_between(&|view, row| view.only_years_before_or_after(&row.scope));
        let by_serials = lies_between(&|view, row| view.only_serials_before_or_after(&row.scope));
        // if a joint that its first row names is opened, or it is a target or forced.
        let is_touched = rows[0].joints.iter().any(|joint| opened.contains(joint))
            || state.target(position).is_some()
            || state.forced.contains(position);
        if is_touched && (by_years || by_serials) {
            self.mark(if by_years { "between rows: years" } else { "between rows: serials" });
            self.gap_on("between-rows", position);
        }
    }

    fn judge_foreign_part(&self, position: &Key, plan: &[Planned]) {
        // if a position of the same (not blank) assembly is disturbed
        let assembly = self.assembly_of(position).to_lowercase();
        let is_same = |one: &Planned| self.assembly_of(&one.position).to_lowercase() == assembly;
        if assembly.is_empty() || !plan.iter().any(is_same) {
            return;
        }
        let view = self.view_at(position);
        let lies_on_the_chain_of = |part: &Key, wanted: &dyn Fn(Applies) -> bool| {
            let rows = self.all_rows_of(position).into_iter();
            rows.filter(|row| wanted(view.judge(&row.scope))).any(|row| match &row.part {
                Fitted::Part(listed) => self.resolve(view, listed).has_on_a_chain(part),
                _ => false,
            })
        };
        // a part that the log says sits at the position
        let current = self.current(position);
        if !current.is_settled_by_the_log() {
            return;
        }
        let is_foreign = |part: &Key| {
            // and that lies on the chain of a part which rows of it list that say *no* to M, but of none which a row that applies lists,
            lies_on_the_chain_of(part, &|applies| applies == Applies::No)
                && !lies_on_the_chain_of(part, &|applies| applies != Applies::No)
                // and for which no retrofit row at the position speaks
                && !self.does_a_retrofit_row_speak(part, position)
        };
        if current.parts().into_iter().any(is_foreign) {
            self.gap_on("foreign-part", position);
        }
    }
}
