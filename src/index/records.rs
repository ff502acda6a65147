//! What is kept of each row, under which keys, and in which bytes.

use crate::catalog::{Rows, Scope, Verdict};
use crate::measure::{Key, PartNumber};
use serde::Serialize;
use serde::de::DeserializeOwned;
use std::collections::HashSet;
use xxhash_rust::xxh3::xxh3_64_with_seed;

/// What a record says of its key.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
#[repr(u8)]
pub(super) enum Tag {
    Machine = 1,
    Job,
    JobLine,
    Position,
    InJoint,
    WithPart,
    Operation,
    Joint,
    Part,
    SupersessionOf,
    SupersessionTo,
    RetrofitAt,
    RetrofitOf,
    ContentOf,
    ContainerOf,
    Equivalent,
    Dimension,
    Offer,
    Supplier,
    Stock,
    Seat,
    Log,
    LogNames,
    Measurement,
    TypeList,
    CautionList,
    MachineList,
    JobList,
    OnModel,
    WayIn,
    RetrofitCallingFor,
    OrderList,
    OperationList,
    SupplierList,
    Assembly,
    Carried,
    Selection,
}

pub(super) fn of_key(key: &Key) -> u64 {
    xxh3_64_with_seed(key.folded().as_bytes(), 1)
}

pub(super) fn of_part(part: &PartNumber) -> u64 {
    xxh3_64_with_seed(part.folded().as_bytes(), 2)
}

pub(super) fn of_pair(one: &Key, other: &Key) -> u64 {
    xxh3_64_with_seed(other.folded().as_bytes(), of_key(one))
}

/// The key of a list of which a catalog has only one.
pub(super) fn of_list(tag: Tag) -> u64 {
    xxh3_64_with_seed(&[tag as u8], 3)
}

/// The parts of a model stand under so many keys, so that no page grows with the whole catalog.
pub(super) const SHARES: u64 = 16;

/// A share of the parts that rows name for a model, or, without one, for every model.
pub(super) fn of_model(model: Option<&Key>, share: u64) -> u64 {
    let folded = model.map_or("", |model| model.folded());
    xxh3_64_with_seed(folded.as_bytes(), 16 + 2 * share + u64::from(model.is_some()))
}

/// Gives the keys under which a part stands that a row of this scope names at a position.
fn models_of(scope: &Scope, position: &Key) -> Vec<u64> {
    let share = of_key(position) % SHARES;
    match scope.model.as_slice() {
        [] => vec![of_model(None, share)],
        models => models.iter().map(|model| of_model(Some(model), share)).collect(),
    }
}

/// Puts a value into bytes behind those that are there. All that is kept can be put into bytes; what could not be
/// would be missing and fail its reader.
pub(super) fn encode(value: &impl Serialize, bytes: &mut Vec<u8>) {
    let _ = bincode::serde::encode_into_std_write(value, bytes, bincode::config::standard());
}

/// Reads a value; `None` where the bytes are no such value.
pub(super) fn decode<T: DeserializeOwned>(bytes: &[u8]) -> Option<T> {
    bincode::serde::decode_from_slice(
        bytes,
        bincode::config::standard().with_limit::<{ 1 << 28 }>(),
    )
    .ok()
    .map(|(value, _)| value)
}

/// Takes records; the rows in them stand in a piece of a table, on lines counted from its first.
pub(super) struct Sink<'s> {
    pub put: &'s mut dyn FnMut(u64, Tag, &[u8]),
    pub bytes: Vec<u8>,
}

impl Sink<'_> {
    fn put(&mut self, tag: Tag, value: &impl Serialize, keys: impl IntoIterator<Item = u64>) {
        self.bytes.clear();
        encode(value, &mut self.bytes);
        for key in keys {
            (self.put)(key, tag, &self.bytes);
        }
    }
}

/// Gives the records of the rows of one piece.
pub(super) fn records(rows: &Rows, sink: &mut Sink<'_>) {
    for row in &rows.machines {
        sink.put(Tag::Machine, row, [of_key(&row.machine)]);
        sink.put(Tag::MachineList, &(row.at, &row.machine), [of_list(Tag::MachineList)]);
    }
    for row in &rows.assemblies {
        sink.put(Tag::Assembly, row, [of_key(&row.machine)]);
    }
    for row in &rows.jobs {
        sink.put(Tag::Job, row, [of_key(&row.job)]);
        sink.put(Tag::JobList, &(row.at, &row.job), [of_list(Tag::JobList)]);
    }
    for row in &rows.job_lines {
        sink.put(Tag::JobLine, row, [of_key(&row.job)]);
    }
    for row in &rows.positions {
        sink.put(Tag::Position, row, [of_key(&row.position)]);
        let named = (row.at, &row.position);
        if !row.joint.is_empty() {
            sink.put(Tag::InJoint, &named, row.joint.iter().map(of_key));
        }
        if let Some(operation) = &row.reached_by {
            sink.put(Tag::WayIn, &named, [of_key(operation)]);
        }
        if let Some(carrier) = &row.carried_by {
            sink.put(Tag::Carried, &named, [of_key(carrier)]);
        }
        if let Some(part) = row.part.part() {
            sink.put(Tag::WithPart, &named, [of_part(part)]);
            sink.put(
                Tag::OnModel,
                &(row.at, part, &row.scope),
                models_of(&row.scope, &row.position),
            );
        }
    }
    for row in &rows.operations {
        sink.put(Tag::Operation, row, [of_key(&row.operation)]);
        sink.put(Tag::OperationList, &(row.at, &row.operation), [of_list(Tag::OperationList)]);
    }
    for row in &rows.joints {
        sink.put(Tag::Joint, row, [of_key(&row.joint)]);
    }
    for row in &rows.parts {
        sink.put(Tag::Part, row, [of_part(&row.part)]);
    }
    for row in &rows.supersessions {
        sink.put(Tag::SupersessionOf, row, [of_part(&row.old)]);
        sink.put(Tag::SupersessionTo, row, [of_part(&row.new)]);
    }
    for row in &rows.retrofits {
        let called: HashSet<u64> =
            row.needs.iter().filter_map(|need| need.part()).map(of_part).collect();
        sink.put(Tag::RetrofitCallingFor, row, called);
        sink.put(Tag::RetrofitAt, row, [of_key(&row.position)]);
        sink.put(Tag::RetrofitOf, row, [of_part(&row.part)]);
        if row.verdict != Verdict::No {
            sink.put(
                Tag::OnModel,
                &(row.at, &row.part, &row.scope),
                models_of(&row.scope, &row.position),
            );
        }
    }
    for row in &rows.contains {
        sink.put(Tag::ContentOf, row, [of_part(&row.part)]);
        sink.put(Tag::ContainerOf, row, [of_part(&row.contained)]);
    }
    for row in &rows.equivalents {
        let other = (row.part != row.other).then(|| of_part(&row.other));
        sink.put(Tag::Equivalent, row, [of_part(&row.part)].into_iter().chain(other));
    }
    for row in &rows.dimensions {
        sink.put(Tag::Dimension, row, [of_part(&row.part)]);
    }
    for row in &rows.offers {
        sink.put(Tag::Offer, row, [of_part(&row.part)]);
    }
    for row in &rows.suppliers {
        sink.put(Tag::Supplier, row, [of_key(&row.supplier)]);
        sink.put(Tag::SupplierList, &(row.at, &row.supplier), [of_list(Tag::SupplierList)]);
    }
    for row in &rows.orders {
        sink.put(Tag::OrderList, row, [of_list(Tag::OrderList)]);
    }
    for row in &rows.stock {
        sink.put(Tag::Stock, row, [of_part(&row.part)]);
    }
    for row in &rows.seats {
        sink.put(Tag::Seat, row, [of_key(&row.position)]);
    }
    for row in &rows.selections {
        sink.put(Tag::Selection, row, [of_key(&row.position)]);
    }
    for row in &rows.worklog {
        sink.put(Tag::Log, row, [of_key(&row.machine)]);
        if let Some(position) = &row.position {
            sink.put(Tag::LogNames, &(row.at, position), [of_key(position)]);
        }
    }
    for row in &rows.measurements {
        sink.put(Tag::Measurement, row, [of_pair(&row.machine, &row.position)]);
    }
    for row in &rows.types {
        sink.put(Tag::TypeList, row, [of_list(Tag::TypeList)]);
    }
    for row in &rows.cautions {
        sink.put(Tag::CautionList, row, [of_list(Tag::CautionList)]);
    }
}
