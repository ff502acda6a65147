//! Jobs and operations that do nothing or that nobody gets to, and job lines that say nothing.

use super::code::Code;
use super::findings::Findings;
use super::grouped::{Grouped, group};
use super::names::is_slip;
use crate::catalog::{Condition, Fitted, JobLine};
use crate::measure::Key;
use std::collections::{HashMap, HashSet};

pub(super) const EMPTY_LINE: Code = Code::error(
    "empty-job-line",
    "A job line names neither a position nor a part nor an operation, so it does nothing.",
    "Say what the line is for, or take it out.",
);
pub(super) const NOTHING_NOWHERE: Code = Code::error(
    "nothing-without-position",
    "A job line has - as its part, which leaves a position empty, but names no position.",
    "Name the position, or the part.",
);
pub(super) const NO_LINES: Code = Code::warning(
    "job-without-lines",
    "A job has no line in job_lines, so its kit would be empty and look complete.",
    "Add its lines to job_lines.csv, or take the job out.",
);
pub(super) const OUT_OF_REACH: Code = Code::warning(
    "job-out-of-reach",
    "A job renews positions, but nothing says how to get at any of them: no operation in its lines, no reached_by, no operation that opens their joints or removes them.",
    "Fill in reached_by at the positions, or add a line with the operation to the job.",
);
pub(super) const UNUSED_OPERATION: Code = Code::warning(
    "unused-operation",
    "Nothing leads to an operation: no job line, no reached_by, no retrofit and no other operation's needs.",
    "Name it where it belongs, or take it out.",
);
pub(super) const ONLY_NOT: Code = Code::warning(
    "option-only-denied",
    "An option of a job is named only as `not NAME`, so nobody can tell what it does; often one of two spellings is wrong.",
    "Add the lines that the option stands for, or correct the name.",
);
pub(super) const OPTION_NEAR_MISS: Code = Code::warning(
    "option-near-miss",
    "Two options of one job are spelt almost alike, as if one of them were mistyped.",
    "Spell both in one way, or give them names that differ more.",
);

pub(super) const CODES: &[Code] = &[
    EMPTY_LINE,
    NOTHING_NOWHERE,
    NO_LINES,
    OUT_OF_REACH,
    UNUSED_OPERATION,
    ONLY_NOT,
    OPTION_NEAR_MISS,
];

/// Finds what is wrong with jobs, their lines and their operations.
pub(super) fn find(catalog: &Grouped, findings: &mut Findings) {
    let rows = catalog.rows;
    for row in &rows.job_lines {
        match (&row.position, &row.part, &row.operation) {
            (None, Fitted::Blank, None) => {
                let message = format!(
                    "this line of `{}` names nothing to do; name a position, a part or an operation",
                    row.job
                );
                findings.add(EMPTY_LINE, row.at, "position", message);
            }
            (None, Fitted::Nothing, _) => {
                let message =
                    "`-` leaves a position empty, but the line names none; name the position"
                        .to_owned();
                findings.add(NOTHING_NOWHERE, row.at, "part", message);
            }
            _ => {}
        }
    }
    let lines = group(&rows.job_lines, |row| &row.job);
    if catalog.whole(&["job_lines"]) {
        let mut seen = HashSet::new();
        for row in
            rows.jobs.iter().filter(|row| seen.insert(&row.job) && !lines.contains_key(&row.job))
        {
            let message = format!(
                "`{}` has no line in job_lines; add what it does, or take the job out",
                row.job
            );
            findings.add(NO_LINES, row.at, "job", message);
        }
    }
    for lines in lines.values() {
        options(lines, findings);
        if catalog.whole(&["positions", "operations"]) {
            out_of_reach(catalog, lines, findings);
        }
    }
    if catalog.whole(&["operations", "job_lines", "positions", "retrofits"]) {
        unused_operations(catalog, findings);
    }
}

fn out_of_reach(catalog: &Grouped, lines: &[&JobLine], findings: &mut Findings) {
    if lines.iter().any(|line| line.operation.is_some()) {
        return;
    }
    let reached = |position: &Key| {
        // A position that does not exist is reported as such.
        let Some(rows) = catalog.position_rows.get(position) else { return true };
        catalog.removed.contains(position)
            || rows.iter().any(|row| {
                row.reached_by.is_some()
                    || row.joint.iter().any(|joint| catalog.opened.contains(joint))
            })
    };
    let named = || lines.iter().filter_map(|line| Some((line, line.position.as_ref()?)));
    if let Some((line, position)) = named().next()
        && !named().any(|(_, position)| reached(position))
    {
        let message = format!(
            "nothing says how `{}` gets at `{position}` or any other of its positions; fill in their reached_by, or add a line with the operation",
            line.job
        );
        findings.add(OUT_OF_REACH, line.at, "position", message);
    }
}

fn unused_operations(catalog: &Grouped, findings: &mut Findings) {
    let rows = catalog.rows;
    let mut led_to: HashSet<&Key> =
        rows.job_lines.iter().filter_map(|row| row.operation.as_ref()).collect();
    led_to.extend(rows.positions.iter().filter_map(|row| row.reached_by.as_ref()));
    led_to.extend(rows.retrofits.iter().flat_map(|row| &row.operations));
    led_to.extend(rows.operations.iter().flat_map(|row| &row.needs));
    let mut seen = HashSet::new();
    for row in rows
        .operations
        .iter()
        .filter(|row| seen.insert(&row.operation) && !led_to.contains(&row.operation))
    {
        let message = format!(
            "nothing leads to `{}`: no job line, no reached_by, no retrofit, no other operation; name it where it belongs, or take it out",
            row.operation
        );
        findings.add(UNUSED_OPERATION, row.at, "operation", message);
    }
}

/// So many options of one job are compared with each other; no job has nearly as many.
const MOST_OPTIONS: usize = 64;

fn options(lines: &[&JobLine], findings: &mut Findings) {
    let mut named: Vec<(&JobLine, &Condition)> = Vec::new();
    let mut chosen: HashSet<&Key> = HashSet::new();
    let mut seen: HashMap<&Key, usize> = HashMap::new();
    for line in lines {
        let Some(option) = &line.option else { continue };
        if option.holds {
            chosen.insert(&option.name);
        }
        seen.entry(&option.name).or_insert_with(|| {
            named.push((line, option));
            named.len()
        });
    }
    for (index, (line, option)) in named.iter().take(MOST_OPTIONS).enumerate() {
        let near = named
            .iter()
            .take(index)
            .find(|(_, other)| is_slip(other.name.folded(), option.name.folded()));
        if let Some((first, other)) = near {
            let message = format!(
                "`{}` is almost `{}` of {}; spell both in one way, or give them names that differ more",
                option.name,
                other.name,
                findings.place(first.at)
            );
            findings.add(OPTION_NEAR_MISS, line.at, "option", message);
        } else if !chosen.contains(&option.name)
            && !named.iter().any(|(_, other)| is_slip(other.name.folded(), option.name.folded()))
        {
            let message = format!(
                "no line of `{}` stands for the option `{}`, only this one against it; add its lines, or correct the name",
                line.job, option.name
            );
            findings.add(ONLY_NOT, line.at, "option", message);
        }
    }
}
