//! What parts are made of, as bags and lists write it.

use super::pattern::{Pattern, pattern};
use std::ops::Range;
use std::sync::LazyLock;

/// A material that was found in a text.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct FoundMaterial {
    /// As it is written into the table.
    pub name: String,
    pub span: Range<usize>,
    /// A class of strength that only a threaded part has.
    pub class: bool,
    /// A code for a rubber or plastic; it says more than the plain word.
    pub code: bool,
}

/// Codes of rubbers and plastics, with a hardness where one follows. Source of the codes: ISO 1629 and ISO 1043-1, from
/// memory.
static CODE: Pattern = LazyLock::new(|| {
    pattern(
        r"\b(NBR|HNBR|XNBR|FKM|FPM|FFKM|EPDM|EPM|VMQ|MVQ|FVMQ|ACM|AEM|CR|SBR|IIR|CSM|PTFE|PUR|TPU|AU|PA|PA6|PA66|POM|PEEK|PE|PP)(?:[ -]?(\d{2})(?:\s*°?\s*(?:[Ss]hore|[Ss]h|SH|SHORE|IRHD)\.?(?:\s?A\b)?)?)?\b",
    )
});

/// Strengths of stainless and of steel fasteners. Source of the marks: ISO 3506-1, ISO 898-1 and
/// ISO 898-5, from memory.
static CLASS: Pattern = LazyLock::new(|| {
    pattern(
        r"(?:\b[Cc]lass\s+)?\b(A[245]-(?:50|70|80)|A[245]|4\.6|4\.8|5\.6|5\.8|6\.8|8\.8|9\.8|10\.9|12\.9|(?:14|22|33|45)H)\b",
    )
});

/// Strengths of bolts in inches. Source of the marks: SAE J429, from memory.
static GRADE: Pattern = LazyLock::new(|| pattern(r"\b(?i:grade|gr)\.?\s?([2-8])\b"));

/// Metals by their chemical sign, as standards for washers write them.
static SIGN: Pattern = LazyLock::new(|| pattern(r"\b(?:Cu|Al)\b"));

/// Plain words, and how they are written into the table; the longer before the shorter. Source: common practice, no
/// source.
const WORDS: &[(&str, &str)] = &[
    ("coated stainless steel", "coated stainless steel"),
    ("stainless steel", "stainless steel"),
    ("stainless", "stainless steel"),
    ("s/steel", "stainless steel"),
    ("st/steel", "stainless steel"),
    ("s/s", "stainless steel"),
    ("edelstahl", "stainless steel"),
    ("inox", "stainless steel"),
    ("st.st.", "stainless steel"),
    ("st. st.", "stainless steel"),
    ("coated steel", "coated steel"),
    ("spring steel", "spring steel"),
    ("galvanised steel", "galvanised steel"),
    ("galvanized steel", "galvanised steel"),
    ("zinc plated steel", "zinc plated steel"),
    ("zinc-plated steel", "zinc plated steel"),
    ("zinc plated", "zinc plated"),
    ("zinc-plated", "zinc plated"),
    ("galvanised", "galvanised"),
    ("galvanized", "galvanised"),
    ("mild steel", "steel"),
    ("steel", "steel"),
    ("cast iron", "cast iron"),
    ("phosphor bronze", "bronze"),
    ("bronze", "bronze"),
    ("coated aluminium", "coated aluminium"),
    ("coated aluminum", "coated aluminium"),
    ("aluminium", "aluminium"),
    ("aluminum", "aluminium"),
    ("alu", "aluminium"),
    // What is plated is not made of it.
    ("copper plated", "copper plated"),
    ("copper-plated", "copper plated"),
    ("coppered", "copper plated"),
    ("brass plated", "brass plated"),
    ("brass-plated", "brass plated"),
    ("nickel plated", "nickel plated"),
    ("nickel-plated", "nickel plated"),
    ("chrome plated", "chrome plated"),
    ("chrome-plated", "chrome plated"),
    ("cadmium plated", "cadmium plated"),
    ("cadmium-plated", "cadmium plated"),
    ("copper", "copper"),
    ("brass", "brass"),
    ("natural rubber", "natural rubber"),
    ("fluoro rubber", "fluoro rubber"),
    ("nitrile", "nitrile"),
    ("chloroprene", "chloroprene"),
    ("silicone", "silicone"),
    ("polyurethane", "polyurethane"),
    ("rubber", "rubber"),
    ("nylon", "nylon"),
    ("cork", "cork"),
    ("graphite", "graphite"),
    ("fibre", "fibre"),
    ("fiber", "fibre"),
    ("paper", "paper"),
    ("felt", "felt"),
    // Bags and invoices in German and French.
    ("kupfer", "copper"),
    ("kupferring", "copper"),
    ("kupferdichtring", "copper"),
    ("cuivre", "copper"),
    ("messing", "brass"),
    ("laiton", "brass"),
    ("stahl", "steel"),
    ("acier", "steel"),
    ("leather", "leather"),
];

/// How a screw or a washer is plated; `zinc` is that and no material on a threaded part. Source: common practice, no source.
const PLATINGS: &[(&str, &str)] = &[
    ("zinc", "zinc plated"),
    ("zp", "zinc plated"),
    ("verzinkt", "zinc plated"),
    ("zingué", "zinc plated"),
];

/// Finds the materials that a text names.
pub(super) fn find(text: &str) -> Vec<FoundMaterial> {
    let mut found: Vec<FoundMaterial> = Vec::new();
    for hit in CODE.captures_iter(text) {
        let (Some(whole), Some(code)) = (hit.get(0), hit.get(1)) else { continue };
        // In `NBR 55-1203` the digits begin a number.
        let behind = text.get(whole.end()..).unwrap_or_default();
        let runs_on = behind.starts_with(['-', '.', '/', ','])
            && behind.chars().nth(1).is_some_and(char::is_alphanumeric);
        // `PP-2016` is a number.
        let numbered = hit.get(2).is_none()
            && behind.starts_with(['-', '.', '/'])
            && behind.chars().nth(1).is_some_and(|c| c.is_ascii_digit());
        if numbered {
            continue;
        }
        if hit.get(2).is_some() && runs_on {
            found.push(FoundMaterial {
                name: code.as_str().to_owned(),
                span: code.range(),
                class: false,
                code: true,
            });
            continue;
        }
        let name = match hit.get(2) {
            // `NBR70` and `NBR 70` are kept as typed; the word Shore says nothing more.
            Some(hardness) => text.get(code.start()..hardness.end()).unwrap_or_default().to_owned(),
            None => code.as_str().to_owned(),
        };
        found.push(FoundMaterial { name, span: whole.range(), class: false, code: true });
    }
    for hit in CLASS.captures_iter(text) {
        let (Some(whole), Some(class)) = (hit.get(0), hit.get(1)) else { continue };
        let beside = |c: Option<char>| {
            c.is_some_and(|c| c.is_alphanumeric() || matches!(c, '.' | ',' | '-' | '/'))
        };
        let behind = text.get(whole.end()..).unwrap_or_default();
        let joined = beside(text.get(..whole.start()).unwrap_or_default().chars().next_back())
            || (beside(behind.chars().next())
                && behind.chars().nth(1).is_some_and(char::is_alphanumeric));
        if !joined {
            found.push(FoundMaterial {
                name: class.as_str().to_owned(),
                span: whole.range(),
                class: true,
                code: false,
            });
        }
    }
    for hit in GRADE.captures_iter(text) {
        if let (Some(whole), Some(grade)) = (hit.get(0), hit.get(1)) {
            let name = format!("grade {}", grade.as_str());
            found.push(FoundMaterial { name, span: whole.range(), class: true, code: false });
        }
    }
    for hit in SIGN.find_iter(text) {
        let name = if hit.as_str() == "Cu" { "copper" } else { "aluminium" };
        found.push(FoundMaterial {
            name: name.to_owned(),
            span: hit.range(),
            class: false,
            code: false,
        });
    }
    let lower = text.to_ascii_lowercase();
    let words =
        WORDS.iter().map(|words| (words, false)).chain(PLATINGS.iter().map(|words| (words, true)));
    for ((word, name), class) in words {
        for (start, _) in lower.match_indices(word) {
            let span = start..start + word.len();
            let inside = |c: Option<char>| c.is_some_and(char::is_alphanumeric);
            let whole = !inside(lower.get(..start).unwrap_or_default().chars().next_back())
                && (word.ends_with('.')
                    || !inside(lower.get(span.end..).unwrap_or_default().chars().next()));
            let taken = found
                .iter()
                .any(|other| other.span.start < span.end && span.start < other.span.end);
            if whole && !taken {
                found.push(FoundMaterial { name: (*name).to_owned(), span, class, code: false });
            }
        }
    }
    found.sort_by_key(|found| found.span.start);
    found
}
