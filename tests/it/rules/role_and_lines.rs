//! The result: roles and lines.

use super::*;

#[test]
fn a_position_is_new_by_a_job_line_companion_by_a_need_and_single_use_by_a_rule() {
    let kit = service(&[
        (
            "positions",
            "position,part,joint | top,S1,face | side,W1,face | base,W2,face | screw,F1,face",
        ),
        ("job_lines", "job,position,operation | service,base,open"),
        ("supersessions", "old,new,needs | S1,S2,side"),
    ]);
    let roles = ["top", "side", "base", "screw"].map(|position| role(&kit, position));
    assert_eq!(roles, ["single-use", "companion", "new", "none"]);
}

#[test]
fn a_position_named_by_a_job_line_and_by_a_need_is_new() {
    let kit = service(&[
        ("positions", "position,part,joint | top,S1,face | side,W1,"),
        ("job_lines", "job,position,operation | service,side,open"),
        ("supersessions", "old,new,needs | S1,S2,side"),
    ]);
    assert_eq!(role(&kit, "side"), "new");
}

#[test]
fn a_line_adds_up_one_part_and_takes_the_weightiest_role_of_its_sources() {
    let kit = service(&[
        ("positions", "position,part,quantity,joint | top,S1,2,face | side,S2,,face | base,S2,"),
        ("supersessions", "old,new,needs | S1,S2,"),
        ("job_lines", "job,position,part,operation | service,base,, | service,,,open"),
        ("operations", "operation,opens,uses | open,face,S2=4"),
    ]);
    assert_eq!(lines(&kit), "8 S2 new for top+side+base");
}

#[test]
fn the_roles_of_a_line_are_weighed_new_companion_single_use_consumable() {
    let with = |job_lines: &str, needs: &str| {
        lines(&service(&[
            ("positions", "position,part,joint | top,S1,face | side,L1,"),
            ("supersessions", &format!("old,new,needs | S1,S2,{needs}")),
            ("job_lines", &format!("job,part,operation | service,,open {job_lines}")),
            ("operations", "operation,opens,uses | open,face,S2=1;L1=1"),
        ]))
    };
    assert_eq!(with("", ""), "1 L1 consumable, 2 S2 single-use for top");
    assert_eq!(with("", "side"), "2 L1 companion for side, 2 S2 single-use for top");
    assert_eq!(with("| service,L1, | service,S2,", "side"), "3 L1 new for side, 3 S2 new for top");
}

#[test]
fn what_an_operation_uses_is_a_consumable_in_the_parts_unit() {
    let kit = service(&[
        ("parts", "part,type,unit | K1,fluid,g"),
        ("operations", "operation,uses,needs | open,L1=350 ml;K1=as-needed,safe | safe,L1=0.15 L,"),
    ]);
    assert_eq!(lines(&kit), "0 g K1 consumable, 0.5 L L1 consumable");
    assert!(kit.lines.iter().all(|line| line.as_needed == (line.part == "K1")));
}

#[test]
fn what_an_operation_uses_is_followed_to_what_it_became_and_its_gaps_are_on_that_number() {
    let kit = service(&[
        ("operations", "operation,uses | open,L1=1 L;X1=2;X2=1"),
        ("supersessions", "old,new,quantity | L1,L2,2 | X1,X9, | X2,D1,"),
    ]);
    assert_eq!(lines(&kit), "1 D1 consumable, 2 L L2 consumable, 2 X9 consumable");
    assert_eq!(gaps(&kit), "discontinued D1, part-unknown X9");
}

#[test]
fn a_set_to_buy_that_is_not_among_the_parts_or_is_made_no_more_is_a_gap_on_its_number() {
    let kit = service(&[("job_lines", "job,part | service,X1 | service,D1")]);
    assert_eq!(
        (gaps(&kit).as_str(), lines(&kit).as_str()),
        ("discontinued D1, part-unknown X1", "1 D1 new, 1 X1 new")
    );
}

#[test]
fn uses_are_never_covered_by_what_a_set_contains() {
    let kit = service(&[
        ("job_lines", "job,part,operation | service,F1,open"),
        ("operations", "operation,uses | open,S1=1"),
        ("contains", "part,contains | F1,S1"),
    ]);
    assert_eq!(lines(&kit), "1 F1 new, 1 S1 consumable");
}

#[test]
fn a_part_sold_only_as_a_set_serves_every_position_that_names_it_so() {
    let kit = service(&[(
        "positions",
        "position,part,quantity,joint | one,S1,set,face | two,S1,set,face | three,S1,2,face",
    )]);
    assert_eq!(lines(&kit), "3 S1 single-use for one+two+three");
    assert_eq!((parts(&kit, "one").as_str(), parts(&kit, "two").as_str()), ("1 S1", "1 S1"));
}

#[test]
fn positions_that_name_a_set_share_it_by_what_the_part_became() {
    let kit = service(&[
        ("positions", "position,part,quantity,joint | one,S1,set,face | two,S2,set,face"),
        ("supersessions", "old,new | S1,S2"),
    ]);
    assert_eq!(lines(&kit), "1 S2 single-use for one+two");
}

#[test]
fn positions_that_share_a_set_are_covered_together() {
    let typed = |contents: &str| {
        lines(&service(&[
            ("positions", "position,part,quantity,joint | one,S1,set,face | two,S1,set,face"),
            ("job_lines", "job,part,operation | service,F1,open"),
            ("contains", &format!("part,contains {contents}")),
        ]))
    };
    assert_eq!(typed("| F2,S1"), "1 F1 new, 1 S1 single-use for one+two");
    assert_eq!(typed("| F1,S1"), "1 F1 new", "one serves both");
    assert_eq!(typed("| F1,S1 | F1,S1"), "1 F1 new");
}

#[test]
fn what_lies_in_a_shared_set_is_counted_once() {
    let kit = service(&[
        (
            "positions",
            "position,part,quantity,joint | one,S1,set,face | two,S1,set,face | a,S2,,face | b,S2,,face",
        ),
        ("contains", "part,contains | S1,S2"),
    ]);
    assert_eq!(lines(&kit), "1 S1 single-use for one+two, 1 S2 single-use for b");
}

#[test]
fn a_logged_or_wanted_number_takes_a_position_out_of_its_set() {
    let kit = service(&[
        ("positions", "position,part,quantity,joint | one,S1,set,face | two,S1,set,face"),
        ("worklog", "date,machine,position,part,quantity | ,mill,two,S1,1"),
    ]);
    assert_eq!(lines(&kit), "2 S1 single-use for one+two");
}
