//! The least total for a list of needs: which packs from which shops, and what of the shelf goes where.
//!
//! A mixed-integer program, solved to the proven optimum. Nothing here knows of parts or tables: needs, shops, packs
//! and lots are numbered. Money is whole numbers of the smallest unit that any price needs. The solver computes in
//! floating point, so its answer is taken as a proposal and checked in exact arithmetic before anyone sees it.

use super::problem::{Holds, MOST_PACKS, Pack, Problem, Serves, Wanted};
use super::tighten::{Links, limits, rounded_up, times, to_minimum};
use microlp::{
    ComparisonOp, Error, OptimizationDirection, Problem as Program, SolveOptions, SolveOutcome,
    Variable,
};
use rust_decimal::Decimal;
use rust_decimal::prelude::{FromPrimitive, ToPrimitive};
use std::collections::HashMap;
use std::time::{Duration, Instant};

/// The answer.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Choice {
    /// How many of each pack.
    pub packs: Vec<i64>,
    /// How much of each need each lot serves as it is.
    pub from_lots: Vec<Vec<(usize, Decimal)>>,
    /// How much of each need what lies in the opened sets of each lot serves.
    pub from_opened: Vec<Vec<(usize, Decimal)>>,
    /// How many of each lot were opened.
    pub opened: Vec<Decimal>,
    /// How many of each pack nobody needs: they only bring an order up to a threshold.
    pub spare: Vec<i64>,
    /// What each pack is there for.
    pub pack_serves: Vec<Vec<usize>>,
    /// What each shop charges for its parcel; `None` where nothing is ordered from it.
    pub shipping: Vec<Option<i64>>,
    /// Goods and parcels together.
    pub total: i64,
    /// Nothing can cost less; else the time was up.
    pub proven: bool,
    /// What nothing can cost less than, where it is not proven.
    pub bound: i64,
}

/// Why there is no answer.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum NoChoice {
    /// Not everything can be had with so few shops.
    Infeasible,
    /// The time was up before any answer was found.
    OutOfTime,
    /// The solver failed, or its answer did not stand up to exact arithmetic.
    Failed(String),
}

/// What is known while the solver is at work.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Progress {
    /// The best total so far, in the unit of money that whoever asked counts in.
    pub best: Option<Decimal>,
    /// What nothing can cost less than, in the same unit.
    pub bound: Option<Decimal>,
    /// The time so far.
    pub elapsed: Duration,
}

/// How long the solver may take, and who is told how it goes.
pub struct Patience<'a> {
    /// The time after which the best answer so far is given.
    pub most: Duration,
    /// Told once a second.
    pub progress: &'a mut dyn FnMut(Progress),
}

/// How one pack or lot appears in the program.
struct Source {
    /// What is needed of it.
    count: Option<Variable>,
    /// What is bought only to reach a threshold.
    padding: Option<Variable>,
    opened: Option<Variable>,
    flows: Vec<Flow>,
}

/// What one pack or lot serves.
struct Served {
    /// Each need, how much of it is served, and whether out of an opened set.
    flows: Vec<(usize, Decimal, bool)>,
    /// What comes along.
    along: Vec<(usize, Decimal)>,
}

/// An amount that goes to a need; in units of what it comes from, times its worth to the need.
struct Flow {
    need: usize,
    worth: Decimal,
    /// The variable, and how much of the source's number one of it is.
    variable: Variable,
    each: Decimal,
    /// It stands for the whole pack, so the variable is the pack's own.
    whole: bool,
    from_inside: bool,
}

/// The nodes that the search looks at before the clock is asked. A count, not a time, so that the search goes the same
/// way on every machine.
const SLICE: u64 = 200;
/// How often whoever waits is told how it goes.
const TELL_EVERY: Duration = Duration::from_secs(1);
/// The largest objective of which the solver's floating point still tells one pack more.
const MOST_WEIGHT: f64 = 1e14;

/// Finds the least total; among orders of the same total one with the fewest parcels, and of those one with the fewest
/// packs.
///
/// The same question gets the same answer, however fast the machine: the search never looks at the clock but to give
/// up. Where the figures reach so far that parcels and packs would be lost in the round-off, only the total is proven.
///
/// # Errors
/// Nothing serves a need, too few shops are allowed, or the solver fails.
pub fn choose(problem: &Problem, patience: &mut Patience) -> Result<Choice, NoChoice> {
    let start = Instant::now();
    let settled = Built::new(problem, true);
    if settled.tells_ties {
        match settled.search(problem, start, patience) {
            Err(NoChoice::Failed(_)) => {}
            answer => return answer,
        }
    }
    Built::new(problem, false).search(problem, start, patience)
}

fn failed(error: Error) -> NoChoice {
    match error {
        Error::Infeasible => NoChoice::Infeasible,
        other => NoChoice::Failed(other.to_string()),
    }
}

/// A number as the solver takes it.
pub(super) fn float(value: Decimal) -> f64 {
    value.to_f64().unwrap_or(f64::MAX)
}

/// The program, and what its variables stand for.
struct Built {
    program: Program,
    packs: Vec<Source>,
    lots: Vec<Source>,
    /// What one smallest unit of money weighs in the objective.
    per_money: f64,
    /// The weights of parcels and packs are not lost beside that of the money.
    tells_ties: bool,
}

impl Built {
    /// Lays out the program: for money alone, or with parcels and packs to settle ties.
    fn new(problem: &Problem, ties: bool) -> Self {
        // Money weighs more than all parcels together, a parcel more than all packs together, a pack more than opening
        // every set on the shelf.
        let bounds: Vec<(i64, i64)> =
            problem.packs.iter().map(|pack| limits(problem, pack)).collect();
        let most_packs: i64 = bounds.iter().map(|(count, padding)| count + padding).sum();
        let most_opened: i64 =
            problem.lots.iter().map(|lot| times(lot.holds.size, Decimal::ONE)).sum();
        let per_opened = if ties { 1.0 } else { 0.0 };
        let per_pack = (most_opened + 1) as f64 * per_opened;
        let per_parcel = (most_packs + 1) as f64 * per_pack;
        let per_money = if ties { per_parcel * (problem.shops.len() + 1) as f64 } else { 1.0 };
        let mut program = Program::new(OptimizationDirection::Minimize);
        let weigh = |money: i64| money as f64 * per_money;
        let used: Vec<Variable> = problem
            .shops
            .iter()
            .map(|shop| program.add_binary_var(weigh(shop.shipping) + per_parcel))
            .collect();
        let free: Vec<Option<Variable>> = problem
            .shops
            .iter()
            .map(|shop| shop.free_from.map(|_| program.add_binary_var(-weigh(shop.shipping))))
            .collect();
        let mut covers: Vec<Vec<(Variable, f64)>> = vec![Vec::new(); problem.needs.len()];
        let mut goods: Vec<Vec<(Variable, f64)>> = vec![Vec::new(); problem.shops.len()];
        let mut packs = Vec::with_capacity(problem.packs.len());
        let mut padded: Vec<Vec<(Variable, f64)>> = vec![Vec::new(); problem.shops.len()];
        let links = Links::of(problem);
        for (index, (pack, &(most, padding))) in problem.packs.iter().zip(&bounds).enumerate() {
            let weight = weigh(pack.price) + per_pack;
            let count = program.add_integer_var(weight, (0, most.to_i32().unwrap_or(i32::MAX)));
            goods[pack.shop].push((count, pack.own_price as f64));
            if !links.settles(index) {
                program.add_constraint(
                    [(count, 1.0), (used[pack.shop], -(most as f64))],
                    ComparisonOp::Le,
                    0.0,
                );
            }
            let padding = (padding > 0).then(|| {
                let variable =
                    program.add_integer_var(weight, (0, padding.to_i32().unwrap_or(i32::MAX)));
                goods[pack.shop].push((variable, pack.own_price as f64));
                padded[pack.shop].push((variable, pack.price as f64));
                variable
            });
            let mut source =
                Source { count: Some(count), padding, opened: None, flows: Vec::new() };
            source.connect(&mut program, problem, &pack.holds, per_opened, &mut covers);
            packs.push(source);
        }
        for link in &links.groups {
            let mut row: Vec<(Variable, f64)> = Vec::new();
            for (index, cover) in &link.packs {
                row.extend(packs[*index].count.map(|count| (count, float(*cover))));
            }
            row.push((used[link.shop], -float(link.most)));
            program.add_constraint(row, ComparisonOp::Le, 0.0);
        }
        for (index, mut row) in padded.into_iter().enumerate().filter(|(_, row)| !row.is_empty()) {
            // Whoever pays more for padding than the parcel costs would rather pay the parcel, and whoever reached the
            // minimum needs no more.
            let shop = &problem.shops[index];
            if let Some(free) = free[index] {
                row.push((free, -(shop.shipping as f64)));
            }
            if shop.minimum.is_some() {
                row.push((used[index], -(to_minimum(problem, index) as f64)));
            }
            program.add_constraint(row, ComparisonOp::Le, 0.0);
        }
        let mut lots = Vec::with_capacity(problem.lots.len());
        for lot in &problem.lots {
            let mut source = Source { count: None, padding: None, opened: None, flows: Vec::new() };
            source.connect(&mut program, problem, &lot.holds, per_opened, &mut covers);
            lots.push(source);
        }
        for (need, cover) in problem.needs.iter().zip(covers) {
            let (scale, wanted) = measure(need);
            let cover = summed(cover.into_iter().map(|(variable, each)| (variable, each * scale)));
            if need.counted {
                for rounded in rounded_up(&cover, wanted) {
                    program.add_constraint(rounded.0, ComparisonOp::Ge, rounded.1);
                }
            }
            program.add_constraint(cover, ComparisonOp::Ge, wanted);
        }
        for (index, shop) in problem.shops.iter().enumerate() {
            if let (Some(from), Some(free)) = (shop.free_from, free[index]) {
                let mut value = goods[index].clone();
                value.push((free, -(from as f64)));
                program.add_constraint(value, ComparisonOp::Ge, 0.0);
                program.add_constraint([(free, 1.0), (used[index], -1.0)], ComparisonOp::Le, 0.0);
            }
            if let Some(minimum) = shop.minimum {
                let mut value = goods[index].clone();
                value.push((used[index], -(minimum as f64)));
                program.add_constraint(value, ComparisonOp::Ge, 0.0);
            }
        }
        if let Some(most) = problem.at_most {
            let parcels: Vec<(Variable, f64)> = used.iter().map(|used| (*used, 1.0)).collect();
            program.add_constraint(parcels, ComparisonOp::Le, most as f64);
        }
        let dearest = problem
            .packs
            .iter()
            .zip(&bounds)
            .map(|(pack, most)| pack.price.saturating_mul(most.0))
            .max();
        let tells_ties = dearest.unwrap_or_default() as f64 * per_money < MOST_WEIGHT;
        Built { program, packs, lots, per_money, tells_ties }
    }

    /// Searches to the end, or until patience does.
    fn search(
        &self,
        problem: &Problem,
        start: Instant,
        patience: &mut Patience,
    ) -> Result<Choice, NoChoice> {
        let mut options = SolveOptions::default();
        // The figures reach beyond the solver's usual slack, and each step counts.
        options.tolerances.prune_epsilon = 1e-13;
        options.node_limit = Some(SLICE);
        let mut outcome = self.program.solve_with(options).map_err(failed)?;
        let mut told = start.elapsed();
        while !outcome.is_optimal() && start.elapsed() < patience.most {
            if start.elapsed() - told >= TELL_EVERY {
                told = start.elapsed();
                let money = |weight: f64| weight / self.per_money;
                (patience.progress)(Progress {
                    best: outcome
                        .solution()
                        .map(|solution| decimal(money(solution.objective()).floor())),
                    bound: outcome
                        .stats()
                        .best_bound
                        .map(|bound| decimal(money(bound).ceil().max(0.0))),
                    elapsed: told,
                });
            }
            outcome = outcome.resume().map_err(failed)?;
        }
        self.read(problem, &outcome)
    }

    /// Reads the answer and holds it to exact arithmetic.
    fn read(&self, problem: &Problem, outcome: &SolveOutcome) -> Result<Choice, NoChoice> {
        let Some(solution) = outcome.solution() else { return Err(NoChoice::OutOfTime) };
        let whole = |variable: &Option<Variable>| {
            variable.map_or(0, |variable| {
                solution.var_value(variable).round().to_i64().unwrap_or_default()
            })
        };
        let mut choice = Choice { proven: outcome.is_optimal(), ..Choice::default() };
        let mut given = vec![Decimal::ZERO; problem.needs.len()];
        let mut value = vec![0_i64; problem.shops.len()];
        let mut ordered = vec![false; problem.shops.len()];
        for (pack, source) in problem.packs.iter().zip(&self.packs) {
            let useful = whole(&source.count);
            let count = useful + whole(&source.padding);
            choice.packs.push(count);
            value[pack.shop] += pack.own_price.saturating_mul(count);
            choice.total = choice.total.saturating_add(pack.price.saturating_mul(count));
            ordered[pack.shop] |= count > 0;
            let Served { flows, along } =
                source.read(problem, &pack.holds, solution, Decimal::from(count))?;
            let mut serves: Vec<usize> = flows.iter().map(|(need, _, _)| *need).collect();
            serves.dedup();
            choice.pack_serves.push(serves);
            for (need, amount) in
                flows.into_iter().map(|(need, amount, _)| (need, amount)).chain(along)
            {
                given[need] = given[need].saturating_add(amount);
            }
        }
        for (lot, source) in problem.lots.iter().zip(&self.lots) {
            let Served { flows, along } =
                source.read(problem, &lot.holds, solution, Decimal::ONE)?;
            choice.opened.push(
                source
                    .opened
                    .map_or(Decimal::ZERO, |opened| decimal(solution.var_value(opened).round())),
            );
            for (need, amount) in
                flows.iter().map(|(need, amount, _)| (*need, *amount)).chain(along)
            {
                given[need] = given[need].saturating_add(amount);
            }
            let served = |inside: bool| {
                let of_kind =
                    flows.iter().filter(move |(_, _, from_inside)| *from_inside == inside);
                of_kind.map(|(need, amount, _)| (*need, *amount)).collect::<Vec<_>>()
            };
            choice.from_lots.push(served(false));
            choice.from_opened.push(served(true));
        }
        leave_on_the_shelf(problem, &mut choice, &mut given);
        choice.spare = self.spare(problem, &choice.packs, &given);
        for (need, given) in problem.needs.iter().zip(&given) {
            if *given < need.amount {
                return Err(NoChoice::Failed(format!("{given} of {} is not enough", need.amount)));
            }
        }
        for (index, shop) in problem.shops.iter().enumerate() {
            let used = ordered[index];
            if used && shop.minimum.is_some_and(|minimum| value[index] < minimum) {
                return Err(NoChoice::Failed("an order stays below a shop's minimum".to_owned()));
            }
            let free = shop.free_from.is_some_and(|from| value[index] >= from);
            choice.shipping.push(used.then_some(if free { 0 } else { shop.shipping }));
            choice.total =
                choice.total.saturating_add(if used && !free { shop.shipping } else { 0 });
        }
        let used = ordered.iter().filter(|used| **used).count();
        if problem.at_most.is_some_and(|most| used > most) {
            return Err(NoChoice::Failed("more shops than allowed".to_owned()));
        }
        let claimed = solution.objective() / self.per_money;
        // What settles ties comes to less than one smallest coin.
        if choice.proven && !(-0.6..1.6).contains(&(claimed - choice.total as f64)) {
            return Err(NoChoice::Failed(format!("the total is {}, not {claimed}", choice.total)));
        }
        choice.bound = match outcome.stats().best_bound {
            _ if choice.proven => choice.total,
            Some(bound) => {
                (bound / self.per_money).ceil().to_i64().unwrap_or_default().clamp(0, choice.total)
            }
            None => 0,
        };
        Ok(choice)
    }

    /// Counts the packs without which every need would still be met, taken back one offer after the other.
    fn spare(&self, problem: &Problem, packs: &[i64], given: &[Decimal]) -> Vec<i64> {
        let mut over: Vec<Decimal> = problem
            .needs
            .iter()
            .zip(given)
            .map(|(need, given)| (*given - need.amount).max(Decimal::ZERO))
            .collect();
        let of_pack = |((source, count), pack): ((&Source, &i64), &Pack)| {
            if !pack.holds.along.is_empty() {
                return 0;
            }
            let one = source
                .flows
                .iter()
                .all(|flow| flow.whole && !flow.from_inside)
                .then(|| source.flows.first());
            let Some(flow) = one.flatten() else { return 0 };
            let each = flow.each.saturating_mul(flow.worth);
            let spare = over[flow.need]
                .checked_div(each)
                .and_then(|times| times.floor().to_i64())
                .unwrap_or_default();
            let spare = spare.min(*count);
            over[flow.need] -= each.saturating_mul(spare.into());
            spare
        };
        self.packs.iter().zip(packs).zip(&problem.packs).map(of_pack).collect()
    }
}

/// Leaves on the shelf what was taken beyond a need, the lots named last first: taking it costs nothing, so the search
/// itself does not mind.
fn leave_on_the_shelf(problem: &Problem, choice: &mut Choice, given: &mut [Decimal]) {
    for (lot, flows) in problem.lots.iter().zip(&mut choice.from_lots).rev() {
        // What comes along with it may be counted on.
        if !lot.holds.along.is_empty() {
            continue;
        }
        for (index, served) in flows.iter_mut() {
            let Some(serves) = lot.holds.itself.iter().find(|serves| serves.need == *index) else {
                continue;
            };
            let need = &problem.needs[*index];
            let over = (given[*index] - need.amount).max(Decimal::ZERO);
            let back = match (need.piece, need.counted) {
                (true, _) if over < *served => Decimal::ZERO,
                (true, _) => *served,
                (false, true) => {
                    let whole = over.checked_div(serves.worth).unwrap_or_default().floor();
                    whole.saturating_mul(serves.worth).min(*served)
                }
                (false, false) => over.min(*served),
            };
            *served -= back;
            given[*index] -= back;
        }
        flows.retain(|(_, served)| !served.is_zero());
    }
}

/// Adds up what one variable counts for: the same thing may lie in a set twice, by itself and in a bag.
fn summed(row: impl Iterator<Item = (Variable, f64)>) -> Vec<(Variable, f64)> {
    let mut summed: Vec<(Variable, f64)> = Vec::new();
    let mut places: HashMap<Variable, usize> = HashMap::new();
    for (variable, each) in row {
        match places.get(&variable).and_then(|place| summed.get_mut(*place)) {
            Some((_, sum)) => *sum += each,
            None => {
                places.insert(variable, summed.len());
                summed.push((variable, each));
            }
        }
    }
    summed
}

/// A need in the solver's figures: pieces as they are, all else as a share of the whole.
fn measure(need: &Wanted) -> (f64, f64) {
    if need.counted || need.piece {
        (1.0, if need.piece { 1.0 } else { float(need.amount) })
    } else {
        (1.0 / float(need.amount), 1.0)
    }
}

impl Source {
    /// Lays out where the content of a pack or lot may go.
    fn connect(
        &mut self,
        program: &mut Program,
        problem: &Problem,
        holds: &Holds,
        per_opened: f64,
        covers: &mut [Vec<(Variable, f64)>],
    ) {
        let size = float(holds.size);
        // Opened, a thing serves nothing as it is: where both are of use, how many are opened is a choice.
        let both = !holds.itself.is_empty() && !holds.inside.is_empty();
        if !holds.inside.is_empty() && (both || self.count.is_none()) {
            let most = times(holds.size, Decimal::ONE).max(1);
            let most = self.count.map_or(most, |_| MOST_PACKS).to_i32().unwrap_or(i32::MAX);
            // Opening a set of one's own weighs less than any pack, and something, so that none is opened in vain.
            let weight = if self.count.is_none() { per_opened } else { 0.0 };
            self.opened = Some(program.add_integer_var(weight, (0, most)));
        }
        let mut out_of_stock: Vec<(Variable, f64)> = Vec::new();
        if both || (self.count.is_none() && self.opened.is_some()) {
            out_of_stock.extend(self.opened.map(|opened| (opened, 1.0)));
        }
        let alone = holds.itself.len() == 1 && !both && self.count.is_some();
        for serves in &holds.itself {
            let need = &problem.needs[serves.need];
            if let (true, false, Some(count)) = (alone, need.piece, self.count) {
                self.flows.push(Flow {
                    need: serves.need,
                    worth: serves.worth,
                    variable: count,
                    each: holds.size,
                    whole: true,
                    from_inside: false,
                });
                covers[serves.need]
                    .push((count, float(holds.size.saturating_mul(serves.worth).min(need.amount))));
                for along in holds.along.iter().filter(|along| along.with == serves.need) {
                    let given = holds
                        .size
                        .saturating_mul(along.amount)
                        .min(problem.needs[along.need].amount);
                    covers[along.need].push((count, float(given)));
                }
                continue;
            }
            let flow = self.flow(program, need, serves, false, covers);
            for along in holds.along.iter().filter(|along| along.with == serves.need) {
                covers[along.need]
                    .push((flow, float(along.amount.min(problem.needs[along.need].amount))));
            }
            out_of_stock.push((flow, if need.piece { float(need.amount) } else { 1.0 }));
        }
        if !out_of_stock.is_empty() {
            match self.count {
                Some(count) => {
                    out_of_stock.push((count, -size));
                    program.add_constraint(out_of_stock, ComparisonOp::Le, 0.0);
                }
                None => program.add_constraint(out_of_stock, ComparisonOp::Le, size),
            }
        }
        let (from, per_one) = match (self.opened, self.count) {
            (Some(opened), _) => (opened, Decimal::ONE),
            (None, Some(count)) => (count, holds.size),
            (None, None) => return,
        };
        for content in &holds.inside {
            let each = content.amount.saturating_mul(per_one);
            let mut taken = Vec::new();
            for serves in &content.serves {
                let need = &problem.needs[serves.need];
                if content.serves.len() == 1 && !need.piece {
                    let given = each.saturating_mul(serves.worth).min(need.amount);
                    self.flows.push(Flow {
                        need: serves.need,
                        worth: serves.worth,
                        variable: from,
                        each,
                        whole: true,
                        from_inside: true,
                    });
                    covers[serves.need].push((from, float(given)));
                    continue;
                }
                let flow = self.flow(program, need, serves, true, covers);
                taken.push((flow, if need.piece { float(need.amount) } else { 1.0 }));
            }
            if !taken.is_empty() {
                taken.push((from, -float(each)));
                program.add_constraint(taken, ComparisonOp::Le, 0.0);
            }
        }
    }

    /// Adds a variable for how much goes to one of several needs.
    fn flow(
        &mut self,
        program: &mut Program,
        need: &Wanted,
        serves: &Serves,
        from_inside: bool,
        covers: &mut [Vec<(Variable, f64)>],
    ) -> Variable {
        let most = times(need.amount, serves.worth).to_i32().unwrap_or(i32::MAX);
        let variable = if need.piece {
            program.add_binary_var(0.0)
        } else if need.counted {
            program.add_integer_var(0.0, (0, most))
        } else {
            program.add_var(0.0, (0.0, float(need.amount)))
        };
        let each = if need.piece { need.amount } else { Decimal::ONE };
        covers[serves.need].push((variable, if need.piece { 1.0 } else { float(serves.worth) }));
        self.flows.push(Flow {
            need: serves.need,
            worth: serves.worth,
            variable,
            each,
            whole: false,
            from_inside,
        });
        variable
    }

    /// Reads what goes where.
    fn read(
        &self,
        problem: &Problem,
        holds: &Holds,
        solution: &microlp::Solution,
        count: Decimal,
    ) -> Result<Served, NoChoice> {
        let opened = self.opened.map(|opened| decimal(solution.var_value(opened).round()));
        let mut flows = Vec::new();
        let mut came_along = Vec::new();
        let mut used = opened.unwrap_or_default();
        for flow in &self.flows {
            let need = &problem.needs[flow.need];
            let value = solution.var_value(flow.variable);
            let amount = if flow.whole {
                let whole = if flow.from_inside && opened.is_some() {
                    opened.unwrap_or_default()
                } else {
                    count
                };
                whole.saturating_mul(flow.each)
            } else if need.counted || need.piece {
                decimal(value.round()).saturating_mul(flow.each)
            } else {
                // What is poured out is measured no finer than a millionth.
                decimal(value).round_dp(6)
            };
            if amount <= Decimal::ZERO {
                continue;
            }
            if !flow.whole && !flow.from_inside {
                used = used.saturating_add(amount);
            }
            for along in
                holds.along.iter().filter(|along| along.with == flow.need && !flow.from_inside)
            {
                came_along.push((along.need, amount.saturating_mul(along.amount)));
            }
            let served = if need.piece { need.amount } else { amount.saturating_mul(flow.worth) };
            flows.push((flow.need, served, flow.from_inside));
        }
        let there =
            if self.count.is_some() { count.saturating_mul(holds.size) } else { holds.size };
        if used > there {
            return Err(NoChoice::Failed(format!("{used} was handed out of {there}")));
        }
        Ok(Served { flows, along: came_along })
    }
}

fn decimal(value: f64) -> Decimal {
    Decimal::from_f64(value).unwrap_or_default()
}
