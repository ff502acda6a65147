//! Several lengths typed as one size.

use super::{DecimalMark, Size};
use rust_decimal::Decimal;

/// Reads the lengths in a size as people write it, in mm: `24x3`, `M6 x 25`, `7/64 in`, `12 × 24 × 7`, `1/4 x 2 in`.
///
/// Millimetres unless a unit says otherwise; a unit behind the last counts for those without one, and a fraction
/// without a unit is one of an inch. `None` where the text is no size.
pub fn lengths_mm(text: &str) -> Option<Vec<Decimal>> {
    let text = text.to_lowercase().replace(['×', '*'], "x").replace(['ø', '⌀'], "");
    let inches = text.trim_end().ends_with(['"', '″']) || text.trim_end().ends_with("in");
    let mut lengths = Vec::new();
    for item in text.split('x') {
        let item = item.trim();
        let item = item.strip_prefix('m').filter(|rest| rest.starts_with(|c: char| c.is_ascii_digit())).unwrap_or(item);
        let has_unit = item.ends_with(['"', '″', 'n', 'm', 'h', 's']);
        let whole = if !has_unit && (inches || item.contains('/') && !item.contains(['+', '±'])) {
            format!("{item} in")
        } else {
            item.to_owned()
        };
        lengths.push(Size::parse(&whole, DecimalMark::PointOrComma).ok()?.nominal_mm());
    }
    Some(lengths)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn sizes_are_read_as_people_write_them() {
        let lengths = |text| -> Option<Vec<String>> {
            Some(lengths_mm(text)?.iter().map(|length| length.normalize().to_string()).collect())
        };
        let some = |lengths: &[&str]| Some(lengths.iter().map(|length| (*length).to_owned()).collect::<Vec<_>>());
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
}
