use super::Unreadable;
use serde::{Deserialize, Serialize};
use std::borrow::Cow;
use std::fmt;

/// A calendar day in the form of ISO 8601: `2004-06-30`; typed as `20040630` it is the same.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
pub struct Date(Box<str>);

/// A date in the work log: a day, a month (`2004-06`), a bare year, or blank for an earlier owner's work.
///
/// Log dates compare as text, so a blank one comes first and a bare year before every day in it.
#[derive(Debug, Clone, Default, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
pub struct LogDate(Box<str>);

impl Date {
    /// Reads a day.
    ///
    /// # Errors
    /// Anything but a day of the calendar as year-month-day.
    pub fn parse(text: &str) -> Result<Self, Unreadable> {
        let day = with_hyphens(text.trim());
        if is_day(&day) {
            return Ok(Date(day.as_ref().into()));
        }
        let hint = if is_day(&format!("{day}-01-01")) {
            format!(
                "a day is asked for; type year-month-day, such as {day}-06-30, or leave the cell blank where only the year is known"
            )
        } else {
            "type year-month-day, such as 2004-06-30".to_owned()
        };
        Err(Unreadable::new("date", &day, hint))
    }

    /// Gives the date as text.
    pub fn as_str(&self) -> &str {
        &self.0
    }
}

impl LogDate {
    /// Reads a day, a month, a year or a blank.
    ///
    /// # Errors
    /// Anything else.
    pub fn parse(text: &str) -> Result<Self, Unreadable> {
        let text = with_hyphens(text.trim());
        let whole = match text.len() {
            0 => return Ok(LogDate::default()),
            4 => format!("{text}-01-01"),
            7 => format!("{text}-01"),
            _ => text.to_string(),
        };
        if is_day(&whole) {
            Ok(LogDate(text.as_ref().into()))
        } else {
            Err(Unreadable::new(
                "date",
                &text,
                "type year-month-day, such as 2004-06-30, a bare year, or leave it blank for earlier work",
            ))
        }
    }

    /// Gives the date as text; empty where nobody knows it.
    pub fn as_str(&self) -> &str {
        &self.0
    }

    /// Tells that no date was typed.
    pub fn is_blank(&self) -> bool {
        self.0.is_empty()
    }
}

/// Puts the hyphens into the short form of ISO 8601, since dates compare as text.
fn with_hyphens(text: &str) -> Cow<'_, str> {
    if text.len() == 8 && text.bytes().all(|b| b.is_ascii_digit()) {
        Cow::Owned(format!("{}-{}-{}", &text[..4], &text[4..6], &text[6..]))
    } else {
        Cow::Borrowed(text)
    }
}

/// The text is exactly four digits, two and two with hyphens between, and such a day exists.
fn is_day(text: &str) -> bool {
    text.len() == 10
        && text.bytes().enumerate().all(|(i, b)| match i {
            4 | 7 => b == b'-',
            _ => b.is_ascii_digit(),
        })
        && text.parse::<jiff::civil::Date>().is_ok()
}

impl fmt::Display for Date {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.pad(&self.0)
    }
}

impl fmt::Display for LogDate {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.pad(&self.0)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn only_days_of_the_calendar_are_dates() {
        assert!(Date::parse("2004-02-29").is_ok());
        for text in [
            "2003-02-29",
            "2004-2-9",
            "29.02.2004",
            "2004",
            "",
            "2004-02-29T10:00",
            "２００４-02-29",
        ] {
            assert!(Date::parse(text).is_err(), "{text}");
        }
    }

    #[test]
    fn a_log_date_may_be_a_year_a_month_or_blank_and_sorts_as_text() {
        let at = |text| LogDate::parse(text).expect(text);
        assert!(
            at("") < at("1999") && at("1999") < at("1999-04") && at("1999-04") < at("1999-04-02")
        );
        assert!(LogDate::parse("1999-13").is_err());
        assert!(LogDate::parse("spring").is_err());
    }

    #[test]
    fn the_short_form_is_the_same_day_and_a_bare_year_is_told_what_to_type() {
        assert_eq!(Date::parse("20040630"), Date::parse("2004-06-30"));
        assert_eq!(LogDate::parse("20040630"), LogDate::parse("2004-06-30"));
        assert!(Date::parse("20041331").is_err());
        let why = Date::parse("2004").expect_err("no day").to_string();
        assert!(why.contains("such as 2004-06-30, or leave the cell blank"), "{why}");
    }
}
