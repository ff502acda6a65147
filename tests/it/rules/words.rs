//! Words: which row speaks, and how cells are compared.

use super::*;

#[test]
fn of_the_rows_that_surely_apply_the_first_in_table_order_is_used() {
    let positions =
        "position,part,years,joint | top,S3,2005-,face | top,S1,-2000,face | top,S2,,face";
    let kit = service(&[("positions", positions)]);
    assert_eq!(parts(&kit, "top"), "1 S1");
    assert_eq!(gaps(&kit), "overlap top");
}

#[test]
fn table_order_is_files_by_path_and_then_lines() {
    let kit = service(&[
        ("b/positions", "position,part,joint | top,S1,face"),
        ("a/positions", "position,part,joint | side,F1,face | top,S2,face"),
    ]);
    assert_eq!(parts(&kit, "top"), "1 S2");
    assert_eq!(actions(&kit), "side keep, top renew");
}

#[test]
fn where_no_row_surely_applies_the_first_of_those_that_may_is_used() {
    let kit = service_of_stray(&[(
        "positions",
        "position,part,years,joint | top,S1,2005-,face | top,S2,-2004,face",
    )]);
    assert_eq!(parts(&kit, "top"), "1 S1");
    assert_eq!(gaps(&kit), "not-settled top");
}

#[test]
fn a_row_that_surely_applies_goes_before_an_earlier_one_that_may() {
    let kit = service_of_stray(&[(
        "positions",
        "position,part,years,joint | top,S1,2005-,face | top,S2,,face",
    )]);
    assert_eq!(parts(&kit, "top"), "1 S2");
}

#[test]
fn a_limit_that_excludes_the_machine_outweighs_one_that_cannot_be_judged() {
    let kit = service_of_stray(&[(
        "positions",
        "position,part,model,years,joint | top,S1,Birch,2005-,face | top,S2,,,face",
    )]);
    assert_eq!(parts(&kit, "top"), "1 S2");
    assert_eq!(gaps(&kit), "");
}

#[test]
fn every_kind_of_limit_can_exclude_a_row_and_all_that_hold_let_it_in() {
    for (limits, part) in [
        ("model=Alder", "S1"),
        ("model=birch;ALDER", "S1"),
        ("model=Birch", "S2"),
        ("years=1990;1998-1999", "S1"),
        ("years=2000-", "S2"),
        ("serials=B1200-B4999", "S1"),
        ("serials=-b1999", "S2"),
        ("only=EU;not carb", "S1"),
        ("only=EU;carb", "S2"),
        ("only=not eu", "S2"),
    ] {
        let (column, cell) = limits.split_once('=').expect("a column");
        let positions = format!("position,part,joint,{column} | top,S1,face,{cell} | top,S2,face,");
        let kit = service(&[("positions", &positions)]);
        assert!(parts(&kit, "top").ends_with(part), "{limits}");
    }
}

#[test]
fn a_serial_of_another_prefix_cannot_be_judged() {
    let kit = service(&[("positions", "position,part,serials,joint | top,S1,C100-C300,face")]);
    assert_eq!(gaps(&kit), "not-settled top");
}

#[test]
fn keys_and_part_numbers_are_known_in_any_spelling_and_shown_as_their_own_table_spells_them() {
    let kit = kit(
        &[
            ("parts", "part,type | TV-10.20/3,soft seal"),
            ("positions", "position,part,joint | Top Cover,tv10203,FACE"),
            ("jobs", "job | Service"),
            ("job_lines", "job,operation | SERVICE,OPEN"),
        ],
        &ask("sErViCe", "MILL"),
    );
    assert_eq!((kit.machine.as_str(), kit.jobs.join(",")), ("mill", "Service".to_owned()));
    assert_eq!((operations(&kit).as_str(), kit.joints.join(",")), ("open", "face".to_owned()));
    assert_eq!(lines(&kit), "1 TV-10.20/3 single-use for Top Cover");
}
