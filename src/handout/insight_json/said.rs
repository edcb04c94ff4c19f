//! What is said of a client, as JSON: each claim in the words of every other surface.

use serde::Serialize;

use crate::body::Muscle;
use crate::catalogue::StretchId;
use crate::insight::Claim;
use crate::words::ClaimWords;

/// A claim, in the words of every other surface.
#[derive(Debug, Serialize)]
pub(super) struct SaidJson {
    kind: &'static str,
    pub(super) muscles: Vec<Muscle>,
    #[serde(skip)]
    pub(super) stretch: Option<StretchId>,
    sentence: String,
    how_sure: Option<&'static str>,
}

impl SaidJson {
    pub(super) fn new(claim: &Claim, words: ClaimWords<'_>) -> Self {
        let kind = match claim {
            Claim::ConsentTakenBack(_) => "consent-taken-back",
            Claim::WithoutHands(_) => "without-hands",
            Claim::Pain(_) => "pain",
            Claim::Tighter { .. } => "tighter",
            Claim::EqualAgain { .. } => "equal-again",
            Claim::Moved(_) => "moved",
            Claim::AfterGap(..) => "after-gap",
            Claim::Neglected { .. } => "neglected",
            Claim::Review(_) => "review",
            Claim::LowForAge { .. } => "low-for-age",
            Claim::Flat(_) => "flat",
            Claim::Five(..) => "five",
            Claim::EasyTwice(..) => "easy-twice",
            Claim::SkippedTwice(..) => "skipped-twice",
            Claim::Leans(_) => "leans",
        };
        Self {
            kind,
            muscles: claim.muscles(),
            stretch: stretch_of(claim),
            sentence: words.sentence(claim),
            how_sure: ClaimWords::how_sure(claim),
        }
    }
}

/// The stretch that a claim is about, if it is about one.
fn stretch_of(claim: &Claim) -> Option<StretchId> {
    match claim {
        Claim::Pain(way) => Some(way.stretch.clone()),
        Claim::Moved(change) | Claim::AfterGap(change, _) | Claim::Flat(change) => {
            Some(change.stretch.clone())
        }
        Claim::LowForAge { norm, .. } => Some(norm.stretch.clone()),
        Claim::Five(stretch, ..) | Claim::EasyTwice(stretch, ..) | Claim::SkippedTwice(stretch, ..) => {
            Some(stretch.clone())
        }
        Claim::ConsentTakenBack(_)
        | Claim::WithoutHands(_)
        | Claim::Tighter { .. }
        | Claim::EqualAgain { .. }
        | Claim::Neglected { .. }
        | Claim::Review(_)
        | Claim::Leans(_) => None,
    }
}
