//! Limbs of two bones that have to end in a place.

use crate::figure::joints::sign;
use crate::figure::skeleton::ArmJoints;
use crate::figure::skeleton::{
    Arm, Bone, FOREARM, HALF_HIPS, Leg, LegJoints, SHANK, THIGH, UPPER_ARM, shoulder,
};
use crate::figure::vector::{Rotation, Vec3, vec3};

/// How straight a limb may become; quite straight it has no plane to bend in.
const STRAIGHTEST: f64 = 0.9999;

/// The middle joint of two bones from `root` that end at or towards `target`, bent towards `pole`; and their end.
pub(super) fn two_bones(root: Vec3, target: Vec3, upper: f64, lower: f64, pole: Vec3) -> Bent {
    let line = target - root;
    let direction = line.unit_or(vec3(0.0, 0.0, -1.0));
    let longest = (upper + lower) * STRAIGHTEST;
    let length = line.length().clamp((upper - lower).abs() + 0.02, longest);
    let along = (upper * upper - lower * lower + length * length) / (2.0 * length);
    let off = (upper * upper - along * along).max(0.0).sqrt();
    let side = pole.across(direction).unit_or(Rotation::facing(direction, vec3(1.0, 0.0, 0.0)).x);
    Bent { middle: root + direction * along + side * off, end: root + direction * length, side }
}

/// Two bones in place.
pub(super) struct Bent {
    /// Knee or elbow.
    middle: Vec3,
    /// Ankle or wrist.
    end: Vec3,
    /// Where the middle points, across the line between the ends.
    side: Vec3,
}

/// Thigh and shank through these points; the knee points to `front`.
fn leg_bones(hip: Vec3, knee: Vec3, ankle: Vec3, front: Vec3) -> (Bone, Bone) {
    let thigh = Rotation::facing(hip - knee, front);
    let hinge = thigh.y;
    let up = (knee - ankle).unit_or(thigh.z).across(hinge).unit_or(thigh.z);
    (Bone { at: hip, turn: thigh }, Bone { at: knee, turn: Rotation { x: hinge.cross(up), y: hinge, z: up } })
}

/// A leg whose ankle is put at `ankle` with the knee towards `front`; the foot is at right angles until it is set.
pub(super) fn leg_to(pelvis: &Bone, side: usize, ankle: Vec3, front: Vec3) -> Leg {
    let hip = pelvis.point(vec3(0.0, sign(side) * HALF_HIPS, 0.0));
    let bent = two_bones(hip, ankle, THIGH, SHANK, front);
    let (thigh, shank) = leg_bones(hip, bent.middle, bent.end, bent.side);
    Leg::on(thigh, shank, shank.turn, 0.0)
}

/// A leg whose ankle is put at `ankle`, bent in the plane that the angles give.
pub(super) fn leg_near(pelvis: &Bone, side: usize, joints: &LegJoints, ankle: Vec3) -> Leg {
    let free = Leg::hanging(pelvis, sign(side), joints);
    let middle = free.thigh.at.towards(free.ankle(), 0.5);
    let plane = if joints.knee > 5.0 { free.knee() - middle } else { free.thigh.turn.x };
    leg_to(pelvis, side, ankle, plane)
}

impl Leg {
    /// With the sole flat on what it stands on, the toes where the knee points.
    pub(super) fn flat(self) -> Self {
        let heading = self.thigh.turn.x + self.shank.turn.x;
        let heading = heading.at_height(0.0).unit_or(vec3(1.0, 0.0, 0.0));
        self.with_foot(Rotation::facing(vec3(0.0, 0.0, 1.0), heading), 0.0)
    }

    /// With the ankle at an angle.
    pub(super) fn with_ankle(self, dorsiflexion: f64, toes: f64) -> Self {
        self.with_foot(self.shank.turn * Rotation::about_y(-dorsiflexion), toes)
    }

    /// With the foot turned so against the room.
    pub(super) fn with_foot(self, foot: Rotation, toes: f64) -> Self {
        Self::on(self.thigh, self.shank, foot, toes)
    }
}

/// How an arm is put in its place.
#[derive(Debug, Clone, Copy)]
pub(super) struct ArmGoal {
    /// Where the wrist goes.
    pub wrist: Vec3,
    /// Where the elbow points.
    pub elbow: Vec3,
    /// How the hand is held.
    pub hand: Grip,
}

/// How a placed hand is held.
#[derive(Debug, Clone, Copy)]
pub(super) enum Grip {
    /// In line with the forearm.
    Straight,
    /// The fingers point so.
    Fingers(Vec3),
    /// The palm lies on something, the wrist bent back and the fingers pointing so.
    Flat(Vec3),
}

/// An arm whose wrist is put in a place.
pub(super) fn arm_to(thorax: &Bone, side: usize, joints: &ArmJoints, reach: &ArmGoal) -> Arm {
    let root = shoulder(thorax, sign(side), joints);
    let bent = two_bones(root, reach.wrist, UPPER_ARM, FOREARM, reach.elbow);
    let (elbow, wrist) = (bent.middle, bent.end);
    // The elbow bends forward: its point is the back of the arm.
    let upper = Rotation::facing(root - elbow, -bent.side);
    let hinge = upper.y;
    let up = (elbow - wrist).unit_or(upper.z).across(hinge).unit_or(upper.z);
    let forearm = Rotation { x: hinge.cross(up), y: hinge, z: up };
    let (forearm, hand) = match reach.hand {
        Grip::Straight => (forearm, forearm),
        Grip::Fingers(fingers) => (forearm, Rotation::facing(-fingers, forearm.x)),
        Grip::Flat(fingers) => {
            // The wrist bends back and nothing else: the inside of the forearm faces away from the fingers.
            let inside = (-fingers).across(up).unit_or(forearm.y);
            let y = inside * -sign(side);
            let thumb = y.cross(up);
            let z = (-fingers).across(thumb).unit_or(up);
            (Rotation { x: thumb, y, z: up }, Rotation { x: thumb, y: z.cross(thumb), z })
        }
    };
    Arm {
        upper: Bone { at: root, turn: upper },
        forearm: Bone { at: elbow, turn: forearm },
        hand: Bone { at: wrist, turn: hand },
    }
}

/// The value between `low` and `high` at which `height` is nought, where it rises from below to above.
pub(super) fn settle(low: f64, high: f64, height: impl Fn(f64) -> f64) -> f64 {
    let (mut low, mut high) = (low, high);
    let rising = height(high) > height(low);
    for _ in 0..24 {
        let middle = f64::midpoint(low, high);
        if (height(middle) < 0.0) == rising {
            low = middle;
        } else {
            high = middle;
        }
    }
    f64::midpoint(low, high)
}
