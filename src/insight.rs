//! What a client's sessions tell: series over time, left against right, weekly seconds, what changed, advice for
//! next time, who is due. Everything follows from the file and the day alone.
//!
//! A session is a note of what was said and felt, not a measurement; so differences are mentioned only where they
//! are larger than measuring twice would give, and nothing here promises or diagnoses anything.

pub mod advice;
pub mod amount;
pub mod attendance;
pub mod learned;
pub mod measuring;
pub mod norms;
pub mod pain;
pub mod record;
pub mod sides;

pub use advice::{Advice, Change, advice, changes};
pub use amount::{Guidance, Standing, Week, last_day, weekly};
pub use attendance::{Attendance, attendance};
pub use learned::{Tightness, tightness};
pub use measuring::{MeasurementError, mdc95};
pub use norms::{HeldAgainst, Shortness, held_against, shortness};
pub use pain::hurt;
pub use record::{Observation, Series, series};
pub use sides::{SideDifference, sides};
