//! The command `tables`: the data dictionary, from the definitions that the reader uses.

use super::args::TablesAsk;
use super::page::Page;
use super::{Answer, Ended};
use crate::catalog::{Rows, Table};
use crate::near::nearest;
use serde_json::{Value, json};

pub(crate) fn run(ask: &TablesAsk, json: bool) -> anyhow::Result<Answer> {
    let mut tables = Rows::dictionary();
    if let Some(name) = &ask.table {
        let wanted = name.to_lowercase();
        let wanted = wanted.strip_suffix(".csv").unwrap_or(&wanted);
        if !tables.iter().any(|table| table.name == wanted) {
            let meant = nearest(wanted, tables.iter().map(|table| table.name));
            let hint = meant.map_or_else(
                || format!("there are: {}", tables.iter().map(|table| table.name).collect::<Vec<_>>().join(", ")),
                |meant| format!("did you mean '{meant}'?"),
            );
            return Ok(Answer::refused(format!("error: no table '{name}'; {hint}\n")));
        }
        tables.retain(|table| table.name == wanted);
    }
    if json {
        let tables: Vec<Value> = tables.iter().map(as_json).collect();
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
                &format!("{} tables, each in files called <table>.csv below the catalog folder", tables.len()),
                true,
            );
            page.blank();
            for table in &tables {
                page.text(table.about, &format!("  {:<14} ", table.name), &" ".repeat(17));
            }
            page.blank();
            page.text("Only machines, models, parts, positions, operations, jobs and job_lines are needed for a first kit. `kitwright tables TABLE` shows the columns of one.", "", "");
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
}

fn as_json(table: &Table) -> Value {
    let columns: Vec<Value> = table
        .columns
        .iter()
        .map(|column| json!({ "column": column.name, "required": column.required, "form": column.form, "about": column.about }))
        .collect();
    json!({ "table": table.name, "about": table.about, "columns": columns })
}
