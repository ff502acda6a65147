//! The parts of the same type and size as those that nobody offers.
//!
//! The table parts is gone through once for all of them, and not at all where it is so long that a person would wait.

use super::answer::Unsourced;
use crate::catalog::Lookup;
use crate::measure::{Key, PartNumber};
use std::collections::HashMap;

/// The most parts that are gone through: about a tenth of a second's work.
const MOST_GONE_THROUGH: usize = 20_000;

/// For each part that was asked about, those like it, in table order.
#[derive(Debug, Default)]
pub(super) struct Alike(HashMap<PartNumber, Vec<PartNumber>>);

impl Alike {
    /// Looks for what is like each of these parts. Those without a type or a size are like nothing.
    pub fn find<'p>(parts: impl Iterator<Item = &'p PartNumber>, lookup: &dyn Lookup) -> Self {
        let mut wanted: HashMap<(Key, String), Vec<PartNumber>> = HashMap::new();
        for part in parts {
            if let Some(kind) = kind(part, lookup) {
                wanted.entry(kind).or_default().push(part.clone());
            }
        }
        let mut alike = Alike::default();
        if wanted.is_empty() {
            return alike;
        }
        let numbers = lookup.part_numbers();
        if numbers.len() > MOST_GONE_THROUGH {
            return alike;
        }
        for number in numbers {
            let Some(to) = kind(&number, lookup).and_then(|kind| wanted.get(&kind)) else {
                continue;
            };
            for part in to.iter().filter(|part| **part != number) {
                alike.0.entry(part.clone()).or_default().push(number.clone());
            }
        }
        alike
    }

    /// What is like a part.
    pub fn to(&self, part: &PartNumber) -> &[PartNumber] {
        self.0.get(part).map_or(&[], Vec::as_slice)
    }
}

/// Says so where what is like a part that nobody offers was not looked for.
pub(super) fn passed_over<'u>(
    unsourced: impl Iterator<Item = &'u Unsourced>,
    lookup: &dyn Lookup,
) -> Option<String> {
    let known = |missing: &&Unsourced| {
        PartNumber::new(&missing.part).is_some_and(|part| kind(&part, lookup).is_some())
    };
    let parts: Vec<&str> = unsourced.filter(known).map(|missing| missing.part.as_str()).collect();
    let many = if parts.is_empty() { 0 } else { lookup.part_numbers().len() };
    (many > MOST_GONE_THROUGH).then(|| {
        format!(
            "the table parts is too long ({many}) to be gone through for what is like {}; kitwright find --near SIZE --type TYPE looks for it",
            parts.join(", ")
        )
    })
}

/// The type and size of a part, where both are known.
fn kind(part: &PartNumber, lookup: &dyn Lookup) -> Option<(Key, String)> {
    let row = lookup.part(part)?;
    let kind = row.part_type.clone()?;
    (!row.size.is_empty()).then(|| (kind, row.size.clone()))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::catalog::Memory;
    use crate::tables::Tables;

    fn catalog(parts: usize) -> Memory {
        let rows: String = (0..parts)
            .map(|n| format!("P-{n},o-ring,{}\n", if n < 2 { "24x3" } else { "" }))
            .collect();
        let mut tables = Tables::default();
        tables.read_file(
            "parts",
            "parts.csv".to_owned(),
            format!("part,type,size\n{rows}").as_bytes(),
        );
        tables.catalog()
    }

    fn number(text: &str) -> PartNumber {
        PartNumber::new(text).expect("a number")
    }

    #[test]
    fn what_is_alike_in_type_and_size_is_found_unless_the_table_is_too_long_which_is_then_said() {
        let missing = |part: &str| Unsourced {
            part: part.to_owned(),
            quantity: rust_decimal::Decimal::ONE,
            unit: crate::measure::Unit::Each,
            as_needed: false,
            near: Vec::new(),
        };
        let short = catalog(4);
        assert_eq!(Alike::find([number("P-0")].iter(), &short).to(&number("P-0")), [number("P-1")]);
        assert_eq!(
            Alike::find([number("P-2")].iter(), &short).to(&number("P-2")),
            [],
            "a blank size is like no other"
        );
        assert_eq!(passed_over([missing("P-0")].iter(), &short), None);
        let long = catalog(MOST_GONE_THROUGH + 1);
        assert_eq!(Alike::find([number("P-0")].iter(), &long).to(&number("P-0")), []);
        let said = passed_over([missing("P-0"), missing("P-2")].iter(), &long).expect("said");
        assert!(said.contains("for what is like P-0;"), "{said}");
    }
}
