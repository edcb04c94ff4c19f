//! Why a step is in the plan, why so and why here: as data, for whoever puts it into words.

use chrono::NaiveDate;

use crate::body::{Effort, Level, Muscle, Side};
use crate::insight::neglect::Neglect;
use crate::insight::{AngleAsked, UnitFinding};

/// Why a muscle on a side wants stretching.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Cause {
    /// It was trained so hard.
    Trained(Effort),
    /// The client sits a lot.
    Desk,
    /// This side is tight: noted, told by the sessions, or low for age.
    Tight(Vec<UnitFinding>),
    /// It was trained and not stretched.
    Neglected(Neglect),
    /// The other side is tight: so that the two can be compared.
    ToCompare,
    /// Minutes are left.
    Ease,
}

/// What contract-relax is for.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum ForWhat {
    /// This side is tight.
    Tight,
    /// The client wants range.
    Range,
    /// The other side is worked so, and only the same compares.
    Alike,
}

/// One reason of a step.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Why {
    /// It serves a muscle that wants it on this side.
    Serves {
        /// The muscle that it is meant for.
        muscle: Muscle,
        /// The side.
        side: Side,
        /// Why the muscle wants it.
        causes: Vec<Cause>,
    },
    /// It serves another muscle, too.
    Also(Muscle),
    /// It was stopped for pain and is tried with care.
    AfterPain {
        /// The day of the last pain.
        on: NaiveDate,
        /// Painless sessions on this step so far.
        painless: u32,
    },
    /// The trainer insists on it.
    Pinned,
    /// This side is held longer than the other.
    LongerThanTheOther,
    /// It is worked by contract-relax.
    ContractRelax(ForWhat),
    /// Another form of the stretch is ruled out, by this caution.
    Instead(String),
    /// The client does it alone, as agreed.
    AloneAsAgreed,
    /// The trainer's usual one, by the trainer's own word.
    YourUsual,
    /// The level to aim at is lower than usual.
    Aim(Level),
    /// Both sides are to be measured: that would settle whether they differ.
    Measure(AngleAsked),
    /// The other side of what was done on this one before the block was cut off.
    Owed(Side),
}
