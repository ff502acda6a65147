//! Sizes as bags and owners write them, types as owners call them, and what is said where figures cannot help.
//!
//! Every model, machine and part in here is invented.

use kitwright::catalog::Memory;
use kitwright::fit::{self, Answer, Kind, Verdict};
use kitwright::measure::{DecimalMark, Key, PartNumber, Size};
use kitwright::tables::Tables;

const GROOVE: &str = "position,feature,size\nplace,groove depth,2.5\nplace,groove width,4.2\nplace,groove inside diameter,25.6\n";

fn catalog(types: &str, parts: &str, seats: &str) -> Memory {
    let mut tables = Tables::default();
    for (table, text) in [
        ("models", "model\nQ1\n"),
        ("machines", "machine,model,year\nrig,Q1,1999\n"),
        ("types", types),
        ("parts", &format!("part,type,size,material\n{parts}")),
        ("positions", "position,part,quantity\nplace,R-1,1\n"),
        ("seats", seats),
    ] {
        tables.read_file(table, format!("{table}.csv"), text.as_bytes());
    }
    assert_eq!(tables.faults, Vec::new());
    tables.catalog()
}

fn fits(part: &str, catalog: &Memory) -> Answer {
    let machine = fit::find_machine(&Key::new("rig"), catalog).expect("a machine");
    fit::at(&PartNumber::new(part).expect("a number"), &Key::new("place"), machine, catalog)
        .expect("an answer")
}

fn computed(answer: &Answer) -> String {
    let computed = answer.evidence.iter().find(|evidence| evidence.kind == Kind::Computed);
    computed.map_or_else(String::new, |evidence| evidence.text.clone())
}

const NO_TYPES: &str = "type\n";

#[test]
#[ignore = "written for the first edition of the rules; to be gone through"]
fn a_size_is_read_however_a_bag_writes_it_and_one_unit_behind_speaks_for_all() {
    for size in [
        "1 x 1/8 in",
        "\"25,4 x 3,175\"",
        "Ø25.4 x 3.175",
        "25.4*3.175",
        "25.4×3.175",
        "25.4 x 3.175 mm NBR",
    ] {
        let answer = fits(
            "R-2",
            &catalog(NO_TYPES, &format!("R-1,o-ring,24 x 3,NBR\nR-2,o-ring,{size},NBR\n"), GROOVE),
        );
        assert_eq!(answer.verdict, Verdict::Fits, "{size}: {answer:#?}");
        assert!(computed(&answer).contains("squeeze 21 %"), "{size}: {}", computed(&answer));
    }
    let lip = catalog(
        NO_TYPES,
        "R-1,shaft seal,0.5 x 1 x 0.25 in,NBR\nR-2,shaft seal,0.5 x 1 x 0.25 in,NBR\n",
        "position,feature,size\nplace,shaft diameter,12.7 h11\nplace,bore,25.4 H8\n",
    );
    assert_eq!(fits("R-2", &lip).verdict, Verdict::Fits, "{:#?}", fits("R-2", &lip));
}

#[test]
fn a_size_that_cannot_be_read_is_said_with_its_cell_even_of_the_part_that_is_listed() {
    let catalog =
        catalog(NO_TYPES, "R-1,o-ring,25.4/3.175,NBR\nR-2,o-ring,25.4/3.175,NBR\n", GROOVE);
    for part in ["R-1", "R-2"] {
        let text = computed(&fits(part, &catalog));
        assert!(
            text.contains("its size `25.4/3.175` cannot be read as bore x section (parts.csv:"),
            "{text}"
        );
    }
    assert_eq!(fits("R-2", &catalog).verdict, Verdict::NotKnown);
}

#[test]
fn the_thickness_behind_a_clip_is_no_tolerance_class_and_an_x_between_figures_is_doubtful_elsewhere()
 {
    let seats = "position,feature,size\nplace,shaft diameter,17\nplace,groove diameter,16.2\nplace,groove width,1.1\n";
    let catalog = catalog(NO_TYPES, "R-1,circlip,17x1,\nR-2,circlip,17 x 1,\n", seats);
    for part in ["R-1", "R-2"] {
        let text = computed(&fits(part, &catalog));
        assert!(!text.contains("17.04") && !text.is_empty(), "{text}");
    }
    for text in ["17x1", "20 x 3", "17x1 mm", "20X3"] {
        let refused = Size::parse(text, DecimalMark::Point).expect_err("two readings").to_string();
        assert!(refused.contains("may join two lengths or begin a tolerance class"), "{refused}");
    }
    assert_eq!(Size::parse("20 x7", DecimalMark::Point).expect("a class").to_string(), "20 x7");
}

#[test]
fn an_owners_own_name_or_spelling_of_a_type_keeps_its_checks_and_its_form_of_size() {
    for (types, name) in [
        ("type,also_called\nO-Ring,\n", "O-Ring"),
        ("type,also_called\nrunder Ring,o-ring\n", "runder Ring"),
        ("type,also_called\nrunder Ring,Gummi; o ring; o-ring\n", "Gummi"),
    ] {
        let parts = format!("R-1,{name},24 x 3,NBR\nR-2,{name},25.4 x 3.175,NBR\n");
        let text = computed(&fits("R-2", &catalog(types, &parts, GROOVE)));
        assert!(text.contains("squeeze 21 %"), "{name}: {text}");
    }
}

#[test]
fn where_there_is_no_check_or_no_figure_it_is_said_what_to_measure() {
    let asked = |parts: &str| {
        let catalog = catalog("type,also_called\nDichtkram,\n", parts, "position,feature,size\n");
        fits("R-2", &catalog).measure.join("\n")
    };
    for kind in ["core plug", "piston", "hose", "Dichtkram", "impeller cup"] {
        let parts = format!("R-1,{kind},10 x 20,\nR-2,{kind},,\n");
        let parts = if kind == "impeller cup" { "R-1,,10,\nR-2,,,\n".to_owned() } else { parts };
        let measure = asked(&parts);
        assert!(
            measure.contains("R-2 beside R-1 by hand") && measure.contains("no check by figures"),
            "{measure}"
        );
    }
    assert!(
        asked("R-1,head gasket,10 x 20,\nR-2,head gasket,,\n").contains("R-2 laid on the old one")
    );
    for kind in ["bush", "bearing", "shaft", "dowel", "gear"] {
        let measure = asked(&format!("R-1,{kind},10 x 20 x 30,\nR-2,{kind},,\n"));
        assert!(measure.contains("what R-2 sits in or on at place"), "{kind}: {measure}");
    }
    assert!(
        asked("R-1,bush,10 x 14 x 12,\nR-2,bush,,\n")
            .contains("the bore, outside diameter and length of R-2")
    );
}
