//! The result: what comes with what.

use super::*;

#[test]
fn what_lies_in_a_set_is_not_ordered_again() {
    let kit = service(&[
        ("positions", "position,part,quantity,joint | top,S1,3,face | side,S2,,face"),
        ("job_lines", "job,part,operation | service,F1,open"),
        ("contains", "part,contains,quantity | F1,S1,2 | F1,S3,1"),
    ]);
    assert_eq!(lines(&kit), "1 F1 new, 1 S1 single-use for top, 1 S2 single-use for side");
    assert_eq!((covered(&kit, "top").as_str(), covered(&kit, "side").as_str()), ("2 in F1", ""));
}

#[test]
fn each_of_a_provider_brings_its_contents() {
    let kit = service(&[
        ("positions", "position,part,quantity,joint | top,S1,9,face"),
        ("job_lines", "job,part,quantity,operation | service,F1,2,open"),
        ("contains", "part,contains,quantity | F1,S1,3"),
    ]);
    assert_eq!(lines(&kit), "2 F1 new, 3 S1 single-use for top");
}

#[test]
fn a_renewed_position_provides_what_its_final_part_contains_to_others_by_place_until_it_is_used_up()
{
    let kit = service(&[
        ("positions", "position,part,joint | early,S1,face | late,S1,face | pump,W1,"),
        ("job_lines", "job,position,operation | service,pump,open"),
        ("supersessions", "old,new | W1,W2"),
        ("contains", "part,contains | W2,S1 | W1,S1"),
    ]);
    assert_eq!(lines(&kit), "1 S1 single-use for late, 1 W2 new for pump");
    assert_eq!(covered(&kit, "early"), "1 in W2");
}

#[test]
fn what_is_only_inspected_or_kept_provides_nothing() {
    let kit = service(&[
        ("positions", "position,part,joint | top,S1,face | pump,W1,face | side,F1,face"),
        ("contains", "part,contains | W1,S1 | F1,S1"),
    ]);
    assert_eq!(lines(&kit), "1 S1 single-use for top");
}

#[test]
fn sets_provide_before_positions() {
    let kit = service(&[
        ("positions", "position,part,joint | pump,W1, | top,S1,face"),
        ("job_lines", "job,position,part,operation | service,pump,,open | service,,F1,"),
        ("contains", "part,contains | W1,S1 | F1,S1"),
    ]);
    assert_eq!(covered(&kit, "top"), "1 in F1");
}

#[test]
fn positions_provide_by_place_with_their_final_parts_in_order() {
    let kit = service(&[
        (
            "positions",
            "position,part,joint | b,W1, | a,W4, | one,S1,face | two,S1,face | three,S1,face",
        ),
        ("job_lines", "job,position,operation | service,a, | service,b,open"),
        ("supersessions", "old,new,together | W1,W3,pair | W1,W2,pair"),
        ("contains", "part,contains | W4,S1 | W2,S1 | W3,S1"),
    ]);
    assert_eq!(covered(&kit, "one"), "1 in W3");
    assert_eq!(covered(&kit, "two"), "1 in W2");
    assert_eq!(covered(&kit, "three"), "1 in W4");
}

#[test]
fn what_a_job_line_renews_is_covered_like_anything_else() {
    let kit = service(&[
        ("positions", "position,part | pump,W1 | top,S1"),
        ("job_lines", "job,position | service,pump | service,top"),
        ("contains", "part,contains,position | W1,S1,top"),
    ]);
    assert_eq!(
        (lines(&kit).as_str(), covered(&kit, "top").as_str()),
        ("1 W1 new for pump", "1 in W1")
    );
}

#[test]
fn what_a_position_gets_does_not_come_out_of_its_own_part() {
    let kit = service(&[
        ("positions", "position,part,joint,quantity | top,S1,face,2"),
        ("contains", "part,contains | S1,S1 | S1,S2 | S2,S1"),
    ]);
    assert_eq!(lines(&kit), "2 S1 single-use for top");
}

#[test]
fn what_lies_in_one_of_several_parts_for_a_position_does_not_go_to_another_of_them() {
    let kit = service(&[
        ("positions", "position,part,joint | top,S1,face"),
        ("supersessions", "old,new,together | S1,S2,pair | S1,F1,pair"),
        ("contains", "part,contains,position | S2,F1,top | S2,F1,"),
    ]);
    assert_eq!(covered(&kit, "top"), "");
    assert_eq!(lines(&kit), "1 F1 single-use for top, 1 S2 single-use for top");
}

#[test]
fn a_named_position_gets_the_contained_part_whatever_its_number_there() {
    let kit = service(&[
        ("positions", "position,part,joint | pump,W1, | early,S1,face | top,S5,face"),
        ("job_lines", "job,position,operation | service,pump,open"),
        ("contains", "part,contains,position | W1,S1,top"),
    ]);
    assert_eq!(lines(&kit), "1 S1 single-use for early, 1 W1 new for pump");
    assert_eq!(covered(&kit, "top"), "1 in W1");
}

#[test]
fn without_a_named_position_a_contained_part_serves_wherever_it_is_free_on_the_chain() {
    let with = |supersessions: &str, contained: &str| {
        let kit = service(&[
            ("positions", "position,part,joint | top,S1,face | side,W1,"),
            ("job_lines", "job,part,operation | service,F1,open"),
            ("supersessions", supersessions),
            ("contains", &format!("part,contains | F1,{contained}")),
        ]);
        covered(&kit, "top")
    };
    assert_eq!(with("old,new | S1,S2 | S2,S3", "S1"), "1 in F1", "the first number still does");
    assert_eq!(with("old,new | S1,S2 | S2,S3", "S3"), "1 in F1");
    let needs = "old,new,needs | S1,S2,side | S2,S3,";
    assert_eq!(with(needs, "S1"), "", "a later row needs something else to change");
    assert_eq!(with(needs, "S2"), "1 in F1", "nothing that comes after it needs anything");
    assert_eq!(with("old,new | S2,S1", "S2"), "", "an earlier number is not on the chain");
}

#[test]
fn a_part_that_stays_in_a_group_with_needs_is_free_itself() {
    let kit = service(&[
        ("positions", "position,part,joint | top,S1,face | side,W1,"),
        ("job_lines", "job,part,operation | service,F1,open"),
        ("supersessions", "old,new,together,needs | S1,S1,backed, | S1,S2,backed,side"),
        ("contains", "part,contains | F1,S1"),
    ]);
    assert_eq!(lines(&kit), "1 F1 new, 1 S2 single-use for top, 1 W1 companion for side");
}

#[test]
fn contents_are_unpacked_in_table_order_and_depth_first() {
    // F1 holds a bag and a ring; the bag, which is opened first, holds a ring as well.
    let kit = service(&[
        ("positions", "position,part,joint | one,S1,face | two,S1,face"),
        ("job_lines", "job,part,operation | service,F1,open"),
        ("contains", "part,contains | F1,F2 | F1,S1 | F2,S1"),
    ]);
    assert_eq!(
        (covered(&kit, "one").as_str(), covered(&kit, "two").as_str()),
        ("1 in F2", "1 in F1")
    );
    assert_eq!(lines(&kit), "1 F1 new");
}

#[test]
fn contents_multiply_through_a_bag_in_a_bag_and_what_covers_is_the_innermost() {
    let kit = service(&[
        ("positions", "position,part,quantity,joint | top,S1,20,face"),
        ("job_lines", "job,part,quantity,operation | service,F1,2,open"),
        ("contains", "part,contains,quantity | F1,F2,3 | F2,S1,2 | F1,S1,1"),
    ]);
    assert_eq!(covered(&kit, "top"), "12 in F2, 2 in F1");
    assert_eq!(lines(&kit), "2 F1 new, 6 S1 single-use for top");
}

#[test]
fn a_part_is_never_inside_itself() {
    let kit = service(&[
        ("positions", "position,part,quantity,joint | top,S1,20,face | side,F1,,"),
        ("job_lines", "job,part,position,operation | service,F1,,open | service,,side,"),
        ("contains", "part,contains | F1,F2 | F2,F1 | F2,S1"),
    ]);
    assert_eq!(covered(&kit, "top"), "2 in F2");
}

#[test]
fn a_provider_that_is_itself_covered_brings_its_contents_only_once() {
    let kit = service(&[
        ("positions", "position,part,joint | one,S1,face | two,S1,face | liner,S2,face"),
        ("job_lines", "job,part,operation | service,F1,open"),
        ("contains", "part,contains,position | F1,S2,liner | S2,S1,"),
    ]);
    // The liner comes with the set and its one ring with the liner: the second ring is ordered.
    assert_eq!(
        (covered(&kit, "liner").as_str(), covered(&kit, "one").as_str()),
        ("1 in F1", "1 in S2")
    );
    assert_eq!(lines(&kit), "1 F1 new, 1 S1 single-use for two");
}

#[test]
fn covers_by_one_container_are_summed() {
    let kit = service(&[
        ("positions", "position,part,quantity,joint | top,S1,5,face"),
        ("job_lines", "job,part,operation | service,F1,open"),
        ("contains", "part,contains,quantity,position | F1,S1,2, | F1,S1,1,top"),
    ]);
    assert_eq!(
        (covered(&kit, "top").as_str(), lines(&kit).as_str()),
        ("3 in F1", "1 F1 new, 2 S1 single-use for top")
    );
}

#[test]
fn contents_in_another_unit_of_the_same_kind_count_and_of_another_kind_do_not() {
    let kit = service(&[
        ("positions", "position,part,quantity,joint | fill,L1,1 L,face | bleed,L2,1 L,face"),
        ("job_lines", "job,part,operation | service,F1,open"),
        ("contains", "part,contains,quantity | F1,L1,300 ml | F1,L2,2"),
    ]);
    assert_eq!(
        (covered(&kit, "fill").as_str(), covered(&kit, "bleed").as_str()),
        ("0.3 in F1", "")
    );
    assert_eq!(lines(&kit), "0.7 L L1 single-use for fill, 1 F1 new, 1 L L2 single-use for bleed");
}

#[test]
fn amounts_beyond_all_measure_are_no_reason_to_break_off() {
    let chain = "old,new,quantity | S1,S2,1000000000 | S2,S3,1000000000 | S3,S4,1000000000 | S4,S5,1000000000";
    let bags = "part,contains,quantity | F1,F2,1000000000 | F2,F3,1000000000 | F3,F4,1000000000 | F4,S1,1000000000";
    for contents in ["part,contains,quantity | F1,S1,1", bags] {
        let kit = service(&[
            ("positions", "position,part,joint | top,S1,face | side,S1,face"),
            ("job_lines", "job,part,operation | service,F1,open | service,F1,"),
            ("supersessions", chain),
            ("contains", contents),
        ]);
        assert_eq!(actions(&kit), "top renew, side renew");
    }
}

#[test]
fn what_gives_and_is_covered_afterwards_gives_nothing_after_all() {
    let with = |contents: &str| {
        service(&[
            ("positions", "position,part,joint | early,W1, | ring,S1,face | late,W2,"),
            ("job_lines", "job,position,operation | service,late,open"),
            ("operations", "operation,opens | open,face"),
            ("supersessions", "old,new,needs | W2,W3,early"),
            ("contains", &format!("part,contains,position | W1,S1, | {contents}")),
        ])
    };
    let kit = with("W3,W1,early");
    assert_eq!(covered(&kit, "early"), "1 in W3");
    assert_eq!(covered(&kit, "ring"), "1 in W1", "the one that arrives inside brings its ring");
    assert_eq!(lines(&kit), "1 W3 new for late");
    let kit = with("W3,W4,early");
    assert_eq!((covered(&kit, "early").as_str(), covered(&kit, "ring").as_str()), ("1 in W3", ""));
    assert_eq!(lines(&kit), "1 S1 single-use for ring, 1 W3 new for late");
}

#[test]
fn to_a_target_nothing_is_given_but_the_target_itself_or_what_comes_after_it() {
    let with = |contents: &str| {
        let kit = service(&[
            ("positions", "position,part | top,S1 | pump,W1"),
            ("supersessions", "old,new | S1,S2 | S2,S3"),
            ("job_lines", "job,position,part | service,top,S2 | service,pump,"),
            ("contains", &format!("part,contains,position | W1,{contents}")),
        ]);
        covered(&kit, "top")
    };
    assert_eq!([with("S1,top"), with("S1,"), with("S4,top")], ["", "", ""]);
    assert_eq!([with("S2,top"), with("S3,"), with("S2,pump")], ["1 in W1", "1 in W1", ""]);
}

#[test]
fn a_position_that_the_job_only_renews_is_no_target_and_may_be_covered_by_name() {
    let kit = service(&[
        ("positions", "position,part,reached_by | top,W1,-"),
        ("job_lines", "job,position,part | service,top, | service,,F1"),
        ("contains", "part,contains,position | F1,W4,top"),
    ]);
    assert_eq!((covered(&kit, "top").as_str(), lines(&kit).as_str()), ("1 in F1", "1 F1 new"));
}
