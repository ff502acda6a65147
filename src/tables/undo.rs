//! What is needed to take changes back: one plain file for each change that the program made, in a hidden folder of
//! the catalog.
//!
//! Each is JSON with the differences of every file as unified patches, so that a person can read it and put a table
//! back by hand. Deleting the folder costs the way back, never a table.

use super::disk::{is_own_folder, read_own};
use serde::{Deserialize, Serialize};
use std::fs;
use std::io;
use std::path::{Path, PathBuf};
use xxhash_rust::xxh3::xxh3_64;

/// The hidden folder, in the catalog folder.
pub(super) const FOLDER: &str = ".kitwright-undo";

/// A change that was made and can be taken back.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct Made {
    /// Its place in the order of changes; the last has the highest.
    #[serde(skip)]
    pub number: u32,
    /// What it was, in the words of the command that made it.
    pub what: String,
    /// When it was made, in universal time, as RFC 3339 has it.
    pub when: String,
    /// What it did to each file.
    pub files: Vec<Touched>,
}

/// What a change did to one file.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct Touched {
    /// The path of the file within the catalog folder.
    pub name: String,
    /// A fingerprint of the text before; `None` where there was no file.
    before: Option<String>,
    /// A fingerprint of the text after.
    after: String,
    /// What leads from the one to the other, line by line.
    patch: Vec<String>,
}

/// Why a file cannot be put back.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum CannotTakeBack {
    /// It was edited since, in the very lines.
    Edited(String),
    /// It is there no more.
    Gone(String),
    /// It was made by the change, and holds other rows by now.
    Grown(String),
    /// What was kept of the change cannot be read.
    Unreadable(PathBuf),
}

impl std::fmt::Display for CannotTakeBack {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        match self {
            CannotTakeBack::Edited(name) => {
                write!(
                    f,
                    "{name} was edited since, in the lines of this change; put it right by hand"
                )
            }
            CannotTakeBack::Gone(name) => {
                write!(f, "{name} is there no more; put the table back first")
            }
            CannotTakeBack::Grown(name) => write!(
                f,
                "this change made {name}, which has been edited since; take those rows out by hand, or delete the file"
            ),
            CannotTakeBack::Unreadable(path) => {
                write!(
                    f,
                    "{} cannot be read, so this change and those before it cannot be taken back",
                    path.display()
                )
            }
        }
    }
}

impl std::error::Error for CannotTakeBack {}

impl Made {
    /// Keeps what is needed to take a change back. Each file is its name and its texts before and after.
    pub(super) fn new<'t>(
        what: &str,
        when: String,
        files: impl Iterator<Item = (&'t str, Option<&'t str>, &'t str)>,
    ) -> Made {
        let files = files.map(|(name, before, after)| Touched {
            name: name.to_owned(),
            before: before.map(fingerprint),
            after: fingerprint(after),
            patch: patch(before.unwrap_or_default(), after),
        });
        Made { number: 0, what: what.to_owned(), when, files: files.collect() }
    }
}

impl Touched {
    /// Works out the text of the file before the change, from the text as it is now. `None` is no file, before or now.
    ///
    /// Edits made elsewhere in the file since stay.
    ///
    /// # Errors
    /// The lines of the change were edited since.
    pub fn take_back(&self, now: Option<&str>) -> Result<Option<String>, CannotTakeBack> {
        let Some(now) = now else { return Err(CannotTakeBack::Gone(self.name.clone())) };
        let untouched = fingerprint(now) == self.after;
        if self.before.is_none() {
            return if untouched {
                Ok(None)
            } else {
                Err(CannotTakeBack::Grown(self.name.clone()))
            };
        }
        let edited = || CannotTakeBack::Edited(self.name.clone());
        let patch = self.patch.concat();
        let patch = diffy::Patch::from_str(&patch).map_err(|_| edited())?;
        let before = diffy::apply(now, &patch.reverse()).map_err(|_| edited())?;
        if untouched && self.before.as_ref() != Some(&fingerprint(&before)) {
            return Err(edited());
        }
        Ok(Some(before))
    }
}

/// Lists the changes that can be taken back, the last first.
///
/// # Errors
/// The folder cannot be read, or a file in it; or it is a link.
pub fn made(root: &Path) -> io::Result<Vec<Made>> {
    let mut made = Vec::new();
    for number in numbers(root)?.into_iter().rev() {
        made.push(read(root, number)?);
    }
    Ok(made)
}

/// Gives the last change that can be taken back.
///
/// # Errors
/// As [`made`].
pub fn last_made(root: &Path) -> io::Result<Option<Made>> {
    numbers(root)?.last().map(|number| read(root, *number)).transpose()
}

fn read(root: &Path, number: u32) -> io::Result<Made> {
    let path = root.join(path_of(number));
    let text = read_own(&path)?.unwrap_or_default();
    let made: Made = serde_json::from_str(&text).map_err(|_| {
        io::Error::new(io::ErrorKind::InvalidData, CannotTakeBack::Unreadable(path))
    })?;
    Ok(Made { number, ..made })
}

/// The path of what is kept of a change, within the catalog folder.
pub(super) fn path_of(number: u32) -> PathBuf {
    Path::new(FOLDER).join(format!("{number:06}.json"))
}

/// The number of the next change.
pub(super) fn next(root: &Path) -> io::Result<u32> {
    Ok(numbers(root)?.last().map_or(1, |last| last.saturating_add(1)))
}

/// The numbers of all changes that can be taken back, ascending.
fn numbers(root: &Path) -> io::Result<Vec<u32>> {
    let folder = root.join(FOLDER);
    match is_own_folder(&folder) {
        Ok(()) => {}
        Err(error) if error.kind() == io::ErrorKind::NotFound => return Ok(Vec::new()),
        Err(error) => return Err(io::Error::new(error.kind(), format!("{FOLDER}: {error}"))),
    }
    let files = fs::read_dir(folder)?;
    let mut numbers = Vec::new();
    for file in files {
        let name = file?.file_name();
        let number = name.to_str().and_then(|name| name.strip_suffix(".json"));
        numbers.extend(number.and_then(|number| number.parse::<u32>().ok()));
    }
    numbers.sort_unstable();
    Ok(numbers)
}

/// One line of difference between two texts of a file.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct LineOfDifference {
    /// The number of the line, in the text that has it.
    pub line: usize,
    /// Whether the new text has it; otherwise the old one.
    pub added: bool,
    /// The line, without its end.
    pub text: String,
}

/// Lists the lines in which two texts differ.
pub fn difference(before: &str, after: &str) -> Vec<LineOfDifference> {
    let mut lines = Vec::new();
    for hunk in options(0).create_patch(before, after).hunks() {
        let (mut old, mut new) = (hunk.old_range().start(), hunk.new_range().start());
        for line in hunk.lines() {
            let (added, number, text) = match line {
                diffy::Line::Context(_) => {
                    (old, new) = (old + 1, new + 1);
                    continue;
                }
                diffy::Line::Delete(text) => {
                    old += 1;
                    (false, old - 1, text)
                }
                diffy::Line::Insert(text) => {
                    new += 1;
                    (true, new - 1, text)
                }
            };
            lines.push(LineOfDifference {
                line: number,
                added,
                text: text.trim_end_matches(['\r', '\n']).to_owned(),
            });
        }
    }
    lines
}

fn options(context: usize) -> diffy::DiffOptions {
    let mut options = diffy::DiffOptions::new();
    options.set_context_len(context).set_original_filename("before").set_modified_filename("after");
    options
}

fn patch(before: &str, after: &str) -> Vec<String> {
    options(3)
        .create_patch(before, after)
        .to_string()
        .split_inclusive('\n')
        .map(str::to_owned)
        .collect()
}

fn fingerprint(text: &str) -> String {
    format!("{:016x} of {} bytes", xxh3_64(text.as_bytes()), text.len())
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn touched(before: Option<&str>, after: &str) -> Touched {
        let made = Made::new("a test", String::new(), [("parts.csv", before, after)].into_iter());
        let text = serde_json::to_vec_pretty(&made).expect("text");
        let read: Made = serde_json::from_slice(&text).expect("the same");
        assert_eq!(read, made);
        read.files.into_iter().next().expect("one file")
    }

    #[test]
    fn an_edit_elsewhere_in_the_file_stays() {
        let row = |i: usize| format!("row {i}\n");
        let before: String = (0..20).map(row).collect();
        let after = before.replace("row 10\n", "changed\n");
        let now = after.replace("row 1\n", "mine\nand mine\n");
        let back = touched(Some(&before), &after)
            .take_back(Some(&now))
            .expect("put back")
            .expect("a file");
        assert_eq!(back, before.replace("row 1\n", "mine\nand mine\n"));
    }

    #[test]
    fn an_edit_of_the_same_lines_is_not_overwritten() {
        let touched = touched(Some("a\nb\nc\n"), "a\nB\nc\n");
        assert_eq!(
            touched.take_back(Some("a\nmine\nc\n")),
            Err(CannotTakeBack::Edited("parts.csv".into()))
        );
        assert_eq!(touched.take_back(None), Err(CannotTakeBack::Gone("parts.csv".into())));
    }

    #[test]
    fn a_file_that_the_change_made_goes_only_if_nothing_was_added() {
        let touched = touched(None, "part\nA\n");
        assert_eq!(touched.take_back(Some("part\nA\n")), Ok(None));
        assert_eq!(
            touched.take_back(Some("part\nA\nB\n")),
            Err(CannotTakeBack::Grown("parts.csv".into()))
        );
    }

    #[test]
    fn differences_carry_the_number_of_their_line() {
        let shown: Vec<_> = difference("a\nb\nc\n", "a\nB\nc\nd\n")
            .into_iter()
            .map(|line| format!("{}{}{}", line.line, if line.added { '+' } else { '-' }, line.text))
            .collect();
        assert_eq!(shown, ["2-b", "2+B", "4+d"]);
        assert_eq!(difference("", "a\n")[0].line, 1);
    }

    proptest! {
        #[test]
        fn the_text_before_comes_back_byte_for_byte(
            before in "([ab,\"]{0,3}(\n|\r\n|\r)){0,12}[ab]{0,2}",
            after in "([ab,\"]{0,3}(\n|\r\n|\r)){0,12}[ab]{0,2}",
        ) {
            let back = touched(Some(&before), &after).take_back(Some(&after));
            prop_assert_eq!(back, Ok(Some(before)));
        }
    }
}
