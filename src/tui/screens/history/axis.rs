//! Months under weeks, and years under quarters.

use chrono::{Datelike as _, NaiveDate};

use crate::insight::quarters::Quarter;
use crate::tui::canvas::{Canvas, Rect};
use crate::tui::theme::Tone;
use crate::words::date;

/// Writes the months over or under weeks that are told by their last days, oldest first, so many columns each.
pub(super) fn months(area: Rect, y: u16, (ends, each): (&[NaiveDate], u16), canvas: &mut Canvas<'_>) {
    let mut starts: Vec<(u16, NaiveDate)> = Vec::new();
    for (x, end) in (0..).step_by(usize::from(each)).zip(ends) {
        if starts.last().is_none_or(|(_, last)| last.month() != end.month()) {
            starts.push((x, *end));
        }
    }
    // Of the first month there may be too few weeks for its name.
    if let [(first, _), (second, _), ..] = starts[..]
        && second - first < 4
    {
        starts.remove(0);
    }
    let mut free = 0;
    for (x, end) in starts {
        if x >= free && x + 3 <= area.width {
            free = canvas.at(area, x, y, Tone::Dim, &date::short_month(end)) + 1;
        }
    }
}

/// Writes the years under quarters, so many columns each.
pub(super) fn years(area: Rect, y: u16, (quarters, each): (&[Quarter], u16), canvas: &mut Canvas<'_>) {
    let mut free = 0;
    for (x, quarter) in (0..).step_by(usize::from(each)).zip(quarters) {
        if x >= free && (quarter.number == 1 || x == 0) {
            free = canvas.at(area, x, y, Tone::Dim, &quarter.year.to_string()) + 1;
        }
    }
}
