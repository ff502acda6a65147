//! The command `fits`.

use super::args::{Catalog, machine_meant, parse_part};
use super::opening::with_catalog;
use super::printing::{Page, Tone, count};
use super::written::write;
use super::{Answer, Ended};
use crate::catalog::Lookup;
use crate::fit::{self, Comparison, Sizes, Verdict};
use crate::kit::Bench;
use crate::measure::{Key, PartNumber};
use clap::Args;
use std::path::{Path, PathBuf};

#[derive(Debug, Args)]
#[command(after_help = "\
Examples:
  kitwright fits TV-1180-03 dinghy
  kitwright fits TV-1180-03 --on dinghy --at pump-housing")]
pub(crate) struct FitsAsk {
    /// The part number, in any spelling.
    #[arg(value_name = "PART", value_parser = parse_part, allow_hyphen_values = true)]
    pub part: PartNumber,
    /// The machine; --on names it, too. Without it KITWRIGHT_ON, or the only machine of the catalog.
    #[arg(value_name = "MACHINE", conflicts_with = "on")]
    pub machine: Option<String>,
    /// The machine.
    #[arg(long, value_name = "MACHINE")]
    pub on: Option<String>,
    /// Only at this position.
    #[arg(long, value_name = "POSITION")]
    pub at: Option<String>,
    /// Draw the sizes of old part, new part and seat to scale.
    #[arg(short = 'o', long, alias = "picture", value_name = "FILE.svg")]
    pub output: Option<PathBuf>,
}

pub(crate) fn run(catalog: &Catalog, ask: &FitsAsk, json: bool) -> anyhow::Result<Answer> {
    with_catalog(catalog, |catalog, notes| work(catalog, notes, ask, json))
}

fn work(catalog: &dyn Lookup, notes: String, ask: &FitsAsk, json: bool) -> anyhow::Result<Answer> {
    let machine = match machine_meant(ask.machine.as_ref().or(ask.on.as_ref()), catalog)
        .and_then(|machine| fit::find_machine(&machine, catalog))
    {
        Ok(machine) => machine,
        Err(refusal) => return Ok(Answer::refused(format!("{notes}error: {refusal}\n"))),
    };
    let ended = |yes: bool| if yes { Ended::Done } else { Ended::Open };
    let mut notes = notes;
    if let Some(file) = &ask.output {
        let bench = Bench::new(machine.clone(), catalog);
        match draw(file, ask, &bench)? {
            Ok(drawn) => notes.push_str(&drawn),
            Err(why) => return Ok(Answer::refused(format!("{notes}error: {why}\n"))),
        }
    }
    if let Some(position) = &ask.at {
        let answer = match fit::at(&ask.part, &Key::new(position), machine, catalog) {
            Ok(answer) => answer,
            Err(refusal) => return Ok(Answer::refused(format!("{notes}error: {refusal}\n"))),
        };
        let out = if json {
            format!("{}\n", serde_json::to_string_pretty(&answer)?)
        } else {
            let mut page = Page::default();
            one(&answer, &mut page);
            closing(&mut page);
            page.into_text()
        };
        return Ok(Answer { out, err: notes, ended: ended(answer.verdict.is_yes()) });
    }
    let answers = fit::everywhere(&ask.part, machine, catalog);
    let yes = answers.positions.iter().filter(|answer| answer.verdict.is_yes()).count();
    let out = if json {
        format!("{}\n", serde_json::to_string_pretty(&answers)?)
    } else {
        let mut page = Page::default();
        match answers.positions.len() {
            0 => {
                page.answer(&format!("{} on {}: not-known", answers.part, answers.machine), false);
                page.text(
                    "No position lists it or anything that it replaced, and no retrofit row names it.",
                    "  ",
                    "  ",
                );
            }
            1 => {}
            many => {
                let text = format!(
                    "{} on {}: goes to {yes} of the {} that anything connects it with",
                    answers.part,
                    answers.machine,
                    count(many, "position", "positions")
                );
                page.answer(&text, yes > 0);
                page.blank();
            }
        }
        for (index, answer) in answers.positions.iter().enumerate() {
            if index > 0 {
                page.blank();
            }
            one(answer, &mut page);
        }
        closing(&mut page);
        page.into_text()
    };
    Ok(Answer { out, err: notes, ended: ended(yes > 0) })
}

/// Draws the picture of the one position that is meant; gives what to say of it, or why none was drawn.
fn draw(file: &Path, ask: &FitsAsk, bench: &Bench) -> anyhow::Result<Result<String, String>> {
    let position = match &ask.at {
        Some(position) => Key::new(position),
        None => {
            let answers = fit::everywhere(&ask.part, bench.machine.clone(), bench.lookup);
            match answers.positions.as_slice() {
                [one] => Key::new(&one.position),
                _ => return Ok(Err("a picture is of one position; name it with --at".to_owned())),
            }
        }
    };
    let panels = fit::picture::panels(bench, &ask.part, &position);
    if panels.is_empty() {
        return Ok(Err(format!(
            "there is nothing to draw: no size of {} meets one of {position} in the tables dimensions and seats",
            ask.part
        )));
    }
    let title = format!(
        "{} at {} on {}",
        bench.lookup.spell_part(&ask.part),
        bench.lookup.spell_position(&position),
        bench.machine.machine
    );
    write(file, &["svg"], &fit::picture::svg(&title, &panels))?;
    Ok(Ok(format!("note: the picture is in {}\n", file.display())))
}

fn one(answer: &fit::Answer, page: &mut Page) {
    let sizes = match answer.sizes {
        Sizes::Agree if answer.verdict == Verdict::NotKnown => ", though the sizes agree",
        _ => "",
    };
    let title = format!(
        "{} at {} on {}: {}{sizes}",
        answer.part, answer.position, answer.machine, answer.verdict
    );
    let tone = match answer.verdict {
        Verdict::DoesNotFit => Tone::Bad,
        Verdict::NotKnown => Tone::Check,
        Verdict::Fits | Verdict::FitsWith => Tone::Good,
    };
    page.verdict(&title, tone);
    for look in &answer.look_first {
        page.text(&format!("look first: {look}"), "  ", "    ");
    }
    if !answer.needs.is_empty() {
        page.text(&format!("needs {}", answer.needs.join(", ")), "  ", "    ");
    }
    if !answer.operations.is_empty() {
        page.text(&format!("do first: {}", answer.operations.join(", ")), "  ", "    ");
    }
    for evidence in &answer.evidence {
        page.text(&evidence.text, "  - ", "    ");
    }
    if answer.evidence.is_empty() {
        page.text("No row connects this part with this position.", "  - ", "    ");
    }
    if let Some(contradiction) = &answer.contradiction {
        page.text(&format!("{contradiction}."), "  ! ", "    ");
    }
    if let Some(in_a_kit) = &answer.in_a_kit {
        page.text(&format!("{in_a_kit}."), "  ! ", "    ");
    }
    if let Some(comparison) = &answer.comparison {
        compared(comparison, page);
    }
    for elsewhere in &answer.elsewhere {
        let text = format!(
            "For comparison, in the seat of {}: {}",
            elsewhere.scope,
            elsewhere.finding.text()
        );
        page.quiet(&text, "    ");
    }
    for measure in &answer.measure {
        page.text(&format!("measure {measure}"), "  ? ", "    ");
    }
    if answer.verdict == Verdict::NotKnown {
        page.text("Find out, and add a row to retrofits (part, position, verdict).", "  ", "    ");
    }
}

fn compared(comparison: &Comparison, page: &mut Page) {
    page.text(&format!("beside {}:", comparison.with), "  ", "    ");
    let same = comparison.features.iter().filter(|feature| feature.word == "same");
    let same: Vec<&str> = same.map(|feature| feature.feature.as_str()).collect();
    if !same.is_empty() {
        page.text(&format!("same {}", same.join(", ")), "    ", "      ");
    }
    for feature in comparison.features.iter().filter(|feature| feature.word != "same") {
        let sizes = match (&feature.old, &feature.new) {
            (Some(old), Some(new)) => format!(" ({new} instead of {old})"),
            _ => String::new(),
        };
        let effect =
            if feature.effect.is_empty() { String::new() } else { format!(": {}", feature.effect) };
        page.text(
            &format!("{} {}{sizes}{effect}", feature.feature, feature.word),
            "    ",
            "      ",
        );
    }
    for apart in &comparison.apart {
        page.text(apart, "    ", "      ");
    }
}

fn closing(page: &mut Page) {
    page.blank();
    page.quiet("A guide only: what the maker's manual says comes first.", "");
}
