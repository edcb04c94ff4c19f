//! Text as people read it: counts, lists, columns, and foreign text made harmless.

use std::borrow::Cow;

use unicode_segmentation::UnicodeSegmentation;
use unicode_width::UnicodeWidthStr;

/// Shows `text` so that it cannot steer a terminal or turn the reading direction.
///
/// Control characters become their pictures; bidi controls, invisible spaces, line separators and tags become a
/// replacement character. Joiners stay: names and emoji need them.
pub fn harmless(text: &str) -> Cow<'_, str> {
    if text.chars().all(|character| shown_as(character) == character) {
        Cow::Borrowed(text)
    } else {
        Cow::Owned(text.chars().map(shown_as).collect())
    }
}

/// Shows several lines harmlessly; line feeds stay.
pub fn harmless_lines(text: &str) -> String {
    text.split('\n').map(harmless).collect::<Vec<_>>().join("\n")
}

fn shown_as(character: char) -> char {
    match character {
        '\0'..='\x1f' => char::from_u32(0x2400 + u32::from(character)).unwrap_or('\u{fffd}'),
        '\x7f' => '\u{2421}',
        '\u{80}'..='\u{9f}'
        | '\u{ad}'
        | '\u{61c}'
        | '\u{200b}'
        | '\u{200e}'
        | '\u{200f}'
        | '\u{2028}'..='\u{202e}'
        | '\u{2060}'..='\u{206f}'
        | '\u{feff}'
        | '\u{fff9}'..='\u{fffb}'
        | '\u{e0000}'..='\u{e007f}' => '\u{fffd}',
        other => other,
    }
}

/// Writes a count with its noun: "1 session", "3 sessions", "no sessions".
pub fn count(number: usize, one: &str, many: &str) -> String {
    match number {
        0 => format!("no {many}"),
        1 => format!("1 {one}"),
        _ => format!("{number} {many}"),
    }
}

/// Joins items as a sentence does: "a", "a and b", "a, b and c".
pub fn list<S: AsRef<str>>(items: &[S]) -> String {
    match items {
        [] => String::new(),
        [only] => only.as_ref().to_owned(),
        [rest @ .., last] => {
            let rest: Vec<&str> = rest.iter().map(AsRef::as_ref).collect();
            format!("{} and {}", rest.join(", "), last.as_ref())
        }
    }
}

/// Columns that `text` takes on a terminal.
pub fn columns(text: &str) -> usize {
    text.width()
}

/// Cuts `text` to at most `width` columns, with an ellipsis where something was lost; never through a character.
pub fn shortened(text: &str, width: usize) -> Cow<'_, str> {
    if columns(text) <= width {
        return Cow::Borrowed(text);
    }
    let mut kept = String::new();
    let mut used = 0;
    for grapheme in text.graphemes(true) {
        used += columns(grapheme);
        if used >= width {
            break;
        }
        kept.push_str(grapheme);
    }
    if width > 0 {
        kept.push('…');
    }
    Cow::Owned(kept)
}

/// Fills `text` with spaces to `width` columns, shortening it where it is longer.
pub fn padded(text: &str, width: usize) -> String {
    let text = shortened(text, width);
    let spaces = width.saturating_sub(columns(&text));
    format!("{text}{}", " ".repeat(spaces))
}

/// Breaks `text` at spaces into lines of at most `width` columns; a longer word stands alone.
pub fn wrapped(text: &str, width: usize) -> Vec<String> {
    let mut lines: Vec<String> = Vec::new();
    for word in text.split_whitespace() {
        match lines.last_mut() {
            Some(line) if columns(line) + 1 + columns(word) <= width => {
                line.push(' ');
                line.push_str(word);
            }
            _ => lines.push(word.to_owned()),
        }
    }
    lines
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn an_escape_sequence_and_a_direction_override_become_visible() {
        assert_eq!(harmless("\x1b[31mRed"), "␛[31mRed");
        assert_eq!(harmless("a\u{202e}b\u{9b}c\u{2028}"), "a\u{fffd}b\u{fffd}c\u{fffd}");
        assert_eq!(harmless_lines("one\ntwo\r"), "one\ntwo␍");
    }

    #[test]
    fn names_in_any_script_stay_as_they_are() {
        for name in ["José", "Jose\u{301}", "林 美咲", "الاسم", "ن\u{200c}ا", "👩\u{200d}🏫"] {
            assert_eq!(harmless(name), name);
        }
    }

    #[test]
    fn counts_and_lists_read_like_a_sentence() {
        assert_eq!(count(0, "session", "sessions"), "no sessions");
        assert_eq!(count(1, "session", "sessions"), "1 session");
        assert_eq!(count(2, "session", "sessions"), "2 sessions");
        assert_eq!(list::<&str>(&[]), "");
        assert_eq!(list(&["a"]), "a");
        assert_eq!(list(&["a", "b", "c"]), "a, b and c");
    }

    #[test]
    fn cutting_and_filling_count_columns_not_characters() {
        assert_eq!(shortened("林 美咲", 5), "林 …");
        assert_eq!(shortened("林", 0), "");
        assert_eq!(columns(&padded("林 美咲", 10)), 10);
        assert_eq!(columns(&padded("林 美咲", 4)), 4);
        assert_eq!(padded("e\u{301}", 3), "e\u{301}  ");
    }

    #[test]
    fn wrapping_keeps_every_word() {
        assert_eq!(wrapped("one two  three", 7), ["one two", "three"]);
        assert_eq!(wrapped("extraordinary", 4), ["extraordinary"]);
    }
}
