//! The facts of a kit as sentences: why something is in the plan, and what a person should look at again.

use super::action::Action;
use super::bench::{Bench, Place, Step};
use super::reason::{Cause, Reason};
use super::supersession::ChainNeed;
use crate::catalog::{
    Applies, At, Change, Condition, Fitted, JobLine, Lookup, Machine, Need, Part, PartType,
    Retrofit, Scope, Selection, WhenDisturbed,
};
use crate::measure::{Key, PartNumber};
use crate::near::nearest;

/// The most positions that a message names.
const MOST_NAMED: usize = 4;

// What was asked for.

pub(super) fn job_line(bench: &Bench, job: &Key, line: &JobLine) -> Reason {
    let text = match (&line.part, &line.position) {
        (Fitted::Part(_), None) => format!("the job {job} buys it"),
        (Fitted::Part(part), _) => format!("the job {job} fits {part} here"),
        (Fitted::Nothing, _) => format!("the job {job} leaves it empty"),
        (Fitted::Blank, _) => format!("the job {job} renews it"),
    };
    Reason::asked(text, bench.lookup.place(line.at))
}

pub(super) fn job_operation(bench: &Bench, job: &Key, line: &JobLine) -> Reason {
    let note = if line.note.is_empty() { String::new() } else { format!(": {}", line.note) };
    Reason::asked(format!("the job {job} includes it{note}"), bench.lookup.place(line.at))
}

pub(super) fn own_choice() -> Reason {
    Reason::asked("your own choice (--instead)", "")
}

pub(super) fn own_wish() -> Reason {
    Reason::asked("your own wish (--renew)", "")
}

// What something else calls for.

pub(super) fn way_in(bench: &Bench, place: &Place) -> Reason {
    let text = format!("it is the way in to {}", place.position);
    let row = place.row().map_or_else(String::new, |row| bench.lookup.place(row.at));
    Reason::from(Cause::Position(place.position.clone()), text, row)
}

pub(super) fn chain_need(bench: &Bench, position: &Key, need: &ChainNeed) -> Reason {
    let text = format!("{} at {position} needs {}", need.new, change(&need.need));
    Reason::from(Cause::Position(position.clone()), text, bench.lookup.place(need.at))
}

pub(super) fn set_need(bench: &Bench, part: &PartNumber, need: &ChainNeed) -> Reason {
    let became = if *part == need.new { String::new() } else { format!(", which {part} became,") };
    let text = format!("{}{became} needs {}", need.new, change(&need.need));
    Reason::asked(text, bench.lookup.place(need.at))
}

pub(super) fn retrofit_need(bench: &Bench, row: &Retrofit, need: &Need) -> Reason {
    let text = format!("{} at {} needs {}", row.part, row.position, change(need));
    Reason::from(Cause::Position(row.position.clone()), text, bench.lookup.place(row.at))
}

pub(super) fn retrofit_operation(bench: &Bench, row: &Retrofit) -> Reason {
    let text = format!("{} goes to {} only with it", row.part, row.position);
    Reason::from(Cause::Position(row.position.clone()), text, bench.lookup.place(row.at))
}

fn change(need: &Need) -> String {
    match &need.change {
        Change::Renew => "it renewed".to_owned(),
        Change::LeaveEmpty => "it left empty".to_owned(),
        Change::Fit { part, quantity: None } => format!("{part} here"),
        Change::Fit { part, quantity: Some(quantity) } => format!("{quantity} × {part} here"),
    }
}

pub(super) fn comes_before(bench: &Bench, operation: &Key, at: At) -> Reason {
    let text = format!("it must come before {operation}");
    Reason::from(Cause::Operation(operation.clone()), text, bench.lookup.place(at))
}

pub(super) fn opened(
    bench: &Bench,
    operation: &Key,
    at: At,
    joint: &Key,
    removed: Option<&Key>,
    row: At,
) -> Reason {
    let text = match removed {
        None => format!("{operation} opens {joint}"),
        Some(position) => format!("{operation} takes {position} off, which opens {joint}"),
    };
    let places = format!("{}, {}", bench.lookup.place(at), bench.lookup.place(row));
    Reason::from(Cause::Operation(operation.clone()), text, places)
}

pub(super) fn taken_off(bench: &Bench, operation: &Key, at: At) -> Reason {
    let text = format!("{operation} takes it off");
    Reason::from(Cause::Operation(operation.clone()), text, bench.lookup.place(at))
}

pub(super) fn carried_along(bench: &Bench, place: &Place, action: Action) -> Reason {
    let Some((row, carrier)) = place.row().and_then(|row| Some((row, row.carried_by.as_ref()?)))
    else {
        return nothing_known();
    };
    let verb = if action == Action::LeaveOut { "left out" } else { "renewed" };
    let text = format!("it sits in {carrier}, which is {verb}");
    Reason::from(Cause::Position(carrier.clone()), text, bench.lookup.place(row.at))
}

// The rules.

pub(super) fn carried(bench: &Bench, place: &Place) -> Reason {
    let row = place.row();
    let carrier = row.and_then(|row| row.carried_by.as_ref()).map_or("", Key::as_str);
    let at = row.map_or_else(String::new, |row| bench.lookup.place(row.at));
    Reason::rule(format!("it goes with {carrier}, which is left out"), at)
}

pub(super) fn reused() -> Reason {
    Reason::asked("used again on your word (--reuse)", "")
}

pub(super) fn chosen(bench: &Bench, row: &Selection) -> Reason {
    let text = format!("by the reading of {}, {} goes here", row.feature, row.part);
    Reason::rule(text, bench.lookup.place(row.at))
}

pub(super) fn marked(bench: &Bench, at: At, rule: WhenDisturbed) -> Reason {
    Reason::rule(format!("the position is marked {rule}"), bench.lookup.place(at))
}

pub(super) fn nothing_known() -> Reason {
    Reason::rule("nothing is known of it", "")
}

pub(super) fn unknown_part(bench: &Bench, at: At) -> Reason {
    let text = "its part is unknown, so it is taken to be used up";
    Reason::rule(text, bench.lookup.place(at))
}

pub(super) fn no_rule(bench: &Bench, at: At) -> Reason {
    let text = "no rule says whether it is used up, so it is taken to be";
    Reason::rule(text, bench.lookup.place(at))
}

pub(super) fn withdrawn(bench: &Bench, part: &Part) -> Reason {
    let text = format!("{} is withdrawn, so it does not go back in", part.part);
    Reason::rule(text, bench.lookup.place(part.at))
}

pub(super) fn single_use(bench: &Bench, part: &Part) -> Reason {
    Reason::rule(format!("{} is marked single-use", part.part), bench.lookup.place(part.at))
}

pub(super) fn used_again(bench: &Bench, part: &Part) -> Reason {
    Reason::rule(format!("{} is marked as used again", part.part), bench.lookup.place(part.at))
}

pub(super) fn by_angle(bench: &Bench, place: &Place) -> Reason {
    let at = place.row().map_or_else(String::new, |row| bench.lookup.place(row.at));
    Reason::rule("it is tightened by an angle, which stretches it for good", at)
}

pub(super) fn with_carrier(bench: &Bench, place: &Place) -> Reason {
    let row = place.row();
    let carrier = row.and_then(|row| row.carried_by.as_ref()).map_or("", Key::as_str);
    let at = row.map_or_else(String::new, |row| bench.lookup.place(row.at));
    Reason::rule(
        format!("it stays in the old part of {carrier}, or is spoilt by pressing it out"),
        at,
    )
}

pub(super) fn by_type(bench: &Bench, part_type: &PartType, rule: WhenDisturbed) -> Reason {
    let why = if part_type.why.is_empty() { String::new() } else { format!(": {}", part_type.why) };
    let verb = match rule {
        WhenDisturbed::Renew => "is renewed whenever it is disturbed",
        WhenDisturbed::Inspect => "is inspected when it is disturbed",
        WhenDisturbed::Keep => "is kept when it is disturbed",
    };
    let text = format!("{} {verb}{}", part_type.part_type, why.trim_end_matches('.'));
    Reason::rule(text, bench.lookup.place(part_type.at))
}

// What the rules pass over, and a person should look at again.

pub(super) fn job_without_lines(job: &Key) -> String {
    format!(
        "the job {job} has no lines, so it asks for nothing; add rows to job_lines, or correct the job's name there"
    )
}

fn names(keys: &[&Key]) -> String {
    keys.iter().map(ToString::to_string).collect::<Vec<_>>().join(", ")
}

pub(super) fn options_not_logged(job: &Key, open: &[&Key]) -> String {
    format!(
        "the log does not say with which of its options {job} was begun; if it was with one of these, name it (--with): {}",
        names(open)
    )
}

pub(super) fn options_denied(job: &Key, denied: &[&Key], place: &str) -> String {
    format!(
        "the log says that {job} was begun without {}, so what is left of it is, too; if that is wrong, correct it ({place})",
        names(denied)
    )
}

/// Says that a step is passed over for a trait that no machine of the catalog has: it may be a step of another market,
/// or a cell in the wrong column.
pub(super) fn passed_over(bench: &Bench, need: &Key, before: &Key, step: &Step) -> Option<String> {
    step.rows.iter().find_map(|row| {
        let of_nobody =
            |condition: &&Condition| condition.holds && !bench.is_carried(&condition.name);
        let strange: Vec<String> =
            row.scope.only.iter().filter(of_nobody).map(ToString::to_string).collect();
        let mut rest = row.scope.clone();
        rest.only.retain(|condition| !of_nobody(&condition));
        (!strange.is_empty() && rest.applies(&step.machine) != Applies::No).then(|| {
            format!(
                "{need} must come before {before}, but is passed over: its row asks for {}, a trait that no machine has ({}); if that cell stands in the wrong column, correct it",
                strange.join(" and "),
                bench.lookup.place(row.at)
            )
        })
    })
}

pub(super) fn in_joint_by_another(
    bench: &Bench,
    place: &Place,
    joint: &Key,
    other: At,
    used: At,
) -> String {
    let (other, used) = (bench.lookup.place(other), bench.lookup.place(used));
    format!(
        "{}: {other} puts it into the opened joint {joint}, but {used} was used, which does not; narrow one of them",
        place.position
    )
}

pub(super) fn no_joint(bench: &Bench, position: &Key, operation: &Key, at: At) -> String {
    format!(
        "{position}: it is reached by {operation}, which is done here, but its row names no joint, so nothing says that it is disturbed ({}); fill in joint",
        bench.lookup.place(at)
    )
}

pub(super) fn joint_stays(
    bench: &Bench,
    position: &Key,
    operation: &Key,
    joint: &Key,
    at: At,
    meant: Option<&str>,
) -> String {
    let hint = meant.map_or_else(String::new, |meant| format!("; did you mean {meant}?"));
    format!(
        "{position}: it is reached by {operation}, which is done here, but nothing opens its joint {joint} ({}){hint}",
        bench.lookup.place(at)
    )
}

/// The known name that was probably meant.
pub(super) fn meant(name: &str, known: &[Key]) -> String {
    let nearest = nearest(name, known.iter().map(Key::as_str));
    nearest.map_or_else(String::new, |name| format!("; did you mean {name}?"))
}

/// Says what is in a joint in which nothing seals.
pub(super) fn holds(bench: &Bench, joint: &Key) -> String {
    let positions = bench.lookup.positions_in_joint(joint);
    let held = positions.iter().filter(|position| {
        let place = bench.place(position);
        place.is_on_machine() && place.row().is_some_and(|row| row.joint.contains(joint))
    });
    match held.count() {
        0 => nothing_in(bench, joint),
        1 => "the one position in it does not seal".to_owned(),
        many => format!("none of the {many} positions in it seals"),
    }
}

/// Says why no position is in a joint on this machine: the log emptied it, or its rows are for other machines.
fn nothing_in(bench: &Bench, joint: &Key) -> String {
    let (mut emptied, mut elsewhere) = (Vec::new(), Vec::new());
    for position in bench.lookup.positions_in_joint(joint).iter() {
        let place = bench.place(position);
        if place.is_on_machine() {
            continue;
        }
        if let Some(date) = bench.last_logged(position) {
            let when = if date.is_blank() { "by the log".to_owned() } else { format!("on {date}") };
            emptied.push(format!("{position} was taken out for good {when}"));
        } else if let Some(row) = place.rows.iter().find(|row| row.joint.contains(joint)) {
            let row_place = bench.lookup.place(row.at);
            elsewhere.push(match row.part {
                Fitted::Nothing => format!("{position} is left empty ({row_place})"),
                _ => format!("{position} is for {} ({row_place})", row.scope),
            });
        }
    }
    let mut known: Vec<String> = emptied.into_iter().chain(elsewhere).collect();
    if known.is_empty() {
        return "no position is in it".to_owned();
    }
    let more = known.len().saturating_sub(MOST_NAMED);
    known.truncate(MOST_NAMED);
    if more > 0 {
        known.push(format!("and {more} more"));
    }
    format!(
        "no position is in it on this machine: {}; if that is right, give the operation a row for this machine that does not open it; else",
        known.join(", ")
    )
}

/// Says what must be filled in so that limits can be judged: the year, the serial or the traits that would settle them.
pub(super) fn missing(scopes: &[&Scope], machine: &Machine, assembly: Option<&Key>) -> String {
    let unsure: Vec<&&Scope> =
        scopes.iter().filter(|scope| scope.applies(machine) == Applies::Unsure).collect();
    let mut cells: Vec<String> = Vec::new();
    if machine.year.is_none() && unsure.iter().any(|scope| scope.years.is_some()) {
        cells.push("year".to_owned());
    }
    if machine.serial.serial.is_none() && unsure.iter().any(|scope| scope.serials.is_some()) {
        cells.push("serial".to_owned());
    }
    let mut traits: Vec<String> = Vec::new();
    for condition in unsure.iter().flat_map(|scope| &scope.only) {
        let name = condition.name.to_string();
        let alone = Scope { only: vec![condition.clone()], ..Scope::default() };
        if alone.applies(machine) == Applies::Unsure && !traits.contains(&name) {
            traits.push(name);
        }
    }
    let of = match assembly {
        Some(assembly) => format!("{assembly} of {} in the table assemblies", machine.machine),
        None => format!("{} in the table machines", machine.machine),
    };
    let mut steps = Vec::new();
    if !cells.is_empty() {
        steps.push(format!("fill in the {} of {of}", cells.join(" and ")));
    }
    if !traits.is_empty() {
        let either: Vec<String> =
            traits.iter().map(|name| format!("{name} or not {name}")).collect();
        steps.push(format!("add {} to the traits of {of}", either.join(", ")));
    }
    if !steps.is_empty() {
        return steps.join(", and ");
    }
    let mut limits: Vec<String> = unsure
        .iter()
        .filter_map(|scope| scope.serials.as_ref())
        .map(|serials| format!("`{serials}`"))
        .collect();
    limits.dedup();
    format!(
        "the serial {} has another prefix or suffix than the row's limits, {}, so they cannot be compared; correct the limits or the serial",
        machine.serial.text,
        limits.join(" and ")
    )
}

/// Says that a part is made no more, and which row may have been meant to lead on from it.
pub(super) fn discontinued(part: &PartNumber, at: At, lookup: &dyn Lookup) -> String {
    let rows = lookup.supersessions_to(part);
    let still_made = |old: &PartNumber| {
        lookup.part(old).is_some_and(|old| {
            !matches!(
                old.status,
                Some(crate::catalog::Status::Discontinued | crate::catalog::Status::Withdrawn)
            )
        })
    };
    let backwards = rows.iter().find(|row| row.old != *part && still_made(&row.old));
    let hint = backwards.map_or_else(String::new, |row| {
        let (old, place) = (lookup.spell_part(&row.old), lookup.place(row.at));
        format!("; {place} leads to it from {old}, which is still made: does that row stand the wrong way round?")
    });
    let mend = if hint.is_empty() { "; find a replacement and add a row" } else { "" };
    let place = lookup.place(at);
    format!(
        "it is made no more ({place}) and nothing in the table supersessions replaces it{hint}{mend}"
    )
}

/// The rows by which a number became the one that is ordered.
pub(super) fn became(end: &super::Final, lookup: &dyn Lookup) -> Vec<Reason> {
    let steps =
        end.chain.windows(2).filter_map(|pair| Some((&pair[0].part, &pair[1].part, pair[1].by?)));
    let said = steps.map(|(old, new, row)| {
        let (old, new) = (lookup.spell_part(old), lookup.spell_part(new));
        Reason::rule(format!("{old} became {new}"), lookup.place(row))
    });
    said.collect()
}
