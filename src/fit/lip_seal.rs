//! A radial lip seal on its shaft and in its housing.

use super::judgement::{Judgement, shown};
use super::sizes::{Figure, PartSizes, SeatSizes};
use crate::measure::{Interval, ToleranceClass, deviations};
use rust_decimal::Decimal;

/// How far a shaft may be from the size of the lip before no seal of that size can do, in mm on the diameter.
/// Source: common practice, no source; the lip is made about half a millimetre smaller than the shaft.
const LIP_REACH: Decimal = Decimal::from_parts(3, 0, 0, false, 1);
/// How far a bore may be from the size of the seal before no seal of that size can do, in mm on the diameter.
/// Source: from memory: ISO 6194-1, which presses a seal in with some tenths of a millimetre.
const PRESS_REACH: Decimal = Decimal::from_parts(3, 0, 0, false, 1);

/// The greatest surface speed of a rubber in m/s. Source: from memory: DIN 3760.
const SPEEDS: [(&str, u32); 4] = [("NBR", 12), ("ACM", 18), ("FKM", 35), ("FPM", 35)];

/// Judges a lip seal in a seat.
pub fn check(part: &PartSizes, seat: &SeatSizes, position: &str) -> Judgement {
    let mut found = Judgement::new();
    found.judges(&["shaft diameter", "bore", "outside diameter"]);
    let sized = part.get(&["shaft diameter"]);
    match (sized.and_then(|figure| figure.named), seat.get(&["shaft diameter"])) {
        (Some(lip), Some(shaft)) => on_shaft(lip, shaft.value, &shaft.from, &mut found),
        (None, _) if sized.is_some() => {
            found.missing(format!(
                "the one size of shaft that {} is made for: a range is none",
                part.part
            ));
        }
        (None, _) => found.missing(format!("the shaft that {} is for", part.part)),
        (_, None) => found.missing(format!("the shaft diameter at {position}")),
    }
    let sized = part.get(&["bore"]);
    let measured = part.get(&["outside diameter"]).filter(|_| sized.is_none());
    match (sized.or(measured), seat.get(&["bore"])) {
        (Some(outside), Some(bore)) => {
            let most = seat.feature(&["bore"]).and_then(|bore| bore.most).map(|most| most.high);
            match (outside.named, measured) {
                (_, Some(measured)) if is_pressed(measured, bore.value) => {
                    pressed_in(measured.value, bore.value, &mut found);
                }
                (Some(named), _) => in_bore(named, bore.value, most, &mut found),
                (None, Some(measured)) => pressed_in(measured.value, bore.value, &mut found),
                (None, None) => {
                    found.missing(format!(
                        "the one size of bore that {} is made for: a range is none",
                        part.part
                    ));
                }
            }
        }
        (None, _) => found.missing(format!("the bore that {} is for", part.part)),
        (_, None) => found.missing(format!("the bore at {position}")),
    }
    if let (Some(width), Some(room)) =
        (part.get(&["width"]), seat.get(&["width", "depth", "bore depth"]))
    {
        found.judges(&["width"]);
        let text =
            format!("{} wide in a bore {} deep", shown(width.value, "mm"), shown(room.value, "mm"));
        if width.value.high <= room.value.low {
            found.good(text);
        } else if width.value.low > room.value.high {
            found.no(format!("{text}: it stands out"));
        } else {
            found.doubt(format!("{text}: it may stand out"));
        }
    }
    speed(part, seat, &mut found);
    found
}

/// Source: the shaft under a lip is h11, from memory: ISO 6194-1.
fn on_shaft(lip: Decimal, shaft: Interval, from: &str, found: &mut Judgement) {
    found.compared = true;
    found.number("shaft_mm", shaft, 3);
    found.number("shaft_for_lip_mm", Interval::exactly(lip), 3);
    let text =
        format!("shaft {} ({from}) under a lip for {} mm", shown(shaft, "mm"), lip.normalize());
    let class = ToleranceClass::parse("h11").ok().and_then(|class| deviations(lip, class).ok());
    let lower = class.map_or(lip, |class| lip + class.lower);
    if shaft.low > lip + LIP_REACH || shaft.high < lip - LIP_REACH {
        found.no(format!("{text}: another size"));
    } else if shaft.low >= lower && shaft.high <= lip {
        found.good(format!("{text}, within h11"));
    } else {
        let text = format!(
            "{text}, not surely within h11 ({} to {} mm)",
            lower.normalize(),
            lip.normalize()
        );
        found.not_within(shaft, (Some(lower), Some(lip)), text);
    }
}

/// Source: the bore around a seal is H8, from memory: ISO 6194-1.
fn in_bore(outside: Decimal, bore: Interval, most: Option<Decimal>, found: &mut Judgement) {
    found.compared = true;
    found.number("bore_mm", bore, 3);
    let text = format!("bore {} around a seal for {} mm", shown(bore, "mm"), outside.normalize());
    let class = ToleranceClass::parse("H8").ok().and_then(|class| deviations(outside, class).ok());
    let upper = class.map_or(outside, |class| outside + class.upper);
    let allowed =
        most.filter(|most| *most > upper && *most < outside + PRESS_REACH).unwrap_or(upper);
    if bore.low > outside + PRESS_REACH || bore.high < outside - PRESS_REACH {
        found.no(format!("{text}: another size"));
    } else if bore.low >= outside && bore.high <= allowed {
        let limit = if allowed > upper { "within the limit of the seat" } else { "within H8" };
        found.good(format!("{text}, {limit}"));
    } else {
        let text = format!(
            "{text}, not surely within H8 ({} to {} mm)",
            outside.normalize(),
            upper.normalize()
        );
        found.not_within(bore, (Some(outside), Some(allowed)), text);
    }
}

/// By how much a seal is made larger than its bore, for bores to a size, in mm on the diameter; rubber-covered ones more than
/// those in plain metal, and both lie within. Source: from memory: ISO 6194-1.
const PRESS: [(u32, Decimal, Decimal); 6] = [
    (50, hundredths(8), hundredths(30)),
    (80, hundredths(9), hundredths(35)),
    (120, hundredths(10), hundredths(45)),
    (180, hundredths(12), hundredths(45)),
    (300, hundredths(15), hundredths(45)),
    (500, hundredths(20), hundredths(55)),
];

const fn hundredths(count: u32) -> Decimal {
    Decimal::from_parts(count, 0, 0, false, 2)
}

/// An outside diameter without a tolerance that is larger than the bore was read from the seal, and is not the size that it
/// is named by.
fn is_pressed(outside: &Figure, bore: Interval) -> bool {
    outside.value.low == outside.value.high
        && outside.named == Some(outside.value.low)
        && outside.value.low > bore.high
}

/// Judges a seal by how much larger than its bore it measures.
fn pressed_in(outside: Interval, bore: Interval, found: &mut Judgement) {
    let Some(press) = outside.minus(bore) else { return };
    found.compared = true;
    found.number("bore_mm", bore, 3);
    found.number("press_mm", press, 3);
    let row = PRESS.iter().find(|(to, ..)| bore.high <= Decimal::from(*to));
    let text = format!("{} across in a bore of {}", shown(outside, "mm"), shown(bore, "mm"));
    let Some((_, least, most)) = row else {
        found.doubt(format!("{text}: how much it is to be pressed is not known at this size"));
        return;
    };
    // What it is made larger by counts from the size of the bore, which may be larger by its tolerance.
    let tolerance =
        ToleranceClass::parse("H8").ok().and_then(|class| deviations(bore.low, class).ok());
    let slack = tolerance.map_or(Decimal::ZERO, |class| class.upper);
    let usual = format!(
        "usual is {} to {} mm (from memory: ISO 6194-1)",
        least.normalize(),
        most.normalize()
    );
    if press.high < -PRESS_REACH || press.low > *most + PRESS_REACH {
        found.no(format!("{text}: another size ({usual})"));
    } else if press.low >= *least - slack && press.high <= *most {
        found.good(format!("{text}, pressed in by {}; {usual}", shown(press, "mm")));
    } else {
        let text = format!("{text}, pressed in by {}: {usual}", shown(press, "mm"));
        found.not_within(press, (Some(*least - slack), Some(*most)), text);
    }
}

/// A seat may have a row `speed` with the revolutions a minute in the place of a size.
fn speed(part: &PartSizes, seat: &SeatSizes, found: &mut Judgement) {
    let (Some(turns), Some(shaft)) = (seat.get(&["speed"]), seat.get(&["shaft diameter"])) else {
        return;
    };
    let to_metres = Decimal::PI / Decimal::from(60_000);
    let Some(speed) = shaft.value.times(turns.value).and_then(|product| product.scaled(to_metres))
    else {
        return;
    };
    found.number("surface_speed_m_per_s", speed, 2);
    let text = format!("surface speed up to {} m/s", crate::measure::plain(speed.high.round_dp(1)));
    let material = part.material.to_uppercase();
    match SPEEDS.iter().find(|(rubber, _)| material.contains(rubber)) {
        Some((rubber, most)) if speed.high <= Decimal::from(*most) => {
            found.good(format!("{text}, {rubber} takes about {most}"));
        }
        Some((rubber, most)) => {
            let most = Decimal::from(*most);
            found.not_within(
                speed,
                (None, Some(most)),
                format!("{text}, more than the {most} that {rubber} takes"),
            );
        }
        None => found.doubt(format!("{text}, and its rubber is not known")),
    }
}
