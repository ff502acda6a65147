use super::lookup::{Found, Lookup, RowsBy};
use super::naming::{Form, Name};
use super::rows::{At, Caution, PartType, Row, Rows};
use super::table::{Asked, Col, Visit};
use super::unread::UnreadRow;
use crate::measure::{Key, PartNumber};
use std::borrow::Cow;
use std::collections::{HashMap, HashSet};

/// A catalog held in memory: each row once, in table order, and beside them which rows hold which name.
#[derive(Debug, Clone, Default)]
pub struct Memory {
    files: Vec<String>,
    rows: Rows,
    by: Vec<Vec<ByName>>,
    unread: Vec<UnreadRow>,
}

/// The rows that hold a name in one column, by the folded form of the name.
#[derive(Debug, Clone, Default)]
struct ByName {
    keys: HashMap<Box<str>, Places>,
    parts: HashMap<Box<str>, Places>,
}

/// The places of rows among those of their table, in order. Most names have one.
#[derive(Debug, Clone)]
struct Places {
    first: u32,
    rest: Vec<u32>,
}

impl Places {
    fn iter(&self) -> impl Iterator<Item = usize> + '_ {
        [self.first].into_iter().chain(self.rest.iter().copied()).map(|place| place as usize)
    }

    fn last(&self) -> u32 {
        self.rest.last().copied().unwrap_or(self.first)
    }
}

impl ByName {
    fn of(&self, name: Name<'_>) -> Option<&Places> {
        match name {
            Name::Key(key) => self.keys.get(key.folded()),
            Name::Part(part) => self.parts.get(part.folded()),
        }
    }

    fn add(&mut self, name: Name<'_>, place: u32) {
        let names = match name {
            Name::Key(_) => &mut self.keys,
            Name::Part(_) => &mut self.parts,
        };
        match names.get_mut(name.folded()) {
            Some(places) if places.last() == place => {}
            Some(places) => places.rest.push(place),
            None => {
                names.insert(name.folded().into(), Places { first: place, rest: Vec::new() });
            }
        }
    }
}

/// Takes down which rows hold which name, in the columns that are asked for.
struct Taken {
    by: Vec<Vec<ByName>>,
}

impl<'a> Visit<'a> for Taken {
    fn rows<R: Row>(&mut self, rows: &'a [R]) {
        let asked = |kind: &Asked| matches!(kind, Asked::Rows | Asked::Keys);
        let columns = Rows::dictionary().get(R::NUMBER).map_or(&[][..], |table| &table.columns);
        let wanted: Vec<bool> =
            columns.iter().map(|column| column.says.asked.iter().any(asked)).collect();
        let mut by: Vec<ByName> = wanted.iter().map(|_| ByName::default()).collect();
        if wanted.contains(&true) {
            for (row, place) in rows.iter().zip(0..) {
                row.names(&mut |slot, _, name| {
                    if wanted.get(slot) == Some(&true) {
                        by[slot].add(name, place);
                    }
                });
            }
        }
        self.by.push(by);
    }
}

impl Memory {
    /// Builds a catalog from rows in table order.
    ///
    /// `files` names the files that [`At::file`] counts. `shipped` are the types and cautions that come with the
    /// program: an owner's row of the same name takes the place of the shipped one. Their files are counted from 0
    /// in `shipped_files`.
    pub fn new(
        mut rows: Rows,
        mut files: Vec<String>,
        shipped: Rows,
        shipped_files: Vec<String>,
    ) -> Self {
        let count = u32::try_from(files.len()).unwrap_or(u32::MAX);
        let moved = |at: At| At { file: at.file.saturating_add(count), ..at };
        // The first row of a name is the one that counts, so the owner's stay in front.
        let types = shipped.types.into_iter();
        rows.types.extend(types.map(|row| PartType { at: moved(row.at), ..row }));
        let cautions = shipped.cautions.into_iter();
        rows.cautions.extend(cautions.map(|row| Caution { at: moved(row.at), ..row }));
        files.extend(shipped_files);
        let mut taken = Taken { by: Vec::new() };
        rows.visit(&mut taken);
        Memory { files, rows, by: taken.by, unread: Vec::new() }
    }

    /// Keeps the rows that cannot be read, in table order.
    #[must_use]
    pub fn with_unread(self, unread: Vec<UnreadRow>) -> Self {
        Memory { unread, ..self }
    }

    /// Gives all rows, with the types and cautions shipped behind the owner's.
    pub fn rows(&self) -> &Rows {
        &self.rows
    }

    fn places<R: Row>(&self, column: Col<R>, name: Name<'_>) -> Option<&Places> {
        self.by.get(R::NUMBER)?.get(column.slot)?.of(name)
    }
}

/// Shows the names of a row in one column.
fn in_column<'r, R: Row>(row: &'r R, column: Col<R>, mut look: impl FnMut(Name<'r>)) {
    row.names(&mut |slot, _: Form, name| {
        if slot == column.slot {
            look(name);
        }
    });
}

impl<R: Row> RowsBy<R> for Memory {
    fn rows_by(&self, column: Col<R>, name: Name<'_>) -> Found<'_, R> {
        let rows = R::of(&self.rows);
        let Some(places) = self.places(column, name) else { return Cow::Borrowed(&[]) };
        let (first, last) = (places.first as usize, places.last() as usize);
        match rows.get(first..=last) {
            // What is said of a name mostly stands in rows one under the other.
            Some(rows) if last - first == places.rest.len() => Cow::Borrowed(rows),
            _ => Cow::Owned(places.iter().filter_map(|place| rows.get(place)).cloned().collect()),
        }
    }

    fn keys_by(&self, column: Col<R>, name: Name<'_>, key: Col<R>) -> Vec<Key> {
        let rows = R::of(&self.rows);
        let mut keys: Vec<(u32, &Key)> = Vec::new();
        for row in self.places(column, name).into_iter().flat_map(Places::iter) {
            let Some(row) = rows.get(row) else { continue };
            in_column(row, key, |name| {
                let Name::Key(found) = name else { return };
                let first = self.places(key, name).map_or(0, |places| places.first);
                if !keys.iter().any(|(_, known)| *known == found) {
                    keys.push((first, found));
                }
            });
        }
        keys.sort_by_key(|(first, _)| *first);
        keys.into_iter().map(|(_, key)| key.clone()).collect()
    }

    fn holds(&self, column: Col<R>, name: Name<'_>) -> bool {
        self.places(column, name).is_some()
    }

    fn names(&self, column: Col<R>) -> Vec<Key> {
        let mut seen = HashSet::new();
        let mut names = Vec::new();
        for row in R::of(&self.rows) {
            in_column(row, column, |name| {
                if let Name::Key(key) = name
                    && seen.insert(key)
                {
                    names.push(key.clone());
                }
            });
        }
        names
    }

    fn all_rows(&self) -> Found<'_, R> {
        Cow::Borrowed(R::of(&self.rows))
    }
}

impl Lookup for Memory {
    fn part_numbers(&self) -> Vec<PartNumber> {
        let mut seen = HashSet::new();
        let numbers = self.rows.parts.iter().map(|row| &row.part);
        numbers.filter(|number| seen.insert(*number)).cloned().collect()
    }
    fn unread(&self) -> Found<'_, UnreadRow> {
        Cow::Borrowed(&self.unread)
    }
    fn file(&self, at: At) -> Cow<'_, str> {
        Cow::Borrowed(self.files.get(at.file as usize).map_or("?", String::as_str))
    }
}
