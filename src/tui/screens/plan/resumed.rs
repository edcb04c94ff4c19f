//! A block that was cut off and is taken up: how long it may still last, and what it owes.

use chrono::{DateTime, FixedOffset, TimeDelta};

use crate::body::{Minutes, Seconds};
use crate::client::Session;
use crate::planner::{Progress, Wishes};
use crate::session::Interrupted;

/// A session that was cut off and is taken up.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Resumed {
    pub(super) session: Session,
    /// When the client stands up if so many minutes are chosen; each one more or less moves it.
    pub(super) end: (DateTime<FixedOffset>, Minutes),
    /// What the plan that is shown was asked for with.
    pub(super) stock: Option<Interrupted>,
}

impl Resumed {
    /// A session at the moment it is taken up: its planned end holds, or else the time that was not used.
    pub(super) fn new(session: &Session, now: DateTime<FixedOffset>) -> Self {
        /// Getting into a step, roughly, where the file does not say.
        const SETUP: Seconds = Seconds::new(10);
        let planned = session.at + TimeDelta::minutes(session.minutes.get().into());
        let end = if planned - now >= TimeDelta::minutes(1) && session.at <= now {
            planned
        } else {
            let used: Seconds = session.reports.values().map(|report| report.held + SETUP).sum();
            let left = session.minutes.seconds().saturating_sub(used);
            now + TimeDelta::minutes(minutes_in(TimeDelta::seconds(left.get().into())).get().into())
        };
        Self { session: session.clone(), end: (end, minutes_in(end - now)), stock: None }
    }

    /// When the client stands up: with the minutes that are chosen, and a minute from now at the earliest.
    pub(super) fn end(&self, chosen: Minutes, now: DateTime<FixedOffset>) -> DateTime<FixedOffset> {
        let (end, minutes) = self.end;
        let moved = TimeDelta::minutes(i64::from(chosen.get()) - i64::from(minutes.get()));
        (end + moved).max(now + TimeDelta::minutes(1))
    }

    /// What the rest is to be planned with; what is done must not be asked for again.
    pub(super) fn progress(&self, wishes: &mut Wishes) -> Progress {
        let progress = self.stock.as_ref().map(|stock| stock.progress().clone()).unwrap_or_default();
        wishes.pinned.retain(|pinned| !progress.finished.contains(pinned));
        progress
    }
}

/// The whole minutes of a time, as many as a block can last; broken ones would not stand on the band.
pub(super) fn minutes_in(time: TimeDelta) -> Minutes {
    let minutes = time.num_minutes().clamp(Minutes::MIN.get().into(), Minutes::MAX.get().into());
    Minutes::new(minutes).unwrap_or(Minutes::MIN)
}
