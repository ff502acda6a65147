//! Supersession.

use super::*;

#[test]
fn a_number_is_followed_until_no_row_applies_and_the_whole_chain_is_told() {
    let kit = superseded("old,new,years | S1,S2, | S2,S3,-2000 | S3,S4,2001-");
    assert_eq!((parts(&kit, "top").as_str(), chains(&kit, "top").as_str()), ("1 S3", "S1>S2>S3"));
    assert_eq!(gaps(&kit), "");
}

#[test]
fn a_replacement_for_other_machines_is_passed_over_in_silence() {
    let kit = superseded("old,new,model | S1,S2,Birch | S1,S3,");
    assert_eq!((parts(&kit, "top").as_str(), gaps(&kit).as_str()), ("1 S3", ""));
}

#[test]
fn a_replacement_that_may_apply_is_not_followed_and_leaves_its_old_number_unsettled() {
    let positions = ("positions", "position,part,joint | top,S1,face");
    let kit =
        service_of_stray(&[positions, ("supersessions", "old,new,years | S1,S2, | S2,S3,-2000")]);
    assert_eq!((parts(&kit, "top").as_str(), gaps(&kit).as_str()), ("1 S2", "not-settled S2"));
    let kit =
        service_of_stray(&[positions, ("supersessions", "old,new,years | S1,S2,-2000 | S1,S3,")]);
    assert_eq!((parts(&kit, "top").as_str(), gaps(&kit).as_str()), ("1 S3", "not-settled S1"));
}

#[test]
fn rows_with_the_same_word_under_together_are_one_replacement_and_all_its_parts_are_needed() {
    let kit = superseded("old,new,together | S1,S2,pair | S1,F1,Pair");
    assert_eq!(
        (parts(&kit, "top").as_str(), chains(&kit, "top").as_str()),
        ("1 S2, 1 F1", "S1>S2, S1>F1")
    );
    assert_eq!(gaps(&kit), "");
}

#[test]
fn rows_with_a_blank_together_stand_alone_and_only_one_of_them_is_followed() {
    let kit = superseded("old,new,since | S1,S2,1999 | S1,S3,2003");
    assert_eq!((parts(&kit, "top").as_str(), gaps(&kit).as_str()), ("1 S3", ""));
}

#[test]
fn the_narrowest_of_several_replacements_wins_whatever_its_date_and_line() {
    let kit = superseded(
        "old,new,since,model,years | S1,S2,2010,, | S1,S3,1990,Alder,1990- | S1,S4,2012,Alder,",
    );
    assert_eq!((parts(&kit, "top").as_str(), gaps(&kit).as_str()), ("1 S3", ""));
}

#[test]
fn a_replacement_of_several_parts_is_as_narrow_as_its_narrowest_row() {
    let kit = superseded(
        "old,new,together,model,years | S1,S4,,Alder, | S1,S2,pair,, | S1,F1,pair,Alder,1990-",
    );
    assert_eq!((parts(&kit, "top").as_str(), gaps(&kit).as_str()), ("1 S2, 1 F1", ""));
}

#[test]
fn among_equally_narrow_replacements_the_latest_wins_and_a_blank_date_is_the_oldest() {
    let kit = superseded("old,new,since | S1,S2,2001 | S1,S3,2001-06 | S1,S4,");
    assert_eq!((parts(&kit, "top").as_str(), gaps(&kit).as_str()), ("1 S3", ""));
    let kit = superseded("old,new,since | S1,S4, | S1,S2,1901");
    assert_eq!((parts(&kit, "top").as_str(), gaps(&kit).as_str()), ("1 S2", ""));
}

#[test]
fn a_replacement_of_several_parts_is_as_late_as_its_latest_row() {
    let kit = superseded("old,new,together,since | S1,S4,,2005 | S1,S2,pair, | S1,F1,pair,2006");
    assert_eq!((parts(&kit, "top").as_str(), gaps(&kit).as_str()), ("1 S2, 1 F1", ""));
}

#[test]
fn of_replacements_as_good_as_each_other_the_first_is_taken_and_the_old_number_is_left_open() {
    let kit = superseded("old,new,since | S1,S2, | S2,S3,2001 | S2,S4,2001");
    assert_eq!((parts(&kit, "top").as_str(), gaps(&kit).as_str()), ("1 S3", "choice S2"));
}

#[test]
fn quantities_multiply_along_the_chain() {
    let kit = service(&[
        ("positions", "position,part,quantity,joint | top,S1,3,face"),
        ("supersessions", "old,new,quantity,together | S1,S2,2, | S2,S3,2,pair | S2,F1,5,pair"),
    ]);
    assert_eq!(parts(&kit, "top"), "12 S3, 30 F1");
}

#[test]
fn a_chain_that_leads_back_ends_before_the_repeat_and_names_the_number_it_began_with() {
    let kit = superseded("old,new | S1,S2 | S2,S3 | S3,S2");
    assert_eq!((parts(&kit, "top").as_str(), chains(&kit, "top").as_str()), ("1 S3", "S1>S2>S3"));
    assert_eq!(gaps(&kit), "supersession-cycle S1");
    let kit = superseded("old,new | S1,S1");
    assert_eq!(
        (parts(&kit, "top").as_str(), gaps(&kit).as_str()),
        ("1 S1", "supersession-cycle S1")
    );
}

#[test]
fn where_rows_of_a_group_repeat_the_chain_ends_there_once_and_the_others_go_on() {
    let kit = superseded(
        "old,new,together | S1,S2, | S2,S3, | S3,S1,pair | S3,F1,pair | S3,S2,pair | F1,F2,",
    );
    assert_eq!(
        (parts(&kit, "top").as_str(), gaps(&kit).as_str()),
        ("1 S3, 1 F2", "supersession-cycle S1")
    );
}

#[test]
fn what_a_repeating_row_needs_is_dropped() {
    let kit = service(&[
        ("positions", "position,part,joint | top,S1,face | side,W1,"),
        ("supersessions", "old,new,needs | S1,S2, | S2,S1,side"),
    ]);
    assert_eq!(
        (actions(&kit).as_str(), gaps(&kit).as_str()),
        ("top renew", "supersession-cycle S1")
    );
}

#[test]
fn a_group_that_names_the_old_number_itself_keeps_it_without_a_gap() {
    let kit = superseded("old,new,together | S1,S1,backed | S1,F1,backed | F1,F2,");
    assert_eq!(
        (parts(&kit, "top").as_str(), chains(&kit, "top").as_str()),
        ("1 S1, 1 F2", "S1, S1>F1>F2")
    );
    assert_eq!(gaps(&kit), "");
}

#[test]
fn what_the_rows_of_a_chain_need_is_collected_depth_first() {
    // S1 becomes S2 and S3; S2 goes on to S4, and that row stands last but is followed before the one to S3.
    let kit = service(&[
        ("positions", "position,part,joint | top,S1,face | side,W1,"),
        (
            "supersessions",
            "old,new,together,needs | S1,S2,pair, | S1,S3,pair,side=W3 | S2,S4,,side=W2",
        ),
    ]);
    assert_eq!((parts(&kit, "side").as_str(), gaps(&kit).as_str()), ("1 W2", "conflict side"));
}

#[test]
fn what_the_rows_of_a_chain_need_is_collected_in_the_order_of_the_chain() {
    let kit = service(&[
        ("positions", "position,part,joint | top,S1,face | side,W1,"),
        ("supersessions", "old,new,needs | S2,S3,side=W3 | S1,S2,side=W2"),
    ]);
    assert_eq!((parts(&kit, "side").as_str(), gaps(&kit).as_str()), ("1 W2", "conflict side"));
}

#[test]
fn a_chain_looked_at_only_to_compare_raises_no_gap() {
    let kit = service(&[
        ("positions", "position,part,joint | top,S1,"),
        ("job_lines", "job,position,part | service,top,S2"),
        ("supersessions", "old,new | S1,S3 | S1,S4 | S3,S1"),
    ]);
    assert_eq!(gaps(&kit), "fit-unknown top");
}

#[test]
fn swap_changes_nothing_in_a_kit() {
    for swap in ["one-way", "both-ways"] {
        let kit = service(&[
            ("positions", "position,part,joint | top,S1,face | side,S2,face"),
            ("supersessions", &format!("old,new,swap | S1,S2,{swap}")),
        ]);
        assert_eq!(
            (chains(&kit, "top").as_str(), chains(&kit, "side").as_str()),
            ("S1>S2", "S2"),
            "{swap}"
        );
    }
}

#[test]
fn of_a_group_with_one_row_that_only_may_apply_all_waits() {
    let kit = service_of_stray(&[
        ("positions", "position,part,joint | top,S1,face"),
        ("supersessions", "old,new,together,years | S1,S2,pair, | S1,S3,pair,..2004"),
    ]);
    assert_eq!((parts(&kit, "top").as_str(), gaps(&kit).as_str()), ("1 S1", "not-settled S1"));
    let kit = service_of_stray(&[
        ("positions", "position,part,joint | top,S1,face"),
        ("supersessions", "old,new,together,years | S1,S2,pair, | S1,S3,pair,..2004 | S1,S4,,"),
    ]);
    assert_eq!(
        (parts(&kit, "top").as_str(), gaps(&kit).as_str()),
        ("1 S4", "not-settled S1"),
        "another replacement does not wait for it"
    );
}

#[test]
fn rows_that_say_the_same_are_one_row() {
    let kit = superseded("old,new,quantity | S1,S2,1 | S1,S2,");
    assert_eq!((parts(&kit, "top").as_str(), gaps(&kit).as_str()), ("1 S2", ""));
    let kit = superseded("old,new,together | S1,S2,pair | S1,S3,pair | S1,S2,pair");
    assert_eq!((parts(&kit, "top").as_str(), gaps(&kit).as_str()), ("1 S2, 1 S3", ""));
    let kit = superseded("old,new,since | S1,S2,1990 | S1,S3,1995 | S1,S2,2000");
    assert_eq!((parts(&kit, "top").as_str(), gaps(&kit).as_str()), ("1 S2", ""), "the latest");
    let kit = superseded("old,new,since,model | S1,S2,1990, | S1,S3,1995, | S1,S2,,Alder");
    assert_eq!((parts(&kit, "top").as_str(), gaps(&kit).as_str()), ("1 S2", ""), "the narrowest");
}

#[test]
fn of_rows_that_say_the_same_one_that_surely_applies_is_enough_and_only_such_count() {
    let kit = service_of_stray(&[
        ("positions", "position,part,joint | top,S1,face"),
        ("supersessions", "old,new,since,years | S1,S2,1990, | S1,S2,2000,..2004 | S1,S3,1995,"),
    ]);
    assert_eq!((parts(&kit, "top").as_str(), gaps(&kit).as_str()), ("1 S3", ""));
}

#[test]
fn rows_that_differ_in_what_they_need_are_two() {
    let kit = service(&[
        ("positions", "position,part,joint,reached_by | top,S1,face, | side,F1,,-"),
        ("supersessions", "old,new,needs | S1,S2, | S1,S2,side=F2"),
    ]);
    assert_eq!((actions(&kit).as_str(), gaps(&kit).as_str()), ("top renew", "choice S1"));
}
