//! What a gauge can show: a size, or nothing at all.

use super::{DecimalMark, Key, Size, Unreadable};
use serde::{Deserialize, Deserializer, Serialize, de};
use std::fmt;
use std::ops::Deref;

/// A size of a seat, a wear limit or a reading: written like a [`Size`], and it may be zero, as play, run-out or wear may be none.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
#[serde(transparent)]
pub struct Gauged(Size);

impl Gauged {
    /// Reads all that [`Size::parse`] reads, and `0` with or without a unit, plain or with an upper deviation
    /// (`0 +0.02/0`).
    ///
    /// # Errors
    /// As for [`Size::parse`], but for such a zero.
    pub fn parse(text: &str, mark: DecimalMark) -> Result<Self, Unreadable> {
        Size::read(text, mark, true).map(Gauged)
    }
}

/// Says whether a feature of this name is the length of something that is there, so that none of it is a slip: play and
/// run-out may be none, a diameter and the depth of a groove may not.
pub fn is_never_none(feature: &Key) -> bool {
    const NAMES: [&str; 9] = [
        "depth",
        "groove depth",
        "gland depth",
        "bore depth",
        "thread depth",
        "keyway depth",
        "key height",
        "keyway height",
        "clamped thickness",
    ];
    const LAST: [&str; 5] = ["diameter", "bore", "width", "thickness", "pitch"];
    let name = feature.folded();
    NAMES.contains(&name) || name.split(' ').next_back().is_some_and(|word| LAST.contains(&word))
}

impl Deref for Gauged {
    type Target = Size;

    fn deref(&self) -> &Size {
        &self.0
    }
}

impl fmt::Display for Gauged {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        self.0.fmt(f)
    }
}

impl<'de> Deserialize<'de> for Gauged {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        let text = String::deserialize(deserializer)?;
        Gauged::parse(&text, DecimalMark::Point).map_err(de::Error::custom)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use rust_decimal::Decimal;

    #[test]
    fn no_play_is_a_size_of_a_seat_a_limit_and_a_reading_but_no_size_of_a_part() {
        for (text, printed) in [
            ("0", "0 mm"),
            ("0.00 mm", "0.00 mm"),
            ("0 in", "0 in"),
            ("0,0", "0.0 mm"),
            ("0 +0.05/0", "0 +0.05/0 mm"),
        ] {
            let read = Gauged::parse(text, DecimalMark::PointOrComma).unwrap();
            assert_eq!((read.nominal_mm(), read.to_string().as_str()), (Decimal::ZERO, printed));
            assert_eq!(read.interval_mm().unwrap().low, Decimal::ZERO);
            assert_eq!(Gauged::parse(printed, DecimalMark::Point).as_ref(), Ok(&read));
            assert!(Size::parse(text, DecimalMark::PointOrComma).is_err(), "{text}");
        }
    }

    #[test]
    fn less_than_nothing_and_a_class_around_nothing_are_refused() {
        for text in ["-0.1", "0 h7", "0 +0.1/-0.1", "0 ±0.1", "0..0", "0/64 in", "", "none"] {
            assert!(Gauged::parse(text, DecimalMark::Point).is_err(), "{text}");
        }
        assert!(Gauged::parse("0 ±0.1", DecimalMark::Point).unwrap_err().hint.contains("0..0.02"));
        assert_eq!(Gauged::parse("11.9", DecimalMark::Point).unwrap().to_string(), "11.9 mm");
    }

    #[test]
    fn play_and_run_out_may_be_none_and_what_is_there_may_not() {
        for name in [
            "Groove depth",
            "shaft diameter",
            "bore",
            "recess diameter",
            "keyway width",
            "thread pitch",
            "depth",
        ] {
            assert!(is_never_none(&Key::new(name)), "{name}");
        }
        for name in [
            "end play",
            "run-out",
            "clearance",
            "extrusion gap",
            "wear depth",
            "protrusion",
            "speed",
            "",
        ] {
            assert!(!is_never_none(&Key::new(name)), "{name}");
        }
    }
}
