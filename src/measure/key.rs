use super::is_unseen;
use serde::{Deserialize, Serialize};
use std::cmp::Ordering;
use std::fmt;
use std::hash::{Hash, Hasher};

/// A name that an owner gives to a machine, position, joint, operation, job, type or supplier.
///
/// Keys compare without case, without the space around them and without what nobody sees; they are shown as typed.
#[derive(Debug, Clone, Serialize, Deserialize)]
pub struct Key {
    shown: Box<str>,
    /// Only there where it differs from what is shown: most keys are typed in lower case.
    folded: Option<Box<str>>,
}

impl Key {
    /// Makes a key of a text; the space around it does not count.
    pub fn new(text: &str) -> Self {
        let shown = text.trim();
        let is_plain = |b: u8| matches!(b, b' '..=b'~') && !b.is_ascii_uppercase();
        if shown.bytes().all(is_plain) {
            return Key { shown: shown.into(), folded: None };
        }
        // A space that does not break looks like any other.
        let seen = shown.chars().filter(|c| !is_unseen(*c));
        let seen: String = seen.map(|c| if c.is_whitespace() { ' ' } else { c }).collect();
        let folded = seen.trim().to_lowercase();
        Key { folded: (folded != shown).then(|| folded.into()), shown: shown.into() }
    }

    /// Gives the key as it was typed.
    pub fn as_str(&self) -> &str {
        &self.shown
    }

    /// Gives the form that keys are compared by.
    pub fn folded(&self) -> &str {
        self.folded.as_deref().unwrap_or(&self.shown)
    }
}

impl From<&str> for Key {
    fn from(text: &str) -> Self {
        Key::new(text)
    }
}

impl fmt::Display for Key {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.pad(&self.shown)
    }
}

impl PartialEq for Key {
    fn eq(&self, other: &Self) -> bool {
        self.folded() == other.folded()
    }
}

impl Eq for Key {}

impl Hash for Key {
    fn hash<H: Hasher>(&self, state: &mut H) {
        self.folded().hash(state);
    }
}

impl PartialOrd for Key {
    fn partial_cmp(&self, other: &Self) -> Option<Ordering> {
        Some(self.cmp(other))
    }
}

impl Ord for Key {
    fn cmp(&self, other: &Self) -> Ordering {
        self.folded().cmp(other.folded())
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn keys_compare_without_case_and_are_shown_as_typed() {
        assert_eq!(Key::new(" Pump-Cover "), Key::new("pump-cover"));
        assert_eq!(Key::new(" Pump-Cover ").to_string(), "Pump-Cover");
        assert_ne!(Key::new("pump-cover"), Key::new("pump cover"));
    }
}
