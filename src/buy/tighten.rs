//! What every order worth placing keeps to, though nobody asks for it: rows that cut the search for the cheapest short.
//!
//! None of them rules out every cheapest order with the fewest parcels and packs. Nothing here knows of parts or tables.

use super::problem::{MOST_PACKS, Pack, Problem, Serves};
use microlp::Variable;
use rust_decimal::Decimal;
use rust_decimal::prelude::ToPrimitive;

/// How many whole times one amount is needed to make up another.
pub(super) fn times(amount: Decimal, each: Decimal) -> i64 {
    if each.is_zero() {
        return 0;
    }
    amount
        .checked_div(each)
        .map_or(MOST_PACKS, |times| times.ceil().to_i64().unwrap_or(MOST_PACKS))
        .clamp(0, MOST_PACKS)
}

/// How many packs are of use, and how many more may be worth buying to reach a threshold.
pub(super) fn limits(problem: &Problem, pack: &Pack) -> (i64, i64) {
    let holds = &pack.holds;
    let wanted = |serves: &Serves| {
        problem.needs[serves.need].amount.checked_div(serves.worth).unwrap_or(Decimal::MAX)
    };
    let sum =
        |serves: &[Serves]| serves.iter().map(wanted).fold(Decimal::ZERO, Decimal::saturating_add);
    let itself = times(sum(&holds.itself), holds.size);
    let inside = holds
        .inside
        .iter()
        .map(|content| times(sum(&content.serves), content.amount.saturating_mul(holds.size)));
    let count = (itself + inside.max().unwrap_or_default()).clamp(0, MOST_PACKS);
    let shop = &problem.shops[pack.shop];
    let padding = if pack.own_price == 0 {
        0
    } else {
        // Whoever pays more for padding than the parcel costs would rather pay the parcel.
        let to_free =
            shop.free_from.filter(|_| pack.price > 0).map_or(0, |_| shop.shipping / pack.price);
        let to_minimum =
            shop.minimum.map_or(0, |minimum| (minimum + pack.own_price - 1) / pack.own_price);
        to_free.max(to_minimum).clamp(0, MOST_PACKS)
    };
    (count, padding)
}

/// What the padding of a shop may cost that only brings an order up to the minimum.
pub(super) fn to_minimum(problem: &Problem, shop: usize) -> i64 {
    let minimum = problem.shops[shop].minimum.unwrap_or_default();
    let of_shop =
        || problem.packs.iter().filter(move |pack| pack.shop == shop && pack.own_price > 0);
    let dearest = of_shop().map(|pack| pack.own_price).max().unwrap_or_default();
    // One pack less would not reach it, so it is exceeded by less than the dearest pack.
    let most = i128::from(minimum) + i128::from(dearest);
    let cost =
        of_shop().map(|pack| i128::from(pack.price) * most / i128::from(pack.own_price) + 1).max();
    cost.and_then(|cost| i64::try_from(cost).ok()).unwrap_or(i64::MAX)
}

/// Cuts off fractions of packs: whole packs that cover a need of whole pieces still do where each is taken for so many
/// times a size, rounded up, and the need for as many.
///
/// Source: Chvátal, Edmonds polytopes and a hierarchy of combinatorial problems, 1973: rounding up after division.
pub(super) fn rounded_up(
    cover: &[(Variable, f64)],
    wanted: f64,
) -> Vec<(Vec<(Variable, f64)>, f64)> {
    if wanted.fract() != 0.0 || cover.iter().any(|(_, each)| each.fract() != 0.0) {
        return Vec::new();
    }
    let mut sizes: Vec<f64> =
        cover.iter().map(|(_, each)| *each).filter(|each| *each > 1.0 && *each < wanted).collect();
    sizes.sort_by(f64::total_cmp);
    sizes.dedup();
    let cut = |size: f64| {
        let row = cover.iter().map(|(variable, each)| (*variable, (each / size).ceil()));
        (row.collect(), (wanted / size).ceil())
    };
    sizes.into_iter().map(cut).collect()
}

/// The packs of one shop that serve one need by themselves: nobody buys more of them than the need takes.
pub(super) struct Link {
    /// The shop.
    pub shop: usize,
    /// Each pack with how much of the need it covers.
    pub packs: Vec<(usize, Decimal)>,
    /// The most that they may cover together.
    pub most: Decimal,
}

/// Every link of a problem.
pub(super) struct Links {
    /// The links that say something.
    pub groups: Vec<Link>,
    settled: Vec<bool>,
}

impl Links {
    /// Gathers the links.
    pub fn of(problem: &Problem) -> Self {
        let mut groups: Vec<(usize, Link)> = Vec::new();
        for (index, pack) in problem.packs.iter().enumerate() {
            let alone = pack.holds.inside.is_empty() && pack.holds.along.is_empty();
            let ([serves], true) = (&pack.holds.itself[..], alone) else { continue };
            let need = &problem.needs[serves.need];
            if need.piece {
                continue;
            }
            let cover = pack.holds.size.saturating_mul(serves.worth).min(need.amount);
            match groups
                .iter_mut()
                .find(|(known, link)| link.shop == pack.shop && *known == serves.need)
            {
                Some((_, link)) => link.packs.push((index, cover)),
                None => {
                    let link =
                        Link { shop: pack.shop, packs: vec![(index, cover)], most: need.amount };
                    groups.push((serves.need, link));
                }
            }
        }
        let mut links = Links { groups: Vec::new(), settled: vec![false; problem.packs.len()] };
        for (need, mut link) in groups {
            let need = &problem.needs[need];
            let covers = || link.packs.iter().map(|(_, cover)| *cover);
            let partial = covers().filter(|cover| *cover < need.amount).max().unwrap_or_default();
            // Take any one pack away and the need is no longer met, or it would not have been bought for it.
            let whole = need.counted && covers().all(|cover| cover.is_integer());
            let over = if whole { (partial - Decimal::ONE).max(Decimal::ZERO) } else { partial };
            link.most = need.amount.saturating_add(over);
            if over.is_zero() {
                for (index, _) in &link.packs {
                    links.settled[*index] = true;
                }
            }
            if over.is_zero() || link.packs.len() > 1 {
                links.groups.push(link);
            }
        }
        links
    }

    /// A link says all that a limit on this pack alone would.
    pub fn settles(&self, pack: usize) -> bool {
        self.settled[pack]
    }
}
