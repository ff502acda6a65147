//! Rows that cannot be read.

use super::Solver;
use super::catalog::faults;
use super::cells::{Key, Row, Tables, cell, date, key, keys, list, part_key};
use super::result::Planned;
use super::rounds::State;
use std::collections::BTreeSet;

/// A pseudo-column: a cell beyond the header.
pub const BEYOND_THE_HEADER: &str = "~";
/// No day that a test is run on comes after this one.
const LAST_DAY: &str = "22001231";

/// A row that says nothing.
pub struct Unread {
    pub table: &'static str,
    /// The line in the file of the table, which has one header line.
    pub line: usize,
    pub row: Row,
    /// The columns that cannot be read.
    columns: Vec<&'static str>,
}

const TABLES: [&str; 17] = [
    "assemblies",
    "contains",
    "equivalents",
    "job_lines",
    "jobs",
    "joints",
    "machines",
    "measurements",
    "models",
    "operations",
    "parts",
    "positions",
    "retrofits",
    "selections",
    "supersessions",
    "types",
    "worklog",
];

/// Parts the rows that can be read from those that cannot.
pub fn sort_out(tables: &Tables) -> (Tables, Vec<Unread>) {
    let mut readable = Tables::new();
    let mut unread = Vec::new();
    let models: BTreeSet<Key> = column(tables, "models", "model");
    let machines = column(tables, "machines", "machine");
    let named = positions_named(tables);
    for table in TABLES {
        for (at, row) in tables.get(table).into_iter().flatten().enumerate() {
            // A row with such a cell,
            let mut columns = faults(table, row);
            // with more filled cells than its header,
            if !cell(row, BEYOND_THE_HEADER).is_empty() {
                columns.push(BEYOND_THE_HEADER);
            }
            // with a model that `models` (where it has rows) does not name,
            let has_model = table != "models" && !models.is_empty();
            if has_model && keys(cell(row, "model")).iter().any(|model| !models.contains(model)) {
                columns.push("model");
            }
            if table == "worklog" {
                // a log row with a machine or position that is nowhere,
                if !machines.contains(&key(cell(row, "machine"))) {
                    columns.push("machine");
                }
                let position = key(cell(row, "position"));
                if !position.is_empty() && !named.contains(&position) {
                    columns.push("position");
                }
                // or with a day after today.
                if date(cell(row, "date")).is_some_and(|day| day.as_str() > LAST_DAY) {
                    columns.push("date");
                }
            }
            if columns.is_empty() {
                readable.entry(table.to_string()).or_default().push(row.clone());
            } else {
                unread.push(Unread { table, line: at + 2, row: row.clone(), columns });
            }
        }
    }
    (readable, unread)
}

fn column(tables: &Tables, table: &str, column: &str) -> BTreeSet<Key> {
    let rows = tables.get(table).into_iter().flatten();
    rows.map(|row| key(cell(row, column))).filter(|key| !key.is_empty()).collect()
}

/// Every position that any table but the log names.
fn positions_named(tables: &Tables) -> BTreeSet<Key> {
    let mut named = BTreeSet::new();
    for table in
        ["positions", "selections", "seats", "measurements", "retrofits", "contains", "job_lines"]
    {
        named.extend(column(tables, table, "position"));
    }
    named.extend(column(tables, "positions", "carried_by"));
    for row in tables.get("operations").into_iter().flatten() {
        named.extend(keys(cell(row, "removes")));
    }
    for table in ["supersessions", "retrofits"] {
        for row in tables.get(table).into_iter().flatten() {
            let items = list(cell(row, "needs")).into_iter();
            named.extend(items.map(|item| key(item.split('=').next().unwrap_or_default())));
        }
    }
    named
}

/// What of the kit an unread row could have changed.
pub struct Reached<'a> {
    pub state: &'a State,
    pub plan: &'a [Planned],
    pub joints: &'a BTreeSet<Key>,
    pub jobs: &'a [Key],
    /// Parts on a chain of the kit.
    pub chains: &'a BTreeSet<Key>,
    pub provided: &'a BTreeSet<Key>,
    pub types_judged: &'a BTreeSet<Key>,
}

impl Solver {
    /// A kit which it could have changed has gap `unread` on the key it is about.
    pub fn judge_unread_rows(&self, reached: &Reached) {
        for unread in &self.catalog.unread {
            // Other tables: a note, no gap.
            let Some(key_column) = key_column(unread.table) else { continue };
            // A row whose key is itself unread gives the gap, on `file:line`, to every kit.
            if unread.columns.contains(&key_column) {
                self.mark("unread: the key itself");
                self.gap("unread", format!("{}.csv:{}", unread.table, unread.line));
            } else if self.could_have_changed(unread, reached) {
                self.mark(match unread.table {
                    "positions" => "unread: positions",
                    "operations" => "unread: operations",
                    "jobs" | "job_lines" => "unread: jobs",
                    "supersessions" => "unread: supersessions",
                    "retrofits" | "selections" => "unread: retrofits and selections",
                    "contains" => "unread: contains",
                    "parts" => "unread: parts",
                    "worklog" | "assemblies" => "unread: worklog and assemblies",
                    _ => "unread: types",
                });
                self.gap("unread", self.show_key_of(unread, key_column));
            }
        }
    }

    fn could_have_changed(&self, unread: &Unread, reached: &Reached) -> bool {
        let of = |column: &str| key(cell(&unread.row, column));
        let part_of = |column: &str| part_key(cell(&unread.row, column));
        let at = |position: &Key| reached.plan.iter().find(|one| one.position == *position);
        match unread.table {
            // its position is disturbed, or a joint it names is opened, or its joint cell is the unread one
            "positions" => {
                let joints = keys(cell(&unread.row, "joint"));
                at(&of("position")).is_some()
                    || joints.iter().any(|joint| reached.joints.contains(joint))
                    || unread.columns.contains(&"joint")
            }
            "operations" => reached.state.operations.contains(&of("operation")),
            "jobs" | "job_lines" => reached.jobs.contains(&of("job")),
            "supersessions" => reached.chains.contains(&part_of("old")),
            "retrofits" | "selections" => at(&of("position")).is_some_and(Planned::is_renewed),
            "contains" => reached.provided.contains(&part_of("part")),
            "parts" => {
                let part = part_of("part");
                let is_current = |one: &Planned| {
                    let sits = self.current(&one.position).sits;
                    sits.iter().any(|sits| sits.fitted.part() == Some(&part))
                };
                reached.chains.contains(&part) || reached.plan.iter().any(is_current)
            }
            "worklog" | "assemblies" => of("machine") == self.catalog.machine,
            "types" => {
                let called = keys(cell(&unread.row, "also_called"));
                let is_it = |kind: &Key| *kind == of("type") || called.contains(kind);
                reached.types_judged.iter().any(is_it)
            }
            _ => false,
        }
    }

    fn show_key_of(&self, unread: &Unread, column: &str) -> String {
        let text = cell(&unread.row, column);
        match column {
            "part" | "old" => self.catalog.show_part(&part_key(text)),
            "position" => self.catalog.show("position", &key(text)),
            "operation" => self.catalog.show("operation", &key(text)),
            "job" => self.catalog.show("job", &key(text)),
            "machine" => self.catalog.machine_shown.clone(),
            _ => text.to_string(),
        }
    }
}

/// The column of the key that a row is about; none where a row that cannot be read is a note and no gap.
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
