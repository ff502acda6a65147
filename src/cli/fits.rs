//! The command `fits`.

use super::args::{Catalog, FitsAsk};
use super::catalog_folder::{Opened, open};
use super::page::{Page, count};
use super::{Answer, Ended};
use crate::fit::{self, Verdict};
use crate::measure::Key;

pub(crate) fn run(catalog: &Catalog, ask: &FitsAsk, json: bool) -> anyhow::Result<Answer> {
    let (catalog, notes) = match open(catalog)? {
        Opened::Catalog(catalog, notes) => (catalog, notes),
        Opened::Faulty(faults) => return Ok(Answer::refused(faults)),
    };
    let machine = match fit::find_machine(&Key::new(&ask.machine), &*catalog) {
        Ok(machine) => machine,
        Err(refusal) => return Ok(Answer::refused(format!("{notes}error: {refusal}\n"))),
    };
    let ended = |yes: bool| if yes { Ended::Done } else { Ended::Open };
    if let Some(position) = &ask.at {
        let answer = match fit::at(&ask.part, &Key::new(position), machine, &*catalog) {
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
    let answers = fit::everywhere(&ask.part, machine, &*catalog);
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

fn one(answer: &fit::Answer, page: &mut Page) {
    let title = format!("{} at {} on {}: {}", answer.part, answer.position, answer.machine, answer.verdict);
    page.answer(&title, answer.verdict.is_yes());
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
    if answer.verdict == Verdict::NotKnown {
        page.text("Find out, and add a row to retrofits (part, position, verdict).", "  ", "    ");
    }
}

fn closing(page: &mut Page) {
    page.blank();
    page.quiet("A guide only: what the maker's manual says comes first.", "");
}
