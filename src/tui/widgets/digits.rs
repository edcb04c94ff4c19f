//! Digits that can be read from across the mat: seven strokes with a cut corner, so that each is the same at any size.

use ratatui::buffer::Buffer;
use ratatui::layout::Rect;
use ratatui::style::Style;

/// How digits are cut: a stroke is as wide as it is tall, counted in columns and half rows.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct DigitCut {
    /// Columns of a digit.
    pub columns: u16,
    /// Rows of a digit.
    pub rows: u16,
    /// Columns of a stroke.
    pub stroke: u16,
    /// Columns between two digits.
    pub gap: u16,
}

/// The strokes of each digit: top, right above, right below, bottom, left below, left above, middle.
const STROKES: [[bool; 7]; 10] = {
    const T: bool = true;
    const F: bool = false;
    [
        [T, T, T, T, T, T, F],
        [F, T, T, F, F, F, F],
        [T, T, F, T, T, F, T],
        [T, T, T, T, F, F, T],
        [F, T, T, F, F, T, T],
        [T, F, T, T, F, T, T],
        [T, F, T, T, T, T, T],
        [T, T, T, F, F, F, F],
        [T, T, T, T, T, T, T],
        [T, T, T, T, F, T, T],
    ]
};

impl DigitCut {
    /// Columns from the beginning of one digit to that of the next.
    pub const fn pitch(self) -> u16 {
        self.columns + self.gap
    }

    /// Draws a digit with its left upper corner there.
    pub fn draw(self, digit: u8, (x, y): (u16, u16), style: Style, ascii: bool, buf: &mut Buffer) {
        let area = Rect { x, y, width: self.columns, height: self.rows };
        draw_dots(area, style, ascii, buf, |x, y| self.is_set(digit, x, y));
    }

    fn is_set(self, digit: u8, x: u16, y: u16) -> bool {
        let (wide, high, stroke) = (self.columns, 2 * self.rows, self.stroke);
        if digit == 1 {
            // The stem at the right, with its flag.
            let stem = x + stroke >= wide;
            let flag = x + 2 * stroke > wide && (stroke / 2..stroke / 2 + stroke).contains(&y);
            return stem || flag;
        }
        let [top, upper_right, lower_right, bottom, lower_left, upper_left, middle] =
            STROKES[usize::from(digit % 10)];
        let waist = (high - stroke) / 2;
        let corners = [
            (top && upper_left, 0, 0),
            (top && upper_right, wide - 1, 0),
            (bottom && lower_left, 0, high - 1),
            (bottom && lower_right, wide - 1, high - 1),
        ];
        if wide > 3 && corners.contains(&(true, x, y)) {
            return false;
        }
        let (is_left, is_right) = (x < stroke, x + stroke >= wide);
        let (is_above, is_below) = (y < waist + stroke, y >= waist);
        (top && y < stroke)
            || (bottom && y + stroke >= high)
            || (middle && is_above && is_below)
            || (upper_left && is_left && is_above)
            || (lower_left && is_left && is_below)
            || (upper_right && is_right && is_above)
            || (lower_right && is_right && is_below)
    }
}

/// Draws dots, two to a cell, one above the other.
pub fn draw_dots(area: Rect, style: Style, ascii: bool, buf: &mut Buffer, is_set: impl Fn(u16, u16) -> bool) {
    for place in area.intersection(buf.area).positions() {
        let (x, y) = (place.x - area.x, 2 * (place.y - area.y));
        let symbol = match (is_set(x, y), is_set(x, y + 1)) {
            (false, false) => continue,
            _ if ascii => "#",
            (true, true) => "█",
            (true, false) => "▀",
            (false, true) => "▄",
        };
        buf[place].set_symbol(symbol).set_style(style);
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn drawn(digit: u8, cut: DigitCut) -> Vec<String> {
        let area = Rect::new(0, 0, cut.columns, cut.rows);
        let mut buf = Buffer::empty(area);
        cut.draw(digit, (0, 0), Style::new(), false, &mut buf);
        let row = |y| (0..area.width).map(|x| buf[(x, y)].symbol()).collect::<String>();
        (0..area.height).map(|y| row(y).trim_end().to_owned()).collect()
    }

    #[test]
    fn a_two_and_a_one_look_like_themselves() {
        let cut = DigitCut { columns: 10, rows: 6, stroke: 3, gap: 3 };
        assert_eq!(
            drawn(2, cut),
            ["█████████▄", "▀▀▀▀▀▀▀███", "██████████", "███▀▀▀▀▀▀▀", "███▄▄▄▄▄▄▄", "▀█████████"]
        );
        assert_eq!(drawn(1, cut)[..3], ["     ▄▄███", "     █████", "       ███"]);
    }

    #[test]
    fn no_two_digits_are_alike_in_any_size() {
        for (columns, rows, stroke) in [(3, 3, 1), (5, 4, 2), (6, 5, 2), (10, 6, 3), (19, 12, 5), (32, 20, 8)]
        {
            let all: Vec<_> =
                (0..10).map(|digit| drawn(digit, DigitCut { columns, rows, stroke, gap: 1 })).collect();
            for (index, one) in all.iter().enumerate() {
                assert!(all[index + 1..].iter().all(|other| other != one), "{index} in {columns}x{rows}");
            }
        }
    }
}
