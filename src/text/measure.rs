//! Text measured in the columns of a terminal: cut, filled, broken into lines.

use unicode_segmentation::UnicodeSegmentation;
use unicode_width::UnicodeWidthStr;

/// Columns of plain text where nobody says otherwise: a plain terminal, a sheet of paper.
pub const USUAL_COLUMNS: usize = 78;

/// Columns that `text` takes on a terminal.
pub fn columns(text: &str) -> usize {
    text.width()
}

/// Cuts `text` to at most `width` columns, with `ellipsis` where something was lost; never through a character.
pub fn cut(text: &str, width: usize, ellipsis: &str) -> String {
    if columns(text) <= width {
        return text.to_owned();
    }
    let room = width.saturating_sub(columns(ellipsis));
    let mut kept = String::new();
    let mut used = 0;
    for grapheme in text.graphemes(true) {
        if used + columns(grapheme) > room {
            break;
        }
        used += columns(grapheme);
        kept.push_str(grapheme);
    }
    if columns(ellipsis) <= width {
        kept.push_str(ellipsis);
    }
    kept
}

/// Cuts or fills `text` with blanks to exactly `width` columns.
pub fn pad(text: &str, width: usize, ellipsis: &str) -> String {
    let mut text = cut(text, width, ellipsis);
    let missing = width.saturating_sub(columns(&text));
    text.extend(std::iter::repeat_n(' ', missing));
    text
}

/// Breaks `text` into lines of at most `width` columns, at blanks where there are any.
pub fn wrap(text: &str, width: usize) -> Vec<String> {
    let width = width.max(1);
    let mut lines = Vec::new();
    let mut line = String::new();
    for word in text.split_whitespace() {
        let gap = usize::from(!line.is_empty());
        if !line.is_empty() && columns(&line) + gap + columns(word) > width {
            lines.push(std::mem::take(&mut line));
        }
        if !line.is_empty() {
            line.push(' ');
        }
        if columns(word) <= width {
            line.push_str(word);
            continue;
        }
        for grapheme in word.graphemes(true) {
            if columns(&line) + columns(grapheme) > width && !line.is_empty() {
                lines.push(std::mem::take(&mut line));
            }
            line.push_str(grapheme);
        }
    }
    if !line.is_empty() {
        lines.push(line);
    }
    lines
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn cutting_and_filling_count_columns_not_characters() {
        assert_eq!(cut("林 美咲", 5, "…"), "林 …");
        assert_eq!(cut("山田花子", 5, "…"), "山田…");
        assert_eq!(cut("林", 0, "…"), "");
        assert_eq!(columns(&pad("林 美咲", 10, "…")), 10);
        assert_eq!(columns(&pad("林 美咲", 4, "…")), 4);
        assert_eq!(pad("e\u{301}a", 4, "…"), "e\u{301}a  ");
    }

    #[test]
    fn lines_break_at_blanks_and_long_words_are_cut() {
        assert_eq!(wrap("one two  three", 7), ["one two", "three"]);
        assert_eq!(wrap("abcdefgh", 3), ["abc", "def", "gh"]);
        assert!(wrap("", 5).is_empty());
    }
}
