//! Rows that lead round in a circle: supersessions, operations that need each other, parts that contain themselves.

use super::code::Code;
use super::findings::Findings;
use super::fleet::Fleet;
use super::grouped::Grouped;
use super::reach::Reach;
use crate::catalog::{At, Scope};
use petgraph::algo::kosaraju_scc;
use petgraph::graph::DiGraph;
use std::collections::{HashMap, HashSet, VecDeque};
use std::fmt::Display;
use std::hash::Hash;

pub(super) const SUPERSESSION: Code = Code::error(
    "supersession-cycle",
    "Following the supersessions from a number leads back to it, so nobody can tell which number is the latest.",
    "Take out the row that leads back, or narrow the scopes so that the rows never apply to one machine.",
);
pub(super) const ITSELF: Code = Code::warning(
    "superseded-by-itself",
    "A supersession leads from a number to the same number and has nothing in together.",
    "Take the row out. If the part stays and others come with it, put the same word into together on all its rows.",
);
pub(super) const OPERATION: Code = Code::error(
    "operation-cycle",
    "Operations need each other in a circle, so none of them can come first.",
    "Take one of the needs out.",
);
pub(super) const CONTAINS: Code = Code::error(
    "contains-cycle",
    "A set or assembly contains itself, directly or through what it contains.",
    "Take out the row that leads back.",
);

pub(super) const CARRIED: Code = Code::error(
    "carried-by-cycle",
    "Positions carry each other in a circle, so none of them is the part that the others sit in.",
    "Take out the carried_by that leads back.",
);

pub(super) const CODES: &[Code] = &[SUPERSESSION, ITSELF, OPERATION, CONTAINS, CARRIED];

/// Finds every cycle whose rows can all apply to one machine.
pub(super) fn find(catalog: &Grouped, findings: &mut Findings) {
    let rows = catalog.rows;
    let mut supersessions = Web::default();
    // A scope that was not read would let a row hold where it does not.
    for row in &rows.supersessions {
        if !findings.was_read(row.at) {
            continue;
        }
        if row.old != row.new {
            supersessions.lead(&row.old, &row.new, Some(&row.scope), row.at);
        } else if row.together.is_none() {
            let message = format!(
                "`{}` leads to itself; take the row out, or put a word into together if the part stays and others come with it",
                row.new
            );
            findings.add(ITSELF, row.at, "new", message);
        }
    }
    supersessions.report(&catalog.fleet, findings, SUPERSESSION, "new", |cycle| {
        format!("the supersessions go round in a circle: {cycle}; take out the row that leads back")
    });
    let mut operations = Web::default();
    for row in rows.operations.iter().filter(|row| findings.was_read(row.at)) {
        for need in &row.needs {
            operations.lead(&row.operation, need, Some(&row.scope), row.at);
        }
    }
    operations.report(&catalog.fleet, findings, OPERATION, "needs", |cycle| {
        format!("each of these operations needs the next, so none can come first: {cycle}; take one of the needs out")
    });
    let mut carried = Web::default();
    for row in rows.positions.iter().filter(|row| findings.was_read(row.at)) {
        if let Some(carrier) = &row.carried_by {
            carried.lead(&row.position, carrier, Some(&row.scope), row.at);
        }
    }
    carried.report(&catalog.fleet, findings, CARRIED, "carried_by", |cycle| {
        format!("each of these positions sits in the part of the next: {cycle}; take out the carried_by that leads back")
    });
    let mut contents = Web::default();
    for row in &rows.contains {
        contents.lead(&row.part, &row.contained, None, row.at);
    }
    contents.report(&catalog.fleet, findings, CONTAINS, "contains", |cycle| {
        format!("a part cannot be inside itself: {cycle}; take out the row that leads back")
    });
}

/// What leads to what, each step by a row.
struct Web<'a, N> {
    numbers: HashMap<&'a N, u32>,
    names: Vec<&'a N>,
    steps: Vec<Step<'a>>,
}

#[derive(Clone, Copy)]
struct Step<'a> {
    from: u32,
    to: u32,
    scope: Option<&'a Scope>,
    at: At,
}

impl<N> Default for Web<'_, N> {
    fn default() -> Self {
        Web { numbers: HashMap::new(), names: Vec::new(), steps: Vec::new() }
    }
}

impl<'a, N: Hash + Eq + Display> Web<'a, N> {
    fn lead(&mut self, from: &'a N, to: &'a N, scope: Option<&'a Scope>, at: At) {
        let mut number = |name: &'a N| {
            *self.numbers.entry(name).or_insert_with(|| {
                self.names.push(name);
                u32::try_from(self.names.len() - 1).unwrap_or(u32::MAX)
            })
        };
        let (from, to) = (number(from), number(to));
        self.steps.push(Step { from, to, scope, at });
    }

    fn report(
        &self,
        fleet: &Fleet,
        findings: &mut Findings,
        code: Code,
        column: &str,
        say: impl Fn(&str) -> String,
    ) {
        for cycle in cycles(&self.steps, fleet) {
            let Some(first) = cycle.iter().min_by_key(|step| step.at) else { continue };
            let begin = cycle.iter().position(|step| step.at == first.at).unwrap_or_default();
            let name = |number: u32| {
                self.names.get(number as usize).map_or_else(String::new, |name| format!("`{name}`"))
            };
            let mut shown: Vec<String> = cycle
                .iter()
                .cycle()
                .skip(begin)
                .take(cycle.len())
                .map(|step| name(step.from))
                .collect();
            shown.push(name(first.from));
            if shown.len() > MOST_SHOWN {
                shown.splice(MOST_SHOWN - 2..shown.len() - 1, ["…".to_owned()]);
            }
            findings.add(code, first.at, column, say(&shown.join(" → ")));
        }
    }
}

/// A cycle longer than this is shown with its middle left out.
const MOST_SHOWN: usize = 12;

/// Finds cycles whose rows can hold together, at least one through every set of names that lead round to each
/// other and each step in at most one, in the order of their first steps.
///
/// Among rows that limit each other in intricate ways the search for one that holds may be given up.
fn cycles<'a>(steps: &[Step<'a>], fleet: &Fleet) -> Vec<Vec<Step<'a>>> {
    let graph: DiGraph<(), (), u32> =
        DiGraph::from_edges(steps.iter().map(|step| (step.from, step.to)));
    // The outside library's iterative search: chains of supersessions may be longer than a stack is deep.
    let mut knot_of: HashMap<u32, usize> = HashMap::new();
    let with_itself: HashSet<u32> =
        steps.iter().filter(|step| step.from == step.to).map(|step| step.from).collect();
    for (knot, names) in kosaraju_scc(&graph).into_iter().enumerate() {
        if names.len() > 1 || names.iter().any(|name| with_itself.contains(&(name.index() as u32)))
        {
            knot_of.extend(names.iter().map(|name| (name.index() as u32, knot)));
        }
    }
    let mut knots: HashMap<usize, Knot> = HashMap::new();
    for step in steps {
        if let (Some(knot), Some(other)) = (knot_of.get(&step.from), knot_of.get(&step.to))
            && knot == other
        {
            let knot = knots.entry(*knot).or_default();
            knot.leaving.entry(step.from).or_default().push(knot.steps.len());
            knot.steps.push(*step);
        }
    }
    knots.into_values().flat_map(|knot| knot.cycles(fleet)).collect()
}

/// Names that all lead round to each other.
#[derive(Default)]
struct Knot<'a> {
    steps: Vec<Step<'a>>,
    leaving: HashMap<u32, Vec<usize>>,
}

impl<'a> Knot<'a> {
    fn cycles(&self, fleet: &Fleet) -> Vec<Vec<Step<'a>>> {
        let mut found = Vec::new();
        let mut in_cycle = HashSet::new();
        let mut effort = 20_000 + 4 * self.steps.len();
        for first in 0..self.steps.len() {
            if effort == 0 {
                break;
            }
            if in_cycle.contains(&first) {
                continue;
            }
            let shortest =
                self.shortest(first, &mut effort).filter(|cycle| self.holds(cycle, fleet));
            let cycle = shortest.or_else(|| self.any_that_holds(first, fleet, &mut effort));
            if let Some(cycle) = cycle {
                in_cycle.extend(cycle.iter().copied());
                found.push(
                    cycle.into_iter().filter_map(|index| self.steps.get(index).copied()).collect(),
                );
            }
        }
        found
    }

    fn step(&self, index: usize) -> Option<&Step<'a>> {
        self.steps.get(index)
    }

    fn leaving(&self, name: u32) -> &[usize] {
        self.leaving.get(&name).map_or(&[], Vec::as_slice)
    }

    fn holds(&self, cycle: &[usize], fleet: &Fleet) -> bool {
        let mut reach = Reach::default();
        cycle.iter().filter_map(|index| self.step(*index)?.scope).all(|scope| {
            match reach.narrow(scope, fleet) {
                Some(narrower) => {
                    reach = narrower;
                    true
                }
                None => false,
            }
        })
    }

    /// Finds the shortest cycle that begins with a step, whatever the scopes say.
    fn shortest(&self, first: usize, effort: &mut usize) -> Option<Vec<usize>> {
        let (goal, start) = self.step(first).map(|step| (step.from, step.to))?;
        let mut came_by: HashMap<u32, usize> = HashMap::from([(start, first)]);
        let mut waiting = VecDeque::from([start]);
        while let Some(name) = waiting.pop_front() {
            if name == goal {
                break;
            }
            for &index in self.leaving(name) {
                *effort = effort.saturating_sub(1);
                let to = self.step(index)?.to;
                if let std::collections::hash_map::Entry::Vacant(entry) = came_by.entry(to) {
                    entry.insert(index);
                    waiting.push_back(to);
                }
            }
        }
        let mut cycle = Vec::new();
        let mut name = goal;
        loop {
            let index = *came_by.get(&name)?;
            cycle.push(index);
            if index == first {
                break;
            }
            name = self.step(index)?.from;
        }
        cycle.reverse();
        Some(cycle)
    }

    /// Finds a cycle that begins with a step and whose rows hold together, by trying every way round.
    fn any_that_holds(
        &self,
        first: usize,
        fleet: &Fleet,
        effort: &mut usize,
    ) -> Option<Vec<usize>> {
        let step = self.step(first)?;
        let narrow = |reach: &Reach<'a>, scope: Option<&'a Scope>| match scope {
            Some(scope) => reach.narrow(scope, fleet),
            None => Some(reach.clone()),
        };
        let reach = narrow(&Reach::default(), step.scope)?;
        // The way so far: each step, the machines left after it, and which way on from it is to be tried next.
        let mut way = vec![(first, reach, 0)];
        let mut passed = HashSet::from([step.to]);
        while let Some((index, reach, next)) = way.last_mut() {
            let here = self.step(*index)?.to;
            if here == step.from {
                return Some(way.into_iter().map(|(index, ..)| index).collect());
            }
            let Some(&on) = self.leaving(here).get(*next) else {
                passed.remove(&here);
                way.pop();
                continue;
            };
            *next += 1;
            *effort = effort.checked_sub(1).filter(|left| *left > 0)?;
            let onward = self.step(on)?;
            if !passed.contains(&onward.to)
                && let Some(reach) = narrow(reach, onward.scope)
            {
                passed.insert(onward.to);
                way.push((on, reach, 0));
            }
        }
        None
    }
}

#[cfg(test)]
mod tests {
    use crate::tables::{Tables, check};

    fn cycles(supersessions: &str) -> Vec<String> {
        let mut tables = Tables::default();
        let text = format!("old,new,years,model\n{supersessions}");
        tables.read_file("supersessions", "supersessions.csv".into(), text.as_bytes());
        assert_eq!(tables.faults, []);
        let found =
            check(&tables).errors.into_iter().filter(|fault| fault.code == "supersession-cycle");
        found
            .map(|fault| {
                fault.message.split(": ").nth(1).unwrap_or_default().replace(['`', ' '], "")
            })
            .collect()
    }

    fn shown(cycle: &str) -> Vec<String> {
        vec![format!("{cycle};takeouttherowthatleadsback")]
    }

    #[test]
    fn a_longer_way_round_is_found_where_every_shorter_one_falls_apart() {
        // From every row of the way a, b, c, d the shortest way back takes a row that excludes it.
        let rows = "a,b,-2000,\nc,a,2001-,M\na,c,,N\nb,c,,\nc,d,,M\nd,a,,\n";
        assert_eq!(cycles(rows), shown("a→b→c→d→a"));
        assert_eq!(cycles(&rows.replace("d,a,,", "d,a,2001-,")), Vec::<String>::new());
    }

    #[test]
    fn each_of_two_ways_round_is_told_and_none_twice() {
        assert_eq!(cycles("a,b,,\nb,a,,\nc,d,,\nd,e,,\ne,c,,\nx,a,,\n").len(), 2);
        assert_eq!(cycles("a,b,,\nb,c,,\nb,d,,\nc,a,,\nd,a,,\n").len(), 2);
    }

    #[test]
    fn a_chain_of_very_many_numbers_is_followed_to_its_end_and_shown_in_short() {
        let mut rows: String = (0..20_000).map(|i| format!("n{i},n{},,\n", i + 1)).collect();
        assert_eq!(cycles(&rows), Vec::<String>::new());
        rows += "n20000,n0,,\n";
        assert_eq!(cycles(&rows), shown("n0→n1→n2→n3→n4→n5→n6→n7→n8→n9→…→n0"));
    }

    #[test]
    fn the_search_ends_where_very_many_rows_exclude_each_other() {
        let mut rows = String::new();
        for layer in 0..40 {
            for way in 0..4 {
                let next = (layer + 1) % 40;
                rows += &format!(
                    "l{layer},w{layer}k{way},{},\nw{layer}k{way},l{next},,\n",
                    1900 + layer % 2
                );
            }
        }
        assert_eq!(cycles(&rows), Vec::<String>::new());
    }
}
