//! Rows that stand twice, and numbers and names that two rows claim.

use super::code::Code;
use super::findings::Findings;
use super::grouped::Grouped;
use crate::catalog::{At, Dimension, Name, Owned, Part, Role, Row, Visit};
use crate::measure::{Key, PartNumber};
use std::collections::HashMap;
use std::collections::hash_map::RandomState;
use std::hash::{BuildHasher, Hash, Hasher};

pub(super) const KEY: Code = Code::error(
    "double-key",
    "A table that has one row for each name or number has two for this one. Only the first would count.",
    "Take one of the two rows out, or rename it.",
);
pub(super) const ROW: Code = Code::error(
    "double-row",
    "A row says exactly what an earlier one says, scope and all.",
    "Take one of the two rows out.",
);
pub(super) const ONE_NUMBER: Code = Code::error(
    "one-number-two-rows",
    "Two rows of parts have numbers that compare as one, since case, spaces, dots, hyphens and slashes do not count, but they say different things. Only the first would count.",
    "If it is one part, take one row out. If they are two parts, give one of them a number that differs in a letter or digit.",
);
pub(super) const TWO_SPELLINGS: Code = Code::warning(
    "two-spellings",
    "Two rows of parts spell one number in two ways and say the same of it.",
    "Take one of the two rows out.",
);
pub(super) const CONTENTS: Code = Code::warning(
    "contents-twice",
    "Two rows of contains are exactly alike, so the set or assembly would give the part twice.",
    "Take one of the two rows out, or type one row with the quantity of both.",
);
pub(super) const TWO_SIZES: Code = Code::warning(
    "two-sizes",
    "Two rows of dimensions give one feature of a part different sizes.",
    "Measure again and keep one row, or give the features different names.",
);
pub(super) const OTHER_NAME: Code = Code::warning(
    "other-name-taken",
    "Another name for a type is already the name of a type, or another name for an earlier type of your own, so it never leads here, and the two differ in their rules.",
    "Take the name out of also_called, or out of the row that has it already.",
);

pub(super) const CODES: &[Code] =
    &[KEY, ROW, ONE_NUMBER, TWO_SPELLINGS, CONTENTS, TWO_SIZES, OTHER_NAME];

/// Finds what stands twice.
pub(super) fn find(catalog: &Grouped, findings: &mut Findings) {
    let rows = catalog.rows;
    rows.visit(&mut Twice { findings });
    parts(catalog, findings);
    sizes(&rows.dimensions, findings);
    other_names(catalog, findings);
}

struct Twice<'t, 'f> {
    findings: &'t mut Findings<'f>,
}

impl<'a> Visit<'a> for Twice<'_, '_> {
    fn rows<R: Row>(&mut self, rows: &'a [R]) {
        let table = R::definition();
        let key = table.key();
        let Some(first) = key.first() else { return };
        if matches!(table.owned, Owned::Together(_)) && !table.is_scoped() {
            alike(self.findings, CONTENTS, "contains", rows);
        } else if table.is_scoped() {
            alike(self.findings, ROW, first, rows);
        } else if table.further().is_empty()
            && (key.len() == 1 || table.owned == Owned::Own)
            && R::NUMBER != Part::NUMBER
        {
            keys(self.findings, first, rows);
        }
    }
}

/// Gives the names in those columns of a row that have one of these roles.
pub(super) fn names_of<'r, R: Row>(row: &'r R, roles: &[Role]) -> Vec<Name<'r>> {
    let columns = &R::definition().columns;
    let mut names = Vec::new();
    row.names(&mut |slot, _, name| {
        if roles.contains(&columns[slot].says.role) {
            names.push(name);
        }
    });
    names
}

/// Finds keys of which a table has two rows. It says so at every row but the first.
fn keys<R: Row>(findings: &mut Findings, column: &str, rows: &[R]) {
    let mut firsts: HashMap<Vec<&str>, At> = HashMap::new();
    for row in rows {
        let names = names_of(row, &[Role::Key]);
        if names.is_empty() {
            continue;
        }
        let folded = names.iter().map(|name| name.folded()).collect();
        let first = *firsts.entry(folded).or_insert(row.at());
        if first != row.at() {
            let name = names.iter().map(|name| name.as_str()).collect::<Vec<_>>().join("/");
            let message = format!(
                "`{name}` has a row already, at {}; take one of the two out",
                findings.place(first)
            );
            findings.add_of_cell(KEY, row.at(), column, message);
        }
    }
}

fn parts(catalog: &Grouped, findings: &mut Findings) {
    for row in &catalog.rows.parts {
        let Some(first) =
            catalog.listed(&row.part).map(|first| first.row).filter(|first| first.at != row.at)
        else {
            continue;
        };
        let (number, place) = (&row.part, findings.place(first.at));
        let same = Part { at: row.at, part: row.part.clone(), ..first.clone() } == *row;
        let (code, message) = if first.part.as_str() == number.as_str() {
            (KEY, format!("`{number}` has a row already, at {place}; take one of the two out"))
        } else if same {
            let other = &first.part;
            (
                TWO_SPELLINGS,
                format!(
                    "`{number}` is the number `{other}` of {place}, spelt in another way; take one of the two out"
                ),
            )
        } else {
            let other = &first.part;
            let message = format!(
                "`{number}` compares as the same number as `{other}` at {place}, but the rows differ; take one out, or tell the numbers apart by a letter or digit"
            );
            (ONE_NUMBER, message)
        };
        findings.add(code, row.at, "part", message);
    }
}

/// As many different rows of one key are compared with each new one; no key of a catalog has nearly as many.
const MOST_COMPARED: usize = 256;

/// Finds rows that say exactly what an earlier one says.
fn alike<R: Row>(findings: &mut Findings, code: Code, column: &str, rows: &[R]) {
    let mut different: HashMap<u64, Vec<&R>> = HashMap::with_capacity(rows.len());
    let hashes = RandomState::new();
    for row in rows {
        if !findings.was_read(row.at()) {
            continue;
        }
        let mut hash = hashes.build_hasher();
        for name in names_of(row, &[Role::Key, Role::Apart]) {
            name.folded().hash(&mut hash);
        }
        let earlier = different.entry(hash.finish()).or_default();
        match earlier.iter().find(|earlier| (**earlier).clone().moved(row.at()) == *row) {
            Some(earlier) => {
                let place = findings.place(earlier.at());
                findings.add(
                    code,
                    row.at(),
                    column,
                    format!("the row says the same as {place}; take one of the two out"),
                );
            }
            None if earlier.len() < MOST_COMPARED => earlier.push(row),
            None => {}
        }
    }
}

fn sizes(rows: &[Dimension], findings: &mut Findings) {
    let mut firsts: HashMap<(&PartNumber, &Key), &Dimension> = HashMap::new();
    for row in rows {
        let first = *firsts.entry((&row.part, &row.feature)).or_insert(row);
        if first.size != row.size {
            let message = format!(
                "the {} of `{}` is `{}` here and `{}` at {}; keep the one that is right",
                row.feature,
                row.part,
                row.size,
                first.size,
                findings.place(first.at)
            );
            findings.add(TWO_SIZES, row.at, "size", message);
        }
    }
}

/// Finds other names of the owner's types that lead to another type. Over a shipped type's other name an owner's wins.
fn other_names(catalog: &Grouped, findings: &mut Findings) {
    for row in &catalog.rows.types {
        for name in &row.also_called {
            let Some(found) =
                catalog.types.find(name).filter(|found| found.part_type != row.part_type)
            else {
                continue;
            };
            // Where both say the same of a part, it does not matter to which of them the name leads.
            if (found.when_disturbed, found.seals) == (row.when_disturbed, row.seals) {
                continue;
            }
            let message = format!(
                "`{name}` already leads to the type `{}`; take it out of one of the two",
                found.part_type
            );
            findings.add(OTHER_NAME, row.at, "also_called", message);
        }
    }
}
