//! How much work a job is, by the minutes of its operations.

use crate::kit::Kit;
use rust_decimal::Decimal;

/// What an operation counts as that nobody has timed, in minutes: own judgement, no source.
pub const UNTIMED_MINUTES: u32 = 15;

/// How many operations of a kit nobody has timed.
pub fn untimed(kit: &Kit) -> usize {
    kit.operations.iter().filter(|operation| operation.minutes.is_none()).count()
}

/// The minutes to compare kits by: those that were timed, and 15 for each operation that was not.
pub fn effort(kit: &Kit) -> Decimal {
    kit.minutes.saturating_add(Decimal::from(untimed(kit)).saturating_mul(UNTIMED_MINUTES.into()))
}
