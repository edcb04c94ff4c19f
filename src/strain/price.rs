//! What a step's load costs in a plan, fixed before planning begins.

use crate::body::Seconds;
use crate::catalogue::{ArmReach, Form, HandForce, HandGrip, HeadTilt, PostureExtra, WristBend};
use crate::client::{Meters, SoreRegion};

use super::kilograms::ClientMass;
use super::meters::full;
use super::posture::{is_bent, is_kneeling, trainer_posture};
use super::step_load::{LoadGrade, SideWork, StepLoad};

/// What a side costs by its grade, in grains: heavy only where nothing else is left. Two forms of one grade cost the
/// same, since a point of the score is noise. Our judgement; with what moderate sides cost by their score instead, 4 to
/// 7, situations in which a trainer has no choice came out otherwise.
const LIGHT: u32 = 1;
const MODERATE: u32 = 4;
const HEAVY: u32 = 36;
/// Grams over which a sore back or shoulder does not hold.
const TOO_MUCH_IF_SORE: u32 = 5000;

/// Why a form goes out for the trainer's own sake.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Against {
    /// It goes against what is sore.
    Sore(SoreRegion),
    /// The highest class of the method.
    TooHeavy,
}

/// What a plan reckons with for its trainer: the client's mass, the day so far, and what is sore.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct LoadToday {
    /// The client's mass.
    pub mass: ClientMass,
    /// The day before this client.
    pub so_far: Meters,
    /// Where the trainer is sore.
    pub sore: Vec<SoreRegion>,
}

impl LoadToday {
    /// What a step comes to in the best stance that is left; none if the client stretches alone, or soreness or its
    /// load leaves no stance.
    pub fn step(&self, form: &Form, worked: SideWork) -> Option<StepLoad> {
        let posture = trainer_posture(form)?;
        let stances = posture.0.stances.clone();
        let loads = stances
            .into_iter()
            .map(|stance| StepLoad::in_stance(form, posture.clone(), stance, worked, self.mass));
        loads.into_iter().find(|load| self.sore.iter().all(|&sore| !is_against(load, sore)))
    }

    /// Why a form goes out for the trainer's sake; never one that the client does alone.
    pub fn rules_out(&self, form: &Form) -> Option<Against> {
        let alone = |sore: SoreRegion| Self { sore: vec![sore], ..self.clone() };
        let still = SideWork::Still(Seconds::ZERO);
        trainer_posture(form)?;
        if let Some(load) = self.step(form, still) {
            return (load.grade == LoadGrade::TooHeavy).then_some(Against::TooHeavy);
        }
        // The one that does so by itself; the first where only several together do.
        let by_itself = self.sore.iter().find(|&&sore| alone(sore).step(form, still).is_none());
        by_itself.or(self.sore.first()).copied().map(Against::Sore)
    }

    /// What the load of a side costs, in grains: more the fuller the day is on the meters that it feeds.
    pub fn cost(&self, form: &Form, worked: SideWork) -> i32 {
        let Some(load) = self.step(form, worked) else { return 0 };
        let base = match load.grade {
            LoadGrade::Light => LIGHT,
            LoadGrade::Moderate => MODERATE,
            LoadGrade::Heavy | LoadGrade::TooHeavy => HEAVY,
        };
        let fed = load.meters(Seconds::new(1), Seconds::ZERO);
        i32::try_from(base * (1 + full(self.so_far, fed))).unwrap_or(i32::MAX)
    }
}

/// Whether a load goes against what is sore.
fn is_against(load: &StepLoad, sore: SoreRegion) -> bool {
    let posture = &load.posture;
    let heavy = load.held > TOO_MUCH_IF_SORE;
    match sore {
        SoreRegion::Knee => is_kneeling(load.stance),
        SoreRegion::Back => is_bent(posture) || heavy || posture.force == HandForce::Hard,
        SoreRegion::Shoulder => {
            let raised = matches!(posture.arms, ArmReach::Level | ArmReach::High);
            (raised && !posture.has(PostureExtra::ArmsRest))
                || posture.has(PostureExtra::ShouldersUp)
                || heavy
        }
        SoreRegion::Wrist => {
            posture.wrists == WristBend::Bent
                || posture.has(PostureExtra::WristTurned)
                || matches!(posture.grip, HandGrip::Poor | HandGrip::Bad)
        }
        SoreRegion::Neck => {
            posture.head == HeadTilt::Up
                || (posture.head == HeadTilt::Down && posture.has(PostureExtra::HeadTurned))
        }
    }
}
