//! What a client must not do: conditions, the limits they bring, and which forms those rule out.

pub mod before_touch;
pub mod card;
pub mod condition;
pub mod conditions;
pub mod flaw;
pub mod limit;
mod matching;
pub mod off_limits;
pub mod pain_step;
pub mod permitted;
mod raw;
pub mod recorded;
pub mod restrictions;
pub mod said_first;
#[cfg(test)]
mod sample;
pub mod screening;
pub mod signs;
pub mod typed;
mod words;

pub use before_touch::{BeforeTouch, before_touch};
pub use card::CardSentence;
pub use condition::{AgeBand, Chapter, Clearance, Condition, ConditionId, RecordedCondition, Site, Verified};
pub use conditions::{Conditions, NotOneCondition};
pub use flaw::ConditionFlaw;
pub use limit::{Basis, Grounds, Limit, MotionOver, Pattern, Precaution, There, When};
pub use off_limits::off_limits;
pub use pain_step::{NextTry, PainStep};
pub use permitted::{Allowance, Permitted, Refusal, RefusalCause};
pub use recorded::{ConditionError, parse_meant, parse_recorded, recorded_words};
pub use restrictions::{InForce, Restrictions};
pub use said_first::SaidFirst;
