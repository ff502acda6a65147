//! A metric thread, and the one that the size of a part begins with.

use super::standard::threads;
use crate::measure::{DecimalMark, ThreadedSize};
use rust_decimal::Decimal;

/// A metric thread.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Thread {
    /// The diameter in mm.
    pub diameter: Decimal,
    /// The pitch in mm; the coarse one where none is written.
    pub pitch: Option<Decimal>,
}

impl Thread {
    /// Reads `M6` or `M8x1`; `None` for any other text.
    pub fn parse(text: &str) -> Option<Thread> {
        let rest = text.trim().strip_prefix(['M', 'm'])?;
        let (diameter, pitch) = match rest.split_once(['x', 'X', '×', '*']) {
            Some((diameter, pitch)) => (diameter, Some(number(pitch)?)),
            None => (rest, None),
        };
        let diameter = number(diameter)?;
        Some(Thread { diameter, pitch: pitch.or_else(|| coarse(diameter)) })
    }

    /// Takes the pitch back where the text says that the thread is a fine one, and not which: `M8 fine x 35`.
    pub fn as_said(self, text: &str) -> Thread {
        let says_fine =
            text.split(|c: char| !c.is_alphabetic()).any(|word| word.eq_ignore_ascii_case("fine"));
        Thread {
            pitch: self.pitch.filter(|pitch| !says_fine || coarse(self.diameter) != Some(*pitch)),
            ..self
        }
    }

    /// Gives the thread of a size that begins with one; `None` beyond all threads.
    pub fn of(size: &ThreadedSize) -> Option<Thread> {
        let diameter = Some(size.diameter).filter(|diameter| *diameter < Decimal::from(10_000))?;
        Some(Thread { diameter, pitch: size.pitch.or_else(|| coarse(diameter)) })
    }
}

/// Reads the thread that a size begins with: `M6 x 30`, `M20x1.5 x 65`, `M10 x 1.25 x 30`, `M8x1.25-6g`, `M10-1.25`, `M12`.
pub fn thread_of(size: &str) -> Option<Thread> {
    let size =
        size.trim().strip_prefix(['M', 'm'])?.replace(['×', 'X', '*'], "x").replace(',', ".");
    let figure = |text: &str| -> String {
        text.trim().chars().take_while(|c| c.is_ascii_digit() || *c == '.').collect()
    };
    let mut cells = size.split('x');
    let first = cells.next()?;
    let thread = Thread::parse(&format!("M{}", figure(first)))?.as_said(&size);
    let with = |pitch: &str| {
        ThreadedSize::parse(&format!("M{}x{pitch}", thread.diameter))
            .filter(|size| size.pitch.is_some())
    };
    // Behind a hyphen there may be a strength or a tolerance, so only a pitch that there is counts as one.
    let hyphened =
        first.split_once('-').map(|(_, behind)| figure(behind)).and_then(|pitch| with(&pitch));
    let hyphened = hyphened.filter(|size| {
        threads()
            .iter()
            .any(|known| known.diameter == size.diameter && Some(known.pitch) == size.pitch)
    });
    let written = hyphened.or_else(|| cells.next().and_then(|cell| with(&figure(cell))));
    written.and_then(|size| Thread::of(&size)).or(Some(thread))
}

fn coarse(diameter: Decimal) -> Option<Decimal> {
    let thread = threads().iter().find(|thread| thread.coarse && thread.diameter == diameter);
    thread.map(|thread| thread.pitch)
}

impl std::fmt::Display for Thread {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        write!(f, "M{}", self.diameter.normalize())?;
        match self.pitch {
            Some(pitch) => write!(f, "x{}", pitch.normalize()),
            None => Ok(()),
        }
    }
}

fn number(text: &str) -> Option<Decimal> {
    let value = crate::measure::parse_decimal(text, DecimalMark::Point)?;
    (value > Decimal::ZERO && value < Decimal::from(10_000)).then_some(value)
}
