//! Digits that can be read from across the mat.

use ratatui::buffer::Buffer;
use ratatui::layout::Rect;
use ratatui::style::Style;
use ratatui::widgets::Widget;

use crate::tui::text::cells;

/// Columns of a glyph in its own size.
const WIDE: usize = 7;
/// Dots of a glyph from top to bottom; two dots make a row.
const HIGH: usize = 10;
/// Columns between two glyphs.
const GAP: usize = 2;

const GLYPHS: [(char, [u8; HIGH]); 23] = [
    (
        '0',
        [
            0b011_1110, 0b111_1111, 0b110_0011, 0b110_0011, 0b110_0011, 0b110_0011, 0b110_0011, 0b110_0011,
            0b111_1111, 0b011_1110,
        ],
    ),
    (
        '1',
        [
            0b000_1100, 0b001_1100, 0b011_1100, 0b000_1100, 0b000_1100, 0b000_1100, 0b000_1100, 0b000_1100,
            0b011_1111, 0b011_1111,
        ],
    ),
    (
        '2',
        [
            0b011_1110, 0b111_1111, 0b110_0011, 0b000_0011, 0b000_0111, 0b001_1110, 0b011_1000, 0b110_0000,
            0b111_1111, 0b111_1111,
        ],
    ),
    (
        '3',
        [
            0b011_1110, 0b111_1111, 0b110_0011, 0b000_0011, 0b001_1110, 0b001_1110, 0b000_0011, 0b110_0011,
            0b111_1111, 0b011_1110,
        ],
    ),
    (
        '4',
        [
            0b000_0110, 0b000_1110, 0b001_1110, 0b011_0110, 0b110_0110, 0b111_1111, 0b111_1111, 0b000_0110,
            0b000_0110, 0b000_0110,
        ],
    ),
    (
        '5',
        [
            0b111_1111, 0b111_1111, 0b110_0000, 0b111_1110, 0b111_1111, 0b000_0011, 0b000_0011, 0b110_0011,
            0b111_1111, 0b011_1110,
        ],
    ),
    (
        '6',
        [
            0b001_1110, 0b011_1110, 0b110_0000, 0b110_0000, 0b111_1110, 0b111_1111, 0b110_0011, 0b110_0011,
            0b111_1111, 0b011_1110,
        ],
    ),
    (
        '7',
        [
            0b111_1111, 0b111_1111, 0b000_0011, 0b000_0110, 0b000_0110, 0b000_1100, 0b000_1100, 0b001_1000,
            0b001_1000, 0b001_1000,
        ],
    ),
    (
        '8',
        [
            0b011_1110, 0b111_1111, 0b110_0011, 0b110_0011, 0b011_1110, 0b011_1110, 0b110_0011, 0b110_0011,
            0b111_1111, 0b011_1110,
        ],
    ),
    (
        '9',
        [
            0b011_1110, 0b111_1111, 0b110_0011, 0b110_0011, 0b111_1111, 0b011_1111, 0b000_0011, 0b000_0011,
            0b011_1110, 0b011_1100,
        ],
    ),
    (
        ':',
        [
            0b000_0000, 0b000_0000, 0b001_1000, 0b001_1000, 0b000_0000, 0b000_0000, 0b001_1000, 0b001_1000,
            0b000_0000, 0b000_0000,
        ],
    ),
    (
        'L',
        [
            0b110_0000, 0b110_0000, 0b110_0000, 0b110_0000, 0b110_0000, 0b110_0000, 0b110_0000, 0b110_0000,
            0b111_1111, 0b111_1111,
        ],
    ),
    (
        'E',
        [
            0b111_1111, 0b111_1111, 0b110_0000, 0b110_0000, 0b111_1110, 0b111_1110, 0b110_0000, 0b110_0000,
            0b111_1111, 0b111_1111,
        ],
    ),
    (
        'F',
        [
            0b111_1111, 0b111_1111, 0b110_0000, 0b110_0000, 0b111_1110, 0b111_1110, 0b110_0000, 0b110_0000,
            0b110_0000, 0b110_0000,
        ],
    ),
    (
        'T',
        [
            0b111_1111, 0b111_1111, 0b001_1000, 0b001_1000, 0b001_1000, 0b001_1000, 0b001_1000, 0b001_1000,
            0b001_1000, 0b001_1000,
        ],
    ),
    (
        'R',
        [
            0b111_1110, 0b111_1111, 0b110_0011, 0b110_0011, 0b111_1111, 0b111_1110, 0b110_1100, 0b110_0110,
            0b110_0011, 0b110_0011,
        ],
    ),
    (
        'I',
        [
            0b011_1111, 0b011_1111, 0b000_1100, 0b000_1100, 0b000_1100, 0b000_1100, 0b000_1100, 0b000_1100,
            0b011_1111, 0b011_1111,
        ],
    ),
    (
        'G',
        [
            0b011_1110, 0b111_1111, 0b110_0000, 0b110_0000, 0b110_1111, 0b110_1111, 0b110_0011, 0b110_0011,
            0b111_1111, 0b011_1110,
        ],
    ),
    (
        'H',
        [
            0b110_0011, 0b110_0011, 0b110_0011, 0b110_0011, 0b111_1111, 0b111_1111, 0b110_0011, 0b110_0011,
            0b110_0011, 0b110_0011,
        ],
    ),
    (
        'B',
        [
            0b111_1110, 0b111_1111, 0b110_0011, 0b110_0011, 0b111_1110, 0b111_1110, 0b110_0011, 0b110_0011,
            0b111_1111, 0b111_1110,
        ],
    ),
    (
        'O',
        [
            0b011_1110, 0b111_1111, 0b110_0011, 0b110_0011, 0b110_0011, 0b110_0011, 0b110_0011, 0b110_0011,
            0b111_1111, 0b011_1110,
        ],
    ),
    (
        'S',
        [
            0b011_1110, 0b111_1111, 0b110_0011, 0b110_0000, 0b111_1110, 0b011_1111, 0b000_0011, 0b110_0011,
            0b111_1111, 0b011_1110,
        ],
    ),
    (
        'P',
        [
            0b111_1110, 0b111_1111, 0b110_0011, 0b110_0011, 0b111_1111, 0b111_1110, 0b110_0000, 0b110_0000,
            0b110_0000, 0b110_0000,
        ],
    ),
];

/// A short number or time, as large as its area allows.
#[derive(Debug)]
pub struct Digits<'a> {
    /// Digits, colons and the letters of LEFT, RIGHT, BOTH and STOP; anything else is left blank.
    pub text: &'a str,
    /// How the strokes are drawn.
    pub style: Style,
    /// Whether only ASCII can be drawn.
    pub ascii: bool,
}

impl Digits<'_> {
    /// Columns and rows at a size: 1 is the smallest.
    pub fn size(text: &str, scale: usize) -> (u16, u16) {
        let glyphs = text.chars().count();
        let columns = glyphs * WIDE * scale + glyphs.saturating_sub(1) * GAP * scale;
        (cells(columns), cells((HIGH * scale).div_ceil(2)))
    }

    /// The largest size that fits; 0 if none does.
    pub fn scale(text: &str, area: Rect) -> usize {
        (1..=12)
            .rev()
            .find(|&scale| {
                let (columns, rows) = Self::size(text, scale);
                columns <= area.width && rows <= area.height
            })
            .unwrap_or(0)
    }

    fn is_set(&self, scale: usize, x: usize, y: usize) -> bool {
        let pitch = (WIDE + GAP) * scale;
        let (index, column, row) = (x / pitch, x % pitch / scale, y / scale);
        let Some(glyph) = self.text.chars().nth(index).and_then(|c| GLYPHS.iter().find(|(g, _)| *g == c))
        else {
            return false;
        };
        column < WIDE && row < HIGH && glyph.1[row] >> (WIDE - 1 - column) & 1 == 1
    }
}

impl Widget for &Digits<'_> {
    fn render(self, area: Rect, buf: &mut Buffer) {
        let area = area.intersection(buf.area);
        let scale = Digits::scale(self.text, area);
        if scale == 0 {
            if area.height > 0 {
                buf.set_stringn(area.x, area.y, self.text, usize::from(area.width), self.style);
            }
            return;
        }
        let (columns, rows) = Digits::size(self.text, scale);
        let left = area.x + (area.width - columns) / 2;
        let top = area.y + (area.height - rows) / 2;
        for y in 0..usize::from(rows) {
            for x in 0..usize::from(columns) {
                let (upper, lower) = (self.is_set(scale, x, 2 * y), self.is_set(scale, x, 2 * y + 1));
                let symbol = match (upper, lower) {
                    (false, false) => continue,
                    _ if self.ascii => "#",
                    (true, true) => "█",
                    (true, false) => "▀",
                    (false, true) => "▄",
                };
                buf[(left + cells(x), top + cells(y))].set_symbol(symbol).set_style(self.style);
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn drawn(text: &str, width: u16, height: u16) -> Vec<String> {
        let area = Rect::new(0, 0, width, height);
        let mut buf = Buffer::empty(area);
        (&Digits { text, style: Style::new(), ascii: false }).render(area, &mut buf);
        (0..height)
            .map(|y| (0..width).map(|x| buf[(x, y)].symbol()).collect::<String>().trim_end().to_owned())
            .collect()
    }

    #[test]
    fn a_seven_looks_like_one() {
        assert_eq!(drawn("7", 7, 5), ["███████", "    ▄█▀", "   ▄█▀", "  ▄█▀", "  ██"].map(str::to_owned));
    }

    #[test]
    fn the_largest_size_that_fits_is_taken_and_text_serves_where_none_does() {
        assert_eq!(Digits::scale("27", Rect::new(0, 0, 80, 12)), 2);
        assert_eq!(Digits::scale("27", Rect::new(0, 0, 200, 40)), 8);
        assert_eq!(drawn("27", 3, 1), ["27"]);
        assert_eq!(drawn("27", 0, 0), Vec::<String>::new());
    }
}
