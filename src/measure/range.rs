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
    let ranges: Vec<_> = text
        .split(';')
        .map(str::trim)
        .filter(|item| !item.is_empty())
        .map(parse)
        .collect::<Result<_, _>>()?;
    if ranges.is_empty() {
        return Err(Unreadable::new(
            what,
            text,
            format!("type one such as {example}, or leave the cell blank"),
        ));
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
                f.write_str("..")?;
                if let Some(to) = to {
                    write!(f, "{to}")?;
                }
                Ok(())
            }
        }
    }
}

/// Prints ranges as they are typed, separated by `;`.
pub(super) fn show_ranges<T: fmt::Display + PartialEq>(
    ranges: &[Range<T>],
    f: &mut fmt::Formatter<'_>,
) -> fmt::Result {
    for (i, range) in ranges.iter().enumerate() {
        if i > 0 {
            f.write_str(";")?;
        }
        write!(f, "{range}")?;
    }
    Ok(())
}

/// What words or signs say of one end of a range.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Said {
    /// From this one on, with it.
    From,
    /// Up to this one, with it.
    To,
    /// Beyond this one.
    After,
    /// Short of this one.
    Before,
}

/// Words and signs in front of a limit, and behind it; the longer before the shorter. Source: common practice, no source.
const IN_FRONT: &[(&str, Said)] = &[
    ("up to and including ", Said::To),
    ("up to ", Said::To),
    ("until ", Said::To),
    ("till ", Said::To),
    ("through ", Said::To),
    ("to ", Said::To),
    ("<=", Said::To),
    ("≤", Said::To),
    ("before ", Said::Before),
    ("below ", Said::Before),
    ("under ", Said::Before),
    ("<", Said::Before),
    ("starting from ", Said::From),
    ("from ", Said::From),
    ("since ", Said::From),
    (">=", Said::From),
    ("≥", Said::From),
    ("after ", Said::After),
    ("above ", Said::After),
    ("over ", Said::After),
    (">", Said::After),
];
const BEHIND: &[(&str, Said)] = &[
    (" and earlier", Said::To),
    (" and before", Said::To),
    (" and later", Said::From),
    (" and up", Said::From),
    (" and on", Said::From),
    (" onwards", Said::From),
    (" onward", Said::From),
    (" on", Said::From),
    ("+", Said::From),
];

/// Gives the form in which a range that was said in words is typed, with dots, which survive a spreadsheet: `..29999` for `to 29999` or `before 30000`. `beside`
/// gives the limit after one (`true`) or before it. `None` where it is not said in words, or no such limit can be given.
pub(super) fn typed_form(
    item: &str,
    beside: impl Fn(&str, bool) -> Option<String>,
) -> Option<String> {
    let whole = item.trim();
    // ASCII letters keep their places in lower case, and the words are of no others.
    let lower = whole.to_ascii_lowercase();
    let front = IN_FRONT.iter().find_map(|(word, said)| {
        lower
            .strip_prefix(word)
            .and_then(|rest| Some((whole.get(whole.len() - rest.len()..)?, *said)))
    });
    let behind = || {
        BEHIND.iter().find_map(|(word, said)| {
            lower.strip_suffix(word).and_then(|rest| Some((whole.get(..rest.len())?, *said)))
        })
    };
    let both = match front {
        Some((rest, Said::From)) => between(rest),
        Some(_) => None,
        None => between(whole),
    };
    if let Some((from, to)) = both {
        return Some(format!("{from}..{to}"));
    }
    let (limit, said) = front.or_else(behind)?;
    let limit = limit.trim();
    if limit.contains([' ', '='])
        || !limit.contains(|c: char| c.is_ascii_digit())
        || limit.starts_with('-')
    {
        return None;
    }
    Some(match said {
        Said::From => format!("{limit}.."),
        Said::To => format!("..{limit}"),
        Said::After => format!("{}..", beside(limit, true)?),
        Said::Before => format!("..{}", beside(limit, false)?),
    })
}

/// Divides `30000 to 39999`.
fn between(text: &str) -> Option<(&str, &str)> {
    let lower = text.to_ascii_lowercase();
    [" to ", " until ", " through "].iter().find_map(|word| {
        let at = lower.find(word)?;
        let (from, to) = (text.get(..at)?.trim(), text.get(at + word.len()..)?.trim());
        let one = |text: &str| !text.contains(' ') && text.contains(|c: char| c.is_ascii_digit());
        (one(from) && one(to)).then_some((from, to))
    })
}
