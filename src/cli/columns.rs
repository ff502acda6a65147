//! The command `columns`: the data dictionary, from the definitions that the reader uses.

use super::printing::Page;
use super::{Answer, Ended};
use crate::catalog::{PartType, Rows, Seals, Table};
use crate::measure::shorten;
use crate::near::nearest;
use crate::tables::shipped_rows;
use clap::Args;
use serde_json::{Value, json};

#[derive(Debug, Args)]
#[command(after_help = "\
Examples:
  kitwright columns
  kitwright columns positions")]
pub(crate) struct TablesAsk {
    /// One table; without it, all of them in a line each.
    #[arg(value_name = "TABLE")]
    pub table: Option<String>,
}

pub(crate) fn run(ask: &TablesAsk, json: bool) -> anyhow::Result<Answer> {
    let mut tables: Vec<&Table> = Rows::dictionary().iter().collect();
    if let Some(name) = &ask.table {
        let wanted = name.to_lowercase();
        let wanted = wanted.strip_suffix(".csv").unwrap_or(&wanted);
        if !tables.iter().any(|table| table.name == wanted) {
            let meant = nearest(wanted, tables.iter().map(|table| table.name));
            let hint = meant.map_or_else(
                || {
                    format!(
                        "there are: {}",
                        tables.iter().map(|table| table.name).collect::<Vec<_>>().join(", ")
                    )
                },
                |meant| format!("did you mean '{meant}'?"),
            );
            let name = shorten(name);
            return Ok(Answer::refused(format!("error: no table '{name}'; {hint}\n")));
        }
        tables.retain(|table| table.name == wanted);
    }
    if json {
        let tables: Vec<Value> = tables.iter().copied().map(as_json).collect();
        return Ok(Answer::new(
            format!("{}\n", serde_json::to_string_pretty(&json!({ "tables": tables }))?),
            Ended::Done,
        ));
    }
    let mut page = Page::default();
    match (&ask.table, tables.first()) {
        (Some(_), Some(table)) => one(table, &mut page),
        _ => {
            page.answer(
                &format!(
                    "{} tables, each in files called <table>.csv below the catalog folder",
                    tables.len()
                ),
                true,
            );
            page.blank();
            for table in &tables {
                page.text(table.about, &format!("  {:<14} ", table.name), &" ".repeat(17));
            }
            page.blank();
            page.text("Only machines, models, parts, positions, operations, jobs and job_lines are needed for a first kit. `kitwright columns TABLE` shows the columns of one.", "", "");
        }
    }
    Ok(Answer::new(page.into_text(), Ended::Done))
}

fn one(table: &Table, page: &mut Page) {
    page.answer(&format!("{}.csv: {}", table.name, table.about), true);
    page.blank();
    for column in &table.columns {
        let first = format!("  {:<17} ", column.name);
        let rest = " ".repeat(20);
        page.text(column.about, &first, &rest);
        let required = if column.required { "; never blank" } else { "" };
        page.quiet(&format!("{}{required}", column.form), &rest);
    }
    page.blank();
    page.text("A list separates its items with a semicolon. The order of the columns is free; columns of your own are kept and not read.", "", "");
    shipped(table, page);
}

/// Lists the rows that ship with the program, for the two tables that have some.
fn shipped(table: &Table, page: &mut Page) {
    let (rows, _) = shipped_rows();
    let shipped: Vec<(String, String)> = match table.name {
        "types" => rows.types.iter().map(type_line).collect(),
        "cautions" => {
            rows.cautions.iter().map(|row| (row.caution.to_string(), row.text.clone())).collect()
        }
        _ => return,
    };
    page.heading("Shipped with the program; rows of your own add to these, or take the place of one of the same name");
    for (name, text) in shipped {
        page.text(&name, "  ", "    ");
        page.quiet(&text, "      ");
    }
}

fn type_line(row: &PartType) -> (String, String) {
    let mut facts: Vec<String> = row.when_disturbed.iter().map(ToString::to_string).collect();
    match row.seals {
        Some(Seals::Yes) => facts.push("seals".to_owned()),
        Some(Seals::Own) => facts.push("seals its own hole".to_owned()),
        _ => {}
    }
    let also: Vec<String> = row.also_called.iter().map(ToString::to_string).collect();
    let also =
        if also.is_empty() { String::new() } else { format!("; also called {}", also.join(", ")) };
    (row.part_type.to_string(), format!("{}{also}", facts.join(", ")))
}

fn as_json(table: &Table) -> Value {
    let columns: Vec<Value> = table
        .columns
        .iter()
        .map(|column| json!({ "column": column.name, "required": column.required, "form": column.form, "about": column.about }))
        .collect();
    json!({ "table": table.name, "about": table.about, "columns": columns })
}
