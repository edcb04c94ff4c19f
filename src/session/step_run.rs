//! One step as it is being worked, and the report that comes of it.

use std::time::Duration;

use crate::body::{Degrees, Level, Seconds};
use crate::client::{Angle, Ended, Planned, Report};
use crate::planner::{Dose, Plan, Step};

use super::countdown::{Moment, whole};
use super::intervals;

/// A planned step and what has come of it so far.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct StepRun {
    pub(super) step: Step,
    /// The way into its position or to its side, before the set-up.
    pub(super) gap: Seconds,
    /// What was left of the way to steps before it that were left out.
    pub(super) owed: Seconds,
    /// Time under stretch.
    pub(super) held: Duration,
    /// Cycles that were gone through.
    pub(super) cycles: u8,
    pub(super) level: Option<Level>,
    pub(super) angle: Option<Degrees>,
    pub(super) note: String,
    /// How it ended; none while it is to come or going on.
    pub(super) ended: Option<Ended>,
    /// Ended once, and to be done again.
    pub(super) reopened: bool,
    /// Its report as it was last told, and the number of it.
    pub(super) reported: Option<(u32, Report)>,
    /// Stays when the rest is planned again: the other side of something already done.
    pub(super) committed: bool,
    /// When the stretch itself began, the last time it did.
    pub(super) begun: Option<Moment>,
    /// When it ended.
    pub(super) over: Option<Moment>,
}

impl StepRun {
    /// The steps of a plan, with the gaps between them; the first gap is counted from `from`.
    pub(super) fn of_plan(plan: &Plan, from: Seconds) -> Vec<Self> {
        let mut before = from;
        let mut runs = Vec::with_capacity(plan.steps.len());
        // A step of no length is no work; the planner makes none.
        for step in plan.steps.iter().filter(|step| step.dose.held() > Seconds::ZERO) {
            let gap = step.start.saturating_sub(before);
            before = step.end;
            runs.push(Self {
                step: step.clone(),
                gap,
                owed: Seconds::ZERO,
                held: Duration::ZERO,
                cycles: 0,
                level: None,
                angle: None,
                note: String::new(),
                ended: None,
                reopened: false,
                reported: None,
                committed: false,
                begun: None,
                over: None,
            });
        }
        runs
    }

    /// The way to it.
    pub(super) fn way(&self) -> Seconds {
        self.gap + self.owed
    }

    /// The way, the set-up and the work together.
    pub(super) fn length(&self) -> Seconds {
        self.way() + intervals::length(&intervals::of_step(&self.step))
    }

    /// Whether it is neither over nor under way.
    pub(super) fn is_to_come(&self) -> bool {
        self.ended.is_none() || self.reopened
    }

    /// What is to go into the file once it has ended; none before.
    pub(super) fn report(&self) -> Option<Report> {
        Some(Report {
            stretch: self.step.stretch.clone(),
            form: self.step.form.clone(),
            side: self.step.side,
            method: self.step.dose.method(),
            cycles: match self.step.dose {
                Dose::Hold(_) => 0,
                Dose::ContractRelax(_) => self.cycles,
            },
            held: whole(self.held),
            planned: Some(Planned {
                held: self.step.dose.held(),
                cycles: match self.step.dose {
                    Dose::Hold(_) => 0,
                    Dose::ContractRelax(dose) => dose.cycles,
                },
                aim: Some(self.step.aim),
            }),
            level: self.level,
            angles: self.angle.map(Angle::new).into_iter().collect(),
            ended: self.ended?,
            sign: None,
            note: self.note.clone(),
        })
    }
}
