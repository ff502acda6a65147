//! What does not add up: the way in, gaps between rows, parts from elsewhere.

use super::*;

/// The gaps of a service of the mill with these positions (position, part, joint, reached_by,
/// carried_by) and these job lines (position, part).
fn way_in(positions: &str, lines: &str) -> String {
    gaps(&service(&[
        ("positions", &format!("position,part,joint,reached_by,carried_by {positions}")),
        ("job_lines", &format!("job,operation,position,part | service,open,, {lines}")),
        ("operations", "operation,opens,removes | open,face,side | dig,, | pry,lid,"),
        ("joints", "joint,dry | face,yes | lid,yes | tray,yes"),
    ]))
}

const TOP_RENEWED: &str = "| service,,top,";
const SIDE: &str = "| side,F1,,,";

#[test]
fn a_renewed_position_with_no_joint_no_way_in_and_nothing_that_removes_it_has_no_known_way_in() {
    assert_eq!(way_in(&format!("{SIDE} | top,W1,,,"), TOP_RENEWED), "way-in-unknown top");
    assert_eq!(way_in(&format!("{SIDE} | top,W1,,-,"), TOP_RENEWED), "", "nothing comes apart");
    assert_eq!(way_in(&format!("{SIDE} | top,W1,,dig,"), TOP_RENEWED), "");
    assert_eq!(way_in("| side,W1,,,", "| service,,side,"), "", "an operation takes it off");
}

#[test]
fn a_renewed_position_whose_joint_stays_shut_has_no_known_way_in() {
    assert_eq!(way_in(&format!("{SIDE} | top,W1,lid,,"), TOP_RENEWED), "way-in-unknown top");
    assert_eq!(way_in(&format!("{SIDE} | top,W1,lid,dig,"), TOP_RENEWED), "way-in-unknown top");
    assert_eq!(way_in(&format!("{SIDE} | top,W1,lid,pry,"), TOP_RENEWED), "");
    assert_eq!(way_in(&format!("{SIDE} | top,W1,face,,"), TOP_RENEWED), "");
    assert_eq!(
        way_in(&format!("{SIDE} | top,W1,face;tray,,"), TOP_RENEWED),
        "way-in-unknown top",
        "what is renewed leaves all its joints"
    );
    assert_eq!(way_in(&format!("{SIDE} | top,W1,face;tray,-,"), TOP_RENEWED), "");
}

#[test]
fn a_position_left_empty_needs_a_way_in_only_where_something_sits() {
    let empty = "| service,,top,-";
    assert_eq!(way_in(&format!("{SIDE} | top,W1,,,"), empty), "way-in-unknown top");
    assert_eq!(way_in(&format!("{SIDE} | top,-,,,"), empty), "");
}

#[test]
fn what_goes_with_its_carrier_needs_no_way_in_of_its_own() {
    let carried = "| side,W1,,, | top,W2,lid,,side";
    assert_eq!(way_in(carried, "| service,,side,"), "");
    assert_eq!(way_in(carried, "| service,,side,-"), "");
    assert_eq!(way_in(carried, TOP_RENEWED), "way-in-unknown top", "the carrier stays");
}

#[test]
fn what_is_only_inspected_or_unknown_raises_no_question_of_a_way_in() {
    assert_eq!(way_in("| side,F1,,, | top,W1,face;tray,,", ""), "");
    assert_eq!(
        way_in(SIDE, "| service,,nowhere,"),
        "part-unknown nowhere, position-unknown nowhere"
    );
}

/// The gaps of a service with these rows of `top` (part, model, years, serials, joint).
fn between(rows: &str, more: Typed) -> String {
    let positions = format!("position,part,model,years,serials,joint {rows}");
    let mut typed = vec![("positions", positions.as_str())];
    typed.extend_from_slice(more);
    gaps(&service(&typed))
}

#[test]
fn a_machine_built_between_the_rows_of_a_position_is_not_taken_to_have_nothing_there() {
    assert_eq!(between("| top,S1,,..1997,,face | top,S2,,2001..,,face", &[]), "between-rows top");
    assert_eq!(between("| top,S1,,,..B1999,face | top,S2,,,B2001..,face", &[]), "between-rows top");
}

#[test]
fn rows_on_one_side_only_or_a_row_with_a_dash_leave_nothing_open() {
    assert_eq!(between("| top,S1,,..1997,,face", &[]), "");
    assert_eq!(between("| top,S1,,2001..,,face | top,S2,,2005..,,face", &[]), "");
    assert_eq!(
        between("| top,S1,,..1997,,face | top,-,,1998..2000,,face | top,S2,,2001..,,face", &[]),
        ""
    );
    assert_eq!(between("| top,S1,,1990;2006,,face", &[]), "", "one row may have a hole of its own");
}

#[test]
fn rows_that_another_limit_excludes_as_well_do_not_count() {
    assert_eq!(between("| top,S1,Birch,..1997,,face | top,S2,,2001..,,face", &[]), "");
    assert_eq!(
        between("| top,S1,Alder,..1997,,face | top,S2,,2001..,,face", &[]),
        "between-rows top"
    );
}

#[test]
fn what_the_log_says_sits_there_settles_it() {
    let rows = "| top,S1,,..1997,,face | top,S2,,2001..,,face";
    let log = |part: &str| format!("date,machine,position,part | ,mill,top,{part}");
    assert_eq!(between(rows, &[("worklog", &log("S3"))]), "");
    assert_eq!(between(rows, &[("worklog", &log("-"))]), "");
}

#[test]
fn between_rows_is_asked_only_where_the_joint_of_the_first_row_opens_or_the_job_changes_it() {
    let rows = "| top,S1,,..1997,,lid | top,S2,,2001..,,face";
    assert_eq!(between(rows, &[]), "");
    let target = ("job_lines", "job,operation,position,part | service,open,top,-");
    assert_eq!(between(rows, &[target]), "between-rows top");
    let forced = ("job_lines", "job,operation,position | service,open,top");
    assert!(between(rows, &[forced]).contains("between-rows top"));
}

/// The gaps of a service in which `top` sits in the opened joint and `side` is logged as W2.
fn foreign(positions: &str, more: Typed) -> String {
    let positions = format!("position,assembly,part,model,joint {positions}");
    let mut typed = vec![
        ("positions", positions.as_str()),
        ("worklog", "date,machine,position,part | ,mill,side,W2"),
    ];
    typed.extend_from_slice(more);
    gaps(&service(&typed))
}

const OF_THE_BIRCH: &str = "| side,Leg,W1,Alder,lid | side,Leg,W2,Birch,lid";

#[test]
fn a_logged_part_that_only_rows_for_other_machines_list_speaks_of_a_foreign_assembly() {
    let disturbed = format!("{OF_THE_BIRCH} | top,leg,S1,,face");
    assert_eq!(foreign(&disturbed, &[]), "foreign-part side");
    let by_chain = "| side,Leg,W1,Alder,lid | side,Leg,W3,Birch,lid | top,Leg,S1,,face";
    assert_eq!(foreign(by_chain, &[("supersessions", "old,new | W3,W2")]), "foreign-part side");
}

#[test]
fn a_foreign_part_is_asked_about_only_where_its_own_assembly_is_disturbed() {
    assert_eq!(foreign(&format!("{OF_THE_BIRCH} | top,Head,S1,,face"), &[]), "");
    assert_eq!(
        foreign("| side,,W1,Alder,lid | side,,W2,Birch,lid | top,,S1,,face", &[]),
        "",
        "a blank assembly is none"
    );
}

#[test]
fn a_part_that_nobody_lists_or_that_a_row_for_this_machine_lists_is_not_foreign() {
    assert_eq!(foreign("| side,Leg,W1,,lid | top,Leg,S1,,face", &[]), "");
    let both = format!("{OF_THE_BIRCH} | side,Leg,W3,Alder,lid | top,Leg,S1,,face");
    assert_eq!(foreign(&both, &[("supersessions", "old,new | W3,W2")]), "");
}

#[test]
fn a_retrofit_row_or_a_row_in_assemblies_settles_a_foreign_part() {
    let disturbed = format!("{OF_THE_BIRCH} | top,Leg,S1,,face");
    let fits = ("retrofits", "part,position,verdict | W2,side,fits");
    assert_eq!(foreign(&disturbed, &[fits]), "");
    let birch = ("assemblies", "machine,assembly,model | mill,Leg,Birch");
    assert_eq!(foreign(&disturbed, &[birch]), "");
}
