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

/// Writes the fragments of a folded number behind those that are there, each with a space behind it.
pub(super) fn add_fragments(folded: &str, text: &mut String) {
    let mut add = |fragment: &str| {
        text.push_str(fragment);
        text.push(' ');
    };
    if folded.bytes().all(|b| b.is_ascii_alphanumeric()) {
        (FRAGMENT..=folded.len()).filter_map(|end| folded.get(end - FRAGMENT..end)).for_each(add);
    } else {
        fragments(folded).iter().for_each(|fragment| add(fragment));
    }
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

/// Gives the folded number that sorts so, where it can be told for sure: it is short enough to be there whole, and has
/// no sign that shares its place with others.
pub(super) fn number_sorted_at(mut order: u64) -> Option<String> {
    let mut letters = Vec::with_capacity(12);
    for _ in 0..12 {
        let digit = u8::try_from(order % 37).ok()?;
        order /= 37;
        match digit {
            0 if letters.is_empty() => {}
            1..=10 => letters.push(b'0' + digit - 1),
            11..=35 => letters.push(b'a' + digit - 11),
            _ => return None,
        }
    }
    letters.reverse();
    (!letters.is_empty() && letters.len() < 12).then(|| String::from_utf8(letters).ok()).flatten()
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
    fn fragments_are_written_as_they_are_looked_for() {
        for number in ["912044", "ab", "", "é12-34", "a b c d", "tv1"] {
            let mut text = String::new();
            add_fragments(number, &mut text);
            assert_eq!(
                text.split(' ').filter(|text| !text.is_empty()).collect::<Vec<_>>(),
                fragments(number),
                "{number}"
            );
        }
    }

    #[test]
    fn a_number_is_told_from_what_it_sorts_by_or_not_at_all() {
        for number in [
            "1",
            "912044",
            "tv11800",
            "0a1",
            "a00",
            "12345678901",
            "z9",
            "a b",
            "1é",
            "123456789012",
            "",
        ] {
            let told = number_sorted_at(sort_number(number));
            assert!(told.is_none() || told.as_deref() == Some(number), "{number}: {told:?}");
            let is_plain = number.len() < 12 && !number.is_empty();
            let is_plain =
                is_plain && number.bytes().all(|b| b.is_ascii_digit() || matches!(b, b'a'..=b'y'));
            assert_eq!(told.is_some(), is_plain, "{number}");
        }
    }

    #[test]
    fn sort_numbers_sort_as_the_numbers_do() {
        let mut numbers = ["912044", "91204", "tv1180a", "tv1180", "10", "a", "z9"];
        numbers.sort_unstable();
        assert!(numbers.is_sorted_by_key(|number| sort_number(number)));
    }
}
