//! Keys of the review.

use ratatui::crossterm::event::KeyCode as C;

use super::action::Action as A;
use super::history::PAGES;
use super::layer::Key::{Char, Code, Ctrl, Digits};
use super::layer::{Layer, bind, slot};
use crate::caution::screening::Answer;
use crate::tui::mode::Mode as M;

const HELD: &str = "held 5 s shorter, 5 s longer";

pub(super) static LAYERS: &[Layer] = &[
    Layer {
        of: M::Review,
        inherits: &[M::List, M::WithClient],
        rows: &[
            slot(Code(C::Enter), A::Choose, "close the session", "close"),
            slot(Digits(1, 5), A::Digit(0), "what the client answered", "answer"),
            slot(Char('<'), A::Shorter, HELD, "held"),
            slot(Char('>'), A::Longer, HELD, "held"),
            bind(Char(','), A::Shorter, HELD),
            bind(Char('.'), A::Longer, HELD),
            slot(Char('g'), A::Angle, "the degrees that were measured", "degrees"),
            slot(Char('r'), A::Note, "write a remark", "remark"),
            slot(Char('w'), A::WritePages, PAGES, "pages"),
            bind(Char(' '), A::Pause, "go on with the rest; consent is asked again"),
            bind(Ctrl('s'), A::Save, "save the session in another folder, such as a stick's"),
            slot(Code(C::Esc), A::Back, "to the day; the session stays open", "day, stays open"),
        ],
    },
    Layer {
        of: M::ReviewHabit,
        inherits: &[M::Review],
        rows: &[
            slot(Char('y'), A::Answer(Answer::Yes), "plan it so from now on", "yes"),
            slot(Char('n'), A::Answer(Answer::No), "leave plans as they are", "no"),
        ],
    },
    Layer {
        of: M::ReviewText,
        inherits: &[M::Text],
        rows: &[
            slot(Code(C::Enter), A::Choose, "take it", "take it"),
            slot(Code(C::Esc), A::Back, "back", "back"),
        ],
    },
];
