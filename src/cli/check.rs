//! The command `check`.

use super::args::Catalog;
use super::opening::{lines_of, read};
use super::printing::{Page, count};
use super::{Answer, Ended};
use crate::catalog::At;
use crate::desk::day;
use crate::desk::open::next;
use crate::fit::torque;
use crate::kit::GapKind;
use crate::measure::shorten;
use crate::near::nearest;
use crate::tables::{CODES, Fault, Severity, Tables, check};
use clap::Args;
use serde_json::{Value, json};
use std::io::{self, IsTerminal as _};

#[derive(Debug, Args)]
#[command(after_help = "\
Examples:
  kitwright check
  kitwright check --explain joint-unsealed")]
pub(crate) struct CheckAsk {
    /// Say what a code means and how to mend it; `all` lists them.
    #[arg(long, value_name = "CODE")]
    pub explain: Option<String>,
}

pub(crate) fn run(catalog: &Catalog, ask: &CheckAsk, json: bool) -> anyhow::Result<Answer> {
    if let Some(code) = &ask.explain {
        return explained(code, json);
    }
    let (tables, notes) = read(catalog)?;
    let mut report = check(&tables);
    report.errors.extend(tables.after_today(&day(None)?));
    report.errors.sort();
    report.warnings.extend(torques(&tables));
    let ended = match (report.errors.is_empty(), report.warnings.is_empty()) {
        (true, true) => Ended::Done,
        (true, false) => Ended::Open,
        (false, _) => Ended::Refused,
    };
    let mut answer = if json {
        let list = |faults: &[Fault]| faults.iter().map(as_json).collect::<Vec<_>>();
        let object = json!({ "errors": list(&report.errors), "warnings": list(&report.warnings) });
        Answer::new(format!("{}\n", serde_json::to_string_pretty(&object)?), ended)
    } else {
        let mut page = Page::default();
        let errors = count(report.errors.len(), "error", "errors");
        let warnings = count(report.warnings.len(), "warning", "warnings");
        page.answer(&format!("{errors}, {warnings}"), ended == Ended::Done);
        list("Errors", &report.errors, &mut page);
        list("Warnings: what would leave a kit incomplete or wrong", &report.warnings, &mut page);
        if ended != Ended::Done {
            page.blank();
            page.text(
                "kitwright check --explain CODE says what a code means and how to mend it.",
                "",
                "",
            );
        }
        Answer::new(page.into_text(), ended)
    };
    if ended == Ended::Refused {
        answer.err =
            format!("error: the tables hold {}\n", count(report.errors.len(), "error", "errors"));
    }
    answer.err.extend(next(&tables.catalog()).map(|note| format!("{note}\n")));
    answer = answer.after(&lines_of(&notes));
    Ok(answer)
}

/// Torques that cannot be right for their threads, or may be in another unit.
fn torques(tables: &Tables) -> Vec<Fault> {
    let file = |at: At| tables.files.get(at.file as usize).cloned().unwrap_or_default();
    let doubtful =
        torque::doubtful(&tables.rows, &|at| format!("{}:{}", file(at), at.line)).into_iter();
    let faults = doubtful.map(|doubtful| Fault {
        file: file(doubtful.at),
        line: doubtful.at.line,
        column: "torque".to_owned(),
        code: torque::CODE,
        message: doubtful.text,
    });
    faults.collect()
}

fn list(heading: &str, faults: &[Fault], page: &mut Page) {
    if faults.is_empty() {
        return;
    }
    page.heading(heading);
    for fault in faults {
        // A line that goes on to another program stays whole, so that what it quotes can be searched for.
        if io::stdout().is_terminal() {
            page.text(&fault.to_string(), "  ", "      ");
        } else {
            page.unbroken(&fault.to_string(), "  ");
        }
    }
}

fn as_json(fault: &Fault) -> Value {
    json!({
        "file": fault.file,
        "line": fault.line,
        "column": fault.column,
        "code": fault.code,
        "message": fault.message,
    })
}

/// Something that has a name and can be explained: a code of this check, or a kind of gap in a kit.
struct Explained {
    name: &'static str,
    severity: &'static str,
    meaning: &'static str,
    mend: &'static str,
}

fn everything() -> Vec<Explained> {
    let codes = CODES.iter().map(|code| Explained {
        name: code.name,
        severity: match code.severity {
            Severity::Error => "error",
            Severity::Warning => "warning",
        },
        meaning: code.meaning,
        mend: code.mend,
    });
    let gaps = GapKind::ALL.iter().map(|kind| Explained {
        name: kind.as_str(),
        severity: "gap in a kit",
        meaning: kind.meaning(),
        mend: kind.mend(),
    });
    let torque = Explained {
        name: torque::CODE,
        severity: "warning",
        meaning: torque::MEANING,
        mend: torque::MEND,
    };
    codes.chain([torque]).chain(gaps).collect()
}

fn explained(name: &str, json: bool) -> anyhow::Result<Answer> {
    let mut found = everything();
    let all = name.eq_ignore_ascii_case("all");
    if !all {
        let names: Vec<&str> = found.iter().map(|code| code.name).collect();
        let meant = nearest(name, names);
        found.retain(|code| code.name.eq_ignore_ascii_case(name));
        if found.is_empty() {
            let hint = meant.map_or("`--explain all` lists them".to_owned(), |meant| {
                format!("did you mean '{meant}'?")
            });
            let name = shorten(name);
            return Ok(Answer::refused(format!("error: no code '{name}'; {hint}\n")));
        }
    }
    if json {
        let codes: Vec<Value> = found
            .iter()
            .map(|code| json!({ "code": code.name, "severity": code.severity, "meaning": code.meaning, "mend": code.mend }))
            .collect();
        let object = serde_json::to_string_pretty(&json!({ "codes": codes }))?;
        return Ok(Answer::new(format!("{object}\n"), Ended::Done));
    }
    let mut page = Page::default();
    for (index, code) in found.iter().enumerate() {
        if index > 0 {
            page.blank();
        }
        page.answer(&format!("{} ({})", code.name, code.severity), true);
        page.text(code.meaning, "  ", "  ");
        page.text(&format!("To mend it: {}", code.mend), "  ", "  ");
    }
    Ok(Answer::new(page.into_text(), Ended::Done))
}
