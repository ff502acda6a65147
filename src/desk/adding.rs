//! What a new row, a joint or a job comes to, from what a person types of it; nothing is written here.

use super::open::SheetBench;
use crate::catalog::Thing;
use crate::catalog::{Lookup, Table};
use crate::entry::{
    Bundle, Held, JointAsk, LeftOut, Names, Question, Vocabulary, WhoseMeasure, alike, example,
    joint_rows, points_to, put_right, read_part, row, too_long, unknown_names, whose_measure,
};
use crate::measure::{Key, PartNumber};
use crate::near;
use crate::tables::{TextRow, definition};
use std::fmt;

/// What a person types of something new.
#[derive(Debug, Clone, Default)]
pub struct Typed {
    /// A line as the bag or the list has it; or a table, and the names of the new row.
    pub words: Vec<String>,
    /// Cells by column.
    pub columns: Vec<(&'static str, String)>,
    /// What makes a joint.
    pub joint: TypedJoint,
    /// What makes a job.
    pub job: TypedJob,
}

/// What a person types of a joint.
#[derive(Debug, Clone, Default)]
pub struct TypedJoint {
    /// The model that has it, or a machine of that model.
    pub on: Option<String>,
    /// The operation that opens it.
    pub opened_by: Option<String>,
    /// Operations that come before that one.
    pub after: Vec<String>,
    /// What sits in it, as `TYPE=PART`.
    pub holds: Vec<String>,
    /// What sits in it, by role.
    pub roles: Vec<(String, String)>,
}

/// What a person types of a job.
#[derive(Debug, Clone, Default)]
pub struct TypedJob {
    /// Positions to renew.
    pub renew: Vec<String>,
    /// Parts to put somewhere, as `POSITION=PART`.
    pub fit: Vec<String>,
    /// Operations to carry out.
    pub does: Vec<String>,
}

/// Why nothing was drafted, and what to type instead.
#[derive(Debug)]
pub struct NotAdded(String);

impl fmt::Display for NotAdded {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.0)
    }
}

impl std::error::Error for NotAdded {}

impl From<String> for NotAdded {
    fn from(why: String) -> Self {
        NotAdded(why)
    }
}

impl From<&str> for NotAdded {
    fn from(why: &str) -> Self {
        NotAdded(why.to_owned())
    }
}

fn refuse<T>(why: impl Into<String>) -> Result<T, NotAdded> {
    Err(NotAdded(why.into()))
}

/// Drafts what is typed. Whoever answers is asked for what is missing or can be read in two ways.
///
/// # Errors
/// What was typed makes no row.
pub fn draft<'a>(
    typed: &'a Typed,
    bench: &'a SheetBench,
    asks: Option<&'a mut dyn Asks>,
) -> Result<Draft, NotAdded> {
    let names = bench.names();
    let mut adding = Adding { bench, ask: typed, names, asks, draft: Draft::default() };
    adding.fill()?;
    Ok(adding.draft)
}

/// Someone who answers questions: a person at the terminal, or a test.
pub trait Asks {
    /// Asks for one line. `typed` stands there already and can be changed; `None` where no answer is to be had.
    fn line(&mut self, prompt: &str, typed: &str, choices: &[String]) -> Option<String>;
    /// Says something before the next question.
    fn say(&mut self, text: &str);
}

/// What is to be written, and what a person should see first.
#[derive(Debug, Default)]
pub struct Draft {
    /// The table that it is about.
    pub table: &'static str,
    /// The new rows, and what of them is there already.
    pub bundle: Bundle,
    /// What can be read in two ways; nothing is to be written before it is answered.
    pub questions: Vec<Question>,
    /// What was typed and has no column.
    pub left_out: Vec<LeftOut>,
    /// Known numbers that look like the new one.
    pub alike: Vec<PartNumber>,
}

struct Adding<'a> {
    bench: &'a SheetBench,
    ask: &'a Typed,
    names: Names,
    asks: Option<&'a mut dyn Asks>,
    draft: Draft,
}

/// Finds the table that a word names, in the singular or the plural.
fn table_of(word: &str) -> Option<&'static Table> {
    let word = word.trim().to_lowercase().replace('-', "_");
    let name = match word.as_str() {
        "line" | "lines" | "job_line" => "job_lines",
        "log" => "worklog",
        "contain" | "content" | "contents" => "contains",
        word => word,
    };
    definition(name).or_else(|| definition(&format!("{name}s")))
}

impl Adding<'_> {
    fn fill(&mut self) -> Result<(), NotAdded> {
        let words = &self.ask.words;
        let first = words.first().map_or("", String::as_str);
        let table = if first.contains(' ') { None } else { table_of(first) };
        let rest = words.get(1..).unwrap_or_default();
        match table {
            Some(table) if table.name == "parts" && rest.iter().any(|word| word.contains(' ')) => {
                self.free_text(&rest.join(" "))
            }
            Some(table) if table.name == "joints" => self.joint(rest),
            Some(table) if table.name == "jobs" => self.job(table, rest),
            Some(table) => self.row(table, rest),
            None => {
                let hint =
                    (words.len() > 1 || !first.contains(' ')).then(|| self.meant(first)).flatten();
                if let Some(hint) = hint {
                    return refuse(hint);
                }
                self.free_text(&words.join(" "))
            }
        }
    }

    /// Says which table a word may mean that is none.
    fn meant(&self, word: &str) -> Option<String> {
        let known = [
            "machine",
            "model",
            "part",
            "position",
            "joint",
            "operation",
            "job",
            "supersession",
            "retrofit",
            "stock",
            "supplier",
            "offer",
            "seat",
            "dimension",
        ];
        let has_digit = word.chars().any(|c| c.is_ascii_digit());
        let near = near::nearest(word, known).filter(|_| !has_digit)?;
        Some(format!("no table '{word}'; did you mean {near}?"))
    }

    fn given(&self, column: &str) -> Option<&str> {
        self.ask.columns.iter().find(|(name, _)| *name == column).map(|(_, text)| text.trim())
    }

    /// Refuses options that the table has no column for, instead of dropping what was typed.
    fn only_columns_of(&self, table: &Table) -> Result<(), NotAdded> {
        for (column, _) in &self.ask.columns {
            if !table.columns.iter().any(|known| known.name == *column) {
                let names: Vec<&str> = table.columns.iter().map(|column| column.name).collect();
                let near = near::nearest(column, names.iter().copied())
                    .map_or_else(String::new, |near| format!("; is --{near} meant?"));
                return refuse(format!(
                    "{} has no column {column}{near} (its columns: {})",
                    table.name,
                    names.join(", ")
                ));
            }
        }
        if table.name != "joints"
            && (!self.ask.joint.roles.is_empty()
                || self.ask.joint.opened_by.is_some()
                || !self.ask.joint.holds.is_empty()
                || !self.ask.joint.after.is_empty())
        {
            return refuse(format!(
                "--opened-by, --gasket and the like make a joint: kitwright add joint NAME ..., not {}",
                table.name
            ));
        }
        if table.name != "jobs"
            && !((self.ask.job.renew.is_empty() || table.name == "orders")
                && self.ask.job.fit.is_empty()
                && self.ask.job.does.is_empty())
        {
            return refuse(format!(
                "--renew, --fit and --does make a job: kitwright add job NAME ..., not {}",
                table.name
            ));
        }
        Ok(())
    }

    fn free_text(&mut self, line: &str) -> Result<(), NotAdded> {
        let table = definition("parts").ok_or("there is no table parts")?;
        self.only_columns_of(table)?;
        if let Some(why) = too_long(line) {
            return refuse(why);
        }
        let catalog = &self.bench.workbench.catalog;
        let reading = read_part(line, &Vocabulary::of(catalog.as_ref()), &|number| {
            catalog.part(number).is_some()
        });
        let mut cells: Vec<(&'static str, String)> = vec![
            ("part", reading.part),
            ("type", reading.part_type),
            ("name", reading.name),
            ("size", reading.size),
            ("material", reading.material),
        ];
        if reading.discontinued {
            cells.push(("status", "discontinued".to_owned()));
        }
        for (column, text) in &self.ask.columns {
            cells.retain(|(known, _)| known != column);
            cells.push((column, text.clone()));
        }
        let mut questions: Vec<Question> = reading
            .questions
            .into_iter()
            .filter(|question| self.given(question.column).is_none())
            .collect();
        let types: Vec<String> = catalog.type_names().iter().map(Key::to_string).collect();
        if let Some(asks) = self.asks.as_deref_mut() {
            for question in std::mem::take(&mut questions) {
                let choices = if question.column == "type" { &types } else { &question.choices };
                let said = choose(asks, &question, choices).ok_or("nothing was written")?;
                cells.retain(|(known, _)| *known != question.column);
                cells.push((question.column, said));
            }
        }
        // A cell in doubt is shown with its likeliest reading, and the row is not written with it.
        self.draft.left_out = reading.left_out;
        self.draft.questions = questions;
        self.take(table, cells)
    }

    fn row(&mut self, table: &'static Table, words: &[String]) -> Result<(), NotAdded> {
        self.only_columns_of(table)?;
        let cells = self.cells(table, words)?;
        self.take(table, cells)
    }

    /// The cells that were given: the options, and the words for the columns that every row needs.
    fn cells(
        &mut self,
        table: &'static Table,
        words: &[String],
    ) -> Result<Vec<(&'static str, String)>, NotAdded> {
        let mut cells: Vec<(&'static str, String)> = self.ask.columns.clone();
        // The word renews positions of a new job; in a row of orders it is a column.
        if table.name == "orders" && !self.ask.job.renew.is_empty() {
            cells.push(("renew", self.ask.job.renew.join("; ")));
        }
        let given = |cells: &[(&'static str, String)], column: &str| {
            cells.iter().any(|(name, _)| *name == column)
        };
        let mut words = words.iter();
        let leading = table.columns.first();
        let needed = table.columns.iter().filter(|column| {
            column.required || leading.is_some_and(|first| first.name == column.name)
        });
        for column in needed {
            if !given(&cells, column.name)
                && let Some(word) = words.next()
            {
                cells.push((column.name, word.clone()));
            }
        }
        if let Some(left) = words.next() {
            let needed: Vec<&str> = table
                .columns
                .iter()
                .filter(|column| column.required)
                .map(|column| column.name)
                .collect();
            return refuse(format!(
                "'{left}' has no column: words fill {}; name the others, as in --{} '{left}'",
                needed.join(", "),
                table.columns.last().map_or("note", |column| column.name)
            ));
        }
        let missing = |cells: &[(&'static str, String)]| {
            table.columns.iter().any(|column| column.required && !given(cells, column.name))
        };
        let bare = self.ask.columns.is_empty() && self.ask.words.len() == 1;
        if (missing(&cells) || bare)
            && let Some(asks) = self.asks.as_deref_mut()
        {
            return step_by_step(table, cells, asks, &self.names);
        }
        Ok(cells)
    }

    /// Takes a row into the draft.
    fn take(
        &mut self,
        table: &'static Table,
        mut cells: Vec<(&'static str, String)>,
    ) -> Result<(), NotAdded> {
        if table.name == "machines" || table.name == "parts" {
            // A name that is known is written as the tables spell it.
            for (column, text) in &mut cells {
                if let Some(of) = points_to(table.name, column)
                    .filter(|of| !matches!(of, Thing::Machine | Thing::Part))
                {
                    *text = self.names.spell(of, text);
                }
            }
        }
        for (column, text) in &mut cells {
            *text = self.names.parted(table.name, column, text);
        }
        let new = self.said_whose_measure(make(table, &cells)?)?;
        self.draft.table = table.name;
        if table.name == "parts"
            && let Some(number) = PartNumber::new(new.cell("part"))
        {
            self.draft.alike = alike(&number, &self.bench.workbench.catalog.part_numbers());
        }
        if table.name == "machines" && !self.names.holds(Thing::Model, new.cell("model")) {
            let model = new.cell("model").to_owned();
            if let Some(near) = self.names.near(Thing::Model, &model) {
                self.draft
                    .bundle
                    .remarks
                    .push(format!("model {model} is new to the tables; is {near} meant?"));
            }
            if let Some(row) = row("models", &[("model", &model)]) {
                self.names.add(Thing::Model, &model);
                self.draft.bundle.add(row, &self.bench.sheets);
            }
        }
        self.draft.bundle.remarks.extend(unknown_names(&new, &self.names));
        self.draft.bundle.add(new, &self.bench.sheets);
        Ok(())
    }

    /// Asks whose the pints and gallons of a row are; nobody at the terminal, and they are in doubt.
    fn said_whose_measure(&mut self, mut row: TextRow) -> Result<TextRow, NotAdded> {
        for WhoseMeasure { column, text, choices } in whose_measure(&row) {
            let question = Question { column, text, choices };
            match self.asks.as_deref_mut() {
                Some(asks) => {
                    let said =
                        choose(asks, &question, &question.choices).ok_or("nothing was written")?;
                    row = row.with(column, &said);
                }
                None => self.draft.questions.push(question),
            }
        }
        Ok(row)
    }

    /// The operations of --after, which may be parted by commas.
    fn after(&self) -> Vec<String> {
        let all =
            self.ask.joint.after.iter().map(|text| self.names.parted("operations", "needs", text));
        all.flat_map(|text| text.split(';').map(|name| name.trim().to_owned()).collect::<Vec<_>>())
            .collect()
    }

    fn joint(&mut self, words: &[String]) -> Result<(), NotAdded> {
        let table = definition("joints").ok_or("there is no table joints")?;
        let patterned = !self.ask.joint.roles.is_empty()
            || !self.ask.joint.holds.is_empty()
            || self.ask.joint.opened_by.is_some()
            || !self.ask.joint.after.is_empty();
        if !patterned {
            if self.ask.joint.on.is_some() {
                return refuse("say what sits in the joint: --gasket PART, --screws 4xPART ... (--on says only which model has it)".to_owned());
            }
            return self.row(table, words);
        }
        for (column, _) in &self.ask.columns {
            if !["joint", "name", "dry", "cautions", "source"].contains(column) {
                return refuse(format!(
                    "add joint has no --{column}; add the position by itself to say it there: kitwright add position"
                ));
            }
        }
        let [joint] = words else {
            return refuse(
                "name the joint, as in: kitwright add joint pump-cover --gasket 91-3001".to_owned(),
            );
        };
        let catalog = &self.bench.workbench.catalog;
        let known = |number: &PartNumber| catalog.part(number).is_some();
        let mut holds = Vec::new();
        for (role, text) in &self.ask.joint.roles {
            holds.push(Held::parse(role, text, &known).map_err(|why| format!("--{role}: {why}"))?);
        }
        for text in &self.ask.joint.holds {
            let (kind, part) = text.split_once('=').ok_or_else(|| {
                format!("--holds {text}: write it as TYPE=PART, as in 'tab washer=2x91-3501'")
            })?;
            let kind = kind.trim();
            let Some(known_type) = catalog.part_type(&Key::new(kind)) else {
                let near = self
                    .names
                    .near(Thing::Type, kind)
                    .map_or_else(String::new, |near| format!("; did you mean {near}?"));
                return refuse(format!(
                    "--holds {text}: no type '{kind}'{near} (kitwright columns types lists them)"
                ));
            };
            holds.push(
                Held::parse(known_type.part_type.as_str(), part, &known)
                    .map_err(|why| format!("--holds {text}: {why}"))?,
            );
        }
        let ask = JointAsk {
            joint: joint.clone(),
            name: self.given("name").unwrap_or_default().to_owned(),
            model: self.model()?,
            holds,
            opened_by: self.ask.joint.opened_by.clone().unwrap_or_default(),
            after: self.after(),
            cautions: self.given("cautions").unwrap_or_default().to_owned(),
            dry: match self.given("dry").map(str::to_lowercase).as_deref() {
                None | Some("" | "no") => false,
                Some("yes") => true,
                Some(other) => return refuse(format!("--dry is yes or no, not {other}")),
            },
            source: self.given("source").unwrap_or_default().to_owned(),
        };
        let type_of = |part: &PartNumber| {
            catalog
                .part(part)
                .map(|row| row.part_type.as_ref().map_or_else(String::new, ToString::to_string))
        };
        let seals = |kind: &str| {
            catalog
                .part_type(&Key::new(kind))
                .is_some_and(|kind| kind.seals.is_some_and(crate::catalog::Seals::closes))
        };
        self.draft.table = "joints";
        self.draft.bundle = joint_rows(&ask, &self.bench.sheets, &self.names, &type_of, &seals);
        Ok(())
    }

    /// The model that `--on` names, by itself or by a machine of it.
    fn model(&self) -> Result<String, NotAdded> {
        let Some(on) = &self.ask.joint.on else { return Ok(String::new()) };
        if self.names.holds(Thing::Model, on) {
            return Ok(self.names.spell(Thing::Model, on));
        }
        if let Some(machine) = self.bench.workbench.catalog.machine(&Key::new(on)) {
            return Ok(machine.model.to_string());
        }
        let near = self
            .names
            .near(Thing::Model, on)
            .map_or_else(String::new, |near| format!("; did you mean {near}?"));
        refuse(format!("no model '{on}'{near} (kitwright add model '{on}' adds it)"))
    }

    fn job(&mut self, table: &'static Table, words: &[String]) -> Result<(), NotAdded> {
        self.only_columns_of(table)?;
        let cells = self.cells(table, words)?;
        let job = cells
            .iter()
            .find(|(column, _)| *column == "job")
            .map(|(_, text)| text.clone())
            .unwrap_or_default();
        self.take(table, cells)?;
        let lines = &self.ask.job;
        let mut new: Vec<(String, String, String)> = Vec::new();
        new.extend(lines.renew.iter().map(|position| {
            (self.names.spell(Thing::Position, position), String::new(), String::new())
        }));
        for fit in &lines.fit {
            let (position, part) = fit
                .split_once('=')
                .ok_or_else(|| format!("--fit {fit}: write it as POSITION=PART"))?;
            new.push((
                self.names.spell(Thing::Position, position),
                part.trim().to_owned(),
                String::new(),
            ));
        }
        new.extend(lines.does.iter().map(|operation| {
            (String::new(), String::new(), self.names.spell(Thing::Operation, operation))
        }));
        for (position, part, operation) in new {
            let line = make(
                definition("job_lines").ok_or("there is no table job_lines")?,
                &[
                    ("job", job.clone()),
                    ("position", position),
                    ("part", part),
                    ("operation", operation),
                ],
            )?;
            self.names.add(Thing::Job, &job);
            self.draft.bundle.remarks.extend(unknown_names(&line, &self.names));
            self.draft.bundle.add(line, &self.bench.sheets);
        }
        // A job that is there may be given more lines.
        let added_lines = self.draft.bundle.rows.iter().any(|row| row.table == "job_lines");
        if added_lines && self.given("name").is_none() {
            self.draft.bundle.taken.retain(|(row, _)| row.table != "jobs");
        }
        Ok(())
    }
}

/// Asks a question of a line. The readings are numbered where there are several, and a number chooses one.
fn choose(asks: &mut dyn Asks, question: &Question, completed: &[String]) -> Option<String> {
    asks.say(&format!("{}: {}", question.column, question.text));
    let numbered = question.choices.len() > 1;
    for (number, choice) in (1..).zip(&question.choices).filter(|_| numbered) {
        asks.say(&format!("  {number}  {choice}"));
    }
    let mut typed = question.choices.first().cloned().unwrap_or_default();
    loop {
        let said = asks.line(&format!("{}: ", question.column), &typed, completed)?;
        // What is itself a reading is no number of one.
        let number =
            said.trim().parse::<usize>().ok().filter(|_| !question.choices.contains(&said));
        let chosen = number
            .and_then(|number| question.choices.get(number.checked_sub(1)?))
            .filter(|_| numbered);
        match (chosen, number) {
            (Some(chosen), _) => return Some(chosen.clone()),
            (None, Some(_)) if question.column == "type" => {
                asks.say("  no type is called by a number; type its name, or leave it blank");
                typed = String::new();
            }
            _ => return Some(said),
        }
    }
}

/// Makes a row, or says at which of its columns it cannot be read.
fn make(table: &Table, given: &[(&'static str, String)]) -> Result<TextRow, NotAdded> {
    let cells: Vec<(&str, &str)> =
        given.iter().map(|(column, text)| (*column, text.as_str())).collect();
    let new = put_right(row(table.name, &cells).ok_or("there is no such table")?);
    let refused = new.refused();
    if refused.is_empty() {
        return Ok(new);
    }
    let mut said: Vec<String> = Vec::new();
    for (column, why) in &refused {
        let example = example(table.name, column);
        let why = if new.cell(column).is_empty() {
            format!("every row of {} needs it", table.name)
        } else {
            why.to_string()
        };
        said.push(format!("--{}: {why}; such as {example}", column.replace('_', "-")));
    }
    let typed: Vec<String> = given
        .iter()
        .filter(|(_, text)| !text.is_empty())
        .map(|(column, text)| format!("--{} {}", column.replace('_', "-"), in_quotes(text)))
        .collect();
    let word =
        table.name.strip_suffix('s').filter(|word| table_of(word).is_some()).unwrap_or(table.name);
    refuse(format!(
        "{}\nnothing was written; what you typed, to mend and send again:\n  kitwright add {word} {}",
        said.join("\n       "),
        typed.join(" ")
    ))
}

/// Writes a cell as a shell takes it.
fn in_quotes(text: &str) -> String {
    format!("'{}'", text.replace('\'', r"'\''"))
}

/// Asks for the cells of a row one by one. What was typed wrongly stays in the line to be mended.
fn step_by_step(
    table: &'static Table,
    mut cells: Vec<(&'static str, String)>,
    asks: &mut dyn Asks,
    names: &Names,
) -> Result<Vec<(&'static str, String)>, NotAdded> {
    asks.say(&format!(
        "{}\nEnter leaves a cell blank, Tab completes, ? explains, . leaves all the rest blank.",
        table.about
    ));
    let mut only_needed = false;
    for column in &table.columns {
        if cells.iter().any(|(name, _)| *name == column.name) || (only_needed && !column.required) {
            continue;
        }
        let choices: Vec<String> = points_to(table.name, column.name)
            .map_or_else(|| words_of(column.form), |of| names.all(of).to_vec());
        let mark = if column.required { " (needed)" } else { "" };
        let mut typed = String::new();
        loop {
            let Some(said) = asks.line(&format!("{}{mark}: ", column.name), &typed, &choices)
            else {
                let _ = make(table, &cells);
                let kept: Vec<String> = cells
                    .iter()
                    .filter(|(_, text)| !text.is_empty())
                    .map(|(column, text)| {
                        format!("--{} {}", column.replace('_', "-"), in_quotes(text))
                    })
                    .collect();
                return refuse(format!(
                    "nothing was written; what you typed, to go on with:\n  kitwright add {} {}",
                    table.name,
                    kept.join(" ")
                ));
            };
            match said.as_str() {
                "?" => {
                    asks.say(&format!(
                        "  {} ({}) Such as: {}",
                        column.about,
                        column.form,
                        example(table.name, column.name)
                    ));
                    continue;
                }
                "." if !column.required => {
                    only_needed = true;
                    break;
                }
                "" if column.required => {
                    asks.say(&format!(
                        "  every row of {} needs its {}; such as {}",
                        table.name,
                        column.name,
                        example(table.name, column.name)
                    ));
                    continue;
                }
                _ => {}
            }
            let wrong = row(table.name, &[(column.name, &said)]).and_then(|row| {
                row.refused()
                    .into_iter()
                    .find(|(refused, _)| *refused == column.name)
                    .map(|(_, why)| why.to_string())
            });
            match wrong.filter(|_| !said.is_empty()) {
                Some(why) => {
                    asks.say(&format!("  {why}"));
                    typed = said;
                }
                None => {
                    cells.push((column.name, said));
                    break;
                }
            }
        }
    }
    Ok(cells)
}

/// The words that a cell of few choices may hold.
fn words_of(form: &str) -> Vec<String> {
    match form {
        "yes or no" => vec!["yes".into(), "no".into()],
        "available or discontinued"
        | "renew, inspect or keep"
        | "fits, fits-with or no"
        | "one-way or both-ways" => {
            form.replace(" or ", ", ").split(", ").map(str::to_owned).collect()
        }
        _ => Vec::new(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::collections::VecDeque;

    /// Answers that were written down before.
    struct Script {
        answers: VecDeque<&'static str>,
        heard: Vec<String>,
        kept: Vec<String>,
    }

    impl Asks for Script {
        fn line(&mut self, prompt: &str, typed: &str, _: &[String]) -> Option<String> {
            self.heard.push(prompt.to_owned());
            self.kept.push(typed.to_owned());
            self.answers.pop_front().map(str::to_owned)
        }

        fn say(&mut self, text: &str) {
            self.heard.push(text.to_owned());
        }
    }

    fn script(answers: &[&'static str]) -> Script {
        Script { answers: answers.iter().copied().collect(), heard: vec![], kept: vec![] }
    }

    #[test]
    fn a_slip_is_said_at_its_field_and_what_was_typed_is_kept() {
        let table = definition("machines").expect("a table");
        let mut asks = script(&["mower", "", "K3", "199", "1996", "."]);
        let cells = step_by_step(table, vec![], &mut asks, &Names::default()).expect("answered");
        assert_eq!(
            cells,
            [("machine", "mower".into()), ("model", "K3".into()), ("year", "1996".into())]
        );
        assert!(asks.heard.iter().any(|line| line.contains("needs its model")), "{:?}", asks.heard);
        assert!(
            asks.heard.iter().any(|line| line.contains("`199` is no year")),
            "{:?}",
            asks.heard
        );
        assert_eq!(asks.kept[4], "199");
    }

    #[test]
    fn a_number_chooses_among_the_readings_and_is_never_a_type() {
        let question = |column, choices: &[&str]| Question {
            column,
            text: "which?".into(),
            choices: choices.iter().map(|choice| (*choice).to_owned()).collect(),
        };
        let types = question("type", &["sealing washer", "plain washer"]);
        assert_eq!(choose(&mut script(&["2"]), &types, &[]).as_deref(), Some("plain washer"));
        assert_eq!(choose(&mut script(&["7", "dowel"]), &types, &[]).as_deref(), Some("dowel"));
        assert_eq!(choose(&mut script(&[""]), &types, &[]).as_deref(), Some(""));
        // One reading is no menu: a number typed instead of it is the size.
        assert_eq!(
            choose(&mut script(&["12"]), &question("size", &["9.5"]), &[]).as_deref(),
            Some("12")
        );
        assert_eq!(
            choose(&mut script(&["1"]), &question("size", &["1", "2"]), &[]).as_deref(),
            Some("1")
        );
    }

    #[test]
    fn one_who_stops_is_given_back_what_was_typed() {
        let table = definition("machines").expect("a table");
        let said = ["mower", "owner's"];
        let why = step_by_step(table, vec![], &mut script(&said), &Names::default())
            .expect_err("stopped");
        assert!(why.to_string().contains(r"--machine 'mower' --model 'owner'\''s'"), "{why}");
    }
}
