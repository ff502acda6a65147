//! The command `start`: makes a new catalog, all of it or nothing.

use super::printing::{Page, count};
use super::{Answer, Ended};
use crate::entry::{NewFile, demo_catalog, empty_catalog};
use anyhow::Context;
use anyhow::bail;
use clap::Args;
use serde_json::json;
use std::fs;
use std::io::Write as _;
use std::path::{Path, PathBuf};

#[derive(Debug, Args)]
#[command(after_help = "\
Examples:
  kitwright start tractor
  kitwright start --demo demo")]
pub(crate) struct StartAsk {
    /// The folder: a new one, or an empty one.
    #[arg(value_name = "DIR")]
    pub folder: PathBuf,
    /// Put the invented machines of the demo into it.
    #[arg(long)]
    pub demo: bool,
}

pub(crate) fn run(ask: &StartAsk, json: bool) -> anyhow::Result<Answer> {
    let files = if ask.demo { demo_catalog() } else { empty_catalog() };
    let folder = &ask.folder;
    if folder.as_os_str().is_empty() {
        bail!("name a folder for the catalog");
    }
    make(folder, &files)?;
    if json {
        let names: Vec<&str> = files.iter().map(|file| file.name.as_str()).collect();
        let answer = json!({ "folder": folder.display().to_string(), "files": names });
        return Ok(Answer::new(
            format!("{}\n", serde_json::to_string_pretty(&answer)?),
            Ended::Done,
        ));
    }
    let shown = folder.display();
    let tables =
        count(files.iter().filter(|file| file.name.ends_with(".csv")).count(), "table", "tables");
    let mut page = Page::default();
    if ask.demo {
        page.answer(&format!("{shown} holds the demo: {tables} of invented machines"), true);
        page.text(&format!("Next: kitwright -C {shown} kit cooling-pump --on dinghy"), "", "  ");
    } else {
        page.answer(
            &format!("{shown} is a new catalog: {tables}, empty but for remarks, and a guide"),
            true,
        );
        page.text(
            &format!("Next: cd {shown}, then kitwright add machine NAME MODEL --year YEAR"),
            "",
            "  ",
        );
    }
    Ok(Answer::new(page.into_text(), Ended::Done))
}

/// Writes the files into a folder that is new or empty.
fn make(folder: &Path, files: &[NewFile]) -> anyhow::Result<()> {
    let shown = folder.display();
    match fs::read_dir(folder) {
        Ok(entries) => {
            for entry in entries {
                let name = entry.with_context(|| format!("{shown} cannot be read"))?.file_name();
                let name = name.to_string_lossy();
                // What the system or a version control keeps in a folder is in nobody's way.
                if !name.starts_with('.') {
                    bail!(
                        "{shown} is not empty (it holds {name}); name a new or an empty folder, so that nothing is overwritten"
                    );
                }
            }
            fill(folder, files)
        }
        Err(error) if error.kind() == std::io::ErrorKind::NotFound => {
            let (first_made, made) = (first_missing(folder), fs::create_dir_all(folder));
            made.with_context(|| format!("{shown} cannot be made"))?;
            fill(folder, files).inspect_err(|_| {
                // Only what was made here goes away again; a folder that somebody has used meanwhile stays.
                let mut gone = folder.to_owned();
                while fs::remove_dir(&gone).is_ok() && gone != first_made && gone.pop() {}
            })
        }
        Err(error) => Err(error).with_context(|| format!("{shown} cannot be read; name a folder")),
    }
}

/// The highest folder of a path that is not there yet.
fn first_missing(folder: &Path) -> PathBuf {
    let missing = |path: &&Path| !path.as_os_str().is_empty() && !path.exists();
    folder.ancestors().take_while(missing).last().unwrap_or(folder).to_owned()
}

/// Writes all files under a hidden name first, so that a folder never shows half a catalog.
fn fill(folder: &Path, files: &[NewFile]) -> anyhow::Result<()> {
    let shown = folder.display();
    let draft = tempfile::Builder::new()
        .prefix(".kitwright-start-")
        .tempdir_in(folder)
        .with_context(|| format!("{shown} cannot be written to"))?;
    for file in files {
        let path = draft.path().join(&file.name);
        let written = fs::File::create_new(&path).and_then(|mut new| {
            new.write_all(file.text.as_bytes())?;
            new.sync_all()
        });
        written.with_context(|| format!("{} cannot be written", path.display()))?;
    }
    let mut moved = Vec::new();
    for file in files {
        let to = folder.join(&file.name);
        if let Err(error) = fs::rename(draft.path().join(&file.name), &to) {
            for path in moved {
                let _ = fs::remove_file(path);
            }
            return Err(error).with_context(|| {
                format!("{} cannot be written; nothing was left behind", to.display())
            });
        }
        moved.push(to);
    }
    Ok(())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_new_folder_gets_every_table_and_a_used_one_is_left_alone() {
        let home = tempfile::tempdir().expect("a folder");
        let folder = home.path().join("garden/tractor");
        make(&folder, &empty_catalog()).expect("made");
        assert!(folder.join("parts.csv").is_file() && folder.join("READ-ME-FIRST.txt").is_file());
        assert!(fs::read_dir(&folder).expect("read").all(|entry| {
            !entry.expect("an entry").file_name().to_string_lossy().starts_with('.')
        }));
        let refused = make(&folder, &empty_catalog()).expect_err("it is used").to_string();
        assert!(refused.contains("is not empty"), "{refused}");
    }

    #[test]
    fn what_cannot_be_written_leaves_nothing_behind() {
        let home = tempfile::tempdir().expect("a folder");
        let folder = home.path().join("a/b");
        let files = [
            NewFile { name: "parts.csv".into(), text: String::new() },
            NewFile { name: "no/such/folder.csv".into(), text: String::new() },
        ];
        assert!(make(&folder, &files).is_err());
        assert_eq!(fs::read_dir(home.path()).expect("read").count(), 0);
    }
}
