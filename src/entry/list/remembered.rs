use super::columns::{Column, folded};

/// The hidden file of the catalog in which the columns of lists are remembered.
pub use crate::tables::COLUMNS_FILE as FILE;

/// Which column of a list was which of ours, by the list's header line.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Remembered {
    /// Table, header, their column, ours (blank: none).
    rows: Vec<[String; 4]>,
}

impl Remembered {
    /// Reads what the file holds; a line that makes no sense is passed over.
    pub fn read(text: &str) -> Remembered {
        let mut reader = csv::ReaderBuilder::new().flexible(true).from_reader(text.as_bytes());
        let rows = reader.records().filter_map(Result::ok).filter(|record| record.len() == 4);
        Remembered {
            rows: rows
                .map(|record| [0, 1, 2, 3].map(|at| record.get(at).unwrap_or_default().to_owned()))
                .collect(),
        }
    }

    /// Gives our column for a column of a list with this header; `None` where nothing is remembered.
    pub fn ours(&self, table: &str, columns: &[Column], theirs: &str) -> Option<&str> {
        let header = header(columns);
        let found = self
            .rows
            .iter()
            .find(|[of, with, name, _]| of == table && *with == header && *name == folded(theirs));
        found.map(|[_, _, _, ours]| ours.as_str())
    }

    /// Remembers the columns of a list; what was remembered of that header is forgotten.
    pub fn remember(&mut self, table: &str, columns: &[Column]) {
        let header = header(columns);
        self.rows.retain(|[of, with, _, _]| of != table || *with != header);
        for column in columns {
            self.rows.push([
                table.to_owned(),
                header.clone(),
                folded(&column.theirs),
                column.ours.unwrap_or_default().to_owned(),
            ]);
        }
    }

    /// Writes what is to stand in the file.
    pub fn text(&self) -> String {
        let mut writer = csv::Writer::from_writer(Vec::new());
        // Writing to memory cannot fail.
        let _ = writer.write_record(["table", "header", "theirs", "ours"]);
        for row in &self.rows {
            let _ = writer.write_record(row);
        }
        writer.into_inner().ok().and_then(|bytes| String::from_utf8(bytes).ok()).unwrap_or_default()
    }
}

fn header(columns: &[Column]) -> String {
    columns.iter().map(|column| folded(&column.theirs)).collect::<Vec<_>>().join(" | ")
}
