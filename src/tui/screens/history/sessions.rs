//! The sessions as thin bands on one scale, and one of them step by step.

use chrono::NaiveDate;
use ratatui::layout::Rect;
use ratatui::widgets::Widget;

use crate::client::{ConsentLimit, Ended, Report, Session};
use crate::tui::canvas::{self, Canvas};
use crate::tui::page::{ListSpeech, Page};
use crate::tui::shared::Shared;
use crate::tui::text::{self, cells};
use crate::tui::theme::{Theme, Tone};
use crate::tui::widgets::body_view::BodyView;
use crate::tui::widgets::reached::draw_reached;
use crate::tui::widgets::ribbon::Ribbon;
use crate::tui::words::{ago, side_words};

use super::name;

/// A thin ribbon a session, so that a long block looks longer than a short one.
pub fn draw_bands(
    area: Rect,
    sessions: &[&Session],
    chosen: Option<usize>,
    canvas: &mut Canvas<'_>,
    shared: &Shared,
) {
    let ribbon =
        |session: &Session, canvas: &Canvas<'_>| Ribbon::of_session(session, &shared.catalogue, canvas.theme);
    let longest = sessions.iter().map(|session| ribbon(session, canvas).length).max().unwrap_or(1);
    let newest = sessions.len().saturating_sub(1);
    let first = canvas::first_shown(chosen.unwrap_or(newest), sessions.len(), area.height);
    for (index, session) in sessions.iter().enumerate().skip(first).take(usize::from(area.height)) {
        let y = cells(index - first);
        if let Some(chosen) = chosen {
            canvas.choice(area, y, newest - index, index == chosen);
        }
        let x = canvas.at(area, 2, y, Tone::Dim, &session.at.format("%d %b %Y").to_string());
        let (_, band) = canvas::split(Rect { y: area.y + y, height: 1, ..area }, x, 2);
        (&Ribbon { length: longest, ..ribbon(session, canvas) }).render(band, canvas.buf);
    }
}

/// The sessions, the chosen one below in short; the newest stands at the bottom and `chosen` counts from it.
pub fn draw_list(
    area: Rect,
    sessions: &[&Session],
    chosen: usize,
    canvas: &mut Canvas<'_>,
    (shared, today): (&Shared, NaiveDate),
) {
    if sessions.is_empty() {
        canvas.row(area, 0, Tone::Dim, "no session of that kind in those days");
        return;
    }
    let detail = if area.height >= 14 { 7 } else { 0 };
    let list = canvas::top(area, area.height.saturating_sub(detail));
    let chosen = sessions.len() - 1 - chosen.min(sessions.len() - 1);
    draw_bands(list, sessions, Some(chosen), canvas, shared);
    let Some(session) = sessions.get(chosen).filter(|_| detail > 0) else { return };
    let below = canvas::below(area, list.height + 1);
    let words = format!("{}; {}", agreed(session), trained(session));
    canvas.heading(below, 0, &ago(session.at.date_naive(), today), &words);
    (&Ribbon::of_session(session, &shared.catalogue, canvas.theme))
        .render(canvas::top(canvas::below(below, 1), 4), canvas.buf);
    canvas.row(below, 5, Tone::Text, &session.note);
}

fn agreed(session: &Session) -> String {
    let narrowed: Vec<&str> = session.limits().map(ConsentLimit::id).collect();
    let less = if narrowed.is_empty() { String::new() } else { format!(" ({})", narrowed.join(", ")) };
    format!("{} min, {}{less}", session.minutes.get(), session.consent)
}

fn trained(session: &Session) -> String {
    let trained: Vec<String> = session.trained.keys().map(|muscle| muscle.plain_name().to_owned()).collect();
    text::list(&trained)
}

/// How a step ended where it was not done to its end.
const fn ended_words(ended: Ended) -> &'static str {
    match ended {
        Ended::Done => "",
        Ended::Skipped => "left out",
        Ended::Pain => "stopped for pain",
        Ended::Withdrawn => "consent withdrawn",
        Ended::CutOff => "cut off",
    }
}

/// One session: what was agreed and said, and every step with what came out of it.
pub fn draw_one(area: Rect, session: &Session, row: usize, canvas: &mut Canvas<'_>, shared: &Shared) {
    canvas.heading(area, 0, &session.at.format("%-d %B %Y, %H:%M").to_string(), &agreed(session));
    let mut y = 1;
    let most = if area.height >= 16 { 3 } else { 1 };
    if !session.trained.is_empty() {
        y = canvas.wrapped_most(area, y, most, Tone::Dim, &format!("after {}", trained(session)));
    }
    y = canvas.wrapped_most(area, y, most, Tone::Text, &session.note);
    if area.height >= 16 {
        let band = canvas::top(canvas::below(area, y), 4);
        (&Ribbon::of_session(session, &shared.catalogue, canvas.theme)).render(band, canvas.buf);
        y += 4;
    }
    let list = canvas::below(area, y + u16::from(area.height >= 16));
    if session.reports.is_empty() {
        canvas.row(list, 0, Tone::Dim, "no step was done");
    }
    let first = canvas::first_shown(row, session.reports.len(), list.height);
    for (index, report) in session.reports.values().enumerate().skip(first).take(usize::from(list.height)) {
        let y = cells(index - first);
        canvas.choice(list, y, index, index == row);
        draw_report(list, y, index + 1, report, canvas, shared);
    }
    let room = canvas::below(list, cells(session.reports.len()) + 1);
    let mut sizes = BodyView::SIZES[1..].iter();
    if let Some(size) = sizes.find(|(columns, rows)| room.width > *columns + 30 && room.height > *rows) {
        draw_reached(room, "Reached", session, *size, canvas, shared);
    }
}

fn draw_report(area: Rect, y: u16, number: usize, report: &Report, canvas: &mut Canvas<'_>, shared: &Shared) {
    let glyphs = canvas.glyphs();
    let tone = Theme::side(report.side);
    let names = usize::from(area.width).saturating_sub(48).clamp(12, 34);
    let x = canvas.at(area, 2, y, Tone::Dim, &format!("{number:>2}"));
    let x = canvas.at(
        area,
        x + 1,
        y,
        Tone::Text,
        &text::pad(&name(shared, &report.stretch), names, glyphs.ellipsis),
    );
    let side = format!("{} {:<5}", glyphs.side(report.side), side_words(report.side));
    let x = canvas.at(area, x + 1, y, tone, &side);
    let x = canvas.at(area, x + 1, y, Tone::Text, &format!("{:>5}", report.held.to_string()));
    let (bar, level) = report.level.map_or((" ", "-".to_owned()), |level| {
        (glyphs.levels[usize::from(level.get()) - 1], level.to_string())
    });
    // In ASCII the bars are numbers, too.
    let bar = if canvas.theme.ascii { "" } else { bar };
    let level = [(Tone::Dim, "  level "), (Tone::Strong, &*level), (Tone::Text, " "), (tone, bar)];
    let x = canvas.spans(area, x, y, &level);
    let cycles = (report.cycles > 0).then(|| format!("{} x contract-relax", report.cycles));
    let angle = report.angle().map(|angle| format!("{} degrees", angle.get()));
    let more: Vec<String> = angle.into_iter().chain(cycles).map(|words| format!("{words}  ")).collect();
    let x = canvas.at(area, x + 2, y, Tone::Dim, &more.concat());
    let over = if report.ended == Ended::Pain { Tone::HandsOff } else { Tone::Text };
    let x = canvas.at(area, x, y, over, ended_words(report.ended));
    let gap = if report.ended == Ended::Done { 0 } else { 2 };
    canvas.at(area, x + gap, y, Tone::Text, &report.note);
}

/// A session in a line.
pub fn row_words(session: &Session) -> String {
    let steps = text::count(session.reports.len(), "step");
    format!("{}: {}, {steps}", session.at.format("%-d %B %Y"), agreed(session))
}

/// What is known of a session beside its steps.
pub fn about(session: &Session) -> Vec<String> {
    let after = (!session.trained.is_empty()).then(|| format!("After {}", trained(session)));
    let note = (!session.note.is_empty()).then(|| format!("Remark: {}", session.note));
    after.into_iter().chain(note).collect()
}

/// The steps of a session, a line each.
pub fn step_words(session: &Session, shared: &Shared) -> Vec<String> {
    let words = |report: &Report| {
        let level = report.level.map_or("no level".to_owned(), |level| format!("level {level}"));
        let angle = report.angle().map(|angle| format!(", {} degrees", angle.get())).unwrap_or_default();
        let note = if report.note.is_empty() { String::new() } else { format!("; {}", report.note) };
        format!(
            "{}, {}, {} seconds, {level}{angle}, {}{note}",
            name(shared, &report.stretch),
            side_words(report.side),
            report.held.get(),
            if report.ended == Ended::Done { "done" } else { ended_words(report.ended) }
        )
    };
    session.reports.values().map(words).collect()
}

/// One session as lines.
pub fn lines_of(session: &Session, row: usize, shared: &Shared) -> Page {
    let title = format!("Session of {}: {}", session.at.format("%-d %B %Y, %H:%M"), agreed(session));
    let mut page = Page::new("the session", title);
    page.about(format!("session of {}", session.at));
    page.extend(about(session));
    page.list("steps", step_words(session, shared), Some(row), ListSpeech::News);
    page
}
