//! Where a block is, and the phases that it goes through.

use crate::catalogue::Position;

/// What the block is at.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum BlockCursor {
    /// The step of that number, from 0.
    Step(usize),
    Massage,
    /// Nothing is planned any more, and a new plan is awaited.
    Waiting,
    /// It is over, and nobody has been told yet.
    Ending,
    Finished,
}

impl BlockCursor {
    pub(super) const fn step(self) -> Option<usize> {
        match self {
            Self::Step(index) => Some(index),
            _ => None,
        }
    }

    pub(super) const fn is_over(self) -> bool {
        matches!(self, Self::Ending | Self::Finished)
    }
}

/// What is going on.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Stage {
    /// Consent is asked and the client settles.
    Opening,
    /// The client gets into another position or turns to the other side.
    Change {
        /// Where the client comes from; none at the beginning.
        from: Option<Position>,
        /// Where the client goes.
        to: Position,
    },
    /// The trainer sets the stretch up.
    SetUp,
    /// A still hold.
    Hold,
    /// The client pushes against the hand.
    Push {
        /// The cycle, from 1.
        cycle: u8,
        /// How many there are.
        of: u8,
    },
    /// The client relaxes and the stretch goes further.
    Relax {
        /// The cycle, from 1.
        cycle: u8,
        /// How many there are.
        of: u8,
    },
    /// The massage finish.
    Massage,
    /// Nothing is planned any more, but the block is not closed: a new plan or the end is awaited.
    Waiting,
    /// The block is over.
    Finished,
}

impl Stage {
    /// Whether the seconds count as time under stretch.
    pub const fn is_stretch(self) -> bool {
        matches!(self, Self::Hold | Self::Relax { .. })
    }

    /// Whether the stretch itself has begun: a hold, a push or going further.
    pub const fn is_work(self) -> bool {
        matches!(self, Self::Hold | Self::Push { .. } | Self::Relax { .. })
    }
}
