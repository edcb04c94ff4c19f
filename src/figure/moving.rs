//! What moves in a form: about which axis, which end of it, and which way.

use crate::body::{Joint, Motion};
use crate::catalogue::{Form, HandPlace, Position};

use super::joints::{MovingPart, WORKED, main_motion};
use super::pose::Posed;
use super::vector::{Rotation, UP, Vec3, vec3};

/// The motion that stretches, in space.
#[derive(Debug, Clone, PartialEq)]
pub struct Moving {
    /// The axis about which the far end turns as the motion grows, right-handed.
    pub axis: Vec3,
    /// The end of what moves.
    pub end: Vec3,
    /// Which way that end goes; nought where nothing can be said.
    pub way: Vec3,
    /// The segments that a picture has to show.
    pub segments: Vec<(Vec3, Vec3)>,
}

impl Moving {
    /// What moves in a posed form.
    pub fn of(form: &Form, posed: &Posed) -> Self {
        let motion = main_motion(form).map(|angle| angle.motion);
        let axis = motion.map_or(Vec3::default(), |motion| axis(motion, posed));
        let (pivot, end) =
            motion.map_or((Vec3::default(), Vec3::default()), |motion| ends(motion, form, posed));
        let (end, way) = match closed_chain(form, posed, motion) {
            Some(moved) => moved,
            None => (end, axis.cross(end - pivot).unit_or(Vec3::default())),
        };
        Self { axis, end, way, segments: segments(posed, motion) }
    }
}

/// The axis of a motion of the worked side, which is the left.
fn axis(motion: Motion, posed: &Posed) -> Vec3 {
    let body = &posed.body;
    let (leg, arm) = (&body.legs[WORKED], &body.arms[WORKED]);
    let (pelvis, thorax) = (&body.axis.pelvis.turn, &body.axis.thorax.turn);
    let floating = *pelvis * Rotation::about_y(-posed.joints.legs[WORKED].flexion);
    match motion {
        Motion::HipFlexion => -pelvis.y,
        Motion::HipAbduction | Motion::HipHorizontalAbduction => floating.x,
        Motion::HipExternalRotation => leg.thigh.turn.z,
        Motion::KneeFlexion => leg.shank.turn.y,
        Motion::AnkleDorsiflexion => -leg.shank.turn.y,
        Motion::ToeExtension => -leg.foot.turn.y,
        Motion::FootEversion => leg.foot.turn.x,
        Motion::TrunkFlexion => pelvis.y,
        Motion::TrunkLateralFlexionSame => -pelvis.x,
        Motion::TrunkRotationSame => pelvis.z,
        Motion::ShoulderFlexion => -thorax.y,
        Motion::ShoulderAbduction | Motion::ScapulaElevation | Motion::ScapulaUpwardRotation => thorax.x,
        Motion::ShoulderHorizontalAdduction | Motion::ScapulaProtraction => -thorax.z,
        Motion::ShoulderExternalRotation => arm.upper.turn.z,
        Motion::ElbowFlexion => -arm.upper.turn.y,
        Motion::ForearmSupination => arm.forearm.turn.z,
        Motion::WristFlexion => -arm.forearm.turn.x,
        Motion::WristRadialDeviation => -arm.forearm.turn.y,
        Motion::NeckFlexion => thorax.y,
        Motion::NeckLateralFlexionSame => -thorax.x,
        Motion::NeckRotationSame => thorax.z,
        // Every other motion is the opposite of one of these.
        other => -axis(other.opposite(), posed),
    }
}

/// The joint that turns and the end of what it turns.
fn ends(motion: Motion, form: &Form, posed: &Posed) -> (Vec3, Vec3) {
    let body = &posed.body;
    let (leg, arm, axis) = (&body.legs[WORKED], &body.arms[WORKED], &body.axis);
    let bent = posed.joints.legs[WORKED].knee >= 45.0;
    match motion.joint() {
        Joint::Hip if matches!(motion, Motion::HipExternalRotation | Motion::HipInternalRotation) => {
            (leg.knee(), leg.ankle())
        }
        Joint::Hip => (leg.thigh.at, if bent { leg.knee() } else { leg.ankle() }),
        Joint::Knee => (leg.knee(), leg.ankle()),
        Joint::Ankle | Joint::Foot | Joint::Toes => (leg.ankle(), leg.tip()),
        // Lying on the back the ribs stay and the knees move.
        Joint::Trunk if form.position == Position::Supine => {
            let knees = body.legs[0].knee().towards(body.legs[1].knee(), 0.5);
            (axis.lumbar.at + (axis.lumbar.at - knees), axis.lumbar.at + axis.lumbar.at - knees)
        }
        // A chest that opens shows where its arm goes.
        Joint::Trunk if form.position == Position::SideLying && is_turn(motion) => {
            (axis.thorax.at, arm.wrist())
        }
        Joint::Trunk => (axis.lumbar.at, axis.neck.at),
        Joint::Neck => (axis.neck.at, axis.skull()),
        Joint::Scapula => (axis.neck.at, arm.upper.at),
        Joint::Shoulder
            if matches!(motion, Motion::ShoulderExternalRotation | Motion::ShoulderInternalRotation) =>
        {
            (arm.elbow(), arm.wrist())
        }
        Joint::Shoulder => {
            let folded = posed.joints.arms[WORKED].elbow >= 60.0;
            (arm.upper.at, if folded { arm.elbow() } else { arm.wrist() })
        }
        Joint::Elbow | Joint::Forearm => (arm.elbow(), arm.wrist()),
        Joint::Wrist => (arm.wrist(), arm.tip()),
    }
}

const fn is_turn(motion: Motion) -> bool {
    matches!(motion, Motion::TrunkRotationSame | Motion::TrunkRotationOpposite)
}

/// Where the end of the limb stands or lies, it is the body that moves.
fn closed_chain(form: &Form, posed: &Posed, motion: Option<Motion>) -> Option<(Vec3, Vec3)> {
    match motion?.joint() {
        Joint::Hip => of_hip(form, posed, motion?),
        Joint::Ankle | Joint::Knee => of_leg(form, posed, motion?),
        _ => of_upper_body(form, posed, motion?),
    }
}

const FORWARD: Vec3 = vec3(1.0, 0.0, 0.0);

/// Whether the worked foot carries.
fn stands(posed: &Posed) -> bool {
    posed.body.legs[WORKED].ankle().z < 0.08
}

/// The front of the hips, which go forward.
fn hips_forward(posed: &Posed) -> (Vec3, Vec3) {
    (posed.body.axis.pelvis.point(vec3(0.062, 0.0, 0.01)), FORWARD)
}

fn breast(posed: &Posed) -> Vec3 {
    posed.body.axis.thorax.point(vec3(0.064, 0.0, 0.09))
}

fn of_hip(form: &Form, posed: &Posed, motion: Motion) -> Option<(Vec3, Vec3)> {
    let pelvis = &posed.body.axis.pelvis;
    let leg = posed.joints.legs[WORKED];
    let is_standing = form.position == Position::Standing;
    let is_kneeling = form.position == Position::Kneeling;
    let over_the_leg = !lies(form.position) && stands(posed) && (leg.knee < 60.0 || leg.rotation >= 30.0);
    match motion {
        Motion::HipExtension if (is_standing || is_kneeling) && stands(posed) => Some(hips_forward(posed)),
        Motion::HipFlexion if over_the_leg || is_standing => {
            let way = posed.body.axis.thorax.turn.x - UP * 0.2;
            Some((breast(posed), way.unit_or(FORWARD)))
        }
        Motion::HipAdduction if is_standing || is_kneeling => {
            Some((pelvis.point(vec3(0.0, 0.09, 0.01)), pelvis.turn.y))
        }
        Motion::HipAbduction if is_standing => Some((pelvis.point(vec3(0.0, -0.09, 0.0)), -pelvis.turn.y)),
        Motion::HipAbduction if is_kneeling => Some((pelvis.point(vec3(-0.07, 0.0, -0.02)), -FORWARD)),
        _ => None,
    }
}

fn of_leg(form: &Form, posed: &Posed, motion: Motion) -> Option<(Vec3, Vec3)> {
    let leg = &posed.body.legs[WORKED];
    let upright = matches!(form.position, Position::Kneeling | Position::Standing);
    if !upright || !stands(posed) {
        return None;
    }
    match motion {
        Motion::AnkleDorsiflexion if posed.joints.legs[WORKED].knee < 20.0 => Some(hips_forward(posed)),
        Motion::AnkleDorsiflexion => Some((leg.knee() + leg.thigh.turn.x * 0.04, FORWARD)),
        Motion::KneeFlexion if form.position == Position::Kneeling => {
            Some((posed.body.axis.pelvis.point(vec3(-0.06, 0.0, -0.03)), -UP))
        }
        _ => None,
    }
}

fn of_upper_body(form: &Form, posed: &Posed, motion: Motion) -> Option<(Vec3, Vec3)> {
    let (arm, axis) = (&posed.body.arms[WORKED], &posed.body.axis);
    let along = (arm.elbow() - arm.upper.at).unit_or(FORWARD);
    let behind_waist = form.drawing.hands.is_some_and(|hands| hands[WORKED] == HandPlace::BehindWaist);
    let lifts_girdle = form.motions.iter().any(|angle| angle.motion == Motion::ScapulaElevation);
    match motion {
        Motion::TrunkFlexion if form.position == Position::Kneeling && axis.thorax.turn.z.z < 0.4 => {
            Some((axis.lumbar.point(vec3(-0.055, 0.0, 0.08)), UP))
        }
        Motion::TrunkExtension if form.position == Position::Prone => Some((breast(posed), UP)),
        Motion::WristExtension if arm.wrist().z < 0.05 => {
            Some((axis.thorax.point(vec3(0.03, 0.1, 0.13)), FORWARD))
        }
        // The hand stays at the waist, and the elbow comes forward.
        Motion::ShoulderInternalRotation if behind_waist => Some((arm.elbow(), axis.thorax.turn.x)),
        // The shoulder blade is drawn out along its arm.
        Motion::ScapulaProtraction => Some((arm.wrist(), along)),
        Motion::ShoulderFlexion if lifts_girdle => Some((arm.tip(), along)),
        _ => None,
    }
}

fn lies(position: Position) -> bool {
    matches!(position, Position::Supine | Position::Prone | Position::SideLying)
}

fn segments(posed: &Posed, motion: Option<Motion>) -> Vec<(Vec3, Vec3)> {
    let body = &posed.body;
    let (leg, arm, axis) = (&body.legs[WORKED], &body.arms[WORKED], &body.axis);
    match posed.worked {
        MovingPart::Leg => {
            let mut segments = vec![(leg.thigh.at, leg.knee()), (leg.knee(), leg.ankle())];
            if motion.is_some_and(|motion| motion.joint() == Joint::Ankle) {
                segments.push((leg.heel(), leg.tip()));
            }
            segments
        }
        MovingPart::Arm => {
            let mut segments = vec![(arm.upper.at, arm.elbow()), (arm.elbow(), arm.wrist())];
            if motion.is_some_and(|motion| motion.joint() == Joint::Wrist) {
                segments.push((arm.wrist(), arm.tip()));
            }
            segments
        }
        MovingPart::Trunk => vec![(axis.pelvis.at, axis.neck.at)],
        MovingPart::Neck => vec![(axis.thorax.at, axis.neck.at), (axis.neck.at, axis.skull())],
    }
}
