//! What was reported of each stretch and side, in order of time.

use std::collections::BTreeMap;

use chrono::NaiveDate;

use crate::body::{Degrees, Level, Seconds, Side};
use crate::catalogue::{FormId, Method, StretchId};
use crate::client::{Client, Ended};

/// One report in a series.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Observation<'a> {
    /// The day of the session.
    pub date: NaiveDate,
    /// Which session of the client's file, from 0.
    pub session: usize,
    /// The form.
    pub form: &'a FormId,
    /// How it was worked.
    pub method: Method,
    /// Seconds under stretch.
    pub held: Seconds,
    /// What the client answered.
    pub level: Option<Level>,
    /// The measured angle.
    pub angle: Option<Degrees>,
    /// How it ended.
    pub ended: Ended,
}

/// The reports of one stretch, by side (none: both at once), oldest first.
pub type Series<'a> = BTreeMap<Option<Side>, Vec<Observation<'a>>>;

/// The series of every stretch in the client's file.
pub fn series(client: &Client) -> BTreeMap<&StretchId, Series<'_>> {
    let mut all: BTreeMap<&StretchId, Series<'_>> = BTreeMap::new();
    for (number, session) in client.sessions.iter().enumerate() {
        let date = session.at.date_naive();
        for report in session.reports.values() {
            let point = Observation {
                date,
                session: number,
                form: &report.form,
                method: report.method,
                held: report.held,
                level: report.level,
                angle: report.angle(),
                ended: report.ended,
            };
            all.entry(&report.stretch).or_default().entry(report.side).or_default().push(point);
        }
    }
    for points in all.values_mut().flat_map(BTreeMap::values_mut) {
        points.sort_by_key(|point| (point.date, point.session));
    }
    all
}

/// How a stretch differed from the time before. It is shown, and never called a change: measuring once more than
/// before tells next to nothing.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct SinceLast {
    /// The stretch.
    pub stretch: StretchId,
    /// The side; none if both were done at once.
    pub side: Option<Side>,
    /// The answer before and now, where both were given and differ.
    pub level: Option<[Level; 2]>,
    /// The seconds held before and now, where they differ.
    pub held: Option<[Seconds; 2]>,
    /// The angle before and now, where both were measured and differ.
    pub angle: Option<[Degrees; 2]>,
}

/// What differs between the last session and the time before, stretch by stretch; only what was done both times in
/// the same form and method is compared.
pub fn since_last(client: &Client) -> Vec<SinceLast> {
    let Some(last) = client.sessions.len().checked_sub(1) else { return Vec::new() };
    let mut found = Vec::new();
    for (stretch, series) in series(client) {
        for (side, points) in series {
            let Some(now) = points.last().filter(|point| point.session == last) else { continue };
            let alike = |point: &&Observation<'_>| {
                point.session < last && point.form == now.form && point.method == now.method
            };
            let Some(before) = points.iter().rev().find(alike) else { continue };
            let since = SinceLast {
                stretch: stretch.clone(),
                side,
                level: differing(before.level.zip(now.level)),
                held: differing(Some((before.held, now.held))),
                angle: differing(before.angle.zip(now.angle)),
            };
            if since.level.is_some() || since.held.is_some() || since.angle.is_some() {
                found.push(since);
            }
        }
    }
    found
}

fn differing<T: PartialEq>(values: Option<(T, T)>) -> Option<[T; 2]> {
    values.filter(|(before, now)| before != now).map(|(before, now)| [before, now])
}
