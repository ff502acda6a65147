//! The command `share`: puts what another owner needs for a job into a folder.

use super::args::Catalog;
use super::opening::{find, lines_of, open_sheets};
use super::printing::{Page, count};
use super::{Answer, Ended};
use crate::catalog::Table;
use crate::desk::open::{Sheets, lies_in};
use crate::entry::share::Share;
use crate::measure::Key;
use crate::tables::save;
use anyhow::Context;
use anyhow::bail;
use clap::Args;
use serde_json::{Map, Value, json};
use std::fs;
use std::path::{Path, PathBuf};

#[derive(Debug, Args)]
#[command(after_help = "\
Examples:
  kitwright share cooling-pump -o ../pump-for-a-friend
  kitwright share gearcase-seals impeller --on dinghy -o ../seals-for-a-friend

Your machines, stock, prices, orders, log and readings stay with you, and so do columns of your own. Notes and sources
go along as you typed them.")]
pub(crate) struct ShareAsk {
    /// The jobs.
    #[arg(value_name = "JOB", required = true)]
    pub jobs: Vec<String>,
    /// The folder: a new one, or an empty one, outside the catalog.
    #[arg(short, long, value_name = "DIR")]
    pub output: PathBuf,
    /// Only for the model of this machine; else for every model that the jobs are for.
    #[arg(long, value_name = "MACHINE")]
    pub on: Option<String>,
}

pub(crate) fn run(catalog: &Catalog, ask: &ShareAsk, json: bool) -> anyhow::Result<Answer> {
    let Sheets { catalog: rows, notes, sheets } = open_sheets(catalog)?;
    let notes = lines_of(&notes);
    let jobs: Vec<Key> = ask.jobs.iter().map(|job| Key::new(job)).collect();
    let on = ask.on.as_ref().map(|machine| Key::new(machine));
    let share = match Share::gather(&jobs, on.as_ref(), &*rows, &sheets) {
        Ok(share) => share,
        Err(refusal) => return Ok(Answer::refused(format!("{notes}error: {refusal}\n"))),
    };
    write(&share, &ask.output, &find(catalog)?)?;
    let out = if json {
        format!("{}\n", serde_json::to_string_pretty(&as_json(&share, &ask.output))?)
    } else {
        page(&share, &ask.output)
    };
    let ended = if share.missing.is_empty() { Ended::Done } else { Ended::Open };
    Ok(Answer { out, err: notes, ended })
}

/// Writes the files into a new or empty folder; where one cannot be written none is left behind.
fn write(share: &Share, folder: &Path, root: &Path) -> anyhow::Result<()> {
    let shown = folder.display();
    if lies_in(folder, root) {
        bail!(
            "{shown} lies in the catalog folder, where its tables would be read as yours; name a folder outside it"
        );
    }
    let made = !folder.exists();
    let mut files = share.files()?;
    files.push(("README.txt".to_owned(), read_me(share, folder).into_bytes()));
    fs::create_dir_all(folder).with_context(|| format!("the folder {shown} cannot be made"))?;
    let mut held =
        fs::read_dir(folder).with_context(|| format!("the folder {shown} cannot be read"))?;
    if held.next().is_some() {
        bail!("{shown} is not empty; name a new folder, or an empty one");
    }
    let mut written: Vec<PathBuf> = Vec::new();
    for (name, text) in files {
        let path = folder.join(name);
        if let Err(error) = save(&path, &text) {
            written.iter().for_each(|path| drop(fs::remove_file(path)));
            if made {
                let _ = fs::remove_dir(folder);
            }
            return Err(error).with_context(|| format!("{} cannot be written", path.display()));
        }
        written.push(path);
    }
    Ok(())
}

fn spoken(share: &Share) -> (String, String) {
    let list = |keys: &[Key]| keys.iter().map(Key::as_str).collect::<Vec<_>>().join(", ");
    let models = share.models.as_deref().map_or_else(|| "every model".to_owned(), list);
    (list(&share.jobs), models)
}

/// What the folder says of itself to whoever gets it.
fn read_me(share: &Share, folder: &Path) -> String {
    let (jobs, models) = spoken(share);
    let name = folder
        .file_name()
        .map_or_else(|| "DIR".to_owned(), |name| name.to_string_lossy().into_owned());
    format!(
        "What the following needs: {jobs}\nFor: {models}\n\n\
         These are tables for kitwright: plain CSV that any spreadsheet opens. To take them in:\n\n  \
         kitwright import {name}\n\n\
         Rows that you have are passed over; nothing of yours is changed unless you choose so. They hold no machine,\n\
         stock, price or log. They are as right as the owner who typed them: check them against the manual, which comes\n\
         first, as do local rules and licensed practice.\n"
    )
}

fn page(share: &Share, folder: &Path) -> String {
    let (jobs, models) = spoken(share);
    let total: usize = share.rows.values().map(Vec::len).sum();
    let mut page = Page::default();
    let rows = count(total, "row", "rows");
    page.answer(
        &format!("{jobs}, for {models}: {rows} in {}", folder.display()),
        share.missing.is_empty(),
    );
    let of_each: Vec<String> = Table::shared()
        .iter()
        .filter_map(|table| Some(format!("{} {}", table.name, share.rows.get(table.name)?.len())))
        .collect();
    page.text(&of_each.join(", "), "  ", "  ");
    if !share.missing.is_empty() {
        page.heading("Named by these rows, and in no table of yours");
        for (kind, name) in &share.missing {
            page.text(&format!("{kind} {name}"), "  ", "    ");
        }
    }
    page.blank();
    page.text(
        "Your machines, stock, prices, orders, log and readings stay with you. Notes and sources go along as you typed them: read them before you pass the folder on.",
        "",
        "",
    );
    page.into_text()
}

fn as_json(share: &Share, folder: &Path) -> Value {
    let rows: Map<String, Value> = Table::shared()
        .iter()
        .filter_map(|table| Some((table.name.to_owned(), json!(share.rows.get(table.name)?.len()))))
        .collect();
    let names = |keys: &[Key]| keys.iter().map(|key| key.as_str().to_owned()).collect::<Vec<_>>();
    json!({
        "jobs": names(&share.jobs),
        "models": share.models.as_deref().map(names),
        "folder": folder.display().to_string(),
        "rows": rows,
        "missing": share.missing.iter().map(|(kind, name)| json!({ "kind": kind, "name": name })).collect::<Vec<_>>(),
    })
}
