//! What a client must not do: conditions, the limits they bring, and which forms those rule out.

pub mod condition;

pub use condition::{Clearance, Condition, ConditionId, Limit, MotionOver, Recorded, Verified};
