//! Stretches that were stopped for pain and have not been done without it since.

use std::collections::{BTreeMap, BTreeSet};

use chrono::NaiveDate;

use crate::body::{Seconds, Side};
use crate::catalogue::StretchId;
use crate::client::{Client, Ended, Report};

/// Whether a report says how a stretch went: one that was left out says nothing.
pub(super) fn says_how_it_went(ended: Ended, held: Seconds) -> bool {
    ended == Ended::Pain || (ended == Ended::Done && held > Seconds::ZERO)
}

/// The stretches whose last try on either side ended in pain, with the day; older than `since` is not looked at.
pub fn hurt(client: &Client, since: NaiveDate) -> BTreeMap<&StretchId, NaiveDate> {
    let mut hurt: BTreeMap<&StretchId, NaiveDate> = BTreeMap::new();
    let mut known: BTreeSet<(&StretchId, Option<Side>)> = BTreeSet::new();
    let recent = client.sessions.iter().rev().map(|session| (session.at.date_naive(), session));
    for (on, session) in recent.take_while(|(on, _)| *on >= since) {
        let tries = session.reports.values().rev();
        for report in tries.filter(|report: &&Report| says_how_it_went(report.ended, report.held)) {
            if known.insert((&report.stretch, report.side)) && report.ended == Ended::Pain {
                hurt.entry(&report.stretch).or_insert(on);
            }
        }
    }
    hurt
}
