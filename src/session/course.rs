//! The whole block along its time: what was done when, what is going on, and when what is to come will come.

use std::time::Duration;

use crate::body::Seconds;
use crate::client::Report;
use crate::planner::Step;

use super::countdown::{Moment, duration, whole};
use super::live::{Live, Place};
use super::script::{self, Part};

/// A step, or the massage, along the block.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Leg<'a> {
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
    /// Every step in order, numbered as in [`Phase`](super::Phase), and the massage if there is one.
    pub fn course(&self, now: Moment) -> Vec<Leg<'_>> {
        let now = self.clamp(now);
        let here = match self.place {
            Place::Step(index) => Some(index),
            _ => None,
        };
        let mut clock = now.since(self.started);
        let mut legs = Vec::with_capacity(self.works.len() + 1);
        for (index, work) in self.works.iter().enumerate() {
            let is_here = here == Some(index);
            let (start, end) = if is_here {
                let start = work
                    .begun
                    .filter(|_| self.stage().is_work())
                    .map_or_else(|| clock + self.until_work(now), |begun| begun.since(self.started));
                clock += self.here_left(now);
                (start, clock)
            } else if work.is_to_come() {
                let parts = script::parts(&work.step);
                let start = clock + duration(work.gap + work.owed + ready(&parts));
                clock += duration(work.length());
                (start, clock)
            } else {
                let over = work.over.unwrap_or(self.started);
                let begun = work.begun.unwrap_or(over);
                (begun.since(self.started), over.since(self.started))
            };
            let report = work.told.as_ref().map(|(_, report)| report).filter(|_| !work.is_to_come());
            let (start, end) = (whole(start), whole(end));
            legs.push(Leg { step: Some(&work.step), report, start, end, now: is_here });
        }
        if self.massage > Seconds::ZERO {
            let is_here = self.place == Place::Massage;
            let gone = duration(self.length).saturating_sub(self.countdown.exact(now));
            let (start, length) = if is_here {
                (clock.saturating_sub(gone), duration(self.length))
            } else {
                (clock, duration(self.massage))
            };
            let (start, end) = (whole(start), whole(start + length));
            legs.push(Leg { step: None, report: None, start, end, now: is_here });
        }
        legs
    }

    /// What is left of this phase and of those behind it.
    fn here_left(&self, now: Moment) -> Duration {
        let rest = self.parts.get(self.part + 1..).map_or(Seconds::ZERO, script::length);
        self.countdown.exact(now) + duration(rest)
    }

    /// How long it is until the stretch itself begins.
    fn until_work(&self, now: Moment) -> Duration {
        let rest = self.parts.get(self.part + 1..).map_or(Seconds::ZERO, ready);
        self.countdown.exact(now) + duration(rest)
    }
}

/// The phases before the stretch itself.
fn ready(parts: &[Part]) -> Seconds {
    parts.iter().take_while(|part| !part.stage.is_work()).map(|part| part.length).sum()
}
