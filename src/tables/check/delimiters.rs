//! Rows whose cells were parted by another delimiter than the file's, so that all of them stand in the first cell.

use super::code::Code;
use super::findings::Findings;
use crate::catalog::{At, Rows};
use crate::measure::shorten;

pub(super) const OTHER_DELIMITER: Code = Code::warning(
    "other-delimiter",
    "The name or number that a row is about holds a delimiter: its cells were parted by another one than those of the rest of the file, and nothing of them is read.",
    "Type the row again with the delimiter of the header line.",
);

pub(super) const CODES: &[Code] = &[OTHER_DELIMITER];

/// Finds rows whose first cell holds what should be several. Rows of other tables need a second cell, and are refused.
pub(super) fn find(rows: &Rows, findings: &mut Findings) {
    let mut judge = |at: At, column: &str, text: &str| {
        if !is_parted(text) {
            return;
        }
        let message = format!(
            "`{}` is read as one {column}; the row was parted by another delimiter than its header line: type it again with that one",
            shorten(text)
        );
        findings.add(OTHER_DELIMITER, at, column, message);
    };
    rows.models.iter().for_each(|row| judge(row.at, "model", row.model.as_str()));
    rows.parts.iter().for_each(|row| judge(row.at, "part", row.part.as_str()));
    rows.positions.iter().for_each(|row| judge(row.at, "position", row.position.as_str()));
    rows.joints.iter().for_each(|row| judge(row.at, "joint", row.joint.as_str()));
    rows.operations.iter().for_each(|row| judge(row.at, "operation", row.operation.as_str()));
    rows.jobs.iter().for_each(|row| judge(row.at, "job", row.job.as_str()));
    rows.suppliers.iter().for_each(|row| judge(row.at, "supplier", row.supplier.as_str()));
}

/// A name may hold a comma with a space behind it, or one between two digits.
fn is_parted(text: &str) -> bool {
    let bare_comma = |(at, _): (usize, &str)| {
        let in_front = text.get(..at).and_then(|front| front.chars().next_back());
        let behind = text.get(at + 1..).and_then(|behind| behind.chars().next());
        let digit = |c: Option<char>| c.is_some_and(|c| c.is_ascii_digit());
        !(behind.is_some_and(char::is_whitespace) || digit(in_front) && digit(behind))
    };
    text.contains([';', '\t']) || text.match_indices(',').any(bare_comma)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_name_with_a_delimiter_in_it_is_told_from_one_with_a_comma() {
        for parted in ["H9002;o-ring;mixed;", "H9002\to-ring", "H9002,o-ring,mixed", "bowl,"] {
            assert!(is_parted(parted), "{parted}");
        }
        for whole in ["H9002", "cover, left", "12,5-40", "91-2044/3"] {
            assert!(!is_parted(whole), "{whole}");
        }
    }
}
