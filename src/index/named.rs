//! Which names the tables use that other tables must hold, so that a row which contradicts them is never answered from.

use crate::catalog::{Lookup, Rows, Scoped as _};
use crate::measure::{Date, Key};
use serde::{Deserialize, Serialize};
use std::collections::BTreeSet;

/// The models that are there, and what names models, machines and positions. What was taken out of the tables since may
/// still be in here: that costs a reading of the tables, never an answer.
#[derive(Debug, Clone, Default, Serialize, Deserialize)]
pub(super) struct Named {
    models: BTreeSet<String>,
    of_models: BTreeSet<String>,
    log_machines: BTreeSet<String>,
    log_positions: BTreeSet<String>,
    /// The latest date in the log.
    latest: String,
}

impl Named {
    pub fn of(rows: &Rows) -> Self {
        let mut named = Named::default();
        let put = |set: &mut BTreeSet<String>, key: &Key| {
            if !set.contains(key.folded()) {
                set.insert(key.folded().to_owned());
            }
        };
        rows.models.iter().for_each(|row| put(&mut named.models, &row.model));
        let models = &mut named.of_models;
        rows.machines.iter().for_each(|row| put(models, &row.model));
        rows.assemblies.iter().flat_map(|row| &row.model).for_each(|model| put(models, model));
        macro_rules! scoped {
            ($($table:ident)*) => { $(
                rows.$table.iter().flat_map(|row| &row.scope().model).for_each(|model| put(models, model));
            )* };
        }
        scoped!(positions seats selections supersessions retrofits operations jobs job_lines);
        for row in &rows.worklog {
            put(&mut named.log_machines, &row.machine);
            row.position.iter().for_each(|position| put(&mut named.log_positions, position));
            if row.date.as_str() > named.latest.as_str() {
                row.date.as_str().clone_into(&mut named.latest);
            }
        }
        named
    }

    pub fn add(&mut self, other: Named) {
        self.models.extend(other.models);
        self.of_models.extend(other.of_models);
        self.log_machines.extend(other.log_machines);
        self.log_positions.extend(other.log_positions);
        self.latest = std::mem::take(&mut self.latest).max(other.latest);
    }

    /// Tells that a row may have to be set aside, which only a whole reading of the tables can do.
    pub fn may_stray(&self, lookup: &dyn Lookup, today: &Date) -> bool {
        (!self.models.is_empty() && !self.of_models.is_subset(&self.models))
            || self.latest.as_str() > today.as_str()
            || self.log_machines.iter().any(|name| lookup.machine(&Key::new(name)).is_none())
            || self.log_positions.iter().any(|name| lookup.positions(&Key::new(name)).is_empty())
    }
}
