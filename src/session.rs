//! The live closing block as a pure state machine that is told the time.
//!
//! [`Live`] goes through a plan hands-free: change of position, set-up, hold or cycles, next. It is told what the
//! trainer presses and what time it is, and answers with [`Outcome`]s: a bell, a report for the file, a wish for a
//! new plan. It never reads a clock, so a script of moments replays a whole session.

mod controls;
pub mod countdown;
pub mod cue;
mod current;
mod deadline;
mod history;
pub mod interrupted;
mod intervals;
pub mod live;
pub mod message;
mod moves;
mod pain;
mod replan;
mod runs;
pub mod snapshot;
mod speaking;
pub mod stage;
mod standstill;
mod step_run;
mod taking_back;
pub mod timeline;

pub use countdown::{Countdown, Moment};
pub use cue::{Cue, Saying, Urgency};
pub use interrupted::Interrupted;
pub use live::Live;
pub use message::{Bell, Control, Outcome, Pause, Undone};
pub use snapshot::{Snapshot, StoppedForPain};
pub use stage::Stage;
pub use timeline::Segment;
