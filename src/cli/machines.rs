//! The command `machines`.

use super::args::Catalog;
use super::opening::with_catalog;
use super::printing::{Page, count};
use super::{Answer, Ended};
use crate::catalog::{Lookup, Machine};
use crate::measure::{json_number, plain};
use clap::Args;
use serde_json::json;

#[derive(Debug, Args)]
#[command(after_help = "\
Example:
  kitwright machines")]
pub(crate) struct MachinesAsk {}

pub(crate) fn run(catalog: &Catalog, _: &MachinesAsk, json: bool) -> anyhow::Result<Answer> {
    with_catalog(catalog, |lookup, notes| {
        let machines = machines_of(lookup);
        let ended = if machines.is_empty() { Ended::NotFound } else { Ended::Done };
        let out = if json {
            let machines = machines.iter().map(|machine| {
                json!({
                    "machine": machine.machine.as_str(), "model": machine.model.as_str(),
                    "year": machine.year, "serial": machine.serial.text,
                    "hours": machine.hours.map(json_number),
                })
            });
            let object = json!({ "machines": machines.collect::<Vec<_>>() });
            format!("{}\n", serde_json::to_string_pretty(&object)?)
        } else {
            let mut page = Page::default();
            page.answer(&count(machines.len(), "machine", "machines"), true);
            machines.iter().for_each(|machine| page.text(&line(machine), "  ", "    "));
            page.into_text()
        };
        Ok(Answer { out, err: notes, ended })
    })
}

/// The machines of a catalog, in table order.
pub(super) fn machines_of(lookup: &dyn Lookup) -> Vec<Machine> {
    let keys = lookup.machine_keys();
    keys.iter().filter_map(|key| lookup.machine(key).map(|row| row.into_owned())).collect()
}

/// A machine with what is known of it.
pub(super) fn line(machine: &Machine) -> String {
    let mut said = vec![machine.model.to_string()];
    said.extend(machine.year.map(|year| year.to_string()));
    if !machine.serial.text.is_empty() {
        said.push(format!("serial {}", machine.serial.text));
    }
    said.extend(machine.hours.map(|hours| format!("{} hours", plain(hours))));
    format!("{}: {}", machine.machine, said.join(", "))
}
