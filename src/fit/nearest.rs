//! The standard sizes nearest to a part that is no longer made, with how each would sit in a seat.

use super::Verdict;
use super::computed::{InSeat, Site};
use super::sizes::PartSizes;
use super::standard::{
    circlips, diameter_tolerance, e_clips, o_rings, parallel_keys, plain_washers, sealing_washers,
    shaft_seals, split_pins, threads,
};
use crate::catalog::{Lookup, PartType};
use crate::measure::{Interval, PartNumber, json_number};
use rust_decimal::Decimal;
use serde::Serialize;
use serde_json::Value;

/// A standard size near a wanted one.
#[derive(Debug, Clone, Serialize)]
pub struct NearStandard {
    /// The standard, with the size code where it has one.
    pub standard: String,
    /// The size as one asks for it: `24.99 x 3.53`.
    pub size: String,
    /// How far its sizes are from those wanted: the sum of their relative differences; 0 is the same.
    pub distance: Value,
    /// What is to be said of it in the seat; `None` where no seat was given or nothing could be compared. A size says
    /// nothing of a rubber, so a size of something that seals is never said to fit.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub in_seat: Option<InSeat>,
    /// Where the size was found.
    pub source: String,
}

/// One standard size before it is ranked.
struct Candidate {
    standard: String,
    sizes: Vec<(&'static str, Interval)>,
    source: String,
}

/// How far a size may be from the wanted one to be offered, as a part of it.
const REACH: Decimal = Decimal::from_parts(25, 0, 0, false, 2);

/// Finds the standard sizes nearest to a part of a type by its figures, the nearest first.
///
/// For an O-ring the sizes are compared by inside diameter and section; where a seat is given, each answer carries
/// the squeeze that it would have there, and those that the seat refuses come last. Types without a table of standard
/// sizes give an empty answer, as does a part whose figures are not known.
pub fn nearest_standard(
    wanted: &PartSizes,
    site: Option<&Site>,
    lookup: &dyn Lookup,
    most: usize,
) -> Vec<NearStandard> {
    near_standards(wanted, site, lookup, most, &|of| of.saturating_mul(REACH))
}

/// The same, with so much off in mm as `slack` allows a length.
fn near_standards(
    wanted: &PartSizes,
    site: Option<&Site>,
    lookup: &dyn Lookup,
    most: usize,
    slack: &dyn Fn(Decimal) -> Decimal,
) -> Vec<NearStandard> {
    let mut found: Vec<(bool, Decimal, NearStandard)> = Vec::new();
    for candidate in candidates(wanted) {
        let Some(distance) = distance(wanted, &candidate, slack) else { continue };
        let sizes: Vec<String> = candidate
            .sizes
            .iter()
            .map(|(_, value)| value.nominal.normalize().to_string())
            .collect();
        let sign = if candidate.sizes.first().is_some_and(|(feature, _)| *feature == THREAD[0]) {
            "M"
        } else {
            ""
        };
        let size = format!("{sign}{}", sizes.join(" x "));
        let in_seat = site.and_then(|site| {
            let mut part = PartSizes::bare(PartNumber::new(&size)?, &wanted.kind);
            part.seals = wanted.seals;
            for (feature, value) in &candidate.sizes {
                part.set(feature, *value, "");
            }
            site.judges(&part, lookup)
        });
        let refused = in_seat.as_ref().is_some_and(|judged| judged.by_size == Verdict::DoesNotFit);
        found.push((
            refused,
            distance,
            NearStandard {
                standard: candidate.standard,
                size,
                distance: json_number(distance.round_dp(4)),
                in_seat,
                source: candidate.source,
            },
        ));
    }
    found.sort_by(|a, b| (a.0, a.1, &a.2.size).cmp(&(b.0, b.1, &b.2.size)));
    found.into_iter().map(|(_, _, near)| near).take(most).collect()
}

/// Finds the standard O-rings nearest to an inside diameter and a section in mm.
pub fn nearest_o_rings(
    inside: Decimal,
    section: Decimal,
    site: Option<&Site>,
    lookup: &dyn Lookup,
    most: usize,
) -> Vec<NearStandard> {
    let Some(number) = PartNumber::new("wanted") else { return Vec::new() };
    let mut wanted = PartSizes::bare(number, "o-ring");
    wanted.seals = true;
    wanted.set("inside diameter", Interval::exactly(inside), "as wanted");
    wanted.set("section", Interval::exactly(section), "as wanted");
    nearest_standard(&wanted, site, lookup, most)
}

/// A standard size near wanted lengths.
#[derive(Debug, Clone, Serialize)]
pub struct NearLengths {
    /// The standard size.
    #[serde(flatten)]
    pub standard: NearStandard,
    /// By how many mm each of its lengths is longer than the one wanted.
    pub off: Vec<Value>,
}

/// Finds the standard sizes of a type near lengths in mm, given in the order of the type's size: the nearest first, by
/// the length that is farthest off, then by all together. Gives how many there are, and so many of them.
///
/// `slack` says how far a length may be off. Where a seat is given, each answer carries what the figures say of it
/// there, such as the squeeze of an O-ring.
pub fn standards_near(
    part_type: &PartType,
    wanted: &[Decimal],
    slack: &dyn Fn(Decimal) -> Decimal,
    site: Option<&Site>,
    lookup: &dyn Lookup,
    most: usize,
) -> (usize, Vec<NearLengths>) {
    let Some(number) = PartNumber::new("wanted") else { return (0, Vec::new()) };
    let sizes = PartSizes::of_lengths(number, part_type, wanted);
    let mut found: Vec<(Decimal, Decimal, NearLengths)> = Vec::new();
    // Behind a thread there may be no pitch but a length, of which no standard here speaks.
    let of_thread = sizes.thread.map(|_| {
        let lengths = THREAD.iter().map_while(|feature| sizes.get(&[feature]));
        lengths.map(|figure| figure.value.nominal).collect::<Vec<_>>()
    });
    let wanted = of_thread.as_deref().unwrap_or(wanted);
    for standard in near_standards(&sizes, site, lookup, usize::MAX, slack) {
        let own = standard
            .size
            .trim_start_matches('M')
            .split(" x ")
            .filter_map(|length| length.parse::<Decimal>().ok());
        let off: Vec<Decimal> = own.zip(wanted).map(|(own, wanted)| own - *wanted).collect();
        if off.iter().zip(wanted).any(|(off, wanted)| off.abs() > slack(*wanted)) {
            continue;
        }
        let farthest = off.iter().map(Decimal::abs).max().unwrap_or_default();
        let together = off.iter().map(Decimal::abs).sum();
        let off = off.into_iter().map(|off| json_number(off.round_dp(4))).collect();
        found.push((farthest, together, NearLengths { standard, off }));
    }
    found.sort_by_key(|(farthest, together, _)| (*farthest, *together));
    (found.len(), found.into_iter().map(|(_, _, near)| near).take(most).collect())
}

/// The features of a thread, in the order in which its size has them.
const THREAD: [&str; 2] = ["thread diameter", "thread pitch"];

/// The sum of the relative differences; `None` where one is out of reach or not known.
fn distance(
    wanted: &PartSizes,
    candidate: &Candidate,
    slack: &dyn Fn(Decimal) -> Decimal,
) -> Option<Decimal> {
    let mut sum = Decimal::ZERO;
    for (feature, value) in &candidate.sizes {
        // A thickness, width or section that nobody has given is no reason against a size.
        let Some(figure) = wanted.get(&[feature]) else {
            if matches!(
                *feature,
                "thickness" | "width" | "height" | "outside diameter" | "section" | "thread pitch"
            ) {
                continue;
            }
            return None;
        };
        let of = figure.value.nominal;
        let apart = value.nominal.checked_sub(of)?.abs();
        if apart > slack(of) {
            return None;
        }
        sum = sum.checked_add(apart.checked_div(of)?)?;
    }
    Some(sum)
}

fn about(nominal: Decimal, tolerance: Decimal) -> Interval {
    Interval::new(nominal - tolerance, nominal, nominal + tolerance)
}

fn candidates(wanted: &PartSizes) -> Vec<Candidate> {
    let three = |rows: &'static [super::standard::ThreeFigures],
                 standard: &str,
                 names: [&'static str; 3]| {
        let candidate = |row: &super::standard::ThreeFigures| Candidate {
            standard: standard.to_owned(),
            sizes: names.into_iter().zip(row.figures.map(Interval::exactly)).collect(),
            source: row.source.clone(),
        };
        rows.iter().map(candidate).collect::<Vec<_>>()
    };
    match wanted.kind.as_str() {
        "o-ring" => standard_rings(wanted),
        "shaft seal" => {
            three(shaft_seals(), "ISO 6194-1 / DIN 3760", ["shaft diameter", "bore", "width"])
        }
        "sealing washer" => three(
            sealing_washers(),
            "DIN 7603 form A",
            ["inside diameter", "outside diameter", "thickness"],
        ),
        "plain washer" => plain_washers()
            .iter()
            .map(|row| Candidate {
                standard: format!("ISO 7089, M{}", row.thread.normalize()),
                sizes: vec![
                    ("inside diameter", Interval::exactly(row.figures[0])),
                    ("outside diameter", Interval::exactly(row.figures[1])),
                    ("thickness", washer_thickness(row.figures[2])),
                ],
                source: row.source.clone(),
            })
            .collect(),
        "split pin" => split_pins()
            .iter()
            .map(|row| Candidate {
                standard: format!("ISO 1234, for bolts over {} to {} mm", row.bolt.0, row.bolt.1),
                sizes: vec![("diameter", Interval::exactly(row.hole))],
                source: row.source.clone(),
            })
            .collect(),
        "key" => parallel_keys()
            .iter()
            .map(|row| Candidate {
                standard: format!(
                    "DIN 6885-1, for shafts over {} to {} mm",
                    row.shaft.0, row.shaft.1
                ),
                sizes: vec![
                    ("width", Interval::exactly(row.width)),
                    ("height", Interval::exactly(row.height)),
                ],
                source: row.source.clone(),
            })
            .collect(),
        kind @ ("circlip" | "internal circlip") => {
            let (standard, feature) =
                if kind == "circlip" { ("DIN 471", "shaft diameter") } else { ("DIN 472", "bore") };
            circlips()
                .iter()
                .filter(|row| row.standard == standard)
                .map(|row| Candidate {
                    standard: standard.to_owned(),
                    sizes: vec![
                        (feature, Interval::exactly(row.size)),
                        (
                            "thickness",
                            Interval::new(
                                row.thickness + row.thickness_lower,
                                row.thickness,
                                row.thickness,
                            ),
                        ),
                    ],
                    source: row.source.clone(),
                })
                .collect()
        }
        "e-clip" => e_clips()
            .iter()
            .map(|row| Candidate {
                standard: "DIN 6799".to_owned(),
                sizes: vec![
                    ("groove diameter", Interval::exactly(row.groove_diameter)),
                    ("thickness", about(row.thickness, row.thickness_tolerance)),
                ],
                source: row.source.clone(),
            })
            .collect(),
        _ if wanted.thread.is_some() => threads()
            .iter()
            .map(|row| Candidate {
                standard: format!("ISO 261, {}", if row.coarse { "coarse" } else { "fine" }),
                sizes: THREAD
                    .into_iter()
                    .zip([row.diameter, row.pitch].map(Interval::exactly))
                    .collect(),
                source: row.source.clone(),
            })
            .collect(),
        _ => Vec::new(),
    }
}

/// The thickness of a plain washer by the greatest that it may have. Source: ISO 7089, from memory.
fn washer_thickness(most: Decimal) -> Interval {
    const NOMINAL: [(i64, i64); 10] = [
        (35, 30),
        (55, 50),
        (90, 80),
        (110, 100),
        (180, 160),
        (220, 200),
        (270, 250),
        (330, 300),
        (430, 400),
        (560, 500),
    ];
    let nominal = NOMINAL.iter().find(|(greatest, _)| Decimal::new(*greatest, 2) == most);
    match nominal {
        Some((_, nominal)) => about(Decimal::new(*nominal, 2), most - Decimal::new(*nominal, 2)),
        None => Interval::exactly(most),
    }
}

/// The rings of ISO 3601-1, and the metric sections in the whole and half millimetres beside the wanted diameter.
fn standard_rings(wanted: &PartSizes) -> Vec<Candidate> {
    let Some(inside) = wanted.get(&["inside diameter", "bore"]).map(|figure| figure.value.nominal)
    else {
        return Vec::new();
    };
    let mut found = Vec::new();
    for ring in o_rings() {
        let section = about(ring.section, ring.section_tolerance);
        let mut add = |standard: String, inside: Interval| {
            found.push(Candidate {
                standard,
                sizes: vec![("inside diameter", inside), ("section", section)],
                source: ring.source.clone(),
            });
        };
        match ring.inside {
            Some((diameter, tolerance)) => {
                add(format!("{} {}", ring.standard, ring.code), about(diameter, tolerance));
            }
            None => {
                let below = inside.floor();
                for half in 0..=2 {
                    let diameter = below + Decimal::new(half * 5, 1);
                    if let Some(tolerance) = diameter_tolerance(diameter) {
                        add("metric".to_owned(), about(diameter, tolerance));
                    }
                }
            }
        }
    }
    found
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::catalog::{Memory, Rows};
    use crate::fit::SeatSizes;
    use crate::measure::Key;

    fn nothing() -> Memory {
        Memory::new(Rows::default(), Vec::new(), Rows::default(), Vec::new())
    }

    fn mm(text: &str) -> Decimal {
        text.parse().unwrap()
    }

    #[test]
    fn a_ring_that_is_no_longer_made_leads_to_the_nearest_ones_with_their_squeeze() {
        let mut seat = SeatSizes::default();
        seat.set("groove depth", about(mm("2.4"), mm("0.05")));
        seat.set("groove width", about(mm("4"), mm("0.1")));
        seat.set("groove inside diameter", Interval::exactly(mm("24.5")));
        let site = Site::of_seat(seat, &Key::new("cover"));
        let near = nearest_o_rings(mm("24.2"), mm("3"), Some(&site), &nothing(), 8);
        assert_eq!(near.len(), 8);
        assert_eq!((near[0].standard.as_str(), near[0].size.as_str()), ("metric", "24 x 3"));
        assert!(
            near.iter()
                .any(|near| near.standard == "ISO 3601-1 120" && near.size == "25.07 x 2.62"),
            "{near:#?}"
        );
        for near in &near {
            let judged = near.in_seat.as_ref().unwrap();
            assert!(judged.finding.numbers.contains_key("squeeze_percent"), "{near:?}");
            assert_ne!(judged.finding.verdict, Verdict::Fits, "nobody knows its rubber: {near:?}");
            assert!(!near.source.is_empty());
        }
        let squeeze = |near: &NearStandard| {
            near.in_seat.as_ref().unwrap().finding.numbers["squeeze_percent"].as_f64().unwrap()
        };
        assert!(
            near.iter().any(|near| near.in_seat.as_ref().unwrap().by_size == Verdict::Fits),
            "{near:#?}"
        );
        assert!((squeeze(&near[0]) - 19.3).abs() < 0.5, "{:?}", near[0]);
    }

    #[test]
    fn the_same_size_is_nearest_and_far_sizes_are_not_offered() {
        let near = nearest_o_rings(mm("24.99"), mm("3.53"), None, &nothing(), 3);
        assert_eq!(
            (near[0].standard.as_str(), near[0].distance.as_i64()),
            ("ISO 3601-1 214", Some(0))
        );
        assert!(nearest_o_rings(mm("24.2"), mm("30"), None, &nothing(), 5).is_empty());
        assert!(nearest_o_rings(mm("0"), mm("3"), None, &nothing(), 5).is_empty());
    }

    #[test]
    fn lengths_in_the_order_of_the_type_are_enough_and_the_order_is_by_how_far_each_is_off() {
        let (rows, _) = crate::tables::shipped_rows();
        let kind = |name: &str| {
            rows.types.iter().find(|row| row.part_type == Key::new(name)).unwrap().clone()
        };
        let slack = |wanted: Decimal| (wanted / Decimal::TEN).max(mm("0.5"));
        let (total, near) =
            standards_near(&kind("o-ring"), &[mm("24.2"), mm("3")], &slack, None, &nothing(), 4);
        assert!(total > 4, "{total}");
        assert_eq!(
            (near[0].standard.size.as_str(), &near[0].off),
            ("24 x 3", &vec![json_number(mm("-0.2")), 0.into()])
        );
        let farthest = |near: &NearLengths| {
            near.off.iter().map(|off| off.as_f64().unwrap().abs()).fold(0.0, f64::max)
        };
        assert!(near.is_sorted_by_key(|near| (farthest(near) * 1e4) as i64), "{near:#?}");
        let (_, near) = standards_near(
            &kind("shaft seal"),
            &[mm("12"), mm("24"), mm("7")],
            &slack,
            None,
            &nothing(),
            1,
        );
        assert_eq!(near[0].standard.size, "12 x 24 x 7");
        assert_eq!(
            standards_near(&kind("circlip"), &[mm("17")], &slack, None, &nothing(), 1).1[0]
                .standard
                .size,
            "17 x 1"
        );
        assert_eq!(standards_near(&kind("gasket"), &[mm("17")], &slack, None, &nothing(), 9).0, 0);
        assert_eq!(standards_near(&kind("o-ring"), &[], &slack, None, &nothing(), 9).0, 0);
        let (total, rings) =
            standards_near(&kind("o-ring"), &[mm("24")], &slack, None, &nothing(), 3);
        assert!(total > 4, "{total}");
        assert!(
            rings[0].standard.size.starts_with("24 x ") && rings[0].off == [Value::from(0)],
            "{rings:#?}"
        );
    }

    #[test]
    fn pins_keys_threads_and_washers_are_searched_as_far_as_is_asked() {
        let (rows, _) = crate::tables::shipped_rows();
        let near = |kind: &str, wanted: &[&str], slack: &str| -> Vec<String> {
            let kind = rows.types.iter().find(|row| row.part_type == Key::new(kind)).unwrap();
            let wanted: Vec<Decimal> = wanted.iter().map(|length| mm(length)).collect();
            let (_, near) = standards_near(kind, &wanted, &|_| mm(slack), None, &nothing(), 99);
            near.into_iter().map(|near| near.standard.size).collect()
        };
        assert_eq!(near("split pin", &["2", "16"], "0.1"), ["2"]);
        assert_eq!(near("key", &["5", "5", "12"], "0.2"), ["5 x 5"]);
        assert_eq!(near("bolt", &["8", "1", "30"], "0.1"), ["M8 x 1"]);
        for (kind, wanted, coarse) in
            [("bolt", &["8", "30"][..], "M8 x 1.25"), ("plain nut", &["10"], "M10 x 1.5")]
        {
            assert!(
                near(kind, wanted, "0.1").iter().any(|size| size == coarse),
                "{:?}",
                near(kind, wanted, "0.1")
            );
        }
        assert_eq!(near("plain washer", &["8.4", "16", "1.6"], "0.1"), ["8.4 x 16 x 1.6"]);
        assert!(
            near("o-ring", &["2", "1"], "1").contains(&"1.78 x 1.78".to_owned()),
            "{:?}",
            near("o-ring", &["2", "1"], "1")
        );
        assert!(near("o-ring", &["2", "1"], "0.3").iter().all(|size| size != "1.78 x 1.78"));
    }

    #[test]
    fn seals_washers_and_clips_have_neighbours_too() {
        let wanted = |kind: &str, sizes: &[(&'static str, &str)]| {
            let mut part = PartSizes::bare(PartNumber::new("X-1").unwrap(), kind);
            for (feature, value) in sizes {
                part.set(feature, Interval::exactly(mm(value)), "as wanted");
            }
            nearest_standard(&part, None, &nothing(), 1).first().map(|near| near.size.clone())
        };
        let seal = [("shaft diameter", "17"), ("bore", "30"), ("width", "6")];
        assert_eq!(wanted("shaft seal", &seal).as_deref(), Some("17 x 30 x 7"));
        assert_eq!(
            wanted("sealing washer", &[("inside diameter", "8.2"), ("outside diameter", "14")])
                .as_deref(),
            Some("8 x 14 x 1")
        );
        assert_eq!(wanted("circlip", &[("shaft diameter", "12")]).as_deref(), Some("12 x 1"));
        assert_eq!(wanted("e-clip", &[("groove diameter", "8")]).as_deref(), Some("8 x 1"));
        assert_eq!(wanted("spring", &[("length", "8")]), None);
    }
}
