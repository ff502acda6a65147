//! Terminal printing: a page of text as wide as the terminal, from 80 to 120 columns, that reads without colour.

use super::way_out::{BAD, END, GOOD, HEADING, OPEN, QUIET};
use crate::measure::printable;
pub(crate) use crate::say::count;
use std::fmt::Write as _;
use std::io::{self, IsTerminal as _};
use std::sync::OnceLock;
use textwrap::core::display_width;

/// The width of a page in columns: that of the terminal, within reason; 80 where the answer goes elsewhere.
pub(crate) fn width() -> usize {
    static WIDTH: OnceLock<usize> = OnceLock::new();
    *WIDTH.get_or_init(|| {
        let terminal = io::stdout().is_terminal().then(terminal_size::terminal_size).flatten();
        terminal.map_or(80, |(width, _)| usize::from(width.0).clamp(80, 120))
    })
}

/// How an answer turned out.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Tone {
    Good,
    /// Something is to be checked.
    Check,
    /// It does not fit, or is not complete.
    Bad,
}

/// Text in the making.
#[derive(Debug, Default)]
pub(crate) struct Page(String);

impl Page {
    pub fn into_text(self) -> String {
        self.0
    }

    /// The first line: the answer.
    pub fn answer(&mut self, text: &str, good: bool) {
        self.verdict(text, if good { Tone::Good } else { Tone::Check });
    }

    /// The first line, where it can be bad.
    pub fn verdict(&mut self, text: &str, tone: Tone) {
        let style = match tone {
            Tone::Good => GOOD,
            Tone::Check => OPEN,
            Tone::Bad => BAD,
        };
        self.wrapped(text, "", "", Some(style));
    }

    /// One line: a number in bold, what it is, and more at the right; what it is gives way where the line is full.
    pub fn row(&mut self, lead: &str, number: &str, what: &str, right: &str) {
        let [number, what] = [number, what].map(|text| printable(text).replace('\n', " "));
        let used = [lead, &number, right].map(display_width).iter().sum::<usize>() + 4;
        let room = width().saturating_sub(used).max(10);
        let mut shown = what.to_string();
        if display_width(&shown) > room {
            // A size at the end tells more than the end of a name.
            let size = what.rfind(", ").map(|at| &what[at..]);
            let size = size.filter(|size| size.contains(|c: char| c.is_ascii_digit()));
            let size = size.filter(|size| display_width(size) + 8 < room).unwrap_or_default();
            shown.truncate(shown.len() - size.len());
            while display_width(&shown) + display_width(size) >= room {
                shown.pop();
            }
            shown = format!("{}…{size}", shown.trim_end());
        }
        let gap = " ".repeat(room - display_width(&shown));
        let line = format!("{lead}{HEADING}{number}{END}  {shown}{gap}  {right}");
        let _ = writeln!(self.0, "{}", line.trim_end());
    }

    pub fn heading(&mut self, text: &str) {
        self.0.push('\n');
        self.wrapped(text, "", "", Some(HEADING));
    }

    pub fn blank(&mut self) {
        self.0.push('\n');
    }

    /// A paragraph under a first indent and a further one.
    pub fn text(&mut self, text: &str, first: &str, rest: &str) {
        self.wrapped(text, first, rest, None);
    }

    /// A line that is never broken, so that what it quotes can be searched for.
    pub fn unbroken(&mut self, text: &str, indent: &str) {
        let _ = writeln!(self.0, "{indent}{}", printable(text).replace('\n', " "));
    }

    /// A paragraph that explains the one above it.
    pub fn quiet(&mut self, text: &str, indent: &str) {
        self.wrapped(text, indent, indent, Some(QUIET));
    }

    fn wrapped(&mut self, text: &str, first: &str, rest: &str, style: Option<char>) {
        if text.is_empty() && first.trim().is_empty() {
            return;
        }
        let options = textwrap::Options::new(width())
            .initial_indent(first)
            .subsequent_indent(rest)
            .word_separator(textwrap::WordSeparator::AsciiSpace)
            .word_splitter(textwrap::WordSplitter::NoHyphenation)
            .break_words(false);
        let text = printable(text);
        let lines = textwrap::wrap(&text, options);
        if lines.is_empty() {
            self.0.push_str(first.trim_end());
            self.0.push('\n');
        }
        for line in lines {
            let line = line.trim_end();
            let indent = line.len() - line.trim_start().len();
            let (indent, line) = line.split_at(indent);
            // Writing to a string cannot fail.
            let _ = match style {
                Some(style) => writeln!(self.0, "{indent}{style}{line}{END}"),
                None => writeln!(self.0, "{indent}{line}"),
            };
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn nothing_in_a_cell_acts_on_the_terminal() {
        let mut page = Page::default();
        page.text("evil \u{1b}[31mred\u{7}, \u{202e}1-40\nsecond line", "", "");
        assert_eq!(page.into_text(), "evil  [31mred , 1-40\nsecond line\n");
    }
}
