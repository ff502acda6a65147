//! What the rules pass over in silence but a person should look at again.

use super::*;

fn doubts(kit: &Kit) -> Vec<&str> {
    kit.doubts.iter().map(String::as_str).collect()
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
