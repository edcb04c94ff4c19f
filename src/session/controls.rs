//! What the trainer presses.

use std::collections::BTreeSet;

use crate::body::{Seconds, Unit};
use crate::client::{Consent, Ended};
use crate::planner::Step;

use super::countdown::{Countdown, Moment};
use super::interrupted::units;
use super::live::{BlockCursor, Live};
use super::message::{Control, Outcome, Pause};
use super::stage::Stage;
use super::step_run::StepRun;

/// No phase is made longer than this, however often the key is pressed.
const LONGEST: Seconds = Seconds::new(600);

impl Live {
    /// Does what was pressed, after everything that was due by `now`.
    pub fn control(&mut self, control: Control, now: Moment) -> Vec<Outcome> {
        let mut outcomes = Vec::new();
        self.pass(now, &mut outcomes);
        let now = self.clamp(now);
        let refused = match control {
            Control::Level(level) => self.rate(&mut outcomes, |run| run.level = Some(level)),
            Control::Angle(angle) => self.rate(&mut outcomes, |run| run.angle = Some(angle)),
            _ if self.is_finished() => Some("the block is over"),
            Control::Advance => self.advance(now, &mut outcomes),
            Control::Skip => self.skip(now, &mut outcomes),
            Control::Pause => self.pause_asked(now),
            Control::Resume => self.resume(now, &mut outcomes),
            Control::Extend(by) => self.extend(by),
            Control::Back => self.back(now, &mut outcomes),
            Control::Pain => self.pain(now, &mut outcomes),
            Control::Withdraw(consent) => self.withdraw(consent, now, &mut outcomes),
            Control::NoMassage => {
                self.no_massage(now, &mut outcomes);
                None
            }
            Control::MinutesLeft(left) => {
                self.minutes_left(left, now, &mut outcomes);
                None
            }
            Control::Finish => {
                self.finish(Ended::Skipped, now, &mut outcomes);
                None
            }
            Control::CutOff => {
                self.finish(Ended::CutOff, now, &mut outcomes);
                None
            }
        };
        outcomes.extend(refused.map(Outcome::Ignored));
        self.announce_end(&mut outcomes);
        outcomes
    }

    /// The step to which a level belongs: the one at work or, before the work begins, the last one reported.
    pub(super) fn rated(&self) -> Option<usize> {
        match self.cursor {
            BlockCursor::Step(index) if self.stage().is_work() || self.runs[index].held.as_nanos() > 0 => {
                Some(index)
            }
            _ => self.last,
        }
    }

    fn rate(&mut self, outcomes: &mut Vec<Outcome>, set: impl FnOnce(&mut StepRun)) -> Option<&'static str> {
        let Some(index) = self.rated() else { return Some("nothing has been stretched yet") };
        if self.runs[index].held.as_nanos() == 0 && self.runs[index].ended.is_some() {
            return Some("that step was left out");
        }
        set(&mut self.runs[index]);
        self.tell(index, outcomes);
        None
    }

    fn advance(&mut self, now: Moment, outcomes: &mut Vec<Outcome>) -> Option<&'static str> {
        self.go_on(now);
        self.end_part(now, outcomes);
        None
    }

    fn skip(&mut self, now: Moment, outcomes: &mut Vec<Outcome>) -> Option<&'static str> {
        match self.cursor {
            BlockCursor::Step(index) => {
                self.go_on(now);
                self.leave(index, Ended::Skipped, now, outcomes);
                self.arrive(index + 1, now, outcomes);
            }
            _ => self.finish(Ended::Skipped, now, outcomes),
        }
        None
    }

    fn pause_asked(&mut self, now: Moment) -> Option<&'static str> {
        if self.pause.is_some() {
            return Some("it stands still already");
        }
        self.stand_still(Pause::Asked, now);
        None
    }

    fn resume(&mut self, now: Moment, outcomes: &mut Vec<Outcome>) -> Option<&'static str> {
        if self.cursor == BlockCursor::Waiting {
            self.finish(Ended::Skipped, now, outcomes);
        } else if self.pause.is_none() {
            return Some("it is running");
        }
        self.go_on(now);
        None
    }

    fn go_on(&mut self, now: Moment) {
        if self.pause.take().is_some() {
            self.countdown.resume(now);
            self.since = now;
        }
    }

    fn extend(&mut self, by: Seconds) -> Option<&'static str> {
        if self.intervals.is_empty() {
            return Some("there is nothing to lengthen");
        }
        let by = Seconds::new(by.get().min(LONGEST.saturating_sub(self.length).get()));
        if by == Seconds::ZERO {
            return Some("that is long enough");
        }
        self.length += by;
        self.countdown.extend(by);
        self.warned = false;
        None
    }

    fn back(&mut self, now: Moment, outcomes: &mut Vec<Outcome>) -> Option<&'static str> {
        let (here, target) = match self.cursor {
            BlockCursor::Step(index) if self.stage().is_work() => (Some(index), Some(index)),
            BlockCursor::Step(index) => (Some(index), self.last_open(index)),
            _ => (None, self.last_open(self.runs.len())),
        };
        let Some(target) = target else { return Some("there is nothing to go back to") };
        self.count_held(now);
        if let Some(here) = here.filter(|&here| here != target && !self.runs[here].held.is_zero()) {
            self.close(here, Ended::Skipped, now, outcomes);
            self.runs[here].reopened = true;
        }
        // Nobody moves but to another position or side, and then the way back is as long as the way here.
        let step = &self.runs[target].step;
        let stays = self.position == Some(step.position) && (self.side == step.side || step.side.is_none());
        let way = here.filter(|_| !stays).map_or(Seconds::ZERO, |here| self.runs[here].gap);
        self.runs[target].gap = way;
        self.runs[target].owed = Seconds::ZERO;
        self.runs[target].reopened = self.runs[target].ended.is_some();
        self.go_on(now);
        self.arrive(target, now, outcomes);
        None
    }

    /// The step before `index`, if it may be done again: never after pain or withdrawn consent.
    fn last_open(&self, index: usize) -> Option<usize> {
        let before = index.checked_sub(1)?;
        matches!(self.runs[before].ended, Some(Ended::Done | Ended::Skipped))
            .then_some(before)
            .filter(|&before| !self.is_barred(before) && self.is_agreed(before))
    }

    /// Whether the stretch of a step was stopped for pain on either side, or reaches a muscle that hurt.
    fn is_barred(&self, index: usize) -> bool {
        let step = &self.runs[index].step;
        let stopped = |run: &StepRun| run.ended == Some(Ended::Pain) && run.step.stretch == step.stretch;
        self.runs.iter().any(stopped) || !self.units(step).is_disjoint(&self.sore())
    }

    /// The muscles that a step reaches, each on its side.
    pub(super) fn units(&self, step: &Step) -> BTreeSet<Unit> {
        units(&self.shares(step), step.side).collect()
    }

    /// The muscles in which a stretch was stopped for pain, before the block was cut off included.
    pub(super) fn sore(&self) -> BTreeSet<Unit> {
        let now = self.runs.iter().filter(|run| run.ended == Some(Ended::Pain));
        let mut sore: BTreeSet<Unit> = now.flat_map(|run| self.units(&run.step)).collect();
        for report in self.earlier.values().filter(|report| report.ended == Ended::Pain) {
            let targets = self.targets(&report.stretch, &report.form).unwrap_or_default();
            sore.extend(units(&targets, report.side));
        }
        sore
    }

    /// Whether what is agreed to now still covers a step.
    fn is_agreed(&self, index: usize) -> bool {
        self.consent == self.agreed || !self.is_hands_on(&self.runs[index].step)
    }

    fn pain(&mut self, now: Moment, outcomes: &mut Vec<Outcome>) -> Option<&'static str> {
        let BlockCursor::Step(index) = self.cursor else {
            self.finish(Ended::Pain, now, outcomes);
            return None;
        };
        let here = index;
        // Before a step has begun, it is the one before that hurt: a late answer counts for it, too.
        let begun = self.stage().is_work() || self.runs[here].held.as_nanos() > 0;
        let before = self.last.filter(|&last| {
            let run = &self.runs[last];
            run.held.as_nanos() > 0 && matches!(run.ended, Some(Ended::Done | Ended::Skipped))
        });
        let index = if begun { here } else { before.unwrap_or(here) };
        if index == here {
            self.leave(here, Ended::Pain, now, outcomes);
        } else {
            self.close(index, Ended::Pain, now, outcomes);
        }
        let stretch = self.runs[index].step.stretch.clone();
        let sore = self.units(&self.runs[index].step);
        let mut left_out = Vec::new();
        for other in index + 1..self.runs.len() {
            let run = &self.runs[other];
            let same = run.step.stretch == stretch;
            if run.is_to_come() && (same || !self.units(&run.step).is_disjoint(&sore)) {
                let why =
                    if same { "not done: pain on the other side" } else { "not done: pain in its muscles" };
                why.clone_into(&mut self.runs[other].note);
                self.leave(other, Ended::Skipped, now, outcomes);
                left_out.push(self.runs[other].step.clone());
            }
        }
        self.last = Some(index);
        self.hurt = Some((self.runs[index].step.clone(), left_out));
        if self.runs[here].is_to_come() {
            self.stand_still(Pause::Pain, now);
        } else {
            self.pause = Some(Pause::Pain);
            self.arrive(here + 1, now, outcomes);
        }
        None
    }

    fn no_massage(&mut self, now: Moment, outcomes: &mut Vec<Outcome>) {
        self.massage = Seconds::ZERO;
        if self.cursor == BlockCursor::Massage {
            self.finish(Ended::Withdrawn, now, outcomes);
        }
    }

    fn withdraw(&mut self, to: Consent, now: Moment, outcomes: &mut Vec<Outcome>) -> Option<&'static str> {
        if to <= self.consent {
            return Some("consent can only be narrowed while the block runs");
        }
        self.consent = to;
        if to == Consent::Declined {
            self.finish(Ended::Withdrawn, now, outcomes);
            return None;
        }
        let BlockCursor::Step(index) = self.cursor else {
            self.finish(Ended::Withdrawn, now, outcomes);
            return None;
        };
        if self.is_hands_on(&self.runs[index].step) {
            self.leave(index, Ended::Withdrawn, now, outcomes);
        }
        self.massage = Seconds::ZERO;
        self.runs.iter_mut().for_each(|run| run.committed = false);
        let agreed: Vec<bool> = (0..self.runs.len()).map(|index| self.is_agreed(index)).collect();
        self.keep_only(|index, run| agreed[index] && run.is_to_come());
        self.stand_still(Pause::Consent, now);
        if self.under_way().is_none() {
            match self.runs.iter().position(StepRun::is_to_come) {
                Some(next) => self.arrive(next, now, outcomes),
                None => self.wait(),
            }
        }
        outcomes.push(Outcome::Replan(self.progress(now)));
        None
    }

    /// Waits for a new plan.
    fn wait(&mut self) {
        self.cursor = BlockCursor::Waiting;
        self.intervals.clear();
        self.interval = 0;
        self.length = Seconds::ZERO;
        self.countdown = Countdown::Done;
    }

    /// Ends a step before its time; the way that was not gone is left to the next step.
    pub(super) fn leave(&mut self, index: usize, ended: Ended, now: Moment, outcomes: &mut Vec<Outcome>) {
        let owed = match (self.cursor, self.stage()) {
            (BlockCursor::Step(here), Stage::Change { .. }) if here == index => self.countdown.left(now),
            (BlockCursor::Step(here), Stage::Opening) if here == index => {
                self.runs[index].gap + self.runs[index].owed
            }
            (BlockCursor::Step(here), _) if here == index => Seconds::ZERO,
            _ => self.runs[index].gap + self.runs[index].owed,
        };
        if self.cursor == BlockCursor::Step(index) {
            self.count_held(now);
            self.countdown = Countdown::Done;
        }
        self.close(index, ended, now, outcomes);
        if let Some(next) = self.next_after(index) {
            self.runs[next].owed += owed;
        }
    }

    /// Ends the block; a step that has begun is reported.
    fn finish(&mut self, ended: Ended, now: Moment, outcomes: &mut Vec<Outcome>) {
        if let BlockCursor::Step(index) = self.cursor {
            let begun = self.stage().is_work() || self.runs[index].held.as_nanos() > 0;
            if begun || !matches!(ended, Ended::Skipped | Ended::CutOff) {
                self.leave(index, ended, now, outcomes);
            }
        }
        self.count_held(now);
        self.cursor = BlockCursor::Finished;
    }
}
