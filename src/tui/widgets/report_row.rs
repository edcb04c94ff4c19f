//! A step that is over as a row: number, side, stretch, seconds held, answer; the same in the review and the history.

use crate::body::{Level, Seconds};
use crate::client::{Ended, Report};
use crate::tui::canvas::{Canvas, Rect};
use crate::tui::text;
use crate::tui::theme::{Theme, Tone};
use crate::tui::words::side_words;

/// Columns from which on a row has the side in words and every column.
const WIDE: u16 = 60;

/// Where the columns of the rows begin.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct ReportColumns {
    /// The stretch.
    pub name: u16,
    /// The seconds held.
    pub held: u16,
    /// The answer, or how it ended.
    pub answer: u16,
    /// What stands behind it; none where there is no room.
    pub rest: Option<u16>,
}

impl ReportColumns {
    /// The columns of an area.
    pub const fn of(area: Rect) -> Self {
        match area.width {
            ..WIDE => Self {
                name: 6,
                held: area.width.saturating_sub(14),
                answer: area.width.saturating_sub(8),
                rest: None,
            },
            WIDE..100 => Self { name: 14, held: 41, answer: 55, rest: Some(66) },
            _ => Self { name: 14, held: 45, answer: 61, rest: Some(73) },
        }
    }
}

/// Draws number, side, stretch and seconds held, with those that were planned where it was shorter.
pub fn draw_report(
    area: Rect,
    y: u16,
    (number, report, name): (usize, &Report, &str),
    is_chosen: bool,
    canvas: &mut Canvas<'_>,
) {
    let columns = ReportColumns::of(area);
    let glyphs = canvas.glyphs();
    canvas.at(area, 1, y, Tone::Dim, &format!("{number:>2}"));
    let mark = glyphs.side(report.side);
    let side =
        if columns.rest.is_some() { format!("{mark} {}", side_words(report.side)) } else { mark.to_owned() };
    canvas.at(area, 4 + u16::from(columns.rest.is_some()), y, Theme::side(report.side), &side);
    let room = usize::from(columns.held.saturating_sub(columns.name + 1));
    let tone = if is_chosen { Tone::Strong } else { Tone::Text };
    canvas.at(area, columns.name, y, tone, &text::fit(name, room, glyphs.ellipsis));
    if report.held > Seconds::ZERO || report.ended == Ended::Done {
        let x = canvas.at(area, columns.held, y, Tone::Text, &report.held.to_string());
        let planned = report.planned.map(|planned| planned.held).filter(|planned| *planned > report.held);
        if let Some(planned) = planned.filter(|_| columns.rest.is_some()) {
            canvas.at(area, x + 1, y, Tone::Dim, &format!("of {planned}"));
        }
    }
    draw_answer(area, y, report, canvas);
}

/// Draws the answer with its bar, quiet where it is the one that was aimed at; or how the step ended.
fn draw_answer(area: Rect, y: u16, report: &Report, canvas: &mut Canvas<'_>) {
    let columns = ReportColumns::of(area);
    let glyphs = canvas.glyphs();
    let over = match report.ended {
        Ended::Done => None,
        Ended::Pain => Some((Tone::HandsOff, ended_words(report.ended))),
        _ => Some((Tone::Text, ended_words(report.ended))),
    };
    if let Some((tone, words)) = over {
        let words = if columns.rest.is_some() { words } else { report.ended.id() };
        canvas.at(area, columns.answer, y, tone, words);
        return;
    }
    let Some(level) = report.level else {
        let words = if columns.rest.is_some() { "not asked" } else { "-" };
        canvas.at(area, columns.answer, y, Tone::Dim, words);
        return;
    };
    let tone = answer_tones(report, level);
    let x = canvas.at(area, columns.answer, y, tone[0], &level.to_string());
    // In ASCII the bars are numbers, too.
    if !canvas.theme.ascii {
        canvas.at(area, x + 1, y, tone[1], glyphs.levels[usize::from(level.get()) - 1]);
    }
}

/// The tones of an answer's digit and bar: only one that is not as it was aimed at is read first.
fn answer_tones(report: &Report, level: Level) -> [Tone; 2] {
    let aim = report.planned.and_then(|planned| planned.aim).unwrap_or(Level::AIM);
    if level == aim { [Tone::Text, Tone::Dim] } else { [Tone::Strong, Tone::Strong] }
}

/// How a step ended, in words.
pub const fn ended_words(ended: Ended) -> &'static str {
    match ended {
        Ended::Done => "done",
        Ended::Skipped => "skipped",
        Ended::Pain => "stopped for pain",
        Ended::Withdrawn => "consent taken back",
        Ended::CutOff => "cut off",
    }
}

/// An answer in words.
pub fn answer_words(report: &Report) -> String {
    report.level.map_or("not asked".to_owned(), |level| format!("answer {level}"))
}
