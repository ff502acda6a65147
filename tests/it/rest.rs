//! What is left of a job half done: as much of it, and no more, as the whole job would have put there.

use crate::on_a_copy;
use on_a_copy::{demo, run};
use serde_json::Value;
use std::fs;
use std::path::Path;

fn catalog(tables: &[(&str, &str)]) -> tempfile::TempDir {
    let folder = tempfile::tempdir().expect("a folder");
    for (name, text) in tables {
        fs::write(folder.path().join(format!("{name}.csv")), text).expect("written");
    }
    folder
}

/// Two joints, a ring in one and a gasket in the other; what a job does there is for the test to say.
fn two_joints(more: &[(&str, &str)]) -> tempfile::TempDir {
    let mut tables = vec![
        ("models", "model\nM1\n"),
        ("machines", "machine,model,year\nm,M1,2000\n"),
        ("parts", "part,type\nP1,o-ring\nP2,o-ring\nP3,o-ring\nG1,gasket\nG9,gasket\n"),
        (
            "positions",
            "position,part,quantity,joint,reached_by\nring,P1,1,j,open\ngask,G1,1,k,open2\n",
        ),
        (
            "operations",
            "operation,name,opens\nopen,Open,j\nopen2,Open the other,k\nwash,Wash it,\n",
        ),
    ];
    tables.extend(more);
    catalog(&tables)
}

fn kit(root: &Path, arguments: &[&str]) -> Value {
    let all: Vec<&str> = ["kit"].iter().chain(arguments).chain(&["--json"]).copied().collect();
    let (_, said) = run(root, &all);
    let begin = said.find('{').unwrap_or_else(|| panic!("{said}"));
    let mut read = serde_json::Deserializer::from_str(&said[begin..]).into_iter::<Value>();
    read.next().expect("an object").expect("JSON")
}

fn line<'k>(kit: &'k Value, part: &str) -> Option<&'k Value> {
    kit["lines"].as_array().expect("lines").iter().find(|line| line["part"] == part)
}

fn record(root: &Path, arguments: &[&str]) {
    let all: Vec<&str> = ["record"]
        .iter()
        .chain(arguments)
        .chain(&["--on", "m", "--date", "2026-02-03", "--yes"])
        .copied()
        .collect();
    let (status, said) = run(root, &all);
    assert!(status == 0 || status == 3, "{said}");
}

#[test]
fn a_line_that_was_left_out_keeps_its_quantity() {
    for supersessions in ["old,new\n", "old,new\nP1,P2\n"] {
        let folder = two_joints(&[
            ("jobs", "job\njb\n"),
            ("job_lines", "job,position,part,quantity\njb,ring,P1,3\njb,gask,,\n"),
            ("supersessions", supersessions),
        ]);
        let whole = kit(folder.path(), &["jb", "--on", "m"]);
        record(folder.path(), &["jb", "--except", "ring"]);
        let rest = kit(folder.path(), &["jb", "--on", "m", "--rest"]);
        let part = if supersessions.contains("P2") { "P2" } else { "P1" };
        assert_eq!(line(&rest, part).expect("the ring")["quantity"], 3, "{rest}");
        assert_eq!(line(&rest, part), line(&whole, part));
        assert!(line(&rest, "G1").is_none(), "{rest}");
    }
}

#[test]
#[ignore = "written for the first edition of the rules; to be gone through"]
fn what_a_done_part_calls_for_is_owed_as_it_was_called_for() {
    let folder = two_joints(&[
        ("jobs", "job\njb\n"),
        ("job_lines", "job,position,part\njb,gask,G9\n"),
        ("retrofits", "part,position,verdict,needs\nG9,gask,fits-with,ring=P3*3\n"),
        ("supersessions", "old,new\nP3,P2\n"),
    ]);
    record(folder.path(), &["jb", "--except", "ring"]);
    let rest = kit(folder.path(), &["jb", "--on", "m", "--rest"]);
    let ring = line(&rest, "P2").expect("the ring");
    assert_eq!((&ring["quantity"], &ring["role"]), (&3.into(), &"companion".into()), "{rest}");
    assert_eq!(rest["gaps"], Value::Array(Vec::new()), "{rest}");
    let (_, said) = run(folder.path(), &["kit", "jb", "--on", "m", "--rest"]);
    assert!(said.contains("the rest of jb on m: complete"), "{said}");
}

#[test]
fn what_arrives_inside_a_part_that_is_left_is_not_ordered_besides() {
    let folder = demo();
    let whole = kit(folder.path(), &["cooling-pump", "--on", "dinghy"]);
    let positions = whole["positions"].as_array().expect("positions");
    let renewed = positions
        .iter()
        .filter(|planned| planned["role"] != Value::Null || planned["action"] == "leave-out");
    let mut arguments =
        vec!["record", "cooling-pump", "--on", "dinghy", "--date", "2026-11-25", "--yes"];
    for planned in renewed {
        arguments.extend(["--except", planned["position"].as_str().expect("a name")]);
    }
    let (status, said) = run(folder.path(), &arguments);
    assert!(status == 0 || status == 3, "{said}");
    let rest = kit(folder.path(), &["cooling-pump", "--on", "dinghy", "--rest"]);
    let needed = |kit: &Value| -> Vec<(String, String, String)> {
        let of = |line: &Value| {
            (line["part"].to_string(), line["quantity"].to_string(), line["role"].to_string())
        };
        let lines = kit["lines"].as_array().expect("lines").iter();
        lines.filter(|line| line["role"] != "consumable").map(of).collect()
    };
    assert_eq!(needed(&rest), needed(&whole));
}

#[test]
fn the_latest_day_says_what_is_left_wherever_it_stands_in_the_log() {
    let folder = two_joints(&[
        ("jobs", "job\njb\n"),
        ("job_lines", "job,position,part\njb,ring,\njb,gask,\n"),
        (
            "worklog",
            "date,machine,position,part,job,left_out\n2025-05-02,m,gask,G1,jb,ring\n2024-01-01,m,gask,G1,jb,ring\n2024-06-01,m,ring,P1,,\n",
        ),
    ]);
    let rest = kit(folder.path(), &["jb", "--on", "m", "--rest"]);
    assert!(line(&rest, "P1").is_some(), "{rest}");
}

#[test]
fn each_of_two_jobs_keeps_what_is_left_of_it() {
    let folder = two_joints(&[
        ("jobs", "job\nja\njb\n"),
        ("job_lines", "job,position,part\nja,ring,\njb,gask,\n"),
    ]);
    record(folder.path(), &["ja", "jb", "--except", "ring", "--except", "gask"]);
    let (status, said) = run(
        folder.path(),
        &[
            "record",
            "ja",
            "jb",
            "--rest",
            "--on",
            "m",
            "--date",
            "2026-02-04",
            "--except",
            "gask",
            "--yes",
        ],
    );
    assert!(status == 0 || status == 3, "{said}");
    let (status, said) = run(folder.path(), &["kit", "ja", "--on", "m", "--rest"]);
    assert_eq!(status, 2, "{said}");
    let rest = kit(folder.path(), &["jb", "--on", "m", "--rest"]);
    assert!(line(&rest, "G1").is_some() && line(&rest, "P1").is_none(), "{rest}");
}

#[test]
fn an_operation_of_the_job_that_was_not_carried_out_is_asked_for_again() {
    let folder = two_joints(&[
        ("jobs", "job\njb\n"),
        ("job_lines", "job,position,part,operation\njb,ring,,\njb,,,wash\n"),
    ]);
    record(folder.path(), &["jb", "--except", "wash"]);
    let rest = kit(folder.path(), &["jb", "--on", "m", "--rest"]);
    let operations: Vec<&str> = rest["operations"]
        .as_array()
        .expect("operations")
        .iter()
        .filter_map(|step| step["operation"].as_str())
        .collect();
    assert_eq!(operations, ["wash"], "{rest}");
}

#[test]
fn options_that_the_log_does_not_keep_are_asked_after() {
    let folder = two_joints(&[
        ("jobs", "job\njb\n"),
        (
            "job_lines",
            "job,option,position,part,quantity\njb,,gask,,\njb,BIG,ring,P2,3\njb,not BIG,ring,,\n",
        ),
    ]);
    fs::write(
        folder.path().join("worklog.csv"),
        "date,machine,position,part,job,left_out\n2025-05-02,m,gask,G1,jb,ring\n",
    )
    .expect("written");
    let said = kit(folder.path(), &["jb", "--on", "m", "--rest"])["doubts"].to_string();
    assert!(said.contains("--with") && said.contains("BIG"), "{said}");
    // What is recorded of the rest without an option goes on saying nothing of them.
    record(folder.path(), &["jb", "--rest", "--except", "ring"]);
    let said = kit(folder.path(), &["jb", "--on", "m", "--rest"])["doubts"].to_string();
    assert!(said.contains("--with") && said.contains("BIG"), "{said}");
    let rest = kit(folder.path(), &["jb", "--on", "m", "--rest", "--with", "BIG"]);
    assert_eq!(line(&rest, "P2").expect("the ring")["quantity"], 3, "{rest}");
}

/// A job that puts another ring in with its option.
const WITH_AN_OPTION: [(&str, &str); 2] = [
    ("jobs", "job\nja\njb\n"),
    (
        "job_lines",
        "job,option,position,part,quantity\njb,,gask,,\njb,BIG,ring,P2,3\njb,not BIG,ring,,\nja,BIG,gask,G9,\nja,not BIG,gask,,\n",
    ),
];

#[test]
fn the_rest_is_that_of_the_job_as_it_was_done_with_its_options_or_without() {
    let rings = |with: &[&str], also: &[&str]| {
        let folder = two_joints(&WITH_AN_OPTION);
        record(folder.path(), &[&["jb", "--except", "ring"], with].concat());
        let rest = kit(folder.path(), &[&["jb", "--on", "m", "--rest"], also].concat());
        let quantity = |part: &str| line(&rest, part).map(|line| line["quantity"].clone());
        (quantity("P1"), quantity("P2"), rest["doubts"].to_string())
    };
    let (none, sure) = (None, "[]".to_owned());
    assert_eq!(rings(&["--with", "big"], &[]), (none.clone(), Some(3.into()), sure.clone()));
    assert_eq!(
        rings(&["--with", "big"], &["--with", "BIG"]),
        (none.clone(), Some(3.into()), sure.clone())
    );
    assert_eq!(rings(&[], &[]), (Some(1.into()), none.clone(), sure));
    let (old, new, doubts) = rings(&[], &["--with", "BIG"]);
    assert_eq!((old, new), (Some(1.into()), none), "what was begun without stays so");
    assert!(doubts.contains("begun without BIG") && doubts.contains("worklog.csv:"), "{doubts}");
}

#[test]
fn options_typed_by_hand_count_as_those_that_were_recorded() {
    let folder = two_joints(&WITH_AN_OPTION);
    let log = |text: &str| fs::write(folder.path().join("worklog.csv"), text).expect("written");
    let rest = || kit(folder.path(), &["jb", "--on", "m", "--rest"]);
    record(folder.path(), &["jb", "--with", "BIG", "--except", "ring"]);
    let recorded = rest();
    // An earlier time, a later row that says nothing, and the same day in several rows.
    log("date,machine,position,part,job,left_out,options\n\
         2024-01-01,m,ring,P1,jb,,not BIG\n\
         2026-02-03,m,gask,G1,jb,ring,\n\
         2026-02-03,m,,,jb,,big\n\
         2026-02-04,m,gask,G1,jb,,\n");
    assert_eq!(line(&rest(), "P2"), line(&recorded, "P2"));
    assert!(line(&rest(), "P1").is_none() && rest()["doubts"] == recorded["doubts"], "{}", rest());
    let (_, state) = run(folder.path(), &["state", "m"]);
    assert!(
        state.contains("2026-02-03: jb with big") && state.contains("2024-01-01: jb\n"),
        "{state}"
    );
    // What was told of an earlier time says nothing of this one.
    log(
        "date,machine,position,part,job,left_out,options\n2024-01-01,m,ring,P1,jb,,BIG\n2026-02-03,m,gask,G1,jb,ring,\n",
    );
    assert!(
        rest()["doubts"]
            .to_string()
            .contains("does not say with which of its options jb was begun"),
        "{}",
        rest()
    );
    // A name that is none is said, by the rest and by the check.
    log("date,machine,position,part,job,left_out,options\n2026-02-03,m,gask,G1,jb,ring,BGI\n");
    assert!(
        rest()["doubts"].to_string().contains("does not say with which of its options"),
        "{}",
        rest()
    );
    let (_, check) = run(folder.path(), &["check"]);
    assert!(check.contains("dangling-option") && check.contains("is `BIG` meant?"), "{check}");
}

#[test]
fn each_job_keeps_the_options_that_it_was_begun_with() {
    let folder = two_joints(&WITH_AN_OPTION);
    record(folder.path(), &["jb", "--with", "BIG", "--except", "ring"]);
    record(folder.path(), &["ja", "--except", "gask", "--accept"]);
    for jobs in [["ja", "jb"], ["jb", "ja"]] {
        let rest = kit(folder.path(), &[&jobs[..], &["--on", "m", "--rest"]].concat());
        assert_eq!(line(&rest, "P2").expect("with")["quantity"], 3, "{rest}");
        assert!(line(&rest, "G1").is_some() && line(&rest, "G9").is_none(), "without: {rest}");
        assert_eq!(rest["doubts"], Value::Array(Vec::new()), "{rest}");
    }
    // Recorded in one go and half done again, both go on as they were begun.
    record(
        folder.path(),
        &["ja", "jb", "--rest", "--except", "gask", "--except", "ring", "--accept"],
    );
    let rest = kit(folder.path(), &["jb", "--on", "m", "--rest"]);
    assert!(line(&rest, "P2").is_some() && rest["doubts"] == Value::Array(Vec::new()), "{rest}");
}

#[test]
fn a_look_at_it_for_another_job_does_not_do_what_was_left_out() {
    let folder = two_joints(&[
        ("jobs", "job\njb\n"),
        ("job_lines", "job,position,part\njb,ring,\njb,gask,\n"),
        (
            "worklog",
            "date,machine,position,part,job,left_out,finding\n2025-05-02,m,gask,G1,jb,ring,\n2025-06-01,m,ring,,jc,,inspected and left in\n",
        ),
    ]);
    assert!(line(&kit(folder.path(), &["jb", "--on", "m", "--rest"]), "P1").is_some());
    let (_, state) = run(folder.path(), &["state", "m"]);
    assert!(state.contains("half done"), "{state}");
}

#[test]
fn what_was_used_is_questioned_where_the_shelf_could_not_follow() {
    let folder = two_joints(&[
        ("jobs", "job\njb\n"),
        ("job_lines", "job,position,part\njb,ring,\n"),
        ("parts", "part,type,unit\nP1,o-ring,\nG1,gasket,\nF1,engine oil,L\n"),
        ("operations", "operation,name,opens,uses\nopen,Open,j,F1=0.35 L\n"),
        ("stock", "part,quantity\nF1,1 L\n"),
    ]);
    for (used, why) in
        [("F1=2", "counted in L"), ("F1=1kg", "counted in L"), ("ZZ=1", "no such number")]
    {
        let (status, said) = run(
            folder.path(),
            &["record", "jb", "--on", "m", "--date", "2026-02-03", "--used", used, "--yes"],
        );
        assert!(status == 2 && said.contains(why), "{used}: {said}");
    }
}

#[test]
fn a_job_half_done_is_no_other_job_beside_what_is_left_of_it() {
    let folder = two_joints(&[
        ("jobs", "job\nja\njb\n"),
        ("job_lines", "job,position,part\nja,gask,\njb,ring,\njb,gask,\n"),
    ]);
    record(folder.path(), &["jb", "--except", "ring"]);
    let (_, said) = run(folder.path(), &["also", "jb", "--on", "m", "--rest"]);
    assert!(said.starts_with("With the rest of jb on m") && said.contains("ja"), "{said}");
    assert!(!said.contains("\n  jb"), "{said}");
}
