//! What goes into a live closing block and what comes out of it.

use crate::body::{Degrees, Level, Seconds};
use crate::client::{Consent, Report};
use crate::planner::Progress;

use super::cue::Cue;

/// What the trainer tells the running block.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Control {
    /// The client's answer to "one to five?", for the step that is asked about.
    Level(Level),
    /// The same for the step of that number, from 1: what was asked about when counting began.
    LevelFor(usize, Level),
    /// The angle that was measured, for the same step as a level would be.
    Angle(Degrees),
    /// The way or the set-up is over: the next phase begins now. Ends no stretch.
    Begin,
    /// Goes on to the next step. What is left is noted only when another stretch begins.
    Next,
    /// Goes back to the step that was left last; else begins this one again, or the one before.
    Before,
    /// Takes back what was done last: an answer, pain, a step left, a length, new minutes.
    Undo,
    /// Stands still.
    Pause,
    /// Goes on.
    Resume,
    /// Lengthens this hold, or the one that is made ready.
    Longer(Seconds),
    /// Shortens this hold, or the one that is made ready. Ends none.
    Shorter(Seconds),
    /// The client feels pain: ends this stretch on both sides and stands still.
    Pain,
    /// Hands off: stands still, and nothing is noted.
    Stop,
    /// The client takes consent back, in part or whole.
    Withdraw(Consent),
    /// The client does not want the massage.
    NoMassage,
    /// So much time is left, whatever the plan says.
    MinutesLeft(Seconds),
    /// Ends the block.
    Finish,
    /// The program is left: what is under way is written down, and the block can be taken up.
    CutOff,
}

/// Why the laptop rings.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Bell {
    /// A hold ends in a few seconds.
    Soon,
    /// The next phase begins.
    Change,
    /// The block is over.
    End,
}

/// What was taken back.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Undone {
    /// An answer.
    Level,
    /// A measured angle.
    Angle,
    /// Pain. Where nothing else was begun since, the block stands where it was.
    Pain,
    /// Going on to the next step.
    Next,
    /// A hold made longer or shorter.
    Length,
    /// New minutes.
    Minutes,
}

/// What the block asks of its owner.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Outcome {
    /// Ring, or flash.
    Bell(Bell),
    /// Say it, or ring.
    Cue(Cue),
    /// Append this report; the number is its place in the order of reports, from 1.
    Report(u32, Report),
    /// Replace the report of that number.
    Amend(u32, Report),
    /// Plan the rest again and hand the answer to [`Live::replace_rest`](super::Live::replace_rest).
    Replan(Progress),
    /// This is as if it had not been done; what was written of it is amended before.
    Undone(Undone),
    /// So much time passed unseen (the machine slept); the block stands still where it was last seen.
    Unseen(Seconds),
    /// The input makes no sense now; the text says why.
    Ignored(&'static str),
    /// The block is over: review and close it.
    Finished,
}

/// Why the block stands still.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Pause {
    /// The trainer asked for it.
    Asked,
    /// A stretch was stopped for pain; the offer is to go on with the next one or to finish.
    Pain,
    /// Hands are off, and nothing is noted; what it was is still to be said.
    Stop,
    /// Consent was narrowed.
    Consent,
    /// So much time passed unseen.
    Unseen(Seconds),
}

/// Leaves out the lines from a place on: it is too late for them.
pub(super) fn unsay(outcomes: &mut Vec<Outcome>, from: usize) {
    let late = outcomes.split_off(from);
    outcomes.extend(late.into_iter().filter(|outcome| !matches!(outcome, Outcome::Cue(_))));
}
