//! What sits there.

use super::*;

#[test]
fn the_latest_entry_in_the_log_says_what_sits_there_whatever_its_line() {
    let log = "date,machine,position,part | 2004-05-01,mill,top,S2 | 2003-12-31,mill,top,S3";
    let kit = service(&[TOP, ("worklog", log)]);
    assert_eq!(current(&kit, "top").as_deref(), Some("S2"));
    assert_eq!(parts(&kit, "top"), "2 S2");
}

#[test]
fn dates_in_the_log_compare_as_text_so_a_blank_one_and_a_bare_year_come_first() {
    let log =
        "date,machine,position,part | 2004-01-02,mill,top,S4 | 2004,mill,top,S2 | ,mill,top,S3";
    assert_eq!(current(&service(&[TOP, ("worklog", log)]), "top").as_deref(), Some("S4"));
    let log =
        "date,machine,position,part | 2003-12-31,mill,top,S4 | 2004,mill,top,S2 | ,mill,top,S3";
    assert_eq!(current(&service(&[TOP, ("worklog", log)]), "top").as_deref(), Some("S2"));
    let log = "date,machine,position,part | ,mill,top,S3";
    assert_eq!(current(&service(&[TOP, ("worklog", log)]), "top").as_deref(), Some("S3"));
}

#[test]
fn an_entry_without_a_part_does_not_say_what_sits_there() {
    let log =
        "date,machine,position,part,finding | 2001,mill,top,S2, | 2009,mill,top,,a little damp";
    assert_eq!(current(&service(&[TOP, ("worklog", log)]), "top").as_deref(), Some("S2"));
}

#[test]
fn a_dash_among_the_latest_entries_means_that_nothing_sits_there() {
    let log = "date,machine,position,part | 2001,mill,top,S2 | 2001,mill,top,-";
    assert_eq!(actions(&service(&[TOP, ("worklog", log)])), "");
    let log = "date,machine,position,part | 2001,mill,top,- | 2002,mill,top,S2";
    assert_eq!(current(&service(&[TOP, ("worklog", log)]), "top").as_deref(), Some("S2"));
}

#[test]
fn parts_logged_on_one_day_each_sit_there_with_their_logged_quantity_or_the_positions() {
    let log = "date,machine,position,part,quantity | 2001,mill,top,S2,3 | 2001,mill,top,S3,";
    let kit = service(&[TOP, ("worklog", log)]);
    assert_eq!(current(&kit, "top").as_deref(), Some("S2;S3"));
    assert_eq!(parts(&kit, "top"), "3 S2, 2 S3");
}

#[test]
fn the_log_of_another_machine_says_nothing_of_this_one() {
    let log = "date,machine,position,part | 2001,stray,top,S2";
    assert_eq!(current(&service(&[TOP, ("worklog", log)]), "top").as_deref(), Some("S1"));
}

#[test]
fn a_dash_in_the_table_means_that_nothing_sits_there() {
    let kit = service(&[("positions", "position,part,joint | top,-,face | side,F1,face")]);
    assert_eq!(actions(&kit), "side keep");
}

#[test]
fn a_blank_part_sits_there_but_nobody_has_looked_it_up() {
    let kit = service(&[("positions", "position,part,joint | top,,face")]);
    assert_eq!((actions(&kit).as_str(), current(&kit, "top").as_deref()), ("top renew", Some("")));
    assert_eq!((gaps(&kit).as_str(), lines(&kit).as_str()), ("part-unknown top", ""));
}

#[test]
fn a_part_logged_at_a_position_of_other_machines_goes_by_that_positions_first_row() {
    let positions = "position,part,quantity,model,joint,reached_by,when_disturbed \
         | top,S1,4,Birch,face,dig, | top,S3,1,Cedar,elsewhere,other,keep | side,S1,1,Birch,face,,inspect";
    let kit = service(&[
        ("positions", positions),
        ("operations", "operation,opens | open,face | dig,"),
        ("worklog", "date,machine,position,part | 2001,mill,top,S2 | 2001,mill,side,S2"),
    ]);
    assert_eq!(
        (actions(&kit).as_str(), parts(&kit, "top").as_str()),
        ("top renew, side inspect", "4 S2")
    );
    assert_eq!((operations(&kit).as_str(), gaps(&kit).as_str()), ("open, dig", ""));
}

#[test]
fn positions_come_in_the_order_of_their_first_row_of_any_scope_and_those_without_a_row_last_by_key()
{
    let kit = service(&[
        (
            "positions",
            "position,part,years,joint | late,F2,2005-,face | top,F1,,face | late,F3,-2004,face",
        ),
        ("operations", "operation,opens,removes | open,face,zeta;alpha"),
        ("worklog", "date,machine,position,part | 2001,mill,zeta,F4 | 2001,mill,alpha,F4"),
    ]);
    assert_eq!(actions(&kit), "late keep, top keep, alpha keep, zeta keep");
    assert_eq!(gaps(&kit), "");
}

#[test]
fn two_parts_of_one_date_for_the_whole_position_are_not_settled_unless_they_go_together() {
    let with = |together: &str| {
        gaps(&service(&[
            ("positions", "position,part,joint | top,S1,face"),
            ("worklog", "date,machine,position,part | 2004,mill,top,S2 | 2004,mill,top,S3"),
            ("supersessions", &format!("old,new,together | S5,S2,{together} | S5,S3,{together}")),
        ]))
    };
    assert_eq!(with("pair"), "");
    assert_eq!(with(""), "not-settled top");
}

#[test]
fn what_a_logged_part_calls_for_elsewhere_sits_there_until_the_log_says_otherwise() {
    let with = |log: &str| {
        let kit = service(&[
            (
                "positions",
                "position,part,joint,quantity | base,S1,,1 | top,S1,face,2 | side,F1,face,",
            ),
            ("worklog", &format!("date,machine,position,part | ,mill,base,S2 {log}")),
            ("supersessions", "old,new,needs | S1,S2,top=S3*3"),
            ("retrofits", "part,position,verdict,needs | S2,base,fits,side=-;top=S4"),
        ]);
        (current(&kit, "top"), parts(&kit, "top"), actions(&kit))
    };
    let said =
        |part: &str, parts: &str| (Some(part.to_owned()), parts.to_owned(), "top renew".to_owned());
    assert_eq!(with(""), said("S4", "2 S4"), "the retrofit row comes before the chain");
    assert_eq!(with("| 2004,mill,top,S5"), said("S5", "2 S5"));
}

#[test]
fn a_logged_part_counts_by_its_chain_and_brings_those_that_came_with_it() {
    let with = |log: &str| {
        parts(
            &service(&[
                ("positions", "position,part,joint,quantity | top,S1,face,2"),
                (
                    "supersessions",
                    "old,new,quantity,together | S1,S2,2,pair | S1,S3,,pair | S2,S4,3,",
                ),
                ("worklog", &format!("date,machine,position,part | {log}")),
            ]),
            "top",
        )
    };
    assert_eq!(with("2004,mill,top,S4"), "12 S4, 2 S3");
    assert_eq!(with("2004,mill,top,S4 | 2004,mill,top,S3"), "12 S4, 2 S3");
    assert_eq!(with("2004,mill,top,S5"), "2 S5");
}

const FOUR: (&str, &str) = ("positions", "position,part,quantity,joint | top,S1,4,face");

/// What goes to `top`, where four S1 sat, and the gaps, after these entries in the log.
fn logged(rows: &str) -> (String, String) {
    let log = format!("date,machine,position,part,quantity {rows}");
    let kit = service(&[FOUR, ("worklog", &log)]);
    (parts(&kit, "top"), gaps(&kit))
}

fn pair(parts: &str, gaps: &str) -> (String, String) {
    (parts.to_owned(), gaps.to_owned())
}

#[test]
fn a_few_of_many_take_the_place_of_the_earliest_of_what_was_there() {
    assert_eq!(logged("| 2001,mill,top,S2,2"), pair("2 S1, 2 S2", ""));
    let twice = "| 2001,mill,top,S2,2 | 2002,mill,top,S3,1";
    assert_eq!(logged(twice), pair("1 S1, 2 S2, 1 S3", ""));
    let thrice = "| 2001,mill,top,S2,2 | 2002,mill,top,S3,1 | 2003,mill,top,S4,2";
    assert_eq!(logged(thrice), pair("1 S2, 1 S3, 2 S4", ""));
}

#[test]
fn two_parts_of_one_date_that_each_fill_the_place_are_not_settled() {
    let both = "| 2001,mill,top,S2,4 | 2001,mill,top,S3,";
    assert_eq!(logged(both), pair("4 S2, 4 S3", "not-settled top"));
    let later = format!("{both} | 2002,mill,top,S2,4");
    assert_eq!(logged(&later), pair("4 S2", ""), "what is no longer there is no question");
    assert_eq!(logged("| 2001,mill,top,S2,4 | 2001,mill,top,S2,4").1, "", "one and the same");
    let kit = service(&[
        ("positions", "position,part | top,S1"),
        ("worklog", "date,machine,position,part | 2001,mill,top,S2 | 2001,mill,top,S3"),
    ]);
    assert_eq!(gaps(&kit), "", "it is not disturbed");
}

#[test]
fn a_logged_part_without_a_quantity_counts_by_the_chain_from_the_listed_part() {
    let kit = service(&[
        ("positions", "position,part,quantity,joint | top,S1,2,face | side,S4,2,face"),
        ("supersessions", "old,new,quantity | S1,S2,3"),
        ("worklog", "date,machine,position,part | 2001,mill,top,S2 | 2001,mill,side,S5"),
    ]);
    assert_eq!((parts(&kit, "top").as_str(), parts(&kit, "side").as_str()), ("6 S2", "2 S5"));
}

#[test]
fn with_one_of_a_replacement_of_several_parts_logged_the_others_are_there_too() {
    let typed = |log: &str| {
        let kit = service(&[
            ("positions", "position,part,quantity,joint | top,S1,2,face"),
            ("supersessions", "old,new,quantity,together | S1,S2,1,pair | S1,S3,2,pair"),
            ("worklog", &format!("date,machine,position,part,quantity {log}")),
        ]);
        parts(&kit, "top")
    };
    assert_eq!(typed("| 2001,mill,top,S2,"), "2 S2, 4 S3");
    assert_eq!(typed("| 2001,mill,top,S2, | 2001,mill,top,S3,3"), "2 S2, 3 S3");
    assert_eq!(typed("| 2001,mill,top,S4,"), "2 S4");
}

/// What sits at `side`, where the log says that W2 was fitted at `top`.
fn called_for(retrofits: &str, supersessions: &str, log: &str) -> String {
    let kit = service(&[
        (
            "positions",
            "position,part,quantity,joint | top,W1,1,lid | side,S1,2,face | base,F1,1,lid",
        ),
        ("retrofits", &format!("part,position,verdict,needs {retrofits}")),
        ("supersessions", &format!("old,new,needs {supersessions}")),
        ("worklog", &format!("date,machine,position,part | 2001,mill,top,W2 {log}")),
    ]);
    assert_eq!(gaps(&kit), "");
    if actions(&kit).contains("side") { parts(&kit, "side") } else { "nothing".to_owned() }
}

#[test]
fn what_a_logged_part_called_for_counts_as_fitted_with_it() {
    assert_eq!(called_for("| W2,top,fits-with,side=S2", "", ""), "2 S2");
    assert_eq!(called_for("| W2,top,fits-with,side=S2*3", "", ""), "3 S2");
    assert_eq!(called_for("| W2,top,fits-with,side=-", "", ""), "nothing");
    assert_eq!(called_for("| W2,top,fits-with,side", "", ""), "2 S1", "no part is named");
    assert_eq!(called_for("| W2,top,no,side=S2", "", ""), "2 S1");
    assert_eq!(called_for("| W3,top,fits-with,side=S2", "", ""), "2 S1", "another part's row");
    assert_eq!(called_for("", "| W1,W2,side=S3", ""), "2 S3");
    assert_eq!(called_for("| W2,top,fits-with,side=S2", "| W1,W2,side=S3", ""), "2 S2");
}

#[test]
fn what_the_log_itself_says_of_a_position_goes_before_what_was_called_for() {
    let row = "| W2,top,fits-with,side=S2";
    assert_eq!(called_for(row, "", "| 1999,mill,side,S4"), "2 S4");
}

#[test]
fn nothing_further_follows_from_what_was_called_for() {
    let rows = "| W2,top,fits-with,base=F2 | F2,base,fits-with,side=S2";
    assert_eq!(called_for(rows, "", ""), "2 S1");
}

#[test]
fn all_of_them_take_the_place_of_everything_of_earlier_dates() {
    assert_eq!(logged("| 2001,mill,top,S2,2 | 2002,mill,top,S3,4"), pair("4 S3", ""));
    assert_eq!(logged("| 2001,mill,top,S2,2 | 2002,mill,top,S3,"), pair("4 S3", ""));
    let taken_out = "| 2001,mill,top,S2,4 | 2002,mill,top,-, | 2003,mill,top,S3,1";
    assert_eq!(logged(taken_out), pair("1 S3", ""));
}
