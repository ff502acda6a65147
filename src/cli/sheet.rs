//! The command `sheet`.

use super::args::{Catalog, Wanted, parse_day};
use super::opening::{WorkedOut, with_kit};
use super::printing::{Page, count};
use super::written::write;
use super::{Answer, Ended};
use crate::buy::order::on_hand;
use crate::desk::day;
use crate::measure::Date;
use crate::work::sheet::sheet;
use crate::work::sheet_page::page;
use crate::work::way_in::{Detail, picture};
use clap::Args;
use serde_json::{Value, json};
use std::path::PathBuf;

#[derive(Debug, Args)]
#[command(after_help = "\
Example:
  kitwright sheet cooling-pump --on dinghy --option driveshaft-out -o pump.html")]
pub(crate) struct SheetAsk {
    #[command(flatten)]
    pub wanted: Wanted,
    /// The page to write.
    #[arg(short = 'o', long = "output", value_name = "FILE.html")]
    pub output: PathBuf,
    /// The day of the sheet; today where it is not given.
    #[arg(long, value_name = "DATE", value_parser = parse_day)]
    pub date: Option<Date>,
}

/// The most operations that are drawn on the sheet.
const MOST_ON_PAPER: usize = 12;

pub(crate) fn run(catalog: &Catalog, ask: &SheetAsk, json: bool) -> anyhow::Result<Answer> {
    with_kit(catalog, &ask.wanted, |out| lay_out(out, ask, json))
}

fn lay_out(out: WorkedOut, ask: &SheetAsk, json: bool) -> anyhow::Result<Answer> {
    let today = day(ask.date.as_ref())?;
    let lookup = out.lookup;
    let (plan, remarks) = match on_hand(&out.ask, &out.kit, &today, lookup) {
        Ok(on_hand) => on_hand,
        Err(why) => return Ok(Answer::refused(format!("{}error: {why}\n", out.notes))),
    };
    let Some(sheet) = sheet(&out.ask, &out.kit, &plan, &remarks, &today, lookup) else {
        return Ok(Answer::refused(format!(
            "{}error: the machine is not in the table machines\n",
            out.notes
        )));
    };
    // More operations than fit a sheet of paper would be too small to read on it.
    let way_in = if sheet.strip.len() <= MOST_ON_PAPER {
        picture(&sheet, lookup, 2, Detail::Brief)
    } else {
        String::new()
    };
    write(&ask.output, &["html", "htm"], &page(&sheet, &way_in))?;
    let file = ask.output.display().to_string();
    let open = !sheet.complete || !sheet.doubts.is_empty();
    let text = if json {
        let mut object = serde_json::to_value(&sheet)?;
        if let Value::Object(object) = &mut object {
            object.insert("file".to_owned(), json!(file));
        }
        format!("{}\n", serde_json::to_string_pretty(&object)?)
    } else {
        let mut page = Page::default();
        let to_buy = sheet.lay_out.iter().filter(|item| item.to_buy).count();
        page.answer(
            &format!(
                "{file}: {} to lay out, {} of them to buy; {} to strip and refit.",
                count(sheet.lay_out.len(), "line", "lines"),
                to_buy,
                count(sheet.strip.len(), "step", "steps")
            ),
            !open,
        );
        if !sheet.complete {
            let gaps = count(sheet.gaps.len(), "gap", "gaps");
            page.text(
                &format!("The kit is NOT complete: {gaps}. The sheet begins with them."),
                "! ",
                "  ",
            );
        }
        for doubt in &sheet.doubts {
            page.text(doubt, "! ", "  ");
        }
        let missing =
            sheet.refit.iter().flat_map(|step| &step.torques).chain(&sheet.torques_at_no_step);
        let missing: Vec<&str> = missing
            .filter(|torque| torque.stages.is_empty())
            .map(|torque| torque.position.as_str())
            .collect();
        if !missing.is_empty() {
            let text = format!(
                "No torque in the catalog for {}: see the maker's manual.",
                missing.join(", ")
            );
            page.quiet(&text, "");
        }
        page.into_text()
    };
    Ok(Answer { out: text, err: out.notes, ended: Ended::with(sheet.complete) })
}
