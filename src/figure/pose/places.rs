//! The places where hands lie, hold and lean.

use crate::catalogue::{Equipment, HandPlace, Position};
use crate::figure::flesh;
use crate::figure::joints::{OTHER, WORKED, sign};
use crate::figure::skeleton::{Axis, HAND, Leg, SHANK, THIGH, shoulder};
use crate::figure::vector::{UP, Vec3, vec3};

use super::draft::Draft;
use super::reach::{ArmGoal, Grip};
use super::seated::SEAT;

/// Middle of a wrist whose hand lies on something.
pub(super) const WRIST: f64 = 0.020;

/// The body as a hand sees it.
struct Seen {
    s: f64,
    shoulder: Vec3,
    front: Vec3,
    out: Vec3,
    up: Vec3,
}

impl Seen {
    fn of(draft: &Draft<'_>, side: usize) -> Self {
        let turn = draft.axis.thorax.turn;
        let s = sign(side);
        Self {
            s,
            shoulder: shoulder(&draft.axis.thorax, s, &draft.joints.arms[side]),
            front: turn.x,
            out: turn.y * s,
            up: turn.z,
        }
    }
}

/// On the front of a thigh, a share of the way to the knee.
fn on_thigh(leg: &Leg, share: f64) -> Vec3 {
    leg.thigh.point(vec3(flesh::THIGH.0 + 0.012, 0.0, -THIGH * share))
}

fn on_knee(leg: &Leg) -> Vec3 {
    let front = (leg.thigh.turn.x + leg.shank.turn.x).unit_or(leg.thigh.turn.x);
    leg.knee() + front * 0.050 + leg.thigh.turn.z * 0.02
}

/// Where a hand lies or hangs by itself.
fn rest(draft: &Draft<'_>, side: usize) -> ArmGoal {
    let seen = Seen::of(draft, side);
    match draft.form.position {
        Position::Supine => beside(draft, &seen),
        Position::Prone => at(draft, side, HandPlace::UnderForehead),
        Position::SideLying if side == WORKED => {
            let wrist = seen.shoulder + seen.front * 0.19 - seen.up * 0.06;
            let hand = Grip::Fingers(seen.front + seen.up * 0.3);
            ArmGoal { wrist: wrist.at_height(WRIST), elbow: UP - seen.up, hand }
        }
        Position::SideLying => {
            let wrist = draft.axis.skull() + draft.axis.head.turn.x * 0.02;
            let hand = Grip::Fingers((seen.up - seen.front).at_height(0.0));
            ArmGoal {
                wrist: wrist.at_height(draft.surface + WRIST),
                elbow: (seen.front + seen.up * 0.4).at_height(0.05),
                hand,
            }
        }
        Position::Kneeling => kneeling_rest(draft, side, &seen),
        Position::Seated => seated_rest(draft, side),
        Position::Standing => standing_rest(draft, &seen),
    }
}

/// On the mat beside the body.
fn beside(draft: &Draft<'_>, seen: &Seen) -> ArmGoal {
    let wrist = seen.shoulder - seen.up * 0.305 + seen.out * 0.06;
    ArmGoal {
        wrist: wrist.at_height(draft.surface + WRIST),
        elbow: seen.out.at_height(0.0),
        hand: Grip::Straight,
    }
}

fn kneeling_rest(draft: &Draft<'_>, side: usize, seen: &Seen) -> ArmGoal {
    let front = [WORKED, OTHER].into_iter().find(|leg| {
        let leg = &draft.legs[*leg];
        leg.thigh.turn.z.z.abs() < 0.6 && leg.foot.turn.z.z > 0.9
    });
    let folded = draft.joints.legs[WORKED].rotation >= 30.0;
    let leaning = draft.axis.thorax.turn.z.z < 0.72;
    if folded || leaning {
        return at(draft, side, HandPlace::FloorFront);
    }
    if let Some(front) = front {
        let wrist = on_thigh(&draft.legs[front], 0.78) + vec3(0.0, seen.s * 0.012, 0.006);
        return ArmGoal {
            wrist,
            elbow: -seen.front + seen.out * 0.6 - UP * 0.3,
            hand: Grip::Fingers(vec3(1.0, 0.0, -0.4)),
        };
    }
    let wrist = on_thigh(&draft.legs[side], 0.62);
    ArmGoal {
        wrist,
        elbow: -seen.front + seen.out * 0.5,
        hand: Grip::Fingers(-draft.legs[side].thigh.turn.z),
    }
}

fn seated_rest(draft: &Draft<'_>, side: usize) -> ArmGoal {
    let crossed = draft.joints.legs[side].rotation >= 30.0 && !draft.needs(Equipment::Chair);
    if crossed {
        let knee = draft.legs[side].knee();
        let wrist = knee.towards(draft.legs[side].thigh.at, 0.18) + UP * 0.048;
        let away = draft.axis.thorax.turn;
        return ArmGoal {
            wrist,
            elbow: away.y * sign(side) - away.x * 0.8,
            hand: Grip::Fingers(-draft.legs[side].thigh.turn.z - UP * 0.3),
        };
    }
    let leg = &draft.legs[side];
    let wrist = if leg.shank.turn.z.z.abs() < 0.5 && leg.thigh.turn.z.z.abs() < 0.5 {
        leg.knee().towards(leg.ankle(), 0.12) + UP * 0.05
    } else {
        leg.thigh.at.towards(leg.knee(), 0.66) + UP * (flesh::THIGH.0 + 0.010)
    };
    let away = draft.axis.thorax.turn;
    ArmGoal { wrist, elbow: away.y * sign(side) - away.x, hand: Grip::Fingers(-leg.thigh.turn.z) }
}

fn standing_rest(draft: &Draft<'_>, seen: &Seen) -> ArmGoal {
    let strides = |leg: usize| {
        let joints = draft.joints.legs[leg];
        joints.flexion >= 35.0 && joints.knee >= 45.0
    };
    if let Some(front) = [WORKED, OTHER].into_iter().find(|leg| strides(*leg)) {
        let wrist = on_thigh(&draft.legs[front], 0.80) + vec3(0.0, seen.s * 0.012, 0.004);
        return ArmGoal {
            wrist,
            elbow: -seen.front + seen.out * 0.7,
            hand: Grip::Fingers(-draft.legs[front].thigh.turn.z),
        };
    }
    let wrist = seen.shoulder + vec3(0.015, seen.s * 0.030, -0.326);
    ArmGoal { wrist, elbow: -seen.front, hand: Grip::Straight }
}

pub(super) fn at(draft: &Draft<'_>, side: usize, place: HandPlace) -> ArmGoal {
    match place {
        HandPlace::Rest => rest(draft, side),
        HandPlace::Hip
        | HandPlace::BackOfPelvis
        | HandPlace::BehindWaist
        | HandPlace::BehindBack
        | HandPlace::Crossed
        | HandPlace::BehindHead
        | HandPlace::UnderForehead
        | HandPlace::Head => on_body(draft, side, place),
        HandPlace::OtherElbow | HandPlace::OtherHand => on_other_arm(draft, side, place),
        HandPlace::UnderThigh
        | HandPlace::Thigh
        | HandPlace::Knee
        | HandPlace::Shin
        | HandPlace::Ankle
        | HandPlace::Foot
        | HandPlace::OtherThigh
        | HandPlace::OtherKnee => on_leg(draft, side, place),
        HandPlace::FloorFront
        | HandPlace::FloorSide
        | HandPlace::FloorBehind
        | HandPlace::Seat
        | HandPlace::Strap
        | HandPlace::Wall
        | HandPlace::WallSide
        | HandPlace::Trainer => on_thing(draft, side, place),
    }
}

fn reach(wrist: Vec3, elbow: Vec3, fingers: Vec3) -> ArmGoal {
    ArmGoal { wrist, elbow, hand: Grip::Fingers(fingers) }
}

fn on_body(draft: &Draft<'_>, side: usize, place: HandPlace) -> ArmGoal {
    let Seen { s, front, out, up, .. } = Seen::of(draft, side);
    let Axis { pelvis, lumbar, thorax, head, .. } = &draft.axis;
    let back = -front;
    match place {
        HandPlace::Hip => {
            reach(pelvis.point(vec3(0.020, s * 0.094, 0.050)), out + back * 0.7, front - up - out * 0.4)
        }
        HandPlace::BackOfPelvis => {
            reach(pelvis.point(vec3(-0.062, s * 0.060, 0.050)), out * 0.8 + back, -up - out * 0.5)
        }
        HandPlace::BehindWaist => {
            reach(lumbar.point(vec3(-0.068, s * 0.030, 0.030)), out + back * 0.5, up * 0.2 - out)
        }
        HandPlace::BehindBack => {
            reach(pelvis.point(vec3(-0.082, s * 0.012, 0.030)), out + back * 0.4, -up - out * 0.6)
        }
        HandPlace::Crossed => {
            reach(thorax.point(vec3(0.072, -s * 0.055, 0.098)), front - up * 0.8 + out * 0.4, up - out)
        }
        HandPlace::BehindHead => {
            reach(head.point(vec3(-0.045, s * 0.045, 0.020)), out + up * 0.3, up * 0.3 - out)
        }
        HandPlace::Head => reach(head.point(vec3(0.0, -s * 0.012, 0.112)), out + up * 0.4, -out - up * 0.5),
        // Under the forehead.
        _ => {
            let below = draft.axis.skull() + up * 0.015 + out * 0.055;
            reach(below.at_height(draft.surface + WRIST), out + up * 0.5, -out)
        }
    }
}

fn on_other_arm(draft: &Draft<'_>, side: usize, place: HandPlace) -> ArmGoal {
    let Seen { shoulder, out, up, .. } = Seen::of(draft, side);
    let arm = &draft.arms[1 - side];
    if place == HandPlace::OtherHand {
        let grip = arm.hand.down(HAND * 0.55);
        let from = (shoulder - grip).unit_or(out);
        return reach(grip + from * 0.045, out - UP * 0.8, -from);
    }
    let grip = arm.elbow().towards(arm.upper.at, 0.12);
    let from = (shoulder - grip).unit_or(out);
    let is_raised = grip.z > draft.axis.head.at.z;
    reach(grip + from * 0.035, if is_raised { out + up * 0.6 } else { out * 0.5 - UP }, -from)
}

/// The worked leg, or the hand's own where both are worked; and where two hands lie beside each other.
fn on_leg(draft: &Draft<'_>, side: usize, place: HandPlace) -> ArmGoal {
    let Seen { s, front, out, up, .. } = Seen::of(draft, side);
    let own = if draft.is_even() { side } else { WORKED };
    let (leg, other) = (&draft.legs[own], &draft.legs[1 - own]);
    let spread = draft.axis.pelvis.turn.y * (s * 0.014);
    let back = -front;
    let under = |leg: &Leg, radius: f64, share: f64| {
        let behind = leg.thigh.point(vec3(-radius, 0.0, -THIGH * share)) + spread;
        reach(behind, out - UP * 0.4, leg.thigh.turn.y * -s)
    };
    let sits = draft.needs(Equipment::Chair);
    match place {
        // Between the thigh and the seat.
        HandPlace::UnderThigh if sits && draft.joints.legs[own].flexion < 100.0 => {
            reach(draft.legs[side].thigh.point(vec3(-0.01, s * 0.055, -0.09)), back + out * 0.5, -UP)
        }
        HandPlace::UnderThigh => under(leg, flesh::THIGH.0 + 0.004, 0.62),
        HandPlace::OtherThigh if draft.form.position == Position::Supine => {
            under(other, flesh::THIGH.1 + 0.006, 0.70)
        }
        HandPlace::Thigh => reach(on_thigh(leg, 0.66) + spread, back + out * 0.7, -leg.thigh.turn.z),
        HandPlace::OtherThigh => reach(on_thigh(other, 0.72) + spread, back + out * 0.7, -other.thigh.turn.z),
        HandPlace::Knee => reach(on_knee(leg), out + back * 0.5, -up),
        HandPlace::OtherKnee => reach(on_knee(other), out + back * 0.5, -up),
        HandPlace::Shin => {
            let on = leg.shank.point(vec3(flesh::SHANK.0 + 0.010, 0.0, -SHANK * 0.30)) + spread;
            reach(on, out, -leg.shank.turn.z)
        }
        HandPlace::Ankle => {
            let on = leg.shank.point(vec3(flesh::SHANK.1 + 0.012, 0.0, -SHANK * 0.93));
            reach(on, back + out * 0.5, leg.foot.turn.x)
        }
        // At the foot.
        _ => reach(leg.foot.point(vec3(0.020, 0.0, 0.012)) + spread, back + out * 0.5, leg.foot.turn.x),
    }
}

fn on_thing(draft: &Draft<'_>, side: usize, place: HandPlace) -> ArmGoal {
    let Seen { s, shoulder, front, out, up } = Seen::of(draft, side);
    let back = -front;
    let on_floor = |from_shoulder: Vec3, elbow: Vec3, fingers: Vec3| ArmGoal {
        wrist: (shoulder + from_shoulder).at_height(WRIST),
        elbow,
        hand: Grip::Flat(fingers),
    };
    match place {
        HandPlace::FloorFront => {
            let ahead = 0.10 * up.z.abs();
            on_floor(vec3(ahead, s * 0.01, 0.0), back + out * 0.3, vec3(1.0, s * 0.05, 0.0))
        }
        HandPlace::FloorSide => on_floor(vec3(0.0, s * 0.13, 0.0), back + out * 0.2, vec3(0.2, s, 0.0)),
        HandPlace::FloorBehind => on_floor(vec3(-0.13, s * 0.03, 0.0), out + back, vec3(-1.0, s * 0.3, 0.0)),
        HandPlace::Seat => {
            let hip = draft.axis.pelvis.at + vec3(0.02, s * 0.115, 0.0);
            reach(hip.at_height(SEAT + 0.01), back + out * 0.4, -UP)
        }
        HandPlace::Strap if draft.form.position == Position::Prone => {
            let wrist = (shoulder + up * 0.06 + out * 0.05).at_height(draft.surface + 0.11);
            reach(wrist, up - UP * 0.2, UP * 0.4 - up)
        }
        HandPlace::Strap => {
            let towards = (draft.legs[WORKED].toes.at - draft.axis.thorax.at).unit_or(front);
            reach(shoulder + towards * 0.265 - out * 0.06, out - UP * 0.5, towards)
        }
        HandPlace::Wall => {
            let wrist = vec3(shoulder.x + 0.285, shoulder.y, shoulder.z - 0.015);
            ArmGoal { wrist, elbow: out * 0.4 - UP, hand: Grip::Flat(UP + front * 0.2) }
        }
        HandPlace::WallSide => {
            let wrist = shoulder + vec3(0.03, s * 0.27, -0.02);
            ArmGoal { wrist, elbow: -UP, hand: Grip::Flat(UP + vec3(0.0, s * 0.3, 0.0)) }
        }
        // On the trainer's shoulder.
        _ => reach(shoulder + vec3(0.27, 0.0, -0.02), out * 0.4 - UP, vec3(1.0, 0.0, -0.3)),
    }
}
