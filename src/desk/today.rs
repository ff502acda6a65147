//! The day on which the program runs.

use super::Refused;
use crate::measure::Date;

/// The day given, else today by the clock and the time zone of this computer.
///
/// # Errors
/// The clock shows a day beyond the calendar.
pub fn day(given: Option<&Date>) -> Result<Date, Refused> {
    if let Some(day) = given {
        return Ok(day.clone());
    }
    let now = jiff::Timestamp::try_from(std::time::SystemTime::now());
    let now = now.map_err(|_| Refused::BeyondCalendar)?.to_zoned(jiff::tz::TimeZone::system());
    Date::parse(&now.date().to_string()).map_err(|_| Refused::BeyondCalendar)
}
