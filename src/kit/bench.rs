//! What is known of one machine: which rows speak for it, what sits where, what was done.

use super::current::{Current, from_log};
use super::supersession::{Resolved, resolve};
use super::words;
use crate::catalog::{
    Applies, Assembly, At, Fitted, LogEntry, Lookup, Machine, Operation, Part, PartType,
    PlaceQuantity, Position, Scoped, Seals, SerialCell, rows_for,
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
    /// The machine as its assemblies without rows of their own have it.
    whole: Rc<Machine>,
    /// The machine as each of its other assemblies has it.
    assemblies: HashMap<Key, Rc<Machine>>,
    /// The log rows of each position that have a part, by date.
    log: HashMap<Key, Vec<LogEntry>>,
    /// The parts of look-first rows that the log confirms at a position.
    confirmed: HashSet<(Key, PartNumber)>,
    /// The operations that the log names as done.
    done: HashSet<Key>,
    /// The traits of all machines, once they were asked for.
    carried: OnceCell<HashSet<Key>>,
    pub(super) called: OnceCell<HashMap<Key, super::current::CalledFor>>,
    places: RefCell<HashMap<Key, Rc<Place>>>,
    steps: RefCell<HashMap<Key, Rc<Step>>>,
    chains: RefCell<HashMap<(usize, PartNumber), Rc<Resolved>>>,
}

/// A position as one machine has it.
#[derive(Debug)]
pub struct Place {
    /// The position, spelled as its first row does.
    pub position: Key,
    /// Its rows of any scope.
    pub rows: Vec<Position>,
    /// The machine as the assembly of the position has it.
    pub machine: Rc<Machine>,
    /// Whether the rows that speak for the machine surely do.
    pub applies: Applies,
    /// The rows that speak for the machine.
    pub speaking: Vec<Position>,
    /// What sits there.
    pub current: Current,
}

/// An operation as one machine has it.
#[derive(Debug)]
pub struct Step {
    /// Its rows of any scope.
    pub rows: Vec<Operation>,
    /// The machine as the assembly of the operation has it.
    pub machine: Rc<Machine>,
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

    /// Gives the part that is listed there for the machine, if one is named.
    pub fn listed(&self) -> Option<&PartNumber> {
        self.speaking.first()?.part.part()
    }

    /// Something sits there.
    pub fn is_on_machine(&self) -> bool {
        !self.current.parts.is_empty()
    }

    /// Orders positions by the place of their first row; those without one come last, by key.
    pub fn order(&self) -> (bool, At, Key) {
        order_of(&self.rows, &self.position)
    }

    /// Gives how many the position takes; one where nothing is said.
    pub fn quantity(&self) -> PlaceQuantity {
        quantity_of(self.row())
    }

    /// Gives how many the position takes, a set counting as one.
    pub fn amount(&self) -> Quantity {
        match self.quantity() {
            PlaceQuantity::Amount(quantity) => quantity,
            PlaceQuantity::Set => Quantity::ONE,
        }
    }

    /// Gives the assembly of the position; blank where it has none.
    pub(crate) fn assembly(&self) -> Key {
        Key::new(self.rows.first().map_or("", |row| &row.assembly))
    }

    /// Gives the operation by which one gets at it; `None` where nothing is said or nothing comes apart.
    pub fn way_in(&self) -> Option<&Key> {
        self.row()?.reached_by.as_ref().filter(|operation| !is_nothing(operation))
    }

    /// Nothing has to come apart to get at it.
    pub(crate) fn is_open(&self) -> bool {
        self.row().and_then(|row| row.reached_by.as_ref()).is_some_and(is_nothing)
    }
}

/// A cell says `-`: nothing.
fn is_nothing(key: &Key) -> bool {
    matches!(key.as_str(), "-" | "–" | "—")
}

fn quantity_of(row: Option<&Position>) -> PlaceQuantity {
    row.and_then(|row| row.quantity).unwrap_or(PlaceQuantity::Amount(Quantity::ONE))
}

fn order_of(rows: &[Position], position: &Key) -> (bool, At, Key) {
    let first = rows.first();
    (first.is_none(), first.map_or(At::default(), |row| row.at), position.clone())
}

impl Step {
    /// Gives the row that is used; `None` where no row speaks for the machine.
    pub fn row(&self) -> Option<&Operation> {
        self.speaking.first()
    }
}

/// The machine as one of its assemblies has it. What is filled in for the assembly stands in for the machine's own; of
/// another model or year the machine's serial says nothing, of another model its year does not either.
fn as_assembly(machine: &Machine, row: &Assembly) -> Machine {
    let blank = row.serial.text.trim().is_empty();
    Machine {
        model: row.model.clone().unwrap_or_else(|| machine.model.clone()),
        year: row.year.or(if row.model.is_some() { None } else { machine.year }),
        serial: match (blank, row.model.is_some() || row.year.is_some()) {
            (false, _) => row.serial.clone(),
            (true, true) => SerialCell::default(),
            (true, false) => machine.serial.clone(),
        },
        traits: if row.traits.is_empty() { machine.traits.clone() } else { row.traits.clone() },
        ..machine.clone()
    }
}

impl<'a> Bench<'a> {
    /// Gathers what the log says of a machine.
    pub fn new(machine: Machine, lookup: &'a dyn Lookup) -> Self {
        let mut log: HashMap<Key, Vec<LogEntry>> = HashMap::new();
        let mut done = HashSet::new();
        let mut confirmed = HashSet::new();
        for entry in lookup.log_of(&machine.machine).iter() {
            done.extend(entry.operation.clone());
            let Some(position) = &entry.position else { continue };
            confirmed.extend(entry.confirms.iter().map(|part| (position.clone(), part.clone())));
            if entry.part != Fitted::Blank {
                log.entry(position.clone()).or_default().push(entry.clone());
            }
        }
        for entries in log.values_mut() {
            entries.sort_by(|a, b| a.date.cmp(&b.date));
        }
        let mut assemblies = HashMap::new();
        for row in lookup.assemblies_of(&machine.machine).iter() {
            assemblies
                .entry(row.assembly.clone())
                .or_insert_with(|| Rc::new(as_assembly(&machine, row)));
        }
        Bench {
            lookup,
            whole: Rc::new(machine.clone()),
            machine,
            assemblies,
            log,
            confirmed,
            done,
            carried: OnceCell::new(),
            called: OnceCell::new(),
            places: RefCell::default(),
            steps: RefCell::default(),
            chains: RefCell::default(),
        }
    }

    /// Gives the machine as one of its assemblies has it.
    pub fn machine_in(&self, assembly: Option<&Key>) -> &Rc<Machine> {
        assembly.and_then(|assembly| self.assemblies.get(assembly)).unwrap_or(&self.whole)
    }

    /// Gives the machine as the assembly of a position has it: all that concerns the position is judged by it.
    pub fn machine_at(&self, position: &Key) -> Rc<Machine> {
        if let Some(place) = self.places.borrow().get(position) {
            return Rc::clone(&place.machine);
        }
        let rows = self.lookup.positions(position);
        Rc::clone(self.machine_in(rows.first().map(|row| Key::new(&row.assembly)).as_ref()))
    }

    /// Gives a position as the machine has it.
    pub fn place(&self, position: &Key) -> Rc<Place> {
        if let Some(place) = self.places.borrow().get(position) {
            return Rc::clone(place);
        }
        let rows = self.lookup.positions(position).into_owned();
        let assembly = rows.first().map(|row| Key::new(&row.assembly));
        let machine = Rc::clone(self.machine_in(assembly.as_ref()));
        let (applies, speaking) = rows_for(&rows, &machine);
        let speaking: Vec<Position> = speaking.into_iter().cloned().collect();
        let spelled = rows.first().map_or_else(|| position.clone(), |row| row.position.clone());
        let current = Current { parts: Vec::new(), logged: false, sure: false, doubled: None };
        let mut place = Place { position: spelled, rows, machine, applies, speaking, current };
        place.current = match self.log.get(position) {
            Some(entries) => from_log(self, &place, entries),
            None => match self.called().get(position) {
                Some(called) => called.current(&place),
                None => Current::listed(&place),
            },
        };
        let place = Rc::new(place);
        self.places.borrow_mut().insert(position.clone(), Rc::clone(&place));
        place
    }

    /// Gives an operation as the machine has it.
    pub fn step(&self, operation: &Key) -> Rc<Step> {
        if let Some(step) = self.steps.borrow().get(operation) {
            return Rc::clone(step);
        }
        let rows = self.lookup.operations(operation).into_owned();
        let assembly = rows.first().and_then(|row| row.assembly.as_ref());
        let machine = Rc::clone(self.machine_in(assembly));
        let (applies, speaking) = rows_for(&rows, &machine);
        let speaking = speaking.into_iter().cloned().collect();
        let step = Rc::new(Step { rows, machine, applies, speaking });
        self.steps.borrow_mut().insert(operation.clone(), Rc::clone(&step));
        step
    }

    /// Gives the log rows of a position that have a part, by date.
    pub(super) fn log_at(&self, position: &Key) -> &[LogEntry] {
        self.log.get(position).map_or(&[], Vec::as_slice)
    }

    /// Gives the positions of which the log says what sits there, or calls for it, by place.
    pub(crate) fn positions_by_log(&self) -> Vec<Key> {
        let mut positions: Vec<&Key> = self.log.keys().collect();
        positions.extend(self.called().keys().filter(|position| !self.log.contains_key(position)));
        positions
            .sort_by_cached_key(|position| order_of(&self.lookup.positions(position), position));
        positions.into_iter().cloned().collect()
    }

    /// Gives the positions that the log names with a part, by place.
    pub(crate) fn logged_positions(&self) -> Vec<Key> {
        let mut positions: Vec<&Key> = self.log.keys().collect();
        positions
            .sort_by_cached_key(|position| order_of(&self.lookup.positions(position), position));
        positions.into_iter().cloned().collect()
    }

    /// Says what must be filled in so that rows which may apply or not can be judged.
    pub fn missing<R: Scoped>(&self, rows: &[R]) -> String {
        self.missing_on(rows, &self.machine)
    }

    /// Says what must be filled in so that rows can be judged for the machine as one of its assemblies has it.
    pub fn missing_on<R: Scoped>(&self, rows: &[R], machine: &Machine) -> String {
        let scopes: Vec<_> = rows.iter().map(Scoped::scope).collect();
        words::missing(&scopes, machine, self.assembly_of(machine).as_ref())
    }

    /// Gives the assembly that has the machine so; `None` for the machine as a whole.
    pub(super) fn assembly_of(&self, machine: &Machine) -> Option<Key> {
        if *machine == self.machine {
            return None;
        }
        let has_it_so = |(_, other): &(&Key, &Rc<Machine>)| ***other == *machine;
        self.assemblies.iter().find(has_it_so).map(|(assembly, _)| assembly.clone())
    }

    /// The log names the operation as done.
    pub fn is_done(&self, operation: &Key) -> bool {
        self.done.contains(operation)
    }

    /// A log row confirms that the look-first row for a part holds at a position.
    pub fn is_confirmed(&self, position: &Key, part: &PartNumber) -> bool {
        self.confirmed.contains(&(position.clone(), part.clone()))
    }

    /// Gives the latest date on which the log names what sits at a position, or that nothing does.
    pub fn last_logged(&self, position: &Key) -> Option<&LogDate> {
        self.log.get(position)?.last().map(|entry| &entry.date)
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
        self.sealing(part) == Some(Seals::Yes)
    }

    /// Says whether a part is of a type that seals; `None` where the part, or its type, is not known.
    pub(crate) fn sealing(&self, part: &PartNumber) -> Option<Seals> {
        let row = self.lookup.part(part)?;
        self.part_type(&row)?.seals
    }

    /// Gives the type of a part that is in the table parts.
    pub fn part_type(&self, part: &Part) -> Option<PartType> {
        Some(self.lookup.part_type(part.part_type.as_ref()?)?.into_owned())
    }

    /// Follows the supersessions of a part for the machine as a whole.
    pub fn resolve(&self, part: &PartNumber) -> Resolved {
        resolve(part, &self.machine, self.lookup)
    }

    /// Tells whether one part lies on a chain of another, which holds its own start.
    pub fn on_chain_of(&self, start: &PartNumber, part: &PartNumber) -> bool {
        start == part || self.chains(start, &self.whole).passes(part)
    }

    /// Follows the supersessions of a part for the machine as one of its assemblies has it.
    pub(crate) fn chains(&self, part: &PartNumber, machine: &Rc<Machine>) -> Rc<Resolved> {
        let key = (Rc::as_ptr(machine) as usize, part.clone());
        if let Some(resolved) = self.chains.borrow().get(&key) {
            return Rc::clone(resolved);
        }
        let resolved = Rc::new(resolve(part, machine, self.lookup));
        self.chains.borrow_mut().insert(key, Rc::clone(&resolved));
        resolved
    }

    /// Tells whether one part lies on a chain of another at a position.
    pub fn leads_to(&self, start: &PartNumber, part: &PartNumber, place: &Place) -> bool {
        start == part || self.chains(start, &place.machine).passes(part)
    }

    /// Gives how many of a part a position takes: those it lists, times what became of one of them on the way.
    pub(crate) fn takes(&self, place: &Place, part: &PartNumber) -> Quantity {
        let amount = place.amount();
        let factor = place.listed().and_then(|listed| {
            if listed == part { None } else { self.chains(listed, &place.machine).factor_to(part) }
        });
        factor.map_or(amount, |factor| {
            Quantity::new(amount.amount.saturating_mul(factor), amount.unit)
        })
    }
}
