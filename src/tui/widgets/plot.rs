//! Points over time, left and right told apart by shape.

use chrono::NaiveDate;
use ratatui::buffer::Buffer;
use ratatui::layout::Rect;
use ratatui::widgets::Widget;

use crate::body::Side;
use crate::tui::canvas::{self, Canvas};
use crate::tui::text::{self, cells};
use crate::tui::theme::{Theme, Tone};

use super::pictures::Pictures;

/// One point.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Point {
    /// When.
    pub on: NaiveDate,
    /// The side, or both at once.
    pub side: Option<Side>,
    /// How much.
    pub value: i32,
}

/// Points over time.
#[derive(Debug)]
pub struct Plot<'a> {
    /// The points, oldest first.
    pub points: &'a [Point],
    /// The least value that is drawn.
    pub low: i32,
    /// The greatest value that is drawn.
    pub high: i32,
    /// Values that have a line of their own, with their label.
    pub lines: &'a [(i32, String)],
    /// The looks.
    pub theme: Theme,
}

impl Plot<'_> {
    fn row(&self, value: i32, rows: u16) -> u16 {
        let high = self.high.max(self.low);
        let span = u64::from(high.abs_diff(self.low)).max(1);
        let above = u64::from(high.abs_diff(value.clamp(self.low, high)));
        let row = (above * u64::from(rows.saturating_sub(1)) + span / 2) / span;
        u16::try_from(row).unwrap_or(0)
    }
}

impl Widget for &Plot<'_> {
    fn render(self, area: Rect, buf: &mut Buffer) {
        let area = area.intersection(buf.area);
        let label = self.lines.iter().map(|(_, label)| text::width(label)).max().unwrap_or(0);
        let left = cells(label) + 1;
        let (Some(first), Some(last)) = (self.points.first(), self.points.last()) else { return };
        if area.width <= left + 4 || area.height < 3 {
            return;
        }
        let pictures = Pictures::default();
        let mut canvas = Canvas { buf, theme: self.theme, targets: Vec::new(), pictures: &pictures };
        let glyphs = canvas.glyphs();
        let field = Rect { x: area.x + left, width: area.width - left, height: area.height - 1, ..area };
        for (value, words) in self.lines {
            let y = self.row(*value, field.height);
            canvas.at(area, left - 1 - cells(text::width(words)), y, Tone::Dim, words);
            canvas.rule(field, y);
        }
        let days = last.on.signed_duration_since(first.on).num_days().max(1);
        for point in self.points {
            let day = point.on.signed_duration_since(first.on).num_days();
            let x = day * i64::from(field.width - 1) / days;
            let (x, y) = (u16::try_from(x).unwrap_or(0), self.row(point.value, field.height));
            let cell = (field.x + x, field.y + y);
            let taken = canvas.buf[cell].symbol();
            let twin = glyphs.points.contains(&taken) && taken != glyphs.point(point.side);
            let side = if twin { None } else { point.side };
            let tone = Theme::side(side);
            canvas.at(field, x, y, tone, glyphs.point(side));
        }
        let axis = canvas::below(area, area.height - 1);
        canvas.at(axis, left, 0, Tone::Dim, &first.on.format("%-d %b %Y").to_string());
        canvas.right(axis, 0, Tone::Dim, &last.on.format("%-d %b %Y").to_string());
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::tui::theme::{Background, ColourDepth};

    #[test]
    fn left_and_right_have_shapes_of_their_own_and_meet_in_a_third() {
        let day = |day| NaiveDate::from_ymd_opt(2026, 3, day).expect("a date");
        let (left, right) = (Some(Side::Left), Some(Side::Right));
        let points = [
            Point { on: day(1), side: left, value: 5 },
            Point { on: day(1), side: right, value: 1 },
            Point { on: day(21), side: left, value: 3 },
            Point { on: day(21), side: right, value: 3 },
        ];
        let theme = Theme { depth: ColourDepth::None, background: Background::Dark, ascii: true };
        let lines = [(1, "1".to_owned()), (5, "5".to_owned())];
        let area = Rect::new(0, 0, 26, 6);
        let mut buf = Buffer::empty(area);
        (&Plot { points: &points, low: 1, high: 5, lines: &lines, theme }).render(area, &mut buf);
        let row = |y: u16| (0..26).map(|x| buf[(x, y)].symbol()).collect::<String>();
        assert_eq!(row(0), "5 <-----------------------");
        assert_eq!(row(2), "                         =");
        assert_eq!(row(4), "1 >-----------------------");
        assert_eq!(row(5), "  1 Mar 2026   21 Mar 2026");
    }
}
