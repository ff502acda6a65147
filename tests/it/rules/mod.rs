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

mod action;
mod beside_the_kit;
mod chosen_by_measuring;
mod comes_with;
mod complete;
mod does_it_fit;
mod doubts;
mod joint_unsealed;
mod operations;
mod parts;
mod role_and_lines;
mod rounds;
mod rounds_start;
mod rows_that_cannot_be_read;
mod rows_that_disagree;
mod supersession;
mod what_does_not_add_up;
mod what_goes_along;
mod what_sits_there;
mod what_the_person_adds;
mod what_the_retrofit_rows_say;
mod whose_limits;
mod words;

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
        "machine,model,year,serial,traits | mill,Alder,1999,B2000,EU;long-shaft;not carb | stray,Alder",
    ),
    ("jobs", "job | service | second"),
    ("job_lines", "job,operation | service,open"),
    ("operations", "operation,opens | open,face"),
    ("joints", "joint,dry | face,yes"),
];

/// The tables that stand, as files in table order: `a/positions` is the file `a/positions.csv` of
/// the table positions.
fn files(typed: Typed) -> Vec<(String, String)> {
    let mut files: Vec<(String, &str)> =
        typed.iter().map(|(name, text)| (format!("{name}.csv"), *text)).collect();
    files.extend(ALWAYS.iter().map(|(name, text)| (format!("always/{name}.csv"), *text)));
    for (name, text) in UNLESS_TYPED {
        if typed.iter().all(|(other, _)| table(other) != *name) {
            files.push((format!("{name}.csv"), *text));
        }
    }
    files.sort_by(|a, b| a.0.as_bytes().cmp(b.0.as_bytes()));
    let lines = |text: &str| text.split('|').map(str::trim).collect::<Vec<_>>().join("\n");
    files.into_iter().map(|(file, text)| (file, lines(text))).collect()
}

fn table(file: &str) -> &str {
    file.rsplit('/').next().unwrap_or(file).trim_end_matches(".csv")
}

/// Reads tables that hold nothing unreadable.
fn shop(typed: Typed) -> Memory {
    let mut tables = Tables::default();
    for (file, text) in files(typed) {
        let text = with_ways_in(table(&file), text);
        let width = text.lines().next().map_or(0, |header| header.split(',').count());
        for row in text.lines() {
            assert!(
                row.split(',').count() <= width,
                "{file}: {row} has more cells than the header"
            );
        }
        tables.read_file(table(&file), file.clone(), text.as_bytes());
    }
    assert_eq!(
        (&tables.faults, &tables.notices),
        (&vec![], &vec![]),
        "an invented catalog can be read"
    );
    tables.catalog()
}

/// Gives positions of which no way in is typed one by which nothing has to come apart.
fn with_ways_in(table: &str, text: String) -> String {
    let header = text.lines().next().unwrap_or_default();
    if table != "positions" || header.contains("reached_by") {
        return text;
    }
    let width = header.split(',').count();
    let rows = text.lines().enumerate().map(|(index, row)| {
        let blanks = ",".repeat(width - row.split(',').count() + 1);
        format!("{row}{blanks}{}", if index == 0 { "reached_by" } else { "-" })
    });
    rows.collect::<Vec<_>>().join("\n")
}

/// What the program answers as JSON to a command, from tables that lie in a folder; or why not.
fn from_command(typed: Typed, command: &str) -> Result<serde_json::Value, String> {
    let folder = tempfile::tempdir().expect("a folder");
    for (file, text) in files(typed) {
        let path = folder.path().join(file);
        std::fs::create_dir_all(path.parent().expect("a folder")).expect("a folder");
        std::fs::write(path, text + "\n").expect("a table");
    }
    let out = std::process::Command::new(env!("CARGO_BIN_EXE_kitwright"))
        .env("KITWRIGHT_INDEX", "never")
        .arg("-C")
        .arg(folder.path())
        .args(command.split_whitespace())
        .arg("--json")
        .output()
        .expect("the program runs");
    match out.status.code() {
        Some(0 | 3) => Ok(serde_json::from_slice(&out.stdout).expect("one JSON object")),
        _ => Err(String::from_utf8_lossy(&out.stderr).into_owned()),
    }
}

fn text(value: &serde_json::Value) -> String {
    value.as_str().unwrap_or_default().to_owned()
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

const TOP: (&str, &str) = ("positions", "position,part,quantity,joint | top,S1,2,face");

const THREE_PLACES: (&str, &str) = ("positions", "position,part | top,W1 | side,W1 | base,W1");

const PUMP: (&str, &str) = (
    "positions",
    "position,part,joint,reached_by | seal,S1,face,open | rotor,W1,face,open | bolts,F1,face,open",
);

/// The kit of the service where `S1` sits in the opened joint and these supersessions hold.
fn superseded(supersessions: &str) -> Kit {
    service(&[("positions", "position,part,joint | top,S1,face"), ("supersessions", supersessions)])
}

/// `S1` in the opened joint is replaced by a row with needs; `side` is as typed.
fn superseded_with_side(row: &str, side: &str) -> Kit {
    service(&[
        ("a/positions", "position,part,joint | top,S1,face"),
        ("b/positions", &format!("position,part,quantity,years | {side}")),
        ("supersessions", &format!("old,new,needs | {row}")),
    ])
}
