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
    /// Its own number, which it keeps whatever is planned anew.
    pub(super) id: u32,
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
    /// How it came to its end; none while it is to come or going on. What that makes of it is [`StepRun::outcome`].
    pub(super) ended: Option<Ended>,
    /// Ended once, and to be done again.
    pub(super) reopened: bool,
    /// Left out, and not yet noted as that.
    pub(super) left: bool,
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
    ///
    /// They have no number of their own yet.
    pub(super) fn of_plan(plan: &Plan, from: Seconds) -> Vec<Self> {
        let mut before = from;
        let mut runs = Vec::with_capacity(plan.steps.len());
        // A step of no length is no work; the planner makes none.
        for step in plan.steps.iter().filter(|step| step.dose.held() > Seconds::ZERO) {
            let gap = step.start.saturating_sub(before);
            before = step.end;
            runs.push(Self {
                id: 0,
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
                left: false,
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

    /// Whether it is neither over nor left out.
    pub(super) fn is_to_come(&self) -> bool {
        !self.left && (self.ended.is_none() || self.reopened)
    }

    /// Whether it was under stretch, and came to an end that a late answer can be for.
    pub(super) fn was_held(&self) -> bool {
        let is_over = self.left || matches!(self.ended, Some(Ended::Done | Ended::Skipped));
        is_over && !self.held.is_zero()
    }

    /// Whether it was left after a while and has an answer that is not written yet.
    pub(super) fn is_answered_and_left(&self) -> bool {
        self.left && self.level.is_some() && !self.held.is_zero()
    }

    /// How it ended: what was broken off after a while and has an answer was a shorter hold.
    pub(super) fn outcome(&self) -> Option<Ended> {
        let is_shorter_hold = self.level.is_some() && !self.held.is_zero();
        match self.ended {
            Some(Ended::Skipped) if is_shorter_hold => Some(Ended::Done),
            ended => ended,
        }
    }

    /// Whether it was held for a second or answered: a slip that is over at once tells nothing.
    pub(super) fn is_worth_a_report(&self) -> bool {
        whole(self.held) > Seconds::ZERO || self.level.is_some()
    }

    /// What is to go into the file if it ended so.
    pub(super) fn report(&self, ended: Ended) -> Report {
        Report {
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
            ended,
            sign: None,
            note: self.note.clone(),
        }
    }
}
