//! Text on its way to the screen: harmless, and measured in columns.

use unicode_segmentation::UnicodeSegmentation;
use unicode_width::UnicodeWidthStr;

/// Drops what could steer a terminal or turn the line round: control, bidi and invisible characters.
pub fn clean(text: &str) -> String {
    text.chars()
        .map(|c| if matches!(c, '\n' | '\r' | '\t') { ' ' } else { c })
        .filter(|&c| {
            !c.is_control()
                && !matches!(c, '\u{061C}' | '\u{FFF9}'..='\u{FFFB}' | '\u{200B}' | '\u{200E}' | '\u{200F}' | '\u{2028}'..='\u{202E}' | '\u{2060}'..='\u{206F}'
                    | '\u{FEFF}' | '\u{00AD}' | '\u{E0000}'..='\u{E007F}')
        })
        .collect()
}

/// With a capital at its beginning.
pub fn capitalised(text: &str) -> String {
    let mut letters = text.chars();
    letters.next().map_or_else(String::new, |first| first.to_uppercase().chain(letters).collect())
}

/// Without a capital at its beginning.
pub fn uncapitalised(text: &str) -> String {
    let mut letters = text.chars();
    letters.next().map_or_else(String::new, |first| first.to_lowercase().chain(letters).collect())
}

/// Columns that a text takes.
pub fn width(text: &str) -> usize {
    text.width()
}

/// Shortens a text to `columns`, with an ellipsis where something was cut off.
pub fn fit(text: &str, columns: usize, ellipsis: &str) -> String {
    if width(text) <= columns {
        return text.to_owned();
    }
    let room = columns.saturating_sub(width(ellipsis));
    let mut taken = String::new();
    let mut used = 0;
    for grapheme in text.graphemes(true) {
        if used + width(grapheme) > room {
            break;
        }
        used += width(grapheme);
        taken.push_str(grapheme);
    }
    if width(ellipsis) <= columns {
        taken.push_str(ellipsis);
    }
    taken
}

/// Shortens or fills with blanks to exactly `columns`.
pub fn pad(text: &str, columns: usize, ellipsis: &str) -> String {
    let mut text = fit(text, columns, ellipsis);
    let missing = columns.saturating_sub(width(&text));
    text.extend(std::iter::repeat_n(' ', missing));
    text
}

/// Breaks a text into lines of at most `columns`, at blanks where there are any.
pub fn wrap(text: &str, columns: usize) -> Vec<String> {
    let columns = columns.max(1);
    let mut lines = Vec::new();
    let mut line = String::new();
    for word in text.split_whitespace() {
        let gap = usize::from(!line.is_empty());
        if !line.is_empty() && width(&line) + gap + width(word) > columns {
            lines.push(std::mem::take(&mut line));
        }
        if !line.is_empty() {
            line.push(' ');
        }
        if width(word) <= columns {
            line.push_str(word);
            continue;
        }
        for grapheme in word.graphemes(true) {
            if width(&line) + width(grapheme) > columns && !line.is_empty() {
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

/// A number of things in words: `1 session`, `2 sessions`.
pub fn count(number: usize, thing: &str) -> String {
    if number == 1 { format!("1 {thing}") } else { format!("{number} {thing}s") }
}

/// Words as a list: `a`, `a and b`, `a, b and c`.
pub fn list(words: &[String]) -> String {
    match words {
        [] => String::new(),
        [one] => one.clone(),
        [most @ .., last] => format!("{} and {last}", most.join(", ")),
    }
}

/// Whether `text` contains every word of `needle`, whatever the case.
pub fn matches(text: &str, needle: &str) -> bool {
    let text = text.to_lowercase();
    needle.to_lowercase().split_whitespace().all(|word| text.contains(word))
}

/// A screen size or place as columns or rows, as large as the terminal can count.
pub fn cells(number: usize) -> u16 {
    u16::try_from(number).unwrap_or(u16::MAX)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn hostile_characters_are_dropped_and_names_are_kept() {
        assert_eq!(clean("a\u{1b}[31mb\u{202e}c\u{200b}d\te"), "a[31mbcd e");
        assert_eq!(clean("a\u{61c}b\u{fff9}c\u{fffa}d\u{fffb}e"), "abcde");
        assert_eq!(clean("Zoë Ångström 山田 花子"), "Zoë Ångström 山田 花子");
    }

    #[test]
    fn wide_and_combining_characters_are_measured_in_columns() {
        assert_eq!(fit("山田花子", 5, "…"), "山田…");
        assert_eq!(pad("e\u{301}a", 4, "…"), "e\u{301}a  ");
        assert_eq!(width(&pad("山田花子", 6, "…")), 6);
        assert_eq!(fit("abc", 0, "…"), "");
    }

    #[test]
    fn lines_break_at_blanks_and_long_words_are_cut() {
        assert_eq!(wrap("one two three", 7), ["one two", "three"]);
        assert_eq!(wrap("abcdefgh", 3), ["abc", "def", "gh"]);
        assert!(wrap("", 5).is_empty());
    }
}
