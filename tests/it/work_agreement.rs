//! Records and plans on tangled catalogs: what is written down is what the kit fitted, the shelf loses what was taken
//! and no more, and where to begin is what a plain search over all jobs says.

use crate::oracle::{naive, tangle, typed_out};
use kitwright::catalog::{Lookup, Memory};
use kitwright::kit::{Action, Ask, Bench, audit, work_out};
use kitwright::measure::{Date, Key, PartNumber, Quantity};
use kitwright::tables::{FileEdits, rewrite};
use kitwright::work::record::{Files, NotRecorded, Record, Recording, record};
use kitwright::work::unknowns::plan;
use rand::{Rng, SeedableRng};
use rand_chacha::ChaCha8Rng;
use rust_decimal::Decimal;
use std::collections::{BTreeMap, BTreeSet, HashMap};

type Texts = BTreeMap<String, Vec<u8>>;

fn count(variable: &str, usual: u64) -> u64 {
    std::env::var(variable).ok().and_then(|text| text.parse().ok()).unwrap_or(usual)
}

fn applied(texts: &Texts, edits: &[FileEdits]) -> Texts {
    let mut texts = texts.clone();
    for file in edits {
        assert_eq!(file.name, format!("{}.csv", file.table));
        let text = texts.entry(file.table.to_owned()).or_default();
        *text = rewrite(file.table, text, &file.edits).expect("edits that fit");
    }
    texts
}

fn ask_of(ask: &naive::Ask) -> Ask {
    Ask {
        machine: Some(Key::new(&ask.machine)),
        jobs: ask.jobs.iter().map(|job| Key::new(job)).collect(),
        options: ask.options.iter().map(|option| Key::new(option)).collect(),
        ..Ask::default()
    }
}

fn told(ask: &naive::Ask, accept: bool) -> Recording {
    let day = Date::parse("2999-12-31").expect("a day");
    Recording {
        ask: ask_of(ask),
        today: day.clone(),
        day,
        hours: None,
        except: Vec::new(),
        inspected: vec![Key::new("all")],
        done: Vec::new(),
        found: String::new(),
        used: Vec::new(),
        rest_to: Some("rest".to_owned()),
        leave_waiting: false,
        accept,
    }
}

fn written(ask: &naive::Ask, accept: bool, catalog: &Memory) -> Result<Record, NotRecorded> {
    let files = Files { worklog: "worklog.csv".to_owned(), stock: "stock.csv".to_owned() };
    record(&told(ask, accept), &files, catalog)
}

/// Puts some of the listed parts on the shelf.
fn stock(tables: &mut naive::Tables, chance: &mut ChaCha8Rng) {
    let mut rows = Vec::new();
    for part in tables.get("parts").cloned().unwrap_or_default() {
        for _ in 0..chance.random_range(0..3) {
            let unit = part.get("unit").map_or("", String::as_str);
            let amount = format!("{} {unit}", chance.random_range(0..4));
            rows.push(naive::Row::from([
                ("part".to_owned(), part["part"].clone()),
                ("quantity".to_owned(), amount.trim().to_owned()),
                ("bin".to_owned(), format!("bin {}", chance.random_range(1..4))),
            ]));
        }
    }
    tables.insert("stock".to_owned(), rows);
}

fn on_the_shelf(catalog: &Memory) -> HashMap<PartNumber, Decimal> {
    let mut sums = HashMap::new();
    for part in catalog.part_numbers() {
        for row in catalog.stock_of(&part).iter().filter(|row| row.bin != "rest") {
            assert!(row.quantity.0.amount >= Decimal::ZERO);
            *sums.entry(part.clone()).or_default() += row.quantity.0.amount;
        }
    }
    sums
}

fn bench<'a>(catalog: &'a Memory, machine: &str) -> Bench<'a> {
    Bench::new(catalog.machine(&Key::new(machine)).expect("a machine").into_owned(), catalog)
}

/// Something arrived fitted there inside a part that went in elsewhere.
fn has_come(record: &Record, position: &Key) -> bool {
    record.done.fitted.iter().any(|fitted| fitted.arrived && fitted.position == *position)
}

#[test]
#[ignore = "written for the first edition of the rules; to be gone through"]
fn what_is_recorded_is_what_the_kit_fitted_and_the_shelf_loses_no_more() {
    let (from, count) = (count("TANGLE_FROM", 0), count("TANGLE_COUNT", 4_000));
    let (mut recorded, mut stand_ins, mut exact) = (0, 0, 0);
    for seed in from..from + count {
        let (mut tables, ask) = tangle::tangle(seed);
        let mut chance = ChaCha8Rng::seed_from_u64(seed ^ 0x5eed);
        stock(&mut tables, &mut chance);
        let before = typed_out::texts(&tables);
        let old = typed_out::read(&before);
        let Ok(record) = written(&ask, true, &old) else { continue };
        recorded += 1;
        let new = typed_out::read(&applied(&before, &record.edits));
        let (was, is) = (bench(&old, &ask.machine), bench(&new, &ask.machine));
        let mut touched = BTreeSet::new();
        for planned in &record.kit.positions {
            let position = Key::new(&planned.position);
            touched.insert(position.clone());
            let (before, place) = (was.place(&position), is.place(&position));
            let known = planned.parts.iter().any(|part| PartNumber::new(&part.part).is_some());
            match planned.action {
                Action::LeaveOut => {
                    assert!(!place.is_on_machine(), "catalog {seed}: {position} is empty")
                }
                Action::Renew if known => {
                    assert!(place.current.logged, "catalog {seed}: {position} is in the log");
                    let fitted: Vec<_> = record
                        .done
                        .fitted
                        .iter()
                        .filter(|fitted| fitted.position == position)
                        .collect();
                    assert_eq!(
                        place.current.parts.len(),
                        fitted.len(),
                        "catalog {seed}: {position}"
                    );
                    stand_ins += fitted.iter().filter(|fitted| !fitted.note.is_empty()).count();
                    for part in &planned.parts {
                        let number = PartNumber::new(&part.part).expect("a number");
                        let here = place
                            .current
                            .parts
                            .iter()
                            .filter(|sitting| sitting.part.as_ref() == Some(&number));
                        if fitted.iter().any(|fitted| !fitted.note.is_empty())
                            || planned.parts.iter().any(|part| part.set)
                        {
                            continue;
                        }
                        let wanted = planned.parts.iter().filter(|other| other.part == part.part);
                        let wanted: Decimal = wanted
                            .filter_map(|other| {
                                Quantity::new(other.quantity, other.unit).to(part.unit)
                            })
                            .map(|q| q.amount)
                            .sum();
                        let there: Decimal = here
                            .filter_map(|sitting| sitting.quantity?.to(part.unit))
                            .map(|q| q.amount)
                            .sum();
                        assert_eq!(there, wanted, "catalog {seed}: {number} at {position}");
                    }
                }
                _ if has_come(&record, &position) => {
                    assert!(place.current.logged, "catalog {seed}: {position}")
                }
                _ => assert_eq!(
                    format!(
                        "{:?}",
                        place
                            .current
                            .parts
                            .iter()
                            .map(|s| (&s.part, s.quantity))
                            .collect::<Vec<_>>()
                    ),
                    format!(
                        "{:?}",
                        before
                            .current
                            .parts
                            .iter()
                            .map(|s| (&s.part, s.quantity))
                            .collect::<Vec<_>>()
                    ),
                    "catalog {seed}: {position} is as it was"
                ),
            }
        }
        for position in old.position_keys().iter().filter(|position| !touched.contains(*position)) {
            if !has_come(&record, position) {
                assert_eq!(
                    was.place(position).current.parts.len(),
                    is.place(position).current.parts.len()
                );
            }
        }
        for operation in &record.kit.operations {
            assert!(
                is.is_done(&Key::new(&operation.operation)),
                "catalog {seed}: {}",
                operation.operation
            );
        }
        // What left the shelf is what was taken, and with what is missing it makes up the kit.
        let (had, has) = (on_the_shelf(&old), on_the_shelf(&new));
        let mut taken: HashMap<PartNumber, Decimal> = HashMap::new();
        for off in &record.done.taken {
            *taken.entry(off.part.clone()).or_default() += off.amount;
        }
        for (part, had) in &had {
            let left = has.get(part).copied().unwrap_or_default();
            let taken = taken.get(part).copied().unwrap_or_default();
            assert!((*had - taken - left).abs() < Decimal::new(1, 8), "catalog {seed}: {part}");
        }
        if !tables_let_stand_in(&tables) && record.done.taken.iter().all(|off| !off.opened) {
            for line in record.kit.lines.iter().filter(|line| !line.as_needed) {
                let number = PartNumber::new(&line.part).expect("a number");
                if record.kit.lines.iter().filter(|other| other.part == line.part).count() > 1 {
                    continue;
                }
                let off = record.done.taken.iter().filter(|off| off.part == number);
                let off = off
                    .filter_map(|off| Quantity::new(off.amount, off.had.unit).to(line.unit))
                    .map(|q| q.amount);
                let lacks = record.done.missing.iter().filter(|missing| missing.part == number);
                let lacks =
                    lacks.filter_map(|missing| missing.quantity.to(line.unit)).map(|q| q.amount);
                let sum: Decimal = off.chain(lacks).sum();
                if sum >= line.quantity {
                    exact += 1;
                }
                assert!(
                    (sum - line.quantity).abs() < Decimal::new(1, 8),
                    "catalog {seed}: {} of {number} off the shelf or missing, {} in the kit",
                    sum,
                    line.quantity
                );
            }
        }
        // The next kit stands up to its audit, and the same record told again is questioned.
        if let Ok(kit) = work_out(&ask_of(&ask), &new) {
            assert!(audit(&ask_of(&ask), &kit, &new).is_empty(), "catalog {seed}");
        }
        assert!(
            matches!(
                written(&ask, false, &new),
                Err(NotRecorded::Questioned(_) | NotRecorded::NoKit(_))
            ),
            "catalog {seed}: told twice"
        );
    }
    assert!(recorded * 2 > count, "{recorded} of {count} recorded");
    assert!(
        count < 1_000 || (stand_ins > 100 && exact > 500),
        "{stand_ins} stand-ins, {exact} lines counted"
    );
}

/// An earlier number, or one that may be swapped, could be taken for another.
fn tables_let_stand_in(tables: &naive::Tables) -> bool {
    tables.get("supersessions").is_some_and(|rows| !rows.is_empty())
}

#[test]
#[ignore = "written for the first edition of the rules; to be gone through"]
fn where_to_begin_is_what_a_plain_search_over_all_jobs_says() {
    let (from, count) = (count("TANGLE_FROM", 0), count("TANGLE_COUNT", 4_000));
    let mut steps = 0;
    for seed in from..from + count {
        let (mut tables, ask) = tangle::tangle(seed);
        let mut chance = ChaCha8Rng::seed_from_u64(seed ^ 0xbe91);
        // The same minutes in all rows of an operation: which of them counts is no question here.
        let mut minutes: HashMap<String, String> = HashMap::new();
        for row in tables.get_mut("operations").into_iter().flatten() {
            let drawn = ["", "", "5", "10", "10", "20", "45"][chance.random_range(0..7)];
            let of =
                minutes.entry(row["operation"].to_lowercase()).or_insert_with(|| drawn.to_owned());
            row.insert("minutes".to_owned(), of.clone());
        }
        let catalog = typed_out::read(&typed_out::texts(&tables));
        let Some(machine) = catalog.machine(&Key::new(&ask.machine)) else { continue };
        let machine = machine.into_owned();
        let planned = plan(&Bench::new(machine, &catalog));
        let ours: Vec<(String, BTreeSet<String>)> = planned
            .plan
            .iter()
            .map(|step| {
                (
                    step.job.to_lowercase(),
                    step.settles.iter().map(|name| name.to_lowercase()).collect(),
                )
            })
            .collect();
        let theirs = plainly(&tables, &ask.machine, &minutes);
        assert_eq!(ours, theirs, "catalog {seed}");
        let settled: usize = planned.plan.iter().map(|step| step.settles.len()).sum();
        assert_eq!(settled + planned.left.len(), planned.unknown.len(), "catalog {seed}");
        steps += ours.len();
    }
    assert!(count < 1_000 || steps > 1_000, "{steps} steps");
}

/// Searches all jobs at every step, from the kits of the plain solver alone.
fn plainly(
    tables: &naive::Tables,
    machine: &str,
    minutes: &HashMap<String, String>,
) -> Vec<(String, BTreeSet<String>)> {
    let none = Vec::new();
    let rows = |table: &str| tables.get(table).unwrap_or(&none);
    let text = |row: &naive::Row, column: &str| row.get(column).cloned().unwrap_or_default();
    let folded = |number: &str| number.to_lowercase().replace(['-', ' ', '.', '/'], "");
    let logged: BTreeSet<String> = rows("worklog")
        .iter()
        .filter(|row| {
            text(row, "machine").to_lowercase() == machine.to_lowercase()
                && !text(row, "part").is_empty()
        })
        .map(|row| text(row, "position").to_lowercase())
        .chain(naive::called_for_by_what_is_fitted(tables, machine))
        .collect();
    let parts: BTreeSet<String> =
        rows("parts").iter().map(|row| folded(&text(row, "part"))).collect();
    let mut jobs: Vec<String> = Vec::new();
    for row in rows("jobs") {
        let job = text(row, "job").to_lowercase();
        if !jobs.contains(&job) {
            jobs.push(job);
        }
    }
    let mut offers: Vec<(String, u64, BTreeSet<String>)> = Vec::new();
    for job in jobs {
        let ask = naive::Ask {
            machine: machine.to_owned(),
            jobs: vec![job.clone()],
            options: Vec::new(),
        };
        let Ok(kit) = naive::solve(tables, &ask) else { continue };
        let operations = kit["operations"].as_array().expect("operations");
        let work = operations.iter().map(|operation| {
            let name = operation["operation"].as_str().expect("a name").to_lowercase();
            minutes[&name].parse::<u64>().unwrap_or(15)
        });
        let work = work.sum();
        let positions = kit["positions"].as_array().expect("positions");
        let settled = positions.iter().filter(|position| {
            let knows_a_part = || {
                let planned = position["parts"].as_array().expect("parts");
                planned
                    .iter()
                    .any(|part| parts.contains(&folded(part["part"].as_str().expect("a part"))))
            };
            !position["current"].is_null()
                && match position["action"].as_str() {
                    Some("leave-out") => true,
                    Some("renew") => knows_a_part(),
                    _ => false,
                }
        });
        let settled =
            settled.map(|position| position["position"].as_str().expect("a name").to_lowercase());
        offers.push((job, work, settled.filter(|position| !logged.contains(position)).collect()));
    }
    let mut plan = Vec::new();
    let mut done: BTreeSet<String> = BTreeSet::new();
    loop {
        let mut best: Option<(String, u64, BTreeSet<String>)> = None;
        for (job, work, settled) in &offers {
            let new: BTreeSet<String> = settled.difference(&done).cloned().collect();
            let size = |set: &BTreeSet<String>| set.len() as u64;
            let better = best.as_ref().is_none_or(|(_, least, most)| {
                (size(&new) * least, size(&new)) > (size(most) * work, size(most))
                    && size(&new) * least >= size(most) * work
            });
            if !new.is_empty() && better {
                best = Some((job.clone(), *work, new));
            }
        }
        let Some((job, _, new)) = best else { return plan };
        done.extend(new.iter().cloned());
        plan.push((job, new));
    }
}
