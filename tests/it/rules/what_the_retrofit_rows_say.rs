//! What the retrofit rows say.

use super::*;

/// `W2` for `top`, which lists `W1`, with these retrofit rows.
fn retrofitted(machine: &str, retrofits: &str, supersessions: &str) -> Kit {
    kit(
        &[
            ("positions", "position,part | top,W1 | side,F4 | base,F4"),
            ("job_lines", "job,position,part | service,top,W2"),
            ("operations", "operation | drill | file"),
            ("supersessions", &format!("old,new {supersessions}")),
            ("retrofits", &format!("part,position,verdict,needs,operations,years {retrofits}")),
        ],
        &ask("service", machine),
    )
}

#[test]
fn a_row_for_exactly_this_part_and_position_speaks_and_one_that_may_apply_leaves_the_position_unsettled()
 {
    let rows = "| W2,top,fits-with,side,,-2000 | W2,top,fits-with,base,,";
    let kit = retrofitted("stray", rows, "");
    assert_eq!(
        (actions(&kit).as_str(), gaps(&kit).as_str()),
        ("top renew, base renew", "not-settled top")
    );
    let kit = retrofitted("mill", rows, "");
    assert_eq!(
        (actions(&kit).as_str(), gaps(&kit).as_str()),
        ("top renew, side renew, base renew", "")
    );
}

#[test]
fn a_row_that_may_apply_calls_for_nothing_and_says_not_that_the_part_fits() {
    let kit = retrofitted("stray", "| W2,top,fits-with,side,drill,-2000", "");
    assert_eq!((actions(&kit).as_str(), operations(&kit).as_str()), ("top renew", ""));
    assert_eq!(gaps(&kit), "fit-unknown top, not-settled top");
}

#[test]
fn rows_for_other_parts_other_positions_or_other_machines_do_not_speak() {
    let kit = retrofitted(
        "mill",
        "| W3,top,fits-with,side,, | W2,base,fits-with,side,, | W2,top,fits-with,side,,2005-",
        "",
    );
    assert_eq!((actions(&kit).as_str(), gaps(&kit).as_str()), ("top renew", "fit-unknown top"));
}

#[test]
fn without_a_row_of_its_own_a_part_is_spoken_for_by_the_rows_of_what_it_replaced() {
    let kit = retrofitted("mill", "| W3,top,fits-with,side,drill,", "| W3,W2");
    assert_eq!(
        (actions(&kit).as_str(), operations(&kit).as_str()),
        ("top renew, side renew", "drill")
    );
    assert_eq!(gaps(&kit), "");
}

#[test]
fn a_row_of_its_own_even_one_that_only_may_apply_silences_those_of_what_it_replaced() {
    let kit = retrofitted("mill", "| W3,top,fits-with,side,, | W2,top,fits-with,base,,", "| W3,W2");
    assert_eq!((actions(&kit).as_str(), gaps(&kit).as_str()), ("top renew, base renew", ""));
    let kit =
        retrofitted("stray", "| W3,top,fits-with,side,, | W2,top,fits-with,base,,-2000", "| W3,W2");
    assert_eq!(
        (actions(&kit).as_str(), gaps(&kit).as_str()),
        ("top renew", "fit-unknown top, not-settled top")
    );
    // One for other machines is no row at all.
    let kit =
        retrofitted("mill", "| W3,top,fits-with,side,, | W2,top,fits-with,base,,2005-", "| W3,W2");
    assert_eq!((actions(&kit).as_str(), gaps(&kit).as_str()), ("top renew, side renew", ""));
}

#[test]
fn rows_of_what_it_replaced_that_only_may_apply_say_nothing_at_all() {
    let kit = retrofitted("stray", "| W3,top,fits-with,side,,-2000", "| W3,W2");
    assert_eq!((actions(&kit).as_str(), gaps(&kit).as_str()), ("top renew", "fit-unknown top"));
}

#[test]
fn one_no_among_those_that_speak_settles_it_and_nothing_is_called_for() {
    let kit = retrofitted("mill", "| W2,top,fits-with,side,drill, | W2,top,no,,,", "");
    assert_eq!((actions(&kit).as_str(), operations(&kit).as_str()), ("top renew", ""));
    assert_eq!(gaps(&kit), "does-not-fit top");
}

#[test]
fn a_no_to_what_a_part_renewed_by_rule_became_is_said_of_the_position() {
    let kit = service(&[
        ("positions", "position,part,joint | top,S1,face"),
        ("supersessions", "old,new | S1,S2"),
        ("retrofits", "part,position,verdict | S2,top,no"),
    ]);
    assert_eq!((parts(&kit, "top").as_str(), gaps(&kit).as_str()), ("1 S2", "does-not-fit top"));
}

#[test]
fn of_all_rows_that_speak_the_needs_are_taken_in_table_order() {
    let kit = retrofitted(
        "mill",
        "| W2,top,fits-with,side=F2,drill, | W2,top,fits-with,side=F1;base=F3,file,",
        "",
    );
    assert_eq!((parts(&kit, "side").as_str(), parts(&kit, "base").as_str()), ("1 F2", "1 F3"));
    assert_eq!((operations(&kit).as_str(), gaps(&kit).as_str()), ("drill, file", "conflict side"));
}

#[test]
fn a_row_that_says_look_first_calls_for_its_needs_and_asks_until_the_log_confirms_it() {
    let typed = |log: &str| {
        let kit = service(&[
            ("positions", "position,part,reached_by | top,W1,- | side,F1,-"),
            ("job_lines", "job,position,part | service,top,W2"),
            ("retrofits", "part,position,verdict,needs | W2,top,look-first,side=F2"),
            ("worklog", &format!("date,machine,position,confirms {log}")),
        ]);
        assert_eq!(lines(&kit), "1 F2 companion for side, 1 W2 new for top");
        gaps(&kit)
    };
    assert_eq!(typed(""), "look-first top");
    assert_eq!(typed("| 2020,mill,top,W-2"), "");
    assert_eq!(typed("| 2020,mill,top,W3"), "look-first top", "another part");
    assert_eq!(typed("| 2020,mill,side,W2"), "look-first top", "another position");
    assert_eq!(typed("| 2020,stray,top,W2"), "look-first top", "another machine");
}
