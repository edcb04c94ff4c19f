//! Where a body's weight acts: masses and mass centres of the segments.
//!
//! Winter, Biomechanics and Motor Control of Human Movement, 4th edition 2009, table 4.1, after Dempster 1955; all
//! from the one table, whose segments make one body.

use super::skeleton::{Arm, Leg};
use super::skeleton::{Axis, Bone, FOREARM, HAND, SHANK, THIGH, THORAX, UPPER_ARM};
use super::vector::{Vec3, vec3};

/// Mass as a share of the body, and the mass centre as a share of the way from the upper joint to the lower.
type Mass = (f64, f64);

const FOOT: Mass = (0.0145, 0.50);
const SHANK_MASS: Mass = (0.0465, 0.433);
const THIGH_MASS: Mass = (0.100, 0.433);
const HAND_MASS: Mass = (0.006, 0.506);
const FOREARM_MASS: Mass = (0.016, 0.430);
const UPPER_ARM_MASS: Mass = (0.028, 0.436);
const TRUNK: Mass = (0.497, 0.50);
const HEAD_AND_NECK: f64 = 0.081;

/// The mass centre of a body with these limbs.
pub fn centre(axis: &Axis, legs: &[Leg], arms: &[Arm]) -> Vec3 {
    let mut sum = vec3(0.0, 0.0, 0.0);
    let mut whole = 0.0;
    let mut add = |mass: f64, at: Vec3| {
        sum = sum + at * mass;
        whole += mass;
    };
    // The trunk runs from the hips to the shoulders; the head's mass centre lies at the ear.
    let shoulders = axis.thorax.point(vec3(0.0, 0.0, THORAX - 0.022));
    add(TRUNK.0, axis.pelvis.at.towards(axis.lumbar.at, 0.5).towards(shoulders, TRUNK.1));
    add(HEAD_AND_NECK, axis.skull());
    let mut limb = |bone: &Bone, length: f64, (mass, share): Mass| add(mass, bone.down(length * share));
    for leg in legs {
        limb(&leg.thigh, THIGH, THIGH_MASS);
        limb(&leg.shank, SHANK, SHANK_MASS);
    }
    for arm in arms {
        limb(&arm.upper, UPPER_ARM, UPPER_ARM_MASS);
        limb(&arm.forearm, FOREARM, FOREARM_MASS);
        limb(&arm.hand, HAND, HAND_MASS);
    }
    for leg in legs {
        add(FOOT.0, leg.ankle().towards(leg.ball(), FOOT.1));
    }
    sum * (1.0 / whole)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_segments_make_one_body() {
        let leg = FOOT.0 + SHANK_MASS.0 + THIGH_MASS.0;
        let arm = HAND_MASS.0 + FOREARM_MASS.0 + UPPER_ARM_MASS.0;
        assert!((2.0 * leg + 2.0 * arm + TRUNK.0 + HEAD_AND_NECK - 1.0).abs() < 1e-9);
    }
}
