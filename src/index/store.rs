//! The records on disk: sealed pages one behind another in a file, and sled, which says where each of them stands and
//! which state they are in.
//!
//! The pages stand beside sled rather than in it, as its own large values do: sled 0.34 writes a leaf anew for every
//! few values put into it, keeps what it wrote before as free room, and clears all free room whenever it is opened.
//! Measured with 100,000 parts: three times the bytes, and 20 ms for each command that only wanted to read.

use super::Trouble;
use super::quietly::quietly;
use sled::{Batch, Config, Db, IVec, Mode};
use std::collections::BTreeMap;
use std::collections::btree_map::Entry;
use std::fs::{File, OpenOptions};
use std::io::{self, BufWriter, Read, Seek, SeekFrom, Write};
use std::path::Path;

const WHAT: &str = "the compiled records";

/// The file of pages, within the folder of the store.
const PAGES: &str = "pages";

/// The key under which the store says which state it is in. Keys of places have four bytes.
const STATE: &[u8] = b"state";

/// The key under which the store says how long its pages were when all were compiled.
const FILLED: &[u8] = b"filled";

/// What sled may keep of what it has read, in bytes.
const CACHE: u64 = 4 << 20;

/// What sled writes at a time, in bytes: it clears as much behind its end whenever it is opened.
const SEGMENT: usize = 128 << 10;

/// So many pages share a value of sled.
const IN_A_GROUP: u32 = 64;

/// Where a page stands in the file: its first byte and its length, which is 0 where there is no page.
type Place = (u64, u32);

const PLACE: usize = 12;

/// The pages of records of one catalog.
pub(super) struct Store {
    db: Option<Db>,
    pages: File,
    length: u64,
}

impl std::fmt::Debug for Store {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.write_str("Store")
    }
}

/// Closing writes what is left to be written, which may fail on damaged bytes as anything else may.
impl Drop for Store {
    fn drop(&mut self) {
        if let Some(db) = self.db.take() {
            let _ = quietly::<_, sled::Error>(WHAT, || {
                drop(db);
                Ok(())
            });
        }
    }
}

fn place_in(group: &[u8], number: u32) -> Option<Place> {
    let at = (number % IN_A_GROUP) as usize * PLACE;
    let (offset, length) = group.get(at..at + PLACE)?.split_first_chunk::<8>()?;
    Some((u64::from_le_bytes(*offset), u32::from_le_bytes(length.try_into().ok()?)))
}

fn put_place(group: &mut Vec<u8>, number: u32, (offset, length): Place) {
    group.resize(IN_A_GROUP as usize * PLACE, 0);
    let at = (number % IN_A_GROUP) as usize * PLACE;
    if let Some(place) = group.get_mut(at..at + PLACE) {
        let (first, second) = place.split_at_mut(8);
        first.copy_from_slice(&offset.to_le_bytes());
        second.copy_from_slice(&length.to_le_bytes());
    }
}

impl Store {
    /// Opens the store in a folder, or makes an empty one there.
    pub fn open(folder: &Path) -> Result<Self, Trouble> {
        let db = quietly(WHAT, || {
            Config::new()
                .path(folder)
                .cache_capacity(CACHE)
                .segment_size(SEGMENT)
                .mode(Mode::HighThroughput)
                .flush_every_ms(None)
                .print_profile_on_drop(false)
                .open()
        })?;
        let pages =
            OpenOptions::new().read(true).append(true).create(true).open(folder.join(PAGES))?;
        let length = pages.metadata()?.len();
        Ok(Store { db: Some(db), pages, length })
    }

    fn with<T>(&self, work: impl FnOnce(&Db) -> sled::Result<T>) -> Result<T, Trouble> {
        quietly(WHAT, || match &self.db {
            Some(db) => work(db),
            None => Err(sled::Error::Unsupported("closed".to_owned())),
        })
    }

    /// Tells which state the store says it is in.
    pub fn state(&self) -> Result<Option<u128>, Trouble> {
        let state = self.with(|db| db.get(STATE))?;
        Ok(state.and_then(|bytes| Some(u128::from_le_bytes(bytes.as_ref().try_into().ok()?))))
    }

    /// Tells whether so much has been changed that pages of no use take up more room than the others.
    pub fn is_worn(&self) -> Result<bool, Trouble> {
        let filled = self.with(|db| db.get(FILLED))?;
        let filled =
            filled.and_then(|bytes| Some(u64::from_le_bytes(bytes.as_ref().try_into().ok()?)));
        const LITTLE: u64 = 16 << 20;
        Ok(self.length > filled.unwrap_or(0) * 2 + LITTLE)
    }

    fn group(&self, number: u32) -> Result<Option<IVec>, Trouble> {
        self.with(|db| db.get((number / IN_A_GROUP).to_be_bytes()))
    }

    fn read(&self, (offset, length): Place) -> Result<Vec<u8>, Trouble> {
        if offset.checked_add(u64::from(length)).is_none_or(|end| end > self.length) {
            return Err(Trouble::Unreadable("the pages of its records are cut short".to_owned()));
        }
        let mut page = vec![0; length as usize];
        let mut file = &self.pages;
        let read = file.seek(SeekFrom::Start(offset)).and_then(|_| file.read_exact(&mut page));
        read.map_err(|error| {
            Trouble::Unreadable(format!("the pages of its records cannot be read ({error})"))
        })?;
        Ok(page)
    }

    /// Reads a page; it is still sealed.
    pub fn page(&self, number: u32) -> Result<Option<Vec<u8>>, Trouble> {
        let group = self.group(number)?;
        let place =
            group.and_then(|group| place_in(&group, number)).filter(|(_, length)| *length > 0);
        place.map(|place| self.read(place)).transpose()
    }

    /// Reads all pages in turn, each with its number.
    pub fn each_page(&self, mut look: impl FnMut(u32, &[u8])) -> Result<(), Trouble> {
        let groups: Vec<(IVec, IVec)> = self.with(|db| db.iter().collect())?;
        for (key, group) in groups {
            let Ok(first) = key.as_ref().try_into().map(u32::from_be_bytes) else { continue };
            for number in first * IN_A_GROUP..(first + 1) * IN_A_GROUP {
                if let Some(place) = place_in(&group, number).filter(|(_, length)| *length > 0) {
                    look(number, &self.read(place)?);
                }
            }
        }
        Ok(())
    }

    /// Writes pages behind those that are there, and gives the groups that they belong to with the new places.
    fn append(
        &mut self,
        pages: impl Iterator<Item = (u32, Vec<u8>)>,
        group: impl Fn(u32) -> Result<Vec<u8>, Trouble>,
    ) -> Result<BTreeMap<u32, Vec<u8>>, Trouble> {
        let mut groups: BTreeMap<u32, Vec<u8>> = BTreeMap::new();
        let mut end = self.length;
        let mut file = BufWriter::with_capacity(1 << 20, &self.pages);
        for (number, page) in pages {
            let length = u32::try_from(page.len())
                .map_err(|_| io::Error::other("a page of records is too long"))?;
            file.write_all(&page)?;
            let group = match groups.entry(number / IN_A_GROUP) {
                Entry::Occupied(group) => group.into_mut(),
                Entry::Vacant(room) => room.insert(group(number)?),
            };
            put_place(group, number, (end, length));
            end += u64::from(length);
        }
        file.flush()?;
        drop(file);
        self.length = end;
        Ok(groups)
    }

    /// Fills an empty store with sealed pages in the order of their numbers.
    pub fn fill(
        &mut self,
        pages: impl Iterator<Item = (u32, Vec<u8>)>,
        state: u128,
    ) -> Result<(), Trouble> {
        let groups = self.append(pages, |_| Ok(Vec::new()))?;
        let length = self.length;
        self.with(|db| {
            for (number, group) in groups {
                db.insert(number.to_be_bytes(), group)?;
            }
            db.insert(FILLED, &length.to_le_bytes())?;
            db.insert(STATE, &state.to_le_bytes())?;
            db.flush()?;
            Ok(())
        })
    }

    /// Puts changed pages, sealed, in place of the old, all or none.
    pub fn change(&mut self, pages: Vec<(u32, Vec<u8>)>, state: u128) -> Result<(), Trouble> {
        let mut before: BTreeMap<u32, Vec<u8>> = BTreeMap::new();
        for (number, _) in &pages {
            if let Entry::Vacant(room) = before.entry(number / IN_A_GROUP) {
                room.insert(self.group(*number)?.map_or_else(Vec::new, |group| group.to_vec()));
            }
        }
        let taken =
            |number: u32| Ok(before.get(&(number / IN_A_GROUP)).cloned().unwrap_or_default());
        let groups = self.append(pages.into_iter(), taken)?;
        self.with(|db| {
            let mut batch = Batch::default();
            for (number, group) in groups {
                batch.insert(&number.to_be_bytes(), group);
            }
            batch.insert(STATE, &state.to_le_bytes());
            db.apply_batch(batch)?;
            db.flush()?;
            Ok(())
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_is_filled_and_changed_is_read_again() {
        let folder = tempfile::tempdir().unwrap();
        let mut store = Store::open(folder.path()).unwrap();
        let pages = [0u32, 1, 63, 64, 1000];
        store.fill(pages.into_iter().map(|number| (number, vec![number as u8; 10])), 7).unwrap();
        store.change(vec![(1, vec![9; 20]), (2, vec![8; 5])], 8).unwrap();
        drop(store);
        let store = Store::open(folder.path()).unwrap();
        assert_eq!(store.state().unwrap(), Some(8));
        assert_eq!(store.page(0).unwrap(), Some(vec![0; 10]));
        assert_eq!(store.page(1).unwrap(), Some(vec![9; 20]));
        assert_eq!(store.page(2).unwrap(), Some(vec![8; 5]));
        assert_eq!(store.page(3).unwrap(), None);
        assert_eq!(store.page(1001).unwrap(), None);
        let mut seen = Vec::new();
        store.each_page(|number, _| seen.push(number)).unwrap();
        assert_eq!(seen, [0, 1, 2, 63, 64, 1000]);
        assert!(!store.is_worn().unwrap());
    }

    #[test]
    fn a_page_that_is_cut_off_is_noticed() {
        let folder = tempfile::tempdir().unwrap();
        Store::open(folder.path()).unwrap().fill([(5, vec![1; 100])].into_iter(), 7).unwrap();
        File::options().write(true).open(folder.path().join(PAGES)).unwrap().set_len(99).unwrap();
        assert!(Store::open(folder.path()).unwrap().page(5).is_err());
    }
}
