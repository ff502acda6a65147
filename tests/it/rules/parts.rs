//! Parts: what goes to a renewed position.

use super::*;

#[test]
fn a_target_takes_its_own_quantity_or_the_positions() {
    let kit = service(&[
        ("positions", "position,part,quantity | top,W1,4 | side,W1,4"),
        ("job_lines", "job,position,part,quantity | service,top,W1,3 | service,side,W1,"),
    ]);
    assert_eq!((parts(&kit, "top").as_str(), parts(&kit, "side").as_str()), ("3 W1", "4 W1"));
}

#[test]
fn a_target_takes_the_place_of_what_sits_there() {
    let kit = service(&[
        ("positions", "position,part | top,W1"),
        ("job_lines", "job,position,part | service,top,W2"),
        ("worklog", "date,machine,position,part | ,mill,top,W3"),
        ("retrofits", "part,position,verdict | W2,top,fits"),
    ]);
    assert_eq!(
        (parts(&kit, "top").as_str(), current(&kit, "top").as_deref()),
        ("1 W2", Some("W3"))
    );
}

#[test]
fn a_quantity_is_in_pieces_unless_it_says_otherwise_and_told_in_the_parts_unit() {
    let kit = service(&[
        ("parts", "part,type,unit | H1,soft seal,m | H2,soft seal,"),
        (
            "positions",
            "position,part,quantity,joint | a,H1,350 mm,face | b,H2,350 mm,face | c,S1,,face | d,H1,2,face",
        ),
    ]);
    assert_eq!(parts(&kit, "a"), "0.35 m H1");
    assert_eq!(parts(&kit, "b"), "350 mm H2");
    assert_eq!(parts(&kit, "c"), "1 S1");
    assert_eq!(parts(&kit, "d"), "2 H1", "pieces are not metres");
    assert_eq!(
        kit.lines.iter().filter(|line| line.part == "H1").count(),
        2,
        "one line for each unit"
    );
}

#[test]
fn a_position_to_renew_at_which_nothing_or_nobody_knows_what_sits_has_no_known_part() {
    let kit = service(&[
        ("positions", "position,part | top,- | side, | base,X1"),
        ("job_lines", "job,position | service,top | service,side | service,base"),
    ]);
    assert_eq!(gaps(&kit), "part-unknown base, part-unknown side, part-unknown top");
    assert_eq!(lines(&kit), "1 X1 new for base");
}

#[test]
fn an_unlisted_number_on_the_way_is_no_gap_if_what_it_became_is_listed() {
    let kit = superseded("old,new | S1,X9 | X9,S2");
    assert_eq!((chains(&kit, "top").as_str(), gaps(&kit).as_str()), ("S1>X9>S2", ""));
}

#[test]
fn what_is_made_no_more_is_said_of_its_number_unless_something_replaces_it() {
    let kit = service(&[("positions", "position,part,joint | top,D1,face | side,D1,face")]);
    assert_eq!(
        (gaps(&kit).as_str(), lines(&kit).as_str()),
        ("discontinued D1", "2 D1 single-use for top+side")
    );
    let kit = service(&[
        ("positions", "position,part,joint | top,D1,face"),
        ("supersessions", "old,new | D1,S2"),
    ]);
    assert_eq!((gaps(&kit).as_str(), parts(&kit, "top").as_str()), ("", "1 S2"));
}

#[test]
fn what_is_only_inspected_or_kept_may_be_made_no_more() {
    let kit = service(&[(
        "positions",
        "position,part,joint,when_disturbed | top,D1,face,inspect | side,D1,face,keep",
    )]);
    assert_eq!((gaps(&kit).as_str(), lines(&kit).as_str()), ("", ""));
}
