//! Finds parts by what a person types: numbers in any spelling and in part, types by any of their names, sizes, words.
//!
//! Scores are sums of the fixed points below, so that they depend on the part and the question alone, and not on how
//! the index came to be.

use super::Trouble;
use super::asked::{Asked, best, is_there};
use super::quietly::quietly;
use super::terms::{
    FRAGMENT, MOST_SLOTS, fragments, in_slot, lengths, number_sorted_at, slack, thousandths,
};
use super::words::{WHAT, Words, number_of};
use crate::catalog::{Applies, Card, Lookup, Machine, Scoped, Status, Verdict, names_of_type};
use crate::measure::{DecimalMark, Key, PartNumber, Size};
use crate::near::nearest;
use crate::wording::{MOST_JOINED, MOST_SLIPS, MOST_WORDS, is_filler, slips, stem, stems};
use rust_decimal::Decimal;
use std::cmp::Reverse;
use std::collections::{BTreeMap, HashSet};
use tantivy::schema::Field;
use tantivy::{DocAddress, Searcher, Term};

/// The points of each way in which a part may be meant, the surest first.
mod points {
    pub const NUMBER: f32 = 1000.0;
    pub const OTHER_NUMBER: f32 = 800.0;
    pub const TYPE: f32 = 60.0;
    pub const FRAGMENT: f32 = 30.0;
    pub const EXACT_LENGTH: f32 = 12.0;
    pub const LENGTH_IN_PLACE: f32 = 10.0;
    pub const LENGTH: f32 = 4.0;
    pub const WHOLE_NAME: f32 = 15.0;
    pub const TITLE: f32 = 12.0;
    pub const LEAD: f32 = 4.0;
    pub const WORD: f32 = 8.0;
    pub const STEM: f32 = 6.0;
    pub const SLIP: f32 = 5.0;
}

/// What to find.
#[derive(Debug, Clone, Default)]
pub struct Question {
    /// What was typed, in any form.
    pub words: String,
    /// Only parts of this type, by any of its names.
    pub part_type: Option<String>,
    /// Only parts of this size.
    pub size: Option<String>,
    /// Only what can sit on this machine.
    pub on: Option<Machine>,
    /// Only what can sit at this position.
    pub position: Option<Key>,
    /// Only parts that can, or can no longer, be bought.
    pub status: Option<Status>,
    /// How many hits to give.
    pub limit: usize,
}

/// A part that was found.
#[derive(Debug, Clone, PartialEq)]
pub struct Hit {
    /// Its number as the table parts spells it, else as it was asked for.
    pub part: PartNumber,
    /// Its type as its row names it.
    pub part_type: String,
    /// Its name.
    pub name: String,
    /// Its size.
    pub size: String,
    /// How surely it is meant: more is surer.
    pub score: f32,
}

/// What was found.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Found {
    /// How many parts there are.
    pub total: usize,
    /// The first of them, the surest in front.
    pub hits: Vec<Hit>,
    /// How many there are of each type, the most in front.
    pub types: Vec<(String, usize)>,
    /// What was taken for what, where a word of the question is nowhere.
    pub taken: Vec<String>,
    /// The nearest thing there is, where nothing was found.
    pub nearest: Option<Hit>,
}

fn worth(asked: Asked, points: f32) -> Asked {
    Asked::Worth(Box::new(asked), points)
}

fn any(asked: Vec<Asked>) -> Asked {
    Asked::Any(asked)
}

fn all(asked: Vec<Asked>) -> Asked {
    Asked::All(asked)
}

/// One thing that a question asks for, and the words that asked for it.
struct Wanted {
    typed: String,
    query: Asked,
    is_number: bool,
    is_type: bool,
}

/// What a word that is nowhere is taken for.
struct Slip {
    query: Asked,
    kind: &'static str,
    meant: String,
}

/// Finds parts. Where it is known which parts rows name for the machine asked for, they, what its log names and what
/// all those became are all that can sit there, and no row is looked at for each hit.
pub(super) fn find(
    words: &Words,
    question: &Question,
    lookup: &dyn Lookup,
    listed: Option<HashSet<PartNumber>>,
) -> Result<Found, Trouble> {
    let searcher = words.searcher()?;
    quietly(WHAT, || Finder { words, searcher, lookup, listed }.find(question))
}

/// What to look for around a size.
#[derive(Debug, Clone)]
pub struct NearQuestion {
    /// The size, such as 24x3 or 7/64 in.
    pub size: String,
    /// The type of part, by any of its names.
    pub part_type: String,
    /// How far each length may be off; without it a tenth of the length, but no less than half a millimetre.
    pub within: Option<Size>,
    /// How many hits to give.
    pub limit: usize,
}

impl NearQuestion {
    fn slack_in_thousandths(&self, length: u64) -> u64 {
        match self.within.as_ref().map(thousandths) {
            Some(within) => within.unwrap_or(u64::MAX),
            None => (length / 10).max(500),
        }
    }

    /// Says how far a length may be off, both in mm.
    pub fn slack_mm(&self, length: Decimal) -> Decimal {
        match &self.within {
            Some(within) => within.nominal_mm(),
            None => (length / Decimal::TEN).max(Decimal::new(5, 1)),
        }
    }
}

/// A part of nearly the size asked for.
#[derive(Debug, Clone, PartialEq)]
pub struct NearHit {
    /// The part; its score counts for nothing.
    pub hit: Hit,
    /// How much longer each of its lengths is than the one asked for, in millimetres.
    pub off: Vec<f64>,
}

/// Finds parts of nearly a size, the nearest first: by the length that is farthest off, then by all together.
///
/// `None` where the size cannot be read.
pub(super) fn near(
    words: &Words,
    question: &NearQuestion,
    lookup: &dyn Lookup,
) -> Result<Option<(usize, Vec<NearHit>)>, Trouble> {
    let searcher = words.searcher()?;
    quietly(WHAT, || Finder { words, searcher, lookup, listed: None }.near(question))
}

struct Finder<'w> {
    words: &'w Words,
    searcher: Searcher,
    lookup: &'w dyn Lookup,
    listed: Option<HashSet<PartNumber>>,
}

impl Finder<'_> {
    fn find(&self, question: &Question) -> tantivy::Result<Found> {
        let filters = self.filters(question);
        let wanted = self.wanted(&question.words)?;
        if wanted.is_empty() && filters.is_empty() {
            return Ok(Found::default());
        }
        let query = |wanted: Vec<Asked>, typed: &str| -> Asked {
            let all = all(wanted.into_iter().chain(filters.iter().cloned()).collect());
            let name = worth(self.term(self.words.fields.head, &stems(typed)), points::WHOLE_NAME);
            Asked::Better(Box::new(all), Box::new(name))
        };
        let parts =
            |wanted: &[Wanted]| wanted.iter().map(|one| one.query.clone()).collect::<Vec<_>>();
        let mut found = self.collect(&query(parts(&wanted), &question.words), question)?;
        if found.total == 0 && !wanted.is_empty() {
            // A word that is nowhere may be a slip; one that is somewhere is meant.
            let mut loosened = Vec::new();
            let mut meant_words: Vec<String> = Vec::new();
            let mut taken = Vec::new();
            let mut hopeless = false;
            let mut there = Vec::new();
            for one in &wanted {
                there.push(self.is_there(&one.query)?);
            }
            let mut at = 0;
            while let (Some(one), Some(is_there)) = (wanted.get(at), there.get(at)) {
                let (length, typed, slip) =
                    match self.slip_in_a_type(&wanted[at..], &there[at..])? {
                        Some((length, typed, slip)) => (length, typed, Some(slip)),
                        None if *is_there => {
                            loosened.push(one.query.clone());
                            meant_words.push(one.typed.clone());
                            at += 1;
                            continue;
                        }
                        None => (1, one.typed.clone(), self.slip(&one.typed)?),
                    };
                at += length;
                match slip {
                    Some(Slip { query, kind, meant }) => {
                        taken.push(format!(
                            "'{typed}' is not in the catalog; searched for {kind}{meant}"
                        ));
                        meant_words.push(meant);
                        loosened.push(query);
                    }
                    None => hopeless = true,
                }
            }
            if !taken.is_empty() && !hopeless {
                found = self.collect(&query(loosened.clone(), &meant_words.join(" ")), question)?;
                found.taken = taken;
            }
            if found.total == 0 {
                found.nearest = self.of_nearly_the_size(question, &wanted)?;
            }
            if found.total == 0 && found.nearest.is_none() {
                let nearest =
                    self.collect(&any(loosened), &Question { limit: 1, ..Question::default() })?;
                found.nearest = nearest.hits.into_iter().next();
                if found.nearest.is_none() {
                    found.nearest = self.like_a_number(&question.words)?;
                }
            }
        }
        if found.total == 0 && wanted.is_empty() {
            found.nearest = self.of_nearly_the_size(question, &wanted)?;
        }
        self.add_unlisted(question, wanted.iter().any(|one| one.is_number), &mut found);
        Ok(found)
    }

    /// Finds the part of the type asked for whose size is nearest to the one asked for, where both were.
    fn of_nearly_the_size(
        &self,
        question: &Question,
        wanted: &[Wanted],
    ) -> tantivy::Result<Option<Hit>> {
        let typed = wanted.iter().find(|one| one.is_type).map(|one| one.typed.clone());
        let sized =
            || wanted.iter().map(|one| &one.typed).find(|typed| lengths(typed).is_some()).cloned();
        let Some(part_type) = question.part_type.clone().or(typed) else { return Ok(None) };
        let Some(size) = question.size.clone().or_else(sized) else { return Ok(None) };
        for within in [None, Size::parse("8", DecimalMark::Point).ok()] {
            let near =
                NearQuestion { size: size.clone(), part_type: part_type.clone(), within, limit: 1 };
            if let Some(near) = self.near(&near)?.and_then(|(_, hits)| hits.into_iter().next()) {
                return Ok(Some(near.hit));
            }
        }
        Ok(None)
    }

    fn near(&self, question: &NearQuestion) -> tantivy::Result<Option<(usize, Vec<NearHit>)>> {
        let Some(wanted) = lengths(&question.size) else { return Ok(None) };
        let part_type = Some(question.part_type.clone());
        let mut ways = self.filters(&Question { part_type, ..Question::default() });
        let field = self.words.fields.length;
        let slack = |length: &u64| question.slack_in_thousandths(*length).min(1 << 39);
        for (slot, length) in (0..MOST_SLOTS).zip(&wanted) {
            // A measured length, which has no place in a size, may be any of them.
            let within = [slot, MOST_SLOTS].map(|slot| {
                let (low, high) = (length.saturating_sub(slack(length)), length + slack(length));
                Asked::Between(field, in_slot(slot, low), in_slot(slot, high))
            });
            ways.push(any(within.into()));
        }
        let everything = Question { limit: usize::MAX, ..Question::default() };
        let found = self.collect(&all(ways), &everything)?;
        let mut near: Vec<(i64, i64, NearHit)> = Vec::new();
        for hit in found.hits {
            let typed = lengths(&hit.size).unwrap_or_default();
            let rows = self.lookup.dimensions_of(&hit.part);
            let measured: Vec<u64> = rows.iter().filter_map(|row| thousandths(&row.size)).collect();
            let off = wanted.iter().enumerate().map(|(slot, wanted)| {
                let own = match typed.get(slot) {
                    Some(typed) => Some(*typed),
                    None => measured.iter().copied().min_by_key(|own| own.abs_diff(*wanted)),
                };
                Some(own?.cast_signed() - wanted.cast_signed())
            });
            let Some(off) = off.collect::<Option<Vec<i64>>>() else { continue };
            if off.iter().zip(&wanted).any(|(off, wanted)| off.unsigned_abs() > slack(wanted)) {
                continue;
            }
            let most = off.iter().map(|off| off.abs()).max().unwrap_or(i64::MAX);
            let sum = off.iter().map(|off| off.abs()).sum();
            #[allow(
                clippy::cast_precision_loss,
                reason = "lengths stay below 2 to the power of 40"
            )]
            let off = off.iter().map(|off| *off as f64 / 1000.0).collect();
            near.push((most, sum, NearHit { hit, off }));
        }
        near.sort_by(|a, b| {
            (a.0, a.1).cmp(&(b.0, b.1)).then_with(|| a.2.hit.part.cmp(&b.2.hit.part))
        });
        let total = near.len();
        Ok(Some((total, near.into_iter().take(question.limit).map(|(_, _, near)| near).collect())))
    }

    /// A number that other tables name, but not the table parts, is found by its exact spelling alone.
    fn add_unlisted(&self, question: &Question, is_listed: bool, found: &mut Found) {
        let filtered =
            question.part_type.is_some() || question.size.is_some() || question.status.is_some();
        let placed = question.on.is_some() || question.position.is_some();
        let Some(number) =
            PartNumber::new(&question.words).filter(|_| !filtered && !placed && !is_listed)
        else {
            return;
        };
        let Some(card) = Card::of(&number, self.lookup).filter(|card| card.row.is_none()) else {
            return;
        };
        let name = card.fitted_at.first().map_or_else(String::new, |at| at.name.clone());
        let score = points::NUMBER;
        found.hits.insert(
            0,
            Hit { part: card.part, part_type: String::new(), name, size: String::new(), score },
        );
        found.hits.truncate(question.limit);
        found.total += 1;
        found.nearest = None;
        found.taken.clear();
    }

    fn term(&self, field: Field, text: &str) -> Asked {
        Asked::Terms(vec![Term::from_field_text(field, text)])
    }

    fn is_there(&self, asked: &Asked) -> tantivy::Result<bool> {
        is_there(asked, &self.searcher)
    }

    fn number(&self, folded: &str) -> Asked {
        let fields = self.words.fields;
        any(vec![
            worth(self.term(fields.number, folded), points::NUMBER),
            worth(self.term(fields.alias, folded), points::OTHER_NUMBER),
        ])
    }

    /// Asks for numbers that hold a fragment.
    fn fragment(&self, folded: &str) -> Option<Asked> {
        let field = self.words.fields.fragments;
        let terms: Vec<Term> =
            fragments(folded).iter().map(|three| Term::from_field_text(field, three)).collect();
        match terms.len() {
            0 => None,
            1 => Some(worth(Asked::Terms(terms), points::FRAGMENT)),
            _ => Some(worth(Asked::InRow(terms), points::FRAGMENT)),
        }
    }

    /// Asks for parts with these lengths, each in its place or elsewhere in the size.
    fn lengths(&self, lengths: &[u64]) -> Asked {
        let field = self.words.fields.length;
        let between = |slot: u64, low: u64, high: u64, points: f32| {
            worth(Asked::Between(field, in_slot(slot, low), in_slot(slot, high)), points)
        };
        let each = (0..).zip(lengths).map(|(slot, length)| {
            let slack = slack(*length);
            let (low, high) = (length.saturating_sub(slack), length + slack);
            let mut ways: Vec<Asked> =
                (0..=MOST_SLOTS).map(|slot| between(slot, low, high, points::LENGTH)).collect();
            ways.push(between(slot, low, high, points::LENGTH_IN_PLACE));
            ways.push(between(slot, length.saturating_sub(1), length + 1, points::EXACT_LENGTH));
            any(ways)
        });
        all(each.collect())
    }

    /// Asks for a word in the rows of parts, in any of its forms, or for a number that holds it.
    fn word(&self, typed: &str) -> Asked {
        let fields = self.words.fields;
        let one = |word: &str| {
            let stem = stem(word);
            // Whatever has the word anywhere has its stem among all its stems.
            let more = any(vec![
                worth(self.term(fields.title, &stem), points::TITLE),
                worth(self.term(fields.lead, &stem), points::LEAD),
                worth(self.term(fields.word, word), points::WORD),
            ]);
            Asked::Better(
                Box::new(worth(self.term(fields.stem, &stem), points::STEM)),
                Box::new(more),
            )
        };
        let runs: Vec<String> = typed
            .to_lowercase()
            .split(|c: char| !c.is_alphanumeric())
            .filter(|run| !run.is_empty())
            .map(str::to_owned)
            .collect();
        let mut ways = Vec::new();
        if runs.len() > 1 {
            ways.push(one(&runs.concat()));
        }
        ways.push(all(runs.iter().map(|run| one(run)).collect()));
        if let Some(number) =
            PartNumber::new(typed).filter(|number| number.folded().chars().count() >= FRAGMENT)
            && number.folded().contains(|c: char| c.is_ascii_digit())
        {
            ways.extend(self.fragment(number.folded()));
        }
        any(ways)
    }

    fn names_of_type(&self, text: &str) -> Option<Vec<String>> {
        names_of_type(text, self.lookup)
    }

    fn of_type(&self, names: &[String]) -> Asked {
        Asked::Terms(
            names.iter().map(|name| Term::from_field_text(self.words.fields.kind, name)).collect(),
        )
    }

    fn filters(&self, question: &Question) -> Vec<Asked> {
        let fields = self.words.fields;
        let mut filters: Vec<Asked> = Vec::new();
        if let Some(part_type) = &question.part_type {
            let names = self
                .names_of_type(part_type)
                .unwrap_or_else(|| vec![Key::new(part_type).folded().to_owned()]);
            filters.push(worth(self.of_type(&names), 0.0));
        }
        if let Some(size) = &question.size {
            filters.push(match lengths(size) {
                Some(lengths) => self.lengths(&lengths),
                None => all(size.split_whitespace().map(|word| self.word(word)).collect()),
            });
        }
        if let Some(status) = question.status {
            filters.push(worth(self.term(fields.status, status.as_str()), 0.0));
        }
        if let Some(position) = &question.position {
            let parts = can_sit_at(position, self.lookup);
            let terms =
                parts.iter().map(|part| Term::from_field_text(fields.number, part.folded()));
            filters.push(Asked::Terms(terms.collect()));
        }
        if let (Some(machine), Some(listed)) = (&question.on, &self.listed) {
            let parts = listed.iter().cloned().chain(logged_on(machine, self.lookup));
            let parts = all_with_later(parts, self.lookup);
            let mut folded: Vec<&str> = parts.iter().map(PartNumber::folded).collect();
            // In the order in which the words keep them, neighbours are read together.
            folded.sort_unstable();
            let terms = folded.into_iter().map(|part| Term::from_field_text(fields.number, part));
            filters.push(Asked::Terms(terms.collect()));
        }
        filters
    }

    /// Tells what the words of a question ask for, one thing after another.
    fn wanted(&self, text: &str) -> tantivy::Result<Vec<Wanted>> {
        let tokens = tokens(text);
        let mut wanted = Vec::new();
        let mut fillers = Vec::new();
        let mut at = 0;
        while at < tokens.len() {
            let joined =
                |length: usize, by: &str| tokens.get(at..at + length).map(|tokens| tokens.join(by));
            let mut asked = None;
            for length in (1..=MOST_JOINED).rev() {
                let Some(typed) = joined(length, " ") else { continue };
                let Some(number) = PartNumber::new(&typed) else { continue };
                let query = self.number(number.folded());
                if self.is_there(&query)? {
                    let mut ways: Vec<Asked> = vec![query];
                    if length == 1 {
                        // The same text may stand in other numbers, or be a size.
                        ways.push(self.word(&typed));
                        ways.extend(lengths(&typed).map(|lengths| self.lengths(&lengths)));
                    }
                    asked = Some((
                        length,
                        Wanted { typed, query: any(ways), is_number: true, is_type: false },
                    ));
                    break;
                }
            }
            for length in (1..=MOST_JOINED).rev().filter(|_| asked.is_none()) {
                let Some(typed) = joined(length, " ") else { continue };
                if let Some(names) = self.names_of_type(&typed) {
                    let query = self.type_called(&typed, &names);
                    asked =
                        Some((length, Wanted { typed, query, is_number: false, is_type: true }));
                    break;
                }
            }
            let (length, one) = match asked {
                Some(asked) => asked,
                None => {
                    let typed = tokens.get(at).cloned().unwrap_or_default();
                    let mut ways = vec![self.word(&typed)];
                    ways.extend(lengths(&typed).map(|lengths| self.lengths(&lengths)));
                    (1, Wanted { query: any(ways), typed, is_number: false, is_type: false })
                }
            };
            at += length;
            // A token of signs alone asks for nothing.
            if one.typed.contains(|c: char| c.is_alphanumeric()) {
                if length == 1 && is_filler(&one.typed) {
                    fillers.push(one)
                } else {
                    wanted.push(one)
                }
            }
        }
        Ok(if wanted.is_empty() { fillers } else { wanted })
    }

    /// Asks for parts of a type by one of its names: of the type, or with words that say it.
    fn type_called(&self, typed: &str, names: &[String]) -> Asked {
        let words = typed.split_whitespace().map(|word| self.word(word));
        let mut ways = vec![worth(self.of_type(names), points::TYPE), all(words.collect())];
        // A text may call the thing by another of its names: a gasket for the carburettor.
        let others =
            names.iter().filter(|name| !name.contains(' ') && **name != typed.to_lowercase());
        ways.extend(others.map(|name| self.word(name)));
        any(ways)
    }

    /// Takes the first things asked for, of which one is nowhere, for the name of a type in several words: how many
    /// things, as they were typed, and what they are taken for.
    fn slip_in_a_type(
        &self,
        wanted: &[Wanted],
        there: &[bool],
    ) -> tantivy::Result<Option<(usize, String, Slip)>> {
        for length in (2..=MOST_JOINED).rev() {
            let (Some(wanted), Some(there)) = (wanted.get(..length), there.get(..length)) else {
                continue;
            };
            if there.iter().all(|there| *there) {
                continue;
            }
            let typed = wanted.iter().map(|one| one.typed.as_str()).collect::<Vec<_>>().join(" ");
            let mut like: Vec<(usize, Key)> = Vec::new();
            for name in self.lookup.type_names() {
                like.extend(slips_in_each(&typed, name.as_str()).map(|slips| (slips, name)));
            }
            like.sort();
            for (_, name) in like {
                let Some(names) = self.names_of_type(name.as_str()) else { continue };
                if self.is_there(&self.of_type(&names))? {
                    let query = self.type_called(name.as_str(), &names);
                    return Ok(Some((
                        length,
                        typed,
                        Slip { query, kind: "the type ", meant: name.to_string() },
                    )));
                }
            }
        }
        Ok(None)
    }

    /// Takes what is nowhere for something like it that is there.
    fn slip(&self, typed: &str) -> tantivy::Result<Option<Slip>> {
        if let Some(number) = self.number_like(typed)? {
            let query = worth(self.term(self.words.fields.number, number.folded()), points::SLIP);
            return Ok(Some(Slip {
                query,
                kind: "the number ",
                meant: self.lookup.spell_part(&number).to_string(),
            }));
        }
        let mut names = self.lookup.type_names();
        names.sort();
        if let Some(meant) =
            nearest(typed, names.iter().map(Key::as_str)).filter(|_| typed.chars().count() > 3)
            && let Some(names) = self.names_of_type(meant)
            && self.is_there(&self.of_type(&names))?
        {
            let words = meant.split_whitespace().map(|word| self.word(word)).collect();
            let query = any(vec![worth(self.of_type(&names), points::TYPE), all(words)]);
            return Ok(Some(Slip { query, kind: "the type ", meant: meant.to_owned() }));
        }
        let mut like = self.words_like(&typed.to_lowercase())?;
        if like.len() == 1 {
            let meant = like.remove(0);
            return Ok(Some(Slip { query: self.word(&meant), kind: "", meant }));
        }
        if !like.is_empty() {
            let query = any(like
                .iter()
                .map(|word| worth(self.term(self.words.fields.word, word), points::SLIP))
                .collect());
            return Ok(Some(Slip { query, kind: "", meant: like.join(", ") }));
        }
        // Letters alone may be a piece of a number, too.
        if let Some(number) = PartNumber::new(typed)
            && let Some(query) = self.fragment(number.folded())
            && self.is_there(&query)?
        {
            return Ok(Some(Slip {
                query,
                kind: "a piece of a number, ",
                meant: typed.to_owned(),
            }));
        }
        Ok(None)
    }

    /// Finds the words of the catalog that are nearest to one that is nowhere: one letter off, two in a long word, or
    /// words that begin with it.
    fn words_like(&self, folded: &str) -> tantivy::Result<Vec<String>> {
        let mut like: Vec<(usize, String)> = Vec::new();
        let mut seen = HashSet::new();
        for segment in self.searcher.segment_readers() {
            let inverted = segment.inverted_index(self.words.fields.word)?;
            let mut terms = inverted.terms().stream()?;
            while terms.advance() {
                let Ok(term) = std::str::from_utf8(terms.key()) else { continue };
                let Some(distance) = slips(folded, term) else { continue };
                if seen.insert(term.to_owned()) {
                    like.push((distance, term.to_owned()));
                }
            }
        }
        like.sort();
        let mut nearest = Vec::new();
        let mut best = None;
        for (distance, word) in like {
            if best.is_some_and(|best| distance > best) || nearest.len() == MOST_SLIPS {
                break;
            }
            // A word that only rows taken out since hold is no word of the catalog.
            if self.is_there(&self.term(self.words.fields.word, &word))? {
                best = Some(distance);
                nearest.push(word);
            }
        }
        Ok(nearest)
    }

    /// Finds the number that is one sign off, or two in a long one; letters typed for the figures they look like are
    /// tried first.
    fn number_like(&self, typed: &str) -> tantivy::Result<Option<PartNumber>> {
        let Some(number) = PartNumber::new(typed) else { return Ok(None) };
        let folded = number.folded();
        let length = folded.chars().count();
        if length < 5 || !folded.contains(|c: char| c.is_ascii_digit()) {
            return Ok(None);
        }
        let figures: String = folded
            .chars()
            .map(|c| match c {
                'o' => '0',
                'i' | 'l' => '1',
                c => c,
            })
            .collect();
        if figures != folded
            && let Some(number) = PartNumber::new(&figures)
            && self.is_there(&self.term(self.words.fields.number, number.folded()))?
        {
            return Ok(Some(number));
        }
        let allowed = if length >= 9 { 2 } else { 1 };
        Ok(self
            .numbers_sharing(folded)?
            .into_iter()
            .find_map(|(distance, number)| (distance <= allowed).then_some(number)))
    }

    /// Gives the numbers that share the most pieces with one, by how many signs they are off.
    fn numbers_sharing(&self, folded: &str) -> tantivy::Result<Vec<(usize, PartNumber)>> {
        const LOOKED_AT: usize = 100;
        let field = self.words.fields.fragments;
        let pieces: HashSet<String> = fragments(folded).into_iter().collect();
        let query = any(pieces.iter().map(|piece| worth(self.term(field, piece), 1.0)).collect());
        let top = best(&query, &self.searcher, LOOKED_AT)?;
        let mut like = Vec::new();
        for (_, order, address) in top.hits {
            if let Some(number) = self.number_at(order, address)? {
                like.push((strsim::damerau_levenshtein(folded, number.folded()), number));
            }
        }
        like.sort();
        Ok(like)
    }

    fn like_a_number(&self, text: &str) -> tantivy::Result<Option<Hit>> {
        let Some(number) = PartNumber::new(text) else { return Ok(None) };
        let like = self.numbers_sharing(number.folded())?;
        Ok(like.into_iter().next().map(|(_, number)| self.hit(&number, 0.0)))
    }

    fn hit(&self, number: &PartNumber, score: f32) -> Hit {
        match self.lookup.part(number) {
            Some(row) => Hit {
                part: row.part.clone(),
                part_type: row.part_type.as_ref().map_or_else(String::new, ToString::to_string),
                name: row.name.clone(),
                size: row.size.clone(),
                score,
            },
            None => Hit {
                part: number.clone(),
                part_type: String::new(),
                name: String::new(),
                size: String::new(),
                score,
            },
        }
    }

    /// Gives the number of a part: most can be told from what they sort by.
    fn number_at(&self, order: u64, address: DocAddress) -> tantivy::Result<Option<PartNumber>> {
        match number_sorted_at(order) {
            Some(folded) => Ok(PartNumber::new(&folded)),
            None => Ok(number_of(&self.searcher.doc(address)?, &self.words.fields)),
        }
    }

    fn collect(&self, query: &Asked, question: &Question) -> tantivy::Result<Found> {
        let Some(machine) = question.on.as_ref().filter(|_| self.listed.is_none()) else {
            let top = best(query, &self.searcher, question.limit)?;
            let mut hits = Vec::new();
            for (score, order, address) in top.hits {
                hits.extend(self.number_at(order, address)?.map(|number| self.hit(&number, score)));
            }
            sort(&mut hits);
            let types = top.types.into_iter().map(|(kind, count)| (self.spell_type(&kind), count));
            return Ok(Found {
                total: top.total,
                hits,
                types: by_count(types),
                ..Found::default()
            });
        };
        let logged = logged_on(machine, self.lookup);
        let mut found = Found::default();
        let mut types: BTreeMap<String, usize> = BTreeMap::new();
        for (score, order, address) in best(query, &self.searcher, usize::MAX)?.hits {
            let Some(number) = self.number_at(order, address)? else { continue };
            if can_sit_on(&number, machine, &logged, self.lookup) {
                let hit = self.hit(&number, score);
                // As the words keep it, so that a type without a row is counted under one name.
                *types.entry(self.spell_type(Key::new(&hit.part_type).folded())).or_default() += 1;
                found.total += 1;
                if found.hits.len() < question.limit {
                    found.hits.push(hit);
                }
            }
        }
        sort(&mut found.hits);
        found.types = by_count(types.into_iter());
        Ok(found)
    }

    /// Spells a type as its own table does, whatever a part's row calls it.
    fn spell_type(&self, kind: &str) -> String {
        let found = if kind.is_empty() { None } else { self.lookup.part_type(&Key::new(kind)) };
        found.map_or_else(|| kind.to_owned(), |row| row.part_type.to_string())
    }
}

/// Sorts hits by their score, and equals by their number.
fn sort(hits: &mut [Hit]) {
    hits.sort_by(|a, b| b.score.total_cmp(&a.score).then_with(|| a.part.cmp(&b.part)));
}

fn by_count(types: impl Iterator<Item = (String, usize)>) -> Vec<(String, usize)> {
    let mut sums: BTreeMap<String, usize> = BTreeMap::new();
    for (kind, count) in types {
        *sums.entry(kind).or_default() += count;
    }
    let mut types: Vec<_> = sums.into_iter().collect();
    types.sort_by_key(|(_, count)| Reverse(*count));
    types
}

/// Tells by how many slips the words of a phrase are off from those of a name, each from its own; `None` where one is no
/// slip of the other.
fn slips_in_each(typed: &str, name: &str) -> Option<usize> {
    let (typed, name) = (typed.to_lowercase(), name.to_lowercase());
    let (mut typed, mut name) = (typed.split_whitespace(), name.split_whitespace());
    let mut sum = 0;
    loop {
        sum += match (typed.next(), name.next()) {
            (None, None) => return Some(sum),
            (Some(typed), Some(name)) if typed == name => 0,
            (Some(typed), Some(name)) => slips(typed, name)?,
            _ => return None,
        };
    }
}

/// Splits what was typed at its spaces, and joins what belongs to one size: `24 x 3`, `7/64 in`.
fn tokens(text: &str) -> Vec<String> {
    let mut tokens: Vec<String> = Vec::new();
    let mut joins = false;
    for word in text.split_whitespace().take(MOST_WORDS) {
        let folded = word.to_lowercase();
        let is_by = matches!(folded.as_str(), "x" | "×" | "*");
        let is_unit = matches!(folded.as_str(), "mm" | "in" | "inch" | "inches" | "\"");
        let begins_a_number = folded.starts_with(|c: char| c.is_ascii_digit());
        match tokens.last_mut() {
            Some(last) if joins && begins_a_number => last.push_str(&folded),
            Some(last) if is_by && lengths(last).is_some() => last.push('x'),
            Some(last) if is_unit && lengths(last).is_some() => {
                last.push(' ');
                last.push_str(&folded);
            }
            _ => tokens.push(word.to_owned()),
        }
        joins = tokens
            .last()
            .is_some_and(|last| last.ends_with('x') && lengths(&last[..last.len() - 1]).is_some());
    }
    tokens
}

/// Gives numbers and all that they may become.
fn all_with_later(
    parts: impl Iterator<Item = PartNumber>,
    lookup: &dyn Lookup,
) -> HashSet<PartNumber> {
    let mut all: HashSet<PartNumber> = HashSet::new();
    let mut waiting: Vec<PartNumber> = parts.collect();
    while let Some(part) = waiting.pop() {
        if !all.contains(&part) {
            waiting.extend(lookup.later_numbers(&part));
            all.insert(part);
        }
    }
    all
}

/// Gives a number and all that may have become it.
fn with_earlier(part: &PartNumber, lookup: &dyn Lookup) -> HashSet<PartNumber> {
    let mut all = HashSet::new();
    let mut waiting = vec![part.clone()];
    while let Some(part) = waiting.pop() {
        if !all.contains(&part) {
            waiting.extend(lookup.earlier_numbers(&part));
            all.insert(part);
        }
    }
    all
}

/// Gives the parts that the tables allow at a position, of whatever machine: those listed, what they became, and what
/// a retrofit row puts there.
fn can_sit_at(position: &Key, lookup: &dyn Lookup) -> HashSet<PartNumber> {
    let listed = lookup.positions(position);
    let listed = listed.iter().filter_map(|row| row.part.part().cloned());
    let retrofits = lookup.retrofits_at(position);
    let declared =
        retrofits.iter().filter(|row| row.verdict != Verdict::No).map(|row| row.part.clone());
    all_with_later(listed.chain(declared), lookup)
}

/// Gives the parts that the log of a machine says were fitted.
fn logged_on(machine: &Machine, lookup: &dyn Lookup) -> HashSet<PartNumber> {
    lookup.log_of(&machine.machine).iter().filter_map(|entry| entry.part.part().cloned()).collect()
}

/// Tells whether a part, or a number that became it, is listed, logged or declared for a machine by a row that may
/// be for it.
fn can_sit_on(
    part: &PartNumber,
    machine: &Machine,
    logged: &HashSet<PartNumber>,
    lookup: &dyn Lookup,
) -> bool {
    let may_be = |row: &dyn Scoped| row.scope().applies(machine) != Applies::No;
    with_earlier(part, lookup).iter().any(|number| {
        logged.contains(number)
            || lookup.positions_with_part(number).iter().any(|position| {
                lookup
                    .positions(position)
                    .iter()
                    .any(|row| row.part.part() == Some(number) && may_be(row))
            })
            || lookup
                .retrofits_of(number)
                .iter()
                .any(|row| row.verdict != Verdict::No && may_be(row))
    })
}
