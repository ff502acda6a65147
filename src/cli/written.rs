//! Writes a page or a picture to the file that a person names.

use crate::tables::save;
use anyhow::{Context, bail};
use std::path::Path;

/// Writes a file whole or not at all. Only a name with one of the endings is taken, so that no table is ever written
/// over by a slip.
pub(crate) fn write(path: &Path, endings: &[&str], text: &str) -> anyhow::Result<()> {
    let shown = path.display();
    let ending = path.extension().map(|ending| ending.to_string_lossy().to_lowercase()).unwrap_or_default();
    if !endings.contains(&ending.as_str()) {
        let wanted = endings.first().copied().unwrap_or_default();
        bail!("the file {shown} is not written: give it a name that ends in .{wanted}");
    }
    if path.is_dir() {
        bail!("{shown} is a folder; name a file in it");
    }
    save(path, text.as_bytes())
        .with_context(|| format!("{shown} cannot be written; see that its folder is there and may be written to"))
}
