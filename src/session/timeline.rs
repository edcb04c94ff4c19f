//! The whole block along its time: what was done when, what is going on, and when what is to come will come.

use crate::body::Seconds;
use crate::client::Report;
use crate::planner::Step;

use super::countdown::{Moment, duration, whole};
use super::intervals;
use super::live::Live;
use super::stage::BlockCursor;

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
    /// Whether it was left out, which is noted when another stretch begins.
    pub left: bool,
}

impl Live {
    /// Every step in order, numbered as in [`Snapshot`](super::Snapshot), and the massage if there is one.
    pub fn timeline(&self, now: Moment) -> Vec<Segment<'_>> {
        let now = self.deadline.clamp(now);
        let started = self.deadline.started();
        let here = self.current.step();
        let mut clock = now.since(started);
        let mut segments = Vec::with_capacity(self.runs.len() + 1);
        for (index, run) in self.runs.iter().enumerate() {
            let is_here = here == Some(index);
            let (start, end) = if is_here {
                let begun = run.begun.filter(|_| self.current.stage().is_work());
                let start =
                    begun.map_or_else(|| clock + self.current.until_work(now), |begun| begun.since(started));
                clock += self.current.exactly_left(now);
                (start, clock)
            } else if run.is_to_come() {
                let ready = run.way() + intervals::ready(&intervals::of_step(&run.step));
                let start = clock + duration(ready);
                clock += duration(run.length());
                (start, clock)
            } else {
                let over = run.over.unwrap_or(started);
                let begun = run.begun.unwrap_or(over);
                (begun.since(started), over.since(started))
            };
            let report = run.reported.as_ref().map(|(_, report)| report).filter(|_| !run.is_to_come());
            let (start, end) = (whole(start), whole(end));
            segments.push(Segment {
                step: Some(&run.step),
                report,
                start,
                end,
                now: is_here,
                left: run.left,
            });
        }
        if self.runs.massage() > Seconds::ZERO {
            let is_here = self.current.cursor() == BlockCursor::Massage;
            let (start, length) = if is_here {
                let length = duration(self.current.length());
                let gone = length.saturating_sub(self.current.countdown().exact(now));
                (clock.saturating_sub(gone), length)
            } else {
                (clock, duration(self.runs.massage()))
            };
            let (start, end) = (whole(start), whole(start + length));
            segments.push(Segment { step: None, report: None, start, end, now: is_here, left: false });
        }
        segments
    }
}
