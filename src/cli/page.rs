//! A page of text, 80 columns wide, that reads without colour.

use super::way_out::{END, GOOD, HEADING, OPEN, QUIET};
use crate::measure::printable;
pub(crate) use crate::say::count;
use std::fmt::Write as _;

/// The width of a page in columns.
pub(crate) const WIDTH: usize = 80;

/// Text in the making.
#[derive(Debug, Default)]
pub(crate) struct Page(String);

impl Page {
    pub fn into_text(self) -> String {
        self.0
    }

    /// The first line: the answer.
    pub fn answer(&mut self, text: &str, good: bool) {
        let style = if good { GOOD } else { OPEN };
        self.wrapped(text, "", "", Some(style));
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
        let options = textwrap::Options::new(WIDTH)
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
