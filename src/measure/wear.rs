//! How far a feature has worn towards its limit.

use super::interval::Interval;
use rust_decimal::Decimal;
use serde::{Serialize, Serializer};
use std::fmt;

/// How a reading stands to its limits.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum WearState {
    /// Within its limits.
    InLimits,
    /// Within its limits, but not for much longer.
    NearTheLimit,
    /// Past a limit.
    Beyond,
}

impl WearState {
    /// Gives the state in words; other programs are given `in-limits`, `near-limit` and `beyond`.
    pub fn as_str(self) -> &'static str {
        match self {
            WearState::InLimits => "in limits",
            WearState::NearTheLimit => "near the limit",
            WearState::Beyond => "beyond the limit",
        }
    }
}

impl fmt::Display for WearState {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.pad(self.as_str())
    }
}

impl Serialize for WearState {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        serializer.serialize_str(match self {
            WearState::InLimits => "in-limits",
            WearState::NearTheLimit => "near-limit",
            WearState::Beyond => "beyond",
        })
    }
}

/// A reading against its limits.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Wear {
    /// How it stands.
    pub state: WearState,
    /// How much is left to the nearer limit, in mm; less than zero beyond it.
    pub left: Decimal,
    /// The nearer limit, in mm.
    pub limit: Decimal,
    /// The nearer limit is the least that it may measure.
    pub is_least: bool,
}

/// A reading is near its limit when less than this part of what may wear is left. Source: common practice, no source.
const NEAR: Decimal = Decimal::from_parts(2, 0, 0, false, 1);

impl Wear {
    /// Judges a reading; `None` where there is no limit to judge it by.
    ///
    /// A reading that may lie on either side of a limit counts as beyond it: the worse end is judged. What may wear is
    /// the way from the size when new to the limit; where that size is not given, no reading is near.
    pub fn judge(
        reading: Interval,
        new: Option<Interval>,
        least: Option<Decimal>,
        most: Option<Decimal>,
    ) -> Option<Wear> {
        let of = |left: Decimal, limit: Decimal, is_least: bool, allowance: Option<Decimal>| {
            let near = allowance.is_some_and(|allowance| {
                allowance > Decimal::ZERO && left < allowance.checked_mul(NEAR).unwrap_or(allowance)
            });
            let state = match (left < Decimal::ZERO, near) {
                (true, _) => WearState::Beyond,
                (false, true) => WearState::NearTheLimit,
                (false, false) => WearState::InLimits,
            };
            Wear { state, left, limit, is_least }
        };
        let by_least = least.and_then(|least| {
            let allowance = new.and_then(|new| new.nominal.checked_sub(least));
            Some(of(reading.low.checked_sub(least)?, least, true, allowance))
        });
        let by_most = most.and_then(|most| {
            let allowance = new.and_then(|new| most.checked_sub(new.nominal));
            Some(of(most.checked_sub(reading.high)?, most, false, allowance))
        });
        match (by_least, by_most) {
            (Some(a), Some(b)) => Some(if (b.state, -b.left) > (a.state, -a.left) { b } else { a }),
            (a, b) => a.or(b),
        }
    }
}

impl fmt::Display for Wear {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let show = |value: Decimal| super::plain(value.round_dp(4));
        let limit = format!(
            "{} {} mm",
            if self.is_least { "at least" } else { "at most" },
            show(self.limit)
        );
        if self.state == WearState::Beyond {
            write!(f, "{}: {} mm past it ({limit})", self.state, show(-self.left))
        } else {
            write!(f, "{}: {} mm left ({limit})", self.state, show(self.left))
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn mm(text: &str) -> Decimal {
        text.parse().unwrap()
    }

    fn shaft(reading: &str) -> Wear {
        let new = Some(Interval::exactly(mm("12")));
        Wear::judge(Interval::exactly(mm(reading)), new, Some(mm("11.9")), None).unwrap()
    }

    #[test]
    fn a_shaft_wears_from_new_through_near_to_beyond() {
        assert_eq!(shaft("11.96").state, WearState::InLimits);
        assert_eq!(shaft("11.92").state, WearState::InLimits);
        assert_eq!(shaft("11.91").state, WearState::NearTheLimit);
        assert_eq!(shaft("11.9").state, WearState::NearTheLimit);
        assert_eq!(
            shaft("11.87").to_string(),
            "beyond the limit: 0.03 mm past it (at least 11.9 mm)"
        );
        assert_eq!(shaft("11.96").to_string(), "in limits: 0.06 mm left (at least 11.9 mm)");
    }

    #[test]
    fn the_nearer_of_two_limits_counts_and_a_wide_reading_is_judged_by_its_worse_end() {
        let wide = Interval::new(mm("9.9"), mm("10"), mm("10.3"));
        let wear = Wear::judge(wide, None, Some(mm("9.8")), Some(mm("10.2"))).unwrap();
        assert_eq!((wear.state, wear.is_least, wear.left), (WearState::Beyond, false, mm("-0.1")));
    }

    #[test]
    fn without_a_limit_nothing_is_judged() {
        assert_eq!(Wear::judge(Interval::exactly(mm("10")), None, None, None), None);
    }

    proptest! {
        #[test]
        fn more_wear_is_never_better(a in 1_000_i64..13_000, b in 1_000_i64..13_000) {
            let judge = |reading: i64| {
                let new = Some(Interval::exactly(mm("12")));
                Wear::judge(Interval::exactly(Decimal::new(reading, 3)), new, Some(mm("11.9")), None).unwrap().state
            };
            prop_assert!(judge(a.min(b)) >= judge(a.max(b)));
        }
    }
}
