//! The part that is offered beside the one that sits there or is listed: what is the same, what is larger or smaller
//! and what that does, and what nobody has measured.

use super::judgement::shown;
use super::sizes::{PartSizes, SeatSizes};
use crate::measure::{Key, json_number, plain};
use serde::Serialize;
use serde_json::Value;

/// Two parts, feature by feature.
#[derive(Debug, Clone, Serialize)]
pub struct Comparison {
    /// The part that sits there or is listed.
    pub with: String,
    /// The features that either part has.
    pub features: Vec<FeatureComparison>,
    /// What else sets them apart: rubber, strength, hand.
    pub apart: Vec<String>,
}

/// One feature of two parts.
#[derive(Debug, Clone, Serialize)]
pub struct FeatureComparison {
    /// The feature.
    pub feature: String,
    /// Its size on the old part; `null` where nobody has measured it.
    pub old: Option<String>,
    /// Its size on the offered part.
    pub new: Option<String>,
    /// How much larger the offered part is, nominally, in mm.
    pub difference_mm: Value,
    /// Same, within the old tolerance, larger, smaller or unknown.
    pub word: &'static str,
    /// What a difference does, or what would settle it.
    pub effect: String,
}

/// Compares an offered part with an old one; `None` where nothing is known of either.
pub fn compare(old: &PartSizes, new: &PartSizes) -> Option<Comparison> {
    let mut names: Vec<&Key> = new.features();
    for name in old.features() {
        if !names.contains(&name) {
            names.push(name);
        }
    }
    let features: Vec<FeatureComparison> =
        names.into_iter().map(|name| feature(name, old, new)).collect();
    let apart = apart(old, new);
    (!features.is_empty() || !apart.is_empty()).then(|| Comparison {
        with: old.part.to_string(),
        features,
        apart,
    })
}

fn feature(name: &Key, old: &PartSizes, new: &PartSizes) -> FeatureComparison {
    let of = |part: &PartSizes| part.get(&[name.as_str()]).map(|figure| figure.value);
    let (was, is) = (of(old), of(new));
    let text = |figure: Option<crate::measure::Interval>| figure.map(|figure| shown(figure, "mm"));
    let (word, difference, effect) = match (was, is) {
        (Some(was), Some(is)) => {
            let more = is.nominal - was.nominal;
            let word = if is == was {
                "same"
            } else if was.encloses(is) {
                "within the old tolerance"
            } else if more.is_zero() {
                "same, with another tolerance"
            } else if more > rust_decimal::Decimal::ZERO {
                "larger"
            } else {
                "smaller"
            };
            let effect = if matches!(word, "larger" | "smaller") {
                effect(&new.kind, name, word == "larger", &plain(more.abs().round_dp(4)))
            } else {
                String::new()
            };
            (word, json_number(more.round_dp(6)), effect)
        }
        (None, _) => ("unknown", Value::Null, format!("measure the {name} of {}", old.part)),
        (_, None) => ("unknown", Value::Null, format!("measure the {name} of {}", new.part)),
    };
    FeatureComparison {
        feature: name.to_string(),
        old: text(was),
        new: text(is),
        difference_mm: difference,
        word,
        effect,
    }
}

/// What the thickness of a part does to the play of what turns or slides beside it.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Stacking {
    /// It lies in the stack, and takes up play.
    Within,
    /// It lies in a joint of the housing, spaces that apart, and gives play.
    Apart,
}

/// Tells by its type what the thickness of a part does to play; `None` where it may lie on a shaft or between housings,
/// as a washer or a sealing washer may. Source: common practice, no source.
pub(super) fn stacking(kind: &str) -> Option<Stacking> {
    match kind {
        "thrust washer" | "shim" | "spacer" => Some(Stacking::Within),
        "gasket" | "metal gasket" | "head gasket" | "exhaust gasket" | "moulded gasket"
        | "insulator block" => Some(Stacking::Apart),
        _ => None,
    }
}

/// What a larger or smaller feature does.
fn effect(kind: &str, feature: &Key, larger: bool, by: &str) -> String {
    let way = |more: &str, less: &str| if larger { more.to_owned() } else { less.to_owned() };
    match (kind, feature.folded()) {
        (_, "section") => {
            way("squeezes harder and fills the groove more", "squeezes less and may leak")
        }
        ("o-ring", "inside diameter" | "bore") => {
            way("is stretched less or lies loose", "is stretched more")
        }
        (_, "thickness") => match stacking(kind) {
            Some(Stacking::Within) => {
                way(&format!("takes {by} mm of end play"), &format!("gives {by} mm of end play"))
            }
            Some(Stacking::Apart) => {
                way(&format!("gives {by} mm of end play"), &format!("takes {by} mm of end play"))
            }
            None => {
                let more = way("more", "less");
                format!(
                    "{by} mm {more} between faces: on a shaft that {}, between housings the other way",
                    way("takes end play", "gives end play")
                )
            }
        },
        ("shaft seal" | "rod seal", "shaft diameter") => {
            way("lip too wide for the old shaft", "lip too tight for the old shaft")
        }
        ("shaft seal" | "rod seal", "bore") => {
            way("does not go into the old bore", "falls through the old bore")
        }
        (_, "width") => way("stands further out or binds beside", "sits deeper or has play beside"),
        (_, "bore" | "inside diameter") => way("looser on its shaft", "tighter on its shaft"),
        (_, "outside diameter" | "diameter") => way("tighter in its bore", "looser in its bore"),
        (_, "length") => way(&format!("reaches {by} mm further"), &format!("reaches {by} mm less")),
        (_, "keyway width") => way("looser on its key", "tighter on its key"),
        _ => String::new(),
    }
}

/// Names what size does not tell: another or an unknown rubber, property class or hand.
pub fn apart(old: &PartSizes, new: &PartSizes) -> Vec<String> {
    let mut apart = Vec::new();
    match (old.kind.is_empty(), new.kind.is_empty()) {
        (false, false) if Key::new(&old.kind) != Key::new(&new.kind) => {
            apart.push(format!("{} instead of {}", one(&new.kind), one(&old.kind)));
        }
        (true, false) | (false, true) => {
            let of = if new.kind.is_empty() { &new.part } else { &old.part };
            apart.push(format!("nobody has said of what type {of} is"));
        }
        _ => {}
    }
    if let (Some(was), Some(is)) = (form_of_key(old), form_of_key(new))
        && was != is
    {
        apart.push(format!("a {is} key instead of a {was} key"));
    }
    let (was, is) = (old.material.trim(), new.material.trim());
    let matters = new.seals || old.seals || !was.is_empty() || !is.is_empty();
    if matters && !was.is_empty() && !is.is_empty() {
        if !was.eq_ignore_ascii_case(is) {
            apart.push(format!("{is} instead of {was}"));
        }
    } else if new.seals || old.seals || Key::new(&new.kind) == Key::new("shear pin") {
        let (of, other, known) = if is.is_empty() { (new, old, was) } else { (old, new, is) };
        let beside =
            if known.is_empty() { String::new() } else { format!(" ({} is {known})", other.part) };
        apart.push(format!("nobody has said what {} is made of{beside}", of.part));
    }
    if let (Some(was), Some(is)) = (old.thread, new.thread)
        && was != is
    {
        apart.push(format!("thread {is} instead of {was}"));
    }
    if old.thread.is_some() || new.thread.is_some() {
        match (strength(old), strength(new)) {
            (Some(was), Some(is)) if was != is => {
                apart.push(format!("property class {is} instead of {was}"))
            }
            (Some(was), None) => {
                apart.push(format!(
                    "property class {was} before, and nobody has said which {} has",
                    new.part
                ));
            }
            (None, Some(is)) => {
                apart.push(format!(
                    "property class {is}, and nobody has said which {} has",
                    old.part
                ));
            }
            (None, None) => {
                apart.push("nobody has said of which property class either is".to_owned())
            }
            _ => {}
        }
    }
    let (was, is) = (hand(old), hand(new));
    if was != is {
        let told = |hand: Option<&str>| {
            hand.map_or("no hand".to_owned(), |hand| format!("the {hand} hand"))
        };
        apart.push(format!("{} instead of {}", told(is), told(was)));
    }
    apart
}

/// Names one of a type: `an o-ring`, `a key`.
fn one(kind: &str) -> String {
    let article =
        if kind.to_lowercase().starts_with(['a', 'e', 'i', 'o', 'u']) { "an" } else { "a" };
    format!("{article} {kind}")
}

/// Tells what form a key is of, by its type as typed and its name: keys of one width may be of unlike forms.
fn form_of_key(part: &PartSizes) -> Option<&'static str> {
    let said = format!("{} {}", part.called, part.name).to_lowercase();
    let forms = [
        ("woodruff", "woodruff"),
        ("half-moon", "woodruff"),
        ("half moon", "woodruff"),
        ("gib", "gib"),
    ];
    let form = forms
        .into_iter()
        .find(|(word, _)| said.contains(word))
        .map_or("parallel", |(_, form)| form);
    (Key::new(&part.kind) == Key::new("key")).then_some(form)
}

/// Finds a property class such as 8.8 or A2-70 in what is written about a part.
fn strength(part: &PartSizes) -> Option<String> {
    let classes = super::standard::property_classes();
    let texts = [&part.material, &part.name, &part.size];
    let words = texts.into_iter().flat_map(|text| text.split([' ', ',', ';', '(', ')']));
    words.map(|word| word.trim().to_uppercase()).find(|word| {
        let stainless = word.len() == 5
            && word.starts_with(['A', 'C', 'F'])
            && word.get(2..3) == Some("-")
            && word.get(3..).is_some_and(|digits| digits.chars().all(|c| c.is_ascii_digit()));
        stainless || classes.iter().any(|class| class.class == *word)
    })
}

/// Finds left or right in what is written about a part: its name, its size, its note.
fn hand(part: &PartSizes) -> Option<&'static str> {
    let said = format!("{} {} {}", part.name, part.size, part.called);
    hand_in(&said).or_else(|| hand_in(&part.note))
}

/// The words for either side, in the languages of the lists that owners have; of a thread, left is anticlockwise.
const LEFT: [&str; 7] = ["left", "lh", "lefthand", "lefthanded", "port", "ccw", "anticlockwise"];
const RIGHT: [&str; 7] =
    ["right", "rh", "righthand", "righthanded", "starboard", "cw", "clockwise"];

fn hand_in(text: &str) -> Option<&'static str> {
    // `L.H.` is one word.
    let text = text.replace('.', "");
    if text.to_lowercase().contains("reverse thread") {
        return Some("left");
    }
    let words: Vec<&str> =
        text.split(|c: char| !c.is_alphanumeric()).filter(|word| !word.is_empty()).collect();
    let says = |words_for: &[&str], letter: &str, begins: &str| {
        words.iter().any(|word| {
            let lower = word.to_lowercase();
            words_for.contains(&lower.as_str()) || lower.starts_with(begins) || *word == letter
        })
    };
    match (says(&LEFT, "L", "links"), says(&RIGHT, "R", "rechts")) {
        (true, false) => Some("left"),
        (false, true) => Some("right"),
        _ => None,
    }
}

/// Says why a part does not suit a seat that says its hand, as by a row `left-hand thread`; `None` where it does, or
/// where the seat does not say.
pub fn of_the_other_hand(part: &PartSizes, seat: &SeatSizes) -> Option<String> {
    let wanted = seat.features.iter().find_map(|feature| hand_in(feature.feature.as_str()))?;
    match hand(part) {
        Some(hand) if hand == wanted => None,
        // A thread of which nothing is said is right-handed.
        None if wanted == "right" => None,
        _ => {
            Some(format!("the seat is of the {wanted} hand, and nothing says so of {}", part.part))
        }
    }
}
