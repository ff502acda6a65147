//! One line of a list, divided into its cells.

/// A line of a list; a quoted cell may make it several lines of the file.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct ListLine {
    /// The line of the file on which it begins, from 1.
    pub line: u32,
    /// Its cells, without the space around them.
    pub cells: Vec<String>,
}

impl ListLine {
    /// Tells whether there is nothing in it.
    pub fn is_blank(&self) -> bool {
        self.cells.iter().all(|cell| cell.is_empty())
    }
}
