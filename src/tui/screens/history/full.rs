//! Everything that the sessions tell, in full: what to do, what changed, how sure it is, and what handbooks suggest.

use crate::tui::canvas::{self, Canvas, Rect};
use crate::tui::text;
use crate::tui::theme::Tone;
use crate::words;

use super::data::{HistoryData, ToldClaim};
use super::rows::HistoryRows;

/// The widest line.
const WIDEST: u16 = 100;

/// A part with its heading.
pub(super) type FullPart = (&'static str, Vec<String>);

/// All of it, as far as it matches what was typed; a part of which nothing is left says so.
pub(super) fn parts(data: &HistoryData, rows: &HistoryRows) -> Vec<FullPart> {
    let sentence = |told: &ToldClaim| match told.sure {
        Some(sure) => format!("{} {sure}", told.sentence),
        None => told.sentence.clone(),
    };
    let first = data.due.iter().chain(&data.remark).cloned();
    let next = first.chain(data.claims.iter().map(sentence)).collect();
    let more = data.details.iter().map(sentence).collect();
    let parts: [(&str, &str, Vec<String>); 3] = [
        ("What it tells", "nothing in particular", next),
        ("Since the time before", "no difference in what was done both times", data.changes.clone()),
        ("More", "nothing else", more),
    ];
    let matching = |(heading, none, mut items): (&'static str, &str, Vec<String>)| {
        items.retain(|item| text::matches(item, &rows.words));
        if items.is_empty() {
            let of = format!("nothing here of `{}`", rows.words);
            items.push(if rows.words.is_empty() { none.to_owned() } else { of });
        }
        (heading, items)
    };
    parts.into_iter().map(matching).chain([("Held a week", of_the_weeks(rows))]).collect()
}

/// The weeks against the client's own, and what their marks rest on.
pub(super) fn of_the_weeks(rows: &HistoryRows) -> Vec<String> {
    let own = words::dose(&rows.dose).into_iter();
    own.chain([words::guidance(rows.dose.guidance)]).map(|words| text::capitalised(&words)).collect()
}

/// Draws all of it from a row on; a row behind the last shows the last.
pub(super) fn draw(area: Rect, parts: &[FullPart], first: u16, canvas: &mut Canvas<'_>) {
    let column = usize::from(area.width.saturating_sub(2).min(WIDEST));
    let mut lines: Vec<(Tone, String)> = Vec::new();
    for (heading, items) in parts {
        if !lines.is_empty() {
            lines.push((Tone::Text, String::new()));
        }
        lines.push((Tone::Strong, (*heading).to_owned()));
        for item in items {
            let wrapped = text::wrap(&text::clean(item), column);
            let dots = std::iter::once(true).chain(std::iter::repeat(false));
            lines.extend(wrapped.into_iter().zip(dots).map(|(line, is_first)| {
                let dot = if is_first { canvas.glyphs().dot } else { " " };
                (Tone::Text, format!("{dot} {line}"))
            }));
        }
    }
    let hidden = text::cells(lines.len()).saturating_sub(area.height);
    let first = first.min(hidden);
    for (y, (tone, words)) in (0..area.height).zip(lines.iter().skip(usize::from(first))) {
        canvas.row(area, y, *tone, words);
    }
    let below = lines.len().saturating_sub(usize::from(first + area.height));
    if below > 0 {
        let row = canvas::below(area, area.height.saturating_sub(1));
        canvas.clear(row);
        canvas.row(row, 0, Tone::Dim, &format!("{} more below", below + 1));
    }
}
