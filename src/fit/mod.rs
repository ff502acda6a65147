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
mod nearest;
pub mod o_ring;
pub mod other_seal;
pub mod picture;
mod sizes;
pub mod standard;
pub mod thread;
mod thread_name;
mod to_measure;
mod told;
pub mod torque;
pub mod washer;
mod words;

pub use compare::{Comparison, FeatureComparison};
pub use computed::{Computed, Elsewhere, InSeat, Site, Sizes, check, check_beside, compute};
pub use judgement::Judgement;
pub use nearest::{NearLengths, NearStandard, nearest_o_rings, nearest_standard, standards_near};
pub use sizes::{Figure, PartSizes, Reading, SeatFigure, SeatSizes};
pub use thread_name::{Thread, thread_of};

use crate::catalog::{Lookup, Machine};
use crate::kit::{
    self, Action, Bench, GapKind, Kit, Place, Refusal, Unknown, all_alike, ask_retrofits, is_placed,
};
use crate::measure::{Key, PartNumber};
use serde::{Serialize, Serializer};
use serde_json::{Map, Value};
use std::collections::HashSet;
use std::fmt;
use told::Hearsay;

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
    /// What the figures alone say.
    pub sizes: Sizes,
    /// What must change with it.
    pub needs: Vec<String>,
    /// What must be done for it.
    pub operations: Vec<String>,
    /// What to look at before it is ordered, as `look-first` rows say and no log row has confirmed.
    pub look_first: Vec<String>,
    /// The evidence; what the figures say comes first where it keeps the part out.
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

/// Judges a part at a position: what the tables say, what the figures say, and what both come to.
fn judge(bench: &Bench, part: &PartNumber, position: &Key) -> Answer {
    judge_with(bench, part, position, &[])
}

/// The same where other parts go in with it, at other positions.
fn judge_with(
    bench: &Bench,
    part: &PartNumber,
    position: &Key,
    going_in: &[(Key, PartNumber)],
) -> Answer {
    let lookup = bench.lookup;
    let place = bench.place(position);
    let said = Hearsay::of(bench, part, &place);
    let mut beside = going_in.to_vec();
    for need in &said.needs {
        if let Some(part) = need.part()
            && beside.iter().all(|(at, _)| *at != need.position)
        {
            beside.push((need.position.clone(), part.clone()));
        }
    }
    let told = said.verdict.unwrap_or(Verdict::NotKnown);
    let computed = compute(bench, part, position, &beside, told);
    let against = Against::of(&said, &computed);
    let verdict = match against {
        Some(Against::Outside) => Verdict::NotKnown,
        Some(Against::TheFigures) => Verdict::DoesNotFit,
        Some(Against::ThisSeat | Against::TheTables) => told,
        None if computed.refuses() => Verdict::DoesNotFit,
        None => told,
    };
    let mut evidence: Vec<Evidence> = said
        .told
        .iter()
        .map(|told| Evidence {
            kind: told.kind(),
            verdict: told.verdict,
            text: words::told(told, part, lookup),
            numbers: Map::new(),
        })
        .collect();
    if let Some(finding) = &computed.finding {
        let figures = Evidence {
            kind: Kind::Computed,
            verdict: finding.verdict,
            text: words::computed(finding),
            numbers: finding.numbers.clone(),
        };
        // What keeps the part out is said first.
        let first = matches!(against, Some(Against::Outside | Against::TheFigures));
        evidence.insert(if first { 0 } else { evidence.len() }, figures);
    }
    let look_first = said.told.iter().filter_map(|told| words::look_first(told, lookup)).collect();
    let contradiction = against.map(|against| words::against(against, &said.needs));
    let in_a_kit = InAKit::of(bench, part, &place, verdict)
        .map(|told| words::in_a_kit(told, &lookup.spell_part(part), &said.needs));
    let (needs, operations) =
        if verdict.is_yes() { (said.needs, said.operations) } else { Default::default() };
    Answer {
        part: lookup.spell_part(part).to_string(),
        machine: bench.machine.machine.to_string(),
        position: place.position.to_string(),
        verdict,
        sizes: computed.sizes,
        contradiction,
        needs: needs.iter().map(ToString::to_string).collect(),
        operations: operations.iter().map(ToString::to_string).collect(),
        look_first,
        evidence,
        in_a_kit,
        measure: if verdict == Verdict::NotKnown { computed.measure } else { Vec::new() },
        comparison: computed.comparison,
        elsewhere: computed.elsewhere,
    }
}

/// What the tables say and the figures say otherwise, or the reverse.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Against {
    /// The tables let it in, the figures do not.
    TheFigures,
    /// The tables let it in, a figure is outside its limits or guidance.
    Outside,
    /// The tables let it in with another part, which may bring another seat than the one that is there now.
    ThisSeat,
    /// The tables refuse it, the figures find nothing against it.
    TheTables,
}

impl Against {
    fn of(said: &Hearsay, computed: &Computed) -> Option<Self> {
        let finding = computed.finding.as_ref()?;
        match (said.verdict?, finding.verdict) {
            (Verdict::Fits | Verdict::FitsWith, Verdict::DoesNotFit) => {
                let elsewhere = |other: &Elsewhere| other.finding.verdict != Verdict::DoesNotFit;
                let other_seat = said.brings_another_part()
                    && !computed.worn_out
                    && computed.elsewhere.iter().any(elsewhere);
                Some(if other_seat { Against::ThisSeat } else { Against::TheFigures })
            }
            (Verdict::Fits | Verdict::FitsWith, _) if finding.outside > 0 => Some(Against::Outside),
            (Verdict::DoesNotFit, Verdict::Fits) => Some(Against::TheTables),
            _ => None,
        }
    }
}

/// Where a kit answers otherwise. It goes by the rows for this very part alone: a part that comes along with another,
/// that is the same under another number or that may be swapped both ways stays an open question there until a person
/// settles it.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum InAKit {
    /// It keeps the gap `fit-unknown`.
    LeavesItOpen,
    /// It lists the part, by what the tables say.
    ListsIt,
}

impl InAKit {
    fn of(bench: &Bench, part: &PartNumber, place: &Place, verdict: Verdict) -> Option<Self> {
        let finals = bench.resolve(part).finals;
        let ends = || finals.iter().map(|end| &end.part);
        let word = |part: &PartNumber| ask_retrofits(bench, part, &place.position);
        if ends().chain([part]).any(|part| word(part).refusal().is_some()) {
            return None;
        }
        let known = |part: &PartNumber| word(part).says_yes() || is_placed(bench, part, place);
        let settled = known(part) || ends().all(known);
        match (verdict, settled) {
            (Verdict::Fits | Verdict::FitsWith, false) => Some(InAKit::LeavesItOpen),
            (Verdict::DoesNotFit, true) => Some(InAKit::ListsIt),
            _ => None,
        }
    }
}

/// What the figures say against a part that goes in at a position, where other parts go in at other positions: the gap
/// `wrong-size` of a kit. `None` where they do not refuse it, or where what comes with it may bring another seat.
pub fn wrong_size(
    bench: &Bench,
    part: &PartNumber,
    position: &Key,
    going_in: &[(Key, PartNumber)],
) -> Option<Evidence> {
    if bench.lookup.seats_at(position).is_empty() {
        return None;
    }
    let answer = judge_with(bench, part, position, going_in);
    (answer.verdict == Verdict::DoesNotFit)
        .then_some(answer.evidence)?
        .into_iter()
        .find(|said| said.kind == Kind::Computed && said.verdict == Verdict::DoesNotFit)
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
