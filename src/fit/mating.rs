//! A shaft in a bore: the clearance of what slides, turns or is pressed together.

use super::judgement::{Judgement, shown};
use super::sizes::{PartSizes, SeatFigure, SeatSizes};
use crate::measure::{Interval, ToleranceClass, deviations};
use rust_decimal::Decimal;

/// Which names of a part go on or into which names of a seat; the part is the hole where `part_is_hole`.
struct Pair {
    part: &'static [&'static str],
    seat: &'static [&'static str],
    part_is_hole: bool,
}

const PAIRS: [Pair; 3] = [
    Pair {
        part: &["bore", "inside diameter"],
        seat: &["shaft diameter", "pin diameter", "rod diameter"],
        part_is_hole: true,
    },
    // What is named after the shaft that it goes on, such as a sleeve.
    Pair { part: &["shaft diameter"], seat: &["shaft diameter"], part_is_hole: true },
    Pair { part: &["outside diameter", "diameter"], seat: &["bore", "hole diameter"], part_is_hole: false },
];

/// Types that slide, turn or are pressed in one another by their plain diameters.
const TYPES: [&str; 14] = [
    "bush",
    "bearing",
    "dowel",
    "shaft",
    "wear sleeve",
    "clevis pin",
    "shear pin",
    "gudgeon pin",
    "spacer",
    "gear",
    "sprocket",
    "pulley",
    "flywheel",
    "valve guide",
];
/// Types of which only the hole is a plain one: their outside bends, seals or swings free.
const HOLE_ONLY: [&str; 3] = ["impeller", "flexible impeller", "propeller"];

/// Tells whether parts of a type are judged here.
pub(super) fn judges(kind: &str) -> bool {
    HOLE_ONLY.contains(&kind) || TYPES.contains(&kind)
}

/// Judges every hole and shaft that the part and its seat share, for the types that are held by them. Finds nothing
/// for any other type: a spring, a hose or a ring is not of the size of what it sits in.
pub fn check(part: &PartSizes, seat: &SeatSizes, kind: &str) -> Judgement {
    let mut found = Judgement::new();
    let hole_only = HOLE_ONLY.contains(&kind);
    if !hole_only && !TYPES.contains(&kind) {
        return found;
    }
    for pair in PAIRS.into_iter().filter(|pair| pair.part_is_hole || !hole_only) {
        let (Some(ours), Some(theirs)) = (part.get(pair.part), seat.get(pair.seat)) else { continue };
        let (hole, shaft) = if pair.part_is_hole { (ours.value, theirs.value) } else { (theirs.value, ours.value) };
        found.judges(pair.part);
        // A reading of the clearance is what it has become, and no limit.
        judge(hole, shaft, seat.feature(&["clearance"]), &mut found);
    }
    found
}

/// Judges a hole and a shaft, against limits where the seat gives any, else against what ISO 286 has names for.
pub fn judge(hole: Interval, shaft: Interval, allowed: Option<&SeatFigure>, found: &mut Judgement) {
    let Some(clearance) = hole.minus(shaft) else { return };
    found.number("clearance_mm", clearance, 4);
    if let Some(likely) = hole.minus_statistically(shaft)
        && likely.low != likely.high
    {
        found.number("clearance_likely_mm", likely, 4);
    }
    if let Some(allowed) = allowed.filter(|allowed| allowed.wanted() != (None, None)) {
        found.within("clearance", clearance, allowed.limits(), allowed.wanted());
        return;
    }
    let nominal = shaft.nominal;
    let text = if clearance.low < Decimal::ZERO && clearance.high > Decimal::ZERO {
        format!("from {} mm of interference to {} mm of clearance", figure(-clearance.low), figure(clearance.high))
    } else if clearance.high <= Decimal::ZERO {
        format!("interference {}", shown(Interval::new(-clearance.low, -clearance.nominal, -clearance.high), "mm"))
    } else {
        format!("clearance {}", shown(clearance, "mm"))
    };
    found.compared = true;
    // Sources: ISO 286-1; H9/d9 as the free running fit of its preferred fits, H13/a13 and H7/zc7 as its ends.
    let free = widest(nominal, "d9", "H9");
    let loosest = widest(nominal, "a13", "H13").or(widest(nominal, "c11", "H11"));
    let tightest = tightest(nominal);
    match (free, loosest, tightest) {
        (_, Some(loosest), _) if clearance.low > loosest => found.no(format!(
            "{text}: looser than any class of fit at {} mm (H13/a13 has {} mm)",
            figure(nominal),
            figure(loosest)
        )),
        (_, _, Some(tightest)) if -clearance.high > tightest => found.no(format!(
            "{text}: tighter than any class of fit at {} mm (H7/zc7 has {} mm)",
            figure(nominal),
            figure(tightest)
        )),
        (Some(free), ..) if clearance.low >= Decimal::ZERO && clearance.high <= free => {
            found.good(format!("{text}, a sliding or running fit (H9/d9 has up to {} mm)", figure(free)));
        }
        (Some(free), ..) if clearance.low >= Decimal::ZERO => {
            found.doubt(format!("{text}, perhaps loose (H9/d9 has up to {} mm)", figure(free)));
        }
        _ => found.doubt(format!("{text}: whether a press fit is meant, the drawing must say")),
    }
}

fn figure(value: Decimal) -> String {
    crate::measure::plain(value.round_dp(4))
}

/// The greatest clearance of a pair of classes at a size.
fn widest(nominal: Decimal, shaft: &str, hole: &str) -> Option<Decimal> {
    let hole = deviations(nominal, ToleranceClass::parse(hole).ok()?).ok()?;
    let shaft = deviations(nominal, ToleranceClass::parse(shaft).ok()?).ok()?;
    Some(hole.upper - shaft.lower)
}

/// The greatest interference of the heaviest class at a size.
fn tightest(nominal: Decimal) -> Option<Decimal> {
    Some(deviations(nominal, ToleranceClass::parse("zc7").ok()?).ok()?.upper)
}
