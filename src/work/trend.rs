//! How a reading wears over the hours: a straight line through the readings, and when it meets a limit. A guide only.

use crate::catalog::{LogEntry, Measurement};
use crate::measure::json_number;
use rust_decimal::Decimal;
use serde::{Serialize, Serializer};

/// A straight line through readings.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Trend {
    /// How many readings it goes through.
    pub readings: usize,
    /// How much it changes in 100 hours, in mm; less than zero where it shrinks.
    #[serde(serialize_with = "number")]
    pub per_100_hours: Decimal,
    /// The hours at which it would meet its limit at this rate; `null` where it does not move towards one.
    #[serde(serialize_with = "maybe_number")]
    pub limit_at_hours: Option<Decimal>,
}

fn number<S: Serializer>(value: &Decimal, serializer: S) -> Result<S::Ok, S::Error> {
    json_number(*value).serialize(serializer)
}

fn maybe_number<S: Serializer>(value: &Option<Decimal>, serializer: S) -> Result<S::Ok, S::Error> {
    match value {
        Some(value) => number(value, serializer),
        None => serializer.serialize_none(),
    }
}

/// A reading with the hours at which it was taken.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Point {
    /// The hours that the machine had run.
    pub hours: Decimal,
    /// The reading in mm.
    pub value: Decimal,
}

/// Gives readings of one feature their hours, in the order in which they were taken.
///
/// A reading's hours are those that the log names on its day; between two logged days they are taken to have run
/// evenly. A reading before the first or after the last such day has none and is left out.
pub fn points(readings: &[Measurement], log: &[LogEntry]) -> Vec<Point> {
    let mut known: Vec<(i64, Decimal)> = log
        .iter()
        .filter_map(|entry| Some((day_number(entry.date.as_str())?, entry.hours?)))
        .collect();
    known.sort_unstable();
    let mut sorted: Vec<&Measurement> = readings.iter().collect();
    sorted.sort_by(|a, b| a.date.cmp(&b.date));
    let point = |reading: &&Measurement| {
        let value = reading.value.interval_mm().ok()?.nominal;
        let hours = hours_on(day_number(reading.date.as_str())?, &known)?;
        Some(Point { hours, value })
    };
    sorted.iter().filter_map(point).collect()
}

fn hours_on(day: i64, known: &[(i64, Decimal)]) -> Option<Decimal> {
    let before = known.iter().rev().find(|(at, _)| *at <= day)?;
    if before.0 == day {
        return Some(before.1);
    }
    let after = known.iter().find(|(at, _)| *at > day)?;
    let share = Decimal::from(day - before.0).checked_div(Decimal::from(after.0 - before.0))?;
    before.1.checked_add((after.1.checked_sub(before.1)?).checked_mul(share)?)
}

/// Counts a full date as days from a fixed one; `None` for a bare year, a month or a blank.
fn day_number(date: &str) -> Option<i64> {
    let day: jiff::civil::Date = date.parse().ok()?;
    let from = jiff::civil::date(1900, 1, 1);
    day.since((jiff::Unit::Day, from)).ok().map(|span| i64::from(span.get_days()))
}

/// Draws the line of least squares through the readings since the last that went back towards new: there, something
/// was renewed. `None` where fewer than two readings at different hours are left.
///
/// `least` and `most` are the limits in mm. The formula is the usual one of simple linear regression, from memory.
pub fn trend(points: &[Point], least: Option<Decimal>, most: Option<Decimal>) -> Option<Trend> {
    let wears_up = match (least, most) {
        (Some(_), None) => Some(false),
        (None, Some(_)) => Some(true),
        _ => None,
    };
    let mut from = 0;
    for (place, pair) in points.windows(2).enumerate() {
        let back = match wears_up {
            Some(true) => pair[1].value < pair[0].value,
            Some(false) => pair[1].value > pair[0].value,
            None => false,
        };
        if back {
            from = place + 1;
        }
    }
    let points = points.get(from..)?;
    let count = Decimal::from(points.len());
    let sum = |pick: &dyn Fn(&Point) -> Option<Decimal>| {
        points.iter().try_fold(Decimal::ZERO, |sum, point| sum.checked_add(pick(point)?))
    };
    let mean_hours = sum(&|point| Some(point.hours))?.checked_div(count)?;
    let mean_value = sum(&|point| Some(point.value))?.checked_div(count)?;
    let spread = sum(&|point| {
        let off = point.hours.checked_sub(mean_hours)?;
        off.checked_mul(off)
    })?;
    let joint = sum(&|point| {
        point.hours.checked_sub(mean_hours)?.checked_mul(point.value.checked_sub(mean_value)?)
    })?;
    // Readings at the same hours draw no line.
    let slope = joint.checked_div(spread)?;
    let last = points.last()?;
    let limit = match slope {
        slope if slope > Decimal::ZERO => most,
        slope if slope < Decimal::ZERO => least,
        _ => None,
    };
    let limit_at_hours = limit.and_then(|limit| {
        let at = mean_hours.checked_add(limit.checked_sub(mean_value)?.checked_div(slope)?)?;
        // A limit that was passed is no forecast.
        let ahead = if slope > Decimal::ZERO { last.value < limit } else { last.value > limit };
        ahead.then(|| at.max(last.hours).round())
    });
    let per_100_hours = slope.checked_mul(Decimal::ONE_HUNDRED)?.round_dp(4).normalize();
    Some(Trend { readings: points.len(), per_100_hours, limit_at_hours })
}

#[cfg(test)]
mod tests {
    use super::*;

    fn point(hours: i64, thousandths: i64) -> Point {
        Point { hours: hours.into(), value: Decimal::new(thousandths, 3) }
    }

    fn limit(thousandths: i64) -> Option<Decimal> {
        Some(Decimal::new(thousandths, 3))
    }

    #[test]
    fn a_bore_that_grows_a_tenth_in_a_hundred_hours_meets_its_limit_where_the_line_does() {
        let line =
            trend(&[point(100, 40_000), point(200, 40_100)], None, limit(40_400)).expect("a line");
        assert_eq!(line.per_100_hours, Decimal::new(1, 1));
        assert_eq!(line.limit_at_hours, Some(500.into()));
    }

    #[test]
    fn a_shaft_wears_down_to_its_least_and_a_limit_that_was_passed_is_no_forecast() {
        let down = [point(100, 12_000), point(200, 11_960)];
        assert_eq!(
            trend(&down, limit(11_900), None).expect("a line").limit_at_hours,
            Some(350.into())
        );
        let past = [point(100, 12_000), point(200, 11_870)];
        let line = trend(&past, limit(11_900), None).expect("a line");
        assert_eq!((line.per_100_hours, line.limit_at_hours), (Decimal::new(-13, 2), None));
    }

    #[test]
    fn a_reading_that_went_back_towards_new_begins_a_new_line() {
        let renewed =
            [point(0, 40_000), point(100, 40_300), point(200, 40_000), point(300, 40_050)];
        let line = trend(&renewed, None, limit(40_400)).expect("a line");
        assert_eq!((line.readings, line.per_100_hours), (2, Decimal::new(5, 2)));
    }

    #[test]
    fn one_reading_or_two_at_the_same_hours_draw_no_line() {
        assert_eq!(trend(&[point(1, 1)], None, limit(9)), None);
        assert_eq!(trend(&[], None, None), None);
        assert_eq!(trend(&[point(1, 1), point(1, 2)], None, limit(9)), None);
    }

    #[test]
    fn hours_between_two_logged_days_run_evenly_and_outside_them_nobody_knows() {
        let known = [(10, Decimal::from(100)), (20, Decimal::from(150))];
        assert_eq!(hours_on(15, &known), Some(Decimal::from(125)));
        assert_eq!(hours_on(20, &known), Some(Decimal::from(150)));
        assert_eq!((hours_on(9, &known), hours_on(21, &known)), (None, None));
    }
}
