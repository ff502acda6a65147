//! A gasket between two faces: clear of the opening that it surrounds, and on the faces.
//!
//! A bore at its position is what it surrounds, not what it lies in.

use super::Verdict;
use super::judgement::{Judgement, shown};
use super::sizes::{PartSizes, SeatSizes};
use super::washer;

/// The types that are judged here.
pub(super) const TYPES: [&str; 5] =
    ["gasket", "metal gasket", "exhaust gasket", "head gasket", "moulded gasket"];
/// Types of which the outline, the holes and the passages say more than any diameter.
const BY_OUTLINE: [&str; 2] = ["head gasket", "moulded gasket"];
const OPENING: [&str; 4] = ["port diameter", "cylinder bore", "bore diameter", "bore"];
const INSIDE: [&str; 2] = ["inside diameter", "bore"];
const OUTSIDE: [&str; 2] = ["outside diameter", "outside"];

/// Judges a gasket by the opening that it must be clear of, by the faces and by its thickness.
pub fn check(part: &PartSizes, seat: &SeatSizes, position: &str) -> Judgement {
    let mut found = Judgement::new();
    match (part.get(&INSIDE), seat.known(&OPENING)) {
        (Some(_), Some(_)) => clear_of(part, seat, position, &mut found),
        (Some(_), None) => {
            washer::over(part, seat, "the bore, port, plug or bolt diameter", position, &mut found);
        }
        (None, there) => {
            found.missing(format!("the inside diameter of {}", part.part));
            if there.is_none() {
                found.missing(format!(
                    "the bore or port diameter that it must be clear of at {position}"
                ));
            }
        }
    }
    on_the_faces(part, seat, &mut found);
    washer::thickness(part, seat, &mut found);
    if BY_OUTLINE.contains(&part.kind.as_str()) {
        found.doubt(format!("no diameter tells the holes and passages of a {}", part.kind));
        found.missing(format!(
            "{} laid on the old one or on the face at {position}: outline and holes",
            part.part
        ));
    }
    found
}

fn clear_of(part: &PartSizes, seat: &SeatSizes, position: &str, found: &mut Judgement) {
    let (Some(hole), Some(feature)) = (part.get(&INSIDE), seat.known(&OPENING)) else { return };
    let Some(opening) = &feature.size else { return };
    found.judges(&INSIDE);
    let text = format!(
        "hole {} around {} {}",
        shown(hole.value, "mm"),
        feature.feature,
        shown(opening.value, "mm")
    );
    let outside = part.get(&OUTSIDE).map(|outside| outside.value);
    // What is smaller than the bore altogether does not surround it.
    if feature.feature.folded() == "bore"
        && outside.is_some_and(|outside| outside.low <= opening.value.high)
    {
        found.compared = true;
        found.doubt(format!("{text}, but no larger than that across outside"));
        found.missing(format!(
            "what the bore at {position} is: \"recess diameter\" if it lies in it, \"port diameter\" if it must be clear of it"
        ));
    } else if hole.value.low >= opening.value.high {
        found.good(format!("{text}, clear of it"));
    } else if hole.value.high < opening.value.low {
        found.no(format!("{text}: it stands into the opening"));
    } else {
        found.doubt(format!("{text}: it may stand into the opening"));
    }
}

fn on_the_faces(part: &PartSizes, seat: &SeatSizes, found: &mut Judgement) {
    let outer = seat.get(&["face diameter", "face outside diameter", "outside face diameter"]);
    let inner = seat.get(&["face inside diameter", "inside face diameter"]);
    if let (Some(hole), Some(outer)) = (part.get(&INSIDE), outer)
        && hole.value.low >= outer.value.high
    {
        found.no(format!(
            "hole {} on a face of {}: it does not lie on it",
            shown(hole.value, "mm"),
            shown(outer.value, "mm")
        ));
    }
    if let (Some(hole), Some(inner)) = (part.get(&INSIDE), inner) {
        let text =
            format!("hole {} on a face from {}", shown(hole.value, "mm"), shown(inner.value, "mm"));
        if hole.value.low >= inner.value.high {
            found.good(text);
        } else {
            let text = format!("{text}: it stands over the inner edge");
            found.not_within(hole.value, (Some(inner.value.low), None), text);
        }
    }
    washer::outside(part, seat, &["recess diameter"], found);
    if let (Some(outside), Some(inner)) = (part.get(&OUTSIDE), inner)
        && outside.value.high <= inner.value.low
        && found.verdict != Verdict::DoesNotFit
    {
        found.no(format!(
            "{} across on a face from {}: it does not reach it",
            shown(outside.value, "mm"),
            shown(inner.value, "mm")
        ));
    }
}
