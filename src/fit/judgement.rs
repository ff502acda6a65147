//! What one check found: a verdict, what it rests on in words and figures, and what is still to be measured.

use super::Verdict;
use crate::measure::{Interval, Key, json_number, plain};
use rust_decimal::Decimal;
use serde::Serialize;
use serde_json::{Map, Value};

/// The least and the most that something may measure, in mm; `None` where nobody has said.
pub type Limits = (Option<Decimal>, Option<Decimal>);

/// The finding of a check, in the making.
///
/// It starts as *fits* and can only get worse: a doubt or a missing figure makes it *not known*, a contradiction makes
/// it *does not fit*. Only where the figures may be another machine's is that taken back, to *not known*.
#[derive(Debug, Clone, Serialize)]
pub struct Judgement {
    /// What the figures say.
    pub verdict: Verdict,
    /// What was found, in words, one remark after another.
    pub said: Vec<String>,
    /// The figures: percent, millimetres or metres a second, as their names say.
    pub numbers: Map<String, Value>,
    /// What would settle what is not known.
    pub measure: Vec<String>,
    /// Figures were compared; without any, there is nothing to offer.
    #[serde(skip)]
    pub compared: bool,
    /// How many of the remarks, the first ones, name a figure outside its limits or guidance.
    #[serde(skip)]
    pub outside: usize,
    /// What the part works in is worn past its limit.
    #[serde(skip)]
    pub worn_out: bool,
    /// The part's features that were judged.
    #[serde(skip)]
    pub judged: Vec<&'static str>,
    /// The seat's features that were not reckoned with.
    #[serde(skip)]
    pub aside: Vec<Key>,
}

impl Judgement {
    /// Starts a finding.
    pub fn new() -> Self {
        Judgement {
            verdict: Verdict::Fits,
            said: Vec::new(),
            numbers: Map::new(),
            measure: Vec::new(),
            compared: false,
            outside: 0,
            worn_out: false,
            judged: Vec::new(),
            aside: Vec::new(),
        }
    }

    /// Notes what is as it should be.
    pub fn good(&mut self, text: impl Into<String>) {
        self.compared = true;
        self.said.push(text.into());
    }

    /// Notes what may or may not do.
    pub fn doubt(&mut self, text: impl Into<String>) {
        if self.verdict != Verdict::DoesNotFit {
            self.verdict = Verdict::NotKnown;
        }
        self.said.push(text.into());
    }

    /// Notes a figure that lies outside its limits or guidance, in front of all that is not: no row makes it fit.
    pub fn outside(&mut self, text: impl Into<String>) {
        self.compared = true;
        if self.verdict != Verdict::DoesNotFit {
            self.verdict = Verdict::NotKnown;
        }
        self.said.insert(self.outside, text.into());
        self.outside += 1;
    }

    /// Notes a figure that is not surely within what is wanted: outside it if all of it is, else in doubt.
    pub fn not_within(&mut self, figure: Interval, wanted: Limits, text: impl Into<String>) {
        let (least, most) = wanted;
        if least.is_some_and(|least| figure.high < least)
            || most.is_some_and(|most| figure.low > most)
        {
            self.outside(text);
        } else {
            self.doubt(text);
        }
    }

    /// Notes that the figures may not be this machine's, so that neither a yes nor a no stands by them.
    pub fn unsettled(&mut self, text: impl Into<String>) {
        self.verdict = Verdict::NotKnown;
        self.outside = 0;
        self.said.push(text.into());
    }

    /// Notes what no value between the limits can put right.
    pub fn no(&mut self, text: impl Into<String>) {
        self.compared = true;
        self.verdict = Verdict::DoesNotFit;
        self.said.push(text.into());
    }

    /// Notes a figure that nobody has given, and how to get it.
    pub fn missing(&mut self, what: impl Into<String>) {
        if self.verdict != Verdict::DoesNotFit {
            self.verdict = Verdict::NotKnown;
        }
        self.measure.push(what.into());
    }

    /// Names what would be good to know, though the verdict does not hang on it.
    pub fn ask(&mut self, what: impl Into<String>) {
        self.measure.push(what.into());
    }

    /// Notes a feature of the seat that was not reckoned with, so that it is not named as one that was.
    pub fn set_aside(&mut self, feature: &Key) {
        self.aside.push(feature.clone());
    }

    /// Notes that features of the part were judged, so that a difference in them is no open question.
    pub fn judges(&mut self, features: &[&'static str]) {
        self.judged.extend(features);
    }

    /// Keeps a figure, and its limits where it has any.
    pub fn number(&mut self, name: &str, figure: Interval, decimals: u32) {
        let mut keep = |name: String, value: Decimal| {
            self.numbers.insert(name, json_number(value.round_dp(decimals)));
        };
        keep(name.to_owned(), figure.nominal);
        if figure.low != figure.high {
            keep(format!("{name}_least"), figure.low);
            keep(format!("{name}_most"), figure.high);
        }
    }

    /// Judges a length by limits in mm: inside what is wanted is good, wholly outside the limits a *no*, anything else is
    /// in doubt.
    pub fn within(&mut self, what: &str, figure: Interval, limits: Limits, wanted: Limits) {
        let told = match wanted {
            (Some(least), Some(most)) if least == most => format!("{} mm", plain(least)),
            (Some(least), Some(most)) => format!("{} to {} mm", plain(least), plain(most)),
            (Some(least), None) => format!("at least {} mm", plain(least)),
            (None, Some(most)) => format!("at most {} mm", plain(most)),
            (None, None) => return,
        };
        let text = format!("{what} {}", shown(figure, "mm"));
        self.compared = true;
        let under = |value: Decimal, limits: Limits| limits.0.is_some_and(|least| value < least);
        let over = |value: Decimal, limits: Limits| limits.1.is_some_and(|most| value > most);
        if under(figure.high, limits) || over(figure.low, limits) {
            self.no(format!("{text}, not {told}"));
        } else if under(figure.low, wanted) || over(figure.high, wanted) {
            self.not_within(figure, wanted, format!("{text}, not surely within {told}"));
        } else {
            self.good(format!("{text}, within {told}"));
        }
    }

    /// Gives all that was said as one text.
    pub fn text(&self) -> String {
        self.said.join("; ")
    }
}

impl Default for Judgement {
    fn default() -> Self {
        Self::new()
    }
}

/// Shows a figure with its limits, to four decimals.
pub(super) fn shown(figure: Interval, unit: &str) -> String {
    shown_to(figure, unit, 4)
}

/// Shows a figure with its limits.
pub(super) fn shown_to(figure: Interval, unit: &str, decimals: u32) -> String {
    let show = |value: Decimal| plain(value.round_dp(decimals));
    let (low, high) = (show(figure.low), show(figure.high));
    if low == high { format!("{low} {unit}") } else { format!("{low} to {high} {unit}") }
}

/// Shows in percent what a figure is meant to be, with its worst cases: `73 % (64 to 83)`, `20 to 21 % (15 to 26)`.
pub(super) fn percent(meant: Interval, worst: Interval, decimals: u32) -> String {
    let show = |value: Decimal| plain(value.round_dp(decimals));
    let (low, high) = (show(meant.low), show(meant.high));
    let told = if low == high { low } else { format!("{low} to {high}") };
    if worst.low == worst.high {
        format!("{told} %")
    } else {
        format!("{told} % ({} to {})", show(worst.low), show(worst.high))
    }
}
