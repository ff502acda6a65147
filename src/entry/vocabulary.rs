use crate::catalog::Lookup;
use crate::measure::Key;
use std::ops::Range;

/// The names of all part types and their other names, ready to be found in free text.
#[derive(Debug, Clone, Default)]
pub struct Vocabulary {
    terms: Vec<Term>,
    longest: usize,
}

#[derive(Debug, Clone)]
struct Term {
    words: Vec<String>,
    kind: Kind,
}

/// A part type, as far as free text needs to know it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Kind {
    /// The type's name.
    pub name: Key,
    /// What its size consists of, such as bore, section.
    pub form: Vec<String>,
    /// It closes a joint.
    pub seals: bool,
    /// Its rule, as a word; types of one rule may be confused without harm.
    pub rule: String,
}

/// A type that was found in a text.
#[derive(Debug, Clone)]
pub(super) struct FoundKind {
    pub kind: Kind,
    /// The bytes of the text that name it, from the first to the last.
    pub span: Range<usize>,
    /// How many words the name has.
    pub words: usize,
    /// The phrase of the text in which it stands, from 0.
    pub phrase: usize,
}

/// A word of the text and where it stands.
#[derive(Debug, Clone)]
struct Word {
    text: String,
    span: Range<usize>,
    phrase: usize,
}

/// Short forms in parts lists. Source: common practice, no source.
const SHORT_FORMS: &[(&str, &str)] = &[
    ("gskt", "gasket"),
    ("gsk", "gasket"),
    ("wshr", "washer"),
    ("scr", "screw"),
    ("brg", "bearing"),
    ("hsg", "housing"),
    ("carb", "carburettor"),
    ("circ", "circlip"),
    ("spg", "spring"),
    ("thermo", "thermostat"),
];

/// What German and French bags and invoices call the parts that are bought most. Source: common practice, no source.
const OTHER_TONGUES: &[(&str, &str)] = &[
    ("dichtung", "gasket"),
    ("flachdichtung", "gasket"),
    ("papierdichtung", "gasket"),
    ("deckeldichtung", "gasket"),
    ("vergaserdichtung", "gasket"),
    ("fußdichtung", "gasket"),
    ("kopfdichtung", "head gasket"),
    ("zylinderkopfdichtung", "head gasket"),
    ("auspuffdichtung", "exhaust gasket"),
    ("krümmerdichtung", "exhaust gasket"),
    ("dichtungssatz", "gasket set"),
    ("reparatursatz", "repair kit"),
    ("wellendichtring", "shaft seal"),
    ("radialwellendichtring", "shaft seal"),
    ("dichtring", "sealing washer"),
    ("kupferring", "sealing washer"),
    ("kupferdichtring", "sealing washer"),
    ("aludichtring", "sealing washer"),
    ("sicherungsring", "circlip"),
    ("sprengring", "circlip"),
    ("sicherungsblech", "tab washer"),
    ("federring", "spring washer"),
    ("unterlegscheibe", "plain washer"),
    ("splint", "split pin"),
    ("spannstift", "spring pin"),
    ("passfeder", "key"),
    ("paßfeder", "key"),
    ("scheibenfeder", "key"),
    ("schraube", "screw"),
    ("zylinderschraube", "screw"),
    ("sechskantschraube", "bolt"),
    ("stehbolzen", "stud"),
    ("mutter", "plain nut"),
    ("sechskantmutter", "plain nut"),
    ("stoppmutter", "self-locking nut"),
    ("kronenmutter", "castle nut"),
    ("ölablassschraube", "drain plug"),
    ("schlauch", "hose"),
    ("schlauchschelle", "hose clip"),
    ("kugellager", "bearing"),
    ("nadellager", "bearing"),
    ("keilriemen", "belt"),
    ("zahnriemen", "timing belt"),
    ("ölfilter", "filter"),
    ("kraftstofffilter", "filter"),
    ("luftfilter", "air filter"),
    ("zündkerze", "spark plug"),
    ("motoröl", "engine oil"),
    ("getriebeöl", "gear oil"),
    ("joint de culasse", "head gasket"),
    ("joint torique", "o-ring"),
    ("joint à lèvre", "shaft seal"),
    ("joint à lèvres", "shaft seal"),
    ("bague d'étanchéité", "shaft seal"),
    ("joint d'échappement", "exhaust gasket"),
    ("joint de carburateur", "gasket"),
    ("joint de carter", "gasket"),
    ("joint papier", "gasket"),
    ("joint cuivre", "sealing washer"),
    ("rondelle cuivre", "sealing washer"),
    ("pochette de joints", "gasket set"),
    ("vis", "screw"),
    ("boulon", "bolt"),
    ("écrou", "plain nut"),
    ("écrou frein", "self-locking nut"),
    ("rondelle", "plain washer"),
    ("goujon", "stud"),
    ("goupille", "split pin"),
    ("goupille fendue", "split pin"),
    ("durite", "hose"),
    ("collier de serrage", "hose clip"),
    ("roulement", "bearing"),
    ("courroie", "belt"),
    ("filtre à huile", "filter"),
    ("filtre à air", "air filter"),
    ("bougie", "spark plug"),
    ("huile moteur", "engine oil"),
];

/// Words that say nothing of the type and may stand inside its name.
const FILLERS: &[&str] = &["assy", "asy", "assembly", "comp", "complete", "hd"];

impl Vocabulary {
    /// Gathers the types, the owner's own among them.
    pub fn of(lookup: &dyn Lookup) -> Self {
        let mut terms = Vec::new();
        for name in lookup.type_names() {
            let Some(row) = lookup.part_type(&name) else { continue };
            let form = row.size_form.split(" x ").map(|word| word.trim().to_lowercase());
            let kind = Kind {
                name: row.part_type.clone(),
                form: form.filter(|word| !word.is_empty()).collect(),
                seals: row.seals == Some(crate::catalog::Seals::Yes),
                rule: row.when_disturbed.map_or_else(String::new, |rule| rule.as_str().to_owned()),
            };
            let words = name_words(name.as_str());
            if !words.is_empty() {
                terms.push(Term { words, kind });
            }
        }
        for (name, called_here) in OTHER_TONGUES {
            let words = name_words(name);
            let known = terms
                .iter()
                .find(|term| term.words == name_words(called_here))
                .map(|term| term.kind.clone());
            if let Some(kind) = known.filter(|_| !terms.iter().any(|term| term.words == words)) {
                terms.push(Term { words, kind });
            }
        }
        let longest = terms.iter().map(|term| term.words.len()).max().unwrap_or(0);
        Vocabulary { terms, longest }
    }

    fn term(&self, wanted: &[String]) -> Option<&Kind> {
        self.terms.iter().find(|term| term.words == wanted).map(|term| &term.kind)
    }

    /// Gives the type of a name.
    pub(super) fn named(&self, name: &str) -> Option<Kind> {
        self.term(&name_words(name)).cloned()
    }

    /// Gives the types whose name ends in a word of the text, such as engine oil and gear oil for `oil`; at most six.
    pub(super) fn ending_in_a_word_of(&self, text: &str) -> Vec<String> {
        const MOST: usize = 6;
        let mut found: Vec<String> = Vec::new();
        for word in words(text) {
            for term in self
                .terms
                .iter()
                .filter(|term| term.words.len() > 1 && term.words.last() == Some(&word.text))
            {
                let name = term.kind.name.to_string();
                if found.len() < MOST && !found.contains(&name) {
                    found.push(name);
                }
            }
        }
        found
    }

    /// Gives the types whose name, or another name, is a slip away from words of the text: `sealing wahser`, `splitpin`; the
    /// nearest first, at most three.
    pub(super) fn near(&self, text: &str) -> Vec<String> {
        const MOST: usize = 3;
        let all = words(text);
        let names: Vec<(String, &Kind)> =
            self.terms.iter().map(|term| (term.words.join(" "), &term.kind)).collect();
        let mut found: Vec<(usize, usize, String)> = Vec::new();
        for count in 1..=3 {
            for slice in all
                .windows(count)
                .filter(|slice| slice.iter().all(|word| slice[0].phrase == word.phrase))
            {
                let said =
                    slice.iter().map(|word| word.text.as_str()).collect::<Vec<_>>().join(" ");
                let letters = said.chars().filter(|c| c.is_alphabetic()).count();
                // A word with a digit in it is a number, and a short one is near to everything.
                if letters < 5 || said.contains(|c: char| c.is_ascii_digit()) {
                    continue;
                }
                let allowed = if letters < 8 { 1 } else { 2 };
                for (name, kind) in &names {
                    if name.len().abs_diff(said.len()) <= allowed {
                        let away = strsim::damerau_levenshtein(&said, name);
                        if away <= allowed {
                            found.push((away, usize::MAX - letters, kind.name.to_string()));
                        }
                    }
                }
            }
        }
        // Of a slip in two words, the name that says both.
        found.sort_by_key(|(away, letters, _)| (*letters, *away));
        let mut near: Vec<String> = Vec::new();
        for (_, _, name) in found {
            if !near.contains(&name) && near.len() < MOST {
                near.push(name);
            }
        }
        near
    }

    /// Tells whether a word stands in the name of any type.
    pub(super) fn holds(&self, word: &str) -> bool {
        let word = singular(&word.to_lowercase());
        self.terms.iter().any(|term| term.words.contains(&word))
    }

    /// Finds every type that a text names, the longest name at each place. A parts list puts the noun first: after a
    /// comma its qualifier is read in front of it, so that `SEAL, OIL` is an oil seal.
    pub(super) fn find(&self, text: &str) -> Vec<FoundKind> {
        let all: Vec<Word> = words(text);
        let mut found: Vec<FoundKind> = Vec::new();
        let phrases = all.last().map_or(0, |word| word.phrase + 1);
        for phrase in 0..phrases {
            let here: Vec<&Word> = all.iter().filter(|word| word.phrase == phrase).collect();
            let mut at = 0;
            while at < here.len() {
                let most = self.longest.min(here.len() - at);
                let hit = (1..=most).rev().find_map(|count| {
                    let slice = here.get(at..at + count)?;
                    let wanted: Vec<String> = slice.iter().map(|word| word.text.clone()).collect();
                    let kind = self.term(&wanted)?;
                    Some((count, slice.first()?.span.start..slice.last()?.span.end, kind.clone()))
                });
                match hit {
                    Some((count, span, kind)) => {
                        found.push(FoundKind { kind, span, words: count, phrase });
                        at += count;
                    }
                    None => at += 1,
                }
            }
        }
        self.turned_round(&all, phrases, &mut found);
        found
    }

    /// Reads a phrase that is a noun and its qualifier, `circlip internal`, the other way round.
    fn qualified_behind(&self, all: &[Word], phrases: usize, found: &mut Vec<FoundKind>) {
        for phrase in 0..phrases {
            let here: Vec<&Word> = all.iter().filter(|word| word.phrase == phrase).collect();
            let direct =
                found.iter().filter(|other| other.phrase == phrase).map(|other| other.words).max();
            let best = (1..here.len()).find_map(|noun| {
                let (front, back) = (here.get(noun..)?, here.get(..noun)?);
                (0..noun).find_map(|from| {
                    let wanted: Vec<String> = front
                        .iter()
                        .chain(back.get(from..)?)
                        .map(|word| word.text.clone())
                        .collect();
                    let kind = self.term(&wanted)?;
                    Some((
                        wanted.len(),
                        here.get(from)?.span.start..here.last()?.span.end,
                        kind.clone(),
                    ))
                })
            });
            if let Some((count, span, kind)) = best
                && direct.is_some_and(|direct| count > direct)
            {
                found.retain(|other| other.phrase != phrase);
                found.push(FoundKind { kind, span, words: count, phrase });
            }
        }
    }

    /// Reads the qualifier after a comma in front of its noun; the longer name takes the place of the shorter.
    fn turned_round(&self, all: &[Word], phrases: usize, found: &mut Vec<FoundKind>) {
        self.qualified_behind(all, phrases, found);
        for phrase in 0..phrases.saturating_sub(1) {
            let of = |wanted: usize| -> Vec<&Word> {
                let plain =
                    |word: &&Word| word.phrase == wanted && !FILLERS.contains(&word.text.as_str());
                all.iter().filter(plain).collect()
            };
            let (noun, qualifier) = (of(phrase), of(phrase + 1));
            // `GASKET, SET` is written in the order in which it is said.
            let in_order: Vec<String> =
                noun.iter().chain(qualifier.first()).map(|word| word.text.clone()).collect();
            let straight = self.term(&in_order).and_then(|kind| {
                Some((
                    in_order.len(),
                    noun.first()?.span.start..qualifier.first()?.span.end,
                    kind.clone(),
                ))
            });
            let turned = (1..=qualifier.len().min(self.longest)).rev().find_map(|taken| {
                (1..=noun.len()).rev().find_map(|count| {
                    let front = qualifier.get(..taken)?;
                    let back = noun.get(noun.len() - count..)?;
                    let wanted: Vec<String> =
                        front.iter().chain(back).map(|word| word.text.clone()).collect();
                    let kind = self.term(&wanted)?;
                    Some((
                        wanted.len(),
                        back.first()?.span.start..front.last()?.span.end,
                        kind.clone(),
                    ))
                })
            });
            let Some((count, span, kind)) = turned.or(straight) else { continue };
            let direct = found
                .iter()
                .filter(|other| other.phrase == phrase)
                .map(|other| other.words)
                .max()
                .unwrap_or(0);
            if count > direct {
                found.retain(|other| other.phrase != phrase);
                found.push(FoundKind { kind, span, words: count, phrase });
            }
        }
        found.sort_by_key(|found| (found.phrase, found.span.start));
    }
}

/// Splits a text into words in their singular, lower-case form. Phrases end at punctuation and at words that begin an
/// explanation, such as `for`.
fn words(text: &str) -> Vec<Word> {
    const BREAKS: &[&str] = &[
        "for", "of", "on", "to", "from", "between", "with", "without", "in", "at", "and", "or",
        "is",
    ];
    let mut words = Vec::new();
    let mut phrase = 0;
    let mut start = None;
    let whole = text;
    let push = |words: &mut Vec<Word>, phrase: &mut usize, span: Range<usize>| {
        let Some(text) = text.get(span.clone()) else { return };
        let lower = text.to_lowercase();
        // `spin-on` is one word.
        let hyphened = |c: Option<char>| c == Some('-');
        let alone =
            !hyphened(whole.get(..span.start).and_then(|before| before.chars().next_back()))
                && !hyphened(whole.get(span.end..).and_then(|behind| behind.chars().next()));
        if alone && BREAKS.contains(&lower.as_str()) {
            if words.last().is_some_and(|word| word.phrase == *phrase) {
                *phrase += 1;
            }
            return;
        }
        words.push(Word { text: singular(&lower), span, phrase: *phrase });
    };
    for (at, c) in text.char_indices() {
        if c.is_alphanumeric() {
            start.get_or_insert(at);
            continue;
        }
        if let Some(begin) = start.take() {
            push(&mut words, &mut phrase, begin..at);
        }
        if matches!(c, ',' | ';' | ':' | '(' | ')' | '/' | MASK)
            && words.last().is_some_and(|word| word.phrase == phrase)
        {
            phrase += 1;
        }
    }
    if let Some(begin) = start {
        push(&mut words, &mut phrase, begin..text.len());
    }
    words
}

/// Stands in the place of what was already read from a text; it ends a phrase.
pub(super) const MASK: char = '\u{1}';

/// Splits the name of a type into words.
fn name_words(name: &str) -> Vec<String> {
    let parts = name.split(|c: char| !c.is_alphanumeric()).filter(|word| !word.is_empty());
    parts.map(|word| singular(&word.to_lowercase())).collect()
}

fn singular(word: &str) -> String {
    // However the ring of plastic in a nut is called, its name begins so.
    if word.starts_with("nyl") {
        return "nylon".to_owned();
    }
    let word = SHORT_FORMS.iter().find(|(short, _)| *short == word).map_or(word, |(_, long)| *long);
    if word.len() < 4 || word.ends_with("ss") || word.ends_with("us") {
        return word.to_owned();
    }
    if let Some(stem) = word.strip_suffix("ies") {
        return format!("{stem}y");
    }
    if let Some(stem) = word.strip_suffix("es")
        && ["sh", "ch", "x", "ss"].iter().any(|end| stem.ends_with(end))
    {
        return stem.to_owned();
    }
    word.strip_suffix('s').unwrap_or(word).to_owned()
}
