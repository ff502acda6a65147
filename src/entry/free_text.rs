//! One line as a bag, a manual or an invoice writes it, read into a row of parts.

use super::finer_type;
use super::materials::{self, FoundMaterial};
use super::pattern::{Pattern, pattern};
use super::question::Question;
use super::size_words::{self, FoundSize, Shape, Suits, shown};
use super::vocabulary::{FoundKind, Kind, MASK, Vocabulary};
use crate::measure::{DecimalMark, PartNumber, Torque};
use std::ops::Range;
use std::sync::LazyLock;

/// What a line says of a part.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct PartReading {
    /// The part number; blank where the line names none.
    pub part: String,
    /// The type, by the name that the table types gives it; blank where none was recognised.
    pub part_type: String,
    /// What is left of the line when everything else is taken out.
    pub name: String,
    /// The size, as one reads it on a bag.
    pub size: String,
    /// The material.
    pub material: String,
    /// The line says that it can be had no longer.
    pub discontinued: bool,
    /// What stands in the line and belongs to another table.
    pub left_out: Vec<LeftOut>,
    /// What is in doubt.
    pub questions: Vec<Question>,
}

/// Something in a line that parts has no column for.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct LeftOut {
    /// What it is: quantity, price, figure or torque.
    pub what: &'static str,
    /// As it stands in the line.
    pub text: String,
}

/// With the sign in front, and with the sign behind; the first is sought first, for `17x30x7 €6.90` holds both.
static MONEY: Pattern = LazyLock::new(|| {
    pattern(
        r"(?:@\s*)?(?:€|£|\$|\b(?:EUR|USD|GBP|CHF|SEK|NOK|DKK|PLN|CZK|CAD|AUD)\b)\s?\d[\d.,]*(?:-\B)?(?:\s*(?:each|ea\.?|per piece|/pc))?|@\s*\d[\d.,]*",
    )
});
static MONEY_BEHIND: Pattern = LazyLock::new(|| {
    pattern(
        r"(?:^|\s)\d[\d.,]*\s?(?:€|£|\$|(?:EUR|USD|GBP|CHF|SEK|NOK|DKK|PLN|CZK|CAD|AUD|euro|Euro)\b)(?:\s*(?:each|ea\.?|per piece|/pc))?",
    )
});
static MONEY_EACH: Pattern =
    LazyLock::new(|| pattern(r"\b\d+[.,]\d{2}\s*(?:each|per piece|/\s?pc\b)"));
static QUANTITY: Pattern = LazyLock::new(|| {
    pattern(
        r"(?i)(?:\b(?:qty|quantity|menge|anzahl)\b\.?\s*:?\s*\d+(?:[.,]0+)?|\b\d+(?:[.,]0+)?\s*(?:off|pcs|pce|pc|pieces?|ea|each|reqd|req'd|stk|stück|(?-i:ST|St))\b\.?|\b(?:pack|packet|bag|box|set)\s+of\s+\d+\b|\(\s*(?:x\s?\d+|\d+\s?x|\d+)\s*\))",
    )
});
/// That a part can be had no longer. Source: common practice, no source.
static GONE: Pattern = LazyLock::new(|| {
    pattern(
        r"(?:\(\s*)?(?:\b(?:NLA|nla)\b|\bN\.L\.A\.?|(?i:\bno longer (?:available|supplied|made)\b|\bdiscontinued\b|\bobsolete\b))(?:\s*\))?",
    )
});
/// What holds a paste or an oil, behind how much it holds: `400 g tube`.
static HOLDER_BEHIND: Pattern = LazyLock::new(|| {
    pattern(
        r"(?i)\b\d+(?:[.,]\d+)?\s?(?:g|kg|ml|cl|l|litres?|liters?|oz)\s(?:tube|bottle|can|tin|cartridge|sachet|pot|jar)\b",
    )
});
/// `4x` as a word of its own, and `x4` behind everything else.
static TIMES_ALONE: Pattern =
    LazyLock::new(|| pattern(r"(?:^|[\s,;])(\d{1,3}[xX])(?:[\s,;]*$|[,;])"));
static TIMES_BEHIND: Pattern = LazyLock::new(|| pattern(r"[\s,;]([xX]\d{1,3})(?:[\s,;]|$)"));
static TIMES: Pattern = LazyLock::new(|| pattern(r"^\s*(\d{1,3})\s?[xX*]\s+"));
static FIGURE: Pattern = LazyLock::new(|| {
    pattern(
        r"(?i)(?:^|\s)((?:fig|figure|ref|item|pos|bild|abb)\b\.?\s*(?:no\.?|nr\.?)?\s*\d{1,3}[a-z]?(?:\s?-\s?\d+[a-z]?)?\s*[:.)]?)(?:\s|$)",
    )
});
static LABEL: Pattern = LazyLock::new(|| {
    pattern(
        r"(?i)(?:\bp/n|\bpn|\bpart\s*(?:no|nr|num|number|#)|\b(?:art|artikel|article|best|order|teile)\.?\s*-?\s*(?:no|nr|number)|\bart\.|\bitem|\bcode|\bsku|\bréf\.?|\bno|\bnr|\boem|#)\s*[.:#]*\s*([A-Za-z0-9][A-Za-z0-9./_-]*)",
    )
});
static STANDARD: Pattern = LazyLock::new(|| {
    pattern(
        r"\b(?:DIN|ISO|EN|JIS|SAE|BS|ANSI|ASME|API|JASO|UNI|NF)(?:[ -](?:EN|ISO|B|Nr\.?))*[ -]?[A-Z]?\d+(?:[-./]\d+)*\b",
    )
});
/// What holds a paste or an oil is not the part: `tube of liquid gasket`.
static HOLDER: Pattern = LazyLock::new(|| {
    pattern(
        r"(?i)^(?:\d{1,3}\s)?(?:tube|bottle|can|tin|cartridge|sachet|roll|pair|pot|jar|bag|pack|packet|box)s? of\s",
    )
});
/// A line of a parts list: its figure, the number, the name, and how many.
static PAGE_LINE: Pattern = LazyLock::new(|| {
    pattern(r"^(\d{1,3}[a-z]?)\s(?:[A-Za-z0-9]+[-./])+[A-Za-z0-9]+\s.*[A-Za-z)].*\s(\d{1,2})$")
});
static ROUGHLY: Pattern = LazyLock::new(|| {
    pattern(
        r"(?i)(?:\b(?:about|approx|approximately|circa|ca|roughly|maybe|perhaps|nearly|almost)\b\.?|[~≈])\s*$",
    )
});
/// What a figure is of, where it is said in front of it, and where it is said behind.
static SAID_IN_FRONT: Pattern = LazyLock::new(|| {
    pattern(
        r"(?i)\b(id|i\.d\.|bore|inside|inner|cs|section|thickness|width|length|l|reach|od|o\.d\.|outside|shaft)(?:\s?[.:=]|\s(?:is\s)?)\s*$",
    )
});
static SAID_BEHIND: Pattern = LazyLock::new(|| {
    pattern(
        r"(?i)^\s?(?:mm\s)?(id|i\.d\.|bore|inside|cs|section|thick|wide|long|length|reach|od|o\.d\.|outside)\b",
    )
});
/// The strength of a bolt behind a hyphen, and a size behind the number of a standard.
static CLASS_BEHIND: Pattern =
    LazyLock::new(|| pattern(r"(M\d[\d.,xX]*)-(4\.6|4\.8|5\.6|5\.8|6\.8|8\.8|9\.8|10\.9|12\.9)\b"));
static SIZE_BEHIND: Pattern =
    LazyLock::new(|| pattern(r"\b((?:DIN|ISO)\s?\d{3,5})-(\d{1,3}(?:[.,]\d+)?\s?[xX]\s?\d)"));
static PRICES_BEHIND: Pattern = LazyLock::new(|| pattern(r"(?:\s+\d{1,5}[.,]\d{2}){1,3}\s*$"));
static OUTSIDE: Pattern =
    LazyLock::new(|| pattern(r"(?i)\b(?:od|o\.d\.|outside|outer|external diameter)\b"));
static SIZE_LABEL: Pattern = LazyLock::new(|| {
    pattern(
        r"(?i)\b(?:id|i\.d\.|bore|inside|wide|width|long|length|size|dia|diameter|thick)\b\.?:?",
    )
});
static OTHER_UNIT: Pattern = LazyLock::new(|| {
    pattern(
        r"^\d+(?:[.,]\d+)?(?i:v|w|a|ah|ml|cl|l|g|kg|bar|psi|°c|c|k|nm|n|hp|kw|cc|ohm|kohm|mm|cm|m|in|km|hz|rpm|t|grit)$",
    )
});
static COUNTED: Pattern =
    LazyLock::new(|| pattern(r"^(?:\d{1,2}-[a-z]{3,}|\d+/\d+[WVA]|\d{1,3}[xX]|[xX]\d{1,3})$"));
static VISCOSITY: Pattern = LazyLock::new(|| pattern(r"^\d{1,2}[Ww]-?\d{0,2}$"));
/// What is made to a standard. Source of the titles: from memory.
const BY_STANDARD: &[(&str, &str)] = &[
    ("DIN94", "split pin"),
    ("DIN125", "plain washer"),
    ("DIN127", "spring washer"),
    ("DIN471", "circlip"),
    ("DIN472", "internal circlip"),
    ("DIN912", "screw"),
    ("DIN931", "bolt"),
    ("DIN933", "bolt"),
    ("DIN934", "plain nut"),
    ("DIN985", "self-locking nut"),
    ("DIN1481", "spring pin"),
    ("DIN3760", "shaft seal"),
    ("DIN6799", "e-clip"),
    ("DIN6885", "key"),
    ("DIN6888", "key"),
    ("DIN7603", "sealing washer"),
    ("ISO1234", "split pin"),
    ("ISO4014", "bolt"),
    ("ISO4017", "bolt"),
    ("ISO4762", "screw"),
    ("ISO6194", "shaft seal"),
];
/// A torque with what stands in brackets behind it, and the turn that follows; whether it is one, [`Torque`] says.
static TORQUE: Pattern = LazyLock::new(|| {
    const UNIT: &str = r"(?:n[·⋅.* -]?m|kgf?[·⋅.* -]?m|m[·⋅.* -]?kgf?|(?:lbs?|lbf)[·⋅.* -]{0,2}(?:ft|in)|(?:ft|in)[·⋅.* -]{0,2}(?:lbs?|lbf))\b\.?";
    let moment = format!(
        r"\b\d+(?:[.,]\d+)?(?:\s?(?:-|\.\.)\s?\d+(?:[.,]\d+)?)?\s?{UNIT}(?:\s?[(\[][^)\]]*[)\]])?"
    );
    pattern(&format!(
        r"(?i)(?:\b(?:torque|tighten|tightened|drehmoment|anzugsmoment)\b(?:\s?[:=]|\sto\b)?\s*)?({moment}(?:\s?[;,+]\s?{moment})*(?:\s?[;,+]?\s?\+?\s?\d+\s?(?:°|deg\b))*)"
    ))
});
/// A size with the letter of its series: `S-31.5`.
static LETTERED_SIZE: Pattern = LazyLock::new(|| pattern(r"^[A-Z]{1,2}-?\d{1,3}[.,]\d$"));
static TOKEN: Pattern = LazyLock::new(|| pattern(r"[^\s,;:()=\x01\x22]+"));

/// Says why a line is too long to be one part's: a bag has a few words, and each word is held against all others.
pub fn too_long(line: &str) -> Option<String> {
    const MOST_WORDS: usize = 200;
    const MOST_LETTERS: usize = 2_000;
    let is_too_long =
        line.len() > MOST_LETTERS || line.split_whitespace().nth(MOST_WORDS).is_some();
    is_too_long.then(|| {
        format!(
            "a line for one part may have {MOST_WORDS} words and {MOST_LETTERS} letters; give one part at a time, or the columns by their names (--part, --name ...)"
        )
    })
}

/// Reads a line. `known` tells whether a number stands in the table parts.
pub fn read_part(
    line: &str,
    words: &Vocabulary,
    known: &dyn Fn(&PartNumber) -> bool,
) -> PartReading {
    let mut draft = Draft { text: tidy(line), reading: PartReading::default(), number_at: None };
    draft.take_what_is_gone();
    draft.take_labelled_figure();
    draft.take_torque();
    let labelled = draft.take_labelled_number();
    draft.take_quantities(known);
    let standards: Vec<Range<usize>> = STANDARD
        .find_iter(&draft.text)
        // `BS-1014` opens or ends a line as the number of a part; a standard is written `BS 1014`.
        .filter(|hit| {
            let hyphened =
                ["BS-", "EN-", "NF-"].iter().any(|start| hit.as_str().starts_with(start));
            !hyphened || (hit.start() > 0 && hit.end() < draft.text.len())
        })
        .map(|hit| hit.range())
        .collect();
    let kinds_before_sizes = words.find(&draft.text);
    let mut sizes = draft.sizes(&standards);
    let materials = materials::find(&draft.text);
    // Types are sought where neither sizes nor numbers stand, for a phrase ends at them.
    let mut bare = draft.text.clone();
    for size in &sizes {
        if !matches!(size.what, Shape::Bare(_)) {
            mask(&mut bare, &size.span);
        }
    }
    let numbers = candidates(&bare, &standards, &materials);
    for number in numbers.iter().filter(|number| number.score >= STRONG) {
        mask(&mut bare, &number.span);
    }
    let mut kinds = words.find(&bare);
    if kinds.is_empty() {
        kinds = kinds_before_sizes;
    }
    let kind = draft.pick_kind(&kinds, &sizes);
    let kind = draft.by_standard(kind, &standards, words);
    let kind = draft.by_material(kind, &materials, words);
    let kind = draft.by_side(kind, words);
    let kind = draft.by_another_word(kind, words);
    let kind = draft.less_what_takes_it_over(kind, &bare, words);
    draft.ask_of_a_bare_washer(kind.as_ref(), &sizes, &materials);
    draft.ask_of_a_noun_in_front(kind.as_ref(), &bare);
    draft.ask_of_a_set_screw(kind.as_ref());
    if kind.is_none() {
        draft.offer_near_types(&bare, words);
    }
    let named = kind.as_ref().map(|found| &found.kind);
    draft.read_for_kind(
        &mut sizes,
        named,
        labelled.is_some() || numbers.iter().any(|number| number.score >= STRONG),
    );
    let size_span = draft.pick_size(&sizes, kind.as_ref().map(|found| &found.kind), words);
    let numbers = candidates(&without(&draft.text, size_span.as_slice()), &standards, &materials);
    draft.pick_number(labelled, numbers, known);
    draft.ask_for_the_rest_of_a_size(&sizes, &standards, kind.as_ref().map(|found| &found.kind));
    draft.ask_of_a_prefix(&materials, words, known);
    draft.pick_material(&materials, kind.as_ref(), size_span.as_ref());
    if let Some(span) = &size_span {
        mask(&mut draft.text, span);
    }
    draft.name_the_rest(!draft.reading.size.is_empty());
    draft.reading
}

struct Draft {
    /// The line, with what was taken out masked.
    text: String,
    reading: PartReading,
    /// Where the number stood, unless it was labelled as one.
    number_at: Option<Range<usize>>,
}

/// Puts one spelling in the place of many signs, so that the patterns need only one.
fn tidy(line: &str) -> String {
    let mut tidy = String::with_capacity(line.len());
    let mut chars = line.chars().peekable();
    while let Some(c) = chars.next() {
        match c {
            '×' | '✕' | '✖' | '╳' => tidy.push('x'),
            '⌀' | '∅' => tidy.push('Ø'),
            'ø' | 'Φ' | 'φ' => {
                let number = chars.peek().is_some_and(|next| next.is_ascii_digit() || *next == ' ');
                tidy.push(if number { 'Ø' } else { c });
            }
            '”' | '“' | '″' | '„' => tidy.push('"'),
            '’' | '‘' | '′' => tidy.push('\''),
            '–' | '—' | '‐' | '‑' | '‒' | '−' => tidy.push('-'),
            '¼' | '½' | '¾' | '⅛' | '⅜' | '⅝' | '⅞' => {
                if tidy.ends_with(|c: char| c.is_ascii_digit()) {
                    tidy.push(' ');
                }
                tidy.push_str(match c {
                    '¼' => "1/4",
                    '½' => "1/2",
                    '¾' => "3/4",
                    '⅛' => "1/8",
                    '⅜' => "3/8",
                    '⅝' => "5/8",
                    _ => "7/8",
                });
            }
            c if c.is_whitespace() || c.is_control() => {
                if !tidy.ends_with(' ') {
                    tidy.push(' ');
                }
            }
            c => tidy.push(c),
        }
    }
    let parted = CLASS_BEHIND.replace_all(tidy.trim(), "$1 $2").into_owned();
    SIZE_BEHIND.replace_all(&parted, "$1 $2").into_owned()
}

/// Puts marks in the place of a piece of text; every other byte keeps its place.
fn mask(text: &mut String, span: &Range<usize>) {
    if text.get(span.clone()).is_some() {
        text.replace_range(span.clone(), &MASK.to_string().repeat(span.len()));
    }
}

fn without(text: &str, spans: &[Range<usize>]) -> String {
    let mut text = text.to_owned();
    for span in spans {
        mask(&mut text, span);
    }
    text
}

impl Draft {
    fn leave_out(&mut self, what: &'static str, span: &Range<usize>) {
        let text = self.text.get(span.clone()).unwrap_or_default().trim().to_owned();
        self.reading.left_out.push(LeftOut { what, text });
        mask(&mut self.text, span);
    }

    fn ask(&mut self, column: &'static str, text: impl Into<String>, choices: Vec<String>) {
        self.reading.questions.push(Question { column, text: text.into(), choices });
    }

    /// Takes the word that says that a part can be had no longer: `NLA`.
    fn take_what_is_gone(&mut self) {
        if let Some(span) = GONE.find(&self.text).map(|hit| hit.range()) {
            self.reading.discontinued = true;
            mask(&mut self.text, &span);
        }
    }

    fn take_labelled_figure(&mut self) {
        let span = FIGURE.captures(&self.text).and_then(|hit| hit.get(1)).map(|hit| hit.range());
        if let Some(span) = span {
            self.leave_out("figure", &span);
        }
    }

    /// Takes a torque, before its figures are taken for a size or a quantity: it belongs to the place, not to the part.
    fn take_torque(&mut self) {
        let hit = TORQUE
            .captures(&self.text)
            .and_then(|hit| Some((hit.get(0)?.range(), hit.get(1)?.as_str().to_owned())));
        let Some((span, typed)) = hit else { return };
        if let Ok(torque) = Torque::parse(&typed, DecimalMark::PointOrComma) {
            mask(&mut self.text, &span);
            self.reading.left_out.push(LeftOut { what: "torque", text: torque.to_string() });
        }
    }

    /// Takes a number that calls itself one.
    fn take_labelled_number(&mut self) -> Option<String> {
        let hits: Vec<(Range<usize>, String)> = LABEL
            .captures_iter(&self.text)
            // `#112` is the mark on a jet; a number of a part is longer.
            .filter(|hit| {
                let mark = hit.get(0).is_some_and(|whole| whole.as_str().starts_with('#'));
                !mark || hit.get(1).is_some_and(|number| number.as_str().len() > 3)
            })
            .filter_map(|hit| {
                Some((
                    hit.get(0)?.range(),
                    hit.get(1)?.as_str().trim_end_matches(['.', '-', '/']).to_owned(),
                ))
            })
            .filter(|(_, number)| {
                let digits = number.chars().filter(char::is_ascii_digit).count();
                digits >= 3
                    || (digits == 2 && number.chars().filter(|c| c.is_alphabetic()).count() >= 2)
            })
            .collect();
        let (span, number) = hits.into_iter().next()?;
        mask(&mut self.text, &span);
        Some(number)
    }

    fn take_quantities(&mut self, known: &dyn Fn(&PartNumber) -> bool) {
        let page_line = PAGE_LINE
            .captures(&self.text)
            .and_then(|hit| Some((hit.get(1)?.range(), hit.get(2)?.range())));
        if let Some((figure, quantity)) = page_line {
            self.leave_out("quantity", &quantity);
            self.leave_out("figure", &figure);
        }
        if let Some(span) = HOLDER.find(&self.text).map(|hit| hit.range()) {
            self.leave_out("quantity", &span);
        }
        for (patterns, what) in [
            (&MONEY, "price"),
            (&MONEY_BEHIND, "price"),
            (&MONEY_EACH, "price"),
            (&QUANTITY, "quantity"),
        ] {
            while let Some(span) = patterns.find(&self.text).map(|hit| hit.range()) {
                self.leave_out(what, &span);
            }
        }
        if let Some(span) = HOLDER_BEHIND.find(&self.text).map(|hit| hit.range()) {
            self.leave_out("quantity", &span);
        }
        let alone = TIMES_ALONE.captures(&self.text).and_then(|hit| Some(hit.get(1)?.range()));
        if let Some(span) = alone.filter(|span| span.start > 0) {
            self.leave_out("quantity", &span);
        }
        self.take_times_behind();
        // `4x 91-3045` and `2 x 91-2044` count pieces; `10 x 14 x 1.5` does not.
        let times = TIMES.find(&self.text).map(|hit| hit.range());
        if let Some(span) = times {
            let behind = self.text.get(span.end..).unwrap_or_default();
            let next = behind.split([' ', ',', MASK]).next().unwrap_or_default();
            let figure = next
                .trim_end_matches("mm")
                .chars()
                .all(|c| c.is_ascii_digit() || matches!(c, '.' | ',' | '/' | '"'));
            let tight = !self.text.get(span.clone()).is_some_and(|text| text.trim().contains(' '));
            let dimensions = next.starts_with(|c: char| c.is_ascii_digit())
                && next.contains(['x', 'X'])
                && next.chars().all(|c| c.is_ascii_digit() || matches!(c, 'x' | 'X' | '.' | ','));
            let named = PartNumber::new(next).is_some_and(|number| known(&number));
            if named || (!figure && (tight || !dimensions)) {
                self.leave_out("quantity", &span);
            }
        }
    }

    /// Takes the count of `M5x25 x6`; in `10 x12 x1` the figures belong together, and so they do in `24 x3`.
    fn take_times_behind(&mut self) {
        let Some(span) =
            TIMES_BEHIND.captures(&self.text).and_then(|hit| Some(hit.get(1)?.range()))
        else {
            return;
        };
        let in_front = self.text.get(..span.start).unwrap_or_default().trim_end();
        let word = in_front.rsplit([' ', ',', ';']).next().unwrap_or_default();
        let figure = word.trim_end_matches(['m', '"']).ends_with(|c: char| c.is_ascii_digit());
        let inner = word.trim_start_matches(['M', 'm']).find(['x', 'X']).is_some_and(|at| at > 0);
        let apart = in_front
            .strip_suffix(word)
            .is_some_and(|rest| rest.ends_with(" x ") || rest.ends_with(" X "));
        let number = likeness(word, 1).is_some_and(|score| score >= STRONG);
        if !figure || inner || apart || number || in_front.ends_with([',', ';']) {
            self.leave_out("quantity", &span);
        }
    }

    fn sizes(&self, standards: &[Range<usize>]) -> Vec<FoundSize> {
        let mut sizes = size_words::find(&self.text);
        let overlaps = |size: &FoundSize| {
            standards.iter().any(|other| other.start < size.span.end && size.span.start < other.end)
        };
        sizes.retain(|size| !overlaps(size) || matches!(size.what, Shape::Dash(_)));
        sizes
    }

    /// Picks the type that the line is about: of its first phrase that names one, what seals before what fastens before
    /// the rest, then what the size suits, then the last, for English puts the noun last.
    fn pick_kind(&mut self, kinds: &[FoundKind], sizes: &[FoundSize]) -> Option<FoundKind> {
        let phrase = kinds.first()?.phrase;
        let mut here: Vec<&FoundKind> =
            kinds.iter().filter(|found| found.phrase == phrase).collect();
        self.drop_what_a_body_is_of(&mut here);
        let rank = |found: &FoundKind| {
            let figures = sizes.iter().find_map(|size| match &size.what {
                Shape::Figures(figures) => Some(figures.len()),
                _ => None,
            });
            let threaded = sizes
                .iter()
                .any(|size| matches!(size.what, Shape::Thread(_) | Shape::OtherThread(_)));
            let form = &found.kind.form;
            let suits = figures.is_some_and(|figures| figures == form.len())
                || (threaded && form.first().is_some_and(|word| word == "thread"));
            // What is used up and stands before the nut that it locks is meant: `lockplate exhaust nut`.
            let locks = found.kind.rule == "renew"
                && here.iter().any(|other| {
                    let between = self.text.get(found.span.end..other.span.start);
                    let threaded = other.kind.form.first().is_some_and(|word| word == "thread");
                    threaded && between.is_some_and(|between| between.contains(char::is_alphabetic))
                });
            let class = if found.kind.seals { 2 } else { usize::from(!form.is_empty() || locks) };
            (class, suits, locks, found.span.start)
        };
        let best = here.iter().max_by_key(|found| rank(found))?;
        let (class, suits, locks, _) = rank(best);
        let rival = here.iter().find(|other| {
            let (other_class, other_suits, other_locks, _) = rank(other);
            other.kind.rule != best.kind.rule
                && (other_class, other_suits, other_locks) == (class, suits, locks)
        });
        self.reading.part_type = best.kind.name.to_string();
        if let Some(rival) = rival {
            let choices = vec![best.kind.name.to_string(), rival.kind.name.to_string()];
            self.ask(
                "type",
                format!(
                    "the text names a {} and a {}, which are treated differently",
                    rival.kind.name, best.kind.name
                ),
                choices,
            );
        }
        Some((*best).clone())
    }

    /// English puts the noun last: `hose bracket`, `diaphragm cover` and `rear axle housing` are a bracket, a cover and a
    /// housing. A screw or what seals may stand in front of its place in a list: `bolt cover`, `gasket housing`.
    fn drop_what_a_body_is_of(&self, here: &mut Vec<&FoundKind>) {
        const BODIES: [&str; 4] = ["housing", "cover", "bracket", "label"];
        let Some(body) = here.last().filter(|last| BODIES.contains(&last.kind.name.folded()))
        else {
            return;
        };
        let mut start = body.span.start;
        for at in (0..here.len().saturating_sub(1)).rev() {
            let found = here[at];
            let beside = self.text.get(found.span.end..start);
            let threaded = found.kind.form.first().is_some_and(|word| word == "thread");
            let used_up = found.kind.rule == "renew";
            if threaded || used_up || beside.is_none_or(|between| !between.trim().is_empty()) {
                return;
            }
            start = found.span.start;
            here.remove(at);
        }
    }

    /// Takes the type that a standard is of, where the words name none or only say less.
    fn by_standard(
        &mut self,
        kind: Option<FoundKind>,
        standards: &[Range<usize>],
        words: &Vocabulary,
    ) -> Option<FoundKind> {
        let named = standards.iter().find_map(|span| {
            let text: String =
                self.text.get(span.clone())?.chars().filter(|c| !c.is_whitespace()).collect();
            let (_, name) = BY_STANDARD.iter().find(|(standard, _)| *standard == text)?;
            Some((*name, span.clone()))
        });
        let Some((name, span)) = named else { return kind };
        let says_less = kind.as_ref().is_none_or(|kind| {
            name.len() > kind.kind.name.as_str().len() && name.ends_with(kind.kind.name.as_str())
        });
        let Some(found) = says_less.then(|| words.named(name)).flatten() else { return kind };
        self.reading.part_type = found.name.to_string();
        self.reading.questions.retain(|question| question.column != "type");
        Some(FoundKind {
            kind: found,
            span: kind.map_or(span, |kind| kind.span),
            words: 1,
            phrase: 0,
        })
    }

    /// Takes the type that a material makes of another: an impeller of rubber is a rubber impeller.
    fn by_material(
        &mut self,
        kind: Option<FoundKind>,
        materials: &[FoundMaterial],
        words: &Vocabulary,
    ) -> Option<FoundKind> {
        let found = kind?;
        let name = found.kind.name.as_str();
        // A moulded gasket is of rubber; of cork or paper it is a flat one.
        let noun = if name == "moulded gasket" { "gasket" } else { name };
        let plain = matches!(name, "moulded gasket" | "gasket" | "impeller" | "seal");
        let better = materials.iter().filter(|_| plain).find_map(|material| {
            let word = self.text.get(material.span.clone())?;
            words.named(&format!("{word} {noun}")).filter(|kind| kind.name != found.kind.name)
        });
        let Some(better) = better else { return Some(found) };
        self.reading.part_type = better.name.to_string();
        Some(FoundKind { kind: better, ..found })
    }

    /// Takes the circlip of a bore where `int.` or `internal` stands apart from the word circlip.
    fn by_side(&mut self, kind: Option<FoundKind>, words: &Vocabulary) -> Option<FoundKind> {
        static INTERNAL: Pattern = LazyLock::new(|| pattern(r"(?i)\b(?:int\.|internal\b)"));
        let found = kind?;
        let inside = found.kind.name.as_str() == "circlip" && INTERNAL.is_match(&self.text);
        let Some(internal) = inside.then(|| words.named("internal circlip")).flatten() else {
            return Some(found);
        };
        self.reading.part_type = internal.name.to_string();
        Some(FoundKind { kind: internal, ..found })
    }

    /// Takes the type that another word of the line makes of a plain one: a bolt with a patch.
    fn by_another_word(
        &mut self,
        kind: Option<FoundKind>,
        words: &Vocabulary,
    ) -> Option<FoundKind> {
        let found = kind?;
        let finer = finer_type::finer(found.kind.name.as_str(), &self.text)
            .and_then(|name| words.named(name));
        let Some(finer) = finer else { return Some(found) };
        self.reading.part_type = finer.name.to_string();
        Some(FoundKind { kind: finer, ..found })
    }

    /// Asks where what holds a seal, or works on one, carries the seal's name: `oil seal retainer`, `Retainer, oil seal`.
    fn less_what_takes_it_over(
        &mut self,
        kind: Option<FoundKind>,
        bare: &str,
        words: &Vocabulary,
    ) -> Option<FoundKind> {
        let found = kind?;
        if !found.kind.seals && !found.kind.name.folded().ends_with("seal") {
            return Some(found);
        }
        let front = bare.get(..found.span.start).unwrap_or_default();
        let behind = bare.get(found.span.end..).unwrap_or_default();
        let noun = finer_type::takes_over(behind);
        if noun.is_none() && !finer_type::holder_in_front(front) {
            return Some(found);
        }
        let seal = bare.get(found.span.clone()).unwrap_or_default();
        let shown = format!("{seal} {}", noun.unwrap_or_default());
        // `oil seal housing` is one, whatever the seal; a gasket may be called after the plate that it is under.
        let whole = noun.and_then(|noun| words.named(noun));
        if let Some(holder) = whole.filter(|holder| {
            holder.name.as_str() == "housing" && seal.to_lowercase().ends_with("seal")
        }) {
            self.reading.part_type = holder.name.to_string();
            self.reading.questions.retain(|question| question.column != "type");
            return Some(FoundKind { kind: holder, ..found });
        }
        let mut choices: Vec<String> = noun
            .and_then(|noun| words.named(noun))
            .map(|kind| kind.name.to_string())
            .into_iter()
            .collect();
        choices.push(found.kind.name.to_string());
        self.reading.questions.retain(|question| question.column != "type");
        let said = noun.map_or_else(
            || format!("what stands before `{seal}` may hold it, or be a tool"),
            |_| format!("`{shown}` may be what holds a seal, or a tool for it, and no seal"),
        );
        self.ask("type", said, choices);
        Some(found)
    }

    /// Asks of a washer of which nothing more is said whether it seals: only a thread, or a metal that does not give, says
    /// that it spreads a load.
    fn ask_of_a_bare_washer(
        &mut self,
        kind: Option<&FoundKind>,
        sizes: &[FoundSize],
        materials: &[FoundMaterial],
    ) {
        const HARD: &[&str] = &["steel", "zinc", "galvanised", "brass", "A2", "A4", "plated"];
        let bare = kind.is_some_and(|found| {
            let text = self.text.get(found.span.clone()).unwrap_or_default().to_lowercase();
            found.kind.name.as_str() == "plain washer"
                && found.words == 1
                && !text.starts_with("unterleg")
        });
        let one_figure = sizes.iter().any(|size| match &size.what {
            Shape::Thread(_) | Shape::OtherThread(_) => true,
            Shape::Figures(figures) => figures.len() < 3,
            Shape::Dash(_) | Shape::Bare(_) => false,
        });
        let hard =
            materials.iter().any(|material| HARD.iter().any(|word| material.name.contains(word)));
        let soft =
            materials.iter().any(|material| !HARD.iter().any(|word| material.name.contains(word)));
        if bare && (soft || !(one_figure || hard)) {
            let choices = vec!["sealing washer".to_owned(), "plain washer".to_owned()];
            self.ask(
                "type",
                "a washer may seal, and is then renewed, or only spread a load",
                choices,
            );
        }
    }

    /// Asks where the noun in front of a comma is no type, and what names one only says where it goes: `Band, gaiter`. What
    /// is renewed in any case is taken.
    fn ask_of_a_noun_in_front(&mut self, kind: Option<&FoundKind>, bare: &str) {
        let Some(found) = kind.filter(|found| found.kind.rule != "renew" && found.phrase > 0)
        else {
            return;
        };
        let front = bare.get(..found.span.start).unwrap_or_default();
        static NOUN: Pattern = LazyLock::new(|| pattern(r"^[\s]*([A-Za-z][a-z]{3,}|[A-Z]{4,}),"));
        let Some(noun) = NOUN.captures(front).and_then(|hit| hit.get(1)) else { return };
        if self.reading.questions.iter().any(|question| question.column == "type") {
            return;
        }
        let name = found.kind.name.to_string();
        self.ask(
            "type",
            format!("is this the {name}, or a {} of it?", noun.as_str().to_lowercase()),
            vec![name],
        );
    }

    /// A set screw is a screw without a head in one country, and a bolt threaded up to its head in another.
    fn ask_of_a_set_screw(&mut self, kind: Option<&FoundKind>) {
        static HEADED: Pattern =
            LazyLock::new(|| pattern(r"(?i)\b(?:hex|hexagon|hex-head|headed|fully threaded)\b"));
        static SOCKET: Pattern = LazyLock::new(|| pattern(r"(?i)\b(?:socket|point|grub)\b"));
        let grub = kind.is_some_and(|found| found.kind.name.as_str() == "grub screw");
        if grub && HEADED.is_match(&self.text) && !SOCKET.is_match(&self.text) {
            let choices = vec!["bolt".to_owned(), "grub screw".to_owned()];
            self.ask(
                "type",
                "a set screw may be a bolt threaded up to its head or a grub screw",
                choices,
            );
        }
    }

    /// Names the types that a word without its qualifier may mean: `oil`.
    fn offer_near_types(&mut self, text: &str, words: &Vocabulary) {
        let slips = words.near(text);
        let near = if slips.is_empty() { words.ending_in_a_word_of(text) } else { slips };
        if !near.is_empty() {
            self.ask(
                "type",
                format!("no type was recognised; near ones are {}", near.join(", ")),
                near,
            );
        }
    }

    /// Reads what only its type makes a size of: `25-40` of a hose clip, `20-35-7` of a shaft seal, `J52` of a circlip.
    /// A line that holds another number leaves no doubt that `20-35-7` is none.
    fn read_for_kind(&mut self, sizes: &mut Vec<FoundSize>, kind: Option<&Kind>, numbered: bool) {
        let Some(kind) = kind else { return };
        if kind.form == ["least", "most"]
            && numbered
            && !sizes.iter().any(|size| size_words::suits(&size.what, Some(kind)) == Suits::Whole)
            && let Some(pair) = size_words::find_span_of_clip(&self.text)
        {
            sizes.retain(|size| {
                size.span.end <= pair.span.start || pair.span.end <= size.span.start
            });
            sizes.push(pair);
        }
        if kind.form == ["shaft", "housing", "width"] && numbered {
            for size in sizes.iter_mut() {
                let text = self.text.get(size.span.clone()).unwrap_or_default();
                let only_figures =
                    text.chars().all(|c| c.is_ascii_digit() || matches!(c, '-' | '/' | '.'));
                let three = matches!(&size.what, Shape::Figures(figures) if figures.len() == 3);
                if only_figures
                    && three
                    && size_words::suits(&size.what, Some(kind)) == Suits::Whole
                {
                    size.doubt = None;
                }
            }
        }
        if (kind.form.len() == 1 || kind.form == ["least", "most"])
            && sizes.iter().all(|size| matches!(size.what, Shape::Bare(_)))
            && let Some(size) = size_words::find_lettered(&self.text, kind)
        {
            sizes.push(size);
        }
    }

    /// Asks where a figure says what it is of, and the size of this type consists of more: `31.5 ID` of an O-ring.
    fn ask_for_the_rest_of_a_size(
        &mut self,
        sizes: &[FoundSize],
        standards: &[Range<usize>],
        kind: Option<&Kind>,
    ) {
        static NUMBERED: Pattern = LazyLock::new(|| pattern(r"-\d{3}$"));
        let asked = self.reading.questions.iter().any(|question| question.column == "size");
        let Some(kind) =
            kind.filter(|kind| kind.form.len() > 1 && self.reading.size.is_empty() && !asked)
        else {
            return;
        };
        // A standard for O-rings gives each size a number: `BS 1806-116`.
        let by_number = standards.iter().find_map(|span| {
            self.text.get(span.clone()).filter(|text| NUMBERED.is_match(text)).map(str::to_owned)
        });
        if let Some(text) = by_number.filter(|_| kind.form == ["bore", "section"]) {
            self.ask("size", format!("`{text}` may be the number of a size"), vec![]);
            return;
        }
        let labelled = sizes.iter().find_map(|size| {
            let said = SAID_IN_FRONT.is_match(self.text.get(..size.span.start)?)
                || SAID_BEHIND.is_match(self.text.get(size.span.end..)?);
            let said = said && !OUTSIDE.is_match(&self.text);
            (said && matches!(size.what, Shape::Bare(_))).then(|| shown(&size.what))
        });
        if let Some(figure) = labelled {
            let text = format!(
                "`{figure}` is not the whole size of this type ({})",
                kind.form.join(" x ")
            );
            self.ask("size", text, vec![]);
        }
    }

    /// Asks whether a short word in capitals in front of the number belongs to it: `ZB 12-44`.
    fn ask_of_a_prefix(
        &mut self,
        materials: &[FoundMaterial],
        words: &Vocabulary,
        known: &dyn Fn(&PartNumber) -> bool,
    ) {
        static IN_FRONT: Pattern =
            LazyLock::new(|| pattern(r"(?:^([A-Z])|(?:^|[\s,;:(])([A-Z]{2,3})) $"));
        /// What stands in capitals before a number and is no part of it.
        const OTHERS: &[&str] = &[
            "NO", "NR", "PN", "ID", "OD", "CS", "TC", "LH", "RH", "PCS", "EA", "ST", "STK", "OFF",
            "DIN", "ISO", "EN", "X", "EUR", "GBP", "USD", "CHF", "OEM", "REF", "ART", "ZP", "ZN",
            "NEW", "OLD", "FOR", "SET", "KIT", "MM", "IN", "BSP", "NPT", "UNC", "UNF", "BSW",
            "BSF", "ML", "KG", "CC", "KW", "NM", "BAR", "PSI",
        ];
        let number = self.reading.part.clone();
        if number.is_empty()
            || PartNumber::new(&number).is_some_and(|part| known(&part))
            || number.contains(' ')
        {
            return;
        }
        let Some(start) = self.number_at.clone().map(|span| span.start) else { return };
        let in_front = self.text.get(..start).unwrap_or_default();
        let Some(word) = IN_FRONT.captures(in_front).and_then(|hit| hit.get(1).or(hit.get(2)))
        else {
            return;
        };
        let taken = materials
            .iter()
            .any(|material| material.span.start < word.end() && word.start() < material.span.end);
        if taken || OTHERS.contains(&word.as_str()) || words.holds(word.as_str()) {
            return;
        }
        let whole = format!("{} {number}", word.as_str());
        self.reading.questions.retain(|question| question.column != "part");
        self.ask(
            "part",
            format!("`{}` may belong to the number `{number}`", word.as_str()),
            vec![whole, number],
        );
    }

    /// Picks the size; gives where it stands. What is doubtful about it becomes a question.
    fn pick_size(
        &mut self,
        sizes: &[FoundSize],
        kind: Option<&Kind>,
        words: &Vocabulary,
    ) -> Option<Range<usize>> {
        if let Some(span) = kind.and_then(|kind| self.said_of_each_figure(sizes, kind)) {
            return span;
        }
        let dash_suits = kind.is_some_and(|kind| kind.form == ["bore", "section"]);
        let mut real: Vec<&FoundSize> = sizes
            .iter()
            .filter(|size| match &size.what {
                Shape::Bare(_) => false,
                Shape::Dash(_) => dash_suits || size.doubt.is_none(),
                _ => true,
            })
            .collect();
        // A kind without a form of size has a size only where the text clearly gives one: `50 mm` may be anything.
        if kind.is_none_or(|kind| kind.form.is_empty()) {
            real.retain(|size| !matches!(&size.what, Shape::Figures(figures) if figures.len() < 2));
        }
        let whole: Vec<&FoundSize> = real
            .iter()
            .copied()
            .filter(|size| size_words::suits(&size.what, kind) == Suits::Whole)
            .collect();
        let picked = match (whole.as_slice(), real.as_slice()) {
            ([one], _) => *one,
            ([], [one]) => *one,
            ([], []) => return self.pick_bare_size(sizes, kind),
            (several, all) => {
                let several = if several.is_empty() { all } else { several };
                let mut choices: Vec<String> =
                    several.iter().map(|size| shown(&size.what)).collect();
                choices.dedup();
                let first = several.first()?;
                if choices.len() > 1 {
                    self.ask("size", format!("the text holds {} sizes", choices.len()), choices);
                    return None;
                }
                first
            }
        };
        let outside = self.outside(picked, kind);
        let mut text = shown(&picked.what);
        let mut picked = picked.clone();
        // DIN 471 and 472 write the thickness of a circlip behind its shaft or bore. From memory.
        if let (Shape::Figures(figures), Some(kind)) = (&picked.what, kind)
            && let [first, thick] = figures.as_slice()
            && kind.name.as_str().contains("circlip")
            && kind.form.len() == 1
            && (thick.mm <= 5.into() && thick.mm.saturating_mul(4.into()) < first.mm)
        {
            self.reading.left_out.push(LeftOut { what: "thickness", text: thick.shown.clone() });
            text.clone_from(&first.shown);
            picked.what = Shape::Figures(vec![first.clone()]);
        }
        let in_front = self.text.get(..picked.span.start).unwrap_or_default();
        if picked.doubt.is_none() && ROUGHLY.is_match(in_front) {
            picked.doubt = Some(format!("`{text}` is said to be rough"));
        }
        match (size_words::suits(&picked.what, kind), &picked.doubt) {
            _ if outside => {
                self.ask(
                    "size",
                    format!("`{text}` is an outside diameter, and the size of this type begins with the bore"),
                    vec![],
                );
            }
            (Suits::Doubtful(why, choices), _) => {
                self.reading.size = choices.first().cloned().unwrap_or_default();
                self.ask("size", why, choices);
            }
            // What the figures are of is known only with the type.
            _ if kind.is_none()
                && self.reading.questions.iter().any(|question| question.column == "type") =>
            {
                self.reading.size.clone_from(&text);
                self.ask("size", format!("`{text}` cannot be judged without a type"), vec![text]);
            }
            _ if kind.is_some_and(|kind| kind.name.as_str() == "seal")
                && matches!(&picked.what, Shape::Figures(figures) if figures.len() == 3) =>
            {
                self.reading.size = text;
                let choices = vec!["shaft seal".to_owned(), "seal".to_owned()];
                self.ask("type", "a seal with three figures is mostly a shaft seal", choices);
            }
            (_, Some(doubt)) => {
                self.reading.size.clone_from(&text);
                self.ask("size", doubt.clone(), vec![text]);
            }
            _ => self.reading.size = text,
        }
        let _ = words;
        Some(picked.span.clone())
    }

    /// Puts a size together from figures that each say what they are of: `ID 24.2 mm CS 3 mm`, `M8 bolt, 35 long`.
    /// `None` where they do not give all that the type's form asks for; else what takes their place in the text.
    fn said_of_each_figure(
        &mut self,
        sizes: &[FoundSize],
        kind: &Kind,
    ) -> Option<Option<Range<usize>>> {
        let meant = |word: &str| -> &[&str] {
            match word.to_lowercase().replace('.', "").as_str() {
                "id" | "inside" | "inner" | "bore" => &["bore", "shaft"],
                "shaft" => &["shaft"],
                "cs" | "section" => &["section"],
                "thick" | "thickness" => &["thickness"],
                "wide" | "width" => &["width"],
                "long" | "length" | "l" => &["length"],
                "reach" => &["reach"],
                _ => &["outside", "housing"],
            }
        };
        let mut slots: Vec<Option<(String, Range<usize>)>> = vec![None; kind.form.len()];
        let mut labelled = false;
        for size in sizes {
            let (text, words): (String, &[&str]) = match &size.what {
                Shape::Thread(text) if !text.contains('x') || text.matches('x').count() == 1 => {
                    (text.clone(), &["thread"])
                }
                Shape::Bare(figure) => (figure.shown.clone(), &[]),
                Shape::Figures(figures) if figures.len() == 1 => (shown(&size.what), &[]),
                Shape::Dash(_) | Shape::OtherThread(_) | Shape::Figures(_) | Shape::Thread(_) => {
                    return None;
                }
            };
            let words = if words.is_empty() {
                let said = SAID_IN_FRONT
                    .captures(self.text.get(..size.span.start)?)
                    .or_else(|| SAID_BEHIND.captures(self.text.get(size.span.end..)?))
                    .and_then(|hit| Some(hit.get(1)?.as_str().to_owned()));
                let Some(said) = said else {
                    // A figure that calls itself a length must say of what; a bare number may be anything else.
                    if matches!(size.what, Shape::Bare(_)) { continue } else { return None }
                };
                labelled = true;
                meant(&said)
            } else {
                words
            };
            let slot = kind.form.iter().position(|word| words.contains(&word.as_str()))?;
            let place = slots.get_mut(slot)?;
            if place.is_some() || size.doubt.is_some() {
                return None;
            }
            *place = Some((text, size.span.clone()));
        }
        let slots: Vec<(String, Range<usize>)> = slots.into_iter().collect::<Option<_>>()?;
        if !labelled {
            return None;
        }
        let texts: Vec<&str> = slots.iter().map(|(text, _)| text.as_str()).collect();
        // A thread with a pitch and a length would read as three figures; `M8x1.25x55` is how it is written.
        self.reading.size =
            texts.join(if texts.iter().any(|text| text.contains(' ')) { " x " } else { "x" });
        for (_, span) in &slots {
            mask(&mut self.text, span);
        }
        let (_, first) = slots.into_iter().next()?;
        Some(Some(first))
    }

    fn outside(&self, size: &FoundSize, kind: Option<&Kind>) -> bool {
        let single = matches!(&size.what, Shape::Figures(figures) if figures.len() == 1);
        let inner = kind
            .and_then(|kind| kind.form.first())
            .is_some_and(|first| matches!(first.as_str(), "bore" | "shaft"));
        single && inner && OUTSIDE.is_match(&self.text)
    }

    /// A bare number is a size only for a type that has one figure, and then with a question.
    fn pick_bare_size(&mut self, sizes: &[FoundSize], kind: Option<&Kind>) -> Option<Range<usize>> {
        let kind = kind.filter(|kind| {
            kind.form.len() == 1 && kind.form.first().is_some_and(|word| word != "thread")
        })?;
        let strong = candidates(&self.text, &[], &[]);
        let bare = sizes.iter().find(|size| {
            let number = strong.iter().any(|number| {
                number.score >= STRONG
                    && number.span.start <= size.span.start
                    && size.span.end <= number.span.end
            });
            matches!(size.what, Shape::Bare(_)) && !number && size.span.start > 0
        })?;
        let Suits::Doubtful(why, choices) = size_words::suits(&bare.what, Some(kind)) else {
            return None;
        };
        self.reading.size = choices.first().cloned().unwrap_or_default();
        self.ask("size", why, choices);
        Some(bare.span.clone())
    }

    fn pick_number(
        &mut self,
        labelled: Option<String>,
        mut numbers: Vec<Candidate>,
        known: &dyn Fn(&PartNumber) -> bool,
    ) {
        if let Some(number) = labelled {
            self.reading.part = number;
            return;
        }
        for number in &mut numbers {
            if PartNumber::new(&number.text).is_some_and(|part| known(&part)) {
                number.score += 50;
                number.groups = 1;
            }
        }
        // The best, and of equals the first: `max_by_key` would give the last.
        let best = numbers.iter().rev().max_by_key(|number| number.score).cloned();
        let Some(best) = best.filter(|best| best.score >= WEAKEST) else {
            let choices = Vec::new();
            self.ask("part", "no part number was found in the text", choices);
            return;
        };
        self.reading.part.clone_from(&best.text);
        let rivals: Vec<String> = numbers
            .iter()
            .filter(|other| {
                other.span != best.span && other.score >= STRONG && best.score - other.score < 50
            })
            .map(|other| other.text.clone())
            .collect();
        if !rivals.is_empty() {
            let mut choices = vec![best.text.clone()];
            choices.extend(rivals);
            self.ask("part", "the text holds several numbers", choices);
        } else if best.groups > 1 {
            let last = best.text.rsplit(' ').next().unwrap_or_default().to_owned();
            let mut choices = vec![best.text.clone()];
            choices.extend((best.groups == 2).then_some(last));
            self.ask("part", format!("`{}` may be one number or several", best.text), choices);
        } else if best.score < STRONG {
            self.ask(
                "part",
                format!("`{}` is short for a part number", best.text),
                vec![best.text.clone()],
            );
        }
        mask(&mut self.text, &best.span);
        self.number_at = Some(best.span);
    }

    fn pick_material(
        &mut self,
        found: &[FoundMaterial],
        kind: Option<&FoundKind>,
        size: Option<&Range<usize>>,
    ) {
        let threaded = kind.is_some_and(|found| {
            found.kind.form.iter().any(|word| matches!(word.as_str(), "thread" | "length"))
                || found.kind.name.as_str().contains("washer")
        });
        let meets = |a: &Range<usize>, b: &Range<usize>| a.start < b.end && b.start < a.end;
        // In `copper washer` the type's own name tells the material; in `copper grease` or `nylon lock nut` it does not.
        let telling = kind.is_some_and(|found| {
            let name = found.kind.name.as_str();
            ["washer", "gasket", "hose", "bush", "pipe", "ring", "seal", "pin"]
                .iter()
                .any(|word| name.contains(word))
        });
        let mut taken: Vec<&FoundMaterial> = Vec::new();
        for material in found {
            if size.is_some_and(|size| meets(size, &material.span))
                || self.text.get(material.span.clone()).is_none_or(|text| text.contains(MASK))
            {
                continue;
            }
            let in_type = kind.is_some_and(|found| meets(&found.span, &material.span));
            if (material.class && !threaded) || (in_type && !telling) {
                continue;
            }
            taken.push(material);
        }
        if taken.iter().any(|material| material.code) {
            taken.retain(|material| material.code);
        }
        let mut names: Vec<&str> = taken.iter().map(|material| material.name.as_str()).collect();
        names.dedup();
        let joined = names.join(" ");
        let (plain, codes) = (
            taken.iter().filter(|m| !m.class && !m.code).count(),
            taken.iter().filter(|m| m.code).count(),
        );
        if plain > 1 || codes > 1 {
            self.ask(
                "material",
                format!("the text names several materials: {}", names.join(", ")),
                vec![joined.clone()],
            );
        }
        self.reading.material = joined;
        for material in taken {
            if kind.is_none_or(|found| !meets(&found.span, &material.span)) {
                mask(&mut self.text, &material.span);
            }
        }
    }

    /// What is left is the name, less what only numbers a line of a list.
    fn name_the_rest(&mut self, sized: bool) {
        let counted = self.reading.left_out.iter().any(|left| left.what == "quantity");
        if (sized || counted)
            && let Some(span) = PRICES_BEHIND.find(&self.text).map(|hit| hit.range())
        {
            self.leave_out("price", &span);
        }
        let labelled = if sized {
            SIZE_LABEL.replace_all(&self.text, " ").into_owned()
        } else {
            self.text.clone()
        };
        let text = labelled.replace(MASK, " ");
        let mut words: Vec<&str> = text.split_whitespace().collect();
        let listing = |word: &str| {
            let word = word.trim_matches(['(', ')', '.', ':', ',']);
            !word.is_empty()
                && word.len() <= 5
                && word.chars().all(|c| c.is_ascii_digit() || matches!(c, '-' | '.'))
        };
        let loose = |word: &str| {
            !word.chars().any(char::is_alphanumeric)
                || matches!(
                    word.to_lowercase().as_str(),
                    "is" | "the" | "a" | "needs" | "=" | "or" | "x" | "each" | "no"
                )
        };
        while words.first().is_some_and(|word| listing(word) || loose(word)) {
            let word = words.remove(0);
            self.note_listing(word);
        }
        while words.last().is_some_and(|word| loose(word) || (sized && listing(word))) {
            if let Some(word) = words.pop() {
                self.note_listing(word);
            }
        }
        let mut name = words.join(" ");
        for (from, to) in [
            (" ,", ","),
            (",,", ","),
            ("( )", ""),
            ("()", ""),
            (" )", ")"),
            ("( ", "("),
            (" :", ""),
            (" .", "."),
        ] {
            while name.contains(from) {
                name = name.replace(from, to);
            }
        }
        let name = name.split_whitespace().collect::<Vec<_>>().join(" ");
        let name = name.trim_matches([',', ';', ':', '-', '.', '@', '=', ' ', '/', '#']);
        let mut letters = name.chars();
        self.reading.name = letters.next().map_or_else(String::new, |first| {
            first.to_uppercase().collect::<String>() + letters.as_str()
        });
    }

    fn note_listing(&mut self, word: &str) {
        let digits = word.trim_matches(['(', ')', '.', ':', ',']);
        if digits.chars().any(|c| c.is_ascii_digit()) {
            self.reading
                .left_out
                .push(LeftOut { what: "quantity or figure", text: digits.to_owned() });
        }
    }
}

/// A piece of text that may be the part number.
#[derive(Debug, Clone)]
struct Candidate {
    text: String,
    span: Range<usize>,
    score: i32,
    /// Of how many groups, divided by spaces, it consists.
    groups: usize,
}

/// From here on a piece of text looks like a part number without any doubt.
const STRONG: i32 = 25;
/// Below this it does not look like one at all.
const WEAKEST: i32 = 10;

/// Finds what may be the part number, each with how much it looks like one.
fn candidates(
    text: &str,
    standards: &[Range<usize>],
    materials: &[FoundMaterial],
) -> Vec<Candidate> {
    let mut found: Vec<Candidate> = Vec::new();
    let tokens: Vec<(Range<usize>, &str)> = TOKEN
        .find_iter(text)
        .map(|hit| {
            let token = hit.as_str().trim_end_matches(['.', '-', '/', '!', '?']);
            (hit.start()..hit.start() + token.len(), token)
        })
        .filter(|(span, token)| {
            let meets = |other: &Range<usize>| other.start < span.end && span.start < other.end;
            !token.is_empty()
                && !standards.iter().any(meets)
                && !materials.iter().any(|material| meets(&material.span))
        })
        .collect();
    let mut at = 0;
    while let Some((span, token)) = tokens.get(at) {
        let (mut span, mut text_of, mut groups) = (span.clone(), (*token).to_owned(), 1);
        // `TV 3321 02` and `91 2044` are written with spaces where a number opens the line.
        if span.start == 0 && opens_number(token) {
            while let Some((next_span, next)) = tokens.get(at + 1) {
                let adjacent = text.get(span.end..next_span.start) == Some(" ");
                let digits =
                    next.chars().all(|c| c.is_ascii_digit()) && (2..=6).contains(&next.len());
                if !(adjacent && digits) {
                    break;
                }
                span.end = next_span.end;
                text_of = format!("{text_of} {next}");
                groups += 1;
                at += 1;
            }
            // A short prefix of letters belongs to the group behind it.
            if groups > 1 && token.len() > 1 && token.chars().all(|c| c.is_ascii_uppercase()) {
                groups -= 1;
            }
        }
        at += 1;
        if let Some(score) = likeness(&text_of, groups) {
            let ends = span.end >= text.trim_end().len();
            let score = score + if span.start == 0 { 9 } else { 0 } + if ends { 4 } else { 0 };
            found.push(Candidate { text: text_of, span, score, groups });
        }
    }
    found
}

/// One to three capital letters, or digits: what may be the first group of a number.
fn opens_number(token: &str) -> bool {
    let letters = token.len() <= 3 && token.chars().all(|c| c.is_ascii_uppercase());
    let digits = (2..=6).contains(&token.len()) && token.chars().all(|c| c.is_ascii_digit());
    letters || digits
}

/// Tells how much a piece of text looks like a part number; `None` where it cannot be one.
fn likeness(token: &str, groups: usize) -> Option<i32> {
    let digits = token.chars().filter(char::is_ascii_digit).count();
    let letters = token.chars().filter(|c| c.is_alphabetic()).count();
    if digits == 0
        || token.contains(MASK)
        || token
            .chars()
            .any(|c| matches!(c, '"' | '\'' | '%' | '°' | '±' | '€' | '$' | '£' | '@' | 'Ø'))
    {
        return None;
    }
    // `2-stroke` counts, `60/55W` is the power of a bulb, and `4x` a quantity.
    if COUNTED.is_match(token) {
        return None;
    }
    if OTHER_UNIT.is_match(token) || VISCOSITY.is_match(token) || LETTERED_SIZE.is_match(token) {
        return None;
    }
    let joined = token.get(1..).is_some_and(|rest| rest.contains(['-', '.', '/', '_']));
    let decimal = letters == 0
        && token.matches(['.', ',']).count() == 1
        && !token.contains(['-', '/'])
        && token.rsplit(['.', ',']).next().is_some_and(|decimals| decimals.len() < 3);
    if decimal {
        return None;
    }
    if letters == 0 && joined && token.contains('/') && digits <= 4 {
        return None;
    }
    let mut score = match digits {
        0..=2 => 0,
        3 => 10,
        4 => 18,
        _ => 24,
    };
    // `3-14` is a figure and its item rather than a part.
    score += if joined && (digits > 3 || letters > 0) { 10 } else { 0 };
    score += if letters > 0 && letters <= 6 { 6 } else { 0 };
    score -= if letters > 8 { 15 } else { 0 };
    // A plain number of three or four digits may be a year, a figure or a count.
    score -= if letters == 0 && !joined && groups == 1 && digits < 5 { 10 } else { 0 };
    score -= if letters == 0
        && digits == 4
        && !joined
        && (token.starts_with("19") || token.starts_with("20"))
    {
        10
    } else {
        0
    };
    Some(score)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn read(line: &str) -> PartReading {
        let (shipped, files) = crate::tables::shipped_rows();
        let memory = crate::catalog::Memory::new(
            crate::catalog::Rows::default(),
            Vec::new(),
            shipped,
            files,
        );
        read_part(line, &Vocabulary::of(&memory), &|number| {
            *number == PartNumber::new("91 2044").expect("a number")
        })
    }

    #[test]
    fn a_line_far_longer_than_a_bag_is_refused_with_the_limit() {
        assert_eq!(too_long("91-2044 o-ring 20 x 2.5 NBR"), None);
        assert!(too_long(&"word ".repeat(201)).is_some_and(|why| why.contains("200 words")));
        assert!(too_long(&"x".repeat(2_001)).is_some());
    }

    #[test]
    fn a_bag_is_read_into_number_type_size_material_and_name() {
        let reading = read("91-2044 O-ring 24x3 NBR70, pump cover");
        let expected = PartReading {
            part: "91-2044".into(),
            part_type: "o-ring".into(),
            name: "O-ring, pump cover".into(),
            size: "24x3".into(),
            discontinued: false,
            material: "NBR70".into(),
            left_out: vec![],
            questions: vec![],
        };
        assert_eq!(reading, expected);
    }

    #[test]
    fn what_parts_has_no_column_for_is_named_and_not_lost() {
        let reading = read("4x 91-3045 screw M6x45 €0.80");
        let left: Vec<_> =
            reading.left_out.iter().map(|left| (left.what, left.text.as_str())).collect();
        assert_eq!(left, [("price", "€0.80"), ("quantity", "4x")]);
        assert_eq!((reading.part.as_str(), reading.size.as_str()), ("91-3045", "M6x45"));
    }

    #[test]
    fn a_torque_is_read_with_its_brackets_and_left_to_the_position() {
        for (line, torque) in [
            ("91-3020 screw M8x25, 25 N·m (18 lbf·ft)", "25 N·m (18 lbf·ft)"),
            (
                "91-3020 screw M8x25 tighten to 25 Nm (2,5 kgm, 18 ft-lb)",
                "25 N·m (2.5 kgf·m, 18 lbf·ft)",
            ),
            ("torque: 18–22 Nm [13-16 ft. lbs.] 91-3020 screw M8x25", "18-22 N·m (13-16 lbf·ft)"),
            ("91-3020 screw M8x25 20 Nm; +90°", "20 N·m; +90°"),
            (
                "91-3020 screw M8x25; 10 N·m (7 lbf·ft); 20 N·m (15 lbf·ft)",
                "10 N·m (7 lbf·ft); 20 N·m (15 lbf·ft)",
            ),
        ] {
            let reading = read(line);
            let left: Vec<_> =
                reading.left_out.iter().map(|left| (left.what, left.text.as_str())).collect();
            assert_eq!(left, [("torque", torque)], "{line}");
            let rest = (reading.part.as_str(), reading.size.as_str(), reading.name.as_str());
            assert_eq!(
                (rest, &reading.questions[..]),
                (("91-3020", "M8x25", "Screw"), &[][..]),
                "{line}"
            );
        }
        for line in
            ["90-6001 grease 5 kg molybdenum", "91-2044 O-ring 24x3", "91-77 bulb 12 V 10 W"]
        {
            assert!(read(line).left_out.iter().all(|left| left.what != "torque"), "{line}");
        }
    }

    #[test]
    fn a_number_with_spaces_is_asked_about_unless_it_is_known() {
        assert_eq!(read("91 2044 O-ring 24x3").questions, []);
        assert_eq!(read("91 2055 O-ring 24x3").questions.len(), 1);
    }

    #[test]
    fn capitals_in_front_of_a_number_belong_to_it_or_are_asked_about() {
        let reading = read("ZB 12-44 sump gasket");
        let asked: Vec<_> = reading
            .questions
            .iter()
            .map(|question| (question.column, &question.choices[..]))
            .collect();
        assert_eq!(asked, [("part", &["ZB 12-44".to_owned(), "12-44".to_owned()][..])]);
        let reading = read("W 3310 clutch plate friction 4x");
        assert_eq!((reading.part.as_str(), reading.left_out[0].text.as_str()), ("W 3310", "4x"));
        assert_eq!(reading.questions[0].choices, ["W 3310", "3310"]);
        assert_eq!(read("O-RING 24X3 NBR 91-2044B").questions, []);
    }

    #[test]
    fn a_word_that_ends_the_names_of_several_types_offers_them() {
        let reading = read("90-5003 oil SAE 80 650 ml");
        assert_eq!(reading.part_type, "");
        let near = reading
            .questions
            .iter()
            .find(|question| question.column == "type")
            .expect("a question");
        assert!(near.choices.iter().any(|choice| choice == "engine oil"), "{near:?}");
        assert!(near.choices.iter().any(|choice| choice == "gear oil"), "{near:?}");
    }

    #[test]
    fn a_count_behind_a_size_is_no_part_of_name_or_size() {
        for (line, size) in [
            ("91-3001 screw M5x25 x2", "M5x25"),
            ("91-3001 screw M5 x 25 x2", "M5x25"),
            ("91-2044 O-ring 24 x3", "24x3"),
        ] {
            let reading = read(line);
            assert_eq!((reading.size.as_str(), &reading.questions[..]), (size, &[][..]), "{line}");
            assert!(!reading.name.contains("x2"), "{reading:?}");
        }
        assert_eq!(read("91-4001 gasket pump cover x2").name, "Gasket pump cover");
        assert_eq!(read("91-2301 sealing washer 10 x14 x1").size, "10x14x1");
    }

    #[test]
    fn three_figures_with_hyphens_are_the_size_of_a_seal_only_beside_another_number() {
        assert_eq!(read("shaft seal 20-35-7 41-08817").questions, []);
        assert!(!read("shaft seal 20-35-7").questions.is_empty());
        assert!(!read("shaft seal 35-20-7 41-08817").questions.is_empty());
    }

    #[test]
    fn what_can_be_had_no_longer_is_told_and_no_word_of_the_name() {
        for line in
            ["Q11-070 Tensioner, manual NLA", "Q11-070 tensioner, manual (no longer available)"]
        {
            let reading = read(line);
            assert!(reading.discontinued, "{line}");
            assert_eq!(reading.name, "Tensioner, manual", "{line}");
        }
        assert!(!read("NL-4471 gasket, gearbox").discontinued);
    }

    #[test]
    fn a_slip_in_the_words_for_a_type_gives_the_near_one() {
        for (line, near) in [
            ("H5609 sealing wahser 8x13x1", "sealing washer"),
            ("splitpin 2x16 H-5610", "split pin"),
            ("H-5611 caburettor", "carburettor"),
        ] {
            let reading = read(line);
            let question = reading.questions.iter().find(|question| question.column == "type");
            let choices = question.map(|question| question.choices.clone()).unwrap_or_default();
            assert_eq!(
                choices.first().map(String::as_str),
                Some(near),
                "{line}: {:?}",
                reading.questions
            );
        }
    }

    #[test]
    fn a_text_that_says_nothing_gives_a_question_and_no_panic() {
        for text in [
            "",
            " ",
            "-",
            "x x x",
            "\"\"\"",
            "Ø",
            "ØØ 1//2 x",
            "M",
            "1/0 x 3",
            "𝟙𝟚 x 𝟛",
            "€",
            "((((",
            "½½½ x ½",
        ] {
            assert!(!read(text).questions.is_empty(), "{text}");
        }
    }
}
