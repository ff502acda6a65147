//! Which cells name what: a key or a part number is named in many tables, alone, in lists and in front of quantities.

use crate::measure::{Key, PartNumber};
use std::ops::Range;

/// Something that tables name.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Thing {
    /// A model.
    Model,
    /// A machine.
    Machine,
    /// A part, by its number.
    Part,
    /// A position.
    Position,
    /// A joint.
    Joint,
    /// An operation.
    Operation,
    /// A job.
    Job,
    /// A supplier.
    Supplier,
    /// A type of part.
    Type,
    /// A caution.
    Caution,
    /// An order.
    Order,
    /// What sets machines apart.
    Trait,
    /// An option of jobs.
    Option,
}

/// How a cell names it.
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

/// Writes a list of names that was typed with commas the way the tables part it, with semicolons. `None` where the column
/// is no such list, where it is parted already, and where a piece is blank. A name that itself holds a comma must be `known`.
pub fn parted_by_commas(
    table: &str,
    column: &str,
    cell: &str,
    known: &dyn Fn(Thing, &str) -> bool,
) -> Option<String> {
    let is_list = |(name, form): &(&str, Form)| {
        *name == column && matches!(form, Form::List | Form::Conditions)
    };
    let mut things = WORDS.iter().filter_map(|word| Thing::from_word(word));
    let thing = things.find(|thing| columns_of(table, *thing).iter().any(is_list))?;
    let pieces: Vec<&str> = cell.split(',').map(str::trim).collect();
    let are_several =
        pieces.len() > 1 && !cell.contains(';') && pieces.iter().all(|piece| !piece.is_empty());
    (are_several && !known(thing, cell.trim())).then(|| pieces.join(";"))
}

/// Every column that names something.
pub const COLUMNS: &[(&str, &str, Thing, Form)] = &[
    ("models", "model", Thing::Model, Form::One),
    ("machines", "machine", Thing::Machine, Form::One),
    ("machines", "model", Thing::Model, Form::One),
    ("machines", "traits", Thing::Trait, Form::List),
    ("assemblies", "machine", Thing::Machine, Form::One),
    ("assemblies", "model", Thing::Model, Form::One),
    ("assemblies", "traits", Thing::Trait, Form::List),
    ("parts", "part", Thing::Part, Form::One),
    ("parts", "type", Thing::Type, Form::One),
    ("dimensions", "part", Thing::Part, Form::One),
    ("contains", "part", Thing::Part, Form::One),
    ("contains", "contains", Thing::Part, Form::One),
    ("contains", "position", Thing::Position, Form::One),
    ("equivalents", "part", Thing::Part, Form::One),
    ("equivalents", "other", Thing::Part, Form::One),
    ("positions", "position", Thing::Position, Form::One),
    ("positions", "part", Thing::Part, Form::One),
    ("positions", "joint", Thing::Joint, Form::List),
    ("positions", "reached_by", Thing::Operation, Form::One),
    ("positions", "carried_by", Thing::Position, Form::One),
    ("seats", "position", Thing::Position, Form::One),
    ("selections", "position", Thing::Position, Form::One),
    ("selections", "part", Thing::Part, Form::One),
    ("joints", "joint", Thing::Joint, Form::One),
    ("supersessions", "old", Thing::Part, Form::One),
    ("supersessions", "new", Thing::Part, Form::One),
    ("supersessions", "needs", Thing::Position, Form::Before),
    ("supersessions", "needs", Thing::Part, Form::Behind),
    ("retrofits", "part", Thing::Part, Form::One),
    ("retrofits", "position", Thing::Position, Form::One),
    ("retrofits", "needs", Thing::Position, Form::Before),
    ("retrofits", "needs", Thing::Part, Form::Behind),
    ("retrofits", "operations", Thing::Operation, Form::List),
    ("operations", "operation", Thing::Operation, Form::One),
    ("operations", "needs", Thing::Operation, Form::List),
    ("operations", "opens", Thing::Joint, Form::List),
    ("operations", "removes", Thing::Position, Form::List),
    ("operations", "uses", Thing::Part, Form::Before),
    ("operations", "cautions", Thing::Caution, Form::List),
    ("jobs", "job", Thing::Job, Form::One),
    ("job_lines", "job", Thing::Job, Form::One),
    ("job_lines", "option", Thing::Option, Form::Conditions),
    ("job_lines", "position", Thing::Position, Form::One),
    ("job_lines", "part", Thing::Part, Form::One),
    ("job_lines", "operation", Thing::Operation, Form::One),
    ("stock", "part", Thing::Part, Form::One),
    ("suppliers", "supplier", Thing::Supplier, Form::One),
    ("offers", "supplier", Thing::Supplier, Form::One),
    ("offers", "part", Thing::Part, Form::One),
    ("orders", "order", Thing::Order, Form::One),
    ("orders", "supplier", Thing::Supplier, Form::One),
    ("orders", "part", Thing::Part, Form::One),
    ("orders", "machine", Thing::Machine, Form::One),
    ("orders", "job", Thing::Job, Form::One),
    ("orders", "jobs", Thing::Job, Form::List),
    ("orders", "options", Thing::Option, Form::List),
    ("orders", "renew", Thing::Position, Form::List),
    ("orders", "reuse", Thing::Position, Form::List),
    ("orders", "instead", Thing::Position, Form::Before),
    ("orders", "instead", Thing::Part, Form::Behind),
    ("orders", "received_part", Thing::Part, Form::One),
    ("worklog", "machine", Thing::Machine, Form::One),
    ("worklog", "position", Thing::Position, Form::One),
    ("worklog", "part", Thing::Part, Form::One),
    ("worklog", "operation", Thing::Operation, Form::One),
    ("worklog", "job", Thing::Job, Form::One),
    ("worklog", "left_out", Thing::Position, Form::List),
    ("worklog", "confirms", Thing::Part, Form::One),
    ("worklog", "options", Thing::Option, Form::Conditions),
    ("measurements", "machine", Thing::Machine, Form::One),
    ("measurements", "position", Thing::Position, Form::One),
    ("types", "type", Thing::Type, Form::One),
    ("cautions", "caution", Thing::Caution, Form::One),
];

const SCOPED: [&str; 8] = [
    "positions",
    "seats",
    "selections",
    "supersessions",
    "retrofits",
    "operations",
    "jobs",
    "job_lines",
];

/// Gives the columns of a table that name a thing.
pub fn columns_of(table: &str, thing: Thing) -> Vec<(&'static str, Form)> {
    let mut columns: Vec<(&'static str, Form)> = COLUMNS
        .iter()
        .filter(|row| row.0 == table && row.2 == thing)
        .map(|row| (row.1, row.3))
        .collect();
    if SCOPED.contains(&table) {
        match thing {
            Thing::Model => columns.push(("model", Form::List)),
            Thing::Trait => columns.push(("only", Form::Conditions)),
            _ => {}
        }
    }
    columns
}

impl Thing {
    /// The table whose rows say what the thing is, and the column with its name.
    pub fn home(self) -> Option<(&'static str, &'static str)> {
        Some(match self {
            Thing::Model => ("models", "model"),
            Thing::Machine => ("machines", "machine"),
            Thing::Part => ("parts", "part"),
            Thing::Position => ("positions", "position"),
            Thing::Joint => ("joints", "joint"),
            Thing::Operation => ("operations", "operation"),
            Thing::Job => ("jobs", "job"),
            Thing::Supplier => ("suppliers", "supplier"),
            Thing::Type => ("types", "type"),
            Thing::Caution => ("cautions", "caution"),
            Thing::Order => ("orders", "order"),
            Thing::Trait | Thing::Option => return None,
        })
    }

    /// Gives the word for it.
    pub fn word(self) -> &'static str {
        match self {
            Thing::Model => "model",
            Thing::Machine => "machine",
            Thing::Part => "part",
            Thing::Position => "position",
            Thing::Joint => "joint",
            Thing::Operation => "operation",
            Thing::Job => "job",
            Thing::Supplier => "supplier",
            Thing::Type => "type",
            Thing::Caution => "caution",
            Thing::Order => "order",
            Thing::Trait => "trait",
            Thing::Option => "option",
        }
    }

    /// Finds the thing that a person means by a word: `part`, `parts` or `number`.
    pub fn from_word(word: &str) -> Option<Thing> {
        let word = word.to_lowercase();
        Some(match word.strip_suffix('s').unwrap_or(&word) {
            "model" => Thing::Model,
            "machine" => Thing::Machine,
            "part" | "number" => Thing::Part,
            "position" => Thing::Position,
            "joint" => Thing::Joint,
            "operation" => Thing::Operation,
            "job" => Thing::Job,
            "supplier" => Thing::Supplier,
            "type" => Thing::Type,
            "caution" => Thing::Caution,
            "order" => Thing::Order,
            "trait" => Thing::Trait,
            "option" => Thing::Option,
            _ => return None,
        })
    }

    /// Tells whether two names of it are one.
    pub fn alike(self, a: &str, b: &str) -> bool {
        match self {
            Thing::Part => PartNumber::new(a).is_some_and(|a| Some(a) == PartNumber::new(b)),
            _ => Key::new(a) == Key::new(b),
        }
    }
}

/// The words that [`Thing::from_word`] knows, in the singular.
pub const WORDS: [&str; 13] = [
    "model",
    "machine",
    "part",
    "position",
    "joint",
    "operation",
    "job",
    "supplier",
    "type",
    "caution",
    "order",
    "trait",
    "option",
];

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
    use crate::catalog::Rows;

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

    #[test]
    fn every_column_that_holds_a_name_is_known_here_or_names_nothing_of_a_table() {
        let elsewhere = [
            ("dimensions", "feature"),
            ("seats", "feature"),
            ("measurements", "feature"),
            ("supersessions", "together"),
            ("operations", "tools"),
            ("jobs", "addresses"),
            ("types", "also_called"),
            ("assemblies", "assembly"),
            ("selections", "feature"),
            ("operations", "assembly"),
            ("jobs", "assembly"),
            ("job_lines", "assembly"),
        ];
        for table in Rows::dictionary() {
            for column in &table.columns {
                let names_something = column.form.contains("name")
                    || column.form.contains("part")
                    || column.form.contains("NAME")
                    || column.form.contains("position");
                let known = COLUMNS.iter().any(|row| (row.0, row.1) == (table.name, column.name))
                    || (SCOPED.contains(&table.name) && ["model", "only"].contains(&column.name));
                let passed = elsewhere.contains(&(table.name, column.name));
                assert_eq!(
                    names_something,
                    known || passed,
                    "{}.{}: {}",
                    table.name,
                    column.name,
                    column.form
                );
            }
        }
    }

    #[test]
    fn what_is_declared_of_names_is_what_the_lists_say() {
        use crate::catalog::{Thing as Declared, columns_of as declared};
        for table in Rows::dictionary() {
            for word in WORDS {
                let thing = Thing::from_word(word).expect(word);
                let other = Declared::from_word(word).expect(word);
                assert_eq!(thing.home(), other.home(), "{word}");
                let form = |(column, form): (&'static str, Form)| (column, format!("{form:?}"));
                let mut listed: Vec<_> =
                    columns_of(table.name, thing).into_iter().map(form).collect();
                let mut declared: Vec<_> = declared(table.name, other)
                    .into_iter()
                    .map(|(column, form)| (column, format!("{form:?}")))
                    .collect();
                listed.sort();
                declared.sort();
                assert_eq!(listed, declared, "{} {word}", table.name);
            }
        }
    }
}
