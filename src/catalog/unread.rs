//! Rows with a cell that cannot be read.

use super::rows::At;
use serde::{Deserialize, Serialize};

/// The code of a quotation mark that swallows whatever stands behind it.
const LONE_QUOTE: &str = "lone-quote";

/// A row that says nothing, because a cell of it cannot be read or it has more cells than its header. It is kept, so
/// that a kit which it could have changed can say so.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct UnreadRow {
    /// Where the row stands.
    pub at: At,
    /// Its table.
    pub table: String,
    /// Its filled cells as typed, each with its column, in the order of the header. None where the whole file has no
    /// header that can be used.
    pub cells: Vec<(String, String)>,
    /// What is wrong.
    pub faults: Vec<UnreadCell>,
}

/// A cell that cannot be read.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct UnreadCell {
    /// Its column; blank where the row as a whole is at fault.
    pub column: String,
    /// The name of the check that tells of it.
    pub code: String,
    /// What is wrong, and what to type.
    pub message: String,
}

impl UnreadRow {
    /// Gives the text of a cell as typed; blank where it is.
    pub fn cell(&self, column: &str) -> &str {
        self.cells.iter().find(|(name, _)| name == column).map_or("", |(_, text)| text)
    }

    /// Tells whether a cell is one that cannot be read, or may be any cell.
    pub fn is_unread(&self, column: &str) -> bool {
        let may_be_any = |fault: &UnreadCell| fault.column.is_empty() || fault.code == LONE_QUOTE;
        self.faults.iter().any(|fault| fault.column == column || may_be_any(fault))
    }

    /// Gives a name in the row, where its cell is filled and can be read.
    pub fn named(&self, column: &str) -> Option<&str> {
        Some(self.cell(column)).filter(|text| !text.is_empty() && !self.is_unread(column))
    }

    /// Tells that the whole file is unread, as its header cannot be used.
    pub fn is_whole_file(&self) -> bool {
        self.cells.is_empty()
    }
}
