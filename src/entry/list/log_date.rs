//! When something was done, as the keeper of a logbook writes it who was not there: `unknown`, `ca. 1998`.
//!
//! It knows the words for a date that nobody can give, and nothing of the row around it.

use crate::entry::pattern::{Pattern, pattern};
use std::sync::LazyLock;

/// A date for the work log, and what it stood for.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) enum LoggedWhen {
    /// Nobody knows: an earlier owner's work.
    Unknown,
    /// A bare year out of words that say no more, or do not say it surely.
    Year(String),
    /// Anything else: a date that is written out, or one that cannot be read.
    Written,
}

static ONE_YEAR: Pattern = LazyLock::new(|| pattern(r"\b((?:19|20)\d{2})\b"));

/// Words around a year that leave it the year. Source: common practice, no source.
const ABOUT: &[&str] = &[
    "about",
    "approx",
    "approximately",
    "around",
    "c",
    "ca",
    "circa",
    "early",
    "end",
    "in",
    "late",
    "mid",
    "maybe",
    "or",
    "perhaps",
    "probably",
    "roughly",
    "so",
    "some",
    "sometime",
    "year",
    "um",
    "etwa",
    "vers",
    "spring",
    "summer",
    "autumn",
    "fall",
    "winter",
    "jan",
    "january",
    "feb",
    "february",
    "mar",
    "march",
    "apr",
    "april",
    "may",
    "jun",
    "june",
    "jul",
    "july",
    "aug",
    "august",
    "sep",
    "sept",
    "september",
    "oct",
    "october",
    "nov",
    "november",
    "dec",
    "december",
];

/// What is written where nobody knows. Source: common practice, no source.
const NOBODY_KNOWS: &[&str] = &[
    "unknown",
    "not known",
    "n/k",
    "nk",
    "no date",
    "undated",
    "n/a",
    "na",
    "unbekannt",
    "inconnu",
    "inconnue",
    "earlier owner",
    "previous owner",
    "prev owner",
    "last owner",
    "first owner",
    "po",
    "before me",
    "before my time",
    "long ago",
];

/// Tells what stands in the date of a line of somebody's log. A blank cell is [`LoggedWhen::Unknown`].
pub(super) fn logged_when(text: &str) -> LoggedWhen {
    let lower = text.trim().to_lowercase();
    let plain = lower.trim_matches(['.', '?', '-', '–', '—', '(', ')', ' ']);
    if plain.is_empty() || NOBODY_KNOWS.contains(&plain) {
        return LoggedWhen::Unknown;
    }
    let mut years = ONE_YEAR.find_iter(&lower);
    let (Some(year), None) = (years.next(), years.next()) else { return LoggedWhen::Written };
    let around = format!(
        "{} {}",
        lower.get(..year.start()).unwrap_or_default(),
        lower.get(year.end()..).unwrap_or_default()
    );
    // `1998` itself and `14.3.2011` are dates; `before 1998` and `1990s` are not that year.
    let marks = around.contains(['?', '~', '≈', '±']);
    let mut words =
        around.split(|c: char| !c.is_alphanumeric()).filter(|word| !word.is_empty()).peekable();
    if !marks && words.peek().is_none() {
        return LoggedWhen::Written;
    }
    if words.all(|word| ABOUT.contains(&word)) {
        LoggedWhen::Year(year.as_str().to_owned())
    } else {
        LoggedWhen::Written
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_date_that_nobody_knows_is_blank_and_a_rough_one_is_its_year() {
        for text in ["", " ", "?", "??", "unknown", "Unknown.", "previous owner", "-", "n/a"] {
            assert_eq!(logged_when(text), LoggedWhen::Unknown, "{text}");
        }
        for text in [
            "ca. 1998",
            "c. 1998",
            "circa 1998",
            "1998?",
            "~1998",
            "about 1998",
            "spring 1998",
            "1998 or so",
        ] {
            assert_eq!(logged_when(text), LoggedWhen::Year("1998".into()), "{text}");
        }
        for text in [
            "1998",
            "14/03/2011",
            "2011-03-14",
            "before 1998",
            "1990s",
            "1998 or 1999",
            "98",
            "until 1998",
        ] {
            assert_eq!(logged_when(text), LoggedWhen::Written, "{text}");
        }
    }
}
