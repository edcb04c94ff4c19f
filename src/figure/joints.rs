//! The motions of a form as the angles of one body's joints, worked on the left.
//!
//! A picture of the right side is the mirror image, so nothing below this file knows of right.

use crate::body::action::{Strength, actions};
use crate::body::lengthening::lengthenings;
use crate::body::{Joint, Motion, Muscle};
use crate::catalogue::{Form, MotionAngle, Sides};

use super::skeleton::{ArmJoints, Bend, LegJoints, Raise};

/// Index of the worked side in every pair.
pub const WORKED: usize = 0;
/// Index of the other side.
pub const OTHER: usize = 1;

/// +1 for the left, which is worked, -1 for the right.
pub const fn sign(side: usize) -> f64 {
    if side == WORKED { 1.0 } else { -1.0 }
}

/// The angles of all joints, and which of them the form names.
#[derive(Debug, Clone, PartialEq)]
pub struct Joints {
    /// Lumbar and thoracic spine.
    pub trunk: Bend,
    /// The neck.
    pub neck: Bend,
    /// The worked leg, the other one.
    pub legs: [LegJoints; 2],
    /// The worked arm, the other one.
    pub arms: [ArmJoints; 2],
    named: [Vec<Motion>; 2],
}

impl Joints {
    /// Reads the motions of a form.
    pub fn of(form: &Form) -> Self {
        let other = if form.sides == Sides::Both { &form.motions } else { &form.other_side };
        let (worked, other) = (Angles(&form.motions), Angles(other));
        let named = |angles: &Angles<'_>| angles.0.iter().map(|angle| angle.motion).collect();
        let mut arms = [arm(&worked), arm(&other)];
        let bends_wrist = main_motion(form).is_some_and(|angle| angle.motion.joint() == Joint::Wrist);
        if bends_wrist && worked.about(Motion::ForearmPronation) == 0.0 {
            // A wrist is bent with the palm away from the body, where nothing else is said.
            arms[WORKED].supination = -80.0;
        }
        Self {
            trunk: trunk(&worked),
            neck: neck(&worked),
            legs: [leg(&worked), leg(&other)],
            arms,
            named: [named(&worked), named(&other)],
        }
    }

    /// Whether the form says anything of that joint on that side.
    pub fn names(&self, side: usize, joint: Joint) -> bool {
        self.named[side].iter().any(|motion| motion.joint() == joint)
    }

    /// Whether the form says that motion of that side.
    pub fn says(&self, side: usize, motion: Motion) -> bool {
        self.named[side].contains(&motion)
    }

    /// Whether the form says where that arm is; a girdle alone does not.
    pub fn places_arm(&self, side: usize) -> bool {
        [Joint::Shoulder, Joint::Elbow].iter().any(|joint| self.names(side, *joint))
    }
}

struct Angles<'m>(&'m [MotionAngle]);

impl Angles<'_> {
    fn get(&self, motion: Motion) -> Option<f64> {
        self.0.iter().find(|angle| angle.motion == motion).map(|angle| f64::from(angle.degrees.get()))
    }

    /// The angle about an axis, positive in the direction of `motion`.
    fn about(&self, motion: Motion) -> f64 {
        self.get(motion).or_else(|| self.get(motion.opposite()).map(|degrees| -degrees)).unwrap_or(0.0)
    }
}

fn trunk(angles: &Angles<'_>) -> Bend {
    Bend {
        flexion: angles.about(Motion::TrunkFlexion),
        lateral: angles.about(Motion::TrunkLateralFlexionSame),
        rotation: angles.about(Motion::TrunkRotationSame),
    }
}

fn neck(angles: &Angles<'_>) -> Bend {
    Bend {
        flexion: angles.about(Motion::NeckFlexion),
        lateral: angles.about(Motion::NeckLateralFlexionSame),
        rotation: angles.about(Motion::NeckRotationSame),
    }
}

fn leg(angles: &Angles<'_>) -> LegJoints {
    let abduction = angles.about(Motion::HipAbduction);
    // The same axis once the hip is bent: the larger of the two, never their sum.
    let horizontal = angles.about(Motion::HipHorizontalAbduction);
    LegJoints {
        flexion: angles.about(Motion::HipFlexion),
        abduction: if horizontal.abs() > abduction.abs() { horizontal } else { abduction },
        rotation: angles.about(Motion::HipExternalRotation),
        knee: angles.about(Motion::KneeFlexion),
        ankle: angles.about(Motion::AnkleDorsiflexion),
        toes: angles.about(Motion::ToeExtension),
    }
}

fn arm(angles: &Angles<'_>) -> ArmJoints {
    let flexion = angles.about(Motion::ShoulderFlexion);
    let abduction = angles.about(Motion::ShoulderAbduction);
    let horizontal = angles
        .get(Motion::ShoulderHorizontalAdduction)
        .or_else(|| angles.get(Motion::ShoulderHorizontalAbduction).map(|degrees| -degrees));
    ArmJoints {
        raise: match horizontal {
            Some(azimuth) => Raise::Level { elevation: flexion.max(abduction), azimuth },
            None => Raise::Swing { flexion, abduction },
        },
        rotation: angles.about(Motion::ShoulderExternalRotation),
        elbow: angles.about(Motion::ElbowFlexion),
        supination: angles.about(Motion::ForearmSupination),
        wrist: angles.about(Motion::WristFlexion),
        deviation: angles.about(Motion::WristRadialDeviation),
        girdle_up: angles.about(Motion::ScapulaElevation) + angles.about(Motion::ScapulaUpwardRotation) / 4.0,
        girdle_forward: angles.about(Motion::ScapulaProtraction),
    }
}

/// The named motion that lengthens the main target most: the picture shows it from the side.
pub fn main_motion(form: &Form) -> Option<MotionAngle> {
    let muscle = form.targets.first()?.muscle;
    let mut best: Option<(f64, MotionAngle)> = None;
    for angle in &form.motions {
        let weight = lengthens(muscle, angle.motion)
            * (0.9 + f64::from(angle.degrees.get().max(0)) / 360.0)
            * if kept_straight(angle.motion) { 0.1 } else { 1.0 }
            * if is_axial(angle.motion) { 0.5 } else { 1.0 };
        if weight > 0.0 && best.is_none_or(|(most, _)| weight > most) {
            best = Some((weight, *angle));
        }
    }
    best.map(|(_, angle)| angle).or_else(|| form.motions.first().copied())
}

/// A knee or elbow that is only kept straight is no motion; it is what the other joint works against.
const fn kept_straight(motion: Motion) -> bool {
    matches!(motion, Motion::KneeExtension | Motion::ElbowExtension)
}

/// A limb that turns about its own length moves nothing that the eye sees.
const fn is_axial(motion: Motion) -> bool {
    matches!(
        motion,
        Motion::HipExternalRotation
            | Motion::HipInternalRotation
            | Motion::ShoulderExternalRotation
            | Motion::ShoulderInternalRotation
            | Motion::ForearmPronation
            | Motion::ForearmSupination
    )
}

/// How much a motion has to do with lengthening a muscle: it is wanted for it, and it undoes one of its actions.
fn lengthens(muscle: Muscle, motion: Motion) -> f64 {
    let rows: Vec<_> = lengthenings().iter().filter(|row| row.muscle == muscle).collect();
    let wanting = rows.iter().filter(|row| row.must.iter().any(|wanted| wanted.motion == motion)).count();
    let helps = rows.iter().any(|row| row.helps.contains(&motion));
    let undoes = |strength: Strength| {
        actions().iter().any(|action| {
            action.motion == motion.opposite()
                && action.strength == strength
                && muscle.heads().iter().any(|head| head.is_moved_by(action.head))
        })
    };
    let undone = if undoes(Strength::Main) {
        1.0
    } else if undoes(Strength::Assists) {
        0.7
    } else {
        0.5
    };
    let count = |number: usize| f64::from(u32::try_from(number).unwrap_or(1));
    if wanting > 0 {
        undone * (0.5 + 0.5 * count(wanting) / count(rows.len()))
    } else if helps || undone > 0.5 {
        undone * 0.3
    } else {
        0.0
    }
}

/// What the picture is about.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum MovingPart {
    /// A leg.
    Leg,
    /// An arm or its shoulder.
    Arm,
    /// The trunk.
    Trunk,
    /// The neck.
    Neck,
}

impl MovingPart {
    /// What moves in a form.
    pub fn of(form: &Form) -> Self {
        match main_motion(form).map(|angle| angle.motion.joint()) {
            Some(Joint::Neck) => Self::Neck,
            Some(Joint::Trunk) => Self::Trunk,
            Some(Joint::Shoulder | Joint::Scapula | Joint::Elbow | Joint::Forearm | Joint::Wrist) => {
                Self::Arm
            }
            _ => Self::Leg,
        }
    }
}
