//! Whether a phrase says what a person typed: words by their stems, with a slip of the hand let pass.

use rust_stemmers::{Algorithm, Stemmer};

/// The words of a text that say something, each with its stem.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub(super) struct Phrase(Vec<Word>);

#[derive(Debug, Clone, PartialEq, Eq)]
struct Word {
    typed: String,
    stem: String,
}

/// Words that stand in any sentence.
const EMPTY_WORDS: &[&str] = &[
    "a", "an", "and", "at", "by", "from", "has", "have", "in", "is", "it", "its", "my", "of", "on", "or", "the",
    "there", "to", "with",
];

impl Phrase {
    /// Splits a text into words: runs of letters and digits, without case.
    pub fn new(text: &str) -> Self {
        let stemmer = Stemmer::create(Algorithm::English);
        let all: Vec<Word> = text
            .to_lowercase()
            .split(|c: char| !c.is_alphanumeric())
            .filter(|word| !word.is_empty())
            .map(|word| Word { typed: word.to_owned(), stem: stemmer.stem(word).into_owned() })
            .collect();
        let telling: Vec<Word> =
            all.iter().filter(|word| !EMPTY_WORDS.contains(&word.typed.as_str())).cloned().collect();
        Phrase(if telling.is_empty() { all } else { telling })
    }

    /// No word is in it.
    pub fn is_empty(&self) -> bool {
        self.0.is_empty()
    }

    /// How many words are in it.
    pub fn len(&self) -> usize {
        self.0.len()
    }

    /// Counts the words of this phrase that another one says.
    pub fn said_by(&self, other: &Phrase) -> usize {
        self.0.iter().filter(|word| other.0.iter().any(|said| word.means(said))).count()
    }
}

impl Word {
    /// The same stem, a word that begins with the other, or a slip of a letter or two.
    fn means(&self, other: &Word) -> bool {
        if self.stem == other.stem {
            return true;
        }
        let (short, long) = if self.typed.chars().count() <= other.typed.chars().count() {
            (&self.typed, &other.typed)
        } else {
            (&other.typed, &self.typed)
        };
        if is_another_form(short, long) {
            return true;
        }
        let length = short.chars().count();
        if length >= 4 && long.starts_with(short.as_str()) {
            return true;
        }
        let slips = match length {
            0..=3 => 0,
            4..=7 => 1,
            8..=60 => 2,
            _ => 0,
        };
        slips > 0 && long.chars().count() <= length + slips && strsim::damerau_levenshtein(short, long) <= slips
    }
}

/// The words share all but a usual ending. The stemmer parts some of them: `overheats` and `overheating`.
fn is_another_form(one: &str, other: &str) -> bool {
    const ENDINGS: [&str; 8] = ["", "s", "es", "ed", "ing", "er", "y", "ly"];
    let shared = one.chars().zip(other.chars()).take_while(|(a, b)| a == b).map(|(a, _)| a.len_utf8()).sum();
    let rest = |word: &str| word.get(shared..).is_some_and(|rest| ENDINGS.contains(&rest));
    shared >= 5 && rest(one) && rest(other)
}

#[cfg(test)]
mod tests {
    use super::Phrase;

    fn says(phrase: &str, typed: &str) -> bool {
        let typed = Phrase::new(typed);
        typed.said_by(&Phrase::new(phrase)) == typed.len()
    }

    #[test]
    fn forms_slips_and_beginnings_of_a_word_are_the_word() {
        for typed in ["overheating", "overheats", "Overheeting", "it is overheating"] {
            assert!(says("overheating", typed), "{typed}");
        }
        assert!(says("water in gear oil", "Water in the gear oil!"));
        assert!(says("water in gear oil", "water gearcase oil"));
        assert!(says("gear oil leak", "leaking gear oil"));
        assert!(!says("gear oil leak", "leaking fuel"));
        assert!(!says("oil", "boil"), "a short word must be that word");
    }

    #[test]
    fn a_text_of_empty_words_is_taken_at_its_word_and_no_text_says_nothing() {
        assert_eq!(Phrase::new("in the").len(), 2);
        assert!(Phrase::new(" ;-! ").is_empty());
    }
}
