//! A change to the tables as it is shown before it is written, and the yes that it needs.

use super::printing::{Page, count};
use super::way_out;
use crate::tables::FileDifference;
use serde_json::{Value, json};
use std::io::{self, BufRead as _, IsTerminal as _};

/// What a person said before the question.
#[derive(Debug, Clone, Copy, Default, clap::Args)]
pub(crate) struct Consent {
    /// Write without asking.
    #[arg(long, conflicts_with = "dry_run")]
    pub yes: bool,
    /// Show what would be written, and write nothing.
    #[arg(long)]
    pub dry_run: bool,
}

/// Whether a change is to be written.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Decision {
    Write,
    /// A person said no, or wanted only to look.
    Leave,
    /// Nobody could be asked.
    Unasked,
}

impl Decision {
    /// What to say where nothing was written.
    pub fn remark(self) -> Option<&'static str> {
        match self {
            Decision::Write => None,
            Decision::Leave => Some("Nothing was written."),
            Decision::Unasked => Some("Nothing was written. Say --yes to write it."),
        }
    }
}

/// Asks on the terminal whether what was shown is to be written. `shown` is printed first if the question is asked, and
/// is blank afterwards where the answer goes to the same terminal, for one reading is enough.
///
/// Answers for other programs (`json`) are never asked for.
pub(crate) fn decide(consent: Consent, json: bool, shown: &mut String, question: &str) -> Decision {
    if consent.yes {
        return Decision::Write;
    }
    if consent.dry_run {
        return Decision::Leave;
    }
    if json || !io::stdin().is_terminal() || !io::stderr().is_terminal() {
        return Decision::Unasked;
    }
    way_out::say(&format!("{shown}\n{question} [y/N] "), anstream::ColorChoice::Auto);
    if io::stdout().is_terminal() {
        shown.clear();
    }
    let mut said = String::new();
    match io::stdin().lock().read_line(&mut said) {
        Ok(_) if matches!(said.trim().to_lowercase().as_str(), "y" | "yes") => Decision::Write,
        _ => Decision::Leave,
    }
}

/// Adds to a page which lines go and come in which files.
pub(crate) fn show(page: &mut Page, files: &[FileDifference]) {
    /// More lines of one file than anybody reads.
    const MOST: usize = 60;
    for file in files {
        let gone = file.lines.iter().all(|line| !line.added);
        let whole = match (file.whole, gone) {
            (true, false) => " (a new file)",
            (true, true) => " (goes away)",
            (false, _) => "",
        };
        page.heading(&format!("{}{whole}", file.name));
        let widest =
            file.lines.iter().map(|line| line.line).max().unwrap_or_default().to_string().len();
        for line in file.lines.iter().take(MOST) {
            let sign = if line.added { '+' } else { '-' };
            page.text(
                &line.text,
                &format!("{:>widest$} {sign} ", line.line),
                &" ".repeat(widest + 3),
            );
        }
        if let Some(more) = file.lines.len().checked_sub(MOST).filter(|more| *more > 0) {
            page.quiet(&format!("and {} more", count(more, "line", "lines")), "  ");
        }
    }
}

/// The same for other programs.
pub(crate) fn as_json(files: &[FileDifference]) -> Value {
    let line = |line: &crate::tables::LineOfDifference| json!({ "line": line.line, "added": line.added, "text": line.text });
    let file = |file: &FileDifference| json!({ "file": file.name, "lines": file.lines.iter().map(line).collect::<Vec<_>>() });
    Value::Array(files.iter().map(file).collect())
}
