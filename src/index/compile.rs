//! Brings the index up to date with the tables: all of it, or only the pieces of tables that have changed.

use super::chains::{self, Chains, Link};
use super::checked::{self, Sums};
use super::compiled::{Compiled, open_words};
use super::fresh::{Comparison, compare};
use super::manifest::{FileState, Manifest, Places, discard, now};
use super::marker::{self, Own};
use super::named::Named;
use super::page;
use super::records::{Sink, Tag, of_part, records};
use super::store::Store;
use super::words::{Extras, Fields, Words};
use super::{Open, Trouble, turn};
use crate::catalog::Rows;
use crate::measure::PartNumber;
use crate::tables::{
    Fault, Folder, Piece, Sheet, Stamp, folder_of_a_tables_name, other_than_utf8, unknown_file,
};
use std::collections::{BTreeMap, HashMap, HashSet};
use std::fs;
use std::io;
use std::path::Path;
use std::sync::atomic::{AtomicBool, AtomicUsize, Ordering};
use std::sync::mpsc::sync_channel;
use std::time::Duration;
use tantivy::TantivyDocument;
use xxhash_rust::xxh3::{xxh3_64, xxh3_128};

/// Hears how far a compile has come, so that a person can be told.
pub trait Progress {
    /// So many bytes of the tables are done, of so many.
    fn at(&mut self, done: u64, of: u64);
    /// The compile has ended.
    fn end(&mut self);
}

/// A person who waits this long, in bytes a second, would sooner have read the tables.
const READING: u64 = 30_000_000;

/// The most bytes that a page of records holds on average: a lookup reads one page, and sled keeps a few bytes for each.
const PAGE: u64 = 4 << 10;

/// Once this share of the pieces is dead, all is compiled anew.
const DEAD_SHARE: usize = 4;

pub(super) fn open(
    root: &Path,
    folder: &Folder,
    progress: &mut dyn Progress,
) -> Result<Open, Trouble> {
    if !folder.faults.is_empty() {
        return Err(Trouble::Faulty);
    }
    let hidden = marker::own(root)?.hidden;
    let bytes: u64 = folder
        .files
        .iter()
        .filter_map(|file| fs::metadata(&file.path).ok())
        .map(|meta| meta.len())
        .sum();
    let patience = Duration::from_millis((bytes / (READING / 1000)).clamp(300, 10_000));
    let turn = turn::take(&hidden, patience)?;
    // Whoever had the turn before may have listed more.
    let mut own = marker::own(root)?;
    let mut remark = None;
    let manifest = match Manifest::read(&hidden) {
        Ok(Some(manifest)) => Some(manifest),
        Ok(None) => {
            remark = Some("the index was missing; it has been made from the tables".to_owned());
            None
        }
        Err(trouble) => {
            remark = Some(anew(&trouble));
            None
        }
    };
    if let Some(manifest) = manifest {
        match refreshed(&hidden, folder, manifest.clone()) {
            Ok((manifest, store, places)) => {
                return Ok(opened(folder, &hidden, manifest, store, places, turn, None));
            }
            Err(Trouble::Faulty) => return Err(Trouble::Faulty),
            Err(Trouble::Unreadable(what)) if what.is_empty() => {}
            Err(trouble) => remark = Some(anew(&trouble)),
        }
    }
    discard(&hidden)?;
    let made = whole(&mut own, folder, bytes, progress);
    progress.end();
    if made.is_err() {
        own.clear()?;
    }
    let (manifest, store, places) = made?;
    Ok(opened(folder, &hidden, manifest, store, places, turn, remark))
}

fn anew(trouble: &Trouble) -> String {
    format!("the index was made anew from the tables, as {trouble}")
}

fn opened(
    folder: &Folder,
    hidden: &Path,
    manifest: Manifest,
    store: Store,
    places: Places,
    turn: turn::Turn,
    remark: Option<String>,
) -> Open {
    let strangers = folder.strangers.iter().map(|stranger| unknown_file(stranger));
    let misnamed = folder.misnamed.iter().map(|name| folder_of_a_tables_name(name));
    let columns = manifest.files.iter().flat_map(|file| {
        file.notices.iter().map(|(line, column, message)| Fault {
            file: file.name.clone(),
            line: *line,
            column: column.clone(),
            code: "unknown-column",
            message: message.clone(),
        })
    });
    let notices = strangers.chain(misnamed).chain(columns).collect();
    let compiled = Compiled::new(store, places, &manifest, hidden, Some(turn));
    Open { compiled, notices, remark, named: manifest.named }
}

/// Opens what is there and, where tables have changed, compiles what changed in them.
fn refreshed(
    hidden: &Path,
    folder: &Folder,
    mut manifest: Manifest,
) -> Result<(Manifest, Store, Places), Trouble> {
    let known = manifest.clone();
    let comparison = compare(folder, Some(&known))?;
    let stores = manifest.stores(hidden);
    if comparison.is_same {
        let places = manifest.read_places(hidden)?;
        let store = standing(&stores, manifest.state)?;
        if comparison.is_newer {
            for (file, current) in manifest.files.iter_mut().zip(&comparison.files) {
                (file.stamp, file.read) = (current.stamp, current.read);
            }
            // Only a help for the next time, so it does not matter if it cannot be written.
            let _ = manifest.write_alone(hidden);
        }
        return Ok((manifest, store, places));
    }
    changed(hidden, &comparison, manifest)
}

/// Opens the store of records and holds it to the state that the manifest names.
fn standing(stores: &Path, state: u128) -> Result<Store, Trouble> {
    let folder = stores.join("records");
    if !folder.is_dir() {
        return Err(Trouble::Unreadable("its records are missing".to_owned()));
    }
    let store = Store::open(&folder)?;
    if store.state()? != Some(state) {
        return Err(Trouble::Unreadable(
            "its records are in another state than its manifest".to_owned(),
        ));
    }
    Ok(store)
}

/// Compiles what has changed into the stores that are there.
fn changed(
    hidden: &Path,
    comparison: &Comparison<'_>,
    mut manifest: Manifest,
) -> Result<(Manifest, Store, Places), Trouble> {
    let mut places = manifest.read_places(hidden)?;
    let mut texts = manifest.read_texts(hidden)?;
    if texts.len() != places.0.len() {
        return Err(Trouble::Unreadable("its list of pieces cannot be read".to_owned()));
    }
    // Where each file that stays stands now; the pieces of all others are free to be found again.
    let mut moves: HashMap<u32, u32> = HashMap::new();
    let old_numbers: HashMap<&str, u32> =
        manifest.files.iter().map(|file| file.name.as_str()).zip(0..).collect();
    for (current, new) in comparison.files.iter().zip(0..) {
        if current.same.is_some()
            && let Some(old) = old_numbers.get(current.file.name.as_str())
        {
            moves.insert(*old, new);
        }
    }
    let mut free: HashMap<u128, Vec<u32>> = HashMap::new();
    for (piece, place) in (0..).zip(&mut places.0) {
        let Some((file, line)) = *place else { continue };
        *place = moves.get(&file).map(|file| (*file, line));
        if place.is_none()
            && let Some(text) = texts.get(piece as usize)
        {
            free.entry(*text).or_default().push(piece);
        }
    }
    if models_changed(comparison, &manifest) {
        // A model that is no more would still be taken for one that is there.
        return Err(Trouble::Unreadable(String::new()));
    }
    let mut files = Vec::new();
    let mut taken = Taken::default();
    for (current, number) in comparison.files.iter().zip(0u32..) {
        let Some((text, sum)) = &current.text else {
            if let Some(was) = current.same {
                files.push(FileState { stamp: current.stamp, read: current.read, ..was.clone() });
            }
            continue;
        };
        let (state, sheet) = open_sheet(
            current.file.table,
            &current.file.name,
            text,
            *sum,
            current.stamp,
            current.read,
        )?;
        files.push(state);
        let Some(sheet) = sheet else { continue };
        let form = xxh3_64(sheet.form().as_bytes());
        let mut new = Vec::new();
        for piece in sheet.pieces().ok_or(Trouble::Faulty)? {
            let text = piece_text(&sheet, &piece, form);
            match free.get_mut(&text).and_then(Vec::pop) {
                Some(old) => {
                    if let Some(place) = places.0.get_mut(old as usize) {
                        *place = Some((number, piece.line));
                    }
                }
                None => {
                    let id = u32::try_from(places.0.len()).unwrap_or(u32::MAX);
                    places.0.push(Some((number, piece.line)));
                    texts.push(text);
                    new.push((piece, id));
                }
            }
        }
        let mut take = |parsed: Parsed| {
            taken.take(parsed, manifest.bits);
            Ok(())
        };
        read_pieces(&sheet, &new, None, &mut take, &mut |_| {})?;
    }
    let gone: Vec<u32> = free.into_values().flatten().collect();
    let dead = places.0.iter().filter(|place| place.is_none()).count();
    if dead > 64 && dead * DEAD_SHARE > places.0.len() {
        // Nothing is wrong: it is only time to clear out.
        return Err(Trouble::Unreadable(String::new()));
    }
    let mut store = standing(&manifest.stores(hidden), manifest.state)?;
    if store.is_worn()? {
        return Err(Trouble::Unreadable(String::new()));
    }
    manifest.files = files;
    manifest.named.add(std::mem::take(&mut taken.named));
    if taken.pages.is_empty() && gone.is_empty() {
        manifest.write(hidden, &places, &texts)?;
        return Ok((manifest, store, places));
    }
    // From here until the new manifest is written the stores are in no state that anything names.
    let stores = manifest.stores(hidden);
    let words = open_words(&stores, manifest.sums, manifest.state)?;
    discard(hidden)?;
    manifest.state = new_state();
    let mut pages = Vec::with_capacity(taken.pages.len());
    for (number, added) in taken.pages {
        let mut page = match store.page(number)? {
            None => Vec::new(),
            Some(old) => page::unseal(number, &old)
                .ok_or_else(|| {
                    Trouble::Unreadable("a page of its records cannot be read".to_owned())
                })?
                .to_vec(),
        };
        page.extend(added);
        page::seal(number, &mut page);
        pages.push((number, page));
    }
    store.change(pages, manifest.state)?;
    let compiled = Compiled::new(store, places, &manifest, hidden, None);
    words.change(
        &gone,
        taken.numbers,
        |number| compiled.document(number, &words.fields),
        manifest.state,
    )?;
    drop(words);
    if let Some(what) = compiled.failed() {
        return Err(Trouble::Unreadable(what.to_owned()));
    }
    let (store, places) = compiled.into_store();
    let (old_sums, old_chains) = (manifest.sums, manifest.chains);
    if !taken.links.is_empty() {
        let old = Chains::read(&stores, old_chains)?;
        let mut links = old.links(|piece| places.of(piece).is_some());
        old.held()?;
        links.append(&mut taken.links);
        manifest.chains = Chains::of(&links).write(&stores)?;
    }
    manifest.sums =
        Sums::take(&stores.join("words"), &Sums::read(&stores, old_sums)?)?.write(&stores)?;
    manifest.write(hidden, &places, &texts)?;
    if old_sums != manifest.sums {
        let _ = fs::remove_file(stores.join(checked::name(old_sums)));
    }
    if old_chains != manifest.chains {
        let _ = fs::remove_file(stores.join(chains::name(old_chains)));
    }
    Ok((manifest, store, places))
}

/// Tells that a file of models was changed, added or taken away.
fn models_changed(comparison: &Comparison<'_>, manifest: &Manifest) -> bool {
    let now = comparison.files.iter().filter(|current| current.file.table == "models");
    let was = manifest.files.iter().filter(|file| file.table == "models");
    now.clone().any(|current| current.same.is_none()) || now.count() != was.count()
}

/// The records of new pieces by page, for stores that are there already.
#[derive(Default)]
struct Taken {
    pages: BTreeMap<u32, Vec<u8>>,
    /// The numbers of which the words change with them.
    numbers: Vec<PartNumber>,
    links: Vec<Link>,
    named: Named,
}

impl Taken {
    fn take(&mut self, parsed: Parsed, bits: u8) {
        for (hash, tag, record) in parsed.records() {
            page::push(self.pages.entry(page::number(hash, bits)).or_default(), hash, tag, record);
        }
        self.links.extend(parsed.links);
        self.named.add(parsed.named);
        self.numbers.extend(parsed.numbers);
        self.numbers.extend(parsed.extras.into_iter().map(|(number, _)| number));
    }
}

/// Compiles all tables into new stores beside the old, and clears the old away.
fn whole(
    own: &mut Own,
    folder: &Folder,
    bytes: u64,
    progress: &mut dyn Progress,
) -> Result<(Manifest, Store, Places), Trouble> {
    own.clear()?;
    let state = new_state();
    // About two bytes of records come of each byte of table.
    let bits = (1..=24u8).find(|bits| (1u64 << bits) * PAGE >= bytes * 2).unwrap_or(24);
    let mut manifest = Manifest::new(format!("{state:032x}"), state, bits, own.place);
    own.add(&manifest.stores)?;
    let hidden = own.hidden.as_path();
    let stores = manifest.stores(hidden);
    fs::create_dir(&stores)?;
    let room = ((bytes * 2) >> bits) as usize * 5 / 4;
    let mut pages: Vec<Vec<u8>> = (0..1 << bits).map(|_| Vec::with_capacity(room)).collect();
    let (mut places, mut texts) = (Places::default(), Vec::new());
    let comparison = compare(folder, None)?;
    let mut done = 0;
    fs::create_dir(stores.join("words"))?;
    let words = Words::create(&stores.join("words"))?;
    // Few segments are searched sooner, and words are the lesser part of the work.
    let filling = words.fill((cores() / 2).max(1))?;
    let mut wording = Wording { fields: words.fields, extras: HashMap::new() };
    let mut known = HashSet::new();
    let mut links: Vec<Link> = Vec::new();
    let mut named = Named::default();
    // What other tables add to a part is read before the part itself.
    let mut in_turn: Vec<_> = comparison.files.iter().zip(0u32..).collect();
    in_turn.sort_by_key(|(current, number)| (!EXTRAS.contains(&current.file.table), *number));
    let mut states = BTreeMap::new();
    for (current, number) in in_turn {
        let text = fs::read(&current.file.path)?;
        let sum = xxh3_128(&text);
        let (state, sheet) = open_sheet(
            current.file.table,
            &current.file.name,
            &text,
            sum,
            current.stamp,
            current.read,
        )?;
        states.insert(number, state);
        let Some(sheet) = sheet else { continue };
        let form = xxh3_64(sheet.form().as_bytes());
        let mut pieces = Vec::new();
        for piece in sheet.pieces().ok_or(Trouble::Faulty)? {
            let id = u32::try_from(places.0.len()).unwrap_or(u32::MAX);
            places.0.push(Some((number, piece.line)));
            texts.push(piece_text(&sheet, &piece, form));
            pieces.push((piece, id));
        }
        let mut extras = Vec::new();
        let mut take = |mut parsed: Parsed| {
            for (hash, tag, record) in parsed.records() {
                if let Some(page) = pages.get_mut(page::number(hash, bits) as usize) {
                    page::push(page, hash, tag, record);
                }
            }
            extras.append(&mut parsed.extras);
            links.append(&mut parsed.links);
            named.add(std::mem::take(&mut parsed.named));
            // The first row of a number is the one that counts.
            for (hash, document) in parsed.documents {
                if known.insert(hash) {
                    filling.add(document)?;
                }
            }
            Ok(())
        };
        read_pieces(&sheet, &pieces, Some(&wording), &mut take, &mut |read| {
            progress.at(done + read as u64, bytes)
        })?;
        for (number, more) in extras {
            wording.extras.entry(of_part(&number)).or_default().add(more);
        }
        done += text.len() as u64;
    }
    manifest.files = states.into_values().collect();
    manifest.named = named;
    manifest.chains = Chains::of(&links).write(&stores)?;
    // The words end their own work while the records are written.
    let (sums, store) = std::thread::scope(|scope| {
        let sums = scope.spawn(|| {
            filling.end(state)?;
            Sums::take(&stores.join("words"), &Sums::default())?.write(&stores)
        });
        let store = filled(&stores, pages, state);
        (
            sums.join()
                .unwrap_or_else(|_| Err(io::Error::other("the words could not be ended").into())),
            store,
        )
    });
    drop(words);
    manifest.sums = sums?;
    let store = store?;
    manifest.write(hidden, &places, &texts)?;
    Ok((manifest, store, places))
}

/// Makes the store of records.
fn filled(stores: &Path, mut pages: Vec<Vec<u8>>, state: u128) -> Result<Store, Trouble> {
    seal_all(&mut pages);
    let mut store = Store::open(&stores.join("records"))?;
    store.fill((0..).zip(pages).filter(|(_, page)| !page.is_empty()), state)?;
    Ok(store)
}

/// Seals pages on all cores; an empty one stays empty.
fn seal_all(pages: &mut [Vec<u8>]) {
    let share = pages.len().div_ceil(cores()).max(1);
    std::thread::scope(|scope| {
        for (share, first) in pages.chunks_mut(share).zip((0..).step_by(share)) {
            scope.spawn(move || {
                let numbered = share.iter_mut().zip(first..);
                numbered
                    .filter(|(page, _)| !page.is_empty())
                    .for_each(|(page, number)| page::seal(number, page));
            });
        }
    });
}

fn cores() -> usize {
    std::thread::available_parallelism().map_or(1, usize::from).min(8)
}

/// Gives a number that no other compile has had.
fn new_state() -> u128 {
    let mut bytes = now().to_le_bytes().to_vec();
    bytes.extend_from_slice(&std::process::id().to_le_bytes());
    xxh3_128(&bytes)
}

fn piece_text(sheet: &Sheet<'_>, piece: &Piece, form: u64) -> u128 {
    xxhash_rust::xxh3::xxh3_128_with_seed(sheet.bytes(piece), form)
}

/// Reads the header of a table file.
fn open_sheet<'t>(
    table: &str,
    name: &str,
    text: &'t [u8],
    sum: u128,
    stamp: Stamp,
    read: i128,
) -> Result<(FileState, Option<Sheet<'t>>), Trouble> {
    if other_than_utf8(text).is_some() {
        return Err(Trouble::Faulty);
    }
    let (mut faults, mut notices) = (Vec::new(), Vec::new());
    let sheet = Sheet::open(table, name, text, &mut faults, &mut notices);
    if !faults.is_empty() {
        return Err(Trouble::Faulty);
    }
    let notices =
        notices.into_iter().map(|notice| (notice.line, notice.column, notice.message)).collect();
    Ok((
        FileState {
            table: table.to_owned(),
            name: name.to_owned(),
            stamp,
            read,
            text: sum,
            notices,
        },
        sheet,
    ))
}

/// The tables that add to the words of parts.
const EXTRAS: [&str; 3] = ["equivalents", "dimensions", "offers"];

/// What it takes to make the documents of parts.
struct Wording {
    fields: Fields,
    extras: HashMap<u64, Extras>,
}

/// The records of some pieces.
#[derive(Default)]
struct Parsed {
    /// The numbers of the parts in them.
    numbers: Vec<PartNumber>,
    /// What they add to the words of parts.
    extras: Vec<(PartNumber, Extras)>,
    /// Which number became which.
    links: Vec<Link>,
    /// What they name that other rows must hold.
    named: Named,
    /// The documents of parts, where they were asked for.
    documents: Vec<(u64, TantivyDocument)>,
    bytes: Vec<u8>,
    /// Hash, tag, and where the record ends.
    marks: Vec<(u64, Tag, usize)>,
    faulty: bool,
}

impl Parsed {
    fn records(&self) -> impl Iterator<Item = (u64, Tag, &[u8])> {
        let mut start = 0;
        self.marks.iter().map(move |(hash, tag, end)| {
            let record = self.bytes.get(start..*end).unwrap_or_default();
            start = *end;
            (*hash, *tag, record)
        })
    }
}

/// How many pieces a thread takes at a time.
const AT_A_TIME: usize = 16;

/// Reads the rows of pieces on all cores and hands on their records in the order of the pieces.
fn read_pieces(
    sheet: &Sheet<'_>,
    pieces: &[(Piece, u32)],
    wording: Option<&Wording>,
    take: &mut dyn FnMut(Parsed) -> Result<(), Trouble>,
    read: &mut dyn FnMut(usize),
) -> Result<(), Trouble> {
    let batches: Vec<&[(Piece, u32)]> = pieces.chunks(AT_A_TIME).collect();
    if let [only] = batches.as_slice() {
        let parsed = parse(sheet, only, wording);
        return if parsed.faulty { Err(Trouble::Faulty) } else { take(parsed) };
    }
    let next = AtomicUsize::new(0);
    let stop = AtomicBool::new(false);
    let threads = cores().min(batches.len());
    std::thread::scope(|scope| {
        let (sender, receiver) = sync_channel::<(usize, Parsed)>(4 * threads);
        for _ in 0..threads {
            let (sender, next, stop, batches) = (sender.clone(), &next, &stop, &batches);
            scope.spawn(move || {
                while !stop.load(Ordering::Relaxed) {
                    let number = next.fetch_add(1, Ordering::Relaxed);
                    let Some(batch) = batches.get(number) else { break };
                    if sender.send((number, parse(sheet, batch, wording))).is_err() {
                        break;
                    }
                }
            });
        }
        drop(sender);
        let mut waiting: BTreeMap<usize, Parsed> = BTreeMap::new();
        let mut wanted = 0;
        let mut done = Ok(());
        for (number, parsed) in receiver {
            if parsed.faulty && done.is_ok() {
                done = Err(Trouble::Faulty);
            }
            if done.is_err() {
                stop.store(true, Ordering::Relaxed);
                continue;
            }
            waiting.insert(number, parsed);
            while let Some(parsed) = waiting.remove(&wanted) {
                if let Err(trouble) = take(parsed) {
                    done = Err(trouble);
                    break;
                }
                if let Some((piece, _)) = batches.get(wanted).and_then(|batch| batch.last()) {
                    read(piece.span.end);
                }
                wanted += 1;
            }
        }
        done
    })
}

fn parse(sheet: &Sheet<'_>, pieces: &[(Piece, u32)], wording: Option<&Wording>) -> Parsed {
    // About two bytes of records come of each byte of table.
    let length = pieces.iter().map(|(piece, _)| piece.span.len()).sum::<usize>();
    let mut parsed = Parsed { bytes: Vec::with_capacity(length * 2), ..Parsed::default() };
    let mut rows = Rows::default();
    let mut unread = Vec::new();
    let mut record = Vec::new();
    for (piece, id) in pieces {
        rows.clear();
        // Within a piece lines are counted from 0, so that a piece that moves stays as it is.
        let piece = Piece { span: piece.span.clone(), line: 0 };
        sheet.read(&piece, *id, &mut rows, &mut unread, &mut Rows::default());
        parsed.faulty |= !unread.is_empty();
        match wording {
            None => parsed.numbers.extend(rows.parts.iter().map(|row| row.part.clone())),
            Some(wording) => parsed.documents.extend(rows.parts.iter().map(|row| {
                let hash = of_part(&row.part);
                (hash, Words::document(&wording.fields, row, wording.extras.get(&hash), &[*id]))
            })),
        }
        parsed.named.add(Named::of(&rows));
        parsed.extras.extend(Extras::of(&rows));
        parsed
            .links
            .extend(rows.supersessions.iter().map(|row| (*id, row.old.clone(), row.new.clone())));
        let Parsed { bytes, marks, .. } = &mut parsed;
        let mut put = |hash: u64, tag: Tag, record: &[u8]| {
            bytes.extend_from_slice(record);
            marks.push((hash, tag, bytes.len()));
        };
        let mut sink = Sink { put: &mut put, bytes: record };
        records(&rows, &mut sink);
        record = sink.bytes;
    }
    parsed
}
