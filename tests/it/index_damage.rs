//! Kills, cuts and flips: whatever happens to the index, every later answer is right, and the tables stay byte for
//! byte as they were.
//!
//! `KITWRIGHT_DAMAGES` sets how many of each there are.

#[path = "../bench/src/catalogs.rs"]
#[allow(dead_code, reason = "the benchmark uses all of it")]
mod catalogs;

use rand::{Rng, SeedableRng};
use rand_chacha::ChaCha8Rng;
use std::collections::BTreeMap;
use std::fs;
use std::path::{Path, PathBuf};
use std::process::{Command, Output, Stdio};
use std::time::Duration;

fn damages() -> usize {
    std::env::var("KITWRIGHT_DAMAGES").ok().and_then(|damages| damages.parse().ok()).unwrap_or(100)
}

fn program(folder: &Path, index: &str, arguments: &[&str]) -> Command {
    let mut command = Command::new(env!("CARGO_BIN_EXE_kitwright"));
    command.args(["--index", index]).args(arguments).env("KITWRIGHT_CATALOG", folder);
    command
}

const ASKED: &[&[&str]] = &[
    &["find", "o-ring", "--json"],
    &["find", "pump seal 24x40", "--json"],
    &["part", "10-000003"],
    &["kit", "m0000-a03-service", "--on", "machine-0000", "--json"],
    &["fits", "TV00010-000", "machine-0000"],
];

fn answers(folder: &Path) -> Vec<Output> {
    ASKED.iter().map(|asked| program(folder, "never", asked).output().expect("run")).collect()
}

fn tables_in(folder: &Path) -> BTreeMap<PathBuf, Vec<u8>> {
    let files =
        fs::read_dir(folder).expect("the folder").map(|entry| entry.expect("an entry").path());
    files
        .filter(|path| path.is_file())
        .map(|path| (path.clone(), fs::read(path).expect("read")))
        .collect()
}

/// Holds a command, as the index is now, to its answer straight from the tables.
fn hold(folder: &Path, which: usize, want: &[Output], what: &str) {
    let got = program(folder, "always", ASKED[which]).output().expect("run");
    let said = String::from_utf8_lossy(&got.stderr).into_owned();
    assert_eq!(got.status.code(), want[which].status.code(), "{what}: {:?}\n{said}", ASKED[which]);
    assert!(
        got.stdout == want[which].stdout,
        "{what}: {:?} answers otherwise\n{said}",
        ASKED[which]
    );
    assert!(!said.contains("panicked"), "{what}: {said}");
    assert!(said.lines().filter(|line| line.contains("index")).count() <= 1, "{what}: {said}");
}

fn index_files(folder: &Path) -> Vec<PathBuf> {
    let mut files = Vec::new();
    let mut folders = vec![folder.join(".kitwright")];
    while let Some(folder) = folders.pop() {
        for entry in fs::read_dir(folder).into_iter().flatten().flatten() {
            if entry.path().is_dir() {
                folders.push(entry.path())
            } else {
                files.push(entry.path())
            }
        }
    }
    files.sort();
    files
}

#[test]
fn a_kill_at_any_moment_costs_no_answer() {
    let folder = tempfile::tempdir().expect("a folder");
    catalogs::write(folder.path(), 600).expect("written");
    let mut random = ChaCha8Rng::seed_from_u64(9);
    let parts = folder.path().join("parts.csv");
    let first = fs::read_to_string(&parts).expect("read");
    let mut texts = vec![
        first.clone(),
        first.replacen("Tolvane", "Tolvana", 1),
        first.replacen("invented", "made", 300),
    ];
    texts.push(first.lines().take(500).map(|line| format!("{line}\n")).collect());
    let wanted: Vec<Vec<Output>> = texts
        .iter()
        .map(|text| {
            fs::write(&parts, text).expect("written");
            answers(folder.path())
        })
        .collect();
    for round in 0..damages() {
        // Half of the kills fall into a compile of everything, half into one of what has changed.
        if random.random_bool(0.5) {
            let _ = fs::remove_file(folder.path().join(".kitwright/manifest"));
        }
        let now = random.random_range(0..texts.len());
        fs::write(&parts, &texts[now]).expect("written");
        let before = tables_in(folder.path());
        let mut child = program(folder.path(), "always", ASKED[0])
            .stdout(Stdio::null())
            .stderr(Stdio::null())
            .spawn()
            .expect("spawned");
        std::thread::sleep(Duration::from_micros(random.random_range(0..60_000)));
        let _ = child.kill();
        let _ = child.wait();
        assert!(tables_in(folder.path()) == before, "round {round}: the tables have changed");
        hold(folder.path(), round % ASKED.len(), &wanted[now], &format!("round {round}"));
    }
}

#[test]
fn cut_and_flipped_files_cost_no_answer() {
    let folder = tempfile::tempdir().expect("a folder");
    catalogs::write(folder.path(), 600).expect("written");
    let before = tables_in(folder.path());
    let wanted = answers(folder.path());
    hold(folder.path(), 0, &wanted, "first");
    let mut random = ChaCha8Rng::seed_from_u64(10);
    for round in 0..damages() {
        let files = index_files(folder.path());
        let path = &files[round % files.len()];
        let mut bytes = fs::read(path).unwrap_or_default();
        let what = if bytes.is_empty() || random.random_bool(0.2) {
            bytes.truncate(random.random_range(0..=bytes.len()));
            "cut"
        } else {
            for _ in 0..random.random_range(1..=16) {
                let at = random.random_range(0..bytes.len());
                bytes[at] ^= 1 << random.random_range(0..8);
            }
            "flipped"
        };
        fs::write(path, bytes).expect("written");
        hold(
            folder.path(),
            round % ASKED.len(),
            &wanted,
            &format!("round {round}, {what} {}", path.display()),
        );
        hold(
            folder.path(),
            (round / 3) % 2,
            &wanted,
            &format!("round {round} again, {what} {}", path.display()),
        );
    }
    assert!(tables_in(folder.path()) == before, "the tables have changed");
}

#[test]
fn two_processes_at_once_both_answer_right() {
    let folder = tempfile::tempdir().expect("a folder");
    catalogs::write(folder.path(), 3000).expect("written");
    let wanted = answers(folder.path());
    for round in 0..10 {
        if round % 2 == 0 {
            let _ = fs::remove_dir_all(folder.path().join(".kitwright"));
        }
        std::thread::scope(|scope| {
            for which in 0..4 {
                let (folder, wanted) = (folder.path(), &wanted);
                scope.spawn(move || {
                    hold(folder, which, wanted, &format!("round {round}, process {which}"))
                });
            }
        });
    }
}

#[cfg(unix)]
#[test]
fn a_folder_that_cannot_be_written_is_answered_from_the_tables() {
    use std::os::unix::fs::PermissionsExt;
    let folder = tempfile::tempdir().expect("a folder");
    catalogs::write(folder.path(), 600).expect("written");
    let wanted = answers(folder.path());
    // A file in the place of the folder cannot be written into, whoever asks.
    fs::write(folder.path().join(".kitwright"), "in the way").expect("written");
    for which in 0..ASKED.len() {
        hold(folder.path(), which, &wanted, "a file in the way");
    }
    fs::remove_file(folder.path().join(".kitwright")).expect("removed");
    fs::set_permissions(folder.path(), fs::Permissions::from_mode(0o555)).expect("set");
    for which in 0..ASKED.len() {
        hold(folder.path(), which, &wanted, "no permission");
    }
    fs::set_permissions(folder.path(), fs::Permissions::from_mode(0o755)).expect("set");
}

/// A full disk refuses to write what is over, as a limit on the length of files does.
#[cfg(unix)]
#[test]
fn a_disk_that_fills_up_is_answered_from_the_tables() {
    let folder = tempfile::tempdir().expect("a folder");
    catalogs::write(folder.path(), 600).expect("written");
    let wanted = answers(folder.path());
    let parts = folder.path().join("parts.csv");
    let first = fs::read_to_string(&parts).expect("read");
    let mut full = 0;
    for (round, blocks) in
        [0, 1, 2, 8, 30, 60, 100, 200, 400, 700, 1500, 100_000].into_iter().enumerate()
    {
        for before in ["nothing", "an index of other tables"] {
            let _ = fs::remove_dir_all(folder.path().join(".kitwright"));
            if before != "nothing" {
                fs::write(&parts, first.replacen("Tolvane", "Tolvana", 9)).expect("written");
                assert!(
                    program(folder.path(), "always", ASKED[0]).status().expect("run").success()
                );
                fs::write(&parts, &first).expect("written");
            }
            let tables = tables_in(folder.path());
            let which = round % ASKED.len();
            let got = Command::new("sh")
                .args(["-c", &format!("trap '' XFSZ; ulimit -f {blocks}; exec \"$0\" \"$@\"")])
                .args([env!("CARGO_BIN_EXE_kitwright"), "--index", "always"])
                .args(ASKED[which])
                .env("KITWRIGHT_CATALOG", folder.path())
                .output()
                .expect("run");
            let said = String::from_utf8_lossy(&got.stderr).into_owned();
            let what = format!("{blocks} blocks over {before}: {said}");
            assert_eq!(got.status.code(), wanted[which].status.code(), "{what}");
            assert!(got.stdout == wanted[which].stdout, "{what}");
            assert!(
                !said.contains("panicked")
                    && said.lines().filter(|line| line.contains("index")).count() <= 1,
                "{what}"
            );
            full += usize::from(said.contains("answered from the tables"));
            assert!(tables_in(folder.path()) == tables, "{what}: the tables have changed");
            hold(folder.path(), which, &wanted, &format!("after {what}"));
        }
    }
    assert!(full >= 6, "the disk was never full: {full}");
}

#[test]
fn deleting_the_index_costs_nothing() {
    let folder = tempfile::tempdir().expect("a folder");
    catalogs::write(folder.path(), 600).expect("written");
    let wanted = answers(folder.path());
    for which in 0..ASKED.len() {
        hold(folder.path(), which, &wanted, "before");
        let _ = fs::remove_dir_all(folder.path().join(".kitwright"));
        hold(folder.path(), which, &wanted, "after");
    }
}

#[test]
fn an_index_held_by_another_process_is_answered_from_the_tables() {
    let folder = tempfile::tempdir().expect("a folder");
    catalogs::write(folder.path(), 600).expect("written");
    let wanted = answers(folder.path());
    hold(folder.path(), 0, &wanted, "first");
    let turn = fs::File::options()
        .write(true)
        .open(folder.path().join(".kitwright/turn"))
        .expect("the turn");
    turn.lock().expect("held");
    for which in 0..ASKED.len() {
        hold(folder.path(), which, &wanted, "held");
    }
    turn.unlock().expect("let go");
    let said = program(folder.path(), "always", ASKED[0]).output().expect("run").stderr;
    assert!(said.is_empty(), "{}", String::from_utf8_lossy(&said));
}

#[test]
fn a_file_replaced_by_one_of_the_same_length_and_time_is_seen() {
    let folder = tempfile::tempdir().expect("a folder");
    catalogs::write(folder.path(), 600).expect("written");
    let path = folder.path().join("parts.csv");
    let first = fs::read_to_string(&path).expect("read");
    let time = std::time::SystemTime::now() - Duration::from_secs(100);
    let put = |text: &str| {
        fs::write(&path, text).expect("written");
        fs::File::options()
            .write(true)
            .open(&path)
            .expect("opened")
            .set_modified(time)
            .expect("set");
    };
    put(&first);
    hold(folder.path(), 0, &answers(folder.path()), "first");
    for (round, word) in ["O-rung", "O-rang", "O-reng"].into_iter().enumerate() {
        // Long enough for the index to believe the disk, in one round.
        std::thread::sleep(Duration::from_millis(if round == 0 { 2300 } else { 0 }));
        hold(folder.path(), 0, &answers(folder.path()), "before");
        put(&first.replace("O-ring", word));
        let got = program(folder.path(), "always", ASKED[0]).output().expect("run").stdout;
        assert!(String::from_utf8_lossy(&got).contains(word), "{word}");
    }
}

#[test]
fn tables_that_come_and_go_are_seen() {
    let folder = tempfile::tempdir().expect("a folder");
    catalogs::write(folder.path(), 600).expect("written");
    let extra = folder.path().join("garage");
    for round in 0..6 {
        if round % 2 == 0 {
            fs::create_dir_all(&extra).expect("made");
            fs::write(
                extra.join("parts.csv"),
                "part,type,name\n10-000003x,o-ring,O-ring of the garage\n",
            )
            .expect("written");
        } else {
            fs::remove_dir_all(&extra).expect("removed");
        }
        let wanted = answers(folder.path());
        for which in 0..ASKED.len() {
            hold(folder.path(), which, &wanted, &format!("round {round}"));
        }
    }
}
