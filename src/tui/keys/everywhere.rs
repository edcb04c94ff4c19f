//! Keys that hold everywhere, and what lists and carets have in common.

use ratatui::crossterm::event::KeyCode as C;

use super::action::Action as A;
use super::layer::Key::{Char, Code, Ctrl};
use super::layer::{Layer, bind, slot};
use crate::tui::mode::{Detour, Mode as M};

pub(super) static LAYERS: &[Layer] = &[
    Layer {
        of: M::Everywhere,
        inherits: &[],
        rows: &[
            slot(Char('?'), A::Open(Detour::Help), "the keys of this screen", "help"),
            bind(Code(C::F(1)), A::Open(Detour::Help), "the keys of this screen"),
            bind(Code(C::Esc), A::Back, "one back; never notes anything"),
            bind(Code(C::Enter), A::Choose, "go on as the last row says"),
            bind(Char(':'), A::Open(Detour::Commands), "find a command by its name"),
            bind(Char('z'), A::Undo, "undo the last thing, a noted one too"),
            bind(Ctrl('z'), A::Undo, "undo the last thing, a noted one too"),
            bind(Code(C::Tab), A::NextPart, "the next part of the screen"),
            bind(Code(C::BackTab), A::PreviousPart, "the part before"),
            bind(Ctrl('l'), A::Background, "dark or light"),
            bind(Ctrl('q'), A::Quit, "quit; asks once where something is not saved"),
            bind(Ctrl('c'), A::Quit, "quit; asks once where something is not saved"),
        ],
    },
    Layer {
        of: M::List,
        inherits: &[],
        rows: &[
            bind(Code(C::Up), A::Up, "one up, one down"),
            bind(Code(C::Down), A::Down, "one up, one down"),
            bind(Code(C::PageUp), A::PageUp, "a page up, a page down"),
            bind(Code(C::PageDown), A::PageDown, "a page up, a page down"),
            bind(Code(C::Home), A::First, "to the first, to the last"),
            bind(Code(C::End), A::Last, "to the first, to the last"),
        ],
    },
    Layer {
        of: M::Caret,
        inherits: &[M::List],
        rows: &[
            bind(Code(C::Backspace), A::Erase, "a letter back"),
            bind(Ctrl('w'), A::EraseWord, "a word back"),
            bind(Ctrl('u'), A::EraseLine, "the whole line back"),
            bind(Code(C::Left), A::Left, "along the line"),
            bind(Code(C::Right), A::Right, "along the line"),
        ],
    },
    Layer {
        of: M::Text,
        inherits: &[M::Caret],
        rows: &[slot(Code(C::F(1)), A::Open(Detour::Help), "the keys of this screen", "help")],
    },
    Layer {
        of: M::WithClient,
        inherits: &[],
        rows: &[
            bind(Char('c'), A::OpenCard, "the card"),
            bind(Code(C::F(2)), A::OpenCard, "the card"),
            bind(Char('h'), A::OpenHistory, "the history"),
            bind(Code(C::F(3)), A::OpenHistory, "the history"),
        ],
    },
];
