//! How the history is drawn: its title with the views, what is looked for, and the view that is shown.

use crate::tui::canvas::{self, Canvas, Rect};
use crate::tui::event::Now;
use crate::tui::shared::Shared;
use crate::tui::text::{self, cells};
use crate::tui::theme::Tone;
use crate::tui::widgets::field::FieldView;

use super::data::HistoryData;
use super::view::HistoryView;
use super::{State, full, quarters, sessions, stretch, weeks, year};

/// Columns from which on every view is named.
const WIDE: u16 = 74;

impl State {
    /// Draws the history.
    pub fn draw(&self, area: Rect, canvas: &mut Canvas<'_>, shared: &Shared, _: Now) {
        let Some(data) = self.data.as_deref() else {
            canvas.row(area, 0, Tone::Dim, "reading the file");
            return;
        };
        self.draw_title(area, data, canvas);
        if self.finding || !self.filter.is_empty() {
            let hint = "a stretch, a muscle or days: neck, october, since 2026-03";
            let field = FieldView { field: &self.filter, hint, active: self.finding, theme: canvas.theme };
            field.draw(canvas::top(canvas::below(area, 1), 1), canvas.buf);
        }
        if let Some(name) = self.low_heading(area, data) {
            canvas.row(area, 1, Tone::Strong, name);
        }
        let rest = canvas::below(area, 2);
        if data.client.sessions.is_empty() {
            canvas.row(rest, 0, Tone::Text, "No session yet. Ctrl-P plans the first one.");
            return;
        }
        if let Some(first) = self.in_full {
            return full::draw(rest, &full::parts(data, &self.rows), first, canvas);
        }
        let chosen = self.chosen(self.view);
        match self.view {
            HistoryView::Year => year::draw(rest, (data, &self.rows), chosen, canvas, shared),
            HistoryView::Stretch => stretch::draw(rest, (data, &self.rows), canvas, shared),
            HistoryView::Weeks => {
                let rows = (&*self.week_title(), &*self.rows.weeks, self.rows.course.as_ref());
                weeks::draw(rest, rows, chosen, canvas);
            }
            HistoryView::Sessions => self.draw_sessions(rest, data, canvas, shared),
            HistoryView::Quarters => {
                let all = data.quarters(&shared.catalogue);
                quarters::draw(rest, all, (chosen, self.open), canvas, (shared, data.today));
            }
        }
    }

    /// The stretch that is looked at, where the view has no room for its heading.
    fn low_heading<'a>(&self, area: Rect, data: &'a HistoryData) -> Option<&'a str> {
        let is_free = self.filter.is_empty() && !self.finding && self.in_full.is_none();
        if !is_free || self.view != HistoryView::Stretch || area.height >= 16 {
            return None;
        }
        let row = self.rows.stretches.get(self.chosen(HistoryView::Stretch))?;
        Some(&data.courses[row.course].name)
    }

    fn draw_sessions(&self, area: Rect, data: &HistoryData, canvas: &mut Canvas<'_>, shared: &Shared) {
        if let Some((row, session)) = self.open_session(data) {
            return sessions::draw_one(area, session, row, canvas, shared);
        }
        let listed = self.listed(data);
        let chosen = self.chosen(HistoryView::Sessions);
        sessions::draw_list(area, &listed, chosen, canvas, (shared, data.today));
    }

    /// The name, how much there is, and the views; where there is no room for all, the shown one alone.
    fn draw_title(&self, area: Rect, data: &HistoryData, canvas: &mut Canvas<'_>) {
        let mark = |view: HistoryView| {
            if view == self.view { format!("[{}]", view.name()) } else { format!(" {} ", view.name()) }
        };
        let gap = u16::from(area.width >= 100);
        let mut words: Vec<(Tone, String)> = Vec::new();
        if area.width < WIDE {
            let at = self.view as usize + 1;
            words.push((Tone::Focus, format!("{} {at} of {}", mark(self.view), HistoryView::ALL.len())));
        } else {
            words.extend(
                HistoryView::ALL
                    .map(|view| (if view == self.view { Tone::Focus } else { Tone::Dim }, mark(view))),
            );
        }
        let wide: u16 = words.iter().map(|(_, words)| cells(words.len()) + gap).sum();
        let left = area.width.saturating_sub(wide.saturating_sub(gap));
        let room = Rect { width: left.saturating_sub(1), ..area };
        let name = text::clean(&data.client.profile.name);
        // What belongs to the name gives way to it.
        let about = text::count(data.client.sessions.len(), "session");
        let taken = text::width(&name) + 2 + text::width(&about);
        let about = if taken <= usize::from(room.width) { about } else { String::new() };
        canvas.heading(room, 0, &name, &about);
        words.iter().fold(left, |x, (tone, words)| canvas.at(area, x, 0, *tone, words) + gap);
    }
}
