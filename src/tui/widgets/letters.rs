//! Words that can be read from across the mat: the phase and the side, five rows tall, ten where there is room, three
//! where there is little.

use ratatui::buffer::Buffer;
use ratatui::layout::Rect;
use ratatui::style::Style;

use crate::tui::text::{self, cells};

use super::digits::draw_dots;

/// A letter as rows of blocks.
type Tall = (char, [&'static str; 5]);
type Low = (char, [&'static str; 3]);

const TALL: [Tall; 21] = [
    ('A', ["▄████▄", "██  ██", "██████", "██  ██", "██  ██"]),
    ('B', ["█████▄", "██  ██", "█████▀", "██  ██", "█████▀"]),
    ('D', ["█████▄", "██  ██", "██  ██", "██  ██", "█████▀"]),
    ('E', ["█████", "██", "████", "██", "█████"]),
    ('F', ["█████", "██", "████", "██", "██"]),
    ('G', ["▄█████", "██", "██ ███", "██  ██", "▀█████"]),
    ('H', ["██  ██", "██  ██", "██████", "██  ██", "██  ██"]),
    ('I', ["██", "██", "██", "██", "██"]),
    ('L', ["██", "██", "██", "██", "█████"]),
    ('M', ["██▄  ▄██", "████████", "██ ▀▀ ██", "██    ██", "██    ██"]),
    ('N', ["██▄  ██", "███▄ ██", "██▀█▄██", "██ ▀███", "██  ▀██"]),
    ('O', ["▄████▄", "██  ██", "██  ██", "██  ██", "▀████▀"]),
    ('P', ["█████▄", "██  ██", "█████▀", "██", "██"]),
    ('R', ["█████▄", "██  ██", "█████▀", "██ ▀█▄", "██  ██"]),
    ('S', ["▄█████", "██", "▀████▄", "    ██", "█████▀"]),
    ('T', ["██████", "  ██", "  ██", "  ██", "  ██"]),
    ('U', ["██  ██", "██  ██", "██  ██", "██  ██", "▀████▀"]),
    ('V', ["██  ██", "██  ██", "██  ██", "▀█▄▄█▀", "  ██"]),
    ('X', ["██  ██", "▀█▄▄█▀", "  ██", "▄█▀▀█▄", "██  ██"]),
    ('Y', ["██  ██", "▀█▄▄█▀", "  ██", "  ██", "  ██"]),
    (' ', ["   ", "", "", "", ""]),
];

const LOW: [Low; 21] = [
    ('A', ["█▀▀█", "█▄▄█", "█  █"]),
    ('B', ["█▀▀▄", "█▀▀▄", "█▄▄▀"]),
    ('D', ["█▀▀▄", "█  █", "█▄▄▀"]),
    ('E', ["█▀▀▀", "█▀▀", "█▄▄▄"]),
    ('F', ["█▀▀▀", "█▀▀", "█"]),
    ('G', ["█▀▀▀", "█ ▀█", "█▄▄█"]),
    ('H', ["█  █", "█▀▀█", "█  █"]),
    ('I', ["█", "█", "█"]),
    ('L', ["█", "█", "█▄▄▄"]),
    ('M', ["█▄ ▄█", "█ ▀ █", "█   █"]),
    ('N', ["█▄ █", "█ ▀█", "█  █"]),
    ('O', ["█▀▀█", "█  █", "█▄▄█"]),
    ('P', ["█▀▀█", "█▄▄█", "█"]),
    ('R', ["█▀▀▄", "█▀▀▄", "█  █"]),
    ('S', ["█▀▀▀", "▀▀▀█", "▄▄▄█"]),
    ('T', ["▀█▀", " █", " █"]),
    ('U', ["█  █", "█  █", "█▄▄█"]),
    ('V', ["█  █", "█  █", "▀▄▄▀"]),
    ('X', ["█  █", " ██", "█  █"]),
    ('Y', ["█  █", "▀▄▄▀", " ██"]),
    (' ', ["  ", "", ""]),
];

/// How tall the letters are.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum LetterSize {
    /// Three rows.
    Low,
    /// Five rows.
    Tall,
    /// Ten rows.
    Double,
}

/// A word in tall letters.
#[derive(Debug, Clone, Copy)]
pub struct TallWord<'a> {
    /// The word; what has no tall letter is left out.
    pub word: &'a str,
    /// How tall it is.
    pub size: LetterSize,
    /// Columns between two letters.
    pub gap: u16,
    /// How it is drawn.
    pub style: Style,
    /// Whether only ASCII can be drawn.
    pub ascii: bool,
}

impl TallWord<'_> {
    fn letters(&self) -> impl Iterator<Item = &'static [&'static str]> {
        let size = self.size;
        self.word.chars().filter_map(move |letter| rows_of(letter, size))
    }

    const fn scale(&self) -> u16 {
        if matches!(self.size, LetterSize::Double) { 2 } else { 1 }
    }

    /// Rows that it takes.
    pub const fn height(&self) -> u16 {
        match self.size {
            LetterSize::Low => 3,
            LetterSize::Tall => 5,
            LetterSize::Double => 10,
        }
    }

    /// Columns that it takes.
    pub fn width(&self) -> u16 {
        let widths = self.letters().map(|rows| width_of(rows) * self.scale() + self.gap);
        widths.sum::<u16>().saturating_sub(self.gap)
    }

    /// Draws it from there on, as much as there is of the buffer.
    pub fn draw(&self, (mut x, y): (u16, u16), buf: &mut Buffer) {
        let scale = self.scale();
        for rows in self.letters() {
            let area = Rect { x, y, width: width_of(rows) * scale, height: self.height() };
            draw_dots(area, self.style, self.ascii, buf, |x, y| is_set(rows, x / scale, y / scale));
            x = x.saturating_add(area.width).saturating_add(self.gap);
        }
    }
}

fn rows_of(letter: char, size: LetterSize) -> Option<&'static [&'static str]> {
    match size {
        LetterSize::Low => LOW.iter().find(|(known, _)| *known == letter).map(|(_, rows)| &rows[..]),
        _ => TALL.iter().find(|(known, _)| *known == letter).map(|(_, rows)| &rows[..]),
    }
}

fn width_of(rows: &[&str]) -> u16 {
    rows.iter().map(|row| cells(text::width(row))).max().unwrap_or(0)
}

/// Whether the dot in that column and half row is part of a letter.
fn is_set(rows: &[&str], x: u16, y: u16) -> bool {
    let block = rows.get(usize::from(y / 2)).and_then(|row| row.chars().nth(usize::from(x)));
    match block {
        Some('█') => true,
        Some('▀') => y.is_multiple_of(2),
        Some('▄') => !y.is_multiple_of(2),
        _ => false,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Every word that is ever drawn so.
    const WORDS: [&str; 15] = [
        "READY", "MOVE", "HOLD", "PUSH", "RELAX", "MASSAGE", "PAUSED", "EASE", "PAIN", "STOP", "UP", "LEFT",
        "RIGHT", "BOTH", "LESS",
    ];

    #[test]
    fn every_word_has_all_of_its_letters_in_both_heights() {
        for word in WORDS {
            for letter in word.chars() {
                assert!(rows_of(letter, LetterSize::Low).is_some(), "{letter} of {word}");
                assert!(rows_of(letter, LetterSize::Tall).is_some(), "{letter} of {word}");
            }
        }
    }

    #[test]
    fn phase_and_side_fit_beside_each_other() {
        for (size, gap, room) in
            [(LetterSize::Low, 1, 35), (LetterSize::Tall, 1, 72), (LetterSize::Double, 4, 184)]
        {
            let width = |word| TallWord { word, size, gap, style: Style::new(), ascii: false }.width();
            for phase in ["READY", "MOVE", "HOLD", "PUSH", "RELAX", "PAUSED", "PAIN"] {
                // In three rows the side stands below the phase.
                let beside = if size == LetterSize::Low { 0 } else { width("RIGHT") + 2 };
                assert!(width(phase) + beside <= room, "{phase} {size:?}");
            }
            assert!(width("MASSAGE") <= room, "{size:?}");
        }
    }
}
