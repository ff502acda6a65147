//! What a kit is asked of, as a person says it.

use crate::catalog::Lookup;
use crate::kit::{Ask, Instead, Kit, NoKit, Refusal, Unknown, checked, rest_of};
use crate::measure::Key;

/// What a kit is asked of. Names are in any spelling.
#[derive(Debug, Clone, Default)]
pub struct Wanted {
    /// The machine, where it is named by itself.
    pub machine: Option<String>,
    /// The machine where none is named.
    pub default_machine: Option<String>,
    /// The jobs, in one go; the machine may stand behind them.
    pub jobs: Vec<String>,
    /// The options of the jobs.
    pub options: Vec<String>,
    /// Positions to renew besides.
    pub renew: Vec<String>,
    /// Positions whose single-use part goes in again, on the person's own word.
    pub reuse: Vec<String>,
    /// Parts of the person's own choice.
    pub instead: Vec<Instead>,
    /// Take the job although it is for other machines.
    pub insist: bool,
    /// Only what was left out when the jobs were recorded.
    pub rest: bool,
}

impl Wanted {
    /// Gives the ask. Where only the rest is wanted, the catalog says what is left of the jobs.
    ///
    /// # Errors
    /// Only the rest is wanted, and nothing of the jobs was left out.
    pub fn ask(&self, lookup: &dyn Lookup) -> Result<Ask, Refusal> {
        let keys = |names: &[String]| names.iter().map(|name| Key::new(name)).collect();
        let (machine, jobs) = self.machine_and_jobs(lookup)?;
        let ask = Ask {
            machine: Some(machine),
            jobs,
            options: keys(&self.options),
            renew: keys(&self.renew),
            reuse: keys(&self.reuse),
            instead: self.instead.clone(),
            insist: self.insist,
            ..Ask::default()
        };
        if !self.rest {
            return Ok(ask);
        }
        rest_of(&ask, lookup)?.ok_or(Refusal::NothingLeft { jobs: ask.jobs })
    }

    /// A last word that names a machine, and no job, is the machine.
    fn machine_and_jobs(&self, lookup: &dyn Lookup) -> Result<(Key, Vec<Key>), Refusal> {
        let mut jobs: Vec<Key> = self.jobs.iter().map(|name| Key::new(name)).collect();
        if let Some(named) = &self.machine {
            return Ok((Key::new(named), jobs));
        }
        let is_job = |word: &Key| !lookup.jobs(word).is_empty();
        if let Some(machine) = jobs.pop_if(|word| !is_job(word) && lookup.machine(word).is_some()) {
            return Ok((machine, jobs));
        }
        match machine_of(None, self.default_machine.as_deref(), lookup) {
            Ok(machine) => Ok((machine, jobs)),
            // What stands behind the jobs was probably meant to be the machine.
            Err(refusal) => match jobs.last().filter(|word| jobs.len() > 1 && !is_job(word)) {
                Some(word) => Err(Refusal::NoMachine(Unknown::new(word, &lookup.machine_keys()))),
                None => Err(refusal),
            },
        }
    }

    /// Gives the ask, and the kit that its audit agrees with.
    ///
    /// # Errors
    /// There is no such kit.
    pub fn kit(&self, lookup: &dyn Lookup) -> Result<(Ask, Kit), NoKit> {
        let ask = self.ask(lookup)?;
        let kit = checked(&ask, lookup)?;
        Ok((ask, kit))
    }
}

/// The machine that is meant: the one that is named, else the default, else the only one of the catalog.
///
/// # Errors
/// None is named, and there are several or none.
pub fn machine_of(
    named: Option<&str>,
    default: Option<&str>,
    lookup: &dyn Lookup,
) -> Result<Key, Refusal> {
    if let Some(named) = named.or(default) {
        return Ok(Key::new(named));
    }
    let mut machines = lookup.machine_keys();
    match machines.pop() {
        Some(only) if machines.is_empty() => Ok(only),
        last => {
            machines.extend(last);
            Err(Refusal::WhichMachine { machines })
        }
    }
}
