//! One body for everybody: the lengths of its segments, and where the joints put them.
//!
//! Lengths are fractions of stature, from Drillis and Contini 1966 as drawn in Winter, Biomechanics and Motor Control
//! of Human Movement, 4th edition 2009, figure 4.1; the split of the spine and the places of the joints within the
//! breadths are chosen so that those heights come out.

use super::vector::{Rotation, Vec3, vec3};

/// Hip to knee.
pub const THIGH: f64 = 0.245;
/// Knee to ankle.
pub const SHANK: f64 = 0.246;
/// Ankle above the sole.
pub const ANKLE: f64 = 0.039;
/// Ankle to the back of the heel.
pub const HEEL: f64 = 0.040;
/// Ankle to the ball of the foot; heel, this and the toes make the foot's .152.
pub const BALL: f64 = 0.062;
/// Ball of the foot to the tip of the toes.
pub const TOES: f64 = 0.050;
/// Shoulder to elbow.
pub const UPPER_ARM: f64 = 0.186;
/// Elbow to wrist.
pub const FOREARM: f64 = 0.146;
/// Wrist to the tips of a hand at ease; stretched it is .108.
pub const HAND: f64 = 0.085;
/// Hip joints to the top of the pelvis.
pub const PELVIS: f64 = 0.06;
/// Pelvis to the lowest rib.
pub const LUMBAR: f64 = 0.10;
/// Lowest rib to the base of the neck.
pub const THORAX: f64 = 0.15;
/// Base of the neck to the base of the skull.
pub const NECK: f64 = 0.052;
/// Base of the skull to its middle.
pub const SKULL: f64 = 0.044;
/// Half the height of the head.
pub const HALF_HEAD: f64 = 0.064;
/// A hip joint from the midline.
pub const HALF_HIPS: f64 = 0.052;
/// A shoulder joint from the midline.
pub const HALF_SHOULDERS: f64 = 0.105;
/// Shoulder joints below the base of the neck.
pub const SHOULDER_DROP: f64 = 0.022;

/// A segment of the body: its upper joint, and how it is turned against the room. Limbs point to -Z, the foot to X.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Bone {
    /// The joint nearer to the trunk.
    pub at: Vec3,
    /// How it is turned.
    pub turn: Rotation,
}

impl Bone {
    /// A point of the segment, seen from the room.
    pub fn point(&self, local: Vec3) -> Vec3 {
        self.at + self.turn * local
    }

    /// The point `length` down a limb.
    pub fn down(&self, length: f64) -> Vec3 {
        self.at - self.turn.z * length
    }

    fn mirrored(&self) -> Self {
        Self { at: self.at.mirrored(), turn: self.turn.mirrored() }
    }
}

/// Bend and turn of trunk or neck in degrees: forward, to the left, turned to the left.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Bend {
    /// Flexion; extension is negative.
    pub flexion: f64,
    /// To the left.
    pub lateral: f64,
    /// Turned to the left.
    pub rotation: f64,
}

impl Bend {
    fn part(self, flexion: f64, lateral: f64, rotation: f64) -> Rotation {
        Rotation::about_y(flexion * self.flexion)
            * Rotation::about_x(-lateral * self.lateral)
            * Rotation::about_z(rotation * self.rotation)
    }

    /// Its share in the lumbar and in the thoracic spine.
    pub fn of_trunk(self) -> [Rotation; 2] {
        [self.part(0.55, 0.5, 0.15), self.part(0.45, 0.5, 0.85)]
    }

    /// Its share in the neck and at the skull.
    pub fn of_neck(self) -> [Rotation; 2] {
        [self.part(0.5, 0.6, 0.4), self.part(0.5, 0.4, 0.6)]
    }
}

/// The joints of a leg in degrees.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct LegJoints {
    /// Hip flexion; extension is negative.
    pub flexion: f64,
    /// Hip abduction; adduction is negative.
    pub abduction: f64,
    /// External rotation of the hip.
    pub rotation: f64,
    /// Knee flexion.
    pub knee: f64,
    /// Dorsiflexion.
    pub ankle: f64,
    /// Extension of the toes.
    pub toes: f64,
}

impl LegJoints {
    /// The thigh against the pelvis; `s` is 1 on the left, -1 on the right.
    ///
    /// Flexion, then ab- or adduction about the floating axis, then the long axis: the order that the ISB recommends
    /// for the hip (Wu et al. 2002, after Grood and Suntay 1983).
    pub fn hip(&self, s: f64) -> Rotation {
        Rotation::about_y(-self.flexion)
            * Rotation::about_x(s * self.abduction)
            * Rotation::about_z(s * self.rotation)
    }
}

/// How an arm is raised.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Raise {
    /// Forward and to the side.
    Swing {
        /// Flexion; extension is negative.
        flexion: f64,
        /// Abduction; adduction is negative.
        abduction: f64,
    },
    /// So high, and carried round so far: 0 to the side, 90 forward, more goes across.
    ///
    /// An arm that goes across folds its forearm inwards by itself, as in hugging.
    Level {
        /// How high.
        elevation: f64,
        /// How far round.
        azimuth: f64,
    },
}

impl Default for Raise {
    fn default() -> Self {
        Self::Swing { flexion: 0.0, abduction: 0.0 }
    }
}

/// The joints of an arm in degrees.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct ArmJoints {
    /// How it is raised.
    pub raise: Raise,
    /// External rotation of the shoulder.
    pub rotation: f64,
    /// Elbow flexion.
    pub elbow: f64,
    /// Supination; zero is thumb forward.
    pub supination: f64,
    /// Wrist flexion; extension is negative.
    pub wrist: f64,
    /// Towards the thumb.
    pub deviation: f64,
    /// The shoulder lifted.
    pub girdle_up: f64,
    /// The shoulder drawn forward.
    pub girdle_forward: f64,
}

/// A leg in space.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Leg {
    /// Hip to knee.
    pub thigh: Bone,
    /// Knee to ankle.
    pub shank: Bone,
    /// Its joint is the ankle.
    pub foot: Bone,
    /// Their joint is the ball.
    pub toes: Bone,
}

impl Leg {
    /// The leg that hangs from `hip` on a pelvis turned so.
    pub fn hanging(pelvis: &Bone, s: f64, joints: &LegJoints) -> Self {
        let thigh =
            Bone { at: pelvis.point(vec3(0.0, s * HALF_HIPS, 0.0)), turn: pelvis.turn * joints.hip(s) };
        let shank = Bone { at: thigh.down(THIGH), turn: thigh.turn * Rotation::about_y(joints.knee) };
        Self::on(thigh, shank, shank.turn * Rotation::about_y(-joints.ankle), joints.toes)
    }

    /// The leg of thigh and shank with the foot turned so against the room.
    pub fn on(thigh: Bone, shank: Bone, foot: Rotation, toes: f64) -> Self {
        let foot = Bone { at: shank.down(SHANK), turn: foot };
        let ball = foot.point(vec3(BALL, 0.0, -ANKLE * 0.75));
        Self { thigh, shank, foot, toes: Bone { at: ball, turn: foot.turn * Rotation::about_y(-toes) } }
    }

    /// The knee.
    pub fn knee(&self) -> Vec3 {
        self.shank.at
    }

    /// The ankle.
    pub fn ankle(&self) -> Vec3 {
        self.foot.at
    }

    /// The back of the heel, on the sole.
    pub fn heel(&self) -> Vec3 {
        self.foot.point(vec3(-HEEL * 0.6, 0.0, -ANKLE))
    }

    /// The sole under the ball.
    pub fn ball(&self) -> Vec3 {
        self.foot.point(vec3(BALL, 0.0, -ANKLE))
    }

    /// The tip of the toes.
    pub fn tip(&self) -> Vec3 {
        self.toes.point(vec3(TOES, 0.0, 0.0))
    }
}

/// An arm in space.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Arm {
    /// Shoulder to elbow.
    pub upper: Bone,
    /// Elbow to wrist.
    pub forearm: Bone,
    /// Its joint is the wrist.
    pub hand: Bone,
}

impl Arm {
    /// The arm that hangs from the rib cage; `s` is 1 on the left, -1 on the right.
    pub fn hanging(thorax: &Bone, s: f64, joints: &ArmJoints) -> Self {
        let raise = match joints.raise {
            Raise::Swing { flexion, abduction } => {
                Rotation::about_y(-flexion) * Rotation::about_x(s * abduction)
            }
            Raise::Level { elevation, azimuth } => {
                Rotation::about_z(-s * azimuth) * Rotation::about_x(s * elevation)
            }
        };
        let upper = Bone {
            at: shoulder(thorax, s, joints),
            turn: thorax.turn * raise * Rotation::about_z(s * joints.rotation),
        };
        let bent = upper.turn * Rotation::about_y(-joints.elbow);
        let forearm =
            Bone { at: upper.down(UPPER_ARM), turn: bent * Rotation::about_z(s * joints.supination) };
        let wrist = Rotation::about_x(-s * joints.wrist) * Rotation::about_y(-joints.deviation);
        let hand = Bone { at: forearm.down(FOREARM), turn: forearm.turn * wrist };
        Self { upper, forearm, hand }
    }

    /// The elbow.
    pub fn elbow(&self) -> Vec3 {
        self.forearm.at
    }

    /// The wrist.
    pub fn wrist(&self) -> Vec3 {
        self.hand.at
    }

    /// The tips of the fingers.
    pub fn tip(&self) -> Vec3 {
        self.hand.down(HAND)
    }
}

/// The shoulder joint, moved about the base of the neck by the girdle.
pub fn shoulder(thorax: &Bone, s: f64, joints: &ArmJoints) -> Vec3 {
    let girdle =
        Rotation::about_x(s * joints.girdle_up) * Rotation::about_z(-s * 0.8 * joints.girdle_forward);
    let from_neck = girdle * vec3(0.0, s * HALF_SHOULDERS, -SHOULDER_DROP);
    thorax.point(vec3(0.0, 0.0, THORAX) + from_neck)
}

/// The middle of the body: pelvis, spine, neck, head.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Axis {
    /// Its joint is the middle of the hip joints.
    pub pelvis: Bone,
    /// Its joint is the top of the pelvis.
    pub lumbar: Bone,
    /// Its joint is the lowest rib.
    pub thorax: Bone,
    /// Its joint is the base of the neck.
    pub neck: Bone,
    /// Its joint is the base of the skull.
    pub head: Bone,
}

impl Axis {
    /// The spine on a pelvis that lies so.
    pub fn on(pelvis: Bone, trunk: Bend, neck: Bend) -> Self {
        let [low, high] = trunk.of_trunk();
        let [throat, skull] = neck.of_neck();
        let lumbar = Bone { at: pelvis.point(vec3(0.0, 0.0, PELVIS)), turn: pelvis.turn * low };
        let thorax = Bone { at: lumbar.point(vec3(0.0, 0.0, LUMBAR)), turn: lumbar.turn * high };
        let base = Bone { at: thorax.point(vec3(0.0, 0.0, THORAX)), turn: thorax.turn * throat };
        let head = Bone { at: base.point(vec3(0.0, 0.0, NECK)), turn: base.turn * skull };
        Self { pelvis, lumbar, thorax, neck: base, head }
    }

    /// The middle of the skull.
    pub fn skull(&self) -> Vec3 {
        self.head.point(vec3(0.008, 0.0, SKULL))
    }
}

/// A body in space.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Body {
    /// Trunk, neck and head.
    pub axis: Axis,
    /// The left leg, the right leg.
    pub legs: [Leg; 2],
    /// The left arm, the right arm.
    pub arms: [Arm; 2],
}

impl Body {
    /// The mirror image: what the left does the right does.
    #[must_use]
    pub fn mirrored(&self) -> Self {
        let axis = Axis {
            pelvis: self.axis.pelvis.mirrored(),
            lumbar: self.axis.lumbar.mirrored(),
            thorax: self.axis.thorax.mirrored(),
            neck: self.axis.neck.mirrored(),
            head: self.axis.head.mirrored(),
        };
        let leg = |leg: &Leg| Leg {
            thigh: leg.thigh.mirrored(),
            shank: leg.shank.mirrored(),
            foot: leg.foot.mirrored(),
            toes: leg.toes.mirrored(),
        };
        let arm = |arm: &Arm| Arm {
            upper: arm.upper.mirrored(),
            forearm: arm.forearm.mirrored(),
            hand: arm.hand.mirrored(),
        };
        Self {
            axis,
            legs: [leg(&self.legs[1]), leg(&self.legs[0])],
            arms: [arm(&self.arms[1]), arm(&self.arms[0])],
        }
    }
}
