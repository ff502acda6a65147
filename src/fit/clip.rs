//! A circlip or an E-clip in its groove.

use super::judgement::{Judgement, Limits, shown};
use super::sizes::{PartSizes, SeatSizes};
use super::standard::{circlips, e_clips};
use crate::measure::{Interval, ToleranceClass, deviations};
use rust_decimal::Decimal;

/// The clearance beside a clip beyond which it can tilt in its groove, in mm. Source: the standard grooves of DIN 471
/// and DIN 472 are at most 0.3 mm wider than their clips, in sizes to 300 mm.
const BESIDE: Decimal = Decimal::from_parts(3, 0, 0, false, 1);

/// Judges a circlip for a shaft or a bore against the groove of its standard.
pub fn circlip(part: &PartSizes, seat: &SeatSizes, position: &str, inside: bool) -> Judgement {
    let mut found = Judgement::new();
    found.judges(&["shaft diameter", "bore", "diameter", "thickness"]);
    let (standard, what) = if inside { ("DIN 472", "bore") } else { ("DIN 471", "shaft") };
    let names: &[&str] =
        if inside { &["bore", "diameter"] } else { &["shaft diameter", "diameter"] };
    let Some(size) = part.get(names).and_then(|figure| figure.named) else {
        found.missing(format!("the {what} that {} is for, one size and no range", part.part));
        return found;
    };
    let row = circlips().iter().find(|clip| clip.standard == standard && clip.size == size);
    let Some(row) = row else {
        found.missing(format!(
            "the groove for {}: {standard} has no size {}",
            part.part,
            size.normalize()
        ));
        return found;
    };
    let thickness = part.get(&["thickness"]).map_or(
        Interval::new(row.thickness + row.thickness_lower, row.thickness, row.thickness),
        |figure| figure.value,
    );
    let names: &[&str] = if inside { &["bore"] } else { &["shaft diameter"] };
    if let Some(there) = seat.get(names) {
        let text =
            format!("{what} {} for a clip of {} mm", shown(there.value, "mm"), size.normalize());
        let step = (row.groove_diameter - row.size).abs();
        if there.value.high < size - step || there.value.low > size + step {
            found.no(format!("{text}: another size"));
        } else if about(size, step / Decimal::from(5)).encloses(there.value) {
            found.good(text);
        } else {
            let text = format!("{text}: not the size that the standard pairs them with");
            found.not_within(there.value, ends(about(size, step / Decimal::from(5))), text);
        }
    }
    match seat.get(&["groove diameter"]) {
        Some(groove) => {
            let limits = Interval::new(
                row.groove_diameter + row.groove_lower,
                row.groove_diameter,
                row.groove_diameter + row.groove_upper,
            );
            let step = (row.groove_diameter - row.size).abs();
            let text = format!("groove diameter {}", shown(groove.value, "mm"));
            let wanted = format!("{standard} has {}", shown(limits, "mm"));
            if groove.value.high < limits.low - step || groove.value.low > limits.high + step {
                found.no(format!("{text}, {wanted}"));
            } else if limits.encloses(groove.value) {
                found.good(format!("{text}, {wanted}"));
            } else {
                let text = format!("{text}, {wanted}: not surely the same");
                found.not_within(groove.value, ends(limits), text);
            }
        }
        None => found.missing(format!("the groove diameter at {position}")),
    }
    beside(thickness, row.groove_width, seat, position, &mut found);
    found
}

/// Judges an E-clip, which is named after its groove.
pub fn e_clip(part: &PartSizes, seat: &SeatSizes, position: &str) -> Judgement {
    let mut found = Judgement::new();
    found.judges(&["groove diameter", "diameter", "thickness"]);
    let Some(size) = part.get(&["groove diameter", "diameter"]).and_then(|figure| figure.named)
    else {
        found.missing(format!("the groove that {} is for, one size and no range", part.part));
        return found;
    };
    let Some(row) = e_clips().iter().find(|clip| clip.groove_diameter == size) else {
        found.missing(format!(
            "the groove for {}: DIN 6799 has no size {}",
            part.part,
            size.normalize()
        ));
        return found;
    };
    let thickness = part.get(&["thickness"]).map_or(
        Interval::new(
            row.thickness - row.thickness_tolerance,
            row.thickness,
            row.thickness + row.thickness_tolerance,
        ),
        |figure| figure.value,
    );
    if let Some(shaft) = seat.get(&["shaft diameter"]) {
        let limits = Interval::new(row.shaft.0, row.shaft.0, row.shaft.1);
        let text = format!(
            "shaft {}, DIN 6799 has it for {}",
            shown(shaft.value, "mm"),
            shown(limits, "mm")
        );
        if limits.encloses(shaft.value) {
            found.good(text);
        } else {
            let text = format!("{text}: it may hold too little, or not go over");
            found.not_within(shaft.value, ends(limits), text);
        }
    }
    match seat.get(&["groove diameter"]) {
        Some(groove) => {
            // Source: the groove of an E-clip is h11, from memory: DIN 6799.
            let class =
                ToleranceClass::parse("h11").ok().and_then(|class| deviations(size, class).ok());
            let lower = class.map_or(size, |class| size + class.lower);
            let limits = Interval::new(lower, size, size);
            let text = format!(
                "groove diameter {}, DIN 6799 has {}",
                shown(groove.value, "mm"),
                shown(limits, "mm")
            );
            let reach = size * Decimal::new(1, 1);
            if groove.value.high < lower - reach || groove.value.low > size + reach {
                found.no(text);
            } else if limits.encloses(groove.value) {
                found.good(text);
            } else {
                found.not_within(
                    groove.value,
                    ends(limits),
                    format!("{text}: not surely the same"),
                );
            }
        }
        None => found.missing(format!("the groove diameter at {position}")),
    }
    beside(thickness, row.groove_width, seat, position, &mut found);
    found
}

fn ends(figure: Interval) -> Limits {
    (Some(figure.low), Some(figure.high))
}

fn about(size: Decimal, reach: Decimal) -> Interval {
    Interval::new(size - reach, size, size + reach)
}

/// The clip must go into the groove and not tilt in it.
fn beside(
    thickness: Interval,
    standard: Decimal,
    seat: &SeatSizes,
    position: &str,
    found: &mut Judgement,
) {
    let Some(width) = seat.get(&["groove width"]) else {
        found.missing(format!("the groove width at {position}"));
        return;
    };
    let Some(clearance) = width.value.minus(thickness) else { return };
    found.number("clearance_beside_mm", clearance, 3);
    let text = format!(
        "{} thick in a groove {} wide (the standard groove has {} mm)",
        shown(thickness, "mm"),
        shown(width.value, "mm"),
        standard.normalize()
    );
    if clearance.high < Decimal::ZERO {
        found.no(format!("{text}: it does not go in"));
    } else if clearance.low >= Decimal::ZERO && clearance.high <= BESIDE {
        found.good(text);
    } else {
        let text = format!("{text}: it may not go in, or tilt");
        found.not_within(clearance, (None, Some(BESIDE)), text);
    }
}
