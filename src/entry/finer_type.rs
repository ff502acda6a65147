//! What a word elsewhere in a line makes of the plain type that it names, and what it makes of a seal's name: a bolt with
//! a patch is another bolt, a seal's retainer is no seal.
//!
//! It knows words of the trade only; how a line is divided, and which of its types counts, is decided elsewhere.

use super::pattern::{Pattern, pattern};
use std::sync::LazyLock;

/// Which plain types become which, by a word that stands anywhere in the line. Source: common practice, no source.
static BY_A_WORD: [(&[&str], Pattern, &str); 7] = [
    (
        &["bolt", "screw"],
        LazyLock::new(|| {
            pattern(
                r"(?i)\b(?:stretch|torque[- ]to[- ]yield|tty|torque[- ]angle|angle[- ](?:tightened|torqued)|single[- ]use)\b",
            )
        }),
        "angle-tightened bolt",
    ),
    (
        &["plain nut"],
        LazyLock::new(|| {
            pattern(
                r"(?i)\b(?:stretch|torque[- ]to[- ]yield|tty|torque[- ]angle|angle[- ]tightened)\b",
            )
        }),
        "angle-tightened nut",
    ),
    (
        &["plain nut", "castle nut"],
        LazyLock::new(|| pattern(r"(?i)\b(?:staked?|staking|peened|peening)\b")),
        "staked nut",
    ),
    (
        &["drain plug", "level plug"],
        LazyLock::new(|| {
            pattern(
                r"(?i)\b(?:(?:captive|moulded|molded|integral|bonded|built[- ]in)(?: on)? (?:rubber )?(?:washer|seal|ring)|(?:washer|seal|ring) (?:moulded|molded|bonded)(?: on)?|self[- ]sealing)\b",
            )
        }),
        "drain plug with captive washer",
    ),
    (
        &["bolt", "screw"],
        LazyLock::new(|| {
            pattern(
                r"(?i)\b(?:patch(?:[- ]?lock(?:ed)?)?|lock(?:ing)?[- ]patch|pre[- ]?coated|micro[- ]?encapsulated|pre[- ]?applied)\b",
            )
        }),
        "pre-coated screw",
    ),
    (
        &["plain nut", "jam nut"],
        LazyLock::new(|| {
            pattern(
                r"(?i)\b(?:nyl[a-z]*|(?:with|fibre|fiber|polymer)[ -]insert|self[- ]?lock(?:ing)?|stiff|prevailing)\b",
            )
        }),
        "self-locking nut",
    ),
    (&["plain washer"], LazyLock::new(|| pattern(r"(?i)\bfelt\b")), "felt seal"),
];

/// Gives the type that a plain one is by the other words of its line.
pub(super) fn finer(plain: &str, line: &str) -> Option<&'static str> {
    BY_A_WORD
        .iter()
        .find(|(of, word, _)| of.contains(&plain) && word.is_match(line))
        .map(|(_, _, finer)| *finer)
}

/// What holds a seal or a gasket, or works on one. Source: common practice, no source.
static TAKES_OVER: Pattern = LazyLock::new(|| {
    pattern(
        r"(?i)^[ -]*(?:(?:[a-z]+ )?(?:retainers?|carriers?|holders?|scrapers?|drivers?|pullers?|removers?|extractors?|installers?|inserters?|drifts?|tools?|protectors?|cutters?|punch(?:es)?|picks?|housings?|cases?|caps?|springs?|plates?|seats?|grooves?|spacers?|pliers)|retaining (?:ring|plate|clip|washer|circlip)s?)\b",
    )
});

/// Tells whether what follows a seal's name in its phrase takes the name over: `oil seal` in front of ` retainer`.
pub(super) fn takes_over(behind: &str) -> Option<&str> {
    TAKES_OVER.find(behind).map(|hit| hit.as_str().trim_matches([' ', '-']))
}

/// What holds a seal or works on one, standing alone in front of a comma: `Retainer, oil seal`.
static HOLDER_IN_FRONT: Pattern = LazyLock::new(|| {
    pattern(
        r"(?i)\b(?:retainer|carrier|holder|scraper|driver|puller|remover|extractor|installer|drift|tool|protector|cutter|punch|pick|pliers)s?\s*,",
    )
});

/// Tells whether a line names a seal's holder, or a tool, before the seal.
pub(super) fn holder_in_front(front: &str) -> bool {
    HOLDER_IN_FRONT.is_match(front)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_word_of_the_line_makes_the_plain_type_a_finer_one() {
        assert_eq!(
            finer("bolt", "cylinder head bolt torque to yield"),
            Some("angle-tightened bolt")
        );
        assert_eq!(finer("bolt", "caliper bolt patch lock"), Some("pre-coated screw"));
        assert_eq!(finer("plain nut", "nyl-insert nut M10"), Some("self-locking nut"));
        assert_eq!(finer("plain washer", "washer, felt, hub"), Some("felt seal"));
        assert_eq!(finer("plain nut", "nut M10"), None);
        assert_eq!(finer("plain nut", "nut, hub, stake type M20x1.5"), Some("staked nut"));
        assert_eq!(finer("plain nut", "big-end nut torque angle"), Some("angle-tightened nut"));
        let plug = "drain plug M14x1.5, washer moulded on";
        assert_eq!(finer("drain plug", plug), Some("drain plug with captive washer"));
        assert_eq!(finer("drain plug", "drain plug M14x1.5 and washer"), None);
        assert_eq!(finer("bolt", "bolt, dispatched"), None);
    }

    #[test]
    fn what_holds_a_seal_takes_its_name_over_and_where_it_goes_does_not() {
        for behind in [
            " retainer",
            " driver 40 mm",
            " scraper",
            " retaining ring",
            " housing, crankshaft",
            " bore protector",
        ] {
            assert!(takes_over(behind).is_some(), "{behind}");
        }
        for behind in ["", " output shaft", ", retainer side", " pump cover", " 20x35x7"] {
            assert_eq!(takes_over(behind), None, "{behind}");
        }
        assert!(holder_in_front("Retainer, ") && !holder_in_front("Pump, "));
    }
}
