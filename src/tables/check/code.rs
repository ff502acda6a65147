//! The name, weight and meaning of a check, and the codes of the faults that the reader itself finds.

/// Says whether a finding makes a table wrong or only a later kit doubtful.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Severity {
    /// The tables contradict themselves or name something that is not there.
    Error,
    /// What the tables say can be read, but a kit worked out from it would be incomplete or wrong.
    Warning,
}

/// One thing that a check looks for.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Code {
    /// The name that a finding carries.
    pub name: &'static str,
    /// Whether such a finding is an error or a warning.
    pub severity: Severity,
    /// What the finding means, in a plain sentence or two.
    pub meaning: &'static str,
    /// How to mend it, in a plain sentence or two.
    pub mend: &'static str,
}

impl Code {
    pub(super) const fn error(
        name: &'static str,
        meaning: &'static str,
        mend: &'static str,
    ) -> Code {
        Code { name, severity: Severity::Error, meaning, mend }
    }

    pub(super) const fn warning(
        name: &'static str,
        meaning: &'static str,
        mend: &'static str,
    ) -> Code {
        Code { name, severity: Severity::Warning, meaning, mend }
    }
}

/// What the reader reports while it reads: see `super::super::read` and `super::super::folder`.
pub(super) const READER: &[Code] = &[
    Code::error(
        "unreadable-file",
        "A table file, or a folder, cannot be opened.",
        "Mend its permissions or its link, or move it out of the catalog folder.",
    ),
    Code::error(
        "not-utf8",
        "A cell is not written in UTF-8, as the rest of its file is, so its letters cannot be told.",
        "Save the file again as CSV in UTF-8.",
    ),
    Code::error(
        "lone-quote",
        "A quotation mark opens a cell and is not closed before the cell ends, so the row cannot be read.",
        "Close it, take it out, or double it where it belongs to the text.",
    ),
    Code::error(
        "missing-column",
        "The header line lacks a column that every row of the table needs, so no row of the file is read.",
        "Add the column to the header line, or spell it as the data dictionary does.",
    ),
    Code::error(
        "duplicate-column",
        "The header line names one column of the table twice, so nobody can tell which of the two counts. No row of the file is read.",
        "Take one of the two out, or give it another name.",
    ),
    Code::error(
        "too-many-cells",
        "A row has more cells than the header line, often because a cell holds the delimiter without quotation marks around it.",
        "Put quotation marks around the cell that holds the delimiter, or take out what is left over.",
    ),
    Code::error(
        "cell-too-long",
        "A cell is far longer than any note, often because a quotation mark ran away.",
        "Close the quotation mark, or shorten the cell.",
    ),
    Code::error(
        "blank-cell",
        "A cell is blank that every row of the table needs, so the row is not read.",
        "Fill the cell in, or take the row out.",
    ),
    Code::error(
        "unreadable-cell",
        "A cell does not have the form that its column asks for, such as a torque that is no torque.",
        "Type it in the form that the message names.",
    ),
    Code::error(
        "after-today",
        "The work log names a day that has not come yet, so the row says nothing until then.",
        "Correct the date, or wait for the day.",
    ),
    Code::warning(
        "other-encoding",
        "A table file is not in UTF-8. It is read in the encoding that its bytes show, and that may be a wrong guess.",
        "Look whether its letters are right, and save it as CSV in UTF-8.",
    ),
    Code::warning(
        "unknown-column",
        "The table has no column of this name, or something stands below a header cell without a name. It is kept and not read.",
        "Rename it if another column was meant. If it is one of your own, move what it says into the column note.",
    ),
    Code::warning(
        "unknown-file",
        "No table has the name of this file, so it is not read.",
        "Rename the file if a table was meant, or move it out of the catalog folder.",
    ),
    Code::warning(
        "unseen-character",
        "A name, number or figure holds characters that nobody sees, such as a space without width. In names and part numbers they count for nothing.",
        "Clear the cell and type it anew, rather than copy it.",
    ),
];
