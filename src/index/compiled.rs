//! The compiled records behind [`Lookup`].

use super::Trouble;
use super::chains::{Chains, Step};
use super::checked::{Checked, Sums};
use super::manifest::{Manifest, Places};
use super::page::{self, Records};
use super::records::{SHARES, Tag, decode, of_key, of_list, of_model, of_pair, of_part};
use super::store::Store;
use super::turn::Turn;
use super::words::{Extras, Fields, Words};
use crate::catalog::{
    Applies, Assembly, At, Caution, Contains, Dimension, Equivalent, Found, Job, JobLine, Joint,
    LogEntry, Lookup, Machine, Measurement, Memory, Offer, Operation, OrderLine, Part, PartType,
    Position, Retrofit, Row, Rows, Scope, Seat, Selection, Stock, Supersession, Supplier,
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
                    self.values(of_model(model, share), Tag::OnModel);
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
        let hash = of_part(number);
        let rows = self.pieced(hash, Tag::Part, |row: &Part| row.part == *number);
        let (part, _) = rows.first()?;
        let pieces: Vec<u32> = rows.iter().map(|(_, piece)| *piece).collect();
        let mut rows = Rows::default();
        let within = |piece: u32| At { file: piece, line: 0 };
        let is_equivalent = |row: &Equivalent| row.part == *number || row.other == *number;
        for (row, piece) in self.pieced(hash, Tag::Equivalent, is_equivalent) {
            rows.equivalents.push(row.moved(within(piece)));
        }
        for (row, piece) in self.pieced(hash, Tag::Offer, |row: &Offer| row.part == *number) {
            rows.offers.push(row.moved(within(piece)));
        }
        for (row, piece) in self.pieced(hash, Tag::Dimension, |row: &Dimension| row.part == *number)
        {
            rows.dimensions.push(row.moved(within(piece)));
        }
        let mut extras = Extras::default();
        for (_, more) in Extras::of(&rows).into_iter().filter(|(part, _)| part == number) {
            extras.add(more);
        }
        Some(Words::document(fields, part, Some(&extras), &pieces))
    }

    /// Gives the rows of a key in table order, each with the piece that it stands in.
    fn pieced<T: Row + DeserializeOwned>(
        &self,
        hash: u64,
        tag: Tag,
        is: impl Fn(&T) -> bool,
    ) -> Vec<(T, u32)> {
        let rows = self.values::<T>(hash, tag).into_iter();
        let mut rows: Vec<(T, u32)> = rows
            .filter_map(|row| {
                let within = row.at();
                Some((row.moved(self.place(within)?), within.file))
            })
            .filter(|(row, _)| is(row))
            .collect();
        rows.sort_by_key(|(row, _)| row.at());
        rows
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
        let found = Records(&page).filter(|(key, kind, _)| *key == hash && *kind == tag as u8);
        let read = found.filter_map(|(_, _, record)| {
            let value = decode(record);
            if value.is_none() {
                self.fail("a record cannot be read");
            }
            value
        });
        read.collect()
    }

    /// Gives the rows of a key in table order.
    fn rows<T: Row + DeserializeOwned>(
        &self,
        hash: u64,
        tag: Tag,
        is: impl Fn(&T) -> bool,
    ) -> Vec<T> {
        self.pieced(hash, tag, is).into_iter().map(|(row, _)| row).collect()
    }

    fn found<T: Row + Clone + DeserializeOwned>(
        &self,
        hash: u64,
        tag: Tag,
        is: impl Fn(&T) -> bool,
    ) -> Found<'_, T> {
        Cow::Owned(self.rows(hash, tag, is))
    }

    fn first<T: Row + Clone + DeserializeOwned>(
        &self,
        hash: u64,
        tag: Tag,
        is: impl Fn(&T) -> bool,
    ) -> Option<Cow<'_, T>> {
        self.rows(hash, tag, is).into_iter().next().map(Cow::Owned)
    }

    /// Gives names in table order, each once, as it is first spelled.
    fn names(&self, mut named: Vec<(At, Key)>) -> Vec<Key> {
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

    /// Gives the positions among those recorded of which a row is as wanted: each spelled as its first such row
    /// spells it, by the place of its first row.
    fn positions_of(&self, hash: u64, tag: Tag, wanted: impl Fn(&Position) -> bool) -> Vec<Key> {
        let mut found: Vec<(At, Key)> = self
            .names(self.values(hash, tag))
            .iter()
            .filter_map(|position| {
                let rows = self.positions(position);
                let naming = rows.iter().find(|row| wanted(row))?;
                Some((rows.first()?.at, naming.position.clone()))
            })
            .collect();
        found.sort_by_key(|(at, _)| *at);
        found.into_iter().map(|(_, position)| position).collect()
    }

    /// Gives all keys of a kind of row by place, each as its first row spells it. Every page is read for it.
    fn all<T: Row + DeserializeOwned, K: Clone + Eq + std::hash::Hash>(
        &self,
        tag: Tag,
        key: impl Fn(&T) -> K,
    ) -> Vec<K> {
        let mut found: Vec<(At, K)> = Vec::new();
        let read = self.store.each_page(|number, sealed| match page::unseal(number, sealed) {
            None => self.fail("a page of its records cannot be read"),
            Some(page) => {
                for (_, _, record) in Records(page).filter(|(_, kind, _)| *kind == tag as u8) {
                    match decode::<T>(record) {
                        None => self.fail("a record cannot be read"),
                        Some(row) => found.extend(self.place(row.at()).map(|at| (at, key(&row)))),
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

    fn rules(&self) -> &Memory {
        self.rules.get_or_init(|| {
            let rows = Rows {
                types: self.rows(of_list(Tag::TypeList), Tag::TypeList, |_| true),
                cautions: self.rows(of_list(Tag::CautionList), Tag::CautionList, |_| true),
                ..Rows::default()
            };
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

impl Lookup for Compiled {
    fn machine(&self, machine: &Key) -> Option<Cow<'_, Machine>> {
        self.first(of_key(machine), Tag::Machine, |row: &Machine| row.machine == *machine)
    }
    fn assemblies_of(&self, machine: &Key) -> Found<'_, Assembly> {
        self.found(of_key(machine), Tag::Assembly, |row: &Assembly| row.machine == *machine)
    }
    fn jobs(&self, job: &Key) -> Found<'_, Job> {
        self.found(of_key(job), Tag::Job, |row: &Job| row.job == *job)
    }
    fn job_lines(&self, job: &Key) -> Found<'_, JobLine> {
        self.found(of_key(job), Tag::JobLine, |row: &JobLine| row.job == *job)
    }
    fn positions(&self, position: &Key) -> Found<'_, Position> {
        self.found(of_key(position), Tag::Position, |row: &Position| row.position == *position)
    }
    fn positions_in_joint(&self, joint: &Key) -> Found<'_, Key> {
        Cow::Owned(self.positions_of(of_key(joint), Tag::InJoint, |row| row.joint.contains(joint)))
    }
    fn positions_with_part(&self, part: &PartNumber) -> Found<'_, Key> {
        Cow::Owned(
            self.positions_of(of_part(part), Tag::WithPart, |row| row.part.part() == Some(part)),
        )
    }
    fn positions_reached_by(&self, operation: &Key) -> Found<'_, Key> {
        Cow::Owned(self.positions_of(of_key(operation), Tag::WayIn, |row| {
            row.reached_by.as_ref() == Some(operation)
        }))
    }
    fn positions_carried_by(&self, carrier: &Key) -> Found<'_, Key> {
        Cow::Owned(self.positions_of(of_key(carrier), Tag::Carried, |row| {
            row.carried_by.as_ref() == Some(carrier)
        }))
    }
    fn operations(&self, operation: &Key) -> Found<'_, Operation> {
        self.found(of_key(operation), Tag::Operation, |row: &Operation| row.operation == *operation)
    }
    fn joint(&self, joint: &Key) -> Option<Cow<'_, Joint>> {
        self.first(of_key(joint), Tag::Joint, |row: &Joint| row.joint == *joint)
    }
    fn part(&self, part: &PartNumber) -> Option<Cow<'_, Part>> {
        self.first(of_part(part), Tag::Part, |row: &Part| row.part == *part)
    }
    fn part_rows(&self, part: &PartNumber) -> Found<'_, Part> {
        self.found(of_part(part), Tag::Part, |row: &Part| row.part == *part)
    }
    fn part_type(&self, name: &Key) -> Option<Cow<'_, PartType>> {
        self.rules().part_type(name)
    }
    fn caution(&self, caution: &Key) -> Option<Cow<'_, Caution>> {
        self.rules().caution(caution)
    }
    fn supersessions_of(&self, old: &PartNumber) -> Found<'_, Supersession> {
        self.found(of_part(old), Tag::SupersessionOf, |row: &Supersession| row.old == *old)
    }
    fn supersessions_to(&self, new: &PartNumber) -> Found<'_, Supersession> {
        self.found(of_part(new), Tag::SupersessionTo, |row: &Supersession| row.new == *new)
    }
    fn later_numbers(&self, old: &PartNumber) -> Vec<PartNumber> {
        self.with_chains(|chains| chains.later(old, |piece| self.is_there(piece)))
    }
    fn earlier_numbers(&self, new: &PartNumber) -> Vec<PartNumber> {
        self.with_chains(|chains| chains.earlier(new, |piece| self.is_there(piece)))
    }
    fn retrofits_at(&self, position: &Key) -> Found<'_, Retrofit> {
        self.found(of_key(position), Tag::RetrofitAt, |row: &Retrofit| row.position == *position)
    }
    fn retrofits_of(&self, part: &PartNumber) -> Found<'_, Retrofit> {
        self.found(of_part(part), Tag::RetrofitOf, |row: &Retrofit| row.part == *part)
    }
    fn retrofits_calling_for(&self, part: &PartNumber) -> Found<'_, Retrofit> {
        let calls = |row: &Retrofit| row.needs.iter().any(|need| need.part() == Some(part));
        self.found(of_part(part), Tag::RetrofitCallingFor, calls)
    }
    fn contents_of(&self, part: &PartNumber) -> Found<'_, Contains> {
        self.found(of_part(part), Tag::ContentOf, |row: &Contains| row.part == *part)
    }
    fn containers_of(&self, part: &PartNumber) -> Found<'_, Contains> {
        self.found(of_part(part), Tag::ContainerOf, |row: &Contains| row.contained == *part)
    }
    fn equivalents_of(&self, part: &PartNumber) -> Found<'_, Equivalent> {
        self.found(of_part(part), Tag::Equivalent, |row: &Equivalent| {
            row.part == *part || row.other == *part
        })
    }
    fn dimensions_of(&self, part: &PartNumber) -> Found<'_, Dimension> {
        self.found(of_part(part), Tag::Dimension, |row: &Dimension| row.part == *part)
    }
    fn offers_of(&self, part: &PartNumber) -> Found<'_, Offer> {
        self.found(of_part(part), Tag::Offer, |row: &Offer| row.part == *part)
    }
    fn supplier(&self, supplier: &Key) -> Option<Cow<'_, Supplier>> {
        self.first(of_key(supplier), Tag::Supplier, |row: &Supplier| row.supplier == *supplier)
    }
    fn stock_of(&self, part: &PartNumber) -> Found<'_, Stock> {
        self.found(of_part(part), Tag::Stock, |row: &Stock| row.part == *part)
    }
    fn order_lines(&self) -> Found<'_, OrderLine> {
        self.found(of_list(Tag::OrderList), Tag::OrderList, |_| true)
    }
    fn seats_at(&self, position: &Key) -> Found<'_, Seat> {
        self.found(of_key(position), Tag::Seat, |row: &Seat| row.position == *position)
    }
    fn selections_at(&self, position: &Key) -> Found<'_, Selection> {
        self.found(of_key(position), Tag::Selection, |row: &Selection| row.position == *position)
    }
    fn log_of(&self, machine: &Key) -> Found<'_, LogEntry> {
        self.found(of_key(machine), Tag::Log, |row: &LogEntry| row.machine == *machine)
    }
    fn log_names(&self, position: &Key) -> bool {
        let named: Vec<(At, Key)> = self.values(of_key(position), Tag::LogNames);
        self.names(named).contains(position)
    }
    fn measurements_at(&self, machine: &Key, position: &Key) -> Found<'_, Measurement> {
        let is = |row: &Measurement| row.machine == *machine && row.position == *position;
        self.found(of_pair(machine, position), Tag::Measurement, is)
    }
    fn machine_keys(&self) -> Vec<Key> {
        self.names(self.values(of_list(Tag::MachineList), Tag::MachineList))
    }
    fn job_keys(&self) -> Vec<Key> {
        self.names(self.values(of_list(Tag::JobList), Tag::JobList))
    }
    fn operation_keys(&self) -> Vec<Key> {
        self.names(self.values(of_list(Tag::OperationList), Tag::OperationList))
    }
    fn type_names(&self) -> Vec<Key> {
        self.rules().type_names()
    }
    fn supplier_keys(&self) -> Vec<Key> {
        self.names(self.values(of_list(Tag::SupplierList), Tag::SupplierList))
    }
    fn position_keys(&self) -> Vec<Key> {
        self.all(Tag::Position, |row: &Position| row.position.clone())
    }
    fn part_numbers(&self) -> Vec<PartNumber> {
        self.all(Tag::Part, |row: &Part| row.part.clone())
    }
    fn file(&self, at: At) -> Cow<'_, str> {
        match self.files.get(at.file as usize) {
            Some(name) => Cow::Borrowed(name),
            // Behind the owner's files are those shipped.
            None => Cow::Owned(self.rules().file(at).into_owned()),
        }
    }
}
