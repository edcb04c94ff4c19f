//! Text that cannot steer a terminal, hide what stands in it or turn the reading direction.

use std::borrow::Cow;
use std::fmt;

/// Text that may go to a terminal or a page as it is.
///
/// Control characters become their pictures; bidi controls, invisible spaces, line separators and tags become the
/// replacement character (Unicode Standard Annex 9, Unicode Bidirectional Algorithm; Unicode Technical Standard 55,
/// Unicode Source Code Handling; from memory). Joiners stay: names and emoji need them.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord, Hash, Default)]
pub struct Safe(
    // Invariant: every character is shown as itself, but for the line feeds of several lines.
    Cow<'static, str>,
);

impl Safe {
    /// The program's own words.
    pub const fn ours(text: &'static str) -> Self {
        Self(Cow::Borrowed(text))
    }

    /// One line of anybody's words; line ends and tabs become blanks.
    pub fn from_foreign(text: impl AsRef<str>) -> Self {
        Self(Cow::Owned(text.as_ref().chars().map(shown_as).collect()))
    }

    /// Anybody's words over several lines: line feeds stay.
    pub fn from_foreign_lines(text: impl AsRef<str>) -> Self {
        let shown = |character| if character == '\n' { character } else { shown_as(character) };
        Self(Cow::Owned(text.as_ref().chars().map(shown).collect()))
    }

    /// A character that was typed or pasted into a line of text: line ends and tabs become blanks, what cannot be
    /// shown as itself is left out.
    pub fn typed(character: char) -> Option<char> {
        let blank = matches!(character, '\t' | '\n' | '\r');
        let character = if blank { ' ' } else { character };
        is_harmless(character).then_some(character)
    }

    /// The text.
    pub fn as_str(&self) -> &str {
        &self.0
    }
}

impl fmt::Display for Safe {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.pad(&self.0)
    }
}

impl AsRef<str> for Safe {
    fn as_ref(&self) -> &str {
        &self.0
    }
}

/// So that several can be joined.
impl std::borrow::Borrow<str> for Safe {
    fn borrow(&self) -> &str {
        &self.0
    }
}

impl std::ops::Deref for Safe {
    type Target = str;

    fn deref(&self) -> &str {
        &self.0
    }
}

impl From<Safe> for String {
    fn from(text: Safe) -> Self {
        text.0.into_owned()
    }
}

/// Whether a character is shown as itself.
pub(crate) fn is_harmless(character: char) -> bool {
    shown_as(character) == character
}

fn shown_as(character: char) -> char {
    match character {
        '\t' | '\n' | '\r' => ' ',
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

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn an_escape_sequence_and_a_direction_override_become_visible() {
        assert_eq!(Safe::from_foreign("\x1b[31mRed").as_str(), "␛[31mRed");
        assert_eq!(Safe::from_foreign("a\u{202e}b\u{9b}c\u{2028}").as_str(), "a\u{fffd}b\u{fffd}c\u{fffd}");
        assert_eq!(Safe::from_foreign("one\ntwo\r\tthree").as_str(), "one two  three");
        assert_eq!(Safe::from_foreign_lines("one\ntwo\r\u{7}").as_str(), "one\ntwo ␇");
    }

    /// The characters that the screens, the commands and the files each held to be harmful on their own.
    #[test]
    fn nothing_passes_that_any_surface_ever_refused() {
        let on_screens = |c: char| {
            c.is_control()
                || matches!(c, '\u{200B}' | '\u{200E}' | '\u{200F}' | '\u{2028}'..='\u{202E}' | '\u{2060}'..='\u{206F}'
                    | '\u{FEFF}' | '\u{00AD}' | '\u{E0000}'..='\u{E007F}')
        };
        let by_commands = |c: char| matches!(c, '\u{61c}' | '\u{fff9}'..='\u{fffb}');
        // Joiners hold emoji and names together and mislead nobody.
        let in_files =
            |c: char| matches!(c, '\u{200b}'..='\u{200f}') && !matches!(c, '\u{200c}' | '\u{200d}');
        for c in '\0'..=char::MAX {
            let refused = on_screens(c) || by_commands(c) || in_files(c);
            assert_eq!(is_harmless(c), !refused, "{c:?}");
            assert_eq!(Safe::typed(c).is_some(), !refused || matches!(c, '\t' | '\n' | '\r'), "{c:?}");
            let shown = Safe::from_foreign(c.to_string());
            assert!(shown.chars().all(is_harmless), "{c:?} is shown as {shown:?}");
        }
    }

    #[test]
    fn names_in_any_script_stay_as_they_are() {
        for name in ["José", "Jose\u{301}", "林 美咲", "الاسم", "ن\u{200c}ا", "👩\u{200d}🏫"] {
            assert_eq!(Safe::from_foreign(name).as_str(), name);
        }
    }
}
