//! Cells that cannot be read.

use super::{Bench, LOGGED_POSITION, MACHINE, row};
use crate::oracle::naive::{BEYOND_THE_HEADER, Row};

/// A table, a column, and what somebody typed there. A blank is a key that was forgotten.
const SPOILT: [(&str, &str, &str); 40] = [
    ("positions", "quantity", "a few"),
    ("positions", "when_disturbed", "mend"),
    ("positions", "years", "early"),
    ("positions", "torque", "tight"),
    ("positions", "position", ""),
    ("positions", BEYOND_THE_HEADER, "oddly placed"),
    ("positions", "model", "elm"),
    ("operations", "uses", "some paste"),
    ("operations", "phase", "someday"),
    ("operations", "serials", "all"),
    ("operations", "operation", ""),
    ("operations", "model", "elm"),
    ("jobs", "years", "1999 or so"),
    ("jobs", "model", "elm"),
    ("job_lines", "quantity", "plenty"),
    ("job_lines", "serials", "mine"),
    ("job_lines", "job", ""),
    ("job_lines", BEYOND_THE_HEADER, "oddly placed"),
    ("supersessions", "quantity", "two"),
    ("supersessions", "since", "last year"),
    ("supersessions", "new", ""),
    ("supersessions", "old", ""),
    ("supersessions", "needs", "pump=AB-101*some"),
    ("retrofits", "verdict", "perhaps"),
    ("retrofits", "needs", "pump=AB-101*0"),
    ("selections", "least", "thin"),
    ("selections", "part", ""),
    ("contains", "quantity", "all"),
    ("contains", "contains", ""),
    ("parts", "single_use", "maybe"),
    ("parts", "status", "gone"),
    ("parts", "unit", "bucket"),
    ("types", "when_disturbed", "mend"),
    ("types", "seals", "partly"),
    ("worklog", "date", "in spring"),
    ("worklog", "quantity", "both"),
    ("worklog", "date", "2999-01-01"),
    ("assemblies", "year", "old"),
    ("joints", "dry", "damp"),
    ("measurements", "value", "loose"),
];

impl Bench {
    /// Spoils one cell or two.
    pub fn spoil(&mut self) {
        let how_many = self.number(1, 3);
        for _ in 0..how_many {
            match self.number(0, 19) {
                0 => self.log_what_is_nowhere(),
                1 if self.often(0.1) => {
                    let year = ("year".to_string(), "old".to_string());
                    self.tables.get_mut("machines").into_iter().for_each(|rows| {
                        rows[0].extend([year.clone()]);
                    });
                }
                _ => self.spoil_a_cell(),
            }
        }
    }

    fn spoil_a_cell(&mut self) {
        let (table, column, text) = self.one_of(&SPOILT);
        let rows = self.tables.get(table).map_or(0, Vec::len);
        if rows == 0 {
            return;
        }
        let at = self.chance_below(rows);
        // Half of the time the row is there once more as it should be.
        let keeps = self.often(0.5);
        let rows = self.tables.get_mut(table).expect("rows");
        let mut spoilt: Row = rows[at].clone();
        spoilt.insert(column.to_string(), text.to_string());
        if keeps {
            rows.insert(at, spoilt);
        } else {
            rows[at] = spoilt;
        }
    }

    /// A log row for a machine, or for a position, that there is none of.
    fn log_what_is_nowhere(&mut self) {
        let part = self.part_for("bracket");
        let (machine, position) = match self.number(0, 2) {
            0 => (self.spell(MACHINE), "prot ring"),
            1 => ("old hnad".to_string(), "port ring"),
            _ if self.removes_the_logged_position => return,
            _ => (self.spell(MACHINE), LOGGED_POSITION),
        };
        self.put("worklog", row(&[("machine", &machine), ("position", position), ("part", &part)]));
    }
}
