//! Where a part is fitted.

use crate::catalog::FittedAt;

/// Says at which position and on which machines a part is fitted.
pub fn fitted(at: &FittedAt) -> String {
    let mut limits = Vec::new();
    for (name, limit) in
        [("", &at.model), ("", &at.years), ("serials ", &at.serials), ("only ", &at.only)]
    {
        if !limit.is_empty() {
            limits.push(format!("{name}{limit}"));
        }
    }
    let limits = if limits.is_empty() { "every machine".to_owned() } else { limits.join(", ") };
    let name = if at.name.is_empty() { String::new() } else { format!(" ({})", at.name) };
    format!("{}{name}: {limits}", at.position)
}
