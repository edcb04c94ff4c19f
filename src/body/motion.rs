//! Joints and the motions they make, each with a direction.

use std::sync::LazyLock;

use crate::names::{Finder, Found, named, other_names};

use super::side::Side;

named! {
    /// A joint, or a group of joints that a trainer moves as one.
    pub enum Joint("joint") {
        /// The ankle.
        Ankle = "ankle",
        /// The joints below the ankle.
        Foot = "foot",
        /// The joints of the toes.
        Toes = "toes",
        /// The knee.
        Knee = "knee",
        /// The hip.
        Hip = "hip",
        /// The thoracic and lumbar spine.
        Trunk = "trunk",
        /// The shoulder.
        Shoulder = "shoulder",
        /// The shoulder blade on the rib cage.
        Scapula = "scapula",
        /// The elbow.
        Elbow = "elbow",
        /// The turning joints of the forearm.
        Forearm = "forearm",
        /// The wrist.
        Wrist = "wrist",
        /// The cervical spine.
        Neck = "neck",
    }
}

impl Joint {
    /// What a trainer calls it.
    pub const fn plain_name(self) -> &'static str {
        match self {
            Self::Scapula => "shoulder blade",
            Self::Trunk => "back",
            _ => self.id(),
        }
    }

    /// The joint that a word names, by its id, its plain name or another name.
    pub fn named(word: &str) -> Option<Self> {
        static FINDER: LazyLock<Finder<Joint>> = LazyLock::new(|| {
            let own = Joint::ALL
                .iter()
                .flat_map(|&joint| [joint.id(), joint.plain_name()].map(|name| (joint, name)));
            let others = other_names("joint").flat_map(|other| {
                other.ids().filter_map(|id| id.parse().ok()).map(|joint| (joint, other.name))
            });
            Finder::new(own.chain(others).map(|(joint, name)| (joint, name.to_owned())))
        });
        match FINDER.find(word) {
            Found::Named(all) if all.len() == 1 => all.first().copied(),
            _ => None,
        }
    }

    /// The joint and all below it in its limb; the midline ends with itself.
    pub const fn and_below(self) -> &'static [Self] {
        const LEG: &[Joint] = &[Joint::Hip, Joint::Knee, Joint::Ankle, Joint::Foot, Joint::Toes];
        const ARM: &[Joint] = &[Joint::Shoulder, Joint::Elbow, Joint::Forearm, Joint::Wrist];
        match self {
            Self::Hip => LEG,
            Self::Knee => &[Self::Knee, Self::Ankle, Self::Foot, Self::Toes],
            Self::Ankle => &[Self::Ankle, Self::Foot, Self::Toes],
            Self::Foot => &[Self::Foot, Self::Toes],
            Self::Toes => &[Self::Toes],
            Self::Shoulder => ARM,
            Self::Elbow => &[Self::Elbow, Self::Forearm, Self::Wrist],
            Self::Forearm => &[Self::Forearm, Self::Wrist],
            Self::Wrist => &[Self::Wrist],
            Self::Scapula => &[Self::Scapula],
            Self::Trunk => &[Self::Trunk],
            Self::Neck => &[Self::Neck],
        }
    }

    /// Whether it is one of the leg.
    pub const fn is_of_leg(self) -> bool {
        matches!(self, Self::Hip | Self::Knee | Self::Ankle | Self::Foot | Self::Toes)
    }
}

named! {
    /// A joint motion with a direction.
    ///
    /// `Same` and `Opposite` are relative to the side that is worked on: with the left side worked on, a
    /// lateral flexion to the opposite side bends to the right.
    pub enum Motion("motion") {
        /// Ankle plantarflexion.
        AnklePlantarflexion = "ankle_plantarflexion",
        /// Ankle dorsiflexion.
        AnkleDorsiflexion = "ankle_dorsiflexion",
        /// Foot inversion.
        FootInversion = "foot_inversion",
        /// Foot eversion.
        FootEversion = "foot_eversion",
        /// Toe flexion.
        ToeFlexion = "toe_flexion",
        /// Toe extension.
        ToeExtension = "toe_extension",
        /// Knee flexion.
        KneeFlexion = "knee_flexion",
        /// Knee extension.
        KneeExtension = "knee_extension",
        /// Hip flexion.
        HipFlexion = "hip_flexion",
        /// Hip extension.
        HipExtension = "hip_extension",
        /// Hip abduction.
        HipAbduction = "hip_abduction",
        /// Hip adduction.
        HipAdduction = "hip_adduction",
        /// Hip external rotation.
        HipExternalRotation = "hip_external_rotation",
        /// Hip internal rotation.
        HipInternalRotation = "hip_internal_rotation",
        /// Hip horizontal abduction.
        HipHorizontalAbduction = "hip_horizontal_abduction",
        /// Hip horizontal adduction.
        HipHorizontalAdduction = "hip_horizontal_adduction",
        /// Trunk flexion.
        TrunkFlexion = "trunk_flexion",
        /// Trunk extension.
        TrunkExtension = "trunk_extension",
        /// Trunk lateral flexion same.
        TrunkLateralFlexionSame = "trunk_lateral_flexion_same",
        /// Trunk lateral flexion opposite.
        TrunkLateralFlexionOpposite = "trunk_lateral_flexion_opposite",
        /// Trunk rotation same.
        TrunkRotationSame = "trunk_rotation_same",
        /// Trunk rotation opposite.
        TrunkRotationOpposite = "trunk_rotation_opposite",
        /// Shoulder flexion.
        ShoulderFlexion = "shoulder_flexion",
        /// Shoulder extension.
        ShoulderExtension = "shoulder_extension",
        /// Shoulder abduction.
        ShoulderAbduction = "shoulder_abduction",
        /// Shoulder adduction.
        ShoulderAdduction = "shoulder_adduction",
        /// Shoulder external rotation.
        ShoulderExternalRotation = "shoulder_external_rotation",
        /// Shoulder internal rotation.
        ShoulderInternalRotation = "shoulder_internal_rotation",
        /// Shoulder horizontal abduction.
        ShoulderHorizontalAbduction = "shoulder_horizontal_abduction",
        /// Shoulder horizontal adduction.
        ShoulderHorizontalAdduction = "shoulder_horizontal_adduction",
        /// Scapula elevation.
        ScapulaElevation = "scapula_elevation",
        /// Scapula depression.
        ScapulaDepression = "scapula_depression",
        /// Scapula upward rotation.
        ScapulaUpwardRotation = "scapula_upward_rotation",
        /// Scapula downward rotation.
        ScapulaDownwardRotation = "scapula_downward_rotation",
        /// Scapula protraction.
        ScapulaProtraction = "scapula_protraction",
        /// Scapula retraction.
        ScapulaRetraction = "scapula_retraction",
        /// Elbow flexion.
        ElbowFlexion = "elbow_flexion",
        /// Elbow extension.
        ElbowExtension = "elbow_extension",
        /// Forearm pronation.
        ForearmPronation = "forearm_pronation",
        /// Forearm supination.
        ForearmSupination = "forearm_supination",
        /// Wrist flexion.
        WristFlexion = "wrist_flexion",
        /// Wrist extension.
        WristExtension = "wrist_extension",
        /// Wrist radial deviation.
        WristRadialDeviation = "wrist_radial_deviation",
        /// Wrist ulnar deviation.
        WristUlnarDeviation = "wrist_ulnar_deviation",
        /// Neck flexion.
        NeckFlexion = "neck_flexion",
        /// Neck extension.
        NeckExtension = "neck_extension",
        /// Neck lateral flexion same.
        NeckLateralFlexionSame = "neck_lateral_flexion_same",
        /// Neck lateral flexion opposite.
        NeckLateralFlexionOpposite = "neck_lateral_flexion_opposite",
        /// Neck rotation same.
        NeckRotationSame = "neck_rotation_same",
        /// Neck rotation opposite.
        NeckRotationOpposite = "neck_rotation_opposite",
    }
}

impl Motion {
    /// Whether it is counted below 0 as well: a joint that is near straight, but short of it.
    pub const fn may_be_short_of_straight(self) -> bool {
        matches!(self, Self::KneeExtension | Self::ElbowExtension)
    }

    /// The joint that moves.
    pub const fn joint(self) -> Joint {
        match self {
            Self::AnklePlantarflexion | Self::AnkleDorsiflexion => Joint::Ankle,
            Self::FootInversion | Self::FootEversion => Joint::Foot,
            Self::ToeFlexion | Self::ToeExtension => Joint::Toes,
            Self::KneeFlexion | Self::KneeExtension => Joint::Knee,
            Self::HipFlexion
            | Self::HipExtension
            | Self::HipAbduction
            | Self::HipAdduction
            | Self::HipExternalRotation
            | Self::HipInternalRotation
            | Self::HipHorizontalAbduction
            | Self::HipHorizontalAdduction => Joint::Hip,
            Self::TrunkFlexion
            | Self::TrunkExtension
            | Self::TrunkLateralFlexionSame
            | Self::TrunkLateralFlexionOpposite
            | Self::TrunkRotationSame
            | Self::TrunkRotationOpposite => Joint::Trunk,
            Self::ShoulderFlexion
            | Self::ShoulderExtension
            | Self::ShoulderAbduction
            | Self::ShoulderAdduction
            | Self::ShoulderExternalRotation
            | Self::ShoulderInternalRotation
            | Self::ShoulderHorizontalAbduction
            | Self::ShoulderHorizontalAdduction => Joint::Shoulder,
            Self::ScapulaElevation
            | Self::ScapulaDepression
            | Self::ScapulaUpwardRotation
            | Self::ScapulaDownwardRotation
            | Self::ScapulaProtraction
            | Self::ScapulaRetraction => Joint::Scapula,
            Self::ElbowFlexion | Self::ElbowExtension => Joint::Elbow,
            Self::ForearmPronation | Self::ForearmSupination => Joint::Forearm,
            Self::WristFlexion
            | Self::WristExtension
            | Self::WristRadialDeviation
            | Self::WristUlnarDeviation => Joint::Wrist,
            Self::NeckFlexion
            | Self::NeckExtension
            | Self::NeckLateralFlexionSame
            | Self::NeckLateralFlexionOpposite
            | Self::NeckRotationSame
            | Self::NeckRotationOpposite => Joint::Neck,
        }
    }

    /// The motion about the same axis in the other direction.
    #[must_use]
    pub const fn opposite(self) -> Self {
        match self {
            Self::AnklePlantarflexion => Self::AnkleDorsiflexion,
            Self::AnkleDorsiflexion => Self::AnklePlantarflexion,
            Self::FootInversion => Self::FootEversion,
            Self::FootEversion => Self::FootInversion,
            Self::ToeFlexion => Self::ToeExtension,
            Self::ToeExtension => Self::ToeFlexion,
            Self::KneeFlexion => Self::KneeExtension,
            Self::KneeExtension => Self::KneeFlexion,
            Self::HipFlexion => Self::HipExtension,
            Self::HipExtension => Self::HipFlexion,
            Self::HipAbduction => Self::HipAdduction,
            Self::HipAdduction => Self::HipAbduction,
            Self::HipExternalRotation => Self::HipInternalRotation,
            Self::HipInternalRotation => Self::HipExternalRotation,
            Self::HipHorizontalAbduction => Self::HipHorizontalAdduction,
            Self::HipHorizontalAdduction => Self::HipHorizontalAbduction,
            Self::TrunkFlexion => Self::TrunkExtension,
            Self::TrunkExtension => Self::TrunkFlexion,
            Self::TrunkLateralFlexionSame => Self::TrunkLateralFlexionOpposite,
            Self::TrunkLateralFlexionOpposite => Self::TrunkLateralFlexionSame,
            Self::TrunkRotationSame => Self::TrunkRotationOpposite,
            Self::TrunkRotationOpposite => Self::TrunkRotationSame,
            Self::ShoulderFlexion => Self::ShoulderExtension,
            Self::ShoulderExtension => Self::ShoulderFlexion,
            Self::ShoulderAbduction => Self::ShoulderAdduction,
            Self::ShoulderAdduction => Self::ShoulderAbduction,
            Self::ShoulderExternalRotation => Self::ShoulderInternalRotation,
            Self::ShoulderInternalRotation => Self::ShoulderExternalRotation,
            Self::ShoulderHorizontalAbduction => Self::ShoulderHorizontalAdduction,
            Self::ShoulderHorizontalAdduction => Self::ShoulderHorizontalAbduction,
            Self::ScapulaElevation => Self::ScapulaDepression,
            Self::ScapulaDepression => Self::ScapulaElevation,
            Self::ScapulaUpwardRotation => Self::ScapulaDownwardRotation,
            Self::ScapulaDownwardRotation => Self::ScapulaUpwardRotation,
            Self::ScapulaProtraction => Self::ScapulaRetraction,
            Self::ScapulaRetraction => Self::ScapulaProtraction,
            Self::ElbowFlexion => Self::ElbowExtension,
            Self::ElbowExtension => Self::ElbowFlexion,
            Self::ForearmPronation => Self::ForearmSupination,
            Self::ForearmSupination => Self::ForearmPronation,
            Self::WristFlexion => Self::WristExtension,
            Self::WristExtension => Self::WristFlexion,
            Self::WristRadialDeviation => Self::WristUlnarDeviation,
            Self::WristUlnarDeviation => Self::WristRadialDeviation,
            Self::NeckFlexion => Self::NeckExtension,
            Self::NeckExtension => Self::NeckFlexion,
            Self::NeckLateralFlexionSame => Self::NeckLateralFlexionOpposite,
            Self::NeckLateralFlexionOpposite => Self::NeckLateralFlexionSame,
            Self::NeckRotationSame => Self::NeckRotationOpposite,
            Self::NeckRotationOpposite => Self::NeckRotationSame,
        }
    }

    /// Whether the joint lies in the midline, so that it belongs to neither side.
    pub const fn is_midline(self) -> bool {
        matches!(self.joint(), Joint::Trunk | Joint::Neck)
    }

    /// The side that a bend or turn of the midline goes to when `worked` is the side that is worked on;
    /// nothing for motions without such a direction.
    pub const fn towards(self, worked: Side) -> Option<Side> {
        match self {
            Self::TrunkLateralFlexionSame
            | Self::TrunkRotationSame
            | Self::NeckLateralFlexionSame
            | Self::NeckRotationSame => Some(worked),
            Self::TrunkLateralFlexionOpposite
            | Self::TrunkRotationOpposite
            | Self::NeckLateralFlexionOpposite
            | Self::NeckRotationOpposite => Some(worked.other()),
            _ => None,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn opposites_come_in_pairs_about_one_joint() {
        for &motion in Motion::ALL {
            assert_ne!(motion.opposite(), motion);
            assert_eq!(motion.opposite().opposite(), motion);
            assert_eq!(motion.opposite().joint(), motion.joint());
        }
    }

    #[test]
    fn the_joint_is_the_beginning_of_the_name() {
        for &motion in Motion::ALL {
            let joint = if motion.joint() == Joint::Toes { "toe" } else { motion.joint().id() };
            assert!(motion.id().starts_with(joint), "{motion}");
        }
    }
}
