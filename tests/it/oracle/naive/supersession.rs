//! Supersession: what a part became.

use super::catalog::SupersessionRow;
use super::cells::{Key, Need, are_alike};
use super::scope::{Applies, View};
use super::{Gap, Solver};
use rust_decimal::Decimal;

/// Rows that are equal in new, quantity, together and needs, as one row.
#[derive(Clone)]
struct OneRow {
    new: Key,
    quantity: Decimal,
    together: Option<Key>,
    needs: Vec<Need>,
    is_sure: bool,
    columns_filled: usize,
    since: String,
}

/// One or more rows that together replace a part.
struct Replacement {
    rows: Vec<OneRow>,
}

impl Replacement {
    fn is_sure(&self) -> bool {
        self.rows.iter().all(|row| row.is_sure)
    }

    /// Most scope columns filled (of a group, its most), then the latest `since` (of a group, its latest).
    fn rank(&self) -> (usize, String) {
        let columns = self.rows.iter().map(|row| row.columns_filled).max();
        let since = self.rows.iter().map(|row| row.since.clone()).max();
        (columns.unwrap_or_default(), since.unwrap_or_default())
    }
}

/// A row followed.
#[derive(Debug, Clone)]
pub struct Step {
    pub quantity: Decimal,
    pub needs: Vec<Need>,
    /// What the other rows of the same replacement name, and their quantities.
    pub others: Vec<(Key, Decimal)>,
}

#[derive(Debug, Clone)]
pub struct Final {
    pub part: Key,
    /// From the part resolved to the final part, both included.
    pub chain: Vec<Key>,
    /// The rows followed: the first leads away from the chain's first part, and so on. One more where the part stays.
    pub steps: Vec<Step>,
}

impl Final {
    pub fn factor(&self) -> Decimal {
        self.factor_from(0)
    }

    pub fn factor_from(&self, index: usize) -> Decimal {
        self.steps[index..].iter().map(|step| step.quantity).product()
    }

    pub fn index_of(&self, part: &Key) -> Option<usize> {
        self.chain.iter().position(|on_chain| on_chain == part)
    }

    /// A chain part is *free* if it is the final part, or no row followed after it has `needs`.
    pub fn is_free(&self, part: &Key) -> bool {
        let Some(index) = self.index_of(part) else { return false };
        *part == self.part || self.steps[index..].iter().all(|step| step.needs.is_empty())
    }
}

/// What `resolve` gives.
#[derive(Default)]
pub struct Resolved {
    pub finals: Vec<Final>,
    /// The `needs` of every row followed, in order, depth first.
    pub needs: Vec<Need>,
    gaps: Vec<Gap>,
}

impl Resolved {
    pub fn has_on_a_chain(&self, part: &Key) -> bool {
        self.chain_to(part).is_some()
    }

    /// The first chain that the part lies on, and where.
    pub fn chain_to(&self, part: &Key) -> Option<(&Final, usize)> {
        self.finals.iter().find_map(|last| Some((last, last.index_of(part)?)))
    }

    pub fn factor_to(&self, part: &Key) -> Option<Decimal> {
        let (last, index) = self.chain_to(part)?;
        Some(last.steps[..index].iter().map(|step| step.quantity).product())
    }
}

impl Solver {
    /// `resolve(p)`: a look that raises no gaps.
    pub fn resolve(&self, view: &View, part: &Key) -> Resolved {
        let mut resolved = Resolved::default();
        self.follow(view, vec![part.clone()], Vec::new(), &mut resolved);
        resolved
    }

    /// As `resolve`, where the chain counts for more than comparing parts, so its gaps are raised.
    pub fn resolve_in_earnest(&self, view: &View, part: &Key) -> Resolved {
        let resolved = self.resolve_to_judge(view, part);
        let parts = resolved.finals.iter().flat_map(|last| last.chain.iter().cloned());
        self.chains.borrow_mut().extend(parts);
        resolved
    }

    /// As above, for a part that nothing is ordered for.
    pub fn resolve_to_judge(&self, view: &View, part: &Key) -> Resolved {
        let resolved = self.resolve(view, part);
        for (kind, subject) in &resolved.gaps {
            self.gap(kind, subject.clone());
        }
        let parts = resolved.finals.iter().flat_map(|last| last.chain.iter().cloned());
        self.looked_at.borrow_mut().extend(parts);
        resolved
    }

    fn follow(&self, view: &View, chain: Vec<Key>, steps: Vec<Step>, resolved: &mut Resolved) {
        let part = chain.last().expect("a chain holds its start").clone();
        let ends_here = |resolved: &mut Resolved, steps: Vec<Step>| {
            resolved.finals.push(Final { part: part.clone(), chain: chain.clone(), steps });
        };
        // It ends where no row applies.
        let Some(replacement) = self.replacement(view, &part, resolved) else {
            ends_here(resolved, steps);
            return;
        };
        let mut ended_before_a_repeat = false;
        for (at, row) in replacement.rows.iter().enumerate() {
            let others = replacement.rows.iter().enumerate().filter(|(other, _)| *other != at);
            let mut further = steps.clone();
            // Quantities multiply along the chain.
            further.push(Step {
                quantity: row.quantity,
                needs: row.needs.clone(),
                others: others.map(|(_, other)| (other.new.clone(), other.quantity)).collect(),
            });
            if row.together.is_some() && row.new == part {
                // A row with a non-blank `together` and `new` = the old part means that the part stays: one final part, no gap.
                self.mark("supersession: the old part stays");
                resolved.needs.extend(row.needs.iter().cloned());
                ends_here(resolved, further);
            } else if chain.contains(&row.new) {
                // A row that leads to a part already on the chain: the chain ends before the repeat (once, if several rows of a group
                // repeat; the others of the group go on; the repeating row's `needs` are dropped).
                resolved.gaps.push(("supersession-cycle", self.catalog.show_part(&chain[0])));
                if ended_before_a_repeat {
                    self.mark("supersession: several rows of a group repeat");
                } else {
                    ends_here(resolved, steps.clone());
                }
                ended_before_a_repeat = true;
            } else {
                resolved.needs.extend(row.needs.iter().cloned());
                let mut longer = chain.clone();
                longer.push(row.new.clone());
                self.follow(view, longer, further, resolved);
            }
        }
    }

    /// The replacement that wins.
    fn replacement(&self, view: &View, part: &Key, resolved: &mut Resolved) -> Option<Replacement> {
        let (sure, unsure): (Vec<Replacement>, Vec<Replacement>) =
            self.replacements(view, part).into_iter().partition(Replacement::is_sure);
        // A replacement with an *unsure* row is not followed and gives gap `not-settled` on that old part (of a group, all of it waits).
        if !unsure.is_empty() {
            if unsure.iter().any(|one| one.rows.iter().any(|row| row.is_sure)) {
                self.mark("supersession: a group waits for an unsure row");
            }
            resolved.gaps.push(("not-settled", self.catalog.show_part(part)));
        }
        // Of several replacements the narrowest wins, among equals the latest `since`.
        let best = sure.iter().map(Replacement::rank).max()?;
        if sure.iter().any(|one| one.rank().0 < best.0) {
            self.mark("supersession: a narrower one wins");
        }
        if sure.iter().any(|one| one.rank().0 == best.0 && one.rank().1 < best.1) {
            self.mark("supersession: a later one wins");
        }
        let mut winners = sure.into_iter().filter(|one| one.rank() == best);
        let winner = winners.next();
        // On a tie the first in table order, with gap `choice` on that old part.
        if winners.next().is_some() {
            resolved.gaps.push(("choice", self.catalog.show_part(part)));
        }
        winner
    }

    /// Rows of one old part with the same non-blank `together` form one replacement made of several parts; a row with a blank
    /// `together` stands alone.
    fn replacements(&self, view: &View, old: &Key) -> Vec<Replacement> {
        let mut replacements: Vec<Replacement> = Vec::new();
        for row in self.rows_as_one(view, old) {
            let group = replacements
                .iter_mut()
                .find(|one| row.together.is_some() && one.rows[0].together == row.together);
            match group {
                Some(one) => one.rows.push(row),
                None => replacements.push(Replacement { rows: vec![row] }),
            }
        }
        replacements
    }

    /// Rows equal in new, quantity, together and needs are one row: *yes* if one of them is, with the most scope columns and the
    /// latest `since` of those that are.
    fn rows_as_one(&self, view: &View, old: &Key) -> Vec<OneRow> {
        let judged: Vec<(Applies, &SupersessionRow)> = self
            .catalog
            .supersessions
            .iter()
            .filter(|row| row.old == *old)
            .map(|row| (view.judge(&row.scope), row))
            .filter(|(applies, _)| *applies != Applies::No)
            .collect();
        let is_equal = |one: &SupersessionRow, other: &SupersessionRow| {
            one.new == other.new
                && one.quantity == other.quantity
                && one.together == other.together
                && are_alike(&one.needs, &other.needs, Need::is_like)
        };
        let mut rows = Vec::new();
        for (at, (applies, row)) in judged.iter().enumerate() {
            let equals = || judged.iter().filter(|(_, other)| is_equal(row, other));
            let is_sure = equals().any(|(applies, _)| *applies == Applies::Yes);
            // It stands where the first of those stands that count.
            let counts = |applies: &Applies| *applies == Applies::Yes || !is_sure;
            let mut before = judged[..at].iter();
            let came_before =
                before.any(|(applies, other)| is_equal(row, other) && counts(applies));
            if !counts(applies) || came_before {
                if came_before {
                    self.mark("supersession: equal rows are one");
                }
                continue;
            }
            let counting = || equals().filter(|(applies, _)| counts(applies));
            rows.push(OneRow {
                new: row.new.clone(),
                quantity: row.quantity,
                together: row.together.clone(),
                needs: row.needs.clone(),
                is_sure,
                columns_filled: counting()
                    .map(|(_, row)| row.scope.columns_filled())
                    .max()
                    .unwrap_or_default(),
                since: counting().map(|(_, row)| row.since.clone()).max().unwrap_or_default(),
            });
        }
        rows
    }

    /// Whether two parts are both named by one replacement made of several parts.
    pub fn are_members_of_one_replacement(&self, position: &Key, one: &Key, other: &Key) -> bool {
        let view = self.view_at(position);
        let names = |replacement: &Replacement, part: &Key| {
            replacement.rows.iter().any(|row| row.new == *part)
        };
        self.catalog.supersessions.iter().any(|row| {
            let replacements = self.replacements(view, &row.old).into_iter();
            replacements
                .filter(Replacement::is_sure)
                .any(|replacement| names(&replacement, one) && names(&replacement, other))
        })
    }
}
