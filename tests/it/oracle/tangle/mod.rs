//! Random small catalogs, tangled on purpose: everything in them is invented, and the pools are so small that
//! rows collide. One seed names one catalog for good.
//!
//! It must not know how a kit is worked out. It only knows what a person may type, and keeps away from what
//! the page on kits does not settle:
//! - a part or key that no table of its own lists is always spelled alike;
//! - measured parts (fluids, hose) and counted parts never replace one another or share a position, and where a
//!   measured part lacks a unit of its own, all amounts are typed in one unit;
//! - list cells of operations come without repeats;
//! - one group never says twice that the old part stays, and never leads twice to one new part, unless the rows are equal;
//! - a job is asked for once, every option asked for is named by some line of the jobs, and all rows of a job name one assembly.
//!
//! Some catalogs are well kept, so that their kits have few gaps: `disorder` says how much may be missing or at odds.

#[cfg(test)]
mod counts;
mod goods;
mod history;
mod jobs;
mod limits;
mod places;
mod spoil;

use super::naive::{Ask, Row, Tables};
use limits::Facts;
use rand::{Rng, SeedableRng};
use rand_chacha::ChaCha8Rng;
use std::collections::BTreeMap;

/// A random small catalog that can be read throughout, and something to ask of it.
pub fn tangle(seed: u64) -> (Tables, Ask) {
    let bench = Bench::written(seed);
    (bench.tables, bench.asked)
}

/// As [`tangle`], with some cells that cannot be read in every third catalog.
pub fn tangle_and_spoil(seed: u64) -> (Tables, Ask) {
    let mut bench = Bench::written(seed);
    if bench.often(0.33) {
        bench.spoil();
    }
    (bench.tables, bench.asked)
}

const MODELS: [&str; 3] = ["alder", "birch", "cedar"];
/// A model that the machine never is.
const OTHER_MODEL: &str = "dogwood";
const ASSEMBLIES: [&str; 2] = ["leg", "head"];
const JOBS_ASSEMBLIES: [&str; 5] = ["", "", "", "leg", "head"];
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
/// No row of its own, but an entry in the log, where an operation takes it off.
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
    asked: Ask,
    /// How much may be missing, unsure or at odds: 0 is a well-kept catalog.
    disorder: f64,
    models: Vec<&'static str>,
    /// What is known of the machine (blank name), and of its assemblies that have a row of their own.
    facts: BTreeMap<&'static str, Facts>,
    counted: Vec<Number>,
    measured: Vec<Number>,
    measured_units: (&'static str, &'static str),
    /// Every measured part has a unit of its own, so amounts may be typed in either.
    measured_parts_have_units: bool,
    measured_positions_have_units: bool,
    positions: Vec<&'static str>,
    fills: Vec<&'static str>,
    assembly_of: BTreeMap<&'static str, &'static str>,
    operations: Vec<&'static str>,
    /// Operations, and the joints that they must open for somebody to get at a position.
    opened_by: Vec<(&'static str, &'static str)>,
    removes_the_logged_position: bool,
    joints: Vec<&'static str>,
    listed_joints: Vec<&'static str>,
    jobs: Vec<&'static str>,
    /// What the job lines want to fit, so that retrofit rows have something to say.
    wanted: Vec<(&'static str, String)>,
    /// What somebody said to look at first.
    to_look_at: Vec<(&'static str, String)>,
    /// Options, each with a job that has a line asking about it.
    options_named: Vec<(&'static str, &'static str)>,
}

fn row(cells: &[(&str, &str)]) -> Row {
    cells
        .iter()
        .filter(|(_, text)| !text.is_empty())
        .map(|(column, text)| ((*column).to_string(), (*text).to_string()))
        .collect()
}

impl Bench {
    fn written(seed: u64) -> Bench {
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
        bench.write_selections();
        bench.write_worklog();
        bench.asked = bench.ask();
        bench
    }

    fn new(seed: u64) -> Bench {
        let mut chance = ChaCha8Rng::seed_from_u64(seed);
        let disorders = [0.0, 0.0, 0.04, 0.15, 0.4, 0.8];
        let disorder = disorders[chance.random_range(0..disorders.len())];
        let models = MODELS[..chance.random_range(1..=3)].to_vec();
        let units = [("L", "ml"), ("kg", "g"), ("m", "mm")];
        Bench {
            models,
            facts: BTreeMap::new(),
            counted: Vec::new(),
            measured: Vec::new(),
            measured_units: units[chance.random_range(0..units.len())],
            measured_parts_have_units: chance.random_bool(0.7),
            measured_positions_have_units: chance.random_bool(0.7),
            positions: POSITIONS[..chance.random_range(4..=POSITIONS.len())].to_vec(),
            fills: FILLS[..chance.random_range(0..=FILLS.len())].to_vec(),
            assembly_of: BTreeMap::new(),
            operations: OPERATIONS[..chance.random_range(3..=OPERATIONS.len())].to_vec(),
            opened_by: Vec::new(),
            removes_the_logged_position: false,
            joints: JOINTS[..chance.random_range(2..=JOINTS.len())].to_vec(),
            listed_joints: Vec::new(),
            jobs: JOBS[..chance.random_range(1..=JOBS.len())].to_vec(),
            wanted: Vec::new(),
            to_look_at: Vec::new(),
            options_named: Vec::new(),
            chance,
            disorder,
            tables: Tables::new(),
            asked: Ask { machine: String::new(), jobs: Vec::new(), options: Vec::new() },
        }
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

    fn chance_below(&mut self, limit: usize) -> usize {
        self.chance.random_range(0..limit)
    }

    fn one_of<T: Copy>(&mut self, pool: &[T]) -> T {
        pool[self.chance.random_range(0..pool.len())]
    }

    fn one_of_these<T: Clone>(&mut self, pool: &[T]) -> T {
        pool[self.chance.random_range(0..pool.len())].clone()
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

    fn everywhere(&self) -> Vec<&'static str> {
        self.positions.iter().chain(&self.fills).copied().collect()
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

    // ----- Machines -----

    /// What is known of the machine as the assembly has it.
    fn facts_of(&self, assembly: &str) -> Facts {
        self.facts.get(assembly).unwrap_or(&self.facts[""]).clone()
    }

    fn write_machines(&mut self) {
        for model in self.models.clone().into_iter().chain([OTHER_MODEL]) {
            self.put("models", row(&[("model", model)]));
        }
        let known = 1.0 - 0.4 * self.disorder;
        let own = self.facts(known);
        let model = self.spell(own.model);
        let year = own.year.map_or(String::new(), |year| year.to_string());
        self.put(
            "machines",
            row(&[
                ("machine", MACHINE),
                ("model", &model),
                ("year", &year),
                ("serial", &own.serial_text()),
                ("traits", &own.traits.join("; ")),
            ]),
        );
        self.put("machines", row(&[("machine", NEIGHBOUR), ("model", OTHER_MODEL)]));
        self.facts.insert("", own.clone());
        for assembly in ASSEMBLIES {
            if self.often(0.35) {
                self.write_assembly(assembly, &own, known);
            }
        }
    }

    /// An assembly with a serial of its own, or from another machine; what is blank is the machine's, as far as that can be.
    fn write_assembly(&mut self, assembly: &'static str, own: &Facts, known: f64) {
        let other = self.facts(known);
        let has_model = self.often(0.4);
        let has_year = self.often(if has_model { known } else { 0.4 });
        let has_serial = self.often(if has_model || has_year { known } else { 0.6 });
        let has_traits = self.often(0.3);
        let facts = Facts {
            model: if has_model { other.model } else { own.model },
            year: if has_year || has_model { other.year.filter(|_| has_year) } else { own.year },
            serial: if has_serial || has_model || has_year {
                other.serial.filter(|_| has_serial)
            } else {
                own.serial
            },
            traits: if has_traits && !other.traits.is_empty() {
                other.traits.clone()
            } else {
                own.traits.clone()
            },
        };
        let machine = self.spell(MACHINE);
        let spelled = self.spell(assembly);
        let model = if has_model { self.spell(other.model) } else { String::new() };
        let year = other.year.filter(|_| has_year).map_or(String::new(), |year| year.to_string());
        let serial = if has_serial { other.serial_text() } else { String::new() };
        let traits = if has_traits { other.traits.join("; ") } else { String::new() };
        self.put(
            "assemblies",
            row(&[
                ("machine", &machine),
                ("assembly", &spelled),
                ("model", &model),
                ("year", &year),
                ("serial", &serial),
                ("traits", &traits),
            ]),
        );
        self.facts.insert(assembly, facts);
    }
}

/// A part number without what does not count when numbers compare.
fn bare(part: &str) -> String {
    part.chars().filter(char::is_ascii_alphanumeric).collect::<String>().to_lowercase()
}
