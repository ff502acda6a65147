//! A tightening torque as a person types it: one stage after another, each a moment, a range of moments, or a turn
//! by an angle once a moment is reached. A moment may stand there in several units, as manuals print it:
//! `25 N·m (2.5 kgf·m, 18 lbf·ft)`.
//!
//! What is converted here is arithmetic. Whether a torque suits a joint, its threads and its lubricant is for the
//! maker's manual to say.

use super::{DecimalMark, Unreadable, parse_decimal};
use rust_decimal::Decimal;
use serde::{Deserialize, Deserializer, Serialize, Serializer, de};
use std::fmt;

/// A tightening torque: the stages in the order in which they are done, at least one, the first of them a moment.
///
/// Two torques are equal when they say the same in the same units: `1 kgf·m` is not equal to `9.80665 N·m`.
///
/// Serialized as its printed text, so what is read back has passed [`Torque::parse`].
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Torque {
    stages: Vec<Stage>,
}

/// One stage of a tightening torque.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Stage {
    /// Tighten to a moment.
    Moment {
        /// The figure that comes first.
        first: Moment,
        /// The same in other units, as the brackets behind it have it; mostly none.
        also: Vec<Moment>,
    },
    /// Turn further by an angle, from where the stage before it ended.
    Angle {
        /// The angle in degrees; more than zero.
        degrees: Decimal,
    },
}

/// A moment between low and high; both are the same where one figure was typed.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Moment {
    /// The least moment, in the unit; more than zero. It has the decimals that were typed.
    pub low: Decimal,
    /// The greatest moment, in the unit; not less than the least.
    pub high: Decimal,
    /// The unit as typed.
    pub unit: MomentUnit,
}

/// A unit of the moment of a force.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize, Deserialize)]
pub enum MomentUnit {
    /// Newton metres.
    NewtonMetre,
    /// Kilogram-force metres, also typed `kgm`.
    KilogramForceMetre,
    /// Pound-force feet, also typed `ft-lb`.
    PoundForceFoot,
    /// Pound-force inches, also typed `in-lb`.
    PoundForceInch,
}

const WHAT: &str = "torque";

/// Newtons in a kilogram-force: 9.80665, exact. Source: NIST SP 811 (2008), appendix B.8.
const KILOGRAM_FORCE: Decimal = exactly(980_665, 5);

/// Newton metres in a pound-force foot: 4.448 221 615 260 5 N times 0.3048 m, exact.
///
/// Source of both: NIST SP 811 (2008), appendix B.8, where the product is rounded to 1.355 818.
const POUND_FORCE_FOOT: Decimal = exactly(13_558_179_483_314_004, 16);

/// Newton metres in a pound-force inch: 4.448 221 615 260 5 N times 0.0254 m, exact.
///
/// Source of both: NIST SP 811 (2008), appendix B.8, where the product is rounded to 0.112 984 8.
const POUND_FORCE_INCH: Decimal = exactly(1_129_848_290_276_167, 16);

/// How far two figures of one moment may be apart beyond what their last digits leave open, as a part of them: many
/// manuals take a kilogram-force for 10 N, which is 2 percent. Common practice, no source.
const GENEROUS: Decimal = exactly(3, 2);

/// Every number typed stays below this.
const TOO_LARGE: u32 = 1_000_000;

const FORMS: &str = "write it like 20 N·m, or 18-22 N·m, or 25 N·m (18 lbf·ft), or in stages like 20 N·m; 40 N·m; +90°";
const UNITS: &str = "use one of N·m, kgf·m, lbf·ft, lbf·in, or ° for a turn";

/// A number of up to 19 digits, this many of them decimals.
const fn exactly(digits: u64, decimals: u32) -> Decimal {
    Decimal::from_parts((digits & 0xFFFF_FFFF) as u32, (digits >> 32) as u32, 0, false, decimals)
}

/// Converts a moment to newton metres.
///
/// A guide where the maker gives the torque in another unit: makers round each unit for itself. Exact as long as the
/// figure has no more than 28 digits; one too large for any decimal becomes the largest there is.
///
/// Source of the factors: NIST SP 811 (2008), appendix B.8, in their exact form.
pub fn newton_metres(unit: MomentUnit, moment: Decimal) -> Decimal {
    let factor = match unit {
        MomentUnit::NewtonMetre => return moment,
        MomentUnit::KilogramForceMetre => KILOGRAM_FORCE,
        MomentUnit::PoundForceFoot => POUND_FORCE_FOOT,
        MomentUnit::PoundForceInch => POUND_FORCE_INCH,
    };
    moment.saturating_mul(factor).normalize()
}

impl Torque {
    /// Reads the stages of a tightening torque, separated by `;`.
    ///
    /// A stage is a moment `20 N·m`, a range of moments `18-22 N·m` (also `18..22 N·m`), or a turn `+90°` (also
    /// `90 deg`). The units are `N·m`, `kgf·m`, `lbf·ft` and `lbf·in`, in either order of force and length, without
    /// case, joined by a dot, a star, a hyphen, a space or nothing; `kg` stands for `kgf` and `lb` for `lbf`, as older
    /// manuals write them. Behind a moment brackets may hold the same in other units, with a comma, a slash or a `;`
    /// between two: `25 N·m (2.5 kgf·m, 18 lbf·ft)`. Whether they are the same is not asked here: see
    /// [`Moment::agrees_with`].
    ///
    /// # Errors
    /// Any other text; a stage that is empty; a number without a unit; a moment or a turn of zero or less; a range
    /// that runs backwards or has no width; a turn as the first stage; a number of a million or more; brackets behind
    /// a turn, in brackets, without their end, or with a unit that stands there already.
    pub fn parse(text: &str, mark: DecimalMark) -> Result<Self, Unreadable> {
        let unreadable = |hint: String| Unreadable::new(WHAT, text.trim(), hint);
        let mut stages = Vec::new();
        let typed = stages_of(text);
        let several = typed.len() > 1;
        for (typed, number) in typed.into_iter().zip(1_u32..) {
            let stage = Stage::read(typed, mark).map_err(|hint| {
                unreadable(if several { format!("stage {number}: {hint}") } else { hint })
            })?;
            if stages.is_empty() && matches!(stage, Stage::Angle { .. }) {
                return Err(unreadable(
                    "a turn needs a moment before it, as in 20 N·m; +90°".into(),
                ));
            }
            stages.push(stage);
        }
        Ok(Torque { stages })
    }

    /// Gives the stages in the order in which they are done; there is at least one.
    pub fn stages(&self) -> &[Stage] {
        &self.stages
    }
}

/// Splits a text at each `;` that stands in no brackets.
fn stages_of(text: &str) -> Vec<&str> {
    let mut inside = false;
    let divides = |c: char| {
        inside = match c {
            '(' | '[' => true,
            ')' | ']' => false,
            _ => inside,
        };
        c == ';' && !inside
    };
    text.split(divides).collect()
}

impl Stage {
    fn read(typed: &str, mark: DecimalMark) -> Result<Self, String> {
        let typed = typed.trim();
        let (first, also) = match typed.split_once(['(', '[']) {
            Some((first, behind)) => (first.trim(), Some(behind)),
            None => (typed, None),
        };
        let (figures, unit) = parted(first)?;
        if is_degrees(unit) {
            if also.is_some() {
                return Err(
                    "a turn is the same in every unit; leave out the brackets behind it".into()
                );
            }
            let figures = figures.strip_prefix('+').unwrap_or(figures);
            return Ok(Stage::Angle { degrees: positive(figures, mark)? });
        }
        let first = Moment::read(figures, unit, mark)?;
        let also = also.map_or(Ok(Vec::new()), |behind| in_brackets(behind, first, mark))?;
        Ok(Stage::Moment { first, also })
    }
}

/// Reads what stands behind the opening bracket: the same moment in other units.
fn in_brackets(behind: &str, first: Moment, mark: DecimalMark) -> Result<Vec<Moment>, String> {
    let Some((inside, rest)) = behind.split_once([')', ']']) else {
        return Err("close the bracket, as in 25 N·m (18 lbf·ft)".into());
    };
    if !rest.trim().is_empty() {
        return Err(
            "nothing stands behind the brackets; put a ; between two stages, and anything else in the note".into()
        );
    }
    let mut also: Vec<Moment> = Vec::new();
    let mut left = inside;
    while !left.is_empty() {
        // A comma within a figure is a decimal mark; one behind a unit divides.
        let divides = |(at, c): &(usize, char)| {
            matches!(c, ',' | '/' | ';')
                && left.get(..*at).is_some_and(|unit| {
                    unit.trim_end_matches([' ', '.']).ends_with(char::is_alphabetic)
                })
        };
        let end = left.char_indices().find(divides).map(|(at, _)| at);
        let (typed, after) = end.and_then(|end| left.split_at_checked(end)).unwrap_or((left, ""));
        let (figures, unit) = parted(typed.trim())?;
        if is_degrees(unit) {
            return Err(
                "a turn is a stage of its own: put it behind a ; as in 20 N·m (15 lbf·ft); +90°"
                    .into(),
            );
        }
        let moment = Moment::read(figures, unit, mark)?;
        if std::iter::once(&first).chain(&also).any(|known| known.unit == moment.unit) {
            return Err(format!(
                "{} stands there twice; brackets hold the same torque in another unit, and the note holds anything else",
                moment.unit
            ));
        }
        also.push(moment);
        left = after.strip_prefix([',', '/', ';']).unwrap_or(after);
    }
    if also.is_empty() { Err(FORMS.into()) } else { Ok(also) }
}

/// Parts figures from the unit behind them.
fn parted(typed: &str) -> Result<(&str, &str), String> {
    if typed.is_empty() {
        return Err(FORMS.into());
    }
    let end = typed.find(|c: char| c.is_alphabetic() || is_degree_sign(c)).unwrap_or(typed.len());
    // The end was found in this very text, so it lies between two characters.
    let (figures, unit) = typed.split_at(end);
    if unit.is_empty() {
        return Err(if figures.contains('/') {
            FORMS.into()
        } else {
            format!("say the unit; {UNITS}")
        });
    }
    Ok((figures.trim(), unit))
}

impl Moment {
    fn read(figures: &str, unit: &str, mark: DecimalMark) -> Result<Self, String> {
        if unit.contains(|c: char| c.is_ascii_digit()) {
            return Err(
                "put a ; between two stages, and the unit once at the end of each; the same torque in another unit goes in brackets, as in 25 N·m (18 lbf·ft)"
                    .into(),
            );
        }
        let unit = MomentUnit::parse(unit)
            .ok_or_else(|| format!("that unit is not known here; {UNITS}"))?;
        if figures.starts_with('+') {
            return Err("only a turn has a plus sign; write the moment to reach".into());
        }
        let Some((low, high)) = ends(figures) else {
            let moment = positive(figures, mark)?;
            return Ok(Moment { low: moment, high: moment, unit });
        };
        let (low, high) = (positive(low, mark)?, positive(high, mark)?);
        if low == high {
            return Err("both ends are the same; write one figure, or correct one end".into());
        }
        if low > high {
            return Err(format!("write the low end first, as in {high}-{low} {unit}"));
        }
        Ok(Moment { low, high, unit })
    }

    /// Gives the same moment in another unit, to three figures; in its own it stays as typed.
    pub fn in_unit(self, unit: MomentUnit) -> Moment {
        if unit == self.unit {
            return self;
        }
        let convert = |moment: Decimal| {
            let one = newton_metres(unit, Decimal::ONE);
            let moment = newton_metres(self.unit, moment).checked_div(one).unwrap_or(Decimal::MAX);
            moment.round_sf(3).unwrap_or(moment).normalize()
        };
        Moment { low: convert(self.low), high: convert(self.high), unit }
    }

    /// Says whether two figures can stand for one moment, end by end: whether they meet once each is taken for
    /// anything that rounds to its last digit, and another three percent are let pass, for manuals round generously.
    ///
    /// Together with rounding that is too little to take lbf·ft for N·m, but for figures of one digit.
    pub fn agrees_with(self, other: Moment) -> bool {
        let meet = |ours: Decimal, theirs: Decimal| {
            let (least, most) = rounded_from(self.unit, ours);
            let (other_least, other_most) = rounded_from(other.unit, theirs);
            let apart = (other_least - most).max(least - other_most);
            apart <= GENEROUS * newton_metres(self.unit, ours)
        };
        meet(self.low, other.low) && meet(self.high, other.high)
    }
}

/// The ends in N·m of what rounds to a figure, by half a unit of its last digit.
fn rounded_from(unit: MomentUnit, figure: Decimal) -> (Decimal, Decimal) {
    let half = Decimal::new(1, figure.scale()) / Decimal::TWO;
    (newton_metres(unit, figure - half), newton_metres(unit, figure + half))
}

/// Splits a range at its hyphen or its two dots. A hyphen that comes first is a minus sign and splits nothing.
fn ends(figures: &str) -> Option<(&str, &str)> {
    let split = figures.split_once("..").or_else(|| figures.split_once(['-', '–', '−']));
    split.filter(|(low, _)| !low.trim().is_empty())
}

/// Reads a plain number above zero.
fn positive(figures: &str, mark: DecimalMark) -> Result<Decimal, String> {
    let figures = figures.trim();
    if figures.is_empty() {
        return Err(FORMS.into());
    }
    if figures.contains(',') && mark == DecimalMark::Point {
        return Err("write the decimals after a point, as in 12.5".into());
    }
    if figures.contains('±') {
        return Err("write a range instead, as in 18-22 N·m".into());
    }
    // The signs have been taken off where they are allowed, and a mark wants digits on both sides: `18...22` is
    // neither 18 to 0.22 nor 18 to 22.
    let bare = |c: char| c.is_ascii_digit();
    if figures.starts_with(['-', '–', '−']) {
        return Err("a torque is more than zero; leave out the minus sign".into());
    }
    if !figures.starts_with(bare) || !figures.ends_with(bare) {
        return Err(FORMS.into());
    }
    let value = parse_decimal(figures, mark).ok_or(FORMS)?;
    if value.is_zero() {
        return Err("a torque is more than zero; leave the cell blank if it is not known".into());
    }
    if value >= Decimal::from(TOO_LARGE) {
        return Err("a torque has at most six digits before the decimals".into());
    }
    Ok(value)
}

/// The degree sign and two signs that are mistaken for it on keyboards.
fn is_degree_sign(c: char) -> bool {
    matches!(c, '°' | 'º' | '˚')
}

fn is_degrees(unit: &str) -> bool {
    let mut signs = unit.chars();
    let sign = signs.next().is_some_and(is_degree_sign) && signs.next().is_none();
    sign || matches!(unit.to_lowercase().as_str(), "deg" | "deg." | "degree" | "degrees")
}

impl MomentUnit {
    /// Gives the symbol.
    pub fn symbol(self) -> &'static str {
        match self {
            MomentUnit::NewtonMetre => "N·m",
            MomentUnit::KilogramForceMetre => "kgf·m",
            MomentUnit::PoundForceFoot => "lbf·ft",
            MomentUnit::PoundForceInch => "lbf·in",
        }
    }

    fn parse(typed: &str) -> Option<Self> {
        let joined: String = typed
            .chars()
            .filter(|c| {
                !c.is_whitespace() && !matches!(c, '·' | '⋅' | '∙' | '•' | '.' | '*' | '-' | '×')
            })
            .collect();
        match joined.to_lowercase().as_str() {
            "nm" => Some(MomentUnit::NewtonMetre),
            "kgfm" | "mkgf" | "kgm" | "mkg" => Some(MomentUnit::KilogramForceMetre),
            "lbfft" | "ftlbf" | "lbft" | "ftlb" | "lbsft" | "ftlbs" => {
                Some(MomentUnit::PoundForceFoot)
            }
            "lbfin" | "inlbf" | "lbin" | "inlb" | "lbsin" | "inlbs" => {
                Some(MomentUnit::PoundForceInch)
            }
            _ => None,
        }
    }
}

impl fmt::Display for MomentUnit {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.pad(self.symbol())
    }
}

impl fmt::Display for Stage {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let text = match self {
            Stage::Moment { first, also } if also.is_empty() => first.to_string(),
            Stage::Moment { first, also } => {
                let also: Vec<String> = also.iter().map(Moment::to_string).collect();
                format!("{first} ({})", also.join(", "))
            }
            Stage::Angle { degrees } => format!("+{degrees}°"),
        };
        f.pad(&text)
    }
}

impl fmt::Display for Moment {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let Moment { low, high, unit } = self;
        let text =
            if low == high { format!("{low} {unit}") } else { format!("{low}-{high} {unit}") };
        f.pad(&text)
    }
}

impl fmt::Display for Torque {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let stages: Vec<String> = self.stages.iter().map(Stage::to_string).collect();
        f.pad(&stages.join("; "))
    }
}

impl Serialize for Torque {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        serializer.collect_str(self)
    }
}

impl<'de> Deserialize<'de> for Torque {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        let text = String::deserialize(deserializer)?;
        Torque::parse(&text, DecimalMark::Point).map_err(de::Error::custom)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn torque(text: &str) -> Torque {
        Torque::parse(text, DecimalMark::Point).unwrap_or_else(|error| panic!("{error}"))
    }

    fn hint(text: &str) -> String {
        match Torque::parse(text, DecimalMark::Point) {
            Ok(torque) => panic!("{text} was read as {torque}"),
            Err(error) => error.hint,
        }
    }

    fn decimal(text: &str) -> Decimal {
        parse_decimal(text, DecimalMark::Point).unwrap_or_else(|| panic!("{text}"))
    }

    fn moment(low: &str, high: &str, unit: MomentUnit) -> Stage {
        Stage::Moment {
            first: Moment { low: decimal(low), high: decimal(high), unit },
            also: Vec::new(),
        }
    }

    /// Whether every figure in brackets agrees with the one in front of them.
    fn agrees(text: &str) -> bool {
        torque(text).stages().iter().all(|stage| match stage {
            Stage::Moment { first, also } => also.iter().all(|also| first.agrees_with(*also)),
            Stage::Angle { .. } => true,
        })
    }

    #[test]
    fn stages_are_kept_in_their_order() {
        use MomentUnit::NewtonMetre;
        assert_eq!(
            torque("20 N·m; 40 N·m; +90°").stages(),
            [
                moment("20", "20", NewtonMetre),
                moment("40", "40", NewtonMetre),
                Stage::Angle { degrees: decimal("90") },
            ]
        );
        assert_eq!(
            torque("20 N·m; +90°; +45°; 1.5 kgf·m").to_string(),
            "20 N·m; +90°; +45°; 1.5 kgf·m"
        );
    }

    #[test]
    fn the_usual_typings_of_a_unit_print_as_its_symbol() {
        let typings = [
            ("20 N·m", "20 Nm|20Nm|20 N.m|20 N*m|20 N m|20 N-m|20 nm|20 NM|20 N⋅m|20N·m"),
            (
                "2 kgf·m",
                "2 kgf·m|2 kgf.m|2kgf*m|2 kgfm|2 kgf m|2 kgf-m|2 kgm|2 kg-m|2 kg·m|2 m-kg|2 mkg|2 m·kgf",
            ),
            (
                "15 lbf·ft",
                "15 lbf·ft|15 lbf ft|15 ft-lb|15 ft-lbs|15 ft lb|15 ft. lbs.|15 lb-ft|15 lb.ft|15ftlb|15 ft·lbf|15 FT-LB|15 lbs-ft",
            ),
            (
                "90 lbf·in",
                "90 lbf·in|90 lbf in|90 in-lb|90 in-lbs|90 in lb|90 in. lbs.|90 lb-in|90 lb.in|90inlb|90 in·lbf|90 IN-LB|90 lbs-in",
            ),
        ];
        for (canonical, typed) in typings {
            for text in typed.split('|') {
                assert_eq!(torque(text).to_string(), canonical, "{text}");
            }
        }
    }

    #[test]
    fn a_turn_may_be_typed_in_several_ways() {
        for text in [
            "20 N·m; +90°",
            "20Nm;90°",
            "20 N·m; +90 deg",
            "20 N·m; 90 degrees",
            "20 N·m; + 90 º",
            "20 N·m; +90˚",
            "20 N·m; +90.0 Deg.",
        ] {
            assert_eq!(torque(text), torque("20 N·m; +90°"), "{text}");
        }
    }

    #[test]
    fn a_range_has_a_low_and_a_high_moment() {
        for text in
            ["18-22 N·m", "18 - 22 Nm", "18–22 N.m", "18−22 N·m", "18..22 N·m", "18 .. 22 N*m"]
        {
            assert_eq!(
                torque(text).stages(),
                [moment("18", "22", MomentUnit::NewtonMetre)],
                "{text}"
            );
            assert_eq!(torque(text).to_string(), "18-22 N·m");
        }
        assert_eq!(torque("1.8..2.2 kgf·m").to_string(), "1.8-2.2 kgf·m");
    }

    #[test]
    fn a_decimal_comma_is_read_where_it_is_allowed_and_printed_as_a_point() {
        let read =
            |text| Torque::parse(text, DecimalMark::PointOrComma).map(|torque| torque.to_string());
        assert_eq!(read("1,8-2,2 kgf·m; +22,5°").as_deref(), Ok("1.8-2.2 kgf·m; +22.5°"));
        assert!(hint("1,8 kgf·m").contains("after a point"));
    }

    #[test]
    fn the_same_in_other_units_stands_in_brackets_and_is_kept_as_typed() {
        for (typed, printed) in [
            ("25 N·m (18 lbf·ft)", "25 N·m (18 lbf·ft)"),
            ("25Nm(18ft-lb)", "25 N·m (18 lbf·ft)"),
            ("25 N·m [2.50 kgf·m; 18 lbf·ft]", "25 N·m (2.50 kgf·m, 18 lbf·ft)"),
            ("25 Nm (18 ft. lbs., 2.5 kgm)", "25 N·m (18 lbf·ft, 2.5 kgf·m)"),
            ("25 Nm (2.5 kgf.m/18 ft lb/217 in-lb)", "25 N·m (2.5 kgf·m, 18 lbf·ft, 217 lbf·in)"),
            ("18-22 N·m (13-16 lbf·ft)", "18-22 N·m (13-16 lbf·ft)"),
            (
                "10 N·m (7 lbf·ft); 20 N·m (15 lbf·ft); +90°",
                "10 N·m (7 lbf·ft); 20 N·m (15 lbf·ft); +90°",
            ),
        ] {
            assert_eq!(torque(typed).to_string(), printed, "{typed}");
            assert_eq!(torque(printed), torque(typed), "{typed}");
        }
        let comma = Torque::parse("25 N·m (2,5 kgf·m,18 lbf·ft)", DecimalMark::PointOrComma);
        assert_eq!(
            comma.map(|torque| torque.to_string()).as_deref(),
            Ok("25 N·m (2.5 kgf·m, 18 lbf·ft)")
        );
    }

    #[test]
    fn brackets_that_hold_anything_else_are_refused_with_what_belongs_there() {
        for (text, what) in [
            ("25 N·m (18)", "say the unit"),
            ("25 N·m (18 lb)", "that unit is not known"),
            ("25 N·m (dry)", "that unit is not known"),
            ("25 N·m ()", "write it like"),
            ("25 N·m (18 lbf·ft, )", "write it like"),
            ("25 N·m (18 lbf·ft", "close the bracket"),
            ("25 N·m (18 lbf·ft) dry", "the note"),
            ("25 N·m (18 lbf·ft) 40 N·m", "put a ; between"),
            ("25 N·m (25 N·m)", "N·m stands there twice"),
            ("25 N·m (18 lbf·ft, 19 lbf·ft)", "lbf·ft stands there twice"),
            ("25 N·m (+90°)", "a stage of its own"),
            ("20 N·m; +90° (15 lbf·ft)", "stage 2: a turn is the same in every unit"),
            ("25 (18) N·m", "say the unit"),
            ("(18 lbf·ft)", "write it like"),
            ("25 N·m (2,5 kgf·m)", "after a point"),
            ("25 N·m ((18 lbf·ft))", "nothing stands behind"),
            ("25 N·m / 18 lbf·ft", "goes in brackets"),
        ] {
            assert!(hint(text).contains(what), "{text}: {}", hint(text));
        }
    }

    #[test]
    fn figures_that_manuals_print_for_one_moment_agree_and_those_of_two_do_not() {
        for text in [
            "25 N·m (18 lbf·ft)",
            "25 N·m (2.5 kgf·m, 18 lbf·ft)",
            "10 N·m (1.0 kgf·m, 7.2 lbf·ft)",
            "10 N·m (90 lbf·in)",
            "100 N·m (10 kgf·m, 74 lbf·ft)",
            "12 lbf·ft (16 N·m)",
            "2.5 kgf·m (25 N·m)",
            "18-22 N·m (13-16 lbf·ft)",
            "120 N·m (90 lbf·ft)",
        ] {
            assert!(agrees(text), "{text}");
        }
        for text in [
            "18 N·m (18 lbf·ft)",
            "25 lbf·ft (18 N·m)",
            "25 N·m (34 lbf·ft)",
            "25 N·m (25 kgf·m)",
            "25 N·m (18 lbf·in)",
            "25 N·m (2.5 kgf·m, 34 lbf·ft)",
            "18-22 N·m (13-30 lbf·ft)",
            "10 N·m; 40 N·m (40 lbf·ft)",
        ] {
            assert!(!agrees(text), "{text}");
        }
    }

    #[test]
    fn a_turn_as_the_first_stage_is_refused() {
        assert!(hint("+90°").contains("needs a moment before it"));
        assert!(hint("90 deg; 20 N·m").contains("needs a moment before it"));
    }

    #[test]
    fn zero_and_less_are_refused() {
        for text in [
            "0 N·m",
            "0.00 N·m",
            "-20 N·m",
            "−20 N·m",
            "0-20 N·m",
            "-5-20 N·m",
            "20 N·m; +0°",
            "20 N·m; -90°",
            "20 N·m; +-90°",
        ] {
            assert!(hint(text).contains("more than zero"), "{text}: {}", hint(text));
        }
    }

    #[test]
    fn a_number_without_a_unit_is_refused() {
        for text in ["20", "20; 40", "18-22", "20 N·m; 40", "20 N·m; +90"] {
            assert!(hint(text).contains("say the unit"), "{text}: {}", hint(text));
        }
    }

    #[test]
    fn a_unit_that_is_not_known_is_refused_with_those_that_are() {
        for text in
            ["20 N", "20 lb", "20 m", "20 kgf·cm", "20 oz-in", "20 N/m", "1/4 turn", "20 ft"]
        {
            assert!(hint(text).contains("lbf·in"), "{text}: {}", hint(text));
        }
    }

    #[test]
    fn a_range_that_runs_backwards_or_has_no_width_is_refused() {
        assert!(hint("22-18 N·m").contains("18-22 N·m"));
        assert!(hint("20-20.0 N·m").contains("both ends are the same"));
    }

    #[test]
    fn an_empty_stage_is_refused_and_counted() {
        assert!(hint("20 N·m;").starts_with("stage 2: "));
        assert!(hint("20 N·m; ; +90°").starts_with("stage 2: "));
        assert!(hint(";20 N·m").starts_with("stage 1: "));
        assert_eq!(hint(""), FORMS);
        assert_eq!(hint("  "), FORMS);
    }

    #[test]
    fn stages_without_a_separator_are_refused() {
        for text in ["20 N·m +90°", "20 N·m 40 N·m", "18 N·m-22 N·m", "20 N·m, 40 N·m"] {
            assert!(hint(text).contains("between two stages"), "{text}: {}", hint(text));
        }
    }

    #[test]
    fn what_could_mean_something_else_is_refused() {
        assert!(hint("20 ±2 N·m").contains("write a range"));
        assert!(hint("+20 N·m").contains("only a turn has a plus sign"));
        for text in [
            "18...22 N·m",
            "18-20-22 N·m",
            "20. N·m",
            ".5 N·m",
            "20 - N·m",
            "1 1/2 kgf·m",
            "1e3 N·m",
            "2 0 N·m",
            "20 N·m; +80-100°",
            "N·m",
            "°",
            "+°",
            "1.2.3 N·m",
            "٣ N·m",
        ] {
            assert!(Torque::parse(text, DecimalMark::PointOrComma).is_err(), "{text}");
        }
    }

    #[test]
    fn a_number_too_large_for_any_bolt_is_refused() {
        assert!(hint("1000000 N·m").contains("six digits"));
        for digits in [27, 28, 29, 400] {
            let text = format!("{} N·m", "9".repeat(digits));
            assert!(Torque::parse(&text, DecimalMark::Point).is_err());
        }
    }

    #[test]
    fn the_text_that_was_found_is_reported() {
        let error = Torque::parse(" 20 N·m; 40 ", DecimalMark::Point).err();
        assert_eq!(
            error.map(|error| (error.what, error.found)),
            Some(("torque", "20 N·m; 40".into()))
        );
    }

    /// The pound-force in newtons and the foot in metres: NIST SP 811 (2008), appendix B.8; figures from memory.
    #[test]
    fn the_pound_factors_are_the_products_of_their_definitions() {
        let pound_force = decimal("4.4482216152605");
        assert_eq!(pound_force * decimal("0.3048"), POUND_FORCE_FOOT);
        assert_eq!(pound_force * decimal("0.0254"), POUND_FORCE_INCH);
        assert_eq!(POUND_FORCE_INCH * Decimal::from(12), POUND_FORCE_FOOT);
    }

    /// Source: NIST SP 811 (2008), appendix B.8, rounded as printed there; figures from memory.
    #[test]
    fn conversions_agree_with_the_published_factors() {
        let published = [
            (MomentUnit::KilogramForceMetre, "9.80665"),
            (MomentUnit::PoundForceFoot, "1.355818"),
            (MomentUnit::PoundForceInch, "0.1129848"),
            (MomentUnit::NewtonMetre, "1"),
        ];
        for (unit, figure) in published {
            let figure = decimal(figure);
            let worked_out = newton_metres(unit, Decimal::ONE);
            assert_eq!(worked_out.round_dp(figure.scale()), figure, "{unit}");
        }
    }

    #[test]
    fn a_conversion_beyond_all_decimals_gives_the_largest() {
        assert_eq!(newton_metres(MomentUnit::KilogramForceMetre, Decimal::MAX), Decimal::MAX);
        assert_eq!(newton_metres(MomentUnit::KilogramForceMetre, Decimal::MIN), Decimal::MIN);
    }

    /// Common practice, no source.
    #[test]
    fn twelve_pound_inches_make_a_pound_foot_so_mixing_them_up_shears_a_bolt() {
        assert_eq!(
            newton_metres(MomentUnit::PoundForceInch, decimal("12")),
            newton_metres(MomentUnit::PoundForceFoot, decimal("1"))
        );
    }

    /// Common practice, no source.
    #[test]
    fn a_kilogram_metre_is_ten_newton_metres_at_the_bench() {
        let exact = newton_metres(MomentUnit::KilogramForceMetre, decimal("1"));
        assert!((decimal("10") - exact) / exact < decimal("0.02"));
    }

    /// Common practice, no source.
    #[test]
    fn a_kilogram_metre_is_seven_and_a_quarter_pound_feet() {
        let ratio = newton_metres(MomentUnit::KilogramForceMetre, Decimal::ONE)
            / newton_metres(MomentUnit::PoundForceFoot, Decimal::ONE);
        assert_eq!(ratio.round_dp(2), decimal("7.23"));
    }

    /// Common practice, no source.
    #[test]
    fn a_hundred_newton_metres_are_a_little_under_seventy_four_pound_feet() {
        let pound_feet = decimal("100") / newton_metres(MomentUnit::PoundForceFoot, Decimal::ONE);
        assert_eq!(pound_feet.round_dp(1), decimal("73.8"));
    }

    #[test]
    fn a_torque_is_stored_as_its_text_and_checked_when_it_comes_back() {
        let typed = torque("18-22 Nm; 90°");
        let stored = serde_json::to_string(&typed).unwrap_or_default();
        assert_eq!(stored, "\"18-22 N·m; +90°\"");
        assert_eq!(serde_json::from_str::<Torque>(&stored).ok(), Some(typed));
        assert!(serde_json::from_str::<Torque>("\"+90°\"").is_err());
    }

    fn any_stage() -> impl Strategy<Value = String> {
        let unit =
            prop::sample::select(vec!["N·m", "Nm", "kgf.m", "kgm", "lbf ft", "ft-lb", "in-lb"]);
        let number = "[1-9][0-9]{0,5}(\\.[0-9]{1,12})?";
        prop_oneof![
            (number, unit.clone()).prop_map(|(figure, unit)| format!("{figure} {unit}")),
            (
                "[1-9][0-9]{0,2}(\\.[0-9]{1,5})?",
                "[1-9][0-9]{3,5}",
                prop::sample::select(vec!["-", "..", " – "]),
                unit
            )
                .prop_map(|(low, high, to, unit)| format!("{low}{to}{high}{unit}")),
            (number, number, number).prop_map(|(newtons, kilograms, pounds)| {
                format!("{newtons} N·m ({kilograms} kgm, {pounds} ft. lbs.)")
            }),
            number.prop_map(|degrees| format!("+{degrees} deg")),
        ]
    }

    proptest! {
        #[test]
        fn whatever_prints_parses_back_to_an_equal_value(
            first in "[1-9][0-9]{0,5}",
            stages in prop::collection::vec(any_stage(), 0..5),
        ) {
            let text = format!("{first} N·m{}", stages.iter().map(|stage| format!("; {stage}")).collect::<String>());
            let read = Torque::parse(&text, DecimalMark::Point);
            prop_assert!(read.is_ok(), "{}: {:?}", text, read);
            if let Ok(torque) = read {
                prop_assert_eq!(torque.stages().len(), stages.len() + 1);
                let printed = torque.to_string();
                for mark in [DecimalMark::Point, DecimalMark::PointOrComma] {
                    let again = Torque::parse(&printed, mark);
                    prop_assert_eq!(again.as_ref(), Ok(&torque));
                }
            }
        }

        #[test]
        fn no_text_panics(text in "\\PC*") {
            let _ = Torque::parse(&text, DecimalMark::PointOrComma);
        }

        #[test]
        fn no_text_of_the_right_signs_panics_and_what_is_read_prints_back(
            text in "([0-9.,;+\\-±°º /()\\[]|N·m|kgf·m|lbf|ft|in-lb|deg|\\.\\.|99999999999999){0,12}",
            comma in any::<bool>(),
        ) {
            let mark = if comma { DecimalMark::PointOrComma } else { DecimalMark::Point };
            if let Ok(torque) = Torque::parse(&text, mark) {
                prop_assert_eq!(Torque::parse(&torque.to_string(), mark), Ok(torque));
            }
        }

        #[test]
        fn a_moment_rounded_to_whole_figures_of_another_unit_agrees_with_itself(tenths in 50_u32..10_000) {
            let figure = Decimal::new(i64::from(tenths), 1);
            let typed = Moment { low: figure, high: figure, unit: MomentUnit::NewtonMetre };
            for unit in [MomentUnit::KilogramForceMetre, MomentUnit::PoundForceFoot, MomentUnit::PoundForceInch] {
                prop_assert!(typed.agrees_with(typed.in_unit(unit)) && typed.in_unit(unit).agrees_with(typed));
            }
            let pounds = Moment { unit: MomentUnit::PoundForceFoot, ..typed };
            prop_assert!(!typed.agrees_with(pounds) && !pounds.agrees_with(typed));
        }

        #[test]
        fn no_conversion_panics(mantissa in any::<i64>(), decimals in 0_u32..=28) {
            for unit in [MomentUnit::NewtonMetre, MomentUnit::KilogramForceMetre, MomentUnit::PoundForceFoot, MomentUnit::PoundForceInch] {
                let _ = newton_metres(unit, Decimal::new(mantissa, decimals));
            }
        }
    }
}
