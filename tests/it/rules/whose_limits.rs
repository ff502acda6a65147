//! Words: whose limits a row is judged against, on a machine with assemblies of its own.

use super::*;

/// What goes to `top`, a position of the assembly Gearcase, and the gaps, where the mill's
/// gearcase has this row in `assemblies`.
fn with_gearcase(assembly: &str, positions: &str) -> (String, String) {
    let kit = service(&[
        ("assemblies", &format!("machine,assembly,model,year,serial,traits | {assembly}")),
        (
            "positions",
            &format!("position,assembly,part,joint,model,years,serials,only {positions}"),
        ),
    ]);
    (parts(&kit, "top"), gaps(&kit))
}

fn pair(parts: &str, gaps: &str) -> (String, String) {
    (parts.to_owned(), gaps.to_owned())
}

#[test]
fn a_position_is_judged_by_the_year_serial_model_and_traits_of_its_assembly() {
    for (assembly, limits, other) in [
        ("mill,Gearcase,,2006,,", ",2005..,,", ",..2004,,"),
        ("mill,GEARCASE,,,G77,", ",,G70..G79,", ",,B2000,"),
        ("mill,Gearcase,Birch,,,", "Birch,,,", "Alder,,,"),
        ("mill,Gearcase,,,,US", ",,,US", ",,,EU;not US"),
    ] {
        let positions = format!("| top,Gearcase,S2,face,{other} | top,Gearcase,S1,face,{limits}");
        let (parts, _) = with_gearcase(assembly, &positions);
        assert_eq!(parts, "1 S1", "{assembly}");
    }
}

#[test]
fn what_the_row_of_an_assembly_leaves_blank_is_the_machines_own() {
    let positions =
        "| top,Gearcase,S1,face,Alder,1999,G70..G79,EU | top,Gearcase,S2,face,,2000..,,";
    assert_eq!(with_gearcase("mill,Gearcase,,,G77,", positions), pair("1 S1", ""));
}

#[test]
fn an_assembly_of_another_year_without_a_serial_has_an_unknown_one() {
    let positions = "| top,Gearcase,S1,face,,,B1..B3000, | top,Gearcase,S2,face,,,B3001..,";
    assert_eq!(with_gearcase("mill,Gearcase,,,,", positions), pair("1 S1", ""));
    let unknown = pair("1 S1", "not-settled top");
    assert_eq!(with_gearcase("mill,Gearcase,,2006,,", positions), unknown);
    assert_eq!(with_gearcase("mill,Gearcase,Alder,,,", positions), unknown);
}

#[test]
fn an_assembly_of_another_model_without_a_year_has_an_unknown_one() {
    let positions = "| top,Gearcase,S1,face,,..1999,, | top,Gearcase,S2,face,,2000..,,";
    assert_eq!(with_gearcase("mill,Gearcase,Birch,,,", positions), pair("1 S1", "not-settled top"));
    assert_eq!(with_gearcase("mill,Gearcase,Birch,2003,,", positions), pair("1 S2", ""));
}

#[test]
fn other_assemblies_and_other_machines_keep_to_their_own() {
    let positions = "| top,Leg,S1,face,,..2000,, | top,Leg,S2,face,,2001..,,";
    assert_eq!(with_gearcase("mill,Gearcase,,2006,,", positions), pair("1 S1", ""));
    let positions = "| top,Gearcase,S1,face,,..2000,, | top,Gearcase,S2,face,,2001..,,";
    assert_eq!(with_gearcase("stray,Gearcase,,2006,,", positions), pair("1 S1", ""));
}

#[test]
fn a_position_belongs_to_the_assembly_that_its_first_row_of_any_scope_names() {
    let positions =
        "| top,Gearcase,S3,face,Cedar,,, | top,Leg,S1,face,,..2000,, | top,,S2,face,,2001..,,";
    assert_eq!(with_gearcase("mill,Gearcase,,2006,,", positions), pair("1 S2", ""));
}

const GEARCASE_OF_2006: (&str, &str) = ("assemblies", "machine,assembly,year | mill,Gearcase,2006");

#[test]
fn retrofits_and_supersessions_at_a_position_are_judged_by_its_assembly() {
    let kit = service(&[
        GEARCASE_OF_2006,
        ("positions", "position,assembly,part,reached_by | top,Gearcase,W1,- | side,,W1,-"),
        ("job_lines", "job,position,part | service,top,W2 | service,side,W2"),
        ("retrofits", "part,position,verdict,years | W2,top,fits,2005.. | W2,side,fits,2005.."),
        ("supersessions", "old,new,years | W2,W3,2005.."),
    ]);
    assert_eq!((parts(&kit, "top").as_str(), parts(&kit, "side").as_str()), ("1 W3", "1 W2"));
    assert_eq!(gaps(&kit), "fit-unknown side");
}

#[test]
fn a_job_line_that_names_a_position_is_judged_by_that_positions_assembly() {
    let kit = service(&[
        GEARCASE_OF_2006,
        ("positions", "position,assembly,part,reached_by | top,Gearcase,W1,- | side,,W1,-"),
        ("job_lines", "job,position,years | service,top,2005.. | service,side,2005.."),
    ]);
    assert_eq!((actions(&kit).as_str(), gaps(&kit).as_str()), ("top renew", ""));
}

#[test]
fn an_operation_and_what_became_of_its_uses_are_judged_by_its_assembly() {
    let kit = service(&[
        GEARCASE_OF_2006,
        ("job_lines", "job,operation | service,drain | service,fill"),
        (
            "operations",
            "operation,assembly,uses,years | drain,Gearcase,L1=1 L,..2004 \
             | drain,Gearcase,L1=2 L,2005.. | fill,,L1=4 L,..2004 | fill,,L1=8 L,2005..",
        ),
        ("supersessions", "old,new,years | L1,L2,2005.."),
    ]);
    assert_eq!(lines(&kit), "2 L L2 consumable, 4 L L1 consumable");
}

#[test]
fn a_job_and_a_set_that_name_an_assembly_are_judged_by_it() {
    let typed: Typed = &[
        GEARCASE_OF_2006,
        ("jobs", "job,assembly,years | service,gearcase,2005.. | second,,2005.."),
        ("job_lines", "job,assembly,part,years | service,Gearcase,F1,2005.."),
        ("supersessions", "old,new,years | F1,F3,2005.."),
    ];
    assert_eq!(lines(&kit(typed, &ask("service", "mill"))), "1 F3 new");
    assert!(matches!(answer(typed, &ask("second", "mill")), Err(Refusal::NotForMachine { .. })));
}

#[test]
fn a_selection_is_judged_by_the_assembly_of_its_position() {
    let kit = service(&[
        GEARCASE_OF_2006,
        ("positions", "position,assembly,part,joint | top,Gearcase,,face"),
        (
            "selections",
            "position,feature,least,most,part,years | top,gap,0,1,S1,..2004 | top,gap,0,1,S2,2005..",
        ),
        ("measurements", "date,machine,position,feature,value | 2020-01-01,mill,top,gap,0.5"),
    ]);
    assert_eq!((parts(&kit, "top").as_str(), gaps(&kit).as_str()), ("1 S2", ""));
}

#[test]
fn cells_are_compared_by_what_they_mean() {
    let kit = service(&[
        ("operations", "operation,opens,needs | open,face;lid,a;b | Open,LID;face,b;a | a,, | b,,"),
        ("joints", "joint,dry | face,yes | lid,yes"),
        (
            "positions",
            "position,part,quantity,joint | top,S1,,face;lid | Top,s-1,1.0,Lid;Face | side,L1,350 ml,face \
             | side,L1,0.35 L,face",
        ),
    ]);
    assert_eq!(gaps(&kit), "");
}
