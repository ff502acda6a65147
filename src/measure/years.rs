use super::Unreadable;
use super::range::{Range, parse_ranges, show_ranges, typed_form};
use serde::{Deserialize, Serialize};
use std::fmt;

/// A model year or year of manufacture, written with four digits (1000 to 9999).
pub type Year = u16;

/// The years from one to another, both included; an open end has no limit.
pub type YearRange = Range<Year>;

/// One or more ranges of years: `1999`, `1999..2003`, `2004..`, `..1998`, several separated by `;`. A hyphen is read, too.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct YearRanges(Vec<YearRange>);

const WHAT: &str = "year or range of years";

impl YearRanges {
    /// Reads a list of ranges; at least one.
    ///
    /// # Errors
    /// A part that is no year of four digits, or a range that runs backwards.
    pub fn parse(text: &str) -> Result<Self, Unreadable> {
        Ok(YearRanges(parse_ranges(text, WHAT, "1999-2003", parse_range)?))
    }

    /// Gives the form in which one range said in words is typed: `1996..` for `from 1996`. `None` where it is not said in
    /// words.
    pub fn typed_form(said: &str) -> Option<String> {
        typed_form(said, beside)
    }

    /// Tells whether a year lies in one of the ranges.
    pub fn contains(&self, year: Year) -> bool {
        self.0.iter().any(|range| {
            range.from.is_none_or(|from| from <= year) && range.to.is_none_or(|to| year <= to)
        })
    }

    /// Gives the ranges in the order typed.
    pub fn ranges(&self) -> &[YearRange] {
        &self.0
    }
}

/// Reads one year of four digits.
///
/// # Errors
/// Anything else, with a word on letters typed for digits.
pub(crate) fn parse_year(text: &str) -> Result<Year, Unreadable> {
    let text = text.trim();
    if text.len() == 4
        && text.bytes().all(|b| b.is_ascii_digit())
        && !text.starts_with('0')
        && let Ok(year) = text.parse()
    {
        return Ok(year);
    }
    let looks_like_digits = text.len() == 4 && text.chars().any(|c| "OolI".contains(c));
    let hint = if looks_like_digits {
        "a letter stands where a digit should; type four digits"
    } else {
        "type four digits, as in 1999, 1999-2003, 2004.. or ..1998"
    };
    Err(Unreadable::new("year", text, hint))
}

/// The year after this one, or the one before it.
fn beside(year: &str, after: bool) -> Option<String> {
    let year = parse_year(year).ok()?;
    Some(if after { year.checked_add(1)? } else { year.checked_sub(1)? }.to_string())
}

fn parse_range(item: &str) -> Result<YearRange, Unreadable> {
    if let Some(form) = YearRanges::typed_form(item) {
        return Err(Unreadable::new(WHAT, item, format!("type it as {form}")));
    }
    let Some((from, to)) = item.split_once("..").or_else(|| item.split_once(['-', '–'])) else {
        let year = parse_year(item)?;
        return Ok(YearRange { from: Some(year), to: Some(year) });
    };
    let end = |text: &str| match text.trim() {
        "" => Ok(None),
        year => parse_year(year).map(Some),
    };
    let range = YearRange { from: end(from)?, to: end(to)? };
    match (range.from, range.to) {
        (None, None) => {
            Err(Unreadable::new(WHAT, item, "give at least one end, such as 2004.. or ..1998"))
        }
        (Some(from), Some(to)) if from > to => {
            Err(Unreadable::new(WHAT, item, format!("the range runs backwards; type {to}-{from}")))
        }
        _ => Ok(range),
    }
}

impl fmt::Display for YearRanges {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        show_ranges(&self.0, f)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    #[test]
    fn every_form_of_range_holds_what_it_says() {
        let holds = |text: &str, year| YearRanges::parse(text).expect(text).contains(year);
        assert!(holds("1999", 1999) && !holds("1999", 2000));
        assert!(holds("1999-2003", 2003) && !holds("1999-2003", 2004));
        assert!(holds("2004-", 2030) && !holds("2004-", 2003));
        assert!(holds("-1998", 1950) && !holds("-1998", 1999));
        assert!(holds("1990; 1995-1996", 1996) && !holds("1990; 1995-1996", 1991));
        assert!(holds("1999..2003", 2003) && !holds("1999 .. 2003", 2004));
        assert!(holds("2004..", 2030) && !holds("2004..", 2003));
        assert!(holds("..1998", 1950) && !holds("..1998", 1999));
    }

    #[test]
    fn a_letter_typed_for_a_digit_is_pointed_out() {
        let error = YearRanges::parse("20O4").expect_err("a letter");
        assert!(error.to_string().contains("a letter stands where a digit should"), "{error}");
    }

    #[test]
    fn years_said_in_words_are_refused_with_the_form_to_type() {
        for (said, form) in [
            ("up to 1980", "..1980"),
            ("before 1981", "..1980"),
            ("after 1980", "1981.."),
            ("from 1981", "1981.."),
            ("1981 on", "1981.."),
            ("<1981", "..1980"),
            ("1981 to 1983", "1981..1983"),
        ] {
            let error = YearRanges::parse(said).expect_err(said).to_string();
            assert!(error.contains(&format!("type it as {form}")), "{said}: {error}");
            assert!(YearRanges::parse(form).is_ok(), "{form}");
        }
    }

    #[test]
    fn what_is_no_range_is_refused() {
        for text in ["", ";", "-", "99", "2003-1999", "1999-2003-2005", "0999", "１９９９", "199９"]
        {
            assert!(YearRanges::parse(text).is_err(), "{text}");
        }
    }

    proptest! {
        #[test]
        fn what_is_printed_parses_back(from in 1000u16..9999, span in 0u16..50, form in 0..4) {
            let text = match form {
                0 => format!("{from}"),
                1 => format!("{from}-{}", (from + span).min(9999)),
                2 => format!("{from}-"),
                _ => format!("-{from};{from}"),
            };
            let ranges = YearRanges::parse(&text).expect("well formed");
            prop_assert_eq!(YearRanges::parse(&ranges.to_string()), Ok(ranges));
        }
    }
}
