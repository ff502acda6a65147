//! The command `measure`: logs a reading and says how it stands to its limits.

use super::args::{Catalog, machine_meant, parse_day};
use super::opening::{lines_of, open_to_change, open_to_look};
use super::printing::Page;
use super::{Answer, Ended};
use crate::catalog::Lookup;
use crate::desk::day;
use crate::fit::{self, SeatFigure, SeatSizes};
use crate::kit::{Bench, Refusal, Unknown};
use crate::measure::{
    Date, DecimalMark, Gauged, Key, Tolerance, Wear, WearState, json_number, shorten,
};
use crate::near::nearest;
use crate::tables::{Edit, FileEdits};
use crate::work::reading::questions;
use anyhow::{Context as _, anyhow, bail};
use clap::Args;
use serde_json::json;

#[derive(Debug, Args)]
#[command(
    override_usage = "kitwright measure [OPTIONS] [MACHINE] [POSITION] FEATURE VALUE",
    after_help = "\
Examples:
  kitwright measure 'shaft diameter' 11.87 --on dinghy --at drive-seal-upper
  kitwright measure dinghy pump-impeller 'chamber diameter' '1.599 in' --note 'three places, largest taken'"
)]
pub(crate) struct MeasureAsk {
    /// The machine, unless --on names it.
    #[arg(value_name = "MACHINE")]
    pub first: String,
    /// The position, unless --at names it.
    #[arg(value_name = "POSITION")]
    pub second: String,
    /// The feature, as the table seats names it.
    #[arg(value_name = "FEATURE")]
    pub third: Option<String>,
    /// The reading.
    #[arg(value_name = "VALUE")]
    pub fourth: Option<String>,
    /// The machine; without it KITWRIGHT_ON, or the only machine of the catalog.
    #[arg(long, value_name = "MACHINE")]
    pub on: Option<String>,
    /// The position.
    #[arg(long, value_name = "POSITION")]
    pub at: Option<String>,
    /// The day it was taken; today without it.
    #[arg(long, value_name = "DATE", value_parser = parse_day)]
    pub date: Option<Date>,
    /// Anything else.
    #[arg(long, value_name = "TEXT", default_value = "", hide_default_value = true)]
    pub note: String,
    /// Log it although something about it was questioned.
    #[arg(long, alias = "accept")]
    pub force: bool,
    /// Judge the reading, and do not log it.
    #[arg(long)]
    pub dry_run: bool,
}

fn parse_reading(text: &str) -> Result<Gauged, String> {
    let reading = Gauged::parse(text, DecimalMark::Point).map_err(|error| error.to_string())?;
    if matches!(reading.tolerance(), Tolerance::Class(_)) {
        return Err(
            "a reading is what the gauge shows, such as 11.87, and no tolerance class".to_owned()
        );
    }
    Ok(reading)
}

/// What was measured, where, and what the gauge showed.
struct Measured<'a> {
    machine: Option<&'a String>,
    position: &'a str,
    feature: &'a str,
    value: Gauged,
}

/// Sorts the words: the reading is the last, the feature stands before it.
fn measured(ask: &MeasureAsk) -> anyhow::Result<Measured<'_>> {
    let words = [Some(&ask.first), Some(&ask.second), ask.third.as_ref(), ask.fourth.as_ref()];
    let mut words = words.into_iter().flatten().rev();
    let value = words.next().map_or("", String::as_str);
    let value = parse_reading(value).map_err(|why| anyhow!("'{}': {why}", shorten(value)))?;
    let feature = words.next().map_or("", String::as_str);
    let position = match &ask.at {
        Some(position) => position,
        None => words.next().context("name the position: --at POSITION")?,
    };
    let machine = ask.on.as_ref().or_else(|| words.next());
    if let Some(left) = words.next() {
        bail!("'{}' is one word too many: POSITION FEATURE VALUE --on MACHINE", shorten(left));
    }
    if feature.trim().is_empty() {
        bail!("the feature is blank; name what was measured, such as 'shaft diameter'");
    }
    Ok(Measured { machine, position, feature, value })
}

pub(crate) fn run(catalog: &Catalog, ask: &MeasureAsk, json: bool) -> anyhow::Result<Answer> {
    let told = measured(ask)?;
    let desk = if ask.dry_run { open_to_look(catalog)? } else { open_to_change(catalog)? };
    let (rows, mut notes) = (&*desk.catalog, lines_of(&desk.notes));
    let refused = |refusal: Refusal| Answer::refused(format!("error: {refusal}\n"));
    let machine = match machine_meant(told.machine, rows)
        .and_then(|machine| fit::find_machine(&machine, rows))
    {
        Ok(machine) => machine,
        Err(refusal) => return Ok(refused(refusal)),
    };
    let position = Key::new(told.position);
    if rows.positions(&position).is_empty() && rows.seats_at(&position).is_empty() {
        return Ok(refused(Refusal::NoPosition(Unknown::new(&position, &rows.position_keys()))));
    }
    let reading = told.value.interval_mm()?;
    let bench = Bench::new(machine, rows);
    let position = rows.spell_position(&position);
    let seat = SeatSizes::of(&bench, &position);
    let known = seat.features.iter().find(|known| known.feature == Key::new(told.feature));
    let feature = known.map_or_else(|| Key::new(told.feature), |known| known.feature.clone());
    if known.is_none() {
        notes.push_str(&stranger(&feature, &seat, &position));
    }
    let wear = known.and_then(|known| judge(known, reading));
    let today = day(None)?;
    let date = ask.date.clone().unwrap_or_else(|| today.clone());
    let questions = questions(&told.value, known, &date, &today);
    if !questions.is_empty() && !ask.force {
        let questions = questions.join("\n  ");
        return Ok(Answer::refused(format!(
            "{notes}error: nothing was logged, for something looks wrong:\n  {questions}\nCorrect it, or say --force to log it as it is.\n"
        )));
    }
    let edits = logged(
        &bench,
        desk.file_of("measurements"),
        (&told.value, &ask.note),
        &position,
        &feature,
        &date,
    );
    let file = if ask.dry_run {
        desk.preview(std::slice::from_ref(&edits))?;
        None
    } else {
        let what = format!("{feature} at {position} on {}", bench.machine.machine);
        desk.change(&what, std::slice::from_ref(&edits)).context("the reading was not logged")?;
        Some(edits.name)
    };

    let ended = if wear.is_some_and(|wear| wear.state == WearState::Beyond) {
        Ended::Open
    } else {
        Ended::Done
    };
    let out = if json {
        let answer = json!({
            "machine": bench.machine.machine.as_str(),
            "position": position.as_str(),
            "feature": feature.as_str(),
            "value": told.value.to_string(),
            "value_mm": json_number(reading.nominal),
            "date": date.as_str(),
            "logged": file,
            "state": wear.map(|wear| wear.state),
            "left_mm": wear.map(|wear| json_number(wear.left)),
            "accepted": questions,
            "limit_mm": wear.map(|wear| json_number(wear.limit)),
        });
        format!("{}\n", serde_json::to_string_pretty(&answer)?)
    } else {
        let mut page = Page::default();
        let title = format!("{feature} at {position} on {}: {}", bench.machine.machine, told.value);
        match wear {
            Some(wear) => {
                page.answer(&format!("{title}, {wear}"), wear.state == WearState::InLimits)
            }
            None => {
                page.answer(&title, true);
                page.text("The table seats gives no limit for it.", "  ", "  ");
            }
        }
        for question in &questions {
            page.text(&format!("on your word, although: {question}"), "! ", "  ");
        }
        if let Some(earlier) = known.and_then(|known| known.reading.as_ref()) {
            page.text(&format!("before: {} on {}", earlier.typed, earlier.date), "  ", "    ");
        }
        match &file {
            Some(file) => page.text(&format!("Logged in {file} with the date {date}."), "  ", "  "),
            None => page.text("Not logged.", "  ", "  "),
        }
        page.into_text()
    };
    Ok(Answer { out, err: notes, ended })
}

fn judge(known: &SeatFigure, reading: crate::measure::Interval) -> Option<Wear> {
    Wear::judge(
        reading,
        known.new,
        known.least.map(|least| least.low),
        known.most.map(|most| most.high),
    )
}

/// A feature that no seat has is logged all the same: the limit may be found later. A slip is pointed out.
fn stranger(feature: &Key, seat: &SeatSizes, position: &Key) -> String {
    let names: Vec<&str> = seat.features.iter().map(|known| known.feature.as_str()).collect();
    let meant = nearest(feature.as_str(), names.iter().copied());
    match meant {
        Some(meant) => {
            format!(
                "note: {position} has no feature '{feature}' in the table seats; did you mean '{meant}'?\n"
            )
        }
        None if names.is_empty() => format!("note: the table seats says nothing of {position}\n"),
        None => {
            format!(
                "note: {position} has no feature '{feature}' in the table seats, which has: {}\n",
                names.join(", ")
            )
        }
    }
}

/// The edit that adds the reading to the file that holds this machine's readings at the position, else to the usual
/// file of readings.
fn logged(
    bench: &Bench,
    usual: String,
    (value, note): (&Gauged, &str),
    position: &Key,
    feature: &Key,
    date: &Date,
) -> FileEdits {
    let cell = |column: &str, text: &str| (column.to_owned(), text.to_owned());
    let cells = vec![
        cell("date", date.as_str()),
        cell("machine", bench.machine.machine.as_str()),
        cell("position", position.as_str()),
        cell("feature", feature.as_str()),
        cell("value", &value.to_string()),
        cell("note", note),
    ];
    let last =
        bench.lookup.measurements_at(&bench.machine.machine, position).last().map(|row| row.at);
    let name = last.map_or(usual, |at| bench.lookup.file(at).into_owned());
    FileEdits { table: "measurements", name, edits: vec![Edit::Append { cells }] }
}
