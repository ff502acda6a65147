//! What is to be measured where no check had anything to compare.

use super::sizes::PartSizes;

/// Names what the part's own features and those of the old part lack, and what of the place they go with; where there is
/// no check for the type, that the two are to be compared by hand.
pub(super) fn list(
    part: &PartSizes,
    old: Option<&PartSizes>,
    has_check: bool,
    position: &str,
) -> Vec<String> {
    let old = old.filter(|old| old.part != part.part);
    let mut features: Vec<String> = part.form().to_vec();
    let of_tables =
        part.features().into_iter().chain(old.into_iter().flat_map(PartSizes::features));
    for feature in of_tables.map(|feature| feature.folded().to_owned()) {
        if !features.contains(&feature) {
            features.push(feature);
        }
    }
    let lacked_by = |part: &PartSizes| {
        let lacks = features
            .iter()
            .filter(|feature| part.get(&[feature.as_str()]).is_none())
            .map(String::as_str);
        lacks.collect::<Vec<_>>()
    };
    let mut list: Vec<String> = std::iter::once(part)
        .chain(old)
        .map(|part| (part, lacked_by(part)))
        .filter(|(_, lacks)| !lacks.is_empty())
        .map(|(part, lacks)| format!("the {} of {}", in_words(&lacks), part.part))
        .collect();
    let all: Vec<&str> = features.iter().map(String::as_str).collect();
    let sizes = if all.is_empty() {
        "its shape and every size of it".to_owned()
    } else {
        format!("its {}", in_words(&all))
    };
    let beside =
        old.map_or_else(|| "what it takes the place of".to_owned(), |old| old.part.to_string());
    if has_check {
        list.push(format!(
            "what {} sits in or on at {position}, where {sizes} meet it, for the table seats",
            part.part
        ));
    } else {
        let kind = if part.called.is_empty() {
            "part without a type".to_owned()
        } else {
            part.called.clone()
        };
        list.push(format!(
            "{} beside {beside} by hand, {sizes}: there is no check by figures for this type ({kind})",
            part.part
        ));
    }
    list
}

/// Joins names as one says them: `bore, width and length`.
fn in_words(names: &[&str]) -> String {
    match names.split_last() {
        Some((last, rest)) if !rest.is_empty() => format!("{} and {last}", rest.join(", ")),
        _ => names.concat(),
    }
}
