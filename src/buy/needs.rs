//! What a kit asks for, and every number that will do for it.

use crate::catalog::{Contains, Lookup};
use crate::kit::{Alike, Bench, Kit, Line, alike};
use crate::measure::{Key, Kind, PartNumber, Quantity, Unit};
use rust_decimal::Decimal;
use std::collections::HashSet;

/// Something to have on the bench: an amount of a part, and what may stand in for it.
#[derive(Debug, Clone)]
pub struct Need {
    /// The part, as the kit's line names it.
    pub part: PartNumber,
    /// How much, in the unit; 0 is as needed: some of it, nobody knows how much.
    pub amount: Decimal,
    /// The unit.
    pub unit: Unit,
    /// A length in one piece, as a hose is: two short pieces do not make a long one.
    pub piece: bool,
    /// The numbers that will do, the part itself first.
    pub accepts: Vec<StandIn>,
    /// Earlier numbers of which one became several parts, this one among them.
    pub halves: Vec<Half>,
    /// The positions that it goes to.
    pub positions: Vec<Key>,
}

/// A number that will do for a need.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct StandIn {
    /// The number.
    pub part: PartNumber,
    /// How many of the part needed one of it counts for.
    pub worth: Decimal,
    /// Why it will do.
    pub how: How,
}

/// Why a number will do for another.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum How {
    /// It is the part itself.
    Itself,
    /// It is an earlier number, and nothing else had to change with what followed.
    Earlier,
    /// The two may stand in for each other.
    BothWays,
    /// It is the same part under another number.
    Equivalent,
}

/// An earlier number of which one became several parts: one of it serves all of them at once.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Half {
    /// The earlier number.
    pub part: PartNumber,
    /// How many of the part needed one of it counts for.
    pub worth: Decimal,
}

impl How {
    /// Says it in words, to follow the number.
    pub fn words(self) -> &'static str {
        match self {
            How::Itself => "",
            How::Earlier => "an earlier number that still does",
            How::BothWays => "interchangeable with it",
            How::Equivalent => "the same part under another number",
        }
    }
}

/// Lists what a kit asks for; `remarks` takes what a person should know about numbers that were passed over.
pub fn needs_of(kit: &Kit, bench: &Bench, remarks: &mut Vec<String>) -> Vec<Need> {
    let mut needs = Vec::new();
    for line in &kit.lines {
        let Some(part) = PartNumber::new(&line.part) else { continue };
        for share in shares(line, &part) {
            let mut need = Need {
                part: part.clone(),
                amount: share.amount,
                unit: line.unit,
                piece: line.unit.kind() == Kind::Length && !share.amount.is_zero(),
                accepts: Vec::new(),
                halves: Vec::new(),
                positions: share.positions,
            };
            (need.accepts, need.halves) = accepted(&share.start, &part, bench);
            drop_hollow(&mut need, kit, bench.lookup, remarks);
            needs.push(need);
        }
    }
    needs
}

/// A need for a part by its number alone.
pub fn need_for(part: &PartNumber, amount: Quantity, bench: &Bench) -> Need {
    let (accepts, halves) = accepted(part, part, bench);
    let piece = amount.unit.kind() == Kind::Length;
    let (amount, unit) = (amount.amount, amount.unit);
    Need { part: part.clone(), amount, unit, piece, accepts, halves, positions: Vec::new() }
}

/// The share of a line that starts from one number.
struct Share {
    start: PartNumber,
    amount: Decimal,
    positions: Vec<Key>,
}

/// Splits a line by the number that each share starts from, for the numbers that will do differ with it. A length
/// is split further: each piece for itself.
fn shares(line: &Line, part: &PartNumber) -> Vec<Share> {
    let length = line.unit.kind() == Kind::Length;
    let mut shares: Vec<Share> = Vec::new();
    let mut shared: Option<usize> = None;
    for source in line.sources.iter().filter(|source| !source.amount.is_zero()) {
        // Positions that share one part share its need: the largest counts.
        if let Some(share) = shared.filter(|_| source.set).and_then(|index| shares.get_mut(index)) {
            share.amount = share.amount.max(source.amount);
            share.positions.extend(source.position.clone());
            continue;
        }
        let same = shares.iter().position(|share| !length && !source.set && share.start == source.start);
        match same.filter(|index| Some(*index) != shared).and_then(|index| shares.get_mut(index)) {
            Some(share) => {
                share.amount = share.amount.saturating_add(source.amount);
                share.positions.extend(source.position.clone());
            }
            None => {
                if source.set {
                    shared = Some(shares.len());
                }
                let positions = source.position.iter().cloned().collect();
                shares.push(Share { start: source.start.clone(), amount: source.amount, positions });
            }
        }
    }
    if shares.is_empty() {
        let start = line.sources.first().map_or_else(|| part.clone(), |source| source.start.clone());
        shares.push(Share { start, amount: line.quantity, positions: Vec::new() });
    }
    shares
}

/// Finds every number that will do for a final part at which a chain from `start` ends.
fn accepted(start: &PartNumber, part: &PartNumber, bench: &Bench) -> (Vec<StandIn>, Vec<Half>) {
    let mut accepts = vec![StandIn { part: part.clone(), worth: Decimal::ONE, how: How::Itself }];
    let mut halves = Vec::new();
    let resolved = bench.resolve(start);
    for end in resolved.finals.iter().filter(|end| end.part == *part) {
        // The nearest number first.
        for link in end.chain.iter().rev().filter(|link| link.free && link.part != *part) {
            let onward = bench.resolve(&link.part);
            let stays = onward.finals.iter().any(|last| last.part == link.part);
            let free = onward.finals.iter().all(|last| last.chain.first().is_some_and(|first| first.free));
            let Some(here) = onward.finals.iter().find(|last| last.part == *part) else { continue };
            if onward.finals.len() == 1 {
                add(&mut accepts, StandIn { part: link.part.clone(), worth: here.factor, how: How::Earlier });
            } else if free && !stays && !halves.iter().any(|half: &Half| half.part == link.part) {
                halves.push(Half { part: link.part.clone(), worth: here.factor });
            }
        }
    }
    let mut at = 0;
    while let Some(known) = accepts.get(at).cloned() {
        at += 1;
        for (other, how) in partners(&known.part, bench) {
            add(&mut accepts, StandIn { part: other, worth: known.worth, how });
        }
    }
    (accepts, halves)
}

fn add(accepts: &mut Vec<StandIn>, new: StandIn) {
    if !accepts.iter().any(|known| known.part == new.part) {
        accepts.push(new);
    }
}

/// Finds the numbers that a part may be swapped with on a machine, and the same part under other numbers.
pub(crate) fn partners(part: &PartNumber, bench: &Bench) -> Vec<(PartNumber, How)> {
    let how = |alike| match alike {
        Alike::BothWays(_) => How::BothWays,
        Alike::Equivalent => How::Equivalent,
    };
    alike(part, bench).into_iter().map(|(other, why)| (other, how(why))).collect()
}

/// Takes out the numbers that lack what the kit counts on to arrive inside the part.
fn drop_hollow(need: &mut Need, kit: &Kit, lookup: &dyn Lookup, remarks: &mut Vec<String>) {
    let brought: Vec<Inside> = inside(&need.part, lookup)
        .into_iter()
        .filter(|item| {
            kit.positions.iter().any(|planned| {
                let by = planned.covered.iter().any(|cover| PartNumber::new(&cover.by).as_ref() == Some(&item.by));
                let here = item.position.as_ref().is_none_or(|position| *position == Key::new(&planned.position));
                by && here
            })
        })
        .collect();
    if brought.is_empty() {
        return;
    }
    need.accepts.retain(|stand_in| {
        if stand_in.part == need.part {
            return true;
        }
        let others = inside(&stand_in.part, lookup);
        let lacks = brought.iter().find(|item| {
            let has = others.iter().filter(|other| other.part == item.part && other.position == item.position);
            has.fold(Decimal::ZERO, |sum, other| sum.saturating_add(other.amount)) < item.amount
        });
        if let Some(lacks) = lacks {
            let spelled = lookup.spell_part(&stand_in.part);
            if !lookup.stock_of(&spelled).is_empty() || !lookup.offers_of(&spelled).is_empty() {
                remarks.push(format!(
                    "{spelled} was not taken for {}: it comes without {}, which this kit counts on",
                    lookup.spell_part(&need.part),
                    lookup.spell_part(&lacks.part)
                ));
            }
        }
        lacks.is_none()
    });
}

/// Something that lies inside a part.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Inside {
    /// What lies inside.
    pub part: PartNumber,
    /// The part that directly contains it.
    pub by: PartNumber,
    /// How many of it for one of the whole.
    pub amount: Decimal,
    /// Their unit.
    pub unit: Unit,
    /// The position at which it arrives fitted; such a thing is of use nowhere else.
    pub position: Option<Key>,
    /// Nothing on the way to it is fitted to anything, so it may be taken out and used by itself.
    pub loose: bool,
}

/// Unpacks one of a part: everything inside it, depth first; a part is never inside itself.
pub fn inside(part: &PartNumber, lookup: &dyn Lookup) -> Vec<Inside> {
    enum Step {
        Take { row: Contains, times: Decimal, loose: bool },
        Leave(PartNumber),
    }
    let rows = |part: &PartNumber, times: Decimal, loose: bool| -> Vec<Step> {
        let rows = lookup.contents_of(part).into_owned();
        rows.into_iter().rev().map(|row| Step::Take { row, times, loose }).collect()
    };
    let mut found = Vec::new();
    let mut open = HashSet::from([part.clone()]);
    let mut steps = rows(part, Decimal::ONE, true);
    while let Some(step) = steps.pop() {
        match step {
            Step::Leave(part) => {
                open.remove(&part);
            }
            Step::Take { row, times, loose } => {
                if !open.insert(row.contained.clone()) {
                    continue;
                }
                let each = row.quantity.unwrap_or(Quantity::ONE);
                let amount = each.amount.saturating_mul(times);
                let loose = loose && row.position.is_none();
                steps.push(Step::Leave(row.contained.clone()));
                steps.extend(rows(&row.contained, amount, loose));
                let (by, part, position) = (row.part, row.contained, row.position);
                found.push(Inside { part, by, amount, unit: each.unit, position, loose });
            }
        }
    }
    found
}
