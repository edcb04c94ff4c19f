//! What a client's sessions tell: left against right, change over time, norms, amounts, pain's way back, notes; what
//! of it is said, and what a plan makes of it. Everything follows from the file and the day alone.
//!
//! A session is a note of what was said and felt. So a thing is said only if chance would hardly ever say it, however
//! often somebody looks; every claim has a start, an end and a number; a measured angle outranks answers; and nothing
//! here promises or diagnoses anything. `docs/learning.md` has every constant with its ground.

pub mod amount;
pub mod angle_asked;
pub mod angles;
mod answers;
pub mod change;
pub mod claim_mark;
pub mod claims;
mod compare;
pub mod evidence;
pub mod habit;
pub mod leads;
pub mod learned;
pub mod length_test;
pub mod measuring;
pub mod neglect;
pub mod norms;
pub mod noted;
pub mod observations;
pub mod pain;
pub mod quarters;
mod record;
mod side_course;
mod side_pairs;
pub mod sides;
pub mod theil_sen;
mod turns;

pub use amount::{Guidance, Standing, Week, last_day, weekly};
pub use angle_asked::AngleAsked;
pub use claim_mark::ClaimMark;
pub use claims::Claim;
pub use learned::{Learned, UnitFinding};
pub use measuring::MeasurementError;
pub use norms::{HeldAgainst, held_against};
pub use observations::{Observation, Series, SinceLast, series, since_last};
