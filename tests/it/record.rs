//! Jobs written down as done: the log, the shelf and the orders change together or not at all, and once.

use std::collections::BTreeMap;
use std::fs;
use std::path::Path;
use std::process::{Command, Output, Stdio};
use std::time::Duration;

const LOG: &str = "# my log\ndate,machine,position,part,quantity,operation,job,hours,finding,note,mine\n\
    2020-05-01,motor,lid,G-1,1,,reseal,100,,,x\n";
const STOCK: &str = "part,quantity,bin,mine\nG-1,3,tin,x\nO-1,1,tin,\nO-9,4,box,\nGREASE,60 g,shelf,\nKIT-1,1,drawer,\n";
const ORDERS: &str = "order,date,supplier,part,packs,price,machine,job\n\
    2024-01,2024-11-01,near,S-1,1,3.00,motor,reseal\n2024-01,2024-11-01,near,G-1,2,1.00,motor,upgrade\n";

fn folder() -> tempfile::TempDir {
    let folder = tempfile::tempdir().expect("a folder");
    for (name, text) in [
        (
            "machines",
            "machine,model,year,hours,bought\nmotor,M1,2000,120,2019-01-01\nother,M1,2000,,\n",
        ),
        ("models", "model\nM1\n"),
        ("jobs", "job,addresses\nreseal,oil leak\nupgrade,overheating\nset-job,\nshim-job,\n"),
        (
            "job_lines",
            "job,position,part,operation\nreseal,,,open\nupgrade,pump,P-2,\nset-job,,KIT-1,open\nshim-job,twin-a,,\nshim-job,twin-b,,\n",
        ),
        (
            "operations",
            "operation,opens,removes,uses,minutes\nopen,lid-joint,,GREASE=10 g;PASTE=as-needed,20\ndrill,,,,15\nlift,pump-joint,,,30\n",
        ),
        (
            "parts",
            "part,type,unit\nG-1,gasket,\nO-1,o-ring,\nO-2,o-ring,\nS-1,shaft seal,\nP-1,pump housing,\nP-2,pump housing,\nI-2,impeller,\nGREASE,grease,g\nPASTE,sealant,\nKIT-1,set,\nPIN,split pin,\nTWIN,shim,\nB-1,bearing,\n",
        ),
        (
            "types",
            "type,when_disturbed,seals\ngasket,renew,yes\no-ring,renew,yes\nshaft seal,renew,yes\npump housing,keep,\nimpeller,keep,\nset,,\nsplit pin,renew,\nshim,renew,\ngrease,,\nsealant,,\nbearing,inspect,\n",
        ),
        (
            "positions",
            "position,part,quantity,joint,reached_by\nlid,G-1,1,lid-joint,open\nring,O-2,2,lid-joint,open\nseal,S-1,1,lid-joint,open\nbearing,B-1,1,lid-joint,open\npump,P-1,1,pump-joint,lift\nimpeller,-,1,,lift\npump-gasket,G-1,1,pump-joint,lift\ntwin-a,TWIN,set,,open\ntwin-b,TWIN,set,,open\n",
        ),
        ("supersessions", "old,new,swap\nO-1,O-2,both-ways\n"),
        ("equivalents", "part,other\nO-2,O-9\n"),
        ("contains", "part,contains,quantity\nKIT-1,G-1,1\nKIT-1,O-2,2\nKIT-1,PIN,2\n"),
        (
            "retrofits",
            "part,position,verdict,needs,operations\nP-2,pump,fits-with,impeller=I-2,drill\n",
        ),
        ("suppliers", "supplier,currency,days\nnear,EUR,3\n"),
        ("worklog", LOG),
        ("stock", STOCK),
        ("orders", ORDERS),
    ] {
        fs::write(folder.path().join(format!("{name}.csv")), text).expect("written");
    }
    folder
}

fn command(root: &Path, arguments: &[&str]) -> Command {
    let mut command = Command::new(env!("CARGO_BIN_EXE_kitwright"));
    command.arg("-C").arg(root).args(arguments).stdin(Stdio::null());
    command
}

fn run(root: &Path, arguments: &[&str]) -> (i32, String) {
    let Output { status, stdout, stderr } = command(root, arguments).output().expect("run");
    let text = String::from_utf8_lossy(&stdout).into_owned() + &String::from_utf8_lossy(&stderr);
    (status.code().unwrap_or(-1), text.split_whitespace().collect::<Vec<_>>().join(" "))
}

/// Records with a yes; gives the status and what was said.
fn record(root: &Path, arguments: &[&str]) -> (i32, String) {
    let all: Vec<&str> = ["record"]
        .into_iter()
        .chain(arguments.iter().copied())
        .chain(["--date", "2024-11-20", "--yes"])
        .collect();
    run(root, &all)
}

fn texts(root: &Path) -> BTreeMap<&'static str, String> {
    let read =
        |table| (table, fs::read_to_string(root.join(format!("{table}.csv"))).expect("there"));
    ["worklog", "stock", "orders"].into_iter().map(read).collect()
}

fn rows<'t>(text: &'t str, of: &str) -> Vec<&'t str> {
    text.lines().filter(|line| line.contains(of)).collect()
}

#[test]
#[ignore = "written for the first edition of the rules; to be gone through"]
fn a_job_as_done_is_in_the_log_off_the_shelf_and_waited_for_no_more() {
    let folder = folder();
    let (status, said) = record(
        folder.path(),
        &[
            "reseal",
            "--on",
            "motor",
            "--hours",
            "130",
            "--found",
            "lid corroded",
            "--accept",
            "--inspected",
            "bearing",
        ],
    );
    assert_eq!(status, 3, "{said}");
    assert!(said.contains("Not on the shelf by the tables; logged all the same 1 × S-1"), "{said}");
    let texts = texts(folder.path());
    assert!(texts["worklog"].starts_with(LOG), "what stood there stands there");
    assert_eq!(
        rows(&texts["worklog"], "2024-11-20"),
        [
            "2024-11-20,motor,,,,open,reseal,130,lid corroded,,",
            "2024-11-20,motor,lid,G-1,1,,reseal,130,,,",
            // One O-1 is both ways with the O-2 that was wanted; the O-9 of the box is not in the table parts.
            "2024-11-20,motor,ring,O-1,1,,reseal,130,,in place of O-2,",
            "2024-11-20,motor,ring,O-2,1,,reseal,130,,\"fitted as O-9, the same part under another number\",",
            "2024-11-20,motor,seal,S-1,1,,reseal,130,,,",
            "2024-11-20,motor,bearing,,,,reseal,130,inspected and left in,,",
        ]
    );
    assert_eq!(
        texts["stock"],
        "part,quantity,bin,mine\nG-1,2,tin,x\nO-1,0,tin,\nO-9,3,box,\nGREASE,50 g,shelf,\nKIT-1,1,drawer,\n"
    );
    let orders: Vec<&str> = texts["orders"].lines().collect();
    assert_eq!(orders[1], "2024-01,2024-11-01,near,S-1,1,3.00,motor,reseal,yes");
    assert_eq!(
        orders[2], "2024-01,2024-11-01,near,G-1,2,1.00,motor,upgrade",
        "the other job still waits"
    );
    // The next kit finds what was fitted.
    let (_, kit) = run(folder.path(), &["kit", "reseal", "--on", "motor", "--json"]);
    assert!(kit.contains("\"current\": \"O-1;O-2\""), "{kit}");
}

#[test]
fn nothing_is_written_without_a_yes_and_all_is_taken_back_with_undo() {
    let folder = folder();
    let before = texts(folder.path());
    for extra in [&[][..], &["--dry-run"], &["--json"]] {
        let arguments = [
            "record",
            "reseal",
            "--on",
            "motor",
            "--hours",
            "130",
            "--date",
            "2024-11-20",
            "--accept",
        ];
        run(folder.path(), &[&arguments[..], extra].concat());
        assert_eq!(texts(folder.path()), before, "{extra:?}");
    }
    record(folder.path(), &["reseal", "--on", "motor", "--hours", "130", "--accept"]);
    assert_ne!(texts(folder.path()), before);
    let (status, said) = run(folder.path(), &["undo", "--yes"]);
    assert_eq!(status, 0, "{said}");
    assert_eq!(texts(folder.path()), before);
}

#[test]
fn the_same_job_on_the_same_day_is_questioned_and_written_twice_only_on_the_persons_word() {
    let folder = folder();
    record(folder.path(), &["reseal", "--on", "motor", "--accept"]);
    let once = texts(folder.path());
    let (status, said) = record(folder.path(), &["reseal", "--on", "motor"]);
    assert_eq!(status, 2);
    assert!(said.contains("the log names reseal on 2024-11-20 already (worklog.csv:4)"), "{said}");
    assert_eq!(texts(folder.path()), once);
    let (_, said) = record(folder.path(), &["reseal", "--on", "motor", "--accept"]);
    assert!(said.contains("on your word, although: the log names reseal"), "{said}");
    assert_eq!(rows(&texts(folder.path())["worklog"], "2024-11-20,motor,lid").len(), 2);
}

#[test]
fn hours_days_and_parcels_that_do_not_fit_are_questioned() {
    let folder = folder();
    let before = texts(folder.path());
    let asked = |arguments: &[&str], question: &str| {
        let (status, said) = run(
            folder.path(),
            &[&["record", "reseal", "--on", "motor", "--yes"], arguments].concat(),
        );
        assert_eq!(status, 2, "{said}");
        assert!(said.contains(question), "{said}");
        assert_eq!(texts(folder.path()), before);
    };
    asked(
        &["--date", "2024-11-20", "--hours", "90"],
        "90 hours are fewer than the 100 of 2020-05-01 (worklog.csv:3)",
    );
    asked(
        &["--date", "2024-11-20", "--hours", "110"],
        "fewer than the 120 of motor in the table machines",
    );
    asked(&["--date", "2999-01-01"], "2999-01-01 is still to come");
    asked(&["--date", "2018-01-01"], "before motor was bought (2019-01-01)");
    asked(
        &["--date", "2019-06-01", "--hours", "130"],
        "130 hours are more than the 100 of the later 2020-05-01",
    );
    asked(&["--date", "2019-06-01"], "lid was worked on later, on 2020-05-01 (worklog.csv:3)");
    asked(
        &["--date", "2024-11-20"],
        "order 2024-01 has 1 × S-1 still to come; if it came, book it first",
    );
    // The same position on the same day, by another job.
    let (status, said) = run(
        folder.path(),
        &["record", "--renew", "lid", "--on", "motor", "--date", "2020-05-01", "--yes"],
    );
    assert_eq!(status, 2, "{said}");
    assert!(said.contains("the log names G-1 at lid on the same day (worklog.csv:3)"), "{said}");
}

#[test]
fn what_was_left_out_stays_on_the_shelf_unlogged_and_on_order() {
    let folder = folder();
    let (_, said) = record(
        folder.path(),
        &["reseal", "--on", "motor", "--except", "seal", "--except", "lid", "--except", "bearing"],
    );
    assert!(
        said.contains("Still to come for the rest of the job order 2024-01: 1 × S-1"),
        "{said}"
    );
    let texts = texts(folder.path());
    for position in ["seal", "lid", "bearing"] {
        assert!(
            rows(&texts["worklog"], &format!("2024-11-20,motor,{position},")).is_empty(),
            "{position}"
        );
    }
    assert!(texts["stock"].contains("G-1,3,tin"));
    assert_eq!(texts["orders"], ORDERS);
    assert_eq!(
        rows(&texts["worklog"], ",open,reseal"),
        ["2024-11-20,motor,,,,open,reseal,,,,,lid;seal;bearing"],
        "later"
    );
    let (status, said) = record(folder.path(), &["upgrade", "--on", "motor", "--except", "pumpp"]);
    assert_eq!(status, 2);
    assert!(said.contains("did you mean 'pump'?"), "{said}");
}

#[test]
fn the_very_number_that_was_fitted_is_logged_whatever_it_became() {
    let folder = folder();
    let (_, said) =
        record(folder.path(), &["reseal", "--on", "motor", "--instead", "ring=O-1*2", "--accept"]);
    let texts = texts(folder.path());
    assert_eq!(
        rows(&texts["worklog"], "motor,ring"),
        ["2024-11-20,motor,ring,O-1,2,,reseal,,,,"],
        "{said}"
    );
    assert!(texts["stock"].contains("O-1,0,tin"), "the one there was");
    assert!(texts["stock"].contains("O-9,4,box"), "no other number was meant");
}

#[test]
fn what_is_left_over_of_a_set_is_offered_and_goes_to_the_bin_named() {
    let folder = folder();
    let (_, said) = record(folder.path(), &["set-job", "--on", "motor", "--accept"]);
    assert!(
        said.contains(
            "Left over of the sets; --rest-to BIN puts it on the shelf 2 × PIN, out of KIT-1"
        ),
        "{said}"
    );
    assert!(!texts(folder.path())["stock"].contains("PIN"));
    run(folder.path(), &["undo", "--yes"]);
    record(folder.path(), &["set-job", "--on", "motor", "--accept", "--rest-to", "tin 4"]);
    let texts = texts(folder.path());
    assert!(texts["stock"].contains("KIT-1,0,drawer"), "{}", texts["stock"]);
    assert!(
        texts["stock"].ends_with("PIN,2,tin 4,\n") || texts["stock"].contains("PIN,2,tin 4"),
        "{}",
        texts["stock"]
    );
    assert!(texts["stock"].contains("G-1,3,tin"), "the gasket came out of the set");
    assert_eq!(
        rows(&texts["worklog"], "2024-11-20,motor,lid"),
        ["2024-11-20,motor,lid,G-1,1,,set-job,,,,"]
    );
}

#[test]
fn how_much_was_used_up_is_told_where_the_kit_does_not_know() {
    let folder = folder();
    let (_, said) =
        record(folder.path(), &["reseal", "--on", "motor", "--accept", "--used", "GREASE=25g"]);
    assert!(texts(folder.path())["stock"].contains("GREASE,35 g,shelf"), "{said}");
}

#[test]
fn one_part_that_serves_several_positions_is_logged_without_a_number_of_its_own() {
    let folder = folder();
    record(folder.path(), &["shim-job", "--on", "motor", "--accept"]);
    let log = &texts(folder.path())["worklog"];
    assert_eq!(rows(log, "twin-a"), ["2024-11-20,motor,twin-a,TWIN,,,shim-job,,,,"]);
    let (_, kit) = run(folder.path(), &["kit", "shim-job", "--on", "motor", "--csv"]);
    assert!(kit.contains("TWIN,shim,,,1,each,new,twin-a;twin-b"), "still one for both: {kit}");
}

#[test]
fn a_job_half_done_offers_only_the_rest_and_what_is_drilled_is_drilled() {
    let folder = folder();
    let (_, first) = run(folder.path(), &["kit", "upgrade", "--on", "motor"]);
    assert!(first.contains("I-2") && first.contains("P-2"), "{first}");
    // The impeller went in; the pump itself stayed, and with it the hole that only it asks for.
    let (_, said) =
        record(folder.path(), &["upgrade", "--on", "motor", "--except", "pump", "--accept"]);
    assert!(said.contains("drill: not logged"), "{said}");
    let (_, rest) = run(folder.path(), &["kit", "upgrade", "--on", "motor", "--json"]);
    assert!(rest.contains("\"P-2\""), "{rest}");
    assert!(!rest.contains("\"part\": \"I-2\", \"name\""), "the impeller is there already: {rest}");
    assert!(rest.contains("\"operation\": \"drill\""), "the hole is still to come: {rest}");
    // Whole: the next kit of another job sees the new pump, and no hole is drilled twice.
    let (_, said) = record(folder.path(), &["upgrade", "--on", "motor", "--accept"]);
    assert!(said.contains("Done once, and not called for again drill"), "{said}");
    let (_, again) = run(folder.path(), &["kit", "upgrade", "--on", "motor", "--json"]);
    assert!(!again.contains("\"operation\": \"drill\""), "the hole is there: {again}");
    let (_, state) = run(folder.path(), &["state", "motor", "--json"]);
    assert!(
        state.contains(
            "\"position\": \"pump\", \"assembly\": \"\", \"name\": \"\", \"part\": \"P-2\""
        ),
        "{state}"
    );
}

#[test]
#[ignore = "written for the first edition of the rules; to be gone through"]
fn the_rest_of_a_job_half_done_is_asked_for_by_itself_and_its_parts_stay_kept_until_it_is_done() {
    let folder = folder();
    // The parts of the order came, and the shelf keeps them for the upgrade.
    let stock = STOCK.to_owned() + "P-2,1,shed,\nI-2,1,shed,\n";
    fs::write(folder.path().join("stock.csv"), stock).expect("written");
    let (_, before) = run(folder.path(), &["waiting"]);
    assert!(before.contains("upgrade on motor"), "{before}");
    let (_, said) =
        record(folder.path(), &["upgrade", "--on", "motor", "--except", "impeller", "--accept"]);
    assert!(said.contains("Left for later impeller: upgrade is half done"), "{said}");
    // Symptom and state say so, and the shelf keeps the impeller against other jobs.
    let (_, symptom) = run(folder.path(), &["symptom", "overheats", "--on", "motor"]);
    assert!(symptom.contains("1 to look at, 0 done before"), "{symptom}");
    assert!(symptom.contains("half done on 2024-11-20: left out impeller"), "{symptom}");
    let (_, state) = run(folder.path(), &["state", "motor"]);
    assert!(
        state.contains("half done: left out impeller; kitwright kit upgrade --on motor --rest"),
        "{state}"
    );
    let (_, waiting) = run(folder.path(), &["waiting"]);
    assert!(waiting.contains("the rest of upgrade on motor: fully on the shelf"), "{waiting}");
    let (_, other) = run(folder.path(), &["order", "--instead", "impeller=I-2", "--on", "other"]);
    assert!(
        other.contains("The shelf keeps what the rest of upgrade on motor needs of it"),
        "{other}"
    );
    assert!(!other.contains("I-2 shed"), "{other}");
    // The whole job says that it is half done; the rest is the impeller, and nothing that is there already.
    let (_, whole) = run(folder.path(), &["kit", "upgrade", "--on", "motor"]);
    assert!(
        whole.contains("upgrade was done on 2024-11-20 (worklog.csv:4) all but impeller"),
        "{whole}"
    );
    let (status, rest) =
        run(folder.path(), &["kit", "upgrade", "--on", "motor", "--rest", "--json"]);
    assert_eq!(status, 0, "its fit is established by the row that calls for it: {rest}");
    assert!(rest.contains("\"part\": \"I-2\"") && !rest.contains("\"part\": \"P-2\""), "{rest}");
    assert!(!rest.contains("\"operation\": \"drill\""), "{rest}");
    // Done, it is whole, and nothing is kept any more.
    let (status, said) = record(folder.path(), &["upgrade", "--on", "motor", "--rest"]);
    assert_eq!(status, 2, "the same day again is questioned: {said}");
    let (_, said) = record(folder.path(), &["upgrade", "--on", "motor", "--rest", "--accept"]);
    assert!(said.contains("Recorded: the rest of upgrade on motor"), "{said}");
    let texts = texts(folder.path());
    assert_eq!(
        rows(&texts["worklog"], ",impeller,"),
        ["2024-11-20,motor,impeller,I-2,1,,upgrade,,,,,"]
    );
    assert!(texts["stock"].contains("I-2,0,shed"), "{}", texts["stock"]);
    let (_, waiting) = run(folder.path(), &["waiting"]);
    assert!(!waiting.contains("upgrade"), "{waiting}");
    let (_, symptom) = run(folder.path(), &["symptom", "overheats", "--on", "motor"]);
    assert!(symptom.contains("0 to look at, 1 done before"), "{symptom}");
    let (status, said) = run(folder.path(), &["kit", "upgrade", "--on", "motor", "--rest"]);
    assert_eq!(status, 2);
    assert!(said.contains("nothing of upgrade was left out"), "{said}");
}

#[test]
#[ignore = "written for the first edition of the rules; to be gone through"]
fn an_order_for_the_rest_of_a_job_remembers_what_it_is_for_until_the_rest_is_recorded() {
    let folder = folder();
    fs::write(folder.path().join("orders.csv"), "order,date,supplier,part,packs\n")
        .expect("written");
    fs::write(folder.path().join("offers.csv"), "supplier,part,price\nnear,I-2,9.00\n")
        .expect("written");
    record(folder.path(), &["upgrade", "--on", "motor", "--except", "impeller", "--accept"]);
    let (_, said) = run(
        folder.path(),
        &["order", "upgrade", "--on", "motor", "--rest", "--place", "--date", "2024-11-22"],
    );
    assert!(said.contains("2024-01 with near"), "{said}");
    let orders = texts(folder.path())["orders"].clone();
    assert_eq!(
        rows(&orders, "motor,upgrade"),
        ["2024-01,2024-11-22,near,I-2,1,9.00,1,motor,upgrade,yes"],
        "{orders}"
    );
    // The impeller is called for by the row of the new pump, so its fit is not in doubt.
    let waiting = || {
        let (_, text) = run(folder.path(), &["waiting", "--json"]);
        let text: String = text.chars().filter(|c| !c.is_whitespace()).collect();
        text
    };
    let says = "\"job\":\"therestofupgrade\",\"options\":[],\"ready\":false,\"complete\":true";
    assert!(waiting().contains(says), "{}", waiting());
    // The sheet for the rest ends with the record of the rest.
    let sheet = folder.path().join("rest.html");
    let file = sheet.to_string_lossy().into_owned();
    run(folder.path(), &["sheet", "upgrade", "--on", "motor", "--rest", "-o", &file]);
    let page = fs::read_to_string(&sheet).expect("a sheet");
    assert!(page.contains("kitwright record upgrade --on motor --rest --date"), "{page}");
    // Recorded, it is waited for no more.
    let (_, said) = record(folder.path(), &["upgrade", "--on", "motor", "--rest", "--accept"]);
    assert!(said.contains("No longer waited for order 2024-01: 1 × I-2"), "{said}");
    assert!(waiting().contains("\"jobs\":[]"), "{}", waiting());
}

#[test]
fn an_order_for_a_renewal_without_a_job_is_waited_for_until_the_renewal_is_recorded() {
    let folder = folder();
    let orders = "order,date,supplier,part,packs,machine,renew\n2024-01,2024-11-01,near,S-1,1,motor,seal\n\
        2024-02,2024-11-01,near,S-1,1,motor,seal;pump\n";
    fs::write(folder.path().join("orders.csv"), orders).expect("written");
    let (_, said) = record(folder.path(), &["--renew", "seal", "--on", "motor", "--accept"]);
    assert!(said.contains("No longer waited for order 2024-01: 1 × S-1"), "{said}");
    assert!(!said.contains("order 2024-02"), "the pump is still to be renewed: {said}");
}

#[test]
fn an_inspection_that_was_left_out_is_offered_again_as_an_inspection() {
    let folder = folder();
    let (_, said) =
        record(folder.path(), &["reseal", "--on", "motor", "--except", "bearing", "--accept"]);
    assert!(said.contains("Left for later bearing: reseal is half done"), "{said}");
    let (_, rest) = run(folder.path(), &["kit", "reseal", "--on", "motor", "--rest", "--json"]);
    let rest: String = rest.chars().filter(|c| !c.is_whitespace()).collect();
    assert!(
        rest.contains(
            "\"position\":\"bearing\",\"assembly\":\"\",\"name\":\"\",\"action\":\"inspect\""
        ),
        "{rest}"
    );
    assert!(rest.contains("\"operation\":\"open\""), "it has to be got at: {rest}");
    // The order of the job remembers it; other work on the machine does not end that.
    let (_, other) = run(folder.path(), &["order", "--renew", "pump", "--on", "motor"]);
    assert!(
        other.contains("The shelf keeps what the rest of reseal on motor needs of it"),
        "{other}"
    );
    let rest = ["reseal", "--on", "motor", "--rest", "--accept", "--inspected", "all"];
    let (_, said) = record(folder.path(), &rest);
    assert!(rows(&texts(folder.path())["worklog"], ",inspected and left in").len() == 1, "{said}");
    let (_, said) = run(folder.path(), &["kit", "reseal", "--on", "motor", "--rest"]);
    assert!(said.contains("nothing of reseal was left out"), "{said}");
}

#[test]
fn what_nobody_says_they_looked_at_is_not_logged_as_inspected() {
    let folder = folder();
    let (_, said) = record(folder.path(), &["reseal", "--on", "motor", "--accept"]);
    let asked =
        "Not logged as inspected; --inspected POSITION, or all, says that you looked bearing";
    assert!(said.contains(asked), "{said}");
    assert!(rows(&texts(folder.path())["worklog"], "2024-11-20,motor,bearing").is_empty());
    let (status, said) =
        record(folder.path(), &["reseal", "--on", "motor", "--accept", "--inspected", "baering"]);
    assert_eq!(status, 2);
    assert!(said.contains("no position that this kit inspects; did you mean 'bearing'?"), "{said}");
}

#[test]
fn an_operation_that_only_what_was_left_as_it_was_asked_for_is_not_logged_as_done() {
    let folder = folder();
    // Drilled for the pump alone, lifted for the pump and the impeller.
    let (_, said) =
        record(folder.path(), &["upgrade", "--on", "motor", "--except", "pump", "--accept"]);
    assert!(said.contains("drill: not logged, and nothing is used up for it"), "{said}");
    let log = texts(folder.path())["worklog"].clone();
    assert!(rows(&log, "2024-11-20,motor,,,,drill").is_empty(), "{log}");
    assert_eq!(rows(&log, "2024-11-20,motor,,,,lift").len(), 1, "the impeller went in: {log}");
    let all =
        ["upgrade", "--on", "motor", "--except", "pump", "--except", "pump-gasket", "--accept"];
    let (_, said) = record(folder.path(), &all);
    assert!(said.contains("lift: not logged"), "{said}");
}

#[test]
fn what_comes_once_the_machine_is_together_again_is_logged_only_when_it_was_done() {
    let folder = folder();
    let operations = "operation,opens,removes,uses,minutes,phase,needs\nopen,lid-joint,,,20,,\nrun-in,,,,15,after,open\n";
    fs::write(folder.path().join("operations.csv"), operations).expect("written");
    let lines = "job,position,part,operation\nreseal,,,open\nreseal,,,run-in\n";
    fs::write(folder.path().join("job_lines.csv"), lines).expect("written");
    let args = ["reseal", "--on", "motor", "--accept"];
    let (_, said) = record(folder.path(), &args);
    assert!(said.contains("run-in: not logged") && said.contains("--done run-in"), "{said}");
    assert!(rows(&texts(folder.path())["worklog"], ",run-in,").is_empty());
    let (status, said) = record(folder.path(), &[&args[..], &["--done", "open"]].concat());
    assert_eq!(status, 2);
    assert!(said.contains("no operation of this kit for when the machine is together"), "{said}");
    record(folder.path(), &[&args[..], &["--done", "run-in"]].concat());
    assert_eq!(rows(&texts(folder.path())["worklog"], ",run-in,").len(), 1);
}

#[test]
#[ignore = "written for the first edition of the rules; to be gone through"]
fn the_rest_of_two_jobs_is_written_down_for_the_job_that_owed_it() {
    let folder = folder();
    record(
        folder.path(),
        &[
            "upgrade", "reseal", "--on", "motor", "--except", "impeller", "--except", "seal",
            "--accept",
        ],
    );
    let args = ["upgrade", "reseal", "--on", "motor", "--rest", "--except", "impeller", "--accept"];
    let (_, said) = record(folder.path(), &args);
    assert!(said.contains("Left for later impeller: upgrade is half done"), "{said}");
    let log = texts(folder.path())["worklog"].clone();
    assert!(rows(&log, "motor,seal,S-1").iter().all(|row| row.contains(",reseal,")), "{log}");
    assert!(rows(&log, ",impeller").iter().all(|row| row.contains(",upgrade,")), "{log}");
}

#[test]
fn an_operation_that_was_not_carried_out_uses_up_nothing_and_frees_nothing() {
    let folder = folder();
    let (status, said) = record(folder.path(), &["reseal", "--on", "motor", "--except", "open"]);
    assert_eq!(status, 2);
    assert!(
        said.contains("lid is renewed here, but open, which frees it, was not carried out"),
        "{said}"
    );
    let all = [
        "reseal", "--on", "motor", "--except", "open", "--except", "lid", "--except", "ring",
        "--except", "seal", "--except", "bearing",
    ];
    let (_, said) = record(folder.path(), &all);
    assert!(said.contains("open: not logged, and nothing is used up for it"), "{said}");
    let texts = texts(folder.path());
    assert_eq!(texts["stock"], STOCK);
    assert!(rows(&texts["worklog"], "2024-11-20,motor,,,,open").is_empty());
    assert_eq!(
        rows(&texts["worklog"], ",reseal,,"),
        ["2024-11-20,motor,,,,,reseal,,,,,lid;ring;seal;bearing"]
    );
}

#[test]
fn what_would_be_written_is_shown_without_writing_a_byte_to_the_folder() {
    let folder = folder();
    let names = |root: &Path| {
        let mut names: Vec<_> =
            fs::read_dir(root).expect("read").flatten().map(|entry| entry.file_name()).collect();
        names.sort();
        names
    };
    let before = (names(folder.path()), texts(folder.path()));
    let arguments =
        ["record", "reseal", "--on", "motor", "--date", "2024-11-20", "--accept", "--dry-run"];
    let (_, said) = run(folder.path(), &arguments);
    assert!(said.contains("Nothing was written."), "{said}");
    assert_eq!((names(folder.path()), texts(folder.path())), before, "not even a lock");
}

#[test]
fn a_record_killed_at_any_moment_has_happened_whole_or_not_at_all() {
    let folder = folder();
    let before = texts(folder.path());
    let arguments = [
        "record",
        "reseal",
        "--on",
        "motor",
        "--hours",
        "130",
        "--date",
        "2024-11-20",
        "--accept",
        "--yes",
    ];
    let started = std::time::Instant::now();
    assert_eq!(run(folder.path(), &arguments).0, 3);
    let usual = started.elapsed();
    let after = texts(folder.path());
    run(folder.path(), &["undo", "--yes"]);
    assert_eq!(texts(folder.path()), before);
    let (mut whole, mut none) = (0, 0);
    for round in 0..120_u32 {
        let mut child = command(folder.path(), &arguments)
            .stdout(Stdio::null())
            .stderr(Stdio::null())
            .spawn()
            .expect("started");
        std::thread::sleep(usual * (round % 60) / 48 + Duration::from_micros(u64::from(round) * 7));
        let _ = child.kill();
        child.wait().expect("ended");
        // Whoever opens the catalog next finishes what was begun.
        let (_, said) = run(folder.path(), &["waiting"]);
        let now = texts(folder.path());
        if now == before {
            none += 1;
        } else {
            assert_eq!(now, after, "round {round}: {said}");
            whole += 1;
            run(folder.path(), &["undo", "--yes"]);
            assert_eq!(texts(folder.path()), before, "round {round}");
        }
    }
    assert!(whole + none == 120 && whole > 0 && none > 0, "{whole} whole, {none} not at all");
}

#[test]
fn a_machine_without_a_log_gets_one_and_a_folder_that_cannot_be_written_says_so() {
    let folder = folder();
    fs::remove_file(folder.path().join("worklog.csv")).expect("removed");
    let (_, said) = record(folder.path(), &["reseal", "--on", "other", "--accept"]);
    let log = fs::read_to_string(folder.path().join("worklog.csv")).expect("made");
    assert!(log.starts_with("date,machine,position,part,"), "{said}");
    assert!(log.contains("2024-11-20,other,lid,G-1,1,,reseal"), "{log}");
    for (arguments, says) in [
        (&["reseal", "--on", "nobody"][..], "no machine 'nobody'"),
        (&["reseel", "--on", "motor"], "did you mean 'reseal'?"),
        (&["--on", "motor"], "name a job"),
    ] {
        let (status, said) = record(folder.path(), arguments);
        assert_eq!(status, 2, "{said}");
        assert!(said.contains(says), "{said}");
    }
}
