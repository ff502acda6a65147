//! The command `record`.

use super::args::{Catalog, Wanted, parse_arrival, parse_day, parse_number};
use super::opening::{lines_of, open_to_change, open_to_look};
use super::printing::{Page, count};
use super::proposal::{Consent, Decision, as_json, decide, show};
use super::{Answer, Ended};
use crate::catalog::Need;
use crate::desk::open::Workbench;
use crate::desk::{self, day};
use crate::kit::{Ask, Instead, PlannedOperation, When};
use crate::measure::{Date, Key, PartNumber, Quantity, json_number, plain};
use crate::tables::FileDifference;
use crate::work::fitted::missing_by_number;
use crate::work::record::{Files, LogRow, NotRecorded, Record, Recording, record};
use clap::Args;
use rust_decimal::Decimal;
use serde_json::{Value, json};

#[derive(Debug, Args)]
#[command(after_help = "\
Examples:
  kitwright record impeller --on tender --date 2026-11-20 --hours 240
  kitwright record cooling-pump --on dinghy --hours 415 --except pump-plate-gasket
  kitwright record annual-service --on dinghy --hours 420 --found 'oil clean' --used 90-6001=5g

What will be written is shown first. kitwright undo takes it back.")]
// What is asked of a kit beforehand is told of it afterwards.
#[command(
    mut_arg("instead", |arg| arg.help("This number was fitted; POSITION=- was left empty")),
    mut_arg("renew", |arg| arg.help("What sits at this position was renewed too, as an inspected part that was worn")),
    mut_arg("reuse", |arg| arg.help("The single-use part at this position went back in"))
)]
pub(crate) struct RecordAsk {
    #[command(flatten)]
    pub wanted: Wanted,
    /// The day it was done; today where it is not given.
    #[arg(long, value_name = "DATE", value_parser = parse_day)]
    pub date: Option<Date>,
    /// The hours that the machine had run.
    #[arg(long, value_name = "HOURS", value_parser = parse_number)]
    pub hours: Option<Decimal>,
    /// This position was left as it was, for later, or this operation was not carried out.
    #[arg(long, value_name = "POSITION")]
    pub except: Vec<String>,
    /// This operation, for when the machine is together again, was done. Repeat it for more.
    #[arg(long, value_name = "OPERATION")]
    pub done: Vec<String>,
    /// This position was looked at and left in; all is every one that the kit inspects. Repeat it for more.
    #[arg(long, value_name = "POSITION")]
    pub inspected: Vec<String>,
    /// What was found.
    #[arg(long, value_name = "TEXT", default_value = "", hide_default_value = true)]
    pub found: String,
    /// So much of this was used up by the work, where the kit does not say or says otherwise.
    #[arg(long, value_name = "PART=QTY", value_parser = parse_arrival)]
    pub used: Vec<(PartNumber, Quantity)>,
    /// Put what is left over of the sets into this bin of the stock.
    #[arg(long, value_name = "BIN")]
    pub rest_to: Option<String>,
    /// Leave the job's order lines open that are still to come.
    #[arg(long)]
    pub leave_waiting: bool,
    /// As --force.
    #[arg(long, hide = true)]
    pub accept: bool,
    #[command(flatten)]
    pub consent: Consent,
}

pub(crate) fn run(catalog: &Catalog, ask: &RecordAsk, json: bool) -> anyhow::Result<Answer> {
    let bench = if ask.consent.dry_run { open_to_look(catalog)? } else { open_to_change(catalog)? };
    let notes = lines_of(&bench.notes);
    let (told, recorded) = match worked_out(ask, &bench)? {
        Ok(recorded) => recorded,
        Err(why) => return Ok(Answer::refused(format!("{notes}error: {why}\n"))),
    };
    let differences = bench.preview(&recorded.edits)?;
    let mut shown = page(&told, &recorded, &differences);
    let decision = decide(ask.consent, json, &mut shown, "Write it down?");
    let what = what(&told, &recorded);
    if decision == Decision::Write {
        bench.change_worked_out(&format!("the record of {what}"), &recorded.edits, |fresh| {
            worked_out(ask, fresh).ok()?.ok().map(|(_, recorded)| recorded.edits)
        })?;
    }
    let whole = recorded.done.missing.is_empty() && recorded.kit.complete;
    let ended = Ended::with(whole && decision != Decision::Unasked);
    let out = if json {
        let written = decision == Decision::Write;
        format!(
            "{}\n",
            serde_json::to_string_pretty(&object(&told, &recorded, written, &differences))?
        )
    } else {
        let said = decision.remark().map_or_else(|| format!("Recorded: {what}."), str::to_owned);
        format!("{shown}\n{said}\n")
    };
    let mut answer = Answer::new(out, ended);
    answer.err = notes;
    for option in &recorded.kit.unknown_options {
        answer
            .err
            .push_str(&format!("note: no line of these jobs asks about the option '{option}'\n"));
    }
    Ok(answer)
}

/// Works out what is to be written; or says why nothing is.
fn worked_out(
    ask: &RecordAsk,
    bench: &Workbench,
) -> anyhow::Result<Result<(Recording, Record), NotRecorded>> {
    let told = match desk::Wanted::from(&ask.wanted).ask(&*bench.catalog) {
        Ok(asked) => told(ask, asked)?,
        Err(why) => return Ok(Err(NotRecorded::NoKit(why.into()))),
    };
    let machine = told.ask.machine.clone().unwrap_or_else(|| Key::new(""));
    let files = Files { worklog: bench.log_file(&machine), stock: bench.file_of("stock") };
    Ok(record(&told, &files, &*bench.catalog).map(|recorded| (told, recorded)))
}

fn told(ask: &RecordAsk, asked: Ask) -> anyhow::Result<Recording> {
    let today: Date = day(None)?;
    Ok(Recording {
        ask: asked,
        day: ask.date.clone().unwrap_or_else(|| today.clone()),
        hours: ask.hours,
        except: ask.except.iter().map(|name| Key::new(name)).collect(),
        inspected: ask.inspected.iter().map(|name| Key::new(name)).collect(),
        done: ask.done.iter().map(|name| Key::new(name)).collect(),
        found: ask.found.trim().to_owned(),
        used: ask.used.clone(),
        rest_to: ask.rest_to.clone(),
        leave_waiting: ask.leave_waiting,
        accept: ask.accept || ask.wanted.force,
        today,
    })
}

/// What is written down, in few words.
fn what(told: &Recording, recorded: &Record) -> String {
    let kit = &recorded.kit;
    let hours = told.hours.map_or_else(String::new, |hours| format!(" at {} hours", plain(hours)));
    format!("{} on {}, {}{hours}", kit.title(), kit.machine, told.day)
}

/// The parts of one's own choice without which what is left would be another.
fn chosen(told: &Recording, positions: &[String]) -> String {
    let of_these = |instead: &&Instead| {
        positions.iter().any(|position| Key::new(position) == instead.position)
    };
    let instead = told.ask.told().instead.iter().filter(of_these).map(|instead| {
        let need = Need { position: instead.position.clone(), change: instead.change.clone() };
        format!(" --instead {need}")
    });
    instead.collect()
}

fn page(told: &Recording, recorded: &Record, differences: &[FileDifference]) -> String {
    let mut page = Page::default();
    let (done, kit) = (&recorded.done, &recorded.kit);
    let rows = count(recorded.rows.len(), "row for the log", "rows for the log");
    let off = match done.taken.len() {
        0 => "nothing comes off the shelf".to_owned(),
        lots => format!("{} off the shelf", count(lots, "lot", "lots")),
    };
    page.answer(
        &format!("{}: {rows}, {off}", what(told, recorded)),
        done.missing.is_empty() && kit.complete,
    );
    for question in &recorded.accepted {
        page.text(&format!("on your word, although: {question}"), "! ", "  ");
    }
    for remark in &done.remarks {
        page.text(remark, "! ", "  ");
    }
    for doubt in &kit.doubts {
        page.text(doubt, "! ", "  ");
    }
    for gap in &kit.gaps {
        page.text(&format!("the kit was not complete: {} {}", gap.kind, gap.subject), "! ", "  ");
    }
    if told.hours.is_none() {
        page.text(
            "No hours were given (--hours), so what is fitted now cannot come due by them.",
            "! ",
            "  ",
        );
    }
    if !done.missing.is_empty() {
        page.heading("Not on the shelf, but logged");
        for (part, quantity) in missing_by_number(&done.missing) {
            page.text(&amount_of(&part, quantity), "  ", "    ");
        }
    }
    if !done.as_needed.is_empty() {
        page.heading("Used as needed; how much is not known, so the shelf stays as it is");
        for (part, bin) in &done.as_needed {
            page.text(
                &format!("{part}{}: --used {part}=AMOUNT takes it off", in_bin(bin)),
                "  ",
                "    ",
            );
        }
    }
    if !done.left_over.is_empty() {
        page.heading(match &told.rest_to {
            Some(_) => "Left over of the sets, and put on the shelf",
            None => "Left over of the sets; --rest-to BIN puts it on the shelf",
        });
        for left in &done.left_over {
            let text = format!("{}, out of {}", amount_of(&left.part, left.quantity), left.out_of);
            page.text(&text, "  ", "    ");
        }
    }
    if !recorded.left_out.is_empty() || !recorded.skipped.is_empty() {
        page.heading("Left for later");
        for (job, positions) in &recorded.left_out {
            let kept = match recorded.kept.contains(job) {
                true => "its parts stay kept for it".to_owned(),
                false => {
                    format!(
                        "ordering for other work, --keep-for '{job}@{}' leaves its parts on the shelf",
                        kit.machine
                    )
                }
            };
            let text = format!(
                "{}: {job} is half done; kitwright kit {job} --on {}{} --rest asks for it; {kept}",
                positions.join(", "),
                kit.machine,
                chosen(told, positions)
            );
            page.text(&text, "  ", "    ");
        }
        for operation in &recorded.skipped {
            let after = |known: &&PlannedOperation| {
                known.operation == *operation && known.phase == When::After
            };
            let later = match kit.operations.iter().find(after) {
                Some(_) => format!("; --done {operation} says that it was done"),
                None => String::new(),
            };
            page.text(
                &format!("{operation}: not logged, and nothing is used up for it{later}"),
                "  ",
                "    ",
            );
        }
    }
    if !recorded.not_looked_at.is_empty() {
        page.heading("Not logged as inspected; --inspected POSITION, or all, says that you looked");
        page.text(&recorded.not_looked_at.join(", "), "  ", "  ");
    }
    for (heading, lines) in [
        ("No longer waited for", &recorded.closed),
        ("Still to come for the rest of the job", &recorded.still_open),
    ] {
        if !lines.is_empty() {
            page.heading(heading);
            for (order, part, quantity) in lines {
                page.text(&format!("order {order}: {}", amount_of(part, *quantity)), "  ", "    ");
            }
        }
    }
    if !recorded.done_once.is_empty() {
        page.heading("Done once, and not called for again");
        page.text(&recorded.done_once.join(", "), "  ", "  ");
    }
    show(&mut page, differences);
    page.into_text()
}

fn amount_of(part: &PartNumber, quantity: Quantity) -> String {
    if quantity.amount.is_zero() {
        format!("{part}, as needed")
    } else {
        format!("{quantity} × {part}")
    }
}

fn in_bin(bin: &str) -> String {
    if bin.is_empty() { String::new() } else { format!(" in {bin}") }
}

fn object(
    told: &Recording,
    recorded: &Record,
    written: bool,
    differences: &[FileDifference],
) -> Value {
    let (done, kit) = (&recorded.done, &recorded.kit);
    let key = |key: &Option<Key>| key.as_ref().map(|key| key.as_str().to_owned());
    let number = |amount: Decimal| json_number(amount);
    let amount = |part: &PartNumber, quantity: Quantity| json!({ "part": part.as_str(), "quantity": number(quantity.amount), "unit": quantity.unit.symbol() });
    let row = |row: &LogRow| {
        json!({
            "position": key(&row.position), "part": row.part,
            "quantity": row.quantity.map(|quantity| number(quantity.amount)),
            "unit": row.quantity.map(|quantity| quantity.unit.symbol()),
            "operation": key(&row.operation), "job": key(&row.job),
            "left_out": row.left_out.iter().map(Key::as_str).collect::<Vec<_>>(),
            "options": row.options.iter().map(ToString::to_string).collect::<Vec<_>>(),
            "finding": row.finding, "note": row.note,
        })
    };
    let taken = done.taken.iter().map(|off| {
        json!({
            "part": off.part.as_str(), "quantity": number(off.amount), "unit": off.had.unit.symbol(), "bin": off.bin,
            "left": number((off.had.amount - off.amount).max(Decimal::ZERO)), "opened": off.opened,
        })
    });
    let line = |(order, part, quantity): &(String, PartNumber, Quantity)| {
        let mut line = amount(part, *quantity);
        line["order"] = json!(order);
        line
    };
    let left_over = done.left_over.iter().map(|left| {
        let mut one = amount(&left.part, left.quantity);
        one["out_of"] = json!(left.out_of.as_str());
        one
    });
    json!({
        "machine": kit.machine,
        "jobs": kit.jobs,
        "date": told.day.as_str(),
        "hours": told.hours.map(number),
        "written": written,
        "complete": kit.complete,
        "rows": recorded.rows.iter().map(row).collect::<Vec<_>>(),
        "taken": taken.collect::<Vec<_>>(),
        "as_needed": done.as_needed.iter().map(|(part, bin)| json!({ "part": part.as_str(), "bin": bin })).collect::<Vec<_>>(),
        "missing": missing_by_number(&done.missing).iter().map(|(part, quantity)| amount(part, *quantity)).collect::<Vec<_>>(),
        "left_over": left_over.collect::<Vec<_>>(),
        "closed": recorded.closed.iter().map(line).collect::<Vec<_>>(),
        "still_open": recorded.still_open.iter().map(line).collect::<Vec<_>>(),
        "done_once": recorded.done_once,
        "left_out": recorded.left_out.iter().flat_map(|(_, positions)| positions).collect::<Vec<_>>(),
        "skipped": recorded.skipped,
        "not_looked_at": recorded.not_looked_at,
        "accepted": recorded.accepted,
        "remarks": done.remarks,
        "files": as_json(differences),
    })
}
