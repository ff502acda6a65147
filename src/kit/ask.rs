use crate::catalog::{Change, Lookup, Machine, UnreadRow};
use crate::measure::{Key, shorten};
use crate::near::nearest;
use serde::Serialize;
use std::borrow::Cow;
use std::fmt;

/// What a person wants to know: which jobs on which machine, and what they decided themselves.
#[derive(Debug, Clone, Default)]
pub struct Ask {
    /// The machine.
    pub machine: Option<Key>,
    /// The jobs, in the order named.
    pub jobs: Vec<Key>,
    /// The options that hold.
    pub options: Vec<Key>,
    /// Positions to renew besides.
    pub renew: Vec<Key>,
    /// Positions whose single-use part goes back in on the person's word.
    pub reuse: Vec<Key>,
    /// Parts of the person's choice at positions.
    pub instead: Vec<Instead>,
    /// Jobs that are not for this machine are worked out all the same.
    pub insist: bool,
    /// What jobs half done still owe, in place of their lines.
    pub owed: Vec<Owed>,
    /// How jobs half done were begun, where the log says so.
    pub begun: Vec<Begun>,
    /// The ask as it was told, where this one is for what is left of its jobs ([`crate::kit::rest_of`]).
    pub rest_of: Option<Box<Ask>>,
}

impl Ask {
    /// Gives the ask as it was told.
    pub fn told(&self) -> &Ask {
        self.rest_of.as_deref().unwrap_or(self)
    }

    /// Gives the options that hold for a job: those with which it was begun, else those named.
    pub fn options_of(&self, job: &Key) -> &[Key] {
        let begun = self.begun.iter().find(|begun| begun.job == *job);
        begun.map_or(&self.options, |begun| &begun.options)
    }

    /// Gives the positions that the person named: to renew besides, or with a part of their own choice.
    pub fn positions(&self) -> Vec<Key> {
        let owed = self.owed.iter().filter_map(|owed| owed.work.position());
        let chosen = self.instead.iter().map(|instead| &instead.position).chain(owed);
        let beside = chosen.filter(|position| !self.renew.contains(position));
        self.renew.iter().chain(beside).cloned().collect()
    }
}

/// The options with which a job half done was begun, by the log.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Begun {
    /// The job.
    pub job: Key,
    /// The options that held; no other did.
    pub options: Vec<Key>,
    /// The row that says so.
    pub place: String,
}

/// Work that was left out of a job when it was recorded.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Owed {
    /// What is to be done.
    pub work: Work,
    /// A line of the job asks for it; otherwise what the job changes does, or the way in.
    pub own: bool,
    /// Since when it is owed, for a person.
    pub text: String,
    /// The row that says so.
    pub place: String,
}

/// What is to be done of a job.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Work {
    /// A position is to hold what the job, or what goes with it, wants there.
    Change {
        /// The position.
        position: Key,
        /// What it is to hold.
        change: Change,
        /// A row of the tables calls for that part there, so that its fit is established.
        called: bool,
    },
    /// A position was only on the way: what becomes of it is for its rule to say.
    LookAt(Key),
    /// An operation that the job includes.
    Operation(Key),
}

impl Work {
    /// Gives the position that it is done at.
    pub fn position(&self) -> Option<&Key> {
        match self {
            Work::Change { position, .. } | Work::LookAt(position) => Some(position),
            Work::Operation(_) => None,
        }
    }
}

/// A part of the person's choice at a position.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Instead {
    /// The position.
    pub position: Key,
    /// The part, or that the position is to be left empty.
    pub change: Change,
}

/// Gives a machine by its name.
///
/// # Errors
/// There is no such machine, or its row cannot be read.
pub fn find_machine<'l>(name: &Key, lookup: &'l dyn Lookup) -> Result<Cow<'l, Machine>, Refusal> {
    let unread = lookup.unread();
    let is_own = |row: &&UnreadRow| {
        row.table == "machines" && row.named("machine").is_some_and(|own| Key::new(own) == *name)
    };
    if let Some(row) = unread.iter().find(is_own) {
        let why =
            row.faults.iter().map(|fault| format!("column {}: {}", fault.column, fault.message));
        let why = why.collect::<Vec<_>>().join("; ");
        return Err(Refusal::UnreadMachine(lookup.place(row.at), why));
    }
    lookup
        .machine(name)
        .ok_or_else(|| Refusal::NoMachine(Unknown::new(name, &lookup.machine_keys())))
}

/// Why there is no answer.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Refusal {
    /// No machine of this name.
    NoMachine(Unknown),
    /// The machine's own row cannot be read: its place, and why.
    UnreadMachine(String, String),
    /// No job of this name.
    NoJob(Unknown),
    /// No position of this name.
    NoPosition(Unknown),
    /// No machine was named, and the catalog holds several or none.
    WhichMachine {
        /// Those that there are.
        machines: Vec<Key>,
    },
    /// The job is for other machines.
    NotForMachine {
        /// The job.
        job: String,
        /// The machine.
        machine: String,
        /// Its rows and their limits.
        limits: String,
    },
    /// No line of the jobs asks about the option.
    NoOption(Unknown),
    /// Neither a job nor a position to renew was named.
    NothingAsked {
        /// The jobs that there are.
        jobs: Vec<String>,
    },
    /// By the log nothing of these jobs was left out; of none where no job was named.
    NothingLeft {
        /// The jobs.
        jobs: Vec<Key>,
    },
    /// The position is not one that can go back in on the person's word.
    NotReusable {
        /// The position.
        position: String,
        /// Why not.
        why: String,
    },
}

/// A name that is not there.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Unknown {
    /// The name asked for.
    pub name: String,
    /// The known name most like it.
    pub meant: Option<String>,
    /// The first few that there are to choose from.
    pub known: Vec<String>,
    /// How many more there are.
    pub more: usize,
}

impl Unknown {
    /// Looks for the known name most like the one asked for.
    pub fn new<T: fmt::Display>(name: impl fmt::Display, known: &[T]) -> Self {
        let name = name.to_string();
        let known: Vec<String> = known.iter().map(ToString::to_string).collect();
        let meant = nearest(&name, known.iter().map(String::as_str)).map(str::to_owned);
        let more = known.len().saturating_sub(12);
        let name = shorten(&name);
        Unknown { name, meant, known: known.into_iter().take(12).collect(), more }
    }

    fn describe(&self, what: &str, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "no {what} '{}'", self.name)?;
        match &self.meant {
            Some(meant) => write!(f, "; did you mean '{meant}'?"),
            None if self.known.is_empty() => write!(f, "; the catalog holds none yet"),
            None => {
                write!(f, "; there are: {}", self.known.join(", "))?;
                if self.more > 0 { write!(f, ", and {} more", self.more) } else { Ok(()) }
            }
        }
    }
}

impl fmt::Display for Refusal {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Refusal::NoMachine(unknown) => unknown.describe("machine", f),
            Refusal::UnreadMachine(place, why) => {
                write!(f, "the machine's own row cannot be read: {place}, {why}")
            }
            Refusal::NoJob(unknown) => unknown.describe("job", f),
            Refusal::NoPosition(unknown) => unknown.describe("position", f),
            Refusal::NoOption(unknown) => {
                write!(f, "no line of these jobs asks about the option '{}'", unknown.name)?;
                match (&unknown.meant, unknown.known.is_empty()) {
                    (Some(meant), _) => write!(f, "; did you mean '{meant}'?")?,
                    (None, true) => f.write_str("; they ask about none")?,
                    (None, false) => write!(f, "; they ask about: {}", unknown.known.join(", "))?,
                }
                f.write_str("; add --force to work it out without")
            }
            Refusal::WhichMachine { machines } if machines.is_empty() => {
                f.write_str("there is no machine yet: kitwright add machine NAME MODEL --year YEAR")
            }
            Refusal::WhichMachine { machines } => {
                let machines: Vec<&str> = machines.iter().map(Key::as_str).collect();
                write!(
                    f,
                    "which machine? --on MACHINE names it; there are: {}",
                    machines.join(", ")
                )
            }
            Refusal::NotForMachine { job, machine, limits } => {
                write!(
                    f,
                    "the job {job} is not for {machine}: it is for {limits}; add --force to work it out all the same"
                )
            }
            Refusal::NothingAsked { jobs } => {
                f.write_str("name a job, or positions to renew with --renew")?;
                if jobs.is_empty() {
                    Ok(())
                } else {
                    write!(f, "; the jobs are: {}", jobs.join(", "))
                }
            }
            Refusal::NothingLeft { jobs } if jobs.is_empty() => {
                f.write_str("name the job of which the rest is wanted")
            }
            Refusal::NothingLeft { jobs } => {
                let jobs: Vec<&str> = jobs.iter().map(Key::as_str).collect();
                let jobs = jobs.join(" and ");
                write!(
                    f,
                    "nothing of {jobs} was left out, by the log; leave --rest away for the whole job"
                )
            }
            Refusal::NotReusable { position, why } => {
                write!(f, "{position} cannot be reused here: {why}")
            }
        }
    }
}

impl std::error::Error for Refusal {}
