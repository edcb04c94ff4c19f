//! The rows of every view, as far as they match what was typed: worked out when that changes, and drawn from then on.

use std::collections::BTreeMap;

use chrono::NaiveDate;

use crate::body::Muscle;
use crate::catalogue::Catalogue;
use crate::client::{Report, Session};
use crate::insight::habit::OwnDose;
use crate::insight::{self, amount};
use crate::tui::text;

use super::course::{StretchCourse, StretchLanes, WeekLead, YEAR};
use super::data::HistoryData;
use super::quarters;
use super::view::HistoryView;
use super::weeks;
use super::when::When;

/// Sessions that the year shows at most.
const LAST_SESSIONS: usize = 24;

/// A row of the stretches.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct StretchRow {
    /// Its place among all courses.
    pub(super) course: usize,
    /// Who answered higher, week by week, oldest first.
    pub(super) weeks: Vec<WeekLead>,
    /// Whether it is done on both sides at once only.
    pub(super) is_at_once: bool,
    /// The last time it was done.
    pub(super) last: Option<NaiveDate>,
}

/// What is shown.
#[derive(Debug, Clone, PartialEq, Default)]
pub(super) struct HistoryRows {
    /// The words of what was typed.
    pub(super) words: String,
    /// The last day that is shown.
    pub(super) last_day: NaiveDate,
    /// The last day of the week that is shown.
    pub(super) week_end: NaiveDate,
    /// Whether nothing later is known.
    pub(super) is_latest: bool,
    /// The stretches of those days.
    pub(super) stretches: Vec<StretchRow>,
    /// The sessions of those days, oldest first, by their place in the file.
    pub(super) sessions: Vec<usize>,
    /// The muscles of the last weeks.
    pub(super) weeks: Vec<weeks::Row>,
    /// The weeks against the client's own and against published guidance.
    pub(super) dose: OwnDose,
    /// The marked stretch, by its place among the rows.
    pub(super) lanes: Option<(usize, StretchLanes)>,
    /// The marked muscle.
    pub(super) course: Option<weeks::MuscleCourse>,
}

impl HistoryRows {
    /// What matches what was typed.
    pub(super) fn of(data: &HistoryData, typed: &str, catalogue: &Catalogue) -> Self {
        let client = &*data.client;
        // A month is a month unless a stretch or a muscle is called so.
        let is_name = |word: &str| {
            Muscle::ALL.iter().any(|muscle| text::matches(muscle.plain_name(), word))
                || catalogue.stretches().iter().any(|stretch| text::matches(&stretch.name, word))
        };
        let when = When::read(typed, data.today, is_name);
        let latest = insight::last_day(client, data.today);
        let last_day = when.last_day(latest);
        // Of somebody who was away the last week with a session says more than an empty one.
        let days = client.sessions.iter().map(|session| session.at.date_naive());
        let last_session = days.filter(|on| *on <= last_day).max().unwrap_or(last_day);
        let week_end = if (last_day - last_session).num_days() < 7 { last_day } else { last_session };
        Self {
            last_day,
            is_latest: last_day == latest,
            stretches: stretches(data, &when, last_day),
            sessions: sessions(data, &when),
            weeks: weeks::weeks(client, catalogue, week_end, &when.words),
            week_end,
            dose: dose(data, catalogue, (last_day, &when.words)),
            lanes: None,
            course: None,
            words: when.words,
        }
    }

    /// Works out what is shown of the marked rows.
    pub(super) fn settle(
        &mut self,
        data: &HistoryData,
        catalogue: &Catalogue,
        (stretch, muscle): (usize, usize),
    ) {
        if self.lanes.as_ref().is_none_or(|(marked, _)| *marked != stretch) {
            let course = self.stretches.get(stretch).map(|row| &data.courses[row.course]);
            self.lanes = course.map(|course| (stretch, course.lanes(&data.client, self.last_day, YEAR)));
        }
        let muscle = self.weeks.get(muscle).map(|(muscle, _)| *muscle);
        if self.course.as_ref().map(|(marked, _)| *marked) != muscle {
            self.course = muscle
                .map(|muscle| (muscle, amount::course(&data.client, catalogue, muscle, self.week_end, YEAR)));
        }
    }

    /// The last sessions, as the year shows them.
    pub(super) fn last_sessions(&self) -> &[usize] {
        &self.sessions[self.sessions.len().saturating_sub(LAST_SESSIONS)..]
    }

    /// The session in a row of the sessions, where the newest comes first.
    pub(super) fn session(&self, row: usize) -> Option<usize> {
        self.sessions.iter().rev().nth(row).copied()
    }

    /// How many rows of a view can be chosen.
    pub(super) fn count(&self, view: HistoryView, data: &HistoryData, catalogue: &Catalogue) -> usize {
        match view {
            HistoryView::Year => self.stretches.len() + self.last_sessions().len(),
            HistoryView::Stretch => self.stretches.len(),
            HistoryView::Weeks => self.weeks.len(),
            HistoryView::Sessions => self.sessions.len(),
            HistoryView::Quarters => quarters::talks(data.quarters(catalogue)).len(),
        }
    }
}

/// The weeks that end with a day, of muscles of that name.
fn dose(data: &HistoryData, catalogue: &Catalogue, (last_day, words): (NaiveDate, &str)) -> OwnDose {
    let mut dose = OwnDose::of(&data.client, catalogue, &data.learned, last_day);
    dose.keep(|muscle| text::matches(&format!("{} {}", muscle.plain_name(), muscle.id()), words));
    dose
}

/// The stretches of those days that match: those compared in most weeks of the year first.
fn stretches(data: &HistoryData, when: &When, last_day: NaiveDate) -> Vec<StretchRow> {
    let row = |(place, course): (usize, &StretchCourse)| {
        let is_done = course.reports(&data.client).any(|(on, _)| when.covers(on));
        (is_done && text::matches(&course.words, &when.words)).then(|| StretchRow {
            course: place,
            weeks: course.weeks(&data.client, last_day, YEAR),
            is_at_once: course.is_at_once(&data.client),
            last: course.reports(&data.client).map(|(on, _)| on).rfind(|on| *on <= last_day),
        })
    };
    let mut rows: Vec<StretchRow> = data.courses.iter().enumerate().filter_map(row).collect();
    let compared = |row: &StretchRow| row.weeks.iter().filter(|week| **week != WeekLead::Nothing).count();
    rows.sort_by_key(|row| (row.is_at_once, std::cmp::Reverse(compared(row)), std::cmp::Reverse(row.last)));
    rows
}

/// The sessions of those days in which a stretch or muscle of that name occurs.
fn sessions(data: &HistoryData, when: &When) -> Vec<usize> {
    let known: BTreeMap<_, _> =
        data.courses.iter().map(|course| (&course.id, course.words.as_str())).collect();
    let words = |session: &Session| {
        let trained = session.trained.keys().map(|muscle| muscle.plain_name());
        let of = |report: &'_ Report| known.get(&report.stretch).copied().unwrap_or_default();
        let done: Vec<&str> = session.reports.values().map(of).collect();
        trained.chain(done).collect::<Vec<_>>().join(" ")
    };
    let of_days = data.client.sessions.iter().enumerate();
    of_days
        .filter(|(_, session)| when.covers(session.at.date_naive()))
        .filter(|(_, session)| when.words.is_empty() || text::matches(&words(session), &when.words))
        .map(|(place, _)| place)
        .collect()
}
