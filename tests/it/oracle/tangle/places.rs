//! Positions, what is measured there, and joints.

use super::{Bench, FILLS, row};
use crate::oracle::naive::Row;

/// What the rows of one position have in common, unless they differ.
struct Common {
    part: String,
    quantity: String,
    joints: Vec<&'static str>,
    reached_by: String,
    carried_by: String,
    when_disturbed: &'static str,
    assembly: &'static str,
}

impl Bench {
    pub fn write_joints(&mut self) {
        for joint in self.joints.clone() {
            if self.often(0.5) {
                self.listed_joints.push(joint);
                let dry = self.one_of(&["yes", "no", ""]);
                self.put("joints", row(&[("joint", joint), ("dry", dry)]));
            }
        }
    }

    fn quantity_for(&mut self, position: &str) -> String {
        if FILLS.contains(&position) {
            if self.measured_positions_have_units || self.often(0.5) {
                self.amount()
            } else {
                "2".to_string()
            }
        } else {
            self.one_of(&["", "", "", "1", "2", "3", "4 each", "set", "set"]).to_string()
        }
    }

    pub fn write_positions(&mut self) {
        let everywhere = self.everywhere();
        let mut first_rows = Vec::new();
        let mut later_rows = Vec::new();
        for (at, position) in everywhere.into_iter().enumerate() {
            let common = self.common_cells(at, position);
            let around = if self.often(0.03 + 0.12 * self.disorder) {
                self.limits_around(common.assembly)
            } else {
                None
            };
            let mut rows = if around.is_some() { 2 } else { 1 };
            while rows < 3 && self.often(0.15 + 0.25 * self.disorder) && around.is_none() {
                rows += 1;
            }
            for which in 0..rows {
                let mut cells = self.position_cells(position, &common, which);
                if let Some((column, limits)) = &around {
                    cells.insert((*column).to_string(), limits[which].clone());
                } else {
                    let probability = if rows > 1 {
                        0.5 + 0.2 * self.disorder
                    } else {
                        0.1 + 0.3 * self.disorder
                    };
                    cells = self.scope(cells, probability, common.assembly);
                }
                let pool = if which == 0 { &mut first_rows } else { &mut later_rows };
                pool.push(cells);
            }
        }
        // Some people write a position's rows together, some come back to it at the end.
        for row in first_rows.into_iter().chain(later_rows) {
            self.put("positions", row);
        }
    }

    fn common_cells(&mut self, at: usize, position: &'static str) -> Common {
        let joints = self.joints.clone();
        let mut own = match joints.get(at) {
            Some(joint) => vec![*joint],
            None if self.often(0.5) => vec![self.one_of(&joints)],
            None => Vec::new(),
        };
        if self.often(0.1) {
            own = self.some_of(&joints, 2);
        }
        let assembly = if self.often(0.5) { "" } else { self.one_of(&["leg", "head"]) };
        self.assembly_of.insert(position, assembly);
        let part = if at < joints.len() && !self.slip(0.5) {
            self.sealing_part()
        } else {
            self.part_for(position)
        };
        let carrier = self.one_of(&self.positions.clone());
        let carried_by = if self.often(0.12) && (carrier != position || self.slip(0.5)) {
            self.spell(carrier)
        } else {
            String::new()
        };
        Common {
            part,
            quantity: self.quantity_for(position),
            reached_by: self.way_in(&own),
            joints: own,
            carried_by,
            when_disturbed: if self.often(0.25) {
                self.one_of(&["renew", "renew", "inspect", "keep"])
            } else {
                ""
            },
            assembly,
        }
    }

    /// Mostly an operation that opens the joints; now and then nobody has written down how to get there.
    fn way_in(&mut self, joints: &[&'static str]) -> String {
        if self.slip(0.3) {
            return if self.often(0.6) { String::new() } else { self.operation_or_slip() };
        }
        let Some(first) = joints.first() else {
            return if self.often(0.5) { "-".into() } else { self.operation_or_slip() };
        };
        if self.often(0.07) {
            return "-".into();
        }
        let opener = self.opener_of(first);
        for joint in joints {
            self.opened_by.push((opener, *joint));
        }
        self.spell_operation(opener)
    }

    fn position_cells(&mut self, position: &str, common: &Common, which: usize) -> Row {
        let differs = which > 0 && self.often(0.3 + 0.3 * self.disorder);
        let mut part = if differs { self.part_for(position) } else { common.part.clone() };
        if self.often(0.03) {
            part = "-".to_string();
        }
        if self.slip(0.12) {
            part = String::new();
        }
        let quantity = if differs && self.often(0.5) {
            self.quantity_for(position)
        } else {
            common.quantity.clone()
        };
        let joint = if which == 0 || !self.slip(0.3) {
            common.joints.clone()
        } else {
            let joints = self.joints.clone();
            self.some_of(&joints, 1)
        };
        let joint: Vec<String> = joint.into_iter().map(|joint| self.spell_joint(joint)).collect();
        let mut when_disturbed = common.when_disturbed;
        let mut reached_by = common.reached_by.clone();
        let mut carried_by = common.carried_by.clone();
        if differs && self.slip(0.4) {
            match self.number(0, 2) {
                0 => when_disturbed = self.one_of(&["renew", "keep", ""]),
                1 => reached_by = self.operation_or_slip(),
                _ => carried_by = String::new(),
            }
        }
        let torque = if self.often(0.12) {
            self.one_of(&["20 N·m; +90°", "30 N·m; 40 N·m", "2 kgf·m; +45°; +45°"])
        } else {
            ""
        };
        // The assembly of a position is that of its first row.
        let assembly = match self.number(0, 9) {
            0 if which > 0 => "",
            1 if which > 0 => "head",
            _ => common.assembly,
        };
        let spelled = if which == 0 { position.to_string() } else { self.spell(position) };
        let assembly = if which > 0 { self.spell(assembly) } else { assembly.to_string() };
        row(&[
            ("position", &spelled),
            ("assembly", &assembly),
            ("part", &part),
            ("quantity", &quantity),
            ("joint", &joint.join(";")),
            ("reached_by", &reached_by),
            ("carried_by", &carried_by),
            ("when_disturbed", when_disturbed),
            ("torque", torque),
        ])
    }

    // ----- Chosen by measuring -----

    pub fn write_selections(&mut self) {
        for position in self.positions.clone() {
            if !self.often(0.16) {
                continue;
            }
            let gap = self.one_of(&["gap", "gap", "Play"]);
            let mut limit = self.number(2, 8);
            let rows = self.number(1, 3);
            for which in 0..rows {
                let feature = if self.slip(0.2) { "run-out" } else { gap };
                let least = if which == 0 && self.often(0.7) { 0 } else { limit };
                let width = self.number(2, 5);
                let most = if which == rows - 1 && self.often(0.7) { 0 } else { limit + width };
                // The next row begins where this one ends, or a little before or after.
                limit += width + if self.slip(0.4) { -1 } else { self.number(0, 1) };
                let text = |tenths: i64| match tenths {
                    0 => String::new(),
                    _ => format!("{}.{} mm", tenths / 10, tenths % 10),
                };
                let part = if self.often(0.4) {
                    let listed = self.listed_part(position);
                    self.newer_part(&listed)
                } else {
                    self.part_for(position)
                };
                let spelled = self.spell_position(position);
                let cells = row(&[
                    ("position", &spelled),
                    ("feature", feature),
                    ("least", &text(least)),
                    ("most", &text(most)),
                    ("part", &part),
                ]);
                let assembly = self.assembly_of[position];
                let probability = 0.1 + 0.6 * self.disorder;
                let scoped = self.scope(cells, probability, assembly);
                self.put("selections", scoped);
            }
            self.write_readings(position, gap);
        }
    }

    fn write_readings(&mut self, position: &str, feature: &str) {
        let how_many = if self.slip(0.7) { 0 } else { self.number(1, 2) };
        for _ in 0..how_many {
            let date =
                self.one_of(&["1999-01-01", "2001-04-05", "2010-01-02", "20100102", "2012-03-04"]);
            let tenths = self.number(1, 14);
            let machine = if self.often(0.9) { super::MACHINE } else { super::NEIGHBOUR };
            let (machine, spelled) = (self.spell(machine), self.spell_position(position));
            let value = format!("{}.{}", tenths / 10, tenths % 10);
            let feature = self.spell(feature);
            self.put(
                "measurements",
                row(&[
                    ("date", date),
                    ("machine", &machine),
                    ("position", &spelled),
                    ("feature", &feature),
                    ("value", &value),
                ]),
            );
        }
    }
}
