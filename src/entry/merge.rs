//! What rows from another owner bring to one's own tables: the same, the new, and what says something else.
//!
//! Nothing of one's own is overwritten or contradicted unless its owner chooses so.

use crate::catalog::{Owned, Rows, Table, Thing};
use crate::measure::{Key, PartNumber};
use crate::tables::{Edit, FileEdits, TextRow, TextSheet, can_both_apply, definition};
use std::collections::{BTreeMap, HashMap, HashSet};

/// A row and where it stands.
#[derive(Debug, Clone)]
pub struct Placed {
    /// The file, by its path within its folder.
    pub file: String,
    /// The row.
    pub row: TextRow,
    /// Its number in table order: rows that are added keep the order that they had.
    order: usize,
}

impl Placed {
    /// Names file and line.
    pub fn place(&self) -> String {
        format!("{}:{}", self.file, self.row.line)
    }
}

/// Rows of both owners about one thing that do not say the same.
#[derive(Debug, Clone)]
pub struct Disagreement {
    /// The table.
    pub table: &'static str,
    /// What the rows are about, as a person may name it.
    pub key: String,
    /// Pairs about the same machines: mine first. One of the two can stand.
    pub differing: Vec<(Placed, Placed)>,
    /// A row of theirs, and those of mine that would speak beside it and that theirs do not have.
    pub beside: Vec<(Vec<Placed>, Placed)>,
}

/// Whose rows are to stand.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Choice {
    /// Mine stay as they are.
    Mine,
    /// Theirs take their place.
    Theirs,
    /// Theirs are added beside mine.
    Both,
}

/// What another owner's rows bring.
#[derive(Debug, Clone, Default)]
pub struct Merge {
    /// So many rows are there already.
    pub same: usize,
    /// Rows about something of which the tables say nothing that would be touched.
    pub new: Vec<Placed>,
    /// What says something else, in the order of the tables.
    pub disagreements: Vec<Disagreement>,
    /// Tables that are nobody else's business, with the number of their rows: never taken.
    pub passed_over: Vec<(&'static str, usize)>,
}

impl Merge {
    /// Compares another owner's tables with one's own. `rows` are one's own, typed.
    pub fn compare(mine: &[TextSheet], rows: &Rows, theirs: &[TextSheet]) -> Merge {
        let mut merge = Merge::default();
        let shared = Table::shared();
        let is_own = |sheet: &&TextSheet| shared.iter().all(|table| table.name != sheet.table);
        for sheet in theirs.iter().filter(|sheet| !sheet.rows.is_empty()).filter(is_own) {
            merge.passed_over.push((sheet.table, sheet.rows.len()));
        }
        for table in shared {
            let (mine, theirs) = (placed(mine, table.name), placed(theirs, table.name));
            merge.compare_table(table, &mine, rows, theirs);
        }
        merge
    }

    fn compare_table(&mut self, table: &Table, mine: &[Placed], rows: &Rows, theirs: Vec<Placed>) {
        let mut known: HashMap<Vec<String>, Vec<&Placed>> = HashMap::new();
        for row in mine {
            known.entry(folded(table, &row.row)).or_default().push(row);
        }
        let mut groups: Vec<(Vec<String>, Vec<Placed>)> = Vec::new();
        let mut group_of: HashMap<Vec<String>, usize> = HashMap::new();
        for row in theirs {
            let key = folded(table, &row.row);
            let index = *group_of.entry(key.clone()).or_insert_with(|| {
                groups.push((key, Vec::new()));
                groups.len() - 1
            });
            groups[index].1.push(row);
        }
        for (key, theirs) in groups {
            match known.get(&key) {
                None => self.new.extend(theirs),
                Some(mine) => self.compare_group(table, mine, rows, theirs),
            }
        }
    }

    fn compare_group(&mut self, table: &Table, mine: &[&Placed], rows: &Rows, theirs: Vec<Placed>) {
        let mut matched: HashSet<usize> = HashSet::new();
        let mut left = Vec::new();
        for theirs in theirs {
            let same: Vec<usize> = (0..mine.len())
                .filter(|index| says_the_same(&mine[*index].row, &theirs.row))
                .collect();
            if same.is_empty() {
                left.push(theirs);
            } else {
                matched.extend(same);
                self.same += 1;
            }
        }
        let Some(first) = left.first() else { return };
        let key =
            table.key().iter().map(|column| first.row.cell(column)).collect::<Vec<_>>().join("/");
        let mut found =
            Disagreement { table: first.row.table, key, differing: Vec::new(), beside: Vec::new() };
        let unmatched: Vec<&Placed> = (0..mine.len())
            .filter(|index| !matched.contains(index))
            .map(|index| mine[index])
            .collect();
        let further = table.further();
        let mut paired: HashSet<u32> = HashSet::new();
        for theirs in left {
            let counterpart = if table.has_one_row() {
                mine.first().copied()
            } else {
                unmatched.iter().copied().find(|mine| {
                    same_cells(&further, &mine.row, &theirs.row) && !paired.contains(&mine.row.line)
                })
            };
            if let Some(mine) = counterpart {
                paired.insert(mine.row.line);
                found.differing.push((mine.clone(), theirs));
                continue;
            }
            // More lines or contents than mine change what mine say, though mine agree with the rest of theirs.
            let meets = |mine: &Placed| {
                !table.has_one_row()
                    && (!table.is_scoped()
                        || matches!(table.owned, Owned::Together(_))
                        || can_meet(&mine.row, &theirs.row, rows))
            };
            if mine.iter().any(|mine| meets(mine)) {
                let beside = unmatched
                    .iter()
                    .filter(|mine| meets(mine))
                    .map(|mine| (*mine).clone())
                    .collect();
                found.beside.push((beside, theirs));
            } else {
                self.new.push(theirs);
            }
        }
        if !found.differing.is_empty() || !found.beside.is_empty() {
            self.disagreements.push(found);
        }
    }

    /// Works out what is to be written. `choices` are those for the disagreements, in their order; `file_of` names the
    /// file that takes new rows of a table; `from` is noted as the source of rows that name none.
    pub fn edits(
        &self,
        choices: &[Choice],
        file_of: &dyn Fn(&'static str) -> String,
        from: &str,
    ) -> Vec<FileEdits> {
        let mut files: BTreeMap<String, FileEdits> = BTreeMap::new();
        let mut edit = |table: &'static str, name: String, edit: Edit| {
            let new = || FileEdits { table, name: name.clone(), edits: Vec::new() };
            files.entry(name.clone()).or_insert_with(new).edits.push(edit);
        };
        let mut added: Vec<&Placed> = Vec::new();
        let mut removed: HashSet<String> = HashSet::new();
        for (disagreement, choice) in self.disagreements.iter().zip(choices) {
            let table = disagreement.table;
            if *choice == Choice::Theirs {
                for (mine, theirs) in &disagreement.differing {
                    for (column, text) in taken_over(&mine.row, &theirs.row, from) {
                        edit(
                            table,
                            mine.file.clone(),
                            Edit::Set { line: mine.row.line, column, text },
                        );
                    }
                }
                let changed: HashSet<String> =
                    disagreement.differing.iter().map(|(mine, _)| mine.place()).collect();
                for mine in disagreement.beside.iter().flat_map(|(mine, _)| mine) {
                    if !changed.contains(&mine.place()) && removed.insert(mine.place()) {
                        edit(table, mine.file.clone(), Edit::Remove { line: mine.row.line });
                    }
                }
            }
            if *choice != Choice::Mine {
                added.extend(disagreement.beside.iter().map(|(_, theirs)| theirs));
            }
        }
        added.extend(&self.new);
        added.sort_by_key(|placed| (placed.row.table, placed.order));
        for placed in added {
            let table = placed.row.table;
            edit(table, file_of(table), Edit::Append { cells: carried(&placed.row, from) });
        }
        files.into_values().collect()
    }
}

impl Disagreement {
    /// Tells whether rows of both owners could stand beside each other.
    pub fn both_can_stand(&self) -> bool {
        self.differing.is_empty()
    }
}

pub(super) fn placed(sheets: &[TextSheet], table: &str) -> Vec<Placed> {
    let of_table = sheets.iter().filter(|sheet| sheet.table == table);
    of_table
        .flat_map(|sheet| sheet.rows.iter().map(|row| (sheet.name.clone(), row.clone())))
        .enumerate()
        .map(|(order, (file, row))| Placed { file, row, order })
        .collect()
}

/// Gives what a row is about, as it is compared.
fn folded(table: &Table, row: &TextRow) -> Vec<String> {
    let is_number = |column: &str| {
        table.column(column).is_some_and(|column| column.forms(Thing::Part).any(|_| true))
    };
    let mut key: Vec<String> = table
        .key()
        .iter()
        .map(|column| {
            let text = row.cell(column);
            match PartNumber::new(text).filter(|_| is_number(column)) {
                Some(number) => number.folded().to_owned(),
                None => Key::new(text).folded().to_owned(),
            }
        })
        .collect();
    if table.name == "equivalents" {
        key.sort();
    }
    key
}

/// Where a row was found is no part of what it says; nor is a note that is blank.
fn says_the_same(mine: &TextRow, theirs: &TextRow) -> bool {
    let mut theirs = theirs.with("source", mine.cell("source"));
    if theirs.cell("note").is_empty() {
        theirs = theirs.with("note", mine.cell("note"));
    }
    if mine.table == "equivalents"
        && PartNumber::new(mine.cell("part")) != PartNumber::new(theirs.cell("part"))
    {
        let (part, other) = (theirs.cell("other").to_owned(), theirs.cell("part").to_owned());
        theirs = theirs.with("part", &part).with("other", &other);
    }
    mine.value() == theirs.value()
}

fn same_cells(columns: &[&str], a: &TextRow, b: &TextRow) -> bool {
    columns.iter().all(|column| same_cell(column, a, b))
}

/// Two cells are alike where the row with the one says the same as with the other.
fn same_cell(column: &str, a: &TextRow, b: &TextRow) -> bool {
    let (a, b) = (a.with_points(), b.with_points());
    a.cell(column) == b.cell(column) || a.value() == a.with(column, b.cell(column)).value()
}

fn can_meet(a: &TextRow, b: &TextRow, rows: &Rows) -> bool {
    let (a, b) = (a.value(), b.value());
    match (a.scopes().next(), b.scopes().next()) {
        (Some((_, a)), Some((_, b))) => can_both_apply(a, b, rows),
        _ => true,
    }
}

/// Lists the columns in which two rows differ: its name, what mine says and what theirs says.
pub fn differences(mine: &TextRow, theirs: &TextRow) -> Vec<(&'static str, String, String)> {
    let columns = definition(mine.table).map_or(&[][..], |table| &table.columns);
    let said = |row: &TextRow, column: &str| row.with_points().cell(column).to_owned();
    columns
        .iter()
        .filter(|column| column.name != "source" && !same_cell(column.name, mine, theirs))
        .filter(|column| column.name != "note" || !theirs.cell("note").is_empty())
        .map(|column| (column.name, said(mine, column.name), said(theirs, column.name)))
        .collect()
}

/// The cells to write where theirs take the place of mine.
fn taken_over(mine: &TextRow, theirs: &TextRow, from: &str) -> Vec<(String, String)> {
    let mut cells: Vec<(String, String)> = differences(mine, theirs)
        .into_iter()
        .map(|(column, _, theirs)| (column.to_owned(), theirs))
        .collect();
    if has_source(mine.table) {
        let source = source_of(theirs, from);
        if source != mine.cell("source") {
            cells.push(("source".to_owned(), source));
        }
    }
    cells
}

/// The cells of a row that is added.
fn carried(row: &TextRow, from: &str) -> Vec<(String, String)> {
    let row = row.with_points();
    let columns = definition(row.table).map_or(&[][..], |table| &table.columns);
    let mut cells: Vec<(String, String)> = columns
        .iter()
        .map(|column| (column.name.to_owned(), row.cell(column.name).to_owned()))
        .filter(|(column, text)| !text.is_empty() && column != "source")
        .collect();
    if has_source(row.table) {
        cells.push(("source".to_owned(), source_of(&row, from)));
    }
    cells
}

fn has_source(table: &str) -> bool {
    definition(table)
        .is_some_and(|table| table.columns.iter().any(|column| column.name == "source"))
}

fn source_of(row: &TextRow, from: &str) -> String {
    let source = row.cell("source");
    if source.is_empty() { format!("from {from}") } else { source.to_owned() }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::tables::{Tables, rewrite};

    fn compare(mine: &[(&str, &str)], theirs: &[(&str, &str)]) -> Merge {
        let sheets = |files: &[(&str, &str)]| -> Vec<TextSheet> {
            let sheet = |(table, text): &(&str, &str)| {
                TextSheet::read(table, &format!("{table}.csv"), text.as_bytes())
            };
            files.iter().filter_map(sheet).collect()
        };
        let mut tables = Tables::default();
        for (table, text) in mine {
            tables.read_file(table, format!("{table}.csv"), text.as_bytes());
        }
        Merge::compare(&sheets(mine), &tables.rows, &sheets(theirs))
    }

    fn after(mine: &str, merge: &Merge, choices: &[Choice]) -> String {
        let edits = merge.edits(choices, &|table| format!("{table}.csv"), "loan");
        let Some(file) = edits.first() else { return mine.to_owned() };
        String::from_utf8(rewrite(file.table, mine.as_bytes(), &file.edits).expect("sound"))
            .expect("UTF-8")
    }

    #[test]
    fn a_row_in_another_spelling_is_the_same_row() {
        let mine = [("parts", "part,type,unit,note,source\nTV-11/80,gasket,L,mine,my manual\n")];
        let theirs = [("parts", "source;unit;type;part\nelsewhere;l;Gasket;tv 1180\n")];
        let merge = compare(&mine, &theirs);
        assert_eq!((merge.same, merge.new.len(), merge.disagreements.len()), (1, 0, 0));
        let mine = [("operations", "operation,uses\nrefill,90-1=0.35 L\n")];
        let theirs = [("operations", "operation;uses\nrefill;90-1=350,0 ml\n")];
        assert_eq!(compare(&mine, &theirs).same, 1);
    }

    #[test]
    fn a_new_row_is_added_with_its_source_or_where_it_came_from() {
        let mine = "part,type,source\nA-1,gasket,manual\n";
        let merge = compare(&[("parts", mine)], &[("parts", "part,source\nB-1,\nC-1,a bag\n")]);
        assert_eq!(
            after(mine, &merge, &[]),
            "part,type,source\nA-1,gasket,manual\nB-1,,from loan\nC-1,,a bag\n"
        );
    }

    #[test]
    fn a_differing_row_stays_mine_until_its_owner_chooses_theirs() {
        let mine = "part,type,name,source\nA-1,gasket,cover,manual\n";
        let merge = compare(&[("parts", mine)], &[("parts", "part,type,name\na1,o-ring,cover\n")]);
        let [found] = &merge.disagreements[..] else { panic!("one disagreement") };
        let (ours, theirs) = &found.differing[0];
        assert_eq!(
            differences(&ours.row, &theirs.row),
            [("type", "gasket".into(), "o-ring".into())]
        );
        assert_eq!(after(mine, &merge, &[Choice::Mine]), mine);
        assert_eq!(
            after(mine, &merge, &[Choice::Theirs]),
            "part,type,name,source\nA-1,o-ring,cover,from loan\n"
        );
    }

    #[test]
    fn rows_of_one_position_that_could_both_apply_are_a_choice_and_others_are_new() {
        let mine = "position,part,years\nseal,A-1,-1998\nseal,A-2,1999-\n";
        let merge = compare(
            &[("positions", mine)],
            &[("positions", "position,part,years\nSeal,A-3,1997-2001\n")],
        );
        let [found] = &merge.disagreements[..] else { panic!("one disagreement") };
        assert_eq!(found.beside[0].0.len(), 2);
        assert_eq!(after(mine, &merge, &[Choice::Mine]), mine);
        assert_eq!(
            after(mine, &merge, &[Choice::Both]).lines().last(),
            Some("Seal,A-3,1997-2001,from loan"),
        );
        let mine = "position,part,years\nseal,A-1,-1998\n";
        let merge = compare(
            &[("positions", mine)],
            &[("positions", "position,part,years\nseal,A-3,1999-\n")],
        );
        assert_eq!((merge.new.len(), merge.disagreements.len()), (1, 0));
    }

    #[test]
    fn a_job_with_other_lines_is_a_choice_between_the_two_lists() {
        let mine = "job,position,note\nseals,a,\nseals,b,mine\nother,c,\n";
        let merge =
            compare(&[("job_lines", mine)], &[("job_lines", "job,position\nSeals,a\nSeals,d\n")]);
        assert_eq!(merge.same, 1);
        assert_eq!(after(mine, &merge, &[Choice::Mine]), mine);
        assert_eq!(
            after(mine, &merge, &[Choice::Theirs]),
            "job,position,note\nseals,a,\nother,c,\nSeals,d,\n"
        );
        assert_eq!(
            after(mine, &merge, &[Choice::Both]),
            "job,position,note\nseals,a,\nseals,b,mine\nother,c,\nSeals,d,\n"
        );
    }

    #[test]
    fn what_is_nobody_elses_business_is_never_taken() {
        let merge = compare(
            &[],
            &[("machines", "machine,model\ndinghy,TV8\n"), ("stock", "part,quantity\nA,1\n")],
        );
        assert_eq!(merge.passed_over, [("machines", 1), ("stock", 1)]);
        assert!(merge.edits(&[], &|table| format!("{table}.csv"), "loan").is_empty());
    }
}
