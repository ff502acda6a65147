//! What the retrofit rows say, and whether a job line's target fits.

use super::Solver;
use super::catalog::{RetrofitRow, Verdict};
use super::cells::{Key, Need};
use super::rounds::State;
use super::scope::Applies;

/// What the retrofit rows say of a part at a position.
pub enum Said {
    NothingSpeaks,
    DoesNotFit,
    Fits { needs: Vec<Need>, operations: Vec<Key> },
}

impl Solver {
    /// The rows that speak of a part at a position, and whether one for exactly this part is *unsure*.
    fn rows_that_speak(&self, part: &Key, position: &Key) -> (Vec<&RetrofitRow>, bool) {
        let view = self.view_at(position);
        let at_position = || self.catalog.retrofits.iter().filter(|row| row.position == *position);
        let applies = |row: &RetrofitRow| view.judge(&row.scope);
        // Take the rows for exactly that part and position that apply with *yes* or *unsure*.
        let exact: Vec<&RetrofitRow> =
            at_position().filter(|row| row.part == *part && applies(row) != Applies::No).collect();
        if exact.is_empty() {
            // If there are none: the rows of that position that apply with *yes* and whose part has this part on its chain speak.
            let by_chain = at_position()
                .filter(|row| applies(row) == Applies::Yes)
                .filter(|row| self.resolve(view, &row.part).has_on_a_chain(part))
                .collect();
            return (by_chain, false);
        }
        let is_unsure = exact.iter().any(|row| applies(row) == Applies::Unsure);
        (exact.into_iter().filter(|row| applies(row) == Applies::Yes).collect(), is_unsure)
    }

    pub fn does_a_retrofit_row_speak(&self, part: &Key, position: &Key) -> bool {
        !self.rows_that_speak(part, position).0.is_empty()
    }

    /// What they say, without a gap.
    pub fn retrofit_rows_say_quietly(&self, part: &Key, position: &Key) -> Said {
        let (speaking, _) = self.rows_that_speak(part, position);
        if speaking.is_empty() {
            return Said::NothingSpeaks;
        }
        // Among those that speak, one `no`: nothing is called for.
        if speaking.iter().any(|row| row.verdict == Verdict::No) {
            return Said::DoesNotFit;
        }
        // Otherwise the `needs` of all of them, in table order, then the `operations` of all of them, less those M's worklog names.
        let is_done = |operation: &Key| {
            let mut log = self.catalog.worklog.iter();
            log.any(|row| row.of_this_machine && row.operation.as_ref() == Some(operation))
        };
        let operations = speaking.iter().flat_map(|row| row.operations.clone());
        Said::Fits {
            needs: speaking.iter().flat_map(|row| row.needs.clone()).collect(),
            operations: operations.filter(|operation| !is_done(operation)).collect(),
        }
    }

    pub fn retrofit_rows_say(&self, part: &Key, position: &Key) -> Said {
        let (speaking, is_unsure) = self.rows_that_speak(part, position);
        if is_unsure {
            self.mark("retrofit: unsure");
            self.gap_on("not-settled", position);
        }
        if speaking.iter().any(|row| row.part != *part) {
            self.mark("retrofit: by the chain");
        }
        // A `look-first` row gives gap `look-first` on the position unless a log row of M there names its part under `confirms`.
        for row in speaking.iter().filter(|row| row.verdict == Verdict::LookFirst) {
            let is_confirmed = self.catalog.worklog.iter().any(|log| {
                log.of_this_machine
                    && log.position.as_ref() == Some(position)
                    && log.confirms.as_ref() == Some(&row.part)
            });
            if is_confirmed {
                self.mark("retrofit: look-first confirmed");
            } else {
                self.gap_on("look-first", position);
            }
        }
        let said = self.retrofit_rows_say_quietly(part, position);
        match &said {
            Said::DoesNotFit => self.gap_on("does-not-fit", position),
            Said::Fits { operations, .. } => {
                self.mark("retrofit: fits");
                if speaking.iter().map(|row| row.operations.len()).sum::<usize>() > operations.len()
                {
                    self.mark("retrofit: operation done already");
                }
            }
            Said::NothingSpeaks => {}
        }
        said
    }

    /// Does a job line's target fit?
    pub fn judge_fits(&self, state: &State) {
        for target in state.targets.iter().filter(|target| target.of_a_job_line) {
            if let Some(part) = &target.part {
                self.judge_fit(&target.position, part, state);
            }
        }
    }

    fn judge_fit(&self, position: &Key, target: &Key, state: &State) {
        let view = self.view_at(position);
        // The chain of a part that any of `rows(pos)` lists or of `Current(pos)` (a chain holds its own start).
        let rows = self.rows_of(position);
        let mut known: Vec<&Key> = rows.iter().filter_map(|row| row.part.part()).collect();
        let current = self.current(position);
        known.extend(current.parts());
        let is_placed =
            |part: &Key| known.iter().any(|start| self.resolve(view, start).has_on_a_chain(part));
        let is_spoken_for =
            |part: &Key| matches!(self.retrofit_rows_say(part, position), Said::Fits { .. });
        let is_refused =
            |part: &Key| matches!(self.retrofit_rows_say(part, position), Said::DoesNotFit);
        let finals = self.resolve(view, target).finals;
        // With a `no` on the target or a final part: `does-not-fit` alone.
        if is_refused(target) || finals.iter().any(|last| is_refused(&last.part)) {
            self.mark("fit: does not fit alone");
        } else if state.called_for.contains(&(position.clone(), target.clone())) {
            self.mark("fit: called for by a needs as well");
        } else if is_spoken_for(target) {
            self.mark("fit: the retrofit rows say so");
        } else if is_placed(target) {
            self.mark("fit: on the chain of a part listed or fitted there");
        } else if finals.iter().all(|last| is_placed(&last.part) || is_spoken_for(&last.part)) {
            self.mark("fit: every final part does");
        } else {
            self.gap_on("fit-unknown", position);
        }
    }
}
