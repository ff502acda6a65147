//! Whether a trait holds for a machine, by what its traits cell lists.

use super::applies::Applies;
use super::cell::Condition;
use crate::measure::Key;

/// A trait as it is compared: without case, spaces and hyphens.
#[derive(PartialEq, Eq)]
struct Folded(String);

impl Folded {
    fn new(name: &Key) -> Self {
        let hyphen = |c: char| matches!(c, '-' | '\u{2010}'..='\u{2015}' | '\u{2212}');
        Folded(name.folded().chars().filter(|c| !c.is_whitespace() && !hyphen(*c)).collect())
    }

    /// The kind of a trait that is one of several values: `shaft` of `shaft=long`.
    fn kind(&self) -> Option<&str> {
        self.0.split_once('=').map(|(kind, _)| kind)
    }
}

/// Says whether a trait, or that it is missing, is known of a machine with these traits.
pub(super) fn known(wanted: &Condition, listed: &[Key]) -> Applies {
    let name = Folded::new(&wanted.name);
    let mut known = Applies::Unsure;
    for other in listed {
        let Condition { name: other, holds } = Condition::of(other.as_str());
        let other = Folded::new(&other);
        match (other == name, holds) {
            (true, true) => {
                known = Applies::Yes;
                break;
            }
            (true, false) => known = Applies::No,
            (false, true) if name.kind().is_some() && other.kind() == name.kind() => {
                known = Applies::No;
            }
            _ => {}
        }
    }
    match known {
        Applies::Yes if !wanted.holds => Applies::No,
        Applies::No if !wanted.holds => Applies::Yes,
        known => known,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_trait_that_is_named_neither_way_is_unsure_and_a_kind_has_one_value() {
        let of = |wanted: &str, traits: &str| {
            let traits: Vec<Key> = traits.split(';').map(Key::new).collect();
            known(&Condition::of(wanted), &traits)
        };
        let (yes, no, unsure) = (Applies::Yes, Applies::No, Applies::Unsure);
        for (wanted, traits, is) in [
            ("EU", "eu", yes),
            ("EU", "not EU", no),
            ("EU", "cover", unsure),
            ("EU", "", unsure),
            ("not EU", "EU", no),
            ("not EU", "Not eu", yes),
            ("not EU", "cover", unsure),
            ("shaft=long", "shaft=long", yes),
            ("shaft=long", "Shaft = Long", yes),
            ("shaft=long", "shaft=short", no),
            ("not shaft=long", "shaft=short", yes),
            ("shaft=long", "deck=long", unsure),
            ("shaft=long", "not shaft=short", unsure),
            ("wide-deck", "wide deck", yes),
            ("wide deck", "not wide-deck", no),
            ("shaft=extra-long", "shaft=extra long", yes),
        ] {
            assert_eq!(of(wanted, traits), is, "{wanted} of {traits}");
        }
    }
}
