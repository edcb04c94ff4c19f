//! On both feet or on one: how far the trunk leans is found by weighing balance against standing upright.

use crate::body::{Joint, Motion};
use crate::catalogue::Equipment;
use crate::figure::flesh;
use crate::figure::joints::{OTHER, WORKED, sign};
use crate::figure::mass;
use crate::figure::skeleton::{ANKLE, Arm, ArmJoints, Axis, Bone, Leg, LegJoints};
use crate::figure::vector::{Rotation, Vec3, vec3};

use super::draft::Draft;
use super::reach::{leg_near, settle};
use super::seated::SEAT;

/// Adduction that puts the foot of one leg under the middle of the body.
const UNDER_THE_BODY: f64 = 5.0;

pub(super) fn standing(draft: &mut Draft<'_>) {
    let stance = Stance::of(draft);
    let (pitch, roll) = stance.lean(draft);
    let turn = Rotation::about_y(pitch) * Rotation::about_x(roll);
    draft.joints.legs = stance.joints(pitch);
    draft.put_pelvis(Vec3::default(), turn);
    let legs = stance.legs(&draft.axis.pelvis, pitch);
    draft.lift(-stance.floor(&legs));
    let legs = stance.legs(&draft.axis.pelvis, pitch);
    draft.legs = legs;
    for side in [WORKED, OTHER] {
        plant(draft, &stance, side);
    }
}

/// Puts a foot that stands on the floor: the ankle bends, and the other side's knee.
fn plant(draft: &mut Draft<'_>, stance: &Stance, side: usize) {
    let joints = draft.joints.legs[side];
    if stance.on_toes[side] {
        let pelvis = draft.axis.pelvis;
        let bent = |knee: f64| Leg::hanging(&pelvis, sign(side), &LegJoints { knee, ..joints });
        draft.joints.legs[side].knee = settle(0.0, 70.0, |knee| foot_bottom(&bent(knee)));
        draft.legs[side] = draft.leg_by_angles(side);
    }
    if !stance.on_floor[side] {
        return;
    }
    let leg = draft.legs[side];
    if joints.toes > 0.0 {
        let height = leg.ankle().z - foot_bottom(&leg);
        draft.legs[side] = leg_near(&draft.axis.pelvis, side, &joints, leg.ankle().at_height(height))
            .with_ankle(joints.ankle, joints.toes);
        return;
    }
    let planted = leg_near(&draft.axis.pelvis, side, &joints, leg.ankle().at_height(ANKLE));
    draft.legs[side] = planted.flat();
}

fn foot_bottom(leg: &Leg) -> f64 {
    leg.heel().z.min(leg.ball().z).min(leg.tip().z - flesh::FOOT * 0.6)
}

/// What stands, and the angles it stands with.
struct Stance {
    legs: [LegJoints; 2],
    /// Whether the hip follows from ankle and knee because it is not named.
    hip_follows: [bool; 2],
    on_floor: [bool; 2],
    /// A foot that stands on its toes and carries nothing.
    on_toes: [bool; 2],
    heel_on_chair: bool,
    leans_on_something: bool,
    ankle_named: [bool; 2],
    may_roll: bool,
}

impl Stance {
    fn of(draft: &Draft<'_>) -> Self {
        let names = |side: usize, joint: Joint| draft.joints.names(side, joint);
        let mut legs = draft.joints.legs;
        let heel_on_chair =
            draft.needs(Equipment::Chair) && legs[WORKED].flexion >= 60.0 && legs[WORKED].knee < 30.0;
        let lifted = heel_on_chair || (legs[WORKED].knee >= 80.0 && !draft.is_even());
        let behind = legs[WORKED].ankle <= -30.0 && !lifted && !draft.is_even();
        if behind && !names(WORKED, Joint::Hip) {
            legs[WORKED].flexion = -8.0;
            legs[WORKED].knee = 30.0;
        }
        if lifted && !names(OTHER, Joint::Hip) {
            legs[OTHER].abduction = -UNDER_THE_BODY;
        }
        // A leg whose hip is not said to bend goes where its foot stands.
        let follows = |side: usize| {
            !draft.joints.says(side, Motion::HipFlexion) && !draft.joints.says(side, Motion::HipExtension)
        };
        Self {
            legs,
            hip_follows: [follows(WORKED) && !behind, follows(OTHER)],
            on_floor: [!lifted && !behind, true],
            on_toes: [behind, false],
            heel_on_chair,
            leans_on_something: draft.needs(Equipment::Wall),
            ankle_named: [names(WORKED, Joint::Ankle), names(OTHER, Joint::Ankle)],
            may_roll: legs.iter().any(|leg| leg.abduction.abs() > UNDER_THE_BODY),
        }
    }

    /// The angles at a lean: a hip that is not named follows from a flat sole.
    fn joints(&self, pitch: f64) -> [LegJoints; 2] {
        [WORKED, OTHER].map(|side| {
            let mut joints = self.legs[side];
            if self.hip_follows[side] {
                joints.flexion = pitch + joints.knee - joints.ankle;
            }
            joints
        })
    }

    fn legs(&self, pelvis: &Bone, pitch: f64) -> [Leg; 2] {
        let joints = self.joints(pitch);
        [WORKED, OTHER].map(|side| {
            let leg = Leg::hanging(pelvis, sign(side), &joints[side]);
            if self.ankle_named[side] || !self.on_floor[side] { leg } else { leg.flat() }
        })
    }

    /// The height of the floor under the feet that carry.
    fn floor(&self, legs: &[Leg; 2]) -> f64 {
        [WORKED, OTHER]
            .into_iter()
            .filter(|side| self.on_floor[*side])
            .map(|side| self.sole(legs, side))
            .fold(f64::INFINITY, f64::min)
    }

    fn sole(&self, legs: &[Leg; 2], side: usize) -> f64 {
        if self.legs[side].toes > 0.0 { foot_bottom(&legs[side]) } else { legs[side].ankle().z - ANKLE }
    }

    /// Pitch and roll of the pelvis: a coarse search, then ever finer steps about the best.
    fn lean(&self, draft: &Draft<'_>) -> (f64, f64) {
        if let Some(pitch) = self.pitch_of_sole() {
            return (pitch, 0.0);
        }
        let rolls: &[f64] = if self.may_roll { &[-20.0, -10.0, 0.0, 10.0, 20.0] } else { &[0.0] };
        let mut best = (f64::INFINITY, 0.0, 0.0);
        let mut look = |pitch: f64, roll: f64| {
            let cost = self.cost(draft, pitch, roll);
            if cost < best.0 - 1e-12 {
                best = (cost, pitch, roll);
            }
            (best.1, best.2)
        };
        for step in -3..=8_i32 {
            for roll in rolls {
                look(f64::from(step) * 10.0, *roll);
            }
        }
        let mut step = 5.0;
        while step > 0.2 {
            let (pitch, roll) = look(0.0, 0.0);
            for (dp, dr) in [(-1.0, 0.0), (1.0, 0.0), (0.0, -1.0), (0.0, 1.0)] {
                if dr == 0.0 || self.may_roll {
                    look(pitch + dp * step, roll + dr * step);
                }
            }
            if look(pitch, roll) == (pitch, roll) {
                step /= 2.0;
            }
        }
        look(0.0, 0.0)
    }

    /// Where the worked ankle is what bends and its sole lies, hip and knee say how far the pelvis leans.
    fn pitch_of_sole(&self) -> Option<f64> {
        let leg = self.legs[WORKED];
        let lies = self.on_floor[WORKED] && self.ankle_named[WORKED] && leg.toes == 0.0;
        (lies && !self.hip_follows[WORKED]).then_some(leg.flexion - leg.knee + leg.ankle)
    }

    fn cost(&self, draft: &Draft<'_>, pitch: f64, roll: f64) -> f64 {
        let pelvis = Bone { at: Vec3::default(), turn: Rotation::about_y(pitch) * Rotation::about_x(roll) };
        let axis = Axis::on(pelvis, draft.joints.trunk, draft.joints.neck);
        let legs = self.legs(&pelvis, pitch);
        let arms = [WORKED, OTHER].map(|side| Arm::hanging(&axis.thorax, sign(side), &ArmJoints::default()));
        let centre = mass::centre(&axis, &legs, &arms);
        let floor = self.floor(&legs);
        let mut feet = Vec3::default();
        let mut count = 0.0;
        let mut uneven = 0.0;
        for side in [WORKED, OTHER] {
            if self.on_floor[side] {
                let leg = &legs[side];
                feet = feet + leg.ankle() + vec3(0.03, 0.0, 0.0);
                count += 1.0;
                let step = self.sole(&legs, side) - floor;
                uneven += step * step;
                if self.ankle_named[side] && self.legs[side].toes == 0.0 {
                    let tilt = leg.foot.turn.x.z;
                    uneven += 0.02 * tilt * tilt;
                }
            }
        }
        if self.heel_on_chair {
            let step = legs[WORKED].ankle().z - 0.03 - floor - SEAT;
            uneven += step * step;
        }
        let feet = feet * (1.0 / count);
        let ease = if self.leans_on_something { 1.0 / 7.0 } else { 1.0 };
        let (ahead, beside) = (centre.x - feet.x, centre.y - feet.y);
        let (pitched, rolled) = (pitch / 90.0, roll / 90.0);
        6.0 * uneven
            + ease * (0.6 * ahead * ahead + 0.5 * beside * beside)
            + 0.03 * pitched * pitched
            + 0.2 * rolled * rolled
    }
}
