//! Holds the kit to the rules, sentence by sentence, with small invented catalogs and answers worked out by hand.
//!
//! It knows what a person types and what must come of it; it knows nothing of how the kit is worked out. Tables are
//! written with ` | ` between the rows. Unless a test types its own, these tables stand:
//!
//! - the machine `mill` with a year, a serial and traits, and `stray`, of which nobody knows more than the model;
//! - the jobs `service` and `second`; `service` carries out the operation `open`, which opens the joint `face`, in
//!   which nothing needs to seal.
//!
//! Always there: the parts `S1`... (seals, renewed), `F1`... (fasteners, kept), `W1`... (wearing parts, inspected),
//! the fluids `L1`, `L2`, counted in litres, and `D1`, which is made no more.

use kitwright::catalog::{Change, Lookup, Memory};
use kitwright::kit::{Ask, Instead, Kit, PlannedPosition, Reason, Refusal, audit, work_out};
use kitwright::measure::{DecimalMark, Key};
use kitwright::tables::Tables;

type Typed<'a> = &'a [(&'a str, &'a str)];

const ALWAYS: Typed = &[
    (
        "types",
        "type,also_called,when_disturbed,seals | soft seal,squashed ring,renew,yes | fastener,,keep,no \
         | wearing part,,inspect,no | fluid,,renew,no | rule wanting,,,no",
    ),
    (
        "parts",
        "part,type,unit,status | S1,soft seal | S2,soft seal | S3,soft seal | S4,soft seal | S5,soft seal \
         | F1,fastener | F2,fastener | F3,fastener | F4,fastener | W1,wearing part | W2,wearing part \
         | W3,wearing part | W4,wearing part | W5,wearing part | L1,fluid,L | L2,fluid,L \
         | D1,soft seal,,discontinued",
    ),
];

const UNLESS_TYPED: Typed = &[
    (
        "machines",
        "machine,model,year,serial,traits | mill,Alder,1999,B2000,EU;long-shaft | stray,Alder",
    ),
    ("jobs", "job | service | second"),
    ("job_lines", "job,operation | service,open"),
    ("operations", "operation,opens | open,face"),
    ("joints", "joint,dry | face,yes"),
];

/// Reads tables as they would lie in a folder: `a/positions` is the file `a/positions.csv` of the table positions.
fn shop(typed: Typed) -> Memory {
    let table = |name: &str| name.rsplit('/').next().unwrap_or(name).to_owned();
    let mut files: Vec<(String, &str)> =
        typed.iter().map(|(name, text)| (format!("{name}.csv"), *text)).collect();
    files.extend(ALWAYS.iter().map(|(name, text)| (format!("always/{name}.csv"), *text)));
    for (name, text) in UNLESS_TYPED {
        if typed.iter().all(|(other, _)| table(other) != *name) {
            files.push((format!("{name}.csv"), *text));
        }
    }
    files.sort_by(|a, b| a.0.as_bytes().cmp(b.0.as_bytes()));
    let mut tables = Tables::default();
    for (file, text) in files {
        let rows: Vec<&str> = text.split('|').map(str::trim).collect();
        let width = rows[0].split(',').count();
        for row in &rows {
            assert!(
                row.split(',').count() <= width,
                "{file}: {row} has more cells than the header"
            );
        }
        tables.read_file(
            &table(file.trim_end_matches(".csv")),
            file.clone(),
            rows.join("\n").as_bytes(),
        );
    }
    assert_eq!(
        (&tables.faults, &tables.notices),
        (&vec![], &vec![]),
        "an invented catalog can be read"
    );
    tables.catalog()
}

fn keys(names: &str) -> Vec<Key> {
    names.split_whitespace().map(Key::new).collect()
}

/// Asks for jobs, separated by spaces, on a machine.
fn ask(jobs: &str, machine: &str) -> Ask {
    Ask { machine: Some(Key::new(machine)), jobs: keys(jobs), ..Ask::default() }
}

fn instead(position: &str, change: &str) -> Instead {
    Instead {
        position: Key::new(position),
        change: kitwright::catalog::Need::change(change, DecimalMark::Point).expect("a change"),
    }
}

/// Works out a kit and has it audited.
fn answer(typed: Typed, ask: &Ask) -> Result<Kit, Refusal> {
    let catalog = shop(typed);
    let kit = work_out(ask, &catalog)?;
    let findings: Vec<String> =
        audit(ask, &kit, &catalog).iter().map(ToString::to_string).collect();
    assert!(findings.is_empty(), "the audit of an undamaged kit: {findings:#?}");
    assert_eq!(kit.complete, kit.gaps.is_empty(), "complete is no gaps");
    Ok(kit)
}

fn kit(typed: Typed, ask: &Ask) -> Kit {
    answer(typed, ask).expect("a kit")
}

/// The kit of the job `service` on the mill.
fn service(typed: Typed) -> Kit {
    kit(typed, &ask("service", "mill"))
}

/// The same on the machine of which little is known.
fn service_of_stray(typed: Typed) -> Kit {
    kit(typed, &ask("service", "stray"))
}

fn listed(items: impl IntoIterator<Item = String>) -> String {
    items.into_iter().collect::<Vec<_>>().join(", ")
}

fn sorted(items: impl IntoIterator<Item = String>) -> String {
    let mut items: Vec<String> = items.into_iter().collect();
    items.sort();
    items.join(", ")
}

/// The gaps by kind and subject, sorted: the rules give them no order.
fn gaps(kit: &Kit) -> String {
    sorted(kit.gaps.iter().map(|gap| format!("{} {}", gap.kind, gap.subject)))
}

/// The operations in strip order.
fn operations(kit: &Kit) -> String {
    listed(kit.operations.iter().map(|operation| operation.operation.clone()))
}

/// The positions in table order with what happens to them.
fn actions(kit: &Kit) -> String {
    listed(kit.positions.iter().map(|planned| format!("{} {}", planned.position, planned.action)))
}

fn at<'a>(kit: &'a Kit, position: &str) -> &'a PlannedPosition {
    kit.positions.iter().find(|planned| planned.position == position).expect(position)
}

fn amount(number: impl ToString, unit: impl ToString) -> String {
    let unit = unit.to_string();
    if unit == "each" { number.to_string() } else { format!("{} {unit}", number.to_string()) }
}

/// What goes to a position: `2 S1`, several separated by commas.
fn parts(kit: &Kit, position: &str) -> String {
    let parts = &at(kit, position).parts;
    listed(
        parts
            .iter()
            .map(|part| format!("{} {}", amount(part.quantity.normalize(), part.unit), part.part)),
    )
}

fn chains(kit: &Kit, position: &str) -> String {
    listed(at(kit, position).parts.iter().map(|part| part.chain.join(">")))
}

fn current(kit: &Kit, position: &str) -> Option<String> {
    at(kit, position).current.clone()
}

fn role(kit: &Kit, position: &str) -> String {
    at(kit, position).role.map_or("none".to_owned(), |role| role.to_string())
}

/// What arrives at a position inside something else: `1 in SET`, sorted.
fn covered(kit: &Kit, position: &str) -> String {
    sorted(
        at(kit, position)
            .covered
            .iter()
            .map(|cover| format!("{} in {}", cover.quantity.normalize(), cover.by)),
    )
}

/// The lines, sorted: `2 S1 single-use for top+side`.
fn lines(kit: &Kit) -> String {
    sorted(kit.lines.iter().map(|line| {
        let goes = if line.positions.is_empty() {
            String::new()
        } else {
            format!(" for {}", line.positions.join("+"))
        };
        format!(
            "{} {} {}{goes}",
            amount(line.quantity.normalize(), line.unit),
            line.part,
            line.role
        )
    }))
}

fn texts(because: &[Reason]) -> String {
    listed(because.iter().map(ToString::to_string))
}

// Which row speaks.

#[test]
fn of_the_rows_that_surely_apply_the_first_in_table_order_is_used() {
    let positions =
        "position,part,years,joint | top,S3,2005-,face | top,S1,-2000,face | top,S2,,face";
    let kit = service(&[("positions", positions)]);
    assert_eq!(parts(&kit, "top"), "1 S1");
    assert_eq!(gaps(&kit), "overlap top");
}

#[test]
fn table_order_is_files_by_path_and_then_lines() {
    let kit = service(&[
        ("b/positions", "position,part,joint | top,S1,face"),
        ("a/positions", "position,part,joint | side,F1,face | top,S2,face"),
    ]);
    assert_eq!(parts(&kit, "top"), "1 S2");
    assert_eq!(actions(&kit), "side keep, top renew");
}

#[test]
fn where_no_row_surely_applies_the_first_of_those_that_may_is_used() {
    let kit = service_of_stray(&[(
        "positions",
        "position,part,years,joint | top,S1,2005-,face | top,S2,-2004,face",
    )]);
    assert_eq!(parts(&kit, "top"), "1 S1");
    assert_eq!(gaps(&kit), "not-settled top");
}

#[test]
fn a_row_that_surely_applies_goes_before_an_earlier_one_that_may() {
    let kit = service_of_stray(&[(
        "positions",
        "position,part,years,joint | top,S1,2005-,face | top,S2,,face",
    )]);
    assert_eq!(parts(&kit, "top"), "1 S2");
}

#[test]
fn a_limit_that_excludes_the_machine_outweighs_one_that_cannot_be_judged() {
    let kit = service_of_stray(&[(
        "positions",
        "position,part,model,years,joint | top,S1,Birch,2005-,face | top,S2,,,face",
    )]);
    assert_eq!(parts(&kit, "top"), "1 S2");
    assert_eq!(gaps(&kit), "");
}

#[test]
fn every_kind_of_limit_can_exclude_a_row_and_all_that_hold_let_it_in() {
    for (limits, part) in [
        ("model=Alder", "S1"),
        ("model=birch;ALDER", "S1"),
        ("model=Birch", "S2"),
        ("years=1990;1998-1999", "S1"),
        ("years=2000-", "S2"),
        ("serials=B1200-B4999", "S1"),
        ("serials=-b1999", "S2"),
        ("only=EU;not carb", "S1"),
        ("only=EU;carb", "S2"),
        ("only=not eu", "S2"),
    ] {
        let (column, cell) = limits.split_once('=').expect("a column");
        let positions = format!("position,part,joint,{column} | top,S1,face,{cell} | top,S2,face,");
        let kit = service(&[("positions", &positions)]);
        assert!(parts(&kit, "top").ends_with(part), "{limits}");
    }
}

#[test]
fn a_serial_of_another_prefix_cannot_be_judged() {
    let kit = service(&[("positions", "position,part,serials,joint | top,S1,C100-C300,face")]);
    assert_eq!(gaps(&kit), "not-settled top");
}

#[test]
fn keys_and_part_numbers_are_known_in_any_spelling_and_shown_as_their_own_table_spells_them() {
    let kit = kit(
        &[
            ("parts", "part,type | TV-10.20/3,soft seal"),
            ("positions", "position,part,joint | Top Cover,tv10203,FACE"),
            ("jobs", "job | Service"),
            ("job_lines", "job,operation | SERVICE,OPEN"),
        ],
        &ask("sErViCe", "MILL"),
    );
    assert_eq!((kit.machine.as_str(), kit.jobs.join(",")), ("mill", "Service".to_owned()));
    assert_eq!((operations(&kit).as_str(), kit.joints.join(",")), ("open", "face".to_owned()));
    assert_eq!(lines(&kit), "1 TV-10.20/3 single-use for Top Cover");
}

// What sits at a position.

const TOP: (&str, &str) = ("positions", "position,part,quantity,joint | top,S1,2,face");

#[test]
fn the_latest_entry_in_the_log_says_what_sits_there_whatever_its_line() {
    let log = "date,machine,position,part | 2004-05-01,mill,top,S2 | 2003-12-31,mill,top,S3";
    let kit = service(&[TOP, ("worklog", log)]);
    assert_eq!(current(&kit, "top").as_deref(), Some("S2"));
    assert_eq!(parts(&kit, "top"), "2 S2");
}

#[test]
fn dates_in_the_log_compare_as_text_so_a_blank_one_and_a_bare_year_come_first() {
    let log =
        "date,machine,position,part | 2004-01-02,mill,top,S4 | 2004,mill,top,S2 | ,mill,top,S3";
    assert_eq!(current(&service(&[TOP, ("worklog", log)]), "top").as_deref(), Some("S4"));
    let log =
        "date,machine,position,part | 2003-12-31,mill,top,S4 | 2004,mill,top,S2 | ,mill,top,S3";
    assert_eq!(current(&service(&[TOP, ("worklog", log)]), "top").as_deref(), Some("S2"));
    let log = "date,machine,position,part | ,mill,top,S3";
    assert_eq!(current(&service(&[TOP, ("worklog", log)]), "top").as_deref(), Some("S3"));
}

#[test]
fn an_entry_without_a_part_does_not_say_what_sits_there() {
    let log =
        "date,machine,position,part,finding | 2001,mill,top,S2, | 2009,mill,top,,a little damp";
    assert_eq!(current(&service(&[TOP, ("worklog", log)]), "top").as_deref(), Some("S2"));
}

#[test]
fn a_dash_among_the_latest_entries_means_that_nothing_sits_there() {
    let log = "date,machine,position,part | 2001,mill,top,S2 | 2001,mill,top,-";
    assert_eq!(actions(&service(&[TOP, ("worklog", log)])), "");
    let log = "date,machine,position,part | 2001,mill,top,- | 2002,mill,top,S2";
    assert_eq!(current(&service(&[TOP, ("worklog", log)]), "top").as_deref(), Some("S2"));
}

#[test]
fn parts_logged_on_one_day_each_sit_there_with_their_logged_quantity_or_the_positions() {
    let log = "date,machine,position,part,quantity | 2001,mill,top,S2,3 | 2001,mill,top,S3,";
    let kit = service(&[TOP, ("worklog", log)]);
    assert_eq!(current(&kit, "top").as_deref(), Some("S2;S3"));
    assert_eq!(parts(&kit, "top"), "3 S2, 2 S3");
}

#[test]
fn the_log_of_another_machine_says_nothing_of_this_one() {
    let log = "date,machine,position,part | 2001,stray,top,S2";
    assert_eq!(current(&service(&[TOP, ("worklog", log)]), "top").as_deref(), Some("S1"));
}

#[test]
fn a_dash_in_the_table_means_that_nothing_sits_there() {
    let kit = service(&[("positions", "position,part,joint | top,-,face | side,F1,face")]);
    assert_eq!(actions(&kit), "side keep");
}

#[test]
fn a_blank_part_sits_there_but_nobody_has_looked_it_up() {
    let kit = service(&[("positions", "position,part,joint | top,,face")]);
    assert_eq!((actions(&kit).as_str(), current(&kit, "top").as_deref()), ("top renew", Some("")));
    assert_eq!((gaps(&kit).as_str(), lines(&kit).as_str()), ("part-unknown top", ""));
}

#[test]
fn a_part_logged_at_a_position_of_other_machines_goes_by_that_positions_first_row() {
    let positions = "position,part,quantity,model,joint,reached_by,when_disturbed \
         | top,S1,4,Birch,face,dig, | top,S3,1,Cedar,elsewhere,other,keep | side,S1,1,Birch,face,,inspect";
    let kit = service(&[
        ("positions", positions),
        ("operations", "operation,opens | open,face | dig,"),
        ("worklog", "date,machine,position,part | 2001,mill,top,S2 | 2001,mill,side,S2"),
    ]);
    assert_eq!(
        (actions(&kit).as_str(), parts(&kit, "top").as_str()),
        ("top renew, side inspect", "4 S2")
    );
    assert_eq!((operations(&kit).as_str(), gaps(&kit).as_str()), ("open, dig", ""));
}

#[test]
fn positions_come_in_the_order_of_their_first_row_of_any_scope_and_those_without_a_row_last_by_key()
{
    let kit = service(&[
        (
            "positions",
            "position,part,years,joint | late,F2,2005-,face | top,F1,,face | late,F3,-2004,face",
        ),
        ("operations", "operation,opens,removes | open,face,zeta;alpha"),
        ("worklog", "date,machine,position,part | 2001,mill,zeta,F4 | 2001,mill,alpha,F4"),
    ]);
    assert_eq!(actions(&kit), "late keep, top keep, alpha keep, zeta keep");
    assert_eq!(gaps(&kit), "");
}

// Supersession.

/// The kit of the service where `S1` sits in the opened joint and these supersessions hold.
fn superseded(supersessions: &str) -> Kit {
    service(&[("positions", "position,part,joint | top,S1,face"), ("supersessions", supersessions)])
}

#[test]
fn a_number_is_followed_until_no_row_applies_and_the_whole_chain_is_told() {
    let kit = superseded("old,new,years | S1,S2, | S2,S3,-2000 | S3,S4,2001-");
    assert_eq!((parts(&kit, "top").as_str(), chains(&kit, "top").as_str()), ("1 S3", "S1>S2>S3"));
    assert_eq!(gaps(&kit), "");
}

#[test]
fn a_replacement_for_other_machines_is_passed_over_in_silence() {
    let kit = superseded("old,new,model | S1,S2,Birch | S1,S3,");
    assert_eq!((parts(&kit, "top").as_str(), gaps(&kit).as_str()), ("1 S3", ""));
}

#[test]
fn a_replacement_that_may_apply_is_not_followed_and_leaves_its_old_number_unsettled() {
    let positions = ("positions", "position,part,joint | top,S1,face");
    let kit =
        service_of_stray(&[positions, ("supersessions", "old,new,years | S1,S2, | S2,S3,-2000")]);
    assert_eq!((parts(&kit, "top").as_str(), gaps(&kit).as_str()), ("1 S2", "not-settled S2"));
    let kit =
        service_of_stray(&[positions, ("supersessions", "old,new,years | S1,S2,-2000 | S1,S3,")]);
    assert_eq!((parts(&kit, "top").as_str(), gaps(&kit).as_str()), ("1 S3", "not-settled S1"));
}

#[test]
fn rows_with_the_same_word_under_together_are_one_replacement_and_all_its_parts_are_needed() {
    let kit = superseded("old,new,together | S1,S2,pair | S1,F1,Pair");
    assert_eq!(
        (parts(&kit, "top").as_str(), chains(&kit, "top").as_str()),
        ("1 S2, 1 F1", "S1>S2, S1>F1")
    );
    assert_eq!(gaps(&kit), "");
}

#[test]
fn rows_with_a_blank_together_stand_alone_and_only_one_of_them_is_followed() {
    let kit = superseded("old,new,since | S1,S2,1999 | S1,S3,2003");
    assert_eq!((parts(&kit, "top").as_str(), gaps(&kit).as_str()), ("1 S3", ""));
}

#[test]
fn the_narrowest_of_several_replacements_wins_whatever_its_date_and_line() {
    let kit = superseded(
        "old,new,since,model,years | S1,S2,2010,, | S1,S3,1990,Alder,1990- | S1,S4,2012,Alder,",
    );
    assert_eq!((parts(&kit, "top").as_str(), gaps(&kit).as_str()), ("1 S3", ""));
}

#[test]
fn a_replacement_of_several_parts_is_as_narrow_as_its_narrowest_row() {
    let kit = superseded(
        "old,new,together,model,years | S1,S4,,Alder, | S1,S2,pair,, | S1,F1,pair,Alder,1990-",
    );
    assert_eq!((parts(&kit, "top").as_str(), gaps(&kit).as_str()), ("1 S2, 1 F1", ""));
}

#[test]
fn among_equally_narrow_replacements_the_latest_wins_and_a_blank_date_is_the_oldest() {
    let kit = superseded("old,new,since | S1,S2,2001 | S1,S3,2001-06 | S1,S4,");
    assert_eq!((parts(&kit, "top").as_str(), gaps(&kit).as_str()), ("1 S3", ""));
    let kit = superseded("old,new,since | S1,S4, | S1,S2,1901");
    assert_eq!((parts(&kit, "top").as_str(), gaps(&kit).as_str()), ("1 S2", ""));
}

#[test]
fn a_replacement_of_several_parts_is_as_late_as_its_latest_row() {
    let kit = superseded("old,new,together,since | S1,S4,,2005 | S1,S2,pair, | S1,F1,pair,2006");
    assert_eq!((parts(&kit, "top").as_str(), gaps(&kit).as_str()), ("1 S2, 1 F1", ""));
}

#[test]
fn of_replacements_as_good_as_each_other_the_first_is_taken_and_the_old_number_is_left_open() {
    let kit = superseded("old,new,since | S1,S2, | S2,S3,2001 | S2,S4,2001");
    assert_eq!((parts(&kit, "top").as_str(), gaps(&kit).as_str()), ("1 S3", "choice S2"));
}

#[test]
fn quantities_multiply_along_the_chain() {
    let kit = service(&[
        ("positions", "position,part,quantity,joint | top,S1,3,face"),
        ("supersessions", "old,new,quantity,together | S1,S2,2, | S2,S3,2,pair | S2,F1,5,pair"),
    ]);
    assert_eq!(parts(&kit, "top"), "12 S3, 30 F1");
}

#[test]
fn a_chain_that_leads_back_ends_before_the_repeat_and_names_the_number_it_began_with() {
    let kit = superseded("old,new | S1,S2 | S2,S3 | S3,S2");
    assert_eq!((parts(&kit, "top").as_str(), chains(&kit, "top").as_str()), ("1 S3", "S1>S2>S3"));
    assert_eq!(gaps(&kit), "supersession-cycle S1");
    let kit = superseded("old,new | S1,S1");
    assert_eq!(
        (parts(&kit, "top").as_str(), gaps(&kit).as_str()),
        ("1 S1", "supersession-cycle S1")
    );
}

#[test]
fn where_rows_of_a_group_repeat_the_chain_ends_there_once_and_the_others_go_on() {
    let kit = superseded(
        "old,new,together | S1,S2, | S2,S3, | S3,S1,pair | S3,F1,pair | S3,S2,pair | F1,F2,",
    );
    assert_eq!(
        (parts(&kit, "top").as_str(), gaps(&kit).as_str()),
        ("1 S3, 1 F2", "supersession-cycle S1")
    );
}

#[test]
fn what_a_repeating_row_needs_is_dropped() {
    let kit = service(&[
        ("positions", "position,part,joint | top,S1,face | side,W1,"),
        ("supersessions", "old,new,needs | S1,S2, | S2,S1,side"),
    ]);
    assert_eq!(
        (actions(&kit).as_str(), gaps(&kit).as_str()),
        ("top renew", "supersession-cycle S1")
    );
}

#[test]
fn a_group_that_names_the_old_number_itself_keeps_it_without_a_gap() {
    let kit = superseded("old,new,together | S1,S1,backed | S1,F1,backed | F1,F2,");
    assert_eq!(
        (parts(&kit, "top").as_str(), chains(&kit, "top").as_str()),
        ("1 S1, 1 F2", "S1, S1>F1>F2")
    );
    assert_eq!(gaps(&kit), "");
}

#[test]
fn what_the_rows_of_a_chain_need_is_collected_depth_first() {
    // S1 becomes S2 and S3; S2 goes on to S4, and that row stands last but is followed before the one to S3.
    let kit = service(&[
        ("positions", "position,part,joint | top,S1,face | side,W1,"),
        (
            "supersessions",
            "old,new,together,needs | S1,S2,pair, | S1,S3,pair,side=W3 | S2,S4,,side=W2",
        ),
    ]);
    assert_eq!((parts(&kit, "side").as_str(), gaps(&kit).as_str()), ("1 W2", "conflict side"));
}

#[test]
fn what_the_rows_of_a_chain_need_is_collected_in_the_order_of_the_chain() {
    let kit = service(&[
        ("positions", "position,part,joint | top,S1,face | side,W1,"),
        ("supersessions", "old,new,needs | S2,S3,side=W3 | S1,S2,side=W2"),
    ]);
    assert_eq!((parts(&kit, "side").as_str(), gaps(&kit).as_str()), ("1 W2", "conflict side"));
}

#[test]
fn a_chain_looked_at_only_to_compare_raises_no_gap() {
    let kit = service(&[
        ("positions", "position,part,joint | top,S1,"),
        ("job_lines", "job,position,part | service,top,S2"),
        ("supersessions", "old,new | S1,S3 | S1,S4 | S3,S1"),
    ]);
    assert_eq!(gaps(&kit), "fit-unknown top");
}

#[test]
fn swap_changes_nothing_in_a_kit() {
    for swap in ["one-way", "both-ways"] {
        let kit = service(&[
            ("positions", "position,part,joint | top,S1,face | side,S2,face"),
            ("supersessions", &format!("old,new,swap | S1,S2,{swap}")),
        ]);
        assert_eq!(
            (chains(&kit, "top").as_str(), chains(&kit, "side").as_str()),
            ("S1>S2", "S2"),
            "{swap}"
        );
    }
}

// From the lines of the jobs.

const THREE_PLACES: (&str, &str) = ("positions", "position,part | top,W1 | side,W1 | base,W1");

#[test]
fn lines_are_taken_in_table_order_and_the_first_part_for_a_position_stays() {
    let kit = service(&[
        THREE_PLACES,
        ("job_lines", "job,position,part | service,top,W1 | service,top,W2"),
    ]);
    assert_eq!((parts(&kit, "top").as_str(), gaps(&kit).as_str()), ("1 W1", "conflict top"));
}

#[test]
fn jobs_are_taken_in_the_order_named_not_in_that_of_the_table() {
    let typed: Typed = &[
        THREE_PLACES,
        ("job_lines", "job,position,part | service,top,W1 | second,top,W2 | second,side,W1"),
    ];
    let both = kit(typed, &ask("second service", "mill"));
    assert_eq!(
        (parts(&both, "top").as_str(), gaps(&both).as_str()),
        ("1 W2", "conflict top, fit-unknown top")
    );
    assert_eq!(both.jobs, ["second", "service"]);
    let both = kit(typed, &ask("service second", "mill"));
    assert_eq!((parts(&both, "top").as_str(), gaps(&both).as_str()), ("1 W1", "conflict top"));
    assert_eq!(actions(&both), "top renew, side renew");
}

#[test]
fn a_line_holds_with_its_option_or_without_the_one_it_excludes() {
    let typed: Typed = &[
        THREE_PLACES,
        (
            "job_lines",
            "job,option,position | service,Winter,top | service,not winter,side | service,,base",
        ),
    ];
    let mut question = ask("service", "mill");
    assert_eq!(actions(&kit(typed, &question)), "side renew, base renew");
    question.options = keys("winter frost");
    let kit = kit(typed, &question);
    assert_eq!(actions(&kit), "top renew, base renew");
    assert_eq!(kit.unknown_options, ["frost"]);
    assert_eq!(gaps(&kit), "");
}

#[test]
fn a_line_for_other_machines_is_passed_over_and_one_that_may_be_is_not_taken_and_leaves_the_job_unsettled()
 {
    let typed: Typed = &[
        THREE_PLACES,
        (
            "job_lines",
            "job,position,model,years | service,top,Birch, | service,side,,-2000 | service,base,,",
        ),
    ];
    let kit = service_of_stray(typed);
    assert_eq!(
        (actions(&kit).as_str(), gaps(&kit).as_str()),
        ("base renew", "not-settled service")
    );
    let kit = service(typed);
    assert_eq!((actions(&kit).as_str(), gaps(&kit).as_str()), ("side renew, base renew", ""));
}

#[test]
fn a_line_whose_option_does_not_hold_leaves_nothing_unsettled() {
    let kit = service_of_stray(&[
        THREE_PLACES,
        ("job_lines", "job,option,position,years | service,winter,top,-2000 | service,,base,"),
    ]);
    assert_eq!((actions(&kit).as_str(), gaps(&kit).as_str()), ("base renew", ""));
}

#[test]
fn a_job_that_may_be_for_the_machine_is_worked_out_but_not_settled() {
    let kit = service_of_stray(&[
        THREE_PLACES,
        ("jobs", "job,years | service,1998-"),
        ("job_lines", "job,position | service,top"),
    ]);
    assert_eq!((actions(&kit).as_str(), gaps(&kit).as_str()), ("top renew", "not-settled service"));
}

#[test]
fn one_row_of_a_job_that_surely_applies_settles_it() {
    let kit = service_of_stray(&[
        THREE_PLACES,
        ("jobs", "job,model,years | service,,1998- | service,Alder,"),
        ("job_lines", "job,position | service,top"),
    ]);
    assert_eq!(gaps(&kit), "");
}

#[test]
fn a_line_fits_a_part_or_renews_what_is_there_or_buys_a_set_or_names_an_operation() {
    let kit = service(&[
        THREE_PLACES,
        (
            "job_lines",
            "job,position,part,quantity,operation | service,top,W2,4, | service,side,,, | service,,F1,3, \
             | service,,F2,, | service,,,,open | service,base,-,,",
        ),
        ("retrofits", "part,position,verdict | W2,top,fits"),
    ]);
    assert_eq!(actions(&kit), "top renew, side renew, base leave-out");
    assert_eq!(lines(&kit), "1 F2 new, 1 W1 new for side, 3 F1 new, 4 W2 new for top");
    assert_eq!((operations(&kit).as_str(), gaps(&kit).as_str()), ("open", ""));
}

#[test]
fn a_line_may_name_an_operation_beside_its_position() {
    let kit = service(&[THREE_PLACES, ("job_lines", "job,position,operation | service,top,open")]);
    assert_eq!((operations(&kit).as_str(), actions(&kit).as_str()), ("open", "top renew"));
}

#[test]
fn a_set_is_bought_as_what_it_became() {
    let kit = service(&[
        ("job_lines", "job,part,quantity | service,F1,2"),
        ("supersessions", "old,new,quantity | F1,F2,3"),
    ]);
    assert_eq!((lines(&kit).as_str(), gaps(&kit).as_str()), ("6 F2 new", ""));
}

#[test]
fn what_a_line_changes_is_reached_by_its_way_in() {
    let kit = service(&[
        ("positions", "position,part,reached_by | top,W1,lid | side,W1,flap | base,W1,tray"),
        ("operations", "operation | tray | flap | lid"),
        ("job_lines", "job,position,part | service,top,W1 | service,side, | service,base,-"),
    ]);
    assert_eq!((operations(&kit).as_str(), gaps(&kit).as_str()), ("tray, flap, lid", ""));
}

#[test]
fn a_position_without_any_row_is_unknown_and_takes_one() {
    let kit = service(&[("job_lines", "job,position,part | service,nowhere,W1 | service,void,")]);
    assert_eq!(
        gaps(&kit),
        "fit-unknown nowhere, part-unknown void, position-unknown nowhere, position-unknown void"
    );
    assert_eq!(
        (lines(&kit).as_str(), actions(&kit).as_str()),
        ("1 W1 new for nowhere", "nowhere renew, void renew")
    );
}

#[test]
fn a_second_part_for_a_position_is_no_conflict_if_either_lies_on_the_chain_of_the_other() {
    for (first, second) in [("S1", "S3"), ("S3", "S1"), ("S2", "S2")] {
        let kit = service(&[
            ("positions", "position,part | top,S1"),
            (
                "job_lines",
                &format!("job,position,part | service,top,{first} | service,top,{second}"),
            ),
            ("supersessions", "old,new | S1,S2 | S2,S3"),
        ]);
        assert_eq!(
            (parts(&kit, "top").as_str(), gaps(&kit).as_str()),
            ("1 S3", ""),
            "{first} then {second}"
        );
        assert!(chains(&kit, "top").starts_with(first), "the first stays");
    }
}

#[test]
fn renewing_and_leaving_empty_conflict_and_the_first_stays() {
    let with = |lines: &str| {
        service(&[THREE_PLACES, ("job_lines", &format!("job,position,part {lines}"))])
    };
    let kit = with("| service,top,- | service,top,");
    assert_eq!((actions(&kit).as_str(), gaps(&kit).as_str()), ("top leave-out", "conflict top"));
    let kit = with("| service,top, | service,top,-");
    assert_eq!((actions(&kit).as_str(), gaps(&kit).as_str()), ("top renew", "conflict top"));
    let kit = with("| service,top,- | service,top,W1");
    assert_eq!((actions(&kit).as_str(), gaps(&kit).as_str()), ("top leave-out", "conflict top"));
    let kit = with("| service,top,W1 | service,top,-");
    assert_eq!((actions(&kit).as_str(), gaps(&kit).as_str()), ("top renew", "conflict top"));
    let kit = with("| service,top,- | service,top,-");
    assert_eq!((actions(&kit).as_str(), gaps(&kit).as_str()), ("top leave-out", ""));
}

#[test]
fn a_renewal_and_a_part_for_the_same_position_agree_and_the_part_goes_there() {
    for lines in ["| service,top, | service,top,W2", "| service,top,W2 | service,top,"] {
        let kit = service(&[
            THREE_PLACES,
            ("job_lines", &format!("job,position,part {lines}")),
            ("retrofits", "part,position,verdict | W2,top,fits"),
        ]);
        assert_eq!((parts(&kit, "top").as_str(), gaps(&kit).as_str()), ("1 W2", ""), "{lines}");
    }
}

#[test]
fn what_one_round_added_stays_when_its_cause_goes_and_so_does_a_gap() {
    // In the first round `top` is renewed as D1 and calls for `side`; what replaces `base` then has `top` left empty.
    let kit = service(&[
        ("positions", "position,part,joint | top,S1,face | base,S3,face | side,W1,"),
        ("supersessions", "old,new,needs | S1,D1,side=W2 | S3,S4,top=-"),
    ]);
    assert_eq!(actions(&kit), "top leave-out, base renew, side renew");
    assert_eq!((parts(&kit, "side").as_str(), gaps(&kit).as_str()), ("1 W2", "discontinued D1"));
}

// What comes apart.

#[test]
fn an_operation_brings_all_that_must_come_before_it() {
    let kit =
        service(&[("operations", "operation,needs | open,shield | shield,safe | safe, | other,")]);
    assert_eq!((operations(&kit).as_str(), gaps(&kit).as_str()), ("safe, shield, open", ""));
}

#[test]
fn an_operation_that_is_only_for_other_machines_need_not_come_first() {
    let kit = service(&[(
        "operations",
        "operation,needs,model | open,shield, | shield,,Birch | shield,,Cedar",
    )]);
    assert_eq!((operations(&kit).as_str(), gaps(&kit).as_str()), ("open", ""));
}

#[test]
fn an_operation_that_no_row_describes_is_unknown_and_not_listed() {
    let kit = service(&[("operations", "operation,needs | open,shield")]);
    assert_eq!(
        (operations(&kit).as_str(), gaps(&kit).as_str()),
        ("open", "operation-unknown shield")
    );
}

#[test]
fn an_operation_asked_for_or_a_way_in_that_is_only_for_other_machines_is_unknown() {
    let kit = service(&[("operations", "operation,model | open,Birch")]);
    assert_eq!((operations(&kit).as_str(), gaps(&kit).as_str()), ("", "operation-unknown open"));
    let kit = service(&[
        ("positions", "position,part,joint,reached_by | top,S1,face,dig"),
        ("operations", "operation,opens,model | open,face, | dig,,Birch"),
    ]);
    assert_eq!((operations(&kit).as_str(), gaps(&kit).as_str()), ("open", "operation-unknown dig"));
}

#[test]
fn an_operation_goes_by_the_row_for_the_machine() {
    let kit = service(&[
        (
            "operations",
            "operation,needs,opens,model | open,shield,lid,Birch | open,safe,face,Alder | safe,,, | shield,,,",
        ),
        ("positions", "position,part,joint | top,S1,face | side,S1,lid"),
    ]);
    assert_eq!((operations(&kit).as_str(), actions(&kit).as_str()), ("safe, open", "top renew"));
}

#[test]
fn everything_on_the_machine_in_an_opened_joint_is_disturbed_whatever_becomes_of_it() {
    let kit = service(&[(
        "positions",
        "position,part,joint | top,S1,face | side,F1,lid;face | base,W1,face | gone,-,face | other,S1,lid | loose,S1,",
    )]);
    assert_eq!(actions(&kit), "top renew, side keep, base inspect");
    assert_eq!(kit.joints, ["face"]);
}

#[test]
fn what_an_operation_takes_off_is_disturbed_if_it_is_on_the_machine() {
    let kit = service(&[
        ("positions", "position,part | top,S1 | side,W1 | gone,- | other,S2"),
        ("operations", "operation,removes | open,side;top;gone"),
    ]);
    assert_eq!((actions(&kit).as_str(), gaps(&kit).as_str()), ("top renew, side inspect", ""));
}

#[test]
fn a_position_taken_off_is_unknown_if_neither_a_row_nor_any_log_names_it() {
    let kit = service(&[
        ("operations", "operation,removes | open,plug;stay"),
        ("worklog", "date,machine,position,part | 2001,stray,stay,W1"),
    ]);
    assert_eq!((actions(&kit).as_str(), gaps(&kit).as_str()), ("", "position-unknown plug"));
}

#[test]
fn a_renewed_position_calls_for_its_way_in_and_a_kept_one_does_not() {
    let kit = service(&[
        (
            "positions",
            "position,part,joint,reached_by | top,S1,face,dig | side,F1,face,pry | base,W1,face,lift",
        ),
        ("operations", "operation,opens | open,face | dig, | pry, | lift,"),
    ]);
    assert_eq!(operations(&kit), "open, dig");
}

#[test]
fn a_way_in_opens_more_joints_and_renews_more() {
    let kit = service(&[
        ("positions", "position,part,joint,reached_by | top,S1,face,dig | side,S2,lid,"),
        ("operations", "operation,opens | open,face | dig,lid"),
        ("joints", "joint,dry | face,yes | lid,yes"),
    ]);
    assert_eq!(
        (actions(&kit).as_str(), kit.joints.join(" ")),
        ("top renew, side renew", "face lid".to_owned())
    );
}

// What a renewed position calls for.

#[test]
fn what_a_later_part_needs_is_called_for_with_it() {
    let kit = service(&[
        THREE_PLACES,
        ("job_lines", "job,position,part | service,top,W2"),
        (
            "retrofits",
            "part,position,verdict,needs,operations | W2,top,fits-with,side=W3*3;base,drill",
        ),
        ("operations", "operation | drill"),
    ]);
    assert_eq!(operations(&kit), "drill");
    assert_eq!(lines(&kit), "1 W1 companion for base, 1 W2 new for top, 3 W3 companion for side");
    assert_eq!(gaps(&kit), "");
}

#[test]
fn an_operation_that_the_log_of_the_machine_names_is_not_done_again_for_a_later_part() {
    let typed = |log| {
        service(&[
            THREE_PLACES,
            ("job_lines", "job,position,part | service,top,W2"),
            ("retrofits", "part,position,verdict,operations | W2,top,fits-with,drill;file"),
            ("operations", "operation | drill | file"),
            ("worklog", log),
        ])
    };
    assert_eq!(operations(&typed("date,machine,operation | 2001,mill,Drill")), "file");
    assert_eq!(operations(&typed("date,machine,operation | 2001,stray,drill")), "drill, file");
}

#[test]
fn only_retrofit_operations_are_spared_by_the_log() {
    let kit = service(&[("worklog", "date,machine,operation | 2001,mill,open")]);
    assert_eq!(operations(&kit), "open");
}

#[test]
fn for_what_is_renewed_by_rule_the_retrofits_are_asked_about_what_it_became_only() {
    let kit = service(&[
        ("positions", "position,part,joint | top,S1,face | side,W1, | base,W1,"),
        ("supersessions", "old,new | S1,S2"),
        (
            "retrofits",
            "part,position,verdict,needs | S2,top,fits-with,side | S1,top,fits-with,base",
        ),
    ]);
    assert_eq!((actions(&kit).as_str(), gaps(&kit).as_str()), ("top renew, side renew", ""));
    assert_eq!(role(&kit, "side"), "companion");
}

#[test]
fn a_part_that_stays_asks_for_no_retrofit() {
    let kit = service(&[
        ("positions", "position,part,joint | top,S1,face | side,W1,"),
        ("retrofits", "part,position,verdict,needs | S1,top,fits-with,side"),
    ]);
    assert_eq!(actions(&kit), "top renew");
}

#[test]
fn the_target_speaks_first_then_what_it_became_then_the_chain() {
    let with = |retrofits: &str, supersessions: &str| {
        service(&[
            ("positions", "position,part | top,W1 | side,F4"),
            ("job_lines", "job,position,part | service,top,W1"),
            ("supersessions", supersessions),
            ("retrofits", retrofits),
        ])
    };
    let became = "W2,top,fits-with,side=F2";
    let target = "W1,top,fits-with,side=F1";
    let chain = "old,new,needs | W1,W2,side=F3";
    let all = with(&format!("part,position,verdict,needs | {became} | {target}"), chain);
    assert_eq!((parts(&all, "side").as_str(), gaps(&all).as_str()), ("1 F1", "conflict side"));
    // With no row of its own, the target's replacement hears neither the target's row nor the chain before its own.
    let two = with(&format!("part,position,verdict,needs | {became}"), chain);
    assert_eq!((parts(&two, "side").as_str(), gaps(&two).as_str()), ("1 F2", "conflict side"));
    let one = with("part,position,verdict,needs", chain);
    assert_eq!((parts(&one, "side").as_str(), gaps(&one).as_str()), ("1 F3", ""));
}

#[test]
fn targets_speak_before_other_positions_and_those_by_place() {
    let typed: Typed = &[
        ("positions", "position,part,joint | side,F4, | early,S1,face | late,S3,face | goal,W1,"),
        ("supersessions", "old,new,needs | S1,S2,side=F2 | S3,S4,side=F3 | W1,W2,side=F1"),
        (
            "job_lines",
            "job,option,position,part,operation | service,goal,goal,W1, | service,,,,open",
        ),
    ];
    let kit_without = service(typed);
    assert_eq!(parts(&kit_without, "side"), "1 F2");
    let kit_with = kit(typed, &Ask { options: keys("goal"), ..ask("service", "mill") });
    assert_eq!(parts(&kit_with, "side"), "1 F1");
}

#[test]
fn a_need_may_leave_a_position_empty() {
    let kit = superseded_with_side("S1,S2,side=-", "side,W1");
    assert_eq!((actions(&kit).as_str(), gaps(&kit).as_str()), ("top renew, side leave-out", ""));
    assert_eq!(lines(&kit), "1 S2 single-use for top");
}

/// `S1` in the opened joint is replaced by a row with needs; `side` is as typed.
fn superseded_with_side(row: &str, side: &str) -> Kit {
    service(&[
        ("a/positions", "position,part,joint | top,S1,face"),
        ("b/positions", &format!("position,part,quantity,years | {side}")),
        ("supersessions", &format!("old,new,needs | {row}")),
    ])
}

#[test]
fn leaving_empty_what_is_empty_is_nothing_to_do() {
    let kit = superseded_with_side("S1,S2,side=-", "side,-");
    assert_eq!((actions(&kit).as_str(), gaps(&kit).as_str()), ("top renew", ""));
    let kit = superseded_with_side("S1,S2,side=-", "side,W1,,2005-");
    assert_eq!((actions(&kit).as_str(), gaps(&kit).as_str()), ("top renew", ""));
}

#[test]
fn leaving_a_position_empty_that_nobody_knows_is_an_unknown_position() {
    let kit = superseded_with_side("S1,S2,nowhere=-", "side,W1");
    assert_eq!(
        (actions(&kit).as_str(), gaps(&kit).as_str()),
        ("top renew, nowhere leave-out", "position-unknown nowhere")
    );
}

#[test]
fn leaving_empty_what_a_job_fills_is_a_conflict_even_where_nothing_sits_there_yet() {
    let kit = service(&[
        ("positions", "position,part,joint | top,S1,face | side,-,"),
        ("supersessions", "old,new,needs | S1,S2,side=-"),
        ("job_lines", "job,position,part,operation | service,side,W1, | service,,,open"),
        ("retrofits", "part,position,verdict | W1,side,fits"),
    ]);
    assert_eq!((parts(&kit, "side").as_str(), gaps(&kit).as_str()), ("1 W1", "conflict side"));
}

#[test]
fn a_part_that_surely_sits_there_already_is_not_called_for_again() {
    let kit = superseded_with_side("S1,S2,side=W2", "side,W2");
    assert_eq!(actions(&kit), "top renew");
    let typed = |supersessions| {
        service(&[
            ("positions", "position,part,joint | top,S1,face | side,W1,"),
            ("supersessions", supersessions),
            ("worklog", "date,machine,position,part | ,mill,side,W3"),
        ])
    };
    let kit = typed("old,new,needs | S1,S2,side=W2 | W2,W3,");
    assert_eq!(
        actions(&kit),
        "top renew",
        "what sits there lies on the chain of what is called for"
    );
    let kit = typed("old,new,needs | S1,S2,side=W2 | W3,W2,");
    assert_eq!(actions(&kit), "top renew, side renew", "an earlier part is not the one called for");
}

#[test]
fn a_part_that_only_may_sit_there_is_called_for() {
    let kit = service_of_stray(&[
        ("positions", "position,part,years,joint | top,S1,,face | side,W2,-2000,"),
        ("supersessions", "old,new,needs | S1,S2,side=W2"),
    ]);
    assert_eq!(
        (actions(&kit).as_str(), gaps(&kit).as_str()),
        ("top renew, side renew", "not-settled side")
    );
}

#[test]
fn a_need_for_a_part_makes_a_companion_with_its_own_number_or_the_positions() {
    let kit = superseded_with_side("S1,S2,side=W2*3", "side,W1,2");
    assert_eq!((parts(&kit, "side").as_str(), role(&kit, "side").as_str()), ("3 W2", "companion"));
    let kit = superseded_with_side("S1,S2,side=W2", "side,W1,2");
    assert_eq!(parts(&kit, "side"), "2 W2");
    assert_eq!(gaps(&kit), "");
}

#[test]
fn a_need_without_a_part_renews_what_is_there() {
    let kit = superseded_with_side("S1,S2,side", "side,W1,2");
    assert_eq!((parts(&kit, "side").as_str(), role(&kit, "side").as_str()), ("2 W1", "companion"));
}

#[test]
fn a_part_that_sits_there_is_called_for_all_the_same_where_the_job_puts_another() {
    let kit = service(&[
        ("positions", "position,part,joint | top,S1,face | side,W1,"),
        ("supersessions", "old,new,needs | S1,S2,side=W2"),
        ("worklog", "date,machine,position,part | ,mill,side,W2"),
        ("job_lines", "job,position,part,operation | service,side,W1,open"),
    ]);
    assert_eq!((parts(&kit, "side").as_str(), gaps(&kit).as_str()), ("1 W1", "conflict side"));
}

#[test]
fn a_need_for_a_position_that_no_row_describes_is_an_unknown_position_but_the_part_fits_by_that_row()
 {
    let kit = superseded_with_side("S1,S2,nowhere=W2", "side,W1");
    assert_eq!(
        (parts(&kit, "nowhere").as_str(), gaps(&kit).as_str()),
        ("1 W2", "position-unknown nowhere")
    );
}

#[test]
fn what_a_need_changes_is_reached_by_its_way_in() {
    for need in ["side=W2", "side", "side=-"] {
        let kit = service(&[
            ("positions", "position,part,joint,reached_by | top,S1,face, | side,W1,,dig"),
            ("operations", "operation,opens | open,face | dig,"),
            ("supersessions", &format!("old,new,needs | S1,S2,{need}")),
        ]);
        assert_eq!((operations(&kit).as_str(), gaps(&kit).as_str()), ("open, dig", ""), "{need}");
    }
}

// What becomes of a disturbed position.

#[test]
fn the_position_speaks_before_the_part_and_the_part_before_its_type() {
    let kit = service(&[
        ("parts", "part,type,single_use | K1,soft seal,no | K2,fastener,yes"),
        (
            "positions",
            "position,part,joint,when_disturbed | a,S1,face,keep | b,F1,face,renew | c,K2,face,inspect | d,K1,face, \
             | e,K2,face, | f,S1,face,",
        ),
    ]);
    assert_eq!(actions(&kit), "a keep, b renew, c inspect, d keep, e renew, f renew");
}

#[test]
fn what_a_job_changes_is_renewed_whatever_the_position_says() {
    let kit = service(&[
        (
            "positions",
            "position,part,joint,when_disturbed | a,F1,face,keep | b,F1,face,keep | c,S1,face,renew",
        ),
        (
            "job_lines",
            "job,position,part,operation | service,a,F1,open | service,b,, | service,c,-,",
        ),
    ]);
    assert_eq!(actions(&kit), "a renew, b renew, c leave-out");
}

#[test]
fn of_several_parts_at_one_position_the_one_to_renew_decides_then_the_one_to_inspect() {
    let log = "date,machine,position,part | 2001,mill,a,F1 | 2001,mill,a,W1 | 2001,mill,a,S1 \
        | 2001,mill,b,F1 | 2001,mill,b,W1 | 2001,mill,c,F1 | 2001,mill,c,F2";
    let kit = service(&[
        ("positions", "position,part,joint | a,F1,face | b,F1,face | c,F1,face"),
        ("worklog", log),
    ]);
    assert_eq!(actions(&kit), "a renew, b inspect, c keep");
    assert_eq!(parts(&kit, "a"), "1 F1, 1 W1, 1 S1");
}

#[test]
fn a_number_that_is_not_among_the_parts_is_judged_as_what_it_became_first() {
    let kit = service(&[
        ("positions", "position,part,joint | top,X1,face | side,X2,face"),
        ("supersessions", "old,new,together | X1,F1,pair | X1,S1,pair | X2,S2,"),
    ]);
    assert_eq!((actions(&kit).as_str(), gaps(&kit).as_str()), ("top keep, side renew", ""));
}

#[test]
fn a_listed_part_is_judged_by_its_own_row_not_by_what_it_became() {
    let kit = service(&[
        ("positions", "position,part,joint | top,F1,face"),
        ("supersessions", "old,new | F1,S1"),
    ]);
    assert_eq!(actions(&kit), "top keep");
}

#[test]
fn where_the_part_is_not_known_it_is_renewed_and_said_so() {
    let kit = service(&[
        ("positions", "position,part,joint | top,X1,face | side,X2,face"),
        ("supersessions", "old,new | X2,X3"),
    ]);
    assert_eq!(
        (actions(&kit).as_str(), gaps(&kit).as_str()),
        ("top renew, side renew", "part-unknown side, part-unknown top")
    );
    assert_eq!(lines(&kit), "1 X1 single-use for top, 1 X3 single-use for side");
}

#[test]
fn where_no_rule_answers_the_part_is_renewed_and_said_so() {
    let kit = service(&[
        ("parts", "part,type | K1, | K2,whatsit | K3,rule wanting"),
        ("positions", "position,part,joint | a,K1,face | b,K2,face | c,K3,face"),
    ]);
    assert_eq!(actions(&kit), "a renew, b renew, c renew");
    assert_eq!(gaps(&kit), "rule-unknown a, rule-unknown b, rule-unknown c");
}

#[test]
fn a_rule_at_the_position_or_the_part_makes_the_type_needless() {
    let kit = service(&[
        ("parts", "part,type,single_use | K1,, | K2,whatsit,no"),
        (
            "positions",
            "position,part,joint,when_disturbed | a,K1,face,keep | b,K2,face, | c,,face,inspect",
        ),
    ]);
    assert_eq!((actions(&kit).as_str(), gaps(&kit).as_str()), ("a keep, b keep, c inspect", ""));
}

#[test]
fn a_type_is_matched_by_its_name_before_other_names_and_first_row_first() {
    let kit = service(&[
        (
            "types",
            "type,also_called,when_disturbed | hoop,clasp;buckle,renew | clasp,,keep | strap,buckle,inspect",
        ),
        ("parts", "part,type | K1,Clasp | K2,buckle | K3,STRAP"),
        ("positions", "position,part,joint | a,K1,face | b,K2,face | c,K3,face"),
    ]);
    assert_eq!((actions(&kit).as_str(), gaps(&kit).as_str()), ("a keep, b renew, c inspect", ""));
}

#[test]
fn an_owners_type_overrides_the_shipped_one_and_the_others_stay() {
    let kit = service(&[
        ("types", "type,when_disturbed | gasket,inspect"),
        ("parts", "part,type | K1,gasket | K2,o-ring"),
        ("positions", "position,part,joint | a,K1,face | b,K2,face"),
    ]);
    assert_eq!(actions(&kit), "a inspect, b renew");
}

// What goes to a renewed position.

#[test]
fn a_target_takes_its_own_quantity_or_the_positions() {
    let kit = service(&[
        ("positions", "position,part,quantity | top,W1,4 | side,W1,4"),
        ("job_lines", "job,position,part,quantity | service,top,W1,3 | service,side,W1,"),
    ]);
    assert_eq!((parts(&kit, "top").as_str(), parts(&kit, "side").as_str()), ("3 W1", "4 W1"));
}

#[test]
fn a_target_takes_the_place_of_what_sits_there() {
    let kit = service(&[
        ("positions", "position,part | top,W1"),
        ("job_lines", "job,position,part | service,top,W2"),
        ("worklog", "date,machine,position,part | ,mill,top,W3"),
        ("retrofits", "part,position,verdict | W2,top,fits"),
    ]);
    assert_eq!(
        (parts(&kit, "top").as_str(), current(&kit, "top").as_deref()),
        ("1 W2", Some("W3"))
    );
}

#[test]
fn a_quantity_is_in_pieces_unless_it_says_otherwise_and_told_in_the_parts_unit() {
    let kit = service(&[
        ("parts", "part,type,unit | H1,soft seal,m | H2,soft seal,"),
        (
            "positions",
            "position,part,quantity,joint | a,H1,350 mm,face | b,H2,350 mm,face | c,S1,,face | d,H1,2,face",
        ),
    ]);
    assert_eq!(parts(&kit, "a"), "0.35 m H1");
    assert_eq!(parts(&kit, "b"), "350 mm H2");
    assert_eq!(parts(&kit, "c"), "1 S1");
    assert_eq!(parts(&kit, "d"), "2 H1", "pieces are not metres");
    assert_eq!(
        kit.lines.iter().filter(|line| line.part == "H1").count(),
        2,
        "one line for each unit"
    );
}

#[test]
fn a_position_to_renew_at_which_nothing_or_nobody_knows_what_sits_has_no_known_part() {
    let kit = service(&[
        ("positions", "position,part | top,- | side, | base,X1"),
        ("job_lines", "job,position | service,top | service,side | service,base"),
    ]);
    assert_eq!(gaps(&kit), "part-unknown base, part-unknown side, part-unknown top");
    assert_eq!(lines(&kit), "1 X1 new for base");
}

#[test]
fn an_unlisted_number_on_the_way_is_no_gap_if_what_it_became_is_listed() {
    let kit = superseded("old,new | S1,X9 | X9,S2");
    assert_eq!((chains(&kit, "top").as_str(), gaps(&kit).as_str()), ("S1>X9>S2", ""));
}

#[test]
fn what_is_made_no_more_is_said_of_its_number_unless_something_replaces_it() {
    let kit = service(&[("positions", "position,part,joint | top,D1,face | side,D1,face")]);
    assert_eq!(
        (gaps(&kit).as_str(), lines(&kit).as_str()),
        ("discontinued D1", "2 D1 single-use for top+side")
    );
    let kit = service(&[
        ("positions", "position,part,joint | top,D1,face"),
        ("supersessions", "old,new | D1,S2"),
    ]);
    assert_eq!((gaps(&kit).as_str(), parts(&kit, "top").as_str()), ("", "1 S2"));
}

#[test]
fn what_is_only_inspected_or_kept_may_be_made_no_more() {
    let kit = service(&[(
        "positions",
        "position,part,joint,when_disturbed | top,D1,face,inspect | side,D1,face,keep",
    )]);
    assert_eq!((gaps(&kit).as_str(), lines(&kit).as_str()), ("", ""));
}

// What the retrofit rows say.

/// `W2` for `top`, which lists `W1`, with these retrofit rows.
fn retrofitted(machine: &str, retrofits: &str, supersessions: &str) -> Kit {
    kit(
        &[
            ("positions", "position,part | top,W1 | side,F4 | base,F4"),
            ("job_lines", "job,position,part | service,top,W2"),
            ("operations", "operation | drill | file"),
            ("supersessions", &format!("old,new {supersessions}")),
            ("retrofits", &format!("part,position,verdict,needs,operations,years {retrofits}")),
        ],
        &ask("service", machine),
    )
}

#[test]
fn a_row_for_exactly_this_part_and_position_speaks_and_one_that_may_apply_leaves_the_position_unsettled()
 {
    let rows = "| W2,top,fits-with,side,,-2000 | W2,top,fits-with,base,,";
    let kit = retrofitted("stray", rows, "");
    assert_eq!(
        (actions(&kit).as_str(), gaps(&kit).as_str()),
        ("top renew, base renew", "not-settled top")
    );
    let kit = retrofitted("mill", rows, "");
    assert_eq!(
        (actions(&kit).as_str(), gaps(&kit).as_str()),
        ("top renew, side renew, base renew", "")
    );
}

#[test]
fn a_row_that_may_apply_calls_for_nothing_and_says_not_that_the_part_fits() {
    let kit = retrofitted("stray", "| W2,top,fits-with,side,drill,-2000", "");
    assert_eq!((actions(&kit).as_str(), operations(&kit).as_str()), ("top renew", ""));
    assert_eq!(gaps(&kit), "fit-unknown top, not-settled top");
}

#[test]
fn rows_for_other_parts_other_positions_or_other_machines_do_not_speak() {
    let kit = retrofitted(
        "mill",
        "| W3,top,fits-with,side,, | W2,base,fits-with,side,, | W2,top,fits-with,side,,2005-",
        "",
    );
    assert_eq!((actions(&kit).as_str(), gaps(&kit).as_str()), ("top renew", "fit-unknown top"));
}

#[test]
fn without_a_row_of_its_own_a_part_is_spoken_for_by_the_rows_of_what_it_replaced() {
    let kit = retrofitted("mill", "| W3,top,fits-with,side,drill,", "| W3,W2");
    assert_eq!(
        (actions(&kit).as_str(), operations(&kit).as_str()),
        ("top renew, side renew", "drill")
    );
    assert_eq!(gaps(&kit), "");
}

#[test]
fn a_row_of_its_own_even_one_that_only_may_apply_silences_those_of_what_it_replaced() {
    let kit = retrofitted("mill", "| W3,top,fits-with,side,, | W2,top,fits-with,base,,", "| W3,W2");
    assert_eq!((actions(&kit).as_str(), gaps(&kit).as_str()), ("top renew, base renew", ""));
    let kit =
        retrofitted("stray", "| W3,top,fits-with,side,, | W2,top,fits-with,base,,-2000", "| W3,W2");
    assert_eq!(
        (actions(&kit).as_str(), gaps(&kit).as_str()),
        ("top renew", "fit-unknown top, not-settled top")
    );
    // One for other machines is no row at all.
    let kit =
        retrofitted("mill", "| W3,top,fits-with,side,, | W2,top,fits-with,base,,2005-", "| W3,W2");
    assert_eq!((actions(&kit).as_str(), gaps(&kit).as_str()), ("top renew, side renew", ""));
}

#[test]
fn rows_of_what_it_replaced_that_only_may_apply_say_nothing_at_all() {
    let kit = retrofitted("stray", "| W3,top,fits-with,side,,-2000", "| W3,W2");
    assert_eq!((actions(&kit).as_str(), gaps(&kit).as_str()), ("top renew", "fit-unknown top"));
}

#[test]
fn one_no_among_those_that_speak_settles_it_and_nothing_is_called_for() {
    let kit = retrofitted("mill", "| W2,top,fits-with,side,drill, | W2,top,no,,,", "");
    assert_eq!((actions(&kit).as_str(), operations(&kit).as_str()), ("top renew", ""));
    assert_eq!(gaps(&kit), "does-not-fit top");
}

#[test]
fn a_no_to_what_a_part_renewed_by_rule_became_is_said_of_the_position() {
    let kit = service(&[
        ("positions", "position,part,joint | top,S1,face"),
        ("supersessions", "old,new | S1,S2"),
        ("retrofits", "part,position,verdict | S2,top,no"),
    ]);
    assert_eq!((parts(&kit, "top").as_str(), gaps(&kit).as_str()), ("1 S2", "does-not-fit top"));
}

#[test]
fn of_all_rows_that_speak_the_needs_are_taken_in_table_order() {
    let kit = retrofitted(
        "mill",
        "| W2,top,fits-with,side=F2,drill, | W2,top,fits-with,side=F1;base=F3,file,",
        "",
    );
    assert_eq!((parts(&kit, "side").as_str(), parts(&kit, "base").as_str()), ("1 F2", "1 F3"));
    assert_eq!((operations(&kit).as_str(), gaps(&kit).as_str()), ("drill, file", "conflict side"));
}

// Does it fit?

/// The gaps of a job that puts a part to `top`, which lists `W1`.
fn fit_gaps(part: &str, more: Typed) -> String {
    let lines = format!("job,position,part | service,top,{part}");
    let mut typed = vec![("positions", "position,part | top,W1"), ("job_lines", lines.as_str())];
    typed.extend_from_slice(more);
    gaps(&service(&typed))
}

#[test]
fn a_target_fits_if_it_is_listed_there_or_lies_on_the_chain_of_what_is() {
    assert_eq!(fit_gaps("W1", &[]), "");
    assert_eq!(fit_gaps("W3", &[("supersessions", "old,new | W1,W2 | W2,W3")]), "");
    assert_eq!(fit_gaps("W2", &[("supersessions", "old,new | W1,W2 | W2,W3")]), "");
    assert_eq!(fit_gaps("W2", &[]), "fit-unknown top");
}

#[test]
fn a_target_fits_if_it_lies_on_the_chain_of_what_sits_there() {
    let log = ("worklog", "date,machine,position,part | ,mill,top,W4");
    assert_eq!(fit_gaps("W4", &[log]), "");
    assert_eq!(fit_gaps("W5", &[log, ("supersessions", "old,new | W4,W5")]), "");
    assert_eq!(fit_gaps("W5", &[log]), "fit-unknown top");
    assert_eq!(
        fit_gaps("W1", &[log]),
        "",
        "what the table lists fits although the log says something else sits there"
    );
}

#[test]
fn a_target_fits_if_everything_that_it_became_is_listed_or_spoken_for() {
    assert_eq!(fit_gaps("W2", &[("supersessions", "old,new | W2,W1")]), "");
    let pair = ("supersessions", "old,new,together | W2,W1,pair | W2,W3,pair");
    assert_eq!(fit_gaps("W2", &[pair]), "fit-unknown top", "one of the two is unknown");
    assert_eq!(fit_gaps("W2", &[pair, ("retrofits", "part,position,verdict | W3,top,fits")]), "");
}

#[test]
fn a_no_on_the_target_or_on_what_it_became_stands_alone() {
    assert_eq!(
        fit_gaps("W2", &[("retrofits", "part,position,verdict | W2,top,no")]),
        "does-not-fit top"
    );
    let became = ("supersessions", "old,new | W2,W3");
    assert_eq!(
        fit_gaps("W2", &[became, ("retrofits", "part,position,verdict | W3,top,no")]),
        "does-not-fit top"
    );
    assert_eq!(
        fit_gaps("W1", &[("retrofits", "part,position,verdict | W1,top,no")]),
        "does-not-fit top"
    );
}

#[test]
fn a_part_that_a_need_calls_for_fits_by_that_row() {
    let kit = superseded_with_side("S1,S2,side=W5", "side,W1");
    assert_eq!((parts(&kit, "side").as_str(), gaps(&kit).as_str()), ("1 W5", ""));
}

// Rows that disagree.

#[test]
fn rows_of_a_disturbed_position_that_differ_in_part_or_quantity_overlap() {
    let with = |first: &str, second: &str| {
        let positions = format!("position,part,quantity,name,joint | top,{first} | top,{second}");
        gaps(&service(&[("positions", &positions)]))
    };
    assert_eq!(with("S1,1,,face", "S2,1,,face"), "overlap top");
    assert_eq!(with("S1,1,,face", "S1,2,,face"), "overlap top");
    assert_eq!(with("S1,1,,face", "S1,set,,face"), "overlap top");
    assert_eq!(with("S1,1,,face", "-,1,,face"), "overlap top");
    assert_eq!(
        with("S1,1,,face", "s-1,1,ring,face"),
        "",
        "another spelling or name is no difference"
    );
    assert_eq!(
        with("L1,1 L,,face", "L1,1000 ml,,face"),
        "",
        "the same amount in another unit is no difference"
    );
}

#[test]
fn rows_of_an_operation_in_the_plan_that_differ_in_what_they_do_overlap() {
    let with = |first: &str, second: &str| {
        let operations = format!(
            "operation,needs,opens,removes,uses,minutes | open,{first} | open,{second} | safe,"
        );
        gaps(&service(&[("operations", &operations), ("positions", "position,part | top,F1")]))
    };
    assert_eq!(with(",face,,,", "safe,face,,,"), "overlap open");
    assert_eq!(with(",face,,,", ",face;lid,,,"), "overlap open");
    assert_eq!(with(",face,,,", ",face,top,,"), "overlap open");
    assert_eq!(with(",face,,,", ",face,,L1=1 L,"), "overlap open");
    assert_eq!(
        with(",face,,,10", ",face,,,20"),
        "",
        "how long it takes changes nothing in the kit"
    );
}

#[test]
fn a_row_that_may_apply_and_differs_leaves_it_unsettled() {
    let kit = service_of_stray(&[
        (
            "positions",
            "position,part,years,joint | top,S1,,face | top,S2,-2000,face | side,S1,,face | side,S1,-2000,face",
        ),
        ("operations", "operation,opens,years | open,face, | open,face;lid,-2000"),
    ]);
    assert_eq!(gaps(&kit), "not-settled open, not-settled top");
}

#[test]
fn rows_that_all_only_may_apply_leave_it_unsettled_although_they_agree() {
    let kit = service_of_stray(&[
        ("positions", "position,part,years,joint | top,S1,2005-,face | top,S1,-2004,face"),
        ("operations", "operation,opens,years | open,face,-2000"),
    ]);
    assert_eq!(gaps(&kit), "not-settled open, not-settled top");
}

#[test]
fn the_log_settles_what_rows_of_a_position_disagree_on() {
    let kit = service_of_stray(&[
        (
            "positions",
            "position,part,years,joint | top,S1,,face | top,S2,,face | side,S1,-2000,face",
        ),
        ("worklog", "date,machine,position,part | ,stray,top,S3 | ,stray,side,S3"),
    ]);
    assert_eq!((lines(&kit).as_str(), gaps(&kit).as_str()), ("2 S3 single-use for top+side", ""));
}

#[test]
fn what_lies_outside_the_plan_raises_nothing() {
    let kit = service(&[
        (
            "positions",
            "position,part,joint | top,S1,face | side,S1,lid | side,S2,lid | base,X1,lid",
        ),
        ("operations", "operation,opens,needs | open,face, | pry,lid, | pry,,ghost"),
    ]);
    assert_eq!(gaps(&kit), "");
}

// The strip order.

#[test]
fn operations_come_in_table_order_as_far_as_their_needs_allow() {
    let kit = service(&[
        ("job_lines", "job,operation | service,c | service,a | service,d"),
        ("operations", "operation,needs,model | d,c,Birch | a,b, | b,, | c,, | d,c,"),
    ]);
    // d stands first by its row for other machines, so it goes as soon as c is placed.
    assert_eq!(operations(&kit), "b, a, c, d");
    let kit = service(&[
        ("job_lines", "job,operation | service,a | service,d"),
        ("operations", "operation,needs,model | d,c,Birch | a,c, | c,, | d,c,"),
    ]);
    assert_eq!(operations(&kit), "c, d, a");
}

#[test]
fn a_need_without_a_row_for_the_machine_counts_as_placed() {
    let kit =
        service(&[("operations", "operation,needs,model | open,shield;ghost, | shield,,Birch")]);
    assert_eq!(
        (operations(&kit).as_str(), gaps(&kit).as_str()),
        ("open", "operation-unknown ghost")
    );
}

#[test]
fn of_operations_that_wait_for_each_other_the_earliest_that_needs_itself_is_placed_with_a_gap() {
    let kit = service(&[
        ("job_lines", "job,operation | service,after"),
        ("operations", "operation,needs | after,x | x,y | y,z | z,x"),
    ]);
    // after only waits; x is the earliest in the circle; once it is placed, after goes, then z, then y.
    assert_eq!(
        (operations(&kit).as_str(), gaps(&kit).as_str()),
        ("x, after, z, y", "operation-cycle x")
    );
    let kit = service(&[
        ("job_lines", "job,operation | service,a | service,c"),
        ("operations", "operation,needs | a,b | b,a | c,c;d | d,"),
    ]);
    assert_eq!(
        (operations(&kit).as_str(), gaps(&kit).as_str()),
        ("d, a, b, c", "operation-cycle a, operation-cycle c")
    );
}

// Joints.

/// The gaps of a service whose joint holds these positions and has nothing said of it.
fn joint_gaps(positions: &str, more: Typed) -> String {
    let positions = format!("position,part,joint {positions}");
    let mut typed = vec![("joints", "joint,dry"), ("positions", positions.as_str())];
    typed.extend_from_slice(more);
    gaps(&service(&typed))
}

#[test]
fn an_opened_joint_in_which_nothing_seals_is_a_gap() {
    assert_eq!(joint_gaps("| top,F1,face | side,W1,face", &[]), "joint-unsealed face");
    assert_eq!(joint_gaps("", &[]), "joint-unsealed face");
    assert_eq!(joint_gaps("| top,F1,face | side,S1,face", &[]), "");
    assert_eq!(joint_gaps("| top,F1,face | side,S1,lid", &[]), "joint-unsealed face");
}

#[test]
fn a_joint_said_to_be_dry_needs_nothing_that_seals_and_one_said_not_to_be_does() {
    assert_eq!(gaps(&service(&[("joints", "joint,dry | Face,yes")])), "");
    assert_eq!(gaps(&service(&[("joints", "joint,dry | face,no")])), "joint-unsealed face");
}

#[test]
fn a_seal_that_is_not_on_the_machine_seals_nothing() {
    assert_eq!(joint_gaps("| top,F1,face | side,-,face", &[]), "joint-unsealed face");
    let log = ("worklog", "date,machine,position,part | ,mill,side,-");
    assert_eq!(joint_gaps("| top,F1,face | side,S1,face", &[log]), "joint-unsealed face");
}

#[test]
fn what_sits_there_or_is_to_go_there_may_be_what_seals() {
    let goes = ("job_lines", "job,position,part,operation | service,top,S1,open");
    let fits = ("retrofits", "part,position,verdict | S1,top,fits");
    assert_eq!(joint_gaps("| top,F1,face", &[goes, fits]), "");
    let log = ("worklog", "date,machine,position,part | ,mill,top,S1");
    assert_eq!(joint_gaps("| top,F1,face", &[log]), "");
}

#[test]
fn what_is_to_go_where_nothing_sits_yet_is_not_on_the_machine_and_does_not_count() {
    let goes = ("job_lines", "job,position,part,operation | service,top,S1,open");
    let fits = ("retrofits", "part,position,verdict | S1,top,fits");
    assert_eq!(joint_gaps("| top,-,face | side,F1,face", &[goes, fits]), "joint-unsealed face");
}

#[test]
fn a_kept_seal_still_seals_its_joint() {
    let kit = service(&[
        ("joints", "joint,dry"),
        ("positions", "position,part,joint,when_disturbed | top,S1,face,keep"),
    ]);
    assert_eq!((actions(&kit).as_str(), gaps(&kit).as_str()), ("top keep", ""));
}

// What comes with what.

#[test]
fn what_lies_in_a_set_is_not_ordered_again() {
    let kit = service(&[
        ("positions", "position,part,quantity,joint | top,S1,3,face | side,S2,,face"),
        ("job_lines", "job,part,operation | service,F1,open"),
        ("contains", "part,contains,quantity | F1,S1,2 | F1,S3,1"),
    ]);
    assert_eq!(lines(&kit), "1 F1 new, 1 S1 single-use for top, 1 S2 single-use for side");
    assert_eq!((covered(&kit, "top").as_str(), covered(&kit, "side").as_str()), ("2 in F1", ""));
}

#[test]
fn each_of_a_provider_brings_its_contents() {
    let kit = service(&[
        ("positions", "position,part,quantity,joint | top,S1,9,face"),
        ("job_lines", "job,part,quantity,operation | service,F1,2,open"),
        ("contains", "part,contains,quantity | F1,S1,3"),
    ]);
    assert_eq!(lines(&kit), "2 F1 new, 3 S1 single-use for top");
}

#[test]
fn a_renewed_position_provides_what_its_final_part_contains_to_others_by_place_until_it_is_used_up()
{
    let kit = service(&[
        ("positions", "position,part,joint | early,S1,face | late,S1,face | pump,W1,"),
        ("job_lines", "job,position,operation | service,pump,open"),
        ("supersessions", "old,new | W1,W2"),
        ("contains", "part,contains | W2,S1 | W1,S1"),
    ]);
    assert_eq!(lines(&kit), "1 S1 single-use for late, 1 W2 new for pump");
    assert_eq!(covered(&kit, "early"), "1 in W2");
}

#[test]
fn what_is_only_inspected_or_kept_provides_nothing() {
    let kit = service(&[
        ("positions", "position,part,joint | top,S1,face | pump,W1,face | side,F1,face"),
        ("contains", "part,contains | W1,S1 | F1,S1"),
    ]);
    assert_eq!(lines(&kit), "1 S1 single-use for top");
}

#[test]
fn sets_provide_before_positions() {
    let kit = service(&[
        ("positions", "position,part,joint | pump,W1, | top,S1,face"),
        ("job_lines", "job,position,part,operation | service,pump,,open | service,,F1,"),
        ("contains", "part,contains | W1,S1 | F1,S1"),
    ]);
    assert_eq!(covered(&kit, "top"), "1 in F1");
}

#[test]
fn positions_provide_by_place_with_their_final_parts_in_order() {
    let kit = service(&[
        (
            "positions",
            "position,part,joint | b,W1, | a,W4, | one,S1,face | two,S1,face | three,S1,face",
        ),
        ("job_lines", "job,position,operation | service,a, | service,b,open"),
        ("supersessions", "old,new,together | W1,W3,pair | W1,W2,pair"),
        ("contains", "part,contains | W4,S1 | W2,S1 | W3,S1"),
    ]);
    assert_eq!(covered(&kit, "one"), "1 in W3");
    assert_eq!(covered(&kit, "two"), "1 in W2");
    assert_eq!(covered(&kit, "three"), "1 in W4");
}

#[test]
fn what_a_job_line_names_itself_is_ordered_although_something_contains_it() {
    let kit = service(&[
        ("positions", "position,part | pump,W1 | top,S1"),
        ("job_lines", "job,position | service,pump | service,top"),
        ("contains", "part,contains,position | W1,S1,top"),
    ]);
    assert_eq!(lines(&kit), "1 S1 new for top, 1 W1 new for pump");
}

#[test]
fn what_a_position_gets_does_not_come_out_of_its_own_part() {
    let kit = service(&[
        ("positions", "position,part,joint,quantity | top,S1,face,2"),
        ("contains", "part,contains | S1,S1 | S1,S2 | S2,S1"),
    ]);
    assert_eq!(lines(&kit), "2 S1 single-use for top");
}

#[test]
fn what_lies_in_one_of_several_parts_for_a_position_does_not_go_to_another_of_them() {
    let kit = service(&[
        ("positions", "position,part,joint | top,S1,face"),
        ("supersessions", "old,new,together | S1,S2,pair | S1,F1,pair"),
        ("contains", "part,contains,position | S2,F1,top | S2,F1,"),
    ]);
    assert_eq!(covered(&kit, "top"), "");
    assert_eq!(lines(&kit), "1 F1 single-use for top, 1 S2 single-use for top");
}

#[test]
fn a_named_position_gets_the_contained_part_whatever_its_number_there() {
    let kit = service(&[
        ("positions", "position,part,joint | pump,W1, | early,S1,face | top,S5,face"),
        ("job_lines", "job,position,operation | service,pump,open"),
        ("contains", "part,contains,position | W1,S1,top"),
    ]);
    assert_eq!(lines(&kit), "1 S1 single-use for early, 1 W1 new for pump");
    assert_eq!(covered(&kit, "top"), "1 in W1");
}

#[test]
fn without_a_named_position_a_contained_part_serves_wherever_it_is_free_on_the_chain() {
    let with = |supersessions: &str, contained: &str| {
        let kit = service(&[
            ("positions", "position,part,joint | top,S1,face | side,W1,"),
            ("job_lines", "job,part,operation | service,F1,open"),
            ("supersessions", supersessions),
            ("contains", &format!("part,contains | F1,{contained}")),
        ]);
        covered(&kit, "top")
    };
    assert_eq!(with("old,new | S1,S2 | S2,S3", "S1"), "1 in F1", "the first number still does");
    assert_eq!(with("old,new | S1,S2 | S2,S3", "S3"), "1 in F1");
    let needs = "old,new,needs | S1,S2,side | S2,S3,";
    assert_eq!(with(needs, "S1"), "", "a later row needs something else to change");
    assert_eq!(with(needs, "S2"), "1 in F1", "nothing that comes after it needs anything");
    assert_eq!(with("old,new | S2,S1", "S2"), "", "an earlier number is not on the chain");
}

#[test]
fn a_part_that_stays_in_a_group_with_needs_is_free_itself() {
    let kit = service(&[
        ("positions", "position,part,joint | top,S1,face | side,W1,"),
        ("job_lines", "job,part,operation | service,F1,open"),
        ("supersessions", "old,new,together,needs | S1,S1,backed, | S1,S2,backed,side"),
        ("contains", "part,contains | F1,S1"),
    ]);
    assert_eq!(lines(&kit), "1 F1 new, 1 S2 single-use for top, 1 W1 companion for side");
}

#[test]
fn contents_are_unpacked_in_table_order_and_depth_first() {
    // F1 holds a bag and a ring; the bag, which is opened first, holds a ring as well.
    let kit = service(&[
        ("positions", "position,part,joint | one,S1,face | two,S1,face"),
        ("job_lines", "job,part,operation | service,F1,open"),
        ("contains", "part,contains | F1,F2 | F1,S1 | F2,S1"),
    ]);
    assert_eq!(
        (covered(&kit, "one").as_str(), covered(&kit, "two").as_str()),
        ("1 in F2", "1 in F1")
    );
    assert_eq!(lines(&kit), "1 F1 new");
}

#[test]
fn contents_multiply_through_a_bag_in_a_bag_and_what_covers_is_the_innermost() {
    let kit = service(&[
        ("positions", "position,part,quantity,joint | top,S1,20,face"),
        ("job_lines", "job,part,quantity,operation | service,F1,2,open"),
        ("contains", "part,contains,quantity | F1,F2,3 | F2,S1,2 | F1,S1,1"),
    ]);
    assert_eq!(covered(&kit, "top"), "12 in F2, 2 in F1");
    assert_eq!(lines(&kit), "2 F1 new, 6 S1 single-use for top");
}

#[test]
fn a_part_is_never_inside_itself() {
    let kit = service(&[
        ("positions", "position,part,quantity,joint | top,S1,20,face | side,F1,,"),
        ("job_lines", "job,part,position,operation | service,F1,,open | service,,side,"),
        ("contains", "part,contains | F1,F2 | F2,F1 | F2,S1"),
    ]);
    assert_eq!(covered(&kit, "top"), "2 in F2");
}

#[test]
fn a_provider_that_is_itself_covered_brings_its_contents_only_once() {
    let kit = service(&[
        ("positions", "position,part,joint | one,S1,face | two,S1,face | liner,S2,face"),
        ("job_lines", "job,part,operation | service,F1,open"),
        ("contains", "part,contains,position | F1,S2,liner | S2,S1,"),
    ]);
    // The liner comes with the set and its one ring with the liner: the second ring is ordered.
    assert_eq!(
        (covered(&kit, "liner").as_str(), covered(&kit, "one").as_str()),
        ("1 in F1", "1 in S2")
    );
    assert_eq!(lines(&kit), "1 F1 new, 1 S1 single-use for two");
}

#[test]
fn covers_by_one_container_are_summed() {
    let kit = service(&[
        ("positions", "position,part,quantity,joint | top,S1,5,face"),
        ("job_lines", "job,part,operation | service,F1,open"),
        ("contains", "part,contains,quantity,position | F1,S1,2, | F1,S1,1,top"),
    ]);
    assert_eq!(
        (covered(&kit, "top").as_str(), lines(&kit).as_str()),
        ("3 in F1", "1 F1 new, 2 S1 single-use for top")
    );
}

#[test]
fn contents_in_another_unit_of_the_same_kind_count_and_of_another_kind_do_not() {
    let kit = service(&[
        ("positions", "position,part,quantity,joint | fill,L1,1 L,face | bleed,L2,1 L,face"),
        ("job_lines", "job,part,operation | service,F1,open"),
        ("contains", "part,contains,quantity | F1,L1,300 ml | F1,L2,2"),
    ]);
    assert_eq!(
        (covered(&kit, "fill").as_str(), covered(&kit, "bleed").as_str()),
        ("0.3 in F1", "")
    );
    assert_eq!(lines(&kit), "0.7 L L1 single-use for fill, 1 F1 new, 1 L L2 single-use for bleed");
}

#[test]
fn amounts_beyond_all_measure_are_no_reason_to_break_off() {
    let chain = "old,new,quantity | S1,S2,1000000000 | S2,S3,1000000000 | S3,S4,1000000000 | S4,S5,1000000000";
    let bags = "part,contains,quantity | F1,F2,1000000000 | F2,F3,1000000000 | F3,F4,1000000000 | F4,S1,1000000000";
    for contents in ["part,contains,quantity | F1,S1,1", bags] {
        let kit = service(&[
            ("positions", "position,part,joint | top,S1,face | side,S1,face"),
            ("job_lines", "job,part,operation | service,F1,open | service,F1,"),
            ("supersessions", chain),
            ("contains", contents),
        ]);
        assert_eq!(actions(&kit), "top renew, side renew");
    }
}

// Roles and lines.

#[test]
fn a_position_is_new_by_a_job_line_companion_by_a_need_and_single_use_by_a_rule() {
    let kit = service(&[
        (
            "positions",
            "position,part,joint | top,S1,face | side,W1,face | base,W2,face | screw,F1,face",
        ),
        ("job_lines", "job,position,operation | service,base,open"),
        ("supersessions", "old,new,needs | S1,S2,side"),
    ]);
    let roles = ["top", "side", "base", "screw"].map(|position| role(&kit, position));
    assert_eq!(roles, ["single-use", "companion", "new", "none"]);
}

#[test]
fn a_position_named_by_a_job_line_and_by_a_need_is_new() {
    let kit = service(&[
        ("positions", "position,part,joint | top,S1,face | side,W1,"),
        ("job_lines", "job,position,operation | service,side,open"),
        ("supersessions", "old,new,needs | S1,S2,side"),
    ]);
    assert_eq!(role(&kit, "side"), "new");
}

#[test]
fn a_line_adds_up_one_part_and_takes_the_weightiest_role_of_its_sources() {
    let kit = service(&[
        ("positions", "position,part,quantity,joint | top,S1,2,face | side,S2,,face | base,S2,"),
        ("supersessions", "old,new,needs | S1,S2,"),
        ("job_lines", "job,position,part,operation | service,base,, | service,,,open"),
        ("operations", "operation,opens,uses | open,face,S2=4"),
    ]);
    assert_eq!(lines(&kit), "8 S2 new for top+side+base");
}

#[test]
fn the_roles_of_a_line_are_weighed_new_companion_single_use_consumable() {
    let with = |job_lines: &str, needs: &str| {
        lines(&service(&[
            ("positions", "position,part,joint | top,S1,face | side,L1,"),
            ("supersessions", &format!("old,new,needs | S1,S2,{needs}")),
            ("job_lines", &format!("job,part,operation | service,,open {job_lines}")),
            ("operations", "operation,opens,uses | open,face,S2=1;L1=1"),
        ]))
    };
    assert_eq!(with("", ""), "1 L1 consumable, 2 S2 single-use for top");
    assert_eq!(with("", "side"), "2 L1 companion for side, 2 S2 single-use for top");
    assert_eq!(with("| service,L1, | service,S2,", "side"), "3 L1 new for side, 3 S2 new for top");
}

#[test]
fn what_an_operation_uses_is_a_consumable_in_the_parts_unit() {
    let kit = service(&[
        ("parts", "part,type,unit | K1,fluid,g"),
        ("operations", "operation,uses,needs | open,L1=350 ml;K1=as-needed,safe | safe,L1=0.15 L,"),
    ]);
    assert_eq!(lines(&kit), "0 g K1 consumable, 0.5 L L1 consumable");
    assert!(kit.lines.iter().all(|line| line.as_needed == (line.part == "K1")));
}

#[test]
fn what_an_operation_uses_is_followed_to_what_it_became_and_its_gaps_are_on_that_number() {
    let kit = service(&[
        ("operations", "operation,uses | open,L1=1 L;X1=2;X2=1"),
        ("supersessions", "old,new,quantity | L1,L2,2 | X1,X9, | X2,D1,"),
    ]);
    assert_eq!(lines(&kit), "1 D1 consumable, 2 L L2 consumable, 2 X9 consumable");
    assert_eq!(gaps(&kit), "discontinued D1, part-unknown X9");
}

#[test]
fn a_set_to_buy_that_is_not_among_the_parts_or_is_made_no_more_is_a_gap_on_its_number() {
    let kit = service(&[("job_lines", "job,part | service,X1 | service,D1")]);
    assert_eq!(
        (gaps(&kit).as_str(), lines(&kit).as_str()),
        ("discontinued D1, part-unknown X1", "1 D1 new, 1 X1 new")
    );
}

#[test]
fn uses_are_never_covered_by_what_a_set_contains() {
    let kit = service(&[
        ("job_lines", "job,part,operation | service,F1,open"),
        ("operations", "operation,uses | open,S1=1"),
        ("contains", "part,contains | F1,S1"),
    ]);
    assert_eq!(lines(&kit), "1 F1 new, 1 S1 consumable");
}

#[test]
fn a_part_sold_only_as_a_set_serves_every_position_that_names_it_so() {
    let kit = service(&[(
        "positions",
        "position,part,quantity,joint | one,S1,set,face | two,S1,set,face | three,S1,2,face",
    )]);
    assert_eq!(lines(&kit), "3 S1 single-use for one+two+three");
    assert_eq!((parts(&kit, "one").as_str(), parts(&kit, "two").as_str()), ("1 S1", "1 S1"));
}

#[test]
fn positions_that_name_a_set_share_it_by_what_the_part_became() {
    let kit = service(&[
        ("positions", "position,part,quantity,joint | one,S1,set,face | two,S2,set,face"),
        ("supersessions", "old,new | S1,S2"),
    ]);
    assert_eq!(lines(&kit), "1 S2 single-use for one+two");
}

#[test]
fn of_positions_that_share_a_set_the_largest_remainder_counts() {
    let typed = |contents: &str| {
        lines(&service(&[
            ("positions", "position,part,quantity,joint | one,S1,set,face | two,S1,set,face"),
            ("job_lines", "job,part,operation | service,F1,open"),
            ("contains", &format!("part,contains {contents}")),
        ]))
    };
    assert_eq!(
        typed("| F1,S1"),
        "1 F1 new, 1 S1 single-use for two",
        "one of the two is still without"
    );
    assert_eq!(typed("| F1,S1 | F1,S1"), "1 F1 new");
}

#[test]
fn what_lies_in_a_shared_set_is_counted_once() {
    let kit = service(&[
        (
            "positions",
            "position,part,quantity,joint | one,S1,set,face | two,S1,set,face | a,S2,,face | b,S2,,face",
        ),
        ("contains", "part,contains | S1,S2"),
    ]);
    assert_eq!(lines(&kit), "1 S1 single-use for one+two, 1 S2 single-use for b");
}

#[test]
fn a_logged_or_wanted_number_takes_a_position_out_of_its_set() {
    let kit = service(&[
        ("positions", "position,part,quantity,joint | one,S1,set,face | two,S1,set,face"),
        ("worklog", "date,machine,position,part,quantity | ,mill,two,S1,1"),
    ]);
    assert_eq!(lines(&kit), "2 S1 single-use for one+two");
}

// Complete, refused, explained.

#[test]
fn a_kit_without_gaps_is_complete_and_one_gap_is_enough_to_end_that() {
    assert!(service(&[TOP]).complete);
    assert!(!service(&[TOP, ("operations", "operation,opens,needs | open,face,ghost")]).complete);
}

#[test]
fn a_job_that_is_not_for_the_machine_is_refused_unless_the_person_insists() {
    let typed: Typed = &[TOP, ("jobs", "job,model,years | service,Birch, | service,,2005-")];
    match answer(typed, &ask("service", "mill")) {
        Err(Refusal::NotForMachine { job, machine, limits }) => {
            assert_eq!((job.as_str(), machine.as_str()), ("service", "mill"));
            assert!(limits.contains("Birch") && limits.contains("2005-"), "{limits}");
        }
        other => panic!("{other:?}"),
    }
    let kit = kit(typed, &Ask { insist: true, ..ask("service", "mill") });
    assert_eq!((kit.insisted.join(","), kit.complete), ("service".to_owned(), true));
    assert_eq!(actions(&kit), "top renew");
}

#[test]
fn insisting_on_a_job_does_not_let_in_lines_for_other_machines() {
    let typed: Typed = &[
        THREE_PLACES,
        ("jobs", "job,model | service,Birch"),
        ("job_lines", "job,position,model | service,top,Birch | service,side,"),
    ];
    assert_eq!(actions(&kit(typed, &Ask { insist: true, ..ask("service", "mill") })), "side renew");
}

#[test]
fn one_job_of_several_that_is_not_for_the_machine_refuses_all() {
    let typed: Typed = &[TOP, ("jobs", "job,model | service, | second,Birch")];
    assert!(matches!(
        answer(typed, &ask("service second", "mill")),
        Err(Refusal::NotForMachine { .. })
    ));
}

#[test]
fn every_reason_names_the_file_and_line_it_comes_from() {
    let kit = service(&[
        (
            "engine/positions",
            "position,part,joint,reached_by | top,S1,face,dig | side,W1,, | base,F1,face,",
        ),
        ("operations", "operation,opens,needs,uses | safe,,,F4=1 | dig,,, | open,face,safe,"),
        ("supersessions", "old,new,needs | S1,S2,side=W2"),
        ("retrofits", "part,position,verdict,operations | W2,side,fits-with,dig"),
    ]);
    let of_operation = |name: &str| {
        let planned = kit.operations.iter().find(|planned| planned.operation == name).expect(name);
        texts(&planned.because)
    };
    assert!(
        of_operation("open").contains("service")
            && of_operation("open").contains("job_lines.csv:2")
    );
    assert!(
        of_operation("safe").contains("open") && of_operation("safe").contains("operations.csv:4")
    );
    let dig = of_operation("dig");
    assert!(dig.contains("top") && dig.contains("engine/positions.csv:2"), "{dig}");
    assert!(dig.contains("side") && dig.contains("retrofits.csv:2"), "{dig}");
    let top = texts(&at(&kit, "top").because);
    assert!(top.contains("open opens face") && top.contains("operations.csv:4"), "{top}");
    assert!(
        top.contains("soft seal") && top.contains("always/types.csv:2"),
        "the rule and its row: {top}"
    );
    let side = texts(&at(&kit, "side").because);
    assert!(side.contains("S2") && side.contains("supersessions.csv:2"), "{side}");
    let base = texts(&at(&kit, "base").because);
    assert!(base.contains("fastener") && base.contains("always/types.csv:3"), "{base}");
    let line =
        |part: &str| texts(&kit.lines.iter().find(|line| line.part == part).expect(part).because);
    assert!(
        line("S2").contains("top") && line("S2").contains("engine/positions.csv:2"),
        "{}",
        line("S2")
    );
    assert!(
        line("F4").contains("safe") && line("F4").contains("operations.csv:2"),
        "{}",
        line("F4")
    );
    let places = kit.operations.iter().flat_map(|planned| &planned.because);
    let places = places.chain(kit.positions.iter().flat_map(|planned| &planned.because));
    for reason in places.chain(kit.lines.iter().flat_map(|line| &line.because)) {
        assert!(reason.place.contains(".csv:"), "{reason}");
    }
}

#[test]
fn every_position_operation_and_line_has_a_reason() {
    let kit = service(&[
        ("positions", "position,part,joint | top,S1,face | side,W1,face | base,F1,face"),
        ("operations", "operation,opens,needs,uses | open,face,safe,L1=1 L | safe,,,"),
        ("job_lines", "job,part,operation | service,F2,open"),
    ]);
    assert_eq!((kit.positions.len(), kit.operations.len(), kit.lines.len()), (3, 2, 3));
    assert!(kit.positions.iter().all(|planned| !planned.because.is_empty()));
    assert!(kit.operations.iter().all(|planned| !planned.because.is_empty()));
    assert!(kit.lines.iter().all(|line| !line.because.is_empty()));
}

#[test]
fn a_gap_comes_once_for_its_kind_and_subject_and_says_what_to_do() {
    let kit = service(&[
        ("positions", "position,part,joint | top,D1,face | side,D1,face | base,X1,face"),
        ("operations", "operation,opens,needs | open,face,ghost;spirit | safe,,ghost"),
        ("job_lines", "job,operation | service,open | service,safe"),
    ]);
    assert_eq!(
        gaps(&kit),
        "discontinued D1, operation-unknown ghost, operation-unknown spirit, part-unknown base"
    );
    for gap in &kit.gaps {
        let advises = ["add", "find", "fill", "correct", "write"]
            .iter()
            .any(|verb| gap.message.contains(verb));
        assert!(advises, "{}: {}", gap.kind, gap.message);
    }
}

#[test]
fn a_gap_is_about_the_name_as_its_own_table_spells_it() {
    let kit = service(&[
        ("parts", "part,type,status | Q-7,soft seal,discontinued"),
        ("positions", "position,part,joint | Top,q7,face | TOP,S1,face"),
    ]);
    assert_eq!(gaps(&kit), "discontinued Q-7, overlap Top");
}

// What the person adds to a job.

const PUMP: (&str, &str) = (
    "positions",
    "position,part,joint,reached_by | seal,S1,face,open | rotor,W1,face,open | bolts,F1,face,open",
);

#[test]
fn positions_may_be_renewed_without_a_job() {
    let kit = kit(&[PUMP], &Ask { renew: keys("rotor"), ..ask("", "mill") });
    assert_eq!(
        (operations(&kit).as_str(), actions(&kit).as_str()),
        ("open", "seal renew, rotor renew, bolts keep")
    );
    assert_eq!(lines(&kit), "1 S1 single-use for seal, 1 W1 new for rotor");
    assert!(kit.jobs.is_empty() && kit.complete);
}

#[test]
fn an_inspected_or_kept_position_is_renewed_when_the_person_says_so() {
    let plain = service(&[PUMP]);
    assert_eq!(actions(&plain), "seal renew, rotor inspect, bolts keep");
    let kit = kit(&[PUMP], &Ask { renew: keys("ROTOR bolts"), ..ask("service", "mill") });
    assert_eq!(actions(&kit), "seal renew, rotor renew, bolts renew");
    assert_eq!((role(&kit, "rotor").as_str(), role(&kit, "seal").as_str()), ("new", "single-use"));
}

#[test]
fn a_single_use_part_reused_on_the_persons_word_is_named_and_not_ordered() {
    let kit = kit(&[PUMP], &Ask { reuse: keys("Seal"), ..ask("service", "mill") });
    assert_eq!(kit.reused, ["seal"]);
    assert_eq!(
        (actions(&kit).as_str(), lines(&kit).as_str()),
        ("seal keep, rotor inspect, bolts keep", "")
    );
    assert!(service(&[PUMP]).reused.is_empty());
}

#[test]
fn what_a_reused_part_would_have_called_for_is_not_called_for() {
    let typed: Typed = &[
        ("positions", "position,part,joint,reached_by | seal,S1,face,dig | side,W1,,"),
        ("operations", "operation,opens | open,face | dig,"),
        ("supersessions", "old,new,needs | S1,D1,side"),
    ];
    let plain = service(typed);
    assert_eq!(
        (operations(&plain).as_str(), actions(&plain).as_str()),
        ("open, dig", "seal renew, side renew")
    );
    let kit = kit(typed, &Ask { reuse: keys("seal"), ..ask("service", "mill") });
    assert_eq!(
        (operations(&kit).as_str(), actions(&kit).as_str(), gaps(&kit).as_str()),
        ("open", "seal keep", "")
    );
}

fn not_reusable(typed: Typed, ask: &Ask) -> String {
    match answer(typed, ask) {
        Err(Refusal::NotReusable { position, why }) => format!("{position}: {why}"),
        other => panic!("{other:?}"),
    }
}

#[test]
fn what_the_job_itself_or_a_need_changes_cannot_be_reused() {
    let own = ("job_lines", "job,position,operation | service,seal,open");
    let refusal =
        not_reusable(&[PUMP, own], &Ask { reuse: keys("seal"), ..ask("service", "mill") });
    assert!(refusal.starts_with("seal: ") && refusal.contains("job"), "{refusal}");
    let companion = ("supersessions", "old,new,needs | S1,S2,bolts");
    let refusal =
        not_reusable(&[PUMP, companion], &Ask { reuse: keys("bolts"), ..ask("service", "mill") });
    assert!(refusal.starts_with("bolts: "), "{refusal}");
}

#[test]
fn what_the_person_renews_cannot_be_reused_as_well() {
    let question = Ask { reuse: keys("seal"), renew: keys("seal"), ..ask("service", "mill") };
    assert!(not_reusable(&[PUMP], &question).starts_with("seal: "));
}

#[test]
fn what_is_not_renewed_or_not_disturbed_at_all_cannot_be_reused() {
    let elsewhere = ("elsewhere/positions", "position,part | far,S1");
    for position in ["rotor", "far"] {
        let question = Ask { reuse: keys(position), ..ask("service", "mill") };
        assert!(not_reusable(&[PUMP, elsewhere], &question).starts_with(position));
    }
}

#[test]
fn the_persons_own_part_takes_the_place_of_the_jobs_without_a_conflict() {
    let typed: Typed = &[
        PUMP,
        ("job_lines", "job,position,part,operation | service,rotor,W2,open"),
        ("retrofits", "part,position,verdict,needs | W2,rotor,fits-with,bolts | W3,rotor,fits,"),
    ];
    let plain = service(typed);
    assert_eq!(
        (parts(&plain, "rotor").as_str(), actions(&plain).as_str()),
        ("1 W2", "seal renew, rotor renew, bolts renew")
    );
    let kit =
        kit(typed, &Ask { instead: vec![instead("rotor", "W3*2")], ..ask("service", "mill") });
    assert_eq!((parts(&kit, "rotor").as_str(), gaps(&kit).as_str()), ("2 W3", ""));
    assert_eq!(
        (actions(&kit).as_str(), operations(&kit).as_str()),
        ("seal renew, rotor renew, bolts keep", "open")
    );
    assert_eq!(role(&kit, "rotor"), "new");
}

#[test]
fn the_persons_own_choice_stands_in_for_a_renewal_by_the_job_as_well() {
    let typed: Typed = &[PUMP, ("job_lines", "job,position,operation | service,rotor,open")];
    let kit_for = |change| {
        kit(typed, &Ask { instead: vec![instead("rotor", change)], ..ask("service", "mill") })
    };
    let empty = kit_for("-");
    assert_eq!(
        (actions(&empty).as_str(), gaps(&empty).as_str()),
        ("seal renew, rotor leave-out, bolts keep", "")
    );
    let other = kit_for("W1*2");
    assert_eq!((parts(&other, "rotor").as_str(), gaps(&other).as_str()), ("2 W1", ""));
    assert_eq!(operations(&other), "open", "what else the line does is done");
}

#[test]
fn the_persons_own_part_must_fit_like_any_other() {
    let kit =
        kit(&[PUMP], &Ask { instead: vec![instead("rotor", "W4")], ..ask("service", "mill") });
    assert_eq!((parts(&kit, "rotor").as_str(), gaps(&kit).as_str()), ("1 W4", "fit-unknown rotor"));
}

#[test]
fn the_person_may_leave_a_position_empty_that_the_job_fills() {
    let typed: Typed =
        &[PUMP, ("job_lines", "job,position,part,operation | service,rotor,W1,open")];
    let kit = kit(typed, &Ask { instead: vec![instead("rotor", "-")], ..ask("service", "mill") });
    assert_eq!(
        (actions(&kit).as_str(), gaps(&kit).as_str()),
        ("seal renew, rotor leave-out, bolts keep", "")
    );
}

#[test]
fn the_persons_own_part_stays_where_a_need_wants_another_and_the_conflict_is_told() {
    let typed: Typed = &[PUMP, ("supersessions", "old,new,needs | S1,S2,rotor=W5")];
    let kit = kit(typed, &Ask { instead: vec![instead("rotor", "W1")], ..ask("service", "mill") });
    assert_eq!((parts(&kit, "rotor").as_str(), gaps(&kit).as_str()), ("1 W1", "conflict rotor"));
}

#[test]
fn several_jobs_at_once_take_apart_once_and_add_up_their_parts() {
    let typed: Typed = &[
        PUMP,
        (
            "job_lines",
            "job,position,part,operation | service,,,open | second,rotor,, | second,,S1,",
        ),
        ("operations", "operation,opens,uses | open,face,L1=1 L"),
    ];
    let both = kit(typed, &ask("service second SERVICE", "mill"));
    assert_eq!(
        (both.jobs.join(" ").as_str(), operations(&both).as_str()),
        ("service second", "open")
    );
    assert_eq!(lines(&both), "1 L L1 consumable, 1 W1 new for rotor, 2 S1 new for seal");
}

#[test]
fn nothing_asked_is_refused() {
    assert!(matches!(answer(&[PUMP], &ask("", "mill")), Err(Refusal::NothingAsked { .. })));
}

#[test]
fn a_name_that_is_not_there_is_refused_with_the_nearest_one_known() {
    let meant = |refusal: Result<Kit, Refusal>| match refusal {
        Err(Refusal::NoMachine(unknown)) => ("machine", unknown.meant),
        Err(Refusal::NoJob(unknown)) => ("job", unknown.meant),
        Err(Refusal::NoPosition(unknown)) => ("position", unknown.meant),
        other => panic!("{other:?}"),
    };
    let near = |what, name: &str| (what, Some(name.to_owned()));
    assert_eq!(meant(answer(&[PUMP], &ask("service", "mil"))), near("machine", "mill"));
    assert_eq!(meant(answer(&[PUMP], &ask("servise", "mill"))), near("job", "service"));
    let service = || ask("service", "mill");
    assert_eq!(
        meant(answer(&[PUMP], &Ask { renew: keys("rotr"), ..service() })),
        near("position", "rotor")
    );
    assert_eq!(
        meant(answer(&[PUMP], &Ask { reuse: keys("boltss"), ..service() })),
        near("position", "bolts")
    );
    let question = Ask { instead: vec![instead("sael", "S1")], ..service() };
    assert_eq!(meant(answer(&[PUMP], &question)), near("position", "seal"));
    let far = meant(answer(&[PUMP], &ask("gearbox", "mill")));
    assert_eq!(far, ("job", None), "a name like nothing known is not guessed at");
}

#[test]
fn a_refusal_says_the_nearest_name_or_what_there_is() {
    let said = |ask: &Ask| {
        answer(&[PUMP], ask).err().map(|refusal| refusal.to_string()).unwrap_or_default()
    };
    assert!(said(&ask("servise", "mill")).contains("'service'"));
    let all = said(&ask("gearbox", "mill"));
    assert!(all.contains("service") && all.contains("second"), "{all}");
}

/// Runs the program on the demonstration; gives its exit status, what it printed and what it complained of.
fn run(arguments: &str) -> (i32, String, String) {
    let mut command = std::process::Command::new(env!("CARGO_BIN_EXE_kitwright"));
    command.args(arguments.split_whitespace());
    command.arg("--catalog").arg(std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("demo"));
    let output = command.output().expect("the program runs");
    let text = |bytes| String::from_utf8(bytes).expect("plain text");
    (output.status.code().expect("an exit status"), text(output.stdout), text(output.stderr))
}

#[test]
fn the_command_line_passes_on_what_the_person_adds() {
    let json = |arguments: &str| {
        let (status, printed, _) = run(&format!("{arguments} --json"));
        (status, serde_json::from_str::<serde_json::Value>(&printed).expect("one JSON object"))
    };
    let (status, kit) = json("kit --renew telltale-hose telltale-clip --on tender");
    let new: Vec<&str> =
        kit["lines"].as_array().expect("lines").iter().filter_map(|l| l["part"].as_str()).collect();
    assert!(status == 0 && new.contains(&"TV-3330-00") && new.contains(&"91-3710"), "{new:?}");
    let (_, kit) = json("kit cooling-pump --on dinghy --reuse driveshaft-top-oring");
    assert_eq!(kit["reused"], serde_json::json!(["driveshaft-top-oring"]));
    let (status, kit) = json("kit thermostat --on dinghy --instead thermostat=-");
    let planned = kit["positions"]
        .as_array()
        .expect("positions")
        .iter()
        .find(|p| p["position"] == "thermostat");
    assert_eq!(
        (status, &planned.expect("the thermostat")["action"]),
        (0, &serde_json::json!("leave-out"))
    );
    let (_, kit) = json("kit cooling-pump thermostat --on tender --insist");
    assert_eq!(kit["insisted"], serde_json::json!(["cooling-pump"]));
}

#[test]
fn the_command_line_refuses_with_status_two_and_nothing_on_standard_output() {
    for (arguments, says) in [
        ("kit cooling-pump --on tender", "TV8"),
        ("kit cooling-pomp --on dinghy", "cooling-pump"),
        ("kit cooling-pump --on dingy", "dinghy"),
        ("kit --renew thermostatt --on dinghy", "thermostat"),
        ("kit cooling-pump --on dinghy --reuse pump-housing", "pump-housing"),
        ("kit --on dinghy", "--renew"),
    ] {
        let (status, printed, complaint) = run(arguments);
        assert_eq!((status, printed.as_str()), (2, ""), "{arguments}");
        assert!(complaint.contains(says), "{arguments}: {complaint}");
    }
}

#[test]
fn a_position_that_only_the_log_names_may_be_renewed() {
    let log = ("worklog", "date,machine,position,part | ,mill,stay,W1");
    let kit = kit(&[PUMP, log], &Ask { renew: keys("stay"), ..ask("", "mill") });
    assert_eq!(
        (lines(&kit).as_str(), gaps(&kit).as_str()),
        ("1 W1 new for stay", "position-unknown stay")
    );
}

// What the rules pass over in silence but a person should look at again.

/// The doubts of a kit, less those about ways in: the small catalogs here name none.
fn doubts(kit: &Kit) -> Vec<&str> {
    kit.doubts
        .iter()
        .map(String::as_str)
        .filter(|doubt| !doubt.contains("names no way in"))
        .collect()
}

/// The one doubt of a kit that is complete all the same.
fn doubt(kit: &Kit) -> &str {
    assert!(kit.complete, "a doubt is no gap");
    match doubts(kit).as_slice() {
        [doubt] => doubt,
        other => panic!("{other:?}"),
    }
}

#[test]
fn a_position_without_a_way_in_that_nothing_takes_apart_is_a_doubt() {
    let kit = service(&[
        ("positions", "position,part | side,W1"),
        ("job_lines", "job,position | service,side"),
    ]);
    assert!(
        kit.complete && kit.doubts.iter().any(|doubt| doubt.contains("names no way in")),
        "{:?}",
        kit.doubts
    );
}

#[test]
fn a_joint_that_its_own_way_in_does_not_open_is_a_doubt() {
    let tables = [
        ("positions", "position,part,joint,reached_by | seal,S1,face,open | other,S1,fase,open"),
        ("operations", "operation,opens | open,face"),
        ("job_lines", "job,position | service,seal"),
    ];
    let kit = service(&tables);
    assert!(
        doubt(&kit).contains("other") && doubt(&kit).contains("did you mean face?"),
        "{}",
        doubt(&kit)
    );
}

#[test]
fn a_tidy_catalog_leaves_no_doubt() {
    assert!(service(&[PUMP]).doubts.is_empty());
}

#[test]
fn fewer_of_a_part_there_already_than_are_called_for_is_a_doubt() {
    let with = |needs| superseded_with_side(needs, "side,W2,2");
    let kit = with("S1,S2,side=W2*3");
    assert!(doubt(&kit).contains("side") && doubt(&kit).contains('3'), "{}", doubt(&kit));
    assert!(with("S1,S2,side=W2*2").doubts.is_empty());
    assert!(with("S1,S2,side=W2").doubts.is_empty());
}

#[test]
fn a_second_call_for_more_of_the_same_part_is_a_doubt() {
    let with = |first: &str, second: &str| {
        service(&[
            THREE_PLACES,
            (
                "job_lines",
                &format!(
                    "job,position,part,quantity | service,top,W1,{first} | service,top,W1,{second}"
                ),
            ),
        ])
    };
    assert!(doubt(&with("2", "3")).contains("top"));
    assert!(doubts(&with("3", "2")).is_empty());
}

#[test]
fn a_position_that_only_an_unused_row_puts_into_an_opened_joint_is_a_doubt() {
    let kit = service(&[(
        "positions",
        "position,part,joint | seal,S1,face | side,W1,lid | side,W1,face",
    )]);
    assert!(
        doubt(&kit).contains("side") && doubt(&kit).contains("positions.csv:4"),
        "{}",
        doubt(&kit)
    );
}

#[test]
fn what_the_successor_of_a_set_or_a_consumable_needs_is_a_doubt() {
    let kit = service(&[
        ("positions", "position,part | side,W1"),
        ("job_lines", "job,part | service,F1"),
        ("supersessions", "old,new,needs | F1,F2,side"),
    ]);
    assert!(doubt(&kit).contains("F2") && doubt(&kit).contains("side"), "{}", doubt(&kit));
    assert_eq!(actions(&kit), "");
}

#[test]
fn counting_on_more_contents_than_arrive_is_a_doubt() {
    // W1 at `early` gives its ring away before the later assembly turns out to bring a W1 of its own.
    let kit = service(&[
        ("positions", "position,part,joint | early,W1, | ring,S1,face | late,W2,"),
        ("job_lines", "job,position,operation | service,late,open"),
        ("operations", "operation,opens | open,face"),
        ("supersessions", "old,new,needs | W2,W3,early"),
        ("contains", "part,contains,position | W1,S1, | W3,W1,early"),
    ]);
    assert_eq!(covered(&kit, "early"), "1 in W3");
    assert_eq!(covered(&kit, "ring"), "1 in W1");
    assert_eq!(lines(&kit), "1 W3 new for late");
    assert!(
        doubts(&kit).is_empty(),
        "the one that arrives inside brings its ring as well: {:?}",
        kit.doubts
    );
    let kit = service(&[
        ("positions", "position,part,joint | early,W1, | ring,S1,face | late,W2,"),
        ("job_lines", "job,position,operation | service,late,open"),
        ("operations", "operation,opens | open,face"),
        ("supersessions", "old,new,needs | W2,W3,early"),
        ("contains", "part,contains,position | W1,S1, | W3,W4,early"),
    ]);
    assert_eq!(
        (covered(&kit, "early").as_str(), covered(&kit, "ring").as_str()),
        ("1 in W3", "1 in W1")
    );
    assert!(doubt(&kit).contains("S1") && doubt(&kit).contains("W1"), "{}", doubt(&kit));
}

// What goes along.

#[test]
fn tools_cautions_and_minutes_are_gathered_from_the_operations_in_strip_order() {
    let kit = service(&[
        (
            "operations",
            "operation,needs,tools,minutes,cautions | open,safe,spanner;tray,10,hot | safe,,tray;light,2.5,fire",
        ),
        ("cautions", "caution,text | fire,Keep a fire blanket within reach."),
    ]);
    assert_eq!(
        (kit.tools.join(" "), kit.minutes.to_string()),
        ("tray light spanner".to_owned(), "12.5".to_owned())
    );
    assert_eq!(kit.cautions, ["fire", "hot"]);
    assert_eq!(kit.caution_texts[0].text, "Keep a fire blanket within reach.");
}

#[test]
fn an_inspected_position_tells_what_to_have_ready_and_the_limits_to_measure_against() {
    let kit = service(&[
        ("positions", "position,part,quantity,joint | rotor,W1,2,face"),
        ("supersessions", "old,new | W1,W2"),
        (
            "seats",
            "position,feature,size,least,years | rotor,bore,40,39.9,-2000 | rotor,bore,41,40.9,2001-",
        ),
        (
            "measurements",
            "date,machine,position,feature,value | 2020-01-01,mill,rotor,bore,39.95 | 2021-01-01,stray,rotor,bore,38",
        ),
    ]);
    let rotor = at(&kit, "rotor");
    assert_eq!((rotor.if_worn.len(), rotor.limits.len()), (1, 1));
    assert_eq!(
        (rotor.if_worn[0].part.as_str(), rotor.if_worn[0].quantity.to_string()),
        ("W2", "2".to_owned())
    );
    assert_eq!(rotor.limits[0].least.as_deref(), Some("39.9 mm"));
    assert!(
        rotor.limits[0].last_reading.as_deref().is_some_and(|reading| reading.contains("39.95"))
    );
}

#[test]
fn the_catalog_answers_for_a_change_as_it_was_typed() {
    assert_eq!(instead("a", "-").change, Change::LeaveEmpty);
    assert!(shop(&[PUMP]).position_keys().iter().map(Key::as_str).eq(["seal", "rotor", "bolts"]));
}

#[test]
fn replacements_that_fork_at_every_level_are_followed_only_so_far_and_the_kit_says_so() {
    let mut rows = "old,new,together".to_owned();
    for level in 0..40 {
        for (old, new) in [("a", "a"), ("a", "b"), ("b", "a"), ("b", "b")] {
            rows += &format!(" | {old}{level},{new}{},both", level + 1);
        }
    }
    let kit = service(&[
        ("supersessions", &rows),
        ("positions", "position,part,joint | seat,a0,face"),
        ("job_lines", "job,position | service,seat"),
    ]);
    assert!(
        kit.gaps
            .iter()
            .any(|gap| gap.subject == "a0" && gap.message.contains("fork into more than"))
    );
}

#[test]
fn sets_that_hold_sets_twice_at_every_level_are_unpacked_only_so_far_and_the_kit_says_so() {
    let mut rows = "part,contains".to_owned();
    for level in 0..40 {
        for (part, contained) in [("a", "a"), ("a", "b"), ("b", "a"), ("b", "b")] {
            rows += &format!(" | {part}{level},{contained}{}", level + 1);
        }
    }
    let kit = service(&[
        ("contains", &rows),
        ("positions", "position,part,joint | seat,S1,face"),
        ("job_lines", "job,position,part | service,seat, | service,,a0"),
    ]);
    assert!(
        kit.doubts.iter().any(|doubt| doubt.starts_with("a0 holds more than")),
        "{:?}",
        kit.doubts
    );
}

#[test]
fn a_number_that_parts_lacks_is_one_number_however_it_is_spelled() {
    let kit = service(&[
        ("positions", "position,part,joint | seat,Z-9,face | side,z9,face"),
        ("job_lines", "job,position | service,seat | service,side"),
    ]);
    assert_eq!(lines(&kit), "2 Z-9 new for seat+side");
    assert_eq!(parts(&kit, "seat"), parts(&kit, "side"));
}
