//! A second, deliberately plain solver for the main job: which operations, positions and parts a kit holds.
//!
//! It follows the page that says how a kit is worked out, sentence by sentence, in files named after its headings;
//! it scans every table from end to end each time it asks something, and shares no code with the program. It must
//! not know how the program does any of this; agreement between the two is only worth something while that holds.
//!
//! In the answer, `lines` are sorted by part key and unit, `gaps` by kind and subject, `joints` by key. None of
//! these orders is laid down, so compare them as sets. A whole number is a JSON integer.

mod action;
mod catalog;
mod cells;
mod comes_with;
mod doubts;
mod parts;
mod result;
mod retrofits;
mod rounds;
mod scope;
mod supersession;
#[cfg(test)]
mod tests;
mod unread;
mod words;

pub use cells::{Row, Tables};
pub use unread::BEYOND_THE_HEADER;

use catalog::Catalog;
use cells::{Key, Quantity, key};
use parts::Measured;
use result::{Line, Planned, Role};
use rounds::State;
use rust_decimal::Decimal;
use serde_json::{Value, json};
use std::cell::RefCell;
use std::collections::{BTreeMap, BTreeSet};
use unread::Reached;
use words::Current;

/// What a person asks for: jobs on a machine, with options.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Ask {
    pub machine: String,
    pub jobs: Vec<String>,
    pub options: Vec<String>,
}

/// A gap's kind and subject, the subject as it is shown.
type Gap = (&'static str, String);

struct Solver {
    catalog: Catalog,
    gaps: RefCell<BTreeSet<Gap>>,
    marks: RefCell<BTreeSet<&'static str>>,
    known_currents: RefCell<BTreeMap<Key, Current>>,
    /// Parts on a chain of the kit, or judged by.
    chains: RefCell<BTreeSet<Key>>,
    types_judged: RefCell<BTreeSet<Key>>,
}

/// Works out the kit, or says why the ask is refused.
pub fn solve(tables: &Tables, ask: &Ask) -> Result<Value, String> {
    solve_and_mark(tables, ask).0
}

/// Works out the kit, and names the turns taken on the way, so that a test can show that all are taken.
pub fn solve_and_mark(
    tables: &Tables,
    ask: &Ask,
) -> (Result<Value, String>, BTreeSet<&'static str>) {
    let solver = match Solver::new(tables, &ask.machine) {
        Ok(solver) => solver,
        Err(why) => return (Err(why.to_string()), BTreeSet::from([why])),
    };
    let answer = solver.kit(ask);
    let mut marks = solver.marks.into_inner();
    marks.extend(answer.as_ref().err());
    (answer.map_err(str::to_string), marks)
}

impl Solver {
    fn new(tables: &Tables, machine: &str) -> Result<Solver, &'static str> {
        Ok(Solver {
            catalog: Catalog::read(tables, machine)?,
            gaps: RefCell::default(),
            marks: RefCell::default(),
            known_currents: RefCell::default(),
            chains: RefCell::default(),
            types_judged: RefCell::default(),
        })
    }

    fn gap(&self, kind: &'static str, subject: String) {
        self.gaps.borrow_mut().insert((kind, subject));
    }

    fn gap_on(&self, kind: &'static str, position: &Key) {
        self.gap(kind, self.catalog.show("position", position));
    }

    fn mark(&self, turn: &'static str) {
        self.marks.borrow_mut().insert(turn);
    }

    fn kit(&self, ask: &Ask) -> Result<Value, &'static str> {
        let mut state = self.start(ask)?;
        self.rounds(&mut state);

        // What is outside the finished plan raises nothing.
        self.chains.take();
        self.types_judged.take();
        let mut plan = self.plan(&state);
        let opened = self.opened_joints(&state);
        self.judge_fits(&state);
        for one in &plan {
            self.judge_position_rows(&one.position, &state);
        }
        for operation in &state.operations {
            self.judge_operation_rows(operation);
        }
        self.judge_what_does_not_add_up(&state, &plan, &opened);
        let operations = self.operations_in_order(&state);
        for joint in &opened {
            self.judge_joint(joint, &plan, &state);
        }
        let sets: Vec<(Key, Quantity)> = state
            .sets
            .iter()
            .flat_map(|set| {
                let view = self.catalog.view_of_assembly(&set.assembly);
                self.finals_to_buy(view, &set.part, &set.quantity)
            })
            .collect();
        let provided = self.hand_out_what_comes_along(&sets, &mut plan, &state);
        self.judge_what_is_ordered(&plan);
        let lines = self.lines(&sets, &plan, &state);
        let jobs: Vec<Key> = ask.jobs.iter().map(|job| key(job)).collect();
        let chains = self.chains.borrow();
        self.judge_part_rows(&chains);
        self.judge_unread_rows(&Reached {
            state: &state,
            plan: &plan,
            joints: &opened,
            jobs: &jobs,
            chains: &chains,
            provided: &provided,
            types_judged: &self.types_judged.borrow(),
        });
        Ok(self.answer_as_json(ask, &state, &operations, &opened, &plan, &lines))
    }

    fn answer_as_json(
        &self,
        ask: &Ask,
        state: &State,
        operations: &[(Key, bool)],
        joints: &BTreeSet<Key>,
        plan: &[Planned],
        lines: &[Line],
    ) -> Value {
        let catalog = &self.catalog;
        let gaps = self.gaps.borrow();
        let shown = |position: &Key| catalog.show("position", position);
        let to_measure = plan.iter().filter(|one| {
            one.is_renewed()
                && state.target(&one.position).is_none()
                && matches!(self.measured(&one.position), Measured::Open)
        });
        let choices = to_measure.flat_map(|one| {
            let choices = self.choices(&one.position).into_iter();
            choices.map(|(feature, part)| json!([shown(&one.position), feature, part]))
        });
        json!({
            "machine": catalog.machine_shown,
            "jobs": ask.jobs.iter().map(|job| catalog.show("job", &key(job))).collect::<Vec<_>>(),
            "options": ask.options,
            "complete": gaps.is_empty(),
            "operations": operations.iter().map(|(operation, is_after)| json!({
                "operation": catalog.show("operation", operation),
                "phase": if *is_after { "after" } else { "strip" },
            })).collect::<Vec<_>>(),
            "joints": joints.iter().map(|joint| catalog.show("joint", joint)).collect::<Vec<_>>(),
            "positions": plan.iter().map(|one| self.position_as_json(one)).collect::<Vec<_>>(),
            "lines": lines.iter().map(|line| json!({
                "part": catalog.show_part(&line.part),
                "quantity": number(line.quantity),
                "unit": line.unit,
                "role": line.role.word(),
                "positions": line.positions.iter().map(shown).collect::<Vec<_>>(),
            })).collect::<Vec<_>>(),
            "gaps": gaps.iter().map(|(kind, subject)| json!({
                "kind": kind,
                "subject": subject,
            })).collect::<Vec<_>>(),
            "already_there": state.already_there.iter().map(|(position, part)| json!({
                "position": shown(position),
                "part": catalog.show_part(part),
            })).collect::<Vec<_>>(),
            "measure_first": choices.collect::<Vec<_>>(),
        })
    }

    fn position_as_json(&self, planned: &Planned) -> Value {
        let catalog = &self.catalog;
        let shown_chain = |chain: &[Key]| -> Vec<String> {
            chain.iter().map(|part| catalog.show_part(part)).collect()
        };
        json!({
            "position": catalog.show("position", &planned.position),
            "assembly": self.assembly_of(&planned.position),
            "action": planned.action.word(),
            "role": planned.role.map(Role::word),
            "current": self.shown_current(&planned.position),
            "parts": planned.pieces.iter().map(|piece| json!({
                "part": catalog.show_part(&piece.part),
                "quantity": number(piece.quantity.number),
                "unit": piece.quantity.unit,
                "chain": shown_chain(&piece.resolved.chain),
            })).collect::<Vec<_>>(),
            "covered": planned.covered.iter().map(|(by, part, quantity)| json!({
                "by": catalog.show_part(by),
                "part": catalog.show_part(part),
                "quantity": number(*quantity),
            })).collect::<Vec<_>>(),
        })
    }
}

/// A whole number as an integer, any other as the nearest float.
fn number(exact: Decimal) -> Value {
    let exact = exact.normalize();
    match i64::try_from(exact) {
        Ok(whole) if exact.is_integer() => json!(whole),
        _ => json!(exact.to_string().parse::<f64>().unwrap()),
    }
}
