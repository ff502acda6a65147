//! The lines of the kit: what remains to be ordered, added up per part and unit.

use super::answer::{Line, LineSource, Role};
use super::reason::{Reason, note};
use crate::catalog::Lookup;
use crate::measure::{Key, PartNumber, Quantity, Unit};
use rust_decimal::Decimal;
use std::collections::HashMap;

/// Something that a line is ordered for.
pub(crate) struct Source {
    pub part: PartNumber,
    pub quantity: Quantity,
    pub role: Role,
    pub position: Option<Key>,
    pub operation: Option<Key>,
    pub set: bool,
    pub as_needed: bool,
    pub reasons: Vec<Reason>,
    pub notes: Vec<String>,
    pub replaces: Vec<PartNumber>,
}

/// The number looked for, where it became another.
pub(crate) fn earlier(start: &PartNumber, end: &PartNumber) -> Vec<PartNumber> {
    if start == end { Vec::new() } else { vec![start.clone()] }
}

/// Adds up the sources per part and unit.
pub(crate) fn add_up(lookup: &dyn Lookup, sources: Vec<Source>) -> Vec<Line> {
    let mut order: Vec<(PartNumber, Unit)> = Vec::new();
    let mut groups: HashMap<(PartNumber, Unit), Vec<Source>> = HashMap::new();
    for source in sources {
        let key = (source.part.clone(), source.quantity.unit);
        let group = groups.entry(key.clone()).or_default();
        if group.is_empty() {
            order.push(key);
        }
        group.push(source);
    }
    let mut lines: Vec<Line> = order
        .into_iter()
        .filter_map(|key| groups.remove(&key).map(|group| (key, group)))
        .map(|((part, unit), group)| {
            let singly =
                group.iter().filter(|source| !source.set).map(|source| source.quantity.amount);
            let together =
                group.iter().filter(|source| source.set).map(|source| source.quantity.amount).max();
            let quantity = singly.fold(together.unwrap_or_default(), Decimal::saturating_add);
            let row = lookup.part(&part);
            let row = row.as_ref();
            let mut positions: Vec<String> = Vec::new();
            let mut replaces: Vec<String> = Vec::new();
            let mut because = Vec::new();
            let mut notes: Vec<String> = Vec::new();
            let mut shares = Vec::with_capacity(group.len());
            for source in &group {
                shares.push(LineSource {
                    start: source.replaces.first().unwrap_or(&part).clone(),
                    amount: source.quantity.amount,
                    position: source.position.clone(),
                    operation: source.operation.clone(),
                    set: source.set,
                });
                if let Some(position) = &source.position
                    && !positions.contains(&position.to_string())
                {
                    positions.push(position.to_string());
                }
                for number in &source.replaces {
                    let number = lookup.spell_part(number).to_string();
                    if !replaces.contains(&number) {
                        replaces.push(number);
                    }
                }
                for text in source.notes.iter().filter(|text| !text.is_empty()) {
                    if !notes.contains(text) {
                        notes.push(text.clone());
                    }
                }
                for reason in &source.reasons {
                    note(&mut because, reason.clone());
                }
            }
            Line {
                part: lookup.spell_part(&part).to_string(),
                name: row.map_or_else(String::new, |row| row.name.clone()),
                part_type: row
                    .and_then(|row| row.part_type.as_ref())
                    .map_or_else(String::new, |name| lookup.spell_type(name).to_string()),
                size: row.map_or_else(String::new, |row| row.size.clone()),
                quantity,
                unit,
                // A group is never empty, so the default is never taken.
                role: group.iter().map(|source| source.role).min().unwrap_or(Role::Consumable),
                positions,
                because,
                notes,
                as_needed: group.iter().any(|source| source.as_needed),
                replaces,
                open: Vec::new(),
                sources: shares,
            }
        })
        .collect();
    lines.sort_by_key(|line| line.role);
    lines
}
