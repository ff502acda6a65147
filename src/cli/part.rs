//! The command `part`.

use super::args::{Catalog, parse_part};
use super::opening::with_catalog;
use super::printing::Page;
use super::written::write;
use super::{Answer, Ended};
use crate::catalog::{Card, Lookup, Status, Supersession};
use crate::measure::{Money, PartNumber, plain, shorten};
use crate::near::nearest;
use crate::say::fitted;
use crate::work::history;
use clap::Args;
use std::path::PathBuf;

#[derive(Debug, Args)]
#[command(after_help = "\
Examples:
  kitwright part 91-2044
  kitwright part TV-1181-02 --output history.svg")]
pub(crate) struct PartAsk {
    /// The part number, in any spelling.
    #[arg(value_name = "NUMBER", value_parser = parse_part, allow_hyphen_values = true)]
    pub number: PartNumber,
    /// Draw what it was and became, and where each number may be used.
    #[arg(short = 'o', long, alias = "picture", value_name = "FILE.svg")]
    pub output: Option<PathBuf>,
}

pub(crate) fn run(catalog: &Catalog, ask: &PartAsk, json: bool) -> anyhow::Result<Answer> {
    with_catalog(catalog, |catalog, notes| work(catalog, notes, ask, json))
}

fn work(catalog: &dyn Lookup, notes: String, ask: &PartAsk, json: bool) -> anyhow::Result<Answer> {
    let Some(card) = Card::of(&ask.number, catalog) else {
        let numbers = catalog.part_numbers();
        let meant = nearest(ask.number.folded(), numbers.iter().map(|number| number.folded()));
        let meant =
            meant.and_then(|folded| numbers.iter().find(|number| number.folded() == folded));
        let hint = meant.map_or_else(String::new, |meant| format!("; did you mean {meant}?"));
        let number = shorten(ask.number.as_str());
        let err = format!("{notes}no table names the part {number}{hint}\n");
        return Ok(Answer { out: String::new(), err, ended: Ended::NotFound });
    };
    let mut notes = notes;
    if let Some(file) = &ask.output {
        // The number is known, so there is a picture of it.
        let drawn = history::picture(&ask.number, catalog).unwrap_or_default();
        write(file, &["svg"], &drawn)?;
        notes.push_str(&format!("note: the picture is in {}\n", file.display()));
    }
    let out = if json {
        format!("{}\n", serde_json::to_string_pretty(&card.to_json())?)
    } else {
        page(&card)
    };
    Ok(Answer { out, err: notes, ended: Ended::Done })
}

fn page(card: &Card) -> String {
    let mut page = Page::default();
    let mut title = card.part.to_string();
    match &card.row {
        Some(row) => {
            let name = if row.name.is_empty() {
                row.part_type.as_ref().map_or("", |t| t.as_str())
            } else {
                &row.name
            };
            title.push_str(&format!(" {name}"));
            if !row.size.is_empty() {
                title.push_str(&format!(", {}", row.size));
            }
        }
        None => title.push_str(" (not in the table parts; other tables name it)"),
    }
    let discontinued =
        card.row.as_ref().is_some_and(|row| row.status == Some(Status::Discontinued));
    page.answer(title.trim_end(), !discontinued && card.row.is_some());
    if let Some(row) = &card.row {
        let fact = |name: &str, value: &str, page: &mut Page| {
            if !value.is_empty() {
                page.text(value, &format!("  {name:<12} "), &" ".repeat(15));
            }
        };
        fact("type", row.part_type.as_ref().map_or("", |t| t.as_str()), &mut page);
        fact("maker", &row.maker, &mut page);
        fact("material", &row.material, &mut page);
        fact(
            "single-use",
            row.single_use.map_or("", |yes| if yes { "yes" } else { "no" }),
            &mut page,
        );
        fact("counted in", row.unit.map_or("", |unit| unit.symbol()), &mut page);
        fact("status", row.status.map_or("", |status| status.as_str()), &mut page);
        fact("note", &row.note, &mut page);
        fact("source", &row.source, &mut page);
    }
    if !card.dimensions.is_empty() {
        page.heading("Sizes");
        for [feature, size, source] in &card.dimensions {
            let source = if source.is_empty() { String::new() } else { format!(" ({source})") };
            page.text(&format!("{feature} {size}{source}"), "  ", "    ");
        }
    }
    supersessions(
        "Became",
        card.steps.iter().filter(|row| card.chain.contains(&row.old)),
        &mut page,
    );
    supersessions(
        "Replaces",
        card.steps.iter().filter(|row| !card.chain.contains(&row.old)),
        &mut page,
    );
    if !card.equivalents.is_empty() {
        page.heading("Same part under another number");
        for (part, maker) in &card.equivalents {
            let maker = if maker.is_empty() { String::new() } else { format!(" ({maker})") };
            page.text(&format!("{part}{maker}"), "  ", "    ");
        }
    }
    if !card.fitted_at.is_empty() {
        page.heading("Fitted at");
        for at in &card.fitted_at {
            page.text(&fitted(at), "  ", "    ");
        }
    }
    for (heading, held) in [("Contains", &card.contains), ("Comes in", &card.contained_in)] {
        if !held.is_empty() {
            page.heading(heading);
            for held in held {
                let at = if held.position.is_empty() {
                    String::new()
                } else {
                    format!(", at {}", held.position)
                };
                page.text(&format!("{} × {}{at}", held.quantity, held.part), "  ", "    ");
            }
        }
    }
    if !card.offers.is_empty() {
        page.heading("Offers");
        for offer in &card.offers {
            let mut text = format!("{}: {} {}", offer.supplier, Money(offer.price), offer.currency);
            if offer.pack != crate::measure::Quantity::ONE {
                text.push_str(&format!(" for a pack of {}", offer.pack));
            }
            if !offer.supplier_number.is_empty() {
                text.push_str(&format!(", their number {}", offer.supplier_number));
            }
            if !offer.as_of.is_empty() {
                text.push_str(&format!(" ({})", offer.as_of));
            }
            page.text(&text, "  ", "    ");
        }
    }
    if !card.stock.is_empty() {
        page.heading("On the shelf");
        for (quantity, bin) in &card.stock {
            let bin = if bin.is_empty() { String::new() } else { format!(" in {bin}") };
            page.text(&format!("{quantity}{bin}"), "  ", "    ");
        }
    }
    page.into_text()
}

fn supersessions<'a>(heading: &str, rows: impl Iterator<Item = &'a Supersession>, page: &mut Page) {
    let mut rows = rows.peekable();
    if rows.peek().is_none() {
        return;
    }
    page.heading(heading);
    for row in rows {
        let mut text = format!("{} → {}", row.old, row.new);
        if let Some(quantity) = &row.quantity {
            text.push_str(&format!(" × {}", plain(quantity.amount)));
        }
        let mut more = Vec::new();
        more.extend(row.swap.map(|swap| swap.to_string()));
        more.extend(
            row.together.as_ref().map(|word| format!("together with others marked {word}")),
        );
        if !row.since.is_blank() {
            more.push(format!("since {}", row.since));
        }
        if row.scope.narrowness() > 0 {
            more.push(format!("for {}", row.scope));
        }
        if !row.needs.is_empty() {
            let needs: Vec<String> = row.needs.iter().map(ToString::to_string).collect();
            more.push(format!("needs {}", needs.join(", ")));
        }
        if !more.is_empty() {
            text.push_str(&format!(" ({})", more.join("; ")));
        }
        page.text(&text, "  ", "    ");
    }
}
