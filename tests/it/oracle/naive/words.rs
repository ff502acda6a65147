//! Words: the rows that apply, whose limits count, and what sits at a position.

use super::Solver;
use super::catalog::{Fill, LogRow, OperationRow, PositionRow, WayIn};
use super::cells::{Fitted, Key, Need, Quantity};
use super::retrofits::Said;
use super::scope::{Applies, View};
use rust_decimal::Decimal;
use std::collections::BTreeSet;

/// `rows(k)`: the rows of key `k` that apply to M with *yes*; if none, those that are *unsure*.
pub fn rows_that_apply<'a, T>(rows: Vec<&'a T>, applies: impl Fn(&T) -> Applies) -> Vec<&'a T> {
    let such = |wanted: Applies| -> Vec<&'a T> {
        rows.iter().copied().filter(|row| applies(row) == wanted).collect()
    };
    let yes = such(Applies::Yes);
    if yes.is_empty() { such(Applies::Unsure) } else { yes }
}

/// One thing that sits at a position.
#[derive(Debug, Clone)]
pub struct Sits {
    pub fitted: Fitted,
    pub quantity: Quantity,
    /// It has a quantity of its own, so that it does not go by what the position says.
    pub has_own_quantity: bool,
    /// Logged, or from a *yes* row.
    pub is_sure: bool,
    /// A row of the log names it.
    pub is_named_by_the_log: bool,
    /// It was put there for the whole of Q.
    whole: bool,
    /// Of the log row; none for what the position lists.
    date: Option<String>,
}

#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum By {
    Log,
    /// A logged part at another position calls for it.
    CalledFor,
    Listed,
    Nothing,
}

/// `Current(pos)`.
#[derive(Debug, Clone)]
pub struct Current {
    pub sits: Vec<Sits>,
    pub by: By,
}

impl Current {
    pub fn parts(&self) -> Vec<&Key> {
        self.sits.iter().filter_map(|sits| sits.fitted.part()).collect()
    }

    /// Settled by the log; what a logged part calls for counts as logged.
    pub fn is_settled_by_the_log(&self) -> bool {
        matches!(self.by, By::Log | By::CalledFor)
    }
}

impl Solver {
    // ----- Whose limits -----

    /// The assembly of a position is that of its first row of any scope.
    pub fn assembly_of(&self, position: &Key) -> &str {
        self.all_rows_of(position).first().map_or("", |row| row.assembly.as_str())
    }

    pub fn view_at(&self, position: &Key) -> &View {
        self.catalog.view_of_assembly(self.assembly_of(position))
    }

    /// The assembly of an operation is that of its first row of any scope.
    pub fn view_of_operation(&self, operation: &Key) -> &View {
        let first = self.all_rows_of_operation(operation).first().copied();
        self.catalog.view_of_assembly(first.map_or("", |row| row.assembly.as_str()))
    }

    // ----- Rows -----

    pub fn all_rows_of(&self, position: &Key) -> Vec<&PositionRow> {
        self.catalog.positions.iter().filter(|row| row.position == *position).collect()
    }

    pub fn rows_of(&self, position: &Key) -> Vec<&PositionRow> {
        let view = self.view_at(position);
        rows_that_apply(self.all_rows_of(position), |row| view.judge(&row.scope))
    }

    pub fn all_rows_of_operation(&self, operation: &Key) -> Vec<&OperationRow> {
        self.catalog.operations.iter().filter(|row| row.operation == *operation).collect()
    }

    /// The first in table order is used.
    pub fn operation(&self, operation: &Key) -> Option<&OperationRow> {
        let view = self.view_of_operation(operation);
        let rows =
            rows_that_apply(self.all_rows_of_operation(operation), |row| view.judge(&row.scope));
        rows.first().copied()
    }

    /// A position's place is that of its first row of any scope; positions without a row come last, by key.
    pub fn place(&self, position: &Key) -> (usize, Key) {
        let first = self.catalog.positions.iter().position(|row| row.position == *position);
        (first.unwrap_or(usize::MAX), position.clone())
    }

    /// Joints, reached_by, quantity, carried_by, torque and when_disturbed come from `rows(pos)`, or, where that is empty, from
    /// the first row of any scope.
    pub fn ruling_row(&self, position: &Key) -> Option<&PositionRow> {
        let that_applies = self.rows_of(position).first().copied();
        that_applies.or_else(|| self.all_rows_of(position).first().copied())
    }

    pub fn joints_of(&self, position: &Key) -> Vec<Key> {
        self.ruling_row(position).map_or(Vec::new(), |row| row.joints.clone())
    }

    pub fn way_in(&self, position: &Key) -> WayIn {
        self.ruling_row(position).map_or(WayIn::Blank, |row| row.reached_by.clone())
    }

    /// The *listed* part: the `part` of `rows(pos)`'s first row.
    pub fn listed(&self, position: &Key) -> Option<Fitted> {
        self.rows_of(position).first().map(|row| row.part.clone())
    }

    /// *Q*: the quantity of the position (1 if blank or `set`).
    pub fn q(&self, position: &Key) -> Quantity {
        match self.ruling_row(position).map(|row| &row.quantity) {
            Some(Fill::Of(quantity)) => quantity.clone(),
            _ => Quantity::each(Decimal::ONE),
        }
    }

    pub fn counts_as_set(&self, position: &Key) -> bool {
        matches!(self.ruling_row(position).map(|row| &row.quantity), Some(Fill::Set))
    }

    /// Q × the factor of the chain from the listed part to the part, if it lies there, else Q.
    pub fn q_for(&self, position: &Key, part: &Key) -> Quantity {
        let factor = match self.listed(position) {
            Some(Fitted::Part(listed)) => {
                self.resolve(self.view_at(position), &listed).factor_to(part)
            }
            _ => None,
        };
        self.q(position).times(factor.unwrap_or(Decimal::ONE))
    }

    // ----- What sits there -----

    /// The first of these that says anything.
    pub fn current(&self, position: &Key) -> Current {
        if let Some(known) = self.known_currents.borrow().get(position) {
            return known.clone();
        }
        let current = self.find_current(position);
        self.known_currents.borrow_mut().insert(position.clone(), current.clone());
        current
    }

    fn find_current(&self, position: &Key) -> Current {
        // 1. M's worklog rows for the position that have a part.
        if let Some(sits) = self.logged(position) {
            return Current { sits, by: By::Log };
        }
        // 2. What a logged part at another position calls for.
        if let Some(sits) = self.called_for_by_a_logged_part(position) {
            self.mark("current: called for by a logged part elsewhere");
            return Current { sits, by: By::CalledFor };
        }
        // 3. The listed part.
        match self.listed_sits(position) {
            Some(sits) => Current { sits: vec![sits], by: By::Listed },
            None => Current { sits: Vec::new(), by: By::Nothing },
        }
    }

    /// The listed part as it sits there, where one is listed; `-` means nothing.
    fn listed_sits(&self, position: &Key) -> Option<Sits> {
        let rows = self.rows_of(position);
        let row = rows.first().filter(|row| row.part != Fitted::Nothing)?;
        Some(Sits {
            fitted: row.part.clone(),
            quantity: self.q(position),
            has_own_quantity: false,
            is_sure: self.view_at(position).judge(&row.scope) == Applies::Yes,
            is_named_by_the_log: false,
            whole: true,
            date: None,
        })
    }

    /// A position is on M if `Current` is not nothing.
    pub fn is_on_machine(&self, position: &Key) -> bool {
        !self.current(position).sits.is_empty()
    }

    /// By date (blank first, a bare year before that year's days), then in table order.
    fn log_rows(&self, position: &Key) -> Vec<&LogRow> {
        let rows = self.catalog.worklog.iter();
        let mut rows: Vec<&LogRow> = rows
            .filter(|row| row.of_this_machine && row.position.as_ref() == Some(position))
            .filter(|row| row.part != Fitted::NotLookedUp)
            .collect();
        rows.sort_by_key(|row| row.date.clone());
        rows
    }

    /// The date of M's latest log row of the position with a part.
    pub fn latest_log_date(&self, position: &Key) -> Option<String> {
        self.log_rows(position).last().map(|row| row.date.clone())
    }

    /// What the log says sits there; `None` where it says nothing.
    fn logged(&self, position: &Key) -> Option<Vec<Sits>> {
        let rows = self.log_rows(position);
        if rows.is_empty() {
            return None;
        }
        let q = self.q(position);
        let mut sits: Vec<Sits> = Vec::new();
        for (at, row) in rows.iter().enumerate() {
            let Fitted::Part(part) = &row.part else {
                // `-` empties it.
                self.mark("log: taken out for good");
                sits.clear();
                continue;
            };
            match &row.quantity {
                // A part with a quantity less than Q takes the place of that many of what was there (of the listed part, if the
                // log said nothing before), the earliest first.
                Some(own) if own.is_less_than(&q) => {
                    self.mark("log: part of Q");
                    if at == 0 {
                        sits.extend(self.listed_sits(position));
                    }
                    take_away(own, &mut sits);
                    sits.push(logged_sits(row, own.clone(), true, false));
                }
                // Any other part takes the place of everything of earlier dates, and stands beside the others of its own date.
                own => {
                    sits.retain(|other| other.date.as_ref() == Some(&row.date));
                    if !sits.is_empty() {
                        self.mark("log: beside another of its date");
                    }
                    // A logged part without a quantity counts Q × the factor of the chain from the listed part to it.
                    let quantity = own.clone().unwrap_or_else(|| self.q_for(position, part));
                    sits.push(logged_sits(row, quantity, own.is_some(), true));
                    self.add_the_others_of_its_replacements(position, row, &rows, &mut sits);
                }
            }
        }
        Some(sits)
    }

    /// Where the chain to a logged part (that is no part of Q) leads through a replacement made of several parts, the others are
    /// there, too, as their rows name them, Q × their factor, unless the log names one of them on that date.
    fn add_the_others_of_its_replacements(
        &self,
        position: &Key,
        row: &LogRow,
        rows: &[&LogRow],
        sits: &mut Vec<Sits>,
    ) {
        let (Some(Fitted::Part(listed)), Fitted::Part(part)) = (self.listed(position), &row.part)
        else {
            return;
        };
        let resolved = self.resolve(self.view_at(position), &listed);
        let Some((last, index)) = resolved.chain_to(part) else { return };
        for (at, step) in last.steps[..index].iter().enumerate() {
            let is_named_too = |other: &Key| {
                let same_date = rows.iter().filter(|any| any.date == row.date);
                same_date.into_iter().any(|any| any.part.part() == Some(other))
            };
            if step.others.is_empty() || step.others.iter().any(|(other, _)| is_named_too(other)) {
                continue;
            }
            self.mark("log: the others of a replacement are there, too");
            let so_far: Decimal = last.steps[..at].iter().map(|step| step.quantity).product();
            for (other, quantity) in &step.others {
                let amount = self.q(position).times(so_far * quantity);
                let mut there = logged_sits(row, amount, false, true);
                there.fitted = Fitted::Part(other.clone());
                there.is_named_by_the_log = false;
                sits.push(there);
            }
        }
    }

    /// Two different parts of one date that are both still there, each for the whole of Q, and are not members of one replacement.
    pub fn log_is_not_settled(&self, position: &Key) -> bool {
        let whole: Vec<Sits> = self
            .current(position)
            .sits
            .into_iter()
            .filter(|sits| sits.whole && sits.is_named_by_the_log)
            .collect();
        whole.iter().any(|one| {
            whole.iter().any(|other| match (&one.fitted, &other.fitted) {
                (Fitted::Part(first), Fitted::Part(second)) => {
                    first != second
                        && one.date == other.date
                        && !self.are_members_of_one_replacement(position, first, second)
                }
                _ => false,
            })
        })
    }

    /// The `needs` of the retrofit rows that speak of it there, and of the supersession rows from that position's listed part to it;
    /// positions by place, the first item that names this position with a part or `-`, with its own `*n`, else Q. It counts as
    /// logged, but nothing further follows from it.
    fn called_for_by_a_logged_part(&self, position: &Key) -> Option<Vec<Sits>> {
        for elsewhere in self.logged_positions() {
            if elsewhere == *position {
                continue;
            }
            for sits in self.logged(&elsewhere).unwrap_or_default() {
                let Some(part) = sits.fitted.part().filter(|_| sits.is_named_by_the_log) else {
                    continue;
                };
                let mut items: Vec<Need> = Vec::new();
                if let Said::Fits { needs, .. } = self.retrofit_rows_say_quietly(part, &elsewhere) {
                    items.extend(needs);
                }
                if let Some(Fitted::Part(listed)) = self.listed(&elsewhere) {
                    let resolved = self.resolve(self.view_at(&elsewhere), &listed);
                    if let Some((last, index)) = resolved.chain_to(part) {
                        let steps = last.steps[..index].iter();
                        items.extend(steps.flat_map(|step| step.needs.clone()));
                    }
                }
                for item in items {
                    match item {
                        Need::LeaveEmpty { position: at } if at == *position => {
                            return Some(Vec::new());
                        }
                        Need::Fit { position: at, part, quantity } if at == *position => {
                            return Some(vec![Sits {
                                fitted: Fitted::Part(part),
                                has_own_quantity: quantity.is_some(),
                                quantity: quantity.unwrap_or_else(|| self.q(position)),
                                is_sure: true,
                                is_named_by_the_log: false,
                                whole: true,
                                date: None,
                            }]);
                        }
                        _ => {}
                    }
                }
            }
        }
        None
    }

    /// The positions that M's log has a part for, by place.
    fn logged_positions(&self) -> Vec<Key> {
        let rows = self.catalog.worklog.iter();
        let of_machine = rows.filter(|row| row.of_this_machine && row.part != Fitted::NotLookedUp);
        let names: BTreeSet<Key> = of_machine.filter_map(|row| row.position.clone()).collect();
        let mut names: Vec<Key> = names.into_iter().collect();
        names.sort_by_key(|position| self.place(position));
        names
    }
}

fn logged_sits(row: &LogRow, quantity: Quantity, has_own_quantity: bool, whole: bool) -> Sits {
    Sits {
        fitted: row.part.clone(),
        quantity,
        has_own_quantity,
        is_sure: true,
        is_named_by_the_log: true,
        whole,
        date: Some(row.date.clone()),
    }
}

/// Takes that many of what was there away, the earliest first.
fn take_away(how_many: &Quantity, sits: &mut Vec<Sits>) {
    let mut left = how_many.number;
    for one in sits.iter_mut() {
        let Some(there) = one.quantity.number_in(how_many.unit) else { continue };
        let taken = there.min(left);
        if taken.is_zero() {
            continue;
        }
        left -= taken;
        one.quantity = Quantity { number: there - taken, unit: how_many.unit };
        one.has_own_quantity = true;
    }
    sits.retain(|one| !one.quantity.number.is_zero());
}
