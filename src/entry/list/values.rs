//! Cells as other people write them, made into cells as the tables want them. What can be meant in two ways is doubted.

use crate::entry::put_right::is_gone;
use crate::entry::size_words;
use crate::measure::{DecimalMark, PartNumber, SerialRanges, parse_decimal};
use rust_decimal::Decimal;

/// Tells which mark divides the decimals in a column of a list.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Decimals {
    Point,
    Comma,
    /// No cell tells.
    Unknown,
}

/// Looks through the cells of a column for one that tells which mark divides the decimals.
pub(super) fn decimals<'a>(cells: impl Iterator<Item = &'a str>) -> Decimals {
    let mut found = Decimals::Unknown;
    for cell in cells {
        let number: String =
            cell.chars().filter(|c| c.is_ascii_digit() || matches!(c, '.' | ',')).collect();
        let told = match (number.rfind('.'), number.rfind(',')) {
            (Some(point), Some(comma)) => {
                if point > comma {
                    Decimals::Point
                } else {
                    Decimals::Comma
                }
            }
            (Some(point), None) if number.len() - point != 4 || number.starts_with("0.") => {
                Decimals::Point
            }
            (None, Some(comma)) if number.len() - comma != 4 || number.starts_with("0,") => {
                Decimals::Comma
            }
            _ => continue,
        };
        if found == Decimals::Unknown {
            found = told;
        }
    }
    found
}

/// Makes a plain decimal of a number with thousands marks.
fn number(text: &str, decimals: Decimals) -> Result<Decimal, String> {
    let compact: String =
        text.chars().filter(|c| !c.is_whitespace() && !matches!(c, '\'' | '’' | '_')).collect();
    let doubtful = || format!("`{text}` may be a thousand or a decimal");
    let plain = match (compact.contains('.'), compact.contains(','), decimals) {
        (true, true, _) => {
            let (thousands, mark) =
                if compact.rfind('.') > compact.rfind(',') { (',', '.') } else { ('.', ',') };
            compact.replace(thousands, "").replace(mark, ".")
        }
        (true, false, Decimals::Comma) | (false, true, Decimals::Point) => {
            let mark = if compact.contains('.') { '.' } else { ',' };
            let groups = compact.split(mark).skip(1).all(|group| group.len() == 3);
            if !groups {
                return Err(format!(
                    "`{text}` has another decimal mark than the rest of its column"
                ));
            }
            compact.replace(mark, "")
        }
        (true, false, Decimals::Unknown) | (false, true, Decimals::Unknown) => {
            return Err(doubtful());
        }
        (_, true, Decimals::Comma) => compact.replace(',', "."),
        _ => compact,
    };
    parse_decimal(&plain, DecimalMark::Point).ok_or_else(|| format!("`{text}` is no number"))
}

const CURRENCIES: &[&str] = &[
    "eur", "usd", "gbp", "chf", "sek", "nok", "dkk", "pln", "czk", "cad", "aud", "euro", "€", "$",
    "£", "kr", "kr.", ",-", ".-",
];

fn without_currency(text: &str) -> String {
    let mut text = text.trim().to_lowercase();
    for currency in CURRENCIES {
        if let Some(rest) = text.strip_prefix(currency).or_else(|| text.strip_suffix(currency)) {
            text = rest.trim().to_owned();
        }
    }
    text
}

/// Words that say that there is nothing.
fn is_nothing(text: &str) -> bool {
    matches!(
        text.trim().to_lowercase().as_str(),
        "" | "-" | "--" | "–" | "—" | "n/a" | "na" | "none" | "nil" | "k.a." | "?" | "." | "..."
    )
}

/// Makes a cell of ours out of one of a list; a blank one where it says nothing.
///
/// # Errors
/// What is doubtful about it.
pub(super) fn cell(
    text: &str,
    table: &str,
    column: &str,
    form: &str,
    marks: Decimals,
) -> Result<String, String> {
    // A spreadsheet keeps a number as text with an apostrophe, or as ="0012".
    let text = text.trim();
    let text = text.strip_prefix("=\"").and_then(|rest| rest.strip_suffix('"')).unwrap_or(text);
    let text = text.strip_prefix('\'').unwrap_or(text).trim();
    if is_nothing(text) && !(text == "-" && table != "parts" && form.starts_with("part number, or"))
    {
        return Ok(String::new());
    }
    if form.starts_with("part number") {
        return part(text);
    }
    if form.starts_with("quantity") {
        return quantity(text, marks);
    }
    if form.starts_with("amount of money") {
        let plain = without_currency(text);
        if !plain.contains(|c: char| c.is_ascii_digit()) {
            return Err(format!("`{text}` is no price"));
        }
        let amount =
            number(&plain, if plain.contains(['.', ',']) { marks } else { Decimals::Point })?;
        return Ok(crate::measure::plain(amount));
    }
    if (table, column) == ("parts", "size") {
        return size(text);
    }
    match (column, form) {
        ("years", _) | (_, "year") => years(text),
        ("serials", _) => Ok(serials(text)),
        ("status", _) => {
            let lower = text.to_lowercase();
            let here = ["available", "in stock", "lieferbar", "active", "ok", "disponible", "yes"];
            if is_gone(&lower) {
                Ok("discontinued".to_owned())
            } else if here.iter().any(|word| lower.contains(word)) {
                Ok("available".to_owned())
            } else {
                Err(format!("`{text}` is neither available nor discontinued"))
            }
        }
        ("unit", _) => Ok(unit(text).to_owned()),
        (_, "yes or no") => match text.to_lowercase().as_str() {
            "yes" | "y" | "ja" | "oui" | "x" | "1" | "true" => Ok("yes".to_owned()),
            "no" | "n" | "nein" | "non" | "0" | "false" => Ok("no".to_owned()),
            _ => Err(format!("`{text}` is neither yes nor no")),
        },
        (_, form) if form.starts_with("date") => date(text),
        (_, "number, zero or more") => {
            number(text, if text.contains(['.', ',']) { marks } else { Decimals::Point })
                .map(crate::measure::plain)
        }
        _ => Ok(text.split_whitespace().collect::<Vec<_>>().join(" ")),
    }
}

fn part(text: &str) -> Result<String, String> {
    if matches!(text, "-" | "–" | "—") {
        return Ok("-".to_owned());
    }
    // 9.12044E+11: the digits that a spreadsheet dropped are gone.
    let folded = text.to_uppercase();
    if let Some((front, exponent)) = folded.split_once("E+") {
        let digits = |text: &str| {
            !text.is_empty() && text.chars().all(|c| c.is_ascii_digit() || matches!(c, '.' | ','))
        };
        if digits(front) && digits(exponent) {
            return Err(format!(
                "`{text}` is a number that a spreadsheet has rounded; look it up again"
            ));
        }
    }
    if text.contains(' ') && !text.contains(|c: char| c.is_numeric()) {
        return Err(format!("`{text}` are words, and no part number"));
    }
    match PartNumber::new(text).filter(|number| number.folded().chars().any(char::is_alphanumeric))
    {
        Some(_) => Ok(text.split_whitespace().collect::<Vec<_>>().join(" ")),
        None => Err(format!("`{text}` is no part number")),
    }
}

/// A size as we write it: `50,5×2,62` is 50.5x2.62. What is no size that is known is kept as it is.
fn size(text: &str) -> Result<String, String> {
    let plain = text
        .split_whitespace()
        .collect::<Vec<_>>()
        .join(" ")
        .replace(['×', '✕'], "x")
        .replace(['ø', '⌀'], "Ø");
    let found = size_words::find(&plain);
    match found.as_slice() {
        [only] if only.span == (0..plain.len()) => match &only.doubt {
            Some(doubt) => Err(doubt.clone()),
            None => Ok(size_words::shown(&only.what)),
        },
        _ if plain.contains(',') => Err(format!("`{text}` is no size that can be read")),
        _ => Ok(plain),
    }
}

/// The names that lists give to pieces.
fn unit(text: &str) -> &str {
    match text.trim().trim_end_matches('.').to_lowercase().as_str() {
        "" | "x" | "off" | "pc" | "pcs" | "pce" | "piece" | "pieces" | "ea" | "each" | "st"
        | "stk" | "stck" | "stück" | "no" | "nos" | "pz" | "pièce" | "pièces" | "pcs/set"
        | "unit" | "units" => "each",
        "ltr" | "lt" | "liter" | "litre" => "L",
        "gr" => "g",
        _ => text.trim(),
    }
}

fn quantity(text: &str, marks: Decimals) -> Result<String, String> {
    if text.eq_ignore_ascii_case("set") {
        return Ok("set".to_owned());
    }
    let text = text.trim_start_matches(['x', 'X', '×', ' ']);
    let end = text
        .find(|c: char| !c.is_ascii_digit() && !matches!(c, '.' | ',' | ' ' | '\''))
        .unwrap_or(text.len());
    let (figures, rest) = text.split_at(end);
    let figures = figures.trim();
    if figures.is_empty() {
        return Err(format!("`{text}` is no quantity"));
    }
    // `1,000` pieces and `2.00` pieces are whole; `0,35` tells its mark.
    let whole = |mark: char| {
        figures
            .split_once(mark)
            .filter(|(_, zeros)| {
                !zeros.is_empty() && zeros.len() < 3 && zeros.chars().all(|c| c == '0')
            })
            .map(|(whole, _)| whole)
    };
    let amount = match whole('.').or_else(|| whole(',')) {
        Some(whole) => number(whole, Decimals::Point)?,
        None => {
            number(figures, if figures.contains(['.', ',']) { marks } else { Decimals::Point })?
        }
    };
    let amount = crate::measure::plain(amount);
    Ok(match unit(rest) {
        "each" => amount,
        unit => format!("{amount} {unit}"),
    })
}

fn years(text: &str) -> Result<String, String> {
    let lower = text.to_lowercase().replace(['–', '—', '→', '>'], "-");
    let lower = lower.replace("--", "-");
    let plain = |text: &str| text.split_whitespace().collect::<String>();
    let year = |text: &str| {
        text.len() == 4
            && text.chars().all(|c| c.is_ascii_digit())
            && (text.starts_with("19") || text.starts_with("20"))
    };
    for (word, front) in [
        ("from ", true),
        ("since ", true),
        ("ab ", true),
        ("à partir de ", true),
        ("up to ", false),
        ("to ", false),
        ("until ", false),
        ("before ", false),
        ("bis ", false),
    ] {
        if let Some(rest) = lower.strip_prefix(word).map(plain).filter(|rest| year(rest)) {
            return match (front, word) {
                (true, _) => Ok(format!("{rest}..")),
                (false, "before ") => Err(format!("`{text}`: with or without that year?")),
                (false, _) => Ok(format!("..{rest}")),
            };
        }
    }
    for word in [" on", " onwards", " onward", " and later", " and up", "+", " ff"] {
        if let Some(rest) = lower.strip_suffix(word).map(plain).filter(|rest| year(rest)) {
            return Ok(format!("{rest}-"));
        }
    }
    let compact = plain(
        &lower.replace(" to ", "-").replace(" bis ", "-").replace('/', "-").replace(',', ";"),
    );
    let good = compact.split(';').all(|range| {
        let ends: Vec<&str> = range.split('-').collect();
        ends.len() <= 2
            && ends.iter().any(|end| year(end))
            && ends.iter().all(|end| end.is_empty() || year(end))
    });
    if good {
        Ok(compact)
    } else {
        Err(format!("`{text}` cannot be read as years, such as 1996-1998"))
    }
}

/// Serials with the words for a range put into signs: `from 30000` is `30000-`.
fn serials(text: &str) -> String {
    let items = text.split(';').map(|item| {
        SerialRanges::typed_form(item)
            .unwrap_or_else(|| item.split_whitespace().collect::<Vec<_>>().join(" "))
    });
    items.collect::<Vec<_>>().join("; ")
}

fn date(text: &str) -> Result<String, String> {
    let pieces: Vec<&str> = text.split(['.', '/', '-']).collect();
    let digits = |text: &str| !text.is_empty() && text.chars().all(|c| c.is_ascii_digit());
    match pieces.as_slice() {
        [year, ..] if year.len() == 4 && pieces.iter().all(|piece| digits(piece)) => {
            Ok(pieces.iter().map(|piece| format!("{piece:0>2}")).collect::<Vec<_>>().join("-"))
        }
        [day, month, year] if year.len() == 4 && pieces.iter().all(|piece| digits(piece)) => {
            let (day, month) = (day.parse::<u8>().unwrap_or(0), month.parse::<u8>().unwrap_or(0));
            if text.contains('.') || day > 12 || day == month {
                Ok(format!("{year}-{month:02}-{day:02}"))
            } else if month > 12 {
                Ok(format!("{year}-{day:02}-{month:02}"))
            } else {
                Err(format!("`{text}`: which of the two is the month?"))
            }
        }
        _ => Err(format!("`{text}` is no date, such as 2026-03-01")),
    }
}

pub(super) fn looks_like_number(cell: &str) -> bool {
    let digits = cell.chars().filter(char::is_ascii_digit).count();
    let letters = cell.chars().filter(|c| c.is_alphabetic()).count();
    digits >= 3
        && letters <= 6
        && cell.split_whitespace().count() <= 3
        && cell.chars().all(|c| c.is_alphanumeric() || matches!(c, '-' | '.' | '/' | ' ' | '_'))
        && !looks_like_years(cell)
        && !price_like(cell)
}

fn price_like(cell: &str) -> bool {
    let plain = without_currency(cell);
    let mut halves = plain.rsplitn(2, ['.', ',']);
    let decimals = halves.next().unwrap_or_default();
    halves.next().is_some_and(|whole| {
        !whole.is_empty()
            && whole.chars().all(|c| c.is_ascii_digit() || matches!(c, '.' | ',' | '\'' | ' '))
    }) && decimals.len() == 2
        && decimals.chars().all(|c| c.is_ascii_digit())
}

pub(super) fn looks_like_money(cell: &str) -> bool {
    price_like(cell)
        || (without_currency(cell) != cell.trim().to_lowercase()
            && cell.contains(|c: char| c.is_ascii_digit()))
}

pub(super) fn looks_like_quantity(cell: &str) -> bool {
    let end =
        cell.find(|c: char| !c.is_ascii_digit() && !matches!(c, '.' | ',')).unwrap_or(cell.len());
    let (figures, rest) = cell.split_at(end);
    (1..=6).contains(&figures.len())
        && rest.trim().chars().count() <= 6
        && !rest.contains(|c: char| c.is_ascii_digit())
}

pub(super) fn looks_like_years(cell: &str) -> bool {
    years(cell).is_ok()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn numbers_follow_the_mark_of_their_column() {
        let plain = |text: &str, marks| number(text, marks).map(crate::measure::plain);
        assert_eq!(decimals(["1.234,50", "3"].into_iter()), Decimals::Comma);
        assert_eq!(decimals(["1,234.50"].into_iter()), Decimals::Point);
        assert_eq!(decimals(["1,250", "7"].into_iter()), Decimals::Unknown);
        assert_eq!(plain("1.234,50", Decimals::Unknown), Ok("1234.5".into()));
        assert_eq!(plain("1 234,50", Decimals::Comma), Ok("1234.5".into()));
        assert_eq!(plain("1,250", Decimals::Point), Ok("1250".into()));
        assert!(plain("1,250", Decimals::Unknown).is_err());
    }

    #[test]
    fn what_other_people_write_is_made_plain() {
        let money = |text| cell(text, "offers", "price", "amount of money", Decimals::Comma);
        assert_eq!(money("€ 3,20"), Ok("3.2".into()));
        assert_eq!(money("12,- EUR"), Ok("12".into()));
        assert!(money("on request").is_err());
        let quantity = |text| cell(text, "stock", "quantity", "quantity", Decimals::Comma);
        assert_eq!(quantity("4 Stk."), Ok("4".into()));
        assert_eq!(quantity("0,35 l"), Ok("0.35 l".into()));
        assert_eq!(quantity("2.00"), Ok("2".into()));
        let years = |text| cell(text, "positions", "years", "", Decimals::Unknown);
        assert_eq!(years("from 1999"), Ok("1999..".into()));
        assert_eq!(years("1996–1998"), Ok("1996-1998".into()));
        assert_eq!(years("up to 1998"), Ok("..1998".into()));
        assert!(years("96-98").is_err());
        let number = |text| cell(text, "parts", "part", "part number", Decimals::Unknown);
        assert_eq!(number("=\"0012-3\""), Ok("0012-3".into()));
        assert!(number("9.12044E+11").is_err());
        assert_eq!(
            cell("03.04.2026", "offers", "as_of", "date, year-month-day", Decimals::Unknown),
            Ok("2026-04-03".into())
        );
        assert!(
            cell("03/04/2026", "offers", "as_of", "date, year-month-day", Decimals::Unknown)
                .is_err()
        );
    }
}
