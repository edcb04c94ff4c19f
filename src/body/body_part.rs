//! The parts of the body that carry weight or that a hand takes hold of, and the joints that feel it.

use crate::names::named;

use super::motion::Joint;
use super::muscle::Muscle;

named! {
    /// A part of the client's body, as hands and mats know it.
    pub enum BodyPart("part of the body") {
        /// The head.
        Head = "head",
        /// The neck and the throat.
        Neck = "neck",
        /// The front and the side of the ribs.
        Chest = "chest",
        /// The belly and the flank.
        Belly = "belly",
        /// The spine, the back of the ribs and the shoulder blade.
        Back = "back",
        /// The pelvis: hip bones, sacrum, buttock.
        Pelvis = "pelvis",
        /// The top and the front of the shoulder.
        Shoulder = "shoulder",
        /// The upper arm down to the elbow.
        UpperArm = "upper_arm",
        /// The forearm down to the wrist.
        Forearm = "forearm",
        /// The hand.
        Hand = "hand",
        /// The thigh.
        Thigh = "thigh",
        /// The knee and the kneecap.
        Knee = "knee",
        /// The shin and the calf down to the ankle.
        LowerLeg = "lower_leg",
        /// The foot.
        Foot = "foot",
    }
}

impl BodyPart {
    /// Whether there is one of it, in the middle; chest, back and pelvis have a left and a right half.
    pub const fn is_midline(self) -> bool {
        matches!(self, Self::Head | Self::Neck | Self::Belly)
    }

    /// The joints that weight passes through when it rests on this part.
    pub const fn carried_by(self) -> &'static [Joint] {
        match self {
            Self::Hand => &[Joint::Wrist, Joint::Forearm, Joint::Elbow, Joint::Shoulder, Joint::Scapula],
            Self::Forearm | Self::UpperArm => &[Joint::Elbow, Joint::Shoulder, Joint::Scapula],
            Self::Shoulder => &[Joint::Shoulder, Joint::Scapula],
            Self::Head | Self::Neck => &[Joint::Neck],
            Self::Foot => &[Joint::Toes, Joint::Foot, Joint::Ankle, Joint::Knee, Joint::Hip],
            Self::Knee | Self::LowerLeg => &[Joint::Knee, Joint::Hip],
            Self::Thigh | Self::Pelvis => &[Joint::Hip],
            Self::Chest | Self::Belly | Self::Back => &[Joint::Trunk],
        }
    }

    /// Whether a hand on this part is on the joint or next to it.
    pub const fn is_near(self, joint: Joint) -> bool {
        match joint {
            Joint::Ankle => matches!(self, Self::LowerLeg | Self::Foot),
            Joint::Foot | Joint::Toes => matches!(self, Self::Foot),
            Joint::Knee => matches!(self, Self::Thigh | Self::Knee | Self::LowerLeg),
            Joint::Hip => matches!(self, Self::Pelvis | Self::Thigh),
            Joint::Trunk => matches!(self, Self::Chest | Self::Belly | Self::Back | Self::Pelvis),
            Joint::Shoulder => matches!(self, Self::Shoulder | Self::UpperArm),
            Joint::Scapula => matches!(self, Self::Shoulder | Self::Back),
            Joint::Elbow => matches!(self, Self::UpperArm | Self::Forearm),
            Joint::Forearm => matches!(self, Self::Forearm),
            Joint::Wrist => matches!(self, Self::Forearm | Self::Hand),
            Joint::Neck => matches!(self, Self::Head | Self::Neck),
        }
    }

    /// Whether a hand on this part is on the muscle.
    pub const fn is_on(self, muscle: Muscle) -> bool {
        use Muscle as M;
        match muscle {
            M::UpperTrapezius => matches!(self, Self::Neck | Self::Shoulder),
            M::LevatorScapulae => matches!(self, Self::Neck | Self::Shoulder | Self::Back),
            M::Scalenes | M::NeckExtensors => matches!(self, Self::Neck),
            M::PectoralisMajor | M::PectoralisMinor => matches!(self, Self::Chest | Self::Shoulder),
            M::AnteriorDeltoid | M::PosteriorDeltoid => matches!(self, Self::Shoulder | Self::UpperArm),
            M::RotatorCuff => matches!(self, Self::Shoulder | Self::Back),
            M::LatissimusDorsi | M::Rhomboids | M::ErectorSpinae => matches!(self, Self::Back),
            M::QuadratusLumborum => matches!(self, Self::Back | Self::Belly),
            M::Abdominals | M::Obliques => matches!(self, Self::Belly),
            M::Biceps | M::Triceps => matches!(self, Self::UpperArm),
            M::WristFlexors | M::WristExtensors => matches!(self, Self::Forearm),
            M::Iliopsoas | M::GluteusMaximus | M::GluteusMedius | M::Piriformis | M::TensorFasciaeLatae => {
                matches!(self, Self::Pelvis)
            }
            M::Adductors | M::RectusFemoris | M::Vasti | M::Hamstrings => matches!(self, Self::Thigh),
            M::Gastrocnemius | M::Soleus | M::TibialisAnterior => matches!(self, Self::LowerLeg),
        }
    }

    /// The part in plain words.
    pub const fn plain_name(self) -> &'static str {
        match self {
            Self::UpperArm => "upper arm",
            Self::LowerLeg => "lower leg",
            _ => self.id(),
        }
    }
}
