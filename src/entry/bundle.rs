//! Several rows that belong together and are written in one go.

use super::addition::{Existing, Register, Standing};
use crate::measure::DecimalMark;
use crate::tables::{Edit, FileEdits, TextRow, TextSheet, definition};

/// Rows to add and cells to change, with what a person should know before saying yes.
#[derive(Debug, Clone, Default)]
pub struct Bundle {
    /// The rows to add.
    pub rows: Vec<TextRow>,
    /// The cells to change: the file, its table, and the edit.
    pub sets: Vec<(String, &'static str, Edit)>,
    /// What is worth knowing.
    pub remarks: Vec<String>,
    /// What stands in the way: the row, and the row about the same thing that is there.
    pub taken: Vec<(TextRow, Existing)>,
}

impl Bundle {
    /// Tells whether there is nothing to write.
    pub fn is_empty(&self) -> bool {
        self.rows.is_empty() && self.sets.is_empty()
    }

    /// Adds a row unless a row says the same already; one that says something else stands in the way.
    pub fn add(&mut self, row: TextRow, sheets: &[TextSheet]) {
        let Some(register) = Register::of(row.table, sheets) else { return };
        match register.standing(&row) {
            Standing::New => self.rows.push(row),
            Standing::Same(existing) => {
                let first = definition(row.table)
                    .and_then(|table| table.columns.first())
                    .map_or("", |column| column.name);
                self.remarks.push(format!(
                    "{} stands in {} already",
                    row.cell(first),
                    existing.place()
                ));
            }
            Standing::Fills(existing, _) | Standing::Differs(existing, _) => {
                self.taken.push((row, existing))
            }
        }
    }

    /// Gives the edits by file. `file_of` names the file that takes new rows of a table.
    pub fn edits(&self, file_of: impl Fn(&str) -> String) -> Vec<FileEdits> {
        let mut files: Vec<FileEdits> = Vec::new();
        let mut push = |name: String, table: &'static str, edit: Edit| match files
            .iter_mut()
            .find(|file| file.name == name)
        {
            Some(file) => file.edits.push(edit),
            None => files.push(FileEdits { table, name, edits: vec![edit] }),
        };
        for (file, table, edit) in &self.sets {
            push(file.clone(), table, edit.clone());
        }
        for row in &self.rows {
            push(file_of(row.table), row.table, Edit::Append { cells: cells(row) });
        }
        files
    }
}

/// Makes a row of a table from cells; blank ones are left out. `None` where there is no such table.
pub fn row(table: &str, cells: &[(&str, &str)]) -> Option<TextRow> {
    let definition = definition(table)?;
    let filled = cells.iter().filter(|(_, text)| !text.trim().is_empty());
    Some(TextRow::new(
        definition.name,
        DecimalMark::Point,
        filled.map(|(column, text)| ((*column).to_owned(), text.trim().to_owned())),
    ))
}

/// Gives the cells of a row that are not blank, in the order of the table's definition.
pub fn cells(row: &TextRow) -> Vec<(String, String)> {
    let Some(table) = definition(row.table) else { return Vec::new() };
    let filled = table.columns.iter().filter(|column| !row.cell(column.name).is_empty());
    filled.map(|column| (column.name.to_owned(), row.cell(column.name).to_owned())).collect()
}
