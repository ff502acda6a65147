//! Changes several table files all or nothing: what is proposed and shown, and then written under the lock, held against
//! the tables as they were read.

use super::disk::{clear_leftovers, make_folder};
use super::fault::Fault;
use super::journal::{Found, Journal, NewText, drop_it, found, path_inside, read};
use super::lock::Lock;
use super::read::Tables;
use super::rewrite::{Edit, Refused, rewrite};
use super::seen::{Seen, by_lines_now};
use super::trouble::Trouble;
use super::undo::{FOLDER, LineOfDifference, Made, difference, last_made, next};
use std::path::Path;
use std::time::SystemTime;

/// The edits of one table file.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct FileEdits {
    /// The table that it belongs to.
    pub table: &'static str,
    /// Its path within the catalog folder.
    pub name: String,
    /// What changes, by the lines of the file as it was read.
    pub edits: Vec<Edit>,
}

/// What a change will do to one file.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct FileDifference {
    /// Its path within the catalog folder.
    pub name: String,
    /// Whether the change makes or removes the file itself.
    pub whole: bool,
    /// The lines that go and come.
    pub lines: Vec<LineOfDifference>,
}

impl FileDifference {
    /// Tells whether two changes do the same, on whatever lines.
    fn does_the_same(&self, other: &FileDifference) -> bool {
        let lines = |of: &FileDifference| -> Vec<(bool, String)> {
            of.lines.iter().map(|line| (line.added, line.text.clone())).collect()
        };
        (&self.name, self.whole) == (&other.name, other.whole) && lines(self) == lines(other)
    }
}

/// Tells whether two changes do the same, on whatever lines.
pub fn do_the_same(one: &[FileDifference], other: &[FileDifference]) -> bool {
    one.len() == other.len() && one.iter().zip(other).all(|(a, b)| a.does_the_same(b))
}

/// Makes a change to several files: all of it or nothing. `what` names it for whoever has to finish it, and for
/// whoever wants to take it back; `seen` is what it was worked out from.
///
/// # Errors
/// Edits that do not fit, a row of them that changed since, or a disk that says no. Nothing is written then, unless the
/// trouble says that the change is begun.
pub fn change(
    lock: &Lock,
    root: &Path,
    what: &str,
    files: &[FileEdits],
    seen: &Seen,
) -> Result<(), Trouble> {
    change_with(lock, root, what, files, &[], seen)
}

/// Makes a change to several tables and to files that are none, each by its name and its whole new text.
///
/// # Errors
/// As [`change`].
pub fn change_with(
    lock: &Lock,
    root: &Path,
    what: &str,
    files: &[FileEdits],
    others: &[(&str, String)],
    seen: &Seen,
) -> Result<(), Trouble> {
    no_other_change(root)?;
    let mut files = new_texts(root, files, seen)?;
    for (name, text) in others {
        let before = read(&path_inside(root, name)?)?;
        if before.as_ref() != Some(text) {
            files.push(NewText { name: (*name).to_owned(), before, after: Some(text.clone()) });
        }
    }
    if files.is_empty() {
        return Ok(());
    }
    clear(root, &files);
    let kept = root.join(FOLDER);
    let disk = |error| Trouble::Disk(kept.clone(), error);
    make_folder(&kept).map_err(disk)?;
    clear_leftovers(&kept);
    let number = next(root).map_err(disk)?;
    let touched = files.iter().map(|file| {
        (&*file.name, file.before.as_deref(), file.after.as_deref().unwrap_or_default())
    });
    let made = Made::new(what, when(SystemTime::now()), touched);
    let what = what.to_owned();
    Journal { what, files, made: Some((number, made)), taken_back: None }.make(lock, root)
}

/// Under the lock there is no journal, unless its run was killed just now.
fn no_other_change(root: &Path) -> Result<(), Trouble> {
    match found(root) {
        Found::None => Ok(()),
        _ => Err(Trouble::Unsettled("another run was cut short just now".to_owned())),
    }
}

/// The moment as RFC 3339 has it; blank where the clock shows one beyond the calendar.
fn when(clock: SystemTime) -> String {
    jiff::Timestamp::try_from(clock).map_or_else(|_| String::new(), |now| now.to_string())
}

fn clear(root: &Path, files: &[NewText]) {
    clear_leftovers(root);
    for file in files {
        if let Some(folder) = root.join(&file.name).parent() {
            clear_leftovers(folder);
        }
    }
}

/// Shows what a change would do to the files as they were read, and makes nothing.
///
/// # Errors
/// Edits that do not fit, or a row of them that changed since.
pub fn preview(
    root: &Path,
    files: &[FileEdits],
    seen: &Seen,
) -> Result<Vec<FileDifference>, Trouble> {
    Ok(new_texts(root, files, seen)?.iter().map(NewText::difference).collect())
}

/// Takes the last change back: all of it or nothing. Edits made elsewhere in its files since stay. `shown` is what was
/// shown of it.
///
/// # Errors
/// Its lines were edited since, it is the last no more, or the disk says no.
pub fn take_back(
    lock: &Lock,
    root: &Path,
    made: &Made,
    shown: &[FileDifference],
) -> Result<(), Trouble> {
    no_other_change(root)?;
    let last = last_made(root).map_err(|error| Trouble::Disk(root.join(FOLDER), error))?;
    if last.as_ref() != Some(made) {
        return Err(Trouble::Otherwise("another change was made meanwhile".to_owned()));
    }
    let files = old_texts(root, made)?;
    let would: Vec<FileDifference> = files.iter().map(NewText::difference).collect();
    if !do_the_same(&would, shown) {
        return Err(Trouble::Otherwise("the tables changed meanwhile".to_owned()));
    }
    clear(root, &files);
    let what = format!("taking back: {}", made.what);
    Journal { what, files, made: None, taken_back: Some(made.number) }.make(lock, root)
}

/// Shows what taking a change back would do.
///
/// # Errors
/// Its lines were edited since, or a file cannot be read.
pub fn preview_back(root: &Path, made: &Made) -> Result<Vec<FileDifference>, Trouble> {
    Ok(old_texts(root, made)?.iter().map(NewText::difference).collect())
}

/// A change that was cut short and waits to be settled.
#[derive(Debug)]
pub struct Waiting {
    /// What it was; `None` where it cannot be read.
    pub what: Option<String>,
    /// What carrying it out would do.
    pub files: Vec<FileDifference>,
    /// Why it can only be dropped.
    pub why_not: Option<String>,
}

/// Finds the change that waits in a catalog folder.
pub fn waiting(root: &Path) -> Option<Waiting> {
    let journal = match found(root) {
        Found::None => return None,
        Found::Unreadable(why) => {
            return Some(Waiting { what: None, files: Vec::new(), why_not: Some(why.to_owned()) });
        }
        Found::Ours(journal) | Found::Elsewhere(journal) => journal,
    };
    let what = Some(journal.what.clone());
    Some(match left_of(root, &journal) {
        Ok(left) => {
            Waiting { what, files: left.iter().map(NewText::difference).collect(), why_not: None }
        }
        Err(why) => Waiting { what, files: Vec::new(), why_not: Some(why) },
    })
}

/// What is not written yet of a change that was cut short.
fn left_of(root: &Path, journal: &Journal) -> Result<Vec<NewText>, String> {
    let mut left = Vec::new();
    for file in &journal.files {
        let now = path_inside(root, &file.name).and_then(|path| read(&path));
        let now = now.map_err(|why| why.to_string())?;
        if now != file.after {
            if now != file.before {
                return Err(format!("{} has been edited since", file.name));
            }
            left.push(file.clone());
        }
    }
    Ok(left)
}

/// Carries out a change that waits, as a change of its own; or drops it.
///
/// # Errors
/// It cannot be carried out any more, or the disk says no.
pub fn settle(lock: &Lock, root: &Path, carry_out: bool) -> Result<(), Trouble> {
    let journal = match found(root) {
        Found::Ours(journal) | Found::Elsewhere(journal) => Some(journal),
        _ => None,
    };
    let left = match (&journal, carry_out) {
        (Some(journal), true) => left_of(root, journal).map_err(Trouble::Otherwise)?,
        _ => Vec::new(),
    };
    let (Some(journal), false) = (journal, left.is_empty()) else { return drop_it(root) };
    let kept = root.join(FOLDER);
    let disk = |error| Trouble::Disk(kept.clone(), error);
    make_folder(&kept).map_err(disk)?;
    let number = next(root).map_err(disk)?;
    let touched = left.iter().map(|file| {
        (&*file.name, file.before.as_deref(), file.after.as_deref().unwrap_or_default())
    });
    let made = Made::new(&journal.what, when(SystemTime::now()), touched);
    Journal { files: left, made: Some((number, made)), taken_back: None, ..journal }
        .make(lock, root)
}

impl NewText {
    fn difference(&self) -> FileDifference {
        let [before, after] =
            [&self.before, &self.after].map(|text| text.as_deref().unwrap_or_default());
        let whole = self.before.is_none() || self.after.is_none();
        FileDifference { name: self.name.clone(), whole, lines: difference(before, after) }
    }
}

/// Works out the new text of each file that changes, from the files as they are now.
fn new_texts(root: &Path, files: &[FileEdits], seen: &Seen) -> Result<Vec<NewText>, Trouble> {
    let mut texts = Vec::new();
    for FileEdits { table, name, edits } in files.iter().filter(|file| !file.edits.is_empty()) {
        let before = read(&path_inside(root, name)?)?;
        let text = before.as_deref().unwrap_or_default();
        let edits = by_lines_now(table, name, seen.text(name), text.as_bytes(), edits)?;
        let refused = |refused| Trouble::Refused(name.clone(), refused);
        let after = rewrite(table, text.as_bytes(), &edits).map_err(refused)?;
        // A text that is rewritten is UTF-8 throughout, or it would have been refused.
        let after = String::from_utf8(after).map_err(|_| refused(Refused::Faulty(0)))?;
        // What could not be read before may stay so, but nothing else becomes it.
        let mut known = before.as_ref().map_or_else(Vec::new, |before| faults(table, name, before));
        for fault in faults(table, name, &after) {
            let is_same = |old: &Fault| old.column == fault.column && old.message == fault.message;
            match known.iter().position(is_same) {
                Some(old) => drop(known.swap_remove(old)),
                None => return Err(Trouble::Unreadable(Box::new(fault))),
            }
        }
        if before.as_ref() != Some(&after) {
            texts.push(NewText { name: name.clone(), before, after: Some(after) });
        }
    }
    Ok(texts)
}

/// Lists what cannot be read in the text of a table.
fn faults(table: &str, name: &str, text: &str) -> Vec<Fault> {
    let mut tables = Tables::default();
    tables.read_file(table, name.to_owned(), text.as_bytes());
    tables.faults
}

/// Works out the texts that the files of a change had before it.
fn old_texts(root: &Path, made: &Made) -> Result<Vec<NewText>, Trouble> {
    let mut texts = Vec::new();
    for touched in &made.files {
        let now = read(&path_inside(root, &touched.name)?)?;
        let after = touched.take_back(now.as_deref()).map_err(Trouble::Kept)?;
        texts.push(NewText { name: touched.name.clone(), before: now, after });
    }
    Ok(texts)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::tables::disk::fault::{Fault, with};
    use crate::tables::journal::{CutShort, JOURNAL, finish};
    use crate::tables::lock::lock;
    use std::fs;

    const BEFORE: [&str; 2] = ["part,quantity\n", ""];
    const AFTER: [&str; 2] = ["part,quantity\nA,1\n", "part,quantity,bin,note\nB,1,,\n"];

    fn row(part: &str, quantity: &str) -> Edit {
        Edit::Append {
            cells: vec![("part".into(), part.into()), ("quantity".into(), quantity.into())],
        }
    }

    fn edits() -> Vec<FileEdits> {
        let of = |name: &str, part: &str| FileEdits {
            table: "stock",
            name: name.into(),
            edits: vec![row(part, "1")],
        };
        vec![of("stock.csv", "A"), of("shed/stock.csv", "B")]
    }

    fn folder() -> tempfile::TempDir {
        let folder = tempfile::tempdir().expect("a folder");
        fs::create_dir(folder.path().join("shed")).expect("made");
        fs::write(folder.path().join("stock.csv"), BEFORE[0]).expect("written");
        folder
    }

    fn texts(root: &Path) -> [String; 2] {
        ["stock.csv", "shed/stock.csv"]
            .map(|name| fs::read_to_string(root.join(name)).unwrap_or_default())
    }

    fn seen() -> Seen {
        let mut seen = Seen::default();
        seen.keep("stock.csv", BEFORE[0].as_bytes());
        seen
    }

    fn make(root: &Path) -> Result<(), Trouble> {
        change(&lock(root)?, root, "a test", &edits(), &seen())
    }

    fn back(root: &Path) -> Result<(), Trouble> {
        let made = last_made(root).expect("read").expect("a change");
        let shown = preview_back(root, &made)?;
        take_back(&lock(root)?, root, &made, &shown)
    }

    /// What is left in a folder besides the tables.
    fn leftovers(root: &Path) -> Vec<String> {
        let files = [root.to_owned(), root.join("shed"), root.join(FOLDER)];
        let files = files.iter().flat_map(|folder| fs::read_dir(folder).into_iter().flatten());
        let names = files.map(|file| file.expect("a file").file_name());
        let names = names.map(|name| name.to_string_lossy().into_owned());
        names.filter(|name| name.starts_with(".kitwright-new-") || name == JOURNAL).collect()
    }

    /// Makes every step of a piece of work fail, or be the last, and holds what is said to what is so.
    fn at_every_step(
        start: impl Fn(&Path),
        work: impl Fn(&Path) -> Result<(), Trouble>,
        [before, after]: [[&str; 2]; 2],
    ) {
        let usual = folder();
        start(usual.path());
        let steps = with(None, || work(usual.path()).expect("done")).1;
        assert!(steps > 10, "{steps}");
        assert_eq!(texts(usual.path()), after);
        for fault in [Fault::Once, Fault::Killed] {
            for step in 0..steps {
                let folder = folder();
                let root = folder.path();
                start(root);
                let said = with(Some((step, fault)), || work(root)).0;
                let is_begun = root.join(JOURNAL).exists();
                match &said {
                    Ok(()) => assert!(texts(root) == after && !is_begun, "{step}"),
                    Err(Trouble::Begun { written, .. }) => {
                        assert!(is_begun, "{step}");
                        for name in written {
                            let at = usize::from(name.starts_with("shed"));
                            assert_eq!(texts(root)[at], after[at], "{step}");
                        }
                    }
                    Err(why) => assert!(texts(root) == before && !is_begun, "{step}: {why}"),
                }
                let finished = finish(root);
                assert_eq!(finished.is_some(), is_begun, "{step}: {finished:?}");
                assert_eq!(texts(root), if said.is_ok() || is_begun { after } else { before });
                if said.is_err() && !is_begun {
                    work(root).expect("done the second time");
                    assert_eq!(texts(root), after);
                    assert_eq!(leftovers(root), [""; 0], "{step}");
                }
            }
        }
    }

    #[test]
    fn a_change_that_fails_or_is_killed_at_any_step_says_what_is_true_and_is_finished_once() {
        at_every_step(|_| (), make, [BEFORE, AFTER]);
    }

    #[test]
    fn taking_back_that_fails_or_is_killed_at_any_step_says_what_is_true_and_is_finished_once() {
        at_every_step(|root| make(root).expect("made"), back, [AFTER, BEFORE]);
    }

    /// Leaves a change behind that was killed once its journal was whole.
    fn cut_short(root: &Path) {
        for step in 0.. {
            let _ = with(Some((step, Fault::Killed)), || make(root));
            if root.join(JOURNAL).exists() {
                return;
            }
        }
    }

    #[test]
    fn a_file_that_was_edited_since_is_not_overwritten() {
        let folder = folder();
        cut_short(folder.path());
        fs::write(folder.path().join("stock.csv"), "part,quantity\nmine,1\n").expect("written");
        let Some(CutShort::Left(why)) = finish(folder.path()) else { panic!("it was finished") };
        assert!(why.contains("stock.csv has been edited since"), "{why}");
        assert_eq!(texts(folder.path())[0], "part,quantity\nmine,1\n");
        let lock = lock(folder.path()).expect("locked");
        assert!(settle(&lock, folder.path(), true).is_err());
        settle(&lock, folder.path(), false).expect("dropped");
        assert_eq!(finish(folder.path()), None);
        assert_eq!(texts(folder.path())[0], "part,quantity\nmine,1\n");
    }

    #[test]
    fn a_change_that_came_with_a_copied_folder_is_carried_out_only_when_asked_for() {
        let folder = folder();
        cut_short(folder.path());
        let copy = tempfile::tempdir().expect("a folder");
        fs::create_dir(copy.path().join("shed")).expect("made");
        for name in ["stock.csv", JOURNAL] {
            fs::copy(folder.path().join(name), copy.path().join(name)).expect("copied");
        }
        let Some(CutShort::Left(why)) = finish(copy.path()) else { panic!("it was finished") };
        assert!(why.contains("a test") && why.contains("stock.csv"), "{why}");
        assert_eq!(texts(copy.path()), BEFORE);
        assert!(make(copy.path()).is_err());
        let held = lock(copy.path()).expect("locked");
        settle(&held, copy.path(), true).expect("carried out");
        assert_eq!(texts(copy.path()), AFTER);
        assert_eq!(finish(copy.path()), None);
        drop(held);
        back(copy.path()).expect("taken back");
        assert_eq!(texts(copy.path()), BEFORE);
    }

    #[test]
    fn a_file_saved_by_another_program_in_the_midst_of_a_change_keeps_what_it_saved() {
        let folder = folder();
        let root = folder.path();
        let files = vec![
            NewText {
                name: "stock.csv".into(),
                before: Some(BEFORE[0].into()),
                after: Some(AFTER[0].into()),
            },
            NewText { name: "shed/stock.csv".into(), before: None, after: Some(AFTER[1].into()) },
        ];
        fs::write(root.join("shed/stock.csv"), "mine").expect("saved");
        let journal = Journal { what: "a test".into(), files, made: None, taken_back: None };
        let said = journal.make(&lock(root).expect("locked"), root).expect_err("refused");
        assert!(said.to_string().contains("saved by another program"), "{said}");
        assert_eq!(texts(root), [BEFORE[0], "mine"], "the other file is as it was");
        assert_eq!(finish(root), None);
    }

    #[test]
    fn edits_that_do_not_fit_change_nothing_anywhere() {
        let folder = folder();
        let held = lock(folder.path()).expect("locked");
        let mut edits = edits();
        edits[1].edits.push(Edit::Remove { line: 9 });
        assert!(change(&held, folder.path(), "a test", &edits, &seen()).is_err());
        assert_eq!(texts(folder.path()), BEFORE);
        assert!(!folder.path().join(JOURNAL).exists());
    }

    #[test]
    fn a_row_that_could_not_be_read_again_is_not_written() {
        let folder = folder();
        let held = lock(folder.path()).expect("locked");
        for (part, quantity) in [(" ", "1"), ("A", "a few"), ("A", "")] {
            let edits = vec![row(part, quantity)];
            let edits = FileEdits { table: "stock", name: "stock.csv".into(), edits };
            let edits = std::slice::from_ref(&edits);
            let trouble =
                change(&held, folder.path(), "a test", edits, &seen()).expect_err("unreadable");
            assert!(trouble.to_string().contains("stock.csv:2, column"), "{trouble}");
            assert!(preview(folder.path(), edits, &seen()).is_err());
        }
        assert_eq!(texts(folder.path()), BEFORE);
    }

    #[test]
    fn a_clock_beyond_the_calendar_stops_no_change() {
        let far = std::time::UNIX_EPOCH + std::time::Duration::from_secs(400_000_000_000);
        assert_eq!(when(far), "");
        assert!(when(std::time::UNIX_EPOCH).starts_with("1970-01-01T"));
    }

    #[test]
    fn edits_that_change_no_byte_leave_no_change_to_take_back() {
        let folder = folder();
        let text = "part,quantity\nA,1\n";
        fs::write(folder.path().join("stock.csv"), text).expect("written");
        let held = lock(folder.path()).expect("locked");
        let same = Edit::Set { line: 2, column: "quantity".into(), text: "1".into() };
        let file = FileEdits { table: "stock", name: "stock.csv".into(), edits: vec![same] };
        let mut seen = Seen::default();
        seen.keep("stock.csv", text.as_bytes());
        change(&held, folder.path(), "a test", &[file], &seen).expect("nothing to do");
        assert_eq!(last_made(folder.path()).expect("read"), None);
    }
}
