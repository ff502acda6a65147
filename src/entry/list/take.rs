//! The rows of a list, each with how it stands to the rows that are there and with what is doubtful about it.

use super::cells::{DITTO, is_page_head};
use super::columns::{Column, Guess, folded};
use super::line::ListLine;
use super::log_date::{LoggedWhen, logged_when};
use super::values::{Decimals, cell, decimals, looks_like_number};
use crate::catalog::Table;
use crate::entry::addition::{Register, Standing};
use crate::entry::bundle::row;
use crate::entry::free_text::{read_part, too_long};
use crate::entry::names::Names;
use crate::entry::put_right::put_right;
use crate::entry::vocabulary::Vocabulary;
use crate::entry::whose_measure::{WhoseMeasure, whose_measure};
use crate::measure::PartNumber;
use crate::tables::{TextRow, TextSheet};
use std::collections::HashMap;

/// A list, and how it is to be read.
pub struct Source<'a> {
    /// Its lines; blank ones do not count.
    pub lines: &'a [ListLine],
    /// Its columns.
    pub guess: &'a Guess,
    /// The table that takes it.
    pub table: &'static Table,
    /// What stands in the same column of every row, where the list says nothing.
    pub same: &'a [(&'static str, String)],
    /// The names that the tables know: what is one of them is not parted at its comma.
    pub names: &'a Names,
}

/// A row of the list.
#[derive(Debug, Clone)]
pub struct Taken {
    /// The line of the list.
    pub line: u32,
    /// The line as it stands there.
    pub text: String,
    /// The row; a cell in doubt is left blank. `None` where it cannot be a row at all.
    pub row: Option<TextRow>,
    /// How it stands to the rows that are there.
    pub standing: Standing,
    /// What is in doubt.
    pub doubts: Vec<String>,
    /// What was taken otherwise than it was typed, and how.
    pub taken_as: Vec<String>,
}

impl Taken {
    /// Tells whether something in it is in doubt; a row that is there already as it would come in is not.
    pub fn is_doubtful(&self) -> bool {
        match (&self.row, &self.standing) {
            (Some(_), Standing::Same(_)) => false,
            (None, _) => true,
            (Some(_), _) => !self.doubts.is_empty(),
        }
    }
}

/// A line that is no row.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct PassedOver {
    /// The line of the list.
    pub line: u32,
    /// What stands there.
    pub text: String,
    /// Why it was passed over.
    pub why: &'static str,
}

/// What a list brings.
#[derive(Debug, Clone, Default)]
pub struct Intake {
    /// Its rows.
    pub rows: Vec<Taken>,
    /// Its other lines.
    pub passed_over: Vec<PassedOver>,
}

/// The places that a list was given names for: by name, each with its figure and the scopes that it has had.
type Places = HashMap<String, Vec<(String, Vec<String>)>>;

/// Reads the rows of a list.
pub fn take(
    source: &Source,
    sheets: &[TextSheet],
    words: &Vocabulary,
    known: &dyn Fn(&PartNumber) -> bool,
) -> Intake {
    let mut intake = Intake::default();
    let Some(mut register) = Register::of(source.table.name, sheets) else { return intake };
    let header = source.guess.header.and_then(|at| source.lines.get(at));
    let start = source.guess.header.map_or(0, |at| at + 1);
    for line in source
        .lines
        .get(..start.saturating_sub(1))
        .unwrap_or_default()
        .iter()
        .filter(|line| !line.is_blank())
    {
        intake.pass(line, "it stands above the header line");
    }
    let body = source.lines.get(start..).unwrap_or_default();
    let marks: Vec<Decimals> = (0..source.guess.columns.len())
        .map(|index| {
            decimals(body.iter().filter_map(|line| line.cells.get(index)).map(String::as_str))
        })
        .collect();
    let mut above: Vec<String> = Vec::new();
    let mut slugs: Places = HashMap::new();
    for line in body.iter().filter(|line| !line.is_blank()) {
        if let Some(why) = no_row(line, header, source) {
            intake.pass(line, why);
            continue;
        }
        let cells = with_dittos(&line.cells, &above);
        above.clone_from(&cells);
        let mut taken = read_row(line, &cells, source, &marks, words, known, &mut slugs);
        if let Some(row) = &taken.row {
            taken.standing = register.standing(row);
            if matches!(taken.standing, Standing::New) {
                // The same part further down is the same, or says something else.
                register.add("this list", row.clone());
            }
        }
        intake.rows.push(taken);
    }
    intake
}

impl Intake {
    fn pass(&mut self, line: &ListLine, why: &'static str) {
        self.passed_over.push(PassedOver { line: line.line, text: text_of(line), why });
    }
}

fn text_of(line: &ListLine) -> String {
    line.cells.iter().filter(|cell| !cell.is_empty()).cloned().collect::<Vec<_>>().join(" | ")
}

/// Tells why a line is no row: a header once more, a page's foot, a sum, a heading.
fn no_row(line: &ListLine, header: Option<&ListLine>, source: &Source) -> Option<&'static str> {
    let filled: Vec<&String> = line.cells.iter().filter(|cell| !cell.is_empty()).collect();
    if let Some(header) = header {
        let same = header
            .cells
            .iter()
            .zip(&line.cells)
            .filter(|(theirs, here)| !theirs.is_empty() && folded(theirs) == folded(here))
            .count();
        if same >= 2 || (same == 1 && filled.len() == 1) {
            return Some("the header line once more");
        }
    }
    if filled
        .iter()
        .all(|cell| cell.chars().all(|c| matches!(c, '-' | '=' | '_' | '*' | '+' | ' ' | '.')))
    {
        return Some("a rule");
    }
    let first = filled.first().map(|cell| cell.to_lowercase()).unwrap_or_default();
    // Columns of spaces may cut through the foot of a page, so it is read as one.
    let joined: String = filled
        .iter()
        .flat_map(|cell| cell.to_lowercase().chars().collect::<Vec<_>>())
        .filter(|c| c.is_alphanumeric())
        .collect();
    let page = ["page", "seite", "sheet", "blatt", "pagina", "página"].iter().any(|word| {
        joined
            .strip_prefix(word)
            .is_some_and(|rest| rest.starts_with(|c: char| c.is_ascii_digit()) && rest.len() <= 8)
    });
    if page {
        return Some("the foot of a page");
    }
    let text = filled.iter().map(|cell| cell.as_str()).collect::<Vec<_>>().join(" ");
    if is_page_head(&text) && !names_a_part(line, source) {
        return Some("the head or the foot of a page");
    }
    if filled.len() <= 2
        && (first.starts_with("printed")
            || first.starts_with("continued")
            || first.starts_with("copyright")
            || first.starts_with('©'))
    {
        return Some("the foot of a page");
    }
    if filled.iter().any(|cell| {
        let lower = cell.to_lowercase();
        let lower = lower.trim_end_matches([':', ' ']);
        matches!(
            lower,
            "total"
                | "subtotal"
                | "sub-total"
                | "sum"
                | "summe"
                | "zwischensumme"
                | "gesamt"
                | "grand total"
                | "net total"
                | "vat"
                | "mwst"
                | "shipping"
                | "freight"
                | "versand"
                | "somme"
                | "totale"
                | "carried forward"
                | "übertrag"
        ) || lower.starts_with("total ")
            || lower.starts_with("vat ")
            || lower.starts_with("mwst ")
    }) && !has_number(line, source)
    {
        return Some("a sum");
    }
    let mapped = source
        .guess
        .columns
        .iter()
        .any(|column| column.ours.is_some_and(|ours| is_leading(source.table, ours)));
    if mapped && filled.len() == 1 && line.cells.len() > 1 && !has_number(line, source) {
        return Some("a heading, or a foot");
    }
    None
}

/// The columns without which no row of the table can be.
fn is_leading(table: &Table, column: &str) -> bool {
    table.columns.iter().any(|known| known.required && known.name == column)
}

fn has_number(line: &ListLine, source: &Source) -> bool {
    source.guess.columns.iter().zip(&line.cells).any(|(column, cell)| {
        matches!(column.ours, Some("part" | "old" | "new" | "other" | "contains"))
            && cell.chars().any(|c| c.is_ascii_digit())
    })
}

/// Tells whether what stands in the column of part numbers looks like one.
fn names_a_part(line: &ListLine, source: &Source) -> bool {
    source.guess.columns.iter().zip(&line.cells).any(|(column, cell)| {
        matches!(column.ours, Some("part" | "old" | "new" | "other" | "contains"))
            && looks_like_number(cell)
    })
}

fn with_dittos(cells: &[String], above: &[String]) -> Vec<String> {
    let ditto = |cell: &str| {
        matches!(
            cell.trim().to_lowercase().as_str(),
            DITTO
                | "\""
                | "''"
                | "\"\""
                | "do."
                | "do"
                | "ditto"
                | "dto."
                | "dto"
                | "-\"-"
                | "\" \""
                | "idem"
                | "id."
                | "〃 〃"
        )
    };
    cells
        .iter()
        .enumerate()
        .map(
            |(index, cell)| {
                if ditto(cell) {
                    above.get(index).cloned().unwrap_or_default()
                } else {
                    cell.clone()
                }
            },
        )
        .collect()
}

fn read_row(
    line: &ListLine,
    cells: &[String],
    source: &Source,
    marks: &[Decimals],
    words: &Vocabulary,
    known: &dyn Fn(&PartNumber) -> bool,
    slugs: &mut Places,
) -> Taken {
    let table = source.table;
    let mut doubts = Vec::new();
    let mut taken_as = Vec::new();
    let first = table.columns.first();
    let mut unread = false;
    let mut undated = String::new();
    let mut made: Vec<(&'static str, String)> = Vec::new();
    for (index, (Column { ours, theirs }, text)) in
        source.guess.columns.iter().zip(cells).enumerate()
    {
        let Some(column) =
            ours.and_then(|ours| table.columns.iter().find(|column| column.name == ours))
        else {
            continue;
        };
        let marks = marks.get(index).copied().unwrap_or(Decimals::Unknown);
        if (table.name, column.name) == ("worklog", "date")
            && logged_when(text) != LoggedWhen::Written
        {
            undated.clone_from(text);
            continue;
        }
        match cell(text, table.name, column.name, column.form, marks) {
            Ok(text) if !text.is_empty() => made.push((column.name, text)),
            Ok(_) => {}
            Err(doubt) => {
                unread |= first.is_some_and(|first| first.name == column.name);
                doubts.push(format!("{theirs}: {doubt}"));
            }
        }
    }
    let said = !made.is_empty() || !table.columns.iter().any(|column| mapped(source, column.name));
    let dated = made.iter().any(|(column, _)| *column == "date") || unread;
    let for_all =
        undated.trim().is_empty() && source.same.iter().any(|(column, _)| *column == "date");
    if table.name == "worklog" && said && !dated && !for_all {
        taken_as.push(date_roughly(&undated, &mut made));
    }
    if table.name == "parts" {
        read_description(cells, &mut made, &mut doubts, words, known, source);
    }
    for (column, text) in source.same {
        if !made.iter().any(|(known, _)| known == column) && !text.is_empty() {
            made.push((column, text.clone()));
        }
    }
    if table.name == "positions" && !made.iter().any(|(column, _)| *column == "position") {
        // A parts list has no names for its places: what sits there gives one.
        let name = made
            .iter()
            .find(|(column, _)| *column == "name")
            .map(|(_, text)| slug(text))
            .unwrap_or_default();
        if !name.is_empty() {
            let of = |column: &str| {
                made.iter()
                    .find(|(known, _)| *known == column)
                    .map(|(_, text)| text.clone())
                    .unwrap_or_default()
            };
            // One item of a figure with other years or serials is another part at the same place.
            let figure = of("figure");
            let scope = format!("{}|{}|{}|{}", of("model"), of("years"), of("serials"), of("only"));
            let place = slugs.entry(name.clone()).or_default();
            let known = place.iter().position(|(known, scopes)| {
                *known == figure && !known.is_empty() && scope != "|||" && !scopes.contains(&scope)
            });
            let times = match known {
                Some(at) => {
                    if let Some((_, scopes)) = place.get_mut(at) {
                        scopes.push(scope);
                    }
                    at + 1
                }
                None => {
                    place.push((figure, vec![scope]));
                    place.len()
                }
            };
            let key = if times == 1 { name } else { format!("{name}-{times}") };
            made.push(("position", key));
        }
    }
    for (column, text) in &mut made {
        *text = source.names.parted(table.name, column, text);
    }
    let refs: Vec<(&str, &str)> =
        made.iter().map(|(column, text)| (*column, text.as_str())).collect();
    let mut new = row(table.name, &refs).map(put_right);
    if let Some(row) = &new {
        let refused = row.refused();
        let mut left = row.clone();
        let mut stands = true;
        for (column, why) in refused {
            let needed = table.columns.iter().any(|known| known.name == column && known.required);
            if row.cell(column).is_empty() {
                if !doubts.iter().any(|doubt| doubt.contains(column)) {
                    doubts.push(format!("it has no {column}"));
                }
            } else {
                doubts.push(format!("{column}: {why}"));
                unread |= first.is_some_and(|first| first.name == column);
                left = left.with(column, "");
            }
            stands &= !needed;
        }
        for WhoseMeasure { column, text, choices } in whose_measure(&left) {
            doubts.push(format!("{column}: {text}; {}?", choices.join(" or ")));
            left = left.with(column, "");
            stands &= !table.columns.iter().any(|known| known.name == column && known.required);
        }
        // What is first said in a row is what it is about. A log's date may be blank, but not because it was typed in a
        // way that cannot be read: blank, it would come before everything else.
        let leads = first
            .is_some_and(|first| !left.cell(first.name).is_empty() || !(first.required || unread));
        new = (stands && leads && said).then_some(left);
    }
    if new.is_none() && doubts.is_empty() {
        let lacking = first.filter(|_| said).map(|first| format!("it has no {}", first.name));
        doubts.push(lacking.unwrap_or_else(|| "nothing of it has a column".to_owned()));
    }
    Taken {
        line: line.line,
        text: text_of(line),
        row: new,
        standing: Standing::New,
        doubts,
        taken_as,
    }
}

fn mapped(source: &Source, column: &str) -> bool {
    source.guess.columns.iter().any(|known| known.ours == Some(column))
}

/// Dates a line of a log that says less than a date, nothing or a rough year, and says how. What was typed goes into
/// the note.
fn date_roughly(typed: &str, made: &mut Vec<(&'static str, String)>) -> String {
    let typed = typed.trim();
    let (date, when) = match logged_when(typed) {
        LoggedWhen::Year(year) => (year.clone(), format!("of {year}")),
        LoggedWhen::Unknown | LoggedWhen::Written => {
            (String::new(), "without a date: an earlier owner's work".to_owned())
        }
    };
    made.push(("date", date));
    if typed.is_empty() {
        return when;
    }
    match made.iter_mut().find(|(column, _)| *column == "note") {
        Some((_, note)) => *note = format!("{note}; date: {typed}"),
        None => made.push(("note", format!("date: {typed}"))),
    }
    format!("{when}; `{typed}` goes into the note")
}

/// Tells type, size and material of a part out of its description, where the list has no columns for them.
fn read_description(
    cells: &[String],
    made: &mut Vec<(&'static str, String)>,
    doubts: &mut Vec<String>,
    words: &Vocabulary,
    known: &dyn Fn(&PartNumber) -> bool,
    source: &Source,
) {
    let has = |made: &[(&'static str, String)], column: &str| {
        made.iter().any(|(known, _)| *known == column)
    };
    let mapped = |column: &str| mapped(source, column);
    let described = made.iter().find(|(column, _)| *column == "name").map(|(_, text)| text.clone());
    // A list without any columns that are known is read line by line as it stands.
    let whole = !mapped("part") && described.is_none();
    let merged = !mapped("part") && described.is_some();
    let text = if whole {
        cells.iter().filter(|cell| !cell.is_empty()).cloned().collect::<Vec<_>>().join(" ")
    } else {
        described.unwrap_or_default()
    };
    if text.is_empty() {
        return;
    }
    if too_long(&text).is_some() {
        doubts.push(
            "the text is far too long for one part, so nothing was told out of it".to_owned(),
        );
        return;
    }
    let reading = read_part(&text, words, known);
    let mut doubtful = false;
    for question in &reading.questions {
        let matters = match question.column {
            "part" => whole || merged,
            column => !mapped(column),
        };
        if matters {
            let choices = if question.choices.is_empty() {
                String::new()
            } else {
                format!(" ({})", question.choices.join(" or "))
            };
            doubts.push(format!("{}: {}{choices}", question.column, question.text));
            doubtful = true;
        }
    }
    // The word may stand behind the quantity, which parts has no column for.
    let gone = reading.discontinued
        || cells.iter().any(|cell| cell.split_whitespace().any(|word| word == "NLA"));
    if gone && !has(made, "status") {
        made.push(("status", "discontinued".to_owned()));
    }
    let asked = |column: &str| reading.questions.iter().any(|question| question.column == column);
    for (column, text) in
        [("type", &reading.part_type), ("size", &reading.size), ("material", &reading.material)]
    {
        if !mapped(column) && !has(made, column) && !asked(column) && !text.is_empty() {
            made.push((column, text.clone()));
        }
    }
    if (whole || merged) && !asked("part") && !reading.part.is_empty() {
        made.push(("part", reading.part.clone()));
    }
    // The name is what is left; where something is in doubt it stays whole, so that nothing is lost.
    if !doubtful && !reading.name.is_empty() && !mapped("size") {
        made.retain(|(column, _)| *column != "name");
        made.push(("name", reading.name));
    } else if !has(made, "name") {
        made.push(("name", text));
    }
}

/// A name for a position out of what sits there: `O-ring, pump cover` is `o-ring-pump-cover`.
fn slug(text: &str) -> String {
    let plain: String =
        text.to_lowercase().chars().map(|c| if c.is_alphanumeric() { c } else { ' ' }).collect();
    plain.split_whitespace().take(6).collect::<Vec<_>>().join("-")
}
