//! The records on disk: pages in sled, by their numbers.

use super::Trouble;
use super::quietly::quietly;
use sled::{Batch, Config, Db, IVec, Mode};
use std::path::Path;

const WHAT: &str = "the compiled records";

/// The key under which the store says which state it is in. Page numbers have four bytes.
const STATE: &[u8] = b"state";

/// What sled may keep of what it has read, in bytes.
const CACHE: u64 = 16 << 20;

/// The pages of records of one catalog.
pub(super) struct Store(Option<Db>);

impl std::fmt::Debug for Store {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.write_str("Store")
    }
}

/// Closing writes what is left to be written, which may fail on damaged bytes as anything else may.
impl Drop for Store {
    fn drop(&mut self) {
        if let Some(db) = self.0.take() {
            let _ = quietly::<_, sled::Error>(WHAT, || {
                drop(db);
                Ok(())
            });
        }
    }
}

impl Store {
    /// Opens the store in a folder, or makes an empty one there.
    pub fn open(folder: &Path) -> Result<Self, Trouble> {
        quietly(WHAT, || {
            Config::new()
                .path(folder)
                .cache_capacity(CACHE)
                .mode(Mode::HighThroughput)
                .flush_every_ms(None)
                .print_profile_on_drop(false)
                .open()
        })
        .map(|db| Store(Some(db)))
    }

    fn with<T>(&self, work: impl FnOnce(&Db) -> sled::Result<T>) -> Result<T, Trouble> {
        quietly(WHAT, || match &self.0 {
            Some(db) => work(db),
            None => Err(sled::Error::Unsupported("closed".to_owned())),
        })
    }

    /// Tells which state the store says it is in.
    pub fn state(&self) -> Result<Option<u128>, Trouble> {
        let state = self.with(|db| db.get(STATE))?;
        Ok(state.and_then(|bytes| Some(u128::from_le_bytes(bytes.as_ref().try_into().ok()?))))
    }

    /// Reads a page; it is still sealed.
    pub fn page(&self, number: u32) -> Result<Option<IVec>, Trouble> {
        self.with(|db| db.get(number.to_be_bytes()))
    }

    /// Reads all pages in turn.
    pub fn each_page(&self, mut look: impl FnMut(&[u8])) -> Result<(), Trouble> {
        self.with(|db| {
            for item in db.iter() {
                let (key, page) = item?;
                if key.len() == 4 {
                    look(&page);
                }
            }
            Ok(())
        })
    }

    /// Fills an empty store with sealed pages in the order of their numbers.
    pub fn fill(&self, pages: impl Iterator<Item = (u32, Vec<u8>)>, state: u128) -> Result<(), Trouble> {
        self.with(|db| {
            for (number, page) in pages {
                db.insert(number.to_be_bytes(), page)?;
            }
            db.insert(STATE, &state.to_le_bytes())?;
            db.flush()?;
            Ok(())
        })
    }

    /// Puts changed pages, sealed, in place of the old, all or none.
    pub fn change(&self, pages: impl Iterator<Item = (u32, Vec<u8>)>, state: u128) -> Result<(), Trouble> {
        self.with(|db| {
            let mut batch = Batch::default();
            for (number, page) in pages {
                batch.insert(&number.to_be_bytes(), page);
            }
            batch.insert(STATE, &state.to_le_bytes());
            db.apply_batch(batch)?;
            db.flush()?;
            Ok(())
        })
    }
}
