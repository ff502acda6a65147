//! What the program wrote can be taken back, byte for byte, and what a person wrote since is left alone.

use crate::on_a_copy;
use on_a_copy::{demo, run, tables};
use std::fs;

const MEASURE: [&str; 7] =
    ["measure", "dinghy", "drive-seal-upper", "shaft diameter", "11.87", "--date", "2026-01-02"];

#[test]
fn every_write_is_taken_back_byte_for_byte_the_last_first() {
    let folder = demo();
    let root = folder.path();
    let mut states = vec![tables(root)];
    let writes: [&[&str]; 3] = [
        &MEASURE,
        &["order", "cooling-pump", "--on", "dinghy", "--place", "--date", "2026-03-01"],
        &MEASURE,
    ];
    for write in writes {
        let (status, text) = run(root, write);
        assert!(status == 0 || status == 3, "{text}");
        states.push(tables(root));
    }
    let (_, list) = run(root, &["undo", "--list"]);
    assert_eq!(list.lines().count(), 4, "{list}");
    states.windows(2).for_each(|pair| assert_ne!(pair[0], pair[1]));
    states.pop();
    while let Some(before) = states.pop() {
        let (status, text) = run(root, &["undo", "--yes"]);
        assert_eq!(status, 0, "{text}");
        assert_eq!(tables(root), before);
    }
    let (status, text) = run(root, &["undo", "--yes"]);
    assert_eq!((status, &*text), (1, "There is no change to take back.\n"));
}

#[test]
fn what_could_not_be_read_again_is_refused_before_anything_is_written() {
    let folder = demo();
    let root = folder.path();
    let before = tables(root);
    let writes: [&[&str]; 3] = [
        &["measure", "dinghy", "drive-seal-upper", "", "11.87"],
        &["measure", "dinghy", "drive-seal-upper", " ", "11.87", "--dry-run"],
        &["measure", "dinghy", " ", "shaft diameter", "11.87"],
    ];
    for write in writes {
        let (status, text) = run(root, write);
        assert_eq!(status, 2, "{text}");
        assert!(text.starts_with("error: "), "{text}");
        assert_eq!(tables(root), before, "{text}");
    }
}

#[test]
fn a_reading_that_looks_wrong_is_asked_about_before_it_is_logged() {
    let folder = demo();
    let root = folder.path();
    let before = tables(root);
    for (value, more, said) in [
        ("11.95 in", &[][..], "was it 11.95 mm?"),
        ("119.5", &["--dry-run"], "was it 11.95 mm"),
        ("11.95", &["--date", "2099-01-01"], "2099-01-01 is after today"),
        ("12 h8", &["--accept"], "no tolerance class"),
    ] {
        let measure =
            [&["measure", "dinghy", "drive-seal-upper", "shaft diameter", value], more].concat();
        let (status, text) = run(root, &measure);
        assert_eq!(status, 2, "{text}");
        assert!(text.contains(said), "{text}");
        assert_eq!(tables(root), before);
    }
    let accepted =
        ["measure", "dinghy", "drive-seal-upper", "shaft diameter", "11.95 in", "--accept"];
    let (status, text) = run(root, &accepted);
    assert_eq!(status, 0, "{text}");
    assert!(text.contains("on your word, although: 11.95 in is far from the"), "{text}");
    assert_ne!(tables(root), before);
}

#[test]
fn nothing_is_taken_back_unasked() {
    let folder = demo();
    let root = folder.path();
    run(root, &MEASURE);
    let after = tables(root);
    for (asked, expected) in
        [(&["undo"][..], 3), (&["undo", "--dry-run"], 0), (&["undo", "--json"], 3)]
    {
        let (status, text) = run(root, asked);
        assert_eq!(status, expected, "{text}");
        assert!(text.contains("11.87"), "{text}");
        assert_eq!(tables(root), after);
    }
}

#[test]
fn rows_that_a_person_added_since_stay() {
    let folder = demo();
    let root = folder.path();
    let file = root.join("measurements.csv");
    let before = fs::read_to_string(&file).expect("read");
    run(root, &MEASURE);
    let now = fs::read_to_string(&file).expect("read");
    fs::write(&file, format!("# mine\n{now}")).expect("written");
    let (status, text) = run(root, &["undo", "--yes"]);
    assert_eq!(status, 0, "{text}");
    assert_eq!(fs::read_to_string(&file).expect("read"), format!("# mine\n{before}"));
}

#[test]
fn a_row_that_a_person_changed_since_is_left_and_named() {
    let folder = demo();
    let root = folder.path();
    let file = root.join("measurements.csv");
    run(root, &MEASURE);
    let mine = fs::read_to_string(&file).expect("read").replace("11.87", "11.88");
    fs::write(&file, &mine).expect("written");
    let (status, text) = run(root, &["undo", "--yes"]);
    assert_eq!(status, 2);
    assert!(
        text.contains("measurements.csv was edited since, in the lines of this change"),
        "{text}"
    );
    assert_eq!(fs::read_to_string(&file).expect("read"), mine);
}

#[test]
fn what_was_kept_of_a_change_may_be_deleted_or_damaged_without_harm_to_the_tables() {
    let folder = demo();
    let root = folder.path();
    run(root, &MEASURE);
    let after = tables(root);
    fs::write(root.join(".kitwright-undo/000001.json"), "{").expect("written");
    let (status, text) = run(root, &["undo", "--yes"]);
    assert_eq!(status, 2);
    assert!(text.contains("000001.json cannot be read"), "{text}");
    fs::remove_dir_all(root.join(".kitwright-undo")).expect("deleted");
    assert_eq!(run(root, &["undo", "--yes"]).0, 1);
    assert_eq!(tables(root), after);
    assert_ne!(run(root, &MEASURE).0, 2);
}
