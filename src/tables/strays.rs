//! Rows whose cells can be read one by one, but not beside the other tables: a model that `models` does not name, a log
//! row of a machine or position that is nowhere, a day after today.

use crate::catalog::{At, Need, Rows, Scoped, UnreadCell, UnreadRow};
use crate::measure::{Date, Key};
use crate::near::nearest;
use std::collections::HashSet;

/// A cell of a row that says nothing beside the other tables.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Stray {
    /// Where the row stands.
    pub at: At,
    /// Its table.
    pub table: &'static str,
    /// What is wrong.
    pub fault: UnreadCell,
}

/// The code of a day that has not come yet.
pub(super) const AFTER_TODAY: &str = "after-today";

/// Finds the rows that say nothing beside the other tables. A name counts as there where an unread row has it: one
/// fault is told once.
pub fn strays(rows: &Rows, unread: &[UnreadRow], today: &Date) -> Vec<Stray> {
    let mut found = Found::default();
    found.models(rows, unread);
    found.log(rows, unread, today);
    found.strays
}

/// Takes the rows of these places out.
pub(super) fn take_out(rows: &mut Rows, places: &HashSet<At>) {
    macro_rules! keep {
        ($($table:ident)*) => { $( rows.$table.retain(|row| !places.contains(&row.at)); )* };
    }
    keep!(machines assemblies positions seats selections supersessions retrofits operations jobs);
    keep!(job_lines worklog);
}

/// The names that a table holds; `None` where nobody can tell all of them.
fn names<'r>(
    table: &str,
    column: &str,
    read: impl Iterator<Item = &'r Key>,
    unread: &[UnreadRow],
) -> Option<HashSet<Key>> {
    let mut names: HashSet<Key> = read.cloned().collect();
    for row in unread.iter().filter(|row| row.table == table) {
        names.insert(Key::new(row.named(column)?));
    }
    Some(names)
}

#[derive(Default)]
struct Found {
    strays: Vec<Stray>,
}

impl Found {
    fn add(&mut self, at: At, table: &'static str, column: &str, code: &str, message: String) {
        let fault = UnreadCell { column: column.to_owned(), code: code.to_owned(), message };
        self.strays.push(Stray { at, table, fault });
    }

    fn models(&mut self, rows: &Rows, unread: &[UnreadRow]) {
        let named = rows.models.iter().map(|row| &row.model);
        let Some(models) =
            names("models", "model", named, unread).filter(|names| !names.is_empty())
        else {
            return;
        };
        let mut seek = |at: At, table: &'static str, model: &Key| {
            if !models.contains(model) {
                let message = not_there(model, "models", models.iter());
                self.add(at, table, "model", "dangling-model", message);
            }
        };
        rows.machines.iter().for_each(|row| seek(row.at, "machines", &row.model));
        for row in &rows.assemblies {
            row.model.iter().for_each(|model| seek(row.at, "assemblies", model));
        }
        macro_rules! scoped {
            ($($table:ident)*) => { $(
                for row in &rows.$table {
                    row.scope().model.iter().for_each(|model| seek(row.at, stringify!($table), model));
                }
            )* };
        }
        scoped!(positions seats selections supersessions retrofits operations jobs job_lines);
    }

    fn log(&mut self, rows: &Rows, unread: &[UnreadRow], today: &Date) {
        if rows.worklog.is_empty() {
            return;
        }
        let named = rows.machines.iter().map(|row| &row.machine);
        let machines = names("machines", "machine", named, unread);
        let nowhere = positions_nowhere(rows, unread);
        for row in &rows.worklog {
            if let Some(machines) = &machines
                && !machines.contains(&row.machine)
            {
                let message = not_there(&row.machine, "machines", machines.iter());
                self.add(row.at, "worklog", "machine", "dangling-machine", message);
            }
            if let Some(position) = row.position.as_ref().filter(|name| nowhere.contains(name)) {
                let positions = rows.positions.iter().map(|row| &row.position);
                let message = not_there(position, "positions", positions);
                self.add(row.at, "worklog", "position", "dangling-position", message);
            }
            let date = row.date.as_str();
            // Dates compare as text, and a bare year or month comes before its days.
            if date > today.as_str() {
                let message = format!(
                    "`{date}` is after today ({today}), so it cannot have been done yet; correct the date"
                );
                self.add(row.at, "worklog", "date", AFTER_TODAY, message);
            }
        }
    }
}

fn not_there<'k>(name: &Key, table: &str, names: impl Iterator<Item = &'k Key>) -> String {
    let near = nearest(name.as_str(), names.map(Key::as_str));
    let hint = near.map_or_else(String::new, |near| format!(" (is `{near}` meant?)"));
    format!("`{name}` is not in {table}; add it to {table}.csv or correct it here{hint}")
}

/// The positions in the log that no other table names; none where a row that may name them cannot be read.
fn positions_nowhere<'r>(rows: &'r Rows, unread: &[UnreadRow]) -> HashSet<&'r Key> {
    let mut nowhere: HashSet<&Key> = rows.worklog.iter().flat_map(|row| &row.position).collect();
    for row in unread.iter().filter(|row| row.table == "positions") {
        let Some(name) = row.named("position") else { return HashSet::new() };
        nowhere.remove(&Key::new(name));
    }
    let mut seen = |name: &Key| {
        if !nowhere.is_empty() {
            nowhere.remove(name);
        }
    };
    let needs = |needs: &'r [Need]| needs.iter().map(|need| &need.position);
    rows.positions.iter().for_each(|row| seen(&row.position));
    rows.positions.iter().flat_map(|row| &row.carried_by).for_each(&mut seen);
    rows.seats.iter().for_each(|row| seen(&row.position));
    rows.selections.iter().for_each(|row| seen(&row.position));
    rows.contains.iter().flat_map(|row| &row.position).for_each(&mut seen);
    rows.operations.iter().flat_map(|row| &row.removes).for_each(&mut seen);
    rows.job_lines.iter().flat_map(|row| &row.position).for_each(&mut seen);
    rows.supersessions.iter().flat_map(|row| needs(&row.needs)).for_each(&mut seen);
    rows.retrofits.iter().for_each(|row| seen(&row.position));
    rows.retrofits.iter().flat_map(|row| needs(&row.needs)).for_each(&mut seen);
    nowhere
}
