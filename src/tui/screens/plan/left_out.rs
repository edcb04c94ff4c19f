//! What a plan reaches and what it leaves out, in the order in which it is asked about.

use std::collections::BTreeSet;

use crate::body::{Side, Unit};
use crate::planner::{Omission, Plan, Step, WhyLeftOut};

/// Whether the trainer may put in what was left out for this reason.
pub(super) const fn may_be_put_in(reason: &WhyLeftOut) -> bool {
    matches!(
        reason,
        WhyLeftOut::Pain
            | WhyLeftOut::You
            | WhyLeftOut::Time(_)
            | WhyLeftOut::Skipped
            | WhyLeftOut::NotNeeded
            | WhyLeftOut::Enough
    )
}

/// What was left out, what may be put in first, what must not be done last.
pub(super) fn omissions(plan: &Plan) -> Vec<&Omission> {
    let rank = |reason: &WhyLeftOut| match reason {
        WhyLeftOut::Pain => 0,
        WhyLeftOut::Time(_) => 1,
        WhyLeftOut::Skipped => 2,
        WhyLeftOut::Enough | WhyLeftOut::NotNeeded => 3,
        WhyLeftOut::Equipment | WhyLeftOut::Consent | WhyLeftOut::You => 4,
        WhyLeftOut::Caution => 5,
    };
    let mut omissions: Vec<&Omission> = plan.left_out.iter().collect();
    omissions.sort_by_key(|left| rank(&left.reason));
    omissions
}

/// The units that a plan reaches.
pub(super) fn reached(plan: &Plan) -> BTreeSet<Unit> {
    let units = |step: &Step| {
        let sides: Vec<Side> = step.side.map_or(Side::ALL.to_vec(), |side| vec![side]);
        step.muscles
            .iter()
            .flat_map(move |muscle| sides.clone().into_iter().map(|side| Unit { muscle: *muscle, side }))
            .collect::<Vec<_>>()
    };
    plan.steps.iter().flat_map(units).collect()
}
