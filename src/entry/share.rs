//! What another owner of a model needs for a job: every row that a kit for it can touch, and nothing of one's own.
//!
//! Rows are taken by model only: another owner's machine has another year, serial and traits, and another past. What a
//! row names is taken whole: an operation with all that it opens, a joint with all that sits in it, an assembly with
//! all that it contains. Half a joint would be worse than none, since the gasket left out would never be missed.

use crate::catalog::{
    Applies, At, Lookup, Machine, Name, Position, Row, Scope, Scoped, Table, Thing, rows_for,
};
use crate::kit::{Refusal, Unknown, find_machine};
use crate::measure::{Key, PartNumber};
use crate::tables::{Edit, Refused, TextRow, TextSheet, definition, rewrite};
use std::collections::{BTreeMap, BTreeSet, HashMap, HashSet};

/// The rows to share.
#[derive(Debug, Clone)]
pub struct Share {
    /// The jobs, as the catalog spells them.
    pub jobs: Vec<Key>,
    /// The models that they are shared for; `None` is all.
    pub models: Option<Vec<Key>>,
    /// The rows of each table, in table order.
    pub rows: BTreeMap<&'static str, Vec<TextRow>>,
    /// What the shared rows name and no table holds: the kind of thing, and its name.
    pub missing: Vec<(&'static str, String)>,
}

impl Share {
    /// Gathers what jobs need: on the model of a machine, else on every model that they are for.
    ///
    /// `sheets` are the files that `lookup` was read from.
    ///
    /// # Errors
    /// There is no such job or machine, or a job is not for the machine's model.
    pub fn gather(
        jobs: &[Key],
        on: Option<&Key>,
        lookup: &dyn Lookup,
        sheets: &[TextSheet],
    ) -> Result<Share, Refusal> {
        let machine = match on {
            None => None,
            Some(key) => Some(find_machine(key, lookup)?.into_owned()),
        };
        let mut spelled = Vec::new();
        let mut models: Option<Vec<Key>> = Some(Vec::new());
        for job in jobs {
            let rows = lookup.jobs(job);
            let Some(first) = rows.first() else {
                return Err(Refusal::NoJob(Unknown::new(job, &lookup.job_keys())));
            };
            spelled.push(first.job.clone());
            if let Some(machine) = &machine {
                refuse_other_model(machine, &rows)?;
            }
            for row in rows.iter() {
                models = models.filter(|_| !row.scope.model.is_empty());
                models.iter_mut().for_each(|models| models.extend(row.scope.model.iter().cloned()));
            }
        }
        if let Some(machine) = machine {
            models = Some(vec![machine.model]);
        }
        let mut closure = Closure::new(lookup, models.as_deref());
        closure.todo.extend(spelled.iter().cloned().map(Wanted::Job));
        closure.close();
        let Closure { rows: taken, mut missing, models: mut named, .. } = closure;
        missing.sort();
        let all = models.is_none();
        named.extend(models.iter().flatten().cloned());
        let by_name: HashMap<&str, &TextSheet> =
            sheets.iter().map(|sheet| (sheet.name.as_str(), sheet)).collect();
        let mut rows: BTreeMap<&'static str, Vec<TextRow>> = BTreeMap::new();
        for sheet in sheets.iter().filter(|sheet| sheet.table == "models") {
            let wanted = |row: &&TextRow| all || named.contains(&Key::new(row.cell("model")));
            rows.entry("models").or_default().extend(sheet.rows.iter().filter(wanted).cloned());
        }
        for (table, at) in taken {
            let sheet = by_name.get(&*lookup.file(at)).filter(|sheet| sheet.table == table);
            // A row that is in none of the files ships with the program, and so is there already.
            if let Some(row) = sheet.and_then(|sheet| sheet.row(at.line)) {
                rows.entry(table).or_default().push(row.clone());
            }
        }
        rows.retain(|_, rows| !rows.is_empty());
        Ok(Share { jobs: spelled, models, rows, missing })
    }

    /// Writes the rows out: a file for each table, by its name.
    ///
    /// Only the columns of the data dictionary go along; those of the owner's own stay at home.
    ///
    /// # Errors
    /// A row that no file could hold, since each of its cells would make it a remark.
    pub fn files(&self) -> Result<Vec<(String, Vec<u8>)>, Refused> {
        let tables = Table::shared().into_iter();
        let tables = tables.filter_map(|table| self.rows.get_key_value(table.name));
        tables.map(|(table, rows)| Ok((format!("{table}.csv"), written(table, rows)?))).collect()
    }
}

fn refuse_other_model(machine: &Machine, rows: &[crate::catalog::Job]) -> Result<(), Refusal> {
    let Some(first) = rows.first() else { return Ok(()) };
    let of_model = |row: &crate::catalog::Job| {
        row.scope.model.is_empty() || row.scope.model.contains(&machine.model)
    };
    if rows.iter().any(of_model) && (rows_for(rows, machine).0 != Applies::No) {
        return Ok(());
    }
    let limits: Vec<String> = rows.iter().map(|row| row.scope.to_string()).collect();
    Err(Refusal::NotForMachine {
        job: first.job.to_string(),
        machine: machine.machine.to_string(),
        limits: limits.join(", or "),
    })
}

/// Writes rows of one table, with the columns that any of them fills and those that none may lack.
fn written(table: &'static str, rows: &[TextRow]) -> Result<Vec<u8>, Refused> {
    let rows: Vec<TextRow> = rows.iter().map(TextRow::with_points).collect();
    let columns = definition(table).map_or(&[][..], |definition| &definition.columns);
    let filled = |column: &str| rows.iter().any(|row| !row.cell(column).is_empty());
    let mut columns: Vec<&str> = columns
        .iter()
        .filter(|column| column.required || filled(column.name))
        .map(|column| column.name)
        .collect();
    // A row whose first cell begins with # would be a remark.
    let safe = |column: &&str| rows.iter().all(|row| !row.cell(column).starts_with('#'));
    match columns.iter().position(safe) {
        Some(index) => columns[..=index].rotate_right(1),
        None => columns.insert(0, "note"),
    }
    let commas = rows.iter().any(|row| row.mark != crate::measure::DecimalMark::Point);
    let delimiter = if commas { ";" } else { "," };
    let header = format!("{}\n", columns.join(delimiter));
    let edits: Vec<Edit> = rows
        .iter()
        .map(|row| Edit::Append {
            cells: columns
                .iter()
                .map(|column| ((*column).to_owned(), row.cell(column).to_owned()))
                .collect(),
        })
        .collect();
    rewrite(table, header.as_bytes(), &edits)
}

/// Something whose rows are taken.
#[derive(Debug, Clone, PartialEq, Eq, Hash)]
enum Wanted {
    Job(Key),
    Position(Key),
    Joint(Key),
    Operation(Key),
    Part(PartNumber),
    /// A part that is only named beside another: its row, and nothing that follows from it.
    Named(PartNumber),
    Caution(Key),
}

impl Wanted {
    /// Gives what a row wants that names this.
    fn of(thing: Thing, name: Name<'_>) -> Option<Wanted> {
        Some(match (thing, name) {
            (Thing::Job, Name::Key(key)) => Wanted::Job(key.clone()),
            (Thing::Position, Name::Key(key)) => Wanted::Position(key.clone()),
            (Thing::Joint, Name::Key(key)) => Wanted::Joint(key.clone()),
            (Thing::Operation, Name::Key(key)) => Wanted::Operation(key.clone()),
            (Thing::Caution, Name::Key(key)) => Wanted::Caution(key.clone()),
            (Thing::Part, Name::Part(part)) => Wanted::Part(part.clone()),
            _ => return None,
        })
    }
}

/// Everything that follows from what is taken.
struct Closure<'a> {
    lookup: &'a dyn Lookup,
    /// The models shared for; `None` is all.
    wanted: Option<&'a [Key]>,
    /// The models that the limits of taken rows name.
    models: HashSet<Key>,
    rows: BTreeSet<(&'static str, At)>,
    seen: HashSet<Wanted>,
    todo: Vec<Wanted>,
    missing: Vec<(&'static str, String)>,
}

impl<'a> Closure<'a> {
    fn new(lookup: &'a dyn Lookup, wanted: Option<&'a [Key]>) -> Self {
        Closure {
            lookup,
            wanted,
            models: HashSet::new(),
            rows: BTreeSet::new(),
            seen: HashSet::new(),
            todo: Vec::new(),
            missing: Vec::new(),
        }
    }

    fn close(&mut self) {
        loop {
            while let Some(thing) = self.todo.pop() {
                if self.seen.insert(thing.clone()) {
                    self.take(&thing);
                }
            }
            self.find_sets();
            if self.todo.is_empty() {
                return;
            }
        }
    }

    fn take(&mut self, thing: &Wanted) {
        match thing {
            Wanted::Job(job) => self.job(job),
            Wanted::Position(position) => self.position(position),
            Wanted::Joint(joint) => self.joint(joint),
            Wanted::Operation(operation) => self.operation(operation),
            Wanted::Part(part) => self.part(part),
            Wanted::Named(part) => self.named(part),
            Wanted::Caution(caution) => {
                if let Some(row) = self.lookup.caution(caution) {
                    self.rows.insert(("cautions", row.at));
                }
            }
        }
    }

    fn is_wanted(&self, scope: &Scope) -> bool {
        scope.model.is_empty()
            || self
                .wanted
                .is_none_or(|wanted| scope.model.iter().any(|model| wanted.contains(model)))
    }

    /// Takes the rows that can apply to a machine of the models, and the first of any scope: it gives a name its
    /// spelling and its place, and stands in where no row speaks for a machine.
    fn scoped<T: Row + Scoped + Clone>(&mut self, rows: &[T]) -> Vec<T> {
        let mut kept = Vec::new();
        for (index, row) in rows.iter().enumerate() {
            if index == 0 || self.is_wanted(row.scope()) {
                self.models.extend(row.scope().model.iter().cloned());
                self.rows.insert((T::TABLE, row.at()));
                kept.push(row.clone());
            }
        }
        kept
    }

    /// Takes only the rows that can apply.
    fn applying<T: Row + Scoped + Clone>(&mut self, rows: &[T]) -> Vec<T> {
        let rows: Vec<T> = rows.iter().filter(|row| self.is_wanted(row.scope())).cloned().collect();
        self.scoped(&rows)
    }

    /// Takes whatever rows name.
    fn follow<T: Row>(&mut self, rows: &[T]) {
        let columns = &T::definition().columns;
        let todo = &mut self.todo;
        for row in rows {
            row.names(&mut |slot, form, name| {
                let named = columns[slot].names.iter().filter(|(_, named)| *named == form);
                todo.extend(named.filter_map(|(thing, _)| Wanted::of(*thing, name)));
            });
        }
    }

    /// Takes a position, if one of its rows that may be wanted is such a row.
    fn position_where(&mut self, position: &Key, is: impl Fn(&Position) -> bool) {
        let rows = self.lookup.positions(position);
        let mut rows = rows.iter().enumerate();
        if rows.any(|(index, row)| is(row) && (index == 0 || self.is_wanted(&row.scope))) {
            self.todo.push(Wanted::Position(position.clone()));
        }
    }

    fn job(&mut self, job: &Key) {
        let lookup = self.lookup;
        self.scoped(&lookup.jobs(job));
        let lines = lookup.job_lines(job);
        let mut kept = self.applying(&lines);
        if kept.is_empty() {
            kept = self.scoped(lines.get(..1).unwrap_or_default());
        }
        self.follow(&kept);
    }

    fn position(&mut self, position: &Key) {
        let lookup = self.lookup;
        let rows = lookup.positions(position);
        if rows.is_empty() {
            self.missing.push(("position", position.to_string()));
        }
        let rows = self.scoped(&rows);
        self.follow(&rows);
        self.applying(&lookup.seats_at(position));
        let rows = self.applying(&lookup.selections_at(position));
        self.follow(&rows);
        let rows = self.applying(&lookup.retrofits_at(position));
        self.follow(&rows);
        // What sits in its part is renewed with it.
        for carried in lookup.positions_carried_by(position).iter() {
            let names_it = |row: &Position| row.carried_by.as_ref() == Some(position);
            self.position_where(carried, names_it);
        }
    }

    fn joint(&mut self, joint: &Key) {
        let lookup = self.lookup;
        if let Some(row) = lookup.joint(joint) {
            self.rows.insert(("joints", row.at));
        }
        for position in lookup.positions_in_joint(joint).iter() {
            self.position_where(position, |row| row.joint.contains(joint));
        }
    }

    fn operation(&mut self, operation: &Key) {
        let lookup = self.lookup;
        let rows = lookup.operations(operation);
        if rows.is_empty() {
            self.missing.push(("operation", operation.to_string()));
        }
        let rows = self.scoped(&rows);
        self.follow(&rows);
        // A position that is reached here, and in no joint that is opened, is worth a doubt.
        for position in lookup.positions_reached_by(operation).iter() {
            self.position_where(position, |row| row.reached_by.as_ref() == Some(operation));
        }
    }

    fn part(&mut self, part: &PartNumber) {
        let lookup = self.lookup;
        self.todo.push(Wanted::Named(part.clone()));
        let became = lookup.supersessions_of(part);
        if became.is_empty() && lookup.part(part).is_none() {
            self.missing.push(("part", part.to_string()));
        }
        let became = self.applying(&became);
        self.follow(&became);
        // Another owner's machine may still hold an earlier number.
        let became_it = self.applying(&lookup.supersessions_to(part));
        self.follow(&became_it);
        let contents = lookup.contents_of(part);
        self.rows.extend(contents.iter().map(|row| ("contains", row.at)));
        self.follow(&contents);
        for row in lookup.equivalents_of(part).iter() {
            self.rows.insert(("equivalents", row.at));
            self.todo.push(Wanted::Named(row.part.clone()));
            self.todo.push(Wanted::Named(row.other.clone()));
        }
        self.rows.extend(lookup.dimensions_of(part).iter().map(|row| ("dimensions", row.at)));
    }

    fn named(&mut self, part: &PartNumber) {
        let Some(row) = self.lookup.part(part) else { return };
        self.rows.insert(("parts", row.at));
        if let Some(part_type) = row.part_type.as_ref().and_then(|name| self.lookup.part_type(name))
        {
            self.rows.insert(("types", part_type.at));
        }
    }

    /// Takes each set of which everything is taken already: it may be the cheaper way to buy.
    fn find_sets(&mut self) {
        let lookup = self.lookup;
        let parts: Vec<PartNumber> = self
            .seen
            .iter()
            .filter_map(|thing| match thing {
                Wanted::Part(part) => Some(part.clone()),
                _ => None,
            })
            .collect();
        for part in parts {
            for row in lookup.containers_of(&part).iter() {
                let contents = lookup.contents_of(&row.part);
                let is_taken = |thing: Wanted| self.seen.contains(&thing);
                let whole = contents.iter().all(|row| {
                    is_taken(Wanted::Part(row.contained.clone()))
                        && row
                            .position
                            .clone()
                            .is_none_or(|position| is_taken(Wanted::Position(position)))
                });
                if whole && !is_taken(Wanted::Part(row.part.clone())) {
                    self.todo.push(Wanted::Part(row.part.clone()));
                }
            }
        }
    }
}
