//! Everything that the tables say of one part number.

use super::lookup::Lookup;
use super::rows::{Part, Supersession};
use crate::measure::{PartNumber, Quantity, Unit, json_number};
use rust_decimal::Decimal;
use serde::Serialize;
use serde_json::{Map, Value, json};
use std::collections::HashSet;

/// What the tables say of a part number, of whatever machine.
#[derive(Debug, Clone)]
pub struct Card {
    /// The number, as the table parts spells it, else as it was asked for.
    pub part: PartNumber,
    /// Its row in parts, if it has one.
    pub row: Option<Part>,
    /// Every number that it may become, nearest first, itself in front.
    pub chain: Vec<PartNumber>,
    /// Every number that may have become it, nearest first.
    pub replaces: Vec<PartNumber>,
    /// The supersessions followed for the two, forward ones first.
    pub steps: Vec<Supersession>,
    /// Where positions list it.
    pub fitted_at: Vec<FittedAt>,
    /// What it contains: the part, how many, and the position at which it arrives fitted.
    pub contains: Vec<Held>,
    /// What contains it.
    pub contained_in: Vec<Held>,
    /// Its measured or published sizes: feature, size and source.
    pub dimensions: Vec<[String; 3]>,
    /// What suppliers ask for it.
    pub offers: Vec<Offered>,
    /// Where it lies on the shelf, and how much of it.
    pub stock: Vec<(Quantity, String)>,
    /// The same part under other numbers.
    pub equivalents: Vec<(PartNumber, String)>,
}

/// A row of positions that lists a part.
#[derive(Debug, Clone, Serialize)]
pub struct FittedAt {
    /// The position.
    pub position: String,
    /// What sits there, in words.
    pub name: String,
    /// The models, as typed; blank is all.
    pub model: String,
    /// The years; blank is all.
    pub years: String,
    /// The serials; blank is all.
    pub serials: String,
    /// The traits; blank is none.
    pub only: String,
}

/// A part inside another.
#[derive(Debug, Clone)]
pub struct Held {
    /// The other part: the content, or the container.
    pub part: PartNumber,
    /// How many.
    pub quantity: Quantity,
    /// The position at which it arrives fitted; blank where none is named.
    pub position: String,
}

/// An offer of a supplier.
#[derive(Debug, Clone)]
pub struct Offered {
    /// The supplier.
    pub supplier: String,
    /// The supplier's own number.
    pub supplier_number: String,
    /// The price of one pack.
    pub price: Decimal,
    /// How much is in a pack.
    pub pack: Quantity,
    /// The day of the price; blank where none is given.
    pub as_of: String,
    /// The currency; blank where the supplier names none.
    pub currency: String,
}

impl Card {
    /// Gathers what is known; `None` where no table names the number.
    pub fn of(number: &PartNumber, lookup: &dyn Lookup) -> Option<Card> {
        let mut row = lookup.part(number).map(|row| row.into_owned());
        if let Some(name) = row.as_mut().and_then(|row| row.part_type.as_mut()) {
            *name = lookup.spell_type(name);
        }
        let mut steps = Vec::new();
        let chain = walk(number, |part| {
            let rows = lookup.supersessions_of(part).into_owned();
            let next = rows.iter().map(|row| row.new.clone()).collect();
            steps.extend(rows);
            next
        });
        let replaces = walk(number, |part| {
            let rows = lookup.supersessions_to(part).into_owned();
            let next = rows.iter().map(|row| row.old.clone()).collect();
            steps.extend(rows);
            next
        });
        for step in &mut steps {
            step.old = lookup.spell_part(&step.old);
            step.new = lookup.spell_part(&step.new);
        }
        let spell = |parts: Vec<PartNumber>| {
            parts.iter().map(|part| lookup.spell_part(part)).collect::<Vec<_>>()
        };
        let card = Card {
            part: lookup.spell_part(number),
            chain: spell(chain),
            replaces: spell(replaces.into_iter().skip(1).collect()),
            steps,
            fitted_at: fitted_at(number, lookup),
            contains: lookup
                .contents_of(number)
                .iter()
                .map(|row| {
                    held(
                        lookup.spell_part(&row.contained),
                        row.quantity,
                        row.position.as_ref(),
                        lookup,
                    )
                })
                .collect(),
            contained_in: lookup
                .containers_of(number)
                .iter()
                .map(|row| {
                    held(lookup.spell_part(&row.part), row.quantity, row.position.as_ref(), lookup)
                })
                .collect(),
            dimensions: lookup
                .dimensions_of(number)
                .iter()
                .map(|row| [row.feature.to_string(), row.size.to_string(), row.source.clone()])
                .collect(),
            offers: lookup
                .offers_of(number)
                .iter()
                .map(|row| Offered {
                    supplier: lookup.spell_supplier(&row.supplier).to_string(),
                    supplier_number: row.supplier_number.clone(),
                    price: row.price.0,
                    pack: row.pack.unwrap_or(Quantity::ONE),
                    as_of: row.as_of.as_ref().map_or_else(String::new, ToString::to_string),
                    currency: lookup
                        .supplier(&row.supplier)
                        .map_or_else(String::new, |row| row.currency.clone()),
                })
                .collect(),
            stock: lookup
                .stock_of(number)
                .iter()
                .map(|row| (row.quantity.0, row.bin.clone()))
                .collect(),
            equivalents: lookup
                .equivalents_of(number)
                .iter()
                .map(|row| {
                    let other = if row.part == *number { &row.other } else { &row.part };
                    (lookup.spell_part(other), row.maker.clone())
                })
                .collect(),
            row,
        };
        let known = card.row.is_some()
            || !card.steps.is_empty()
            || !card.fitted_at.is_empty()
            || !card.contained_in.is_empty()
            || !card.contains.is_empty()
            || !card.offers.is_empty()
            || !card.stock.is_empty()
            || !card.equivalents.is_empty()
            || !card.dimensions.is_empty()
            || !lookup.retrofits_of(number).is_empty();
        known.then_some(card)
    }

    /// Adds up what lies on the shelf, in the part's unit; amounts in a unit of another kind are left out.
    pub fn on_shelf(&self) -> Quantity {
        let unit = self.row.as_ref().and_then(|row| row.unit);
        let unit =
            unit.or(self.stock.first().map(|(quantity, _)| quantity.unit)).unwrap_or(Unit::Each);
        let amounts = self.stock.iter().filter_map(|(quantity, _)| quantity.to(unit));
        Quantity::new(
            amounts.fold(Decimal::ZERO, |sum, quantity| sum.saturating_add(quantity.amount)),
            unit,
        )
    }

    /// Gives the card as the object that the command `part` prints.
    pub fn to_json(&self) -> Value {
        let mut card = Map::new();
        card.insert("part".to_owned(), json!(self.part.as_str()));
        let row = self.row.as_ref();
        let text = |cell: fn(&Part) -> &str| json!(row.map(cell));
        card.insert(
            "type".to_owned(),
            json!(row.and_then(|row| row.part_type.as_ref()).map(|t| t.as_str())),
        );
        card.insert("name".to_owned(), text(|row| &row.name));
        card.insert("size".to_owned(), text(|row| &row.size));
        card.insert("maker".to_owned(), text(|row| &row.maker));
        card.insert("material".to_owned(), text(|row| &row.material));
        card.insert("single_use".to_owned(), json!(row.and_then(|row| row.single_use)));
        card.insert(
            "unit".to_owned(),
            json!(row.map(|row| row.unit.unwrap_or(Unit::Each).symbol())),
        );
        let status = |row: &Part| row.status.unwrap_or(super::Status::Available).as_str();
        card.insert("status".to_owned(), json!(row.map(status)));
        card.insert("note".to_owned(), text(|row| &row.note));
        card.insert("source".to_owned(), text(|row| &row.source));
        let dimensions: Vec<Value> = self
            .dimensions
            .iter()
            .map(|[feature, size, source]| json!({ "feature": feature, "size": size, "source": source }))
            .collect();
        card.insert("dimensions".to_owned(), json!(dimensions));
        let numbers =
            |parts: &[PartNumber]| json!(parts.iter().map(PartNumber::as_str).collect::<Vec<_>>());
        card.insert("chain".to_owned(), numbers(&self.chain));
        card.insert("replaces".to_owned(), numbers(&self.replaces));
        let step = |row: &Supersession| {
            json!({
                "old": row.old.as_str(),
                "new": row.new.as_str(),
                "quantity": json_number(row.quantity.map_or(Decimal::ONE, |quantity| quantity.amount)),
                "together": row.together.as_ref().map(|word| word.as_str()),
                "swap": row.swap.map(super::Swap::as_str),
                "since": row.since.as_str(),
                "needs": row.needs.iter().map(ToString::to_string).collect::<Vec<_>>(),
                "scope": row.scope.to_string(),
            })
        };
        card.insert(
            "supersessions".to_owned(),
            json!(self.steps.iter().map(step).collect::<Vec<_>>()),
        );
        card.insert("fitted_at".to_owned(), json!(self.fitted_at));
        let held = |held: &Held| {
            json!({
                "part": held.part.as_str(),
                "quantity": json_number(held.quantity.amount),
                "unit": held.quantity.unit.symbol(),
                "position": held.position,
            })
        };
        card.insert(
            "contains".to_owned(),
            json!(self.contains.iter().map(held).collect::<Vec<_>>()),
        );
        card.insert(
            "contained_in".to_owned(),
            json!(self.contained_in.iter().map(held).collect::<Vec<_>>()),
        );
        let offer = |offer: &Offered| {
            json!({
                "supplier": offer.supplier,
                "supplier_number": offer.supplier_number,
                "price": json_number(offer.price),
                "pack": json_number(offer.pack.amount),
                "pack_unit": offer.pack.unit.symbol(),
                "currency": offer.currency,
                "as_of": offer.as_of,
            })
        };
        card.insert("offers".to_owned(), json!(self.offers.iter().map(offer).collect::<Vec<_>>()));
        card.insert("stock".to_owned(), json_number(self.on_shelf().amount));
        let equivalent =
            |(part, maker): &(PartNumber, String)| json!({ "part": part.as_str(), "maker": maker });
        card.insert(
            "equivalents".to_owned(),
            json!(self.equivalents.iter().map(equivalent).collect::<Vec<_>>()),
        );
        Value::Object(card)
    }
}

/// Walks from a number over all that it leads to, breadth first, each number once.
fn walk(
    start: &PartNumber,
    mut next: impl FnMut(&PartNumber) -> Vec<PartNumber>,
) -> Vec<PartNumber> {
    let mut seen = HashSet::from([start.clone()]);
    let mut order = vec![start.clone()];
    let mut at = 0;
    while let Some(part) = order.get(at).cloned() {
        at += 1;
        for part in next(&part) {
            if seen.insert(part.clone()) {
                order.push(part);
            }
        }
    }
    order
}

fn fitted_at(number: &PartNumber, lookup: &dyn Lookup) -> Vec<FittedAt> {
    let mut rows = Vec::new();
    for position in lookup.positions_with_part(number).iter() {
        for row in lookup.positions(position).iter().filter(|row| row.part.part() == Some(number)) {
            let join = |items: Vec<String>| items.join(";");
            rows.push(FittedAt {
                position: lookup.spell_position(&row.position).to_string(),
                name: row.name.clone(),
                model: join(row.scope.model.iter().map(ToString::to_string).collect()),
                years: row.scope.years.as_ref().map_or_else(String::new, ToString::to_string),
                serials: row.scope.serials.as_ref().map_or_else(String::new, ToString::to_string),
                only: join(row.scope.only.iter().map(ToString::to_string).collect()),
            });
        }
    }
    rows
}

fn held(
    part: PartNumber,
    quantity: Option<Quantity>,
    position: Option<&crate::measure::Key>,
    lookup: &dyn Lookup,
) -> Held {
    Held {
        part,
        quantity: quantity.unwrap_or(Quantity::ONE),
        position: position
            .map_or_else(String::new, |position| lookup.spell_position(position).to_string()),
    }
}
