//! The shelf matched by a second, plain reading of what counts for what: it must agree with the program on thousands of
//! small random catalogs.
//!
//! What becomes of a number is taken from the kit, which has a second solver of its own. From there on nothing is
//! shared: a number on the shelf counts if it is the final part, or an earlier one on its chain with no `needs` in
//! between, or interchangeable with one that counts, or the same part under another number; a set counts for what lies
//! loose in it, and so does an earlier number that became several parts. The readings taken: interchangeable is a row
//! that applies, one for one, alone and without `needs`; partners of what counts do count; a number on the chain counts
//! as its chain says. Catalogs in which two ways to a number count it differently are left out.

use kitwright::buy::answer::OrderPlan;
use kitwright::buy::cheapest::Patience;
use kitwright::buy::market::Terms;
use kitwright::buy::order::{OrderAsk, order};
use kitwright::catalog::Memory;
use kitwright::kit::{Ask, Kit, work_out};
use kitwright::measure::{Date, Key};
use kitwright::tables::Tables;
use rand::prelude::*;
use rand_chacha::ChaCha8Rng;
use rust_decimal::Decimal;
use std::collections::BTreeMap;
use std::time::Duration;

const NUMBERS: [&str; 7] = ["A-1", "B-2", "C-3", "D-4", "E-5", "F-6", "G-7"];

#[derive(Debug, Clone)]
struct Replacement {
    old: usize,
    new: usize,
    quantity: i64,
    together: bool,
    both_ways: bool,
    needs: bool,
    /// It surely applies to the machine.
    applies: bool,
    years: &'static str,
    serials: &'static str,
}

#[derive(Debug, Clone)]
struct Case {
    positions: Vec<(usize, i64)>,
    replacements: Vec<Replacement>,
    equivalents: Vec<(usize, usize)>,
    /// What lies in the set: the number, how many, and whether it arrives fitted.
    set: Vec<(usize, i64, bool)>,
    sets: i64,
    stock: Vec<i64>,
}

impl Case {
    fn random(rng: &mut ChaCha8Rng) -> Self {
        let numbers = NUMBERS.len();
        let mut replacements = Vec::new();
        for old in 0..numbers - 1 {
            if rng.random_bool(0.45) {
                let pair = old + 2 < numbers && rng.random_bool(0.2);
                let (years, serials, applies) = *[
                    ("", "", true),
                    ("", "", true),
                    ("1998-2003", "", true),
                    ("1990", "", false),
                    ("", "K100-", false),
                ]
                .choose(rng)
                .expect("some");
                let first = rng.random_range(old + 1..numbers);
                let mut row = Replacement {
                    old,
                    new: first,
                    quantity: if rng.random_bool(0.8) { 1 } else { 2 },
                    together: pair,
                    both_ways: rng.random_bool(0.3),
                    needs: rng.random_bool(0.2),
                    applies,
                    years,
                    serials,
                };
                replacements.push(row.clone());
                let others: Vec<usize> = (old + 1..numbers).filter(|new| *new != first).collect();
                if let (true, Some(new)) = (pair, others.choose(rng)) {
                    row.new = *new;
                    replacements.push(row);
                }
            }
        }
        let pairs = rng.random_range(0..=2);
        let set = (0..numbers).filter(|_| rng.random_bool(0.3)).collect::<Vec<_>>();
        Case {
            positions: (0..rng.random_range(1..=2))
                .map(|_| (rng.random_range(0..numbers), rng.random_range(1..=4)))
                .collect(),
            replacements,
            equivalents: (0..pairs)
                .map(|_| (rng.random_range(0..numbers), rng.random_range(0..numbers)))
                .collect(),
            set: set
                .into_iter()
                .map(|number| (number, rng.random_range(1..=2), rng.random_bool(0.2)))
                .collect(),
            sets: rng.random_range(0..=2),
            stock: (0..numbers)
                .map(|_| *[0, 0, 0, 1, 1, 2, 3].choose(rng).expect("some"))
                .collect(),
        }
    }

    fn catalog(&self) -> Memory {
        let mut tables: Vec<(&str, String)> = vec![
            ("machines", "machine,model,year,serial\nmotor,M1,2000,\n".into()),
            ("models", "model\nM1\n".into()),
            ("jobs", "job\nreseal\n".into()),
            ("operations", "operation\nopen\n".into()),
            ("parts", "part,type\nS-1,set\nZ-9,gasket\n".into()),
            ("positions", "position,part,quantity\nkept,Z-9,1\n".into()),
            ("job_lines", "job,position\n".into()),
            ("supersessions", "old,new,quantity,together,swap,needs,years,serials\n".into()),
            ("equivalents", "part,other\n".into()),
            ("contains", "part,contains,quantity,position\n".into()),
            ("stock", format!("part,quantity,bin\nZ-9,99,tin\nS-1,{},tin\n", self.sets)),
        ];
        let mut add = |table: &str, line: String| {
            let (_, text) = tables.iter_mut().find(|(name, _)| *name == table).expect("a table");
            text.push_str(&line);
        };
        for (place, (number, amount)) in self.positions.iter().enumerate() {
            add("positions", format!("p{place},{},{amount}\n", NUMBERS[*number]));
            add("job_lines", format!("reseal,p{place}\n"));
        }
        for (number, stock) in NUMBERS.iter().zip(&self.stock) {
            add("parts", format!("{number},gasket\n"));
            if *stock > 0 {
                add("stock", format!("{number},{stock},tin\n"));
            }
        }
        for row in &self.replacements {
            let swap = if row.both_ways { "both-ways" } else { "one-way" };
            add(
                "supersessions",
                format!(
                    "{},{},{},{},{swap},{},{},{}\n",
                    NUMBERS[row.old],
                    NUMBERS[row.new],
                    row.quantity,
                    if row.together { "g" } else { "" },
                    if row.needs { "kept" } else { "" },
                    row.years,
                    row.serials
                ),
            );
        }
        for (part, other) in self.equivalents.iter().filter(|(part, other)| part != other) {
            add("equivalents", format!("{},{}\n", NUMBERS[*part], NUMBERS[*other]));
        }
        for (number, amount, fitted) in &self.set {
            let position = if *fitted { "kept" } else { "" };
            add("contains", format!("S-1,{},{amount},{position}\n", NUMBERS[*number]));
        }
        let mut read = Tables::default();
        for (table, text) in &tables {
            if *table == "stock" && self.sets == 0 {
                let text = text.replace("S-1,0,tin\n", "");
                read.read_file(table, "stock.csv".into(), text.as_bytes());
            } else {
                read.read_file(table, format!("{table}.csv"), text.as_bytes());
            }
        }
        assert_eq!(read.faults, []);
        read.catalog()
    }

    fn row(&self, old: usize, new: usize) -> &Replacement {
        let mut rows =
            self.replacements.iter().filter(|row| row.old == old && row.new == new && row.applies);
        rows.next().expect("the row that was followed")
    }

    /// How much of a want one of each number counts for; `None` where the rows contradict each other about it.
    fn worths(&self, chain: &[usize]) -> Option<BTreeMap<usize, i64>> {
        let mut worths = BTreeMap::new();
        let mut worth = 1;
        worths.insert(chain[chain.len() - 1], 1);
        for pair in chain.windows(2).rev() {
            let row = self.row(pair[0], pair[1]);
            worth *= row.quantity;
            if row.needs || row.together {
                break;
            }
            worths.entry(pair[0]).or_insert(worth);
        }
        let swaps = self.replacements.iter().filter(|row| {
            row.both_ways && row.applies && !row.needs && !row.together && row.quantity == 1
        });
        let pairs: Vec<(usize, usize)> =
            swaps.map(|row| (row.old, row.new)).chain(self.equivalents.iter().copied()).collect();
        for _ in 0..NUMBERS.len() {
            for (one, other) in &pairs {
                for (from, to) in [(one, other), (other, one)] {
                    if let Some(worth) = worths.get(from).copied() {
                        worths.entry(*to).or_insert(worth);
                    }
                }
            }
        }
        let agree = pairs.iter().all(|(one, other)| worths.get(one) == worths.get(other));
        agree.then_some(worths)
    }

    /// Whether a group of rows is followed on the way.
    fn becomes_several(&self, chain: &[usize]) -> bool {
        chain.windows(2).any(|pair| self.row(pair[0], pair[1]).together)
    }
}

/// Something wanted: how many, and what one of each number counts for.
struct Want {
    amount: i64,
    worths: BTreeMap<usize, i64>,
}

fn number(text: &str) -> Option<usize> {
    NUMBERS.iter().position(|number| *number == text)
}

/// Reads the wants off the kit; `None` where a number became several parts, which this
/// reading leaves alone, or where the rows contradict each other.
fn wants(case: &Case, kit: &Kit) -> Option<Vec<Want>> {
    let mut wants = Vec::new();
    for position in kit.positions.iter().filter(|position| position.position != "kept") {
        for part in &position.parts {
            let chain: Vec<usize> = part.chain.iter().filter_map(|text| number(text)).collect();
            if case.becomes_several(&chain) {
                return None;
            }
            let amount = i64::try_from(part.to_order).ok()?;
            wants.push(Want { amount, worths: case.worths(&chain)? });
        }
    }
    Some(wants)
}

/// The least that stays missing, by trying every way to hand out the shelf; in wants met in full, then in pieces.
fn least_missing(case: &Case, wants: &[Want]) -> i64 {
    let mut shelves = vec![(case.stock.clone(), 0)];
    for opened in 1..=case.sets {
        let mut stock = case.stock.clone();
        for (number, amount, fitted) in &case.set {
            if !fitted {
                stock[*number] += amount * opened;
            }
        }
        shelves.push((stock, opened));
    }
    let left: Vec<i64> = wants.iter().map(|want| want.amount).collect();
    shelves
        .iter()
        .map(|(stock, _)| hand_out(stock, 0, wants, left.clone()))
        .min()
        .expect("one shelf at least")
}

fn hand_out(stock: &[i64], number: usize, wants: &[Want], left: Vec<i64>) -> i64 {
    if number == stock.len() {
        return left.iter().map(|left| (*left).max(0)).sum();
    }
    let worth = |want: usize| {
        wants.get(want).and_then(|want| want.worths.get(&number)).copied().unwrap_or(0)
    };
    let most = if worth(0) > 0 && worth(1) > 0 { stock[number] } else { 0 };
    let splits = (0..=most).map(|second| {
        let first = stock[number] - second;
        let mut left = left.clone();
        left[0] -= worth(0) * first;
        if let Some(left) = left.get_mut(1) {
            *left -= worth(1) * if most == 0 { stock[number] } else { second };
        }
        hand_out(stock, number + 1, wants, left)
    });
    splits.min().expect("one split at least")
}

fn planned(catalog: &Memory) -> (Kit, OrderPlan) {
    let ask = OrderAsk {
        ask: Ask {
            machine: Some(Key::new("motor")),
            jobs: vec![Key::new("reseal")],
            ..Ask::default()
        },
        terms: Terms::open(&Date::parse("2026-11-25").expect("a day")),
        held: Vec::new(),
        keep_for: Vec::new(),
        if_worn: false,
        compare: false,
    };
    let kit = work_out(&ask.ask, catalog).expect("a kit");
    let mut quiet = |_| {};
    let mut patience = Patience { most: Duration::from_secs(60), progress: &mut quiet };
    let plan = order(&ask, &kit, catalog, &mut patience).expect("a plan").plan;
    (kit, plan)
}

#[test]
#[ignore = "not seen to pass since the second edition of the rules; to be gone through"]
fn the_shelf_gives_what_a_plain_second_reading_says_it_can() {
    let count =
        std::env::var("SHELF_COUNT").ok().and_then(|text| text.parse().ok()).unwrap_or(4000);
    let (mut looked_at, mut short, mut two) = (0, 0, 0);
    for seed in 0..count {
        let case = Case::random(&mut ChaCha8Rng::seed_from_u64(seed));
        let (kit, plan) = planned(&case.catalog());
        let Some(wants) = wants(&case, &kit) else { continue };
        looked_at += 1;
        two += usize::from(wants.len() == 2);
        let missing: Decimal = plan.unsourced.iter().map(|missing| missing.quantity).sum();
        let least = least_missing(&case, &wants);
        short += usize::from(least > 0);
        assert_eq!(
            missing,
            Decimal::from(least),
            "case {seed}: {case:#?} {:#?} {:#?}",
            plan.from_stock,
            plan.unsourced
        );
        for from in plan.from_stock.iter().filter(|from| from.part != "Z-9" && !from.opened) {
            let taken = number(&from.part).expect("one of the numbers");
            assert!(from.quantity <= Decimal::from(case.stock[taken]), "case {seed}: {from:?}");
            assert!(
                wants.iter().any(|want| want.worths.contains_key(&taken)),
                "case {seed}: {from:?}"
            );
        }
    }
    assert!(
        looked_at * 10 > count * 7 && short > 300 && two > 800,
        "{looked_at} looked at, {short} short, {two} two"
    );
}
