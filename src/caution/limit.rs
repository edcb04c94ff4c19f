//! What a condition limits: the work that a limit is about, what is done about it, when, and how that is known.

use std::str::FromStr;

use crate::body::{Degrees, Joint, Level, Motion, Muscle, Seconds};
use crate::catalogue::{BodyLoad, Helper, Method, Position};
use crate::names::{UnknownName, named};

/// One motion of a forbidden combination: it counts from beyond `over` degrees.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub struct MotionOver {
    /// The motion.
    pub motion: Motion,
    /// The largest angle that is still free; below 0 for a joint that is near straight.
    pub over: Degrees,
}

named! {
    /// What is done at the place that a record names.
    pub enum There("kind of work there") {
        /// The joint is moved, the muscle lengthened.
        Reached = "reached",
        /// Weight or a pull goes through it, or a firm hand is on it.
        Loaded = "loaded",
        /// The client stands on that leg, with the other or alone.
        StoodOn = "stood-on",
        /// It is pulled apart along the limb.
        Pulled = "pulled",
        /// A hand or strap presses or grips it.
        Held = "held",
        /// A hand or strap is on it at all.
        Touched = "touched",
        /// The client lies on it.
        LainOn = "lain-on",
    }
}

/// The work that a limit is about: everything that is given must hold at the same time.
///
/// Joints and muscles are those of the condition's side; without a side, those of either.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Pattern {
    /// All of these motions beyond their angles at once, on one side.
    pub motions: Vec<MotionOver>,
    /// One of these positions.
    pub positions: Vec<Position>,
    /// Down on the floor: neither standing, nor on a chair, nor on a table.
    pub floor: bool,
    /// Any form of a stretch but the gentlest that the same helper does.
    pub further: bool,
    /// One of these loads is on that side.
    pub loads: Vec<BodyLoad>,
    /// This method.
    pub method: Option<Method>,
    /// This helper.
    pub helper: Option<Helper>,
    /// One of these muscles is a target; or one of `joints` is reached.
    pub muscles: Vec<Muscle>,
    /// One of these joints is moved, or a target acts on it.
    pub joints: Vec<Joint>,
    /// What is done at the muscle or joint that the record names; if it names none, anywhere counts.
    pub there: Option<There>,
    /// The joint that the record names, and all below it in the limb.
    pub beyond: bool,
}

impl Pattern {
    /// Whether it describes all work there is.
    pub fn is_everything(&self) -> bool {
        *self == Self::default()
    }
}

/// What a limit does.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Precaution {
    /// Forms that fit the pattern are not done.
    Contraindicated,
    /// The aim is no higher.
    Level(Level),
    /// A single hold is no longer.
    Hold(Seconds),
    /// Pushes in contract-relax are no longer and no more.
    Push {
        /// The longest push.
        longest: Seconds,
        /// The most cycles.
        cycles: u8,
    },
    /// No massage.
    Massage,
    /// A towel or mat stays between hand and client.
    Barrier,
    /// Where no hand presses or grips.
    Hands(String),
    /// No more stretches than these in one session.
    Stretches(u8),
    /// No session today.
    Stop,
}

/// When a limit is in force. What the record does not tell counts as in force.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct When {
    /// Ends when a clinician has cleared the client for hands-on work.
    pub until_cleared: bool,
    /// Begins when a clinician has cleared the client for hands-on work.
    pub once_cleared: bool,
    /// Begins with this completed week of pregnancy.
    pub from_week: Option<u8>,
    /// Ends with this completed week of pregnancy.
    pub before_week: Option<u8>,
    /// Ends so many days after the record's first day.
    pub first_days: Option<u32>,
    /// Begins so many days after the record's first day.
    pub after_days: Option<u32>,
    /// Begins with this age in years.
    pub from_age: Option<u32>,
    /// Ends with this age in years.
    pub before_age: Option<u32>,
}

/// One limit: what work, what about it, and when.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Limit {
    /// The work that it is about.
    pub on: Pattern,
    /// What is done about it.
    pub precaution: Precaution,
    /// When it is in force.
    pub when: When,
    /// How its figure, or its bare line, is known.
    pub grounds: Grounds,
}

named! {
    /// How the figure of a limit, or its bare line, is known.
    pub enum Basis("basis") {
        /// It stands so in a source that was read.
        Seen = "seen",
        /// It is recalled, from a source or in general; to be checked.
        Memory = "memory",
        /// A rule of the trade without a source.
        Practice = "practice",
        /// Our own figure or line, drawn from what the sources say in words.
        Judgement = "judgement",
    }
}

/// How a limit is known: one word, the keys of its sources, and whether sources disagree.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Grounds {
    /// How it is known.
    pub basis: Basis,
    /// Keys of the sources, as docs/evidence.md lists them.
    pub sources: Vec<String>,
    /// Whether sources that were read disagree.
    pub is_disputed: bool,
}

impl FromStr for Grounds {
    type Err = UnknownName;

    /// Reads `seen THRPT DUKEHIP, disputed`.
    fn from_str(text: &str) -> Result<Self, Self::Err> {
        let (told, is_disputed) = match text.strip_suffix(", disputed") {
            Some(told) => (told, true),
            None => (text, false),
        };
        let mut words = told.split_whitespace();
        let basis = words.next().unwrap_or_default().parse()?;
        Ok(Self { basis, sources: words.map(str::to_owned).collect(), is_disputed })
    }
}

impl std::fmt::Display for Grounds {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        write!(f, "{}", self.basis)?;
        if !self.sources.is_empty() {
            write!(f, " {}", self.sources.join(" "))?;
        }
        if self.is_disputed { f.write_str(", disputed") } else { Ok(()) }
    }
}
