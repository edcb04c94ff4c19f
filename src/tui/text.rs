//! Text on its way to the screen: harmless, and measured in columns as everywhere else.

pub use crate::text::{columns as width, cut as fit, holds_words as matches, list, pad, wrap};

use crate::text::Safe;

/// Drops what could steer a terminal or turn the line round, by the one table of such characters.
pub fn clean(text: &str) -> String {
    text.chars().filter_map(Safe::typed).collect()
}

/// With a capital at its beginning.
pub fn capitalised(text: &str) -> String {
    let mut letters = text.chars();
    letters.next().map_or_else(String::new, |first| first.to_uppercase().chain(letters).collect())
}

/// A sentence with a capital at its beginning and a full stop at its end, unless it ends in another sign.
pub fn ended(text: &str) -> String {
    let end = if text.ends_with(['.', '?', '!']) { "" } else { "." };
    capitalised(&format!("{text}{end}"))
}

/// Without a capital at its beginning.
pub fn uncapitalised(text: &str) -> String {
    let mut letters = text.chars();
    letters.next().map_or_else(String::new, |first| first.to_lowercase().chain(letters).collect())
}

/// A number of things in words: `1 session`, `2 sessions`.
pub fn count(number: usize, thing: &str) -> String {
    if number == 1 { format!("1 {thing}") } else { format!("{number} {thing}s") }
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
}
