//! The nearest known name to one that was mistyped.

/// The longest text that is compared, in characters.
const LONGEST: usize = 100;

/// Finds the known name most like a text, if one is like enough to be meant.
///
/// Likeness is the Damerau-Levenshtein distance without case; up to a third of the letters may differ. A name that
/// begins with the text counts as near too, and after that one that holds it.
/// A text of more than 100 characters is near to nothing: nobody mistypes a name of that length, and to compare two of
/// them would take too long.
pub fn nearest<'a>(text: &str, known: impl IntoIterator<Item = &'a str>) -> Option<&'a str> {
    let wanted = text.to_lowercase();
    let length = wanted.chars().count();
    if length == 0 || length > LONGEST {
        return None;
    }
    let allowed = (length / 3).max(1);
    known
        .into_iter()
        .filter_map(|name| {
            let folded = name.to_lowercase();
            // Two names whose lengths differ by more than the distance allowed cannot be near.
            let distance = if folded.chars().count().abs_diff(length) > allowed {
                usize::MAX
            } else {
                strsim::damerau_levenshtein(&wanted, &folded)
            };
            if distance <= allowed && distance < length {
                Some((distance, name))
            } else if length >= 3 && folded.starts_with(&wanted) {
                Some((allowed + 1, name))
            } else if length >= 3 && folded.contains(&wanted) {
                Some((allowed + 2, name))
            } else {
                None
            }
        })
        .min_by_key(|(distance, _)| *distance)
        .map(|(_, name)| name)
}

#[cfg(test)]
mod tests {
    use super::nearest;

    #[test]
    fn a_slip_or_a_beginning_finds_the_name_and_a_stranger_does_not() {
        let known = ["dinghy", "tender", "cooling-pump"];
        assert_eq!(nearest("dingy", known), Some("dinghy"));
        assert_eq!(nearest("TENDRE", known), Some("tender"));
        assert_eq!(nearest("cool", known), Some("cooling-pump"));
        assert_eq!(nearest("pump", known), Some("cooling-pump"));
        assert_eq!(nearest("tractor", known), None);
        assert_eq!(nearest("", known), None);
        assert_eq!(nearest("x", known), None);
    }
}
