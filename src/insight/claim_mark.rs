//! What a claim is about, for those who set it among others: the mark before it, its stretch, whether it is advice.

use crate::body::Side;
use crate::catalogue::StretchId;

use super::claims::Claim;

/// What stands before a claim.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum ClaimMark {
    /// The mark of a side, or of both.
    Side(Option<Side>),
    /// A dot: it is about no side.
    Dot,
}

impl Claim {
    /// What stands before it.
    pub fn mark(&self) -> ClaimMark {
        match self {
            Self::Pain(way) => ClaimMark::Side(Some(way.side)),
            Self::Tighter { sides, .. } => ClaimMark::Side(sides.began().map(|(side, _)| side)),
            Self::EqualAgain { .. } => ClaimMark::Side(None),
            Self::Moved(change) | Self::AfterGap(change, _) | Self::Flat(change) => {
                ClaimMark::Side(change.side)
            }
            Self::Neglected { is_both: false, neglect, .. } => ClaimMark::Side(Some(neglect.unit.side)),
            Self::Review(noted) => ClaimMark::Side(Some(noted.unit.side)),
            Self::LowForAge { norm, .. } => ClaimMark::Side(norm.side),
            Self::Five(_, side, _) | Self::EasyTwice(_, side, _) | Self::SkippedTwice(_, side, _) => {
                ClaimMark::Side(*side)
            }
            Self::Leans(sides) => sides.leans.map_or(ClaimMark::Dot, |side| ClaimMark::Side(Some(side))),
            Self::Neglected { is_both: true, .. } | Self::ConsentTakenBack(_) | Self::WithoutHands(_) => {
                ClaimMark::Dot
            }
        }
    }

    /// The stretch that it is about, if it is about one.
    pub const fn stretch(&self) -> Option<&StretchId> {
        match self {
            Self::Pain(way) => Some(&way.stretch),
            Self::Moved(change) | Self::AfterGap(change, _) | Self::Flat(change) => Some(&change.stretch),
            Self::Five(stretch, ..) | Self::EasyTwice(stretch, ..) | Self::SkippedTwice(stretch, ..) => {
                Some(stretch)
            }
            _ => None,
        }
    }

    /// Whether it says what to do the next time, rather than how things are.
    pub const fn is_for_next_time(&self) -> bool {
        matches!(
            self,
            Self::ConsentTakenBack(_)
                | Self::WithoutHands(_)
                | Self::Pain(_)
                | Self::Neglected { .. }
                | Self::Five(..)
                | Self::EasyTwice(..)
                | Self::SkippedTwice(..)
        )
    }
}
