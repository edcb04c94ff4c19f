//! What is known about a client that limits the work, and what it limits.

use chrono::NaiveDate;

use crate::body::{Degrees, Level, Motion, Muscle, Seconds, Side};
use crate::catalogue::{Helper, Method, Position};
use crate::names::{named, word_id};

word_id! {
    /// Names a condition.
    ConditionId, "condition"
}

named! {
    /// Whether somebody has to agree before hands-on work.
    pub enum Clearance("clearance") {
        /// Nobody.
        No = "no",
        /// Ask a question more; go ahead gently if the answer reassures.
        Ask = "ask",
        /// A clinician, before hands-on work on that region.
        Yes = "yes",
        /// Stop; no session; medical help now.
        Urgent = "urgent",
    }
}

named! {
    /// How well the source of a statement is known.
    pub enum Verified("verified") {
        /// The fact was in a text that was read.
        Seen = "seen",
        /// The first point was read, the rest recalled.
        Partly = "seen/memory",
        /// Recalled; to be checked.
        Memory = "memory",
        /// A rule of the trade without a source.
        Practice = "practice",
    }
}

/// One motion of a forbidden combination: it counts from beyond `over` degrees.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub struct MotionOver {
    /// The motion.
    pub motion: Motion,
    /// The largest angle that is still free.
    pub over: Degrees,
}

/// One limit. Side-bound conditions limit the joints and muscles of their side alone.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
pub enum Limit {
    /// These motions must not go beyond their angles all at the same time; a single one is a plain cap.
    Motions(Vec<MotionOver>),
    /// The client is not put in this position.
    Position(Position),
    /// The method is not used; with muscles, not on those.
    Method(Method, Vec<Muscle>),
    /// Forms with this helper are not used; with muscles, not on those.
    Helper(Helper, Vec<Muscle>),
    /// The muscle is not stretched.
    Muscle(Muscle),
    /// The aim and the most that may be reported as wanted.
    Level(Level),
    /// The longest single hold.
    Hold(Seconds),
    /// No massage.
    Massage,
    /// No session today.
    Stop,
}

/// Something about a client that brings cautions.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Condition {
    /// Its name in files and arguments.
    pub id: ConditionId,
    /// What it is called in front of a trainer.
    pub name: String,
    /// Whether it belongs to one side of the body.
    pub side_bound: bool,
    /// What it limits.
    pub limits: Vec<Limit>,
    /// What is still fine.
    pub fine: String,
    /// What to say or ask.
    pub say: String,
    /// Whether somebody has to agree first.
    pub clearance: Clearance,
    /// Signs that need medical attention before anything else; empty if none.
    pub red_flag: String,
    /// Where it is from.
    pub source: String,
    /// How well that is known.
    pub verified: Verified,
}

/// A condition as it stands in a client's file.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Recorded {
    /// Which condition.
    pub id: ConditionId,
    /// The side, where it is bound to one; a side-bound condition without a side counts for both.
    pub side: Option<Side>,
    /// The muscle concerned, for conditions of any muscle such as a strain.
    pub muscle: Option<Muscle>,
    /// Since when: day of the surgery, of the injury, of the first sign.
    pub since: Option<NaiveDate>,
    /// Day on which a pregnancy is due.
    pub due: Option<NaiveDate>,
    /// Who cleared it for hands-on work, such as "surgeon, 2026-05-02"; lifts what needed clearance only.
    pub cleared_by: Option<String>,
    /// The client's own words.
    pub note: String,
}

impl Recorded {
    /// The bare condition, without side or dates.
    pub fn new(id: ConditionId) -> Self {
        Self { id, side: None, muscle: None, since: None, due: None, cleared_by: None, note: String::new() }
    }
}
