use super::Unreadable;
use serde::{Deserialize, Serialize};
use std::fmt;

/// From one value to another, both included; an open end has no limit.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
pub struct Range<T> {
    /// The first value, if there is a limit.
    pub from: Option<T>,
    /// The last value, if there is a limit.
    pub to: Option<T>,
}

/// Reads ranges separated by `;`; at least one.
///
/// # Errors
/// The first range that cannot be read, or a text without any.
pub(super) fn parse_ranges<T>(
    text: &str,
    what: &'static str,
    example: &str,
    parse: fn(&str) -> Result<Range<T>, Unreadable>,
) -> Result<Vec<Range<T>>, Unreadable> {
    let ranges: Vec<_> =
        text.split(';').map(str::trim).filter(|item| !item.is_empty()).map(parse).collect::<Result<_, _>>()?;
    if ranges.is_empty() {
        return Err(Unreadable::new(what, text, format!("type one such as {example}, or leave the cell blank")));
    }
    Ok(ranges)
}

impl<T: fmt::Display + PartialEq> fmt::Display for Range<T> {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match (&self.from, &self.to) {
            (Some(from), Some(to)) if from == to => write!(f, "{from}"),
            (from, to) => {
                if let Some(from) = from {
                    write!(f, "{from}")?;
                }
                f.write_str("-")?;
                if let Some(to) = to {
                    write!(f, "{to}")?;
                }
                Ok(())
            }
        }
    }
}

/// Prints ranges as they are typed, separated by `;`.
pub(super) fn show_ranges<T: fmt::Display + PartialEq>(ranges: &[Range<T>], f: &mut fmt::Formatter<'_>) -> fmt::Result {
    for (i, range) in ranges.iter().enumerate() {
        if i > 0 {
            f.write_str(";")?;
        }
        write!(f, "{range}")?;
    }
    Ok(())
}
