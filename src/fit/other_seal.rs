//! A seal for whose groove no published guidance is built in: what surely cannot be, and what to measure for the rest.
//!
//! Figures alone never say *fits* here: how much such a ring or lip is to be squeezed is its maker's business.

use super::judgement::{Judgement, shown};
use super::sizes::{PartSizes, SeatSizes};
use crate::measure::Interval;

/// The types that are judged here.
pub(super) const TYPES: [&str; 7] = [
    "four-lobed ring",
    "square-section ring",
    "rod seal",
    "piston seal",
    "wiper",
    "axial lip seal",
    "face seal",
];

/// What of the part has to do with what of its seat.
struct Pair {
    part: &'static [&'static str],
    seat: &'static [&'static str],
    /// The part has to go into this: larger than it, it does not go in at all, for rubber does not give way.
    goes_in: bool,
    measure: &'static str,
}

const RING: [Pair; 2] = [
    Pair {
        part: &["section"],
        seat: &["groove depth", "gland depth"],
        goes_in: false,
        measure: "the groove depth",
    },
    Pair {
        part: &["section"],
        seat: &["groove width"],
        goes_in: true,
        measure: "the groove width",
    },
];
const LIP: [Pair; 3] = [
    Pair {
        part: &["shaft diameter", "inside diameter"],
        seat: &["rod diameter", "shaft diameter"],
        goes_in: false,
        measure: "the rod diameter",
    },
    Pair {
        part: &["bore", "outside diameter"],
        seat: &["groove outside diameter", "bore"],
        goes_in: false,
        measure: "the groove's outside diameter",
    },
    Pair { part: &["width"], seat: &["groove width"], goes_in: true, measure: "the groove width" },
];

/// Judges such a seal: *does not fit* where it cannot go in, else *not known* with what to measure and whom to ask.
pub fn check(part: &PartSizes, seat: &SeatSizes, position: &str) -> Judgement {
    let mut found = Judgement::new();
    let ring =
        matches!(part.kind.as_str(), "four-lobed ring" | "square-section ring" | "piston seal");
    let pairs: &[Pair] = if ring { &RING } else { &LIP };
    for pair in pairs {
        let name = pair.part[0];
        match (part.get(pair.part), seat.get(pair.seat)) {
            (Some(ours), Some(theirs)) => beside(pair, name, ours.value, theirs.value, &mut found),
            (None, _) => found.missing(format!("the {name} of {}", part.part)),
            (_, None) => found.missing(format!("{} at {position}", pair.measure)),
        }
    }
    found.doubt(format!("no published guidance for the groove of a {} is built in", part.kind));
    found.missing(format!(
        "the groove at {position} against the drawing of the maker of {}",
        part.part
    ));
    found
}

fn beside(pair: &Pair, name: &str, ours: Interval, theirs: Interval, found: &mut Judgement) {
    let text =
        format!("{name} {} beside {} {}", shown(ours, "mm"), pair.measure, shown(theirs, "mm"));
    if pair.goes_in && ours.low > theirs.high {
        found.no(format!("{text}: it does not go in"));
    } else {
        found.good(text);
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::fit::Verdict;
    use crate::measure::PartNumber;
    use rust_decimal::Decimal;

    fn exactly(hundredths: i64) -> Interval {
        Interval::exactly(Decimal::new(hundredths, 2))
    }

    #[test]
    fn a_seal_without_guidance_never_fits_by_its_figures_and_says_what_to_measure() {
        for kind in TYPES {
            let mut part = PartSizes::bare(PartNumber::new("Q-1").unwrap(), kind);
            let nothing = check(&part, &SeatSizes::default(), "gland");
            assert!(
                nothing.verdict == Verdict::NotKnown && nothing.measure.len() > 1,
                "{kind}: {nothing:?}"
            );
            for feature in ["section", "inside diameter", "shaft diameter", "bore", "width"] {
                part.set(feature, exactly(300), "as given");
            }
            let mut seat = SeatSizes::default();
            for feature in ["groove depth", "rod diameter", "bore"] {
                seat.set(feature, exactly(300));
            }
            seat.set("groove width", exactly(400));
            assert_eq!(check(&part, &seat, "gland").verdict, Verdict::NotKnown, "{kind}");
            seat.set("groove width", exactly(250));
            assert_eq!(check(&part, &seat, "gland").verdict, Verdict::DoesNotFit, "{kind}");
        }
    }
}
