use super::naming::Name;
use super::rows::{
    Assembly, At, Caution, Contains, Dimension, Equivalent, EveryRow, Job, JobLine, Joint,
    LogEntry, Machine, Measurement, Offer, Operation, OrderLine, Part, PartType, Position,
    Retrofit, Row, Seat, Selection, Stock, Supersession, Supplier,
};
use super::table::Col;
use super::unread::UnreadRow;
use crate::measure::{Key, PartNumber};
use std::borrow::Cow;

/// The rows of one key, in table order.
pub type Found<'a, T> = Cow<'a, [T]>;

/// Asks a catalog for the rows of one table.
pub trait RowsBy<R: Row> {
    /// Gives the rows that hold a name in a column.
    fn rows_by(&self, column: Col<R>, name: Name<'_>) -> Found<'_, R>;
    /// Gives the keys, in a column of their own, of the rows that hold a name in another: each once, by the place of
    /// its first row, as the first row that holds the name spells it.
    fn keys_by(&self, column: Col<R>, name: Name<'_>, key: Col<R>) -> Vec<Key>;
    /// Tells whether any row holds a name in a column of which the keys are asked for.
    fn holds(&self, column: Col<R>, name: Name<'_>) -> bool;
    /// Gives every name in a column, each once as it is first spelled, by place.
    fn names(&self, column: Col<R>) -> Vec<Key>;
    /// Gives all rows of a table that is asked for whole.
    fn all_rows(&self) -> Found<'_, R>;
}

/// Gives the rows that hold a name in a column.
fn by<'l, 'n, R: Row>(
    lookup: &'l (impl RowsBy<R> + ?Sized),
    column: Col<R>,
    name: impl Into<Name<'n>>,
) -> Found<'l, R> {
    lookup.rows_by(column, name.into())
}

/// Gives the first row that holds a name in a column.
fn first<'l, 'n, R: Row>(
    lookup: &'l (impl RowsBy<R> + ?Sized),
    column: Col<R>,
    name: impl Into<Name<'n>>,
) -> Option<Cow<'l, R>> {
    match lookup.rows_by(column, name.into()) {
        Cow::Borrowed(rows) => rows.first().map(Cow::Borrowed),
        Cow::Owned(rows) => rows.into_iter().next().map(Cow::Owned),
    }
}

/// Gives the positions that hold a name in a column.
fn positions<'n>(
    lookup: &(impl RowsBy<Position> + ?Sized),
    column: Col<Position>,
    name: impl Into<Name<'n>>,
) -> Found<'static, Key> {
    Cow::Owned(lookup.keys_by(column, name.into(), Position::position))
}

/// Reads a catalog by its keys. All that is worked out above goes through here, whatever holds the rows.
///
/// Every answer is in table order. A key or number that is not there gives an empty answer.
pub trait Lookup: EveryRow {
    /// Gives a machine.
    fn machine(&self, machine: &Key) -> Option<Cow<'_, Machine>> {
        first(self, Machine::machine, machine)
    }
    /// Gives the assemblies of a machine that are not as the machine itself.
    fn assemblies_of(&self, machine: &Key) -> Found<'_, Assembly> {
        by(self, Assembly::machine, machine)
    }
    /// Gives the rows of a job.
    fn jobs(&self, job: &Key) -> Found<'_, Job> {
        by(self, Job::job, job)
    }
    /// Gives the lines of a job.
    fn job_lines(&self, job: &Key) -> Found<'_, JobLine> {
        by(self, JobLine::job, job)
    }
    /// Gives the rows of a position, of any scope.
    fn positions(&self, position: &Key) -> Found<'_, Position> {
        by(self, Position::position, position)
    }
    /// Gives the positions of which any row names the joint, by place.
    fn positions_in_joint(&self, joint: &Key) -> Found<'_, Key> {
        positions(self, Position::joint, joint)
    }
    /// Gives the positions of which any row names the part, by place.
    fn positions_with_part(&self, part: &PartNumber) -> Found<'_, Key> {
        positions(self, Position::part, part)
    }
    /// Gives the positions of which any row names the operation as the way in, by place.
    fn positions_reached_by(&self, operation: &Key) -> Found<'_, Key> {
        positions(self, Position::reached_by, operation)
    }
    /// Gives the positions of which any row names the position as the one that carries it, by place.
    fn positions_carried_by(&self, carrier: &Key) -> Found<'_, Key> {
        positions(self, Position::carried_by, carrier)
    }
    /// Gives the rows of an operation, of any scope.
    fn operations(&self, operation: &Key) -> Found<'_, Operation> {
        by(self, Operation::operation, operation)
    }
    /// Gives a joint's row.
    fn joint(&self, joint: &Key) -> Option<Cow<'_, Joint>> {
        first(self, Joint::joint, joint)
    }
    /// Gives a part's row.
    fn part(&self, part: &PartNumber) -> Option<Cow<'_, Part>> {
        first(self, Part::part, part)
    }
    /// Gives every row of a part.
    fn part_rows(&self, part: &PartNumber) -> Found<'_, Part> {
        by(self, Part::part, part)
    }
    /// Gives a type by its name, else by another name for it.
    fn part_type(&self, name: &Key) -> Option<Cow<'_, PartType>> {
        first(self, PartType::part_type, name).or_else(|| {
            let leads = first(self, PartType::also_called, name)?;
            first(self, PartType::part_type, &leads.part_type)
        })
    }
    /// Gives a caution.
    fn caution(&self, caution: &Key) -> Option<Cow<'_, Caution>> {
        first(self, Caution::caution, caution)
    }
    /// Gives the supersessions of an old number.
    fn supersessions_of(&self, old: &PartNumber) -> Found<'_, Supersession> {
        by(self, Supersession::old, old)
    }
    /// Gives the supersessions that lead to a number.
    fn supersessions_to(&self, new: &PartNumber) -> Found<'_, Supersession> {
        by(self, Supersession::new, new)
    }
    /// Gives the numbers that rows say an old number became, on whatever machine, in no order.
    fn later_numbers(&self, old: &PartNumber) -> Vec<PartNumber> {
        self.supersessions_of(old).iter().map(|row| row.new.clone()).collect()
    }
    /// Gives the numbers that rows say became a number, on whatever machine, in no order.
    fn earlier_numbers(&self, new: &PartNumber) -> Vec<PartNumber> {
        self.supersessions_to(new).iter().map(|row| row.old.clone()).collect()
    }
    /// Gives the retrofits at a position.
    fn retrofits_at(&self, position: &Key) -> Found<'_, Retrofit> {
        by(self, Retrofit::position, position)
    }
    /// Gives the retrofits of a part.
    fn retrofits_of(&self, part: &PartNumber) -> Found<'_, Retrofit> {
        by(self, Retrofit::part, part)
    }
    /// Gives the retrofits whose needs put a part somewhere.
    fn retrofits_calling_for(&self, part: &PartNumber) -> Found<'_, Retrofit> {
        by(self, Retrofit::needs, part)
    }
    /// Gives what an assembly or set contains.
    fn contents_of(&self, part: &PartNumber) -> Found<'_, Contains> {
        by(self, Contains::part, part)
    }
    /// Gives the rows that say what contains a part.
    fn containers_of(&self, part: &PartNumber) -> Found<'_, Contains> {
        by(self, Contains::contained, part)
    }
    /// Gives the rows that name a part on either side of an equivalence.
    fn equivalents_of(&self, part: &PartNumber) -> Found<'_, Equivalent> {
        let other = by(self, Equivalent::other, part);
        let mut rows = by(self, Equivalent::part, part);
        if !other.is_empty() {
            rows.to_mut().extend(other.into_owned());
            rows.to_mut().sort_by_key(|row| row.at);
            rows.to_mut().dedup_by_key(|row| row.at);
        }
        rows
    }
    /// Gives the dimensions of a part.
    fn dimensions_of(&self, part: &PartNumber) -> Found<'_, Dimension> {
        by(self, Dimension::part, part)
    }
    /// Gives the offers of a part.
    fn offers_of(&self, part: &PartNumber) -> Found<'_, Offer> {
        by(self, Offer::part, part)
    }
    /// Gives a supplier.
    fn supplier(&self, supplier: &Key) -> Option<Cow<'_, Supplier>> {
        first(self, Supplier::supplier, supplier)
    }
    /// Gives what lies on the shelf of a part.
    fn stock_of(&self, part: &PartNumber) -> Found<'_, Stock> {
        by(self, Stock::part, part)
    }
    /// Gives every line of every order.
    fn order_lines(&self) -> Found<'_, OrderLine> {
        RowsBy::<OrderLine>::all_rows(self)
    }
    /// Gives the seats at a position.
    fn seats_at(&self, position: &Key) -> Found<'_, Seat> {
        by(self, Seat::position, position)
    }
    /// Gives the parts that are chosen by measuring at a position.
    fn selections_at(&self, position: &Key) -> Found<'_, Selection> {
        by(self, Selection::position, position)
    }
    /// Gives the log of a machine.
    fn log_of(&self, machine: &Key) -> Found<'_, LogEntry> {
        by(self, LogEntry::machine, machine)
    }
    /// Tells whether any machine's log names a position.
    fn log_names(&self, position: &Key) -> bool {
        RowsBy::holds(self, LogEntry::position, position.into())
    }
    /// Gives the readings taken on a machine at a position.
    fn measurements_at(&self, machine: &Key, position: &Key) -> Found<'_, Measurement> {
        let mut rows = by(self, Measurement::position, position);
        if rows.iter().any(|row| row.machine != *machine) {
            rows.to_mut().retain(|row| row.machine == *machine);
        }
        rows
    }
    /// Gives the rows of all tables that cannot be read, in table order.
    fn unread(&self) -> Found<'_, UnreadRow> {
        Cow::Borrowed(&[])
    }
    /// Gives all machine keys, for near misses.
    fn machine_keys(&self) -> Vec<Key> {
        RowsBy::names(self, Machine::machine)
    }
    /// Gives all job keys, for near misses.
    fn job_keys(&self) -> Vec<Key> {
        RowsBy::names(self, Job::job)
    }
    /// Gives all operation keys, for near misses.
    fn operation_keys(&self) -> Vec<Key> {
        RowsBy::names(self, Operation::operation)
    }
    /// Gives the names of all types and their other names, for near misses.
    fn type_names(&self) -> Vec<Key> {
        let mut names = RowsBy::names(self, PartType::part_type);
        names.extend(RowsBy::names(self, PartType::also_called));
        names
    }
    /// Gives all position keys by place, for near misses.
    fn position_keys(&self) -> Vec<Key> {
        RowsBy::names(self, Position::position)
    }
    /// Gives all part numbers in `parts`, for near misses.
    fn part_numbers(&self) -> Vec<PartNumber>;
    /// Gives all supplier keys, for near misses.
    fn supplier_keys(&self) -> Vec<Key> {
        RowsBy::names(self, Supplier::supplier)
    }
    /// Gives the path of the table file in which a row stands.
    fn file(&self, at: At) -> Cow<'_, str>;

    /// Names the file and line of a row: `positions.csv:12`.
    fn place(&self, at: At) -> String {
        format!("{}:{}", self.file(at), at.line)
    }

    /// Spells a part number as the table `parts` does, else as given.
    fn spell_part(&self, part: &PartNumber) -> PartNumber {
        self.part(part).map_or_else(|| part.clone(), |row| row.part.clone())
    }

    /// Spells a position as its first row does, else as given.
    fn spell_position(&self, position: &Key) -> Key {
        self.positions(position)
            .first()
            .map_or_else(|| position.clone(), |row| row.position.clone())
    }

    /// Spells an operation as its first row does, else as given.
    fn spell_operation(&self, operation: &Key) -> Key {
        self.operations(operation)
            .first()
            .map_or_else(|| operation.clone(), |row| row.operation.clone())
    }

    /// Spells a type as the table `types` does, where it is typed by its own name; another name for it stays.
    fn spell_type(&self, name: &Key) -> Key {
        let row = self.part_type(name).filter(|row| row.part_type == *name);
        row.map_or_else(|| name.clone(), |row| row.part_type.clone())
    }

    /// Spells a supplier as the table `suppliers` does, else as given.
    fn spell_supplier(&self, supplier: &Key) -> Key {
        self.supplier(supplier).map_or_else(|| supplier.clone(), |row| row.supplier.clone())
    }

    /// Spells a joint as the table `joints` does, else as given.
    fn spell_joint(&self, joint: &Key) -> Key {
        self.joint(joint).map_or_else(|| joint.clone(), |row| row.joint.clone())
    }
}

/// Lists the options that the lines of a job ask about.
pub fn options_asked(job: &Key, lookup: &dyn Lookup) -> Vec<Key> {
    let mut asked: Vec<Key> = Vec::new();
    for option in lookup.job_lines(job).iter().filter_map(|line| line.option.as_ref()) {
        if !asked.contains(&option.name) {
            asked.push(option.name.clone());
        }
    }
    asked
}

/// Gives the names, in lower case, under which parts of a type may stand in the tables, if the text names a type in
/// singular or plural: the type's own, and every other that leads to it.
pub fn names_of_type(text: &str, lookup: &dyn Lookup) -> Option<Vec<String>> {
    let forms = [Some(text), text.strip_suffix('s'), text.strip_suffix("es")];
    let named = forms.into_iter().flatten().filter(|form| !form.trim().is_empty());
    let found = named.filter_map(|form| lookup.part_type(&Key::new(form))).next()?;
    let names = found.also_called.iter().chain([&found.part_type]);
    let own = names.filter(|name| {
        lookup.part_type(name).is_some_and(|other| other.part_type == found.part_type)
    });
    Some(own.map(|name| name.folded().to_owned()).collect())
}
