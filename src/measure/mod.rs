//! Small values that parse, print and compare: part numbers, quantities, sizes, years, serials, dates,
//! money and torques.
//!
//! This room knows nothing of tables or files. Every value that is printed parses back to an equal value.

mod date;
mod gauged;
mod interval;
mod key;
mod lengths;
mod money;
mod part_number;
mod quantity;
mod range;
pub(crate) mod said;
mod serial;
mod size;
mod thread;
mod tolerance;
mod torque;
mod unseen;
mod wear;
mod years;

pub use date::{Date, LogDate};
pub use gauged::{Gauged, is_never_none};
pub use interval::Interval;
pub use key::Key;
pub use lengths::{lengths_mm, lengths_on_a_bag};
pub use money::Money;
pub use part_number::PartNumber;
pub use quantity::{Kind, Quantity, Unit};
pub use range::Range;
pub use serial::{Serial, SerialRange, SerialRanges, Within};
pub use size::*;
pub use thread::ThreadedSize;
pub use tolerance::{Deviations, LARGEST_MM, NotTabulated, deviations, inches, standard_tolerance};
pub use torque::*;
pub use unseen::is_unseen;
pub use wear::{Wear, WearState};
pub(crate) use years::parse_year;
pub use years::{Year, YearRange, YearRanges};

use rust_decimal::Decimal;
use rust_decimal::prelude::ToPrimitive;
use std::borrow::Cow;
use std::fmt;

/// Tells which mark may separate the decimals of a number as typed.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum DecimalMark {
    /// Only a point: `0.35`.
    Point,
    /// A point or a comma: `0.35` and `0,35` (in a file whose cells are separated by `;`).
    PointOrComma,
}

/// Says why a text is not a value of the kind wanted, and what to type instead.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Unreadable {
    /// The kind of value that was wanted, such as `size`.
    pub what: &'static str,
    /// The text that was found.
    pub found: String,
    /// What to do about it, as a phrase without a full stop.
    pub hint: String,
}

impl Unreadable {
    /// Makes the statement that `found` is no `what`, with a hint.
    pub fn new(what: &'static str, found: &str, hint: impl Into<String>) -> Self {
        Unreadable { what, found: shorten(found), hint: hint.into() }
    }
}

impl fmt::Display for Unreadable {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "`{}` is no {}: {}", self.found, self.what, self.hint)
    }
}

impl std::error::Error for Unreadable {}

/// Cuts a cell that is too long for a message down to its first 60 characters, on one line.
pub fn shorten(text: &str) -> String {
    const MOST: usize = 60;
    let mut shown: String =
        text.chars().take(MOST).map(|c| if acts(c) || c == '\n' { ' ' } else { c }).collect();
    if text.chars().nth(MOST).is_some() {
        shown.push('…');
    }
    shown
}

/// Tells whether a character would act on a terminal, or turn the direction of a page, instead of being read.
///
/// Marks that turn the direction of writing can make a number read backwards. The last range is of no character at all:
/// programs use it for marks of their own.
pub fn acts(c: char) -> bool {
    (c.is_control() && c != '\n')
        || matches!(c, '\u{61c}' | '\u{200e}' | '\u{200f}' | '\u{2028}'..='\u{202e}' | '\u{2066}'..='\u{2069}')
        || matches!(c, '\u{fdd0}'..='\u{fdef}')
}

/// Gives a character as it may be printed: a space for what would act on a terminal, nothing for what takes no room.
pub fn printed(c: char) -> Option<char> {
    if !acts(c) {
        Some(c)
    } else if is_unseen(c) && !c.is_control() {
        None
    } else {
        Some(' ')
    }
}

/// Takes out what would act on a terminal or turn the direction of a page instead of being read: a catalog may come
/// from somebody else.
pub fn printable(text: &str) -> Cow<'_, str> {
    if text.contains(acts) { text.chars().filter_map(printed).collect() } else { text.into() }
}

/// Reads a plain decimal: digits with an optional sign and one decimal mark.
///
/// No exponent, no thousands mark, at most 28 digits in all (what the exact decimal holds); anything else is `None`.
pub fn parse_decimal(text: &str, mark: DecimalMark) -> Option<Decimal> {
    let text = text.trim();
    let (sign, digits) = match text.strip_prefix('-').or_else(|| text.strip_prefix('−')) {
        Some(rest) => ("-", rest),
        None => ("", text.strip_prefix('+').unwrap_or(text)),
    };
    let mut plain = String::with_capacity(digits.len() + 1);
    plain.push_str(sign);
    let mut marks = 0;
    let mut figures = 0;
    for c in digits.chars() {
        match c {
            '0'..='9' => {
                figures += 1;
                plain.push(c);
            }
            '.' => {
                marks += 1;
                plain.push('.');
            }
            ',' if mark == DecimalMark::PointOrComma => {
                marks += 1;
                plain.push('.');
            }
            _ => return None,
        }
    }
    if marks > 1 || figures == 0 || figures > 28 {
        return None;
    }
    if plain.ends_with('.') {
        plain.push('0');
    }
    Decimal::from_str_exact(&plain).ok()
}

/// Gives a decimal as a JSON number: whole numbers whole, others as the nearest double.
pub fn json_number(value: Decimal) -> serde_json::Value {
    let value = value.normalize();
    match value.to_i64() {
        Some(whole) if value.scale() == 0 => serde_json::Value::from(whole),
        _ => serde_json::Value::from(value.to_string().parse::<f64>().unwrap_or(f64::MAX)),
    }
}

/// Prints a decimal without trailing zeros.
pub fn plain(value: Decimal) -> String {
    value.normalize().to_string()
}
