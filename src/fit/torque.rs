//! Whether a torque can be right for its thread, and for which part it was listed.
//!
//! A guide only: how a thread is made, coated and greased decides what a torque does, and the maker's manual rules.

use super::sizes::PartSizes;
use super::standard::{ThreadSize, property_classes};
use super::thread_name::{Thread, thread_of};
use crate::catalog::{At, Lookup, Part, Position, Rows};
use crate::kit::{Action, Bench, Kit, Place};
use crate::measure::{Key, Moment, MomentUnit, PartNumber, Stage, Torque, newton_metres, plain};
use rust_decimal::{Decimal, RoundingStrategy};
use serde::Serialize;
use std::collections::HashMap;

/// The name of the check that finds a torque that cannot be right, or may be in another unit.
pub const CODE: &str = "torque-doubtful";
/// What the check means.
pub const MEANING: &str = "A torque may stand in another unit than the manual has it in. Its figures in several units do not say the same, or it is far from what its thread can take or needs, whatever the strength of the screw, or two rows of one position differ for the same part just as lbf·ft and N·m do. The strength of a thread cannot tell lbf·ft from N·m: that leaves about three quarters of the torque, and grease or oil on the thread makes a greater difference, so a single figure that raises no warning may still be wrong. Two figures as the manual prints them, 25 N·m (18 lbf·ft), can be held against each other, and a slip in one of them shows.";
/// How to mend what the check finds.
pub const MEND: &str = "Look the torque up again in the maker's manual, mind its unit, and type every figure that the manual has for it, as in 25 N·m (2.5 kgf·m, 18 lbf·ft); where it is right all the same, leave it: a guide only.";

/// The range of the factor K in T = K·d·F, from greased to dry. Source: common practice, no source; F is the load on
/// the screw, d its diameter, T the torque.
pub const FACTORS: (Decimal, Decimal) =
    (Decimal::from_parts(10, 0, 0, false, 2), Decimal::from_parts(20, 0, 0, false, 2));

/// A torque below this part of what even the weakest class takes clamps nothing. Source: common practice, no source.
const LEAST: Decimal = Decimal::from_parts(2, 0, 0, false, 1);

/// The torques in N·m between which a thread's torque can be right.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Range {
    /// A fifth of what the weakest class, or the class given, takes when greased.
    pub least: Decimal,
    /// What the strongest class, or the class given, takes dry at its proof stress.
    pub most: Decimal,
    /// What class 8.8 takes at three quarters of its proof stress, greased and dry: where most torques lie.
    pub usual: (Decimal, Decimal),
}

/// Works out between which torques the torque of a thread can be right, for any property class or for one.
///
/// `None` for a thread without a known pitch, or with a pitch that leaves no core. Stress area and proof stress as in
/// ISO 898-1; T = K·d·F.
pub fn range(thread: Thread, class: Option<&str>) -> Option<Range> {
    let size = ThreadSize {
        diameter: thread.diameter,
        pitch: thread.pitch?,
        coarse: false,
        source: String::new(),
    };
    if size.pitch >= size.diameter {
        return None;
    }
    let area = size.stress_area();
    let metres = thread.diameter / Decimal::ONE_THOUSAND;
    let proof = |wanted: &str| {
        let rows = property_classes()
            .iter()
            .filter(|row| row.class == wanted && thread.diameter > row.over);
        rows.max_by_key(|row| row.over).map(|row| row.proof)
    };
    let torque = |factor: Decimal, stress: Decimal| factor * metres * area * stress;
    let usual = proof("8.8")? * Decimal::new(75, 2);
    let strongest = class.and_then(proof).or_else(|| proof("12.9"))?;
    Some(Range {
        least: LEAST * torque(FACTORS.0, class.and_then(proof).or_else(|| proof("4.6"))?),
        most: torque(FACTORS.1, strongest),
        usual: (torque(FACTORS.0, usual), torque(FACTORS.1, usual)),
    })
}

/// Says why a torque cannot be right for a thread; `None` where it can.
pub fn doubt(thread: Thread, torque: &Torque, class: Option<&str>) -> Option<String> {
    let range = range(thread, class)?;
    let (moment, also) = moments(torque).next_back()?;
    let Moment { low, high, unit } = moment;
    let turned = torque.stages().iter().any(|stage| matches!(stage, Stage::Angle { .. }));
    let (least, most) = (newton_metres(unit, low), newton_metres(unit, high));
    let show = |value: Decimal| plain(value.round_sf(2).unwrap_or(value));
    let strength =
        class.map_or_else(|| "any property class".to_owned(), |class| format!("class {class}"));
    let text = if most > range.most {
        format!(
            "{torque} is more than {thread} of {strength} takes (up to about {} N·m)",
            show(range.most)
        )
    } else if least < range.least && !turned {
        format!("{torque} clamps nothing with {thread} (at least about {} N·m)", show(range.least))
    } else {
        return None;
    };
    let units = [
        MomentUnit::NewtonMetre,
        MomentUnit::PoundForceFoot,
        MomentUnit::PoundForceInch,
        MomentUnit::KilogramForceMetre,
    ];
    let meant = units
        .into_iter()
        // Figures that bear each other out are in their units.
        .filter(|other| *other != unit && !also.iter().any(|also| moment.agrees_with(*also)))
        .find(|other| {
            newton_metres(*other, low) >= range.usual.0
                && newton_metres(*other, high) <= range.usual.1
        });
    let hint = meant.map_or_else(
        || "is the unit right?".to_owned(),
        |meant| format!("was {} {} meant?", plain(high), meant.symbol()),
    );
    Some(format!(
        "{text}; {hint} A guide only (T = K·d·F with K from {} to {}): the maker's manual rules",
        FACTORS.0, FACTORS.1
    ))
}

/// Gives the moments of a torque, each with what stands in brackets behind it.
fn moments(torque: &Torque) -> impl DoubleEndedIterator<Item = (Moment, &[Moment])> {
    torque.stages().iter().filter_map(|stage| match stage {
        Stage::Moment { first, also } => Some((*first, also.as_slice())),
        Stage::Angle { .. } => None,
    })
}

/// Says which two figures of a torque cannot stand for one moment; `None` where all that stand together can.
///
/// This is what tells lbf·ft typed as N·m, which the strength of a thread cannot.
pub fn disagreement(torque: &Torque) -> Option<String> {
    for (first, also) in moments(torque) {
        let Some(other) = also.iter().copied().find(|also| !first.agrees_with(*also)) else {
            continue;
        };
        let round = (Moment { unit: other.unit, ..first }, Moment { unit: first.unit, ..other });
        let hint = if round.0.agrees_with(round.1) {
            format!(" {} and {} would agree", round.0, round.1)
        } else {
            String::new()
        };
        return Some(format!(
            "{first} is {}, not {}: which of the two does the manual print?{hint}",
            first.in_unit(other.unit),
            figures(other)
        ));
    }
    let stages: Vec<Moment> = moments(torque).map(|(first, _)| first).collect();
    let again = stages.windows(2).find_map(|pair| match pair {
        [one, next] if one.unit != next.unit && one.agrees_with(*next) => Some((one, next)),
        _ => None,
    });
    let (one, next) = again?;
    Some(format!("{next} is {one} once more: if they are one stage, write {one} ({next})"))
}

/// A moment without its unit.
fn figures(moment: Moment) -> String {
    let Moment { low, high, .. } = moment;
    if low == high { low.to_string() } else { format!("{low}-{high}") }
}

/// Says whether one torque is the other as a manual would convert it from N·m to lbf·ft or back, though both are typed
/// in the same unit and neither says what it is in the other.
fn converted(one: &Torque, other: &Torque) -> bool {
    let by = |larger: &Torque, smaller: &Torque| {
        larger.stages().iter().zip(smaller.stages()).all(|pair| match pair {
            (Stage::Moment { first: large, also }, Stage::Moment { first: small, also: none }) => {
                also.is_empty() && none.is_empty() && looks_converted(*large, *small)
            }
            (large, small) => large == small,
        })
    };
    one.stages().len() == other.stages().len() && (by(one, other) || by(other, one))
}

/// Says whether the smaller figure is the larger one in lbf·ft, or the larger one the smaller in N·m, rounded as it is
/// printed.
fn looks_converted(larger: Moment, smaller: Moment) -> bool {
    let (metric, pounds) = (MomentUnit::NewtonMetre, MomentUnit::PoundForceFoot);
    let factor = newton_metres(pounds, Decimal::ONE);
    let rounds_to = |moment: Decimal, printed: Decimal| {
        moment.round_dp_with_strategy(printed.scale(), RoundingStrategy::MidpointAwayFromZero)
            == printed
    };
    larger.unit == smaller.unit
        && [metric, pounds].contains(&larger.unit)
        && [(larger.low, smaller.low), (larger.high, smaller.high)].into_iter().all(
            |(large, small)| {
                rounds_to(large / factor, small) || rounds_to(newton_metres(pounds, small), large)
            },
        )
}

/// A torque in the tables that cannot be right, or may be in another unit.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Doubtful {
    /// The row of the table positions.
    pub at: At,
    /// Why, and what may be meant.
    pub text: String,
}

/// Finds the torques in the table of positions whose figures do not say the same, that cannot be right for the thread
/// of the part listed there, or that another row has for the same part at the same position in another unit, as it
/// seems. Other positions are not compared, nor other parts: 20 and 15, 30 and 22, 40 and 30 N·m are usual torques of
/// screws that are alike, and a class stronger takes a third more.
///
/// `place` tells where a row stands.
pub fn doubtful(rows: &Rows, place: &dyn Fn(At) -> String) -> Vec<Doubtful> {
    let parts: HashMap<&PartNumber, &Part> =
        rows.parts.iter().rev().map(|part| (&part.part, part)).collect();
    let mut found = Vec::new();
    let mut seen: HashMap<(&Key, &PartNumber), Vec<(At, &Torque)>> = HashMap::new();
    for row in &rows.positions {
        let Some(torque) = &row.torque else { continue };
        found.extend(disagreement(torque).map(|text| Doubtful { at: row.at, text }));
        let Some(number) = row.part.part() else { continue };
        let earlier = seen.entry((&row.position, number)).or_default();
        if let Some((at, other)) = earlier.iter().find(|(_, other)| converted(other, torque)) {
            let text = format!(
                "{torque} here and {other} in {} for {number} differ as lbf·ft and N·m do: is one of the two in the other unit? Type both figures as the manual has them, as in 25 N·m (18 lbf·ft)",
                place(*at)
            );
            found.push(Doubtful { at: row.at, text });
        }
        earlier.push((row.at, torque));
        let Some(part) = parts.get(number) else { continue };
        let Some(thread) = thread_of(&part.size) else { continue };
        let class = class_in(&format!("{} {} {}", part.material, part.name, part.size));
        if let Some(text) = doubt(thread, torque, class) {
            found.push(Doubtful { at: row.at, text });
        }
    }
    found
}

fn class_in(text: &str) -> Option<&'static str> {
    let words: Vec<&str> = text.split([' ', ',', ';', '(', ')']).collect();
    property_classes().iter().map(|row| row.class.as_str()).find(|class| words.contains(class))
}

/// A torque of a position in a kit.
#[derive(Debug, Clone, Serialize)]
pub struct Listed {
    /// The position.
    pub position: String,
    /// The torque, as the table has it.
    pub torque: String,
    /// The part that the torque is listed for.
    pub listed_for: String,
    /// The part that goes there, where it is another one.
    pub fitted: Option<String>,
    /// The row.
    pub from: String,
}

/// Gathers the torques of what a kit disturbs. One that is listed for an earlier part is marked as that.
pub fn of_kit(kit: &Kit, lookup: &dyn Lookup) -> Vec<Listed> {
    let Some(machine) = lookup.machine(&Key::new(&kit.machine)) else { return Vec::new() };
    let bench = Bench::new(machine.into_owned(), lookup);
    let mut listed = Vec::new();
    for planned in kit.positions.iter().filter(|planned| planned.action != Action::LeaveOut) {
        let place = bench.place(&Key::new(&planned.position));
        let current = planned.current.iter().flat_map(|current| current.split(';'));
        let goes: Vec<PartNumber> = if planned.parts.is_empty() {
            current.filter_map(PartNumber::new).collect()
        } else {
            planned.parts.iter().filter_map(|part| PartNumber::new(&part.part)).collect()
        };
        let Some(row) = row_for(&place, &goes) else { continue };
        let (Some(torque), Some(part)) = (&row.torque, row.part.part()) else { continue };
        let other = goes.iter().find(|number| *number != part);
        listed.push(Listed {
            position: planned.position.clone(),
            torque: torque.to_string(),
            listed_for: lookup.spell_part(part).to_string(),
            fitted: other.map(|number| lookup.spell_part(number).to_string()),
            from: lookup.place(row.at),
        });
    }
    listed
}

/// Finds the row whose torque counts for what goes in at a position: the row of any scope, those that apply first, that
/// lists it with a torque; else the row that applies.
pub fn row_for<'p>(place: &'p Place, goes: &[PartNumber]) -> Option<&'p Position> {
    let lists = |row: &&Position| {
        row.torque.is_some() && row.part.part().is_some_and(|part| goes.contains(part))
    };
    place.speaking.iter().chain(&place.rows).find(lists).or(place.speaking.first())
}

/// Gives the metric thread of a part, for what turns it.
pub(super) fn thread_of_part(part: &PartSizes) -> Option<Thread> {
    part.thread.filter(|thread| thread.inch.is_none()).or_else(|| thread_of(&part.size))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::measure::DecimalMark;
    use proptest::prelude::*;

    fn said(size: &str, torque: &str) -> Option<String> {
        let torque = Torque::parse(torque, DecimalMark::Point).unwrap();
        doubt(thread_of(size).unwrap(), &torque, None)
    }

    #[test]
    fn a_pitch_is_found_however_it_is_written_and_a_strength_or_tolerance_is_none() {
        for (size, thread) in [
            ("M10 x 1.25 x 30", "M10x1.25"),
            ("M10 x 30", "M10x1.5"),
            ("M8x1.25-6g", "M8x1.25"),
            ("M8x1-6g x 20", "M8x1"),
            ("M10-1.25 x 30", "M10x1.25"),
            ("M20-4.6", "M20x2.5"),
            ("M8 x 35 LH", "M8x1.25"),
            ("M10 x 1,25 x 30 8.8", "M10x1.25"),
            ("m20×1.5 x 65 x 60", "M20x1.5"),
            ("M6x30", "M6x1"),
        ] {
            assert_eq!(thread_of(size).unwrap().to_string(), thread, "{size}");
        }
        for size in ["8 x 30", "3/8-16 UNC", "M", "Mx", ""] {
            assert_eq!(thread_of(size), None, "{size}");
        }
    }

    #[test]
    fn stainless_screws_are_held_to_their_own_strength() {
        let doubt = |class: &str| {
            let torque = Torque::parse("40 N·m", DecimalMark::Point).unwrap();
            doubt(
                thread_of("M8 x 30").unwrap(),
                &torque,
                class_in(&format!("stainless {class}, M8 x 30")),
            )
        };
        assert!(
            doubt("A2-50").is_some_and(|text| text.contains("class A2-50")),
            "{:?}",
            doubt("A2-50")
        );
        assert!(doubt("A2-70").is_some() && doubt("10.9").is_none());
    }

    #[test]
    fn usual_torques_raise_no_doubt() {
        for (size, torque) in [
            ("M6 x 30", "3 N·m; 6 N·m"),
            ("M6 x 20", "9 N·m"),
            ("M8 x 35", "2.0 kgf·m"),
            ("M8 x 40", "10 N·m; 20 N·m; +90°"),
            ("M12", "12 lbf·ft"),
            ("M12 x 190", "25 N·m"),
            ("M5x16", "5 N·m"),
            ("M10x1.25 x 30", "40-50 N·m"),
            ("M14 x 1.5", "35 N·m"),
            ("M20", "400 N·m"),
        ] {
            assert_eq!(said(size, torque), None, "{size} {torque}");
        }
    }

    #[test]
    fn a_torque_in_another_unit_is_pointed_out() {
        let told = said("M6 x 20", "90 N·m").unwrap();
        assert!(told.contains("more than M6x1") && told.contains("was 90 lbf·in meant?"), "{told}");
        let told = said("M8 x 35", "20 kgf·m").unwrap();
        assert!(told.contains("was 20 N·m meant?"), "{told}");
        let told = said("M10 x 40", "4 lbf·in").unwrap();
        assert!(told.contains("clamps nothing") && told.contains("was 4 kgf·m meant?"), "{told}");
    }

    #[test]
    fn a_known_class_narrows_what_can_be_right() {
        let torque = Torque::parse("40 N·m", DecimalMark::Point).unwrap();
        let thread = thread_of("M8 x 30").unwrap();
        assert_eq!(doubt(thread, &torque, None), None);
        assert!(doubt(thread, &torque, Some("4.6")).is_some());
        assert_eq!(class_in("steel 8.8, zinc"), Some("8.8"));
        // 2.0 kgf·m typed as N·m: too little for a screw that is known to be strong.
        let little = Torque::parse("2.0 N·m", DecimalMark::Point).unwrap();
        assert_eq!(doubt(thread, &little, None), None);
        assert!(doubt(thread, &little, Some("8.8")).unwrap().contains("was 2 kgf·m meant?"));
    }

    #[test]
    fn a_length_is_not_taken_for_a_pitch() {
        let pitch = |size: &str| thread_of(size).unwrap().pitch.map(|pitch| pitch.to_string());
        assert_eq!(pitch("M6x30").as_deref(), Some("1"));
        assert_eq!(pitch("M20x1.5 x 65 x 60").as_deref(), Some("1.5"));
        assert_eq!(pitch("M8×1").as_deref(), Some("1"));
        assert_eq!(thread_of("12 x 24 x 7"), None);
    }

    fn torque(text: &str) -> Torque {
        Torque::parse(text, DecimalMark::Point).unwrap()
    }

    #[test]
    fn figures_of_two_units_that_do_not_say_the_same_are_asked_about() {
        let said = |text: &str| disagreement(&torque(text));
        assert_eq!(said("25 N·m (2.5 kgf·m, 18 lbf·ft); +90°"), None);
        assert_eq!(
            said("25 N·m (34 lbf·ft)").as_deref(),
            Some(
                "25 N·m is 18.4 lbf·ft, not 34: which of the two does the manual print? 25 lbf·ft and 34 N·m would agree"
            )
        );
        let later = said("10 N·m; 25 lbf·ft (18 N·m)").unwrap();
        assert!(
            later.contains("33.9 N·m, not 18")
                && later.contains("25 N·m and 18 lbf·ft would agree"),
            "{later}"
        );
        assert!(!said("25 N·m (25 kgf·m)").unwrap().contains("would agree"));
        assert!(said("18-22 N·m (13-30 lbf·ft)").unwrap().contains("13.3-16.2 lbf·ft, not 13-30"));
        assert!(
            said("25 N·m; 18 lbf·ft").unwrap().contains("write 25 N·m (18 lbf·ft)"),
            "two units are no two stages"
        );
        assert_eq!(said("20 N·m; 40 N·m"), None);
        assert_eq!(said("20 N·m (15 lbf·ft); 40 N·m (30 lbf·ft)"), None);
    }

    #[test]
    fn figures_that_bear_each_other_out_are_not_said_to_be_in_another_unit() {
        let alone = doubt(thread_of("M6 x 20").unwrap(), &torque("90 N·m"), None).unwrap();
        let borne_out =
            doubt(thread_of("M6 x 20").unwrap(), &torque("90 N·m (66 lbf·ft)"), None).unwrap();
        assert!(
            alone.contains("was 90 lbf·in meant?") && !borne_out.contains("meant?"),
            "{alone} {borne_out}"
        );
    }

    #[test]
    fn only_torques_that_differ_as_the_two_units_do_look_converted() {
        let looks = |one: &str, other: &str| {
            assert_eq!(
                converted(&torque(one), &torque(other)),
                converted(&torque(other), &torque(one)),
                "{one} {other}"
            );
            converted(&torque(one), &torque(other))
        };
        assert!(
            looks("25 N·m", "18 N·m")
                && looks("25 lbf·ft", "18 lbf·ft")
                && looks("13 N·m", "9.6 N·m")
        );
        assert!(
            looks("10 N·m; 25 N·m; +90°", "7.4 N·m; 18 N·m; +90°")
                && looks("18-25 N·m", "13-18 N·m")
        );
        for (one, other) in [
            ("25 N·m", "25 N·m"),
            ("25 N·m", "18 lbf·ft"),
            ("25 N·m", "19 N·m"),
            ("25 kgf·m", "18 kgf·m"),
            ("25 N·m; +90°", "18 N·m"),
            ("25 N·m; +90°", "18 N·m; +60°"),
            ("25 N·m; +90°", "18 N·m; 25 N·m"),
            ("10 N·m; 18 N·m", "7.4 N·m; 25 N·m"),
            // What says itself what it is in the other unit is settled.
            ("25 N·m (18 lbf·ft)", "18 N·m"),
            ("25 N·m (18 lbf·ft)", "18 N·m (13 lbf·ft)"),
        ] {
            assert!(!looks(one, other), "{one} {other}");
        }
    }

    /// Between greased and dry the same torque does twice as much, so a factor of 1.36 shows only at the ends.
    #[test]
    fn pound_feet_typed_as_newton_metres_show_only_outside_of_what_any_class_takes() {
        assert_eq!((said("M8 x 35", "18 N·m"), said("M8 x 35", "18 lbf·ft")), (None, None));
        assert!(
            said("M6 x 20", "20 lbf·ft").is_some() && said("M6 x 20", "20 N·m").is_none(),
            "the strongest M6 dry"
        );
        assert!(MEANING.contains("cannot tell lbf·ft from N·m"), "and the check says so");
    }

    proptest! {
        #[test]
        fn the_same_torque_in_another_unit_raises_the_same_doubt(moment in 1_u32..10_000, size in 0_usize..6) {
            let thread = Thread::parse(["M4", "M5", "M6", "M8", "M10", "M16"][size]).unwrap();
            let moment = Decimal::new(i64::from(moment), 1);
            let inch = newton_metres(MomentUnit::PoundForceInch, moment);
            let stage = |text: String| Torque::parse(&text, DecimalMark::Point).unwrap();
            let imperial = doubt(thread, &stage(format!("{moment} lbf·in")), None);
            let metric = doubt(thread, &stage(format!("{inch} N·m")), None);
            prop_assert_eq!(imperial.is_some(), metric.is_some());
        }
    }
}
