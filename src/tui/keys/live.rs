//! Keys of the running block. Pain and stop hold over every sheet of it.

use ratatui::crossterm::event::KeyCode as C;

use super::action::Action as A;
use super::layer::Key::{Char, Code, Digits};
use super::layer::{Binding, Layer, bind, slot};
use crate::tui::mode::Mode as M;
use crate::tui::remote::Button;

const MINUTES: &str = "a minute more, a minute less; the rest is planned again";
const HOLD: &str = "this hold 5 s shorter, 5 s longer";

// A record about consent takes two different keys, wherever it can be made.
const TAKEN_BACK: Binding =
    slot(Char('d'), A::Decline, "consent taken back; Enter then notes it with the time", "taken back");
const NOTE_TAKEN_BACK: Binding =
    bind(Code(C::Enter), A::Choose, "note that consent is taken back, after d; nothing else");

pub(super) static LAYERS: &[Layer] = &[
    Layer {
        of: M::Block,
        inherits: &[],
        rows: &[
            bind(Char('p'), A::Pain, "pain: this stretch stops, and that is noted"),
            bind(Char('s'), A::Stop, "stop: hands off, the clock stands; nothing is noted"),
            bind(
                Code(C::PageDown),
                A::Remote(Button::On),
                "remote, on: where it is; twice: next; counts from one",
            ),
            bind(Code(C::PageUp), A::Remote(Button::Back), "remote, back: pause; counts from five"),
            bind(
                Code(C::F(7)),
                A::Remote(Button::Third),
                "remote, third (or back twice): ease out; again: pain",
            ),
            bind(Code(C::F(8)), A::Remote(Button::Fourth), "remote, fourth (or on, back): undo, clear"),
        ],
    },
    Layer {
        of: M::Live,
        inherits: &[M::Block],
        // What must not be missed comes first, since a narrow row shows the first ones.
        rows: &[
            slot(Digits(1, 5), A::Digit(0), "what the client answers", "answer"),
            slot(Char('p'), A::Pain, "pain: this stretch stops, and that is noted", "pain"),
            slot(Char('s'), A::Stop, "stop: hands off, the clock stands; nothing is noted", "stop"),
            slot(Char(' '), A::Pause, "pause, go on", "pause"),
            slot(Code(C::Right), A::NextStep, "to the next step", "next"),
            bind(Code(C::Left), A::StepBefore, "to the step before"),
            slot(Char('i'), A::InFull, "in full: all about this stretch, and the cautions", "more"),
            bind(Code(C::Enter), A::Choose, "begin the hold now, while it is made ready; never ends one"),
            bind(Char('<'), A::Shorter, HOLD),
            bind(Char('>'), A::Longer, HOLD),
            bind(Char(','), A::Shorter, HOLD),
            bind(Char('.'), A::Longer, HOLD),
            bind(Char('+'), A::More, MINUTES),
            bind(Char('-'), A::Fewer, MINUTES),
            bind(Char('='), A::More, MINUTES),
            bind(Char('l'), A::Less, "the client wants less: no hands, a towel, no massage"),
            bind(Code(C::Up), A::Up, "through all about it, while that is shown"),
            bind(Code(C::Down), A::Down, "through all about it, while that is shown"),
            slot(Code(C::Esc), A::Back, "pause; once more leaves, to be taken up later", "leave"),
        ],
    },
    Layer {
        of: M::Paused,
        inherits: &[M::Live],
        rows: &[
            slot(Char(' '), A::Pause, "go on", "go on"),
            slot(Char('s'), A::Stop, "stop: hands off; nothing is noted", "stop"),
            slot(Char('l'), A::Less, "the client wants less: no hands, a towel, no massage", "less"),
            slot(Char('+'), A::More, MINUTES, "minutes"),
            slot(Char('-'), A::Fewer, MINUTES, "minutes"),
            slot(Char('f'), A::Finish, "finish here", "finish here"),
            bind(Digits(1, 5), A::Digit(0), "what the client answers"),
            bind(Char('p'), A::Pain, "pain: this stretch stops, and that is noted"),
            bind(Char('i'), A::InFull, "in full: all about this stretch, and the cautions"),
            bind(Code(C::Right), A::NextStep, "to the next step"),
            slot(Code(C::Esc), A::Back, "leave, to be taken up later", "leave"),
        ],
    },
    Layer {
        of: M::Pain,
        inherits: &[M::Block],
        rows: &[
            slot(Code(C::Right), A::NextStep, "go on without it", "go on"),
            bind(Char(' '), A::Pause, "go on without it"),
            slot(Char('f'), A::Finish, "finish here", "finish here"),
            slot(Char('z'), A::Undo, "it was a slip: take the note back", "a slip"),
            slot(Code(C::Esc), A::Back, "leave, to be taken up later", "leave"),
        ],
    },
    Layer {
        of: M::Stop,
        inherits: &[M::Block],
        rows: &[
            slot(Char(' '), A::Pause, "all is well: go on", "go on"),
            slot(Char('f'), A::Finish, "finish here; nothing more is noted", "finish"),
            slot(Char('b'), A::ByThemselves, "no more hands today: go on by themselves", "by themselves"),
            TAKEN_BACK,
            NOTE_TAKEN_BACK,
            slot(Code(C::Esc), A::Back, "leave, to be taken up later", "leave"),
        ],
    },
    Layer {
        of: M::Less,
        inherits: &[M::Block],
        rows: &[
            slot(Char('b'), A::ByThemselves, "no hands: go on by themselves", "by themselves"),
            slot(Char('t'), A::Towel, "a towel between", "towel"),
            slot(Char('m'), A::Massage, "no massage", "no massage"),
            TAKEN_BACK,
            NOTE_TAKEN_BACK,
            slot(Char(' '), A::Pause, "all as before: go on", "go on"),
            slot(Code(C::Esc), A::Back, "back to the block", "back"),
        ],
    },
];
