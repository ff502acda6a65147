//! Does a job line's target fit?

use super::*;

/// The gaps of a job that puts a part to `top`, which lists `W1`.
fn fit_gaps(part: &str, more: Typed) -> String {
    let lines = format!("job,position,part | service,top,{part}");
    let mut typed = vec![("positions", "position,part | top,W1"), ("job_lines", lines.as_str())];
    typed.extend_from_slice(more);
    gaps(&service(&typed))
}

#[test]
fn a_target_fits_if_it_is_listed_there_or_lies_on_the_chain_of_what_is() {
    assert_eq!(fit_gaps("W1", &[]), "");
    assert_eq!(fit_gaps("W3", &[("supersessions", "old,new | W1,W2 | W2,W3")]), "");
    assert_eq!(fit_gaps("W2", &[("supersessions", "old,new | W1,W2 | W2,W3")]), "");
    assert_eq!(fit_gaps("W2", &[]), "fit-unknown top");
}

#[test]
fn a_target_fits_if_it_lies_on_the_chain_of_what_sits_there() {
    let log = ("worklog", "date,machine,position,part | ,mill,top,W4");
    assert_eq!(fit_gaps("W4", &[log]), "");
    assert_eq!(fit_gaps("W5", &[log, ("supersessions", "old,new | W4,W5")]), "");
    assert_eq!(fit_gaps("W5", &[log]), "fit-unknown top");
    assert_eq!(
        fit_gaps("W1", &[log]),
        "",
        "what the table lists fits although the log says something else sits there"
    );
}

#[test]
fn a_target_fits_if_everything_that_it_became_is_listed_or_spoken_for() {
    assert_eq!(fit_gaps("W2", &[("supersessions", "old,new | W2,W1")]), "");
    let pair = ("supersessions", "old,new,together | W2,W1,pair | W2,W3,pair");
    assert_eq!(fit_gaps("W2", &[pair]), "fit-unknown top", "one of the two is unknown");
    assert_eq!(fit_gaps("W2", &[pair, ("retrofits", "part,position,verdict | W3,top,fits")]), "");
}

#[test]
fn a_no_on_the_target_or_on_what_it_became_stands_alone() {
    assert_eq!(
        fit_gaps("W2", &[("retrofits", "part,position,verdict | W2,top,no")]),
        "does-not-fit top"
    );
    let became = ("supersessions", "old,new | W2,W3");
    assert_eq!(
        fit_gaps("W2", &[became, ("retrofits", "part,position,verdict | W3,top,no")]),
        "does-not-fit top"
    );
    assert_eq!(
        fit_gaps("W1", &[("retrofits", "part,position,verdict | W1,top,no")]),
        "does-not-fit top"
    );
}

#[test]
fn a_part_that_a_need_calls_for_fits_by_that_row() {
    let kit = superseded_with_side("S1,S2,side=W5", "side,W1");
    assert_eq!((parts(&kit, "side").as_str(), gaps(&kit).as_str()), ("1 W5", ""));
}

#[test]
fn a_target_fits_if_a_need_calls_for_the_same_part_there() {
    let kit = service(&[
        ("positions", "position,part,reached_by | top,W1,- | side,W3,-"),
        ("supersessions", "old,new,needs | W1,W2,side=W5"),
        ("job_lines", "job,position,part | service,side,W5 | service,top,"),
    ]);
    assert_eq!(gaps(&kit), "");
}
