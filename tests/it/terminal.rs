//! The questions that the program asks at a terminal, answered through one, key by key.

#![cfg(unix)]

use crate::on_a_copy;
use on_a_copy::{demo, run, tables};
use rexpect::session::{PtySession, spawn_command};
use std::path::Path;
use std::process::Command;

/// Starts the program at a terminal of its own.
fn sit_down(root: &Path, arguments: &[&str]) -> PtySession {
    let mut command = Command::new(env!("CARGO_BIN_EXE_kitwright"));
    command.arg("-C").arg(root).args(arguments).env("TERM", "xterm").env("NO_COLOR", "1");
    command.env_remove("KITWRIGHT_CATALOG");
    spawn_command(command, Some(60_000)).expect("a terminal")
}

/// Answers one question, and waits until it is asked.
fn answer(terminal: &mut PtySession, question: &str, keys: &str) {
    if let Err(why) = terminal.exp_string(question) {
        panic!("no question '{question}': {why}");
    }
    terminal.send(keys).expect("typed");
    terminal.flush().expect("typed");
}

fn text(root: &Path, table: &str) -> String {
    String::from_utf8_lossy(&tables(root)[table]).into_owned()
}

#[test]
fn a_row_is_typed_step_by_step_with_completion_mended_at_its_field_and_written_after_a_yes() {
    let folder = demo();
    let before = tables(folder.path());
    let mut at = sit_down(folder.path(), &["add", "position"]);
    answer(&mut at, "position (needed): ", "spare-plug\r");
    answer(&mut at, "assembly: ", "\r");
    answer(&mut at, "figure: ", "\r");
    answer(&mut at, "name: ", "Plug, spare\r");
    // The only number that begins so.
    answer(&mut at, "part: ", "91-2202\t\r");
    // What is refused stays in the line: the slip is rubbed out and mended.
    answer(&mut at, "quantity: ", "two\r");
    at.exp_string("`two` is no quantity").expect("the slip is said at its field");
    answer(&mut at, "quantity: two", "\u{7f}\u{7f}\u{7f}2\r");
    answer(&mut at, "model: ", "?\r");
    at.exp_string("Such as: ").expect("the column is explained");
    answer(&mut at, "model: ", "\r");
    answer(&mut at, "years: ", ".\r");
    at.exp_string("+ spare-plug,").expect("what would be written is shown");
    assert!(tables(folder.path()) == before, "something was written before the yes");
    answer(&mut at, "[y/N] ", "y\r");
    at.exp_string("Written.").expect("said so");
    at.exp_eof().expect("it ends");
    let written = text(folder.path(), "positions.csv");
    let row = written.lines().last().unwrap_or_default();
    assert!(row.starts_with("spare-plug,") && row.contains("\"Plug, spare\",91-2202,2,"), "{row}");
    assert_eq!(run(folder.path(), &["undo", "--yes"]).0, 0);
    assert!(tables(folder.path()) == before);
}

#[test]
fn what_was_shown_with_the_question_is_not_printed_again_with_the_answer() {
    let folder = demo();
    let mut at = sit_down(folder.path(), &["set", "parts", "91-2110", "material=FKM"]);
    at.exp_string("FKM").expect("the difference is shown");
    answer(&mut at, "[y/N] ", "y\r");
    let rest = at.exp_eof().expect("it ends");
    assert!(rest.contains("Written.") && !rest.contains("FKM"), "{rest}");
}

#[test]
fn one_who_stops_or_says_no_has_written_nothing_and_gets_back_what_was_typed() {
    let folder = demo();
    let before = tables(folder.path());
    let mut at = sit_down(folder.path(), &["add", "machine"]);
    answer(&mut at, "machine (needed): ", "mower\r");
    answer(&mut at, "model (needed): ", "\u{3}");
    at.exp_string("kitwright add machines --machine 'mower'").expect("what was typed comes back");
    at.exp_eof().expect("it ends");
    let set = ["set", "parts", "91-2110", "material=FKM"];
    for no in ["n\r", "\r", "perhaps\r", "\u{4}"] {
        let mut at = sit_down(folder.path(), &set);
        at.exp_string("FKM").expect("the difference is shown");
        answer(&mut at, "[y/N] ", no);
        at.exp_string("Nothing was written.").expect("said so");
        at.exp_eof().expect("it ends");
    }
    assert!(tables(folder.path()) == before);
    let mut at = sit_down(folder.path(), &set);
    answer(&mut at, "[y/N] ", "yes\r");
    at.exp_string("Written").expect("said so");
    at.exp_eof().expect("it ends");
    assert!(text(folder.path(), "parts.csv").contains("FKM"));
}

#[test]
fn a_doubt_about_a_bag_is_asked_with_its_likeliest_answer_in_the_line() {
    let folder = demo();
    let mut at = sit_down(folder.path(), &["add", "91-8001 woodruff key 4x6,5"]);
    at.exp_string("half-moon key").expect("the doubt");
    answer(&mut at, "size: 4x6.5", "x16\r");
    answer(&mut at, "[y/N] ", "y\r");
    at.exp_string("Written").expect("said so");
    at.exp_eof().expect("it ends");
    assert!(
        text(folder.path(), "parts.csv").contains("91-8001,key,Woodruff key,4x6.5x16"),
        "not as answered"
    );
}

#[test]
fn a_list_a_shared_folder_a_record_and_an_undo_are_asked_about_before_they_are_written() {
    let folder = demo();
    let others = tempfile::tempdir().expect("a folder");
    let list = others.path().join("list.csv");
    std::fs::write(&list, "Number,Description\n91-9001,Gasket\n").expect("written");
    let list = list.to_str().expect("plain").to_owned();
    let asked: [&[&str]; 3] = [
        &["import", &list, "--into", "parts"],
        &["rename", "position", "pump-screws", "cover-screws"],
        &["remove", "stock", "91-2304"],
    ];
    for arguments in asked {
        let before = tables(folder.path());
        let mut at = sit_down(folder.path(), arguments);
        answer(&mut at, "[y/N] ", "n\r");
        at.exp_string("Nothing was written.").expect("said so");
        at.exp_eof().expect("it ends");
        assert!(tables(folder.path()) == before, "{arguments:?}");
        let mut at = sit_down(folder.path(), arguments);
        answer(&mut at, "[y/N] ", "y\r");
        at.exp_eof().expect("it ends");
        assert!(tables(folder.path()) != before, "{arguments:?}");
        let mut at = sit_down(folder.path(), &["undo"]);
        answer(&mut at, "[y/N] ", "y\r");
        at.exp_eof().expect("it ends");
        assert!(tables(folder.path()) == before, "{arguments:?}");
    }
}
