use std::fmt;

/// Something that is wrong in a table, and where.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
pub struct Fault {
    /// The file, by its path within the catalog folder.
    pub file: String,
    /// The line, from 1; 0 where the file as a whole is meant.
    pub line: u32,
    /// The column by its header name; blank where the row as a whole is meant.
    pub column: String,
    /// The name of the check that found it.
    pub code: &'static str,
    /// What is wrong with which cell, and what to do.
    pub message: String,
}

impl fmt::Display for Fault {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.file)?;
        if self.line > 0 {
            write!(f, ":{}", self.line)?;
        }
        if !self.column.is_empty() {
            write!(f, ", column {}", self.column)?;
        }
        write!(f, ": {} [{}]", self.message, self.code)
    }
}
