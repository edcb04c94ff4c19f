//! A countdown that stores when it ends and never counts ticks, so a slow or sleeping machine loses nothing.

use std::time::Duration;

use crate::body::Seconds;

/// Time since the program started, handed in by whoever owns the clock.
///
/// The clock should go on while the machine sleeps, so that a closed lid is noticed.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Default)]
pub struct Moment(Duration);

impl Moment {
    /// The moment `since_start` after the program started.
    pub const fn new(since_start: Duration) -> Self {
        Self(since_start)
    }

    /// Time since the program started.
    pub const fn since_start(self) -> Duration {
        self.0
    }

    /// Time since an earlier moment; zero if `earlier` is later.
    #[must_use]
    pub const fn since(self, earlier: Self) -> Duration {
        self.0.saturating_sub(earlier.0)
    }

    /// The moment a while later.
    #[must_use]
    pub const fn after(self, wait: Duration) -> Self {
        Self(self.0.saturating_add(wait))
    }
}

/// A length of whole seconds as a duration.
pub(super) const fn duration(seconds: Seconds) -> Duration {
    Duration::from_secs(seconds.get() as u64)
}

/// The whole seconds of a duration, the broken one dropped.
pub(super) fn whole(duration: Duration) -> Seconds {
    Seconds::new(u32::try_from(duration.as_secs()).unwrap_or(u32::MAX))
}

/// The whole seconds of a duration, a broken one counted as a whole.
pub(super) fn rounded_up(duration: Duration) -> Seconds {
    let whole = whole(duration);
    if duration.subsec_nanos() > 0 { whole + Seconds::new(1) } else { whole }
}

/// Seconds running down to zero.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Countdown {
    /// Standstill still.
    Paused {
        /// What is left.
        left: Duration,
    },
    /// Running down.
    Running {
        /// When it reaches zero.
        ends: Moment,
    },
    /// At zero, and said so.
    Done,
}

impl Countdown {
    /// Starts running at `now`.
    pub const fn start(length: Seconds, now: Moment) -> Self {
        Self::Running { ends: now.after(duration(length)) }
    }

    /// Waits with all of `length` left.
    pub const fn waiting(length: Seconds) -> Self {
        Self::Paused { left: duration(length) }
    }

    /// Exactly what is left.
    pub const fn exact(self, now: Moment) -> Duration {
        match self {
            Self::Paused { left } => left,
            Self::Running { ends } => ends.since(now),
            Self::Done => Duration::ZERO,
        }
    }

    /// The number to show: what is left, rounded up to whole seconds.
    pub fn left(self, now: Moment) -> Seconds {
        rounded_up(self.exact(now))
    }

    /// How long the shown number stays as it is; `None` if nothing will change.
    pub fn next_change(self, now: Moment) -> Option<Duration> {
        let Self::Running { .. } = self else { return None };
        let shown = duration(self.left(now));
        Some(self.exact(now).saturating_sub(shown.saturating_sub(Duration::from_secs(1))))
    }

    /// Stands still from `now` on.
    pub fn pause(&mut self, now: Moment) {
        if let Self::Running { ends } = *self {
            *self = Self::Paused { left: ends.since(now) };
        }
    }

    /// Runs on from `now`.
    pub fn resume(&mut self, now: Moment) {
        if let Self::Paused { left } = *self {
            *self = Self::Running { ends: now.after(left) };
        }
    }

    /// Adds to what is left.
    pub fn extend(&mut self, by: Seconds) {
        match self {
            Self::Paused { left } => *left = left.saturating_add(duration(by)),
            Self::Running { ends } => *ends = ends.after(duration(by)),
            Self::Done => {}
        }
    }

    /// Takes off what is left.
    pub fn shorten(&mut self, by: Seconds) {
        let by = duration(by);
        match self {
            Self::Paused { left } => *left = left.saturating_sub(by),
            Self::Running { ends } => *ends = Moment(ends.0.saturating_sub(by)),
            Self::Done => {}
        }
    }

    /// Leaves no more than `most`.
    pub fn cap(&mut self, most: Seconds, now: Moment) {
        let most = duration(most);
        match self {
            Self::Paused { left } => *left = most.min(*left),
            Self::Running { ends } => *ends = now.after(most).min(*ends),
            Self::Done => {}
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    proptest! {
        #[test]
        fn waking_when_told_shows_each_number_once(length in 1_u32..200, start_ms in 0_u64..10_000_000) {
            let mut now = Moment::new(Duration::from_millis(start_ms));
            let countdown = Countdown::start(Seconds::new(length), now);
            let mut shown = vec![countdown.left(now).get()];
            while countdown.left(now) > Seconds::ZERO {
                now = now.after(countdown.next_change(now).expect("it runs"));
                shown.push(countdown.left(now).get());
            }
            let expected: Vec<u32> = (0..=length).rev().collect();
            prop_assert_eq!(shown, expected);
        }

        #[test]
        fn a_pause_keeps_what_is_left(length in 1_u32..200, run_ms in 0_u64..300_000, rest_ms in 0_u64..300_000) {
            let start = Moment::default();
            let stopped = start.after(Duration::from_millis(run_ms));
            let mut countdown = Countdown::start(Seconds::new(length), start);
            countdown.pause(stopped);
            let left = countdown.exact(stopped);
            let later = stopped.after(Duration::from_millis(rest_ms));
            prop_assert_eq!(countdown.next_change(later), None);
            countdown.resume(later);
            prop_assert_eq!(countdown.exact(later), left);
        }
    }
}
