//! A radial lip seal on its shaft and in its housing.

use super::judgement::{Judgement, shown};
use super::sizes::{PartSizes, SeatSizes};
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
    let nominal = |names: &[&str]| part.get(names).map(|figure| figure.value.nominal);
    match (nominal(&["shaft diameter"]), seat.get(&["shaft diameter"])) {
        (Some(lip), Some(shaft)) => on_shaft(lip, shaft.value, &shaft.from, &mut found),
        (None, _) => found.missing(format!("the shaft that {} is for", part.part)),
        (_, None) => found.missing(format!("the shaft diameter at {position}")),
    }
    match (nominal(&["bore", "outside diameter"]), seat.get(&["bore"])) {
        (Some(outside), Some(bore)) => {
            let most = seat.feature(&["bore"]).and_then(|bore| bore.most).map(|most| most.high);
            in_bore(outside, bore.value, most, &mut found);
        }
        (None, _) => found.missing(format!("the bore that {} is for", part.part)),
        (_, None) => found.missing(format!("the bore at {position}")),
    }
    if let (Some(width), Some(room)) = (part.get(&["width"]), seat.get(&["width", "depth", "bore depth"])) {
        found.judges(&["width"]);
        let text = format!("{} wide in a bore {} deep", shown(width.value, "mm"), shown(room.value, "mm"));
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
    let text = format!("shaft {} ({from}) under a lip for {} mm", shown(shaft, "mm"), lip.normalize());
    let class = ToleranceClass::parse("h11").ok().and_then(|class| deviations(lip, class).ok());
    let lower = class.map_or(lip, |class| lip + class.lower);
    if shaft.low > lip + LIP_REACH || shaft.high < lip - LIP_REACH {
        found.no(format!("{text}: another size"));
    } else if shaft.low >= lower && shaft.high <= lip {
        found.good(format!("{text}, within h11"));
    } else {
        found.doubt(format!("{text}, not surely within h11 ({} to {} mm)", lower.normalize(), lip.normalize()));
    }
}

/// Source: the bore around a seal is H8, from memory: ISO 6194-1.
fn in_bore(outside: Decimal, bore: Interval, most: Option<Decimal>, found: &mut Judgement) {
    found.compared = true;
    found.number("bore_mm", bore, 3);
    let text = format!("bore {} around a seal for {} mm", shown(bore, "mm"), outside.normalize());
    let class = ToleranceClass::parse("H8").ok().and_then(|class| deviations(outside, class).ok());
    let upper = class.map_or(outside, |class| outside + class.upper);
    let allowed = most.filter(|most| *most > upper && *most < outside + PRESS_REACH).unwrap_or(upper);
    if bore.low > outside + PRESS_REACH || bore.high < outside - PRESS_REACH {
        found.no(format!("{text}: another size"));
    } else if bore.low >= outside && bore.high <= allowed {
        let limit = if allowed > upper { "within the limit of the seat" } else { "within H8" };
        found.good(format!("{text}, {limit}"));
    } else {
        found.doubt(format!("{text}, not surely within H8 ({} to {} mm)", outside.normalize(), upper.normalize()));
    }
}

/// A seat may have a row `speed` with the revolutions a minute in the place of a size.
fn speed(part: &PartSizes, seat: &SeatSizes, found: &mut Judgement) {
    let (Some(turns), Some(shaft)) = (seat.get(&["speed"]), seat.get(&["shaft diameter"])) else { return };
    let to_metres = Decimal::PI / Decimal::from(60_000);
    let Some(speed) = shaft.value.times(turns.value).and_then(|product| product.scaled(to_metres)) else { return };
    found.number("surface_speed_m_per_s", speed, 2);
    let text = format!("surface speed up to {} m/s", crate::measure::plain(speed.high.round_dp(1)));
    let material = part.material.to_uppercase();
    match SPEEDS.iter().find(|(rubber, _)| material.contains(rubber)) {
        Some((rubber, most)) if speed.high <= Decimal::from(*most) => {
            found.good(format!("{text}, {rubber} takes about {most}"));
        }
        Some((rubber, most)) => found.doubt(format!("{text}, more than the {most} that {rubber} takes")),
        None => found.doubt(format!("{text}, and its rubber is not known")),
    }
}
