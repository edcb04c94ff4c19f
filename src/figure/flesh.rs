//! How thick the segments are, for contact and for drawing: our own choice, so that the outline is plainly a body.

use super::skeleton::{Axis, Bone};
use super::vector::{Vec3, vec3};

/// Radii of a limb segment at its upper and its lower joint.
pub type Radii = (f64, f64);

/// Hip to knee.
pub const THIGH: Radii = (0.047, 0.034);
/// Knee to ankle.
pub const SHANK: Radii = (0.036, 0.021);
/// Heel, ankle and ball.
pub const FOOT: f64 = 0.019;
/// Shoulder to elbow.
pub const UPPER_ARM: Radii = (0.029, 0.023);
/// Elbow to wrist.
pub const FOREARM: Radii = (0.024, 0.016);
/// Wrist to finger tips.
pub const HAND: Radii = (0.017, 0.013);
/// The neck.
pub const NECK: f64 = 0.030;
/// Half axes of the head: depth, breadth, height.
pub const HEAD: Vec3 = vec3(0.056, 0.047, 0.064);

/// A cross-section of the trunk.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Section {
    /// Its middle.
    pub at: Vec3,
    /// Half of its depth, as a vector forward.
    pub forward: Vec3,
    /// Half of its breadth, as a vector to the left.
    pub left: Vec3,
}

impl Section {
    /// How far it reaches below its middle.
    pub fn depth_below(&self) -> f64 {
        (self.forward.z * self.forward.z + self.left.z * self.left.z).sqrt()
    }

    fn of(bone: &Bone, height: f64, depth: f64, breadth: f64) -> Self {
        Self {
            at: bone.point(vec3(0.0, 0.0, height)),
            forward: bone.turn.x * depth,
            left: bone.turn.y * breadth,
        }
    }
}

/// The cross-sections of the trunk from the neck down. The waist is what makes it human.
pub fn trunk(axis: &Axis) -> [Section; 8] {
    [
        Section::of(&axis.thorax, 0.152, 0.032, 0.040),
        Section::of(&axis.thorax, 0.128, 0.050, 0.092),
        Section::of(&axis.thorax, 0.080, 0.064, 0.094),
        Section::of(&axis.thorax, 0.010, 0.060, 0.078),
        Section::of(&axis.lumbar, 0.045, 0.052, 0.070),
        Section::of(&axis.pelvis, 0.045, 0.058, 0.082),
        Section::of(&axis.pelvis, 0.000, 0.062, 0.088),
        Section::of(&axis.pelvis, -0.035, 0.050, 0.060),
    ]
}

/// The lowest point of the trunk.
pub fn trunk_bottom(axis: &Axis) -> f64 {
    trunk(axis).iter().map(|section| section.at.z - section.depth_below()).fold(f64::INFINITY, f64::min)
}
