//! What is known of one machine: what sits where, what was done, and which rows speak for it.

use crate::catalog::{
    Applies, At, Fitted, LogEntry, Lookup, Machine, Operation, Part, PartType, PlaceQuantity,
    Position, Scoped, rows_for,
};
use crate::measure::{Key, LogDate, PartNumber, Quantity};
use std::cell::{OnceCell, RefCell};
use std::collections::{HashMap, HashSet};
use std::rc::Rc;

/// A machine and the catalog that speaks of it.
pub struct Bench<'a> {
    /// The catalog.
    pub lookup: &'a dyn Lookup,
    /// The machine.
    pub machine: Machine,
    /// The counting log rows of each position, those of the latest date.
    log: HashMap<Key, Vec<LogEntry>>,
    /// The operations that the log names as done.
    done: HashSet<Key>,
    /// The traits of all machines, once they were asked for.
    carried: OnceCell<HashSet<Key>>,
    places: RefCell<HashMap<Key, Rc<Place>>>,
    steps: RefCell<HashMap<Key, Rc<Step>>>,
}

/// A position as one machine has it.
#[derive(Debug)]
pub struct Place {
    /// The position, spelled as its first row does.
    pub position: Key,
    /// Its rows of any scope.
    pub rows: Vec<Position>,
    /// Whether the rows that speak for the machine surely do.
    pub applies: Applies,
    /// The rows that speak for the machine.
    pub speaking: Vec<Position>,
    /// What sits there.
    pub current: Current,
}

/// What sits at a position.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Current {
    /// Each part that sits there; empty where nothing does.
    pub parts: Vec<Sitting>,
    /// The log says so, rather than the table of positions.
    pub logged: bool,
    /// The log says so, or a row that surely applies.
    pub sure: bool,
}

/// A part that sits at a position.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Sitting {
    /// The part; `None` where nobody has looked it up.
    pub part: Option<PartNumber>,
    /// How many were logged.
    pub quantity: Option<Quantity>,
    /// The row that says so.
    pub at: At,
}

/// An operation as one machine has it.
#[derive(Debug)]
pub struct Step {
    /// Its rows of any scope.
    pub rows: Vec<Operation>,
    /// Whether the rows that speak for the machine surely do.
    pub applies: Applies,
    /// The rows that speak for the machine; the first is used.
    pub speaking: Vec<Operation>,
}

impl Place {
    /// Gives the row whose joints, way in, quantity and rule count: the first that speaks, else the first of any scope.
    pub fn row(&self) -> Option<&Position> {
        self.speaking.first().or(self.rows.first())
    }

    /// Something sits there.
    pub fn is_on_machine(&self) -> bool {
        !self.current.parts.is_empty()
    }

    /// Orders positions by the place of their first row; those without one come last, by key.
    pub fn order(&self) -> (bool, At, Key) {
        let first = self.rows.first();
        (first.is_none(), first.map_or(At::default(), |row| row.at), self.position.clone())
    }

    /// Gives how many the position takes; one where nothing is said.
    pub fn quantity(&self) -> PlaceQuantity {
        self.row().and_then(|row| row.quantity).unwrap_or(PlaceQuantity::Amount(Quantity::ONE))
    }
}

impl Step {
    /// Gives the row that is used; `None` where no row speaks for the machine.
    pub fn row(&self) -> Option<&Operation> {
        self.speaking.first()
    }
}

impl<'a> Bench<'a> {
    /// Gathers what the log says of a machine.
    pub fn new(machine: Machine, lookup: &'a dyn Lookup) -> Self {
        let mut log: HashMap<Key, Vec<LogEntry>> = HashMap::new();
        let mut done = HashSet::new();
        for entry in lookup.log_of(&machine.machine).iter() {
            if let Some(operation) = &entry.operation {
                done.insert(operation.clone());
            }
            let (Some(position), false) = (&entry.position, entry.part == Fitted::Blank) else {
                continue;
            };
            let latest = log.entry(position.clone()).or_default();
            let date = |entries: &[LogEntry]| {
                entries.first().map_or_else(LogDate::default, |entry| entry.date.clone())
            };
            if latest.is_empty() || entry.date > date(latest) {
                *latest = vec![entry.clone()];
            } else if entry.date == date(latest) {
                latest.push(entry.clone());
            }
        }
        Bench {
            lookup,
            machine,
            log,
            done,
            carried: OnceCell::new(),
            places: RefCell::default(),
            steps: RefCell::default(),
        }
    }

    /// Gives a position as the machine has it.
    pub fn place(&self, position: &Key) -> Rc<Place> {
        if let Some(place) = self.places.borrow().get(position) {
            return Rc::clone(place);
        }
        let rows = self.lookup.positions(position).into_owned();
        let (applies, speaking) = rows_for(&rows, &self.machine);
        let speaking: Vec<Position> = speaking.into_iter().cloned().collect();
        let current = match self.log.get(position) {
            Some(entries) => logged(entries),
            None => Current {
                parts: speaking.first().map_or_else(Vec::new, |row| match &row.part {
                    Fitted::Nothing => Vec::new(),
                    part => {
                        vec![Sitting { part: part.part().cloned(), quantity: None, at: row.at }]
                    }
                }),
                logged: false,
                sure: applies == Applies::Yes,
            },
        };
        let spelled = rows.first().map_or_else(|| position.clone(), |row| row.position.clone());
        let place = Rc::new(Place { position: spelled, rows, applies, speaking, current });
        self.places.borrow_mut().insert(position.clone(), Rc::clone(&place));
        place
    }

    /// Gives an operation as the machine has it.
    pub fn step(&self, operation: &Key) -> Rc<Step> {
        if let Some(step) = self.steps.borrow().get(operation) {
            return Rc::clone(step);
        }
        let rows = self.lookup.operations(operation).into_owned();
        let (applies, speaking) = rows_for(&rows, &self.machine);
        let speaking = speaking.into_iter().cloned().collect();
        let step = Rc::new(Step { rows, applies, speaking });
        self.steps.borrow_mut().insert(operation.clone(), Rc::clone(&step));
        step
    }

    /// Says what must be filled in so that rows which may apply or not can be judged.
    pub fn missing<R: Scoped>(&self, rows: &[R]) -> String {
        let machine = &self.machine;
        let unsure = || {
            rows.iter().map(Scoped::scope).filter(|scope| scope.applies(machine) == Applies::Unsure)
        };
        let mut cells = Vec::new();
        if machine.year.is_none() && unsure().any(|scope| scope.years.is_some()) {
            cells.push("year");
        }
        if machine.serial.serial.is_none() && unsure().any(|scope| scope.serials.is_some()) {
            cells.push("serial");
        }
        if machine.traits.is_empty() && unsure().any(|scope| !scope.only.is_empty()) {
            cells.push("traits");
        }
        if cells.is_empty() {
            let mut limits: Vec<String> = unsure()
                .filter_map(|scope| scope.serials.as_ref())
                .map(|serials| format!("`{serials}`"))
                .collect();
            limits.dedup();
            return format!(
                "the serial {} has another prefix than the row's limits, {}, so they cannot be compared; correct the limits or the serial",
                machine.serial.text,
                limits.join(" and ")
            );
        }
        format!("fill in the {} of {} in the table machines", cells.join(" and "), machine.machine)
    }

    /// The log names the operation as done.
    pub fn is_done(&self, operation: &Key) -> bool {
        self.done.contains(operation)
    }

    /// Gives the latest date on which the log names what sits at a position, or that nothing does.
    pub fn last_logged(&self, position: &Key) -> Option<&LogDate> {
        self.log.get(position)?.first().map(|entry| &entry.date)
    }

    /// Any machine of the catalog has the trait.
    pub fn is_carried(&self, name: &Key) -> bool {
        let carried = || {
            let keys = self.lookup.machine_keys();
            let machines = keys.iter().filter_map(|key| self.lookup.machine(key));
            machines.flat_map(|machine| machine.traits.clone()).collect()
        };
        self.carried.get_or_init(carried).contains(name)
    }

    /// The part is of a type that seals.
    pub fn seals(&self, part: &PartNumber) -> bool {
        let part_type = self.lookup.part(part).and_then(|part| self.part_type(&part));
        part_type.is_some_and(|part_type| part_type.seals == Some(crate::catalog::Seals::Yes))
    }

    /// Gives the type of a part that is in the table parts.
    pub fn part_type(&self, part: &Part) -> Option<PartType> {
        Some(self.lookup.part_type(part.part_type.as_ref()?)?.into_owned())
    }
}

fn logged(entries: &[LogEntry]) -> Current {
    let taken_out = entries.iter().any(|entry| entry.part == Fitted::Nothing);
    let parts = entries
        .iter()
        .filter(|_| !taken_out)
        .map(|entry| Sitting {
            part: entry.part.part().cloned(),
            quantity: entry.quantity,
            at: entry.at,
        })
        .collect();
    Current { parts, logged: true, sure: true }
}
