//! The command `draw`.

use super::args::{Catalog, Wanted};
use super::opening::{WorkedOut, with_kit};
use super::printing::count;
use super::written::write;
use super::{Answer, Ended};
use crate::buy::answer::OrderPlan;
use crate::desk::day;
use crate::work::sheet::sheet;
use crate::work::way_in::{Detail, picture};
use clap::Args;
use serde_json::json;
use std::path::PathBuf;

#[derive(Debug, Args)]
#[command(after_help = "\
Example:
  kitwright draw cooling-pump --on dinghy -o way-in.svg")]
pub(crate) struct WayInAsk {
    #[command(flatten)]
    pub wanted: Wanted,
    /// The picture to write.
    #[arg(short = 'o', long = "output", value_name = "FILE.svg")]
    pub output: PathBuf,
}

/// The most operations side by side.
const ACROSS: usize = 3;

pub(crate) fn run(catalog: &Catalog, ask: &WayInAsk, json: bool) -> anyhow::Result<Answer> {
    with_kit(catalog, &ask.wanted, |out| draw(out, ask, json))
}

fn draw(out: WorkedOut, ask: &WayInAsk, json: bool) -> anyhow::Result<Answer> {
    // Where things lie is not drawn, so the shelf is not looked at.
    let sheet = sheet(&out.ask, &out.kit, &OrderPlan::default(), &[], &day(None)?, out.lookup);
    let drawn =
        sheet.map_or_else(String::new, |sheet| picture(&sheet, out.lookup, ACROSS, Detail::Full));
    if drawn.is_empty() {
        let why = "there is nothing to draw: the tables name no operation for this";
        return Ok(Answer {
            out: String::new(),
            err: format!("{}{why}\n", out.notes),
            ended: Ended::NotFound,
        });
    }
    write(&ask.output, &["svg"], &drawn)?;
    let file = ask.output.display().to_string();
    let steps = out.kit.operations.len();
    let text = if json {
        let object = json!({ "file": file, "machine": out.kit.machine, "jobs": out.kit.jobs, "operations": steps, "complete": out.kit.complete });
        format!("{}\n", serde_json::to_string_pretty(&object)?)
    } else {
        let open = if out.kit.complete { "" } else { "; the kit is NOT complete" };
        format!("{file}: {}{open}\n", count(steps, "operation", "operations"))
    };
    Ok(Answer { out: text, err: out.notes, ended: Ended::with(out.kit.complete) })
}
