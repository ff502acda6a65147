//! One more row: what is wrong with it, what stands there already, which names it speaks of that nobody knows.

use super::names::{Names, points_to};
use crate::catalog::Table;
use crate::catalog::Thing;
use crate::measure::{DecimalMark, PartNumber, Quantity, parse_decimal};
use crate::tables::{TextRow, TextSheet, definition};

/// How a row stands to those that are there.
#[derive(Debug, Clone)]
pub enum Standing {
    /// Nothing is said of it yet.
    New,
    /// A row says the same, or more.
    Same(Existing),
    /// A row about the same thing has blank cells that this one fills, and contradicts nothing.
    Fills(Existing, Vec<Differs>),
    /// A row about the same thing says something else.
    Differs(Existing, Vec<Differs>),
}

/// A row that is there.
#[derive(Debug, Clone)]
pub struct Existing {
    /// The file, by its path within the catalog folder.
    pub file: String,
    /// The row.
    pub row: TextRow,
}

impl Existing {
    /// Names file and line.
    pub fn place(&self) -> String {
        format!("{}:{}", self.file, self.row.line)
    }
}

/// A cell that two rows about the same thing do not share.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Differs {
    /// The column.
    pub column: &'static str,
    /// What stands there; may be blank.
    pub ours: String,
    /// What the new row says.
    pub theirs: String,
}

/// The rows of a table by what they are about.
#[derive(Debug)]
pub struct Register {
    table: &'static Table,
    rows: std::collections::HashMap<Vec<String>, Vec<Existing>>,
}

impl Register {
    /// Takes down the rows of a table; `None` where there is no such table.
    pub fn of(table: &str, sheets: &[TextSheet]) -> Option<Register> {
        let table = definition(table)?;
        let mut register = Register { table, rows: std::collections::HashMap::new() };
        for sheet in sheets.iter().filter(|sheet| sheet.table == table.name) {
            for row in &sheet.rows {
                register.add(&sheet.name, row.clone());
            }
        }
        Some(register)
    }

    /// Takes one more row down.
    pub fn add(&mut self, file: &str, row: TextRow) {
        let key = self.key(&row);
        self.rows.entry(key).or_default().push(Existing { file: file.to_owned(), row });
    }

    /// Says how a row stands to those taken down.
    pub fn standing(&self, row: &TextRow) -> Standing {
        let Some(existing) = self.rows.get(&self.key(row)) else { return Standing::New };
        let mut best: Option<Standing> = None;
        for existing in existing {
            let differing = self.differing(&existing.row, row);
            let standing = if differing.is_empty() {
                return Standing::Same(existing.clone());
            } else if differing.iter().all(|cell| cell.ours.is_empty()) {
                Standing::Fills(existing.clone(), differing)
            } else {
                Standing::Differs(existing.clone(), differing)
            };
            if best.is_none() || matches!(standing, Standing::Fills(..)) {
                best = Some(standing);
            }
        }
        best.unwrap_or(Standing::New)
    }

    fn key(&self, row: &TextRow) -> Vec<String> {
        [self.table.key(), self.table.further()]
            .concat()
            .iter()
            .map(|column| folded(self.table, column, row.cell(column), row.mark))
            .collect()
    }

    /// The cells in which a row says something else. What it leaves blank says nothing.
    fn differing(&self, ours: &TextRow, theirs: &TextRow) -> Vec<Differs> {
        let columns = self.table.columns.iter().map(|column| column.name);
        let said = columns.filter(|column| !theirs.cell(column).is_empty());
        said.filter(|column| {
            folded(self.table, column, ours.cell(column), ours.mark)
                != folded(self.table, column, theirs.cell(column), theirs.mark)
        })
        .map(|column| Differs {
            column,
            ours: ours.cell(column).to_owned(),
            theirs: theirs.cell(column).to_owned(),
        })
        .collect()
    }
}

/// Gives the form of a cell in which texts that mean the same are equal.
fn folded(table: &Table, column: &str, text: &str, mark: DecimalMark) -> String {
    let form =
        table.columns.iter().find(|known| known.name == column).map_or("", |column| column.form);
    let text = text.trim();
    if text.is_empty() {
        // One of a thing is what a blank quantity means.
        return if matches!(column, "quantity" | "pack") {
            "1 each".to_owned()
        } else {
            String::new()
        };
    }
    if form.starts_with("part number")
        && let Some(number) = PartNumber::new(text)
    {
        return number.folded().to_owned();
    }
    if form.starts_with("quantity")
        && let Ok(quantity) = Quantity::parse_or_zero(text, mark)
    {
        return format!("{} {}", quantity.amount.normalize(), quantity.unit.symbol());
    }
    if (form.starts_with("amount") || form.starts_with("number"))
        && let Some(number) = parse_decimal(text, mark)
    {
        return number.normalize().to_string();
    }
    let lower = text.to_lowercase();
    if column == "size" {
        return lower
            .chars()
            .filter(|c| !c.is_whitespace())
            .map(|c| if c == '×' { 'x' } else { c })
            .collect();
    }
    lower.split_whitespace().collect::<Vec<_>>().join(" ")
}

/// Part numbers that a person could take for this one: the same but for signs that look alike.
pub fn alike(number: &PartNumber, known: &[PartNumber]) -> Vec<PartNumber> {
    let plain = |number: &PartNumber| -> String {
        let one = |c| match c {
            'o' => '0',
            'i' | 'l' => '1',
            's' => '5',
            'b' => '8',
            'z' => '2',
            c => c,
        };
        number.folded().chars().map(one).collect()
    };
    let wanted = plain(number);
    known.iter().filter(|other| *other != number && plain(other) == wanted).cloned().collect()
}

/// Says which names of a row stand for nothing that the tables know, each as one sentence.
pub fn unknown_names(row: &TextRow, names: &Names) -> Vec<String> {
    let Some(table) = definition(row.table) else { return Vec::new() };
    let mut remarks = Vec::new();
    for column in &table.columns {
        let Some(of) = points_to(table.name, column.name) else { continue };
        // A row of its own table is what makes such a name known.
        if of.home() == Some((table.name, column.name)) {
            continue;
        }
        for name in row.cell(column.name).split(';') {
            let name = name.split(['=', '*']).next().unwrap_or_default().trim();
            if name.is_empty() || name == "-" || names.holds(of, name) {
                continue;
            }
            // A joint is there as soon as something sits in it, so only a slip is worth a word.
            if of == Thing::Joint && names.near(of, name).is_none() {
                continue;
            }
            let near =
                names.near(of, name).map_or_else(String::new, |near| format!("; is {near} meant?"));
            remarks.push(format!(
                "{}: nothing in the tables is the {} {name} yet{near}",
                column.name,
                of.word()
            ));
        }
    }
    remarks
}

#[cfg(test)]
mod tests {
    use super::*;

    fn row(text: &str) -> TextRow {
        let sheet = TextSheet::read(
            "parts",
            "parts.csv",
            format!("part,type,name,size,maker\n{text}\n").as_bytes(),
        );
        sheet.expect("a sheet").rows.remove(0)
    }

    #[test]
    fn a_number_in_another_spelling_is_the_same_part() {
        let mut register = Register::of("parts", &[]).expect("a table");
        register.add("parts.csv", row("91-2044,o-ring,\"O-ring, pump\",24 x 3,"));
        assert!(matches!(register.standing(&row("912044,O-Ring,,24x3,")), Standing::Same(_)));
        assert!(
            matches!(register.standing(&row("91 2044,,,,Tolvane")), Standing::Fills(_, cells) if cells[0].column == "maker")
        );
        assert!(
            matches!(register.standing(&row("91/2044,,,25x3,")), Standing::Differs(_, cells) if cells[0].theirs == "25x3")
        );
        assert!(matches!(register.standing(&row("91-2045,,,25x3,")), Standing::New));
    }

    #[test]
    fn numbers_that_look_alike_are_found() {
        let known =
            ["91-2O44", "91-2044", "91-2045"].map(|text| PartNumber::new(text).expect("a number"));
        let mine = PartNumber::new("9I-2044").expect("a number");
        assert_eq!(alike(&mine, &known), known[..2]);
    }
}
