//! Edits tables at random and holds every answer from the index to the answer straight from the tables.
//!
//! `KITWRIGHT_ROUNDS` sets how many edits are made.

use kitwright::catalog::{Card, Lookup, Memory};
use kitwright::fit::everywhere;
use kitwright::index::{self, Compiled, NearQuestion, Progress, Question, Search};
use kitwright::kit::{Ask, work_out};
use kitwright::measure::{Key, PartNumber};
use kitwright::tables::{self, read_folder};
use rand::seq::IndexedRandom;
use rand::{Rng, SeedableRng};
use rand_chacha::ChaCha8Rng;
use std::fs;
use std::path::{Path, PathBuf};

struct Silent;

impl Progress for Silent {
    fn at(&mut self, _: u64, _: u64) {}
    fn end(&mut self) {}
}

fn rounds() -> usize {
    std::env::var("KITWRIGHT_ROUNDS").ok().and_then(|rounds| rounds.parse().ok()).unwrap_or(150)
}

fn demo_in(folder: &Path) {
    for entry in fs::read_dir(Path::new(env!("CARGO_MANIFEST_DIR")).join("demo")).expect("the demo")
    {
        let path = entry.expect("an entry").path();
        if path.is_file() {
            fs::copy(&path, folder.join(path.file_name().expect("a name"))).expect("copied");
        }
    }
}

fn table_files(folder: &Path) -> Vec<PathBuf> {
    tables::find(folder).expect("the folder").files.into_iter().map(|file| file.path).collect()
}

/// Changes something in the folder as a person or a program might.
fn edit(folder: &Path, random: &mut ChaCha8Rng) -> String {
    let files = table_files(folder);
    let path = files.choose(random).expect("a table").clone();
    let name = path.file_name().expect("a name").to_string_lossy().into_owned();
    let text = fs::read_to_string(&path).expect("UTF-8");
    let mut lines: Vec<String> = text.lines().map(str::to_owned).collect();
    let first =
        lines.iter().position(|line| !line.starts_with('#') && !line.is_empty()).expect("a header")
            + 1;
    let row = |random: &mut ChaCha8Rng| {
        (lines.len() > first).then(|| random.random_range(first..lines.len()))
    };
    let what = random.random_range(0..9);
    match what {
        0 | 1 => {
            // Another letter of the same length somewhere in a row.
            let Some(at) = row(random) else { return "nothing".into() };
            let letters: Vec<(usize, char)> =
                lines[at].char_indices().filter(|(_, c)| c.is_ascii_lowercase()).collect();
            let Some((place, _)) = letters.choose(random).copied() else { return "nothing".into() };
            let with = ["a", "e", "s", "t"].choose(random).expect("a letter");
            lines[at].replace_range(place..=place, with);
        }
        2 => {
            let Some(at) = row(random) else { return "nothing".into() };
            lines.remove(at);
        }
        3 | 4 => {
            let Some(at) = row(random) else { return "nothing".into() };
            let copy = lines[at].clone();
            let to = random.random_range(first..=lines.len());
            lines.insert(to, copy);
        }
        5 => {
            let (Some(one), Some(other)) = (row(random), row(random)) else {
                return "nothing".into();
            };
            lines.swap(one, other);
        }
        6 => {
            // Into a folder of its own, or back.
            let to = if path.parent() == Some(folder) {
                let inner = folder.join(["a", "m/n", "z"].choose(random).expect("a name"));
                fs::create_dir_all(&inner).expect("made");
                inner.join(&name)
            } else {
                folder.join(&name)
            };
            if !to.exists() {
                fs::rename(&path, to).expect("moved");
            }
            return format!("moved {name}");
        }
        7 => {
            // Half of the rows into a second file of the table.
            let other = folder.join("b").join(&name);
            if other.exists() || lines.len() < first + 2 {
                return "nothing".into();
            }
            fs::create_dir_all(folder.join("b")).expect("made");
            let half = lines.split_off((first + lines.len()) / 2);
            let header = lines[first - 1].clone();
            fs::write(&other, format!("{header}\n{}\n", half.join("\n"))).expect("written");
        }
        _ => lines
            .insert(random.random_range(0..=lines.len()), "# a remark, \"with a mark".to_owned()),
    }
    fs::write(&path, lines.join("\n") + "\n").expect("written");
    format!("{what} in {name}")
}

/// Holds every way of looking something up to the tables.
fn compare(compiled: &Compiled, memory: &Memory, random: &mut ChaCha8Rng) {
    assert_eq!(compiled.failed(), None);
    let (one, other): (&dyn Lookup, &dyn Lookup) = (compiled, memory);
    assert_eq!(one.machine_keys(), other.machine_keys());
    assert_eq!(one.job_keys(), other.job_keys());
    assert_eq!(one.position_keys(), other.position_keys());
    assert_eq!(one.part_numbers(), other.part_numbers());
    assert_eq!(one.operation_keys(), other.operation_keys());
    assert_eq!(one.supplier_keys(), other.supplier_keys());
    assert_eq!(one.order_lines(), other.order_lines());
    let sorted = |lookup: &dyn Lookup| {
        let mut names: Vec<String> =
            lookup.type_names().iter().map(|name| name.folded().to_owned()).collect();
        names.sort();
        names
    };
    assert_eq!(sorted(one), sorted(other));
    for supplier in other.supplier_keys() {
        assert_eq!(one.supplier(&supplier), other.supplier(&supplier));
    }
    let numbers = |numbers: Vec<PartNumber>| {
        let mut numbers: Vec<String> =
            numbers.iter().map(|number| number.folded().to_owned()).collect();
        numbers.sort();
        numbers
    };
    let shown = |keys: Vec<Key>| keys.iter().map(ToString::to_string).collect::<Vec<_>>();
    for operation in other.operation_keys() {
        let (one, want) =
            (one.positions_reached_by(&operation), other.positions_reached_by(&operation));
        assert_eq!(shown(one.into_owned()), shown(want.into_owned()));
    }
    for position in other.position_keys() {
        assert_eq!(one.positions(&position), other.positions(&position));
        assert_eq!(one.retrofits_at(&position), other.retrofits_at(&position));
        assert_eq!(one.seats_at(&position), other.seats_at(&position));
        assert_eq!(one.selections_at(&position), other.selections_at(&position));
        let carried =
            |lookup: &dyn Lookup| shown(lookup.positions_carried_by(&position).into_owned());
        assert_eq!(carried(one), carried(other));
        assert_eq!(one.log_names(&position), other.log_names(&position));
        for row in other.positions(&position).iter() {
            assert_eq!(one.place(row.at), other.place(row.at));
            for joint in &row.joint {
                let (one, other) = (one.positions_in_joint(joint), other.positions_in_joint(joint));
                assert_eq!(shown(one.into_owned()), shown(other.into_owned()));
                assert_eq!(compiled.joint(joint), memory.joint(joint));
            }
            if let Some(operation) = &row.reached_by {
                assert_eq!(one.operations(operation), other.operations(operation));
            }
        }
        for machine in other.machine_keys() {
            assert_eq!(
                one.measurements_at(&machine, &position),
                other.measurements_at(&machine, &position)
            );
        }
    }
    for part in other.part_numbers() {
        let card = |lookup: &dyn Lookup| Card::of(&part, lookup).map(|card| card.to_json());
        assert_eq!(card(one), card(other));
        assert_eq!(one.part(&part), other.part(&part));
        assert_eq!(one.part_rows(&part), other.part_rows(&part));
        let (with, want) = (one.positions_with_part(&part), other.positions_with_part(&part));
        assert_eq!(shown(with.into_owned()), shown(want.into_owned()));
        assert_eq!(one.retrofits_of(&part), other.retrofits_of(&part));
        assert_eq!(numbers(one.later_numbers(&part)), numbers(other.later_numbers(&part)));
        assert_eq!(numbers(one.earlier_numbers(&part)), numbers(other.earlier_numbers(&part)));
        assert_eq!(one.retrofits_calling_for(&part), other.retrofits_calling_for(&part));
        assert_eq!(one.stock_of(&part), other.stock_of(&part));
        assert_eq!(one.offers_of(&part), other.offers_of(&part));
        if let Some(kind) = other.part(&part).and_then(|row| row.part_type.clone()) {
            assert_eq!(one.part_type(&kind), other.part_type(&kind));
        }
    }
    for machine in other.machine_keys() {
        assert_eq!(one.machine(&machine), other.machine(&machine));
        assert_eq!(one.log_of(&machine), other.log_of(&machine));
        assert_eq!(one.assemblies_of(&machine), other.assemblies_of(&machine));
        for job in other.job_keys() {
            assert_eq!(one.jobs(&job), other.jobs(&job));
            assert_eq!(one.job_lines(&job), other.job_lines(&job));
        }
        for job in other.job_keys().choose_multiple(random, 2) {
            let ask =
                Ask { machine: Some(machine.clone()), jobs: vec![job.clone()], ..Ask::default() };
            let kit = |lookup| {
                work_out(&ask, lookup).map(|kit| serde_json::to_string(&kit).expect("JSON"))
            };
            assert_eq!(kit(one).ok(), kit(other).ok());
        }
    }
    for part in other.part_numbers().choose_multiple(random, 5) {
        for machine in other.machine_keys() {
            let fits = |lookup: &dyn Lookup| {
                let machine = lookup.machine(&machine).expect("a machine").into_owned();
                serde_json::to_string(&everywhere(part, machine, lookup)).expect("JSON")
            };
            assert_eq!(fits(one), fits(other));
        }
    }
    let near =
        NearQuestion { size: "50x2".into(), part_type: "o-ring".into(), within: None, limit: 9 };
    assert_eq!(compiled.near(&near).expect("near"), memory.near(&near).expect("near"));
    let words = [
        "seal",
        "91-2044",
        "2044",
        "o-ring 50x2",
        "gaskit",
        "pump housing",
        "tv 1180",
        "12x24x7",
        "washer steel",
    ];
    for words in words.choose_multiple(random, 3) {
        let on = other
            .machine_keys()
            .choose(random)
            .and_then(|machine| other.machine(machine))
            .map(|row| row.into_owned());
        for on in [None, on] {
            let question =
                Question { words: (*words).to_owned(), on, limit: 30, ..Question::default() };
            let (found, want) =
                (compiled.find(&question).expect("found"), memory.find(&question).expect("found"));
            assert_eq!(found, want, "{words}");
        }
    }
}

#[test]
fn after_any_edit_the_index_answers_as_the_tables_do() {
    let folder = tempfile::tempdir().expect("a folder");
    demo_in(folder.path());
    let mut random = ChaCha8Rng::seed_from_u64(3);
    let (mut compared, mut refused) = (0, 0);
    for round in 0..rounds() {
        if round % 400 == 399 {
            // Edits wear the demo down, so it is made new from time to time.
            for file in table_files(folder.path()) {
                fs::remove_file(file).expect("removed");
            }
            demo_in(folder.path());
        }
        let before: Vec<(PathBuf, Vec<u8>)> = table_files(folder.path())
            .into_iter()
            .map(|path| (path.clone(), fs::read(path).expect("read")))
            .collect();
        let what = edit(folder.path(), &mut random);
        let read = read_folder(folder.path()).expect("the folder");
        let listed = tables::find(folder.path()).expect("the folder");
        let opened = index::open(folder.path(), &listed, &mut Silent);
        if !read.faults.is_empty() {
            assert!(matches!(opened, Err(index::Trouble::Faulty)), "{what}: {:?}", read.faults);
            refused += 1;
            for (path, text) in before {
                fs::write(path, text).expect("put back");
            }
            continue;
        }
        let opened = opened.unwrap_or_else(|trouble| panic!("round {round}, {what}: {trouble}"));
        if round > 0 && refused == 0 {
            assert_eq!(opened.remark, None, "round {round}, {what}");
        }
        assert_eq!(opened.notices, read.notices, "{what}");
        compare(&opened.compiled, &read.catalog(), &mut random);
        compared += 1;
    }
    assert!(compared * 2 > rounds(), "{compared} compared, {refused} refused");
}

#[test]
fn two_edits_in_the_same_second_are_both_seen() {
    let folder = tempfile::tempdir().expect("a folder");
    let path = folder.path().join("parts.csv");
    for round in 0..50 {
        // The same length each time.
        fs::write(&path, format!("part,name\nA-{},nut\n", 100 + round)).expect("written");
        let listed = tables::find(folder.path()).expect("the folder");
        let opened = index::open(folder.path(), &listed, &mut Silent).expect("opened");
        let number = PartNumber::new(&format!("A-{}", 100 + round)).expect("a number");
        assert_eq!(opened.compiled.part_numbers(), [number]);
    }
}
