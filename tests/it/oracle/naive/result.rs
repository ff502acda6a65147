//! The result: operations in order, joints, roles and lines.

use super::Solver;
use super::catalog::{Action, OperationRow};
use super::cells::{Fitted, Key, Quantity};
use super::parts::Piece;
use super::rounds::State;
use super::scope::View;
use rust_decimal::Decimal;
use std::collections::{BTreeMap, BTreeSet};

#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Role {
    New,
    Companion,
    SingleUse,
    Consumable,
}

impl Role {
    pub fn word(self) -> &'static str {
        match self {
            Role::New => "new",
            Role::Companion => "companion",
            Role::SingleUse => "single-use",
            Role::Consumable => "consumable",
        }
    }
}

/// A disturbed position in the finished plan.
#[derive(Debug, Clone)]
pub struct Planned {
    pub position: Key,
    pub action: Action,
    pub role: Option<Role>,
    pub pieces: Vec<Piece>,
    /// By what, what arrives, how many.
    pub covered: Vec<(Key, Key, Decimal)>,
}

impl Planned {
    pub fn is_renewed(&self) -> bool {
        self.action == Action::Renew
    }
}

pub struct Line {
    pub part: Key,
    pub unit: &'static str,
    pub quantity: Decimal,
    pub role: Role,
    pub positions: Vec<Key>,
}

/// The finished plan, position by position.
pub fn planned<'a>(plan: &'a [Planned], position: &Key) -> Option<&'a Planned> {
    plan.iter().find(|one| one.position == *position)
}

impl Solver {
    // ----- Operations -----

    /// Operations in strip order, then those that come after, each with whether it does.
    pub fn operations_in_order(&self, state: &State) -> Vec<(Key, bool)> {
        let order = self.strip_order(state);
        // Those with `phase` = `after`, and those that need one of them, directly or through others, come last, in the order so found.
        let rows = self.planned_operations(state);
        let mut after: BTreeSet<&Key> =
            rows.iter().filter(|row| row.is_after).map(|row| &row.operation).collect();
        loop {
            let more: Vec<&Key> = rows
                .iter()
                .filter(|row| row.needs.iter().any(|need| after.contains(need)))
                .map(|row| &row.operation)
                .filter(|operation| !after.contains(operation))
                .collect();
            if more.is_empty() {
                break;
            }
            self.mark("operations: after, through a need");
            after.extend(more);
        }
        let (last, first): (Vec<Key>, Vec<Key>) =
            order.into_iter().partition(|operation| after.contains(operation));
        if !last.is_empty() {
            self.mark("operations: after");
        }
        let first = first.into_iter().map(|operation| (operation, false));
        first.chain(last.into_iter().map(|operation| (operation, true))).collect()
    }

    /// Repeatedly the earliest in table order (first row of any scope) of those whose needs are all placed.
    fn strip_order(&self, state: &State) -> Vec<Key> {
        // An operation with no row that applies is not listed, and as a need it counts as placed.
        let mut waiting: Vec<&OperationRow> = self.planned_operations(state);
        waiting.sort_by_key(|row| {
            self.catalog.operations.iter().position(|any| any.operation == row.operation)
        });
        let mut placed: Vec<Key> = Vec::new();
        while !waiting.is_empty() {
            let is_waiting =
                |operation: &Key| waiting.iter().any(|row| row.operation == *operation);
            let ready = waiting.iter().position(|row| !row.needs.iter().any(is_waiting));
            let next = ready.unwrap_or_else(|| {
                // A cycle: gap `operation-cycle` on the earliest waiting one that needs itself; it is then placed.
                let stuck = waiting
                    .iter()
                    .position(|row| needs_itself(row, &waiting))
                    .expect("where nothing is ready, something needs itself");
                if stuck > 0 {
                    self.mark("operation-cycle: an earlier one only waits for the cycle");
                }
                let operation = &waiting[stuck].operation;
                self.gap("operation-cycle", self.catalog.show("operation", operation));
                stuck
            });
            placed.push(waiting.remove(next).operation.clone());
        }
        placed
    }

    // ----- Joints -----

    /// An opened joint, not `dry` in `joints`, that nothing seals.
    pub fn judge_joint(&self, joint: &Key, plan: &[Planned], state: &State) {
        if self.catalog.dry_joints.contains(joint) {
            self.mark("joint: dry");
            return;
        }
        let in_it: Vec<Key> = self
            .positions_with_a_row()
            .into_iter()
            .filter(|position| self.joints_of(position).contains(joint))
            .collect();
        let seals = |part: &Key| {
            let row = self.catalog.part(part);
            row.and_then(|row| self.type_of(row)).map_or("", |of_type| of_type.seals)
        };
        // a part in it, as the job leaves it, of a type with `seals` = yes, or `own` if the joint holds no other position on M;
        let by_a_part = in_it.iter().any(|position| {
            let is_alone =
                || in_it.iter().all(|other| other == position || !self.is_on_machine(other));
            self.as_the_job_leaves_it(position, plan).iter().any(|part| match seals(part) {
                "yes" => true,
                "own" => {
                    self.mark(if is_alone() {
                        "joint: sealed by its own"
                    } else {
                        "joint: own, but not alone"
                    });
                    is_alone()
                }
                _ => false,
            })
        });
        // or a part of a type with `seals` = yes in the `uses` of an operation that opens it.
        let by_what_is_used = self.planned_operations(state).into_iter().any(|row| {
            let view = self.view_of_operation(&row.operation);
            let by_final = |part: &Key| {
                let finals = self.resolve(view, part).finals;
                finals.iter().any(|last| seals(&last.part) == "yes")
            };
            self.joints_opened_by(row).contains(joint)
                && row.uses.iter().any(|(part, _)| seals(part) == "yes" || by_final(part))
        });
        if by_what_is_used && !by_a_part {
            self.mark("joint: sealed by what an operation uses");
        }
        if !by_a_part && !by_what_is_used {
            self.gap("joint-unsealed", self.catalog.show("joint", joint));
        }
    }

    /// The final parts of a renewed position; else the current part, or, where that is not in `parts`, its first final part; a
    /// position left empty counts with what sat there.
    fn as_the_job_leaves_it(&self, position: &Key, plan: &[Planned]) -> Vec<Key> {
        if let Some(planned) = planned(plan, position).filter(|planned| planned.is_renewed()) {
            return planned.pieces.iter().map(|piece| piece.part.clone()).collect();
        }
        let view = self.view_at(position);
        let current = self.current(position);
        let parts = current.parts().into_iter();
        let judged = |part: &Key| match self.catalog.part(part) {
            Some(_) => part.clone(),
            None => self.resolve(view, part).finals[0].part.clone(),
        };
        parts.map(judged).collect()
    }

    // ----- Positions -----

    /// The disturbed positions by place, with action, role and parts.
    pub fn plan(&self, state: &State) -> Vec<Planned> {
        let (mut disturbed, others) = self.disturbed(state);
        disturbed.extend(others);
        let mut by_place = disturbed.clone();
        by_place.sort_by_key(|position| self.place(position));
        let planned = |position: Key| {
            let action = self.action(&position, state, &disturbed);
            let is_renewed = action == Action::Renew;
            // *new* (named by a job line), *companion* (by a needs, or in *carried*), *single-use* (by a rule).
            let role = if state.named_by_a_job_line.contains(&position) {
                Role::New
            } else if state.target(&position).is_some()
                || state.forced.contains(&position)
                || state.carried.contains(&position)
            {
                Role::Companion
            } else {
                Role::SingleUse
            };
            let parts = if is_renewed { self.parts(&position, state) } else { Vec::new() };
            Planned {
                action,
                role: is_renewed.then_some(role),
                pieces: parts.into_iter().flat_map(|(_, pieces)| pieces).collect(),
                covered: Vec::new(),
                position,
            }
        };
        by_place.into_iter().map(planned).collect()
    }

    /// What is wrong with the final parts of renewed positions: something remains to be ordered of one that is discontinued; one is
    /// withdrawn, ordered or covered.
    pub fn judge_what_is_ordered(&self, plan: &[Planned]) {
        for piece in plan.iter().flat_map(|planned| &planned.pieces) {
            self.judge_purchase(&piece.part, !piece.remains.is_zero());
        }
    }

    fn judge_purchase(&self, part: &Key, remains: bool) {
        if self.catalog.part(part).is_some_and(|row| row.status == "withdrawn") {
            self.gap("withdrawn", self.catalog.show_part(part));
        }
        if self.cannot_be_bought(part) {
            if remains {
                self.gap("discontinued", self.catalog.show_part(part));
            } else {
                self.mark("discontinued: nothing remains to be ordered");
            }
        }
    }

    // ----- Lines -----

    /// The final parts of a set or of a consumable, with what is wrong with them.
    pub fn finals_to_buy(&self, view: &View, part: &Key, typed: &Quantity) -> Vec<(Key, Quantity)> {
        let mut to_buy = Vec::new();
        for last in self.resolve_in_earnest(view, part).finals {
            // `part-unknown`, `discontinued` and `withdrawn` of sets and uses are on the final part's number.
            if self.catalog.part(&last.part).is_none() {
                self.mark("part-unknown: on a number to buy");
                self.gap("part-unknown", self.catalog.show_part(&last.part));
            }
            self.judge_purchase(&last.part, true);
            let quantity = self.in_its_unit(&last.part, &typed.times(last.factor()));
            to_buy.push((last.part, quantity));
        }
        to_buy
    }

    /// What remains per final part and unit.
    pub fn lines(&self, sets: &[(Key, Quantity)], plan: &[Planned], state: &State) -> Vec<Line> {
        let mut lines: Vec<Line> = Vec::new();
        // sets (*new*; resolved like a part)
        for (part, quantity) in sets {
            add_to_line(&mut lines, part, quantity, Role::New, None);
        }
        let mut largest_of_set: BTreeMap<(Key, &'static str), Decimal> = BTreeMap::new();
        for planned in plan {
            let Some(role) = planned.role else { continue };
            for piece in planned.pieces.iter().filter(|piece| !piece.remains.is_zero()) {
                let mut quantity = Quantity { number: piece.remains, unit: piece.quantity.unit };
                if piece.is_set {
                    // Positions with quantity `set` and the same final part count that part once together; the largest remainder counts.
                    let of_set = (piece.part.clone(), quantity.unit);
                    let largest = largest_of_set.entry(of_set).or_default();
                    if !largest.is_zero() {
                        self.mark("set: several positions share one");
                    }
                    quantity.number = (piece.remains - *largest).max(Decimal::ZERO);
                    *largest += quantity.number;
                }
                add_to_line(&mut lines, &piece.part, &quantity, role, Some(&planned.position));
            }
        }
        // and the `uses` of all operations (*consumable*; each resolved like a part)
        for row in self.planned_operations(state) {
            let view = self.view_of_operation(&row.operation);
            for (part, amount) in &row.uses {
                // `as-needed` counts 0 in the final part's unit.
                let typed = amount.clone().unwrap_or(Quantity::each(Decimal::ZERO));
                for (part, mut quantity) in self.finals_to_buy(view, part, &typed) {
                    if amount.is_none() {
                        self.mark("uses: as needed");
                        let of_part = self.catalog.part(&part).and_then(|row| row.unit);
                        quantity.unit = of_part.unwrap_or("each");
                    }
                    add_to_line(&mut lines, &part, &quantity, Role::Consumable, None);
                }
            }
        }
        for line in &mut lines {
            line.positions.sort_by_key(|position| self.place(position));
            line.positions.dedup();
        }
        lines.sort_by_key(|line| (line.part.clone(), line.unit));
        lines
    }

    /// What sits there, as the answer shows it.
    pub fn shown_current(&self, position: &Key) -> Option<String> {
        let sits = self.current(position).sits;
        let shown = sits.iter().map(|sits| match &sits.fitted {
            Fitted::Part(part) => self.catalog.show_part(part),
            _ => String::new(),
        });
        let shown: Vec<String> = shown.collect();
        (!shown.is_empty()).then(|| shown.join(";"))
    }
}

/// A line's role is the first of new, companion, single-use, consumable among its sources.
fn add_to_line(
    lines: &mut Vec<Line>,
    part: &Key,
    quantity: &Quantity,
    role: Role,
    position: Option<&Key>,
) {
    let same = lines.iter_mut().find(|line| line.part == *part && line.unit == quantity.unit);
    match same {
        Some(line) => {
            line.quantity += quantity.number;
            line.role = line.role.min(role);
            line.positions.extend(position.cloned());
        }
        None => lines.push(Line {
            part: part.clone(),
            unit: quantity.unit,
            quantity: quantity.number,
            role,
            positions: position.cloned().into_iter().collect(),
        }),
    }
}

/// Whether an operation needs itself, directly or through others still waiting.
fn needs_itself(row: &OperationRow, waiting: &[&OperationRow]) -> bool {
    let mut reached: BTreeSet<&Key> = BTreeSet::new();
    let mut ahead: Vec<&Key> = row.needs.iter().collect();
    while let Some(need) = ahead.pop() {
        let Some(needed) = waiting.iter().find(|row| row.operation == *need) else { continue };
        if reached.insert(need) {
            ahead.extend(&needed.needs);
        }
    }
    reached.contains(&row.operation)
}
