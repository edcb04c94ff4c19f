//! What the trainer presses.

use crate::body::Seconds;
use crate::client::{Consent, Ended};
use crate::planner::Step;

use super::countdown::Moment;
use super::current::Current;
use super::live::{Hurt, Live};
use super::message::{Control, Outcome, Pause};
use super::stage::{BlockCursor, Stage};

impl Live {
    /// Does what was pressed, after everything that was due by `now`.
    pub fn control(&mut self, control: Control, now: Moment) -> Vec<Outcome> {
        let mut outcomes = Vec::new();
        self.pass(now, &mut outcomes);
        let now = self.deadline.clamp(now);
        if let Err(why) = self.obey(control, now, &mut outcomes) {
            outcomes.push(Outcome::Ignored(why));
        }
        self.announce_end(now, &mut outcomes);
        outcomes
    }

    /// Does it, or says why it makes no sense now.
    fn obey(
        &mut self,
        control: Control,
        now: Moment,
        outcomes: &mut Vec<Outcome>,
    ) -> Result<(), &'static str> {
        match control {
            Control::Level(level) => {
                let index = self.stretched()?;
                outcomes.extend(self.runs.rate(index, level));
            }
            Control::Angle(angle) => {
                let index = self.stretched()?;
                outcomes.extend(self.runs.measure(index, angle));
            }
            _ if self.is_finished() => return Err("the block is over"),
            Control::Advance => {
                self.go_on(now);
                self.end_interval(now, outcomes);
            }
            Control::Skip => self.skip(now, outcomes),
            Control::Pause if self.pause.is_some() => return Err("it stands still already"),
            Control::Pause => self.stand_still(Pause::Asked, now),
            Control::Resume => return self.resume(now, outcomes),
            Control::Extend(by) => return self.current.extend(by),
            Control::Back => return self.back(now, outcomes),
            Control::Pain => self.pain(now, outcomes),
            Control::Withdraw(consent) => return self.withdraw(consent, now, outcomes),
            Control::NoMassage => self.no_massage(now, outcomes),
            Control::MinutesLeft(left) => self.minutes_left(left, now, outcomes),
            Control::Finish => self.finish(Ended::Skipped, now, outcomes),
            Control::CutOff => self.finish(Ended::CutOff, now, outcomes),
        }
        Ok(())
    }

    /// The step to which a level belongs: the one at work or, before the work begins, the last one reported.
    pub(super) fn rated(&self) -> Option<usize> {
        let begun = self.current.step().filter(|&index| self.has_begun(index));
        begun.or(self.runs.last())
    }

    /// The same, if it was stretched at all.
    fn stretched(&self) -> Result<usize, &'static str> {
        let index = self.rated().ok_or("nothing has been stretched yet")?;
        if self.runs[index].held.is_zero() && self.runs[index].ended.is_some() {
            return Err("that step was left out");
        }
        Ok(index)
    }

    /// Whether the step at which the block is has been worked, if only for a moment.
    fn has_begun(&self, here: usize) -> bool {
        self.current.stage().is_work() || !self.runs[here].held.is_zero()
    }

    fn skip(&mut self, now: Moment, outcomes: &mut Vec<Outcome>) {
        match self.current.step() {
            Some(index) => {
                self.go_on(now);
                self.leave(index, Ended::Skipped, now, outcomes);
                self.arrive(index + 1, now, outcomes);
            }
            None => self.finish(Ended::Skipped, now, outcomes),
        }
    }

    fn resume(&mut self, now: Moment, outcomes: &mut Vec<Outcome>) -> Result<(), &'static str> {
        if self.current.cursor() == BlockCursor::Waiting {
            self.finish(Ended::Skipped, now, outcomes);
        } else if self.pause.is_none() {
            return Err("it is running");
        }
        self.go_on(now);
        Ok(())
    }

    fn go_on(&mut self, now: Moment) {
        if self.pause.take().is_some() {
            self.current.go_on(now);
        }
    }

    fn back(&mut self, now: Moment, outcomes: &mut Vec<Outcome>) -> Result<(), &'static str> {
        let here = self.current.step();
        let target = match here {
            Some(index) if self.current.stage().is_work() => Some(index),
            Some(index) => self.last_open(index),
            None => self.last_open(self.runs.len()),
        };
        let target = target.ok_or("there is nothing to go back to")?;
        self.count_held(now);
        if let Some(here) = here.filter(|&here| here != target && !self.runs[here].held.is_zero()) {
            outcomes.extend(self.runs.close(here, Ended::Skipped, now));
            self.runs.put_back(here);
        }
        // Nobody moves but to another position or side, and then the way back is as long as the way here.
        let stays = self.reached.stays_for(&self.runs[target].step);
        let way = here.filter(|_| !stays).map_or(Seconds::ZERO, |here| self.runs[here].gap);
        self.runs.reopen(target, way);
        self.go_on(now);
        self.arrive(target, now, outcomes);
        Ok(())
    }

    /// The step before `index`, if it may be done again: never after pain or withdrawn consent.
    fn last_open(&self, index: usize) -> Option<usize> {
        let before = index.checked_sub(1)?;
        matches!(self.runs[before].ended, Some(Ended::Done | Ended::Skipped))
            .then_some(before)
            .filter(|&before| !self.runs.is_barred(before) && self.is_agreed(before))
    }

    /// Whether what is agreed to now still covers a step.
    fn is_agreed(&self, index: usize) -> bool {
        self.consent.now == self.consent.at_start || !self.runs.is_hands_on(&self.runs[index].step)
    }

    fn pain(&mut self, now: Moment, outcomes: &mut Vec<Outcome>) {
        let Some(here) = self.current.step() else {
            return self.finish(Ended::Pain, now, outcomes);
        };
        // Before a step has begun, it is the one before that hurt: a late answer counts for it, too.
        let before = self.runs.last().filter(|&last| {
            let run = &self.runs[last];
            !run.held.is_zero() && matches!(run.ended, Some(Ended::Done | Ended::Skipped))
        });
        let index = if self.has_begun(here) { here } else { before.unwrap_or(here) };
        if index == here {
            self.leave(here, Ended::Pain, now, outcomes);
        } else {
            outcomes.extend(self.runs.close(index, Ended::Pain, now));
        }
        let left_out = self.leave_out_for_pain(index, now, outcomes);
        self.runs.ask_about(index);
        self.hurt = Some(Hurt { step: self.runs[index].step.clone(), left_out });
        if self.runs[here].is_to_come() {
            self.stand_still(Pause::Pain, now);
        } else {
            self.pause = Some(Pause::Pain);
            self.arrive(here + 1, now, outcomes);
        }
    }

    /// Leaves out the other side of what hurt, and what reaches the same muscles on its side.
    fn leave_out_for_pain(&mut self, hurt: usize, now: Moment, outcomes: &mut Vec<Outcome>) -> Vec<Step> {
        let stretch = self.runs[hurt].step.stretch.clone();
        let sore = self.runs.units(&self.runs[hurt].step);
        let mut left_out = Vec::new();
        for other in hurt + 1..self.runs.len() {
            let step = self.runs[other].step.clone();
            let is_same = step.stretch == stretch;
            let is_sore = is_same || !self.runs.units(&step).is_disjoint(&sore);
            if is_sore && self.runs[other].is_to_come() {
                let why = if is_same {
                    "not done: pain on the other side"
                } else {
                    "not done: pain in its muscles"
                };
                self.runs.note(other, why);
                self.leave(other, Ended::Skipped, now, outcomes);
                left_out.push(step);
            }
        }
        left_out
    }

    fn no_massage(&mut self, now: Moment, outcomes: &mut Vec<Outcome>) {
        self.runs.set_massage(Seconds::ZERO);
        if self.current.cursor() == BlockCursor::Massage {
            self.finish(Ended::Withdrawn, now, outcomes);
        }
    }

    fn withdraw(
        &mut self,
        to: Consent,
        now: Moment,
        outcomes: &mut Vec<Outcome>,
    ) -> Result<(), &'static str> {
        if to <= self.consent.now {
            return Err("consent can only be narrowed while the block runs");
        }
        self.consent.now = to;
        let step = self.current.step().filter(|_| to != Consent::Declined);
        let Some(index) = step else {
            self.finish(Ended::Withdrawn, now, outcomes);
            return Ok(());
        };
        if self.runs.is_hands_on(&self.runs[index].step) {
            self.leave(index, Ended::Withdrawn, now, outcomes);
        }
        self.runs.set_massage(Seconds::ZERO);
        self.runs.commit(|_, _| false);
        let agreed: Vec<bool> = (0..self.runs.len()).map(|index| self.is_agreed(index)).collect();
        self.runs.keep_only(|index, run| agreed[index] && run.is_to_come());
        self.stand_still(Pause::Consent, now);
        if self.under_way().is_none() {
            match self.runs.next_from(0) {
                Some(next) => self.arrive(next, now, outcomes),
                None => self.current = Current::nothing(BlockCursor::Waiting, now),
            }
        }
        outcomes.push(Outcome::Replan(self.progress(now)));
        Ok(())
    }

    /// Ends a step before its time; the way that was not gone is left to the next step.
    pub(super) fn leave(&mut self, index: usize, ended: Ended, now: Moment, outcomes: &mut Vec<Outcome>) {
        let is_here = self.current.step() == Some(index);
        let owed = match self.current.stage() {
            Stage::Change { .. } if is_here => self.current.countdown().left(now),
            Stage::Opening if is_here => self.runs[index].way(),
            _ if is_here => Seconds::ZERO,
            _ => self.runs[index].way(),
        };
        if is_here {
            self.count_held(now);
        }
        outcomes.extend(self.runs.close(index, ended, now));
        self.runs.owe_after(index, owed);
    }

    /// Ends the block; a step that has begun is reported.
    fn finish(&mut self, ended: Ended, now: Moment, outcomes: &mut Vec<Outcome>) {
        if let Some(index) = self.current.step() {
            let is_said = !matches!(ended, Ended::Skipped | Ended::CutOff);
            if is_said || self.has_begun(index) {
                self.leave(index, ended, now, outcomes);
            }
        }
        self.count_held(now);
        self.end(now);
    }
}
