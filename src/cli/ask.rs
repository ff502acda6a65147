//! Questions at the terminal, with completion from what the tables hold.

use super::way_out;
use crate::desk::adding::Asks;
use crate::measure::printable;
use rustyline::completion::Completer;
use rustyline::error::ReadlineError;
use rustyline::highlight::Highlighter;
use rustyline::hint::Hinter;
use rustyline::history::DefaultHistory;
use rustyline::validate::Validator;
use rustyline::{Context, Editor, Helper};
use std::io::{self, IsTerminal as _};

/// A person at the terminal.
pub(crate) struct Terminal {
    editor: Editor<Choices, DefaultHistory>,
}

impl Terminal {
    /// Gives the terminal; `None` where nobody sits at it.
    pub fn open() -> Option<Terminal> {
        if !io::stdin().is_terminal() || !io::stdout().is_terminal() || !io::stderr().is_terminal()
        {
            return None;
        }
        let mut editor = Editor::new().ok()?;
        editor.set_helper(Some(Choices::default()));
        Some(Terminal { editor })
    }
}

impl Asks for Terminal {
    fn line(&mut self, prompt: &str, typed: &str, choices: &[String]) -> Option<String> {
        if let Some(helper) = self.editor.helper_mut() {
            helper.0 = choices.iter().map(|choice| printable(choice).into_owned()).collect();
        }
        match self.editor.readline_with_initial(&*printable(prompt), (typed, "")) {
            Ok(line) => Some(line.trim().to_owned()),
            Err(ReadlineError::Interrupted | ReadlineError::Eof) => None,
            Err(_) => None,
        }
    }

    fn say(&mut self, text: &str) {
        way_out::say(&format!("{}\n", text.trim_end()), anstream::ColorChoice::Auto);
    }
}

/// What the tab key completes.
#[derive(Default)]
struct Choices(Vec<String>);

impl Completer for Choices {
    type Candidate = String;

    fn complete(
        &self,
        line: &str,
        at: usize,
        _: &Context<'_>,
    ) -> rustyline::Result<(usize, Vec<String>)> {
        Ok(completions(line, at, &self.0))
    }
}

/// The known names that begin as the item under the cursor does; items of a list are divided by `;`, and a part behind
/// `=` is an item as well.
fn completions(line: &str, at: usize, choices: &[String]) -> (usize, Vec<String>) {
    let front = line.get(..at).unwrap_or_default();
    let start = front.rfind([';', '=']).map_or(0, |place| place + 1);
    let start = start + front.get(start..).map_or(0, |rest| rest.len() - rest.trim_start().len());
    let begun = front.get(start..).unwrap_or_default().to_lowercase();
    let found = choices
        .iter()
        .filter(|choice| choice.to_lowercase().starts_with(&begun))
        .cloned()
        .collect();
    (start, found)
}

impl Hinter for Choices {
    type Hint = String;
}
impl Highlighter for Choices {}
impl Validator for Choices {}
impl Helper for Choices {}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_item_under_the_cursor_is_completed() {
        let choices = ["pump-off".to_owned(), "plugs-out".to_owned(), "Pump-cover".to_owned()];
        assert_eq!(
            completions("pu", 2, &choices),
            (0, vec!["pump-off".to_owned(), "Pump-cover".to_owned()])
        );
        assert_eq!(completions("pump-off; pl", 12, &choices), (10, vec!["plugs-out".to_owned()]));
        // A cursor in the middle of a letter is in front of nothing that is known.
        assert_eq!(completions("ö", 1, &choices).1.len(), 3);
    }
}
