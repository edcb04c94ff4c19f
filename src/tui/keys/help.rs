//! Keys of help, of the commands and of the pages to write, which lie over another screen.

use ratatui::crossterm::event::KeyCode as C;

use super::action::Action as A;
use super::layer::Key::{Char, Code};
use super::layer::{Layer, bind, slot};
use crate::tui::mode::{Detour, Mode as M};

pub(super) static LAYERS: &[Layer] = &[
    Layer {
        of: M::On(Detour::Help),
        inherits: &[M::List],
        rows: &[slot(Code(C::Down), A::Down, "more", "more"), slot(Code(C::Esc), A::Back, "close", "close")],
    },
    Layer {
        of: M::On(Detour::TeachRemote),
        inherits: &[],
        rows: &[
            slot(Code(C::Enter), A::Choose, "keep these buttons, two at least", "keep"),
            slot(Code(C::Esc), A::Back, "close; nothing is kept", "close"),
        ],
    },
    Layer {
        of: M::Pages,
        inherits: &[M::List],
        rows: &[
            slot(Code(C::Enter), A::Choose, "write what is marked, or this one alone", "write"),
            slot(Char(' '), A::Toggle, "mark, unmark", "mark"),
            slot(Code(C::Esc), A::Back, "back; nothing is written", "back"),
        ],
    },
    Layer {
        of: M::On(Detour::Commands),
        inherits: &[M::Caret],
        rows: &[
            slot(Code(C::Enter), A::Choose, "do it", "do it"),
            bind(Code(C::Tab), A::Down, "one up, one down"),
            slot(Code(C::Esc), A::Back, "close", "close"),
        ],
    },
];
