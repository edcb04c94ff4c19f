//! The history said in lines.

use chrono::NaiveDate;

use crate::catalogue::StretchId;
use crate::client::{Client, Report, Session};
use crate::tui::event::Now;
use crate::tui::page::{ListSpeech, Page};
use crate::tui::shared::Shared;
use crate::tui::text;
use crate::tui::words::side_words;
use crate::words;

use super::{Done, State, Tab, advised, compared, name, quarters, sessions, weeks};

/// Days whose values are said.
const LAST: usize = 5;

impl State {
    /// The history as lines.
    pub fn lines(&self, shared: &Shared, now: Now) -> Page {
        let today = now.wall.date_naive();
        let Some(client) = shared.clients.get(&self.id) else {
            return Page::new("the history", "Reading the file");
        };
        let mut listed = self.sessions(client, shared, today);
        listed.reverse();
        if let Some((row, session)) =
            self.open.filter(|_| self.tab == Tab::Sessions).zip(listed.get(self.chosen))
        {
            return sessions::lines_of(session, row, shared);
        }
        let sessions = text::count(client.sessions.len(), "session");
        let title = format!("{}, {sessions}, {}", client.profile.name, self.tab.name());
        let mut page = Page::new("the history", title);
        page.about("typed");
        page.extend((!self.filter.is_empty()).then(|| format!("Typed: {}", self.filter.text())));
        match self.tab {
            Tab::NextTime => {
                page.about(format!("next time {}", self.filter.text()));
                let advised = self.advised(client, shared, today);
                page.extend(advised.into_iter().map(|line| match line {
                    advised::Line::Heading(words) => format!("{words}:"),
                    advised::Line::Item(words) => words,
                }));
            }
            Tab::Levels | Tab::Holds | Tab::Angles => self.stretch_lines(client, shared, today, &mut page),
            Tab::Quarters => {
                let titles = quarters::titles(client, (shared, today));
                page.about(format!("quarters {}", titles.get(self.chosen).cloned().unwrap_or_default()));
                page.list("plots", titles, Some(self.chosen), ListSpeech::Nothing);
                page.extend(quarters::rows(client, self.chosen, (shared, today)));
            }
            Tab::Sessions => self.session_lines(&listed, shared, &mut page),
            Tab::Weeks => {
                let rows =
                    weeks::lines(&self.week_title(client, shared, today), &self.weeks(client, shared, today))
                        .collect();
                page.list("muscles", rows, Some(self.chosen), ListSpeech::Once);
                page.aside("guidance");
                page.push(words::guidance(self.share(client, shared, today)));
            }
        }
        page
    }

    fn stretch_lines(&self, client: &Client, shared: &Shared, today: NaiveDate, page: &mut Page) {
        let stretches = self.stretches(client, shared, today);
        let row = |(stretch, done): &(&StretchId, Done<'_>)| {
            format!("{}, {}", name(shared, stretch), text::count(done.len(), "report"))
        };
        page.list("stretches", stretches.iter().map(row).collect(), Some(self.chosen), ListSpeech::Nothing);
        let Some((stretch, done)) = stretches.get(self.chosen) else {
            page.about(format!("none {}", self.filter.text()));
            return page.push("No stretch of that kind in those days");
        };
        page.about(format!("{} of {stretch}", self.tab.name()));
        if self.tab == Tab::Levels {
            page.push(compared(done, self.tab));
        }
        let values = values(done, self.tab);
        if values.is_empty() {
            page.push(format!("{}: no {} noted", name(shared, stretch), self.tab.name()));
        }
        page.extend(values);
    }

    fn session_lines(&self, sessions: &[&Session], shared: &Shared, page: &mut Page) {
        let rows = sessions.iter().map(|session| sessions::row_words(session)).collect();
        page.list("sessions", rows, Some(self.chosen), ListSpeech::Nothing);
        let Some(session) = sessions.get(self.chosen) else {
            page.about(format!("none {}", self.filter.text()));
            return page.push("No session of that kind in those days");
        };
        page.about(format!("session of {}", session.at));
        page.extend(sessions::about(session));
        page.extend(sessions::step_words(session, shared));
    }
}

fn level_words(report: &Report) -> String {
    report.level.map_or("no level".to_owned(), |level| format!("level {level}"))
}

/// What was noted of a stretch on the last days, a line a day, the latest first.
fn values(done: &Done<'_>, tab: Tab) -> Vec<String> {
    let mut days: Vec<(NaiveDate, Vec<String>)> = Vec::new();
    for (on, report) in done.iter().rev() {
        let value = match tab {
            Tab::Levels => level_words(report),
            Tab::Angles => {
                let Some(angle) = report.angle() else { continue };
                format!("{} degrees", angle.get())
            }
            _ => report.held.to_string(),
        };
        let value = format!("{} {value}", side_words(report.side));
        let full = days.len() == LAST;
        match days.last_mut() {
            Some((day, values)) if day == on => values.insert(0, value),
            _ if full => break,
            _ => days.push((*on, vec![value])),
        }
    }
    days.into_iter().map(|(on, values)| format!("{}: {}", on.format("%-d %B"), values.join(", "))).collect()
}
