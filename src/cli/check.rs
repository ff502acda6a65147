//! The command `check`.

use super::args::{Catalog, CheckAsk};
use super::catalog_folder::read;
use super::page::{Page, count};
use super::{Answer, Ended};
use crate::near::nearest;
use crate::tables::{CODES, Code, Fault, Severity, check, explain};
use serde_json::{Value, json};

pub(crate) fn run(catalog: &Catalog, ask: &CheckAsk) -> anyhow::Result<Answer> {
    if let Some(code) = &ask.explain {
        return explained(code, ask.json);
    }
    let report = check(&read(catalog)?);
    let ended = match (report.errors.is_empty(), report.warnings.is_empty()) {
        (true, true) => Ended::Done,
        (true, false) => Ended::Open,
        (false, _) => Ended::Refused,
    };
    if ask.json {
        let list = |faults: &[Fault]| faults.iter().map(as_json).collect::<Vec<_>>();
        let object = json!({ "errors": list(&report.errors), "warnings": list(&report.warnings) });
        return Ok(Answer::new(format!("{}\n", serde_json::to_string_pretty(&object)?), ended));
    }
    let mut page = Page::default();
    let found = format!(
        "{}, {}",
        count(report.errors.len(), "error", "errors"),
        count(report.warnings.len(), "warning", "warnings")
    );
    page.answer(&found, ended == Ended::Done);
    for (heading, faults) in
        [("Errors", &report.errors), ("Warnings: what would leave a kit incomplete or wrong", &report.warnings)]
    {
        if faults.is_empty() {
            continue;
        }
        page.heading(heading);
        for fault in faults {
            page.text(&fault.to_string(), "  ", "      ");
        }
    }
    if ended != Ended::Done {
        page.blank();
        page.text("kitwright check --explain CODE says what a code means and how to mend it.", "", "");
    }
    let mut answer = Answer::new(page.into_text(), ended);
    if ended == Ended::Refused {
        answer.err = format!("error: the tables hold {}\n", count(report.errors.len(), "error", "errors"));
    }
    Ok(answer)
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

fn explained(name: &str, json: bool) -> anyhow::Result<Answer> {
    if name.eq_ignore_ascii_case("all") {
        if json {
            let codes: Vec<Value> = CODES.iter().map(code_json).collect();
            return Ok(Answer::new(
                format!("{}\n", serde_json::to_string_pretty(&json!({ "codes": codes }))?),
                Ended::Done,
            ));
        }
        let mut page = Page::default();
        page.answer(&count(CODES.len(), "code", "codes"), true);
        for code in CODES {
            page.text(code.name, "  ", "    ");
            page.quiet(code.meaning, "      ");
        }
        return Ok(Answer::new(page.into_text(), Ended::Done));
    }
    let Some(code) = explain(name) else {
        let meant = nearest(name, CODES.iter().map(|code| code.name));
        let hint = meant.map_or("`--explain all` lists them".to_owned(), |meant| format!("did you mean '{meant}'?"));
        return Ok(Answer::refused(format!("error: no code '{name}'; {hint}\n")));
    };
    if json {
        return Ok(Answer::new(format!("{}\n", serde_json::to_string_pretty(&code_json(code))?), Ended::Done));
    }
    let mut page = Page::default();
    let severity = match code.severity {
        Severity::Error => "error",
        Severity::Warning => "warning",
    };
    page.answer(&format!("{} ({severity})", code.name), true);
    page.text(code.meaning, "  ", "  ");
    page.text(code.mend, "  To mend it: ", "  ");
    Ok(Answer::new(page.into_text(), Ended::Done))
}

fn code_json(code: &Code) -> Value {
    let severity = match code.severity {
        Severity::Error => "error",
        Severity::Warning => "warning",
    };
    json!({ "code": code.name, "severity": severity, "meaning": code.meaning, "mend": code.mend })
}
