//! Which numbers may take each other's place on a machine without anything else changing.

use super::bench::Bench;
use crate::catalog::{Applies, At, Swap};
use crate::measure::{PartNumber, Quantity};

/// Why one number will do for another.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Alike {
    /// A supersession says that the two may be swapped both ways, one for one, and nothing else changes.
    BothWays(At),
    /// The owner knows the same part under both numbers.
    Equivalent,
}

/// Finds the numbers that will do for a part on a machine in one step, and why.
///
/// Both relations read in either direction. A row that may not be for the machine says nothing.
pub fn alike(part: &PartNumber, bench: &Bench) -> Vec<(PartNumber, Alike)> {
    let lookup = bench.lookup;
    let mut alike = Vec::new();
    let rows = lookup
        .supersessions_of(part)
        .into_owned()
        .into_iter()
        .chain(lookup.supersessions_to(part).into_owned());
    for row in rows {
        let one_for_one = row.quantity.is_none_or(|quantity| quantity == Quantity::ONE);
        let freely =
            row.swap == Some(Swap::BothWays) && row.needs.is_empty() && row.together.is_none();
        if freely && one_for_one && row.scope.applies(&bench.machine) == Applies::Yes {
            alike.push((if row.old == *part { row.new } else { row.old }, Alike::BothWays(row.at)));
        }
    }
    for row in lookup.equivalents_of(part).iter() {
        let other = if row.part == *part { &row.other } else { &row.part };
        alike.push((other.clone(), Alike::Equivalent));
    }
    alike
}

/// Finds every number that will do for a part on a machine, in any number of steps; the part itself is not among them.
///
/// A number that is reached by a swap counts as swapped, however the way goes on.
pub fn all_alike(part: &PartNumber, bench: &Bench) -> Vec<(PartNumber, Alike)> {
    let mut found: Vec<(PartNumber, Alike)> = Vec::new();
    let mut next = 0;
    let mut from = (part.clone(), Alike::Equivalent);
    loop {
        for (other, how) in alike(&from.0, bench) {
            if other != *part && found.iter().all(|(known, _)| *known != other) {
                let how = if let Alike::BothWays(_) = from.1 { from.1 } else { how };
                found.push((other, how));
            }
        }
        let Some(known) = found.get(next) else { return found };
        from = known.clone();
        next += 1;
    }
}
