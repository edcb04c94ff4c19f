//! How the trainer is placed for a form: what their own back, knees, arms and hands do while it is held.
//!
//! Read from the form's own words on feet, spine and hands; a judgement, not a measurement. What the words come to is
//! in the room `strain`.

use crate::document::values::word;
use crate::document::{Table, Unknown, Walker};
use crate::names::named;

named! {
    /// What carries the trainer.
    pub enum TrainerStance("stance") {
        /// On both feet.
        Stand = "stand",
        /// One foot ahead.
        Step = "step",
        /// Sitting.
        Sit = "sit",
        /// Standing, knees bent.
        KneesBent = "knees_bent",
        /// On one leg.
        OneLeg = "one_leg",
        /// One knee and one foot.
        HalfKneel = "half_kneel",
        /// Both knees.
        Kneel = "kneel",
        /// Both knees, sitting back.
        OnHeels = "on_heels",
        /// Squatting.
        Squat = "squat",
    }
}

named! {
    /// How far the trunk is bent.
    pub enum TrunkBend("trunk") {
        /// To about 5 degrees.
        Upright = "upright",
        /// To 20 degrees.
        Leaning = "leaning",
        /// Back, to 20 degrees.
        LeaningBack = "leaning_back",
        /// 20 to 60 degrees.
        Bent = "bent",
        /// More than 60 degrees.
        Stooped = "stooped",
    }
}

named! {
    /// How the head is held against the trunk.
    pub enum HeadTilt("head") {
        /// In line.
        Level = "level",
        /// More than 20 degrees down.
        Down = "down",
        /// Tipped back.
        Up = "up",
    }
}

named! {
    /// How far the upper arm is raised.
    pub enum ArmReach("arms") {
        /// By the side.
        BySide = "by_side",
        /// 20 to 45 degrees, or behind.
        Low = "low",
        /// 45 to 90 degrees.
        Level = "level",
        /// More than 90 degrees.
        High = "high",
    }
}

named! {
    /// How far the elbow is bent.
    pub enum ElbowBend("elbows") {
        /// 60 to 100 degrees.
        Bent = "bent",
        /// Straighter, or folded further.
        Long = "long",
    }
}

named! {
    /// How far the wrist is bent.
    pub enum WristBend("wrists") {
        /// To 15 degrees.
        Straight = "straight",
        /// Further: the heel of the hand, a cupped heel.
        Bent = "bent",
    }
}

named! {
    /// How well the hands have hold of it.
    pub enum HandGrip("grip") {
        /// A limb that is hugged.
        Good = "good",
        /// A limb that is held.
        Fair = "fair",
        /// Bare skin, fingers only.
        Poor = "poor",
        /// No hold to speak of.
        Bad = "bad",
    }
}

named! {
    /// What makes a posture worse or better beside its bends.
    pub enum PostureExtra("extra") {
        /// The trunk is turned or bent to the side.
        Turned = "turned",
        /// The head is turned or bent to the side.
        HeadTurned = "head_turned",
        /// The elbows point out.
        ElbowsOut = "elbows_out",
        /// The shoulders are drawn up.
        ShouldersUp = "shoulders_up",
        /// The wrist is turned or bent to the side.
        WristTurned = "wrist_turned",
        /// The arms bear on what they hold, or the elbows on the thighs.
        ArmsRest = "arms_rest",
        /// The base is unsteady.
        Unsteady = "unsteady",
        /// Both hands carry.
        TwoHands = "two_hands",
        /// Two limbs are carried.
        Both = "both",
    }
}

named! {
    /// Which limb of the client is carried, and where.
    pub enum Carried("what is carried") {
        /// None.
        Nothing = "nothing",
        /// A straight leg, at the ankle.
        LegByAnkle = "leg_by_ankle",
        /// A straight leg, under the knee.
        LegUnderKnee = "leg_under_knee",
        /// A bent leg, at the knee, the shin along.
        BentLeg = "bent_leg",
        /// A shin, at the ankle, the thigh supported.
        Shin = "shin",
        /// A straight arm, at the wrist.
        ArmByWrist = "arm_by_wrist",
        /// A whole arm.
        Arm = "arm",
        /// A forearm, at the wrist.
        Forearm = "forearm",
        /// The head.
        Head = "head",
    }
}

named! {
    /// What bears the limb that is carried.
    pub enum CarriedOn("what it rests on") {
        /// The trainer's hands or forearm.
        Hands = "hands",
        /// The crook of the arm.
        Cradle = "cradle",
        /// The trainer's shoulder.
        Shoulder = "shoulder",
        /// The trainer's thigh.
        Thigh = "thigh",
        /// The mat, under the trainer's forearms.
        Mat = "mat",
        /// A bolster.
        Bolster = "bolster",
        /// A table.
        Table = "table",
    }
}

named! {
    /// How hard the hands press or pull.
    pub enum HandForce("force") {
        /// Not at all.
        None = "none",
        /// About 2 kg.
        Touch = "touch",
        /// About 4 kg.
        Light = "light",
        /// About 7.5 kg.
        Firm = "firm",
        /// About 12 kg.
        Hard = "hard",
    }
}

/// How the trainer is placed for a form.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct TrainerPosture {
    /// What carries the trainer, best first; never empty.
    pub stances: Vec<TrainerStance>,
    /// The trunk.
    pub trunk: TrunkBend,
    /// The head.
    pub head: HeadTilt,
    /// The upper arm that is raised further.
    pub arms: ArmReach,
    /// The elbow of that arm.
    pub elbows: ElbowBend,
    /// The wrist that is bent further.
    pub wrists: WristBend,
    /// The hold of the hands.
    pub grip: HandGrip,
    /// What else there is.
    pub extra: Vec<PostureExtra>,
    /// Which limb is carried.
    pub carries: Carried,
    /// What bears it.
    pub rest: CarriedOn,
    /// How hard the hands press or pull.
    pub force: HandForce,
}

impl TrainerPosture {
    /// What is reckoned with where a form does not say: bad enough that leaving a word out never pays.
    pub fn untold(on_floor: bool) -> Self {
        Self {
            stances: vec![if on_floor { TrainerStance::Kneel } else { TrainerStance::Step }],
            trunk: TrunkBend::Bent,
            head: HeadTilt::Down,
            arms: ArmReach::Low,
            elbows: ElbowBend::Long,
            wrists: WristBend::Straight,
            grip: HandGrip::Fair,
            extra: Vec::new(),
            carries: Carried::Nothing,
            rest: CarriedOn::Hands,
            force: HandForce::Firm,
        }
    }

    /// Whether it has something beside its bends.
    pub fn has(&self, extra: PostureExtra) -> bool {
        self.extra.contains(&extra)
    }
}

/// Reads `trainer`, which may be left out; words that it leaves out are those of [`TrainerPosture::untold`].
pub(super) fn read(
    walk: &mut Walker<'_>,
    form: &mut Table<'_, '_>,
    on_floor: bool,
) -> Option<TrainerPosture> {
    let mut table = walk.table(form, "trainer", "trainer's posture")?;
    let untold = TrainerPosture::untold(on_floor);
    let mut stances: Vec<TrainerStance> = walk.list(&mut table, "stance = [\"half_kneel\"]", word);
    if stances.is_empty() {
        stances = untold.stances;
    }
    let posture = TrainerPosture {
        stances,
        trunk: walk.may(&mut table, "trunk = \"leaning\"", word).unwrap_or(untold.trunk),
        head: walk.may(&mut table, "head = \"level\"", word).unwrap_or(untold.head),
        arms: walk.may(&mut table, "arms = \"by_side\"", word).unwrap_or(untold.arms),
        elbows: walk.may(&mut table, "elbows = \"bent\"", word).unwrap_or(untold.elbows),
        wrists: walk.may(&mut table, "wrists = \"bent\"", word).unwrap_or(untold.wrists),
        grip: walk.may(&mut table, "grip = \"good\"", word).unwrap_or(untold.grip),
        extra: walk.list(&mut table, "extra = [\"arms_rest\"]", word),
        carries: walk.may(&mut table, "carries = \"leg_by_ankle\"", word).unwrap_or(untold.carries),
        rest: walk.may(&mut table, "rest = \"thigh\"", word).unwrap_or(untold.rest),
        force: walk.may(&mut table, "force = \"light\"", word).unwrap_or(untold.force),
    };
    walk.finish(&table, Unknown::Flaw);
    Some(posture)
}
