//! The way in as a picture: the operations, what they open, and where the new parts go.

use super::drawing::{Arrow, Card, Frame, svg};
use super::sheet::{Fit, Sheet};
use crate::catalog::Lookup;
use crate::kit::Bench;
use crate::measure::Key;
use std::collections::HashMap;

/// How much is written on the cards.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Detail {
    /// The operations, and how many new parts go in at each.
    Brief,
    /// What each opens, and every new part, too.
    Full,
}

/// Draws the way in of a sheet; empty where the tables name no operation. `across` is the most operations side by side.
pub fn picture(sheet: &Sheet, lookup: &dyn Lookup, across: usize, detail: Detail) -> String {
    let Some(machine) = lookup.machine(&Key::new(&sheet.machine.machine)) else {
        return String::new();
    };
    if sheet.strip.is_empty() {
        return String::new();
    }
    let bench = Bench::new(machine.into_owned(), lookup);
    let mut places: HashMap<Key, usize> = HashMap::new();
    let mut cards = Vec::new();
    for step in &sheet.strip {
        places.insert(Key::new(&step.operation), cards.len());
        let name = if step.name.is_empty() { &step.operation } else { &step.name };
        let back = sheet.refit.iter().find(|back| back.undoes == step.number);
        let fits = back.map_or(&[][..], |back| &back.fits);
        let frame = if fits.is_empty() { Frame::Thin } else { Frame::Thick };
        let mut card = Card::new(format!("{}. {name}", step.number), frame);
        if detail == Detail::Full {
            card.say(&step.operation);
            if !step.opens.is_empty() {
                card.say(format!("opens {}", step.opens.join(", ")));
            }
        }
        say_new(fits, detail, &mut card);
        cards.push(card);
    }
    let mut arrows = Vec::new();
    for step in &sheet.strip {
        let key = Key::new(&step.operation);
        let Some(to) = places.get(&key).copied() else { continue };
        let known = bench.step(&key);
        for need in known.row().map_or(&[][..], |row| &row.needs) {
            if let Some(from) = places.get(need).copied() {
                let arrow = Arrow { from, to, both: false };
                if !arrows.contains(&arrow) {
                    arrows.push(arrow);
                }
            }
        }
    }
    if !sheet.fits_at_no_step.is_empty() {
        let mut card = Card::new("At no step that the tables name", Frame::Thick);
        say_new(&sheet.fits_at_no_step, detail, &mut card);
        cards.push(card);
    }
    let title = format!("Access: {} on {}", sheet.title, sheet.machine.machine);
    let open = if sheet.complete { "" } else { " NOT COMPLETE: see the gaps of the kit." };
    let closing = format!(
        "An arrow leads from what must come first. A thick frame: something new goes in there.{open}"
    );
    svg(&title, &cards, &arrows, across, &closing)
}

fn say_new(fits: &[Fit], detail: Detail, card: &mut Card) {
    match (detail, fits.len()) {
        (_, 0) => {}
        (Detail::Brief, 1) => card.say("1 place gets something new"),
        (Detail::Brief, many) => card.say(format!("{many} places get something new")),
        (Detail::Full, _) => fits.iter().for_each(|fit| card.say(new_part(fit))),
    }
}

fn new_part(fit: &Fit) -> String {
    if fit.parts.is_empty() {
        return format!("new: part not known, {}", fit.position);
    }
    let parts: Vec<&str> =
        fit.parts.iter().map(|part| part.strip_prefix("1 × ").unwrap_or(part)).collect();
    format!("new: {}, {}", parts.join(" and "), fit.position)
}
