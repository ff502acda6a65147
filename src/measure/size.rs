//! The size of one feature as a person types it: a length, a range, a length with its deviations, or a length with
//! a tolerance class.
//!
//! A size is kept as it was typed, so `7/64 in` stays a fraction of an inch and prints as one; the millimetres are
//! worked out from it without rounding (but for a fraction that has no end in decimals, such as a third). What a
//! tolerance class amounts to is not known here.

use super::{DecimalMark, Unreadable, parse_decimal};
use rust_decimal::Decimal;
use serde::{Deserialize, Deserializer, Serialize, Serializer, de};
use std::fmt;

/// The size of one feature of a part or a seat, kept as it was typed.
///
/// Two sizes are equal when they say the same in the same unit: `1/2 in` is not equal to `0.5 in`, nor to `12.7 mm`,
/// but `10`, `10.0` and `10 mm` are equal. To compare how large two sizes are, compare their millimetres.
///
/// Serialized as its printed text, so what is read back has passed [`Size::parse`].
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Size {
    stated: Stated,
    tolerance: Tolerance,
    unit: LengthUnit,
    nominal_mm: Decimal,
    limits_mm: Option<(Decimal, Decimal)>,
}

/// How far a feature may depart from the size that is stated.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub enum Tolerance {
    /// Nothing is said about it.
    None,
    /// The size itself is a range from its low to its high limit.
    Range,
    /// Upper and lower deviation from the nominal size, signed, in the unit of the size; the upper is the greater.
    Deviations {
        /// Added to the nominal size, gives the high limit.
        upper: Decimal,
        /// Added to the nominal size, gives the low limit.
        lower: Decimal,
    },
    /// A tolerance class, whose limits depend on the nominal size and have to be looked up.
    Class(ToleranceClass),
}

/// The unit in which a size was typed.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize, Deserialize)]
pub enum LengthUnit {
    /// Millimetres, also where no unit was typed.
    Millimetre,
    /// Inches of exactly 25.4 mm.
    Inch,
}

/// A tolerance class such as `h8` (a shaft) or `H7` (a hole), as typed: the letters and the grade.
///
/// The letters and the grade exist, but not every pair of them is tabulated for every size.
///
/// Serialized as its printed text, so what is read back has passed [`ToleranceClass::parse`].
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub struct ToleranceClass {
    letters: &'static str,
    grade: ToleranceGrade,
}

/// A standard tolerance grade: 01, 0 or 1 to 18, from the finest to the coarsest.
///
/// Source: the twenty grades of ISO 286-1:2010, from memory.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct ToleranceGrade(u8);

/// One or two lengths in the unit of the size.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Stated {
    At(Length),
    Between(Length, Length),
}

/// A positive number of units, or zero as the low end of a range.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Length {
    Decimal(Decimal),
    /// As typed and not reduced: `14/64` is kept so. The denominator is not zero.
    Fraction {
        whole: u32,
        numerator: u32,
        denominator: u32,
    },
}

const WHAT: &str = "size";

/// Millimetres in an inch: 25.4, exact. Source: NIST SP 811 (2008), appendix B.8.
const MILLIMETRES_PER_INCH: Decimal = Decimal::from_parts(254, 0, 0, false, 1);

/// Every number typed stays below this many units (1 km, or 25 km where inches were typed).
const TOO_LARGE: u32 = 1_000_000;

/// With six digits before the decimal mark and this many after it, the middle of a range typed in inches still
/// fits the 28 digits that are held exactly.
const MOST_DECIMALS: u32 = 18;

/// Letters for shafts, from the loosest. Source: ISO 286-1:2010 (i, l, o, q and w are left out), from memory.
const SHAFT_LETTERS: [&str; 28] = [
    "a", "b", "c", "cd", "d", "e", "ef", "f", "fg", "g", "h", "js", "j", "k", "m", "n", "p", "r",
    "s", "t", "u", "v", "x", "y", "z", "za", "zb", "zc",
];

/// Letters for holes, in the order of those for shafts.
const HOLE_LETTERS: [&str; 28] = [
    "A", "B", "C", "CD", "D", "E", "EF", "F", "FG", "G", "H", "JS", "J", "K", "M", "N", "P", "R",
    "S", "T", "U", "V", "X", "Y", "Z", "ZA", "ZB", "ZC",
];

const GRADES: [&str; 20] = [
    "01", "0", "1", "2", "3", "4", "5", "6", "7", "8", "9", "10", "11", "12", "13", "14", "15",
    "16", "17", "18",
];

/// Signs that a word processor, a spreadsheet or a keyboard layout puts for the plain ones.
const FRACTION_SIGNS: [(char, &str); 7] = [
    ('½', "1/2"),
    ('¼', "1/4"),
    ('¾', "3/4"),
    ('⅛', "1/8"),
    ('⅜', "3/8"),
    ('⅝', "5/8"),
    ('⅞', "7/8"),
];

const FORMS: &str =
    "write it like 10 mm, 7/64 in, 1 1/2 in, 9.98..10.02, 10 +0.02/-0.01, 10 ±0.02 or 10 h8";
const ONE_UNIT: &str = "use one unit for the whole size, mm or in";
const DEVIATIONS: &str =
    "write both deviations, the upper first and each with its sign: 10 +0.02/-0.01 or 10 +0.02/0";
const TOO_LONG: &str = "leave out digits: at most 18 decimals can be kept exactly";
const JOINED: &str = "an x between figures may join two lengths or begin a tolerance class; give one length, or write the class as in 20 x7";
const BEYOND: &str = "a size has at most six digits before the decimals";

impl Size {
    /// Reads the size of one feature.
    ///
    /// Forms: `10`, `10 mm`, `0.117 in`, `7/64 in`, `1 1/2 in`, `1-1/2 in`, the inch sign for `in`, a range
    /// `9.98..10.02`, deviations `10 +0.02/-0.01` (either order; an unsigned zero may stand for one) or `10 ±0.02`
    /// (also `+/-`), and a tolerance class `10 h8`. A unit at the end, or after the nominal size, holds for all of it;
    /// without one the size is in millimetres. Fractions are for inches only. The case of a tolerance class tells a
    /// shaft from a hole, that of a unit is of no account.
    ///
    /// A nominal size is more than zero; a low limit may be zero, as a gap may close, but not less.
    ///
    /// # Errors
    /// Any other text; a size of zero or less; a fraction over zero; a range or a pair of deviations that runs
    /// backwards or has no width; two lengths joined by an `x`; a number of a million or more, or with more than 18 decimals; and what could be
    /// meant in two ways (`10e8`, a fraction without a unit, a hyphen between two sizes).
    pub fn parse(text: &str, mark: DecimalMark) -> Result<Self, Unreadable> {
        Size::read(text, mark, false)
    }

    /// Reads a size as [`Size::parse`] does, and zero as well where that is allowed, plain or with an
    /// upper deviation.
    pub(super) fn read(
        text: &str,
        mark: DecimalMark,
        may_be_zero: bool,
    ) -> Result<Self, Unreadable> {
        let tidy = plain_signs(text);
        let mut reader = Reader { rest: tidy.trim(), mark, may_be_zero };
        reader.size().map_err(|hint| {
            let hint = if mark == DecimalMark::Point && text.contains(',') {
                "write the decimals after a point, as in 10.5".into()
            } else {
                hint
            };
            Unreadable::new(WHAT, text.trim(), hint)
        })
    }

    /// Gives the nominal size in millimetres; for a range, its middle.
    pub fn nominal_mm(&self) -> Decimal {
        self.nominal_mm
    }

    /// Gives the low and the high limit in millimetres.
    ///
    /// A bare size gives itself twice. `None` where a tolerance class has to be looked up first.
    pub fn limits_mm(&self) -> Option<(Decimal, Decimal)> {
        self.limits_mm
    }

    /// Gives the tolerance as typed.
    pub fn tolerance(&self) -> &Tolerance {
        &self.tolerance
    }

    /// Gives the unit as typed; millimetres where there was none.
    pub fn unit(&self) -> LengthUnit {
        self.unit
    }

    fn new(
        stated: Stated,
        tolerance: Tolerance,
        unit: LengthUnit,
        may_be_zero: bool,
    ) -> Result<Self, String> {
        let millimetres = |length: Length| length.millimetres(unit).ok_or(BEYOND);
        let (nominal_mm, limits_mm) = match (&stated, &tolerance) {
            (Stated::Between(low, high), _) => {
                let (low, high) = (millimetres(*low)?, millimetres(*high)?);
                if low == high {
                    return Err("both ends are the same; write one size, or correct one end".into());
                }
                if low > high {
                    return Err(format!("write the low end first, as in {}", stated.turned()));
                }
                let middle = low.checked_add(high).and_then(|sum| sum.checked_div(Decimal::TWO));
                (middle.ok_or(BEYOND)?.normalize(), Some((low, high)))
            }
            (Stated::At(nominal), Tolerance::Deviations { upper, lower }) => {
                let nominal = millimetres(*nominal)?;
                let limit = |deviation: Decimal| {
                    let deviation = unit.to_millimetres(deviation)?;
                    nominal.checked_add(deviation)
                };
                let (low, high) = (limit(*lower).ok_or(BEYOND)?, limit(*upper).ok_or(BEYOND)?);
                if may_be_zero && nominal.is_zero() && low < Decimal::ZERO {
                    return Err(
                        "nothing measures less than zero; write 0 +0.02/0 or 0..0.02".into()
                    );
                }
                if low < Decimal::ZERO || high <= Decimal::ZERO {
                    return Err(
                        "the deviations take away more than the size has; check them".into()
                    );
                }
                (nominal, Some((low, high)))
            }
            (Stated::At(nominal), Tolerance::Class(_)) => (millimetres(*nominal)?, None),
            (Stated::At(nominal), Tolerance::None | Tolerance::Range) => {
                let nominal = millimetres(*nominal)?;
                (nominal, Some((nominal, nominal)))
            }
        };
        let zero = may_be_zero && nominal_mm.is_zero() && !matches!(tolerance, Tolerance::Class(_));
        if nominal_mm <= Decimal::ZERO && !zero {
            return Err("a size is more than zero; leave the cell blank if it is not known".into());
        }
        Ok(Size { stated, tolerance, unit, nominal_mm, limits_mm })
    }
}

impl fmt::Display for Size {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let (stated, unit) = (&self.stated, self.unit);
        let text = match (&self.tolerance, unit) {
            (Tolerance::None | Tolerance::Range, _) => format!("{stated} {unit}"),
            (Tolerance::Deviations { upper, lower }, _) if *upper == -*lower => {
                format!("{stated} ±{upper} {unit}")
            }
            (Tolerance::Deviations { upper, lower }, _) => {
                format!("{stated} {}/{} {unit}", Signed(*upper), Signed(*lower))
            }
            // Drawings give tolerance classes in millimetres, and without saying so.
            (Tolerance::Class(class), LengthUnit::Millimetre) => format!("{stated} {class}"),
            (Tolerance::Class(class), LengthUnit::Inch) => format!("{stated} {unit} {class}"),
        };
        f.pad(&text)
    }
}

impl Serialize for Size {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        serializer.collect_str(self)
    }
}

impl<'de> Deserialize<'de> for Size {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        let text = String::deserialize(deserializer)?;
        Size::parse(&text, DecimalMark::Point).map_err(de::Error::custom)
    }
}

/// A deviation with its sign; zero has none.
struct Signed(Decimal);

impl fmt::Display for Signed {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        if self.0.is_zero() { f.write_str("0") } else { write!(f, "{:+}", self.0) }
    }
}

impl Stated {
    fn turned(&self) -> Self {
        match *self {
            Stated::At(nominal) => Stated::At(nominal),
            Stated::Between(low, high) => Stated::Between(high, low),
        }
    }
}

impl fmt::Display for Stated {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Stated::At(nominal) => write!(f, "{nominal}"),
            Stated::Between(low, high) => write!(f, "{low}..{high}"),
        }
    }
}

impl Length {
    fn is_fraction(self) -> bool {
        matches!(self, Length::Fraction { .. })
    }

    /// A fraction is multiplied before it is divided, so only one that has no end in decimals is rounded, at 28 digits.
    fn millimetres(self, unit: LengthUnit) -> Option<Decimal> {
        match self {
            Length::Decimal(value) => unit.to_millimetres(value),
            Length::Fraction { whole, numerator, denominator } => {
                let parts = u64::from(whole)
                    .checked_mul(u64::from(denominator))?
                    .checked_add(u64::from(numerator))?;
                let value = unit.to_millimetres(Decimal::from(parts))?;
                value.checked_div(Decimal::from(denominator)).map(|value| value.normalize())
            }
        }
    }
}

impl fmt::Display for Length {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Length::Decimal(value) => write!(f, "{value}"),
            Length::Fraction { whole: 0, numerator, denominator } => {
                write!(f, "{numerator}/{denominator}")
            }
            Length::Fraction { whole, numerator, denominator } => {
                write!(f, "{whole} {numerator}/{denominator}")
            }
        }
    }
}

impl LengthUnit {
    fn parse(word: &str) -> Option<Self> {
        match word.to_ascii_lowercase().as_str() {
            "mm" => Some(LengthUnit::Millimetre),
            "in" | "inch" | "inches" => Some(LengthUnit::Inch),
            _ => None,
        }
    }

    /// Gives the symbol.
    pub fn symbol(self) -> &'static str {
        match self {
            LengthUnit::Millimetre => "mm",
            LengthUnit::Inch => "in",
        }
    }

    /// Converts a number of this unit to millimetres; `None` where the figure grows beyond what a decimal holds.
    pub fn to_millimetres(self, value: Decimal) -> Option<Decimal> {
        match self {
            LengthUnit::Millimetre => Some(value),
            LengthUnit::Inch => {
                value.checked_mul(MILLIMETRES_PER_INCH).map(|value| value.normalize())
            }
        }
    }
}

impl fmt::Display for LengthUnit {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.pad(self.symbol())
    }
}

impl ToleranceClass {
    /// Reads a tolerance class such as `h8`, `H7` or `js6`. Small letters are for shafts, capitals for holes.
    ///
    /// # Errors
    /// Letters or a grade that do not exist, and letters of mixed case.
    pub fn parse(text: &str) -> Result<Self, Unreadable> {
        let found = text.trim();
        let end = found.find(|c: char| !c.is_ascii_alphabetic()).unwrap_or(found.len());
        // The end was found in this very text, so it lies between two characters.
        let (letters, grade) = found.split_at(end);
        Self::of(letters, grade.trim_start())
            .map_err(|hint| Unreadable::new("tolerance class", found, hint))
    }

    /// Gives the letters, such as `h` or `JS`.
    pub fn letters(self) -> &'static str {
        self.letters
    }

    /// Gives the grade.
    pub fn grade(self) -> ToleranceGrade {
        self.grade
    }

    /// Tells whether the class is one for holes, that is, has capital letters.
    pub fn is_hole(self) -> bool {
        self.letters.starts_with(|c: char| c.is_ascii_uppercase())
    }

    fn of(letters: &str, grade: &str) -> Result<Self, String> {
        let known = |wanted: &str| {
            SHAFT_LETTERS.into_iter().chain(HOLE_LETTERS).find(|known| *known == wanted)
        };
        let Some(letters) = known(letters) else {
            return Err(match known(&letters.to_ascii_uppercase()) {
                Some(capitals) => {
                    format!(
                        "write {} for a shaft or {capitals} for a hole",
                        capitals.to_ascii_lowercase()
                    )
                }
                None => "those letters are neither a unit (mm, in) nor a tolerance class (h8, H7)"
                    .into(),
            });
        };
        if grade.is_empty() {
            return Err(format!(
                "{letters} is no unit (mm, in); if it begins a tolerance class, add the grade, as in {letters}7"
            ));
        }
        match GRADES.iter().zip(0..).find(|(known, _)| **known == grade) {
            Some((_, place)) => Ok(ToleranceClass { letters, grade: ToleranceGrade(place) }),
            None => Err("the grade of a tolerance class is 01, 0 or one of 1 to 18".into()),
        }
    }
}

impl fmt::Display for ToleranceClass {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.pad(&format!("{}{}", self.letters, self.grade))
    }
}

impl Serialize for ToleranceClass {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        serializer.collect_str(self)
    }
}

impl<'de> Deserialize<'de> for ToleranceClass {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        let text = String::deserialize(deserializer)?;
        ToleranceClass::parse(&text).map_err(de::Error::custom)
    }
}

impl ToleranceGrade {
    /// Gives the place of the grade among all twenty, from 0 for grade 01 and 1 for grade 0 to 19 for grade 18.
    pub fn place(self) -> usize {
        usize::from(self.0)
    }
}

impl fmt::Display for ToleranceGrade {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.pad(GRADES.get(self.place()).copied().unwrap_or_default())
    }
}

/// Puts plain signs for those that programs and keyboards put in their stead.
fn plain_signs(text: &str) -> String {
    let mut plain = String::with_capacity(text.len());
    for c in text.chars() {
        if let Some((_, fraction)) = FRACTION_SIGNS.iter().find(|(sign, _)| *sign == c) {
            if plain.ends_with(|c: char| c.is_ascii_digit()) {
                plain.push(' ');
            }
            plain.push_str(fraction);
            continue;
        }
        plain.push(match c {
            '−' | '–' => '-',
            '″' | '”' => '"',
            '⁄' => '/',
            c if c.is_whitespace() => ' ',
            c => c,
        });
    }
    plain.replace("+/-", "±").replace("+-", "±")
}

/// What is left to be read of a size.
struct Reader<'a> {
    rest: &'a str,
    mark: DecimalMark,
    may_be_zero: bool,
}

impl<'a> Reader<'a> {
    fn size(&mut self) -> Result<Size, String> {
        self.refuse_a_false_start()?;
        let nominal = self.length()?;
        let after_nominal = self.rest;
        let mut unit = self.unit();
        if self.takes("..") {
            let high = self.high_end()?;
            unit = one_unit(unit, self.unit())?;
            self.nothing_more()?;
            let unit = unit_for(&[nominal, high], unit)?;
            return Size::new(
                Stated::Between(nominal, high),
                Tolerance::Range,
                unit,
                self.may_be_zero,
            );
        }
        let tolerance = match self.rest.chars().next() {
            None => Tolerance::None,
            Some('±') => self.plus_or_minus()?,
            Some(c) if c.is_ascii_alphabetic() => {
                if after_nominal.starts_with(['e', 'E'])
                    && after_nominal
                        .chars()
                        .nth(1)
                        .is_some_and(|c| c.is_ascii_digit() || matches!(c, '+' | '-'))
                {
                    return Err(
                        "put a space before the tolerance class (10 e8), or write the number without an exponent"
                            .into(),
                    );
                }
                // An x joins lengths as well: only `20 x7` is surely a class.
                let x = self
                    .rest
                    .strip_prefix(['x', 'X'])
                    .filter(|rest| !rest.starts_with(char::is_alphabetic));
                if x.is_some_and(|rest| {
                    after_nominal.starts_with(['x', 'X']) || rest.starts_with(' ')
                }) {
                    return Err(JOINED.into());
                }
                self.class()?
            }
            Some(c) if c == '+' || c == '-' || c.is_ascii_digit() => self.deviations()?,
            Some(_) => return Err(FORMS.into()),
        };
        unit = one_unit(unit, self.unit())?;
        self.nothing_more()?;
        let unit = unit_for(&[nominal], unit)?;
        Size::new(Stated::At(nominal), tolerance, unit, self.may_be_zero)
    }

    fn refuse_a_false_start(&self) -> Result<(), String> {
        match self.rest.chars().next() {
            Some('-') => Err("a size is more than zero; leave out the minus sign".into()),
            Some('+' | '±') => {
                Err("begin with the nominal size: 10 +0.02/-0.01 or 10 ±0.02".into())
            }
            Some('Ø' | 'ø' | '⌀' | '∅') => {
                Err("leave out the diameter sign; the name of the feature tells what is measured"
                    .into())
            }
            _ => Ok(()),
        }
    }

    /// Reads `10`, `0.117`, `7/64`, `1 1/2` or `1-1/2`.
    fn length(&mut self) -> Result<Length, String> {
        let Some(first) = self.number() else {
            return Err(FORMS.into());
        };
        if !is_whole(first) {
            return self.exact(first).map(Length::Decimal);
        }
        if let Some(denominator) = self.over() {
            return fraction(None, first, denominator);
        }
        // The hyphen of `1-1/2` has no space before it, the minus sign of a deviation has one or is followed by a
        // second sign: `10 -1/0`, `10-1/-2`.
        let here = self.rest;
        if (self.begins("-") || self.spaces())
            && let Some(numerator) = self.number()
            && is_whole(numerator)
            && let Some(denominator) = self.over()
        {
            return fraction(Some(first), numerator, denominator);
        }
        self.rest = here;
        self.exact(first).map(Length::Decimal)
    }

    /// Reads the high end of a range. A third dot could be an ellipsis or the mark of `.5`, so it is not read.
    fn high_end(&mut self) -> Result<Length, String> {
        if self.rest.starts_with(|c| self.is_mark(c)) {
            return Err(
                "write a range with two dots and a zero before the decimals: 0.39..0.395".into()
            );
        }
        self.spaces();
        self.length()
    }

    fn plus_or_minus(&mut self) -> Result<Tolerance, String> {
        self.takes("±");
        self.spaces();
        let Some(number) = self.number() else {
            return Err("write the deviation as a decimal, as in 10 ±0.02".into());
        };
        if self.takes("/") {
            return Err("write deviations as decimals, as in 0.5 ±0.016 in".into());
        }
        let upper = self.exact(number)?;
        if upper.is_zero() {
            return Err("leave out a tolerance of zero, or correct it".into());
        }
        Ok(Tolerance::Deviations { upper, lower: -upper })
    }

    fn deviations(&mut self) -> Result<Tolerance, String> {
        let first = self.deviation()?;
        if !self.takes("/") {
            return Err(format!("{DEVIATIONS}; write a range with two dots: 9.98..10.02"));
        }
        self.spaces();
        let second = self.deviation()?;
        if first == second {
            return Err("both deviations are the same; correct one of them".into());
        }
        Ok(Tolerance::Deviations { upper: first.max(second), lower: first.min(second) })
    }

    /// Reads a number with its sign; only zero may go without.
    fn deviation(&mut self) -> Result<Decimal, String> {
        let negative = self.begins("-");
        let signed = negative || self.begins("+");
        self.spaces();
        let number = self.number().ok_or(DEVIATIONS)?;
        let value = self.exact(number)?;
        match (value.is_zero(), signed) {
            (true, _) => Ok(Decimal::ZERO),
            (false, true) => Ok(if negative { -value } else { value }),
            (false, false) => Err(DEVIATIONS.into()),
        }
    }

    fn class(&mut self) -> Result<Tolerance, String> {
        let letters = self.run(|c| c.is_ascii_alphabetic());
        self.spaces();
        let grade = self.run(|c| c.is_ascii_digit());
        let class = ToleranceClass::of(letters, grade)?;
        self.spaces();
        if self.rest.starts_with('/') {
            return Err(
                "a fit names two classes; give the hole and the shaft each its own size".into()
            );
        }
        Ok(Tolerance::Class(class))
    }

    /// Reads a unit and the spaces around it.
    fn unit(&mut self) -> Option<LengthUnit> {
        self.spaces();
        let here = self.rest;
        let unit = if self.begins("\"") {
            Some(LengthUnit::Inch)
        } else {
            let unit = LengthUnit::parse(self.run(|c| c.is_ascii_alphabetic()));
            // The full stop of `in.` is not one of the two dots of a range.
            if unit == Some(LengthUnit::Inch) && !self.rest.starts_with("..") {
                self.begins(".");
            }
            unit
        };
        if unit.is_none() {
            self.rest = here;
        }
        self.spaces();
        unit
    }

    fn nothing_more(&self) -> Result<(), String> {
        if self.rest.is_empty() { Ok(()) } else { Err(FORMS.into()) }
    }

    /// Reads digits that may have decimals. A mark counts only before a digit, so `9..10` stays a range.
    fn number(&mut self) -> Option<&'a str> {
        let here = self.rest;
        self.run(|c| c.is_ascii_digit());
        let mut after = self.rest.chars();
        if after.next().is_some_and(|c| self.is_mark(c))
            && after.next().is_some_and(|c| c.is_ascii_digit())
        {
            let mark = self.mark;
            self.run(|c| c == '.' || (c == ',' && mark == DecimalMark::PointOrComma));
            self.run(|c| c.is_ascii_digit());
        }
        let length = here.len() - self.rest.len();
        here.get(..length).filter(|number| !number.is_empty())
    }

    /// Reads `/64`; reads nothing where no whole number follows the stroke.
    fn over(&mut self) -> Option<&'a str> {
        let here = self.rest;
        if self.takes("/") {
            self.spaces();
            if let Some(denominator) = self.number().filter(|number| is_whole(number)) {
                return Some(denominator);
            }
        }
        self.rest = here;
        None
    }

    /// Gives the value of a number, if it is one that stays exact in all that is worked out from it.
    fn exact(&self, number: &str) -> Result<Decimal, String> {
        let value = parse_decimal(number, self.mark)
            .ok_or("leave out digits: at most 28 can be kept exactly")?;
        if value.scale() > MOST_DECIMALS {
            return Err(TOO_LONG.into());
        }
        if value >= Decimal::from(TOO_LARGE) {
            return Err(BEYOND.into());
        }
        Ok(value)
    }

    fn is_mark(&self, c: char) -> bool {
        c == '.' || (c == ',' && self.mark == DecimalMark::PointOrComma)
    }

    fn begins(&mut self, sign: &str) -> bool {
        match self.rest.strip_prefix(sign) {
            Some(rest) => {
                self.rest = rest;
                true
            }
            None => false,
        }
    }

    /// Reads a sign with the spaces before it.
    fn takes(&mut self, sign: &str) -> bool {
        let here = self.rest;
        self.spaces();
        let taken = self.begins(sign);
        if !taken {
            self.rest = here;
        }
        taken
    }

    fn spaces(&mut self) -> bool {
        !self.run(|c| c == ' ').is_empty()
    }

    fn run(&mut self, wanted: impl Fn(char) -> bool) -> &'a str {
        let end = self.rest.find(|c| !wanted(c)).unwrap_or(self.rest.len());
        // The end was found in this very text, so it lies between two characters.
        let (run, rest) = self.rest.split_at(end);
        self.rest = rest;
        run
    }
}

fn is_whole(number: &str) -> bool {
    number.bytes().all(|b| b.is_ascii_digit())
}

fn fraction(whole: Option<&str>, numerator: &str, denominator: &str) -> Result<Length, String> {
    let figure =
        |digits: &str| digits.parse().ok().filter(|figure| *figure < TOO_LARGE).ok_or(BEYOND);
    let mixed = whole.is_some();
    let whole = whole.map_or(Ok(0), figure)?;
    let (numerator, denominator) = (figure(numerator)?, figure(denominator)?);
    if denominator == 0 {
        return Err("a fraction has no zero below the stroke".into());
    }
    if numerator == 0 {
        return Err("a fraction has no zero above the stroke".into());
    }
    if mixed && numerator >= denominator {
        return Err(format!("{numerator}/{denominator} is no part of an inch; check the fraction"));
    }
    Ok(Length::Fraction { whole, numerator, denominator })
}

/// Agrees on the unit where it may have been typed twice.
fn one_unit(
    one: Option<LengthUnit>,
    other: Option<LengthUnit>,
) -> Result<Option<LengthUnit>, String> {
    match (one, other) {
        (Some(one), Some(other)) if one != other => Err(ONE_UNIT.into()),
        _ => Ok(one.or(other)),
    }
}

/// Takes millimetres where no unit was typed. A fraction must say that it is of an inch: where it does not, taking it
/// for millimetres would be wrong by a factor of 25.
fn unit_for(lengths: &[Length], unit: Option<LengthUnit>) -> Result<LengthUnit, String> {
    let unit = unit.unwrap_or(LengthUnit::Millimetre);
    if unit == LengthUnit::Millimetre && lengths.iter().any(|length| length.is_fraction()) {
        return Err(
            "a fraction is of an inch, so write in behind it; write millimetres as a decimal"
                .into(),
        );
    }
    Ok(unit)
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn size(text: &str) -> Size {
        Size::parse(text, DecimalMark::Point).unwrap_or_else(|error| panic!("{error}"))
    }

    fn hint(text: &str) -> String {
        match Size::parse(text, DecimalMark::Point) {
            Ok(size) => panic!("{text} was read as {size}"),
            Err(error) => error.hint,
        }
    }

    fn decimal(text: &str) -> Decimal {
        parse_decimal(text, DecimalMark::Point).unwrap_or_else(|| panic!("{text}"))
    }

    /// Typed, printed, nominal size and limits in millimetres; no limits where a class has to be looked up.
    const FORMS_READ: &str = r#"
        10                   | 10 mm                | 10        | 10 to 10
        10 mm                | 10 mm                | 10        | 10 to 10
        10mm                 | 10 mm                | 10        | 10 to 10
        10  MM               | 10 mm                | 10        | 10 to 10
        10.00                | 10.00 mm             | 10        | 10 to 10
        .5                   | 0.5 mm               | 0.5       | 0.5 to 0.5
        7/64 in              | 7/64 in              | 2.778125  | 2.778125 to 2.778125
        7/64in               | 7/64 in              | 2.778125  | 2.778125 to 2.778125
        7/64"                | 7/64 in              | 2.778125  | 2.778125 to 2.778125
        7 / 64 inch          | 7/64 in              | 2.778125  | 2.778125 to 2.778125
        7⁄64 in.             | 7/64 in              | 2.778125  | 2.778125 to 2.778125
        14/64 in             | 14/64 in             | 5.55625   | 5.55625 to 5.55625
        3/2 in               | 3/2 in               | 38.1      | 38.1 to 38.1
        1 1/2 in             | 1 1/2 in             | 38.1      | 38.1 to 38.1
        1-1/2 in             | 1 1/2 in             | 38.1      | 38.1 to 38.1
        1½ in                | 1 1/2 in             | 38.1      | 38.1 to 38.1
        ¾″                   | 3/4 in               | 19.05     | 19.05 to 19.05
        1/127 in             | 1/127 in             | 0.2       | 0.2 to 0.2
        0.117 in             | 0.117 in             | 2.9718    | 2.9718 to 2.9718
        0.117"               | 0.117 in             | 2.9718    | 2.9718 to 2.9718
        .117”                | 0.117 in             | 2.9718    | 2.9718 to 2.9718
        2 inches             | 2 in                 | 50.8      | 50.8 to 50.8
        9.98..10.02          | 9.98..10.02 mm       | 10        | 9.98 to 10.02
        9.98..10.02 mm       | 9.98..10.02 mm       | 10        | 9.98 to 10.02
        9.98 .. 10.02mm      | 9.98..10.02 mm       | 10        | 9.98 to 10.02
        9..10                | 9..10 mm             | 9.5       | 9 to 10
        0..0.05              | 0..0.05 mm           | 0.025     | 0 to 0.05
        0.390..0.395 in      | 0.390..0.395 in      | 9.9695    | 9.906 to 10.033
        0.390 in..0.395 in   | 0.390..0.395 in      | 9.9695    | 9.906 to 10.033
        0.390"..0.395"       | 0.390..0.395 in      | 9.9695    | 9.906 to 10.033
        3/8..25/64 in        | 3/8..25/64 in        | 9.7234375 | 9.525 to 9.921875
        10 +0.02/-0.01       | 10 +0.02/-0.01 mm    | 10        | 9.99 to 10.02
        10 +0.02/-0.01 mm    | 10 +0.02/-0.01 mm    | 10        | 9.99 to 10.02
        10 mm +0.02/-0.01    | 10 +0.02/-0.01 mm    | 10        | 9.99 to 10.02
        10+0.02/-0.01        | 10 +0.02/-0.01 mm    | 10        | 9.99 to 10.02
        10 + 0.02 / − 0.01   | 10 +0.02/-0.01 mm    | 10        | 9.99 to 10.02
        10 -0.01/+0.02       | 10 +0.02/-0.01 mm    | 10        | 9.99 to 10.02
        10 +0.02/0           | 10 +0.02/0 mm        | 10        | 10 to 10.02
        10 0/+0.02           | 10 +0.02/0 mm        | 10        | 10 to 10.02
        10 +0.02/-0          | 10 +0.02/0 mm        | 10        | 10 to 10.02
        10 0/-0.02           | 10 0/-0.02 mm        | 10        | 9.98 to 10
        10 -0.02/0           | 10 0/-0.02 mm        | 10        | 9.98 to 10
        10 0/-1              | 10 0/-1 mm           | 10        | 9 to 10
        10 -1/0              | 10 0/-1 mm           | 10        | 9 to 10
        10 +0.03/+0.01       | 10 +0.03/+0.01 mm    | 10        | 10.01 to 10.03
        10 -0.01/-0.03       | 10 -0.01/-0.03 mm    | 10        | 9.97 to 9.99
        10-0.01/-0.03        | 10 -0.01/-0.03 mm    | 10        | 9.97 to 9.99
        10 -1/-2             | 10 -1/-2 mm          | 10        | 8 to 9
        0.02 +0.03/-0.02     | 0.02 +0.03/-0.02 mm  | 0.02      | 0 to 0.05
        10 ±0.02             | 10 ±0.02 mm          | 10        | 9.98 to 10.02
        10±0.02mm            | 10 ±0.02 mm          | 10        | 9.98 to 10.02
        10 +/-0.02           | 10 ±0.02 mm          | 10        | 9.98 to 10.02
        10 +/- 0.02          | 10 ±0.02 mm          | 10        | 9.98 to 10.02
        10 +0.02/-0.02       | 10 ±0.02 mm          | 10        | 9.98 to 10.02
        10 mm ±0.02 mm       | 10 ±0.02 mm          | 10        | 9.98 to 10.02
        0.5 ±0.001 in        | 0.5 ±0.001 in        | 12.7      | 12.6746 to 12.7254
        1/2 in ±0.001        | 1/2 ±0.001 in        | 12.7      | 12.6746 to 12.7254
        1 1/2 0/-0.001 in    | 1 1/2 0/-0.001 in    | 38.1      | 38.0746 to 38.1
        10 h8                | 10 h8                | 10        | -
        10h8                 | 10 h8                | 10        | -
        10 h8 mm             | 10 h8                | 10        | -
        10 mm h8             | 10 h8                | 10        | -
        25 H7                | 25 H7                | 25        | -
        10 js6               | 10 js6               | 10        | -
        10 JS 6              | 10 JS6               | 10        | -
        10m6                 | 10 m6                | 10        | -
        10 e8                | 10 e8                | 10        | -
        10 h01               | 10 h01               | 10        | -
        10 h0                | 10 h0                | 10        | -
        10 ZC18              | 10 ZC18              | 10        | -
        1 1/2 in h8          | 1 1/2 in h8          | 38.1      | -
        0.5 H7 in            | 0.5 in H7            | 12.7      | -
    "#;

    /// What a row of the table says: typed, printed, nominal size, limits.
    type Form = (&'static str, &'static str, Decimal, Option<(Decimal, Decimal)>);

    fn forms_read() -> Vec<Form> {
        let row = |line: &'static str| -> Option<Form> {
            let cells: Vec<_> = line.split('|').map(str::trim).collect();
            let &[typed, printed, nominal, limits] = cells.as_slice() else {
                return None;
            };
            let limits = limits.split_once(" to ").map(|(low, high)| (decimal(low), decimal(high)));
            Some((typed, printed, decimal(nominal), limits))
        };
        let lines = FORMS_READ.lines().filter(|line| !line.trim().is_empty());
        lines.map(|line| row(line).unwrap_or_else(|| panic!("{line}"))).collect()
    }

    #[test]
    fn every_form_reads_as_the_trade_means_it() {
        for (typed, _, nominal, limits) in forms_read() {
            let size = size(typed);
            assert_eq!(size.nominal_mm(), nominal, "{typed}");
            assert_eq!(size.limits_mm(), limits, "{typed}");
        }
    }

    #[test]
    fn every_form_prints_in_one_way_that_parses_back_to_an_equal_value() {
        for (typed, printed, ..) in forms_read() {
            let read = size(typed);
            assert_eq!(read.to_string(), printed, "{typed}");
            assert_eq!(size(printed), read, "{typed}");
        }
    }

    #[test]
    fn the_tolerance_and_the_unit_are_given_as_typed() {
        assert_eq!(size("10").tolerance(), &Tolerance::None);
        assert_eq!(size("9..10").tolerance(), &Tolerance::Range);
        let deviations =
            Tolerance::Deviations { upper: decimal("0.002"), lower: decimal("-0.001") };
        assert_eq!(size("0.5 +0.002/-0.001 in").tolerance(), &deviations);
        let Tolerance::Class(class) = *size("25 H7").tolerance() else {
            panic!("no class");
        };
        assert_eq!((class.letters(), class.grade().place(), class.is_hole()), ("H", 8, true));
        assert_eq!(size("10").unit(), LengthUnit::Millimetre);
        assert_eq!(size("0.5 in").unit(), LengthUnit::Inch);
    }

    #[test]
    fn sizes_are_equal_when_they_say_the_same_in_the_same_unit() {
        assert_eq!(size("10"), size("10.0 mm"));
        assert_eq!(size("1-1/2 in"), size("1 1/2\""));
        assert_eq!(size("10 -0.01/+0.02"), size("10 +0.02/-0.01"));
        assert_ne!(size("1/2 in"), size("0.5 in"));
        assert_ne!(size("12.7"), size("0.5 in"));
        assert_eq!(size("12.7").nominal_mm(), size("1/2 in").nominal_mm());
    }

    #[test]
    fn a_decimal_comma_is_read_where_it_is_allowed_and_printed_as_a_point() {
        let read = |text| Size::parse(text, DecimalMark::PointOrComma).map(|size| size.to_string());
        assert_eq!(read("9,98..10,02").as_deref(), Ok("9.98..10.02 mm"));
        assert_eq!(read("10 +0,02/-0,01").as_deref(), Ok("10 +0.02/-0.01 mm"));
        assert_eq!(read("9.98..10,02").as_deref(), Ok("9.98..10.02 mm"));
        for text in ["10,5", "10 ±0,02", "9,98..10,02"] {
            assert!(hint(text).contains("after a point"), "{text}: {}", hint(text));
        }
    }

    #[test]
    fn all_letters_and_grades_of_tolerance_classes_are_read() {
        for letters in SHAFT_LETTERS.into_iter().chain(HOLE_LETTERS) {
            for grade in GRADES {
                let text = format!("{letters}{grade}");
                let class = ToleranceClass::parse(&text).map(|class| class.to_string());
                assert_eq!(class.as_deref(), Ok(text.as_str()));
                let size = size(&format!("10 {text}"));
                assert_eq!(size.to_string(), format!("10 {text}"));
            }
        }
        for (shaft, hole) in SHAFT_LETTERS.into_iter().zip(HOLE_LETTERS) {
            assert_eq!(shaft.to_ascii_uppercase(), hole);
        }
    }

    #[test]
    fn letters_and_grades_that_do_not_exist_are_refused() {
        for letters in
            ["i", "l", "o", "q", "w", "I", "L", "O", "Q", "W", "zd", "hh", "cm", "ft", "thou"]
        {
            assert!(hint(&format!("10 {letters}7")).contains("nor a tolerance class"), "{letters}");
        }
        for grade in ["19", "00", "001", "07", "99999999999999999999"] {
            assert!(hint(&format!("10 h{grade}")).contains("01, 0 or one of 1 to 18"), "{grade}");
        }
        assert!(hint("10 Js6").contains("js for a shaft or JS for a hole"));
        assert!(hint("10 m").contains("add the grade, as in m7"));
        assert!(hint("25 H7/h6").contains("each its own size"));
        assert!(hint("10 h6.5").contains("write it like"));
        assert!(ToleranceClass::parse("").is_err());
        assert!(ToleranceClass::parse("é7").is_err());
    }

    #[test]
    fn a_size_of_zero_or_less_is_refused() {
        for text in
            ["0", "0.00 mm", "0 in", "-5", "−5 mm", "-1/2 in", "0 +0.05/0", "0 h8", "-5..10"]
        {
            assert!(hint(text).contains("more than zero"), "{text}: {}", hint(text));
        }
        for text in ["0.01 -0.01/-0.02", "1 -1/-2", "0.01 ±0.02", "0.01 +0.03/-0.02"] {
            assert!(hint(text).contains("more than the size has"), "{text}: {}", hint(text));
        }
    }

    #[test]
    fn a_fraction_that_is_none_is_refused() {
        for text in ["7/0 in", "1 1/0 in", "1-1/0 in", "10-1/0"] {
            assert!(hint(text).contains("zero below the stroke"), "{text}: {}", hint(text));
        }
        assert!(hint("0/64 in").contains("zero above the stroke"));
        assert!(hint("1 0/64 in").contains("zero above the stroke"));
        assert!(hint("1 5/4 in").contains("no part of an inch"));
        for text in [
            "7/64.5 in",
            "1.5 1/2 in",
            "1/2/3 in",
            "1 - 1/2 in",
            "1 -1/2 in",
            "/64 in",
            "7/ in",
            "1 1 1/2 in",
        ] {
            assert!(Size::parse(text, DecimalMark::Point).is_err(), "{text}");
        }
    }

    #[test]
    fn a_fraction_that_does_not_say_inches_is_refused() {
        for text in ["7/64", "1 1/2", "7/64 mm", "3/8..25/64", "1/2 h8", "1/2 ±0.02"] {
            assert!(hint(text).contains("of an inch"), "{text}: {}", hint(text));
        }
    }

    #[test]
    fn a_range_that_runs_backwards_or_has_no_width_is_refused() {
        assert!(hint("10.02..9.98").contains("9.98..10.02"));
        assert!(hint("25/64..3/8 in").contains("3/8..25/64"));
        assert!(hint("10..10.0").contains("both ends are the same"));
        assert!(hint("1/2..2/4 in").contains("both ends are the same"));
        assert!(hint("0..0").contains("both ends are the same"));
        assert!(hint("10 +0.02/+0.02").contains("both deviations are the same"));
        assert!(hint("10 ±0").contains("tolerance of zero"));
    }

    #[test]
    fn two_units_in_one_size_are_refused() {
        for text in ["10 mm..0.5 in", "0.5 in ±0.02 mm", "10 mm h8 in"] {
            assert!(hint(text).contains("one unit"), "{text}: {}", hint(text));
        }
        assert!(Size::parse("10 mm mm mm", DecimalMark::Point).is_err());
    }

    #[test]
    fn deviations_that_are_not_complete_are_refused() {
        for text in [
            "10 +0.02",
            "10 -0.02",
            "10 +0.02/",
            "10 +0.02/0.01",
            "10 0.02/0.01",
            "10 +/",
            "10 10",
            "10 mm 6",
            "10 +0.02/-",
            "10-12 mm",
        ] {
            assert!(hint(text).contains("upper first"), "{text}: {}", hint(text));
        }
        assert!(hint("10-12 mm").contains("two dots"));
        assert!(hint("1/2 ±1/64 in").contains("as decimals"));
        assert!(hint("±0.02").contains("begin with the nominal size"));
        assert!(hint("+0.02/-0.01").contains("begin with the nominal size"));
    }

    #[test]
    fn what_could_be_meant_in_two_ways_is_refused() {
        for text in ["10e8", "10E8", "1.00E+09", "1e-3", "1e400"] {
            assert!(hint(text).contains("exponent"), "{text}: {}", hint(text));
        }
        for text in ["9...10", ".390...395 in", "9.98...10.02", "9.98..."] {
            assert!(hint(text).contains("two dots"), "{text}: {}", hint(text));
        }
        assert!(hint("Ø10 h8").contains("diameter sign"));
    }

    #[test]
    fn a_text_that_is_no_size_is_refused_with_the_forms_that_are() {
        for text in [
            "",
            " ",
            "mm",
            "in",
            "ten",
            "10.",
            "10. mm",
            "1.2.3",
            "10 %",
            "10..",
            "..10",
            "9..10..11",
            "10/",
            "٣",
            "１０",
            "10'",
            "\0",
            "🔩",
        ] {
            assert!(hint(text).contains("write it like"), "{text}: {}", hint(text));
        }
    }

    #[test]
    fn numbers_that_could_not_be_kept_exactly_are_refused() {
        assert!(hint("1000000").contains("six digits"));
        assert!(hint("1000000/3 in").contains("six digits"));
        assert!(hint("1/99999999999999999999 in").contains("six digits"));
        assert!(hint("1 ±79228162514264337593543950335").contains("digits"));
        assert!(hint("0.0000000000000000001").contains("18 decimals"));
        for digits in [27, 28, 29, 400, 100_000] {
            let nines = "9".repeat(digits);
            for text in [
                nines.clone(),
                format!("0.{nines}"),
                format!("1..{nines}"),
                format!("{nines}/{nines} in"),
                format!("10 h{nines}"),
            ] {
                assert!(Size::parse(&text, DecimalMark::Point).is_err());
            }
        }
    }

    #[test]
    fn the_longest_numbers_that_are_read_convert_without_rounding() {
        let longest = size("999999.999999999999999997..999999.999999999999999999 in");
        assert_eq!(longest.nominal_mm(), decimal("25399999.9999999999999999492"));
        assert_eq!(
            longest.limits_mm(),
            Some((
                decimal("25399999.9999999999999999238"),
                decimal("25399999.9999999999999999746")
            ))
        );
        let widest = size("0.000000000000000001..999999.999999999999999999 in");
        assert_eq!(widest.nominal_mm(), decimal("12700000"));
        let odd = size("0.000000000000000001..999999.999999999999999998 in");
        assert_eq!(odd.nominal_mm(), decimal("12699999.9999999999999999873"));
    }

    #[test]
    fn the_text_that_was_found_is_reported() {
        let error = Size::parse(" ten ", DecimalMark::Point).err();
        assert_eq!(error.map(|error| (error.what, error.found)), Some(("size", "ten".into())));
    }

    #[test]
    fn a_size_is_stored_as_its_text_and_checked_when_it_comes_back() {
        for (typed, printed, ..) in forms_read() {
            let read = size(typed);
            let stored = serde_json::to_string(&read).unwrap_or_default();
            assert_eq!(stored, serde_json::to_string(printed).unwrap_or_default());
            assert_eq!(serde_json::from_str::<Size>(&stored).ok(), Some(read));
        }
        assert!(serde_json::from_str::<Size>("\"7/0 in\"").is_err());
        assert!(serde_json::from_str::<ToleranceClass>("\"q7\"").is_err());
    }

    /// Source: NIST SP 811 (2008), appendix B.8: inch to centimetre 2.54, foot to metre 0.3048, mil (0.001 in) to
    /// millimetre 0.0254, all exact; figures from memory.
    #[test]
    fn inches_convert_by_the_published_factor() {
        assert_eq!(size("1 in").nominal_mm(), decimal("25.4"));
        assert_eq!(size("12 in").nominal_mm(), decimal("304.8"));
        assert_eq!(size("0.001 in").nominal_mm(), decimal("0.0254"));
    }

    /// Common practice, no source.
    #[test]
    fn a_drill_of_117_thou_is_just_over_seven_sixty_fourths_and_just_under_three_millimetres() {
        let drill = size("0.117 in").nominal_mm();
        assert_eq!(drill.round_dp(2), decimal("2.97"));
        assert!(drill > size("7/64 in").nominal_mm());
        assert!(drill - size("7/64 in").nominal_mm() < decimal("0.2"));
        assert!(drill < size("3 mm").nominal_mm());
    }

    /// Common practice, no source.
    #[test]
    fn an_8_mm_spanner_goes_on_a_five_sixteenths_head_but_a_19_mm_one_not_on_three_quarters() {
        let slack = size("8").nominal_mm() - size("5/16 in").nominal_mm();
        assert_eq!(slack, decimal("0.0625"));
        let slack = size("19").nominal_mm() - size("3/4 in").nominal_mm();
        assert_eq!(slack, decimal("-0.05"));
    }

    /// Common practice, no source.
    #[test]
    fn the_square_drives_of_sockets_are_whole_numbers_of_eighths() {
        for (drive, millimetres) in
            [("1/4 in", "6.35"), ("3/8 in", "9.525"), ("1/2 in", "12.7"), ("3/4 in", "19.05")]
        {
            assert_eq!(size(drive).nominal_mm(), decimal(millimetres));
        }
    }

    /// Common practice, no source: the tapping drill for a quarter-inch coarse thread.
    #[test]
    fn a_drill_of_201_thou_lies_between_5_1_mm_and_thirteen_sixty_fourths() {
        let drill = size("0.201 in").nominal_mm();
        assert!(size("5.1").nominal_mm() < drill);
        assert!(drill < size("13/64 in").nominal_mm());
    }

    /// Common practice, no source.
    #[test]
    fn ten_thou_on_a_feeler_gauge_is_a_quarter_of_a_millimetre() {
        assert_eq!(size("0.010 in").nominal_mm().round_dp(2), decimal("0.25"));
    }

    /// Source: the section diameters common to SAE AS568 and ISO 3601-1, from memory.
    #[test]
    fn inch_o_ring_sections_round_to_their_metric_names() {
        let sections = [
            ("0.070 in", "1.78"),
            ("0.103 in", "2.62"),
            ("0.139 in", "3.53"),
            ("0.210 in", "5.33"),
            ("0.275 in", "6.99"),
        ];
        for (section, name) in sections {
            let away = (size(section).nominal_mm() - decimal(name)).abs();
            assert!(away <= decimal("0.005"), "{section} is {away} from {name}");
        }
    }

    fn any_size() -> impl Strategy<Value = String> {
        let number = || "[1-9][0-9]{0,5}(\\.[0-9]{1,12})?";
        let small = || "0\\.[0-9]{0,8}[1-9]";
        let fraction = || {
            prop_oneof![
                (1_u32..128, 1_u32..128).prop_map(|(a, b)| format!("{a}/{b}")),
                (1_u32..999, 1_u32..64).prop_map(|(whole, a)| format!("{whole} {a}/64")),
            ]
        };
        let class = (
            prop::sample::select([SHAFT_LETTERS, HOLE_LETTERS].concat()),
            prop::sample::select(GRADES.to_vec()),
        );
        let sign = || prop::sample::select(vec!["+", "-"]);
        let tolerance = prop_oneof![
            Just(String::new()),
            small().prop_map(|deviation| format!(" ±{deviation}")),
            (sign(), small(), sign(), "1?")
                .prop_map(|(a, first, b, more)| { format!(" {a}{first}/{b}{first}{more}") }),
            (sign(), small()).prop_map(|(sign, deviation)| format!(" {sign}{deviation}/0")),
            (sign(), small()).prop_map(|(sign, deviation)| format!(" 0/{sign}{deviation}")),
            class.prop_map(|(letters, grade)| format!(" {letters}{grade}")),
        ];
        let unit = || prop::sample::select(vec!["", " mm", "mm", " in", "\""]);
        prop_oneof![
            (number(), tolerance.clone(), unit()).prop_map(|(n, t, u)| format!("{n}{t}{u}")),
            (number(), unit(), tolerance.clone()).prop_map(|(n, u, t)| format!("{n}{u}{t}")),
            (fraction(), tolerance).prop_map(|(n, t)| format!("{n}{t} in")),
            (number(), number(), unit()).prop_map(|(low, high, u)| format!("{low}..{high}{u}")),
            (fraction(), fraction()).prop_map(|(low, high)| format!("{low}..{high} in")),
        ]
    }

    proptest! {
        #[test]
        fn whatever_prints_parses_back_to_an_equal_value(text in any_size()) {
            if let Ok(size) = Size::parse(&text, DecimalMark::Point) {
                let printed = size.to_string();
                for mark in [DecimalMark::Point, DecimalMark::PointOrComma] {
                    let again = Size::parse(&printed, mark);
                    prop_assert_eq!(again.as_ref(), Ok(&size), "{} printed {}", text, printed);
                }
            } else {
                // Only what the numbers say may be wrong here, never the form.
                let error = hint(&text);
                let reasons = ["low end first", "are the same", "more than the size has"];
                prop_assert!(reasons.iter().any(|reason| error.contains(reason)), "{}: {}", text, error);
            }
        }

        #[test]
        fn limits_lie_in_order_and_not_below_zero(text in any_size()) {
            if let Ok(size) = Size::parse(&text, DecimalMark::Point) {
                prop_assert!(size.nominal_mm() > Decimal::ZERO);
                match size.limits_mm() {
                    Some((low, high)) => {
                        prop_assert!(Decimal::ZERO <= low && low <= high && high > Decimal::ZERO);
                        prop_assert_eq!(low == high, *size.tolerance() == Tolerance::None);
                    }
                    None => prop_assert!(matches!(size.tolerance(), Tolerance::Class(_))),
                }
            }
        }

        #[test]
        fn sixty_fourths_of_an_inch_are_exact(count in 1_u32..64_000) {
            // A sixty-fourth of an inch is 0.396875 mm.
            let wanted = Decimal::from(count) * decimal("0.396875");
            prop_assert_eq!(size(&format!("{count}/64 in")).nominal_mm(), wanted);
        }

        #[test]
        fn decimals_of_an_inch_are_exact(digits in 1_u64..1_000_000_000_000_000_000, decimals in 12_u32..=18) {
            let typed = Decimal::from_i128_with_scale(i128::from(digits), decimals);
            let read = size(&format!("{typed} in")).nominal_mm();
            // Cross-multiplied in whole numbers: digits * 254 / 10^(decimals + 1).
            let left = read.mantissa() * 10_i128.pow(decimals + 1 - read.scale().min(decimals + 1));
            prop_assert!(read.scale() <= decimals + 1);
            prop_assert_eq!(left, i128::from(digits) * 254);
        }

        #[test]
        fn no_text_panics(text in "\\PC*") {
            let _ = Size::parse(&text, DecimalMark::PointOrComma);
            let _ = ToleranceClass::parse(&text);
        }

        #[test]
        fn no_text_of_the_right_signs_panics_and_what_is_read_prints_back(
            text in "([0-9.,/+\\-±\"½ ]|in|mm|h|JS|\\.\\.|[1-9]|99999999999999){0,12}",
            comma in any::<bool>(),
        ) {
            let mark = if comma { DecimalMark::PointOrComma } else { DecimalMark::Point };
            if let Ok(size) = Size::parse(&text, mark) {
                prop_assert_eq!(Size::parse(&size.to_string(), mark), Ok(size));
            }
        }
    }
}
