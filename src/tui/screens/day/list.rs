//! The one list of the day: who comes when, who is due and why, and what limits the work.

use chrono::NaiveDate;

use crate::caution::{Conditions, InForce, Restrictions};
use crate::store::RosterEntry;
use crate::tui::canvas::{self, Canvas, Rect};
use crate::tui::keys::{Action, Detour};
use crate::tui::shared::Shared;
use crate::tui::text::{self, cells};
use crate::tui::theme::Tone;
use crate::words::date;

use super::order::{DayPart, Listed};

/// A row of the list.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Row {
    Gap,
    Heading(DayPart),
    /// A client, by the number among those that match.
    Entry(usize),
}

/// The rows of the list, with an empty one before each part where there is room.
fn rows(entries: &[Listed<'_>], height: u16) -> Vec<Row> {
    let roomy = entries.len() + 9 <= usize::from(height);
    let mut rows = Vec::new();
    for (index, listed) in entries.iter().enumerate() {
        if index == 0 || entries[index - 1].part != listed.part {
            if index > 0 && roomy {
                rows.push(Row::Gap);
            }
            rows.push(Row::Heading(listed.part));
        }
        rows.push(Row::Entry(index));
    }
    rows
}

/// Where the parts of a row begin: time, name, why, and what limits the work.
#[derive(Debug, Clone, Copy)]
struct ListColumns {
    time: Option<u16>,
    name: u16,
    why: u16,
    limits: Option<u16>,
}

impl ListColumns {
    const fn of(width: u16) -> Self {
        match width {
            68.. => Self { time: Some(2), name: 9, why: 31, limits: Some(56) },
            52.. => Self { time: None, name: 2, why: 23, limits: Some(38) },
            _ => Self { time: None, name: 2, why: if width > 36 { width - 16 } else { 20 }, limits: None },
        }
    }
}

/// Draws the list, the chosen one in sight, and says how many more there are; returns the row behind it.
pub(super) fn draw_list(
    area: Rect,
    (entries, chosen): (&[Listed<'_>], usize),
    canvas: &mut Canvas<'_>,
    (shared, today): (&Shared, NaiveDate),
) -> u16 {
    let rows = rows(entries, area.height);
    let is_cut = rows.len() > usize::from(area.height) && area.height > 2;
    let shown = area.height - u16::from(is_cut);
    let at = rows.iter().position(|row| *row == Row::Entry(chosen)).unwrap_or(0);
    let first = canvas::first_shown(at, rows.len(), shown);
    let columns = ListColumns::of(area.width);
    for (row, line) in rows.iter().skip(first).zip(0..shown) {
        match *row {
            Row::Gap => {}
            Row::Heading(part) => canvas.row(area, line, Tone::Dim, part.title()),
            Row::Entry(index) => {
                canvas.choice(area, line, index, index == chosen);
                draw_entry((area, line), &entries[index], columns, canvas, (shared, today));
            }
        }
    }
    let below = rows.iter().skip(first + usize::from(shown));
    let below = below.filter(|row| matches!(row, Row::Entry(_))).count();
    if is_cut {
        let words =
            if below > 0 { format!("{below} more below") } else { "the list begins above".to_owned() };
        canvas.at(area, columns.name, shown, Tone::Dim, &words);
    }
    cells(rows.len()).min(area.height)
}

fn draw_entry(
    (area, y): (Rect, u16),
    listed: &Listed<'_>,
    columns: ListColumns,
    canvas: &mut Canvas<'_>,
    (shared, today): (&Shared, NaiveDate),
) {
    let glyphs = canvas.glyphs();
    if let (Some(x), Some(time)) = (columns.time, listed.time) {
        canvas.at(area, x, y, Tone::Text, &date::clock(time));
    }
    let name = text::clean(&listed.entry.name);
    let room = usize::from(columns.why.saturating_sub(columns.name + 1));
    canvas.at(area, columns.name, y, Tone::Strong, &text::fit(&name, room, glyphs.ellipsis));
    let limits = limits_words(listed.entry, shared, today);
    let room = columns.limits.map_or(area.width.saturating_sub(2), |x| x.saturating_sub(1));
    let why = Rect { width: room.min(area.width), ..area };
    canvas.at(why, columns.why, y, Tone::Text, &listed.why(today));
    if limits.is_empty() {
        return;
    }
    match columns.limits {
        Some(x) => {
            let x = canvas.at(area, x, y, Tone::Caution, glyphs.caution);
            canvas.at(area, x + 1, y, Tone::Text, &limits);
        }
        // No room for words; that there is a caution must be seen all the same.
        None => canvas.right(area, y, Tone::Caution, glyphs.caution),
    }
}

/// What limits the work with somebody, by name: as far as the card was read.
fn limits_words(entry: &RosterEntry, shared: &Shared, today: NaiveDate) -> String {
    let Some(client) = shared.clients.get(&entry.id) else {
        return if entry.conditions > 0 { "on the card".to_owned() } else { String::new() };
    };
    let restrictions = Restrictions::of(&client.profile.conditions, client.profile.age(today), today);
    let is_of_age = |caution: &&InForce| {
        Conditions::built_in().get(&caution.id).is_some_and(|condition| condition.ages.is_some())
    };
    // What is their own goes before what goes for everybody of that age.
    let (age, own): (Vec<&InForce>, Vec<&InForce>) = restrictions.in_force().iter().partition(is_of_age);
    let titles: Vec<String> =
        own.into_iter().chain(age).map(|caution| without_brackets(&caution.title)).collect();
    titles.join("; ")
}

/// A condition's name without the trade's word in brackets, which the card has.
fn without_brackets(title: &str) -> String {
    let Some((before, rest)) = title.split_once(" (") else { return title.to_owned() };
    rest.split_once(')').map_or_else(|| title.to_owned(), |(_, after)| format!("{before}{after}"))
}

/// What can be done beside the list, each with its key.
pub(super) fn draw_others(area: Rect, y: u16, canvas: &mut Canvas<'_>) {
    let (walk_in, gap) = if area.width >= 64 { ("walk-in, no card kept", 4) } else { ("walk-in", 1) };
    let mut x = if area.width >= 64 { 2 } else { 0 };
    for (action, key, words) in [
        (Action::WalkIn, "F4", walk_in),
        (Action::NewClient, "Ctrl-N", "new client"),
        (Action::Open(Detour::Sore), "F6", "sore today"),
    ] {
        let wide = cells(text::width(key) + 1 + text::width(words));
        if x + wide > area.width {
            break;
        }
        let (_, room) = canvas::split(area, x, 0);
        canvas.target(Rect { width: wide, ..room }, y, action);
        x = canvas.spans(area, x, y, &[(Tone::Strong, key), (Tone::Text, " "), (Tone::Text, words)]) + gap;
    }
}
