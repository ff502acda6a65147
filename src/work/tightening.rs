//! A torque as one reads it off at the bench: as the tables have it, in N·m and in lbf·ft, stage by stage.

use crate::measure::{MomentUnit, Stage, Torque};
use serde::Serialize;

/// What the conversion rests on, for the foot of a page.
pub const SOURCE: &str = "1 lbf·ft is exactly 1.3558179483314004 N·m and 1 kgf·m exactly 9.80665 N·m (NIST SP 811, appendix B.8); converted figures are rounded to three figures";

/// One stage of a torque.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct TorqueStage {
    /// The figure as the tables have it, with its unit, and in brackets what they have in other units; a turn with
    /// its sign.
    pub listed: String,
    /// The same in N·m; `null` for a turn.
    pub newton_metres: Option<String>,
    /// The same in lbf·ft; `null` for a turn.
    pub pound_force_feet: Option<String>,
    /// What of the two the tables do not have, in words.
    #[serde(skip)]
    converted: String,
}

/// Gives the stages of a torque in both units. What is typed stays as typed, in either unit; what is not is converted
/// from the first figure by the exact factor and rounded to three figures.
pub fn stages(torque: &Torque) -> Vec<TorqueStage> {
    torque.stages().iter().map(in_both_units).collect()
}

fn in_both_units(stage: &Stage) -> TorqueStage {
    let listed = stage.to_string();
    let Stage::Moment { first, also } = stage else {
        return TorqueStage {
            listed,
            newton_metres: None,
            pound_force_feet: None,
            converted: String::new(),
        };
    };
    let typed =
        |wanted: MomentUnit| [first].into_iter().chain(also).find(|moment| moment.unit == wanted);
    let shown = |wanted: MomentUnit| match typed(wanted) {
        Some(moment) => (moment.to_string(), true),
        None => (first.in_unit(wanted).to_string(), false),
    };
    let (metric, metric_typed) = shown(MomentUnit::NewtonMetre);
    let (pounds, pounds_typed) = shown(MomentUnit::PoundForceFoot);
    let converted = match (metric_typed, pounds_typed) {
        (true, true) => String::new(),
        (true, false) if also.is_empty() => format!(" ({pounds})"),
        (false, true) if also.is_empty() => format!(" ({metric})"),
        (true, false) => format!(" = {pounds}"),
        (false, true) => format!(" = {metric}"),
        (false, false) => format!(" = {metric} ({pounds})"),
    };
    TorqueStage { listed, newton_metres: Some(metric), pound_force_feet: Some(pounds), converted }
}

impl TorqueStage {
    /// Gives the stage in one line: `20 N·m (14.8 lbf·ft)`, `2 kgf·m = 19.6 N·m (14.5 lbf·ft)`, `turn +90°`.
    pub fn words(&self) -> String {
        match self.newton_metres {
            Some(_) => format!("{}{}", self.listed, self.converted),
            None => format!("turn {}", self.listed),
        }
    }
}

/// Gives a torque in one line, its stages in their order.
pub fn words(stages: &[TorqueStage]) -> String {
    let stages: Vec<String> = stages.iter().map(TorqueStage::words).collect();
    stages.join(", then ")
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::measure::DecimalMark;

    fn said(text: &str) -> String {
        words(&stages(&Torque::parse(text, DecimalMark::Point).unwrap()))
    }

    #[test]
    fn every_stage_is_told_in_both_units() {
        assert_eq!(
            said("10 N·m; 20 N·m; +90°"),
            "10 N·m (7.38 lbf·ft), then 20 N·m (14.8 lbf·ft), then turn +90°"
        );
        assert_eq!(said("18-22 N·m"), "18-22 N·m (13.3-16.2 lbf·ft)");
    }

    #[test]
    fn the_figure_typed_stays_as_typed_whatever_its_unit() {
        assert_eq!(said("12 lbf·ft"), "12 lbf·ft (16.3 N·m)");
        assert_eq!(said("2.0 kgf·m"), "2.0 kgf·m = 19.6 N·m (14.5 lbf·ft)");
        assert_eq!(said("26 lbf·in"), "26 lbf·in = 2.94 N·m (2.17 lbf·ft)");
    }

    #[test]
    fn what_the_tables_have_in_both_units_is_told_as_typed_and_nothing_is_converted_beside_it() {
        assert_eq!(said("25 N·m (18 lbf·ft); +90°"), "25 N·m (18 lbf·ft), then turn +90°");
        assert_eq!(said("25 N·m (2.5 kgf·m, 18 lbf·ft)"), "25 N·m (2.5 kgf·m, 18 lbf·ft)");
        assert_eq!(said("18 lbf·ft (25 N·m)"), "18 lbf·ft (25 N·m)");
        assert_eq!(said("25 N·m (2.5 kgf·m)"), "25 N·m (2.5 kgf·m) = 18.4 lbf·ft");
        assert_eq!(said("2.5 kgf·m (18 lbf·ft)"), "2.5 kgf·m (18 lbf·ft) = 24.5 N·m");
        let typed = stages(&Torque::parse("25 N·m (18 lbf·ft)", DecimalMark::Point).unwrap());
        assert_eq!(typed[0].pound_force_feet.as_deref(), Some("18 lbf·ft"), "not 18.4");
    }

    #[test]
    fn converted_figures_agree_with_the_published_factors() {
        // 100 lbf·ft by the rounded factor of NIST SP 811, appendix B.8: 135.5818 N·m; 100 N·m: 73.75621 lbf·ft.
        assert_eq!(said("100 lbf·ft"), "100 lbf·ft (136 N·m)");
        assert_eq!(said("100 N·m"), "100 N·m (73.8 lbf·ft)");
    }

    #[test]
    fn the_least_and_the_greatest_figures_that_can_be_typed_convert() {
        assert_eq!(said("999999 lbf·ft"), "999999 lbf·ft (1360000 N·m)");
        assert!(said("0.0001 kgf·m").starts_with("0.0001 kgf·m = 0.000981 N·m"));
    }
}
