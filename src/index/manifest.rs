//! What the index was compiled from: the table files, their pieces, and the state that both stores must be in.
//!
//! The manifest is written last and in one go, so that it never names what is not there.

use super::Trouble;
use super::named::Named;
use super::put::put;
use super::records::{decode, encode, layout};
use crate::tables::{Place, Stamp, since_1970};
use serde::{Deserialize, Serialize};
use std::fs;
use std::io;
use std::path::{Path, PathBuf};
use xxhash_rust::xxh3::xxh3_128;

/// Counts the changes of how things are kept; an index with another number is made anew. What is kept is declared with
/// the tables, and counts by itself.
const LAYOUT: u32 = 9;

/// The file's name in the hidden folder.
const NAME: &str = "manifest";

/// What an index was compiled from.
#[derive(Debug, Clone, Serialize, Deserialize)]
pub(super) struct Manifest {
    layout: u32,
    program: String,
    /// The hidden folder in which it was made.
    place: Place,
    /// The folder of both stores, within the hidden folder.
    pub stores: String,
    /// The state that both stores must say they are in.
    pub state: u128,
    /// How many leading bits of a hash number its page.
    pub bits: u8,
    /// The table files in table order.
    pub files: Vec<FileState>,
    /// The sums of the files that hold the pieces' places and texts, which name them too.
    pub places: u128,
    /// As above.
    pub texts: u128,
    /// The sum of the file that holds the sums of the words.
    pub sums: u128,
    /// The sum of the file that holds which number became which.
    pub chains: u128,
    /// What the rows name that other rows must hold.
    pub named: Named,
}

/// A table file as it was compiled.
#[derive(Debug, Clone, Serialize, Deserialize)]
pub(super) struct FileState {
    pub table: String,
    pub name: String,
    pub stamp: Stamp,
    /// When its text was last read, in nanoseconds since 1970.
    pub read: i128,
    /// The sum of its text.
    pub text: u128,
    /// Which of its columns were passed over: line, column and message.
    pub notices: Vec<(u32, String, String)>,
}

pub(super) fn now() -> i128 {
    since_1970(std::time::SystemTime::now())
}

/// Where the pieces stand now, by their numbers: the file and its line. A piece that is no more stands nowhere.
#[derive(Debug, Clone, Default)]
pub(super) struct Places(pub Vec<Option<(u32, u32)>>);

impl Places {
    pub fn of(&self, piece: u32) -> Option<(u32, u32)> {
        self.0.get(piece as usize).copied().flatten()
    }
}

impl Manifest {
    pub fn new(stores: String, state: u128, bits: u8, place: Place) -> Self {
        Manifest {
            layout: LAYOUT ^ layout(),
            program: env!("CARGO_PKG_VERSION").to_owned(),
            place,
            stores,
            state,
            bits,
            files: Vec::new(),
            places: 0,
            texts: 0,
            sums: 0,
            chains: 0,
            named: Named::default(),
        }
    }

    /// Reads the manifest: `None` where there is none, an error where it is not one that this program can use.
    pub fn read(hidden: &Path) -> Result<Option<Self>, Trouble> {
        let bytes = match fs::read(hidden.join(NAME)) {
            Ok(bytes) => bytes,
            Err(error) if error.kind() == io::ErrorKind::NotFound => return Ok(None),
            Err(error) => return Err(Trouble::Disk(error)),
        };
        let unreadable = || Trouble::Unreadable("its manifest cannot be read".to_owned());
        let (body, sum) = bytes.split_last_chunk::<16>().ok_or_else(unreadable)?;
        if xxh3_128(body) != u128::from_le_bytes(*sum) {
            return Err(unreadable());
        }
        // The first field tells whether the others can be read at all.
        let found: u32 = decode(body).ok_or_else(unreadable)?;
        let manifest = if found == LAYOUT ^ layout() { decode::<Manifest>(body) } else { None };
        match manifest {
            Some(manifest) if manifest.program == env!("CARGO_PKG_VERSION") => {
                if Place::of(hidden)? == manifest.place {
                    Ok(Some(manifest))
                } else {
                    Err(Trouble::Unreadable("it was made in another folder than this".to_owned()))
                }
            }
            _ => Err(Trouble::Unreadable("it is from another version of the program".to_owned())),
        }
    }

    /// Writes the manifest with the pieces that belong to it: places where rows stand, texts by which they are
    /// known again.
    pub fn write(&mut self, hidden: &Path, places: &Places, texts: &[u128]) -> Result<(), Trouble> {
        let stores = self.stores(hidden);
        let (old_places, old_texts) = (self.places, self.texts);
        let mut bytes = Vec::with_capacity(places.0.len() * 8);
        for place in &places.0 {
            let (file, line) = place.unwrap_or((u32::MAX, 0));
            bytes.extend_from_slice(&file.to_le_bytes());
            bytes.extend_from_slice(&line.to_le_bytes());
        }
        self.places = xxh3_128(&bytes);
        put(&stores.join(sum_name("places", self.places)), &bytes)?;
        bytes.clear();
        for text in texts {
            bytes.extend_from_slice(&text.to_le_bytes());
        }
        self.texts = xxh3_128(&bytes);
        put(&stores.join(sum_name("texts", self.texts)), &bytes)?;
        self.write_alone(hidden)?;
        for (old, new, name) in
            [(old_places, self.places, "places"), (old_texts, self.texts, "texts")]
        {
            if old != new && old != 0 {
                let _ = fs::remove_file(stores.join(sum_name(name, old)));
            }
        }
        Ok(())
    }

    /// Writes the manifest where the pieces are as they were.
    pub fn write_alone(&self, hidden: &Path) -> Result<(), Trouble> {
        let mut bytes = Vec::new();
        encode(self, &mut bytes);
        let sum = xxh3_128(&bytes);
        bytes.extend_from_slice(&sum.to_le_bytes());
        put(&hidden.join(NAME), &bytes)?;
        Ok(())
    }

    /// Gives the folder of both stores.
    pub fn stores(&self, hidden: &Path) -> PathBuf {
        hidden.join(&self.stores)
    }

    /// Reads where the pieces stand.
    pub fn read_places(&self, hidden: &Path) -> Result<Places, Trouble> {
        let bytes =
            summed(&self.stores(hidden).join(sum_name("places", self.places)), self.places)?;
        let (pairs, _) = bytes.as_chunks::<8>();
        let place = |pair: &[u8; 8]| {
            let [a, b, c, d, e, f, g, h] = *pair;
            let file = u32::from_le_bytes([a, b, c, d]);
            (file != u32::MAX).then_some((file, u32::from_le_bytes([e, f, g, h])))
        };
        Ok(Places(pairs.iter().map(place).collect()))
    }

    /// Reads by which texts the pieces are known again.
    pub fn read_texts(&self, hidden: &Path) -> Result<Vec<u128>, Trouble> {
        let bytes = summed(&self.stores(hidden).join(sum_name("texts", self.texts)), self.texts)?;
        let (texts, _) = bytes.as_chunks::<16>();
        Ok(texts.iter().map(|text| u128::from_le_bytes(*text)).collect())
    }
}

fn sum_name(name: &str, sum: u128) -> String {
    format!("{name}-{sum:032x}")
}

fn summed(path: &Path, sum: u128) -> Result<Vec<u8>, Trouble> {
    let bytes = fs::read(path)?;
    if xxh3_128(&bytes) == sum {
        Ok(bytes)
    } else {
        Err(Trouble::Unreadable("its list of pieces cannot be read".to_owned()))
    }
}

/// Takes the manifest away, so that what it named is made anew.
pub(super) fn discard(hidden: &Path) -> Result<(), Trouble> {
    match fs::remove_file(hidden.join(NAME)) {
        Err(error) if error.kind() != io::ErrorKind::NotFound => Err(Trouble::Disk(error)),
        _ => Ok(()),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_manifest_of_another_version_is_not_used() {
        let folder = tempfile::tempdir().unwrap();
        let place = Place::of(folder.path()).unwrap();
        let mut manifest = Manifest::new("stores".into(), 1, 4, place);
        manifest.write_alone(folder.path()).unwrap();
        assert!(Manifest::read(folder.path()).unwrap().is_some());
        manifest.program = "0.0.0".into();
        manifest.write_alone(folder.path()).unwrap();
        let said = Manifest::read(folder.path()).unwrap_err().to_string();
        assert!(said.contains("another version"), "{said}");
        manifest.program = env!("CARGO_PKG_VERSION").into();
        manifest.layout = LAYOUT + 1;
        manifest.write_alone(folder.path()).unwrap();
        assert!(Manifest::read(folder.path()).is_err());
    }

    #[test]
    fn a_manifest_that_was_copied_is_not_used() {
        let [folder, copy] = [(); 2].map(|()| tempfile::tempdir().unwrap());
        let place = Place::of(folder.path()).unwrap();
        let manifest = Manifest::new("stores".into(), 1, 4, place);
        manifest.write_alone(folder.path()).unwrap();
        assert!(Manifest::read(folder.path()).unwrap().is_some());
        fs::copy(folder.path().join(NAME), copy.path().join(NAME)).unwrap();
        let said = Manifest::read(copy.path()).unwrap_err().to_string();
        assert!(said.contains("another folder"), "{said}");
    }
}
