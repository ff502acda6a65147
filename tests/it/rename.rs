//! A name that is changed wherever it stands changes nothing else.

use crate::oracle::{tangle, typed_out};
use kitwright::catalog::Memory;
use kitwright::catalog::Thing;
use kitwright::entry::change::{Unchanged, rename};
use kitwright::kit::{Ask, work_out};
use kitwright::measure::Key;
use kitwright::tables::{FileEdits, Tables, TextSheet, rewrite};
use serde_json::Value;
use std::collections::BTreeMap;

type Texts = BTreeMap<String, Vec<u8>>;

fn sheets(texts: &Texts) -> Vec<TextSheet> {
    texts
        .iter()
        .filter_map(|(name, text)| TextSheet::read(name.trim_end_matches(".csv"), name, text))
        .collect()
}

fn catalog(texts: &Texts) -> Memory {
    let mut tables = Tables::default();
    for (name, text) in texts {
        tables.read_file(name.trim_end_matches(".csv"), name.clone(), text);
    }
    assert_eq!(tables.faults, []);
    tables.catalog()
}

fn edited(texts: &Texts, edits: &[FileEdits]) -> Texts {
    let mut after = texts.clone();
    for file in edits {
        let text = after.get_mut(&file.name).expect("the file");
        *text = rewrite(file.table, text, &file.edits).expect("edits that fit");
    }
    after
}

/// Leaves sentences out, and puts the new name for the old one in whatever spelling.
fn replaced(value: &mut Value, thing: Thing, old: &str, new: &str) {
    match value {
        Value::String(text) if thing.alike(text, old) => *text = new.to_owned(),
        Value::Array(items) => items.iter_mut().for_each(|item| replaced(item, thing, old, new)),
        Value::Object(items) => {
            for sentence in ["because", "message", "doubts", "known_options", "unknown_options"] {
                items.remove(sentence);
            }
            // Several parts that sit at one position are named in one text.
            if let Some(Value::String(text)) = items.get_mut("current") {
                *text = text.replace(old, new);
            }
            items.values_mut().for_each(|item| replaced(item, thing, old, new));
            // These are sorted by name.
            for sorted in ["lines", "gaps"] {
                if let Some(Value::Array(items)) = items.get_mut(sorted) {
                    items.sort_by_key(ToString::to_string);
                }
            }
        }
        _ => {}
    }
}

#[test]
#[ignore = "not seen to pass since the second edition of the rules; to be gone through"]
fn the_kit_after_a_name_is_changed_is_the_kit_before_with_the_name_changed() {
    let things = [
        Thing::Part,
        Thing::Position,
        Thing::Operation,
        Thing::Job,
        Thing::Machine,
        Thing::Model,
        Thing::Joint,
        Thing::Type,
    ];
    let mut compared = BTreeMap::new();
    for seed in 0..600u64 {
        let (tables, wish) = tangle::tangle(seed);
        let typed = typed_out::texts(&tables).into_iter();
        let texts: Texts = typed.map(|(table, text)| (format!("{table}.csv"), text)).collect();
        let before = catalog(&texts);
        for thing in things {
            let (home, column) = thing.home().expect("a table");
            let Some(rows) = tables.get(home).filter(|rows| !rows.is_empty()) else { continue };
            let old = &rows[usize::try_from(seed).expect("small") % rows.len()][column];
            let new = "Zz 99-New";
            let edits = rename(thing, old, new, &sheets(&texts)).expect("a name that is there");
            let after = edited(&texts, &edits);
            let name = |text: &String, of: Thing| {
                if of == thing && thing.alike(text, old) { new } else { text }.into()
            };
            let ask = |machine: Key, jobs: Vec<Key>| Ask {
                machine: Some(machine),
                jobs,
                options: wish.options.iter().map(|option| Key::new(option)).collect(),
                ..Ask::default()
            };
            let asked =
                ask(Key::new(&wish.machine), wish.jobs.iter().map(|job| Key::new(job)).collect());
            let later = ask(
                name(&wish.machine, Thing::Machine),
                wish.jobs.iter().map(|job| name(job, Thing::Job)).collect(),
            );
            let Ok(wanted) = work_out(&asked, &before) else { continue };
            let got = work_out(&later, &catalog(&after)).expect("a kit still");
            let [wanted, got] = [wanted, got].map(|kit| {
                let mut kit = serde_json::to_value(kit).expect("plain data");
                replaced(&mut kit, thing, old, new);
                kit
            });
            for (key, wanted) in wanted.as_object().expect("an object") {
                assert_eq!(&got[key], wanted, "catalog {seed}: {key} once {old} is renamed");
            }
            *compared.entry(home).or_insert(0) += 1;

            // Once it is spelled alike everywhere, there and back is the same to the byte.
            let alike =
                edited(&texts, &rename(thing, old, old, &sheets(&texts)).expect("respelled"));
            let there = edited(&alike, &rename(thing, old, new, &sheets(&alike)).expect("renamed"));
            let back =
                edited(&there, &rename(thing, new, old, &sheets(&there)).expect("renamed back"));
            assert_eq!(back, alike, "catalog {seed}: {old} there and back");
        }
    }
    println!("{compared:?}");
    assert!(compared.len() >= 7 && compared.values().all(|count| *count > 100), "{compared:?}");
}

#[test]
fn a_name_that_is_there_or_cannot_be_read_back_is_refused() {
    let texts = Texts::from([
        ("parts.csv".to_owned(), b"part,type\nA-1,gasket\nA-2,gasket\n".to_vec()),
        ("operations.csv".to_owned(), b"operation,uses\nfill,A-1=2;B-3=1\n".to_vec()),
    ]);
    let sheets = sheets(&texts);
    for (new, why) in [
        ("a2", "is there already (parts.csv:3)"),
        ("B3", "is there already (operations.csv:2)"),
        ("A;1", "separate names"),
        ("A=1", "separate names"),
        ("-", "at least one letter or digit"),
        ("#1", "a remark"),
        (" ", "blank"),
    ] {
        let refused = rename(Thing::Part, "A-1", new, &sheets).expect_err(new).to_string();
        assert!(refused.contains(why), "{new}: {refused}");
    }
    let missing = rename(Thing::Part, "A-11", "C-1", &sheets).expect_err("missing");
    assert!(
        matches!(&missing, Unchanged::NotThere(why) if why.contains("did you mean")),
        "{missing}"
    );
    assert!(
        rename(Thing::Type, "gasket", "seal ring", &sheets).is_err(),
        "a type that ships keeps its name"
    );
    let edits = rename(Thing::Part, "a1", "A1/x", &sheets).expect("renamed");
    let after = edited(&texts, &edits);
    assert_eq!(after["operations.csv"], b"operation,uses\nfill,A1/x=2;B-3=1\n");
}
