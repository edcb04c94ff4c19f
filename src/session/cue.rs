//! What is said or rung while the block runs.
//!
//! The block says when a line is due and how long there is for it; the words, and whether they fit, are the host's.

use std::time::Duration;

use crate::body::Seconds;

use super::countdown::Moment;

/// The last seconds are counted down.
pub(super) const LAST_THREE: Seconds = Seconds::new(3);

/// How urgent a line is: a higher one cuts off a lower one, and a lower one is not begun if it would be cut off.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Urgency {
    /// Late, last step, minutes left.
    Remark,
    /// Seconds that are left.
    Mark,
    /// An answer to what was pressed.
    Answer,
    /// What is asked of the client.
    Question,
    /// Position and side.
    Change,
    /// Hold, push, relax, up.
    Work,
    /// Pain, stop.
    Alarm,
}

/// What a line is about; the step it speaks of is that of the snapshot.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Saying {
    /// The client's side, and where the position changes, the position: the step that is made ready.
    Ready,
    /// How the first step is set up.
    Hands,
    /// The step is worked in another way than the one before.
    Method,
    /// The hold begins, so long.
    Hold(Seconds),
    /// The client pushes: this cycle, of so many.
    Push {
        /// The cycle, from 1.
        cycle: u8,
        /// How many there are.
        of: u8,
    },
    /// The client lets go, and the stretch goes further.
    Relax {
        /// The cycle, from 1.
        cycle: u8,
        /// How many there are.
        of: u8,
    },
    /// So much is left of the hold.
    Left(Seconds),
    /// The hold is over; with a question, one to five?
    Up,
    /// One to five? Once more.
    Ask,
    /// The massage begins.
    Massage,
    /// What is the case now, since what was due could not be said in time.
    Now,
    /// So late.
    Late(Seconds),
    /// The last step is made ready.
    LastStep,
    /// One minute until the client has to be up.
    MinuteLeft,
    /// Pain: ease out.
    Pain,
    /// Where, and what kind?
    AskAboutPain,
    /// Hands off.
    Stop,
    /// The block stands still.
    Paused,
    /// It goes on, with so much left of the phase.
    GoOn(Seconds),
    /// The last thing was taken back.
    TakenBack,
    /// The block is over.
    Done,
}

impl Saying {
    /// How urgent it is.
    pub const fn urgency(self) -> Urgency {
        match self {
            Self::Pain | Self::Stop => Urgency::Alarm,
            Self::Hold(_) | Self::Push { .. } | Self::Relax { .. } | Self::Up | Self::Massage | Self::Now => {
                Urgency::Work
            }
            Self::Ready => Urgency::Change,
            Self::Ask | Self::AskAboutPain => Urgency::Question,
            Self::Hands | Self::Method | Self::Paused | Self::GoOn(_) | Self::TakenBack | Self::Done => {
                Urgency::Answer
            }
            Self::Left(_) => Urgency::Mark,
            Self::Late(_) | Self::LastStep | Self::MinuteLeft => Urgency::Remark,
        }
    }

    /// How often a bell rings where nothing is spoken: once to work, twice to change, three times for up.
    pub const fn bells(self) -> u8 {
        match self {
            Self::Hold(_) | Self::Push { .. } | Self::Relax { .. } | Self::Massage => 1,
            Self::Left(left) if left.get() <= LAST_THREE.get() => 1,
            Self::Ready => 2,
            Self::Up | Self::Done => 3,
            _ => 0,
        }
    }
}

impl Saying {
    /// Whether it is said by the phase that begins or ends with it.
    pub(super) const fn is_phase(self) -> bool {
        matches!(self.urgency(), Urgency::Work) || matches!(self, Self::Done)
    }
}

/// What was said so far.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub(super) struct Spoken {
    /// Up to when; nothing of what is going on yet if none.
    pub(super) said: Option<Moment>,
    /// Whether "up" came before what is made ready.
    pub(super) is_led: bool,
    /// The mark of lateness that was said last.
    pub(super) late: Seconds,
}

/// A line at its moment.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Cue {
    /// What it is about.
    pub what: Saying,
    /// How long there is for it before something more urgent is due; none if that is not known.
    pub room: Option<Duration>,
}

/// Whether now is too late to say what fell due then: only what is the case now is said after a second.
pub(super) fn is_too_late(due: Moment, now: Moment) -> bool {
    now.since(due) > Duration::from_secs(1)
}
