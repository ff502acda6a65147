//! What tables name, and how a cell names it: alone, in a list, behind `not`, in front of a quantity.

use super::rows::Rows;
use super::table::{Column, Role};
use crate::measure::{Key, PartNumber};
use std::ops::Range;

pub use super::rows::Thing;

/// How a cell names something.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Form {
    /// Alone.
    One,
    /// Each item of a list.
    List,
    /// A name, or `not` and a name; each item of a list.
    Conditions,
    /// In front of the `=` of each item.
    Before,
    /// Behind the `=` of each item and in front of a `*`.
    Behind,
}

/// A name in a row.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Name<'a> {
    /// A key.
    Key(&'a Key),
    /// A part by its number.
    Part(&'a PartNumber),
}

impl<'a> Name<'a> {
    /// Gives the form that is compared.
    pub fn folded(self) -> &'a str {
        match self {
            Name::Key(key) => key.folded(),
            Name::Part(part) => part.folded(),
        }
    }

    /// Gives the name as it was typed.
    pub fn as_str(self) -> &'a str {
        match self {
            Name::Key(key) => key.as_str(),
            Name::Part(part) => part.as_str(),
        }
    }
}

impl<'a> From<&'a Key> for Name<'a> {
    fn from(key: &'a Key) -> Self {
        Name::Key(key)
    }
}

impl<'a> From<&'a PartNumber> for Name<'a> {
    fn from(part: &'a PartNumber) -> Self {
        Name::Part(part)
    }
}

impl Thing {
    /// The table whose rows say what the thing is, and the column with its name.
    pub fn home(self) -> Option<(&'static str, &'static str)> {
        self.columns_that_give()
            .find(|(_, column)| column.says.role == Role::Key)
            .map(|(table, column)| (table, column.name))
    }

    /// The columns in which a name of it stands for something: each with its table.
    pub fn columns_that_give(self) -> impl Iterator<Item = (&'static str, &'static Column)> {
        let columns = Rows::dictionary()
            .iter()
            .flat_map(|table| table.columns.iter().map(|column| (table.name, column)));
        columns.filter(move |(_, column)| column.says.of == Some(self) && column.says.gives)
    }

    /// Finds the thing that a person means by a word: `part`, `parts` or `number`.
    pub fn from_word(word: &str) -> Option<Thing> {
        let word = word.to_lowercase();
        let one = word.strip_suffix("ies").map(|stem| format!("{stem}y"));
        let one = one.as_deref().or(word.strip_suffix('s')).unwrap_or(&word);
        let one = if one == "number" { Thing::Part.word() } else { one };
        Thing::ALL.iter().copied().find(|thing| thing.word() == one)
    }

    /// Gives the form of a name that is compared; `None` where it is no such name.
    pub fn fold(self, name: &str) -> Option<String> {
        match self {
            Thing::Part => PartNumber::new(name).map(|number| number.folded().to_owned()),
            _ => Some(Key::new(name).folded().to_owned()),
        }
    }

    /// Tells whether two names of it are one.
    pub fn alike(self, a: &str, b: &str) -> bool {
        self.fold(a).is_some_and(|a| Some(a) == self.fold(b))
    }
}

/// Gives the columns of a table that name a thing, and how. Another name for a type is none by which it is named.
pub fn columns_of(table: &str, thing: Thing) -> Vec<(&'static str, Form)> {
    let columns = super::Table::of(table).map_or(&[][..], |table| &table.columns);
    let named = columns.iter().filter(|column| !column.says.also);
    named.flat_map(|column| column.forms(thing).map(|form| (column.name, form))).collect()
}

/// Writes a list of names that was typed with commas the way the tables part it, with semicolons. `None` where the column
/// is no such list, where it is parted already, and where a piece is blank. A name that itself holds a comma must be `known`.
pub fn parted_by_commas(
    table: &str,
    column: &str,
    cell: &str,
    known: &dyn Fn(Thing, &str) -> bool,
) -> Option<String> {
    let column = super::Table::of(table)?.column(column).filter(|column| !column.says.also)?;
    let is_list = |form: Form| matches!(form, Form::List | Form::Conditions);
    let (thing, _) = column.names.iter().copied().find(|(_, form)| is_list(*form))?;
    let pieces: Vec<&str> = cell.split(',').map(str::trim).collect();
    let are_several =
        pieces.len() > 1 && !cell.contains(';') && pieces.iter().all(|piece| !piece.is_empty());
    (are_several && !known(thing, cell.trim())).then(|| pieces.join(";"))
}

/// Finds the names in a cell: where each stands.
pub fn names_in(cell: &str, form: Form) -> Vec<Range<usize>> {
    if form == Form::One {
        return trimmed(cell, 0..cell.len()).into_iter().collect();
    }
    let mut found = Vec::new();
    let mut at = 0;
    for item in cell.split(';') {
        let span = at..at + item.len();
        at = span.end + 1;
        let equals = item.find('=').map(|index| span.start + index);
        let name = match (form, equals) {
            (Form::Before, Some(equals)) => Some(span.start..equals),
            (Form::Behind, None) => None,
            (Form::Behind, Some(equals)) => {
                let star =
                    cell[equals..span.end].rfind('*').map_or(span.end, |index| equals + index);
                Some(equals + 1..star)
            }
            (Form::Conditions, _) => trimmed(cell, span).map(|span| behind_not(cell, span)),
            _ => Some(span),
        };
        found.extend(name.and_then(|span| trimmed(cell, span)));
    }
    found
}

/// Leaves the space around a name out; `None` where nothing is left.
fn trimmed(cell: &str, span: Range<usize>) -> Option<Range<usize>> {
    let text = cell.get(span.clone())?;
    let start = span.start + (text.len() - text.trim_start().len());
    let end = start + text.trim().len();
    (start < end).then_some(start..end)
}

/// Leaves the word `not` out.
fn behind_not(cell: &str, span: Range<usize>) -> Range<usize> {
    let text = &cell[span.clone()];
    match text.split_once(char::is_whitespace) {
        Some((not, rest)) if not.eq_ignore_ascii_case("not") && !rest.trim().is_empty() => {
            span.end - rest.trim_start().len()..span.end
        }
        _ => span,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn names(cell: &str, form: Form) -> Vec<&str> {
        names_in(cell, form).into_iter().map(|span| &cell[span]).collect()
    }

    #[test]
    fn names_typed_with_commas_are_parted_unless_the_whole_is_a_name() {
        let known = |_: Thing, name: &str| name == "cover, left";
        let parted = |column, cell| parted_by_commas("operations", column, cell, &known);
        assert_eq!(parted("needs", "cowl-off, pump-off").as_deref(), Some("cowl-off;pump-off"));
        assert_eq!(parted("model", "K3, K4").as_deref(), Some("K3;K4"));
        for (column, cell) in [
            ("needs", "cover, left"),
            ("needs", "a;b, c"),
            ("needs", "a,"),
            ("needs", "a"),
            ("name", "Off, then on"),
        ] {
            assert_eq!(parted(column, cell), None, "{column}: {cell}");
        }
    }

    #[test]
    fn names_are_found_alone_in_lists_behind_not_and_around_quantities() {
        assert_eq!(names(" 91-2044 ", Form::One), ["91-2044"]);
        assert_eq!(names("a; b c ;;d", Form::List), ["a", "b c", "d"]);
        assert_eq!(names("EU; not long shaft; not", Form::Conditions), ["EU", "long shaft", "not"]);
        let needs = "liner = TV-1 * 2; cover;ring=-;seal=91-1";
        assert_eq!(names(needs, Form::Before), ["liner", "cover", "ring", "seal"]);
        assert_eq!(names(needs, Form::Behind), ["TV-1", "-", "91-1"]);
        assert_eq!(names("90-1=0.35 L;90-2=as-needed", Form::Before), ["90-1", "90-2"]);
    }
}
