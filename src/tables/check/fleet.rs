//! What the tables `models` and `machines` say about the machines that there can be.

use crate::catalog::{Applies, Machine, Rows, Scope};
use crate::measure::{Key, Year, YearRanges};
use std::collections::{HashMap, HashSet};

/// The years from one to another, both included.
pub(super) type Span = (Year, Year);

/// The models with the years in which they were built, and the machines that the owner has.
pub(super) struct Fleet<'a> {
    machines: &'a [Machine],
    /// The build years of the models for which they are known, with the years of the owner's own machines.
    built: HashMap<&'a Key, Vec<Span>>,
    /// All those build years; `None` where some model's are not known.
    ever_built: Option<Vec<Span>>,
    /// The traits that machines carry together, each combination once.
    carried: Vec<HashSet<&'a Key>>,
}

impl<'a> Fleet<'a> {
    pub fn new(rows: &'a Rows) -> Self {
        let mut built: HashMap<&Key, Vec<Span>> = HashMap::new();
        for model in &rows.models {
            if let Some(years) = &model.years {
                built.entry(&model.model).or_default().extend(spans(years));
            }
        }
        for machine in &rows.machines {
            // An owner's machine exists, whatever its model's row says of the years.
            if let (Some(year), Some(spans)) = (machine.year, built.get_mut(&machine.model)) {
                spans.push((year, year));
            }
        }
        built.values_mut().for_each(merge);
        let known = |model: &Key| built.contains_key(model);
        let all_known = !rows.models.is_empty()
            && rows.models.iter().all(|row| known(&row.model))
            && rows.machines.iter().all(|row| known(&row.model));
        let ever_built = all_known.then(|| {
            let mut all: Vec<Span> = built.values().flatten().copied().collect();
            merge(&mut all);
            all
        });
        let mut carried: Vec<HashSet<&Key>> = Vec::new();
        let mut seen: HashSet<Vec<&Key>> = HashSet::new();
        for machine in &rows.machines {
            let mut traits: Vec<&Key> = machine.traits.iter().collect();
            traits.sort();
            traits.dedup();
            if traits.len() > 1 && seen.insert(traits.clone()) {
                carried.push(traits.into_iter().collect());
            }
        }
        Fleet { machines: &rows.machines, built, ever_built, carried }
    }

    /// Gives the years in which a model, or any model, was built; `None` where they are not known.
    pub fn built(&self, model: Option<&Key>) -> Option<&[Span]> {
        match model {
            Some(model) => self.built.get(model).map(Vec::as_slice),
            None => self.ever_built.as_deref(),
        }
    }

    /// Tells whether one machine carries all of some traits and none of others.
    pub fn carries(&self, all: &[&Key], none: &[&Key]) -> bool {
        self.carried.iter().any(|traits| {
            all.iter().all(|wanted| traits.contains(wanted))
                && !none.iter().any(|other| traits.contains(other))
        })
    }

    /// Finds a machine to which all these rows apply.
    pub fn example(&self, scopes: &[&Scope]) -> Option<&'a Machine> {
        self.machines
            .iter()
            .find(|machine| scopes.iter().all(|scope| scope.applies(machine) == Applies::Yes))
    }
}

/// Gives the ranges of a cell as spans, in order and without overlap.
pub(super) fn spans(years: &YearRanges) -> Vec<Span> {
    let mut spans = years
        .ranges()
        .iter()
        .map(|range| (range.from.unwrap_or(Year::MIN), range.to.unwrap_or(Year::MAX)))
        .collect();
    merge(&mut spans);
    spans
}

/// Gives the years that lie in both.
pub(super) fn common(a: &[Span], b: &[Span]) -> Vec<Span> {
    let mut both: Vec<Span> = a
        .iter()
        .flat_map(|a| b.iter().map(|b| (a.0.max(b.0), a.1.min(b.1))))
        .filter(|(first, last)| first <= last)
        .collect();
    merge(&mut both);
    both
}

/// Puts spans in order and joins those that touch.
pub(super) fn merge(spans: &mut Vec<Span>) {
    spans.sort_unstable();
    let mut merged: Vec<Span> = Vec::with_capacity(spans.len());
    for span in spans.drain(..) {
        match merged.last_mut() {
            Some(last) if span.0 <= last.1.saturating_add(1) => last.1 = last.1.max(span.1),
            _ => merged.push(span),
        }
    }
    *spans = merged;
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    #[test]
    fn spans_that_touch_become_one() {
        let years = YearRanges::parse("2001-2003; 1999; 2000; 2010-").expect("years");
        assert_eq!(spans(&years), [(1999, 2003), (2010, Year::MAX)]);
    }

    proptest! {
        #[test]
        fn a_year_lies_in_both_cells_exactly_where_it_lies_in_what_they_have_in_common(
            a in prop::collection::vec((1990u16..2010, 0u16..6), 1..4),
            b in prop::collection::vec((1990u16..2010, 0u16..6), 1..4),
        ) {
            let text = |ranges: &[(u16, u16)]| {
                ranges.iter().map(|(from, length)| format!("{from}-{}", from + length)).collect::<Vec<_>>().join(";")
            };
            let (a, b) = (YearRanges::parse(&text(&a)).expect("years"), YearRanges::parse(&text(&b)).expect("years"));
            let both = common(&spans(&a), &spans(&b));
            for year in 1985..2020 {
                let held = both.iter().any(|span| span.0 <= year && year <= span.1);
                prop_assert_eq!(held, a.contains(year) && b.contains(year));
            }
        }
    }
}
