//! The live closing block as a pure state machine that is told the time.
//!
//! [`Live`] goes through a plan hands-free: change of position, set-up, hold or cycles, next. It is told what the
//! trainer presses and what time it is, and answers with [`Outcome`]s: a bell, a report for the file, a wish for a
//! new plan. It never reads a clock, so a script of moments replays a whole session.

mod controls;
pub mod countdown;
mod current;
mod deadline;
pub mod interrupted;
mod intervals;
pub mod live;
pub mod message;
mod replan;
mod runs;
pub mod snapshot;
pub mod stage;
mod step_run;
pub mod timeline;

pub use countdown::{Countdown, Moment};
pub use interrupted::Interrupted;
pub use live::Live;
pub use message::{Bell, Control, Outcome, Pause};
pub use snapshot::{Snapshot, StoppedForPain};
pub use stage::Stage;
pub use timeline::Segment;
