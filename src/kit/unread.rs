//! What rows that cannot be read could have changed in a kit.

use super::gap::{GapKind, Gaps, Subject, Why};
use crate::catalog::{Lookup, UnreadRow};
use crate::measure::{Key, PartNumber};
use std::collections::HashSet;

/// What a kit looked at.
#[derive(Debug, Default)]
pub(super) struct Looked {
    pub machine: Option<Key>,
    pub jobs: HashSet<Key>,
    /// The operations that were called for.
    pub operations: HashSet<Key>,
    pub disturbed: HashSet<Key>,
    pub renewed: HashSet<Key>,
    pub opened: HashSet<Key>,
    /// The parts on the chains that were followed.
    pub chains: HashSet<PartNumber>,
    pub current: HashSet<PartNumber>,
    /// The parts that arrive, and those inside them.
    pub provided: HashSet<PartNumber>,
    /// The types of the parts that were judged.
    pub types: HashSet<Key>,
}

/// Raises a gap for each row that cannot be read and that the kit could hang on.
pub(super) fn judge(lookup: &dyn Lookup, looked: &Looked, gaps: &mut Gaps) {
    for row in lookup.unread().iter() {
        if let Some(subject) = subject(row, looked, lookup) {
            let (table, message) = (row.table.clone(), message(row));
            gaps.raise(GapKind::Unread, subject, Why::Unread { table, at: row.at, message });
        }
    }
}

fn message(row: &UnreadRow) -> String {
    let said = row.faults.iter().map(|fault| match fault.column.as_str() {
        "" => fault.message.clone(),
        column => format!("column {column}, {}", fault.message),
    });
    said.collect::<Vec<_>>().join("; ")
}

/// The key by which each table says what its rows are about.
fn key_column(table: &str) -> Option<&'static str> {
    Some(match table {
        "positions" | "retrofits" | "selections" => "position",
        "operations" => "operation",
        "jobs" | "job_lines" => "job",
        "supersessions" => "old",
        "contains" | "parts" => "part",
        "worklog" | "assemblies" => "machine",
        "types" => "type",
        _ => return None,
    })
}

fn subject(row: &UnreadRow, looked: &Looked, lookup: &dyn Lookup) -> Option<Subject> {
    let column = key_column(&row.table)?;
    let text = row.cell(column);
    let unread = text.is_empty() || row.faults.iter().any(|fault| fault.column == column);
    let nobody = column == "machine" && lookup.machine(&Key::new(text)).is_none();
    if unread || nobody {
        return Some(Subject::Row(row.at));
    }
    let key = Key::new(text);
    let part = || PartNumber::new(text);
    match row.table.as_str() {
        "positions" => {
            let joints = row.cell("joint").split(';').map(Key::new);
            let hit = looked.disturbed.contains(&key)
                || row.is_unread("joint")
                || joints.into_iter().any(|joint| looked.opened.contains(&joint));
            hit.then_some(Subject::Position(key))
        }
        "retrofits" | "selections" => {
            looked.renewed.contains(&key).then_some(Subject::Position(key))
        }
        "operations" => looked.operations.contains(&key).then_some(Subject::Operation(key)),
        "jobs" | "job_lines" => looked.jobs.contains(&key).then_some(Subject::Job(key)),
        "supersessions" => part().filter(|old| looked.chains.contains(old)).map(Subject::Part),
        "contains" => part().filter(|part| looked.provided.contains(part)).map(Subject::Part),
        "parts" => part()
            .filter(|part| looked.chains.contains(part) || looked.current.contains(part))
            .map(Subject::Part),
        "worklog" | "assemblies" => {
            (looked.machine.as_ref() == Some(&key)).then_some(Subject::Machine(key))
        }
        "types" => {
            let also = row.cell("also_called").split(';').map(Key::new);
            let mut names = also.chain([key.clone()]);
            names.any(|name| looked.types.contains(&name)).then_some(Subject::Type(key))
        }
        _ => None,
    }
}
