//! Rows that cannot be read.

use super::*;

/// The gaps of the service of the mill, or the refusal, from tables that lie in a folder.
fn from_folder(typed: Typed) -> String {
    match from_command(typed, "kit service --on mill") {
        Ok(kit) => {
            let gaps = kit["gaps"].as_array().expect("a list").iter();
            sorted(gaps.map(|gap| format!("{} {}", text(&gap["kind"]), text(&gap["subject"]))))
        }
        Err(refusal) => format!("refused: {refusal}"),
    }
}

/// `top` is renewed, with a chain, by a job that buys a set.
const SOUND: Typed = &[
    ("models", "model | Alder | Birch"),
    ("positions", "position,part,joint | top,S1,face | away,S2,lid"),
    ("supersessions", "old,new | S1,S3"),
    ("job_lines", "job,part,operation | service,F1,open"),
];

/// The gaps with one more file beside the sound ones.
fn with(table: &str, text: &str) -> String {
    let file = format!("more/{table}");
    let mut typed = SOUND.to_vec();
    typed.push((&file, text));
    // What stands unless it is typed is typed here, too.
    typed.extend(
        UNLESS_TYPED
            .iter()
            .filter(|(name, _)| *name == table && SOUND.iter().all(|(sound, _)| sound != name)),
    );
    from_folder(&typed)
}

#[test]
fn the_sound_catalog_has_no_gap() {
    assert_eq!(from_folder(SOUND), "");
}

#[test]
fn an_unread_row_of_a_position_matters_where_it_is_disturbed_or_its_joint_opened_or_unread() {
    let rows =
        |row: &str| with("positions", &format!("position,part,quantity,joint,years | {row}"));
    assert_eq!(rows("top,S4,one,lid,"), "unread top");
    assert_eq!(rows("side,S4,one,face,"), "unread side");
    assert_eq!(rows("side,S4,one,lid;face,"), "unread side");
    assert_eq!(rows("away,S4,one,lid,"), "");
    assert_eq!(rows("side,S4,1,lid,19x9"), "");
}

#[test]
fn an_unread_row_says_nothing_else() {
    let kit = with("positions", "position,part,joint,years | top,S4,face,19x9 | side,X9,face,19x9");
    assert_eq!(kit, "unread side, unread top", "no part unknown, no overlap");
}

#[test]
fn an_unread_row_of_an_operation_matters_where_the_plan_has_it() {
    let rows = |row: &str| with("operations", &format!("operation,minutes,years | {row}"));
    assert_eq!(rows("open,soon,"), "unread open");
    assert_eq!(rows("dig,soon,"), "");
}

#[test]
fn an_unread_row_of_a_job_or_its_lines_matters_where_the_job_is_asked_for() {
    assert_eq!(with("jobs", "job,years | service,19x9"), "unread service");
    assert_eq!(with("jobs", "job,years | second,19x9"), "");
    let lines = |row: &str| with("job_lines", &format!("job,position,quantity | {row}"));
    assert_eq!(lines("service,away,one"), "unread service");
    assert_eq!(lines("second,away,one"), "");
}

#[test]
fn an_unread_supersession_matters_where_its_old_number_is_on_a_chain() {
    let rows = |row: &str| with("supersessions", &format!("old,new,quantity | {row}"));
    assert_eq!(rows("S1,S4,two"), "unread S1");
    assert_eq!(rows("S3,S4,two"), "unread S3");
    assert_eq!(rows("F1,F2,two"), "unread F1");
    assert_eq!(rows("S2,S4,two"), "");
}

#[test]
fn an_unread_retrofit_or_selection_matters_where_its_position_is_renewed() {
    let rows = |row: &str| with("retrofits", &format!("part,position,verdict | {row}"));
    assert_eq!(rows("S3,top,perhaps"), "unread top");
    assert_eq!(rows("S3,away,perhaps"), "");
    let rows = |row: &str| with("selections", &format!("position,feature,least,part | {row}"));
    assert_eq!(rows("top,gap,little,S4"), "unread top");
    assert_eq!(rows("away,gap,little,S4"), "");
}

#[test]
fn an_unread_row_of_contents_matters_where_its_part_is_provided() {
    let rows = |row: &str| with("contains", &format!("part,contains,quantity | {row}"));
    assert_eq!(rows("F1,S3,one"), "unread F1");
    assert_eq!(rows("S3,S4,one"), "unread S3");
    assert_eq!(rows("F2,S3,one"), "");
}

#[test]
fn an_unread_row_of_a_part_matters_where_it_is_on_a_chain_or_sits_there() {
    let rows = |row: &str| with("parts", &format!("part,type,single_use | {row}"));
    assert_eq!(rows("S1,soft seal,maybe"), "unread S1");
    assert_eq!(rows("S3,soft seal,maybe"), "unread S3");
    assert_eq!(rows("S2,soft seal,maybe"), "");
}

#[test]
fn an_unread_entry_of_the_log_or_the_assemblies_matters_if_it_is_this_machines_or_nobodys() {
    let log = |row: &str| with("worklog", &format!("date,machine,position,part | {row}"));
    assert!(log("2020-13-01,mill,top,S4").starts_with("unread "));
    assert!(log("2020-13-01,,top,S4").starts_with("unread "));
    assert_eq!(log("2020-13-01,stray,top,S4"), "");
    assert!(log("2999-01-01,mill,top,S4").starts_with("unread "), "a day after today");
    assert!(log("2020-01-01,mill,topp,S4").starts_with("unread "), "a position that is nowhere");
    let rows = |row: &str| with("assemblies", &format!("machine,assembly,year | {row}"));
    assert!(rows("mill,Leg,19x9").starts_with("unread "));
    assert_eq!(rows("stray,Leg,19x9"), "");
}

#[test]
fn an_unread_row_of_a_type_matters_where_a_part_of_it_is_judged() {
    let rows = |row: &str| with("types", &format!("type,when_disturbed | {row}"));
    assert_eq!(rows("soft seal,perhaps"), "unread soft seal");
    assert_eq!(rows("wearing part,perhaps"), "");
}

#[test]
fn a_row_whose_key_is_itself_unread_matters_to_every_kit_by_file_and_line() {
    let rows = with("positions", "position,part,joint | ,S4,lid");
    assert_eq!(rows, "unread more/positions.csv:2");
}

#[test]
fn a_row_that_is_too_long_or_of_a_model_nobody_has_is_unread() {
    assert_eq!(with("positions", "position,part,joint | side,S4,face,5"), "unread side");
    assert_eq!(with("positions", "position,part,joint,model | side,S4,face,Cedar"), "unread side");
    assert_eq!(with("positions", "position,part,joint,model | side,S4,face,Birch"), "");
}

#[test]
fn the_machines_own_row_must_be_read() {
    let machines = ("machines", "machine,model,year | mill,Alder,19x9 | stray,Alder,");
    let mut typed = SOUND.to_vec();
    typed.push(machines);
    assert!(from_folder(&typed).starts_with("refused: "));
    let machines = ("machines", "machine,model,year | mill,Alder,1999 | stray,Alder,19x9");
    let mut typed = SOUND.to_vec();
    typed.push(machines);
    assert_eq!(from_folder(&typed), "");
}

#[test]
fn an_unread_row_of_another_table_is_no_gap() {
    assert_eq!(with("stock", "part,quantity | S3,few"), "");
    assert_eq!(with("offers", "supplier,part,price | shop,S3,dear"), "");
}
