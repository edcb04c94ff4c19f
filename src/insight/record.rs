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
