//! A second, deliberately plain solver for the main job: which operations, positions and parts a kit holds.
//!
//! It follows the page that says how a kit is worked out, sentence by sentence, in files named after its headings;
//! it scans every table from end to end each time it asks something, and shares no code with the program. It must
//! not know how the program does any of this; agreement between the two is only worth something while that holds.
//!
//! In the answer, `lines` are sorted by part key and unit, `gaps` by kind and subject, `joints` by key. None of
//! these orders is laid down, so compare them as sets. A whole number is a JSON integer.
//!
//! Where the page leaves a choice, the reading taken here, heading by heading.
//!
//! Words
//!  1. Several `assemblies` rows of one assembly: the first counts. A job with several rows has the assembly of its
//!     first row; its lines that name no position are judged by it, a set line by its own assembly first. The chain of
//!     a set is followed for the same assembly.
//!  2. Within one serial range an end that excludes outweighs an end that cannot be compared.
//!  3. A set and a quantity of 1 differ, as do a blank and a filled `when_disturbed`. Blank status is available, blank
//!     unit is each, and two names of one type are the same.
//!  4. The log is read row by row: a row behind `-` on the same date counts again. The same part twice on one date is
//!     there twice. Less than Q is less than Q itself, whatever the factor of the part; units that do not convert are
//!     not less.
//!  5. Two parts of one date stay unsettled though a later part of Q has taken some of one of them. What came along as
//!     the other of a replacement is no part that the log names.
//!  6. The others of a replacement are those of every group on the way from the listed part, each group unless the log
//!     names one of its others on that date; the listed end first.
//!  7. Only a part that the log names calls for something at another position, not what came along with it; what it
//!     calls for raises no gap. Per part the retrofit rows come before the chain, and of a group only the rows on the way
//!     to it.
//!
//! Supersession
//!  8. Equal rows stand where the first of them stands that counts. Rows that say *no* are no rows.
//!  9. *Free* looks at the rows on this chain alone, not at the others of a group.
//!
//! Rounds
//! 10. A job line's operation is added after its position. A second target whose quantity is as large changes nothing.
//! 11. With several starts, the retrofit rows of all final parts come before the needs of all chains.
//! 12. What is called for without `*n` is Q times the factor to the part called for; of what sits there, that many times
//!     the factor on from it. The same number twice at a position counts together.
//! 13. The answer names the part that sits there already, and leaves out a position that became a target after all.
//! 14. A part measured to be on no chain of what sits there is renewed whatever `when_disturbed` says, unless its
//!     carrier is left out. Where it waits for a reading, its action raises no `part-unknown` either.
//! 15. What is chosen by measuring counts Q times its factor, whatever the log says of a quantity.
//! 16. A part not in `parts` that is judged as its first final part raises the gaps of that chain; for rows of `parts`
//!     that disagree, only the final part counts.
//! 17. A `look-first` row gives its gap though another row says `no`. A `no` forbids even what a `needs` called for.
//! 18. The log gives a quantity where every part that sits there has one of its own.
//! 19. Chains looked at for a seal raise no gaps.
//! 20. Parts judged by are those that settle an action; a type that only seals is not among them.
//!
//! The result
//! 21. An operation opens the joints of what it removes. In its `uses` a part seals, or what it became.
//! 22. A covered `set` is covered at each of its positions, as far as something remains there. It gives nothing to any
//!     position that shares it.
//! 23. A provider that gave in vain is no provider that has given. The giving starts anew at the first cover that
//!     comes afterwards.
//! 24. `as-needed` of something discontinued is a gap, for it has to be at hand.
//! 25. Discontinued and withdrawn are judged on the finished plan; what else a round said stays.
//! 26. Equivalents count both ways, one step far.
//!
//! Rows that cannot be read
//! 27. A position is nowhere if no table but the log names it, so that a name which an operation removes may be the
//!     log's alone. A blank key cannot be read, and neither can any other blank cell that is required.
//! 28. The key of a log row or an assembly is its machine, of a retrofit or a selection its position. A row with cells
//!     beyond its header has a key that can be read.
//! 29. A box of which nothing remains to be ordered provides nothing.
//! 30. A job of which no row can be read is no job: the kit is refused.

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
use words::{By, Current};

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
    /// Parts on a chain of the kit.
    chains: RefCell<BTreeSet<Key>>,
    /// Those, and the parts on a chain that was followed to judge by.
    looked_at: RefCell<BTreeSet<Key>>,
    /// Parts that an action was judged by.
    judged_by: RefCell<BTreeSet<Key>>,
    types_judged: RefCell<BTreeSet<Key>>,
}

/// Works out the kit, or says why the ask is refused.
pub fn solve(tables: &Tables, ask: &Ask) -> Result<Value, String> {
    solve_and_mark(tables, ask).0
}

/// The positions without a log row of their own that the log settles all the same: a part fitted elsewhere calls for one.
pub fn called_for_by_what_is_fitted(tables: &Tables, machine: &str) -> BTreeSet<String> {
    let Ok(solver) = Solver::new(tables, machine) else { return BTreeSet::new() };
    let positions = solver.positions_with_a_row().into_iter();
    positions.filter(|position| solver.current(position).by == By::CalledFor).collect()
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
            looked_at: RefCell::default(),
            judged_by: RefCell::default(),
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
        self.looked_at.take();
        self.judged_by.take();
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
        let judged_by = self.judged_by.borrow();
        let counted: BTreeSet<Key> = self.chains.borrow().union(&judged_by).cloned().collect();
        self.judge_part_rows(&counted);
        let looked_at: BTreeSet<Key> = self.looked_at.borrow().union(&judged_by).cloned().collect();
        self.judge_unread_rows(&Reached {
            state: &state,
            plan: &plan,
            joints: &opened,
            jobs: &jobs,
            chains: &looked_at,
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
        let to_measure = to_measure.flat_map(|one| {
            let choices = self.choices(&one.position).into_iter();
            choices.map(|(feature, part)| {
                let part = catalog.show_part(&part);
                json!({
                    "position": shown(&one.position),
                    "feature": feature,
                    "choices": [{ "part": part }],
                })
            })
        });
        // What a later need made a target after all is not there already.
        let there = state.already_there.iter().filter(|(at, _)| state.target(at).is_none());
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
            "already_there": there.map(|(position, part)| json!({
                "position": shown(position),
                "part": catalog.show_part(part),
            })).collect::<Vec<_>>(),
            "measure_first": to_measure.collect::<Vec<_>>(),
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
