//! Random small catalogs, tangled on purpose: everything in them is invented, and the pools are so small that
//! rows collide. One seed names one catalog for good.
//!
//! It must not know how a kit is worked out. It only knows what a person may type, and keeps away from what
//! the page on kits does not settle:
//! - a part or key that no table of its own lists is always spelled alike;
//! - measured parts (fluids, hose) and counted parts never replace one another or share a position, and where a
//!   measured part lacks a unit of its own, all amounts are typed in one unit;
//! - list cells of operations come in one order, without repeats, so that a mere reordering is no difference;
//! - one group never says twice that the old part stays, and never leads twice to one new part;
//! - a job is asked for once, and every option asked for is named by some line.

use super::naive::{Ask, Row, Tables};
use rand::seq::IndexedRandom;
use rand::{Rng, SeedableRng};
use rand_chacha::ChaCha8Rng;

/// A random small catalog and something to ask of it.
pub fn tangle(seed: u64) -> (Tables, Ask) {
    let mut bench = Bench::new(seed);
    bench.write_machines();
    bench.write_types();
    bench.write_parts();
    bench.write_joints();
    bench.write_positions();
    bench.write_operations();
    bench.write_supersessions();
    bench.write_jobs();
    bench.write_retrofits();
    bench.write_contains();
    bench.write_worklog();
    let ask = bench.ask();
    (bench.tables, ask)
}

const MODELS: [&str; 3] = ["alder", "birch", "cedar"];
/// A model that the machine never is.
const OTHER_MODEL: &str = "dogwood";
const TRAITS: [&str; 3] = ["EU", "long-shaft", "carb"];
const JOINTS: [&str; 4] = ["cover joint", "sump joint", "port joint", "head joint"];
const POSITIONS: [&str; 10] = [
    "cover gasket",
    "port ring",
    "drain washer",
    "sump seal",
    "cover screw",
    "head clip",
    "feed hose",
    "filter",
    "bracket",
    "pump",
];
/// Two positions that hold something measured.
const FILLS: [&str; 2] = ["sump fill", "bleed line"];
const OPERATIONS: [&str; 6] =
    ["drain", "open cover", "pull pump", "lift head", "set aside", "unbolt"];
const JOBS: [&str; 3] = ["reseal", "repower", "service"];
const OPTIONS: [&str; 2] = ["winter", "tropics"];
/// Never a row of its own.
const UNLISTED_POSITION: &str = "ghost plug";
/// No row of its own, but an entry in the log.
const LOGGED_POSITION: &str = "old stay";
const UNLISTED_OPERATION: &str = "phantom step";
const NEIGHBOUR: &str = "neighbour";
const MACHINE: &str = "old hand";

/// A number that may be replaced, listed or not, counted or measured.
#[derive(Clone)]
struct Number {
    text: String,
    is_listed: bool,
}

struct Bench {
    chance: ChaCha8Rng,
    tables: Tables,
    /// How much may be missing, unsure or at odds: 0 is a well-kept catalog.
    disorder: f64,
    model: &'static str,
    models: Vec<&'static str>,
    year: Option<i32>,
    serial: Option<(&'static str, i64)>,
    traits: Vec<&'static str>,
    counted: Vec<Number>,
    measured: Vec<Number>,
    measured_units: (&'static str, &'static str),
    /// Every measured part has a unit of its own, so amounts may be typed in either.
    measured_parts_have_units: bool,
    measured_positions_have_units: bool,
    positions: Vec<&'static str>,
    fills: Vec<&'static str>,
    operations: Vec<&'static str>,
    joints: Vec<&'static str>,
    listed_joints: Vec<&'static str>,
    jobs: Vec<&'static str>,
    /// What the job lines want to fit, so that retrofit rows have something to say.
    wanted: Vec<(&'static str, String)>,
    options_named: Vec<&'static str>,
}

fn row(cells: &[(&str, &str)]) -> Row {
    cells
        .iter()
        .filter(|(_, text)| !text.is_empty())
        .map(|(column, text)| ((*column).to_string(), (*text).to_string()))
        .collect()
}

impl Bench {
    fn new(seed: u64) -> Bench {
        let mut chance = ChaCha8Rng::seed_from_u64(seed);
        let disorder = *[0.0, 0.0, 0.04, 0.15, 0.4, 0.8].choose(&mut chance).unwrap_or(&0.0);
        let known = 1.0 - 0.4 * disorder;
        let models = MODELS[..chance.random_range(1..=3)].to_vec();
        let units =
            *[("L", "ml"), ("kg", "g"), ("m", "mm")].choose(&mut chance).unwrap_or(&("L", "ml"));
        let mut bench = Bench {
            model: models[chance.random_range(0..models.len())],
            models,
            year: chance.random_bool(known).then(|| chance.random_range(1996..=2006)),
            serial: chance.random_bool(known).then(|| {
                (["B", "0G", ""][chance.random_range(0..3)], chance.random_range(2000..=3000))
            }),
            traits: Vec::new(),
            counted: Vec::new(),
            measured: Vec::new(),
            measured_units: units,
            measured_parts_have_units: chance.random_bool(0.7),
            measured_positions_have_units: chance.random_bool(0.7),
            positions: POSITIONS[..chance.random_range(4..=POSITIONS.len())].to_vec(),
            fills: FILLS[..chance.random_range(0..=FILLS.len())].to_vec(),
            operations: OPERATIONS[..chance.random_range(3..=OPERATIONS.len())].to_vec(),
            joints: JOINTS[..chance.random_range(2..=JOINTS.len())].to_vec(),
            listed_joints: Vec::new(),
            jobs: JOBS[..chance.random_range(1..=JOBS.len())].to_vec(),
            wanted: Vec::new(),
            options_named: Vec::new(),
            chance,
            disorder,
            tables: Tables::new(),
        };
        if bench.chance.random_bool(known) {
            let held = bench.chance.random_range(1..=2);
            bench.traits = bench.some_of(&TRAITS, held);
        }
        bench
    }

    // ----- Chance -----

    fn often(&mut self, probability: f64) -> bool {
        self.chance.random_bool(probability.clamp(0.0, 1.0))
    }

    /// True in a share of cases that grows with the disorder of the catalog.
    fn slip(&mut self, at_worst: f64) -> bool {
        let probability = at_worst * self.disorder;
        self.often(probability)
    }

    fn number(&mut self, from: i64, to: i64) -> i64 {
        self.chance.random_range(from..=to)
    }

    fn one_of<T: Copy>(&mut self, pool: &[T]) -> T {
        pool[self.chance.random_range(0..pool.len())]
    }

    /// Some of a pool, in the pool's order.
    fn some_of<T: Copy>(&mut self, pool: &[T], how_many: usize) -> Vec<T> {
        let mut at =
            rand::seq::index::sample(&mut self.chance, pool.len(), how_many.min(pool.len()))
                .into_vec();
        at.sort_unstable();
        at.into_iter().map(|at| pool[at]).collect()
    }

    fn put(&mut self, table: &str, row: Row) {
        self.tables.entry(table.to_string()).or_default().push(row);
    }

    // ----- Spelling, as different days have it -----

    fn spell(&mut self, key: &str) -> String {
        match self.number(0, 9) {
            0 => key.to_uppercase(),
            1 => {
                let mut letters = key.chars();
                letters
                    .next()
                    .map(|first| first.to_uppercase().chain(letters).collect())
                    .unwrap_or_default()
            }
            _ => key.to_string(),
        }
    }

    fn spell_position(&mut self, position: &str) -> String {
        if position == UNLISTED_POSITION || position == LOGGED_POSITION {
            position.to_string()
        } else {
            self.spell(position)
        }
    }

    fn spell_operation(&mut self, operation: &str) -> String {
        if operation == UNLISTED_OPERATION { operation.to_string() } else { self.spell(operation) }
    }

    fn spell_joint(&mut self, joint: &str) -> String {
        if self.listed_joints.contains(&joint) { self.spell(joint) } else { joint.to_string() }
    }

    fn spell_part(&mut self, number: &Number) -> String {
        if !number.is_listed {
            return number.text.clone();
        }
        match self.number(0, 9) {
            0 => number.text.to_lowercase(),
            1 => number.text.replace('-', ""),
            2 => number.text.replace('-', " "),
            3 => number.text.replace('-', "."),
            4 => number.text.replace('-', "/"),
            _ => number.text.clone(),
        }
    }

    // ----- Scope -----

    /// Fills scope columns of a row, most of them so that they hold for the machine.
    fn scope(&mut self, mut row: Row, probability: f64) -> Row {
        if !self.often(probability) {
            return row;
        }
        let holds = 0.85 - 0.15 * self.disorder;
        let columns = if self.often(0.25) { 2 } else { 1 };
        let weights = ["model", "model", "years", "years", "serials", "only"];
        for _ in 0..columns {
            let column = self.one_of(&weights);
            let inside = self.often(holds);
            let text = match column {
                "model" => self.model_limit(inside),
                "years" => self.year_limit(inside),
                "serials" => self.serial_limit(inside),
                _ => self.trait_limit(inside),
            };
            row.insert(column.to_string(), text);
        }
        row
    }

    fn model_limit(&mut self, inside: bool) -> String {
        let model = self.model;
        let other = self.one_of(&self.models.clone());
        let models = match (inside, self.often(0.3)) {
            (true, false) => vec![model],
            (true, true) => vec![other, model],
            (false, _) if other == model => vec![OTHER_MODEL],
            (false, _) => vec![other, OTHER_MODEL],
        };
        let spelled: Vec<String> = models.into_iter().map(|model| self.spell(model)).collect();
        spelled.join("; ")
    }

    fn year_limit(&mut self, inside: bool) -> String {
        let year = self.year.unwrap_or(2001);
        let form = self.number(0, 4);
        match (inside, form) {
            (true, 0) => format!("{year}"),
            (true, 1) => format!("{}-{}", year - 2, year),
            (true, 2) => format!("{year}-"),
            (true, 3) => format!("-{year}"),
            (true, _) => format!("1971; {}-{}", year, year + 3),
            (false, 0) => format!("{}", year + 1),
            (false, 1) => format!("{}-{}", year - 5, year - 1),
            (false, 2) => format!("{}-", year + 1),
            (false, 3) => format!("-{}", year - 1),
            (false, _) => format!("-{}; {}-", year - 1, year + 1),
        }
    }

    fn serial_limit(&mut self, inside: bool) -> String {
        let (prefix, number) = self.serial.unwrap_or(("B", 2500));
        // Another prefix cannot be compared.
        let prefix = if self.slip(0.5) { "Z9X" } else { prefix };
        let form = self.number(0, 3);
        match (inside, form) {
            (true, 0) => format!("{prefix}{}-{prefix}{}", number - 400, number),
            (true, 1) => format!("{prefix}{number}-"),
            (true, 2) => format!("-{prefix}{number}"),
            (true, _) => format!("{prefix}{number}"),
            (false, 0) => format!("{prefix}{}-{prefix}{}", number - 900, number - 1),
            (false, 1) => format!("{prefix}{}-", number + 1),
            (false, 2) => format!("-{prefix}{}", number - 1),
            (false, _) => format!("{prefix}{}", number + 7),
        }
    }

    fn trait_limit(&mut self, inside: bool) -> String {
        let how_many = if self.often(0.3) { 2 } else { 1 };
        let chosen = self.some_of(&TRAITS, how_many);
        let fails_at = if inside { chosen.len() } else { 0 };
        let mut items = Vec::new();
        for (at, of_machine) in chosen.into_iter().enumerate() {
            let has = self.traits.contains(&of_machine);
            let spelled = self.spell(of_machine);
            items.push(if has == (at != fails_at) { spelled } else { format!("not {spelled}") });
        }
        items.join(";")
    }

    // ----- What a person writes -----

    fn write_machines(&mut self) {
        for model in self.models.clone().into_iter().chain([OTHER_MODEL]) {
            self.put("models", row(&[("model", model)]));
        }
        let model = self.spell(self.model);
        let year = self.year.map_or(String::new(), |year| year.to_string());
        let serial =
            self.serial.map_or(String::new(), |(prefix, number)| format!("{prefix}{number}"));
        let traits = self.traits.join("; ");
        self.put(
            "machines",
            row(&[
                ("machine", MACHINE),
                ("model", &model),
                ("year", &year),
                ("serial", &serial),
                ("traits", &traits),
            ]),
        );
        self.put("machines", row(&[("machine", NEIGHBOUR), ("model", OTHER_MODEL)]));
    }

    fn write_types(&mut self) {
        let rows = [
            ("bench gasket", "paper seal; flat gasket", "renew", "yes"),
            ("bench ring", "round seal", "renew", "yes"),
            ("bench washer", "", "renew", ""),
            ("bench hose", "", "inspect", "no"),
            ("bench bolt", "fixing", "keep", ""),
            ("bench casting", "fixing; flat gasket", "keep", "no"),
            // A type that nobody has given a rule.
            ("bench oddment", "", "", ""),
        ];
        for (name, also_called, when_disturbed, seals) in rows {
            self.put(
                "types",
                row(&[
                    ("type", name),
                    ("also_called", also_called),
                    ("when_disturbed", when_disturbed),
                    ("seals", seals),
                ]),
            );
        }
    }

    fn write_parts(&mut self) {
        let how_many = self.number(6, 12);
        for at in 0..how_many {
            let prefix = self.one_of(&["AB", "CD", "K"]);
            let is_listed = !self.slip(0.2);
            self.counted.push(Number { text: format!("{prefix}-{}", 101 + at), is_listed });
        }
        let how_many = self.number(1, 3);
        for at in 0..how_many {
            let is_listed = !self.slip(0.2) || self.measured_parts_have_units;
            self.measured.push(Number { text: format!("OIL-{}", 10 * (at + 1)), is_listed });
        }
        for number in self.counted.clone().into_iter().filter(|number| number.is_listed) {
            let mut kind = self.one_of(&[
                "bench gasket",
                "bench gasket",
                "bench ring",
                "bench ring",
                "bench washer",
                "bench hose",
                "bench bolt",
                "bench casting",
                "paper seal",
                "flat gasket",
                "fixing",
            ]);
            if self.slip(0.25) {
                kind = self.one_of(&["", "bench oddment", "doohickey"]);
            }
            let kind = self.spell(kind);
            let single_use = self.one_of(&["", "", "", "", "yes", "no"]);
            let unit = self.one_of(&["", "", "each"]);
            let status =
                if self.slip(0.25) { "discontinued" } else { self.one_of(&["", "available"]) };
            self.put(
                "parts",
                row(&[
                    ("part", &number.text),
                    ("type", &kind),
                    ("single_use", single_use),
                    ("unit", unit),
                    ("status", status),
                ]),
            );
        }
        let own_unit = if self.measured_parts_have_units && self.often(0.4) {
            self.measured_units.1
        } else {
            self.measured_units.0
        };
        for number in self.measured.clone().into_iter().filter(|number| number.is_listed) {
            let unit =
                if self.measured_parts_have_units || self.often(0.5) { own_unit } else { "" };
            let single_use = self.one_of(&["yes", "yes", "no", ""]);
            let status = if self.slip(0.2) { "discontinued" } else { "" };
            self.put(
                "parts",
                row(&[
                    ("part", &number.text),
                    ("type", "bench washer"),
                    ("single_use", single_use),
                    ("unit", unit),
                    ("status", status),
                ]),
            );
        }
    }

    fn write_joints(&mut self) {
        for joint in self.joints.clone() {
            if self.often(0.5) {
                self.listed_joints.push(joint);
                let dry = self.one_of(&["yes", "no", ""]);
                self.put("joints", row(&[("joint", joint), ("dry", dry)]));
            }
        }
    }

    /// A part that may sit at a position: counted or measured, as the position holds.
    fn number_for(&mut self, position: &str) -> Number {
        let pool =
            if FILLS.contains(&position) { self.measured.clone() } else { self.counted.clone() };
        pool[self.chance.random_range(0..pool.len())].clone()
    }

    fn part_for(&mut self, position: &str) -> String {
        let number = self.number_for(position);
        self.spell_part(&number)
    }

    /// Like `part_for`, but mostly one that seals.
    fn sealing_part(&mut self) -> String {
        let sealing: Vec<Number> = self
            .counted
            .iter()
            .filter(|number| {
                self.tables.get("parts").is_some_and(|parts| {
                    parts.iter().any(|part| {
                        part.get("part") == Some(&number.text)
                            && part.get("type").is_some_and(|kind| {
                                ["bench gasket", "bench ring"]
                                    .contains(&kind.to_lowercase().as_str())
                            })
                    })
                })
            })
            .cloned()
            .collect();
        match sealing.len() {
            0 => self.part_for("bracket"),
            some => {
                let at = self.chance.random_range(0..some);
                self.spell_part(&sealing[at])
            }
        }
    }

    fn amount(&mut self) -> String {
        let (large, small) = self.measured_units;
        let (in_large, in_small) = self.one_of(&[
            ("0.35", "350"),
            ("0.5", "500"),
            ("1.2", "1200"),
            ("4", "4000"),
            ("0.05", "50"),
        ]);
        if self.measured_parts_have_units && self.often(0.5) {
            format!("{in_small} {small}")
        } else if self.often(0.3) {
            format!("{in_large}{large}")
        } else {
            format!("{in_large} {large}")
        }
    }

    fn quantity_for(&mut self, position: &str) -> String {
        if FILLS.contains(&position) {
            if self.measured_positions_have_units || self.often(0.5) {
                self.amount()
            } else {
                "2".to_string()
            }
        } else {
            self.one_of(&["", "", "", "1", "2", "3", "4 each", "set", "set"]).to_string()
        }
    }

    fn write_positions(&mut self) {
        let everywhere: Vec<&'static str> =
            self.positions.iter().chain(&self.fills).copied().collect();
        let mut first_rows = Vec::new();
        let mut later_rows = Vec::new();
        for (at, position) in everywhere.into_iter().enumerate() {
            let mut rows = 1;
            while rows < 3 && self.often(0.15 + 0.25 * self.disorder) {
                rows += 1;
            }
            let joints = self.joints.clone();
            let mut joint = match joints.get(at) {
                Some(joint) => vec![*joint],
                None if self.often(0.5) => vec![self.one_of(&joints)],
                None => Vec::new(),
            };
            if self.often(0.1) {
                joint = self.some_of(&joints, 2);
            }
            let reached_by = if self.often(0.2) { self.operation_or_slip() } else { String::new() };
            let common_part = if at < joints.len() && !self.slip(0.5) {
                self.sealing_part()
            } else {
                self.part_for(position)
            };
            let common_quantity = self.quantity_for(position);
            for which in 0..rows {
                let differs = which > 0 && self.often(0.3 + 0.3 * self.disorder);
                let mut part = if differs { self.part_for(position) } else { common_part.clone() };
                if self.often(0.03) {
                    part = "-".to_string();
                }
                if self.slip(0.12) {
                    part = String::new();
                }
                let quantity = if differs && self.often(0.5) {
                    self.quantity_for(position)
                } else {
                    common_quantity.clone()
                };
                let joint = if which == 0 || self.often(0.8) {
                    joint.clone()
                } else {
                    self.some_of(&joints, 1)
                };
                let joint: Vec<String> =
                    joint.into_iter().map(|joint| self.spell_joint(joint)).collect();
                let when_disturbed = if self.often(0.25) {
                    self.one_of(&["renew", "renew", "inspect", "keep"])
                } else {
                    ""
                };
                let spelled = if which == 0 { position.to_string() } else { self.spell(position) };
                let cells = row(&[
                    ("position", &spelled),
                    ("part", &part),
                    ("quantity", &quantity),
                    ("joint", &joint.join(";")),
                    ("reached_by", &reached_by),
                    ("when_disturbed", when_disturbed),
                ]);
                let probability =
                    if rows > 1 { 0.5 + 0.2 * self.disorder } else { 0.1 + 0.3 * self.disorder };
                let scoped = self.scope(cells, probability);
                if which == 0 {
                    first_rows.push(scoped);
                } else {
                    later_rows.push(scoped);
                }
            }
        }
        // Some people write a position's rows together, some come back to it at the end.
        for row in first_rows.into_iter().chain(later_rows) {
            self.put("positions", row);
        }
    }

    fn operation_or_slip(&mut self) -> String {
        if self.slip(0.1) {
            return UNLISTED_OPERATION.to_string();
        }
        let operation = self.one_of(&self.operations.clone());
        self.spell_operation(operation)
    }

    fn write_operations(&mut self) {
        let operations = self.operations.clone();
        let mut later_rows = Vec::new();
        for (at, operation) in operations.iter().enumerate() {
            let rows = if self.often(0.1 + 0.2 * self.disorder) { 2 } else { 1 };
            let mut first: Option<Row> = None;
            for _ in 0..rows {
                let again = first.clone().filter(|_| self.often(0.6 - 0.3 * self.disorder));
                let cells = match again {
                    Some(mut again) => {
                        for scope in ["model", "years", "serials", "only"] {
                            again.remove(scope);
                        }
                        again
                    }
                    None => self.operation_cells(at, operation),
                };
                let probability = if rows > 1 { 0.6 } else { 0.05 + 0.3 * self.disorder };
                let scoped = self.scope(cells, probability);
                match first {
                    None => {
                        self.put("operations", scoped.clone());
                        first = Some(scoped);
                    }
                    Some(_) => {
                        let spelled = self.spell(operation);
                        let mut scoped = scoped;
                        scoped.insert("operation".to_string(), spelled);
                        later_rows.push(scoped);
                    }
                }
            }
        }
        for row in later_rows {
            self.put("operations", row);
        }
    }

    fn operation_cells(&mut self, at: usize, operation: &str) -> Row {
        let operations = self.operations.clone();
        // In a well-kept catalog only earlier operations are needed, so there is no cycle.
        let may_need: Vec<&'static str> =
            if self.slip(0.6) { operations.clone() } else { operations[..at].to_vec() };
        let how_many = self.one_of(&[0, 1, 1, 2]);
        let mut needs: Vec<String> =
            self.some_of(&may_need, how_many).into_iter().map(str::to_string).collect();
        if self.slip(0.08) {
            needs.push(UNLISTED_OPERATION.to_string());
        }
        let needs: Vec<String> = needs.iter().map(|need| self.spell_operation(need)).collect();

        let how_many = self.one_of(&[0, 1, 1, 2]);
        let joints = self.joints.clone();
        let opens: Vec<String> = self
            .some_of(&joints, how_many)
            .into_iter()
            .map(|joint| self.spell_joint(joint))
            .collect();

        let how_many = self.one_of(&[0, 0, 1, 2]);
        let positions: Vec<&'static str> =
            self.positions.iter().chain(&self.fills).copied().collect();
        let mut removes: Vec<String> = self
            .some_of(&positions, how_many)
            .into_iter()
            .map(|position| self.spell_position(position))
            .collect();
        if self.often(0.06) {
            removes.push(LOGGED_POSITION.to_string());
        }
        if self.slip(0.06) {
            removes.push(UNLISTED_POSITION.to_string());
        }

        let mut uses = Vec::new();
        let measured = self.measured.clone();
        for number in measured {
            if self.often(0.2) {
                let part = self.spell_part(&number);
                // Without a unit of its own there is nothing to say what as-needed is nought of.
                let amount = if self.measured_parts_have_units && self.often(0.3) {
                    "as-needed".to_string()
                } else {
                    self.amount()
                };
                uses.push(format!("{part}={amount}"));
            }
        }
        if self.often(0.15) {
            let number = self.number_for("bracket");
            let part = self.spell_part(&number);
            let amount = self.one_of(&["1", "2", "4 each", "as-needed"]);
            uses.push(format!("{part}={amount}"));
        }
        row(&[
            ("operation", operation),
            ("needs", &needs.join("; ")),
            ("opens", &opens.join(";")),
            ("removes", &removes.join("; ")),
            ("uses", &uses.join("; ")),
        ])
    }

    fn anywhere(&mut self) -> &'static str {
        if self.slip(0.06) {
            return UNLISTED_POSITION;
        }
        if self.often(0.01) || self.slip(0.06) {
            return LOGGED_POSITION;
        }
        let positions: Vec<&'static str> =
            self.positions.iter().chain(&self.positions).chain(&self.fills).copied().collect();
        self.one_of(&positions)
    }

    /// A `needs` cell of a supersession or a retrofit row.
    fn needs_cell(&mut self) -> String {
        let how_many = if self.often(0.25) { 2 } else { 1 };
        let mut items = Vec::new();
        for _ in 0..how_many {
            // Needs crowd on few positions, so that they get in one another's way.
            let position = match self.positions.last() {
                Some(last) if self.chance.random_bool(0.35) => last,
                _ => self.anywhere(),
            };
            let spelled = self.spell_position(position);
            let form = self.number(0, 9);
            items.push(match form {
                0..=2 => spelled,
                3 => {
                    let empty = self.emptied_position().unwrap_or(spelled);
                    format!("{empty}=-")
                }
                4 if !FILLS.contains(&position) => {
                    let part = self.part_for(position);
                    format!("{spelled}={part}*3")
                }
                5..=7 => {
                    // What sits there, or what it became: often it is there already.
                    let part = self.listed_part(position);
                    format!("{spelled}={part}")
                }
                _ => {
                    let part = self.part_for(position);
                    format!("{spelled} = {part}")
                }
            });
        }
        items.join("; ")
    }

    /// A position that some row says is empty, now and then.
    fn emptied_position(&mut self) -> Option<String> {
        if self.often(0.5) {
            return None;
        }
        self.tables
            .get("positions")
            .into_iter()
            .flatten()
            .find(|row| row.get("part").is_some_and(|part| part == "-"))
            .and_then(|row| row.get("position").cloned())
    }

    /// The part that some row of a position lists, else any.
    fn listed_part(&mut self, position: &str) -> String {
        let parts: Vec<String> = self
            .tables
            .get("positions")
            .into_iter()
            .flatten()
            .filter(|row| row.get("position").is_some_and(|of| of.to_lowercase() == position))
            .filter_map(|row| row.get("part").cloned())
            .filter(|part| part != "-")
            .collect();
        match parts.len() {
            0 => self.part_for(position),
            some => parts[self.chance.random_range(0..some)].clone(),
        }
    }

    fn write_supersessions(&mut self) {
        let pools = [self.counted.clone(), self.measured.clone()];
        for pool in pools {
            let most = if pool.len() > 4 { 8 } else { 2 };
            let how_many = self.number(0, most);
            for _ in 0..how_many {
                let old = self.chance.random_range(0..pool.len());
                if self.often(0.3) {
                    self.write_group(&pool, old);
                    continue;
                }
                let Some(new) = self.later_number(&pool, old) else {
                    continue;
                };
                self.write_supersession(&pool[old], &pool[new], "");
            }
        }
    }

    /// A number further on in the pool, so that there is no loop; any number when things have slipped.
    fn later_number(&mut self, pool: &[Number], old: usize) -> Option<usize> {
        if self.slip(0.5) {
            return Some(self.chance.random_range(0..pool.len()));
        }
        (old + 1 < pool.len()).then(|| self.chance.random_range(old + 1..pool.len()))
    }

    /// The numbers that lead to this one.
    fn earlier_numbers(&self, pool: &[Number], new: usize) -> Vec<usize> {
        let mut earlier: Vec<usize> = vec![new];
        for _ in 0..2 {
            for row in self.tables.get("supersessions").into_iter().flatten() {
                let at = |column: &str| {
                    let part = bare(row.get(column).map_or("", String::as_str));
                    pool.iter().position(|number| bare(&number.text) == part)
                };
                if let (Some(old), Some(led_to)) = (at("old"), at("new"))
                    && earlier.contains(&led_to)
                    && !earlier.contains(&old)
                {
                    earlier.push(old);
                }
            }
        }
        earlier.retain(|at| *at != new);
        earlier
    }

    fn write_group(&mut self, pool: &[Number], old: usize) {
        let together = self.one_of(&["pair", "trio"]);
        let how_many = self.one_of(&[2, 2, 3]);
        let mut new_ones = Vec::new();
        if self.often(0.25) {
            new_ones.push(old);
        }
        for _ in 0..how_many {
            new_ones.extend(self.later_number(pool, old));
        }
        if self.slip(0.6) {
            // A group that leads back to what led here, and on the way there perhaps further back still.
            new_ones.extend(self.earlier_numbers(pool, old));
            let first = usize::from(new_ones.len() > 1);
            new_ones.rotate_right(first);
        }
        // Where an earlier row of this group is there already, nothing is said twice.
        let already: Vec<String> = self
            .tables
            .get("supersessions")
            .into_iter()
            .flatten()
            .filter(|row| row.get("together").is_some_and(|t| t.to_lowercase() == together))
            .filter(|row| row.get("old").is_some_and(|part| bare(part) == bare(&pool[old].text)))
            .filter_map(|row| row.get("new").map(|part| bare(part)))
            .collect();
        let mut said = Vec::new();
        for new in new_ones {
            if said.contains(&new) || already.contains(&bare(&pool[new].text)) {
                continue;
            }
            said.push(new);
            self.write_supersession(&pool[old], &pool[new], together);
        }
    }

    fn write_supersession(&mut self, old: &Number, new: &Number, together: &str) {
        let old = self.spell_part(old);
        let new = self.spell_part(new);
        let together = self.spell(together);
        let quantity = self.one_of(&["", "", "", "1", "2", "0.5"]);
        let since = self.one_of(&["", "", "1998", "2004", "2004-05-09", "2011-02-03"]);
        let needs = if self.often(0.35) { self.needs_cell() } else { String::new() };
        let swap = self.one_of(&["", "one-way", "both-ways"]);
        let cells = row(&[
            ("old", &old),
            ("new", &new),
            ("quantity", quantity),
            ("together", &together),
            ("since", since),
            ("needs", &needs),
            ("swap", swap),
        ]);
        let probability = 0.3 + 0.3 * self.disorder;
        let scoped = self.scope(cells, probability);
        self.put("supersessions", scoped);
    }

    /// What replaced a part, else the part itself.
    fn newer_part(&mut self, part: &str) -> String {
        self.neighbour_on_chain(part, "old", "new")
    }

    /// What a part became, or came from; else the part itself.
    fn neighbour_on_chain(&mut self, part: &str, from: &str, to: &str) -> String {
        let beside: Vec<String> = self
            .tables
            .get("supersessions")
            .into_iter()
            .flatten()
            .filter(|row| row.get(from).is_some_and(|text| bare(text) == bare(part)))
            .filter_map(|row| row.get(to).cloned())
            .collect();
        match beside.len() {
            0 => part.to_string(),
            some => beside[self.chance.random_range(0..some)].clone(),
        }
    }

    fn write_jobs(&mut self) {
        for job in self.jobs.clone() {
            if self.often(0.15) {
                let cells = row(&[("job", job)]);
                let scoped = self.scope(cells, 0.9);
                self.put("jobs", scoped);
                let spelled = self.spell(job);
                let cells = row(&[("job", &spelled)]);
                let scoped = self.scope(cells, 0.6);
                self.put("jobs", scoped);
            } else {
                let probability = 0.04 + 0.15 * self.disorder;
                let cells = row(&[("job", job)]);
                let scoped = self.scope(cells, probability);
                self.put("jobs", scoped);
            }
            let lines = self.number(1, 3);
            for _ in 0..lines {
                self.write_job_line(job);
            }
        }
    }

    fn write_job_line(&mut self, job: &str) {
        let mut cells = Row::new();
        let spelled = self.spell(job);
        cells.insert("job".into(), spelled);
        let form = self.number(0, 19);
        if form <= 7 || form == 19 {
            let operation = self.operation_or_slip();
            cells.insert("operation".into(), operation);
        }
        if form == 18 {
            let number = self.number_for("bracket");
            let part = self.spell_part(&number);
            cells.insert("part".into(), part);
            if self.often(0.4) {
                cells.insert("quantity".into(), "2".into());
            }
        } else if form >= 8 {
            let position = self.anywhere();
            let spelled = self.spell_position(position);
            cells.insert("position".into(), spelled);
            match form {
                // A renewal, and nothing more.
                8..=11 => {}
                12 => {
                    cells.insert("part".into(), "-".into());
                }
                _ => {
                    let listed = self.listed_part(position);
                    let part = match self.number(0, 9) {
                        0..=3 => listed,
                        4..=6 => self.newer_part(&listed),
                        _ => self.part_for(position),
                    };
                    self.wanted.push((position, part.clone()));
                    cells.insert("part".into(), part);
                    if self.often(0.3) {
                        let quantity =
                            if FILLS.contains(&position) { self.amount() } else { "2".to_string() };
                        cells.insert("quantity".into(), quantity);
                    }
                }
            }
        }
        if self.often(0.2) {
            let option = self.one_of(&OPTIONS);
            let spelled = self.spell(option);
            let text = if self.often(0.4) { format!("not {spelled}") } else { spelled };
            if !self.options_named.contains(&option) {
                self.options_named.push(option);
            }
            cells.insert("option".into(), text);
        }
        let probability = 0.05 + 0.25 * self.disorder;
        let scoped = self.scope(cells, probability);
        self.put("job_lines", scoped);
    }

    fn write_retrofits(&mut self) {
        for (position, part) in self.wanted.clone() {
            if self.often(0.6 - 0.3 * self.disorder) {
                self.write_retrofit(position, &part);
            }
            if self.often(0.3) {
                // A row for an earlier number speaks for this one too, where this one has no row of its own.
                let older = self.neighbour_on_chain(&part, "new", "old");
                self.write_retrofit(position, &older);
            }
        }
        let how_many = self.number(0, 5);
        for _ in 0..how_many {
            let position = self.anywhere();
            let listed = self.listed_part(position);
            let part = match self.number(0, 2) {
                0 => listed,
                1 => self.newer_part(&listed),
                _ => self.part_for(position),
            };
            self.write_retrofit(position, &part);
        }
    }

    fn write_retrofit(&mut self, position: &str, part: &str) {
        let position = self.spell_position(position);
        let verdict = if self.often(0.1 + 0.1 * self.disorder) {
            "no"
        } else {
            self.one_of(&["fits", "fits", "fits-with"])
        };
        let needs = if self.often(0.45) { self.needs_cell() } else { String::new() };
        let operations = if self.often(0.4) { self.operation_or_slip() } else { String::new() };
        let cells = row(&[
            ("part", part),
            ("position", &position),
            ("verdict", verdict),
            ("needs", &needs),
            ("operations", &operations),
        ]);
        let probability = 0.15 + 0.35 * self.disorder;
        let scoped = self.scope(cells, probability);
        self.put("retrofits", scoped);
    }

    fn write_contains(&mut self) {
        let how_many = self.number(0, 9);
        for _ in 0..how_many {
            let holder = self.chance.random_range(0..self.counted.len());
            let holder = self.counted[holder].clone();
            let holder_text = self.spell_part(&holder);
            let position = self.anywhere();
            let position = if FILLS.contains(&position) && !self.may_pack_measured() {
                "cover gasket"
            } else {
                position
            };
            let contained =
                if self.often(0.6) { self.listed_part(position) } else { self.part_for(position) };
            let quantity = if FILLS.contains(&position) {
                self.amount()
            } else {
                self.one_of(&["", "", "1", "2", "4"]).to_string()
            };
            let named = if self.often(0.5) { self.spell_position(position) } else { String::new() };
            self.put(
                "contains",
                row(&[
                    ("part", &holder_text),
                    ("contains", &contained),
                    ("quantity", &quantity),
                    ("position", &named),
                ]),
            );
        }
    }

    /// A measured part in a box only satisfies a position that is measured too.
    fn may_pack_measured(&self) -> bool {
        self.measured_positions_have_units
    }

    fn write_worklog(&mut self) {
        let how_many = self.number(0, 7);
        let mut logs_the_old_stay = self.often(0.7);
        for _ in 0..how_many {
            let position = if logs_the_old_stay {
                logs_the_old_stay = false;
                LOGGED_POSITION
            } else {
                let positions: Vec<&'static str> =
                    self.positions.iter().chain(&self.fills).copied().collect();
                self.one_of(&positions)
            };
            let machine = if self.often(0.85) { MACHINE } else { NEIGHBOUR };
            let date = self.one_of(&[
                "",
                "",
                "2001",
                "2001",
                "2001-04-05",
                "2005",
                "2010-01-02",
                "2010-01-02",
            ]);
            let rows = if self.often(0.25) { 2 } else { 1 };
            for _ in 0..rows {
                let part = match self.number(0, 14) {
                    0 => String::new(),
                    1 => "-".to_string(),
                    2..=8 => self.listed_part(position),
                    9..=11 => {
                        let listed = self.listed_part(position);
                        self.newer_part(&listed)
                    }
                    _ => self.part_for(position),
                };
                let quantity = if self.often(0.7) {
                    String::new()
                } else if FILLS.contains(&position) {
                    self.amount()
                } else {
                    self.one_of(&["1", "2", "3"]).to_string()
                };
                self.log(machine, date, position, &part, &quantity);
            }
        }
        if self.often(0.5) {
            let operation = self.one_of(&self.operations.clone());
            let operation = self.spell_operation(operation);
            let machine = if self.often(0.8) { MACHINE } else { NEIGHBOUR };
            let machine = self.spell(machine);
            self.put(
                "worklog",
                row(&[("date", "2009-09-09"), ("machine", &machine), ("operation", &operation)]),
            );
        }
    }

    fn log(&mut self, machine: &str, date: &str, position: &str, part: &str, quantity: &str) {
        let machine = self.spell(machine);
        let position = self.spell_position(position);
        self.put(
            "worklog",
            row(&[
                ("date", date),
                ("machine", &machine),
                ("position", &position),
                ("part", part),
                ("quantity", quantity),
            ]),
        );
    }

    fn ask(&mut self) -> Ask {
        let how_many = self.number(1, self.jobs.len() as i64) as usize;
        let mut jobs = self.some_of(&self.jobs.clone(), how_many);
        if self.often(0.3) {
            jobs.reverse();
        }
        let mut jobs: Vec<String> = jobs.into_iter().map(|job| self.spell(job)).collect();
        if self.often(0.01) {
            jobs.push("a job nobody wrote".into());
        }
        let machine =
            if self.often(0.01) { "a machine nobody has".to_string() } else { self.spell(MACHINE) };
        let named = self.options_named.clone();
        let mut options = Vec::new();
        for option in named {
            if self.often(0.5) {
                options.push(option.to_string());
            }
        }
        Ask { machine, jobs, options }
    }
}

/// A part number without what does not count when numbers compare.
fn bare(part: &str) -> String {
    part.chars().filter(char::is_ascii_alphanumeric).collect::<String>().to_lowercase()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::oracle::naive::{solve, solve_and_mark};
    use std::collections::BTreeSet;

    #[test]
    fn a_seed_names_one_catalog() {
        assert_eq!(tangle(7), tangle(7));
        assert_ne!(tangle(7), tangle(8));
    }

    #[test]
    fn no_key_has_two_rows_where_one_is_all_it_may_have() {
        for seed in 0..500 {
            let (tables, _) = tangle(seed);
            for (table, column) in [
                ("machines", "machine"),
                ("models", "model"),
                ("parts", "part"),
                ("joints", "joint"),
                ("types", "type"),
            ] {
                let rows = tables.get(table).map_or(&[][..], Vec::as_slice);
                let keys: BTreeSet<String> = rows.iter().map(|row| bare(&row[column])).collect();
                assert_eq!(keys.len(), rows.len(), "{table} of seed {seed}");
            }
        }
    }

    #[test]
    fn every_kind_of_gap_turns_up_and_many_kits_are_complete() {
        let mut kinds = BTreeSet::new();
        let (mut complete, mut refused) = (0, 0);
        for seed in 0..2000 {
            let (tables, ask) = tangle(seed);
            match solve(&tables, &ask) {
                Err(_) => refused += 1,
                Ok(kit) => {
                    complete += i32::from(kit["complete"] == true);
                    for gap in kit["gaps"].as_array().unwrap() {
                        kinds.insert(gap["kind"].as_str().unwrap().to_string());
                    }
                }
            }
        }
        assert_eq!(kinds.len(), 14, "{kinds:?}");
        assert!(complete > 300, "{complete} complete");
        assert!((1..200).contains(&refused), "{refused} refused");
    }

    #[test]
    fn the_rare_turns_of_the_page_are_taken() {
        let mut taken = BTreeSet::new();
        for seed in 0..4000 {
            let (tables, ask) = tangle(seed);
            taken.extend(solve_and_mark(&tables, &ask).1);
        }
        for rare in [
            "action: judged as the first final part",
            "comes with: a part never inside itself",
            "comes with: an earlier number, free",
            "comes with: covers a set",
            "comes with: on the chain but not free",
            "conflict: leave empty what is to be renewed",
            "conflict: renew what is to be left empty",
            "fit: every final part does",
            "need: empty already",
            "operation-cycle: an earlier one only waits for the cycle",
            "removes: a position only the log knows",
            "retrofit: operation done already",
            "retrofit: unsure",
            "rounds: 4 or more",
            "supersession: several rows of a group repeat",
            "supersession: the old part stays",
            "target: another part of the same chain",
        ] {
            assert!(taken.contains(rare), "{rare}");
        }
    }

    /// Nothing is lost between the positions and the order: what a part is needed for, less what covers it, is
    /// on its lines, unless a set is shared.
    #[test]
    fn what_is_not_covered_is_ordered() {
        for seed in 0..2000 {
            let (tables, ask) = tangle(seed);
            let shares_sets = tables["positions"]
                .iter()
                .any(|row| row.get("quantity").is_some_and(|quantity| quantity == "set"));
            let Ok(kit) = solve(&tables, &ask) else {
                continue;
            };
            if shares_sets {
                continue;
            }
            for position in kit["positions"].as_array().unwrap() {
                let sum = |of: &str| -> f64 {
                    let items = position[of].as_array().unwrap();
                    items.iter().filter_map(|item| item["quantity"].as_f64()).sum()
                };
                let (needed, covered) = (sum("parts"), sum("covered"));
                assert!(covered <= needed + 1e-9, "seed {seed}: {position}");
                let is_ordered = kit["lines"].as_array().unwrap().iter().any(|line| {
                    line["positions"].as_array().unwrap().contains(&position["position"])
                });
                assert_eq!(is_ordered, covered < needed - 1e-9, "seed {seed}: {position}");
            }
        }
    }
}
