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
