//! The command `import` of a list: a parts list, an invoice or a price list into one table.

use super::super::args::Catalog;
use super::super::opening::{lines_of, open_sheets_to_change};
use super::super::printing::{Page, count};
use super::super::proposal::{Consent, Decision, decide, show};
use super::super::{Answer, Ended};
use super::ListAsk;
use crate::catalog::Rows;
use crate::catalog::{Lookup, Table};
use crate::desk::open::SheetBench;
use crate::entry::list::{
    COLUMNS_FILE, Guess, Intake, ListLine, Remembered, Source, Taken, decode, divide, guess, take,
};
use crate::entry::{Standing, Vocabulary, cells};
use crate::measure::shorten;
use crate::near::nearest;
use crate::tables::{Edit, FileEdits, definition, read_own};
use anyhow::{Context, bail};
use serde_json::{Map, Value, json};
use std::path::Path;

pub(crate) fn run(
    catalog: &Catalog,
    file: &Path,
    ask: &ListAsk,
    consent: Consent,
    json: bool,
) -> anyhow::Result<Answer> {
    let shown = file.display();
    let Some(into) = &ask.into else {
        bail!(
            "say which table takes the list, as in --into parts (kitwright columns says what each is for)"
        );
    };
    let table = table(into)?;
    let bytes = std::fs::read(file).with_context(|| format!("{shown} cannot be read"))?;
    let (text, encoding) = decode(&bytes).map_err(|why| anyhow::anyhow!("{shown}: {why}"))?;
    let divided = divide(&text);
    let lines: Vec<ListLine> = divided.lines.into_iter().filter(|line| !line.is_blank()).collect();
    if lines.is_empty() {
        bail!("{shown} holds no line");
    }
    let bench = open_sheets_to_change(catalog)?;
    let path = bench.workbench.root().join(COLUMNS_FILE);
    let remembered =
        read_own(&path).with_context(|| format!("{} cannot be read", path.display()))?;
    let mut remembered = remembered.as_deref().map(Remembered::read).unwrap_or_default();
    let mut columns = guess(&lines, table);
    recall(&mut columns, &remembered, table);
    map(&mut columns, &ask.map, table)?;
    // What is said of every row counts before a column of which only part of the name is known.
    for (ours, _) in &ask.all {
        let ours = column_of(table, ours)?;
        let said = |theirs: &str| {
            ask.map.iter().any(|(named, _)| named.trim().eq_ignore_ascii_case(theirs))
        };
        for column in &mut columns.columns {
            if column.ours == Some(ours)
                && !column.theirs.trim().eq_ignore_ascii_case(ours)
                && !said(&column.theirs)
            {
                column.ours = None;
            }
        }
    }
    let name = file
        .file_name()
        .map_or_else(|| shown.to_string(), |name| name.to_string_lossy().into_owned());
    let mut same = fixed(&ask.all, table)?;
    if table.columns.iter().any(|column| column.name == "source") {
        same.push(("source", name.clone()));
    }
    let names = bench.names();
    let source = Source { lines: &lines, guess: &columns, table, same: &same, names: &names };
    let lookup = &bench.workbench.catalog;
    let intake = take(&source, &bench.sheets, &Vocabulary::of(lookup.as_ref()), &|number| {
        lookup.part(number).is_some()
    });
    let list = List {
        name: &name,
        encoding,
        by: divided.by,
        table,
        lines: &lines,
        columns: &columns,
        intake: &intake,
    };
    let edits = edits(&list, &bench, ask.overwrite);
    let files = bench.workbench.preview(&edits)?;
    let mut shown = page(&list, ask.overwrite);
    let nothing = edits.is_empty();
    let decision = if nothing {
        Decision::Leave
    } else {
        decide(consent, json, &mut shown, "Write this into your tables?")
    };
    let written = decision == Decision::Write;
    let settled = columns.columns.iter().any(|column| column.ours.is_some());
    // What the columns mean is taken back together with the rows that came of it.
    let mut others = Vec::new();
    if settled && (written || (nothing && !consent.dry_run && consent.yes)) {
        remembered.remember(table.name, &columns.columns);
        others.push((COLUMNS_FILE, remembered.text()));
    }
    if written || !others.is_empty() {
        let what = if nothing {
            format!("remembering the columns of {name} for {}", table.name)
        } else {
            format!("importing {name} into {}", table.name)
        };
        bench.workbench.change_with(&what, &edits, &others)?;
    }
    let counts = Counts::of(&intake);
    let open = counts.doubtful > 0
        || (counts.changed > 0 && !ask.overwrite)
        || decision == Decision::Unasked;
    let ended = if open { Ended::Open } else { Ended::Done };
    let out = if json {
        format!(
            "{}\n",
            serde_json::to_string_pretty(&as_json(
                &list,
                &counts,
                written,
                super::super::proposal::as_json(&files)
            ))?
        )
    } else {
        let mut page = Page::default();
        show(&mut page, &files);
        let difference = if written || files.is_empty() { String::new() } else { page.into_text() };
        let said = if nothing {
            "Nothing is to be written."
        } else {
            decision.remark().unwrap_or("Written. kitwright undo takes it back.")
        };
        format!("{shown}{difference}\n{said}\n")
    };
    Ok(Answer { out, err: lines_of(&bench.workbench.notes), ended })
}

fn table(name: &str) -> anyhow::Result<&'static Table> {
    let known: Vec<&str> = Rows::dictionary().iter().map(|table| table.name).collect();
    match definition(&name.trim().to_lowercase()) {
        Some(table) => Ok(table),
        None => {
            let near = nearest(name, known.iter().copied())
                .map_or_else(String::new, |near| format!("; did you mean {near}?"));
            bail!("no table '{name}'{near}")
        }
    }
}

fn column_of(table: &'static Table, name: &str) -> anyhow::Result<&'static str> {
    let wanted = name.trim().to_lowercase().replace(['-', ' '], "_");
    if let Some(column) = table.columns.iter().find(|column| column.name == wanted) {
        return Ok(column.name);
    }
    let names: Vec<&str> = table.columns.iter().map(|column| column.name).collect();
    let near = nearest(&wanted, names.iter().copied())
        .map_or_else(String::new, |near| format!("; did you mean {near}?"));
    bail!("{} has no column '{name}'{near} (it has {})", table.name, names.join(", "))
}

/// What was settled for a list with this header line counts again.
fn recall(columns: &mut Guess, remembered: &Remembered, table: &'static Table) {
    let settled: Vec<Option<String>> = columns
        .columns
        .iter()
        .map(|column| {
            remembered.ours(table.name, &columns.columns, &column.theirs).map(str::to_owned)
        })
        .collect();
    for (column, ours) in columns.columns.iter_mut().zip(settled) {
        if let Some(ours) = ours {
            column.ours = table.columns.iter().map(|known| known.name).find(|known| *known == ours);
        }
    }
}

/// Takes what the person says of the columns: `theirs=ours`, or `theirs=-` for a column that is not taken.
fn map(
    columns: &mut Guess,
    said: &[(String, String)],
    table: &'static Table,
) -> anyhow::Result<()> {
    for (theirs, ours) in said {
        let wanted = theirs.trim().to_lowercase();
        let number = wanted.parse::<usize>().ok().and_then(|number| number.checked_sub(1));
        let found = columns
            .columns
            .iter()
            .position(|column| column.theirs.to_lowercase() == wanted)
            .or(number.filter(|number| *number < columns.columns.len()));
        let Some(index) = found else {
            let names: Vec<&str> =
                columns.columns.iter().map(|column| column.theirs.as_str()).collect();
            let near = nearest(theirs, names.iter().copied())
                .map_or_else(String::new, |near| format!("; did you mean '{near}'?"));
            bail!("the list has no column '{theirs}'{near} (it has {})", names.join(", "));
        };
        let ours = if ours.trim() == "-" { None } else { Some(column_of(table, ours)?) };
        for column in &mut columns.columns {
            if ours.is_some() && column.ours == ours {
                column.ours = None;
            }
        }
        if let Some(column) = columns.columns.get_mut(index) {
            column.ours = ours;
        }
    }
    Ok(())
}

fn fixed(
    said: &[(String, String)],
    table: &'static Table,
) -> anyhow::Result<Vec<(&'static str, String)>> {
    said.iter()
        .map(|(column, text)| Ok((column_of(table, column)?, text.trim().to_owned())))
        .collect()
}

struct List<'a> {
    name: &'a str,
    encoding: &'a str,
    by: &'a str,
    table: &'static Table,
    lines: &'a [ListLine],
    columns: &'a Guess,
    intake: &'a Intake,
}

#[derive(Debug, Default)]
struct Counts {
    new: usize,
    changed: usize,
    same: usize,
    doubtful: usize,
}

impl Counts {
    /// Each row counts once: one in doubt is doubtful, unless it is there already as it would come in.
    fn of(intake: &Intake) -> Counts {
        let mut counts = Counts::default();
        for taken in &intake.rows {
            match &taken.standing {
                _ if taken.is_doubtful() => counts.doubtful += 1,
                Standing::Same(_) => counts.same += 1,
                Standing::New => counts.new += 1,
                Standing::Fills(..) | Standing::Differs(..) => counts.changed += 1,
            }
        }
        counts
    }
}

/// New rows are added and blank cells filled; what says something else is taken only where that is wished.
fn edits(list: &List, bench: &SheetBench, overwrite: bool) -> Vec<FileEdits> {
    let mut files: Vec<FileEdits> = Vec::new();
    let mut push = |name: String, edit: Edit| match files.iter_mut().find(|file| file.name == name)
    {
        Some(file) => file.edits.push(edit),
        None => files.push(FileEdits { table: list.table.name, name, edits: vec![edit] }),
    };
    for taken in &list.intake.rows {
        let Some(row) = &taken.row else { continue };
        match &taken.standing {
            Standing::New => {
                push(bench.workbench.file_of(list.table.name), Edit::Append { cells: cells(row) })
            }
            Standing::Same(_) => {}
            Standing::Fills(existing, differing) | Standing::Differs(existing, differing) => {
                // A row of this very list stands in no file yet.
                if existing.row.line == 0 {
                    continue;
                }
                for cell in differing
                    .iter()
                    .filter(|cell| cell.ours.is_empty() && cell.column != "source" || overwrite)
                {
                    let edit = Edit::Set {
                        line: existing.row.line,
                        column: cell.column.to_owned(),
                        text: cell.theirs.clone(),
                    };
                    push(existing.file.clone(), edit);
                }
            }
        }
    }
    files
}

fn page(list: &List, overwrite: bool) -> String {
    /// So many rows of each kind are shown.
    const MOST: usize = 12;
    let counts = Counts::of(list.intake);
    let mut page = Page::default();
    let sound = counts.doubtful == 0 && (counts.changed == 0 || overwrite);
    page.answer(
        &format!(
            "{} into {}: {} new, {} changed, {} same, {} doubtful",
            list.name, list.table.name, counts.new, counts.changed, counts.same, counts.doubtful
        ),
        sound,
    );
    let header = list.columns.header.and_then(|at| list.lines.get(at)).map_or_else(
        || "no header line".to_owned(),
        |line| format!("header on line {}", line.line),
    );
    page.quiet(&format!("{}, cells divided by {}, {header}", list.encoding, list.by), "");
    page.heading("Columns");
    for column in &list.columns.columns {
        let ours = column.ours.map_or_else(|| "not taken".to_owned(), str::to_owned);
        page.text(&format!("{} → {ours}", shorten(&column.theirs)), "  ", "      ");
    }
    page.quiet(
        "--map 'theirs=ours' corrects one, --map 'theirs=-' leaves it out, --all 'ours=cell' fills one for every row.",
        "  ",
    );
    let fresh: Vec<&Taken> = list
        .intake
        .rows
        .iter()
        .filter(|taken| taken.row.is_some() && matches!(taken.standing, Standing::New))
        .collect();
    if !fresh.is_empty() {
        page.heading("New, the first of them");
        for taken in fresh.iter().take(3) {
            let said: Vec<String> = taken
                .row
                .iter()
                .flat_map(cells)
                .map(|(column, text)| format!("{column} {text}"))
                .collect();
            page.text(&said.join(" · "), &format!("  line {}: ", taken.line), "      ");
        }
    }
    let changed: Vec<&Taken> = list
        .intake
        .rows
        .iter()
        .filter(|taken| matches!(taken.standing, Standing::Fills(..) | Standing::Differs(..)))
        .collect();
    if !changed.is_empty() {
        page.heading(if overwrite {
            "Changed: the list's cells take the place of yours"
        } else {
            "Changed: your cells stay, blank ones are filled; --overwrite takes the list's"
        });
        for taken in changed.iter().take(MOST) {
            if let Standing::Fills(existing, differing) | Standing::Differs(existing, differing) =
                &taken.standing
            {
                let place = if existing.row.line == 0 {
                    "further up in the list".to_owned()
                } else {
                    existing.place()
                };
                let said: Vec<String> = differing
                    .iter()
                    .map(|cell| {
                        format!(
                            "{}: {} → {}",
                            cell.column,
                            if cell.ours.is_empty() { "(blank)" } else { &cell.ours },
                            cell.theirs
                        )
                    })
                    .collect();
                page.text(
                    &format!("{place}: {}", said.join("; ")),
                    &format!("  line {}: ", taken.line),
                    "      ",
                );
            }
        }
        more(&mut page, changed.len(), MOST);
    }
    let otherwise: Vec<&Taken> =
        list.intake.rows.iter().filter(|taken| !taken.taken_as.is_empty()).collect();
    if !otherwise.is_empty() {
        page.heading("How it was taken");
        for taken in &otherwise {
            let said = format!("{}: {}", shorten(&taken.text), taken.taken_as.join("; "));
            page.text(&said, &format!("  line {}: ", taken.line), "      ");
        }
    }
    // What is in doubt or passed over is named to the last line: it is what nobody would look for.
    let doubtful: Vec<&Taken> =
        list.intake.rows.iter().filter(|taken| taken.is_doubtful()).collect();
    if !doubtful.is_empty() {
        page.heading("Doubtful: a cell in doubt stays blank, a row without its key is left out");
        for taken in doubtful {
            let left = if taken.row.is_none() { " (left out)" } else { "" };
            page.text(
                &format!("{}: {}{left}", shorten(&taken.text), taken.doubts.join("; ")),
                &format!("  line {}: ", taken.line),
                "      ",
            );
        }
    }
    if !list.intake.passed_over.is_empty() {
        page.heading("Passed over");
        for line in &list.intake.passed_over {
            page.text(
                &format!("{} ({})", shorten(&line.text), line.why),
                &format!("  line {}: ", line.line),
                "      ",
            );
        }
    }
    page.into_text()
}

fn more(page: &mut Page, all: usize, shown: usize) {
    if all > shown {
        page.quiet(
            &format!("and {} more (--json lists them all)", count(all - shown, "line", "lines")),
            "  ",
        );
    }
}

fn as_json(list: &List, counts: &Counts, written: bool, files: Value) -> Value {
    let object = |taken: &Taken| -> Value {
        taken.row.as_ref().map_or(Value::Null, |row| {
            Value::Object(
                cells(row)
                    .into_iter()
                    .map(|(column, text)| (column, Value::String(text)))
                    .collect::<Map<_, _>>(),
            )
        })
    };
    let rows = list.intake.rows.iter().map(|taken| {
        let (standing, place) = match &taken.standing {
            Standing::New => ("new", None),
            Standing::Same(existing) => ("same", Some(existing.place())),
            Standing::Fills(existing, _) | Standing::Differs(existing, _) => ("changed", Some(existing.place())),
        };
        let differing = match &taken.standing {
            Standing::Fills(_, cells) | Standing::Differs(_, cells) => {
                cells.iter().map(|cell| json!({ "column": cell.column, "ours": cell.ours, "theirs": cell.theirs })).collect()
            }
            _ => Vec::new(),
        };
        json!({ "line": taken.line, "standing": standing, "place": place, "row": object(taken), "differing": differing, "doubts": taken.doubts, "taken_as": taken.taken_as })
    });
    json!({
        "file": list.name,
        "into": list.table.name,
        "encoding": list.encoding,
        "divided_by": list.by,
        "columns": list.columns.columns.iter().map(|column| json!({ "theirs": column.theirs, "ours": column.ours })).collect::<Vec<_>>(),
        "new": counts.new,
        "changed": counts.changed,
        "same": counts.same,
        "doubtful": counts.doubtful,
        "rows": rows.collect::<Vec<_>>(),
        "passed_over": list.intake.passed_over.iter().map(|line| json!({ "line": line.line, "text": line.text, "why": line.why })).collect::<Vec<_>>(),
        "written": written,
        "files": files,
    })
}
