//! What the table of keys is made of: keys, what they mean, and layers of them.

use ratatui::crossterm::event::{KeyCode, KeyEvent, KeyModifiers};

use crate::tui::mode::Mode;
use crate::tui::theme::Glyphs;

use super::action::Action;

/// A key as the table writes it.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Key {
    /// A character.
    Char(char),
    /// A character with the control key.
    Ctrl(char),
    /// Any other key.
    Code(KeyCode),
    /// A digit from the first to the last.
    Digits(u8, u8),
}

/// A key with its meaning.
#[derive(Debug)]
pub struct Binding {
    /// Which key.
    pub key: Key,
    /// What it means.
    pub action: Action,
    /// What it does, as help says it; also the command's name.
    pub help: &'static str,
    /// A word or two for the footer; empty where help is enough. Neighbours of one slot share it.
    pub slot: &'static str,
}

/// The keys of a mode.
#[derive(Debug)]
pub struct Layer {
    /// Whose they are.
    pub of: Mode,
    /// The modes whose keys hold there too, unless one of these replaces them.
    pub inherits: &'static [Mode],
    /// The keys, those first that must not be missed.
    pub rows: &'static [Binding],
}

pub(super) const fn bind(key: Key, action: Action, help: &'static str) -> Binding {
    Binding { key, action, help, slot: "" }
}

pub(super) const fn slot(key: Key, action: Action, help: &'static str, slot: &'static str) -> Binding {
    Binding { key, action, help, slot }
}

impl Key {
    /// Whether an event is this key.
    pub fn is(self, event: KeyEvent) -> bool {
        let control = event.modifiers.contains(KeyModifiers::CONTROL);
        match self {
            Self::Char(letter) => typed(event) == Some(letter),
            Self::Ctrl(letter) => control && event.code == KeyCode::Char(letter),
            Self::Code(code) => event.code == code,
            Self::Digits(first, last) => {
                typed(event).and_then(digit).is_some_and(|digit| (first..=last).contains(&digit))
            }
        }
    }

    /// The key as people read it.
    pub fn name(self) -> String {
        match self {
            Self::Char(' ') => "Space".to_owned(),
            Self::Char(letter) => letter.to_string(),
            Self::Ctrl(letter) => format!("Ctrl-{}", letter.to_ascii_uppercase()),
            Self::Digits(first, last) => format!("{first}-{last}"),
            Self::Code(KeyCode::BackTab) => "Shift-Tab".to_owned(),
            Self::Code(KeyCode::F(number)) => format!("F{number}"),
            Self::Code(code) => format!("{code:?}"),
        }
    }
}

impl Key {
    /// The key as it is drawn.
    pub fn drawn(self, glyphs: &Glyphs) -> String {
        let arrow = match self {
            Self::Code(KeyCode::Left) => 0,
            Self::Code(KeyCode::Right) => 1,
            Self::Code(KeyCode::Up) => 2,
            Self::Code(KeyCode::Down) => 3,
            key => return key.name(),
        };
        glyphs.arrows[arrow].to_owned()
    }
}

pub(super) fn digit(letter: char) -> Option<u8> {
    letter.to_digit(10).and_then(|digit| u8::try_from(digit).ok())
}

/// The character of a key without control, alt or such.
pub(super) fn typed(event: KeyEvent) -> Option<char> {
    let others = KeyModifiers::CONTROL | KeyModifiers::ALT | KeyModifiers::SUPER;
    match event.code {
        KeyCode::Char(letter) if !event.modifiers.intersects(others) => Some(letter),
        _ => None,
    }
}
