//! Which column of a list is which of ours: by its name, and by what stands in it.

use super::line::ListLine;
use super::values::{looks_like_money, looks_like_number, looks_like_quantity, looks_like_years};
use crate::catalog::Table;

/// Names that lists give to what we call by the name in front. Source: common practice, no source.
const NAMES: &[(&str, &[&str])] = &[
    (
        "part",
        &[
            "part number",
            "part no",
            "part nr",
            "partno",
            "part #",
            "p/n",
            "pn",
            "number",
            "article number",
            "article no",
            "article",
            "item number",
            "item no",
            "item code",
            "art nr",
            "art no",
            "artikelnummer",
            "artikel nr",
            "artikel-nr",
            "artnr",
            "teilenummer",
            "teile nr",
            "teile-nr",
            "ersatzteilnummer",
            "bestellnummer",
            "bestell nr",
            "best nr",
            "sachnummer",
            "référence",
            "reference",
            "réf",
            "ref",
            "no de pièce",
            "numéro de pièce",
            "código",
            "codigo",
            "codice",
            "code",
            "sku",
            "oem",
            "oem number",
            "oem no",
            "material number",
            "catalogue number",
            "catalog number",
            "cat no",
            "no",
            "nr",
            "onderdeelnummer",
            "artikelnr",
            "reservdelsnr",
            "delenummer",
        ],
    ),
    (
        "name",
        &[
            "description",
            "designation",
            "désignation",
            "bezeichnung",
            "benennung",
            "beschreibung",
            "part name",
            "part description",
            "item description",
            "text",
            "denomination",
            "dénomination",
            "descripción",
            "descripcion",
            "descrizione",
            "omschrijving",
            "benämning",
            "beskrivelse",
            "item",
            "artikel",
            "libellé",
        ],
    ),
    (
        "quantity",
        &[
            "qty",
            "q'ty",
            "qnty",
            "quantity",
            "menge",
            "anzahl",
            "stück",
            "stk",
            "pcs",
            "pieces",
            "amount",
            "quantité",
            "qté",
            "qte",
            "cantidad",
            "quantità",
            "aantal",
            "antal",
            "no off",
            "off",
            "req'd",
            "required",
            "qty req'd",
            "on hand",
            "in stock",
            "bestand",
            "count",
        ],
    ),
    (
        "price",
        &[
            "price",
            "unit price",
            "price each",
            "each",
            "list price",
            "net price",
            "preis",
            "einzelpreis",
            "e-preis",
            "ep",
            "stückpreis",
            "vk",
            "prix",
            "prix unitaire",
            "p.u.",
            "precio",
            "prezzo",
            "prijs",
            "pris",
            "cost",
            "rate",
        ],
    ),
    (
        "size",
        &[
            "size",
            "dimensions",
            "dimension",
            "dim",
            "dims",
            "abmessung",
            "abmessungen",
            "größe",
            "grösse",
            "maße",
            "taille",
            "medida",
            "misura",
            "maat",
            "spec",
        ],
    ),
    ("material", &["material", "werkstoff", "matière", "matiere", "materiale", "materiaal"]),
    ("type", &["type", "kind", "category", "typ", "part type", "class", "teileart"]),
    (
        "maker",
        &[
            "maker",
            "make",
            "manufacturer",
            "mfr",
            "brand",
            "hersteller",
            "marke",
            "fabricant",
            "marque",
            "fabbricante",
            "fabrikant",
        ],
    ),
    ("unit", &["unit", "uom", "u/m", "einheit", "unité", "me", "unidad", "eenheid"]),
    ("status", &["status", "availability", "state", "verfügbarkeit", "disponibilité"]),
    (
        "note",
        &[
            "note",
            "notes",
            "remark",
            "remarks",
            "comment",
            "comments",
            "bemerkung",
            "hinweis",
            "anmerkung",
            "remarque",
            "nota",
            "opmerking",
        ],
    ),
    ("source", &["source", "quelle"]),
    (
        "figure",
        &[
            "figure",
            "fig",
            "fig no",
            "ref",
            "ref no",
            "reference no",
            "item",
            "item no",
            "pos",
            "pos nr",
            "position no",
            "key no",
            "key",
            "index",
            "bild",
            "callout",
            "no",
            "nr",
            "line",
            "#",
        ],
    ),
    (
        "years",
        &[
            "years",
            "year",
            "model year",
            "model years",
            "my",
            "year range",
            "baujahr",
            "jahr",
            "bj",
            "année",
            "années",
            "año",
            "anno",
            "bouwjaar",
        ],
    ),
    (
        "serials",
        &[
            "serials",
            "serial",
            "serial no",
            "serial number",
            "serial range",
            "s/n",
            "frame no",
            "fahrgestellnummer",
        ],
    ),
    (
        "model",
        &["model", "models", "modell", "modèle", "applies to", "application", "machine type"],
    ),
    ("assembly", &["assembly", "group", "section", "baugruppe", "gruppe", "groupe"]),
    ("torque", &["torque", "drehmoment", "anzugsmoment", "couple"]),
    (
        "bin",
        &[
            "bin",
            "location",
            "shelf",
            "box",
            "drawer",
            "place",
            "lagerort",
            "lagerplatz",
            "fach",
            "emplacement",
            "stored at",
        ],
    ),
    (
        "supplier",
        &["supplier", "vendor", "shop", "lieferant", "fournisseur", "proveedor", "leverancier"],
    ),
    (
        "supplier_number",
        &[
            "supplier number",
            "supplier no",
            "supplier code",
            "supplier ref",
            "vendor code",
            "vendor number",
            "vendor no",
            "order code",
            "order no",
            "order number",
            "our number",
            "bestellnummer",
            "best nr",
            "sku",
            "shop number",
        ],
    ),
    (
        "pack",
        &[
            "pack",
            "pack size",
            "pack qty",
            "packing",
            "per pack",
            "ve",
            "vpe",
            "verpackungseinheit",
            "conditionnement",
            "packed",
        ],
    ),
    ("as_of", &["as of", "date", "price date", "valid from", "stand", "datum"]),
    (
        "old",
        &[
            "old",
            "old number",
            "old part number",
            "old part no",
            "old no",
            "previous",
            "superseded",
            "superseded number",
            "alt",
            "alte nummer",
            "ancien",
            "was",
        ],
    ),
    (
        "new",
        &[
            "new",
            "new number",
            "new part number",
            "new part no",
            "new no",
            "replaced by",
            "superseded by",
            "replacement",
            "neu",
            "neue nummer",
            "nouveau",
            "now",
        ],
    ),
    ("other", &["other", "other number", "equivalent", "cross reference", "interchange", "also"]),
    ("since", &["since", "date", "from"]),
    ("position", &["position", "where", "place", "location"]),
    ("joint", &["joint"]),
    ("hours", &["hours", "engine hours", "hrs", "stunden"]),
    ("currency", &["currency", "währung", "devise"]),
];

/// A column of a list, and which of ours it is.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Column {
    /// What the list calls it; `column 3` where the list has no header line.
    pub theirs: String,
    /// Our column; `None` where it has no place in the table.
    pub ours: Option<&'static str>,
}

/// What was made out of a list.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Guess {
    /// Where the header line stands among the lines; `None` where there is none.
    pub header: Option<usize>,
    /// The columns, in the list's order.
    pub columns: Vec<Column>,
}

/// Folds a header cell: case, dots, colons and what stands in brackets say nothing.
pub(super) fn folded(cell: &str) -> String {
    let outside = cell.split(['(', '[', '{']).next().unwrap_or_default();
    let outside = if outside.trim().is_empty() { cell } else { outside };
    let plain: String = outside
        .to_lowercase()
        .chars()
        .map(|c| if matches!(c, '.' | ':' | '_' | '*' | '\u{a0}' | '"') { ' ' } else { c })
        .collect();
    let plain = plain.split_whitespace().collect::<Vec<_>>().join(" ");
    // `Price EUR` is a price.
    let currencies = ["eur", "usd", "gbp", "chf", "sek", "nok", "dkk", "pln", "€", "$", "£"];
    match plain.rsplit_once(' ') {
        Some((front, last)) if currencies.contains(&last) => front.to_owned(),
        _ => plain,
    }
}

/// How surely a header cell names one of our columns: 100 by our own name, less down its list of other names, 0 not at
/// all.
fn by_name(cell: &str, column: &str) -> i32 {
    let cell = folded(cell);
    let own = column.replace('_', " ");
    if cell.is_empty() {
        return 0;
    }
    if cell == own {
        return 100;
    }
    let names = NAMES.iter().find(|(name, _)| *name == column).map_or(&[][..], |(_, names)| *names);
    let exact = names.iter().position(|name| *name == cell);
    if let Some(place) = exact {
        return 90 - i32::try_from(place).unwrap_or(40).min(40) / 2;
    }
    let inside = |name: &str| {
        name.len() > 3
            && cell.split(' ').collect::<Vec<_>>().join(" ").contains(name)
            && cell.len() <= name.len() + 14
    };
    if names.iter().any(|name| inside(name)) || (own.len() > 3 && inside(&own)) { 55 } else { 0 }
}

/// Counts the cells of a line that are names of columns.
pub(super) fn header_words(cells: &[String]) -> usize {
    let named = |cell: &str| NAMES.iter().any(|(column, _)| by_name(cell, column) >= 70);
    let digits = cells.iter().any(|cell| cell.chars().filter(char::is_ascii_digit).count() > 2);
    if digits { 0 } else { cells.iter().filter(|cell| named(cell)).count() }
}

/// Makes out the header line and the columns of a list for a table.
pub fn guess(lines: &[ListLine], table: &Table) -> Guess {
    let header = find_header(lines, table);
    let width = lines.iter().map(|line| line.cells.len()).max().unwrap_or(0);
    let names: Vec<String> = (0..width)
        .map(|index| {
            let named = header
                .and_then(|at| lines.get(at))
                .and_then(|line| line.cells.get(index))
                .filter(|cell| !cell.is_empty());
            named.map_or_else(|| format!("column {}", index + 1), Clone::clone)
        })
        .collect();
    let body = lines.get(header.map_or(0, |at| at + 1)..).unwrap_or_default();
    let samples: Vec<Vec<&str>> = (0..width)
        .map(|index| {
            let cells = body.iter().filter_map(|line| line.cells.get(index)).map(String::as_str);
            cells.filter(|cell| !cell.is_empty()).take(200).collect()
        })
        .collect();
    let mut scores = Vec::new();
    for (index, name) in names.iter().enumerate() {
        for column in &table.columns {
            let named = if header.is_some() { by_name(name, column.name) } else { 0 };
            let score = named
                + by_contents(
                    samples.get(index).map_or(&[], Vec::as_slice),
                    column.name,
                    named > 0,
                );
            if score >= 40 {
                scores.push((score, index, column.name));
            }
        }
    }
    // Equal scores go to the left.
    scores.sort_by(|a, b| b.0.cmp(&a.0).then(a.1.cmp(&b.1)));
    let mut ours: Vec<Option<&'static str>> = vec![None; width];
    for (_, index, column) in scores {
        let taken = ours.contains(&Some(column));
        if let Some(slot) = ours.get_mut(index).filter(|slot| slot.is_none() && !taken) {
            *slot = Some(column);
        }
    }
    Guess {
        header,
        columns: names
            .into_iter()
            .zip(ours)
            .map(|(theirs, ours)| Column { theirs, ours })
            .collect(),
    }
}

/// The header is the first of the first lines that has the most names of columns, at least two, or one of two cells.
fn find_header(lines: &[ListLine], table: &Table) -> Option<usize> {
    let own = |cells: &[String]| {
        let of_table = cells
            .iter()
            .filter(|cell| table.columns.iter().any(|column| by_name(cell, column.name) >= 70))
            .count();
        (header_words(cells), of_table)
    };
    let mut best: Option<((usize, usize), usize)> = None;
    for (at, line) in lines.iter().enumerate().take(30) {
        let (words, of_table) = own(&line.cells);
        let filled = line.cells.iter().filter(|cell| !cell.is_empty()).count();
        if of_table == 0 || words < 2 && filled > 2 || words == 0 {
            continue;
        }
        if best.is_none_or(|(most, _)| (words, of_table) > most) {
            best = Some(((words, of_table), at));
        }
    }
    best.map(|(_, at)| at).or_else(|| first_without_digits(lines))
}

/// A header of words that nobody knows: the first full line, without a digit, above lines that have some.
fn first_without_digits(lines: &[ListLine]) -> Option<usize> {
    let digits =
        |line: &ListLine| line.cells.iter().any(|cell| cell.chars().any(|c| c.is_ascii_digit()));
    let first = lines.first()?;
    let below = lines.get(1..).unwrap_or_default();
    let full = first.cells.len() > 1
        && first.cells.iter().all(|cell| !cell.is_empty() && cell.chars().count() <= 30);
    let told = below.iter().filter(|line| digits(line)).count() * 2 > below.len();
    (full && told && !digits(first) && !below.is_empty()).then_some(0)
}

/// What the cells of a column say for or against it being one of ours.
fn by_contents(cells: &[&str], column: &str, named: bool) -> i32 {
    if cells.is_empty() {
        return 0;
    }
    let share = |test: &dyn Fn(&str) -> bool| {
        let hits = cells.iter().filter(|cell| test(cell)).count();
        i32::try_from(hits * 100 / cells.len()).unwrap_or(0)
    };
    let counting = share(&|cell| cell.len() <= 3 && cell.chars().all(|c| c.is_ascii_digit()));
    let numbers = share(&looks_like_number);
    let words = share(&|cell| {
        cell.chars().filter(|c| c.is_alphabetic()).count() >= 4 && !looks_like_number(cell)
    });
    let verdict = |hits: i32, alone: i32| {
        if hits >= 60 {
            alone
        } else if hits < 25 && named {
            -30
        } else {
            0
        }
    };
    match column {
        "part" if counting >= 70 => -60,
        "part" => verdict(numbers, 60),
        "old" | "new" | "other" | "contains" => verdict(numbers, 0),
        "figure" if numbers >= 60 && counting < 50 => -60,
        "figure" => verdict(counting, 0),
        "name" => verdict(words, 45),
        "price" => verdict(share(&looks_like_money), if named { 10 } else { 42 }),
        "quantity" | "pack" => {
            verdict(share(&looks_like_quantity), if column == "pack" { 0 } else { 30 })
        }
        "years" => verdict(share(&looks_like_years), 42),
        _ => 0,
    }
}

#[cfg(test)]
mod tests {
    use super::super::cells::divide;
    use super::*;
    use crate::tables::definition;

    fn ours(text: &str, table: &str) -> Vec<Option<&'static str>> {
        let lines: Vec<ListLine> =
            divide(text).lines.into_iter().filter(|line| !line.is_blank()).collect();
        guess(&lines, definition(table).expect("a table"))
            .columns
            .into_iter()
            .map(|column| column.ours)
            .collect()
    }

    #[test]
    fn columns_are_known_by_their_names_in_several_languages() {
        assert_eq!(
            ours("Part No.,Description,Qty\n91-2044,Ring,2\n", "parts"),
            [Some("part"), Some("name"), None]
        );
        assert_eq!(
            ours("Teilenummer;Benennung;Hersteller\n91-2044;Ring;X\n", "parts"),
            [Some("part"), Some("name"), Some("maker")]
        );
        assert_eq!(
            ours("Pos;Artikelnr;Bezeichnung;Menge\n1;91-2044;Ring;2\n", "positions"),
            [Some("figure"), Some("part"), Some("name"), Some("quantity")]
        );
        assert_eq!(
            ours("Réf;Désignation;Prix EUR\n91-2044;Joint;2,40\n", "offers"),
            [Some("part"), None, Some("price")]
        );
    }

    #[test]
    fn without_a_header_the_contents_tell() {
        let text = "91-2044;O-ring pump cover;2,40\n91-2045;Screw of the cover;0,80\n";
        assert_eq!(ours(text, "offers"), [Some("part"), None, Some("price")]);
        assert_eq!(ours(text, "parts"), [Some("part"), Some("name"), None]);
    }

    #[test]
    fn a_reference_is_a_figure_or_a_number_by_what_stands_in_it() {
        assert_eq!(
            ours("Ref,Part,Description\n1,91-2044,Ring seal\n2,91-2045,Bolt long\n", "positions")
                [..2],
            [Some("figure"), Some("part")]
        );
        assert_eq!(
            ours("Ref,Description,Qty\n91-2044,Ring seal,2\n91-2045,Bolt long,1\n", "positions")[0],
            Some("part")
        );
    }
}
