//! What a line that is typed stands for.

use ratatui::crossterm::event::{KeyCode, KeyEvent, KeyModifiers};

use crate::tui::keys::{self, Action, Key, Mode, TABLE};

/// How keys are given, said at the start and in help.
pub const HOW: &str = "Keys are words, each on a line of its own: a letter or a digit, tab, shift-tab, esc, space, up, \
    down, left, right, PageUp, PageDown, Home, End, Backspace, Delete, f1, ctrl-s and so on; an empty line is Enter. \
    Where something is typed, a line is typed as a whole; a \" before it types a word that is a key. \
    read reads the screen again, t tells the time while a block runs, help lists the keys, quit leaves.";

/// What a line stands for.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Meant {
    /// Keys, one after the other.
    Keys(Vec<KeyEvent>),
    /// Everything that stands there, once more.
    Read,
    /// The time that is left.
    Time,
    /// Nothing: that is said, and nothing of it is pressed.
    Nothing(String),
}

/// What a line stands for in a mode, while a block runs or not.
pub fn meant(line: &str, mode: Mode, runs: bool) -> Meant {
    let line = line.trim_end_matches(['\n', '\r']);
    if let Some(quoted) = line.strip_prefix('"') {
        return typed(quoted.strip_suffix('"').unwrap_or(quoted), mode);
    }
    let word = if line == " " { "space".to_owned() } else { line.trim().to_lowercase() };
    match word.as_str() {
        "read" => Meant::Read,
        "t" if runs && !takes_letters(mode) => Meant::Time,
        word => named(word).map_or_else(|| typed(line, mode), |key| Meant::Keys(vec![key])),
    }
}

/// The key of a name: each name that help shows, whatever the case, and some that are easier to type.
fn named(word: &str) -> Option<KeyEvent> {
    let plain = |code| Some(KeyEvent::new(code, KeyModifiers::NONE));
    let control = |letter| Some(KeyEvent::new(KeyCode::Char(letter), KeyModifiers::CONTROL));
    match word {
        "" | "enter" | "return" => return plain(KeyCode::Enter),
        "esc" | "escape" => return plain(KeyCode::Esc),
        "erase" => return plain(KeyCode::Backspace),
        "page-up" => return plain(KeyCode::PageUp),
        "page-down" => return plain(KeyCode::PageDown),
        "help" => return plain(KeyCode::F(1)),
        "quit" => return control('c'),
        _ => {}
    }
    let shown = TABLE.iter().find(|row| row.key.name().to_lowercase() == word && word.len() > 1);
    match shown.map(|row| row.key) {
        Some(Key::Code(code)) => return plain(code),
        Some(Key::Char(letter)) => return plain(KeyCode::Char(letter)),
        Some(Key::Ctrl(letter)) => return control(letter),
        Some(Key::AnyDigit) | None => {}
    }
    if let Some(number) = word.strip_prefix('f').and_then(|number| number.parse().ok()) {
        return plain(KeyCode::F(number));
    }
    let mut letters = word.strip_prefix("ctrl-")?.chars();
    match (letters.next(), letters.next()) {
        (Some(letter), None) => control(letter),
        _ => None,
    }
}

/// Letters as they are typed, or the one key that a letter is; all of them or none.
fn typed(line: &str, mode: Mode) -> Meant {
    let press = |letter: char| KeyEvent::new(KeyCode::Char(letter), KeyModifiers::NONE);
    let means = |letter: char| keys::resolve(mode, press(letter));
    let mut letters = line.chars();
    let is_one = letters.next().is_some() && letters.next().is_none();
    let is_typed =
        |letter: char| letter == ' ' || matches!(means(letter), Some(Action::Type(_) | Action::Digit(_)));
    let is_whole = match mode {
        _ if takes_letters(mode) && (is_one || line.chars().all(is_typed)) => true,
        Mode::LiveMinutes => line.chars().all(|letter| letter.is_ascii_digit()),
        // Minutes or seconds, several at once.
        Mode::Muscles | Mode::Steps | Mode::Review => {
            ['+', '-'].iter().any(|sign| line.chars().all(|letter| letter == *sign))
        }
        _ => false,
    };
    if is_whole {
        return Meant::Keys(line.chars().map(press).collect());
    }
    if is_one && !takes_letters(mode) {
        // Letters that are dictated begin with a capital.
        let letters = line.chars().chain(line.chars().flat_map(char::to_lowercase));
        let mut known = letters.filter(|letter| !matches!(means(*letter), None | Some(Action::Type(_))));
        if let Some(letter) = known.next() {
            return Meant::Keys(vec![press(letter)]);
        }
    }
    Meant::Nothing(format!("not a key: {line}"))
}

/// Whether letters are typed in a mode: none of them is a key there.
fn takes_letters(mode: Mode) -> bool {
    let is_letter = |key: Key| matches!(key, Key::Char(letter) if letter.is_alphabetic());
    mode.is_free_text()
        || !matches!(mode, Mode::Help | Mode::Client | Mode::CardCondition | Mode::HistorySession)
            && !TABLE.iter().any(|row| row.mode == mode && is_letter(row.key))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn keys(line: &str, mode: Mode) -> Vec<KeyEvent> {
        match meant(line, mode, false) {
            Meant::Keys(keys) => keys,
            other => panic!("{line}: {other:?}"),
        }
    }

    #[test]
    fn every_name_that_help_shows_is_a_key_whatever_the_case() {
        for row in TABLE.iter().filter(|row| row.key != Key::AnyDigit) {
            let name = row.key.name();
            for name in [name.clone(), name.to_lowercase(), name.to_uppercase()] {
                let mode = if name.len() == 1 { row.mode } else { Mode::Text };
                if mode == Mode::Everywhere {
                    continue;
                }
                let [key] = keys(&name, mode)[..] else { panic!("{name} is one key") };
                assert!(row.key.is(key), "{name}: {key:?}");
            }
        }
    }

    #[test]
    fn an_empty_line_is_enter_and_a_quote_types_what_is_a_key_otherwise() {
        assert_eq!(keys("", Mode::Live), keys("enter", Mode::Live));
        assert_eq!(keys("ham", Mode::Muscles).len(), 3);
        assert_eq!(keys("\"left\"", Mode::Text).len(), 4);
        assert_eq!(keys("left", Mode::Text), [KeyEvent::new(KeyCode::Left, KeyModifiers::NONE)]);
        assert_eq!(meant("Read", Mode::Text, false), Meant::Read);
    }

    #[test]
    fn several_letters_are_nothing_where_a_letter_is_a_key() {
        for mode in
            [Mode::Live, Mode::LiveQuestion, Mode::LiveMinutes, Mode::Consent, Mode::Help, Mode::Steps]
        {
            let refused = Meant::Nothing("not a key: tight hip".to_owned());
            assert_eq!(meant("tight hip", mode, true), refused, "{mode:?}");
        }
        assert_eq!(meant("x", Mode::Live, true), Meant::Nothing("not a key: x".to_owned()));
        assert_eq!(meant("44", Mode::Live, true), Meant::Nothing("not a key: 44".to_owned()));
        assert_eq!(keys("12", Mode::LiveMinutes).len(), 2);
        assert_eq!(keys("P", Mode::Live), keys("p", Mode::Live));
        for mode in [Mode::Muscles, Mode::Steps, Mode::Review] {
            assert_eq!(keys("---", mode).len(), 3, "{mode:?}");
        }
        assert_eq!(meant("++", Mode::Live, true), Meant::Nothing("not a key: ++".to_owned()));
        // A new card must not open in the middle of a line.
        assert_eq!(meant("+ Nora", Mode::Day, false), Meant::Nothing("not a key: + Nora".to_owned()));
    }

    #[test]
    fn the_time_is_told_while_a_block_runs() {
        assert_eq!(meant("t", Mode::Live, true), Meant::Time);
        assert_eq!(meant("T", Mode::Help, true), Meant::Time);
        assert_eq!(keys("t", Mode::Day).len(), 1);
        assert_eq!(keys("t", Mode::Overlay).len(), 1);
    }
}
