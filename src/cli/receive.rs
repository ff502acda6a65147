//! The command `receive`.

use super::args::{Catalog, parse_arrival, parse_day};
use super::opening::{lines_of, open_to_change};
use super::printing::{Page, count};
use super::{Answer, Ended};
use crate::buy::receive::{Parcel, Receipt, receive};
use crate::desk::day;
use crate::measure::{Date, Key, PartNumber, Quantity, json_number};
use clap::Args;
use serde_json::{Value, json};

#[derive(Debug, Args)]
#[command(after_help = "\
Examples:
  kitwright receive 2026-01                     all that was still to come
  kitwright receive 2026-01 91-3142=1           so many came so far
  kitwright receive 2026-01 --short 91-3142=1   all, but of this part only one
  kitwright receive 2026-01 --slip L-4711       all, with delivery note L-4711
  kitwright receive 2026-01 94-1011=2 90-5001=250ml")]
pub(crate) struct ReceiveAsk {
    /// The order, as the table orders names it.
    #[arg(value_name = "ORDER")]
    pub order: String,
    /// What came: pieces or an amount with its unit, not packs.
    #[arg(value_name = "PART=QTY", value_parser = parse_arrival)]
    pub items: Vec<(PartNumber, Quantity)>,
    /// Of this part only so much came (0 for none of it); all the rest that was still to come did. May be given several times.
    #[arg(long, value_name = "PART=QTY", value_parser = parse_arrival, conflicts_with = "items")]
    pub short: Vec<(PartNumber, Quantity)>,
    /// Where it goes on the shelf; else a bin named after the order.
    #[arg(long, value_name = "BIN")]
    pub bin: Option<String>,
    /// The number of the delivery note, which tells one part delivery from another.
    #[arg(long, value_name = "NUMBER", default_value = "", hide_default_value = true)]
    pub slip: String,
    /// Book it although something about it was questioned.
    #[arg(long, alias = "accept")]
    pub force: bool,
    /// What has not come by now will not come.
    #[arg(long)]
    pub no_more: bool,
    /// The day; today where it is not given.
    #[arg(long, value_name = "DATE", value_parser = parse_day)]
    pub date: Option<Date>,
}

pub(crate) fn run(catalog: &Catalog, ask: &ReceiveAsk, json: bool) -> anyhow::Result<Answer> {
    let bench = open_to_change(catalog)?;
    let notes = lines_of(&bench.notes);
    let parcel = Parcel {
        order: Key::new(&ask.order),
        items: ask.items.clone(),
        short: ask.short.clone(),
        day: day(ask.date.as_ref())?,
        bin: ask.bin.clone(),
        slip: ask.slip.replace([';', '@'], " ").trim().to_owned(),
        accept: ask.force,
        no_more: ask.no_more,
    };
    let receipt = match receive(
        &parcel,
        &bench.file_of("stock"),
        &bench.file_of("orders"),
        &*bench.catalog,
    ) {
        Ok(receipt) => receipt,
        Err(why) => return Ok(Answer::refused(format!("{notes}error: {why}\n"))),
    };
    bench.change(&format!("receiving order {}", ask.order), &receipt.edits)?;
    let ended = if receipt.outstanding.is_empty() { Ended::Done } else { Ended::Open };
    let out = if json {
        format!("{}\n", serde_json::to_string_pretty(&as_json(ask, &receipt))?)
    } else {
        page(ask, &receipt)
    };
    Ok(Answer { out, err: notes, ended })
}

fn as_json(ask: &ReceiveAsk, receipt: &Receipt) -> Value {
    let booked = receipt.booked.iter().map(|booked| {
        json!({
            "part": booked.part.as_str(),
            "quantity": json_number(booked.quantity.amount),
            "unit": booked.quantity.unit.symbol(),
            "bin": booked.bin,
            "instead_of": booked.instead_of.as_ref().map(|part| part.as_str()),
        })
    });
    let outstanding = receipt.outstanding.iter().map(|(part, left)| {
        json!({ "part": part.as_str(), "quantity": json_number(left.amount), "unit": left.unit.symbol() })
    });
    json!({
        "order": ask.order,
        "booked": booked.collect::<Vec<_>>(),
        "outstanding": outstanding.collect::<Vec<_>>(),
        "remarks": receipt.remarks,
    })
}

fn page(ask: &ReceiveAsk, receipt: &Receipt) -> String {
    let mut page = Page::default();
    let lines = count(receipt.booked.len(), "part", "parts");
    let rest = match receipt.outstanding.len() {
        0 => "nothing of it is still to come".to_owned(),
        open => format!("{} still to come", count(open, "part is", "parts are")),
    };
    page.answer(
        &format!("order {}: {lines} booked onto the shelf; {rest}", ask.order),
        receipt.outstanding.is_empty(),
    );
    for booked in &receipt.booked {
        let instead =
            booked.instead_of.as_ref().map_or_else(String::new, |part| format!(", for {part}"));
        page.text(
            &format!("{} × {}{instead}: {}", booked.quantity, booked.part, booked.bin),
            "  ",
            "    ",
        );
    }
    for remark in &receipt.remarks {
        page.text(remark, "! ", "  ");
    }
    if !receipt.outstanding.is_empty() {
        page.heading("Still to come");
        for (part, left) in &receipt.outstanding {
            page.text(&format!("{left} × {part}"), "  ", "    ");
        }
    }
    page.into_text()
}
