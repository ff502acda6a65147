//! The result: operations in strip order.

use super::*;

#[test]
fn operations_come_in_table_order_as_far_as_their_needs_allow() {
    let kit = service(&[
        ("job_lines", "job,operation | service,c | service,a | service,d"),
        ("operations", "operation,needs,model | d,c,Birch | a,b, | b,, | c,, | d,c,"),
    ]);
    // d stands first by its row for other machines, so it goes as soon as c is placed.
    assert_eq!(operations(&kit), "b, a, c, d");
    let kit = service(&[
        ("job_lines", "job,operation | service,a | service,d"),
        ("operations", "operation,needs,model | d,c,Birch | a,c, | c,, | d,c,"),
    ]);
    assert_eq!(operations(&kit), "c, d, a");
}

#[test]
fn a_need_without_a_row_for_the_machine_counts_as_placed() {
    let kit =
        service(&[("operations", "operation,needs,model | open,shield;ghost, | shield,,Birch")]);
    assert_eq!(
        (operations(&kit).as_str(), gaps(&kit).as_str()),
        ("open", "operation-unknown ghost")
    );
}

#[test]
fn of_operations_that_wait_for_each_other_the_earliest_that_needs_itself_is_placed_with_a_gap() {
    let kit = service(&[
        ("job_lines", "job,operation | service,after"),
        ("operations", "operation,needs | after,x | x,y | y,z | z,x"),
    ]);
    // after only waits; x is the earliest in the circle; once it is placed, after goes, then z, then y.
    assert_eq!(
        (operations(&kit).as_str(), gaps(&kit).as_str()),
        ("x, after, z, y", "operation-cycle x")
    );
    let kit = service(&[
        ("job_lines", "job,operation | service,a | service,c"),
        ("operations", "operation,needs | a,b | b,a | c,c;d | d,"),
    ]);
    assert_eq!(
        (operations(&kit).as_str(), gaps(&kit).as_str()),
        ("d, a, b, c", "operation-cycle a, operation-cycle c")
    );
}

#[test]
fn what_is_done_when_the_machine_is_together_again_comes_last_with_all_that_needs_it() {
    let kit = service(&[
        ("job_lines", "job,operation | service,test | service,open"),
        (
            "operations",
            "operation,needs,phase | test,bleed, | bleed,fill,after | fill,,after | open,, | lift,, ",
        ),
    ]);
    assert_eq!(operations(&kit), "open, fill, bleed, test");
    assert_eq!(gaps(&kit), "");
}

#[test]
fn what_is_done_afterwards_opens_joints_and_uses_things_all_the_same() {
    let kit = service(&[
        ("job_lines", "job,operation | service,again"),
        ("operations", "operation,opens,uses,phase | again,face,L1=1 L,after"),
        ("positions", "position,part,joint | top,S1,face"),
    ]);
    assert_eq!(lines(&kit), "1 L L1 consumable, 1 S1 single-use for top");
}
