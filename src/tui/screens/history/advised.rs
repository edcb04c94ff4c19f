//! What to do next time, what changed since last time, and which sides differ.

use chrono::NaiveDate;
use ratatui::layout::Rect;

use crate::client::Client;
use crate::insight::{self, Claim, Learned};
use crate::tui::canvas::{self, Canvas};
use crate::tui::shared::Shared;
use crate::tui::text;
use crate::tui::theme::Tone;
use crate::words::ClaimWords;

/// A heading or a line under it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Line {
    /// What follows.
    Heading(&'static str),
    /// One thing.
    Item(String),
}

/// Everything that there is to say, filtered by words.
pub fn advised(client: &Client, shared: &Shared, today: NaiveDate, words: &str) -> Vec<Line> {
    let due = client
        .profile
        .screening_record(today)
        .screen_due(today)
        .map(|due| format!("First: {}.", due.reason()));
    let remark = client.sessions.last().filter(|session| !session.note.is_empty());
    let remark =
        remark.map(|session| format!("Remark of {}: {}", session.at.format("%-d %B %Y"), session.note));
    let learned = Learned::of(client, &shared.catalogue, today);
    let claims = ClaimWords { catalogue: &shared.catalogue, today };
    let sentence = |claim: &Claim| claims.sentence(claim);
    let advice = learned.claims().iter().map(sentence);
    let advice = due.into_iter().chain(remark).chain(advice);
    let changes = insight::since_last(client).into_iter().map(|since| claims.since_last(&since));
    // What was said for some sessions already, and what is too little to be said yet.
    let more = learned.details().iter().map(sentence);
    let mut lines = Vec::new();
    for (heading, none, items) in [
        ("Next time", "nothing in particular", advice.collect::<Vec<_>>()),
        ("Since the time before", "no difference in what was done both times", changes.collect::<Vec<_>>()),
        ("More", "nothing else", more.collect::<Vec<_>>()),
    ] {
        lines.push(Line::Heading(heading));
        let nothing = if words.is_empty() { none.to_owned() } else { format!("nothing here of `{words}`") };
        let mut items: Vec<String> = items.into_iter().filter(|item| text::matches(item, words)).collect();
        if items.is_empty() {
            items.push(nothing);
        }
        lines.extend(items.into_iter().map(Line::Item));
    }
    lines
}

/// Where the items stand.
fn column(area: Rect) -> Rect {
    Rect { x: area.x + 2, width: area.width.saturating_sub(2).min(96), ..area }
}

/// How many rows they take.
pub fn rows(area: Rect, lines: &[Line]) -> u16 {
    let rows = lines.iter().map(|line| match line {
        // With the empty row before it.
        Line::Heading(_) => 2,
        Line::Item(words) => text::wrap(words, usize::from(column(area).width)).len(),
    });
    text::cells(rows.sum::<usize>().saturating_sub(1))
}

/// Draws them from the chosen one on.
pub fn draw(area: Rect, lines: &[Line], chosen: usize, canvas: &mut Canvas<'_>) {
    let column = column(area);
    let mut y = 0;
    for line in lines.iter().skip(chosen) {
        match line {
            Line::Heading(words) => {
                y += u16::from(y > 0);
                canvas.row(area, y, Tone::Strong, words);
                y += 1;
            }
            Line::Item(words) => {
                let dot = canvas.glyphs().dot;
                canvas.row(area, y, Tone::Dim, dot);
                y = canvas.wrapped(canvas::top(column, area.height), y, Tone::Text, words);
            }
        }
        if y >= area.height {
            return;
        }
    }
}
