//! What the words for a trainer's posture come to in the classes of REBA.
//!
//! Kneeling is no posture of the legs in that method. Knee and foot or both knees bear the weight here (1) with a knee
//! bent past 60 degrees (2 more): 3, which is our reading. A bend on the edge of two classes belongs to the lower one,
//! a load on an edge to the higher one; the method leaves both open.

use crate::catalogue::{
    ArmReach, ElbowBend, Form, HandGrip, HeadTilt, Helper, PostureExtra, TrainerPosture, TrainerStance,
    TrunkBend, WristBend,
};

use super::reba::Posture;

/// A form's posture as it is reckoned with, and whether the form tells it; none if the client stretches alone.
///
/// What is not told is not free: it counts as the posture of [`TrainerPosture::untold`].
pub fn trainer_posture(form: &Form) -> Option<(TrainerPosture, bool)> {
    if form.helper == Helper::Client {
        return None;
    }
    Some(match &form.trainer {
        Some(posture) => (posture.clone(), true),
        None => (TrainerPosture::untold(form.is_on_floor()), false),
    })
}

/// Whether a stance is on the knees.
pub const fn is_kneeling(stance: TrainerStance) -> bool {
    matches!(
        stance,
        TrainerStance::HalfKneel | TrainerStance::Kneel | TrainerStance::OnHeels | TrainerStance::Squat
    )
}

/// Whether the trunk is bent more than 20 degrees, or turned.
pub(super) fn is_bent(posture: &TrainerPosture) -> bool {
    matches!(posture.trunk, TrunkBend::Bent | TrunkBend::Stooped) || posture.has(PostureExtra::Turned)
}

/// Whether the base is one from which a sudden push can be met badly.
pub(super) fn is_unbraced(posture: &TrainerPosture, stance: TrainerStance) -> bool {
    matches!(stance, TrainerStance::Squat | TrainerStance::OneLeg) || posture.has(PostureExtra::Unsteady)
}

fn legs(posture: &TrainerPosture, stance: TrainerStance) -> u8 {
    let (base, knees) = match stance {
        TrainerStance::Stand | TrainerStance::Step | TrainerStance::Sit => (1, 0),
        TrainerStance::KneesBent => (1, 1),
        TrainerStance::OneLeg => (2, 0),
        TrainerStance::HalfKneel | TrainerStance::Kneel | TrainerStance::OnHeels => (1, 2),
        TrainerStance::Squat => (2, 2),
    };
    let base = if posture.has(PostureExtra::Unsteady) { 2 } else { base };
    base + knees
}

fn upper_arm(posture: &TrainerPosture) -> u8 {
    let raised = match posture.arms {
        ArmReach::BySide => 1,
        ArmReach::Low => 2,
        ArmReach::Level => 3,
        ArmReach::High => 4,
    };
    let more =
        [PostureExtra::ElbowsOut, PostureExtra::ShouldersUp].into_iter().filter(|&extra| posture.has(extra));
    let raised = raised + u8::try_from(more.count()).unwrap_or(2);
    // Below 1 the tables have no place.
    if posture.has(PostureExtra::ArmsRest) { raised.saturating_sub(1).max(1) } else { raised }
}

/// The scores of the parts of the body in one of a posture's stances; load and activity are still to come.
pub fn reba_posture(posture: &TrainerPosture, stance: TrainerStance) -> Posture {
    let adds = |extra: PostureExtra| u8::from(posture.has(extra));
    let trunk = match posture.trunk {
        TrunkBend::Upright => 1,
        TrunkBend::Leaning | TrunkBend::LeaningBack => 2,
        TrunkBend::Bent => 3,
        TrunkBend::Stooped => 4,
    };
    let neck = match posture.head {
        HeadTilt::Level => 1,
        HeadTilt::Down | HeadTilt::Up => 2,
    };
    Posture {
        trunk: trunk + adds(PostureExtra::Turned),
        neck: neck + adds(PostureExtra::HeadTurned),
        legs: legs(posture, stance),
        load: 0,
        upper_arm: upper_arm(posture),
        lower_arm: match posture.elbows {
            ElbowBend::Bent => 1,
            ElbowBend::Long => 2,
        },
        wrist: match posture.wrists {
            WristBend::Straight => 1,
            WristBend::Bent => 2,
        } + adds(PostureExtra::WristTurned),
        coupling: match posture.grip {
            HandGrip::Good => 0,
            HandGrip::Fair => 1,
            HandGrip::Poor => 2,
            HandGrip::Bad => 3,
        },
        activity: 0,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn posture(change: impl FnOnce(&mut TrainerPosture)) -> TrainerPosture {
        let mut posture = TrainerPosture::untold(true);
        change(&mut posture);
        posture
    }

    #[test]
    fn the_worst_words_are_at_the_ends_of_the_tables() {
        let worst = posture(|posture| {
            (posture.trunk, posture.head, posture.arms) = (TrunkBend::Stooped, HeadTilt::Up, ArmReach::High);
            (posture.wrists, posture.grip) = (WristBend::Bent, HandGrip::Bad);
            posture.extra =
                PostureExtra::ALL.iter().copied().filter(|&extra| extra != PostureExtra::ArmsRest).collect();
        });
        let scored = reba_posture(&worst, TrainerStance::Squat);
        assert_eq!((scored.trunk, scored.neck, scored.legs), (5, 3, 4));
        assert_eq!((scored.upper_arm, scored.lower_arm, scored.wrist, scored.coupling), (6, 2, 3, 3));
        assert!(scored.score().is_ok());
    }

    #[test]
    fn every_word_has_its_place_in_the_tables() {
        for &stance in TrainerStance::ALL {
            for &trunk in TrunkBend::ALL {
                for &head in HeadTilt::ALL {
                    for &arms in ArmReach::ALL {
                        for &extra in PostureExtra::ALL {
                            let told = posture(|posture| {
                                (posture.trunk, posture.head, posture.arms) = (trunk, head, arms);
                                posture.extra = vec![extra];
                            });
                            assert!(reba_posture(&told, stance).score().is_ok(), "{told:?}");
                        }
                    }
                }
            }
        }
    }

    #[test]
    fn an_unsteady_base_counts_as_one_leg_and_a_squat_no_worse() {
        let unsteady = posture(|posture| posture.extra = vec![PostureExtra::Unsteady]);
        let legs = [
            TrainerStance::Step,
            TrainerStance::KneesBent,
            TrainerStance::OneLeg,
            TrainerStance::HalfKneel,
            TrainerStance::Squat,
        ];
        assert_eq!(legs.map(|stance| reba_posture(&unsteady, stance).legs), [2, 3, 2, 4, 4]);
    }
}
