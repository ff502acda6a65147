//! Pints, quarts and gallons in a row that is to be written, of which nobody can know whose they are.

use crate::measure::{Quantity, Unit};
use crate::tables::{TextRow, definition};

/// A cell in pints, quarts or gallons without a word whose.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct WhoseMeasure {
    /// Its column.
    pub column: &'static str,
    /// What is in doubt, as a sentence without a full stop.
    pub text: String,
    /// The cell in the measure of the United States, and in imperial measure.
    pub choices: Vec<String>,
}

/// Finds the cells of a row that hold a quantity, or a unit, that may be of the United States or imperial.
pub fn whose_measure(row: &TextRow) -> Vec<WhoseMeasure> {
    let Some(table) = definition(row.table) else { return Vec::new() };
    let counts = |form: &str| {
        form.contains("quantity") || form.starts_with("unit") || form.contains("part*")
    };
    let columns = table.columns.iter().filter(|column| counts(column.form));
    columns.filter_map(|column| of_cell(column.name, row.cell(column.name), row)).collect()
}

fn of_cell(column: &'static str, cell: &str, row: &TextRow) -> Option<WhoseMeasure> {
    let (mut said, mut us, mut imperial) = (Vec::new(), Vec::new(), Vec::new());
    for item in cell.split(';') {
        // The amount stands behind the last sign: `F-01=2.6 pints`, `sump=F-01*2.6 pints`.
        let start = item.rfind(['=', '*']).map_or(0, |at| at + 1);
        let (front, amount) = item.split_at(start);
        let either = Quantity::parse_or_zero(amount, row.mark).ok().and_then(Quantity::either);
        if let Some([(of_us, us_litres), (of_imperial, imperial_litres)]) = either {
            said.push(format!(
                "`{}` is {us_litres} in the measure of the United States and {imperial_litres} in imperial",
                amount.trim()
            ));
            us.push(format!("{front}{of_us}"));
            imperial.push(format!("{front}{of_imperial}"));
        } else if let Some((of_us, of_imperial)) = Unit::parse(amount).ok().and_then(Unit::either) {
            said.push(format!("`{}` may be of the United States or imperial", amount.trim()));
            us.push(format!("{front}{of_us}"));
            imperial.push(format!("{front}{of_imperial}"));
        } else {
            us.push(item.to_owned());
            imperial.push(item.to_owned());
        }
    }
    let choices = || vec![us.join(";"), imperial.join(";")];
    (!said.is_empty()).then(|| WhoseMeasure { column, text: said.join("; "), choices: choices() })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::entry::row;

    #[test]
    fn each_pint_of_a_list_is_asked_about_and_written_either_way() {
        let cells =
            [("operation", "oil-drained"), ("uses", "F-01=2.6 pints;F-02=0.4 L"), ("minutes", "5")];
        let asked = whose_measure(&row("operations", &cells).expect("a row"));
        assert_eq!(asked.len(), 1, "{asked:?}");
        assert_eq!(asked[0].column, "uses");
        assert_eq!(asked[0].choices, ["F-01=2.6 US pt;F-02=0.4 L", "F-01=2.6 imp pt;F-02=0.4 L"]);
        assert!(
            asked[0].text.contains("1.23 L") && asked[0].text.contains("1.477 L"),
            "{}",
            asked[0].text
        );
        let unit = row("parts", &[("part", "F-01"), ("unit", "gal")]).expect("a row");
        assert_eq!(whose_measure(&unit)[0].choices, ["US gal", "imp gal"]);
        let sure = row("stock", &[("part", "F-01"), ("quantity", "2 imp pt")]).expect("a row");
        assert_eq!(whose_measure(&sure), []);
    }
}
