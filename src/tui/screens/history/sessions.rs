//! The sessions as ribbons on one scale, and one of them step by step.

use chrono::NaiveDate;

use crate::catalogue::Helper;
use crate::client::{ConsentLimit, Ended, Report, Session};
use crate::tui::canvas::{self, Canvas, Rect};
use crate::tui::page::{ListSpeech, Page};
use crate::tui::shared::Shared;
use crate::tui::text::{self, cells};
use crate::tui::theme::Tone;
use crate::tui::widgets::body_view::BodyView;
use crate::tui::widgets::reached::draw_reached;
use crate::tui::widgets::report_row::{ReportColumns, answer_words, draw_report, ended_words};
use crate::tui::widgets::ribbon::Ribbon;
use crate::tui::words::{ago, side_words, stretch_name};
use crate::words::date;

/// Days for which a day of the year can be no other.
const NEAR: i64 = 300;
/// Columns that the name of a stretch needs.
const NAMED: u16 = 36;
/// Columns and width of a ribbon.
type RibbonPlace = (u16, u16);
/// Rows below the list that show the chosen session.
const DETAIL: u16 = 7;

/// Seconds that a scale has to show.
pub(super) fn longest<'a>(sessions: impl Iterator<Item = &'a Session>) -> u32 {
    let of = |session: &Session| {
        let held: u32 = session.reports.values().map(|report| report.held.get()).sum();
        session.minutes.seconds().get().max(held)
    };
    sessions.map(of).max().unwrap_or(1).max(1)
}

/// A session in a row: day, minutes, pain, a thin ribbon on a scale, and the answers where there is room behind it.
pub(super) fn draw_ribbon(
    row: Rect,
    (session, longest): (&Session, u32),
    (names, width): RibbonPlace,
    canvas: &mut Canvas<'_>,
    (shared, today): (&Shared, NaiveDate),
) {
    let on = session.at.date_naive();
    let is_near = (0..NEAR).contains(&(today - on).num_days());
    let day = if is_near { date::day_of_year(on) } else { date::short_day(on) };
    let x = canvas.at(row, 2, 0, Tone::Text, &format!("{day:>6}"));
    let has_pain = session.reports.values().any(|report| report.ended == Ended::Pain);
    if names >= 24 {
        let minutes = if is_near { format!("{} min", session.minutes.get()) } else { String::new() };
        canvas.at(row, x + 2, 0, Tone::Dim, &minutes);
    }
    if has_pain {
        canvas.at(row, if names >= 24 { 18 } else { x + 2 }, 0, Tone::HandsOff, "pain");
    }
    let (_, field) = canvas::split(row, names, 0);
    let ribbon = Ribbon::of_session(session, &shared.catalogue, canvas.theme);
    let length = longest.max(ribbon.length);
    Ribbon { length, ..ribbon }.draw(Rect { width: field.width.min(width), ..field }, canvas.buf);
    let (_, behind) = canvas::split(row, names + width, 2);
    if behind.width >= 15 {
        let answers = answers(session);
        let x = canvas.at(behind, 0, 0, Tone::Dim, &answers);
        if let Some(hurt) = session.reports.values().find(|report| report.ended == Ended::Pain) {
            let name = text::uncapitalised(&stretch_name(&hurt.stretch, &shared.catalogue));
            if behind.width >= x + NAMED {
                canvas.at(behind, x + 2, 0, Tone::HandsOff, &format!("pain, {name}"));
            }
        }
    }
}

/// The lowest and the highest answer.
fn answers(session: &Session) -> String {
    let levels = || session.reports.values().filter_map(|report| report.level);
    match (levels().min(), levels().max()) {
        (Some(low), Some(high)) if low == high => format!("answers {low}"),
        (Some(low), Some(high)) => format!("answers {low} to {high}"),
        _ => "no answers".to_owned(),
    }
}

/// The sessions, the newest first, the chosen one below in short.
pub(super) fn draw_list(
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
    let detail = if area.height >= 18 { DETAIL } else { 0 };
    let list = canvas::top(area, area.height.saturating_sub(detail + u16::from(detail > 0)));
    let fitting = list.height.div_ceil(2);
    let first = canvas::first_shown(chosen, sessions.len(), fitting);
    let shown = sessions.iter().enumerate().skip(first).take(usize::from(fitting));
    let longest = longest(shown.clone().map(|(_, session)| *session));
    let names = if area.width < 70 { 16 } else { 24 };
    let answers = if area.width >= 100 { 36 } else { 0 };
    let width = area.width.saturating_sub(names + answers);
    for (index, session) in shown {
        let row = Rect { y: list.y + cells(index - first) * 2, height: 1, ..list };
        canvas.choice(row, 0, index, index == chosen);
        draw_ribbon(row, (session, longest), (names, width), canvas, (shared, today));
    }
    let Some(session) = sessions.get(chosen).filter(|_| detail > 0) else { return };
    let below = canvas::below(area, list.height + 1);
    canvas.heading(
        below,
        0,
        &ago(session.at.date_naive(), today),
        &format!("{} of {}", chosen + 1, sessions.len()),
    );
    canvas.row(below, 1, Tone::Dim, &agreed_after(session));
    Ribbon::of_session(session, &shared.catalogue, canvas.theme)
        .draw(canvas::top(canvas::below(below, 2), 4), canvas.buf);
    canvas.row(below, 6, Tone::Text, &session.note);
}

/// What was agreed, with what the client took out of it.
fn agreed(session: &Session) -> String {
    let narrowed: Vec<&str> = session.limits().map(ConsentLimit::id).collect();
    let less = if narrowed.is_empty() { String::new() } else { format!(" ({})", narrowed.join(", ")) };
    format!("{}{less}", session.consent)
}

fn trained(session: &Session) -> String {
    let trained: Vec<String> = session.trained.keys().map(|muscle| muscle.plain_name().to_owned()).collect();
    text::list(&trained)
}

/// The minutes, what was trained, and what was agreed.
fn agreed_after(session: &Session) -> String {
    let after =
        if session.trained.is_empty() { String::new() } else { format!(" after {}", trained(session)) };
    format!("{} minutes, {}{after}", session.minutes.get(), agreed(session))
}

/// One session: what was agreed and said, and every step with what came out of it.
pub(super) fn draw_one(area: Rect, session: &Session, row: usize, canvas: &mut Canvas<'_>, shared: &Shared) {
    let is_low = area.height < 14;
    let above = if is_low { 1 } else { 3 };
    canvas.row(area, 0, Tone::Strong, &date::moment(session.at));
    if !is_low {
        canvas.wrapped_most(area, 1, 2, Tone::Text, &agreed_after(session));
    }
    let band = canvas::top(canvas::below(area, above), if is_low { 0 } else { 4 });
    if !is_low {
        Ribbon::of_session(session, &shared.catalogue, canvas.theme).draw(band, canvas.buf);
    }
    let list = canvas::below(area, if is_low { 1 } else { 8 });
    let note = u16::from(!session.note.is_empty()) * if is_low { 1 } else { 2 };
    let steps = canvas::top(list, list.height.saturating_sub(note));
    if session.reports.is_empty() {
        canvas.row(steps, 0, Tone::Dim, "no step was done");
    }
    let first = canvas::first_shown(row, session.reports.len(), steps.height);
    for (index, report) in session.reports.values().enumerate().skip(first).take(usize::from(steps.height)) {
        let y = cells(index - first);
        canvas.choice(steps, y, index, index == row);
        let name = stretch_name(&report.stretch, &shared.catalogue);
        draw_report(steps, y, (index + 1, report, &name), index == row, canvas);
        draw_more(steps, y, report, canvas, shared);
    }
    let below = canvas::below(list, cells(session.reports.len()).min(steps.height) + u16::from(!is_low));
    if !session.note.is_empty() {
        let words = [(Tone::Dim, "Remark  "), (Tone::Text, session.note.as_str())];
        canvas.spans(below, 0, 0, &words);
    }
    let room = canvas::below(below, 2);
    let mut sizes = BodyView::SIZES[1..].iter();
    if let Some(size) = sizes.find(|(columns, rows)| room.width > *columns + 30 && room.height > *rows) {
        draw_reached(room, "Reached", session, *size, canvas, shared);
    }
}

/// By whom it was done, the degrees and the remark.
fn draw_more(area: Rect, y: u16, report: &Report, canvas: &mut Canvas<'_>, shared: &Shared) {
    let columns = ReportColumns::of(area);
    let Some(rest) = columns.rest else { return };
    let form = shared.catalogue.form(&report.stretch, &report.form).map(|(_, form)| form);
    let is_shorter = report.planned.is_some_and(|planned| planned.held > report.held);
    if let Some(form) = form.filter(|_| !is_shorter && report.held.get() > 0) {
        let by = if form.helper == Helper::Assisted { "hands" } else { "self" };
        canvas.at(area, columns.held + 6, y, Tone::Dim, by);
    }
    if report.ended != Ended::Done {
        return;
    }
    let degrees = report.angle().map(|angle| format!("{} degrees", angle.get()));
    let cycles = (report.cycles > 0)
        .then(|| if report.cycles == 1 { "1 push".to_owned() } else { format!("{} pushes", report.cycles) });
    let note = (!report.note.is_empty()).then(|| report.note.clone());
    let all: Vec<String> = degrees.into_iter().chain(cycles).chain(note).collect();
    canvas.at(area, rest, y, Tone::Dim, &all.join(", "));
}

/// A session in a line.
pub(super) fn row_words(session: &Session) -> String {
    let steps = text::count(session.reports.len(), "step");
    let minutes = session.minutes.get();
    format!("{}: {minutes} min, {}, {steps}", date::day(session.at.date_naive()), agreed(session))
}

/// What is known of a session beside its steps.
pub(super) fn about(session: &Session) -> Vec<String> {
    let after = (!session.trained.is_empty()).then(|| format!("After {}", trained(session)));
    let note = (!session.note.is_empty()).then(|| format!("Remark: {}", session.note));
    after.into_iter().chain(note).collect()
}

/// The steps of a session, a line each.
pub(super) fn step_words(session: &Session, shared: &Shared) -> Vec<String> {
    let words = |report: &Report| {
        let angle = report.angle().map(|angle| format!(", {} degrees", angle.get())).unwrap_or_default();
        let note = if report.note.is_empty() { String::new() } else { format!("; {}", report.note) };
        format!(
            "{}, {}, {} seconds, {}{angle}, {}{note}",
            stretch_name(&report.stretch, &shared.catalogue),
            side_words(report.side),
            report.held.get(),
            answer_words(report),
            ended_words(report.ended)
        )
    };
    session.reports.values().map(words).collect()
}

/// One session as lines.
pub(super) fn lines_of(session: &Session, row: usize, shared: &Shared) -> Page {
    let minutes = session.minutes.get();
    let title = format!("Session of {}: {minutes} min, {}", date::moment(session.at), agreed(session));
    let mut page = Page::new("the session", title);
    page.about(format!("session of {}", session.at));
    page.extend(about(session));
    page.list("steps", step_words(session, shared), Some(row), ListSpeech::News);
    page
}
