//! The command `order`.

use super::args::{Catalog, Wanted, parse_day, parse_number, parse_part, parse_rate};
use super::opening::{lines_of, open_to_change, with_catalog};
use super::passages::to_inspect;
use super::printing::{Page, count};
use super::way_out;
use super::written::refuse_what_is_not_ours;
use super::{Answer, Ended};
use crate::buy::answer::{OrderPlan, Parcel};
use crate::buy::cheapest::{Patience, Progress};
use crate::buy::market::{Rate, Terms};
use crate::buy::order::{Comparison, OrderAsk as Question, Ordered, order};
use crate::buy::orders::{Spoken, spoken_for};
use crate::buy::place::place;
use crate::catalog::Lookup;
use crate::desk::open::Workbench;
use crate::desk::{self, day};
use crate::kit::{Action, Ask, Kit, OpenGap};
use crate::measure::{Date, DecimalMark, Key, Money, PartNumber, Quantity, plain};
use crate::say::{
    line_notes, line_text, messages, missing_amount, money, named, no_parcel,
    order_verdict as verdict,
};
use crate::tables::FileEdits;
use anyhow::Context;
use clap::Args;
use rust_decimal::Decimal;
use serde_json::{Value, json};
use std::fs;
use std::io::{self, IsTerminal as _, Write as _};
use std::path::{Path, PathBuf};
use std::time::Duration;

#[derive(Debug, Args)]
#[command(after_help = "\
Examples:
  kitwright order cooling-pump --on dinghy
  kitwright order cooling-pump thermostat --on dinghy --max-days 5 --compare
  kitwright order gearcase-seals --on dinghy --hold TV-1490-00
  kitwright order annual-service --on dinghy --csv parcels --place")]
pub(crate) struct OrderAsk {
    #[command(flatten)]
    pub wanted: Wanted,
    /// Leave out suppliers that take longer.
    #[arg(long, value_name = "DAYS", value_parser = parse_number)]
    pub max_days: Option<Decimal>,
    /// Order from this supplier only; name several to choose among them.
    #[arg(long, value_name = "SUPPLIER")]
    pub only: Vec<String>,
    /// Do not order from this supplier.
    #[arg(long, value_name = "SUPPLIER")]
    pub without: Vec<String>,
    /// Order from no more suppliers than this.
    #[arg(long, value_name = "N", value_parser = clap::value_parser!(u16).range(1..))]
    pub at_most: Option<u16>,
    /// You hold this part or set, beside what the table stock names.
    #[arg(long, value_name = "PART[=QTY]", value_parser = parse_amount_of)]
    pub hold: Vec<(PartNumber, Option<Quantity>)>,
    /// Leave on the shelf what this other job will need of it, though no order was placed for it.
    #[arg(long, value_name = "JOB[@MACHINE]")]
    pub keep_for: Vec<String>,
    /// Plan as well what to order should every inspected part turn out to be worn.
    #[arg(long)]
    pub ready_if_worn: bool,
    /// What one unit of another currency is worth in that of the answer.
    #[arg(long, value_name = "CUR=WORTH", value_parser = parse_rate)]
    pub rate: Vec<Rate>,
    /// Show what it would cost with fewer suppliers, or what they lack, and without sets.
    #[arg(long)]
    pub compare: bool,
    /// Write a CSV file for each supplier into this folder.
    #[arg(long, value_name = "DIR")]
    pub csv: Option<PathBuf>,
    /// Print a text for each supplier to paste into a message.
    #[arg(long, conflicts_with_all = ["json", "compare"])]
    pub message: bool,
    /// Write the orders down in the table orders.
    #[arg(long)]
    pub place: bool,
    /// The day of the order; today where it is not given.
    #[arg(long, value_name = "DATE", value_parser = parse_day)]
    pub date: Option<Date>,
    /// Take the best plan found after so many seconds, proven or not.
    #[arg(long, value_name = "SECONDS", default_value_t = 60, value_parser = clap::value_parser!(u32).range(1..))]
    pub patience: u32,
}

fn parse_amount_of(text: &str) -> Result<(PartNumber, Option<Quantity>), String> {
    let Some((part, amount)) = text.split_once('=') else { return Ok((parse_part(text)?, None)) };
    let amount = Quantity::parse(amount, DecimalMark::Point).map_err(|error| error.to_string())?;
    Ok((parse_part(part)?, Some(amount)))
}

pub(crate) fn run(catalog: &Catalog, ask: &OrderAsk, json: bool) -> anyhow::Result<Answer> {
    if ask.place {
        let bench = open_to_change(catalog)?;
        return plan_order(ask, json, &*bench.catalog, &lines_of(&bench.notes), Some(&bench));
    }
    with_catalog(catalog, |catalog, notes| plan_order(ask, json, catalog, &notes, None))
}

fn plan_order(
    ask: &OrderAsk,
    json: bool,
    lookup: &dyn Lookup,
    notes: &str,
    bench: Option<&Workbench>,
) -> anyhow::Result<Answer> {
    let refused =
        |why: &dyn std::fmt::Display| Ok(Answer::refused(format!("{notes}error: {why}\n")));
    let today = day(ask.date.as_ref())?;
    let (asked, kit) = match desk::Wanted::from(&ask.wanted).kit(lookup) {
        Ok(worked_out) => worked_out,
        Err(why) => return refused(&why),
    };
    let question = question(ask, asked, &today);
    let mut tell = tell_progress;
    let mut patience =
        Patience { most: Duration::from_secs(ask.patience.into()), progress: &mut tell };
    let mut ordered = match order(&question, &kit, lookup, &mut patience) {
        Ok(ordered) => ordered,
        Err(why) => return refused(&why),
    };
    let mut files = Files::default();
    if let Some(folder) = &ask.csv {
        files = write_csv(folder, &ordered.plan)?;
    }
    for earlier in &files.earlier {
        ordered.remarks.push(format!("{earlier} is not of this order; it was there before"));
    }
    let mut placed = Vec::new();
    if let Some(bench) = bench {
        let placement =
            place(&ordered.plan, &kit, &question.ask, &today, bench.file_of("orders"), lookup);
        if !placement.edits.edits.is_empty() {
            let names: Vec<&str> =
                placement.orders.iter().map(|(order, _)| order.as_str()).collect();
            bench.change_worked_out(
                &format!("orders {}", names.join(", ")),
                std::slice::from_ref(&placement.edits),
                |fresh| placed_again(ask, &today, fresh),
            )?;
        }
        placed = placement.orders;
        if placed.is_empty() {
            ordered.remarks.push(nothing_placed(&ordered.plan, &kit, lookup));
        }
    }
    let all_ordered = ordered.plan.unsourced.is_empty() && ordered.plan.proven;
    let ended = Ended::with(kit.complete && all_ordered);
    let mut answer = if json {
        let object = as_json(&ordered, &kit, &placed, &files.written)?;
        Answer::new(format!("{}\n", serde_json::to_string_pretty(&object)?), ended)
    } else if ask.message {
        Answer::new(messages(&ordered.plan), ended)
    } else {
        Answer::new(page(&ordered, &kit, &placed, &files.written), ended)
    };
    answer.err.insert_str(0, notes);
    if ask.message {
        for path in &files.written {
            answer.err.push_str(&format!("wrote {path}\n"));
        }
    }
    if json || ask.message {
        for remark in &ordered.remarks {
            answer.err.push_str(&format!("note: {remark}\n"));
        }
        if !kit.complete {
            answer.err.push_str(
                "note: the kit is not complete, so neither is this order; kitwright kit says why\n",
            );
        }
    }
    for option in &kit.unknown_options {
        answer
            .err
            .push_str(&format!("note: no line of these jobs asks about the option '{option}'\n"));
    }
    Ok(answer)
}

/// The rows of the orders as the tables have it now.
fn placed_again(ask: &OrderAsk, today: &Date, bench: &Workbench) -> Option<Vec<FileEdits>> {
    let lookup: &dyn Lookup = &*bench.catalog;
    let (asked, kit) = desk::Wanted::from(&ask.wanted).kit(lookup).ok()?;
    let question = question(ask, asked, today);
    let mut tell = tell_progress;
    let mut patience =
        Patience { most: Duration::from_secs(ask.patience.into()), progress: &mut tell };
    let ordered = order(&question, &kit, lookup, &mut patience).ok()?;
    let orders = bench.file_of("orders");
    let placement = place(&ordered.plan, &kit, &question.ask, today, orders, lookup);
    Some(vec![placement.edits])
}

/// Says why no order was written down, and how the parts on the shelf are kept all the same.
fn nothing_placed(plan: &OrderPlan, kit: &Kit, lookup: &dyn Lookup) -> String {
    let machine = Key::new(&kit.machine);
    let ordered_before = |job: &String| {
        let kept = spoken_for(lookup);
        kept.iter().any(|spoken| spoken.machine == machine && spoken.jobs.contains(&Key::new(job)))
    };
    if plan.from_stock.is_empty() || kit.jobs.is_empty() || kit.jobs.iter().all(ordered_before) {
        return "nothing is to be ordered, so nothing was written down".to_owned();
    }
    let keep: Vec<String> =
        kit.jobs.iter().map(|job| format!("--keep-for '{job}@{}'", kit.machine)).collect();
    format!(
        "nothing is to be ordered, so nothing was written down, and no row of the table orders keeps these parts on the shelf; when you order for other work, say {}",
        keep.join(" ")
    )
}

fn question(ask: &OrderAsk, asked: Ask, today: &Date) -> Question {
    let keys = |names: &[String]| names.iter().map(|name| Key::new(name)).collect::<Vec<_>>();
    let keep_for = ask.keep_for.iter().map(|text| {
        let (job, machine) = match text.split_once('@') {
            Some((job, machine)) => (job, Some(Key::new(machine))),
            None => (text.as_str(), asked.machine.clone()),
        };
        Spoken::job(machine.unwrap_or_else(|| Key::new("")), Key::new(job))
    });
    let keep_for: Vec<Spoken> = keep_for.collect();
    Question {
        ask: asked,
        terms: Terms {
            only: keys(&ask.only),
            without: keys(&ask.without),
            max_days: ask.max_days,
            at_most: ask.at_most.map(usize::from),
            rates: ask.rate.clone(),
            sets: true,
            today: today.clone(),
        },
        held: ask
            .hold
            .iter()
            .map(|(part, quantity)| (part.clone(), quantity.unwrap_or(Quantity::ONE)))
            .collect(),
        keep_for,
        if_worn: ask.ready_if_worn,
        compare: ask.compare,
    }
}

/// Says once a second how far the search is, to a person who waits at a terminal.
fn tell_progress(progress: Progress) {
    if !io::stderr().is_terminal() {
        return;
    }
    let best = progress.best.map_or_else(
        || "no plan yet".to_owned(),
        |best| format!("best plan so far {}", Money(best)),
    );
    let bound = progress
        .bound
        .map_or_else(String::new, |bound| format!(", nothing can cost less than {}", Money(bound)));
    let gap = progress.best.zip(progress.bound).and_then(|(best, bound)| {
        let percent = ((best - bound) * Decimal::ONE_HUNDRED).checked_div(best)?;
        Some(format!(" ({} % apart)", plain(percent.round_dp(2))))
    });
    let seconds = progress.elapsed.as_secs();
    let _ = writeln!(
        io::stderr(),
        "still looking after {seconds} s: {best}{bound}{}",
        gap.unwrap_or_default()
    );
}

fn as_json(
    ordered: &Ordered,
    kit: &Kit,
    placed: &[(String, String)],
    written: &[String],
) -> anyhow::Result<Value> {
    let mut object = serde_json::to_value(&ordered.plan)?;
    let mut add = |key: &str, value: Value| {
        if let Some(object) = object.as_object_mut() {
            object.insert(key.to_owned(), value);
        }
    };
    add("complete", json!(kit.complete));
    let open = kit.lines.iter().filter(|line| !line.open.is_empty());
    add("open", open.map(|line| json!({ "part": line.part, "open": line.open })).collect());
    add("remarks", json!(ordered.remarks));
    if let Some(if_worn) = &ordered.if_worn {
        add("if_worn", serde_json::to_value(if_worn)?);
    }
    if let Some(compare) = &ordered.compare {
        add("compare", serde_json::to_value(compare)?);
    }
    if !placed.is_empty() {
        let placed =
            placed.iter().map(|(order, supplier)| json!({ "order": order, "supplier": supplier }));
        add("placed", Value::Array(placed.collect()));
    }
    if !written.is_empty() {
        add("files", json!(written));
    }
    Ok(object)
}

fn page(ordered: &Ordered, kit: &Kit, placed: &[(String, String)], written: &[String]) -> String {
    let plan = &ordered.plan;
    let mut page = Page::default();
    let good = kit.complete && kit.doubts.is_empty() && plan.unsourced.is_empty() && plan.proven;
    page.answer(&format!("{} on {}: {}", kit.title(), kit.machine, verdict(plan)), good);
    if !kit.complete {
        let gaps = count(kit.gaps.len(), "gap", "gaps");
        page.text(
            &format!("The kit is NOT complete: {gaps}. kitwright kit shows them."),
            "! ",
            "  ",
        );
    }
    for doubt in &kit.doubts {
        page.text(doubt, "! ", "  ");
    }
    for remark in &ordered.remarks {
        page.text(remark, "! ", "  ");
    }
    for kept in &ordered.kept_for {
        page.text(
            &format!("The shelf keeps what {} on {} needs of it.", kept.name(), kept.machine),
            "",
            "",
        );
    }
    if ordered.if_worn.is_some() {
        page.heading("1. Order now");
    }
    plan_text(plan, kit, &mut page);
    if let Some(if_worn) = &ordered.if_worn {
        page.heading("2. Strip and measure");
        let inspected: Vec<_> =
            kit.positions.iter().filter(|planned| planned.action == Action::Inspect).collect();
        if inspected.is_empty() {
            page.text("Nothing is inspected.", "  ", "  ");
        }
        to_inspect(&inspected, &mut page);
        page.heading("3. Order the rest, should all of it be worn");
        page.text(&verdict(if_worn), "  ", "  ");
        plan_text(if_worn, kit, &mut page);
    }
    if let Some(compare) = &ordered.compare {
        comparison(compare, plan, &mut page);
    }
    if !written.is_empty() {
        page.heading("Written");
        page.text(&written.join(", "), "  ", "  ");
    }
    if !placed.is_empty() {
        page.heading("Placed");
        for (order, supplier) in placed {
            page.text(
                &format!("{order} with {supplier}; when it comes: kitwright receive {order}"),
                "  ",
                "    ",
            );
        }
    }
    page.into_text()
}

fn plan_text(plan: &OrderPlan, kit: &Kit, page: &mut Page) {
    if !plan.from_stock.is_empty() {
        page.heading("From the shelf");
        for from in &plan.from_stock {
            let amount = if from.as_needed {
                "as needed".to_owned()
            } else {
                Quantity::new(from.quantity, from.unit).shown()
            };
            let mut said =
                vec![if from.bin.is_empty() { "no bin".to_owned() } else { from.bin.clone() }];
            if from.opened || !from.how.is_empty() {
                said.push(format!("for {}: {}", from.serves.join(", "), from.how));
            }
            page.text(
                &said.join("; "),
                &format!("  {amount:>9}  {:<12}  ", from.part),
                &" ".repeat(27),
            );
            mark_open(&from.serves, kit, &" ".repeat(27), page);
        }
    }
    if !plan.on_the_way.is_empty() {
        page.heading("On its way for this job");
        for coming in &plan.on_the_way {
            let amount = Quantity::new(coming.quantity, coming.unit).shown();
            page.text(
                &format!("order {}", coming.order),
                &format!("  {amount:>9}  {:<12}  ", coming.part),
                &" ".repeat(27),
            );
        }
    }
    for parcel in &plan.orders {
        parcel_text(parcel, &plan.currency, kit, page);
    }
    if !plan.unsourced.is_empty() {
        page.heading("No supplier offers");
        for missing in &plan.unsourced {
            page.text(&missing_amount(missing), "  ", "    ");
            mark_open(std::slice::from_ref(&missing.part), kit, "      ", page);
            for near in &missing.near {
                page.quiet(&format!("{}: {}", near.part, near.why), "      ");
            }
        }
    }
}

/// What stands open of the kit's lines that something is bought for.
fn open_of(parts: &[String], kit: &Kit) -> Vec<OpenGap> {
    let mut open: Vec<OpenGap> = Vec::new();
    for gap in
        kit.lines.iter().filter(|line| parts.contains(&line.part)).flat_map(|line| &line.open)
    {
        if !open.contains(gap) {
            open.push(gap.clone());
        }
    }
    open
}

fn mark_open(parts: &[String], kit: &Kit, indent: &str, page: &mut Page) {
    let open = open_of(parts, kit);
    if !open.is_empty() {
        page.text(
            &format!("gap: {}; close it before you buy", named(&open)),
            &format!("{indent}! "),
            indent,
        );
    }
}

fn parcel_text(parcel: &Parcel, currency: &str, kit: &Kit, page: &mut Page) {
    let name = if parcel.name.is_empty() { String::new() } else { format!(" ({})", parcel.name) };
    page.heading(&format!("From {}{name}: {}", parcel.supplier, money(parcel.total, currency)));
    let width = parcel.lines.iter().map(|line| line.part.chars().count()).max().unwrap_or_default();
    for line in &parcel.lines {
        let first = format!(
            "  {:>3} × {:<width$}  {:>8}  ",
            plain(line.packs),
            line.part,
            Money(line.amount).to_string()
        );
        let rest = " ".repeat(first.chars().count());
        page.text(&line_text(line), &first, &rest);
        page.quiet(&line_notes(line), &rest);
        mark_open(&line.serves, kit, &rest, page);
    }
    page.text(
        &format!(
            "goods {}, parcel {}",
            Money(parcel.goods),
            if parcel.shipping.is_zero() {
                "free".to_owned()
            } else {
                Money(parcel.shipping).to_string()
            }
        ),
        "  ",
        "  ",
    );
}

fn comparison(compare: &Comparison, plan: &OrderPlan, page: &mut Page) {
    let currency = &plan.currency;
    page.heading("What it would cost otherwise");
    if plan.orders.is_empty() {
        let why = no_parcel(plan.unsourced.len());
        page.text(&format!("there is {why}, so there are no prices to compare"), "  ", "    ");
        return;
    }
    for best in &compare.by_suppliers {
        let who = match best.suppliers {
            0 => continue,
            1 => "one supplier".to_owned(),
            many => format!("up to {many} suppliers"),
        };
        let cost = match best.total {
            Some(total) => format!("{} ({})", money(total, currency), best.from.join(", ")),
            None => "cannot supply it all".to_owned(),
        };
        page.text(&format!("{who}: {cost}"), "  ", "    ");
        if let Some(nearest) = &best.nearest {
            let lack: Vec<String> = nearest.lack.iter().map(missing_amount).collect();
            let from = nearest.from.join(", ");
            let total = money(nearest.total, currency);
            page.text(
                &format!("nearest to it: {from} for {total}, without {}", lack.join(", ")),
                "      ",
                "        ",
            );
        }
    }
    if let Some(last) = compare.by_suppliers.last().filter(|last| last.suppliers > 0) {
        page.text(&format!("more than {}: no order costs less", last.suppliers), "  ", "    ");
    }
    let singles =
        compare.singles.map_or_else(|| "not to be had".to_owned(), |total| money(total, currency));
    let with = money(compare.sets, currency);
    let bought = if compare.sets_bought.is_empty() {
        "no set is worth it".to_owned()
    } else {
        format!("sets bought: {}", compare.sets_bought.join(", "))
    };
    page.text(
        &format!("single parts only: {singles}; sets allowed: {with} ({bought})"),
        "  ",
        "    ",
    );
}

/// The files for the suppliers, and those of an earlier order that lie beside them.
#[derive(Default)]
struct Files {
    written: Vec<String>,
    earlier: Vec<String>,
}

/// The columns of the lines for a supplier.
const LINES: [&str; 4] = ["supplier_number", "part", "description", "packs"];

/// Writes a file for each supplier.
fn write_csv(folder: &Path, plan: &OrderPlan) -> anyhow::Result<Files> {
    fs::create_dir_all(folder)
        .with_context(|| format!("the folder {} cannot be made", folder.display()))?;
    let mut names: Vec<String> = Vec::new();
    let mut texts = Vec::new();
    for parcel in &plan.orders {
        let mut writer = csv::Writer::from_writer(Vec::new());
        writer.write_record(LINES)?;
        for line in &parcel.lines {
            let number =
                if line.supplier_number.is_empty() { &line.part } else { &line.supplier_number };
            let packs = plain(line.packs);
            let cells = [number.as_str(), &line.part, &line.description, &packs];
            writer.write_record(cells.map(way_out::cell))?;
        }
        let name = file_name(&parcel.supplier, &names);
        let path = folder.join(&name);
        refuse_what_is_not_ours(&path, |old| old.lines().next() == Some(&LINES.join(",")))?;
        texts.push((path, writer.into_inner().context("the lines could not be written")?));
        names.push(name);
    }
    for (path, text) in texts {
        crate::tables::save(&path, &text)
            .with_context(|| format!("{} cannot be written", path.display()))?;
    }
    let mut earlier: Vec<String> = Vec::new();
    for entry in
        fs::read_dir(folder).with_context(|| format!("{} cannot be read", folder.display()))?
    {
        let name = entry?.file_name().to_string_lossy().into_owned();
        if name.starts_with("order-") && name.ends_with(".csv") && !names.contains(&name) {
            earlier.push(folder.join(name).display().to_string());
        }
    }
    earlier.sort();
    Ok(Files {
        written: names.iter().map(|name| folder.join(name).display().to_string()).collect(),
        earlier,
    })
}

/// A name of its own kind, so that no supplier's file can be taken for a table, and of its own for each supplier.
fn file_name(supplier: &str, taken: &[String]) -> String {
    let safe = |c: char| if c.is_alphanumeric() || c == '-' { c } else { '_' };
    let stem = format!("order-{}", supplier.chars().map(safe).collect::<String>());
    let is_free =
        |name: &String| !taken.iter().any(|known| known.to_lowercase() == name.to_lowercase());
    let numbered = (2..).map(|number| format!("{stem}-{number}.csv"));
    std::iter::once(format!("{stem}.csv")).chain(numbered).find(is_free).unwrap_or(stem)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn each_supplier_gets_a_file_of_its_own_whatever_its_name() {
        let mut names: Vec<String> = Vec::new();
        for supplier in ["a/b", "a b", "../A\\b", "œuvre 7", ".."] {
            let name = file_name(supplier, &names);
            names.push(name);
        }
        assert_eq!(
            names,
            [
                "order-a_b.csv",
                "order-a_b-2.csv",
                "order-___A_b.csv",
                "order-œuvre_7.csv",
                "order-__.csv"
            ]
        );
    }
}
