//! Keys of the health check. Yes, no and unsure end with its last question.

use ratatui::crossterm::event::KeyCode as C;

use super::action::Action as A;
use super::layer::Key::{Char, Code};
use super::layer::{Layer, bind, slot};
use crate::caution::screening::Answer;
use crate::tui::mode::Mode as M;

pub(super) static LAYERS: &[Layer] = &[
    Layer {
        of: M::Health,
        inherits: &[M::List],
        rows: &[
            slot(Char('y'), A::Answer(Answer::Yes), "yes", "yes"),
            slot(Char('n'), A::Answer(Answer::No), "no", "no"),
            slot(Char('u'), A::Answer(Answer::Unsure), "unsure: counts as yes", "unsure"),
            bind(Char('N'), A::AllNo, "no to all the rest, read aloud; Enter then takes it"),
            bind(Code(C::Enter), A::Choose, "take no to all the rest, after N; answers nothing else"),
            slot(Code(C::Backspace), A::Erase, "one question back", "one back"),
            bind(Char('c'), A::OpenCard, "the card"),
            bind(Code(C::F(2)), A::OpenCard, "the card"),
            slot(Code(C::Esc), A::Back, "back; only a yes that stopped is noted", "back"),
        ],
    },
    Layer {
        of: M::HealthFound,
        inherits: &[M::List],
        rows: &[
            slot(Code(C::Enter), A::Choose, "note the check with what is open, and go on", "note, go on"),
            slot(Char('c'), A::OpenCard, "the card, to put down what was found", "card"),
            bind(Code(C::F(2)), A::OpenCard, "the card, to put down what was found"),
            slot(Char('x'), A::TakeOff, "asked and settled: who settled the chosen one", "settled"),
            slot(Code(C::Backspace), A::Erase, "one question back", "one back"),
            slot(Code(C::Esc), A::Back, "back; nothing is noted", "nothing noted"),
        ],
    },
    Layer {
        of: M::HealthSettled,
        inherits: &[M::Text],
        rows: &[
            slot(Code(C::Enter), A::Choose, "settled by them today", "settled"),
            slot(Code(C::Esc), A::Back, "leave it open", "leave it open"),
        ],
    },
    Layer {
        of: M::HealthStop,
        inherits: &[],
        rows: &[
            slot(Char('d'), A::Decline, "no session today; Enter then notes it", "no session"),
            bind(Code(C::Enter), A::Choose, "note that there is no session, after d; nothing else"),
            slot(Code(C::Backspace), A::Erase, "it was not a yes: back to the question", "the question"),
            slot(Code(C::Esc), A::Back, "back to the question", "nothing noted"),
        ],
    },
];
