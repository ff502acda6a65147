//! Parts, their types, what they became, what is in their boxes.

use super::{Bench, FILLS, Number, bare, row};
use crate::oracle::naive::Row;

impl Bench {
    pub fn write_types(&mut self) {
        let rows = [
            ("bench gasket", "paper seal; flat gasket", "renew", "yes"),
            ("bench ring", "round seal", "renew", "yes"),
            ("bench plug ring", "bung", "renew", "own"),
            ("bench washer", "", "renew", ""),
            ("bench hose", "", "inspect", "no"),
            ("bench bolt", "fixing", "keep", ""),
            ("bench casting", "fixing; flat gasket", "keep", "no"),
            ("bench paste", "", "renew", "yes"),
            // A type that nobody has given a rule.
            ("bench oddment", "", "", ""),
            // A name once more: the first row counts, and this one's other name leads to it.
            ("Bench Hose", "tube", "renew", "yes"),
        ];
        for (name, also_called, when_disturbed, seals) in rows {
            self.put(
                "types",
                row(&[
                    ("type", name),
                    ("also_called", also_called),
                    ("when_disturbed", when_disturbed),
                    ("seals", seals),
                ]),
            );
        }
    }

    pub fn write_parts(&mut self) {
        let how_many = self.number(6, 12);
        for at in 0..how_many {
            let prefix = self.one_of(&["AB", "CD", "K"]);
            let is_listed = !self.slip(0.2);
            self.counted.push(Number { text: format!("{prefix}-{}", 101 + at), is_listed });
        }
        let how_many = self.number(1, 3);
        for at in 0..how_many {
            let is_listed = !self.slip(0.2) || self.measured_parts_have_units;
            self.measured.push(Number { text: format!("OIL-{}", 10 * (at + 1)), is_listed });
        }
        let mut rows = Vec::new();
        for number in self.counted.clone().into_iter().filter(|number| number.is_listed) {
            let cells = self.part_cells(&number);
            if self.often(0.03) || self.slip(0.15) {
                // The same number on another page of the list, perhaps with another word on it.
                let mut again = cells.clone();
                if self.slip(0.9) {
                    let other = self.part_cells(&number);
                    let column = self.one_of(&["type", "single_use", "status"]);
                    again.remove(column);
                    again.extend(other.get(column).map(|text| (column.to_string(), text.clone())));
                }
                let spelled = self.spell_part(&number);
                again.insert("part".into(), spelled);
                rows.push(again);
            }
            self.put("parts", cells);
        }
        let own_unit = if self.measured_parts_have_units && self.often(0.4) {
            self.measured_units.1
        } else {
            self.measured_units.0
        };
        for number in self.measured.clone().into_iter().filter(|number| number.is_listed) {
            let unit =
                if self.measured_parts_have_units || self.often(0.5) { own_unit } else { "" };
            let kind = self.one_of(&["bench washer", "bench paste"]);
            let single_use = self.one_of(&["yes", "yes", "no", ""]);
            let status = if self.slip(0.2) { "discontinued" } else { "" };
            self.put(
                "parts",
                row(&[
                    ("part", &number.text),
                    ("type", kind),
                    ("single_use", single_use),
                    ("unit", unit),
                    ("status", status),
                ]),
            );
        }
        for again in rows {
            self.put("parts", again);
        }
        let equivalents = self.number(0, 4);
        for _ in 0..equivalents {
            let (one, other) = (self.number_for("bracket"), self.number_for("bracket"));
            if one.text != other.text {
                let (one, other) = (self.spell_part(&one), self.spell_part(&other));
                self.put("equivalents", row(&[("part", &one), ("other", &other)]));
            }
        }
    }

    fn part_cells(&mut self, number: &Number) -> Row {
        let mut kind = self.one_of(&[
            "bench gasket",
            "bench gasket",
            "bench ring",
            "bench ring",
            "bench plug ring",
            "bench washer",
            "bench hose",
            "bench bolt",
            "bench casting",
            "paper seal",
            "flat gasket",
            "fixing",
            "bung",
            "tube",
        ]);
        if self.slip(0.25) {
            kind = self.one_of(&["", "bench oddment", "doohickey"]);
        }
        let kind = self.spell(kind);
        let single_use = self.one_of(&["", "", "", "", "yes", "no"]);
        let unit = self.one_of(&["", "", "each"]);
        let status = if self.often(0.03) || self.slip(0.35) {
            self.one_of(&["discontinued", "discontinued", "withdrawn"])
        } else {
            self.one_of(&["", "available"])
        };
        row(&[
            ("part", &number.text),
            ("type", &kind),
            ("single_use", single_use),
            ("unit", unit),
            ("status", status),
        ])
    }

    /// A part that may sit at a position: counted or measured, as the position holds.
    pub fn number_for(&mut self, position: &str) -> Number {
        let pool =
            if FILLS.contains(&position) { self.measured.clone() } else { self.counted.clone() };
        self.one_of_these(&pool)
    }

    pub fn part_for(&mut self, position: &str) -> String {
        let number = self.number_for(position);
        self.spell_part(&number)
    }

    /// Like `part_for`, but mostly one that seals.
    pub fn sealing_part(&mut self) -> String {
        let seals = |number: &Number| {
            let mut parts = self.tables.get("parts").into_iter().flatten();
            parts.any(|part| {
                let kind = part.get("type").map_or(String::new(), |kind| kind.to_lowercase());
                part.get("part") == Some(&number.text)
                    && ["bench gasket", "bench ring", "paper seal"].contains(&kind.as_str())
            })
        };
        let sealing: Vec<Number> =
            self.counted.iter().filter(|number| seals(number)).cloned().collect();
        if sealing.is_empty() {
            return self.part_for("bracket");
        }
        let number = self.one_of_these(&sealing);
        self.spell_part(&number)
    }

    pub fn amount(&mut self) -> String {
        let (large, small) = self.measured_units;
        let (in_large, in_small) = self.one_of(&[
            ("0.35", "350"),
            ("0.5", "500"),
            ("1.2", "1200"),
            ("4", "4000"),
            ("0.05", "50"),
        ]);
        if self.measured_parts_have_units && self.often(0.5) {
            format!("{in_small} {small}")
        } else if self.often(0.3) {
            format!("{in_large}{large}")
        } else {
            format!("{in_large} {large}")
        }
    }

    // ----- Supersessions -----

    pub fn write_supersessions(&mut self) {
        let pools = [self.counted.clone(), self.measured.clone()];
        for pool in pools {
            let most = if pool.len() > 4 { 8 } else { 2 };
            let how_many = self.number(0, most);
            for _ in 0..how_many {
                let old = self.chance_below(pool.len());
                if self.often(0.35) {
                    self.write_group(&pool, old);
                    continue;
                }
                let Some(new) = self.later_number(&pool, old) else {
                    continue;
                };
                self.write_supersession(&pool[old], &pool[new], "");
            }
        }
    }

    /// A number further on in the pool, so that there is no loop; any number when things have slipped.
    fn later_number(&mut self, pool: &[Number], old: usize) -> Option<usize> {
        if self.slip(0.5) {
            return Some(self.chance_below(pool.len()));
        }
        (old + 1 < pool.len()).then(|| old + 1 + self.chance_below(pool.len() - old - 1))
    }

    /// The numbers that lead to this one.
    fn earlier_numbers(&self, pool: &[Number], new: usize) -> Vec<usize> {
        let mut earlier: Vec<usize> = vec![new];
        for _ in 0..2 {
            for row in self.tables.get("supersessions").into_iter().flatten() {
                let at = |column: &str| {
                    let part = bare(row.get(column).map_or("", String::as_str));
                    pool.iter().position(|number| bare(&number.text) == part)
                };
                if let (Some(old), Some(led_to)) = (at("old"), at("new"))
                    && earlier.contains(&led_to)
                    && !earlier.contains(&old)
                {
                    earlier.push(old);
                }
            }
        }
        earlier.retain(|at| *at != new);
        earlier
    }

    fn write_group(&mut self, pool: &[Number], old: usize) {
        let together = self.one_of(&["pair", "trio"]);
        let how_many = self.one_of(&[2, 2, 3]);
        let mut new_ones = Vec::new();
        if self.often(0.25) {
            new_ones.push(old);
        }
        for _ in 0..how_many {
            new_ones.extend(self.later_number(pool, old));
        }
        if self.slip(0.8) {
            // A group that leads back to what led here, and on the way there perhaps further back still.
            new_ones.extend(self.earlier_numbers(pool, old));
            let first = usize::from(new_ones.len() > 1);
            new_ones.rotate_right(first);
        }
        // Where an earlier row of this group is there already, nothing is said twice.
        let already: Vec<String> = self
            .tables
            .get("supersessions")
            .into_iter()
            .flatten()
            .filter(|row| row.get("together").is_some_and(|t| t.to_lowercase() == together))
            .filter(|row| row.get("old").is_some_and(|part| bare(part) == bare(&pool[old].text)))
            .filter_map(|row| row.get("new").map(|part| bare(part)))
            .collect();
        let mut said = Vec::new();
        for new in new_ones {
            if said.contains(&new) || already.contains(&bare(&pool[new].text)) {
                continue;
            }
            said.push(new);
            self.write_supersession(&pool[old], &pool[new], together);
        }
    }

    fn write_supersession(&mut self, old: &Number, new: &Number, together: &str) {
        let old_text = self.spell_part(old);
        let new_text = self.spell_part(new);
        let spelled = self.spell(together);
        let quantity = self.one_of(&["", "", "", "1", "2", "0.5"]);
        let needs = if self.often(0.35) { self.needs_cell() } else { String::new() };
        let swap = self.one_of(&["", "one-way", "both-ways"]);
        let times = if self.often(0.12) { 2 } else { 1 };
        for time in 0..times {
            // A row that says the same again counts with it, whatever its limits and its date; 1 is the same as blank.
            let since =
                self.one_of(&["", "", "1998", "2004", "2004-05-09", "20040509", "2011-02-03"]);
            let again = if quantity == "1" && time > 0 { "" } else { quantity };
            let mut old_text = old_text.clone();
            if time > 0 {
                old_text = self.spell_part(old);
            }
            let cells = row(&[
                ("old", &old_text),
                ("new", &new_text),
                ("quantity", again),
                ("together", &spelled),
                ("since", since),
                ("needs", &needs),
                ("swap", swap),
            ]);
            let probability = 0.3 + 0.3 * self.disorder;
            let scoped = self.scope(cells, probability, "");
            self.put("supersessions", scoped);
        }
    }

    /// What replaced a part, else the part itself.
    pub fn newer_part(&mut self, part: &str) -> String {
        self.neighbour_on_chain(part, "old", "new")
    }

    /// What a part became, or came from; else the part itself.
    pub fn neighbour_on_chain(&mut self, part: &str, from: &str, to: &str) -> String {
        let beside: Vec<String> = self
            .tables
            .get("supersessions")
            .into_iter()
            .flatten()
            .filter(|row| row.get(from).is_some_and(|text| bare(text) == bare(part)))
            .filter_map(|row| row.get(to).cloned())
            .collect();
        if beside.is_empty() { part.to_string() } else { self.one_of_these(&beside) }
    }

    // ----- Boxes -----

    pub fn write_contains(&mut self) {
        let how_many = self.number(0, 9);
        for _ in 0..how_many {
            let holder = self.number_for("bracket");
            let holder_text = self.spell_part(&holder);
            let position = self.anywhere();
            let position = if FILLS.contains(&position) && !self.measured_positions_have_units {
                "cover gasket"
            } else {
                position
            };
            let contained =
                if self.often(0.6) { self.listed_part(position) } else { self.part_for(position) };
            let quantity = if FILLS.contains(&position) {
                self.amount()
            } else {
                self.one_of(&["", "", "1", "2", "4"]).to_string()
            };
            let named = if self.often(0.5) { self.spell_position(position) } else { String::new() };
            self.put(
                "contains",
                row(&[
                    ("part", &holder_text),
                    ("contains", &contained),
                    ("quantity", &quantity),
                    ("position", &named),
                ]),
            );
        }
        self.write_boxes_of_what_is_asked_for();
    }

    /// A box that holds the very part a job asks for, or a number on its chain.
    fn write_boxes_of_what_is_asked_for(&mut self) {
        for (position, part) in self.wanted.clone() {
            if FILLS.contains(&position) || !self.often(0.25) {
                continue;
            }
            let contained = match self.number(0, 3) {
                0 => self.newer_part(&part),
                1 => self.neighbour_on_chain(&part, "new", "old"),
                _ => part,
            };
            let holder = self.part_for("bracket");
            let named = if self.often(0.4) { self.spell_position(position) } else { String::new() };
            self.put(
                "contains",
                row(&[("part", &holder), ("contains", &contained), ("position", &named)]),
            );
        }
    }
}
