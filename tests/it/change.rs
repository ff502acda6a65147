//! Rows that are changed from the command line, and every change taken back.

use crate::on_a_copy;
use on_a_copy::{demo, run, tables};
use std::collections::BTreeMap;
use std::path::Path;

#[test]
fn a_cell_is_changed_only_after_a_yes_and_nothing_else_with_it() {
    let folder = demo();
    let before = tables(folder.path());
    let set = ["set", "parts", "91.2110", "material=FKM", "note=from a bag; checked"];
    for (consent, status) in [(&[][..], 3), (&["--dry-run"], 0), (&["--json"], 3)] {
        let (got, said) = run(folder.path(), &[&set, consent].concat());
        assert_eq!(got, status, "{said}");
        assert!(said.contains("FKM"), "{said}");
        assert_eq!(tables(folder.path()), before);
    }
    let (status, said) = run(folder.path(), &[&set[..], &["--yes"]].concat());
    assert_eq!(status, 0, "{said}");
    let after = tables(folder.path());
    let text = String::from_utf8_lossy(&before["parts.csv"]).into_owned();
    let line = |text: &str| {
        text.lines()
            .filter(|line| !line.starts_with("91-2110,"))
            .map(str::to_owned)
            .collect::<Vec<_>>()
    };
    assert_eq!(line(&text), line(&String::from_utf8_lossy(&after["parts.csv"])));
    assert!(String::from_utf8_lossy(&after["parts.csv"]).contains("from a bag; checked"));
    let (status, said) = run(folder.path(), &[&set[..], &["--yes"]].concat());
    assert_eq!((status, said.as_str()), (0, "The tables say so already; nothing was written.\n"));
    assert_eq!(run(folder.path(), &["undo", "--yes"]).0, 0);
    assert_eq!(tables(folder.path()), before);
}

#[test]
fn what_cannot_stand_in_a_cell_is_refused_with_its_column() {
    let folder = demo();
    let before = tables(folder.path());
    for (arguments, why) in [
        (
            &["set", "parts", "91-2110", "single_use=perhaps"][..],
            "column single_use: `perhaps` is no yes or no",
        ),
        (
            &["set", "dimensions", "91-2110", "--where", "feature=section", "size=thick"],
            "column size: `thick` is no size",
        ),
        (
            &["set", "dimensions", "91-2110", "--where", "feature=section", "size="],
            "column size: every row of dimensions needs it",
        ),
        (&["set", "parts", "91-2110", "materiel=FKM"], "did you mean material?"),
        (&["set", "part", "91-2110", "material=FKM"], "did you mean parts?"),
        (&["set", "parts", "91-2111x", "material=FKM"], "did you mean"),
        (&["set", "parts", "91-2110", "part=91-2112"], "has '91-2112' already"),
        (&["set", "dimensions", "91-2110", "size=2"], "rows are meant"),
        (&["remove", "dimensions", "91-2110", "--line", "dimensions.csv:1"], "none of the rows"),
        (&["rename", "part", "91-2110", "91-2112"], "is there already"),
        (&["rename", "screw", "91-2110", "91-2112"], "name one of: model"),
    ] {
        let (status, said) = run(folder.path(), &[arguments, &["--yes"]].concat());
        assert_eq!(status, 2, "{arguments:?}: {said}");
        assert!(said.contains(why), "{arguments:?}: {said}");
    }
    assert_eq!(tables(folder.path()), before);
}

#[test]
fn names_that_are_set_with_commas_are_parted_as_those_that_are_added() {
    let folder = demo();
    let set = |cell: &str| run(folder.path(), &["set", "operations", "pump-off", cell, "--yes"]);
    let (status, said) = set("needs=gearcase-off, cowl-off");
    assert_eq!(status, 0, "{said}");
    assert!(said.contains("gearcase-off;cowl-off"), "{said}");
    assert!(set("needs=gearcase-off,cowl-off").1.contains("say so already"));
    assert_eq!(set("name=Off, then on").0, 0);
    let table = tables(folder.path())["operations.csv"].clone();
    assert!(
        String::from_utf8_lossy(&table)
            .contains(r#"pump-off,"Off, then on",gearcase-off;cowl-off"#)
    );
}

#[test]
fn of_several_rows_one_is_chosen_by_its_line_or_by_another_cell() {
    let folder = demo();
    let (_, said) = run(folder.path(), &["remove", "dimensions", "91-2110", "--yes"]);
    let place = said
        .lines()
        .find(|line| line.contains("feature=section"))
        .and_then(|line| line.split_whitespace().next());
    let place = place.expect("the rows are listed").to_owned();
    let (status, by_line) =
        run(folder.path(), &["remove", "dimensions", "91-2110", "--line", &place, "--dry-run"]);
    let (_, by_cell) = run(
        folder.path(),
        &["remove", "dimensions", "91-2110", "--where", "feature=section", "--dry-run"],
    );
    assert_eq!((status, &by_line), (0, &by_cell));
    assert!(by_line.contains("- 91-2110,section"), "{by_line}");
}

#[test]
fn a_row_that_others_need_is_taken_out_with_a_word_on_those() {
    let folder = demo();
    let (status, said) = run(folder.path(), &["remove", "parts", "91-2110", "--dry-run"]);
    assert_eq!(status, 3, "{said}");
    assert!(said.contains("Still named here") && said.contains("positions.csv:"), "{said}");
}

#[test]
fn a_renamed_name_gives_the_same_kit_under_the_new_name() {
    let folder = demo();
    let kit = |root: &Path| run(root, &["kit", "cooling-pump", "--on", "dinghy"]);
    let before = kit(folder.path());
    for (what, old, new) in [
        ("part", "912110", "91-7777"),
        ("position", "pump-screws", "cover-screws"),
        ("job", "cooling-pump", "raw-pump"),
    ] {
        let (status, said) = run(folder.path(), &["rename", what, old, new, "--yes"]);
        assert_eq!(status, 0, "{said}");
    }
    let after = run(folder.path(), &["kit", "raw-pump", "--on", "dinghy", "--json"]).1;
    assert!(after.contains("91-7777") && after.contains("cover-screws"));
    assert!(
        !after.contains("91-2110")
            && !after.contains("pump-screws")
            && !after.contains("cooling-pump"),
        "{after}"
    );
    for _ in 0..3 {
        assert_eq!(run(folder.path(), &["undo", "--yes"]).0, 0);
    }
    assert_eq!(kit(folder.path()), before);
}

/// Numbers that look random and are the same each time.
struct Chance(u64);

impl Chance {
    fn below(&mut self, limit: usize) -> usize {
        self.0 =
            self.0.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        usize::try_from(self.0 >> 33).expect("31 bits") % limit
    }
}

/// Lists and tables of others, to be taken in.
struct Others {
    _folder: tempfile::TempDir,
    share: String,
    parts: String,
    offers: String,
}

impl Others {
    fn new() -> Others {
        let folder = tempfile::tempdir().expect("a folder");
        let path = |name: &str| folder.path().join(name).to_str().expect("plain").to_owned();
        let (share, parts, offers) = (path("a-friend"), path("parts-list.csv"), path("prices.csv"));
        let other = demo();
        assert_eq!(run(other.path(), &["set", "parts", "91-2110", "material=FKM", "--yes"]).0, 0);
        assert_eq!(
            run(other.path(), &["set", "operations", "pump-off", "minutes=33", "--yes"]).0,
            0
        );
        assert_eq!(run(other.path(), &["share", "cooling-pump", "-o", &share]).0, 0);
        let list =
            "Number;Description;Material\n91-2110;O-ring 50,5x2;FKM\n91-9001;Gasket, cover;\n";
        std::fs::write(&parts, list).expect("written");
        std::fs::write(&offers, "Part no.,Price\n91-2110,1.20\n91-9001,3.40\n").expect("written");
        Others { _folder: folder, share, parts, offers }
    }
}

/// Every command that writes, with names that are there, or are there only until something was renamed.
fn write(chance: &mut Chance, count: usize, others: &Others) -> Vec<String> {
    let part = ["91-2110", "91-2109", "TV-1181-02", "90-5001", "91-2115"][chance.below(5)];
    let (new, line) = (format!("N-{count}"), format!("98-10{count} O-ring 24x3 NBR70, pump cover"));
    let position = ["pump-screws", "pump-housing", "pump-key"][chance.below(3)];
    let words: Vec<&str> = match chance.below(21) {
        0 => vec!["set", "parts", part, "note=seen \"twice\", once wet"],
        1 => vec!["set", "machines", "dinghy", "hours=412.5", "traits=EU"],
        2 => vec!["rename", "part", part, &new],
        3 => vec!["rename", "position", position, &new],
        4 => vec!["remove", "stock", part],
        5 => vec!["order", "cooling-pump", "--on", "dinghy", "--place", "--date", "2026-03-01"],
        6 => vec!["receive", "2026-01", "--accept", "--date", "2026-03-02"],
        7 => vec![
            "measure",
            "dinghy",
            "drive-seal-upper",
            "shaft diameter",
            "11.87",
            "--date",
            "2026-01-02",
        ],
        8 => vec!["import", &others.share, "--theirs"],
        9 => vec!["import", &others.parts, "--into", "parts"],
        10 => vec![
            "import",
            &others.parts,
            "--into",
            "parts",
            "--overwrite",
            "--map",
            "Description=note",
        ],
        11 => vec!["import", &others.offers, "--into", "offers", "--all", "supplier=brackwater"],
        12 => vec!["add", &line],
        13 => vec!["add", "position", &new, "--part", part, "--model", "K3"],
        14 => vec!["add", "supersession", part, &new, "--since", "2003"],
        15 => vec!["add", "retrofit", &new, position, "fits", "--note", "tried; \"snug\""],
        16 => vec!["add", "operation", &new, "--opens", "pump-face"],
        17 => vec!["add", "machine", &new, "K3", "--year", "1996"],
        18 => vec![
            "add",
            "joint",
            &new,
            "--gasket",
            part,
            "--screws",
            "4x91-3045",
            "--opened-by",
            &new,
        ],
        19 => vec!["add", "job", &new, "--renew", position],
        _ => vec![
            "record",
            "cooling-pump",
            "--on",
            "dinghy",
            "--date",
            "2026-10-04",
            "--hours",
            "413",
            "--accept",
        ],
    };
    words.into_iter().map(str::to_owned).collect()
}

/// The command as the test counts it: what `add` adds and what `import` takes in are writes of their own.
fn kind(words: &[String]) -> String {
    match words {
        [add, line, ..] if add == "add" && line.contains(' ') => "add a part".to_owned(),
        [add, table, ..] if add == "add" => format!("add {table}"),
        [import, _, theirs, ..] if import == "import" => format!("import {theirs}"),
        [command, ..] => command.clone(),
        [] => String::new(),
    }
}

#[test]
fn any_sequence_of_writes_is_taken_back_byte_for_byte() {
    let others = Others::new();
    let sequences: u64 =
        std::env::var("UNDO_COUNT").ok().and_then(|text| text.parse().ok()).unwrap_or(16);
    let mut written = BTreeMap::new();
    for sequence in 0..sequences {
        let folder = demo();
        let root = folder.path();
        let mut chance = Chance(sequence * 7919 + 1);
        let mut states = vec![tables(root)];
        for count in 0..10 {
            let words = write(&mut chance, count, &others);
            let mut arguments: Vec<&str> = words.iter().map(String::as_str).collect();
            if !["order", "receive", "measure"].contains(&arguments[0]) {
                arguments.push("--yes");
            }
            let (status, said) = run(root, &arguments);
            let now = tables(root);
            if states.last() == Some(&now) {
                continue;
            }
            assert_ne!(status, 2, "{arguments:?}: {said}");
            *written.entry(kind(&words)).or_insert(0) += 1;
            states.push(now);
        }
        states.pop();
        while let Some(before) = states.pop() {
            let (status, said) = run(root, &["undo", "--yes"]);
            assert_eq!(status, 0, "sequence {sequence}: {said}");
            assert!(tables(root) == before, "sequence {sequence}: not as it was: {said}");
        }
    }
    println!("{written:?}");
    let undone = [
        "add a part",
        "add job",
        "add joint",
        "add machine",
        "add operation",
        "add position",
        "add retrofit",
        "add supersession",
        "import --into",
        "import --theirs",
        "measure",
        "order",
        "receive",
        "record",
        "remove",
        "rename",
        "set",
    ];
    for command in undone {
        assert!(written.contains_key(command), "no {command} wrote anything: {written:?}");
    }
}
