//! What is known of a machine: what sits where, since when, what it became, how far it has worn, what is due.

use super::trend::{Trend, points, trend};
use crate::catalog::{Applies, Fitted, LogEntry, Lookup, Measurement, Position};
use crate::fit::{SeatFigure, SeatSizes};
use crate::kit::{Bench, Place, Refusal, find_machine, left_out};
use crate::measure::{Date, Key, Wear, WearState, json_number};
use rust_decimal::Decimal;
use serde::{Serialize, Serializer};
use std::collections::{HashMap, HashSet};

/// What is known of a machine.
#[derive(Debug, Clone, Serialize)]
pub struct State {
    /// The machine.
    pub machine: String,
    /// The day for which this is said.
    pub as_of: String,
    /// The hours that it has run: the most that the log or the table machines names.
    #[serde(serialize_with = "maybe_number")]
    pub hours: Option<Decimal>,
    /// When it was bought; blank where nobody noted it.
    pub bought: String,
    /// Every position that holds something, or of which the log says that it was emptied; by place.
    pub positions: Vec<Known>,
    /// The jobs that the log names, the first in front.
    pub jobs_done: Vec<JobDone>,
    /// What a person should know.
    pub remarks: Vec<String>,
}

/// How much is known of a position.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "lowercase")]
pub enum Status {
    /// The log says what sits there.
    Known,
    /// The log says nothing: what the tables list is all there is to go by.
    Unknown,
    /// Its life is used up.
    Overdue,
}

/// What is known of a position.
#[derive(Debug, Clone, Serialize)]
pub struct Known {
    /// The position.
    pub position: String,
    /// The assembly that it belongs to.
    pub assembly: String,
    /// What sits there, in words.
    pub name: String,
    /// What sits there: `null` is nothing, blank is a number that nobody looked up; several are separated by `;`.
    pub part: Option<String>,
    /// When it was fitted: a day, a month or a year; `null` where nobody knows.
    pub fitted: Option<String>,
    /// The hours at which it was fitted.
    #[serde(serialize_with = "maybe_number")]
    pub hours: Option<Decimal>,
    /// How much is known of it.
    pub status: Status,
    /// The job by which it was fitted.
    pub job: Option<String>,
    /// The log says what sits there, whether or not it is overdue.
    pub logged: bool,
    /// What sits there by a row that surely applies, or by the log.
    pub sure: bool,
    /// What the fitted numbers became, where they were superseded.
    pub superseded: Vec<Superseded>,
    /// How it stands to the life that the table positions gives it.
    pub life: Option<Life>,
    /// Its readings against their limits.
    pub wear: Vec<Worn>,
    /// What was noted of it last without anything being renewed: the date and the finding.
    pub last_look: Option<String>,
}

/// A fitted number that became another.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Superseded {
    /// The number that is fitted.
    pub part: String,
    /// What it became on this machine.
    pub now: Vec<String>,
    /// Something else must change with what followed.
    pub with_others: bool,
}

/// How a position stands to its life.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Life {
    /// How it stands.
    pub state: LifeState,
    /// The life in hours.
    #[serde(serialize_with = "maybe_number")]
    pub life_hours: Option<Decimal>,
    /// The life in months.
    #[serde(serialize_with = "maybe_number")]
    pub life_months: Option<Decimal>,
    /// The hours that it has run here.
    #[serde(serialize_with = "maybe_number")]
    pub run_hours: Option<Decimal>,
    /// The day on which its months are over.
    pub due_on: Option<String>,
    /// Nobody knows when it was fitted, so it is counted from when the machine was bought: it is at least so old.
    pub at_least: bool,
}

/// How a life stands.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum LifeState {
    /// Nobody knows how much of it is used up.
    NotKnown,
    /// There is enough left.
    Ok,
    /// Less than a fifth is left.
    Near,
    /// It is used up.
    Overdue,
}

/// A feature that wears.
#[derive(Debug, Clone, Serialize)]
pub struct Worn {
    /// The feature.
    pub feature: String,
    /// The last reading, as typed.
    pub reading: String,
    /// When it was taken.
    pub date: String,
    /// How it stands to its limits; `null` where the table seats gives none.
    pub state: Option<WearState>,
    /// How much is left to the nearer limit, in mm.
    #[serde(serialize_with = "maybe_number")]
    pub left_mm: Option<Decimal>,
    /// The same in words; blank where there is no limit.
    #[serde(skip)]
    pub says: String,
    /// The line through its readings; a guide only.
    pub trend: Option<Trend>,
    /// Something there was renewed after the reading: the position and the date.
    pub before: Option<String>,
}

/// A job that the log names.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct JobDone {
    /// When; blank for an earlier owner's work.
    pub date: String,
    /// The job.
    pub job: String,
    /// The hours that the machine had run.
    #[serde(serialize_with = "maybe_number")]
    pub hours: Option<Decimal>,
    /// The positions that were left out then and are still to be done.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub left_out: Vec<String>,
    /// The options with which it was done, as far as the log says.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub options: Vec<String>,
}

fn maybe_number<S: Serializer>(value: &Option<Decimal>, serializer: S) -> Result<S::Ok, S::Error> {
    match value {
        Some(value) => json_number(*value).serialize(serializer),
        None => serializer.serialize_none(),
    }
}

/// Sets up the bench of a machine.
///
/// # Errors
/// There is no such machine.
pub fn bench_of<'a>(machine: &Key, lookup: &'a dyn Lookup) -> Result<Bench<'a>, Refusal> {
    Ok(Bench::new(find_machine(machine, lookup)?.into_owned(), lookup))
}

/// Gathers what is known of a machine on a day.
pub fn state(bench: &Bench, today: &Date) -> State {
    let lookup = bench.lookup;
    let log = lookup.log_of(&bench.machine.machine).into_owned();
    let reader = Reader {
        bench,
        today,
        hours: hours_now(bench, &log),
        first_hours: log.iter().filter_map(|entry| entry.hours).min(),
        log: by_position(&log),
        all: &log,
    };
    let mut remarks = Vec::new();
    let (machine, hours) = (&bench.machine, reader.hours);
    if let Some(typed) = machine.hours.filter(|typed| hours.is_some_and(|hours| hours > *typed)) {
        remarks.push(format!(
            "the table machines has {} hours, the log more: {}",
            crate::measure::plain(typed),
            hours.map_or_else(String::new, crate::measure::plain)
        ));
    }
    let later = log.iter().filter(|entry| entry.date.as_str() > today.as_str()).count();
    if later > 0 {
        let rows = match later {
            1 => "1 row of the log is".to_owned(),
            many => format!("{many} rows of the log are"),
        };
        remarks.push(format!("{rows} dated after {today}, and counted all the same"));
    }
    State {
        machine: machine.machine.to_string(),
        as_of: today.to_string(),
        hours,
        bought: machine.bought.to_string(),
        positions: positions(bench, &log)
            .iter()
            .filter_map(|position| reader.read(position))
            .collect(),
        jobs_done: jobs_done(bench, &log),
        remarks,
    }
}

/// The hours that the machine has run: the most that anything names.
fn hours_now(bench: &Bench, log: &[LogEntry]) -> Option<Decimal> {
    log.iter().filter_map(|entry| entry.hours).chain(bench.machine.hours).max()
}

/// The positions that a machine may have by the tables or that its log names, by place; then those that only the log
/// names. What the tables list for other machines alone is most of a large catalog.
pub(super) fn positions(bench: &Bench, log: &[LogEntry]) -> Vec<Key> {
    let logged: HashSet<&Key> = log.iter().filter_map(|entry| entry.position.as_ref()).collect();
    let mut positions = bench.lookup.position_keys();
    let may_have = |row: &Position| row.scope.applies(&bench.machine) != Applies::No;
    positions.retain(|position| {
        logged.contains(position) || bench.lookup.positions(position).iter().any(may_have)
    });
    let known: HashSet<&Key> = positions.iter().collect();
    let mut others: Vec<Key> =
        logged.into_iter().filter(|position| !known.contains(position)).cloned().collect();
    others.sort();
    positions.extend(others);
    positions
}

/// Tells whether the log says what sits at a place, or that nothing does.
pub(super) fn is_unknown(place: &Place) -> bool {
    place.is_on_machine() && !place.current.logged
}

fn by_position(log: &[LogEntry]) -> HashMap<Key, Vec<&LogEntry>> {
    let mut groups: HashMap<Key, Vec<&LogEntry>> = HashMap::new();
    for entry in log {
        if let Some(position) = &entry.position {
            groups.entry(position.clone()).or_default().push(entry);
        }
    }
    groups
}

/// The jobs of a log by date, each day's once.
fn jobs_done(bench: &Bench, log: &[LogEntry]) -> Vec<JobDone> {
    let mut done: Vec<JobDone> = Vec::new();
    for entry in log {
        let Some(job) = &entry.job else { continue };
        let same = |known: &&mut JobDone| {
            known.date == entry.date.as_str() && Key::new(&known.job) == *job
        };
        let held = entry
            .options
            .iter()
            .filter(|option| option.holds)
            .map(|option| option.name.to_string());
        match done.iter_mut().find(same) {
            Some(known) => {
                known.hours = known.hours.max(entry.hours);
                known.options.extend(held);
            }
            None => {
                let left = left_out(&bench.machine.machine, job, bench.lookup);
                let left = left.iter().filter(|left| left.date == entry.date);
                done.push(JobDone {
                    date: entry.date.to_string(),
                    job: job.to_string(),
                    hours: entry.hours,
                    left_out: left
                        .map(|left| bench.lookup.spell_position(&left.position).to_string())
                        .collect(),
                    options: held.collect(),
                });
            }
        }
    }
    done.sort_by(|a, b| a.date.cmp(&b.date));
    done
}

struct Reader<'a> {
    bench: &'a Bench<'a>,
    today: &'a Date,
    hours: Option<Decimal>,
    /// The fewest hours that the log names.
    first_hours: Option<Decimal>,
    log: HashMap<Key, Vec<&'a LogEntry>>,
    all: &'a [LogEntry],
}

impl Reader<'_> {
    fn read(&self, position: &Key) -> Option<Known> {
        let lookup = self.bench.lookup;
        let place = self.bench.place(position);
        // What a row of another model, or a row that says that nothing is there, lists is no concern of this machine.
        if !place.is_on_machine() && !place.current.logged {
            return None;
        }
        let entries = self.log.get(position).map_or(&[][..], Vec::as_slice);
        let counting = self.counting(entries);
        let row = place.row();
        let life = self.life(&place, counting);
        let overdue = life.as_ref().is_some_and(|life| life.state == LifeState::Overdue);
        let status = match (overdue && place.is_on_machine(), place.current.logged) {
            (true, _) => Status::Overdue,
            (false, true) => Status::Known,
            (false, false) => Status::Unknown,
        };
        let spelled = place.current.parts.iter().map(|sitting| {
            sitting
                .part
                .as_ref()
                .map_or_else(String::new, |part| lookup.spell_part(part).to_string())
        });
        let spelled: Vec<String> = spelled.collect();
        let fitted =
            counting.filter(|entry| !entry.date.is_blank()).map(|entry| entry.date.to_string());
        Some(Known {
            position: place.position.to_string(),
            assembly: row.map_or_else(String::new, |row| row.assembly.clone()),
            name: row.map_or_else(String::new, |row| row.name.clone()),
            part: place.is_on_machine().then(|| spelled.join(";")),
            hours: counting.and_then(|entry| entry.hours),
            job: counting.and_then(|entry| entry.job.as_ref()).map(ToString::to_string),
            status,
            logged: place.current.logged,
            sure: place.current.sure,
            superseded: self.superseded(&place),
            wear: self.wear(&place, fitted.as_deref()),
            last_look: last_look(entries, counting),
            fitted,
            life,
        })
    }

    /// The first of the rows that say what sits there: those of the latest date, as the kit reads them.
    fn counting<'e>(&self, entries: &[&'e LogEntry]) -> Option<&'e LogEntry> {
        let counts = || entries.iter().filter(|entry| entry.part != Fitted::Blank);
        let latest = counts().map(|entry| &entry.date).max()?;
        let mut of_day = counts().filter(|entry| entry.date == *latest);
        // Hours or a job may stand in any of them.
        let first = of_day.clone().next();
        of_day.find(|entry| entry.hours.is_some()).or(first).copied()
    }

    fn superseded(&self, place: &Place) -> Vec<Superseded> {
        let lookup = self.bench.lookup;
        let mut all: Vec<Superseded> = Vec::new();
        for part in place.current.parts.iter().filter_map(|sitting| sitting.part.as_ref()) {
            let resolved = self.bench.resolve(part);
            if resolved.finals.iter().all(|end| end.part == *part) {
                continue;
            }
            let now = resolved
                .finals
                .iter()
                .map(|end| lookup.spell_part(&end.part).to_string())
                .collect();
            let one = Superseded {
                part: lookup.spell_part(part).to_string(),
                now,
                with_others: !resolved.needs.is_empty(),
            };
            if !all.contains(&one) {
                all.push(one);
            }
        }
        all
    }

    fn life(&self, place: &Place, counting: Option<&LogEntry>) -> Option<Life> {
        let row = place.row()?;
        let (life_hours, life_months) = (row.life_hours, row.life_months);
        if (life_hours.is_none() && life_months.is_none()) || !place.is_on_machine() {
            return None;
        }
        // What nobody saw being fitted has been there at least as long as the owner has had the machine.
        let by_log = counting.filter(|entry| !entry.date.is_blank() || entry.hours.is_some());
        let at_least = by_log.is_none();
        let since_hours =
            if at_least { self.first_hours } else { by_log.and_then(|entry| entry.hours) };
        let since_day = match by_log {
            Some(entry) => first_day(entry.date.as_str()),
            None => first_day(self.bench.machine.bought.as_str()),
        };
        let run_hours = self.hours.zip(since_hours).and_then(|(now, then)| now.checked_sub(then));
        let run_hours = run_hours.filter(|run| *run >= Decimal::ZERO);
        let today: Option<jiff::civil::Date> = self.today.as_str().parse().ok();
        let due_on = since_day.zip(life_months).and_then(|(day, months)| after_months(day, months));
        let by_hours = life_hours.zip(run_hours).map(|(life, run)| how_much(life - run, life));
        let by_days = due_on.zip(since_day).zip(today).map(|((due, since), today)| {
            how_much(Decimal::from(days(today, due)), Decimal::from(days(since, due)))
        });
        let judged = [by_hours, by_days].into_iter().flatten().max();
        // A life of which only a lower bound is known may well be over: only that it is over is sure.
        let judged =
            if at_least { judged.filter(|state| *state == LifeState::Overdue) } else { judged };
        Some(Life {
            state: judged.unwrap_or(LifeState::NotKnown),
            life_hours,
            life_months,
            run_hours,
            due_on: due_on.map(|due| due.to_string()),
            at_least,
        })
    }

    fn wear(&self, place: &Place, fitted: Option<&str>) -> Vec<Worn> {
        let lookup = self.bench.lookup;
        let readings = lookup.measurements_at(&self.bench.machine.machine, &place.position);
        if readings.is_empty() {
            return Vec::new();
        }
        let seat = SeatSizes::of(self.bench, &place.position);
        let renewed = self.renewed_nearby(place, fitted);
        let mut worn = Vec::new();
        for figure in seat.features.iter().filter(|figure| figure.reading.is_some()) {
            let of_feature: Vec<Measurement> = readings
                .iter()
                .filter(|reading| reading.feature == figure.feature)
                .cloned()
                .collect();
            worn.extend(self.worn(figure, &of_feature, renewed.as_ref()));
        }
        worn
    }

    fn worn(
        &self,
        figure: &SeatFigure,
        readings: &[Measurement],
        renewed: Option<&(String, String)>,
    ) -> Option<Worn> {
        let last = figure.reading.as_ref()?;
        let (least, most) =
            (figure.least.map(|least| least.low), figure.most.map(|most| most.high));
        let wear = Wear::judge(last.value, figure.new, least, most);
        let before = renewed.filter(|(date, _)| *date > last.date);
        Some(Worn {
            feature: figure.feature.to_string(),
            reading: last.typed.clone(),
            date: last.date.clone(),
            state: wear.map(|wear| wear.state),
            left_mm: wear.map(|wear| wear.left),
            says: wear.map_or_else(String::new, |wear| wear.to_string()),
            // Once something there was renewed, the old readings draw no line for what is there now.
            trend: if before.is_some() {
                None
            } else {
                trend(&points(readings, self.all), least, most)
            },
            before: before.map(|(date, position)| format!("{position} renewed on {date}")),
        })
    }

    /// The last that was renewed at a place, or at one that shares a joint with it and is not used up by being opened:
    /// a reading from before may be of a part that is there no more.
    fn renewed_nearby(&self, place: &Place, fitted: Option<&str>) -> Option<(String, String)> {
        let lookup = self.bench.lookup;
        let mut latest = fitted.map(|date| (date.to_owned(), place.position.to_string()));
        for joint in place.row().map_or(&[][..], |row| &row.joint) {
            for other in
                lookup.positions_in_joint(joint).iter().filter(|other| **other != place.position)
            {
                let there = self.bench.place(other);
                let passing =
                    there.current.parts.iter().filter_map(|sitting| sitting.part.as_ref()).any(
                        |part| {
                            let row = lookup.part(part);
                            let part_type = row.as_ref().and_then(|row| self.bench.part_type(row));
                            row.is_some_and(|row| row.single_use == Some(true))
                                || part_type.is_some_and(|part_type| {
                                    part_type.seals.is_some_and(crate::catalog::Seals::closes)
                                        || part_type.when_disturbed
                                            == Some(crate::catalog::WhenDisturbed::Renew)
                                })
                        },
                    );
                let entries = self.log.get(other).map_or(&[][..], Vec::as_slice);
                let Some(entry) =
                    self.counting(entries).filter(|entry| !passing && !entry.date.is_blank())
                else {
                    continue;
                };
                if latest.as_ref().is_none_or(|(date, _)| entry.date.as_str() > date.as_str()) {
                    latest = Some((entry.date.to_string(), there.position.to_string()));
                }
            }
        }
        latest
    }
}

/// What was noted of a position last without anything being renewed there, where that is newer than what sits there.
fn last_look(entries: &[&LogEntry], counting: Option<&LogEntry>) -> Option<String> {
    let looks =
        entries.iter().filter(|entry| entry.part == Fitted::Blank && !entry.finding.is_empty());
    let last = looks.max_by_key(|entry| entry.date.clone())?;
    if counting.is_some_and(|entry| entry.date > last.date) {
        return None;
    }
    let date = if last.date.is_blank() { "no date" } else { last.date.as_str() };
    Some(format!("{date}: {}", last.finding))
}

/// How a life stands of which so much of so much is left. A fifth is the same share as for wear: common practice, no
/// source.
fn how_much(left: Decimal, whole: Decimal) -> LifeState {
    if left <= Decimal::ZERO {
        LifeState::Overdue
    } else if left.saturating_mul(Decimal::from(5)) < whole {
        LifeState::Near
    } else {
        LifeState::Ok
    }
}

/// The first day of a date: a bare year or month counts from its first, so that what it dates comes due sooner.
fn first_day(date: &str) -> Option<jiff::civil::Date> {
    let whole = match date.len() {
        4 => format!("{date}-01-01"),
        7 => format!("{date}-01"),
        _ => date.to_owned(),
    };
    whole.parse().ok()
}

/// The day so many months later; part of a month is that part of 30 days.
fn after_months(day: jiff::civil::Date, months: Decimal) -> Option<jiff::civil::Date> {
    use rust_decimal::prelude::ToPrimitive;
    let whole = months.floor();
    let days = (months - whole).saturating_mul(Decimal::from(30)).floor().to_i64()?;
    let span = jiff::Span::new().try_months(whole.to_i64()?).ok()?;
    day.checked_add(span).ok()?.checked_add(jiff::Span::new().try_days(days).ok()?).ok()
}

fn days(from: jiff::civil::Date, to: jiff::civil::Date) -> i64 {
    from.until((jiff::Unit::Day, to)).map_or(0, |span| i64::from(span.get_days()))
}
