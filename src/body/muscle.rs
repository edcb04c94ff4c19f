//! Muscles as a trainer names them, and the words for several at once.

use crate::names::{UnknownName, named};

use super::side::Side;

named! {
    /// A part of the body, for lists and the figure.
    pub enum Region("region") {
        /// The neck.
        Neck = "neck",
        /// The chest.
        Chest = "chest",
        /// The shoulder.
        Shoulder = "shoulder",
        /// The back.
        Back = "back",
        /// The trunk.
        Trunk = "trunk",
        /// The arm.
        Arm = "arm",
        /// The hip.
        Hip = "hip",
        /// The thigh.
        Thigh = "thigh",
        /// The leg.
        Leg = "leg",
    }
}

named! {
    /// A muscle, or a group of muscles that is stretched as one.
    pub enum Muscle("muscle") {
        /// The upper part of the trapezius.
        UpperTrapezius = "upper-trapezius",
        /// Levator scapulae.
        LevatorScapulae = "levator-scapulae",
        /// Scalenes and sternocleidomastoid.
        Scalenes = "scalenes",
        /// Splenius, semispinalis and the suboccipital muscles.
        NeckExtensors = "neck-extensors",
        /// Pectoralis major.
        PectoralisMajor = "pectoralis-major",
        /// Pectoralis minor.
        PectoralisMinor = "pectoralis-minor",
        /// The anterior part of the deltoid.
        AnteriorDeltoid = "anterior-deltoid",
        /// The posterior part of the deltoid.
        PosteriorDeltoid = "posterior-deltoid",
        /// The external rotators: infraspinatus and teres minor.
        RotatorCuff = "rotator-cuff",
        /// Rhomboids and the middle trapezius.
        Rhomboids = "rhomboids",
        /// Latissimus dorsi with teres major.
        LatissimusDorsi = "latissimus-dorsi",
        /// Erector spinae and multifidus.
        ErectorSpinae = "erector-spinae",
        /// Quadratus lumborum.
        QuadratusLumborum = "quadratus-lumborum",
        /// Rectus abdominis.
        Abdominals = "abdominals",
        /// External and internal oblique.
        Obliques = "obliques",
        /// Biceps brachii and brachialis.
        Biceps = "biceps",
        /// Triceps brachii.
        Triceps = "triceps",
        /// The flexors of wrist and fingers.
        WristFlexors = "wrist-flexors",
        /// The extensors of wrist and fingers.
        WristExtensors = "wrist-extensors",
        /// Iliacus and psoas major.
        Iliopsoas = "iliopsoas",
        /// Gluteus maximus.
        GluteusMaximus = "gluteus-maximus",
        /// Gluteus medius and minimus.
        GluteusMedius = "gluteus-medius",
        /// Piriformis and the short external rotators.
        Piriformis = "piriformis",
        /// Tensor fasciae latae with the iliotibial band.
        TensorFasciaeLatae = "tensor-fasciae-latae",
        /// The adductors with gracilis and pectineus.
        Adductors = "adductors",
        /// Rectus femoris, the two-joint part of the quadriceps.
        RectusFemoris = "rectus-femoris",
        /// The three vasti of the quadriceps.
        Vasti = "vasti",
        /// Biceps femoris, semitendinosus and semimembranosus.
        Hamstrings = "hamstrings",
        /// Gastrocnemius, the two-joint calf muscle.
        Gastrocnemius = "gastrocnemius",
        /// Soleus.
        Soleus = "soleus",
        /// Tibialis anterior and the toe extensors.
        TibialisAnterior = "tibialis-anterior",
    }
}

impl Muscle {
    /// What the trade calls it; what is printed for a client says where it is instead.
    pub const fn plain_name(self) -> &'static str {
        match self {
            Self::UpperTrapezius => "upper traps",
            Self::LevatorScapulae => "levator",
            Self::Scalenes => "scalenes",
            Self::NeckExtensors => "back of the neck",
            Self::PectoralisMajor => "pecs",
            Self::PectoralisMinor => "pec minor",
            Self::AnteriorDeltoid => "front delts",
            Self::PosteriorDeltoid => "rear delts",
            Self::RotatorCuff => "rotator cuff",
            Self::Rhomboids => "rhomboids",
            Self::LatissimusDorsi => "lats",
            Self::ErectorSpinae => "lower back",
            Self::QuadratusLumborum => "QL",
            Self::Abdominals => "abs",
            Self::Obliques => "obliques",
            Self::Biceps => "biceps",
            Self::Triceps => "triceps",
            Self::WristFlexors => "forearm flexors",
            Self::WristExtensors => "forearm extensors",
            Self::Iliopsoas => "hip flexors",
            Self::GluteusMaximus => "glute max",
            Self::GluteusMedius => "glute med",
            Self::Piriformis => "piriformis",
            Self::TensorFasciaeLatae => "TFL",
            Self::Adductors => "adductors (inner thigh)",
            Self::RectusFemoris => "upper quads",
            Self::Vasti => "lower quads",
            Self::Hamstrings => "hamstrings",
            Self::Gastrocnemius => "calf",
            Self::Soleus => "soleus",
            Self::TibialisAnterior => "shin",
        }
    }

    /// Whether it is one of those that are stretched first when time is short: common practice, no source.
    pub const fn comes_first(self) -> bool {
        matches!(
            self,
            Self::Hamstrings
                | Self::GluteusMaximus
                | Self::Piriformis
                | Self::Iliopsoas
                | Self::RectusFemoris
                | Self::Adductors
                | Self::Gastrocnemius
                | Self::PectoralisMajor
                | Self::LatissimusDorsi
                | Self::UpperTrapezius
        )
    }

    /// The part of the body that it belongs to.
    pub const fn region(self) -> Region {
        match self {
            Self::UpperTrapezius | Self::LevatorScapulae | Self::Scalenes | Self::NeckExtensors => {
                Region::Neck
            }
            Self::PectoralisMajor | Self::PectoralisMinor => Region::Chest,
            Self::AnteriorDeltoid | Self::PosteriorDeltoid | Self::RotatorCuff => Region::Shoulder,
            Self::Rhomboids | Self::LatissimusDorsi | Self::ErectorSpinae | Self::QuadratusLumborum => {
                Region::Back
            }
            Self::Abdominals | Self::Obliques => Region::Trunk,
            Self::Biceps | Self::Triceps | Self::WristFlexors | Self::WristExtensors => Region::Arm,
            Self::Iliopsoas
            | Self::GluteusMaximus
            | Self::GluteusMedius
            | Self::Piriformis
            | Self::TensorFasciaeLatae => Region::Hip,
            Self::Adductors | Self::RectusFemoris | Self::Vasti | Self::Hamstrings => Region::Thigh,
            Self::Gastrocnemius | Self::Soleus | Self::TibialisAnterior => Region::Leg,
        }
    }
}

named! {
    /// A word for several muscles at once, as a training day is named.
    pub enum MuscleGroup("muscle group") {
        /// Everything that a full-body session trains.
        FullBody = "full-body",
        /// Legs and hips.
        LowerBody = "lower-body",
        /// Chest, back, shoulders and arms.
        UpperBody = "upper-body",
        /// What pushes: chest, front of the shoulder, triceps.
        Push = "push",
        /// What pulls: back, biceps, forearms.
        Pull = "pull",
        /// Thighs, buttocks and calves.
        Legs = "legs",
        /// The muscles of the buttock.
        Glutes = "glutes",
        /// The front of the thigh.
        Quads = "quads",
        /// Both calf muscles.
        Calves = "calves",
        /// Around the hip.
        Hips = "hips",
        /// The chest.
        Chest = "chest",
        /// The back from shoulder blades to waist.
        Back = "back",
        /// The back at the waist.
        LowerBack = "lower-back",
        /// Around the shoulder.
        Shoulders = "shoulders",
        /// Upper arms.
        Arms = "arms",
        /// Forearms.
        Forearms = "forearms",
        /// The neck.
        Neck = "neck",
        /// Abdomen, waist and lower back.
        Core = "core",
        /// What a run leaves tired.
        Running = "running",
        /// What a day at a desk leaves stiff.
        Desk = "desk",
    }
}

impl MuscleGroup {
    /// The muscles it stands for.
    pub const fn muscles(self) -> &'static [Muscle] {
        use Muscle as M;
        match self {
            Self::FullBody => &[
                M::PectoralisMajor,
                M::AnteriorDeltoid,
                M::LatissimusDorsi,
                M::Rhomboids,
                M::Triceps,
                M::Biceps,
                M::ErectorSpinae,
                M::Abdominals,
                M::GluteusMaximus,
                M::RectusFemoris,
                M::Vasti,
                M::Hamstrings,
                M::Adductors,
                M::Gastrocnemius,
            ],
            Self::LowerBody => &[
                M::GluteusMaximus,
                M::GluteusMedius,
                M::Iliopsoas,
                M::RectusFemoris,
                M::Vasti,
                M::Hamstrings,
                M::Adductors,
                M::Gastrocnemius,
                M::Soleus,
            ],
            Self::UpperBody => &[
                M::PectoralisMajor,
                M::AnteriorDeltoid,
                M::PosteriorDeltoid,
                M::LatissimusDorsi,
                M::Rhomboids,
                M::Triceps,
                M::Biceps,
            ],
            Self::Push => &[M::PectoralisMajor, M::AnteriorDeltoid, M::Triceps],
            Self::Pull => {
                &[M::LatissimusDorsi, M::Rhomboids, M::PosteriorDeltoid, M::Biceps, M::WristFlexors]
            }
            Self::Legs => &[
                M::GluteusMaximus,
                M::RectusFemoris,
                M::Vasti,
                M::Hamstrings,
                M::Adductors,
                M::Gastrocnemius,
                M::Soleus,
            ],
            Self::Glutes => &[M::GluteusMaximus, M::GluteusMedius, M::Piriformis],
            Self::Quads => &[M::RectusFemoris, M::Vasti],
            Self::Calves => &[M::Gastrocnemius, M::Soleus],
            Self::Hips => &[
                M::Iliopsoas,
                M::GluteusMaximus,
                M::GluteusMedius,
                M::Piriformis,
                M::TensorFasciaeLatae,
                M::Adductors,
            ],
            Self::Chest => &[M::PectoralisMajor, M::PectoralisMinor],
            Self::Back => &[M::LatissimusDorsi, M::Rhomboids, M::ErectorSpinae, M::QuadratusLumborum],
            Self::LowerBack => &[M::ErectorSpinae, M::QuadratusLumborum],
            Self::Shoulders => &[M::AnteriorDeltoid, M::PosteriorDeltoid, M::RotatorCuff],
            Self::Arms => &[M::Biceps, M::Triceps],
            Self::Forearms => &[M::WristFlexors, M::WristExtensors],
            Self::Neck => &[M::UpperTrapezius, M::LevatorScapulae, M::Scalenes, M::NeckExtensors],
            Self::Core => &[M::Abdominals, M::Obliques, M::ErectorSpinae, M::QuadratusLumborum],
            Self::Running => &[
                M::Gastrocnemius,
                M::Soleus,
                M::Hamstrings,
                M::RectusFemoris,
                M::Iliopsoas,
                M::GluteusMaximus,
                M::TensorFasciaeLatae,
            ],
            Self::Desk => {
                &[M::UpperTrapezius, M::LevatorScapulae, M::PectoralisMajor, M::PectoralisMinor, M::Iliopsoas]
            }
        }
    }
}

/// A muscle on one side of the body: the smallest thing that wants stretching.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Unit {
    /// The muscle.
    pub muscle: Muscle,
    /// The side it is on.
    pub side: Side,
}

impl Unit {
    /// The same muscle on the other side.
    #[must_use]
    pub const fn other_side(self) -> Self {
        Self { muscle: self.muscle, side: self.side.other() }
    }
}

/// Reads a muscle on a side, as in `hamstrings:right`.
impl std::str::FromStr for Unit {
    type Err = BadUnit;

    fn from_str(text: &str) -> Result<Self, BadUnit> {
        let (muscle, side) = text.split_once(':').ok_or_else(|| BadUnit::NoSide(text.to_owned()))?;
        Ok(Self { muscle: muscle.trim().parse()?, side: side.trim().parse()? })
    }
}

/// Why a text is no muscle on a side.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum BadUnit {
    /// It names no side.
    #[error("`{0}` names no side; write it like `hamstrings:right`")]
    NoSide(String),
    /// One of its words is unknown.
    #[error(transparent)]
    Unknown(#[from] UnknownName),
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn no_group_is_empty_or_names_a_muscle_twice() {
        for &group in MuscleGroup::ALL {
            let mut muscles = group.muscles().to_vec();
            assert!(!muscles.is_empty(), "{group}");
            muscles.sort_unstable();
            muscles.dedup();
            assert_eq!(muscles.len(), group.muscles().len(), "{group}");
        }
    }

    #[test]
    fn a_muscle_on_a_side_is_read_as_it_is_written() {
        let right = Unit { muscle: Muscle::Hamstrings, side: Side::Right };
        assert_eq!("hamstrings:right".parse(), Ok(right));
        let refused = "hamstrings".parse::<Unit>().expect_err("no side").to_string();
        assert!(refused.contains("names no side"), "{refused}");
    }
}
