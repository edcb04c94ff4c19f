//! What there is to see of a live closing block at one moment.

use crate::body::{Level, Seconds};
use crate::planner::Step;

use super::countdown::{Moment, duration, rounded_up, whole};
use super::live::{BlockCursor, Live};
use super::message::Pause;
use super::stage::Stage;
use super::step_run::StepRun;

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
    /// Seconds under stretch of this step so far.
    pub held: Seconds,
    /// The step that a level would be for: this one, or the last one in between.
    pub rated: Option<&'a Step>,
    /// Whether that is the step before this one.
    pub rates_last: bool,
    /// The level that a key would set or has set.
    pub level: Option<Level>,
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
        let (step, left_out) = self.hurt.as_ref().filter(|_| self.pause == Some(Pause::Pain))?;
        Some(StoppedForPain { step, left_out })
    }

    /// What is shown at a moment.
    pub fn snapshot(&self, now: Moment) -> Snapshot<'_> {
        let now = self.clamp(now);
        let run = self.current();
        let (number, next) = match self.cursor {
            BlockCursor::Step(index) => (index + 1, self.next_after(index)),
            _ => (0, None),
        };
        let rated = self.rated().filter(|&index| {
            let run = &self.runs[index];
            !run.held.is_zero() || run.ended.is_none()
        });
        let held = run.map(|run| {
            let running = if self.is_running() && self.stage().is_stretch() {
                now.since(self.since)
            } else {
                std::time::Duration::ZERO
            };
            whole(run.held + running)
        });
        Snapshot {
            stage: self.stage(),
            left: self.countdown.left(now),
            length: self.length,
            step: run.map(|run| &run.step),
            next: next.map(|index| &self.runs[index].step),
            number,
            count: self.runs.len(),
            paused: self.pause,
            held: held.unwrap_or_default(),
            rated: rated.map(|index| &self.runs[index].step),
            rates_last: rated.is_some_and(|index| self.cursor != BlockCursor::Step(index)),
            level: rated.and_then(|index| self.runs[index].level),
            elapsed: whole(now.since(self.started)),
            remaining: rounded_up(self.remaining_now(now)),
            until_due: signed(self.due, now),
            lateness: self.lateness(now),
        }
    }

    /// Seconds late (+) or early (-) against the plan, should all go on as planned from here.
    pub fn lateness(&self, now: Moment) -> i32 {
        let now = self.clamp(now);
        signed(now.after(self.remaining_now(now)), self.planned_end)
    }

    /// Work that is left, exactly.
    pub(super) fn remaining_now(&self, now: Moment) -> std::time::Duration {
        let rest: Seconds =
            self.intervals.iter().skip(self.interval + 1).map(|interval| interval.length).sum();
        let to_come: Seconds = match self.cursor {
            BlockCursor::Step(index) => {
                self.runs[index + 1..]
                    .iter()
                    .filter(|run| run.is_to_come())
                    .map(StepRun::length)
                    .sum::<Seconds>()
                    + self.massage
            }
            _ => Seconds::ZERO,
        };
        self.countdown.exact(now) + duration(rest + to_come)
    }
}

/// Whole seconds from `earlier` to `later`, negative if it is the other way round.
fn signed(later: Moment, earlier: Moment) -> i32 {
    let seconds = |span| i32::try_from(whole(span).get()).unwrap_or(i32::MAX);
    if later >= earlier { seconds(later.since(earlier)) } else { -seconds(earlier.since(later)) }
}
