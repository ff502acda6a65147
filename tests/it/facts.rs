//! Facts of the trade that were published or that every workshop knows, each shown through the program: what sizes go
//! together, and what becomes of a type of part.
//!
//! A fact that was not read beside the work is marked `from memory`, one that no document here states
//! `common practice, no source`. A computed fit is never more than a guide.

use kitwright::catalog::{Lookup, Memory, Seals, WhenDisturbed};
use kitwright::fit::{self, Verdict};
use kitwright::measure::{Key, PartNumber};
use kitwright::tables::Tables;

fn catalog(tables: &[(&str, String)]) -> Memory {
    let mut read = Tables::default();
    for (table, text) in tables {
        read.read_file(table, format!("{table}.csv"), text.as_bytes());
    }
    assert_eq!(read.faults, [], "an invented catalog can be read");
    read.catalog()
}

fn number(text: &str) -> PartNumber {
    PartNumber::new(text).expect("a part number")
}

/// Asks about a part at the position `place` of the one machine.
fn fits(part: &str, memory: &Memory) -> fit::Answer {
    let machine = fit::find_machine(&Key::new("mill"), memory).expect("a machine");
    fit::at(&number(part), &Key::new("place"), machine, memory).expect("a position")
}

fn machine() -> [(&'static str, String); 2] {
    [
        ("machines", "machine,model\nmill,Alder\n".to_owned()),
        ("models", "model\nAlder\n".to_owned()),
    ]
}

/// The seat of a fact as rows of seats: `shaft diameter 24.95; radial gland`.
fn seats(text: &str) -> String {
    let mut rows = String::from("position,feature,size\n");
    for feature in text.split(';').map(str::trim) {
        let figure = feature.find(|c: char| c.is_ascii_digit()).unwrap_or(feature.len());
        let (name, size) = feature.split_at(figure);
        rows.push_str(&format!("place,{},{}\n", name.trim(), size.trim()));
    }
    rows
}

#[test]
fn sizes_go_together_as_the_trade_knows() {
    let mut told = 0;
    let lines = include_str!("../data/fit-facts.txt").lines();
    for line in lines.filter(|line| !line.starts_with('#')) {
        let cells: Vec<&str> = line.split('|').map(str::trim).collect();
        let [fact, part, seat, verdict, sizes, word, source] = cells.as_slice() else {
            panic!("seven cells: {line}")
        };
        let part: Vec<&str> = part.split(',').map(str::trim).collect();
        let [kind, size, material] = part.as_slice() else { panic!("three cells: {line}") };
        let mut tables = machine().to_vec();
        tables.push(("parts", format!("part,type,size,material\nP-1,{kind},{size},{material}\n")));
        tables.push(("positions", "position,part\nplace,P-1\n".to_owned()));
        tables.push(("seats", seats(seat)));
        if *kind == "gasket" {
            let hole = "part,feature,size\nP-1,inside diameter,50\nP-1,outside diameter,70\n";
            tables.push(("dimensions", hole.to_owned()));
        }
        let answer = fits("P-1", &catalog(&tables));
        let shown = serde_json::to_value(&answer).expect("an answer");
        assert_eq!(
            (shown["verdict"].as_str(), shown["sizes"].as_str()),
            (Some(*verdict), Some(*sizes)),
            "{fact}: {shown:#}"
        );
        let figures = answer.evidence.iter().find(|said| said.kind == fit::Kind::Computed);
        let text = &figures.expect("figures").text;
        assert!(text.contains(word), "{fact}: {text}");
        // What keeps a listed part out is said before the row that lists it.
        let first = answer.evidence[0].kind == fit::Kind::Computed;
        assert_eq!(first, *verdict != "fits", "{fact}: {shown:#}");
        assert!(!source.is_empty(), "{fact}");
        told += 1;
    }
    assert!(told >= 25, "{told}");
}

/// Source: the rule that figures never speak for a part: `rules.md`, Beside the kit.
#[test]
fn sizes_alone_never_say_that_a_part_fits() {
    let mut tables = machine().to_vec();
    tables.push(("parts", "part,type,size,material\nP-1,shaft seal,25 x 40 x 7,NBR\n".to_owned()));
    tables.push(("seats", seats("shaft diameter 24.95; bore 40 H8")));
    tables.push(("positions", "position,part\nplace,\n".to_owned()));
    let answer = fits("P-1", &catalog(&tables));
    assert_eq!((answer.verdict, answer.sizes), (Verdict::NotKnown, fit::Sizes::Agree));
}

/// A hole takes the thread that came out of it, where nothing more is known of it. Source: common practice, no source.
#[test]
fn a_plug_of_another_thread_does_not_go_where_the_listed_one_does() {
    let mut tables = machine().to_vec();
    let parts = "part,type,size\nP-1,drain plug,M10x1 x 12\nP-2,drain plug,M10x1.25 x 12\n\
                 P-3,drain plug,3/8-24 UNF x 1/2\nP-4,drain plug,G 1/8 x 10\nP-5,drain plug,M10x1 x 12\n";
    tables.push(("parts", parts.to_owned()));
    tables.push(("positions", "position,part\nplace,P-1\n".to_owned()));
    let memory = catalog(&tables);
    for part in ["P-2", "P-3", "P-4"] {
        let answer = fits(part, &memory);
        assert_eq!(
            (answer.verdict, answer.sizes),
            (Verdict::DoesNotFit, fit::Sizes::Disagree),
            "{part}: {answer:#?}"
        );
    }
    assert_eq!(fits("P-5", &memory).verdict, Verdict::NotKnown);
    // A row that lets it in is doubted, not overruled: the hole may have been cut anew.
    tables.push(("retrofits", "part,position,verdict\nP-3,place,fits\n".to_owned()));
    let answer = fits("P-3", &catalog(&tables));
    assert_eq!((answer.verdict, answer.sizes), (Verdict::NotKnown, fit::Sizes::Disagree));
}

/// Source: common practice, no source.
#[test]
fn a_thicker_shim_takes_its_thickness_from_the_end_play() {
    let mut tables = machine().to_vec();
    let parts =
        "part,type,size\nP-1,shim,20 x 30 x 1.0\nP-2,shim,20 x 30 x 1.2\nP-3,shim,20 x 30 x 1.5\n";
    tables.push(("parts", parts.to_owned()));
    tables.push(("positions", "position,part\nplace,P-1\n".to_owned()));
    tables.push(("seats", "position,feature,least,most\nplace,end play,0.05,0.15\n".to_owned()));
    let read = "date,machine,position,feature,value\n2026-03-01,mill,place,end play,0.30\n";
    tables.push(("measurements", read.to_owned()));
    let memory = catalog(&tables);
    let told = |part: &str| {
        let answer = fits(part, &memory);
        let figures = answer.evidence.iter().find(|said| said.kind == fit::Kind::Computed);
        let left = figures.and_then(|said| said.numbers.get("end_play_mm")).cloned();
        (answer.sizes, left.and_then(|left| left.as_f64()))
    };
    assert_eq!(told("P-2"), (fit::Sizes::Agree, Some(0.1)));
    assert_eq!(told("P-3"), (fit::Sizes::Disagree, Some(-0.2)));
    // The same shim again leaves what was measured, which is too much.
    assert_eq!(told("P-1"), (fit::Sizes::Disagree, Some(0.3)));
    assert_eq!(fits("P-1", &memory).verdict, Verdict::NotKnown);
}

/// Source: common practice, no source: a part that its maker has withdrawn is dangerous, whatever row once let it in.
#[test]
fn a_withdrawn_part_fits_nowhere() {
    let mut tables = machine().to_vec();
    tables.push(("parts", "part,type,status\nP-1,bolt,withdrawn\n".to_owned()));
    tables.push(("positions", "position,part\nplace,P-1\n".to_owned()));
    let answer = fits("P-1", &catalog(&tables));
    assert_eq!(answer.verdict, Verdict::DoesNotFit);
    assert!(answer.evidence[0].text.contains("withdrawn"), "{answer:#?}");
}

/// Source: common practice, no source: a later part on an earlier casting is offered up before it is bought.
#[test]
fn what_is_to_be_looked_at_first_is_said_until_the_log_confirms_it() {
    let mut tables = machine().to_vec();
    tables.push(("parts", "part,type\nP-1,cover\nP-2,cover\n".to_owned()));
    tables.push(("positions", "position,part\nplace,P-1\n".to_owned()));
    let row = "part,position,verdict,note\nP-2,place,look-first,four holes in the casting\n";
    tables.push(("retrofits", row.to_owned()));
    let answer = fits("P-2", &catalog(&tables));
    assert_eq!(answer.verdict, Verdict::FitsWith);
    assert!(answer.look_first[0].contains("four holes in the casting"), "{answer:#?}");
    let log = "date,machine,position,confirms\n2026-05-01,mill,place,P-2\n";
    tables.push(("worklog", log.to_owned()));
    let answer = fits("P-2", &catalog(&tables));
    assert_eq!((answer.verdict, answer.look_first.len()), (Verdict::FitsWith, 0));
}

/// Source: common practice, no source: what was worn out of a housing is gone with the housing.
#[test]
fn a_new_housing_brings_its_own_bore_and_the_reading_of_the_old_one_does_not_count() {
    let mut tables = machine().to_vec();
    let parts =
        "part,type,size,material\nP-1,shaft seal,25 x 40 x 7,NBR\nH-1,housing,,\nH-2,housing,,\n";
    tables.push(("parts", parts.to_owned()));
    let positions = "position,part,carried_by\nhousing,H-1,\nplace,P-1,housing\n";
    tables.push(("positions", positions.to_owned()));
    tables.push(("seats", seats("shaft diameter 24.95; bore 40 H8")));
    let read = "date,machine,position,feature,value\n2026-03-01,mill,place,bore,40.6\n";
    tables.push(("measurements", read.to_owned()));
    let wrong = |tables: &[(&str, String)], going_in: &[(Key, PartNumber)]| {
        let memory = catalog(tables);
        let machine = fit::find_machine(&Key::new("mill"), &memory).expect("a machine");
        let bench = kitwright::kit::Bench::new(machine, &memory);
        fit::wrong_size(&bench, &number("P-1"), &Key::new("place"), going_in).is_some()
    };
    let housing = |part: &str| [(Key::new("housing"), number(part))];
    assert!(wrong(&tables, &[]), "the bore as it was measured");
    assert!(!wrong(&tables, &housing("H-1")), "a new one has the bore of the drawing");
    tables.push(("dimensions", "part,feature,size\nH-2,bore,42 H8\n".to_owned()));
    assert!(wrong(&tables, &housing("H-2")), "one with another bore has its own");
    // One that the log has put in since the reading was taken counts, too.
    let log = "date,machine,position,part\n2026-04-01,mill,housing,H-1\n";
    tables.push(("worklog", log.to_owned()));
    assert!(!wrong(&tables, &[]));
}

/// Source: common practice, no source: an assembly of another year has the seats of that year.
#[test]
fn a_part_is_judged_in_the_assembly_that_the_machine_really_has() {
    let mut tables = vec![
        ("machines", "machine,model,year\nmill,Alder,1995\n".to_owned()),
        ("models", "model\nAlder\n".to_owned()),
    ];
    tables.push(("parts", "part,type,size,material\nP-1,shaft seal,25 x 40 x 7,NBR\n".to_owned()));
    let positions = "position,assembly,part,years\nplace,gearcase,P-1,2001-\n";
    tables.push(("positions", positions.to_owned()));
    let seats = "position,feature,size,years\nplace,shaft diameter,20,-2000\nplace,shaft diameter,25 h11,2001-\nplace,bore,40 H8,\n";
    tables.push(("seats", seats.to_owned()));
    assert_eq!(fits("P-1", &catalog(&tables)).verdict, Verdict::DoesNotFit);
    tables.push(("assemblies", "machine,assembly,year\nmill,gearcase,2004\n".to_owned()));
    let answer = fits("P-1", &catalog(&tables));
    assert_eq!((answer.verdict, answer.sizes), (Verdict::Fits, fit::Sizes::Agree), "{answer:#?}");
}

/// What is done with a type when it is disturbed, what it seals, and the source.
const TYPES: [(&str, WhenDisturbed, Seals, &str); 22] = [
    // What seals its own hole says nothing of the joint beside it.
    ("spark plug", WhenDisturbed::Inspect, Seals::Own, "common practice, no source"),
    ("glow plug", WhenDisturbed::Inspect, Seals::Own, "common practice, no source"),
    ("temperature sensor", WhenDisturbed::Inspect, Seals::Own, "common practice, no source"),
    ("bleed nipple", WhenDisturbed::Inspect, Seals::Own, "common practice, no source"),
    ("welch plug", WhenDisturbed::Renew, Seals::Own, "common practice, no source"),
    ("radiator cap", WhenDisturbed::Inspect, Seals::Own, "common practice, no source"),
    ("valve stem seal", WhenDisturbed::Renew, Seals::Own, "common practice, no source"),
    ("snap-in valve", WhenDisturbed::Renew, Seals::Own, "common practice, no source"),
    ("plug with captive washer", WhenDisturbed::Inspect, Seals::Own, "common practice, no source"),
    ("drain plug", WhenDisturbed::Inspect, Seals::No, "common practice, no source"),
    // Sealants seal, a threadlocker is not counted on.
    ("silicone sealant", WhenDisturbed::Renew, Seals::Yes, "common practice, no source"),
    ("sealing compound", WhenDisturbed::Renew, Seals::Yes, "common practice, no source"),
    ("threadlocker", WhenDisturbed::Renew, Seals::No, "common practice, no source"),
    // What was bent, driven or stretched holds once.
    ("stake nut", WhenDisturbed::Renew, Seals::No, "common practice, no source"),
    ("torque-to-yield screw", WhenDisturbed::Renew, Seals::No, "common practice, no source"),
    ("torque-to-yield nut", WhenDisturbed::Renew, Seals::No, "common practice, no source"),
    ("grooved pin", WhenDisturbed::Renew, Seals::No, "from memory: ISO 8740"),
    ("roll pin", WhenDisturbed::Renew, Seals::No, "from memory: ISO 8752"),
    // The slotted nut of a bearing serves again, its tab washer does not.
    ("slotted round nut", WhenDisturbed::Keep, Seals::No, "from memory: DIN 981"),
    ("tab washer", WhenDisturbed::Renew, Seals::No, "from memory: DIN 5406"),
    // Head nouns decide.
    ("axle housing", WhenDisturbed::Inspect, Seals::No, "common practice, no source"),
    ("brake cam", WhenDisturbed::Inspect, Seals::No, "common practice, no source"),
];

#[test]
fn types_are_treated_as_the_trade_treats_them() {
    let memory = catalog(&machine());
    for (name, rule, seals, source) in TYPES {
        let kind = memory.part_type(&Key::new(name)).expect(name);
        assert_eq!(
            (kind.when_disturbed, kind.seals),
            (Some(rule), Some(seals)),
            "{name}: {source}"
        );
    }
    let named =
        |name: &str| memory.part_type(&Key::new(name)).map(|kind| kind.part_type.to_string());
    assert_eq!(named("axle housing").as_deref(), Some("housing"));
    assert_eq!(named("brake cam").as_deref(), Some("brake cam"), "it is no camshaft");
    assert_eq!(named("stake type nut").as_deref(), Some("staked nut"));
    assert_eq!(named("cam"), None, "of what, nobody knows");
}
