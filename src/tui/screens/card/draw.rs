//! How a card is drawn, and said in lines.

use std::collections::{BTreeMap, BTreeSet};

use ratatui::layout::Rect;
use ratatui::widgets::Widget;

use crate::body::Side;
use crate::catalogue::{Form, Sides};
use crate::caution::screening::questions;
use crate::caution::{Conditions, recorded_words};
use crate::client::{Aim, ConsentLimit};
use crate::planner::words;
use crate::tui::canvas::{self, Canvas};
use crate::tui::event::Now;
use crate::tui::shared::Shared;
use crate::tui::text::{self, cells};
use crate::tui::theme::Tone;
use crate::tui::widgets::body_view::BodyView;
use crate::tui::widgets::field::{Field, FieldView};
use crate::tui::widgets::reached::draw_reached;
use crate::tui::widgets::ribbon::Ribbon;
use crate::tui::words::ago;
use crate::words::told;

use super::lines::{aim_words, ask_side, limits_of};
use super::{Row, State};

/// Columns of the names of the lines.
const NAMES: u16 = 12;

impl State {
    /// Draws the card.
    pub fn draw(&self, area: Rect, canvas: &mut Canvas<'_>, shared: &Shared, now: Now) {
        let title = if self.id.is_some() { "Card" } else { "New client" };
        canvas.heading(area, 0, title, "only the name is needed; all else can wait");
        let rest = canvas::below(area, 2);
        let (form, beside) = if area.width >= 100 {
            canvas::split(rest, rest.width / 2, 4)
        } else {
            let under = (rest.height / 3).clamp(3, 8);
            (canvas::top(rest, rest.height - under), canvas::below(rest, rest.height - under))
        };
        let rows = self.rows();
        let first = canvas::first_shown(self.at, rows.len(), form.height);
        for (index, row) in rows.iter().enumerate().skip(first).take(usize::from(form.height)) {
            self.draw_row(form, cells(index - first), (index, *row), canvas, (shared, now));
        }
        self.draw_beside(beside, canvas, shared, now);
    }

    /// When the questions before hands-on work were last asked, and whether they are due.
    pub(super) fn screened(&self, now: Now) -> (Tone, String) {
        let today = now.wall.date_naive();
        let Some(profile) = self.read.as_ref().map(|read| &read.profile) else {
            return (Tone::Dim, String::new());
        };
        let last = match profile.last_screening() {
            Some(last) if profile.screening_record(today).clear => format!("{}, nothing open", last.on),
            Some(last) => format!("{}, left open", last.on),
            None => "never".to_owned(),
        };
        match profile.screening_record(today).screen_due(today) {
            Some(_) => (Tone::Caution, format!("{last}; due: Enter asks")),
            None => (Tone::Text, format!("{last}; Enter asks again")),
        }
    }

    /// What comes before the first hands-on work of a new client.
    fn screening_words(&self) -> String {
        let count = questions().len();
        if self.id.is_some() {
            return String::new();
        }
        format!("{count} questions, read aloud, come before the first touch; the plan asks them. ")
    }

    /// When consent is asked for, and what the client said the last time.
    pub(super) fn consent_words(&self) -> String {
        let last = self.read.as_ref().and_then(|read| read.sessions.last());
        let last = last.map_or(String::new(), |session| {
            let narrowed: Vec<&str> = session.limits().map(ConsentLimit::id).collect();
            let less = if narrowed.is_empty() { String::new() } else { format!(", {}", narrowed.join(", ")) };
            format!(" Last time, on {}: {}{less}.", session.at.format("%-d %B %Y"), session.consent)
        });
        let first = self.screening_words();
        format!("{first}Consent is asked for before each session, and may be taken back at any moment.{last}")
    }

    /// What the trainer said about plans for this client.
    pub(super) fn habit_words(&self, index: usize, shared: &Shared) -> String {
        let habit = self.card.habits_that_hold().nth(index);
        habit.map(|habit| words::habit(habit, &shared.catalogue)).unwrap_or_default()
    }

    fn draw_row(
        &self,
        area: Rect,
        y: u16,
        (index, row): (usize, Row),
        canvas: &mut Canvas<'_>,
        (shared, now): (&Shared, Now),
    ) {
        let (glyphs, active) = (canvas.glyphs(), index == self.at);
        canvas.choice(area, y, index, active);
        let name = match row {
            Row::Name => "name",
            Row::Born => "born",
            Row::Mass => "kilograms",
            Row::Guardian => "guardian",
            Row::Recorded(0) => "conditions",
            Row::AddCondition if self.card.conditions.is_empty() => "conditions",
            Row::AddCondition => "and",
            Row::Aim(Aim::Calm) => "wants",
            Row::Massage => "finish",
            Row::Habit(0) => "plans",
            Row::Screening => "screened",
            Row::Note => "remark",
            Row::Recorded(_) | Row::Aim(_) | Row::Habit(_) => "",
        };
        canvas.at(area, 2, y, if active { Tone::Strong } else { Tone::Dim }, name);
        let line = Rect {
            x: area.x + NAMES + 2,
            y: area.y + y,
            width: area.width.saturating_sub(NAMES + 2),
            height: 1,
        };
        let tick = |on: bool| if on { glyphs.done } else { glyphs.dot };
        let field = |field: &Field, hint: &str, canvas: &mut Canvas<'_>| {
            let view = FieldView { field, hint, active, theme: canvas.theme };
            (&view).render(line, canvas.buf);
        };
        match row {
            Row::Name => field(&self.card.name, "first and last name", canvas),
            Row::Born => field(&self.card.born, "1984-05-31, or the year", canvas),
            Row::Mass => field(&self.card.mass, "of the client; 80 where none are noted", canvas),
            Row::Guardian => field(&self.card.guardian, "who agreed in writing, for a minor", canvas),
            Row::AddCondition => {
                field(&self.search, "a few letters and the side, such as imping left", canvas);
            }
            Row::Note => field(&self.card.note, "a remark", canvas),
            Row::Screening => {
                let (tone, words) = self.screened(now);
                canvas.at(line, 2, 0, tone, &words);
            }
            Row::Recorded(index) => {
                if let Some(recorded) = self.card.conditions.get(index) {
                    let (tone, words) = if active && self.asks_side {
                        (Tone::Focus, ask_side(recorded))
                    } else {
                        (Tone::Caution, recorded_words(recorded, now.wall.date_naive()))
                    };
                    canvas.row(line, 0, tone, &format!("{} {words}", glyphs.caution));
                }
            }
            Row::Aim(aim) => {
                let on = self.card.aims.contains(&aim);
                let tone = if on { Tone::Good } else { Tone::Dim };
                canvas.spans(
                    line,
                    0,
                    0,
                    &[(tone, tick(on)), (Tone::Text, " "), (Tone::Text, aim_words(aim))],
                );
            }
            Row::Habit(index) => {
                let words = self.habit_words(index, shared);
                canvas.at(line, 2, 0, Tone::Text, &words);
            }
            Row::Massage => {
                let tone = if self.card.massage { Tone::Good } else { Tone::Dim };
                canvas.spans(
                    line,
                    0,
                    0,
                    &[
                        (tone, tick(self.card.massage)),
                        (Tone::Text, " a short massage, where local rules let you"),
                    ],
                );
            }
        }
    }

    /// What was found for the letters typed, each with what it will limit; or what the chosen condition limits.
    fn draw_beside(&self, area: Rect, canvas: &mut Canvas<'_>, shared: &Shared, now: Now) {
        let glyphs = canvas.glyphs();
        let conditions = Conditions::built_in();
        if self.namesakes.is_asked() {
            return self.draw_namesakes(area, canvas, now);
        }
        match self.row() {
            Row::AddCondition if !self.search.is_empty() => {
                let found = self.matches(now.wall.date_naive());
                if found.is_empty() {
                    let said = format!("{} What you found out goes into the remark.", self.not_found());
                    canvas.wrapped(area, 0, Tone::Dim, &said);
                }
                let mut y = 0;
                let first = self.match_chosen.saturating_sub(usize::from(area.height / 3));
                for (index, condition) in found.iter().map(|offer| offer.condition).enumerate().skip(first) {
                    if y >= area.height {
                        break;
                    }
                    let chosen = index == self.match_chosen;
                    if chosen {
                        canvas.chosen(area, y);
                    }
                    canvas.at(area, 2, y, if chosen { Tone::Strong } else { Tone::Text }, &condition.name);
                    y += 1;
                    let lines = Rect { x: area.x + 4, width: area.width.saturating_sub(4), ..area };
                    if chosen {
                        y = canvas.wrapped(lines, y, Tone::Text, &limits_of(condition));
                    } else {
                        canvas.row(lines, y, Tone::Dim, &limits_of(condition));
                        y += 1;
                    }
                }
            }
            Row::AddCondition => {
                let words = "Type a few letters of what limits the work; what it will limit is shown at once. A side (left, right), a muscle, since=2026-03-01 or cleared=surgeon may follow.";
                canvas.wrapped(area, 0, Tone::Dim, words);
            }
            Row::Recorded(index) => {
                let found = self.card.conditions.get(index).and_then(|recorded| conditions.get(&recorded.id));
                let Some(condition) = found else { return };
                let asked =
                    if self.asks_side { "Which side? The arrows say left or right, Enter both." } else { "" };
                let y = if asked.is_empty() { 0 } else { canvas.wrapped(area, 0, Tone::Focus, asked) };
                let mut y = canvas.wrapped(
                    area,
                    y,
                    Tone::Caution,
                    &format!("{} {}", glyphs.caution, limits_of(condition)),
                );
                y = canvas.wrapped(area, y, Tone::Text, &format!("Fine: {}", condition.fine));
                y = canvas.wrapped(area, y, Tone::Text, &format!("Say: {}", condition.say));
                let side = if condition.side_bound { "Left, Right: the side; Space also both. " } else { "" };
                canvas.row(area, y, Tone::Dim, &format!("{side}x takes it off."));
                self.draw_avoided(canvas::below(area, y + 2), canvas);
            }
            Row::Habit(index) => {
                let y = canvas.wrapped(area, 0, Tone::Text, &self.habit_words(index, shared));
                canvas.row(area, y, Tone::Dim, "Plans for this client mind it. x takes it off.");
                self.draw_habit(canvas::below(area, y + 2), index, canvas, shared);
            }
            Row::Guardian => {
                canvas.wrapped(
                    area,
                    0,
                    Tone::Dim,
                    "A minor needs a guardian's written consent, and local law may ask for more.",
                );
            }
            Row::Name if let Some(word) = self.stray() => {
                let words = format!("`{word}` is a condition: Down writes it there. Enter keeps the name.");
                canvas.wrapped(area, 0, Tone::Strong, &words);
            }
            _ => {
                let area = canvas::below(area, self.draw_told(area, canvas, shared, now));
                let words = "The usual cautions apply; local law and licensed practice come first. Conditions may be added at any time.";
                let y = canvas.wrapped(area, 0, Tone::Dim, words);
                let y = canvas.wrapped(area, y, Tone::Dim, &self.consent_words()) + 1;
                let area = canvas::below(area, y);
                let area = canvas::below(area, self.draw_last(area, canvas, shared, now));
                let used = self.draw_limits(area, canvas, now);
                self.draw_reached(canvas::below(area, used + 1), canvas, shared);
            }
        }
    }

    /// The stretch that a habit is about, as a picture: its left side, where it is worked on one.
    fn draw_habit(&self, room: Rect, index: usize, canvas: &mut Canvas<'_>, shared: &Shared) {
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
    fn draw_namesakes(&self, area: Rect, canvas: &mut Canvas<'_>, now: Now) {
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
        (&Ribbon::of_session(session, &shared.catalogue, canvas.theme))
            .render(canvas::top(canvas::below(area, 1), 4), canvas.buf);
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
    fn draw_avoided(&self, room: Rect, canvas: &mut Canvas<'_>) -> u16 {
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
