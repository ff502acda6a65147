//! A figure that is only known between limits, and the arithmetic that keeps every possible value inside.

use rust_decimal::{Decimal, MathematicalOps};
use std::fmt;

/// A figure with its nominal value and the limits between which it lies.
///
/// Every operation gives limits that hold for all values of its operands, so a result never claims more than the
/// figures that went in. An operation gives `None` where a result grows beyond what a decimal holds, or would be
/// divided by zero.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Interval {
    /// The least that it can be.
    pub low: Decimal,
    /// What it is meant to be; between the limits.
    pub nominal: Decimal,
    /// The most that it can be.
    pub high: Decimal,
}

impl Interval {
    /// Makes an interval; limits in the wrong order are turned, and a nominal value outside is moved to the near limit.
    pub fn new(low: Decimal, nominal: Decimal, high: Decimal) -> Self {
        let (low, high) = (low.min(high), low.max(high));
        Interval { low, nominal: nominal.clamp(low, high), high }
    }

    /// Makes an interval of one value.
    pub fn exactly(value: Decimal) -> Self {
        Interval { low: value, nominal: value, high: value }
    }

    /// Gives the distance between the limits.
    pub fn width(self) -> Decimal {
        self.high.saturating_sub(self.low)
    }

    /// Gives the value halfway between the limits.
    pub fn middle(self) -> Decimal {
        self.low.saturating_add(self.high) / Decimal::TWO
    }

    /// Tells whether a value lies between the limits, the limits themselves included.
    pub fn holds(self, value: Decimal) -> bool {
        self.low <= value && value <= self.high
    }

    /// Tells whether another interval lies inside this one.
    pub fn encloses(self, inner: Interval) -> bool {
        self.low <= inner.low && inner.high <= self.high
    }

    /// Adds.
    pub fn plus(self, other: Interval) -> Option<Interval> {
        Some(Interval {
            low: self.low.checked_add(other.low)?,
            nominal: self.nominal.checked_add(other.nominal)?,
            high: self.high.checked_add(other.high)?,
        })
    }

    /// Takes away.
    pub fn minus(self, other: Interval) -> Option<Interval> {
        Some(Interval {
            low: self.low.checked_sub(other.high)?,
            nominal: self.nominal.checked_sub(other.nominal)?,
            high: self.high.checked_sub(other.low)?,
        })
    }

    /// Multiplies.
    pub fn times(self, other: Interval) -> Option<Interval> {
        let corners = [
            self.low.checked_mul(other.low)?,
            self.low.checked_mul(other.high)?,
            self.high.checked_mul(other.low)?,
            self.high.checked_mul(other.high)?,
        ];
        let low = corners.into_iter().min()?;
        let high = corners.into_iter().max()?;
        Some(Interval::new(low, self.nominal.checked_mul(other.nominal)?, high))
    }

    /// Multiplies by one value.
    pub fn scaled(self, factor: Decimal) -> Option<Interval> {
        self.times(Interval::exactly(factor))
    }

    /// Divides by a figure that is more than zero throughout; by any other it gives `None`.
    pub fn over(self, other: Interval) -> Option<Interval> {
        if other.low <= Decimal::ZERO {
            return None;
        }
        let corners = [
            self.low.checked_div(other.low)?,
            self.low.checked_div(other.high)?,
            self.high.checked_div(other.low)?,
            self.high.checked_div(other.high)?,
        ];
        let low = corners.into_iter().min()?;
        let high = corners.into_iter().max()?;
        Some(Interval::new(low, self.nominal.checked_div(other.nominal)?, high))
    }

    /// Takes the square root; `None` where any value is less than zero.
    pub fn square_root(self) -> Option<Interval> {
        Some(Interval::new(self.low.sqrt()?, self.nominal.sqrt()?, self.high.sqrt()?))
    }

    /// Gives the limits of a difference if both sizes scatter evenly about their middles: the root of the sum of the
    /// squares of their half widths, about the difference of their middles.
    ///
    /// Narrower than [`Interval::minus`] and not a promise: parts that lean to one side fall outside.
    /// Source: root-sum-square stacking, common practice, no source.
    pub fn minus_statistically(self, other: Interval) -> Option<Interval> {
        let middle = self.middle().checked_sub(other.middle())?;
        let half = |figure: Interval| figure.width() / Decimal::TWO;
        let square = |figure: Decimal| figure.checked_mul(figure);
        let spread = square(half(self))?.checked_add(square(half(other))?)?.sqrt()?;
        Some(Interval {
            low: middle.checked_sub(spread)?,
            nominal: middle,
            high: middle.checked_add(spread)?,
        })
    }
}

impl fmt::Display for Interval {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let show = |value: Decimal| super::plain(value.round_dp(4));
        if self.low == self.high {
            f.pad(&show(self.low))
        } else {
            f.pad(&format!("{}..{}", show(self.low), show(self.high)))
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;
    use rand::{Rng, SeedableRng};

    fn figure() -> impl Strategy<Value = Interval> {
        (1_i64..500_000, 0_i64..5_000, 0_i64..5_000).prop_map(|(nominal, below, above)| {
            let at = |value: i64| Decimal::new(value.max(1), 3);
            Interval::new(at(nominal - below), at(nominal), at(nominal + above))
        })
    }

    #[test]
    fn limits_turn_round_and_a_nominal_outside_is_moved() {
        let turned = Interval::new(Decimal::TWO, Decimal::TEN, Decimal::ONE);
        assert_eq!(
            (turned.low, turned.nominal, turned.high),
            (Decimal::ONE, Decimal::TWO, Decimal::TWO)
        );
    }

    #[test]
    fn a_figure_that_may_be_zero_divides_nothing() {
        let one = Interval::exactly(Decimal::ONE);
        assert_eq!(one.over(Interval::new(Decimal::ZERO, Decimal::ONE, Decimal::ONE)), None);
        assert_eq!(Interval::exactly(Decimal::MAX).plus(one), None);
    }

    #[test]
    fn ten_thousand_samples_lie_inside_every_result() {
        let mut rng = rand_chacha::ChaCha8Rng::seed_from_u64(286);
        let at = |value: i64| Decimal::new(value, 3);
        let a = Interval::new(at(2_540), at(2_620), at(2_700));
        let b = Interval::new(at(1_950), at(2_050), at(2_150));
        let (sum, difference) = (a.plus(b).unwrap(), a.minus(b).unwrap());
        let (product, quotient) = (a.times(difference).unwrap(), difference.over(a).unwrap());
        let root = a.square_root().unwrap();
        for _ in 0..10_000 {
            let x = at(rng.random_range(2_540..=2_700));
            let y = at(rng.random_range(1_950..=2_150));
            assert!(sum.holds(x + y) && difference.holds(x - y));
            assert!(product.holds(x * (x - y)) && root.holds(x.sqrt().unwrap()));
            assert!(quotient.holds((x - y) / x));
        }
    }

    proptest! {
        #[test]
        fn wider_figures_never_give_narrower_results(a in figure(), b in figure(), more in 0_i64..1_000) {
            let more = Decimal::new(more, 4);
            let wide = Interval::new((a.low - more).max(Decimal::new(1, 6)), a.nominal, a.high + more);
            prop_assert!(wide.minus(b).unwrap().encloses(a.minus(b).unwrap()));
            prop_assert!(wide.times(b).unwrap().encloses(a.times(b).unwrap()));
            prop_assert!(wide.over(b).unwrap().encloses(a.over(b).unwrap()));
            prop_assert!(b.over(wide).unwrap().encloses(b.over(a).unwrap()));
        }

        #[test]
        fn the_statistical_clearance_lies_inside_the_worst_case(a in figure(), b in figure()) {
            prop_assert!(a.minus(b).unwrap().encloses(a.minus_statistically(b).unwrap()));
        }
    }
}
