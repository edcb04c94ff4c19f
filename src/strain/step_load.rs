//! What one step comes to for the trainer: score, kilograms, grade and minutes.

use crate::body::Seconds;
use crate::catalogue::{ContractRelax, Form, PostureExtra, TrainerPosture, TrainerStance, TrunkBend};
use crate::client::Meters;

use crate::names::named;

use super::kilograms::{self, ClientMass};
use super::posture::{is_bent, is_kneeling, is_unbraced, reba_posture, trainer_posture};
use super::reba::Score;

/// A posture kept longer than this counts as static (REBA: 'held longer than 1 minute').
const STATIC_OVER: u32 = 60;
/// More pushes than this within a minute count as repeated (REBA: 'more than 4 times per minute').
const OFTEN: u32 = 4;
/// Grams from which on a load is of REBA's middle class, and over which it is of the highest.
const MIDDLE_FROM: u32 = 5000;
const HIGH_OVER: u32 = 10_000;

named! {
    /// How heavy a step is on the trainer, in order.
    pub enum LoadGrade("load") {
        /// REBA 1 to 3.
        Light = "light",
        /// REBA 4 to 7, or over 5 kg in one hand.
        Moderate = "moderate",
        /// REBA 8 to 10, or over 10 kg.
        Heavy = "heavy",
        /// REBA 11 and more: not offered.
        TooHeavy = "too_heavy",
    }
}

impl LoadGrade {
    /// The grade in plain words.
    pub const fn plain_name(self) -> &'static str {
        match self {
            Self::TooHeavy => "too heavy",
            grade => grade.id(),
        }
    }
}

/// How long a side is worked, and how.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum SideWork {
    /// Held still so long.
    Still(Seconds),
    /// Contract-relax.
    Pushes(ContractRelax),
}

impl SideWork {
    fn seconds(self) -> u32 {
        match self {
            Self::Still(held) => held.get(),
            Self::Pushes(dose) => u32::from(dose.cycles) * (dose.push.get() + dose.stretch.get()),
        }
    }

    /// How many pushes begin within one minute at most.
    fn pushes_a_minute(self) -> u32 {
        match self {
            Self::Still(_) => 0,
            Self::Pushes(dose) => {
                let cycle = (dose.push.get() + dose.stretch.get()).max(1);
                u32::from(dose.cycles).min(59 / cycle + 1)
            }
        }
    }
}

/// What one side of a step comes to.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct StepLoad {
    /// The stance that it is done in.
    pub stance: TrainerStance,
    /// The posture, its words as told or reckoned with.
    pub posture: TrainerPosture,
    /// Whether the form tells its posture.
    pub is_told: bool,
    /// The score of the posture.
    pub score: Score,
    /// Grams of the client's limb in the hands while nobody pushes.
    pub held: u32,
    /// Whether those are reckoned from the client's own mass.
    pub mass_is_noted: bool,
    /// How heavy that is.
    pub grade: LoadGrade,
}

impl StepLoad {
    /// What a form comes to in the first of its stances; none if the client stretches alone.
    pub fn of(form: &Form, worked: SideWork, mass: ClientMass) -> Option<Self> {
        let (posture, is_told) = trainer_posture(form)?;
        let stance = *posture.stances.first()?;
        Some(Self::in_stance(form, (posture, is_told), stance, worked, mass))
    }

    /// What a form comes to in a stance of its posture.
    pub(super) fn in_stance(
        form: &Form,
        (posture, is_told): (TrainerPosture, bool),
        stance: TrainerStance,
        worked: SideWork,
        mass: ClientMass,
    ) -> Self {
        let held = kilograms::held(form, &posture, mass);
        let pushes = matches!(worked, SideWork::Pushes(_));
        let carried = held + if pushes { kilograms::push(form, &posture, mass) } else { 0 };
        let load = carried.max(kilograms::pressed(posture.force));
        let mut scored = reba_posture(&posture, stance);
        scored.load = match load {
            HIGH.. => 2,
            MIDDLE_FROM.. => 1,
            _ => 0,
        };
        scored.load += u8::from(pushes && is_unbraced(&posture, stance));
        scored.activity =
            u8::from(worked.seconds() > STATIC_OVER) + u8::from(worked.pushes_a_minute() > OFTEN);
        let score = scored.score().expect("every word has its place in the tables, as a test says");
        let grade = grade(score.total, held, posture.has(PostureExtra::TwoHands));
        Self { stance, posture, is_told, score, held, mass_is_noted: mass.is_noted, grade }
    }

    /// Whole kilograms of the client's limb in the hands, to the nearest.
    pub const fn kilograms(&self) -> u32 {
        (self.held + 500) / 1000
    }

    /// The minutes that it feeds: held so long, after a set-up of so long.
    pub fn meters(&self, held: Seconds, setup: Seconds) -> Meters {
        let whole = held + setup;
        let when = |is: bool, seconds: Seconds| if is { seconds } else { Seconds::ZERO };
        Meters {
            hands_on: held,
            bent: when(is_bent(&self.posture), whole),
            stooped: when(self.posture.trunk == TrunkBend::Stooped, whole),
            kneeling: when(is_kneeling(self.stance), whole),
            heavy: when(self.grade >= LoadGrade::Heavy, held),
            highest: self.score.total,
        }
    }
}

/// The lowest load of the highest class.
const HIGH: u32 = HIGH_OVER + 1;

/// The grade by the score, or by what is held where that is worse: over 5 kg in one hand (5.03 kg one-handed up to 2
/// min; Waters et al., AORN J 2011, as cited) is at least moderate, over 10 kg (10.1 kg two-handed, the same) heavy.
fn grade(score: u8, held: u32, two_hands: bool) -> LoadGrade {
    let by_score = match score {
        ..=3 => LoadGrade::Light,
        4..=7 => LoadGrade::Moderate,
        8..=10 => LoadGrade::Heavy,
        _ => LoadGrade::TooHeavy,
    };
    let by_weight = match held {
        HIGH.. => LoadGrade::Heavy,
        held if held > MIDDLE_FROM && !two_hands => LoadGrade::Moderate,
        _ => LoadGrade::Light,
    };
    by_score.max(by_weight)
}
