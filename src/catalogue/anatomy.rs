//! Decides from the muscles' actions whether the motions of a form lengthen what it says it lengthens.

use crate::body::action::{MuscleAction, MuscleHead, Strength, actions};
use crate::body::lengthening::{Lengthening, Wanted, lengthenings};
use crate::body::{Joint, Motion, Muscle};

use super::form::MotionAngle;

/// How far short of straight, in degrees, a joint may stay and still count as extended for a muscle across it.
///
/// A knee short by more than 40 degrees with the hip at 90 is called short hamstrings (BMC Sports Sci Med
/// Rehabil 2021, table 4); half of that is our line between a full and a partial stretch (no source).
const NEARLY_STRAIGHT: i16 = -20;
const SHORT_OF_STRAIGHT: i16 = -40;

/// Hip flexors: with the knee bent further than this, rectus femoris stops the movement first.
const SLACK_LIMIT: i16 = 80;

/// How far the motions take a muscle.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Reach {
    /// Not lengthened: something that it needs is missing, or a motion shortens it.
    None,
    /// Lengthened, but not by all that the sources ask for.
    Partial,
    /// Lengthened by all that the sources ask for.
    Full,
}

/// What the anatomy says about one muscle in one set of motions.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Judgement {
    /// How far it is taken.
    pub reach: Reach,
    /// The row of the table that it does best by, such as `calf_straight_knee`.
    pub group: &'static str,
    /// What the muscle needs and the motions do not give.
    pub missing: Vec<Motion>,
    /// What shortens it.
    pub against: Vec<Motion>,
}

/// Judges whether the motions of the worked side lengthen `muscle`, by the row that suits it best.
pub fn judge(muscle: Muscle, motions: &[MotionAngle]) -> Judgement {
    let nothing = Judgement { reach: Reach::None, group: "", missing: Vec::new(), against: Vec::new() };
    lengthenings()
        .iter()
        .filter(|row| row.muscle == muscle)
        .flat_map(|row| row.heads.iter().map(move |head| judge_head(row, *head, motions)))
        .reduce(|best, next| {
            let rank = |found: &Judgement| {
                (found.reach, std::cmp::Reverse(found.missing.len() + found.against.len()))
            };
            if rank(&next) > rank(&best) { next } else { best }
        })
        .unwrap_or(nothing)
}

fn judge_head(row: &Lengthening, head: MuscleHead, motions: &[MotionAngle]) -> Judgement {
    let pose = Pose(motions);
    let degree_of = |wanted: &Wanted| pose.fulfils(wanted);
    let missing: Vec<Motion> = row
        .must
        .iter()
        .filter(|wanted| degree_of(wanted) != Reach::Full)
        .map(|wanted| wanted.motion)
        .collect();
    let reversed = row
        .must
        .iter()
        .filter(|wanted| wanted.up_to.is_none())
        .map(|wanted| wanted.motion.opposite())
        .filter(|motion| pose.degrees(*motion).is_some());
    let own: Vec<&MuscleAction> = own_actions(head, &pose)
        .filter(|action| !row.free.contains(&action.motion))
        .filter(|action| !row.must.iter().any(|wanted| wanted.motion == action.motion))
        .collect();
    let mut against: Vec<Motion> = reversed.collect();
    let undone = own.iter().any(|action| action.strength == Strength::Main) || !against.is_empty();
    against.extend(own.iter().map(|action| action.motion));
    against.sort_unstable();
    against.dedup();
    let taut = row.slack.iter().any(|motion| pose.undoes_slack(*motion));
    let touched = row.must.iter().any(|wanted| wanted.up_to.is_none() && degree_of(wanted) > Reach::None)
        || opposed(head, &pose).any(|action| action.strength == Strength::Main);
    let reach = if undone || !touched || !every_limb_joint_is_set(row, &pose) {
        Reach::None
    } else if missing.is_empty() && against.is_empty() && !taut {
        Reach::Full
    } else {
        Reach::Partial
    };
    Judgement { reach, group: row.group, missing, against }
}

/// A muscle that crosses two joints of a limb goes slack if one of them is left out.
fn every_limb_joint_is_set(row: &Lengthening, pose: &Pose<'_>) -> bool {
    let limb =
        |wanted: &&Wanted| !matches!(wanted.motion.joint(), Joint::Trunk | Joint::Neck | Joint::Scapula);
    let mut joints: Vec<Joint> = row.must.iter().filter(limb).map(|wanted| wanted.motion.joint()).collect();
    joints.sort_unstable();
    joints.dedup();
    joints.len() < 2
        || joints.iter().all(|joint| {
            row.must
                .iter()
                .any(|wanted| wanted.motion.joint() == *joint && pose.fulfils(wanted) > Reach::None)
        })
}

/// The uncontested actions of a head that hold in the pose and that the pose itself makes.
fn own_actions<'p>(head: MuscleHead, pose: &'p Pose<'_>) -> impl Iterator<Item = &'static MuscleAction> + 'p {
    holding(head, pose).filter(|action| pose.degrees(action.motion).is_some_and(|degrees| degrees > 0))
}

/// The uncontested actions of a head that hold in the pose and whose opposite the pose makes.
fn opposed<'p>(head: MuscleHead, pose: &'p Pose<'_>) -> impl Iterator<Item = &'static MuscleAction> + 'p {
    holding(head, pose).filter(|action| {
        pose.degrees(action.motion.opposite()).is_some_and(|degrees| degrees >= SHORT_OF_STRAIGHT)
    })
}

fn holding<'p>(head: MuscleHead, pose: &'p Pose<'_>) -> impl Iterator<Item = &'static MuscleAction> + 'p {
    actions()
        .iter()
        .filter(move |action| head.is_moved_by(action.head) && !action.contested)
        .filter(move |action| action.guard.is_none_or(|guard| guard.is_met(|motion| pose.degrees(motion))))
}

/// Whether the motions draw a muscle, or a head of it, out beyond its length at rest, whether they mean to or not.
///
/// What a client does all day is no stretch: a right angle in hip and knee, an arm at shoulder height, a joint in
/// its neutral place. Where rest ends is our judgement.
pub fn draws_out(muscle: Muscle, motions: &[MotionAngle]) -> bool {
    let pose = Pose(motions);
    let beyond = |motion: Motion| !pose.is_at_rest(motion);
    lengthenings().iter().filter(|row| row.muscle == muscle).any(|row| {
        row.heads.iter().any(|&head| {
            judge_head(row, head, motions).reach > Reach::None
                && (row
                    .must
                    .iter()
                    .filter(|wanted| wanted.up_to.is_none() && pose.fulfils(wanted) > Reach::None)
                    .any(|wanted| beyond(wanted.motion))
                    || opposed(head, &pose)
                        .filter(|action| action.strength == Strength::Main)
                        .any(|action| beyond(action.motion.opposite())))
        })
    })
}

/// The heads of all muscles that the motions lengthen without shortening them at any joint.
pub fn lengthened_heads(motions: &[MotionAngle]) -> Vec<MuscleHead> {
    let pose = Pose(motions);
    all_heads()
        .into_iter()
        .filter(|head| opposed(*head, &pose).next().is_some() && own_actions(*head, &pose).next().is_none())
        .collect()
}

/// The heads of all muscles that the motions shorten without lengthening them at any joint.
pub fn shortened_heads(motions: &[MotionAngle]) -> Vec<MuscleHead> {
    let pose = Pose(motions);
    all_heads()
        .into_iter()
        .filter(|head| own_actions(*head, &pose).next().is_some() && opposed(*head, &pose).next().is_none())
        .collect()
}

fn all_heads() -> Vec<MuscleHead> {
    let mut heads: Vec<MuscleHead> = actions().iter().map(|action| action.head).collect();
    heads.sort_unstable();
    heads.dedup();
    heads
}

/// The motions of the worked side.
struct Pose<'m>(&'m [MotionAngle]);

impl Pose<'_> {
    fn degrees(&self, motion: Motion) -> Option<i16> {
        self.0.iter().find(|angle| angle.motion == motion).map(|angle| angle.degrees.get())
    }

    fn fulfils(&self, wanted: &Wanted) -> Reach {
        if let Some(up_to) = wanted.up_to {
            let within = self.degrees(wanted.motion).is_none_or(|degrees| degrees <= up_to);
            return if within { Reach::Full } else { Reach::None };
        }
        match (self.degrees(wanted.motion), wanted.from) {
            (Some(degrees), Some(from)) if degrees < from => Reach::None,
            (Some(degrees), _) if degrees >= NEARLY_STRAIGHT => Reach::Full,
            (Some(degrees), _) if degrees >= SHORT_OF_STRAIGHT => Reach::Partial,
            _ => Reach::None,
        }
    }

    /// Whether a motion goes no further than it does in sitting or standing.
    fn is_at_rest(&self, motion: Motion) -> bool {
        let knee_is_bent = || self.degrees(Motion::KneeFlexion).is_some_and(|bent| bent >= 60);
        self.degrees(motion).is_none_or(|degrees| match motion {
            Motion::HipFlexion => degrees <= 95 && knee_is_bent(),
            Motion::KneeFlexion | Motion::ShoulderFlexion => degrees <= 90,
            // As far as a hand goes to the mouth.
            Motion::ElbowFlexion => degrees <= 120,
            // Straight is the end of these, not the middle.
            Motion::KneeExtension | Motion::ElbowExtension => false,
            _ => degrees <= 0,
        })
    }

    /// Whether the joint that should be slack is taken the other way.
    fn undoes_slack(&self, slack: Motion) -> bool {
        let limit = if slack == Motion::KneeExtension { SLACK_LIMIT } else { NEARLY_STRAIGHT };
        self.degrees(slack.opposite()).is_some_and(|degrees| degrees > limit)
    }
}
