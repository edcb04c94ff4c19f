//! Left against right of each muscle: what is claimed, and what it rests on.
//!
//! A client is steered to the same answer on both sides, so answers tell which side is tighter and never by how much;
//! angles tell by how much, and outrank answers. Seconds held are no evidence, since the plan itself makes them
//! unequal, and neither are pain, steps that were cut off, or unlike methods on the two sides.

use chrono::NaiveDate;

use crate::body::{Muscle, Side};

/// What a claim about sides rests on.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum SideBasis {
    /// Measured angles.
    Angles,
    /// What the client answered.
    Answers,
}

/// Where the two sides of a muscle stand.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum SideStanding {
    /// One side is tighter.
    Differs {
        /// The tighter side.
        tighter: Side,
        /// What it rests on; where both do, the angles.
        basis: SideBasis,
        /// The day of the session in which it first held.
        since: NaiveDate,
    },
    /// Measured, and about the same.
    AboutTheSame,
    /// Answered alike, which says nothing about range.
    AnsweredAlike,
    /// Too few comparisons to tell.
    TooFew,
}

/// The answers that a verdict looks at.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct AnswerCount {
    /// In how many sessions left and right were answered higher.
    pub higher: [u32; 2],
    /// In how many sessions both were answered.
    pub compared: u32,
    /// The first of them.
    pub since: NaiveDate,
}

/// The pairs of angles that a verdict looks at.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct AngleMeans {
    /// The means of left and right, in tenths of a degree.
    pub means: [i32; 2],
    /// How many pairs.
    pub pairs: u32,
    /// The day of the first.
    pub since: NaiveDate,
    /// What the mean difference of so many has to exceed, in tenths of a degree, rounded up.
    pub beyond: i32,
}

/// How many more would settle it.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct Needed {
    /// Sessions in which the leading side is answered higher; none if answers do not settle it.
    pub answers: Option<u32>,
    /// Whether in all of those it must be worked second, since it went first too often so far.
    pub worked_second: bool,
    /// Pairs of angles like those so far; none if nothing was measured or so few do not settle it.
    pub pairs: Option<u32>,
}

/// A difference that is over.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct OverDifference {
    /// The side that was tighter.
    pub tighter: Side,
    /// The day it began.
    pub since: NaiveDate,
    /// The day of the session in which it ended.
    pub until: NaiveDate,
    /// What it rested on.
    pub began_by: SideBasis,
    /// What the end rests on.
    pub basis: SideBasis,
    /// Left and right at the end: means of the last pairs in tenths of a degree, or how often each was answered higher.
    pub last: [i32; 2],
}

/// What the sessions tell of the sides of one muscle.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct SideVerdict {
    /// The muscle.
    pub muscle: Muscle,
    /// Where its sides stood when they were last compared.
    pub standing: SideStanding,
    /// The side that leads, where evidence begins to speak but is no claim yet.
    pub leans: Option<Side>,
    /// The answers since the last end.
    pub answers: Option<AnswerCount>,
    /// The angles since the last end.
    pub angles: Option<AngleMeans>,
    /// What would settle it, where it is not settled.
    pub needed: Needed,
    /// Every difference that is over, oldest first.
    pub over: Vec<OverDifference>,
    /// The day of the last comparison or pair of angles.
    pub last: NaiveDate,
    /// Whether that is so long ago that nothing of it counts today.
    pub is_stale: bool,
}

impl SideVerdict {
    /// The side that is tighter today.
    pub fn tighter(&self) -> Option<Side> {
        match self.standing {
            SideStanding::Differs { tighter, .. } if !self.is_stale => Some(tighter),
            _ => None,
        }
    }

    /// Whether a difference rests on angles.
    pub const fn is_measured(&self) -> bool {
        matches!(self.standing, SideStanding::Differs { basis: SideBasis::Angles, .. })
    }

    /// The tighter side and since when, today or when it was compared last.
    pub fn began(&self) -> Option<(Side, NaiveDate)> {
        match self.standing {
            SideStanding::Differs { tighter, since, .. } => Some((tighter, since)),
            _ => None,
        }
    }

    /// How large the difference is, for comparing muscles: one that was measured, by degrees, goes before one that was
    /// answered, by how clear the answers are.
    pub fn size(&self) -> (i32, u32) {
        let SideStanding::Differs { basis, .. } = self.standing else { return (0, 0) };
        match (basis, self.angles, self.answers) {
            (SideBasis::Angles, Some(angles), _) => ((angles.means[0] - angles.means[1]).abs(), 0),
            (_, _, Some(answers)) => {
                let [left, right] = answers.higher;
                (0, 1000 * left.abs_diff(right) / answers.compared.max(1))
            }
            _ => (0, 0),
        }
    }
}

impl AnswerCount {
    /// The side that was answered higher more often, how often, and in how many sessions the answers differed.
    pub(super) fn leading(&self) -> Option<(Side, u32, u32)> {
        let [left, right] = self.higher;
        let side = if left >= right { Side::Left } else { Side::Right };
        (left != right).then_some((side, left.max(right), left + right))
    }
}
