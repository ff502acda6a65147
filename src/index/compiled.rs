//! The compiled records behind [`Lookup`].

use super::Trouble;
use super::chains::{Chains, Step};
use super::checked::{Checked, Sums};
use super::manifest::{Manifest, Places};
use super::page::{self, Records};
use super::records::{
    ON_MODEL, SHARES, Tag, decode, of_list, of_model, of_name, tag_of, tag_of_all,
};
use super::store::Store;
use super::turn::Turn;
use super::words::{Extras, Fields, Words};
use crate::catalog::{
    Applies, Asked, At, Caution, Col, Dimension, Equivalent, Found, Lookup, Machine, Memory, Name,
    Offer, Part, PartType, Row, Rows, RowsBy, Scope,
};
use crate::measure::{Key, PartNumber};
use crate::tables;
use serde::de::DeserializeOwned;
use std::borrow::Cow;
use std::cell::{OnceCell, RefCell};
use std::collections::{HashMap, HashSet};
use std::path::{Path, PathBuf};
use std::sync::Arc;
use tantivy::TantivyDocument;

/// Pages kept at most; a command reads far fewer, unless it looks at everything.
const MOST_PAGES: usize = 8192;

/// The compiled records of a catalog.
///
/// A lookup cannot fail by itself: where a record cannot be read it answers empty and remembers that, so whoever asked
/// must ask [`Compiled::failed`] before relying on the answers.
#[derive(Debug)]
pub struct Compiled {
    store: Store,
    places: Places,
    bits: u8,
    files: Vec<String>,
    pages: RefCell<HashMap<u32, Arc<[u8]>>>,
    /// The types and cautions, with those shipped.
    rules: OnceCell<Memory>,
    failed: OnceCell<String>,
    /// Where the words are, what their sums are called, and the state that they must be in.
    words: (PathBuf, u128, u128),
    /// The words once they have been opened.
    open_words: OnceCell<Words>,
    /// What the file of chains is called, and the chains once they have been read.
    chains: (u128, OnceCell<Chains>),
    _turn: Option<Turn>,
}

impl Compiled {
    pub(super) fn new(
        store: Store,
        places: Places,
        manifest: &Manifest,
        hidden: &Path,
        turn: Option<Turn>,
    ) -> Self {
        Compiled {
            store,
            places,
            bits: manifest.bits,
            files: manifest.files.iter().map(|file| file.name.clone()).collect(),
            pages: RefCell::default(),
            rules: OnceCell::new(),
            failed: OnceCell::new(),
            words: (manifest.stores(hidden), manifest.sums, manifest.state),
            open_words: OnceCell::new(),
            chains: (manifest.chains, OnceCell::new()),
            _turn: turn,
        }
    }

    pub(super) fn into_store(self) -> (Store, Places) {
        (self.store, self.places)
    }

    /// Gives the parts that a row which may be for a machine lists there or declares for it, as long as the rows of its
    /// model are not too many to be looked at for one question.
    pub(super) fn parts_on(&self, machine: &Machine) -> Option<HashSet<PartNumber>> {
        const MOST: usize = 20_000;
        let mut parts = HashSet::new();
        for model in [Some(&machine.model), None] {
            for share in 0..SHARES {
                let named: Vec<(At, PartNumber, Scope)> =
                    self.values(of_model(model, share), ON_MODEL);
                let may_be = |at: At, scope: &Scope| {
                    scope.applies(machine) != Applies::No && self.place(at).is_some()
                };
                let standing = named.into_iter().filter(|(at, _, scope)| may_be(*at, scope));
                parts.extend(standing.map(|(_, part, _)| part));
                if parts.len() > MOST {
                    return None;
                }
            }
        }
        Some(parts)
    }

    fn chains(&self) -> &Chains {
        self.chains.1.get_or_init(|| {
            Chains::read(&self.words.0, self.chains.0).unwrap_or_else(|trouble| {
                self.fail(trouble.to_string());
                Chains::default()
            })
        })
    }

    /// Asks the chains; where they cannot be read, [`Compiled::failed`] says so.
    fn with_chains<T>(&self, ask: impl FnOnce(&Chains) -> T) -> T {
        let chains = self.chains();
        let answer = ask(chains);
        if let Err(trouble) = chains.held() {
            self.fail(trouble.to_string());
        }
        answer
    }

    fn is_there(&self, piece: u32) -> bool {
        self.places.of(piece).is_some()
    }

    /// Follows what every number became to the end, whatever the machine, and shows each step. A circle is left after
    /// 64 steps.
    pub fn follow_every_chain(&self, look: impl FnMut(Step<'_>)) {
        self.with_chains(|chains| chains.follow_every(|piece| self.is_there(piece), look));
    }

    /// Does a search; where the words cannot be read, [`Compiled::failed`] says so.
    pub(super) fn with_words<T>(
        &self,
        search: impl FnOnce(&Words) -> Result<T, Trouble>,
    ) -> Result<T, Trouble> {
        let (stores, sums, state) = &self.words;
        let done = match self.open_words.get() {
            Some(words) => search(words),
            None => open_words(stores, *sums, *state)
                .and_then(|words| search(self.open_words.get_or_init(|| words))),
        };
        if let Err(trouble) = &done {
            self.fail(trouble.to_string());
        }
        done
    }

    /// Makes the document of a part as the tables have it now.
    pub(super) fn document(&self, number: &PartNumber, fields: &Fields) -> Option<TantivyDocument> {
        let rows = self.pieced(Part::part, number.into());
        let (part, _) = rows.first()?;
        let pieces: Vec<u32> = rows.iter().map(|(_, piece)| *piece).collect();
        let mut rows = Rows::default();
        let within = |piece: u32| At { file: piece, line: 0 };
        let mut equivalents = self.pieced(Equivalent::part, number.into());
        let other = self.pieced(Equivalent::other, number.into()).into_iter();
        equivalents.extend(other.filter(|(row, _)| row.part != *number));
        equivalents.sort_by_key(|(row, _)| row.at);
        for (row, piece) in equivalents {
            rows.equivalents.push(row.moved(within(piece)));
        }
        for (row, piece) in self.pieced(Offer::part, number.into()) {
            rows.offers.push(row.moved(within(piece)));
        }
        for (row, piece) in self.pieced(Dimension::part, number.into()) {
            rows.dimensions.push(row.moved(within(piece)));
        }
        let mut extras = Extras::default();
        for (_, more) in Extras::of(&rows).into_iter().filter(|(part, _)| part == number) {
            extras.add(more);
        }
        Some(Words::document(fields, part, Some(&extras), &pieces))
    }

    /// Gives the rows that hold a name in a column, in table order, each with the piece that it stands in.
    fn pieced<R: Row>(&self, column: Col<R>, name: Name<'_>) -> Vec<(R, u32)> {
        let Some(tag) = tag_of(column, Asked::Rows) else { return Vec::new() };
        let is = |row: &R| {
            let mut holds = false;
            row.names(&mut |slot, _, other| holds |= slot == column.slot && name == other);
            holds
        };
        self.placed(self.values(of_name(name), tag), is)
    }

    fn placed<R: Row>(&self, rows: Vec<R>, is: impl Fn(&R) -> bool) -> Vec<(R, u32)> {
        let rows = rows.into_iter().filter_map(|row| {
            let within = row.at();
            Some((row.moved(self.place(within)?), within.file))
        });
        let mut rows: Vec<(R, u32)> = rows.filter(|(row, _)| is(row)).collect();
        rows.sort_by_key(|(row, _)| row.at());
        rows
    }

    /// Gives the rows of a table that is kept whole, in table order.
    fn whole<R: Row>(&self) -> Vec<R> {
        let Some(tag) = tag_of_all::<R>() else { return Vec::new() };
        let rows = self.placed(self.values(of_list(tag), tag), |_| true);
        rows.into_iter().map(|(row, _)| row).collect()
    }

    /// Tells what could not be read, if anything: then no answer given so far holds.
    pub fn failed(&self) -> Option<&str> {
        self.failed.get().map(String::as_str)
    }

    fn fail(&self, what: impl Into<String>) {
        let _ = self.failed.set(what.into());
    }

    fn page(&self, number: u32) -> Arc<[u8]> {
        if let Some(page) = self.pages.borrow().get(&number) {
            return Arc::clone(page);
        }
        let page: Arc<[u8]> = match self.store.page(number) {
            Ok(None) => Arc::default(),
            Ok(Some(sealed)) => match page::unseal(number, &sealed) {
                Some(page) => page.into(),
                None => {
                    self.fail("a page of its records cannot be read");
                    Arc::default()
                }
            },
            Err(trouble) => {
                self.fail(trouble.to_string());
                Arc::default()
            }
        };
        let mut pages = self.pages.borrow_mut();
        if pages.len() >= MOST_PAGES {
            pages.clear();
        }
        pages.insert(number, Arc::clone(&page));
        page
    }

    /// Tells where a row stands whose place is counted within its piece; `None` where the piece is no more.
    fn place(&self, within: At) -> Option<At> {
        let (file, line) = self.places.of(within.file)?;
        Some(At { file, line: line.saturating_add(within.line) })
    }

    fn values<T: DeserializeOwned>(&self, hash: u64, tag: Tag) -> Vec<T> {
        let page = self.page(page::number(hash, self.bits));
        let found = Records(&page).filter(|(key, kind, _)| *key == hash && *kind == tag.0);
        let read = found.filter_map(|(_, _, record)| {
            let value = decode(record);
            if value.is_none() {
                self.fail("a record cannot be read");
            }
            value
        });
        read.collect()
    }

    /// Gives names in table order, each once, as it is first spelled.
    fn in_order(&self, mut named: Vec<(At, Key)>) -> Vec<Key> {
        named.retain_mut(|(at, _)| match self.place(*at) {
            Some(place) => {
                *at = place;
                true
            }
            None => false,
        });
        named.sort_by_key(|(at, _)| *at);
        let mut seen = HashSet::new();
        named.into_iter().map(|(_, name)| name).filter(|name| seen.insert(name.clone())).collect()
    }

    /// Gives all keys of a kind of row by place, each as its first row spells it. Every page is read for it.
    fn all<T: Row, K: Clone + Eq + std::hash::Hash>(
        &self,
        column: Col<T>,
        key: impl Fn(&T) -> Option<K>,
    ) -> Vec<K> {
        let Some(tag) = tag_of(column, Asked::Rows) else { return Vec::new() };
        let mut found: Vec<(At, K)> = Vec::new();
        let read = self.store.each_page(|number, sealed| match page::unseal(number, sealed) {
            None => self.fail("a page of its records cannot be read"),
            Some(page) => {
                for (_, _, record) in Records(page).filter(|(_, kind, _)| *kind == tag.0) {
                    match decode::<T>(record) {
                        None => self.fail("a record cannot be read"),
                        Some(row) => found.extend(self.place(row.at()).zip(key(&row))),
                    }
                }
            }
        });
        if let Err(trouble) = read {
            self.fail(trouble.to_string());
        }
        found.sort_by_key(|(at, _)| *at);
        let mut seen = HashSet::new();
        found.into_iter().map(|(_, key)| key).filter(|key| seen.insert(key.clone())).collect()
    }

    /// Gives the keys of the rows that hold a name in a column, with the places of the rows.
    fn naming<R: Row>(&self, column: Col<R>, name: Name<'_>) -> Vec<(At, Key)> {
        let Some(tag) = tag_of(column, Asked::Keys) else { return Vec::new() };
        let kept: Vec<(At, String, Option<Key>)> = self.values(of_name(name), tag);
        let naming = kept.into_iter().filter(|(_, folded, _)| folded == name.folded());
        naming.filter_map(|(at, _, key)| Some((at, key?))).collect()
    }

    fn rules(&self) -> &Memory {
        self.rules.get_or_init(|| {
            let rows = Rows { types: self.whole(), cautions: self.whole(), ..Rows::default() };
            tables::Tables { rows, files: self.files.clone(), ..tables::Tables::default() }
                .catalog()
        })
    }
}

/// Opens the words and holds them to their sums and their state.
pub(super) fn open_words(stores: &Path, sums: u128, state: u128) -> Result<Words, Trouble> {
    let checked = Checked::new(&stores.join("words"), Sums::read(stores, sums)?)?;
    if !checked.rewritten_are_sound() {
        return Err(Trouble::Unreadable("its words are not as they were written".to_owned()));
    }
    Words::open(checked, state)
}

/// Types and cautions come with the program, too, and are looked up with those shipped.
fn is_rule<R: Row>() -> bool {
    [PartType::NUMBER, Caution::NUMBER].contains(&R::NUMBER)
}

impl<R: Row> RowsBy<R> for Compiled {
    fn rows_by(&self, column: Col<R>, name: Name<'_>) -> Found<'_, R> {
        if is_rule::<R>() {
            return self.rules().rows_by(column, name);
        }
        Cow::Owned(self.pieced(column, name).into_iter().map(|(row, _)| row).collect())
    }

    fn keys_by(&self, column: Col<R>, name: Name<'_>, key: Col<R>) -> Vec<Key> {
        let named = self.in_order(self.naming(column, name));
        let place = |name: &Key| {
            let rows = self.rows_by(key, name.into());
            rows.first().map(Row::at)
        };
        let mut placed: Vec<(Option<At>, Key)> =
            named.into_iter().map(|name| (place(&name), name)).collect();
        placed.sort_by_key(|(at, _)| *at);
        placed.into_iter().map(|(_, name)| name).collect()
    }

    fn holds(&self, column: Col<R>, name: Name<'_>) -> bool {
        self.naming(column, name).into_iter().any(|(at, _)| self.place(at).is_some())
    }

    fn names(&self, column: Col<R>) -> Vec<Key> {
        if is_rule::<R>() {
            return self.rules().names(column);
        }
        if let Some(tag) = tag_of(column, Asked::Names) {
            return self.in_order(self.values(of_list(tag), tag));
        }
        self.all(column, |row| {
            let mut found = None;
            row.names(&mut |slot, _, name| {
                if let (Name::Key(key), true) = (name, slot == column.slot) {
                    found = Some(key.clone());
                }
            });
            found
        })
    }

    fn all_rows(&self) -> Found<'_, R> {
        if is_rule::<R>() { self.rules().all_rows() } else { Cow::Owned(self.whole()) }
    }
}

impl Lookup for Compiled {
    fn later_numbers(&self, old: &PartNumber) -> Vec<PartNumber> {
        self.with_chains(|chains| chains.later(old, |piece| self.is_there(piece)))
    }
    fn earlier_numbers(&self, new: &PartNumber) -> Vec<PartNumber> {
        self.with_chains(|chains| chains.earlier(new, |piece| self.is_there(piece)))
    }
    fn part_numbers(&self) -> Vec<PartNumber> {
        self.all(Part::part, |row| Some(row.part.clone()))
    }
    fn file(&self, at: At) -> Cow<'_, str> {
        match self.files.get(at.file as usize) {
            Some(name) => Cow::Borrowed(name),
            // Behind the owner's files are those shipped.
            None => Cow::Owned(self.rules().file(at).into_owned()),
        }
    }
}
