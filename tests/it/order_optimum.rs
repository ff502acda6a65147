//! The least total against every possible order on small cases, and against an independent solver on larger ones.

use kitwright::buy::cheapest::{Choice, NoChoice, Patience, choose};
use kitwright::buy::problem::{Along, Content, Holds, Lot, Pack, Problem, Serves, Terms, Wanted};
use rand::prelude::*;
use rand_chacha::ChaCha8Rng;
use rust_decimal::Decimal;
use std::time::{Duration, Instant};

fn solve(problem: &Problem) -> Result<Choice, NoChoice> {
    let mut quiet = |_| {};
    choose(problem, &mut Patience { most: Duration::from_secs(300), progress: &mut quiet })
}

fn counted(amount: i64) -> Wanted {
    Wanted { amount: amount.into(), counted: true, piece: false }
}

fn serves(need: usize) -> Vec<Serves> {
    vec![Serves { need, worth: Decimal::ONE }]
}

/// A pack of so many of one thing.
fn of_one(need: usize, size: i64) -> Holds {
    Holds { size: size.into(), itself: serves(need), ..Holds::default() }
}

/// A set that holds some of each of several things.
fn set(content: &[(usize, i64)]) -> Holds {
    let inside = content
        .iter()
        .map(|(need, amount)| Content { amount: (*amount).into(), serves: serves(*need) });
    Holds { size: Decimal::ONE, itself: Vec::new(), inside: inside.collect(), along: Vec::new() }
}

/// How much of each need one of a pack or lot gives, where each thing in it serves one need.
fn gives(holds: &Holds, needs: usize) -> Vec<i64> {
    let mut given = vec![0; needs];
    let whole = |amount: Decimal| i64::try_from(amount).expect("small and whole");
    for serves in &holds.itself {
        given[serves.need] += whole(holds.size);
    }
    for content in &holds.inside {
        given[content.serves[0].need] += whole(content.amount);
    }
    for along in &holds.along {
        given[along.need] += whole(holds.size * along.amount);
    }
    given
}

fn small_case(rng: &mut ChaCha8Rng) -> Problem {
    let needs = rng.random_range(1..=3);
    let shops = rng.random_range(1..=3);
    let mut problem = Problem {
        needs: (0..needs).map(|_| counted(rng.random_range(1..=3))).collect(),
        shops: (0..shops)
            .map(|_| Terms {
                shipping: rng.random_range(0..=6),
                free_from: rng.random_bool(0.5).then(|| rng.random_range(5..=25)),
                minimum: rng.random_bool(0.4).then(|| rng.random_range(4..=12)),
            })
            .collect(),
        at_most: rng.random_bool(0.2).then(|| rng.random_range(1..=2)),
        ..Problem::default()
    };
    for index in 0..rng.random_range(1..=4) {
        let need = if index < needs { index } else { rng.random_range(0..needs) };
        let holds = if rng.random_bool(0.3) {
            let content: Vec<(usize, i64)> = (0..needs)
                .filter(|_| rng.random_bool(0.7))
                .map(|n| (n, 1 + n as i64 % 2))
                .collect();
            set(&content)
        } else {
            of_one(need, *[1, 1, 2, 3].choose(rng).expect("some"))
        };
        let price = rng.random_range(3..=9);
        problem.packs.push(Pack {
            shop: rng.random_range(0..shops),
            price,
            own_price: price,
            holds,
        });
    }
    if needs > 1 && problem.packs.len() < 4 && rng.random_bool(0.4) {
        // A part that brings along all that is wanted of another for as many as are wanted of it.
        let amount = (problem.needs[1].amount / problem.needs[0].amount).ceil();
        let holds = Holds { along: vec![Along { with: 0, need: 1, amount }], ..of_one(0, 1) };
        let price = rng.random_range(3..=9);
        problem.packs.push(Pack {
            shop: rng.random_range(0..shops),
            price,
            own_price: price,
            holds,
        });
    }
    if rng.random_bool(0.4) {
        let content: Vec<(usize, i64)> = (0..needs).map(|need| (need, 1)).collect();
        problem.lots.push(Lot { holds: set(&content) });
    }
    if needs > 1 && rng.random_bool(0.4) {
        // Something on the shelf that two needs would like.
        let itself =
            vec![Serves { need: 0, worth: Decimal::ONE }, Serves { need: 1, worth: Decimal::ONE }];
        problem.lots.push(Lot {
            holds: Holds { size: rng.random_range(1..=2).into(), itself, ..Holds::default() },
        });
    }
    problem
}

/// Tries every order; the least total, then fewest parcels, then fewest packs.
fn try_all(problem: &Problem) -> Option<(i64, usize, i64)> {
    const MOST: i64 = 8;
    let needs = problem.needs.len();
    let given: Vec<Vec<i64>> = problem.packs.iter().map(|pack| gives(&pack.holds, needs)).collect();
    let mut shelves = vec![vec![0; needs]];
    for lot in &problem.lots {
        let mut wider = Vec::new();
        for shelf in &shelves {
            if lot.holds.inside.is_empty() {
                let size = i64::try_from(lot.holds.size).expect("whole");
                for first in 0..=size {
                    let mut shelf = shelf.clone();
                    shelf[0] += first;
                    shelf[1] += size - first;
                    wider.push(shelf);
                }
            } else {
                wider
                    .push(shelf.iter().zip(gives(&lot.holds, needs)).map(|(a, b)| a + b).collect());
            }
        }
        shelves = wider;
    }
    let mut best = None;
    let mut counts = vec![0_i64; problem.packs.len()];
    loop {
        let enough = shelves.iter().any(|shelf| {
            (0..needs).all(|need| {
                let bought: i64 =
                    counts.iter().zip(&given).map(|(count, given)| count * given[need]).sum();
                Decimal::from(shelf[need] + bought) >= problem.needs[need].amount
            })
        });
        if enough {
            let mut total = 0;
            let mut parcels = 0;
            let mut fair = true;
            for (index, shop) in problem.shops.iter().enumerate() {
                let of_shop = problem
                    .packs
                    .iter()
                    .zip(&counts)
                    .filter(|(pack, count)| pack.shop == index && **count > 0);
                let value: i64 = of_shop.map(|(pack, count)| pack.price * count).sum();
                if value > 0 {
                    parcels += 1;
                    fair &= shop.minimum.is_none_or(|minimum| value >= minimum);
                    total += value
                        + if shop.free_from.is_some_and(|from| value >= from) {
                            0
                        } else {
                            shop.shipping
                        };
                }
            }
            fair &= problem.at_most.is_none_or(|most| parcels <= most);
            let answer = (total, parcels, counts.iter().sum());
            if fair && best.is_none_or(|best| answer < best) {
                best = Some(answer);
            }
        }
        let Some(place) = counts.iter().position(|count| *count < MOST) else { return best };
        counts[place] += 1;
        counts[..place].fill(0);
    }
}

#[test]
fn no_order_among_all_there_are_costs_less_or_breaks_a_tie_better() {
    let count =
        std::env::var("ORDERS_COUNT").ok().and_then(|text| text.parse().ok()).unwrap_or(3000);
    let mut feasible = 0;
    for seed in 0..count {
        let problem = small_case(&mut ChaCha8Rng::seed_from_u64(seed));
        let best = try_all(&problem);
        let found = match solve(&problem) {
            Ok(choice) => {
                assert!(choice.proven);
                let parcels = choice.shipping.iter().flatten().count();
                Some((choice.total, parcels, choice.packs.iter().sum()))
            }
            Err(NoChoice::Infeasible) => None,
            Err(other) => panic!("case {seed}: {other:?}"),
        };
        assert_eq!(found, best, "case {seed}: {problem:#?}");
        feasible += usize::from(best.is_some());
    }
    assert!(feasible * 2 > count as usize, "most cases can be met: {feasible} of {count}");
}

/// The SplitMix64 stream (Steele, Lea and Flood, 2014), as in data/order-optima.py.
struct Stream(u64);

impl Stream {
    fn below(&mut self, n: u64) -> i64 {
        self.0 = self.0.wrapping_add(0x9E37_79B9_7F4A_7C15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xBF58_476D_1CE4_E5B9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94D0_49BB_1331_11EB);
        ((z ^ (z >> 31)) % n) as i64
    }
}

/// The same case that data/order-optima.py makes of a seed.
fn large_case(seed: u64, lines: usize, shops: usize) -> Problem {
    let mut s = Stream(seed);
    let mut problem = Problem::default();
    for _ in 0..shops {
        let shipping = 350 + s.below(900);
        let free_from = if s.below(10) < 6 { Some((40 + s.below(120)) * 100) } else { None };
        let minimum = if s.below(10) < 3 { Some((8 + s.below(30)) * 100) } else { None };
        problem.shops.push(Terms { shipping, free_from, minimum });
    }
    let mut bases = Vec::new();
    for _ in 0..lines {
        problem.needs.push(counted([1, 1, 1, 1, 2, 2, 3, 4, 6, 8][s.below(10) as usize]));
        let (a, b) = (s.below(60), s.below(60));
        bases.push(50 + a * b);
    }
    let mut offer =
        |shop, price, holds| problem.packs.push(Pack { shop, price, own_price: price, holds });
    for (need, base) in bases.iter().enumerate() {
        let mut found = false;
        for shop in 0..shops {
            if s.below(100) < 50 || (shop == shops - 1 && !found) {
                found = true;
                let price = base * (75 + s.below(55)) / 100 + 1;
                offer(shop, price, of_one(need, 1));
                if s.below(100) < 30 {
                    let size = [2, 4, 5, 10, 20][s.below(5) as usize];
                    offer(shop, price * size * (35 + s.below(55)) / 100 + 1, of_one(need, size));
                }
            }
        }
    }
    for _ in 0..lines / 6 {
        let size = (3 + s.below(6) as usize).min(lines);
        let mut held: Vec<usize> = Vec::new();
        while held.len() < size {
            let need = s.below(lines as u64) as usize;
            if !held.contains(&need) {
                held.push(need);
            }
        }
        let held: Vec<(usize, i64)> = held.into_iter().map(|need| (need, 1 + s.below(2))).collect();
        let value: i64 = held.iter().map(|(need, amount)| bases[*need] * amount).sum();
        for shop in 0..shops {
            if s.below(100) < 40 {
                offer(shop, value * (45 + s.below(50)) / 100 + 1, set(&held));
            }
        }
    }
    problem
}

/// Source of the optima: HiGHS by way of scipy; see data/order-optima.py.
#[test]
fn an_independent_solver_finds_the_same_least_totals_to_the_hundredth() {
    let text = include_str!("../data/order-optima.csv");
    // Half of them every time; the rest too where they are asked for.
    let all = std::env::var_os("ORDERS_ALL").is_some();
    let mut times = Vec::new();
    let lines = text.lines().filter(|line| !line.starts_with('#')).skip(1).enumerate();
    for (_, line) in lines.filter(|(index, _)| all || index % 4 < 2) {
        let cells: Vec<i64> = line.split(',').map(|cell| cell.parse().expect(line)).collect();
        let [seed, lines, shops, total] = cells[..] else { panic!("four cells in {line}") };
        let problem = large_case(seed as u64, lines as usize, shops as usize);
        let start = Instant::now();
        let choice = solve(&problem).expect(line);
        if lines == 60 {
            times.push(start.elapsed());
        }
        assert!(choice.proven, "{line}");
        assert_eq!(choice.total, total, "{line}");
    }
    times.sort();
    if let Some(longest) = times.last() {
        let slow = times.iter().filter(|time| time.as_secs_f64() > 1.0).count();
        let median = times[times.len() / 2];
        println!(
            "60 lines, 8 shops: median {median:?}, longest {longest:?}, over a second {slow} of {}",
            times.len()
        );
    }
}

#[test]
fn a_length_comes_out_of_one_piece_and_a_fluid_out_of_several_bottles() {
    let length = |text: &str| Wanted {
        amount: text.parse().expect("a length"),
        counted: false,
        piece: true,
    };
    let piece = |size: &str| Lot {
        holds: Holds {
            size: size.parse().expect("a size"),
            itself: vec![Serves { need: 0, worth: Decimal::ONE }],
            ..Holds::default()
        },
    };
    let mut problem = Problem {
        needs: vec![length("0.6")],
        lots: vec![piece("0.4"), piece("0.5")],
        ..Problem::default()
    };
    assert_eq!(solve(&problem), Err(NoChoice::Infeasible), "two short pieces make no long one");
    problem.needs[0].piece = false;
    let choice = solve(&problem).expect("two bottles");
    assert_eq!(choice.total, 0);
    problem.needs[0].piece = true;
    problem.lots.push(piece("0.7"));
    let choice = solve(&problem).expect("a piece long enough");
    assert!(choice.from_lots[0].is_empty() && choice.from_lots[1].is_empty());
    assert_eq!(choice.from_lots[2], [(0, "0.6".parse().expect("a length"))]);
}

#[test]
fn an_order_is_padded_as_far_as_a_high_minimum_takes() {
    // One ring at 0.10 from the only shop there is, which sends nothing below 30.00.
    let mut problem = Problem {
        needs: vec![counted(1)],
        shops: vec![Terms { shipping: 490, free_from: None, minimum: Some(3000) }],
        packs: vec![Pack { shop: 0, price: 10, own_price: 10, holds: of_one(0, 1) }],
        ..Problem::default()
    };
    let choice = solve(&problem).expect("three hundred of them");
    assert_eq!(
        (choice.total, &choice.packs[..], &choice.spare[..]),
        (3490, &[300_i64][..], &[299_i64][..])
    );
    // A parcel that is free from a value is padded with cheap things, too, where that costs less than the parcel.
    problem.shops[0] = Terms { shipping: 2000, free_from: Some(1500), minimum: None };
    problem.packs[0] = Pack { shop: 0, price: 5, own_price: 5, holds: of_one(0, 1) };
    let choice = solve(&problem).expect("three hundred again");
    assert_eq!((choice.total, choice.packs[0]), (1500, 300));
}

#[test]
fn the_search_goes_the_same_way_however_slow_the_machine() {
    let problem = large_case(295, 60, 8);
    let whole = solve(&problem).expect("an answer");
    let mut told = 0;
    let mut count = |progress: kitwright::buy::cheapest::Progress| {
        told += 1;
        assert!(progress.bound.is_none_or(|bound| bound <= whole.total.into()));
        assert!(progress.best.is_none_or(|best| best >= whole.total.into()));
    };
    let short =
        choose(&problem, &mut Patience { most: Duration::from_millis(1), progress: &mut count });
    // Whoever has no patience gets no proof, but an honest bound and no other order than the search had by then.
    if let Ok(choice) = short {
        assert!(choice.proven || choice.bound <= whole.total && choice.total >= whole.total);
    }
}

#[test]
fn the_same_question_gets_the_same_answer() {
    let problem = large_case(3, 60, 8);
    let first = solve(&problem).expect("an answer");
    for _ in 0..3 {
        assert_eq!(solve(&problem).as_ref(), Ok(&first));
    }
}
