//! Which published test of length or range the angle of a form is.

use crate::body::lengthening::lengthenings;
use crate::body::{Joint, Motion, Muscle};
use crate::catalogue::{Form, Helper, Position};

/// A published test that the angle of a form is.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct LengthTest {
    /// As the norms name it.
    pub name: &'static str,
    /// The motion that is measured.
    pub motion: Motion,
    /// Whether the norm counts angles below the horizontal as negative; a form counts them as positive.
    pub is_below: bool,
    /// The only source that measured it just so.
    pub source: &'static str,
}

impl LengthTest {
    /// The test that a form is, done by the trainer's hands: Reese and Bandy, Joint Range of Motion and Muscle Length
    /// Testing (from memory); the shoulder as in Soucie et al. 2011.
    pub fn of(form: &Form) -> Option<Self> {
        if form.helper != Helper::Assisted {
            return None;
        }
        // With the other knee bent the pelvis tilts and the leg goes further.
        if is_straight_leg_raise(form) && form.other_side.is_empty() {
            return Some(Self {
                name: "passive_straight_leg_raise",
                motion: Motion::HipFlexion,
                is_below: false,
                source: "youdas2005",
            });
        }
        let lifts = || form.motions.iter().any(|angle| angle.motion == Motion::ShoulderFlexion);
        match (form.targets.first()?.muscle, form.position) {
            (Muscle::TensorFasciaeLatae, Position::SideLying) => Some(Self {
                name: "ober_thigh_angle",
                motion: Motion::HipAdduction,
                is_below: true,
                source: "ferber2010",
            }),
            (Muscle::LatissimusDorsi, Position::Supine) if lifts() => Some(Self {
                name: "shoulder_flexion",
                motion: Motion::ShoulderFlexion,
                is_below: false,
                source: "soucie2011",
            }),
            _ => None,
        }
    }
}

/// Whether a form is a straight-leg raise: on the back, the knee straight, meant for the hamstrings.
pub(super) fn is_straight_leg_raise(form: &Form) -> bool {
    let straight = |angle: &crate::catalogue::MotionAngle| {
        angle.motion == Motion::KneeExtension && angle.degrees.get() >= 0
    };
    form.position == Position::Supine
        && form.targets.first().is_some_and(|target| target.muscle == Muscle::Hamstrings)
        && form.motions.iter().any(straight)
}

/// The motions of which the angle noted with a form can be: that of its test, else those that take its muscle to its
/// length, else any.
pub(super) fn measured_motions(form: &Form) -> Vec<Motion> {
    if let Some(test) = LengthTest::of(form) {
        return vec![test.motion];
    }
    let muscle = main_target(form);
    let rows = || lengthenings().iter().filter(|row| row.muscle == muscle);
    let lengthens = |motion: Motion| rows().any(|row| row.must.iter().any(|wanted| wanted.motion == motion));
    // Nobody measures a shoulder blade in degrees.
    let all =
        || form.motions.iter().map(|angle| angle.motion).filter(|motion| motion.joint() != Joint::Scapula);
    let lengthening: Vec<Motion> = all().filter(|&motion| lengthens(motion)).collect();
    if lengthening.is_empty() { all().collect() } else { lengthening }
}

/// The muscle that a form is meant for: its largest share, the first of equals.
pub(super) fn main_target(form: &Form) -> Muscle {
    let mut main = form.targets[0];
    for target in &form.targets {
        if target.share > main.share {
            main = *target;
        }
    }
    main.muscle
}
