//! What stands beside a plan's steps: the body with what is reached, and the marked stretch as a picture.

use ratatui::layout::Rect;

use crate::body::Side;
use crate::catalogue::Form;
use crate::tui::canvas::{self, Canvas};
use crate::tui::theme::Tone;

use super::body_view::BodyView;

/// Columns that hold the steps with their reasons and the body.
const WIDE: u16 = 100;
/// Rows of the legend, with one that is free.
const LEGEND: u16 = 5;

/// The body with what its tones mean, and in words where only ASCII can be drawn.
pub fn draw_body_beside(body: &BodyView<'_>, area: Rect, canvas: &mut Canvas<'_>) {
    if canvas.theme.ascii {
        body.words().into_iter().fold(0, |y, line| canvas.wrapped(area, y, Tone::Dim, &line));
        return;
    }
    let rows = BodyView::rows(canvas::top(area, area.height.saturating_sub(LEGEND - 1)));
    canvas.body(canvas::top(area, rows), body);
    if rows > 0 {
        canvas.body_legend(canvas::top(canvas::below(area, rows), LEGEND - 1));
    }
}

/// The marked stretch beside all words about it, where there is room; returns the area that is left to the words.
pub fn beside_words(area: Rect, form: &Form, side: Option<Side>, canvas: &mut Canvas<'_>) -> Rect {
    /// Columns that the words keep, and the least and most of the picture.
    const WORDS: u16 = 44;
    const PICTURE: std::ops::RangeInclusive<u16> = 28..=46;
    let columns = area.width.saturating_sub(WORDS + 2).min(*PICTURE.end());
    if canvas.theme.ascii || !PICTURE.contains(&columns) {
        return area;
    }
    let (words, right) = canvas::split(area, area.width - columns - 2, 2);
    canvas.picture(canvas::top(right, columns / 3), form, side);
    words
}

/// The steps, and what stands beside them where there is room: as wide as leaves the steps their words, and as the
/// height can use.
pub fn columns(area: Rect) -> (Rect, Rect) {
    let fits = |(columns, rows): (u16, u16)| {
        let wide = match columns {
            40.. => area.width >= columns + 100,
            28.. => area.width >= WIDE + 4,
            _ => area.width >= columns + 75,
        };
        wide && area.height >= rows
    };
    let Some((columns, _)) = BodyView::SIZES.into_iter().find(|size| fits(*size)) else {
        return (area, Rect { width: 0, ..area });
    };
    let gap = if area.width >= WIDE { 4 } else { 1 };
    canvas::split(area, area.width - columns - gap, gap)
}
