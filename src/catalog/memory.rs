use super::lookup::{Found, Lookup};
use super::rows::{
    Assembly, At, Caution, Contains, Dimension, Equivalent, Job, JobLine, Joint, LogEntry, Machine,
    Measurement, Offer, Operation, OrderLine, Part, PartType, Position, Retrofit, Row, Rows, Seat,
    Selection, Stock, Supersession, Supplier,
};
use super::unread::UnreadRow;
use crate::measure::{Key, PartNumber};
use std::borrow::Cow;
use std::collections::HashMap;
use std::hash::Hash;

/// A catalog held in memory, grouped by key.
#[derive(Debug, Clone, Default)]
pub struct Memory {
    files: Vec<String>,
    machines: HashMap<Key, Vec<Machine>>,
    assemblies_of: HashMap<Key, Vec<Assembly>>,
    jobs: HashMap<Key, Vec<Job>>,
    job_lines: HashMap<Key, Vec<JobLine>>,
    positions: HashMap<Key, Vec<Position>>,
    positions_in_joint: HashMap<Key, Vec<Key>>,
    positions_with_part: HashMap<PartNumber, Vec<Key>>,
    positions_reached_by: HashMap<Key, Vec<Key>>,
    positions_carried_by: HashMap<Key, Vec<Key>>,
    operations: HashMap<Key, Vec<Operation>>,
    joints: HashMap<Key, Vec<Joint>>,
    parts: HashMap<PartNumber, Vec<Part>>,
    types: HashMap<Key, Vec<PartType>>,
    /// The name of the type that another name leads to.
    types_by_other_name: HashMap<Key, Key>,
    cautions: HashMap<Key, Vec<Caution>>,
    supersessions_of: HashMap<PartNumber, Vec<Supersession>>,
    supersessions_to: HashMap<PartNumber, Vec<Supersession>>,
    retrofits_at: HashMap<Key, Vec<Retrofit>>,
    retrofits_of: HashMap<PartNumber, Vec<Retrofit>>,
    retrofits_calling_for: HashMap<PartNumber, Vec<Retrofit>>,
    contents_of: HashMap<PartNumber, Vec<Contains>>,
    containers_of: HashMap<PartNumber, Vec<Contains>>,
    equivalents_of: HashMap<PartNumber, Vec<Equivalent>>,
    dimensions_of: HashMap<PartNumber, Vec<Dimension>>,
    offers_of: HashMap<PartNumber, Vec<Offer>>,
    suppliers: HashMap<Key, Vec<Supplier>>,
    stock_of: HashMap<PartNumber, Vec<Stock>>,
    order_lines: Vec<OrderLine>,
    seats_at: HashMap<Key, Vec<Seat>>,
    selections_at: HashMap<Key, Vec<Selection>>,
    log_of: HashMap<Key, Vec<LogEntry>>,
    log_names: HashMap<Key, ()>,
    measurements_at: HashMap<(Key, Key), Vec<Measurement>>,
    unread: Vec<UnreadRow>,
}

fn group<K: Hash + Eq, T>(rows: Vec<T>, key: impl Fn(&T) -> K) -> HashMap<K, Vec<T>> {
    let mut groups: HashMap<K, Vec<T>> = HashMap::new();
    for row in rows {
        groups.entry(key(&row)).or_default().push(row);
    }
    groups
}

fn found<'a, K: Hash + Eq, T: Clone>(groups: &'a HashMap<K, Vec<T>>, key: &K) -> Found<'a, T> {
    Cow::Borrowed(groups.get(key).map_or(&[], Vec::as_slice))
}

fn first<'a, K: Hash + Eq, T: Clone>(
    groups: &'a HashMap<K, Vec<T>>,
    key: &K,
) -> Option<Cow<'a, T>> {
    groups.get(key).and_then(|rows| rows.first()).map(Cow::Borrowed)
}

impl Memory {
    /// Builds a catalog from rows in table order.
    ///
    /// `files` names the files that [`At::file`] counts. `shipped` are the types and cautions that come with the
    /// program: an owner's row of the same name takes the place of the shipped one. Their files are counted from 0
    /// in `shipped_files`.
    pub fn new(rows: Rows, files: Vec<String>, shipped: Rows, shipped_files: Vec<String>) -> Self {
        let moved =
            |at: At| At { file: at.file + u32::try_from(files.len()).unwrap_or(u32::MAX), ..at };
        let mut types = rows.types;
        types.extend(shipped.types.into_iter().map(|row| PartType { at: moved(row.at), ..row }));
        let mut cautions = rows.cautions;
        let shipped_cautions =
            shipped.cautions.into_iter().map(|row| Caution { at: moved(row.at), ..row });
        // The first row of a key is the one that counts, so the owner's stay in front.
        cautions.extend(shipped_cautions);
        let mut types_by_other_name = HashMap::new();
        for row in &types {
            for name in &row.also_called {
                types_by_other_name.entry(name.clone()).or_insert_with(|| row.part_type.clone());
            }
        }
        let PositionsBy { joint, part, way_in, carrier } = PositionsBy::new(&rows.positions);
        let mut files = files;
        files.extend(shipped_files);
        Memory {
            files,
            machines: group(rows.machines, |row| row.machine.clone()),
            assemblies_of: group(rows.assemblies, |row| row.machine.clone()),
            jobs: group(rows.jobs, |row| row.job.clone()),
            job_lines: group(rows.job_lines, |row| row.job.clone()),
            positions: group(rows.positions, |row| row.position.clone()),
            positions_in_joint: joint,
            positions_with_part: part,
            positions_reached_by: way_in,
            positions_carried_by: carrier,
            operations: group(rows.operations, |row| row.operation.clone()),
            joints: group(rows.joints, |row| row.joint.clone()),
            parts: group(rows.parts, |row| row.part.clone()),
            types: group(types, |row| row.part_type.clone()),
            types_by_other_name,
            cautions: group(cautions, |row| row.caution.clone()),
            supersessions_to: group(rows.supersessions.clone(), |row| row.new.clone()),
            supersessions_of: group(rows.supersessions, |row| row.old.clone()),
            retrofits_calling_for: retrofits_calling_for(&rows.retrofits),
            retrofits_of: group(rows.retrofits.clone(), |row| row.part.clone()),
            retrofits_at: group(rows.retrofits, |row| row.position.clone()),
            containers_of: group(rows.contains.clone(), |row| row.contained.clone()),
            contents_of: group(rows.contains, |row| row.part.clone()),
            equivalents_of: equivalents_by_either(rows.equivalents),
            dimensions_of: group(rows.dimensions, |row| row.part.clone()),
            offers_of: group(rows.offers, |row| row.part.clone()),
            suppliers: group(rows.suppliers, |row| row.supplier.clone()),
            order_lines: rows.orders,
            stock_of: group(rows.stock, |row| row.part.clone()),
            seats_at: group(rows.seats, |row| row.position.clone()),
            selections_at: group(rows.selections, |row| row.position.clone()),
            log_names: rows
                .worklog
                .iter()
                .filter_map(|row| Some((row.position.clone()?, ())))
                .collect(),
            log_of: group(rows.worklog, |row| row.machine.clone()),
            measurements_at: group(rows.measurements, |row| {
                (row.machine.clone(), row.position.clone())
            }),
            unread: Vec::new(),
        }
    }

    /// Keeps the rows that cannot be read, in table order.
    #[must_use]
    pub fn with_unread(self, unread: Vec<UnreadRow>) -> Self {
        Memory { unread, ..self }
    }
}

/// The positions of each joint, each part, each way in and each carrier; a position comes once, at its first row's place.
#[derive(Default)]
struct PositionsBy {
    joint: HashMap<Key, Vec<Key>>,
    part: HashMap<PartNumber, Vec<Key>>,
    way_in: HashMap<Key, Vec<Key>>,
    carrier: HashMap<Key, Vec<Key>>,
}

impl PositionsBy {
    fn new(rows: &[Position]) -> Self {
        let mut place: HashMap<&Key, At> = HashMap::new();
        for row in rows {
            place.entry(&row.position).or_insert(row.at);
        }
        let mut by = PositionsBy::default();
        for row in rows {
            for joint in &row.joint {
                by.joint.entry(joint.clone()).or_default().push(row.position.clone());
            }
            if let Some(part) = row.part.part() {
                by.part.entry(part.clone()).or_default().push(row.position.clone());
            }
            if let Some(operation) = &row.reached_by {
                by.way_in.entry(operation.clone()).or_default().push(row.position.clone());
            }
            if let Some(carrier) = &row.carried_by {
                by.carrier.entry(carrier.clone()).or_default().push(row.position.clone());
            }
        }
        let by_place = |positions: &mut Vec<Key>| {
            positions.sort_by_key(|position| place.get(position).copied());
            positions.dedup();
        };
        by.joint.values_mut().for_each(by_place);
        by.part.values_mut().for_each(by_place);
        by.way_in.values_mut().for_each(by_place);
        by.carrier.values_mut().for_each(by_place);
        by
    }
}

fn retrofits_calling_for(rows: &[Retrofit]) -> HashMap<PartNumber, Vec<Retrofit>> {
    let mut groups: HashMap<PartNumber, Vec<Retrofit>> = HashMap::new();
    for row in rows {
        let mut called: Vec<&PartNumber> =
            row.needs.iter().filter_map(|need| need.part()).collect();
        called.sort();
        called.dedup();
        for part in called {
            groups.entry(part.clone()).or_default().push(row.clone());
        }
    }
    groups
}

fn equivalents_by_either(rows: Vec<Equivalent>) -> HashMap<PartNumber, Vec<Equivalent>> {
    let mut groups: HashMap<PartNumber, Vec<Equivalent>> = HashMap::new();
    for row in rows {
        if row.part != row.other {
            groups.entry(row.other.clone()).or_default().push(row.clone());
        }
        groups.entry(row.part.clone()).or_default().push(row);
    }
    groups
}

fn keys_in_order<K: Clone + Hash + Eq, T: Row>(groups: &HashMap<K, Vec<T>>) -> Vec<K> {
    let mut keys: Vec<(Option<At>, &K)> =
        groups.iter().map(|(key, rows)| (rows.first().map(Row::at), key)).collect();
    keys.sort_by_key(|(at, _)| *at);
    keys.into_iter().map(|(_, key)| key.clone()).collect()
}

impl Lookup for Memory {
    fn machine(&self, machine: &Key) -> Option<Cow<'_, Machine>> {
        first(&self.machines, machine)
    }
    fn assemblies_of(&self, machine: &Key) -> Found<'_, Assembly> {
        found(&self.assemblies_of, machine)
    }
    fn jobs(&self, job: &Key) -> Found<'_, Job> {
        found(&self.jobs, job)
    }
    fn job_lines(&self, job: &Key) -> Found<'_, JobLine> {
        found(&self.job_lines, job)
    }
    fn positions(&self, position: &Key) -> Found<'_, Position> {
        found(&self.positions, position)
    }
    fn positions_in_joint(&self, joint: &Key) -> Found<'_, Key> {
        found(&self.positions_in_joint, joint)
    }
    fn positions_with_part(&self, part: &PartNumber) -> Found<'_, Key> {
        found(&self.positions_with_part, part)
    }
    fn positions_reached_by(&self, operation: &Key) -> Found<'_, Key> {
        found(&self.positions_reached_by, operation)
    }
    fn positions_carried_by(&self, carrier: &Key) -> Found<'_, Key> {
        found(&self.positions_carried_by, carrier)
    }
    fn operations(&self, operation: &Key) -> Found<'_, Operation> {
        found(&self.operations, operation)
    }
    fn joint(&self, joint: &Key) -> Option<Cow<'_, Joint>> {
        first(&self.joints, joint)
    }
    fn part(&self, part: &PartNumber) -> Option<Cow<'_, Part>> {
        first(&self.parts, part)
    }
    fn part_rows(&self, part: &PartNumber) -> Found<'_, Part> {
        found(&self.parts, part)
    }
    fn part_type(&self, name: &Key) -> Option<Cow<'_, PartType>> {
        let leads_to = || first(&self.types, self.types_by_other_name.get(name)?);
        first(&self.types, name).or_else(leads_to)
    }
    fn caution(&self, caution: &Key) -> Option<Cow<'_, Caution>> {
        first(&self.cautions, caution)
    }
    fn supersessions_of(&self, old: &PartNumber) -> Found<'_, Supersession> {
        found(&self.supersessions_of, old)
    }
    fn supersessions_to(&self, new: &PartNumber) -> Found<'_, Supersession> {
        found(&self.supersessions_to, new)
    }
    fn retrofits_at(&self, position: &Key) -> Found<'_, Retrofit> {
        found(&self.retrofits_at, position)
    }
    fn retrofits_of(&self, part: &PartNumber) -> Found<'_, Retrofit> {
        found(&self.retrofits_of, part)
    }
    fn retrofits_calling_for(&self, part: &PartNumber) -> Found<'_, Retrofit> {
        found(&self.retrofits_calling_for, part)
    }
    fn contents_of(&self, part: &PartNumber) -> Found<'_, Contains> {
        found(&self.contents_of, part)
    }
    fn containers_of(&self, part: &PartNumber) -> Found<'_, Contains> {
        found(&self.containers_of, part)
    }
    fn equivalents_of(&self, part: &PartNumber) -> Found<'_, Equivalent> {
        found(&self.equivalents_of, part)
    }
    fn dimensions_of(&self, part: &PartNumber) -> Found<'_, Dimension> {
        found(&self.dimensions_of, part)
    }
    fn offers_of(&self, part: &PartNumber) -> Found<'_, Offer> {
        found(&self.offers_of, part)
    }
    fn supplier(&self, supplier: &Key) -> Option<Cow<'_, Supplier>> {
        first(&self.suppliers, supplier)
    }
    fn stock_of(&self, part: &PartNumber) -> Found<'_, Stock> {
        found(&self.stock_of, part)
    }
    fn order_lines(&self) -> Found<'_, OrderLine> {
        Cow::Borrowed(&self.order_lines)
    }
    fn seats_at(&self, position: &Key) -> Found<'_, Seat> {
        found(&self.seats_at, position)
    }
    fn selections_at(&self, position: &Key) -> Found<'_, Selection> {
        found(&self.selections_at, position)
    }
    fn log_of(&self, machine: &Key) -> Found<'_, LogEntry> {
        found(&self.log_of, machine)
    }
    fn log_names(&self, position: &Key) -> bool {
        self.log_names.contains_key(position)
    }
    fn measurements_at(&self, machine: &Key, position: &Key) -> Found<'_, Measurement> {
        found(&self.measurements_at, &(machine.clone(), position.clone()))
    }
    fn unread(&self) -> Found<'_, UnreadRow> {
        Cow::Borrowed(&self.unread)
    }
    fn machine_keys(&self) -> Vec<Key> {
        keys_in_order(&self.machines)
    }
    fn job_keys(&self) -> Vec<Key> {
        keys_in_order(&self.jobs)
    }
    fn operation_keys(&self) -> Vec<Key> {
        keys_in_order(&self.operations)
    }
    fn type_names(&self) -> Vec<Key> {
        self.types.keys().chain(self.types_by_other_name.keys()).cloned().collect()
    }
    fn position_keys(&self) -> Vec<Key> {
        keys_in_order(&self.positions)
    }
    fn supplier_keys(&self) -> Vec<Key> {
        keys_in_order(&self.suppliers)
    }
    fn part_numbers(&self) -> Vec<PartNumber> {
        keys_in_order(&self.parts)
    }
    fn file(&self, at: At) -> Cow<'_, str> {
        Cow::Borrowed(self.files.get(at.file as usize).map_or("?", String::as_str))
    }
}
