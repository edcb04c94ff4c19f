//! The history said in lines.

use crate::client::Session;
use crate::tui::event::Now;
use crate::tui::page::{ListSpeech, Page};
use crate::tui::shared::Shared;
use crate::tui::text;

use super::data::HistoryData;
use super::view::HistoryView;
use super::{State, full, quarters, sessions, stretch, weeks, year};

/// Days whose values are said.
const LAST: usize = 5;

impl State {
    /// The history as lines.
    pub fn lines(&self, shared: &Shared, _: Now) -> Page {
        let Some(data) = self.data.as_deref() else {
            return Page::new("the history", "Reading the file");
        };
        if let Some((row, session)) = self.open_session(data) {
            return sessions::lines_of(session, row, shared);
        }
        let sessions = text::count(data.client.sessions.len(), "session");
        let title = format!("{}, {sessions}, {}", data.client.profile.name, self.view.name());
        let mut page = Page::new("the history", title);
        page.about("typed");
        if !self.filter.is_empty() {
            page.quiet(format!("Typed: {}", self.filter.text()));
        }
        if self.in_full.is_some() {
            self.full_lines(data, &mut page);
            return page;
        }
        match self.view {
            HistoryView::Year => self.year_lines(data, &mut page),
            HistoryView::Stretch => self.stretch_lines(data, &mut page),
            HistoryView::Quarters => {
                let all = data.quarters(&shared.catalogue);
                let (titles, chosen) = (quarters::titles(all, shared), self.chosen(HistoryView::Quarters));
                page.about(format!("quarters {}", titles.get(chosen).cloned().unwrap_or_default()));
                page.list("plots", titles, Some(chosen), ListSpeech::Nothing);
                page.extend(quarters::rows(all, chosen, (shared, data.today)));
            }
            HistoryView::Sessions => self.session_lines(&self.listed(data), shared, &mut page),
            HistoryView::Weeks => {
                let rows = weeks::lines(&self.week_title(), &self.rows.weeks).collect();
                page.list("muscles", rows, Some(self.chosen(HistoryView::Weeks)), ListSpeech::Once);
                page.aside("guidance");
                page.extend(full::of_the_weeks(&self.rows));
            }
        }
        page
    }

    fn full_lines(&self, data: &HistoryData, page: &mut Page) {
        page.about(format!("in full {}", self.filter.text()));
        for (heading, items) in full::parts(data, &self.rows) {
            page.push(format!("{heading}:"));
            page.extend(items);
        }
    }

    fn year_lines(&self, data: &HistoryData, page: &mut Page) {
        page.about(format!("the year {}", self.filter.text()));
        let told = data.of_the_year().map(|told| &told.sentence);
        let all = data.due.iter().chain(told).chain(&data.remark);
        let mut all: Vec<&String> = all.filter(|words| text::matches(words, &self.rows.words)).collect();
        all.dedup();
        if all.is_empty() && self.rows.words.is_empty() {
            page.push("Nothing stands out.");
        } else if all.is_empty() {
            page.push(format!("nothing here of `{}`", self.rows.words));
        }
        page.extend(all);
        let row = |row: &super::rows::StretchRow| {
            let name = &data.courses[row.course].name;
            if row.is_at_once {
                return format!("{name}: both sides at once");
            }
            let [left, right, even] = year::counts(row);
            format!("{name}: left answered higher in {left} weeks, right in {right}, even in {even}")
        };
        let stretches = self.rows.stretches.iter().map(row);
        let sessions = self.rows.last_sessions().iter().filter_map(|place| data.session(*place));
        let rows = stretches.chain(sessions.map(sessions::row_words)).collect();
        page.list("stretches and sessions", rows, Some(self.chosen(HistoryView::Year)), ListSpeech::Nothing);
    }

    fn stretch_lines(&self, data: &HistoryData, page: &mut Page) {
        let chosen = self.chosen(HistoryView::Stretch);
        let rows = self.rows.stretches.iter().map(|row| {
            let course = &data.courses[row.course];
            format!("{}, {}", course.name, text::count(course.times.len(), "time"))
        });
        page.list("stretches", rows.collect(), Some(chosen), ListSpeech::Nothing);
        let Some(row) = self.rows.stretches.get(chosen) else {
            page.about(format!("none {}", self.filter.text()));
            return page.push("No stretch of that kind in those days");
        };
        let course = &data.courses[row.course];
        page.about(format!("answers of {}", course.id));
        page.extend(data.told_of(course).map(|told| &told.sentence));
        page.extend(stretch::last_days(data, course, LAST));
    }

    fn session_lines(&self, listed: &[&Session], shared: &Shared, page: &mut Page) {
        let rows = listed.iter().map(|session| sessions::row_words(session)).collect();
        let chosen = self.chosen(HistoryView::Sessions);
        page.list("sessions", rows, Some(chosen), ListSpeech::Nothing);
        let Some(session) = listed.get(chosen) else {
            page.about(format!("none {}", self.filter.text()));
            return page.push("No session of that kind in those days");
        };
        page.about(format!("session of {}", session.at));
        page.extend(sessions::about(session));
        page.extend(sessions::step_words(session, shared));
    }
}
