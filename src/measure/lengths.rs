//! Several lengths typed as one size.

use super::{DecimalMark, Size, Unreadable};
use rust_decimal::Decimal;

/// Reads the lengths in a size as people write it, in mm: `24x3`, `M6 x 25`, `7/64 in`, `12 × 24 × 7`, `1/4 x 2 in`.
///
/// Millimetres unless a unit says otherwise; a unit behind the last counts for those without one, and a fraction
/// without a unit is one of an inch. `None` where the text is no size.
pub fn lengths_mm(text: &str) -> Option<Vec<Decimal>> {
    let text = text.to_lowercase();
    let of_thread = |item: &str| {
        let rest = item
            .trim()
            .strip_prefix('m')
            .filter(|rest| rest.starts_with(|c: char| c.is_ascii_digit()));
        rest.unwrap_or(item).to_owned()
    };
    let text: Vec<String> = text.replace(['×', '*'], "x").split('x').map(of_thread).collect();
    lengths(&text.join("x")).into_iter().map(|length| Some(length.ok()?.nominal_mm())).collect()
}

/// Reads the lengths of the size on a bag, each for itself: as [`lengths_mm`], with tolerances (`25 H7 x 30`), and with
/// words behind that are no lengths (`24.2 x 3 mm NBR`).
///
/// # Errors
/// For each length that cannot be read, or whose comma may mean thousands or decimals. An `x` always joins two lengths
/// and is no tolerance class.
pub fn lengths_on_a_bag(text: &str) -> Vec<Result<Size, Unreadable>> {
    let numbers = || {
        text.split(|c: char| !c.is_ascii_digit() && c != ',').filter(|number| number.contains(','))
    };
    // One comma that is surely a decimal one says what the others are.
    if let Some(found) = numbers().next().filter(|_| numbers().all(is_ambiguous)) {
        let hint = "the comma may part thousands or decimals; write 1250 or 1.25";
        return vec![Err(Unreadable::new("size", found, hint))];
    }
    lengths(without_words_behind(text.trim()))
}

fn lengths(text: &str) -> Vec<Result<Size, Unreadable>> {
    let text = text.replace(['×', '*', 'X'], "x").replace(['Ø', 'ø', '⌀', '∅'], "");
    let inches =
        text.trim_end().ends_with(['"', '″']) || text.trim_end().to_lowercase().ends_with("in");
    let length = |item: &str| {
        let item = item.trim();
        let has_unit = item.ends_with(|c: char| c.is_alphabetic() || matches!(c, '"' | '″'));
        let whole = if !has_unit && (inches || item.contains('/') && !item.contains(['+', '±'])) {
            format!("{item} in")
        } else {
            item.to_owned()
        };
        Size::parse(&whole, DecimalMark::PointOrComma)
    };
    text.split('x').map(length).collect()
}

/// Tells whether a number such as `1,250` may be a thousand or a decimal.
fn is_ambiguous(number: &str) -> bool {
    number
        .split_once(',')
        .is_some_and(|(whole, rest)| rest.len() == 3 && !whole.is_empty() && whole != "0")
}

/// Takes off words of letters alone behind a size, such as a rubber. What may be a unit stays, whether it is known or not.
fn without_words_behind(text: &str) -> &str {
    const UNITS: [&str; 10] = ["mm", "in", "inch", "inches", "cm", "m", "ft", "µm", "um", "thou"];
    let mut text = text;
    while let Some((rest, word)) = text.rsplit_once([' ', ',']) {
        let is_word = !word.is_empty() && word.chars().all(char::is_alphabetic);
        if !is_word
            || word.eq_ignore_ascii_case("x")
            || UNITS.contains(&word.to_lowercase().as_str())
        {
            break;
        }
        text = rest.trim_end();
    }
    text
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn sizes_are_read_as_people_write_them() {
        let lengths = |text| -> Option<Vec<String>> {
            Some(lengths_mm(text)?.iter().map(|length| length.normalize().to_string()).collect())
        };
        let some = |lengths: &[&str]| {
            Some(lengths.iter().map(|length| (*length).to_owned()).collect::<Vec<_>>())
        };
        assert_eq!(lengths("24x3"), some(&["24", "3"]));
        assert_eq!(lengths("M6 x 25"), some(&["6", "25"]));
        assert_eq!(lengths("12 × 24 × 7 mm"), some(&["12", "24", "7"]));
        assert_eq!(lengths("7/64 in"), some(&["2.778125"]));
        assert_eq!(lengths("3/8"), some(&["9.525"]));
        assert_eq!(lengths("1/4 x 2 in"), some(&["6.35", "50.8"]));
        assert_eq!(lengths("50,5x2,62"), some(&["50.5", "2.62"]));
        for text in ["", "x", "box", "24x", "pump", "m", "-3"] {
            assert_eq!(lengths(text), None, "{text}");
        }
    }

    #[test]
    fn the_size_on_a_bag_is_read_as_bags_write_it() {
        let lengths = |text: &str| -> Vec<String> {
            let shown = |length: Result<Size, Unreadable>| {
                length.map_or_else(
                    |_| "?".to_owned(),
                    |length| length.nominal_mm().normalize().to_string(),
                )
            };
            lengths_on_a_bag(text).into_iter().map(shown).collect()
        };
        for text in [
            "24.2 x 3",
            "24,2 x 3",
            "Ø24.2 x 3",
            "24.2*3",
            "24.2×3",
            "24.2X3",
            "24.2 x 3 mm NBR",
            "24.2mm x 3mm",
        ] {
            assert_eq!(lengths(text), ["24.2", "3"], "{text}");
        }
        assert_eq!(lengths("1 x 1/8 in"), ["25.4", "3.175"]);
        assert_eq!(lengths("0.5 x 1 x 0.25 in"), ["12.7", "25.4", "6.35"]);
        assert_eq!(lengths("17x1"), ["17", "1"]);
        assert_eq!(lengths("25 H7 x 30"), ["25", "30"]);
        assert_eq!(lengths("24.2/3"), ["?"]);
        assert_eq!(lengths("24.2 x three"), ["24.2", "?"]);
        assert_eq!(lengths("1,250 x 3"), ["?"]);
        assert_eq!(lengths("25,4 x 3,175"), ["25.4", "3.175"]);
        assert_eq!(lengths("2 cm"), ["?"]);
    }
}
