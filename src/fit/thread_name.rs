//! A thread by its name: metric, inch or pipe; and the one that the size of a part begins with.

use super::standard::{inch_threads, threads};
use crate::measure::{DecimalMark, ThreadedSize};
use rust_decimal::Decimal;

/// A thread.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Thread {
    /// The diameter in mm.
    pub diameter: Decimal,
    /// The pitch in mm; of a metric thread the coarse one where none is written.
    pub pitch: Option<Decimal>,
    /// The name of an inch or pipe thread; `None` for a metric one.
    pub inch: Option<&'static str>,
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
        Some(Thread { diameter, pitch: pitch.or_else(|| coarse(diameter)), inch: None })
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
        Some(Thread { diameter, pitch: size.pitch.or_else(|| coarse(diameter)), inch: None })
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

impl Thread {
    /// One of two screws goes into the thread of the other, as far as is known: a pitch that nobody has said may be any.
    pub fn goes_where(self, other: Thread) -> bool {
        self.diameter == other.diameter
            && self.inch == other.inch
            && self.pitch.is_none_or(|pitch| other.pitch.is_none_or(|other| pitch == other))
    }
}

/// Reads the inch or pipe thread that a size begins with: `3/8-24 UNF x 1 in`, `10-32`, `G 1/8`, `1/8 BSP`, `1/4 NPT`.
///
/// A number or fraction alone is none, and of two threads of one size and pitch the unified one counts.
pub fn inch_thread_of(size: &str) -> Option<Thread> {
    let cell = size.split(['x', 'X', '×', '*']).next()?.to_uppercase();
    let said: String =
        cell.chars().filter(|c| c.is_alphanumeric() || matches!(c, '/' | '-' | '.')).collect();
    let said = said.trim_end_matches("LH").trim_end_matches('-');
    let without_class = said.trim_end_matches(['A', 'B']);
    let forms =
        [said, without_class, without_class.trim_end_matches(['2', '3']).trim_end_matches('-')];
    let row = inch_threads().iter().find(|row| {
        let (size, series) = (row.size.trim_start_matches('#'), row.series.as_str());
        let pitched = format!("{size}-{}", row.per_inch.normalize());
        let names: Vec<String> = match series {
            "G" => vec![
                format!("G{size}"),
                format!("{size}BSP"),
                format!("{size}BSPP"),
                format!("BSP{size}"),
            ],
            "R" => vec![format!("R{size}"), format!("{size}BSPT")],
            "NPT" => {
                vec![format!("{size}NPT"), format!("NPT{size}"), format!("{pitched}NPT")]
            }
            _ => vec![format!("{pitched}{series}"), format!("{size}{series}"), pitched],
        };
        names.iter().any(|name| forms.contains(&name.as_str()))
    })?;
    let pitch = Decimal::new(254, 1).checked_div(row.per_inch);
    Some(Thread { diameter: row.diameter, pitch, inch: Some(&row.name) })
}

fn coarse(diameter: Decimal) -> Option<Decimal> {
    let thread = threads().iter().find(|thread| thread.coarse && thread.diameter == diameter);
    thread.map(|thread| thread.pitch)
}

impl std::fmt::Display for Thread {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        if let Some(name) = self.inch {
            return f.write_str(name);
        }
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

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn inch_and_pipe_threads_are_read_however_they_are_written() {
        for (size, name) in [
            ("3/8-24 UNF", "3/8-24 UNF"),
            ("3/8 UNF x 1 in", "3/8-24 UNF"),
            ("3/8-24", "3/8-24 UNF"),
            ("1/4\"-20 UNC x 3/4\"", "1/4-20 UNC"),
            ("1/4-20 UNC-2A", "1/4-20 UNC"),
            ("#10-32", "#10-32 UNF"),
            ("10-32 UNF x 1/2 in", "#10-32 UNF"),
            ("1/4 BSW", "1/4-20 BSW"),
            ("G 1/8", "G 1/8"),
            ("G1/2A", "G 1/2"),
            ("1/8 BSP", "G 1/8"),
            ("R1/4", "R 1/4"),
            ("1/8 NPT", "1/8 NPT"),
        ] {
            let thread = inch_thread_of(size).map(|thread| thread.to_string());
            assert_eq!(thread.as_deref(), Some(name), "{size}");
        }
        for size in ["M10x1", "3/8", "10 x 32", "1/8 in", "10", ""] {
            assert_eq!(inch_thread_of(size), None, "{size}");
        }
    }

    #[test]
    fn threads_of_nearly_one_size_do_not_go_into_one_another() {
        let threads = ["M10x1", "M10x1.25", "M10x1.5"].map(|name| thread_of(name).unwrap());
        let others = ["3/8-24 UNF", "3/8-16 UNC", "3/8 BSW", "G 1/8", "R 1/8", "1/8 NPT"];
        let others = others.map(|name| inch_thread_of(name).unwrap());
        let all: Vec<Thread> = threads.into_iter().chain(others).collect();
        for (index, one) in all.iter().enumerate() {
            for (other_index, other) in all.iter().enumerate() {
                assert_eq!(one.goes_where(*other), index == other_index, "{one} and {other}");
            }
        }
        let fine = thread_of("M10 fine").unwrap();
        assert!(fine.pitch.is_none() && fine.goes_where(threads[0]));
    }
}
