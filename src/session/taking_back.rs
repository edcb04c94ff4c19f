//! Taking back what was done last.

use crate::client::Ended;

use super::countdown::{Moment, whole};
use super::cue::Saying;
use super::history::{Done, Hurting};
use super::live::Live;
use super::message::{Outcome, Pause, Undone};
use super::standstill::Standstill;

impl Live {
    /// Takes back what was done last.
    pub(super) fn take_back(&mut self, now: Moment, outcomes: &mut Vec<Outcome>) -> Result<(), &'static str> {
        while let Some(done) = self.history.done.pop() {
            if let Some(what) = self.undo(done, now, outcomes) {
                self.say(Saying::TakenBack, now, outcomes);
                outcomes.push(Outcome::Undone(what));
                return Ok(());
            }
        }
        Err("there is nothing to take back")
    }

    /// Undoes one thing; none if there is nothing left of it to undo.
    fn undo(&mut self, done: Done, now: Moment, outcomes: &mut Vec<Outcome>) -> Option<Undone> {
        match done {
            Done::Rated { id, before } => {
                outcomes.extend(self.runs.rate(self.runs.at(id)?, before));
                Some(Undone::Level)
            }
            Done::Measured { id, before } => {
                outcomes.extend(self.runs.measure(self.runs.at(id)?, before));
                Some(Undone::Angle)
            }
            Done::Passed => {
                self.return_to_passed(now, outcomes)?;
                Some(Undone::Next)
            }
            Done::Hurt(hurting) => {
                self.undo_pain(*hurting, now, outcomes)?;
                Some(Undone::Pain)
            }
            Done::Length { id, by, longer } => {
                self.current.step().filter(|&here| self.runs[here].id == id)?;
                let undone = if longer { self.current.shorten(by, now) } else { self.current.lengthen(by) };
                undone.ok().map(|_| Undone::Length)
            }
            Done::Minutes { due } => {
                self.minutes_left(whole(due.since(now)), now, outcomes);
                Some(Undone::Minutes)
            }
        }
    }

    /// Goes back to the step that was left last, as it stood then; none if there is none.
    pub(super) fn return_to_passed(&mut self, now: Moment, outcomes: &mut Vec<Outcome>) -> Option<()> {
        let passed = self.history.passed.pop()?;
        if let Some((id, owed)) = passed.owed {
            self.runs.owe_less(id, owed);
        }
        outcomes.extend(self.runs.take_up(passed.id, passed.ended, passed.reopened));
        self.current = passed.current;
        self.reached = passed.reached;
        if self.pause.is_none() {
            self.current.go_on(now);
        }
        Some(())
    }

    /// Takes pain back: stands where it was, if nothing else has begun; else the report alone is amended.
    fn undo_pain(&mut self, hurting: Hurting, now: Moment, outcomes: &mut Vec<Outcome>) -> Option<()> {
        let at = self.runs.at(hurting.id)?;
        if let Some(before) = hurting.all {
            self.runs.restore(before.steps);
            self.current = before.current;
            self.reached = before.reached;
            self.history.passed = before.passed;
            self.pause = Some(Standstill { why: Pause::Asked, since: now });
            outcomes.extend(self.runs.amend(at, Ended::CutOff));
        } else {
            outcomes.extend(self.runs.without_pain(at, hurting.ended.unwrap_or(Ended::Skipped)));
            for id in hurting.left_out {
                if let Some(other) = self.runs.at(id) {
                    outcomes.extend(self.runs.unnote(other));
                }
            }
        }
        self.hurt = None;
        Some(())
    }
}
