//! Rounds: what the job lines start from.

use super::*;

#[test]
fn lines_are_taken_in_table_order_and_the_first_part_for_a_position_stays() {
    let kit = service(&[
        THREE_PLACES,
        ("job_lines", "job,position,part | service,top,W1 | service,top,W2"),
    ]);
    assert_eq!((parts(&kit, "top").as_str(), gaps(&kit).as_str()), ("1 W1", "conflict top"));
}

#[test]
fn jobs_are_taken_in_the_order_named_not_in_that_of_the_table() {
    let typed: Typed = &[
        THREE_PLACES,
        ("job_lines", "job,position,part | service,top,W1 | second,top,W2 | second,side,W1"),
    ];
    let both = kit(typed, &ask("second service", "mill"));
    assert_eq!(
        (parts(&both, "top").as_str(), gaps(&both).as_str()),
        ("1 W2", "conflict top, fit-unknown top")
    );
    assert_eq!(both.jobs, ["second", "service"]);
    let both = kit(typed, &ask("service second", "mill"));
    assert_eq!((parts(&both, "top").as_str(), gaps(&both).as_str()), ("1 W1", "conflict top"));
    assert_eq!(actions(&both), "top renew, side renew");
}

#[test]
fn a_line_holds_with_its_option_or_without_the_one_it_excludes() {
    let typed: Typed = &[
        THREE_PLACES,
        (
            "job_lines",
            "job,option,position | service,Winter,top | service,not winter,side | service,,base",
        ),
    ];
    let mut question = ask("service", "mill");
    assert_eq!(actions(&kit(typed, &question)), "side renew, base renew");
    question.options = keys("winter frost");
    assert!(matches!(answer(typed, &question), Err(Refusal::NoOption(_))));
    question.insist = true;
    let kit = kit(typed, &question);
    assert_eq!(actions(&kit), "top renew, base renew");
    assert_eq!(kit.unknown_options, ["frost"]);
    assert_eq!(gaps(&kit), "");
}

#[test]
fn a_line_for_other_machines_is_passed_over_and_one_that_may_be_is_not_taken_and_leaves_the_job_unsettled()
 {
    let typed: Typed = &[
        THREE_PLACES,
        (
            "job_lines",
            "job,position,model,years | service,top,Birch, | service,side,,-2000 | service,base,,",
        ),
    ];
    let kit = service_of_stray(typed);
    assert_eq!(
        (actions(&kit).as_str(), gaps(&kit).as_str()),
        ("base renew", "not-settled service")
    );
    let kit = service(typed);
    assert_eq!((actions(&kit).as_str(), gaps(&kit).as_str()), ("side renew, base renew", ""));
}

#[test]
fn a_line_whose_option_does_not_hold_leaves_nothing_unsettled() {
    let kit = service_of_stray(&[
        THREE_PLACES,
        ("job_lines", "job,option,position,years | service,winter,top,-2000 | service,,base,"),
    ]);
    assert_eq!((actions(&kit).as_str(), gaps(&kit).as_str()), ("base renew", ""));
}

#[test]
fn a_job_that_may_be_for_the_machine_is_worked_out_but_not_settled() {
    let kit = service_of_stray(&[
        THREE_PLACES,
        ("jobs", "job,years | service,1998-"),
        ("job_lines", "job,position | service,top"),
    ]);
    assert_eq!((actions(&kit).as_str(), gaps(&kit).as_str()), ("top renew", "not-settled service"));
}

#[test]
fn one_row_of_a_job_that_surely_applies_settles_it() {
    let kit = service_of_stray(&[
        THREE_PLACES,
        ("jobs", "job,model,years | service,,1998- | service,Alder,"),
        ("job_lines", "job,position | service,top"),
    ]);
    assert_eq!(gaps(&kit), "");
}

#[test]
fn a_line_fits_a_part_or_renews_what_is_there_or_buys_a_set_or_names_an_operation() {
    let kit = service(&[
        THREE_PLACES,
        (
            "job_lines",
            "job,position,part,quantity,operation | service,top,W2,4, | service,side,,, | service,,F1,3, \
             | service,,F2,, | service,,,,open | service,base,-,,",
        ),
        ("retrofits", "part,position,verdict | W2,top,fits"),
    ]);
    assert_eq!(actions(&kit), "top renew, side renew, base leave-out");
    assert_eq!(lines(&kit), "1 F2 new, 1 W1 new for side, 3 F1 new, 4 W2 new for top");
    assert_eq!((operations(&kit).as_str(), gaps(&kit).as_str()), ("open", ""));
}

#[test]
fn a_line_may_name_an_operation_beside_its_position() {
    let kit = service(&[THREE_PLACES, ("job_lines", "job,position,operation | service,top,open")]);
    assert_eq!((operations(&kit).as_str(), actions(&kit).as_str()), ("open", "top renew"));
}

#[test]
fn a_set_is_bought_as_what_it_became() {
    let kit = service(&[
        ("job_lines", "job,part,quantity | service,F1,2"),
        ("supersessions", "old,new,quantity | F1,F2,3"),
    ]);
    assert_eq!((lines(&kit).as_str(), gaps(&kit).as_str()), ("6 F2 new", ""));
}

#[test]
fn of_a_set_named_twice_for_one_assembly_the_larger_quantity_is_bought_with_what_it_needs() {
    let kit = service(&[
        ("positions", "position,part | side,W1"),
        (
            "job_lines",
            "job,part,quantity,assembly | service,F1,2, | service,F1,3, | service,F1,1,gearcase",
        ),
        ("supersessions", "old,new,needs | F1,F2,side"),
    ]);
    assert_eq!(lines(&kit), "1 W1 companion for side, 4 F2 new");
}

#[test]
fn what_a_line_changes_is_reached_by_its_way_in() {
    let kit = service(&[
        ("positions", "position,part,reached_by | top,W1,lid | side,W1,flap | base,W1,tray"),
        ("operations", "operation | tray | flap | lid"),
        ("job_lines", "job,position,part | service,top,W1 | service,side, | service,base,-"),
    ]);
    assert_eq!((operations(&kit).as_str(), gaps(&kit).as_str()), ("tray, flap, lid", ""));
}

#[test]
fn a_position_without_any_row_is_unknown_and_takes_one() {
    let kit = service(&[("job_lines", "job,position,part | service,nowhere,W1 | service,void,")]);
    assert_eq!(
        gaps(&kit),
        "fit-unknown nowhere, part-unknown void, position-unknown nowhere, position-unknown void"
    );
    assert_eq!(
        (lines(&kit).as_str(), actions(&kit).as_str()),
        ("1 W1 new for nowhere", "nowhere renew, void renew")
    );
}

#[test]
fn a_second_part_for_a_position_is_no_conflict_if_either_lies_on_the_chain_of_the_other() {
    for (first, second) in [("S1", "S3"), ("S3", "S1"), ("S2", "S2")] {
        let kit = service(&[
            ("positions", "position,part | top,S1"),
            (
                "job_lines",
                &format!("job,position,part | service,top,{first} | service,top,{second}"),
            ),
            ("supersessions", "old,new | S1,S2 | S2,S3"),
        ]);
        assert_eq!(
            (parts(&kit, "top").as_str(), gaps(&kit).as_str()),
            ("1 S3", ""),
            "{first} then {second}"
        );
        assert!(chains(&kit, "top").starts_with("S1"), "it starts from what is listed");
    }
}

#[test]
fn renewing_and_leaving_empty_conflict_and_the_first_stays() {
    let with = |lines: &str| {
        service(&[THREE_PLACES, ("job_lines", &format!("job,position,part {lines}"))])
    };
    let kit = with("| service,top,- | service,top,");
    assert_eq!((actions(&kit).as_str(), gaps(&kit).as_str()), ("top leave-out", "conflict top"));
    let kit = with("| service,top, | service,top,-");
    assert_eq!((actions(&kit).as_str(), gaps(&kit).as_str()), ("top renew", "conflict top"));
    let kit = with("| service,top,- | service,top,W1");
    assert_eq!((actions(&kit).as_str(), gaps(&kit).as_str()), ("top leave-out", "conflict top"));
    let kit = with("| service,top,W1 | service,top,-");
    assert_eq!((actions(&kit).as_str(), gaps(&kit).as_str()), ("top renew", "conflict top"));
    let kit = with("| service,top,- | service,top,-");
    assert_eq!((actions(&kit).as_str(), gaps(&kit).as_str()), ("top leave-out", ""));
}

#[test]
fn a_renewal_and_a_part_for_the_same_position_agree_and_the_part_goes_there() {
    for lines in ["| service,top, | service,top,W2", "| service,top,W2 | service,top,"] {
        let kit = service(&[
            THREE_PLACES,
            ("job_lines", &format!("job,position,part {lines}")),
            ("retrofits", "part,position,verdict | W2,top,fits"),
        ]);
        assert_eq!((parts(&kit, "top").as_str(), gaps(&kit).as_str()), ("1 W2", ""), "{lines}");
    }
}

#[test]
fn what_one_round_added_stays_when_its_cause_goes_and_so_does_a_gap() {
    // In the first round `top` is renewed as X9 and calls for `side`; what replaces `base` then has `top` left empty.
    let kit = service(&[
        ("positions", "position,part,joint | top,S1,face | base,S3,face | side,W1,"),
        ("supersessions", "old,new,needs | S1,X9,side=W2 | S3,S4,top=-"),
    ]);
    assert_eq!(actions(&kit), "top leave-out, base renew, side renew");
    assert_eq!((parts(&kit, "side").as_str(), gaps(&kit).as_str()), ("1 W2", "part-unknown top"));
}

#[test]
fn a_dash_for_the_way_in_adds_no_operation() {
    let kit = service(&[
        ("positions", "position,part,reached_by | top,W1,-"),
        ("job_lines", "job,position | service,top"),
    ]);
    assert_eq!((operations(&kit).as_str(), gaps(&kit).as_str()), ("", ""));
}

#[test]
fn a_second_target_of_the_same_chain_leaves_the_larger_quantity() {
    for (first, second, goes) in [
        ("S1,3", "S1,5", "5 S1"),
        ("S1,5", "S1,3", "5 S1"),
        ("S1,3", "S1,", "4 S1"),
        ("S1,", "S1,3", "4 S1"),
        ("S1,3", "S1,500 mm", "3 S1"),
    ] {
        let kit = service(&[
            ("positions", "position,part,quantity,reached_by | top,S1,4,-"),
            (
                "job_lines",
                &format!("job,position,part,quantity | service,top,{first} | service,top,{second}"),
            ),
        ]);
        assert_eq!(
            (parts(&kit, "top").as_str(), gaps(&kit).as_str()),
            (goes, ""),
            "{first}, {second}"
        );
    }
}
