//! How one kit differs from another: what it asks for beyond it, and what it saves.

use super::price::{maybe_number, number};
use crate::kit::{Gap, Kit};
use crate::measure::Unit;
use rust_decimal::Decimal;
use serde::{Serialize, Serializer};

/// How a kit differs from the one that it is compared with.
#[derive(Debug, Clone, Default, Serialize)]
pub struct Difference {
    /// The operations that only it has, in strip order.
    pub operations: Vec<ExtraOperation>,
    /// The minutes of those whose minutes are known.
    #[serde(serialize_with = "number")]
    pub minutes: Decimal,
    /// How many of them nobody has timed.
    pub untimed: usize,
    /// The operations that only the other kit has.
    pub without: Vec<String>,
    /// What it needs more of.
    pub parts: Vec<Amount>,
    /// What it needs less of.
    pub less: Vec<Amount>,
    /// The gaps that only it has.
    pub gaps: Vec<Gap>,
}

/// An operation that only one of two kits has.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct ExtraOperation {
    /// The operation.
    pub operation: String,
    /// What it is, in words.
    pub name: String,
    /// How long it takes; `null` where nobody knows.
    #[serde(serialize_with = "maybe_number")]
    pub minutes: Option<Decimal>,
}

/// So much of a part.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Amount {
    /// The part.
    pub part: String,
    /// What its maker calls it.
    pub name: String,
    /// How much, in the unit; 0 is as needed.
    #[serde(serialize_with = "number")]
    pub quantity: Decimal,
    /// The unit.
    #[serde(serialize_with = "symbol")]
    pub unit: Unit,
}

fn symbol<S: Serializer>(unit: &Unit, serializer: S) -> Result<S::Ok, S::Error> {
    serializer.serialize_str(unit.symbol())
}

/// Gives the lines of a kit as plain amounts.
pub fn amounts(kit: &Kit) -> Vec<Amount> {
    let lines = kit.lines.iter().map(|line| Amount {
        part: line.part.clone(),
        name: if line.name.is_empty() { line.part_type.clone() } else { line.name.clone() },
        quantity: line.quantity,
        unit: line.unit,
    });
    lines.collect()
}

/// Says how a kit differs from a base. Lines are matched by part and unit.
pub fn difference(kit: &Kit, base: &Kit) -> Difference {
    let mut difference = Difference::default();
    let has = |kit: &Kit, operation: &str| {
        kit.operations.iter().any(|other| other.operation == operation)
    };
    for operation in kit.operations.iter().filter(|operation| !has(base, &operation.operation)) {
        difference.minutes =
            difference.minutes.saturating_add(operation.minutes.unwrap_or_default());
        difference.untimed += usize::from(operation.minutes.is_none());
        difference.operations.push(ExtraOperation {
            operation: operation.operation.clone(),
            name: operation.name.clone(),
            minutes: operation.minutes,
        });
    }
    let gone = base.operations.iter().filter(|operation| !has(kit, &operation.operation));
    difference.without = gone.map(|operation| operation.operation.clone()).collect();
    let (ours, theirs) = (amounts(kit), amounts(base));
    difference.parts = beyond(&ours, &theirs);
    difference.less = beyond(&theirs, &ours);
    let known = |gap: &&Gap| {
        !base.gaps.iter().any(|other| other.kind == gap.kind && other.subject == gap.subject)
    };
    difference.gaps = kit.gaps.iter().filter(known).cloned().collect();
    difference
}

/// What one list has more of than another.
fn beyond(ours: &[Amount], theirs: &[Amount]) -> Vec<Amount> {
    let mut more = Vec::new();
    for amount in ours {
        let other =
            theirs.iter().find(|other| other.part == amount.part && other.unit == amount.unit);
        match other {
            None => more.push(amount.clone()),
            Some(other) if amount.quantity > other.quantity => {
                more.push(Amount { quantity: amount.quantity - other.quantity, ..amount.clone() });
            }
            Some(_) => {}
        }
    }
    more
}
