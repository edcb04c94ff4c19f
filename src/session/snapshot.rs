//! What there is to see of a live closing block at one moment.

use crate::body::{Level, Seconds};
use crate::planner::Step;

use super::countdown::{Moment, rounded_up, whole};
use super::live::Live;
use super::message::Pause;
use super::stage::Stage;

/// A live closing block at one moment: everything that is needed to draw it.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Snapshot<'a> {
    /// What is going on.
    pub stage: Stage,
    /// Seconds left of it, rounded up.
    pub left: Seconds,
    /// Its whole length, extensions included.
    pub length: Seconds,
    /// The step that is worked or made ready.
    pub step: Option<&'a Step>,
    /// What comes after that step.
    pub next: Option<&'a Step>,
    /// Which step it is, from 1, those that are over included; 0 if there is none.
    pub number: usize,
    /// How many steps there are, those that are over included.
    pub count: usize,
    /// Why it stands still, if it does.
    pub paused: Option<Pause>,
    /// For how long it has.
    pub standing: Seconds,
    /// Seconds under stretch of this step so far.
    pub held: Seconds,
    /// The step that a level would be for: this one, or the last one in between.
    pub rated: Option<&'a Step>,
    /// The number of that step, from 1; 0 if there is none.
    pub rated_number: usize,
    /// Whether that is the step before this one.
    pub rates_last: bool,
    /// Whether that step is over and its answer is awaited.
    pub is_asked: bool,
    /// The level that a key would set or has set.
    pub level: Option<Level>,
    /// How many steps were left and can be gone back to as they stood.
    pub passed: usize,
    /// Seconds since the start of the block.
    pub elapsed: Seconds,
    /// Seconds of work that are left, pauses not counted, rounded up.
    pub remaining: Seconds,
    /// Seconds until the client has to stand up; negative past it.
    pub until_due: i32,
    /// Seconds late (+) or early (-) against the plan.
    pub lateness: i32,
}

/// A stretch that was stopped for pain.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct StoppedForPain<'a> {
    /// The step.
    pub step: &'a Step,
    /// What was left out for it: its other side, and what reaches the same muscles on its side.
    pub left_out: &'a [Step],
}

impl Live {
    /// What was stopped for pain, while the block stands still for it.
    pub fn stopped_for_pain(&self) -> Option<StoppedForPain<'_>> {
        let hurt = self.hurt.as_ref().filter(|_| self.is_standing_for(Pause::Pain))?;
        Some(StoppedForPain { step: &hurt.step, left_out: &hurt.left_out })
    }

    /// Why it stands still, if it does.
    pub fn paused(&self) -> Option<Pause> {
        self.pause.map(|standing| standing.why)
    }

    /// What is shown at a moment.
    pub fn snapshot(&self, now: Moment) -> Snapshot<'_> {
        let now = self.deadline.clamp(now);
        let here = self.current.step();
        let run = here.map(|index| &self.runs[index]);
        let rated = self.stretched(self.rated()).ok();
        let left = self.work_left(now);
        Snapshot {
            stage: self.current.stage(),
            left: self.current.countdown().left(now),
            length: self.current.length(),
            step: run.map(|run| &run.step),
            next: here.and_then(|index| self.runs.next_after(index)).map(|next| &self.runs[next].step),
            number: here.map_or(0, |index| index + 1),
            count: self.runs.len(),
            paused: self.pause.map(|standing| standing.why),
            standing: self.pause.map(|standing| whole(now.since(standing.since))).unwrap_or_default(),
            held: run.map(|run| whole(run.held + self.current.uncounted(now))).unwrap_or_default(),
            rated: rated.map(|index| &self.runs[index].step),
            rated_number: rated.map_or(0, |index| index + 1),
            rates_last: rated.is_some() && rated != here,
            level: rated.and_then(|index| self.runs[index].level),
            is_asked: self.is_asked(),
            passed: self.history.passed.len(),
            elapsed: whole(self.deadline.elapsed(now)),
            remaining: rounded_up(left),
            until_due: self.deadline.until_due(now),
            lateness: self.deadline.lateness(left, now),
        }
    }
}
