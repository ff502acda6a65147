//! What an order comes to, and what is sent to a supplier.

use super::count;
use crate::buy::answer::{OrderPlan, ParcelLine, Unsourced};
use crate::measure::{Money, Quantity, plain};
use rust_decimal::Decimal;

/// Says what an order costs and what it lacks.
pub fn verdict(plan: &OrderPlan) -> String {
    let mut said = match plan.orders.len() {
        0 => no_parcel(plan.unsourced.len()).to_owned(),
        orders => format!(
            "{} in {}",
            money(plan.total, &plan.currency),
            count(orders, "parcel", "parcels")
        ),
    };
    if !plan.unsourced.is_empty() {
        said.push_str(&format!(
            "; {}",
            count(
                plan.unsourced.len(),
                "part that no supplier offers",
                "parts that no supplier offers"
            )
        ));
    }
    if !plan.proven {
        let bound = money(plan.bound, &plan.currency);
        said.push_str(&format!("; NOT proven to be the least: nothing can cost less than {bound}"));
    }
    said
}

/// Says what is bought: description, pack, price of a pack, the supplier's number.
pub fn line_text(line: &ParcelLine) -> String {
    let mut said = Vec::new();
    if !line.description.is_empty() {
        said.push(line.description.clone());
    }
    let pack = Quantity::new(line.pack, line.pack_unit);
    if pack != Quantity::ONE {
        said.push(format!("pack of {pack}"));
    }
    said.push(format!("at {}", Money(line.price)));
    if !line.supplier_number.is_empty() {
        said.push(format!("their number {}", line.supplier_number));
    }
    said.join("; ")
}

/// Says what to know of a line: what it is for, and whether its price is old.
pub fn line_notes(line: &ParcelLine) -> String {
    let mut said = Vec::new();
    if line.serves.len() > 1 || line.serves.iter().any(|part| *part != line.part) {
        said.push(format!("for {}", line.serves.join(", ")));
    }
    said.extend(
        [&line.note, &line.offer_note].into_iter().filter(|note| !note.is_empty()).cloned(),
    );
    if line.stale {
        said.push(format!("STALE price, of {}: ask before you rely on it", line.as_of));
    }
    said.join("; ")
}

/// An amount with its currency, where one is known.
pub fn money(amount: Decimal, currency: &str) -> String {
    format!("{} {currency}", Money(amount)).trim_end().to_owned()
}

/// The texts to paste into a message, one for each supplier.
pub fn messages(plan: &OrderPlan) -> String {
    let mut texts = Vec::new();
    for parcel in &plan.orders {
        let name = if parcel.name.is_empty() { &parcel.supplier } else { &parcel.name };
        let mut text = format!("To {name}\n\nPlease send me:\n\n");
        for line in &parcel.lines {
            let number =
                if line.supplier_number.is_empty() { &line.part } else { &line.supplier_number };
            let pack = Quantity::new(line.pack, line.pack_unit);
            let pack =
                if pack == Quantity::ONE { String::new() } else { format!(" (pack of {pack})") };
            let own = if line.supplier_number.is_empty() {
                String::new()
            } else {
                format!(" [{}]", line.part)
            };
            let piece = if line.note.starts_with("ask for ") {
                format!(", {}", line.note.replacen("ask for ", "", 1))
            } else {
                String::new()
            };
            text.push_str(&format!(
                "{} x {number}{own} {}{pack}{piece}\n",
                plain(line.packs),
                line.description
            ));
        }
        text.push_str(&format!(
            "\nBy your prices: goods {}, carriage {}, together {}\n",
            Money(parcel.goods),
            Money(parcel.shipping),
            money(parcel.total, &plan.currency)
        ));
        texts.push(text);
    }
    texts.join("\n")
}

/// Says why no parcel comes: nothing is needed, or nobody offers what is.
pub fn no_parcel(unsourced: usize) -> &'static str {
    if unsourced == 0 { "nothing to order" } else { "nothing that can be ordered" }
}

/// Names a part that nobody offers, with how much of it is wanted.
pub fn missing_amount(missing: &Unsourced) -> String {
    if missing.as_needed {
        return format!("{}, as needed", missing.part);
    }
    format!("{} × {}", Quantity::new(missing.quantity, missing.unit).shown(), missing.part)
}
