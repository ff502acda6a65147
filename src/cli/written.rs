//! Writes what a person asks for into a file: a page, a picture, the lines for a supplier. Here alone it is decided which
//! file may be written over.

use crate::tables::save;
use anyhow::{Context, bail};
use std::fs;
use std::io::ErrorKind;
use std::path::Path;

/// Stands at the end of every page and picture, so that they are known again as the program's own.
const MADE_HERE: &str = "<!-- made by kitwright -->\n";

/// Writes a page or a picture whole or not at all. Only a name with one of the endings is taken, and only a file that
/// was made so is written over.
pub(crate) fn write(path: &Path, endings: &[&str], text: &str) -> anyhow::Result<()> {
    let shown = path.display();
    let ending =
        path.extension().map(|ending| ending.to_string_lossy().to_lowercase()).unwrap_or_default();
    if !endings.contains(&ending.as_str()) {
        let wanted = endings.first().copied().unwrap_or_default();
        bail!("the file {shown} is not written: give it a name that ends in .{wanted}");
    }
    refuse_what_is_not_ours(path, |old| old.ends_with(MADE_HERE))?;
    save(path, format!("{}\n{MADE_HERE}", text.trim_end()).as_bytes()).with_context(|| {
        format!("{shown} cannot be written; see that its folder is there and may be written to")
    })
}

/// Refuses to write over a file that the program did not make as that kind of file. What is blank may go.
pub(crate) fn refuse_what_is_not_ours(
    path: &Path,
    is_ours: impl Fn(&str) -> bool,
) -> anyhow::Result<()> {
    let shown = path.display();
    if path.is_dir() {
        bail!("{shown} is a folder; name a file in it");
    }
    match fs::read(path) {
        Ok(old) if old.is_empty() || std::str::from_utf8(&old).is_ok_and(is_ours) => Ok(()),
        Ok(_) => bail!(
            "{shown} is there and was not made by this command; name another file, or move that one away"
        ),
        Err(error) if error.kind() == ErrorKind::NotFound => Ok(()),
        Err(error) => Err(error)
            .with_context(|| format!("{shown} is there and cannot be read; name another file")),
    }
}
