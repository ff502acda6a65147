//! The reference tables that ship inside the program.

use super::read::Tables;
use crate::catalog::{Memory, Rows};

const FILES: &[(&str, &str, &str)] = &[
    ("types", "types.csv (shipped)", include_str!("../../catalog/types.csv")),
    ("cautions", "cautions.csv (shipped)", include_str!("../../catalog/cautions.csv")),
];

/// Gives the shipped rows and the names of their files. A test holds them to be free of faults.
pub fn rows() -> (Rows, Vec<String>) {
    let tables = tables();
    (tables.rows, tables.files)
}

impl Tables {
    /// Builds the catalog that the rest of the program reads, with the types and cautions shipped.
    pub fn catalog(self) -> Memory {
        let (shipped, shipped_files) = rows();
        Memory::new(self.rows, self.files, shipped, shipped_files).with_unread(self.unread)
    }
}

fn tables() -> Tables {
    let mut tables = Tables::default();
    for (table, name, text) in FILES {
        tables.read_file(table, (*name).to_owned(), text.as_bytes());
    }
    tables
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::collections::HashMap;

    #[test]
    fn the_shipped_tables_can_be_read_whole() {
        let tables = tables();
        assert_eq!(tables.faults, []);
        assert_eq!(tables.notices, []);
    }

    #[test]
    fn every_shipped_type_has_a_rule_a_reason_and_a_source_and_no_name_comes_twice() {
        let rows = rows().0.types;
        assert!(rows.len() >= 45, "{} types", rows.len());
        let mut names = HashMap::new();
        for row in &rows {
            assert!(row.when_disturbed.is_some() && row.seals.is_some(), "{}", row.part_type);
            assert!(!row.why.is_empty() && !row.source.is_empty(), "{}", row.part_type);
            for name in row.also_called.iter().chain([&row.part_type]) {
                assert_eq!(names.insert(name.clone(), &row.part_type), None, "{name}");
            }
        }
    }

    #[test]
    fn every_shipped_caution_has_a_text_and_a_source() {
        for row in rows().0.cautions {
            assert!(!row.text.is_empty() && !row.source.is_empty(), "{}", row.caution);
        }
    }
}
