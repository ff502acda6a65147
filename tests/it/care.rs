//! Nothing is destroyed, and nothing is done behind the owner's back: tables that change while a question waits, folders
//! that come from somebody else, and text that would act on a terminal.

#![cfg(unix)]

use crate::on_a_copy::{demo, run, tables};
use rexpect::session::{PtySession, spawn_command};
use std::collections::BTreeMap;
use std::fs;
use std::os::unix::fs::symlink;
use std::path::Path;
use std::process::{Command, Stdio};
use std::time::{Duration, Instant};

fn sit_down(root: &Path, arguments: &[&str]) -> PtySession {
    let mut command = Command::new(env!("CARGO_BIN_EXE_kitwright"));
    command.arg("-C").arg(root).args(arguments).env("TERM", "xterm");
    command.env_remove("KITWRIGHT_CATALOG");
    spawn_command(command, Some(60_000)).expect("a terminal")
}

/// Waits for the question, lets somebody else do something, and answers yes; gives what is said then.
fn yes_after(root: &Path, arguments: &[&str], meanwhile: impl FnOnce()) -> String {
    let mut at = sit_down(root, arguments);
    at.exp_string("[y/N] ").expect("the question");
    meanwhile();
    at.send("y\r").expect("typed");
    at.flush().expect("typed");
    all_said(&mut at)
}

/// All that is said up to the end. The terminal gives it byte by byte.
fn all_said(at: &mut PtySession) -> String {
    let bytes: Vec<u8> = at.exp_eof().expect("it ends").chars().map(|c| c as u8).collect();
    String::from_utf8_lossy(&bytes).into_owned()
}

fn change_file(root: &Path, file: &str, change: impl FnOnce(String) -> String) {
    let path = root.join(file);
    let text = fs::read_to_string(&path).expect("read");
    fs::write(&path, change(text)).expect("saved");
}

fn text(root: &Path, file: &str) -> String {
    fs::read_to_string(root.join(file)).expect("read")
}

fn row(text: &str, begin: &str) -> String {
    text.lines().find(|line| line.starts_with(begin)).unwrap_or_default().to_owned()
}

#[test]
fn a_row_that_moved_while_the_question_waited_is_found_and_no_other_is_touched() {
    let folder = demo();
    let root = folder.path();
    let before = text(root, "parts.csv");
    let said = yes_after(root, &["set", "parts", "91-2110", "material=FKM"], || {
        change_file(root, "parts.csv", |text| {
            text.replace("91-2110,", "# a remark of mine\n91-9999,gasket,Mine\n91-2110,")
        });
    });
    assert!(said.contains("Written."), "{said}");
    let after = text(root, "parts.csv");
    assert!(row(&after, "91-2110,").contains("FKM"), "{after}");
    assert!(after.contains("91-9999,gasket,Mine\n"), "the editor's row is lost");
    for line in before.lines().filter(|line| !line.starts_with("91-2110,")) {
        assert!(after.contains(line), "{line}");
    }
}

#[test]
fn a_row_that_changed_while_the_question_waited_is_refused_with_both_texts() {
    for (arguments, file, begin) in [
        (&["set", "parts", "91-2110", "material=FKM"][..], "parts.csv", "91-2110,"),
        (&["remove", "parts", "91-2110"], "parts.csv", "91-2110,"),
        (&["rename", "part", "91-2110", "91-2110-B"], "parts.csv", "91-2110,"),
    ] {
        let folder = demo();
        let root = folder.path();
        let was = row(&text(root, file), begin);
        let now = format!("{}x", was);
        let mut saved = BTreeMap::new();
        let said = yes_after(root, arguments, || {
            change_file(root, file, |text| text.replace(&was, &now));
            saved = tables(root);
        });
        let said = said.split_whitespace().collect::<Vec<_>>().join(" ");
        assert!(said.contains("nothing was written"), "{said}");
        assert!(said.contains(&was) && said.contains(&now), "both texts: {said}");
        assert!(tables(root) == saved, "{arguments:?}");
    }
}

#[test]
fn a_key_that_somebody_wrote_while_the_question_waited_is_not_written_twice() {
    let folder = demo();
    let root = folder.path();
    let said = yes_after(root, &["add", "91-8001 gasket, cover"], || {
        assert_eq!(run(root, &["add", "91-8001 gasket, lid", "--yes"]).0, 0);
    });
    assert!(said.contains("nothing was written"), "{said}");
    assert_eq!(text(root, "parts.csv").matches("91-8001").count(), 1);
}

#[test]
fn a_record_whose_tables_changed_is_worked_out_again_before_it_is_written() {
    let record = ["record", "starter-rope", "--on", "dinghy", "--date", "2026-10-04", "--accept"];
    let folder = demo();
    let root = folder.path();
    let said = yes_after(root, &record, || {
        change_file(root, "parts.csv", |text| format!("{text}# a remark\n"));
    });
    assert!(said.contains("Recorded"), "a remark is no reason to refuse: {said}");
    let folder = demo();
    let root = folder.path();
    let log = text(root, "worklog.csv");
    let said = yes_after(root, &record, || {
        assert_ne!(run(root, &[&record[..], &["--yes"]].concat()).0, 2);
    });
    assert!(said.contains("nothing was written"), "{said}");
    let again = text(root, "worklog.csv");
    assert_eq!(again.matches("starter-rope").count() - log.matches("starter-rope").count(), {
        let once = demo();
        run(once.path(), &[&record[..], &["--yes"]].concat());
        text(once.path(), "worklog.csv").matches("starter-rope").count()
            - log.matches("starter-rope").count()
    });
}

#[test]
fn a_terminal_left_at_its_question_keeps_nobody_from_writing() {
    let folder = demo();
    let root = folder.path();
    let mut at = sit_down(root, &["set", "parts", "91-2110", "material=FKM"]);
    at.exp_string("[y/N] ").expect("the question");
    let begun = Instant::now();
    let (status, said) = run(root, &["set", "parts", "91-2109", "material=NBR", "--yes"]);
    assert_eq!(status, 0, "{said}");
    assert!(begun.elapsed() < Duration::from_secs(20));
    at.send("y\r").expect("typed");
    at.flush().expect("typed");
    assert!(at.exp_eof().expect("it ends").contains("Written."));
    let parts = text(root, "parts.csv");
    assert!(row(&parts, "91-2110,").contains("FKM") && row(&parts, "91-2109,").contains("NBR"));
}

#[test]
fn who_holds_the_lock_is_named_to_the_next_writer() {
    let folder = demo();
    let root = folder.path();
    let lock = fs::File::create(root.join(".kitwright-lock")).expect("made");
    fs::write(root.join(".kitwright-lock"), "process 4711: kitwright import list\n").expect("said");
    lock.lock().expect("locked");
    let (status, said) = run(root, &["set", "parts", "91-2110", "material=FKM", "--yes"]);
    assert_eq!(status, 2);
    assert!(said.contains("process 4711: kitwright import list"), "{said}");
    assert_eq!(run(root, &["set", "parts", "91-2110", "material=FKM", "--dry-run"]).0, 0);
}

/// All files of a folder and below, links not followed.
fn everything(root: &Path) -> BTreeMap<String, Vec<u8>> {
    let mut found = BTreeMap::new();
    for entry in fs::read_dir(root).expect("the folder").flatten() {
        let path = entry.path();
        if entry.file_type().expect("a kind").is_dir() {
            found.extend(everything(&path));
        } else {
            found.insert(path.display().to_string(), fs::read(&path).unwrap_or_default());
        }
    }
    found
}

const READS: [&[&str]; 8] = [
    &["kit", "cooling-pump", "--on", "dinghy"],
    &["find", "gasket"],
    &["check"],
    &["part", "91-2110"],
    &["state", "dinghy"],
    &["waiting"],
    &["order", "cooling-pump", "--on", "dinghy"],
    &["undo", "--list"],
];

#[test]
fn a_journal_that_came_with_a_folder_is_never_carried_out_unasked() {
    let home = tempfile::tempdir().expect("a folder");
    fs::write(home.path().join("letter.csv"), "mine").expect("written");
    let far = home.path().join("far.csv").display().to_string();
    let texts = |name: &str| {
        format!(
            "{{\"what\":\"a gift\",\"files\":[{{\"name\":{name:?},\"before\":null,\"after\":\"evil\"}},{{\"name\":\"../letter.csv\",\"before\":\"mine\",\"after\":null}}],\"made\":null,\"taken_back\":null}}"
        )
    };
    for name in ["../x.csv", &far, "../home/stock.csv", "stock.csv"] {
        for head in [
            "",
            "{\"kitwright_change\":2,\"place\":{\"device\":0,\"number\":0,\"path\":0},\"sum\":\"0\"}\n",
        ] {
            let root = home.path().join("catalog");
            fs::create_dir(&root).expect("made");
            for (file, text) in tables(demo().path()) {
                fs::write(root.join(file), text).expect("written");
            }
            fs::write(root.join(".kitwright-change.json"), head.to_owned() + &texts(name))
                .expect("planted");
            let before = everything(home.path());
            for arguments in READS {
                let (_, said) = run(&root, arguments);
                let now: BTreeMap<_, _> = everything(home.path())
                    .into_iter()
                    .filter(|(path, _)| !path.contains("/.kitwright/"))
                    .collect();
                assert!(now == before, "{arguments:?}: {said}");
            }
            let (status, said) = run(&root, &["set", "parts", "91-2110", "material=FKM", "--yes"]);
            assert!(status == 2 && said.contains("--cut-short"), "{said}");
            let (_, said) = run(&root, &["undo", "--cut-short", "finish", "--yes"]);
            assert!(said.contains("cannot be carried out"), "{said}");
            assert_eq!(fs::read(home.path().join("letter.csv")).expect("there"), b"mine");
            assert_eq!(run(&root, &["undo", "--cut-short", "drop", "--yes"]).0, 0);
            assert_eq!(run(&root, &["set", "parts", "91-2110", "material=FKM", "--yes"]).0, 0);
            fs::remove_dir_all(&root).expect("removed");
        }
    }
}

#[test]
fn an_undo_that_names_files_outside_or_is_a_link_is_refused() {
    let folder = demo();
    let root = folder.path();
    let outside = tempfile::tempdir().expect("a folder");
    fs::write(outside.path().join("parts.csv"), "a\nb\n").expect("written");
    run(root, &["set", "parts", "91-2110", "material=FKM", "--yes"]);
    let kept = root.join(".kitwright-undo/000001.json");
    let made = fs::read_to_string(&kept).expect("kept");
    let name = outside.path().join("parts.csv").display().to_string();
    let evil = made.replacen("\"parts.csv\"", &format!("{name:?}"), 1);
    assert_ne!(evil, made);
    fs::write(&kept, evil).expect("planted");
    let (status, said) = run(root, &["undo", "--yes"]);
    assert!(status == 2 && said.contains("leads out of the catalog folder"), "{said}");
    fs::remove_dir_all(root.join(".kitwright-undo")).expect("removed");
    symlink(outside.path(), root.join(".kitwright-undo")).expect("linked");
    for arguments in [&["set", "parts", "91-2110", "material=NBR", "--yes"][..], &["undo", "--yes"]]
    {
        let (status, said) = run(root, arguments);
        assert!(status == 2 && said.contains("it is a link"), "{said}");
    }
    assert_eq!(fs::read_dir(outside.path()).expect("there").count(), 1);
    assert_eq!(fs::read(outside.path().join("parts.csv")).expect("there"), b"a\nb\n");
}

#[test]
fn a_table_that_is_a_link_out_of_the_catalog_is_read_and_not_written() {
    let folder = demo();
    let root = folder.path();
    let outside = tempfile::tempdir().expect("a folder");
    let far = outside.path().join("stock.csv");
    fs::rename(root.join("stock.csv"), &far).expect("moved");
    symlink(&far, root.join("stock.csv")).expect("linked");
    let before = fs::read(&far).expect("read");
    assert_eq!(run(root, &["part", "91-2304"]).0, 0);
    let (status, said) = run(root, &["remove", "stock", "91-2304", "--yes"]);
    assert!(status == 2 && said.contains("leads out of the catalog folder"), "{said}");
    assert_eq!(fs::read(&far).expect("read"), before);
}

#[test]
fn remembered_columns_that_are_a_link_are_neither_read_nor_written() {
    let folder = demo();
    let outside = tempfile::tempdir().expect("a folder");
    let (far, list) = (outside.path().join("far"), outside.path().join("list.csv"));
    fs::write(&far, "mine").expect("written");
    fs::write(&list, "Number,Description\n91-9001,Gasket\n").expect("written");
    symlink(&far, folder.path().join(".kitwright-columns.csv")).expect("linked");
    let list = list.to_str().expect("plain");
    let (status, said) = run(folder.path(), &["import", list, "--into", "parts", "--yes"]);
    assert!(status == 2 && said.contains("it is a link"), "{said}");
    assert_eq!(fs::read(far).expect("read"), b"mine");
}

#[test]
fn a_hidden_folder_that_is_a_link_or_somebody_elses_is_left_alone() {
    let outside = tempfile::tempdir().expect("a folder");
    fs::create_dir_all(outside.path().join("keys/deep")).expect("made");
    fs::write(outside.path().join("keys/id"), "mine").expect("written");
    let before = everything(outside.path());
    let linked = demo();
    symlink(outside.path(), linked.path().join(".kitwright")).expect("linked");
    let foreign = demo();
    fs::create_dir_all(foreign.path().join(".kitwright/letters")).expect("made");
    fs::write(foreign.path().join(".kitwright/letters/a"), "mine").expect("written");
    for root in [linked.path(), foreign.path()] {
        for index in ["auto", "always"] {
            let (status, said) = run(root, &["--index", index, "find", "gasket"]);
            assert_eq!(status, 0, "{said}");
            assert!(said.contains(".kitwright") && said.contains("not touched"), "{said}");
        }
    }
    assert!(everything(outside.path()) == before);
    assert!(foreign.path().join(".kitwright/letters/a").exists());
}

#[test]
fn an_index_that_was_copied_along_is_made_anew() {
    let folder = demo();
    assert_eq!(run(folder.path(), &["find", "gasket"]).0, 0);
    let copy = tempfile::tempdir().expect("a folder");
    let to = copy.path().join("catalog");
    let copied = Command::new("cp").arg("-a").arg(folder.path()).arg(&to).status().expect("copied");
    assert!(copied.success());
    let (status, said) = run(&to, &["find", "gasket"]);
    assert_eq!(status, 0);
    assert!(said.contains("it was made in another folder than this"), "{said}");
    assert!(!run(&to, &["find", "gasket"]).1.contains("another folder"));
    let moved = copy.path().join("moved");
    fs::rename(&to, &moved).expect("renamed");
    assert!(!run(&moved, &["find", "gasket"]).1.contains("another folder"));
}

#[test]
fn what_nobody_sees_behind_a_key_or_number_loses_nothing_from_a_kit() {
    let kit = ["kit", "cooling-pump", "--on", "dinghy", "--csv"];
    let folder = demo();
    let root = folder.path();
    let (status, usual) = run(root, &kit);
    for (file, name) in [("positions.csv", "pump-screws"), ("parts.csv", "91-2110")] {
        for unseen in ["\u{200b}", "\u{ad}", "\u{2060}", "\u{200e}"] {
            let folder = demo();
            change_file(folder.path(), file, |text| text.replace(name, &format!("{name}{unseen}")));
            let (now, said) = run(folder.path(), &kit);
            let plain: String = said.replace(unseen, "");
            assert_eq!(now, status, "{unseen:?} in {file}: {said}");
            let words = |text: &str| text.split_whitespace().collect::<Vec<_>>().join(" ");
            assert_eq!(words(&plain), words(&usual), "{unseen:?} in {file}");
            let (_, checked) = run(folder.path(), &["check"]);
            assert!(checked.contains("unseen-character"), "{checked}");
        }
    }
}

/// What no text may bring to a terminal.
fn acts(c: char) -> bool {
    (c.is_control() && !matches!(c, '\n' | '\r' | '\t' | '\u{1b}'))
        || matches!(c, '\u{202a}'..='\u{202e}' | '\u{2066}'..='\u{2069}' | '\u{200e}' | '\u{200f}' | '\u{61c}')
}

const EVIL: &str = "\u{1b}]0;title\u{7}\u{1b}[2J\u{9b}31m\u{202e}\u{2066}\u{8}\u{1b}[8m";

#[test]
fn a_hostile_catalog_printed_by_every_command_brings_nothing_that_acts_on_a_terminal() {
    let folder = demo();
    let root = folder.path();
    // In every name, number and text of every table, once as another row and once in the row itself.
    for (file, text) in tables(root) {
        let text = String::from_utf8(text).expect("text");
        let mut lines: Vec<String> = text.lines().map(str::to_owned).collect();
        for line in lines.iter_mut().skip(1) {
            if let Some(cell) = line.split(',').next().filter(|cell| {
                !cell.is_empty() && !cell.starts_with(['#', '"', '1', '2']) && file != "types.csv"
            }) {
                *line = format!("{cell}{EVIL}{}", &line[cell.len()..]);
            }
        }
        for word in ["Gasket", "Impeller", "Screw", "Pump", "Water", "91-2110", "91-2304"] {
            for line in lines.iter_mut().skip(1) {
                *line = line.replace(word, &format!("{word}{EVIL}"));
            }
        }
        fs::write(root.join(&file), lines.join("\n") + "\n").expect("written");
    }
    fs::create_dir(root.join(format!("x{EVIL}"))).expect("made");
    fs::write(root.join(format!("x{EVIL}/strangers{EVIL}.csv")), "a\n").expect("written");
    fs::write(root.join(format!("x{EVIL}/joints.csv")), "joint,oops\n").expect("written");
    let commands: &[&[&str]] = &[
        &["kit", "cooling-pump", "--on", "dinghy"],
        &["kit", "cooling-pomp", "--on", "dinghy"],
        &["kit", "cooling-pump", "--on", "dingy"],
        &["kit", "cooling-pump", "--on", "dinghy", "--csv"],
        &["kit", "cooling-pump", "--on", "dinghy", "--json"],
        &["order", "cooling-pump", "--on", "dinghy"],
        &["order", "cooling-pump", "--on", "dinghy", "--message"],
        &["find", "gasket"],
        &["find", "gaskit", "--on", "dinghy"],
        &["near", "o-ring", "20x2"],
        &["part", "91-2110"],
        &["part", "91-2111"],
        &["fits", "91-2110", "dinghy"],
        &["state", "dinghy"],
        &["symptom", "overheats", "--on", "dinghy"],
        &["also", "cooling-pump", "--on", "dinghy"],
        &["waiting"],
        &["check"],
        &["tables"],
        &["set", "parts", "91-2110", "material=FKM", "--dry-run"],
        &["set", "parts", "91-21", "material=FKM", "--dry-run"],
        &["rename", "position", "pump-screw", "x", "--dry-run"],
        &["remove", "stock", "91-2304", "--dry-run"],
        &["add", "91-2110 gasket, cover", "--dry-run"],
        &["measure", "dinghy", "drive-seal", "bore", "1", "--dry-run"],
        &["record", "cooling-pump", "--on", "dinghy", "--accept", "--dry-run"],
        &["receive", "2026-99"],
        &["undo", "--list"],
        &["share", "cooling", "-o", "never"],
        &["sheet", "cooling", "--on", "dinghy", "-o", "never.html"],
        &["kit", EVIL, "--on", EVIL],
        &["kit", "--nothing\u{1b}[2J\u{9b}"],
    ];
    for index in ["always", "never"] {
        for arguments in commands {
            let mut at = sit_down(root, &[&["--index", index], *arguments].concat());
            let said = all_said(&mut at);
            assert!(!said.is_empty(), "{arguments:?}");
            assert!(!said.contains(acts), "{arguments:?}: {:?}", said.chars().find(|c| acts(*c)));
            // Of escapes there are only the program's own few styles.
            for rest in said.split('\u{1b}').skip(1) {
                let own = ["[0m", "[1m", "[2m", "[32m", "[33m", "[4m", "[1;31m", "[31m"];
                assert!(own.iter().any(|style| rest.starts_with(style)), "{arguments:?}: {rest:?}");
            }
            assert!(!said.contains("panicked"), "{arguments:?}: {said}");
        }
    }
}

#[test]
fn a_list_for_a_supplier_holds_no_formula() {
    let folder = demo();
    let root = folder.path();
    change_file(root, "parts.csv", |text| text.replace("Gasket", "=HYPERLINK(1)"));
    let (_, list) = run(root, &["kit", "cooling-pump", "--on", "dinghy", "--csv"]);
    assert!(list.contains("'=HYPERLINK(1)"), "{list}");
    assert!(!list.contains(",=HYPERLINK") && !list.contains(",\"=HYPERLINK"), "{list}");
}

#[test]
fn a_reader_sees_the_tables_before_a_change_or_after_it_and_never_half_of_it() {
    let folder = tempfile::tempdir().expect("a folder");
    let root = folder.path().to_owned();
    let rows = |n: usize| -> String { (0..300).map(|i| format!("P{i},gasket,of {n}\n")).collect() };
    for (file, text) in [
        ("models.csv", "model\nQ\n".to_owned()),
        ("machines.csv", "machine,model\nm,Q\n".to_owned()),
        ("positions.csv", "position,part,joint,reached_by\nold,P1,j,o\n".to_owned()),
        ("operations.csv", "operation,opens\no,j\n".to_owned()),
        ("jobs.csv", "job\njob\n".to_owned()),
        ("job_lines.csv", "job,position\njob,old\n".to_owned()),
        ("parts.csv", format!("part,type,name\n{}", rows(0))),
    ] {
        fs::write(root.join(file), text).expect("written");
    }
    let stop = std::sync::Arc::new(std::sync::atomic::AtomicBool::new(false));
    let writer = {
        let (root, stop) = (root.clone(), stop.clone());
        std::thread::spawn(move || {
            let names = ["old", "new"];
            for turn in 0.. {
                if stop.load(std::sync::atomic::Ordering::Relaxed) {
                    break;
                }
                let (from, to) = (names[turn % 2], names[(turn + 1) % 2]);
                let (status, said) = run(&root, &["rename", "position", from, to, "--yes"]);
                assert_eq!(status, 0, "{said}");
            }
        })
    };
    for index in ["never", "always"].into_iter().cycle().take(60) {
        let (status, said) = run(&root, &["--index", index, "kit", "job", "--on", "m"]);
        assert_eq!(status, 0, "old and new were mixed: {said}");
    }
    stop.store(true, std::sync::atomic::Ordering::Relaxed);
    writer.join().expect("the writer");
}

#[test]
fn twenty_writers_at_once_lose_no_row() {
    let folder = demo();
    let root = folder.path();
    let before = text(root, "measurements.csv").lines().count();
    let children: Vec<_> = (0..20)
        .map(|number| {
            Command::new(env!("CARGO_BIN_EXE_kitwright"))
                .arg("-C")
                .arg(root)
                .args(["measure", "dinghy", "drive-seal-upper", "shaft diameter"])
                .args([format!("11.{:02}", 70 + number), "--accept".to_owned()])
                .stdout(Stdio::null())
                .stderr(Stdio::piped())
                .spawn()
                .expect("started")
        })
        .collect();
    let mut written = 0;
    for child in children {
        let output = child.wait_with_output().expect("ended");
        let said = String::from_utf8_lossy(&output.stderr).into_owned();
        match output.status.code() {
            Some(0 | 3) => written += 1,
            Some(2) => assert!(said.contains("nothing was written"), "{said}"),
            other => panic!("{other:?}: {said}"),
        }
    }
    assert!(written >= 10, "{written}");
    assert_eq!(text(root, "measurements.csv").lines().count(), before + written);
    assert_eq!(run(root, &["undo", "--list"]).1.lines().count(), written + 1);
}

#[test]
fn a_full_disk_behind_standard_output_does_not_hide_that_the_change_is_written() {
    let folder = demo();
    let full = fs::File::options().write(true).open("/dev/full");
    let Ok(full) = full else { return };
    let output = Command::new(env!("CARGO_BIN_EXE_kitwright"))
        .arg("-C")
        .arg(folder.path())
        .args(["set", "parts", "91-2110", "material=FKM", "--yes"])
        .stdin(Stdio::null())
        .stdout(full)
        .stderr(Stdio::piped())
        .output()
        .expect("run");
    let said = String::from_utf8_lossy(&output.stderr).into_owned();
    assert_eq!(output.status.code(), Some(2));
    assert!(said.contains("is written all the same"), "{said}");
    assert!(text(folder.path(), "parts.csv").contains("FKM"));
}

#[test]
fn what_a_killed_run_left_half_written_is_cleared_and_nothing_else_is() {
    let folder = demo();
    let root = folder.path();
    fs::write(root.join(".kitwright-new-a1b2c3"), "half").expect("written");
    fs::write(root.join(".new-of-mine"), "mine").expect("written");
    assert_eq!(run(root, &["set", "parts", "91-2110", "material=FKM", "--yes"]).0, 0);
    assert!(!root.join(".kitwright-new-a1b2c3").exists());
    assert!(root.join(".new-of-mine").exists());
}

#[test]
fn a_table_larger_than_the_limit_is_refused_with_the_limit() {
    let folder = demo();
    let file = fs::File::create(folder.path().join("offers.csv")).expect("made");
    file.set_len(8 << 30).expect("set");
    let (_, said) = run(folder.path(), &["check"]);
    assert!(said.contains("a table file may have 256 MB"), "{said}");
}
