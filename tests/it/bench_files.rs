//! The pages and pictures that the program writes: whole, where they were asked for, and never over a table.

use std::fs;
use std::path::Path;
use std::process::{Command, Output};

fn kitwright(arguments: &[&str]) -> Output {
    let demo = Path::new(env!("CARGO_MANIFEST_DIR")).join("demo");
    let mut command = Command::new(env!("CARGO_BIN_EXE_kitwright"));
    command.env_remove("KITWRIGHT_CATALOG").arg("-C").arg(demo).args(arguments).output().unwrap()
}

fn text(bytes: &[u8]) -> String {
    String::from_utf8(bytes.to_vec()).unwrap()
}

#[test]
fn the_sheet_is_one_whole_page_in_the_file_named() {
    let folder = tempfile::tempdir().unwrap();
    let file = folder.path().join("pump.html");
    let name = file.to_str().unwrap();
    let out =
        kitwright(&["sheet", "cooling-pump", "--on", "dinghy", "--date", "2026-10-10", "-o", name]);
    assert_eq!(out.status.code(), Some(0), "{}", text(&out.stderr));
    let page = fs::read_to_string(&file).unwrap();
    assert!(page.starts_with("<!DOCTYPE html>") && page.trim_end().ends_with("-->"));
    assert!(
        page.contains("8T041377") && page.contains("2026-10-10") && page.contains("<h2>Strip<")
    );
    assert_eq!(fs::read_dir(folder.path()).unwrap().count(), 1, "nothing is left beside it");
}

#[test]
fn a_sheet_of_a_kit_that_is_not_complete_is_written_and_says_so() {
    let folder = tempfile::tempdir().unwrap();
    let file = folder.path().join("tilt.htm");
    let out = kitwright(&["sheet", "tilt-bracket", "--on", "dinghy", "-o", file.to_str().unwrap()]);
    assert_eq!(out.status.code(), Some(3));
    assert!(text(&out.stdout).contains("NOT complete"));
    assert!(fs::read_to_string(&file).unwrap().contains("NOT COMPLETE: 3 things stand open"));
}

#[test]
fn for_other_programs_the_sheet_is_one_object_that_names_its_file() {
    let folder = tempfile::tempdir().unwrap();
    let file = folder.path().join("pump.html");
    let name = file.to_str().unwrap();
    let out = kitwright(&["sheet", "thermostat", "--on", "tender", "-o", name, "--json"]);
    let object: serde_json::Value = serde_json::from_slice(&out.stdout).unwrap();
    assert_eq!(object["file"], name);
    assert_eq!(
        object["strip"].as_array().unwrap().len(),
        object["refit"].as_array().unwrap().len()
    );
    assert!(
        object["lay_out"]
            .as_array()
            .unwrap()
            .iter()
            .all(|item| !item["lies"].as_array().unwrap().is_empty())
    );
}

const WRITERS: [(&str, &[&str]); 4] = [
    ("html", &["sheet", "thermostat", "--on", "tender", "-o"]),
    ("svg", &["way-in", "thermostat", "--on", "tender", "-o"]),
    ("svg", &["part", "TV-3310-00", "--color", "never", "--picture"]),
    ("svg", &["fits", "91-2060", "dinghy", "--at", "drive-seal-upper", "--picture"]),
];

fn write_to(arguments: &[&str], file: &Path) -> Output {
    kitwright(&[arguments, &[file.to_str().unwrap()]].concat())
}

#[test]
fn what_the_program_made_is_replaced_and_nothing_else_ever_is() {
    let folder = tempfile::tempdir().unwrap();
    let table = folder.path().join("parts.csv");
    fs::write(&table, "part\nA-1\n").unwrap();
    for (index, (ending, arguments)) in WRITERS.into_iter().enumerate() {
        let out = write_to(arguments, &table);
        assert_eq!(out.status.code(), Some(2), "{arguments:?}");
        assert!(text(&out.stderr).contains("give it a name that ends in"), "{}", text(&out.stderr));

        let own = folder.path().join(format!("own-{index}.{ending}"));
        fs::write(&own, "<svg>drawn by hand</svg>").unwrap();
        let out = write_to(arguments, &own);
        assert_eq!(out.status.code(), Some(2), "{arguments:?}");
        assert!(
            text(&out.stderr).contains("was not made by this command; name another file"),
            "{}",
            text(&out.stderr)
        );
        assert_eq!(fs::read_to_string(&own).unwrap(), "<svg>drawn by hand</svg>");

        let made = folder.path().join(format!("made-{index}.{ending}"));
        for _ in 0..2 {
            let out = write_to(arguments, &made);
            assert_ne!(out.status.code(), Some(2), "{}", text(&out.stderr));
        }
        assert!(fs::read_to_string(&made).unwrap().len() > 400);
    }
    assert_eq!(fs::read_to_string(&table).unwrap(), "part\nA-1\n");
}

#[cfg(unix)]
#[test]
fn a_table_behind_a_link_is_not_written_over() {
    let folder = tempfile::tempdir().unwrap();
    let (table, link) = (folder.path().join("parts.csv"), folder.path().join("parts.svg"));
    fs::write(&table, "part\nA-1\n").unwrap();
    std::os::unix::fs::symlink(&table, &link).unwrap();
    assert_eq!(write_to(WRITERS[3].1, &link).status.code(), Some(2));
    assert_eq!(fs::read_to_string(&table).unwrap(), "part\nA-1\n");
}

#[test]
fn pages_of_the_manual_and_lines_for_suppliers_spare_what_others_wrote_there() {
    let folder = tempfile::tempdir().unwrap();
    for arguments in [&["man"][..], &["order", "cooling-pump", "--on", "dinghy", "--csv"]] {
        let into = folder.path().join(arguments[0]);
        let first = write_to(arguments, &into);
        assert_ne!(first.status.code(), Some(2), "{}", text(&first.stderr));
        assert_ne!(write_to(arguments, &into).status.code(), Some(2), "its own files are replaced");
        let file = fs::read_dir(&into).unwrap().next().unwrap().unwrap().path();
        fs::write(&file, "notes of one's own\n").unwrap();
        let out = write_to(arguments, &into);
        assert_eq!(out.status.code(), Some(2));
        assert!(
            text(&out.stderr).contains("was not made by this command"),
            "{}",
            text(&out.stderr)
        );
        assert_eq!(fs::read_to_string(&file).unwrap(), "notes of one's own\n");
    }
}

#[cfg(unix)]
#[test]
fn a_file_that_cannot_be_written_is_refused_with_its_name() {
    let folder = tempfile::tempdir().unwrap();
    let taken = folder.path().join("way-in.svg");
    fs::create_dir(&taken).unwrap();
    let out = kitwright(&["way-in", "thermostat", "--on", "tender", "-o", taken.to_str().unwrap()]);
    assert_eq!(out.status.code(), Some(2));
    assert!(text(&out.stderr).contains("is a folder"), "{}", text(&out.stderr));
    let nowhere = folder.path().join("no-such-folder").join("way-in.svg");
    let out =
        kitwright(&["way-in", "thermostat", "--on", "tender", "-o", nowhere.to_str().unwrap()]);
    assert_eq!(out.status.code(), Some(2));
    assert!(text(&out.stderr).contains("cannot be written"), "{}", text(&out.stderr));
}

#[test]
fn the_way_in_and_a_history_are_drawn_in_black_and_white() {
    let folder = tempfile::tempdir().unwrap();
    let way_in = folder.path().join("way-in.svg");
    let history = folder.path().join("history.svg");
    let out =
        kitwright(&["way-in", "cooling-pump", "--on", "dinghy", "-o", way_in.to_str().unwrap()]);
    assert_eq!(out.status.code(), Some(0), "{}", text(&out.stderr));
    let out = kitwright(&["part", "TV-1181-01", "--picture", history.to_str().unwrap()]);
    assert_eq!(out.status.code(), Some(0), "{}", text(&out.stderr));
    let (way_in, history) =
        (fs::read_to_string(way_in).unwrap(), fs::read_to_string(history).unwrap());
    for part in ["TV-1180-04", "91-2110", "pump-housing-oring", "Take the gearcase off", "opens"] {
        assert!(way_in.contains(part), "{part}");
    }
    for said in [
        "TV-1181-00",
        "TV-1181-02",
        "one-way",
        "both-ways",
        "since 1996",
        "since 2003-04",
        "at pump-impeller: ..2000",
    ] {
        assert!(history.contains(said), "{said}");
    }
    for picture in [&way_in, &history] {
        let colours = picture.split("fill=\"").chain(picture.split("stroke=\"")).skip(1);
        let mut colours = colours.filter_map(|rest| rest.split('"').next());
        assert!(
            colours.all(
                |colour| ["black", "white", "none"].contains(&colour) || colour.contains("svg")
            )
        );
    }
}
