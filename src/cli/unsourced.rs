//! What an order lacks, in words: parts that nobody offers, and that there is nothing to order.

use crate::buy::answer::Unsourced;
use crate::measure::Quantity;

/// Says why no parcel is ordered.
/// Says why no parcel comes: nothing is needed, or nobody offers what is.
pub(super) fn no_parcel(unsourced: usize) -> &'static str {
    if unsourced == 0 { "nothing to order" } else { "nothing that can be ordered" }
}

/// Names a part that nobody offers, with how much of it is wanted.
pub(super) fn missing_amount(missing: &Unsourced) -> String {
    if missing.as_needed {
        return format!("{}, as needed", missing.part);
    }
    format!("{} × {}", Quantity::new(missing.quantity, missing.unit).shown(), missing.part)
}
