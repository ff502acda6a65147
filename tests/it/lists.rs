//! Lists of many shapes (`tests/lists`) come in right, twice without change, and overwrite nothing unasked.

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
            std::fs::read_to_string(self.0.path().join("catalog").join(format!("{table}.csv")))
                .expect("a table");
        text.lines()
            .filter(|line| !line.starts_with('#'))
            .skip(1)
            .map(|line| format!("{line}\n"))
            .collect()
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
        "08" | "09" => {
            ("offers", vec!["--into", "offers", "--all", "supplier=brackwater", "--yes"])
        }
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
        assert_eq!(
            kitwright(&["-C", &catalog.folder(), "--json", "undo", "--yes"]).status.code(),
            Some(0),
            "{name}"
        );
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
    assert!(
        catalog.rows("parts").contains("91-3045,screw,Screw,M6x45,Pell & Tarn"),
        "{}",
        catalog.rows("parts")
    );
}

#[test]
fn the_columns_that_were_settled_are_remembered() {
    let catalog = Catalog::new();
    let list = catalog.0.path().join("list.csv");
    std::fs::write(&list, "Number;What;Firm\n91-1001;Gasket;Tolvane\n").expect("written");
    catalog
        .import(&list, &["--into", "parts", "--map", "Firm=maker", "--map", "What=name", "--yes"]);
    assert!(
        catalog.rows("parts").contains("91-1001,gasket,Gasket,,Tolvane"),
        "{}",
        catalog.rows("parts")
    );
    std::fs::write(&list, "Number;What;Firm\n91-1002;Seal;Tolvane\n").expect("written");
    catalog.import(&list, &["--into", "parts", "--yes"]);
    assert!(
        catalog.rows("parts").contains("91-1002,seal,Seal,,Tolvane"),
        "{}",
        catalog.rows("parts")
    );
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

#[test]
fn a_logbook_line_without_a_sure_date_is_taken_and_every_line_in_doubt_is_named() {
    let catalog = Catalog::new();
    let folder = catalog.folder();
    assert!(
        kitwright(&["-C", &folder, "add", "machine", "redbike", "T6", "--yes"]).status.success()
    );
    let list = catalog.0.path().join("log.csv");
    let lines = "Date;Position;Part;Note\n;stem-seals;Q11-051;\n?;head-nuts;H-2010;\nunknown;collets;Q11-052;two old\n\
                 ca. 1998;pistons;Q11-092;\nbefore 2001;rings;Q11-091;\n03/04/2019;chain;Q11-061;\n2011-02-31;boots;Q2;\n";
    std::fs::write(&list, lines).expect("written");
    let into = ["--into", "worklog", "--all", "machine=redbike"];
    let (taken, status) = catalog.import(&list, &[&into[..], &["--yes"]].concat());
    assert_eq!((status, &taken["new"], &taken["doubtful"]), (3, &4.into(), &3.into()), "{taken}");
    let rows = catalog.rows("worklog");
    let rows: Vec<&str> = rows.lines().collect();
    let said = |row: usize, start: &str, end: &str| {
        rows[row].starts_with(start) && rows[row].ends_with(end)
    };
    assert_eq!(rows.len(), 4, "{rows:?}");
    assert!(said(0, ",redbike,stem-seals,Q11-051,", ","), "{rows:?}");
    assert!(said(1, ",redbike,head-nuts,H-2010,", ",date: ?"), "{rows:?}");
    assert!(said(2, ",redbike,collets,Q11-052,", ",two old; date: unknown"), "{rows:?}");
    assert!(said(3, "1998,redbike,pistons,Q11-092,", ",date: ca. 1998"), "{rows:?}");
    let (again, _) = catalog.import(&list, &[&into[..], &["--yes"]].concat());
    assert_eq!((&again["new"], &again["same"]), (&0.into(), &4.into()), "{again}");
    // On paper, too, there are as many doubtful lines as are counted, however many.
    let more: String =
        (0..20).map(|line| format!("0{}/04/19;seat-{line};Q1\n", line % 9 + 1)).collect();
    std::fs::write(&list, format!("Date;Position;Part\n{more}")).expect("written");
    let path = list.display().to_string();
    let output =
        kitwright(&[&["-C", &folder, "import", &path], &into[..], &["--dry-run"]].concat());
    let page = String::from_utf8_lossy(&output.stdout).into_owned();
    assert!(page.contains("20 doubtful") && page.matches("(left out)").count() == 20, "{page}");
    assert!(page.contains("line 21:"), "{page}");
}

#[test]
fn in_columns_of_spaces_a_blank_cell_and_the_head_of_a_page_shift_nothing() {
    let catalog = Catalog::new();
    let list = catalog.0.path().join("page.txt");
    let page = "Ref  Part No.   Description          Qty\n 1   Q11-010    Head gasket          1\n    Q11-011   Head gasket (late)   1\n\
                QUARNDLE T6  PARTS BOOK   page 12\n 2   Q11-070    Tensioner, manual    1 NLA\n 3   Q11-015    Dowel, head          2\n";
    std::fs::write(&list, page).expect("written");
    let (said, _) = catalog.import(&list, &["--into", "parts", "--yes"]);
    assert_eq!((&said["new"], &said["doubtful"]), (&4.into(), &0.into()), "{said}");
    assert_eq!(said["passed_over"][0]["text"], "QUARNDLE T6 | PARTS BOOK | page 12", "{said}");
    let rows = catalog.rows("parts");
    assert!(rows.contains("Q11-011,head gasket,Head gasket (late),"), "{rows}");
    assert!(
        rows.lines()
            .any(|row| row.starts_with("Q11-070,tensioner,") && row.contains(",discontinued,")),
        "{rows}"
    );
}

#[test]
fn names_with_commas_pints_and_serials_in_words_come_in_as_the_tables_have_them() {
    let catalog = Catalog::new();
    let list = catalog.0.path().join("steps.csv");
    let steps = "operation;needs;opens;uses\ncarbs-off;tank-off, seat-off;carb-stubs, airbox-boots;\n\
                 oil-drained;;sump-plug;F-01=2,6 pints\noil-in;;;F-01=2,6 imp pt\n";
    std::fs::write(&list, steps).expect("written");
    let (said, _) = catalog.import(&list, &["--into", "operations", "--yes"]);
    assert_eq!((&said["new"], &said["doubtful"]), (&2.into(), &1.into()), "{said}");
    let doubt = said["rows"][1]["doubts"][0].as_str().unwrap_or_default();
    assert!(
        doubt.contains("1.23 L") && doubt.contains("1.477 L") && doubt.contains("F-01=2.6 imp pt"),
        "{doubt}"
    );
    let rows = catalog.rows("operations");
    assert!(rows.contains("carbs-off,,tank-off;seat-off,carb-stubs;airbox-boots,"), "{rows}");
    assert!(rows.contains("F-01=2.6 imp pt"), "{rows}");
    std::fs::write(&list, "position;part;serials\nfoot-valve;Q1;to 29999\n").expect("written");
    catalog.import(&list, &["--into", "positions", "--yes"]);
    assert!(catalog.rows("positions").contains(",..29999,"), "{}", catalog.rows("positions"));
}

#[test]
fn what_is_said_of_every_row_counts_before_a_column_that_is_only_like_it() {
    let catalog = Catalog::new();
    let list = catalog.0.path().join("prices.csv");
    std::fs::write(&list, "Supplier code;Part;Price\nA1;H-5610;3.00\n").expect("written");
    catalog.import(&list, &["--into", "offers", "--all", "supplier=quill", "--yes"]);
    assert!(catalog.rows("offers").starts_with("quill,H-5610,A1,3"), "{}", catalog.rows("offers"));
}
