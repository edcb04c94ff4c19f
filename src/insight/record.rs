//! The sessions as the judgements read them: in the order of time, each report with its form.
//!
//! A report speaks for a muscle if the form's share of it is 50 or more. What a file does not tell (the test position,
//! whether an angle was taken before the stretch) is not made up: such reports count as far as they go.

use std::collections::HashMap;

use chrono::{DateTime, FixedOffset, NaiveDate};

use crate::body::{Muscle, Seconds, Side};
use crate::catalogue::{Catalogue, Form, FormId, Stretch, StretchId};
use crate::client::{Client, Ended, Report, Session};

/// Hundredths of a hold from which a report speaks for a muscle.
const SPEAKS_FROM: u8 = 50;

/// One report, with what the catalogue knows of it.
#[derive(Debug, Clone, Copy)]
pub(super) struct KnownReport<'a> {
    pub(super) report: &'a Report,
    pub(super) stretch: &'a Stretch,
    pub(super) form: &'a Form,
    /// Numbers the form, so that forms are compared without comparing words.
    pub(super) key: usize,
}

impl KnownReport<'_> {
    /// Whether the step was done to its end.
    pub(super) fn is_done(&self) -> bool {
        self.report.ended == Ended::Done && self.report.held > Seconds::ZERO
    }

    /// The muscles it speaks for.
    pub(super) fn muscles(&self) -> impl Iterator<Item = Muscle> {
        self.form.targets.iter().filter(|target| target.share >= SPEAKS_FROM).map(|target| target.muscle)
    }

    /// The sides that were worked.
    pub(super) fn sides(&self) -> &'static [Side] {
        match self.report.side {
            Some(Side::Left) => &[Side::Left],
            Some(Side::Right) => &[Side::Right],
            None => Side::ALL,
        }
    }
}

/// One session, its reports in the order of the work.
#[derive(Debug)]
pub(super) struct Sitting<'a> {
    pub(super) on: NaiveDate,
    at: DateTime<FixedOffset>,
    pub(super) session: &'a Session,
    pub(super) reports: Vec<KnownReport<'a>>,
}

impl Sitting<'_> {
    /// The muscles that were stretched on either side.
    pub(super) fn stretched(&self) -> impl Iterator<Item = Muscle> {
        self.reports.iter().filter(|worked| worked.report.held > Seconds::ZERO).flat_map(KnownReport::muscles)
    }
}

/// A form of the catalogue, with its number among those that were met.
type KnownForm<'a> = (&'a Stretch, &'a Form, usize);

/// The sessions up to a day, oldest first whatever their order in the file.
///
/// Reports of stretches that the catalogue no longer knows are left out: what they reach is not known.
///
/// `now` is a session that the client's file does not hold yet, or holds as it was.
pub(super) fn read<'a>(
    client: &'a Client,
    now: Option<&'a Session>,
    catalogue: &'a Catalogue,
    today: NaiveDate,
) -> Vec<Sitting<'a>> {
    // Ten years of reports name a few dozen forms; each is looked up once. The map is asked, never gone through.
    let mut known: HashMap<(&str, &str), Option<KnownForm<'_>>> = HashMap::new();
    let mut next = 0;
    let mut look_up = |stretch: &'a StretchId, form: &'a FormId| {
        *known.entry((stretch.as_str(), form.as_str())).or_insert_with(|| {
            let (stretch, form) = catalogue.form(stretch, form)?;
            next += 1;
            Some((stretch, form, next))
        })
    };
    let mut sittings: Vec<Sitting<'_>> = client
        .sessions
        .iter()
        .filter(|session| now.is_none_or(|now| now.at != session.at))
        .chain(now)
        .filter(|session| session.at.date_naive() <= today)
        .map(|session| {
            let worked = session.reports.values().filter_map(|report| {
                let (stretch, form, key) = look_up(&report.stretch, &report.form)?;
                Some(KnownReport { report, stretch, form, key })
            });
            let reports = worked.collect();
            Sitting { on: session.at.date_naive(), at: session.at, session, reports }
        })
        .collect();
    sittings.sort_by_key(|sitting| sitting.at);
    sittings
}
