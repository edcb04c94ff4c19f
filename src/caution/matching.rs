//! Whether a form, done on a side, is the work that a pattern describes.
//!
//! An injured muscle is spared by anatomy, not by the list of targets: what lengthens it by the way counts as well.

use crate::body::{Joint, Motion, Muscle, Region, Side};
use crate::catalogue::{Form, Helper, Method, MotionAngle, PlacedMotion, Position, anatomy};

use super::condition::{MotionOver, Pattern};

/// A form on a side by a method, with its pose worked out once.
pub(super) struct FormOnSide<'a> {
    form: &'a Form,
    side: Option<Side>,
    method: Method,
    pose: Vec<PlacedMotion>,
}

/// What a record adds to a pattern: the side that counts and the place it names.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub(super) struct Scope {
    /// The side that counts; without one, either does.
    pub(super) side: Option<Side>,
    /// The muscle that the record names.
    pub(super) muscle: Option<Muscle>,
    /// The joint that the record names.
    pub(super) joint: Option<Joint>,
}

impl Scope {
    /// Whether the recorded place bears weight when the client lies on its side; one that is not recorded may.
    fn bears(self) -> bool {
        match (self.muscle, self.joint) {
            (None, None) => true,
            (muscle, joint) => {
                muscle.is_some_and(|muscle| matches!(muscle.region(), Region::Shoulder | Region::Hip))
                    || matches!(joint, Some(Joint::Shoulder | Joint::Scapula | Joint::Hip))
            }
        }
    }
}

impl<'a> FormOnSide<'a> {
    pub(super) fn new(form: &'a Form, side: Option<Side>, method: Method) -> Self {
        Self { form, side, method, pose: form.pose(side) }
    }

    /// Whether all that the pattern gives holds of this work at once.
    pub(super) fn fits(&self, pattern: &Pattern, scope: Scope) -> bool {
        let Pattern { motions, positions, floor, lain_on, method, helper, muscles, joints, recorded } =
            pattern;
        let whole =
            self.is_in(positions) && (!floor || self.form.is_on_floor()) && self.is_by(*method, *helper);
        whole
            && Side::ALL.iter().filter(|&&side| scope.side.is_none_or(|only| only == side)).any(|&side| {
                motions.iter().all(|part| self.exceeds(*part, side))
                    && (muscles.is_empty() && joints.is_empty() || self.reaches(muscles, joints, side))
                    && (!lain_on || self.lies_on(side))
                    && (!recorded
                        || if *lain_on { scope.bears() } else { self.reaches_recorded(scope, side) })
            })
    }

    /// Whether the client lies on that side: in side-lying the worked side is on top.
    fn lies_on(&self, side: Side) -> bool {
        self.form.position == Position::SideLying && self.side.is_none_or(|worked| worked != side)
    }

    fn is_in(&self, positions: &[Position]) -> bool {
        positions.is_empty() || positions.contains(&self.form.position)
    }

    fn is_by(&self, method: Option<Method>, helper: Option<Helper>) -> bool {
        method.is_none_or(|method| method == self.method)
            && helper.is_none_or(|helper| helper == self.form.helper)
    }

    /// Whether the joint on `side` (in the midline: towards it) goes beyond the angle.
    ///
    /// A motion of minus so many degrees is its opposite of so many.
    fn exceeds(&self, part: MotionOver, side: Side) -> bool {
        self.pose
            .iter()
            .any(|&placed| angle(placed, part.motion, side).is_some_and(|degrees| degrees > part.over.get()))
    }

    fn reaches(&self, muscles: &[Muscle], joints: &[Joint], side: Side) -> bool {
        muscles.iter().any(|&muscle| self.targets(muscle, side))
            || joints.iter().any(|&joint| self.moves(joint, side))
    }

    fn reaches_recorded(&self, scope: Scope, side: Side) -> bool {
        match (scope.muscle, scope.joint) {
            (None, None) => true,
            (muscle, joint) => {
                muscle.is_some_and(|muscle| self.targets(muscle, side) || self.draws_out(muscle, side))
                    || joint.is_some_and(|joint| self.moves(joint, side))
            }
        }
    }

    fn targets(&self, muscle: Muscle, side: Side) -> bool {
        self.side.is_none_or(|worked| worked == side)
            && self.form.targets.iter().any(|target| target.muscle == muscle)
    }

    /// Whether the muscle on `side` is lengthened, as a target or by the way.
    fn draws_out(&self, muscle: Muscle, side: Side) -> bool {
        let (own, other) = (&self.form.motions, &self.form.other_side);
        let across = |angles: &[MotionAngle]| -> Vec<MotionAngle> {
            angles
                .iter()
                .filter(|angle| angle.motion.is_midline())
                .map(|&angle| match angle.motion.towards(side) {
                    Some(_) => MotionAngle { motion: angle.motion.opposite(), ..angle },
                    None => angle,
                })
                .collect()
        };
        let worked = [own.as_slice(), &across(other)].concat();
        let not_worked = [other.as_slice(), &across(own)].concat();
        let (worked, not_worked) =
            (|| anatomy::draws_out(muscle, &worked), || anatomy::draws_out(muscle, &not_worked));
        match self.side {
            None => worked() || not_worked(),
            Some(this) if this == side => worked(),
            Some(_) => not_worked(),
        }
    }

    /// Whether the joint leaves its neutral place, or a target that acts on it is lengthened. A limb that only
    /// rests there while something else is worked does neither.
    fn moves(&self, joint: Joint, side: Side) -> bool {
        let moved = self.pose.iter().any(|placed| {
            placed.motion.joint() == joint
                && placed.degrees.get() != 0
                && (placed.motion.is_midline() || placed.side == Some(side))
                && !self.rests(*placed, side)
        });
        moved || self.works_at(joint, side)
    }

    fn works_at(&self, joint: Joint, side: Side) -> bool {
        muscles_of(joint).iter().any(|&muscle| self.targets(muscle, side))
    }

    /// Whether the joint goes no further than sitting or lying at ease takes it, without weight on it, in a limb of
    /// which no muscle from there on is worked. How far that is, is our judgement.
    fn rests(&self, placed: PlacedMotion, side: Side) -> bool {
        const LEG: &[Joint] = &[Joint::Hip, Joint::Knee, Joint::Ankle];
        const SHOULDER: &[Joint] = &[Joint::Shoulder, Joint::Scapula];
        if matches!(self.form.position, Position::Prone | Position::Kneeling) {
            return false;
        }
        let (ease, limb) = match (placed.motion, self.form.position) {
            (Motion::ShoulderFlexion, _) => (45, SHOULDER),
            (Motion::ShoulderAbduction, _) => (30, SHOULDER),
            (_, Position::Standing) => return false,
            (Motion::KneeFlexion, _) => (90, LEG),
            (Motion::HipFlexion, Position::Seated) => (95, LEG),
            (Motion::HipFlexion, _) => (60, LEG),
            _ => return false,
        };
        (0..=ease).contains(&placed.degrees.get()) && !limb.iter().any(|&joint| self.works_at(joint, side))
    }
}

/// How far a placed motion goes along `motion` of the joint on `side`; bends and turns of the midline count by
/// where they go. Nothing if it is another joint, axis or side.
fn angle(placed: PlacedMotion, motion: Motion, side: Side) -> Option<i16> {
    let degrees = placed.degrees.get();
    let along = placed.motion == motion;
    if !along && placed.motion != motion.opposite() {
        return None;
    }
    match motion.towards(side) {
        Some(to) => placed.side.map(|goes| if goes == to { degrees } else { -degrees }),
        None if motion.is_midline() || placed.side == Some(side) => {
            Some(if along { degrees } else { -degrees })
        }
        None => None,
    }
}

/// The muscles that act on a joint, as the origins and insertions in any anatomy handbook give them.
pub(super) const fn muscles_of(joint: Joint) -> &'static [Muscle] {
    use Muscle as M;
    match joint {
        Joint::Ankle | Joint::Foot => &[M::Gastrocnemius, M::Soleus, M::TibialisAnterior],
        Joint::Toes => &[M::TibialisAnterior],
        Joint::Knee => &[
            M::RectusFemoris,
            M::Vasti,
            M::Hamstrings,
            M::Gastrocnemius,
            M::TensorFasciaeLatae,
            M::Adductors,
        ],
        Joint::Hip => &[
            M::Iliopsoas,
            M::GluteusMaximus,
            M::GluteusMedius,
            M::Piriformis,
            M::TensorFasciaeLatae,
            M::Adductors,
            M::RectusFemoris,
            M::Hamstrings,
        ],
        Joint::Trunk => &[M::ErectorSpinae, M::QuadratusLumborum, M::Abdominals, M::Obliques],
        Joint::Shoulder => &[
            M::PectoralisMajor,
            M::AnteriorDeltoid,
            M::PosteriorDeltoid,
            M::RotatorCuff,
            M::LatissimusDorsi,
            M::Biceps,
            M::Triceps,
        ],
        Joint::Scapula => &[M::UpperTrapezius, M::LevatorScapulae, M::PectoralisMinor, M::Rhomboids],
        Joint::Elbow => &[M::Biceps, M::Triceps, M::WristFlexors, M::WristExtensors],
        Joint::Forearm => &[M::Biceps],
        Joint::Wrist => &[M::WristFlexors, M::WristExtensors],
        Joint::Neck => &[M::UpperTrapezius, M::LevatorScapulae, M::Scalenes, M::NeckExtensors],
    }
}
