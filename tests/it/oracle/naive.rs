//! A second, deliberately plain solver for the main job: which operations, positions and parts a kit holds.
//!
//! It follows the page that says how a kit is worked out, sentence by sentence and in its order, scans every
//! table from end to end each time it asks something, and shares no code with the program. It must not know
//! how the program does any of this; agreement between the two is only worth something while that holds.
//! It panics on a cell it cannot read: the catalogs given to it are readable.
//!
//! In the answer, `lines` are sorted by part key and unit, `gaps` by kind and subject, `joints` by key. None
//! of these orders is laid down, so compare them as sets. A whole number is a JSON integer.
//!
//! Where the page leaves a choice, the reading taken here:
//!
//!  1. A supersession row that repeats adds nothing of its own: neither its quantity nor its needs.
//!  2. A row by which the old part stays does multiply its quantity and does add its needs; because it comes
//!     after the old part, the old part is not free when that row has needs. Each such row gives one final part.
//!  3. A part not in `parts` that is judged as its first final part raises the gaps of that chain: this look
//!     decides an action, it does not compare parts.
//!  4. `rule-unknown`, like `part-unknown`, is said of the position that is acted on.
//!  5. The parts that the rows of a position list, for the fit of a target, are those of all the rows in
//!     `rows(pos, M)`, not only of the first.
//!  6. A job line's target for which a `needs` calls in the same number too is established by that row, whichever
//!     of the two came first.
//!  7. A `no` among the retrofit rows silences those rows alone; the chain's needs and the other final parts
//!     still call for what they call for.
//!  8. A set is resolved like any part. What is unknown or discontinued about its final part is said of that
//!     part's number, as for a consumable. The needs on the chain of a set or of a consumable are not followed.
//!  9. A part of a `set` position counts once as a provider too: what several such positions bring along is
//!     what one of them brings.
//! 10. A position, or the share of a position in a line, of which nothing remains to be ordered adds nothing
//!     to the line: no line of nought, no name in its positions, no say in its role. A consumable to have on
//!     the bench is the one line that may count nought.
//! 11. As-needed is nought in the part's own unit, or `each` where it has none.
//! 12. A quantity that does not convert to the part's unit keeps the unit it was typed in.
//! 13. `joint-unsealed` looks only at positions with something on them now, and at the type of that very part:
//!     a part not in `parts` has no type here.
//! 14. Two rows differ in `quantity` when the amounts do: blank is one, and 350 ml is 0.35 L. Lists differ as
//!     sets. As-needed differs from every amount.
//! 15. A log entry anywhere is any worklog row that names the position, of whatever machine, part blank or not.
//! 16. A line whose option does not hold is no line of this kit, so it cannot leave anything unsettled.
//! 17. Traits, options, `together`, types and the prefix of a serial compare without case. A list of serials
//!     holds if one of its ranges does; it is unsure if none does and one cannot be judged.
//! 18. A contained part given to a named position goes to its parts in order until used up. Kinds of unit that
//!     do not convert satisfy nothing.
//! 19. Whether a part is already there says nothing about how many of it are.
//! 20. A position that a need names as already there, or that a conflict kept out, is not named by that need.
//! 21. `position=-` is nothing to do if the position has a row of any scope, is no target and is not on M.
//! 22. A group is made only of those of its rows that apply with yes.
//! 23. One part in two units that do not convert to its own makes two lines.
//! 24. Dates of the log and `since` compare as text even where one is a bare year: 2005 is later than 2001-04-05.
//! 25. A second line or need for one position and the same part leaves the first quantity as it is.
//! 26. What a position's rows disagree about is asked of targets and of positions left empty too.

use rust_decimal::Decimal;
use serde_json::{Value, json};
use std::cell::RefCell;
use std::collections::{BTreeMap, BTreeSet};

/// A row of a table: column to the text of its cell. A missing cell is blank.
pub type Row = BTreeMap<String, String>;
/// All tables: table name to its rows in table order.
pub type Tables = BTreeMap<String, Vec<Row>>;

/// What a person asks for: jobs on a machine, with options.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Ask {
    pub machine: String,
    pub jobs: Vec<String>,
    pub options: Vec<String>,
}

/// Works out the kit, or says why the ask is refused.
pub fn solve(tables: &Tables, ask: &Ask) -> Result<Value, String> {
    solve_and_mark(tables, ask).0
}

/// Works out the kit, and names the turns taken on the way, so that a test can show that all are taken.
pub fn solve_and_mark(
    tables: &Tables,
    ask: &Ask,
) -> (Result<Value, String>, BTreeSet<&'static str>) {
    let machine = match Machine::find(tables, &ask.machine) {
        Some(machine) => machine,
        None => {
            let why = format!("no machine {:?}", ask.machine);
            return (Err(why), BTreeSet::from(["refused: machine"]));
        }
    };
    let solver = Solver {
        catalog: Catalog::read(tables, &machine),
        gaps: RefCell::default(),
        marks: RefCell::default(),
    };
    let answer = solver.kit(ask, &machine);
    (answer, solver.marks.into_inner())
}

// ---------------------------------------------------------------------------------------------------------
// Cells (tables page, rules for every table)
// ---------------------------------------------------------------------------------------------------------

/// A key or part number as it compares.
type Key = String;

fn cell<'a>(row: &'a Row, column: &str) -> &'a str {
    row.get(column).map_or("", |text| text.trim())
}

fn key(text: &str) -> Key {
    text.trim().to_lowercase()
}

/// Part numbers compare without case, spaces, dots, hyphens and slashes.
fn part_key(text: &str) -> Key {
    text.to_lowercase()
        .chars()
        .filter(|c| !c.is_whitespace() && !['.', '-', '/'].contains(c))
        .collect()
}

fn list(text: &str) -> Vec<&str> {
    text.split(';').map(str::trim).filter(|item| !item.is_empty()).collect()
}

fn decimal(text: &str) -> Decimal {
    text.trim().parse().unwrap_or_else(|_| panic!("unreadable number {text:?}"))
}

fn yes_or_no(text: &str) -> Option<bool> {
    match key(text).as_str() {
        "yes" => Some(true),
        "no" => Some(false),
        "" => None,
        other => panic!("unreadable yes/no {other:?}"),
    }
}

/// A number and its unit, as typed.
#[derive(Debug, Clone)]
struct Quantity {
    number: Decimal,
    unit: &'static str,
}

/// Unit, kind, and size in the smallest unit of its kind.
const UNITS: [(&str, &str, i64); 7] = [
    ("each", "count", 1),
    ("L", "volume", 1000),
    ("ml", "volume", 1),
    ("kg", "mass", 1000),
    ("g", "mass", 1),
    ("m", "length", 1000),
    ("mm", "length", 1),
];

fn unit(text: &str) -> &'static str {
    UNITS
        .iter()
        .find(|(name, _, _)| name.eq_ignore_ascii_case(text.trim()))
        .unwrap_or_else(|| panic!("unreadable unit {text:?}"))
        .0
}

fn kind_and_size(unit: &str) -> (&'static str, Decimal) {
    let (_, kind, size) = UNITS.iter().find(|(name, _, _)| *name == unit).unwrap();
    (*kind, Decimal::from(*size))
}

impl Quantity {
    fn each(number: Decimal) -> Quantity {
        Quantity { number, unit: "each" }
    }

    /// Blank is `None`. A quantity without a unit is in `each`.
    fn read(text: &str) -> Option<Quantity> {
        let text = text.trim();
        if text.is_empty() {
            return None;
        }
        let digits = text.find(|c: char| !c.is_ascii_digit() && c != '.').unwrap_or(text.len());
        let (number, rest) = text.split_at(digits);
        Some(Quantity {
            number: decimal(number),
            unit: if rest.trim().is_empty() { "each" } else { unit(rest) },
        })
    }

    /// Units of one kind convert.
    fn number_in(&self, other: &str) -> Option<Decimal> {
        let (kind, size) = kind_and_size(self.unit);
        let (other_kind, other_size) = kind_and_size(other);
        (kind == other_kind).then(|| self.number * size / other_size)
    }

    fn is_as_much_as(&self, other: &Quantity) -> bool {
        other.number_in(self.unit) == Some(self.number)
    }
}

/// A part cell of a position, a log row or a job line.
#[derive(Debug, Clone, PartialEq, Eq)]
enum Fitted {
    Nothing,
    NotLookedUp,
    Part(Key),
}

impl Fitted {
    fn read(text: &str) -> Fitted {
        match text.trim() {
            "-" => Fitted::Nothing,
            "" => Fitted::NotLookedUp,
            number => Fitted::Part(part_key(number)),
        }
    }
}

/// One item of a `needs` cell of a supersession or retrofit.
#[derive(Debug, Clone)]
enum Need {
    Renew { position: Key },
    LeaveEmpty { position: Key },
    Fit { position: Key, part: Key, quantity: Option<Quantity> },
}

/// Whether a row applies to the machine (tables page, scope columns).
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
enum Applies {
    Yes,
    Unsure,
    No,
}

struct Machine {
    machine: Key,
    shown: String,
    model: Key,
    year: Option<i32>,
    serial: String,
    traits: Vec<Key>,
}

impl Machine {
    fn find(tables: &Tables, asked: &str) -> Option<Machine> {
        let row =
            tables.get("machines")?.iter().find(|row| key(cell(row, "machine")) == key(asked))?;
        Some(Machine {
            machine: key(cell(row, "machine")),
            shown: cell(row, "machine").to_string(),
            model: key(cell(row, "model")),
            year: match cell(row, "year") {
                "" => None,
                year => Some(year.parse().unwrap()),
            },
            serial: cell(row, "serial").to_string(),
            traits: list(cell(row, "traits")).into_iter().map(key).collect(),
        })
    }

    /// No if any limit excludes the machine, else unsure if a limit cannot be judged, else yes.
    fn scope(&self, row: &Row) -> Applies {
        self.limits(row).into_iter().max().unwrap_or(Applies::Yes)
    }

    fn limits(&self, row: &Row) -> Vec<Applies> {
        let mut limits = Vec::new();
        let models = list(cell(row, "model"));
        if !models.is_empty() {
            limits.push(if models.into_iter().any(|model| key(model) == self.model) {
                Applies::Yes
            } else {
                Applies::No
            });
        }
        let years = list(cell(row, "years"));
        if !years.is_empty() {
            limits.push(match self.year {
                None => Applies::Unsure,
                Some(year) if years.into_iter().any(|range| year_within(year, range)) => {
                    Applies::Yes
                }
                Some(_) => Applies::No,
            });
        }
        let serials = list(cell(row, "serials"));
        if !serials.is_empty() {
            limits.push(if self.serial.is_empty() {
                Applies::Unsure
            } else {
                serials.into_iter().map(|range| serial_within(&self.serial, range)).min().unwrap()
            });
        }
        let only = list(cell(row, "only"));
        if !only.is_empty() {
            limits.push(if self.traits.is_empty() {
                Applies::Unsure
            } else if only.into_iter().all(|wanted| self.has_trait(wanted)) {
                Applies::Yes
            } else {
                Applies::No
            });
        }
        limits
    }

    fn has_trait(&self, wanted: &str) -> bool {
        let wanted = key(wanted);
        match wanted.strip_prefix("not ") {
            Some(unwanted) => !self.traits.contains(&key(unwanted)),
            None => self.traits.contains(&wanted),
        }
    }
}

/// `1999`, `1999-2003`, `2004-`, `-1998`.
fn year_within(year: i32, range: &str) -> bool {
    let bound = |text: &str| -> Option<i32> {
        let text = text.trim();
        (!text.is_empty()).then(|| text.parse().unwrap())
    };
    match range.split_once('-') {
        None => bound(range) == Some(year),
        Some((from, to)) => {
            bound(from).is_none_or(|from| from <= year) && bound(to).is_none_or(|to| year <= to)
        }
    }
}

/// `B1200-B4999`, `B1200-`, `-B4999`, `B1200`.
fn serial_within(serial: &str, range: &str) -> Applies {
    let (from, to) = match range.split_once('-') {
        None => (range.trim(), range.trim()),
        Some((from, to)) => (from.trim(), to.trim()),
    };
    let (prefix, number) = prefix_and_number(serial);
    let judge = |bound: &str, inside: &dyn Fn(u64) -> bool| {
        if bound.is_empty() {
            return Applies::Yes;
        }
        let (bound_prefix, bound_number) = prefix_and_number(bound);
        if bound_prefix != prefix {
            Applies::Unsure
        } else if inside(bound_number) {
            Applies::Yes
        } else {
            Applies::No
        }
    };
    judge(from, &|bound| bound <= number).max(judge(to, &|bound| number <= bound))
}

/// The prefix is everything before the last run of digits.
fn prefix_and_number(serial: &str) -> (String, u64) {
    let end = serial.rfind(|c: char| c.is_ascii_digit()).unwrap() + 1;
    let start = serial[..end].rfind(|c: char| !c.is_ascii_digit()).map_or(0, |at| at + 1);
    (key(&serial[..start]), serial[start..end].parse().unwrap())
}

// ---------------------------------------------------------------------------------------------------------
// The tables as rows with their meaning for this machine
// ---------------------------------------------------------------------------------------------------------

struct Part {
    kind: Key,
    single_use: Option<bool>,
    unit: Option<&'static str>,
    discontinued: bool,
}

struct PartType {
    name: Key,
    also_called: Vec<Key>,
    when_disturbed: Option<Action>,
    seals: bool,
}

#[derive(Debug, Clone)]
enum Fill {
    Set,
    Of(Quantity),
}

struct PositionRow {
    applies: Applies,
    position: Key,
    part: Fitted,
    quantity: Fill,
    joints: Vec<Key>,
    reached_by: Option<Key>,
    when_disturbed: Option<Action>,
}

struct SupersessionRow {
    applies: Applies,
    old: Key,
    new: Key,
    quantity: Decimal,
    together: Option<Key>,
    since: String,
    needs: Vec<Need>,
    scope_columns_filled: usize,
}

struct RetrofitRow {
    applies: Applies,
    part: Key,
    position: Key,
    fits: bool,
    needs: Vec<Need>,
    operations: Vec<Key>,
}

struct OperationRow {
    applies: Applies,
    operation: Key,
    needs: Vec<Key>,
    opens: Vec<Key>,
    removes: Vec<Key>,
    /// `None` is as-needed.
    uses: Vec<(Key, Option<Quantity>)>,
}

struct JobRow {
    applies: Applies,
    job: Key,
}

struct JobLine {
    applies: Applies,
    job: Key,
    option: String,
    position: Option<Key>,
    part: Fitted,
    quantity: Option<Quantity>,
    operation: Option<Key>,
}

struct ContainsRow {
    part: Key,
    contains: Key,
    quantity: Quantity,
    position: Option<Key>,
}

struct LogRow {
    date: String,
    of_this_machine: bool,
    position: Option<Key>,
    part: Fitted,
    quantity: Option<Quantity>,
    operation: Option<Key>,
}

#[derive(Default)]
struct Catalog {
    parts: BTreeMap<Key, Part>,
    types: Vec<PartType>,
    dry_joints: BTreeSet<Key>,
    positions: Vec<PositionRow>,
    supersessions: Vec<SupersessionRow>,
    retrofits: Vec<RetrofitRow>,
    operations: Vec<OperationRow>,
    jobs: Vec<JobRow>,
    job_lines: Vec<JobLine>,
    contains: Vec<ContainsRow>,
    worklog: Vec<LogRow>,
    /// How a key or part number is shown: as its own table spells it, else as it was first typed.
    shown_keys: BTreeMap<(&'static str, Key), String>,
    shown_parts: BTreeMap<Key, String>,
}

impl Catalog {
    fn read(tables: &Tables, machine: &Machine) -> Catalog {
        let rows = |table: &str| tables.get(table).cloned().unwrap_or_default();
        let mut catalog = Catalog::default();

        for row in rows("parts") {
            let part = catalog.part(cell(&row, "part"));
            let as_said = Part {
                kind: key(cell(&row, "type")),
                single_use: yes_or_no(cell(&row, "single_use")),
                unit: (!cell(&row, "unit").is_empty()).then(|| unit(cell(&row, "unit"))),
                discontinued: key(cell(&row, "status")) == "discontinued",
            };
            catalog.parts.insert(part, as_said);
        }
        for row in rows("joints") {
            let joint = catalog.key("joint", cell(&row, "joint"));
            if yes_or_no(cell(&row, "dry")) == Some(true) {
                catalog.dry_joints.insert(joint);
            }
        }
        for row in rows("types") {
            catalog.types.push(PartType {
                name: key(cell(&row, "type")),
                also_called: list(cell(&row, "also_called")).into_iter().map(key).collect(),
                when_disturbed: Action::read(cell(&row, "when_disturbed")),
                seals: yes_or_no(cell(&row, "seals")) == Some(true),
            });
        }
        // The tables that own a key come before those that only mention it, so that their spelling is shown.
        for row in rows("positions") {
            catalog.key("position", cell(&row, "position"));
        }
        for row in rows("operations") {
            catalog.key("operation", cell(&row, "operation"));
        }
        for row in rows("positions") {
            let position = PositionRow {
                applies: machine.scope(&row),
                position: catalog.key("position", cell(&row, "position")),
                part: catalog.fitted(cell(&row, "part")),
                quantity: match cell(&row, "quantity") {
                    set if key(set) == "set" => Fill::Set,
                    text => Fill::Of(Quantity::read(text).unwrap_or(Quantity::each(Decimal::ONE))),
                },
                joints: catalog.keys("joint", cell(&row, "joint")),
                reached_by: catalog.key_if_any("operation", cell(&row, "reached_by")),
                when_disturbed: Action::read(cell(&row, "when_disturbed")),
            };
            catalog.positions.push(position);
        }
        for row in rows("operations") {
            let operation = OperationRow {
                applies: machine.scope(&row),
                operation: catalog.key("operation", cell(&row, "operation")),
                needs: catalog.keys("operation", cell(&row, "needs")),
                opens: catalog.keys("joint", cell(&row, "opens")),
                removes: catalog.keys("position", cell(&row, "removes")),
                uses: list(cell(&row, "uses"))
                    .into_iter()
                    .map(|item| {
                        let (part, amount) = item.rsplit_once('=').unwrap();
                        let amount = match key(amount).as_str() {
                            "as-needed" => None,
                            _ => Some(Quantity::read(amount).unwrap()),
                        };
                        (catalog.part(part), amount)
                    })
                    .collect(),
            };
            catalog.operations.push(operation);
        }
        for row in rows("jobs") {
            let job =
                JobRow { applies: machine.scope(&row), job: catalog.key("job", cell(&row, "job")) };
            catalog.jobs.push(job);
        }
        for row in rows("job_lines") {
            let line = JobLine {
                applies: machine.scope(&row),
                job: catalog.key("job", cell(&row, "job")),
                option: cell(&row, "option").to_string(),
                position: catalog.key_if_any("position", cell(&row, "position")),
                part: catalog.fitted(cell(&row, "part")),
                quantity: Quantity::read(cell(&row, "quantity")),
                operation: catalog.key_if_any("operation", cell(&row, "operation")),
            };
            catalog.job_lines.push(line);
        }
        for row in rows("supersessions") {
            let supersession = SupersessionRow {
                applies: machine.scope(&row),
                old: catalog.part(cell(&row, "old")),
                new: catalog.part(cell(&row, "new")),
                quantity: match cell(&row, "quantity") {
                    "" => Decimal::ONE,
                    quantity => decimal(quantity),
                },
                together: (!cell(&row, "together").is_empty()).then(|| key(cell(&row, "together"))),
                since: cell(&row, "since").to_string(),
                needs: catalog.needs(cell(&row, "needs")),
                scope_columns_filled: machine.limits(&row).len(),
            };
            catalog.supersessions.push(supersession);
        }
        for row in rows("retrofits") {
            let retrofit = RetrofitRow {
                applies: machine.scope(&row),
                part: catalog.part(cell(&row, "part")),
                position: catalog.key("position", cell(&row, "position")),
                fits: match key(cell(&row, "verdict")).as_str() {
                    "fits" | "fits-with" => true,
                    "no" => false,
                    other => panic!("unreadable verdict {other:?}"),
                },
                needs: catalog.needs(cell(&row, "needs")),
                operations: catalog.keys("operation", cell(&row, "operations")),
            };
            catalog.retrofits.push(retrofit);
        }
        for row in rows("contains") {
            let contains = ContainsRow {
                part: catalog.part(cell(&row, "part")),
                contains: catalog.part(cell(&row, "contains")),
                quantity: Quantity::read(cell(&row, "quantity"))
                    .unwrap_or(Quantity::each(Decimal::ONE)),
                position: catalog.key_if_any("position", cell(&row, "position")),
            };
            catalog.contains.push(contains);
        }
        for row in rows("worklog") {
            let log = LogRow {
                date: cell(&row, "date").to_string(),
                of_this_machine: key(cell(&row, "machine")) == machine.machine,
                position: catalog.key_if_any("position", cell(&row, "position")),
                part: catalog.fitted(cell(&row, "part")),
                quantity: Quantity::read(cell(&row, "quantity")),
                operation: catalog.key_if_any("operation", cell(&row, "operation")),
            };
            catalog.worklog.push(log);
        }
        catalog
    }

    fn key(&mut self, of: &'static str, text: &str) -> Key {
        self.shown_keys.entry((of, key(text))).or_insert_with(|| text.trim().to_string());
        key(text)
    }

    fn key_if_any(&mut self, of: &'static str, text: &str) -> Option<Key> {
        (!text.trim().is_empty()).then(|| self.key(of, text))
    }

    fn keys(&mut self, of: &'static str, text: &str) -> Vec<Key> {
        list(text).into_iter().map(|item| self.key(of, item)).collect()
    }

    fn part(&mut self, text: &str) -> Key {
        self.shown_parts.entry(part_key(text)).or_insert_with(|| text.trim().to_string());
        part_key(text)
    }

    fn fitted(&mut self, text: &str) -> Fitted {
        let fitted = Fitted::read(text);
        if let Fitted::Part(_) = fitted {
            self.part(text);
        }
        fitted
    }

    /// `position`, `position=part`, `position=part*3`, `position=-`.
    fn needs(&mut self, text: &str) -> Vec<Need> {
        list(text)
            .into_iter()
            .map(|item| match item.split_once('=') {
                None => Need::Renew { position: self.key("position", item) },
                Some((position, part)) if part.trim() == "-" => {
                    Need::LeaveEmpty { position: self.key("position", position) }
                }
                Some((position, part)) => {
                    let (part, quantity) = part.split_once('*').unwrap_or((part, ""));
                    Need::Fit {
                        position: self.key("position", position),
                        part: self.part(part),
                        quantity: Quantity::read(quantity),
                    }
                }
            })
            .collect()
    }

    fn show(&self, of: &'static str, key: &Key) -> String {
        self.shown_keys.get(&(of, key.clone())).unwrap_or(key).clone()
    }

    fn show_part(&self, part: &Key) -> String {
        self.shown_parts.get(part).unwrap_or(part).clone()
    }
}

/// `rows(k, M)` (first item under Words): those that apply with yes; if there are none, those that are unsure.
fn rows_for_machine<Row>(rows: Vec<&Row>, applies: impl Fn(&Row) -> Applies) -> Vec<&Row> {
    let such = |wanted: Applies| -> Vec<&Row> {
        rows.iter().copied().filter(|row| applies(row) == wanted).collect()
    };
    let yes = such(Applies::Yes);
    if yes.is_empty() { such(Applies::Unsure) } else { yes }
}

// ---------------------------------------------------------------------------------------------------------
// The words of the page
// ---------------------------------------------------------------------------------------------------------

#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
enum Action {
    Renew,
    Inspect,
    Keep,
    LeaveOut,
}

impl Action {
    fn read(text: &str) -> Option<Action> {
        match key(text).as_str() {
            "" => None,
            "renew" => Some(Action::Renew),
            "inspect" => Some(Action::Inspect),
            "keep" => Some(Action::Keep),
            other => panic!("unreadable when_disturbed {other:?}"),
        }
    }

    fn word(self) -> &'static str {
        match self {
            Action::Renew => "renew",
            Action::Inspect => "inspect",
            Action::Keep => "keep",
            Action::LeaveOut => "leave-out",
        }
    }
}

#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
enum Role {
    New,
    Companion,
    SingleUse,
    Consumable,
}

impl Role {
    fn word(self) -> &'static str {
        match self {
            Role::New => "new",
            Role::Companion => "companion",
            Role::SingleUse => "single-use",
            Role::Consumable => "consumable",
        }
    }
}

/// A gap's kind and subject, the subject as it is shown.
type Gap = (&'static str, String);

/// What is on a position now.
struct Current {
    /// Empty when nothing is there. Each with its logged quantity.
    parts: Vec<(Fitted, Option<Quantity>)>,
    /// From the log, or from a row that applies with yes.
    is_sure: bool,
}

/// What `resolve` gives.
#[derive(Default)]
struct Resolved {
    finals: Vec<Final>,
    needs: Vec<Need>,
    gaps: Vec<Gap>,
}

struct Final {
    part: Key,
    factor: Decimal,
    chain: Vec<Key>,
    /// For each row followed, in step with the chain part it leads away from: whether it has needs.
    rows_with_needs: Vec<bool>,
}

impl Final {
    fn is_free(&self, part: &Key) -> bool {
        self.chain.iter().enumerate().any(|(at, on_chain)| {
            on_chain == part && !self.rows_with_needs.iter().skip(at).any(|has| *has)
        })
    }
}

impl Resolved {
    fn has_on_a_chain(&self, part: &Key) -> bool {
        self.finals.iter().any(|last| last.chain.contains(part))
    }
}

/// What the retrofit rows say of a part at a position.
enum Said {
    NothingSpeaks,
    DoesNotFit,
    Fits { needs: Vec<Need>, operations: Vec<Key> },
}

struct Target {
    position: Key,
    /// `None`: to be left empty.
    part: Option<Key>,
    quantity: Option<Quantity>,
    of_a_job_line: bool,
}

#[derive(Default)]
struct State {
    targets: Vec<Target>,
    forced: Vec<Key>,
    operations: Vec<Key>,
    sets: Vec<(Key, Quantity)>,
    named_by_a_job_line: BTreeSet<Key>,
    /// What a `needs` called for: position and part.
    called_for: Vec<(Key, Key)>,
}

impl State {
    fn target(&self, position: &Key) -> Option<&Target> {
        self.targets.iter().find(|target| target.position == *position)
    }

    fn size(&self) -> (usize, usize, usize) {
        (self.targets.len(), self.forced.len(), self.operations.len())
    }
}

/// What a renewed position calls for.
enum Call {
    Operation(Key),
    Need(Need),
}

/// One final part of a renewed position.
struct Piece {
    part: Key,
    quantity: Quantity,
    is_set: bool,
    remains: Decimal,
    resolved: Final,
}

/// A disturbed position in the finished plan.
struct Planned {
    position: Key,
    action: Action,
    role: Option<Role>,
    pieces: Vec<Piece>,
    covered: Vec<(Key, Decimal)>,
}

struct Line {
    part: Key,
    unit: &'static str,
    quantity: Decimal,
    role: Role,
    positions: Vec<Key>,
}

struct Solver {
    catalog: Catalog,
    gaps: RefCell<BTreeSet<Gap>>,
    marks: RefCell<BTreeSet<&'static str>>,
}

impl Solver {
    fn gap(&self, kind: &'static str, subject: String) {
        self.gaps.borrow_mut().insert((kind, subject));
    }

    fn gap_on(&self, kind: &'static str, position: &Key) {
        self.gap(kind, self.catalog.show("position", position));
    }

    fn mark(&self, turn: &'static str) {
        self.marks.borrow_mut().insert(turn);
    }

    // ----- Words -----

    fn all_rows_of(&self, position: &Key) -> Vec<&PositionRow> {
        self.catalog.positions.iter().filter(|row| row.position == *position).collect()
    }

    fn rows_of(&self, position: &Key) -> Vec<&PositionRow> {
        rows_for_machine(self.all_rows_of(position), |row| row.applies)
    }

    fn all_rows_of_operation(&self, operation: &Key) -> Vec<&OperationRow> {
        self.catalog.operations.iter().filter(|row| row.operation == *operation).collect()
    }

    fn operation(&self, operation: &Key) -> Option<&OperationRow> {
        rows_for_machine(self.all_rows_of_operation(operation), |row| row.applies).first().copied()
    }

    /// The log's word on a position (second item under Words). `None`: it says nothing.
    fn logged(&self, position: &Key) -> Option<Vec<(Fitted, Option<Quantity>)>> {
        let rows: Vec<&LogRow> = self
            .catalog
            .worklog
            .iter()
            .filter(|row| row.of_this_machine && row.position.as_ref() == Some(position))
            .filter(|row| row.part != Fitted::NotLookedUp)
            .collect();
        let latest = rows.iter().map(|row| row.date.as_str()).max()?;
        let last: Vec<&&LogRow> = rows.iter().filter(|row| row.date == latest).collect();
        if last.len() > 1 {
            self.mark("log: several rows on the latest date");
        }
        if last.iter().any(|row| row.part == Fitted::Nothing) {
            self.mark("log: taken out for good");
            return Some(Vec::new());
        }
        Some(last.into_iter().map(|row| (row.part.clone(), row.quantity.clone())).collect())
    }

    /// `Current(pos)`.
    fn current(&self, position: &Key) -> Current {
        if let Some(parts) = self.logged(position) {
            return Current { parts, is_sure: true };
        }
        match self.rows_of(position).first() {
            None => Current { parts: Vec::new(), is_sure: false },
            Some(row) => Current {
                parts: match &row.part {
                    Fitted::Nothing => Vec::new(),
                    part => vec![(part.clone(), None)],
                },
                is_sure: row.applies == Applies::Yes,
            },
        }
    }

    fn is_on_machine(&self, position: &Key) -> bool {
        !self.current(position).parts.is_empty()
    }

    /// The row that joints, reached_by, quantity and when_disturbed come from (third item under Words).
    fn ruling_row(&self, position: &Key) -> Option<&PositionRow> {
        let for_machine = self.rows_of(position).first().copied();
        for_machine.or_else(|| self.all_rows_of(position).first().copied())
    }

    /// A position's place (last item under Words).
    fn place(&self, position: &Key) -> (usize, Key) {
        let first = self.catalog.positions.iter().position(|row| row.position == *position);
        (first.unwrap_or(usize::MAX), position.clone())
    }

    // ----- Supersession -----

    fn resolve(&self, part: &Key) -> Resolved {
        let mut resolved = Resolved::default();
        self.follow(part, Decimal::ONE, vec![part.clone()], Vec::new(), &mut resolved);
        resolved
    }

    fn follow(
        &self,
        part: &Key,
        factor: Decimal,
        chain: Vec<Key>,
        rows_with_needs: Vec<bool>,
        resolved: &mut Resolved,
    ) {
        let ends_here = |resolved: &mut Resolved| {
            resolved.finals.push(Final {
                part: part.clone(),
                factor,
                chain: chain.clone(),
                rows_with_needs: rows_with_needs.clone(),
            });
        };
        let replacement = self.replacement(part, resolved);
        if replacement.is_empty() {
            ends_here(resolved);
            return;
        }
        let mut ended_before_a_repeat = false;
        for row in replacement {
            let mut with_this_row = rows_with_needs.clone();
            with_this_row.push(!row.needs.is_empty());
            if row.together.is_some() && row.new == *part {
                self.mark("supersession: the old part stays");
                resolved.needs.extend(row.needs.iter().cloned());
                resolved.finals.push(Final {
                    part: part.clone(),
                    factor: factor * row.quantity,
                    chain: chain.clone(),
                    rows_with_needs: with_this_row,
                });
            } else if chain.contains(&row.new) {
                resolved.gaps.push(("supersession-cycle", self.catalog.show_part(&chain[0])));
                if row.together.is_some() {
                    self.mark("supersession: a group's row repeats");
                }
                if ended_before_a_repeat {
                    self.mark("supersession: several rows of a group repeat");
                } else {
                    ends_here(resolved);
                }
                ended_before_a_repeat = true;
            } else {
                resolved.needs.extend(row.needs.iter().cloned());
                let mut longer = chain.clone();
                longer.push(row.new.clone());
                self.follow(&row.new, factor * row.quantity, longer, with_this_row, resolved);
            }
        }
    }

    /// The rows of the replacement that wins; empty when no row applies.
    fn replacement(&self, part: &Key, resolved: &mut Resolved) -> Vec<&SupersessionRow> {
        let mut replacements: Vec<Vec<&SupersessionRow>> = Vec::new();
        for row in &self.catalog.supersessions {
            if row.old != *part || row.applies == Applies::No {
                continue;
            }
            if row.applies == Applies::Unsure {
                resolved.gaps.push(("not-settled", self.catalog.show_part(part)));
                continue;
            }
            let group = replacements
                .iter_mut()
                .find(|rows| row.together.is_some() && rows[0].together == row.together);
            match group {
                Some(rows) => rows.push(row),
                None => replacements.push(vec![row]),
            }
        }
        let rank = |rows: &[&SupersessionRow]| {
            let narrow = rows.iter().map(|row| row.scope_columns_filled).max();
            let since = rows.iter().map(|row| row.since.clone()).max();
            (narrow, since)
        };
        let Some(best) = replacements.iter().map(|rows| rank(rows)).max() else {
            return Vec::new();
        };
        if replacements.iter().any(|rows| rank(rows).0 < best.0) {
            self.mark("supersession: a narrower one wins");
        }
        if replacements.iter().any(|rows| rank(rows).0 == best.0 && rank(rows).1 < best.1) {
            self.mark("supersession: a later one wins");
        }
        let mut winners = replacements.into_iter().filter(|rows| rank(rows) == best);
        let winner = winners.next().unwrap_or_default();
        if winners.next().is_some() {
            resolved.gaps.push(("choice", self.catalog.show_part(part)));
        }
        winner
    }

    /// Resolves where the chain counts for more than comparing parts, so its gaps are raised.
    fn resolve_in_earnest(&self, part: &Key) -> Resolved {
        let resolved = self.resolve(part);
        for (kind, subject) in &resolved.gaps {
            self.gap(kind, subject.clone());
        }
        resolved
    }

    // ----- Rounds -----

    /// Does the job apply, and what do its lines start with? (Rounds, the paragraph on the state; the result, on
    /// completeness, for the refusal.)
    fn start(&self, ask: &Ask) -> Result<State, String> {
        let mut state = State::default();
        for asked in &ask.jobs {
            let job = key(asked);
            let all: Vec<&JobRow> = self.catalog.jobs.iter().filter(|row| row.job == job).collect();
            if all.is_empty() {
                self.mark("refused: job unknown");
                return Err(format!("no job {asked:?}"));
            }
            match rows_for_machine(all, |row| row.applies).first() {
                None => {
                    self.mark("refused: job does not apply");
                    return Err(format!("job {asked:?} does not apply"));
                }
                Some(row) if row.applies == Applies::Unsure => {
                    self.mark("job: itself unsure");
                    self.gap("not-settled", self.catalog.show("job", &job));
                }
                Some(_) => {}
            }
        }
        for asked in &ask.jobs {
            let job = key(asked);
            for line in self.catalog.job_lines.iter().filter(|line| line.job == job) {
                if !option_holds(&line.option, &ask.options) {
                    self.mark("job line: option does not hold");
                    continue;
                }
                match line.applies {
                    Applies::No => {}
                    Applies::Unsure => {
                        self.mark("job line: unsure");
                        self.gap("not-settled", self.catalog.show("job", &job));
                    }
                    Applies::Yes => self.start_line(line, &mut state),
                }
            }
        }
        Ok(state)
    }

    fn start_line(&self, line: &JobLine, state: &mut State) {
        let quantity = line.quantity.clone();
        match (&line.position, &line.part) {
            (Some(position), Fitted::NotLookedUp) => {
                self.mark("job line: forced renewal");
                state.named_by_a_job_line.insert(position.clone());
                self.add_forced(position, state);
            }
            (Some(position), part) => {
                self.mark(match part {
                    Fitted::Nothing => "job line: leave empty",
                    _ => "job line: target",
                });
                state.named_by_a_job_line.insert(position.clone());
                let target = Target {
                    position: position.clone(),
                    part: match part {
                        Fitted::Part(part) => Some(part.clone()),
                        _ => None,
                    },
                    quantity,
                    of_a_job_line: true,
                };
                self.add_target(target, state);
            }
            (None, Fitted::Part(part)) => {
                self.mark("job line: set to buy");
                state.sets.push((part.clone(), quantity.unwrap_or(Quantity::each(Decimal::ONE))));
            }
            (None, _) => {}
        }
        if let Some(operation) = &line.operation {
            self.mark("job line: operation");
            add_operation(operation, state);
        }
    }

    /// Every position added also adds its reached_by; one without any row is unknown.
    fn position_was_added(&self, position: &Key, state: &mut State) {
        match self.ruling_row(position) {
            None => {
                self.mark("position-unknown: added");
                self.gap_on("position-unknown", position);
            }
            Some(row) => {
                if let Some(operation) = &row.reached_by {
                    add_operation(operation, state);
                }
            }
        }
    }

    fn add_target(&self, target: Target, state: &mut State) {
        let position = target.position.clone();
        if let Some(first) = state.target(&position) {
            let agree = match (&first.part, &target.part) {
                (None, None) => true,
                (Some(one), Some(other)) if one == other => {
                    self.mark("target: the same part again");
                    true
                }
                (Some(one), Some(other)) => {
                    let on_one_chain = self.resolve(one).has_on_a_chain(other)
                        || self.resolve(other).has_on_a_chain(one);
                    if on_one_chain {
                        self.mark("target: another part of the same chain");
                    }
                    on_one_chain
                }
                _ => false,
            };
            if !agree {
                self.mark("conflict: another target");
                self.gap_on("conflict", &position);
            }
            return;
        }
        if target.part.is_none() && state.forced.contains(&position) {
            self.mark("conflict: leave empty what is to be renewed");
            self.gap_on("conflict", &position);
            return;
        }
        state.targets.push(target);
        self.position_was_added(&position, state);
    }

    fn add_forced(&self, position: &Key, state: &mut State) {
        if state.forced.contains(position) {
            return;
        }
        if let Some(Target { part: None, .. }) = state.target(position) {
            self.mark("conflict: renew what is to be left empty");
            self.gap_on("conflict", position);
            return;
        }
        state.forced.push(position.clone());
        self.position_was_added(position, state);
    }

    /// Step 1.
    fn close_operations(&self, state: &mut State) {
        let mut at = 0;
        while at < state.operations.len() {
            let operation = state.operations[at].clone();
            at += 1;
            let Some(row) = self.operation(&operation) else {
                self.mark(if self.all_rows_of_operation(&operation).is_empty() {
                    "operation-unknown: no row at all"
                } else {
                    "operation-unknown: no row for the machine"
                });
                self.gap("operation-unknown", self.catalog.show("operation", &operation));
                continue;
            };
            for need in &row.needs {
                let rows = self.all_rows_of_operation(need);
                if !rows.is_empty() && rows.iter().all(|row| row.applies == Applies::No) {
                    self.mark("operation: a need is not there to be done");
                    continue;
                }
                add_operation(need, state);
            }
        }
    }

    fn planned_operations(&self, state: &State) -> Vec<&OperationRow> {
        state.operations.iter().filter_map(|operation| self.operation(operation)).collect()
    }

    /// Step 2, opened joints.
    fn opened_joints(&self, state: &State) -> BTreeSet<Key> {
        self.planned_operations(state).into_iter().flat_map(|row| row.opens.clone()).collect()
    }

    fn is_in_joint(&self, position: &Key, joint: &Key) -> bool {
        self.ruling_row(position).is_some_and(|row| row.joints.contains(joint))
    }

    /// Step 2, disturbed positions, in the order of step 3.
    fn disturbed(&self, state: &State) -> Vec<Key> {
        let mut others: BTreeSet<Key> = BTreeSet::new();
        let opened = self.opened_joints(state);
        for row in &self.catalog.positions {
            let position = &row.position;
            let is_open = opened.iter().any(|joint| self.is_in_joint(position, joint));
            if is_open && self.is_on_machine(position) {
                others.insert(position.clone());
            }
        }
        for row in self.planned_operations(state) {
            for position in &row.removes {
                let has_log_entry =
                    self.catalog.worklog.iter().any(|row| row.position.as_ref() == Some(position));
                if self.is_on_machine(position) {
                    if self.all_rows_of(position).is_empty() {
                        self.mark("removes: a position only the log knows");
                    }
                    others.insert(position.clone());
                } else if self.all_rows_of(position).is_empty() && !has_log_entry {
                    self.mark("position-unknown: removed");
                    self.gap_on("position-unknown", position);
                }
            }
        }
        others.extend(state.forced.iter().cloned());
        let mut disturbed: Vec<Key> =
            state.targets.iter().map(|target| target.position.clone()).collect();
        others.retain(|position| !disturbed.contains(position));
        let mut others: Vec<Key> = others.into_iter().collect();
        others.sort_by_key(|position| self.place(position));
        disturbed.extend(others);
        disturbed
    }

    /// The four steps, until a round adds nothing.
    fn rounds(&self, state: &mut State) {
        let mut rounds = 0;
        loop {
            rounds += 1;
            let before = state.size();
            self.close_operations(state);
            let mut calls = Vec::new();
            for position in self.disturbed(state) {
                if self.action(&position, state) == Action::Renew {
                    self.pieces(&position, state);
                    calls.extend(self.calls_of(&position, state));
                }
            }
            for call in calls {
                self.answer(call, state);
            }
            if state.size() == before {
                break;
            }
        }
        self.mark(match rounds {
            1 => "rounds: 1",
            2 => "rounds: 2",
            3 => "rounds: 3",
            _ => "rounds: 4 or more",
        });
    }

    /// Step 3, what a renewed position calls for.
    fn calls_of(&self, position: &Key, state: &State) -> Vec<Call> {
        let mut calls = Vec::new();
        if let Some(operation) = self.ruling_row(position).and_then(|row| row.reached_by.clone()) {
            calls.push(Call::Operation(operation));
        }
        let is_target = state.target(position).is_some();
        for (start, _) in self.starts(position, state) {
            let Fitted::Part(start) = start else {
                continue;
            };
            let resolved = self.resolve_in_earnest(&start);
            let mut asked_about = Vec::new();
            if is_target {
                asked_about.push(start.clone());
            }
            for last in &resolved.finals {
                if last.part != start {
                    asked_about.push(last.part.clone());
                }
            }
            for part in asked_about {
                if let Said::Fits { needs, operations } = self.retrofit_rows_say(&part, position) {
                    calls.extend(needs.into_iter().map(Call::Need));
                    calls.extend(operations.into_iter().map(Call::Operation));
                }
            }
            if !resolved.needs.is_empty() {
                self.mark("supersession: needs along the chain");
            }
            calls.extend(resolved.needs.into_iter().map(Call::Need));
        }
        calls
    }

    /// Step 4.
    fn answer(&self, call: Call, state: &mut State) {
        match call {
            Call::Operation(operation) => add_operation(&operation, state),
            Call::Need(Need::Renew { position }) => {
                self.mark("need: renew");
                self.add_forced(&position, state);
            }
            Call::Need(Need::LeaveEmpty { position }) => {
                if !self.all_rows_of(&position).is_empty()
                    && state.target(&position).is_none()
                    && !self.is_on_machine(&position)
                {
                    self.mark("need: empty already");
                    return;
                }
                self.mark("need: leave empty");
                let target = Target { position, part: None, quantity: None, of_a_job_line: false };
                self.add_target(target, state);
            }
            Call::Need(Need::Fit { position, part, quantity }) => {
                state.called_for.push((position.clone(), part.clone()));
                if state.target(&position).is_none() && self.surely_has(&position, &part) {
                    self.mark("need: already there");
                    return;
                }
                self.mark(if quantity.is_some() { "need: fit so many" } else { "need: fit" });
                let target = Target { position, part: Some(part), quantity, of_a_job_line: false };
                self.add_target(target, state);
            }
        }
    }

    /// A part that surely sits there lies on a chain of the part.
    fn surely_has(&self, position: &Key, part: &Key) -> bool {
        let current = self.current(position);
        let resolved = self.resolve(part);
        current.is_sure
            && current.parts.iter().any(|(fitted, _)| match fitted {
                Fitted::Part(fitted) => resolved.has_on_a_chain(fitted),
                _ => false,
            })
    }

    // ----- Action -----

    fn action(&self, position: &Key, state: &State) -> Action {
        match state.target(position) {
            Some(Target { part: None, .. }) => return Action::LeaveOut,
            Some(_) => return Action::Renew,
            None => {}
        }
        if state.forced.contains(position) {
            return Action::Renew;
        }
        if let Some(action) = self.ruling_row(position).and_then(|row| row.when_disturbed) {
            self.mark("action: by the position");
            return action;
        }
        let mut strongest = Action::Keep;
        for (fitted, _) in self.current(position).parts {
            let action = self.action_for(&fitted).unwrap_or_else(|gap| {
                self.gap_on(gap, position);
                Action::Renew
            });
            strongest = strongest.min(action);
        }
        strongest
    }

    fn action_for(&self, fitted: &Fitted) -> Result<Action, &'static str> {
        let Fitted::Part(number) = fitted else {
            return Err("part-unknown");
        };
        let part = match self.catalog.parts.get(number) {
            Some(part) => part,
            None => {
                let finals = self.resolve_in_earnest(number).finals;
                let part = finals
                    .first()
                    .and_then(|last| self.catalog.parts.get(&last.part))
                    .ok_or("part-unknown")?;
                self.mark("action: judged as the first final part");
                part
            }
        };
        match part.single_use {
            Some(true) => {
                self.mark("action: single_use yes");
                return Ok(Action::Renew);
            }
            Some(false) => {
                self.mark("action: single_use no");
                return Ok(Action::Keep);
            }
            None => {}
        }
        let action =
            self.type_of(part).and_then(|of_type| of_type.when_disturbed).ok_or("rule-unknown")?;
        self.mark("action: by the type");
        Ok(action)
    }

    /// A type is matched by its name, else by what it is also called, first row first.
    fn type_of(&self, part: &Part) -> Option<&PartType> {
        if part.kind.is_empty() {
            return None;
        }
        let by_name = self.catalog.types.iter().find(|of_type| of_type.name == part.kind);
        by_name.or_else(|| {
            let also =
                self.catalog.types.iter().find(|of_type| of_type.also_called.contains(&part.kind));
            if also.is_some() {
                self.mark("type: by what it is also called");
            }
            also
        })
    }

    // ----- Parts of a renewed position -----

    /// The parts a renewed position starts from, each with its own quantity.
    fn starts(&self, position: &Key, state: &State) -> Vec<(Fitted, Option<Quantity>)> {
        match state.target(position) {
            Some(Target { part: Some(part), quantity, .. }) => {
                vec![(Fitted::Part(part.clone()), quantity.clone())]
            }
            _ => self.current(position).parts,
        }
    }

    fn pieces(&self, position: &Key, state: &State) -> Vec<Piece> {
        let ruling = self
            .ruling_row(position)
            .map_or(Fill::Of(Quantity::each(Decimal::ONE)), |row| row.quantity.clone());
        let starts = self.starts(position, state);
        if starts.is_empty() {
            self.mark("part-unknown: renew what is not there");
            self.gap_on("part-unknown", position);
        }
        let mut pieces = Vec::new();
        for (start, own) in starts {
            let Fitted::Part(start) = start else {
                self.mark("part-unknown: blank");
                self.gap_on("part-unknown", position);
                continue;
            };
            let (quantity, is_set) = match (own, &ruling) {
                (Some(own), _) => (own, false),
                (None, Fill::Of(quantity)) => (quantity.clone(), false),
                (None, Fill::Set) => (Quantity::each(Decimal::ONE), true),
            };
            for last in self.resolve_in_earnest(&start).finals {
                match self.catalog.parts.get(&last.part) {
                    None => {
                        self.mark("part-unknown: not in parts");
                        self.gap_on("part-unknown", position);
                    }
                    Some(part) if part.discontinued => {
                        self.mark("discontinued: at a position");
                        self.gap("discontinued", self.catalog.show_part(&last.part));
                    }
                    Some(_) => {}
                }
                let quantity = self.in_its_unit(&last.part, &quantity, last.factor);
                pieces.push(Piece {
                    part: last.part.clone(),
                    remains: quantity.number,
                    quantity,
                    is_set,
                    resolved: last,
                });
            }
        }
        pieces
    }

    /// A quantity in the part's unit, where it converts, else as it was typed.
    fn in_its_unit(&self, part: &Key, typed: &Quantity, factor: Decimal) -> Quantity {
        let unit_of_part = self.catalog.parts.get(part).and_then(|part| part.unit);
        let converted = unit_of_part
            .and_then(|unit| typed.number_in(unit).map(|number| Quantity { number, unit }));
        let quantity = converted.unwrap_or(typed.clone());
        Quantity { number: quantity.number * factor, unit: quantity.unit }
    }

    // ----- What the retrofit rows say -----

    fn retrofit_rows_say(&self, part: &Key, position: &Key) -> Said {
        let of_position = || self.catalog.retrofits.iter().filter(|row| row.position == *position);
        let exact: Vec<&RetrofitRow> =
            of_position().filter(|row| row.part == *part && row.applies != Applies::No).collect();
        let speaking: Vec<&RetrofitRow> = if exact.is_empty() {
            let by_chain: Vec<&RetrofitRow> = of_position()
                .filter(|row| row.applies == Applies::Yes)
                .filter(|row| self.resolve(&row.part).has_on_a_chain(part))
                .collect();
            if !by_chain.is_empty() {
                self.mark("retrofit: by the chain");
            }
            by_chain
        } else {
            if exact.iter().any(|row| row.applies == Applies::Unsure) {
                self.mark("retrofit: unsure");
                self.gap_on("not-settled", position);
            }
            exact.into_iter().filter(|row| row.applies == Applies::Yes).collect()
        };
        if speaking.is_empty() {
            return Said::NothingSpeaks;
        }
        if speaking.iter().any(|row| !row.fits) {
            self.gap_on("does-not-fit", position);
            return Said::DoesNotFit;
        }
        self.mark("retrofit: fits");
        let is_done = |operation: &Key| {
            let done = self
                .catalog
                .worklog
                .iter()
                .any(|row| row.of_this_machine && row.operation.as_ref() == Some(operation));
            if done {
                self.mark("retrofit: operation done already");
            }
            done
        };
        Said::Fits {
            needs: speaking.iter().flat_map(|row| row.needs.clone()).collect(),
            operations: speaking
                .iter()
                .flat_map(|row| row.operations.clone())
                .filter(|operation| !is_done(operation))
                .collect(),
        }
    }

    // ----- Does a job line's target fit? -----

    fn judge_fit(&self, position: &Key, target: &Key) {
        let listed = self.rows_of(position).into_iter().map(|row| row.part.clone());
        let current = self.current(position).parts.into_iter().map(|(part, _)| part);
        let known: Vec<Key> = listed
            .chain(current)
            .filter_map(|fitted| match fitted {
                Fitted::Part(part) => Some(part),
                _ => None,
            })
            .collect();
        let is_placed =
            |part: &Key| known.iter().any(|start| self.resolve(start).has_on_a_chain(part));
        let is_spoken_for =
            |part: &Key| matches!(self.retrofit_rows_say(part, position), Said::Fits { .. });
        let is_refused =
            |part: &Key| matches!(self.retrofit_rows_say(part, position), Said::DoesNotFit);

        let finals: Vec<Key> =
            self.resolve(target).finals.into_iter().map(|last| last.part).collect();
        if is_refused(target) || finals.iter().any(is_refused) {
            self.mark("fit: does not fit alone");
        } else if is_spoken_for(target) {
            self.mark("fit: the retrofit rows say so");
        } else if is_placed(target) {
            self.mark("fit: on the chain of a part listed or fitted there");
        } else if finals.iter().all(|part| is_placed(part) || is_spoken_for(part)) {
            self.mark("fit: every final part does");
        } else {
            self.gap_on("fit-unknown", position);
        }
    }

    // ----- Rows that disagree -----

    fn judge_position_rows(&self, position: &Key) {
        if self.logged(position).is_some() {
            return;
        }
        let differ = |one: &PositionRow, other: &PositionRow| {
            let same_quantity = match (&one.quantity, &other.quantity) {
                (Fill::Set, Fill::Set) => true,
                (Fill::Of(one), Fill::Of(other)) => one.is_as_much_as(other),
                _ => false,
            };
            one.part != other.part || !same_quantity
        };
        self.judge_rows(
            &self.all_rows_of(position),
            |row| row.applies,
            differ,
            self.catalog.show("position", position),
        );
    }

    fn judge_operation_rows(&self, operation: &Key) {
        let as_set = |keys: &[Key]| keys.iter().cloned().collect::<BTreeSet<Key>>();
        let same_uses = |one: &OperationRow, other: &OperationRow| {
            let within = |some: &OperationRow, all: &OperationRow| {
                some.uses.iter().all(|(part, amount)| {
                    all.uses.iter().any(|(other_part, other_amount)| {
                        part == other_part
                            && match (amount, other_amount) {
                                (None, None) => true,
                                (Some(one), Some(other)) => one.is_as_much_as(other),
                                _ => false,
                            }
                    })
                })
            };
            within(one, other) && within(other, one)
        };
        let differ = |one: &OperationRow, other: &OperationRow| {
            as_set(&one.needs) != as_set(&other.needs)
                || as_set(&one.opens) != as_set(&other.opens)
                || as_set(&one.removes) != as_set(&other.removes)
                || !same_uses(one, other)
        };
        self.judge_rows(
            &self.all_rows_of_operation(operation),
            |row| row.applies,
            differ,
            self.catalog.show("operation", operation),
        );
    }

    fn judge_rows<Row>(
        &self,
        rows: &[&Row],
        applies: impl Fn(&Row) -> Applies,
        differ: impl Fn(&Row, &Row) -> bool,
        subject: String,
    ) {
        let such = |wanted: Applies| -> Vec<&Row> {
            rows.iter().copied().filter(|row| applies(row) == wanted).collect()
        };
        let (yes, unsure) = (such(Applies::Yes), such(Applies::Unsure));
        let Some(first) = yes.first() else {
            if !unsure.is_empty() {
                self.mark("disagree: only unsure rows");
                self.gap("not-settled", subject);
            }
            return;
        };
        if yes.iter().any(|row| differ(first, row)) {
            self.gap("overlap", subject.clone());
        }
        if unsure.iter().any(|row| differ(first, row)) {
            self.mark("disagree: an unsure row differs");
            self.gap("not-settled", subject);
        }
    }

    // ----- The result -----

    /// Operations in strip order.
    fn strip_order(&self, state: &State) -> Vec<Key> {
        let mut waiting: Vec<&OperationRow> = self.planned_operations(state);
        waiting.sort_by_key(|row| {
            self.catalog.operations.iter().position(|any| any.operation == row.operation)
        });
        let mut placed: Vec<Key> = Vec::new();
        while !waiting.is_empty() {
            let is_waiting =
                |operation: &Key| waiting.iter().any(|row| row.operation == *operation);
            let ready = waiting.iter().position(|row| !row.needs.iter().any(is_waiting));
            let next = ready.unwrap_or_else(|| {
                let stuck = waiting
                    .iter()
                    .position(|row| needs_itself(row, &waiting))
                    .expect("where nothing is ready, something needs itself");
                if stuck > 0 {
                    self.mark("operation-cycle: an earlier one only waits for the cycle");
                }
                self.gap(
                    "operation-cycle",
                    self.catalog.show("operation", &waiting[stuck].operation),
                );
                stuck
            });
            placed.push(waiting.remove(next).operation.clone());
        }
        placed
    }

    fn judge_joint(&self, joint: &Key, state: &State) {
        if self.catalog.dry_joints.contains(joint) {
            self.mark("joint: dry");
            return;
        }
        let seals = |part: &Key| {
            self.catalog
                .parts
                .get(part)
                .and_then(|part| self.type_of(part))
                .is_some_and(|of_type| of_type.seals)
        };
        let is_sealed = self.catalog.positions.iter().any(|row| {
            let position = &row.position;
            let current = self.current(position).parts;
            let by_current = current
                .iter()
                .any(|(fitted, _)| matches!(fitted, Fitted::Part(part) if seals(part)));
            let by_target =
                state.target(position).and_then(|target| target.part.as_ref()).is_some_and(seals);
            self.is_in_joint(position, joint) && !current.is_empty() && (by_current || by_target)
        });
        if !is_sealed {
            self.gap("joint-unsealed", self.catalog.show("joint", joint));
        }
    }

    /// The disturbed positions by place, with role and parts.
    fn plan(&self, state: &State) -> Vec<Planned> {
        let mut positions = self.disturbed(state);
        positions.sort_by_key(|position| self.place(position));
        positions
            .into_iter()
            .map(|position| {
                let action = self.action(&position, state);
                let is_renewed = action == Action::Renew;
                let role = if state.named_by_a_job_line.contains(&position) {
                    Role::New
                } else if state.target(&position).is_some() || state.forced.contains(&position) {
                    Role::Companion
                } else {
                    Role::SingleUse
                };
                Planned {
                    action,
                    role: is_renewed.then_some(role),
                    pieces: if is_renewed { self.pieces(&position, state) } else { Vec::new() },
                    covered: Vec::new(),
                    position,
                }
            })
            .collect()
    }

    /// The final parts of a set or of a consumable, with what is wrong with them.
    fn finals_to_buy(&self, part: &Key, typed: &Quantity) -> Vec<(Key, Quantity)> {
        let mut to_buy = Vec::new();
        for last in self.resolve_in_earnest(part).finals {
            match self.catalog.parts.get(&last.part) {
                None => {
                    self.mark("part-unknown: on a number to buy");
                    self.gap("part-unknown", self.catalog.show_part(&last.part));
                }
                Some(part) if part.discontinued => {
                    self.mark("discontinued: on a number to buy");
                    self.gap("discontinued", self.catalog.show_part(&last.part));
                }
                Some(_) => {}
            }
            let quantity = self.in_its_unit(&last.part, typed, last.factor);
            to_buy.push((last.part, quantity));
        }
        to_buy
    }

    /// Comes with.
    fn hand_out_what_comes_along(
        &self,
        sets: &[(Key, Quantity)],
        plan: &mut [Planned],
        state: &State,
    ) {
        for (part, quantity) in sets {
            self.unpack(part, quantity.number, None, std::slice::from_ref(part), plan, state);
        }
        let mut already_provided: BTreeMap<Key, Decimal> = BTreeMap::new();
        for at in 0..plan.len() {
            for piece in 0..plan[at].pieces.len() {
                let provider = &plan[at].pieces[piece];
                let part = provider.part.clone();
                let mut brings = provider.remains;
                if provider.is_set {
                    let provided = already_provided.entry(part.clone()).or_default();
                    if !provided.is_zero() && !brings.is_zero() {
                        self.mark("comes with: a set counts once as a provider");
                    }
                    brings = (brings - *provided).max(Decimal::ZERO);
                    *provided += brings;
                }
                self.unpack(&part, brings, Some(at), std::slice::from_ref(&part), plan, state);
            }
        }
    }

    fn unpack(
        &self,
        part: &Key,
        how_many: Decimal,
        provider: Option<usize>,
        inside: &[Key],
        plan: &mut [Planned],
        state: &State,
    ) {
        if how_many.is_zero() {
            return;
        }
        for row in self.catalog.contains.iter().filter(|row| row.part == *part) {
            if inside.contains(&row.contains) {
                self.mark("comes with: a part never inside itself");
                continue;
            }
            let quantity =
                Quantity { number: row.quantity.number * how_many, unit: row.quantity.unit };
            self.hand_out(row, &quantity, provider, plan, state);
            if inside.len() > 1 {
                self.mark("comes with: nested");
            }
            let mut deeper = inside.to_vec();
            deeper.push(row.contains.clone());
            self.unpack(&row.contains, quantity.number, provider, &deeper, plan, state);
        }
    }

    fn hand_out(
        &self,
        row: &ContainsRow,
        quantity: &Quantity,
        provider: Option<usize>,
        plan: &mut [Planned],
        state: &State,
    ) {
        let mut left = quantity.clone();
        for (at, planned) in plan.iter_mut().enumerate() {
            if Some(at) == provider || state.named_by_a_job_line.contains(&planned.position) {
                continue;
            }
            if row.position.as_ref().is_some_and(|position| *position != planned.position) {
                continue;
            }
            for piece in &mut planned.pieces {
                if row.position.is_none() && !piece.resolved.is_free(&row.contains) {
                    if piece.resolved.chain.contains(&row.contains) {
                        self.mark("comes with: on the chain but not free");
                    }
                    continue;
                }
                let Some(available) = left.number_in(piece.quantity.unit) else {
                    continue;
                };
                let given = available.min(piece.remains);
                if given.is_zero() {
                    continue;
                }
                self.mark(match &row.position {
                    Some(_) if row.contains != piece.part => {
                        "comes with: to a named position under another number"
                    }
                    Some(_) => "comes with: to a named position",
                    None if row.contains != piece.part => "comes with: an earlier number, free",
                    None => "comes with: by number",
                });
                if given < piece.remains {
                    self.mark("comes with: covers in part");
                }
                if piece.is_set {
                    self.mark("comes with: covers a set");
                }
                if provider.is_none() {
                    self.mark("comes with: from a set to buy");
                }
                piece.remains -= given;
                left = Quantity { number: available - given, unit: piece.quantity.unit };
                match planned.covered.iter_mut().find(|(by, _)| *by == row.part) {
                    Some((_, sum)) => *sum += given,
                    None => planned.covered.push((row.part.clone(), given)),
                }
            }
        }
    }

    /// Lines: what remains per final part and unit.
    fn lines(&self, sets: &[(Key, Quantity)], plan: &[Planned], state: &State) -> Vec<Line> {
        let mut lines: Vec<Line> = Vec::new();
        let mut add = |part: &Key, quantity: &Quantity, role: Role, positions: &[Key]| {
            let line =
                lines.iter_mut().find(|line| line.part == *part && line.unit == quantity.unit);
            match line {
                Some(line) => {
                    line.quantity += quantity.number;
                    line.role = line.role.min(role);
                    line.positions.extend(positions.iter().cloned());
                }
                None => lines.push(Line {
                    part: part.clone(),
                    unit: quantity.unit,
                    quantity: quantity.number,
                    role,
                    positions: positions.to_vec(),
                }),
            }
        };
        for (part, quantity) in sets {
            add(part, quantity, Role::New, &[]);
        }
        let mut largest_of_set: BTreeMap<(Key, &'static str), Decimal> = BTreeMap::new();
        for planned in plan {
            let Some(role) = planned.role else { continue };
            for piece in planned.pieces.iter().filter(|piece| !piece.remains.is_zero()) {
                let mut quantity = Quantity { number: piece.remains, unit: piece.quantity.unit };
                if piece.is_set {
                    // Only what goes beyond the largest remainder so far is added.
                    let largest =
                        largest_of_set.entry((piece.part.clone(), quantity.unit)).or_default();
                    if !largest.is_zero() {
                        self.mark("set: several positions share one");
                    }
                    quantity.number = (piece.remains - *largest).max(Decimal::ZERO);
                    *largest += quantity.number;
                }
                add(&piece.part, &quantity, role, std::slice::from_ref(&planned.position));
            }
        }
        for row in self.planned_operations(state) {
            for (part, amount) in &row.uses {
                match amount {
                    Some(amount) => {
                        for (part, quantity) in self.finals_to_buy(part, amount) {
                            add(&part, &quantity, Role::Consumable, &[]);
                        }
                    }
                    None => {
                        self.mark("uses: as needed");
                        for (part, _) in self.finals_to_buy(part, &Quantity::each(Decimal::ZERO)) {
                            let unit_of_part =
                                self.catalog.parts.get(&part).and_then(|part| part.unit);
                            let none = Quantity {
                                number: Decimal::ZERO,
                                unit: unit_of_part.unwrap_or("each"),
                            };
                            add(&part, &none, Role::Consumable, &[]);
                        }
                    }
                }
            }
        }
        for line in &mut lines {
            line.positions.sort_by_key(|position| self.place(position));
            line.positions.dedup();
        }
        lines.sort_by_key(|line| (line.part.clone(), line.unit));
        lines
    }

    fn kit(&self, ask: &Ask, machine: &Machine) -> Result<Value, String> {
        let mut state = self.start(ask)?;
        self.rounds(&mut state);

        for target in state.targets.iter().filter(|target| target.of_a_job_line) {
            if let Some(part) = &target.part {
                if state.called_for.contains(&(target.position.clone(), part.clone())) {
                    self.mark("fit: called for by a needs as well");
                    continue;
                }
                self.judge_fit(&target.position, part);
            }
        }
        for position in self.disturbed(&state) {
            self.judge_position_rows(&position);
        }
        for operation in &state.operations {
            self.judge_operation_rows(operation);
        }
        let operations = self.strip_order(&state);
        let joints = self.opened_joints(&state);
        for joint in &joints {
            self.judge_joint(joint, &state);
        }
        let sets: Vec<(Key, Quantity)> = state
            .sets
            .iter()
            .flat_map(|(part, quantity)| self.finals_to_buy(part, quantity))
            .collect();
        let mut plan = self.plan(&state);
        self.hand_out_what_comes_along(&sets, &mut plan, &state);
        let lines = self.lines(&sets, &plan, &state);

        let catalog = &self.catalog;
        let gaps = self.gaps.borrow();
        let shown_positions = |positions: &[Key]| -> Vec<String> {
            positions.iter().map(|position| catalog.show("position", position)).collect()
        };
        Ok(json!({
            "machine": machine.shown,
            "jobs": ask.jobs.iter().map(|job| catalog.show("job", &key(job))).collect::<Vec<_>>(),
            "options": ask.options,
            "complete": gaps.is_empty(),
            "operations": operations.iter().map(|operation| json!({
                "operation": catalog.show("operation", operation),
            })).collect::<Vec<_>>(),
            "joints": joints.iter().map(|joint| catalog.show("joint", joint)).collect::<Vec<_>>(),
            "positions": plan.iter().map(|planned| json!({
                "position": catalog.show("position", &planned.position),
                "action": planned.action.word(),
                "role": planned.role.map(Role::word),
                "current": self.shown_current(&planned.position),
                "parts": planned.pieces.iter().map(|piece| json!({
                    "part": catalog.show_part(&piece.part),
                    "quantity": number(piece.quantity.number),
                    "unit": piece.quantity.unit,
                    "chain": piece.resolved.chain.iter().map(|part| catalog.show_part(part)).collect::<Vec<_>>(),
                })).collect::<Vec<_>>(),
                "covered": planned.covered.iter().map(|(by, quantity)| json!({
                    "by": catalog.show_part(by),
                    "quantity": number(*quantity),
                })).collect::<Vec<_>>(),
            })).collect::<Vec<_>>(),
            "lines": lines.iter().map(|line| json!({
                "part": catalog.show_part(&line.part),
                "quantity": number(line.quantity),
                "unit": line.unit,
                "role": line.role.word(),
                "positions": shown_positions(&line.positions),
            })).collect::<Vec<_>>(),
            "gaps": gaps.iter().map(|(kind, subject)| json!({
                "kind": kind,
                "subject": subject,
            })).collect::<Vec<_>>(),
        }))
    }

    fn shown_current(&self, position: &Key) -> Option<String> {
        let parts = self.current(position).parts;
        if parts.is_empty() {
            return None;
        }
        let shown: Vec<String> = parts
            .iter()
            .map(|(fitted, _)| match fitted {
                Fitted::Part(part) => self.catalog.show_part(part),
                _ => String::new(),
            })
            .collect();
        Some(shown.join(";"))
    }
}

fn option_holds(option: &str, chosen: &[String]) -> bool {
    let is_chosen = |name: &str| chosen.iter().any(|option| key(option) == key(name));
    match key(option).strip_prefix("not ") {
        Some(name) => !is_chosen(name),
        None => option.is_empty() || is_chosen(option),
    }
}

fn add_operation(operation: &Key, state: &mut State) {
    if !state.operations.contains(operation) {
        state.operations.push(operation.clone());
    }
}

/// Whether an operation needs itself, directly or through others still waiting.
fn needs_itself(row: &OperationRow, waiting: &[&OperationRow]) -> bool {
    let mut reached: BTreeSet<&Key> = BTreeSet::new();
    let mut ahead: Vec<&Key> = row.needs.iter().collect();
    while let Some(need) = ahead.pop() {
        let Some(needed) = waiting.iter().find(|row| row.operation == *need) else {
            continue;
        };
        if reached.insert(need) {
            ahead.extend(&needed.needs);
        }
    }
    reached.contains(&row.operation)
}

/// A whole number as an integer, any other as the nearest float.
fn number(exact: Decimal) -> Value {
    let exact = exact.normalize();
    match i64::try_from(exact) {
        Ok(whole) if exact.is_integer() => json!(whole),
        _ => json!(exact.to_string().parse::<f64>().unwrap()),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Tables as a person would type them: a name, a header, rows; `|` stands between cells.
    fn catalog(tables: &[(&str, &str)]) -> Tables {
        let mut catalog = Tables::new();
        let common = [
            (
                "machines",
                "machine | model | year | serial | traits\nold hand | alder | 2000 | B2500 | EU",
            ),
            (
                "types",
                "type | also_called | when_disturbed | seals\nring | round seal | renew | yes\nbolt | | keep |",
            ),
            ("jobs", "job\nreseal"),
        ];
        for (table, text) in common.iter().chain(tables) {
            let mut lines = text.lines();
            let header: Vec<&str> = lines.next().unwrap().split('|').map(str::trim).collect();
            let rows = lines.map(|line| {
                let cells = line.split('|').map(|cell| cell.trim().to_string());
                header.iter().map(|column| (*column).to_string()).zip(cells).collect()
            });
            catalog.entry((*table).to_string()).or_default().extend(rows);
        }
        catalog
    }

    fn kit_with(tables: &[(&str, &str)], options: &[&str]) -> Value {
        let ask = Ask {
            machine: "OLD HAND".into(),
            jobs: vec!["Reseal".into()],
            options: options.iter().map(|option| (*option).to_string()).collect(),
        };
        solve(&catalog(tables), &ask).unwrap()
    }

    fn kit(tables: &[(&str, &str)]) -> Value {
        kit_with(tables, &[])
    }

    fn gaps(kit: &Value) -> Vec<String> {
        let gap = |gap: &Value| {
            format!("{} {}", gap["kind"].as_str().unwrap(), gap["subject"].as_str().unwrap())
        };
        kit["gaps"].as_array().unwrap().iter().map(gap).collect()
    }

    /// `part quantity role` of each line.
    fn lines(kit: &Value) -> Vec<String> {
        let line = |line: &Value| {
            format!(
                "{} {} {} {}",
                line["part"].as_str().unwrap(),
                line["quantity"],
                line["unit"].as_str().unwrap(),
                line["role"].as_str().unwrap()
            )
        };
        kit["lines"].as_array().unwrap().iter().map(line).collect()
    }

    fn position<'a>(kit: &'a Value, position: &str) -> &'a Value {
        let positions = kit["positions"].as_array().unwrap();
        positions.iter().find(|row| row["position"] == position).unwrap()
    }

    fn resolved(supersessions: &str, part: &str) -> (Vec<String>, Vec<Gap>) {
        let tables = catalog(&[("supersessions", supersessions)]);
        let machine = Machine::find(&tables, "old hand").unwrap();
        let solver = Solver {
            catalog: Catalog::read(&tables, &machine),
            gaps: RefCell::default(),
            marks: RefCell::default(),
        };
        let resolved = solver.resolve(&part_key(part));
        let finals = resolved
            .finals
            .iter()
            .map(|last| format!("{} {}", last.chain.join(">"), last.factor.normalize()))
            .collect();
        (finals, resolved.gaps)
    }

    #[test]
    fn an_excluded_limit_outweighs_one_that_cannot_be_judged() {
        let tables = catalog(&[]);
        let mut machine = Machine::find(&tables, "old hand").unwrap();
        let row = |cells: &[(&str, &str)]| -> Row {
            cells.iter().map(|(c, t)| ((*c).to_string(), (*t).to_string())).collect()
        };
        assert_eq!(machine.scope(&row(&[])), Applies::Yes);
        assert_eq!(machine.scope(&row(&[("years", "1998; 2000-")])), Applies::Yes);
        assert_eq!(machine.scope(&row(&[("years", "-1999")])), Applies::No);
        assert_eq!(machine.scope(&row(&[("serials", "-B2500")])), Applies::Yes);
        assert_eq!(machine.scope(&row(&[("serials", "B2501-")])), Applies::No);
        assert_eq!(machine.scope(&row(&[("serials", "0G1-0G9")])), Applies::Unsure);
        assert_eq!(machine.scope(&row(&[("serials", "0G1-"), ("model", "birch")])), Applies::No);
        assert_eq!(machine.scope(&row(&[("only", "eu; not carb")])), Applies::Yes);
        assert_eq!(machine.scope(&row(&[("only", "not EU")])), Applies::No);
        machine.traits.clear();
        assert_eq!(machine.scope(&row(&[("only", "not EU")])), Applies::Unsure);
        machine.year = None;
        assert_eq!(machine.scope(&row(&[("years", "-1999")])), Applies::Unsure);
    }

    #[test]
    fn the_prefix_of_a_serial_is_what_stands_before_the_last_digits() {
        assert_eq!(prefix_and_number("0G123456"), ("0g".into(), 123_456));
        assert_eq!(prefix_and_number("2500"), (String::new(), 2500));
    }

    #[test]
    fn part_numbers_compare_without_case_and_punctuation() {
        assert_eq!(part_key("ab-1 0.2/3"), part_key("AB1023"));
    }

    #[test]
    fn units_of_one_kind_convert() {
        let quantity = Quantity::read("0.35 L").unwrap();
        assert!(quantity.is_as_much_as(&Quantity::read("350ml").unwrap()));
        assert!(quantity.number_in("kg").is_none());
        assert_eq!(Quantity::read("3").unwrap().unit, "each");
    }

    #[test]
    fn quantities_multiply_along_the_chain() {
        let (finals, gaps) = resolved("old | new | quantity\na | b | 2\nb | c | 0.5", "A");
        assert_eq!(finals, ["a>b>c 1"]);
        assert!(gaps.is_empty());
    }

    #[test]
    fn an_unsure_replacement_is_not_followed_and_named() {
        let (finals, gaps) = resolved("old | new | serials\na | b |\nb | c | Z1-Z9", "a");
        assert_eq!(finals, ["a>b 1"]);
        assert_eq!(gaps, [("not-settled", "b".to_string())]);
    }

    #[test]
    fn the_narrowest_replacement_wins_then_the_latest_then_the_first() {
        let narrow = "old | new | since | model\na | b | 2009-01-01 |\na | c | | alder";
        assert_eq!(resolved(narrow, "a"), (vec!["a>c 1".to_string()], vec![]));
        let late = "old | new | since\na | b |\na | c | 2001";
        assert_eq!(resolved(late, "a"), (vec!["a>c 1".to_string()], vec![]));
        let tie = "old | new | since\na | b | 2001\na | c | 2001";
        let (finals, gaps) = resolved(tie, "a");
        assert_eq!(finals, ["a>b 1"]);
        assert_eq!(gaps, [("choice", "a".to_string())]);
    }

    #[test]
    fn a_group_counts_with_its_narrowest_row() {
        let rows = "old | new | together | model | since\na | b | pair | | \na | d | | | 2020\na | c | PAIR | alder |";
        assert_eq!(resolved(rows, "a").0, ["a>b 1", "a>c 1"]);
    }

    #[test]
    fn a_loop_ends_before_the_repeat_and_is_named_by_its_beginning() {
        let (finals, gaps) = resolved("old | new\na | b\nb | a", "a");
        assert_eq!(finals, ["a>b 1"]);
        assert_eq!(gaps, [("supersession-cycle", "a".to_string())]);
        assert_eq!(resolved("old | new\na | a", "a").0, ["a 1"]);
    }

    #[test]
    fn a_group_that_repeats_twice_ends_once_and_the_others_go_on() {
        let rows = "old | new | together | quantity\na | b | | 3\nb | c | |\nc | a | g | 5\nc | b | g |\nc | d | g | 2";
        let (finals, gaps) = resolved(rows, "a");
        assert_eq!(finals, ["a>b>c 3", "a>b>c>d 6"]);
        assert_eq!(gaps.len(), 2);
        assert!(gaps.iter().all(|gap| *gap == ("supersession-cycle", "a".to_string())));
    }

    #[test]
    fn a_part_that_stays_in_its_group_is_a_final_part() {
        let (finals, gaps) = resolved("old | new | together\na | a | g\na | b | g", "a");
        assert_eq!(finals, ["a 1", "a>b 1"]);
        assert!(gaps.is_empty());
    }

    const ONE_RING: &[(&str, &str)] = &[
        ("parts", "part | type | single_use | status | unit\nR-1 | ring\nR-2 | ring\nB-1 | bolt"),
        (
            "positions",
            "position | part | quantity | joint\nport ring | R1 | 2 | port\nport bolt | B-1 | 4 | port",
        ),
        ("operations", "operation | opens\nopen port | port"),
        ("job_lines", "job | operation\nreseal | open port"),
    ];

    fn more<'a>(tables: &[(&'a str, &'a str)]) -> Vec<(&'a str, &'a str)> {
        ONE_RING.iter().copied().chain(tables.iter().copied()).collect()
    }

    #[test]
    fn opening_a_joint_renews_what_is_single_use_and_keeps_the_rest() {
        let kit = kit(ONE_RING);
        assert_eq!(gaps(&kit), [""; 0]);
        assert_eq!(kit["complete"], true);
        assert_eq!(lines(&kit), ["R-1 2 each single-use"]);
        assert_eq!(position(&kit, "port bolt")["action"], "keep");
        assert_eq!(position(&kit, "port bolt")["role"], Value::Null);
        assert_eq!(kit["joints"], json!(["port"]));
    }

    #[test]
    fn the_latest_date_in_the_log_says_what_is_fitted_row_by_row() {
        let kit = kit(&more(&[(
            "worklog",
            "date | machine | position | part | quantity\n\
             | old hand | port ring | R-1 |\n\
             2010 | Old Hand | Port Ring | r 2 | 1\n\
             2010 | old hand | port ring | R-1 |\n\
             2011 | old hand | port ring | |\n\
             2012 | neighbour | port ring | - |",
        )]));
        assert_eq!(position(&kit, "port ring")["current"], "R-2;R-1");
        assert_eq!(lines(&kit), ["R-1 2 each single-use", "R-2 1 each single-use"]);
    }

    #[test]
    fn what_was_taken_out_for_good_is_not_disturbed_and_leaves_the_joint_unsealed() {
        let kit = kit(&more(&[(
            "worklog",
            "date | machine | position | part\n2010 | old hand | port ring | -\n2010 | old hand | port ring | R-1",
        )]));
        assert_eq!(kit["positions"].as_array().unwrap().len(), 1);
        assert_eq!(gaps(&kit), ["joint-unsealed port"]);
    }

    #[test]
    fn a_dry_joint_needs_no_seal() {
        let kit = kit(&more(&[
            ("joints", "joint | dry\nport | yes"),
            ("worklog", "date | machine | position | part\n2010 | old hand | port ring | -"),
        ]));
        assert_eq!(gaps(&kit), [""; 0]);
    }

    #[test]
    fn rows_that_disagree_are_named_unless_the_log_settles_the_position() {
        let overlapping = more(&[(
            "positions",
            "position | part | quantity | joint | serials\nport ring | R-2 | 2 | port |\nport bolt | B-1 | 3 | port | Z1-",
        )]);
        assert_eq!(gaps(&kit(&overlapping)), ["not-settled port bolt", "overlap port ring"]);
        let mut settled = overlapping.clone();
        settled.push((
            "worklog",
            "date | machine | position | part\n | old hand | port ring | R-1\n | old hand | port bolt | B-1",
        ));
        assert_eq!(gaps(&kit(&settled)), [""; 0]);
    }

    #[test]
    fn what_cannot_be_judged_is_renewed_and_named() {
        let kit = kit(&more(&[
            ("parts", "part | type\nX-1 | doohickey\nY-1 | Round Seal"),
            (
                "positions",
                "position | part | joint\np1 | X-1 | port\np2 | | port\np3 | Y-1 | port\np4 | Q-1 | port",
            ),
        ]));
        assert_eq!(gaps(&kit), ["part-unknown p2", "part-unknown p4", "rule-unknown p1"]);
        for renewed in ["p1", "p2", "p3", "p4"] {
            assert_eq!(position(&kit, renewed)["action"], "renew");
        }
        assert_eq!(position(&kit, "p2")["current"], "");
    }

    #[test]
    fn a_part_not_in_parts_is_judged_as_what_it_became() {
        let kit = kit(&more(&[
            ("positions", "position | part | joint\np1 | Q-1 | port"),
            ("supersessions", "old | new\nQ-1 | B-1"),
        ]));
        assert_eq!(gaps(&kit), [""; 0]);
        assert_eq!(position(&kit, "p1")["action"], "keep");
    }

    #[test]
    fn a_target_must_be_listed_or_declared_to_fit() {
        let line = ("job_lines", "job | position | part\nreseal | port ring | R-2");
        assert_eq!(gaps(&kit(&more(&[line]))), ["fit-unknown port ring"]);
        let declared = ("retrofits", "part | position | verdict\nR-2 | port ring | fits");
        assert_eq!(gaps(&kit(&more(&[line, declared]))), [""; 0]);
        let later = ("supersessions", "old | new\nR-1 | R-2");
        assert_eq!(gaps(&kit(&more(&[line, later]))), [""; 0]);
        let refused = ("retrofits", "part | position | verdict\nR-2 | port ring | no");
        assert_eq!(gaps(&kit(&more(&[line, declared, refused]))), ["does-not-fit port ring"]);
    }

    #[test]
    fn a_retrofit_row_speaks_for_what_replaced_its_part() {
        let kit = kit(&more(&[
            ("job_lines", "job | position | part\nreseal | port ring | R-2"),
            ("supersessions", "old | new\nR-0 | R-2"),
            (
                "retrofits",
                "part | position | verdict | needs | operations\nR-0 | port ring | fits-with | port bolt=B-2*3 | open port; flush",
            ),
            ("operations", "operation\nflush"),
            ("worklog", "date | machine | operation\n2001 | old hand | FLUSH"),
            ("parts", "part | type\nB-2 | bolt"),
        ]));
        assert_eq!(gaps(&kit), [""; 0]);
        assert_eq!(lines(&kit), ["B-2 3 each companion", "R-2 2 each new"]);
        assert_eq!(kit["operations"], json!([{"operation": "open port"}]));
    }

    #[test]
    fn what_a_row_needs_may_be_there_already() {
        let kit = kit(&more(&[
            (
                "supersessions",
                "old | new | needs\nR-1 | R-2 | port bolt=B-0; port ring 9=-\nB-0 | B-1 |",
            ),
            ("positions", "position | part\nport ring 9 | -"),
        ]));
        assert_eq!(gaps(&kit), [""; 0]);
        assert_eq!(position(&kit, "port bolt")["action"], "keep");
        assert_eq!(lines(&kit), ["R-2 2 each single-use"]);
    }

    #[test]
    fn two_targets_of_one_chain_agree_and_others_conflict() {
        let lines_of = (
            "job_lines",
            "job | position | part\nreseal | port ring | R-1\nreseal | port ring | R-2",
        );
        assert!(gaps(&kit(&more(&[lines_of]))).contains(&"conflict port ring".to_string()));
        let chain = ("supersessions", "old | new\nR-1 | R-2");
        assert_eq!(gaps(&kit(&more(&[lines_of, chain]))), [""; 0]);
    }

    #[test]
    fn a_position_is_not_both_renewed_and_left_empty() {
        let kit = kit(&more(&[(
            "job_lines",
            "job | position | part\nreseal | port ring | -\nreseal | port ring |",
        )]));
        assert_eq!(gaps(&kit), ["conflict port ring"]);
        assert_eq!(position(&kit, "port ring")["action"], "leave-out");
    }

    #[test]
    fn an_option_may_be_asked_for_or_ruled_out() {
        let rows = more(&[(
            "job_lines",
            "job | option | position\nreseal | Winter | port bolt\nreseal | not winter | port ring",
        )]);
        assert_eq!(lines(&kit(&rows)), ["R-1 2 each new"]);
        assert_eq!(
            lines(&kit_with(&rows, &["winter"])),
            ["B-1 4 each new", "R-1 2 each single-use"]
        );
    }

    #[test]
    fn a_cycle_is_broken_at_the_earliest_that_needs_itself() {
        let kit = kit(&[
            ("operations", "operation | needs\nwaits | one\none | two\ntwo | one\nown | own"),
            ("job_lines", "job | operation\nreseal | waits\nreseal | own"),
        ]);
        assert_eq!(gaps(&kit), ["operation-cycle one", "operation-cycle own"]);
        let order: Vec<&str> = kit["operations"]
            .as_array()
            .unwrap()
            .iter()
            .map(|row| row["operation"].as_str().unwrap())
            .collect();
        assert_eq!(order, ["one", "waits", "two", "own"]);
    }

    #[test]
    fn a_need_that_this_machine_does_not_have_is_skipped_but_an_unwritten_one_is_named() {
        let kit = kit(&[
            ("operations", "operation | needs | model\nopen | lift; phantom |\nlift | | birch"),
            ("job_lines", "job | operation\nreseal | open"),
        ]);
        assert_eq!(gaps(&kit), ["operation-unknown phantom"]);
    }

    #[test]
    fn a_set_is_bought_once_for_all_that_name_it() {
        let kit = kit(&more(&[
            ("parts", "part | type\nS-1 | ring"),
            (
                "positions",
                "position | part | quantity | joint\np1 | S-1 | set | port\np2 | S-1 | set | port\np3 | S-1 | 2 | port",
            ),
        ]));
        assert_eq!(lines(&kit), ["R-1 2 each single-use", "S-1 3 each single-use"]);
    }

    #[test]
    fn what_comes_with_a_part_is_not_ordered_again() {
        let kit = kit(&more(&[
            ("parts", "part | type\nK-1 | bolt\nK-2 | bolt\nR-3 | ring"),
            ("positions", "position | part | joint\np1 | R-3 | port"),
            ("job_lines", "job | part | quantity\nreseal | K-1 | 1"),
            (
                "contains",
                "part | contains | quantity | position\nK-1 | K-2 | 1 |\nK-2 | R-1 | 1 |\nK-2 | R-2 | 5 | p1\nK-2 | K-1 | 1 |",
            ),
        ]));
        assert_eq!(gaps(&kit), [""; 0]);
        assert_eq!(lines(&kit), ["K-1 1 each new", "R-1 1 each single-use"]);
        assert_eq!(position(&kit, "p1")["covered"], json!([{"by": "K-2", "quantity": 1}]));
    }

    #[test]
    fn an_earlier_number_in_the_box_serves_only_if_nothing_more_is_needed_to_fit_the_later_one() {
        let boxed = [
            ("job_lines", "job | part\nreseal | K-1"),
            ("parts", "part | type\nK-1 | bolt"),
            ("contains", "part | contains | quantity\nK-1 | R-1 | 2"),
        ];
        let free = [("supersessions", "old | new\nR-1 | R-2")];
        let bound = [("supersessions", "old | new | needs\nR-1 | R-2 | port bolt")];
        let with_free: Vec<_> = boxed.iter().chain(&free).copied().collect();
        let with_bound: Vec<_> = boxed.iter().chain(&bound).copied().collect();
        assert_eq!(lines(&kit(&more(&with_free))), ["K-1 1 each new"]);
        assert_eq!(
            lines(&kit(&more(&with_bound))),
            ["B-1 4 each companion", "K-1 1 each new", "R-2 2 each single-use"]
        );
    }

    #[test]
    fn consumables_add_up_in_the_unit_of_the_part() {
        let kit = kit(&[
            ("parts", "part | type | unit | status\nOIL | | L |\nGOO | | | discontinued"),
            (
                "operations",
                "operation | uses\nfill | oil=350 ml; goo=as-needed\ntop up | OIL=0.15 L; tape=1 m",
            ),
            ("job_lines", "job | operation\nreseal | fill\nreseal | top up"),
        ]);
        assert_eq!(
            lines(&kit),
            ["GOO 0 each consumable", "OIL 0.5 L consumable", "tape 1 m consumable"]
        );
        assert_eq!(gaps(&kit), ["discontinued GOO", "part-unknown tape"]);
    }

    #[test]
    fn a_job_that_does_not_apply_is_refused() {
        let tables = catalog(&[("jobs", "job | model\nrepower | birch")]);
        let ask = |machine: &str, job: &str| Ask {
            machine: machine.into(),
            jobs: vec![job.into()],
            options: Vec::new(),
        };
        assert!(solve(&tables, &ask("old hand", "reseal")).is_ok());
        assert!(solve(&tables, &ask("old hand", "repower")).is_err());
        assert!(solve(&tables, &ask("old hand", "nothing")).is_err());
        assert!(solve(&tables, &ask("nobody's", "reseal")).is_err());
    }

    #[test]
    fn only_a_name_that_no_table_and_no_log_knows_is_an_unknown_position() {
        let kit = kit(&more(&[
            ("operations", "operation | removes\nstrip | stay; ghost; theirs"),
            ("job_lines", "job | operation\nreseal | strip"),
            (
                "worklog",
                "date | machine | position | part\n | old hand | stay | B-1\n | neighbour | theirs | B-1",
            ),
        ]));
        assert_eq!(gaps(&kit), ["position-unknown ghost"]);
        assert_eq!(position(&kit, "stay")["action"], "keep");
    }
}
