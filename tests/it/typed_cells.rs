//! What people type into cells, from `tests/data/typed_cells.csv`: each cell is read as the plain form beside it, or its
//! row is unread, and none keeps the catalog closed. Common practice, no source.

use kitwright::measure::DecimalMark;
use kitwright::tables::{TextRow, definition, read_folder};
use std::fs;

struct Typed {
    table: String,
    column: String,
    cell: String,
    means: String,
}

fn typed() -> Vec<Typed> {
    let mut file = csv::Reader::from_path("tests/data/typed_cells.csv").expect("the cells");
    let rows: Vec<Typed> = file
        .records()
        .map(|record| {
            let record = record.expect("a record");
            let cell = |at: usize| record.get(at).expect("a cell").to_owned();
            Typed { table: cell(0), column: cell(1), cell: cell(2), means: cell(3) }
        })
        .collect();
    assert!(rows.len() >= 300, "{} cells", rows.len());
    rows
}

/// What the other cells of a row must hold, so that only the one in question can be at fault.
fn beside(column: &str) -> &'static str {
    match column {
        "price" | "quantity" => "1",
        "date" => "2019-01-01",
        "size" => "10",
        "verdict" => "fits",
        _ => "N1",
    }
}

fn row(typed: &Typed, cell: &str) -> TextRow {
    let table = definition(&typed.table).expect("a table");
    let mut cells: Vec<(String, String)> = table
        .columns
        .iter()
        .filter(|column| column.required && column.name != typed.column)
        .map(|column| (column.name.to_owned(), beside(column.name).to_owned()))
        .collect();
    cells.push((typed.column.clone(), cell.to_owned()));
    TextRow::new(table.name, DecimalMark::Point, cells)
}

#[test]
fn each_cell_is_read_as_meant_or_its_row_is_unread() {
    let mut wrong = Vec::new();
    for typed in typed() {
        let Typed { table, column, cell, means } = &typed;
        let read = row(&typed, cell);
        let refused = read.refused();
        let is_right = if means == "unread" {
            !refused.is_empty() && refused.iter().all(|(name, _)| name == column)
        } else {
            let plain = row(&typed, if means == "blank" { "" } else { means });
            refused.is_empty() && plain.refused().is_empty() && read.value() == plain.value()
        };
        if !is_right {
            wrong.push(format!("{table}.{column} `{cell}` for {means}: {refused:?}"));
        }
    }
    assert!(wrong.is_empty(), "{} of them:\n{}", wrong.len(), wrong.join("\n"));
}

#[test]
fn none_of_them_keeps_the_catalog_closed() {
    let folder = tempfile::tempdir().expect("a folder");
    let (mut unread, mut files) = (0, 0);
    for (number, typed) in typed().iter().enumerate() {
        let table = definition(&typed.table).expect("a table");
        let required = table.columns.iter().filter(|column| column.required);
        let mut names: Vec<&str> = required.map(|column| column.name).collect();
        names.retain(|name| *name != typed.column);
        let mut cells: Vec<&str> = names.iter().map(|name| beside(name)).collect();
        names.push(&typed.column);
        cells.push(&typed.cell);
        let place = folder.path().join(format!("{number:03}"));
        fs::create_dir(&place).expect("made");
        let mut file =
            csv::Writer::from_path(place.join(format!("{}.csv", table.name))).expect("open");
        file.write_record(&names).expect("written");
        file.write_record(&cells).expect("written");
        file.flush().expect("written");
        unread += usize::from(typed.means == "unread");
        files += 1;
    }
    let tables = read_folder(folder.path()).expect("the folder");
    assert!(!tables.is_closed());
    assert_eq!((tables.files.len(), tables.unread.len()), (files, unread));
}
