//! An O-ring in its groove: stretch, the section that stretch leaves, squeeze, how full the groove is, and the gap
//! that the ring could be pressed into.
//!
//! Reckoned for the nominal figures and for the worst cases that the tolerances allow. The groove is taken as concentric.

use super::Verdict;
use super::judgement::{Judgement, percent, shown, shown_to};
use super::sizes::{PartSizes, SeatSizes};
use super::standard::{Gland, GlandKind, glands};
use crate::measure::Interval;
use rust_decimal::{Decimal, MathematicalOps};

/// How an O-ring sits in its groove. Ratios are parts of one, lengths millimetres.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Seating {
    /// How the ring is squeezed.
    pub kind: GlandKind,
    /// How much longer the ring is made; less than zero where it is pushed together.
    pub stretch: Option<Interval>,
    /// The section that is left when it is stretched: its limits hold both ways of reckoning it, its nominal value is
    /// that of constant volume.
    pub section: Interval,
    /// How much of the section the groove takes away: its limits hold both ways of reckoning the section, its nominal
    /// value is that of constant volume.
    pub squeeze: Interval,
    /// The nominal squeeze by the measured loss of section, which is never more than the other.
    pub squeeze_as_measured: Decimal,
    /// How much of the groove the ring takes up; `None` where the width of the groove is not known.
    pub fill: Option<Interval>,
}

/// The greatest part of the groove that the ring may take up at its nominal size, in percent, so that it can swell and
/// grow warm. Source: common practice, no source.
const FILL_NOMINAL: u32 = 85;
/// The same at the worst of the tolerances. Source: common practice, no source.
const FILL_WORST: u32 = 95;
/// The greatest stretch in percent, nominal. Source: PyPI package bd-warehouse 0.4.0, on piston grooves: 1 to 5 percent.
const STRETCH: u32 = 5;
/// The greatest stretch at the worst of the tolerances, and the one beyond which no ring lasts, in percent. Source:
/// common practice, no source.
const STRETCH_WORST: (u32, u32) = (8, 15);
/// How far a ring may be pushed together along its length, in percent, nominal and worst. Source: common practice, no
/// source.
const COMPRESSION: (u32, u32) = (3, 5);
/// The squeeze in percent within which the worst cases must stay, for what stands still and for what slides.
/// Source: common practice, no source.
const SQUEEZE_WORST: [(u32, u32); 2] = [(8, 35), (6, 30)];
/// The squeeze in percent beyond which a ring is crushed. Source: common practice, no source.
const CRUSHED: u32 = 50;

/// Works out how a ring of an inside diameter and a section sits in a groove of a depth.
///
/// `carried` is the diameter that carries the ring's inside. There are two published ways to tell the section of a
/// stretched ring, and they are up to one and a half percent of it apart: the ring keeps its volume, so its section
/// shrinks by the root of what its length grows by (geometry: d·√((D+d)/(D'+d))), or a maker's measurements
/// ([`measured_loss`]), which leave less. The limits of section and squeeze hold both, so that no verdict rests on the
/// rosier one. How full the groove is, is reckoned with the free section, on the safe side. `None` where a figure is
/// zero or less, or has no bounds.
pub fn seating(
    kind: GlandKind,
    inside: Interval,
    section: Interval,
    depth: Interval,
    width: Option<Interval>,
    carried: Option<Interval>,
) -> Option<Seating> {
    let one = Interval::exactly(Decimal::ONE);
    let mut left = section;
    let mut measured = section.nominal;
    let mut stretch = None;
    if let Some(carried) = carried {
        let longer = carried.over(inside)?.minus(one)?;
        stretch = Some(longer);
        let ratio = inside.plus(section)?.over(carried.plus(section)?)?;
        // A ring that is larger than what carries it lies loose and keeps its section.
        let ratio =
            Interval::new(ratio.low.min(Decimal::ONE), ratio.nominal.min(Decimal::ONE), ratio.high.min(Decimal::ONE));
        left = section.times(ratio.square_root()?)?;
        let keeps = |longer: Decimal| Decimal::ONE - measured_loss(longer);
        let by_measurement =
            section.times(Interval::new(keeps(longer.high), keeps(longer.nominal), keeps(longer.low)))?;
        measured = by_measurement.nominal.min(left.nominal);
        left = Interval {
            low: left.low.min(by_measurement.low),
            nominal: left.nominal,
            high: left.high.max(by_measurement.high),
        };
    }
    let squeeze = one.minus(depth.over(left)?)?;
    let squeeze_as_measured = Decimal::ONE - depth.nominal.checked_div(measured)?;
    let fill = match width {
        Some(width) => {
            let quarter = Decimal::PI / Decimal::from(4);
            Some(section.times(section)?.scaled(quarter)?.over(depth.times(width)?)?)
        }
        None => None,
    };
    Some(Seating { kind, stretch, section: left, squeeze, squeeze_as_measured, fill })
}

/// The first percent of stretch in which the second of the two curves of [`measured_loss`] counts.
const SECOND_CURVE: Decimal = Decimal::from_parts(3, 0, 0, false, 0);
/// The stretch in percent to which the loss was measured; beyond it no ring is found to fit.
const MEASURED_TO: Decimal = Decimal::from_parts(25, 0, 0, false, 0);

/// Gives the part of its section that a ring loses when its inside diameter is stretched, as measured; both as parts
/// of one.
///
/// With x the stretch in percent, the loss in percent is -0.005 + 1.19·x - 0.19·x² - 0.001·x³ + 0.008·x⁴ up to 3, and
/// 0.56 + 0.59·x - 0.0046·x² from there to 25. The second begins a little below the end of the first; until it has
/// come up to it, that end counts, so that more stretch never leaves more section. Zero for a ring that is not
/// stretched, and the loss at 25 percent for one that is stretched further. Source: from memory: Parker O-Ring Handbook
/// ORD 5700, figure 3-3.
pub fn measured_loss(stretch: Decimal) -> Decimal {
    if stretch <= Decimal::ZERO {
        return Decimal::ZERO;
    }
    let percent = stretch.min(Decimal::ONE).saturating_mul(Decimal::ONE_HUNDRED).min(MEASURED_TO);
    let first = |x: Decimal| {
        let (square, cube) = (x * x, x * x * x);
        Decimal::new(119, 2) * x - Decimal::new(5, 3) - Decimal::new(19, 2) * square - Decimal::new(1, 3) * cube
            + Decimal::new(8, 3) * cube * x
    };
    let second = |x: Decimal| Decimal::new(56, 2) + Decimal::new(59, 2) * x - Decimal::new(46, 4) * x * x;
    let loss = if percent <= SECOND_CURVE { first(percent) } else { second(percent).max(first(SECOND_CURVE)) };
    loss.max(Decimal::ZERO) / Decimal::ONE_HUNDRED
}

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

/// Finds the published guidance for the section nearest to one.
pub fn guidance(kind: GlandKind, section: Decimal) -> Option<&'static Gland> {
    glands().iter().filter(|gland| gland.kind == kind).min_by_key(|gland| (gland.section - section).abs())
}

/// Judges an O-ring in a seat.
pub fn check(part: &PartSizes, seat: &SeatSizes, position: &str) -> Judgement {
    let mut found = Judgement::new();
    let inside = part.get(&["inside diameter", "bore"]).map(|figure| figure.value);
    let Some(section) = part.get(&["section"]).map(|figure| figure.value) else {
        found.missing(format!("the section of {} (and its inside diameter)", part.part));
        return found;
    };
    found.judges(&["inside diameter", "bore", "section"]);
    let kind = kind(seat);
    let carrier = carrier(seat);
    let Some(depth) = depth(seat) else {
        found.missing(format!("the groove depth at {position}"));
        return found;
    };
    if inside.is_none() {
        found.missing(format!("the inside diameter of {}", part.part));
    }
    let width = seat.get(&["groove width"]).map(|figure| figure.value);
    if width.is_none() {
        found.missing(format!("the groove width at {position}"));
    }
    if carrier.is_none() {
        found.missing(format!("the groove's inside diameter at {position}"));
    }
    // Without its inside diameter the ring is taken as not stretched.
    let carried = carrier.filter(|_| inside.is_some());
    let Some(seating) = seating(kind, inside.unwrap_or(section), section, depth, width, carried) else {
        found.missing(format!("the groove at {position}: its figures leave no room for a ring"));
        return found;
    };
    judge(&seating, section, &mut found);
    outer_side(part, seat, kind, width, &mut found);
    gap(seat, kind, section, &mut found);
    found
}

fn hundred(figure: Interval) -> Interval {
    figure.scaled(Decimal::ONE_HUNDRED).unwrap_or(figure)
}

/// Judges squeeze, fill and stretch against the guidance.
pub(super) fn judge(seating: &Seating, section: Interval, found: &mut Judgement) {
    let whole = |value: u32| Decimal::from(value);
    let squeeze = hundred(seating.squeeze);
    let as_measured = seating.squeeze_as_measured * Decimal::ONE_HUNDRED;
    found.number("squeeze_percent", squeeze, 1);
    if as_measured != squeeze.nominal {
        found.number("squeeze_percent_as_measured", Interval::exactly(as_measured), 1);
    }
    found.compared = true;
    if let Some(guide) = guidance(seating.kind, section.nominal) {
        let (least, most) = guide.squeeze;
        let (floor, ceiling) = SQUEEZE_WORST[usize::from(seating.kind == GlandKind::Dynamic)];
        let wanted = format!("guidance for {} glands {least} to {most} %", seating.kind.as_str());
        let text = format!("squeeze {}", percent_from(as_measured, squeeze));
        if squeeze.high <= Decimal::ZERO {
            found.no(format!("{text}: it does not touch the far side"));
        } else if squeeze.low > whole(CRUSHED) {
            found.no(format!("{text}: it would be crushed ({wanted})"));
        } else if as_measured < least || squeeze.nominal > most {
            let how = if as_measured < least { "too little" } else { "too much" };
            found.doubt(format!("{text}, {how} ({wanted})"));
        } else if squeeze.low < whole(floor) || squeeze.high > whole(ceiling) {
            found.doubt(format!("{text}: at the worst of the tolerances outside {floor} to {ceiling} % ({wanted})"));
        } else {
            found.good(format!("{text} ({wanted})"));
        }
    }
    if let Some(fill) = seating.fill.map(hundred) {
        found.number("fill_percent", fill, 1);
        let text = format!("it fills {} of the groove", percent(fill));
        if fill.low > Decimal::ONE_HUNDRED {
            found.no(format!("{text}: more than there is, and rubber does not give way"));
        } else if fill.nominal > whole(FILL_NOMINAL) || fill.high > whole(FILL_WORST) {
            found.doubt(format!(
                "{text}, tight: no more than {FILL_NOMINAL} %, and {FILL_WORST} % at worst, leaves room to swell"
            ));
        } else {
            found.good(text);
        }
    }
    if let Some(stretch) = seating.stretch.map(hundred) {
        found.number("stretch_percent", stretch, 1);
        found.number("section_reduced_mm", seating.section, 3);
        let loose = seating.kind == GlandKind::Axial;
        let mut text =
            format!("stretched by {} % ({} to {})", show(stretch.nominal), show(stretch.low), show(stretch.high));
        if stretch.nominal > Decimal::ZERO {
            let thinner = seating.squeeze_as_measured != seating.squeeze.nominal;
            text.push_str(&format!(", leaving {} of section", shown_to(seating.section, "mm", 2)));
            text.push_str(if thinner { " (by geometry and as measured)" } else { "" });
        }
        if stretch.low > whole(STRETCH_WORST.1) {
            found.no(format!("{text}: no ring lasts at more than {} %", STRETCH_WORST.1));
        } else if !loose && stretch.high < -whole(COMPRESSION.1) {
            found.no(format!("{text}: it is far too large for what carries it"));
        } else if stretch.nominal > whole(STRETCH) || stretch.high > whole(STRETCH_WORST.0) {
            found.doubt(format!("{text}, more than {STRETCH} %"));
        } else if !loose && (stretch.nominal < -whole(COMPRESSION.0) || stretch.low < -whole(COMPRESSION.1)) {
            found.doubt(format!("{text}: it lies loose and may be pinched"));
        } else {
            found.good(text);
        }
    }
}

/// Shows the squeeze in whole percent, nominally by either way of reckoning the section, with its worst cases:
/// `20 to 21 % (15 to 26)`.
fn percent_from(as_measured: Decimal, squeeze: Interval) -> String {
    let whole = |value: Decimal| crate::measure::plain(value.round_dp(0));
    let shown = percent(squeeze);
    if whole(as_measured) == whole(squeeze.nominal) { shown } else { format!("{} to {shown}", whole(as_measured)) }
}

fn show(value: Decimal) -> String {
    crate::measure::plain(value.round_dp(1))
}

/// A seat may say its kind by a row without a size (`dynamic gland`); otherwise a rod makes it dynamic, a bore radial.
fn kind(seat: &SeatSizes) -> GlandKind {
    let says = |kind: GlandKind| seat.feature(&[&format!("{} gland", kind.as_str())]).is_some();
    let told = [GlandKind::Dynamic, GlandKind::Radial, GlandKind::Axial].into_iter().find(|kind| says(*kind));
    told.unwrap_or_else(|| {
        if seat.feature(&["rod diameter"]).is_some() {
            GlandKind::Dynamic
        } else if seat.feature(&["bore"]).is_some() {
            GlandKind::Radial
        } else {
            GlandKind::Axial
        }
    })
}

fn carrier(seat: &SeatSizes) -> Option<Interval> {
    seat.get(&["groove inside diameter", "rod diameter"]).map(|figure| figure.value)
}

/// The depth from the bottom of the groove to the far side: as given, else from the diameters on either side.
fn depth(seat: &SeatSizes) -> Option<Interval> {
    if let Some(depth) = seat.get(&["groove depth", "gland depth"]) {
        return Some(depth.value);
    }
    let half = Decimal::ONE / Decimal::TWO;
    let value = |names: &[&str]| seat.get(names).map(|figure| figure.value);
    let (outer, inner) = match value(&["bore"]).zip(value(&["groove inside diameter"])) {
        Some(pair) => pair,
        None => value(&["groove outside diameter"]).zip(value(&["rod diameter"]))?,
    };
    outer.minus(inner)?.scaled(half)
}

/// A ring that is too large for the outer wall of a face groove is pushed together and buckles.
fn outer_side(part: &PartSizes, seat: &SeatSizes, kind: GlandKind, width: Option<Interval>, found: &mut Judgement) {
    if kind != GlandKind::Axial {
        return;
    }
    let value = |names: &[&str]| seat.get(names).map(|figure| figure.value);
    let wall = value(&["groove outside diameter"]).or_else(|| {
        let inside = value(&["groove inside diameter"])?;
        inside.plus(width?.scaled(Decimal::TWO)?)
    });
    let ring = part.get(&["inside diameter", "bore"]).zip(part.get(&["section"]));
    let ring = ring.and_then(|(inside, section)| inside.value.plus(section.value.scaled(Decimal::TWO)?));
    let (Some(wall), Some(ring)) = (wall, ring) else { return };
    let Some(pushed) = ring.minus(wall).and_then(|over| over.over(ring)).map(hundred) else { return };
    let text = || format!("{} across outside in a groove of {}", shown(ring, "mm"), shown(wall, "mm"));
    if pushed.low > Decimal::from(COMPRESSION.1) {
        found.no(format!("{}: too large to lie in it", text()));
    } else if pushed.nominal > Decimal::from(COMPRESSION.0) || pushed.high > Decimal::from(COMPRESSION.1) {
        found.doubt(format!("{}: it may buckle", text()));
    }
}

/// The gap that pressure can push the ring into, across the diameter.
fn gap(seat: &SeatSizes, kind: GlandKind, section: Interval, found: &mut Judgement) {
    let value = |names: &[&str]| seat.get(names).map(|figure| figure.value);
    let given = seat.figure(&["extrusion gap"]).map(|figure| figure.value);
    let bore = value(&["bore", "groove land bore"]);
    let inner = value(&["spigot diameter", "piston diameter", "plug diameter"]);
    let Some(gap) = given.or_else(|| bore?.minus(inner?)) else { return };
    let Some(guide) = guidance(kind, section.nominal) else { return };
    found.number("gap_mm", gap, 3);
    let text = format!("gap across the diameter {}", shown(gap, "mm"));
    if gap.high <= guide.clearance {
        found.good(format!("{text}, at most {} mm", guide.clearance));
    } else {
        found.doubt(format!("{text}, more than {} mm: pressure may push the ring into it", guide.clearance));
    }
}

impl Seating {
    /// Gives the verdict that the guidance leads to, for a ring of a free section.
    pub fn verdict(&self, section: Interval) -> Verdict {
        let mut found = Judgement::new();
        judge(self, section, &mut found);
        found.verdict
    }
}
