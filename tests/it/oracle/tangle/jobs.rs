//! Operations, jobs and what is asked for.

use super::{
    Bench, FILLS, JOBS_ASSEMBLIES, LOGGED_POSITION, MACHINE, OPTIONS, UNLISTED_OPERATION,
    UNLISTED_POSITION, row,
};
use crate::oracle::naive::{Ask, Row};

impl Bench {
    pub fn operation_or_slip(&mut self) -> String {
        if self.slip(0.1) {
            return UNLISTED_OPERATION.to_string();
        }
        let operation = self.one_of(&self.operations.clone());
        self.spell_operation(operation)
    }

    /// The operation that opens a joint.
    pub fn opener_of(&self, joint: &str) -> &'static str {
        let at = self.joints.iter().position(|any| *any == joint).unwrap_or_default();
        self.operations[at % self.operations.len()]
    }

    pub fn write_operations(&mut self) {
        let operations = self.operations.clone();
        let mut later_rows = Vec::new();
        for (at, operation) in operations.iter().enumerate() {
            let rows = if self.often(0.1 + 0.2 * self.disorder) { 2 } else { 1 };
            let assembly = if self.often(0.6) { "" } else { self.one_of(&["leg", "head"]) };
            let mut first: Option<Row> = None;
            for _ in 0..rows {
                let again = first.clone().filter(|_| self.often(0.6 - 0.3 * self.disorder));
                let cells = match again {
                    Some(mut again) => {
                        for scope in ["model", "years", "serials", "only"] {
                            again.remove(scope);
                        }
                        again
                    }
                    None => self.operation_cells(at, operation, assembly),
                };
                let probability = if rows > 1 { 0.6 } else { 0.05 + 0.3 * self.disorder };
                let scoped = self.scope(cells, probability, assembly);
                match first {
                    None => {
                        self.put("operations", scoped.clone());
                        first = Some(scoped);
                    }
                    Some(_) => {
                        let spelled = self.spell(operation);
                        let mut scoped = scoped;
                        scoped.insert("operation".to_string(), spelled);
                        later_rows.push(scoped);
                    }
                }
            }
        }
        for row in later_rows {
            self.put("operations", row);
        }
    }

    fn operation_cells(&mut self, at: usize, operation: &'static str, assembly: &str) -> Row {
        let operations = self.operations.clone();
        // In a well-kept catalog only earlier operations are needed, so there is no cycle.
        let may_need: Vec<&'static str> =
            if self.slip(0.6) { operations.clone() } else { operations[..at].to_vec() };
        let how_many = self.one_of(&[0, 1, 1, 2]);
        let mut needs: Vec<String> =
            self.some_of(&may_need, how_many).into_iter().map(str::to_string).collect();
        if self.slip(0.08) {
            needs.push(UNLISTED_OPERATION.to_string());
        }
        let needs: Vec<String> = needs.iter().map(|need| self.spell_operation(need)).collect();

        let how_many = self.one_of(&[0, 0, 1]);
        let joints = self.joints.clone();
        let mut opened = self.some_of(&joints, how_many);
        let must_open: Vec<&'static str> =
            self.opened_by.iter().filter(|(by, _)| *by == operation).map(|(_, j)| *j).collect();
        opened.extend(must_open);
        let opened: Vec<&'static str> =
            joints.into_iter().filter(|joint| opened.contains(joint)).collect();
        let opens: Vec<String> = opened.into_iter().map(|joint| self.spell_joint(joint)).collect();

        let how_many = self.one_of(&[0, 0, 1, 2]);
        let positions = self.everywhere();
        let mut removes: Vec<String> = self
            .some_of(&positions, how_many)
            .into_iter()
            .map(|position| self.spell_position(position))
            .collect();
        if self.often(0.08) {
            removes.push(LOGGED_POSITION.to_string());
            self.removes_the_logged_position = true;
        }
        if self.slip(0.06) {
            removes.push(UNLISTED_POSITION.to_string());
        }
        let uses = self.uses_cell();
        let phase = if at + 2 >= operations.len() && self.often(0.3) { "after" } else { "" };
        row(&[
            ("operation", operation),
            ("assembly", assembly),
            ("needs", &needs.join("; ")),
            ("opens", &opens.join(";")),
            ("removes", &removes.join("; ")),
            ("uses", &uses),
            ("phase", phase),
        ])
    }

    fn uses_cell(&mut self) -> String {
        let mut uses = Vec::new();
        let measured = self.measured.clone();
        for number in measured {
            if self.often(0.2) {
                let part = self.spell_part(&number);
                // Without a unit of its own there is nothing to say what as-needed is nought of.
                let amount = if self.measured_parts_have_units && self.often(0.3) {
                    "as-needed".to_string()
                } else {
                    self.amount()
                };
                uses.push(format!("{part}={amount}"));
            }
        }
        if self.often(0.15) {
            let number = self.number_for("bracket");
            let part = self.spell_part(&number);
            let amount = self.one_of(&["1", "2", "4 each", "as-needed"]);
            uses.push(format!("{part}={amount}"));
        }
        uses.join("; ")
    }

    pub fn anywhere(&mut self) -> &'static str {
        if self.slip(0.06) {
            return UNLISTED_POSITION;
        }
        if self.removes_the_logged_position && (self.often(0.01) || self.slip(0.06)) {
            return LOGGED_POSITION;
        }
        let positions: Vec<&'static str> =
            self.positions.iter().chain(&self.positions).chain(&self.fills).copied().collect();
        self.one_of(&positions)
    }

    // ----- Jobs -----

    pub fn write_jobs(&mut self) {
        for job in self.jobs.clone() {
            let assembly = self.one_of(&JOBS_ASSEMBLIES);
            if self.often(0.15) {
                let cells = row(&[("job", job), ("assembly", assembly)]);
                let scoped = self.scope(cells, 0.9, assembly);
                self.put("jobs", scoped);
                let spelled = self.spell(job);
                let cells = row(&[("job", &spelled), ("assembly", assembly)]);
                let scoped = self.scope(cells, 0.6, assembly);
                self.put("jobs", scoped);
            } else {
                let probability = 0.04 + 0.15 * self.disorder;
                let cells = row(&[("job", job), ("assembly", assembly)]);
                let scoped = self.scope(cells, probability, assembly);
                self.put("jobs", scoped);
            }
            let lines = self.number(1, 3);
            for _ in 0..lines {
                self.write_job_line(job, assembly);
            }
        }
    }

    fn write_job_line(&mut self, job: &'static str, job_assembly: &'static str) {
        let mut cells = Row::new();
        let spelled = self.spell(job);
        cells.insert("job".into(), spelled);
        let form = self.number(0, 20);
        let mut assembly = job_assembly;
        if form <= 6 || form == 20 {
            let operation = self.operation_or_slip();
            cells.insert("operation".into(), operation);
        }
        if form == 18 || form == 7 {
            self.write_set(&mut cells, &mut assembly);
        } else if form >= 8 {
            let position = self.anywhere();
            assembly = self.assembly_of.get(position).copied().unwrap_or_default();
            let spelled = self.spell_position(position);
            cells.insert("position".into(), spelled);
            self.write_what_to_do_there(form, position, &mut cells);
        }
        if self.often(0.2) {
            let option = self.one_of(&OPTIONS);
            let spelled = self.spell(option);
            let text = if self.often(0.4) { format!("not {spelled}") } else { spelled };
            self.options_named.push((job, option));
            cells.insert("option".into(), text);
        }
        let probability = 0.05 + 0.25 * self.disorder;
        let scoped = self.scope(cells, probability, assembly);
        self.put("job_lines", scoped);
    }

    fn write_set(&mut self, cells: &mut Row, assembly: &mut &'static str) {
        // Few numbers, so that one is asked for twice.
        let number = self.counted[self.counted.len() / 2].clone();
        let number = if self.often(0.7) { number } else { self.number_for("bracket") };
        let part = self.spell_part(&number);
        cells.insert("part".into(), part);
        if self.often(0.5) {
            let quantity = self.one_of(&["2", "3", "1"]);
            cells.insert("quantity".into(), quantity.into());
        }
        if self.often(0.2) {
            *assembly = self.one_of(&["leg", "head"]);
            let spelled = self.spell(assembly);
            cells.insert("assembly".into(), spelled);
        }
    }

    fn write_what_to_do_there(&mut self, form: i64, position: &'static str, cells: &mut Row) {
        match form {
            // A renewal, and nothing more.
            8..=11 => {}
            12 => {
                cells.insert("part".into(), "-".into());
            }
            _ => {
                let listed = self.listed_part(position);
                let part = match self.number(0, 9) {
                    0..=3 => listed,
                    4..=6 => self.newer_part(&listed),
                    _ => self.part_for(position),
                };
                self.wanted.push((position, part.clone()));
                cells.insert("part".into(), part);
                if self.often(0.3) {
                    let quantity =
                        if FILLS.contains(&position) { self.amount() } else { "2".to_string() };
                    cells.insert("quantity".into(), quantity);
                }
            }
        }
    }

    pub fn ask(&mut self) -> Ask {
        let how_many = self.number(1, self.jobs.len() as i64) as usize;
        let mut jobs = self.some_of(&self.jobs.clone(), how_many);
        let mut options: Vec<String> = Vec::new();
        for (job, option) in self.options_named.clone() {
            if jobs.contains(&job) && !options.iter().any(|any| any == option) && self.often(0.5) {
                options.push(option.to_string());
            }
        }
        if self.often(0.3) {
            jobs.reverse();
        }
        let mut jobs: Vec<String> = jobs.into_iter().map(|job| self.spell(job)).collect();
        if self.often(0.01) {
            jobs.push("a job nobody wrote".into());
        }
        let machine =
            if self.often(0.01) { "a machine nobody has".to_string() } else { self.spell(MACHINE) };
        Ask { machine, jobs, options }
    }
}
