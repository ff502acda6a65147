//! A screw in its thread: the thread itself, how far it engages, and whether it bottoms.

use super::judgement::{Judgement, shown};
use super::sizes::{PartSizes, SeatSizes};
use crate::measure::Interval;
use rust_decimal::Decimal;

/// Engagement in parts of the diameter: steel into steel, and into softer metal. Source: common practice, no source.
const ENGAGEMENT: (Decimal, Decimal) =
    (Decimal::from_parts(8, 0, 0, false, 1), Decimal::from_parts(15, 0, 0, false, 1));

/// Judges a screw by the seat's `thread diameter`, `thread pitch`, `clamped thickness` and `thread depth`.
pub fn check(part: &PartSizes, seat: &SeatSizes, position: &str) -> Judgement {
    let mut found = Judgement::new();
    let there = seat.get(&["thread diameter"]);
    let (Some(thread), Some(there)) = (part.thread, there) else {
        if part.thread.is_none() {
            found.missing(format!("the thread of {}", part.part));
        } else {
            found.missing(format!("the thread at {position}"));
        }
        return found;
    };
    let text = format!("{thread} in a thread of {}", shown(there.value, "mm"));
    // A thread's outside is measured a little under its size: by up to its pitch at most.
    let slack = thread.pitch.unwrap_or(Decimal::ONE) / Decimal::from(4);
    if there.value.high < thread.diameter - slack || there.value.low > thread.diameter + slack {
        found.no(format!("{text}: another thread"));
        return found;
    }
    let surely =
        there.value.low >= thread.diameter - slack && there.value.high <= thread.diameter + slack;
    match (seat.get(&["thread pitch"]), thread.pitch) {
        (Some(pitch), Some(ours)) if !is_of_pitch(pitch.value, ours) => {
            found.no(format!("{text}, pitch {} there: another pitch", shown(pitch.value, "mm")));
            return found;
        }
        // A pitch is read from a gauge or counted: one that may be either of two is not known.
        (Some(pitch), Some(_)) if surely && pitch.value.low == pitch.value.high => found.good(text),
        (Some(_), Some(_)) => found.doubt(format!("{text}: it may be another thread")),
        (pitch, ours) => {
            found.doubt(text);
            if ours.is_none() {
                found.missing(format!("the thread pitch of {}", part.part));
            }
            if pitch.is_none() {
                found.missing(format!("the thread pitch at {position}"));
            }
        }
    }
    engagement(part, seat, thread.diameter, &mut found);
    found
}

/// A pitch in mm is written to two or three digits: half a percent lies between 1.058 mm and 24 threads an inch, five
/// between those and 1 mm.
fn is_of_pitch(there: Interval, ours: Decimal) -> bool {
    let slack = ours * Decimal::new(5, 3);
    there.low - slack <= ours && ours <= there.high + slack
}

fn engagement(part: &PartSizes, seat: &SeatSizes, diameter: Decimal, found: &mut Judgement) {
    let (Some(length), Some(clamped)) = (part.get(&["length"]), seat.get(&["clamped thickness"]))
    else {
        return;
    };
    let Some(engaged) = length.value.minus(clamped.value) else { return };
    found.judges(&["length"]);
    found.number("engagement_mm", engaged, 2);
    let text = format!("engages {}", shown(engaged, "mm"));
    let (least, soft) = (ENGAGEMENT.0 * diameter, ENGAGEMENT.1 * diameter);
    let figure = |value: Decimal| crate::measure::plain(value.round_dp(1));
    if engaged.high <= Decimal::ZERO {
        found.no(format!("{text}: too short to reach the thread"));
    } else if engaged.low < least {
        let text = format!("{text}, less than {} mm (0.8 of the diameter)", figure(least));
        found.not_within(engaged, (Some(least), None), text);
    } else if engaged.low < soft {
        found.good(format!("{text}, enough in steel; light metal wants {} mm", figure(soft)));
    } else {
        found.good(text);
    }
    if let Some(depth) = seat.get(&["thread depth"]) {
        bottoms(engaged, depth.value, found);
    }
}

fn bottoms(engaged: Interval, depth: Interval, found: &mut Judgement) {
    let text = format!("reaches {} into a hole {} deep", shown(engaged, "mm"), shown(depth, "mm"));
    if engaged.low > depth.high {
        found.no(format!("{text}: it bottoms before it clamps"));
    } else if engaged.high <= depth.low {
        found.good(text);
    } else {
        found.doubt(format!("{text}: it may bottom before it clamps"));
    }
}
