//! The rows grouped by key, as the checks need them: every check goes over them once, however many there are.

use super::doubles::names_of;
use super::fleet::Fleet;
use super::names::Names;
use crate::catalog::{
    At, Joint, LogEntry, Name, Need, Operation, Part, PartType, Position, Role, Row, Rows, Scope,
    Supersession, Thing, Visit, WhenDisturbed,
};
use crate::measure::{Key, PartNumber};
use crate::tables::{Fault, Tables};
use std::collections::{BTreeMap, HashMap, HashSet};
use std::hash::Hash;

/// The catalog as the checks look at it.
pub(super) struct Grouped<'a> {
    pub rows: &'a Rows,
    pub fleet: Fleet<'a>,
    pub types: Types<'a>,
    lost: HashSet<String>,

    names: BTreeMap<Thing, Names<'a>>,

    listed: HashMap<&'a PartNumber, Listed<'a>>,
    /// What is listed of the part of each row of positions, in their order: asked once, since these are the most rows.
    at_positions: Vec<Option<Listed<'a>>>,
    pub joint_rows: HashMap<&'a Key, &'a Joint>,
    pub position_rows: HashMap<&'a Key, Vec<&'a Position>>,
    pub operation_rows: HashMap<&'a Key, Vec<&'a Operation>>,
    pub supersession_rows: HashMap<&'a PartNumber, Vec<&'a Supersession>>,
    /// The positions of which any row names the joint, each once.
    pub in_joint: HashMap<&'a Key, Vec<&'a Key>>,
    pub opened: HashSet<&'a Key>,
    pub removed: HashSet<&'a Key>,
    /// What the log says is fitted: of a machine and a position, the rows with a part of the latest date.
    pub fitted: HashMap<(&'a Key, &'a Key), Vec<&'a LogEntry>>,
}

impl<'a> Grouped<'a> {
    pub fn new(tables: &Tables, rows: &'a Rows, shipped: &'a Rows) -> Self {
        let lost = lost_tables(&tables.faults);
        let mut given = Given::default();
        rows.visit(&mut given);
        given.own = Some(rows);
        shipped.visit(&mut given);
        let names = Thing::ALL.iter().map(|thing| {
            let giving = || thing.columns_that_give().map(|(table, _)| table);
            let home = thing.home().map(|(table, _)| table).or(giving().next()).unwrap_or_default();
            let is_lost = giving().any(|table| lost.contains(table));
            let given = given.names.remove(thing).unwrap_or_default();
            (*thing, Names::new(home, is_lost, given).with_unread(&tables.unread, *thing))
        });
        let names = names.collect();
        let types = Types::new(&rows.types, &shipped.types);
        let listed = listed_parts(&rows.parts, &types);
        let at_positions = rows
            .positions
            .iter()
            .map(|row| row.part.part().and_then(|part| listed.get(part)).copied())
            .collect();
        Grouped {
            rows,
            fleet: Fleet::new(rows),
            types,
            names,
            listed,
            at_positions,
            joint_rows: first(&rows.joints, |row| &row.joint),
            position_rows: group(&rows.positions, |row| &row.position),
            operation_rows: group(&rows.operations, |row| &row.operation),
            supersession_rows: group(&rows.supersessions, |row| &row.old),
            in_joint: positions_in_joints(&rows.positions),
            opened: rows.operations.iter().flat_map(|row| &row.opens).collect(),
            removed: rows.operations.iter().flat_map(|row| &row.removes).collect(),
            fitted: last_fitted(&rows.worklog),
            lost,
        }
    }

    /// Tells that no file of these tables is lost, so that what they do not hold is surely missing.
    pub fn whole(&self, tables: &[&str]) -> bool {
        !tables.iter().any(|table| self.lost.contains(*table))
    }

    /// Gives the names of a kind of thing that the tables hold.
    pub fn names(&self, thing: Thing) -> &Names<'a> {
        &self.names[&thing]
    }

    /// Gives what parts lists of a number.
    pub fn listed(&self, part: &PartNumber) -> Option<Listed<'a>> {
        self.listed.get(part).copied()
    }

    /// Gives the rows of positions, each with what is listed of its part.
    pub fn positions(&self) -> impl Iterator<Item = (&'a Position, Option<Listed<'a>>)> {
        self.rows.positions.iter().zip(self.at_positions.iter().copied())
    }

    /// Gives the items of every `needs` cell that names positions, with the scope of their row.
    pub fn needs(&self) -> impl Iterator<Item = (At, &'a Need, &'a Scope)> {
        let of_supersessions = self
            .rows
            .supersessions
            .iter()
            .flat_map(|row| row.needs.iter().map(|need| (row.at, need, &row.scope)));
        let of_retrofits = self
            .rows
            .retrofits
            .iter()
            .flat_map(|row| row.needs.iter().map(|need| (row.at, need, &row.scope)));
        of_supersessions.chain(of_retrofits)
    }

    /// Gives the scope of every row that has one.
    pub fn scopes(&self) -> impl Iterator<Item = (At, &'a Scope)> {
        self.rows.scopes()
    }
}

/// The names that stand for something by standing where they do, in table order.
#[derive(Default)]
struct Given<'a> {
    names: BTreeMap<Thing, Vec<Name<'a>>>,
    /// The owner's rows, in whose favour a row of the same name is passed over.
    own: Option<&'a Rows>,
}

impl<'a> Visit<'a> for Given<'a> {
    fn rows<R: Row>(&mut self, rows: &'a [R]) {
        let giving = R::definition().columns.iter().map(|column| column.says);
        let giving: Vec<_> = giving.map(|says| says.of.filter(|_| says.gives)).collect();
        if giving.iter().all(Option::is_none) {
            return;
        }
        let own = self.own.map_or(&[][..], R::of).iter();
        let own: HashSet<Vec<Name<'a>>> = own.map(|row| names_of(row, &[Role::Key])).collect();
        let passed_over = |row: &R| !own.is_empty() && own.contains(&names_of(row, &[Role::Key]));
        for row in rows.iter().filter(|row| !passed_over(row)) {
            row.names(&mut |slot, _, name| {
                if let Some(thing) = giving[slot] {
                    self.names.entry(thing).or_default().push(name);
                }
            });
        }
    }
}

/// A part that is listed, and its type if that is known.
#[derive(Clone, Copy)]
pub(super) struct Listed<'a> {
    pub row: &'a Part,
    pub part_type: Option<&'a PartType>,
}

impl Listed<'_> {
    /// Tells what becomes of the part when it is disturbed, by its own row or its type.
    pub fn rule(&self) -> Option<WhenDisturbed> {
        match self.row.single_use {
            Some(true) => Some(WhenDisturbed::Renew),
            Some(false) => Some(WhenDisturbed::Keep),
            None => self.part_type.and_then(|row| row.when_disturbed),
        }
    }
}

fn listed_parts<'a>(rows: &'a [Part], types: &Types<'a>) -> HashMap<&'a PartNumber, Listed<'a>> {
    let mut listed = HashMap::with_capacity(rows.len());
    for row in rows {
        // The first row of a number is the one that counts.
        listed.entry(&row.part).or_insert_with(|| Listed {
            row,
            part_type: row.part_type.as_ref().and_then(|name| types.find(name)),
        });
    }
    listed
}

/// The types that count: the owner's, and those shipped that the owner has not overridden.
pub(super) struct Types<'a> {
    by_name: HashMap<&'a Key, &'a PartType>,
    by_other_name: HashMap<&'a Key, &'a PartType>,
}

impl<'a> Types<'a> {
    fn new(own: &'a [PartType], shipped: &'a [PartType]) -> Self {
        let mut by_name = first(own, |row| &row.part_type);
        let overridden: HashSet<&Key> = by_name.keys().copied().collect();
        let counting =
            || own.iter().chain(shipped.iter().filter(|row| !overridden.contains(&row.part_type)));
        let mut by_other_name = HashMap::new();
        for row in counting() {
            by_name.entry(&row.part_type).or_insert(row);
            for name in &row.also_called {
                by_other_name.entry(name).or_insert(row);
            }
        }
        Types { by_name, by_other_name }
    }

    /// Finds a type by its name, else by another name for it.
    pub fn find(&self, name: &Key) -> Option<&'a PartType> {
        self.by_name.get(name).or_else(|| self.by_other_name.get(name)).copied()
    }
}

/// Groups rows by key, in table order.
pub(super) fn group<'a, R, K: Hash + Eq + ?Sized>(
    rows: &'a [R],
    key: impl Fn(&'a R) -> &'a K,
) -> HashMap<&'a K, Vec<&'a R>> {
    let mut groups: HashMap<&K, Vec<&R>> = HashMap::new();
    for row in rows {
        groups.entry(key(row)).or_default().push(row);
    }
    groups
}

/// Gives the first row of each key.
fn first<'a, R, K: Hash + Eq>(
    rows: &'a [R],
    key: impl Fn(&'a R) -> &'a K,
) -> HashMap<&'a K, &'a R> {
    let mut firsts = HashMap::new();
    for row in rows {
        firsts.entry(key(row)).or_insert(row);
    }
    firsts
}

fn positions_in_joints(rows: &[Position]) -> HashMap<&Key, Vec<&Key>> {
    let mut in_joint: HashMap<&Key, Vec<&Key>> = HashMap::new();
    for row in rows {
        for joint in &row.joint {
            in_joint.entry(joint).or_default().push(&row.position);
        }
    }
    for positions in in_joint.values_mut() {
        positions.sort();
        positions.dedup();
    }
    in_joint
}

fn last_fitted(rows: &[LogEntry]) -> HashMap<(&Key, &Key), Vec<&LogEntry>> {
    use crate::catalog::Fitted;
    let mut fitted: HashMap<(&Key, &Key), Vec<&LogEntry>> = HashMap::new();
    for row in rows.iter().filter(|row| row.part != Fitted::Blank) {
        let Some(position) = &row.position else { continue };
        let last = fitted.entry((&row.machine, position)).or_default();
        match last.first().map(|other| row.date.cmp(&other.date)) {
            Some(std::cmp::Ordering::Less) => {}
            Some(std::cmp::Ordering::Greater) => *last = vec![row],
            Some(std::cmp::Ordering::Equal) | None => last.push(row),
        }
    }
    fitted
}

/// Names the tables of which a whole file could not be read. A name that they may have held is not called missing,
/// or one mistake in a header would be reported at every row of every other table.
fn lost_tables(faults: &[Fault]) -> HashSet<String> {
    faults
        .iter()
        .filter(|fault| match fault.code {
            "missing-column" | "duplicate-column" | "unreadable-file" => true,
            // Found in a row, these name the column of the cell.
            "not-utf8" | "lone-quote" => fault.column.is_empty(),
            _ => false,
        })
        .filter_map(|fault| {
            let file = fault.file.rsplit('/').next()?.to_lowercase();
            file.strip_suffix(".csv").map(str::to_owned)
        })
        .collect()
}
