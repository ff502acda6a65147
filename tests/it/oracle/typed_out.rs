//! A catalog of plain rows typed out as CSV, as a person's own would be, and read back.

use super::naive;
use kitwright::catalog::Memory;
use kitwright::measure::Date;
use kitwright::tables::{Tables, read_folder};
use std::collections::{BTreeMap, BTreeSet};
use std::fs;

/// Each table that has rows, and its text.
pub fn texts(tables: &naive::Tables) -> BTreeMap<String, Vec<u8>> {
    texts_parted_by(b',', tables)
}

/// As [`texts`], with another delimiter.
pub fn texts_parted_by(delimiter: u8, tables: &naive::Tables) -> BTreeMap<String, Vec<u8>> {
    let text = |rows: &[naive::Row]| {
        let mut columns: BTreeSet<&str> =
            rows.iter().flat_map(|row| row.keys()).map(String::as_str).collect();
        columns.remove(naive::BEYOND_THE_HEADER);
        let mut writer =
            csv::WriterBuilder::new().delimiter(delimiter).flexible(true).from_writer(Vec::new());
        writer.write_record(&columns).expect("to memory");
        for row in rows {
            let cells = columns.iter().map(|column| row.get(*column).map_or("", String::as_str));
            let beyond = row.get(naive::BEYOND_THE_HEADER).map(String::as_str);
            writer.write_record(cells.chain(beyond)).expect("to memory");
        }
        writer.into_inner().expect("to memory")
    };
    let filled = tables.iter().filter(|(_, rows)| !rows.is_empty());
    filled.map(|(table, rows)| (table.clone(), text(rows))).collect()
}

/// The catalog that the texts give; the types and cautions that ship with the program are not in it.
pub fn read(texts: &BTreeMap<String, Vec<u8>>) -> Memory {
    let mut read = Tables::default();
    for (table, text) in texts {
        read.read_file(table, format!("{table}.csv"), text);
    }
    assert_eq!(read.faults, [], "what was typed out can be read");
    Memory::new(read.rows, read.files, Default::default(), Vec::new())
}

/// Types a catalog out and reads it back.
pub fn catalog(tables: &naive::Tables) -> Memory {
    read(&texts(tables))
}

/// As [`catalog`], from a folder of its own, where some rows cannot be read.
pub fn spoilt_catalog(tables: &naive::Tables) -> Memory {
    let folder = tempfile::tempdir().expect("a folder");
    for (table, text) in texts(tables) {
        fs::write(folder.path().join(format!("{table}.csv")), text).expect("a file in it");
    }
    let mut read = read_folder(folder.path()).expect("the folder");
    read.set_strays_aside(folder.path(), &Date::parse("2026-10-10").expect("a day"));
    Memory::new(read.rows, read.files, Default::default(), Vec::new()).with_unread(read.unread)
}
