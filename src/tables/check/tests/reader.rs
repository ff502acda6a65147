//! What the reader finds is part of the report.

use super::super::*;
use super::{Edit, findings, shown};

/// The codes that the tests below raise.
pub(super) const CODES: [&str; 14] = [
    "after-today",
    "other-encoding",
    "not-utf8",
    "lone-quote",
    "missing-column",
    "duplicate-column",
    "too-many-cells",
    "cell-too-long",
    "blank-cell",
    "unreadable-cell",
    "unknown-column",
    "unreadable-file",
    "unknown-file",
    "unseen-character",
];

fn codes(table: &str, bytes: &[u8]) -> Vec<&'static str> {
    let mut tables = Tables::default();
    tables.read_file(table, format!("{table}.csv"), bytes);
    let report = check(&tables);
    report.errors.iter().chain(&report.warnings).map(|fault| fault.code).collect()
}

#[test]
fn what_cannot_be_read_is_an_error_and_what_is_passed_over_a_warning() {
    let long = format!("joint\n{}\n", "x".repeat(crate::tables::LONGEST_CELL + 1));
    let cases: [(&str, &[u8]); 10] = [
        ("not-utf8", b"joint,name\n\xFF,\xC3\xBC\n"),
        ("other-encoding", b"joint\n\xFF\n"),
        ("lone-quote", b"joint\n\"a\n"),
        ("missing-column", b"name\na\n"),
        ("duplicate-column", b"joint,name,name\na,b,c\n"),
        ("too-many-cells", b"joint\na,b\n"),
        ("cell-too-long", long.as_bytes()),
        ("blank-cell", b"joint,name\n,a\n"),
        ("unreadable-cell", b"joint,dry\na,perhaps\n"),
        ("unknown-column", b"joint,colour\n"),
    ];
    for (code, bytes) in cases {
        let found = codes("joints", bytes);
        assert!(found.contains(&code), "{code}: {found:?}");
        assert!(explain(code).is_some());
    }
}

fn messages(table: &str, bytes: &[u8]) -> (Vec<String>, Vec<String>) {
    let mut tables = Tables::default();
    tables.read_file(table, format!("{table}.csv"), bytes);
    let report = check(&tables);
    let shown = |faults: &[crate::tables::Fault]| {
        let by_reader = faults.iter().filter(|fault| CODES.contains(&fault.code));
        by_reader.map(ToString::to_string).collect()
    };
    (shown(&report.errors), shown(&report.warnings))
}

#[test]
fn two_columns_of_ones_own_may_have_one_name_and_are_shown_as_they_are_spelled() {
    let (errors, warnings) = messages("joints", b"joint,Colour,COLOUR,\na,red,blue,\n");
    assert_eq!(errors, [""; 0]);
    assert!(warnings[0].contains(
        "joints.csv:1, column Colour: joints has no column Colour, which stands here 2 times"
    ));
    assert_eq!(warnings.len(), 1, "{warnings:?}");
}

#[test]
fn what_stands_in_a_column_without_a_name_is_said_once() {
    let (errors, warnings) =
        messages("joints", b"joint,,name,\n# a remark,x\na,red,A,\nb,blue,B,\n");
    assert_eq!(errors, [""; 0]);
    let said = "joints.csv:3, column 2: `red` stands in a column without a name (and so in 1 more rows); it is kept";
    assert!(warnings.len() == 1 && warnings[0].starts_with(said), "{warnings:?}");
}

#[test]
fn an_item_of_a_list_and_a_lone_quote_are_shown_with_their_cell() {
    let (errors, _) = messages("jobs", b"job,years\na,1996-1999; soon; 2004-\n");
    assert!(errors[0].contains("`soon` is no"), "{errors:?}");
    assert!(errors[0].contains("(the cell is `1996-1999; soon; 2004-`)"), "{errors:?}");
    let (errors, _) = messages("joints", b"joint,name\na,\"the front\nb,B\n");
    assert!(
        errors[0].contains("joints.csv:2, column name: the cell `\"the front` opens with"),
        "{errors:?}"
    );
    let (errors, _) = messages("joints", b"joint,name\na,\"7\" pipe\nb,B\n");
    assert!(errors[0].contains("the cell `\"7\" pipe` has text behind"), "{errors:?}");
}

#[test]
fn a_row_that_is_short_of_cells_and_names_what_is_not_there_is_asked_about_its_delimiters() {
    let edit = Edit {
        table: "positions",
        old: "reeds,Intake,RC-10,,,,,,,,,",
        new: "reeds,Intake,RC-10,,,,,,,open-hood",
    };
    let found = findings(&[edit]);
    assert_eq!(found.iter().map(|f| f.code).collect::<Vec<_>>(), ["dangling-operation"]);
    assert!(
        found[0].message.contains("the row has 10 cells and the header 12"),
        "{}",
        shown(&found)
    );
}

#[test]
fn files_that_cannot_be_opened_or_belong_to_no_table_are_in_the_report() {
    let folder = tempfile::tempdir().expect("a folder");
    std::fs::write(folder.path().join("potitions.csv"), "a\n").expect("written");
    #[cfg(unix)]
    std::os::unix::fs::symlink("nowhere", folder.path().join("jobs.csv")).expect("linked");
    let report = check(&crate::tables::read_folder(folder.path()).expect("read"));
    assert_eq!(report.warnings.iter().map(|f| f.code).collect::<Vec<_>>(), ["unknown-file"]);
    #[cfg(unix)]
    assert_eq!(report.errors.iter().map(|f| f.code).collect::<Vec<_>>(), ["unreadable-file"]);
}

#[test]
fn what_nobody_sees_in_a_name_or_number_is_told_with_its_code_and_free_text_is_let_pass() {
    let text = "part,type,name\n91-\u{200b}2044,o-\u{ad}ring,Ring \u{1f469}\u{200d}\u{1f527}\n";
    let mut tables = Tables::default();
    tables.read_file("parts", "parts.csv".into(), format!("\u{feff}{text}").as_bytes());
    let found: Vec<String> = tables.notices.iter().map(ToString::to_string).collect();
    assert_eq!(found.len(), 2, "{found:?}");
    assert!(found[0].starts_with("parts.csv:2, column part: `91-2044` holds"), "{found:?}");
    assert!(found[0].contains("U+200B") && found[0].contains("[unseen-character]"), "{found:?}");
}

#[test]
fn a_torque_that_is_no_torque_is_reported_in_its_column_and_the_rest_is_checked_all_the_same() {
    let found = findings(&[
        Edit { table: "positions", old: "8 N·m; +90°", new: "8 somethings" },
        Edit { table: "machines", old: "TK9,2006", new: "TK7,2006" },
    ]);
    let got: Vec<_> = found.iter().map(|f| (f.code, f.column.as_str())).collect();
    assert_eq!(
        got,
        [("dangling-model", "model"), ("unreadable-cell", "torque")],
        "{}",
        shown(&found)
    );
    assert!(found[1].message.contains("8 somethings"), "{}", shown(&found));
}

#[test]
fn a_set_is_a_quantity_only_where_a_part_sits() {
    for (table, old, new) in [
        ("stock", "OI-10,1 L", "OI-10,set"),
        ("offers", "9.50,1 L", "9.50,set"),
        ("contains", "IM-20,1,", "IM-20,set,"),
        ("job_lines", "TH-20,1,", "TH-20,set,"),
    ] {
        let found = findings(&[Edit { table, old, new }]);
        assert_eq!(
            found.iter().map(|f| f.code).collect::<Vec<_>>(),
            ["unreadable-cell"],
            "{table}"
        );
    }
}

#[test]
fn what_a_row_lacks_because_a_cell_could_not_be_read_is_not_held_against_it() {
    for (table, old, new, column) in [
        ("positions", "GA-20,,,2000-", "GA-20,,,20O0-", "years"),
        ("positions", "GA-10,,,-1999", "GA-10,,,19q9", "years"),
        ("parts", "OI-10,gear oil,,L", "OI-10,gear oil,,firkin", "unit"),
        ("parts", "SC-10,screw,,", "SC-10,,perhaps,", "single_use"),
        ("retrofits", "pump-gasket=GA-20*1,drain-oil", "=GA-20,", "needs"),
        (
            "job_lines",
            "renew-anode,,anode,,,anode-off",
            "renew-anode,,anode,,,anode-off\nrenew-anode,,,...,,",
            "part",
        ),
        (
            "supersessions",
            "IM-05,IM-20,,2001,,",
            "IM-05,IM-20,,2001,,\nIM-05,SC-10,,spring,,",
            "since",
        ),
        (
            "supersessions",
            "IM-05,IM-20,,2001,,",
            "IM-05,IM-20,,2001,,-2000\nIM-20,IM-05,,,,20O1-",
            "years",
        ),
        ("positions", "lower-seal,Head,SE-10,set", "lower-seal,Head,SE-10,sett", "quantity"),
    ] {
        let found = findings(&[Edit { table, old, new }]);
        let unlisted = |fault: &&Fault| fault.code != "unlisted-part";
        let got: Vec<_> =
            found.iter().filter(unlisted).map(|f| (f.code, f.column.as_str())).collect();
        assert_eq!(got, [("unreadable-cell", column)], "{}", shown(&found));
    }
}

#[test]
fn a_table_whose_header_cannot_be_read_does_not_make_every_row_of_the_others_dangle() {
    let unclosed = [Edit { table: "parts", old: "part,type", new: "\"part,type" }];
    let found = findings(&unclosed);
    assert_eq!(
        found.iter().map(|f| (f.code, f.file.as_str())).collect::<Vec<_>>(),
        [("lone-quote", "parts.csv")]
    );
    for (table, old) in [
        ("parts", "part,type"),
        ("positions", "position,assembly"),
        ("operations", "operation,needs"),
        ("machines", "machine,model"),
        ("job_lines", "job,option"),
        ("joints", "joint,dry"),
    ] {
        let new = if table == "joints" { "x\"\"\",dry" } else { "wrong,wrong" };
        let found = findings(&[Edit { table, old, new }]);
        let stray: Vec<_> =
            found.iter().filter(|f| f.file != format!("{table}.csv")).cloned().collect();
        assert!(!found.is_empty() && stray.is_empty(), "{table}:\n{}", shown(&found));
    }
}
