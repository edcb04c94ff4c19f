//! What a client must not do: conditions, the limits they bring, and which forms those rule out.

pub mod condition;
pub mod conditions;
mod matching;
mod raw;
pub mod recorded;
pub mod restrictions;
#[cfg(test)]
mod sample;
pub mod screening;
pub mod signs;
mod words;

pub use condition::{
    AgeBand, Chapter, Clearance, Condition, ConditionId, Limit, MotionOver, Pattern, Precaution,
    RecordedCondition, Site, Verified, When,
};
pub use conditions::{ConditionFlaw, Conditions};
pub use recorded::{ConditionError, parse_recorded};
pub use restrictions::{Allowance, InForce, Refusal, Restrictions};
