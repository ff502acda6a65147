//! Changes to rows that are there: a cell, a row taken out, a name changed wherever it stands.

use super::merge::{Placed, placed};
use super::names::Names;
use super::put_right::put_right;
use crate::catalog::{Rows, Table, Thing, columns_of, names_in};
use crate::measure::{Key, PartNumber, shorten};
use crate::near::nearest;
use crate::tables::{Edit, FileEdits, TextSheet, definition, shipped_rows};
use std::collections::BTreeMap;
use std::fmt;

/// Which row of a table is meant.
#[derive(Debug, Clone, Default)]
pub struct Wanted {
    /// The table.
    pub table: String,
    /// What the row is about: a name or a part number.
    pub key: String,
    /// What its other cells say.
    pub cells: Vec<(String, String)>,
    /// Where it stands.
    pub line: Option<(String, u32)>,
}

/// Why a change is not made.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Unchanged {
    /// There is no such table, column, row or name; with what may have been meant.
    NotThere(String),
    /// Several rows are meant: each with its place and its cells.
    Several(Vec<(String, String)>),
    /// The value or the new name cannot stand.
    Unfit(String),
}

impl fmt::Display for Unchanged {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Unchanged::NotThere(why) | Unchanged::Unfit(why) => f.write_str(why),
            Unchanged::Several(rows) => {
                write!(
                    f,
                    "{} rows are meant; choose one with --line, or with --where COLUMN=VALUE:",
                    rows.len()
                )?;
                rows.iter().try_for_each(|(place, cells)| write!(f, "\n  {place}  {cells}"))
            }
        }
    }
}

impl std::error::Error for Unchanged {}

fn called_by(table: &str) -> Result<&'static Table, Unchanged> {
    let wanted = table.to_lowercase();
    let wanted = wanted.strip_suffix(".csv").unwrap_or(&wanted);
    Table::of(wanted).ok_or_else(|| {
        let meant = nearest(wanted, Rows::dictionary().iter().map(|table| table.name));
        let hint = meant.map_or_else(
            || "kitwright columns lists them".to_owned(),
            |meant| format!("did you mean {meant}?"),
        );
        Unchanged::NotThere(format!("no table '{}'; {hint}", shorten(table)))
    })
}

fn is_number(table: &str, column: &str) -> bool {
    let columns = definition(table).map_or(&[][..], |table| &table.columns);
    columns.iter().any(|known| known.name == column && known.form.starts_with("part number"))
}

fn alike(table: &str, column: &str, a: &str, b: &str) -> bool {
    let thing = if is_number(table, column) { Thing::Part } else { Thing::Job };
    thing.alike(a, b)
}

/// Finds the one row that is meant.
///
/// # Errors
/// No row is meant, or several.
pub fn find(wanted: &Wanted, sheets: &[TextSheet]) -> Result<Placed, Unchanged> {
    let table = called_by(&wanted.table)?;
    let (columns, table) = (table.called_by(), table.name);
    let rows = placed(sheets, table);
    for (column, _) in &wanted.cells {
        known_column(table, column, sheets)?;
    }
    let by = |column: &str| -> Vec<Placed> {
        rows.iter()
            .filter(|row| alike(table, column, row.row.cell(column), &wanted.key))
            .cloned()
            .collect()
    };
    let named = columns.iter().map(|column| by(column)).find(|rows| !rows.is_empty());
    let Some(mut found) = named else {
        let names: Vec<&str> =
            rows.iter().flat_map(|row| columns.iter().map(|column| row.row.cell(column))).collect();
        let meant = nearest(&wanted.key, names.into_iter().filter(|name| !name.is_empty()));
        let hint = meant.map_or_else(String::new, |meant| format!("; did you mean '{meant}'?"));
        return Err(Unchanged::NotThere(format!(
            "{table} has no row for '{}'{hint}",
            shorten(&wanted.key)
        )));
    };
    let all = found.clone();
    found.retain(|row| {
        let says = |(column, text): &(String, String)| {
            let with = row.row.with(column, text);
            row.row.cell(column) == text.trim()
                || (with.refused().is_empty() && with.value() == row.row.value())
        };
        wanted.cells.iter().all(says)
            && wanted
                .line
                .as_ref()
                .is_none_or(|(file, line)| row.row.line == *line && is_file(&row.file, file))
    });
    match &found[..] {
        [one] => Ok(one.clone()),
        [] => Err(Unchanged::NotThere(format!(
            "none of the rows of {table} for '{}' is the one that --line and --where name; they are:{}",
            shorten(&wanted.key),
            listed(&all)
                .iter()
                .map(|(place, cells)| format!("\n  {place}  {cells}"))
                .collect::<String>()
        ))),
        _ => Err(Unchanged::Several(listed(&found))),
    }
}

fn is_file(file: &str, named: &str) -> bool {
    file == named || file.rsplit('/').next() == Some(named)
}

fn listed(rows: &[Placed]) -> Vec<(String, String)> {
    rows.iter().map(|row| (row.place(), said(row))).collect()
}

/// The cells of a row that hold something, in the order of the data dictionary.
fn said(row: &Placed) -> String {
    let columns = definition(row.row.table).map_or(&[][..], |table| &table.columns);
    let cells = columns.iter().filter(|column| !row.row.cell(column.name).is_empty());
    shorten_more(
        &cells
            .map(|column| format!("{}={}", column.name, row.row.cell(column.name)))
            .collect::<Vec<_>>()
            .join(", "),
    )
}

fn shorten_more(text: &str) -> String {
    let mut shown: String =
        text.chars().take(140).map(|c| if c.is_control() { ' ' } else { c }).collect();
    if shown.len() < text.len() {
        shown.push('…');
    }
    shown
}

/// Gives a column by its name: of the data dictionary, or of the owner's own.
fn known_column(table: &str, column: &str, sheets: &[TextSheet]) -> Result<String, Unchanged> {
    let wanted = column.trim().to_lowercase();
    let columns = definition(table).map_or(&[][..], |table| &table.columns);
    let own = || {
        sheets.iter().filter(|sheet| sheet.table == table).flat_map(|sheet| sheet.columns.iter())
    };
    if columns.iter().any(|known| known.name == wanted)
        || own().any(|own| *own == wanted && !own.is_empty())
    {
        return Ok(wanted);
    }
    let meant = nearest(&wanted, columns.iter().map(|known| known.name));
    let hint = meant.map_or_else(
        || format!("kitwright columns {table} lists them"),
        |meant| format!("did you mean {meant}?"),
    );
    Err(Unchanged::NotThere(format!("{table} has no column '{}'; {hint}", shorten(column))))
}

/// Works out the edits that put texts into cells of a row. None, where they are there already. Names typed with commas
/// are parted as the tables part them.
///
/// # Errors
/// There is no such column, or a text is not of the form that its column asks for.
pub fn set(
    row: &Placed,
    cells: &[(String, String)],
    sheets: &[TextSheet],
    names: &Names,
) -> Result<Vec<FileEdits>, Unchanged> {
    let table = row.row.table;
    let mut changed = row.row.clone();
    let mut edits = Vec::new();
    for (column, text) in cells {
        let column = known_column(table, column, sheets)?;
        let text = names.parted(table, &column, text);
        let text = put_right(row.row.with(&column, &text)).cell(&column).to_owned();
        if row.row.cell(&column) != text {
            edits.push(Edit::Set {
                line: row.row.line,
                column: column.clone(),
                text: text.clone(),
            });
        }
        changed = changed.with(&column, &text);
        let taken = |other: &Placed| {
            other.place() != row.place() && alike(table, &column, other.row.cell(&column), &text)
        };
        let is_key = called_by(table)?.name_of_one_row() == Some(&*column);
        if let Some(other) = placed(sheets, table).iter().find(|other| is_key && taken(other)) {
            return Err(Unchanged::Unfit(format!(
                "column {column}: {} has '{text}' already",
                other.place()
            )));
        }
    }
    let why: Vec<String> = changed
        .refused()
        .into_iter()
        .filter(|(refused, _)| {
            cells.iter().any(|(column, _)| column.trim().eq_ignore_ascii_case(refused))
        })
        .map(|(column, reason)| {
            if changed.cell(column).is_empty() {
                format!("column {column}: every row of {table} needs it, so it cannot be blank")
            } else {
                format!("column {column}: {reason}")
            }
        })
        .collect();
    if !why.is_empty() {
        return Err(Unchanged::Unfit(why.join("\n")));
    }
    if edits.is_empty() {
        return Ok(Vec::new());
    }
    Ok(vec![FileEdits { table, name: row.file.clone(), edits }])
}

/// Works out the edit that takes a row out, and which rows would then name what no row describes any more.
pub fn remove(row: &Placed, sheets: &[TextSheet]) -> (Vec<FileEdits>, Vec<String>) {
    let table = row.row.table;
    let edits = vec![Edit::Remove { line: row.row.line }];
    let home = Thing::ALL.iter().find_map(|thing| {
        let (_, column) = thing.home().filter(|(home, _)| *home == table)?;
        Some((*thing, row.row.cell(column).to_owned(), column))
    });
    let mut left = Vec::new();
    if let Some((thing, name, column)) = home {
        let still = placed(sheets, table).iter().any(|other| {
            other.place() != row.place() && thing.alike(other.row.cell(column), &name)
        });
        if !still {
            let elsewhere = |(place, _, _, _): &(String, _, _, _)| *place != row.place();
            left = named(thing, &name, sheets)
                .into_iter()
                .filter(elsewhere)
                .map(|(place, ..)| place)
                .collect();
            left.dedup();
        }
    }
    (vec![FileEdits { table, name: row.file.clone(), edits }], left)
}

/// A cell that names something: its place, its sheet, its row and its column.
type Naming<'s> = (String, &'s TextSheet, &'s crate::tables::TextRow, &'static str);

/// Finds every cell that names a thing by this name, in whatever spelling.
fn named<'s>(thing: Thing, name: &str, sheets: &'s [TextSheet]) -> Vec<Naming<'s>> {
    let mut found = Vec::new();
    for sheet in sheets {
        let columns = columns_of(sheet.table, thing);
        for row in &sheet.rows {
            for (column, form) in &columns {
                let cell = row.raw(column);
                if names_in(cell, *form).into_iter().any(|span| thing.alike(&cell[span], name)) {
                    found.push((format!("{}:{}", sheet.name, row.line), sheet, row, *column));
                }
            }
        }
    }
    found
}

/// Works out the edits that change a name wherever it stands. None, where it is spelled so already.
///
/// # Errors
/// Nothing has the old name, something has the new one, or the new one could not be read back.
pub fn rename(
    thing: Thing,
    old: &str,
    new: &str,
    sheets: &[TextSheet],
) -> Result<Vec<FileEdits>, Unchanged> {
    let new = new.trim();
    refuse_unfit(thing, new)?;
    let uses = named(thing, old, sheets);
    if uses.is_empty() {
        return Err(Unchanged::NotThere(nothing_named(thing, old, sheets)));
    }
    if !thing.alike(old, new) {
        if let Some((place, ..)) = named(thing, new, sheets).first() {
            return Err(Unchanged::Unfit(format!(
                "'{new}' is there already ({place}), and the two would become one; choose another name, or change those rows first"
            )));
        }
        refuse_shipped(thing, old, new, sheets)?;
    }
    let mut files: BTreeMap<&str, FileEdits> = BTreeMap::new();
    for (_, sheet, row, column) in uses {
        let mut text = row.raw(column).to_owned();
        for (_, form) in
            columns_of(sheet.table, thing).into_iter().filter(|(name, _)| *name == column)
        {
            for span in names_in(&text, form).into_iter().rev() {
                if thing.alike(&text[span.clone()], old) {
                    text.replace_range(span, new);
                }
            }
        }
        if text != row.raw(column) {
            let file = files.entry(&sheet.name);
            let new =
                || FileEdits { table: sheet.table, name: sheet.name.clone(), edits: Vec::new() };
            file.or_insert_with(new).edits.push(Edit::Set {
                line: row.line,
                column: column.to_owned(),
                text,
            });
        }
    }
    Ok(files.into_values().collect())
}

/// A name must read back as that name wherever it is written.
fn refuse_unfit(thing: Thing, new: &str) -> Result<(), Unchanged> {
    let unfit =
        |why: &str| Err(Unchanged::Unfit(format!("'{}' cannot be a name: {why}", shorten(new))));
    if new.is_empty() {
        return unfit("it is blank");
    }
    if thing == Thing::Part && PartNumber::new(new).is_none() {
        return unfit("a part number needs at least one letter or digit");
    }
    if new.contains([';', '=', '*']) || new.contains(char::is_control) {
        return unfit("; = and * separate names and quantities in the tables");
    }
    if new.starts_with('#') {
        return unfit("a line that begins with # is a remark");
    }
    let conditional = matches!(thing, Thing::Trait | Thing::Option);
    if conditional
        && new.split_whitespace().next().is_some_and(|word| word.eq_ignore_ascii_case("not"))
    {
        return unfit("not before a name says that it must not hold");
    }
    Ok(())
}

/// What ships with the program keeps its name, and lends it to nothing else.
fn refuse_shipped(
    thing: Thing,
    old: &str,
    new: &str,
    sheets: &[TextSheet],
) -> Result<(), Unchanged> {
    let (rows, _) = shipped_rows();
    let shipped: Vec<Key> = match thing {
        Thing::Type => rows
            .types
            .into_iter()
            .flat_map(|row| [vec![row.part_type], row.also_called].concat())
            .collect(),
        Thing::Caution => rows.cautions.into_iter().map(|row| row.caution).collect(),
        _ => return Ok(()),
    };
    let own = thing.home().is_some_and(|(table, column)| {
        placed(sheets, table).iter().any(|row| thing.alike(row.row.cell(column), old))
    });
    if !own && shipped.contains(&Key::new(old)) {
        return Err(Unchanged::Unfit(format!(
            "'{}' ships with the program, so it cannot be renamed",
            shorten(old)
        )));
    }
    let other_name = |sheet: &&TextSheet| {
        let names = |row: &crate::tables::TextRow| {
            row.cell("also_called").split(';').any(|name| thing.alike(name, new))
        };
        thing == Thing::Type && sheet.table == "types" && sheet.rows.iter().any(names)
    };
    if shipped.contains(&Key::new(new)) || sheets.iter().any(|sheet| other_name(&sheet)) {
        return Err(Unchanged::Unfit(format!("'{}' is the name of another already", shorten(new))));
    }
    Ok(())
}

fn nothing_named(thing: Thing, old: &str, sheets: &[TextSheet]) -> String {
    let mut names: Vec<&str> = Vec::new();
    for sheet in sheets {
        for (column, form) in columns_of(sheet.table, thing) {
            let cells = sheet.rows.iter().map(|row| row.raw(column));
            names.extend(cells.flat_map(|cell| {
                names_in(cell, form).into_iter().filter_map(|span| cell.get(span))
            }));
        }
    }
    let hint =
        nearest(old, names).map_or_else(String::new, |meant| format!("; did you mean '{meant}'?"));
    format!("no table names '{}'{hint}", shorten(old))
}
