//! The words on disk: one tantivy document a part number, made of its row in parts and of the rows that add other
//! numbers and sizes to it.

use super::Trouble;
use super::checked::{Checked, Sums};
use super::quietly::quietly;
use super::terms::{MOST_SLOTS, add_fragments, in_slot, lengths, sort_number, thousandths};
use crate::catalog::{Part, Rows};
use crate::measure::{PartNumber, Size};
use crate::wording::{each_word, stem};
use std::cell::{OnceCell, RefCell};
use std::collections::{HashMap, HashSet};
use std::path::Path;
use std::rc::Rc;
use tantivy::collector::DocSetCollector;
use tantivy::indexer::{LogMergePolicy, NoMergePolicy};
use tantivy::query::TermQuery;
use tantivy::schema::{
    Field, IndexRecordOption, NumericOptions, OwnedValue, STORED, Schema, TextFieldIndexing,
    TextOptions, Value as _,
};
use tantivy::store::Compressor;
use tantivy::{
    Index, IndexReader, IndexSettings, IndexWriter, ReloadPolicy, Searcher, TantivyDocument, Term,
};

pub(super) const WHAT: &str = "the compiled words";

/// What the writers of a whole compile may hold before they write a piece of the index, in bytes.
const ROOM: usize = 384 << 20;

/// The same for the few documents of a change; the least that is allowed.
const LITTLE_ROOM: usize = 15 << 20;

/// What is kept of a part to find it by.
#[derive(Debug, Clone, Copy)]
pub(super) struct Fields {
    /// Its number, folded.
    pub number: Field,
    /// Its other numbers, folded.
    pub alias: Field,
    /// Every three characters of all its numbers, in order.
    pub fragments: Field,
    /// The words of its row, as they stand there.
    pub word: Field,
    /// Their stems.
    pub stem: Field,
    /// The stems of its name and type alone.
    pub title: Field,
    /// The stems of what its name says before the first comma, as one.
    pub head: Field,
    /// Each of them.
    pub lead: Field,
    /// Its type as its row names it, in lower case.
    pub kind: Field,
    /// Whether it can be bought.
    pub status: Field,
    /// Its lengths, each with its place in the size.
    pub length: Field,
    /// What it sorts by among equals.
    pub order: Field,
    /// The pieces of tables whose rows are in it.
    pub piece: Field,
    /// Its number, to look it up by.
    pub part: Field,
}

impl Fields {
    fn schema() -> (Schema, Fields) {
        let mut schema = Schema::builder();
        let text = |record| {
            let indexing =
                TextFieldIndexing::default().set_tokenizer("whitespace").set_fieldnorms(false);
            TextOptions::default().set_indexing_options(indexing.set_index_option(record))
        };
        let raw = TextFieldIndexing::default().set_tokenizer("raw").set_fieldnorms(false);
        let raw = TextOptions::default()
            .set_indexing_options(raw.set_index_option(IndexRecordOption::Basic));
        let basic = || text(IndexRecordOption::Basic);
        let fields = Fields {
            number: schema.add_text_field("number", basic()),
            alias: schema.add_text_field("alias", basic()),
            fragments: schema
                .add_text_field("fragments", text(IndexRecordOption::WithFreqsAndPositions)),
            word: schema.add_text_field("word", basic()),
            stem: schema.add_text_field("stem", basic()),
            title: schema.add_text_field("title", basic()),
            head: schema.add_text_field("head", raw.clone()),
            lead: schema.add_text_field("lead", basic()),
            kind: schema.add_text_field("kind", raw.clone().set_fast(None)),
            status: schema.add_text_field("status", raw),
            length: schema.add_u64_field("length", NumericOptions::default().set_indexed()),
            order: schema.add_u64_field("order", NumericOptions::default().set_fast()),
            piece: schema.add_u64_field("piece", NumericOptions::default().set_indexed()),
            part: schema.add_text_field("part", STORED),
        };
        (schema.build(), fields)
    }
}

/// What other tables add to a part.
#[derive(Debug, Clone, Default)]
pub(super) struct Extras {
    /// Other numbers for it.
    pub aliases: Vec<String>,
    /// Its measured lengths, in thousandths of a millimetre.
    pub lengths: Vec<u64>,
    /// The pieces of tables that all this stands in.
    pub pieces: Vec<u32>,
}

impl Extras {
    /// Gives what the rows of a piece add, and to which parts.
    pub fn of(rows: &Rows) -> Vec<(PartNumber, Extras)> {
        let mut extras = Vec::new();
        let alias = |text: &str, piece| Extras {
            aliases: vec![text.to_owned()],
            lengths: vec![],
            pieces: vec![piece],
        };
        for row in &rows.equivalents {
            extras.push((row.part.clone(), alias(row.other.as_str(), row.at.file)));
            if row.part != row.other {
                extras.push((row.other.clone(), alias(row.part.as_str(), row.at.file)));
            }
        }
        for row in rows.offers.iter().filter(|row| !row.supplier_number.is_empty()) {
            extras.push((row.part.clone(), alias(&row.supplier_number, row.at.file)));
        }
        for row in &rows.dimensions {
            let lengths = thousandths(&row.size).into_iter().collect();
            extras.push((
                row.part.clone(),
                Extras { aliases: vec![], lengths, pieces: vec![row.at.file] },
            ));
        }
        extras
    }

    pub fn add(&mut self, other: Extras) {
        self.aliases.extend(other.aliases);
        self.lengths.extend(other.lengths);
        self.pieces.extend(other.pieces);
    }

    pub fn length(size: &Size) -> Option<u64> {
        thousandths(size)
    }
}

/// The most stems that a thread keeps: a catalog has few words, and many sizes.
const MOST_STEMS: usize = 1 << 16;

thread_local! {
    /// A catalog says the same few words again and again, so their stems are kept.
    static STEMS: RefCell<HashMap<String, String>> = RefCell::default();

    /// Nor does it have many sizes.
    static SIZES: RefCell<HashMap<String, Rc<[u64]>>> = RefCell::default();
}

/// Gives the lengths in a size, none where it is not one.
fn lengths_of(size: &str) -> Rc<[u64]> {
    SIZES.with_borrow_mut(|known| {
        if let Some(lengths) = known.get(size) {
            return Rc::clone(lengths);
        }
        if known.len() >= MOST_STEMS {
            known.clear();
        }
        let read: Rc<[u64]> = lengths(size).unwrap_or_default().into();
        known.insert(size.to_owned(), Rc::clone(&read));
        read
    })
}

/// Words behind one another, as they stand and as their stems, with spaces between.
struct Said {
    words: String,
    stems: String,
}

impl Said {
    fn with_room(letters: usize) -> Self {
        // A word of several runs is given joined as well.
        let room = letters + letters / 4 + 8;
        Said { words: String::with_capacity(room), stems: String::with_capacity(room) }
    }

    fn add(&mut self, text: &str) {
        let spaced = |text: &mut String, word: &str| {
            if !text.is_empty() {
                text.push(' ');
            }
            text.push_str(word);
        };
        STEMS.with_borrow_mut(|known| {
            if known.len() >= MOST_STEMS {
                known.clear();
            }
            each_word(text, |word| {
                spaced(&mut self.words, word);
                match known.get(word) {
                    Some(stem) => spaced(&mut self.stems, stem),
                    None => {
                        let stem = stem(word);
                        spaced(&mut self.stems, &stem);
                        known.insert(word.to_owned(), stem);
                    }
                }
            });
        });
    }
}

/// The words of one catalog.
pub(super) struct Words {
    pub index: Index,
    pub fields: Fields,
    searcher: OnceCell<Searcher>,
}

impl std::fmt::Debug for Words {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.write_str("Words")
    }
}

fn settings() -> IndexSettings {
    IndexSettings {
        docstore_compression: Compressor::None,
        docstore_compress_dedicated_thread: false,
        ..IndexSettings::default()
    }
}

impl Words {
    /// Makes an empty index of words that is forgotten with the process.
    pub fn in_memory() -> Result<Self, Trouble> {
        let (schema, fields) = Fields::schema();
        let index =
            quietly(WHAT, || Index::builder().schema(schema).settings(settings()).create_in_ram())?;
        Ok(Words { index, fields, searcher: OnceCell::new() })
    }

    /// Makes an empty index of words in an empty folder.
    pub fn create(folder: &Path) -> Result<Self, Trouble> {
        let (schema, fields) = Fields::schema();
        let checked = Checked::new(folder, Sums::default())?;
        let index = quietly(WHAT, || {
            Index::builder().schema(schema).settings(settings()).open_or_create(checked)
        })?;
        Ok(Words { index, fields, searcher: OnceCell::new() })
    }

    /// Opens an index of words whose bytes are held to their sums, and which says that it is in a state.
    pub fn open(checked: Checked, state: u128) -> Result<Self, Trouble> {
        let (schema, fields) = Fields::schema();
        let (index, meta) = quietly(WHAT, || {
            let index = Index::open(checked)?;
            let meta = index.load_metas()?;
            tantivy::Result::Ok((index, meta))
        })?;
        if index.schema() != schema || meta.payload != Some(format!("{state:032x}")) {
            return Err(Trouble::Unreadable(
                "its words are in another state than its manifest".to_owned(),
            ));
        }
        Ok(Words { index, fields, searcher: OnceCell::new() })
    }

    pub fn reader(&self) -> Result<IndexReader, Trouble> {
        quietly(WHAT, || self.index.reader_builder().reload_policy(ReloadPolicy::Manual).try_into())
    }

    /// Gives what searches the words as they were when it was first asked for.
    pub fn searcher(&self) -> Result<Searcher, Trouble> {
        if let Some(searcher) = self.searcher.get() {
            return Ok(searcher.clone());
        }
        let searcher = self.reader()?.searcher();
        Ok(self.searcher.get_or_init(|| searcher).clone())
    }

    /// Makes the document of a part.
    pub fn document(
        fields: &Fields,
        part: &Part,
        extras: Option<&Extras>,
        pieces: &[u32],
    ) -> TantivyDocument {
        let mut document = TantivyDocument::new();
        let folded = part.part.folded();
        let nothing = Extras::default();
        let extras = extras.unwrap_or(&nothing);
        document.add_text(fields.part, folded);
        document.add_text(fields.number, folded);
        document.add_u64(fields.order, sort_number(folded));
        let mut all_fragments = String::with_capacity(8 * folded.len());
        add_fragments(folded, &mut all_fragments);
        for alias in &extras.aliases {
            if let Some(alias) = PartNumber::new(alias) {
                document.add_text(fields.alias, alias.folded());
                // A mark between two numbers, so that no fragment reaches across.
                all_fragments.push_str("| ");
                add_fragments(alias.folded(), &mut all_fragments);
            }
        }
        document.add_text(fields.fragments, all_fragments);
        let kind = part.part_type.as_ref().map_or("", |kind| kind.folded());
        document.add_text(fields.kind, kind);
        document.add_text(fields.status, part.status.map_or("available", |status| status.as_str()));
        let more = [&part.size, &part.material, &part.maker, &part.note];
        let mut said = Said::with_room(
            part.name.len() + kind.len() + more.iter().map(|text| text.len()).sum::<usize>(),
        );
        let mut name = part.name.split(',');
        said.add(name.next().unwrap_or_default());
        document.add_text(fields.lead, &said.stems);
        document.add_text(fields.head, &said.stems);
        name.for_each(|text| said.add(text));
        said.add(kind);
        document.add_text(fields.title, &said.stems);
        for text in more {
            said.add(text);
        }
        document.add_text(fields.stem, &said.stems);
        document.add_text(fields.word, &said.words);
        let typed = lengths_of(&part.size);
        let mut slotted: Vec<u64> =
            (0..MOST_SLOTS).zip(&*typed).map(|(slot, at)| in_slot(slot, *at)).collect();
        // A measured length has no place in a size, so it stands behind those that have.
        let measured = extras.lengths.iter().filter(|length| !typed.contains(length));
        slotted.extend(measured.map(|length| in_slot(MOST_SLOTS, *length)));
        slotted.sort_unstable();
        slotted.dedup();
        for length in slotted {
            document.add_u64(fields.length, length);
        }
        let mut pieces: Vec<u32> = pieces.iter().chain(&extras.pieces).copied().collect();
        pieces.sort_unstable();
        pieces.dedup();
        for piece in pieces {
            document.add_u64(fields.piece, u64::from(piece));
        }
        document
    }

    /// Begins to fill an empty index on so many threads.
    pub fn fill(&self, threads: usize) -> Result<Filling, Trouble> {
        let writer = quietly(WHAT, || self.index.writer_with_num_threads(threads, ROOM))?;
        writer.set_merge_policy(Box::new(NoMergePolicy));
        Ok(Filling(writer))
    }

    /// Takes out the documents with rows in pieces that are gone and those of changed numbers, and puts in what the
    /// numbers concerned are made of now.
    pub fn change(
        &self,
        gone: &[u32],
        changed: impl IntoIterator<Item = PartNumber>,
        now: impl Fn(&PartNumber) -> Option<TantivyDocument>,
        state: u128,
    ) -> Result<(), Trouble> {
        let mut numbers: HashSet<PartNumber> = changed.into_iter().collect();
        let searcher = self.reader()?.searcher();
        quietly(WHAT, || {
            for piece in gone {
                let term = Term::from_field_u64(self.fields.piece, u64::from(*piece));
                let query = TermQuery::new(term, IndexRecordOption::Basic);
                for address in searcher.search(&query, &DocSetCollector)? {
                    let document: TantivyDocument = searcher.doc(address)?;
                    let number = document
                        .get_first(self.fields.part)
                        .and_then(|part| part.as_str().map(str::to_owned));
                    numbers.extend(number.and_then(|number| PartNumber::new(&number)));
                }
            }
            let mut writer: IndexWriter = self.index.writer_with_num_threads(1, LITTLE_ROOM)?;
            // The few large pieces of a whole compile stay as they are; only the small ones behind them grow together.
            let mut policy = LogMergePolicy::default();
            policy.set_max_docs_before_merge(100_000);
            writer.set_merge_policy(Box::new(policy));
            for number in &numbers {
                writer.delete_term(Term::from_field_text(self.fields.number, number.folded()));
                if let Some(document) = now(number) {
                    writer.add_document(document)?;
                }
            }
            let mut commit = writer.prepare_commit()?;
            commit.set_payload(&format!("{state:032x}"));
            commit.commit()?;
            writer.wait_merging_threads()
        })
    }
}

/// An index of words that is being filled.
pub(super) struct Filling(IndexWriter);

impl Filling {
    pub fn add(&self, document: TantivyDocument) -> Result<(), Trouble> {
        quietly(WHAT, || self.0.add_document(document).map(|_| ()))
    }

    /// Ends the filling in a state.
    pub fn end(mut self, state: u128) -> Result<(), Trouble> {
        quietly(WHAT, move || {
            let mut commit = self.0.prepare_commit()?;
            commit.set_payload(&format!("{state:032x}"));
            commit.commit()?;
            self.0.wait_merging_threads()
        })
    }
}

/// Reads the number that a document keeps.
pub(super) fn number_of(document: &TantivyDocument, fields: &Fields) -> Option<PartNumber> {
    match document.get_first(fields.part).map(OwnedValue::from) {
        Some(OwnedValue::Str(text)) => PartNumber::new(&text),
        _ => None,
    }
}
