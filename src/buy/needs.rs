//! What a kit asks for, and every number that will do for it.

use crate::catalog::{Applies, Contains, Lookup};
use crate::kit::{Alike, Bench, Kit, Line, LineSource, MOST_CONTENTS, PlannedPosition, alike};
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
    /// The part inside which the kit counts on it to arrive; `None` where it is ordered by itself. Such a need is there
    /// only where a number that will do for that part comes without it.
    pub comes_in: Option<PartNumber>,
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
    /// It may come off the shelf, and is never bought: it is an earlier number, or will do for one.
    pub shelf_only: bool,
    /// What one of it brings along of the needs that are counted on to arrive inside the part.
    pub brings: Vec<Brought>,
}

/// Something that arrives inside a number that is used as it is.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Brought {
    /// The part, as the need for it names it.
    pub part: PartNumber,
    /// How many in one.
    pub amount: Decimal,
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

impl Need {
    /// The numbers that will do but lack something which the kit counts on to arrive inside the part, each with what.
    pub fn hollow(&self) -> impl Iterator<Item = (&PartNumber, &PartNumber)> {
        let full = self.accepts.first().map_or(&[][..], |itself| &itself.brings);
        self.accepts.iter().filter_map(move |stand_in| {
            let lacks = |brought: &&Brought| stand_in.brings_of(&brought.part) < brought.amount;
            full.iter().find(lacks).map(|brought| (&stand_in.part, &brought.part))
        })
    }
}

impl StandIn {
    fn brings_of(&self, part: &PartNumber) -> Decimal {
        self.brings
            .iter()
            .find(|brought| brought.part == *part)
            .map_or(Decimal::ZERO, |brought| brought.amount)
    }
}

impl From<Alike> for How {
    fn from(alike: Alike) -> Self {
        match alike {
            Alike::BothWays(_) => How::BothWays,
            Alike::Equivalent => How::Equivalent,
        }
    }
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
        let first = needs.len();
        for share in shares(line, &part, &|source| earliest(source, kit, bench)) {
            let mut need = Need {
                part: part.clone(),
                amount: share.amount,
                unit: line.unit,
                piece: line.unit.kind() == Kind::Length && !share.amount.is_zero(),
                accepts: Vec::new(),
                halves: Vec::new(),
                positions: share.positions,
                comes_in: None,
            };
            (need.accepts, need.halves) =
                accepted(&share.start, &part, share.earliest.as_ref(), bench);
            needs.push(need);
        }
        counted_on(&mut needs, first, kit, bench, remarks);
    }
    needs
}

/// A need for a part by its number alone.
pub fn need_for(part: &PartNumber, amount: Quantity, bench: &Bench) -> Need {
    let (accepts, halves) = accepted(part, part, None, bench);
    let piece = amount.unit.kind() == Kind::Length;
    let (amount, unit) = (amount.amount, amount.unit);
    Need {
        part: part.clone(),
        amount,
        unit,
        piece,
        accepts,
        halves,
        positions: Vec::new(),
        comes_in: None,
    }
}

/// The share of a line that starts from one number.
struct Share {
    start: PartNumber,
    /// The first number of the chain that may come off the shelf in its place; `None` where none may.
    earliest: Option<PartNumber>,
    amount: Decimal,
    positions: Vec<Key>,
}

/// Finds the earliest number that may come off the shelf for a share of a line: the one that its position starts from,
/// but none before one that a job line, or the person, names for that position; and none where there is no position.
fn earliest(source: &LineSource, kit: &Kit, bench: &Bench) -> Option<PartNumber> {
    let position = source.position.as_ref()?;
    let named = |job: &String| {
        let lines = bench.lookup.job_lines(&Key::new(job));
        let here = lines.iter().filter(|line| {
            line.position.as_ref() == Some(position)
                && line.option.as_ref().is_none_or(|option| {
                    kit.options.iter().any(|held| Key::new(held) == option.name) == option.holds
                })
                && line.scope.applies(&bench.place(position).machine) != Applies::No
        });
        here.filter_map(|line| line.part.part().cloned()).next()
    };
    if kit.instead.iter().any(|chosen| Key::new(chosen) == *position) {
        return None;
    }
    let named = kit.jobs.iter().chain(&kit.rest_of).find_map(named);
    Some(named.unwrap_or_else(|| source.start.clone()))
}

/// Splits a line by the number that each share starts from, for the numbers that will do differ with it. A length
/// is split further: each piece for itself.
fn shares(
    line: &Line,
    part: &PartNumber,
    earliest: &dyn Fn(&LineSource) -> Option<PartNumber>,
) -> Vec<Share> {
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
        let earliest = earliest(source);
        let same = shares.iter().position(|share| {
            !length && !source.set && (&share.start, &share.earliest) == (&source.start, &earliest)
        });
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
                shares.push(Share {
                    start: source.start.clone(),
                    earliest,
                    amount: source.amount,
                    positions,
                });
            }
        }
    }
    if shares.is_empty() {
        let first = line.sources.first();
        let start = first.map_or_else(|| part.clone(), |source| source.start.clone());
        let earliest = first.and_then(earliest);
        shares.push(Share { start, earliest, amount: line.quantity, positions: Vec::new() });
    }
    shares
}

/// Finds every number that will do for a final part at which a chain from `start` ends. Of the numbers before it only
/// those from `earliest` on will do, off the shelf; without one none does.
fn accepted(
    start: &PartNumber,
    part: &PartNumber,
    earliest: Option<&PartNumber>,
    bench: &Bench,
) -> (Vec<StandIn>, Vec<Half>) {
    let itself = StandIn {
        part: part.clone(),
        worth: Decimal::ONE,
        how: How::Itself,
        shelf_only: false,
        brings: Vec::new(),
    };
    let mut accepts = vec![itself];
    with_alike(&mut accepts, bench);
    let mut halves = Vec::new();
    let resolved = bench.resolve(start);
    for end in resolved.finals.iter().filter(|end| end.part == *part) {
        let Some(first) = end.chain.iter().position(|link| Some(&link.part) == earliest) else {
            continue;
        };
        // The nearest number first.
        let links = end.chain.iter().skip(first).rev();
        for link in links.filter(|link| link.free && link.part != *part) {
            let onward = bench.resolve(&link.part);
            let stays = onward.finals.iter().any(|last| last.part == link.part);
            let free =
                onward.finals.iter().all(|last| last.chain.first().is_some_and(|first| first.free));
            let Some(here) = onward.finals.iter().find(|last| last.part == *part) else { continue };
            if onward.finals.len() == 1 {
                let (worth, how) = (here.factor, How::Earlier);
                let part = link.part.clone();
                add(
                    &mut accepts,
                    StandIn { part, worth, how, shelf_only: true, brings: Vec::new() },
                );
            } else if free && !stays && !halves.iter().any(|half: &Half| half.part == link.part) {
                halves.push(Half { part: link.part.clone(), worth: here.factor });
            }
        }
    }
    with_alike(&mut accepts, bench);
    (accepts, halves)
}

/// Adds what will do for the numbers that are there.
fn with_alike(accepts: &mut Vec<StandIn>, bench: &Bench) {
    let mut at = 0;
    while let Some(known) = accepts.get(at).cloned() {
        at += 1;
        for (part, why) in alike(&known.part, bench) {
            add(accepts, StandIn { part, how: why.into(), brings: Vec::new(), ..known });
        }
    }
}

fn add(accepts: &mut Vec<StandIn>, new: StandIn) {
    if !accepts.iter().any(|known| known.part == new.part) {
        accepts.push(new);
    }
}

/// Something that the kit counts on to arrive inside a part.
struct CountedOn<'k> {
    item: Inside,
    planned: Vec<&'k PlannedPosition>,
}

/// Sees to the numbers that will do for a line but come without what the kit counts on to arrive inside the part.
///
/// What they lack becomes a need of its own, which whatever does bring it along meets on the way. Where that cannot be
/// counted, by pieces and for one part at a position, such a number is passed over.
fn counted_on(
    needs: &mut Vec<Need>,
    first: usize,
    kit: &Kit,
    bench: &Bench,
    remarks: &mut Vec<String>,
) {
    let lookup = bench.lookup;
    let Some(part) = needs.get(first).map(|need| need.part.clone()) else { return };
    if needs[first..].iter().all(|need| need.accepts.len() < 2) {
        return;
    }
    let counted: Vec<CountedOn> = inside(&part, lookup)
        .into_iter()
        .map(|item| {
            let here = |planned: &&PlannedPosition| {
                let by = planned
                    .covered
                    .iter()
                    .any(|cover| PartNumber::new(&cover.by).as_ref() == Some(&item.by));
                let on_chain =
                    |number: &String| PartNumber::new(number).as_ref() == Some(&item.part);
                by && match &item.position {
                    Some(position) => *position == Key::new(&planned.position),
                    None => planned.parts.iter().any(|content| content.chain.iter().any(on_chain)),
                }
            };
            CountedOn { planned: kit.positions.iter().filter(here).collect(), item }
        })
        .filter(|counted| !counted.planned.is_empty())
        .collect();
    if counted.is_empty() {
        return;
    }
    let amount =
        needs[first..].iter().map(|need| need.amount).fold(Decimal::ZERO, Decimal::saturating_add);
    let by_the_piece =
        needs[first..].iter().all(|need| need.unit == Unit::Each && need.amount.is_integer());
    let besides = if by_the_piece { besides(&part, amount, &counted, bench) } else { None };
    for need in &mut needs[first..] {
        let own = need.part.clone();
        need.accepts.retain_mut(|stand_in| {
            let others = inside(&stand_in.part, lookup);
            let has = |item: &Inside| {
                let same = others
                    .iter()
                    .filter(|other| other.part == item.part && other.position == item.position);
                same.fold(Decimal::ZERO, |sum, other| sum.saturating_add(other.amount))
            };
            let mut lacks = None;
            for (place, counted) in counted.iter().enumerate() {
                let wanted = counted.item.amount.saturating_mul(stand_in.worth);
                let brings = has(&counted.item).min(wanted);
                if brings < wanted {
                    lacks = lacks.or(Some(&counted.item.part));
                }
                let Some(of) = besides.as_ref().and_then(|besides| besides.get(place)) else {
                    continue;
                };
                match stand_in.brings.iter_mut().find(|known| known.part == of.part) {
                    Some(known) => known.amount = known.amount.saturating_add(brings),
                    None => stand_in.brings.push(Brought { part: of.part.clone(), amount: brings }),
                }
            }
            let Some(lacks) = lacks.filter(|_| stand_in.part != own) else { return true };
            let there = is_to_be_had(&stand_in.part, lookup);
            if there && besides.is_none() {
                remarks.push(was_not_taken(&stand_in.part, &own, lacks, lookup));
            }
            there && besides.is_some()
        });
        // What brings all of it along is preferred where both lie on the shelf.
        let hollow: HashSet<PartNumber> = need.hollow().map(|(part, _)| part.clone()).collect();
        need.accepts.sort_by_key(|stand_in| hollow.contains(&stand_in.part));
    }
    let Some(besides) =
        besides.filter(|_| needs[first..].iter().any(|need| need.hollow().next().is_some()))
    else {
        for stand_in in needs[first..].iter_mut().flat_map(|need| &mut need.accepts) {
            stand_in.brings.clear();
        }
        return;
    };
    for new in besides {
        let same = |known: &&mut Need| known.comes_in == new.comes_in && known.part == new.part;
        match needs[first..].iter_mut().find(same) {
            Some(known) => {
                known.amount = known.amount.saturating_add(new.amount);
                known.positions.extend(new.positions);
            }
            None => needs.push(new),
        }
    }
}

/// Makes needs of what is counted on inside so many of a part, one for each item; `None` where that cannot be counted.
fn besides(
    part: &PartNumber,
    amount: Decimal,
    counted: &[CountedOn],
    bench: &Bench,
) -> Option<Vec<Need>> {
    let mut besides: Vec<Need> = Vec::new();
    for CountedOn { item, planned } in counted {
        let mut covered = Decimal::ZERO;
        let mut of: Option<(PartNumber, PartNumber)> = None;
        for position in planned {
            let [content] = &position.parts[..] else { return None };
            let number = PartNumber::new(&content.part)?;
            let start = content
                .chain
                .first()
                .and_then(|start| PartNumber::new(start))
                .unwrap_or(number.clone());
            let known = of.get_or_insert((start, number.clone()));
            if known.1 != number || content.unit != Unit::Each || item.unit != Unit::Each {
                return None;
            }
            let by = position
                .covered
                .iter()
                .filter(|cover| PartNumber::new(&cover.by).as_ref() == Some(&item.by));
            covered = by.fold(covered, |sum, cover| sum.saturating_add(cover.quantity));
        }
        let (start, number) = of?;
        let most = amount.saturating_mul(item.amount);
        let (accepts, halves) = accepted(&start, &number, Some(&start), bench);
        besides.push(Need {
            part: number,
            amount: covered.min(most),
            unit: Unit::Each,
            piece: false,
            accepts,
            halves,
            positions: planned.iter().map(|position| Key::new(&position.position)).collect(),
            comes_in: Some(part.clone()),
        });
    }
    let whole = besides.iter().all(|need| need.amount.is_integer() && !need.amount.is_zero());
    // Two items of the same number at one position cannot be told apart in what covers it.
    let mut seen = HashSet::new();
    let apart = besides
        .iter()
        .flat_map(|need| need.positions.iter())
        .all(|position| seen.insert(position.clone()));
    (whole && apart).then_some(besides)
}

fn is_to_be_had(part: &PartNumber, lookup: &dyn Lookup) -> bool {
    let spelled = lookup.spell_part(part);
    !lookup.stock_of(&spelled).is_empty() || !lookup.offers_of(&spelled).is_empty()
}

/// Says that a number was passed over for what it lacks.
pub(super) fn was_not_taken(
    part: &PartNumber,
    wanted: &PartNumber,
    lacks: &PartNumber,
    lookup: &dyn Lookup,
) -> String {
    format!(
        "{} was not taken for {}: it comes without {}, which this kit counts on",
        lookup.spell_part(part),
        lookup.spell_part(wanted),
        lookup.spell_part(lacks)
    )
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

/// Unpacks one of a part: everything inside it, depth first; a part is never inside itself. Of a part that holds more
/// than any set that can be carried, only so much is looked at, as in the kit.
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
                if found.len() == MOST_CONTENTS {
                    return found;
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
