//! From an ask to an order plan: the kit, the shelf less what is spoken for, and the market.

use super::alike;
use super::answer::{OrderPlan, Unsourced};
use super::cheapest::Patience;
use super::market::{Market, Refused, Terms};
use super::needs::{Need, need_for, needs_of, was_not_taken};
use super::orders::{Placed, Spoken, placed, spoken_for};
use super::plan::Planner;
use super::shelf::{Place, Shelf};
use crate::catalog::Lookup;
use crate::kit::{Action, Ask, Bench, Kit, work_out};
use crate::measure::{Date, Key, PartNumber, Quantity};
use rust_decimal::Decimal;
use serde::Serialize;
use std::time::Duration;

/// What a person wants ordered, and on which terms.
#[derive(Debug, Clone)]
pub struct OrderAsk {
    /// The kit.
    pub ask: Ask,
    /// The terms.
    pub terms: Terms,
    /// What they hold in their hand, beside what the table stock names.
    pub held: Vec<(PartNumber, Quantity)>,
    /// Other kits that the shelf must keep its parts for.
    pub keep_for: Vec<Spoken>,
    /// What to have ready where parts are inspected is planned too.
    pub if_worn: bool,
    /// What it would cost otherwise is worked out too.
    pub compare: bool,
}

/// The answer.
#[derive(Debug, Clone)]
pub struct Ordered {
    /// The plan.
    pub plan: OrderPlan,
    /// What to order besides, should every inspected part be worn.
    pub if_worn: Option<OrderPlan>,
    /// What it would cost otherwise.
    pub compare: Option<Comparison>,
    /// The kits that the shelf keeps its parts for.
    pub kept_for: Vec<Spoken>,
    /// What a person should know.
    pub remarks: Vec<String>,
}

/// What it would cost otherwise.
#[derive(Debug, Clone, Serialize)]
pub struct Comparison {
    /// The best plan with at most so many suppliers.
    pub by_suppliers: Vec<BestWith>,
    /// The least total without buying sets for what lies in them.
    #[serde(serialize_with = "maybe_number")]
    pub singles: Option<Decimal>,
    /// The least total with them.
    #[serde(serialize_with = "super::answer::number")]
    pub sets: Decimal,
    /// The sets that the plan buys for what lies in them.
    pub sets_bought: Vec<String>,
}

/// The best plan with at most so many suppliers.
#[derive(Debug, Clone, Serialize)]
pub struct BestWith {
    /// How many.
    pub suppliers: usize,
    /// The least total; `null` where so few cannot supply it all.
    #[serde(serialize_with = "maybe_number")]
    pub total: Option<Decimal>,
    /// Who they are.
    pub from: Vec<String>,
    /// Where so few cannot supply it all: those that supply the most lines of it, for the least total.
    pub nearest: Option<Nearest>,
}

/// What the suppliers that come nearest to supplying it all would cost, and what they lack.
#[derive(Debug, Clone, Serialize)]
pub struct Nearest {
    /// Who they are.
    pub from: Vec<String>,
    /// The least total of what they have.
    #[serde(serialize_with = "super::answer::number")]
    pub total: Decimal,
    /// What they lack and others have.
    pub lack: Vec<Unsourced>,
}

fn maybe_number<S: serde::Serializer>(
    value: &Option<Decimal>,
    serializer: S,
) -> Result<S::Ok, S::Error> {
    match value {
        Some(value) => super::answer::number(value, serializer),
        None => serializer.serialize_none(),
    }
}

/// Plans the order for a kit that has been worked out.
///
/// # Errors
/// Terms that cannot be met, prices that cannot be added up, or a solver that fails.
pub fn order(
    ask: &OrderAsk,
    kit: &Kit,
    lookup: &dyn Lookup,
    patience: &mut Patience,
) -> Result<Ordered, Refused> {
    let mut remarks = Vec::new();
    let (jobs, renew) = (&ask.ask.told().jobs, ask.ask.positions());
    let mut keeping =
        Keeping { terms: &ask.terms, lookup, patience: &mut *patience, remarks: &mut remarks };
    let (mut shelf, kept_for) =
        shelf_for(kit, jobs, &renew, &ask.held, &ask.keep_for, &mut keeping);
    let bench = bench_of(kit, lookup)?;
    let needs = needs_of(kit, &bench, &mut remarks);
    let untouched = shelf.clone();
    let plan = plan(&needs, &mut shelf, &ask.terms, lookup, patience, Near::Named)?;
    let if_worn = if ask.if_worn {
        let needs = worn_needs(kit, &bench);
        let terms = Terms { at_most: None, ..ask.terms.clone() };
        Some(self::plan(&needs, &mut shelf, &terms, lookup, patience, Near::Named)?)
    } else {
        None
    };
    let compare = if ask.compare {
        let mut try_with = |terms: &Terms| {
            self::plan(&needs, &mut untouched.clone(), terms, lookup, patience, Near::PassedOver)
        };
        let sellers = sellers(&needs, &untouched, &ask.terms, lookup)?;
        Some(compare(&plan, &sellers, &ask.terms, &mut try_with))
    } else {
        None
    };
    remark_on_hollow(&needs, &plan, lookup, &mut remarks);
    remarks.extend(alike::passed_over(
        plan.unsourced.iter().chain(if_worn.iter().flat_map(|plan| &plan.unsourced)),
        lookup,
    ));
    remark_on_the_ask(
        ask,
        [Some(&plan), if_worn.as_ref()].into_iter().flatten(),
        lookup,
        &mut remarks,
    );
    Ok(Ordered { plan, if_worn, compare, kept_for, remarks })
}

/// Works out the least total for a kit, for comparing it with another: what comes near a part that nobody offers is not
/// looked for.
///
/// # Errors
/// As [`order`].
pub fn least_total(
    ask: &Ask,
    kit: &Kit,
    terms: &Terms,
    lookup: &dyn Lookup,
    patience: &mut Patience,
) -> Result<OrderPlan, Refused> {
    let mut remarks = Vec::new();
    let mut keeping = Keeping { terms, lookup, patience: &mut *patience, remarks: &mut remarks };
    let (mut shelf, _) = shelf_for(kit, &ask.told().jobs, &ask.positions(), &[], &[], &mut keeping);
    let bench = bench_of(kit, lookup)?;
    let needs = needs_of(kit, &bench, &mut remarks);
    plan(&needs, &mut shelf, terms, lookup, patience, Near::PassedOver)
}

/// Says what of a kit is to hand: what the shelf gives, what is on its way for these jobs, and, as what nobody offers,
/// what is still to be bought. No prices are looked at.
///
/// # Errors
/// The machine is not there, or the solver fails.
pub fn on_hand(
    ask: &Ask,
    kit: &Kit,
    today: &Date,
    lookup: &dyn Lookup,
) -> Result<(OrderPlan, Vec<String>), Refused> {
    let mut quiet = |_| {};
    let mut patience = Patience { most: Duration::from_secs(10), progress: &mut quiet };
    let terms = Terms::open(today);
    let mut remarks = Vec::new();
    let mut keeping =
        Keeping { terms: &terms, lookup, patience: &mut patience, remarks: &mut remarks };
    let (mut shelf, _) = shelf_for(kit, &ask.told().jobs, &ask.positions(), &[], &[], &mut keeping);
    let bench = bench_of(kit, lookup)?;
    let needs = needs_of(kit, &bench, &mut remarks);
    let plan = Planner::new(&needs, lookup).finish(
        &mut shelf,
        &Market::default(),
        &terms,
        &mut patience,
    )?;
    remark_on_hollow(&needs, &plan, lookup, &mut remarks);
    Ok((plan, remarks))
}

/// Says which numbers will do but come without something that the kit counts on, and whether the plan takes them.
fn remark_on_hollow(
    needs: &[Need],
    plan: &OrderPlan,
    lookup: &dyn Lookup,
    remarks: &mut Vec<String>,
) {
    for need in needs {
        for (stand_in, lacks) in need.hollow() {
            let (spelled, wanted) = (
                lookup.spell_part(stand_in).to_string(),
                lookup.spell_part(&need.part).to_string(),
            );
            let lines = plan.orders.iter().flat_map(|parcel| &parcel.lines);
            let taken = plan
                .from_stock
                .iter()
                .any(|from| from.part == spelled && from.serves.contains(&wanted))
                || lines
                    .into_iter()
                    .any(|line| line.part == spelled && line.serves.contains(&wanted));
            let remark = if taken {
                let lacks = lookup.spell_part(lacks);
                format!(
                    "{spelled} comes without {lacks}, on which this kit counts inside {wanted}, so that is seen to besides"
                )
            } else {
                was_not_taken(stand_in, &need.part, lacks, lookup)
            };
            if !remarks.contains(&remark) {
                remarks.push(remark);
            }
        }
    }
}

fn bench_of<'a>(kit: &Kit, lookup: &'a dyn Lookup) -> Result<Bench<'a>, Refused> {
    let machine = Key::new(&kit.machine);
    let row = lookup.machine(&machine);
    let row = row.ok_or_else(|| {
        Refused::Unsolved(format!("the machine {machine} is not in the table machines"))
    })?;
    Ok(Bench::new(row.into_owned(), lookup))
}

/// What it takes to work out what other kits need of the shelf, and who is told where that fails.
struct Keeping<'a, 'b, 'c> {
    terms: &'b Terms,
    lookup: &'a dyn Lookup,
    patience: &'b mut Patience<'c>,
    remarks: &'b mut Vec<String>,
}

/// Lays out the shelf for a kit: less what other kits need of it, with what is on its way for this one.
fn shelf_for<'a>(
    kit: &Kit,
    jobs: &[Key],
    renew: &[Key],
    held: &[(PartNumber, Quantity)],
    keep_for: &[Spoken],
    keeping: &mut Keeping<'a, '_, '_>,
) -> (Shelf<'a>, Vec<Spoken>) {
    let lookup = keeping.lookup;
    let machine = Key::new(&kit.machine);
    let mut shelf = Shelf::new(lookup);
    for (part, quantity) in held {
        shelf.put(part, *quantity, Place::InHand);
    }
    let lines = placed(lookup);
    let mut kept_for: Vec<Spoken> = spoken_for(lookup);
    for keep in keep_for {
        let known = |known: &Spoken| {
            known.machine == keep.machine && keep.jobs.iter().all(|job| known.jobs.contains(job))
        };
        if !kept_for.iter().any(known) {
            kept_for.push(keep.clone());
        }
    }
    let beside = kept_for.into_iter().filter_map(|spoken| spoken.beside(&machine, jobs, renew));
    let mut kept_for: Vec<Spoken> = beside.collect();
    kept_for.retain(|spoken| {
        match set_aside(spoken, &lines, &mut shelf, keeping.terms, lookup, keeping.patience) {
            Ok(()) => true,
            Err(why) => {
                let remark = format!(
                    "{} on {}: {why}; nothing is kept for it",
                    spoken.name(),
                    spoken.machine
                );
                keeping.remarks.push(remark);
                false
            }
        }
    });
    let this =
        Spoken { jobs: jobs.to_vec(), renew: renew.to_vec(), ..Spoken::job(machine, Key::new("")) };
    expect(&this, &lines, &mut shelf);
    (shelf, kept_for)
}

/// Says what of the ask came to nothing, and which prices nobody can trust.
fn remark_on_the_ask<'a>(
    ask: &OrderAsk,
    plans: impl Iterator<Item = &'a OrderPlan> + Clone,
    lookup: &dyn Lookup,
    remarks: &mut Vec<String>,
) {
    for (part, _) in &ask.held {
        let spelled = lookup.spell_part(part);
        let mut taken = plans.clone().flat_map(|plan| &plan.from_stock);
        if !taken.any(|from| from.part == spelled.as_str() && from.bin == super::shelf::IN_HAND) {
            let unknown =
                if lookup.part(part).is_none() { " (it is not in the table parts)" } else { "" };
            remarks.push(format!("{spelled}, which you hold, is of no use to this order{unknown}"));
        }
    }
    for rate in &ask.terms.rates {
        let suppliers = lookup.supplier_keys();
        let mut currencies = suppliers.iter().filter_map(|supplier| lookup.supplier(supplier));
        if !currencies.any(|row| row.currency.trim().eq_ignore_ascii_case(&rate.currency)) {
            let currency = if rate.currency.is_empty() {
                "a currency without a name"
            } else {
                rate.currency.as_str()
            };
            remarks
                .push(format!("no supplier's prices are in {currency}, so its rate was not used"));
        }
    }
    let undated: usize = plans
        .map(|plan| {
            plan.orders
                .iter()
                .flat_map(|parcel| &parcel.lines)
                .filter(|line| line.as_of.is_empty())
                .count()
        })
        .sum();
    match undated {
        0 => {}
        1 => remarks.push(
            "one price has no date under as_of, so nobody can say whether it is stale".to_owned(),
        ),
        many => remarks.push(format!(
            "{many} prices have no date under as_of, so nobody can say whether they are stale"
        )),
    }
}

/// Whether a plan names what comes near a part that nobody offers.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Near {
    Named,
    PassedOver,
}

/// Plans for a list of needs.
fn plan(
    needs: &[Need],
    shelf: &mut Shelf,
    terms: &Terms,
    lookup: &dyn Lookup,
    patience: &mut Patience,
    near: Near,
) -> Result<OrderPlan, Refused> {
    let mut planner = Planner::new(needs, lookup);
    if near == Near::Named {
        planner = planner.naming_what_is_near();
    }
    let market = Market::gather(&planner.numbers(), terms, lookup)?;
    planner.finish(shelf, &market, terms, patience)
}

/// Tells of each need that the shelf leaves open who sells something for it.
fn sellers(
    needs: &[Need],
    shelf: &Shelf,
    terms: &Terms,
    lookup: &dyn Lookup,
) -> Result<Vec<Vec<Key>>, Refused> {
    let planner = Planner::new(needs, lookup);
    let market = Market::gather(&planner.numbers(), terms, lookup)?;
    Ok(planner.sellers(&mut shelf.clone(), &market, terms.sets))
}

/// Puts what is on its way for a kit beside the shelf.
fn expect(spoken: &Spoken, lines: &[Placed], shelf: &mut Shelf) {
    for line in lines.iter().filter(|line| line.is_open() && spoken.is_for(line)) {
        shelf.put(&line.row.part, line.outstanding(), Place::OnTheWay(line.row.order.to_string()));
    }
}

/// Takes off the shelf what another kit will need of it.
fn set_aside(
    spoken: &Spoken,
    lines: &[Placed],
    shelf: &mut Shelf,
    terms: &Terms,
    lookup: &dyn Lookup,
    patience: &mut Patience,
) -> Result<(), String> {
    expect(spoken, lines, shelf);
    let taken = on_the_shelf(spoken, shelf, terms, lookup, patience);
    shelf.forget_deliveries();
    taken.map(|_| ())
}

/// Works out what of a job's kit the shelf gives, and takes it.
pub(crate) fn on_the_shelf(
    spoken: &Spoken,
    shelf: &mut Shelf,
    terms: &Terms,
    lookup: &dyn Lookup,
    patience: &mut Patience,
) -> Result<(Kit, OrderPlan), String> {
    let kit = work_out(&spoken.ask(), lookup).map_err(|refusal| refusal.to_string())?;
    let row = lookup.machine(&spoken.machine).ok_or("there is no such machine")?;
    let bench = Bench::new(row.into_owned(), lookup);
    let needs = needs_of(&kit, &bench, &mut Vec::new());
    let plan = Planner::new(&needs, lookup).finish(shelf, &Market::default(), terms, patience);
    plan.map(|plan| (kit, plan)).map_err(|refused| refused.to_string())
}

/// Takes off the shelf what it keeps for every job but these and the renewal of these positions; gives the jobs that it keeps something for.
///
/// A job whose kit cannot be worked out has nothing kept for it.
pub fn keep_aside(
    machine: &Key,
    jobs: &[Key],
    positions: &[Key],
    today: &Date,
    shelf: &mut Shelf,
    lookup: &dyn Lookup,
) -> Vec<Spoken> {
    let terms = Terms::open(today);
    let mut quiet = |_| {};
    let mut patience = Patience { most: Duration::from_secs(10), progress: &mut quiet };
    let lines = placed(lookup);
    let beside =
        spoken_for(lookup).into_iter().filter_map(|spoken| spoken.beside(machine, jobs, positions));
    let mut kept: Vec<Spoken> = beside.collect();
    kept.retain(|spoken| set_aside(spoken, &lines, shelf, &terms, lookup, &mut patience).is_ok());
    kept
}

/// What to have ready where parts are inspected.
fn worn_needs(kit: &Kit, bench: &Bench) -> Vec<Need> {
    let mut needs: Vec<Need> = Vec::new();
    for planned in kit.positions.iter().filter(|planned| planned.action == Action::Inspect) {
        for worn in &planned.if_worn {
            let Some(part) = PartNumber::new(&worn.part) else { continue };
            let mut need = need_for(&part, Quantity::new(worn.quantity, worn.unit), bench);
            need.positions.push(Key::new(&planned.position));
            match needs
                .iter_mut()
                .find(|known| known.part == need.part && known.unit == need.unit && !known.piece)
            {
                Some(known) => {
                    known.amount = known.amount.saturating_add(need.amount);
                    known.positions.extend(need.positions);
                }
                None => needs.push(need),
            }
        }
    }
    needs
}

/// The most groups of suppliers that are looked at, and of those that supply the most lines the most that are priced.
const MOST_GROUPS: usize = 20_000;
const MOST_PRICED: usize = 12;

/// Finds the suppliers, so many of them, that supply the most lines of what is to be bought, for the least total.
///
/// `sellers` tells of each line who has it. Where there are too many groups to look at, there is no answer.
fn nearest(
    suppliers: usize,
    plan: &OrderPlan,
    sellers: &[Vec<Key>],
    terms: &Terms,
    try_with: &mut dyn FnMut(&Terms) -> Result<OrderPlan, Refused>,
) -> Option<Nearest> {
    let mut all: Vec<&Key> = Vec::new();
    for seller in sellers.iter().flatten() {
        if !all.contains(&seller) {
            all.push(seller);
        }
    }
    let mut groups: Vec<Vec<&Key>> = vec![Vec::new()];
    for seller in all {
        let fuller = groups.iter().filter(|group| group.len() < suppliers);
        let fuller: Vec<Vec<&Key>> =
            fuller.map(|group| group.iter().copied().chain([seller]).collect()).collect();
        groups.extend(fuller);
        if groups.len() > MOST_GROUPS {
            return None;
        }
    }
    let has = |group: &[&Key]| {
        sellers.iter().filter(|line| line.iter().any(|seller| group.contains(&seller))).count()
    };
    let most = groups.iter().map(|group| has(group)).max()?;
    let mut best: Option<Nearest> = None;
    for group in groups
        .iter()
        .filter(|group| group.len() == suppliers && has(group) == most)
        .take(MOST_PRICED)
    {
        let only = group.iter().map(|seller| (*seller).clone()).collect();
        let Ok(tried) =
            try_with(&Terms { only, without: Vec::new(), at_most: None, ..terms.clone() })
        else {
            continue;
        };
        if best.as_ref().is_none_or(|best| tried.total < best.total) {
            let lacked = |missing: &Unsourced| {
                let anyway = plan
                    .unsourced
                    .iter()
                    .find(|known| known.part == missing.part && known.unit == missing.unit);
                anyway.is_none_or(|known| known.quantity < missing.quantity)
            };
            best = Some(Nearest {
                from: tried.orders.iter().map(|parcel| parcel.supplier.clone()).collect(),
                total: tried.total,
                lack: tried.unsourced.into_iter().filter(lacked).collect(),
            });
        }
    }
    best
}

fn compare(
    plan: &OrderPlan,
    sellers: &[Vec<Key>],
    terms: &Terms,
    try_with: &mut dyn FnMut(&Terms) -> Result<OrderPlan, Refused>,
) -> Comparison {
    let names = |plan: &OrderPlan| {
        plan.orders.iter().map(|parcel| parcel.supplier.clone()).collect::<Vec<_>>()
    };
    let most = plan.orders.len();
    let mut by_suppliers: Vec<BestWith> = Vec::new();
    for suppliers in 1..most {
        let best = try_with(&Terms { at_most: Some(suppliers), ..terms.clone() }).ok();
        let nearest = match best {
            Some(_) => None,
            None => nearest(suppliers, plan, sellers, terms, try_with),
        };
        by_suppliers.push(BestWith {
            suppliers,
            total: best.as_ref().map(|best| best.total),
            from: best.as_ref().map_or_else(Vec::new, names),
            nearest,
        });
    }
    by_suppliers.push(BestWith {
        suppliers: most,
        total: Some(plan.total),
        from: names(plan),
        nearest: None,
    });
    let singles = try_with(&Terms { sets: false, ..terms.clone() }).ok();
    // Without sets something may have no source at all: then there is no total to compare.
    let singles = singles
        .filter(|singles| singles.unsourced.len() == plan.unsourced.len())
        .map(|singles| singles.total);
    let lines = plan.orders.iter().flat_map(|parcel| &parcel.lines);
    let sets_bought = lines.filter(|line| line.is_set).map(|line| line.part.clone()).collect();
    Comparison { by_suppliers, singles, sets: plan.total, sets_bought }
}
