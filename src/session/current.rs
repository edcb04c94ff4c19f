//! What runs now: the intervals of a step or of the massage, the one that is running, and its countdown.

use std::time::Duration;

use crate::body::Seconds;

use super::countdown::{Countdown, Moment, duration};
use super::intervals::{self, Interval};
use super::stage::{BlockCursor, Stage};

/// No interval is made longer than this, however often the key is pressed.
const LONGEST: Seconds = Seconds::new(600);

/// So much of a running hold is left when it is made shorter: nobody is let go without warning.
const LAST: Seconds = Seconds::new(3);

/// A stretch that is cut short is not cut to less than this; our judgement.
const SHORTEST: Seconds = Seconds::new(5);

/// Seconds before the end of a hold at which the bell warns; common practice, no source.
const WARNING: Seconds = Seconds::new(5);

/// Holds shorter than this get no warning: it would come in their first half.
const WARNED_FROM: Seconds = Seconds::new(12);

/// What the block is at, and how far it is in it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Current {
    cursor: BlockCursor,
    intervals: Vec<Interval>,
    /// The number of the running one, from 0.
    at: usize,
    /// Length of the running one, extensions included.
    length: Seconds,
    countdown: Countdown,
    /// Since when the countdown runs, as far as it is not yet counted.
    since: Moment,
    /// When the first interval began, moved on by all that it stood still.
    begun: Moment,
    /// Since when it stands still.
    stood: Option<Moment>,
    warned: bool,
}

impl Current {
    /// Begins the first interval, or stands before it.
    pub(super) fn begin(
        cursor: BlockCursor,
        intervals: Vec<Interval>,
        now: Moment,
        is_standing: bool,
    ) -> Self {
        let mut current = Self {
            cursor,
            intervals,
            at: 0,
            length: Seconds::ZERO,
            countdown: Countdown::Done,
            since: now,
            begun: now,
            stood: is_standing.then_some(now),
            warned: false,
        };
        current.start(now, is_standing);
        current
    }

    /// Where nothing runs.
    pub(super) fn nothing(cursor: BlockCursor, now: Moment) -> Self {
        Self::begin(cursor, Vec::new(), now, true)
    }

    fn start(&mut self, now: Moment, is_standing: bool) {
        let Some(interval) = self.intervals.get(self.at) else { return };
        self.length = interval.length;
        self.since = now;
        self.warned = false;
        self.countdown =
            if is_standing { Countdown::waiting(self.length) } else { Countdown::start(self.length, now) };
    }

    pub(super) const fn cursor(&self) -> BlockCursor {
        self.cursor
    }

    /// The number of the step, from 0, if it is at one.
    pub(super) const fn step(&self) -> Option<usize> {
        self.cursor.step()
    }

    pub(super) fn stage(&self) -> Stage {
        match self.intervals.get(self.at) {
            Some(interval) => interval.stage,
            None if self.cursor.is_over() => Stage::Finished,
            None => Stage::Waiting,
        }
    }

    /// What comes after the running interval.
    pub(super) fn next_stage(&self) -> Option<Stage> {
        self.behind().first().map(|interval| interval.stage)
    }

    /// The first phase of the stretch itself, from the running one on.
    pub(super) fn work_stage(&self) -> Option<Stage> {
        self.intervals.iter().skip(self.at).map(|interval| interval.stage).find(|stage| stage.is_work())
    }

    /// When the first interval began, had it never stood still.
    pub(super) const fn begun(&self) -> Moment {
        self.begun
    }

    pub(super) const fn length(&self) -> Seconds {
        self.length
    }

    pub(super) const fn countdown(&self) -> Countdown {
        self.countdown
    }

    pub(super) const fn is_running(&self) -> bool {
        matches!(self.countdown, Countdown::Running { .. })
    }

    /// When the running interval ends.
    pub(super) const fn ends(&self) -> Option<Moment> {
        match self.countdown {
            Countdown::Running { ends } => Some(ends),
            _ => None,
        }
    }

    /// Time under stretch that is not yet counted.
    pub(super) fn uncounted(&self, now: Moment) -> Duration {
        if self.is_running() && self.stage().is_stretch() { now.since(self.since) } else { Duration::ZERO }
    }

    /// Counts the time under stretch up to a moment, each second once.
    pub(super) fn count(&mut self, at: Moment) -> Duration {
        let span = self.uncounted(at);
        self.since = at;
        span
    }

    /// Ends the running interval and begins the next one; false if it was the last.
    ///
    /// What it ran must have been counted.
    pub(super) fn next(&mut self, at: Moment, is_standing: bool) -> bool {
        self.at += 1;
        self.countdown = Countdown::Done;
        self.start(at, is_standing);
        self.at < self.intervals.len()
    }

    /// Whether the stretch itself begins with the running interval.
    pub(super) fn begins_work(&self) -> bool {
        let before = self.at.checked_sub(1).and_then(|before| self.intervals.get(before));
        self.stage().is_work() && !before.is_some_and(|before| before.stage.is_work())
    }

    pub(super) fn stand_still(&mut self, at: Moment) {
        self.countdown.pause(at);
        self.stood.get_or_insert(at);
    }

    pub(super) fn go_on(&mut self, now: Moment) {
        self.countdown.resume(now);
        self.since = now;
        if let Some(stood) = self.stood.take() {
            self.begun = self.begun.after(now.since(stood));
        }
    }

    /// The hold that runs or comes next: this interval, or one behind it.
    fn hold(&self) -> Option<usize> {
        let is_hold = |stage: Stage| stage.is_stretch() || stage == Stage::Massage;
        (self.at..self.intervals.len()).find(|&index| is_hold(self.intervals[index].stage))
    }

    /// Makes the hold that runs or comes next longer; says by how much.
    pub(super) fn lengthen(&mut self, by: Seconds) -> Result<Seconds, &'static str> {
        let hold = self.hold().ok_or("there is nothing to lengthen")?;
        let length = if hold == self.at { self.length } else { self.intervals[hold].length };
        let by = Seconds::new(by.get().min(LONGEST.saturating_sub(length).get()));
        if by == Seconds::ZERO {
            return Err("that is long enough");
        }
        if hold == self.at {
            self.length += by;
            self.countdown.extend(by);
            self.warned = false;
        } else {
            self.intervals[hold].length += by;
        }
        Ok(by)
    }

    /// Makes the hold that runs or comes next shorter, but ends none; says by how much.
    pub(super) fn shorten(&mut self, by: Seconds, now: Moment) -> Result<Seconds, &'static str> {
        let hold = self.hold().ok_or("there is nothing to shorten")?;
        let can = if hold == self.at {
            self.length.saturating_sub(SHORTEST).min(self.countdown.left(now).saturating_sub(LAST))
        } else {
            self.intervals[hold].length.saturating_sub(SHORTEST)
        };
        let by = by.min(can);
        if by == Seconds::ZERO {
            return Err("that is short enough");
        }
        if hold == self.at {
            self.length = self.length.saturating_sub(by);
            self.countdown.shorten(by);
        } else {
            self.intervals[hold].length = self.intervals[hold].length.saturating_sub(by);
        }
        Ok(by)
    }

    /// Leaves no more than so long of the running interval.
    pub(super) fn cap(&mut self, left: Seconds, now: Moment) {
        self.countdown.cap(left, now);
    }

    /// Cuts the step from its end so that it is over in time; false if nothing worth it remains.
    pub(super) fn fit(&mut self, left: Seconds, now: Moment) -> bool {
        while self.at + 1 < self.intervals.len() {
            let over = self.left(now).saturating_sub(left);
            let Some(last) = self.intervals.last_mut().filter(|_| over > Seconds::ZERO) else { break };
            if last.stage.is_stretch() && last.length.saturating_sub(over) >= SHORTEST {
                last.length = last.length.saturating_sub(over);
            } else {
                self.intervals.pop();
            }
        }
        self.cap(left, now);
        self.intervals.last().is_some_and(|interval| interval.stage.is_work())
    }

    /// Whether to warn, once, that a hold ends in a few seconds.
    pub(super) fn warns(&mut self, now: Moment) -> bool {
        let is_hold = self.stage().is_stretch() || self.cursor == BlockCursor::Massage;
        if !(self.is_running() && is_hold && !self.warned && self.countdown.left(now) <= WARNING) {
            return false;
        }
        self.warned = true;
        self.length >= WARNED_FROM
    }

    /// What is left of the running interval and of those behind it.
    pub(super) fn exactly_left(&self, now: Moment) -> Duration {
        self.countdown.exact(now) + duration(intervals::length(self.behind()))
    }

    /// The same in whole seconds, rounded up.
    pub(super) fn left(&self, now: Moment) -> Seconds {
        self.countdown.left(now) + intervals::length(self.behind())
    }

    /// How long it is until the stretch itself begins, before it has.
    pub(super) fn until_work(&self, now: Moment) -> Duration {
        self.countdown.exact(now) + duration(intervals::ready(self.behind()))
    }

    fn behind(&self) -> &[Interval] {
        self.intervals.get(self.at + 1..).unwrap_or_default()
    }

    /// Whether intervals and countdown fit together and with a block that stands still or does not.
    pub(super) fn is_sound(&self, now: Moment, is_standing: bool) -> bool {
        let rests = !matches!(self.cursor, BlockCursor::Step(_) | BlockCursor::Massage);
        let countdown = match self.countdown {
            Countdown::Done => rests,
            Countdown::Paused { .. } => !rests && is_standing,
            Countdown::Running { .. } => !rests && !is_standing,
        };
        self.intervals.is_empty() == rests
            && (rests || self.at < self.intervals.len())
            && countdown
            && self.countdown.exact(now) <= duration(self.length)
    }
}
