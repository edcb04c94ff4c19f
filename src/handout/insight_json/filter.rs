//! What is left of the findings where only a stretch or a muscle is asked for.

use crate::body::Muscle;
use crate::catalogue::{Catalogue, StretchId};
use crate::handout::HistoryFilter;
use crate::insight::Claim;

use super::InsightJson;

impl InsightJson {
    /// Leaves only what a filter by stretch or muscle is about; a day leaves all, since findings rest on every session.
    pub(in crate::handout) fn keep(&mut self, filter: &HistoryFilter, catalogue: &Catalogue) {
        if filter.stretch.is_none() && filter.muscles.is_empty() {
            return;
        }
        let muscle = |muscle: Muscle| filter.takes_muscle(muscle, catalogue);
        let stretch = |stretch: &StretchId| filter.takes(stretch, catalogue);
        for said in [&mut self.said, &mut self.details] {
            said.retain(|said| match &said.stretch {
                Some(of) => stretch(of),
                None => said.muscles.iter().any(|&of| muscle(of)),
            });
        }
        self.sides.retain(|side| muscle(side.muscle));
        self.changes.retain(|change| stretch(&change.stretch));
        self.norms.retain(|norm| stretch(&norm.stretch));
        self.neglect.retain(|neglect| muscle(neglect.muscle));
        self.pain.retain(|pain| stretch(&pain.stretch));
        self.noted.retain(|noted| muscle(noted.muscle));
    }
}

/// The stretch that a claim is about, if it is about one.
pub(super) fn stretch_of(claim: &Claim) -> Option<StretchId> {
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
