//! The angles that a posed body really has, read back from its segments, and how far they are from what a form says.

use crate::body::{Joint, Motion};
use crate::catalogue::{Equipment, Form, MotionAngle, Position, Sides};

use super::joints::{OTHER, WORKED};
use super::pose::{Posed, pose};
use super::skeleton::{Bend, Body, Raise};
use super::vector::{Rotation, acos, asin, atan2};

/// A motion, what a form says of it and what the posed body shows.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Misfit {
    /// Index of the side.
    pub side: usize,
    /// The motion.
    pub motion: Motion,
    /// What the form says, in degrees.
    pub said: f64,
    /// What the body shows.
    pub shown: f64,
}

/// From so many degrees on a body is placed otherwise than a form says.
pub const MISFIT: f64 = 25.0;

/// The motions of a form that no body can hold together: where it would lie, kneel, sit or stand otherwise.
///
/// Hands that carry or are placed go where they must, and the foot under a shin lies as it can: those are left out.
pub fn misfits(form: &Form) -> Vec<Misfit> {
    let posed = pose(form);
    let placed = form.drawing.hands.is_some() || form.equipment.contains(&Equipment::Strap);
    let carried = |side: usize| posed.joints.names(side, Joint::Wrist) || posed.joints.trunk.flexion < 0.0;
    let counts = |misfit: &Misfit| match misfit.motion.joint() {
        Joint::Hip | Joint::Knee | Joint::Trunk | Joint::Neck => true,
        Joint::Ankle => form.position != Position::Kneeling,
        Joint::Shoulder | Joint::Elbow => !placed && !carried(misfit.side),
        _ => false,
    };
    let mut misfits = compared(form, &posed);
    misfits.retain(|misfit| counts(misfit) && (misfit.said - misfit.shown).abs() > MISFIT);
    misfits
}

/// Every motion that the form names, with what the posed body shows; girdle and feet are left out.
pub fn compared(form: &Form, posed: &Posed) -> Vec<Misfit> {
    let other = if form.sides == Sides::Both { &form.motions } else { &form.other_side };
    let mut all = Vec::new();
    for (side, motions) in [(WORKED, &form.motions), (OTHER, other)] {
        // What the right side shows is what the mirror image shows on the left.
        let body = if side == WORKED { posed.body } else { posed.body.mirrored() };
        for angle in motions {
            if side == OTHER && angle.motion.is_midline() || is_outdone(angle.motion, motions) {
                continue;
            }
            if let Some(shown) = shown(angle.motion, &body, posed.joints.arms[side].raise) {
                all.push(Misfit { side, motion: angle.motion, said: f64::from(angle.degrees.get()), shown });
            }
        }
    }
    all
}

/// Whether another motion about the same axis goes further: of abduction and horizontal abduction of a hip the larger
/// one is drawn, and an arm that is carried round is raised by the larger of flexion and abduction.
fn is_outdone(motion: Motion, motions: &[MotionAngle]) -> bool {
    let degrees =
        |wanted: Motion| motions.iter().find(|angle| angle.motion == wanted).map(|angle| angle.degrees);
    let outdone_by = match motion {
        Motion::HipAdduction => Motion::HipHorizontalAdduction,
        Motion::HipAbduction => Motion::HipHorizontalAbduction,
        _ => return false,
    };
    degrees(outdone_by) > degrees(motion)
}

/// The angle of a motion of the left side.
fn shown(motion: Motion, body: &Body, raise: Raise) -> Option<f64> {
    let (leg, arm, axis) = (&body.legs[WORKED], &body.arms[WORKED], &body.axis);
    let between = |upper: Rotation, lower: Rotation| upper.inverse() * lower;
    let hip = between(axis.pelvis.turn, leg.thigh.turn);
    let shoulder = between(axis.thorax.turn, arm.upper.turn);
    let elbow = between(arm.upper.turn, arm.forearm.turn);
    let wrist = between(arm.forearm.turn, arm.hand.turn);
    let trunk = bend(axis.pelvis.turn, axis.lumbar.turn, axis.thorax.turn);
    let neck = bend(axis.thorax.turn, axis.neck.turn, axis.head.turn);
    Some(match motion {
        Motion::HipFlexion => atan2(-hip.z.x, hip.z.z),
        Motion::HipAbduction | Motion::HipHorizontalAbduction => asin(-hip.z.y),
        Motion::HipExternalRotation => atan2(hip.x.y, hip.y.y),
        Motion::KneeFlexion => hinge(between(leg.thigh.turn, leg.shank.turn)),
        Motion::AnkleDorsiflexion => -hinge(between(leg.shank.turn, leg.foot.turn)),
        Motion::TrunkFlexion => trunk.flexion,
        Motion::TrunkLateralFlexionSame => trunk.lateral,
        Motion::TrunkRotationSame => trunk.rotation,
        Motion::NeckFlexion => neck.flexion,
        Motion::NeckLateralFlexionSame => neck.lateral,
        Motion::NeckRotationSame => neck.rotation,
        Motion::ElbowFlexion => acos(elbow.z.z),
        Motion::WristFlexion => atan2(-wrist.y.z, wrist.y.y),
        Motion::ShoulderFlexion | Motion::ShoulderAbduction if matches!(raise, Raise::Level { .. }) => {
            acos(shoulder.z.z)
        }
        Motion::ShoulderFlexion => atan2(-shoulder.z.x, shoulder.z.z),
        Motion::ShoulderAbduction => match raise {
            Raise::Swing { abduction, .. } if abduction > 90.0 => 180.0 - asin(-shoulder.z.y),
            _ => asin(-shoulder.z.y),
        },
        Motion::ShoulderHorizontalAdduction => atan2(-shoulder.z.x, -shoulder.z.y),
        Motion::ShoulderExternalRotation if matches!(raise, Raise::Swing { .. }) => {
            atan2(shoulder.x.y, shoulder.y.y)
        }
        Motion::HipExtension
        | Motion::HipAdduction
        | Motion::HipHorizontalAdduction
        | Motion::HipInternalRotation
        | Motion::KneeExtension
        | Motion::AnklePlantarflexion
        | Motion::TrunkExtension
        | Motion::TrunkLateralFlexionOpposite
        | Motion::TrunkRotationOpposite
        | Motion::NeckExtension
        | Motion::NeckLateralFlexionOpposite
        | Motion::NeckRotationOpposite
        | Motion::ElbowExtension
        | Motion::WristExtension
        | Motion::ShoulderExtension
        | Motion::ShoulderHorizontalAbduction
        | Motion::ShoulderInternalRotation => -shown(motion.opposite(), body, raise)?,
        _ => return None,
    })
}

/// The bend of a spine of two parts: what each adds.
fn bend(below: Rotation, middle: Rotation, above: Rotation) -> Bend {
    let parts = [below.inverse() * middle, middle.inverse() * above].map(|part| Bend {
        flexion: atan2(part.z.x, part.z.z),
        lateral: asin(part.z.y),
        rotation: atan2(part.x.y, part.y.y),
    });
    Bend {
        flexion: parts[0].flexion + parts[1].flexion,
        lateral: parts[0].lateral + parts[1].lateral,
        rotation: parts[0].rotation + parts[1].rotation,
    }
}

/// The angle of a hinge about Y.
fn hinge(turn: Rotation) -> f64 {
    atan2(-turn.x.z, turn.x.x)
}
