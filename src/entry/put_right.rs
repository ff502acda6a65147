//! Cells that were typed as people write them elsewhere, put as the tables have them: `1,5 L`, `from 1996`, `NLA`.
//!
//! Only what can mean one thing is touched; the tables read most of it as it is, but others read the
//! plain form, too.

use super::pattern::{Pattern, pattern};
use crate::measure::{SerialRanges, YearRanges};
use crate::tables::{TextRow, definition};
use std::sync::LazyLock;

/// Gives a row with its figures, ranges and words put as the tables have them, where that can be done.
pub fn put_right(row: TextRow) -> TextRow {
    let Some(table) = definition(row.table) else { return row };
    table.columns.iter().fold(row, |row, column| {
        let cell = row.cell(column.name).to_owned();
        let text = match column.name {
            "status" => is_gone(&cell).then(|| "discontinued".to_owned()),
            "serials" => in_signs(&cell, SerialRanges::typed_form),
            "years" => in_signs(&cell, YearRanges::typed_form),
            _ if holds_figures(column.form) => with_points(&cell),
            _ => None,
        };
        let Some(text) = text else { return row };
        let right = row.with(column.name, &text);
        let is_refused = right.refused().iter().any(|(refused, _)| *refused == column.name);
        if is_refused { row } else { right }
    })
}

fn holds_figures(form: &str) -> bool {
    ["quantity", "number, zero", "amount of money"].iter().any(|word| form.contains(word))
}

/// Tells whether a word says that a part can be had no longer. Source: common practice, no source.
pub(super) fn is_gone(text: &str) -> bool {
    let lower = text.to_lowercase();
    let gone = [
        "discontinued",
        "nla",
        "n.l.a.",
        "n/l/a",
        "obsolete",
        "no longer",
        "not available",
        "deleted",
        "entfallen",
        "épuisé",
        "supprimé",
    ];
    gone.iter().any(|word| lower.contains(word))
}

/// Puts the ranges of a list that are said in words into signs; `None` where none is.
fn in_signs(cell: &str, typed_form: fn(&str) -> Option<String>) -> Option<String> {
    let items: Vec<Option<String>> = cell.split(';').map(typed_form).collect();
    let plain = cell
        .split(';')
        .zip(&items)
        .map(|(typed, form)| form.clone().unwrap_or_else(|| typed.trim().to_owned()));
    items.iter().any(Option::is_some).then(|| plain.collect::<Vec<_>>().join(";"))
}

/// Writes a decimal comma as a point; `None` where there is none, or where it may part thousands: `1,500`.
fn with_points(cell: &str) -> Option<String> {
    static COMMA: Pattern = LazyLock::new(|| pattern(r"(\d+),(\d+)"));
    let thousands = COMMA.captures_iter(cell).any(|hit| {
        let of = |group: usize| hit.get(group).map_or("", |digits| digits.as_str());
        of(2).len() == 3 && of(1) != "0"
    });
    (!thousands && COMMA.is_match(cell)).then(|| COMMA.replace_all(cell, "$1.$2").into_owned())
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::entry::row;

    fn right(table: &str, column: &str, text: &str) -> String {
        let key = crate::tables::definition(table)
            .and_then(|table| table.columns.first())
            .expect("a column")
            .name;
        let row = row(table, &[(key, "A-1"), (column, text)]).expect("a row");
        put_right(row).cell(column).to_owned()
    }

    #[test]
    fn what_can_mean_one_thing_is_put_as_the_tables_have_it() {
        assert_eq!(right("stock", "quantity", "1,5 L"), "1.5 L");
        assert_eq!(right("operations", "uses", "F-01=2,6 L;F-02=0,4 L"), "F-01=2.6 L;F-02=0.4 L");
        assert_eq!(right("operations", "minutes", "7,5"), "7.5");
        assert_eq!(right("parts", "status", "NLA"), "discontinued");
        assert_eq!(right("positions", "serials", "from 30000"), "30000..");
        assert_eq!(right("positions", "years", "-1975; 1981 on"), "-1975;1981..");
    }

    #[test]
    fn what_can_mean_two_things_or_nothing_stays_as_it_was_typed() {
        for (table, column, text) in [
            ("stock", "quantity", "1,500"),
            ("stock", "quantity", "two"),
            ("parts", "status", "perhaps"),
            ("parts", "name", "seal 1,5 thick"),
        ] {
            assert_eq!(right(table, column, text), text);
        }
    }
}
