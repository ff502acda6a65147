//! Small cases, each with the sentence it holds the solver to as its name.

use super::cells::part_key;
use super::scope::{Applies, Scope, View};
use super::*;

/// Tables as a person would type them: a name, a header, rows; `|` stands between cells.
fn catalog(tables: &[(&str, &str)]) -> Tables {
    let mut catalog = Tables::new();
    let common = [
        (
            "machines",
            "machine | model | year | serial | traits\nold hand | alder | 2000 | B2500 | EU\nneighbour | alder | | |",
        ),
        (
            "types",
            "type | also_called | when_disturbed | seals\nring | round seal | renew | yes\nbolt | | keep |",
        ),
        ("jobs", "job\nreseal"),
    ];
    for (table, text) in common.iter().chain(tables) {
        let mut lines = text.lines();
        let header: Vec<&str> = lines.next().unwrap().split('|').map(str::trim).collect();
        let rows = lines.map(|line| {
            let cells = line.split('|').map(|cell| cell.trim().to_string());
            header.iter().map(|column| (*column).to_string()).zip(cells).collect()
        });
        catalog.entry((*table).to_string()).or_default().extend(rows);
    }
    catalog
}

fn kit_with(tables: &[(&str, &str)], options: &[&str]) -> Value {
    let ask = Ask {
        machine: "OLD HAND".into(),
        jobs: vec!["Reseal".into()],
        options: options.iter().map(|option| (*option).to_string()).collect(),
    };
    solve(&catalog(tables), &ask).unwrap()
}

fn kit(tables: &[(&str, &str)]) -> Value {
    kit_with(tables, &[])
}

fn gaps(kit: &Value) -> Vec<String> {
    let gap = |gap: &Value| {
        format!("{} {}", gap["kind"].as_str().unwrap(), gap["subject"].as_str().unwrap())
    };
    kit["gaps"].as_array().unwrap().iter().map(gap).collect()
}

/// `part quantity role` of each line.
fn lines(kit: &Value) -> Vec<String> {
    let line = |line: &Value| {
        format!(
            "{} {} {} {}",
            line["part"].as_str().unwrap(),
            line["quantity"],
            line["unit"].as_str().unwrap(),
            line["role"].as_str().unwrap()
        )
    };
    kit["lines"].as_array().unwrap().iter().map(line).collect()
}

fn position<'a>(kit: &'a Value, position: &str) -> &'a Value {
    let positions = kit["positions"].as_array().unwrap();
    positions.iter().find(|row| row["position"] == position).unwrap()
}

/// The final parts as `chain factor`, and the gaps.
fn resolved(supersessions: &str, part: &str) -> (Vec<String>, Vec<Gap>) {
    let tables = catalog(&[("supersessions", supersessions)]);
    let solver = Solver::new(&tables, "old hand").unwrap();
    let resolved = solver.resolve_in_earnest(&solver.catalog.own_view, &part_key(part));
    let finals = resolved
        .finals
        .iter()
        .map(|last| format!("{} {}", last.chain.join(">"), last.factor().normalize()))
        .collect();
    (finals, solver.gaps.into_inner().into_iter().collect())
}

/// What sits at the port ring by the log, and what the log leaves open; the position lists four of part A.
fn sits(supersessions: &str, log: &str) -> (Vec<String>, bool) {
    let log = format!("date | position | part | quantity\n{log}");
    let mut tables = catalog(&[
        ("supersessions", supersessions),
        ("positions", "position | part | quantity\nport ring | A | 4"),
        ("worklog", &log),
    ]);
    for row in tables.get_mut("worklog").unwrap() {
        row.insert("machine".into(), "old hand".into());
    }
    let solver = Solver::new(&tables, "old hand").unwrap();
    let current = solver.current(&"port ring".to_string()).sits;
    let shown = current.iter().map(|sits| {
        format!("{} {}", sits.quantity.number.normalize(), sits.fitted.part().unwrap())
    });
    (shown.collect(), solver.log_is_not_settled(&"port ring".to_string()))
}

fn applies(machine: &[(&str, &str)], row: &[(&str, &str)]) -> Applies {
    let of = |cells: &[(&str, &str)]| -> Row {
        cells.iter().map(|(c, t)| ((*c).to_string(), (*t).to_string())).collect()
    };
    let common = [
        ("model", "alder"),
        ("year", "2000"),
        ("serial", "B2500"),
        ("traits", "EU; not cover; shaft=long"),
    ];
    let all: Vec<(&str, &str)> = common.into_iter().chain(machine.iter().copied()).collect();
    View::of_machine(&of(&all)).unwrap().judge(&Scope::read(&of(row)).unwrap())
}

#[test]
fn an_excluded_limit_outweighs_one_that_cannot_be_judged() {
    assert_eq!(applies(&[], &[]), Applies::Yes);
    assert_eq!(applies(&[], &[("years", "1998; 2000..")]), Applies::Yes);
    assert_eq!(applies(&[], &[("years", "-1999")]), Applies::No);
    assert_eq!(applies(&[], &[("serials", "..B2500")]), Applies::Yes);
    assert_eq!(applies(&[], &[("serials", "B2501-")]), Applies::No);
    assert_eq!(applies(&[], &[("serials", "0G1-0G9")]), Applies::Unsure);
    assert_eq!(applies(&[], &[("serials", "B1-B9A")]), Applies::Unsure);
    assert_eq!(applies(&[("serial", "b 2500 a")], &[("serials", "B1A..B9000A")]), Applies::Yes);
    assert_eq!(applies(&[], &[("serials", "0G1-"), ("model", "birch")]), Applies::No);
    assert_eq!(applies(&[("year", "")], &[("years", "-1999")]), Applies::Unsure);
}

#[test]
fn a_trait_that_the_machine_names_neither_way_is_unsure() {
    for (only, wanted) in [
        ("eu", Applies::Yes),
        ("not E-U", Applies::No),
        ("cover", Applies::No),
        ("Not Cover", Applies::Yes),
        ("eu; carb", Applies::Unsure),
        ("not eu; carb", Applies::No),
        ("shaft = long", Applies::Yes),
        ("shaft=short", Applies::No),
        ("not shaft=short", Applies::Yes),
        ("gear=short", Applies::Unsure),
    ] {
        assert_eq!(applies(&[], &[("only", only)]), wanted, "{only}");
    }
    assert_eq!(applies(&[("traits", "")], &[("only", "not EU")]), Applies::Unsure);
}

#[test]
fn an_assembly_from_another_model_leaves_year_and_serial_unknown() {
    let tables = catalog(&[(
        "assemblies",
        "machine | assembly | model | year | serial\nold hand | Leg | birch | |\nold hand | head | | 1990 |\nold hand | pump | | | C7",
    )]);
    let solver = Solver::new(&tables, "old hand").unwrap();
    let judge = |assembly: &str, column: &str, text: &str| {
        let row = Row::from([(column.to_string(), text.to_string())]);
        solver.catalog.view_of_assembly(assembly).judge(&Scope::read(&row).unwrap())
    };
    assert_eq!(judge("leg", "model", "alder"), Applies::No);
    assert_eq!(judge("leg", "years", "2000"), Applies::Unsure);
    assert_eq!(judge("leg", "serials", "B1.."), Applies::Unsure);
    assert_eq!(judge("head", "years", "1990"), Applies::Yes);
    assert_eq!(judge("head", "serials", "B1.."), Applies::Unsure);
    assert_eq!(judge("pump", "years", "2000"), Applies::Yes);
    assert_eq!(judge("pump", "serials", "C1..C7"), Applies::Yes);
    assert_eq!(judge("pump", "only", "EU"), Applies::Yes);
    assert_eq!(judge("sump", "serials", "B1.."), Applies::Yes);
}

#[test]
fn part_numbers_compare_without_case_and_punctuation() {
    assert_eq!(part_key("ab-1 0.2/3"), part_key("AB1023"));
}

#[test]
fn units_of_one_kind_convert() {
    let quantity = Quantity::read("0.35 L").unwrap();
    assert!(quantity.is_as_much_as(&Quantity::read("350ml").unwrap()));
    assert!(quantity.number_in("kg").is_none());
    assert_eq!(Quantity::read("3").unwrap().unit, "each");
}

#[test]
fn quantities_multiply_along_the_chain() {
    let (finals, gaps) = resolved("old | new | quantity\na | b | 2\nb | c | 0.5", "A");
    assert_eq!(finals, ["a>b>c 1"]);
    assert!(gaps.is_empty());
}

#[test]
fn an_unsure_replacement_is_not_followed_and_named() {
    let (finals, gaps) = resolved("old | new | serials\na | b |\nb | c | Z1-Z9", "a");
    assert_eq!(finals, ["a>b 1"]);
    assert_eq!(gaps, [("not-settled", "b".to_string())]);
}

#[test]
fn the_narrowest_replacement_wins_then_the_latest_then_the_first() {
    let narrow = "old | new | since | model\na | b | 2009-01-01 |\na | c | | alder";
    assert_eq!(resolved(narrow, "a"), (vec!["a>c 1".to_string()], vec![]));
    let late = "old | new | since\na | b |\na | c | 2001";
    assert_eq!(resolved(late, "a"), (vec!["a>c 1".to_string()], vec![]));
    let tie = "old | new | since\na | b | 2001\na | c | 2001";
    let (finals, gaps) = resolved(tie, "a");
    assert_eq!(finals, ["a>b 1"]);
    assert_eq!(gaps, [("choice", "a".to_string())]);
}

#[test]
fn a_group_counts_with_its_narrowest_row() {
    let rows = "old | new | together | model | since\na | b | pair | | \na | d | | | 2020\na | c | PAIR | alder |";
    assert_eq!(resolved(rows, "a").0, ["a>b 1", "a>c 1"]);
}

#[test]
fn a_loop_ends_before_the_repeat_and_is_named_by_its_beginning() {
    let (finals, gaps) = resolved("old | new\na | b\nb | a", "a");
    assert_eq!(finals, ["a>b 1"]);
    assert_eq!(gaps, [("supersession-cycle", "a".to_string())]);
    assert_eq!(resolved("old | new\na | a", "a").0, ["a 1"]);
}

#[test]
fn a_group_that_repeats_twice_ends_once_and_the_others_go_on() {
    let rows = "old | new | together | quantity\na | b | | 3\nb | c | |\nc | a | g | 5\nc | b | g |\nc | d | g | 2";
    let (finals, gaps) = resolved(rows, "a");
    assert_eq!(finals, ["a>b>c 3", "a>b>c>d 6"]);
    assert_eq!(gaps, [("supersession-cycle", "a".to_string())]);
}

#[test]
fn a_part_that_stays_in_its_group_is_a_final_part() {
    let (finals, gaps) = resolved("old | new | together\na | a | g\na | b | g", "a");
    assert_eq!(finals, ["a 1", "a>b 1"]);
    assert!(gaps.is_empty());
}

const ONE_RING: &[(&str, &str)] = &[
    ("parts", "part | type | single_use | status | unit\nR-1 | ring\nR-2 | ring\nB-1 | bolt"),
    (
        "positions",
        "position | part | quantity | joint\nport ring | R1 | 2 | port\nport bolt | B-1 | 4 | port",
    ),
    ("operations", "operation | opens\nopen port | port"),
    ("job_lines", "job | operation\nreseal | open port"),
];

fn more<'a>(tables: &[(&'a str, &'a str)]) -> Vec<(&'a str, &'a str)> {
    ONE_RING.iter().copied().chain(tables.iter().copied()).collect()
}

#[test]
fn opening_a_joint_renews_what_is_single_use_and_keeps_the_rest() {
    let kit = kit(ONE_RING);
    assert_eq!(gaps(&kit), [""; 0]);
    assert_eq!(kit["complete"], true);
    assert_eq!(lines(&kit), ["R-1 2 each single-use"]);
    assert_eq!(position(&kit, "port bolt")["action"], "keep");
    assert_eq!(position(&kit, "port bolt")["role"], Value::Null);
    assert_eq!(kit["joints"], json!(["port"]));
}

#[test]
fn the_latest_date_in_the_log_says_what_is_fitted_row_by_row() {
    let kit = kit(&more(&[(
        "worklog",
        "date | machine | position | part | quantity\n\
         | old hand | port ring | R-1 |\n\
         2010 | Old Hand | Port Ring | r 2 | 1\n\
         2010 | old hand | port ring | R-1 |\n\
         2011 | old hand | port ring | |\n\
         2012 | neighbour | port ring | - |",
    )]));
    assert_eq!(position(&kit, "port ring")["current"], "R-2;R-1");
    assert_eq!(lines(&kit), ["R-1 2 each single-use", "R-2 1 each single-use"]);
}

#[test]
fn what_was_taken_out_for_good_is_not_disturbed_and_leaves_the_joint_unsealed() {
    let kit = kit(&more(&[(
        "worklog",
        "date | machine | position | part\n2010 | old hand | port ring | -\n2010 | old hand | port ring | R-1",
    )]));
    assert_eq!(position(&kit, "port ring")["current"], "R-1", "the row after it counts");
    let kit = self::kit(&more(&[(
        "worklog",
        "date | machine | position | part\n2010 | old hand | port ring | R-1\n2010 | old hand | port ring | -",
    )]));
    assert_eq!(kit["positions"].as_array().unwrap().len(), 1);
    assert_eq!(gaps(&kit), ["joint-unsealed port"]);
}

#[test]
fn a_dry_joint_needs_no_seal() {
    let kit = kit(&more(&[
        ("joints", "joint | dry\nport | yes"),
        ("worklog", "date | machine | position | part\n2010 | old hand | port ring | -"),
    ]));
    assert_eq!(gaps(&kit), [""; 0]);
}

#[test]
fn rows_that_disagree_are_named_unless_the_log_settles_the_position() {
    let overlapping = more(&[(
        "positions",
        "position | part | quantity | joint | serials\nport ring | R-2 | 2 | port |\nport bolt | B-1 | 3 | port | Z1-",
    )]);
    assert_eq!(gaps(&kit(&overlapping)), ["not-settled port bolt", "overlap port ring"]);
    let mut settled = overlapping.clone();
    settled.push((
        "worklog",
        "date | machine | position | part | quantity\n | old hand | port ring | R-1 |\n | old hand | port bolt | B-1 | 4",
    ));
    assert_eq!(gaps(&kit(&settled)), [""; 0]);
}

#[test]
fn what_cannot_be_judged_is_renewed_and_named() {
    let kit = kit(&more(&[
        ("parts", "part | type\nX-1 | doohickey\nY-1 | Round Seal"),
        (
            "positions",
            "position | part | joint\np1 | X-1 | port\np2 | | port\np3 | Y-1 | port\np4 | Q-1 | port",
        ),
    ]));
    assert_eq!(gaps(&kit), ["part-unknown p2", "part-unknown p4", "rule-unknown p1"]);
    for renewed in ["p1", "p2", "p3", "p4"] {
        assert_eq!(position(&kit, renewed)["action"], "renew");
    }
    assert_eq!(position(&kit, "p2")["current"], "");
}

#[test]
fn a_part_not_in_parts_is_judged_as_what_it_became() {
    let kit = kit(&more(&[
        ("positions", "position | part | joint\np1 | Q-1 | port"),
        ("supersessions", "old | new\nQ-1 | B-1"),
    ]));
    assert_eq!(gaps(&kit), [""; 0]);
    assert_eq!(position(&kit, "p1")["action"], "keep");
}

#[test]
fn a_target_must_be_listed_or_declared_to_fit() {
    let line = ("job_lines", "job | position | part\nreseal | port ring | R-2");
    assert_eq!(gaps(&kit(&more(&[line]))), ["fit-unknown port ring"]);
    let declared = ("retrofits", "part | position | verdict\nR-2 | port ring | fits");
    assert_eq!(gaps(&kit(&more(&[line, declared]))), [""; 0]);
    let later = ("supersessions", "old | new\nR-1 | R-2");
    assert_eq!(gaps(&kit(&more(&[line, later]))), [""; 0]);
    let refused = ("retrofits", "part | position | verdict\nR-2 | port ring | no");
    assert_eq!(gaps(&kit(&more(&[line, declared, refused]))), ["does-not-fit port ring"]);
}

#[test]
fn a_retrofit_row_speaks_for_what_replaced_its_part() {
    let kit = kit(&more(&[
        ("job_lines", "job | position | part\nreseal | port ring | R-2"),
        ("supersessions", "old | new\nR-0 | R-2"),
        (
            "retrofits",
            "part | position | verdict | needs | operations\nR-0 | port ring | fits-with | port bolt=B-2*3 | open port; flush",
        ),
        ("operations", "operation\nflush"),
        ("worklog", "date | machine | operation\n2001 | old hand | FLUSH"),
        ("parts", "part | type\nB-2 | bolt"),
    ]));
    assert_eq!(gaps(&kit), [""; 0]);
    assert_eq!(lines(&kit), ["B-2 3 each companion", "R-2 2 each new"]);
    assert_eq!(kit["operations"], json!([{"operation": "open port", "phase": "strip"}]));
}

#[test]
fn what_a_row_needs_may_be_there_already() {
    let kit = kit(&more(&[
        (
            "supersessions",
            "old | new | needs\nR-1 | R-2 | port bolt=B-0; port ring 9=-\nB-0 | B-1 |",
        ),
        ("positions", "position | part\nport ring 9 | -"),
    ]));
    assert_eq!(gaps(&kit), [""; 0]);
    assert_eq!(position(&kit, "port bolt")["action"], "keep");
    assert_eq!(lines(&kit), ["R-2 2 each single-use"]);
}

#[test]
fn two_targets_of_one_chain_agree_and_others_conflict() {
    let lines_of =
        ("job_lines", "job | position | part\nreseal | port ring | R-1\nreseal | port ring | R-2");
    assert!(gaps(&kit(&more(&[lines_of]))).contains(&"conflict port ring".to_string()));
    let chain = ("supersessions", "old | new\nR-1 | R-2");
    assert_eq!(gaps(&kit(&more(&[lines_of, chain]))), [""; 0]);
}

#[test]
fn a_position_is_not_both_renewed_and_left_empty() {
    let kit = kit(&more(&[(
        "job_lines",
        "job | position | part\nreseal | port ring | -\nreseal | port ring |",
    )]));
    assert_eq!(gaps(&kit), ["conflict port ring"]);
    assert_eq!(position(&kit, "port ring")["action"], "leave-out");
}

#[test]
fn an_option_may_be_asked_for_or_ruled_out() {
    let rows = more(&[(
        "job_lines",
        "job | option | position\nreseal | Winter | port bolt\nreseal | not winter | port ring",
    )]);
    assert_eq!(lines(&kit(&rows)), ["R-1 2 each new"]);
    assert_eq!(lines(&kit_with(&rows, &["winter"])), ["B-1 4 each new", "R-1 2 each single-use"]);
}

#[test]
fn a_cycle_is_broken_at_the_earliest_that_needs_itself() {
    let kit = kit(&[
        ("operations", "operation | needs\nwaits | one\none | two\ntwo | one\nown | own"),
        ("job_lines", "job | operation\nreseal | waits\nreseal | own"),
    ]);
    assert_eq!(gaps(&kit), ["operation-cycle one", "operation-cycle own"]);
    let order: Vec<&str> = kit["operations"]
        .as_array()
        .unwrap()
        .iter()
        .map(|row| row["operation"].as_str().unwrap())
        .collect();
    assert_eq!(order, ["one", "waits", "two", "own"]);
}

#[test]
fn a_need_that_this_machine_does_not_have_is_skipped_but_an_unwritten_one_is_named() {
    let kit = kit(&[
        ("operations", "operation | needs | model\nopen | lift; phantom |\nlift | | birch"),
        ("job_lines", "job | operation\nreseal | open"),
    ]);
    assert_eq!(gaps(&kit), ["operation-unknown phantom"]);
}

#[test]
fn a_set_is_bought_once_for_all_that_name_it() {
    let kit = kit(&more(&[
        ("parts", "part | type\nS-1 | ring"),
        (
            "positions",
            "position | part | quantity | joint\np1 | S-1 | set | port\np2 | S-1 | set | port\np3 | S-1 | 2 | port",
        ),
    ]));
    assert_eq!(lines(&kit), ["R-1 2 each single-use", "S-1 3 each single-use"]);
}

#[test]
fn what_comes_with_a_part_is_not_ordered_again() {
    let kit = kit(&more(&[
        ("parts", "part | type\nK-1 | bolt\nK-2 | bolt\nR-3 | ring"),
        ("positions", "position | part | joint\np1 | R-3 | port"),
        ("job_lines", "job | part | quantity\nreseal | K-1 | 1"),
        (
            "contains",
            "part | contains | quantity | position\nK-1 | K-2 | 1 |\nK-2 | R-1 | 1 |\nK-2 | R-2 | 5 | p1\nK-2 | K-1 | 1 |",
        ),
    ]));
    assert_eq!(gaps(&kit), [""; 0]);
    assert_eq!(lines(&kit), ["K-1 1 each new", "R-1 1 each single-use"]);
    assert_eq!(
        position(&kit, "p1")["covered"],
        json!([{"by": "K-2", "part": "R-2", "quantity": 1}])
    );
}

#[test]
fn an_earlier_number_in_the_box_serves_only_if_nothing_more_is_needed_to_fit_the_later_one() {
    let boxed = [
        ("job_lines", "job | part\nreseal | K-1"),
        ("parts", "part | type\nK-1 | bolt"),
        ("contains", "part | contains | quantity\nK-1 | R-1 | 2"),
    ];
    let free = [("supersessions", "old | new\nR-1 | R-2")];
    let bound = [("supersessions", "old | new | needs\nR-1 | R-2 | port bolt")];
    let with_free: Vec<_> = boxed.iter().chain(&free).copied().collect();
    let with_bound: Vec<_> = boxed.iter().chain(&bound).copied().collect();
    assert_eq!(lines(&kit(&more(&with_free))), ["K-1 1 each new"]);
    assert_eq!(
        lines(&kit(&more(&with_bound))),
        ["B-1 4 each companion", "K-1 1 each new", "R-2 2 each single-use"]
    );
}

#[test]
fn consumables_add_up_in_the_unit_of_the_part() {
    let kit = kit(&[
        ("parts", "part | type | unit | status\nOIL | | L |\nGOO | | | discontinued"),
        (
            "operations",
            "operation | uses\nfill | oil=350 ml; goo=as-needed\ntop up | OIL=0.15 L; tape=1 m",
        ),
        ("job_lines", "job | operation\nreseal | fill\nreseal | top up"),
    ]);
    assert_eq!(
        lines(&kit),
        ["GOO 0 each consumable", "OIL 0.5 L consumable", "tape 1 m consumable"]
    );
    assert_eq!(gaps(&kit), ["discontinued GOO", "part-unknown tape"]);
}

#[test]
fn a_job_that_does_not_apply_is_refused() {
    let tables = catalog(&[("jobs", "job | model\nrepower | birch")]);
    let ask = |machine: &str, job: &str| Ask {
        machine: machine.into(),
        jobs: vec![job.into()],
        options: Vec::new(),
    };
    assert!(solve(&tables, &ask("old hand", "reseal")).is_ok());
    assert!(solve(&tables, &ask("old hand", "repower")).is_err());
    assert!(solve(&tables, &ask("old hand", "nothing")).is_err());
    assert!(solve(&tables, &ask("nobody's", "reseal")).is_err());
}

#[test]
fn only_a_name_that_no_table_and_no_log_knows_is_an_unknown_position() {
    let kit = kit(&more(&[
        ("operations", "operation | removes\nstrip | stay; ghost; theirs"),
        ("job_lines", "job | operation\nreseal | strip"),
        (
            "worklog",
            "date | machine | position | part\n | old hand | stay | B-1\n | neighbour | theirs | B-1",
        ),
    ]));
    assert_eq!(gaps(&kit), ["position-unknown ghost"]);
    assert_eq!(position(&kit, "stay")["action"], "keep");
}

#[test]
fn part_of_q_takes_the_place_of_that_many_the_earliest_first() {
    let (sits, _) = self::sits("old | new", "2001 | port ring | B | 2\n2002 | port ring | C | 1");
    assert_eq!(sits, ["1 a", "2 b", "1 c"]);
}

#[test]
fn a_whole_part_takes_the_place_of_earlier_dates_and_stands_beside_its_own() {
    let log = "| port ring | B |\n2001 | port ring | C |\n2001-02-03 | port ring | D | 2\n20010203 | port ring | E |";
    assert_eq!(sits("old | new", log), (vec!["2 d".into(), "4 e".into()], false));
    let two = "2001 | port ring | B |\n2001 | port ring | C |";
    assert_eq!(sits("old | new", two), (vec!["4 b".into(), "4 c".into()], true));
    let group = "old | new | together | quantity\nA | B | g |\nA | C | g | 0.5";
    assert_eq!(sits(group, two), (vec!["4 b".into(), "2 c".into()], false));
}

#[test]
fn a_logged_part_counts_by_its_chain_and_brings_the_others_of_its_replacement() {
    let group = "old | new | together | quantity\nA | A2 | | 2\nA2 | B | g |\nA2 | C | g | 0.5";
    assert_eq!(sits(group, "2001 | port ring | A2 |").0, ["8 a2"]);
    assert_eq!(sits(group, "2001 | port ring | B |").0, ["8 b", "4 c"]);
    assert_eq!(sits(group, "2001 | port ring | B | 1").0, ["3 a", "1 b"]);
}

#[test]
fn what_a_fitted_part_calls_for_counts_as_logged() {
    let kit = kit(&more(&[
        ("parts", "part | type\nB-2 | bolt\nR-9 | ring"),
        ("positions", "position | part\nstud | B-1"),
        ("worklog", "date | machine | position | part\n2001 | old hand | stud | B-2"),
        ("retrofits", "part | position | verdict | needs\nB-2 | stud | fits-with | port ring=R-9"),
    ]));
    assert_eq!(lines(&kit), ["R-9 2 each single-use"]);
}

#[test]
fn what_was_asked_for_is_settled_first() {
    // The bolt would be renewed for want of a part, if the ring had not called for one.
    let kit = kit(&more(&[
        ("positions", "position | part | joint\nstud | | port"),
        ("job_lines", "job | position | part\nreseal | port ring | R-2"),
        ("retrofits", "part | position | verdict | needs\nR-2 | port ring | fits-with | stud=B-1"),
    ]));
    assert_eq!(gaps(&kit), [""; 0]);
    assert_eq!(lines(&kit), ["B-1 1 each companion", "R-2 2 each new"]);
}

#[test]
fn what_a_renewed_part_carries_is_renewed_though_its_type_would_keep_it() {
    let kit = kit(&more(&[(
        "positions",
        "position | part | joint | carried_by | torque\npin | B-1 | | port ring |\nhead bolt | B-1 | port | | 20 N·m; +90°\nplug | B-1 | | pin |",
    )]));
    assert_eq!(gaps(&kit), [""; 0]);
    assert_eq!(lines(&kit), ["B-1 3 each companion", "R-1 2 each single-use"]);
    assert_eq!(position(&kit, "head bolt")["role"], "single-use");
}

#[test]
fn a_target_on_a_chain_asks_for_the_whole_replacement() {
    let kit = kit(&more(&[
        ("supersessions", "old | new | together | quantity\nR-1 | R-2 | g | 2\nR-1 | B-1 | g |"),
        ("job_lines", "job | position | part | quantity\nreseal | port ring | R-2 | 3"),
    ]));
    assert_eq!(gaps(&kit), [""; 0]);
    assert_eq!(lines(&kit), ["B-1 2 each new", "R-2 3 each new"]);
}

#[test]
fn a_part_is_chosen_by_the_latest_reading() {
    let shim = |measurements: &str| {
        let measurements = format!("date | machine | position | feature | value{measurements}");
        self::kit(&more(&[
            ("parts", "part | type\nS-1 | ring\nS-2 | ring"),
            ("positions", "position | part | joint\nshim | S-1 | port"),
            (
                "selections",
                "position | feature | least | most | part\nshim | gap | | 1.5 | S-1\nshim | gap | 1.6 mm | | S-2",
            ),
            ("worklog", "date | machine | position | part\n2005-01-01 | old hand | shim | S-1"),
            ("measurements", &measurements),
        ]))
    };
    let kit = shim(
        "\n2005-01-01 | old hand | shim | gap | 1.5\n2005-01-01 | old hand | shim | gap | 1.7",
    );
    assert_eq!(lines(&kit), ["R-1 2 each single-use", "S-2 1 each single-use"]);
    for nothing in [
        "",
        "\n2004-12-31 | old hand | shim | gap | 1.5",
        "\n2006-01-01 | old hand | shim | gap | 1.55",
    ] {
        let kit = shim(nothing);
        assert_eq!(gaps(&kit), ["measure-first shim"], "{nothing}");
        assert_eq!(kit["measure_first"].as_array().unwrap().len(), 2);
    }
}

#[test]
fn look_first_is_a_gap_until_the_log_confirms_it() {
    let rows = [
        ("job_lines", "job | position | part\nreseal | port ring | R-2"),
        ("retrofits", "part | position | verdict\nR-2 | port ring | look-first"),
    ];
    assert_eq!(gaps(&kit(&more(&rows))), ["look-first port ring"]);
    let confirmed =
        ("worklog", "date | machine | position | confirms\n2001 | old hand | port ring | r2");
    assert_eq!(gaps(&kit(&more(&[rows[0], rows[1], confirmed]))), [""; 0]);
}

#[test]
fn what_does_not_add_up_is_named() {
    let way_in = more(&[
        (
            "positions",
            "position | part | joint | reached_by\nfar | B-1 | elsewhere |\nnear | B-1 | | -\nbare | B-1 | |",
        ),
        ("job_lines", "job | position\nreseal | far\nreseal | near\nreseal | bare"),
    ]);
    assert_eq!(gaps(&kit(&way_in)), ["way-in-unknown bare", "way-in-unknown far"]);
    let between = more(&[(
        "positions",
        "position | part | joint | years\nstud | B-1 | port | ..1999\nstud | B-1 | port | 2001..",
    )]);
    assert_eq!(gaps(&kit(&between)), ["between-rows stud"]);
    let foreign = |assembly: &str| {
        let positions = format!(
            "position | assembly | part | joint | model\nstud | leg | B-2 | | birch\nstud | leg | R-2 | | alder\ncap | {assembly} | B-1 | port |"
        );
        gaps(&kit(&more(&[
            ("positions", &positions),
            ("worklog", "date | machine | position | part\n2001 | old hand | stud | B-2"),
        ])))
    };
    assert_eq!(foreign("Leg"), ["foreign-part stud"]);
    assert_eq!(foreign("head"), [""; 0]);
}

#[test]
fn a_row_that_cannot_be_read_is_named_where_it_could_have_changed_the_kit() {
    let spoilt = more(&[
        (
            "positions",
            "position | part | joint | quantity\nport ring | R-2 | | many\nfar | R-2 | elsewhere | many\n| R-2 | |",
        ),
        ("operations", "operation | phase\nopen port | later\nclean | later"),
        ("job_lines", "job | quantity | position\nreseal | few | stud"),
        ("supersessions", "old | new | since\nR-1 | R-2 | lately\nR-2 | R-1 | lately"),
        (
            "worklog",
            "date | machine | position\nlately | old hand | port ring\n2999-01-01 | neighbour | port ring\n2001 | nobody | port ring",
        ),
        (
            "retrofits",
            "part | position | verdict\nR-1 | port ring | perhaps\nR-1 | port bolt | perhaps",
        ),
        ("joints", "joint | dry\nport | perhaps"),
    ]);
    assert_eq!(
        gaps(&kit(&spoilt)),
        [
            "unread R-1",
            "unread old hand",
            "unread open port",
            "unread port ring",
            "unread positions.csv:6",
            "unread reseal",
            "unread worklog.csv:4",
        ]
    );
}

#[test]
fn what_comes_after_is_last_and_so_is_what_needs_it() {
    let kit = kit(&[
        ("operations", "operation | needs | phase\nbleed | | after\nrun in | bleed |\nopen | |"),
        ("job_lines", "job | operation\nreseal | run in\nreseal | open"),
    ]);
    let order: Vec<String> = kit["operations"]
        .as_array()
        .unwrap()
        .iter()
        .map(|row| {
            format!("{} {}", row["operation"].as_str().unwrap(), row["phase"].as_str().unwrap())
        })
        .collect();
    assert_eq!(order, ["open strip", "bleed after", "run in after"]);
}

#[test]
fn a_joint_is_sealed_by_its_own_ring_if_it_is_alone_there_or_by_what_is_used() {
    let types = ("types", "type | when_disturbed | seals\nplug ring | renew | own\npaste | | yes");
    let own = |more: &[(&str, &str)]| {
        let rows: Vec<(&str, &str)> = [
            types,
            ("parts", "part | type\nP-1 | plug ring\nB-1 | bolt\nPASTE | paste"),
            ("positions", "position | part | joint\nplug | P-1 | hole"),
            ("job_lines", "job | operation\nreseal | drain"),
        ]
        .into_iter()
        .chain(more.iter().copied())
        .collect();
        gaps(&kit(&rows))
    };
    let drain = ("operations", "operation | removes\ndrain | plug");
    assert_eq!(own(&[drain]), [""; 0]);
    let stud = ("positions", "position | part | joint\nstud | B-1 | hole");
    assert_eq!(own(&[drain, stud]), ["joint-unsealed hole"]);
    let pasted = ("operations", "operation | removes | uses\ndrain | plug | paste=as-needed");
    assert_eq!(own(&[pasted, stud]), [""; 0]);
}

#[test]
fn what_is_discontinued_is_a_gap_only_where_something_remains_and_nothing_equals_it() {
    let parts = ("parts", "part | type | status\nR-3 | ring | discontinued\nR-4 | ring |");
    let positions = ("positions", "position | part | joint\nstud | R-3 | port");
    assert_eq!(gaps(&kit(&more(&[parts, positions]))), ["discontinued R-3"]);
    let equivalent = ("equivalents", "part | other\nR-4 | R-3");
    assert_eq!(gaps(&kit(&more(&[parts, positions, equivalent]))), [""; 0]);
    let kit_of = ("contains", "part | contains\nR-1 | R-3");
    assert_eq!(gaps(&kit(&more(&[parts, positions, kit_of]))), [""; 0]);
    let withdrawn = ("parts", "part | type | status\nR-3 | ring | withdrawn");
    assert_eq!(gaps(&kit(&more(&[withdrawn, positions, kit_of]))), ["withdrawn R-3"]);
}

#[test]
fn a_provider_that_is_covered_afterwards_gives_less() {
    // The ring brings the stud along; the bolt, further on, brings the ring along.
    let kit = kit(&more(&[
        ("parts", "part | type | single_use\nB-7 | bolt | yes\nS-7 | bolt | yes"),
        ("positions", "position | part | joint\nlast | B-7 | port\nstud | S-7 | port"),
        (
            "contains",
            "part | contains | quantity | position\nR-1 | S-7 | |\nB-7 | R-9 | 2 | port ring",
        ),
    ]));
    assert_eq!(lines(&kit), ["B-7 1 each single-use", "S-7 1 each single-use"]);
}
