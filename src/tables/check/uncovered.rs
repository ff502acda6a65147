//! Scopes that leave out what they should hold: holes between the rows of a position, and rows for no machine.

use super::code::Code;
use super::findings::Findings;
use super::fleet::{Fleet, Span, common, spans};
use super::grouped::Grouped;
use super::reach::{Reach, said, traits_can_hold_together};
use crate::catalog::{At, Position, Scope};
use crate::measure::{Key, Serial, SerialRange, Year};
use std::cmp::Ordering;
use std::collections::HashSet;

pub(super) const YEARS: Code = Code::warning(
    "hole-in-years",
    "The rows of a position leave out years between them, so on a machine of those years the position would silently not be there.",
    "Stretch the years of one of the rows, or add a row with part = - for the years in which nothing is there.",
);
pub(super) const SERIALS: Code = Code::warning(
    "hole-in-serials",
    "The rows of a position leave out serials between them, so on a machine with one of those the position would silently not be there.",
    "Stretch the serials of one of the rows, or add a row with part = - for the serials at which nothing is there.",
);
pub(super) const NO_MACHINE: Code = Code::warning(
    "row-for-no-machine",
    "The limits of a row exclude each other, or its years lie outside the years in which its models were built, so it can never apply.",
    "Correct the limit that is wrong, or the years in models.csv.",
);

pub(super) const CODES: &[Code] = &[YEARS, SERIALS, NO_MACHINE];

/// Finds what no row covers, and rows that cover nothing.
pub(super) fn find(catalog: &Grouped, findings: &mut Findings) {
    if catalog.whole(&["models", "machines"]) {
        rows_for_no_machine(catalog, findings);
    }
    if catalog.whole(&["models", "machines", "positions"]) {
        for rows in catalog.position_rows.values() {
            holes(rows, &catalog.fleet, findings);
        }
    }
}

fn rows_for_no_machine(catalog: &Grouped, findings: &mut Findings) {
    for (at, scope) in catalog.scopes() {
        // Only these limits can empty a scope by themselves.
        if (scope.years.is_some() || scope.only.len() > 1)
            && Reach::default().narrow(scope, &catalog.fleet).is_none()
        {
            let contradicts =
                |holds| scope.only.iter().filter(move |condition| condition.holds == holds);
            let traits =
                contradicts(true).any(|yes| contradicts(false).any(|no| no.name == yes.name));
            let column = if traits { "only" } else { "years" };
            let message = if traits {
                format!(
                    "`{}` exclude each other, so the row applies to no machine; correct the cell",
                    traits_said(scope)
                )
            } else {
                format!(
                    "no machine can be `{}`, since the models were not built in those years; correct the cell, or the years in models.csv",
                    said(scope)
                )
            };
            findings.add(NO_MACHINE, at, column, message);
        }
    }
}

fn traits_said(scope: &Scope) -> String {
    scope.only.iter().map(ToString::to_string).collect::<Vec<_>>().join("; ")
}

/// A position with more rows than this is not looked through: no position of a real machine has nearly as many.
const MOST_ROWS: usize = 512;

/// Finds holes between the rows of one position, within one model and one set of traits.
fn holes(rows: &[&Position], fleet: &Fleet, findings: &mut Findings) {
    if rows.len() < 2
        || rows.len() > MOST_ROWS
        || rows.iter().all(|row| row.scope.years.is_none() && row.scope.serials.is_none())
    {
        return;
    }
    let mut models: Vec<Option<&Key>> = Vec::new();
    let mut seen = HashSet::new();
    for row in rows {
        let named = row.scope.model.iter().map(Some);
        let any = row.scope.model.is_empty().then_some(None);
        models.extend(named.chain(any).filter(|model| seen.insert(*model)));
    }
    let mut told = HashSet::new();
    for model in models {
        let of_model = |row: &&&Position| {
            row.scope.model.is_empty() || model.is_some_and(|model| row.scope.model.contains(model))
        };
        let of_model: Vec<&Position> = rows.iter().filter(of_model).copied().collect();
        let mut kinds: Vec<&Position> = Vec::new();
        for row in &of_model {
            if !kinds.iter().any(|other| other.scope.only == row.scope.only) {
                kinds.push(row);
            }
        }
        for kind in kinds {
            let on_it: Vec<&Position> = of_model
                .iter()
                .filter(|row| traits_can_hold_together(&kind.scope, &row.scope, fleet))
                .copied()
                .collect();
            let whom = model.map_or_else(String::new, |model| format!(" on {model}"));
            for hole in years_left_out(&on_it, fleet.built(model)) {
                if told.insert(("years", hole.next)) {
                    hole.report(YEARS, "years", &whom, findings);
                }
            }
            for hole in serials_left_out(&on_it) {
                if told.insert(("serials", hole.next)) {
                    hole.report(SERIALS, "serials", &whom, findings);
                }
            }
        }
    }
}

/// What lies between two rows and belongs to neither.
struct Hole {
    left_out: String,
    /// The row that ends before it.
    before: At,
    /// The row that begins behind it.
    next: At,
}

impl Hole {
    fn report(&self, code: Code, column: &str, whom: &str, findings: &mut Findings) {
        let message = format!(
            "between this row and {} no row of the position holds for {}{whom}; stretch one of them, or add a row with part - for what has none",
            findings.place(self.before),
            self.left_out
        );
        findings.add(code, self.next, column, message);
    }
}

fn years_left_out(rows: &[&Position], built: Option<&[Span]>) -> Vec<Hole> {
    let mut covered: Vec<(Span, At)> = Vec::new();
    for row in rows {
        let Some(years) = &row.scope.years else { return Vec::new() };
        covered.extend(spans(years).into_iter().map(|span| (span, row.at)));
    }
    covered.sort();
    let mut holes = Vec::new();
    let mut last: Option<(Year, At)> = None;
    for ((from, to), at) in covered {
        if let Some((end, before)) = last
            && before != at
            && from > end.saturating_add(1)
        {
            let hole = (end + 1, from - 1);
            let open = built.map_or_else(|| vec![hole], |built| common(built, &[hole]));
            if let Some((first, last)) =
                open.first().zip(open.last()).map(|(first, last)| (first.0, last.1))
            {
                let left_out =
                    if first == last { first.to_string() } else { format!("{first}-{last}") };
                holes.push(Hole { left_out, before, next: at });
            }
        }
        if last.is_none_or(|(end, _)| to > end) {
            last = Some((to, at));
        }
    }
    holes
}

fn serials_left_out(rows: &[&Position]) -> Vec<Hole> {
    let mut series: Vec<(&Serial, Vec<(&SerialRange, At)>)> = Vec::new();
    for row in rows {
        let Some(serials) = &row.scope.serials else { return Vec::new() };
        for range in serials.ranges() {
            let Some(limit) = range.from.as_ref().or(range.to.as_ref()) else { continue };
            match series.iter_mut().find(|(other, _)| other.compare(limit).is_some()) {
                Some((_, ranges)) => ranges.push((range, row.at)),
                None => series.push((limit, vec![(range, row.at)])),
            }
        }
    }
    let mut holes = Vec::new();
    for (_, mut ranges) in series {
        ranges.sort_by(|(a, _), (b, _)| match (&a.from, &b.from) {
            (Some(a), Some(b)) => a.compare(b).unwrap_or(Ordering::Equal),
            (a, b) => a.is_some().cmp(&b.is_some()),
        });
        // The highest serial covered so far; `None` once a range has no upper end.
        let mut last: Option<(Option<&Serial>, At)> = None;
        for (range, at) in ranges {
            if let (Some((Some(end), before)), Some(from)) = (last, &range.from)
                && before != at
                && let Some(next) = following(end)
                && next.compare(from) == Some(Ordering::Less)
            {
                let left_out = format!("serials from {next} up to, but not including, {from}");
                holes.push(Hole { left_out, before, next: at });
            }
            let further = match last {
                None => true,
                Some((None, _)) => false,
                Some((Some(end), _)) => {
                    range.to.as_ref().is_none_or(|to| to.compare(end) == Some(Ordering::Greater))
                }
            };
            if further {
                last = Some((range.to.as_ref(), at));
            }
        }
    }
    holes
}

/// Gives the serial behind one, with the same prefix.
fn following(serial: &Serial) -> Option<Serial> {
    let mut digits: Vec<char> = serial.as_str().chars().collect();
    let end = digits.iter().rposition(char::is_ascii_digit)?;
    let mut at = end;
    loop {
        let digit = digits.get_mut(at)?;
        if *digit != '9' {
            *digit = char::from_digit(digit.to_digit(10)? + 1, 10)?;
            break;
        }
        *digit = '0';
        match at
            .checked_sub(1)
            .filter(|before| digits.get(*before).is_some_and(char::is_ascii_digit))
        {
            Some(before) => at = before,
            None => {
                digits.insert(at, '1');
                break;
            }
        }
    }
    Serial::parse(&digits.into_iter().collect::<String>())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_serial_behind_one_carries_over_and_keeps_its_prefix() {
        let next =
            |text: &str| following(&Serial::parse(text).expect(text)).expect(text).to_string();
        assert_eq!(next("B4999"), "B5000");
        assert_eq!(next("0G999999"), "0G1000000");
        assert_eq!(next("A-0009"), "A-0010");
        assert_eq!(next("7K"), "8K");
    }
}
