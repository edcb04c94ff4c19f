//! How much of a sheet words take, estimated.
//!
//! A page without a script cannot measure itself, and nobody knows which font the printer's machine has: letters are
//! taken to be as wide as those of the widest usual one (`DejaVu Sans`, read from the font itself and brought to one
//! height of small letters as the pages' style does).

use unicode_width::UnicodeWidthChar as _;

/// Millimetres of a point.
pub(super) const POINT: f64 = 25.4 / 72.0;
/// Width of what is printed, and the height that US Letter leaves between the margins.
pub(super) const SHEET: (f64, f64) = (186.0, 255.0);
/// Mean width of a letter against the size of its font: plain and bold.
pub(super) const LETTER: f64 = 0.535;
pub(super) const BOLD: f64 = 0.62;
/// Widths of the letters from space to `~` in hundredths of the size of the font; the space is that of `Verdana` (from
/// memory).
const LETTERS: [u8; 95] = [
    34, 38, 44, 80, 60, 90, 74, 26, 37, 37, 47, 80, 30, 34, 30, 32, 60, 60, 60, 60, 60, 60, 60, 60, 60, 60,
    32, 32, 80, 80, 80, 50, 95, 65, 65, 66, 73, 60, 55, 74, 71, 28, 28, 62, 53, 82, 71, 75, 57, 75, 66, 60,
    58, 69, 65, 94, 65, 58, 65, 37, 32, 37, 80, 47, 47, 58, 60, 52, 60, 58, 33, 60, 60, 26, 26, 55, 26, 92,
    60, 58, 60, 60, 39, 49, 37, 60, 56, 78, 56, 56, 50, 60, 32, 60, 80,
];
/// What a line loses on average where a word does not fit any more, in letters.
const LOST: f64 = 3.0;

/// Millimetres of a text whose letters are so many points wide on average.
pub(super) fn width(words: &str, letter: f64) -> f64 {
    words.chars().map(of_mean).sum::<f64>() * letter * POINT
}

/// How wide a letter is against the mean one; of any that is not known one column is as wide as that.
fn of_mean(letter: char) -> f64 {
    let known = u32::from(letter).checked_sub(32).and_then(|place| LETTERS.get(usize::try_from(place).ok()?));
    known.map_or_else(
        || many(letter.width().unwrap_or(1)),
        |hundredths| f64::from(*hundredths) / 100.0 / LETTER,
    )
}

/// Lines of a text in a column; its letters are so many points wide.
pub(super) fn lines(wide: f64, column: f64, letter: f64) -> f64 {
    (wide / (column - LOST * letter * POINT)).ceil().max(1.0)
}

/// Millimetres of a paragraph in a column, its lines so many times as high as its letters: broken word by word.
pub(super) fn paragraph(words: &str, points: f64, column: f64, line: f64) -> f64 {
    let letter = points * LETTER;
    let (mut count, mut used) = (1.0, 0.0);
    for word in words.split_whitespace() {
        let wide = width(word, letter);
        let gap = if used > 0.0 { width(" ", letter) } else { 0.0 };
        if used > 0.0 && used + gap + wide > column {
            (count, used) = (count + 1.0, 0.0);
        } else {
            used += gap;
        }
        // A word that is longer than a line is broken.
        count += ((used + wide) / column).ceil().max(1.0) - 1.0;
        used = (used + wide) % column;
    }
    count * points * line * POINT
}

/// A number of things, to be multiplied with.
pub(super) fn many(count: usize) -> f64 {
    u16::try_from(count).map_or(f64::MAX, f64::from)
}

/// What is left of a sheet's height.
#[derive(Debug, Clone, Copy)]
pub(super) struct Space {
    left: f64,
}

impl Space {
    /// A whole sheet.
    pub(super) const fn sheet() -> Self {
        Self { left: SHEET.1 }
    }

    /// Takes what has to be there.
    pub(super) fn reserve(&mut self, height: f64) {
        self.left -= height;
    }

    /// Takes so much, if it is there.
    pub(super) fn take(&mut self, height: f64) -> bool {
        let fits = height <= self.left;
        if fits {
            self.left -= height;
        }
        fits
    }

    /// Of rows in their order those that fit; where not all do, `rest` is kept free for a line that says so.
    pub(super) fn rows(&mut self, heights: &[f64], rest: f64) -> usize {
        if heights.iter().sum::<f64>() <= self.left {
            self.left -= heights.iter().sum::<f64>();
            return heights.len();
        }
        self.left -= rest;
        let count = heights.iter().take_while(|height| self.take(**height)).count();
        count.min(heights.len().saturating_sub(1))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn rows_that_do_not_fit_leave_room_for_the_line_that_says_so() {
        let mut space = Space::sheet();
        assert_eq!(space.rows(&[100.0, 100.0], 5.0), 2);
        assert_eq!(space.rows(&[30.0, 30.0], 5.0), 1);
        assert!(!space.take(21.0) && space.take(20.0));
    }
}
