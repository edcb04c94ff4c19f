//! One closing block that took place, and what came out of each step.

use std::collections::BTreeMap;

use chrono::{DateTime, FixedOffset};

use crate::body::{Degrees, Effort, Level, Minutes, Muscle, Seconds, Side};
use crate::catalogue::{FormId, Method, StretchId};
use crate::names::named;

named! {
    /// What the client agreed to today.
    pub enum Consent("consent") {
        /// Hands-on work.
        HandsOn = "hands-on",
        /// The client stretches alone, the trainer coaches.
        SelfStretch = "self-stretch",
        /// No closing block.
        Declined = "declined",
    }
}

named! {
    /// What a client takes out of the consent, when it is asked for or later.
    pub enum Narrowed("narrowing of consent") {
        /// No massage finish.
        NoMassage = "no-massage",
        /// A mat or towel stays between hand and client.
        MatBetween = "mat-between",
        /// No hands any more: the client stretches alone.
        SelfStretch = "self-stretch",
        /// Nothing more: the block ends.
        Stopped = "stopped",
    }
}

named! {
    /// Why a step ended before its time.
    pub enum Ended("reason") {
        /// It did not: the step was done.
        Done = "done",
        /// Left out by the trainer or the client.
        Skipped = "skipped",
        /// Stopped for pain.
        Pain = "pain",
        /// The client withdrew consent.
        Withdrawn = "withdrawn",
        /// The program was left in the middle of it.
        CutOff = "cut-off",
    }
}

/// How hard each muscle was trained today.
pub type Trained = BTreeMap<Muscle, Effort>;

/// What came out of one step on one side.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Report {
    /// The stretch.
    pub stretch: StretchId,
    /// The form of it.
    pub form: FormId,
    /// The side; none if both were done at once.
    pub side: Option<Side>,
    /// How it was worked.
    pub method: Method,
    /// Cycles of push and stretch; 0 for a static hold.
    pub cycles: u8,
    /// Seconds under stretch, without pushes and pauses.
    pub held: Seconds,
    /// What the client answered, if asked.
    pub level: Option<Level>,
    /// The angle that was measured, if one was.
    pub angle: Option<Degrees>,
    /// How it ended.
    pub ended: Ended,
    /// A remark.
    pub note: String,
}

/// One closing block.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Session {
    /// When it began.
    pub at: DateTime<FixedOffset>,
    /// The minutes it was planned for.
    pub minutes: Minutes,
    /// What was trained before it.
    pub trained: Trained,
    /// What the client agreed to.
    pub consent: Consent,
    /// What the client took out of that consent, and when.
    pub narrowed: BTreeMap<Narrowed, DateTime<FixedOffset>>,
    /// Reports by their number in the file, in the order they were given.
    pub reports: BTreeMap<u32, Report>,
    /// When it was closed; none if it was cut off.
    pub closed: Option<DateTime<FixedOffset>>,
    /// A remark.
    pub note: String,
}
