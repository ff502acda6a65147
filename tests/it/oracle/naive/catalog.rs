//! The tables as rows with their meaning. Rows that cannot be read are not among them.

use super::cells::{
    Fitted, Key, Need, Quantity, Row, Tables, Use, cell, date, decimal, gauge, gauge_or_blank, key,
    key_if_any, keys, list, part_key, torque_has_angle, unit, uses, word, yes_or_no,
};
use super::scope::{Scope, View};
use super::unread::{Unread, sort_out};
use rust_decimal::Decimal;
use std::collections::{BTreeMap, BTreeSet};

pub struct PartRow {
    pub part: Key,
    pub kind: Key,
    pub single_use: Option<bool>,
    pub unit: Option<&'static str>,
    /// Blank is available.
    pub status: &'static str,
}

pub struct PartType {
    pub name: Key,
    pub also_called: Vec<Key>,
    pub when_disturbed: Option<Action>,
    pub seals: &'static str,
}

#[derive(Debug, Clone)]
pub enum Fill {
    Set,
    Of(Quantity),
}

/// The `reached_by` cell.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum WayIn {
    Blank,
    /// `-`: nothing has to come apart.
    NothingComesApart,
    By(Key),
}

pub struct PositionRow {
    pub scope: Scope,
    pub position: Key,
    pub assembly: String,
    pub part: Fitted,
    pub quantity: Fill,
    pub joints: Vec<Key>,
    pub reached_by: WayIn,
    pub carried_by: Option<Key>,
    pub when_disturbed: Option<Action>,
    pub torque_has_angle: bool,
}

pub struct SupersessionRow {
    pub scope: Scope,
    pub old: Key,
    pub new: Key,
    pub quantity: Decimal,
    pub together: Option<Key>,
    pub since: String,
    pub needs: Vec<Need>,
}

#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Verdict {
    Fits,
    LookFirst,
    No,
}

pub struct RetrofitRow {
    pub scope: Scope,
    pub part: Key,
    pub position: Key,
    pub verdict: Verdict,
    pub needs: Vec<Need>,
    pub operations: Vec<Key>,
}

pub struct SelectionRow {
    pub scope: Scope,
    pub position: Key,
    pub feature: Key,
    pub least: Option<Decimal>,
    pub most: Option<Decimal>,
    pub part: Key,
}

pub struct OperationRow {
    pub scope: Scope,
    pub operation: Key,
    pub assembly: Key,
    pub needs: Vec<Key>,
    pub opens: Vec<Key>,
    pub removes: Vec<Key>,
    pub uses: Vec<Use>,
    pub is_after: bool,
}

pub struct JobRow {
    pub scope: Scope,
    pub job: Key,
    pub assembly: Key,
}

pub struct JobLine {
    pub scope: Scope,
    pub job: Key,
    pub option: String,
    pub assembly: Key,
    pub position: Option<Key>,
    pub part: Fitted,
    pub quantity: Option<Quantity>,
    pub operation: Option<Key>,
}

pub struct ContainsRow {
    pub part: Key,
    pub contains: Key,
    pub quantity: Quantity,
    pub position: Option<Key>,
}

pub struct LogRow {
    pub date: String,
    pub of_this_machine: bool,
    pub position: Option<Key>,
    pub part: Fitted,
    pub quantity: Option<Quantity>,
    pub operation: Option<Key>,
    pub confirms: Option<Key>,
}

/// A reading taken on this machine.
pub struct Reading {
    pub date: String,
    pub position: Key,
    pub feature: Key,
    pub value: Decimal,
}

#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Action {
    Renew,
    Inspect,
    Keep,
    LeaveOut,
}

impl Action {
    pub fn read(text: &str) -> Option<Option<Action>> {
        Some(match word(text, &["renew", "inspect", "keep"])? {
            "renew" => Some(Action::Renew),
            "inspect" => Some(Action::Inspect),
            "keep" => Some(Action::Keep),
            _ => None,
        })
    }

    pub fn word(self) -> &'static str {
        match self {
            Action::Renew => "renew",
            Action::Inspect => "inspect",
            Action::Keep => "keep",
            Action::LeaveOut => "leave-out",
        }
    }
}

pub struct Catalog {
    pub machine: Key,
    pub machine_shown: String,
    /// The machine itself.
    pub own_view: View,
    /// The machine as its row in `assemblies` for that assembly has it.
    pub assembly_views: BTreeMap<Key, View>,
    pub parts: Vec<PartRow>,
    pub equivalents: Vec<(Key, Key)>,
    pub types: Vec<PartType>,
    pub dry_joints: BTreeSet<Key>,
    pub positions: Vec<PositionRow>,
    pub supersessions: Vec<SupersessionRow>,
    pub retrofits: Vec<RetrofitRow>,
    pub selections: Vec<SelectionRow>,
    pub operations: Vec<OperationRow>,
    pub jobs: Vec<JobRow>,
    pub job_lines: Vec<JobLine>,
    pub contains: Vec<ContainsRow>,
    pub worklog: Vec<LogRow>,
    pub readings: Vec<Reading>,
    pub unread: Vec<Unread>,
    spelling: Spelling,
}

/// How a key or part number is shown: as its own table spells it, else as it was first typed.
#[derive(Default)]
struct Spelling {
    keys: BTreeMap<(&'static str, Key), String>,
    parts: BTreeMap<Key, String>,
}

/// The tables, and the columns in them, that own or mention a key or a part; owners come first.
const NAMED: [(&str, &str, &str); 27] = [
    ("parts", "part", "part"),
    ("joints", "joint", "joint"),
    ("positions", "position", "position"),
    ("operations", "operation", "operation"),
    ("jobs", "job", "job"),
    ("positions", "part", "part"),
    ("positions", "joint", "joint"),
    ("positions", "reached_by", "operation"),
    ("operations", "needs", "operation"),
    ("operations", "opens", "joint"),
    ("operations", "removes", "position"),
    ("operations", "uses", "amounts"),
    ("job_lines", "position", "position"),
    ("job_lines", "part", "part"),
    ("job_lines", "operation", "operation"),
    ("supersessions", "old", "part"),
    ("supersessions", "new", "part"),
    ("supersessions", "needs", "needs"),
    ("retrofits", "part", "part"),
    ("retrofits", "position", "position"),
    ("retrofits", "needs", "needs"),
    ("retrofits", "operations", "operation"),
    ("selections", "part", "part"),
    ("contains", "part", "part"),
    ("contains", "contains", "part"),
    ("worklog", "position", "position"),
    ("worklog", "part", "part"),
];

impl Spelling {
    fn read(tables: &Tables) -> Spelling {
        let mut spelling = Spelling::default();
        for (table, column, of) in NAMED {
            for row in tables.get(table).into_iter().flatten() {
                for item in list(cell(row, column)) {
                    let (before, after) = item.split_once('=').unwrap_or((item, ""));
                    match of {
                        "part" | "amounts" => spelling.part(before),
                        "needs" => {
                            spelling.key("position", before);
                            spelling.part(after.split('*').next().unwrap_or_default());
                        }
                        of => spelling.key(of, item),
                    }
                }
            }
        }
        spelling
    }

    fn key(&mut self, of: &'static str, text: &str) {
        self.keys.entry((of, key(text))).or_insert_with(|| text.trim().to_string());
    }

    fn part(&mut self, text: &str) {
        if !part_key(text).is_empty() {
            self.parts.entry(part_key(text)).or_insert_with(|| text.trim().to_string());
        }
    }
}

impl Catalog {
    /// Reads what can be read, for one machine; says why where the machine itself is not there or cannot be read.
    pub fn read(tables: &Tables, asked: &str) -> Result<Catalog, &'static str> {
        let (readable, unread) = sort_out(tables);
        let of_machine = |row: &&Row| key(cell(row, "machine")) == key(asked);
        let rows_of = |table: &str| readable.get(table).map(Vec::as_slice).unwrap_or_default();
        let is_unread = unread.iter().any(|row| row.table == "machines" && of_machine(&&row.row));
        let Some(machine_row) = rows_of("machines").iter().find(of_machine) else {
            return Err(if is_unread {
                "refused: the machine cannot be read"
            } else {
                "refused: no such machine"
            });
        };
        let own_view = View::of_machine(machine_row).expect("readable");
        let mut assembly_views = BTreeMap::new();
        for row in rows_of("assemblies").iter().filter(of_machine) {
            let view = own_view.of_assembly(row).expect("readable");
            assembly_views.entry(key(cell(row, "assembly"))).or_insert(view);
        }
        let readings = rows_of("measurements").iter().filter(of_machine).map(reading).collect();
        let machine = key(asked);
        let joints = rows_of("joints").iter();
        let dry = joints.filter(|row| yes_or_no(cell(row, "dry")) == Some(Some(true)));
        Ok(Catalog {
            machine_shown: cell(machine_row, "machine").to_string(),
            own_view,
            assembly_views,
            parts: rows_of("parts").iter().map(part_row).collect(),
            equivalents: rows_of("equivalents")
                .iter()
                .map(|row| (part_key(cell(row, "part")), part_key(cell(row, "other"))))
                .collect(),
            types: rows_of("types").iter().map(part_type).collect(),
            dry_joints: dry.map(|row| key(cell(row, "joint"))).collect(),
            positions: rows_of("positions").iter().map(position_row).collect(),
            supersessions: rows_of("supersessions").iter().map(supersession_row).collect(),
            retrofits: rows_of("retrofits").iter().map(retrofit_row).collect(),
            selections: rows_of("selections").iter().map(selection_row).collect(),
            operations: rows_of("operations").iter().map(operation_row).collect(),
            jobs: rows_of("jobs").iter().map(job_row).collect(),
            job_lines: rows_of("job_lines").iter().map(job_line).collect(),
            contains: rows_of("contains").iter().map(contains_row).collect(),
            worklog: rows_of("worklog").iter().map(|row| log_row(row, &machine)).collect(),
            readings,
            unread,
            spelling: Spelling::read(&readable),
            machine,
        })
    }

    pub fn show(&self, of: &'static str, key: &Key) -> String {
        self.spelling.keys.get(&(of, key.clone())).unwrap_or(key).clone()
    }

    pub fn show_part(&self, part: &Key) -> String {
        self.spelling.parts.get(part).unwrap_or(part).clone()
    }

    /// The first row of a number in `parts`.
    pub fn part(&self, part: &Key) -> Option<&PartRow> {
        self.parts.iter().find(|row| row.part == *part)
    }

    /// The machine as the assembly has it, where it says anything of it.
    pub fn view_of_assembly(&self, assembly: &str) -> &View {
        self.assembly_views.get(&key(assembly)).unwrap_or(&self.own_view)
    }
}

fn scope(row: &Row) -> Scope {
    Scope::read(row).expect("readable")
}

fn part_row(row: &Row) -> PartRow {
    PartRow {
        part: part_key(cell(row, "part")),
        kind: key(cell(row, "type")),
        single_use: yes_or_no(cell(row, "single_use")).expect("readable"),
        unit: unit(cell(row, "unit")),
        status: match key(cell(row, "status")).as_str() {
            "discontinued" => "discontinued",
            "withdrawn" => "withdrawn",
            _ => "available",
        },
    }
}

fn part_type(row: &Row) -> PartType {
    PartType {
        name: key(cell(row, "type")),
        also_called: keys(cell(row, "also_called")),
        when_disturbed: Action::read(cell(row, "when_disturbed")).expect("readable"),
        seals: word(cell(row, "seals"), &["yes", "no", "own"]).expect("readable"),
    }
}

fn position_row(row: &Row) -> PositionRow {
    PositionRow {
        scope: scope(row),
        position: key(cell(row, "position")),
        assembly: cell(row, "assembly").to_string(),
        part: Fitted::read(cell(row, "part")),
        quantity: match key(cell(row, "quantity")).as_str() {
            "set" => Fill::Set,
            "" => Fill::Of(Quantity::each(Decimal::ONE)),
            text => Fill::Of(Quantity::read(text).expect("readable")),
        },
        joints: keys(cell(row, "joint")),
        reached_by: match cell(row, "reached_by") {
            "" => WayIn::Blank,
            "-" => WayIn::NothingComesApart,
            operation => WayIn::By(key(operation)),
        },
        carried_by: key_if_any(cell(row, "carried_by")),
        when_disturbed: Action::read(cell(row, "when_disturbed")).expect("readable"),
        torque_has_angle: torque_has_angle(cell(row, "torque")).expect("readable"),
    }
}

fn supersession_row(row: &Row) -> SupersessionRow {
    SupersessionRow {
        scope: scope(row),
        old: part_key(cell(row, "old")),
        new: part_key(cell(row, "new")),
        // A blank quantity as 1.
        quantity: match cell(row, "quantity") {
            "" => Decimal::ONE,
            text => Quantity::read(text).expect("readable").number,
        },
        together: key_if_any(cell(row, "together")),
        since: date(cell(row, "since")).expect("readable"),
        needs: Need::read_all(cell(row, "needs")).expect("readable"),
    }
}

fn retrofit_row(row: &Row) -> RetrofitRow {
    RetrofitRow {
        scope: scope(row),
        part: part_key(cell(row, "part")),
        position: key(cell(row, "position")),
        verdict: match key(cell(row, "verdict")).as_str() {
            "no" => Verdict::No,
            "look-first" => Verdict::LookFirst,
            _ => Verdict::Fits,
        },
        needs: Need::read_all(cell(row, "needs")).expect("readable"),
        operations: keys(cell(row, "operations")),
    }
}

fn selection_row(row: &Row) -> SelectionRow {
    SelectionRow {
        scope: scope(row),
        position: key(cell(row, "position")),
        feature: key(cell(row, "feature")),
        least: gauge_or_blank(cell(row, "least")).expect("readable"),
        most: gauge_or_blank(cell(row, "most")).expect("readable"),
        part: part_key(cell(row, "part")),
    }
}

fn operation_row(row: &Row) -> OperationRow {
    OperationRow {
        scope: scope(row),
        operation: key(cell(row, "operation")),
        assembly: key(cell(row, "assembly")),
        needs: keys(cell(row, "needs")),
        opens: keys(cell(row, "opens")),
        removes: keys(cell(row, "removes")),
        uses: uses(cell(row, "uses")).expect("readable"),
        is_after: word(cell(row, "phase"), &["after"]) == Some("after"),
    }
}

fn job_row(row: &Row) -> JobRow {
    JobRow { scope: scope(row), job: key(cell(row, "job")), assembly: key(cell(row, "assembly")) }
}

fn job_line(row: &Row) -> JobLine {
    JobLine {
        scope: scope(row),
        job: key(cell(row, "job")),
        option: key(cell(row, "option")),
        assembly: key(cell(row, "assembly")),
        position: key_if_any(cell(row, "position")),
        part: Fitted::read(cell(row, "part")),
        quantity: Quantity::read_or_blank(cell(row, "quantity")).expect("readable"),
        operation: key_if_any(cell(row, "operation")),
    }
}

fn contains_row(row: &Row) -> ContainsRow {
    let quantity = Quantity::read_or_blank(cell(row, "quantity")).expect("readable");
    ContainsRow {
        part: part_key(cell(row, "part")),
        contains: part_key(cell(row, "contains")),
        quantity: quantity.unwrap_or(Quantity::each(Decimal::ONE)),
        position: key_if_any(cell(row, "position")),
    }
}

fn log_row(row: &Row, machine: &Key) -> LogRow {
    let confirms = cell(row, "confirms");
    LogRow {
        date: date(cell(row, "date")).expect("readable"),
        of_this_machine: key(cell(row, "machine")) == *machine,
        position: key_if_any(cell(row, "position")),
        part: Fitted::read(cell(row, "part")),
        quantity: Quantity::read_or_blank(cell(row, "quantity")).expect("readable"),
        operation: key_if_any(cell(row, "operation")),
        confirms: (!confirms.is_empty()).then(|| part_key(confirms)),
    }
}

fn reading(row: &Row) -> Reading {
    Reading {
        date: date(cell(row, "date")).expect("readable"),
        position: key(cell(row, "position")),
        feature: key(cell(row, "feature")),
        value: gauge(cell(row, "value")).expect("readable"),
    }
}

/// Whether every cell of a row can be read, column by column.
pub fn faults(table: &str, row: &Row) -> Vec<&'static str> {
    let text = |column: &str| cell(row, column);
    let number = |column: &str| text(column).is_empty() || decimal(text(column)).is_some();
    let quantity = |column: &str| Quantity::read_or_blank(text(column)).is_some();
    let one_of = |column: &str, words: &[&'static str]| word(text(column), words).is_some();
    let yes_no = |column: &str| yes_or_no(text(column)).is_some();
    let day = |column: &str| date(text(column)).is_some();
    let needs = |column: &str| Need::read_all(text(column)).is_some();
    let filled = |column: &str| !text(column).is_empty();
    let mut checks: Vec<(&'static str, bool)> = match table {
        "machines" => vec![
            ("machine", filled("machine")),
            ("model", filled("model")),
            ("year", View::of_machine(row).is_some()),
        ],
        "assemblies" => vec![
            ("machine", filled("machine")),
            ("assembly", filled("assembly")),
            ("year", View::of_machine(row).is_some()),
        ],
        "parts" => vec![
            ("part", filled("part")),
            ("single_use", yes_no("single_use")),
            ("unit", text("unit").is_empty() || unit(text("unit")).is_some()),
            ("status", one_of("status", &["available", "discontinued", "withdrawn"])),
        ],
        "types" => vec![
            ("type", filled("type")),
            ("when_disturbed", Action::read(text("when_disturbed")).is_some()),
            ("seals", one_of("seals", &["yes", "no", "own"])),
        ],
        "joints" => vec![("joint", filled("joint")), ("dry", yes_no("dry"))],
        "equivalents" => vec![("part", filled("part")), ("other", filled("other"))],
        "positions" => vec![
            ("position", filled("position")),
            ("quantity", key(text("quantity")) == "set" || quantity("quantity")),
            ("when_disturbed", Action::read(text("when_disturbed")).is_some()),
            ("torque", torque_has_angle(text("torque")).is_some()),
        ],
        "operations" => vec![
            ("operation", filled("operation")),
            ("uses", uses(text("uses")).is_some()),
            ("minutes", number("minutes")),
            ("phase", one_of("phase", &["after"])),
        ],
        "supersessions" => vec![
            ("old", filled("old")),
            ("new", filled("new")),
            ("quantity", quantity("quantity")),
            ("since", day("since")),
            ("swap", one_of("swap", &["one-way", "both-ways"])),
            ("needs", needs("needs")),
        ],
        "retrofits" => vec![
            ("part", filled("part")),
            ("position", filled("position")),
            ("verdict", filled("verdict")),
            ("verdict", one_of("verdict", &["fits", "fits-with", "look-first", "no"])),
            ("needs", needs("needs")),
        ],
        "selections" => vec![
            ("position", filled("position")),
            ("feature", filled("feature")),
            ("part", filled("part")),
            ("least", gauge_or_blank(text("least")).is_some()),
            ("most", gauge_or_blank(text("most")).is_some()),
        ],
        "jobs" => vec![("job", filled("job"))],
        "job_lines" => vec![("job", filled("job")), ("quantity", quantity("quantity"))],
        "contains" => vec![
            ("part", filled("part")),
            ("contains", filled("contains")),
            ("quantity", quantity("quantity")),
        ],
        "worklog" => vec![
            ("machine", filled("machine")),
            ("date", day("date")),
            ("quantity", quantity("quantity")),
        ],
        "measurements" => vec![
            ("machine", filled("machine")),
            ("position", filled("position")),
            ("feature", filled("feature")),
            ("date", day("date") && text("date").len() >= 8),
            ("value", gauge(text("value")).is_some()),
        ],
        _ => Vec::new(),
    };
    let limited = ["positions", "operations", "supersessions", "retrofits", "selections", "jobs"];
    if limited.contains(&table) || table == "job_lines" {
        checks.push(("years", Scope::read(row).is_some()));
    }
    checks.into_iter().filter(|(_, reads)| !reads).map(|(column, _)| column).collect()
}
