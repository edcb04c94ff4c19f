//! The clocks: read here and in `main`, and nowhere else.

use std::time::{Duration, Instant};

use chrono::{DateTime, FixedOffset, Local, TimeDelta};

use crate::session::Moment;

use super::event::Now;

/// The clocks: one that never goes back, and the one on the wall.
#[derive(Debug)]
pub struct Clock {
    started: Instant,
    wall_started: DateTime<FixedOffset>,
    /// Added to the wall's time, where the program is to believe in another day.
    shift: TimeDelta,
}

impl Clock {
    /// Starts now; `pretend` is the time that is taken for now.
    pub fn start(pretend: Option<DateTime<FixedOffset>>) -> Self {
        let wall = Local::now().fixed_offset();
        let shift = pretend.map_or(TimeDelta::zero(), |pretend| pretend.signed_duration_since(wall));
        Self { started: Instant::now(), wall_started: wall, shift }
    }

    /// The time.
    pub fn now(&self) -> Now {
        /// A wall clock that is ahead by more than this was not just set right: the machine slept.
        const SLEPT: Duration = Duration::from_secs(2);
        let ticked = self.started.elapsed();
        let wall = Local::now().fixed_offset();
        let by_wall = wall.signed_duration_since(self.wall_started).to_std().unwrap_or(ticked);
        let passed = if by_wall > ticked + SLEPT { by_wall } else { ticked };
        let wall = wall.checked_add_signed(self.shift).unwrap_or(wall);
        Now { moment: Moment::new(passed), wall }
    }
}

/// Tells how long ago it was started.
#[derive(Debug, Clone, Copy)]
pub struct Stopwatch(Instant);

impl Stopwatch {
    /// Starts now.
    pub fn start() -> Self {
        Self(Instant::now())
    }

    /// How long ago that was.
    pub fn passed(self) -> Duration {
        self.0.elapsed()
    }
}
