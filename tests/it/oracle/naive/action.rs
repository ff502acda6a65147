//! The action of a disturbed position.

use super::Solver;
use super::catalog::{Action, PartRow, PartType};
use super::cells::{Fitted, Key};
use super::parts::Measured;
use super::rounds::State;

/// The positions that a round disturbs.
pub type Disturbed = [Key];

/// What answers for a part.
struct Answer {
    action: Action,
    /// Only its type says so.
    by_type: bool,
}

impl Solver {
    /// First that answers.
    pub fn action(&self, position: &Key, state: &State, disturbed: &Disturbed) -> Action {
        self.action_while(&[], position, state, disturbed)
    }

    /// `waiting` are the carried positions for whose sake this action is looked for.
    fn action_while(
        &self,
        waiting: &[Key],
        position: &Key,
        state: &State,
        disturbed: &Disturbed,
    ) -> Action {
        match state.target(position).map(|target| &target.part) {
            // target `-` → *leave-out*;
            Some(None) => return Action::LeaveOut,
            // target or forced → *renew*;
            Some(Some(_)) => return Action::Renew,
            None if state.forced.contains(position) => return Action::Renew,
            None => {}
        }
        // The carrier's action is found first; where carried_by runs in a circle, a carrier that waits for this position counts as kept.
        let mut waiting = waiting.to_vec();
        waiting.push(position.clone());
        let carrier = self.carrier_of(position).filter(|carrier| disturbed.contains(carrier));
        let carrier = carrier.map(|carrier| {
            if waiting.contains(&carrier) {
                self.mark("action: carried in a circle");
                Action::Keep
            } else {
                self.action_while(&waiting, &carrier, state, disturbed)
            }
        });
        // carried by a position that is left out → *leave-out*;
        if carrier == Some(Action::LeaveOut) {
            self.mark("action: carried by what is left out");
            return Action::LeaveOut;
        }
        let measured = self.measured(position);
        let current = self.current(position);
        let judged: Vec<Fitted> = match &measured {
            // by which its action is judged, too; if that part lies on no chain of what sits there, it is *renew*
            Measured::Chosen(part) => {
                let view = self.view_at(position);
                let sits = current.parts();
                if !sits.iter().any(|sits| self.resolve(view, sits).has_on_a_chain(part)) {
                    self.mark("action: measured to be another part");
                    return Action::Renew;
                }
                vec![Fitted::Part(part.clone())]
            }
            _ => current.sits.iter().map(|sits| sits.fitted.clone()).collect(),
        };
        // `when_disturbed`;
        let ruling = self.ruling_row(position);
        if let Some(action) = ruling.and_then(|row| row.when_disturbed) {
            self.mark("action: by the position");
            return action;
        }
        // then per current part (renew before inspect before keep).
        let spoils =
            ruling.is_some_and(|row| row.torque_has_angle) || carrier == Some(Action::Renew);
        let mut strongest = Action::Keep;
        for fitted in judged {
            let action = match self.judge_part(&fitted, position) {
                // What only a type says is *renew* instead of *keep* or *inspect* where the position's torque has an angle stage, or
                // where its carrier is renewed.
                Ok(Answer { by_type: true, action }) if spoils => {
                    if action != Action::Renew {
                        self.mark(if carrier == Some(Action::Renew) {
                            "action: the carrier is renewed"
                        } else {
                            "action: tightened by an angle"
                        });
                    }
                    Action::Renew
                }
                Ok(answer) => answer.action,
                // Nothing answers for one of them: *renew*, with a gap on the position; where it waits for a reading, `measure-first`
                // stands instead of `part-unknown`.
                Err("part-unknown") if matches!(measured, Measured::Open) => Action::Renew,
                Err(gap) => {
                    self.gap_on(gap, position);
                    Action::Renew
                }
            };
            strongest = strongest.min(action);
        }
        strongest
    }

    fn judge_part(&self, fitted: &Fitted, position: &Key) -> Result<Answer, &'static str> {
        // `part-unknown` (blank, or neither is in `parts`)
        let number = fitted.part().ok_or("part-unknown")?;
        let part = match self.catalog.part(number) {
            Some(part) => part,
            // a part that is not in `parts` is judged as its first final part
            None => {
                let finals = self.resolve_to_judge(self.view_at(position), number).finals;
                let last = finals.first().map(|last| last.part.clone()).unwrap_or_default();
                let part = self.catalog.part(&last).ok_or("part-unknown")?;
                self.mark("action: judged as the first final part");
                part
            }
        };
        self.judged_by.borrow_mut().insert(part.part.clone());
        self.types_judged.borrow_mut().insert(part.kind.clone());
        // `withdrawn` → renew;
        if part.status == "withdrawn" {
            self.mark("action: withdrawn");
            return Ok(Answer { action: Action::Renew, by_type: false });
        }
        // its `single_use` (yes → renew, no → keep);
        if let Some(single_use) = part.single_use {
            let action = if single_use { Action::Renew } else { Action::Keep };
            return Ok(Answer { action, by_type: false });
        }
        // its type's `when_disturbed`; `rule-unknown` (the type is blank, unknown or has no rule)
        let action = self.type_of(part).and_then(|of_type| of_type.when_disturbed);
        action.map(|action| Answer { action, by_type: true }).ok_or("rule-unknown")
    }

    /// A type is matched by its name, else by `also_called`, which leads to that row's name; of several rows of one name the first
    /// one counts.
    pub fn type_of(&self, part: &PartRow) -> Option<&PartType> {
        if part.kind.is_empty() {
            return None;
        }
        let types = &self.catalog.types;
        let named = |name: &Key| types.iter().find(|of_type| of_type.name == *name);
        named(&part.kind).or_else(|| {
            let also = types.iter().find(|of_type| of_type.also_called.contains(&part.kind))?;
            self.mark("type: by what it is also called");
            named(&also.name)
        })
    }

    /// The position that carries this one.
    pub fn carrier_of(&self, position: &Key) -> Option<Key> {
        self.ruling_row(position).and_then(|row| row.carried_by.clone())
    }
}
