//! Planning the rest of a running block again: what stays, what is done, how long there is.

use std::collections::{BTreeMap, BTreeSet};

use crate::body::{Muscle, Seconds, Unit};
use crate::catalogue::StretchId;
use crate::client::Ended;
use crate::planner::{Plan, Progress};

use super::countdown::{Moment, duration, whole};
use super::interrupted::{count, was_tried};
use super::intervals;
use super::live::{BlockCursor, Live};
use super::message::Outcome;
use super::stage::Stage;
use super::step_run::StepRun;

/// A stretch that is cut short is not cut to less than this; our judgement.
const SHORTEST: Seconds = Seconds::new(5);

impl Live {
    /// Puts a new plan in the place of everything that has not begun.
    ///
    /// The step under way goes on, and so does the other side of what was done where it still fits. A block that
    /// stands still goes on standing still.
    #[must_use = "what was due before the new plan is in the outcomes"]
    pub fn replace_rest(&mut self, plan: &Plan, now: Moment) -> Vec<Outcome> {
        let mut outcomes = Vec::new();
        self.pass(now, &mut outcomes);
        if self.is_finished() {
            return outcomes;
        }
        let now = self.clamp(now);
        self.put_rest(StepRun::of_plan(plan, Seconds::ZERO), plan.massage, now, &mut outcomes);
        self.announce_end(&mut outcomes);
        outcomes
    }

    /// How far the block has come if the rest is to be planned for the time until the client must stand up.
    pub fn progress(&self, now: Moment) -> Progress {
        let now = self.clamp(now);
        self.progress_with(whole(self.due.since(now)).saturating_sub(self.certain(now)))
    }

    /// Where the rest cannot be planned again: keeps the step under way, the other sides that are spoken for and then,
    /// in order, what still fits, and drops the others, so that the block ends when it was said to.
    #[must_use = "what was due before is in the outcomes"]
    pub fn keep_what_fits(&mut self, now: Moment) -> Vec<Outcome> {
        let mut outcomes = Vec::new();
        self.pass(now, &mut outcomes);
        let to_come = self.runs.iter().any(StepRun::is_to_come);
        if self.is_finished() || (self.cursor == BlockCursor::Waiting && !to_come) {
            return outcomes;
        }
        let now = self.clamp(now);
        let stays = self.stays();
        let here = stays.map_or(Seconds::ZERO, |_| self.current_left(now));
        let mut room = whole(self.due.since(now)).saturating_sub(here);
        for (index, run) in self.runs.iter_mut().enumerate().filter(|(_, run)| run.committed) {
            run.committed = stays == Some(index) || run.length() <= room;
            if run.committed && stays != Some(index) {
                room = room.saturating_sub(run.length());
            }
        }
        let mut way = Seconds::ZERO;
        let mut kept = BTreeSet::new();
        for (index, run) in self.runs.iter_mut().enumerate() {
            if !run.is_to_come() || stays == Some(index) {
                continue;
            }
            // The way to what is dropped is gone on to what is kept.
            let before = run.length();
            run.owed = way.max(run.gap + run.owed).saturating_sub(run.gap);
            let spoken_for = if run.committed { before } else { Seconds::ZERO };
            room += spoken_for;
            if run.length() <= room {
                room = room.saturating_sub(run.length());
                kept.insert(index);
                way = Seconds::ZERO;
            } else {
                way = run.gap + run.owed;
            }
        }
        self.massage = if self.massage <= room { self.massage } else { Seconds::ZERO };
        self.keep_only(|index, _| stays == Some(index) || kept.contains(&index));
        if stays.is_none() {
            self.arrive(0, now, &mut outcomes);
        }
        self.planned_end = now.after(self.remaining_now(now));
        self.announce_end(&mut outcomes);
        outcomes
    }

    /// Drops what is to come but for what is wanted; what has a report stays, and is not done again.
    pub(super) fn keep_only(&mut self, wanted: impl Fn(usize, &StepRun) -> bool) {
        let mut index = 0;
        self.runs.retain_mut(|run| {
            let wanted = wanted(index, run);
            index += 1;
            run.reopened &= wanted;
            wanted || run.ended.is_some()
        });
    }

    fn put_rest(
        &mut self,
        mut rest: Vec<StepRun>,
        massage: Seconds,
        now: Moment,
        outcomes: &mut Vec<Outcome>,
    ) {
        let stays = self.stays();
        self.keep_only(|index, run| run.committed || stays == Some(index));
        self.runs.append(&mut rest);
        self.massage = massage;
        if stays.is_none() {
            self.arrive(0, now, outcomes);
        }
        self.planned_end = now.after(self.remaining_now(now));
    }

    pub(super) fn minutes_left(&mut self, left: Seconds, now: Moment, outcomes: &mut Vec<Outcome>) {
        self.due = now.after(duration(left));
        if self.cursor == BlockCursor::Massage {
            self.countdown.cap(left, now);
            return;
        }
        if let Some(index) = self.under_way()
            && !self.fit_current(left, now)
        {
            self.leave(index, Ended::Skipped, now, outcomes);
            self.arrive(index + 1, now, outcomes);
        }
        self.commit_other_sides(left, now);
        let rest = left.saturating_sub(self.certain(now));
        if rest > Seconds::ZERO {
            outcomes.push(Outcome::Replan(self.progress_with(rest)));
        } else {
            self.put_rest(Vec::new(), Seconds::ZERO, now, outcomes);
        }
    }

    /// Cuts the step under way from its end so that it is over in time; false if nothing worth it remains.
    fn fit_current(&mut self, left: Seconds, now: Moment) -> bool {
        while self.interval + 1 < self.intervals.len() {
            let over = self.current_left(now).saturating_sub(left);
            let Some(last) = self.intervals.last_mut().filter(|_| over > Seconds::ZERO) else { break };
            if last.stage.is_stretch() && last.length.saturating_sub(over) >= SHORTEST {
                last.length = last.length.saturating_sub(over);
            } else {
                self.intervals.pop();
            }
        }
        self.countdown.cap(left, now);
        self.intervals.last().is_some_and(|interval| interval.stage.is_work())
    }

    /// Keeps the other side of what was done, where it needs no change of position and fits.
    fn commit_other_sides(&mut self, left: Seconds, now: Moment) {
        let mut room = left;
        let start = match self.cursor {
            BlockCursor::Step(index) if self.under_way().is_some() => {
                room = room.saturating_sub(self.current_left(now));
                index + 1
            }
            BlockCursor::Step(index) => index,
            _ => self.runs.len(),
        };
        self.runs.iter_mut().for_each(|run| run.committed = false);
        for index in start..self.runs.len() {
            let run = &self.runs[index];
            let needed = run.length();
            let now = self.runs[..start].iter().map(|done| {
                let tried = done.ended.is_none_or(|ended| was_tried(ended, whole(done.held)));
                (&done.step.stretch, done.step.side, tried)
            });
            let earlier = self
                .earlier
                .values()
                .map(|done| (&done.stretch, done.side, was_tried(done.ended, done.held)));
            let is_other_side = now
                .chain(earlier)
                .any(|(stretch, side, tried)| *stretch == run.step.stretch && side != run.step.side && tried);
            let stays = self.position.is_none_or(|position| position == run.step.position);
            if run.is_to_come() && is_other_side && stays && needed <= room {
                room = room.saturating_sub(needed);
                self.runs[index].committed = true;
            }
        }
    }

    /// Seconds that are spoken for, whatever the rest will be.
    fn certain(&self, now: Moment) -> Seconds {
        let stays = self.stays();
        let committed =
            self.runs.iter().enumerate().filter(|(index, run)| run.committed && stays != Some(*index));
        committed.map(|(_, run)| run.length()).sum::<Seconds>()
            + stays.map_or(Seconds::ZERO, |_| self.current_left(now))
    }

    /// The step that goes on when the rest is planned again.
    fn stays(&self) -> Option<usize> {
        match self.cursor {
            BlockCursor::Step(index) if self.runs[index].committed => Some(index),
            _ => self.under_way(),
        }
    }

    fn progress_with(&self, left: Seconds) -> Progress {
        let under_way = self.under_way();
        let (mut done, mut finished) = self.earlier_progress();
        for (index, run) in self.runs.iter().enumerate() {
            let goes_on = run.committed || under_way == Some(index);
            if !goes_on && run.ended.is_none() && run.held.is_zero() {
                continue;
            }
            let held = if goes_on { run.step.dose.held().max(whole(run.held)) } else { whole(run.held) };
            count(&mut done, &self.shares(&run.step), run.step.side, held);
            if run.ended != Some(Ended::Withdrawn) {
                finished.push(run.step.stretch.clone());
            }
        }
        done.retain(|_, held| *held > Seconds::ZERO);
        // What reaches a muscle that hurt does not come again today, on neither side.
        let sore: BTreeSet<Muscle> = self.sore().into_iter().map(|unit| unit.muscle).collect();
        finished.extend(self.reaching(&sore));
        finished.sort();
        finished.dedup();
        let position = self
            .runs
            .iter()
            .rev()
            .find(|run| run.committed)
            .map_or(self.position, |run| Some(run.step.position));
        Progress { done, position, left, finished }
    }

    /// What each unit had before the block was cut off, and the stretches that are over.
    fn earlier_progress(&self) -> (BTreeMap<Unit, Seconds>, Vec<StretchId>) {
        let (mut done, mut finished) = (BTreeMap::new(), Vec::new());
        for report in self.earlier.values() {
            let targets = self.targets(&report.stretch, &report.form).unwrap_or_default();
            count(&mut done, &targets, report.side, report.held);
            if !matches!(report.ended, Ended::Withdrawn | Ended::CutOff) {
                finished.push(report.stretch.clone());
            }
        }
        (done, finished)
    }

    /// The step that is being set up or worked.
    pub(super) fn under_way(&self) -> Option<usize> {
        match (self.cursor, self.stage()) {
            (BlockCursor::Step(_), Stage::Opening | Stage::Change { .. }) => None,
            (BlockCursor::Step(index), _) if self.runs[index].is_to_come() => Some(index),
            _ => None,
        }
    }

    /// Seconds that the step under way still takes, rounded up.
    fn current_left(&self, now: Moment) -> Seconds {
        let rest = self.intervals.get(self.interval + 1..).map_or(Seconds::ZERO, intervals::length);
        self.countdown.left(now) + rest
    }
}
