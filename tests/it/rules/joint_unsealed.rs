//! The result: what seals an opened joint.

use super::*;

/// The gaps of a service whose joint holds these positions and has nothing said of it.
fn joint_gaps(positions: &str, more: Typed) -> String {
    let positions = format!("position,part,joint {positions}");
    let mut typed = vec![("joints", "joint,dry"), ("positions", positions.as_str())];
    typed.extend_from_slice(more);
    gaps(&service(&typed))
}

#[test]
fn an_opened_joint_in_which_nothing_seals_is_a_gap() {
    assert_eq!(joint_gaps("| top,F1,face | side,W1,face", &[]), "joint-unsealed face");
    assert_eq!(joint_gaps("", &[]), "joint-unsealed face");
    assert_eq!(joint_gaps("| top,F1,face | side,S1,face", &[]), "");
    assert_eq!(joint_gaps("| top,F1,face | side,S1,lid", &[]), "joint-unsealed face");
}

#[test]
fn a_joint_said_to_be_dry_needs_nothing_that_seals_and_one_said_not_to_be_does() {
    assert_eq!(gaps(&service(&[("joints", "joint,dry | Face,yes")])), "");
    assert_eq!(gaps(&service(&[("joints", "joint,dry | face,no")])), "joint-unsealed face");
}

#[test]
fn a_seal_that_is_not_on_the_machine_seals_nothing() {
    assert_eq!(joint_gaps("| top,F1,face | side,-,face", &[]), "joint-unsealed face");
    let log = ("worklog", "date,machine,position,part | ,mill,side,-");
    assert_eq!(joint_gaps("| top,F1,face | side,S1,face", &[log]), "joint-unsealed face");
}

#[test]
fn what_sits_there_or_is_to_go_there_may_be_what_seals() {
    let goes = ("job_lines", "job,position,part,operation | service,top,S1,open");
    let fits = ("retrofits", "part,position,verdict | S1,top,fits");
    assert_eq!(joint_gaps("| top,F1,face", &[goes, fits]), "");
    let log = ("worklog", "date,machine,position,part | ,mill,top,S1");
    assert_eq!(joint_gaps("| top,F1,face", &[log]), "");
}

#[test]
fn what_the_job_puts_where_nothing_sits_yet_seals_too() {
    let goes = ("job_lines", "job,position,part,operation | service,top,S1,open");
    let fits = ("retrofits", "part,position,verdict | S1,top,fits");
    assert_eq!(joint_gaps("| top,-,face | side,F1,face", &[goes, fits]), "");
}

#[test]
fn a_kept_seal_still_seals_its_joint() {
    let kit = service(&[
        ("joints", "joint,dry"),
        ("positions", "position,part,joint,when_disturbed | top,S1,face,keep"),
    ]);
    assert_eq!((actions(&kit).as_str(), gaps(&kit).as_str()), ("top keep", ""));
}
