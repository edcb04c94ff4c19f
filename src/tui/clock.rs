//! The clocks: read here and in `main`, and nowhere else.

use std::cell::Cell;
use std::time::{Duration, Instant};

use chrono::{DateTime, FixedOffset, Local, TimeDelta};

use crate::session::Moment;

use super::event::Now;

/// The clocks: one that never goes back, and the one on the wall.
#[derive(Debug)]
pub struct Clock {
    started: Instant,
    passed: Cell<TimePassed>,
    /// Added to the wall's time, where the program is to believe in another day.
    shift: TimeDelta,
}

impl Clock {
    /// Starts now; `pretend` is the time that is taken for now.
    pub fn start(pretend: Option<DateTime<FixedOffset>>) -> Self {
        let wall = Local::now().fixed_offset();
        let shift = pretend.map_or(TimeDelta::zero(), |pretend| pretend.signed_duration_since(wall));
        Self { started: Instant::now(), passed: Cell::new(TimePassed::since(wall)), shift }
    }

    /// The time.
    pub fn now(&self) -> Now {
        self.read(self.started.elapsed(), Local::now().fixed_offset())
    }

    /// The time, by what the machine's two clocks show.
    fn read(&self, ticked: Duration, wall: DateTime<FixedOffset>) -> Now {
        let passed = self.passed.get().until(ticked, wall);
        self.passed.set(passed);
        let wall = wall.checked_add_signed(self.shift).unwrap_or(wall);
        Now { moment: Moment::new(passed.so_far), wall }
    }
}

/// How much time has passed, and what the machine's two clocks showed when that was last looked at.
///
/// The clock that never goes back stands still on some systems while the machine sleeps (`CLOCK_MONOTONIC` of Linux,
/// `CLOCK_UPTIME_RAW` of macOS) and goes on elsewhere; the wall's goes on everywhere and may be set at any time.
#[derive(Debug, Clone, Copy)]
struct TimePassed {
    so_far: Duration,
    ticked: Duration,
    wall: DateTime<FixedOffset>,
}

impl TimePassed {
    const fn since(wall: DateTime<FixedOffset>) -> Self {
        Self { so_far: Duration::ZERO, ticked: Duration::ZERO, wall }
    }

    /// The same, later: a wall clock that was set back takes nothing away.
    fn until(self, ticked: Duration, wall: DateTime<FixedOffset>) -> Self {
        /// A wall clock that went on by more than this beyond the other was not just set right: the machine slept.
        const SLEPT: Duration = Duration::from_secs(2);
        let by_ticks = ticked.saturating_sub(self.ticked);
        let by_wall = wall.signed_duration_since(self.wall).to_std().unwrap_or(Duration::ZERO);
        let more = if by_wall > by_ticks + SLEPT { by_wall } else { by_ticks };
        Self { so_far: self.so_far + more, ticked, wall }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const fn seconds(seconds: u64) -> Duration {
        Duration::from_secs(seconds)
    }

    /// Whole seconds that have passed after each reading of both clocks, in seconds since the start.
    fn passed(readings: &[(u64, i64)]) -> Vec<u64> {
        let wall = "2026-11-25T18:45:00+01:00".parse::<DateTime<FixedOffset>>().unwrap();
        let clock = Clock {
            started: Instant::now(),
            passed: Cell::new(TimePassed::since(wall)),
            shift: TimeDelta::days(1),
        };
        let read = |&(ticked, by_wall): &(u64, i64)| {
            let by_wall = wall + TimeDelta::seconds(by_wall);
            let now = clock.read(seconds(ticked), by_wall);
            assert_eq!(now.wall, by_wall + TimeDelta::days(1));
            now.moment.since_start().as_secs()
        };
        readings.iter().map(read).collect()
    }

    #[test]
    fn sleep_counts_whether_or_not_the_clock_that_never_goes_back_counts_it() {
        assert_eq!(passed(&[(10, 10), (11, 131), (20, 140)]), [10, 131, 140], "it stood still");
        assert_eq!(passed(&[(10, 10), (131, 131), (140, 140)]), [10, 131, 140], "it went on");
        assert_eq!(passed(&[(1, 61), (2, 122), (3, 123)]), [61, 122, 123], "twice");
    }

    #[test]
    fn a_wall_clock_that_is_set_takes_nothing_away_and_a_second_is_no_sleep() {
        assert_eq!(passed(&[(10, 10), (20, -3580), (30, -3570)]), [10, 20, 30], "an hour back");
        assert_eq!(passed(&[(10, 11), (20, 22), (30, 31)]), [10, 20, 30], "set right by a second");
        assert_eq!(passed(&[(10, 3610), (20, 20), (30, 30)]), [3610, 3620, 3630], "on by mistake and back");
        assert_eq!(passed(&[(10, -3590), (11, -3470)]), [10, 130], "set back, then asleep");
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
