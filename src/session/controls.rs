//! What the trainer presses. Going on and back between steps is in `moves`, pain in `pain`.

use crate::body::{Level, Seconds};
use crate::client::{Consent, Ended};

use super::countdown::{Moment, duration};
use super::cue::Saying;
use super::current::Current;
use super::history::Done;
use super::live::Live;
use super::message::{Control, Outcome, Pause};
use super::stage::{BlockCursor, Stage};

/// So long into a hold an answer is still for the one before, if that has none: our judgement.
const LATE_ANSWER: Seconds = Seconds::new(10);

impl Live {
    /// Does what was pressed, after everything that was due by `now`.
    pub fn control(&mut self, control: Control, now: Moment) -> Vec<Outcome> {
        let mut outcomes = Vec::new();
        self.pass(now, &mut outcomes);
        let now = self.deadline.clamp(now);
        if let Err(why) = self.obey(control, now, &mut outcomes) {
            outcomes.push(Outcome::Ignored(why));
        }
        self.say_due(now, now, &mut outcomes);
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
            _ if self.is_stopped() && !is_for_stop(control) => return Err("hands are off: go on, or finish"),
            Control::Level(level) => return self.rate(self.rated(), level, outcomes),
            Control::LevelFor(number, level) => {
                let index = number.checked_sub(1).filter(|&index| index < self.runs.len());
                return self.rate(index, level, outcomes);
            }
            Control::Angle(angle) => {
                let index = self.stretched(self.rated())?;
                let run = &self.runs[index];
                self.history.done.push(Done::Measured { id: run.id, before: run.angle });
                outcomes.extend(self.runs.measure(index, Some(angle)));
            }
            _ if self.is_finished() => return Err("the block is over"),
            Control::Begin => return self.begin(now, outcomes),
            Control::Next => self.next(now, outcomes),
            Control::Before => return self.before(now, outcomes),
            Control::Undo => return self.take_back(now, outcomes),
            Control::Pause => return self.pause(now, outcomes),
            Control::Resume => return self.resume(now, outcomes),
            Control::Longer(by) => return self.set_length(by, true, now),
            Control::Shorter(by) => return self.set_length(by, false, now),
            Control::Pain => return self.pain(now, outcomes),
            Control::Stop => {
                self.stand_still(Pause::Stop, now);
                self.say(Saying::Stop, now, outcomes);
            }
            Control::Withdraw(consent) => return self.withdraw(consent, now, outcomes),
            Control::NoMassage => self.no_massage(now, outcomes),
            Control::MinutesLeft(left) => {
                self.history.done.push(Done::Minutes { due: self.deadline.due() });
                self.minutes_left(left, now, outcomes);
            }
            Control::Finish => self.finish(Ended::Skipped, now, outcomes),
            Control::CutOff => self.finish(Ended::CutOff, now, outcomes),
        }
        Ok(())
    }

    fn is_stopped(&self) -> bool {
        self.is_standing_for(Pause::Stop)
    }

    pub(super) fn is_standing_for(&self, why: Pause) -> bool {
        self.pause.is_some_and(|standing| standing.why == why)
    }

    /// The step to which an answer belongs: the one at work, or the one before as long as that is asked about.
    pub(super) fn rated(&self) -> Option<usize> {
        let before = self.history.passed.last().and_then(|passed| self.runs.at(passed.id));
        let before = before.filter(|&index| self.runs[index].was_held()).or(self.runs.last());
        let Some(here) = self.current.step().filter(|&here| self.has_begun(here)) else { return before };
        let held = self.runs[here].held + self.current.uncounted(self.deadline.seen());
        let is_open = |&index: &usize| {
            let run = &self.runs[index];
            index != here && run.was_held() && run.level.is_none()
        };
        let is_early = self.runs[here].level.is_none() && held < duration(LATE_ANSWER);
        before.filter(is_open).filter(|_| is_early).or(Some(here))
    }

    /// Whether the client's answer is awaited.
    pub(super) fn is_asked(&self) -> bool {
        self.rated().is_some_and(|index| self.runs[index].was_held() && self.runs[index].level.is_none())
    }

    /// A step, if it was stretched at all.
    pub(super) fn stretched(&self, index: Option<usize>) -> Result<usize, &'static str> {
        let index = index.ok_or("nothing has been stretched yet")?;
        let is_here = self.current.step() == Some(index) && self.has_begun(index);
        if self.runs[index].held.is_zero() && !is_here {
            let is_over = self.runs[index].left || self.runs[index].ended.is_some();
            return Err(if is_over { "that step was left out" } else { "that step is still to come" });
        }
        Ok(index)
    }

    fn rate(
        &mut self,
        index: Option<usize>,
        level: Level,
        outcomes: &mut Vec<Outcome>,
    ) -> Result<(), &'static str> {
        let index = self.stretched(index)?;
        let run = &self.runs[index];
        if run.level != Some(level) {
            self.history.done.push(Done::Rated { id: run.id, before: run.level });
            outcomes.extend(self.runs.rate(index, Some(level)));
        }
        Ok(())
    }

    /// Whether the step at which the block is has been worked, if only for a moment.
    pub(super) fn has_begun(&self, here: usize) -> bool {
        self.current.stage().is_work() || !self.runs[here].held.is_zero()
    }

    fn begin(&mut self, now: Moment, outcomes: &mut Vec<Outcome>) -> Result<(), &'static str> {
        if self.current.stage().is_work() {
            return Err("it has begun");
        }
        if self.pause.is_some() {
            return Err("it stands still: go on first");
        }
        self.current.step().ok_or("nothing is to begin")?;
        self.end_interval(now, outcomes);
        Ok(())
    }

    fn pause(&mut self, now: Moment, outcomes: &mut Vec<Outcome>) -> Result<(), &'static str> {
        if self.pause.is_some() {
            return Err("it stands still already");
        }
        self.stand_still(Pause::Asked, now);
        self.say(Saying::Paused, now, outcomes);
        Ok(())
    }

    pub(super) fn resume(&mut self, now: Moment, outcomes: &mut Vec<Outcome>) -> Result<(), &'static str> {
        if self.current.cursor() == BlockCursor::Waiting {
            self.finish(Ended::Skipped, now, outcomes);
            return Ok(());
        }
        if self.pause.is_none() {
            return Err("it is running");
        }
        self.go_on(now, outcomes);
        let left = self.current.countdown().left(now);
        self.say(Saying::GoOn(left), now, outcomes);
        Ok(())
    }

    /// Goes on from where it stands still, if it does.
    pub(super) fn go_on(&mut self, now: Moment, outcomes: &mut Vec<Outcome>) {
        if self.pause.take().is_some() {
            self.current.go_on(now);
            if self.current.stage().is_work() {
                self.settle(outcomes);
            }
        }
    }

    fn set_length(&mut self, by: Seconds, longer: bool, now: Moment) -> Result<(), &'static str> {
        let by = if longer { self.current.lengthen(by)? } else { self.current.shorten(by, now)? };
        if let Some(here) = self.current.step() {
            self.history.done.push(Done::Length { id: self.runs[here].id, by, longer });
        }
        Ok(())
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
        self.history.forget_passed();
        self.history.forget_how_it_was();
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
        outcomes.extend(self.runs.keep_only(|index, _| agreed[index]));
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

    /// Whether what is agreed to now still covers a step.
    pub(super) fn is_agreed(&self, index: usize) -> bool {
        self.consent.now == self.consent.at_start || !self.runs.is_hands_on(&self.runs[index].step)
    }

    /// Ends a step before its time; the way that was not gone is left to the next step.
    pub(super) fn leave(&mut self, index: usize, ended: Ended, now: Moment, outcomes: &mut Vec<Outcome>) {
        let owed = self.way_left(index, now);
        if self.current.step() == Some(index) {
            self.count_held(now);
        }
        outcomes.extend(self.runs.close(index, ended, now));
        self.runs.owe_after(index, owed);
    }

    /// What is still to be gone of the way to a step.
    pub(super) fn way_left(&self, index: usize, now: Moment) -> Seconds {
        if self.current.step() != Some(index) {
            return self.runs[index].way();
        }
        match self.current.stage() {
            Stage::Change { .. } => self.current.countdown().left(now),
            Stage::Opening => self.runs[index].way(),
            _ => Seconds::ZERO,
        }
    }

    /// Ends the block; a step that has begun is reported, and so is what was left out.
    pub(super) fn finish(&mut self, ended: Ended, now: Moment, outcomes: &mut Vec<Outcome>) {
        if ended == Ended::CutOff {
            self.take_up_untouched();
        }
        if let Some(index) = self.current.step() {
            let is_said = !matches!(ended, Ended::Skipped | Ended::CutOff);
            if !is_said && self.has_begun(index) {
                self.count_held(now);
            }
            if is_said || self.runs[index].is_worth_a_report() {
                self.leave(index, ended, now, outcomes);
            }
        }
        for index in 0..self.runs.len() {
            // Begun once and to be taken up again: as far as it came.
            if self.runs[index].is_to_come() && self.runs[index].is_worth_a_report() {
                outcomes.extend(self.runs.close(index, Ended::Skipped, now));
            }
        }
        self.end(now, outcomes);
    }
}

/// Whether something can be pressed while hands are off: whatever narrows, ends or goes on.
const fn is_for_stop(control: Control) -> bool {
    matches!(
        control,
        Control::Resume
            | Control::Pain
            | Control::Withdraw(_)
            | Control::NoMassage
            | Control::MinutesLeft(_)
            | Control::Finish
            | Control::CutOff
    )
}
