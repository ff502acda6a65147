//! The command `receive`.

use super::args::{Catalog, ReceiveAsk};
use super::opening::{lines_of, open_to_change};
use super::page::{Page, count};
use super::{Answer, Ended};
use crate::buy::receive::{Parcel, Receipt, receive};
use crate::desk::day;
use crate::measure::{Key, json_number};
use serde_json::{Value, json};

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
        accept: ask.accept,
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
