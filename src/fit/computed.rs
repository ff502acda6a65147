//! What follows from the figures of a part and of its seat.

use super::compare::{Comparison, Stacking, apart, compare, of_the_other_hand, stacking};
use super::judgement::Judgement;
use super::judgement::shown;
use super::sizes::{PartSizes, SeatSizes};
use super::{
    Verdict, clip, gasket, key_and_pin, lip_seal, mating, o_ring, other_seal, thread, to_measure,
    washer,
};
use crate::catalog::{Applies, Lookup, PlaceQuantity, Position};
use crate::kit::{Bench, Place};
use crate::measure::{
    Interval, Key, PartNumber, Quantity, Unit, Wear, WearState, is_never_none, plain,
};
use rust_decimal::Decimal;
use serde::Serialize;

/// What was computed for a part at a position.
#[derive(Debug, Clone)]
pub struct Computed {
    /// What the figures say; `None` where there were none to compare.
    pub finding: Option<Judgement>,
    /// What the figures would say in the seats that other machines have there.
    pub elsewhere: Vec<Elsewhere>,
    /// The part beside the one that sits there or is listed.
    pub comparison: Option<Comparison>,
    /// What would settle it.
    pub measure: Vec<String>,
    /// What the part works in is worn past its limit on this machine, whatever part goes there.
    pub worn_out: bool,
    /// What the sizes alone say, whatever rubber, strength or hand the part has.
    pub sizes: Sizes,
}

impl Computed {
    /// The figures let the part in by no means.
    pub fn refuses(&self) -> bool {
        self.finding.as_ref().is_some_and(|finding| finding.verdict == Verdict::DoesNotFit)
    }
}

/// What the sizes of a part and of its seat say alone: never that it fits, for that takes a row.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Sizes {
    /// Every size that counts is known and within its limits or guidance.
    Agree,
    /// One of them is outside its limits or guidance.
    Disagree,
    /// One of them is not known, or lies on both sides of a limit.
    NotKnown,
}

impl Sizes {
    fn of(found: &Judgement) -> Self {
        match found.verdict {
            _ if !found.compared => Sizes::NotKnown,
            Verdict::Fits | Verdict::FitsWith => Sizes::Agree,
            Verdict::DoesNotFit => Sizes::Disagree,
            Verdict::NotKnown if found.outside > 0 => Sizes::Disagree,
            Verdict::NotKnown => Sizes::NotKnown,
        }
    }
}

/// What the figures would say in another machine's seat.
#[derive(Debug, Clone, Serialize)]
pub struct Elsewhere {
    /// The machines that have this seat.
    pub scope: String,
    /// What the figures say there.
    #[serde(flatten)]
    pub finding: Judgement,
}

/// A position on a machine, as what is offered for it is judged: its seat, and what sits there or is listed.
#[derive(Debug, Clone)]
pub struct Site {
    position: Key,
    /// The seat, then every other that it may be.
    seat: SeatSizes,
    others: Vec<SeatSizes>,
    /// What sits there, then what is or may be listed.
    olds: Vec<PartSizes>,
    many: Option<Decimal>,
}

/// What is to be said of a part in a seat.
#[derive(Debug, Clone, Serialize)]
pub struct InSeat {
    /// What can be said with what is known of rubber, strength and hand, and what it rests on.
    #[serde(flatten)]
    pub finding: Judgement,
    /// What the figures alone say.
    pub by_size: Verdict,
}

impl Site {
    /// Gathers what is known of a position.
    pub fn of(bench: &Bench, position: &Key) -> Self {
        Self::beside(bench, position, &[])
    }

    /// The same where parts go in at other positions, some of which the seat may be cut into.
    fn beside(bench: &Bench, position: &Key, going_in: &[(Key, PartNumber)]) -> Self {
        let mut seats = SeatSizes::possible(bench, position, going_in).into_iter();
        let place = bench.place(position);
        let may = |row: &&Position| row.scope.applies(&place.machine) != Applies::No;
        let listed = place.rows.iter().filter(may).filter_map(|row| row.part.part());
        let sitting = place.current.parts.iter().filter_map(|sitting| sitting.part.as_ref());
        let mut known: Vec<&PartNumber> = Vec::new();
        for number in
            sitting.chain(place.speaking.iter().filter_map(|row| row.part.part())).chain(listed)
        {
            if !known.contains(&number) {
                known.push(number);
            }
        }
        Site {
            position: position.clone(),
            seat: seats.next().unwrap_or_default(),
            others: seats.collect(),
            olds: known.into_iter().map(|old| PartSizes::of(old, bench.lookup)).collect(),
            many: how_many(&place),
        }
    }

    /// Makes a place of a seat of which nobody knows what sits there.
    pub fn of_seat(seat: SeatSizes, position: &Key) -> Self {
        Site { position: position.clone(), seat, others: Vec::new(), olds: Vec::new(), many: None }
    }

    /// Says what is to be said of a part there; `None` where there are no figures to compare. Another or an unknown
    /// rubber, property class or hand is never *fits*, whatever the figures say.
    pub fn judges(&self, part: &PartSizes, lookup: &dyn Lookup) -> Option<InSeat> {
        let by_size =
            check_beside(part, self.olds.first(), &self.seat, self.position.as_str()).verdict;
        let (finding, _) = self.finding(part, lookup, Verdict::NotKnown);
        finding.compared.then_some(InSeat { finding, by_size })
    }

    /// What the figures say of a part of which the tables say something, and what its sizes alone say.
    fn finding(&self, part: &PartSizes, lookup: &dyn Lookup, told: Verdict) -> (Judgement, Sizes) {
        let mut finding = self.judged_in(&self.seat, part);
        let first = finding.verdict;
        for other in &self.others {
            let otherwise = self.judged_in(other, part);
            if otherwise.verdict != first {
                let rows = other.instead.join(" and ");
                finding.unsettled(format!(
                    "{rows} may speak instead, and then: {}: {}",
                    otherwise.verdict,
                    otherwise.text()
                ));
                finding.missing(format!(
                    "which of the rows of seats for {} is this machine's",
                    self.position
                ));
                break;
            }
        }
        self.thread(part, told, &mut finding);
        let sizes = Sizes::of(&finding);
        if finding.compared {
            // The same part under another number is no other part.
            let same = lookup.equivalents_of(&part.part);
            let is = |number: &PartNumber| {
                *number == part.part
                    || same.iter().any(|row| row.part == *number || row.other == *number)
            };
            let is_known = self.olds.iter().any(|old| is(&old.part));
            likeness(part, &self.olds, &self.seat, is_known, &mut finding);
            provenance(part, &self.seat, &mut finding);
        }
        (finding, sizes)
    }

    /// A screw goes into the thread that the one before it came out of. Where the seat tells nothing of that thread,
    /// another one refuses the part, unless the tables let it in.
    fn thread(&self, part: &PartSizes, told: Verdict, found: &mut Judgement) {
        let Some(thread) = part.thread else { return };
        if self.seat.feature(&["thread diameter"]).is_some() || self.olds.is_empty() {
            return;
        }
        let mut others = Vec::new();
        for old in &self.olds {
            match old.thread {
                Some(was) if !was.goes_where(thread) => others.push(was.to_string()),
                _ => return,
            }
        }
        others.dedup();
        let text = format!("thread {thread} instead of {}", others.join(" or "));
        if told.is_yes() { found.outside(text) } else { found.no(text) }
    }

    fn judged_in(&self, seat: &SeatSizes, part: &PartSizes) -> Judgement {
        let mut finding = check_beside(part, self.olds.first(), seat, self.position.as_str());
        wear(part, seat, &mut finding);
        if finding.compared || stacking(&part.kind) == Some(Stacking::Within) {
            end_play(part, self.olds.first(), seat, self.many, &mut finding);
        }
        finding
    }
}

/// Computes whether a part goes into the seat at a position of a machine as it is when what is going in has gone in, where
/// the tables say so much of it.
pub fn compute(
    bench: &Bench,
    part: &PartNumber,
    position: &Key,
    going_in: &[(Key, PartNumber)],
    told: Verdict,
) -> Computed {
    let sizes = PartSizes::of(part, bench.lookup);
    let site = Site::beside(bench, position, going_in);
    let (mut finding, by_size) = site.finding(&sizes, bench.lookup, told);
    let worn_out = finding.worn_out;
    if !finding.compared && finding.measure.is_empty() {
        finding.measure =
            to_measure::list(&sizes, site.olds.first(), has_check(&sizes), position.as_str());
    }
    let measure = finding.measure.clone();
    let finding = finding.compared.then_some(finding);
    let elsewhere = SeatSizes::elsewhere(&bench.place(position).machine, position, bench.lookup);
    let elsewhere = elsewhere
        .into_iter()
        .map(|seat| {
            let mut finding = check_beside(&sizes, site.olds.first(), &seat, position.as_str());
            provenance(&sizes, &seat, &mut finding);
            Elsewhere { scope: seat.scope, finding }
        })
        .filter(|elsewhere| elsewhere.finding.compared)
        // A seat that differs in what does not count here is no other seat.
        .filter(|elsewhere| {
            finding.as_ref().is_none_or(|here| here.numbers != elsewhere.finding.numbers)
        })
        .collect();
    let comparison = site
        .olds
        .into_iter()
        .next()
        .filter(|old| old.part != *part)
        .and_then(|old| compare(&old, &sizes));
    Computed { finding, elsewhere, comparison, measure, worn_out, sizes: by_size }
}

/// Judges a part in a seat by the check for its type.
///
/// Where rows of the seat may not be for this machine, a no stands only if it follows from the others, and nothing fits.
pub fn check(part: &PartSizes, seat: &SeatSizes, position: &str) -> Judgement {
    check_beside(part, None, seat, position)
}

/// Judges a part in a seat by the check for its type, beside the part that sits there or is listed.
pub fn check_beside(
    part: &PartSizes,
    old: Option<&PartSizes>,
    seat: &SeatSizes,
    position: &str,
) -> Judgement {
    let mut found = by_type(part, old, seat, position);
    for unreadable in part.unreadable.iter().chain(&seat.unreadable) {
        found.doubt(unreadable.clone());
    }
    for feature in seat.features.iter().filter(|feature| is_never_none(&feature.feature)) {
        let Some(figure) = feature.size.as_ref().filter(|size| size.value.nominal <= Decimal::ZERO)
        else {
            continue;
        };
        found.compared = true;
        found.doubt(format!(
            "{} {} cannot be ({})",
            feature.feature,
            shown(figure.value, "mm"),
            figure.from
        ));
        let measure = format!("the {} at {position}", feature.feature);
        if !found.measure.contains(&measure) {
            found.missing(measure);
        }
    }
    // What stands on the bag and cannot be read is said even where nothing else is.
    found.compared |= !part.unreadable.is_empty();
    if seat.is_unsure() && found.compared {
        let text = "the seat's rows may not be for this machine, whose year, serial or traits are not filled in";
        if by_type(part, old, &seat.sure(), position).verdict == Verdict::DoesNotFit {
            found.doubt(text);
        } else {
            found.unsettled(text);
        }
    }
    found
}

fn by_type(
    part: &PartSizes,
    old: Option<&PartSizes>,
    seat: &SeatSizes,
    position: &str,
) -> Judgement {
    match part.kind.as_str() {
        "o-ring" => o_ring::check(part, seat, position),
        "shaft seal" => lip_seal::check(part, seat, position),
        "circlip" => clip::circlip(part, seat, position, false),
        "internal circlip" => clip::circlip(part, seat, position, true),
        "e-clip" => clip::e_clip(part, seat, position),
        "key" => key_and_pin::key(part, seat, position),
        "split pin" => key_and_pin::split_pin(part, seat, position),
        "sealing washer"
        | "bonded seal"
        | "plain washer"
        | "thrust washer"
        | "rubber-faced washer"
        | "spring washer" => washer::check(part, seat, position),
        "shim" => washer::shim(part, seat, position),
        kind if gasket::TYPES.contains(&kind) => gasket::check(part, seat, position),
        kind if other_seal::TYPES.contains(&kind) => other_seal::check(part, seat, position),
        _ if part.thread.is_some() => thread::check(part, seat, position),
        kind => {
            let mut found = mating::check(part, old, seat, kind, position);
            washer::thickness(part, seat, &mut found);
            found
        }
    }
}

/// Tells whether there is a check by figures for the type of a part.
fn has_check(part: &PartSizes) -> bool {
    // Every other check names what it lacks.
    mating::judges(&part.kind)
}

/// A part's own figures, which wear with the part and not with its seat.
const OWN: [&str; 7] =
    ["thickness", "length", "height", "width", "outside diameter", "inside diameter", "diameter"];

/// What a check rests on, so that its wear keeps any part of the size from doing its work there.
fn rests_on(kind: &str, feature: &Key) -> bool {
    let features: &[&str] = match kind {
        "shaft seal" => &["shaft diameter", "bore"],
        "o-ring" => &["groove depth", "gland depth", "rod diameter", "bore", "groove width"],
        "key" => &["keyway width"],
        "split pin" => &["hole diameter"],
        "circlip" | "internal circlip" | "e-clip" => {
            &["groove diameter", "groove width", "shaft diameter", "bore"]
        }
        kind if other_seal::TYPES.contains(&kind) => &[
            "groove depth",
            "gland depth",
            "groove width",
            "rod diameter",
            "shaft diameter",
            "bore",
        ],
        kind => mating::rests_on(kind),
    };
    features.contains(&feature.folded())
}

/// Says where the seat has worn past its limit on this machine.
fn wear(part: &PartSizes, seat: &SeatSizes, found: &mut Judgement) {
    for feature in &seat.features {
        let Some(reading) = &feature.reading else { continue };
        // The play is no wear of the seat: it is what the thickness of the washers leaves.
        if feature.feature.folded() == "end play" {
            continue;
        }
        let own = OWN.contains(&feature.feature.folded())
            && part.get(&[feature.feature.as_str()]).is_some();
        let (least, most) =
            (feature.least.map(|least| least.low), feature.most.map(|most| most.high));
        let Some(wear) = Wear::judge(reading.value, feature.new, least, most) else { continue };
        if own {
            continue;
        }
        let text = format!(
            "{} measured {} on {}, {wear} ({})",
            feature.feature, reading.typed, reading.date, feature.from
        );
        match wear.state {
            WearState::Beyond if !feature.sure => {
                found.doubt(format!("{text}, if that row is for this machine"));
            }
            // A reading that may lie on either side of its limit is not past it yet.
            WearState::Beyond if !is_surely_beyond(reading.value, least, most) => {
                found.compared = true;
                found.doubt(format!("{text}, or not yet: the reading is not fine enough"));
                found.missing(format!(
                    "the {} again, finer than {}",
                    feature.feature, reading.typed
                ));
            }
            WearState::Beyond if rests_on(&part.kind, &feature.feature) => {
                found.no(format!("{text}: no new part of this size cures that"));
                found.worn_out = true;
            }
            WearState::Beyond => {
                found.outside(format!(
                    "{text}: a new part goes in, but what it works in is worn out"
                ));
            }
            WearState::NearTheLimit => found.good(text),
            WearState::InLimits => {}
        }
    }
}

fn is_surely_beyond(reading: Interval, least: Option<Decimal>, most: Option<Decimal>) -> bool {
    least.is_some_and(|least| reading.high < least) || most.is_some_and(|most| reading.low > most)
}

/// How many of the part sit at the place; `None` where nobody has said in pieces.
fn how_many(place: &Place) -> Option<Decimal> {
    let logged = place
        .current
        .parts
        .first()
        .filter(|_| place.current.logged)
        .and_then(|sitting| sitting.quantity);
    let listed = || match place.speaking.first()?.quantity {
        Some(PlaceQuantity::Amount(quantity)) => Some(quantity),
        Some(PlaceQuantity::Set) => None,
        None => Some(Quantity::ONE),
    };
    logged
        .or_else(listed)
        .filter(|quantity| quantity.unit == Unit::Each)
        .map(|quantity| quantity.amount)
}

/// Works out the end play that is left when every part there is changed for one of another thickness. A thrust washer,
/// shim or spacer takes up what it is thicker; a gasket spaces the housing apart and adds it. Of any other type nobody
/// can tell from the figures.
fn end_play(
    part: &PartSizes,
    old: Option<&PartSizes>,
    seat: &SeatSizes,
    many: Option<Decimal>,
    found: &mut Judgement,
) {
    let Some(feature) = seat.feature(&["end play"]) else { return };
    let Some(new) = part.get(&["thickness"]) else { return };
    let Some(old) = old else { return };
    let again = old.part == part.part;
    let (Some(was), Some(now), Some(many)) =
        (old.get(&["thickness"]), feature.reading.as_ref(), many)
    else {
        if again {
            return;
        }
        if feature.reading.is_none() {
            found.missing("the end play as it is, before anything comes apart");
        }
        if old.get(&["thickness"]).is_none() {
            found.missing(format!(
                "the thickness of {}, to tell what becomes of the end play",
                old.part
            ));
        }
        return;
    };
    let taken = new.value.minus(was.value).and_then(|thicker| thicker.scaled(many));
    let Some(taken) = taken else { return };
    let left = match stacking(&part.kind) {
        Some(Stacking::Within) => now.value.minus(taken),
        Some(Stacking::Apart) => now.value.plus(taken),
        // As thick as before, give or take: either way leaves the same.
        None if taken.low == -taken.high => now.value.minus(taken),
        None => {
            let (Some(less), Some(more)) = (now.value.minus(taken), now.value.plus(taken)) else {
                return;
            };
            found.doubt(format!(
                "end play {} now; {} after if {} lies on the shaft, {} if it lies between housings",
                shown(now.value, "mm"),
                shown(less, "mm"),
                part.part,
                shown(more, "mm")
            ));
            found.missing(format!("whether {} lies on the shaft, where a thicker one takes end play, or between housings, where it gives it", part.part));
            return;
        }
    };
    let Some(left) = left else { return };
    found.judges(&["thickness"]);
    found.number("end_play_mm", left, 3);
    let each =
        if many == Decimal::ONE { String::new() } else { format!("{} of them, ", plain(many)) };
    let text = format!(
        "end play {} now, {each}{} after, if nothing else of the stack changes",
        shown(now.value, "mm"),
        shown(left, "mm")
    );
    let (least, most) = feature.limits();
    // Without play it binds, whatever the table says or leaves out.
    let least = least.unwrap_or(Decimal::ZERO);
    if left.high < least || most.is_some_and(|most| left.low > most) {
        let text = format!("{text}: outside its limits");
        // The same part again leaves what there is: something else has worn.
        if again { found.outside(text) } else { found.no(text) }
    } else if left.low < least || most.is_some_and(|most| left.high > most) {
        found.doubt(format!("{text}, not surely within its limits"));
    } else if most.is_none() {
        found.doubt(format!("{text}, and nobody has said how much it may have"));
        found.missing("how much end play is allowed there, from the manual");
    } else {
        found.good(format!("{text}, within its limits"));
    }
}

/// Size alone never says *fits* for another or an unknown type, rubber, property class or hand.
fn likeness(
    part: &PartSizes,
    olds: &[PartSizes],
    seat: &SeatSizes,
    is_known: bool,
    found: &mut Judgement,
) {
    if is_known {
        return;
    }
    if let Some(apart) = of_the_other_hand(part, seat) {
        found.doubt(apart);
    }
    if olds.is_empty() {
        if part.seals || part.thread.is_some() {
            found.doubt("nothing is listed there to compare its rubber or strength with");
        }
        let open = part
            .features()
            .into_iter()
            .filter(|feature| !found.judged.iter().any(|judged| Key::new(judged) == **feature));
        let open: Vec<String> = open.map(ToString::to_string).collect();
        if !open.is_empty() {
            found.doubt(format!("the seat says nothing of its {}", open.join(", ")));
        }
    }
    for old in olds {
        for apart in apart(old, part) {
            if !found.said.contains(&apart) {
                found.doubt(apart);
            }
        }
        for feature in compare(old, part).into_iter().flat_map(|comparison| comparison.features) {
            let settled = matches!(feature.word, "same" | "within the old tolerance");
            if !settled
                && !found.judged.iter().any(|judged| Key::new(judged) == Key::new(&feature.feature))
            {
                let (old, new) = (feature.old.as_deref(), feature.new.as_deref());
                let (old, new) = (old.unwrap_or("unknown"), new.unwrap_or("unknown"));
                found.doubt(format!(
                    "{} {new} instead of {old}, of which the seat says nothing",
                    feature.feature
                ));
                let room = format!("the room for the {} of {}", feature.feature, part.part);
                if !found.measure.contains(&room) {
                    found.missing(room);
                }
            }
        }
    }
}

/// Names the rows and readings that the figures came from.
fn provenance(part: &PartSizes, seat: &SeatSizes, found: &mut Judgement) {
    let mut from: Vec<String> = Vec::new();
    let mut add = |text: &str| {
        if !text.is_empty() && !from.iter().any(|known| known == text) {
            from.push(text.to_owned());
        }
    };
    for feature in part.features() {
        if let Some(figure) = part.get(&[feature.as_str()]) {
            add(&figure.from);
        }
    }
    let readings: Vec<String> = seat
        .features
        .iter()
        .filter(|feature| !found.aside.contains(&feature.feature))
        .filter_map(|feature| {
            let reading = feature.reading.as_ref()?;
            let instead = if feature.from.is_empty() {
                String::new()
            } else {
                format!(" instead of {}", feature.from)
            };
            Some(format!("this machine's own {} of {}{instead}", feature.feature, reading.date))
        })
        .collect();
    let unread = seat.features.iter().filter(|feature| feature.reading.is_none());
    for feature in unread.filter(|feature| !found.aside.contains(&feature.feature)) {
        add(&feature.from);
    }
    for reading in &readings {
        add(reading);
    }
    if !from.is_empty() {
        found.said.push(format!("from {}", together(&from).join(", ")));
    }
}

/// Draws the lines of one file together: `seats.csv:4, seats.csv:5` is `seats.csv:4-5`.
fn together(from: &[String]) -> Vec<String> {
    let mut files: Vec<(&str, Vec<u32>)> = Vec::new();
    let mut others = Vec::new();
    for place in from {
        let line =
            place.rsplit_once(':').and_then(|(file, line)| Some((file, line.parse::<u32>().ok()?)));
        match line {
            Some((file, line)) => match files.iter_mut().find(|(known, _)| *known == file) {
                Some((_, lines)) => lines.push(line),
                None => files.push((file, vec![line])),
            },
            None => others.push(place.clone()),
        }
    }
    let mut drawn = Vec::new();
    for (file, mut lines) in files {
        lines.sort_unstable();
        lines.dedup();
        let mut runs: Vec<(u32, u32)> = Vec::new();
        for line in lines {
            match runs.last_mut() {
                Some((_, to)) if *to + 1 == line => *to = line,
                _ => runs.push((line, line)),
            }
        }
        let runs =
            runs.into_iter().map(|(a, b)| if a == b { a.to_string() } else { format!("{a}-{b}") });
        drawn.push(format!("{file}:{}", runs.collect::<Vec<_>>().join(",")));
    }
    drawn.extend(others);
    drawn
}
