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
