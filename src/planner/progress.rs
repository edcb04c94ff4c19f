//! How far a closing block has come, for planning what is left of it.

use std::collections::BTreeMap;

use crate::body::{Seconds, Unit};
use crate::catalogue::{Position, StretchId};

/// What was done so far, where the client is and how long there is left.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Progress {
    /// Seconds that each unit has had, what is certain to follow included.
    pub done: BTreeMap<Unit, Seconds>,
    /// How the client is placed when the new plan begins; none before the first position.
    pub position: Option<Position>,
    /// Seconds from the beginning of the new plan to 'client stands up'.
    pub left: Seconds,
    /// Stretches that are over and do not come again today.
    pub finished: Vec<StretchId>,
}
