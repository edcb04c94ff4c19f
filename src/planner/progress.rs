//! How far a closing block has come, for planning what is left of it.

use crate::body::{Seconds, Side};
use crate::catalogue::{FormId, Method, Position, StretchId};
use crate::client::Report;

use super::plan::Step;

/// What was done so far, where the client is and how long there is left.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Progress {
    /// What was held, what is certain to follow included. What it counts for whom, only the planner says.
    pub done: Vec<WorkDone>,
    /// How the client is placed when the new plan begins; none before the first position.
    pub position: Option<Position>,
    /// Seconds from the beginning of the new plan to 'client stands up'.
    pub left: Seconds,
    /// Stretches that are over and do not come again today.
    pub finished: Vec<StretchId>,
}

/// A stretch that was held on a side.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct WorkDone {
    /// The stretch.
    pub stretch: StretchId,
    /// The form of it.
    pub form: FormId,
    /// The side; none if both were done at once.
    pub side: Option<Side>,
    /// How it was worked.
    pub method: Method,
    /// Seconds under stretch.
    pub held: Seconds,
}

impl WorkDone {
    /// A step of a plan, held so long.
    pub fn of_step(step: &Step, held: Seconds) -> Self {
        Self {
            stretch: step.stretch.clone(),
            form: step.form.clone(),
            side: step.side,
            method: step.dose.method(),
            held,
        }
    }
}

impl From<&Report> for WorkDone {
    fn from(report: &Report) -> Self {
        Self {
            stretch: report.stretch.clone(),
            form: report.form.clone(),
            side: report.side,
            method: report.method,
            held: report.held,
        }
    }
}
