//! What a kit is asked of, as a person says it.

use crate::catalog::Lookup;
use crate::kit::{Ask, Instead, Kit, NoKit, Refusal, checked, rest_of};
use crate::measure::Key;

/// What a kit is asked of. Names are in any spelling.
#[derive(Debug, Clone, Default)]
pub struct Wanted {
    /// The machine.
    pub machine: String,
    /// The jobs, in one go.
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
        let ask = Ask {
            machine: Some(Key::new(&self.machine)),
            jobs: keys(&self.jobs),
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
