//! What was written over, and what copies of a file disagree about: nothing that was once noted vanishes.

use chrono::{DateTime, FixedOffset};

/// Who writes something down, and when.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Attribution {
    /// When.
    pub at: DateTime<FixedOffset>,
    /// Who; empty if nobody says.
    pub by: String,
}

/// One value of a client's file that gave way to another.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
pub struct Revision {
    /// When.
    pub at: DateTime<FixedOffset>,
    /// Which value: the key, or the path of keys, such as `name` or `report.03.level`.
    pub of: String,
    /// The value before, as it stood in the file; none if there was none.
    pub from: Option<String>,
    /// The value after; none if it was taken away.
    pub to: Option<String>,
    /// Who did it; empty if nobody said.
    pub by: String,
}

/// Values of one key about which copies disagree. One is shown; all are kept until the trainer picks.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
pub struct Disagreement {
    /// Which value: the key, or the path of keys.
    pub of: String,
    /// The values as they would stand in the file, sorted; two at least.
    pub values: Vec<String>,
}

/// That something was taken back: it stays in the file and counts for nothing.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
pub struct TakenBack {
    /// When.
    pub at: DateTime<FixedOffset>,
    /// Who did it; empty if nobody said.
    pub by: String,
    /// Why.
    pub note: String,
}
