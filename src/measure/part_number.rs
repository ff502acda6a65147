use super::is_unseen;
use serde::{Deserialize, Serialize};
use std::cmp::Ordering;
use std::fmt;
use std::hash::{Hash, Hasher};

/// A part number.
///
/// Part numbers compare without case, spaces, dots, hyphens, slashes and what nobody sees: catalogs, bags and invoices
/// all write them differently. They are shown as typed.
#[derive(Debug, Clone, Serialize, Deserialize)]
pub struct PartNumber {
    shown: Box<str>,
    folded: Option<Box<str>>,
}

impl PartNumber {
    /// Makes a part number of a text; `None` where nothing is left of it to compare, as in `-` or `...`.
    pub fn new(text: &str) -> Option<Self> {
        let shown = text.trim();
        let mut folded = String::with_capacity(shown.len());
        for c in shown.chars() {
            // Most of most numbers is plain letters and figures, which need no tables of the world's letters.
            if c.is_ascii_alphanumeric() {
                folded.push(c.to_ascii_lowercase());
            } else if !is_separator(c) && !is_unseen(c) {
                folded.extend(c.to_lowercase());
            }
        }
        if folded.is_empty() {
            return None;
        }
        Some(PartNumber { folded: (folded != shown).then(|| folded.into()), shown: shown.into() })
    }

    /// Gives the number as it was typed.
    pub fn as_str(&self) -> &str {
        &self.shown
    }

    /// Gives the form that numbers are compared by.
    pub fn folded(&self) -> &str {
        self.folded.as_deref().unwrap_or(&self.shown)
    }
}

/// Spaces, dots, slashes and hyphens, with the dashes that word processors and web pages put in their place.
fn is_separator(c: char) -> bool {
    c.is_whitespace() || matches!(c, '.' | '/' | '-' | '\u{2010}'..='\u{2015}' | '\u{2212}')
}

impl fmt::Display for PartNumber {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.pad(&self.shown)
    }
}

impl PartialEq for PartNumber {
    fn eq(&self, other: &Self) -> bool {
        self.folded() == other.folded()
    }
}

impl Eq for PartNumber {}

impl Hash for PartNumber {
    fn hash<H: Hasher>(&self, state: &mut H) {
        self.folded().hash(state);
    }
}

impl PartialOrd for PartNumber {
    fn partial_cmp(&self, other: &Self) -> Option<Ordering> {
        Some(self.cmp(other))
    }
}

impl Ord for PartNumber {
    fn cmp(&self, other: &Self) -> Ordering {
        self.folded().cmp(other.folded())
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn number(text: &str) -> PartNumber {
        PartNumber::new(text).expect("a test number")
    }

    #[test]
    fn numbers_compare_without_case_spaces_dots_hyphens_and_slashes() {
        for spelling in ["91-2044", "91 2044", "912044", "91.20/44", "91\u{2011}2044"] {
            assert_eq!(number(spelling), number("912044"), "{spelling}");
        }
        assert_eq!(number("tv-1180-a"), number("TV1180A"));
        assert_ne!(number("91-2044"), number("91-2045"));
        assert_eq!(number("91-2044").to_string(), "91-2044");
    }

    #[test]
    fn a_number_of_nothing_but_separators_is_no_number() {
        for text in ["", "-", " . ", "//", "–"] {
            assert_eq!(PartNumber::new(text), None);
        }
    }
}
