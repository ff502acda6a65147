//! Measures the index against SQLite, both in the same run, on believable catalogs.
//!
//! `cargo run --release --manifest-path tests/bench/Cargo.toml -- [PARTS]…`; the numbers of parts are 10000, 100000 and
//! 1000000 unless others are given. For what a whole process takes, this program runs itself as the one it measures.

mod catalogs;
mod sqlite;

use kitwright::catalog::Lookup;
use kitwright::index::{self, Compiled, Progress, Question, Search};
use kitwright::kit::{Ask, work_out};
use kitwright::measure::{Key, PartNumber};
use kitwright::tables;
use rusqlite::Connection;
use std::fs;
use std::path::{Path, PathBuf};
use std::process::{Command, ExitCode, Stdio};
use std::time::Instant;

type Failure = Box<dyn std::error::Error>;

struct Silent;

impl Progress for Silent {
    fn at(&mut self, _: u64, _: u64) {}
    fn end(&mut self) {}
}

fn open(folder: &Path) -> Result<Compiled, Failure> {
    Ok(index::open(folder, &tables::find(folder)?, &mut Silent)?.compiled)
}

/// Seconds of a piece of work.
fn seconds<T>(work: impl FnOnce() -> T) -> (T, f64) {
    let begun = Instant::now();
    let done = work();
    (done, begun.elapsed().as_secs_f64())
}

fn median(mut times: Vec<f64>) -> f64 {
    times.sort_by(f64::total_cmp);
    times.get(times.len() / 2).copied().unwrap_or(f64::NAN)
}

fn print(what: &str, ours: f64, theirs: f64) {
    let shown = |s: f64| match s {
        s if s.is_nan() => "-".to_owned(),
        s if s >= 1.0 => format!("{s:.2} s"),
        s if s >= 1e-3 => format!("{:.2} ms", s * 1e3),
        s => format!("{:.1} µs", s * 1e6),
    };
    println!("| {what} | {} | {} | {:.2} |", shown(ours), shown(theirs), ours / theirs);
}

fn size_of(path: &Path) -> u64 {
    let Ok(meta) = fs::metadata(path) else { return 0 };
    if !meta.is_dir() {
        return meta.len();
    }
    fs::read_dir(path).into_iter().flatten().flatten().map(|entry| size_of(&entry.path())).sum()
}

/// The greatest memory that this process has held, in megabytes, where the system tells.
fn peak() -> f64 {
    let status = fs::read_to_string("/proc/self/status").unwrap_or_default();
    let line = status.lines().find_map(|line| line.strip_prefix("VmHWM:"));
    line.and_then(|line| line.split_whitespace().next()?.parse::<f64>().ok()).map_or(f64::NAN, |kb| kb / 1024.0)
}

/// Runs a program often and gives the median time, and what it held at most in megabytes.
fn cold(program: &Path, arguments: &[&str]) -> (f64, f64) {
    let times = (0..15).map(|_| {
        seconds(|| Command::new(program).args(arguments).stdout(Stdio::null()).stderr(Stdio::null()).status()).1
    });
    let time = median(times.collect());
    let held =
        Command::new("/usr/bin/time").arg("-f").arg("%M").arg(program).args(arguments).stdout(Stdio::null()).output();
    let text = held.map(|held| String::from_utf8_lossy(&held.stderr).into_owned()).unwrap_or_default();
    let held = text.lines().last().and_then(|line| line.trim().parse::<f64>().ok()).map_or(f64::NAN, |kb| kb / 1024.0);
    (time, held)
}

fn query<V: rusqlite::ToSql>(connection: &Connection, sql: &str, arguments: &[V]) -> Result<usize, Failure> {
    let mut statement = connection.prepare_cached(sql)?;
    let mut rows = statement.query(rusqlite::params_from_iter(arguments))?;
    let mut count = 0;
    while let Some(row) = rows.next()? {
        let _: String = row.get(0)?;
        count += 1;
    }
    Ok(count)
}

fn finds(compiled: &Compiled, words: &str) -> usize {
    let question = Question { words: words.to_owned(), limit: 20, ..Question::default() };
    compiled.find(&question).map_or(0, |found| found.total)
}

fn measure(parts: usize) -> Result<(), Failure> {
    let folder = std::env::temp_dir().join(format!("kitwright-bench-{parts}"));
    let _ = fs::remove_dir_all(&folder);
    let counts = catalogs::write(&folder, parts)?;
    let database = folder.join("catalog.sqlite");
    println!(
        "\n### {} parts, {} positions, {} supersessions; tables of {:.1} MB\n",
        counts.parts,
        counts.positions,
        counts.supersessions,
        size_of(&folder) as f64 / 1e6
    );
    println!("| what | kitwright | SQLite | ratio |\n| --- | ---: | ---: | ---: |");

    let (theirs, their_compile) = seconds(|| sqlite::fill(&folder, &database));
    let mut theirs = theirs?;
    let before = peak();
    let (ours, our_compile) = seconds(|| open(&folder));
    drop(ours?);
    let compile_peak = peak();
    print("compile from CSV", our_compile, their_compile);

    // One row changed, then a part looked up: against a whole compile, and against an update by its number.
    let table = folder.join("parts.csv");
    let text = fs::read_to_string(&table)?;
    let row = catalogs::part_row(parts / 2);
    let mut changes = Vec::new();
    for change in 0..5 {
        fs::write(&table, text.replacen(&row, &row.replace("Tolvane", &format!("Tolvan{change}")), 1))?;
        let number = PartNumber::new(&catalogs::part_number(parts / 2)).ok_or("a number")?;
        let (maker, time) =
            seconds(|| open(&folder).map(|compiled| compiled.part(&number).map(|row| row.maker.clone())));
        assert_eq!(maker?, Some(format!("Tolvan{change}")));
        changes.push(time);
    }
    let changed = median(changes);
    let mut update = theirs.prepare("UPDATE parts SET maker = ? WHERE folded = ?")?;
    let folded = PartNumber::new(&catalogs::part_number(parts / 2)).ok_or("a number")?.folded().to_owned();
    let (_, their_change) = seconds(|| update.execute(["Tolvan", &folded]));
    drop(update);
    print("one row changed, then an answer (SQLite: told which row)", changed, their_change);
    println!("| … as a share of a whole compile | {:.1} % | | |", 100.0 * changed / our_compile);

    let compiled = open(&folder)?;
    let numbers: Vec<PartNumber> = (0..2000)
        .filter_map(|i| PartNumber::new(&catalogs::part_number((catalogs::mixed(i) % parts as u64) as usize)))
        .collect();
    let ours =
        median(numbers.iter().map(|number| seconds(|| compiled.part(number).map(|row| row.name.len())).1).collect());
    let theirs_time = median(
        numbers.iter().map(|number| seconds(|| query(&theirs, sqlite::LOOKUP, &[number.folded()]).ok()).1).collect(),
    );
    print("lookup of a part, median of 2000", ours, theirs_time);

    let words =
        ["water pump seal", "thermostat gasket upper", "ball bearing crankcase", "stainless steel bolt starter"];
    let fts = ["water pump seal", "thermostat gasket upper", "ball bearing crankcase", "stainless steel bolt starter"];
    let often = |work: &dyn Fn(usize)| median((0..40).map(|i| seconds(|| work(i % 4)).1).collect());
    print(
        "find by words",
        often(&|i| {
            finds(&compiled, words[i]);
        }),
        often(&|i| drop(query(&theirs, sqlite::WORDS, &[fts[i]]))),
    );
    let pieces = ["2082", "00123", "4350", "0828"];
    let quoted: Vec<String> = pieces.iter().map(|piece| format!("\"{piece}\"")).collect();
    print(
        "find by a piece of a number",
        often(&|i| {
            finds(&compiled, pieces[i]);
        }),
        often(&|i| drop(query(&theirs, sqlite::PIECE, &[&quoted[i]]))),
    );
    let sized: Vec<(String, String)> = ["o-ring", "shaft seal", "bolt", "retaining ring"]
        .into_iter()
        .filter_map(|kind| (parts / 3..parts).map(catalogs::type_and_size).find(|(part_type, _)| *part_type == kind))
        .map(|(kind, size)| (kind.to_owned(), size))
        .collect();
    let ours = often(&|i| {
        finds(&compiled, &format!("{} {}", sized[i].0, sized[i].1.replace(' ', "")));
    });
    print(
        "find by type and size (SQLite: as typed)",
        ours,
        often(&|i| drop(query(&theirs, sqlite::SIZED, &[&sized[i].0, &sized[i].1]))),
    );
    let (added, lengths) = seconds(|| sqlite::add_lengths(&mut theirs));
    added?;
    let within: Vec<_> = sized.iter().map(|(kind, size)| sqlite::within(kind, size)).collect();
    print(
        &format!("find by type and size (SQLite: within a tolerance, by a table of lengths made in {lengths:.2} s)"),
        ours,
        often(&|i| drop(query(&theirs, &within[i].0, &within[i].1))),
    );

    // Every chain, from every number that has one.
    let olds: Vec<PartNumber> = {
        let mut reader = csv::ReaderBuilder::new().comment(Some(b'#')).from_path(folder.join("supersessions.csv"))?;
        reader.records().filter_map(|row| PartNumber::new(row.ok()?.get(0)?)).collect()
    };
    let (steps, ours) = seconds(|| {
        let mut steps = 0i64;
        compiled.follow_every_chain(|step| steps += i64::try_from(step.depth()).unwrap_or(0));
        steps
    });
    let (by_rows, row_by_row) = seconds(|| {
        let mut steps = 0i64;
        for old in &olds {
            let (mut at, mut depth) = (old.clone(), 0i64);
            while let Some(next) = compiled.supersessions_of(&at).first().map(|row| row.new.clone()) {
                depth += 1;
                steps += depth;
                at = next;
            }
        }
        steps
    });
    let (want, theirs_time) = seconds(|| theirs.query_row(sqlite::CHAINS, [], |row| row.get::<_, i64>(1)));
    let want = want?;
    assert_eq!((steps, by_rows), (want, want), "all follow the same chains");
    print("follow every chain, by numbers", ours, theirs_time);
    print("follow every chain, row by row as a kit does", row_by_row, theirs_time);

    let kit = |lookup: &dyn Lookup, machine: &str, job: &str| {
        let ask = Ask { machine: Some(Key::new(machine)), jobs: vec![Key::new(job)], ..Ask::default() };
        median((0..20).map(|_| seconds(|| work_out(&ask, lookup).map(|kit| kit.lines.len()).ok()).1).collect())
    };
    print(
        "kit inside this catalog, 24 positions",
        kit(&compiled, &catalogs::machine(0), &catalogs::job(0, 5)),
        f64::NAN,
    );
    let demo = PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("../../demo");
    let memory = tables::read_folder(&demo)?.catalog();
    print("kit on the demo, from memory", kit(&memory, "dinghy", "cooling-pump"), f64::NAN);
    drop(compiled);

    let sizes = (size_of(&folder.join(index::FOLDER)) as f64 / 1e6, size_of(&database) as f64 / 1e6);
    println!("| size on disk | {:.0} MB | {:.0} MB | {:.2} |", sizes.0, sizes.1, sizes.0 / sizes.1);
    println!(
        "| memory at most, SQLite and then our compile in one process | {compile_peak:.0} MB | {before:.0} MB | |"
    );

    let program = std::env::current_exe()?;
    // What was just written is still looked at closely; after a while the disk's times are enough.
    std::thread::sleep(std::time::Duration::from_secs(3));
    let folder_text = folder.to_string_lossy().into_owned();
    let database_text = database.to_string_lossy().into_owned();
    let number = catalogs::part_number(parts / 3);
    let of = PartNumber::new(&number).map_or_else(String::new, |number| number.folded().to_owned());
    let of_part = format!("SELECT * FROM parts WHERE folded = '{of}'");
    let of_words = sqlite::WORDS.replace('?', "'water pump seal'");
    let has_sqlite = Command::new("sqlite3").arg("-version").stdout(Stdio::null()).status().is_ok();
    let runs: [(&str, Vec<&str>, Option<&str>); 6] = [
        ("part", vec!["part", &number], Some(&of_part)),
        ("find words", vec!["find", "water pump seal"], Some(&of_words)),
        ("find piece", vec!["find", "2082"], None),
        ("find type and size", vec!["find", "o-ring", "24.5x2.62"], None),
        ("find --on", vec!["find", "o-ring", "--on", "machine-0000"], None),
        ("kit", vec!["kit", "m0000-a05-service", "--on", "machine-0000"], None),
    ];
    for (name, arguments, sql) in runs {
        let mut all = vec![AS_PROGRAM, "--index", "always", "-C", &folder_text];
        all.extend(arguments);
        let (ours, held) = cold(&program, &all);
        let other = sql.filter(|_| has_sqlite).map(|sql| cold(Path::new("sqlite3"), &[&database_text, sql]));
        print(&format!("cold process: {name} ({held:.0} MB)"), ours, other.map_or(f64::NAN, |(time, _)| time));
    }
    fs::remove_dir_all(&folder)?;
    Ok(())
}

/// As the first argument: be the program with the arguments behind it.
const AS_PROGRAM: &str = "kitwright";

fn main() -> Result<ExitCode, Failure> {
    if std::env::args_os().nth(1).is_some_and(|first| first == AS_PROGRAM) {
        return Ok(kitwright::cli::run(std::env::args_os().skip(1)).into());
    }
    let mut sizes: Vec<usize> = std::env::args().skip(1).filter_map(|size| size.parse().ok()).collect();
    if sizes.is_empty() {
        sizes = vec![10_000, 100_000, 1_000_000];
    }
    println!("SQLite {}, {} cores", rusqlite::version(), std::thread::available_parallelism()?);
    for size in sizes {
        measure(size)?;
    }
    Ok(ExitCode::SUCCESS)
}
