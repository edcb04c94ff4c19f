//! Keys of the plan, of what was left out and of the question of consent.

use ratatui::crossterm::event::KeyCode as C;

use super::action::Action as A;
use super::day::SORE;
use super::layer::Key::{Char, Code, Ctrl, Digits};
use super::layer::{Layer, bind, slot};
use crate::tui::mode::{Detour, Mode as M};

pub(super) static LAYERS: &[Layer] = &[
    Layer {
        of: M::Trained,
        inherits: &[M::Caret, M::WithClient],
        rows: &[
            slot(
                Code(C::Enter),
                A::Choose,
                "mark the muscle; where nothing is typed, ask consent and start",
                "mark/start",
            ),
            slot(Digits(0, 3), A::Digit(0), "how hard it was trained; 0 takes it off", "how hard"),
            slot(Char('+'), A::More, "a minute more, a minute less; the plan follows", "minutes"),
            slot(Char('-'), A::Fewer, "a minute more, a minute less; the plan follows", "minutes"),
            bind(Char('='), A::More, "a minute more, a minute less; the plan follows"),
            bind(Char(' '), A::Toggle, "mark the muscle, again for harder, then not at all"),
            slot(Code(C::Tab), A::NextPart, "to the steps", "steps"),
            bind(Ctrl('r'), A::Repeat, "repeat: trained as last time"),
            bind(Ctrl('e'), A::EndAt, "end at a time of day"),
            bind(Ctrl('b'), A::Blocks, "a whole block again: as last time, or one kept by name"),
            bind(Code(C::F(6)), A::Open(Detour::Sore), SORE),
            slot(Code(C::Esc), A::Back, "to the day", "day"),
        ],
    },
    Layer {
        of: M::Steps,
        inherits: &[M::List, M::WithClient],
        rows: &[
            slot(Code(C::Enter), A::Begin, "ask consent and start", "start"),
            slot(Char('k'), A::Keep, "keep this stretch in the plan", "keep"),
            slot(Char('x'), A::TakeOff, "leave this stretch out", "out"),
            slot(Char('v'), A::Version, "another version of this stretch", "other way"),
            slot(Char('<'), A::Shorter, "this hold shorter, longer", "hold"),
            slot(Char('>'), A::Longer, "this hold shorter, longer", "hold"),
            bind(Char(','), A::Shorter, "this hold shorter, longer"),
            bind(Char('.'), A::Longer, "this hold shorter, longer"),
            slot(Char('i'), A::InFull, "in full: all about this stretch, and the cautions", "more"),
            slot(Char('o'), A::LeftOut, "what was left out, and why", "left out"),
            bind(Char('+'), A::More, "a minute more, a minute less; the plan follows"),
            bind(Char('-'), A::Fewer, "a minute more, a minute less; the plan follows"),
            bind(Char('='), A::More, "a minute more, a minute less; the plan follows"),
            bind(Char('e'), A::EndAt, "end at a time of day"),
            bind(Ctrl('e'), A::EndAt, "end at a time of day"),
            bind(Ctrl('b'), A::Blocks, "a whole block again: as last time, or one kept by name"),
            bind(Ctrl('r'), A::Repeat, "repeat: trained as last time"),
            bind(Code(C::Left), A::Up, "one up, one down"),
            bind(Code(C::Right), A::Down, "one up, one down"),
            bind(Code(C::F(6)), A::Open(Detour::Sore), SORE),
            bind(Code(C::Tab), A::NextPart, "to what was trained"),
            slot(Code(C::Esc), A::Back, "to what was trained, then to the day", "back"),
        ],
    },
    Layer {
        of: M::LeftOut,
        inherits: &[M::List, M::WithClient],
        rows: &[
            slot(Code(C::Enter), A::Choose, "put this stretch into the plan", "put in"),
            slot(Char('/'), A::Find, "find by a few letters", "find"),
            slot(Code(C::Esc), A::Back, "to the plan", "plan"),
        ],
    },
    Layer {
        of: M::LeftOutFind,
        inherits: &[M::Caret],
        rows: &[
            slot(Code(C::Enter), A::Choose, "put this stretch into the plan", "put in"),
            bind(Code(C::Tab), A::NextPart, "into the list"),
            slot(Code(C::Esc), A::Back, "take off what is typed; back to the list", "list"),
        ],
    },
    Layer {
        of: M::EndAt,
        inherits: &[M::Caret],
        rows: &[
            slot(Code(C::Enter), A::Choose, "end then", "end then"),
            slot(Code(C::Esc), A::Back, "to the plan", "plan"),
        ],
    },
    Layer {
        of: M::Blocks,
        inherits: &[M::List, M::WithClient],
        rows: &[
            slot(
                Code(C::Enter),
                A::Choose,
                "take this block; on the last row, keep the plan by a name",
                "take it",
            ),
            slot(Char('x'), A::TakeOff, "take the kept block off the list", "take off"),
            slot(Code(C::Esc), A::Back, "to the plan", "plan"),
        ],
    },
    Layer {
        of: M::BlockName,
        inherits: &[M::Text],
        rows: &[
            slot(Code(C::Enter), A::Choose, "keep the plan by this name", "keep"),
            slot(Code(C::Esc), A::Back, "back; nothing is kept", "back"),
        ],
    },
    Layer {
        of: M::CutOff,
        inherits: &[M::List, M::WithClient],
        rows: &[
            slot(Code(C::Enter), A::Choose, "go on where it stopped", "go on where it stopped"),
            slot(Char('f'), A::Finish, "finish here: look at what came out, and close it", "finish"),
            slot(
                Char('x'),
                A::TakeOff,
                "drop it, as something that did not happen; Enter then does it",
                "drop",
            ),
            bind(
                Code(C::Tab),
                A::NextPart,
                "where a later session is closed: plan another; this one is offered again",
            ),
            slot(Code(C::Esc), A::Back, "to the day", "day"),
        ],
    },
    Layer {
        of: M::CutOffDrop,
        inherits: &[M::List],
        rows: &[
            slot(
                Code(C::Enter),
                A::Choose,
                "drop it: it stays in the file and counts for nothing",
                "drop it",
            ),
            slot(Code(C::Esc), A::Back, "keep it", "keep it"),
        ],
    },
    Layer {
        of: M::Consent,
        inherits: &[M::WithClient],
        rows: &[
            slot(Char('a'), A::Agree, "agrees: hands-on; Enter then notes it", "agrees"),
            slot(
                Char('b'),
                A::ByThemselves,
                "by themselves: you coach, no hands; Enter then notes it",
                "by themselves",
            ),
            slot(Char('d'), A::Decline, "declines: no stretching today; Enter then notes it", "declines"),
            bind(Char('t'), A::Towel, "a towel between, yes or no"),
            bind(Char('m'), A::Massage, "massage at the end, yes or no"),
            bind(Char('i'), A::InFull, "in full: what to mind before the first touch"),
            slot(
                Code(C::Enter),
                A::Choose,
                "note what is chosen, and start; nothing where nothing is chosen",
                "start",
            ),
            slot(Code(C::Esc), A::Back, "to the plan; nothing is noted", "plan"),
        ],
    },
];
