//! Names in one table that another table does not hold.

use super::code::Code;
use super::findings::Findings;
use super::grouped::Grouped;
use super::grouped::group;
use super::names::Names;
use crate::catalog::{Column, Form, Name, Operation, Row, Thing, Visit};
use crate::measure::Key;
use crate::near::nearest;

pub(super) const MODEL: Code = Code::error(
    "dangling-model",
    "A machine, or the scope of a row, names a model that is not in models.",
    "Add the model to models.csv, or spell it as its row does.",
);
pub(super) const MACHINE: Code = Code::error(
    "dangling-machine",
    "The work log, a measurement or an order names a machine that is not in machines.",
    "Add the machine to machines.csv, or spell it as its row does.",
);
pub(super) const POSITION: Code = Code::error(
    "dangling-position",
    "A row names a position that does not exist: no row of positions has that name.",
    "Add the position to positions.csv, or spell it as its row does.",
);
pub(super) const JOINT: Code = Code::error(
    "dangling-joint",
    "An operation opens a joint that no position belongs to and that joints does not list, so whatever seals it would be missed.",
    "Name the joint in the joint column of the positions in it, or spell it as they do. A joint that holds nothing goes into joints.csv with dry = yes.",
);
pub(super) const OPERATION: Code = Code::error(
    "dangling-operation",
    "A row names an operation that is not in operations.",
    "Add the operation to operations.csv, or spell it as its row does.",
);
pub(super) const JOB: Code = Code::error(
    "dangling-job",
    "A job line, the work log or an order names a job that is not in jobs.",
    "Add the job to jobs.csv, or spell it as its row does.",
);
pub(super) const OPTION: Code = Code::error(
    "dangling-option",
    "The work log says that a job was begun with an option, or without it, that no line of the job asks about, so what is left of the job may be worked out wrongly.",
    "Spell the option as the job's lines in job_lines.csv do, and name its job in the same row.",
);
pub(super) const SUPPLIER: Code = Code::error(
    "dangling-supplier",
    "An offer or an order names a supplier that is not in suppliers.",
    "Add the supplier to suppliers.csv, or spell it as its row does.",
);
pub(super) const TYPE: Code = Code::error(
    "dangling-type",
    "A part has a type that is neither a type nor another name for one, so no rule says what becomes of it when it is disturbed.",
    "Use the name of a type, or add the type to a types.csv of your own.",
);
pub(super) const CAUTION: Code = Code::error(
    "dangling-caution",
    "An operation names a caution that is not there, so it would not be shown.",
    "Use the name of a caution, or add it to a cautions.csv of your own.",
);

pub(super) const CODES: &[Code] =
    &[MODEL, MACHINE, POSITION, JOINT, OPERATION, JOB, OPTION, SUPPLIER, TYPE, CAUTION, NAME];

pub(super) const NAME: Code = Code::error(
    "dangling-name",
    "A row names something of which the table for it has no row.",
    "Add it to its table, or spell it as its row does.",
);

/// Finds every key that names nothing. Part numbers have a room of their own.
pub(super) fn find(catalog: &Grouped, findings: &mut Findings) {
    catalog.rows.visit(&mut Seek { catalog, findings });
    if catalog.whole(&["job_lines"]) {
        options(catalog, findings);
    }
}

fn code(thing: Thing) -> Option<Code> {
    Some(match thing {
        Thing::Model => MODEL,
        Thing::Machine => MACHINE,
        Thing::Position => POSITION,
        Thing::Joint => JOINT,
        Thing::Operation => OPERATION,
        Thing::Job => JOB,
        Thing::Supplier => SUPPLIER,
        Thing::Type => TYPE,
        Thing::Caution => CAUTION,
        // What these name is judged elsewhere, by more than whether it is there.
        Thing::Part | Thing::Trait | Thing::Option => return None,
        _ => NAME,
    })
}

struct Seek<'s, 'f, 'a> {
    catalog: &'s Grouped<'a>,
    findings: &'s mut Findings<'f>,
}

impl<'a> Visit<'a> for Seek<'_, '_, 'a> {
    fn rows<R: Row>(&mut self, rows: &'a [R]) {
        let sought = |column: &Column| -> Vec<(Form, Thing, Code)> {
            // Of a name that may be of several kinds, another column tells which.
            let is_sought = !column.says.gives && column.says.or.is_empty();
            let named = column.names.iter().filter(|_| is_sought);
            named.filter_map(|(thing, form)| Some((*form, *thing, code(*thing)?))).collect()
        };
        let columns = &R::definition().columns;
        let sought: Vec<_> = columns.iter().map(sought).collect();
        if sought.iter().all(Vec::is_empty) {
            return;
        }
        for row in rows {
            row.names(&mut |slot, form, name| {
                let named = sought[slot].iter().filter(|(sought, ..)| *sought == form);
                for (_, thing, code) in named {
                    let names = self.catalog.names(*thing);
                    if names.lack(name) {
                        let message = missing::<R>(*thing, name, names);
                        self.findings.add_of_cell(*code, row.at(), columns[slot].name, message);
                    }
                }
            });
        }
    }
}

fn missing<R: Row>(thing: Thing, name: Name<'_>, names: &Names) -> String {
    let (shown, hint) = (name.as_str(), names.hint(name));
    match thing {
        Thing::Joint if R::NUMBER == Operation::NUMBER => format!(
            "no position belongs to the joint `{shown}`, so nothing that seals it would be found; name it in the joint column of its positions, list it in joints.csv, or correct it here{hint}"
        ),
        Thing::Type => format!(
            "`{shown}` is neither a type nor another name for one; use a type that is listed or add it to types.csv{hint}"
        ),
        _ => names.missing(name),
    }
}

fn options(catalog: &Grouped, findings: &mut Findings) {
    let lines = group(&catalog.rows.job_lines, |row| &row.job);
    for row in &catalog.rows.worklog {
        let of_job = row.job.as_ref().and_then(|job| lines.get(job)).map_or(&[][..], Vec::as_slice);
        let asked = || of_job.iter().filter_map(|line| Some(&line.option.as_ref()?.name));
        for option in row
            .options
            .iter()
            .map(|option| &option.name)
            .filter(|option| !asked().any(|known| known == *option))
        {
            let message = match &row.job {
                None => {
                    format!("`{option}` is an option of a job, but the row names no job; name it")
                }
                Some(job) => {
                    let near = nearest(option.as_str(), asked().map(Key::as_str));
                    let hint =
                        near.map_or_else(String::new, |near| format!(" (is `{near}` meant?)"));
                    format!(
                        "no line of `{job}` asks about the option `{option}`; correct it here{hint}"
                    )
                }
            };
            findings.add_of_cell(OPTION, row.at, "options", message);
        }
    }
}
