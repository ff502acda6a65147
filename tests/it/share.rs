//! What is shared of a catalog gives another owner the same kit.

use crate::oracle::{naive, tangle, typed_out};
use kitwright::catalog::Table;
use kitwright::catalog::{Lookup, Memory};
use kitwright::entry::merge::{Choice, Merge};
use kitwright::entry::share::Share;
use kitwright::kit::{Ask, Refusal, work_out};
use kitwright::measure::Key;
use kitwright::tables::{Fault, FileEdits, Tables, TextSheet, check, read_sheets, rewrite};
use serde_json::Value;
use std::collections::BTreeMap;
use std::path::Path;

type Texts = BTreeMap<String, Vec<u8>>;

/// Types tables out as CSV, some of them with semicolons.
fn typed_out(tables: &naive::Tables, seed: u64) -> Texts {
    let delimiter = if seed.is_multiple_of(3) { b';' } else { b',' };
    typed_out::texts_parted_by(delimiter, tables)
}

fn read(texts: &Texts) -> (Memory, Vec<TextSheet>) {
    let mut tables = Tables::default();
    let mut sheets = Vec::new();
    for (table, text) in texts {
        tables.read_file(table, format!("{table}.csv"), text);
        sheets.extend(TextSheet::read(table, &format!("{table}.csv"), text));
    }
    assert_eq!(tables.faults, []);
    (tables.catalog(), sheets)
}

/// A kit without the places of the rows that it names, nor the options that another model's rows ask about.
fn comparable(ask: &Ask, lookup: &Memory) -> Result<Value, Refusal> {
    let mut kit = serde_json::to_value(work_out(ask, lookup)?).expect("plain data");
    for key in ["known_options", "unknown_options"] {
        kit.as_object_mut().expect("an object").remove(key);
    }
    strip(&mut kit);
    Ok(kit)
}

fn strip(value: &mut Value) {
    match value {
        Value::String(text) => *text = without_places(text),
        Value::Array(items) => items.iter_mut().for_each(strip),
        Value::Object(items) => {
            // What was probably meant depends on the names that there are.
            items.remove("message");
            items.values_mut().for_each(strip);
        }
        _ => {}
    }
}

/// Cuts the line numbers behind `.csv:`.
fn without_places(text: &str) -> String {
    let mut pieces = text.split(".csv:");
    let mut kept = pieces.next().unwrap_or_default().to_owned();
    for piece in pieces {
        kept.push_str(".csv");
        kept.push_str(piece.trim_start_matches(|c: char| c.is_ascii_digit()));
    }
    kept
}

/// Several machines of the same model: as the catalog has it, with nothing known, and others of other years.
fn machines(tables: &naive::Tables, machine: &str) -> Vec<naive::Row> {
    let own = tables["machines"].iter().find(|row| row["machine"].eq_ignore_ascii_case(machine));
    let Some(own) = own else { return Vec::new() };
    let changed = |cells: &[(&str, &str)]| {
        let mut row = own.clone();
        for (column, text) in cells {
            row.insert((*column).to_owned(), (*text).to_owned());
        }
        row
    };
    vec![
        own.clone(),
        changed(&[("year", ""), ("serial", ""), ("traits", "")]),
        changed(&[("year", "1997"), ("serial", "B2100"), ("traits", "EU")]),
        changed(&[("year", "2005"), ("serial", "0G2900"), ("traits", "long-shaft; carb")]),
    ]
}

#[test]
#[ignore = "not seen to pass since the second edition of the rules; to be gone through"]
fn a_kit_from_what_was_shared_is_the_kit_from_the_whole_catalog() {
    let count: u64 =
        std::env::var("SHARE_COUNT").ok().and_then(|text| text.parse().ok()).unwrap_or(1_500);
    let (mut whole, mut kept, mut compared) = (0, 0, 0);
    for seed in 0..count {
        let (mut tables, ask) = tangle::tangle(seed);
        tables.remove("worklog");
        let variants = machines(&tables, &ask.machine);
        let on = Key::new(&ask.machine);
        let mut ask = Ask {
            machine: Some(on.clone()),
            jobs: ask.jobs.iter().map(|job| Key::new(job)).collect(),
            options: ask.options.iter().map(|option| Key::new(option)).collect(),
            ..Ask::default()
        };
        let (original, sheets) = read(&typed_out(&tables, seed));
        // Half of the time for one model, half for every model that the jobs are for.
        let machine = seed.is_multiple_of(2).then_some(&on);
        let share = match Share::gather(&ask.jobs, machine, &original, &sheets) {
            Ok(share) => share,
            Err(Refusal::NotForMachine { .. } | Refusal::NoJob(_) | Refusal::NoMachine(_)) => {
                continue;
            }
            Err(other) => panic!("catalog {seed}: {other}"),
        };
        let files = share.files().expect("every row can be written");
        let is_shared = |name: &str| {
            Table::shared().iter().any(|table| table.name == name.trim_end_matches(".csv"))
        };
        assert!(files.iter().all(|(name, _)| is_shared(name)));
        whole += sheets.iter().map(|sheet| sheet.rows.len()).sum::<usize>();
        kept += share.rows.values().map(Vec::len).sum::<usize>();
        for (index, variant) in variants.into_iter().enumerate() {
            tables.insert("machines".into(), vec![variant]);
            let (original, _) = read(&typed_out(&tables, seed));
            let only_machine =
                BTreeMap::from([("machines".to_owned(), tables["machines"].clone())]);
            let mut shared: Texts = typed_out(&only_machine, seed);
            shared.extend(
                files
                    .iter()
                    .map(|(name, text)| (name.trim_end_matches(".csv").to_owned(), text.clone())),
            );
            let (shared, _) = read(&shared);
            for options in [ask.options.clone(), Vec::new()] {
                ask.options = options;
                let wanted = comparable(&ask, &original);
                if matches!(&wanted, Err(Refusal::NotForMachine { .. })) {
                    continue;
                }
                compared += 1;
                let got = comparable(&ask, &shared);
                if wanted != got {
                    let (wanted, got) = (wanted.expect("a kit"), got.expect("a kit"));
                    for (key, value) in wanted.as_object().expect("an object") {
                        assert_eq!(
                            got[key], *value,
                            "catalog {seed}, machine {index}: {key} differs"
                        );
                    }
                }
            }
        }
    }
    println!("{compared} kits compared; {kept} of {whole} rows were shared");
    assert!(compared as u64 > count, "{compared}");
}

#[test]
fn the_demo_shares_every_job_without_dangling_names_and_less_than_everything() {
    let (tables, sheets) =
        read_sheets(&Path::new(env!("CARGO_MANIFEST_DIR")).join("demo")).expect("the demo");
    let whole: usize = sheets.iter().map(|sheet| sheet.rows.len()).sum();
    let lookup = tables.catalog();
    for job in lookup.job_keys() {
        let share =
            Share::gather(std::slice::from_ref(&job), None, &lookup, &sheets).expect("shared");
        let count: usize = share.rows.values().map(Vec::len).sum();
        assert!(count < whole / 2, "{job}: {count} of {whole} rows");
        assert_eq!(share.missing, [], "{job}");
        let mut tables = Tables::default();
        for (name, text) in share.files().expect("written") {
            tables.read_file(name.trim_end_matches(".csv"), name.clone(), &text);
        }
        let errors = check(&tables).errors;
        // The demo leaves the tilt bracket unfinished on purpose.
        let left_open = |fault: &Fault| {
            job.as_str() == "tilt-bracket" && fault.message.contains("tilt ratchet")
        };
        assert_eq!(
            errors.into_iter().filter(|fault| !left_open(fault)).collect::<Vec<_>>(),
            [],
            "{job}"
        );
    }
}

/// The texts after edits.
fn edited(texts: &Texts, edits: &[FileEdits]) -> Texts {
    let mut after = texts.clone();
    for file in edits {
        let text = after.entry(file.table.to_owned()).or_default();
        *text = rewrite(file.table, text, &file.edits).expect("edits that fit");
    }
    after
}

fn merged(mine: &Texts, theirs: &[TextSheet], choice: Choice) -> (Merge, Vec<FileEdits>) {
    let mut tables = Tables::default();
    let mut sheets = Vec::new();
    for (table, text) in mine {
        tables.read_file(table, format!("{table}.csv"), text);
        sheets.extend(TextSheet::read(table, &format!("{table}.csv"), text));
    }
    let merge = Merge::compare(&sheets, &tables.rows, theirs);
    let choices = vec![choice; merge.disagreements.len()];
    let edits = merge.edits(&choices, &|table| format!("{table}.csv"), "a friend");
    (merge, edits)
}

/// What a share of a tangled catalog holds, as its files are read.
fn shared(seed: u64) -> Option<(Texts, Vec<TextSheet>)> {
    let (tables, ask) = tangle::tangle(seed);
    let texts = typed_out(&tables, seed);
    let (lookup, sheets) = read(&texts);
    let jobs: Vec<Key> = ask.jobs.iter().map(|job| Key::new(job)).collect();
    let files = Share::gather(&jobs, None, &lookup, &sheets)
        .ok()?
        .files()
        .expect("every row can be written");
    let sheets = files
        .iter()
        .filter_map(|(name, text)| TextSheet::read(name.trim_end_matches(".csv"), name, text))
        .collect();
    Some((texts, sheets))
}

#[test]
#[ignore = "not seen to pass since the second edition of the rules; to be gone through"]
fn what_was_shared_comes_into_an_empty_catalog_whole_and_into_its_own_as_nothing_new() {
    for seed in 0..400 {
        let Some((own, theirs)) = shared(seed) else { continue };
        let (merge, edits) = merged(&own, &theirs, Choice::Theirs);
        assert_eq!(
            (merge.new.len(), merge.disagreements.len(), edits.len()),
            (0, 0, 0),
            "catalog {seed}"
        );
        let (merge, edits) = merged(&Texts::new(), &theirs, Choice::Mine);
        let whole: usize = theirs.iter().map(|sheet| sheet.rows.len()).sum();
        assert_eq!((merge.same, merge.new.len()), (0, whole), "catalog {seed}");
        let taken_in = edited(&Texts::new(), &edits);
        for sheet in &theirs {
            let taken = TextSheet::read(sheet.table, &sheet.name, &taken_in[sheet.table])
                .expect("a header");
            assert_eq!(taken.rows.len(), sheet.rows.len());
            for (taken, theirs) in taken.rows.iter().zip(&sheet.rows) {
                assert_eq!(
                    taken.with("source", "").value(),
                    theirs.with("source", "").value(),
                    "catalog {seed}"
                );
            }
        }
        let (merge, edits) = merged(&taken_in, &theirs, Choice::Theirs);
        assert_eq!((merge.same, edits.len()), (whole, 0), "catalog {seed}");
    }
}

#[test]
#[ignore = "not seen to pass since the second edition of the rules; to be gone through"]
fn nothing_of_ones_own_is_overwritten_unasked_and_a_second_import_changes_nothing() {
    let (mut disagreements, mut new) = (0, 0);
    for seed in 0..400 {
        let Some((_, theirs)) = shared(seed) else { continue };
        let mine = typed_out(&tangle::tangle(seed + 1).0, seed + 1);
        let (merge, edits) = merged(&mine, &theirs, Choice::Mine);
        disagreements += merge.disagreements.len();
        new += merge.new.len();
        let after = edited(&mine, &edits);
        for (table, text) in &mine {
            let rows = |text: &[u8]| TextSheet::read(table, table, text).expect("a header").rows;
            for (before, after) in rows(text).iter().zip(rows(&after[table])) {
                assert_eq!(
                    (before.line, before.value()),
                    (after.line, after.value()),
                    "catalog {seed}, {table}"
                );
            }
        }
        assert_eq!(merged(&after, &theirs, Choice::Mine).1.len(), 0, "catalog {seed}");
        let (_, edits) = merged(&mine, &theirs, Choice::Theirs);
        let after = edited(&mine, &edits);
        let (merge, edits) = merged(&after, &theirs, Choice::Theirs);
        assert_eq!((merge.disagreements.len(), edits.len()), (0, 0), "catalog {seed}");
    }
    assert!(disagreements > 1_000 && new > 1_000, "{disagreements}, {new}");
}
