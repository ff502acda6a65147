//! What is kept of each row, under which keys, and in which bytes.

use crate::catalog::{Asked, Col, Name, Role, Row, Rows, Scope, Verdict, Visit};
use crate::measure::{Key, PartNumber};
use serde::Serialize;
use serde::de::DeserializeOwned;
use std::collections::BTreeSet;
use std::sync::LazyLock;
use xxhash_rust::xxh3::xxh3_64_with_seed;

/// What a record says of its key: which column of which table names it, and what is kept there.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct Tag(pub u8);

/// A part that rows name for a model.
pub(super) const ON_MODEL: Tag = Tag(0);

/// The columns that are asked for, each with its table and with what is kept for it. A tag is its place here, so
/// what is declared of the tables is a part of the layout.
static KEPT: LazyLock<Vec<(usize, usize, Asked)>> = LazyLock::new(|| {
    let tables = Rows::dictionary().iter().enumerate();
    let columns = tables.flat_map(|(number, table)| {
        table.columns.iter().enumerate().map(move |(slot, column)| (number, slot, column))
    });
    let kept = columns.flat_map(|(number, slot, column)| {
        column.says.asked.iter().map(move |asked| (number, slot, *asked))
    });
    kept.collect()
});

/// What is kept of a table: the column, what it is asked for, and the tag of its records.
fn kept(number: usize) -> impl Iterator<Item = (usize, Asked, Tag)> {
    let kept = KEPT.iter().zip(1..).filter(move |((table, ..), _)| *table == number);
    kept.map(|((_, slot, asked), tag)| (*slot, *asked, Tag(tag)))
}

/// Finds the tag of the records that a column of a table is asked for.
pub(super) fn tag_of<R: Row>(column: Col<R>, asked: Asked) -> Option<Tag> {
    kept(R::NUMBER)
        .find(|(slot, kept, _)| *slot == column.slot && *kept == asked)
        .map(|kept| kept.2)
}

/// Finds the tag of the records of a table that is asked for whole.
pub(super) fn tag_of_all<R: Row>() -> Option<Tag> {
    kept(R::NUMBER).find(|(_, asked, _)| *asked == Asked::Whole).map(|kept| kept.2)
}

/// Sums up what is kept, so that an index that keeps something else is made anew.
pub(super) fn layout() -> u32 {
    let declared: Vec<_> = Rows::dictionary()
        .iter()
        .map(|table| {
            (table.name, table.columns.iter().map(|c| (c.name, c.form)).collect::<Vec<_>>())
        })
        .collect();
    // Half of the sum tells two declarations apart as well as the whole.
    xxh3_64_with_seed(format!("{declared:?} {:?}", *KEPT).as_bytes(), 4) as u32
}

pub(super) fn of_name(name: Name<'_>) -> u64 {
    match name {
        Name::Key(key) => of_key(key),
        Name::Part(part) => of_part(part),
    }
}

pub(super) fn of_key(key: &Key) -> u64 {
    xxh3_64_with_seed(key.folded().as_bytes(), 1)
}

pub(super) fn of_part(part: &PartNumber) -> u64 {
    xxh3_64_with_seed(part.folded().as_bytes(), 2)
}

/// The key of a list of which a catalog has only one.
pub(super) fn of_list(tag: Tag) -> u64 {
    xxh3_64_with_seed(&[tag.0], 3)
}

/// The parts of a model stand under so many keys, so that no page grows with the whole catalog.
pub(super) const SHARES: u64 = 16;

/// A share of the parts that rows name for a model, or, without one, for every model.
pub(super) fn of_model(model: Option<&Key>, share: u64) -> u64 {
    let folded = model.map_or("", |model| model.folded());
    xxh3_64_with_seed(folded.as_bytes(), 16 + 2 * share + u64::from(model.is_some()))
}

/// Gives the keys under which a part stands that a row of this scope names at a position.
fn models_of(scope: &Scope, position: &Key) -> Vec<u64> {
    let share = of_key(position) % SHARES;
    match scope.model.as_slice() {
        [] => vec![of_model(None, share)],
        models => models.iter().map(|model| of_model(Some(model), share)).collect(),
    }
}

/// Puts a value into bytes behind those that are there. All that is kept can be put into bytes; what could not be
/// would be missing and fail its reader.
pub(super) fn encode(value: &impl Serialize, bytes: &mut Vec<u8>) {
    let _ = bincode::serde::encode_into_std_write(value, bytes, bincode::config::standard());
}

/// Reads a value; `None` where the bytes are no such value.
pub(super) fn decode<T: DeserializeOwned>(bytes: &[u8]) -> Option<T> {
    bincode::serde::decode_from_slice(
        bytes,
        bincode::config::standard().with_limit::<{ 1 << 28 }>(),
    )
    .ok()
    .map(|(value, _)| value)
}

/// Takes records; the rows in them stand in a piece of a table, on lines counted from its first.
pub(super) struct Sink<'s> {
    pub put: &'s mut dyn FnMut(u64, Tag, &[u8]),
    pub bytes: Vec<u8>,
}

impl Sink<'_> {
    fn put(&mut self, tag: Tag, value: &impl Serialize, keys: impl IntoIterator<Item = u64>) {
        self.bytes.clear();
        encode(value, &mut self.bytes);
        for key in keys {
            (self.put)(key, tag, &self.bytes);
        }
    }
}

/// Gives the records of the rows of one piece.
pub(super) fn records(rows: &Rows, sink: &mut Sink<'_>) {
    rows.visit(sink);
    for row in &rows.positions {
        if let Some(part) = row.part.part() {
            let on = models_of(&row.scope, &row.position);
            sink.put(ON_MODEL, &(row.at, part, &row.scope), on);
        }
    }
    for row in rows.retrofits.iter().filter(|row| row.verdict != Verdict::No) {
        let on = models_of(&row.scope, &row.position);
        sink.put(ON_MODEL, &(row.at, &row.part, &row.scope), on);
    }
}

/// Gives the key of a row: what it is about.
fn key_of<R: Row>(row: &R) -> Option<&Key> {
    let columns = Rows::dictionary().get(R::NUMBER).map_or(&[][..], |table| &table.columns);
    let slot = columns.iter().position(|column| column.says.role == Role::Key)?;
    let mut key = None;
    row.names(&mut |named, _, name| {
        if let (Name::Key(name), true) = (name, named == slot) {
            key = Some(name);
        }
    });
    key
}

impl<'a> Visit<'a> for Sink<'_> {
    fn rows<R: Row>(&mut self, rows: &'a [R]) {
        if rows.is_empty() {
            return;
        }
        let kept: Vec<(usize, Asked, Tag)> = kept(R::NUMBER).collect();
        for row in rows {
            let mut names: Vec<(usize, Name<'a>)> = Vec::new();
            row.names(&mut |slot, _, name| {
                if kept.iter().any(|(kept, ..)| *kept == slot) {
                    names.push((slot, name));
                }
            });
            for (slot, asked, tag) in &kept {
                let named = names.iter().filter(|(named, _)| named == slot).map(|(_, name)| *name);
                match asked {
                    Asked::Rows => {
                        let keys: BTreeSet<u64> = named.map(of_name).collect();
                        self.put(*tag, row, keys);
                    }
                    Asked::Keys => named.for_each(|name| {
                        let kept = (row.at(), name.folded(), key_of(row));
                        self.put(*tag, &kept, [of_name(name)]);
                    }),
                    Asked::Names => named.for_each(|name| {
                        if let Name::Key(key) = name {
                            self.put(*tag, &(row.at(), key), [of_list(*tag)]);
                        }
                    }),
                    Asked::Whole => self.put(*tag, row, [of_list(*tag)]),
                }
            }
        }
    }
}
