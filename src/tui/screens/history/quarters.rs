//! The quarterly talk: a year and ten years of a client by calendar quarter, six plots with their tables.

use chrono::NaiveDate;

use crate::insight::quarters::{DegreesByQuarter, Quarters};
use crate::tui::canvas::{self, Canvas, Rect};
use crate::tui::shared::Shared;
use crate::tui::text::{self, cells};
use crate::tui::theme::Tone;
use crate::tui::words::stretch_name;
use crate::words::{self, ClaimWords};

use super::quarter_plots;

/// Columns from which on a plot stands beside the list of plots.
const WIDE: u16 = 70;

/// One plot that can be looked at.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) enum Talk<'a> {
    /// Degrees, and left less right, of one form.
    Degrees(&'a DegreesByQuarter),
    /// Which side was answered higher.
    Answers,
    /// What was trained against what was stretched.
    Work,
    /// Seconds a week.
    Seconds,
    /// Pain, differences, gaps, notes.
    Events,
}

/// What there is to look at.
pub(super) fn talks(quarters: &Quarters) -> Vec<Talk<'_>> {
    let degrees = quarters.degrees.iter().map(Talk::Degrees);
    degrees.chain([Talk::Answers, Talk::Work, Talk::Seconds, Talk::Events]).collect()
}

/// What the plots are called.
pub(super) fn titles(quarters: &Quarters, shared: &Shared) -> Vec<String> {
    talks(quarters).iter().map(|talk| title(talk, shared)).collect()
}

/// The table of one of the plots.
pub(super) fn rows(quarters: &Quarters, chosen: usize, (shared, today): (&Shared, NaiveDate)) -> Vec<String> {
    let talks = talks(quarters);
    let rows = talks.get(chosen).map(|talk| table(talk, quarters, shared, today)).unwrap_or_default();
    if rows.is_empty() { vec!["nothing yet".to_owned()] } else { rows }
}

/// What a plot is called.
fn title(talk: &Talk<'_>, shared: &Shared) -> String {
    match talk {
        Talk::Degrees(degrees) => stretch_name(&degrees.series.stretch, &shared.catalogue),
        Talk::Answers => "who answered higher".to_owned(),
        Talk::Work => "trained and stretched".to_owned(),
        Talk::Seconds => "seconds a week".to_owned(),
        Talk::Events => "what happened".to_owned(),
    }
}

/// A plot as a table in words.
fn table(talk: &Talk<'_>, quarters: &Quarters, shared: &Shared, today: NaiveDate) -> Vec<String> {
    let claims = ClaimWords { catalogue: &shared.catalogue, today };
    match talk {
        Talk::Degrees(degrees) => claims.degrees_by_quarter(degrees),
        Talk::Answers => words::answers_by_quarter(quarters),
        Talk::Work => words::work_by_quarter(quarters),
        Talk::Seconds => words::seconds_by_quarter(quarters),
        Talk::Events => claims.past_events(quarters),
    }
}

/// Draws what there is to look at, and the chosen plot with its table below it or, where it is narrow, the table alone;
/// or the table alone, from its open row on.
pub(super) fn draw(
    area: Rect,
    quarters: &Quarters,
    (chosen, open): (usize, Option<usize>),
    canvas: &mut Canvas<'_>,
    (shared, today): (&Shared, NaiveDate),
) {
    if let Some(row) = open {
        return draw_table(area, quarters, (chosen, row), canvas, (shared, today));
    }
    let talks = talks(quarters);
    let (list, beside) = if area.width < WIDE {
        let rows = cells(talks.len()).min(area.height / 3);
        (canvas::top(area, rows), canvas::below(area, rows + 1))
    } else {
        canvas::split(area, 24, 3)
    };
    let first = canvas::first_shown(chosen, talks.len(), list.height);
    for (index, talk) in talks.iter().enumerate().skip(first).take(usize::from(list.height)) {
        let y = cells(index - first);
        canvas.choice(list, y, index, index == chosen);
        let columns = usize::from(list.width).saturating_sub(2);
        canvas.at(
            list,
            2,
            y,
            Tone::Text,
            &text::fit(&title(talk, shared), columns, canvas.glyphs().ellipsis),
        );
    }
    let Some(talk) = talks.get(chosen) else { return };
    let mut y = 0;
    if area.width >= WIDE {
        y = match talk {
            Talk::Degrees(degrees) => quarter_plots::degrees(beside, degrees, quarters, canvas),
            Talk::Answers => quarter_plots::answers(beside, quarters, canvas),
            Talk::Work => quarter_plots::work(beside, quarters, canvas),
            Talk::Seconds => quarter_plots::seconds(beside, quarters, canvas),
            Talk::Events => 0,
        };
    }
    let rows = table(talk, quarters, shared, today);
    if rows.is_empty() {
        canvas.row(beside, y, Tone::Dim, "nothing yet");
    }
    draw_rows(canvas::below(beside, y), &rows, canvas);
}

/// Draws the table of a plot alone, from one of its rows on.
fn draw_table(
    area: Rect,
    quarters: &Quarters,
    (chosen, row): (usize, usize),
    canvas: &mut Canvas<'_>,
    (shared, today): (&Shared, NaiveDate),
) {
    let talks = talks(quarters);
    let Some(talk) = talks.get(chosen) else { return };
    canvas.row(area, 0, Tone::Strong, &text::capitalised(&title(talk, shared)));
    let rows = table(talk, quarters, shared, today);
    draw_rows(canvas::below(area, 2), rows.get(row..).unwrap_or_default(), canvas);
}

/// Rows of a table, and how many there is no room for.
fn draw_rows(area: Rect, rows: &[String], canvas: &mut Canvas<'_>) {
    let mut y = 0;
    for (index, row) in rows.iter().enumerate() {
        let needed = cells(text::wrap(row, usize::from(area.width)).len());
        let is_last = index + 1 == rows.len();
        if y + needed + u16::from(!is_last) > area.height {
            let words = format!("{} more: Enter shows the table", rows.len() - index);
            return canvas.row(area, y.min(area.height.saturating_sub(1)), Tone::Dim, &words);
        }
        y = canvas.wrapped(area, y, Tone::Text, row);
    }
}
