//! What is looked for in a part, and what in a question, besides their words: fragments of numbers, and sizes.
//!
//! Both sides come through here, so that they meet.

use crate::measure::{Size, lengths_mm};
use rust_decimal::Decimal;
use rust_decimal::prelude::ToPrimitive;

/// The shortest fragment of a number that is looked for inside numbers.
pub(super) const FRAGMENT: usize = 3;

/// Sizes beyond this many features of a part are not looked for.
pub(super) const MOST_SLOTS: u64 = 8;

/// Gives the fragments of three characters of a folded number, in order.
pub(super) fn fragments(folded: &str) -> Vec<String> {
    let letters: Vec<char> = folded.chars().filter(|c| !c.is_whitespace()).collect();
    letters.windows(FRAGMENT).map(|window| window.iter().collect()).collect()
}

/// Gives a number that sorts as the first twelve characters of a folded part number do, where they are ASCII.
pub(super) fn sort_number(folded: &str) -> u64 {
    let mut letters = folded.bytes();
    (0..12).fold(0, |sum, _| {
        let digit = match letters.next() {
            None => 0,
            Some(b @ b'0'..=b'9') => u64::from(b - b'0') + 1,
            Some(b @ b'a'..=b'y') => u64::from(b - b'a') + 11,
            Some(_) => 36,
        };
        sum * 37 + digit
    })
}

/// Reads the lengths in a size as people write it, in thousandths of a millimetre. `None` where it is no size.
pub(super) fn lengths(text: &str) -> Option<Vec<u64>> {
    lengths_mm(text)?.into_iter().map(in_thousandths).collect()
}

/// Gives the nominal length in thousandths of a millimetre.
pub(super) fn thousandths(size: &Size) -> Option<u64> {
    in_thousandths(size.nominal_mm())
}

fn in_thousandths(mm: Decimal) -> Option<u64> {
    mm.checked_mul(Decimal::ONE_THOUSAND)?.round().to_u64().filter(|length| *length < 1 << 40)
}

/// How far a length may be off and still be meant: what people leave out when they round, a hundredth of it, but no
/// less than 0.06 mm.
pub(super) fn slack(length: u64) -> u64 {
    (length / 100).max(60)
}

/// Marks a length with its place in the size: the first, the second and so on.
pub(super) fn in_slot(slot: u64, length: u64) -> u64 {
    slot << 40 | length.min((1 << 40) - 1)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn sort_numbers_sort_as_the_numbers_do() {
        let mut numbers = ["912044", "91204", "tv1180a", "tv1180", "10", "a", "z9"];
        numbers.sort_unstable();
        assert!(numbers.is_sorted_by_key(|number| sort_number(number)));
    }
}
