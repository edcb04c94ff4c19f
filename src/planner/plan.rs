//! The planner's answer, in the order of work.

use crate::body::{Level, Minutes, Muscle, Seconds, Side};
use crate::catalogue::{Dose, FormId, MotionAngle, Position, StretchId};

use super::why::{Cause, Why};
use crate::strain::StepLoad;

/// One piece of work on one side (or on both at once).
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Step {
    /// Seconds from the start of the block at which its set-up begins.
    pub start: Seconds,
    /// Seconds from the start of the block at which it ends.
    pub end: Seconds,
    /// The stretch.
    pub stretch: StretchId,
    /// What a trainer calls the stretch.
    pub name: String,
    /// The form.
    pub form: FormId,
    /// The side; none if both are done at once.
    pub side: Option<Side>,
    /// What it asks of the trainer's own body; none where the client does it alone.
    pub load: Option<StepLoad>,
    /// How the client is placed.
    pub position: Position,
    /// Getting into it, part of the time from start to end.
    pub setup: Seconds,
    /// How it is worked and for how long.
    pub dose: Dose,
    /// The level to aim at.
    pub aim: Level,
    /// What the joints of the worked side do (of both sides if done at once).
    pub motions: Vec<MotionAngle>,
    /// What the joints of the other side do meanwhile.
    pub other_side: Vec<MotionAngle>,
    /// The muscles it serves today, main ones first.
    pub muscles: Vec<Muscle>,
    /// Why it is in the plan, why so and why here.
    pub why: Vec<Why>,
}

impl Step {
    /// Whether nothing but minutes that are left asks for it.
    pub fn is_for_ease(&self) -> bool {
        let serves = |why: &Why| matches!(why, Why::Serves { causes, .. } if causes.contains(&Cause::Ease));
        self.why.iter().any(serves)
    }
}

/// Why a stretch is not in the plan.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum WhyLeftOut {
    /// A caution rules out every form that is left.
    Caution,
    /// Something is not at hand.
    Equipment,
    /// The client did not agree to hands-on work.
    Consent,
    /// It was stopped for pain and has not been done without since.
    Pain,
    /// It goes against what is sore on the trainer, or is too heavy.
    You,
    /// The trainer set it aside.
    Skipped,
    /// Nothing it reaches wants stretching today.
    NotNeeded,
    /// There is time for it, and it is not worth it: what it serves has had its share, or it asks more than it adds.
    Enough,
    /// The time is better spent; forcing it in would cost this much of the value (grains), if known.
    Time(Option<i64>),
}

impl WhyLeftOut {
    /// The word that stands for it in JSON.
    pub const fn id(&self) -> &'static str {
        match self {
            Self::Caution => "caution",
            Self::Equipment => "equipment",
            Self::Consent => "consent",
            Self::Pain => "pain",
            Self::You => "you",
            Self::Skipped => "skipped",
            Self::NotNeeded => "not-needed",
            Self::Enough => "enough",
            Self::Time(_) => "time",
        }
    }
}

/// A stretch that is not in the plan.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Omission {
    /// The stretch.
    pub stretch: StretchId,
    /// What a trainer calls it.
    pub name: String,
    /// Why.
    pub reason: WhyLeftOut,
    /// The reason in words.
    pub detail: String,
}

/// A timed closing block.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Plan {
    /// The minutes it is for.
    pub minutes: Minutes,
    /// Seconds from start to 'client stands up'; in a re-plan less than the minutes.
    pub budget: Seconds,
    /// Reserved for asking consent and settling.
    pub opening: Seconds,
    /// The work, in order.
    pub steps: Vec<Step>,
    /// Seconds of massage at the end, if any.
    pub massage: Seconds,
    /// When the last thing ends.
    pub total: Seconds,
    /// What the plan is worth, in grains of 0.04 points.
    pub value: i64,
    /// What no plan can exceed, in grains; equal to `value` once the plan is proven best.
    pub bound: i64,
    /// What is not in it, and why.
    pub left_out: Vec<Omission>,
}

/// What one plan has that another has not.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Added {
    /// Stretches that come in, by name.
    pub new: Vec<String>,
    /// Stretches that go.
    pub gone: Vec<String>,
    /// How much longer is held in all; nothing where it is shorter.
    pub longer: Seconds,
}

impl Plan {
    pub(super) const HAD_ITS_SHARE: &str = "there is time, but what it serves has had its share";
    pub(super) const ADDS_TOO_LITTLE: &str =
        "there is time, but as it may be done today it asks more than it adds";

    /// Why minutes are free.
    pub fn why_free(&self) -> &'static str {
        if self.left_out.iter().any(|omission| omission.detail == Self::ADDS_TOO_LITTLE) {
            "what else may be done today asks more than it adds"
        } else {
            "all that may be done has had its share"
        }
    }

    /// Seconds under stretch, each side counted.
    pub fn held(&self) -> Seconds {
        self.steps.iter().map(|step| step.dose.held()).sum()
    }

    /// The names of its stretches, each once, in the order of work.
    pub fn names(&self) -> Vec<String> {
        let mut names: Vec<String> = Vec::new();
        for step in &self.steps {
            if !names.contains(&step.name) {
                names.push(step.name.clone());
            }
        }
        names
    }

    /// What another plan has that this one has not.
    pub fn added_by(&self, other: &Self) -> Added {
        let missing = |from: &Self, of: &Self| {
            let known = from.names();
            of.names().into_iter().filter(|name| !known.contains(name)).collect()
        };
        Added {
            new: missing(self, other),
            gone: missing(other, self),
            longer: other.held().saturating_sub(self.held()),
        }
    }

    /// When the client may get up, where all that comes after it is for the minutes that are left.
    pub fn may_get_up(&self) -> Option<Seconds> {
        let needed = self.steps.iter().rposition(|step| !step.is_for_ease())?;
        let (before, after) = self.steps.split_at(needed + 1);
        // Nobody gets up between the two sides of a stretch.
        if after.iter().any(|later| before.iter().any(|step| step.stretch == later.stretch)) {
            return None;
        }
        (needed + 1 < self.steps.len()).then_some(self.steps[needed].end)
    }

    /// Seconds of the minutes that nothing is planned for.
    pub fn free(&self) -> Seconds {
        self.budget.saturating_sub(self.total)
    }

    /// Whether no plan of this problem is worth more.
    pub const fn is_proven(&self) -> bool {
        self.bound <= self.value
    }

    /// How much more another plan can be worth at most, in hundredths of a percent of the bound, rounded up.
    pub const fn gap(&self) -> i64 {
        if self.is_proven() || self.bound <= 0 {
            0
        } else {
            ((self.bound - self.value) * 10_000 - 1) / self.bound + 1
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_gap_is_rounded_up_so_that_no_plan_is_better_by_more() {
        let mut plan = Plan {
            minutes: Minutes::MAX,
            budget: Seconds::new(600),
            opening: Seconds::new(15),
            steps: Vec::new(),
            massage: Seconds::new(0),
            total: Seconds::new(15),
            value: 9_950_000,
            bound: 10_000_000,
            left_out: Vec::new(),
        };
        assert_eq!(plan.gap(), 50);
        plan.bound += 1;
        assert_eq!(plan.gap(), 51);
        plan.bound = plan.value;
        assert!(plan.is_proven());
        assert_eq!(plan.gap(), 0);
    }
}
