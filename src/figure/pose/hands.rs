//! Where the hands are: by the form's angles, by what it says of the hands, or where people put them in such a pose.

use crate::body::{Joint, Motion};
use crate::catalogue::{Equipment, HandPlace, Position};
use crate::figure::flesh;
use crate::figure::joints::{MovingPart, OTHER, WORKED, sign};
use crate::figure::skeleton::{Arm, ArmJoints, FOREARM, Raise, UPPER_ARM, shoulder};
use crate::figure::vector::{UP, Vec3, sin_cos, vec3};

use super::draft::Draft;
use super::kneeling::hands_carry;
use super::lying::{carried_by_arms, crosses_knee};
use super::places::{self, WRIST};
use super::reach::{ArmGoal, Grip, arm_to, settle};
use super::seated::SEAT;

pub(super) fn place(draft: &mut Draft<'_>) {
    for side in [WORKED, OTHER] {
        let place = match draft.form.drawing.hands.map(|hands| hands[side]) {
            Some(HandPlace::Rest) | None if holds_ankle(draft, side) => HandPlace::Ankle,
            None if draft.needs(Equipment::Strap) && draft.form.position == Position::Prone => {
                HandPlace::Strap
            }
            Some(HandPlace::Rest) | None if draft.joints.places_arm(side) => HandPlace::Rest,
            Some(place) if place != HandPlace::Rest => place,
            _ => by_rule(draft, side),
        };
        let by_angles_alone = place == HandPlace::Rest && draft.joints.places_arm(side);
        draft.arms[side] = if by_angles_alone { by_angles(draft, side) } else { put(draft, side, place) };
    }
}

/// Whether the client holds this ankle behind the body.
fn holds_ankle(draft: &Draft<'_>, side: usize) -> bool {
    let leg = draft.joints.legs[WORKED];
    draft.is_alone()
        && side == WORKED
        && draft.worked == MovingPart::Leg
        && !draft.is_even()
        && !draft.needs(Equipment::Strap)
        && leg.knee >= 100.0
        && leg.flexion < 20.0
}

/// The arm as the form says, but not through what the client lies on, and carrying where it carries.
fn by_angles(draft: &Draft<'_>, side: usize) -> Arm {
    let joints = draft.joints.arms[side];
    let thorax = draft.axis.thorax;
    let s = sign(side);
    let root = shoulder(&thorax, s, &joints);
    let on = |wrist: Vec3, elbow: Vec3, hand: Grip| {
        arm_to(&thorax, side, &joints, &ArmGoal { wrist, elbow, hand })
    };
    if draft.form.position == Position::Kneeling && hands_carry(draft) {
        // The palm lies: so far as the wrist is short of a right angle, the hand is ahead of the shoulder.
        let (ahead, _) = sin_cos(90.0 + joints.wrist);
        let wrist = root + vec3(ahead * (UPPER_ARM + FOREARM), 0.0, 0.0);
        return on(wrist.at_height(WRIST), vec3(-1.0, s * 0.3, 0.0), Grip::Flat(vec3(1.0, 0.0, 0.0)));
    }
    if draft.form.position == Position::Prone && carried_by_arms(draft) {
        return propped(draft, &joints, root, s, on);
    }
    let arm = Arm::hanging(&thorax, s, &joints);
    let floor = match draft.form.position {
        Position::Kneeling if draft.needs(Equipment::Chair) => SEAT,
        _ if draft.surface > 0.0 => return arm,
        _ => 0.0,
    };
    let low = |arm: &Arm| arm.wrist().z.min(arm.tip().z) - floor - flesh::HAND.1 + 0.004;
    if low(&arm) >= 0.0 {
        return arm;
    }
    if let (Some(Joint::Wrist), Raise::Swing { flexion, abduction }) = (draft.main, joints.raise) {
        // The hand has to be free: the whole arm is lifted.
        let lifted = |more: f64| {
            let raise = Raise::Swing { flexion: flexion + more, abduction };
            Arm::hanging(&thorax, s, &ArmJoints { raise, ..joints })
        };
        return lifted(settle(0.0, 60.0, |more| low(&lifted(more))));
    }
    let elbow = arm.elbow() - arm.upper.at.towards(arm.wrist(), 0.5);
    let elbow = if elbow.length() < 0.02 { -arm.upper.turn.x } else { elbow };
    let elbow = elbow.at_height(elbow.z.max(0.0));
    let fingers = (arm.tip() - arm.wrist()).at_height(0.0);
    let stretched = draft.joints.says(side, Motion::WristExtension);
    let hand = if stretched { Grip::Flat(fingers) } else { Grip::Fingers(fingers) };
    on(arm.wrist().at_height(floor + WRIST), elbow, hand)
}

/// Face down on the elbows, with the forearms flat, or on the hands, with the elbows as bent as it takes.
fn propped(
    draft: &Draft<'_>,
    joints: &ArmJoints,
    root: Vec3,
    s: f64,
    on: impl Fn(Vec3, Vec3, Grip) -> Arm,
) -> Arm {
    let ahead = vec3(1.0, 0.0, 0.0);
    if joints.elbow < 45.0 {
        let wrist = (root + ahead * 0.02 + vec3(0.0, s * 0.02, 0.0)).at_height(WRIST);
        return on(wrist, vec3(-0.6, s * 0.9, 0.7), Grip::Flat(ahead));
    }
    let drop = root.z - draft.surface - flesh::FOREARM.0;
    let reach = (UPPER_ARM * UPPER_ARM - drop * drop).max(0.0).sqrt();
    let elbow = root + vec3(reach, s * 0.01, -drop);
    on((elbow + ahead * FOREARM).at_height(WRIST), -UP - ahead * 0.3, Grip::Fingers(ahead))
}

/// Where people put that hand in such a pose.
fn by_rule(draft: &Draft<'_>, side: usize) -> HandPlace {
    let leg = draft.joints.legs[WORKED];
    let lying = matches!(draft.form.position, Position::Supine | Position::SideLying);
    if draft.needs(Equipment::Strap) && !draft.joints.places_arm(WORKED) {
        return HandPlace::Strap;
    }
    if draft.is_alone() && (draft.worked == MovingPart::Leg || draft.is_even()) && lying {
        if crosses_knee(draft) {
            return HandPlace::OtherThigh;
        }
        if leg.abduction < 0.0
            && leg.flexion >= 80.0
            && leg.knee >= 80.0
            && draft.form.position == Position::Supine
        {
            return if side == WORKED { HandPlace::Knee } else { HandPlace::Ankle };
        }
        if leg.flexion >= 70.0 {
            let both = draft.form.position == Position::Supine;
            return if side == WORKED || both { HandPlace::UnderThigh } else { HandPlace::Rest };
        }
    }
    if draft.form.position == Position::Seated
        && draft.is_even()
        && leg.abduction >= 30.0
        && leg.rotation >= 30.0
    {
        return if draft.needs(Equipment::Chair) { HandPlace::Rest } else { HandPlace::Ankle };
    }
    if draft.needs(Equipment::Wall) && draft.worked == MovingPart::Leg {
        return HandPlace::Wall;
    }
    if draft.is_alone() && draft.worked == MovingPart::Arm && side == OTHER && !draft.needs(Equipment::Wall) {
        return helping_hand(draft);
    }
    HandPlace::Rest
}

/// What the other hand does to a stretched arm.
fn helping_hand(draft: &Draft<'_>) -> HandPlace {
    match draft.main {
        Some(Joint::Wrist) => HandPlace::OtherHand,
        Some(Joint::Elbow) => HandPlace::OtherElbow,
        _ if draft.joints.says(WORKED, Motion::ShoulderHorizontalAdduction) => HandPlace::OtherElbow,
        _ => HandPlace::Rest,
    }
}

fn put(draft: &Draft<'_>, side: usize, place: HandPlace) -> Arm {
    arm_to(&draft.axis.thorax, side, &draft.joints.arms[side], &places::at(draft, side, place))
}
