//! Putting lines of text into an area, clipped and in the theme's tones.

use ratatui::buffer::Buffer;
pub use ratatui::layout::Rect;
use ratatui::widgets::{Clear, Widget};

use crate::body::Side;
use crate::catalogue::Form;
use crate::figure;

use super::keys::Action;
use super::text::{self, cells};
use super::theme::{Glyphs, Theme, Tone};
use super::widgets::body_view::{self, BodyView};
use super::widgets::pictures::Pictures;

/// A place to write, with the looks.
#[derive(Debug)]
pub struct Canvas<'a> {
    /// Where the cells go.
    pub buf: &'a mut Buffer,
    /// The looks.
    pub theme: Theme,
    /// Where a click means something.
    pub targets: Vec<(Rect, Action)>,
    /// Pictures that are ready.
    pub pictures: &'a Pictures,
}

impl Canvas<'_> {
    /// The glyphs of this terminal.
    pub fn glyphs(&self) -> &'static Glyphs {
        self.theme.glyphs()
    }

    /// The part of an area that exists.
    fn inside(&self, area: Rect) -> Rect {
        area.intersection(self.buf.area)
    }

    /// Writes at a column and row of an area; returns the column behind it.
    pub fn at(&mut self, area: Rect, x: u16, y: u16, tone: Tone, words: &str) -> u16 {
        let area = self.inside(area);
        if y >= area.height || x >= area.width {
            return x;
        }
        let room = usize::from(area.width - x);
        let words = text::fit(&text::clean(words), room, self.glyphs().ellipsis);
        self.buf.set_stringn(area.x + x, area.y + y, &words, room, self.theme.style(tone));
        x + cells(text::width(&words))
    }

    /// Writes a row of an area from its left edge.
    pub fn row(&mut self, area: Rect, y: u16, tone: Tone, words: &str) {
        self.at(area, 0, y, tone, words);
    }

    /// Writes a row that ends at the area's right edge.
    pub fn right(&mut self, area: Rect, y: u16, tone: Tone, words: &str) {
        let words = text::clean(words);
        let x = area.width.saturating_sub(cells(text::width(&words)));
        self.at(area, x, y, tone, &words);
    }

    /// Writes pieces of different tones one behind the other; returns the column behind them.
    pub fn spans(&mut self, area: Rect, x: u16, y: u16, spans: &[(Tone, &str)]) -> u16 {
        spans.iter().fold(x, |x, (tone, words)| self.at(area, x, y, *tone, words))
    }

    /// Writes a text over as many rows as it needs, at most those of the area; returns the row behind it.
    pub fn wrapped(&mut self, area: Rect, y: u16, tone: Tone, words: &str) -> u16 {
        let lines = text::wrap(&text::clean(words), usize::from(area.width));
        let mut row = y;
        for line in lines {
            if row >= area.height {
                break;
            }
            self.row(area, row, tone, &line);
            row += 1;
        }
        row
    }

    /// Writes texts with their labels before them, all of it from row `first` on; returns how many rows do not fit.
    pub fn labelled(&mut self, area: Rect, first: u16, lines: &[(Tone, String, String)]) -> u16 {
        /// Columns of the labels.
        const LABELS: u16 = 9;
        let column = Rect { x: area.x + LABELS, width: area.width.saturating_sub(LABELS).min(110), ..area };
        let mut rows: Vec<(Tone, &str, String)> = Vec::new();
        for (tone, label, words) in lines {
            let wrapped = text::wrap(&text::clean(words), usize::from(column.width));
            let labels = std::iter::once(label.as_str()).chain(std::iter::repeat(""));
            rows.extend(labels.zip(wrapped).map(|(label, line)| (*tone, label, line)));
        }
        let hidden = cells(rows.len()).saturating_sub(area.height);
        let shown = rows.iter().skip(usize::from(first.min(hidden)));
        for ((tone, label, line), y) in shown.zip(0..area.height) {
            self.at(area, 0, y, *tone, label);
            self.row(column, y, Tone::Text, line);
        }
        hidden
    }

    /// Writes a text over at most `most` rows, cut with an ellipsis; returns the row behind it.
    pub fn wrapped_most(&mut self, area: Rect, y: u16, most: u16, tone: Tone, words: &str) -> u16 {
        let mut lines = text::wrap(&text::clean(words), usize::from(area.width));
        if lines.len() > usize::from(most) {
            let rest = lines.split_off(usize::from(most.saturating_sub(1))).join(" ");
            lines.push(text::fit(&rest, usize::from(area.width), self.glyphs().ellipsis));
        }
        for (index, line) in lines.iter().enumerate() {
            self.row(area, y.saturating_add(cells(index)), tone, line);
        }
        y.saturating_add(cells(lines.len()))
    }

    /// Says what a click on a row of an area means.
    pub fn target(&mut self, area: Rect, y: u16, action: Action) {
        let area = self.inside(area);
        if y < area.height {
            self.targets.push((Rect { y: area.y + y, height: 1, ..area }, action));
        }
    }

    /// A row that can be chosen, by its number in the list, marked if it is the chosen one.
    pub fn choice(&mut self, area: Rect, y: u16, index: usize, is_chosen: bool) {
        self.target(area, y, Action::Pick(index));
        if is_chosen {
            self.chosen(area, y);
        }
    }

    /// Marks a row as the chosen one, by ground and by a sign before it.
    pub fn chosen(&mut self, area: Rect, y: u16) {
        let inside = self.inside(area);
        if y < inside.height && inside.width > 0 {
            let row = Rect { y: inside.y + y, height: 1, ..inside };
            self.buf.set_style(row, self.theme.chosen());
            self.at(area, 0, y, Tone::Focus, self.glyphs().chosen);
        }
    }

    /// A heading with what belongs to it behind.
    pub fn heading(&mut self, area: Rect, y: u16, words: &str, beside: &str) {
        let x = self.at(area, 0, y, Tone::Strong, words);
        self.at(area, x.saturating_add(2), y, Tone::Dim, beside);
    }

    /// The first row: a name with what belongs to it behind, and something at the right edge that is never cut.
    pub fn title(&mut self, area: Rect, words: &str, beside: &str, right: (Tone, &str)) {
        let taken = cells(text::width(&text::clean(right.1)));
        let room = Rect { width: area.width.saturating_sub(taken + 2), ..area };
        self.heading(room, 0, words, beside);
        self.right(area, 0, right.0, right.1);
    }

    /// Draws a stretch, worked on a side or on both at once, as large as the area allows; where only ASCII can be drawn,
    /// says what the picture shows. Nothing where the area is too small or the picture is not ready, so that the words
    /// beside it must be enough.
    pub fn picture(&mut self, area: Rect, form: &Form, side: Option<Side>) {
        if self.theme.ascii {
            self.wrapped(area, 0, Tone::Text, &figure::in_words(form, side));
            return;
        }
        self.pictures.draw(form, side, area, self.theme, self.buf);
    }

    /// Draws the body, front and back, in an area's upper left corner; nothing where only ASCII can be drawn.
    pub fn body(&mut self, area: Rect, view: &BodyView<'_>) {
        view.draw(area, self.theme, self.pictures, self.buf);
    }

    /// The place of a body of so many columns, and of the words beside it; those have all of it in ASCII.
    pub fn beside_body(&self, area: Rect, columns: u16) -> (Rect, Rect) {
        if self.theme.ascii { split(area, 0, 0) } else { split(area, columns, 4) }
    }

    /// What the tones of the body mean, a row each.
    pub fn body_legend(&mut self, area: Rect) {
        body_view::legend(area, self.theme, self.pictures, self.buf);
    }

    /// Empties an area.
    pub fn clear(&mut self, area: Rect) {
        let area = self.inside(area);
        Clear.render(area, self.buf);
        self.buf.set_style(area, self.theme.base());
    }
}

/// The first row to show so that the chosen one of `count` is seen in `rows`.
pub fn first_shown(chosen: usize, count: usize, rows: u16) -> usize {
    let rows = usize::from(rows);
    if count <= rows { 0 } else { chosen.saturating_sub(rows / 2).min(count - rows) }
}

/// Cuts rows off the top of an area.
pub fn below(area: Rect, rows: u16) -> Rect {
    let rows = rows.min(area.height);
    Rect { y: area.y + rows, height: area.height - rows, ..area }
}

/// The first rows of an area.
pub fn top(area: Rect, rows: u16) -> Rect {
    Rect { height: rows.min(area.height), ..area }
}

/// Splits an area at a column, with a gap between the halves.
pub fn split(area: Rect, left: u16, gap: u16) -> (Rect, Rect) {
    let left = left.min(area.width);
    let offset = left.saturating_add(gap).min(area.width);
    (Rect { width: left, ..area }, Rect { x: area.x + offset, width: area.width - offset, ..area })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_chosen_row_is_always_shown() {
        for count in 0..30 {
            for chosen in 0..count {
                for rows in 1..10 {
                    let first = first_shown(chosen, count, rows);
                    assert!(
                        (first..first + usize::from(rows)).contains(&chosen),
                        "{chosen} of {count} in {rows}"
                    );
                }
            }
        }
    }

    #[test]
    fn areas_are_cut_within_their_bounds() {
        let area = Rect::new(2, 1, 10, 3);
        assert_eq!(below(area, 5), Rect::new(2, 4, 10, 0));
        assert_eq!(split(area, 8, 4), (Rect::new(2, 1, 8, 3), Rect::new(12, 1, 0, 3)));
    }
}
