//! What people write in cells, brought to the plain form that the tables use: `from 1996` is `1996..`, `12.5.2019` is
//! `2019-05-12`, `4 off` is `4`. What can be meant in two ways, such as `12/5/2019` or `1,200`, has no plain form.
//!
//! The words and habits are common practice, no source.

use rust_decimal::Decimal;

/// Tells that a text says that nobody knows.
pub(crate) fn is_not_known(text: &str) -> bool {
    let text = text.trim().to_lowercase();
    is_dash(&text)
        || text.chars().all(|c| c == '?') && !text.is_empty()
        || ["unknown", "not known", "n/k", "unbekannt"].contains(&&*text)
}

/// Tells that a text is nothing but a dash.
pub(crate) fn is_dash(text: &str) -> bool {
    matches!(text.trim(), "-" | "–" | "—" | "--")
}

/// Gives a number with a point for its decimals; `None` where its marks may be read in two ways, or it is none.
pub(crate) fn number(text: &str) -> Option<String> {
    let text = text.trim();
    let marks: Vec<char> = text.chars().filter(|c| matches!(c, '.' | ',')).collect();
    let spaced = |c: char| matches!(c, ' ' | '\'' | '’' | '\u{a0}' | '\u{202f}');
    let thousands = |text: &str, mark: &dyn Fn(char) -> bool| {
        let mut groups = text.split(mark);
        let first = groups.next().unwrap_or_default();
        let mut rest = groups.peekable();
        (1..=3).contains(&first.len())
            && first.bytes().all(|b| b.is_ascii_digit())
            && rest.peek().is_some()
            && rest.all(|group| group.len() == 3 && group.bytes().all(|b| b.is_ascii_digit()))
    };
    let digits = |text: &str| !text.is_empty() && text.bytes().all(|b| b.is_ascii_digit());
    let together = |whole: &str| whole.chars().filter(char::is_ascii_digit).collect::<String>();
    // The last mark parts the decimals, unless it stands there more than once.
    let last = marks.last().copied();
    let split = last.filter(|last| marks.iter().filter(|mark| *mark == last).count() == 1);
    let (whole, decimals) = match split {
        Some(mark) => text.rsplit_once(mark).map(|(whole, rest)| (whole, Some(rest)))?,
        None => (text, None),
    };
    if decimals.is_some_and(|decimals| !digits(decimals)) {
        return None;
    }
    let other = if split == Some(',') { '.' } else { ',' };
    let is_grouped = thousands(whole, &spaced)
        || thousands(whole, &|c| c == other)
        || (split.is_none() && last.is_some_and(|mark| thousands(whole, &|c| c == mark)));
    if !digits(whole) && !is_grouped {
        return None;
    }
    match (decimals, split) {
        // `1,200` may be either.
        (Some(decimals), Some(','))
            if !is_grouped && decimals.len() == 3 && whole.len() <= 3 && whole != "0" =>
        {
            None
        }
        (Some(decimals), _) => Some(format!("{}.{decimals}", together(whole))),
        (None, _) => Some(together(whole)),
    }
}

/// Gives the plain form of a list of years.
pub(crate) fn years(text: &str, typed: impl Fn(&str) -> Option<String>) -> Option<String> {
    let items = text.split([';', ',']).map(str::trim).filter(|item| !item.is_empty());
    let plain: Option<Vec<String>> =
        items.map(|item| one_of_years(item).or_else(|| in_words(item, &typed))).collect();
    plain.filter(|plain| !plain.is_empty()).map(|plain| plain.join(";"))
}

/// Gives the plain form of a list of serials; `None` where no word stands in it. A word in capitals is a prefix.
pub(crate) fn serials(text: &str, typed: impl Fn(&str) -> Option<String>) -> Option<String> {
    let items = text.split(';').map(str::trim).filter(|item| !item.is_empty());
    let said: Vec<(&str, Option<String>)> = items
        .map(|item| {
            let has_small = item.chars().any(char::is_lowercase);
            (item, if has_small { in_words(item, &typed) } else { typed(item) })
        })
        .collect();
    let any = said.iter().any(|(_, plain)| plain.is_some());
    let plain = said.into_iter().map(|(item, plain)| plain.unwrap_or_else(|| item.to_owned()));
    any.then(|| plain.collect::<Vec<_>>().join(";"))
}

/// German words of limits, put into the English ones.
fn in_words(item: &str, typed: impl Fn(&str) -> Option<String>) -> Option<String> {
    const WORDS: &[(&str, &str)] = &[
        ("ab ", "from "),
        ("seit ", "from "),
        ("von ", "from "),
        ("bis ", "up to "),
        ("vor ", "before "),
        ("nach ", "after "),
    ];
    let lower = item.to_lowercase();
    let english = WORDS.iter().find_map(|(german, english)| {
        lower
            .strip_prefix(german)
            .map(|_| format!("{english}{}", item.get(german.len()..).unwrap_or_default()))
    });
    typed(&english.unwrap_or_else(|| item.to_owned()).replace(" bis ", " to "))
}

fn year(text: &str) -> Option<u16> {
    let is_year =
        text.len() == 4 && text.bytes().all(|b| b.is_ascii_digit()) && !text.starts_with('0');
    text.parse().ok().filter(|_| is_year)
}

fn one_of_years(item: &str) -> Option<String> {
    if let Some(year) = year(item) {
        return Some(year.to_string());
    }
    // A model of the middle of a year belongs to that year.
    if let Some(year) = item.strip_suffix(".5").or_else(|| item.strip_suffix('½')).and_then(year) {
        return Some(year.to_string());
    }
    // `1900s` may be ten years or a hundred.
    let decade = item.strip_suffix("'s").or_else(|| item.strip_suffix('s')).and_then(year);
    if let Some(decade) = decade.filter(|year| year % 10 == 0 && year % 100 != 0) {
        return Some(format!("{decade}..{}", decade + 9));
    }
    let (from, to) = item.split_once(['/', '-', '–'])?;
    let from = year(from.trim())?;
    let to = match to.trim() {
        // `2004-06` may be a month.
        short if short.len() == 2 => {
            let short = short.parse::<u16>().ok().filter(|short| *short > 12)?;
            from / 100 * 100 + short
        }
        long => year(long)?,
    };
    (from < to).then(|| format!("{from}..{to}"))
}

/// Gives the year of a machine that is said in another way, as `1999.5`.
pub(crate) fn one_year(text: &str) -> Option<String> {
    let text = text.trim();
    text.strip_suffix(".5")
        .or_else(|| text.strip_suffix('½'))
        .and_then(year)
        .map(|year| year.to_string())
}

/// Tells that a year is only nearly known: `ca. 1980`, `1980s`, `1996/97`. Taken for one year it would be a guess.
pub(crate) fn is_about(text: &str) -> bool {
    let text = text.trim().to_lowercase();
    let about = ["circa ", "ca. ", "ca ", "c. ", "about ", "around ", "etwa ", "um ", "~"];
    let near =
        about.iter().find_map(|word| text.strip_prefix(word)).or_else(|| text.strip_suffix('?'));
    near.map(str::trim).and_then(year).is_some()
        || one_of_years(&text).is_some_and(|plain| plain.contains(".."))
}

const MONTHS: [&[&str]; 12] = [
    &["jan"],
    &["feb"],
    &["mar", "mär", "maer"],
    &["apr"],
    &["may", "mai"],
    &["jun"],
    &["jul"],
    &["aug"],
    &["sep"],
    &["oct", "okt"],
    &["nov"],
    &["dec", "dez"],
];

fn month(word: &str) -> Option<usize> {
    MONTHS.iter().position(|names| names.iter().any(|name| word.starts_with(name))).map(|at| at + 1)
}

/// Gives a day, or a month where `month_too`, as year-month-day; `None` where day and month may be either.
pub(crate) fn day(text: &str, month_too: bool) -> Option<String> {
    let text = text.trim().to_lowercase();
    let words: Vec<&str> =
        text.split(['.', '/', '-', ' ', ',']).filter(|word| !word.is_empty()).collect();
    let figure = |word: &str| {
        let ordinal = ["st", "nd", "rd", "th"].iter().find_map(|end| word.strip_suffix(end));
        let word = ordinal.unwrap_or(word);
        word.parse::<usize>()
            .ok()
            .filter(|_| word.bytes().all(|b| b.is_ascii_digit()) && word.len() <= 2)
    };
    let whole = |year: u16, month: usize, day: usize| {
        (1..=12).contains(&month).then(|| format!("{year}-{month:02}-{day:02}"))
    };
    let part = |year: u16, month: usize| {
        (month_too && (1..=12).contains(&month)).then(|| format!("{year}-{month:02}"))
    };
    match words[..] {
        [a, b, c] => {
            if let Some(year) = year(a) {
                return whole(year, figure(b).or_else(|| month(b))?, figure(c)?);
            }
            let year = year(c)?;
            if let Some(named) = month(b) {
                return whole(year, named, figure(a)?);
            }
            if let Some(named) = month(a) {
                return whole(year, named, figure(b)?);
            }
            let (a, b) = (figure(a)?, figure(b)?);
            let dotted = text.contains('.') && !text.contains(['/', '-']);
            match (a > 12, b > 12) {
                _ if dotted || a == b => whole(year, b, a),
                (true, false) => whole(year, b, a),
                (false, true) => whole(year, a, b),
                _ => None,
            }
        }
        [a, b] => match (year(a), year(b)) {
            (Some(year), None) => part(year, figure(b).or_else(|| month(b))?),
            (None, Some(year)) => match figure(a).or_else(|| month(a)) {
                Some(month) => part(year, month),
                None => {
                    let seasons = ["spring", "summer", "autumn", "fall", "winter", "early", "late"];
                    (month_too && seasons.contains(&a)).then(|| year.to_string())
                }
            },
            _ => None,
        },
        _ => None,
    }
}

/// Gives an amount of money without its sign.
pub(crate) fn money(text: &str) -> Option<String> {
    let text = text.trim().to_lowercase();
    if ["free", "free of charge", "gratis", "kostenlos"].contains(&&*text) {
        return Some("0".to_owned());
    }
    let signs = ["eur", "euro", "€", "us$", "usd", "$", "£", "gbp", "chf"];
    let bare = signs
        .iter()
        .find_map(|sign| text.strip_prefix(sign).or_else(|| text.strip_suffix(sign)))
        .unwrap_or(&text)
        .trim();
    let round = [",-", ".-", ",–", ".–", ",--"].iter().find_map(|end| bare.strip_suffix(end));
    number(round.unwrap_or(bare))
}

/// Parts the figures in front from what stands behind them.
fn parted(text: &str) -> (&str, &str) {
    let end = text.char_indices().rfind(|(_, c)| c.is_ascii_digit()).map_or(0, |(at, _)| at + 1);
    let (figures, rest) = text.split_at(end);
    (figures.trim(), rest.trim())
}

/// Gives a quantity as a number and a unit.
pub(crate) fn quantity(text: &str) -> Option<String> {
    let text = text.trim().to_lowercase();
    let bare =
        text.strip_prefix("qty").map_or(&*text, |rest| rest.trim_start_matches([':', '.', ' ']));
    let bare = match bare.strip_prefix(['x', '×']) {
        Some(rest) if rest.trim().starts_with(|c: char| c.is_ascii_digit()) => rest.trim(),
        _ => bare,
    };
    let (figures, unit) = parted(bare);
    let times = |by: u32| {
        let figures = if figures.is_empty() { Some("1".to_owned()) } else { number(figures) };
        let amount: Decimal = figures?.parse().ok()?;
        Some(amount.checked_mul(by.into())?.normalize().to_string())
    };
    match unit.trim_end_matches('.') {
        "" | "x" | "×" | "off" | "ea" | "each" | "pc" | "pcs" | "piece" | "pieces" | "stk"
        | "stück" | "st" | "nos" => number(figures),
        "pair" | "pairs" | "paar" | "a pair" => times(2),
        "dozen" | "dutzend" | "a dozen" => times(12),
        unit => Some(format!("{} {unit}", number(figures)?)),
    }
}

/// Gives a plain number of what a column counts: hours, minutes, months, days, packs.
pub(crate) fn counted(column: &str, text: &str) -> Option<String> {
    let text = text.trim().to_lowercase();
    if let Some(number) = number(&text) {
        return Some(number);
    }
    // What is counted in each unit that the column may be said in.
    let hours = ["h", "hr", "hrs", "hour", "hours", "std", "stunde", "stunden"];
    let minutes = ["min", "mins", "minute", "minutes", "minuten", "'"];
    let months = ["month", "months", "mo", "monat", "monate"];
    let years = ["y", "yr", "yrs", "year", "years", "jahr", "jahre"];
    let days = ["d", "day", "days", "tag", "tage"];
    let weeks = ["week", "weeks", "wk", "wks", "woche", "wochen"];
    let packs = ["x", "off", "pack", "packs", "pc", "pcs", "pkg"];
    let units: &[(&[&str], u32)] = match column {
        "hours" | "life_hours" => &[(&hours, 1)],
        "minutes" => &[(&minutes, 1), (&hours, 60)],
        "life_months" => &[(&months, 1), (&years, 12)],
        "days" => &[(&days, 1), (&weeks, 7)],
        "packs" => &[(&packs, 1)],
        _ => return None,
    };
    let one = |text: &str| -> Option<Decimal> {
        let (figures, unit) = parted(text);
        let unit = unit.trim_end_matches('.');
        let (_, by) = units.iter().find(|(names, _)| names.contains(&unit))?;
        number(figures)?.parse::<Decimal>().ok()?.checked_mul((*by).into())
    };
    if let Some(amount) = one(&text) {
        return Some(amount.normalize().to_string());
    }
    if !matches!(column, "minutes" | "days") {
        return None;
    }
    // Of a span the longer time: a plan has to allow for it.
    if let Some((from, to)) = text.split_once(['-', '–']) {
        let (figures, unit) = parted(to);
        let to = if unit.is_empty() { number(figures)?.parse().ok()? } else { one(to.trim())? };
        let from: Decimal = number(parted(from.trim()).0)?.parse().ok()?;
        return (from <= to).then(|| to.normalize().to_string());
    }
    // `1 h 30 min`
    let at = text.find('h')?;
    let behind =
        text.get(at..)?.find(|c: char| c.is_ascii_digit() || c == ' ').map(|more| at + more)?;
    let (first, second) = text.split_at(behind);
    let second = if second.trim().bytes().all(|b| b.is_ascii_digit()) {
        second.trim().parse().ok()?
    } else {
        one(second.trim())?
    };
    Some(one(first.trim())?.checked_add(second)?.normalize().to_string())
}

/// Gives a torque with its stages parted and its decimals after a point.
pub(crate) fn torque(text: &str) -> Option<String> {
    let lower = text.trim().replace(" THEN ", " then ").replace(" Then ", " then ");
    let mut plain = lower.clone();
    for word in [", then ", " and then ", " then ", " followed by ", " dann ", " + "] {
        plain = plain.replace(word, "; ");
    }
    let stages: Option<Vec<String>> = plain
        .split(';')
        .map(|stage| {
            let stage = stage.trim();
            let end = stage
                .find(|c: char| c.is_alphabetic() || matches!(c, '°' | 'º'))
                .unwrap_or(stage.len());
            let (figures, unit) = stage.split_at(end);
            let ends: Option<Vec<String>> =
                figures.trim().trim_start_matches('+').split(['-', '–']).map(number).collect();
            let mut ends = ends?;
            let mut unit = unit.trim().to_owned();
            let folded: String =
                unit.to_lowercase().chars().filter(char::is_ascii_alphabetic).collect();
            // A hundred kilogram-force centimetres are one kilogram-force metre.
            if ["kgcm", "kgfcm", "kpcm", "cmkg", "cmkgf"].contains(&&*folded) {
                unit = "kgf·m".to_owned();
                for end in &mut ends {
                    let amount: Decimal = end.parse().ok()?;
                    *end = (amount / Decimal::ONE_HUNDRED).normalize().to_string();
                }
            }
            let sign = if figures.trim().starts_with('+') { "+" } else { "" };
            Some(format!("{sign}{} {unit}", ends.join("-")))
        })
        .collect();
    stages.map(|stages| stages.join("; ")).filter(|plain| plain != text.trim())
}

/// Tells that a torque is said in words, which stay what they are: no figure is known.
pub(crate) fn is_torque_in_words(text: &str) -> bool {
    let text = text.trim().to_lowercase().replace('-', " ");
    [
        "hand tight",
        "finger tight",
        "snug",
        "snug tight",
        "by hand",
        "by feel",
        "handfest",
        "see manual",
        "see the manual",
        "see book",
        "see handbook",
        "siehe handbuch",
    ]
    .contains(&&*text)
}

/// Gives the word of the tables for another one that people use.
pub(crate) fn word(typed: &str) -> String {
    let typed = typed.trim().to_lowercase().replace(' ', "-");
    let plain = match &*typed {
        "true" | "x" | "1" | "y" | "ja" | "✓" => "yes",
        "false" | "0" | "n" | "nein" => "no",
        "nla" | "obsolete" | "no-longer-available" | "entfallen" | "nicht-mehr-lieferbar" => {
            "discontinued"
        }
        "in-stock" | "lieferbar" => "available",
        "replace" | "replace-always" | "always-renew" | "new" | "ersetzen" | "erneuern" => "renew",
        "check" | "look-at" | "measure" | "prüfen" => "inspect",
        "reuse" | "re-use" | "wiederverwenden" => "keep",
        "does-not-fit" => "no",
        _ => &typed,
    };
    plain.to_owned()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_number_is_read_where_its_marks_have_one_meaning() {
        for (typed, plain) in [
            ("0,35", "0.35"),
            ("12,5", "12.5"),
            ("4,00", "4.00"),
            ("0,125", "0.125"),
            ("1 200", "1200"),
            ("1'200", "1200"),
            ("1,200.50", "1200.50"),
            ("1.200,50", "1200.50"),
            ("1,200,300", "1200300"),
            ("7", "7"),
            ("1234,567", "1234.567"),
        ] {
            assert_eq!(number(typed).as_deref(), Some(plain), "{typed}");
        }
        for typed in ["1,200", "12,345", "", ",", "1,2,3", "1 20", "-4", "4x", "1e3"] {
            assert_eq!(number(typed), None, "{typed}");
        }
    }

    #[test]
    fn a_day_is_read_where_day_and_month_are_told_apart() {
        for (typed, plain) in [
            ("12.5.2019", "2019-05-12"),
            ("2019-5-1", "2019-05-01"),
            ("25/5/2019", "2019-05-25"),
            ("5/25/2019", "2019-05-25"),
            ("5/5/2019", "2019-05-05"),
            ("12 May 2019", "2019-05-12"),
            ("May 12th, 2019", "2019-05-12"),
            ("3. März 2020", "2020-03-03"),
        ] {
            assert_eq!(day(typed, false).as_deref(), Some(plain), "{typed}");
        }
        assert_eq!(day("May 2019", true).as_deref(), Some("2019-05"));
        assert_eq!(day("2019-5", true).as_deref(), Some("2019-05"));
        for typed in ["12/5/2019", "12-5-2019", "12.5.19", "May 2019", "soon"] {
            assert_eq!(day(typed, false), None, "{typed}");
        }
    }
}
