//! A kit that a second reading has agreed with.

use crate::catalog::Lookup;
use crate::kit::{Ask, Kit, audit, work_out};

/// Works a kit out, and has it checked.
///
/// # Errors
/// The ask cannot be answered, or the second reading disagrees; in words.
pub fn checked(ask: &Ask, lookup: &dyn Lookup) -> Result<Kit, String> {
    let kit = work_out(ask, lookup).map_err(|refusal| refusal.to_string())?;
    if audit(ask, &kit, lookup).is_empty() {
        Ok(kit)
    } else {
        Err("the kit and its audit disagree, so nothing is made of it; kitwright kit shows both views".to_owned())
    }
}

/// Says that an option adds nothing, for no line of the jobs asks about it.
pub(super) fn nobody_asks(option: &str) -> String {
    format!("no line of these jobs asks about the option {option}; nothing was added for it")
}
