//! What is printed adds up: on random catalogs every total is the sum of the amounts that stand above it, in the text,
//! in the message, in JSON and in the files for the suppliers.

use rand::prelude::*;
use rand_chacha::ChaCha8Rng;
use rust_decimal::Decimal;
use serde_json::Value;
use std::fs;
use std::path::Path;
use std::process::Command;

fn dec(text: &str) -> Decimal {
    text.parse().unwrap_or_else(|error| panic!("'{text}': {error}"))
}

fn money(rng: &mut ChaCha8Rng, most: i64) -> String {
    // Now and then a price is given to a tenth or a hundredth of a cent.
    let scale = *[2, 2, 2, 2, 2, 3, 4].choose(rng).expect("some");
    Decimal::new(
        rng.random_range(1..=most) * 10_i64.pow(scale - 2)
            + rng.random_range(0..10_i64.pow(scale - 2)),
        scale,
    )
    .to_string()
}

/// A motor whose one job takes a few parts, sold by a few suppliers on all kinds of terms. All of it is invented.
fn write_catalog(root: &Path, rng: &mut ChaCha8Rng) -> bool {
    let parts = rng.random_range(1..=5);
    let suppliers = rng.random_range(1..=3);
    let foreign = rng.random_bool(0.5);
    let text = |name: &str, header: &str, lines: Vec<String>| {
        fs::write(root.join(format!("{name}.csv")), format!("{header}\n{}\n", lines.join("\n")))
            .expect("written");
    };
    text("models", "model", vec!["M1".into()]);
    text("machines", "machine,model,year", vec!["motor,M1,2000".into()]);
    text("jobs", "job", vec!["reseal".into()]);
    text("operations", "operation", vec!["open".into()]);
    text("job_lines", "job,position", (0..parts).map(|part| format!("reseal,p{part}")).collect());
    let mut rows: Vec<String> =
        (0..parts).map(|part| format!("P-{part},gasket,Gasket {part}")).collect();
    rows.push("S-1,set,Set".into());
    text("parts", "part,type,name", rows);
    text("positions", "position,part,quantity", {
        (0..parts).map(|part| format!("p{part},P-{part},{}", rng.random_range(1..=7))).collect()
    });
    text(
        "contains",
        "part,contains,quantity",
        (0..parts).map(|part| format!("S-1,P-{part},2")).collect(),
    );
    let mut currencies = Vec::new();
    text("suppliers", "supplier,name,currency,shipping,free_from,minimum", {
        let supplier = |supplier: i32| {
            let currency = if foreign && supplier > 0 { "USD" } else { "EUR" };
            currencies.push(currency);
            let shipping = if rng.random_bool(0.8) { money(rng, 900) } else { String::new() };
            let free = if rng.random_bool(0.5) { money(rng, 9000) } else { String::new() };
            let minimum = if rng.random_bool(0.4) { money(rng, 3000) } else { String::new() };
            format!("shop{supplier},Shop {supplier},{currency},{shipping},{free},{minimum}")
        };
        (0..suppliers).map(supplier).collect()
    });
    let mut offers = Vec::new();
    for part in 0..parts {
        for supplier in 0..suppliers {
            for pack in ["", "5", "10"] {
                if rng.random_bool(if pack.is_empty() { 0.7 } else { 0.3 }) {
                    offers.push(format!(
                        "shop{supplier},P-{part},{},{pack},2026-10-01",
                        money(rng, 4000)
                    ));
                }
            }
        }
    }
    if rng.random_bool(0.5) {
        offers.push(format!("shop0,S-1,{},,2026-10-01", money(rng, 9000)));
    }
    text("offers", "supplier,part,price,pack,as_of", offers);
    foreign
}

fn run(root: &Path, foreign: bool, more: &[&str]) -> String {
    let mut command = Command::new(env!("CARGO_BIN_EXE_kitwright"));
    command
        .arg("-C")
        .arg(root)
        .args(["order", "reseal", "--on", "motor", "--date", "2026-11-25"])
        .args(more);
    if foreign {
        command.args(["--rate", "USD=0.9137"]);
    }
    let output = command.output().expect("run");
    let code = output.status.code();
    assert!(matches!(code, Some(0 | 3)), "{}", String::from_utf8_lossy(&output.stderr));
    String::from_utf8(output.stdout).expect("text")
}

/// The last word of a text that is an amount.
fn amount_in(text: &str) -> Decimal {
    let mut words = text.split_whitespace().filter(|word| word.contains('.'));
    dec(words.rfind(|word| word.chars().all(|c| c.is_ascii_digit() || c == '.')).expect(text))
}

/// Reads the printed plan from top to bottom as a person with a pencil would; gives the total that heads it.
fn add_up_the_text(text: &str) -> Decimal {
    let head = text.lines().next().expect("a line");
    if head.contains("nothing to order") {
        return Decimal::ZERO;
    }
    let total = amount_in(head.split(" in ").next().expect(head));
    let (mut sum, mut goods, mut parcel) = (Decimal::ZERO, Decimal::ZERO, None);
    for line in text.lines().skip(1) {
        if line.starts_with("From shop") {
            parcel = Some(amount_in(line));
            goods = Decimal::ZERO;
        } else if let Some((packs, rest)) = line.split_once(" × ").filter(|_| parcel.is_some()) {
            let mut words = rest.split_whitespace();
            let (_, amount) = (words.next(), dec(words.next().expect(line)));
            let price = rest.split("at ").nth(1).and_then(|rest| rest.split([';', ' ']).next());
            if let Some(price) = price.filter(|price| !price.is_empty()) {
                assert_eq!(amount, dec(packs.trim()) * dec(price), "{text}");
            }
            goods += amount;
        } else if let Some(rest) = line.trim().strip_prefix("goods ") {
            let (printed, shipping) = rest.split_once(", parcel ").expect(line);
            assert_eq!(dec(printed), goods, "{text}");
            let shipping = if shipping == "free" { Decimal::ZERO } else { dec(shipping) };
            assert_eq!(parcel.take(), Some(goods + shipping), "{text}");
            sum += goods + shipping;
        }
    }
    assert_eq!(total, sum, "{text}");
    total
}

fn add_up_the_message(text: &str) -> Decimal {
    let sums = text.lines().filter_map(|line| line.strip_prefix("By your prices: "));
    let mut total = Decimal::ZERO;
    for line in sums {
        let amounts: Vec<Decimal> =
            line.split(", ").map(|part| dec(part.split_whitespace().nth(1).expect(line))).collect();
        assert_eq!(amounts[0] + amounts[1], amounts[2], "{line}");
        total += amounts[2];
    }
    total
}

fn add_up_the_json(object: &Value) -> Decimal {
    let number = |value: &Value| dec(&value.to_string());
    let mut total = Decimal::ZERO;
    for order in object["orders"].as_array().expect("orders") {
        let mut goods = Decimal::ZERO;
        for line in order["lines"].as_array().expect("lines") {
            assert_eq!(number(&line["amount"]), number(&line["price"]) * number(&line["packs"]));
            goods += number(&line["amount"]);
        }
        assert_eq!(number(&order["goods"]), goods);
        assert_eq!(number(&order["total"]), goods + number(&order["shipping"]));
        total += number(&order["total"]);
    }
    assert_eq!(number(&object["total"]), total);
    total
}

#[test]
fn every_total_is_the_sum_of_the_amounts_that_are_printed() {
    let count =
        std::env::var("PRINTED_COUNT").ok().and_then(|text| text.parse().ok()).unwrap_or(60);
    let mut bought = 0;
    for seed in 0..count {
        let folder = tempfile::tempdir().expect("a folder");
        let root = folder.path();
        let foreign = write_catalog(root, &mut ChaCha8Rng::seed_from_u64(seed));
        let files = root.join("parcels");
        let text = run(root, foreign, &["--csv", files.to_str().expect("a path")]);
        let total = add_up_the_text(&text);
        let object: Value = serde_json::from_str(&run(root, foreign, &["--json"])).expect("JSON");
        assert_eq!(add_up_the_json(&object), total, "case {seed}");
        assert_eq!(add_up_the_message(&run(root, foreign, &["--message"])), total, "case {seed}");
        for order in object["orders"].as_array().expect("orders") {
            let name = format!("order-{}.csv", order["supplier"].as_str().expect("a name"));
            let mut file = csv::Reader::from_path(files.join(name)).expect("the file");
            let written: Vec<(String, Decimal)> = file
                .records()
                .map(|row| row.expect("a row"))
                .map(|row| (row[1].to_owned(), dec(&row[3])))
                .collect();
            let lines = order["lines"].as_array().expect("lines");
            let planned: Vec<(String, Decimal)> = lines
                .iter()
                .map(|line| {
                    (
                        line["part"].as_str().expect("a part").to_owned(),
                        dec(&line["packs"].to_string()),
                    )
                })
                .collect();
            assert_eq!(written, planned, "case {seed}");
        }
        bought += usize::from(!total.is_zero());
    }
    assert!(bought * 10 > count as usize * 9, "{bought} of {count} buy something");
}
