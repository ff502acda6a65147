//! Rounds: what comes apart, what is called for, and what is added.

use super::*;

#[test]
fn an_operation_brings_all_that_must_come_before_it() {
    let kit =
        service(&[("operations", "operation,needs | open,shield | shield,safe | safe, | other,")]);
    assert_eq!((operations(&kit).as_str(), gaps(&kit).as_str()), ("safe, shield, open", ""));
}

#[test]
fn an_operation_that_is_only_for_other_machines_need_not_come_first() {
    let kit = service(&[(
        "operations",
        "operation,needs,model | open,shield, | shield,,Birch | shield,,Cedar",
    )]);
    assert_eq!((operations(&kit).as_str(), gaps(&kit).as_str()), ("open", ""));
}

#[test]
fn an_operation_that_no_row_describes_is_unknown_and_not_listed() {
    let kit = service(&[("operations", "operation,needs | open,shield")]);
    assert_eq!(
        (operations(&kit).as_str(), gaps(&kit).as_str()),
        ("open", "operation-unknown shield")
    );
}

#[test]
fn an_operation_asked_for_or_a_way_in_that_is_only_for_other_machines_is_unknown() {
    let kit = service(&[("operations", "operation,model | open,Birch")]);
    assert_eq!((operations(&kit).as_str(), gaps(&kit).as_str()), ("", "operation-unknown open"));
    let kit = service(&[
        ("positions", "position,part,joint,reached_by | top,S1,face,dig"),
        ("operations", "operation,opens,model | open,face, | dig,,Birch"),
    ]);
    assert_eq!((operations(&kit).as_str(), gaps(&kit).as_str()), ("open", "operation-unknown dig"));
}

#[test]
fn an_operation_goes_by_the_row_for_the_machine() {
    let kit = service(&[
        (
            "operations",
            "operation,needs,opens,model | open,shield,lid,Birch | open,safe,face,Alder | safe,,, | shield,,,",
        ),
        ("positions", "position,part,joint | top,S1,face | side,S1,lid"),
    ]);
    assert_eq!((operations(&kit).as_str(), actions(&kit).as_str()), ("safe, open", "top renew"));
}

#[test]
fn everything_on_the_machine_in_an_opened_joint_is_disturbed_whatever_becomes_of_it() {
    let kit = service(&[(
        "positions",
        "position,part,joint | top,S1,face | side,F1,lid;face | base,W1,face | gone,-,face | other,S1,lid | loose,S1,",
    )]);
    assert_eq!(actions(&kit), "top renew, side keep, base inspect");
    assert_eq!(kit.joints, ["face"]);
}

#[test]
fn what_an_operation_takes_off_is_disturbed_if_it_is_on_the_machine() {
    let kit = service(&[
        ("positions", "position,part | top,S1 | side,W1 | gone,- | other,S2"),
        ("operations", "operation,removes | open,side;top;gone"),
    ]);
    assert_eq!((actions(&kit).as_str(), gaps(&kit).as_str()), ("top renew, side inspect", ""));
}

#[test]
fn a_position_taken_off_is_unknown_if_neither_a_row_nor_any_log_names_it() {
    let kit = service(&[
        ("operations", "operation,removes | open,plug;stay"),
        ("worklog", "date,machine,position,part | 2001,stray,stay,W1"),
    ]);
    assert_eq!((actions(&kit).as_str(), gaps(&kit).as_str()), ("", "position-unknown plug"));
}

#[test]
fn a_renewed_position_calls_for_its_way_in_and_a_kept_one_does_not() {
    let kit = service(&[
        (
            "positions",
            "position,part,joint,reached_by | top,S1,face,dig | side,F1,face,pry | base,W1,face,lift",
        ),
        ("operations", "operation,opens | open,face | dig, | pry, | lift,"),
    ]);
    assert_eq!(operations(&kit), "open, dig");
}

#[test]
fn a_way_in_opens_more_joints_and_renews_more() {
    let kit = service(&[
        ("positions", "position,part,joint,reached_by | top,S1,face,dig | side,S2,lid,"),
        ("operations", "operation,opens | open,face | dig,lid"),
        ("joints", "joint,dry | face,yes | lid,yes"),
    ]);
    assert_eq!(
        (actions(&kit).as_str(), kit.joints.join(" ")),
        ("top renew, side renew", "face lid".to_owned())
    );
}

// What a renewed position calls for.

#[test]
fn what_a_later_part_needs_is_called_for_with_it() {
    let kit = service(&[
        THREE_PLACES,
        ("job_lines", "job,position,part | service,top,W2"),
        (
            "retrofits",
            "part,position,verdict,needs,operations | W2,top,fits-with,side=W3*3;base,drill",
        ),
        ("operations", "operation | drill"),
    ]);
    assert_eq!(operations(&kit), "drill");
    assert_eq!(lines(&kit), "1 W1 companion for base, 1 W2 new for top, 3 W3 companion for side");
    assert_eq!(gaps(&kit), "");
}

#[test]
fn an_operation_that_the_log_of_the_machine_names_is_not_done_again_for_a_later_part() {
    let typed = |log| {
        service(&[
            THREE_PLACES,
            ("job_lines", "job,position,part | service,top,W2"),
            ("retrofits", "part,position,verdict,operations | W2,top,fits-with,drill;file"),
            ("operations", "operation | drill | file"),
            ("worklog", log),
        ])
    };
    assert_eq!(operations(&typed("date,machine,operation | 2001,mill,Drill")), "file");
    assert_eq!(operations(&typed("date,machine,operation | 2001,stray,drill")), "drill, file");
}

#[test]
fn only_retrofit_operations_are_spared_by_the_log() {
    let kit = service(&[("worklog", "date,machine,operation | 2001,mill,open")]);
    assert_eq!(operations(&kit), "open");
}

#[test]
fn for_what_is_renewed_by_rule_the_retrofits_are_asked_about_what_it_became_only() {
    let kit = service(&[
        ("positions", "position,part,joint | top,S1,face | side,W1, | base,W1,"),
        ("supersessions", "old,new | S1,S2"),
        (
            "retrofits",
            "part,position,verdict,needs | S2,top,fits-with,side | S1,top,fits-with,base",
        ),
    ]);
    assert_eq!((actions(&kit).as_str(), gaps(&kit).as_str()), ("top renew, side renew", ""));
    assert_eq!(role(&kit, "side"), "companion");
}

#[test]
fn a_part_that_stays_asks_for_no_retrofit() {
    let kit = service(&[
        ("positions", "position,part,joint | top,S1,face | side,W1,"),
        ("retrofits", "part,position,verdict,needs | S1,top,fits-with,side"),
    ]);
    assert_eq!(actions(&kit), "top renew");
}

#[test]
fn the_target_speaks_first_then_what_it_became_then_the_chain() {
    let with = |retrofits: &str, supersessions: &str| {
        service(&[
            ("positions", "position,part | top,W1 | side,F4"),
            ("job_lines", "job,position,part | service,top,W1"),
            ("supersessions", supersessions),
            ("retrofits", retrofits),
        ])
    };
    let became = "W2,top,fits-with,side=F2";
    let target = "W1,top,fits-with,side=F1";
    let chain = "old,new,needs | W1,W2,side=F3";
    let all = with(&format!("part,position,verdict,needs | {became} | {target}"), chain);
    assert_eq!((parts(&all, "side").as_str(), gaps(&all).as_str()), ("1 F1", "conflict side"));
    // With no row of its own, the target's replacement hears neither the target's row nor the chain before its own.
    let two = with(&format!("part,position,verdict,needs | {became}"), chain);
    assert_eq!((parts(&two, "side").as_str(), gaps(&two).as_str()), ("1 F2", "conflict side"));
    let one = with("part,position,verdict,needs", chain);
    assert_eq!((parts(&one, "side").as_str(), gaps(&one).as_str()), ("1 F3", ""));
}

#[test]
fn targets_speak_before_other_positions_and_those_by_place() {
    let typed: Typed = &[
        ("positions", "position,part,joint | side,F4, | early,S1,face | late,S3,face | goal,W1,"),
        ("supersessions", "old,new,needs | S1,S2,side=F2 | S3,S4,side=F3 | W1,W2,side=F1"),
        (
            "job_lines",
            "job,option,position,part,operation | service,goal,goal,W1, | service,,,,open",
        ),
    ];
    let kit_without = service(typed);
    assert_eq!(parts(&kit_without, "side"), "1 F2");
    let kit_with = kit(typed, &Ask { options: keys("goal"), ..ask("service", "mill") });
    assert_eq!(parts(&kit_with, "side"), "1 F1");
}

#[test]
fn a_need_may_leave_a_position_empty() {
    let kit = superseded_with_side("S1,S2,side=-", "side,W1");
    assert_eq!((actions(&kit).as_str(), gaps(&kit).as_str()), ("top renew, side leave-out", ""));
    assert_eq!(lines(&kit), "1 S2 single-use for top");
}

#[test]
fn leaving_empty_what_is_empty_is_nothing_to_do() {
    let kit = superseded_with_side("S1,S2,side=-", "side,-");
    assert_eq!((actions(&kit).as_str(), gaps(&kit).as_str()), ("top renew", ""));
    let kit = superseded_with_side("S1,S2,side=-", "side,W1,,2005-");
    assert_eq!((actions(&kit).as_str(), gaps(&kit).as_str()), ("top renew", ""));
}

#[test]
fn leaving_a_position_empty_that_nobody_knows_is_an_unknown_position() {
    let kit = superseded_with_side("S1,S2,nowhere=-", "side,W1");
    assert_eq!(
        (actions(&kit).as_str(), gaps(&kit).as_str()),
        ("top renew, nowhere leave-out", "position-unknown nowhere")
    );
}

#[test]
fn leaving_empty_what_a_job_fills_is_a_conflict_even_where_nothing_sits_there_yet() {
    let kit = service(&[
        ("positions", "position,part,joint | top,S1,face | side,-,"),
        ("supersessions", "old,new,needs | S1,S2,side=-"),
        ("job_lines", "job,position,part,operation | service,side,W1, | service,,,open"),
        ("retrofits", "part,position,verdict | W1,side,fits"),
    ]);
    assert_eq!((parts(&kit, "side").as_str(), gaps(&kit).as_str()), ("1 W1", "conflict side"));
}

#[test]
fn a_part_that_surely_sits_there_already_is_not_called_for_again() {
    let kit = superseded_with_side("S1,S2,side=W2", "side,W2");
    assert_eq!(actions(&kit), "top renew");
    let typed = |supersessions| {
        service(&[
            ("positions", "position,part,joint | top,S1,face | side,W1,"),
            ("supersessions", supersessions),
            ("worklog", "date,machine,position,part | ,mill,side,W3"),
        ])
    };
    let kit = typed("old,new,needs | S1,S2,side=W2 | W2,W3,");
    assert_eq!(
        actions(&kit),
        "top renew",
        "what sits there lies on the chain of what is called for"
    );
    let kit = typed("old,new,needs | S1,S2,side=W2 | W3,W2,");
    assert_eq!(actions(&kit), "top renew, side renew", "an earlier part is not the one called for");
}

#[test]
fn a_part_that_only_may_sit_there_is_called_for() {
    let kit = service_of_stray(&[
        ("positions", "position,part,years,joint | top,S1,,face | side,W2,-2000,"),
        ("supersessions", "old,new,needs | S1,S2,side=W2"),
    ]);
    assert_eq!(
        (actions(&kit).as_str(), gaps(&kit).as_str()),
        ("top renew, side renew", "not-settled side")
    );
}

#[test]
fn a_need_for_a_part_makes_a_companion_with_its_own_number_or_the_positions() {
    let kit = superseded_with_side("S1,S2,side=W2*3", "side,W1,2");
    assert_eq!((parts(&kit, "side").as_str(), role(&kit, "side").as_str()), ("3 W2", "companion"));
    let kit = superseded_with_side("S1,S2,side=W2", "side,W1,2");
    assert_eq!(parts(&kit, "side"), "2 W2");
    assert_eq!(gaps(&kit), "");
}

#[test]
fn a_need_without_a_part_renews_what_is_there() {
    let kit = superseded_with_side("S1,S2,side", "side,W1,2");
    assert_eq!((parts(&kit, "side").as_str(), role(&kit, "side").as_str()), ("2 W1", "companion"));
}

#[test]
fn a_part_that_sits_there_is_called_for_all_the_same_where_the_job_puts_another() {
    let kit = service(&[
        ("positions", "position,part,joint | top,S1,face | side,W1,"),
        ("supersessions", "old,new,needs | S1,S2,side=W2"),
        ("worklog", "date,machine,position,part | ,mill,side,W2"),
        ("job_lines", "job,position,part,operation | service,side,W1,open"),
    ]);
    assert_eq!((parts(&kit, "side").as_str(), gaps(&kit).as_str()), ("1 W1", "conflict side"));
}

#[test]
fn a_need_for_a_position_that_no_row_describes_is_an_unknown_position_but_the_part_fits_by_that_row()
 {
    let kit = superseded_with_side("S1,S2,nowhere=W2", "side,W1");
    assert_eq!(
        (parts(&kit, "nowhere").as_str(), gaps(&kit).as_str()),
        ("1 W2", "position-unknown nowhere")
    );
}

#[test]
fn what_a_need_changes_is_reached_by_its_way_in() {
    for need in ["side=W2", "side", "side=-"] {
        let kit = service(&[
            ("positions", "position,part,joint,reached_by | top,S1,face, | side,W1,,dig"),
            ("operations", "operation,opens | open,face | dig,"),
            ("supersessions", &format!("old,new,needs | S1,S2,{need}")),
        ]);
        assert_eq!((operations(&kit).as_str(), gaps(&kit).as_str()), ("open, dig", ""), "{need}");
    }
}

#[test]
fn more_of_a_part_than_sits_there_is_called_for() {
    let with = |needs| superseded_with_side(needs, "side,W2,2");
    assert_eq!(parts(&with("S1,S2,side=W2*3"), "side"), "3 W2");
    for needs in ["S1,S2,side=W2*2", "S1,S2,side=W2"] {
        let kit = with(needs);
        assert_eq!(actions(&kit), "top renew");
        let there = &kit.already_there[..];
        assert!(matches!(there, [one] if one.position == "side" && one.part == "W2"), "{there:?}");
    }
}

#[test]
fn what_was_asked_for_is_settled_before_what_lies_on_the_way() {
    // By place `base` comes first and would have `side` hold W3; the job's own `top` calls for W2 there.
    let kit = service(&[
        ("positions", "position,part,joint | base,S3,face | top,S1, | side,W1,"),
        ("job_lines", "job,position,operation | service,top,open"),
        ("supersessions", "old,new,needs | S3,S4,side=W3 | S1,S2,side=W2"),
    ]);
    assert_eq!((parts(&kit, "side").as_str(), gaps(&kit).as_str()), ("1 W2", "conflict side"));
}

#[test]
fn what_is_renewed_or_left_out_takes_along_what_it_carries() {
    let with = |part: &str| {
        service(&[
            (
                "positions",
                "position,part,carried_by | rotor,W1, | bearing,W2,rotor | ring,F1,bearing | cap,F2,lid",
            ),
            ("job_lines", &format!("job,position,part | service,rotor,{part}")),
        ])
    };
    let kit = with("W1");
    assert_eq!(actions(&kit), "rotor renew, bearing renew, ring renew");
    assert_eq!(role(&kit, "bearing"), "companion");
    assert_eq!(actions(&with("-")), "rotor leave-out, bearing leave-out, ring leave-out");
}

#[test]
fn what_an_operation_takes_off_opens_its_joints() {
    let kit = service(&[
        (
            "positions",
            "position,part,joint | top,W1,lid;tray | side,S1,lid | base,S2,tray | gone,-,vent",
        ),
        ("operations", "operation,removes | open,top;gone"),
        ("joints", "joint,dry"),
    ]);
    assert_eq!(actions(&kit), "top inspect, side renew, base renew");
    assert_eq!((kit.joints.join(" "), gaps(&kit)), ("lid tray".to_owned(), String::new()));
}

#[test]
fn a_renewed_position_takes_along_what_it_carries() {
    let kit = service(&[
        (
            "positions",
            "position,part,reached_by,carried_by | top,W1,-, | side,W2,,top | base,F1,,side | other,W3,,gone \
             | empty,-,,top",
        ),
        ("job_lines", "job,position | service,top"),
    ]);
    assert_eq!(actions(&kit), "top renew, side renew, base renew");
    assert_eq!(lines(&kit), "1 F1 companion for base, 1 W1 new for top, 1 W2 companion for side");
    assert_eq!(gaps(&kit), "");
}

#[test]
fn a_position_that_is_kept_or_inspected_takes_nothing_along() {
    let kit = service(&[(
        "positions",
        "position,part,joint,carried_by | top,W1,face, | side,S1,,top | under,F1,face, | base,S1,,under",
    )]);
    assert_eq!(actions(&kit), "top inspect, under keep");
}
