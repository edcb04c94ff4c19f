//! Reads the words of a screen that are drawn in tall letters.

use matside::tui::widgets::letters::{LetterSize, TallWord};
use ratatui::buffer::Buffer;
use ratatui::layout::Rect;
use ratatui::style::Style;

const WORDS: [&str; 15] = [
    "READY", "MOVE", "HOLD", "PUSH", "RELAX", "MASSAGE", "PAUSED", "EASE", "PAIN", "STOP", "UP", "LESS",
    "LEFT", "RIGHT", "BOTH",
];

/// The rows of a word in tall letters.
fn rows(word: TallWord<'_>) -> Vec<Vec<char>> {
    let area = Rect::new(0, 0, word.width(), word.height());
    let mut buf = Buffer::empty(area);
    word.draw((0, 0), &mut buf);
    let row = |y| (0..area.width).map(|x| buf[(x, y)].symbol().chars().next().unwrap_or(' ')).collect();
    (0..area.height).map(row).collect()
}

fn stands_on(screen: &[Vec<char>], word: &[Vec<char>]) -> bool {
    let at = |x: usize, y: usize| screen.get(y).and_then(|row| row.get(x)).copied().unwrap_or(' ');
    let width = word.first().map_or(0, Vec::len);
    let widest = screen.iter().map(Vec::len).max().unwrap_or(0);
    let is_at = |left: usize, top: usize| {
        word.iter().enumerate().all(|(y, row)| row.iter().enumerate().all(|(x, cell)| at(left + x, top + y) == *cell))
            // Not as the end of a longer word, nor as its beginning.
            && (0..word.len()).all(|y| at(left + width, top + y) == ' ')
    };
    (0..screen.len()).any(|top| (0..widest).any(|left| is_at(left, top)))
}

/// The words in tall letters, the phase first.
pub(crate) fn words(screen: &str) -> String {
    let screen: Vec<Vec<char>> = screen.lines().map(|line| line.chars().collect()).collect();
    let sizes = [(LetterSize::Low, 1), (LetterSize::Tall, 1), (LetterSize::Tall, 2), (LetterSize::Double, 4)];
    let lines: Vec<String> = screen.iter().map(|line| line.iter().collect()).collect();
    let is_near = |rows: &[Vec<char>]| {
        let first: String = rows[0].iter().collect();
        lines.iter().any(|line| line.contains(first.trim_end()))
    };
    let is_seen = |word: &str| {
        sizes.iter().any(|&(size, gap)| {
            let rows = rows(TallWord { word, size, gap, style: Style::new(), ascii: false });
            is_near(&rows) && stands_on(&screen, &rows)
        })
    };
    WORDS.iter().filter(|word| is_seen(word)).flat_map(|word| [" ", word]).collect()
}
