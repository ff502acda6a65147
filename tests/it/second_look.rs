//! What a slip or a hole in an owner's tables would hide: the program says it wherever it can be seen.
//!
//! An invented twin with a chain tensioner that later years cured. Each test spoils or adds what it names.

use crate::on_a_copy;
use std::fs;
use std::path::Path;

const TABLES: &[(&str, &str)] = &[
    ("models", "model\nT6\n"),
    ("machines", "machine,model,year,serial,traits\nearly,T6,1979,21877,UK\nlate,T6,1983,,UK\n"),
    (
        "types",
        "type,when_disturbed,seals,size_form\nring,renew,yes,\nbody,keep,no,\nscrew,keep,no,thread\nplate,keep,no,\npaste,,no,\n",
    ),
    (
        "parts",
        "part,type,unit,status\nB-1,body,,\nB-2,body,,\nB-3,body,,\nR-1,ring,,\nR-2,ring,,\nR-3,ring,,\nS-1,screw,,\nSET,plate,,\nPL,plate,,\nP,paste,,\n",
    ),
    (
        "positions",
        "position,part,quantity,model,years,serials,only,joint,reached_by\n\
         tensioner,B-1,1,T6,-1980,,,flange,tensioner-off\n\
         tensioner,B-2,1,T6,1981-,,,flange,tensioner-off\n\
         gasket,R-1,1,T6,,,,flange,tensioner-off\n\
         plunger-ring,R-2,1,T6,1981-,,,flange,tensioner-off\n\
         feed-ring,R-3,1,T6,1981-,,,feed,tensioner-off\n\
         port-ring,R-3,2,T6,,,,port,exhaust-off\n\
         kick-ring,R-1,1,T6,,-29999,,cover,cover-off\n\
         kick-ring,R-3,1,T6,,30000-,,cover,cover-off\n\
         plates,PL,6,T6,,,,cover,cover-off\n",
    ),
    ("contains", "part,contains,quantity,position\nB-3,R-2,1,plunger-ring\nSET,PL,6,\n"),
    (
        "operations",
        "operation,needs,opens,uses,only\nexhaust-off,,port,,\ntensioner-off,,flange,P=5 g,\nhead-off,exhaust-off;tensioner-off,,,\ncover-off,,cover,,\n",
    ),
    ("retrofits", "part,position,verdict,years\nB-3,tensioner,fits,-1980\n"),
    ("supersessions", "old,new,swap\nB-2,B-3,\n"),
    ("jobs", "job,addresses,years\ncure,rattle,-1980\nhead,,\ncover,,\n"),
    (
        "job_lines",
        "job,position,part,operation\ncure,tensioner,B-3,\nhead,,,head-off\ncover,plates,,\n",
    ),
    ("suppliers", "supplier,currency\nquill,EUR\n"),
    (
        "offers",
        "supplier,part,price,pack\nquill,P,4.00,5 g\nquill,B-3,90.00,\nquill,R-1,1.00,\nquill,R-2,1.00,\nquill,R-3,1.00,\nquill,PL,1.00,\n",
    ),
    ("worklog", "date,machine,position,part,operation,job\n"),
    ("stock", "part,quantity,bin\n"),
];

/// The catalog with some texts in place of others; in place of nothing, a row is added below.
fn catalog(edits: &[(&str, &str, &str)]) -> tempfile::TempDir {
    let folder = tempfile::tempdir().expect("a folder");
    for (table, text) in TABLES {
        let mut text = (*text).to_owned();
        for (_, old, new) in edits.iter().filter(|(of, ..)| of == table) {
            assert!(text.contains(old), "`{old}` stands in {table}");
            text = if old.is_empty() { format!("{text}{new}\n") } else { text.replace(old, new) };
        }
        fs::write(folder.path().join(format!("{table}.csv")), text).expect("written");
    }
    for (table, _, text) in
        edits.iter().filter(|(of, ..)| TABLES.iter().all(|(table, _)| table != of))
    {
        fs::write(folder.path().join(format!("{table}.csv")), text).expect("written");
    }
    folder
}

/// What the program says, on one line.
fn said(root: &Path, command: &str) -> String {
    let (_, text) = on_a_copy::run(root, &command.split(' ').collect::<Vec<_>>());
    text.split_whitespace().collect::<Vec<_>>().join(" ")
}

fn says(edits: &[(&str, &str, &str)], command: &str) -> String {
    said(catalog(edits).path(), command)
}

#[test]
fn the_catalog_as_it_is_leaves_nothing_to_say() {
    assert_eq!(says(&[], "check"), "0 errors, 0 warnings");
    let head = says(&[], "kit head --on early");
    assert!(!head.contains("Check this") && head.contains(": complete"), "{head}");
}

#[test]
fn a_joint_that_a_lost_delimiter_moved_into_the_traits_is_warned_of() {
    let edit = ("positions", "port-ring,R-3,2,T6,,,,port,", "port-ring,R-3,2,T6,,,port,");
    let check = says(&[edit, ("positions", "", "port-cap,PL,1,T6,,,,port,exhaust-off")], "check");
    assert!(
        check.contains("[cell-in-wrong-column]")
            && check.contains("the row has 8 cells and the header 9"),
        "{check}"
    );
}

#[test]
#[ignore = "written for the first edition of the rules; to be gone through"]
fn a_step_that_is_passed_over_for_a_trait_of_no_machine_is_worth_a_second_look() {
    let edit = ("operations", "exhaust-off,,port,,", "exhaust-off,,,,port");
    let kit = says(&[edit], "kit head --on early");
    assert!(
        kit.contains(
            "exhaust-off must come before head-off, but is passed over: its row asks for port"
        ),
        "{kit}"
    );
    let check = says(&[edit], "check");
    assert!(
        check.contains("no machine has the trait `port`") && check.contains("a joint is called so"),
        "{check}"
    );
    let other = says(
        &[("operations", "exhaust-off,,port,,", "exhaust-off,,port,,not UK")],
        "kit head --on early",
    );
    assert!(!other.contains("passed over"), "a trait that machines have is no slip: {other}");
}

#[test]
#[ignore = "written for the first edition of the rules; to be gone through"]
fn what_is_worth_a_second_look_is_no_gap_of_a_kit_nor_of_its_order() {
    let folder = catalog(&[("operations", "exhaust-off,,port,,", "exhaust-off,,,,port")]);
    for command in ["kit", "order"] {
        let (status, said) = on_a_copy::run(folder.path(), &[command, "head", "--on", "early"]);
        assert!(status == 0 && said.contains("is passed over"), "{command}: {status}\n{said}");
    }
}

#[test]
#[ignore = "written for the first edition of the rules; to be gone through"]
fn what_arrives_fitted_in_the_cure_is_listed_logged_and_opened_with_its_joint_from_then_on() {
    let folder = catalog(&[]);
    let root = folder.path();
    let before = said(root, "fits R-2 early");
    assert!(
        before.contains("fits-with") && before.contains("arrives fitted there inside B-3"),
        "{before}"
    );
    let kit = said(root, "kit cure --on early --full");
    assert!(
        kit.contains("Included with the parts above (don't order) plunger-ring: R-2: 1 in B-3"),
        "{kit}"
    );
    let recorded = said(root, "record cure --on early --date 2024-05-01 --accept --yes");
    assert!(recorded.contains("arrived fitted in B-3"), "{recorded}");
    let log = fs::read_to_string(root.join("worklog.csv")).expect("there");
    assert!(log.lines().any(|row| row.starts_with("2024-05-01,early,plunger-ring,R-2,")), "{log}");
    let head = said(root, "kit head --on early");
    assert!(head.contains("R-2") && head.contains("for plunger-ring"), "{head}");
    assert!(said(root, "fits R-2 early").contains("R-2 is listed there (worklog.csv:"));
}

#[test]
fn what_arrives_at_a_position_that_the_kit_renews_is_covered_as_before_and_logged_once() {
    let folder = catalog(&[]);
    let kit = said(folder.path(), "kit --renew tensioner --on late --json");
    assert!(kit.contains("\"arrives_fitted\": []"), "{kit}");
    said(folder.path(), "record --renew tensioner --on late --date 2024-05-01 --accept --yes");
    let log = fs::read_to_string(folder.path().join("worklog.csv")).expect("there");
    assert_eq!(log.matches("plunger-ring,R-2").count(), 1, "{log}");
}

#[test]
fn what_a_set_holds_loose_arrives_fitted_nowhere() {
    let kit = says(
        &[
            ("contains", "SET,PL,6,", "SET,PL,6,\nSET,R-2,1,plunger-ring"),
            ("job_lines", "", "cover,,SET,"),
        ],
        "kit cover --on early --json",
    );
    assert!(kit.contains("\"arrives_fitted\": []"), "{kit}");
}

#[test]
fn a_seal_without_a_joint_is_worth_a_second_look_where_its_way_in_is_done() {
    let edit = ("positions", "gasket,R-1,1,T6,,,,flange,", "gasket,R-1,1,T6,,,,,");
    let kit = says(&[edit], "kit head --on late");
    assert!(
        kit.contains(
            "gasket: it is reached by tensioner-off, which is done here, but its row names no joint"
        ),
        "{kit}"
    );
    assert!(says(&[edit], "check").contains("[seal-without-joint]"));
    let removed = (
        "operations",
        "operation,needs,opens,uses,only\nexhaust-off,,port,,\ntensioner-off,,flange,P=5 g,",
        "operation,needs,opens,uses,only,removes\nexhaust-off,,port,,\ntensioner-off,,flange,P=5 g,,gasket",
    );
    assert!(!says(&[edit, removed], "kit head --on late").contains("names no joint"));
    assert!(!says(&[edit, removed], "check").contains("seal-without-joint"));
}

#[test]
fn a_seal_that_no_row_needs_is_warned_of_unless_it_lies_on_the_shelf() {
    let forgotten = ("parts", "", "R-9,ring,,");
    assert!(
        says(&[forgotten], "check")
            .contains("`R-9` seals, but no position, set, job or operation needs it")
    );
    assert_eq!(says(&[forgotten, ("stock", "", "R-9,3,box")], "check"), "0 errors, 0 warnings");
    assert_eq!(
        says(&[forgotten, ("equivalents", "", "part,other\nR-1,R-9\n")], "check"),
        "0 errors, 0 warnings"
    );
}

#[test]
#[ignore = "written for the first edition of the rules; to be gone through"]
fn a_joint_that_nothing_seals_says_whose_its_positions_are_or_when_it_was_emptied() {
    let opens = ("operations", "tensioner-off,,flange,", "tensioner-off,,flange;feed,");
    let kit = says(&[opens], "kit head --on early");
    assert!(
        kit.contains("no position is in it on this machine: feed-ring is for model T6, years 1981- (positions.csv:6)"),
        "{kit}"
    );
    let emptied = ("worklog", "", "2020-02-03,late,feed-ring,-,,");
    let kit = says(&[opens, emptied], "kit head --on late");
    assert!(kit.contains("feed-ring was taken out for good on 2020-02-03"), "{kit}");
}

#[test]
fn a_discontinued_part_names_the_row_that_may_stand_the_wrong_way_round() {
    let kit = says(
        &[("parts", "R-1,ring,,", "R-1,ring,,discontinued"), ("supersessions", "", "R-3,R-1,")],
        "kit head --on late",
    );
    assert!(kit.contains("supersessions.csv:3 leads to it from R-3, which is still made"), "{kit}");
}

#[test]
#[ignore = "written for the first edition of the rules; to be gone through"]
fn a_line_whose_position_is_not_settled_is_marked_wherever_it_is_read() {
    let folder = catalog(&[]);
    let root = folder.path();
    let kit = said(root, "kit cover --on late");
    assert!(kit.contains("! open: not-settled kick-ring"), "{kit}");
    let csv = said(root, "kit cover --on late --csv");
    assert!(csv.contains("kick-ring,open: not-settled kick-ring"), "{csv}");
    let order = said(root, "order cover --on late");
    assert!(order.contains("! open: not-settled kick-ring; settle it before you buy"), "{order}");
    let page = root.join("sheet.html");
    said(root, &format!("sheet cover --on late -o {}", page.display()));
    assert!(fs::read_to_string(&page).expect("a page").contains("open: not-settled kick-ring"));
    assert!(!said(root, "kit cover --on early").contains("open:"));
}

#[test]
fn an_offer_by_the_piece_of_what_is_wanted_by_weight_is_named() {
    let edit = ("offers", "quill,P,4.00,5 g", "quill,P,4.00,");
    let order = says(&[edit], "order head --on late");
    assert!(
        order.contains(
            "quill has it, but sells it by the piece, and it is wanted in g: fill in pack"
        ),
        "{order}"
    );
    assert!(says(&[edit], "check").contains("[quantity-not-said]"));
}

#[test]
fn work_dated_before_its_order_is_questioned() {
    let orders =
        "order,date,supplier,part,packs,machine,job\n2024-01,2024-05-02,quill,B-3,1,early,cure\n";
    let folder = catalog(&[("orders", "", orders)]);
    let refused = said(folder.path(), "record cure --on early --date 2024-05-01 --yes");
    assert!(refused.contains("2024-05-01 is before order 2024-01 was placed for it"), "{refused}");
    assert!(
        !said(folder.path(), "record cure --on early --date 2024-05-02 --yes")
            .contains("was placed for it")
    );
}

#[test]
#[ignore = "written for the first edition of the rules; to be gone through"]
fn a_symptom_that_only_a_job_for_other_years_addresses_names_that_job() {
    let symptom = says(&[], "symptom rattle --on late");
    assert!(
        symptom.contains("only jobs for other machines address it")
            && symptom.contains("cure addresses it, but is for years -1980"),
        "{symptom}"
    );
}

#[test]
fn a_job_done_before_is_offered_with_its_day() {
    let done = ("worklog", "", "2024-05-01,early,tensioner,B-3,tensioner-off,cure");
    let also = says(&[done], "also head --on early");
    assert!(also.contains("cure (done on 2024-05-01)"), "{also}");
}

#[test]
fn a_set_that_a_job_line_puts_at_a_position_is_said_to_be_one_to_buy() {
    let kit = says(&[("job_lines", "cover,plates,,", "cover,plates,SET,")], "kit cover --on early");
    assert!(kit.contains("SET itself does not go here: it is a set that holds PL"), "{kit}");
}

#[test]
fn why_shows_the_rows_by_which_a_number_became_another() {
    let why = says(&[], "kit --renew tensioner --on late --why B-3");
    assert!(why.contains("B-2 became B-3 (supersessions.csv:2)"), "{why}");
}
