//! What is compiled from the tables, in a hidden folder beside them: records by key, and the words to find them by.
//!
//! This room makes every command quick on a large catalog and is the only copy of nothing: it may be deleted at any
//! moment. Whatever is wrong with it (missing, locked, from another version, cut short, with flipped bytes) comes out
//! as a [`Trouble`], and the caller answers from the tables. It must not know of kits, nor of what is printed.

mod asked;
mod chains;
mod checked;
mod compile;
mod compiled;
mod find;
mod fresh;
mod manifest;
mod marker;
mod named;
mod page;
mod put;
mod quietly;
mod records;
mod store;
mod terms;
mod turn;
mod words;

pub use chains::Step;
pub use compile::Progress;
pub use compiled::Compiled;
pub use find::{Found, Hit, NearHit, NearQuestion, Question};

use crate::catalog::{Lookup, Memory};
use crate::measure::Date;
use words::{Extras, Words};

use crate::tables::{self, Fault, Folder};
use std::fmt;
use std::io;
use std::path::Path;

/// The name of the hidden folder.
pub const FOLDER: &str = ".kitwright";

/// Why the index cannot be used just now. It is never a reason not to answer.
#[derive(Debug)]
pub enum Trouble {
    /// Another process holds it, and did not let go in time.
    Held,
    /// The folder cannot be written.
    Disk(io::Error),
    /// The records or words cannot be read.
    Unreadable(String),
    /// The tables have errors, which only a whole reading reports.
    Faulty,
}

impl fmt::Display for Trouble {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Trouble::Held => f.write_str("another process is using it"),
            Trouble::Disk(error) => error.fmt(f),
            Trouble::Unreadable(what) => f.write_str(what),
            Trouble::Faulty => f.write_str("the tables have errors"),
        }
    }
}

impl std::error::Error for Trouble {}

impl From<io::Error> for Trouble {
    fn from(error: io::Error) -> Self {
        Trouble::Disk(error)
    }
}

/// An index that says what the tables say now.
#[derive(Debug)]
pub struct Open {
    /// The records.
    pub compiled: Compiled,
    /// What was passed over in the tables: unknown columns and files.
    pub notices: Vec<Fault>,
    /// A line for the person where the index was not as it should be and had to be made anew.
    pub remark: Option<String>,
    named: named::Named,
}

impl Open {
    /// Tells that a row may say nothing beside the other tables, or on this day: then only the tables can answer.
    pub fn may_stray(&self, today: &Date) -> bool {
        self.named.may_stray(&self.compiled, today)
    }
}

/// Opens the index of a catalog folder, and brings it up to date first where the tables have changed.
///
/// # Errors
/// The index cannot be used, or the tables have errors. Nothing in the tables is ever touched.
pub fn open(root: &Path, folder: &Folder, progress: &mut dyn Progress) -> Result<Open, Trouble> {
    tables::steady(root, || compile::open(root, folder, progress))
}

/// Throws away what has been compiled, after it turned out to be unreadable.
///
/// # Errors
/// The folder cannot be written.
pub fn discard(root: &Path) -> Result<(), Trouble> {
    manifest::discard(&marker::own(root)?.hidden)
}

/// Parts to be found by their words: what was compiled, or a whole catalog in memory.
pub trait Search {
    /// Finds parts by what a person types.
    ///
    /// # Errors
    /// The words cannot be made or read.
    fn find(&self, question: &Question) -> Result<Found, Trouble>;
    /// Finds parts of nearly a size, and how many there are; `None` where the size cannot be read.
    ///
    /// # Errors
    /// The words cannot be made or read.
    fn near(&self, question: &NearQuestion) -> Result<Option<(usize, Vec<NearHit>)>, Trouble>;
}

impl Search for Compiled {
    fn find(&self, question: &Question) -> Result<Found, Trouble> {
        let listed = question.on.as_ref().and_then(|machine| self.parts_on(machine));
        self.with_words(|words| find::find(words, question, self, listed))
    }

    fn near(&self, question: &NearQuestion) -> Result<Option<(usize, Vec<NearHit>)>, Trouble> {
        self.with_words(|words| find::near(words, question, self))
    }
}

impl Search for Memory {
    fn find(&self, question: &Question) -> Result<Found, Trouble> {
        find::find(&words_of(self)?, question, self, None)
    }

    fn near(&self, question: &NearQuestion) -> Result<Option<(usize, Vec<NearHit>)>, Trouble> {
        find::near(&words_of(self)?, question, self)
    }
}

/// Makes the words of a whole catalog in memory.
fn words_of(catalog: &Memory) -> Result<Words, Trouble> {
    let words = Words::in_memory()?;
    let filling = words.fill(1)?;
    for number in catalog.part_numbers() {
        let Some(part) = catalog.part(&number) else { continue };
        let mut extras = Extras::default();
        for row in catalog.equivalents_of(&number).iter() {
            let other = if row.part == number { &row.other } else { &row.part };
            extras.aliases.push(other.as_str().to_owned());
        }
        let offers = catalog.offers_of(&number);
        let named = offers.iter().filter(|row| !row.supplier_number.is_empty());
        extras.aliases.extend(named.map(|row| row.supplier_number.clone()));
        extras.lengths.extend(
            catalog.dimensions_of(&number).iter().filter_map(|row| Extras::length(&row.size)),
        );
        filling.add(Words::document(&words.fields, &part, Some(&extras), &[]))?;
    }
    filling.end(0)?;
    Ok(words)
}
