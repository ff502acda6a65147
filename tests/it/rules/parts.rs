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

#[test]
fn naming_what_a_number_became_asks_for_the_whole_replacement() {
    let typed = |sits: &str, target: &str| {
        let kit = service(&[
            ("positions", "position,part,quantity,reached_by | top,W1,2,-"),
            ("job_lines", &format!("job,position,part,quantity | service,top,{target}")),
            ("supersessions", "old,new,quantity,together | W1,W2,2,pair | W1,F2,3,pair | W2,W3,5,"),
            ("worklog", &format!("date,machine,position,part {sits}")),
        ]);
        assert_eq!(gaps(&kit), "");
        parts(&kit, "top")
    };
    assert_eq!(typed("", "W1,"), "20 W3, 6 F2");
    assert_eq!(typed("", "W2,"), "20 W3, 6 F2", "the new number names the pair");
    assert_eq!(typed("", "W2,3"), "15 W3, 6 F2", "three of what is named, times five");
    assert_eq!(typed("", "F2,7"), "20 W3, 7 F2");
}

#[test]
fn what_can_be_had_under_another_makers_number_is_not_made_no_more() {
    let typed = |status: &str| {
        gaps(&service(&[
            ("parts", &format!("part,type,status | K1,soft seal,{status}")),
            ("equivalents", "part,other | D1,K1"),
            ("positions", "position,part,joint | top,D1,face"),
        ]))
    };
    assert_eq!(typed(""), "");
    assert_eq!(typed("available"), "");
    assert_eq!(typed("discontinued"), "discontinued D1");
    let kit = service(&[
        ("equivalents", "part,other | D1,X1"),
        ("positions", "position,part,joint | top,D1,face"),
    ]);
    assert_eq!(gaps(&kit), "discontinued D1", "a number that no row of parts has is no help");
}

#[test]
fn what_arrives_with_something_need_not_be_sold_but_must_not_be_withdrawn() {
    let kit = service(&[
        ("parts", "part,type,status | K1,soft seal,withdrawn"),
        ("positions", "position,part,joint | top,D1,face | side,K1,face"),
        ("job_lines", "job,part,operation | service,F1,open"),
        ("contains", "part,contains | F1,D1 | F1,K1"),
    ]);
    assert_eq!((lines(&kit).as_str(), gaps(&kit).as_str()), ("1 F1 new", "withdrawn K1"));
}
