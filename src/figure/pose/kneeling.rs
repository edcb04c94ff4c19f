//! On one knee, on both shins, or with the front leg folded.

use crate::body::Joint;
use crate::catalogue::Equipment;
use crate::figure::flesh;
use crate::figure::joints::{OTHER, WORKED, sign};
use crate::figure::skeleton::{ANKLE, Axis, Bone, FOREARM, Leg, LegJoints, THIGH, UPPER_ARM, shoulder};
use crate::figure::vector::{Rotation, Vec3, acos, sin_cos, vec3};

use super::draft::Draft;
use super::lying::BOLSTER;
use super::reach::{leg_near, leg_to, settle};

/// A kneeling foot lies with its toes pointing back, whatever is named.
const LYING_FOOT: f64 = -62.0;
/// Middle of the knee above the floor that it kneels on.
const KNEE: f64 = flesh::SHANK.0 - 0.002;
/// Ankle of a foot that lies on its instep.
const INSTEP: f64 = 0.031;

pub(super) fn kneeling(draft: &mut Draft<'_>) {
    let [worked, other] = draft.joints.legs;
    if is_front(&other) && worked.flexion < 45.0 {
        half_kneeling(draft, WORKED, OTHER);
    } else if is_front(&worked) && other.flexion < 45.0 {
        half_kneeling(draft, OTHER, WORKED);
    } else if worked.flexion >= 80.0 && worked.rotation >= 30.0 {
        folded_front_leg(draft);
    } else {
        on_shins(draft);
    }
}

/// A leg with its foot on the floor in front.
fn is_front(joints: &LegJoints) -> bool {
    joints.flexion >= 80.0 && (75.0..=115.0).contains(&joints.knee) && joints.rotation < 20.0
}

fn half_kneeling(draft: &mut Draft<'_>, down: usize, front: usize) {
    let ankle_works = draft.main == Some(Joint::Ankle) && front == WORKED;
    let forward = draft.joints.legs[front];
    // Where the front ankle is what bends, its shin leans and takes the pelvis along.
    // A figure that is stretched by nothing leans from the hip that is down.
    let pitch = if ankle_works {
        forward.flexion - forward.knee + forward.ankle
    } else if draft.form.targets.is_empty() {
        draft.joints.legs[down].flexion
    } else {
        0.0
    };
    draft.put_pelvis(Vec3::default(), Rotation::about_y(pitch));
    if ankle_works {
        let leg = draft.leg_by_angles(front);
        draft.lift(-leg.heel().z);
        draft.legs[front] = draft.leg_by_angles(front);
        kneel_under(draft, down);
        return;
    }
    let free = draft.leg_by_angles(down);
    draft.lift(KNEE - free.knee().z);
    set_kneeling_leg(draft, down);
    let free = draft.leg_by_angles(front);
    let goal = free.ankle().at_height(ANKLE);
    draft.legs[front] = leg_near(&draft.axis.pelvis, front, &draft.joints.legs[front], goal).flat();
}

/// A leg that kneels where the pelvis is already: the thigh leans as the height asks.
fn kneel_under(draft: &mut Draft<'_>, down: usize) {
    let pelvis = draft.axis.pelvis;
    let hip = pelvis.point(vec3(0.0, sign(down) * crate::figure::skeleton::HALF_HIPS, 0.0));
    let lean = acos(((hip.z - KNEE) / THIGH).min(1.0));
    let (sin, cos) = sin_cos(lean);
    let knee = hip + vec3(-sin, 0.0, -cos) * THIGH;
    let ankle = vec3(knee.x - 0.245, knee.y, INSTEP);
    let leg = leg_to(&pelvis, down, ankle, vec3(1.0, 0.0, -0.4));
    draft.legs[down] = leg.with_ankle(LYING_FOOT, 0.0);
}

fn set_kneeling_leg(draft: &mut Draft<'_>, down: usize) {
    let leg = draft.leg_by_angles(down);
    if leg.ankle().z > 0.10 {
        let joints = draft.joints.legs[down];
        let ankle = if draft.joints.names(down, Joint::Ankle) { joints.ankle } else { -25.0 };
        draft.legs[down] = leg.with_ankle(ankle, 0.0);
        return;
    }
    let pelvis = draft.axis.pelvis;
    let mut joints = draft.joints.legs[down];
    joints.knee = settle(50.0, 150.0, |knee| {
        let joints = LegJoints { knee, ..joints };
        Leg::hanging(&pelvis, sign(down), &joints).ankle().z - INSTEP
    });
    draft.joints.legs[down].knee = joints.knee;
    draft.legs[down] = draft.leg_by_angles(down).with_ankle(LYING_FOOT, 0.0);
}

/// The front shin lies across in front of the pelvis, the other leg is long behind.
fn folded_front_leg(draft: &mut Draft<'_>) {
    let raised = if draft.needs(Equipment::Bolster) { BOLSTER * 0.8 } else { 0.0 };
    let hip_height = 0.082 + raised;
    // With the leg behind long on the floor, its hip lets the pelvis stay no more upright than this.
    let pitch = (draft.joints.legs[WORKED].flexion - 76.0).clamp(34.0, 70.0);
    draft.put_pelvis(vec3(0.0, 0.0, hip_height), Rotation::about_y(pitch));
    let pelvis = draft.axis.pelvis;
    let ankle = vec3(0.135, -0.105, 0.030);
    let leg = leg_to(&pelvis, WORKED, ankle, vec3(1.0, 0.75, -0.1));
    draft.legs[WORKED] = leg.with_foot(Rotation::facing(vec3(0.2, 1.0, 0.3), vec3(-0.2, -0.8, 0.0)), 0.0);
    let bottom = |leg: &Leg| (leg.knee().z - flesh::SHANK.0).min(leg.ankle().z - INSTEP);
    draft.settle_hip(OTHER, (-60.0, 60.0), bottom);
    draft.legs[OTHER] = draft.legs[OTHER].with_ankle(LYING_FOOT, 0.0);
}

/// Both shins on the floor: all fours, sitting on the heels, folded forward.
fn on_shins(draft: &mut Draft<'_>) {
    let carrying = if draft.joints.legs[WORKED].knee < 60.0 { OTHER } else { WORKED };
    let leg = draft.joints.legs[carrying];
    let pitch = leg.flexion - leg.knee + 90.0;
    let (sin, cos) = sin_cos(leg.knee - 90.0);
    let pelvis = vec3(-sin * THIGH, 0.0, KNEE + cos * THIGH);
    let pitch = if hands_carry(draft) { pitch_on_hands(draft, pelvis, pitch) } else { pitch };
    draft.put_pelvis(pelvis, Rotation::about_y(pitch));
    for side in [WORKED, OTHER] {
        if side != carrying && draft.joints.legs[side].knee < 60.0 {
            leg_to_the_side(draft, side);
        } else {
            shin_on_floor(draft, side);
        }
    }
}

fn shin_on_floor(draft: &mut Draft<'_>, side: usize) {
    let at = draft.axis.pelvis.at;
    let (sin, _) = sin_cos(draft.joints.legs[side].knee - 90.0);
    let knee = vec3(at.x + sin * THIGH, sign(side) * 0.06, KNEE);
    let ankle = vec3(knee.x - 0.2455, knee.y, INSTEP);
    let leg = leg_to(&draft.axis.pelvis, side, ankle, vec3(1.0, 0.0, -0.6));
    draft.legs[side] = leg.with_ankle(LYING_FOOT, 0.0);
}

/// A long leg out to the side, its sole on the floor.
fn leg_to_the_side(draft: &mut Draft<'_>, side: usize) {
    let pelvis = draft.axis.pelvis;
    let mut joints = draft.joints.legs[side];
    joints.abduction = settle(20.0, 88.0, |abduction| {
        let joints = LegJoints { abduction, ..joints };
        Leg::hanging(&pelvis, sign(side), &joints).ankle().z - ANKLE
    });
    draft.joints.legs[side] = joints;
    let foot = Rotation::facing(vec3(0.0, 0.0, 1.0), vec3(1.0, sign(side) * 0.3, 0.0));
    draft.legs[side] = draft.leg_by_angles(side).with_foot(foot, 0.0);
}

/// Whether straight arms below the shoulders carry the chest.
pub(super) fn hands_carry(draft: &Draft<'_>) -> bool {
    let on_hands = |side: usize| {
        let arm = draft.joints.arms[side];
        draft.joints.names(side, Joint::Wrist)
            && draft.joints.names(side, Joint::Shoulder)
            && arm.elbow < 20.0
    };
    on_hands(WORKED) && on_hands(OTHER)
}

/// The pelvis tips so far that the palms lie on the floor at the end of straight arms.
fn pitch_on_hands(draft: &Draft<'_>, pelvis: Vec3, named: f64) -> f64 {
    let joints = &draft.joints;
    let (_, cos) = sin_cos(90.0 + joints.arms[WORKED].wrist);
    let height = |pitch: f64| {
        let axis = Axis::on(Bone { at: pelvis, turn: Rotation::about_y(pitch) }, joints.trunk, joints.neck);
        shoulder(&axis.thorax, 1.0, &joints.arms[WORKED]).z - (UPPER_ARM + FOREARM) * cos * 0.999 - 0.024
    };
    settle((named - 60.0).max(0.0), named + 30.0, height)
}
