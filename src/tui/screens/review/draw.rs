//! How the review is drawn: the block as a ribbon with its answers, every step, what it tells, the next time.

use std::collections::BTreeSet;

use crate::body::Seconds;
use crate::client::{ConsentLimit, Ended, Report};
use crate::strain;
use crate::tui::canvas::{self, Canvas, Rect};
use crate::tui::event::Now;
use crate::tui::shared::Shared;
use crate::tui::text::{self, capitalised, cells};
use crate::tui::theme::Tone;
use crate::tui::widgets::beside::draw_body_beside;
use crate::tui::widgets::body_view::BodyView;
use crate::tui::widgets::field::FieldView;
use crate::tui::widgets::reached::reached_in;
use crate::tui::widgets::report_row::{ReportColumns, draw_report};
use crate::tui::widgets::ribbon::Ribbon;
use crate::tui::words::stretch_name;
use crate::words::date;

use super::{Line, State, angles};

/// Rows from which on what it tells has headings.
const HIGH: u16 = 30;
/// Columns of the steps where the body stands beside them.
const STEPS: u16 = 84;

/// Where everything stands, the same for every session at a size.
struct ReviewPlaces {
    ribbon: Rect,
    list: Rect,
    beside: Option<Rect>,
    /// The question about plans, if there is one.
    asks: Rect,
    stands_out: Rect,
    next_time: Rect,
    typed: Rect,
    has_headings: bool,
}

impl ReviewPlaces {
    fn of(area: Rect, asks: u16) -> Self {
        let (ribbon, stands_out, next_time) = match area.height {
            ..14 => (0, 0, 1),
            14..HIGH => (4, 2, 2),
            _ => (4, 4, 2),
        };
        let has_headings = area.height >= HIGH;
        let gap = u16::from(area.height >= 14);
        let heading = u16::from(has_headings);
        let foot = asks + gap + heading + stands_out + 2 * heading + next_time + heading + 1;
        let rest = canvas::below(area, 2 + ribbon + gap);
        let list = canvas::top(rest, rest.height.saturating_sub(foot));
        let (list, beside) = if area.width >= STEPS + 28 {
            let (list, beside) = canvas::split(rest, STEPS.max(area.width * 3 / 5), 3);
            (canvas::top(list, rest.height.saturating_sub(foot)), Some(beside))
        } else {
            (list, None)
        };
        let foot = Rect { width: list.width, ..canvas::below(rest, rest.height.saturating_sub(foot)) };
        let at = |y: u16, rows: u16| canvas::top(canvas::below(foot, y), rows);
        let y = gap + asks + heading;
        let next = y + stands_out + 2 * heading;
        Self {
            ribbon: canvas::top(canvas::below(area, 2), ribbon),
            list,
            beside,
            asks: at(gap, asks),
            stands_out: at(y, stands_out),
            next_time: at(next, next_time),
            typed: at(next + next_time + heading, 1),
            has_headings,
        }
    }
}

impl State {
    /// Draws the session.
    pub fn draw(&self, area: Rect, canvas: &mut Canvas<'_>, shared: &Shared, _: Now) {
        self.draw_title(area, canvas);
        if let Some(words) = self.taken_back() {
            canvas.row(area, 1, Tone::Text, &words);
        }
        let question = self.asked.words(shared);
        // On a narrow screen the question takes two rows.
        let asks = question
            .as_ref()
            .map_or(0, |words| if text::width(words) > usize::from(area.width) { 2 } else { 1 });
        let places = ReviewPlaces::of(area, asks);
        let mut ribbon = Ribbon::of_session(&self.session, &shared.catalogue, canvas.theme);
        if let Some(piece) = ribbon.pieces.get_mut(self.chosen) {
            piece.chosen = true;
        }
        ribbon.draw(places.ribbon, canvas.buf);
        self.draw_rows(places.list, canvas, shared);
        if let Some(words) = &question {
            canvas.wrapped_most(places.asks, 0, asks, Tone::Strong, words);
        }
        self.draw_told(&places, canvas);
        self.draw_typed(places.typed, canvas, shared);
        if let Some(beside) = places.beside {
            self.draw_beside(beside, canvas, shared);
        }
    }

    /// Whose it is, whether all of it is on the disk, and how long it took.
    fn draw_title(&self, area: Rect, canvas: &mut Canvas<'_>) {
        let glyphs = canvas.glyphs();
        let (tone, saved) = match self.outbox.failed() {
            Some(why) => (Tone::Caution, format!("{} not saved yet: {}", glyphs.caution, why.in_a_line())),
            None if self.is_of_walk_in() => (Tone::Good, format!("{} {}", glyphs.done, self.saved_words())),
            None if self.outbox.is_idle() => (Tone::Good, format!("{} saved", glyphs.done)),
            None => (Tone::Dim, "saving".to_owned()),
        };
        let took = if area.width >= 60 { format!("   {}", self.took()) } else { String::new() };
        let wide = cells(text::width(&saved) + text::width(&took));
        let room = Rect { width: area.width.saturating_sub(wide + 2), ..area };
        canvas.heading(room, 0, &self.client.profile.name, "what came out");
        let x = canvas.at(area, area.width.saturating_sub(wide), 0, tone, &saved);
        canvas.at(area, x, 0, Tone::Dim, &took);
    }

    fn draw_rows(&self, area: Rect, canvas: &mut Canvas<'_>, shared: &Shared) {
        let reports: Vec<&Report> = self.session.reports.values().collect();
        if reports.is_empty() {
            canvas.row(area, 0, Tone::Dim, "no step was done");
        }
        let columns = ReportColumns::of(area);
        let mut list = area;
        if let Some(rest) = columns.rest.filter(|_| area.height >= 16) {
            for (x, words) in [(columns.held, "held"), (columns.answer, "answer"), (rest, "last time")] {
                canvas.at(area, x, 0, Tone::Dim, words);
            }
            list = canvas::below(area, 1);
        }
        let fits = reports.len() <= usize::from(list.height);
        let rows = if fits { list.height } else { list.height.saturating_sub(1) };
        let first = canvas::first_shown(self.chosen, reports.len(), rows);
        for (index, report) in reports.iter().enumerate().skip(first).take(usize::from(rows)) {
            let y = cells(index - first);
            canvas.choice(list, y, index, index == self.chosen);
            let name = stretch_name(&report.stretch, &shared.catalogue);
            draw_report(list, y, (index + 1, report, &name), index == self.chosen, canvas);
            let Some(rest) = columns.rest.filter(|_| report.ended == Ended::Done) else { continue };
            let angle = angles::words(report, shared);
            let before = self.told.last_time(report);
            let both = format!("{angle}, {before}");
            // What was measured today goes first, whole.
            let words = match angle.as_str() {
                "" => before,
                _ if text::width(&both) > usize::from(list.width.saturating_sub(rest)) => angle,
                _ => both,
            };
            canvas.at(list, rest, y, Tone::Dim, &words);
        }
        let below = reports.len().saturating_sub(first + usize::from(rows));
        if below > 0 {
            canvas.at(list, 6, rows, Tone::Dim, &format!("{below} more below"));
        }
    }

    /// What stands out, and what to do the next time.
    fn draw_told(&self, places: &ReviewPlaces, canvas: &mut Canvas<'_>) {
        let (stands_out, next_time) = (places.stands_out, places.next_time);
        if places.has_headings {
            let above = |area: Rect| Rect { y: area.y.saturating_sub(1), height: 1, ..area };
            canvas.row(above(stands_out), 0, Tone::Dim, "What it tells");
            canvas.row(above(next_time), 0, Tone::Dim, "Next time");
        }
        let mut y = 0;
        for (index, words) in self.told.stands_out.iter().enumerate() {
            let left = cells(self.told.stands_out.len() - index - 1);
            let room = stands_out.height.saturating_sub(y + left).max(1);
            if y < stands_out.height {
                y = canvas.wrapped_most(stands_out, y, room, Tone::Text, words);
            }
        }
        if self.told.stands_out.is_empty() {
            canvas.row(stands_out, 0, Tone::Dim, "nothing stands out");
        }
        let next = self.told.next_time.as_deref().unwrap_or("as today");
        let label = if places.has_headings { "" } else { "Next time:" };
        canvas.wrapped_most(next_time, 0, next_time.height, Tone::Text, &format!("{label} {next}"));
        canvas.row(next_time, 0, Tone::Dim, label);
    }

    /// The line that can be typed.
    fn draw_typed(&self, area: Rect, canvas: &mut Canvas<'_>, shared: &Shared) {
        let angle_hint = angles::question(self.chosen().map(|(_, report)| report), shared);
        let (field, hint) = if self.typing == Some(Line::Elsewhere) {
            (&self.elsewhere, "the folder to save this session in, such as a stick's; Enter saves")
        } else if self.typing == Some(Line::Angle) {
            (&self.angle, angle_hint.as_str())
        } else if self.outbox.failed().is_some() {
            (&self.note, "Ctrl-S saves the session in another folder, r writes a remark")
        } else {
            (&self.note, "r writes a remark")
        };
        let line = FieldView { field, hint, active: self.typing.is_some(), theme: canvas.theme };
        line.draw(area, canvas.buf);
    }

    /// What was reached, on the body, and what it asked of the trainer's own.
    fn draw_beside(&self, area: Rect, canvas: &mut Canvas<'_>, shared: &Shared) {
        /// Rows of the trainer's own minutes.
        const OWN: u16 = 4;
        let (reached, avoided) = (reached_in(&self.session, &shared.catalogue), BTreeSet::new());
        let trained = &self.session.trained;
        let view = BodyView { trained, reached: &reached, avoided: &avoided, plain: false };
        draw_body_beside(&view, canvas::top(area, area.height.saturating_sub(OWN)), canvas);
        let own = canvas::below(area, area.height.saturating_sub(OWN - 1));
        canvas.wrapped(own, 0, Tone::Dim, &capitalised(&self.own_words(shared)));
    }

    /// What the block asked of the trainer's own body.
    pub(super) fn own_words(&self, shared: &Shared) -> String {
        let block = strain::worked_block(&self.session, &self.client.profile, &shared.catalogue);
        format!("you: {}", strain::words::day_sentence(&block.meters, None))
    }

    /// How much is on the disk.
    pub(super) fn saved_words(&self) -> String {
        let steps = text::count(self.outbox.saved(), "step");
        if self.is_of_walk_in() { format!("{steps}, no card kept") } else { format!("saved, {steps}") }
    }

    /// When consent was taken back, if it was, and what can be done about a slip of the finger.
    pub(super) fn taken_back(&self) -> Option<String> {
        let at = self.session.narrowed_at(ConsentLimit::Stopped)?;
        Some(format!("consent taken back at {}, noted; Space asks again", date::time_of_day(at)))
    }

    /// How long it took, of the minutes that were planned.
    pub(super) fn took(&self) -> String {
        let planned = self.session.minutes.get();
        let took = self.over.map(|over| over.signed_duration_since(self.session.at).num_seconds());
        // A block that was taken up hours later did not take hours.
        let took = took.and_then(|took| u32::try_from(took).ok()).filter(|took| *took < 3 * 60 * 60);
        took.map_or_else(
            || format!("{planned} minutes planned"),
            |took| format!("{} of {planned} minutes", Seconds::new(took)),
        )
    }
}
