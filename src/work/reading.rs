//! Whether a reading looks like a slip of the pen, before it is logged.

use crate::fit::SeatFigure;
use crate::measure::{Date, Gauged, Interval, LengthUnit, plain};
use rust_decimal::Decimal;

/// What looks wrong about a reading of a feature, in words that a person can answer; empty where nothing does.
///
/// A reading is questioned where it lies more than a quarter of the size, and more than a millimetre, beyond the size
/// when new and the limits: wear hardly goes so far. Source: common practice, no source. A day after today is
/// questioned as well, since a later reading outranks an earlier one.
pub fn questions(
    reading: &Gauged,
    known: Option<&SeatFigure>,
    date: &Date,
    today: &Date,
) -> Vec<String> {
    let mut questions = Vec::new();
    if let Some(known) = known
        && let Some(range) = range(known)
        && let Ok(value) = reading.interval_mm()
        && !near(value.nominal, range)
    {
        let slip =
            slip(reading, range).map_or_else(String::new, |slip| format!("; was it {slip}?"));
        let (low, high) = range;
        let of =
            if low == high { plain(low) } else { format!("{} to {}", plain(low), plain(high)) };
        questions.push(format!(
            "{reading} is far from the {of} mm that the table seats says of {} ({}){slip}",
            known.feature, known.from
        ));
    }
    if date > today {
        questions.push(format!(
            "{date} is after today, {today}; until then it would outrank every other reading"
        ));
    }
    questions
}

/// The least and the greatest that the table says of a feature, in mm.
fn range(known: &SeatFigure) -> Option<(Decimal, Decimal)> {
    let said = || [known.new, known.least, known.most].into_iter().flatten();
    let low = said().map(|said: Interval| said.low).min()?;
    Some((low, said().map(|said| said.high).max()?))
}

fn near(value: Decimal, (low, high): (Decimal, Decimal)) -> bool {
    let room = |of: Decimal| (of / Decimal::from(4)).max(Decimal::ONE);
    value >= low - room(low) && value <= high + room(high)
}

/// What was probably meant: the other unit, or the decimal point one place on.
fn slip(reading: &Gauged, range: (Decimal, Decimal)) -> Option<String> {
    let value = reading.nominal_mm();
    let as_typed = reading.to_string();
    let number = as_typed.trim_end_matches(reading.unit().symbol()).trim_end();
    let inch = LengthUnit::Inch.to_millimetres(Decimal::ONE)?;
    let ten = Decimal::TEN;
    let (other, factor) = match reading.unit() {
        LengthUnit::Inch => (LengthUnit::Millimetre, Decimal::ONE.checked_div(inch)?),
        LengthUnit::Millimetre => (LengthUnit::Inch, inch),
    };
    let meant = |factor: Decimal| value.checked_mul(factor).is_some_and(|value| near(value, range));
    if meant(factor) {
        return Some(format!("{number} {other}"));
    }
    [Decimal::ONE / ten, ten].into_iter().find(|factor| meant(*factor)).map(|factor| {
        let typed = value * factor;
        format!("{} mm, with the decimal point elsewhere", plain(typed))
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::fit::SeatSizes;
    use crate::measure::DecimalMark;

    fn asked(reading: &str, size: &str) -> Vec<String> {
        let gauged = |text: &str| Gauged::parse(text, DecimalMark::Point).unwrap();
        let mut seat = SeatSizes::default();
        seat.set("shaft diameter", gauged(size).interval_mm().unwrap());
        let day = Date::parse("2026-03-01").unwrap();
        questions(&gauged(reading), seat.features.first(), &day, &day)
    }

    #[test]
    fn a_unit_or_a_decimal_point_that_slipped_is_named() {
        for (reading, meant) in [
            ("11.95 in", "was it 11.95 mm?"),
            ("0.4705", "was it 0.4705 in?"),
            ("119.5", "was it 11.95 mm, with the decimal point elsewhere?"),
            ("1.195", "was it 11.95 mm, with the decimal point elsewhere?"),
            ("40", "seats says of shaft diameter (as given)"),
        ] {
            let questions = asked(reading, "12");
            assert!(
                questions.len() == 1 && questions[0].ends_with(meant),
                "{reading}: {questions:?}"
            );
        }
    }

    #[test]
    fn wear_and_play_are_not_questioned_and_nothing_is_where_no_size_is_known() {
        for (reading, size) in
            [("11.2", "12"), ("0.47 in", "12"), ("0.6", "0.1..0.4"), ("0", "0.05")]
        {
            assert_eq!(asked(reading, size), Vec::<String>::new(), "{reading}");
        }
        let reading = Gauged::parse("40", DecimalMark::Point).unwrap();
        let days = ["2026-03-01", "2026-03-02"].map(|day| Date::parse(day).unwrap());
        assert!(questions(&reading, None, &days[0], &days[0]).is_empty());
        assert!(questions(&reading, None, &days[0], &days[1]).is_empty());
        assert_eq!(questions(&reading, None, &days[1], &days[0]).len(), 1);
    }
}
