//! How much of a life is used up, and where readings lead.

use crate::measure::plain;
use crate::work::state::{Life, Worn};

/// Says how much of a life is used up, in hours and months.
pub fn life_text(life: &Life) -> String {
    let least = if life.at_least { "at least " } else { "" };
    let mut said = Vec::new();
    if let Some(whole) = life.life_hours {
        let run = life.run_hours.map_or_else(
            || "nobody knows how many it has run".to_owned(),
            |run| format!("{least}{} run here", plain(run)),
        );
        said.push(format!("{} hours, {run}", plain(whole)));
    }
    if let Some(whole) = life.life_months {
        let due = match &life.due_on {
            Some(due) if life.at_least => {
                format!("over on {due} at the latest, counted from the purchase")
            }
            Some(due) => format!("over on {due}"),
            None => "nobody knows since when".to_owned(),
        };
        said.push(format!("{} months, {due}", plain(whole)));
    }
    said.join("; ")
}

/// Says where readings lead, in millimetres for each hundred hours; blank where nothing can be said.
pub fn trend_text(worn: &Worn) -> String {
    if let Some(before) = &worn.before {
        return format!("that was before {before}: measure again");
    }
    let Some(trend) = &worn.trend else { return String::new() };
    let change = plain(trend.per_100_hours);
    let sign = if change.starts_with('-') { "" } else { "+" };
    let mut text = format!("{sign}{change} mm in 100 hours by {} readings", trend.readings);
    if let Some(hours) = trend.limit_at_hours {
        text.push_str(&format!("; at this rate the limit at about {} hours", plain(hours)));
    }
    text.push_str(" (a guide only)");
    text
}
