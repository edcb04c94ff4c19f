//! What stands beside a plan's steps: the body with what is reached, and the marked stretch as a picture.

use ratatui::layout::Rect;

use crate::body::Side;
use crate::catalogue::Form;
use crate::tui::canvas::{self, Canvas};
use crate::tui::theme::Tone;

use super::body_view::BodyView;

/// Columns that hold the steps with their reasons and the body.
pub const WIDE: u16 = 100;
/// Rows of the legend, with one that is free.
const LEGEND: u16 = 5;
/// Rows of what is said of the marked stretch where there is no picture of it.
const MARKED_WORDS: u16 = 4;

/// What stands beside a plan's steps.
#[derive(Debug)]
pub struct Beside<'a> {
    /// What was trained, what the plan reaches, what must be left alone.
    pub body: BodyView<'a>,
    /// The marked stretch with its side.
    pub marked: Option<(&'a Form, Option<Side>)>,
}

impl Beside<'_> {
    /// The body above, the picture at the foot where there is room for both; returns what is free between them.
    pub fn draw(&self, area: Rect, canvas: &mut Canvas<'_>) -> Rect {
        if canvas.theme.ascii {
            let words = self.body.words().into_iter();
            let y = words.fold(0, |y, line| canvas.wrapped(area, y, Tone::Dim, &line));
            let rest = canvas::below(area, y + 1);
            let Some((form, side)) = self.marked else { return rest };
            canvas.picture(canvas::top(rest, MARKED_WORDS), form, side);
            return canvas::below(rest, MARKED_WORDS + 1);
        }
        let picture = match area.height {
            _ if self.marked.is_none() => 0,
            44.. if area.width >= 40 => 15,
            32.. => 10,
            25.. => 8,
            _ => 0,
        };
        if let Some((form, side)) = self.marked {
            canvas.picture(canvas::below(area, area.height - picture), form, side);
        }
        let above = canvas::top(area, area.height.saturating_sub(picture + 1));
        let rows = BodyView::rows(canvas::top(above, above.height.saturating_sub(LEGEND - 1)));
        canvas.body(canvas::top(above, rows), &self.body);
        if rows > 0 {
            canvas.body_legend(canvas::top(canvas::below(above, rows), LEGEND - 1));
        }
        canvas::below(above, rows + LEGEND)
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
            _ => area.width >= columns + 50,
        };
        wide && area.height >= rows
    };
    let Some((columns, _)) = BodyView::SIZES.into_iter().find(|size| fits(*size)) else {
        return (area, Rect { width: 0, ..area });
    };
    let gap = if area.width >= WIDE { 4 } else { 1 };
    canvas::split(area, area.width - columns - gap, gap)
}
