use super::{DecimalMark, parse_decimal};
use rust_decimal::Decimal;

/// A metric thread and what follows it, as a bag writes them in one: `M6x25`, `M8x1.25x30`, `M20x1.5 x 65 x 60`.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct ThreadedSize {
    /// The nominal diameter, in mm.
    pub diameter: Decimal,
    /// The pitch in mm, where it is written.
    pub pitch: Option<Decimal>,
    /// The sizes that follow, in mm: a length, or outside diameter and length.
    pub rest: Vec<Decimal>,
}

impl ThreadedSize {
    /// Reads a text that begins with `M` and a diameter; `None` for any other.
    ///
    /// The number behind the diameter is the pitch where it is no more than a quarter of the diameter, else a length:
    /// no metric thread is coarser than that (ISO 261: M1 has 0.25 mm), and hardly a screw is shorter.
    pub fn parse(text: &str) -> Option<ThreadedSize> {
        let text = text.trim().strip_prefix(['M', 'm'])?.replace(['×', 'X', '*'], "x");
        let mut numbers = text
            .split('x')
            .map(|number| {
                parse_decimal(number, DecimalMark::Point).filter(|number| *number > Decimal::ZERO)
            })
            .collect::<Option<Vec<Decimal>>>()?
            .into_iter();
        let diameter = numbers.next()?;
        let mut rest: Vec<Decimal> = numbers.collect();
        let is_pitch = |number: &Decimal| number.saturating_mul(Decimal::from(4)) <= diameter;
        let pitch = rest.first().copied().filter(is_pitch);
        if pitch.is_some() {
            rest.remove(0);
        }
        Some(ThreadedSize { diameter, pitch, rest })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn read(text: &str) -> Option<(String, Option<String>, Vec<String>)> {
        let read = ThreadedSize::parse(text)?;
        let shown = |number: &Decimal| number.to_string();
        Some((
            shown(&read.diameter),
            read.pitch.as_ref().map(shown),
            read.rest.iter().map(shown).collect(),
        ))
    }

    #[test]
    fn a_pitch_is_told_from_a_length() {
        let none: Vec<String> = Vec::new();
        assert_eq!(read("M6x25"), Some(("6".into(), None, vec!["25".into()])));
        assert_eq!(read("M8x1.25x30"), Some(("8".into(), Some("1.25".into()), vec!["30".into()])));
        assert_eq!(
            read("M20x1.5 x 65 x 60"),
            Some(("20".into(), Some("1.5".into()), vec!["65".into(), "60".into()]))
        );
        assert_eq!(read("M10 × 1"), Some(("10".into(), Some("1".into()), none.clone())));
        assert_eq!(read("M4x5"), Some(("4".into(), None, vec!["5".into()])));
        assert_eq!(read("m12"), Some(("12".into(), None, none)));
        for text in ["6x25", "M", "Mx5", "M6x", "M6x-2", "M6 x 1 in"] {
            assert_eq!(read(text), None, "{text}");
        }
    }
}
