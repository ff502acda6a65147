//! The result: complete, refused, explained.

use super::*;

#[test]
fn a_kit_without_gaps_is_complete_and_one_gap_is_enough_to_end_that() {
    assert!(service(&[TOP]).complete);
    assert!(!service(&[TOP, ("operations", "operation,opens,needs | open,face,ghost")]).complete);
}

#[test]
fn a_job_that_is_not_for_the_machine_is_refused_unless_the_person_insists() {
    let typed: Typed = &[TOP, ("jobs", "job,model,years | service,Birch, | service,,2005-")];
    match answer(typed, &ask("service", "mill")) {
        Err(Refusal::NotForMachine { job, machine, limits }) => {
            assert_eq!((job.as_str(), machine.as_str()), ("service", "mill"));
            assert!(limits.contains("Birch") && limits.contains("2005.."), "{limits}");
        }
        other => panic!("{other:?}"),
    }
    let kit = kit(typed, &Ask { insist: true, ..ask("service", "mill") });
    assert_eq!((kit.insisted.join(","), kit.complete), ("service".to_owned(), true));
    assert_eq!(actions(&kit), "top renew");
}

#[test]
fn insisting_on_a_job_does_not_let_in_lines_for_other_machines() {
    let typed: Typed = &[
        THREE_PLACES,
        ("jobs", "job,model | service,Birch"),
        ("job_lines", "job,position,model | service,top,Birch | service,side,"),
    ];
    assert_eq!(actions(&kit(typed, &Ask { insist: true, ..ask("service", "mill") })), "side renew");
}

#[test]
fn one_job_of_several_that_is_not_for_the_machine_refuses_all() {
    let typed: Typed = &[TOP, ("jobs", "job,model | service, | second,Birch")];
    assert!(matches!(
        answer(typed, &ask("service second", "mill")),
        Err(Refusal::NotForMachine { .. })
    ));
}

#[test]
fn every_reason_names_the_file_and_line_it_comes_from() {
    let kit = service(&[
        (
            "engine/positions",
            "position,part,joint,reached_by | top,S1,face,dig | side,W1,, | base,F1,face,",
        ),
        ("operations", "operation,opens,needs,uses | safe,,,F4=1 | dig,,, | open,face,safe,"),
        ("supersessions", "old,new,needs | S1,S2,side=W2"),
        ("retrofits", "part,position,verdict,operations | W2,side,fits-with,dig"),
    ]);
    let of_operation = |name: &str| {
        let planned = kit.operations.iter().find(|planned| planned.operation == name).expect(name);
        texts(&planned.because)
    };
    assert!(
        of_operation("open").contains("service")
            && of_operation("open").contains("job_lines.csv:2")
    );
    assert!(
        of_operation("safe").contains("open") && of_operation("safe").contains("operations.csv:4")
    );
    let dig = of_operation("dig");
    assert!(dig.contains("top") && dig.contains("engine/positions.csv:2"), "{dig}");
    assert!(dig.contains("side") && dig.contains("retrofits.csv:2"), "{dig}");
    let top = texts(&at(&kit, "top").because);
    assert!(top.contains("open opens face") && top.contains("operations.csv:4"), "{top}");
    assert!(
        top.contains("soft seal") && top.contains("always/types.csv:2"),
        "the rule and its row: {top}"
    );
    let side = texts(&at(&kit, "side").because);
    assert!(side.contains("S2") && side.contains("supersessions.csv:2"), "{side}");
    let base = texts(&at(&kit, "base").because);
    assert!(base.contains("fastener") && base.contains("always/types.csv:3"), "{base}");
    let line =
        |part: &str| texts(&kit.lines.iter().find(|line| line.part == part).expect(part).because);
    assert!(
        line("S2").contains("top") && line("S2").contains("engine/positions.csv:2"),
        "{}",
        line("S2")
    );
    assert!(
        line("F4").contains("safe") && line("F4").contains("operations.csv:2"),
        "{}",
        line("F4")
    );
    let places = kit.operations.iter().flat_map(|planned| &planned.because);
    let places = places.chain(kit.positions.iter().flat_map(|planned| &planned.because));
    for reason in places.chain(kit.lines.iter().flat_map(|line| &line.because)) {
        assert!(reason.place.contains(".csv:"), "{reason}");
    }
}

#[test]
fn every_position_operation_and_line_has_a_reason() {
    let kit = service(&[
        ("positions", "position,part,joint | top,S1,face | side,W1,face | base,F1,face"),
        ("operations", "operation,opens,needs,uses | open,face,safe,L1=1 L | safe,,,"),
        ("job_lines", "job,part,operation | service,F2,open"),
    ]);
    assert_eq!((kit.positions.len(), kit.operations.len(), kit.lines.len()), (3, 2, 3));
    assert!(kit.positions.iter().all(|planned| !planned.because.is_empty()));
    assert!(kit.operations.iter().all(|planned| !planned.because.is_empty()));
    assert!(kit.lines.iter().all(|line| !line.because.is_empty()));
}

#[test]
fn a_gap_comes_once_for_its_kind_and_subject_and_says_what_to_do() {
    let kit = service(&[
        ("positions", "position,part,joint | top,D1,face | side,D1,face | base,X1,face"),
        ("operations", "operation,opens,needs | open,face,ghost;spirit | safe,,ghost"),
        ("job_lines", "job,operation | service,open | service,safe"),
    ]);
    assert_eq!(
        gaps(&kit),
        "discontinued D1, operation-unknown ghost, operation-unknown spirit, part-unknown base"
    );
    for gap in &kit.gaps {
        let advises = ["add", "find", "fill", "correct", "write"]
            .iter()
            .any(|verb| gap.message.contains(verb));
        assert!(advises, "{}: {}", gap.kind, gap.message);
    }
}

#[test]
fn a_gap_is_about_the_name_as_its_own_table_spells_it() {
    let kit = service(&[
        ("parts", "part,type,status | Q-7,soft seal,discontinued"),
        ("positions", "position,part,joint | Top,q7,face | TOP,S1,face"),
    ]);
    assert_eq!(gaps(&kit), "discontinued Q-7, overlap Top");
}
