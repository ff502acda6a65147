//! What a part number became, on one machine.

use super::gap::{GapKind, Gaps, Subject, Why};
use crate::catalog::{Applies, At, Lookup, Machine, Need, Scope, Supersession};
use crate::measure::{Key, LogDate, PartNumber};
use rust_decimal::Decimal;
use std::collections::{HashMap, HashSet};
use std::rc::Rc;

/// What a part becomes on a machine: one or more final parts, and what must change along the way.
#[derive(Debug, Clone)]
pub struct Resolved {
    /// The parts at the ends of the chains, in order, depth first.
    pub finals: Vec<Final>,
    /// What the rows that were followed need, in order, depth first.
    pub needs: Vec<ChainNeed>,
    /// What cannot be told.
    pub doubts: Vec<ChainDoubt>,
}

/// A part at the end of a chain.
#[derive(Debug, Clone)]
pub struct Final {
    /// The part.
    pub part: PartNumber,
    /// How many of it for one of the part that the chain began with.
    pub factor: Decimal,
    /// The chain from the start to this part, both included.
    pub chain: Vec<Link>,
    /// The row by which the part stays, though others come beside it.
    pub stays: Option<Rc<Supersession>>,
}

impl Final {
    /// Gives how many of it there are for one of a part on its chain.
    pub fn factor_from(&self, part: &PartNumber) -> Option<Decimal> {
        let at = self.chain.iter().position(|link| link.part == *part)?;
        let onward = self.chain[at + 1..].iter().map(|link| link.times);
        let stays = self.stays.as_deref().map(each);
        Some(onward.chain(stays).fold(Decimal::ONE, Decimal::saturating_mul))
    }

    /// Gives the rows that were followed to it.
    pub fn rows(&self) -> impl Iterator<Item = &Supersession> {
        self.chain.iter().filter_map(|link| link.row.as_deref()).chain(self.stays.as_deref())
    }
}

/// A part on a chain.
#[derive(Debug, Clone)]
pub struct Link {
    /// The part.
    pub part: PartNumber,
    /// No row followed after it needs anything else to change, so the part itself will still do.
    pub free: bool,
    /// The row that led here; `None` where the chain begins.
    pub by: Option<At>,
    /// How many of it for one of the part before it.
    pub times: Decimal,
    /// The row that led here, whole.
    pub row: Option<Rc<Supersession>>,
}

/// One item of the needs cell of a row that was followed.
#[derive(Debug, Clone)]
pub struct ChainNeed {
    /// What must change.
    pub need: Need,
    /// The new part whose row says so.
    pub new: PartNumber,
    /// Where the row stands.
    pub at: At,
}

/// What cannot be told about a chain.
#[derive(Debug, Clone)]
pub enum ChainDoubt {
    /// A row may apply or not.
    NotSettled {
        /// The old part.
        old: PartNumber,
        /// Where the row stands.
        at: At,
        /// The limits of the row.
        scope: Scope,
    },
    /// Two replacements are as good as each other.
    Choice {
        /// The old part.
        old: PartNumber,
        /// Where the row taken stands.
        taken: At,
        /// Where the row passed over stands.
        other: At,
    },
    /// The chain leads back to itself.
    Cycle {
        /// The part that the chain began with.
        start: PartNumber,
        /// Where the row that closes the circle stands.
        at: At,
    },
    /// The rows fork time and again, into more parts than anybody could want.
    Forks {
        /// The part that the chain began with.
        start: PartNumber,
    },
}

/// The most final parts that are followed. Rows that fork at every level double them each time, and would fill any
/// memory; a part list that a person typed has a few.
const MOST_FINALS: usize = 10_000;

/// A part on the way, with the one before it.
struct Node {
    part: PartNumber,
    before: Option<usize>,
    /// The row that led here.
    row: Option<Rc<Supersession>>,
}

/// What is left to do, the next on top. A chain may be as long as a table, so nothing here recurses.
enum Step {
    Visit { node: usize, factor: Decimal },
    Follow { from: usize, factor: Decimal, row: Supersession },
    Stay { node: usize, factor: Decimal, row: Supersession },
    End { node: usize, factor: Decimal },
    Leave { part: PartNumber },
}

/// Follows the supersessions of a part for a machine, to ten thousand final parts at most.
pub fn resolve(part: &PartNumber, machine: &Machine, lookup: &dyn Lookup) -> Resolved {
    let mut resolved = Resolved { finals: Vec::new(), needs: Vec::new(), doubts: Vec::new() };
    let mut nodes = vec![Node { part: part.clone(), before: None, row: None }];
    let mut on_chain = HashSet::new();
    let mut steps = vec![Step::Visit { node: 0, factor: Decimal::ONE }];
    while let Some(step) = steps.pop() {
        if resolved.finals.len() == MOST_FINALS && !matches!(step, Step::Leave { .. }) {
            resolved.doubts.push(ChainDoubt::Forks { start: part.clone() });
            break;
        }
        match step {
            Step::Leave { part } => {
                on_chain.remove(&part);
            }
            Step::End { node, factor } => resolved.finals.push(end(&nodes, node, factor, None)),
            Step::Stay { node, factor, row } => {
                note_needs(&row, &mut resolved.needs);
                let factor = factor.saturating_mul(each(&row));
                resolved.finals.push(end(&nodes, node, factor, Some(Rc::new(row))));
            }
            Step::Follow { from, factor, row } => {
                note_needs(&row, &mut resolved.needs);
                let factor = factor.saturating_mul(each(&row));
                let (part, row) = (row.new.clone(), Some(Rc::new(row)));
                nodes.push(Node { part, before: Some(from), row });
                steps.push(Step::Visit { node: nodes.len() - 1, factor });
            }
            Step::Visit { node, factor } => {
                let here = nodes[node].part.clone();
                let rows = replacement(&here, machine, lookup, &mut resolved.doubts);
                if rows.is_empty() {
                    resolved.finals.push(end(&nodes, node, factor, None));
                    continue;
                }
                on_chain.insert(here.clone());
                let mut next = Vec::with_capacity(rows.len());
                let mut ended = false;
                for row in rows {
                    if row.new == here && row.together.is_some() {
                        next.push(Step::Stay { node, factor, row });
                    } else if on_chain.contains(&row.new) {
                        resolved.doubts.push(ChainDoubt::Cycle { start: part.clone(), at: row.at });
                        if !ended {
                            next.push(Step::End { node, factor });
                            ended = true;
                        }
                    } else {
                        next.push(Step::Follow { from: node, factor, row });
                    }
                }
                steps.push(Step::Leave { part: here });
                steps.extend(next.into_iter().rev());
            }
        }
    }
    resolved
}

/// How many new ones for one old one.
fn each(row: &Supersession) -> Decimal {
    row.quantity.map_or(Decimal::ONE, |quantity| quantity.amount)
}

fn note_needs(row: &Supersession, needs: &mut Vec<ChainNeed>) {
    needs.extend(row.needs.iter().map(|need| ChainNeed {
        need: need.clone(),
        new: row.new.clone(),
        at: row.at,
    }));
}

fn end(nodes: &[Node], node: usize, factor: Decimal, stays: Option<Rc<Supersession>>) -> Final {
    let mut chain = Vec::new();
    let mut at = Some(node);
    let mut needs_after = stays.as_ref().is_some_and(|row| !row.needs.is_empty());
    while let Some(index) = at {
        let node = &nodes[index];
        chain.push(Link {
            part: node.part.clone(),
            // The final part itself will do, whatever it needs.
            free: chain.is_empty() || !needs_after,
            by: node.row.as_ref().map(|row| row.at),
            times: node.row.as_deref().map_or(Decimal::ONE, each),
            row: node.row.clone(),
        });
        needs_after |= node.row.as_ref().is_some_and(|row| !row.needs.is_empty());
        at = node.before;
    }
    chain.reverse();
    Final { part: nodes[node].part.clone(), factor, chain, stays }
}

/// Rows that say the same, as one: how narrow it is, and since when.
struct Same<'r> {
    row: &'r Supersession,
    sure: bool,
    narrow: usize,
    since: &'r LogDate,
}

impl<'r> Same<'r> {
    fn of(rows: &'r [Supersession], machine: &Machine) -> Vec<Self> {
        let mut all: Vec<Same> = Vec::new();
        for row in rows {
            let applies = row.scope.applies(machine);
            let (sure, narrow, since) =
                (applies == Applies::Yes, row.scope.narrowness(), &row.since);
            match all.iter_mut().find(|same| applies != Applies::No && says_the_same(same.row, row))
            {
                _ if applies == Applies::No => {}
                None => all.push(Same { row, sure, narrow, since }),
                Some(same) if same.sure && sure => {
                    same.narrow = same.narrow.max(narrow);
                    same.since = same.since.max(since);
                }
                Some(same) if sure => *same = Same { row, sure, narrow, since },
                Some(_) => {}
            }
        }
        all
    }
}

fn says_the_same(a: &Supersession, b: &Supersession) -> bool {
    a.new == b.new
        && each(a) == each(b)
        && a.together == b.together
        && a.needs.len() == b.needs.len()
        && a.needs.iter().all(|need| b.needs.contains(need))
        && b.needs.iter().all(|need| a.needs.contains(need))
}

/// Finds the rows that replace one part: the narrowest of several, then the latest, then the first. A replacement of
/// which a row may not apply is not followed.
pub(super) fn replacement(
    old: &PartNumber,
    machine: &Machine,
    lookup: &dyn Lookup,
    doubts: &mut Vec<ChainDoubt>,
) -> Vec<Supersession> {
    let rows = lookup.supersessions_of(old);
    if rows.is_empty() {
        return Vec::new();
    }
    let same = Same::of(&rows, machine);
    let mut groups: Vec<Vec<&Same>> = Vec::new();
    let mut by_word: HashMap<&Key, usize> = HashMap::new();
    for row in &same {
        match &row.row.together {
            None => groups.push(vec![row]),
            Some(word) => {
                let index = *by_word.entry(word).or_insert(groups.len());
                match groups.get_mut(index) {
                    Some(group) => group.push(row),
                    None => groups.push(vec![row]),
                }
            }
        }
    }
    groups.retain(|group| {
        let unsure = group.iter().find(|row| !row.sure).map(|same| same.row);
        doubts.extend(unsure.map(|row| ChainDoubt::NotSettled {
            old: old.clone(),
            at: row.at,
            scope: row.scope.clone(),
        }));
        unsure.is_none()
    });
    let rank = |group: &[&Same]| {
        let narrow = group.iter().map(|row| row.narrow).max();
        (narrow, group.iter().map(|row| row.since).max().cloned())
    };
    let Some(best) = groups.iter().map(|group| rank(group)).max() else { return Vec::new() };
    let mut winners = groups.iter().filter(|group| rank(group) == best);
    let Some(taken) = winners.next() else { return Vec::new() };
    if let (Some(first), Some(other)) =
        (taken.first(), winners.next().and_then(|group| group.first()))
    {
        let (taken, other) = (first.row.at, other.row.at);
        doubts.push(ChainDoubt::Choice { old: old.clone(), taken, other });
    }
    taken.iter().map(|same| same.row.clone()).collect()
}

impl Resolved {
    /// Tells whether a part lies on one of the chains; a chain holds its own start.
    pub fn passes(&self, part: &PartNumber) -> bool {
        self.link_to(part).is_some()
    }

    /// Finds the first chain that a part lies on, and where.
    pub(super) fn link_to(&self, part: &PartNumber) -> Option<(&[Link], usize)> {
        self.finals.iter().find_map(|end| {
            let at = end.chain.iter().position(|link| link.part == *part)?;
            Some((end.chain.as_slice(), at))
        })
    }

    /// Gives how many of a part on a chain there are for one of the part that it begins with.
    pub(super) fn factor_to(&self, part: &PartNumber) -> Option<Decimal> {
        let (chain, at) = self.link_to(part)?;
        Some(chain[..=at].iter().map(|link| link.times).fold(Decimal::ONE, Decimal::saturating_mul))
    }
}

/// Raises what cannot be told about a chain that is part of the plan.
pub(crate) fn raise_doubts(resolved: &Resolved, machine: &Machine, gaps: &mut Gaps) {
    for doubt in resolved.doubts.clone() {
        let (kind, part, why) = match doubt {
            ChainDoubt::NotSettled { old, at, scope } => {
                let why = Why::MayBeReplaced { at, scope, machine: Box::new(machine.clone()) };
                (GapKind::NotSettled, old, why)
            }
            ChainDoubt::Choice { old, taken, other } => {
                (GapKind::Choice, old, Why::AsGood { taken, other })
            }
            ChainDoubt::Forks { start } => {
                (GapKind::NotSettled, start, Why::Forks { most: MOST_FINALS })
            }
            ChainDoubt::Cycle { start, at } => {
                (GapKind::SupersessionCycle, start, Why::LeadsBack { at })
            }
        };
        gaps.raise(kind, Subject::Part(part), why);
    }
}
