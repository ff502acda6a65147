//! The names that a table holds, and which of them a mistyped one may have meant.

use crate::catalog::{Name, Thing, UnreadRow, names_in};
use crate::near;
use std::cell::{Cell, RefCell};
use std::collections::{HashMap, HashSet};

/// All names of one table.
pub(super) struct Names<'a> {
    /// The table's name.
    pub table: &'static str,
    /// Each name once, in table order, as it is compared.
    order: Vec<&'a str>,
    shown: HashMap<&'a str, &'a str>,
    /// The names of rows that cannot be read, as they are compared.
    unread: HashSet<String>,
    /// A file of the table could not be read at all, so nobody knows which names it held.
    lost: bool,
    effort: Cell<u64>,
    hints: RefCell<HashMap<String, String>>,
}

/// Looking for a near miss among very many names takes time; beyond this much a finding goes without its hint.
/// One unit is a name looked at, and a distance worked out counts as [`DISTANCE`].
const MOST_EFFORT: u64 = 40_000_000;
const DISTANCE: u64 = 50;
/// From this many names on, only those that share half of their letters with the mistyped one are measured.
const MANY: usize = 2_000;
const MOST_MEASURED: usize = 20_000;

impl<'a> Names<'a> {
    pub fn new(table: &'static str, lost: bool, names: impl IntoIterator<Item = Name<'a>>) -> Self {
        let mut order = Vec::new();
        let mut shown = HashMap::new();
        for name in names {
            shown.entry(name.folded()).or_insert_with(|| {
                order.push(name.folded());
                name.as_str()
            });
        }
        let unread = HashSet::new();
        Names { table, order, shown, unread, lost, effort: Cell::new(0), hints: RefCell::default() }
    }

    /// Counts the names of the rows that cannot be read as there, or what is wrong with one would be told at every row
    /// that names it.
    pub fn with_unread(mut self, unread: &[UnreadRow], thing: Thing) -> Self {
        for (table, column) in thing.columns_that_give() {
            for row in unread.iter().filter(|row| row.table == table) {
                self.lost |= row.is_unread(column.name) || row.is_whole_file();
                let cell = row.cell(column.name);
                let named = column.forms(thing).flat_map(|form| names_in(cell, form));
                self.unread.extend(named.filter_map(|name| thing.fold(&cell[name])));
            }
        }
        self
    }

    pub fn hold<'n>(&self, name: impl Into<Name<'n>>) -> bool {
        let name = name.into();
        self.shown.contains_key(name.folded()) || self.unread.contains(name.folded())
    }

    /// Tells that a name is surely not in the table.
    pub fn lack<'n>(&self, name: impl Into<Name<'n>>) -> bool {
        !self.lost && !self.hold(name)
    }

    /// Says that a cell names what the table lacks, and what to do.
    pub fn missing<'n>(&self, name: impl Into<Name<'n>>) -> String {
        let name = name.into();
        let Names { table, .. } = self;
        format!(
            "`{}` is not in {table}; add it to {table}.csv or correct it here{}",
            name.as_str(),
            self.hint(name)
        )
    }

    /// Asks whether a near name is meant, as the end of a message; empty where none is near.
    pub fn hint<'n>(&self, name: impl Into<Name<'n>>) -> String {
        let name = name.into();
        if let Some(hint) = self.hints.borrow().get(name.folded()) {
            return hint.clone();
        }
        let near = || self.nearest(name.folded()).and_then(|folded| self.shown.get(folded));
        let hint = if self.are_several(name.folded()) {
            " (several names are separated by ;)".to_owned()
        } else {
            near().map_or_else(String::new, |shown| format!(" (is `{shown}` meant?)"))
        };
        self.hints.borrow_mut().insert(name.folded().to_owned(), hint.clone());
        hint
    }

    /// Tells that a name is several of the table's own, with commas between them.
    fn are_several(&self, name: &str) -> bool {
        name.contains(',')
            && name.split(',').map(str::trim).all(|piece| self.shown.contains_key(piece))
    }

    fn nearest(&self, wanted: &str) -> Option<&'a str> {
        if self.order.len() <= MANY {
            self.spend(self.order.len() as u64 * DISTANCE)?;
            return near::nearest(wanted, self.order.iter().copied());
        }
        self.spend(self.order.len() as u64)?;
        // One slip leaves the first or the second half of a name as it was.
        let middle =
            wanted.char_indices().nth(wanted.chars().count() / 2).map_or(0, |(index, _)| index);
        let (first, second) = wanted.split_at(middle);
        let like = |name: &&&str| {
            (!first.is_empty() && name.starts_with(first))
                || (!second.is_empty() && name.ends_with(second))
        };
        let measured: Vec<&'a str> =
            self.order.iter().filter(like).copied().take(MOST_MEASURED).collect();
        self.spend(measured.len() as u64 * DISTANCE)?;
        near::nearest(wanted, measured)
    }

    fn spend(&self, effort: u64) -> Option<()> {
        let spent = self.effort.get() + effort;
        self.effort.set(spent);
        (spent <= MOST_EFFORT).then_some(())
    }
}

/// Tells that two names look like one name typed twice with a slip of the finger.
///
/// Names that people keep apart on purpose often differ by a digit or a short word (`cover-1` and `cover-2`,
/// `pump-lh` and `pump-rh`), so only these count: other separators between the same letters, or one wrong, missing,
/// added or swapped letter in words of four letters and more.
pub(super) fn is_slip(a: &str, b: &str) -> bool {
    let (a, b) = (a.to_lowercase(), b.to_lowercase());
    if a == b {
        return false;
    }
    let joined = |text: &str| text.split(is_separator).collect::<String>();
    if joined(&a) == joined(&b) {
        return true;
    }
    if figures(&a) != figures(&b) || a.split(is_separator).count() != b.split(is_separator).count()
    {
        return false;
    }
    let mut unlike = a.split(is_separator).zip(b.split(is_separator)).filter(|(a, b)| a != b);
    let one_letter = |a: &str, b: &str| {
        a.chars().count().min(b.chars().count()) >= 4
            && a.chars().count().abs_diff(b.chars().count()) <= 1
            && strsim::damerau_levenshtein(a, b) == 1
    };
    unlike.next().is_some_and(|(a, b)| one_letter(a, b)) && unlike.next().is_none()
}

fn is_separator(c: char) -> bool {
    c.is_whitespace() || matches!(c, '-' | '_' | '.' | '/')
}

fn figures(text: &str) -> String {
    text.chars().filter(char::is_ascii_digit).collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::measure::Key;

    #[test]
    fn a_slip_is_told_from_names_that_differ_on_purpose() {
        for (a, b) in [
            ("long-shaft", "longshaft"),
            ("long-shaft", "Long Shaft"),
            ("long-shaft", "long-shfat"),
            ("long-shaft", "long-shafts"),
            ("thermostat-cover", "thermostat-covr"),
        ] {
            assert!(is_slip(a, b) && is_slip(b, a), "{a} {b}");
        }
        for (a, b) in [
            ("cover-1", "cover-2"),
            ("cover-1", "cover-11"),
            ("pump-lh", "pump-rh"),
            ("EU", "US"),
            ("long-shaft", "short-shaft"),
            ("inlet", "outlet"),
            ("rear", "rear"),
            ("EU", "eu"),
        ] {
            assert!(!is_slip(a, b) && !is_slip(b, a), "{a} {b}");
        }
    }

    #[test]
    fn a_near_name_is_found_among_very_many_and_long_searches_end() {
        let keys: Vec<Key> = (0..5_000).map(|i| Key::new(&format!("Bracket-{i:05}"))).collect();
        let names = Names::new("parts", false, keys.iter().map(Name::from));
        assert_eq!(names.hint(&Key::new("brcaket-04999")), " (is `Bracket-04999` meant?)");
        for i in 0..5_000 {
            names.hint(&Key::new(&format!("bracket-0{i}x")));
        }
        assert_eq!(names.hint(&Key::new("brcaket-04998")), "");
    }

    #[test]
    fn several_names_with_commas_between_them_are_told_from_a_mistyped_one() {
        let keys = [Key::new("oil-drained"), Key::new("lever-off")];
        let names = Names::new("operations", false, keys.iter().map(Name::from));
        assert_eq!(
            names.hint(&Key::new("oil-drained, Lever-off")),
            " (several names are separated by ;)"
        );
        assert_eq!(names.hint(&Key::new("oil-drained, wheel-off")), "");
    }

    #[test]
    fn no_name_is_missing_from_a_table_of_which_a_file_is_lost() {
        let keys = [Key::new("a")];
        assert!(Names::new("jobs", false, keys.iter().map(Name::from)).lack(&Key::new("b")));
        assert!(!Names::new("jobs", true, keys.iter().map(Name::from)).lack(&Key::new("b")));
    }
}
