//! On a chair, and on the floor: cross-legged, one leg folded in, soles together, legs long, feet flat.

use crate::body::{Joint, Motion};
use crate::catalogue::Equipment;
use crate::figure::joints::{MovingPart, OTHER, WORKED, sign};
use crate::figure::skeleton::{ANKLE, Arm, Axis, Bone, Leg, LegJoints, SHANK, THIGH};
use crate::figure::vector::{Rotation, Vec3, vec3};

use super::draft::Draft;
use super::lying::{crosses_knee, lay_ankle_on_thigh};
use super::reach::{leg_near, leg_to, settle};

/// Top of a chair's seat.
pub(super) const SEAT: f64 = 0.225;
/// Hip joints above what one sits on: a chair, the floor.
const ON_CHAIR: f64 = SEAT + 0.065;
const ON_FLOOR: f64 = 0.075;
/// A hip bent less than this is off the seat, and the ankle above an instep that lies on the floor.
pub(super) const HANGS: f64 = 45.0;
const INSTEP: f64 = 0.052;
/// An ankle that is pointed further stands on its toes, whose middle is so high.
const POINTED: f64 = -20.0;
const TOES_ABOVE: f64 = 0.011;
/// A knee bent less than this is a long leg.
const LONG: f64 = 45.0;

pub(super) fn seated(draft: &mut Draft<'_>) {
    if draft.needs(Equipment::Chair) {
        on_chair(draft);
    } else {
        on_floor(draft);
    }
}

fn on_chair(draft: &mut Draft<'_>) {
    let at = vec3(0.0, 0.0, ON_CHAIR);
    let [worked, other] = draft.joints.legs;
    let pitch = if worked.knee < LONG && !draft.is_even() {
        // The heel of a long leg touches the floor: that tips the pelvis.
        settle(-20.0, 60.0, |pitch| {
            let pelvis = Bone { at, turn: Rotation::about_y(pitch) };
            Leg::hanging(&pelvis, 1.0, &worked).heel().z
        })
    } else if draft.joints.names(OTHER, Joint::Hip) {
        other.flexion - 90.0
    } else {
        worked.flexion - 90.0
    };
    draft.put_pelvis(at, Rotation::about_y(pitch));
    for side in [WORKED, OTHER] {
        chair_leg(draft, side, pitch);
    }
    if crosses_knee(draft) {
        lay_ankle_on_thigh(draft);
    }
}

fn chair_leg(draft: &mut Draft<'_>, side: usize, pitch: f64) {
    let joints = draft.joints.legs[side];
    let drawn_up = joints.flexion - pitch > 100.0;
    if joints.flexion < HANGS {
        draft.legs[side] = hanging_back(draft, side);
        return;
    }
    if joints.knee < LONG || drawn_up {
        draft.legs[side] = draft.leg_by_angles(side);
        return;
    }
    // The thigh lies on the seat and the foot stands.
    let mut seated = joints;
    seated.flexion = 90.0 + pitch;
    if draft.joints.names(side, Joint::Ankle) && joints.ankle < POINTED {
        // A pointed foot stands on its toes, which lifts the knee.
        let lifted = |flexion: f64| {
            let joints = LegJoints { flexion, ..seated };
            Leg::hanging(&draft.axis.pelvis, sign(side), &joints)
        };
        let flexion =
            settle(seated.flexion, seated.flexion + 30.0, |flexion| lifted(flexion).tip().z - TOES_ABOVE);
        draft.legs[side] = lifted(flexion);
        return;
    }
    let free = Leg::hanging(&draft.axis.pelvis, sign(side), &seated);
    let goal = free.ankle().at_height(ANKLE);
    draft.legs[side] = leg_near(&draft.axis.pelvis, side, &seated, goal).flat();
}

/// Off the edge of the seat, the knee bent until the foot lies behind on its instep.
fn hanging_back(draft: &Draft<'_>, side: usize) -> Leg {
    let joints = draft.joints.legs[side];
    let bent = |knee: f64| {
        let joints = LegJoints { knee, ..joints };
        Leg::hanging(&draft.axis.pelvis, sign(side), &joints)
    };
    let knee = settle(joints.knee, 130.0, |knee| bent(knee).ankle().z - INSTEP);
    let ankle = if draft.joints.names(side, Joint::Ankle) { joints.ankle } else { -55.0 };
    bent(knee).with_ankle(ankle, joints.toes)
}

/// How a leg lies on the floor.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Fold {
    Crossed,
    FoldedIn,
    SolesTogether,
    Long,
    FootFlat,
}

fn fold(draft: &Draft<'_>, side: usize) -> Fold {
    let joints = draft.joints.legs[side];
    let turned_out = joints.rotation >= 30.0 && joints.knee >= 90.0;
    if joints.knee < LONG {
        Fold::Long
    } else if turned_out && draft.joints.legs[1 - side].knee < LONG {
        Fold::FoldedIn
    } else if turned_out && draft.is_even() && draft.worked == MovingPart::Leg {
        Fold::SolesTogether
    } else if turned_out {
        Fold::Crossed
    } else {
        Fold::FootFlat
    }
}

fn on_floor(draft: &mut Draft<'_>) {
    let at = vec3(0.0, 0.0, ON_FLOOR);
    let flexion = draft.joints.legs[WORKED].flexion;
    let folds = [fold(draft, WORKED), fold(draft, OTHER)];
    let pitch = if folds[WORKED] != Fold::Long && hands_behind(draft) {
        lean_on_hands(draft, at)
    } else if folds[WORKED] == Fold::Long {
        // A long leg slopes down to its heel.
        flexion - 90.0 + 5.2
    } else {
        (flexion - 90.0).max(0.0)
    };
    draft.put_pelvis(at, Rotation::about_y(pitch));
    for side in [WORKED, OTHER] {
        match folds[side] {
            Fold::Crossed => crossed(draft, side),
            Fold::FoldedIn => folded_in(draft, side),
            Fold::SolesTogether => soles_together(draft, side),
            Fold::Long => long(draft, side),
            Fold::FootFlat => foot_flat(draft, side),
        }
    }
}

fn hands_behind(draft: &Draft<'_>) -> bool {
    draft.joints.says(WORKED, Motion::ShoulderExtension) && draft.joints.names(WORKED, Joint::Wrist)
}

/// The trunk leans back until straight arms reach the floor.
fn lean_on_hands(draft: &Draft<'_>, at: Vec3) -> f64 {
    let joints = &draft.joints;
    settle(-70.0, 10.0, |pitch| {
        let axis = Axis::on(Bone { at, turn: Rotation::about_y(pitch) }, joints.trunk, joints.neck);
        Arm::hanging(&axis.thorax, 1.0, &joints.arms[WORKED]).wrist().z - 0.024
    })
}

/// Knees out, the ankles crossed before the pelvis; the worked shin lies inside.
fn crossed(draft: &mut Draft<'_>, side: usize) {
    let s = sign(side);
    let ankle = if side == WORKED { vec3(0.112, -0.040, 0.034) } else { vec3(0.160, 0.038, 0.034) };
    let leg = leg_to(&draft.axis.pelvis, side, ankle, vec3(0.85, s, 0.28));
    let foot = Rotation::facing(vec3(0.1, s * 0.7, 0.7), vec3(0.35, -s, -0.1));
    draft.legs[side] = leg.with_foot(foot, 0.0);
}

/// One leg folded with its sole at the inside of the other thigh.
fn folded_in(draft: &mut Draft<'_>, side: usize) {
    let s = sign(side);
    let ankle = vec3(0.160, s * 0.005, 0.034);
    let leg = leg_to(&draft.axis.pelvis, side, ankle, vec3(0.78, s, 0.06));
    let foot = Rotation::facing(vec3(0.0, s, 0.15), vec3(0.9, -s * 0.2, 0.0));
    draft.legs[side] = leg.with_foot(foot, 0.0);
}

fn soles_together(draft: &mut Draft<'_>, side: usize) {
    let s = sign(side);
    let ankle = vec3(0.175, s * 0.024, 0.034);
    let leg = leg_to(&draft.axis.pelvis, side, ankle, vec3(0.80, s, 0.10));
    draft.legs[side] = leg.with_foot(Rotation::facing(vec3(0.0, s, 0.1), vec3(1.0, 0.0, 0.1)), 0.0);
}

fn long(draft: &mut Draft<'_>, side: usize) {
    if !draft.joints.names(side, Joint::Ankle) {
        draft.joints.legs[side].ankle = -5.0;
    }
    let s = sign(side);
    let joints = draft.joints.legs[side];
    let goal_height = 0.030;
    let free = draft.leg_by_angles(side);
    if joints.knee > 5.0 {
        draft.legs[side] = free;
        return;
    }
    // The pitch stays; the leg sinks to the mat whatever the pelvis does, abducted as the form says.
    let (sin, cos) = crate::figure::vector::sin_cos(joints.abduction);
    let hip = free.thigh.at;
    let down = hip.z - goal_height;
    let reach = (THIGH + SHANK) * 0.9998;
    let flat = (reach * reach - down * down).sqrt();
    let goal = vec3(hip.x + cos * flat, hip.y + s * sin * flat, goal_height);
    let leg = leg_to(&draft.axis.pelvis, side, goal, vec3(0.0, s * 0.15, 1.0));
    draft.legs[side] = leg.with_ankle(joints.ankle, joints.toes);
}

fn foot_flat(draft: &mut Draft<'_>, side: usize) {
    let joints = draft.joints.legs[side];
    let hip = draft.leg_by_angles(side).thigh.at;
    let (_, cos) = crate::figure::vector::sin_cos(joints.knee / 2.0);
    let ankle = vec3(hip.x + 0.491 * cos, hip.y + sign(side) * 0.01, ANKLE);
    draft.legs[side] = leg_to(&draft.axis.pelvis, side, ankle, vec3(0.3, 0.0, 1.0)).flat();
}
