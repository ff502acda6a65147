//! Rows with a cell that cannot be read.

use super::rows::At;
use serde::{Deserialize, Serialize};

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
        self.faults.iter().any(|fault| fault.column.is_empty() || fault.column == column)
    }
}
