//! What was typed, where the terminal tells it otherwise than others do: letters of a third level, and pastes.

use std::io;
use std::time::Duration;

use ratatui::crossterm::event::{
    self, Event as TerminalEvent, KeyCode, KeyEvent, KeyEventKind, KeyModifiers,
};

use crate::platform::PASTES_ARE_KEYS;

/// So many keys that wait at once were not typed by a hand.
const LEAST_PASTED: usize = 4;
/// A paste of several parts has come to its end when nothing follows for so long.
const QUIET: Duration = Duration::from_millis(30);
/// The most that is taken in one piece.
const MOST: usize = 100_000;

/// The key that was meant: a letter that is typed with `AltGr`, such as @, € or ł, comes with Control and Alt on some
/// systems, where no other key makes that letter.
pub(super) fn meant(key: KeyEvent) -> KeyEvent {
    let alt_gr = KeyModifiers::CONTROL | KeyModifiers::ALT;
    match key.code {
        KeyCode::Char(letter) if key.modifiers.contains(alt_gr) && !letter.is_ascii_alphanumeric() => {
            KeyEvent { modifiers: key.modifiers - alt_gr, ..key }
        }
        _ => key,
    }
}

/// Waits for what the terminal sends next; a paste comes in one piece even where it is sent key by key.
///
/// # Errors
/// The terminal is gone.
pub(super) fn read() -> io::Result<Vec<TerminalEvent>> {
    let mut events = vec![event::read()?];
    if PASTES_ARE_KEYS {
        while events.len() < MOST
            && event::poll(if letters(&events).is_some() { QUIET } else { Duration::ZERO })?
        {
            events.push(event::read()?);
        }
    }
    Ok(in_one_piece(events))
}

/// The same events, with keys that came together as the paste that they are.
fn in_one_piece(events: Vec<TerminalEvent>) -> Vec<TerminalEvent> {
    match letters(&events) {
        Some(pasted) if PASTES_ARE_KEYS => vec![TerminalEvent::Paste(pasted)],
        _ => events,
    }
}

/// What the keys spell, if they are all letters, and too many for a hand.
fn letters(events: &[TerminalEvent]) -> Option<String> {
    let mut text = String::new();
    for event in events {
        let TerminalEvent::Key(key) = event else { return None };
        let key = meant(*key);
        match key.code {
            _ if key.kind == KeyEventKind::Release => {}
            KeyCode::Char(letter) if (key.modifiers - KeyModifiers::SHIFT).is_empty() => text.push(letter),
            KeyCode::Enter => text.push('\n'),
            KeyCode::Tab => text.push('\t'),
            _ if key.kind == KeyEventKind::Press => return None,
            _ => {}
        }
    }
    (text.chars().count() >= LEAST_PASTED).then_some(text)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn key(code: KeyCode, modifiers: KeyModifiers) -> KeyEvent {
        KeyEvent::new(code, modifiers)
    }

    #[test]
    fn a_letter_of_the_third_level_is_a_letter_and_a_command_stays_one() {
        let both = KeyModifiers::CONTROL | KeyModifiers::ALT;
        for letter in ['@', '€', 'ł', 'ą', '{'] {
            assert_eq!(meant(key(KeyCode::Char(letter), both)).modifiers, KeyModifiers::NONE, "{letter}");
        }
        assert_eq!(meant(key(KeyCode::Char('c'), both)).modifiers, both);
        assert_eq!(meant(key(KeyCode::Char('@'), KeyModifiers::CONTROL)).modifiers, KeyModifiers::CONTROL);
    }

    #[test]
    fn many_letters_at_once_are_a_paste_and_few_or_a_command_are_typed() {
        let typed = |text: &str| -> Vec<TerminalEvent> {
            let press = |letter| {
                let code = if letter == '\n' { KeyCode::Enter } else { KeyCode::Char(letter) };
                let press = key(code, KeyModifiers::NONE);
                let release = KeyEvent { kind: KeyEventKind::Release, ..press };
                [TerminalEvent::Key(press), TerminalEvent::Key(release)]
            };
            text.chars().flat_map(press).collect()
        };
        assert_eq!(letters(&typed("Ada\nx")), Some("Ada\nx".to_owned()));
        assert_eq!(letters(&typed("444")), None);
        let mut with_a_command = typed("Ada Lin");
        with_a_command.push(TerminalEvent::Key(key(KeyCode::Char('q'), KeyModifiers::CONTROL)));
        assert_eq!(letters(&with_a_command), None);
    }
}
