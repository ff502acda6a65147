//! The command `size`: one size, or a hole and its shaft, worked out.

use super::printing::Page;
use super::{Answer, Ended};
use crate::measure::{
    DecimalMark, Interval, NotTabulated, Size, Tolerance, inches, json_number, plain,
};
use clap::Args;
use rust_decimal::Decimal;
use serde_json::{Map, Value};

#[derive(Debug, Args)]
#[command(after_help = "\
Examples:
  kitwright size '25 H7'
  kitwright size '25 H7' --against '25 g6'
  kitwright size '12.00..12.03' --against 11.87
  kitwright size '7/64 in'")]
pub(crate) struct SizeAsk {
    /// The size: 10, 7/64 in, 9.98..10.02, 10 +0.02/-0.01, 10 h8.
    #[arg(value_name = "SIZE", value_parser = parse_size)]
    pub size: Size,
    /// The shaft that goes into it.
    #[arg(long, value_name = "SIZE", value_parser = parse_size)]
    pub against: Option<Size>,
}

fn parse_size(text: &str) -> Result<Size, String> {
    Size::parse(text, DecimalMark::Point).map_err(|error| error.to_string())
}

pub(crate) fn run(ask: &SizeAsk, in_json: bool) -> anyhow::Result<Answer> {
    let Some(other) = &ask.against else {
        let worked = match Worked::of(&ask.size) {
            Ok(worked) => worked,
            Err(error) => return Ok(Answer::refused(format!("error: {error}\n"))),
        };
        if in_json {
            return json(&Value::Object(worked.to_json()));
        }
        let mut page = Page::default();
        worked.print(&mut page);
        return Ok(Answer::new(page.into_text(), Ended::Done));
    };
    // A class says by its capitals which of the two is the hole; otherwise the hole is the one named first.
    let turned = is_class(&ask.size, false) && !is_class(other, false)
        || is_class(other, true) && !is_class(&ask.size, true);
    let (hole, shaft) = if turned { (other, &ask.size) } else { (&ask.size, other) };
    if is_class(hole, false) || is_class(shaft, true) {
        let what = if is_class(hole, false) { "shafts" } else { "holes" };
        return Ok(Answer::refused(format!(
            "error: both sizes are for {what}; give the hole, and the shaft --against it\n"
        )));
    }
    let (hole, shaft) = match (Worked::of(hole), Worked::of(shaft)) {
        (Ok(hole), Ok(shaft)) => (hole, shaft),
        (Err(error), _) | (_, Err(error)) => {
            return Ok(Answer::refused(format!("error: {error}\n")));
        }
    };
    let (Some(clearance), Some(likely)) =
        (hole.limits.minus(shaft.limits), hole.limits.minus_statistically(shaft.limits))
    else {
        return Ok(Answer::refused("error: these sizes are too large to be worked out\n"));
    };
    if in_json {
        let mut object = hole.to_json();
        object.insert("against".to_owned(), Value::Object(shaft.to_json()));
        object.insert("clearance".to_owned(), Value::Object(limits(clearance)));
        object.insert("clearance_statistical".to_owned(), Value::Object(limits(likely)));
        object.insert("kind".to_owned(), Value::from(kind(clearance)));
        return json(&Value::Object(object));
    }
    let mut page = Page::default();
    page.answer(&format!("{} with {}: {}", hole.size, shaft.size, told(clearance)), true);
    page.text(
        &format!("likely, if sizes scatter evenly about their middles: {}", told(likely)),
        "  ",
        "    ",
    );
    page.blank();
    hole.print(&mut page);
    shaft.print(&mut page);
    Ok(Answer::new(page.into_text(), Ended::Done))
}

fn json(value: &Value) -> anyhow::Result<Answer> {
    Ok(Answer::new(format!("{}\n", serde_json::to_string_pretty(value)?), Ended::Done))
}

fn is_class(size: &Size, hole: bool) -> bool {
    matches!(size.tolerance(), Tolerance::Class(class) if class.is_hole() == hole)
}

/// A size with its limits.
struct Worked<'a> {
    size: &'a Size,
    limits: Interval,
}

impl<'a> Worked<'a> {
    fn of(size: &'a Size) -> Result<Self, NotTabulated> {
        Ok(Worked { size, limits: size.interval_mm()? })
    }

    fn to_json(&self) -> Map<String, Value> {
        let mut object = Map::new();
        object.insert("nominal".to_owned(), json_number(self.size.nominal_mm()));
        object.extend(limits(self.limits));
        object
    }

    fn print(&self, page: &mut Page) {
        page.answer(&self.size.to_string(), true);
        let nominal = self.size.nominal_mm();
        let row = |name: &str, value: Decimal| {
            format!(
                "{name:<8}{:>12} mm {:>12} in",
                plain(value.round_dp(5)),
                plain(inches(value).round_dp(6))
            )
        };
        page.text(&row("nominal", nominal), "  ", "  ");
        if self.limits.low != self.limits.high {
            page.text(&row("least", self.limits.low), "  ", "  ");
            page.text(&row("most", self.limits.high), "  ", "  ");
            page.text(&row("between", self.limits.width()), "  ", "  ");
        }
    }
}

fn limits(interval: Interval) -> Map<String, Value> {
    let mut object = Map::new();
    // A root has no end in decimals; a nanometre is as far as any of this means anything.
    object.insert("low".to_owned(), json_number(interval.low.round_dp(9)));
    object.insert("high".to_owned(), json_number(interval.high.round_dp(9)));
    object
}

fn kind(clearance: Interval) -> &'static str {
    if clearance.low >= Decimal::ZERO {
        "clearance"
    } else if clearance.high <= Decimal::ZERO {
        "interference"
    } else {
        "transition"
    }
}

/// Says in words how two sizes go together.
fn told(clearance: Interval) -> String {
    let figure = |value: Decimal| plain(value.abs().round_dp(4));
    let span = |low: Decimal, high: Decimal| {
        if low == high {
            format!("{} mm", figure(low))
        } else {
            format!("{} to {} mm", figure(low), figure(high))
        }
    };
    match kind(clearance) {
        "clearance" => format!("{} of clearance", span(clearance.low, clearance.high)),
        "interference" => format!("{} of interference", span(clearance.high, clearance.low)),
        _ => format!(
            "from {} mm of interference to {} mm of clearance",
            figure(clearance.low),
            figure(clearance.high)
        ),
    }
}
