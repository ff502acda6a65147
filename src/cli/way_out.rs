//! The one way out: all text that reaches a terminal goes through here. A catalog may come from somebody else, and what
//! stands in its cells must be read, never acted on.
//!
//! The styles of a page are marks of no character at all until they get here, so that no text can bring its own.

use crate::measure::{acts, printable, printed};
use anstream::{AutoStream, ColorChoice};
use anstyle::{AnsiColor, Style};
use std::fmt::Write as _;
use std::io::{self, Write as _};

pub(crate) const GOOD: char = '\u{fdd0}';
pub(crate) const OPEN: char = '\u{fdd1}';
pub(crate) const HEADING: char = '\u{fdd2}';
pub(crate) const QUIET: char = '\u{fdd3}';
pub(crate) const END: char = '\u{fdd4}';
pub(crate) const BAD: char = '\u{fdd5}';

/// The style that a mark stands for.
fn style(mark: char) -> Option<Style> {
    match mark {
        GOOD => Some(AnsiColor::Green.on_default().bold()),
        OPEN => Some(AnsiColor::Yellow.on_default().bold()),
        BAD => Some(AnsiColor::Red.on_default().bold()),
        HEADING => Some(Style::new().bold()),
        QUIET => Some(Style::new().dimmed()),
        _ => None,
    }
}

/// Gives text as it may reach a terminal, with its marks made styles.
pub(crate) fn shown(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    for c in text.chars() {
        // Writing to a string cannot fail.
        let _ = match style(c) {
            Some(style) => write!(out, "{style}"),
            None if c == END => write!(out, "{:#}", Style::new().bold()),
            None => printed(c).map_or(Ok(()), |c| out.write_char(c)),
        };
    }
    out
}

/// Gives a JSON text with what would act on a terminal written as JSON writes it: it stays what it is.
pub(crate) fn escaped(json: &str) -> String {
    let mut out = String::with_capacity(json.len());
    for c in json.chars() {
        // What acts has no more than 16 bits.
        let _ = if acts(c) { write!(out, "\\u{:04x}", u32::from(c)) } else { out.write_char(c) };
    }
    out
}

/// Prints an answer on standard output.
pub(crate) fn answer(text: &str, colour: ColorChoice, json: bool) -> io::Result<()> {
    let text = if json { escaped(text) } else { shown(text) };
    let mut out = AutoStream::new(io::stdout(), colour);
    out.write_all(text.as_bytes())?;
    out.flush()
}

/// Says something on standard error. Where nobody can hear it, that is no reason to stop.
pub(crate) fn say(text: &str, colour: ColorChoice) {
    let mut err = AutoStream::new(io::stderr(), colour);
    let _ = err.write_all(shown(text).as_bytes()).and_then(|()| err.flush());
}

/// Gives a cell of a list for somebody else so that no spreadsheet takes it for a formula.
pub(crate) fn cell(text: &str) -> String {
    const BEGINS: [char; 8] = ['=', '+', '-', '@', '\u{ff1d}', '\u{ff0b}', '\u{ff0d}', '\u{ff20}'];
    let text = printable(text).replace('\n', " ");
    let begun = text.trim_start();
    if begun.starts_with(BEGINS) && begun.len() > 1 { format!("'{text}") } else { text }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn nothing_in_a_text_acts_on_a_terminal() {
        let evil = "a\u{1b}]0;x\u{7}\u{1b}[2J\r\u{9b}2Jb\u{202e}c\u{200f}\n";
        assert_eq!(shown(evil), "a ]0;x  [2J  2Jbc\n");
        assert_eq!(
            serde_json::from_str::<String>(&escaped("\"a\u{7f}\u{9b}\u{202e}\"")).unwrap(),
            "a\u{7f}\u{9b}\u{202e}"
        );
        assert!(escaped("\"\u{9b}\"").is_ascii());
    }

    #[test]
    fn a_page_keeps_its_styles() {
        assert_eq!(shown(&format!("{HEADING}x{END}")), "\u{1b}[1mx\u{1b}[0m");
    }

    #[test]
    fn no_cell_of_a_list_is_a_formula() {
        for (cell_typed, list) in [
            ("=HYPERLINK(\"x\")", "'=HYPERLINK(\"x\")"),
            ("+1-2", "'+1-2"),
            (" @x", "' @x"),
            ("\t=1", "' =1"),
            ("-", "-"),
            ("91-2044", "91-2044"),
        ] {
            assert_eq!(cell(cell_typed), list);
        }
    }
}
