//! A folder that one owner shares comes into another's catalog.

use crate::on_a_copy;
use on_a_copy::{demo, demo_of, run, tables};
use std::fs;
use std::path::Path;

fn text(path: &Path) -> &str {
    path.to_str().expect("a plain path")
}

/// The answer without the lines of the tables that it names.
fn kit(root: &Path, job: &str, machine: &str) -> (i32, String) {
    let (status, text) = run(root, &["kit", job, "--on", machine, "--json"]);
    let mut pieces = text.split(".csv:");
    let mut kept = pieces.next().unwrap_or_default().to_owned();
    for piece in pieces {
        kept.push_str(piece.trim_start_matches(|c: char| c.is_ascii_digit()));
    }
    (status, kept)
}

#[test]
fn every_job_of_the_demo_gives_the_same_kit_from_an_empty_catalog_that_took_it_in() {
    let whole = demo();
    fs::remove_file(whole.path().join("worklog.csv")).expect("removed");
    fs::remove_file(whole.path().join("measurements.csv")).expect("removed");
    let jobs = [
        "annual-service",
        "impeller",
        "cooling-pump",
        "gearcase-seals",
        "thermostat",
        "starter-rope",
        "tilt-bracket",
    ];
    for job in jobs {
        let shares = tempfile::tempdir().expect("a folder");
        let share = shares.path().join("from-a-friend");
        let (status, said) = run(whole.path(), &["share", job, "-o", text(&share)]);
        assert_eq!(status, 0, "{said}");
        assert!(!share.join("machines.csv").exists());
        let other = tempfile::tempdir().expect("a folder");
        let (status, said) = run(other.path(), &["import", text(&share), "--yes"]);
        assert_eq!(status, 0, "{said}");
        fs::copy(whole.path().join("machines.csv"), other.path().join("machines.csv"))
            .expect("copied");
        for machine in ["dinghy", "tender"] {
            let (wanted, got) = (kit(whole.path(), job, machine), kit(other.path(), job, machine));
            assert_eq!(wanted.0, got.0, "{job} on {machine}: {}", got.1);
            if wanted.0 != 2 {
                assert_eq!(wanted.1, got.1, "{job} on {machine}");
            }
        }
        let before = tables(other.path());
        let (status, said) = run(other.path(), &["import", text(&share), "--yes"]);
        assert_eq!(status, 0, "{said}");
        assert!(said.contains("There is nothing to write."), "{said}");
        assert_eq!(tables(other.path()), before);
    }
}

/// A catalog that says something else of one part and one position than the share from the demo.
fn differing() -> (tempfile::TempDir, tempfile::TempDir) {
    let mine = demo();
    let change = |file: &str, from: &str, to: &str| {
        let path = mine.path().join(file);
        let text = fs::read_to_string(&path).expect("read");
        assert!(text.contains(from), "{file} lacks {from}");
        fs::write(path, text.replacen(from, to, 1)).expect("written");
    };
    change("parts.csv", "91-2115,o-ring", "91-2115,gasket");
    change(
        "positions.csv",
        "O-ring on top of the driveshaft,91-2115,1,,",
        "O-ring on top of the driveshaft,91-2109,1,,1994-2000",
    );
    let shares = tempfile::tempdir().expect("a folder");
    let share = shares.path().join("pump");
    assert_eq!(
        run(demo().path(), &["share", "cooling-pump", "--on", "dinghy", "-o", text(&share)]).0,
        0
    );
    (mine, shares)
}

#[test]
fn nothing_that_differs_is_overwritten_unasked() {
    let (mine, shares) = differing();
    let share = shares.path().join("pump");
    let before = tables(mine.path());
    for consent in ["--yes", "--dry-run", "--json"] {
        let (status, said) = run(mine.path(), &["import", text(&share), consent]);
        assert_eq!(status, 3, "{said}");
        assert!(
            said.contains("gasket") && said.contains("o-ring") && said.contains("91-2109"),
            "{said}"
        );
        assert_eq!(tables(mine.path()), before);
    }
    let (status, said) = run(mine.path(), &["import", text(&share), "--mine", "--yes"]);
    assert_eq!(status, 0, "{said}");
    assert_eq!(tables(mine.path()), before);
}

#[test]
fn the_owner_chooses_row_by_row_and_undo_gives_the_tables_back() {
    let (mine, shares) = differing();
    let share = shares.path().join("pump");
    let before = tables(mine.path());
    let (status, said) =
        run(mine.path(), &["import", text(&share), "--choose", "parts:912115=theirs", "--yes"]);
    assert_eq!(status, 3, "the position is still open: {said}");
    let after = tables(mine.path());
    let changed: Vec<&String> =
        before.keys().filter(|name| before[*name] != after[*name]).collect();
    assert_eq!(changed, ["parts.csv"]);
    assert!(String::from_utf8_lossy(&after["parts.csv"]).contains("91-2115,o-ring"));
    assert_eq!(run(mine.path(), &["undo", "--yes"]).0, 0);
    assert_eq!(tables(mine.path()), before);
    let (status, said) = run(mine.path(), &["import", text(&share), "--theirs", "--yes"]);
    assert_eq!(status, 0, "{said}");
    let positions = fs::read_to_string(mine.path().join("positions.csv")).expect("read");
    assert!(
        !positions.contains("driveshaft,91-2109") && positions.contains("driveshaft,91-2115"),
        "{positions}"
    );
    assert_eq!(run(mine.path(), &["undo", "--yes"]).0, 0);
    assert_eq!(tables(mine.path()), before);
}

#[test]
fn a_choice_that_names_nothing_or_cannot_stand_is_refused() {
    let (mine, shares) = differing();
    let share = shares.path().join("pump");
    let before = tables(mine.path());
    for (choice, hint) in [
        ("parts:91-2116=theirs", "did you mean parts:91-2115?"),
        ("parts:91-2115=both", "cannot both stand"),
        ("parts:91-2115=hers", "write it as TABLE:KEY="),
    ] {
        let (status, said) =
            run(mine.path(), &["import", text(&share), "--choose", choice, "--yes"]);
        assert_eq!(status, 2, "{said}");
        assert!(said.contains(hint), "{said}");
    }
    assert_eq!(tables(mine.path()), before);
}

#[test]
fn folders_that_would_be_read_as_ones_own_or_hold_something_are_refused() {
    let whole = demo();
    let before = tables(whole.path());
    let inside = whole.path().join("for-a-friend");
    let (status, said) = run(whole.path(), &["share", "impeller", "-o", text(&inside)]);
    assert_eq!(status, 2);
    assert!(said.contains("lies in the catalog folder"), "{said}");
    assert!(!inside.exists());
    let held = tempfile::tempdir().expect("a folder");
    fs::write(held.path().join("letter.txt"), "mine").expect("written");
    let (status, said) = run(whole.path(), &["share", "impeller", "-o", text(held.path())]);
    assert_eq!(status, 2);
    assert!(said.contains("is not empty"), "{said}");
    assert_eq!(fs::read_dir(held.path()).expect("read").count(), 1);
    let (status, said) = run(whole.path(), &["import", text(whole.path()), "--yes"]);
    assert_eq!(status, 2);
    assert!(said.contains("is the catalog itself"), "{said}");
    for wrong in ["impellor", "cooling-pump"] {
        let new = held.path().join("new");
        let (status, said) =
            run(whole.path(), &["share", wrong, "--on", "tender", "-o", text(&new)]);
        assert_eq!(status, 2, "{said}");
        assert!(!new.exists());
    }
    let (status, said) = run(whole.path(), &["import", text(&held.path().join("none")), "--yes"]);
    assert_eq!(status, 2, "{said}");
    assert_eq!(tables(whole.path()), before);
}

#[test]
fn what_cannot_be_read_of_theirs_is_named_and_nothing_is_taken() {
    let mine = demo();
    let before = tables(mine.path());
    let share = tempfile::tempdir().expect("a folder");
    fs::write(share.path().join("parts.csv"), "part,type\nA-1,gasket\n-,gasket\n")
        .expect("written");
    let (status, said) = run(mine.path(), &["import", text(share.path()), "--yes"]);
    assert_eq!(status, 2);
    assert!(said.contains("parts.csv:3, column part"), "{said}");
    assert_eq!(tables(mine.path()), before);
}

#[test]
fn what_is_an_owners_own_is_not_taken_from_a_whole_catalog() {
    let mine = demo_of(|name| ["machines.csv", "models.csv"].contains(&name));
    let theirs = demo();
    let (status, said) = run(mine.path(), &["import", text(theirs.path()), "--yes"]);
    assert_eq!(status, 0, "{said}");
    assert!(said.contains("rows of stock left out"), "{said}");
    let names: Vec<String> = tables(mine.path()).into_keys().collect();
    assert!(!names.iter().any(|name| ["stock.csv", "worklog.csv", "orders.csv", "offers.csv"].contains(&&**name)));
}
