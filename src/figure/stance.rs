//! The trainer's own stance as a form, so that it is drawn by the same code as the client's: from what the posture says of
//! legs, trunk, head and arms, in degrees from the middle of each word.

use crate::body::{Degrees, Motion, Seconds};
use crate::catalogue::{
    ArmReach, Cues, Drawing, ElbowBend, Equipment, Form, FormId, HeadTilt, Helper, Loads, MotionAngle,
    Position, SeenFrom, Sides, TrainerPosture, TrainerStance, TrunkBend,
};

/// As far as the hips bend on one knee.
const HALF_KNEELING: i16 = 44;

/// The figure of a trainer; none of a stance that is advised against, or that no figure tells from another.
pub fn stance(posture: &TrainerPosture, stance: TrainerStance) -> Option<Form> {
    let lean = match posture.trunk {
        TrunkBend::Upright => 2,
        TrunkBend::Leaning => 14,
        TrunkBend::LeaningBack => -10,
        TrunkBend::Bent => 38,
        TrunkBend::Stooped => 68,
    };
    let (position, worked, other) = legs(stance, lean)?;
    let mut motions = worked;
    let mut upper = upper_body(posture);
    if stance == TrainerStance::HalfKneel && lean > HALF_KNEELING {
        // The hips go no further there; the back makes up for it.
        upper.extend(angles(&[(Motion::TrunkFlexion, lean - HALF_KNEELING)]));
    }
    motions.extend(upper.iter().copied());
    let mut other_side = other;
    other_side.extend(upper.iter().copied().filter(|angle| !angle.motion.is_midline()));
    let sits = position == Position::Seated;
    Some(Form {
        id: FormId::new("trainer").expect("letters are a word"),
        name: String::new(),
        position,
        sides: Sides::Each,
        helper: Helper::Client,
        motions,
        other_side,
        loads: Loads::default(),
        targets: Vec::new(),
        setup: Seconds::ZERO,
        equipment: if sits { vec![Equipment::Chair] } else { Vec::new() },
        holds: Vec::new(),
        contract_relax: Vec::new(),
        trainer: None,
        gentle: false,
        usual: None,
        cues: Cues::default(),
        drawing: Drawing { seen_from: Some(SeenFrom::Side), ..Drawing::default() },
    })
}

/// Where the weight is, and what each leg does with the trunk leant so far from the hips.
fn legs(stance: TrainerStance, lean: i16) -> Option<(Position, Vec<MotionAngle>, Vec<MotionAngle>)> {
    // A flat foot says how far the pelvis leans: hip less knee and ankle.
    let leg = |knee: i16, ankle: i16| {
        angles(&[
            (Motion::HipFlexion, lean + knee - ankle),
            (Motion::KneeFlexion, knee),
            (Motion::AnkleDorsiflexion, ankle),
        ])
    };
    let kneels = |hip: i16, knee: i16| angles(&[(Motion::HipFlexion, hip), (Motion::KneeFlexion, knee)]);
    Some(match stance {
        TrainerStance::Stand => (Position::Standing, leg(8, 4), leg(8, 4)),
        TrainerStance::Step => (
            Position::Standing,
            leg(35, 14),
            angles(&[(Motion::HipExtension, 16 - lean), (Motion::KneeFlexion, 12)]),
        ),
        TrainerStance::KneesBent => (Position::Standing, leg(48, 24), leg(48, 24)),
        TrainerStance::Sit => (Position::Seated, kneels(90 + lean, 90), kneels(90 + lean, 90)),
        // The knee that is down carries the lean in its hip, the other foot stands in front.
        TrainerStance::HalfKneel => (
            Position::Kneeling,
            kneels(lean.min(HALF_KNEELING), 90),
            kneels(90 + lean.min(HALF_KNEELING), 90),
        ),
        TrainerStance::Kneel => (Position::Kneeling, kneels(lean, 90), kneels(lean, 90)),
        TrainerStance::OnHeels => (Position::Kneeling, kneels(lean + 58, 148), kneels(lean + 58, 148)),
        TrainerStance::OneLeg | TrainerStance::Squat => return None,
    })
}

/// Head and arms.
fn upper_body(posture: &TrainerPosture) -> Vec<MotionAngle> {
    let head = match posture.head {
        HeadTilt::Level => 0,
        HeadTilt::Down => 25,
        HeadTilt::Up => -15,
    };
    let arm = match posture.arms {
        ArmReach::BySide => 18,
        ArmReach::Low => 36,
        ArmReach::Level => 68,
        ArmReach::High => 105,
    };
    let elbow = match posture.elbows {
        ElbowBend::Bent => 75,
        ElbowBend::Long => 22,
    };
    angles(&[(Motion::NeckFlexion, head), (Motion::ShoulderFlexion, arm), (Motion::ElbowFlexion, elbow)])
}

fn angles(told: &[(Motion, i16)]) -> Vec<MotionAngle> {
    let angle = |&(motion, degrees): &(Motion, i16)| {
        let degrees = Degrees::new(degrees.into()).ok()?;
        Some(MotionAngle { motion, degrees })
    };
    told.iter().filter_map(angle).collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::catalogue::Catalogue;
    use crate::figure::pose::pose;
    use crate::figure::vector::atan2;

    /// How far the trunk leans forward of upright, and the lowest point of the knees and feet.
    fn lean_and_floor(form: &Form) -> (f64, f64) {
        let body = pose(form).body;
        let up = body.axis.neck.at - body.axis.pelvis.at;
        let low = body.legs.iter().map(|leg| leg.ankle().z.min(leg.knee().z));
        (atan2(up.x, up.z), low.fold(f64::INFINITY, f64::min))
    }

    #[test]
    fn a_figure_leans_as_far_as_its_word_says_and_stands_on_the_floor() {
        for &at in TrainerStance::ALL {
            for &trunk in TrunkBend::ALL {
                let posture = TrainerPosture { trunk, ..TrainerPosture::untold(true) };
                let Some(form) = stance(&posture, at) else {
                    assert!(matches!(at, TrainerStance::OneLeg | TrainerStance::Squat), "{at:?}");
                    continue;
                };
                let (lean, floor) = lean_and_floor(&form);
                // The words of the posture: to 5 degrees, to 20, back, to 60, more. A spine has its own curve.
                let said = match trunk {
                    TrunkBend::Upright => -6.0..=8.0,
                    TrunkBend::Leaning => 5.0..=21.0,
                    TrunkBend::LeaningBack => -21.0..=-4.0,
                    TrunkBend::Bent => 20.0..=60.0,
                    TrunkBend::Stooped => 52.0..=95.0,
                };
                assert!(said.contains(&lean), "{at:?}, {trunk:?}: {lean}");
                assert!((0.0..0.09).contains(&floor), "{at:?}, {trunk:?}: {floor} above the floor");
            }
        }
    }

    #[test]
    fn most_assisted_forms_of_the_catalogue_have_a_figure_of_their_trainer() {
        let forms = Catalogue::built_in().stretches().iter().flat_map(|stretch| &stretch.forms);
        let postures = forms.filter_map(|form| form.trainer.as_ref());
        let stances = postures.flat_map(|posture| posture.stances.iter().map(move |at| (posture, *at)));
        let (drawn, not): (Vec<_>, Vec<_>) =
            stances.partition(|(posture, at)| stance(posture, *at).is_some());
        assert!(drawn.len() > 20 * not.len(), "{} and {}", drawn.len(), not.len());
    }
}
