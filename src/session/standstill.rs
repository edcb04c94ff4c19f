//! How the block stands: what is agreed to, where the client is, and why nothing goes on.

use crate::body::Side;
use crate::catalogue::Position;
use crate::client::Consent;
use crate::planner::Step;

use super::countdown::Moment;
use super::message::Pause;

/// What was agreed to at the start, and what is agreed to now.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct Agreed {
    pub(super) at_start: Consent,
    pub(super) now: Consent,
}

/// Where the client is, and the side that was worked last.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub(super) struct Reached {
    pub(super) position: Option<Position>,
    side: Option<Side>,
}

impl Reached {
    /// Where a step has the client.
    pub(super) const fn by(step: &Step) -> Self {
        Self { position: Some(step.position), side: step.side }
    }

    /// Whether the client neither moves nor turns for a step.
    pub(super) fn stays_for(self, step: &Step) -> bool {
        self.position == Some(step.position) && (self.side == step.side || step.side.is_none())
    }
}

/// A step that was stopped for pain, and what was left out for it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Hurt {
    pub(super) step: Step,
    pub(super) left_out: Vec<Step>,
}

/// That the block stands still.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct Standstill {
    pub(super) why: Pause,
    pub(super) since: Moment,
}
