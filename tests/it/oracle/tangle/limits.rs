//! The limits of rows, most of them so that they hold for the machine.

use super::{Bench, OTHER_MODEL};
use crate::oracle::naive::Row;

const TRAITS: [&str; 3] = ["EU", "long-shaft", "carb"];
const GEARS: [&str; 2] = ["gear=wide", "gear=narrow"];

/// What is known of the machine, or of one of its assemblies.
#[derive(Clone)]
pub struct Facts {
    pub model: &'static str,
    pub year: Option<i32>,
    pub serial: Option<(&'static str, i64, &'static str)>,
    /// As typed: `EU`, `not carb`, `gear=wide`.
    pub traits: Vec<String>,
}

impl Facts {
    pub fn serial_text(&self) -> String {
        self.serial
            .map_or(String::new(), |(prefix, number, suffix)| format!("{prefix}{number}{suffix}"))
    }
}

impl Bench {
    /// Facts of some machine; each is known with a probability.
    pub fn facts(&mut self, known: f64) -> Facts {
        let model = self.one_of(&self.models.clone());
        let year = self.often(known).then(|| self.number(1996, 2006) as i32);
        let serial = self.often(known).then(|| {
            let prefix = self.one_of(&["B", "0G", ""]);
            let number = self.number(2000, 3000);
            (prefix, number, self.one_of(&["", "", "A"]))
        });
        let mut traits = Vec::new();
        for of_machine in TRAITS {
            if self.often(known) {
                let is_held = self.often(0.5);
                traits.push(if is_held { of_machine.into() } else { format!("not {of_machine}") });
            }
        }
        if self.often(known) {
            let gear = self.one_of(&GEARS);
            let denied = self.often(0.15);
            traits.push(if denied { format!("not {gear}") } else { gear.into() });
        }
        Facts { model, year, serial, traits }
    }

    /// Fills scope columns of a row that is about an assembly (or none).
    pub fn scope(&mut self, mut row: Row, probability: f64, assembly: &str) -> Row {
        if !self.often(probability) {
            return row;
        }
        let facts = self.facts_of(assembly);
        let holds = 0.85 - 0.15 * self.disorder;
        let columns = if self.often(0.25) { 2 } else { 1 };
        let weights = ["model", "model", "years", "years", "serials", "only"];
        for _ in 0..columns {
            let column = self.one_of(&weights);
            let inside = self.often(holds);
            let text = match column {
                "model" => self.model_limit(inside, &facts),
                "years" => self.year_limit(inside, &facts),
                "serials" => self.serial_limit(inside, &facts),
                _ => self.trait_limit(inside, &facts),
            };
            row.insert(column.to_string(), text);
        }
        row
    }

    fn model_limit(&mut self, inside: bool, facts: &Facts) -> String {
        let model = facts.model;
        let other = self.one_of(&self.models.clone());
        let models = match (inside, self.often(0.3)) {
            (true, false) => vec![model],
            (true, true) => vec![other, model],
            (false, _) if other == model => vec![OTHER_MODEL],
            (false, _) => vec![other, OTHER_MODEL],
        };
        let spelled: Vec<String> = models.into_iter().map(|model| self.spell(model)).collect();
        spelled.join("; ")
    }

    /// What stands between the ends of a range.
    fn between_two(&mut self) -> &'static str {
        self.one_of(&["-", ".."])
    }

    fn year_limit(&mut self, inside: bool, facts: &Facts) -> String {
        let year = facts.year.unwrap_or(2001);
        let form = self.number(0, 5);
        let to = self.between_two();
        match (inside, form) {
            (true, 0) => format!("{year}"),
            (true, 1) => format!("{}-{}", year - 2, year),
            (true, 2) => format!("{year}-"),
            (true, 3) => format!("-{year}"),
            (true, 4) => format!("{}{to}{}", year - 1, year + 1),
            (true, _) => format!("1971; {}-{}", year, year + 3),
            (false, 0) => format!("{}", year + 1),
            (false, 1) => format!("{}{to}{}", year - 5, year - 1),
            (false, 2) => format!("{}{to}", year + 1),
            (false, 3) => format!("{to}{}", year - 1),
            (false, 4) => format!("-{}; {}-", year - 1, year + 1),
            (false, _) => format!("{}-{}", year + 1, year + 2),
        }
    }

    fn serial_limit(&mut self, inside: bool, facts: &Facts) -> String {
        let (prefix, number, suffix) = facts.serial.unwrap_or(("B", 2500, ""));
        // Another prefix or suffix cannot be compared.
        let prefix = if self.slip(0.4) { "Z9X" } else { prefix };
        let suffix = if self.slip(0.3) { "C" } else { suffix };
        let to = self.between_two();
        let bound = |number: i64| format!("{prefix}{number}{suffix}");
        let form = self.number(0, 4);
        match (inside, form) {
            (true, 0) => format!("{}-{}", bound(number - 400), bound(number)),
            (true, 1) => format!("{}-", bound(number)),
            (true, 2) => format!("{to}{}", bound(number)),
            (true, 3) => format!("{}; {}", bound(1), bound(number)),
            (true, _) => bound(number).to_lowercase(),
            (false, 0) => format!("{}{to}{}", bound(number - 900), bound(number - 1)),
            (false, 1) => format!("{}{to}", bound(number + 1)),
            (false, 2) => format!("-{}", bound(number - 1)),
            (false, 3) => format!("{}; {}", bound(1), bound(number + 1)),
            (false, _) => bound(number + 7),
        }
    }

    fn trait_limit(&mut self, inside: bool, facts: &Facts) -> String {
        let how_many = if self.often(0.3) { 2 } else { 1 };
        let pool = [TRAITS[0], TRAITS[1], TRAITS[2], GEARS[0], GEARS[1]];
        let chosen = self.some_of(&pool, how_many);
        let fails_at = if inside { chosen.len() } else { 0 };
        let mut items = Vec::new();
        for (at, item) in chosen.into_iter().enumerate() {
            let another = GEARS.iter().any(|gear| {
                item.starts_with("gear") && *gear != item && facts.traits.iter().any(|t| t == gear)
            });
            let has = facts.traits.iter().any(|of_machine| of_machine == item) && !another;
            let spelled = match self.number(0, 5) {
                0 => item.replace('-', " "),
                1 => item.replace('=', " = "),
                _ => self.spell(item),
            };
            items.push(if has == (at != fails_at) { spelled } else { format!("not {spelled}") });
        }
        items.join(";")
    }

    /// Two limits with the machine between them: one row is for earlier ones, one for later ones.
    pub fn limits_around(&mut self, assembly: &str) -> Option<(&'static str, [String; 2])> {
        let facts = self.facts_of(assembly);
        let to = self.between_two();
        match (facts.year, facts.serial) {
            (Some(year), _) if self.often(0.6) => {
                Some(("years", [format!("{to}{}", year - 1), format!("{}-", year + 2)]))
            }
            (_, Some((prefix, number, suffix))) => Some((
                "serials",
                [
                    format!("{prefix}1{suffix}{to}{prefix}{}{suffix}", number - 1),
                    format!("{prefix}{}{suffix}{to}", number + 1),
                ],
            )),
            _ => None,
        }
    }
}
