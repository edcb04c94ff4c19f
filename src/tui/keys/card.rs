//! Keys of a client's card.

use ratatui::crossterm::event::KeyCode as C;

use super::action::Action as A;
use super::history::PAGES;
use super::layer::Key::{Char, Code, Ctrl};
use super::layer::{Layer, bind, slot};
use crate::tui::mode::Mode as M;

pub(super) static LAYERS: &[Layer] = &[
    Layer {
        of: M::Card,
        inherits: &[M::List],
        rows: &[
            slot(Code(C::Enter), A::Choose, "the next line; on the last one, save", "next line"),
            slot(Ctrl('s'), A::Save, "save", "save"),
            slot(Ctrl('p'), A::OpenPlan, "save, and plan with this client", "save and plan"),
            bind(Code(C::F(3)), A::OpenHistory, "the history"),
            bind(Char('w'), A::WritePages, PAGES),
            bind(Code(C::F(6)), A::WritePages, PAGES),
            bind(Code(C::Tab), A::NextPart, "the next line"),
            slot(Code(C::Esc), A::Back, "back; asks once where something is not saved", "back"),
        ],
    },
    Layer {
        of: M::CardChoice,
        inherits: &[M::Card],
        rows: &[slot(Char(' '), A::Toggle, "mark, unmark", "mark")],
    },
    Layer {
        of: M::CardCondition,
        inherits: &[M::Card],
        rows: &[
            slot(Char('x'), A::TakeOff, "take the condition off", "take off"),
            bind(Code(C::Delete), A::TakeOff, "take the condition off"),
        ],
    },
    Layer {
        of: M::CardHabit,
        inherits: &[M::Card],
        rows: &[
            slot(Char('x'), A::TakeOff, "take it off; plans no longer mind it", "take off"),
            bind(Code(C::Delete), A::TakeOff, "take it off; plans no longer mind it"),
        ],
    },
    Layer {
        of: M::CardSide,
        inherits: &[M::CardCondition],
        rows: &[
            slot(Code(C::Left), A::Left, "the left side, the right side", "side"),
            slot(Code(C::Right), A::Right, "the left side, the right side", "side"),
            bind(Char(' '), A::Toggle, "left, right, both sides in turn"),
        ],
    },
    Layer {
        of: M::CardNamesake,
        inherits: &[M::List],
        rows: &[
            slot(
                Char('c'),
                A::OpenCard,
                "the same person: open the card that is there, with what you typed on it",
                "open that card",
            ),
            slot(Ctrl('n'), A::NewClient, "another person: write a card of their own", "another person"),
            slot(Code(C::Esc), A::Back, "back to the name; nothing is saved", "back to the name"),
        ],
    },
    Layer {
        of: M::CardHealth,
        inherits: &[M::Card],
        rows: &[slot(Code(C::Enter), A::Choose, "the health check, read aloud", "health check")],
    },
    Layer { of: M::CardText, inherits: &[M::Card, M::Text], rows: &[] },
    Layer {
        of: M::WalkIn,
        inherits: &[M::List],
        rows: &[
            slot(Code(C::Enter), A::Choose, "the next line; on the last one, plan", "next line"),
            slot(Ctrl('p'), A::OpenPlan, "plan with this walk-in; no card is kept", "plan"),
            bind(Ctrl('s'), A::OpenPlan, "plan with this walk-in; no card is kept"),
            bind(Code(C::Tab), A::NextPart, "the next line"),
            slot(Code(C::Esc), A::Back, "back; nothing is kept", "back"),
        ],
    },
    Layer { of: M::WalkInCondition, inherits: &[M::WalkIn, M::CardCondition], rows: &[] },
    Layer { of: M::WalkInSide, inherits: &[M::WalkIn, M::CardSide], rows: &[] },
    Layer { of: M::WalkInText, inherits: &[M::WalkIn, M::Text], rows: &[] },
];
