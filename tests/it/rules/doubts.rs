//! What the rules pass over in silence but a person should look at again.

use super::*;

/// The doubts of a kit, less those about ways in: the small catalogs here name none.
fn doubts(kit: &Kit) -> Vec<&str> {
    kit.doubts
        .iter()
        .map(String::as_str)
        .filter(|doubt| !doubt.contains("names no way in"))
        .collect()
}

/// The one doubt of a kit that is complete all the same.
fn doubt(kit: &Kit) -> &str {
    assert!(kit.complete, "a doubt is no gap");
    match doubts(kit).as_slice() {
        [doubt] => doubt,
        other => panic!("{other:?}"),
    }
}

#[test]
fn a_position_without_a_way_in_that_nothing_takes_apart_is_a_doubt() {
    let kit = service(&[
        ("positions", "position,part | side,W1"),
        ("job_lines", "job,position | service,side"),
    ]);
    assert!(
        kit.complete && kit.doubts.iter().any(|doubt| doubt.contains("names no way in")),
        "{:?}",
        kit.doubts
    );
}

#[test]
fn a_joint_that_its_own_way_in_does_not_open_is_a_doubt() {
    let tables = [
        ("positions", "position,part,joint,reached_by | seal,S1,face,open | other,S1,fase,open"),
        ("operations", "operation,opens | open,face"),
        ("job_lines", "job,position | service,seal"),
    ];
    let kit = service(&tables);
    assert!(
        doubt(&kit).contains("other") && doubt(&kit).contains("did you mean face?"),
        "{}",
        doubt(&kit)
    );
}

#[test]
fn a_tidy_catalog_leaves_no_doubt() {
    assert!(service(&[PUMP]).doubts.is_empty());
}

#[test]
fn fewer_of_a_part_there_already_than_are_called_for_is_a_doubt() {
    let with = |needs| superseded_with_side(needs, "side,W2,2");
    let kit = with("S1,S2,side=W2*3");
    assert!(doubt(&kit).contains("side") && doubt(&kit).contains('3'), "{}", doubt(&kit));
    assert!(with("S1,S2,side=W2*2").doubts.is_empty());
    assert!(with("S1,S2,side=W2").doubts.is_empty());
}

#[test]
fn a_second_call_for_more_of_the_same_part_is_a_doubt() {
    let with = |first: &str, second: &str| {
        service(&[
            THREE_PLACES,
            (
                "job_lines",
                &format!(
                    "job,position,part,quantity | service,top,W1,{first} | service,top,W1,{second}"
                ),
            ),
        ])
    };
    assert!(doubt(&with("2", "3")).contains("top"));
    assert!(doubts(&with("3", "2")).is_empty());
}

#[test]
fn a_position_that_only_an_unused_row_puts_into_an_opened_joint_is_a_doubt() {
    let kit = service(&[(
        "positions",
        "position,part,joint | seal,S1,face | side,W1,lid | side,W1,face",
    )]);
    assert!(
        doubt(&kit).contains("side") && doubt(&kit).contains("positions.csv:4"),
        "{}",
        doubt(&kit)
    );
}

#[test]
fn what_the_successor_of_a_set_or_a_consumable_needs_is_a_doubt() {
    let kit = service(&[
        ("positions", "position,part | side,W1"),
        ("job_lines", "job,part | service,F1"),
        ("supersessions", "old,new,needs | F1,F2,side"),
    ]);
    assert!(doubt(&kit).contains("F2") && doubt(&kit).contains("side"), "{}", doubt(&kit));
    assert_eq!(actions(&kit), "");
}

#[test]
fn counting_on_more_contents_than_arrive_is_a_doubt() {
    // W1 at `early` gives its ring away before the later assembly turns out to bring a W1 of its own.
    let kit = service(&[
        ("positions", "position,part,joint | early,W1, | ring,S1,face | late,W2,"),
        ("job_lines", "job,position,operation | service,late,open"),
        ("operations", "operation,opens | open,face"),
        ("supersessions", "old,new,needs | W2,W3,early"),
        ("contains", "part,contains,position | W1,S1, | W3,W1,early"),
    ]);
    assert_eq!(covered(&kit, "early"), "1 in W3");
    assert_eq!(covered(&kit, "ring"), "1 in W1");
    assert_eq!(lines(&kit), "1 W3 new for late");
    assert!(
        doubts(&kit).is_empty(),
        "the one that arrives inside brings its ring as well: {:?}",
        kit.doubts
    );
    let kit = service(&[
        ("positions", "position,part,joint | early,W1, | ring,S1,face | late,W2,"),
        ("job_lines", "job,position,operation | service,late,open"),
        ("operations", "operation,opens | open,face"),
        ("supersessions", "old,new,needs | W2,W3,early"),
        ("contains", "part,contains,position | W1,S1, | W3,W4,early"),
    ]);
    assert_eq!(
        (covered(&kit, "early").as_str(), covered(&kit, "ring").as_str()),
        ("1 in W3", "1 in W1")
    );
    assert!(doubt(&kit).contains("S1") && doubt(&kit).contains("W1"), "{}", doubt(&kit));
}
