//! What each muscle does to joints: the anatomy that decides which stretch lengthens what.
//!
//! The rows of `muscle-actions.csv` name their source and whether it was read. A row whose part ends in
//! `@position` holds in that position only; a row that says `(contested)` is one on which sources disagree.

use std::sync::LazyLock;

use crate::names::named;

use super::evidence::{Evidence, rows};
use super::motion::{Joint, Motion};
use super::muscle::Muscle;

named! {
    /// A position of the limb in which an action holds.
    pub enum Guard("position guard") {
        /// Hip bent 45 degrees at most.
        HipStraight = "hip_straight",
        /// Hip bent 70 degrees or more.
        HipFlexed90 = "hip_flexed_90",
        /// Arm raised above shoulder height.
        ArmRaised = "arm_raised",
        /// Palm up.
        ForearmSupinated = "forearm_supinated",
        /// Palm down.
        ForearmPronated = "forearm_pronated",
    }
}

impl Guard {
    /// Whether the guard is met; `degrees` tells how far a motion goes, nothing where it is not set.
    ///
    /// Between 45 and 70 degrees of hip flexion neither hip guard is met: there the sources allow no claim.
    pub fn is_met(self, degrees: impl Fn(Motion) -> Option<i16>) -> bool {
        let at = |motion| degrees(motion).unwrap_or(0);
        match self {
            Self::HipStraight => at(Motion::HipFlexion) <= 45,
            Self::HipFlexed90 => at(Motion::HipFlexion) >= 70,
            Self::ArmRaised => at(Motion::ShoulderFlexion) > 90 || at(Motion::ShoulderAbduction) > 90,
            Self::ForearmSupinated => at(Motion::ForearmSupination) > 0,
            Self::ForearmPronated => at(Motion::ForearmPronation) > 0,
        }
    }
}

named! {
    /// How much a muscle has to do with a motion: a judgement, not a reading.
    pub enum Strength("strength of an action") {
        /// One of the main movers.
        Main = "main",
        /// It helps.
        Assists = "assists",
    }
}

/// An anatomical muscle, or a part of one, as the handbooks name it.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct MuscleHead {
    /// The muscle, such as `biceps_femoris`.
    pub muscle: &'static str,
    /// The part, such as `long_head`; empty for the whole muscle.
    pub part: &'static str,
}

impl MuscleHead {
    /// The part of that name; an empty `part` is the whole muscle.
    pub const fn new(muscle: &'static str, part: &'static str) -> Self {
        Self { muscle, part }
    }

    /// Whether an action written for `other` holds for this part: for itself, or for the whole muscle.
    pub fn is_moved_by(self, other: Self) -> bool {
        self.muscle == other.muscle
            && (self.part == other.part || other.part.is_empty() || self.part.is_empty())
    }
}

impl std::fmt::Display for MuscleHead {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.write_str(&self.muscle.replace('_', " "))?;
        if self.part.is_empty() { Ok(()) } else { write!(f, " ({})", self.part.replace('_', " ")) }
    }
}

/// One motion that a muscle or a part of it produces.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct MuscleAction {
    /// Which head.
    pub head: MuscleHead,
    /// The position in which it holds; always, where there is none.
    pub guard: Option<Guard>,
    /// What it does.
    pub motion: Motion,
    /// How much it has to do with that.
    pub strength: Strength,
    /// The joints that it spans; those of the fingers have no motions here and are left out.
    pub crosses: Vec<Joint>,
    /// Key of the source.
    pub source: &'static str,
    /// Whether the source was read.
    pub evidence: Evidence,
    /// Where in the source, and what agrees.
    pub place: &'static str,
    /// Whether sources disagree, so that nothing should be built on it.
    pub contested: bool,
}

/// All actions in the order of the file.
pub fn actions() -> &'static [MuscleAction] {
    static ACTIONS: LazyLock<Vec<MuscleAction>> = LazyLock::new(|| read(TEXT).0);
    &ACTIONS
}

const TEXT: &str = include_str!("muscle-actions.csv");

/// Reads the rows; those that cannot be read come back with their line.
fn read(text: &'static str) -> (Vec<MuscleAction>, Vec<String>) {
    let mut actions = Vec::new();
    let mut bad = Vec::new();
    for (line, fields) in rows(text) {
        match read_row(&fields) {
            Some(action) => actions.push(action),
            None => bad.push(format!("line {line}: {}", fields.join(","))),
        }
    }
    (actions, bad)
}

fn read_row(fields: &[&'static str]) -> Option<MuscleAction> {
    let &[muscle, part, joint, motion, strength, crosses, source, verified] = fields else { return None };
    let (part, guard) = match part.split_once('@') {
        Some((part, guard)) => (part, Some(guard.parse().ok()?)),
        None => (part, None),
    };
    let motion: Motion = motion.parse().ok()?;
    let joint: Joint = joint.parse().ok()?;
    let crosses = crosses
        .split('+')
        .filter(|joint| *joint != "fingers")
        .map(|joint| joint.parse().ok())
        .collect::<Option<Vec<Joint>>>()?;
    let (evidence, place) = verified.split_once(": ").unwrap_or((verified, ""));
    (joint == motion.joint()).then_some(MuscleAction {
        head: MuscleHead { muscle, part },
        guard,
        motion,
        strength: strength.parse().ok()?,
        crosses,
        source,
        evidence: evidence.parse().ok()?,
        place,
        contested: place.contains("(contested)"),
    })
}

impl Muscle {
    /// The anatomical muscles that a trainer means by this name; a muscle without a part means all of it.
    pub const fn heads(self) -> &'static [MuscleHead] {
        const fn whole(muscle: &'static str) -> MuscleHead {
            MuscleHead::new(muscle, "")
        }
        match self {
            Self::UpperTrapezius => const { &[MuscleHead::new("trapezius", "upper")] },
            Self::LevatorScapulae => const { &[whole("levator_scapulae")] },
            Self::Scalenes => const { &[whole("scalenes"), whole("sternocleidomastoid")] },
            Self::NeckExtensors => {
                const { &[whole("splenius"), whole("semispinalis"), whole("suboccipitals")] }
            }
            Self::PectoralisMajor => const { &[whole("pectoralis_major")] },
            Self::PectoralisMinor => const { &[whole("pectoralis_minor")] },
            Self::AnteriorDeltoid => const { &[MuscleHead::new("deltoid", "anterior")] },
            Self::PosteriorDeltoid => const { &[MuscleHead::new("deltoid", "posterior")] },
            Self::RotatorCuff => const { &[whole("infraspinatus"), whole("teres_minor")] },
            Self::Rhomboids => const { &[whole("rhomboids"), MuscleHead::new("trapezius", "middle")] },
            Self::LatissimusDorsi => const { &[whole("latissimus_dorsi"), whole("teres_major")] },
            Self::ErectorSpinae => const { &[whole("erector_spinae"), whole("multifidus")] },
            Self::QuadratusLumborum => const { &[whole("quadratus_lumborum")] },
            Self::Abdominals => const { &[whole("rectus_abdominis")] },
            Self::Obliques => const { &[whole("external_oblique"), whole("internal_oblique")] },
            Self::Biceps => const { &[whole("biceps_brachii"), whole("brachialis")] },
            Self::Triceps => const { &[whole("triceps_brachii")] },
            Self::WristFlexors => {
                const {
                    &[
                        whole("flexor_carpi_radialis"),
                        whole("flexor_carpi_ulnaris"),
                        whole("palmaris_longus"),
                        whole("flexor_digitorum_superficialis"),
                        whole("flexor_digitorum_profundus"),
                    ]
                }
            }
            Self::WristExtensors => {
                const {
                    &[
                        whole("extensor_carpi_radialis_longus"),
                        whole("extensor_carpi_radialis_brevis"),
                        whole("extensor_carpi_ulnaris"),
                        whole("extensor_digitorum"),
                    ]
                }
            }
            Self::Iliopsoas => const { &[whole("iliacus"), whole("psoas_major")] },
            Self::GluteusMaximus => const { &[whole("gluteus_maximus")] },
            Self::GluteusMedius => const { &[whole("gluteus_medius"), whole("gluteus_minimus")] },
            Self::Piriformis => {
                const {
                    &[
                        whole("piriformis"),
                        whole("obturator_internus"),
                        whole("obturator_externus"),
                        whole("quadratus_femoris"),
                    ]
                }
            }
            Self::TensorFasciaeLatae => const { &[whole("tensor_fasciae_latae")] },
            Self::Adductors => {
                const {
                    &[
                        whole("adductor_longus"),
                        whole("adductor_brevis"),
                        whole("adductor_magnus"),
                        whole("gracilis"),
                        whole("pectineus"),
                    ]
                }
            }
            Self::RectusFemoris => const { &[whole("rectus_femoris")] },
            Self::Vasti => const { &[whole("vasti")] },
            Self::Hamstrings => {
                const { &[whole("biceps_femoris"), whole("semitendinosus"), whole("semimembranosus")] }
            }
            Self::Gastrocnemius => const { &[whole("gastrocnemius")] },
            Self::Soleus => const { &[whole("soleus")] },
            Self::TibialisAnterior => {
                const {
                    &[
                        whole("tibialis_anterior"),
                        whole("extensor_digitorum_longus"),
                        whole("extensor_hallucis_longus"),
                    ]
                }
            }
        }
    }

    /// What the muscle does: the rows of all its parts.
    pub fn actions(self) -> impl Iterator<Item = &'static MuscleAction> {
        actions().iter().filter(move |action| self.heads().iter().any(|head| head.is_moved_by(action.head)))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_row_is_read() {
        let (read, bad) = read(TEXT);
        assert_eq!(bad, [""; 0]);
        assert_eq!(read.len(), 224);
    }

    #[test]
    fn every_muscle_of_the_trainer_has_actions() {
        for &muscle in Muscle::ALL {
            for head in muscle.heads() {
                assert!(actions().iter().any(|action| head.is_moved_by(action.head)), "{muscle}: {head}");
            }
        }
    }

    #[test]
    fn a_guard_makes_no_claim_in_between() {
        let bent = |degrees| move |motion| (motion == Motion::HipFlexion).then_some(degrees);
        assert!(Guard::HipStraight.is_met(|_| None));
        assert!(Guard::HipFlexed90.is_met(bent(70)));
        assert!(!Guard::HipStraight.is_met(bent(60)) && !Guard::HipFlexed90.is_met(bent(60)));
    }
}
