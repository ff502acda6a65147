//! What is known of a machine, what is due, and what a symptom leaves to look at.

use serde_json::Value;
use std::fs;
use std::path::Path;
use std::process::{Command, Output};

fn folder(log: &str) -> tempfile::TempDir {
    let folder = tempfile::tempdir().expect("a folder");
    for (name, text) in [
        ("machines", "machine,model,year,hours,bought\nmotor,M1,2000,300,2019-01-01\n"),
        ("models", "model\nM1\nM2\n"),
        (
            "jobs",
            "job,model,addresses\nlong,,milky oil;overheating\nshort,,overheating\nuntimed,,overheats badly\nother,M2,overheating\n",
        ),
        (
            "job_lines",
            "job,position,part,operation\nlong,,,strip\nshort,,,open\nuntimed,,,peek\nother,,,open\n",
        ),
        (
            "operations",
            "operation,opens,minutes,cautions\nstrip,deep-joint,90,lifting\nopen,lid-joint,20,\npeek,,,\n",
        ),
        ("parts", "part,type\nG-1,gasket\nG-2,gasket\nB-1,belt\nB-2,belt\nF-1,filter\n"),
        ("types", "type,when_disturbed,seals\ngasket,renew,yes\nbelt,inspect,no\nfilter,keep,no\n"),
        (
            "positions",
            "position,part,model,joint,reached_by,life_hours,life_months\n\
             lid,G-1,,lid-joint,open,,\nbelt,B-1,,deep-joint,strip,100,36\nfilter,F-1,,lid-joint,open,200,\n\
             not-here,F-1,M2,,open,1,1\nempty,-,,,open,,\nold-belt,B-1,,deep-joint,strip,,24\ndeep,G-1,,deep-joint,strip,,\n",
        ),
        ("supersessions", "old,new,needs\nB-1,B-2,filter\n"),
        ("seats", "position,feature,size,least,most\nbelt,width,10,9,\n"),
        (
            "measurements",
            "date,machine,position,feature,value\n2020-01-01,motor,belt,width,10\n2021-01-01,motor,belt,width,9.8\n",
        ),
        ("worklog", log),
    ] {
        fs::write(folder.path().join(format!("{name}.csv")), text).expect("written");
    }
    folder
}

fn run(root: &Path, arguments: &[&str]) -> (i32, String) {
    let mut command = Command::new(env!("CARGO_BIN_EXE_kitwright"));
    let Output { status, stdout, stderr } =
        command.arg("-C").arg(root).args(arguments).output().expect("run");
    let text = String::from_utf8_lossy(&stdout).into_owned() + &String::from_utf8_lossy(&stderr);
    (status.code().unwrap_or(-1), text)
}

fn json(root: &Path, arguments: &[&str]) -> Value {
    let (_, text) = run(root, &[arguments, &["--json"]].concat());
    serde_json::from_str(&text).unwrap_or_else(|_| panic!("{text}"))
}

fn at<'v>(state: &'v Value, position: &str) -> &'v Value {
    let positions = state["positions"].as_array().expect("positions");
    positions.iter().find(|known| known["position"] == position).unwrap_or(&Value::Null)
}

fn state_on(log: &str, day: &str) -> Value {
    json(folder(log).path(), &["state", "motor", "--date", day])
}

const HEAD: &str = "date,machine,position,part,operation,job,hours,finding\n";

#[test]
fn every_position_is_known_by_the_log_or_unknown_since_the_purchase() {
    let log = format!(
        "{HEAD}2021-06,motor,lid,G-2,,short,210,\n,motor,filter,-,,,,taken out by somebody\n"
    );
    let state = state_on(&log, "2021-07-01");
    assert_eq!(at(&state, "lid")["status"], "known");
    assert_eq!(
        (
            &at(&state, "lid")["part"],
            &at(&state, "lid")["fitted"],
            &at(&state, "lid")["hours"],
            &at(&state, "lid")["job"]
        ),
        (&"G-2".into(), &"2021-06".into(), &210.into(), &"short".into())
    );
    assert_eq!(
        (at(&state, "filter")["part"].is_null(), &at(&state, "filter")["status"]),
        (true, &"known".into())
    );
    assert!(at(&state, "filter")["fitted"].is_null());
    assert_eq!(at(&state, "deep")["status"], "unknown");
    assert!(
        at(&state, "not-here").is_null(),
        "a row of another model is no concern of this machine"
    );
    assert!(at(&state, "empty").is_null(), "nothing is there by the tables");
    assert_eq!(
        state["jobs_done"],
        serde_json::json!([{ "date": "2021-06", "job": "short", "hours": 210 }])
    );
}

#[test]
fn a_life_runs_out_by_hours_or_by_months_whichever_is_first() {
    let fitted = |date: &str, hours: &str| format!("{HEAD}{date},motor,belt,B-1,,long,{hours},\n");
    let life = |log: &str, day: &str| {
        let state = state_on(log, day);
        (at(&state, "belt")["status"].clone(), at(&state, "belt")["life"]["state"].clone())
    };
    assert_eq!(life(&fitted("2021-01-01", "250"), "2021-06-01"), ("known".into(), "ok".into()));
    assert_eq!(life(&fitted("2021-01-01", "215"), "2021-06-01"), ("known".into(), "near".into()));
    assert_eq!(
        life(&fitted("2021-01-01", "200"), "2021-06-01"),
        ("overdue".into(), "overdue".into()),
        "100 of 100"
    );
    assert_eq!(life(&fitted("2021-01-01", "299"), "2023-12-31"), ("known".into(), "near".into()));
    assert_eq!(
        life(&fitted("2021-01-01", "299"), "2024-01-01"),
        ("overdue".into(), "overdue".into()),
        "36 months"
    );
    assert_eq!(
        life(&fitted("2021", "299"), "2024-01-01"),
        ("overdue".into(), "overdue".into()),
        "a bare year is its first day"
    );
}

#[test]
fn part_of_a_month_is_part_of_thirty_days_and_rows_of_a_later_day_are_told() {
    let folder = folder(&format!(
        "{HEAD}2021-01-01,motor,old-belt,B-1,,long,290,\n2021-03-01,motor,lid,G-2,,short,299,\n"
    ));
    let path = folder.path().join("positions.csv");
    let positions = fs::read_to_string(&path).expect("there").replace("strip,,24", "strip,,0.5");
    fs::write(&path, positions).expect("written");
    let state = json(folder.path(), &["state", "motor", "--date", "2021-01-15"]);
    assert_eq!(at(&state, "old-belt")["life"]["due_on"], "2021-01-16");
    assert_eq!(at(&state, "old-belt")["status"], "known");
    assert_eq!(
        state["remarks"],
        serde_json::json!(["1 row of the log is dated after 2021-01-15, and counted all the same"])
    );
}

#[test]
fn what_nobody_saw_being_fitted_is_at_least_as_old_as_the_purchase() {
    let log = format!("{HEAD}2020-01-01,motor,,,,,150,\n2021-01-01,motor,,,,,160,\n");
    let state = state_on(&log, "2021-02-01");
    // 300 - 150 hours and 25 months since the purchase.
    assert_eq!(
        (&at(&state, "belt")["status"], &at(&state, "belt")["logged"]),
        (&"overdue".into(), &false.into())
    );
    assert_eq!(at(&state, "belt")["life"]["at_least"], true);
    assert_eq!(at(&state, "old-belt")["status"], "overdue");
    assert_eq!(
        at(&state, "filter")["status"],
        "unknown",
        "150 of 200 hours at least: nobody knows"
    );
    assert_eq!(at(&state, "filter")["life"]["state"], "not-known");
}

#[test]
fn numbers_that_became_others_and_wear_with_its_trend_are_shown() {
    let log = format!("{HEAD}2020-01-01,motor,,,,,100,\n2021-01-01,motor,,,,,150,\n");
    let state = state_on(&log, "2021-02-01");
    let superseded = &at(&state, "belt")["superseded"][0];
    assert_eq!(
        (&superseded["part"], &superseded["now"][0], &superseded["with_others"]),
        (&"B-1".into(), &"B-2".into(), &true.into())
    );
    let wear = &at(&state, "belt")["wear"][0];
    assert_eq!(
        (&wear["state"], &wear["trend"]["per_100_hours"], &wear["trend"]["limit_at_hours"]),
        (&"in-limits".into(), &(-0.4).into(), &350.into())
    );
    // A new belt: the old readings say nothing of it.
    let renewed = format!("{log}2021-01-15,motor,belt,B-2,,long,151,\n");
    let state = state_on(&renewed, "2021-02-01");
    let wear = &at(&state, "belt")["wear"][0];
    assert_eq!(
        (&wear["before"], wear["trend"].is_null()),
        (&"belt renewed on 2021-01-15".into(), true)
    );
}

#[test]
fn a_symptom_names_what_was_done_and_what_remains_with_the_cheapest_access_first() {
    let log = format!(
        "{HEAD}2021-01-15,motor,lid,G-2,open,short,151,ran hot again: overheating at full load\n"
    );
    let folder = folder(&log);
    let answer = json(folder.path(), &["symptom", "Overheats", "--on", "motor"]);
    let jobs: Vec<(&str, Option<&str>)> = answer["jobs"]
        .as_array()
        .expect("jobs")
        .iter()
        .map(|job| (job["job"].as_str().expect("a name"), job["done"].as_str()))
        .collect();
    assert_eq!(
        jobs,
        [("untimed", None), ("long", None), ("short", Some("2021-01-15"))],
        "other is for another model"
    );
    assert_eq!(answer["jobs"][2]["fitted"], serde_json::json!([["lid", "G-2"]]));
    assert_eq!(answer["log"][0]["finding"], "ran hot again: overheating at full load");
    let (status, text) = run(folder.path(), &["symptom", "overheating", "--on", "motor"]);
    assert_eq!(status, 0);
    assert!(text.contains("Done before: less likely now, but not ruled out"), "{text}");
    assert!(text.contains("cautions: lifting"), "{text}");
}

#[test]
fn a_symptom_that_nothing_addresses_is_not_found_and_what_comes_near_is_said() {
    let folder = folder(HEAD);
    let (status, text) = run(folder.path(), &["symptom", "milky", "coolant", "--on", "motor"]);
    assert_eq!(status, 1);
    assert!(text.contains("no job addresses it") && text.contains("milky oil"), "{text}");
    let (status, _) = run(folder.path(), &["symptom", "?!", "--on", "motor"]);
    assert_eq!(status, 1);
    for command in [
        &["symptom", "oil", "--on", "moter"][..],
        &["state", "moter"],
        &["state", "moter", "--unknown"],
    ] {
        let (status, text) = run(folder.path(), command);
        assert_eq!(status, 2);
        assert!(text.contains("did you mean 'motor'?"), "{text}");
    }
}

#[test]
fn where_to_begin_takes_what_settles_most_a_minute_and_counts_what_nobody_timed() {
    let plan = json(folder(HEAD).path(), &["state", "motor", "--unknown"]);
    let jobs: Vec<&str> = plan["plan"]
        .as_array()
        .expect("a plan")
        .iter()
        .map(|step| step["job"].as_str().expect("a name"))
        .collect();
    assert_eq!(jobs, ["short", "long"], "a job that renews nothing settles nothing");
    assert_eq!(plan["plan"][1]["also_open"], serde_json::json!(["belt", "old-belt"]));
    assert_eq!(plan["left"], serde_json::json!(["belt", "filter", "old-belt"]));
}
