//! The published standard sizes that ship inside the program, read once.
//!
//! Each row names its source. Nothing here knows of an owner's tables.

use crate::measure::{Interval, Key};
use rust_decimal::{Decimal, MathematicalOps};
use std::sync::LazyLock;

/// An O-ring by its standard, or a metric section that is sold in many diameters.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct ORing {
    /// The standard.
    pub standard: String,
    /// The size code; blank where the standard has none.
    pub code: String,
    /// The inside diameter and its tolerance, plus and minus, in mm; `None` where the section is sold in many.
    pub inside: Option<(Decimal, Decimal)>,
    /// The section in mm.
    pub section: Decimal,
    /// Its tolerance, plus and minus, in mm.
    pub section_tolerance: Decimal,
    /// Where the row was found.
    pub source: String,
}

/// How an O-ring is squeezed.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum GlandKind {
    /// Between a bore and what stands still in it.
    Radial,
    /// Between two faces.
    Axial,
    /// Between a bore or rod and what slides along it.
    Dynamic,
}

impl GlandKind {
    /// Gives the kind as a word.
    pub fn as_str(self) -> &'static str {
        match self {
            GlandKind::Radial => "radial",
            GlandKind::Axial => "axial",
            GlandKind::Dynamic => "dynamic",
        }
    }
}

/// Published guidance for the gland of an O-ring of one section.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Gland {
    /// How the ring is squeezed.
    pub kind: GlandKind,
    /// The section in mm.
    pub section: Decimal,
    /// The least and the greatest depth in mm.
    pub depth: (Decimal, Decimal),
    /// The least and the greatest squeeze in percent of the section.
    pub squeeze: (Decimal, Decimal),
    /// The width without a back-up ring in mm.
    pub width: Decimal,
    /// The greatest clearance across the diameter in mm.
    pub clearance: Decimal,
    /// Where the row was found.
    pub source: String,
}

/// A circlip and its groove.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Circlip {
    /// DIN 471 for shafts, DIN 472 for bores.
    pub standard: String,
    /// The shaft or bore in mm.
    pub size: Decimal,
    /// The thickness in mm; its upper deviation is zero.
    pub thickness: Decimal,
    /// The lower deviation of the thickness in mm.
    pub thickness_lower: Decimal,
    /// The groove's diameter in mm.
    pub groove_diameter: Decimal,
    /// The lower deviation of the groove's diameter in mm.
    pub groove_lower: Decimal,
    /// The upper deviation of the groove's diameter in mm.
    pub groove_upper: Decimal,
    /// The least width of the groove in mm.
    pub groove_width: Decimal,
    /// Where the row was found.
    pub source: String,
}

/// An E-clip and its groove.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct EClip {
    /// The groove's diameter in mm, after which the clip is named.
    pub groove_diameter: Decimal,
    /// The least and the greatest shaft in mm.
    pub shaft: (Decimal, Decimal),
    /// The thickness in mm.
    pub thickness: Decimal,
    /// Its tolerance, plus and minus, in mm.
    pub thickness_tolerance: Decimal,
    /// The width of the groove in mm.
    pub groove_width: Decimal,
    /// Where the row was found.
    pub source: String,
}

/// A part of which three figures tell the size: a shaft seal (shaft, bore, width) or a sealing washer (inside,
/// outside, thickness), in mm.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct ThreeFigures {
    /// The three figures in mm.
    pub figures: [Decimal; 3],
    /// Where the row was found.
    pub source: String,
}

/// An inch or pipe thread.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct InchThread {
    /// As it is written: `3/8-24 UNF`, `G 1/8`, `1/4 NPT`.
    pub name: String,
    /// The series: UNC, UNF, BSW, BSF, G, R or NPT.
    pub series: String,
    /// The size by which it is named, in inches or as a number.
    pub size: String,
    /// The diameter over its crests in mm.
    pub diameter: Decimal,
    /// Threads an inch.
    pub per_inch: Decimal,
    /// Where the row was found.
    pub source: String,
}

/// A split pin.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct SplitPin {
    /// The hole that it is named after, in mm.
    pub hole: Decimal,
    /// The bolts that it is for, over and to, in mm.
    pub bolt: (Decimal, Decimal),
    /// The clevis pins that it is for, over and to, in mm.
    pub clevis: (Decimal, Decimal),
    /// Where the row was found.
    pub source: String,
}

/// A metric thread.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct ThreadSize {
    /// The diameter in mm.
    pub diameter: Decimal,
    /// The pitch in mm.
    pub pitch: Decimal,
    /// The pitch that is meant where none is written.
    pub coarse: bool,
    /// Where the row was found.
    pub source: String,
}

/// The strength of a steel bolt by the mark on its head.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct PropertyClass {
    /// The class, such as 8.8.
    pub class: String,
    /// The proof stress in MPa.
    pub proof: Decimal,
    /// The least tensile strength in MPa.
    pub tensile: Decimal,
    /// The row is for threads over this diameter in mm.
    pub over: Decimal,
    /// Where the row was found.
    pub source: String,
}

/// What turns a fastener.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Drive {
    /// The kind of fastener.
    pub fastener: String,
    /// The thread's diameter in mm.
    pub diameter: Decimal,
    /// The kind of tool.
    pub drive: String,
    /// Its size: mm across flats, or the number of a hexalobular key.
    pub size: String,
    /// Where the row was found.
    pub source: String,
}

/// A hexalobular recess.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Hexalobular {
    /// Its number, such as T30.
    pub size: String,
    /// The diameters over and between the lobes in mm.
    pub across: (Decimal, Decimal),
    /// Where the row was found.
    pub source: String,
}

/// A parallel key.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct ParallelKey {
    /// The shafts that it is for, over and to, in mm.
    pub shaft: (Decimal, Decimal),
    /// Its width in mm.
    pub width: Decimal,
    /// Its height in mm.
    pub height: Decimal,
    /// Where the row was found.
    pub source: String,
}

/// A plain washer.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct PlainWasher {
    /// The thread's diameter in mm.
    pub thread: Decimal,
    /// The inside and the outside diameter and the greatest thickness in mm.
    pub figures: [Decimal; 3],
    /// Where the row was found.
    pub source: String,
}

/// A type of part that ships with the program, by what leads to it and how its size is written.
#[derive(Debug, Clone)]
pub struct KnownType {
    /// Its name.
    pub part_type: Key,
    /// What else it is called.
    pub also_called: Vec<Key>,
    /// The form of its size.
    pub size_form: String,
}

/// One row of a shipped table.
struct Cells<'t>(&'t csv::StringRecord);

impl Cells<'_> {
    fn text(&self, slot: usize) -> Option<String> {
        self.0.get(slot).map(str::to_owned)
    }

    fn number(&self, slot: usize) -> Option<Decimal> {
        Decimal::from_str_exact(self.0.get(slot)?).ok()
    }

    fn pair(&self, slot: usize) -> Option<(Decimal, Decimal)> {
        Some((self.number(slot)?, self.number(slot + 1)?))
    }
}

/// Reads a shipped table. A row that cannot be read is left out; a test holds that there is none.
fn read<T>(text: &str, row: impl Fn(&Cells) -> Option<T>) -> Vec<T> {
    let mut reader =
        csv::ReaderBuilder::new().comment(Some(b'#')).flexible(true).from_reader(text.as_bytes());
    reader.records().filter_map(Result::ok).filter_map(|record| row(&Cells(&record))).collect()
}

macro_rules! table {
    ($(#[doc = $doc:literal])* $name:ident: $Row:ty, $file:literal, $row:expr) => {
        $(#[doc = $doc])*
        pub fn $name() -> &'static [$Row] {
            static ROWS: LazyLock<Vec<$Row>> =
                LazyLock::new(|| read(include_str!(concat!("../../catalog/standard/", $file)), $row));
            &ROWS
        }
    };
}

table!(
    /// Gives the types that the program knows by itself, whatever an owner's table makes of them.
    known_types: KnownType, "../types.csv", |cells| Some(KnownType {
        part_type: Key::new(&cells.text(0)?),
        also_called: cells.text(1)?.split(';').filter(|name| !name.trim().is_empty()).map(Key::new).collect(),
        size_form: cells.text(4)?,
    })
);
table!(
    /// Gives the standard O-rings.
    o_rings: ORing, "o-rings.csv", |cells| Some(ORing {
        standard: cells.text(0)?,
        code: cells.text(1)?,
        inside: cells.pair(2),
        section: cells.number(4)?,
        section_tolerance: cells.number(5)?,
        source: cells.text(6)?,
    })
);
table!(
    /// Gives the published guidance for O-ring glands.
    glands: Gland, "o-ring-glands.csv", |cells| Some(Gland {
        kind: match cells.text(0)?.as_str() {
            "radial" => GlandKind::Radial,
            "axial" => GlandKind::Axial,
            "dynamic" => GlandKind::Dynamic,
            _ => return None,
        },
        section: cells.number(1)?,
        depth: cells.pair(2)?,
        squeeze: cells.pair(4)?,
        width: cells.number(6)?,
        clearance: cells.number(7)?,
        source: cells.text(8)?,
    })
);
table!(
    /// Gives the circlips.
    circlips: Circlip, "circlips.csv", |cells| Some(Circlip {
        standard: cells.text(0)?,
        size: cells.number(1)?,
        thickness: cells.number(2)?,
        thickness_lower: cells.number(3)?,
        groove_diameter: cells.number(4)?,
        groove_lower: cells.number(5)?,
        groove_upper: cells.number(6)?,
        groove_width: cells.number(7)?,
        source: cells.text(9)?,
    })
);
table!(
    /// Gives the E-clips.
    e_clips: EClip, "e-clips.csv", |cells| Some(EClip {
        groove_diameter: cells.number(0)?,
        shaft: cells.pair(1)?,
        thickness: cells.number(3)?,
        thickness_tolerance: cells.number(4)?,
        groove_width: cells.number(5)?,
        source: cells.text(6)?,
    })
);
table!(
    /// Gives the sealing washers.
    sealing_washers: ThreeFigures, "sealing-washers.csv", three_figures
);
table!(
    /// Gives the radial lip seals.
    shaft_seals: ThreeFigures, "shaft-seals.csv", three_figures
);
table!(
    /// Gives the plain washers.
    plain_washers: PlainWasher, "plain-washers.csv", |cells| Some(PlainWasher {
        thread: Decimal::from_str_exact(cells.text(0)?.strip_prefix('M')?).ok()?,
        figures: [cells.number(1)?, cells.number(2)?, cells.number(3)?],
        source: cells.text(4)?,
    })
);
table!(
    /// Gives the split pins.
    split_pins: SplitPin, "split-pins.csv", |cells| Some(SplitPin {
        hole: cells.number(0)?,
        bolt: cells.pair(3)?,
        clevis: cells.pair(5)?,
        source: cells.text(7)?,
    })
);
table!(
    /// Gives the metric threads.
    threads: ThreadSize, "threads.csv", |cells| Some(ThreadSize {
        diameter: cells.number(0)?,
        pitch: cells.number(1)?,
        coarse: cells.text(2)? == "coarse",
        source: cells.text(3)?,
    })
);
table!(
    /// Gives the inch and pipe threads.
    inch_threads: InchThread, "inch-threads.csv", |cells| {
        let (series, size) = (cells.text(0)?, cells.text(1)?);
        let per_inch = cells.number(3)?;
        let name = match series.as_str() {
            "G" | "R" => format!("{series} {size}"),
            "NPT" => format!("{size} {series}"),
            _ => format!("{size}-{per_inch} {series}"),
        };
        Some(InchThread {
            name,
            series,
            size,
            diameter: cells.number(2)?,
            per_inch,
            source: cells.text(4)?,
        })
    }
);
table!(
    /// Gives the property classes of steel bolts.
    property_classes: PropertyClass, "property-classes.csv", |cells| Some(PropertyClass {
        class: cells.text(0)?,
        proof: cells.number(1)?,
        tensile: cells.number(2)?,
        over: cells.number(3)?,
        source: cells.text(4)?,
    })
);
table!(
    /// Gives what turns which fastener.
    drives: Drive, "drives.csv", |cells| Some(Drive {
        fastener: cells.text(0)?,
        diameter: cells.number(1)?,
        drive: cells.text(2)?,
        size: cells.text(3)?,
        source: cells.text(4)?,
    })
);
table!(
    /// Gives the hexalobular recesses.
    hexalobular: Hexalobular, "hexalobular.csv", |cells| Some(Hexalobular {
        size: cells.text(0)?,
        across: cells.pair(1)?,
        source: cells.text(3)?,
    })
);
table!(
    /// Gives the parallel keys.
    parallel_keys: ParallelKey, "parallel-keys.csv", |cells| Some(ParallelKey {
        shaft: cells.pair(0)?,
        width: cells.number(2)?,
        height: cells.number(3)?,
        source: cells.text(4)?,
    })
);

/// Gives the tolerance of an inside diameter, plus and minus, in mm: 0.009·d^0.95 + 0.11.
///
/// `None` for a diameter of zero or less. Source: from memory: ISO 3601-1, class B.
pub fn diameter_tolerance(inside: Decimal) -> Option<Decimal> {
    if inside <= Decimal::ZERO {
        return None;
    }
    let power = inside.checked_powd(Decimal::new(95, 2))?;
    Some((Decimal::new(9, 3).checked_mul(power)? + Decimal::new(11, 2)).round_dp(2))
}

/// Gives the inside diameter and the section of a standard O-ring with the tolerances that it is made to, in mm.
///
/// A ring of a metric section is standard in whole and half millimetres. `None` for any other size.
pub fn made_ring(inside: Decimal, section: Decimal) -> Option<(Interval, Interval)> {
    let about =
        |size: Decimal, tolerance: Decimal| Interval::new(size - tolerance, size, size + tolerance);
    let half = || (inside * Decimal::TWO).fract().is_zero();
    let of_section = || o_rings().iter().filter(|ring| ring.section == section);
    let listed = of_section().find(|ring| ring.inside.is_some_and(|(known, _)| known == inside));
    let ring = listed.or_else(|| of_section().find(|ring| ring.inside.is_none() && half()))?;
    let tolerance = match ring.inside {
        Some((_, tolerance)) => tolerance,
        None => diameter_tolerance(inside)?,
    };
    (tolerance < inside).then(|| (about(inside, tolerance), about(section, ring.section_tolerance)))
}

fn three_figures(cells: &Cells) -> Option<ThreeFigures> {
    Some(ThreeFigures {
        figures: [cells.number(0)?, cells.number(1)?, cells.number(2)?],
        source: cells.text(3)?,
    })
}

impl ThreadSize {
    /// Gives the tensile stress area in mm²: π/4 (d − 0.9382 P)².
    ///
    /// Source: ISO 898-1:2013, 9.1.6.1, with the basic profile of ISO 68-1; from memory.
    pub fn stress_area(&self) -> Decimal {
        let diameter = self.diameter - Decimal::new(9_382, 4) * self.pitch;
        Decimal::PI / Decimal::from(4) * diameter * diameter
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn number(text: &str) -> Decimal {
        let text = text.trim();
        let padded = if let Some(rest) = text.strip_prefix('.') {
            format!("0.{rest}")
        } else {
            text.to_owned()
        };
        Decimal::from_str_exact(&padded).unwrap()
    }

    fn lines(text: &str) -> impl Iterator<Item = Vec<&str>> {
        text.lines()
            .filter(|line| !line.starts_with('#'))
            .skip(1)
            .map(|line| line.split(',').collect())
    }

    /// The number of lines of a shipped table that are neither remark nor header.
    fn rows(text: &str) -> usize {
        lines(text).count()
    }

    macro_rules! shipped {
        ($file:literal) => {
            include_str!(concat!("../../catalog/standard/", $file))
        };
    }

    #[test]
    fn every_row_of_every_table_is_read_and_names_its_source() {
        let told = |sources: Vec<&str>, text: &str| {
            assert_eq!(sources.len(), rows(text), "{}", text.lines().next().unwrap_or_default());
            for source in sources {
                let named = source.contains("from memory")
                    || source.contains("no source")
                    || source.contains("figures as in");
                assert!(named, "{source}");
            }
        };
        told(o_rings().iter().map(|row| row.source.as_str()).collect(), shipped!("o-rings.csv"));
        told(
            glands().iter().map(|row| row.source.as_str()).collect(),
            shipped!("o-ring-glands.csv"),
        );
        told(circlips().iter().map(|row| row.source.as_str()).collect(), shipped!("circlips.csv"));
        told(e_clips().iter().map(|row| row.source.as_str()).collect(), shipped!("e-clips.csv"));
        told(
            sealing_washers().iter().map(|row| row.source.as_str()).collect(),
            shipped!("sealing-washers.csv"),
        );
        told(
            shaft_seals().iter().map(|row| row.source.as_str()).collect(),
            shipped!("shaft-seals.csv"),
        );
        told(
            plain_washers().iter().map(|row| row.source.as_str()).collect(),
            shipped!("plain-washers.csv"),
        );
        told(
            split_pins().iter().map(|row| row.source.as_str()).collect(),
            shipped!("split-pins.csv"),
        );
        told(threads().iter().map(|row| row.source.as_str()).collect(), shipped!("threads.csv"));
        told(
            inch_threads().iter().map(|row| row.source.as_str()).collect(),
            shipped!("inch-threads.csv"),
        );
        told(
            property_classes().iter().map(|row| row.source.as_str()).collect(),
            shipped!("property-classes.csv"),
        );
        told(drives().iter().map(|row| row.source.as_str()).collect(), shipped!("drives.csv"));
        told(
            hexalobular().iter().map(|row| row.source.as_str()).collect(),
            shipped!("hexalobular.csv"),
        );
        told(
            parallel_keys().iter().map(|row| row.source.as_str()).collect(),
            shipped!("parallel-keys.csv"),
        );
    }

    #[test]
    fn every_o_ring_of_iso_3601_agrees_with_the_package() {
        let mut compared = 0;
        for cells in lines(include_str!("../../tests/data/bd-warehouse-o-ring-parameters.csv")) {
            let ring = o_rings()
                .iter()
                .find(|ring| ring.standard == "ISO 3601-1" && ring.code == cells[0])
                .unwrap();
            let there =
                (Some((number(cells[1]), number(cells[3]))), number(cells[2]), number(cells[4]));
            assert_eq!((ring.inside, ring.section, ring.section_tolerance), there, "{}", cells[0]);
            compared += 1;
        }
        assert_eq!(compared, 349);
    }

    #[test]
    fn every_thread_up_to_20_mm_stands_in_the_package_and_says_so() {
        let theirs: Vec<(Decimal, Decimal)> =
            lines(include_str!("../../tests/data/bd-warehouse-threads.csv"))
                .map(|cells| (number(cells[0]), number(cells[1])))
                .collect();
        let mut compared = 0;
        for thread in threads() {
            let there = theirs.contains(&(thread.diameter, thread.pitch));
            assert_eq!(
                there,
                thread.source.contains("bd-warehouse"),
                "M{}x{}",
                thread.diameter,
                thread.pitch
            );
            // One fine thread of M20 stands in no table of the package.
            let fine_of_20 = thread.diameter == number("20") && thread.pitch == number("2");
            assert!(
                there || fine_of_20 || thread.diameter > number("20"),
                "M{}x{}",
                thread.diameter,
                thread.pitch
            );
            compared += usize::from(there);
        }
        assert_eq!(compared, 51);
    }

    #[test]
    fn every_thread_from_20_mm_up_stands_in_the_hole_table_of_another_package() {
        let theirs: Vec<(Decimal, Decimal)> =
            lines(include_str!("../../tests/data/freecad-threads.csv"))
                .map(|cells| (number(cells[0]), number(cells[1])))
                .collect();
        let mut only_there = 0;
        for thread in threads().iter().filter(|thread| thread.diameter >= number("20")) {
            assert!(
                theirs.contains(&(thread.diameter, thread.pitch)),
                "M{}x{}",
                thread.diameter,
                thread.pitch
            );
            only_there += usize::from(thread.source.contains("libfreecad"));
        }
        assert_eq!(only_there, 16);
    }

    #[test]
    fn hexalobular_keys_agree_with_the_other_heads_of_the_same_thread() {
        let mut compared = 0;
        for cells in lines(include_str!("../../tests/data/bd-warehouse-hexalobular-heads.csv")) {
            let thread = crate::fit::Thread::parse(&cells[0].replace('-', "x")).unwrap();
            assert_eq!(cells[1], cells[2]);
            let Some(drive) = drives().iter().find(|row| {
                row.fastener == "hexalobular cap screw" && row.diameter == thread.diameter
            }) else {
                continue;
            };
            assert_eq!(drive.size, cells[1], "{}", cells[0]);
            compared += 1;
        }
        assert_eq!(compared, 8);
    }

    #[test]
    fn every_circlip_and_groove_agrees_with_the_package_but_for_its_errors_of_thickness() {
        // The package gives the tolerance of another column for DIN 471 sizes 11 to 48, and a coarser one at 100.
        let wrong = |standard: &str, size: Decimal| {
            let (from, to) = (Decimal::from(11), Decimal::from(48));
            standard == "DIN 471" && ((from <= size && size <= to) || size == Decimal::ONE_HUNDRED)
        };
        let mut compared = 0;
        let mut departs = 0;
        for (standard, text) in [
            ("DIN 471", include_str!("../../tests/data/bd-warehouse-din471.csv")),
            ("DIN 472", include_str!("../../tests/data/bd-warehouse-din472.csv")),
        ] {
            for cells in lines(text) {
                let size = number(cells[0]);
                let clip = circlips()
                    .iter()
                    .find(|clip| clip.standard == standard && clip.size == size)
                    .unwrap();
                // The package has these two thicker than their own grooves are wide.
                let thickness = match (standard, cells[0]) {
                    ("DIN 471", "48") => "1.75",
                    ("DIN 472", "82") => "2.5",
                    _ => cells[1],
                };
                assert_eq!(clip.thickness, number(thickness), "{standard} {size}");
                assert_eq!(clip.groove_diameter, number(cells[11]));
                assert_eq!(
                    (clip.groove_upper, clip.groove_lower),
                    (number(cells[12]), number(cells[13]))
                );
                assert_eq!(clip.groove_width, number(cells[14]));
                let same = clip.thickness_lower == number(cells[3]) && number(cells[2]).is_zero();
                assert_eq!(same, !wrong(standard, size), "{standard} {size}");
                departs += usize::from(!same);
                compared += 1;
                let (bottom, wall) = if standard == "DIN 471" {
                    (clip.groove_diameter, size)
                } else {
                    (size, clip.groove_diameter)
                };
                assert!(bottom < wall && clip.groove_width > clip.thickness, "{standard} {size}");
            }
        }
        assert_eq!((compared, departs), (174, 28));
    }

    #[test]
    fn every_hexagon_key_spanner_and_hexalobular_size_agrees_with_the_package() {
        let size = |fastener: &str, diameter: &str| {
            let row = drives()
                .iter()
                .find(|row| row.fastener == fastener && row.diameter == number(diameter));
            row.map(|row| row.size.clone())
        };
        let mut compared = 0;
        for (fastener, column, text) in [
            ("cap screw", 1, include_str!("../../tests/data/bd-warehouse-socket-head-cap.csv")),
            ("bolt", 6, include_str!("../../tests/data/bd-warehouse-hex-head-parameters.csv")),
            ("nut", 2, include_str!("../../tests/data/bd-warehouse-hex-nut-parameters.csv")),
        ] {
            for cells in lines(text).filter(|cells| !cells[column].is_empty()) {
                let (diameter, _) = cells[0].trim_start_matches('M').split_once('-').unwrap();
                assert_eq!(
                    size(fastener, diameter).as_deref(),
                    Some(cells[column]),
                    "{fastener} {}",
                    cells[0]
                );
                compared += 1;
            }
        }
        for cells in lines(include_str!("../../tests/data/bd-warehouse-iso10664def.csv")) {
            let row = hexalobular().iter().find(|row| row.size == cells[0]).unwrap();
            assert_eq!(row.across, (number(cells[1]), number(cells[2])));
            compared += 1;
        }
        assert_eq!(compared, 94);
        // The workshop's own facts: common practice, no source.
        assert_eq!(size("cap screw", "5").as_deref(), Some("4"));
        assert_eq!(size("cap screw", "10").as_deref(), Some("8"));
        assert_eq!(size("bolt", "8").as_deref(), Some("13"));
        assert_eq!(size("nut", "18").as_deref(), Some("27"));
    }

    #[test]
    fn the_stress_areas_come_out_as_the_standard_prints_them() {
        // ISO 898-1:2013, tables 4 and 6, from memory.
        for (diameter, pitch, area) in [
            ("3", "0.5", "5.03"),
            ("3.5", "0.6", "6.78"),
            ("4", "0.7", "8.78"),
            ("5", "0.8", "14.2"),
            ("6", "1", "20.1"),
            ("7", "1", "28.9"),
            ("8", "1.25", "36.6"),
            ("8", "1", "39.2"),
            ("10", "1.5", "58.0"),
            ("10", "1.25", "61.2"),
            ("10", "1", "64.5"),
            ("12", "1.75", "84.3"),
            ("12", "1.5", "88.1"),
            ("12", "1.25", "92.1"),
            ("14", "2", "115"),
            ("14", "1.5", "125"),
            ("16", "2", "157"),
            ("16", "1.5", "167"),
            ("18", "2.5", "192"),
            ("18", "1.5", "216"),
            ("20", "2.5", "245"),
            ("20", "1.5", "272"),
            ("22", "2.5", "303"),
            ("22", "1.5", "333"),
            ("24", "3", "353"),
            ("24", "2", "384"),
            ("27", "3", "459"),
            ("27", "2", "496"),
            ("30", "3.5", "561"),
            ("30", "2", "621"),
            ("33", "3.5", "694"),
            ("33", "2", "761"),
            ("36", "4", "817"),
            ("36", "3", "865"),
            ("39", "4", "976"),
            ("39", "3", "1030"),
        ] {
            let row = threads()
                .iter()
                .find(|row| row.diameter == number(diameter) && row.pitch == number(pitch))
                .unwrap();
            let printed = number(area);
            assert_eq!(
                row.stress_area().round_sf(3).unwrap(),
                printed,
                "M{diameter}x{pitch}: {}",
                row.stress_area()
            );
        }
    }
}
