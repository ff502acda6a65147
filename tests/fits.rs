//! What fits, from the command line down: commands with their input and expected output, and what must hold for any
//! sizes.

// What a test itself writes down is known to be sound.
#![allow(clippy::expect_used)]

use kitwright::fit::o_ring::{guidance, seating};
use kitwright::fit::standard::GlandKind;
use kitwright::fit::{self, PartSizes, SeatSizes, Verdict, check};
use kitwright::measure::{Interval, Key, PartNumber};
use kitwright::tables::Tables;
use proptest::prelude::*;
use rand::{Rng, SeedableRng};
use rust_decimal::{Decimal, MathematicalOps};
use std::fs;
use std::path::Path;
use std::process::Command;

#[test]
fn commands_answer_as_written() {
    trycmd::TestCases::new().case("tests/fits/*.trycmd");
}

fn mm(text: &str) -> Decimal {
    let text = text.trim();
    let text = if text.starts_with('.') { format!("0{text}") } else { text.to_owned() };
    text.parse().expect("a decimal")
}

fn about(nominal: Decimal, tolerance: Decimal) -> Interval {
    Interval::new(nominal - tolerance, nominal, nominal + tolerance)
}

fn rows(text: &str) -> impl Iterator<Item = Vec<&str>> {
    text.lines().filter(|line| !line.starts_with('#')).skip(1).map(|line| line.split(',').collect())
}

/// The squeeze that the package prints was worked out in inches and rounded twice, hence a hundredth of a millimetre
/// and a little more than one percent.
#[test]
fn squeeze_agrees_with_the_published_glands_of_every_section() {
    let section_tolerances = [
        ("1.02", ".08"),
        ("1.27", ".08"),
        ("1.52", ".08"),
        ("1.78", ".08"),
        ("2.62", ".08"),
        ("3.53", ".10"),
        ("5.33", ".13"),
        ("6.99", ".15"),
    ];
    let mut compared = 0;
    let mut agree = |kind, section: &str, depth: (&str, &str), millimetres: (&str, &str), percent: (&str, &str)| {
        let (_, tolerance) = section_tolerances.iter().find(|known| known.0 == section).expect("a known section");
        let ring = about(mm(section), mm(tolerance));
        let (shallow, deep) = (mm(depth.0), mm(depth.1));
        // The package has 5.42 mm as the greatest axial depth at 6.99 mm; its own squeeze belongs to 5.46 mm (0.215 in).
        let deep = if (kind, section) == (GlandKind::Axial, "6.99") { mm("5.46") } else { deep };
        let groove = Interval::new(shallow, (shallow + deep) / Decimal::TWO, deep);
        let found = seating(kind, ring, ring, groove, None, None).expect("figures above zero");
        let near = |ours: Decimal, theirs: &str, allowed: &str| (ours - mm(theirs)).abs() <= mm(allowed);
        assert!(near(found.squeeze.low * ring.low, millimetres.0, ".025"), "{section} {kind:?}: {found:?}");
        assert!(near(found.squeeze.high * ring.high, millimetres.1, ".025"), "{section} {kind:?}: {found:?}");
        assert!(near(found.squeeze.low * Decimal::ONE_HUNDRED, percent.0, "1.5"), "{section} {kind:?}: {found:?}");
        assert!(near(found.squeeze.high * Decimal::ONE_HUNDRED, percent.1, "1.5"), "{section} {kind:?}: {found:?}");
        compared += 1;
    };
    for cells in rows(include_str!("data/bd-warehouse-o-ring-static-gland-parameters.csv")) {
        agree(GlandKind::Radial, cells[0], (cells[1], cells[2]), (cells[5], cells[6]), (cells[7], cells[8]));
        agree(GlandKind::Axial, cells[0], (cells[3], cells[4]), (cells[9], cells[10]), (cells[11], cells[12]));
    }
    for cells in rows(include_str!("data/bd-warehouse-o-ring-dynamic-gland-parameters.csv")) {
        agree(GlandKind::Dynamic, cells[0], (cells[1], cells[2]), (cells[3], cells[4]), (cells[5], cells[6]));
    }
    assert_eq!(compared, 24);
}

#[test]
fn every_published_gland_leaves_room_and_is_found_to_fit() {
    for gland in kitwright::fit::standard::glands() {
        let tolerance = kitwright::fit::standard::o_rings().iter().find(|ring| ring.section == gland.section);
        let ring = about(gland.section, tolerance.expect("a standard section").section_tolerance);
        let depth = Interval::new(gland.depth.0, (gland.depth.0 + gland.depth.1) / Decimal::TWO, gland.depth.1);
        let found = seating(gland.kind, ring, ring, depth, Some(Interval::exactly(gland.width)), None);
        let fill = found.and_then(|found| found.fill).expect("a width");
        assert!(fill.nominal < mm("0.85") && fill.high < mm("0.95") && fill.low > mm("0.5"), "{gland:?}: {fill:?}");
        assert_eq!(guidance(gland.kind, gland.section), Some(gland));
    }
}

fn number(text: &str) -> PartNumber {
    PartNumber::new(text).expect("a part number")
}

fn ring(inside: Interval, section: Interval) -> PartSizes {
    let mut part = PartSizes::bare(number("RING-1"), "o-ring");
    part.set("inside diameter", inside, "as given");
    part.set("section", section, "as given");
    part
}

fn groove(depth: Interval, width: Interval, inside: Interval) -> SeatSizes {
    let mut seat = SeatSizes::default();
    seat.set("groove depth", depth);
    seat.set("groove width", width);
    seat.set("groove inside diameter", inside);
    seat
}

#[test]
fn the_later_ring_suits_the_later_groove_and_overfills_the_earlier_one() {
    let later = ring(about(mm("50.5"), mm("0.4")), about(mm("2.62"), mm("0.08")));
    let inside = about(mm("51"), mm("0.1"));
    let right = check(&later, &groove(about(mm("2.05"), mm("0.05")), about(mm("3.6"), mm("0.1")), inside), "seat");
    assert_eq!(right.verdict, Verdict::Fits, "{}", right.text());
    assert_eq!(right.numbers["fill_percent"], 73.1);
    let wrong = check(&later, &groove(about(mm("1.5"), mm("0.05")), about(mm("2.7"), mm("0.1")), inside), "seat");
    assert_eq!(wrong.verdict, Verdict::DoesNotFit, "{}", wrong.text());
    assert_eq!(wrong.numbers["fill_percent"], 133.1);
}

#[test]
fn ten_thousand_samples_lie_inside_the_seating_of_a_ring() {
    let (inside, section) = (about(mm("50.5"), mm("0.4")), about(mm("2.62"), mm("0.08")));
    let (depth, width, carried) =
        (about(mm("2.05"), mm("0.05")), about(mm("3.6"), mm("0.1")), about(mm("51"), mm("0.1")));
    let found =
        seating(GlandKind::Axial, inside, section, depth, Some(width), Some(carried)).expect("figures above zero");
    let mut rng = rand_chacha::ChaCha8Rng::seed_from_u64(3601);
    let mut pick = |figure: Interval| {
        let step = figure.width() / Decimal::from(1_000);
        figure.low + step * Decimal::from(rng.random_range(0..=1_000))
    };
    for _ in 0..10_000 {
        let (id, w, t, b, d) = (pick(inside), pick(section), pick(depth), pick(width), pick(carried));
        let left = w * ((id + w) / (d + w)).min(Decimal::ONE).sqrt().expect("above zero");
        assert!(found.section.holds(left));
        assert!(found.squeeze.holds(Decimal::ONE - t / left));
        assert!(found.fill.expect("a width").holds(Decimal::PI / Decimal::from(4) * w * w / (t * b)));
        assert!(found.stretch.expect("a carrier").holds(d / id - Decimal::ONE));
    }
}

/// Any part in any seat of these types, with sizes about what such things have.
fn case() -> impl Strategy<Value = (usize, Vec<(i64, i64)>)> {
    (0_usize..7, prop::collection::vec((-400_i64..400, 0_i64..60), 5))
}

type Features = &'static [(&'static str, i64)];

/// The nominal sizes of each type, in hundredths: the part's, then the seat's.
const TYPES: [(&str, Features, Features); 7] = [
    (
        "o-ring",
        &[("inside diameter", 5_050), ("section", 262)],
        &[("groove depth", 205), ("groove width", 360), ("groove inside diameter", 5_100)],
    ),
    ("shaft seal", &[("shaft diameter", 1_200), ("bore", 2_400)], &[("shaft diameter", 1_195), ("bore", 2_402)]),
    ("key", &[("width", 300)], &[("keyway width", 299)]),
    ("bush", &[("bore", 1_200), ("outside diameter", 1_800)], &[("shaft diameter", 1_198), ("bore", 1_803)]),
    (
        "plain washer",
        &[("inside diameter", 640), ("outside diameter", 1_200)],
        &[("bolt diameter", 600), ("face diameter", 1_300)],
    ),
    (
        "circlip",
        &[("shaft diameter", 1_200), ("thickness", 98)],
        &[("shaft diameter", 1_200), ("groove diameter", 1_148), ("groove width", 113)],
    ),
    (
        "e-clip",
        &[("groove diameter", 800), ("thickness", 100)],
        &[("shaft diameter", 1_000), ("groove diameter", 798), ("groove width", 105)],
    ),
];

fn judged(kind: usize, moved: &[(i64, i64)], wider: Decimal) -> Verdict {
    let (kind, part_sizes, seat_sizes) = TYPES[kind];
    let mut part = PartSizes::bare(number("P-1"), kind);
    let mut seat = SeatSizes::default();
    let size = |nominal: i64, (shift, tolerance): (i64, i64)| {
        // A shift of a hundredth of the size at most, so that good and bad both come up.
        let nominal = Decimal::new(nominal * 10_000 + nominal * shift / 4, 6);
        let tolerance = Decimal::new(tolerance, 3) * nominal / Decimal::from(20) + wider;
        about(nominal, tolerance.min(nominal / Decimal::TWO))
    };
    for (index, (feature, nominal)) in part_sizes.iter().enumerate() {
        part.set(feature, size(*nominal, moved[index]), "as given");
    }
    for (index, (feature, nominal)) in seat_sizes.iter().enumerate() {
        seat.set(feature, size(*nominal, moved[part_sizes.len() + index]));
    }
    check(&part, &seat, "seat").verdict
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(5_000))]
    #[test]
    fn a_wider_tolerance_never_turns_doubt_into_fits((kind, moved) in case(), wider in 1_i64..2_000) {
        let narrow = judged(kind, &moved, Decimal::ZERO);
        let wide = judged(kind, &moved, Decimal::new(wider, 4));
        prop_assert!(narrow == Verdict::Fits || wide != Verdict::Fits, "{narrow} became {wide}");
    }
}

#[test]
fn each_type_of_part_can_be_found_to_fit_and_not_to_fit() {
    let none = [(0, 0); 5];
    for (kind, (name, part, _)) in TYPES.iter().enumerate() {
        assert_eq!(judged(kind, &none, Decimal::ZERO), Verdict::Fits, "{name}");
        let far: Vec<_> = (0..5)
            .map(
                |index| {
                    if index < part.len() { (if name.contains("clip") { 0 } else { 12_000 }, 0) } else { (-6_000, 0) }
                },
            )
            .collect();
        assert_eq!(judged(kind, &far, Decimal::ZERO), Verdict::DoesNotFit, "{name}");
    }
}

fn catalog(folder: &Path, seats: &str, dimensions: &str) {
    let write = |name: &str, text: &str| fs::write(folder.join(name), text).expect("written");
    write("models.csv", "model\nM\n");
    write("machines.csv", "machine,model\nboat,M\n");
    write("parts.csv", "part,type,material\nR-1,o-ring,NBR\nR-2,o-ring,NBR\nR-3,o-ring,\nS-1,shaft seal,NBR\n");
    write("positions.csv", "position,part\nring,R-1\nlip,S-1\n");
    write("seats.csv", seats);
    write("dimensions.csv", dimensions);
}

fn fits(folder: &Path, part: &str, position: &str) -> serde_json::Value {
    let mut command = Command::new(env!("CARGO_BIN_EXE_kitwright"));
    let out = command.arg("-C").arg(folder).args(["fits", part, "boat", "--at", position, "--json"]).output();
    serde_json::from_slice(&out.expect("ran").stdout).expect("JSON")
}

#[test]
fn the_same_seat_in_inches_and_in_millimetres_gives_the_same_verdict_and_figures() {
    let (inches, millimetres) = (tempfile::tempdir().expect("a folder"), tempfile::tempdir().expect("a folder"));
    catalog(
        inches.path(),
        "position,feature,size\nring,groove depth,0.080 ±0.002 in\nring,groove width,0.14 in\nring,groove inside diameter,2 in\nlip,shaft diameter,1/2 in h8\nlip,bore,1 in H8\n",
        "part,feature,size\nR-1,inside diameter,1.984 ±0.015 in\nR-1,section,0.103 ±0.003 in\nS-1,shaft diameter,1/2 in\nS-1,bore,1 in\n",
    );
    catalog(
        millimetres.path(),
        "position,feature,size\nring,groove depth,2.032 ±0.0508\nring,groove width,3.556\nring,groove inside diameter,50.8\nlip,shaft diameter,12.7 h8\nlip,bore,25.4 H8\n",
        "part,feature,size\nR-1,inside diameter,50.3936 ±0.381\nR-1,section,2.6162 ±0.0762\nS-1,shaft diameter,12.7\nS-1,bore,25.4\n",
    );
    for (part, position) in [("R-1", "ring"), ("S-1", "lip")] {
        let (a, b) = (fits(inches.path(), part, position), fits(millimetres.path(), part, position));
        assert_eq!(a, b);
        assert_eq!(a["evidence"][1]["verdict"], "fits", "{a:#}");
    }
}

#[test]
fn size_alone_never_fits_with_another_or_an_unknown_rubber() {
    let folder = tempfile::tempdir().expect("a folder");
    let seats =
        "position,feature,size\nring,groove depth,2.05 ±0.05\nring,groove width,3.6\nring,groove inside diameter,51\n";
    let sizes =
        ["R-1", "R-2", "R-3"].map(|part| format!("{part},inside diameter,50.5\n{part},section,2.62\n")).concat();
    catalog(folder.path(), seats, &format!("part,feature,size\n{sizes}"));
    let verdict = |part: &str| fits(folder.path(), part, "ring")["verdict"].clone();
    assert_eq!(verdict("R-2"), "fits");
    assert_eq!(verdict("R-3"), "not-known");
    fs::write(folder.path().join("parts.csv"), "part,type,material\nR-1,o-ring,NBR\nR-2,o-ring,FKM\n")
        .expect("written");
    assert_eq!(verdict("R-2"), "not-known");
}

#[test]
fn a_missing_figure_is_not_known_and_says_what_to_measure() {
    let folder = tempfile::tempdir().expect("a folder");
    catalog(
        folder.path(),
        "position,feature,size\nring,groove width,3.6\n",
        "part,feature,size\nR-2,inside diameter,50.5\nR-2,section,2.62\n",
    );
    let answer = fits(folder.path(), "R-2", "ring");
    assert_eq!(answer["verdict"], "not-known");
    assert_eq!(answer["measure"][0], "the groove depth at ring");
}

#[test]
fn a_reading_of_this_machine_comes_before_the_table_and_the_answer_says_so() {
    let folder = tempfile::tempdir().expect("a folder");
    catalog(
        folder.path(),
        "position,feature,size,least\nlip,shaft diameter,12 h8,11.9\nlip,bore,24 H8,\n",
        "part,feature,size\nS-1,shaft diameter,12\nS-1,bore,24\n",
    );
    let new = fits(folder.path(), "S-1", "lip");
    assert_eq!((&new["verdict"], &new["contradiction"]), (&"fits".into(), &serde_json::Value::Null));
    fs::write(
        folder.path().join("measurements.csv"),
        "date,machine,position,feature,value\n2025-01-02,boat,lip,shaft diameter,11.87\n2020-01-02,boat,lip,shaft diameter,11.99\n",
    )
    .expect("written");
    let worn = fits(folder.path(), "S-1", "lip");
    assert_eq!(worn["verdict"], "does-not-fit");
    assert!(worn["contradiction"].as_str().is_some_and(|text| text.contains("figures say that it does not")));
    let text = worn["evidence"][1]["text"].as_str().expect("a text");
    assert!(text.contains("measured 11.87 mm on 2025-01-02") && text.contains("instead of seats.csv:2"), "{text}");
}

#[test]
fn a_reading_is_logged_with_what_is_left_to_its_limit() {
    let folder = tempfile::tempdir().expect("a folder");
    catalog(folder.path(), "position,feature,size,least\nlip,shaft diameter,12 h8,11.9\n", "part,feature,size\n");
    let measure = |value: &str, date: &str| {
        let mut command = Command::new(env!("CARGO_BIN_EXE_kitwright"));
        let command = command.arg("-C").arg(folder.path()).args(["measure", "boat", "lip", "shaft diameter", value]);
        let out = command.args(["--date", date, "--note", "two places, \"worst\"", "--json"]).output().expect("ran");
        let answer: serde_json::Value = serde_json::from_slice(&out.stdout).expect("JSON");
        (answer["state"].clone(), answer["left_mm"].as_f64(), out.status.code())
    };
    assert_eq!(measure("11.97", "2020-01-02"), ("in-limits".into(), Some(0.07), Some(0)));
    assert_eq!(measure("0.4690 in", "2021-01-02"), ("near-limit".into(), Some(0.0126), Some(0)));
    assert_eq!(measure("11.87", "2022-01-02"), ("beyond".into(), Some(-0.03), Some(3)));
    let logged = fs::read_to_string(folder.path().join("measurements.csv")).expect("written");
    let note = "\"two places, \"\"worst\"\"\"";
    assert_eq!(
        logged,
        format!(
            "date,machine,position,feature,value,note\n2020-01-02,boat,lip,shaft diameter,11.97 mm,{note}\n\
             2021-01-02,boat,lip,shaft diameter,0.4690 in,{note}\n2022-01-02,boat,lip,shaft diameter,11.87 mm,{note}\n"
        )
    );
    assert_eq!(fits(folder.path(), "S-1", "lip")["verdict"], "does-not-fit");
}

fn part(kind: &str, sizes: &[(&'static str, &str)]) -> PartSizes {
    let mut part = PartSizes::bare(number("P-1"), kind);
    for (feature, value) in sizes {
        part.set(feature, Interval::exactly(mm(value)), "as given");
    }
    part
}

fn seat(sizes: &[(&'static str, &str)]) -> SeatSizes {
    let mut seat = SeatSizes::default();
    for (feature, value) in sizes {
        seat.set(feature, Interval::exactly(mm(value)));
    }
    seat
}

#[test]
fn a_screw_is_judged_by_its_thread_its_engagement_and_the_bottom_of_its_hole() {
    let verdict = |length: &str, there: &[(&'static str, &str)]| {
        let mut screw = part("screw", &[("length", length)]);
        screw.thread = kitwright::fit::Thread::parse("M6");
        check(&screw, &seat(there), "seat").verdict
    };
    let hole = [("thread diameter", "6"), ("thread pitch", "1"), ("clamped thickness", "10"), ("thread depth", "14")];
    assert_eq!(verdict("20", &hole), Verdict::Fits);
    assert_eq!(verdict("30", &hole), Verdict::DoesNotFit, "it bottoms");
    assert_eq!(verdict("9", &hole), Verdict::DoesNotFit, "it does not reach");
    assert_eq!(verdict("13", &hole), Verdict::NotKnown, "it hardly engages");
    assert_eq!(verdict("20", &[("thread diameter", "8"), ("thread pitch", "1.25")]), Verdict::DoesNotFit);
    assert_eq!(verdict("20", &[("thread diameter", "6"), ("thread pitch", "0.75")]), Verdict::DoesNotFit);
    assert_eq!(verdict("20", &[("thread diameter", "6")]), Verdict::NotKnown);
}

#[test]
fn a_split_pin_is_judged_by_its_hole_and_its_bolt() {
    let pin = part("split pin", &[("diameter", "3.2"), ("length", "25")]);
    let verdict = |there: &[(&'static str, &str)]| check(&pin, &seat(there), "seat").verdict;
    assert_eq!(verdict(&[("hole diameter", "3.3"), ("bolt diameter", "12")]), Verdict::Fits);
    assert_eq!(verdict(&[("hole diameter", "3.3"), ("bolt diameter", "24")]), Verdict::NotKnown);
    assert_eq!(verdict(&[("hole diameter", "2")]), Verdict::DoesNotFit);
    assert_eq!(verdict(&[("bolt diameter", "12")]), Verdict::NotKnown);
}

#[test]
fn a_spring_a_hose_or_a_ring_is_not_held_to_the_size_of_what_it_sits_in() {
    for kind in ["spring", "hose", "seal", "piston ring", "rod seal", "spring pin", ""] {
        let found = check(&part(kind, &[("outside diameter", "42"), ("bore", "12")]), &seat(&[("bore", "40")]), "seat");
        assert!(!found.compared && found.numbers.is_empty(), "{kind}: {found:?}");
    }
}

#[test]
fn the_gland_of_a_seat_follows_from_its_rod_or_bore_or_is_told() {
    let ring = part("o-ring", &[("inside diameter", "50.5"), ("section", "2.62")]);
    let text = |there: &[(&'static str, &str)]| {
        let mut sizes = vec![("groove depth", "2.1"), ("groove width", "3.6")];
        sizes.extend(there);
        check(&ring, &seat(&sizes), "seat").text()
    };
    assert!(text(&[("groove inside diameter", "51")]).contains("axial glands"));
    assert!(text(&[("groove inside diameter", "51"), ("bore", "55.2")]).contains("radial glands"));
    assert!(text(&[("rod diameter", "51")]).contains("dynamic glands"));
    assert!(
        text(&[("groove inside diameter", "51"), ("bore", "55.2"), ("dynamic gland", "1")]).contains("dynamic glands")
    );
    let derived = check(&ring, &seat(&[("groove inside diameter", "51"), ("bore", "55.2")]), "seat");
    assert_eq!(derived.numbers["squeeze_percent"], 19.5, "the depth follows from the two diameters");
}

#[test]
fn a_torque_typed_in_another_unit_is_a_warning_of_the_check() {
    let folder = tempfile::tempdir().expect("a folder");
    let write = |name: &str, text: &str| fs::write(folder.path().join(name), text).expect("written");
    write("models.csv", "model\nM\n");
    write("machines.csv", "machine,model\nboat,M\n");
    write("parts.csv", "part,type,size\nB-1,bolt,M6 x 20\n");
    write("positions.csv", "position,part,torque\ncover-bolt,B-1,90 N·m\n");
    let mut command = Command::new(env!("CARGO_BIN_EXE_kitwright"));
    let out = command.arg("-C").arg(folder.path()).args(["check", "--json"]).output().expect("ran");
    let answer: serde_json::Value = serde_json::from_slice(&out.stdout).expect("JSON");
    let warnings = answer["warnings"].as_array().expect("a list");
    let torque = warnings.iter().find(|warning| warning["code"] == "torque-doubtful").expect("a warning");
    assert_eq!(
        (&torque["file"], &torque["line"], &torque["column"]),
        (&"positions.csv".into(), &2.into(), &"torque".into())
    );
    assert!(torque["message"].as_str().is_some_and(|text| text.contains("was 90 lbf·in meant?")), "{torque}");
    assert_eq!(out.status.code(), Some(3));
}

#[test]
fn a_gap_stays_and_the_figures_stand_beside_it() {
    let mut command = Command::new(env!("CARGO_BIN_EXE_kitwright"));
    let demo = Path::new(env!("CARGO_MANIFEST_DIR")).join("demo");
    let ask =
        ["kit", "--renew", "pump-plate-gasket", "--instead", "prop-carrier-oring=91-2110", "--on", "dinghy", "--json"];
    let out = command.arg("-C").arg(demo).args(ask).output().expect("ran");
    let kit: serde_json::Value = serde_json::from_slice(&out.stdout).expect("JSON");
    assert_eq!((&kit["gaps"][0]["kind"], &kit["complete"]), (&"fit-unknown".into(), &false.into()));
    let offered = &kit["offered"][0];
    assert_eq!((&offered["position"], &offered["verdict"]), (&"prop-carrier-oring".into(), &"does-not-fit".into()));
    assert_eq!(out.status.code(), Some(3));
}

#[test]
fn a_picture_is_drawn_of_one_position_and_refused_where_nothing_can_be_drawn() {
    let folder = tempfile::tempdir().expect("a folder");
    let file = folder.path().join("fit.svg");
    let draw = |part: &str, position: &str| {
        let mut command = Command::new(env!("CARGO_BIN_EXE_kitwright"));
        let demo = Path::new(env!("CARGO_MANIFEST_DIR")).join("demo");
        let command = command.arg("-C").arg(demo).args(["fits", part, "dinghy", "--at", position, "--picture"]);
        command.arg(&file).output().expect("ran").status.code()
    };
    assert_eq!(draw("91-2060", "drive-seal-upper"), Some(3));
    let picture = fs::read_to_string(&file).expect("drawn");
    assert!(picture.contains("least 11.9") && picture.contains("measured 2026-10-03"), "{picture}");
    assert_eq!(draw("TV-1180-03", "pump-housing"), Some(2));
}

/// A catalog in which G-1 and G-2 may be swapped both ways, X-9 is G-1 under another number, and G-2 is listed.
#[test]
fn the_same_part_under_another_number_and_its_partner_both_ways_fit_where_it_is_listed() {
    let mut tables = Tables::default();
    for (name, text) in [
        ("machines", "machine,model,year\nmill,M1,1999\n"),
        ("models", "model\nM1\n"),
        ("parts", "part,type\nG-1,gasket\nG-2,gasket\nX-9,gasket\nG-3,gasket\n"),
        ("positions", "position,part\nseat,G-2\n"),
        ("supersessions", "old,new,swap\nG-1,G-2,both-ways\nG-3,G-2,one-way\n"),
        ("equivalents", "part,other\nG-1,X-9\n"),
    ] {
        tables.read_file(name, format!("{name}.csv"), text.as_bytes());
    }
    let memory = tables.catalog();
    for (number, verdict) in [("G-1", Some("fits")), ("x9", Some("fits")), ("G-3", None)] {
        let part = PartNumber::new(number).expect("a number");
        let machine = fit::find_machine(&Key::new("mill"), &memory).expect("a machine");
        let answers = fit::everywhere(&part, machine, &memory);
        assert_eq!(answers.positions.first().map(|answer| answer.verdict.as_str()), verdict, "{number}");
    }
}
