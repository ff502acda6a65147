//! Situations from workshop life, each a small catalog with the answer written down by hand.
//!
//! A folder of `tests/workshop` holds the tables and `answer.txt`: remarks that say why, the
//! question (`ask`), and what must hold. `complete`, `line` and `gap` are the whole answer;
//! `operation`, where given, is all of them in order; of the rest only what is named must hold.
//! All machines, makers and numbers are invented.

use serde_json::Value;
use std::fs;
use std::path::{Path, PathBuf};
use std::process::Command;

/// What the text says, apart from remarks: the question, and the statements.
fn expected(folder: &Path) -> (Vec<String>, Vec<String>) {
    let path = folder.join("answer.txt");
    let text = fs::read_to_string(&path).unwrap_or_else(|error| panic!("{path:?}: {error}"));
    let said =
        text.lines().map(str::trim).filter(|line| !line.is_empty() && !line.starts_with('#'));
    let (asks, statements): (Vec<&str>, Vec<&str>) =
        said.partition(|line| line.starts_with("ask: "));
    assert_eq!(asks.len(), 1, "{path:?} asks one question");
    for statement in &statements {
        let kind = statement.split(':').next().unwrap_or_default();
        assert!(KINDS.contains(&kind), "{path:?}: {statement:?} is no statement");
    }
    let words = asks[0]["ask: ".len()..].split_whitespace().map(str::to_owned).collect();
    (words, statements.into_iter().map(str::to_owned).collect())
}

const KINDS: [&str; 9] = [
    "refused",
    "complete",
    "line",
    "gap",
    "action",
    "covered",
    "already there",
    "operation",
    "measure first",
];

/// What the program says, as statements of the same form.
fn answered(folder: &Path, question: &[String]) -> Vec<String> {
    let out = Command::new(env!("CARGO_BIN_EXE_kitwright"))
        .env("KITWRIGHT_INDEX", "never")
        .arg("-C")
        .arg(folder)
        .arg("kit")
        .args(question)
        .arg("--json")
        .output()
        .expect("the program runs");
    if !matches!(out.status.code(), Some(0 | 3)) {
        return vec![format!("refused: {}", String::from_utf8_lossy(&out.stderr).trim())];
    }
    let kit: Value = serde_json::from_slice(&out.stdout).expect("one JSON object");
    let text = |value: &Value| value.as_str().unwrap_or_default().to_owned();
    let number = |value: &Value| (value.as_f64().unwrap_or_default() * 1e6).round() / 1e6;
    let mut said =
        vec![format!("complete: {}", if kit["complete"] == true { "yes" } else { "no" })];
    for line in each(&kit["lines"]) {
        let unit = match line["unit"].as_str() {
            None | Some("" | "each") => String::new(),
            Some(unit) => format!("{unit} "),
        };
        let (quantity, part) = (number(&line["quantity"]), text(&line["part"]));
        said.push(format!("line: {quantity} {unit}{part} {}", text(&line["role"])));
    }
    for gap in each(&kit["gaps"]) {
        said.push(format!("gap: {} {}", text(&gap["kind"]), text(&gap["subject"])));
    }
    for position in each(&kit["positions"]) {
        let name = text(&position["position"]);
        said.push(format!("action: {name} {}", text(&position["action"])));
        for cover in each(&position["covered"]) {
            let quantity = number(&cover["quantity"]);
            said.push(format!("covered: {name} {quantity} by {}", text(&cover["by"])));
        }
    }
    for there in each(&kit["already_there"]) {
        said.push(format!("already there: {} {}", text(&there["position"]), text(&there["part"])));
    }
    for first in each(&kit["measure_first"]) {
        said.push(format!(
            "measure first: {} {}",
            text(&first["position"]),
            text(&first["feature"])
        ));
    }
    for operation in each(&kit["operations"]) {
        let after = if operation["phase"] == "after" { " after" } else { "" };
        said.push(format!("operation: {}{after}", text(&operation["operation"])));
    }
    said
}

fn each(list: &Value) -> impl Iterator<Item = &Value> {
    list.as_array().into_iter().flatten()
}

/// Every way in which the two differ.
fn differences(expected: &[String], answered: &[String]) -> Vec<String> {
    if expected.iter().any(|statement| statement == "refused: yes") {
        let refused = answered.iter().any(|statement| statement.starts_with("refused: "));
        return if refused { Vec::new() } else { vec!["is not refused".to_owned()] };
    }
    let operations = |said: &[String]| -> Vec<String> {
        said.iter().filter(|statement| statement.starts_with("operation: ")).cloned().collect()
    };
    let mut whole = vec!["refused: ", "complete: ", "line: ", "gap: "];
    let in_order = operations(expected);
    if !in_order.is_empty() {
        whole.push("operation: ");
    }
    let mut found: Vec<String> = expected
        .iter()
        .filter(|statement| !answered.contains(statement))
        .map(|statement| format!("not said: {statement}"))
        .collect();
    found.extend(
        answered
            .iter()
            .filter(|statement| whole.iter().any(|kind| statement.starts_with(kind)))
            .filter(|statement| !expected.contains(statement))
            .map(|statement| format!("said: {statement}")),
    );
    if found.is_empty() && !in_order.is_empty() && in_order != operations(answered) {
        found.push(format!("in another order: {:?}", operations(answered)));
    }
    found
}

#[test]
fn the_kit_is_what_a_mechanic_wrote_down_beforehand() {
    let root = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/workshop");
    let mut folders: Vec<PathBuf> = fs::read_dir(&root)
        .expect("the situations")
        .map(|entry| entry.expect("a folder").path())
        .filter(|path| path.is_dir())
        .collect();
    folders.sort();
    let mut report = String::new();
    for folder in &folders {
        let name = folder.file_name().and_then(|name| name.to_str()).expect("a plain name");
        let (question, expected) = expected(folder);
        let found = differences(&expected, &answered(folder, &question));
        if !found.is_empty() {
            report += &format!("{name}\n  {}\n", found.join("\n  "));
        }
    }
    assert!(folders.len() >= 40, "only {} situations", folders.len());
    assert!(report.is_empty(), "what differs from the answers by hand:\n{report}");
}

#[test]
fn each_kind_of_difference_is_noticed() {
    let by_hand = |lines: &[&str]| lines.iter().map(|&line| line.to_owned()).collect::<Vec<_>>();
    let right = by_hand(&["complete: yes", "line: 1 A new", "operation: a", "operation: b"]);
    assert!(differences(&right, &right).is_empty());
    for wrong in [
        &["complete: no", "line: 1 A new", "operation: a", "operation: b"][..],
        &["complete: yes", "line: 2 A new", "operation: a", "operation: b"],
        &["complete: yes", "line: 1 A new", "line: 1 B new", "operation: a", "operation: b"],
        &["complete: yes", "line: 1 A new", "gap: choice A", "operation: a", "operation: b"],
        &["complete: yes", "line: 1 A new", "operation: b", "operation: a"],
        &["complete: yes", "line: 1 A new", "operation: a"],
    ] {
        assert!(!differences(&right, &by_hand(wrong)).is_empty(), "{wrong:?} passes");
    }
    let must_hold = by_hand(&["complete: yes", "action: seal renew"]);
    assert!(!differences(&must_hold, &by_hand(&["complete: yes", "action: seal keep"])).is_empty());
    assert!(!differences(&by_hand(&["refused: yes"]), &by_hand(&["complete: yes"])).is_empty());
}
