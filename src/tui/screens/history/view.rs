//! The views of a history, in the order in which they are gone through.

/// What is looked at.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum HistoryView {
    /// What is found, who answered higher week by week, the last sessions.
    Year,
    /// One stretch: answers and degrees.
    Stretch,
    /// Seconds held a week, by muscle.
    Weeks,
    /// Every session.
    Sessions,
    /// All years by calendar quarter.
    Quarters,
}

impl HistoryView {
    /// All of them.
    pub(super) const ALL: [Self; 5] =
        [Self::Year, Self::Stretch, Self::Weeks, Self::Sessions, Self::Quarters];

    /// What it is called.
    pub(super) const fn name(self) -> &'static str {
        match self {
            Self::Year => "Year",
            Self::Stretch => "Stretch",
            Self::Weeks => "Weeks",
            Self::Sessions => "Sessions",
            Self::Quarters => "Quarters",
        }
    }

    /// The next one, or the one before.
    pub(super) const fn next(self, forward: bool) -> Self {
        let by = if forward { 1 } else { Self::ALL.len() - 1 };
        Self::ALL[(self as usize + by) % Self::ALL.len()]
    }
}
