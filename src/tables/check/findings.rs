//! Collects what the checks find.

use super::Report;
use super::code::{Code, Severity};
use crate::catalog::At;
use crate::tables::header::missing_delimiter;
use crate::tables::{Fault, ShortRow, Tables};
use std::collections::{HashMap, HashSet};

/// The findings so far, and the names of the files that they point into.
pub(super) struct Findings<'a> {
    files: &'a [String],
    /// Rows of which the reader could not read every cell: what is not read looks blank.
    half_read: HashSet<At>,
    short: HashMap<At, ShortRow>,
    report: Report,
}

impl<'a> Findings<'a> {
    /// Begins with what the reader found.
    pub fn new(tables: &'a Tables) -> Self {
        let numbers: HashMap<&str, u32> =
            tables.files.iter().map(String::as_str).zip(0..).collect();
        let half_read = tables
            .faults
            .iter()
            .filter_map(|fault| {
                Some(At { file: *numbers.get(fault.file.as_str())?, line: fault.line })
            })
            .collect();
        let report = Report { errors: tables.faults.clone(), warnings: tables.notices.clone() };
        let short = tables.short_rows.iter().map(|row| (row.at, *row)).collect();
        Findings { files: &tables.files, half_read, short, report }
    }

    /// Tells that every cell of a row was read, so that what is blank was meant to be.
    pub fn was_read(&self, at: At) -> bool {
        !self.half_read.contains(&at)
    }

    /// Tells that a row stops before its header does, and that this is the last column in which it says something.
    pub fn ends_early_in(&self, at: At, column: &str) -> bool {
        self.short.get(&at).is_some_and(|row| row.last == column)
    }

    /// Asks, as the end of a message, whether a row that stops early lacks a delimiter; empty where it does not.
    pub fn how_short(&self, at: At) -> String {
        self.short
            .get(&at)
            .map_or_else(String::new, |row| missing_delimiter(row.cells, row.columns))
    }

    /// Adds a finding about a row, unless a cell of the row could not be read: one mistake is told once, and what is
    /// left of the row is judged when that is mended.
    pub fn add(&mut self, code: Code, at: At, column: &str, message: String) {
        if self.was_read(at) {
            self.add_of_cell(code, at, column, message);
        }
    }

    /// Adds a finding that one cell bears out by itself, whatever the rest of its row says.
    pub fn add_of_cell(&mut self, code: Code, at: At, column: &str, mut message: String) {
        if code.name.starts_with("dangling-") {
            message += &self.how_short(at);
        }
        let found = Fault {
            file: self.file(at).to_owned(),
            line: at.line,
            column: column.to_owned(),
            code: code.name,
            message,
        };
        match code.severity {
            Severity::Error => self.report.errors.push(found),
            Severity::Warning => self.report.warnings.push(found),
        }
    }

    /// Names the file and line of another row, for a message: `positions.csv:12`.
    pub fn place(&self, at: At) -> String {
        format!("{}:{}", self.file(at), at.line)
    }

    /// Gives the findings in the order of the files, each once.
    pub fn finish(mut self) -> Report {
        for findings in [&mut self.report.errors, &mut self.report.warnings] {
            // A fault compares by file, line, column and code before its message.
            findings.sort();
            findings.dedup();
        }
        self.report
    }

    fn file(&self, at: At) -> &'a str {
        self.files.get(at.file as usize).map_or("?", String::as_str)
    }
}
