//! The whole way on the demo: a motor bought without a history, a symptom, the cure, its parts, the work, the log.

use serde_json::Value;
use std::fs;
use std::path::Path;
use std::process::Command;

fn copy_of_the_demo() -> tempfile::TempDir {
    let folder = tempfile::tempdir().expect("a folder");
    for entry in fs::read_dir(Path::new(env!("CARGO_MANIFEST_DIR")).join("demo")).expect("the demo")
    {
        let path = entry.expect("an entry").path();
        if path.extension().is_some_and(|ending| ending == "csv") {
            fs::copy(&path, folder.path().join(path.file_name().expect("a name"))).expect("copied");
        }
    }
    folder
}

/// A person at a bench with a copy of the demo.
struct Bench(tempfile::TempDir);

impl Bench {
    fn root(&self) -> &Path {
        self.0.path()
    }

    fn run(&self, line: &str) -> (i32, String, String) {
        let mut command = Command::new(env!("CARGO_BIN_EXE_kitwright"));
        let output =
            command.arg("-C").arg(self.root()).args(line.split_whitespace()).output().expect("run");
        let text = |bytes: &[u8]| String::from_utf8_lossy(bytes).into_owned();
        (output.status.code().unwrap_or(-1), text(&output.stdout), text(&output.stderr))
    }

    /// Gives the answer for other programs; the status must be one of those named.
    fn json(&self, line: &str, statuses: &[i32]) -> Value {
        let (status, out, err) = self.run(&format!("{line} --json"));
        assert!(statuses.contains(&status), "{line}: {status}\n{out}{err}");
        serde_json::from_str(&out).unwrap_or_else(|_| panic!("{line}: {out}{err}"))
    }

    fn table(&self, table: &str) -> String {
        fs::read_to_string(self.root().join(format!("{table}.csv"))).expect("there")
    }

    /// How much of a part the shelf holds, all its bins together.
    fn on_the_shelf(&self, part: &str) -> f64 {
        let stock = self.table("stock");
        let rows = stock.lines().filter_map(|line| line.strip_prefix(&format!("{part},")));
        let amount = |rest: &str| -> f64 {
            let cell = rest.split(',').next().unwrap_or_default();
            cell.split_whitespace().next().unwrap_or_default().parse().expect("a number")
        };
        rows.map(amount).sum()
    }

    fn known(&self, position: &str) -> Value {
        let state = self.json("state dinghy --date 2026-11-25", &[0]);
        let positions = state["positions"].as_array().expect("positions").clone();
        positions.into_iter().find(|known| known["position"] == position).unwrap_or(Value::Null)
    }
}

fn names(list: &Value, key: &str) -> Vec<String> {
    let items = list.as_array().expect("a list").iter();
    items.map(|item| item[key].as_str().expect("a name").to_owned()).collect()
}

#[test]
fn a_motor_bought_without_a_history_gets_its_pump_and_its_log() {
    let bench = Bench(copy_of_the_demo());
    let (stock, log, orders) =
        (bench.table("stock"), bench.table("worklog"), bench.table("orders"));

    // State: most of it is unknown, and the impeller is overdue.
    let plan = bench.json("state dinghy --unknown", &[0]);
    let unknown = plan["unknown"].as_array().expect("positions").len();
    assert!(unknown > 70, "{unknown}");
    assert_eq!(bench.known("pump-housing")["status"], "unknown");
    assert_eq!(bench.known("pump-impeller")["status"], "overdue");

    // Symptom: two jobs address it, neither was done.
    let symptom = bench.json("symptom overheats --on dinghy", &[0]);
    assert_eq!(names(&symptom["jobs"], "job"), ["thermostat", "cooling-pump"]);
    assert!(symptom["jobs"].as_array().expect("jobs").iter().all(|job| job["done"].is_null()));

    // Fits: the metal-lined housing does, with others.
    let fits = bench.json("fits TV-1180-03 dinghy --at pump-housing", &[0]);
    assert_eq!(fits["verdict"], "fits-with");

    // Looked at with other words, it is the same two jobs; both lists name cautions.
    let typed = bench.json("symptom it is overheting --on dinghy", &[0]);
    assert_eq!(
        (names(&typed["jobs"], "job"), &typed["taken"][0][1]),
        (names(&symptom["jobs"], "job"), &"overheating".into())
    );

    // Kit, and what else lies open.
    let kit = bench.json("kit cooling-pump --on dinghy", &[0]);
    assert_eq!(kit["complete"], true);
    assert!(names(&kit["lines"], "part").contains(&"TV-1180-04".to_owned()));
    let also = bench.json("also cooling-pump --on dinghy", &[0, 3]);
    let others = names(&also["also"], "job");
    assert!(
        others.contains(&"impeller".to_owned()) && others.contains(&"gearcase-seals".to_owned()),
        "{others:?}"
    );
    assert!(!others.contains(&"cooling-pump".to_owned()));
    for (table, text) in [("stock", &stock), ("worklog", &log), ("orders", &orders)] {
        assert_eq!(bench.table(table), *text, "looking changes nothing in {table}");
    }

    // The least extra work first, with what it costs over the pump, and what of unknown age lies open anyway.
    let minutes: Vec<f64> = also["also"]
        .as_array()
        .expect("jobs")
        .iter()
        .map(|job| job["minutes"].as_f64().expect("minutes"))
        .collect();
    assert!(minutes.is_sorted(), "{minutes:?}");
    assert!(
        also["also"].as_array().expect("jobs").iter().all(|job| job["cost"].is_number()),
        "{also}"
    );
    assert!(names(&also["lying_open"], "position").contains(&"water-tube".to_owned()));

    // Order: what the shelf lacks, once; the washers in the tin are not bought again.
    bench.json("order cooling-pump --on dinghy --date 2026-11-02 --place", &[0]);
    let placed = bench.table("orders");
    let new: Vec<&str> = placed.lines().skip(orders.lines().count()).collect();
    assert!(
        !new.is_empty()
            && new.iter().all(|row| row.contains("dinghy") && row.contains("cooling-pump")),
        "{new:?}"
    );
    assert!(!new.iter().any(|row| row.contains("91-3106")), "four washers lie in tin 2");
    assert_eq!(bench.table("stock"), stock);

    // Recorded too early, the parts would come off a shelf that they never reached.
    let (status, _, err) =
        bench.run("record cooling-pump --on dinghy --date 2026-11-20 --hours 413 --yes");
    assert_eq!(status, 2);
    assert!(err.contains("book it first: kitwright receive"), "{err}");
    assert_eq!(bench.table("worklog"), log);

    // Receive: every parcel.
    let mut numbers: Vec<&str> = new.iter().filter_map(|row| row.split(',').next()).collect();
    numbers.dedup();
    for number in numbers {
        bench.json(&format!("receive {number} --date 2026-11-12"), &[0]);
    }
    let (_, waiting, _) = bench.run("waiting --date 2026-11-12");
    assert!(waiting.contains("cooling-pump on dinghy: fully on the shelf"), "{waiting}");
    assert!(bench.on_the_shelf("TV-1180-04") + bench.on_the_shelf("TV-1180-03") >= 1.0);
    let shelved = bench.table("stock");

    // Sheet: it lists the kit and ends with the record.
    let sheet = bench.root().join("sheet.html");
    let (status, _, err) =
        bench.run(&format!("sheet cooling-pump --on dinghy -o {}", sheet.display()));
    assert_eq!(status, 0, "{err}");
    let html = fs::read_to_string(&sheet).expect("a sheet");
    for part in names(&kit["lines"], "part") {
        assert!(html.contains(&part), "{part} is on the sheet");
    }
    assert!(html.contains("kitwright record cooling-pump --on dinghy"));
    assert_eq!(bench.table("stock"), shelved);

    // Record: the log, the shelf.
    let (washers, grease) = (bench.on_the_shelf("91-3106"), bench.on_the_shelf("90-6001"));
    let line = "record cooling-pump --on dinghy --date 2026-11-20 --hours 413 --found walls-scored --accept --yes";
    let record = bench.json(line, &[0]);
    assert_eq!((&record["written"], &record["complete"]), (&true.into(), &true.into()));
    assert_eq!(record["missing"], serde_json::json!([]), "everything lay on the shelf");
    assert_eq!(record["done_once"], serde_json::json!(["drill-weep-hole"]));
    let questions = record["accepted"].as_array().expect("questions");
    // A clock that is set before the day of the story may doubt the day, and nothing else.
    assert!(
        questions
            .iter()
            .all(|said| said.as_str().is_some_and(|said| said.contains("still to come"))),
        "{questions:?}"
    );
    let logged = bench.table("worklog");
    // The header alone may gain the column for the options of the job.
    let old_rows = |text: &str| {
        text.lines().take(log.lines().count()).skip(2).map(str::to_owned).collect::<Vec<_>>()
    };
    assert_eq!(old_rows(&logged), old_rows(&log), "the old rows stand as they stood");
    let rows: Vec<&str> = logged.lines().skip(log.lines().count()).collect();
    assert!(
        rows.iter()
            .all(|row| row.starts_with("2026-11-20,dinghy,") && row.contains(",cooling-pump,413,")),
        "{rows:#?}"
    );
    for row in [
        ",drill-weep-hole,",
        ",pump-housing,TV-1180-04,1,",
        ",pump-liner,TV-1182-00,1,",
        ",pump-impeller,TV-1181-10,1,",
        ",pump-thrust-ring,-,",
        ",pump-dowels,91-3310,2,",
        ",pump-screws,91-3045,4,",
        ",water-tube-grommet-upper,TV-1187-00,,",
        ",water-tube-grommet-lower,TV-1187-01,1,",
    ] {
        assert_eq!(rows.iter().filter(|logged| logged.contains(row)).count(), 1, "{row}");
    }
    assert_eq!(
        (washers - bench.on_the_shelf("91-3106"), grease - bench.on_the_shelf("90-6001")),
        (4.0, 10.0)
    );
    assert_eq!(bench.on_the_shelf("TV-1180-04"), 0.0);
    let (_, waiting, _) = bench.run("waiting --date 2026-11-20");
    assert!(!waiting.contains("cooling-pump"), "nothing waits for it any more: {waiting}");

    // State: known now, and what was measured in the old housing says nothing of the new.
    let housing = bench.known("pump-housing");
    assert_eq!(
        (&housing["status"], &housing["part"], &housing["job"]),
        (&"known".into(), &"TV-1180-04".into(), &"cooling-pump".into())
    );
    let impeller = bench.known("pump-impeller");
    assert_eq!((&impeller["status"], &impeller["fitted"]), (&"known".into(), &"2026-11-20".into()));
    assert_eq!(impeller["wear"][0]["before"], "pump-impeller renewed on 2026-11-20");
    let fewer =
        bench.json("state dinghy --unknown", &[0])["unknown"].as_array().expect("positions").len();
    assert!(fewer < unknown, "{fewer} of {unknown}");

    // Symptom again: the pump is less likely now, the thermostat remains.
    let symptom = bench.json("symptom overheating --on dinghy", &[0]);
    assert_eq!(names(&symptom["jobs"], "job"), ["thermostat", "cooling-pump"]);
    assert!(symptom["jobs"][0]["done"].is_null());
    assert_eq!(symptom["jobs"][1]["done"], "2026-11-20");
    assert!(symptom["jobs"][1]["fitted"].to_string().contains("TV-1180-04"));

    // Again: the next kit is one for the pump that is fitted now, and the hole stays drilled.
    let next = bench.json("kit impeller --on dinghy", &[0, 3]);
    let current = |position: &str| {
        let planned = next["positions"]
            .as_array()
            .expect("positions")
            .iter()
            .find(|row| row["position"] == position);
        planned.map_or(Value::Null, |planned| planned["current"].clone())
    };
    assert_eq!(current("pump-housing-oring"), "91-2110");
    assert_eq!(current("pump-plate-gasket"), "TV-1184-01");
    assert_eq!(current("pump-thrust-ring"), Value::Null);
    let again = bench.json("kit cooling-pump --on dinghy", &[0, 3]);
    assert!(!names(&again["operations"], "operation").contains(&"drill-weep-hole".to_owned()));

    // Told twice, it is questioned; taken back, all is as it was.
    let (status, _, err) =
        bench.run("record cooling-pump --on dinghy --date 2026-11-20 --hours 413 --yes");
    assert_eq!(status, 2);
    assert!(err.contains("is this the same work told again?"), "{err}");
    bench.json("undo --yes", &[0]);
    assert_eq!((bench.table("worklog"), bench.table("stock")), (log, shelved));
}

#[test]
#[ignore = "written for the first edition of the rules; to be gone through"]
fn a_job_half_done_owes_only_what_was_left_out_until_that_is_recorded_too() {
    let bench = Bench(copy_of_the_demo());
    bench.json("order cooling-pump --on dinghy --date 2026-11-02 --place", &[0]);
    let (_, waiting, _) = bench.run("waiting --date 2026-11-02");
    assert!(waiting.contains("cooling-pump on dinghy"), "{waiting}");

    // Half done: a grommet of the water tube and something to look at are left for another day.
    let kit = bench.json("kit cooling-pump --on dinghy", &[0]);
    let inspected = kit["positions"]
        .as_array()
        .expect("positions")
        .iter()
        .find(|row| row["action"] == "inspect");
    let inspected =
        inspected.expect("something to look at")["position"].as_str().expect("a name").to_owned();
    let line = format!(
        "record cooling-pump --on dinghy --date 2026-11-20 --hours 413 --except water-tube-grommet-lower {inspected} --accept --yes"
    );
    let record = bench.json(&line, &[0, 3]);
    let mut left: Vec<&str> =
        record["left_out"].as_array().expect("a list").iter().filter_map(Value::as_str).collect();
    left.sort_unstable();
    let mut owed = vec!["water-tube-grommet-lower", inspected.as_str()];
    owed.sort_unstable();
    assert_eq!(left, owed);

    // The rest is the grommet and the look, and nothing of the pump.
    let rest = bench.json("kit cooling-pump --on dinghy --rest", &[0, 3]);
    let parts = names(&rest["lines"], "part");
    assert!(parts.contains(&"TV-1187-01".to_owned()), "{parts:?}");
    assert!(!parts.contains(&"TV-1180-04".to_owned()), "{parts:?}");
    let action = |position: &str| {
        let planned = rest["positions"]
            .as_array()
            .expect("positions")
            .iter()
            .find(|row| row["position"] == position);
        planned.map_or(Value::Null, |planned| planned["action"].clone())
    };
    assert_eq!(
        (action("water-tube-grommet-lower"), action(&inspected)),
        ("renew".into(), "inspect".into())
    );
    assert!(!names(&rest["operations"], "operation").contains(&"drill-weep-hole".to_owned()));
    let (_, waiting, _) = bench.run("waiting --date 2026-11-20");
    assert!(waiting.contains("the rest of cooling-pump on dinghy"), "{waiting}");

    // Ordered, laid out and recorded as the rest; then nothing is owed.
    bench.json("order cooling-pump --on dinghy --rest --date 2026-11-21 --place", &[0, 3]);
    let sheet = bench.root().join("rest.html");
    bench.run(&format!("sheet cooling-pump --on dinghy --rest -o {}", sheet.display()));
    let html = fs::read_to_string(&sheet).expect("a sheet");
    assert!(
        html.contains("TV-1187-01")
            && html.contains("kitwright record cooling-pump --on dinghy --rest")
    );
    bench.json(
        "record cooling-pump --on dinghy --rest --date 2026-11-23 --hours 414 --accept --yes",
        &[0, 3],
    );
    let (_, waiting, _) = bench.run("waiting --date 2026-11-23");
    assert!(!waiting.contains("cooling-pump"), "{waiting}");
    let (status, _, err) = bench.run("kit cooling-pump --on dinghy --rest");
    assert_eq!(status, 2);
    assert!(err.contains("nothing of cooling-pump was left out"), "{err}");
}
