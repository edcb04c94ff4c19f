//! Months under weeks, and years under quarters.

use chrono::NaiveDate;

use crate::insight::quarters::Quarter;
use crate::tui::canvas::{Canvas, Rect};
use crate::tui::theme::Tone;
use crate::words::date;

/// Writes the months over or under weeks that are told by their last days, oldest first, so many columns each.
pub(super) fn months(area: Rect, y: u16, (ends, each): (&[NaiveDate], u16), canvas: &mut Canvas<'_>) {
    let names = ends.iter().map(|end| date::short_month(*end));
    starts(area, y, names.collect(), each, canvas);
}

/// Writes the years under quarters, so many columns each.
pub(super) fn years(area: Rect, y: u16, (quarters, each): (&[Quarter], u16), canvas: &mut Canvas<'_>) {
    let names = quarters.iter().map(|quarter| quarter.year.to_string());
    starts(area, y, names.collect(), each, canvas);
}

/// Writes each name where it begins, as far as there is room for it.
fn starts(area: Rect, y: u16, names: Vec<String>, each: u16, canvas: &mut Canvas<'_>) {
    let mut starts: Vec<(u16, String)> = Vec::new();
    for (x, name) in (0..).step_by(usize::from(each)).zip(names) {
        if starts.last().is_none_or(|(_, last)| *last != name) {
            starts.push((x, name));
        }
    }
    // Of the first one there may be too little for its name.
    if let [(first, name), (second, _), ..] = &starts[..]
        && usize::from(second - first) <= name.len()
    {
        starts.remove(0);
    }
    let mut free = 0;
    for (x, name) in starts {
        if x >= free && usize::from(x) + name.len() <= usize::from(area.width) {
            free = canvas.at(area, x, y, Tone::Dim, &name) + 1;
        }
    }
}
