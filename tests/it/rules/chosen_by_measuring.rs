//! Chosen by measuring.

use super::*;

const GRADED: (&str, &str) = ("positions", "position,part,joint | top,,face");
const GRADES: (&str, &str) = (
    "selections",
    "position,feature,least,most,part | top,gap,,0.19,S1 | top,gap,0.2,0.29,S2 | top,gap,0.3,,S3",
);

/// What goes to `top` and the gaps, with these readings and this log.
fn chosen(readings: &str, log: &str) -> (String, String) {
    let kit = service(&[
        GRADED,
        GRADES,
        ("measurements", &format!("date,machine,position,feature,value {readings}")),
        ("worklog", &format!("date,machine,position,part {log}")),
    ]);
    (parts(&kit, "top"), gaps(&kit))
}

fn pair(parts: &str, gaps: &str) -> (String, String) {
    (parts.to_owned(), gaps.to_owned())
}

#[test]
fn the_reading_chooses_the_part_with_both_limits_included_and_a_blank_one_none() {
    for (value, part) in
        [("0.01", "1 S1"), ("0.19", "1 S1"), ("0.2", "1 S2"), ("0.29", "1 S2"), ("7", "1 S3")]
    {
        let reading = format!("| 2020-01-01,mill,top,gap,{value}");
        assert_eq!(chosen(&reading, ""), pair(part, ""), "{value}");
    }
}

#[test]
fn without_a_reading_that_chooses_exactly_one_it_is_to_be_measured_first() {
    let open = pair("", "measure-first top");
    assert_eq!(chosen("", ""), open);
    assert_eq!(chosen("| 2020-01-01,mill,top,gap,0.195", ""), open, "between two grades");
    assert_eq!(chosen("| 2020-01-01,stray,top,gap,0.1", ""), open, "another machine");
    assert_eq!(chosen("| 2020-01-01,mill,side,gap,0.1", ""), open, "another position");
    assert_eq!(chosen("| 2020-01-01,mill,top,width,0.1", ""), open, "another feature");
    let kit = service(&[
        GRADED,
        ("selections", "position,feature,least,most,part | top,gap,0,1,S1 | top,gap,1,2,S2"),
        ("measurements", "date,machine,position,feature,value | 2020-01-01,mill,top,gap,1"),
    ]);
    assert_eq!((parts(&kit, "top").as_str(), gaps(&kit).as_str()), ("", "measure-first top"));
}

#[test]
fn the_latest_reading_counts_and_of_one_day_the_last_in_table_order() {
    let readings = "| 2020-02-01,mill,top,gap,0.1 | 2020-02-01,mill,top,gap,0.25 \
        | 2019-12-31,mill,top,gap,0.5";
    assert_eq!(chosen(readings, ""), pair("1 S2", ""));
}

#[test]
fn a_reading_older_than_the_last_part_logged_there_counts_no_more() {
    let reading = "| 2020-02-01,mill,top,gap,0.1";
    assert_eq!(chosen(reading, "| 2019-01-01,mill,top,S3"), pair("1 S1", ""));
    assert_eq!(chosen(reading, "| 2020-02-01,mill,top,S3"), pair("1 S1", ""), "of the same day");
    assert_eq!(chosen(reading, "| 2020-03-01,mill,top,"), pair("1 S1", ""), "no part was fitted");
    let stale = chosen(reading, "| 2020-03-01,mill,top,S3");
    assert_eq!(stale, pair("", "measure-first top"));
}

#[test]
fn what_is_chosen_decides_the_action_and_what_is_not_there_is_renewed() {
    let typed = |sits: &str, value: &str| {
        let kit = service(&[
            ("positions", "position,part,joint | top,,face"),
            ("selections", "position,feature,least,most,part | top,gap,,1,F1 | top,gap,1.1,,F2"),
            (
                "measurements",
                &format!("date,machine,position,feature,value | 2020-01-01,mill,top,gap,{value}"),
            ),
            ("worklog", &format!("date,machine,position,part | 2001,mill,top,{sits}")),
        ]);
        (actions(&kit), gaps(&kit))
    };
    assert_eq!(typed("F1", "0.5"), pair("top keep", ""), "the same fastener goes back");
    assert_eq!(typed("F1", "1.5"), pair("top renew", ""), "another one is wanted");
}

#[test]
fn a_chosen_part_on_the_chain_of_what_sits_there_is_no_other_part() {
    let kit = service(&[
        ("positions", "position,part,joint | top,F1,face"),
        ("supersessions", "old,new | F1,F2"),
        ("selections", "position,feature,least,most,part | top,gap,0,1,F2"),
        ("measurements", "date,machine,position,feature,value | 2020-01-01,mill,top,gap,0.5"),
    ]);
    assert_eq!((actions(&kit).as_str(), gaps(&kit).as_str()), ("top keep", ""));
}

#[test]
fn a_chosen_part_goes_in_as_what_it_became() {
    let kit = service(&[
        GRADED,
        GRADES,
        ("supersessions", "old,new | S2,S4"),
        ("measurements", "date,machine,position,feature,value | 2020-01-01,mill,top,gap,0.25"),
    ]);
    assert_eq!((chains(&kit, "top").as_str(), gaps(&kit).as_str()), ("S2>S4", ""));
}

#[test]
fn a_part_that_the_job_names_is_not_chosen_by_measuring() {
    let kit = service(&[
        ("positions", "position,part,joint,reached_by | top,S5,face,open"),
        GRADES,
        ("job_lines", "job,position,part | service,top,S5"),
    ]);
    assert_eq!((parts(&kit, "top").as_str(), gaps(&kit).as_str()), ("1 S5", ""));
}

#[test]
fn what_stays_need_not_be_measured() {
    let kit =
        service(&[("positions", "position,part,joint,when_disturbed | top,,face,keep"), GRADES]);
    assert_eq!((actions(&kit).as_str(), gaps(&kit).as_str()), ("top keep", ""));
}

#[test]
fn selections_for_other_machines_choose_nothing_and_those_that_may_be_leave_it_unsettled() {
    let graded = |years: &str| {
        gaps(&service_of_stray(&[
            ("positions", "position,part,joint | top,S1,face"),
            (
                "selections",
                &format!("position,feature,least,most,part,model,years | top,gap,0,1,S2,{years}"),
            ),
        ]))
    };
    assert_eq!(graded("Birch,"), "");
    assert_eq!(graded(",..2004"), "not-settled top");
}
