//! Passages that the pages of several commands have alike.

use super::printing::Page;
use crate::kit::PlannedPosition;
use crate::measure::Quantity;
use crate::say::{limit_text, named_thing};
use crate::work::difference::{Amount, Difference};
use std::time::Duration;

/// Lists inspected positions with what replaces them and the limits that decide it.
pub(super) fn to_inspect(inspected: &[&PlannedPosition], page: &mut Page) {
    for planned in inspected {
        let called = named_thing(&planned.name, &planned.position);
        let parts: Vec<String> = planned
            .if_worn
            .iter()
            .map(|part| {
                format!("{} × {}", Quantity::new(part.quantity, part.unit).shown(), part.part)
            })
            .collect();
        let parts =
            if parts.is_empty() { "part not looked up".to_owned() } else { parts.join(", ") };
        page.text(&format!("{called}: {parts}"), "  ", "    ");
        for limit in &planned.limits {
            page.quiet(&limit_text(limit), "      ");
        }
    }
}

/// How long one job's price may take; a price that takes longer is the best found so far.
pub(super) const PATIENCE: Duration = Duration::from_secs(3);

/// What is needed more and less of.
pub(super) fn difference(extra: &Difference, page: &mut Page) {
    for (word, parts) in [("more:", &extra.parts), ("less:", &extra.less)] {
        if !parts.is_empty() {
            let parts: Vec<String> = parts.iter().map(amount).collect();
            page.quiet(&format!("{word} {}", parts.join(", ")), "      ");
        }
    }
    if !extra.without.is_empty() {
        page.quiet(&format!("not done: {}", extra.without.join(", ")), "      ");
    }
}

fn amount(amount: &Amount) -> String {
    if amount.quantity.is_zero() {
        return format!("{} as needed", amount.part);
    }
    format!("{} × {}", Quantity::new(amount.quantity, amount.unit).shown(), amount.part)
}
