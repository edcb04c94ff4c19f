//! One table of keys for all screens, by layers: what a key means in which mode, with the words that help and footer
//! show. A mode has its own layer and those that it inherits; the nearest one that knows a key says what it means.
//!
//! Letters are keys everywhere except where the caret is. Pain and stop mean nothing else anywhere.

mod action;
mod card;
mod day;
mod everywhere;
mod health;
mod help;
mod history;
mod layer;
mod live;
mod plan;
mod remote;
mod review;

use std::collections::BTreeSet;

use ratatui::crossterm::event::KeyEvent;

pub use super::mode::{Detour, Letters, Mode};
pub use action::Action;
pub use layer::{Binding, Key, Layer};
use layer::{digit, typed};
pub use remote::{RemoteKeys, teachable};

/// What opens the keys of a screen.
const HELP: Action = Action::Open(Detour::Help);

/// Every layer.
fn layers() -> impl Iterator<Item = &'static Layer> {
    let all: [&[Layer]; 9] = [
        everywhere::LAYERS,
        day::LAYERS,
        plan::LAYERS,
        health::LAYERS,
        live::LAYERS,
        review::LAYERS,
        history::LAYERS,
        card::LAYERS,
        help::LAYERS,
    ];
    all.into_iter().flatten()
}

fn layer(mode: Mode) -> &'static Layer {
    layers().find(|layer| layer.of == mode).expect("every mode has a layer; a test goes through them")
}

/// The layers that hold in a mode, the nearest first.
fn line_of(mode: Mode) -> Vec<&'static Layer> {
    fn add(mode: Mode, line: &mut Vec<&'static Layer>) {
        let layer = layer(mode);
        if !line.iter().any(|other| other.of == mode) {
            line.push(layer);
            layer.inherits.iter().for_each(|mode| add(*mode, line));
        }
    }
    let mut line = Vec::new();
    add(mode, &mut line);
    add(Mode::Everywhere, &mut line);
    line
}

impl Mode {
    /// What letters do there: that hangs on the caret that it inherits, if any.
    pub fn letters(self) -> Letters {
        let line = line_of(self);
        let inherits = |mode| line.iter().any(|layer| layer.of == mode);
        if inherits(Self::Text) {
            Letters::Text
        } else if inherits(Self::Caret) {
            Letters::Words
        } else {
            Letters::Keys
        }
    }
}

impl Letters {
    /// Whether a character is typed, whatever the table says of it.
    fn are_typed(self, letter: char) -> bool {
        match self {
            Self::Keys => false,
            Self::Words => letter.is_alphabetic(),
            Self::Text => true,
        }
    }
}

/// What a key means in a mode; what is no key there is typed where the caret is, and nothing elsewhere.
pub fn resolve(mode: Mode, event: KeyEvent) -> Option<Action> {
    let (letters, letter) = (mode.letters(), typed(event));
    if let Some(letter) = letter.filter(|letter| letters.are_typed(*letter)) {
        return Some(Action::Type(letter));
    }
    let found = line_of(mode).into_iter().find_map(|layer| layer.rows.iter().find(|row| row.key.is(event)));
    match (found.map(|row| row.action), letter) {
        (Some(Action::Digit(_)), Some(letter)) => digit(letter).map(Action::Digit),
        (Some(action), _) => Some(action),
        (None, Some(letter)) if letters != Letters::Keys => Some(Action::Type(letter)),
        (None, _) => None,
    }
}

/// The rows that hold in a mode with the mode that each is of, the nearest first; keys that letters hide, and keys that
/// a nearer row replaces, are left out.
pub fn rows(mode: Mode) -> Vec<(Mode, &'static Binding)> {
    let letters = mode.letters();
    let mut rows: Vec<(Mode, &Binding)> = Vec::new();
    for layer in line_of(mode) {
        for row in layer.rows {
            let is_hidden = matches!(row.key, Key::Char(letter) if letters.are_typed(letter))
                || (letters == Letters::Text && matches!(row.key, Key::Digits(..)));
            if !is_hidden && !rows.iter().any(|(_, other)| other.key == row.key) {
                rows.push((layer.of, row));
            }
        }
    }
    rows
}

/// Every name of a key that the table has, once.
pub fn names() -> impl Iterator<Item = Key> {
    layers().flat_map(|layer| layer.rows).map(|row| row.key)
}

/// The screens that some key opens by itself, each once.
pub fn detours() -> BTreeSet<Detour> {
    let opened = |row: &Binding| match row.action {
        Action::Open(detour) => Some(detour),
        _ => None,
    };
    layers().flat_map(|layer| layer.rows).filter_map(opened).collect()
}

/// Whether some key of a mode means that.
pub fn means(mode: Mode, action: Action) -> bool {
    rows(mode).iter().any(|(_, row)| row.action == action)
}

/// What the last row of a screen shows: each slot once, with the keys that share it, and at its right end the way out and
/// help.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Slot {
    /// The keys.
    pub keys: Vec<Key>,
    /// What they mean.
    pub words: &'static str,
    /// What a click on it means.
    pub action: Action,
    /// Whether it stands at the right end, where it is never left out.
    pub is_last: bool,
}

/// The slots of a mode, in the order in which they are shown.
pub fn slots(mode: Mode) -> Vec<Slot> {
    let mut slots: Vec<Slot> = Vec::new();
    // There is no help over what lies over a screen.
    let shown = |row: &Binding| !row.slot.is_empty() && (!mode.is_overlay() || row.action != HELP);
    for (_, row) in rows(mode).into_iter().filter(|(_, row)| shown(row)) {
        match slots.iter_mut().find(|slot| slot.words == row.slot) {
            Some(slot) => slot.keys.push(row.key),
            None => slots.push(Slot {
                keys: vec![row.key],
                words: row.slot,
                action: row.action,
                is_last: matches!(row.action, Action::Back | HELP | Action::Quit),
            }),
        }
    }
    // The way out, then help.
    slots.sort_by_key(|slot| (slot.is_last, slot.action == HELP));
    slots
}

#[cfg(test)]
mod tests {
    use ratatui::crossterm::event::{KeyCode, KeyModifiers};

    use super::*;

    fn key(letter: char) -> KeyEvent {
        KeyEvent::new(KeyCode::Char(letter), KeyModifiers::NONE)
    }

    /// Modes in which keys are pressed; the others are only inherited.
    fn modes() -> impl Iterator<Item = Mode> {
        let inherited = [
            Mode::Everywhere,
            Mode::List,
            Mode::Caret,
            Mode::Text,
            Mode::WithClient,
            Mode::Block,
            Mode::Card,
            Mode::WalkIn,
        ];
        layers().map(|layer| layer.of).filter(move |mode| !inherited.contains(mode))
    }

    #[test]
    fn every_mode_has_one_layer_and_no_key_means_two_things_in_it() {
        let mut seen: Vec<Mode> = Vec::new();
        for layer in layers() {
            assert!(!seen.contains(&layer.of), "{:?}", layer.of);
            seen.push(layer.of);
            for (index, row) in layer.rows.iter().enumerate() {
                assert!(
                    !layer.rows[..index].iter().any(|other| other.key == row.key),
                    "{:?} {:?}",
                    layer.of,
                    row.key
                );
                assert!(!row.help.is_empty());
            }
            // Panics where one is missing.
            line_of(layer.of);
        }
    }

    #[test]
    fn pain_and_stop_mean_nothing_else_anywhere() {
        for mode in modes().filter(|mode| mode.letters() == Letters::Keys) {
            let [pain, stop] = ['p', 's'].map(|letter| resolve(mode, key(letter)));
            assert!(matches!(pain, None | Some(Action::Pain)), "{mode:?} {pain:?}");
            assert!(matches!(stop, None | Some(Action::Stop)), "{mode:?} {stop:?}");
        }
        for mode in [Mode::Live, Mode::Paused, Mode::Less, Mode::Stop] {
            assert_eq!(resolve(mode, key('s')), Some(Action::Stop), "{mode:?}");
            assert_eq!(resolve(mode, key('p')), Some(Action::Pain), "{mode:?}");
        }
    }

    #[test]
    fn a_letter_means_one_thing_on_every_screen() {
        /// What a letter may mean besides: more and less of a block, or of one hold.
        const ALIKE: [(char, &[Action]); 2] = [('b', &[Action::ByThemselves]), ('d', &[Action::Decline])];
        for letter in ('a'..='z').chain('A'..='Z') {
            let mut meant: Vec<Action> = Vec::new();
            for row in layers().flat_map(|layer| layer.rows).filter(|row| row.key == Key::Char(letter)) {
                if !meant.contains(&row.action) {
                    meant.push(row.action);
                }
            }
            let allowed =
                ALIKE.iter().find(|(other, _)| *other == letter).map_or(1, |(_, actions)| actions.len());
            assert!(meant.len() <= allowed, "{letter}: {meant:?}");
        }
        // What nobody may look for on a screen.
        assert!(['j', 'q'].iter().all(|letter| names().all(|name| name != Key::Char(*letter))));
    }

    #[test]
    fn every_mode_can_be_left_and_says_how_and_where_the_keys_are_at_its_end() {
        for mode in modes() {
            let slots = slots(mode);
            let last: Vec<Action> = slots.iter().rev().take(2).map(|slot| slot.action).collect();
            let way_out = |action: &Action| matches!(action, Action::Back | Action::Quit);
            if mode.is_overlay() {
                assert!(last.first().is_some_and(way_out), "{mode:?} {last:?}");
            } else {
                assert!(last.first() == Some(&HELP) && last.get(1).is_some_and(way_out), "{mode:?} {last:?}");
            }
            assert!(resolve(mode, KeyEvent::new(KeyCode::Esc, KeyModifiers::NONE)).is_some());
        }
    }

    #[test]
    fn letters_are_typed_only_where_the_caret_is() {
        assert_eq!(resolve(Mode::Day, key('p')), Some(Action::Type('p')));
        assert_eq!(resolve(Mode::DayList, key('c')), Some(Action::OpenCard));
        assert_eq!(resolve(Mode::DayList, key('x')), None);
        assert_eq!(resolve(Mode::Live, key('4')), Some(Action::Digit(4)));
        assert_eq!(resolve(Mode::Live, key('6')), None);
        assert_eq!(resolve(Mode::ReviewText, key('?')), Some(Action::Type('?')));
        assert_eq!(resolve(Mode::Day, key('?')), Some(HELP));
        assert_eq!(resolve(Mode::Day, KeyEvent::new(KeyCode::Char('x'), KeyModifiers::ALT)), None);
    }
}
