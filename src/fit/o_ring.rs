//! An O-ring in its groove: stretch, the section that stretch leaves, squeeze, how full the groove is, and the gap
//! that the ring could be pressed into.
//!
//! Reckoned for the nominal figures and for the worst cases that the tolerances allow; a range has no nominal figure, so
//! all of it has to do. The groove is taken as concentric.

use super::Verdict;
use super::judgement::{Judgement, percent, shown, shown_to};
use super::sizes::{Figure, PartSizes, SeatFigure, SeatSizes};
use super::standard::{Gland, GlandKind, glands};
use crate::measure::{Interval, Key};
use rust_decimal::Decimal;

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
/// The least part of the groove that the ring is to take up at its nominal size, in percent: in a wider groove it can
/// roll and be pumped to and fro. Source: common practice, no source.
const FILL_LEAST: u32 = 50;
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
        let ratio = Interval::new(
            ratio.low.min(Decimal::ONE),
            ratio.nominal.min(Decimal::ONE),
            ratio.high.min(Decimal::ONE),
        );
        left = section.times(ratio.square_root()?)?;
        let keeps = |longer: Decimal| Decimal::ONE - measured_loss(longer);
        let by_measurement = section.times(Interval::new(
            keeps(longer.high),
            keeps(longer.nominal),
            keeps(longer.low),
        ))?;
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
        Decimal::new(119, 2) * x
            - Decimal::new(5, 3)
            - Decimal::new(19, 2) * square
            - Decimal::new(1, 3) * cube
            + Decimal::new(8, 3) * cube * x
    };
    let second =
        |x: Decimal| Decimal::new(56, 2) + Decimal::new(59, 2) * x - Decimal::new(46, 4) * x * x;
    let loss = if percent <= SECOND_CURVE {
        first(percent)
    } else {
        second(percent).max(first(SECOND_CURVE))
    };
    loss.max(Decimal::ZERO) / Decimal::ONE_HUNDRED
}

/// Finds the published guidance for the section nearest to one.
pub fn guidance(kind: GlandKind, section: Decimal) -> Option<&'static Gland> {
    glands()
        .iter()
        .filter(|gland| gland.kind == kind)
        .min_by_key(|gland| (gland.section - section).abs())
}

/// Judges an O-ring in a seat.
pub fn check(part: &PartSizes, seat: &SeatSizes, position: &str) -> Judgement {
    let mut found = Judgement::new();
    let inside = part.get(&["inside diameter", "bore"]);
    let Some(section) = part.get(&["section"]) else {
        found.missing(format!("the section of {} (and its inside diameter)", part.part));
        return found;
    };
    found.judges(&["inside diameter", "bore", "section"]);
    let kinds = kinds(seat);
    let carrier = carrier(seat);
    let Some(depth) = depth(seat) else {
        found.missing(format!("the groove depth at {position}"));
        return found;
    };
    depth.tell(position, &mut found);
    if inside.is_none() {
        found.missing(format!("the inside diameter of {}", part.part));
    }
    let width = seat.get(&["groove width"]);
    if width.is_none() {
        found.missing(format!("the groove width at {position}"));
    }
    if carrier.is_none() {
        found.missing(format!("the groove's inside diameter at {position}"));
    }
    let of = |take: fn(&Figure) -> Interval| {
        // Without its inside diameter the ring is taken as not stretched.
        let carried = carrier.filter(|_| inside.is_some()).map(take);
        let ring = inside.map_or(take(section), take);
        seating(*kinds.first()?, ring, take(section), take(&depth.figure), width.map(take), carried)
    };
    let (Some(worst), Some(meant)) = (of(|figure| figure.value), of(Figure::meant)) else {
        found.missing(format!("the groove at {position}: its figures leave no room for a ring"));
        return found;
    };
    let one_will_do = judge(&worst, &meant, &kinds, section.meant(), &mut found);
    let flat = outer_side(part, seat, &kinds, &mut found);
    if kinds.len() > 1 && (one_will_do || flat) && found.verdict != Verdict::DoesNotFit {
        let names: Vec<&str> = kinds.iter().map(|kind| kind.as_str()).collect();
        let names = names.join(" or ");
        found.missing(format!(
            "whether the gland at {position} is {names} (a row such as \"axial gland\" in seats)"
        ));
    }
    gap(seat, &kinds, section.meant(), position, &mut found);
    found
}

fn hundred(figure: Interval) -> Interval {
    figure.scaled(Decimal::ONE_HUNDRED).unwrap_or(figure)
}

/// Judges squeeze, fill and stretch against the guidance for every kind of gland that it may be; tells whether a doubt
/// lies only in which of them it is.
fn judge(
    worst: &Seating,
    meant: &Seating,
    kinds: &[GlandKind],
    section: Interval,
    found: &mut Judgement,
) -> bool {
    let whole = |value: u32| Decimal::from(value);
    let squeeze = hundred(worst.squeeze);
    let as_measured = worst.squeeze_as_measured * Decimal::ONE_HUNDRED;
    found.number("squeeze_percent", squeeze, 1);
    if as_measured != squeeze.nominal {
        found.number("squeeze_percent_as_measured", Interval::exactly(as_measured), 1);
    }
    found.compared = true;
    let of_kind = |section: Decimal| {
        kinds.iter().filter_map(move |kind| guidance(*kind, section)).collect::<Vec<_>>()
    };
    let guides = of_kind(section.low);
    let meant_squeeze = hundred(meant.squeeze);
    let suits = |guide: &&Gland| {
        meant_squeeze.low >= guide.squeeze.0 && meant_squeeze.high <= guide.squeeze.1
    };
    let all_suit = guides.iter().all(suits);
    if !guides.is_empty() {
        let slides = kinds.contains(&GlandKind::Dynamic);
        let (floor, ceiling) = SQUEEZE_WORST[usize::from(slides)];
        let wanted: Vec<String> = guides
            .iter()
            .map(|guide| {
                format!(
                    "{} glands {} to {} %",
                    guide.kind.as_str(),
                    guide.squeeze.0,
                    guide.squeeze.1
                )
            })
            .collect();
        let wanted = format!("guidance for {}", wanted.join(", "));
        let text = format!("squeeze {}", percent(meant_squeeze, squeeze, 0));
        if squeeze.high <= Decimal::ZERO {
            found.no(format!("{text}: it does not touch the far side"));
        } else if squeeze.low > whole(CRUSHED) {
            found.no(format!("{text}: it would be crushed ({wanted})"));
        } else if guides != of_kind(section.high) {
            found.doubt(format!(
                "{text}: the section lies between those of two glands ({wanted} for the smaller)"
            ));
        } else if !all_suit {
            let little = guides.iter().any(|guide| meant_squeeze.low < guide.squeeze.0);
            let text =
                format!("{text}, {} ({wanted})", if little { "too little" } else { "too much" });
            let out = |guide: &Gland| {
                meant_squeeze.high < guide.squeeze.0 || meant_squeeze.low > guide.squeeze.1
            };
            if guides.iter().all(|guide| out(guide)) {
                found.outside(text);
            } else {
                found.doubt(text);
            }
        } else if squeeze.low < whole(floor) || squeeze.high > whole(ceiling) {
            found.doubt(format!(
                "{text}: at the worst of the tolerances outside {floor} to {ceiling} % ({wanted})"
            ));
        } else {
            found.good(format!("{text} ({wanted})"));
        }
    }
    if let (Some(fill), Some(meant)) = (worst.fill.map(hundred), meant.fill.map(hundred)) {
        found.number("fill_percent", fill, 1);
        let text = format!("it fills {} of the groove", percent(meant, fill, 0));
        if fill.low > Decimal::ONE_HUNDRED {
            found.no(format!("{text}: more than there is, and rubber does not give way"));
        } else if meant.high > whole(FILL_NOMINAL) || fill.high > whole(FILL_WORST) {
            found.not_within(meant, (None, Some(whole(FILL_NOMINAL))), format!(
                "{text}, tight: no more than {FILL_NOMINAL} %, and {FILL_WORST} % at worst, leaves room to swell"
            ));
        } else if meant.low < whole(FILL_LEAST) {
            found.not_within(meant, (Some(whole(FILL_LEAST)), None), format!(
                "{text}, loose: below {FILL_LEAST} % it can roll and be pumped to and fro (common practice, no source)"
            ));
        } else {
            found.good(text);
        }
    }
    if let (Some(stretch), Some(meant)) = (worst.stretch.map(hundred), meant.stretch.map(hundred)) {
        found.number("stretch_percent", stretch, 1);
        found.number("section_reduced_mm", worst.section, 3);
        let flat = kinds.contains(&GlandKind::Axial);
        let round = kinds.iter().any(|kind| *kind != GlandKind::Axial);
        let mut text = format!("stretched by {}", percent(meant, stretch, 1));
        if meant.high > Decimal::ZERO {
            let thinner = worst.squeeze_as_measured != worst.squeeze.nominal;
            text.push_str(&format!(", leaving {} of section", shown_to(worst.section, "mm", 2)));
            text.push_str(if thinner { " (by geometry and as measured)" } else { "" });
        }
        if stretch.low > whole(STRETCH_WORST.1) {
            found.no(format!("{text}: no ring lasts at more than {} %", STRETCH_WORST.1));
        } else if !flat && stretch.high < -whole(COMPRESSION.1) {
            found.no(format!("{text}: it is far too large for what carries it"));
        } else if meant.high > whole(STRETCH) || stretch.high > whole(STRETCH_WORST.0) {
            let most = (None, Some(whole(STRETCH)));
            found.not_within(meant, most, format!("{text}, more than {STRETCH} %"));
        } else if round
            && (meant.low < -whole(COMPRESSION.0) || stretch.low < -whole(COMPRESSION.1))
        {
            found.doubt(format!("{text}: it lies loose and may be pinched"));
            return flat;
        } else {
            found.good(text);
        }
    }
    !all_suit && guides.iter().any(suits)
}

/// The kinds of gland that a seat may be. It says so by a row without a size (`dynamic gland`); otherwise a rod makes it
/// dynamic and a bore radial. Of one that says nothing no more is known than that nothing is said to move in it.
fn kinds(seat: &SeatSizes) -> Vec<GlandKind> {
    let says = |names: &[&str]| seat.feature(names).is_some();
    let still = says(&["static gland", "static"]);
    if says(&["dynamic gland", "dynamic"]) {
        vec![GlandKind::Dynamic]
    } else if says(&["radial gland"]) {
        vec![GlandKind::Radial]
    } else if says(&["axial gland", "face gland"]) {
        vec![GlandKind::Axial]
    } else if says(&["piston gland", "rod gland"]) {
        // A piston or a rod may stand still, too.
        if still { vec![GlandKind::Radial] } else { vec![GlandKind::Radial, GlandKind::Dynamic] }
    } else if says(&["rod diameter"]) && !still {
        vec![GlandKind::Dynamic]
    } else if says(&["bore", "rod diameter"]) {
        vec![GlandKind::Radial]
    } else {
        vec![GlandKind::Radial, GlandKind::Axial]
    }
}

fn carrier(seat: &SeatSizes) -> Option<&Figure> {
    seat.get(&["groove inside diameter", "rod diameter"])
}

/// How deep a gland is, from the bottom of the groove to the far side.
pub(super) struct Depth {
    /// The depth that is reckoned with.
    pub figure: Figure,
    /// The depth that it takes the place of, or that it is at odds with.
    other: Option<Figure>,
    /// Neither is newer than the other.
    disputed: bool,
    /// The feature of the seat that was not reckoned with.
    aside: Option<Key>,
}

impl Depth {
    fn tell(&self, position: &str, found: &mut Judgement) {
        if let Some(aside) = &self.aside {
            found.set_aside(aside);
        }
        let Some(other) = &self.other else { return };
        let told = |figure: &Figure| format!("{} ({})", shown(figure.value, "mm"), figure.from);
        if self.disputed {
            found.doubt(format!("two depths of the groove that are at odds: {}", other.from));
            found.missing(format!(
                "the groove depth at {position}: the one typed and the diameters disagree"
            ));
        } else {
            found.good(format!("groove depth {} instead of {}", told(&self.figure), told(other)));
        }
    }
}

/// The diameters on either side of a gland, the outer one first.
const SIDES: [(&str, &str); 2] =
    [("bore", "groove inside diameter"), ("groove outside diameter", "rod diameter")];

/// Tells the depth as typed and from the diameters on either side. What this machine's later readings say counts; of two
/// that disagree and are equally old, all that lies between.
pub(super) fn depth(seat: &SeatSizes) -> Option<Depth> {
    let date = |feature: &SeatFigure| feature.reading.as_ref().map(|reading| reading.date.clone());
    let plain = |figure: Figure| Depth { figure, other: None, disputed: false, aside: None };
    let feature = seat.known(&["groove depth", "gland depth"]);
    let typed = feature.and_then(|feature| Some((feature.size.clone()?, date(feature))));
    let reckoned = SIDES.iter().find_map(|(outer, inner)| {
        let (outside, inside) = (seat.known(&[outer])?, seat.known(&[inner])?);
        let (over, under) = (outside.size.as_ref()?, inside.size.as_ref()?);
        let value = over.value.minus(under.value)?.scaled(Decimal::ONE / Decimal::TWO)?;
        let named = over.named.and(under.named).map(|_| value.nominal);
        let read = [outside, inside].into_iter().filter(|side| side.reading.is_some());
        let read: Vec<String> = read.map(|side| format!(", {} measured", side.feature)).collect();
        let from = format!("from {outer} and {inner}{}", read.concat());
        Some((Figure { value, named, from }, date(outside).max(date(inside))))
    });
    let (typed, typed_on, reckoned, reckoned_on) = match (typed, reckoned) {
        (Some((typed, on)), Some((reckoned, then))) => (typed, on, reckoned, then),
        (one, other) => return one.or(other).map(|(figure, _)| plain(figure)),
    };
    let apart = typed.value.high < reckoned.value.low || reckoned.value.high < typed.value.low;
    if reckoned_on > typed_on {
        let aside = feature.map(|feature| feature.feature.clone());
        return Some(Depth {
            figure: reckoned,
            other: apart.then_some(typed),
            disputed: false,
            aside,
        });
    }
    if typed_on > reckoned_on || !apart {
        return Some(Depth {
            figure: typed,
            other: Some(reckoned).filter(|_| apart),
            disputed: false,
            aside: None,
        });
    }
    let (low, high) =
        (typed.value.low.min(reckoned.value.low), typed.value.high.max(reckoned.value.high));
    let told = |figure: &Figure| format!("{} ({})", shown(figure.value, "mm"), figure.from);
    let from = format!("{} and {}", told(&typed), told(&reckoned));
    let both = Interval::new(low, typed.value.nominal, high);
    let other = Figure { value: reckoned.value, named: None, from };
    Some(Depth {
        figure: Figure { value: both, named: None, from: String::new() },
        other: Some(other),
        disputed: true,
        aside: None,
    })
}

/// A ring that is too large for the outer wall of a face groove is pushed together and buckles; tells whether that is a
/// doubt only because the gland may be another.
fn outer_side(
    part: &PartSizes,
    seat: &SeatSizes,
    kinds: &[GlandKind],
    found: &mut Judgement,
) -> bool {
    if !kinds.contains(&GlandKind::Axial) {
        return false;
    }
    let across = |take: fn(&Figure) -> Interval| {
        let value = |names: &[&str]| seat.get(names).map(take);
        let wall = value(&["groove outside diameter"]).or_else(|| {
            let inside = value(&["groove inside diameter"])?;
            inside.plus(value(&["groove width"])?.scaled(Decimal::TWO)?)
        })?;
        let (inside, section) =
            part.get(&["inside diameter", "bore"]).zip(part.get(&["section"]))?;
        let ring = take(inside).plus(take(section).scaled(Decimal::TWO)?)?;
        let pushed = hundred(ring.minus(wall)?.over(ring)?);
        Some((ring, wall, pushed))
    };
    let (Some((ring, wall, pushed)), Some((_, _, meant))) =
        (across(|figure| figure.value), across(Figure::meant))
    else {
        return false;
    };
    let text = format!("{} across outside in a groove of {}", shown(ring, "mm"), shown(wall, "mm"));
    let surely = kinds == [GlandKind::Axial];
    if pushed.low > Decimal::from(COMPRESSION.1) && surely {
        found.no(format!("{text}: too large to lie in it"));
    } else if meant.high > Decimal::from(COMPRESSION.0)
        || pushed.high > Decimal::from(COMPRESSION.1)
    {
        found.doubt(format!("{text}: it may buckle"));
        return !surely;
    }
    false
}

/// The gap that pressure can push the ring into, across the diameter.
fn gap(
    seat: &SeatSizes,
    kinds: &[GlandKind],
    section: Interval,
    position: &str,
    found: &mut Judgement,
) {
    let value = |names: &[&str]| seat.get(names).map(|figure| figure.value);
    let given = seat.figure(&["extrusion gap"]).map(|figure| figure.value);
    let bore = value(&["bore", "groove land bore"]);
    let inner = value(&["spigot diameter", "piston diameter", "plug diameter"]);
    let Some(gap) = given.or_else(|| bore?.minus(inner?)) else {
        // Two faces that meet leave none.
        if !kinds.contains(&GlandKind::Axial) {
            found.ask(format!(
                "the extrusion gap across the diameter at {position}, if the ring holds pressure"
            ));
        }
        return;
    };
    let guides = kinds
        .iter()
        .flat_map(|kind| [guidance(*kind, section.low), guidance(*kind, section.high)])
        .flatten();
    let Some(most) = guides.map(|guide| guide.clearance).min() else { return };
    found.number("gap_mm", gap, 3);
    let text = format!("gap across the diameter {}", shown(gap, "mm"));
    if gap.high <= most {
        found.good(format!("{text}, at most {most} mm"));
    } else {
        let text = format!("{text}, more than {most} mm: pressure may push the ring into it");
        found.not_within(gap, (None, Some(most)), text);
    }
}

impl Seating {
    /// Gives the verdict that the guidance leads to, for a ring of a free section.
    pub fn verdict(&self, section: Interval) -> Verdict {
        let mut found = Judgement::new();
        let nominal = |figure: Interval| Interval::exactly(figure.nominal);
        let meant = Seating {
            squeeze: Interval::new(
                self.squeeze_as_measured,
                self.squeeze.nominal,
                self.squeeze.nominal,
            ),
            fill: self.fill.map(nominal),
            stretch: self.stretch.map(nominal),
            ..*self
        };
        judge(self, &meant, &[self.kind], nominal(section), &mut found);
        found.verdict
    }
}
