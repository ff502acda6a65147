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

#[test]
fn a_joint_is_judged_by_what_the_job_leaves_in_it() {
    let with =
        |supersessions: &str| joint_gaps("| top,S1,face", &[("supersessions", supersessions)]);
    assert_eq!(with("old,new | S1,S2"), "");
    assert_eq!(with("old,new | S1,F1"), "joint-unsealed face", "what goes in does not seal");
    assert_eq!(with("old,new,together | S1,F1,pair | S1,S2,pair"), "");
}

#[test]
fn a_position_that_the_job_leaves_empty_counts_with_what_sat_there() {
    let empty = ("job_lines", "job,position,part,operation | service,top,-,open");
    assert_eq!(joint_gaps("| top,S1,face", &[empty]), "");
    assert_eq!(joint_gaps("| top,F1,face", &[empty]), "joint-unsealed face");
}

#[test]
fn a_kept_part_that_is_not_in_parts_seals_as_what_it_became_first() {
    let rows = "position,part,joint,when_disturbed | top,X1,face,keep";
    let kit = service(&[
        ("joints", "joint,dry"),
        ("positions", rows),
        ("supersessions", "old,new | X1,S1"),
    ]);
    assert_eq!(gaps(&kit), "");
}

#[test]
fn what_seals_only_its_own_hole_seals_a_joint_that_holds_nothing_else() {
    let own: (&str, &str) = ("types", "type,when_disturbed,seals | plug,inspect,own");
    let parts = ("parts", "part,type | P1,plug");
    assert_eq!(joint_gaps("| top,P1,face", &[own, parts]), "");
    assert_eq!(joint_gaps("| top,P1,face | gone,-,face", &[own, parts]), "");
    assert_eq!(joint_gaps("| top,P1,face | side,F1,face", &[own, parts]), "joint-unsealed face");
    assert_eq!(joint_gaps("| top,P1,face | side,S1,face", &[own, parts]), "");
}

#[test]
fn a_sealant_used_by_the_operation_that_opens_the_joint_seals_it() {
    let typed = |operations: &str| joint_gaps("| top,F1,face", &[("operations", operations)]);
    assert_eq!(typed("operation,opens,uses | open,face,S1=as-needed"), "");
    assert_eq!(typed("operation,opens,uses | open,face,L1=1 L"), "joint-unsealed face");
    assert_eq!(
        typed("operation,opens,needs,uses | open,face,dig, | dig,,,S1=1"),
        "joint-unsealed face",
        "another operation uses it"
    );
}
