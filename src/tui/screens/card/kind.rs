//! Whose card it is: a client's, or one in which a walk-in has a part.

use crate::client::Profile;

/// What a walk-in is called where a name stands.
pub(super) const NAME: &str = "Walk-in";

/// Whether a walk-in has a part in a card.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub(super) enum Kind {
    /// A client's card.
    #[default]
    Client,
    /// What is asked of a walk-in.
    WalkIn {
        /// Whether it is somebody who has just come in.
        is_new: bool,
    },
    /// The card that is kept of a walk-in, if it gets a name.
    Keeping,
}

impl Kind {
    pub(super) const fn is_walk_in(self) -> bool {
        matches!(self, Self::WalkIn { .. })
    }

    /// What leaving the program would lose.
    pub(super) fn unsaved(self, is_changed: bool) -> Option<&'static str> {
        match self {
            Self::Client => is_changed.then_some("the card is not saved: Ctrl-S saves it"),
            Self::WalkIn { .. } => None,
            Self::Keeping => Some("nothing of the walk-in is kept: a name and Ctrl-S keep a card"),
        }
    }

    /// Why a profile does not do yet: of a walk-in nothing is known, so what the age limits has to be asked.
    pub(super) fn check(self, profile: &Profile) -> Result<(), String> {
        let misses = self.is_walk_in() && profile.born.is_none();
        if misses { Err("ask the year of birth: it says what the age limits".to_owned()) } else { Ok(()) }
    }

    /// The heading, with what is said beside it.
    pub(super) const fn heading(self) -> Option<(&'static str, &'static str)> {
        match self {
            Self::Client => None,
            Self::WalkIn { .. } => Some((NAME, "no card kept")),
            Self::Keeping => Some(("Keep a card?", "name, Ctrl-S: kept; Esc: nothing is kept")),
        }
    }

    /// What becomes of what is asked.
    pub(super) const fn says(self) -> Option<&'static str> {
        match self {
            Self::Client => None,
            Self::WalkIn { .. } => Some(
                "Ask the year of birth and what limits the work; the health check and consent follow, as for anybody. Nothing of it is written into the data folder, unless you keep a card when the block is closed. Your own minutes of the day count.",
            ),
            Self::Keeping => Some(
                "Type the name and press Ctrl-S: the card is kept with the health check, the conditions and this block. Esc lets the walk-in go, and nothing of them is kept.",
            ),
        }
    }
}
