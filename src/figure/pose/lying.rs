//! On the back, on the belly, on the side.

use crate::body::{Joint, Motion};
use crate::catalogue::{Equipment, Helper};
use crate::figure::flesh::{self, trunk_bottom};
use crate::figure::joints::{MovingPart, OTHER, WORKED, sign};
use crate::figure::skeleton::{ANKLE, HALF_HIPS, Leg, LegJoints};
use crate::figure::vector::{Rotation, Vec3, vec3};

use super::draft::Draft;
use super::reach::{leg_near, leg_to, settle};

/// Height of a treatment table.
pub(super) const TABLE: f64 = 0.42;
/// Radius of a pillow or bolster.
pub(super) const BOLSTER: f64 = 0.06;
/// How far a foot points when nothing holds it, in degrees.
const POINTED: f64 = -55.0;

/// The lowest point of a leg that lies: knee, heel or toes.
fn leg_bottom(leg: &Leg) -> f64 {
    let knee = leg.knee().z - flesh::SHANK.0;
    let ankle = leg.ankle().z - flesh::SHANK.1;
    knee.min(ankle).min(leg.heel().z).min(leg.tip().z - flesh::FOOT * 0.6)
}

pub(super) fn supine(draft: &mut Draft<'_>) {
    let [low, high] = draft.joints.trunk.of_trunk();
    // The rib cage lies; the pelvis turns, curls or tips against it.
    let lying = Rotation::about_y(-90.0) * (low * high).inverse();
    if draft.needs(Equipment::Table) {
        draft.surface = TABLE;
    }
    draft.put_pelvis(Vec3::default(), lying);
    let raised = if draft.needs(Equipment::Bolster) { BOLSTER } else { 0.0 };
    draft.lift(draft.surface + raised - trunk_bottom(&draft.axis));
    for side in [WORKED, OTHER] {
        supine_leg(draft, side);
    }
    if crosses_knee(draft) {
        lay_ankle_on_thigh(draft);
    }
}

/// Whether the worked ankle lies on the other thigh: the hip turned out, both knees bent.
pub(super) fn crosses_knee(draft: &Draft<'_>) -> bool {
    let [worked, other] = draft.joints.legs;
    !draft.is_even()
        && worked.rotation >= 30.0
        && worked.knee >= 70.0
        && other.rotation < 20.0
        && other.knee >= 70.0
        && other.flexion >= 60.0
}

pub(super) fn lay_ankle_on_thigh(draft: &mut Draft<'_>) {
    let thigh = draft.legs[OTHER].thigh;
    let on = thigh.point(vec3(flesh::THIGH.1 + flesh::SHANK.1, -0.03, -0.212));
    // The knee falls out to the side.
    let front = draft.axis.pelvis.turn * vec3(0.3, 1.0, 0.36);
    let leg = leg_to(&draft.axis.pelvis, WORKED, on, front);
    let joints = draft.joints.legs[WORKED];
    draft.legs[WORKED] = leg.with_ankle(joints.ankle, joints.toes);
}

fn supine_leg(draft: &mut Draft<'_>, side: usize) {
    let joints = draft.joints.legs[side];
    let surface = draft.surface;
    let soles_together = draft.is_even() && joints.rotation >= 30.0 && joints.abduction >= 30.0;
    let stands = joints.rotation < 20.0
        && (20.0..=60.0).contains(&joints.flexion)
        && (35.0..=110.0).contains(&joints.knee);
    if soles_together {
        supine_soles(draft, side);
    } else if stands {
        draft.settle_hip(side, (0.0, 100.0), |leg| leg.ankle().z - surface - ANKLE);
        draft.legs[side] = draft.legs[side].flat();
    } else if joints.flexion.abs() <= 12.0 && joints.knee <= 25.0 && joints.flexion >= 0.0 {
        let limb = (-25.0, 40.0);
        if !draft.joints.names(side, Joint::Ankle) {
            draft.joints.legs[side].ankle = -15.0;
        }
        draft.settle_hip(side, limb, |leg| {
            let calf = leg.knee().z - flesh::SHANK.0;
            calf.min(leg.ankle().z - flesh::SHANK.1).min(leg.heel().z) - surface
        });
    } else {
        draft.legs[side] = draft.leg_by_angles(side);
    }
}

/// Soles together: the feet lie in the midline as far away as the knees' bend says.
fn supine_soles(draft: &mut Draft<'_>, side: usize) {
    let joints = draft.joints.legs[side];
    let s = sign(side);
    let free = draft.leg_by_angles(side);
    let hip = free.thigh.at;
    let length = (free.ankle() - hip).length();
    let goal = vec3(0.0, s * 0.022, draft.surface + 0.035);
    let across = hip.y - goal.y;
    let down = hip.z - goal.z;
    let along = (length * length - across * across - down * down).max(0.01).sqrt();
    let ankle = vec3(hip.x + along, goal.y, goal.z);
    let leg = leg_near(&draft.axis.pelvis, side, &joints, ankle);
    // The soles face each other, the outer edges lie.
    let sole = vec3(0.0, s, 0.0);
    draft.legs[side] = leg.with_foot(Rotation::facing(sole, vec3(0.9, 0.0, 0.1)), 0.0);
}

pub(super) fn prone(draft: &mut Draft<'_>) {
    if draft.needs(Equipment::Table) {
        draft.surface = TABLE;
    }
    let turn = Rotation::about_y(90.0);
    if carried_by_arms(draft) {
        press_up(draft, turn);
    } else {
        if !draft.joints.names(WORKED, Joint::Neck) {
            draft.joints.neck.flexion = -16.0;
        }
        draft.put_pelvis(Vec3::default(), turn);
        draft.lift(draft.surface - trunk_bottom(&draft.axis));
    }
    for side in [WORKED, OTHER] {
        prone_leg(draft, side);
    }
}

/// Whether hands or elbows lift the chest.
pub(super) fn carried_by_arms(draft: &Draft<'_>) -> bool {
    draft.joints.trunk.flexion < 0.0 && draft.joints.says(WORKED, Motion::ShoulderFlexion)
}

/// Hands or elbows carry the chest; the spine bends back as far as the form says.
fn press_up(draft: &mut Draft<'_>, turn: Rotation) {
    draft.joints.neck.flexion = -12.0;
    draft.put_pelvis(vec3(0.0, 0.0, 0.060), turn);
}

fn prone_leg(draft: &mut Draft<'_>, side: usize) {
    let joints = draft.joints.legs[side];
    let surface = draft.surface;
    if !draft.joints.names(side, Joint::Ankle) {
        draft.joints.legs[side].ankle = if joints.knee <= 40.0 { POINTED } else { -20.0 };
    }
    if joints.flexion != 0.0 {
        draft.legs[side] = draft.leg_by_angles(side);
        return;
    }
    let over_the_end = draft.needs(Equipment::Table);
    draft.settle_hip(side, (-30.0, 30.0), |leg| {
        let low =
            if over_the_end || joints.knee > 40.0 { leg.knee().z - flesh::SHANK.0 } else { leg_bottom(leg) };
        low - surface
    });
}

pub(super) fn side_lying(draft: &mut Draft<'_>) {
    // The worked side is up, the head to the right of somebody who stands behind.
    let turn = Rotation::about_z(90.0) * Rotation::about_x(90.0);
    // Bent over a bolster, or drawn apart, pelvis and ribs sink alike to both sides of the waist.
    let roll = Rotation::about_x(draft.joints.trunk.lateral / 2.0);
    draft.put_pelvis(Vec3::default(), turn * roll);
    let raised = if draft.needs(Equipment::Bolster) { BOLSTER * 0.6 } else { 0.0 };
    let pelvis = draft.axis.pelvis.turn;
    let breadth = pelvis.y.z.abs() * 0.098 + pelvis.x.z.abs() * 0.06;
    // The shoulder below slides forward from under the ribs.
    draft.joints.arms[OTHER].girdle_forward = draft.joints.arms[OTHER].girdle_forward.max(50.0);
    draft.lift(breadth + raised - draft.axis.pelvis.at.z);
    lower_leg(draft);
    upper_leg(draft);
}

/// The leg below lies on the floor from hip to foot.
fn lower_leg(draft: &mut Draft<'_>) {
    if draft.joints.legs[OTHER] == LegJoints::default() {
        draft.joints.legs[OTHER].flexion = 8.0;
        draft.joints.legs[OTHER].knee = 14.0;
    }
    rest_leg(draft, OTHER, 0.030);
}

/// Sets ab- or adduction so that the knee lies at `knee` and then turns the thigh so that the foot lies too.
fn rest_leg(draft: &mut Draft<'_>, side: usize, height: f64) {
    let pelvis = draft.axis.pelvis;
    let s = sign(side);
    let mut joints = draft.joints.legs[side];
    if !draft.joints.names(side, Joint::Ankle) {
        joints.ankle = -25.0;
    }
    joints.abduction = settle(-60.0, 60.0, |abduction| {
        let leg = Leg::hanging(&pelvis, s, &LegJoints { abduction, ..joints });
        let knee = leg.knee().z - height - flesh::SHANK.0 * 0.2;
        // A long leg does not turn to lay its foot down; it sinks until the ankle lies.
        if joints.knee > 20.0 { knee } else { knee.min(leg.ankle().z - height) }
    });
    if joints.knee > 20.0 {
        joints.rotation = settle(-50.0, 50.0, |rotation| {
            let joints = LegJoints { rotation, ..joints };
            Leg::hanging(&pelvis, s, &joints).ankle().z - height
        });
    }
    draft.joints.legs[side] = joints;
    draft.legs[side] = Leg::hanging(&pelvis, s, &joints);
}

/// The leg above is carried where it is the one that is stretched; else it lies on the other one, or on the floor.
fn upper_leg(draft: &mut Draft<'_>) {
    let joints = draft.joints.legs[WORKED];
    let stretched = draft.worked == MovingPart::Leg && draft.form.helper == Helper::Assisted;
    let adducts = joints.abduction < 0.0;
    if joints == LegJoints::default() {
        draft.joints.legs[WORKED].flexion = 8.0;
        draft.joints.legs[WORKED].knee = 8.0;
    }
    if stretched || adducts {
        if !draft.joints.names(WORKED, Joint::Ankle) {
            draft.joints.legs[WORKED].ankle = -15.0;
        }
        draft.legs[WORKED] = draft.leg_by_angles(WORKED);
        keep_above_floor(draft);
        return;
    }
    let other = draft.joints.legs[OTHER];
    let on_the_other =
        (joints.flexion - other.flexion).abs() <= 25.0 && (joints.knee - other.knee).abs() <= 30.0;
    let held = joints.flexion < 15.0 && joints.knee >= 70.0;
    let height = if on_the_other {
        0.030 + 2.0 * flesh::SHANK.0 * 0.85
    } else if held {
        draft.axis.pelvis.at.z + HALF_HIPS * 0.9
    } else {
        0.034
    };
    rest_leg(draft, WORKED, height);
}

/// A thigh that is taken across goes as far down as the mat lets it.
fn keep_above_floor(draft: &mut Draft<'_>) {
    let bottom = |leg: &Leg| {
        (leg.knee().z - flesh::SHANK.0).min(leg.ankle().z - flesh::SHANK.1).min(leg.tip().z - flesh::FOOT)
    };
    if bottom(&draft.legs[WORKED]) >= 0.0 {
        return;
    }
    let pelvis = draft.axis.pelvis;
    let mut joints = draft.joints.legs[WORKED];
    joints.abduction = settle(joints.abduction, 10.0, |abduction| {
        let joints = LegJoints { abduction, ..joints };
        bottom(&Leg::hanging(&pelvis, 1.0, &joints))
    });
    draft.joints.legs[WORKED] = joints;
    draft.legs[WORKED] = Leg::hanging(&pelvis, 1.0, &joints);
}
