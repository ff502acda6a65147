//! A key in its keyway, and a split pin in its hole.

use super::judgement::{Judgement, shown};
use super::sizes::{PartSizes, SeatSizes};
use super::standard::split_pins;
use crate::measure::{Interval, ToleranceClass, deviations};
use rust_decimal::Decimal;

/// Judges a key by its width against the keyway, which runs from P9 (tight) to D10 (loose) around a key of h9.
///
/// Source: the classes are from memory: DIN 6885-1.
pub fn key(part: &PartSizes, seat: &SeatSizes, position: &str) -> Judgement {
    let mut found = Judgement::new();
    found.judges(&["width"]);
    let (Some(width), Some(keyway)) = (part.get(&["width"]), seat.get(&["keyway width"])) else {
        if part.get(&["width"]).is_none() {
            found.missing(format!("the width of {}", part.part));
        } else {
            found.missing(format!("the keyway width at {position}"));
        }
        return found;
    };
    // Of all that the key may be meant to be the smallest has the narrowest limits, and the largest the widest.
    let (small, large) = (width.meant().low, width.meant().high);
    let of = |nominal: Decimal| {
        let of = |class: &str| deviations(nominal, ToleranceClass::parse(class).ok()?).ok();
        Some(Interval::new(of("P9")?.lower, Decimal::ZERO, of("D10")?.upper - of("h9")?.lower))
    };
    let (Some(limits), Some(widest)) = (of(small), of(large)) else {
        found.doubt(format!("ISO 286 has no keyway for a key of {}", shown(width.value, "mm")));
        return found;
    };
    let Some(clearance) = keyway.value.minus(width.value) else { return found };
    found.number("clearance_mm", clearance, 4);
    found.compared = true;
    let text =
        format!("key {} in a keyway {}", shown(width.value, "mm"), shown(keyway.value, "mm"));
    if clearance.high < widest.low {
        found.no(format!("{text}: it does not go in"));
    } else if clearance.low > widest.high {
        found.no(format!("{text}: it is loose beyond any keyway"));
    } else if limits.encloses(clearance) {
        found.good(format!("{text}, between a tight (P9) and a loose (D10) keyway"));
    } else {
        let text = format!("{text}, not surely between a tight (P9) and a loose (D10) keyway");
        found.not_within(clearance, (Some(limits.low), Some(limits.high)), text);
    }
    if let (Some(height), Some(room)) =
        (part.get(&["height"]), seat.get(&["key height", "keyway height"]))
    {
        found.judges(&["height"]);
        let text = format!(
            "{} high where there are {}",
            shown(height.value, "mm"),
            shown(room.value, "mm")
        );
        if height.value.high <= room.value.low {
            found.good(text);
        } else if height.value.low > room.value.high {
            found.no(format!("{text}: it binds"));
        } else {
            found.doubt(format!("{text}: it may bind"));
        }
    }
    found
}

/// Judges a split pin by its hole, and by the bolt or clevis pin that the hole is in.
pub fn split_pin(part: &PartSizes, seat: &SeatSizes, position: &str) -> Judgement {
    let mut found = Judgement::new();
    found.judges(&["diameter"]);
    let Some(size) = part.get(&["diameter"]).and_then(|figure| figure.named) else {
        found.missing(format!("the hole that {} is for, one size and no range", part.part));
        return found;
    };
    match seat.get(&["hole diameter"]) {
        Some(hole) => {
            let text = format!(
                "pin for a hole of {} mm in a hole of {}",
                size.normalize(),
                shown(hole.value, "mm")
            );
            // A quarter more than its hole and the pin rattles and wears through. Source: common practice, no source.
            let loose = size * Decimal::new(125, 2);
            if hole.value.high < size - size / Decimal::TEN {
                found.no(format!("{text}: it does not go in"));
            } else if hole.value.low >= size && hole.value.high <= loose {
                found.good(text);
            } else {
                let text = format!("{text}: it may not go in, or rattle");
                found.not_within(hole.value, (Some(size), Some(loose)), text);
            }
        }
        None => found.missing(format!("the hole diameter at {position}")),
    }
    let row = split_pins().iter().find(|pin| pin.hole == size);
    let range =
        match (row, seat.get(&["bolt diameter", "thread diameter"]), seat.get(&["pin diameter"])) {
            (Some(row), Some(bolt), _) => Some((bolt.value, row.bolt, "bolts")),
            (Some(row), None, Some(pin)) => Some((pin.value, row.clevis, "clevis pins")),
            _ => None,
        };
    if let Some((there, (over, to), what)) = range {
        let text = format!(
            "ISO 1234 has it for {what} over {} to {} mm",
            over.normalize(),
            to.normalize()
        );
        if there.low > over && there.high <= to {
            found.good(text);
        } else {
            let text = format!("{text}, and this is {}", shown(there, "mm"));
            found.not_within(there, (Some(over), Some(to)), text);
        }
    }
    found
}
