//! Going on to the next step, and back. What is left is noted only when another stretch begins, so that a slip leaves
//! no trace.

use crate::body::Seconds;
use crate::client::Ended;

use super::countdown::Moment;
use super::cue::Saying;
use super::history::{Done, Passed};
use super::live::Live;
use super::message::{Outcome, Pause};
use super::step_run::StepRun;

impl Live {
    /// Goes on: after pain with what comes next, else past this step.
    pub(super) fn next(&mut self, now: Moment, outcomes: &mut Vec<Outcome>) {
        if self.is_standing_for(Pause::Pain) {
            // What hurts is left already.
            let _ = self.resume(now, outcomes);
            return;
        }
        let Some(index) = self.current.step() else { return self.finish(Ended::Skipped, now, outcomes) };
        self.count_held(now);
        let mut current = self.current.clone();
        current.stand_still(now);
        let StepRun { id, ended, reopened, .. } = self.runs[index];
        let (reached, way) = (self.reached, self.way_left(index, now));
        outcomes.extend(self.runs.leave(index, now));
        let owed = self.runs.owe_after(index, way);
        self.history.passed.push(Passed { id, ended, reopened, current, reached, owed });
        self.history.done.push(Done::Passed);
        self.pause = None;
        self.arrive(index + 1, now, outcomes);
    }

    /// Goes back: to the step that was left last, to the beginning of this one, or to the one before.
    pub(super) fn before(&mut self, now: Moment, outcomes: &mut Vec<Outcome>) -> Result<(), &'static str> {
        if let Some(last) = self.history.done.iter().rposition(|done| *done == Done::Passed) {
            self.history.done.remove(last);
            self.pause = None;
            self.return_to_passed(now, outcomes);
            let left = self.current.countdown().left(now);
            self.say(Saying::GoOn(left), now, outcomes);
            return Ok(());
        }
        let here = self.current.step();
        let target = match here {
            Some(index) if self.current.stage().is_work() => Some(index),
            Some(index) => self.last_open(index),
            None => self.last_open(self.runs.len()),
        };
        let target = target.ok_or("there is nothing to go back to")?;
        self.count_held(now);
        // Nobody moves but to another position or side, and then the way back is as long as the way here.
        let stays = self.reached.stays_for(&self.runs[target].step);
        let way = here.filter(|_| !stays).map_or(Seconds::ZERO, |here| self.runs[here].gap);
        self.runs.reopen(target, way);
        self.history.forget_how_it_was();
        self.pause = None;
        self.arrive(target, now, outcomes);
        Ok(())
    }

    /// What was left before it had begun is still to come when the block is taken up again.
    pub(super) fn take_up_untouched(&mut self) {
        for passed in self.history.passed.drain(..) {
            if self.runs.at(passed.id).is_some_and(|index| self.runs[index].held.is_zero()) {
                self.runs.take_up(passed.id, passed.ended, passed.reopened);
            }
        }
    }

    /// The step before `index`, if it may be done again: never after pain or withdrawn consent.
    fn last_open(&self, index: usize) -> Option<usize> {
        let before = index.checked_sub(1)?;
        matches!(self.runs[before].ended, Some(Ended::Done | Ended::Skipped))
            .then_some(before)
            .filter(|&before| !self.runs.is_barred(before) && self.is_agreed(before))
    }
}
