//! Holds every byte of the words that is read to the sum that it had when it was written.
//!
//! Tantivy itself sums whole files and does not look at the sums when it opens one; to sum all of a large index for
//! each question would take longer than the question. So the bytes are summed in blocks, and a block when it is first
//! read.

use super::Trouble;
use super::put::{begin, put};
use super::records::{decode, encode};
use serde::{Deserialize, Serialize};
use std::cell::Cell;
use std::collections::BTreeMap;
use std::fs;
use std::io;
use std::ops::Range;
use std::path::{Path, PathBuf};
use std::sync::Arc;
use std::sync::atomic::{AtomicBool, Ordering};
use tantivy::directory::error::{DeleteError, LockError, OpenReadError, OpenWriteError};
use tantivy::directory::{
    DirectoryLock, FileHandle, Lock, MmapDirectory, OwnedBytes, WatchCallback, WatchHandle,
    WritePtr,
};
use tantivy::{Directory, HasLen};
use xxhash_rust::xxh3::{xxh3_64, xxh3_128};

/// The bytes that share a sum.
const BLOCK: usize = 32 << 10;

/// The sums of every file of an index of words.
#[derive(Debug, Clone, Default, Serialize, Deserialize)]
pub(super) struct Sums(BTreeMap<String, FileSums>);

#[derive(Debug, Clone, Serialize, Deserialize)]
struct FileSums {
    length: usize,
    blocks: Vec<u64>,
}

/// The bytes of a file that keeps the sums of its own blocks behind them; a block is held to its sum when it is first
/// read.
#[derive(Debug)]
pub(super) struct Summed {
    bytes: OwnedBytes,
    length: usize,
    /// The sums of the blocks that have not been read yet.
    unread: Vec<Cell<Option<u64>>>,
    is_spoilt: Cell<bool>,
}

impl Default for Summed {
    fn default() -> Self {
        Summed::new(Vec::new())
    }
}

impl Summed {
    /// Takes bytes that have just been made.
    pub fn new(bytes: Vec<u8>) -> Self {
        let length = bytes.len();
        Summed {
            bytes: OwnedBytes::new(bytes),
            length,
            unread: Vec::new(),
            is_spoilt: Cell::new(false),
        }
    }

    /// Writes the bytes and their sums into a folder, under a name that is made of the sum of those.
    pub fn write(&self, folder: &Path, name: impl Fn(u128) -> String) -> io::Result<u128> {
        let body = self.bytes.get(..self.length).unwrap_or_default();
        let mut tail: Vec<u8> =
            body.chunks(BLOCK).flat_map(|block| xxh3_64(block).to_le_bytes()).collect();
        tail.extend_from_slice(&(body.len() as u64).to_le_bytes());
        let sum = xxh3_128(&tail);
        put(&folder.join(name(sum)), &[body, &tail].concat())?;
        Ok(sum)
    }

    /// Opens the file that was written with this sum; `None` where it is not as it was.
    pub fn open(folder: &Path, name: &str, sum: u128) -> Option<Self> {
        let file = MmapDirectory::open(folder).ok()?.get_file_handle(Path::new(name)).ok()?;
        let bytes = file.read_bytes(0..file.len()).ok()?;
        let length = usize::try_from(u64::from_le_bytes(*bytes.last_chunk::<8>()?)).ok()?;
        let tail = bytes.get(length..)?;
        let sums = tail.get(..tail.len().checked_sub(8)?)?;
        if xxh3_128(tail) != sum || sums.len() != length.div_ceil(BLOCK) * 8 {
            return None;
        }
        let unread = sums
            .as_chunks::<8>()
            .0
            .iter()
            .map(|sum| Cell::new(Some(u64::from_le_bytes(*sum))))
            .collect();
        Some(Summed { bytes, length, unread, is_spoilt: Cell::new(false) })
    }

    /// Gives bytes; none where there are not so many, or a block of them is not as it was written.
    pub fn get(&self, range: Range<usize>) -> &[u8] {
        let Some(bytes) = self.bytes.get(range.clone()).filter(|_| range.end <= self.length) else {
            self.is_spoilt.set(true);
            return &[];
        };
        if !self.unread.is_empty() {
            for block in range.start / BLOCK..range.end.div_ceil(BLOCK) {
                let Some(sum) = self.unread.get(block).and_then(Cell::take) else { continue };
                let whole = self
                    .bytes
                    .get(block * BLOCK..((block + 1) * BLOCK).min(self.length))
                    .unwrap_or_default();
                if xxh3_64(whole) != sum {
                    self.is_spoilt.set(true);
                }
            }
        }
        if self.is_spoilt.get() { &[] } else { bytes }
    }

    /// Tells whether anything that was asked for could not be given.
    pub fn is_spoilt(&self) -> bool {
        self.is_spoilt.get()
    }
}

impl FileSums {
    fn of(bytes: &[u8]) -> Self {
        FileSums { length: bytes.len(), blocks: bytes.chunks(BLOCK).map(xxh3_64).collect() }
    }
}

/// Files that are rewritten in place; all others of an index are never changed once they are there.
fn is_rewritten(name: &str) -> bool {
    matches!(name, "meta.json" | ".managed.json")
}

impl Sums {
    /// Sums the files of a folder; those that were summed before are taken to be as they were.
    pub fn take(folder: &Path, before: &Sums) -> io::Result<Sums> {
        let mut sums = BTreeMap::new();
        for entry in fs::read_dir(folder)? {
            let entry = entry?;
            let name = entry.file_name().to_string_lossy().into_owned();
            if name.ends_with(".lock") || !entry.file_type()?.is_file() {
                continue;
            }
            let known = before.0.get(&name).filter(|_| !is_rewritten(&name));
            let file = match known {
                Some(known) => known.clone(),
                None => FileSums::of(&fs::read(entry.path())?),
            };
            sums.insert(name, file);
        }
        Ok(Sums(sums))
    }

    /// Writes the sums beside the index and gives their own sum, by which they are named.
    pub fn write(&self, stores: &Path) -> Result<u128, Trouble> {
        let mut bytes = Vec::new();
        encode(self, &mut bytes);
        let sum = xxh3_128(&bytes);
        put(&stores.join(name(sum)), &bytes)?;
        Ok(sum)
    }

    pub fn read(stores: &Path, sum: u128) -> Result<Sums, Trouble> {
        let bytes = fs::read(stores.join(name(sum)))?;
        let sums = if xxh3_128(&bytes) == sum { decode(&bytes) } else { None };
        sums.ok_or_else(|| Trouble::Unreadable("the sums of its words cannot be read".to_owned()))
    }
}

/// The name of the file of sums that has this sum itself.
pub(super) fn name(sum: u128) -> String {
    format!("sums-{sum:032x}")
}

/// A folder of words whose bytes are held to their sums. Files that have no sum are being written.
#[derive(Debug, Clone)]
pub(super) struct Checked {
    folder: PathBuf,
    inner: MmapDirectory,
    sums: Arc<Sums>,
}

impl Checked {
    pub fn new(folder: &Path, sums: Sums) -> Result<Self, Trouble> {
        let inner =
            MmapDirectory::open(folder).map_err(|error| Trouble::Unreadable(error.to_string()))?;
        Ok(Checked { folder: folder.to_owned(), inner, sums: Arc::new(sums) })
    }

    fn sums(&self, path: &Path) -> Option<&FileSums> {
        self.sums.0.get(path.to_str()?)
    }
}

fn flipped(path: &Path) -> io::Error {
    io::Error::new(
        io::ErrorKind::InvalidData,
        format!("{} is not as it was written", path.display()),
    )
}

#[derive(Debug)]
struct CheckedFile {
    path: PathBuf,
    inner: Arc<dyn FileHandle>,
    sums: FileSums,
    sound: Vec<AtomicBool>,
}

impl HasLen for CheckedFile {
    fn len(&self) -> usize {
        self.inner.len()
    }
}

impl FileHandle for CheckedFile {
    fn read_bytes(&self, range: Range<usize>) -> io::Result<OwnedBytes> {
        let blocks = range.start / BLOCK..range.end.div_ceil(BLOCK);
        for block in blocks {
            let (Some(sound), Some(sum)) = (self.sound.get(block), self.sums.blocks.get(block))
            else {
                return Err(flipped(&self.path));
            };
            if !sound.load(Ordering::Relaxed) {
                let end = ((block + 1) * BLOCK).min(self.sums.length);
                if xxh3_64(&self.inner.read_bytes(block * BLOCK..end)?) != *sum {
                    return Err(flipped(&self.path));
                }
                sound.store(true, Ordering::Relaxed);
            }
        }
        self.inner.read_bytes(range)
    }
}

impl Directory for Checked {
    fn get_file_handle(&self, path: &Path) -> Result<Arc<dyn FileHandle>, OpenReadError> {
        let inner = self.inner.get_file_handle(path)?;
        let Some(sums) =
            self.sums(path).filter(|_| !path.to_str().is_some_and(is_rewritten)).cloned()
        else {
            return Ok(inner);
        };
        if inner.len() != sums.length {
            return Err(OpenReadError::wrap_io_error(flipped(path), path.to_owned()));
        }
        let sound = sums.blocks.iter().map(|_| AtomicBool::new(false)).collect();
        Ok(Arc::new(CheckedFile { path: path.to_owned(), inner, sums, sound }))
    }

    fn delete(&self, path: &Path) -> Result<(), DeleteError> {
        self.inner.delete(path)
    }

    fn exists(&self, path: &Path) -> Result<bool, OpenReadError> {
        self.inner.exists(path)
    }

    fn open_write(&self, path: &Path) -> Result<WritePtr, OpenWriteError> {
        begin(&self.folder.join(path)).map_err(|error| match error.kind() {
            io::ErrorKind::AlreadyExists => OpenWriteError::FileAlreadyExists(path.to_owned()),
            _ => OpenWriteError::wrap_io_error(error, path.to_owned()),
        })
    }

    /// What is rewritten in place is held to its sum where the index is opened, by [`Checked::rewritten_are_sound`].
    fn atomic_read(&self, path: &Path) -> Result<Vec<u8>, OpenReadError> {
        self.inner.atomic_read(path)
    }

    fn atomic_write(&self, path: &Path, data: &[u8]) -> io::Result<()> {
        put(&self.folder.join(path), data)
    }

    fn sync_directory(&self) -> io::Result<()> {
        Ok(())
    }

    fn acquire_lock(&self, lock: &Lock) -> Result<DirectoryLock, LockError> {
        self.inner.acquire_lock(lock)
    }

    fn watch(&self, watch_callback: WatchCallback) -> tantivy::Result<WatchHandle> {
        self.inner.watch(watch_callback)
    }
}

impl Checked {
    /// Tells whether the files that are rewritten in place are as they were when the sums were taken.
    pub fn rewritten_are_sound(&self) -> bool {
        self.sums.0.iter().filter(|(name, _)| is_rewritten(name)).all(|(name, sums)| {
            self.inner.atomic_read(Path::new(name)).is_ok_and(|bytes| {
                bytes.len() == sums.length && FileSums::of(&bytes).blocks == sums.blocks
            })
        })
    }
}
