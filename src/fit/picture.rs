//! The tolerance bands of the old part, the new part and the seat, drawn to scale as SVG.
//!
//! Bands are told apart by hatching and words, so that the picture reads in black and white.

use super::o_ring;
use super::sizes::{PartSizes, SeatSizes};
use crate::kit::Bench;
use crate::measure::{Interval, Key, PartNumber, plain};
use rust_decimal::Decimal;
use rust_decimal::prelude::ToPrimitive;
use std::fmt::Write as _;

/// Which features of a part are drawn with which of its seat.
const PAIRS: [(&[&str], &[&str]); 9] = [
    (&["section"], &["groove depth", "gland depth"]),
    (
        &["inside diameter", "bore"],
        &["groove inside diameter", "plug diameter", "bolt diameter", "rod diameter"],
    ),
    (&["shaft diameter", "bore"], &["shaft diameter"]),
    // What is named after its bore; of anything else the bore is a hole of its own.
    (&["outside diameter", "diameter"], &["bore", "recess diameter"]),
    (&["inside diameter", "bore"], &["port diameter", "cylinder bore"]),
    (&["thickness"], &["groove width", "thickness"]),
    (&["width"], &["keyway width"]),
    (&["groove diameter"], &["groove diameter"]),
    (&["diameter"], &["hole diameter"]),
];

/// One line of the picture: a band with its name.
#[derive(Debug, Clone)]
pub struct Band {
    /// What it is.
    pub label: String,
    /// From where to where it reaches, in mm.
    pub value: Interval,
    /// How it is filled: old, new or seat.
    pub fill: Fill,
}

/// How a band is filled.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Fill {
    /// The part that sits there or is listed.
    Old,
    /// The part that is offered.
    New,
    /// The seat.
    Seat,
}

/// Bands that share a scale.
#[derive(Debug, Clone)]
pub struct Panel {
    /// What is compared.
    pub title: String,
    /// The bands, from top to bottom.
    pub bands: Vec<Band>,
    /// The limits of the seat, with their names.
    pub limits: Vec<(String, Decimal)>,
}

/// Gathers what can be drawn for a part at a position.
pub fn panels(bench: &Bench, part: &PartNumber, position: &Key) -> Vec<Panel> {
    let new = PartSizes::of(part, bench.lookup);
    let seat = SeatSizes::of(bench, position);
    let place = bench.place(position);
    let sitting = place.current.parts.iter().filter_map(|sitting| sitting.part.as_ref());
    let listed = place.speaking.iter().filter_map(|row| row.part.part());
    let old =
        sitting.chain(listed).find(|old| *old != part).map(|old| PartSizes::of(old, bench.lookup));
    let mut panels = Vec::new();
    panels.extend(derived_depth(&new, old.as_ref(), &seat));
    let by_bore = matches!(
        new.kind.as_str(),
        "shaft seal" | "internal circlip" | "rod seal" | "wiper" | "axial lip seal"
    );
    for (ours, theirs) in PAIRS {
        let ours: &[&str] = if by_bore && theirs.contains(&"recess diameter") {
            &["bore", "outside diameter"]
        } else {
            ours
        };
        let Some(there) = theirs.iter().find_map(|name| seat.feature(&[name])) else { continue };
        let Some(offered) = new.get(ours) else { continue };
        let mut bands = Vec::new();
        let name = ours.iter().find(|name| new.get(&[name]).is_some()).copied().unwrap_or_default();
        if let Some((old, figure)) = old.as_ref().and_then(|old| Some((old, old.get(ours)?))) {
            bands.push(Band {
                label: format!("old {}", old.part),
                value: figure.value,
                fill: Fill::Old,
            });
        }
        bands.push(Band {
            label: format!("new {}", new.part),
            value: offered.value,
            fill: Fill::New,
        });
        if let Some(value) = there.new {
            bands.push(Band { label: format!("seat: {}", there.feature), value, fill: Fill::Seat });
        }
        if let Some(reading) = &there.reading {
            bands.push(Band {
                label: format!("measured {}", reading.date),
                value: reading.value,
                fill: Fill::Seat,
            });
        }
        let limit = |name: &str, limit: Decimal| (format!("{name} {}", plain(limit)), limit);
        let mut limits = Vec::new();
        limits.extend(there.least.map(|least| limit("least", least.low)));
        limits.extend(there.most.map(|most| limit("most", most.high)));
        let title = format!("{name} of the part, {} of the seat", there.feature);
        panels.push(Panel { title, bands, limits });
    }
    panels
}

/// The section of a ring beside the depth that follows from the diameters of its gland, where none is typed.
fn derived_depth(new: &PartSizes, old: Option<&PartSizes>, seat: &SeatSizes) -> Option<Panel> {
    if new.kind != "o-ring" || seat.known(&["groove depth", "gland depth"]).is_some() {
        return None;
    }
    let depth = o_ring::depth(seat)?.figure;
    let section = |part: &PartSizes| part.get(&["section"]).map(|section| section.value);
    let band = |part: &PartSizes, word: &str, fill| {
        section(part).map(|value| Band { label: format!("{word} {}", part.part), value, fill })
    };
    let mut bands: Vec<Band> =
        old.and_then(|old| band(old, "old", Fill::Old)).into_iter().collect();
    bands.push(band(new, "new", Fill::New)?);
    bands.push(Band {
        label: "seat: groove depth".to_owned(),
        value: depth.value,
        fill: Fill::Seat,
    });
    Some(Panel {
        title: format!("section of the part, groove depth {}", depth.from),
        bands,
        limits: Vec::new(),
    })
}

const WIDTH: f64 = 760.0;
const LEFT: f64 = 190.0;
const RIGHT: f64 = 30.0;
const ROW: f64 = 26.0;
/// How much room the name of a limit takes.
const LABEL: f64 = 90.0;

/// Draws panels; each has a scale of its own, which is marked under it.
pub fn svg(title: &str, panels: &[Panel]) -> String {
    let height: f64 = 60.0 + panels.iter().map(panel_height).sum::<f64>();
    let mut out = String::new();
    // Writing to a string cannot fail.
    let _ = write!(
        out,
        "<svg xmlns=\"http://www.w3.org/2000/svg\" width=\"{WIDTH}\" height=\"{height}\" viewBox=\"0 0 {WIDTH} {height}\" font-family=\"sans-serif\" font-size=\"12\">\n\
         <defs>\n\
         <pattern id=\"old\" width=\"6\" height=\"6\" patternUnits=\"userSpaceOnUse\"><path d=\"M0 6L6 0\" stroke=\"black\"/></pattern>\n\
         <pattern id=\"new\" width=\"6\" height=\"6\" patternUnits=\"userSpaceOnUse\"><path d=\"M0 0L6 6M0 6L6 0\" stroke=\"black\"/></pattern>\n\
         <pattern id=\"seat\" width=\"5\" height=\"5\" patternUnits=\"userSpaceOnUse\"><circle cx=\"2\" cy=\"2\" r=\"1\"/></pattern>\n\
         </defs>\n\
         <rect width=\"100%\" height=\"100%\" fill=\"white\"/>\n\
         <text x=\"10\" y=\"22\" font-size=\"15\">{}</text>\n",
        escaped(title)
    );
    let mut top = 40.0;
    for panel in panels {
        draw(panel, top, &mut out);
        top += panel_height(panel);
    }
    let _ = writeln!(
        out,
        "<text x=\"10\" y=\"{:.1}\">A guide only: what the maker's manual says comes first.</text>\n</svg>",
        height - 8.0
    );
    out
}

fn panel_height(panel: &Panel) -> f64 {
    ROW * panel.bands.len() as f64 + 80.0
}

fn draw(panel: &Panel, top: f64, out: &mut String) {
    let ends = panel.bands.iter().flat_map(|band| [band.value.low, band.value.high]);
    let ends: Vec<f64> = ends
        .chain(panel.limits.iter().map(|limit| limit.1))
        .filter_map(|end| end.to_f64())
        .collect();
    let low = ends.iter().copied().fold(f64::INFINITY, f64::min);
    let high = ends.iter().copied().fold(f64::NEG_INFINITY, f64::max);
    if !low.is_finite() || !high.is_finite() {
        return;
    }
    let margin = ((high - low) * 0.08).max(0.005);
    let (low, high) = (low - margin, high + margin);
    let across = |value: f64| LEFT + (value - low) / (high - low) * (WIDTH - LEFT - RIGHT);
    let _ = writeln!(
        out,
        "<text x=\"10\" y=\"{:.1}\" font-weight=\"bold\">{}</text>",
        top + 16.0,
        escaped(&panel.title)
    );
    let bands_top = top + 38.0;
    let bottom = bands_top + ROW * panel.bands.len() as f64;
    // The limits first, so that no line goes through a figure.
    let places: Vec<f64> =
        panel.limits.iter().filter_map(|(_, value)| value.to_f64()).map(across).collect();
    for (name, value) in &panel.limits {
        let Some(value) = value.to_f64() else { continue };
        let x = across(value);
        // Names that would run into one another stand on either side of their lines.
        let anchor = match places.iter().find(|other| **other != x && (**other - x).abs() < LABEL) {
            Some(other) if *other > x => "end",
            Some(_) => "start",
            None => "middle",
        };
        let _ = writeln!(
            out,
            "<path d=\"M{x:.1} {:.1}V{bottom:.1}\" stroke=\"black\" stroke-dasharray=\"5 3\"/><text x=\"{x:.1}\" y=\"{:.1}\" text-anchor=\"{anchor}\" font-size=\"11\">{}</text>",
            bands_top - 4.0,
            bands_top - 8.0,
            escaped(name)
        );
    }
    for (index, band) in panel.bands.iter().enumerate() {
        let y = bands_top + ROW * index as f64;
        let (Some(from), Some(to)) = (band.value.low.to_f64(), band.value.high.to_f64()) else {
            continue;
        };
        let fill = match band.fill {
            Fill::Old => "old",
            Fill::New => "new",
            Fill::Seat => "seat",
        };
        let (x, width) = (across(from), across(to) - across(from));
        let _ =
            writeln!(out, "<text x=\"10\" y=\"{:.1}\">{}</text>", y + 14.0, escaped(&band.label));
        if width < 2.0 {
            // An exact size is a line with a mark on it.
            let _ = writeln!(
                out,
                "<path d=\"M{x:.1} {y:.1}v18\" stroke=\"black\" stroke-width=\"2\"/><circle cx=\"{x:.1}\" cy=\"{:.1}\" r=\"4\"/>",
                y + 9.0
            );
        } else {
            let _ = writeln!(
                out,
                "<rect x=\"{x:.1}\" y=\"{y:.1}\" width=\"{width:.1}\" height=\"18\" fill=\"url(#{fill})\" stroke=\"black\"/>"
            );
        }
        let text = super::judgement::shown(band.value, "mm");
        // The figure stands beside the band, on the side that has room.
        let (at, anchor) =
            if across(to) > WIDTH - 190.0 { (x - 6.0, "end") } else { (across(to) + 8.0, "start") };
        let _ = writeln!(
            out,
            "<text x=\"{at:.1}\" y=\"{:.1}\" text-anchor=\"{anchor}\" stroke=\"white\" stroke-width=\"4\" paint-order=\"stroke\">{}</text>",
            y + 14.0,
            escaped(&text)
        );
    }
    let step = nice((high - low) / 5.0);
    let (x, length) = (LEFT, step / (high - low) * (WIDTH - LEFT - RIGHT));
    let _ = writeln!(
        out,
        "<path d=\"M{x:.1} {y:.1}v-4v8v-4h{length:.1}v-4v8\" fill=\"none\" stroke=\"black\"/><text x=\"{:.1}\" y=\"{:.1}\" font-size=\"11\">{step} mm</text>",
        x + length + 6.0,
        bottom + 16.0,
        y = bottom + 12.0
    );
}

/// The largest of 1, 2 and 5 times a power of ten that is not more than a length.
fn nice(length: f64) -> f64 {
    let power = length.log10().floor();
    let unit = 10_f64.powf(power);
    let times = [5.0, 2.0, 1.0].into_iter().find(|times| times * unit <= length).unwrap_or(1.0);
    // A power of ten below one has no exact double; rounded to its own place it prints as one expects.
    let places = if power < 0.0 { 10_f64.powf(-power) } else { 1.0 };
    (times * unit * places).round() / places
}

fn escaped(text: &str) -> String {
    text.replace('&', "&amp;").replace('<', "&lt;").replace('>', "&gt;").replace('"', "&quot;")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn bands_are_drawn_to_one_scale_with_their_limits_and_escaped_names() {
        let at = |text: &str| text.parse::<Decimal>().unwrap();
        let band = |label: &str, low: &str, high: &str, fill| Band {
            label: label.to_owned(),
            value: Interval::new(at(low), at(low), at(high)),
            fill,
        };
        let panel = Panel {
            title: "section & depth".to_owned(),
            bands: vec![band("old <A>", "10", "12", Fill::Old), band("new", "11", "12", Fill::New)],
            limits: vec![("least 10.5".to_owned(), at("10.5"))],
        };
        let picture = svg("A \"B\"", &[panel]);
        assert!(picture.starts_with("<svg") && picture.trim_end().ends_with("</svg>"));
        assert!(
            picture.contains("section &amp; depth")
                && picture.contains("old &lt;A&gt;")
                && picture.contains("least 10.5")
        );
        let widths: Vec<f64> = picture
            .lines()
            .filter(|line| line.contains("url(#"))
            .map(|line| {
                line.split("width=\"").nth(1).unwrap().split('"').next().unwrap().parse().unwrap()
            })
            .collect();
        assert_eq!(widths.len(), 2);
        assert!((widths[0] - 2.0 * widths[1]).abs() < 0.3, "{widths:?}");
        assert!(!picture.contains("NaN") && !picture.contains("inf"));
    }

    #[test]
    fn the_names_of_two_limits_near_each_other_stand_on_either_side() {
        let at = |text: &str| text.parse::<Decimal>().unwrap();
        let drawn = |most: &str| {
            let band = Band {
                label: "new".to_owned(),
                value: Interval::new(at("10"), at("10"), at("12")),
                fill: Fill::New,
            };
            let limits = vec![("least".to_owned(), at("11")), ("most".to_owned(), at(most))];
            svg("A", &[Panel { title: "width".to_owned(), bands: vec![band], limits }])
        };
        let named = |picture: &str, anchor: &str, name: &str| {
            picture.lines().any(|line| {
                line.contains(&format!("text-anchor=\"{anchor}\" font-size=\"11\">{name}<"))
            })
        };
        let (near, apart) = (drawn("11.1"), drawn("11.9"));
        assert!(named(&near, "end", "least") && named(&near, "start", "most"), "{near}");
        assert!(named(&apart, "middle", "least") && named(&apart, "middle", "most"), "{apart}");
    }

    #[test]
    fn the_scale_is_marked_with_a_round_length() {
        for (length, round) in
            [(0.037, 0.02), (0.05, 0.05), (0.99, 0.5), (1.0, 1.0), (7.3, 5.0), (23.0, 20.0)]
        {
            assert!((nice(length) - round).abs() < 1e-12, "{length}");
        }
    }
}
