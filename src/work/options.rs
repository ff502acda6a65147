//! The options of a job side by side.

use super::difference::{Amount, Difference, amounts, difference};
use super::price::{Price, number, price};
use crate::buy::cheapest::Patience;
use crate::buy::market::Terms;
use crate::catalog::Lookup;
use crate::kit::{Ask, Gap, Kit, NoKit, checked};
use crate::measure::Key;
use rust_decimal::Decimal;
use serde::Serialize;

/// The most option sets that are worked out.
pub const MOST: usize = 32;

/// The option sets of a job, side by side.
#[derive(Debug, Clone, Serialize)]
pub struct Compared {
    /// The machine.
    pub machine: String,
    /// What it is for, as a heading.
    #[serde(skip)]
    pub title: String,
    /// The jobs.
    pub jobs: Vec<String>,
    /// The options that hold in every set, by the person's word.
    pub always: Vec<String>,
    /// The other options that the lines of the jobs ask about.
    pub choices: Vec<String>,
    /// The sets, those with the fewest options first.
    pub sets: Vec<OptionSet>,
    /// There are more sets than were worked out.
    pub more: bool,
    /// What keeps prices from being compared, or a set from being worked out.
    pub remarks: Vec<String>,
}

/// A kit with one set of options.
#[derive(Debug, Clone, Serialize)]
pub struct OptionSet {
    /// The options.
    pub options: Vec<String>,
    /// The kit has no gaps.
    pub complete: bool,
    /// What keeps it from being complete.
    pub gaps: Vec<Gap>,
    /// How many things a person should look at again.
    pub doubts: usize,
    /// The operations in strip order.
    pub operations: Vec<String>,
    /// The minutes of those whose minutes are known.
    #[serde(serialize_with = "number")]
    pub minutes: Decimal,
    /// How many of them nobody has timed.
    pub untimed: usize,
    /// What to order.
    pub parts: Vec<Amount>,
    /// What it would cost; `null` where prices cannot be added up.
    pub price: Option<Price>,
    /// How it differs from the first set.
    pub against_first: Difference,
}

/// Works the jobs out with every set of the options that their lines ask about. Those that the ask names hold in every
/// set.
///
/// # Errors
/// The jobs cannot be worked out.
pub fn compare(
    ask: &Ask,
    terms: &Terms,
    lookup: &dyn Lookup,
    patience: &mut Patience,
) -> Result<Compared, NoKit> {
    let first = checked(ask, lookup)?;
    let choices: Vec<Key> = first.known_options.iter().map(|option| Key::new(option)).collect();
    let choices: Vec<Key> =
        choices.into_iter().filter(|option| !ask.options.contains(option)).collect();
    let (chosen, more) = sets_of(choices.len());
    let mut compared = Compared {
        machine: first.machine.clone(),
        title: first.title(),
        jobs: first.jobs.clone(),
        always: first.options.clone(),
        choices: choices.iter().map(ToString::to_string).collect(),
        sets: Vec::new(),
        more,
        remarks: first.unknown_options.iter().map(|option| nobody_asks(option)).collect(),
    };
    for chosen in chosen {
        let mut options = ask.options.clone();
        options.extend(chosen.iter().filter_map(|index| choices.get(*index).cloned()));
        let with = Ask { options, ..ask.clone() };
        let kit = match checked(&with, lookup) {
            Ok(kit) => kit,
            Err(why) => {
                let named: Vec<String> = with.options.iter().map(ToString::to_string).collect();
                compared.remarks.push(format!("with {}: {why}", named.join(", ")));
                continue;
            }
        };
        let price = match price(&with, &kit, terms, lookup, patience) {
            Ok(price) => Some(price),
            Err(why) => {
                let remark = format!("no prices: {why}");
                if !compared.remarks.contains(&remark) {
                    compared.remarks.push(remark);
                }
                None
            }
        };
        compared.sets.push(option_set(&kit, &first, price));
    }
    Ok(compared)
}

/// Says that an option adds nothing, for no line of the jobs asks about it.
pub(super) fn nobody_asks(option: &str) -> String {
    format!("no line of these jobs asks about the option {option}; nothing was added for it")
}

fn option_set(kit: &Kit, first: &Kit, price: Option<Price>) -> OptionSet {
    OptionSet {
        options: kit.options.clone(),
        complete: kit.complete,
        gaps: kit.gaps.clone(),
        doubts: kit.doubts.len(),
        operations: kit.operations.iter().map(|operation| operation.operation.clone()).collect(),
        minutes: kit.minutes,
        untimed: kit.operations.iter().filter(|operation| operation.minutes.is_none()).count(),
        parts: amounts(kit),
        price,
        against_first: difference(kit, first),
    }
}

/// Every set of so many choices, by index, those with the fewest first; and whether some were left out.
fn sets_of(choices: usize) -> (Vec<Vec<usize>>, bool) {
    let mut sets: Vec<Vec<usize>> = vec![Vec::new()];
    let mut at = 0;
    // Each set leads to those with one later choice more, so every set is met once, the smaller ones first.
    while let Some(set) = sets.get(at).cloned() {
        at += 1;
        for next in set.last().map_or(0, |last| last + 1)..choices {
            if sets.len() == MOST {
                return (sets, true);
            }
            let mut wider = set.clone();
            wider.push(next);
            sets.push(wider);
        }
    }
    (sets, false)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_set_of_options_comes_once_the_smaller_first() {
        assert_eq!(sets_of(0), (vec![vec![]], false));
        let (sets, more) = sets_of(3);
        assert!(!more);
        assert_eq!(
            sets,
            [vec![], vec![0], vec![1], vec![2], vec![0, 1], vec![0, 2], vec![1, 2], vec![0, 1, 2]]
        );
        assert_eq!(sets_of(5).0.len(), 32);
        assert!(!sets_of(5).1);
    }

    #[test]
    fn very_many_sets_are_cut_short_and_it_is_said() {
        let (sets, more) = sets_of(40);
        assert_eq!((sets.len(), more), (MOST, true));
    }
}
