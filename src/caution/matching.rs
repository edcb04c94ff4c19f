//! Whether a form, done on a side, is the work that a pattern describes.
//!
//! An injured muscle is spared by anatomy, not by the list of targets: what lengthens it by the way counts as well.

use crate::body::{BodyPart, Joint, Motion, Muscle, Region, Side};
use crate::catalogue::{
    BodyLoad, Contact, Form, Helper, Method, MotionAngle, PlacedLoad, PlacedMotion, Position, Stretch,
    anatomy,
};

use super::limit::{MotionOver, Pattern, There};

/// A form on a side by a method, with its pose worked out once.
pub(super) struct FormOnSide<'a> {
    form: &'a Form,
    side: Option<Side>,
    method: Method,
    pose: Vec<PlacedMotion>,
    loads: Vec<PlacedLoad>,
    is_further: bool,
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
    fn bears_when_lain_on(self) -> bool {
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
    pub(super) fn new(stretch: &Stretch, form: &'a Form, side: Option<Side>, method: Method) -> Self {
        Self {
            form,
            side,
            method,
            pose: form.pose(side),
            loads: form.placed_loads(side),
            is_further: stretch.is_further(form),
        }
    }

    /// Whether all that the pattern gives holds of this work at once.
    pub(super) fn fits(&self, pattern: &Pattern, scope: Scope) -> bool {
        let Pattern {
            motions,
            positions,
            floor,
            further,
            loads,
            method,
            helper,
            muscles,
            joints,
            there,
            beyond,
        } = pattern;
        let whole = self.is_in(positions)
            && (!floor || self.form.is_on_floor())
            && (!further || self.is_further)
            && self.is_by(*method, *helper);
        whole
            && Side::ALL.iter().filter(|&&side| scope.side.is_none_or(|only| only == side)).any(|&side| {
                motions.iter().all(|part| self.exceeds(*part, side))
                    && (muscles.is_empty() && joints.is_empty() || self.reaches(muscles, joints, side))
                    && (loads.is_empty() || loads.iter().any(|&load| self.bears(load, side)))
                    && there.is_none_or(|there| self.does(there, scope, *beyond, side))
            })
    }

    /// Whether the form puts this load on the side, or does not tell and might.
    fn bears(&self, load: BodyLoad, side: Side) -> bool {
        self.form.may_bear(load)
            || self
                .loads
                .iter()
                .any(|placed| placed.load.amounts_to(load) && placed.side.is_none_or(|at| at == side))
    }

    /// Whether this is done at the place on record; a place that is not on record counts as everywhere.
    fn does(&self, there: There, scope: Scope, beyond: bool, side: Side) -> bool {
        let Scope { muscle, joint, .. } = scope;
        if there == There::LainOn {
            return scope.bears_when_lain_on() && self.bears(BodyLoad::LainOn, side);
        }
        if muscle.is_none() && joint.is_none() {
            return true;
        }
        let joints: &[Joint] = match &joint {
            Some(joint) if beyond => joint.and_below(),
            Some(joint) => std::slice::from_ref(joint),
            None => &[],
        };
        let at_joint = |joint: Joint| match there {
            There::Reached => self.moves(joint, side),
            There::Loaded => {
                self.carries(joint, side)
                    || self.bears(BodyLoad::Traction(joint), side)
                    || self.is_held(|part| part.is_near(joint), Contact::Presses, side)
            }
            There::StoodOn => joint.is_of_leg() && self.bears(BodyLoad::Stands, side),
            There::Pulled => self.bears(BodyLoad::Traction(joint), side),
            There::Held => self.is_held(|part| part.is_near(joint), Contact::Presses, side),
            There::Touched => self.is_held(|part| part.is_near(joint), Contact::Touches, side),
            There::LainOn => false,
        };
        let at_muscle = |muscle: Muscle| match there {
            There::Reached => self.targets(muscle, side) || self.draws_out(muscle, side),
            There::Loaded | There::Held => self.is_held(|part| part.is_on(muscle), Contact::Presses, side),
            There::Touched => self.is_held(|part| part.is_on(muscle), Contact::Touches, side),
            There::StoodOn | There::Pulled | There::LainOn => false,
        };
        muscle.is_some_and(at_muscle) || joints.iter().any(|&joint| at_joint(joint))
    }

    /// Whether weight passes through the joint.
    fn carries(&self, joint: Joint, side: Side) -> bool {
        let parts = BodyPart::ALL.iter().filter(|part| part.carried_by().contains(&joint));
        parts.into_iter().any(|&part| self.bears(BodyLoad::Weight(part), side))
    }

    /// Whether a hand is at one of those parts, at least so firmly.
    fn is_held(&self, of: impl Fn(&BodyPart) -> bool, least: Contact, side: Side) -> bool {
        let mut parts = BodyPart::ALL.iter().filter(|part| of(part));
        parts.any(|&part| self.bears(BodyLoad::Contact(least, part), side))
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
