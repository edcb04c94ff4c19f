//! A pose under way: what is asked for, and what of the body stands already.

use crate::body::Joint;
use crate::catalogue::{Equipment, Form, Helper, Sides};
use crate::figure::joints::{Joints, MovingPart, OTHER, WORKED, main_motion, sign};
use crate::figure::skeleton::{Arm, Axis, Bend, Bone, Leg, LegJoints};
use crate::figure::vector::{Rotation, Vec3};

use super::reach;
use super::thing::Prop;

/// A pose under way.
pub(super) struct Draft<'f> {
    pub(super) form: &'f Form,
    pub(super) joints: Joints,
    pub(super) worked: MovingPart,
    /// The joint of the motion that stretches.
    pub(super) main: Option<Joint>,
    pub(super) axis: Axis,
    pub(super) legs: [Leg; 2],
    pub(super) arms: [Arm; 2],
    /// The height of what the client lies, kneels, sits or stands on.
    pub(super) surface: f64,
    pub(super) props: Vec<Prop>,
}

impl<'f> Draft<'f> {
    pub(super) fn new(form: &'f Form) -> Self {
        let joints = Joints::of(form);
        let pelvis = Bone { at: Vec3::default(), turn: Rotation::NONE };
        let axis = Axis::on(pelvis, Bend::default(), Bend::default());
        let legs = [WORKED, OTHER].map(|side| Leg::hanging(&pelvis, sign(side), &joints.legs[side]));
        let arms = [WORKED, OTHER].map(|side| Arm::hanging(&axis.thorax, sign(side), &joints.arms[side]));
        Self {
            form,
            worked: MovingPart::of(form),
            main: main_motion(form).map(|angle| angle.motion.joint()),
            joints,
            axis,
            legs,
            arms,
            surface: 0.0,
            props: Vec::new(),
        }
    }

    pub(super) fn needs(&self, equipment: Equipment) -> bool {
        self.form.equipment.contains(&equipment)
    }

    pub(super) fn is_alone(&self) -> bool {
        self.form.helper == Helper::Client
    }

    /// Whether both sides do the same.
    pub(super) fn is_even(&self) -> bool {
        self.form.sides == Sides::Both
    }

    /// Puts the pelvis and lets spine and neck follow.
    pub(super) fn put_pelvis(&mut self, at: Vec3, turn: Rotation) {
        self.axis = Axis::on(Bone { at, turn }, self.joints.trunk, self.joints.neck);
    }

    /// Moves pelvis, spine and head.
    pub(super) fn lift(&mut self, by: f64) {
        let Bone { at, turn } = self.axis.pelvis;
        self.put_pelvis(at.at_height(at.z + by), turn);
    }

    /// The leg as its angles have it.
    pub(super) fn leg_by_angles(&self, side: usize) -> Leg {
        Leg::hanging(&self.axis.pelvis, sign(side), &self.joints.legs[side])
    }

    /// Sets hip flexion to what makes `height` of the leg nought.
    pub(super) fn settle_hip(&mut self, side: usize, (low, high): (f64, f64), height: impl Fn(&Leg) -> f64) {
        let pelvis = self.axis.pelvis;
        let mut joints = self.joints.legs[side];
        joints.flexion = reach::settle(low, high, |flexion| {
            let joints = LegJoints { flexion, ..joints };
            height(&Leg::hanging(&pelvis, sign(side), &joints))
        });
        self.joints.legs[side].flexion = joints.flexion;
        self.legs[side] = Leg::hanging(&pelvis, sign(side), &joints);
    }
}
