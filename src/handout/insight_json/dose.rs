//! A client's seconds against the client's own weeks and against guidance, as JSON.

use serde::Serialize;

use crate::body::{Muscle, Seconds, Side};
use crate::insight::habit::{GuidanceShare, OwnAmount, OwnDose, SideShare};

#[derive(Debug, Serialize)]
pub(super) struct DoseJson {
    own: Vec<OwnAmountJson>,
    sides: Vec<SideShareJson>,
    guidance: Option<GuidanceJson>,
}

#[derive(Debug, Serialize)]
struct OwnAmountJson {
    muscle: Muscle,
    side: Side,
    usual_s_a_week: Seconds,
    now_s_a_week: Seconds,
}

#[derive(Debug, Serialize)]
struct SideShareJson {
    muscle: Muscle,
    left_s: Seconds,
    right_s: Seconds,
}

#[derive(Debug, Serialize)]
struct GuidanceJson {
    percent_of_least: u32,
    sessions_in_eight_weeks: u32,
}

impl DoseJson {
    pub(super) fn new(dose: OwnDose) -> Self {
        let own = |amount: OwnAmount| OwnAmountJson {
            muscle: amount.unit.muscle,
            side: amount.unit.side,
            usual_s_a_week: amount.usual,
            now_s_a_week: amount.now,
        };
        let sides = |share: SideShare| {
            let [left_s, right_s] = share.seconds;
            SideShareJson { muscle: share.muscle, left_s, right_s }
        };
        let guidance = |share: GuidanceShare| GuidanceJson {
            percent_of_least: share.percent,
            sessions_in_eight_weeks: share.sessions,
        };
        Self {
            own: dose.own.into_iter().map(own).collect(),
            sides: dose.sides.into_iter().map(sides).collect(),
            guidance: dose.guidance.map(guidance),
        }
    }

    /// Leaves only what is about some muscles.
    pub(super) fn keep(&mut self, wanted: impl Fn(Muscle) -> bool) {
        self.own.retain(|amount| wanted(amount.muscle));
        self.sides.retain(|share| wanted(share.muscle));
    }
}
