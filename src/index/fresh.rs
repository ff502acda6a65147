//! Whether the tables are still as they were compiled.

use super::manifest::{FileState, Manifest, now};
use crate::tables::{Folder, Stamp, TableFile};
use std::collections::HashMap;
use std::fs;
use std::io;
use xxhash_rust::xxh3::xxh3_128;

/// A table file as it is now.
pub(super) struct Current<'f> {
    pub file: &'f TableFile,
    pub stamp: Stamp,
    /// When it was looked at or read.
    pub read: i128,
    /// As it was compiled, where its text is as it was.
    pub same: Option<&'f FileState>,
    /// Its text and the sum of it, where it had to be read.
    pub text: Option<(Vec<u8>, u128)>,
}

/// The table files as they are now, against what was compiled.
pub(super) struct Comparison<'f> {
    pub files: Vec<Current<'f>>,
    /// Nothing has changed.
    pub is_same: bool,
    /// Something was looked at again, and is worth remembering for the next time.
    pub is_newer: bool,
}

/// Looks at every file, and reads those of which the disk does not say that they are as they were.
///
/// # Errors
/// A file cannot be read; a whole reading reports which.
pub(super) fn compare<'f>(
    folder: &'f Folder,
    manifest: Option<&'f Manifest>,
) -> io::Result<Comparison<'f>> {
    let known: HashMap<&str, &FileState> = manifest
        .iter()
        .flat_map(|manifest| &manifest.files)
        .map(|file| (file.name.as_str(), file))
        .collect();
    let mut files = Vec::with_capacity(folder.files.len());
    let mut is_newer = false;
    for file in &folder.files {
        // The clock is read first: a change while the file is being read then makes it fresh.
        let read = now();
        let stamp = Stamp::of(&fs::metadata(&file.path)?);
        let was = known.get(file.name.as_str()).copied();
        if let Some(was) = was
            && was.stamp == stamp
            && !stamp.is_fresh_at(was.read)
        {
            files.push(Current { file, stamp, read: was.read, same: Some(was), text: None });
            continue;
        }
        if manifest.is_none() {
            // All of it will be read in turn, rather than held here at once.
            files.push(Current { file, stamp, read, same: None, text: None });
            continue;
        }
        let bytes = fs::read(&file.path)?;
        let sum = xxh3_128(&bytes);
        let same = was.filter(|was| was.text == sum && was.table == file.table);
        is_newer |= same.is_some_and(|was| was.stamp != stamp || !stamp.is_fresh_at(read));
        let text = same.is_none().then_some((bytes, sum));
        files.push(Current { file, stamp, read, same, text });
    }
    let is_same = manifest.is_some_and(|manifest| manifest.files.len() == files.len())
        && files.iter().all(|current| current.same.is_some());
    Ok(Comparison { files, is_same, is_newer })
}
