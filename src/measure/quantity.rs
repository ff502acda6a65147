use super::{DecimalMark, Unreadable, parse_decimal, plain};
use rust_decimal::Decimal;
use serde::{Deserialize, Serialize};
use std::fmt;

/// How much of a part: a positive decimal and a unit.
#[derive(Debug, Clone, Copy, Serialize, Deserialize)]
pub struct Quantity {
    /// The amount, in the unit.
    pub amount: Decimal,
    /// The unit as typed; `each` where none was.
    pub unit: Unit,
}

/// A unit of count, volume, mass or length.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord, Serialize, Deserialize)]
pub enum Unit {
    /// Pieces.
    Each,
    /// Litres.
    Litre,
    /// Millilitres.
    Millilitre,
    /// United States fluid ounces.
    FluidOunce,
    /// Pints of which nobody said whose; counted as United States ones.
    Pint,
    /// Quarts of which nobody said whose; counted as United States ones.
    Quart,
    /// Gallons of which nobody said whose; counted as United States ones.
    Gallon,
    /// Imperial fluid ounces.
    ImperialFluidOunce,
    /// Grams.
    Gram,
    /// Kilograms.
    Kilogram,
    /// Avoirdupois ounces.
    Ounce,
    /// Avoirdupois pounds.
    Pound,
    /// Metres.
    Metre,
    /// Centimetres.
    Centimetre,
    /// Millimetres.
    Millimetre,
    /// Inches.
    Inch,
    /// Feet.
    Foot,
    /// United States liquid pints.
    UsPint,
    /// United States liquid quarts.
    UsQuart,
    /// United States gallons.
    UsGallon,
    /// Imperial pints.
    ImperialPint,
    /// Imperial quarts.
    ImperialQuart,
    /// Imperial gallons.
    ImperialGallon,
}

/// What a unit measures. Only units of one kind convert into each other.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Kind {
    /// Pieces.
    Count,
    /// Litres and their like.
    Volume,
    /// Grams and their like.
    Mass,
    /// Metres and their like.
    Length,
}

/// A factor of up to 19 digits with the given number of decimals.
const fn factor(digits: u64, decimals: u32) -> Decimal {
    Decimal::from_parts((digits & 0xFFFF_FFFF) as u32, (digits >> 32) as u32, 0, false, decimals)
}

/// One row of the table of units.
struct UnitRow {
    unit: Unit,
    symbol: &'static str,
    /// Other spellings; all compare without case.
    also: &'static [&'static str],
    kind: Kind,
    /// The unit's size in pieces, millilitres, grams or millimetres.
    size: Decimal,
}

const fn unit(
    unit: Unit,
    symbol: &'static str,
    also: &'static [&'static str],
    kind: Kind,
    size: Decimal,
) -> UnitRow {
    UnitRow { unit, symbol, also, kind, size }
}

/// The units in the order of the enumeration.
///
/// Source of the factors: NIST SP 811 (2008), appendix B, in their exact form (1 in = 25.4 mm, 1 lb = 453.592 37 g,
/// 1 US gallon = 231 cubic inches, 1 imperial gallon = 4.546 09 L).
const UNITS: &[UnitRow] = &[
    unit(Unit::Each, "each", &["ea", "pc", "pcs"], Kind::Count, factor(1, 0)),
    unit(Unit::Litre, "L", &["litre", "litres", "liter", "liters"], Kind::Volume, factor(1000, 0)),
    unit(Unit::Millilitre, "ml", &["cc", "cm3", "cm³"], Kind::Volume, factor(1, 0)),
    unit(
        Unit::FluidOunce,
        "fl oz",
        &["floz", "fl. oz.", "us fl oz"],
        Kind::Volume,
        factor(295_735_295_625, 10),
    ),
    unit(Unit::Pint, "pt", &["pint", "pints", "pts"], Kind::Volume, factor(473_176_473, 6)),
    unit(Unit::Quart, "qt", &["quart", "quarts", "qts"], Kind::Volume, factor(946_352_946, 6)),
    unit(
        Unit::Gallon,
        "gal",
        &["gallon", "gallons", "gals"],
        Kind::Volume,
        factor(3_785_411_784, 6),
    ),
    unit(
        Unit::ImperialFluidOunce,
        "imp fl oz",
        &["uk fl oz"],
        Kind::Volume,
        factor(284_130_625, 7),
    ),
    unit(Unit::Gram, "g", &["gram", "grams"], Kind::Mass, factor(1, 0)),
    unit(Unit::Kilogram, "kg", &["kilogram", "kilograms"], Kind::Mass, factor(1000, 0)),
    unit(Unit::Ounce, "oz", &["ounce", "ounces"], Kind::Mass, factor(28_349_523_125, 9)),
    unit(Unit::Pound, "lb", &["lbs", "pound", "pounds"], Kind::Mass, factor(45_359_237, 5)),
    unit(Unit::Metre, "m", &["metre", "metres", "meter", "meters"], Kind::Length, factor(1000, 0)),
    unit(Unit::Centimetre, "cm", &[], Kind::Length, factor(10, 0)),
    unit(Unit::Millimetre, "mm", &[], Kind::Length, factor(1, 0)),
    unit(Unit::Inch, "in", &["inch", "inches", "\""], Kind::Length, factor(254, 1)),
    unit(Unit::Foot, "ft", &["foot", "feet", "'"], Kind::Length, factor(3048, 1)),
    unit(Unit::UsPint, "US pt", &["us pint", "us pints"], Kind::Volume, factor(473_176_473, 6)),
    unit(Unit::UsQuart, "US qt", &["us quart", "us quarts"], Kind::Volume, factor(946_352_946, 6)),
    unit(
        Unit::UsGallon,
        "US gal",
        &["us gallon", "us gallons"],
        Kind::Volume,
        factor(3_785_411_784, 6),
    ),
    unit(
        Unit::ImperialPint,
        "imp pt",
        &[
            "imp pint",
            "imp pints",
            "imperial pint",
            "imperial pints",
            "uk pt",
            "uk pint",
            "uk pints",
        ],
        Kind::Volume,
        factor(56_826_125, 5),
    ),
    unit(
        Unit::ImperialQuart,
        "imp qt",
        &[
            "imp quart",
            "imp quarts",
            "imperial quart",
            "imperial quarts",
            "uk qt",
            "uk quart",
            "uk quarts",
        ],
        Kind::Volume,
        factor(11_365_225, 4),
    ),
    unit(
        Unit::ImperialGallon,
        "imp gal",
        &[
            "imp gallon",
            "imp gallons",
            "imperial gallon",
            "imperial gallons",
            "uk gal",
            "uk gallon",
            "uk gallons",
        ],
        Kind::Volume,
        factor(454_609, 2),
    ),
];

impl Unit {
    fn row(self) -> &'static UnitRow {
        // The table is in the order of the enumeration (a test holds it to that), so the search cannot fail.
        UNITS.iter().find(|row| row.unit == self).unwrap_or(&UNITS[0])
    }

    /// Reads a unit by its symbol or another usual spelling, without case.
    ///
    /// # Errors
    /// A text that is no unit known here.
    pub fn parse(text: &str) -> Result<Self, Unreadable> {
        let wanted = text.trim().to_lowercase();
        UNITS
            .iter()
            .find(|row| row.symbol.to_lowercase() == wanted || row.also.contains(&wanted.as_str()))
            .map(|row| row.unit)
            .ok_or_else(|| {
                let symbols: Vec<_> = UNITS.iter().map(|row| row.symbol).collect();
                Unreadable::new("unit", text, format!("use one of {}", symbols.join(", ")))
            })
    }

    /// Gives the symbol.
    pub fn symbol(self) -> &'static str {
        self.row().symbol
    }

    /// Gives the two measures of which a bare pint, quart or gallon may be one: of the United States, and imperial.
    pub fn either(self) -> Option<(Unit, Unit)> {
        match self {
            Unit::Pint => Some((Unit::UsPint, Unit::ImperialPint)),
            Unit::Quart => Some((Unit::UsQuart, Unit::ImperialQuart)),
            Unit::Gallon => Some((Unit::UsGallon, Unit::ImperialGallon)),
            _ => None,
        }
    }

    /// Tells what the unit measures.
    pub fn kind(self) -> Kind {
        self.row().kind
    }
}

impl fmt::Display for Unit {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.pad(self.symbol())
    }
}

const HINT: &str = "type a plain number above zero and, if need be, a unit, such as 2 or 0.35 L";

const BEYOND: &str = "at most 1000000000, and nine decimals, can be counted exactly";

impl Quantity {
    /// One piece.
    pub const ONE: Quantity = Quantity { amount: Decimal::ONE, unit: Unit::Each };

    /// Makes a quantity of an amount and a unit.
    pub fn new(amount: Decimal, unit: Unit) -> Self {
        Quantity { amount, unit }
    }

    /// Reads a quantity above zero: `2`, `0.35 L`, `350ml`.
    ///
    /// # Errors
    /// Zero, a negative number, an exponent, more than [`Quantity::MOST`] or [`Quantity::MOST_DECIMALS`], or an
    /// unknown unit.
    pub fn parse(text: &str, mark: DecimalMark) -> Result<Self, Unreadable> {
        let quantity = Quantity::parse_or_zero(text, mark)?;
        if quantity.amount.is_zero() {
            return Err(Unreadable::new("quantity", text, HINT));
        }
        Ok(quantity)
    }

    /// Reads a quantity that may be zero, as a shelf may be empty.
    ///
    /// # Errors
    /// As [`Quantity::parse`], zero apart.
    pub fn parse_or_zero(text: &str, mark: DecimalMark) -> Result<Self, Unreadable> {
        let text = text.trim();
        let end = text
            .find(|c: char| !(c.is_ascii_digit() || matches!(c, '.' | ',' | '+' | '-' | '−')))
            .unwrap_or(text.len());
        let amount = parse_decimal(&text[..end], mark)
            .filter(|amount| *amount >= Decimal::ZERO)
            .ok_or_else(|| Unreadable::new("quantity", text, HINT))?;
        if amount > Quantity::MOST || amount.normalize().scale() > Quantity::MOST_DECIMALS {
            return Err(Unreadable::new("quantity", text, BEYOND));
        }
        let unit = match text[end..].trim() {
            "" => Unit::Each,
            symbol => Unit::parse(symbol).map_err(|error| {
                // `1e3`, `1/2` and `1 000` are numbers in another form, not an unknown unit.
                let number = symbol.contains(|c: char| c.is_ascii_digit());
                Unreadable::new("quantity", text, if number { HINT.to_owned() } else { error.hint })
            })?,
        };
        Ok(Quantity { amount, unit })
    }

    /// The largest amount that a cell may hold: far above any need, and far below where exact sums would overflow.
    pub const MOST: Decimal = Decimal::from_parts(1_000_000_000, 0, 0, false, 0);

    /// The most decimals that a cell may hold: what is smaller would be rounded to nothing along the way.
    pub const MOST_DECIMALS: u32 = 9;

    /// Gives the two amounts of which one in bare pints, quarts or gallons may be one, of the United States and imperial,
    /// each with what it is in litres: `1.23 L`. `None` where the unit leaves no doubt.
    pub fn either(self) -> Option<[(Quantity, String); 2]> {
        let (us, imperial) = self.unit.either()?;
        Some([us, imperial].map(|unit| {
            let amount = Quantity { unit, ..self };
            (amount, amount.to(Unit::Litre).unwrap_or(amount).shown())
        }))
    }

    /// Shows the quantity to a person: with three decimals at most, and three figures where it is less than one. What
    /// is typed into a table is written whole by `Display`.
    pub fn shown(self) -> String {
        const DECIMALS: u32 = 3;
        let rounded = match self.amount.normalize().scale() {
            ..=DECIMALS => self.amount,
            _ if self.amount < Decimal::ONE => self.amount.round_sf(3).unwrap_or(self.amount),
            _ => self.amount.round_dp(DECIMALS),
        };
        Quantity { amount: rounded, ..self }.to_string()
    }

    /// Converts to another unit; `None` where the kinds differ or the figure grows beyond what is held exactly.
    pub fn to(self, unit: Unit) -> Option<Quantity> {
        if self.unit == unit {
            return Some(self);
        }
        if self.unit.kind() != unit.kind() {
            return None;
        }
        let amount = self.amount.checked_mul(self.unit.row().size)?.checked_div(unit.row().size)?;
        Some(Quantity { amount: amount.normalize(), unit })
    }
}

/// Quantities are equal where they are the same amount: 0.35 L is 350 ml.
impl PartialEq for Quantity {
    fn eq(&self, other: &Self) -> bool {
        let size = |quantity: &Quantity| quantity.amount.checked_mul(quantity.unit.row().size);
        self.unit.kind() == other.unit.kind() && size(self) == size(other)
    }
}

impl Eq for Quantity {}

impl fmt::Display for Quantity {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self.unit {
            Unit::Each => f.pad(&plain(self.amount)),
            unit => f.pad(&format!("{} {}", plain(self.amount), unit.symbol())),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn quantity(text: &str) -> Quantity {
        Quantity::parse(text, DecimalMark::PointOrComma).expect(text)
    }

    #[test]
    fn units_of_one_kind_convert_exactly() {
        assert_eq!(quantity("0.35 L"), quantity("350 ml"));
        assert_eq!(quantity("0,35L"), quantity("350cc"));
        assert_eq!(quantity("1 in"), quantity("25.4 mm"));
        assert_eq!(
            quantity("0.35 L").to(Unit::Millilitre).map(|q| q.to_string()).as_deref(),
            Some("350 ml")
        );
        assert_ne!(quantity("1 L"), quantity("1 kg"));
        assert!(quantity("1 L").to(Unit::Gram).is_none());
    }

    /// Source: NIST SP 811 (2008), appendix B.8, factors as printed there, rounded to seven figures.
    #[test]
    fn conversions_agree_with_the_published_factors() {
        let cases = [
            ("1 in", Unit::Metre, "0.0254"),
            ("1 ft", Unit::Metre, "0.3048"),
            ("1 oz", Unit::Kilogram, "0.02834952"),
            ("1 lb", Unit::Kilogram, "0.4535924"),
            ("1 fl oz", Unit::Millilitre, "29.57353"),
            ("1 imp fl oz", Unit::Millilitre, "28.41306"),
            ("1 pt", Unit::Litre, "0.4731765"),
            ("1 qt", Unit::Litre, "0.9463529"),
            ("1 gal", Unit::Litre, "3.785412"),
            ("1 US gal", Unit::Litre, "3.785412"),
            ("1 US qt", Unit::Litre, "0.9463529"),
            ("1 us pint", Unit::Litre, "0.4731765"),
            ("1 imp gal", Unit::Litre, "4.54609"),
        ];
        for (text, unit, published) in cases {
            let published: Decimal = published.parse().expect("a figure");
            let got = quantity(text).to(unit).expect("one kind").amount;
            // The imperial ounce ends in ...0625, which SP 811 prints cut, so one unit of the last figure is allowed.
            let allowed = Decimal::new(1, published.scale());
            assert!((got - published).abs() <= allowed, "{text}: {got} against {published}");
        }
    }

    #[test]
    fn a_bare_pint_may_be_either_and_its_litres_are_shown_to_a_sensible_number_of_decimals() {
        let [(us, of_us), (imperial, of_imperial)] =
            quantity("2.6 pints").either().expect("in doubt");
        assert_eq!(
            (us.to_string(), imperial.to_string()),
            ("2.6 US pt".into(), "2.6 imp pt".into())
        );
        assert_eq!((of_us, of_imperial), ("1.23 L".into(), "1.477 L".into()));
        // Eight imperial pints, or four quarts, are a gallon.
        assert_eq!(quantity("8 imp pt"), quantity("1 imperial gallon"));
        assert_eq!(quantity("4 uk qt"), quantity("1 imp gal"));
        assert!(quantity("2.6 imp pt").either().is_none() && quantity("2.6 L").either().is_none());
        let shown =
            |digits, decimals, unit| Quantity::new(Decimal::new(digits, decimals), unit).shown();
        assert_eq!(shown(16_302_588_298, 10, Unit::Litre), "1.63 L");
        assert_eq!(shown(123_456, 9, Unit::Litre), "0.000123 L");
        assert_eq!(shown(35, 2, Unit::Litre), "0.35 L");
        assert_eq!(shown(123_456, 4, Unit::Gram), "12.346 g");
        assert_eq!(shown(3, 0, Unit::Each), "3");
    }

    #[test]
    fn the_table_of_units_holds_each_unit_once() {
        for (i, row) in UNITS.iter().enumerate() {
            assert_eq!(row.unit as usize, i);
            assert_eq!(Unit::parse(row.symbol), Ok(row.unit));
        }
    }

    #[test]
    fn what_is_no_quantity_is_refused() {
        for text in [
            "",
            "0",
            "0 L",
            "-1",
            "−2",
            "1e400",
            "1e3",
            "two",
            "1 firkin",
            "1,5.2",
            "99999999999999999999999999999999",
            "1/2",
        ] {
            assert!(Quantity::parse(text, DecimalMark::PointOrComma).is_err(), "{text}");
        }
        assert!(Quantity::parse("0,35 L", DecimalMark::Point).is_err());
        assert!(Quantity::parse_or_zero("0", DecimalMark::Point).is_ok());
    }

    proptest! {
        #[test]
        fn what_is_printed_parses_back(digits in 1i64..1_000_000_000, scale in 0u32..9, unit in 0usize..23) {
            let amount = Quantity::new(Decimal::new(digits, scale), UNITS[unit].unit);
            let again = Quantity::parse(&amount.to_string(), DecimalMark::Point).expect("its own print");
            prop_assert_eq!(again, amount);
            prop_assert_eq!(again.unit, amount.unit);
        }

        #[test]
        fn no_text_makes_it_panic(text in "\\PC*") {
            let _ = Quantity::parse(&text, DecimalMark::PointOrComma);
        }
    }
}
