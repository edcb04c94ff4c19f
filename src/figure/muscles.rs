//! Where each muscle lies on the body, as a band along its segment or across the trunk.

use crate::body::{Muscle, Region};

use super::flesh;
use super::joints::sign;
use super::skeleton::{Axis, Body, Bone, FOREARM, SHANK, THIGH, UPPER_ARM};
use super::vector::{Vec3, vec3};

/// What a muscle is drawn on.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum On {
    /// The thigh.
    Thigh,
    /// The shank.
    Shank,
    /// The upper arm.
    UpperArm,
    /// The forearm.
    Forearm,
    /// Pelvis and thigh.
    Hip,
    /// The trunk.
    Trunk,
    /// The neck.
    Neck,
}

/// A muscle in space: a chain of balls with their radii, and which way it faces.
#[derive(Debug, Clone, PartialEq)]
pub struct Band {
    /// What it lies on.
    pub on: On,
    /// Middles and radii from end to end.
    pub beads: Vec<(Vec3, f64)>,
    /// The way out of the body.
    pub outward: Vec3,
}

/// How far off the axis of its limb a muscle lies, and how thick it is, in parts of the limb's radius.
const OFF: f64 = 0.45;
const THICK: f64 = 0.60;

/// Where a muscle of that side lies.
pub fn band(body: &Body, side: usize, muscle: Muscle) -> Band {
    let s = sign(side);
    let (leg, arm) = (&body.legs[side], &body.arms[side]);
    let thigh = |x, y, from, to| along(On::Thigh, &leg.thigh, THIGH, flesh::THIGH, (x, s * y), (from, to));
    let shank = |x, y, from, to| along(On::Shank, &leg.shank, SHANK, flesh::SHANK, (x, s * y), (from, to));
    let upper =
        |x, y, from, to| along(On::UpperArm, &arm.upper, UPPER_ARM, flesh::UPPER_ARM, (x, s * y), (from, to));
    let forearm =
        |x, y, from, to| along(On::Forearm, &arm.forearm, FOREARM, flesh::FOREARM, (x, s * y), (from, to));
    match muscle {
        Muscle::Hamstrings => thigh(-1.0, 0.0, 0.12, 0.92),
        Muscle::RectusFemoris => thigh(1.0, 0.0, 0.08, 0.92),
        Muscle::Vasti => thigh(0.9, 0.45, 0.35, 0.98),
        Muscle::Adductors => thigh(0.1, -1.0, 0.05, 0.75),
        Muscle::Gastrocnemius => shank(-1.0, 0.0, 0.04, 0.62),
        Muscle::Soleus => shank(-1.0, 0.0, 0.40, 0.95),
        Muscle::TibialisAnterior => shank(0.9, 0.4, 0.10, 0.95),
        Muscle::Biceps => upper(1.0, 0.0, 0.20, 0.95),
        Muscle::Triceps => upper(-1.0, 0.0, 0.12, 0.95),
        Muscle::AnteriorDeltoid => upper(0.9, 0.3, -0.06, 0.42),
        Muscle::PosteriorDeltoid => upper(-0.9, 0.3, -0.06, 0.42),
        Muscle::WristFlexors => forearm(0.1, -1.0, 0.05, 0.85),
        Muscle::WristExtensors => forearm(-0.1, 1.0, 0.05, 0.85),
        _ => of_trunk(body, side, muscle),
    }
}

fn along(
    on: On,
    bone: &Bone,
    length: f64,
    (upper, lower): flesh::Radii,
    (x, y): (f64, f64),
    (from, to): (f64, f64),
) -> Band {
    // Rounder in its middle than at its ends.
    let beads = [(from, 0.86), (f64::midpoint(from, to), 1.0), (to, 0.86)].map(|(share, end)| {
        let radius = upper + (lower - upper) * share.clamp(0.0, 1.0);
        (bone.point(vec3(x * radius * OFF, y * radius * OFF, -share * length)), radius * THICK * end)
    });
    Band { on, beads: beads.to_vec(), outward: bone.turn * vec3(x, y, 0.0) }
}

/// A bone of the body, and a place on it: forward, outward, up, and the radius there.
type Bead<'b> = (&'b Bone, f64, f64, f64, f64);

/// A band of beads; `outward` is seen from `bone`, its second number away from the midline.
fn beads(on: On, s: f64, bone: &Bone, outward: (f64, f64, f64), beads: &[Bead<'_>]) -> Band {
    let place = |(bone, x, y, z, radius): &Bead<'_>| (bone.point(vec3(*x, s * y, *z)), *radius);
    let (x, y, z) = outward;
    Band { on, beads: beads.iter().map(place).collect(), outward: bone.turn * vec3(x, s * y, z) }
}

fn of_trunk(body: &Body, side: usize, muscle: Muscle) -> Band {
    match muscle.region() {
        Region::Hip => of_hip(body, side, muscle),
        Region::Trunk => of_belly(body, side, muscle),
        Region::Back => of_back(body, side, muscle),
        Region::Neck => of_neck(body, side, muscle),
        _ => of_chest(body, side, muscle),
    }
}

fn of_hip(body: &Body, side: usize, muscle: Muscle) -> Band {
    let (lumbar, pelvis, thigh) = (&body.axis.lumbar, &body.axis.pelvis, &body.legs[side].thigh);
    let band = |outward, all: &[Bead<'_>]| beads(On::Hip, sign(side), pelvis, outward, all);
    match muscle {
        Muscle::GluteusMaximus => band(
            (-1.0, 0.3, 0.0),
            &[
                (pelvis, -0.034, 0.040, 0.030, 0.030),
                (pelvis, -0.036, 0.052, -0.010, 0.034),
                (thigh, -0.022, 0.004, -0.045, 0.026),
            ],
        ),
        Muscle::GluteusMedius => band(
            (-0.3, 1.0, 0.0),
            &[(pelvis, -0.014, 0.066, 0.046, 0.026), (thigh, 0.0, 0.034, -0.012, 0.024)],
        ),
        Muscle::Piriformis => band(
            (-1.0, 0.5, 0.0),
            &[
                (pelvis, -0.048, 0.020, 0.016, 0.020),
                (pelvis, -0.042, 0.056, 0.004, 0.024),
                (thigh, -0.020, 0.034, -0.008, 0.020),
            ],
        ),
        Muscle::TensorFasciaeLatae => band(
            (0.4, 1.0, 0.0),
            &[
                (pelvis, 0.018, 0.078, 0.042, 0.018),
                (thigh, 0.012, 0.036, -0.030, 0.020),
                (thigh, 0.004, 0.030, -0.140, 0.014),
            ],
        ),
        // Iliacus and psoas.
        _ => band(
            (1.0, 0.2, 0.0),
            &[
                (lumbar, 0.030, 0.034, 0.010, 0.018),
                (pelvis, 0.040, 0.050, 0.012, 0.024),
                (thigh, 0.020, -0.004, -0.075, 0.022),
            ],
        ),
    }
}

fn of_belly(body: &Body, side: usize, muscle: Muscle) -> Band {
    let Axis { pelvis, lumbar, thorax, .. } = &body.axis;
    let band = |outward, all: &[Bead<'_>]| beads(On::Trunk, sign(side), lumbar, outward, all);
    if muscle == Muscle::Abdominals {
        return band(
            (1.0, 0.0, 0.0),
            &[
                (thorax, 0.040, 0.018, 0.040, 0.024),
                (lumbar, 0.034, 0.018, 0.045, 0.024),
                (pelvis, 0.034, 0.016, 0.000, 0.022),
            ],
        );
    }
    band(
        (0.5, 1.0, 0.0),
        &[
            (thorax, 0.012, 0.060, 0.025, 0.024),
            (lumbar, 0.018, 0.050, 0.040, 0.024),
            (pelvis, 0.026, 0.050, 0.050, 0.024),
        ],
    )
}

fn of_back(body: &Body, side: usize, muscle: Muscle) -> Band {
    let Axis { pelvis, lumbar, thorax, .. } = &body.axis;
    let upper = &body.arms[side].upper;
    let band = |bone, outward, all: &[Bead<'_>]| beads(On::Trunk, sign(side), bone, outward, all);
    match muscle {
        Muscle::QuadratusLumborum => band(
            lumbar,
            (-0.6, 1.0, 0.0),
            &[
                (thorax, -0.020, 0.058, 0.005, 0.022),
                (lumbar, -0.020, 0.050, 0.045, 0.024),
                (pelvis, -0.020, 0.058, 0.052, 0.024),
            ],
        ),
        Muscle::ErectorSpinae => band(
            lumbar,
            (-1.0, 0.0, 0.0),
            &[
                (thorax, -0.044, 0.022, 0.095, 0.020),
                (thorax, -0.040, 0.024, 0.010, 0.022),
                (lumbar, -0.034, 0.024, 0.040, 0.022),
                (pelvis, -0.040, 0.022, 0.035, 0.020),
            ],
        ),
        Muscle::LatissimusDorsi => band(
            thorax,
            (-0.7, 1.0, 0.0),
            &[
                (upper, 0.0, 0.0, -0.020, 0.016),
                (thorax, -0.024, 0.076, 0.080, 0.024),
                (thorax, -0.030, 0.056, 0.010, 0.026),
                (lumbar, -0.036, 0.036, 0.030, 0.016),
            ],
        ),
        // Rhomboids and the middle trapezius.
        _ => band(
            thorax,
            (-1.0, 0.0, 0.0),
            &[(thorax, -0.044, 0.034, 0.118, 0.024), (thorax, -0.048, 0.036, 0.060, 0.026)],
        ),
    }
}

fn of_chest(body: &Body, side: usize, muscle: Muscle) -> Band {
    let thorax = &body.axis.thorax;
    let upper = &body.arms[side].upper;
    let band = |outward, all: &[Bead<'_>]| beads(On::Trunk, sign(side), thorax, outward, all);
    match muscle {
        Muscle::PectoralisMajor => band(
            (1.0, 0.0, 0.0),
            &[
                (thorax, 0.046, 0.028, 0.088, 0.028),
                (thorax, 0.036, 0.070, 0.104, 0.026),
                (upper, 0.0, 0.0, -0.030, 0.020),
            ],
        ),
        Muscle::PectoralisMinor => band(
            (1.0, 0.0, 0.0),
            &[(thorax, 0.044, 0.058, 0.070, 0.020), (thorax, 0.034, 0.084, 0.128, 0.020)],
        ),
        // The rotator cuff.
        _ => band(
            (-1.0, 0.5, 0.0),
            &[
                (thorax, -0.046, 0.052, 0.092, 0.022),
                (thorax, -0.030, 0.086, 0.118, 0.024),
                (upper, 0.0, 0.0, 0.0, 0.022),
            ],
        ),
    }
}

fn of_neck(body: &Body, side: usize, muscle: Muscle) -> Band {
    let Axis { thorax, neck, head, .. } = &body.axis;
    let band = |outward, all: &[Bead<'_>]| beads(On::Neck, sign(side), neck, outward, all);
    match muscle {
        Muscle::UpperTrapezius => band(
            (-0.4, 1.0, 0.4),
            &[
                (head, -0.018, 0.022, 0.012, 0.013),
                (neck, -0.010, 0.024, 0.008, 0.018),
                (thorax, -0.006, 0.084, 0.140, 0.018),
            ],
        ),
        Muscle::LevatorScapulae => band(
            (-0.7, 1.0, 0.0),
            &[
                (neck, -0.014, 0.022, 0.044, 0.014),
                (neck, -0.020, 0.028, 0.006, 0.016),
                (thorax, -0.036, 0.050, 0.120, 0.018),
            ],
        ),
        Muscle::Scalenes => band(
            (0.4, 1.0, 0.0),
            &[
                (head, -0.006, 0.026, 0.008, 0.013),
                (neck, 0.004, 0.022, 0.020, 0.016),
                (thorax, 0.024, 0.036, 0.146, 0.015),
            ],
        ),
        // What lies at the back of the neck.
        _ => band(
            (-1.0, 0.0, 0.0),
            &[
                (head, -0.030, 0.010, 0.016, 0.016),
                (neck, -0.020, 0.010, 0.020, 0.018),
                (thorax, -0.034, 0.010, 0.134, 0.020),
            ],
        ),
    }
}
