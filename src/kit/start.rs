//! What the rounds start from: the lines of the jobs, and what the person decided.

use super::ask::{Ask, Begun, Instead, Owed, Work};
use super::bench::Bench;
use super::gap::{GapKind, Subject, Why};
use super::reason::{Reason, note};
use super::rounds::{Rounds, SetToBuy, Target};
use super::words;
use crate::catalog::{
    Applies, Change, Fitted, Job, JobLine, Machine, Scoped, options_asked, rows_for,
};
use crate::measure::{Key, Quantity};
use std::rc::Rc;

/// Gives the machine as the assembly of a job has it.
pub(super) fn machine_of_job<'b>(bench: &'b Bench, rows: &[Job]) -> &'b Rc<Machine> {
    bench.machine_in(rows.first().and_then(|row| row.assembly.as_ref()))
}

impl<'a> Rounds<'a> {
    /// Starts from the lines of the jobs and what the person decided.
    pub fn start(bench: &'a Bench<'a>, ask: &Ask, jobs: &[(Key, Vec<Job>)]) -> Self {
        let mut rounds = Rounds::new(bench, ask);
        for (job, rows) in jobs {
            let machine = machine_of_job(bench, rows);
            let (applies, speaking) = rows_for(rows, machine);
            if applies == Applies::Unsure {
                let rows = speaking.iter().map(|row| (row.at, row.scope.clone())).collect();
                let machine = Box::new((**machine).clone());
                let why = Why::JobUnsure { rows, machine };
                rounds.gaps.raise(GapKind::NotSettled, Subject::Job(job.clone()), why);
            }
            let lines = bench.lookup.job_lines(job);
            if lines.is_empty() {
                rounds.doubt(words::job_without_lines(job));
            }
            let assembly = rows.first().and_then(|row| row.assembly.clone());
            for line in lines.iter() {
                rounds.take_line(job, assembly.as_ref(), line, ask);
            }
        }
        for Instead { position, change } in &ask.instead {
            let reason = words::own_choice();
            match change {
                Change::Fit { part, quantity } => {
                    rounds.add_target(position, Some(part), *quantity, true, reason)
                }
                Change::LeaveEmpty => rounds.add_target(position, None, None, true, reason),
                Change::Renew => rounds.add_forced(position, true, reason),
            };
        }
        for position in &ask.renew {
            rounds.add_forced(position, true, words::own_wish());
        }
        for owed in &ask.owed {
            rounds.take_owed(owed);
        }
        if let Some(whole) = &ask.rest_of {
            rounds.doubt_options(whole);
        }
        rounds.call_for_sets();
        rounds
    }

    /// Where the log does not say with which options a job was begun, what is left of it is worked out with those that
    /// are named now; where it does, one that says otherwise counts for nothing.
    fn doubt_options(&mut self, whole: &Ask) {
        for job in &whole.jobs {
            let asked = options_asked(job, self.bench.lookup);
            let Some(Begun { options, place, .. }) =
                whole.begun.iter().find(|begun| begun.job == *job)
            else {
                let open: Vec<&Key> =
                    asked.iter().filter(|name| !whole.options.contains(name)).collect();
                if !open.is_empty() {
                    self.doubt(words::options_not_logged(job, &open));
                }
                continue;
            };
            let denied =
                whole.options.iter().filter(|name| asked.contains(name) && !options.contains(name));
            let denied: Vec<&Key> = denied.collect();
            if !denied.is_empty() {
                self.doubt(words::options_denied(job, &denied, place));
            }
        }
    }

    fn take_owed(&mut self, owed: &Owed) {
        let reason = Reason::asked(owed.text.clone(), owed.place.clone());
        match &owed.work {
            Work::Change { position, change, called } => match change {
                Change::Fit { part, quantity } => {
                    if *called {
                        self.called_parts.insert((position.clone(), part.clone()));
                    }
                    self.add_target(position, Some(part), *quantity, owed.own, reason);
                }
                Change::LeaveEmpty => {
                    self.add_target(position, None, None, owed.own, reason);
                }
                Change::Renew => {
                    self.add_forced(position, owed.own, reason);
                }
            },
            Work::LookAt(position) => {
                note(self.position_reasons.entry(position.clone()).or_default(), reason);
                let place = self.bench.place(position);
                if place.rows.is_empty() && !place.is_on_machine() {
                    let why = Why::NoPositionLeftOut { place: owed.place.clone() };
                    self.gaps.position(GapKind::PositionUnknown, position, why);
                }
                self.add_way_in(&place);
                self.look_at.push(position.clone());
            }
            Work::Operation(operation) => {
                self.add_operation(operation, reason);
            }
        }
    }

    /// What the job, or what goes with it, wants at a position, and whether one of its lines does; `None` where the
    /// position is only on the way.
    pub fn wanted_at(&self, position: &Key) -> Option<(Work, bool)> {
        let own = self.own.contains(position);
        let (change, called) = match self.target(position) {
            Some(Target { part: Some(part), quantity, .. }) => {
                let called = self.called_parts.contains(&(position.clone(), part.clone()));
                (Change::Fit { part: part.clone(), quantity: *quantity }, called)
            }
            Some(Target { part: None, .. }) => (Change::LeaveEmpty, false),
            None if self.is_forced(position) => (Change::Renew, false),
            None => return None,
        };
        Some((Work::Change { position: position.clone(), change, called }, own))
    }

    /// Gives the machine by which the limits of a line are judged: as the assembly of its position has it, else of the
    /// set that it buys, else of the job.
    pub fn machine_of_line(bench: &Bench, assembly: Option<&Key>, line: &JobLine) -> Rc<Machine> {
        match &line.position {
            Some(position) => bench.machine_at(position),
            None => Rc::clone(bench.machine_in(line.assembly.as_ref().or(assembly))),
        }
    }

    fn take_line(&mut self, job: &Key, assembly: Option<&Key>, line: &JobLine, ask: &Ask) {
        if let Some(option) = &line.option {
            self.known_options.insert(option.name.clone());
            if !option.met(ask.options_of(job)) {
                return;
            }
        }
        let machine = Rounds::machine_of_line(self.bench, assembly, line);
        match line.scope().applies(&machine) {
            Applies::No => return,
            Applies::Unsure => {
                let machine = Box::new((*machine).clone());
                let why = Why::LineUnsure { at: line.at, scope: line.scope.clone(), machine };
                self.gaps.raise(GapKind::NotSettled, Subject::Job(job.clone()), why);
                return;
            }
            Applies::Yes => {}
        }
        if let Some(position) = &line.position {
            self.note_line(position, &line.note);
            // The person's own choice stands in for whatever the job does there.
            if !ask.instead.iter().any(|instead| instead.position == *position) {
                let reason = words::job_line(self.bench, job, line);
                match &line.part {
                    Fitted::Part(part) => {
                        self.add_target(position, Some(part), line.quantity, true, reason)
                    }
                    Fitted::Nothing => self.add_target(position, None, None, true, reason),
                    Fitted::Blank => self.add_forced(position, true, reason),
                };
            }
        } else if let Fitted::Part(part) = &line.part {
            let reason = words::job_line(self.bench, job, line);
            let quantity = line.quantity.unwrap_or(Quantity::ONE);
            let assembly = line.assembly.as_ref().or(assembly).cloned();
            self.add_set(SetToBuy {
                part: part.clone(),
                quantity,
                assembly,
                machine,
                reasons: vec![reason],
                note: line.note.clone(),
            });
        }
        if let Some(operation) = &line.operation {
            self.add_operation(operation, words::job_operation(self.bench, job, line));
        }
    }

    /// Adds a set to buy; of the same number for the same assembly the larger quantity counts.
    fn add_set(&mut self, set: SetToBuy) {
        let same = |known: &&mut SetToBuy| known.part == set.part && known.assembly == set.assembly;
        let Some(known) = self.sets.iter_mut().find(same) else {
            self.sets.push(set);
            return;
        };
        let more = set.quantity.to(known.quantity.unit);
        if more.is_some_and(|more| more.amount > known.quantity.amount) {
            known.quantity = set.quantity;
        }
        known.reasons.extend(set.reasons);
    }

    /// Adds what the chains of the sets need.
    fn call_for_sets(&mut self) {
        for set in self.sets.clone() {
            let resolved = self.bench.chains(&set.part, &set.machine);
            for need in &resolved.needs {
                let reason = words::set_need(self.bench, &set.part, need);
                self.add_need(&need.need, reason);
            }
        }
    }
}
