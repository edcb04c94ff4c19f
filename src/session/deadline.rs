//! When the client has to be up, and how the block stands against it. Time never runs backwards here.

use std::time::Duration;

use crate::body::{Minutes, Seconds};

use super::countdown::{Moment, duration, whole};

/// The beginning and the two ends of a block: the one that was said and the one that is planned.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct Deadline {
    minutes: Minutes,
    started: Moment,
    /// The latest moment that was handed in.
    seen: Moment,
    planned: Moment,
    due: Moment,
}

impl Deadline {
    pub(super) const fn new(minutes: Minutes, budget: Seconds, now: Moment) -> Self {
        Self { minutes, started: now, seen: now, planned: now, due: now.after(duration(budget)) }
    }

    /// How long the block was asked for.
    pub(super) const fn minutes(&self) -> Minutes {
        self.minutes
    }

    pub(super) const fn started(&self) -> Moment {
        self.started
    }

    pub(super) const fn seen(&self) -> Moment {
        self.seen
    }

    /// That moment, whatever the clock does, or the latest one before it.
    pub(super) fn clamp(&self, now: Moment) -> Moment {
        now.max(self.seen)
    }

    pub(super) fn see(&mut self, now: Moment) {
        self.seen = self.clamp(now);
    }

    /// The plan, as it stands now, has so much work left.
    pub(super) fn plan(&mut self, work: Duration, now: Moment) {
        self.planned = now.after(work);
    }

    /// The client has to be up in so long.
    pub(super) fn set(&mut self, left: Seconds, now: Moment) {
        self.due = now.after(duration(left));
    }

    /// When the client has to be up.
    pub(super) const fn due(&self) -> Moment {
        self.due
    }

    /// A minute before that.
    pub(super) fn minute_left(&self) -> Moment {
        Moment::new(self.due.since_start().saturating_sub(Duration::from_mins(1)))
    }

    /// Seconds until the client has to be up; none past it.
    pub(super) fn left(&self, now: Moment) -> Seconds {
        whole(self.due.since(self.clamp(now)))
    }

    /// Seconds until the client has to be up; negative past it.
    pub(super) fn until_due(&self, now: Moment) -> i32 {
        signed(self.due, self.clamp(now))
    }

    /// Seconds late (+) or early (-) against the plan, with so much work left.
    pub(super) fn lateness(&self, work: Duration, now: Moment) -> i32 {
        signed(self.clamp(now).after(work), self.planned)
    }

    pub(super) fn elapsed(&self, now: Moment) -> Duration {
        self.clamp(now).since(self.started)
    }
}

/// Whole seconds from `earlier` to `later`, negative if it is the other way round.
fn signed(later: Moment, earlier: Moment) -> i32 {
    let seconds = |span| i32::try_from(whole(span).get()).unwrap_or(i32::MAX);
    if later >= earlier { seconds(later.since(earlier)) } else { -seconds(earlier.since(later)) }
}
