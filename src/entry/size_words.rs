//! Sizes within free text: what looks like one, how it is written into the table, and what is doubtful about it.

use super::pattern::{Pattern, pattern};
use super::vocabulary::Kind;
use crate::measure::{DecimalMark, Size, ThreadedSize, parse_decimal, plain};
use rust_decimal::Decimal;
use std::ops::Range;
use std::sync::LazyLock;

/// Something in a text that may be a size.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct FoundSize {
    pub span: Range<usize>,
    pub what: Shape,
    /// What is doubtful about the writing itself, whatever the part.
    pub doubt: Option<String>,
}

/// The shapes in which sizes are written.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) enum Shape {
    /// One or more figures: `24x3`, `Ø17`, `1/2" x 7/8" x 1/16"`.
    Figures(Vec<Figure>),
    /// A metric thread with what follows it.
    Thread(String),
    /// A thread in inches or a pipe thread, as its text.
    OtherThread(String),
    /// The number of an O-ring size.
    Dash(String),
    /// A bare number, which may be anything.
    Bare(Figure),
}

/// One figure of a size.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Figure {
    /// As it is written into the table.
    pub shown: String,
    /// What it amounts to, in mm.
    pub mm: Decimal,
    /// It is in inches.
    pub inch: bool,
}

macro_rules! figure {
    () => {
        r"(?:Ø\s?)?(?:\d+[ -]\d{1,2}/\d{1,2}|\d{1,2}/\d{1,2}|\d+(?:[.,]\d+)?|[.,]\d+)(?:\s?(?:(?i:mm|cm|inch(?:es)?|in)\b\.?|m\b|''|\x22))?(?:\s?(?:±|\+/-)\s?[\d.,]+|[a-wyzA-WYZ]{1,2}\d{1,2}\b|\s(?:[fghjkmnp]|js|H|P)\d{1,2}\b)?"
    };
}

static MANY: Pattern =
    LazyLock::new(|| pattern(concat!(figure!(), r"(?:\s*[xX*]\s*", figure!(), r"){1,3}")));
static ONE: Pattern = LazyLock::new(|| pattern(figure!()));
static THREAD: Pattern = LazyLock::new(|| {
    pattern(
        r"\b[Mm]\d+(?:[.,]\d+)?(?:\s?(?i:mm)\b)?(?:-\d+(?:[.,]\d+)?)?(?:\s*[xX*]\s*\d+(?:[.,]\d+)?(?:\s?(?i:mm)\b)?){0,3}",
    )
});
static INCH_THREAD: Pattern = LazyLock::new(|| {
    pattern(
        r"(#?\d{1,2}(?:/\d{1,2})?)\x22?\s?-\s?(\d{1,2})\s*(UNC|UNF|UNEF|UNS|BSW|BSF|unc|unf)?\b(?:\s*[xX]\s*((?:\d+[ -])?\d+/\d+|\d+(?:\.\d+)?)\s*(?:in\b\.?|inch\b|\x22)?)?",
    )
});
static PIPE_THREAD: Pattern = LazyLock::new(|| {
    pattern(
        r"\b(?:(?:G|R|Rp|Rc)\s?(?:\d\s)?\d{1,2}/\d{1,2}(?:\s?[AB]\b)?|(?:\d[ -])?\d{1,2}(?:/\d{1,2})?\x22?\s?(?:BSPP|BSPT|BSP|NPTF|NPT|NPSM|NPS)\b)",
    )
});
static DASH: Pattern = LazyLock::new(|| {
    pattern(
        r"(?:\bAS[ -]?568[A-Ca-c]?[ -]*(\d{3})\b|\b[Dd]ash[ -]?(\d{3})\b|(?:^|\s)-(\d{3})(?:\s|$))",
    )
});
static TRIPLE: Pattern = LazyLock::new(|| {
    pattern(r"\b(\d{1,3}(?:\.\d+)?)([-/])(\d{1,3}(?:\.\d+)?)([-/])(\d{1,2}(?:\.\d+)?)\b")
});
static MEASURED_OUT: Pattern = LazyLock::new(|| {
    pattern(
        r"(?i)^\s?(?:lit(?:re|er)s?|ltr|ml|cl|cc|kg|g|grams?|fl\.? ?oz|oz|pints?|gallons?)\b|^\s?[lL](?:[\s,;.)]|$)",
    )
});
static RANGE: Pattern =
    LazyLock::new(|| pattern(r"\b(\d{1,3}(?:[.,]\d+)?)\s?-\s?(\d{1,3}(?:[.,]\d+)?)\s?mm\b"));

/// Finds what only a hose clip makes a size of: `25-40` and `20/32`, the least and the most that it goes round.
pub(super) fn find_span_of_clip(text: &str) -> Option<FoundSize> {
    static PAIR: Pattern = LazyLock::new(|| {
        pattern(r"\b(\d{1,3}(?:[.,]\d+)?)\s?[-/]\s?(\d{1,3}(?:[.,]\d+)?)(?:\s?mm)?\b")
    });
    PAIR.captures_iter(text).find_map(|hit| {
        let span = hit.get(0)?.range();
        let read: Vec<Figure> =
            [1, 2].iter().filter_map(|group| Some(figure(hit.get(*group)?.as_str())?.0)).collect();
        let [least, most] = read.as_slice() else { return None };
        let wide = Decimal::from(6) < most.mm
            && least.mm < most.mm
            && most.mm < least.mm.saturating_mul(3.into());
        (wide && stands_alone(text, &span)).then_some(FoundSize {
            span,
            what: Shape::Figures(read),
            doubt: None,
        })
    })
}

/// Finds the size that a letter announces, such as `J52` and `S-54` of a circlip; elsewhere it is doubtful. The letters of
/// circlips, S or A for a shaft and J for a bore: from memory, DIN 471 and DIN 472.
pub(super) fn find_lettered(text: &str, kind: &Kind) -> Option<FoundSize> {
    static LETTERED: Pattern =
        LazyLock::new(|| pattern(r"(?:^|[\s,;(])(([ADJS])-?(\d{1,3}))(?:[\s,;)]|$)"));
    let hit = LETTERED.captures(text)?;
    let (span, letter) = (hit.get(1)?.range(), hit.get(2)?.as_str());
    let (read, _) = figure(hit.get(3)?.as_str())?;
    let told =
        matches!((kind.name.as_str(), letter), ("circlip", "S" | "A") | ("internal circlip", "J"));
    let doubt =
        (!told).then(|| format!("`{}` may be a size", hit.get(1).map_or("", |hit| hit.as_str())));
    Some(FoundSize { span, what: Shape::Figures(vec![read]), doubt })
}

/// Finds everything in a text that may be a size; where two overlap, the one that says more.
pub(super) fn find(text: &str) -> Vec<FoundSize> {
    let mut found: Vec<FoundSize> = Vec::new();
    let mut add = |size: FoundSize| {
        let free = !found
            .iter()
            .any(|other| other.span.start < size.span.end && size.span.start < other.span.end);
        if free && stands_alone(text, &size.span) {
            found.push(size);
        }
    };
    for hit in DASH.captures_iter(text) {
        let (Some(whole), Some(digits)) =
            (hit.get(0), [1, 2, 3].iter().find_map(|group| hit.get(*group)))
        else {
            continue;
        };
        let sure = hit.get(1).is_some();
        let doubt =
            (!sure).then(|| format!("`{}` may be a size number of AS568", whole.as_str().trim()));
        let start = whole.start() + whole.as_str().len() - whole.as_str().trim_start().len();
        let span = start..start + whole.as_str().trim().len();
        add(FoundSize { span, what: Shape::Dash(format!("AS568-{}", digits.as_str())), doubt });
    }
    for hit in THREAD.find_iter(text) {
        // In `5 m6 x 20` the m6 is a tolerance.
        let in_front = text.get(..hit.start()).unwrap_or_default().trim_end();
        let tolerance =
            hit.as_str().starts_with('m') && in_front.ends_with(|c: char| c.is_ascii_digit());
        if let Some(size) = thread(hit.as_str(), hit.range()).filter(|_| !tolerance) {
            add(size);
        }
    }
    for hit in PIPE_THREAD.find_iter(text) {
        let shown = collapse(&hit.as_str().replace('"', ""));
        add(FoundSize { span: hit.range(), what: Shape::OtherThread(shown), doubt: None });
    }
    for hit in INCH_THREAD.captures_iter(text) {
        add_inch_thread(&hit, &mut add);
    }
    for hit in MANY.find_iter(text) {
        let range = trimmed(text, hit.range());
        if let Some(size) = figures(text.get(range.clone()).unwrap_or_default(), range) {
            add(size);
        }
    }
    for hit in TRIPLE.captures_iter(text) {
        let (Some(whole), Some(first), Some(second)) = (hit.get(0), hit.get(2), hit.get(4)) else {
            continue;
        };
        if first.as_str() != second.as_str() {
            continue;
        }
        let read = [1, 3, 5].map(|group| {
            hit.get(group).and_then(|hit| figure(hit.as_str())).map(|(figure, _)| figure)
        });
        if let Some(read) = read.into_iter().collect::<Option<Vec<Figure>>>() {
            let doubt = Some(format!("`{}` may be a size or a number", whole.as_str()));
            add(FoundSize { span: whole.range(), what: Shape::Figures(read), doubt });
        }
    }
    for hit in RANGE.captures_iter(text) {
        let read = [1, 2].map(|group| {
            hit.get(group).and_then(|hit| figure(hit.as_str())).map(|(figure, _)| figure)
        });
        if let (Some(whole), Some(read)) =
            (hit.get(0), read.into_iter().collect::<Option<Vec<Figure>>>())
        {
            add(FoundSize { span: whole.range(), what: Shape::Figures(read), doubt: None });
        }
    }
    for hit in ONE.find_iter(text) {
        let range = trimmed(text, hit.range());
        if let Some(size) = single(text.get(range.clone()).unwrap_or_default(), range) {
            add(size);
        }
    }
    found.sort_by_key(|size| size.span.start);
    found
}

fn add_inch_thread(hit: &regex_lite::Captures, add: &mut impl FnMut(FoundSize)) {
    let (Some(whole), Some(size), Some(pitch)) = (hit.get(0), hit.get(1), hit.get(2)) else {
        return;
    };
    let series = hit.get(3);
    // `5/16-18` is a thread whatever stands behind it; `10-24` may be anything.
    let numbered = hit.get(4).is_some()
        && matches!(
            (size.as_str(), pitch.as_str()),
            ("4", "40") | ("6" | "8" | "10", "32") | ("10" | "12", "24")
        );
    if series.is_none() && !size.as_str().contains(['/', '#']) && !numbered {
        return;
    }
    let mut shown = format!("{}-{}", size.as_str(), pitch.as_str());
    if let Some(series) = series {
        shown.push_str(&format!(" {}", series.as_str().to_uppercase()));
    }
    if let Some(length) = hit.get(4) {
        shown.push_str(&format!(" x {} in", collapse(length.as_str())));
    }
    let doubt =
        series.is_none().then(|| format!("`{}` names no thread series", whole.as_str().trim()));
    let end = whole.start() + whole.as_str().trim_end().len();
    add(FoundSize { span: whole.start()..end, what: Shape::OtherThread(shown), doubt });
}

/// Tells whether nothing in front or behind makes it part of a longer word or number.
fn stands_alone(text: &str, span: &Range<usize>) -> bool {
    let before = text.get(..span.start).unwrap_or_default().chars().next_back();
    let mut behind = text.get(span.end..).unwrap_or_default().chars();
    let (next, after) = (behind.next(), behind.next());
    let joins_before = before.is_some_and(|c| {
        c.is_alphanumeric() || matches!(c, '-' | '/' | '.' | '_' | '#' | '€' | '$' | '£' | '@')
    });
    let joins_behind = next
        .is_some_and(|c| c.is_alphanumeric() || matches!(c, '°' | '%' | '€' | '£' | '$'))
        || (next.is_some_and(|c| matches!(c, '-' | '/' | '.' | ','))
            && after.is_some_and(char::is_alphanumeric));
    // In `4 x 1 litre` the figures count and measure out.
    let poured = MEASURED_OUT.is_match(text.get(span.end..).unwrap_or_default());
    !joins_before && !joins_behind && !poured
}

/// A pattern with blanks that may be left out can end in one.
fn trimmed(text: &str, range: Range<usize>) -> Range<usize> {
    let hit = text.get(range.clone()).unwrap_or_default();
    let start = range.start + hit.len() - hit.trim_start().len();
    start..start + hit.trim().len()
}

fn collapse(text: &str) -> String {
    text.split_whitespace().collect::<Vec<_>>().join(" ")
}

fn thread(text: &str, span: Range<usize>) -> Option<FoundSize> {
    let plain_text = text.to_lowercase().replace("mm", "").replace(char::is_whitespace, "");
    let hyphened = plain_text.contains('-');
    let text = plain_text.replace(['-', '*'], "x").replace(',', ".");
    let read = ThreadedSize::parse(&text)?;
    let shown = format!("M{}", text.trim_start_matches('m'));
    let doubt = (hyphened && read.pitch.is_none())
        .then(|| format!("the number behind the hyphen of `{shown}` is no pitch of that thread"));
    Some(FoundSize { span, what: Shape::Thread(shown), doubt })
}

/// Reads one figure; the second value is a doubt about it.
fn figure(text: &str) -> Option<(Figure, Option<String>)> {
    let text = text.trim().trim_start_matches('Ø').trim();
    let lower = text.to_lowercase();
    let digits_end = text
        .char_indices()
        .find(|(at, c)| {
            let in_number = c.is_ascii_digit() || matches!(c, '.' | ',' | '/');
            let in_mixed = matches!(c, ' ' | '-')
                && text.get(at + 1..).is_some_and(|rest| {
                    rest.split(|c: char| !c.is_ascii_digit() && c != '/')
                        .next()
                        .is_some_and(|word| word.contains('/'))
                });
            !in_number && !in_mixed
        })
        .map_or(text.len(), |(at, _)| at);
    let (number, rest) = (text.get(..digits_end)?.trim(), lower.get(digits_end..)?.trim());
    let (unit, tail) = ["mm", "cm", "inches", "inch", "in.", "in", "''", "\"", "m"]
        .iter()
        .find_map(|unit| {
            let tail = rest.strip_prefix(unit)?;
            let ends = !tail.starts_with(|c: char| c.is_alphanumeric());
            ends.then_some((*unit, tail.trim()))
        })
        .unwrap_or(("", rest));
    let mut doubt = None;
    let inch_mark = matches!(unit, "inches" | "inch" | "in." | "in" | "''" | "\"");
    let fraction = number.contains('/');
    if fraction && !inch_mark && unit.is_empty() {
        doubt = Some(format!("`{number}` has no unit; a fraction is taken for inches"));
    }
    if let Some((whole, decimals)) = number.split_once(',')
        && decimals.len() == 3
        && !whole.is_empty()
        && whole != "0"
    {
        doubt = Some(format!("`{number}` may be a thousand or a decimal"));
    }
    let inch = inch_mark || (fraction && unit.is_empty());
    let mut number = number.replace(',', ".").replace('-', " ");
    if number.starts_with('.') {
        number.insert(0, '0');
    }
    let factor = match unit {
        "cm" => Decimal::TEN,
        "m" => Decimal::from(1000),
        _ => Decimal::ONE,
    };
    if factor != Decimal::ONE {
        number = plain(parse_decimal(&number, DecimalMark::Point)?.checked_mul(factor)?);
        doubt.get_or_insert_with(|| format!("`{text}` is taken for {number} mm"));
    }
    // A tolerance stays as it was typed: `±0.2` or `h8`.
    let tail = text
        .get(text.len() - tail.len()..)?
        .replace(',', ".")
        .replace("+/-", "±")
        .replace("± ", "±");
    let shown = match (inch, tail.is_empty()) {
        (true, true) => format!("{number} in"),
        (true, false) => format!("{number} {tail} in"),
        (false, true) => number,
        (false, false) => format!("{number} {tail}"),
    };
    let size = Size::parse(&shown, DecimalMark::Point).ok()?;
    Some((Figure { mm: size.nominal_mm(), inch, shown }, doubt))
}

/// Reads figures joined by `x`.
fn figures(text: &str, span: Range<usize>) -> Option<FoundSize> {
    let mut doubt = None;
    let mut read = Vec::new();
    for cell in text.split(['x', 'X', '*']) {
        let (figure, question) = figure(cell)?;
        doubt = doubt.or(question);
        read.push(figure);
    }
    let marked = |cell: &str| cell.contains(['"', '\'']) || cell.to_lowercase().contains("in");
    let cells: Vec<&str> = text.split(['x', 'X', '*']).collect();
    let marks = cells.iter().filter(|cell| marked(cell)).count();
    if marks > 0 && marks < cells.len() {
        // One mark at the end is meant for all, or for the last alone.
        let all: Option<Vec<Figure>> =
            cells
                .iter()
                .map(|cell| {
                    if marked(cell) { figure(cell) } else { figure(&format!("{} in", cell.trim())) }
                })
                .map(|read| read.map(|(figure, _)| figure))
                .collect();
        read = all?;
        doubt = Some(format!("not every figure of `{}` names its unit", collapse(text)));
    } else if read.iter().any(|figure| figure.inch) && !read.iter().all(|figure| figure.inch) {
        doubt = Some(format!("`{}` has inches and millimetres", collapse(text)));
    }
    Some(FoundSize { span, what: Shape::Figures(read), doubt })
}

fn single(text: &str, span: Range<usize>) -> Option<FoundSize> {
    let (read, doubt) = figure(text)?;
    let marked = text.starts_with('Ø')
        || text.contains(['"', '/', '±'])
        || text.contains("''")
        || ["mm", "in", "inch", "in.", "cm"].iter().any(|unit| text.to_lowercase().ends_with(unit));
    if marked {
        return Some(FoundSize { span, what: Shape::Figures(vec![read]), doubt });
    }
    // A length in metres is no size, and neither is a number with a letter behind it.
    if text.chars().all(|c| c.is_ascii_digit() || matches!(c, '.' | ',')) {
        return Some(FoundSize { span, what: Shape::Bare(read), doubt });
    }
    None
}

/// Writes figures as one reads them on a bag: `24x3`; inches with room, as in `1/2 in x 7/8 in`.
pub(super) fn written(figures: &[Figure]) -> String {
    let shown: Vec<&str> = figures.iter().map(|figure| figure.shown.as_str()).collect();
    let roomy = figures.iter().any(|figure| figure.inch || figure.shown.contains(' '));
    shown.join(if roomy { " x " } else { "x" })
}

/// Writes a size as it stands in the table.
pub(super) fn shown(what: &Shape) -> String {
    match what {
        Shape::Figures(figures) => written(figures),
        Shape::Thread(text) | Shape::OtherThread(text) | Shape::Dash(text) => text.clone(),
        Shape::Bare(figure) => figure.shown.clone(),
    }
}

/// How well a size suits a type.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) enum Suits {
    /// It says all that the type's form asks for, and in an order that can be.
    Whole,
    /// Nothing speaks against it.
    Partly,
    /// Something does; the other readings, likeliest first.
    Doubtful(String, Vec<String>),
}

/// Judges a size by the form of a type.
pub(super) fn suits(what: &Shape, kind: Option<&Kind>) -> Suits {
    let Some(kind) = kind else { return Suits::Partly };
    let form: Vec<&str> = kind.form.iter().map(String::as_str).collect();
    let called = &kind.name;
    match what {
        Shape::Thread(text) => match form.first() {
            Some(&"thread") => match ThreadedSize::parse(text) {
                Some(read) if read.rest.len() + 1 > form.len() => Suits::Doubtful(
                    format!(
                        "`{text}` has more figures than a {called} needs ({})",
                        form.join(" x ")
                    ),
                    vec![text.clone()],
                ),
                Some(read) if read.rest.len() + 1 == form.len() => Suits::Whole,
                _ => Suits::Partly,
            },
            _ if text.contains('x') => Suits::Doubtful(
                format!(
                    "`{text}` is written as a thread with its length, and a {called} has neither"
                ),
                vec![text.clone()],
            ),
            _ => Suits::Partly,
        },
        Shape::OtherThread(_) => Suits::Partly,
        Shape::Dash(text) => {
            if form == ["bore", "section"] {
                Suits::Whole
            } else {
                Suits::Doubtful(
                    format!("`{text}` is the size of an O-ring, and this is a {called}"),
                    vec![],
                )
            }
        }
        Shape::Bare(figure) => Suits::Doubtful(
            format!("`{}` may be the size, and may be anything else", figure.shown),
            vec![figure.shown.clone()],
        ),
        Shape::Figures(figures) => suits_figures(figures, &form, called.as_str()),
    }
}

fn suits_figures(figures: &[Figure], form: &[&str], called: &str) -> Suits {
    let text = written(figures);
    let mm: Vec<Decimal> = figures.iter().map(|figure| figure.mm).collect();
    let small = Decimal::from(3);
    if form.is_empty() {
        return Suits::Partly;
    }
    if form.first() == Some(&"thread") {
        let guess = format!("M{}", text.trim_start_matches(['M', 'm']));
        let choices = if figures.iter().any(|figure| figure.inch) {
            vec![text.clone()]
        } else {
            vec![guess, text.clone()]
        };
        return Suits::Doubtful(
            format!("`{text}` names no thread, and a {called} has one"),
            choices,
        );
    }
    if figures.len() > form.len() {
        let rest = figures.get(1..).map(written).unwrap_or_default();
        return Suits::Doubtful(
            format!(
                "`{text}` has {} figures and a {called} has {} ({}): is the first a quantity?",
                figures.len(),
                form.len(),
                form.join(" x ")
            ),
            vec![rest, text],
        );
    }
    let turned = |a: usize, b: usize| {
        let mut turned = figures.to_vec();
        turned.swap(a, b);
        written(&turned)
    };
    match (form, mm.as_slice()) {
        (["bore", "outside", _], [_]) if figures.iter().all(|figure| !figure.inch) => {
            Suits::Doubtful(format!("`{text}` alone may be any of {}", form.join(", ")), vec![text])
        }
        (["least", "most"], [_]) => Suits::Doubtful(
            format!(
                "`{text}` is one figure, and a size of this type is two: the least and the most that it takes"
            ),
            vec![text],
        ),
        ([first, ..], [only]) if form.len() > 1 => {
            let outer = matches!(
                *first,
                "bore" | "shaft" | "stem" | "diameter" | "width" | "outside" | "thread" | "pipe"
            );
            if outer && (*only >= small || figures.iter().any(|figure| figure.inch)) {
                Suits::Partly
            } else {
                Suits::Doubtful(
                    format!("`{text}` alone may be any of {}", form.join(", ")),
                    vec![text],
                )
            }
        }
        (["bore", "section"], [bore, section]) => {
            let ten = Decimal::TEN;
            if section > bore {
                let choices = if *bore <= ten { vec![turned(0, 1), text.clone()] } else { vec![] };
                Suits::Doubtful(format!("`{text}` has a section larger than its bore"), choices)
            } else if *section > ten
                || (*bore >= Decimal::from(8) && section.saturating_mul(Decimal::TWO) > *bore)
            {
                Suits::Doubtful(
                    format!("`{text}` may be bore x outside rather than bore x section"),
                    vec![],
                )
            } else {
                Suits::Whole
            }
        }
        (["bore" | "shaft", "outside" | "housing", rest @ ..], [inner, outer, more @ ..]) => {
            if inner >= outer {
                Suits::Doubtful(
                    format!("`{text}` would be wider inside than outside"),
                    vec![turned(0, 1), text],
                )
            } else if rest.first() == Some(&"thickness")
                && more.first().is_some_and(|thick| thick.saturating_add(*inner) > *outer)
            {
                Suits::Doubtful(format!("`{text}` would be thicker than it is wide"), vec![text])
            } else if more.len() == rest.len() {
                Suits::Whole
            } else {
                Suits::Partly
            }
        }
        (["bore", "length"], [bore, other])
            if called.contains("hose") && *other < bore.saturating_mul(small) =>
        {
            Suits::Doubtful(
                format!("`{text}` may be bore x outside rather than bore x length"),
                vec![],
            )
        }
        (["width", "height", "length"], [_, _]) => Suits::Doubtful(
            format!("`{text}` may be width x height, or width x diameter of a half-moon key"),
            vec![text],
        ),
        (["least", "most"], [least, most]) if least >= most => {
            Suits::Doubtful(format!("`{text}` runs backwards"), vec![turned(0, 1), text])
        }
        (["diameter", "length"], [diameter, length])
            if diameter > length && called.contains("pin") =>
        {
            Suits::Doubtful(
                format!("`{text}` would be thicker than it is long"),
                vec![turned(0, 1), text],
            )
        }
        _ if figures.len() == form.len() => Suits::Whole,
        _ => Suits::Partly,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn only(text: &str) -> String {
        let found = find(text);
        assert_eq!(found.len(), 1, "{text}: {found:?}");
        match &found[0].what {
            Shape::Figures(figures) => written(figures),
            Shape::Thread(text) | Shape::OtherThread(text) | Shape::Dash(text) => text.clone(),
            Shape::Bare(figure) => format!("bare {}", figure.shown),
        }
    }

    #[test]
    fn the_ways_in_which_sizes_are_written_are_told_apart() {
        assert_eq!(only("24x3"), "24x3");
        assert_eq!(only("24 X 3,5 mm"), "24x3.5");
        assert_eq!(only("24,2x3"), "24.2x3");
        assert_eq!(only("Ø17"), "17");
        assert_eq!(only("Ø 17 mm"), "17");
        assert_eq!(only("1 1/4\" x 2\""), "1 1/4 in x 2 in");
        assert_eq!(only("M8x1.25x30"), "M8x1.25x30");
        assert_eq!(only("M6-1.0x22"), "M6x1.0x22");
        assert_eq!(only("1/4-20 UNC x 3/4\""), "1/4-20 UNC x 3/4 in");
        assert_eq!(only("1/8 BSPT"), "1/8 BSPT");
        assert_eq!(only("G 1/4"), "G 1/4");
        assert_eq!(only("AS568-214"), "AS568-214");
        assert_eq!(only("10-16 mm"), "10x16");
        assert_eq!(only("7/64\""), "7/64 in");
        assert_eq!(only("5 m6 x 20"), "5 m6 x 20");
        assert_eq!(only("24±0.2 x 3"), "24 ±0.2 x 3");
    }

    #[test]
    fn a_size_is_never_cut_out_of_a_number() {
        for text in
            ["91-2044", "TV-1180-04", "6204-2RS", "10W-30", "50 °C", "€6.90", "12V", "1996-98a"]
        {
            let found = find(text);
            assert!(
                !found.iter().any(|size| !matches!(size.what, Shape::Bare(_))),
                "{text}: {found:?}"
            );
        }
    }

    #[test]
    fn what_may_be_meant_in_two_ways_is_doubted() {
        for text in ["7/64", "1,250 x 3", "1 1/4 x 1/8 in", "-214", "35-50-8", "6 mm x 1 m"] {
            assert!(find(text).iter().any(|size| size.doubt.is_some()), "{text}: {:?}", find(text));
        }
    }
}
