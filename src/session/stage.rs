//! The phases that a block goes through.

use crate::catalogue::Position;

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
