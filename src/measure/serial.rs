use super::Unreadable;
use super::range::{Range, parse_ranges, show_ranges, typed_form};
use serde::{Deserialize, Serialize};
use std::cmp::Ordering;
use std::fmt;

/// A serial number: `0G123456A` has the prefix `0G`, the number 123456 and the suffix `A`.
///
/// The prefix is everything before the last run of digits, the suffix everything after it. Both compare without case
/// and spaces; serials of which either differs cannot be compared.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct Serial {
    shown: Box<str>,
    prefix: Box<str>,
    suffix: Box<str>,
    /// The last run of digits without leading zeros; compared by length, then text, so that no serial is too long.
    digits: Box<str>,
}

/// The serials from one to another, both included; an open end has no limit.
pub type SerialRange = Range<Serial>;

/// One or more ranges of serials: `B1200..B4999`, `B1200..`, `..B4999`, several separated by `;`. A hyphen is read, too.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct SerialRanges(Vec<SerialRange>);

/// Tells whether a serial lies within a range, as far as the two can be compared.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Within {
    /// It does.
    Yes,
    /// It does not.
    No,
    /// The prefixes or the suffixes are unlike.
    NotComparable,
}

impl Serial {
    /// Reads a serial; `None` where it holds no digit, so that nothing can be compared.
    pub fn parse(text: &str) -> Option<Self> {
        let text = text.trim();
        let end = text.rfind(|c: char| c.is_ascii_digit())? + 1;
        let start = text[..end]
            .rfind(|c: char| !c.is_ascii_digit())
            .map_or(0, |i| i + text[i..].chars().next().map_or(1, char::len_utf8));
        Some(Serial {
            shown: text.into(),
            prefix: folded(&text[..start]),
            suffix: folded(&text[end..]),
            digits: text[start..end].trim_start_matches('0').into(),
        })
    }

    /// Gives the serial as typed.
    pub fn as_str(&self) -> &str {
        &self.shown
    }

    /// Tells which serial comes first; `None` where the prefixes or the suffixes are unlike.
    pub fn compare(&self, other: &Serial) -> Option<Ordering> {
        (self.prefix == other.prefix && self.suffix == other.suffix)
            .then(|| (self.digits.len(), &*self.digits).cmp(&(other.digits.len(), &*other.digits)))
    }
}

fn folded(text: &str) -> Box<str> {
    text.chars().filter(|c| !c.is_whitespace()).flat_map(char::to_lowercase).collect()
}

impl fmt::Display for Serial {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.pad(&self.shown)
    }
}

impl SerialRange {
    fn holds(&self, serial: &Serial) -> Within {
        for (limit, beyond) in [(&self.from, Ordering::Less), (&self.to, Ordering::Greater)] {
            let Some(limit) = limit else { continue };
            match serial.compare(limit) {
                None => return Within::NotComparable,
                Some(order) if order == beyond => return Within::No,
                Some(_) => {}
            }
        }
        Within::Yes
    }
}

const WHAT: &str = "range of serials";

impl SerialRanges {
    /// Reads a list of ranges; at least one.
    ///
    /// # Errors
    /// A limit without digits, or a range that runs backwards.
    pub fn parse(text: &str) -> Result<Self, Unreadable> {
        Ok(SerialRanges(parse_ranges(text, WHAT, "B1200-B4999", parse_range)?))
    }

    /// Tells whether a serial lies in one of the ranges.
    pub fn holds(&self, serial: &Serial) -> Within {
        let mut answer = Within::No;
        for range in &self.0 {
            match range.holds(serial) {
                Within::Yes => return Within::Yes,
                Within::NotComparable => answer = Within::NotComparable,
                Within::No => {}
            }
        }
        answer
    }

    /// Gives the form in which one range said in words is typed: `B30000..` for `from B30000`. `None` where it is not said
    /// in words.
    pub fn typed_form(said: &str) -> Option<String> {
        typed_form(said, beside)
    }

    /// Gives the ranges in the order typed.
    pub fn ranges(&self) -> &[SerialRange] {
        &self.0
    }
}

/// The serial after this one, or the one before it, with as many digits.
fn beside(serial: &str, after: bool) -> Option<String> {
    let start = serial.rfind(|c: char| !c.is_ascii_digit()).map_or(0, |at| at + 1);
    let (prefix, digits) = (serial.get(..start)?, serial.get(start..)?);
    let number: u128 = digits.parse().ok()?;
    let other = if after { number.checked_add(1)? } else { number.checked_sub(1)? };
    Some(format!("{prefix}{other:0width$}", width = digits.len()))
}

/// Two limits with dots between them, either of which may be missing.
fn between(
    from: &str,
    to: &str,
    one: impl Fn(&str) -> Result<Serial, Unreadable>,
    refuse: impl Fn(&str) -> Unreadable,
) -> Result<SerialRange, Unreadable> {
    let limit = |text: &str| if text.is_empty() { Ok(None) } else { one(text).map(Some) };
    let range = SerialRange { from: limit(from)?, to: limit(to)? };
    match (&range.from, &range.to) {
        (None, None) => Err(refuse("give at least one end, such as B1200.. or ..B4999")),
        (Some(from), Some(to)) if from.compare(to) == Some(Ordering::Greater) => {
            Err(refuse("the range runs backwards; type the lower serial first"))
        }
        _ => Ok(range),
    }
}

fn parse_range(item: &str) -> Result<SerialRange, Unreadable> {
    let refuse = |hint: &str| Unreadable::new(WHAT, item, hint);
    let dash = |c: char| c == '-' || c == '–';
    // As a serial, `to 29999` would have the prefix `to ` and compare with nothing.
    if let Some(form) = SerialRanges::typed_form(item) {
        return Err(refuse(&format!("type it as {form}")));
    }
    let one =
        |text: &str| Serial::parse(text).ok_or_else(|| refuse("a limit needs at least one digit"));
    if let Some((from, to)) = item.split_once("..") {
        return between(from.trim(), to.trim(), one, refuse);
    }
    if let Some(rest) = item.strip_suffix(dash) {
        return Ok(SerialRange { from: Some(one(rest)?), to: None });
    }
    // A serial may hold hyphens itself, so the hyphen that parts two serials of one prefix is looked for first.
    let mut unlike = None;
    let mut backwards = false;
    for (i, c) in item.char_indices().filter(|(_, c)| dash(*c)) {
        let (Some(from), Some(to)) =
            (Serial::parse(&item[..i]), Serial::parse(&item[i + c.len_utf8()..]))
        else {
            continue;
        };
        match from.compare(&to) {
            None => unlike = unlike.or(Some(SerialRange { from: Some(from), to: Some(to) })),
            Some(Ordering::Greater) => backwards = true,
            Some(_) => return Ok(SerialRange { from: Some(from), to: Some(to) }),
        }
    }
    if backwards {
        return Err(refuse("the range runs backwards; type the lower serial first"));
    }
    if let Some(rest) = item.strip_prefix(dash) {
        return Ok(SerialRange { from: None, to: Some(one(rest)?) });
    }
    // Nothing can be compared with both limits, so such a range settles nothing; the kit will ask.
    if let Some(range) = unlike {
        return Ok(range);
    }
    let serial = one(item)?;
    Ok(SerialRange { from: Some(serial.clone()), to: Some(serial) })
}

impl fmt::Display for SerialRanges {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        show_ranges(&self.0, f)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn holds(range: &str, serial: &str) -> Within {
        SerialRanges::parse(range).expect(range).holds(&Serial::parse(serial).expect(serial))
    }

    #[test]
    fn the_prefix_is_everything_before_the_last_run_of_digits_the_suffix_what_follows() {
        assert_eq!(holds("0G100000-0G200000", "0G123456"), Within::Yes);
        assert_eq!(holds("0G100000-0G200000", "0H123456"), Within::NotComparable);
        assert_eq!(holds("B1200-B4999", "b4999"), Within::Yes);
        assert_eq!(holds("B1200-B4999", "B5000"), Within::No);
        assert_eq!(holds("B1200..B4999", "B5000"), Within::No);
        assert_eq!(holds("B1200..", "B5000"), Within::Yes);
        assert_eq!(holds("..B4999", "B5000"), Within::No);
        assert_eq!(holds("B1200-", "B99999999999999999999999999999999"), Within::Yes);
        assert_eq!(holds("-B4999", "B0012"), Within::Yes);
        assert_eq!(holds("A-1200-A-4999", "A-1300"), Within::Yes);
        assert_eq!(holds("100-200; 0G5-", "150"), Within::Yes);
        assert_eq!(holds("B1200..B4999", "B5000"), Within::No);
        assert_eq!(holds("B1200..", "B5000"), Within::Yes);
        assert_eq!(holds("..B-4999", "B-12"), Within::Yes);
        assert_eq!(holds("0G100000A-0G200000A", "0g 123456 a"), Within::Yes);
        assert_eq!(holds("0G100000-0G200000", "0G123456A"), Within::NotComparable);
        assert_eq!(holds("0G100000A-", "0G99999A"), Within::No);
    }

    #[test]
    fn a_list_with_one_unlike_prefix_is_unsure_unless_another_range_holds_it() {
        assert_eq!(holds("A1-A9; B1-B9", "B5"), Within::Yes);
        assert_eq!(holds("A1-A9; B1-B9", "B50"), Within::NotComparable);
    }

    #[test]
    fn a_range_between_unlike_prefixes_settles_nothing_between_them() {
        assert_eq!(holds("A100-B200", "A150"), Within::NotComparable);
        assert_eq!(holds("A100-B200", "C150"), Within::NotComparable);
    }

    #[test]
    fn a_range_said_in_words_is_refused_with_the_form_to_type() {
        for (said, form) in [
            ("to 29999", "..29999"),
            ("up to B29999", "..B29999"),
            ("from 30000", "30000.."),
            ("30000 on", "30000.."),
            ("30000 onwards", "30000.."),
            ("B0300+", "B0300.."),
            ("<30000", "..29999"),
            ("before B0300", "..B0299"),
            ("after 29999", "30000.."),
            (">= 30000", "30000.."),
            ("from 30000 to 39999", "30000..39999"),
            ("B1 to B9", "B1..B9"),
        ] {
            let error = SerialRanges::parse(said).expect_err(said).to_string();
            assert!(error.contains(&format!("type it as {form}")), "{said}: {error}");
            assert!(SerialRanges::parse(form).is_ok(), "{form}");
        }
        // A prefix of letters is no word.
        assert_eq!(holds("TO100-TO200", "TO150"), Within::Yes);
        assert_eq!(holds("ON1-ON9", "ON5"), Within::Yes);
    }

    #[test]
    fn what_is_no_range_is_refused() {
        for text in ["", "-", "ABC", "B4999-B1200", "ABC-"] {
            assert!(SerialRanges::parse(text).is_err(), "{text}");
        }
    }

    proptest! {
        #[test]
        fn what_is_printed_parses_back(prefix in "[A-Z0-9]{0,2}[A-Z-]{0,2}", from in 0u32..99999, span in 0u32..9999, form in 0..4) {
            let to = from + span;
            let text = match form {
                0 => format!("{prefix}{from}"),
                1 => format!("{prefix}{from}-{prefix}{to}"),
                2 => format!("{prefix}{from}-"),
                _ => format!("-{prefix}{from}"),
            };
            if let Ok(ranges) = SerialRanges::parse(&text) {
                prop_assert_eq!(SerialRanges::parse(&ranges.to_string()), Ok(ranges));
            }
        }

        #[test]
        fn no_text_makes_it_panic(text in "\\PC*") {
            let _ = SerialRanges::parse(&text);
        }
    }
}
