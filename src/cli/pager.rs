//! Shows a long answer page by page, on a terminal alone.

use super::way_out;
use anstream::adapter::strip_str;
use anstream::{AutoStream, ColorChoice};
use std::io::{self, IsTerminal as _, Write as _};
use std::process::{Command, Stdio};

/// Shows the text in the pager; `false` where it is to be printed instead: it is short, goes elsewhere than to a
/// terminal, or there is no pager.
pub(crate) fn shown(text: &str, colour: ColorChoice) -> bool {
    if !io::stdout().is_terminal() || !io::stdin().is_terminal() {
        return false;
    }
    let Some((_, height)) = terminal_size::terminal_size() else { return false };
    if text.lines().count() < usize::from(height.0) {
        return false;
    }
    let named = ["KITWRIGHT_PAGER", "PAGER"].iter().find_map(std::env::var_os);
    let named = named.map_or_else(|| "less".to_owned(), |name| name.to_string_lossy().into_owned());
    let mut words = named.split_whitespace();
    let Some(program) = words.next().filter(|program| *program != "cat") else { return false };
    let mut command = Command::new(program);
    command.args(words).stdin(Stdio::piped());
    if std::env::var_os("LESS").is_none() {
        // Colours pass, and what fits the screen stays on it.
        command.env("LESS", "FRX");
    }
    let Ok(mut pager) = command.spawn() else { return false };
    let plain = match colour {
        ColorChoice::Auto => AutoStream::choice(&io::stdout()) == ColorChoice::Never,
        choice => choice == ColorChoice::Never,
    };
    let text = way_out::shown(text);
    if let Some(mut to) = pager.stdin.take() {
        // A person who leaves the pager early closes the pipe.
        let _ = match plain {
            true => write!(to, "{}", strip_str(&text)),
            false => to.write_all(text.as_bytes()),
        };
    }
    let _ = pager.wait();
    true
}
