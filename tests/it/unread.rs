//! Rows that cannot be read: they say nothing, lock nothing, are counted and listed, and can be mended in place.
//!
//! Every model, machine, part and supplier in here is invented.

use kitwright::catalog::{Lookup as _, UnreadRow};
use kitwright::measure::{Date, Key};
use kitwright::tables::read_folder;
use std::fs;
use std::path::Path;
use std::process::{Command, Output};
use tempfile::TempDir;

const SOUND: &[(&str, &str)] = &[
    ("models.csv", "model\nQ9\nQ12\n"),
    ("machines.csv", "machine,model,year\nskiff,Q9,1999\nbarge,Q12,2004\n"),
    ("parts.csv", "part,type\nP-10,impeller\nG-20,gasket\n"),
    (
        "positions.csv",
        "position,part,quantity,model,joint,reached_by\nimpeller,P-10,1,,,cover-off\ncover-gasket,G-20,1,,cover,\n",
    ),
    ("operations.csv", "operation,opens\ncover-off,cover\n"),
    ("jobs.csv", "job,model\npump,\n"),
    ("job_lines.csv", "job,position\npump,impeller\n"),
    ("worklog.csv", "date,machine,position,part\n2019,skiff,impeller,P-10\n"),
];

fn with(files: &[(&str, &str)]) -> TempDir {
    let folder = tempfile::tempdir().expect("a folder");
    for (file, text) in SOUND.iter().chain(files) {
        fs::write(folder.path().join(file), text).expect("written");
    }
    folder
}

fn unread(root: &Path) -> Vec<UnreadRow> {
    let mut tables = read_folder(root).expect("the folder");
    assert!(!tables.is_closed());
    tables.set_strays_aside(root, &Date::parse("2026-11-28").expect("a day"));
    tables.catalog().unread().into_owned()
}

fn ask(root: &Path, arguments: &[&str]) -> Output {
    let mut command = Command::new(env!("CARGO_BIN_EXE_kitwright"));
    for name in ["KITWRIGHT_CATALOG", "NO_COLOR", "CLICOLOR", "CLICOLOR_FORCE"] {
        command.env_remove(name);
    }
    command.arg("--catalog").arg(root).args(arguments).output().expect("run")
}

fn text(bytes: &[u8]) -> String {
    String::from_utf8_lossy(bytes).into_owned()
}

fn columns(rows: &[UnreadRow]) -> Vec<(&str, u32, &str)> {
    rows.iter()
        .flat_map(|row| row.faults.iter().map(|fault| (&*row.table, row.at.line, &*fault.column)))
        .collect()
}

#[test]
fn a_sound_catalog_has_no_unread_rows() {
    assert_eq!(unread(with(&[]).path()), []);
}

#[test]
fn a_row_says_nothing_beside_the_other_tables_where_they_contradict_it() {
    let folder = with(&[
        (
            "positions.csv",
            "position,part,quantity,model\nimpeller,P-10,1,Q9; Q7\ncover-gasket,G-20,1,\n",
        ),
        ("machines.csv", "machine,model\nskiff,Q9\nbarge,Q8\n"),
        (
            "worklog.csv",
            "date,machine,position,part\n2027,skiff,impeller,P-10\n2019,canoe,impeller,P-10\n2019,skiff,impeler,P-10\n2026-11-28,skiff,impeller,P-10\n2026-11-29,barge,impeller,P-10\n",
        ),
    ]);
    let rows = unread(folder.path());
    assert_eq!(
        columns(&rows),
        [
            ("machines", 3, "model"),
            ("positions", 2, "model"),
            ("worklog", 2, "date"),
            ("worklog", 3, "machine"),
            ("worklog", 4, "position"),
            ("worklog", 6, "date"),
        ]
    );
    assert_eq!(rows[1].cell("part"), "P-10");
    assert_eq!(rows[1].cell("model"), "Q9; Q7");
    let mut tables = read_folder(folder.path()).expect("the folder");
    tables.set_strays_aside(folder.path(), &Date::parse("2026-11-28").expect("a day"));
    let catalog = tables.catalog();
    assert!(catalog.positions(&Key::new("impeller")).is_empty(), "the row says nothing");
    assert_eq!(catalog.log_of(&Key::new("skiff")).len(), 1);
}

#[test]
fn a_name_that_only_an_unread_row_has_is_no_second_fault() {
    let folder = with(&[
        ("models.csv", "model,years\nQ9,soon\nQ12,\n"),
        ("machines.csv", "machine,model,year\nskiff,Q9,19x9\n"),
    ]);
    let rows = unread(folder.path());
    assert_eq!(columns(&rows), [("machines", 2, "year"), ("models", 2, "years")]);
    let check = ask(folder.path(), &["check", "--json"]);
    let found: serde_json::Value = serde_json::from_slice(&check.stdout).expect("JSON");
    assert_eq!(found["errors"].as_array().map(Vec::len), Some(2), "{}", text(&check.stdout));
}

#[test]
fn without_rows_in_models_any_model_stands() {
    assert_eq!(unread(with(&[("models.csv", "model\n")]).path()), []);
}

#[test]
fn a_file_without_a_usable_header_is_unread_as_a_whole() {
    let folder = with(&[("stock.csv", "part,qantity\nP-10,1\n")]);
    let rows = unread(folder.path());
    assert_eq!((rows.len(), &*rows[0].table, rows[0].is_whole_file()), (1, "stock", true));
    let answer = ask(folder.path(), &["part", "P-10"]);
    assert_eq!(answer.status.code(), Some(0));
    assert!(
        text(&answer.stderr).contains("note: 1 file cannot be read"),
        "{}",
        text(&answer.stderr)
    );
}

#[test]
fn every_reading_command_answers_and_counts_what_it_could_not_read() {
    let folder = with(&[("stock.csv", "part,quantity\nP-10,a few\nG-20,2,shelf\n")]);
    for arguments in [
        &["find", "P-10"][..],
        &["part", "P-10"],
        &["fits", "P-10", "skiff"],
        &["state", "skiff"],
        &["symptom", "pump", "--on", "skiff"],
        &["kit", "pump", "--on", "skiff"],
        &["order", "pump", "--on", "skiff"],
        &["also", "pump", "--on", "skiff"],
        &["waiting"],
    ] {
        let answer = ask(folder.path(), &[arguments, &["--json"]].concat());
        assert_ne!(answer.status.code(), Some(2), "{arguments:?}: {}", text(&answer.stderr));
        let said = text(&answer.stderr);
        let counted = said.lines().filter(|line| line.contains("2 rows cannot be read")).count();
        assert_eq!(counted, 1, "{arguments:?}: {said}");
        if answer.stdout.is_empty() {
            continue;
        }
        let found: serde_json::Value = serde_json::from_slice(&answer.stdout)
            .unwrap_or_else(|error| panic!("{arguments:?}: {error}: {}", text(&answer.stdout)));
        let unread = found["unread"].as_array().unwrap_or_else(|| panic!("{arguments:?}: {found}"));
        assert_eq!(unread.len(), 2, "{arguments:?}");
        assert_eq!((&unread[0]["file"], &unread[0]["line"]), (&"stock.csv".into(), &2.into()));
        assert_eq!(unread[0]["column"], "quantity");
    }
}

#[test]
fn the_kit_of_a_machine_whose_own_row_is_unread_is_refused_with_the_reason() {
    let folder = with(&[("machines.csv", "machine,model,year\nskiff,Q9,19x9\nbarge,Q12,2004\n")]);
    let answer = ask(folder.path(), &["kit", "pump", "--on", "skiff"]);
    assert_eq!(answer.status.code(), Some(2));
    let said = text(&answer.stderr);
    assert!(said.contains("machines.csv:2") && said.contains("`19x9` is no year"), "{said}");
    assert_eq!(ask(folder.path(), &["kit", "pump", "--on", "barge"]).status.code(), Some(0));
}

#[test]
fn an_unread_row_can_be_mended_and_all_others_stay_byte_for_byte() {
    let stock =
        "part,quantity,bin\nP-10,a few,\nG-20, some ,\"a\"\"b\"\nP-10,1,\"x\nG-20,3,,left over\n";
    let folder = with(&[("stock.csv", stock)]);
    let set = ["set", "stock", "P-10", "quantity=3", "--line", "stock.csv:2", "--yes"];
    let answer = ask(folder.path(), &set);
    assert_eq!(answer.status.code(), Some(0), "{}", text(&answer.stderr));
    let after = fs::read_to_string(folder.path().join("stock.csv")).expect("there");
    assert_eq!(after, stock.replacen("a few", "3", 1));
    let wrong = ["set", "stock", "G-20", "quantity=lots", "--line", "stock.csv:3", "--yes"];
    assert_eq!(ask(folder.path(), &wrong).status.code(), Some(2));
    let gone = ["remove", "stock", "G-20", "--line", "stock.csv:3", "--yes"];
    let answer = ask(folder.path(), &gone);
    assert_eq!(answer.status.code(), Some(0), "{}", text(&answer.stderr));
    let undo = ask(folder.path(), &["undo", "--yes"]);
    assert_eq!(undo.status.code(), Some(0), "{}", text(&undo.stderr));
    assert_eq!(fs::read_to_string(folder.path().join("stock.csv")).expect("there"), after);
    let rename = ask(folder.path(), &["rename", "part", "G-20", "G-21", "--yes"]);
    assert_eq!(rename.status.code(), Some(0), "{}", text(&rename.stderr));
    let after = fs::read_to_string(folder.path().join("stock.csv")).expect("there");
    assert!(after.contains("G-21, some ,\"a\"\"b\"\nP-10,1,\"x\nG-21,3,,left over\n"), "{after}");
}
