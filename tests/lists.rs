//! Lists of many shapes (`tests/lists`) come in right, twice without change, and overwrite nothing unasked.

#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic, reason = "a test says what is wrong by failing")]

use std::path::{Path, PathBuf};
use std::process::{Command, Output};

fn lists() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/lists")
}

fn kitwright(arguments: &[&str]) -> Output {
    Command::new(env!("CARGO_BIN_EXE_kitwright"))
        .args(arguments)
        .env_remove("KITWRIGHT_CATALOG")
        .stdin(std::process::Stdio::null())
        .output()
        .expect("the program")
}

struct Catalog(tempfile::TempDir);

impl Catalog {
    fn new() -> Catalog {
        let home = tempfile::tempdir().expect("a folder");
        let folder = home.path().join("catalog");
        assert!(kitwright(&["start", &folder.display().to_string()]).status.success());
        Catalog(home)
    }

    fn folder(&self) -> String {
        self.0.path().join("catalog").display().to_string()
    }

    /// The rows of a table, without remarks, header and source.
    fn rows(&self, table: &str) -> String {
        let text =
            std::fs::read_to_string(self.0.path().join("catalog").join(format!("{table}.csv"))).expect("a table");
        text.lines().filter(|line| !line.starts_with('#')).skip(1).map(|line| format!("{line}\n")).collect()
    }

    fn import(&self, file: &Path, more: &[&str]) -> (serde_json::Value, i32) {
        let (folder, file) = (self.folder(), file.display().to_string());
        let mut arguments = vec!["-C", &folder, "--json", "import", &file];
        arguments.extend(more);
        let output = kitwright(&arguments);
        let json = serde_json::from_slice(&output.stdout)
            .unwrap_or_else(|_| panic!("{}", String::from_utf8_lossy(&output.stderr)));
        (json, output.status.code().unwrap_or(-1))
    }
}

fn arguments_for(name: &str) -> (&'static str, Vec<&'static str>) {
    match &name[..2] {
        "08" | "09" => ("offers", vec!["--into", "offers", "--all", "supplier=brackwater", "--yes"]),
        "10" => ("positions", vec!["--into", "positions", "--yes"]),
        "12" => ("supersessions", vec!["--into", "supersessions", "--yes"]),
        _ => ("parts", vec!["--into", "parts", "--yes"]),
    }
}

#[test]
fn twelve_lists_of_other_shapes_come_in_right_and_twice_without_change() {
    let mut names: Vec<String> = std::fs::read_dir(lists())
        .expect("the lists")
        .map(|entry| entry.expect("an entry"))
        .filter(|entry| entry.path().is_file())
        .map(|entry| entry.file_name().to_string_lossy().into_owned())
        .collect();
    names.sort();
    assert_eq!(names.len(), 12);
    for name in names {
        let catalog = Catalog::new();
        let (table, arguments) = arguments_for(&name);
        let path = lists().join(&name);
        catalog.import(&path, &arguments);
        let once = catalog.rows(table);
        let expected = lists().join("expected").join(format!("{}.csv", &name[..2]));
        if std::env::var_os("LISTS_WRITE").is_some() {
            std::fs::write(&expected, &once).expect("written");
        }
        assert_eq!(once, std::fs::read_to_string(&expected).expect("what is expected"), "{name}");
        let (again, _) = catalog.import(&path, &arguments);
        assert_eq!((&again["new"], &again["changed"]), (&0.into(), &0.into()), "{name}: {again}");
        assert_eq!(catalog.rows(table), once, "{name}");
        assert_eq!(kitwright(&["-C", &catalog.folder(), "--json", "undo", "--yes"]).status.code(), Some(0), "{name}");
        assert_eq!(catalog.rows(table), "", "{name}");
    }
}

#[test]
fn what_says_something_else_is_shown_and_overwritten_only_when_asked() {
    let catalog = Catalog::new();
    let folder = catalog.folder();
    let add = ["-C", &folder, "add", "91-3045 bolt M6x40", "--maker", "Pell & Tarn", "--yes"];
    assert!(kitwright(&add).status.success());
    let before = catalog.rows("parts");
    let path = lists().join("01-plain.csv");
    let (dry, status) = catalog.import(&path, &["--into", "parts", "--dry-run"]);
    assert_eq!(
        (status, &dry["new"], &dry["changed"], &dry["written"]),
        (3, &2.into(), &1.into(), &false.into()),
        "{dry}"
    );
    assert_eq!(catalog.rows("parts"), before);
    catalog.import(&path, &["--into", "parts", "--yes"]);
    assert!(
        catalog.rows("parts").contains("91-3045,bolt,Bolt,M6x40,Pell & Tarn,stainless steel"),
        "{}",
        catalog.rows("parts")
    );
    catalog.import(&path, &["--into", "parts", "--yes", "--overwrite"]);
    assert!(catalog.rows("parts").contains("91-3045,screw,Screw,M6x45,Pell & Tarn"), "{}", catalog.rows("parts"));
}

#[test]
fn the_columns_that_were_settled_are_remembered() {
    let catalog = Catalog::new();
    let list = catalog.0.path().join("list.csv");
    std::fs::write(&list, "Number;What;Firm\n91-1001;Gasket;Tolvane\n").expect("written");
    catalog.import(&list, &["--into", "parts", "--map", "Firm=maker", "--map", "What=name", "--yes"]);
    assert!(catalog.rows("parts").contains("91-1001,gasket,Gasket,,Tolvane"), "{}", catalog.rows("parts"));
    std::fs::write(&list, "Number;What;Firm\n91-1002;Seal;Tolvane\n").expect("written");
    catalog.import(&list, &["--into", "parts", "--yes"]);
    assert!(catalog.rows("parts").contains("91-1002,seal,Seal,,Tolvane"), "{}", catalog.rows("parts"));
    // What was remembered came with the first list, and goes with it.
    let columns = catalog.0.path().join("catalog/.kitwright-columns.csv");
    assert!(columns.exists());
    for _ in 0..2 {
        assert!(kitwright(&["-C", &catalog.folder(), "undo", "--yes"]).status.success());
    }
    assert!(!columns.exists());
}

#[test]
fn what_is_no_list_is_refused_with_what_to_do() {
    let catalog = Catalog::new();
    let file = catalog.0.path().join("list.xlsx");
    std::fs::write(&file, b"PK\x03\x04rest").expect("written");
    let file = file.display().to_string();
    let output = kitwright(&["-C", &catalog.folder(), "import", &file, "--into", "parts", "--yes"]);
    assert_eq!(output.status.code(), Some(2));
    assert!(String::from_utf8_lossy(&output.stderr).contains("save the list in it as CSV"));
    let output = kitwright(&["-C", &catalog.folder(), "import", &file, "--into", "prats", "--yes"]);
    assert!(String::from_utf8_lossy(&output.stderr).contains("did you mean parts"));
}
