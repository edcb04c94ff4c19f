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

/// How many things there are to go through.
pub(super) fn count(parts: &[FullPart]) -> usize {
    parts.iter().map(|(_, items)| items.len()).sum()
}

/// Draws all of it from one thing on, or from where the rest fills the area.
pub(super) fn draw(area: Rect, parts: &[FullPart], first: usize, canvas: &mut Canvas<'_>) {
    let column = usize::from(area.width.saturating_sub(2).min(WIDEST));
    let mut lines: Vec<(Tone, String)> = Vec::new();
    // Where each thing begins; the first of a part with its heading.
    let mut begins: Vec<usize> = Vec::new();
    for (heading, items) in parts {
        let above = lines.len();
        if above > 0 {
            lines.push((Tone::Text, String::new()));
        }
        lines.push((Tone::Strong, (*heading).to_owned()));
        for (index, item) in items.iter().enumerate() {
            begins.push(if index == 0 { above } else { lines.len() });
            let wrapped = text::wrap(&text::clean(item), column);
            let dots = std::iter::once(canvas.glyphs().dot).chain(std::iter::repeat(" "));
            lines.extend(wrapped.iter().zip(dots).map(|(line, dot)| (Tone::Text, format!("{dot} {line}"))));
        }
    }
    let rows = usize::from(area.height);
    let first = begins.get(first).copied().unwrap_or(0).min(lines.len().saturating_sub(rows));
    for (y, (tone, words)) in (0..area.height).zip(&lines[first..]) {
        canvas.row(area, y, *tone, words);
    }
    let below = lines.len().saturating_sub(first + rows);
    if below > 0 {
        let row = canvas::below(area, area.height.saturating_sub(1));
        canvas.clear(row);
        canvas.row(row, 0, Tone::Dim, &format!("{} more below", text::count(below + 1, "row")));
    }
}
