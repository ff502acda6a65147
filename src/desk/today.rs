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
    let now = jiff::Zoned::now().date();
    Date::parse(&now.to_string()).map_err(|_| Refused::BeyondCalendar)
}
