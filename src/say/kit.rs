//! What a kit comes to: the verdict, the count, its lines and limits.

use super::count;
use crate::kit::{Cause, Kit, Limit, Line, OpenGap, Origin, Role};
use crate::measure::{Key, Quantity, WearState, plain};

/// Nothing stands open, nothing is worth a second look, and nothing rests on the person's own word.
pub fn is_simply_complete(kit: &Kit) -> bool {
    kit.complete
        && kit.doubts.is_empty()
        && kit.reused.is_empty()
        && kit.instead.is_empty()
        && kit.unknown_options.is_empty()
}

/// Says whether a kit is complete, and on what conditions.
pub fn verdict(kit: &Kit) -> String {
    if !kit.complete {
        return format!("NOT complete: {}", count(kit.gaps.len(), "gap", "gaps"));
    }
    let mut but = Vec::new();
    if !kit.reused.is_empty() {
        but.push(format!("with {} reused on your word", kit.reused.join(", ")));
    }
    if !kit.instead.is_empty() {
        but.push(format!("with {} of your own choice", kit.instead.join(", ")));
    }
    if !kit.doubts.is_empty() {
        but.push(format!("but check {}", count(kit.doubts.len(), "thing", "things")));
    }
    if but.is_empty() { "complete".to_owned() } else { format!("complete, {}", but.join(", ")) }
}

/// Says in one line how much there is to buy and to do; minutes are those of the tables.
pub fn summary(kit: &Kit) -> String {
    let mut text = format!(
        "{}, {}",
        count(kit.lines.len(), "part", "parts"),
        count(kit.operations.len(), "step", "steps")
    );
    if !kit.minutes.is_zero() {
        text.push_str(&format!(", about {} minutes", plain(kit.minutes)));
        let untimed = kit.operations.iter().filter(|operation| operation.minutes.is_none()).count();
        if untimed > 0 {
            text.push_str(&format!(" and {untimed} not timed"));
        }
    }
    if !kit.options.is_empty() {
        text.push_str(&format!("; with {}", kit.options.join(", ")));
    }
    text.push('.');
    text
}

/// Names what stands open, one gap after another.
pub fn named(open: &[OpenGap]) -> String {
    open.iter().map(ToString::to_string).collect::<Vec<_>>().join(", ")
}

/// What to know of a line beside its amount.
pub fn remark(line: &Line) -> String {
    let besides =
        (line.as_needed && !line.quantity.is_zero()).then(|| "and as needed besides".to_owned());
    let open = (!line.open.is_empty()).then(|| format!("gap: {}", named(&line.open)));
    besides.into_iter().chain(open).collect::<Vec<_>>().join("; ")
}

/// An amount as one says it at the counter.
pub fn amount(line: &Line) -> String {
    if line.quantity.is_zero() {
        return "as needed".to_owned();
    }
    let figure = Quantity::new(line.quantity, line.unit).shown();
    if line.as_needed { format!("≥ {figure}") } else { figure }
}

/// What a line is, with its size.
pub fn described(line: &Line) -> String {
    let name = if line.name.is_empty() { &line.part_type } else { &line.name };
    let size = if line.size.is_empty() || name.contains(line.size.as_str()) {
        String::new()
    } else {
        format!(", {}", line.size)
    };
    format!("{name}{size}")
}

/// Why a line is on the list, in few words; `--why` tells all.
pub fn reason(kit: &Kit, line: &Line) -> String {
    let mut causes: Vec<String> = Vec::new();
    for because in &line.because {
        let cause = match (&because.from, line.role) {
            // What the number was is said by itself.
            (Origin::Rule, _) => None,
            // The heading says that the job asks for it.
            (Origin::Plan(Cause::Position(_)), Role::New) => None,
            (Origin::Plan(Cause::Position(position)), role) => opener(kit, position, role),
            _ => Some(because.text.clone()),
        };
        causes.extend(cause.filter(|cause| !causes.contains(cause)));
    }
    let more = causes.len().saturating_sub(1);
    let cause = causes.into_iter().next();
    let mut said = Vec::new();
    if !line.positions.is_empty() {
        said.push(format!("for {}", line.positions.join(", ")));
    }
    said.extend(
        cause.map(|cause| if more == 0 { cause } else { format!("{cause}, and {more} more") }),
    );
    if !line.replaces.is_empty() {
        said.push(format!("was {}", line.replaces.join(", ")));
    }
    said.join("; ")
}

/// What made a position part of the plan: the position that needs it, or the operation that disturbs it.
fn opener(kit: &Kit, position: &Key, role: Role) -> Option<String> {
    let planned = kit.positions.iter().find(|planned| Key::new(&planned.position) == *position)?;
    let caller = planned.because.iter().find_map(|reason| match &reason.from {
        Origin::Plan(Cause::Position(caller)) => Some(format!("goes with {caller}")),
        _ => None,
    });
    let operation = planned
        .because
        .iter()
        .find(|reason| matches!(reason.from, Origin::Plan(Cause::Operation(_))));
    let operation = operation.map(|reason| reason.text.clone());
    if role == Role::Companion { caller.or(operation) } else { operation.or(caller) }
}

/// Says the limits of one feature, its last reading and how far it is from them, in millimetres.
pub fn limit_text(limit: &Limit) -> String {
    let mut said = Vec::new();
    said.extend(limit.size.as_ref().map(|size| format!("new {size}")));
    said.extend(limit.least.as_ref().map(|least| format!("at least {least}")));
    said.extend(limit.most.as_ref().map(|most| format!("at most {most}")));
    said.extend(limit.last_reading.as_ref().map(|reading| format!("last read {reading}")));
    match (limit.state, limit.left_mm) {
        (Some(state @ WearState::Beyond), Some(left)) => {
            said.push(format!("{state} by {} mm", plain(-left)))
        }
        (Some(state), Some(left)) => said.push(format!("{state}, {} mm left", plain(left))),
        _ => {}
    }
    format!("{}: {}", limit.feature, said.join(", "))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::measure::Unit;

    #[test]
    fn an_amount_reads_as_one_says_it() {
        let line = |quantity: &str, unit, as_needed| Line {
            part: String::new(),
            name: String::new(),
            part_type: String::new(),
            size: String::new(),
            quantity: quantity.parse().expect("a number"),
            unit,
            role: Role::Consumable,
            positions: Vec::new(),
            because: Vec::new(),
            notes: Vec::new(),
            as_needed,
            replaces: Vec::new(),
            open: Vec::new(),
            sources: Vec::new(),
        };
        assert_eq!(amount(&line("2", Unit::Each, false)), "2");
        assert_eq!(amount(&line("0.350", Unit::Litre, false)), "0.35 L");
        assert_eq!(amount(&line("0", Unit::Gram, true)), "as needed");
        assert_eq!(amount(&line("5", Unit::Gram, true)), "≥ 5 g");
    }
}
