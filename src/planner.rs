//! From today's demand to a timed closing block: what wants stretching, what may be done about it, and the best
//! choice and order within the minutes, with its proof and its reasons.

mod draft;
pub mod instance;
pub mod plan;
pub mod progress;
pub mod problem;
mod relaxation;
pub mod search;
mod time_programme;
mod unit_programme;
pub mod verify;

pub use plan::{Dose, Omission, Plan, Reason, Step};
pub use progress::Progress;
