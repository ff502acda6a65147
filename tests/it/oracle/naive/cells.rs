//! What a cell holds (tables page, rules for every table). `None` is a cell that cannot be read.

use rust_decimal::Decimal;
use std::collections::BTreeMap;

/// A row of a table: column to the text of its cell. A missing cell is blank.
pub type Row = BTreeMap<String, String>;
/// All tables: table name to its rows in table order.
pub type Tables = BTreeMap<String, Vec<Row>>;
/// A key or part number as it compares.
pub type Key = String;

pub fn cell<'a>(row: &'a Row, column: &str) -> &'a str {
    row.get(column).map_or("", |text| text.trim())
}

/// Keys compare without case.
pub fn key(text: &str) -> Key {
    text.trim().to_lowercase()
}

pub fn key_if_any(text: &str) -> Option<Key> {
    (!text.trim().is_empty()).then(|| key(text))
}

/// Part numbers compare without case, spaces, dots, hyphens and slashes.
pub fn part_key(text: &str) -> Key {
    text.to_lowercase()
        .chars()
        .filter(|c| !c.is_whitespace() && !['.', '-', '/'].contains(c))
        .collect()
}

/// List cells separate items with `;`.
pub fn list(text: &str) -> Vec<&str> {
    text.split(';').map(str::trim).filter(|item| !item.is_empty()).collect()
}

pub fn keys(text: &str) -> Vec<Key> {
    list(text).into_iter().map(key).collect()
}

pub fn decimal(text: &str) -> Option<Decimal> {
    let text = text.trim();
    let is_plain = !text.is_empty() && text.chars().all(|c| c.is_ascii_digit() || c == '.');
    if is_plain { text.parse().ok() } else { None }
}

pub fn yes_or_no(text: &str) -> Option<Option<bool>> {
    match key(text).as_str() {
        "yes" => Some(Some(true)),
        "no" => Some(Some(false)),
        "" => Some(None),
        _ => None,
    }
}

/// One of some words, or blank (the empty word).
pub fn word(text: &str, words: &[&'static str]) -> Option<&'static str> {
    if text.trim().is_empty() {
        return Some("");
    }
    words.iter().find(|word| **word == key(text)).copied()
}

/// Dates are ISO 8601, and `20261003` is read, too; in the log, a bare year or blank as well. As text without hyphens a blank
/// date comes first, and a bare year before that year's days.
pub fn date(text: &str) -> Option<String> {
    let digits: String = text.trim().chars().filter(|c| *c != '-').collect();
    let part = |from: usize, to: usize| digits[from..to].parse::<u32>().unwrap_or(0);
    let is_number = digits.chars().all(|c| c.is_ascii_digit());
    let is_date = is_number
        && match digits.len() {
            0 | 4 => true,
            8 => (1..=12).contains(&part(4, 6)) && (1..=31).contains(&part(6, 8)),
            _ => false,
        };
    is_date.then_some(digits)
}

/// A number and its unit, as typed.
#[derive(Debug, Clone)]
pub struct Quantity {
    pub number: Decimal,
    pub unit: &'static str,
}

/// Unit, kind, and size in the smallest unit of its kind.
const UNITS: [(&str, &str, i64); 7] = [
    ("each", "count", 1),
    ("L", "volume", 1000),
    ("ml", "volume", 1),
    ("kg", "mass", 1000),
    ("g", "mass", 1),
    ("m", "length", 1000),
    ("mm", "length", 1),
];

pub fn unit(text: &str) -> Option<&'static str> {
    let found = UNITS.iter().find(|(name, _, _)| name.eq_ignore_ascii_case(text.trim()));
    found.map(|(name, _, _)| *name)
}

fn kind_and_size(unit: &str) -> (&'static str, Decimal) {
    let (_, kind, size) = UNITS.iter().find(|(name, _, _)| *name == unit).unwrap();
    (*kind, Decimal::from(*size))
}

impl Quantity {
    pub fn each(number: Decimal) -> Quantity {
        Quantity { number, unit: "each" }
    }

    /// A positive decimal and an optional unit. A quantity without a unit is in `each`.
    pub fn read(text: &str) -> Option<Quantity> {
        let text = text.trim();
        let digits = text.find(|c: char| !c.is_ascii_digit() && c != '.').unwrap_or(text.len());
        let (number, rest) = text.split_at(digits);
        let number = decimal(number).filter(|number| !number.is_zero())?;
        let unit = if rest.trim().is_empty() { "each" } else { unit(rest)? };
        Some(Quantity { number, unit })
    }

    /// Blank is `Some(None)`.
    pub fn read_or_blank(text: &str) -> Option<Option<Quantity>> {
        if text.trim().is_empty() { Some(None) } else { Quantity::read(text).map(Some) }
    }

    /// Units of one kind convert.
    pub fn number_in(&self, other: &str) -> Option<Decimal> {
        let (kind, size) = kind_and_size(self.unit);
        let (other_kind, other_size) = kind_and_size(other);
        (kind == other_kind).then(|| self.number * size / other_size)
    }

    pub fn is_as_much_as(&self, other: &Quantity) -> bool {
        other.number_in(self.unit) == Some(self.number)
    }

    pub fn is_less_than(&self, other: &Quantity) -> bool {
        self.number_in(other.unit).is_some_and(|number| number < other.number)
    }

    pub fn times(&self, factor: Decimal) -> Quantity {
        Quantity { number: self.number * factor, unit: self.unit }
    }
}

/// A part cell of a position, a log row or a job line.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Fitted {
    /// `-`
    Nothing,
    /// A blank part is one that nobody has looked up yet.
    NotLookedUp,
    Part(Key),
}

impl Fitted {
    pub fn read(text: &str) -> Fitted {
        match text.trim() {
            "-" => Fitted::Nothing,
            "" => Fitted::NotLookedUp,
            number => Fitted::Part(part_key(number)),
        }
    }

    pub fn part(&self) -> Option<&Key> {
        match self {
            Fitted::Part(part) => Some(part),
            _ => None,
        }
    }
}

/// One item of a `needs` cell of a supersession or retrofit.
#[derive(Debug, Clone)]
pub enum Need {
    Renew { position: Key },
    LeaveEmpty { position: Key },
    Fit { position: Key, part: Key, quantity: Option<Quantity> },
}

impl Need {
    /// `position`, `position=part`, `position=part*3`, `position=-`.
    pub fn read(item: &str) -> Option<Need> {
        let Some((position, part)) = item.split_once('=') else {
            return Some(Need::Renew { position: key_if_any(item)? });
        };
        let position = key_if_any(position)?;
        if part.trim() == "-" {
            return Some(Need::LeaveEmpty { position });
        }
        let (part, quantity) = match part.split_once('*') {
            Some((part, quantity)) => (part, Some(Quantity::read(quantity)?)),
            None => (part, None),
        };
        let part = part_key(part);
        (!part.is_empty()).then_some(Need::Fit { position, part, quantity })
    }

    pub fn read_all(text: &str) -> Option<Vec<Need>> {
        list(text).into_iter().map(Need::read).collect()
    }

    pub fn is_like(&self, other: &Need) -> bool {
        match (self, other) {
            (Need::Renew { position }, Need::Renew { position: other })
            | (Need::LeaveEmpty { position }, Need::LeaveEmpty { position: other }) => {
                position == other
            }
            (
                Need::Fit { position, part, quantity },
                Need::Fit { position: at, part: number, quantity: amount },
            ) => {
                let same_amount = match (quantity, amount) {
                    (None, None) => true,
                    (Some(one), Some(other)) => one.is_as_much_as(other),
                    _ => false,
                };
                position == at && part == number && same_amount
            }
            _ => false,
        }
    }
}

/// Lists in any order.
pub fn are_alike<T>(one: &[T], other: &[T], alike: impl Fn(&T, &T) -> bool) -> bool {
    let within =
        |some: &[T], all: &[T]| some.iter().all(|item| all.iter().any(|any| alike(item, any)));
    within(one, other) && within(other, one)
}

/// A **uses** item is `part=quantity` or `part=as-needed` (`None`).
pub type Use = (Key, Option<Quantity>);

pub fn uses(text: &str) -> Option<Vec<Use>> {
    let one = |item: &str| {
        let (part, amount) = item.rsplit_once('=')?;
        let amount = match key(amount).as_str() {
            "as-needed" => None,
            _ => Some(Quantity::read(amount)?),
        };
        (!part_key(part).is_empty()).then(|| (part_key(part), amount))
    };
    list(text).into_iter().map(one).collect()
}

/// A size or reading of one feature, in millimetres unless it says otherwise; inches convert exactly.
pub fn gauge(text: &str) -> Option<Decimal> {
    let text = key(text);
    match text.strip_suffix("in") {
        Some(inches) => Some(decimal(inches)? * Decimal::new(254, 1)),
        None => decimal(text.strip_suffix("mm").unwrap_or(&text)),
    }
}

pub fn gauge_or_blank(text: &str) -> Option<Option<Decimal>> {
    if text.trim().is_empty() { Some(None) } else { gauge(text).map(Some) }
}

/// Whether a torque has an angle stage: `20 N·m; +90°`.
pub fn torque_has_angle(text: &str) -> Option<bool> {
    let mut has_angle = false;
    for stage in list(text) {
        match stage.trim_start_matches('+').strip_suffix('°') {
            Some(degrees) => {
                decimal(degrees)?;
                has_angle = true;
            }
            None => {
                let digits = stage.find(|c: char| !c.is_ascii_digit() && c != '.')?;
                decimal(&stage[..digits])?;
                let units = ["N·m", "kgf·m", "lbf·ft", "lbf·in"];
                if !units.contains(&stage[digits..].trim()) {
                    return None;
                }
            }
        }
    }
    Some(has_angle)
}
