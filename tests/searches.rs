//! Holds `find` to the hit that a person expects first: the searches stand in `searches.txt`.

#![allow(clippy::expect_used, clippy::panic, reason = "a test says what is wrong by failing")]

use serde_json::Value;
use std::fs;
use std::path::Path;
use std::process::Command;

/// Splits a line as a shell does, as far as these lines need it.
fn arguments(line: &str) -> Vec<String> {
    if line.contains("--") && line.contains(" \"") {
        let mut arguments = Vec::new();
        for (i, piece) in line.split('"').enumerate() {
            if i % 2 == 1 {
                arguments.push(piece.to_owned());
            } else {
                arguments.extend(piece.split_whitespace().map(str::to_owned));
            }
        }
        return arguments;
    }
    line.split_whitespace().map(str::to_owned).collect()
}

#[test]
fn every_search_gives_the_hit_that_a_person_expects_first() {
    let root = Path::new(env!("CARGO_MANIFEST_DIR"));
    let folder = tempfile::tempdir().expect("a folder");
    for entry in fs::read_dir(root.join("demo")).expect("the demo") {
        let path = entry.expect("an entry").path();
        if path.is_file() {
            fs::copy(&path, folder.path().join(path.file_name().expect("a name"))).expect("copied");
        }
    }
    let text = fs::read_to_string(root.join("tests/searches.txt")).expect("the searches");
    let mut wrong = Vec::new();
    let mut searches = 0;
    for line in text.lines().filter(|line| !line.starts_with('#') && !line.trim().is_empty()) {
        let (asked, expected) = line.split_once("=>").expect("search => part");
        searches += 1;
        let answer = |index: &str| {
            Command::new(env!("CARGO_BIN_EXE_kitwright"))
                .args(["--index", index, "find", "--json"])
                .args(arguments(asked.trim()))
                .env("KITWRIGHT_CATALOG", folder.path())
                .output()
                .expect("run")
        };
        let (compiled, straight) = (answer("always"), answer("never"));
        assert_eq!(compiled.stdout, straight.stdout, "{asked}: compiled and straight from the tables");
        let object: Value = serde_json::from_slice(&compiled.stdout).unwrap_or(Value::Null);
        let first = object["hits"][0]["part"].as_str().unwrap_or("nothing").to_owned();
        let status = if first == "nothing" { 1 } else { 0 };
        if !expected.split('|').any(|expected| expected.trim() == first) || compiled.status.code() != Some(status) {
            wrong.push(format!("{line}\n    found {first} ({:?})", compiled.status.code()));
        }
    }
    assert!(searches >= 60, "{searches} searches");
    assert!(wrong.is_empty(), "{} of {searches}:\n{}", wrong.len(), wrong.join("\n"));
}
