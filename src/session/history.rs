//! What can be taken back: the steps that were left and are not noted yet, and the last things that were noted.

use crate::body::{Degrees, Level, Seconds};
use crate::client::Ended;

use super::countdown::Moment;
use super::current::Current;
use super::standstill::Reached;
use super::step_run::StepRun;

/// A step that was left for the next one, and everything as it stood.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Passed {
    /// The number that its run keeps.
    pub(super) id: u32,
    pub(super) ended: Option<Ended>,
    pub(super) reopened: bool,
    pub(super) current: Current,
    pub(super) reached: Reached,
    /// What was left of the way, and to which run it was added.
    pub(super) owed: Option<(u32, Seconds)>,
}

/// Something that was done, with what it takes to undo it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) enum Done {
    Rated {
        id: u32,
        before: Option<Level>,
    },
    Measured {
        id: u32,
        before: Option<Degrees>,
    },
    /// The step that was left last; what is needed is kept with it.
    Passed,
    Hurt(Box<Hurting>),
    /// The hold that runs or comes next in the step, made longer or shorter.
    Length {
        id: u32,
        by: Seconds,
        longer: bool,
    },
    Minutes {
        due: Moment,
    },
}

/// How it was before pain.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Hurting {
    pub(super) id: u32,
    pub(super) ended: Option<Ended>,
    /// The runs that were left out for it.
    pub(super) left_out: Vec<u32>,
    /// Everything, as long as nothing else has begun.
    pub(super) all: Option<Before>,
}

/// A block as it was.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Before {
    pub(super) steps: Vec<StepRun>,
    pub(super) current: Current,
    pub(super) reached: Reached,
    pub(super) passed: Vec<Passed>,
}

/// What can be taken back, the last of each last.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub(super) struct History {
    pub(super) passed: Vec<Passed>,
    pub(super) done: Vec<Done>,
}

impl History {
    /// Another stretch has begun: what was left before it is noted now.
    pub(super) fn settle(&mut self) {
        self.forget_passed();
        self.forget_how_it_was();
    }

    /// The steps that were left cannot be gone back to as they stood.
    pub(super) fn forget_passed(&mut self) {
        self.passed.clear();
        self.done.retain(|done| *done != Done::Passed);
    }

    /// The steps are no longer those of before.
    pub(super) fn forget_how_it_was(&mut self) {
        for done in &mut self.done {
            if let Done::Hurt(hurting) = done {
                hurting.all = None;
            }
        }
    }

    /// The stretch of a step has ended: what was noted of those before it stays.
    pub(super) fn ended(&mut self, at: u32) {
        self.done.retain(|done| match done {
            Done::Rated { id, .. } | Done::Measured { id, .. } => *id == at,
            Done::Hurt(hurting) => hurting.id == at,
            Done::Length { .. } => false,
            Done::Passed | Done::Minutes { .. } => true,
        });
    }
}
