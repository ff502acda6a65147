use super::{DecimalMark, Unreadable, parse_decimal};
use rust_decimal::Decimal;
use serde::{Deserialize, Serialize};
use std::fmt;

/// An amount of money in the supplier's currency; a decimal, never a float, and never negative.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
pub struct Money(pub Decimal);

impl Money {
    /// Reads an amount such as `12.50`, at most four decimals.
    ///
    /// # Errors
    /// Anything else, a currency sign or a thousands mark among them.
    pub fn parse(text: &str, mark: DecimalMark) -> Result<Self, Unreadable> {
        match parse_decimal(text, mark) {
            Some(amount) if amount >= Decimal::ZERO && amount.normalize().scale() <= 4 => {
                Ok(Money(amount))
            }
            _ => Err(Unreadable::new(
                "amount of money",
                text,
                "type a plain decimal such as 12.50, without a currency sign or thousands mark",
            )),
        }
    }
}

impl fmt::Display for Money {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let mut amount = self.0.normalize();
        if amount.scale() < 2 {
            amount.rescale(2);
        }
        f.pad(&amount.to_string())
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn money_is_exact_and_prints_at_least_two_decimals() {
        let money = |text| Money::parse(text, DecimalMark::PointOrComma).expect(text);
        assert_eq!(money("0.1").0 + money("0,2").0, money("0.3").0);
        assert_eq!(money("12,5").to_string(), "12.50");
        assert_eq!(money("0.0125").to_string(), "0.0125");
        assert_eq!(money(&money("7").to_string()), money("7"));
    }

    #[test]
    fn what_is_no_amount_is_refused() {
        for text in ["", "-1", "€ 3", "1,000.00", "1e3", "0.00001", "12,50"] {
            assert!(Money::parse(text, DecimalMark::Point).is_err(), "{text}");
        }
    }
}
