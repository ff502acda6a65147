//! A washer or ring that is clamped: clear of what goes through it, on its face, and thick enough.

use super::judgement::{Judgement, shown};
use super::sizes::{PartSizes, SeatSizes};
use rust_decimal::Decimal;

/// How much wider than its bolt a washer may be before it can sit so far off centre that it leaves the face, in mm on
/// the diameter, and as a part of the bolt; the larger counts. Source: common practice, no source.
const PLAY: (Decimal, Decimal) = (Decimal::ONE, Decimal::from_parts(1, 0, 0, false, 1));
/// What goes through a washer.
const THROUGH: [&str; 5] =
    ["plug diameter", "bolt diameter", "thread diameter", "screw diameter", "shaft diameter"];

/// Judges a washer in a seat.
pub fn check(part: &PartSizes, seat: &SeatSizes, position: &str) -> Judgement {
    let mut found = Judgement::new();
    over(part, seat, "the plug or bolt diameter", position, &mut found);
    outside(part, seat, &["recess diameter", "bore"], &mut found);
    thickness(part, seat, &mut found);
    found
}

/// Judges a shim: by what it lies on where the seat says so, else by the thickness and the play that it leaves alone.
pub(super) fn shim(part: &PartSizes, seat: &SeatSizes, position: &str) -> Judgement {
    if THROUGH.iter().any(|name| seat.feature(&[name]).is_some()) {
        return check(part, seat, position);
    }
    let mut found = Judgement::new();
    found.judges(&["inside diameter", "outside diameter"]);
    outside(part, seat, &["recess diameter", "bore"], &mut found);
    thickness(part, seat, &mut found);
    found
}

/// Judges the hole by what goes through it.
pub(super) fn over(
    part: &PartSizes,
    seat: &SeatSizes,
    wanted: &str,
    position: &str,
    found: &mut Judgement,
) {
    found.judges(&["inside diameter", "bore"]);
    match (part.get(&["inside diameter", "bore"]), seat.get(&THROUGH)) {
        (Some(hole), Some(through)) => {
            if let Some(clearance) = hole.value.minus(through.value) {
                found.number("clearance_mm", clearance, 3);
                let text =
                    format!("hole {} over {}", shown(hole.value, "mm"), shown(through.value, "mm"));
                let play = |bolt: Decimal| PLAY.0.max(bolt * PLAY.1);
                let meant = through.meant();
                if clearance.high < Decimal::ZERO {
                    found.no(format!("{text}: it does not go over"));
                } else if clearance.low > play(meant.high) * Decimal::TWO {
                    found.no(format!("{text}: far too wide"));
                } else if clearance.low >= Decimal::ZERO && clearance.high <= play(meant.low) {
                    found.good(text);
                } else {
                    let text = format!("{text}: it may bind or sit off centre");
                    found.not_within(clearance, (None, Some(play(meant.high))), text);
                }
            }
        }
        (None, _) => found.missing(format!("the inside diameter of {}", part.part)),
        (_, None) => found.missing(format!("{wanted} at {position}")),
    }
}

/// Judges the outside by the face that it lies on and the recess that it lies in.
pub(super) fn outside(part: &PartSizes, seat: &SeatSizes, recess: &[&str], found: &mut Judgement) {
    let Some(outside) = part.get(&["outside diameter", "outside"]) else { return };
    if let Some(face) =
        seat.get(&["face diameter", "face outside diameter", "outside face diameter"])
    {
        found.judges(&["outside diameter"]);
        let text = format!(
            "{} across on a face of {}",
            shown(outside.value, "mm"),
            shown(face.value, "mm")
        );
        if outside.value.high <= face.value.low {
            found.good(text);
        } else {
            let text = format!("{text}: it stands over the edge");
            found.not_within(outside.value, (None, Some(face.value.high)), text);
        }
    }
    if let Some(recess) = seat.get(recess) {
        found.judges(&["outside diameter"]);
        let text = format!(
            "{} across in a recess of {}",
            shown(outside.value, "mm"),
            shown(recess.value, "mm")
        );
        if outside.value.high <= recess.value.low {
            found.good(text);
        } else if outside.value.low > recess.value.high {
            found.no(format!("{text}: it does not go in"));
        } else {
            found.doubt(format!("{text}: it may not go in"));
        }
    }
}

/// Judges the thickness of any part against the limits that the seat gives for it. A size when new that no limit
/// stands beside is what the drawing has: another thickness is in doubt, but not refused.
pub(super) fn thickness(part: &PartSizes, seat: &SeatSizes, found: &mut Judgement) {
    let (Some(thickness), Some(feature)) = (part.get(&["thickness"]), seat.feature(&["thickness"]))
    else {
        return;
    };
    if feature.wanted() != (None, None) {
        found.judges(&["thickness"]);
        found.number("thickness_mm", thickness.value, 3);
        found.within("thickness", thickness.value, feature.limits(), feature.wanted());
    }
}
