//! Sizes and names of features that the figures of a fit would pass over.

use super::code::Code;
use super::findings::Findings;
use super::grouped::Grouped;
use crate::catalog::At;
use crate::measure::{Key, lengths_on_a_bag, shorten};
use std::collections::HashSet;

pub(super) const SIZE: Code = Code::warning(
    "size-not-read",
    "The size of a part cannot be read in the form of its type, and dimensions says nothing of the part, so no fit is worked out for it.",
    "Write the lengths with an x between them, as in 24.2 x 3, in mm or with one unit at the end; or give each its row in dimensions.",
);
pub(super) const NAME: Code = Code::warning(
    "feature-name",
    "A feature has nearly the name by which fits are worked out, but not that name, so its size is passed over.",
    "Correct the name; a feature that is meant otherwise may keep a name of its own that is less alike.",
);

pub(super) const CODES: &[Code] = &[SIZE, NAME];

/// The names by which `fits` looks features up.
pub(crate) const FEATURES: [&str; 66] = [
    "angle",
    "axial gland",
    "bolt diameter",
    "bore",
    "bore depth",
    "bore diameter",
    "clamped thickness",
    "clearance",
    "cylinder bore",
    "depth",
    "diameter",
    "dynamic",
    "dynamic gland",
    "end play",
    "extrusion gap",
    "face diameter",
    "face gland",
    "face inside diameter",
    "face outside diameter",
    "gland depth",
    "gland width",
    "groove depth",
    "groove diameter",
    "groove inside diameter",
    "groove land bore",
    "groove outside diameter",
    "groove width",
    "height",
    "hole diameter",
    "housing clearance",
    "inside diameter",
    "inside face diameter",
    "interference",
    "key height",
    "keyway depth",
    "keyway height",
    "keyway width",
    "length",
    "outside",
    "outside diameter",
    "outside face diameter",
    "pin diameter",
    "piston diameter",
    "piston gland",
    "plug diameter",
    "port diameter",
    "press",
    "radial gland",
    "recess depth",
    "recess diameter",
    "rod diameter",
    "rod gland",
    "rpm",
    "screw diameter",
    "section",
    "shaft diameter",
    "shaft press",
    "speed",
    "spigot diameter",
    "static",
    "static gland",
    "thickness",
    "thread depth",
    "thread diameter",
    "thread pitch",
    "width",
];

/// Other words of the trade for features, and the name that is looked up.
const OTHERWISE: [(&str, &str); 14] = [
    ("id", "inside diameter"),
    ("i.d.", "inside diameter"),
    ("inner diameter", "inside diameter"),
    ("internal diameter", "inside diameter"),
    ("od", "outside diameter"),
    ("o.d.", "outside diameter"),
    ("outer diameter", "outside diameter"),
    ("external diameter", "outside diameter"),
    ("cs", "section"),
    ("cross section", "section"),
    ("cross-section", "section"),
    ("end float", "end play"),
    ("housing bore", "bore"),
    ("pitch", "thread pitch"),
];

/// Finds sizes and features that nothing would be worked out from.
pub(super) fn find(catalog: &Grouped, findings: &mut Findings) {
    let rows = catalog.rows;
    let measured: HashSet<_> = rows.dimensions.iter().map(|row| &row.part).collect();
    for row in
        rows.parts.iter().filter(|row| !row.size.trim().is_empty() && !measured.contains(&row.part))
    {
        let Some(kind) = catalog.listed(&row.part).and_then(|listed| listed.part_type) else {
            continue;
        };
        let words: Vec<&str> =
            kind.size_form.split(" x ").filter(|word| !word.is_empty()).collect();
        // Threads are of many systems, and only the metric ones are reckoned with.
        if words.first().is_none_or(|word| *word == "thread") {
            continue;
        }
        if let Some(why) =
            lengths_on_a_bag(&row.size).into_iter().take(words.len()).find_map(Result::err)
        {
            let size = shorten(&row.size);
            findings.add(
                SIZE,
                row.at,
                "size",
                format!("`{size}` cannot be read as {}: {}", kind.size_form, why.hint),
            );
        }
    }
    let named = rows.dimensions.iter().map(|row| (row.at, &row.feature));
    let named = named.chain(rows.seats.iter().map(|row| (row.at, &row.feature)));
    for (at, feature) in named.chain(rows.measurements.iter().map(|row| (row.at, &row.feature))) {
        name(at, feature, findings);
    }
}

fn name(at: At, feature: &Key, findings: &mut Findings) {
    let folded = feature.folded();
    if FEATURES.contains(&folded) {
        return;
    }
    let otherwise: Vec<&str> =
        OTHERWISE.iter().filter(|(other, _)| *other == folded).map(|(_, name)| *name).collect();
    let near = if otherwise.is_empty() {
        FEATURES.into_iter().filter(|known| is_slip(folded, known)).collect()
    } else {
        otherwise
    };
    if !near.is_empty() {
        let message = format!(
            "`{}` is no feature that fits looks up; did you mean {}?",
            shorten(feature.as_str()),
            near.join(" or ")
        );
        findings.add(NAME, at, "feature", message);
    }
}

/// Tells whether every word is the known one, or a slip of one letter in a word of more than three.
fn is_slip(name: &str, known: &str) -> bool {
    let words =
        |text: &str| text.split([' ', '-', '_']).map(str::to_owned).collect::<Vec<String>>();
    let (ours, theirs) = (words(name), words(known));
    ours.len() == theirs.len()
        && ours.iter().zip(&theirs).all(|(ours, theirs)| {
            ours == theirs || (theirs.len() > 3 && strsim::damerau_levenshtein(ours, theirs) <= 1)
        })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_slip_is_near_and_a_name_of_ones_own_is_not() {
        for (name, known) in [
            ("grove depth", "groove depth"),
            ("shaft-diameter", "shaft diameter"),
            ("widht", "width"),
        ] {
            assert!(is_slip(name, known), "{name}");
        }
        for name in [
            "chamber diameter",
            "ring gap",
            "lobe lift",
            "free length",
            "hub diameter",
            "pen diameter",
        ] {
            assert!(!FEATURES.iter().any(|known| is_slip(name, known)), "{name}");
        }
    }

    #[test]
    fn every_name_that_fits_looks_up_is_known_here() {
        let rooms = [
            include_str!("../../fit/clip.rs"),
            include_str!("../../fit/gasket.rs"),
            include_str!("../../fit/key_and_pin.rs"),
            include_str!("../../fit/lip_seal.rs"),
            include_str!("../../fit/mating.rs"),
            include_str!("../../fit/o_ring.rs"),
            include_str!("../../fit/other_seal.rs"),
            include_str!("../../fit/thread.rs"),
            include_str!("../../fit/washer.rs"),
        ];
        for room in rooms {
            let code = room.split("#[cfg(test)]").next().unwrap_or_default();
            for asked in code.split(".get(&[").skip(1).chain(code.split(".feature(&[").skip(1)) {
                let names = asked.split(']').next().unwrap_or_default();
                for name in names.split('"').skip(1).step_by(2).filter(|name| !name.contains('{')) {
                    assert!(FEATURES.contains(&name), "{name}");
                }
            }
        }
    }
}
