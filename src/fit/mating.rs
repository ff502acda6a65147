//! A shaft in a bore: the clearance of what slides, turns or is pressed together.
//!
//! A limit belongs to one pair. In `seats`, `clearance` (or `shaft press`, where the part is pressed on) is for the part
//! on its shaft, `housing clearance` (or `press`, where it is pressed in) for its outside in the housing; for a pin or a
//! shaft, which has but one, that one is `clearance` or `press`. A press is how much larger the inner one is.

use super::judgement::{Judgement, shown};
use super::sizes::{Figure, PartSizes, SeatFigure, SeatSizes};
use crate::measure::{Interval, PartNumber, ToleranceClass, deviations};
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
    Pair {
        part: &["outside diameter", "diameter"],
        seat: &["bore", "hole diameter"],
        part_is_hole: false,
    },
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

/// Types that go into their bore or hole and are held by nothing else: theirs is the only pair. The outside of any other
/// type sits in a housing, and what runs is the pair inside it.
const PINS: [&str; 5] = ["dowel", "shaft", "clevis pin", "shear pin", "gudgeon pin"];

/// What a part of these types rests on in its seat.
pub(super) fn rests_on(kind: &str) -> &'static [&'static str] {
    if HOLE_ONLY.contains(&kind) {
        &["shaft diameter", "pin diameter", "rod diameter"]
    } else if TYPES.contains(&kind) {
        &["shaft diameter", "pin diameter", "rod diameter", "bore", "hole diameter"]
    } else {
        &[]
    }
}

/// A hole and a shaft that the part and its seat make together.
struct Joined<'a> {
    hole: &'a Figure,
    shaft: &'a Figure,
    /// The part is the one around the other.
    part_is_hole: bool,
    /// The feature of the seat.
    there: &'a SeatFigure,
    /// The figure of the part.
    ours: &'a Figure,
    /// The same figure of the part that sits there or is listed, and its number.
    before: Option<(&'a Figure, &'a PartNumber)>,
    /// How the seat names its clearance, and how much one is larger than the other where they are pressed together.
    names: (&'static str, &'static str),
}

/// Judges every hole and shaft that the part and its seat share, for the types that are held by them. Finds nothing
/// for any other type: a spring, a hose or a ring is not of the size of what it sits in.
///
/// `old` is the part that sits there or is listed; what it makes with its seat tells whether a press fit is meant.
pub fn check(
    part: &PartSizes,
    old: Option<&PartSizes>,
    seat: &SeatSizes,
    kind: &str,
    position: &str,
) -> Judgement {
    let mut found = Judgement::new();
    let hole_only = HOLE_ONLY.contains(&kind);
    if !hole_only && !TYPES.contains(&kind) {
        return found;
    }
    for pair in PAIRS.into_iter().filter(|pair| pair.part_is_hole || !hole_only) {
        let (Some(ours), Some(there)) = (part.get(pair.part), seat.known(pair.seat)) else {
            continue;
        };
        let Some(theirs) = &there.size else { continue };
        let (hole, shaft) = if pair.part_is_hole { (ours, theirs) } else { (theirs, ours) };
        found.judges(pair.part);
        let names = match (pair.part_is_hole, PINS.contains(&kind)) {
            (true, _) => ("clearance", "shaft press"),
            (false, true) => ("clearance", "press"),
            (false, false) => ("housing clearance", "press"),
        };
        let before = old.and_then(|old| Some((old.get(pair.part)?, &old.part)));
        let joined =
            Joined { hole, shaft, part_is_hole: pair.part_is_hole, there, ours, before, names };
        joined.judge(seat, position, &mut found);
    }
    found
}

impl Joined<'_> {
    /// Judges against limits where the seat gives any, else against the part that sat there before. Where there is
    /// neither, it asks: whether a press or a running fit is meant, figures do not tell.
    fn judge(&self, seat: &SeatSizes, position: &str, found: &mut Judgement) {
        let Some(clearance) = self.hole.value.minus(self.shaft.value) else { return };
        let number = self.names.0.replace(' ', "_");
        found.number(&format!("{number}_mm"), clearance, 4);
        if let Some(likely) = self.hole.value.minus_statistically(self.shaft.value)
            && likely.low != likely.high
        {
            found.number(&format!("{number}_likely_mm"), likely, 4);
        }
        let limited =
            |name: &str| seat.feature(&[name]).filter(|limit| limit.wanted() != (None, None));
        let (slack, press) = (limited(self.names.0), limited(self.names.1));
        if let Some(allowed) = slack {
            found.within(self.names.0, clearance, allowed.limits(), allowed.wanted());
        }
        if let Some(allowed) = press {
            let over = Interval::new(-clearance.high, -clearance.nominal, -clearance.low);
            found.within(self.names.1, over, allowed.limits(), allowed.wanted());
        }
        if slack.is_none() && press.is_none() {
            let text = told(self.names.0, clearance);
            found.compared = true;
            if !self.is_beyond_any_class(&text, clearance, found) {
                self.beside_the_old_part(&text, clearance, position, found);
            }
        }
    }

    /// Sources: ISO 286-1; H13/a13 and H7/zc7 as the ends of its fits.
    fn is_beyond_any_class(&self, text: &str, clearance: Interval, found: &mut Judgement) -> bool {
        let nominal = self.shaft.meant().high;
        let loosest = widest(nominal, "a13", "H13").or(widest(nominal, "c11", "H11"));
        match (loosest, tightest(nominal)) {
            (Some(loosest), _) if clearance.low > loosest => found.no(format!(
                "{text}: looser than any class of fit at {} mm (H13/a13 has {} mm)",
                figure(nominal),
                figure(loosest)
            )),
            (_, Some(tightest)) if -clearance.high > tightest => found.no(format!(
                "{text}: tighter than any class of fit at {} mm (H7/zc7 has {} mm)",
                figure(nominal),
                figure(tightest)
            )),
            _ => return false,
        }
        true
    }

    fn beside_the_old_part(
        &self,
        text: &str,
        clearance: Interval,
        position: &str,
        found: &mut Judgement,
    ) {
        let limit =
            format!("the {} allowed at {position}, from the drawing or the manual", self.names.0);
        // The seat as it was drawn: what it has worn to says nothing of what was meant.
        let drawn = self.there.new.or(self
            .there
            .size
            .as_ref()
            .filter(|_| self.there.reading.is_none())
            .map(|size| size.value));
        let was = self.before.and_then(|(before, old)| {
            let drawn = drawn?;
            let was = if self.part_is_hole {
                before.value.minus(drawn)
            } else {
                drawn.minus(before.value)
            };
            Some((before.value, old, was?))
        });
        let Some((before, old, was)) = was else {
            let why = if self.before.is_some() {
                "what its seat has when new is not known"
            } else {
                "no old part tells which fit is meant"
            };
            found.doubt(format!("{text}: {why}"));
            found.missing(limit);
            return;
        };
        found.number(&format!("old_{}_mm", self.names.0.replace(' ', "_")), was, 4);
        let text = format!("{text}, {old} had {}", told("", was).trim_start());
        let (least, most) = self.there.wanted();
        let now = self.there.size.as_ref().map_or(clearance, |size| size.value);
        let as_drawn = self.there.reading.is_none()
            || (least.is_none_or(|least| now.low >= least)
                && most.is_none_or(|most| now.high <= most));
        if was.high <= Decimal::ZERO && was.low < Decimal::ZERO && clearance.low > Decimal::ZERO {
            found.no(format!("{text}: a press fit that is loose now"));
        } else if !as_drawn {
            found.doubt(format!("{text}: the {} is no longer as drawn", self.there.feature));
            found.missing(limit);
        } else if before.encloses(self.ours.value) || self.is_of_its_kind(before, was, clearance) {
            found.good(format!("{text}, the same kind of fit"));
        } else {
            found.doubt(format!("{text}: whether that does, its limits must say"));
            found.missing(limit);
        }
    }

    /// Both are surely pressed, or surely run, and the two parts are no more than one IT8 apart.
    /// Source: the grade is common practice, no source; it is that of a seat made with some care.
    fn is_of_its_kind(&self, before: Interval, was: Interval, clearance: Interval) -> bool {
        let nominal = self.shaft.meant().low;
        let of = |class: &str| deviations(nominal, ToleranceClass::parse(class).ok()?).ok();
        let Some(grade) = of("H8") else { return false };
        let apart = (self.ours.value.high - before.low).max(before.high - self.ours.value.low);
        // Source: ISO 286-1, H9/d9 as the free running fit of its preferred fits.
        let runs = |clearance: Interval| clearance.low >= Decimal::ZERO;
        let free = widest(nominal, "d9", "H9").is_some_and(|free| clearance.high <= free);
        let pressed = |clearance: Interval| clearance.high <= Decimal::ZERO;
        apart <= grade.upper
            && ((runs(was) && runs(clearance) && free) || (pressed(was) && pressed(clearance)))
    }
}

/// Says a clearance in words, under a name.
fn told(name: &str, clearance: Interval) -> String {
    let pair = name.strip_suffix("clearance").map_or("", str::trim);
    let words = if clearance.low < Decimal::ZERO && clearance.high > Decimal::ZERO {
        format!(
            "from {} mm of interference to {} mm of clearance",
            figure(-clearance.low),
            figure(clearance.high)
        )
    } else if clearance.high <= Decimal::ZERO && clearance.low < Decimal::ZERO {
        format!(
            "interference {}",
            shown(Interval::new(-clearance.low, -clearance.nominal, -clearance.high), "mm")
        )
    } else {
        format!("clearance {}", shown(clearance, "mm"))
    };
    format!("{pair} {words}").trim_start().to_owned()
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
