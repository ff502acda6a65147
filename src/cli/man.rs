//! The command `man`.

use super::args::Arguments;
use super::written::refuse_what_is_not_ours;
use super::{Answer, Ended};
use anyhow::Context;
use clap::{Args, CommandFactory as _};
use std::fs;
use std::path::PathBuf;

#[derive(Debug, Args)]
#[command(after_help = "\
Examples:
  kitwright man
  kitwright man manual-pages

To read it at once: kitwright man | man -l -")]
pub(crate) struct ManAsk {
    /// Write a page for the program and one for each command into this folder.
    #[arg(value_name = "DIR")]
    pub folder: Option<PathBuf>,
}

pub(crate) fn run(ask: &ManAsk) -> anyhow::Result<Answer> {
    let command = Arguments::command();
    let Some(folder) = &ask.folder else {
        let mut page = Vec::new();
        clap_mangen::Man::new(command).render(&mut page).context("the page cannot be made")?;
        return Ok(Answer::new(String::from_utf8_lossy(&page).into_owned(), Ended::Done));
    };
    let shown = folder.display();
    fs::create_dir_all(folder).with_context(|| format!("the folder {shown} cannot be made"))?;
    let entries =
        fs::read_dir(folder).with_context(|| format!("the folder {shown} cannot be read"))?;
    for path in entries.flatten().map(|entry| entry.path()) {
        let name = path.file_name().unwrap_or_default().to_string_lossy();
        if let Some(page) = name.strip_suffix(".1").filter(|page| page.starts_with("kitwright")) {
            refuse_what_is_not_ours(&path, |old| old.contains(&format!("\n.TH {page} 1 ")))?;
        }
    }
    clap_mangen::generate_to(command, folder)
        .with_context(|| format!("the pages cannot be written into {shown}"))?;
    Ok(Answer::new(format!("The pages are in {shown}: man -l {shown}/kitwright.1\n"), Ended::Done))
}
