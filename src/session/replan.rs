//! Planning the rest of a running block again: what stays, what is done, how long there is.

use std::collections::BTreeSet;

use crate::body::{Muscle, Seconds};
use crate::catalogue::StretchId;
use crate::client::Ended;
use crate::planner::{Plan, Progress, WorkDone};

use super::countdown::{Moment, whole};
use super::interrupted::was_tried;
use super::live::Live;
use super::message::Outcome;
use super::stage::{BlockCursor, Stage};
use super::step_run::StepRun;

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
        let now = self.deadline.clamp(now);
        self.put_rest(StepRun::of_plan(plan, Seconds::ZERO), plan.massage, now, &mut outcomes);
        self.announce_end(now, &mut outcomes);
        outcomes
    }

    /// How far the block has come if the rest is to be planned for the time until the client must stand up.
    pub fn progress(&self, now: Moment) -> Progress {
        let now = self.deadline.clamp(now);
        self.progress_with(self.deadline.left(now).saturating_sub(self.certain(now)))
    }

    /// Where the rest cannot be planned again: keeps the step under way, the other sides that are spoken for and then,
    /// in order, what still fits, and drops the others, so that the block ends when it was said to.
    #[must_use = "what was due before is in the outcomes"]
    pub fn keep_what_fits(&mut self, now: Moment) -> Vec<Outcome> {
        let mut outcomes = Vec::new();
        self.pass(now, &mut outcomes);
        let waits = self.current.cursor() == BlockCursor::Waiting && self.runs.next_from(0).is_none();
        if self.is_finished() || waits {
            return outcomes;
        }
        let now = self.deadline.clamp(now);
        self.history.forget_how_it_was();
        let stays = self.stays();
        let here = stays.map_or(Seconds::ZERO, |_| self.current.left(now));
        let mut room = self.deadline.left(now).saturating_sub(here);
        self.runs.commit(|index, run| {
            let fits = stays == Some(index) || run.length() <= room;
            if run.committed && fits && stays != Some(index) {
                room = room.saturating_sub(run.length());
            }
            run.committed && fits
        });
        let (kept, room) = self.keep_in_order(stays, room);
        if self.runs.massage() > room {
            self.runs.set_massage(Seconds::ZERO);
        }
        outcomes.extend(self.runs.keep_only(|index, _| stays == Some(index) || kept.contains(&index)));
        if stays.is_none() {
            self.arrive(0, now, &mut outcomes);
        }
        self.deadline.plan(self.work_left(now), now);
        self.announce_end(now, &mut outcomes);
        outcomes
    }

    /// What fits of that which is to come, and the room that it leaves; what is committed has its room already.
    fn keep_in_order(&mut self, stays: Option<usize>, mut room: Seconds) -> (BTreeSet<usize>, Seconds) {
        let mut way = Seconds::ZERO;
        let mut kept = BTreeSet::new();
        for index in 0..self.runs.len() {
            let run = &self.runs[index];
            if !run.is_to_come() || stays == Some(index) {
                continue;
            }
            if run.committed {
                room += run.length();
            }
            // The way to what is dropped is gone on to what is kept.
            let on = way.max(run.way());
            self.runs.set_way(index, on);
            let length = self.runs[index].length();
            if length <= room {
                room = room.saturating_sub(length);
                kept.insert(index);
                way = Seconds::ZERO;
            } else {
                way = on;
            }
        }
        (kept, room)
    }

    fn put_rest(&mut self, rest: Vec<StepRun>, massage: Seconds, now: Moment, outcomes: &mut Vec<Outcome>) {
        self.history.forget_how_it_was();
        let stays = self.stays();
        outcomes.extend(self.runs.keep_only(|index, run| run.committed || stays == Some(index)));
        self.runs.append(rest);
        self.runs.set_massage(massage);
        if stays.is_none() {
            self.arrive(0, now, outcomes);
        }
        self.deadline.plan(self.work_left(now), now);
    }

    pub(super) fn minutes_left(&mut self, left: Seconds, now: Moment, outcomes: &mut Vec<Outcome>) {
        self.deadline.set(left, now);
        self.history.forget_how_it_was();
        if self.current.cursor() == BlockCursor::Massage {
            self.current.cap(left, now);
            return;
        }
        if let Some(index) = self.under_way()
            && !self.current.fit(left, now)
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

    /// Keeps the other side of what was done, where it needs no change of position and fits.
    fn commit_other_sides(&mut self, left: Seconds, now: Moment) {
        let mut room = left;
        let start = match self.current.step() {
            Some(index) if self.under_way().is_some() => {
                room = room.saturating_sub(self.current.left(now));
                index + 1
            }
            Some(index) => index,
            None => self.runs.len(),
        };
        let now = self.runs.iter().take(start).map(|done| {
            let ended = if done.left { Some(Ended::Skipped) } else { done.outcome() };
            let tried = ended.is_none_or(|ended| was_tried(ended, whole(done.held)));
            (done.step.stretch.clone(), done.step.side, tried)
        });
        let earlier = self.runs.earlier().values();
        let earlier = earlier.map(|done| (done.stretch.clone(), done.side, was_tried(done.ended, done.held)));
        let tried: Vec<_> = now.chain(earlier).filter(|(_, _, tried)| *tried).collect();
        let at = self.reached.position;
        self.runs.commit(|index, run| {
            let is_other_side =
                tried.iter().any(|(stretch, side, _)| *stretch == run.step.stretch && *side != run.step.side);
            let stays = at.is_none_or(|position| position == run.step.position);
            let needed = run.length();
            let is_kept = index >= start && run.is_to_come() && is_other_side && stays && needed <= room;
            if is_kept {
                room = room.saturating_sub(needed);
            }
            is_kept
        });
    }

    /// Seconds that are spoken for, whatever the rest will be.
    fn certain(&self, now: Moment) -> Seconds {
        let stays = self.stays();
        let others = self.runs.iter().enumerate();
        let committed = others.filter(|(index, run)| run.committed && stays != Some(*index));
        committed.map(|(_, run)| run.length()).sum::<Seconds>()
            + stays.map_or(Seconds::ZERO, |_| self.current.left(now))
    }

    /// The step that goes on when the rest is planned again.
    fn stays(&self) -> Option<usize> {
        match self.current.step() {
            Some(index) if self.runs[index].committed => Some(index),
            _ => self.under_way(),
        }
    }

    fn progress_with(&self, left: Seconds) -> Progress {
        let under_way = self.under_way();
        let (mut done, mut finished) = self.earlier_progress();
        for (index, run) in self.runs.iter().enumerate() {
            let goes_on = run.committed || under_way == Some(index);
            if !goes_on && !run.left && run.ended.is_none() && run.held.is_zero() {
                continue;
            }
            let held = if goes_on { run.step.dose.held().max(whole(run.held)) } else { whole(run.held) };
            done.push(WorkDone::of_step(&run.step, held));
            if run.ended != Some(Ended::Withdrawn) {
                finished.push(run.step.stretch.clone());
            }
        }
        done.retain(|done| done.held > Seconds::ZERO);
        // What reaches a muscle that hurt does not come again today, on neither side.
        let sore: BTreeSet<Muscle> = self.runs.sore().into_iter().map(|unit| unit.muscle).collect();
        finished.extend(self.runs.reaching(&sore));
        finished.sort();
        finished.dedup();
        let committed = self.runs.iter().rev().find(|run| run.committed);
        let position = committed.map_or(self.reached.position, |run| Some(run.step.position));
        Progress { done, position, left, finished }
    }

    /// What was held before the block was cut off, and the stretches that are over.
    fn earlier_progress(&self) -> (Vec<WorkDone>, Vec<StretchId>) {
        let (mut done, mut finished) = (Vec::new(), Vec::new());
        for report in self.runs.earlier().values() {
            done.push(report.into());
            if !matches!(report.ended, Ended::Withdrawn | Ended::CutOff) {
                finished.push(report.stretch.clone());
            }
        }
        (done, finished)
    }

    /// The step that is being set up or worked.
    pub(super) fn under_way(&self) -> Option<usize> {
        let is_before = matches!(self.current.stage(), Stage::Opening | Stage::Change { .. });
        self.current.step().filter(|&index| !is_before && self.runs[index].is_to_come())
    }
}
