//! Holds the audit to its task: a kit that was damaged in one way is noticed, an undamaged one is left alone.
//!
//! The kits are those of the tangled catalogs and of the demonstration. Each kind of damage is done in every place of
//! every kit where it can be done. Where a simple reading of the kit cannot notice it everywhere, the test says what
//! share it must notice, and why not all.

use crate::oracle::{tangle, typed_out};
use kitwright::catalog::{Change, Lookup, Memory, Need};
use kitwright::kit::{
    Action, Ask, Cause, GapKind, Instead, Kit, Line, Origin, PlannedPosition, Reason, Refusal,
    Role, audit, work_out,
};
use kitwright::measure::{DecimalMark, Key, PartNumber};
use kitwright::tables::read_folder;
use rand::seq::IndexedRandom;
use rand::{Rng, SeedableRng};
use rand_chacha::ChaCha8Rng;
use rust_decimal::Decimal;
use std::path::Path;
use std::sync::{Arc, OnceLock};

/// How many tangled catalogs are damaged.
const TANGLES: u64 = 300;

/// A finished kit with the catalog and the question that led to it.
struct Finished {
    name: String,
    catalog: Arc<Memory>,
    ask: Ask,
    kit: Kit,
}

impl Finished {
    fn findings(&self, kit: &Kit) -> Vec<String> {
        audit(&self.ask, kit, &*self.catalog).iter().map(ToString::to_string).collect()
    }
}

fn tangled(seed: u64) -> (Memory, Ask) {
    let (tables, ask) = tangle::tangle(seed);
    let ask = Ask {
        machine: Some(Key::new(&ask.machine)),
        jobs: ask.jobs.iter().map(|job| Key::new(job)).collect(),
        options: ask.options.iter().map(|option| Key::new(option)).collect(),
        ..Ask::default()
    };
    (typed_out::catalog(&tables), ask)
}

fn demo() -> Arc<Memory> {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("demo");
    Arc::new(read_folder(&folder).expect("the demonstration").catalog())
}

fn keys(names: &str) -> Vec<Key> {
    names.split_whitespace().map(Key::new).collect()
}

/// What an owner may ask of the demonstration: jobs, options, machine.
const ASKED_OF_DEMO: [(&str, &str, &str); 17] = [
    ("annual-service", "anode", "dinghy"),
    ("annual-service", "", "tender"),
    ("impeller", "", "dinghy"),
    ("impeller", "", "tender"),
    ("cooling-pump", "", "dinghy"),
    ("cooling-pump", "driveshaft-out", "dinghy"),
    ("gearcase-seals", "sleeve", "dinghy"),
    ("gearcase-seals", "seal-carrier", "tender"),
    ("propeller-shaft-seals", "prop-carrier", "dinghy"),
    ("propeller-shaft-seals", "", "tender"),
    ("thermostat", "cover", "dinghy"),
    ("thermostat", "", "tender"),
    ("carburettor-clean", "float-valve new-hose", "dinghy"),
    ("starter-rope", "spring", "tender"),
    ("tilt-bracket", "", "dinghy"),
    ("tilt-bracket", "", "tender"),
    ("cooling-pump thermostat gearcase-seals", "sleeve", "dinghy"),
];

fn demo_kits() -> &'static [Finished] {
    static KITS: OnceLock<Vec<Finished>> = OnceLock::new();
    KITS.get_or_init(|| {
        let catalog = demo();
        let kits = ASKED_OF_DEMO.map(|(jobs, options, machine)| {
            let ask = Ask {
                machine: Some(Key::new(machine)),
                jobs: keys(jobs),
                options: keys(options),
                ..Ask::default()
            };
            let kit = work_out(&ask, &*catalog).expect(jobs);
            Finished {
                name: format!("{jobs} on {machine}"),
                catalog: Arc::clone(&catalog),
                ask,
                kit,
            }
        });
        kits.into()
    })
}

fn tangled_kits() -> &'static [Finished] {
    static KITS: OnceLock<Vec<Finished>> = OnceLock::new();
    KITS.get_or_init(|| {
        let finished = (0..TANGLES).filter_map(|seed| {
            let (catalog, ask) = tangled(seed);
            let kit = work_out(&ask, &catalog).ok()?;
            Some(Finished { name: format!("catalog {seed}"), catalog: Arc::new(catalog), ask, kit })
        });
        finished.collect()
    })
}

/// Does one kind of damage in every place of every kit; gives how often it was done, and where it was not noticed.
fn unnoticed(
    kits: &[Finished],
    damage: impl Fn(&Finished) -> Vec<(String, Kit)>,
) -> (usize, Vec<String>) {
    let mut done = 0;
    let mut missed = Vec::new();
    for finished in kits {
        for (place, kit) in damage(finished) {
            done += 1;
            if finished.findings(&kit).is_empty() {
                missed.push(format!("{}: {place}", finished.name));
            }
        }
    }
    (done, missed)
}

/// The damage is noticed wherever it is done, and it can be done often.
fn always_noticed(damage: impl Fn(&Finished) -> Vec<(String, Kit)>) {
    at_least(100, 10, 50, damage);
}

/// The damage is noticed everywhere in the demonstration, and in this share of the tangled kits, in hundredths.
fn mostly_noticed(share: usize, damage: impl Fn(&Finished) -> Vec<(String, Kit)>) {
    at_least(share, 10, 50, damage);
}

/// As [`mostly_noticed`], where the damage can be done so many times in the demonstration and in the tangled kits.
fn at_least(
    share: usize,
    in_demo: usize,
    in_tangled: usize,
    damage: impl Fn(&Finished) -> Vec<(String, Kit)>,
) {
    for (kits, share, often) in [(demo_kits(), 100, in_demo), (tangled_kits(), share, in_tangled)] {
        let (done, missed) = unnoticed(kits, &damage);
        assert!(done >= often, "it could be done only {done} times");
        let noticed = done - missed.len();
        assert!(
            noticed * 100 >= done * share,
            "only {noticed} of {done}, not {:#?}",
            &missed[..missed.len().min(8)]
        );
    }
}

/// The kit with one change, for every position that is meant.
fn each_position(
    kit: &Kit,
    meant: impl Fn(&PlannedPosition) -> bool,
    change: impl Fn(&mut Kit, usize),
) -> Vec<(String, Kit)> {
    each(
        kit,
        kit.positions.iter().map(|planned| meant(planned).then(|| planned.position.clone())),
        change,
    )
}

fn each_line(
    kit: &Kit,
    meant: impl Fn(&Line) -> bool,
    change: impl Fn(&mut Kit, usize),
) -> Vec<(String, Kit)> {
    each(kit, kit.lines.iter().map(|line| meant(line).then(|| line.part.clone())), change)
}

fn each(
    kit: &Kit,
    names: impl Iterator<Item = Option<String>>,
    change: impl Fn(&mut Kit, usize),
) -> Vec<(String, Kit)> {
    let damaged = |(index, name): (usize, Option<String>)| {
        let name = name?;
        let mut damaged = kit.clone();
        change(&mut damaged, index);
        Some((name, damaged))
    };
    names.enumerate().filter_map(damaged).collect()
}

fn is_renewed(planned: &PlannedPosition) -> bool {
    planned.action == Action::Renew
}

/// The line is ordered for positions alone, not for what an operation uses or a job buys.
fn is_for_positions_only(line: &Line) -> bool {
    line.because.iter().all(|reason| matches!(reason.from, Origin::Plan(Cause::Position(_))))
}

// Undamaged.

#[test]
fn an_undamaged_kit_has_no_findings() {
    for finished in demo_kits().iter().chain(tangled_kits()) {
        assert_eq!(finished.findings(&finished.kit), [""; 0], "{}", finished.name);
    }
}

/// Positions to renew, to reuse and to fill otherwise, drawn from the first answer.
fn add_own_wishes(ask: &mut Ask, kit: &Kit, catalog: &Memory, chance: &mut ChaCha8Rng) {
    let positions = catalog.position_keys();
    for position in &positions {
        if chance.random_bool(0.15) {
            ask.renew.push(position.clone());
        }
        if chance.random_bool(0.15) {
            let part = catalog.part_numbers().choose(chance).map(|part| part.to_string());
            let text = part.filter(|_| chance.random_bool(0.7)).unwrap_or("-".to_owned());
            let change = Need::change(&text, DecimalMark::Point).expect("a number or nothing");
            ask.instead.push(Instead { position: position.clone(), change });
        }
    }
    for planned in &kit.positions {
        if planned.role == Some(Role::SingleUse) && chance.random_bool(0.3) {
            ask.reuse.push(Key::new(&planned.position));
        }
    }
}

#[test]
fn a_kit_to_which_the_person_added_their_own_wishes_has_no_findings() {
    let mut answered = 0;
    for seed in 0..1500 {
        let (catalog, mut ask) = tangled(seed);
        ask.insist = true;
        let Ok(kit) = work_out(&ask, &catalog) else { continue };
        let mut chance = ChaCha8Rng::seed_from_u64(seed);
        add_own_wishes(&mut ask, &kit, &catalog, &mut chance);
        if chance.random_bool(0.2) {
            ask.jobs.clear();
        }
        let answer = match work_out(&ask, &catalog) {
            // What is no longer renewed by rule alone cannot be reused any more: ask again without.
            Err(Refusal::NotReusable { .. }) => {
                ask.reuse.clear();
                work_out(&ask, &catalog)
            }
            other => other,
        };
        let Ok(kit) = answer else { continue };
        let findings: Vec<String> =
            audit(&ask, &kit, &catalog).iter().map(ToString::to_string).collect();
        assert_eq!(findings, [""; 0], "catalog {seed}, {ask:#?}");
        answered += 1;
    }
    assert!(answered > 1000, "only {answered} answered");
}

#[test]
fn a_demonstration_kit_with_own_wishes_has_no_findings() {
    let catalog = demo();
    let base =
        Ask { machine: Some(Key::new("dinghy")), jobs: keys("cooling-pump"), ..Ask::default() };
    let instead = Instead {
        position: Key::new("pump-housing"),
        change: Change::Fit {
            part: PartNumber::new("TV-1180-00").expect("a number"),
            quantity: None,
        },
    };
    for ask in [
        Ask { renew: keys("pump-plate driveshaft"), ..base.clone() },
        Ask { reuse: keys("driveshaft-top-oring shift-rod-pin"), ..base.clone() },
        Ask { instead: vec![instead], ..base.clone() },
        Ask {
            jobs: Vec::new(),
            renew: keys("pump-liner-seal"),
            machine: Some(Key::new("tender")),
            ..base.clone()
        },
        Ask { machine: Some(Key::new("tender")), insist: true, ..base },
    ] {
        let kit = work_out(&ask, &*catalog).expect("a kit");
        assert_eq!(audit(&ask, &kit, &*catalog), [], "{ask:?}");
    }
}

// Something is missing.

#[test]
fn a_line_that_was_dropped_is_noticed() {
    // Where one number that an operation uses or a job buys became two, and only one of their lines is gone, the other
    // still stands for the old number: the audit does not follow the chain again.
    mostly_noticed(80, |finished| {
        each_line(&finished.kit, |_| true, |kit, index| drop(kit.lines.remove(index)))
    });
}

#[test]
fn a_dropped_line_is_always_noticed_where_a_position_wants_it() {
    always_noticed(|finished| {
        each_line(
            &finished.kit,
            |line| !line.positions.is_empty(),
            |kit, index| drop(kit.lines.remove(index)),
        )
    });
}

#[test]
fn a_renewed_position_that_was_dropped_is_noticed() {
    // One of which nobody knows the part leaves no line behind; and where the row that called for it is one by which
    // the old number stays beside a new one, the chain does not show that row.
    mostly_noticed(99, |finished| {
        each_position(&finished.kit, is_renewed, |kit, index| drop(kit.positions.remove(index)))
    });
}

#[test]
fn a_renewed_position_that_was_dropped_with_all_that_was_ordered_for_it_is_noticed() {
    // A position that nothing but a choice among equally good supersessions called for leaves no trace behind: which
    // of several rows was followed is the solver's to say.
    mostly_noticed(97, |finished| {
        each_position(&finished.kit, is_renewed, |kit, index| {
            let gone = kit.positions.remove(index);
            for part in &gone.parts {
                take_off_lines(kit, &gone.position, &part.part, part.to_order);
            }
        })
    });
}

/// Takes what a position wanted off the lines, as if it had never been asked for.
fn take_off_lines(kit: &mut Kit, position: &str, part: &str, amount: Decimal) {
    for line in kit
        .lines
        .iter_mut()
        .filter(|line| line.part == part && line.positions.iter().any(|p| p == position))
    {
        line.positions.retain(|other| other != position);
        line.because
            .retain(|reason| reason.from != Origin::Plan(Cause::Position(Key::new(position))));
        line.quantity = (line.quantity - amount).max(Decimal::ZERO);
    }
    kit.lines.retain(|line| !line.because.is_empty());
}

#[test]
fn an_inspected_or_kept_position_that_was_dropped_is_noticed() {
    for action in [Action::Inspect, Action::Keep] {
        mostly_noticed(95, |finished| {
            each_position(
                &finished.kit,
                |planned| planned.action == action,
                |kit, index| drop(kit.positions.remove(index)),
            )
        });
    }
}

#[test]
fn a_position_to_be_left_empty_that_was_dropped_is_noticed() {
    // Where a conflict was told of the same position, the audit leaves alone what the others wanted of it.
    at_least(75, 4, 40, |finished| {
        each_position(
            &finished.kit,
            |planned| planned.action == Action::LeaveOut,
            |kit, index| drop(kit.positions.remove(index)),
        )
    });
}

#[test]
fn an_operation_that_others_need_first_is_missed() {
    always_noticed(|finished| {
        let kit = &finished.kit;
        let is_needed = |because: &[Reason]| {
            because.iter().any(|reason| matches!(&reason.from, Origin::Plan(Cause::Operation(_))))
        };
        each(
            kit,
            kit.operations
                .iter()
                .map(|planned| is_needed(&planned.because).then(|| planned.operation.clone())),
            |kit, index| drop(kit.operations.remove(index)),
        )
    });
}

#[test]
fn an_operation_that_was_dropped_is_noticed_whatever_called_for_it() {
    // As with positions: one that only an equally good supersession led to leaves no trace.
    mostly_noticed(97, |finished| {
        let kit = &finished.kit;
        each(
            kit,
            kit.operations.iter().map(|planned| Some(planned.operation.clone())),
            |kit, index| drop(kit.operations.remove(index)),
        )
    });
}

#[test]
fn an_opened_joint_that_was_dropped_is_noticed() {
    always_noticed(|finished| {
        let kit = &finished.kit;
        each(kit, kit.joints.iter().map(|joint| Some(joint.clone())), |kit, index| {
            drop(kit.joints.remove(index))
        })
    });
}

#[test]
fn a_cover_that_was_removed_is_noticed() {
    let damage = |finished: &Finished| {
        each_position(
            &finished.kit,
            |planned| !planned.covered.is_empty(),
            |kit, index| drop(kit.positions[index].covered.pop()),
        )
    };
    always_noticed(damage);
}

#[test]
fn a_part_of_a_renewed_position_that_was_dropped_is_noticed() {
    always_noticed(|finished| {
        each_position(
            &finished.kit,
            |planned| planned.parts.iter().any(|part| !part.to_order.is_zero()),
            |kit, index| kit.positions[index].parts.retain(|part| part.to_order.is_zero()),
        )
    });
}

#[test]
fn a_gap_that_was_hushed_up_is_noticed_where_it_stood_for_something_missing() {
    // An unknown operation, a part that nobody knows and a part that does not fit leave a hole that shows without the
    // gap. The other kinds speak of what the tables do not settle, which only the solver's own working shows. A hole
    // that one round made and a later one closed shows no more.
    let shows = |kind| {
        matches!(kind, GapKind::OperationUnknown | GapKind::PartUnknown | GapKind::DoesNotFit)
    };
    at_least(80, 2, 60, |finished| {
        let kit = &finished.kit;
        let planned = |name: &str| kit.positions.iter().find(|planned| planned.position == name);
        let is_hole = |kind: GapKind, subject: &str| {
            shows(kind)
                && (kind != GapKind::PartUnknown
                    || planned(subject)
                        .is_some_and(|planned| is_renewed(planned) && planned.parts.is_empty()))
        };
        each(
            kit,
            kit.gaps.iter().map(|gap| {
                is_hole(gap.kind, &gap.subject).then(|| format!("{} {}", gap.kind, gap.subject))
            }),
            |kit, index| {
                kit.gaps.remove(index);
                kit.complete = kit.gaps.is_empty();
            },
        )
    });
}

#[test]
#[ignore = "not seen to pass since the second edition of the rules; to be gone through"]
fn a_single_use_part_that_is_called_kept_is_noticed_although_the_rest_of_the_kit_agrees() {
    // Where the number itself is not among the parts, the rule hangs on what it became, and that the audit leaves to
    // the solver.
    for action in [Action::Keep, Action::Inspect] {
        mostly_noticed(97, |finished| {
            each_position(
                &finished.kit,
                |planned| planned.role == Some(Role::SingleUse),
                |kit, index| {
                    let (position, parts) = {
                        let planned = &mut kit.positions[index];
                        planned.action = action;
                        planned.role = None;
                        planned.covered.clear();
                        (planned.position.clone(), std::mem::take(&mut planned.parts))
                    };
                    for part in parts {
                        take_off_lines(kit, &position, &part.part, part.to_order);
                    }
                },
            )
        });
    }
}

// Something is wrong.

#[test]
fn too_little_on_a_line_is_noticed() {
    // What operations use and jobs buy under an older number is not added up again, as that takes the whole chain.
    let less = |kit: &mut Kit, index: usize| {
        let quantity = kit.lines[index].quantity;
        kit.lines[index].quantity = quantity - Decimal::new(1, 3).min(quantity);
    };
    mostly_noticed(85, |finished| each_line(&finished.kit, |line| !line.quantity.is_zero(), less));
    always_noticed(|finished| each_line(&finished.kit, is_for_positions_only, less));
}

#[test]
fn a_line_with_nothing_left_on_it_is_noticed_whatever_it_is_for() {
    always_noticed(|finished| {
        each_line(
            &finished.kit,
            |line| !line.as_needed,
            |kit, index| kit.lines[index].quantity = Decimal::ZERO,
        )
    });
}

#[test]
fn less_on_a_line_than_its_positions_want_is_noticed_whatever_else_it_is_for() {
    always_noticed(|finished| {
        let wanted = |kit: &Kit, line: &Line| {
            let parts = kit.positions.iter().flat_map(|planned| &planned.parts);
            let parts = parts.filter(|part| part.part == line.part && part.unit == line.unit);
            parts.map(|part| part.to_order).max().unwrap_or_default()
        };
        each_line(
            &finished.kit,
            |line| !wanted(&finished.kit, line).is_zero(),
            |kit, index| kit.lines[index].quantity = wanted(kit, &kit.lines[index]) / Decimal::TWO,
        )
    });
}

#[test]
fn too_much_on_a_line_is_noticed() {
    // As with too little.
    mostly_noticed(85, |finished| {
        each_line(&finished.kit, |_| true, |kit, index| kit.lines[index].quantity += Decimal::ONE)
    });
    always_noticed(|finished| {
        each_line(&finished.kit, is_for_positions_only, |kit, index| {
            kit.lines[index].quantity += Decimal::ONE
        })
    });
}

#[test]
fn another_number_on_a_line_is_noticed() {
    // A line for what an operation uses or a job buys may stand for an older number, and then any newer one will do.
    mostly_noticed(90, |finished| {
        each_line(
            &finished.kit,
            |line| line.replaces.is_empty(),
            |kit, index| kit.lines[index].part = "NO-SUCH-NUMBER".to_owned(),
        )
    });
    always_noticed(|finished| {
        each_line(
            &finished.kit,
            |line| !line.positions.is_empty(),
            |kit, index| kit.lines[index].part = "NO-SUCH-NUMBER".to_owned(),
        )
    });
}

#[test]
fn another_number_at_a_position_is_noticed() {
    always_noticed(|finished| {
        each_position(
            &finished.kit,
            |planned| planned.parts.iter().any(|part| !part.to_order.is_zero()),
            |kit, index| {
                for part in &mut kit.positions[index].parts {
                    part.part = "NO-SUCH-NUMBER".to_owned();
                }
            },
        )
    });
}

#[test]
fn another_amount_at_a_position_is_noticed() {
    for by in [Decimal::ONE, -Decimal::new(1, 1)] {
        always_noticed(|finished| {
            each_position(
                &finished.kit,
                |planned| planned.parts.iter().any(|part| !part.to_order.is_zero()),
                |kit, index| {
                    let part =
                        kit.positions[index].parts.iter_mut().find(|part| !part.to_order.is_zero());
                    part.expect("one is to be ordered").quantity += by;
                },
            )
        });
    }
}

#[test]
fn an_operation_before_what_it_needs_is_noticed() {
    // In a circle of operations some must stand before what they need, so such kits are left out.
    always_noticed(|finished| {
        let kit = &finished.kit;
        if kit.gaps.iter().any(|gap| gap.kind == GapKind::OperationCycle) {
            return Vec::new();
        }
        let later: Vec<usize> = (1..kit.operations.len())
            .filter(|index| {
                let row = finished
                    .catalog
                    .operations(&Key::new(&kit.operations[*index].operation))
                    .into_owned();
                // Only where every row of the operation says so is it sure that the row used does.
                row.iter()
                    .all(|row| row.needs.contains(&Key::new(&kit.operations[index - 1].operation)))
            })
            .collect();
        later
            .into_iter()
            .map(|index| {
                let mut damaged = kit.clone();
                damaged.operations.swap(index - 1, index);
                (kit.operations[index].operation.clone(), damaged)
            })
            .collect()
    });
}

#[test]
fn complete_that_says_the_opposite_is_noticed() {
    always_noticed(|finished| {
        let mut damaged = finished.kit.clone();
        damaged.complete = !damaged.complete;
        vec![("complete".to_owned(), damaged)]
    });
}

#[test]
fn a_position_called_reused_without_the_persons_word_is_noticed() {
    always_noticed(|finished| {
        each_position(&finished.kit, is_renewed, |kit, index| {
            let position = kit.positions[index].position.clone();
            kit.reused.push(position);
        })
    });
}

#[test]
fn a_machine_that_is_not_there_is_noticed() {
    always_noticed(|finished| {
        let mut damaged = finished.kit.clone();
        damaged.machine = "nobody's".to_owned();
        vec![("machine".to_owned(), damaged)]
    });
}

// Something has no reason.

#[test]
fn a_position_without_a_reason_is_noticed() {
    always_noticed(|finished| {
        each_position(&finished.kit, |_| true, |kit, index| kit.positions[index].because.clear())
    });
}

#[test]
fn a_position_with_nothing_but_its_rule_for_a_reason_is_noticed() {
    always_noticed(|finished| {
        each_position(
            &finished.kit,
            |planned| planned.because.iter().any(|reason| reason.from == Origin::Rule),
            |kit, index| kit.positions[index].because.retain(|reason| reason.from == Origin::Rule),
        )
    });
}

#[test]
fn an_operation_without_a_reason_is_noticed() {
    always_noticed(|finished| {
        let kit = &finished.kit;
        each(
            kit,
            kit.operations.iter().map(|planned| Some(planned.operation.clone())),
            |kit, index| kit.operations[index].because.clear(),
        )
    });
}

#[test]
fn a_line_without_a_reason_is_noticed() {
    always_noticed(|finished| {
        each_line(&finished.kit, |_| true, |kit, index| kit.lines[index].because.clear())
    });
}

#[test]
fn reasons_that_only_lead_round_in_a_circle_are_noticed() {
    always_noticed(|finished| {
        each_position(
            &finished.kit,
            |_| true,
            |kit, index| {
                let position = Key::new(&kit.positions[index].position);
                kit.positions[index].because = vec![Reason::from(
                    Cause::Position(position),
                    "it is renewed because it is renewed",
                    "nowhere.csv:1",
                )];
            },
        )
    });
}

#[test]
fn a_line_that_was_added_is_noticed() {
    let stray = |because: Vec<Reason>, positions: Vec<String>| Line {
        part: "NO-SUCH-NUMBER".to_owned(),
        name: String::new(),
        part_type: String::new(),
        size: String::new(),
        quantity: Decimal::ONE,
        unit: kitwright::measure::Unit::Each,
        role: Role::SingleUse,
        positions,
        because,
        notes: Vec::new(),
        as_needed: false,
        replaces: Vec::new(),
        open: Vec::new(),
        sources: Vec::new(),
    };
    always_noticed(|finished| {
        let mut damaged = finished.kit.clone();
        damaged.lines.push(stray(Vec::new(), Vec::new()));
        vec![("a line without a reason".to_owned(), damaged)]
    });
    // One that borrows a position for its reason is more than that position wants. One that borrows an operation
    // or the job is not noticed: what those use and buy is only looked for, not counted.
    always_noticed(|finished| {
        each_position(
            &finished.kit,
            |_| true,
            |kit, index| {
                let position = kit.positions[index].position.clone();
                let reason = Reason::from(
                    Cause::Position(Key::new(&position)),
                    "it goes there",
                    "nowhere.csv:1",
                );
                kit.lines.push(stray(vec![reason], vec![position]));
            },
        )
    });
}
