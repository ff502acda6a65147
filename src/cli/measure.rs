//! The command `measure`: logs a reading and says how it stands to its limits.

use super::args::{Catalog, MeasureAsk};
use super::opening::{lines_of, open_to_change, open_to_look};
use super::page::Page;
use super::{Answer, Ended};
use crate::catalog::Lookup;
use crate::desk::day;
use crate::fit::{self, SeatFigure, SeatSizes};
use crate::kit::{Bench, Refusal, Unknown};
use crate::measure::{Date, Key, Wear, WearState, json_number};
use crate::near::nearest;
use crate::tables::{Edit, FileEdits};
use crate::work::reading::questions;
use anyhow::Context;
use serde_json::json;

pub(crate) fn run(catalog: &Catalog, ask: &MeasureAsk, json: bool) -> anyhow::Result<Answer> {
    let desk = if ask.dry_run { open_to_look(catalog)? } else { open_to_change(catalog)? };
    if ask.feature.trim().is_empty() {
        return Ok(Answer::refused(
            "error: the feature is blank; name what was measured, such as 'shaft diameter'\n",
        ));
    }
    let (rows, mut notes) = (&*desk.catalog, lines_of(&desk.notes));
    let refused = |refusal: Refusal| Answer::refused(format!("error: {refusal}\n"));
    let machine = match fit::find_machine(&Key::new(&ask.machine), rows) {
        Ok(machine) => machine,
        Err(refusal) => return Ok(refused(refusal)),
    };
    let position = Key::new(&ask.position);
    if rows.positions(&position).is_empty() && rows.seats_at(&position).is_empty() {
        return Ok(refused(Refusal::NoPosition(Unknown::new(&position, &rows.position_keys()))));
    }
    let reading = ask.value.interval_mm()?;
    let bench = Bench::new(machine, rows);
    let position = rows.spell_position(&position);
    let seat = SeatSizes::of(&bench, &position);
    let known = seat.features.iter().find(|known| known.feature == Key::new(&ask.feature));
    let feature = known.map_or_else(|| Key::new(&ask.feature), |known| known.feature.clone());
    if known.is_none() {
        notes.push_str(&stranger(&feature, &seat, &position));
    }
    let wear = known.and_then(|known| judge(known, reading));
    let today = day(None)?;
    let date = ask.date.clone().unwrap_or_else(|| today.clone());
    let questions = questions(&ask.value, known, &date, &today);
    if !questions.is_empty() && !ask.accept {
        let questions = questions.join("\n  ");
        return Ok(Answer::refused(format!(
            "{notes}error: nothing was logged, for something looks wrong:\n  {questions}\nCorrect it, or say --accept to log it as it is.\n"
        )));
    }
    let edits = logged(&bench, desk.file_of("measurements"), ask, &position, &feature, &date);
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
            "value": ask.value.to_string(),
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
        let title = format!("{feature} at {position} on {}: {}", bench.machine.machine, ask.value);
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
    ask: &MeasureAsk,
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
        cell("value", &ask.value.to_string()),
        cell("note", &ask.note),
    ];
    let last =
        bench.lookup.measurements_at(&bench.machine.machine, position).last().map(|row| row.at);
    let name = last.map_or(usual, |at| bench.lookup.file(at).into_owned());
    FileEdits { table: "measurements", name, edits: vec![Edit::Append { cells }] }
}
