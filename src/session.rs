//! The live closing block as a pure state machine that is told the time.
//!
//! [`Live`] goes through a plan hands-free: change of position, set-up, hold or cycles, next. It is told what the
//! trainer presses and what time it is, and answers with [`Outcome`]s: a bell, a report for the file, a wish for a
//! new plan. It never reads a clock, so a script of moments replays a whole session.

pub mod countdown;
pub mod course;
pub mod cut_off;
pub mod live;
pub mod message;
mod rest;
mod script;
mod steer;
pub mod view;
mod work;

pub use countdown::{Countdown, Moment};
pub use course::Leg;
pub use cut_off::CutOff;
pub use live::Live;
pub use message::{Bell, Input, Outcome, Pause};
pub use view::{Hurt, Phase, Stage};
