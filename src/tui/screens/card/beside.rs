//! What stands beside the lines of a card: what the sessions tell, the last one, what the card limits.

use std::collections::{BTreeMap, BTreeSet};

use crate::body::Side;
use crate::catalogue::{Form, Sides};
use crate::caution::{Conditions, recorded_words};
use crate::tui::canvas::{self, Canvas, Rect};
use crate::tui::event::Now;
use crate::tui::shared::Shared;
use crate::tui::text::{self, cells};
use crate::tui::theme::Tone;
use crate::tui::widgets::body_view::BodyView;
use crate::tui::widgets::reached::draw_reached;
use crate::tui::widgets::ribbon::Ribbon;
use crate::tui::words::ago;
use crate::words::told;

use super::State;
use super::lines::limits_of;

impl State {
    /// What is known of the client, as far as there is room.
    pub(super) fn draw_general(&self, area: Rect, canvas: &mut Canvas<'_>, shared: &Shared, now: Now) {
        if let Some(words) = self.kind.says() {
            let y = canvas.wrapped(area, 0, Tone::Text, words);
            self.draw_limits(canvas::below(area, y + 1), canvas, now);
            return;
        }
        let area = canvas::below(area, self.draw_told(area, canvas, shared, now));
        let words = "The usual cautions apply; local law and licensed practice come first. Conditions may be added at any time.";
        let y = canvas.wrapped(area, 0, Tone::Dim, words);
        let y = canvas.wrapped(area, y, Tone::Dim, &self.consent_words()) + 1;
        let area = canvas::below(area, y);
        let area = canvas::below(area, self.draw_last(area, canvas, shared, now));
        let used = self.draw_limits(area, canvas, now);
        self.draw_reached(canvas::below(area, used + 1), canvas, shared);
    }

    /// The stretch that a habit is about, as a picture: its left side, where it is worked on one.
    pub(super) fn draw_habit(&self, room: Rect, index: usize, canvas: &mut Canvas<'_>, shared: &Shared) {
        /// The largest picture.
        const MOST: (u16, u16) = (46, 14);
        let found = self.card.habits_that_hold().nth(index).and_then(|habit| {
            let stretch = shared.catalogue.stretch(&habit.stretch)?;
            let is_it = |form: &&Form| habit.form.as_ref().is_none_or(|named| *named == form.id);
            stretch.forms.iter().find(is_it)
        });
        let Some(form) = found else { return };
        let side = (form.sides == Sides::Each).then_some(Side::Left);
        let room = Rect { width: room.width.min(MOST.0), height: room.height.min(MOST.1), ..room };
        canvas.picture(room, form, side);
    }

    /// The question whether it is somebody of that name.
    pub(super) fn draw_namesakes(&self, area: Rect, canvas: &mut Canvas<'_>, now: Now) {
        let y = canvas.wrapped(area, 0, Tone::Strong, self.namesakes.question());
        let column = Rect { x: area.x + 2, width: area.width.saturating_sub(2), ..area };
        for (index, words) in self.namesakes.rows(now.wall.date_naive()).iter().enumerate() {
            let line = y + cells(index);
            canvas.choice(area, line, index, index == self.namesakes.chosen());
            canvas.row(column, line, Tone::Text, words);
        }
    }

    /// What the card limits, and what must be left alone, where there is room for it.
    fn draw_limits(&self, area: Rect, canvas: &mut Canvas<'_>, now: Now) -> u16 {
        let (conditions, glyphs, today) = (Conditions::built_in(), canvas.glyphs(), now.wall.date_naive());
        let mut y = 0;
        for recorded in &self.card.conditions {
            let Some(condition) = conditions.get(&recorded.id).filter(|_| y + 2 < area.height) else {
                continue;
            };
            let words = format!("{} {}", glyphs.caution, recorded_words(recorded, today));
            canvas.row(area, y, Tone::Caution, &words);
            let column = Rect { x: area.x + 2, width: area.width.saturating_sub(2), ..area };
            y = canvas.wrapped(column, y + 1, Tone::Text, &limits_of(condition));
            y = canvas.wrapped(column, y, Tone::Dim, &format!("Fine: {}", condition.fine)) + 1;
        }
        y + self.draw_avoided(canvas::below(area, y), canvas)
    }

    /// What the sessions tell, at most five sentences.
    pub(super) fn told(&self, shared: &Shared, now: Now) -> Vec<String> {
        let today = now.wall.date_naive();
        self.read.as_ref().map_or_else(Vec::new, |read| told(read, &shared.catalogue, today))
    }

    /// Draws what the sessions tell, where there is room; returns the row behind it.
    fn draw_told(&self, area: Rect, canvas: &mut Canvas<'_>, shared: &Shared, now: Now) -> u16 {
        let told = self.told(shared, now);
        if told.is_empty() || area.height < 2 {
            return 0;
        }
        canvas.row(area, 0, Tone::Strong, "What the sessions tell");
        told.iter().fold(1, |y, line| canvas.wrapped(area, y, Tone::Text, line)) + 1
    }

    /// The last session as a band, and its remark, where there is room; returns the row behind them.
    fn draw_last(&self, area: Rect, canvas: &mut Canvas<'_>, shared: &Shared, now: Now) -> u16 {
        let last = self.read.as_ref().and_then(|read| read.sessions.last());
        let Some(session) = last.filter(|_| area.height >= 12) else { return 0 };
        let trained: Vec<String> =
            session.trained.keys().map(|muscle| muscle.plain_name().to_owned()).collect();
        let when = ago(session.at.date_naive(), now.wall.date_naive());
        let words = format!("{when}, {} min after {}", session.minutes.get(), text::list(&trained));
        canvas.heading(area, 0, "Last time", &words);
        Ribbon::of_session(session, &shared.catalogue, canvas.theme)
            .draw(canvas::top(canvas::below(area, 1), 4), canvas.buf);
        canvas.wrapped_most(area, 5, 2, Tone::Text, &session.note) + 1
    }

    /// What the last session reached, where there is still room.
    fn draw_reached(&self, room: Rect, canvas: &mut Canvas<'_>, shared: &Shared) {
        let last = self.read.as_ref().and_then(|read| read.sessions.last());
        let mut sizes = BodyView::SIZES[1..].iter();
        let size = sizes.find(|(columns, rows)| room.width > *columns + 30 && room.height > *rows);
        if let (Some(session), Some(size)) = (last, size) {
            draw_reached(room, "Reached last time", session, *size, canvas, shared);
        }
    }

    /// What must be left alone, on the figure, where there is room for it; returns the row behind it.
    pub(super) fn draw_avoided(&self, room: Rect, canvas: &mut Canvas<'_>) -> u16 {
        let (columns, rows) = BodyView::SIZES[1];
        let avoided = &self.avoided;
        if avoided.is_empty() || room.height < rows || room.width < columns {
            return 0;
        }
        let (trained, reached) = (BTreeMap::new(), BTreeSet::new());
        let view = BodyView { trained: &trained, reached: &reached, avoided, plain: false };
        let (left, right) = canvas.beside_body(room, columns);
        canvas.body(canvas::top(left, rows), &view);
        let mut y = 1;
        for line in view.words() {
            y = canvas.wrapped(right, y, Tone::Dim, &line);
        }
        rows
    }
}
