//! What goes into a live closing block and what comes out of it.

use crate::body::{Degrees, Level, Seconds};
use crate::client::{Consent, Report};
use crate::planner::Progress;

/// What the trainer tells the running block.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Control {
    /// The client's answer to "one to five?", for this step or, between steps, the last one.
    Level(Level),
    /// The angle that was measured, for the same step as a level would be.
    Angle(Degrees),
    /// Ends this phase now and goes on to the next one.
    Advance,
    /// Leaves the rest of this step out.
    Skip,
    /// Stands still.
    Pause,
    /// Goes on.
    Resume,
    /// Lengthens this phase.
    Extend(Seconds),
    /// Begins this step again, or the one before if this one has not begun.
    Back,
    /// The client feels pain: ends this stretch on both sides and stands still.
    Pain,
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

/// What the block asks of its owner.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Outcome {
    /// Ring, or flash.
    Bell(Bell),
    /// Append this report; the number is its place in the order of reports, from 1.
    Report(u32, Report),
    /// Replace the report of that number.
    Amend(u32, Report),
    /// Plan the rest again and hand the answer to [`Live::replace_rest`](super::Live::replace_rest).
    Replan(Progress),
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
    /// Consent was narrowed.
    Consent,
    /// So much time passed unseen.
    Unseen(Seconds),
}
