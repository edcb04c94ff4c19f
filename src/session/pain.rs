//! Pain: the stretch stops on both sides, and so does what reaches the same muscles.

use crate::body::Seconds;
use crate::client::Ended;

use super::countdown::Moment;
use super::cue::Saying;
use super::current::Current;
use super::history::{Before, Done, Hurting};
use super::live::Live;
use super::message::{Outcome, Pause};
use super::stage::BlockCursor;
use super::standstill::Hurt;

impl Live {
    /// Notes pain at once and stands still; what is left out for it is noted when another stretch begins.
    pub(super) fn pain(&mut self, now: Moment, outcomes: &mut Vec<Outcome>) -> Result<(), &'static str> {
        if self.is_standing_for(Pause::Pain) {
            return Err("pain is noted already");
        }
        self.count_held(now);
        let Some(index) = self.hurting() else {
            // Nothing was stretched that could be noted, but hands are off all the same.
            self.stand_still(Pause::Pain, now);
            self.say(Saying::Pain, now, outcomes);
            return Ok(());
        };
        let before = self.as_it_is(now);
        let (id, ended) = (self.runs[index].id, self.runs[index].ended);
        let here = self.current.step();
        if here == Some(index) {
            self.leave(index, Ended::Pain, now, outcomes);
        } else {
            outcomes.extend(self.runs.close(index, Ended::Pain, now));
        }
        self.history.forget_passed();
        let left_out = self.leave_out_for_pain(index, now, outcomes);
        self.runs.ask_about(index);
        let step_of = |&id: &u32| self.runs.at(id).map(|at| self.runs[at].step.clone());
        let steps = left_out.iter().filter_map(step_of).collect();
        self.hurt = Some(Hurt { step: self.runs[index].step.clone(), left_out: steps });
        self.history.done.push(Done::Hurt(Box::new(Hurting { id, ended, left_out, all: Some(before) })));
        self.stand_still(Pause::Pain, now);
        if let Some(here) = here.filter(|&here| !self.runs[here].is_to_come()) {
            let is_last = self.runs.next_after(here).is_none() && self.runs.massage() == Seconds::ZERO;
            if is_last {
                self.current = Current::nothing(BlockCursor::Waiting, now);
            } else {
                self.arrive(here + 1, now, outcomes);
            }
        }
        self.say(Saying::Pain, now, outcomes);
        Ok(())
    }

    /// The step that hurts: the one at work; before one has begun, the one before, for a late answer counts, too.
    fn hurting(&self) -> Option<usize> {
        let here = self.current.step();
        if let Some(here) = here.filter(|&here| self.has_begun(here)) {
            return Some(here);
        }
        let passed = self.history.passed.iter().rev().filter_map(|passed| self.runs.at(passed.id));
        let last = passed.chain(self.runs.last()).find(|&index| self.runs[index].was_held());
        last.or(here)
    }

    /// The block as it is, standing still.
    fn as_it_is(&self, now: Moment) -> Before {
        let mut current = self.current.clone();
        current.stand_still(now);
        let passed = self.history.passed.clone();
        Before { steps: self.runs.iter().cloned().collect(), current, reached: self.reached, passed }
    }

    /// Leaves out the other side of what hurts, and what reaches the same muscles on its side.
    fn leave_out_for_pain(&mut self, hurt: usize, now: Moment, outcomes: &mut Vec<Outcome>) -> Vec<u32> {
        let stretch = self.runs[hurt].step.stretch.clone();
        let sore = self.runs.units(&self.runs[hurt].step);
        let mut left_out = Vec::new();
        for other in hurt + 1..self.runs.len() {
            let step = &self.runs[other].step;
            let is_same = step.stretch == stretch;
            let is_sore = is_same || !self.runs.units(step).is_disjoint(&sore);
            if is_sore && self.runs[other].is_to_come() {
                let why = if is_same {
                    "not done: pain on the other side"
                } else {
                    "not done: pain in its muscles"
                };
                let way = self.way_left(other, now);
                self.runs.note(other, why);
                outcomes.extend(self.runs.leave(other, now));
                self.runs.owe_after(other, way);
                left_out.push(self.runs[other].id);
            }
        }
        left_out
    }
}
