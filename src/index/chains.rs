//! Which number became which, for all numbers at once, in one file, so that chains are followed without looking up row
//! after row.
//!
//! Holds numbers alone. What a row says beyond them (scope, quantity, what else it needs) stands in its record.

use super::Trouble;
use super::checked::Summed;
use super::records::of_part;
use crate::measure::PartNumber;
use std::collections::HashMap;
use std::path::Path;

/// A row of supersessions: the piece of table that it stands in, the old and the new number.
pub(super) type Link = (u32, PartNumber, PartNumber);

/// No walk goes further than this, so that a circle ends.
const LONGEST: usize = 64;

/// The rows of all supersessions as a graph: numbers in the order of their hashes, the rows of each in table order.
///
/// The bytes are kept as they were read: counts of numbers, rows and letters; then for each number its hash, where
/// its letters end, and where its rows that lead on and back end; then rows as number and piece; then the letters.
#[derive(Debug, Default)]
pub(super) struct Chains {
    bytes: Summed,
    numbers: usize,
    rows: usize,
}

/// A step of a walk along what numbers became.
#[derive(Debug, Clone, Copy)]
pub struct Step<'c> {
    chains: &'c Chains,
    start: usize,
    at: usize,
    depth: usize,
}

impl Step<'_> {
    /// Gives the number that the walk began with, without spaces and hyphens.
    pub fn start(&self) -> &str {
        self.chains.text(self.start)
    }

    /// Gives the number that the walk has come to, likewise.
    pub fn at(&self) -> &str {
        self.chains.text(self.at)
    }

    /// Tells how many rows lead there.
    pub fn depth(&self) -> usize {
        self.depth
    }
}

/// Which way to follow.
#[derive(Debug, Clone, Copy)]
enum Way {
    Later,
    Earlier,
}

const HEAD: usize = 12;

impl Chains {
    pub fn of(links: &[Link]) -> Self {
        let mut hashed: Vec<(u64, &PartNumber)> = links
            .iter()
            .flat_map(|(_, old, new)| [old, new])
            .map(|part| (of_part(part), part))
            .collect();
        hashed.sort_unstable();
        hashed.dedup();
        let node: HashMap<&PartNumber, u32> =
            hashed.iter().map(|(_, part)| *part).zip(0..).collect();
        let of = |part: &PartNumber| node.get(part).copied().unwrap_or(u32::MAX);
        let mut later: Vec<(u32, u32, u32)> =
            links.iter().map(|(piece, old, new)| (of(old), of(new), *piece)).collect();
        let mut earlier: Vec<(u32, u32, u32)> =
            later.iter().map(|(old, new, piece)| (*new, *old, *piece)).collect();
        later.sort_by_key(|row| row.0);
        earlier.sort_by_key(|row| row.0);
        let mut bytes = Vec::with_capacity(HEAD + hashed.len() * 34 + links.len() * 16);
        let put = |bytes: &mut Vec<u8>, value: usize| {
            bytes.extend_from_slice(&u32::try_from(value).unwrap_or(u32::MAX).to_le_bytes());
        };
        put(&mut bytes, hashed.len());
        put(&mut bytes, links.len());
        put(&mut bytes, 0);
        hashed.iter().for_each(|(hash, _)| bytes.extend_from_slice(&hash.to_le_bytes()));
        let mut end = 0;
        for (_, part) in &hashed {
            end += part.folded().len();
            put(&mut bytes, end);
        }
        for rows in [&later, &earlier] {
            let mut at = 0;
            for number in 0..hashed.len() {
                at += rows
                    .get(at..)
                    .unwrap_or_default()
                    .iter()
                    .take_while(|row| row.0 as usize == number)
                    .count();
                put(&mut bytes, at);
            }
        }
        for rows in [&later, &earlier] {
            for (_, to, piece) in rows {
                bytes.extend_from_slice(&to.to_le_bytes());
                bytes.extend_from_slice(&piece.to_le_bytes());
            }
        }
        hashed.iter().for_each(|(_, part)| bytes.extend_from_slice(part.folded().as_bytes()));
        Chains { bytes: Summed::new(bytes), numbers: hashed.len(), rows: links.len() }
    }

    /// Writes the graph beside the stores and gives its sum, by which it is named.
    pub fn write(&self, stores: &Path) -> Result<u128, Trouble> {
        Ok(self.bytes.write(stores, name)?)
    }

    pub fn read(stores: &Path, sum: u128) -> Result<Self, Trouble> {
        let bytes = Summed::open(stores, &name(sum), sum).ok_or_else(unreadable)?;
        let mut chains = Chains { bytes, numbers: 0, rows: 0 };
        (chains.numbers, chains.rows) = (chains.value(0) as usize, chains.value(4) as usize);
        chains.held()?;
        Ok(chains)
    }

    /// Fails where anything read so far was not as it was written: then no answer given so far holds.
    pub fn held(&self) -> Result<(), Trouble> {
        if self.bytes.is_spoilt() { Err(unreadable()) } else { Ok(()) }
    }

    /// Gives the rows as they were put in, without those in pieces that are gone.
    pub fn links(&self, is_there: impl Fn(u32) -> bool) -> Vec<Link> {
        let numbers: Vec<Option<PartNumber>> =
            (0..self.numbers).map(|number| self.number(number)).collect();
        let mut links = Vec::with_capacity(self.rows);
        for old in 0..self.numbers {
            for (new, piece) in self.from(Way::Later, old).filter(|(_, piece)| is_there(*piece)) {
                if let (Some(Some(old)), Some(Some(new))) = (numbers.get(old), numbers.get(new)) {
                    links.push((piece, old.clone(), new.clone()));
                }
            }
        }
        links
    }

    /// Gives the numbers that rows lead to from one.
    pub fn later(&self, part: &PartNumber, is_there: impl Fn(u32) -> bool) -> Vec<PartNumber> {
        self.next(Way::Later, part, is_there)
    }

    /// Gives the numbers from which rows lead to one.
    pub fn earlier(&self, part: &PartNumber, is_there: impl Fn(u32) -> bool) -> Vec<PartNumber> {
        self.next(Way::Earlier, part, is_there)
    }

    /// Follows every row of every number to where nothing leads on, and shows each step.
    pub fn follow_every(&self, is_there: impl Fn(u32) -> bool, mut look: impl FnMut(Step<'_>)) {
        let mut waiting: Vec<(usize, usize)> = Vec::new();
        for start in 0..self.numbers {
            waiting.extend(
                self.from(Way::Later, start)
                    .filter(|(_, piece)| is_there(*piece))
                    .map(|(new, _)| (new, 1)),
            );
            if waiting.is_empty() {
                continue;
            }
            while let Some((at, depth)) = waiting.pop() {
                look(Step { chains: self, start, at, depth });
                if depth < LONGEST {
                    let rows = self.from(Way::Later, at).filter(|(_, piece)| is_there(*piece));
                    waiting.extend(rows.map(|(new, _)| (new, depth + 1)));
                }
            }
        }
    }

    fn next(&self, way: Way, part: &PartNumber, is_there: impl Fn(u32) -> bool) -> Vec<PartNumber> {
        let hash = of_part(part);
        let (mut low, mut high) = (0, self.numbers);
        while low < high {
            let middle = low.midpoint(high);
            if self.hash(middle) < hash { low = middle + 1 } else { high = middle }
        }
        let same = (low..self.numbers).take_while(|number| self.hash(*number) == hash);
        let Some(number) = same.into_iter().find(|number| self.text(*number) == part.folded())
        else {
            return Vec::new();
        };
        let rows = self.from(way, number).filter(|(_, piece)| is_there(*piece));
        rows.filter_map(|(to, _)| self.number(to)).collect()
    }

    fn value(&self, at: usize) -> u32 {
        self.bytes.get(at..at + 4).first_chunk::<4>().map_or(0, |bytes| u32::from_le_bytes(*bytes))
    }

    fn hash(&self, number: usize) -> u64 {
        let at = HEAD + 8 * number;
        self.bytes.get(at..at + 8).first_chunk::<8>().map_or(0, |bytes| u64::from_le_bytes(*bytes))
    }

    /// Gives where what belongs to a number begins and ends, in the list of ends that stands here.
    fn span(&self, ends: usize, number: usize) -> std::ops::Range<usize> {
        let start = if number == 0 { 0 } else { self.value(ends + 4 * (number - 1)) };
        start as usize..self.value(ends + 4 * number) as usize
    }

    /// Gives the rows from a number: where each leads, and its piece.
    fn from(&self, way: Way, number: usize) -> impl Iterator<Item = (usize, u32)> + '_ {
        let before = match way {
            Way::Later => 0,
            Way::Earlier => 1,
        };
        let span = self.span(HEAD + (12 + 4 * before) * self.numbers, number);
        let rows = HEAD + 20 * self.numbers + 8 * self.rows * before;
        span.map(move |row| (self.value(rows + 8 * row) as usize, self.value(rows + 8 * row + 4)))
    }

    fn text(&self, number: usize) -> &str {
        let span = self.span(HEAD + 8 * self.numbers, number);
        let letters = HEAD + 20 * self.numbers + 16 * self.rows;
        let bytes = self.bytes.get(letters + span.start..letters + span.end);
        std::str::from_utf8(bytes).unwrap_or_default()
    }

    fn number(&self, number: usize) -> Option<PartNumber> {
        PartNumber::new(self.text(number))
    }
}

fn unreadable() -> Trouble {
    Trouble::Unreadable("its chains of numbers cannot be read".to_owned())
}

/// The name of the file with this sum.
pub(super) fn name(sum: u128) -> String {
    format!("chains-{sum:032x}")
}

#[cfg(test)]
mod tests {
    use super::*;

    fn part(text: &str) -> PartNumber {
        PartNumber::new(text).expect("a number")
    }

    #[test]
    fn chains_are_followed_both_ways_and_a_circle_ends() {
        let rows =
            [(1, "A-1", "B 2"), (1, "b2", "C3"), (2, "A1", "D4"), (3, "x", "y"), (3, "y", "X")];
        let links: Vec<Link> =
            rows.iter().map(|(piece, old, new)| (*piece, part(old), part(new))).collect();
        let folder = tempfile::tempdir().unwrap();
        let sum = Chains::of(&links).write(folder.path()).unwrap();
        let chains = Chains::read(folder.path(), sum).unwrap();
        assert_eq!(chains.later(&part("a 1"), |_| true), [part("b2"), part("d4")]);
        assert_eq!(chains.later(&part("a 1"), |piece| piece != 2), [part("b2")]);
        assert_eq!(chains.earlier(&part("c3"), |_| true), [part("b2")]);
        assert_eq!(chains.later(&part("c3"), |_| true), []);
        assert_eq!(chains.later(&part("nothing"), |_| true), []);
        let mut walks = Vec::new();
        chains.follow_every(
            |piece| piece != 3,
            |step| walks.push(format!("{} {} {}", step.start(), step.at(), step.depth())),
        );
        walks.sort();
        assert_eq!(walks, ["a1 b2 1", "a1 c3 2", "a1 d4 1", "b2 c3 1"]);
        let mut steps = 0;
        chains.follow_every(|piece| piece == 3, |_| steps += 1);
        assert_eq!(steps, 2 * LONGEST);
        assert!(chains.held().is_ok());
        let path = folder.path().join(name(sum));
        let written = std::fs::read(&path).unwrap();
        for at in 0..written.len() {
            let mut flipped = written.clone();
            flipped[at] ^= 8;
            std::fs::write(&path, &flipped).unwrap();
            let held = Chains::read(folder.path(), sum).and_then(|chains| {
                chains.later(&part("a 1"), |_| true);
                chains.held()
            });
            assert!(held.is_err(), "byte {at}");
        }
        let mut again = chains.links(|piece| piece != 3);
        again.sort();
        assert_eq!(again.len(), 3);
        assert!(Chains::default().later(&part("a"), |_| true).is_empty());
    }
}
