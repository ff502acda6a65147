//! The day on which the program runs.

use crate::measure::Date;
use anyhow::Context;

/// The day given, else today by the clock and the time zone of this computer.
pub(crate) fn day(given: Option<&Date>) -> anyhow::Result<Date> {
    if let Some(day) = given {
        return Ok(day.clone());
    }
    let now = jiff::Zoned::now().date();
    Date::parse(&now.to_string())
        .context("the clock shows a day beyond the calendar; name the day with --date")
}
