//! Pictures in the cells of a terminal: quadrant blocks or half blocks in tones, braille dots without any.

/// Which glyphs a picture is made of.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Blocks {
    /// Four pixels a cell, in two tones.
    Quadrants,
    /// Two pixels a cell, for fonts without quadrants.
    Halves,
    /// Outlines in dots, where there are no colours.
    Outlines,
}

/// One cell of a picture; the theme gives each tone its colour.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct InkedCell<I> {
    /// The glyph.
    pub glyph: char,
    /// The tone of the glyph; the ground's, if none.
    pub ink: Option<I>,
    /// The tone behind it; the ground's, if none.
    pub behind: Option<I>,
}

/// How tones compete where a cell has room for two.
pub trait Tint: Copy + Ord {
    /// What is added to the number of its pixels.
    fn pull(self) -> f64;
    /// How light it is; the ground is 0.
    fn light(self) -> f64;
}

/// A picture in cells, row by row.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Cells<I> {
    width: u16,
    height: u16,
    // Invariant: width * height of them.
    inked: Vec<InkedCell<I>>,
}

impl<I: Copy + PartialEq> Cells<I> {
    /// Nothing but ground.
    pub fn blank(width: u16, height: u16) -> Self {
        let cell = InkedCell { glyph: ' ', ink: None, behind: None };
        Self { width, height, inked: vec![cell; usize::from(width) * usize::from(height)] }
    }

    /// Columns.
    pub fn width(&self) -> u16 {
        self.width
    }

    /// Rows.
    pub fn height(&self) -> u16 {
        self.height
    }

    /// The rows from top to bottom.
    pub fn rows(&self) -> impl Iterator<Item = &[InkedCell<I>]> {
        self.inked.chunks(usize::from(self.width.max(1)))
    }

    /// The glyphs alone, a line a row, without blanks at the ends.
    pub fn text(&self) -> String {
        let line = |row: &[InkedCell<I>]| {
            let line: String = row.iter().map(|cell| cell.glyph).collect();
            line.trim_end().to_owned()
        };
        self.rows().map(line).collect::<Vec<_>>().join("\n")
    }

    /// The cell at a place, if it is inside.
    pub fn get(&self, x: u16, y: u16) -> Option<InkedCell<I>> {
        (x < self.width && y < self.height)
            .then(|| self.inked[usize::from(y) * usize::from(self.width) + usize::from(x)])
    }

    pub(super) fn set(&mut self, x: u16, y: u16, cell: InkedCell<I>) {
        if x < self.width && y < self.height {
            self.inked[usize::from(y) * usize::from(self.width) + usize::from(x)] = cell;
        }
    }

    /// The mirror image: left for right.
    #[must_use]
    pub fn mirrored(&self) -> Self {
        let flipped = |cell: &InkedCell<I>| InkedCell { glyph: mirrored(cell.glyph), ..*cell };
        let inked = self.rows().flat_map(|row| row.iter().rev().map(flipped)).collect();
        Self { inked, ..*self }
    }

    fn fill(&mut self, cell: impl Fn(u16, u16) -> InkedCell<I>) {
        for y in 0..self.height {
            for x in 0..self.width {
                self.set(x, y, cell(x, y));
            }
        }
    }

    /// Two pixels a cell, one above the other; `shown` may change what a pixel shows by its place.
    pub(super) fn fill_halves(
        &mut self,
        pixels: &[Option<I>],
        shown: impl Fn(Option<I>, u16, u16) -> Option<I>,
    ) {
        let width = self.width;
        let pixel =
            |x: u16, y: u16| shown(pixels[usize::from(y) * usize::from(width) + usize::from(x)], x, y);
        self.fill(|x, y| {
            let (top, bottom) = (pixel(x, 2 * y), pixel(x, 2 * y + 1));
            match (top, bottom) {
                (None, None) => InkedCell { glyph: ' ', ink: None, behind: None },
                (top, bottom) if top == bottom => InkedCell { glyph: '█', ink: top, behind: None },
                (None, bottom) => InkedCell { glyph: '▄', ink: bottom, behind: None },
                (top, bottom) => InkedCell { glyph: '▀', ink: top, behind: bottom },
            }
        });
    }
}

/// Quadrants by their bits: 1 left above, 2 right above, 4 left below, 8 right below.
const QUADRANTS: [char; 16] =
    [' ', '▘', '▝', '▀', '▖', '▌', '▞', '▛', '▗', '▚', '▐', '▜', '▄', '▙', '▟', '█'];

impl<I: Tint> Cells<I> {
    /// Four pixels a cell; `shown` may change what a pixel shows by its place.
    pub(super) fn fill_quadrants(
        &mut self,
        pixels: &[Option<I>],
        shown: impl Fn(Option<I>, u16, u16) -> Option<I>,
    ) {
        let width = usize::from(self.width) * 2;
        let pixel = |x: u16, y: u16| shown(pixels[usize::from(y) * width + usize::from(x)], x, y);
        self.fill(|x, y| {
            let four = [(0, 0), (1, 0), (0, 1), (1, 1)].map(|(dx, dy)| pixel(2 * x + dx, 2 * y + dy));
            let (first, second) = two_tones(four);
            let mut mask = 0;
            for (bit, ink) in four.into_iter().enumerate() {
                let is_first = ink == first || (ink != second && is_nearer(ink, first, second));
                mask |= usize::from(is_first) << bit;
            }
            match (first, mask) {
                (ink, 15) => {
                    InkedCell { glyph: QUADRANTS[if ink.is_some() { 15 } else { 0 }], ink, behind: None }
                }
                (None, mask) => InkedCell { glyph: QUADRANTS[15 - mask], ink: second, behind: None },
                (ink, mask) => InkedCell { glyph: QUADRANTS[mask], ink, behind: second },
            }
        });
    }
}

/// The two tones that a cell keeps of four pixels.
fn two_tones<I: Tint>(four: [Option<I>; 4]) -> (Option<I>, Option<I>) {
    let weight = |ink: Option<I>| {
        let count = four.iter().filter(|other| **other == ink).map(|_| 1.0).sum::<f64>();
        count + ink.map_or(0.0, Tint::pull)
    };
    let mut kinds: Vec<Option<I>> = four.to_vec();
    kinds.sort_by(|a, b| weight(*b).total_cmp(&weight(*a)).then(a.cmp(b)));
    kinds.dedup();
    let first = kinds[0];
    (first, kinds.get(1).copied().unwrap_or(first))
}

/// Whether a tone that is dropped is more like the first than like the second.
fn is_nearer<I: Tint>(ink: Option<I>, first: Option<I>, second: Option<I>) -> bool {
    let light = |ink: Option<I>| ink.map_or(0.0, Tint::light);
    (light(ink) - light(first)).abs() <= (light(ink) - light(second)).abs()
}

/// The braille glyph whose dots are set where `dot` says so of column and row; none without any.
pub(super) fn braille(dot: impl Fn(usize, usize) -> bool) -> Option<char> {
    const BITS: [(usize, usize); 8] = [(0, 0), (0, 1), (0, 2), (1, 0), (1, 1), (1, 2), (0, 3), (1, 3)];
    let bits =
        BITS.iter().enumerate().filter(|(_, (x, y))| dot(*x, *y)).map(|(bit, _)| 1_u32 << bit).sum::<u32>();
    if bits == 0 { None } else { char::from_u32(0x2800 + bits) }
}

/// A glyph as a mirror shows it.
fn mirrored(glyph: char) -> char {
    const PAIRS: [(char, char); 10] = [
        ('▘', '▝'),
        ('▖', '▗'),
        ('▌', '▐'),
        ('▛', '▜'),
        ('▙', '▟'),
        ('▚', '▞'),
        ('→', '←'),
        ('↗', '↖'),
        ('↘', '↙'),
        ('╱', '╲'),
    ];
    if let Some(dots) = u32::from(glyph).checked_sub(0x2800).filter(|dots| *dots < 256) {
        let (left, right) = (dots & 0b0100_0111, dots & 0b1011_1000);
        let to_right = ((left & 0b111) << 3) | ((left & 0b0100_0000) << 1);
        let to_left = ((right & 0b11_1000) >> 3) | ((right & 0b1000_0000) >> 1);
        return char::from_u32(0x2800 + (to_right | to_left)).unwrap_or(glyph);
    }
    let pair = PAIRS.iter().find(|(a, b)| *a == glyph || *b == glyph);
    pair.map_or(glyph, |(a, b)| if *a == glyph { *b } else { *a })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_mirror_image_twice_is_the_picture_itself() {
        let glyphs = QUADRANTS
            .iter()
            .copied()
            .chain((0x2800..0x2900).filter_map(char::from_u32))
            .chain("→↗↘╱─│".chars());
        for glyph in glyphs {
            assert_eq!(mirrored(mirrored(glyph)), glyph);
        }
        assert_eq!(mirrored('▛'), '▜');
        assert_eq!(mirrored('⠇'), '⠸');
        assert_eq!(mirrored('⡇'), '⢸');
    }
}
