//! Action: what becomes of a disturbed position.

use super::*;

#[test]
fn the_position_speaks_before_the_part_and_the_part_before_its_type() {
    let kit = service(&[
        ("parts", "part,type,single_use | K1,soft seal,no | K2,fastener,yes"),
        (
            "positions",
            "position,part,joint,when_disturbed | a,S1,face,keep | b,F1,face,renew | c,K2,face,inspect | d,K1,face, \
             | e,K2,face, | f,S1,face,",
        ),
    ]);
    assert_eq!(actions(&kit), "a keep, b renew, c inspect, d keep, e renew, f renew");
}

#[test]
fn what_a_job_changes_is_renewed_whatever_the_position_says() {
    let kit = service(&[
        (
            "positions",
            "position,part,joint,when_disturbed | a,F1,face,keep | b,F1,face,keep | c,S1,face,renew",
        ),
        (
            "job_lines",
            "job,position,part,operation | service,a,F1,open | service,b,, | service,c,-,",
        ),
    ]);
    assert_eq!(actions(&kit), "a renew, b renew, c leave-out");
}

#[test]
fn of_several_parts_at_one_position_the_one_to_renew_decides_then_the_one_to_inspect() {
    let log = "date,machine,position,part | 2001,mill,a,F1 | 2001,mill,a,W1 | 2001,mill,a,S1 \
        | 2001,mill,b,F1 | 2001,mill,b,W1 | 2001,mill,c,F1 | 2001,mill,c,F2";
    let kit = service(&[
        ("positions", "position,part,joint | a,F1,face | b,F1,face | c,F1,face"),
        ("worklog", log),
    ]);
    assert_eq!(actions(&kit), "a renew, b inspect, c keep");
    assert_eq!(parts(&kit, "a"), "1 F1, 1 W1, 1 S1");
}

#[test]
fn a_number_that_is_not_among_the_parts_is_judged_as_what_it_became_first() {
    let kit = service(&[
        ("positions", "position,part,joint | top,X1,face | side,X2,face"),
        ("supersessions", "old,new,together | X1,F1,pair | X1,S1,pair | X2,S2,"),
    ]);
    assert_eq!((actions(&kit).as_str(), gaps(&kit).as_str()), ("top keep, side renew", ""));
}

#[test]
fn a_listed_part_is_judged_by_its_own_row_not_by_what_it_became() {
    let kit = service(&[
        ("positions", "position,part,joint | top,F1,face"),
        ("supersessions", "old,new | F1,S1"),
    ]);
    assert_eq!(actions(&kit), "top keep");
}

#[test]
fn where_the_part_is_not_known_it_is_renewed_and_said_so() {
    let kit = service(&[
        ("positions", "position,part,joint | top,X1,face | side,X2,face"),
        ("supersessions", "old,new | X2,X3"),
    ]);
    assert_eq!(
        (actions(&kit).as_str(), gaps(&kit).as_str()),
        ("top renew, side renew", "part-unknown side, part-unknown top")
    );
    assert_eq!(lines(&kit), "1 X1 single-use for top, 1 X3 single-use for side");
}

#[test]
fn where_no_rule_answers_the_part_is_renewed_and_said_so() {
    let kit = service(&[
        ("parts", "part,type | K1, | K2,whatsit | K3,rule wanting"),
        ("positions", "position,part,joint | a,K1,face | b,K2,face | c,K3,face"),
    ]);
    assert_eq!(actions(&kit), "a renew, b renew, c renew");
    assert_eq!(gaps(&kit), "rule-unknown a, rule-unknown b, rule-unknown c");
}

#[test]
fn a_rule_at_the_position_or_the_part_makes_the_type_needless() {
    let kit = service(&[
        ("parts", "part,type,single_use | K1,, | K2,whatsit,no"),
        (
            "positions",
            "position,part,joint,when_disturbed | a,K1,face,keep | b,K2,face, | c,,face,inspect",
        ),
    ]);
    assert_eq!((actions(&kit).as_str(), gaps(&kit).as_str()), ("a keep, b keep, c inspect", ""));
}

#[test]
fn a_type_is_matched_by_its_name_before_other_names_and_first_row_first() {
    let kit = service(&[
        (
            "types",
            "type,also_called,when_disturbed | hoop,clasp;buckle,renew | clasp,,keep | strap,buckle,inspect",
        ),
        ("parts", "part,type | K1,Clasp | K2,buckle | K3,STRAP"),
        ("positions", "position,part,joint | a,K1,face | b,K2,face | c,K3,face"),
    ]);
    assert_eq!((actions(&kit).as_str(), gaps(&kit).as_str()), ("a keep, b renew, c inspect", ""));
}

#[test]
fn an_owners_type_overrides_the_shipped_one_and_the_others_stay() {
    let kit = service(&[
        ("types", "type,when_disturbed | gasket,inspect"),
        ("parts", "part,type | K1,gasket | K2,o-ring"),
        ("positions", "position,part,joint | a,K1,face | b,K2,face"),
    ]);
    assert_eq!(actions(&kit), "a inspect, b renew");
}

#[test]
fn what_was_withdrawn_is_renewed_whatever_part_and_type_say_but_the_position_speaks_first() {
    let kit = service(&[
        (
            "parts",
            "part,type,single_use,status | K1,fastener,no,withdrawn | K2,wearing part,,withdrawn",
        ),
        ("supersessions", "old,new | K1,F2 | K2,W2"),
        (
            "positions",
            "position,part,joint,when_disturbed | a,K1,face, | b,K2,face, | c,K1,face,keep",
        ),
    ]);
    assert_eq!((actions(&kit).as_str(), gaps(&kit).as_str()), ("a renew, b renew, c keep", ""));
}

#[test]
fn a_type_that_lets_a_fastener_go_back_does_not_where_it_is_turned_by_an_angle() {
    let kit = service(&[
        ("parts", "part,type,single_use | K1,fastener,no"),
        (
            "positions",
            "position,part,joint,torque,when_disturbed | a,F1,face,20 N·m; +90°, | b,F1,face,20 N·m, \
             | c,W1,face,9 N·m; +60°, | d,K1,face,9 N·m; +90°, | e,F1,face,9 N·m; +90°,keep",
        ),
    ]);
    assert_eq!(actions(&kit), "a renew, b keep, c renew, d keep, e keep");
}

#[test]
fn what_is_pressed_into_a_renewed_carrier_is_renewed_unless_part_or_position_say_otherwise() {
    let kit = service(&[
        ("parts", "part,type,single_use | K1,fastener,no"),
        (
            "positions",
            "position,part,reached_by,carried_by,when_disturbed | top,W1,-,, | a,F1,,top, | b,K1,,top, \
             | c,W2,,top,inspect",
        ),
        ("job_lines", "job,position | service,top"),
    ]);
    assert_eq!(actions(&kit), "top renew, a renew, b keep, c inspect");
}

#[test]
fn what_is_carried_by_a_position_that_is_left_out_is_left_out() {
    let kit = service(&[
        (
            "positions",
            "position,part,reached_by,carried_by,when_disturbed | base,F1,,side,keep | side,W2,,top, | top,W1,-,,",
        ),
        ("job_lines", "job,position,part | service,top,-"),
    ]);
    assert_eq!(actions(&kit), "base leave-out, side leave-out, top leave-out");
    assert_eq!((lines(&kit).as_str(), gaps(&kit).as_str()), ("", ""));
}

#[test]
fn what_the_job_renews_is_renewed_although_its_carrier_is_left_out() {
    let kit = service(&[
        ("positions", "position,part,reached_by,carried_by | side,W2,-,top | top,W1,-,"),
        ("job_lines", "job,position,part | service,top,- | service,side,"),
    ]);
    assert_eq!(actions(&kit), "side renew, top leave-out");
}

#[test]
fn positions_that_carry_each_other_count_as_carried_by_what_is_kept() {
    let kit = service(&[(
        "positions",
        "position,part,joint,carried_by | top,F1,face,side | side,F2,face,top",
    )]);
    assert_eq!(actions(&kit), "top keep, side keep");
}

#[test]
fn an_owners_type_goes_before_a_shipped_one_of_any_name_and_keeps_its_other_names() {
    let kit = service(&[
        ("types", "type,also_called,when_disturbed | ring plate,bearing,keep | Gasket,,keep"),
        ("parts", "part,type | K1,ball bearing | K2,flat gasket | K3,ring plate"),
        ("positions", "position,part,joint | a,K1,face | b,K2,face | c,K3,face"),
    ]);
    assert_eq!((actions(&kit).as_str(), gaps(&kit).as_str()), ("a inspect, b keep, c keep", ""));
}
