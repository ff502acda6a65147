//! A joint with all that sits in it, typed as one line: the shapes that most covers, flanges and plugs have.

use super::bundle::{Bundle, row};
use super::names::Names;
use crate::catalog::Thing;
use crate::measure::{DecimalMark, PartNumber, Quantity};
use crate::tables::{Edit, TextRow, TextSheet};

/// What may sit in a joint, as a person calls it: the word, the type that it stands for, and whether there are usually
/// several. Which of them are used up is not said here: the types say it.
pub const ROLES: &[(&str, &str)] = &[
    ("gasket", "gasket"),
    ("o-ring", "o-ring"),
    ("seal", "seal"),
    ("shaft-seal", "shaft seal"),
    ("sealing-washers", "sealing washer"),
    ("liquid-gasket", "liquid gasket"),
    ("screws", "screw"),
    ("bolts", "bolt"),
    ("nuts", "plain nut"),
    ("studs", "stud"),
    ("washers", "plain washer"),
    ("tab-washers", "tab washer"),
    ("dowels", "dowel"),
    ("split-pins", "split pin"),
    ("circlips", "circlip"),
    ("hose-clips", "hose clip"),
    ("cover", "cover"),
    ("plug", "drain plug"),
    ("hose", "hose"),
];

/// A joint as it was typed.
#[derive(Debug, Clone, Default)]
pub struct JointAsk {
    /// Its name.
    pub joint: String,
    /// What it joins, in words; blank where its name says it.
    pub name: String,
    /// The model that it is on; blank is every model.
    pub model: String,
    /// What sits in it.
    pub holds: Vec<Held>,
    /// The operation that opens it; blank where that is not known yet.
    pub opened_by: String,
    /// The operations that come before that one.
    pub after: Vec<String>,
    /// The cautions of that operation, where it is new, as the table has them.
    pub cautions: String,
    /// Nothing in it seals, by design.
    pub dry: bool,
    /// Where this was found.
    pub source: String,
}

/// Something that sits in a joint.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Held {
    /// What it is called: one of [`ROLES`], or the name of a type.
    pub role: String,
    /// Its number; `None` where nobody has looked it up yet.
    pub part: Option<PartNumber>,
    /// How many.
    pub quantity: Quantity,
}

impl Held {
    /// Reads `91-3001` or `4x91-4410` (`4 x 91-4410`, `91-4410*4`); `?` is a part that nobody has looked up yet.
    ///
    /// A number that stands in `parts` as it is typed is never taken apart.
    ///
    /// # Errors
    /// No part number, or a quantity of none.
    pub fn parse(
        role: &str,
        text: &str,
        known: &dyn Fn(&PartNumber) -> bool,
    ) -> Result<Held, String> {
        let text = text.trim();
        let whole = PartNumber::new(text).filter(|number| known(number));
        let split = match &whole {
            Some(_) => None,
            None => times(text),
        };
        let (quantity, number) = split.unwrap_or(("1", text));
        let quantity =
            Quantity::parse(quantity, DecimalMark::Point).map_err(|error| error.to_string())?;
        let part = match number.trim() {
            "?" => None,
            number => Some(
                PartNumber::new(number)
                    .filter(|number| number.as_str().chars().any(char::is_alphanumeric))
                    .ok_or_else(|| {
                        format!(
                            "`{text}` names no part; write it as PART or 4xPART, or ? where the number is not known yet"
                        )
                    })?,
            ),
        };
        Ok(Held { role: role.to_owned(), part, quantity })
    }

    fn kind(&self) -> &str {
        ROLES.iter().find(|(role, _)| *role == self.role).map_or(&self.role, |(_, kind)| kind)
    }
}

/// Divides `4x91-4410` and `91-4410*4` into quantity and number.
fn times(text: &str) -> Option<(&str, &str)> {
    if let Some((number, quantity)) = text.rsplit_once('*') {
        return Some((quantity.trim(), number.trim()));
    }
    let (quantity, number) = text.split_once(['x', 'X', '×'])?;
    let counts = !quantity.trim().is_empty()
        && quantity.trim().len() <= 3
        && quantity.trim().chars().all(|c| c.is_ascii_digit());
    (counts && !number.trim().is_empty()).then_some((quantity.trim(), number.trim()))
}

/// Works out the rows that a joint needs: its positions, the parts that are new, what opens it. `type_of` gives the
/// type that `parts` names for a number, `seals` tells whether a type closes a joint, by its rule.
pub fn joint_rows(
    ask: &JointAsk,
    sheets: &[TextSheet],
    names: &Names,
    type_of: &dyn Fn(&PartNumber) -> Option<String>,
    seals: &dyn Fn(&str) -> bool,
) -> Bundle {
    let mut bundle = Bundle::default();
    let joint = names.spell(Thing::Joint, &ask.joint);
    // In the name of a position the joint's own is part of a phrase.
    let plain = if ask.name.trim().is_empty() {
        joint.replace(['-', '_'], " ")
    } else {
        ask.name.trim().to_owned()
    };
    let reached_by = names.spell(Thing::Operation, &ask.opened_by);
    let mut used: Vec<String> = Vec::new();
    for held in &ask.holds {
        let one = held.quantity == Quantity::ONE;
        let role = if one { held.role.strip_suffix('s').unwrap_or(&held.role) } else { &held.role };
        let base = format!("{joint}-{}", role.replace(' ', "-"));
        let times = used.iter().filter(|other| **other == base).count();
        used.push(base.clone());
        let position = if times == 0 { base } else { format!("{base}-{}", times + 1) };
        let word = role.replace('-', " ").replace("o ring", "O-ring");
        let name = capital(&format!("{word}, {plain}"));
        let number = held.part.as_ref().map_or("", |part| part.as_str());
        add_part(&mut bundle, held, &name, type_of);
        let quantity = if one { "1".to_owned() } else { held.quantity.to_string() };
        let cells = [
            ("position", position.as_str()),
            ("name", &name),
            ("part", number),
            ("quantity", &quantity),
            ("model", &ask.model),
            ("joint", &joint),
            ("reached_by", &reached_by),
            ("source", &ask.source),
        ];
        if let Some(row) = row("positions", &cells) {
            bundle.add(row, sheets);
        }
        if held.part.is_none() {
            bundle.remarks.push(format!(
                "{position} has no number yet, so a kit will say part-unknown until it has"
            ));
        }
    }
    add_joint(&mut bundle, ask, &joint, sheets);
    if !ask.dry
        && !ask.holds.iter().any(|held| seals(held.kind()))
        && !seals_already(&joint, sheets, seals, type_of)
    {
        bundle.remarks.push(format!(
            "nothing in {joint} seals: say --gasket, --o-ring or the like, or --dry yes where that is by design, else a kit will say joint-unsealed"
        ));
    }
    if reached_by.is_empty() {
        bundle.remarks.push(format!("nothing opens {joint} yet: say --opened-by OPERATION"));
    } else {
        open_it(&mut bundle, ask, &joint, &reached_by, sheets, names);
    }
    bundle
}

fn capital(text: &str) -> String {
    let mut letters = text.chars();
    letters.next().map_or_else(String::new, |first| {
        first.to_uppercase().collect::<String>() + letters.as_str()
    })
}

/// A part that `parts` does not know yet is added with the type that its place in the joint tells.
fn add_part(
    bundle: &mut Bundle,
    held: &Held,
    name: &str,
    type_of: &dyn Fn(&PartNumber) -> Option<String>,
) {
    let Some(part) = &held.part else { return };
    match type_of(part) {
        Some(kind) if !kind.is_empty() && !alike(&kind, held.kind()) => {
            bundle.remarks.push(format!(
                "{part} is a {kind} in parts, and the type decides what happens to it; you call it {}",
                held.role
            ));
        }
        Some(_) => {}
        None => {
            let twice = bundle.rows.iter().any(|row| {
                row.table == "parts" && PartNumber::new(row.cell("part")).as_ref() == Some(part)
            });
            if let Some(row) =
                row("parts", &[("part", part.as_str()), ("type", held.kind()), ("name", name)])
                    .filter(|_| !twice)
            {
                bundle.rows.push(row);
            }
        }
    }
}

/// A metal gasket is a gasket, and a self-locking nut a nut.
fn alike(kind: &str, other: &str) -> bool {
    let last = |text: &str| text.rsplit([' ', '-']).next().unwrap_or_default().to_lowercase();
    kind.eq_ignore_ascii_case(other)
        || last(kind) == last(other)
        || matches!(
            (last(kind).as_str(), last(other).as_str()),
            ("bolt", "screw")
                | ("screw", "bolt")
                | ("ring" | "seal" | "gasket", "ring" | "seal" | "gasket")
        )
}

fn add_joint(bundle: &mut Bundle, ask: &JointAsk, joint: &str, sheets: &[TextSheet]) {
    if ask.name.trim().is_empty() && !ask.dry {
        return;
    }
    let dry = if ask.dry { "yes" } else { "" };
    if let Some(row) = row("joints", &[("joint", joint), ("name", &ask.name), ("dry", dry)]) {
        bundle.add(row, sheets);
    }
}

fn seals_already(
    joint: &str,
    sheets: &[TextSheet],
    seals: &dyn Fn(&str) -> bool,
    type_of: &dyn Fn(&PartNumber) -> Option<String>,
) -> bool {
    of_table(sheets, "positions").any(|(_, row)| {
        let in_joint =
            row.cell("joint").split(';').any(|name| name.trim().eq_ignore_ascii_case(joint));
        in_joint
            && PartNumber::new(row.cell("part"))
                .and_then(|part| type_of(&part))
                .is_some_and(|kind| seals(&kind))
    })
}

fn of_table<'a>(
    sheets: &'a [TextSheet],
    table: &'a str,
) -> impl Iterator<Item = (&'a TextSheet, &'a TextRow)> {
    sheets
        .iter()
        .filter(move |sheet| sheet.table == table)
        .flat_map(|sheet| sheet.rows.iter().map(move |row| (sheet, row)))
}

/// Has the operation open the joint: in each of its rows that is for the model, or in a new row.
fn open_it(
    bundle: &mut Bundle,
    ask: &JointAsk,
    joint: &str,
    operation: &str,
    sheets: &[TextSheet],
    names: &Names,
) {
    let after: Vec<String> = ask
        .after
        .iter()
        .map(|name| names.spell(Thing::Operation, name))
        .filter(|name| !name.is_empty())
        .collect();
    for name in &after {
        if !names.holds(Thing::Operation, name) {
            let near = names
                .near(Thing::Operation, name)
                .map_or_else(String::new, |near| format!(" (is {near} meant?)"));
            bundle.remarks.push(format!(
                "{name} is no operation yet{near}: kitwright add operation {name} adds it"
            ));
        }
    }
    let cautions: Vec<String> = ask
        .cautions
        .split(';')
        .map(|name| names.spell(Thing::Caution, name))
        .filter(|name| !name.is_empty())
        .collect();
    for name in cautions.iter().filter(|name| !names.holds(Thing::Caution, name)) {
        let near = names
            .near(Thing::Caution, name)
            .map_or_else(String::new, |near| format!("; is {near} meant?"));
        bundle.remarks.push(format!(
            "{name} is no caution, so a kit will not show it{near} (kitwright columns cautions)"
        ));
    }
    let mut found = false;
    for (sheet, row) in of_table(sheets, "operations") {
        let same = row.cell("operation").to_lowercase() == operation.to_lowercase();
        let models: Vec<&str> =
            row.cell("model").split(';').map(str::trim).filter(|model| !model.is_empty()).collect();
        let for_model = ask.model.is_empty()
            || models.is_empty()
            || models.iter().any(|model| model.eq_ignore_ascii_case(ask.model.trim()));
        if !same || !for_model {
            continue;
        }
        found = true;
        let wanted = [
            ("opens", vec![joint.to_owned()]),
            ("needs", after.clone()),
            ("cautions", cautions.clone()),
        ];
        for (column, wanted) in wanted {
            let mut items: Vec<String> = row
                .cell(column)
                .split(';')
                .map(|item| item.trim().to_owned())
                .filter(|item| !item.is_empty())
                .collect();
            let before = items.clone();
            if column == "cautions" {
                // A slip of the last time gives way to the name that was meant.
                items.retain(|item| {
                    names.holds(Thing::Caution, item)
                        || !wanted.iter().any(|name| names.near(Thing::Caution, item) == Some(name))
                });
            }
            for item in wanted {
                if !items.iter().any(|known| known.to_lowercase() == item.to_lowercase()) {
                    items.push(item);
                }
            }
            if items != before {
                let edit =
                    Edit::Set { line: row.line, column: column.to_owned(), text: items.join(";") };
                bundle.sets.push((sheet.name.clone(), sheet.table, edit));
            }
        }
    }
    if !found {
        let others = of_table(sheets, "operations")
            .any(|(_, row)| row.cell("operation").to_lowercase() == operation.to_lowercase());
        let model = if others { ask.model.as_str() } else { "" };
        let name = capital(&operation.replace(['-', '_'], " "));
        let cells = [
            ("operation", operation),
            ("name", &name),
            ("needs", &after.join(";")),
            ("opens", joint),
            ("cautions", &cautions.join(";")),
            ("model", model),
            ("source", &ask.source),
        ];
        if let Some(row) = row("operations", &cells) {
            bundle.rows.push(row);
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_quantity_in_front_is_told_from_a_number_with_an_x() {
        let none = |_: &PartNumber| false;
        let read = |text: &str| {
            let held = Held::parse("screws", text, &none).expect(text);
            (held.quantity.to_string(), held.part.map(|part| part.to_string()))
        };
        assert_eq!(read("4x91-4410"), ("4".into(), Some("91-4410".into())));
        assert_eq!(read("4 x 91-4410"), ("4".into(), Some("91-4410".into())));
        assert_eq!(read("91-4410*4"), ("4".into(), Some("91-4410".into())));
        assert_eq!(read("91-3001"), ("1".into(), Some("91-3001".into())));
        assert_eq!(read("KX-9"), ("1".into(), Some("KX-9".into())));
        assert_eq!(read("2x?"), ("2".into(), None));
        let known = |number: &PartNumber| number.as_str() == "2X100-A";
        assert_eq!(
            Held::parse("screws", "2X100-A", &known).expect("a part").quantity,
            Quantity::ONE
        );
        assert!(Held::parse("gasket", "-", &none).is_err());
        assert!(Held::parse("gasket", "0x91-1", &none).is_err());
    }

    #[test]
    fn a_caution_that_is_none_is_said_and_gives_way_to_the_one_that_was_meant() {
        let ask = |cautions: &str| JointAsk {
            joint: "tank-hose".into(),
            opened_by: "tank-off".into(),
            cautions: cautions.into(),
            holds: vec![Held::parse("gasket", "91-3001", &|_| false).expect("held")],
            ..JointAsk::default()
        };
        let rows = |ask: &JointAsk, sheets: &[TextSheet]| {
            let names = Names::of(sheets, [], ["petrol-vapour".to_owned(), "hot-oil".to_owned()]);
            joint_rows(ask, sheets, &names, &|_| None, &|kind| kind == "gasket")
        };
        let slip = rows(&ask("petrol-vapor"), &[]);
        assert!(
            slip.remarks.iter().any(|said| said.contains("is petrol-vapour meant?")),
            "{:?}",
            slip.remarks
        );
        let text = "operation,opens,cautions\ntank-off,tank-hose,petrol-vapor;hot-oil\n";
        let sheets =
            [TextSheet::read("operations", "operations.csv", text.as_bytes()).expect("a sheet")];
        let again = rows(&ask("petrol-vapour"), &sheets);
        let edit =
            Edit::Set { line: 2, column: "cautions".into(), text: "hot-oil;petrol-vapour".into() };
        assert_eq!(again.sets, [("operations.csv".to_owned(), "operations", edit)]);
        assert_eq!(rows(&ask("HOT-oil"), &sheets).sets, []);
    }

    #[test]
    fn an_operation_that_is_there_opens_the_joint_as_well() {
        let text =
            "operation,name,opens,model\npump-off,Pump off,plate,\npump-off,Pump off,plate,TV10\n";
        let sheets =
            [TextSheet::read("operations", "operations.csv", text.as_bytes()).expect("a sheet")];
        let names = Names::of(&sheets, [], []);
        let ask = JointAsk {
            joint: "pump-cover".into(),
            model: "TV8".into(),
            opened_by: "PUMP-off".into(),
            holds: vec![Held::parse("gasket", "91-3001", &|_| false).expect("held")],
            ..JointAsk::default()
        };
        let bundle = joint_rows(&ask, &sheets, &names, &|_| None, &|kind| kind == "gasket");
        let edit = Edit::Set { line: 2, column: "opens".into(), text: "plate;pump-cover".into() };
        assert_eq!(bundle.sets, [("operations.csv".to_owned(), "operations", edit)]);
        let tables: Vec<_> = bundle
            .rows
            .iter()
            .map(|row| (row.table, row.cell("part").to_owned(), row.cell("reached_by").to_owned()))
            .collect();
        assert_eq!(
            tables,
            [
                ("parts", "91-3001".into(), "".into()),
                ("positions", "91-3001".into(), "pump-off".into())
            ]
        );
        assert_eq!(bundle.remarks, Vec::<String>::new());
    }
}
