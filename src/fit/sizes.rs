//! The figures of a part and of its seat, each with where it was found.

use super::judgement::{Limits, shown};
use super::kind;
use super::standard::made_ring;
use super::thread_name::{Thread, inch_thread_of, thread_of};
use crate::catalog::{
    Applies, Lookup, Machine, Measurement, PartType, Position, Scope, Seals, Seat, rows_for,
};
use crate::kit::Bench;
use crate::measure::{
    Interval, Key, NotTabulated, PartNumber, Size, ThreadedSize, Tolerance, lengths_on_a_bag,
    plain, shorten,
};
use rust_decimal::Decimal;
use std::collections::HashMap;

/// A figure and where it was found.
#[derive(Debug, Clone)]
pub struct Figure {
    /// The figure in mm.
    pub value: Interval,
    /// The size that it is named by, in mm: the one typed in front of the tolerance. `None` for a range or for limits
    /// alone, whose middle nobody has meant.
    pub named: Option<Decimal>,
    /// Where it was found.
    pub from: String,
}

impl Figure {
    /// Looks a typed size up.
    ///
    /// # Errors
    /// A tolerance class that the standard does not give for this size.
    pub fn typed(size: &Size, from: String) -> Result<Self, NotTabulated> {
        Ok(Figure { value: size.interval_mm()?, named: named(size), from })
    }

    /// Gives what the figure is meant to be: its nominal value, or where it has none all that it may be. What a
    /// guidance says of nominal sizes has to hold for all of it.
    pub fn meant(&self) -> Interval {
        if self.named.is_some() { Interval::exactly(self.value.nominal) } else { self.value }
    }
}

/// Gives the size in front of a tolerance; a range has none.
fn named(size: &Size) -> Option<Decimal> {
    (*size.tolerance() != Tolerance::Range).then(|| size.nominal_mm())
}

/// A part's figures.
#[derive(Debug, Clone)]
pub struct PartSizes {
    /// The number, as the table parts spells it.
    pub part: PartNumber,
    /// Its type in small letters: the shipped one that it is, else as the table types calls it; blank where it has none.
    pub kind: String,
    /// Its type as it was typed.
    pub called: String,
    /// It closes a joint.
    pub seals: bool,
    /// What it is made of.
    pub material: String,
    /// What its maker calls it.
    pub name: String,
    /// The size on its bag.
    pub size: String,
    /// What its owner noted about it.
    pub note: String,
    /// Its thread, where its size begins with one.
    pub thread: Option<Thread>,
    figures: HashMap<Key, Figure>,
    form: Vec<String>,
    /// Sizes that cannot be looked up, with the reason.
    pub unreadable: Vec<String>,
}

/// Clips whose size may carry their thickness: `17x1`. Source: the designations of DIN 471, 472 and 6799, from memory.
const CLIPS: [&str; 3] = ["circlip", "internal circlip", "e-clip"];

/// Gives the name that a feature has in the tables for the word by which the form of a size calls it.
fn feature_of(word: &str, rings: bool) -> &str {
    match word {
        "bore" if rings => "inside diameter",
        "housing" => "bore",
        "outside" => "outside diameter",
        "shaft" => "shaft diameter",
        "groove" => "groove diameter",
        "stem" => "diameter",
        word => word,
    }
}

impl PartSizes {
    /// Gathers a part's figures: its dimensions, then what the size on its bag says.
    pub fn of(part: &PartNumber, lookup: &dyn Lookup) -> Self {
        let row = lookup.part(part);
        let kind = row.as_ref().and_then(|row| lookup.part_type(row.part_type.as_ref()?));
        let known = kind.as_deref().and_then(kind::shipped);
        let mut sizes = PartSizes {
            part: lookup.spell_part(part),
            kind: known
                .map(|known| &known.part_type)
                .or(kind.as_deref().map(|kind| &kind.part_type))
                .map_or_else(String::new, |kind| kind.folded().to_owned()),
            called: row
                .as_ref()
                .and_then(|row| row.part_type.as_ref())
                .map_or_else(String::new, ToString::to_string),
            seals: kind.as_ref().and_then(|kind| kind.seals).is_some_and(Seals::closes),
            material: row.as_ref().map_or_else(String::new, |row| row.material.clone()),
            name: row.as_ref().map_or_else(String::new, |row| row.name.clone()),
            size: row.as_ref().map_or_else(String::new, |row| row.size.clone()),
            note: row.as_ref().map_or_else(String::new, |row| row.note.clone()),
            thread: None,
            figures: HashMap::new(),
            form: Vec::new(),
            unreadable: Vec::new(),
        };
        for dimension in lookup.dimensions_of(part).iter() {
            match Figure::typed(&dimension.size, lookup.place(dimension.at)) {
                Ok(figure) => {
                    let known = sizes
                        .figures
                        .entry(dimension.feature.clone())
                        .or_insert_with(|| figure.clone());
                    if known.value != figure.value {
                        sizes.unreadable.push(format!(
                            "{} of {} is {} by {} and {} by {}",
                            dimension.feature,
                            sizes.part,
                            shown(known.value, "mm"),
                            known.from,
                            shown(figure.value, "mm"),
                            figure.from
                        ));
                    }
                }
                Err(error) => sizes.unreadable.push(format!("{}: {error}", dimension.feature)),
            }
        }
        if let (Some(row), Some(kind)) = (&row, &kind) {
            // An owner's own row for a type may leave the form of its size to the shipped one.
            let form = known
                .filter(|_| kind.size_form.is_empty())
                .map_or(&kind.size_form, |known| &known.size_form);
            let typed = sizes.features().into_iter().cloned().collect::<Vec<_>>();
            sizes.read_the_bag(&row.size, form, &lookup.place(row.at));
            if !typed.contains(&Key::new("inside diameter"))
                && !typed.contains(&Key::new("section"))
            {
                sizes.give_tolerances();
            }
        }
        sizes
    }

    /// Gives the tolerances of its standard to an O-ring whose bag names a standard size: no ring is exact.
    fn give_tolerances(&mut self) {
        let exact = |name: &str| {
            self.get(&[name]).map(|figure| figure.value).filter(|value| value.low == value.high)
        };
        let (Some(inside), Some(section)) = (exact("inside diameter"), exact("section")) else {
            return;
        };
        if self.kind != "o-ring" {
            return;
        }
        let Some((inside, section)) = made_ring(inside.nominal, section.nominal) else { return };
        for (name, value) in [("inside diameter", inside), ("section", section)] {
            if let Some(figure) = self.figures.get_mut(&Key::new(name)) {
                figure.value = value;
            }
        }
    }

    /// Reads the size on a bag by the form of the type: `24 x 3` for an O-ring is bore x section.
    fn read_the_bag(&mut self, size: &str, size_form: &str, from: &str) {
        let form: Vec<&str> =
            size_form.split(" x ").map(str::trim).filter(|word| !word.is_empty()).collect();
        let mut lengths = Vec::new();
        if form.first() == Some(&"thread") {
            // `M8x1.25x30` is written in one: the pitch belongs to the thread, and the length comes behind it.
            let cells: Vec<String> = match ThreadedSize::parse(size) {
                Some(threaded) => {
                    self.thread = Thread::of(&threaded).map(|thread| thread.as_said(size));
                    threaded.rest.iter().map(ToString::to_string).collect()
                }
                None => {
                    let size = size.replace(['×', 'X'], "x");
                    let mut cells = size.split(" x ").map(str::trim);
                    self.thread = cells.next().and_then(|_| thread_of(&size));
                    let inch = self.thread.is_none().then(|| inch_thread_of(&size)).flatten();
                    self.thread = self.thread.or(inch);
                    // Behind an inch thread a bare figure is inches.
                    let bare = |cell: &str| {
                        let series = |row: &&str| row.contains("UN") || row.contains("BS");
                        inch.and_then(|thread| thread.inch).filter(series).is_some()
                            && !cell.contains(char::is_alphabetic)
                    };
                    cells
                        .map(|cell| if bare(cell) { format!("{cell} in") } else { cell.to_owned() })
                        .collect()
                }
            };
            lengths
                .extend(cells.iter().filter_map(|cell| lengths_on_a_bag(cell).into_iter().next()));
        } else if !form.is_empty() && !size.trim().is_empty() {
            lengths = lengths_on_a_bag(size);
        }
        let rings = form.iter().any(|word| matches!(*word, "section" | "thickness"));
        // The standards of clips write the thickness behind, whether the form of the type names it or not.
        let behind = CLIPS.contains(&self.kind.as_str()).then_some("thickness");
        let words = form.iter().copied().filter(|word| *word != "thread").chain(behind);
        let mut lengths = lengths.into_iter();
        for word in words {
            let feature = feature_of(word, rings);
            self.form.push(feature.to_owned());
            let Some(length) = lengths.next() else { continue };
            let key = Key::new(feature);
            if self.figures.contains_key(&key) {
                continue;
            }
            let from_bag = format!("size on the bag, {from}");
            match length.ok().and_then(|length| Figure::typed(&length, from_bag).ok()) {
                Some(figure) => {
                    self.figures.insert(key, figure);
                }
                None => self.unreadable.push(format!(
                    "its size `{}` cannot be read as {} ({from})",
                    shorten(size),
                    size_form
                )),
            }
        }
        self.unreadable.dedup();
    }

    /// Gives the features that a size of its type is made of, in their order.
    pub fn form(&self) -> &[String] {
        &self.form
    }

    /// Gives a figure by the first of its names that is known.
    pub fn get(&self, names: &[&str]) -> Option<&Figure> {
        names.iter().find_map(|name| self.figures.get(&Key::new(name)))
    }

    /// Gives the names of all known figures, in order.
    pub fn features(&self) -> Vec<&Key> {
        let mut features: Vec<&Key> = self.figures.keys().collect();
        features.sort_by(|a, b| a.folded().cmp(b.folded()));
        features
    }

    /// Puts a figure in the place of what is known; for candidates that no table lists.
    pub fn set(&mut self, feature: &str, value: Interval, from: &str) {
        let figure = Figure { value, named: Some(value.nominal), from: from.to_owned() };
        self.figures.insert(Key::new(feature), figure);
    }

    /// Puts a range without a nominal size in the place of what is known.
    pub fn set_range(&mut self, feature: &str, value: Interval, from: &str) {
        self.figures
            .insert(Key::new(feature), Figure { value, named: None, from: from.to_owned() });
    }

    /// Makes a part that no table lists.
    pub fn bare(part: PartNumber, kind: &str) -> Self {
        PartSizes {
            part,
            kind: kind.to_owned(),
            called: kind.to_owned(),
            seals: false,
            material: String::new(),
            name: String::new(),
            size: String::new(),
            note: String::new(),
            thread: None,
            figures: HashMap::new(),
            form: Vec::new(),
            unreadable: Vec::new(),
        }
    }
}

impl PartSizes {
    /// Makes a part that no table lists, of the lengths in mm that the size of its type names, in their order.
    pub fn of_lengths(part: PartNumber, part_type: &PartType, lengths: &[Decimal]) -> Self {
        let kind = kind::shipped(part_type).map_or(&part_type.part_type, |known| &known.part_type);
        let mut sizes = PartSizes::bare(part, kind.folded());
        sizes.seals = part_type.seals.is_some_and(Seals::closes);
        let cells: Vec<String> = lengths.iter().map(|length| plain(*length)).collect();
        let size = cells.join(" x ");
        if part_type.size_form.starts_with("thread") {
            sizes.read_the_bag(&format!("M{size}"), &part_type.size_form, "as wanted");
            if let Some(threaded) = ThreadedSize::parse(&format!("M{size}")) {
                sizes.set("thread diameter", Interval::exactly(threaded.diameter), "as wanted");
                if let Some(pitch) = threaded.pitch {
                    sizes.set("thread pitch", Interval::exactly(pitch), "as wanted");
                }
            }
        } else {
            sizes.read_the_bag(&size, &part_type.size_form, "as wanted");
        }
        sizes
    }
}

/// One feature of a seat on one machine.
#[derive(Debug, Clone)]
pub struct SeatFigure {
    /// The feature.
    pub feature: Key,
    /// Its size: this machine's own last reading, else what the table says; `None` where neither says.
    pub size: Option<Figure>,
    /// Its size when new, as the table says.
    pub new: Option<Interval>,
    /// The least that it may measure, in mm.
    pub least: Option<Interval>,
    /// The most that it may measure, in mm.
    pub most: Option<Interval>,
    /// The last reading on this machine.
    pub reading: Option<Reading>,
    /// The row surely applies.
    pub sure: bool,
    /// The row, as `file:line`; blank where there is only a reading.
    pub from: String,
}

impl SeatFigure {
    /// Gives the least and the most that the table allows, in mm: its limits, or where it has none the range that the
    /// drawing gives. A reading is no limit.
    pub fn limits(&self) -> Limits {
        let drawn = self
            .new
            .filter(|new| self.least.is_none() && self.most.is_none() && new.low < new.high);
        let least = self.least.map(|least| least.low).or(drawn.map(|drawn| drawn.low));
        let most = self.most.map(|most| most.high).or(drawn.map(|drawn| drawn.high));
        (least, most)
    }

    /// Gives what is surely right, in mm: its limits, and the size when new for one that is not given.
    pub fn wanted(&self) -> Limits {
        let (least, most) = self.limits();
        (least.or(self.new.map(|new| new.low)), most.or(self.new.map(|new| new.high)))
    }
}

/// A reading taken on a machine.
#[derive(Debug, Clone)]
pub struct Reading {
    /// The reading in mm.
    pub value: Interval,
    /// The size in front of its tolerance, in mm; `None` for a range.
    pub named: Option<Decimal>,
    /// When it was taken.
    pub date: String,
    /// As it was typed.
    pub typed: String,
}

/// A seat on one machine.
#[derive(Debug, Clone, Default)]
pub struct SeatSizes {
    /// Its features, in table order.
    pub features: Vec<SeatFigure>,
    /// Sizes that cannot be looked up, with the reason.
    pub unreadable: Vec<String>,
    /// Of whose seat this is, where it is not this machine's.
    pub scope: String,
    /// The rows that were taken in the place of those that come first, as `file:line`.
    pub instead: Vec<String>,
}

/// The most seats that are tried one by one where several rows may speak for a feature.
const MOST_POSSIBLE: usize = 64;

impl SeatSizes {
    /// Gathers the seat at a position of a machine. Its own readings come before the table's sizes; of several rows for a
    /// feature the first counts.
    pub fn of(bench: &Bench, position: &Key) -> Self {
        Self::possible(bench, position, &[]).swap_remove(0)
    }

    /// Gathers every seat that a position of a machine may have: for each feature the rows that surely apply, and those
    /// that may, one after another. The first is [`SeatSizes::of`]; there is always one. Where there are too many, only
    /// one row at a time departs from the first.
    ///
    /// The seat is that of what goes in: a new housing has the size of its own dimensions, else that of the table, and
    /// no reading of the old one counts for it.
    pub fn possible(bench: &Bench, position: &Key, going_in: &[(Key, PartNumber)]) -> Vec<Self> {
        let lookup = bench.lookup;
        let rows = lookup.seats_at(position);
        let around = Around::of(bench, position, going_in);
        let place = bench.place(position);
        let machine = &*place.machine;
        let readings = lookup.measurements_at(&bench.machine.machine, position);
        let mut seats = vec![SeatSizes::default()];
        for feature in features_of(&rows, &readings) {
            let of_feature: Vec<Seat> =
                rows.iter().filter(|row| row.feature == feature).cloned().collect();
            let (applies, speaking) = rows_for(&of_feature, machine);
            let reading = last_reading(&readings, &feature)
                .filter(|reading| around.leaves(&feature, reading));
            let unsure = |row: &&Seat| row.scope.applies(machine) == Applies::Unsure;
            let may = of_feature.iter().filter(|row| applies == Applies::Yes && unsure(row));
            let mut rows: Vec<&Seat> = Vec::new();
            for row in speaking.into_iter().chain(may) {
                let same = |known: &&Seat| {
                    (&known.size, &known.least, &known.most) == (&row.size, &row.least, &row.most)
                };
                if !rows.iter().any(same) {
                    rows.push(row);
                }
            }
            let Some((first, others)) = rows.split_first() else {
                if let Some(reading) = reading {
                    let only_read = SeatFigure {
                        size: Some(from_reading(&reading)),
                        feature,
                        new: None,
                        least: None,
                        most: None,
                        reading: Some(reading),
                        sure: true,
                        from: String::new(),
                    };
                    for seat in &mut seats {
                        seat.features.push(only_read.clone());
                    }
                }
                continue;
            };
            let mut branched = Vec::new();
            let known = if seats.len() * rows.len() > MOST_POSSIBLE { 1 } else { seats.len() };
            for other in others {
                for seat in &seats[..known] {
                    let place = lookup.place(other.at);
                    let mut seat = seat.clone();
                    seat.push(other, reading.clone(), applies != Applies::Unsure, &place);
                    seat.instead.push(place);
                    branched.push(seat);
                }
            }
            for seat in &mut seats {
                seat.push(first, reading.clone(), applies == Applies::Yes, &lookup.place(first.at));
            }
            seats.append(&mut branched);
        }
        for seat in &mut seats {
            seat.features.iter_mut().for_each(|feature| around.bring(feature));
        }
        seats
    }

    /// Gives what surely is this machine's: its readings, and the rows that surely apply.
    pub fn sure(&self) -> Self {
        let mut seat = self.clone();
        seat.features.retain(|feature| feature.sure || feature.reading.is_some());
        for feature in seat.features.iter_mut().filter(|feature| !feature.sure) {
            (feature.new, feature.least, feature.most, feature.sure) = (None, None, None, true);
        }
        seat
    }

    /// Something that speaks for it may not be for this machine.
    pub fn is_unsure(&self) -> bool {
        let counts = |feature: &SeatFigure| {
            feature.reading.is_none()
                || feature.new.is_some()
                || feature.least.is_some()
                || feature.most.is_some()
        };
        self.features.iter().any(|feature| !feature.sure && counts(feature))
    }

    /// Gathers the seats at a position that other machines have, by their scope.
    pub fn elsewhere(machine: &Machine, position: &Key, lookup: &dyn Lookup) -> Vec<Self> {
        let rows = lookup.seats_at(position);
        let mut scopes: Vec<&Scope> = Vec::new();
        for row in rows.iter().filter(|row| row.scope.applies(machine) == Applies::No) {
            if !scopes.contains(&&row.scope) {
                scopes.push(&row.scope);
            }
        }
        let seat_of = |scope: &Scope| {
            let mut seat = SeatSizes { scope: scope.to_string(), ..SeatSizes::default() };
            let own = rows.iter().filter(|row| row.scope == *scope);
            let wider = rows.iter().filter(|row| row.scope != *scope && row.scope.includes(scope));
            for row in own.chain(wider) {
                if seat.feature(&[row.feature.as_str()]).is_none() {
                    seat.push(row, None, true, &lookup.place(row.at));
                }
            }
            seat
        };
        scopes.into_iter().map(seat_of).collect()
    }

    fn push(&mut self, row: &Seat, reading: Option<Reading>, sure: bool, from: &str) {
        let mut look_up = |size: Option<&Size>| match size?.interval_mm() {
            Ok(value) => Some(value),
            Err(error) => {
                self.unreadable.push(format!("{}: {error}", row.feature));
                None
            }
        };
        let (new, least, most) = (
            look_up(row.size.as_deref()),
            look_up(row.least.as_deref()),
            look_up(row.most.as_deref()),
        );
        let between = least.zip(most).map(|(least, most)| {
            let both = Interval::new(least.low, least.low, most.high);
            Interval { nominal: both.middle(), ..both }
        });
        let size = match &reading {
            Some(reading) => Some(from_reading(reading)),
            None => {
                let named =
                    row.size.as_ref().and_then(|size| named(size)).filter(|_| new.is_some());
                new.or(between).map(|value| Figure { value, named, from: from.to_owned() })
            }
        };
        self.features.push(SeatFigure {
            feature: row.feature.clone(),
            size,
            new,
            least,
            most,
            reading,
            sure,
            from: from.to_owned(),
        });
    }

    /// Gives a feature by the first of its names that the seat has, whether its size is known or not.
    pub fn feature(&self, names: &[&str]) -> Option<&SeatFigure> {
        names
            .iter()
            .find_map(|name| self.features.iter().find(|known| known.feature == Key::new(name)))
    }

    /// Gives a length by the first of its names that is known. A figure of zero is none: nothing is so small, and
    /// nothing can be reckoned with it.
    pub fn get(&self, names: &[&str]) -> Option<&Figure> {
        self.figure(names).filter(|figure| figure.value.nominal > Decimal::ZERO)
    }

    /// Gives a figure that may be zero, as a gap may be none, by the first of its names that is known.
    pub fn figure(&self, names: &[&str]) -> Option<&Figure> {
        self.known(names)?.size.as_ref()
    }

    /// Gives a feature by the first of its names whose size is known.
    pub fn known(&self, names: &[&str]) -> Option<&SeatFigure> {
        names.iter().find_map(|name| {
            let key = Key::new(name);
            self.features.iter().find(|known| known.feature == key && known.size.is_some())
        })
    }

    /// Puts a figure in the place of what is known; for tests and for seats that no table lists.
    pub fn set(&mut self, feature: &str, value: Interval) {
        self.set_named(feature, value, Some(value.nominal));
    }

    /// Puts a range without a nominal size in the place of what is known.
    pub fn set_range(&mut self, feature: &str, value: Interval) {
        self.set_named(feature, value, None);
    }

    fn set_named(&mut self, feature: &str, value: Interval, named: Option<Decimal>) {
        self.features.retain(|known| known.feature != Key::new(feature));
        self.features.push(SeatFigure {
            feature: Key::new(feature),
            size: Some(Figure { value, named, from: "as given".to_owned() }),
            new: Some(value),
            least: None,
            most: None,
            reading: None,
            sure: true,
            from: "as given".to_owned(),
        });
    }
}

/// What a seat is cut into, as it is when what is going in has gone in.
struct Around<'a> {
    lookup: &'a dyn Lookup,
    /// The part that carries the position and is going in.
    carrier: Option<&'a PartNumber>,
    /// The last day on which the log has another part there.
    renewed: Option<String>,
    /// A shaft that is going in.
    shaft: bool,
}

/// The features of a seat that are the shaft's, not the housing's.
const OF_THE_SHAFT: [&str; 4] =
    ["shaft diameter", "rod diameter", "pin diameter", "groove inside diameter"];

impl<'a> Around<'a> {
    fn of(bench: &Bench<'a>, position: &Key, going_in: &'a [(Key, PartNumber)]) -> Self {
        let place = bench.place(position);
        let row = place.row();
        let carried_by = row.and_then(|row| row.carried_by.as_ref());
        let at = |wanted: &Key| going_in.iter().find(|(at, _)| at == wanted);
        let is_shaft = |part: &PartNumber| {
            let kind = bench.lookup.part(part).and_then(|part| bench.part_type(&part));
            kind.as_ref().and_then(kind::shipped).is_some_and(|known| {
                ["shaft", "crankshaft", "wear sleeve"].contains(&known.part_type.folded())
            })
        };
        let same_assembly = |other: &Key| {
            let other = bench.place(other);
            let of = |row: Option<&Position>| row.map(|row| row.assembly.clone());
            of(other.row()) == of(row)
        };
        Around {
            lookup: bench.lookup,
            carrier: carried_by.and_then(at).map(|(_, part)| part),
            renewed: carried_by.and_then(|by| bench.last_logged(by)).map(ToString::to_string),
            shaft: going_in
                .iter()
                .any(|(at, part)| at != position && is_shaft(part) && same_assembly(at)),
        }
    }

    /// A reading still is of what the seat is cut into.
    fn leaves(&self, feature: &Key, reading: &Reading) -> bool {
        if OF_THE_SHAFT.contains(&feature.folded()) {
            return !self.shaft;
        }
        self.carrier.is_none() && self.renewed.as_ref().is_none_or(|day| *day <= reading.date)
    }

    /// Gives a feature the size that the part which is going in has by its own dimensions.
    fn bring(&self, feature: &mut SeatFigure) {
        let Some(carrier) = self.carrier else { return };
        let dimensions = self.lookup.dimensions_of(carrier);
        let Some(row) = dimensions.iter().find(|row| row.feature == feature.feature) else {
            return;
        };
        if let Ok(figure) = Figure::typed(&row.size, self.lookup.place(row.at)) {
            feature.from.clone_from(&figure.from);
            (feature.new, feature.reading, feature.sure) = (Some(figure.value), None, true);
            feature.size = Some(figure);
        }
    }
}

fn features_of(rows: &[Seat], readings: &[Measurement]) -> Vec<Key> {
    let mut features: Vec<Key> = Vec::new();
    for feature in
        rows.iter().map(|row| &row.feature).chain(readings.iter().map(|reading| &reading.feature))
    {
        if !features.contains(feature) {
            features.push(feature.clone());
        }
    }
    features
}

/// Finds the reading of the latest day; of one day, the last in table order.
fn last_reading(readings: &[Measurement], feature: &Key) -> Option<Reading> {
    let of_feature = readings.iter().filter(|reading| reading.feature == *feature);
    let last = of_feature.max_by(|a, b| a.date.cmp(&b.date))?;
    Some(Reading {
        value: last.value.interval_mm().ok()?,
        named: named(&last.value),
        date: last.date.to_string(),
        typed: last.value.to_string(),
    })
}

fn from_reading(reading: &Reading) -> Figure {
    Figure {
        value: reading.value,
        named: reading.named,
        from: format!("measured {} on {}", reading.typed, reading.date),
    }
}
