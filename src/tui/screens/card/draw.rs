//! How a card is drawn, and said in lines.

use ratatui::layout::Rect;
use ratatui::widgets::Widget;

use crate::caution::screening::questions;
use crate::caution::{Conditions, recorded_words};
use crate::client::{Aim, ConsentLimit};
use crate::handout;
use crate::planner::words;
use crate::tui::canvas::{self, Canvas};
use crate::tui::event::Now;
use crate::tui::shared::Shared;
use crate::tui::text::cells;
use crate::tui::theme::Tone;
use crate::tui::widgets::field::{Field, FieldView};

use super::lines::{aim_words, ask_side, limits_of};
use super::{Row, State};

/// Columns of the names of the lines.
const NAMES: u16 = 12;

impl Row {
    /// What may be typed on the line while nothing stands there; none where nothing is typed.
    pub(super) const fn hint(self) -> Option<&'static str> {
        Some(match self {
            Self::Name => "first and last name",
            Self::Born => "1984-05-31, or the year",
            Self::Mass => "of the client; 80 where none are noted",
            Self::Guardian => "who agreed in writing, for a minor",
            Self::AddCondition => "a few letters and the side, such as new knee left",
            Self::Note => "a remark",
            Self::Words(words) => words.hint(),
            Self::Remove => "for good: type the name exactly, then Enter",
            Self::Recorded(_)
            | Self::Aim(_)
            | Self::NoHands
            | Self::Massage
            | Self::Habit(_)
            | Self::Screening
            | Self::Archived => return None,
        })
    }
}

impl State {
    /// Draws the card.
    pub fn draw(&self, area: Rect, canvas: &mut Canvas<'_>, shared: &Shared, now: Now) {
        let (title, beside) = self.heading();
        canvas.heading(area, 0, title, beside);
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
        let below = rows.len().saturating_sub(first + usize::from(form.height));
        if below > 0 {
            canvas.right(form, form.height - 1, Tone::Dim, &format!("{below} more below"));
        }
        self.draw_beside(beside, canvas, shared, now);
    }

    /// Whose card it is, or what it is good for.
    fn heading(&self) -> (&str, &str) {
        let known = self.read.as_ref().map(|read| read.profile.name.as_str());
        let beside = known.unwrap_or("only the name is needed; all else can wait");
        self.kind.heading().unwrap_or((self.title(), beside))
    }

    /// What the card of a client is called.
    pub(super) const fn title(&self) -> &'static str {
        if self.id.is_some() { "Card" } else { "New client" }
    }

    /// When the questions before hands-on work were last asked, and whether they are due.
    pub(super) fn screened(&self, now: Now) -> (Tone, String) {
        let today = now.wall.date_naive();
        let Some(profile) = self.read.as_ref().map(|read| &read.profile) else {
            return (Tone::Dim, String::new());
        };
        let last = handout::words::last_screening(profile, today);
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
            Row::NoHands => "hands",
            Row::Massage => "massage",
            Row::Habit(0) => "plans",
            Row::Screening => "health check",
            Row::Words(line) => line.label(),
            Row::Archived => "archive",
            Row::Remove => "remove",
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
        let field = |field: &Field, canvas: &mut Canvas<'_>| {
            let view = FieldView { field, hint: row.hint().unwrap_or_default(), active, theme: canvas.theme };
            (&view).render(line, canvas.buf);
        };
        match row {
            Row::Name => field(&self.card.name, canvas),
            Row::Born => field(&self.card.born, canvas),
            Row::Mass => field(&self.card.mass, canvas),
            Row::Guardian => field(&self.card.guardian, canvas),
            Row::AddCondition => field(&self.search, canvas),
            Row::Note => field(&self.card.note, canvas),
            Row::Words(words) => field(&self.card.words[&words], canvas),
            Row::Remove => field(&self.removing, canvas),
            Row::Archived => {
                let (tone, words) = match self.card.archived {
                    Some(from) => {
                        (Tone::Good, format!("{} comes no more since {from}; the file stays", tick(true)))
                    }
                    None => (Tone::Dim, format!("{} comes no more", tick(false))),
                };
                canvas.row(line, 0, tone, &words);
            }
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
            Row::NoHands => {
                let tone = if self.card.no_hands { Tone::Caution } else { Tone::Dim };
                let words = " refuses hands-on work: no plan has any";
                canvas.spans(line, 0, 0, &[(tone, tick(self.card.no_hands)), (Tone::Text, words)]);
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
                let y = canvas.wrapped(area, 0, Tone::Dim, words);
                self.draw_general(canvas::below(area, y + 1), canvas, shared, now);
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
            Row::Words(line) => {
                let profile = self.read.as_ref().map(|read| &read.profile);
                let found = line.beside(self.card.words[&line].text(), profile, &shared.catalogue);
                let most = usize::from(area.height / 3);
                let y = canvas.wrapped(area, 0, Tone::Dim, line.hint());
                let y =
                    found.iter().take(most).fold(y, |y, words| canvas.wrapped(area, y, Tone::Text, words));
                self.draw_general(canvas::below(area, y + 1), canvas, shared, now);
            }
            Row::Remove => {
                let words = "Removes every file about this client from the data folder, for good. Backups, other machines and what was printed are out of reach. Archive keeps the file.";
                canvas.wrapped(area, 0, Tone::Text, words);
            }
            _ => self.draw_general(area, canvas, shared, now),
        }
    }
}
