//! The keys that the buttons of a remote send.

use ratatui::crossterm::event::{KeyCode, KeyEvent, KeyModifiers};

use crate::failure::Failure;

use super::layer::{Key, typed};
use super::{Action, Mode, rows};
use crate::tui::remote::Button;

/// The buttons with the keys that stand for them in the table.
pub(super) const BUTTONS: [(Button, KeyCode); 4] = [
    (Button::Back, KeyCode::PageUp),
    (Button::On, KeyCode::PageDown),
    (Button::Third, KeyCode::F(7)),
    (Button::Fourth, KeyCode::F(8)),
];

/// Which keys a trainer's own remote sends.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct RemoteKeys {
    /// In the order of the buttons; none where those of the table are sent.
    sent: Vec<Key>,
}

impl RemoteKeys {
    /// The keys of these names, two to four, parted by commas: back, on, third, fourth.
    ///
    /// # Errors
    /// There are too few or too many, or one is no key, is there twice, or is needed in a block.
    pub fn named(names: &str) -> Result<Self, Failure> {
        let names: Vec<&str> = names.split(',').map(str::trim).collect();
        if !(2..=BUTTONS.len()).contains(&names.len()) {
            return Err(Failure::usage("--remote takes two to four keys: back, on, third, fourth")
                .hint("such as --remote=PageUp,PageDown,F5"));
        }
        let mut sent: Vec<Key> = Vec::new();
        for name in names {
            let key = key(name).ok_or_else(|| {
                Failure::usage(format_args!("`{name}` is no key that --remote knows"))
                    .hint("it knows single characters, F1 to F24, PageUp, PageDown, Home, End, Tab and Space")
            })?;
            if sent.contains(&key) {
                return Err(Failure::usage(format_args!("--remote names `{name}` twice")));
            }
            if let Some(does) = needed(key) {
                return Err(Failure::usage(format_args!("`{name}` is needed in a block: {does}"))
                    .hint("have the remote send another key"));
            }
            sent.push(key);
        }
        Ok(Self { sent })
    }

    /// The keys that were pressed one after the other, in the order of the buttons.
    pub fn taught(sent: &[Key]) -> Self {
        Self { sent: sent.to_vec() }
    }

    /// Their names, parted by commas.
    pub fn names(&self) -> String {
        self.sent.iter().map(|key| key.name()).collect::<Vec<_>>().join(",")
    }

    /// The button that a key is; where none were named, only those that are nothing else.
    pub fn button(&self, event: KeyEvent) -> Option<Button> {
        if self.sent.is_empty() {
            let others =
                BUTTONS.iter().filter(|(button, _)| matches!(button, Button::Third | Button::Fourth));
            return others.clone().find(|(_, code)| event.code == *code).map(|(button, _)| *button);
        }
        let index = self.sent.iter().position(|key| key.is(event))?;
        BUTTONS.get(index).map(|(button, _)| *button)
    }

    /// Whether the remote has two buttons only; none if nobody said.
    pub fn has_two(&self) -> Option<bool> {
        (!self.sent.is_empty()).then_some(self.sent.len() == 2)
    }

    /// The key of the table that a key of the remote stands for in a block, else the key itself.
    pub fn translated(&self, mode: Mode, event: KeyEvent) -> KeyEvent {
        let button = self.sent.iter().position(|key| mode.is_block() && key.is(event));
        button.map_or(event, |index| KeyEvent::new(BUTTONS[index].1, KeyModifiers::NONE))
    }
}

/// The key that a press is, if it can be a button.
///
/// # Errors
/// It is none that can be named, or is needed in a block.
pub fn teachable(event: KeyEvent) -> Result<Key, String> {
    let pressed = match event.code {
        KeyCode::Char(letter) if typed(event).is_some() && letter != ',' => Some(Key::Char(letter)),
        code @ (KeyCode::F(_)
        | KeyCode::PageUp
        | KeyCode::PageDown
        | KeyCode::Home
        | KeyCode::End
        | KeyCode::Tab) => Some(Key::Code(code)),
        _ => None,
    };
    let Some(pressed) = pressed else {
        return Err("That key cannot be a button: have the remote send another.".to_owned());
    };
    match needed(pressed) {
        Some(does) => Err(format!("{} is needed in a block: {does}.", pressed.name())),
        None => Ok(pressed),
    }
}

/// The key of a name, as help writes it, whatever the case.
fn key(name: &str) -> Option<Key> {
    let mut letters = name.chars();
    if let (Some(letter), None) = (letters.next(), letters.next()) {
        return Some(Key::Char(letter));
    }
    let lower = name.to_lowercase();
    if let Some(number) = lower.strip_prefix('f').and_then(|number| number.parse().ok()) {
        return (1..=24).contains(&number).then_some(Key::Code(KeyCode::F(number)));
    }
    Some(match lower.as_str() {
        "pageup" => Key::Code(KeyCode::PageUp),
        "pagedown" => Key::Code(KeyCode::PageDown),
        "home" => Key::Code(KeyCode::Home),
        "end" => Key::Code(KeyCode::End),
        "tab" => Key::Code(KeyCode::Tab),
        "space" => Key::Char(' '),
        _ => return None,
    })
}

/// What a key does in a block that no other key does there.
fn needed(key: Key) -> Option<&'static str> {
    [Mode::Live, Mode::Paused, Mode::Pain, Mode::Stop, Mode::Less].into_iter().find_map(|mode| {
        let rows = rows(mode);
        let (_, row) = rows.iter().find(|(_, row)| same(row.key, key))?;
        let others = rows.iter().any(|(_, other)| other.action == row.action && !same(other.key, key));
        let is_of_remote = matches!(row.action, Action::Remote(_));
        (!is_of_remote && !others).then_some(row.help)
    })
}

/// Whether a key of the table is that key.
fn same(row: Key, key: Key) -> bool {
    match (row, key) {
        (Key::Digits(first, last), Key::Char(letter)) => {
            letter.to_digit(10).is_some_and(|digit| (u32::from(first)..=u32::from(last)).contains(&digit))
        }
        _ => row == key,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn refused(names: &str) -> String {
        RemoteKeys::named(names).expect_err("refused").message.to_string()
    }

    #[test]
    fn a_key_that_the_block_needs_is_no_button() {
        for names in ["p,PageDown", "PageUp,s", "3,4", "Space,b", "PageUp,d"] {
            assert!(refused(names).contains("is needed in a block"), "{names}: {}", refused(names));
        }
        assert!(refused("PageUp").contains("two to four"));
        assert!(refused("a,b,c,d,e").contains("two to four"));
        assert!(refused("x,X1").contains("`X1` is no key"));
        assert!(refused("F5,f5").contains("twice"));
    }

    #[test]
    fn what_the_remote_sends_stands_for_the_keys_of_the_table() {
        let keys = RemoteKeys::named("F5, ., x").expect("keys");
        let press = |code| keys.translated(Mode::Live, KeyEvent::new(code, KeyModifiers::NONE)).code;
        assert_eq!(press(KeyCode::F(5)), KeyCode::PageUp);
        assert_eq!(press(KeyCode::Char('.')), KeyCode::PageDown);
        assert_eq!(press(KeyCode::Char('x')), KeyCode::F(7));
        assert_eq!(press(KeyCode::Char('4')), KeyCode::Char('4'));
        assert_eq!(keys.names(), "F5,.,x");
        let event = |code| KeyEvent::new(code, KeyModifiers::NONE);
        assert_eq!(keys.button(event(KeyCode::Char('x'))), Some(Button::Third));
        assert_eq!(keys.button(event(KeyCode::PageUp)), None);
        let usual = RemoteKeys::default();
        assert_eq!(usual.button(event(KeyCode::F(8))), Some(Button::Fourth));
        assert_eq!(usual.button(event(KeyCode::PageUp)), None);
        assert!(teachable(event(KeyCode::Char('p'))).is_err_and(|why| why.contains("needed in a block")));
        assert!(teachable(event(KeyCode::Left)).is_err() && teachable(event(KeyCode::PageUp)).is_ok());
        assert_eq!((keys.has_two(), RemoteKeys::default().has_two()), (Some(false), None));
    }
}
