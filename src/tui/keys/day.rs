//! Keys of the day.

use ratatui::crossterm::event::KeyCode as C;

use super::action::Action as A;
use super::layer::Key::{Char, Code, Ctrl, Digits};
use super::layer::{Layer, bind, slot};
use crate::tui::mode::{Detour, Mode as M};

/// What is sore, as help says it.
pub(super) const SORE: &str = "sore today: what is sore on you, which plans then spare";

pub(super) static LAYERS: &[Layer] = &[
    Layer {
        of: M::Day,
        inherits: &[M::Caret, M::WithClient],
        rows: &[
            slot(
                Code(C::Enter),
                A::Choose,
                "plan for this client, or write a card where nobody is called so",
                "plan",
            ),
            slot(Code(C::F(2)), A::OpenCard, "the card", "card"),
            slot(Code(C::F(3)), A::OpenHistory, "the history", "history"),
            slot(
                Code(C::F(4)),
                A::WalkIn,
                "walk-in, no card kept: plan and run a block of which nothing is kept",
                "walk-in",
            ),
            slot(Ctrl('n'), A::NewClient, "new client", "new client"),
            bind(Code(C::F(6)), A::Open(Detour::Sore), SORE),
            bind(Code(C::F(5)), A::Demo, "look round in the invented studio"),
            bind(
                Code(C::F(9)),
                A::Open(Detour::TeachRemote),
                "remote or foot pedal: teach its buttons by pressing each",
            ),
            bind(Code(C::Tab), A::NextPart, "into the list"),
            bind(Code(C::Esc), A::Back, "take off what is typed"),
            slot(Ctrl('q'), A::Quit, "quit; asks once where something is not saved", "quit"),
        ],
    },
    Layer {
        of: M::DayList,
        inherits: &[M::List, M::WithClient],
        rows: &[
            slot(Code(C::Enter), A::Choose, "plan for this client", "plan"),
            slot(Char('c'), A::OpenCard, "the card", "card"),
            slot(Char('h'), A::OpenHistory, "the history", "history"),
            slot(Char('/'), A::Find, "find: type a name", "find"),
            slot(
                Code(C::F(4)),
                A::WalkIn,
                "walk-in, no card kept: plan and run a block of which nothing is kept",
                "walk-in",
            ),
            slot(Ctrl('n'), A::NewClient, "new client", "new client"),
            bind(Code(C::F(6)), A::Open(Detour::Sore), SORE),
            bind(Code(C::F(5)), A::Demo, "look round in the invented studio"),
            bind(
                Code(C::F(9)),
                A::Open(Detour::TeachRemote),
                "remote or foot pedal: teach its buttons by pressing each",
            ),
            bind(Code(C::Tab), A::NextPart, "to the name"),
            bind(Code(C::Esc), A::Back, "back to the name"),
            slot(Ctrl('q'), A::Quit, "quit; asks once where something is not saved", "quit"),
        ],
    },
    Layer {
        of: M::On(Detour::Sore),
        inherits: &[M::List],
        rows: &[
            slot(Digits(1, 5), A::Digit(0), "that place is sore, or is not any more", "sore, or not"),
            slot(Char(' '), A::Toggle, "the chosen place is sore, or is not any more", "the chosen one"),
            bind(Code(C::F(6)), A::Back, "back to the screen before"),
            slot(Code(C::Enter), A::Choose, "back to the screen before", "done"),
            slot(Code(C::Esc), A::Back, "back to the screen before", "back"),
        ],
    },
];
