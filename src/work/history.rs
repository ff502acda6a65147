//! The history of a part number as a picture: what became what, when and for which machines, whether it holds both ways,
//! and where each number may be used.

use super::drawing::{Arrow, Card, Frame, svg};
use crate::catalog::{Card as PartCard, FittedAt, Lookup, Scoped, Status, Supersession, Swap};
use crate::measure::{PartNumber, plain};
use rust_decimal::Decimal;
use std::collections::HashMap;

/// The most places that are named for one number.
const MOST_PLACES: usize = 10;

/// Draws the history of a number; `None` where no table names it.
pub fn picture(number: &PartNumber, lookup: &dyn Lookup) -> Option<String> {
    let card = PartCard::of(number, lookup)?;
    let mut cards: Vec<Card> = Vec::new();
    let mut places: HashMap<PartNumber, usize> = HashMap::new();
    let steps = steps(&card);
    for part in card.replaces.iter().rev().chain(&card.chain) {
        places.entry(part.clone()).or_insert_with(|| {
            cards.push(about(part, part == number, lookup));
            cards.len() - 1
        });
    }
    let mut arrows = Vec::new();
    for group in grouped(&steps) {
        let Some(first) = group.first() else { continue };
        let both = first.swap == Some(Swap::BothWays);
        let way = cards.len();
        cards.push(replacement(group.as_slice(), lookup));
        for old in [&first.old] {
            if let Some(from) = places.get(old).copied() {
                arrows.push(Arrow { from, to: way, both });
            }
        }
        for row in group.iter().filter(|row| row.new != row.old) {
            let to = *places.entry(row.new.clone()).or_insert_with(|| {
                cards.push(about(&row.new, false, lookup));
                cards.len() - 1
            });
            arrows.push(Arrow { from: way, to, both });
        }
    }
    let title = format!("What {} was and became", card.part);
    let closing = "An arrow with two heads: each stands in for the other. With one head: only in that direction. A thick frame: the number asked for. A guide only: the maker's word comes first.";
    Some(svg(&title, &cards, &arrows, 3, closing))
}

/// The rows followed, each once.
fn steps(card: &PartCard) -> Vec<&Supersession> {
    let mut steps: Vec<&Supersession> = Vec::new();
    for row in &card.steps {
        if !steps.iter().any(|known| known.at == row.at) {
            steps.push(row);
        }
    }
    steps.sort_by_key(|row| row.at);
    steps
}

/// Rows of one old number with the same word under together form one replacement; others stand alone.
fn grouped<'a>(steps: &[&'a Supersession]) -> Vec<Vec<&'a Supersession>> {
    let mut groups: Vec<Vec<&Supersession>> = Vec::new();
    for row in steps {
        let same = |group: &&mut Vec<&Supersession>| {
            let known = group.first();
            row.together.is_some()
                && known.is_some_and(|known| known.old == row.old && known.together == row.together)
        };
        match groups.iter_mut().find(same) {
            Some(group) => group.push(row),
            None => groups.push(vec![row]),
        }
    }
    groups
}

/// What is said of the way from an old number to what replaced it.
fn replacement(group: &[&Supersession], lookup: &dyn Lookup) -> Card {
    let swap = group.first().and_then(|row| row.swap);
    let mut card = Card::new(swap.map_or("direction not said", Swap::as_str), Frame::Broken);
    let mut once = |text: String| {
        if !card.lines.iter().any(|line| line.text == text) {
            card.say(text);
        }
    };
    for row in group {
        if !row.since.is_blank() {
            once(format!("since {}", row.since));
        }
        if row.scope().narrowness() > 0 {
            once(format!("for {}", row.scope()));
        }
        if let Some(quantity) = row.quantity.filter(|quantity| quantity.amount != Decimal::ONE) {
            once(format!("{} of {} for one", plain(quantity.amount), lookup.spell_part(&row.new)));
        }
        if row.new == row.old {
            once(format!("{} stays", lookup.spell_part(&row.old)));
        }
        if !row.needs.is_empty() {
            let needs: Vec<String> = row.needs.iter().map(ToString::to_string).collect();
            once(format!("needs {}", needs.join(", ")));
        }
        once(row.note.clone());
    }
    if group.len() > 1 {
        once("all of these together".to_owned());
    }
    card
}

/// What is said of a number: what it is, and where it may be used.
fn about(number: &PartNumber, asked: bool, lookup: &dyn Lookup) -> Card {
    let frame = if asked { Frame::Thick } else { Frame::Thin };
    let mut card = Card::new(lookup.spell_part(number).to_string(), frame);
    let row = lookup.part(number);
    match &row {
        Some(row) => {
            let size = if row.size.is_empty() || row.name.contains(&row.size) {
                String::new()
            } else {
                format!(", {}", row.size)
            };
            card.say(format!("{}{size}", row.name).trim_start_matches([',', ' ']));
            if row.status == Some(Status::Discontinued) {
                card.say("discontinued");
            }
        }
        None => card.say("not in the table parts"),
    }
    let mut places: Vec<String> = PartCard::of(number, lookup)
        .map_or_else(Vec::new, |known| known.fitted_at)
        .iter()
        .map(|at| format!("at {}: {}", at.position, limits(at)))
        .collect();
    for row in lookup.retrofits_of(number).iter() {
        let verdict = match row.verdict {
            crate::catalog::Verdict::No => "does not fit",
            other => other.as_str(),
        };
        places.push(format!(
            "{verdict} at {}: {}",
            lookup.spell_position(&row.position),
            row.scope()
        ));
    }
    let more = places.len().saturating_sub(MOST_PLACES);
    places.truncate(MOST_PLACES);
    places.into_iter().for_each(|place| card.say(place));
    if more > 0 {
        card.say(format!("and {more} more; kitwright part lists them"));
    }
    card
}

fn limits(at: &FittedAt) -> String {
    let mut said = Vec::new();
    for (name, limit) in
        [("", &at.model), ("", &at.years), ("serials ", &at.serials), ("only ", &at.only)]
    {
        if !limit.is_empty() {
            said.push(format!("{name}{limit}"));
        }
    }
    if said.is_empty() { "every machine".to_owned() } else { said.join(", ") }
}
