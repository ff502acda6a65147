//! What a part number became, on one machine.

use super::bench::Bench;
use super::gap::{GapKind, Gaps, Subject};
use crate::catalog::{Applies, At, Lookup, Machine, Need, Supersession};
use crate::measure::{Key, PartNumber};
use rust_decimal::Decimal;
use std::collections::{HashMap, HashSet};

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
    /// The row that led here needs something else to change.
    needs: bool,
    /// The row that led here.
    by: Option<At>,
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
    let mut nodes = vec![Node { part: part.clone(), before: None, needs: false, by: None }];
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
            Step::End { node, factor } => resolved.finals.push(end(&nodes, node, factor, false)),
            Step::Stay { node, factor, row } => {
                let needs = !row.needs.is_empty();
                note_needs(&row, &mut resolved.needs);
                resolved.finals.push(end(&nodes, node, times(factor, &row), needs));
            }
            Step::Follow { from, factor, row } => {
                note_needs(&row, &mut resolved.needs);
                let needs = !row.needs.is_empty();
                nodes.push(Node {
                    part: row.new.clone(),
                    before: Some(from),
                    needs,
                    by: Some(row.at),
                });
                steps.push(Step::Visit { node: nodes.len() - 1, factor: times(factor, &row) });
            }
            Step::Visit { node, factor } => {
                let here = nodes[node].part.clone();
                let rows = replacement(&here, machine, lookup, &mut resolved.doubts);
                if rows.is_empty() {
                    resolved.finals.push(end(&nodes, node, factor, false));
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

fn times(factor: Decimal, row: &Supersession) -> Decimal {
    factor.saturating_mul(row.quantity.map_or(Decimal::ONE, |quantity| quantity.amount))
}

fn note_needs(row: &Supersession, needs: &mut Vec<ChainNeed>) {
    needs.extend(row.needs.iter().map(|need| ChainNeed {
        need: need.clone(),
        new: row.new.clone(),
        at: row.at,
    }));
}

fn end(nodes: &[Node], node: usize, factor: Decimal, mut needs_after: bool) -> Final {
    let mut chain = Vec::new();
    let mut at = Some(node);
    while let Some(index) = at {
        let node = &nodes[index];
        chain.push(Link { part: node.part.clone(), free: !needs_after, by: node.by });
        needs_after |= node.needs;
        at = node.before;
    }
    chain.reverse();
    Final { part: nodes[node].part.clone(), factor, chain }
}

/// Finds the rows that replace one part: the narrowest of several, then the latest, then the first.
fn replacement(
    old: &PartNumber,
    machine: &Machine,
    lookup: &dyn Lookup,
    doubts: &mut Vec<ChainDoubt>,
) -> Vec<Supersession> {
    let rows = lookup.supersessions_of(old);
    if rows.is_empty() {
        return Vec::new();
    }
    let mut groups: Vec<Vec<&Supersession>> = Vec::new();
    let mut by_word: HashMap<&Key, usize> = HashMap::new();
    for row in rows.iter() {
        match row.scope.applies(machine) {
            Applies::No => {}
            Applies::Unsure => doubts.push(ChainDoubt::NotSettled { old: old.clone(), at: row.at }),
            Applies::Yes => match &row.together {
                None => groups.push(vec![row]),
                Some(word) => {
                    let index = *by_word.entry(word).or_insert(groups.len());
                    match groups.get_mut(index) {
                        Some(group) => group.push(row),
                        None => groups.push(vec![row]),
                    }
                }
            },
        }
    }
    let rank = |group: &[&Supersession]| {
        let narrow = group.iter().map(|row| row.scope.narrowness()).max();
        let since = group.iter().map(|row| &row.since).max();
        (narrow, since.cloned())
    };
    let Some(best) = groups.iter().map(|group| rank(group)).max() else { return Vec::new() };
    let mut winners = groups.iter().filter(|group| rank(group) == best);
    let Some(taken) = winners.next() else { return Vec::new() };
    if let (Some(first), Some(other)) =
        (taken.first(), winners.next().and_then(|group| group.first()))
    {
        doubts.push(ChainDoubt::Choice { old: old.clone(), taken: first.at, other: other.at });
    }
    taken.iter().map(|row| (*row).clone()).collect()
}

impl Bench<'_> {
    /// Follows the supersessions of a part for this machine.
    pub fn resolve(&self, part: &PartNumber) -> Resolved {
        resolve(part, &self.machine, self.lookup)
    }

    /// Tells whether one part lies on a chain of another, which holds its own start.
    pub fn on_chain_of(&self, start: &PartNumber, part: &PartNumber) -> bool {
        start == part || self.resolve(start).passes(part)
    }
}

impl Resolved {
    /// Tells whether a part lies on one of the chains; a chain holds its own start.
    pub fn passes(&self, part: &PartNumber) -> bool {
        self.finals.iter().any(|end| end.chain.iter().any(|link| link.part == *part))
    }
}

/// Raises what cannot be told about a chain that is part of the plan.
pub(crate) fn raise_doubts(bench: &Bench, resolved: &Resolved, gaps: &mut Gaps) {
    let place = |at: At| bench.lookup.place(at);
    for doubt in &resolved.doubts {
        match doubt {
            ChainDoubt::NotSettled { old, at } => {
                let row = place(*at);
                gaps.raise(GapKind::NotSettled, Subject::Part(old.clone()), || {
                    format!("a row may replace it on this machine or not ({row}), so it was not followed; fill in the machine's year, serial or traits, or the row's limits")
                });
            }
            ChainDoubt::Choice { old, taken, other } => {
                let (taken, other) = (place(*taken), place(*other));
                gaps.raise(GapKind::Choice, Subject::Part(old.clone()), || {
                    format!("two replacements are as good as each other: {taken} was taken, {other} passed over; give one a later `since` or narrower limits, or take it out")
                });
            }
            ChainDoubt::Forks { start } => {
                gaps.raise(GapKind::NotSettled, Subject::Part(start.clone()), || {
                    format!("its replacements fork into more than {MOST_FINALS} parts, and the rest was not followed; look for rows of supersessions that stand there twice")
                });
            }
            ChainDoubt::Cycle { start, at } => {
                let row = place(*at);
                gaps.raise(GapKind::SupersessionCycle, Subject::Part(start.clone()), || {
                    format!("its replacements lead back to a number already passed ({row}); take out the row that points backwards")
                });
            }
        }
    }
}
