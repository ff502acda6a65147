//! Which machines several scopes leave: whether their rows can apply to one and the same machine.

use super::fleet::{Fleet, Span, common, merge, spans};
use crate::catalog::Scope;
use crate::measure::{Key, Serial, SerialRange, SerialRanges, Year};
use std::cmp::Ordering;

/// The machines that all the scopes taken in so far apply to with *yes*; never empty.
///
/// Models, years and serials are reasoned exactly, and a model's build years count. Of traits the tables cannot
/// say which exclude each other, so two rows that each ask for a trait that the other does not ask for are taken
/// to be kept apart by them (`EU` and `US`), unless the owner has a machine that carries both.
#[derive(Debug, Clone, Default)]
pub(super) struct Reach<'a> {
    /// `None` is every model.
    models: Option<Vec<&'a Key>>,
    /// `None` is every year.
    years: Option<Vec<Span>>,
    /// `None` is every serial.
    serials: Option<Vec<Serials<'a>>>,
    must: Vec<&'a Key>,
    must_not: Vec<&'a Key>,
}

/// The serials from one to another, both included; no limit at an open end.
#[derive(Debug, Clone, Copy)]
struct Serials<'a> {
    from: Option<&'a Serial>,
    to: Option<&'a Serial>,
}

impl<'a> Reach<'a> {
    /// Takes one more scope in; `None` where no machine is left.
    pub fn narrow(&self, scope: &'a Scope, fleet: &Fleet) -> Option<Reach<'a>> {
        let models = match (&self.models, scope.model.is_empty()) {
            (models, true) => models.clone(),
            (None, false) => Some(scope.model.iter().collect()),
            (Some(models), false) => Some(
                models
                    .iter()
                    .copied()
                    .filter(|model| scope.model.contains(model))
                    .collect::<Vec<_>>(),
            ),
        };
        let years = match (&self.years, &scope.years) {
            (years, None) => years.clone(),
            (None, Some(years)) => Some(spans(years)),
            (Some(before), Some(years)) => Some(common(before, &spans(years))),
        };
        let serials = match (&self.serials, &scope.serials) {
            (serials, None) => serials.clone(),
            (None, Some(serials)) => Some(serials.ranges().iter().map(Serials::new).collect()),
            (Some(before), Some(serials)) => Some(
                before
                    .iter()
                    .flat_map(|a| serials.ranges().iter().filter_map(|b| a.common(Serials::new(b))))
                    .collect(),
            ),
        };
        let (must, must_not) = self.traits(scope, fleet)?;
        let reach = Reach { models, years, serials, must, must_not };
        let somewhere = reach.serials.as_ref().is_none_or(|serials| !serials.is_empty())
            && reach.somewhen(fleet);
        somewhere.then_some(reach)
    }

    /// Tells whether some model that is left was built in a year that is left.
    fn somewhen(&self, fleet: &Fleet) -> bool {
        let left = |model| match (&self.years, fleet.built(model)) {
            (Some(years), Some(built)) => !common(years, built).is_empty(),
            (Some(years), None) => !years.is_empty(),
            (None, _) => true,
        };
        match &self.models {
            None => left(None),
            Some(models) => models.iter().any(|model| left(Some(model))),
        }
    }

    fn traits(&self, scope: &'a Scope, fleet: &Fleet) -> Option<(Vec<&'a Key>, Vec<&'a Key>)> {
        let mut must = self.must.clone();
        let mut must_not = self.must_not.clone();
        let mut asked: Vec<&Key> = Vec::new();
        for condition in &scope.only {
            let (own, traits) =
                if condition.holds { (Some(&mut asked), &mut must) } else { (None, &mut must_not) };
            if let Some(own) = own
                && !own.contains(&&condition.name)
            {
                own.push(&condition.name);
            }
            if !traits.contains(&&condition.name) {
                traits.push(&condition.name);
            }
        }
        if must.iter().any(|name| must_not.contains(name)) {
            return None;
        }
        let each_asks_for_its_own = must.len() > self.must.len() && must.len() > asked.len();
        (!each_asks_for_its_own || fleet.carries(&must, &must_not)).then_some((must, must_not))
    }
}

/// Tells whether two rows can apply to one machine.
pub(super) fn can_hold_together(a: &Scope, b: &Scope, fleet: &Fleet) -> bool {
    Reach::default().narrow(a, fleet).and_then(|reach| reach.narrow(b, fleet)).is_some()
}

/// Tells whether two rows differ in no trait that would keep them apart; models, years and serials do not count.
pub(super) fn traits_can_hold_together(a: &Scope, b: &Scope, fleet: &Fleet) -> bool {
    let reach = Reach::default();
    let Some((must, must_not)) = reach.traits(a, fleet) else { return false };
    Reach { must, must_not, ..reach }.traits(b, fleet).is_some()
}

/// Tells whether every machine that the inner scope is for is one that the outer scope is for.
pub(super) fn lies_within(inner: &Scope, outer: &Scope) -> bool {
    let models = outer.model.is_empty()
        || (!inner.model.is_empty() && inner.model.iter().all(|model| outer.model.contains(model)));
    let years = match (&inner.years, &outer.years) {
        (_, None) => true,
        (None, Some(_)) => false,
        (Some(inner), Some(outer)) => {
            let inner = spans(inner);
            common(&inner, &spans(outer)) == inner
        }
    };
    let serials = match (&inner.serials, &outer.serials) {
        (_, None) => true,
        (None, Some(_)) => false,
        (Some(inner), Some(outer)) => serials_lie_within(inner, outer),
    };
    models && years && serials && outer.only.iter().all(|condition| inner.only.contains(condition))
}

/// Tells whether every machine that a scope is for is one that one of the others is for. Of the others, those that
/// differ in years may be pieced together.
pub(super) fn is_covered<'a>(
    scope: &Scope,
    others: impl Iterator<Item = &'a Scope>,
    fleet: &Fleet,
) -> bool {
    let of_any_year = |scope: &Scope| Scope { years: None, ..scope.clone() };
    let wide = of_any_year(scope);
    let every_year = || vec![(Year::MIN, Year::MAX)];
    let mut covered: Vec<Span> = others
        .filter(|other| lies_within(&wide, &of_any_year(other)))
        .flat_map(|other| other.years.as_ref().map_or_else(every_year, spans))
        .collect();
    merge(&mut covered);
    let mut wanted = scope.years.as_ref().map_or_else(every_year, spans);
    let built = if scope.model.is_empty() {
        fleet.built(None).map(<[Span]>::to_vec)
    } else {
        built_in(scope, fleet)
    };
    if let Some(built) = built {
        wanted = common(&wanted, &built);
    }
    !covered.is_empty() && common(&wanted, &covered) == wanted
}

fn built_in(scope: &Scope, fleet: &Fleet) -> Option<Vec<Span>> {
    let mut years = Vec::new();
    for model in &scope.model {
        years.extend_from_slice(fleet.built(Some(model))?);
    }
    merge(&mut years);
    Some(years)
}

fn serials_lie_within(inner: &SerialRanges, outer: &SerialRanges) -> bool {
    let begins = |a: &SerialRange, b: &SerialRange| match (&a.from, &b.from) {
        (_, None) => true,
        (None, Some(_)) => false,
        (Some(a), Some(b)) => matches!(a.compare(b), Some(Ordering::Greater | Ordering::Equal)),
    };
    let ends = |a: &SerialRange, b: &SerialRange| match (&a.to, &b.to) {
        (_, None) => true,
        (None, Some(_)) => false,
        (Some(a), Some(b)) => matches!(a.compare(b), Some(Ordering::Less | Ordering::Equal)),
    };
    inner.ranges().iter().all(|a| {
        outer.ranges().iter().any(|b| {
            Serials::new(a).common(Serials::new(b)).is_some() && begins(a, b) && ends(a, b)
        })
    })
}

impl<'a> Serials<'a> {
    fn new(range: &'a SerialRange) -> Self {
        Serials { from: range.from.as_ref(), to: range.to.as_ref() }
    }

    /// Gives the serials that lie in both; none where the prefixes are unlike, since no serial has two.
    fn common(self, other: Serials<'a>) -> Option<Serials<'a>> {
        let from = further(self.from, other.from, Ordering::Greater)?;
        let to = further(self.to, other.to, Ordering::Less)?;
        match (from, to) {
            (Some(first), Some(last))
                if !matches!(first.compare(last), Some(Ordering::Less | Ordering::Equal)) =>
            {
                None
            }
            _ => Some(Serials { from, to }),
        }
    }
}

/// Gives the limit that lies further in one direction; `None` where two limits cannot be compared.
fn further<'a>(
    a: Option<&'a Serial>,
    b: Option<&'a Serial>,
    direction: Ordering,
) -> Option<Option<&'a Serial>> {
    match (a, b) {
        (Some(a), Some(b)) => {
            a.compare(b).map(|order| Some(if order == direction { a } else { b }))
        }
        (limit, None) | (None, limit) => Some(limit),
    }
}

/// Says in words which machines a row is for.
pub(super) fn said(scope: &Scope) -> String {
    let list = |items: Vec<String>| items.join("; ");
    let mut limits = Vec::new();
    if !scope.model.is_empty() {
        limits.push(list(scope.model.iter().map(ToString::to_string).collect()));
    }
    if let Some(years) = &scope.years {
        limits.push(years.to_string());
    }
    if let Some(serials) = &scope.serials {
        limits.push(serials.to_string());
    }
    if !scope.only.is_empty() {
        limits.push(format!("only {}", list(scope.only.iter().map(ToString::to_string).collect())));
    }
    if limits.is_empty() { "every machine".to_owned() } else { limits.join(", ") }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::catalog::{Applies, Machine, Rows};
    use crate::tables::Tables;
    use proptest::prelude::*;

    fn rows(models: &str, machines: &str) -> Rows {
        let mut tables = Tables::default();
        tables.read_file(
            "models",
            "models.csv".into(),
            format!("model;years\n{models}").as_bytes(),
        );
        let machines = format!("machine,model,year,serial,traits\n{machines}");
        tables.read_file("machines", "machines.csv".into(), machines.as_bytes());
        assert_eq!(tables.faults, []);
        tables.rows
    }

    /// Reads `model|years|serials|only`.
    fn scope(text: &str) -> Scope {
        let mut tables = Tables::default();
        let text = format!("job|model|years|serials|only\nj|{text}\n").replace('|', "\t");
        tables.read_file("jobs", "jobs.csv".into(), text.as_bytes());
        assert_eq!(tables.faults, []);
        tables.rows.jobs.remove(0).scope
    }

    fn together(rows: &Rows, a: &str, b: &str) -> bool {
        let (a, b) = (scope(a), scope(b));
        let fleet = Fleet::new(rows);
        let answer = can_hold_together(&a, &b, &fleet);
        assert_eq!(answer, can_hold_together(&b, &a, &fleet));
        answer
    }

    #[test]
    fn two_rows_without_limits_hold_together_and_those_of_two_models_do_not() {
        let rows = rows("", "");
        assert!(together(&rows, "|||", "|||"));
        assert!(together(&rows, "A;B|||", "B;C|||"));
        assert!(!together(&rows, "A|||", "B|||"));
    }

    #[test]
    fn years_that_do_not_meet_keep_rows_apart_and_so_do_the_build_years_of_the_model() {
        let rows = rows("A;1996-2003\nB;\n", "");
        assert!(together(&rows, "|1996-2000||", "|2000-||"));
        assert!(!together(&rows, "|1996-1999||", "|2000-||"));
        assert!(!together(&rows, "A|||", "|2004-||"));
        assert!(together(&rows, "A;B|||", "|2004-||"));
        assert!(!together(&rows, "A|1990-1997||", "A|1990-1995;1998||"));
    }

    #[test]
    fn an_owners_machine_counts_though_it_lies_outside_the_build_years() {
        let rows = rows("A;1996-2003\n", "old,A,2004,,\n");
        assert!(together(&rows, "A|||", "|2004-||"));
        assert!(!together(&rows, "A|||", "|2005-||"));
    }

    #[test]
    fn serials_hold_together_only_where_prefixes_are_alike_and_ranges_meet() {
        let rows = rows("", "");
        assert!(together(&rows, "||B1-B20|", "||B20-|"));
        assert!(!together(&rows, "||B1-B19|", "||B20-|"));
        assert!(!together(&rows, "||B1-B20|", "||C1-C20|"));
        assert!(together(&rows, "||B1-B20;C5|", "||C1-C20|"));
        assert!(together(&rows, "||-B5|", "||-B9|"));
        assert!(!together(&rows, "||-B5|", "||-C9|"));
        assert!(together(&rows, "|||", "||-C9|"));
    }

    #[test]
    fn contradicting_traits_keep_rows_apart() {
        let rows = rows("", "");
        assert!(!together(&rows, "|||EU", "|||not EU"));
        assert!(!together(&rows, "|||EU;long", "|||not EU"));
        assert!(together(&rows, "|||EU", "|||"));
        assert!(together(&rows, "|||EU", "|||EU;long"));
        assert!(together(&rows, "|||not EU", "|||US"));
        assert!(together(&rows, "|||not EU", "|||not US"));
    }

    #[test]
    fn rows_for_different_traits_are_kept_apart_until_a_machine_carries_both() {
        assert!(!together(&rows("", "a,M,,,EU\nb,M,,,US\n"), "|||EU", "|||US"));
        assert!(together(&rows("", "a,M,,,EU;US\n"), "|||EU", "|||US"));
        assert!(!together(&rows("", "a,M,,,EU;US;long\n"), "|||EU;not long", "|||US"));
    }

    #[test]
    fn a_scope_lies_within_one_that_limits_less() {
        let within = |a: &str, b: &str| lies_within(&scope(a), &scope(b));
        assert!(within("A|1996|B5|EU", "|||"));
        assert!(within("A|1996|B5|EU;long", "A;B|1995-1997|B1-B9|EU"));
        assert!(!within("|||", "A|||"));
        assert!(!within("|1996-1999||", "|1996-1998||"));
        assert!(!within("||B1-B9|", "||C1-C9|"));
        assert!(!within("||B1-B9|", "||B2-|"));
        assert!(!within("||-B9|", "||B2-|"));
        assert!(!within("|||EU", "|||long"));
    }

    #[test]
    fn scopes_that_differ_in_years_cover_another_together() {
        let rows = rows("A;1996-2003\nB;\n", "");
        let fleet = Fleet::new(&rows);
        let covered = |inner: &str, outer: &[&str]| {
            let outer: Vec<Scope> = outer.iter().map(|text| scope(text)).collect();
            is_covered(&scope(inner), outer.iter(), &fleet)
        };
        assert!(covered("A|||", &["|-1999||", "A|2000-2003||"]));
        assert!(!covered("A;B|||", &["|-1999||", "|2000-2003||"]));
        assert!(!covered("A|||", &["|-1999||", "|2001-||"]));
        assert!(!covered("A|||", &["|-1999||", "|2000-||EU"]));
        assert!(covered("A|1998||EU", &["|||"]));
        assert!(!covered("A|||", &[]));
    }

    #[test]
    fn a_scope_is_said_in_the_words_of_its_cells() {
        assert_eq!(said(&scope("|||")), "every machine");
        assert_eq!(said(&scope("A;B|1999-|B5|not EU")), "A; B, 1999.., B5, only not EU");
    }

    fn some_scope() -> impl Strategy<Value = String> {
        let any = |texts: &'static [&'static str]| prop::sample::select(texts);
        (
            any(&["", "A", "B", "A;B", "C"]),
            any(&["", "1996", "1996-1997", "-1996;1998", "1998-"]),
            any(&["", "K1-K2", "K2-", "-K1", "L1;K3"]),
            any(&["", "EU", "not EU", "EU;long", "long", "not long"]),
        )
            .prop_map(|(model, years, serials, only)| format!("{model}|{years}|{serials}|{only}"))
    }

    /// Every machine that these scopes can tell apart.
    fn every_machine() -> Vec<Machine> {
        let mut lines = String::new();
        for model in ["A", "B", "C"] {
            for year in 1995..=1999 {
                for serial in ["K1", "K2", "K3", "K4", "L1"] {
                    for traits in ["EU;not long", "not EU;long", "EU;long", "not EU;not long"] {
                        lines += &format!("m,{model},{year},{serial},{traits}\n");
                    }
                }
            }
        }
        rows("", &lines).machines
    }

    proptest! {
        #[test]
        fn two_rows_hold_together_exactly_where_some_machine_of_all_there_can_be_has_both(
            a in some_scope(), b in some_scope()
        ) {
            let rows = Rows { machines: every_machine(), ..rows("A;1995-1998\nB;1995-1999\nC;1999\n", "") };
            // The build years of the models above apply to what can be, so the machines outside them are taken out.
            let built = |machine: &&Machine| match machine.model.as_str() {
                "A" => machine.year <= Some(1998),
                "C" => machine.year == Some(1999),
                _ => true,
            };
            let machines: Vec<Machine> = rows.machines.iter().filter(built).cloned().collect();
            let (left, right) = (scope(&a), scope(&b));
            let real = machines.iter().any(|machine| {
                left.applies(machine) == Applies::Yes && right.applies(machine) == Applies::Yes
            });
            let rows = Rows { machines, ..rows };
            prop_assert_eq!(can_hold_together(&left, &right, &Fleet::new(&rows)), real, "{} / {}", a, b);
        }
    }
}
