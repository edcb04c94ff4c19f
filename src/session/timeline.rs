//! The whole block along its time: what was done when, what is going on, and when what is to come will come.

use std::time::Duration;

use crate::body::Seconds;
use crate::client::Report;
use crate::planner::Step;

use super::countdown::{Moment, duration, whole};
use super::intervals::{self, Interval};
use super::live::{BlockCursor, Live};

/// A step, or the massage, along the block.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Segment<'a> {
    /// The step; none for the massage.
    pub step: Option<&'a Step>,
    /// What came of it, once it is over.
    pub report: Option<&'a Report>,
    /// Seconds from the start of the block at which the stretch itself begins or began.
    pub start: Seconds,
    /// Seconds from the start of the block at which it ends or ended.
    pub end: Seconds,
    /// Whether it is being worked or made ready.
    pub now: bool,
}

impl Live {
    /// Every step in order, numbered as in [`Snapshot`](super::Snapshot), and the massage if there is one.
    pub fn timeline(&self, now: Moment) -> Vec<Segment<'_>> {
        let now = self.clamp(now);
        let here = match self.cursor {
            BlockCursor::Step(index) => Some(index),
            _ => None,
        };
        let mut clock = now.since(self.started);
        let mut segments = Vec::with_capacity(self.runs.len() + 1);
        for (index, run) in self.runs.iter().enumerate() {
            let is_here = here == Some(index);
            let (start, end) = if is_here {
                let start = run
                    .begun
                    .filter(|_| self.stage().is_work())
                    .map_or_else(|| clock + self.until_work(now), |begun| begun.since(self.started));
                clock += self.here_left(now);
                (start, clock)
            } else if run.is_to_come() {
                let intervals = intervals::of_step(&run.step);
                let start = clock + duration(run.gap + run.owed + ready(&intervals));
                clock += duration(run.length());
                (start, clock)
            } else {
                let over = run.over.unwrap_or(self.started);
                let begun = run.begun.unwrap_or(over);
                (begun.since(self.started), over.since(self.started))
            };
            let report = run.reported.as_ref().map(|(_, report)| report).filter(|_| !run.is_to_come());
            let (start, end) = (whole(start), whole(end));
            segments.push(Segment { step: Some(&run.step), report, start, end, now: is_here });
        }
        if self.massage > Seconds::ZERO {
            let is_here = self.cursor == BlockCursor::Massage;
            let gone = duration(self.length).saturating_sub(self.countdown.exact(now));
            let (start, length) = if is_here {
                (clock.saturating_sub(gone), duration(self.length))
            } else {
                (clock, duration(self.massage))
            };
            let (start, end) = (whole(start), whole(start + length));
            segments.push(Segment { step: None, report: None, start, end, now: is_here });
        }
        segments
    }

    /// What is left of this phase and of those behind it.
    fn here_left(&self, now: Moment) -> Duration {
        let rest = self.intervals.get(self.interval + 1..).map_or(Seconds::ZERO, intervals::length);
        self.countdown.exact(now) + duration(rest)
    }

    /// How long it is until the stretch itself begins.
    fn until_work(&self, now: Moment) -> Duration {
        let rest = self.intervals.get(self.interval + 1..).map_or(Seconds::ZERO, ready);
        self.countdown.exact(now) + duration(rest)
    }
}

/// The phases before the stretch itself.
fn ready(intervals: &[Interval]) -> Seconds {
    intervals.iter().take_while(|interval| !interval.stage.is_work()).map(|interval| interval.length).sum()
}
