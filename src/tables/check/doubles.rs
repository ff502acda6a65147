//! Rows that stand twice, and numbers and names that two rows claim.

use super::code::Code;
use super::findings::Findings;
use super::grouped::Grouped;
use crate::catalog::{
    At, Contains, Dimension, Job, JobLine, Operation, Part, Position, Retrofit, Row, Seat,
    Supersession,
};
use crate::measure::{Key, PartNumber};
use std::collections::HashMap;
use std::hash::Hash;

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
    keys(findings, "model", &rows.models, |row| &row.model);
    keys(findings, "machine", &rows.machines, |row| &row.machine);
    keys(findings, "joint", &rows.joints, |row| &row.joint);
    keys(findings, "supplier", &rows.suppliers, |row| &row.supplier);
    keys(findings, "type", &rows.types, |row| &row.part_type);
    keys(findings, "caution", &rows.cautions, |row| &row.caution);
    parts(catalog, findings);

    alike(
        findings,
        ROW,
        "job",
        &rows.jobs,
        |row| &row.job,
        |a, b| Job { at: b.at, ..a.clone() } == *b,
    );
    // Of the positions, which are the most, only those with several rows are looked at.
    for rows in catalog.position_rows.values().filter(|rows| rows.len() > 1) {
        alike(
            findings,
            ROW,
            "position",
            rows.iter().copied(),
            |row| &row.part,
            |a, b| Position { at: b.at, ..a.clone() } == *b,
        );
    }
    alike(
        findings,
        ROW,
        "position",
        &rows.seats,
        |row| (&row.position, &row.feature),
        |a, b| Seat { at: b.at, ..a.clone() } == *b,
    );
    alike(
        findings,
        ROW,
        "old",
        &rows.supersessions,
        |row| (&row.old, &row.new),
        |a, b| Supersession { at: b.at, ..a.clone() } == *b,
    );
    alike(
        findings,
        ROW,
        "part",
        &rows.retrofits,
        |row| (&row.part, &row.position),
        |a, b| Retrofit { at: b.at, ..a.clone() } == *b,
    );
    alike(
        findings,
        ROW,
        "operation",
        &rows.operations,
        |row| &row.operation,
        |a, b| Operation { at: b.at, ..a.clone() } == *b,
    );
    alike(
        findings,
        ROW,
        "job",
        &rows.job_lines,
        |row| (&row.job, &row.position, &row.part, &row.operation),
        |a, b| JobLine { at: b.at, ..a.clone() } == *b,
    );
    alike(
        findings,
        CONTENTS,
        "contains",
        &rows.contains,
        |row| (&row.part, &row.contained),
        |a, b| Contains { at: b.at, ..a.clone() } == *b,
    );
    sizes(&rows.dimensions, findings);
    other_names(catalog, findings);
}

/// Finds keys of which a table has two rows. It says so at every row but the first.
fn keys<'a, R: Row>(
    findings: &mut Findings,
    column: &str,
    rows: &'a [R],
    key: impl Fn(&'a R) -> &'a Key,
) {
    let mut firsts: HashMap<&Key, At> = HashMap::new();
    for row in rows {
        let name = key(row);
        let first = *firsts.entry(name).or_insert(row.at());
        if first != row.at() {
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
fn alike<'a, R: Row + 'a, K: Hash + Eq>(
    findings: &mut Findings,
    code: Code,
    column: &str,
    rows: impl IntoIterator<Item = &'a R>,
    key: impl Fn(&'a R) -> K,
    same: impl Fn(&R, &R) -> bool,
) {
    let mut different: HashMap<K, Vec<&R>> = HashMap::new();
    for row in rows {
        if !findings.was_read(row.at()) {
            continue;
        }
        let earlier = different.entry(key(row)).or_default();
        match earlier.iter().find(|earlier| same(earlier, row)) {
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
