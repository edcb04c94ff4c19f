//! Keys of the history.

use ratatui::crossterm::event::KeyCode as C;

use super::action::Action as A;
use super::layer::Key::{Char, Code, Ctrl};
use super::layer::{Layer, bind, slot};
use crate::tui::mode::Mode as M;

/// What the key for pages does, wherever it holds.
pub(super) const PAGES: &str = "pages to print: home card, last session, year, letter";
const FULL: &str = "in full: all that the sessions tell";

pub(super) static LAYERS: &[Layer] = &[
    Layer {
        of: M::History,
        inherits: &[M::List, M::WithClient],
        rows: &[
            slot(Code(C::Enter), A::Choose, "open what is marked", "open"),
            slot(Code(C::Left), A::Left, "the view before, the next view", "views"),
            slot(Code(C::Right), A::Right, "the view before, the next view", "views"),
            bind(Code(C::Tab), A::Right, "the view before, the next view"),
            bind(Code(C::BackTab), A::Left, "the view before, the next view"),
            slot(Char('/'), A::Find, "find a stretch, a muscle or days", "find"),
            slot(Char('i'), A::InFull, FULL, "in full"),
            slot(Ctrl('p'), A::OpenPlan, "plan with this client", "plan"),
            slot(Char('w'), A::WritePages, PAGES, "pages"),
            slot(Char('c'), A::OpenCard, "the card", "card"),
            bind(Code(C::F(6)), A::WritePages, PAGES),
            slot(Code(C::Esc), A::Back, "take off what is looked for, then back", "back"),
        ],
    },
    Layer {
        of: M::HistoryView,
        inherits: &[M::History],
        rows: &[
            slot(Code(C::Up), A::Up, "one up, one down", "choose"),
            slot(Code(C::Down), A::Down, "one up, one down", "choose"),
            slot(Code(C::Enter), A::Choose, "open what is marked, or its sessions", "open"),
            slot(Code(C::Esc), A::Back, "take off what is looked for, then to the year", "year"),
        ],
    },
    Layer {
        of: M::HistoryFull,
        inherits: &[M::List, M::WithClient],
        rows: &[
            slot(Code(C::Up), A::Up, "one up, one down", "more"),
            slot(Code(C::Down), A::Down, "one up, one down", "more"),
            bind(Char('i'), A::InFull, "back from all of it"),
            slot(Ctrl('p'), A::OpenPlan, "plan with this client", "plan"),
            slot(Char('w'), A::WritePages, PAGES, "pages"),
            slot(Code(C::Esc), A::Back, "back from all of it", "back"),
        ],
    },
    Layer {
        of: M::HistoryFind,
        inherits: &[M::Text],
        rows: &[
            slot(Code(C::Enter), A::Choose, "keep what is typed", "keep it"),
            bind(Code(C::Tab), A::Choose, "keep what is typed"),
            bind(Ctrl('p'), A::OpenPlan, "plan with this client"),
            slot(Code(C::Esc), A::Back, "take off what is typed", "take it off"),
        ],
    },
    Layer {
        of: M::HistorySession,
        inherits: &[M::List, M::WithClient],
        rows: &[
            slot(Code(C::Up), A::Up, "the step before, the next step", "step"),
            slot(Code(C::Down), A::Down, "the step before, the next step", "step"),
            slot(Code(C::Left), A::Left, "the session before, the session after", "session before, after"),
            slot(Code(C::Right), A::Right, "the session before, the session after", "session before, after"),
            slot(Ctrl('p'), A::OpenPlan, "plan with this client", "plan"),
            slot(Code(C::Esc), A::Back, "to the sessions", "sessions"),
        ],
    },
    Layer {
        of: M::HistoryTable,
        inherits: &[M::List, M::WithClient],
        rows: &[
            slot(Code(C::Up), A::Up, "a row up, a row down", "rows"),
            slot(Code(C::Down), A::Down, "a row up, a row down", "rows"),
            slot(Code(C::Left), A::Left, "the table before, the next table", "tables"),
            slot(Code(C::Right), A::Right, "the table before, the next table", "tables"),
            slot(Ctrl('p'), A::OpenPlan, "plan with this client", "plan"),
            slot(Code(C::Esc), A::Back, "to the plots", "plots"),
        ],
    },
];
