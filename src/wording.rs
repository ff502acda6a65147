//! Whether a text says what a person typed: in any word form, with slips of the finger, under another name.
//!
//! Knows of no catalog: other names for a thing are asked of the caller, as
//! [`names_of_type`](crate::catalog::names_of_type) gives them for part types.

use rust_stemmers::{Algorithm, Stemmer};
use std::collections::{BTreeSet, HashSet};
use std::sync::LazyLock;

static STEMMER: LazyLock<Stemmer> = LazyLock::new(|| Stemmer::create(Algorithm::English));

/// Words that may together be one name.
pub(crate) const MOST_JOINED: usize = 4;

/// Words taken for one that is nowhere.
pub(crate) const MOST_SLIPS: usize = 8;

/// Words of a question that are looked at; what a person types by hand is far shorter.
pub(crate) const MOST_WORDS: usize = 32;

/// Words that say nothing of the thing itself.
const FILLERS: [&str; 19] = [
    "a", "an", "and", "are", "at", "by", "for", "from", "has", "in", "is", "it", "its", "my", "of",
    "the", "there", "to", "with",
];

/// Splits a text into words in lower case: runs of letters and digits. A word of several runs joined by hyphens, such
/// as `o-ring`, is given joined as well.
pub fn words(text: &str) -> Vec<String> {
    let mut words = Vec::new();
    each_word(text, |word| words.push(word.to_owned()));
    words
}

/// As [`words`], one after another.
pub(crate) fn each_word(text: &str, mut take: impl FnMut(&str)) {
    for token in text.to_lowercase().split_whitespace() {
        let mut count = 0;
        for run in runs(token) {
            take(run);
            count += 1;
        }
        if count > 1 && token.contains('-') {
            take(&runs(token).collect::<String>());
        }
    }
}

fn runs(token: &str) -> impl Iterator<Item = &str> {
    token.split(|c: char| !c.is_alphanumeric()).filter(|run| !run.is_empty())
}

/// Gives the stem that the forms of an English word share.
pub fn stem(word: &str) -> String {
    STEMMER.stem(word).into_owned()
}

/// Gives the stems of a text's words, with a space between.
pub fn stems(text: &str) -> String {
    words(text).iter().map(|word| stem(word)).collect::<Vec<_>>().join(" ")
}

/// Tells whether a word, such as `for`, says nothing of the thing itself.
pub fn is_filler(word: &str) -> bool {
    FILLERS.contains(&word.to_lowercase().as_str())
}

/// Tells whether two words, in lower case, share all but a usual ending. The stemmer parts some of them, such as
/// `overheats` and `overheating`.
pub fn is_another_form(one: &str, other: &str) -> bool {
    const ENDINGS: [&str; 8] = ["", "s", "es", "ed", "ing", "er", "y", "ly"];
    let shared: usize =
        one.chars().zip(other.chars()).take_while(|(a, b)| a == b).map(|(a, _)| a.len_utf8()).sum();
    let rest = |word: &str| word.get(shared..).is_some_and(|rest| ENDINGS.contains(&rest));
    shared >= 5 && rest(one) && rest(other)
}

/// Tells by how many slips a typed word is off from a known one, if it may be meant at all; both in lower case.
///
/// A word of four letters may be one slip off, one of eight two; another form of it counts as one slip. After that
/// counts a known word that begins with what was typed, from three letters on.
pub fn slips(typed: &str, known: &str) -> Option<usize> {
    let length = typed.chars().count();
    let allowed = match length {
        0..3 => return None,
        3 => 0,
        4..8 => 1,
        _ => 2,
    };
    // No letter takes more than four bytes.
    if known.len().abs_diff(typed.len()) <= 4 * allowed {
        let distance = strsim::damerau_levenshtein(typed, known);
        if distance <= allowed {
            return Some(distance);
        }
    }
    if is_another_form(typed, known) {
        return Some(1);
    }
    known.starts_with(typed).then_some(allowed + 1)
}

/// What a word in a text is worth: as it was typed, in another form or under another name, with a slip.
mod points {
    pub const WORD: u32 = 8;
    pub const FORM: u32 = 6;
    pub const SLIP: u32 = 5;
}

/// A text that says what was typed, or some of it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Said {
    /// Which of the texts it is, from 0.
    pub text: usize,
    /// How many of the things typed are in it.
    pub said: usize,
    /// What was typed and is not in it; where nothing is missing, the text says all that was typed.
    pub missing: Vec<String>,
    /// What was typed and is in no text, with the words it was taken for.
    pub taken: Vec<(String, String)>,
    /// How surely it is meant: more is surer.
    pub points: u32,
}

/// One thing that was typed: each way of saying it is a list of words that must all be there.
struct Wanted {
    typed: String,
    ways: Vec<(Vec<String>, u32)>,
    /// What it was taken for.
    slip: Option<String>,
}

/// The words of one text, and their stems.
struct Words {
    words: HashSet<String>,
    stems: HashSet<String>,
}

impl Words {
    fn of(text: &str) -> Self {
        let words: HashSet<String> = words(text).into_iter().collect();
        Words { stems: words.iter().map(|word| stem(word)).collect(), words }
    }

    /// What a way of saying something is worth here; `None` where a word of it is missing.
    fn worth(&self, way: &[String], most: u32) -> Option<u32> {
        let mut sum = 0;
        for word in way {
            if self.words.contains(word) {
                sum += points::WORD.min(most);
            } else if self.stems.contains(&stem(word))
                || self.words.iter().any(|other| is_another_form(word, other))
            {
                sum += points::FORM.min(most);
            } else {
                return None;
            }
        }
        (!way.is_empty()).then_some(sum)
    }
}

/// Finds the texts that say what a person typed, as `find` matches words: the ones that say all of it in front, the
/// surest first, and among equals in their own order. Texts that say nothing of it are left out.
///
/// `other_names` gives the other names for a thing, such as `shaft seal` for `lip seal`, itself included or not; none
/// where it knows none.
///
/// ```
/// use kitwright::wording::saying;
/// let symptoms = ["water in gear oil", "overheats at idle", "shaft seal leaks"];
/// let other = |name: &str| if name == "lip seal" { vec!["shaft seal".to_owned()] } else { Vec::new() };
/// assert_eq!(saying("lip seal leaking", &symptoms, &other)[0].text, 2);
/// let found = saying("watre in the gear oil", &symptoms, &other);
/// assert_eq!((found[0].text, found[0].missing.len()), (0, 0));
/// ```
pub fn saying<T: AsRef<str>>(
    typed: &str,
    texts: &[T],
    other_names: &dyn Fn(&str) -> Vec<String>,
) -> Vec<Said> {
    let texts: Vec<Words> = texts.iter().map(|text| Words::of(text.as_ref())).collect();
    let mut wanted = wanted(typed, other_names);
    for one in &mut wanted {
        let is_said =
            |text: &Words| one.ways.iter().any(|(way, most)| text.worth(way, *most).is_some());
        if !texts.iter().any(is_said) {
            let known: BTreeSet<&str> =
                texts.iter().flat_map(|text| &text.words).map(String::as_str).collect();
            let like = words_like(&one.typed.to_lowercase(), known);
            one.slip = (!like.is_empty()).then(|| like.join(", "));
            one.ways = like.into_iter().map(|word| (vec![word], points::SLIP)).collect();
        }
    }
    let mut said: Vec<Said> = Vec::new();
    for (number, text) in texts.iter().enumerate() {
        let mut of_text =
            Said { text: number, said: 0, missing: Vec::new(), taken: Vec::new(), points: 0 };
        for one in &wanted {
            match one.ways.iter().filter_map(|(way, most)| text.worth(way, *most)).max() {
                None => of_text.missing.push(one.typed.clone()),
                Some(points) => {
                    of_text.said += 1;
                    of_text.points += points;
                    of_text.taken.extend(one.slip.clone().map(|meant| (one.typed.clone(), meant)));
                }
            }
        }
        if of_text.points > 0 {
            said.push(of_text);
        }
    }
    said.sort_by_key(|said| (said.missing.len(), u32::MAX - said.points, said.text));
    said
}

/// Gives the known words nearest to one that is nowhere; they must come in order.
fn words_like<'k>(typed: &str, known: impl IntoIterator<Item = &'k str>) -> Vec<String> {
    let off = known.into_iter().filter_map(|known| Some((slips(typed, known)?, known)));
    let mut like: Vec<(usize, &str)> = off.collect();
    like.sort_unstable();
    let least = like.first().map(|(off, _)| *off);
    like.retain(|(off, _)| Some(*off) == least);
    like.into_iter().take(MOST_SLIPS).map(|(_, word)| word.to_owned()).collect()
}

fn wanted(typed: &str, other_names: &dyn Fn(&str) -> Vec<String>) -> Vec<Wanted> {
    let tokens: Vec<&str> = typed.split_whitespace().take(MOST_WORDS).collect();
    let mut wanted = Vec::new();
    let mut fillers = Vec::new();
    let mut at = 0;
    while at < tokens.len() {
        let named = (1..=MOST_JOINED).rev().find_map(|length| {
            let typed = tokens.get(at..at + length)?.join(" ");
            let names = other_names(&typed);
            (!names.is_empty()).then_some((length, typed, names))
        });
        let (length, typed, names) = match named {
            Some(named) => named,
            None => (1, tokens.get(at).copied().unwrap_or_default().to_owned(), Vec::new()),
        };
        at += length;
        let folded = typed.to_lowercase();
        let apart: Vec<String> = runs(&folded).map(str::to_owned).collect();
        if apart.is_empty() {
            continue;
        }
        let mut ways = vec![(vec![apart.concat()], points::WORD)];
        if apart.len() > 1 {
            ways.push((apart, points::WORD));
        }
        for name in &names {
            ways.push((runs(&name.to_lowercase()).map(str::to_owned).collect(), points::FORM));
        }
        let one = Wanted { typed, ways, slip: None };
        if names.is_empty() && is_filler(&folded) { fillers.push(one) } else { wanted.push(one) }
    }
    if wanted.is_empty() { fillers } else { wanted }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn words_are_runs_of_letters_and_digits_and_hyphened_ones_are_joined_too() {
        assert_eq!(words("O-ring, Water pump (M6)"), ["o", "ring", "oring", "water", "pump", "m6"]);
        assert_eq!(words(" - ; "), Vec::<String>::new());
    }

    #[test]
    fn a_long_word_may_be_two_slips_off_and_a_short_one_none() {
        assert_eq!(slips("gaskit", "gasket"), Some(1));
        assert_eq!(slips("thermotsta", "thermostat"), Some(2));
        assert_eq!(slips("thermostat", "thermostat"), Some(0));
        assert_eq!(slips("nut", "not"), None);
        assert_eq!(slips("ox", "oxide"), None);
        assert_eq!(slips("carb", "carburettor"), Some(2));
        assert_eq!(slips("dichtüng", "dichtung"), Some(1));
    }

    fn none(_: &str) -> Vec<String> {
        Vec::new()
    }

    fn numbers(typed: &str, texts: &[&str]) -> Vec<usize> {
        saying(typed, texts, &none)
            .into_iter()
            .filter(|said| said.missing.is_empty())
            .map(|said| said.text)
            .collect()
    }

    #[test]
    fn every_word_counts_in_any_form_and_order() {
        let texts = ["water in gear oil", "gear oil leaks", "hard to shift", "milky oil"];
        assert_eq!(numbers("oil leak", &texts), [1]);
        assert_eq!(numbers("leaking GEARS oil", &texts), [1]);
        assert_eq!(numbers("oil", &texts), [0, 1, 3]);
        assert_eq!(numbers("shifting is hard", &texts), [2]);
        assert_eq!(numbers("petrol", &texts), Vec::<usize>::new());
        assert_eq!(numbers("", &texts), Vec::<usize>::new());
        assert_eq!(numbers("- \" (((", &texts), Vec::<usize>::new());
    }

    #[test]
    fn what_says_only_some_of_it_comes_after_what_says_all_and_names_what_is_missing() {
        let texts = ["oil leaks", "water in gear oil", "hot"];
        let said = saying("water oil", &texts, &none);
        assert_eq!(said.iter().map(|said| said.text).collect::<Vec<_>>(), [1, 0]);
        assert_eq!(said[1].missing, ["water"]);
    }

    #[test]
    fn a_slip_is_taken_for_the_nearest_word_only_where_it_is_nowhere_itself() {
        let texts = ["overheats", "oil leaks"];
        let said = saying("overhaets", &texts, &none);
        assert_eq!(said[0].taken, [("overhaets".to_owned(), "overheats".to_owned())]);
        assert!(saying("oil", &texts, &none)[0].taken.is_empty());
    }

    #[test]
    fn a_form_that_the_stemmer_parts_is_the_same_word_in_every_text() {
        let texts = ["overheats at idle", "overheating", "heats slowly", "motor overheated"];
        for typed in ["overheating", "overheats", "overheat"] {
            let mut found = numbers(typed, &texts);
            found.sort_unstable();
            assert_eq!(found, [0, 1, 3], "{typed}");
        }
        assert!(!is_another_form("heats", "heater") && !is_another_form("coolant", "cooling"));
        assert_eq!(slips("overheats", "overheating"), Some(1));
    }

    #[test]
    fn hyphens_do_not_matter_and_other_names_are_the_same_thing() {
        let texts = ["O-ring is hard", "shaft seal leaks"];
        for typed in ["o-ring", "oring", "O ring", "o-rings"] {
            assert_eq!(numbers(typed, &texts), [0], "{typed}");
        }
        let other = |name: &str| {
            if name.eq_ignore_ascii_case("oil seal") {
                vec!["shaft seal".to_owned()]
            } else {
                Vec::new()
            }
        };
        assert_eq!(saying("leaking oil seal", &texts, &other)[0].text, 1);
    }
}
