//! What the order plan takes off the shelf, buys, leaves out and refuses, on small invented catalogs and the demo.

use kitwright::buy::answer::OrderPlan;
use kitwright::buy::cheapest::Patience;
use kitwright::buy::market::{Rate, Refused, Terms};
use kitwright::buy::order::{OrderAsk, Ordered, order};
use kitwright::buy::orders::Spoken;
use kitwright::catalog::Memory;
use kitwright::kit::{Ask, work_out};
use kitwright::measure::{Date, Key, PartNumber, Quantity};
use kitwright::tables::{Tables, read_folder};
use rust_decimal::Decimal;
use std::path::Path;
use std::time::Duration;

/// A motor with three positions that its one job renews, and what a test adds. All of it is invented.
fn catalog(tables: &[(&str, &str)]) -> Memory {
    let own = [
        ("machines", "machine,model,year\nmotor,M1,2000\n"),
        ("models", "model\nM1\n"),
        ("jobs", "job\nreseal\nother\n"),
        ("job_lines", "job,position\nreseal,seat\nreseal,cover\nother,seat\n"),
        ("operations", "operation\nopen\n"),
        ("parts", "part,type,unit\nA-2,gasket,\nB-1,o-ring,\nS-1,set,\n"),
        ("positions", "position,part,quantity\nseat,A-2,1\ncover,B-1,3\n"),
        (
            "suppliers",
            "supplier,currency,shipping,free_from,minimum,days\nnear,EUR,5.00,,,2\nfar,EUR,3.00,50.00,,9\n",
        ),
        (
            "offers",
            "supplier,part,price,pack,as_of\nnear,A-2,4.00,,2026-11-01\nnear,B-1,1.00,,2026-11-01\nfar,A-2,3.00,,2026-11-01\nfar,B-1,2.50,10,2024-01-01\n",
        ),
    ];
    let mut read = Tables::default();
    let given = |table: &str| tables.iter().find(|(name, _)| *name == table).map(|(_, text)| *text);
    for (table, text) in own {
        read.read_file(table, format!("{table}.csv"), given(table).unwrap_or(text).as_bytes());
    }
    for (table, text) in
        tables.iter().filter(|(table, _)| !own.iter().any(|(name, _)| name == table))
    {
        read.read_file(table, format!("{table}.csv"), text.as_bytes());
    }
    assert_eq!(read.faults, []);
    read.catalog()
}

fn ask(job: &str, machine: &str) -> OrderAsk {
    OrderAsk {
        ask: Ask { machine: Some(Key::new(machine)), jobs: vec![Key::new(job)], ..Ask::default() },
        terms: Terms {
            only: Vec::new(),
            without: Vec::new(),
            max_days: None,
            at_most: None,
            rates: Vec::new(),
            sets: true,
            today: Date::parse("2026-11-25").expect("a day"),
        },
        held: Vec::new(),
        keep_for: Vec::new(),
        if_worn: false,
        compare: false,
    }
}

fn run(ask: &OrderAsk, catalog: &Memory) -> Result<Ordered, Refused> {
    let kit = work_out(&ask.ask, catalog).expect("a kit");
    let mut quiet = |_| {};
    order(ask, &kit, catalog, &mut Patience { most: Duration::from_secs(60), progress: &mut quiet })
}

fn planned(tables: &[(&str, &str)]) -> OrderPlan {
    run(&ask("reseal", "motor"), &catalog(tables)).expect("a plan").plan
}

fn dec(text: &str) -> Decimal {
    text.parse().expect(text)
}

/// `2 × B-1 of shelf` for everything from the shelf.
fn from_shelf(plan: &OrderPlan) -> Vec<String> {
    plan.from_stock
        .iter()
        .map(|from| format!("{} × {} of {}", from.quantity, from.part, from.bin))
        .collect()
}

/// `near: 1 × A-2` for everything bought.
fn bought(plan: &OrderPlan) -> Vec<String> {
    let lines =
        plan.orders.iter().flat_map(|parcel| parcel.lines.iter().map(move |line| (parcel, line)));
    lines
        .map(|(parcel, line)| format!("{}: {} × {}", parcel.supplier, line.packs, line.part))
        .collect()
}

/// Every total is the sum of what is printed above it.
fn adds_up(plan: &OrderPlan) {
    let mut total = Decimal::ZERO;
    for parcel in &plan.orders {
        for line in &parcel.lines {
            assert_eq!(line.amount, line.price * line.packs);
        }
        assert_eq!(parcel.goods, parcel.lines.iter().map(|line| line.amount).sum());
        assert_eq!(parcel.total, parcel.goods + parcel.shipping);
        total += parcel.total;
    }
    assert_eq!(plan.total, total);
}

#[test]
fn the_least_total_weighs_packs_against_singles_and_parcels_against_prices() {
    let plan = planned(&[]);
    // far: 3.00 + 2.50 + 3.00 = 8.50; near: 4.00 + 3.00 + 5.00 = 12.00.
    assert_eq!(plan.total, dec("8.50"));
    assert_eq!(bought(&plan), ["far: 1 × A-2", "far: 1 × B-1"]);
    assert!(plan.orders[0].lines[1].stale && !plan.orders[0].lines[0].stale);
    adds_up(&plan);
}

#[test]
fn the_shelf_comes_first_and_is_named_with_its_bin() {
    let plan = planned(&[("stock", "part,quantity,bin\nb1,2,tin 4\nA2,5,\n")]);
    assert_eq!(from_shelf(&plan), ["1 × A-2 of ", "2 × B-1 of tin 4"]);
    assert_eq!(bought(&plan), ["far: 1 × B-1"]);
}

#[test]
fn an_earlier_number_counts_only_where_nothing_else_had_to_change() {
    let positions = ("positions", "position,part,quantity\nseat,A-1,1\ncover,B-1,3\n");
    let stock = ("stock", "part,quantity,bin\nA-1,1,tin\n");
    let free = ("supersessions", "old,new\nA-1,A-2\n");
    let plan = planned(&[positions, stock, free]);
    assert_eq!(from_shelf(&plan), ["1 × A-1 of tin"]);
    let bound = ("supersessions", "old,new,needs\nA-1,A-2,cover\n");
    let plan = planned(&[positions, stock, bound]);
    assert_eq!(from_shelf(&plan), [] as [&str; 0]);
}

#[test]
fn a_number_that_the_machine_never_had_is_no_earlier_number_of_it_unless_both_ways() {
    let stock = ("stock", "part,quantity,bin\nA-1,1,tin\n");
    let one_way = ("supersessions", "old,new,swap\nA-1,A-2,one-way\n");
    assert_eq!(from_shelf(&planned(&[stock, one_way])), [] as [&str; 0]);
    let both_ways = ("supersessions", "old,new,swap\nA-1,A-2,both-ways\n");
    assert_eq!(from_shelf(&planned(&[stock, both_ways])), ["1 × A-1 of tin"]);
}

/// The position seat lists A-1, which became A-2.
const SEAT_OF_A_1: (&str, &str) =
    ("positions", "position,part,quantity\nseat,A-1,1\ncover,B-1,3\n");

#[test]
fn an_earlier_number_comes_off_the_shelf_and_is_never_bought() {
    let offers = ("offers", "supplier,part,price\nnear,A-1,0.10\nnear,A-2,4.00\nnear,B-1,1.00\n");
    for swap in ["", "one-way"] {
        let row = format!("old,new,swap\nA-1,A-2,{swap}\n");
        let plan = planned(&[SEAT_OF_A_1, ("supersessions", row.as_str()), offers]);
        assert_eq!(bought(&plan), ["near: 1 × A-2", "near: 3 × B-1"], "{swap}");
        // Nor is a set in which it lies, nor what is the same under another number.
        let contains = ("contains", "part,contains,quantity\nS-1,A-1,1\n");
        let offers = (
            "offers",
            "supplier,part,price\nnear,S-1,0.10\nnear,X-1,0.10\nnear,A-2,4.00\nnear,B-1,1.00\n",
        );
        let same = ("equivalents", "part,other\nA-1,X-1\n");
        let tables = [SEAT_OF_A_1, ("supersessions", row.as_str()), offers, contains, same];
        assert_eq!(bought(&planned(&tables)), ["near: 1 × A-2", "near: 3 × B-1"], "{swap}");
        let stock = ("stock", "part,quantity,bin\nX-1,1,tin\n");
        let tables = [SEAT_OF_A_1, ("supersessions", row.as_str()), stock, same];
        assert_eq!(from_shelf(&planned(&tables)), ["1 × X-1 of tin"], "{swap}");
    }
    let both_ways = ("supersessions", "old,new,swap\nA-1,A-2,both-ways\n");
    let plan = planned(&[SEAT_OF_A_1, both_ways, offers]);
    assert_eq!(bought(&plan), ["near: 1 × A-1", "near: 3 × B-1"]);
}

#[test]
fn an_earlier_number_does_not_serve_where_a_job_line_names_the_later_one() {
    let row = ("supersessions", "old,new\nA-0,A-1\nA-1,A-2\n");
    let positions = ("positions", "position,part,quantity\nseat,A-0,1\ncover,B-1,3\n");
    let stock = ("stock", "part,quantity,bin\nA-0,1,tin\nA-1,1,box\n");
    let named = |part: &str| {
        let lines = format!("job,position,part\nreseal,seat,{part}\nreseal,cover,\n");
        let lines = ("job_lines", lines.as_str());
        let plan = planned(&[positions, row, stock, lines]);
        from_shelf(&plan).concat()
    };
    assert_eq!(named("A-2"), "", "what the line names is meant");
    assert_eq!(named("A-1"), "1 × A-1 of box", "and what comes before it is not");
    assert_eq!(named(""), "1 × A-1 of box", "the nearest of those that its own chain has");
}

#[test]
fn an_earlier_number_does_not_serve_where_it_goes_to_no_position() {
    let operations = ("operations", "operation,uses\nopen,A-1=1\n");
    let lines = ("job_lines", "job,position,operation\nreseal,cover,\nreseal,,open\n");
    let row = ("supersessions", "old,new\nA-1,A-2\n");
    let stock = ("stock", "part,quantity,bin\nA-1,1,tin\n");
    assert_eq!(from_shelf(&planned(&[operations, lines, row, stock])), [] as [&str; 0]);
}

#[test]
fn a_withdrawn_part_serves_nowhere() {
    let parts = (
        "parts",
        "part,type,unit,status\nA-1,gasket,,withdrawn\nA-2,gasket,,\nB-1,o-ring,,\nX-9,gasket,,withdrawn\n",
    );
    let row = ("supersessions", "old,new,swap\nA-1,A-2,both-ways\n");
    let same = ("equivalents", "part,other\nA-2,X-9\n");
    let stock = ("stock", "part,quantity,bin\nA-1,1,tin\nX-9,1,box\n");
    let offers = ("offers", "supplier,part,price\nnear,X-9,0.10\nnear,A-2,4.00\nnear,B-1,1.00\n");
    let plan = planned(&[SEAT_OF_A_1, parts, row, same, stock, offers]);
    assert_eq!(from_shelf(&plan), [] as [&str; 0]);
    assert_eq!(bought(&plan), ["near: 1 × A-2", "near: 3 × B-1"]);
}

#[test]
fn an_equivalent_counts_on_the_shelf_and_on_offer() {
    let equivalents = ("equivalents", "part,other\nA-2,X-9\nX-8,X-9\n");
    let stock = ("stock", "part,quantity,bin\nX-8,1,tin\n");
    assert_eq!(from_shelf(&planned(&[equivalents, stock])), ["1 × X-8 of tin"]);
    let offers = ("offers", "supplier,part,price\nnear,X-9,1.00\nnear,B-1,1.00\n");
    assert_eq!(bought(&planned(&[equivalents, offers])), ["near: 1 × X-9", "near: 3 × B-1"]);
}

#[test]
fn a_part_that_joined_another_is_not_met_by_the_one_that_stayed() {
    let supersessions = ("supersessions", "old,new,together\nA-2,A-2,g\nA-2,B-1,g\n");
    let plan = planned(&[supersessions, ("stock", "part,quantity,bin\nA-2,9,tin\n")]);
    assert_eq!(from_shelf(&plan), ["1 × A-2 of tin"], "four of B-1 are still wanted");
    assert_eq!(bought(&plan), ["far: 1 × B-1"]);
}

#[test]
fn one_earlier_part_serves_both_that_it_became() {
    let tables = [
        ("positions", "position,part,quantity\nseat,A-1,1\ncover,B-1,3\n"),
        ("supersessions", "old,new,together\nA-1,A-2,g\nA-1,C-1,g\n"),
        ("parts", "part,type\nA-1,gasket\nA-2,gasket\nB-1,o-ring\nC-1,o-ring\n"),
        ("stock", "part,quantity,bin\nA-1,1,tin\nB-1,3,tin\n"),
    ];
    let plan = planned(&tables);
    assert_eq!(from_shelf(&plan), ["3 × B-1 of tin", "1 × A-1 of tin"]);
    assert!(plan.orders.is_empty() && plan.unsourced.is_empty(), "{plan:?}");
}

#[test]
fn a_set_is_bought_where_it_is_cheaper_and_opened_where_it_is_there() {
    let contains = ("contains", "part,contains,quantity,position\nS-1,A-2,1,\nS-1,B-1,3,\n");
    let offers = ("offers", "supplier,part,price\nnear,A-2,4.00\nnear,B-1,1.00\nnear,S-1,6.00\n");
    let plan = planned(&[contains, offers]);
    assert_eq!(bought(&plan), ["near: 1 × S-1"]);
    assert_eq!(plan.orders[0].lines[0].serves, ["A-2", "B-1"]);
    let dear = ("offers", "supplier,part,price\nnear,A-2,4.00\nnear,B-1,1.00\nnear,S-1,9.00\n");
    assert_eq!(bought(&planned(&[contains, dear])), ["near: 1 × A-2", "near: 3 × B-1"]);
    let stock = ("stock", "part,quantity,bin\nS-1,1,drawer\n");
    let plan = planned(&[contains, dear, stock]);
    assert_eq!(
        (from_shelf(&plan), plan.total),
        (vec!["1 × S-1 of drawer".to_owned()], Decimal::ZERO)
    );
    let mut held = ask("reseal", "motor");
    held.held.push((PartNumber::new("s1").expect("a number"), Quantity::ONE));
    let plan = run(&held, &catalog(&[contains, dear])).expect("a plan").plan;
    assert_eq!(from_shelf(&plan), ["1 × S-1 of in hand"]);
}

#[test]
fn what_an_assembly_brings_fitted_is_no_loose_part() {
    let contains =
        ("contains", "part,contains,quantity,position\nS-1,A-2,1,seat\nS-1,B-1,3,cover\n");
    let offers = ("offers", "supplier,part,price\nnear,A-2,4.00\nnear,B-1,1.00\nnear,S-1,0.10\n");
    assert_eq!(bought(&planned(&[contains, offers])), ["near: 1 × A-2", "near: 3 × B-1"]);
}

/// The kit counts on A-2 to bring the rings of the cover; the interchangeable A-1 comes without.
fn hollow(more: &[(&'static str, &'static str)]) -> Ordered {
    let mut tables = vec![
        ("contains", "part,contains,quantity,position\nA-2,B-1,3,cover\n"),
        ("supersessions", "old,new,swap\nA-1,A-2,both-ways\n"),
        ("job_lines", "job,position,operation\nreseal,seat,\nreseal,,open\n"),
        ("operations", "operation,removes\nopen,cover\n"),
    ];
    tables.extend(more);
    run(&ask("reseal", "motor"), &catalog(&tables)).expect("a plan")
}

#[test]
fn what_a_stand_in_lacks_is_bought_besides_where_that_costs_less() {
    let stock = ("stock", "part,quantity,bin\nA-1,1,tin\n");
    // The ring pack at 2.50 and the parcel come to less than A-2 and its parcel.
    let ordered = hollow(&[stock]);
    assert_eq!(from_shelf(&ordered.plan), ["1 × A-1 of tin"]);
    assert_eq!(bought(&ordered.plan), ["far: 1 × B-1"]);
    assert!(ordered.remarks[0].contains("A-1 comes without B-1"), "{:?}", ordered.remarks);
    adds_up(&ordered.plan);
    // Rings on the shelf make it whole as well.
    let rings = ("stock", "part,quantity,bin\nA-1,1,tin\nB-1,3,box\n");
    let plan = hollow(&[rings]).plan;
    assert_eq!((from_shelf(&plan).len(), plan.total), (2, Decimal::ZERO));
    // The part itself on the shelf brings them along.
    let both = ("stock", "part,quantity,bin\nA-1,1,tin\nA-2,1,box\n");
    assert_eq!(from_shelf(&hollow(&[both]).plan), ["1 × A-2 of box"]);
}

#[test]
fn no_more_comes_off_the_shelf_than_is_needed_though_several_would_do() {
    let equal = ("equivalents", "part,other\nA-2,Q-2\n");
    for stock in [
        "part,quantity,bin\nA-1,5,tin\nQ-2,5,box\nB-1,9,jar\n",
        "part,quantity,bin\nQ-2,5,box\nA-1,5,tin\nB-1,9,jar\n",
        "part,quantity,bin\nQ-2,1,box\nA-1,1,tin\nB-1,9,jar\n",
    ] {
        let taken = from_shelf(&hollow(&[equal, ("stock", stock)]).plan);
        assert_eq!(taken.len(), 2, "{taken:?}");
        assert!(taken.iter().any(|lot| lot == "3 × B-1 of jar"), "{taken:?}");
    }
}

#[test]
fn a_stand_in_that_lacks_what_the_kit_counts_on_is_passed_over_where_the_part_itself_costs_less() {
    let stock = ("stock", "part,quantity,bin\nA-1,1,tin\n");
    for offers in [
        "supplier,part,price,pack\nfar,A-2,3.00,\nfar,B-1,3.50,10\n",
        "supplier,part,price,pack\nfar,A-2,3.00,\n",
    ] {
        let ordered = hollow(&[stock, ("offers", offers)]);
        assert_eq!(from_shelf(&ordered.plan), [] as [&str; 0]);
        assert_eq!(bought(&ordered.plan), ["far: 1 × A-2"]);
        assert!(ordered.plan.unsourced.is_empty());
        let said = ordered.remarks.join("\n");
        assert!(said.contains("A-1 was not taken for A-2: it comes without B-1"), "{said}");
    }
    // The offered one costs less with what it lacks than the part itself.
    let offers =
        ("offers", "supplier,part,price,pack\nfar,A-2,9.00,\nfar,A-1,2.00,\nfar,B-1,1.00,\n");
    let ordered = hollow(&[offers]);
    assert_eq!(bought(&ordered.plan), ["far: 1 × A-1", "far: 3 × B-1"]);
    assert_eq!(ordered.plan.orders[0].lines[1].serves, ["B-1"]);
    // Where nobody sells either, the shelf gives what it has and the rest is named.
    let plan = hollow(&[stock, ("offers", "supplier,part,price\n")]).plan;
    assert_eq!(from_shelf(&plan), ["1 × A-1 of tin"]);
    let missing: Vec<&str> = plan.unsourced.iter().map(|missing| missing.part.as_str()).collect();
    assert_eq!(missing, ["B-1"]);
    // And where there is none at all, the part itself is named, which brings the rest.
    let missing = hollow(&[("offers", "supplier,part,price\n")]).plan.unsourced;
    assert_eq!(missing.iter().map(|missing| missing.part.as_str()).collect::<Vec<_>>(), ["A-2"]);
}

#[test]
fn a_thing_that_lies_in_a_set_twice_by_itself_and_in_a_bag_counts_twice() {
    let contains =
        ("contains", "part,contains,quantity\nS-1,A-2,1\nS-1,B-1,1\nS-1,S-2,1\nS-2,B-1,2\n");
    let offers = ("offers", "supplier,part,price\nnear,A-2,4.00\nnear,B-1,1.00\nnear,S-1,6.00\n");
    assert_eq!(bought(&planned(&[contains, offers])), ["near: 1 × S-1"]);
}

#[test]
fn the_comparison_names_what_too_few_suppliers_lack_and_says_where_it_ends() {
    let offers = ("offers", "supplier,part,price\nnear,A-2,4.00\nfar,B-1,1.00\n");
    let mut compared = ask("reseal", "motor");
    compared.compare = true;
    let compare = run(&compared, &catalog(&[offers])).expect("a plan").compare.expect("asked for");
    let [one, two] = &compare.by_suppliers[..] else { panic!("{compare:?}") };
    assert_eq!((one.suppliers, one.total, two.suppliers), (1, None, 2));
    let nearest = one.nearest.as_ref().expect("one of the two");
    // B-1 three times and the parcel come to 6.00, A-2 and its parcel to 9.00.
    assert_eq!((&nearest.from[..], nearest.total), (&["far".to_owned()][..], dec("6.00")));
    assert_eq!((nearest.lack.len(), nearest.lack[0].part.as_str()), (1, "A-2"));
}

#[test]
fn fluids_count_by_amount_and_lengths_by_piece() {
    let tables = |stock: &'static str| {
        [
            ("positions", "position,part,quantity\nseat,A-2,600 ml\ncover,B-1,0.5 m\n"),
            ("parts", "part,type,unit\nA-2,oil,L\nB-1,hose,m\n"),
            (
                "offers",
                "supplier,part,price,pack\nnear,A-2,2.00,250 ml\nnear,A-2,7.00,1 L\nnear,B-1,4.00,1 m\n",
            ),
            ("stock", stock),
        ]
    };
    let plan = planned(&tables(
        "part,quantity,bin\nA-2,150 ml,one\nA-2,0.2 L,two\nB-1,30 cm,one\nB-1,40 cm,two\n",
    ));
    assert_eq!(from_shelf(&plan), ["150 × A-2 of one", "0.2 × A-2 of two"]);
    assert_eq!(bought(&plan), ["near: 1 × A-2", "near: 1 × B-1"]);
    let plan = planned(&tables("part,quantity,bin\nB-1,600 mm,one\n"));
    assert_eq!(from_shelf(&plan), ["500 × B-1 of one"]);
    assert_eq!(bought(&plan), ["near: 3 × A-2"]);
}

#[test]
fn as_needed_is_met_by_any_of_it_on_the_shelf_and_else_by_a_pack() {
    let tables = [
        ("job_lines", "job,operation\nreseal,open\n"),
        ("operations", "operation,uses\nopen,A-2=as-needed\n"),
        ("parts", "part,type,unit\nA-2,grease,g\n"),
        ("offers", "supplier,part,price,pack\nnear,A-2,7.00,100 g\nnear,A-2,9.00,500 g\n"),
    ];
    assert_eq!(bought(&planned(&tables)), ["near: 1 × A-2"]);
    let mut there = tables.to_vec();
    there.push(("stock", "part,quantity,bin\nA-2,3 g,tin\n"));
    let plan = planned(&there);
    assert!(plan.orders.is_empty() && plan.from_stock[0].as_needed);
}

#[test]
fn what_an_open_order_or_another_job_needs_is_not_promised_twice() {
    let stock = ("stock", "part,quantity,bin\nA-2,1,tin\nB-1,3,tin\n");
    let open = (
        "orders",
        "order,date,supplier,part,packs,machine,job\n2026-01,2026-11-01,near,B-1,1,motor,other\n",
    );
    let plan = planned(&[stock, open]);
    assert_eq!(from_shelf(&plan), ["3 × B-1 of tin"], "A-2 is for the other job");
    let done = ("worklog", "date,machine,job\n2026-11-20,motor,other\n");
    let plan = planned(&[stock, open, done]);
    assert_eq!(from_shelf(&plan), ["1 × A-2 of tin", "3 × B-1 of tin"]);
    let mut keep = ask("reseal", "motor");
    keep.keep_for.push(Spoken::job(Key::new("motor"), Key::new("other")));
    let plan = run(&keep, &catalog(&[stock])).expect("a plan").plan;
    assert_eq!(from_shelf(&plan), ["3 × B-1 of tin"]);
}

#[test]
fn an_order_keeps_on_the_shelf_what_was_renewed_put_instead_or_used_again_with_it() {
    let stock = ("stock", "part,quantity,bin\nA-2,1,tin\nB-1,3,tin\n");
    let header = "order,date,supplier,part,packs,machine,job,renew,reuse,instead\n";
    let lines =
        ("job_lines", "job,position\nreseal,seat\nreseal,cover\nother,\nthird,seat\nthird,cover\n");
    let jobs = ("jobs", "job\nreseal\nother\nthird\n");
    let left_for = |row: &str| {
        let orders = format!("{header}2026-01,2026-11-01,near,S-1,1,motor,{row}\n");
        let tables = [stock, lines, jobs, ("orders", orders.as_str())];
        from_shelf(&run(&ask("reseal", "motor"), &catalog(&tables)).expect("a plan").plan)
    };
    assert_eq!(left_for("other,,,"), ["1 × A-2 of tin", "3 × B-1 of tin"]);
    assert_eq!(left_for("other,cover,,"), ["1 × A-2 of tin"], "renewed besides the job");
    assert_eq!(left_for(",seat,,"), ["3 × B-1 of tin"], "renewed without any job");
    assert_eq!(left_for("third,,,"), [] as [&str; 0]);
    assert_eq!(left_for("third,,,seat=S-1"), ["1 × A-2 of tin"], "another part goes there");
}

#[test]
fn jobs_ordered_in_one_go_share_what_both_call_for() {
    let jobs = ("jobs", "job\nreseal\nother\nthird\n");
    let lines = ("job_lines", "job,position\nreseal,seat\nother,seat\nother,cover\nthird,seat\n");
    let stock = ("stock", "part,quantity,bin\nA-2,2,tin\n");
    let orders = (
        "orders",
        "order,date,supplier,part,packs,machine,job,jobs\n2026-01,2026-11-01,near,B-1,3,motor,other,other;third\n",
    );
    let plan = planned(&[jobs, lines, stock, orders]);
    assert_eq!(from_shelf(&plan), ["1 × A-2 of tin"], "one of the two is for both other jobs");
    let done = ("worklog", "date,machine,job\n2026-11-20,motor,other\n");
    assert_eq!(
        from_shelf(&planned(&[
            jobs,
            lines,
            ("stock", "part,quantity,bin\nA-2,1,tin\n"),
            orders,
            done
        ])),
        [] as [&str; 0]
    );
}

#[test]
fn what_came_to_nothing_is_said() {
    let mut held = ask("reseal", "motor");
    held.held = vec![
        (PartNumber::new("A2").expect("a number"), Quantity::ONE),
        (PartNumber::new("Q-9").expect("a number"), Quantity::ONE),
    ];
    held.terms.rates = vec![Rate { currency: "ZZZ".into(), worth: dec("2") }];
    let offers = ("offers", "supplier,part,price,as_of\nnear,B-1,1.00,\n");
    let said = run(&held, &catalog(&[offers])).expect("a plan").remarks.join("\n");
    assert!(
        said.contains(
            "Q-9, which you hold, is of no use to this order (it is not in the table parts)"
        ),
        "{said}"
    );
    assert!(
        said.contains("in ZZZ") && said.contains("one price has no date") && !said.contains("A-2"),
        "{said}"
    );
}

#[test]
fn what_is_on_its_way_for_the_same_job_is_not_ordered_again() {
    let open = (
        "orders",
        "order,date,supplier,part,packs,machine,job\n2026-01,2026-11-01,near,A-2,1,motor,reseal\n",
    );
    let plan = planned(&[open]);
    assert_eq!(plan.on_the_way.len(), 1);
    assert_eq!(bought(&plan), ["far: 1 × B-1"]);
}

#[test]
fn the_terms_keep_suppliers_out_and_say_so_where_something_is_missing() {
    let offers = ("offers", "supplier,part,price\nnear,A-2,4.00\nfar,B-1,1.00\n");
    let catalog = catalog(&[offers]);
    let mut fast = ask("reseal", "motor");
    fast.terms.max_days = Some(dec("5"));
    let plan = run(&fast, &catalog).expect("a plan").plan;
    assert_eq!(bought(&plan), ["near: 1 × A-2"]);
    assert_eq!((plan.unsourced[0].part.as_str(), plan.unsourced[0].quantity), ("B-1", dec("3")));
    assert_eq!(plan.unsourced[0].near[0].why, "far has it, but takes 9 days");
    let mut few = ask("reseal", "motor");
    few.terms.at_most = Some(1);
    assert_eq!(run(&few, &catalog).expect_err("too few"), Refused::TooFew { at_most: 1, takes: 2 });
    let mut only = ask("reseal", "motor");
    only.terms.only = vec![Key::new("nera")];
    let refused = run(&only, &catalog).expect_err("no such supplier").to_string();
    assert!(refused.contains("did you mean 'near'?"), "{refused}");
}

#[test]
fn currencies_are_not_mixed_unless_a_rate_is_given() {
    let suppliers =
        ("suppliers", "supplier,currency,shipping,free_from\nnear,EUR,5.00,\nfar,USD,3.00,5.00\n");
    let catalog = catalog(&[suppliers]);
    let mut mixed = ask("reseal", "motor");
    let refused = run(&mixed, &catalog).expect_err("mixed").to_string();
    assert!(refused.contains("EUR (near), USD (far)") && refused.contains("--rate"), "{refused}");
    mixed.terms.rates = vec![Rate { currency: "usd".into(), worth: dec("0.915") }];
    let plan = run(&mixed, &catalog).expect("a plan").plan;
    // 3.00 and 2.50 come to 2.75 and 2.29, and 5.50 dollars of goods make the parcel free.
    assert_eq!((plan.currency.as_str(), plan.total), ("EUR", dec("5.04")));
    adds_up(&plan);
}

fn demo() -> Memory {
    read_folder(Path::new("demo")).expect("the demo").catalog()
}

#[test]
fn the_demo_buys_the_gasket_set_for_one_job_and_not_for_another() {
    let catalog = demo();
    for (job, with_set) in
        [("gearcase-seals", true), ("propeller-shaft-seals", false), ("cooling-pump", false)]
    {
        let mut ask = ask(job, "dinghy");
        ask.compare = true;
        let ordered = run(&ask, &catalog).expect("a plan");
        adds_up(&ordered.plan);
        let set = bought(&ordered.plan).iter().any(|line| line.ends_with("TV-1490-00"));
        assert_eq!(set, with_set, "{job}");
        let compare = ordered.compare.expect("asked for");
        assert!(compare.singles.is_none_or(|singles| singles >= compare.sets));
        let totals: Vec<Decimal> =
            compare.by_suppliers.iter().filter_map(|best| best.total).collect();
        assert!(totals.is_sorted_by(|a, b| a >= b), "more suppliers never cost more: {totals:?}");
    }
}

#[test]
fn every_total_of_the_demo_is_the_sum_of_what_is_printed() {
    let catalog = demo();
    for job in [
        "annual-service",
        "impeller",
        "thermostat",
        "carburettor-clean",
        "starter-rope",
        "tilt-bracket",
    ] {
        let mut ask = ask(job, "dinghy");
        ask.if_worn = true;
        let ordered = run(&ask, &catalog).expect("a plan");
        adds_up(&ordered.plan);
        adds_up(&ordered.if_worn.expect("asked for"));
    }
}

#[test]
fn the_demo_takes_washers_by_ten_and_oil_in_the_bottle_that_the_amount_calls_for() {
    let catalog = demo();
    let lines = |ask: &OrderAsk| {
        let plan = run(ask, &catalog).expect("a plan").plan;
        let lines = plan.orders.into_iter().flat_map(|parcel| parcel.lines);
        lines.map(|line| {
            (
                line.part,
                line.packs.to_string(),
                Quantity::new(line.pack, line.pack_unit).to_string(),
            )
        })
    };
    let of = |ask: &OrderAsk, part: &str| -> Vec<String> {
        lines(ask)
            .filter(|line| line.0 == part)
            .map(|(_, packs, pack)| format!("{packs} × {pack}"))
            .collect()
    };
    let service = ask("annual-service", "dinghy");
    assert_eq!(
        of(&service, "91-2314"),
        ["1 × 10"],
        "one sump washer is wanted, ten cost less than the parcel saves"
    );
    // 150 ml lie on the shelf: the rest comes in the small bottle. Kept for the service, all of it comes in the large one.
    let mut seals = ask("gearcase-seals", "dinghy");
    assert_eq!(of(&seals, "90-5001"), ["1 × 250 ml"]);
    seals.keep_for.push(Spoken::job(Key::new("dinghy"), Key::new("annual-service")));
    assert_eq!(of(&seals, "90-5001"), ["1 × 1 L"]);
}
