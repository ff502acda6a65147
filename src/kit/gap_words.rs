//! Each gap as a sentence: what is wrong, and what to do.

use super::bench::Bench;
use super::gap::{Subject, Why};
use super::words::{discontinued, meant, missing};
use crate::catalog::{At, Machine, Operation, Position, Scope, Selection};
use crate::measure::{Gauged, Key, PartNumber};
use crate::near::nearest;

/// Says what is wrong, and what to do.
pub(super) fn gap(bench: &Bench, subject: &Subject, why: &Why) -> String {
    let lookup = bench.lookup;
    let at = |at: &At| lookup.place(*at);
    match why {
        Why::JobUnsure { .. }
        | Why::LineUnsure { .. }
        | Why::MayBeReplaced { .. }
        | Why::RetrofitUnsure { .. }
        | Why::SelectionsUnsure { .. }
        | Why::PositionRowsUnsure { .. }
        | Why::OperationRowsUnsure { .. }
        | Why::LoggedTwice { .. }
        | Why::Forks { .. } => not_settled(bench, why),
        Why::NoPosition { .. }
        | Why::NoPositionRemoved { .. }
        | Why::NoPositionLeftOut { .. }
        | Why::NoOperation { .. }
        | Why::OperationForOthers { .. } => not_there(bench, subject, why),
        Why::TwoParts { stays, other, by } => {
            let name = |part: &Option<PartNumber>| {
                part.as_ref().map_or("nothing".to_owned(), ToString::to_string)
            };
            let (stays, other) = (name(stays), name(other));
            format!(
                "it is to hold {stays}, and then {other} ({by}); {stays} stays in the plan: decide which, and change the other row"
            )
        }
        Why::RenewedThenEmpty { by } => format!(
            "it is to be renewed, and then to be left empty ({by}); it stays renewed: decide which, and change the other row"
        ),
        Why::EmptyThenRenewed { by } => format!(
            "it is to be left empty, and then to be renewed ({by}); it stays empty: decide which, and change the other row"
        ),
        Why::NeedsItself { at: row } => format!(
            "it must come before itself by way of the needs of others ({}); take out the need that points backwards",
            at(row)
        ),
        Why::AsGood { taken, other } => format!(
            "two replacements are as good as each other: {} was taken, {} passed over; give one a later `since` or narrower limits, or take it out",
            at(taken),
            at(other)
        ),
        Why::LeadsBack { at: row } => format!(
            "its replacements lead back to a number already passed ({}); take out the row that points backwards",
            at(row)
        ),
        Why::NobodyKnows { part, holds: None } => format!(
            "nothing says that {part} fits here on this machine; find out, and add a row to retrofits"
        ),
        Why::NobodyKnows { part, holds: Some((contained, row)) } => format!(
            "{part} itself does not go here: it is a set that holds {contained} ({}), which does; take the position out of the job line, so that the set is bought, and renew the position by a line without a part",
            at(row)
        ),
        Why::Refused { part, at: row, note } => format!(
            "{part} does not go here ({}){}; choose another part for it",
            at(row),
            noted(note)
        ),
        Why::LookFirst { part, at: row, note } => format!(
            "{part} goes here only if the machine is as the row says ({}){}; look, and if it holds, write {part} under confirms in the log at this position",
            at(row),
            noted(note)
        ),
        Why::NothingListed => {
            "it is to be renewed, but nothing is listed there for this machine; add its part"
                .to_owned()
        }
        Why::NotLookedUp { at: row } => {
            format!("nobody has looked up its part number yet; fill in the cell part ({})", at(row))
        }
        Why::NotInParts { part } => {
            format!("its part {part} is not in the table parts; add a row for it")
        }
        Why::NeitherInParts { part } => format!(
            "its part {part} is not in the table parts, nor is what it became; add a row for it"
        ),
        Why::OrderedNotInParts => {
            "it is to be ordered, but is not in the table parts; add a row for it".to_owned()
        }
        Why::NoType { part, at: row } => format!(
            "its part {part} has no type, so no rule says whether it is used up; fill in the cell type ({}), or when_disturbed at the position",
            at(row)
        ),
        Why::StrangeType { part, name, at: row } => {
            let names = lookup.type_names();
            let meant = nearest(name.as_str(), names.iter().map(Key::as_str));
            let hint = meant.map_or_else(String::new, |meant| format!(" (did you mean {meant}?)"));
            format!(
                "its part {part} is of the type {name}, which is not in the table types{hint}; correct it ({}), add the type with its rule, or fill in when_disturbed at the position",
                at(row)
            )
        }
        Why::TypeWithoutRule { part, name, at: row } => format!(
            "the type {name} of its part {part} has no rule; fill in when_disturbed ({})",
            at(row)
        ),
        Why::Discontinued { at } => match subject {
            Subject::Part(part) => discontinued(part, *at, lookup),
            _ => String::new(),
        },
        Why::Withdrawn { at: row } => format!(
            "it is withdrawn, never to be fitted again ({}); find what replaces it and add a row to supersessions, or put another part there",
            at(row)
        ),
        Why::MeasureFirst { rows } => measure_first(bench, rows),
        Why::PositionRowsDiffer { used, other } => {
            differ(&at(&used.at), &at(&other.at), &columns(used, other))
        }
        Why::OperationRowsDiffer { used, other } => {
            differ(&at(used), &at(other), "needs, opens, removes, uses or phase")
        }
        Why::PartRowsDiffer { used, other } => differ_in_part(&at(used), &at(other)),
        Why::JointShut { joint } => format!(
            "it is changed, but nothing in the plan opens its joint {joint}; fill in the operation that does under reached_by, let that operation open the joint, or type - under reached_by where nothing comes apart"
        ),
        Why::NoWayIn { at: row } => format!(
            "it is changed, but its row names neither a joint nor a way in, and no operation of the plan takes it off ({}); fill in reached_by, or type - there where nothing comes apart",
            at(row)
        ),
        Why::Between { before, after, years } => {
            let limits = if *years { "year" } else { "serial" };
            format!(
                "by its {limits} this machine lies between {} and {}, and no row is for it; widen one of them, or add a row, with - as the part where nothing sits there in between",
                at(before),
                at(after)
            )
        }
        Why::Foreign { part, logged, row } => format!(
            "{part} sits there ({}), but is listed for other machines only ({}); if the assembly comes from another machine, give it a row in assemblies, or if the part is known to fit, one in retrofits",
            at(logged),
            at(row)
        ),
        Why::Unsealed { holds } => format!(
            "it is opened, but {holds}: add its gasket, O-ring or seal to positions, or write yes under dry in the table joints"
        ),
        Why::Unread { table, at: row, message } => format!(
            "a row of {table} cannot be read ({}), and it could change this kit: {message}",
            at(row)
        ),
    }
}

fn noted(note: &str) -> String {
    if note.is_empty() { String::new() } else { format!(": {note}") }
}

fn differ(used: &str, other: &str, cells: &str) -> String {
    format!(
        "{used} and {other} both apply to this machine and differ in {cells}; the first was used: narrow one of them"
    )
}

fn differ_in_part(used: &str, other: &str) -> String {
    format!(
        "{used} and {other} are both for this number and differ in type, single_use, unit or status; the first was used: take one of them out"
    )
}

/// The columns in which two rows of a position differ.
fn columns(a: &Position, b: &Position) -> String {
    let mut cells = Vec::new();
    let pairs = [
        (a.part != b.part, "part"),
        (a.quantity != b.quantity, "quantity"),
        (a.joint != b.joint, "joint"),
        (a.reached_by != b.reached_by, "reached_by"),
        (a.carried_by != b.carried_by, "carried_by"),
        (a.when_disturbed != b.when_disturbed, "when_disturbed"),
    ];
    cells.extend(pairs.iter().filter(|(differ, _)| *differ).map(|(_, name)| *name));
    cells.join(" and ")
}

fn not_settled(bench: &Bench, why: &Why) -> String {
    let at = |at: &At| bench.lookup.place(*at);
    let missing = |scopes: &[&Scope], machine: &Machine| {
        missing(scopes, machine, bench.assembly_of(machine).as_ref())
    };
    match why {
        Why::JobUnsure { rows, machine } => {
            let places: Vec<String> = rows.iter().map(|(row, _)| at(row)).collect();
            let scopes: Vec<&Scope> = rows.iter().map(|(_, scope)| scope).collect();
            format!(
                "the job may not be for this machine ({}); {}",
                places.join(", "),
                missing(&scopes, machine)
            )
        }
        Why::LineUnsure { at: row, scope, machine } => format!(
            "a line of the job may not be for this machine ({}); {}",
            at(row),
            missing(&[scope], machine)
        ),
        Why::MayBeReplaced { at: row, scope, machine } => format!(
            "a row may replace it on this machine or not ({}), so it was not followed; {}",
            at(row),
            missing(&[scope], machine)
        ),
        Why::RetrofitUnsure { part, at: row, scope, machine } => format!(
            "whether {part} goes here on this machine is not settled ({}); {}",
            at(row),
            missing(&[scope], machine)
        ),
        Why::Forks { most } => format!(
            "its replacements fork into more than {most} parts, and the rest was not followed; look for rows of supersessions that stand there twice"
        ),
        Why::LoggedTwice { one, other } => format!(
            "{} and {} put two different parts there on one date, each for all of it; correct the date, quantity or part of one of them",
            at(one),
            at(other)
        ),
        Why::SelectionsUnsure { rows, machine } => {
            let scopes: Vec<&Scope> = rows.iter().map(|row| &row.scope).collect();
            let first = rows.first().map_or_else(String::new, |row| at(&row.at));
            format!(
                "whether its part is chosen by measuring on this machine is not settled ({first}); {}",
                missing(&scopes, machine)
            )
        }
        Why::PositionRowsUnsure { used, rows, machine } => {
            positions_unsure(bench, used.as_deref(), rows, machine)
        }
        Why::OperationRowsUnsure { used, rows, machine } => {
            operations_unsure(bench, used.as_ref(), rows, machine)
        }
        _ => String::new(),
    }
}

/// Gives, for each row that it might be, how to know it by eye, and names what would settle it.
fn positions_unsure(
    bench: &Bench,
    used: Option<&Position>,
    rows: &[Position],
    machine: &Machine,
) -> String {
    let scopes: Vec<&Scope> = rows.iter().map(|row| &row.scope).collect();
    let missing = missing(&scopes, machine, bench.assembly_of(machine).as_ref());
    let place = |row: &Position| bench.lookup.place(row.at);
    let said = match (used, rows) {
        (None, [first, ..]) => format!("no row surely applies to this machine ({})", place(first)),
        (Some(used), [other, ..]) => format!(
            "{} was used, but {} may apply too and differs in {}",
            place(used),
            place(other),
            columns(used, other)
        ),
        _ => String::new(),
    };
    let tells: Vec<String> = used
        .into_iter()
        .chain(rows)
        .filter(|row| !row.tell.is_empty())
        .map(|row| format!("{} if {}", row.part, row.tell))
        .collect();
    let tells =
        if tells.is_empty() { String::new() } else { format!("; it is {}", tells.join(", ")) };
    format!("{said}{tells}; {missing}")
}

fn operations_unsure(
    bench: &Bench,
    used: Option<&At>,
    rows: &[Operation],
    machine: &Machine,
) -> String {
    let scopes: Vec<&Scope> = rows.iter().map(|row| &row.scope).collect();
    let missing = missing(&scopes, machine, bench.assembly_of(machine).as_ref());
    let first = rows.first().map_or_else(String::new, |row| bench.lookup.place(row.at));
    match used {
        None => format!("no row surely applies to this machine ({first}); {missing}"),
        Some(used) => format!(
            "{} was used, but {first} may apply too and differs in needs, opens, removes, uses or phase; {missing}",
            bench.lookup.place(*used)
        ),
    }
}

fn measure_first(bench: &Bench, rows: &[Selection]) -> String {
    let mut features: Vec<String> = rows.iter().map(|row| row.feature.to_string()).collect();
    features.dedup();
    let limit = |limit: &Option<Gauged>| limit.as_ref().map_or(String::new(), ToString::to_string);
    let choices: Vec<String> = rows
        .iter()
        .map(|row| {
            let part = bench.lookup.spell_part(&row.part);
            format!("{part} for {}..{}", limit(&row.least), limit(&row.most))
        })
        .collect();
    format!(
        "its part is chosen by measuring {}, and no reading tells which one ({}); measure it, and write the reading down",
        features.join(" and "),
        choices.join(", ")
    )
}

fn not_there(bench: &Bench, subject: &Subject, why: &Why) -> String {
    let lookup = bench.lookup;
    let by =
        |by: &str| if by.is_empty() { String::new() } else { format!(" (asked for by: {by})") };
    match (why, subject) {
        (Why::NoPosition { by: reason }, Subject::Position(position)) => {
            let hint = meant(position.as_str(), &lookup.position_keys());
            format!(
                "there is no row for it in positions; add one that says what sits there and how one gets at it{hint} (asked for by: {reason})"
            )
        }
        (Why::NoPositionRemoved { operation, at }, Subject::Position(position)) => format!(
            "{operation} takes it off ({}), but there is no row for it in positions; add one, or correct the name{}",
            lookup.place(*at),
            meant(position.as_str(), &lookup.position_keys())
        ),
        (Why::NoPositionLeftOut { place }, Subject::Position(position)) => {
            let hint = meant(position.as_str(), &lookup.position_keys());
            format!(
                "the log names it under left_out, but there is no row for it in positions{hint} ({place})"
            )
        }
        (Why::NoOperation { by: reason }, Subject::Operation(operation)) => {
            let hint = meant(operation.as_str(), &lookup.operation_keys());
            format!(
                "there is no row for it in operations; add one that says what must come first and what it opens{hint}{}",
                by(reason)
            )
        }
        (Why::OperationForOthers { by: reason }, _) => format!(
            "its rows are all for other machines; add one for this machine, or correct what leads to it{}",
            by(reason)
        ),
        _ => String::new(),
    }
}
