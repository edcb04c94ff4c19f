//! What is known of the chosen client, and of the trainer's own day.

use chrono::NaiveDate;
use ratatui::layout::Rect;
use ratatui::widgets::Widget;

use crate::caution::Restrictions;
use crate::client::{Client, Session};
use crate::store::RosterEntry;
use crate::strain::{self, words as load_words};
use crate::tui::canvas::{self, Canvas};
use crate::tui::shared::Shared;
use crate::tui::text;
use crate::tui::theme::Tone;
use crate::tui::widgets::body_view::BodyView;
use crate::tui::widgets::reached::draw_reached;
use crate::tui::widgets::ribbon::Ribbon;
use crate::tui::words::{ago, card_sentence, caution_words};
use crate::words::told;

/// Rows of what is known of the chosen client where it stands below the list.
pub(super) const PREVIEW: u16 = 5;

/// What today's blocks asked of the trainer's own body: how many there were, the minutes of hands against the usual
/// day's as ten cells, and a word where there is cause for one.
pub(super) fn draw_own_day(area: Rect, canvas: &mut Canvas<'_>, shared: &Shared, today: NaiveDate) {
    /// Minutes of hands that fill the cells where the usual day is not known yet (practice).
    const FULL: u32 = 60;
    const CELLS: u32 = 10;
    let days = strain::work_days(shared.work());
    let Some(day) = days.get(&today).filter(|_| area.width >= 60) else { return };
    let usual = strain::usual_day(&days, today);
    let minutes = (day.meters.hands_on.get() + 30) / 60;
    let full = usual.map_or(FULL, |usual| usual.hands_on.get().div_ceil(60)).max(1);
    let filled = usize::try_from((minutes * CELLS).div_ceil(full).min(CELLS)).unwrap_or(0);
    let levels = canvas.glyphs().levels;
    let bar = format!("{}{}", levels[3].repeat(filled), levels[0].repeat(10 - filled));
    let against = if usual.is_some() { " of your usual day" } else { "" };
    let long = format!("you today: {} done, hands {minutes} min{against} {bar}", day.blocks);
    let words =
        if area.width >= 100 { long } else { format!("you: {} done, hands {minutes} min {bar}", day.blocks) };
    canvas.right(area, 0, Tone::Text, &words);
    if area.width >= 100 {
        canvas.right(area, 1, Tone::Dim, &load_words::day_sentence(&day.meters, usual.as_ref()));
    }
    if let Some(hint) = load_words::day_hint(&day.meters, usual.as_ref()) {
        let room = if area.width >= 100 { Rect { width: area.width / 2, ..area } } else { area };
        canvas.row(room, 1, Tone::Caution, &format!("{} {hint}", canvas.glyphs().caution));
    }
}

/// The same as lines.
pub(super) fn own_day_lines(shared: &Shared, today: NaiveDate) -> Vec<String> {
    let days = strain::work_days(shared.work());
    let Some(day) = days.get(&today) else { return Vec::new() };
    let usual = strain::usual_day(&days, today);
    let minutes = load_words::day_sentence(&day.meters, usual.as_ref());
    let hint = load_words::day_hint(&day.meters, usual.as_ref());
    [Some(format!("You today: {minutes}")), hint].into_iter().flatten().collect()
}

/// What the last session was after, and its steps as a ribbon of so many rows.
fn draw_last_block(area: Rect, session: &Session, rows: u16, canvas: &mut Canvas<'_>, shared: &Shared) {
    let trained: Vec<String> = session.trained.keys().map(|muscle| muscle.plain_name().to_owned()).collect();
    let words = format!("{} min after {}", session.minutes.get(), text::list(&trained));
    canvas.heading(area, 0, "Last time", &words);
    let ribbon = Ribbon::of_session(session, &shared.catalogue, canvas.theme);
    (&ribbon).render(canvas::top(canvas::below(area, 1), rows), canvas.buf);
}

/// The last session as a ribbon, what is in force and what is advised; returns the row behind them.
pub(super) fn draw_preview(
    area: Rect,
    entry: &RosterEntry,
    canvas: &mut Canvas<'_>,
    shared: &Shared,
    today: NaiveDate,
) -> u16 {
    let Some(client) = shared.clients.get(&entry.id) else { return 0 };
    let mut y = 0;
    let older = older_cut_off(client, today);
    let due = client.profile.screening_record(today).screen_due(today).is_some();
    if let Some(session) = client.sessions.last() {
        draw_last_block(area, session, 4, canvas, shared);
        let note = if session.note.is_empty() { &client.profile.note } else { &session.note };
        y = canvas.wrapped(area, 6, Tone::Text, note);
    } else {
        canvas.row(area, 0, Tone::Dim, "no session yet");
        y = canvas.wrapped(area, y + 1, Tone::Text, &client.profile.note);
    }
    if let Some(words) = older {
        y = canvas.wrapped(area, y, Tone::Caution, &format!("{} {words}", canvas.glyphs().caution));
    }
    if due {
        let words = format!("{} the questions before hands-on work are due", canvas.glyphs().caution);
        y = canvas.wrapped(area, y, Tone::Caution, &words);
    }
    if area.height < y + 4 {
        return y;
    }
    let restrictions = Restrictions::of(&client.profile.conditions, client.profile.age(today), today);
    let in_force = restrictions.in_force();
    if !in_force.is_empty() {
        y += 1;
    }
    for caution in in_force {
        let line = format!("{} {}: {}", canvas.glyphs().caution, caution.title, caution_words(caution));
        let end = canvas.wrapped(area, y, Tone::Text, &line);
        canvas.at(area, 0, y, Tone::Caution, &format!("{} {}:", canvas.glyphs().caution, caution.title));
        y = end;
    }
    let advice = told(client, &shared.catalogue, today);
    if !advice.is_empty() {
        y += 1;
    }
    for line in advice.into_iter().take(if area.height >= 30 { 6 } else { 3 }) {
        y = canvas.wrapped(area, y, Tone::Text, &line);
    }
    y
}

/// The same in five rows: the last block, what limits the work in the words of the card, and what the sessions tell.
pub(super) fn draw_short(
    area: Rect,
    entry: &RosterEntry,
    canvas: &mut Canvas<'_>,
    shared: &Shared,
    today: NaiveDate,
) {
    let mark = canvas.glyphs().caution;
    let Some(client) = shared.clients.get(&entry.id) else { return };
    let mut y = 1;
    if let Some(session) = client.sessions.last() {
        draw_last_block(area, session, 1, canvas, shared);
        y = 2;
    } else {
        canvas.row(area, 0, Tone::Dim, "no session yet");
    }
    let mut cautions: Vec<String> = older_cut_off(client, today).into_iter().collect();
    if client.profile.screening_record(today).screen_due(today).is_some() {
        cautions.push("the questions before hands-on work are due".to_owned());
    }
    let restrictions = Restrictions::of(&client.profile.conditions, client.profile.age(today), today);
    cautions.extend(restrictions.in_force().iter().map(card_sentence));
    for words in cautions {
        let room = area.height.saturating_sub(y);
        if room > 0 {
            let end = canvas.wrapped_most(area, y, room, Tone::Text, &format!("{mark} {words}"));
            canvas.at(area, 0, y, Tone::Caution, mark);
            y = end;
        }
    }
    let note = client.sessions.last().map_or("", |session| session.note.as_str());
    let note = if note.is_empty() { &client.profile.note } else { note };
    let told = told(client, &shared.catalogue, today);
    for words in told.iter().map(String::as_str).chain([note]).filter(|words| !words.is_empty()) {
        let room = area.height.saturating_sub(y);
        if room > 0 {
            y = canvas.wrapped_most(area, y, room.min(2), Tone::Text, words);
        }
    }
}

/// That blocks before the last one were cut off: the plan asks what to do about each.
fn older_cut_off(client: &Client, today: NaiveDate) -> Option<String> {
    let last = client.sessions.last()?;
    let older = client.cut_off().filter(|session| session.at < last.at);
    let days: Vec<String> = older.map(|session| ago(session.at.date_naive(), today)).collect();
    let blocks = if days.len() == 1 { "an older block was" } else { "older blocks were" };
    (!days.is_empty()).then(|| format!("{blocks} cut off, {}: Enter asks what to do", text::list(&days)))
}

/// What the last session reached, where there is room for it; whether there was.
pub(super) fn draw_last_reached(
    room: Rect,
    entry: &RosterEntry,
    canvas: &mut Canvas<'_>,
    shared: &Shared,
) -> bool {
    let last = shared.clients.get(&entry.id).and_then(|client| client.sessions.last());
    let size =
        BodyView::SIZES[1..].iter().find(|(columns, rows)| room.width > *columns && room.height > *rows);
    let (Some(session), Some(&(columns, rows))) = (last, size) else { return false };
    draw_reached(room, "Reached last time", session, (columns, rows), canvas, shared);
    true
}

/// The same as lines.
pub(super) fn preview_lines(entry: &RosterEntry, shared: &Shared, today: NaiveDate) -> Vec<String> {
    let Some(client) = shared.clients.get(&entry.id) else { return Vec::new() };
    let mut lines = Vec::new();
    if let Some(session) = client.sessions.last() {
        let trained: Vec<String> =
            session.trained.keys().map(|muscle| muscle.plain_name().to_owned()).collect();
        let steps = text::count(session.reports.len(), "step");
        let minutes = session.minutes.get();
        lines.push(format!("Last time: {minutes} min after {}, {steps}", text::list(&trained)));
    }
    lines.extend(older_cut_off(client, today).map(|words| format!("Caution: {words}")));
    if client.profile.screening_record(today).screen_due(today).is_some() {
        lines.push("The questions before hands-on work are due".to_owned());
    }
    let restrictions = Restrictions::of(&client.profile.conditions, client.profile.age(today), today);
    let in_force = restrictions.in_force();
    lines.extend(in_force.iter().map(|caution| format!("In force: {}: {}", caution.title, caution.limited)));
    let advice = told(client, &shared.catalogue, today);
    lines.extend(advice.into_iter().map(|line| format!("Next time: {line}")));
    lines
}
