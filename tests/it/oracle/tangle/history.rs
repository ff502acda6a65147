//! What others found out about later parts, and what was done to the machine.

use super::{Bench, FILLS, LOGGED_POSITION, MACHINE, NEIGHBOUR, UNLISTED_POSITION, row};

impl Bench {
    // ----- Needs -----

    /// A `needs` cell of a supersession or a retrofit row.
    pub fn needs_cell(&mut self) -> String {
        let how_many = if self.often(0.25) { 2 } else { 1 };
        let mut items = Vec::new();
        for _ in 0..how_many {
            // Needs crowd on few positions, so that they get in one another's way.
            let last = self.positions.last().copied();
            let position = match last {
                Some(last) if self.often(0.35) => last,
                _ => self.anywhere(),
            };
            let spelled = self.spell_position(position);
            let form = self.number(0, 9);
            items.push(match form {
                0..=2 => spelled,
                3 => {
                    let empty = self.emptied_position().unwrap_or(spelled);
                    format!("{empty}=-")
                }
                4 if !FILLS.contains(&position) => {
                    let part = if self.often(0.5) {
                        self.part_for(position)
                    } else {
                        self.listed_part(position)
                    };
                    let number = self.number(1, 3);
                    format!("{spelled}={part}*{number}")
                }
                5..=7 => {
                    // What sits there, or what it became: often it is there already.
                    let part = self.listed_part(position);
                    format!("{spelled}={part}")
                }
                _ => {
                    let part = self.part_for(position);
                    format!("{spelled} = {part}")
                }
            });
        }
        items.join("; ")
    }

    /// A position that some row says is empty, now and then.
    fn emptied_position(&mut self) -> Option<String> {
        if self.often(0.5) {
            return None;
        }
        self.tables
            .get("positions")
            .into_iter()
            .flatten()
            .find(|row| row.get("part").is_some_and(|part| part == "-"))
            .and_then(|row| row.get("position").cloned())
    }

    /// The part that some row of a position lists, else any.
    pub fn listed_part(&mut self, position: &str) -> String {
        let parts: Vec<String> = self
            .tables
            .get("positions")
            .into_iter()
            .flatten()
            .filter(|row| row.get("position").is_some_and(|of| of.to_lowercase() == position))
            .filter_map(|row| row.get("part").cloned())
            .filter(|part| part != "-")
            .collect();
        if parts.is_empty() { self.part_for(position) } else { self.one_of_these(&parts) }
    }

    // ----- Retrofits -----

    pub fn write_retrofits(&mut self) {
        for (position, part) in self.wanted.clone() {
            if self.often(0.75 - 0.4 * self.disorder) {
                self.write_retrofit(position, &part);
            }
            if self.often(0.3) {
                // A row for an earlier number speaks for this one too, where this one has no row of its own.
                let older = self.neighbour_on_chain(&part, "new", "old");
                self.write_retrofit(position, &older);
            }
        }
        let how_many = self.number(0, 5);
        for _ in 0..how_many {
            let position = self.anywhere();
            let listed = self.listed_part(position);
            let part = match self.number(0, 2) {
                0 => listed,
                1 => self.newer_part(&listed),
                _ => self.part_for(position),
            };
            self.write_retrofit(position, &part);
        }
    }

    fn write_retrofit(&mut self, position: &'static str, part: &str) {
        let spelled = self.spell_position(position);
        let verdict = if self.often(0.04 + 0.15 * self.disorder) {
            "no"
        } else if self.often(0.1) {
            "look-first"
        } else {
            self.one_of(&["fits", "fits", "fits-with"])
        };
        if verdict == "look-first" {
            self.to_look_at.push((position, part.to_string()));
        }
        let needs = if self.often(0.45) { self.needs_cell() } else { String::new() };
        let operations = if self.often(0.4) { self.operation_or_slip() } else { String::new() };
        let cells = row(&[
            ("part", part),
            ("position", &spelled),
            ("verdict", verdict),
            ("needs", &needs),
            ("operations", &operations),
        ]);
        let assembly = self.assembly_of.get(position).copied().unwrap_or_default();
        let probability = 0.15 + 0.35 * self.disorder;
        let scoped = self.scope(cells, probability, assembly);
        self.put("retrofits", scoped);
    }

    // ----- The log -----

    pub fn write_worklog(&mut self) {
        let how_many = self.number(0, 7);
        let mut logs_the_old_stay = self.removes_the_logged_position && self.often(0.7);
        for _ in 0..how_many {
            let position = if logs_the_old_stay {
                logs_the_old_stay = false;
                LOGGED_POSITION
            } else {
                self.one_of(&self.everywhere())
            };
            let machine = if self.often(0.85) { MACHINE } else { NEIGHBOUR };
            let date = self.one_of(&[
                "",
                "",
                "2001",
                "2001",
                "2001-04-05",
                "20010405",
                "2005",
                "2010-01-02",
                "2010-01-02",
            ]);
            let rows = if self.often(0.25) { 2 } else { 1 };
            for _ in 0..rows {
                let part = self.logged_part(position);
                let quantity = if self.often(0.65) {
                    String::new()
                } else if FILLS.contains(&position) {
                    self.amount()
                } else {
                    self.one_of(&["1", "1", "2", "3"]).to_string()
                };
                self.log(machine, date, position, &part, &quantity);
            }
        }
        if self.often(0.5) {
            let operation = self.one_of(&self.operations.clone());
            let operation = self.spell_operation(operation);
            let machine = if self.often(0.8) { MACHINE } else { NEIGHBOUR };
            let machine = self.spell(machine);
            self.put(
                "worklog",
                row(&[("date", "2009-09-09"), ("machine", &machine), ("operation", &operation)]),
            );
        }
        for (position, part) in self.to_look_at.clone() {
            if position != UNLISTED_POSITION && self.often(0.75 - 0.4 * self.disorder) {
                let part = if self.often(0.1) { self.part_for(position) } else { part };
                let spelled = self.spell_position(position);
                let machine = self.spell(MACHINE);
                self.put(
                    "worklog",
                    row(&[("machine", &machine), ("position", &spelled), ("confirms", &part)]),
                );
            }
        }
    }

    fn logged_part(&mut self, position: &str) -> String {
        match self.number(0, 14) {
            0 => String::new(),
            1 => "-".to_string(),
            2..=7 => self.listed_part(position),
            8..=11 => {
                let listed = self.listed_part(position);
                let newer = self.newer_part(&listed);
                if self.often(0.3) { self.newer_part(&newer) } else { newer }
            }
            _ if !self.slip(0.9) => self.listed_part(position),
            _ => self.part_for(position),
        }
    }

    fn log(&mut self, machine: &str, date: &str, position: &str, part: &str, quantity: &str) {
        let machine = self.spell(machine);
        let position = self.spell_position(position);
        self.put(
            "worklog",
            row(&[
                ("date", date),
                ("machine", &machine),
                ("position", &position),
                ("part", part),
                ("quantity", quantity),
            ]),
        );
    }
}
