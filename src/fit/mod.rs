//! Whether a part goes to a position of a machine: the verdict, and the evidence for it.
//!
//! Three kinds of evidence come from the tables: a position *lists* the part, the part *supersedes* a listed one, or
//! a retrofit row *declares* it. The fourth is *computed* from the figures of the part and of its seat. Hearsay against
//! figures is shown as a contradiction, never averaged. This room does no input or output.

mod arrivals;
pub mod clip;
mod compare;
mod computed;
pub mod drive;
mod gasket;
mod judgement;
pub mod key_and_pin;
mod kind;
pub mod lip_seal;
pub mod mating;
mod metric_thread;
mod nearest;
pub mod o_ring;
pub mod other_seal;
pub mod picture;
mod sizes;
pub mod standard;
pub mod thread;
mod to_measure;
pub mod torque;
pub mod washer;

pub use compare::{Comparison, FeatureComparison};
pub use computed::{Computed, Elsewhere, InSeat, Site, check, check_beside, compute};
pub use judgement::Judgement;
pub use metric_thread::{Thread, thread_of};
pub use nearest::{NearLengths, NearStandard, nearest_o_rings, nearest_standard, standards_near};
pub use sizes::{Figure, PartSizes, Reading, SeatFigure, SeatSizes};

use crate::catalog::{Applies, Change, Lookup, Machine, Need, Retrofit, Verdict as Declared};
use crate::kit::{
    self, Action, Alike, Bench, Final, GapKind, Kit, Place, Refusal, Unknown, Word, all_alike,
    ask_retrofits, is_placed,
};
use crate::measure::{Key, PartNumber};
use serde::{Serialize, Serializer};
use serde_json::{Map, Value};
use std::collections::HashSet;
use std::fmt;

/// Whether a part goes to a position.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Verdict {
    /// It goes straight in.
    Fits,
    /// It goes in with what else is named.
    FitsWith,
    /// It does not go in.
    DoesNotFit,
    /// The tables do not say.
    NotKnown,
}

impl Verdict {
    /// Gives the verdict as the word that is printed.
    pub fn as_str(self) -> &'static str {
        match self {
            Verdict::Fits => "fits",
            Verdict::FitsWith => "fits-with",
            Verdict::DoesNotFit => "does-not-fit",
            Verdict::NotKnown => "not-known",
        }
    }

    /// The part goes in, alone or with something else.
    pub fn is_yes(self) -> bool {
        matches!(self, Verdict::Fits | Verdict::FitsWith)
    }
}

impl fmt::Display for Verdict {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.pad(self.as_str())
    }
}

impl Serialize for Verdict {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        serializer.serialize_str(self.as_str())
    }
}

/// Where a piece of evidence comes from.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "lowercase")]
pub enum Kind {
    /// The position lists the part, or the log says that it sits there.
    Listed,
    /// The part took the place of one that is listed or sits there.
    Superseded,
    /// A retrofit row says so.
    Declared,
    /// It follows from dimensions.
    Computed,
}

/// A piece of evidence for or against.
#[derive(Debug, Clone, Serialize)]
pub struct Evidence {
    /// Where it comes from.
    pub kind: Kind,
    /// What it says by itself.
    pub verdict: Verdict,
    /// What it is, in words, with the row.
    pub text: String,
    /// The figures that it rests on.
    pub numbers: Map<String, Value>,
}

/// The answer for one part at one position.
#[derive(Debug, Clone, Serialize)]
pub struct Answer {
    /// The part.
    pub part: String,
    /// The machine.
    pub machine: String,
    /// The position.
    pub position: String,
    /// The verdict, from all the evidence.
    pub verdict: Verdict,
    /// What must change with it.
    pub needs: Vec<String>,
    /// What must be done for it.
    pub operations: Vec<String>,
    /// The evidence.
    pub evidence: Vec<Evidence>,
    /// What the tables say against what the figures say, in words; `null` where they agree.
    pub contradiction: Option<String>,
    /// What a kit says otherwise of the part there, in words; `null` where it agrees.
    pub in_a_kit: Option<String>,
    /// What to measure, where nothing settles it.
    pub measure: Vec<String>,
    /// The part beside the one that sits there or is listed; `null` where there is nothing to compare.
    pub comparison: Option<Comparison>,
    /// What the figures say in the seats that other machines have there.
    pub elsewhere: Vec<Elsewhere>,
}

/// The answers for one part on one machine, at every position that anything connects it with.
#[derive(Debug, Clone, Serialize)]
pub struct Answers {
    /// The part.
    pub part: String,
    /// The machine.
    pub machine: String,
    /// One answer a position, by place.
    pub positions: Vec<Answer>,
}

/// Finds a machine, or says which was meant.
///
/// # Errors
/// No machine of this name, or its row cannot be read.
pub fn find_machine(machine: &Key, lookup: &dyn Lookup) -> Result<Machine, Refusal> {
    kit::find_machine(machine, lookup).map(|row| row.into_owned())
}

/// Says whether a part goes to one position of a machine.
///
/// # Errors
/// No position of this name.
pub fn at(
    part: &PartNumber,
    position: &Key,
    machine: Machine,
    lookup: &dyn Lookup,
) -> Result<Answer, Refusal> {
    if lookup.positions(position).is_empty()
        && lookup.retrofits_at(position).is_empty()
        && !lookup.log_names(position)
    {
        return Err(Refusal::NoPosition(Unknown::new(position, &lookup.position_keys())));
    }
    Ok(judge(&Bench::new(machine, lookup), part, position))
}

/// Says where on a machine a part goes, or does not.
pub fn everywhere(part: &PartNumber, machine: Machine, lookup: &dyn Lookup) -> Answers {
    let bench = Bench::new(machine, lookup);
    let mut positions: Vec<Key> = Vec::new();
    let mut seen = HashSet::new();
    let alike = all_alike(part, &bench);
    let numbers = std::iter::once(part).chain(alike.iter().map(|(number, _)| number));
    let numbers: Vec<&PartNumber> = numbers.collect();
    for number in with_earlier(&numbers, lookup) {
        let listed = lookup.positions_with_part(&number).into_owned();
        let declared =
            lookup.retrofits_of(&number).iter().map(|row| row.position.clone()).collect::<Vec<_>>();
        let called: Vec<Key> = lookup
            .retrofits_calling_for(&number)
            .iter()
            .flat_map(|row| row.needs.iter().filter(|need| need.part() == Some(&number)))
            .map(|need| need.position.clone())
            .collect();
        let inside: Vec<Key> =
            lookup.containers_of(&number).iter().filter_map(|row| row.position.clone()).collect();
        let inside = inside
            .into_iter()
            .filter(|position| !arrivals::inside_of(&bench, &number, position).is_empty());
        for position in listed.into_iter().chain(declared).chain(called).chain(inside) {
            if seen.insert(position.clone()) {
                positions.push(position);
            }
        }
    }
    for entry in lookup.log_of(&bench.machine.machine).iter() {
        if let (Some(position), Some(logged)) = (&entry.position, entry.part.part())
            && numbers.iter().any(|number| bench.on_chain_of(logged, number))
            && seen.insert(position.clone())
        {
            positions.push(position.clone());
        }
    }
    positions.sort_by_key(|position| bench.place(position).order());
    Answers {
        part: lookup.spell_part(part).to_string(),
        machine: bench.machine.machine.to_string(),
        positions: positions.iter().map(|position| judge(&bench, part, position)).collect(),
    }
}

/// Gives numbers and all that may have become them.
fn with_earlier(parts: &[&PartNumber], lookup: &dyn Lookup) -> Vec<PartNumber> {
    let mut numbers: Vec<PartNumber> = parts.iter().copied().cloned().collect();
    let mut seen: HashSet<PartNumber> = numbers.iter().cloned().collect();
    let mut next = 0;
    while let Some(number) = numbers.get(next).cloned() {
        next += 1;
        for row in lookup.supersessions_to(&number).iter() {
            if seen.insert(row.old.clone()) {
                numbers.push(row.old.clone());
            }
        }
    }
    numbers
}

fn judge(bench: &Bench, part: &PartNumber, position: &Key) -> Answer {
    let lookup = bench.lookup;
    let place = bench.place(position);
    let mut evidence = Vec::new();
    let mut needs: Vec<String> = Vec::new();
    let mut operations: Vec<String> = Vec::new();
    let mut say =
        |kind, verdict, text| evidence.push(Evidence { kind, verdict, text, numbers: Map::new() });

    let sure = if place.applies == Applies::Yes { Verdict::Fits } else { Verdict::NotKnown };
    let rows = place.speaking.iter().filter_map(|row| Some((row.part.part()?, row.at, sure)));
    let logged = place.current.parts.iter().filter(|_| place.current.logged);
    let logged =
        logged.filter_map(|sitting| Some((sitting.part.as_ref()?, sitting.at, Verdict::Fits)));
    let mut told = HashSet::new();
    let alike = all_alike(part, bench);
    for (there, row, verdict) in rows.chain(logged) {
        let row_place = lookup.place(row);
        let doubt = if verdict == Verdict::Fits { "" } else { ", if the row is for this machine" };
        let spelled = lookup.spell_part(part);
        let resolved = bench.resolve(there);
        let Some((number, how)) = std::iter::once((part, None))
            .chain(alike.iter().map(|(number, how)| (number, Some(*how))))
            .find(|(number, _)| *number == there || resolved.passes(number))
        else {
            continue;
        };
        let (kind, same) = match how {
            None => (Kind::Listed, String::new()),
            Some(Alike::Equivalent) => (
                Kind::Listed,
                format!("{spelled} is {} under another number; ", lookup.spell_part(number)),
            ),
            Some(Alike::BothWays(at)) => (
                Kind::Superseded,
                format!(
                    "{spelled} and {} may be swapped both ways ({}); ",
                    lookup.spell_part(number),
                    lookup.place(at)
                ),
            ),
        };
        if number == there {
            let listed = lookup.spell_part(there);
            say(kind, verdict, format!("{same}{listed} is listed there{doubt} ({row_place})"));
            continue;
        }
        let on_chain = |end: &&Final| end.chain.iter().any(|link| link.part == *number);
        let Some(end) = resolved.finals.iter().find(on_chain) else { continue };
        if !told.insert(there.clone()) {
            continue;
        }
        let mut chain: Vec<String> = Vec::new();
        for link in &end.chain {
            chain.push(lookup.spell_part(&link.part).to_string());
            if link.part == *number {
                break;
            }
        }
        // What the rows up to this part need; those after it are another part's business.
        let mut with: Vec<String> = Vec::new();
        for pair in end.chain.windows(2) {
            for need in resolved.needs.iter().filter(|need| need.new == pair[1].part) {
                with.push(spell_need(&need.need, lookup));
            }
            if pair[1].part == *number {
                break;
            }
        }
        let verdict = match verdict {
            Verdict::Fits if !with.is_empty() => Verdict::FitsWith,
            other => other,
        };
        let also =
            if with.is_empty() { String::new() } else { format!(", with {}", with.join(", ")) };
        say(
            Kind::Superseded,
            verdict,
            format!(
                "{same}{} replaces what is listed there{also}{doubt} ({row_place})",
                chain.join(" → ")
            ),
        );
        with.retain(|need| !needs.contains(need));
        needs.extend(with);
    }

    let word = ask_of_equivalents(bench, part, position, &alike);
    for row in &word.speaking {
        let verdict = match row.verdict {
            Declared::Fits => Verdict::Fits,
            Declared::FitsWith | Declared::LookFirst => Verdict::FitsWith,
            Declared::No => Verdict::DoesNotFit,
        };
        let spelled = lookup.spell_part(part);
        let spoken_for = if row.part == *part {
            String::new()
        } else if bench.on_chain_of(&row.part, part) {
            format!(", which {spelled} replaced")
        } else {
            format!(", which is {spelled} under another number or became that")
        };
        let note = if row.note.is_empty() { String::new() } else { format!(": {}", row.note) };
        let declared = lookup.spell_part(&row.part);
        let text = format!(
            "declared {} for {declared}{spoken_for} ({}){note}",
            row.verdict,
            lookup.place(row.at)
        );
        say(Kind::Declared, verdict, text);
        if verdict.is_yes() {
            for need in row.needs.iter().map(|need| spell_need(need, lookup)) {
                if !needs.contains(&need) {
                    needs.push(need);
                }
            }
            for operation in row.operations.iter().filter(|operation| !bench.is_done(operation)) {
                let operation = lookup.spell_operation(operation).to_string();
                if !operations.contains(&operation) {
                    operations.push(operation);
                }
            }
        }
    }
    for row in lookup.retrofits_calling_for(part).iter() {
        let here = |need: &&Need| need.position == *position && need.part() == Some(part);
        if row.verdict == Declared::No || !row.needs.iter().any(|need| here(&need)) {
            continue;
        }
        let (verdict, doubt) = match row.scope.applies(&bench.machine) {
            Applies::No => continue,
            Applies::Unsure => (Verdict::NotKnown, ", if the row is for this machine"),
            Applies::Yes => (Verdict::FitsWith, ""),
        };
        let text = format!(
            "declared to go there together with {} at {}{doubt} ({})",
            lookup.spell_part(&row.part),
            lookup.spell_position(&row.position),
            lookup.place(row.at)
        );
        say(Kind::Declared, verdict, text);
        let with =
            format!("{}={}", lookup.spell_position(&row.position), lookup.spell_part(&row.part));
        if verdict == Verdict::FitsWith && !needs.contains(&with) {
            needs.push(with);
        }
    }
    for row in &word.unsure {
        let missing = bench.missing(std::slice::from_ref(row));
        let text = format!(
            "declared {}, but perhaps not for this machine ({}); {missing}",
            row.verdict,
            lookup.place(row.at)
        );
        say(Kind::Declared, Verdict::NotKnown, text);
    }

    // Where nothing else connects the two: a part that is listed there needs no container.
    if evidence.is_empty() {
        for arrival in arrivals::inside_of(bench, part, position) {
            let by = lookup.spell_part(&arrival.by);
            let there = lookup.spell_position(&arrival.goes_to);
            let row = lookup.place(arrival.at);
            let (verdict, text) = if arrival.sits_there {
                (
                    Verdict::Fits,
                    format!("arrived fitted there inside {by}, which sits at {there} ({row})"),
                )
            } else {
                needs.push(format!("{there}={by}"));
                (
                    Verdict::FitsWith,
                    format!("arrives fitted there inside {by}, which goes to {there} ({row})"),
                )
            };
            evidence.push(Evidence { kind: Kind::Declared, verdict, text, numbers: Map::new() });
        }
    }

    let told = hearsay(&evidence, &word.unsure);
    let computed = compute(bench, part, position);
    // What comes with the part may bring another seat along, so a no in the seat as it is now is no contradiction.
    let other_seat = told == Verdict::FitsWith
        && needs.iter().any(|need| need.contains('=') && !need.ends_with("=-"))
        && !computed.worn_out
        && computed
            .elsewhere
            .iter()
            .any(|elsewhere| elsewhere.finding.verdict != Verdict::DoesNotFit);
    let verdict = if other_seat {
        told
    } else {
        join(told, !evidence.is_empty(), computed::verdict(&computed))
    };
    let mut measure = Vec::new();
    if verdict == Verdict::NotKnown {
        measure.clone_from(&computed.measure);
    }
    let contradiction = if other_seat && computed::verdict(&computed) == Some(Verdict::DoesNotFit) {
        Some(format!(
            "in the seat as it is now the figures say that it does not fit: only with {}, which must bring a seat like the other one below",
            needs.join(", ")
        ))
    } else {
        contradiction(told, &computed)
    };
    if let Some(finding) = computed.finding {
        evidence.push(Evidence {
            kind: Kind::Computed,
            verdict: finding.verdict,
            text: format!("computed: {}", finding.text()),
            numbers: finding.numbers,
        });
    }
    let in_a_kit = in_a_kit(bench, part, &place, position, verdict, &needs);
    if !verdict.is_yes() {
        needs.clear();
        operations.clear();
    }
    Answer {
        part: lookup.spell_part(part).to_string(),
        machine: bench.machine.machine.to_string(),
        position: place.position.to_string(),
        verdict,
        needs,
        operations,
        evidence,
        contradiction,
        in_a_kit,
        measure,
        comparison: computed.comparison,
        elsewhere: computed.elsewhere,
    }
}

/// Says where a kit would answer otherwise. A kit goes by the rows for this very part alone: a part that comes along with
/// another, that is the same under another number, that may be swapped both ways, or that only the figures speak for,
/// stays an open question there until a person settles it; and no figure takes a part out of a kit.
fn in_a_kit(
    bench: &Bench,
    part: &PartNumber,
    place: &Place,
    position: &Key,
    verdict: Verdict,
    needs: &[String],
) -> Option<String> {
    let finals = bench.resolve(part).finals;
    let ends = || finals.iter().map(|end| &end.part);
    if ends().chain([part]).any(|part| ask_retrofits(bench, part, position).refusal().is_some()) {
        return None;
    }
    let known = |part: &PartNumber| {
        ask_retrofits(bench, part, position).says_yes() || is_placed(bench, part, place)
    };
    let settled = known(part) || ends().all(known);
    let spelled = bench.lookup.spell_part(part);
    match (verdict, settled) {
        (Verdict::Fits | Verdict::FitsWith, false) => {
            let with: Vec<&str> =
                needs.iter().map(String::as_str).filter(|need| need.contains('=')).collect();
            let unless = if with.is_empty() {
                "until a row of retrofits or positions names it there".to_owned()
            } else {
                format!("unless it comes along with {}", with.join(", "))
            };
            Some(format!(
                "a job that puts {spelled} there keeps the gap fit-unknown in its kit {unless}"
            ))
        }
        (Verdict::DoesNotFit, true) => Some(format!(
            "a kit goes by what the tables say and lists {spelled} there all the same, with this beside it"
        )),
        _ => None,
    }
}

/// Asks the retrofit rows about a part; where they say nothing of it, about the same part under its other numbers.
fn ask_of_equivalents(
    bench: &Bench,
    part: &PartNumber,
    position: &Key,
    alike: &[(PartNumber, Alike)],
) -> Word {
    let others =
        alike.iter().filter(|(_, how)| *how == Alike::Equivalent).map(|(number, _)| number);
    let words =
        std::iter::once(part).chain(others).map(|number| ask_retrofits(bench, number, position));
    words
        .into_iter()
        .find(|word| !word.speaking.is_empty() || !word.unsure.is_empty())
        .unwrap_or_default()
}

/// Writes a need as it is typed, with position and part as their own tables spell them.
fn spell_need(need: &Need, lookup: &dyn Lookup) -> String {
    let mut need = need.clone();
    need.position = lookup.spell_position(&need.position);
    if let Change::Fit { part, .. } = &mut need.change {
        *part = lookup.spell_part(part);
    }
    need.to_string()
}

/// What the tables say together.
fn hearsay(evidence: &[Evidence], unsure: &[Retrofit]) -> Verdict {
    let says = |wanted: Verdict| evidence.iter().any(|evidence| evidence.verdict == wanted);
    if says(Verdict::DoesNotFit) {
        Verdict::DoesNotFit
    } else if unsure.is_empty() && says(Verdict::Fits) && !says(Verdict::FitsWith) {
        Verdict::Fits
    } else if unsure.is_empty() && (says(Verdict::Fits) || says(Verdict::FitsWith)) {
        Verdict::FitsWith
    } else {
        Verdict::NotKnown
    }
}

/// Joins what the tables say with what the figures say. A no of either stays a no; the figures alone say *fits* only
/// where the tables say nothing at all; a doubt in the figures takes nothing from what the tables say.
fn join(told: Verdict, anything_told: bool, computed: Option<Verdict>) -> Verdict {
    match (told, computed) {
        (_, Some(Verdict::DoesNotFit)) => Verdict::DoesNotFit,
        (Verdict::NotKnown, Some(Verdict::Fits)) if !anything_told => Verdict::Fits,
        (told, _) => told,
    }
}

fn contradiction(told: Verdict, computed: &Computed) -> Option<String> {
    match (told.is_yes(), told, computed::verdict(computed)?) {
        (true, _, Verdict::DoesNotFit) => Some(
            "contradiction: the tables say that it fits, the figures say that it does not: one of them is wrong, or something is worn; \
             measure again before you order"
                .to_owned(),
        ),
        (_, Verdict::DoesNotFit, Verdict::Fits) => Some(
            "contradiction: the tables say that it does not fit, the figures find nothing against it: there may be another reason; ask \
             where the row came from"
                .to_owned(),
        ),
        _ => None,
    }
}

/// Works out what the figures say where a kit could not establish that a part fits. It is offered beside the gap, which
/// stays: the person decides.
pub fn offered(kit: &Kit, lookup: &dyn Lookup) -> Vec<Answer> {
    let Some(machine) = lookup.machine(&Key::new(&kit.machine)) else { return Vec::new() };
    let bench = Bench::new(machine.into_owned(), lookup);
    let unknown = kit.gaps.iter().filter(|gap| gap.kind == GapKind::FitUnknown);
    let mut answers = Vec::new();
    for gap in unknown {
        let position = Key::new(&gap.subject);
        let planned = kit.positions.iter().find(|planned| Key::new(&planned.position) == position);
        for part in planned.iter().flat_map(|planned| &planned.parts) {
            if let Some(number) = PartNumber::new(&part.part) {
                answers.push(judge(&bench, &number, &position));
            }
        }
    }
    answers.retain(|answer| {
        let computed = answer.evidence.iter().any(|evidence| evidence.kind == Kind::Computed);
        computed
            || (!answer.measure.is_empty()
                && !lookup.seats_at(&Key::new(&answer.position)).is_empty())
    });
    answers
}

/// Finds the parts of a kit that the tables let in and the figures speak against. The kit stays as it is: the person
/// decides.
pub fn contradicted(kit: &Kit, lookup: &dyn Lookup) -> Vec<Answer> {
    let Some(machine) = lookup.machine(&Key::new(&kit.machine)) else { return Vec::new() };
    let bench = Bench::new(machine.into_owned(), lookup);
    let mut answers = Vec::new();
    for planned in kit.positions.iter().filter(|planned| planned.action == Action::Renew) {
        let position = Key::new(&planned.position);
        if lookup.seats_at(&position).is_empty() {
            continue;
        }
        for number in planned.parts.iter().filter_map(|part| PartNumber::new(&part.part)) {
            answers.push(judge(&bench, &number, &position));
        }
    }
    // A fit that comes along with another seat is no contradiction, nor is one that the tables refuse as well.
    answers.retain(|answer| {
        let told = answer
            .evidence
            .iter()
            .any(|evidence| evidence.kind != Kind::Computed && evidence.verdict.is_yes());
        let refused = |evidence: &Evidence| {
            evidence.kind == Kind::Computed && evidence.verdict == Verdict::DoesNotFit
        };
        told && answer.verdict == Verdict::DoesNotFit && answer.evidence.iter().any(refused)
    });
    answers
}
