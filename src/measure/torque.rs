//! A tightening torque as a person types it: one stage after another, each a moment, a range of moments, or a turn
//! by an angle once a moment is reached.
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
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
pub enum Stage {
    /// Tighten to a moment between low and high; both are the same where one figure was typed.
    Moment {
        /// The least moment, in the unit; more than zero.
        low: Decimal,
        /// The greatest moment, in the unit; not less than the least.
        high: Decimal,
        /// The unit as typed.
        unit: MomentUnit,
    },
    /// Turn further by an angle, from where the stage before it ended.
    Angle {
        /// The angle in degrees; more than zero.
        degrees: Decimal,
    },
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

/// Every number typed stays below this.
const TOO_LARGE: u32 = 1_000_000;

const FORMS: &str = "write it like 20 N·m, or 18-22 N·m, or in stages like 20 N·m; 40 N·m; +90°";
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
    /// manuals write them.
    ///
    /// # Errors
    /// Any other text; a stage that is empty; a number without a unit; a moment or a turn of zero or less; a range
    /// that runs backwards or has no width; a turn as the first stage; a number of a million or more.
    pub fn parse(text: &str, mark: DecimalMark) -> Result<Self, Unreadable> {
        let unreadable = |hint: String| Unreadable::new(WHAT, text.trim(), hint);
        let mut stages = Vec::new();
        for (typed, number) in text.split(';').zip(1_u32..) {
            let stage = Stage::read(typed, mark).map_err(|hint| {
                unreadable(if text.contains(';') { format!("stage {number}: {hint}") } else { hint })
            })?;
            if stages.is_empty() && matches!(stage, Stage::Angle { .. }) {
                return Err(unreadable("a turn needs a moment before it, as in 20 N·m; +90°".into()));
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

impl Stage {
    fn read(typed: &str, mark: DecimalMark) -> Result<Self, String> {
        let typed = typed.trim();
        if typed.is_empty() {
            return Err(FORMS.into());
        }
        let end = typed.find(|c: char| c.is_alphabetic() || is_degree_sign(c)).unwrap_or(typed.len());
        // The end was found in this very text, so it lies between two characters.
        let (figures, unit) = typed.split_at(end);
        let figures = figures.trim();
        if unit.is_empty() {
            return Err(if figures.contains('/') { FORMS.into() } else { format!("say the unit; {UNITS}") });
        }
        if is_degrees(unit) {
            let figures = figures.strip_prefix('+').unwrap_or(figures);
            let degrees = positive(figures, mark)?;
            return Ok(Stage::Angle { degrees });
        }
        if unit.contains(|c: char| c.is_ascii_digit()) {
            return Err("put a ; between two stages, and the unit once at the end of each".into());
        }
        let unit = MomentUnit::parse(unit).ok_or_else(|| format!("that unit is not known here; {UNITS}"))?;
        if figures.starts_with('+') {
            return Err("only a turn has a plus sign; write the moment to reach".into());
        }
        let Some((low, high)) = ends(figures) else {
            let moment = positive(figures, mark)?;
            return Ok(Stage::Moment { low: moment, high: moment, unit });
        };
        let (low, high) = (positive(low, mark)?, positive(high, mark)?);
        if low == high {
            return Err("both ends are the same; write one figure, or correct one end".into());
        }
        if low > high {
            return Err(format!("write the low end first, as in {high}-{low} {unit}"));
        }
        Ok(Stage::Moment { low, high, unit })
    }
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
            .filter(|c| !c.is_whitespace() && !matches!(c, '·' | '⋅' | '∙' | '•' | '.' | '*' | '-' | '×'))
            .collect();
        match joined.to_lowercase().as_str() {
            "nm" => Some(MomentUnit::NewtonMetre),
            "kgfm" | "mkgf" | "kgm" | "mkg" => Some(MomentUnit::KilogramForceMetre),
            "lbfft" | "ftlbf" | "lbft" | "ftlb" | "lbsft" | "ftlbs" => Some(MomentUnit::PoundForceFoot),
            "lbfin" | "inlbf" | "lbin" | "inlb" | "lbsin" | "inlbs" => Some(MomentUnit::PoundForceInch),
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
            Stage::Moment { low, high, unit } if low == high => format!("{low} {unit}"),
            Stage::Moment { low, high, unit } => format!("{low}-{high} {unit}"),
            Stage::Angle { degrees } => format!("+{degrees}°"),
        };
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
        Stage::Moment { low: decimal(low), high: decimal(high), unit }
    }

    #[test]
    fn stages_are_kept_in_their_order() {
        use MomentUnit::NewtonMetre;
        assert_eq!(
            torque("20 N·m; 40 N·m; +90°").stages(),
            [moment("20", "20", NewtonMetre), moment("40", "40", NewtonMetre), Stage::Angle { degrees: decimal("90") },]
        );
        assert_eq!(torque("20 N·m; +90°; +45°; 1.5 kgf·m").to_string(), "20 N·m; +90°; +45°; 1.5 kgf·m");
    }

    #[test]
    fn the_usual_typings_of_a_unit_print_as_its_symbol() {
        let typings = [
            ("20 N·m", "20 Nm|20Nm|20 N.m|20 N*m|20 N m|20 N-m|20 nm|20 NM|20 N⋅m|20N·m"),
            ("2 kgf·m", "2 kgf·m|2 kgf.m|2kgf*m|2 kgfm|2 kgf m|2 kgf-m|2 kgm|2 kg-m|2 kg·m|2 m-kg|2 mkg|2 m·kgf"),
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
        for text in ["18-22 N·m", "18 - 22 Nm", "18–22 N.m", "18−22 N·m", "18..22 N·m", "18 .. 22 N*m"] {
            assert_eq!(torque(text).stages(), [moment("18", "22", MomentUnit::NewtonMetre)], "{text}");
            assert_eq!(torque(text).to_string(), "18-22 N·m");
        }
        assert_eq!(torque("1.8..2.2 kgf·m").to_string(), "1.8-2.2 kgf·m");
    }

    #[test]
    fn a_decimal_comma_is_read_where_it_is_allowed_and_printed_as_a_point() {
        let read = |text| Torque::parse(text, DecimalMark::PointOrComma).map(|torque| torque.to_string());
        assert_eq!(read("1,8-2,2 kgf·m; +22,5°").as_deref(), Ok("1.8-2.2 kgf·m; +22.5°"));
        assert!(hint("1,8 kgf·m").contains("after a point"));
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
        for text in ["20 N", "20 lb", "20 m", "20 kgf·cm", "20 oz-in", "20 N/m", "1/4 turn", "20 ft"] {
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
        assert_eq!(error.map(|error| (error.what, error.found)), Some(("torque", "20 N·m; 40".into())));
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
        let unit = prop::sample::select(vec!["N·m", "Nm", "kgf.m", "kgm", "lbf ft", "ft-lb", "in-lb"]);
        let number = "[1-9][0-9]{0,5}(\\.[0-9]{1,12})?";
        prop_oneof![
            (number, unit.clone()).prop_map(|(figure, unit)| format!("{figure} {unit}")),
            ("[1-9][0-9]{0,2}(\\.[0-9]{1,5})?", "[1-9][0-9]{3,5}", prop::sample::select(vec!["-", "..", " – "]), unit)
                .prop_map(|(low, high, to, unit)| format!("{low}{to}{high}{unit}")),
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
            text in "([0-9.,;+\\-±°º /]|N·m|kgf·m|lbf|ft|in-lb|deg|\\.\\.|99999999999999){0,12}",
            comma in any::<bool>(),
        ) {
            let mark = if comma { DecimalMark::PointOrComma } else { DecimalMark::Point };
            if let Ok(torque) = Torque::parse(&text, mark) {
                prop_assert_eq!(Torque::parse(&torque.to_string(), mark), Ok(torque));
            }
        }

        #[test]
        fn no_conversion_panics(mantissa in any::<i64>(), decimals in 0_u32..=28) {
            for unit in [MomentUnit::NewtonMetre, MomentUnit::KilogramForceMetre, MomentUnit::PoundForceFoot, MomentUnit::PoundForceInch] {
                let _ = newton_metres(unit, Decimal::new(mantissa, decimals));
            }
        }
    }
}
