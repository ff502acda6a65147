//! The standard sizes nearest to a part that is no longer made, with how each would sit in a seat.

use super::Verdict;
use super::computed::{InSeat, Site};
use super::sizes::PartSizes;
use super::standard::{circlips, diameter_tolerance, e_clips, o_rings, plain_washers, sealing_washers, shaft_seals};
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
    let mut found: Vec<(bool, Decimal, NearStandard)> = Vec::new();
    for candidate in candidates(wanted) {
        let Some(distance) = distance(wanted, &candidate) else { continue };
        let sizes: Vec<String> =
            candidate.sizes.iter().map(|(_, value)| value.nominal.normalize().to_string()).collect();
        let size = sizes.join(" x ");
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
    for standard in nearest_standard(&sizes, site, lookup, usize::MAX) {
        let own = standard.size.split(" x ").filter_map(|length| length.parse::<Decimal>().ok());
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

/// The sum of the relative differences; `None` where one is out of reach or not known.
fn distance(wanted: &PartSizes, candidate: &Candidate) -> Option<Decimal> {
    let mut sum = Decimal::ZERO;
    for (feature, value) in &candidate.sizes {
        // A thickness, width or section that nobody has given is no reason against a size.
        let Some(figure) = wanted.get(&[feature]) else {
            if matches!(*feature, "thickness" | "width" | "outside diameter" | "section") {
                continue;
            }
            return None;
        };
        let of = figure.value.nominal;
        let apart = value.nominal.checked_sub(of)?.abs().checked_div(of)?;
        if apart > REACH {
            return None;
        }
        sum += apart;
    }
    Some(sum)
}

fn about(nominal: Decimal, tolerance: Decimal) -> Interval {
    Interval::new(nominal - tolerance, nominal, nominal + tolerance)
}

fn candidates(wanted: &PartSizes) -> Vec<Candidate> {
    let three = |rows: &'static [super::standard::ThreeFigures], standard: &str, names: [&'static str; 3]| {
        let candidate = |row: &super::standard::ThreeFigures| Candidate {
            standard: standard.to_owned(),
            sizes: names.into_iter().zip(row.figures.map(Interval::exactly)).collect(),
            source: row.source.clone(),
        };
        rows.iter().map(candidate).collect::<Vec<_>>()
    };
    match wanted.kind.as_str() {
        "o-ring" => standard_rings(wanted),
        "shaft seal" => three(shaft_seals(), "ISO 6194-1 / DIN 3760", ["shaft diameter", "bore", "width"]),
        "sealing washer" => {
            three(sealing_washers(), "DIN 7603 form A", ["inside diameter", "outside diameter", "thickness"])
        }
        "plain washer" => plain_washers()
            .iter()
            .map(|row| Candidate {
                standard: format!("ISO 7089, M{}", row.thread.normalize()),
                sizes: ["inside diameter", "outside diameter", "thickness"]
                    .into_iter()
                    .zip(row.figures.map(Interval::exactly))
                    .collect(),
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
                        ("thickness", Interval::new(row.thickness + row.thickness_lower, row.thickness, row.thickness)),
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
        _ => Vec::new(),
    }
}

/// The rings of ISO 3601-1, and the metric sections in the whole and half millimetres beside the wanted diameter.
fn standard_rings(wanted: &PartSizes) -> Vec<Candidate> {
    let Some(inside) = wanted.get(&["inside diameter", "bore"]).map(|figure| figure.value.nominal) else {
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
        assert!(near.iter().any(|near| near.standard == "ISO 3601-1 120" && near.size == "25.07 x 2.62"), "{near:#?}");
        for near in &near {
            let judged = near.in_seat.as_ref().unwrap();
            assert!(judged.finding.numbers.contains_key("squeeze_percent"), "{near:?}");
            assert_ne!(judged.finding.verdict, Verdict::Fits, "nobody knows its rubber: {near:?}");
            assert!(!near.source.is_empty());
        }
        let squeeze =
            |near: &NearStandard| near.in_seat.as_ref().unwrap().finding.numbers["squeeze_percent"].as_f64().unwrap();
        assert!(near.iter().any(|near| near.in_seat.as_ref().unwrap().by_size == Verdict::Fits), "{near:#?}");
        assert!((squeeze(&near[0]) - 19.3).abs() < 0.5, "{:?}", near[0]);
    }

    #[test]
    fn the_same_size_is_nearest_and_far_sizes_are_not_offered() {
        let near = nearest_o_rings(mm("24.99"), mm("3.53"), None, &nothing(), 3);
        assert_eq!((near[0].standard.as_str(), near[0].distance.as_i64()), ("ISO 3601-1 214", Some(0)));
        assert!(nearest_o_rings(mm("24.2"), mm("30"), None, &nothing(), 5).is_empty());
        assert!(nearest_o_rings(mm("0"), mm("3"), None, &nothing(), 5).is_empty());
    }

    #[test]
    fn lengths_in_the_order_of_the_type_are_enough_and_the_order_is_by_how_far_each_is_off() {
        let (rows, _) = crate::tables::shipped_rows();
        let kind = |name: &str| rows.types.iter().find(|row| row.part_type == Key::new(name)).unwrap().clone();
        let slack = |wanted: Decimal| (wanted / Decimal::TEN).max(mm("0.5"));
        let (total, near) = standards_near(&kind("o-ring"), &[mm("24.2"), mm("3")], &slack, None, &nothing(), 4);
        assert!(total > 4, "{total}");
        assert_eq!(
            (near[0].standard.size.as_str(), &near[0].off),
            ("24 x 3", &vec![json_number(mm("-0.2")), 0.into()])
        );
        let farthest = |near: &NearLengths| near.off.iter().map(|off| off.as_f64().unwrap().abs()).fold(0.0, f64::max);
        assert!(near.is_sorted_by_key(|near| (farthest(near) * 1e4) as i64), "{near:#?}");
        let (_, near) =
            standards_near(&kind("shaft seal"), &[mm("12"), mm("24"), mm("7")], &slack, None, &nothing(), 1);
        assert_eq!(near[0].standard.size, "12 x 24 x 7");
        assert_eq!(
            standards_near(&kind("circlip"), &[mm("17")], &slack, None, &nothing(), 1).1[0].standard.size,
            "17 x 1"
        );
        assert_eq!(standards_near(&kind("gasket"), &[mm("17")], &slack, None, &nothing(), 9).0, 0);
        assert_eq!(standards_near(&kind("o-ring"), &[], &slack, None, &nothing(), 9).0, 0);
        let (total, rings) = standards_near(&kind("o-ring"), &[mm("24")], &slack, None, &nothing(), 3);
        assert!(total > 4, "{total}");
        assert!(rings[0].standard.size.starts_with("24 x ") && rings[0].off == [Value::from(0)], "{rings:#?}");
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
            wanted("sealing washer", &[("inside diameter", "8.2"), ("outside diameter", "14")]).as_deref(),
            Some("8 x 14 x 1")
        );
        assert_eq!(wanted("circlip", &[("shaft diameter", "12")]).as_deref(), Some("12 x 1"));
        assert_eq!(wanted("e-clip", &[("groove diameter", "8")]).as_deref(), Some("8 x 1"));
        assert_eq!(wanted("spring", &[("length", "8")]), None);
    }
}
